"""Bodies and arms for the two people, in the units of their heads.

A body shares the frame of its head: the middle of the face is the origin, the shoulders lie about
y 1.5, the hips about y 4.6.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from drawing.ink import PAPER, Frame, Ink, Point, curve, oval
from drawing.people import hand

JUMPER = 112
DENIM = 232
COAT = 52


@dataclass(frozen=True, slots=True)
class Arm:
    """An arm: shoulder, elbow and wrist in the body's units, and what the hand does."""

    shoulder: Point
    elbow: Point
    wrist: Point
    hand: str = "fist"
    twist: float = 0.0
    thumb_down: bool = False


def _wen_torso(f: Frame, length: float, width: float = 1.0) -> list[Point]:
    return f(
        [
            (-0.4, 1.18),
            (-1.05 * width, 1.42),
            (-1.28 * width, 2.1),
            (-1.12 * width, 3.2),
            (-1.08 * width, length),
            (-1.08 * width, length),
            (1.08 * width, length),
            (1.08 * width, length),
            (1.1 * width, 3.2),
            (1.24 * width, 2.1),
            (1.0 * width, 1.42),
            (0.34, 1.18),
            (0.0, 1.32),
        ]
    )


def _coat(f: Frame, length: float) -> list[Point]:
    return f(
        [
            (-0.6, 1.0),
            (-1.4, 1.28),
            (-1.86, 1.8),
            (-1.96, 3.0),
            (-2.1, length),
            (-2.1, length),
            (2.1, length),
            (2.1, length),
            (1.94, 3.0),
            (1.8, 1.8),
            (1.34, 1.26),
            (0.6, 1.0),
        ]
    )


def _seamless(ink: Ink, body: list[Point], shoulder: Point, radius: float, tone: float) -> None:
    """Where a sleeve grows out of the body no line crosses the cloth."""
    with ink.inside(curve(body, closed=True)):
        ink.fill(oval(*shoulder, radius, radius), tone)


def _cuff(ink: Ink, ends: tuple[Point, Point], width: float, tone: float, weight: float) -> None:
    """A turned-back cuff across an arm: a short band with square corners."""
    a, b = ends
    n = math.hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    ux, uy = (b[0] - a[0]) / n, (b[1] - a[1]) / n
    h = width / 2
    c = [
        (a[0] - uy * h, a[1] + ux * h),
        (b[0] - uy * h, b[1] + ux * h),
        (b[0] + uy * h, b[1] - ux * h),
        (a[0] + uy * h, a[1] - ux * h),
    ]
    bulge = 0.12 * width
    tip = (b[0] + ux * bulge, b[1] + uy * bulge)
    tail = (a[0] + ux * bulge, a[1] + uy * bulge)
    edge = ink.shape([c[0], c[0], c[1], c[1], tip, c[2], c[2], c[3], c[3], tail], tone, weight)
    ink.shade(edge, (-0.12 * width, -0.16 * width), 0.3)


def wen_body(ink: Ink, f: Frame, length: float = 4.6, width: float = 1.0) -> None:
    """Wen from the neck down: a dark jumper and pale dungarees."""
    w = 0.8 + 0.8 * f.size
    neck = ink.limb(f([(-0.1, 0.7), (-0.12, 1.5)]), [0.62 * f.size, 0.7 * f.size], PAPER, w)
    ink.fill(neck, 0, 0.2)
    torso = ink.shape(_wen_torso(f, length, width), JUMPER, w * 1.1)
    ink.shade(torso, (0.2 * f.size, -0.12 * f.size), 0.35)
    with ink.inside(torso):
        collar = f([(-0.46, 1.12), (-0.3, 1.42), (0.05, 1.52), (0.34, 1.4), (0.44, 1.12)])
        ink.line(collar, 5.0 * f.size + 1.2, 190, (0, 0))
        ink.line(f([(-0.5, 1.2), (-0.32, 1.52), (0.05, 1.62), (0.38, 1.5), (0.48, 1.2)]), w)
        for side in (-1.0, 1.0):
            strap = f(
                [
                    (side * 0.42, 2.35),
                    (side * 0.5, 1.2),
                    (side * 0.8, 1.2),
                    (side * 0.7, 2.35),
                ]
            )
            ink.fill(strap, DENIM)
            ink.outline(strap, w * 0.8)
        bib = ink.shape(
            f(
                [
                    (-0.86, 2.22),
                    (-0.86, 2.22),
                    (0.86, 2.22),
                    (0.86, 2.22),
                    (0.92, 3.2),
                    (1.3, 3.5),
                    (1.3, length + 0.2),
                    (1.3, length + 0.2),
                    (-1.3, length + 0.2),
                    (-1.3, length + 0.2),
                    (-1.3, 3.5),
                    (-0.92, 3.2),
                ]
            ),
            DENIM,
            w,
        )
        ink.shade(bib, (0.2 * f.size, -0.05 * f.size), 0.18)
        pocket = f([(-0.4, 2.6), (0.4, 2.6), (0.36, 3.15), (0.0, 3.28), (-0.36, 3.15)])
        ink.outline(pocket, w * 0.7)
        for x in (-0.56, 0.56):
            ink.fill(f(oval(x, 2.38, 0.11, 0.11)), 60)
        ink.line(f([(0.1, 2.3), (0.06, 2.55), (0.12, 2.6)]), w * 0.6)


def wen_hem(ink: Ink, f: Frame, length: float) -> None:
    """Where Wen's standing legs meet her dungarees: hide the hem and draw the inner seam."""
    w = 0.8 + 0.8 * f.size
    for side in (-1.0, 1.0):
        x = side * 0.53
        ink.fill(
            f(
                [
                    (x - 0.46, length - 0.1),
                    (x + 0.46, length - 0.1),
                    (x + 0.46, length + 0.25),
                    (x - 0.46, length + 0.25),
                ]
            ),
            DENIM,
        )
    ink.line(f([(0.0, length - 0.9), (0.02, length - 0.2), (0.0, length + 0.3)]), w, taper=(0.4, 0))


def tobit_body(ink: Ink, f: Frame, length: float = 5.4) -> None:
    """Tobit from the neck down: a great dark coat with two rows of buttons."""
    w = 0.9 + 0.8 * f.size
    coat = ink.shape(_coat(f, length), COAT, w * 1.2)
    with ink.inside(coat):
        ink.shade(coat, (-0.5 * f.size, -0.1 * f.size), 0.7)
        ink.line(f([(0.1, 1.9), (0.16, 3.2), (0.12, length)]), w * 1.2, 0, (0, 0))
        for x in (-0.5, 0.66):
            for k in range(4):
                y = 2.4 + 0.86 * k
                ink.fill(f(oval(x, y, 0.13, 0.13)), 205)
                ink.fill(f(oval(x + 0.03, y + 0.03, 0.05, 0.05)), 60)
        for x, lean in ((-1.62, 0.1), (-1.42, 0.12), (-1.22, 0.12)):
            ink.line(
                f([(x, 1.7), (x - lean, 2.6), (x - lean * 1.5, 3.6)]), w * 0.8, 165, (0.2, 0.7)
            )
    for side in (-1.0, 1.0):
        collar = ink.shape(
            f(
                [
                    (side * 0.2, 1.9),
                    (side * 0.2, 1.9),
                    (side * 0.5, 1.1),
                    (side * 0.98, 0.9),
                    (side * 1.3, 1.5),
                    (side * 1.3, 1.5),
                    (side * 0.8, 2.1),
                    (side * 0.8, 2.1),
                ]
            ),
            84,
            w,
        )
        ink.shade(collar, (-0.12 * f.size, -0.12 * f.size), 0.5)


def _towards(a: Point, b: Point) -> float:
    return math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))


def _hand_frame(f: Frame, arm: Arm, size: float) -> Frame:
    elbow, wrist = f.at(*arm.elbow), f.at(*arm.wrist)
    angle = _towards(elbow, wrist) + arm.twist
    down = arm.thumb_down != f.flip
    return Frame(*wrist, f.size * size, angle + 180 if down else angle, down)


def wen_arm(ink: Ink, f: Frame, arm: Arm, size: float = 0.92) -> None:
    """An arm of Wen's: a jumper sleeve rolled above the elbow, a bare forearm, a hand."""
    w = 0.8 + 0.8 * f.size
    s = f.size
    fore = ink.limb(f([arm.elbow, arm.wrist]), [0.5 * s, 0.4 * s, 0.34 * s], PAPER, w)
    ink.shade(fore, (-0.06 * s, -0.1 * s), 0.16)
    hand(ink, _hand_frame(f, arm, size), arm.hand)
    sx, sy = arm.shoulder
    ex, ey = arm.elbow
    past = (ex + 0.12 * (arm.wrist[0] - ex), ey + 0.12 * (arm.wrist[1] - ey))
    sleeve = ink.limb(
        f([(sx, sy), ((sx + ex) / 2, (sy + ey) / 2), past]),
        [0.78 * s, 0.7 * s, 0.62 * s],
        JUMPER,
        w,
    )
    ink.shade(sleeve, (-0.1 * s, -0.14 * s), 0.4)
    side = 1.0 if sx > 0 else -1.0
    outside_strap: list[Point] = [
        (0.82, 1.3),
        (1.0, 1.46),
        (1.2, 2.1),
        (1.1, 2.8),
        (0.9, 2.8),
        (0.78, 2.2),
    ]
    _seamless(ink, f([(side * x, y) for x, y in outside_strap]), f.at(sx, sy), 0.46 * s, JUMPER)
    mx, my = (sx + 2 * ex) / 3, (sy + 2 * ey) / 3
    ink.line(f([(mx - 0.2, my - 0.12), (mx, my), (mx + 0.18, my - 0.06)]), w * 0.8)
    near = (ex + 0.06 * (arm.wrist[0] - ex), ey + 0.06 * (arm.wrist[1] - ey))
    far = (ex + 0.26 * (arm.wrist[0] - ex), ey + 0.26 * (arm.wrist[1] - ey))
    _cuff(ink, (f.at(*near), f.at(*far)), 0.68 * s, 150, w)


def tobit_arm(ink: Ink, f: Frame, arm: Arm, size: float = 1.05) -> None:
    """An arm of Tobit's: a heavy sleeve with a pale edge, a cuff, a hand."""
    w = 0.9 + 0.8 * f.size
    s = f.size
    hand(ink, _hand_frame(f, arm, size), arm.hand)
    sleeve = ink.limb(
        f([arm.shoulder, arm.elbow, arm.wrist]), [1.0 * s, 0.98 * s, 0.72 * s], COAT, w * 1.2
    )
    ink.shade(sleeve, (-0.2 * s, -0.26 * s), 0.7)
    _seamless(ink, _coat(f, 5.4), f.at(*arm.shoulder), 0.56 * s, COAT)
    ex, ey = arm.elbow
    for k in range(3):
        d = 0.14 * k
        ink.line(
            f([(ex - 0.3 + d, ey - 0.2), (ex - 0.1 + d, ey), (ex + 0.1 + d, ey - 0.02)]), w * 0.7, 0
        )
    a = f.at(*arm.wrist)
    b = f.at(*arm.elbow)
    n = math.hypot(a[0] - b[0], a[1] - b[1]) or 1.0
    ux, uy = (a[0] - b[0]) / n, (a[1] - b[1]) / n
    back = (a[0] - ux * 0.34 * s, a[1] - uy * 0.34 * s)
    _cuff(ink, (back, (a[0] + ux * 0.06 * s, a[1] + uy * 0.06 * s)), 0.84 * s, 120, w)


def spanner(ink: Ink, f: Frame) -> None:
    """A spanner: the handle starts at the origin and runs two units along +x to the jaw."""
    w = 0.9 + 0.7 * f.size
    ink.limb(f([(-0.5, 0.0), (1.6, 0.0)]), [0.26 * f.size, 0.24 * f.size], 205, w)
    jaw: list[Point] = [
        (1.4, -0.12),
        (1.7, -0.36),
        (2.2, -0.36),
        (2.2, -0.36),
        (2.15, -0.14),
        (1.86, -0.1),
        (1.86, 0.1),
        (2.15, 0.14),
        (2.2, 0.36),
        (2.2, 0.36),
        (1.7, 0.36),
        (1.4, 0.12),
    ]
    edge = ink.shape(f(jaw), 205, w)
    ink.shade(edge, (-0.06 * f.size, -0.1 * f.size), 0.35)
    ink.line(f([(-0.4, -0.04), (1.3, -0.04)]), w, PAPER)


def feather(ink: Ink, f: Frame, tone: float = 225) -> None:
    """A loose feather, two units long."""
    edge = curve(
        f(
            [
                (-1.0, 0.0),
                (-1.0, 0.0),
                (-0.3, -0.32),
                (0.6, -0.28),
                (1.0, 0.0),
                (1.0, 0.0),
                (0.4, 0.26),
                (-0.4, 0.24),
            ]
        ),
        closed=True,
    )
    ink.fill(edge, tone)
    ink.outline(edge, 0.8)
    ink.line(f([(-1.3, 0.06), (-0.2, 0.0), (0.9, -0.02)]), 0.9, taper=(0, 0.5))
    for k in range(4):
        x = -0.5 + 0.36 * k
        ink.line(f([(x, 0.0), (x + 0.2, -0.18)]), 0.5)
        ink.line(f([(x, 0.0), (x + 0.2, 0.15)]), 0.5)


def legs(
    ink: Ink, f: Frame, joints: tuple[tuple[Point, ...], ...], tone: float, width: float
) -> None:
    """Legs: for each, hip, knee and ankle in the body's units; a boot ends each."""
    w = 0.8 + 0.8 * f.size
    s = f.size * width
    for hip, knee, ankle in joints:
        edge = ink.limb(f([hip, knee, ankle]), [1.1 * s, 0.9 * s, 0.72 * s], tone, w)
        ink.shade(edge, (-0.12 * f.size, -0.08 * f.size), 0.35)
        x, y = ankle
        boot = ink.shape(
            f(
                [
                    (x - 0.4 * width, y - 0.3),
                    (x - 0.4 * width, y - 0.3),
                    (x + 0.38 * width, y - 0.3),
                    (x + 0.38 * width, y - 0.3),
                    (x + 0.46 * width, y + 0.1),
                    (x + 0.95 * width, y + 0.35),
                    (x + 0.95 * width, y + 0.62),
                    (x - 0.42 * width, y + 0.62),
                    (x - 0.42 * width, y + 0.62),
                ]
            ),
            34,
            w,
        )
        with ink.inside(boot):
            ink.line(f([(x - 0.28, y - 0.2), (x - 0.28, y + 0.3)]), w, 190)
            ink.line(f([(x - 0.5, y + 0.5), (x + 1.0, y + 0.5)]), w * 0.8, 120, (0, 0))
