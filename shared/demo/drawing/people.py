"""The people of the story: Wen the mechanic and Tobit the keeper, their heads and hands.

A head is drawn in its own units: its origin is the middle of the face, its half width about 1, and
it looks toward +x by `turn` (0 from the front, 1 three quarters). Drawing a head gives back where
its mouth is on the page, which is where a tail should aim.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from drawing.ink import BLACK, PAPER, Frame, Ink, Point, curve, oval


@dataclass(frozen=True, slots=True)
class Look:
    """A face's expression. `frown` above 0 draws the brows down and together, below 0 worried."""

    turn: float = 0.7
    gaze: Point = (0.3, 0.0)
    eyes: float = 1.0
    brow: float = 0.0
    frown: float = 0.0
    mouth: str = "flat"


def _weight(frame: Frame) -> float:
    return 0.75 + 1.0 * frame.size


def _mouth(ink: Ink, f: Frame, kind: str) -> None:
    """A mouth about the frame's origin, one unit across."""
    w = 0.9 + 2.2 * f.size
    if kind == "smile":
        ink.line(f([(-0.5, -0.1), (-0.2, 0.1), (0.15, 0.12), (0.5, -0.14)]), w)
        ink.line(f([(0.43, -0.27), (0.54, -0.15), (0.55, -0.02)]), w * 0.7)
    elif kind == "smirk":
        ink.line(f([(-0.4, 0.08), (0.0, 0.1), (0.3, 0.02), (0.52, -0.2)]), w)
        ink.line(f([(0.42, -0.3), (0.56, -0.2), (0.6, -0.06)]), w * 0.7)
    elif kind == "small":
        ink.line(f([(-0.32, 0.1), (-0.12, -0.04), (0.1, 0.05), (0.32, 0.1)]), w)
    elif kind == "hush":
        edge = curve(f(oval(0.0, 0.0, 0.2, 0.17, count=10)), closed=True)
        ink.fill(edge, BLACK)
        ink.line(f([(-0.14, 0.36), (0.02, 0.4), (0.18, 0.34)]), w * 0.6)
    elif kind == "o":
        ink.fill(f(oval(0.0, 0.05, 0.24, 0.3)), BLACK)
        ink.fill(f(oval(0.0, 0.2, 0.15, 0.1)), 130)
        ink.line(f([(-0.15, 0.52), (0.02, 0.56), (0.2, 0.5)]), w * 0.6)
    elif kind == "talk":
        a: list[Point] = [(-0.42, -0.14), (-0.42, -0.14), (0.0, -0.2), (0.46, -0.2), (0.46, -0.2)]
        edge = curve(f([*a, (0.36, 0.2), (0.04, 0.34), (-0.28, 0.2)]), closed=True)
        ink.fill(edge, BLACK)
        with ink.inside(edge):
            ink.fill(f(oval(0.05, 0.32, 0.28, 0.16)), 140)
            ink.fill(f(oval(0.02, -0.22, 0.4, 0.12)), PAPER)
        ink.outline(edge, w * 0.5)
        ink.line(f([(-0.16, 0.5), (0.06, 0.55), (0.26, 0.48)]), w * 0.55)
    elif kind == "shout":
        edge = curve(
            f([(-0.5, -0.2), (0.0, -0.4), (0.5, -0.24), (0.52, 0.35), (0.05, 0.75), (-0.45, 0.4)]),
            closed=True,
        )
        ink.fill(edge, BLACK)
        with ink.inside(edge):
            ink.fill(f(oval(0.04, 0.66, 0.34, 0.28)), 140)
            ink.fill(f(oval(0.0, -0.36, 0.46, 0.16)), PAPER)
        ink.outline(edge, w * 0.6)
    else:
        ink.line(f([(-0.4, 0.02), (0.0, -0.02), (0.4, 0.03)]), w)


def _eye(ink: Ink, f: Frame, look: Look, narrow: float) -> None:
    """One eye about the frame's origin; about 0.36 units wide."""
    rx, ry = 0.185 * narrow, 0.215 * look.eyes
    w = _weight(f)
    white = f(oval(0, 0, rx, ry))
    ink.fill(white, PAPER)
    with ink.inside(white):
        gx, gy = look.gaze[0] * rx * 0.75, look.gaze[1] * ry * 0.7
        size = 0.115 if look.eyes <= 1.15 else 0.085
        ink.fill(f(oval(gx, gy, size * (0.9 + 0.1 * narrow), size * 1.2)), BLACK)
        ink.fill(f(oval(gx - 0.04, gy - 0.055, 0.04, 0.045)), PAPER)
    ink.outline(white, w * 0.5)
    lid = [(-rx * 1.12, -ry * 0.25), (-rx * 0.6, -ry * 0.92), (0.0, -ry * 1.08)]
    lid += [(rx * 0.65, -ry * 0.9), (rx * 1.15, -ry * 0.2)]
    ink.line(f(lid), w * 1.9, taper=(0.3, 0.25))


def wen_head(ink: Ink, f: Frame, look: Look, tone: float = PAPER) -> Point:
    """Wen: a black bob and a bun, goggles pushed up, freckles. Gives the place of her mouth."""
    t, w = look.turn, _weight(f)
    # Bun, then the mass of hair behind the face.
    bun = ink.shape(
        f(
            [
                (-0.62, -1.32),
                (-0.5, -1.72),
                (-0.1, -1.84),
                (0.22, -1.62),
                (0.2, -1.25),
                (-0.2, -1.1),
            ]
        ),
        BLACK,
        w * 0.6,
    )
    with ink.inside(bun):
        for k in range(3):
            s = 0.1 * k
            ink.line(
                f([(-0.48 + s, -1.42 - s), (-0.3 + s, -1.66), (0.0 + s, -1.66)]), w * 0.8, PAPER
            )
    ink.line(f([(-0.5, -1.7), (-0.62, -1.86), (-0.6, -1.98)]), w)
    ink.line(f([(0.12, -1.76), (0.26, -1.88), (0.4, -1.86)]), w)
    back: list[Point] = [
        (-1.02, 0.72),
        (-1.02, 0.72),
        (-1.16, 0.1),
        (-1.12, -0.55),
        (-0.75, -1.1),
        (-0.1, -1.3),
        (0.6, -1.12),
        (1.0, -0.6),
        (1.06, -0.1),
        (1.0 - 0.12 * t, 0.5),
        (1.0 - 0.12 * t, 0.5),
        (0.6, 0.4),
        (-0.4, 0.75),
    ]
    ink.shape(f(back), BLACK, w * 0.6)
    # The face.
    face = ink.shape(
        f(
            [
                (-0.84, -0.3),
                (-0.85, 0.2),
                (-0.68, 0.62),
                (-0.32, 0.93),
                (0.1 + 0.1 * t, 1.06),
                (0.5 + 0.06 * t, 0.86),
                (0.8, 0.46),
                (0.88, 0.1),
                (0.84, -0.3),
                (0.7, -0.8),
                (0.0, -1.0),
                (-0.7, -0.8),
            ]
        ),
        tone,
        w * 1.05,
    )
    ink.shade(face, f.move(0.16, -0.06), 0.16)
    ink.shade(face, f.move(0.0, 0.62), 0.13)
    # Features slide over the face as it turns.
    left, right, mid = -0.42 + 0.24 * t, 0.42 + 0.1 * t, 0.02 + 0.24 * t
    for x, narrow in ((left, 1.0), (right, 1.0 - 0.16 * t)):
        _eye(ink, f.inner(x, 0.0), look, narrow)
    for x, side in ((left, -1.0), (right, 1.0)):
        y = -0.36 - 0.14 * look.brow - 0.09 * (look.eyes - 1)
        inner, outer = y + 0.13 * look.frown, y - 0.09 * look.frown + 0.03
        a = (x - side * 0.2, inner)
        b = (x + side * 0.24, outer)
        ink.line(f([a, ((a[0] + b[0]) / 2, min(a[1], b[1]) - 0.05), b]), w * 2.3, taper=(0.25, 0.6))
    ink.line(f([(mid + 0.05, 0.1), (mid + 0.17, 0.27), (mid + 0.14, 0.33), (mid - 0.01, 0.33)]), w)
    for dx, dy in ((-0.5, 0.3), (-0.37, 0.36), (-0.56, 0.4), (0.42, 0.3), (0.53, 0.35)):
        ink.fill(f(oval(mid + dx, dy, 0.026, 0.026, count=10)), 70)
    mouth = f.inner(mid - 0.02, 0.6, 0.5)
    _mouth(ink, mouth, look.mouth)
    # Fringe and side locks over the face.
    fringe: list[Point] = [
        (-1.0, 0.66),
        (-1.0, 0.66),
        (-1.08, -0.1),
        (-0.9, -0.8),
        (-0.1, -1.25),
        (0.7, -1.0),
        (1.0, -0.4),
        (1.02, 0.46),
        (1.02, 0.46),
        (0.84, 0.1),
        (0.8, -0.32),
        (0.8, -0.32),
        (0.5, -0.5),
        (0.3 + 0.1 * t, -0.74),
        (0.3 + 0.1 * t, -0.74),
        (0.0, -0.5),
        (-0.5, -0.34),
        (-0.74, -0.36),
        (-0.74, -0.36),
        (-0.76, 0.1),
        (-0.7, 0.55),
        (-0.7, 0.55),
        (-0.86, 0.7),
    ]
    hair = curve(f(fringe), closed=True)
    ink.fill(hair, BLACK)
    with ink.inside(hair):
        for k in range(4):
            x = -0.98 + 0.1 * k
            ink.line(
                f([(x, 0.3 - 0.16 * k), (x + 0.02, -0.1 - 0.1 * k), (x + 0.14, -0.5 - 0.06 * k)]),
                w * 0.8,
                PAPER,
            )
        ink.line(f([(0.92, 0.3), (0.94, 0.0), (0.88, -0.32)]), w * 0.8, PAPER)
    _goggles(ink, f, t, w)
    return f.at(mid - 0.02, 0.62)


def _goggles(ink: Ink, f: Frame, t: float, w: float) -> None:
    strap: list[Point] = [
        (-1.1, -0.52),
        (-0.7, -0.84),
        (0.0, -0.98),
        (0.7, -0.88),
        (1.03, -0.6),
        (1.0, -0.46),
        (0.6, -0.72),
        (0.0, -0.82),
        (-0.7, -0.68),
        (-1.12, -0.38),
    ]
    ink.shape(f(strap), 120, w * 0.7)
    for x, rx in ((-0.26 + 0.2 * t, 0.32), (0.42 + 0.1 * t, 0.32 - 0.05 * t)):
        frame = f(oval(x, -0.88, rx, 0.27))
        ink.fill(frame, 60)
        ink.outline(frame, w * 0.9)
        glass = f(oval(x, -0.88, rx * 0.74, 0.195))
        ink.fill(glass, 205)
        with ink.inside(glass):
            ink.fill(
                f([(x - 0.2, -0.7), (x - 0.02, -1.1), (x + 0.12, -1.1), (x - 0.06, -0.7)]), PAPER
            )
        ink.outline(glass, w * 0.5)


def tobit_head(ink: Ink, f: Frame, look: Look, tone: float = PAPER) -> Point:
    """Tobit: a knitted cap, a great nose, white brows and a great white beard."""
    t, w = look.turn, _weight(f)
    ink.shape(
        f(
            [
                (-0.8, -0.6),
                (-0.82, 0.1),
                (-0.7, 0.7),
                (-0.1, 1.0),
                (0.6, 0.8),
                (0.84, 0.2),
                (0.8, -0.6),
                (0.0, -0.9),
            ]
        ),
        tone,
        w,
    )
    face = curve(f(oval(0, -0.1, 0.8, 0.9, count=14)), closed=True)
    ink.shade(face, f.move(0.15, -0.05), 0.15)
    ear = ink.shape(
        f([(-0.78, -0.16), (-0.98, -0.2), (-1.02, 0.06), (-0.86, 0.26), (-0.74, 0.18)]), tone, w
    )
    ink.shade(ear, f.move(0.1, 0.0), 0.2)
    ink.line(f([(-0.86, -0.06), (-0.93, 0.02), (-0.86, 0.12)]), w * 0.6)
    # Beard behind the nose and moustache.
    mid = 0.02 + 0.26 * t
    beard: list[Point] = [
        (-0.86, 0.1),
        (-0.86, 0.1),
        (-0.98, 0.6),
        (-0.86, 1.1),
        (-0.62, 1.5),
        (-0.4, 1.62),
        (-0.06, 1.95),
        (0.2, 1.78),
        (0.5, 1.7),
        (0.74, 1.3),
        (0.92, 0.86),
        (0.9, 0.4),
        (0.82, 0.16),
        (0.82, 0.16),
        (0.66, 0.42),
        (mid, 0.5),
        (-0.45, 0.42),
        (-0.66, 0.2),
    ]
    edge = ink.shape(f(beard), PAPER, w * 1.05)
    ink.shade(edge, f.move(0.22, -0.12), 0.14)
    for x, top, low, lean in (
        (-0.72, 0.6, 1.1, 0.1),
        (-0.5, 0.8, 1.4, 0.16),
        (-0.2, 1.15, 1.66, 0.1),
        (0.1, 1.1, 1.76, 0.04),
        (0.42, 1.0, 1.5, -0.08),
        (0.68, 0.66, 1.16, -0.1),
    ):
        ink.line(
            f([(x, top), (x + lean * 0.2 - 0.03, (top + low) / 2), (x + lean, low)]),
            w * 0.75,
            taper=(0.5, 0.5),
        )
    mouth = f.inner(mid - 0.02, 0.78, 0.56)
    kind = {"flat": "flat", "smile": "smile"}.get(look.mouth, look.mouth)
    _mouth(ink, mouth, kind)
    # Eyes, with bags under them, and brows like two white birds.
    left, right = -0.36 + 0.22 * t, 0.42 + 0.14 * t
    for x, narrow in ((left, 0.86), (right, 0.86 - 0.14 * t)):
        _eye(ink, f.inner(x, -0.13, 0.95), look, narrow)
        ink.line(f([(x - 0.16, 0.12), (x, 0.18), (x + 0.15, 0.12)]), w * 0.6)
    ink.line(f([(left - 0.24, -0.1), (left - 0.36, -0.16)]), w * 0.6)
    ink.line(f([(left - 0.24, -0.04), (left - 0.36, -0.02)]), w * 0.6)
    # The moustache and the nose over it.
    for side in (-1.0, 1.0):
        reach = 0.66 if side < 0 else 0.56
        lobe: list[Point] = [
            (mid, 0.46),
            (mid + side * 0.3, 0.42),
            (mid + side * reach * 0.9, 0.62),
            (mid + side * reach * 1.12, 0.86),
            (mid + side * reach * 1.12, 0.86),
            (mid + side * reach * 0.6, 0.82),
            (mid + side * 0.2, 0.72),
            (mid, 0.66),
        ]
        ink.shape(f(lobe), PAPER, w * 0.95)
        ink.line(
            f([(mid + side * 0.16, 0.56), (mid + side * 0.36, 0.62), (mid + side * 0.5, 0.74)]),
            w * 0.6,
        )
    nose: list[Point] = [
        (mid - 0.08, -0.06),
        (mid - 0.08, -0.06),
        (mid - 0.16, 0.2),
        (mid - 0.26, 0.36),
        (mid - 0.12, 0.54),
        (mid + 0.14, 0.55),
        (mid + 0.32, 0.4),
        (mid + 0.26, 0.2),
        (mid + 0.12, -0.06),
        (mid + 0.12, -0.06),
    ]
    shape = curve(f(nose), closed=True)
    ink.fill(shape, tone)
    ink.shade(shape, f.move(-0.08, -0.1), 0.16)
    ink.line(f([*nose[2:9], (mid + 0.17, 0.0)]), w * 1.3, taper=(0.25, 0.5))
    ink.line(f([(mid - 0.17, 0.43), (mid - 0.1, 0.37), (mid - 0.04, 0.43)]), w * 0.7)
    for x, side in ((left, -1.0), (right, 1.0)):
        y = -0.46 - 0.14 * look.brow - 0.1 * (look.eyes - 1)
        inner, outer = y + 0.13 * look.frown, y - 0.1 * look.frown
        tuft: list[Point] = [
            (x - side * 0.22, inner + 0.05),
            (x - side * 0.16, inner - 0.1),
            (x + side * 0.1, (inner + outer) / 2 - 0.16),
            (x + side * 0.38, outer - 0.1),
            (x + side * 0.38, outer - 0.1),
            (x + side * 0.26, outer + 0.06),
            (x, (inner + outer) / 2 + 0.08),
        ]
        ink.shape(f(tuft), PAPER, w * 0.85)
    _cap(ink, f, w)
    return f.at(mid - 0.02, 0.8)


def _cap(ink: Ink, f: Frame, w: float) -> None:
    dome = ink.shape(
        f(
            [
                (-0.9, -0.62),
                (-0.98, -1.1),
                (-0.66, -1.6),
                (-0.1, -1.78),
                (0.5, -1.62),
                (0.86, -1.16),
                (0.88, -0.62),
                (0.0, -0.5),
            ]
        ),
        96,
        w,
    )
    ink.shade(dome, f.move(-0.16, -0.1), 0.45)
    with ink.inside(dome):
        for k in range(7):
            x = -0.78 + 0.27 * k
            ink.line(
                f([(x, -0.8), (x * 0.86, -1.25), (x * 0.45, -1.72)]), w * 0.8, taper=(0.1, 0.4)
            )
    ink.shape(
        f(oval(-0.08, -1.84, 0.17, 0.13, count=9)),
        150,
        w * 0.8,
    )
    band = ink.shape(
        f(
            [
                (-0.98, -0.5),
                (-1.02, -0.82),
                (-0.5, -0.98),
                (0.1, -1.0),
                (0.66, -0.94),
                (0.98, -0.8),
                (0.95, -0.5),
                (0.5, -0.66),
                (0.0, -0.7),
                (-0.5, -0.66),
            ]
        ),
        150,
        w,
    )
    with ink.inside(band):
        for k in range(11):
            x = -0.92 + 0.185 * k
            ink.line(f([(x, -0.4), (x - 0.01, -1.05)]), w * 0.6, taper=(0.0, 0.0))


def hand(ink: Ink, f: Frame, kind: str, tone: float = PAPER) -> None:
    """A hand: the wrist at the origin, the fingers along +x, one unit long, the thumb toward -y."""
    w = max(0.9, 0.7 + 1.1 * f.size)
    width = f.size
    if kind == "fist":
        edge = ink.shape(
            f(
                [
                    (-0.1, -0.2),
                    (0.2, -0.3),
                    (0.55, -0.3),
                    (0.66, 0.0),
                    (0.56, 0.32),
                    (0.2, 0.3),
                    (-0.1, 0.2),
                ]
            ),
            tone,
            w,
        )
        ink.shade(edge, (-0.03 * width, -0.07 * width), 0.18)
        for y in (-0.13, 0.03, 0.18):
            ink.line(f([(0.34, y + 0.01), (0.5, y), (0.64, y + 0.02)]), w * 0.8, taper=(0.5, 0.0))
        ink.limb(
            f([(0.12, -0.22), (0.3, -0.36), (0.5, -0.26)]), [0.17 * width, 0.15 * width], tone, w
        )
        return
    fingers: tuple[tuple[float, float, float, float], ...]
    if kind == "open":
        fingers = (
            (0.44, -0.2, -24, 0.46),
            (0.5, -0.07, -7, 0.52),
            (0.5, 0.07, 8, 0.48),
            (0.44, 0.2, 24, 0.38),
        )
    elif kind == "point":
        fingers = ((0.44, -0.16, -2, 0.56),)
    else:
        fingers = (
            (0.46, -0.19, -5, 0.42),
            (0.5, -0.06, -1, 0.46),
            (0.5, 0.07, 2, 0.43),
            (0.46, 0.19, 5, 0.34),
        )
    for x, y, angle, length in fingers:
        a = math.radians(angle)
        tip = (x + length * math.cos(a), y + length * math.sin(a))
        bend = (x + 0.5 * length * math.cos(a), y + 0.5 * length * math.sin(a) - 0.015)
        ink.limb(f([(x - 0.1, y), bend, tip]), [0.17 * width, 0.15 * width, 0.12 * width], tone, w)
    thumb: list[Point] = [(0.14, -0.18), (0.32, -0.4), (0.5, -0.5 if kind == "open" else -0.36)]
    if kind != "point":
        ink.limb(f(thumb), [0.2 * width, 0.17 * width, 0.13 * width], tone, w)
    palm = curve(
        f(
            [
                (-0.22, -0.165),
                (0.14, -0.26),
                (0.42, -0.27),
                (0.52, 0.0),
                (0.44, 0.28),
                (0.14, 0.24),
                (-0.22, 0.165),
            ]
        ),
        closed=True,
    )
    ink.fill(palm, tone)
    ink.shade(palm, (-0.02 * width, -0.06 * width), 0.14)
    ink.line(f([(-0.22, 0.165), (0.14, 0.25), (0.36, 0.3), (0.46, 0.26)]), w, taper=(0.0, 0.3))
    ink.line(f([(-0.22, -0.165), (0.06, -0.22)]), w, taper=(0.0, 0.3))
    if kind == "point":
        for x, y, rx in ((0.47, 0.02, 0.17), (0.45, 0.14, 0.165), (0.41, 0.25, 0.14)):
            knuckle = ink.shape(f(oval(x, y, rx, 0.085, 6, 12)), tone, w)
            ink.shade(knuckle, (-0.02 * width, -0.03 * width), 0.16)
        over: list[Point] = [(0.14, -0.2), (0.34, -0.24), (0.46, -0.1)]
        ink.limb(f(over), [0.2 * width, 0.17 * width, 0.13 * width], tone, w)
