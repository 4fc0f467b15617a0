"""Page 2: into the works, and out of them again."""

from __future__ import annotations

import math

from drawing.figures import (
    DENIM,
    Arm,
    feather,
    legs,
    tobit_arm,
    tobit_body,
    wen_arm,
    wen_body,
    wen_hem,
)
from drawing.ink import BLACK, PAPER, Frame, Ink, Point, box, curve, oval
from drawing.owl import owl_flying
from drawing.people import Look, tobit_head, wen_head
from drawing.props import (
    bolt,
    border,
    bricks,
    far_wheel,
    glow,
    lantern,
    planks,
    rays,
    shaft,
    wheel,
)

PANELS: dict[int, list[Point]] = {
    1: box(0.3, 0.3, 2.7, 5.8),
    2: box(3.14, 0.3, 3.185, 2.45),
    3: box(3.14, 2.89, 3.185, 1.42),
    4: box(3.14, 4.45, 3.185, 1.65),
    5: box(-0.125, 6.24, 6.875, 4.135),
}


def draw(ink: Ink) -> dict[str, Point]:
    """Draw the page; give back the mouths and other points that lettering aims at."""
    marks: dict[str, Point] = {}
    for number, scene in ((1, _doubt), (2, _hatch), (3, _eyes), (4, _hello), (5, _burst)):
        with ink.inside(PANELS[number]):
            scene(ink, marks)
        if number == 5:
            ink.ruled([(-0.2, 6.24), (6.85, 6.24)], 1.75, closed=False)
        else:
            border(ink, PANELS[number])
    return marks


def _doubt(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fill(PANELS[1], 214)
    bricks(ink, box(0.3, 2.1, 2.8, 3.7), 0.17, 206, 0.3)
    ink.fade(box(0.3, 4.3, 0.9, 1.42), (190, 120), ((0, 4.3), (0, 5.7)))
    ink.fade(box(0.3, 0.3, 2.7, 1.9), (150, 206), ((0, 0.3), (0, 2.2)))
    # The iron case of the machine, with its round hatch.
    ink.fill(box(1.2, 3.95, 2.0, 1.95), 96)
    ink.fill(box(1.2, 3.87, 2.0, 0.12), 140)
    ink.ruled(box(1.2, 3.87, 2.2, 0.12), 1.3)
    for k in range(8):
        bolt(ink, 1.32 + 0.24 * k, 4.1, 0.035)
    ink.hatch(box(1.2, 3.99, 2.0, 1.9), 90, 0.05, 0.55)
    planks(ink, [(0.2, 5.72), (3.1, 5.72), (3.1, 6.2), (0.2, 6.2)], 8, 150, (1.7, 4.4))
    ink.line([(0.3, 5.72), (3.0, 5.72)], 1.6, taper=(0, 0))
    ring = oval(2.72, 5.02, 0.44, 0.5)
    ink.fill(ring, 150)
    ink.outline(ring, 1.8)
    for k in range(12):
        a = 2 * math.pi * k / 12
        bolt(ink, 2.72 + 0.385 * math.cos(a), 5.02 + 0.44 * math.sin(a), 0.028)
    hole = oval(2.72, 5.02, 0.33, 0.38)
    ink.fill(hole, 8)
    ink.outline(hole, 1.4)
    tobit = Frame(0.9, 2.98, 0.345)
    legs(
        ink,
        tobit,
        (((-0.8, 5.4), (-0.85, 6.4), (-0.9, 7.5)), ((0.7, 5.4), (0.8, 6.4), (0.8, 7.5))),
        90,
        1.2,
    )
    tobit_body(ink, tobit, 6.1)
    tobit_arm(ink, tobit, Arm((-1.45, 2.3), (-2.0, 3.7), (-0.7, 4.2)))
    tobit_arm(ink, tobit, Arm((1.4, 2.3), (1.75, 3.7), (0.2, 4.15)))
    marks["2.1 TOBIT"] = tobit_head(
        ink, tobit, Look(turn=0.95, gaze=(0.5, 0.5), eyes=0.85, frown=0.8, mouth="talk")
    )
    wen = Frame(2.14, 4.0, 0.315, 0, True)
    legs(
        ink,
        wen,
        (((0.5, 4.3), (0.55, 5.0), (0.55, 5.7)), ((-0.5, 4.3), (-0.5, 5.0), (-0.45, 5.7))),
        DENIM,
        1.0,
    )
    wen_body(ink, wen, 4.3)
    wen_hem(ink, wen, 4.3)
    wen_arm(ink, wen, Arm((0.98, 1.95), (1.5, 2.9), (0.9, 3.9)))
    wen_arm(ink, wen, Arm((-0.98, 1.95), (-1.3, 2.95), (-1.75, 2.3), "point", 60))
    marks["2.1 WEN"] = wen_head(
        ink, wen, Look(turn=0.75, gaze=(0.5, -0.5), brow=0.4, frown=-0.2, mouth="smirk")
    )


def _hatch(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fill(PANELS[2], 12)
    far_wheel(ink, Frame(3.3, 2.2, 0.75), 16, 40, 12, 5)
    far_wheel(ink, Frame(6.2, 1.3, 0.7), 15, 36, 12, 0)
    rim = oval(4.74, 1.7, 1.1, 1.03, count=60)
    ink.fill(rim, 110)
    ink.outline(rim, 2.2)
    for k in range(16):
        a = 2 * math.pi * (k + 0.5) / 16
        bolt(ink, 4.74 + 1.0 * math.cos(a), 1.7 + 0.93 * math.sin(a), 0.045, 170)
    hole = oval(4.74, 1.7, 0.9, 0.83, count=60)
    ink.fill(hole, 224)
    with ink.inside(hole):
        bricks(ink, box(3.8, 0.8, 1.9, 1.8), 0.16, 222, 0.3)
        ink.shade(hole, (0.12, 0.12), 0.3)
        tobit = Frame(6.0, 0.7, 0.34, 0, True)
        lamp = Frame(5.32, 1.2, 0.24)
        glow(ink, lamp.at(0, 1.1), 0.42, 3, 0.3)
        tobit_arm(ink, tobit, Arm((0.5, 4.4), (0.95, 3.0), (1.75, 1.55), "fist", 10))
        lantern(ink, lamp)
    ink.outline(hole, 2.0)
    wen = Frame(4.62, 1.78, 0.41, 4, True)
    body = curve([*oval(4.74, 1.7, 0.9, 0.83, count=30)], closed=True)
    with ink.inside(body):
        wen_body(ink, wen, 4.0)
    marks["2.2 WEN"] = wen_head(ink, wen, Look(turn=0.7, gaze=(0.4, 0.3), frown=0.5, mouth="talk"))
    wen_arm(ink, wen, Arm((0.9, 1.6), (1.55, 1.9), (2.05, 1.15), "open", 8), 1.05)
    wheel(ink, Frame(5.85, 2.62, 0.56), 18, 120, 5, 1.0, 4)
    wheel(ink, Frame(3.55, 2.85, 0.42), 14, 96, 4, 1.0, 4)
    marks["2.2 light"] = (5.42, 1.22)


def _eyes(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fill(PANELS[3], 6)
    far_wheel(ink, Frame(3.55, 4.1, 0.8), 18, 44, 6, 5)
    far_wheel(ink, Frame(6.05, 3.0, 0.85), 18, 38, 6, 0)
    far_wheel(ink, Frame(5.9, 4.5, 0.5), 13, 54, 6, 8)
    ink.fill([(3.1, 2.9), (3.1, 3.15), (4.6, 4.31), (5.3, 4.31)], PAPER, 0.1)
    for k in range(26):
        x, y = ink.random.uniform(3.3, 5.0), 0.0
        y = 2.95 + (x - 3.1) * 0.72 + ink.random.uniform(-0.08, 0.25)
        ink.fill(oval(x, y, 0.008, 0.008, count=8), PAPER, 0.3 + 0.02 * k)
    for x in (4.52, 5.06):
        y = 3.55
        ink.fill(oval(x, y, 0.205, 0.205), 150)
        ink.fill(oval(x, y, 0.185, 0.185), PAPER)
        ink.fill(oval(x + 0.0, y + 0.01, 0.1, 0.1), BLACK)
        ink.fill(oval(x - 0.04, y - 0.04, 0.034, 0.034), PAPER)
    for side in (-1.0, 1.0):
        tuft = [(4.79 + side * 0.06, 3.44), (4.79 + side * 0.3, 3.28), (4.79 + side * 0.58, 3.06)]
        ink.line(tuft, 2.2, 120, (0.2, 0.7))
    ink.line([(4.79, 3.62), (4.75, 3.7), (4.79, 3.82)], 1.8, 130)
    ink.line([(4.79, 3.62), (4.83, 3.7), (4.79, 3.82)], 1.8, 130)


def _hello(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fade(PANELS[4], (30, 92), ((3.14, 0), (6.3, 0)))
    far_wheel(ink, Frame(6.1, 4.7, 0.75), 16, 48, 78, 3)
    far_wheel(ink, Frame(3.3, 6.1, 0.7), 16, 62, 36, 3)
    shaft(ink, (6.12, 4.3), (6.12, 6.3), 0.13, 120)
    wen = Frame(5.12, 5.42, 0.43, 5, True)
    lamp = Frame(4.1, 5.3, 0.3)
    glow(ink, lamp.at(0, 1.1), 0.75, 5, 0.12)
    wen_body(ink, wen, 4.0)
    marks["2.4 WEN"] = wen_head(
        ink, wen, Look(turn=0.95, gaze=(0.9, -0.1), eyes=1.2, brow=0.6, frown=-0.6, mouth="o")
    )
    wen_arm(ink, wen, Arm((1.0, 2.1), (1.75, 2.0), (2.3, 0.45), "fist", 10))
    lantern(ink, lamp)


def _burst(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fill(PANELS[5], 70)
    at = (2.0, 8.75)
    rays(ink, at, 1.0, 7.0, 66, 30)
    rays(ink, at, 1.35, 7.0, 40, 205)
    glow(ink, at, 1.75, 4, 0.24)
    ink.fill(box(-0.2, 9.95, 7.0, 0.5), 26)
    planks(ink, [(-0.2, 9.9), (6.8, 9.9), (6.8, 10.45), (-0.2, 10.45)], 12, 120, (2.4, 8.6))
    ink.line([(-0.2, 9.9), (6.8, 9.9)], 1.8, taper=(0, 0))
    # The open hatch it came out of.
    ring = oval(1.95, 9.86, 1.02, 0.34)
    ink.fill(ring, 150)
    ink.outline(ring, 2.0)
    hole = oval(1.95, 9.84, 0.84, 0.25)
    ink.fill(hole, 6)
    ink.outline(hole, 1.6)
    owl_flying(ink, Frame(1.92, 8.45, 0.6, -7))
    r = ink.random
    for x, y, size, turn in (
        (0.5, 9.45, 0.15, 40),
        (3.9, 9.55, 0.12, -50),
        (6.3, 9.5, 0.12, 20),
        (1.25, 7.62, 0.13, 110),
        (2.9, 9.62, 0.11, 10),
        (6.2, 7.25, 0.13, 70),
        (2.35, 7.5, 0.1, -20),
        (1.0, 9.75, 0.1, 0),
    ):
        feather(ink, Frame(x, y, size, turn + r.uniform(-9, 9)))
    tobit = Frame(5.42, 8.2, 0.42, 8, True)
    wen = Frame(4.44, 8.65, 0.4, -6, True)
    tobit_body(ink, tobit, 5.8)
    marks["2.5 TOBIT"] = tobit_head(
        ink, tobit, Look(turn=0.8, gaze=(0.7, 0.1), eyes=1.35, brow=0.7, frown=-0.9, mouth="shout")
    )
    wen_body(ink, wen, 4.6)
    wen_arm(ink, wen, Arm((-0.9, 2.0), (-1.6, 2.3), (-2.3, 1.6), "flat", 0))
    tobit_arm(ink, tobit, Arm((1.5, 2.4), (2.2, 3.3), (3.25, 2.95), "open", 10), 1.0)
    marks["2.5 WEN"] = wen_head(
        ink, wen, Look(turn=0.8, gaze=(0.8, 0.0), eyes=1.35, brow=0.7, frown=-0.9, mouth="shout")
    )
    lantern(ink, Frame(3.5, 9.75, 0.24, 100))
