"""The owl of the story, perched and in flight, drawn in units of half its face."""

from __future__ import annotations

import math

from drawing.ink import BLACK, PAPER, Frame, Ink, Point, oval


def owl_face(ink: Ink, f: Frame, lids: float = 0.0, gaze: Point = (0.0, 0.0)) -> None:
    """An owl's two pale discs, eyes and beak; lids 0 wide awake, 1 asleep."""
    w = 0.8 + 1.2 * f.size
    for side in (-1.0, 1.0):
        disc = ink.shape(
            f(
                [
                    (side * 0.04, -0.35),
                    (side * 0.3, -0.62),
                    (side * 0.72, -0.5),
                    (side * 0.92, -0.05),
                    (side * 0.72, 0.4),
                    (side * 0.3, 0.52),
                    (side * 0.04, 0.3),
                ]
            ),
            PAPER,
            w * 0.8,
        )
        with ink.inside(disc):
            for k in range(14):
                a = 2 * math.pi * k / 14
                cx = side * 0.42
                ink.line(
                    f(
                        [
                            (cx + 0.36 * math.cos(a), -0.04 + 0.36 * math.sin(a)),
                            (cx + 0.5 * math.cos(a), -0.04 + 0.5 * math.sin(a)),
                        ]
                    ),
                    w * 0.55,
                    90,
                )
        rim = f(oval(side * 0.42, -0.04, 0.3, 0.3))
        if lids >= 1:
            ink.line(f([(side * 0.16, 0.0), (side * 0.42, 0.13), (side * 0.68, 0.0)]), w * 1.6)
            continue
        ink.fill(rim, PAPER)
        with ink.inside(rim):
            px, py = side * 0.42 + gaze[0] * 0.1, -0.04 + gaze[1] * 0.1
            ink.fill(f(oval(side * 0.42, -0.04, 0.3, 0.3)), 215)
            ink.fill(f(oval(px, py, 0.17, 0.17)), BLACK)
            ink.fill(f(oval(px - 0.06, py - 0.07, 0.055, 0.055)), PAPER)
            if lids > 0:
                y = -0.34 + 0.6 * lids
                ink.fill(
                    f(
                        [
                            (side * 0.0, -0.5),
                            (side * 0.9, -0.5),
                            (side * 0.9, y - 0.04),
                            (0.0, y + 0.05),
                        ]
                    ),
                    165,
                )
                ink.line(
                    f([(side * 0.05, y + 0.06), (side * 0.42, y), (side * 0.8, y - 0.03)]),
                    w * 1.4,
                    taper=(0, 0),
                )
        ink.outline(rim, w * 1.1)
    beak = ink.shape(
        f([(0.0, 0.0), (0.0, 0.0), (0.13, 0.16), (0.0, 0.44), (0.0, 0.44), (-0.13, 0.16)]), 70, w
    )
    ink.shade(beak, f.move(-0.06, 0.0), 0.5)
    for side in (-1.0, 1.0):
        tuft: list[Point] = [
            (side * 0.02, -0.2),
            (side * 0.02, -0.2),
            (side * 0.3, -0.52),
            (side * 0.9, -0.98),
            (side * 0.9, -0.98),
            (side * 0.78, -0.55),
            (side * 0.36, -0.34),
        ]
        edge = ink.shape(f(tuft), 60, w * 0.9)
        ink.shade(edge, f.move(0.0, 0.06), 0.6)


def owl(ink: Ink, f: Frame, lids: float = 0.0, gaze: Point = (0.0, 0.0)) -> None:
    """An owl perched: the feet at about y 1.7, the face one unit half wide."""
    w = 0.9 + 1.2 * f.size
    body = ink.shape(
        f(
            [
                (-0.86, -0.5),
                (-0.5, -0.78),
                (0.0, -0.7),
                (0.5, -0.78),
                (0.86, -0.5),
                (1.02, 0.3),
                (1.04, 1.0),
                (0.7, 1.6),
                (0.0, 1.78),
                (-0.7, 1.6),
                (-1.04, 1.0),
                (-1.02, 0.3),
            ]
        ),
        150,
        w * 1.2,
    )
    with ink.inside(body):
        ink.fill(f(oval(0, 1.2, 0.66, 0.85)), 228)
        for row in range(5):
            for k in range(-2, 3):
                x = 0.25 * k + (0.12 if row % 2 else 0.0)
                y = 0.72 + 0.2 * row
                if abs(x) < 0.6:
                    ink.line(
                        f([(x - 0.07, y - 0.03), (x, y + 0.07), (x + 0.07, y - 0.03)]), w * 0.75
                    )
    for side in (-1.0, 1.0):
        wing = ink.shape(
            f(
                [
                    (side * 0.86, 0.2),
                    (side * 1.12, 0.5),
                    (side * 1.1, 1.2),
                    (side * 0.78, 1.86),
                    (side * 0.78, 1.86),
                    (side * 0.6, 1.4),
                    (side * 0.62, 0.7),
                ]
            ),
            100,
            w,
        )
        with ink.inside(wing):
            for k in range(4):
                y = 0.55 + 0.28 * k
                ink.line(
                    f([(side * 1.12, y), (side * 0.9, y + 0.22), (side * 0.64, y + 0.1)]), w * 0.8
                )
        for k in range(3):
            x = side * 0.3 + (k - 1) * 0.13
            ink.limb(
                f([(x, 1.66), (x + 0.01, 1.8), (x, 1.9)]),
                [0.12 * f.size, 0.1 * f.size, 0.06 * f.size],
                200,
                w * 0.7,
            )
    owl_face(ink, f, lids, gaze)


def _plume(ink: Ink, f: Frame, side: float, root: Point, tip: Point, width: float) -> None:
    """One flight feather: broad, round-ended, barred, its shaft a fine line."""
    w = 0.9 + 1.0 * f.size
    (rx, ry), (tx, ty) = root, tip
    dx, dy = tx - rx, ty - ry
    n = math.hypot(dx, dy)
    nx, ny = -dy / n * width, dx / n * width

    def at(t: float, across: float) -> Point:
        return (side * (rx + dx * t + nx * across), ry + dy * t + ny * across)

    edge = ink.shape(
        f(
            [
                at(0, 0),
                at(0, 0),
                at(0.35, 0.9),
                at(0.8, 1.0),
                at(0.97, 0.55),
                at(1.0, 0),
                at(0.95, -0.6),
                at(0.75, -0.95),
                at(0.35, -0.8),
            ]
        ),
        214,
        w,
    )
    with ink.inside(edge):
        for t in (0.42, 0.62, 0.82):
            ink.line(f([at(t, -1.2), at(t + 0.05, 0), at(t, 1.2)]), w * 3.6, 118, (0, 0))
        ink.fill(f([at(0.93, -1.3), at(0.93, 1.3), at(1.1, 1.3), at(1.1, -1.3)]), 70)
    ink.outline(edge, w * 0.9)
    ink.line(f([at(0.1, 0), at(0.9, 0)]), w * 0.7)


def _wing(ink: Ink, f: Frame, side: float) -> None:
    w = 0.9 + 1.0 * f.size
    for k in range(6):
        t = k / 5
        root = (0.75 + 1.0 * t, 0.3 - 0.75 * t)
        a = math.radians(72 - 40 * t)
        _plume(
            ink, f, side, root, (root[0] + 1.25 * math.cos(a), root[1] + 1.25 * math.sin(a)), 0.2
        )
    for k in range(7):
        t = k / 6
        root = (1.85 + 0.12 * t, -0.55 - 0.6 * t)
        a = math.radians(24 - 92 * t)
        n = 1.45 + 0.25 * math.sin(math.pi * t)
        _plume(ink, f, side, root, (root[0] + n * math.cos(a), root[1] + n * math.sin(a)), 0.19)
    arm = ink.shape(
        f(
            [
                (side * 0.55, 0.75),
                (side * 0.62, 0.0),
                (side * 1.1, -0.7),
                (side * 1.7, -1.22),
                (side * 2.16, -1.6),
                (side * 2.3, -1.62),
                (side * 2.3, -1.2),
                (side * 2.28, -0.6),
                (side * 2.0, -0.12),
                (side * 1.6, 0.2),
                (side * 1.2, 0.55),
                (side * 0.85, 0.9),
            ]
        ),
        104,
        w * 1.2,
    )
    with ink.inside(arm):
        ink.shade(arm, (0.0, -0.3 * f.size), 0.3)
        for row in range(4):
            for k in range(8):
                x, y = 0.7 + 0.26 * k, 0.62 - 0.27 * k + 0.28 * row - 0.5
                scale = [
                    (side * (x - 0.11), y),
                    (side * x, y + 0.16),
                    (side * (x + 0.13), y - 0.03),
                ]
                ink.line(f(scale), w * 0.9)


def owl_flying(ink: Ink, f: Frame) -> None:
    """The owl in full burst, wings wide, toward us."""
    w = 0.9 + 1.2 * f.size
    for k in (0, 4, 1, 3, 2):
        a = math.radians(58 + 16 * k)
        _plume(
            ink,
            f,
            1.0,
            (0.25 * math.cos(a), 0.9),
            (2.1 * math.cos(a), 0.5 + 2.0 * math.sin(a)),
            0.24,
        )
    for side in (-1.0, 1.0):
        _wing(ink, f, side)
    body = ink.shape(
        f(
            [
                (-0.86, -0.4),
                (-0.5, -0.74),
                (0.0, -0.66),
                (0.5, -0.74),
                (0.86, -0.4),
                (0.94, 0.4),
                (0.8, 1.1),
                (0.4, 1.55),
                (-0.4, 1.55),
                (-0.8, 1.1),
                (-0.94, 0.4),
            ]
        ),
        150,
        w * 1.2,
    )
    with ink.inside(body):
        ink.fill(f(oval(0, 1.05, 0.62, 0.7)), 228)
        for row in range(4):
            for k in range(-2, 3):
                x = 0.25 * k + (0.12 if row % 2 else 0.0)
                y = 0.68 + 0.2 * row
                ink.line(f([(x - 0.07, y - 0.03), (x, y + 0.07), (x + 0.07, y - 0.03)]), w * 0.75)
    for side in (-1.0, 1.0):
        ink.limb(f([(side * 0.4, 1.3), (side * 0.5, 1.72)]), [0.34 * f.size, 0.26 * f.size], 190, w)
        for k in (-1, 0, 1):
            x = side * 0.5 + 0.2 * k
            toe = f([(side * 0.5 + 0.06 * k, 1.74), (x, 1.9), (x + 0.03 * k, 2.06)])
            ink.limb(toe, [0.15 * f.size, 0.12 * f.size, 0.03 * f.size], 120, w)
    owl_face(ink, f)
