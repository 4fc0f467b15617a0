"""Page 3: who was in the works, and what they did about it."""

from __future__ import annotations

import math

from drawing.figures import DENIM, Arm, legs, tobit_arm, tobit_body, wen_arm, wen_body
from drawing.ink import PAPER, Frame, Ink, Point, box, curve, oval
from drawing.owl import owl
from drawing.people import Look, tobit_head, wen_head
from drawing.props import (
    bolt,
    border,
    bricks,
    far_wheel,
    lens,
    rain,
    wheel,
    window,
)

PANELS: dict[int, list[Point]] = {
    1: box(0.3, 0.3, 3.95, 3.1),
    2: box(4.39, 0.3, 1.935, 3.1),
    3: [(0.3, 3.54), (3.2, 3.54), (3.45, 6.4), (0.3, 6.4)],
    4: [(3.35, 3.54), (6.325, 3.54), (6.325, 6.4), (3.6, 6.4)],
    5: box(-0.125, 6.54, 6.875, 3.835),
}


def draw(ink: Ink) -> dict[str, Point]:
    """Draw the page; give back the mouths and other points that lettering aims at."""
    marks: dict[str, Point] = {}
    for number, scene in ((1, _mother), (2, _nest), (3, _boats), (4, _turning), (5, _dawn)):
        with ink.inside(PANELS[number]):
            scene(ink, marks)
        if number == 5:
            ink.ruled([(-0.2, 6.54), (6.85, 6.54)], 1.75, closed=False)
        else:
            border(ink, PANELS[number])
    return marks


def _mother(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fade(PANELS[1], (60, 150), ((0, 0.3), (0, 3.4)))
    far_wheel(ink, Frame(0.4, 1.5, 0.7), 16, 92, 106, 3)
    far_wheel(ink, Frame(4.1, 1.4, 0.8), 18, 88, 104, 0)
    tobit = Frame(0.86, 2.2, 0.37, 4)
    tobit_body(ink, tobit)
    marks["3.1 TOBIT"] = tobit_head(
        ink, tobit, Look(turn=0.95, gaze=(0.7, 0.1), eyes=1.15, brow=0.5, frown=-0.4, mouth="talk")
    )
    wen = Frame(3.68, 2.36, 0.36, 4, True)
    wen_body(ink, wen)
    marks["3.1 WEN"] = wen_head(
        ink, wen, Look(turn=0.95, gaze=(0.8, 0.1), brow=0.4, frown=-0.3, mouth="smile")
    )
    wheel(ink, Frame(2.25, 4.22, 1.36), 34, 186, 6, 1.0, 2)
    owl(ink, Frame(2.25, 2.12, 0.42), 0.42)
    wen_arm(ink, wen, Arm((0.95, 2.1), (1.2, 3.0), (2.0, 2.1), "point", 14))


def _egg(ink: Ink, f: Frame) -> None:
    edge = ink.shape(
        f(
            [
                (0.0, -1.0),
                (0.55, -0.6),
                (0.78, 0.15),
                (0.5, 0.8),
                (0.0, 0.95),
                (-0.5, 0.8),
                (-0.78, 0.15),
                (-0.55, -0.6),
            ]
        ),
        248,
        1.4,
    )
    ink.shade(edge, (-0.16 * f.size, -0.14 * f.size), 0.2)
    r = ink.random
    with ink.inside(edge):
        for _ in range(16):
            x, y, n = r.uniform(-0.6, 0.6), r.uniform(-0.7, 0.8), r.uniform(0.03, 0.07)
            ink.fill(f(oval(x, y, n, n * 0.8, count=10)), 120)


def _nest(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fill(PANELS[2], 30)
    far_wheel(ink, Frame(4.6, 1.5, 0.7), 16, 62, 30, 3)
    wheel(ink, Frame(4.42, 2.1, 0.62), 18, 130, 5, 1.0, 8)
    wheel(ink, Frame(6.3, 1.72, 0.5), 15, 110, 4, 1.0, 3)
    nest = ink.shape(
        [
            (4.52, 2.62),
            (4.62, 2.34),
            (5.0, 2.24),
            (5.4, 2.28),
            (5.8, 2.22),
            (6.14, 2.36),
            (6.22, 2.66),
            (6.08, 2.98),
            (5.7, 3.14),
            (5.3, 3.16),
            (4.9, 3.12),
            (4.62, 2.92),
        ],
        70,
        1.4,
    )
    with ink.inside(nest):
        ink.shade(nest, (0.0, 0.14), 0.6)
    _egg(ink, Frame(5.0, 2.32, 0.3, -10))
    _egg(ink, Frame(5.78, 2.34, 0.29, 12))
    _egg(ink, Frame(5.38, 2.42, 0.34, 2))
    ink.line(
        [
            (5.2, 2.2),
            (5.28, 2.27),
            (5.28, 2.27),
            (5.33, 2.19),
            (5.33, 2.19),
            (5.4, 2.28),
            (5.4, 2.28),
            (5.46, 2.2),
            (5.46, 2.2),
            (5.55, 2.26),
        ],
        1.3,
        taper=(0.1, 0.2),
    )
    _scarf(ink, [(4.46, 2.56), (4.8, 2.76), (5.36, 2.84), (5.92, 2.76), (6.28, 2.52)], 0.3)
    _scarf(ink, [(4.5, 2.8), (4.9, 3.02), (5.4, 3.1), (5.9, 3.0), (6.24, 2.78)], 0.28)
    _scarf(ink, [(6.1, 2.62), (6.2, 2.9), (6.1, 3.3), (6.14, 3.6)], 0.26)
    r = ink.random
    for _ in range(16):
        x, y = r.uniform(4.6, 6.2), r.uniform(2.7, 3.1)
        ink.line([(x, y), (x + r.uniform(-0.22, 0.22), y - r.uniform(0.1, 0.25))], 0.9, 235)
    marks["3.2 egg"] = (5.38, 2.3)


def _scarf(ink: Ink, spine: list[Point], width: float) -> None:
    edge = ink.limb(spine, [width, width * 1.05, width], 224, 1.4)
    fine = curve(spine)
    with ink.inside(edge):
        for k in range(2, len(fine) - 2, 7):
            a, b = fine[k - 2], fine[k + 2]
            n = math.hypot(b[0] - a[0], b[1] - a[1])
            nx, ny = -(b[1] - a[1]) / n * width, (b[0] - a[0]) / n * width
            x, y = fine[k]
            ink.line([(x - nx, y - ny), (x + nx, y + ny)], 7.0, 96, (0, 0))
    ink.shade(edge, (0.0, -0.08), 0.3)
    ink.outline(edge, 1.3)


def _boats(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fill(PANELS[3], 202)
    window(ink, [(0.2, 4.55), (3.45, 4.55), (3.45, 5.95), (0.2, 5.95)], (4, 2), 80)
    for x, y in ((2.98, 4.84), (3.18, 4.92)):
        ink.fill(oval(x, y, 0.035, 0.035), PAPER)
        ink.fill(oval(x, y, 0.08, 0.08), PAPER, 0.3)
    ink.fill(box(0.2, 5.95, 3.4, 0.6), 140)
    ink.line([(0.2, 5.96), (3.5, 5.96)], 2.0, taper=(0, 0))
    ink.hatch(box(0.2, 6.0, 3.4, 0.5), 90, 0.11, 0.8)
    tobit = Frame(0.98, 5.42, 0.36)
    tobit_body(ink, tobit)
    marks["3.3 TOBIT"] = tobit_head(
        ink, tobit, Look(turn=0.9, gaze=(0.6, 0.2), eyes=1.2, brow=0.3, frown=-0.6, mouth="shout")
    )
    tobit_arm(ink, tobit, Arm((1.45, 2.1), (2.0, 3.0), (2.35, 1.5), "open", -10))
    wen = Frame(2.8, 5.68, 0.33, 0, True)
    wen_body(ink, wen)
    wen_arm(ink, wen, Arm((-0.98, 1.95), (-1.7, 2.7), (-0.9, 3.6)))
    wen_arm(ink, wen, Arm((0.98, 1.95), (1.7, 2.7), (0.9, 3.6)))
    marks["3.3 WEN"] = wen_head(
        ink, wen, Look(turn=0.8, gaze=(0.6, -0.2), frown=0.4, mouth="smirk")
    )


def _turning(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fill(PANELS[4], 48)
    rain(ink, box(3.3, 3.5, 3.1, 1.9), 70, 170)
    for x in (3.9, 4.5, 5.5, 6.1):
        ink.line([(x, 3.4), (x, 5.6)], 4.0, taper=(0, 0))
    ink.fill(box(3.3, 5.5, 3.2, 1.0), 96)
    for spread, strength in ((0.75, 0.25), (0.5, 0.35), (0.28, 0.6)):
        ink.fill([(5.0, 4.83), (3.2, 4.83 - spread), (3.2, 4.83 + spread)], PAPER, strength)
        ink.fill([(5.0, 4.83), (6.6, 4.83 - spread), (6.6, 4.83 + spread)], PAPER, strength)
    floor = oval(4.97, 6.15, 1.6, 0.42)
    ink.fill(floor, 176)
    ink.outline(floor, 1.4)
    ink.fill([(4.72, 5.5), (5.26, 5.5), (5.36, 6.1), (4.62, 6.1)], 40)
    ink.line([(4.78, 5.55), (4.72, 6.05)], 2.0, 170)
    lens(ink, Frame(4.98, 4.83, 0.44))
    ring = oval(4.98, 5.48, 0.56, 0.13)
    ink.fill(ring, 120)
    ink.outline(ring, 1.4)
    # Tobit pushes on the far side, Wen on the near one.
    ink.limb([(5.2, 5.56), (6.0, 5.7)], [0.07, 0.07], 200, 1.2)
    tobit = Frame(5.82, 5.1, 0.185, -14, True)
    legs(
        ink,
        tobit,
        (((-0.6, 4.6), (-1.2, 5.2), (-2.0, 5.6)), ((0.5, 4.6), (0.9, 5.2), (0.2, 6.0))),
        90,
        1.1,
    )
    tobit_body(ink, tobit, 4.9)
    tobit_arm(ink, tobit, Arm((0.9, 2.1), (1.2, 3.2), (1.9, 2.9)))
    tobit_head(ink, tobit, Look(turn=0.95, gaze=(0.5, 0.2), frown=0.8, mouth="flat"))
    ink.limb([(4.8, 5.58), (4.06, 5.86)], [0.075, 0.075], 215, 1.2)
    wen = Frame(4.12, 5.2, 0.2, 16)
    legs(
        ink,
        wen,
        (((-0.4, 3.6), (-0.7, 4.2), (-1.6, 4.7)), ((0.4, 3.6), (1.0, 4.2), (0.6, 5.2))),
        DENIM,
        1.0,
    )
    wen_body(ink, wen, 3.9)
    wen_arm(ink, wen, Arm((0.6, 2.0), (0.9, 3.0), (1.9, 2.3)))
    wen_head(ink, wen, Look(turn=0.95, gaze=(0.6, 0.0), frown=0.5, mouth="smirk"))


def _dawn(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fade(PANELS[5], (176, 252), ((0, 6.54), (0, 8.9)))
    sun = oval(0.75, 8.86, 0.42, 0.42)
    for n, strength in ((1.3, 0.3), (0.85, 0.4)):
        ink.fill(oval(0.75, 8.86, n, n), PAPER, strength)
    ink.fill(sun, PAPER)
    ink.outline(sun, 1.0)
    for y, x0, x1 in ((7.98, 3.0, 3.5), (8.2, -0.2, 0.5), (8.3, 4.4, 5.3), (8.44, 2.6, 3.3)):
        ink.line([(x0, y), ((x0 + x1) / 2, y - 0.03), (x1, y)], 3.0, 225)
    for x, y, n in ((2.9, 8.22, 0.09), (3.1, 8.12, 0.06), (0.35, 8.0, 0.08)):
        ink.line([(x - n, y - n * 0.4), (x - n * 0.4, y - n * 0.6), (x, y), (x, y)], 1.2)
        ink.line([(x, y), (x, y), (x + n * 0.4, y - n * 0.6), (x + n, y - n * 0.4)], 1.2)
    ink.fade(box(-0.2, 8.88, 7.0, 1.6), (212, 120), ((0, 8.88), (0, 10.3)))
    ink.line([(-0.2, 8.88), (6.9, 8.88)], 1.0, taper=(0, 0))
    r = ink.random
    for _ in range(70):
        y = 8.92 + 1.45 * r.random() ** 1.5
        x = r.uniform(-0.2, 6.7)
        n = 0.05 + 0.28 * (y - 8.88)
        ink.line(
            [(x, y), (x + n / 2, y + 0.012), (x + n, y)], 0.9, 60 if r.random() < 0.6 else PAPER
        )
    for x, y, n in ((1.3, 8.84, 0.1), (2.95, 8.88, 0.13)):
        b = Frame(x, y, n)
        ink.shape(
            b([(-1.0, 0.0), (-1.0, 0.0), (1.1, 0.0), (1.1, 0.0), (0.8, 0.42), (-0.8, 0.42)]),
            30,
            0.7,
        )
        ink.shape(
            b([(0.1, -0.1), (0.1, -0.1), (0.1, -2.0), (0.1, -2.0), (1.0, -0.2), (1.0, -0.2)]),
            PAPER,
            0.7,
        )
        ink.shape(
            b(
                [
                    (-0.05, -0.1),
                    (-0.05, -0.1),
                    (-0.05, -1.6),
                    (-0.05, -1.6),
                    (-0.8, -0.2),
                    (-0.8, -0.2),
                ]
            ),
            190,
            0.7,
        )
    _lamp_room(ink)
    # The gallery, and the two of them with their legs over the edge.
    deck = box(-0.3, 9.5, 7.3, 0.14)
    wall = [(0.9, 9.64), (7.0, 9.64), (7.0, 10.5), (1.4, 10.5)]
    ink.fill(wall, 236)
    bricks(ink, wall, 0.16, 232, 0.28)
    ink.fill([(0.9, 9.64), (7, 9.64), (7, 9.8), (1.0, 9.8)], 0, 0.4)
    ink.outline(wall, 1.3)
    wen = Frame(1.95, 8.32, 0.36)
    tobit = Frame(3.72, 8.12, 0.38, 0, True)
    tobit_body(ink, tobit, 3.75)
    wen_body(ink, wen, 3.35)
    ink.fill(deck, 90)
    ink.outline(deck, 1.5)
    for k in range(14):
        ink.line([(0.1 + 0.5 * k, 9.52), (0.02 + 0.5 * k, 9.62)], 0.9)
    legs(
        ink,
        tobit,
        (((0.75, 3.5), (0.8, 4.1), (0.75, 5.1)), ((-0.75, 3.5), (-0.8, 4.1), (-0.8, 5.0))),
        90,
        1.1,
    )
    legs(
        ink,
        wen,
        (((-0.6, 3.2), (-0.65, 3.8), (-0.6, 4.7)), ((0.6, 3.2), (0.65, 3.8), (0.7, 4.6))),
        DENIM,
        1.0,
    )
    # The rail.
    for x in (0.1, 0.72, 1.32, 2.68, 4.7, 5.3, 5.9, 6.5):
        ink.limb([(x, 9.0), (x, 9.5)], [0.045, 0.045], 60, 1.0)
    ink.limb([(-0.4, 9.0), (7.0, 9.0)], [0.07, 0.07], 150, 1.3)
    wen_arm(ink, wen, Arm((-0.95, 1.95), (-1.4, 2.75), (-0.35, 2.1)), 0.8)
    _mug(ink, Frame(*wen.at(0.3, 1.72), 0.17))
    wen_arm(ink, wen, Arm((0.98, 1.95), (1.5, 2.75), (0.95, 2.1)), 0.8)
    tobit_arm(ink, tobit, Arm((-1.35, 2.1), (-2.0, 2.9), (-0.85, 2.75)), 0.9)
    _mug(ink, Frame(*tobit.at(-0.05, 2.4), 0.18))
    tobit_arm(ink, tobit, Arm((1.35, 2.1), (2.0, 2.9), (0.75, 2.75)), 0.9)
    marks["3.5 WEN"] = wen_head(
        ink, wen, Look(turn=0.85, gaze=(0.7, -0.2), brow=0.2, mouth="smile")
    )
    marks["3.5 TOBIT"] = tobit_head(
        ink,
        tobit,
        Look(turn=0.55, gaze=(0.7, 0.2), eyes=0.75, brow=0.2, frown=0.25, mouth="smile"),
    )
    owl(ink, Frame(5.0, 8.5, 0.27), 1.0)


def _mug(ink: Ink, f: Frame) -> None:
    handle = oval(0.62, 0.0, 0.34, 0.36)
    ink.outline(f(handle), 4.6)
    ink.outline(f(handle), 2.2, PAPER)
    edge = ink.shape(
        f(
            [
                (-0.55, -0.6),
                (-0.55, -0.6),
                (0.55, -0.6),
                (0.55, -0.6),
                (0.48, 0.6),
                (0.48, 0.6),
                (-0.48, 0.6),
                (-0.48, 0.6),
            ]
        ),
        PAPER,
        1.2,
    )
    ink.shade(edge, (-0.05, 0.0), 0.25)
    rim = f(oval(0, -0.6, 0.55, 0.16))
    ink.fill(rim, 110)
    ink.outline(rim, 0.9)
    for x, lean in ((-0.2, 0.1), (0.2, -0.1)):
        ink.line(f([(x, -0.9), (x + lean, -1.3), (x - lean, -1.7), (x + lean, -2.2)]), 1.4, 120)


def _lamp_room(ink: Ink) -> None:
    ink.fill([(5.5, 7.95), (7.0, 7.95), (7.0, 9.5), (5.5, 9.5)], 200)
    lens(ink, Frame(6.38, 8.72, 0.5), lit=False)
    for x in (5.5, 5.92, 6.5):
        ink.limb([(x, 7.9), (x, 9.5)], [0.05, 0.05], 50, 1.0)
    for a, b in (((5.6, 8.9), (5.85, 8.2)), ((5.7, 9.0), (5.88, 8.5)), ((6.0, 8.5), (6.1, 8.2))):
        ink.line([a, b], 2.2, PAPER)
    ink.fill(box(5.44, 9.1, 1.6, 0.4), 176)
    ink.ruled(box(5.44, 9.1, 1.6, 0.5), 1.4)
    roof = ink.shape(
        [(5.3, 7.96), (5.3, 7.96), (5.6, 7.6), (6.2, 7.34), (7.0, 7.28), (7.0, 7.96), (7.0, 7.96)],
        40,
        1.5,
    )
    with ink.inside(roof):
        ink.line([(5.6, 7.8), (5.95, 7.58), (6.5, 7.42)], 2.6, 190)
    eave = box(5.26, 7.94, 1.8, 0.08)
    ink.fill(eave, 110)
    ink.outline(eave, 1.2)
    bolt(ink, 5.6, 9.3, 0.04)
