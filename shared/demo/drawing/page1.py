"""Page 1: the lamp has stopped, and there is something in the works."""

from __future__ import annotations

from drawing.figures import Arm, spanner, tobit_arm, tobit_body, wen_arm, wen_body
from drawing.ink import PAPER, Frame, Ink, Point, box, curve, oval
from drawing.people import Look, tobit_head, wen_head
from drawing.props import (
    bolt,
    border,
    far_wheel,
    glow,
    lantern,
    night,
    planks,
    rain,
    shaft,
    wave,
    wheel,
    window,
)

PANELS: dict[int, list[Point]] = {
    1: box(-0.125, -0.125, 6.875, 4.08),
    2: [(0.3, 4.1), (3.52, 4.1), (3.22, 7.0), (0.3, 7.0)],
    3: [(3.67, 4.1), (6.325, 4.1), (6.325, 7.0), (3.37, 7.0)],
    4: box(0.3, 7.14, 6.025, 2.81),
}


def draw(ink: Ink) -> dict[str, Point]:
    """Draw the page; give back the mouths and other points that lettering aims at."""
    marks: dict[str, Point] = {}
    for number, scene in ((1, _storm), (2, _arrival), (3, _works), (4, _listening)):
        with ink.inside(PANELS[number]):
            scene(ink, marks)
        if number == 1:
            ink.ruled([(-0.2, 3.955), (6.85, 3.955)], 1.75, closed=False)
        else:
            border(ink, PANELS[number])
    return marks


def _storm(ink: Ink, marks: dict[str, Point]) -> None:
    area = PANELS[1]
    night(ink, area, 34, 128)
    for tone, points in (
        (
            62,
            [
                (-0.3, 1.25),
                (0.6, 0.95),
                (1.5, 1.2),
                (2.5, 0.9),
                (3.4, 1.15),
                (4.3, 0.85),
                (5.6, 1.2),
                (7, 0.9),
                (7, -0.4),
                (-0.3, -0.4),
            ],
        ),
        (
            40,
            [
                (-0.3, 0.75),
                (0.7, 0.5),
                (1.5, 0.8),
                (2.3, 0.5),
                (3.3, 0.72),
                (4.6, 0.35),
                (5.7, 0.7),
                (7, 0.45),
                (7, -0.4),
                (-0.3, -0.4),
            ],
        ),
    ):
        edge = curve(points, closed=True)
        ink.fill(edge, tone)
    # The beam, stuck pointing one way.
    for low, strength in ((0.62, 0.28), (0.42, 0.3), (0.2, 0.4)):
        ink.fill(
            [(4.93, 0.93), (-0.3, 0.72 - low), (-0.3, 1.0 + low), (4.93, 1.03)], PAPER, strength
        )
    # Lightning.
    bolt_line: list[Point] = [(2.62, -0.2), (2.5, 0.42), (2.78, 0.62), (2.4, 1.32), (2.72, 1.5)]
    bolt_line += [(2.2, 2.28), (2.42, 2.4), (1.95, 3.2)]
    left = [(x - 0.05 * (1 - k / 8), y) for k, (x, y) in enumerate(bolt_line)]
    right = [(x + 0.05 * (1 - k / 8), y) for k, (x, y) in enumerate(bolt_line)]
    ink.fill([*left, *right[::-1]], PAPER)
    ink.line(
        [(2.74, 0.62), (3.05, 1.0), (3.05, 1.0), (2.98, 1.2), (2.98, 1.2), (3.35, 1.7)],
        1.8,
        PAPER,
        (0, 0.9),
    )
    ink.line(
        [(2.42, 1.3), (2.0, 1.62), (2.0, 1.62), (2.05, 1.78), (2.05, 1.78), (1.7, 2.2)],
        1.6,
        PAPER,
        (0, 0.9),
    )
    rain(ink, area, 300, 225, 0.38, 0.42)
    # The sea, with a small boat far out.
    wave(ink, 3.18, -0.2, 6.9, 0.12, 92)
    _boat(ink, Frame(3.05, 3.12, 0.19, -12))
    wave(ink, 3.42, -0.2, 6.9, 0.22, 58)
    _lighthouse(ink)
    wave(ink, 3.86, -0.2, 6.9, 0.3, 18)
    r = ink.random
    for _ in range(150):
        t = r.random()
        x = 3.45 + 0.95 * t + r.uniform(-0.16, 0.16)
        y = 3.35 - 0.75 * t * (1 - t) * 2.2 - 0.3 * r.random() ** 2 + 0.1 * r.random()
        n = r.uniform(0.006, 0.02)
        ink.fill(oval(x, y, n, n, count=10), PAPER)
    rain(ink, box(-0.2, 2.0, 7.0, 2.0), 60, PAPER, 0.38, 0.5)


def _boat(ink: Ink, f: Frame) -> None:
    ink.shape(
        f(
            [
                (-1.3, 0.0),
                (-1.3, 0.0),
                (0.0, 0.12),
                (1.4, -0.1),
                (1.4, -0.1),
                (0.9, 0.7),
                (-0.9, 0.7),
            ]
        ),
        20,
        0.8,
    )
    ink.line(f([(0.1, 0.0), (0.1, -1.7)]), 1.6, 0, (0, 0))
    ink.shape(
        f(
            [
                (-0.8, 0.0),
                (-0.8, 0.0),
                (-0.8, -0.6),
                (-0.8, -0.6),
                (-0.1, -0.6),
                (-0.1, -0.6),
                (-0.1, 0.05),
                (-0.1, 0.05),
            ]
        ),
        60,
        0.8,
    )
    ink.fill(f(box(-0.62, -0.45, 0.34, 0.26)), PAPER)
    ink.fill(f(oval(0.1, -1.7, 0.13, 0.13)), PAPER)


def _lighthouse(ink: Ink) -> None:
    x = 4.98
    rock = ink.shape(
        [
            (3.55, 3.9),
            (3.7, 3.5),
            (3.95, 3.4),
            (4.1, 3.12),
            (4.45, 3.02),
            (4.6, 2.86),
            (5.5, 2.84),
            (5.75, 2.96),
            (6.1, 2.98),
            (6.4, 3.2),
            (6.6, 3.22),
            (6.95, 3.5),
            (6.95, 4.2),
            (3.6, 4.2),
        ],
        14,
        1.0,
    )
    with ink.inside(rock):
        for a, b, c in (
            ((3.75, 3.56), (3.9, 3.5), (4.0, 3.44)),
            ((4.15, 3.22), (4.3, 3.16), (4.5, 3.1)),
            ((4.1, 3.36), (4.24, 3.4), (4.3, 3.6)),
            ((4.7, 3.0), (4.84, 3.1), (4.86, 3.34)),
            ((5.3, 3.0), (5.44, 3.12), (5.44, 3.4)),
            ((5.8, 3.1), (5.98, 3.12), (6.1, 3.08)),
            ((6.0, 3.26), (6.16, 3.36), (6.2, 3.6)),
            ((6.45, 3.32), (6.6, 3.32), (6.7, 3.38)),
            ((4.5, 3.3), (4.56, 3.42), (4.52, 3.6)),
            ((5.0, 3.2), (5.1, 3.3), (5.1, 3.5)),
        ):
            ink.line([a, b, c], 2.4, 150, (0.3, 0.7))
    # The keeper's house.
    house = box(5.5, 2.5, 0.72, 0.5)
    ink.fill(house, 150)
    ink.outline(house, 1.2)
    ink.shape(
        [
            (5.42, 2.53),
            (5.42, 2.53),
            (5.6, 2.26),
            (5.6, 2.26),
            (6.14, 2.26),
            (6.14, 2.26),
            (6.32, 2.53),
            (6.32, 2.53),
        ],
        30,
        1.2,
    )
    chimney = box(5.98, 2.08, 0.13, 0.22)
    ink.fill(chimney, 90)
    ink.outline(chimney, 1.0)
    lit = box(5.72, 2.64, 0.17, 0.19)
    ink.fill(lit, PAPER)
    ink.outline(lit, 1.4)
    ink.line([(5.805, 2.64), (5.805, 2.83)], 1.2, taper=(0, 0))

    # The tower.
    def side(y: float) -> float:
        t = (y - 1.16) / 1.75
        return 0.27 + 0.2 * t + 0.05 * t * t * t

    rows = [1.16 + 1.75 * k / 24 for k in range(25)]
    tower = [(x - side(y), y) for y in rows] + [(x + side(y), y) for y in reversed(rows)]
    ink.fill(tower, 246)
    with ink.inside(tower):
        for top, low in ((1.5, 1.84), (2.2, 2.56)):
            band = [(x - 0.6, top + 0.03), (x, top + 0.09), (x + 0.6, top + 0.03)]
            under = [(x + 0.6, low + 0.03), (x, low + 0.09), (x - 0.6, low + 0.03)]
            ink.fill([*curve(band), *curve(under)], 96)
            ink.line(band, 0.8, taper=(0, 0))
            ink.line(under, 0.8, taper=(0, 0))
        ink.shade(tower, (-0.2, 0), 0.32)
        ink.shade(tower, (-0.36, 0), 0.25)
        ink.hatch(
            [(x + 0.16, 1.2), (x + 0.6, 1.2), (x + 0.7, 2.95), (x + 0.26, 2.95)], 8, 0.038, 0.7
        )
    ink.outline(tower, 1.6)
    for wx, wy in ((x - 0.05, 1.36), (x - 0.08, 2.0)):
        pane = [(wx - 0.05, wy), (wx + 0.05, wy), (wx + 0.05, wy + 0.15), (wx - 0.05, wy + 0.15)]
        ink.fill(pane, 0)
        ink.fill(
            [
                (wx - 0.03, wy + 0.02),
                (wx + 0.03, wy + 0.02),
                (wx + 0.03, wy + 0.12),
                (wx - 0.03, wy + 0.12),
            ],
            PAPER,
        )
    door = ink.shape(
        [
            (x - 0.15, 2.92),
            (x - 0.15, 2.92),
            (x - 0.15, 2.68),
            (x - 0.05, 2.58),
            (x + 0.05, 2.68),
            (x + 0.05, 2.92),
            (x + 0.05, 2.92),
        ],
        30,
        1.2,
    )
    ink.shade(door, (-0.03, 0), 0.5)
    # Gallery, lamp room and roof.
    glow(ink, (x, 0.96), 0.75, 4, 0.16)
    deck = box(x - 0.44, 1.1, 0.88, 0.08)
    room = box(x - 0.25, 0.74, 0.5, 0.38)
    ink.fill(room, PAPER)
    for k in range(5):
        ink.line([(x - 0.25 + 0.125 * k, 0.74), (x - 0.25 + 0.125 * k, 1.12)], 1.5, taper=(0, 0))
    ink.line([(x - 0.25, 0.93), (x + 0.25, 0.93)], 1.0, taper=(0, 0))
    ink.shape(
        [
            (x - 0.32, 0.76),
            (x - 0.32, 0.76),
            (x - 0.2, 0.56),
            (x, 0.47),
            (x + 0.2, 0.56),
            (x + 0.32, 0.76),
            (x + 0.32, 0.76),
        ],
        24,
        1.2,
    )
    ink.line([(x - 0.2, 0.68), (x - 0.12, 0.59), (x - 0.02, 0.54)], 1.5, 190)
    ink.fill(oval(x, 0.44, 0.05, 0.05), 0)
    ink.line([(x, 0.44), (x, 0.26)], 1.4, taper=(0, 0.5))
    ink.fill(deck, 60)
    ink.outline(deck, 1.2)
    for k in range(9):
        px = x - 0.42 + 0.105 * k
        ink.line([(px, 0.96), (px, 1.1)], 0.9, taper=(0, 0))
    ink.line([(x - 0.44, 0.96), (x + 0.44, 0.96)], 1.2, taper=(0, 0))


def _arrival(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fill(PANELS[2], 196)
    window(ink, [(0.45, 5.02), (3.5, 5.02), (3.5, 6.35), (0.45, 6.35)], (4, 2), 80)
    ink.fill(box(0.3, 6.35, 3.3, 0.75), 150)
    ink.line([(0.3, 6.36), (3.4, 6.36)], 2.0, taper=(0, 0))
    ink.hatch(box(0.3, 6.4, 3.3, 0.7), 90, 0.11, 0.8)
    tobit = Frame(0.9, 5.72, 0.36)
    tobit_body(ink, tobit)
    tobit_arm(ink, tobit, Arm((-1.5, 2.2), (-1.7, 3.3), (-1.0, 4.2)))
    marks["1.2 TOBIT"] = tobit_head(
        ink, tobit, Look(turn=0.9, gaze=(0.5, 0.2), eyes=0.9, frown=0.5, mouth="talk")
    )
    wen = Frame(2.66, 6.04, 0.34, 0, True)
    light = Frame(2.0, 6.26, 0.22)
    wen_body(ink, wen)
    glow(ink, light.at(0, 1.1), 0.46, 4, 0.16)
    wen_arm(ink, wen, Arm((-1.1, 1.9), (-1.5, 3.1), (-0.9, 3.9)))
    wen_arm(ink, wen, Arm((1.0, 2.05), (1.3, 2.85), (1.8, 0.95), "fist", -10))
    lantern(ink, light)
    marks["1.2 WEN"] = wen_head(
        ink, wen, Look(turn=0.8, gaze=(0.5, -0.25), brow=0.4, mouth="smirk")
    )


def _works(ink: Ink, marks: dict[str, Point]) -> None:
    ink.fill(PANELS[3], 92)
    ink.fill(box(3.3, 3.9, 3.2, 1.15), 226)
    ink.line([(3.6, 5.05), (6.4, 5.05)], 2.2, taper=(0, 0))
    ink.fill(box(3.3, 5.05, 3.2, 2.0), 60)
    planks(ink, [(3.3, 6.72), (6.4, 6.72), (6.4, 7.1), (3.3, 7.1)], 9, 128, (4.8, 5.4))
    # The frame of the machine, its weights and wheels.
    far_wheel(ink, Frame(4.55, 5.55, 0.52, 0), 18, 92, 60, 8)
    shaft(ink, (5.42, 5.0), (5.42, 4.1), 0.14)
    wheel(ink, Frame(6.02, 5.35, 0.4, 0), 15, 205, 4, 1.0, 6)
    wheel(ink, Frame(5.36, 6.02, 0.78, 0), 26, 176, 6, 1.0, 3)
    wheel(ink, Frame(6.12, 6.62, 0.34, 0), 12, 210, 4, 1.0, 0)
    post = box(6.2, 4.98, 0.2, 2.2)
    ink.fill(post, 40)
    ink.outline(post, 1.4)
    beam = box(3.3, 4.92, 3.1, 0.15)
    ink.fill(beam, 150)
    ink.outline(beam, 1.4)
    for k in range(9):
        bolt(ink, 3.75 + 0.32 * k, 4.995, 0.04)
    wen = Frame(3.98, 5.92, 0.33, 6)
    wen_body(ink, wen, 4.0)
    tool = Frame(4.48, 6.45, 0.24, -28)
    spanner(ink, tool)
    wen_arm(ink, wen, Arm((-1.0, 2.0), (-1.35, 3.0), (-1.0, 4.2)))
    wen_arm(ink, wen, Arm((0.95, 2.0), (1.15, 2.95), (1.75, 2.0), "fist", 0))
    marks["1.3 WEN"] = wen_head(ink, wen, Look(turn=0.95, gaze=(0.7, 0.1), frown=0.7, mouth="talk"))


def _listening(ink: Ink, marks: dict[str, Point]) -> None:
    area = PANELS[4]
    ink.fade(area, (88, 18), ((0.3, 0), (5.2, 0)))
    far_wheel(ink, Frame(3.75, 9.6, 1.25, 0), 22, 58, 30, 4)
    far_wheel(ink, Frame(6.1, 7.5, 0.85, 0), 16, 46, 22, 0)
    far_wheel(ink, Frame(0.5, 7.5, 0.7, 0), 14, 62, 84, 10)
    glow(ink, (3.6, 9.75), 1.15, 5, 0.1)
    tobit = Frame(5.35, 8.72, 0.46, 4, True)
    tobit_body(ink, tobit)
    tobit_head(
        ink, tobit, Look(turn=0.9, gaze=(0.6, 0.1), eyes=1.25, frown=-0.7, brow=0.5, mouth="small")
    )
    lamp = Frame(3.74, 8.9, 0.36)
    tobit_arm(ink, tobit, Arm((1.3, 2.3), (2.3, 2.6), (3.05, 0.85), "fist", -20))
    lantern(ink, lamp)
    wen = Frame(1.72, 8.5, 0.7, -5)
    wen_body(ink, wen)
    marks["1.4 WEN"] = wen_head(
        ink, wen, Look(turn=0.95, gaze=(0.9, -0.1), eyes=1.12, brow=0.5, mouth="hush")
    )
    wen_arm(ink, wen, Arm((1.2, 3.4), (1.75, 3.5), (0.5, 1.62), "point", 33, True), 0.82)
    marks["1.4 TOBIT"] = tobit.at(0.2, 0.8)
