"""Pages of panels: those that studies of readers describe, and fifty of our own.

In millimetres on a page of 180 by 260, for readers from left to right; `mirrored` is for the other
direction. The test of panel order and the table in PANELS.md share them.

Sources: Cohn, "Navigating comics", Frontiers in Psychology 4:186 (2013), with the percentages as
its author gives them in "Dispelling myths about comics page layout" (2016); Cohn & Campbell,
"Navigating comics II", Applied Cognitive Psychology 29, 193-199 (2015), abstract. What is marked
"from memory" was not read again for this: it has no figures, and its layouts are drawn by us.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from letterer.geometry import Box, Point, polygon, rectangle
from letterer.model.plan import PanelPlan, Reading
from letterer.review.panels import PanelOrder, panel_order

MM = 72 / 25.4
WIDE, HIGH, GUTTER = 180.0, 260.0, 4.0

Corners = tuple[float, float, float, float]
Shape = Corners | tuple[tuple[float, float], ...]


def plan(number: int, shape: Shape) -> PanelPlan:
    """A panel in millimetres: left, top, right, bottom, or its corners."""
    if isinstance(shape[0], tuple):
        path = polygon(Point(x * MM, y * MM) for x, y in shape)
    else:
        path = rectangle(Box(*(value * MM for value in shape)))
    box = path.box()
    assert box is not None
    return PanelPlan(number, path, box)


def plans(*shapes: Shape) -> list[PanelPlan]:
    """Panels numbered from 1."""
    return [plan(number, shape) for number, shape in enumerate(shapes, 1)]


def mirrored(panels: Sequence[PanelPlan]) -> list[PanelPlan]:
    """The page as seen in a mirror, its panels with the same numbers."""
    found = []
    for panel in panels:
        points = [Point(WIDE * MM - x, y) for x, y in panel.shape.flattened()[0][:-1]]
        path = polygon(reversed(points))
        box = path.box()
        assert box is not None
        found.append(PanelPlan(panel.number, path, box))
    return found


# --- Published studies ---------------------------------------------------------------------------

BLOCKAGE: tuple[Corners, ...] = ((0, 0, 88, 88), (0, 92, 88, 180), (92, 0, 180, 180))
GRID: tuple[Corners, ...] = (
    (0, 0, 88, 88),
    (92, 0, 180, 88),
    (0, 92, 88, 180),
    (92, 92, 180, 180),
)
REVERSE: tuple[Corners, ...] = ((0, 0, 88, 180), (92, 0, 180, 88), (92, 92, 180, 180))


def grid(across: int, down: int) -> tuple[Corners, ...]:
    """A grid of so many panels."""
    wide = (WIDE - GUTTER * (across - 1)) / across
    high = (HIGH - GUTTER * (down - 1)) / down
    corners = [
        (column * (wide + GUTTER), row * (high + GUTTER))
        for row in range(down)
        for column in range(across)
    ]
    return tuple((x, y, x + wide, y + high) for x, y in corners)


def staggered(by: float) -> tuple[Corners, ...]:
    """A grid of four whose right-hand gutter lies lower by so many millimetres."""
    return ((0, 0, 88, 88), (92, 0, 180, 88 + by), (0, 92, 88, 180), (92, 92 + by, 180, 180))


def separated(by: float) -> tuple[Corners, ...]:
    """A grid of four whose columns stand apart by so many millimetres."""
    return (
        (0, 0, 60, 88),
        (60 + by, 0, 120 + by, 88),
        (0, 92, 60, 180),
        (60 + by, 92, 120 + by, 180),
    )


def overlapping(by: float) -> tuple[Corners, ...]:
    """A grid of four whose first panel is laid over the one below it."""
    return ((0, 0, 88, 88 + by), (92, 0, 180, 88), (0, 92, 88, 180), (92, 92, 180, 180))


def blocking(by: float) -> tuple[Corners, ...]:
    """Two above two; the upper right panel grows down past the gutter until it blocks the row."""
    low = (92.0, 92.0 + by, 180.0, 180.0)
    tall = ((0.0, 0.0, 88.0, 88.0), (92.0, 0.0, 180.0, 88.0 + by), (0.0, 92.0, 88.0, 180.0))
    return (*tall, low) if by < 84 else (tall[0], (92.0, 0.0, 180.0, 180.0), tall[2])


class Study(NamedTuple):
    """What a study says of a layout: the way readers take, and by what share where one is given
    (least, most); None where only the way is published. `known` says it in words."""

    source: str
    known: str
    layout: tuple[Corners, ...]
    way: tuple[int, ...]
    share: tuple[float, float] | None = None
    other: tuple[int, ...] | None = None


ROWS = "the row path"
FIRST = "Cohn 2013"
MEMORY = "Cohn 2013, from memory"

STUDIES = {
    "grid of four": Study(f"{FIRST}, abstract", ROWS, GRID, (1, 2, 3, 4)),
    "grid of two by three": Study(f"{FIRST}, figure 3A", ROWS, grid(2, 3), (1, 2, 3, 4, 5, 6)),
    "a stack before a tall panel (blockage)": Study(
        "Cohn 2013, figures by its author in 2016",
        "down by 62 to 68 %, about 32 % keep the row",
        BLOCKAGE,
        (1, 2, 3),
        (0.62, 0.68),
        (1, 3, 2),
    ),
    "a tall panel before a stack (the reverse)": Study(
        "Cohn 2016", "both ways agree", REVERSE, (1, 2, 3)
    ),
    "a stack of three before a tall panel": Study(
        MEMORY,
        "down, as with two",
        ((0, 0, 88, 57), (0, 61, 88, 119), (0, 123, 88, 180), (92, 0, 180, 180)),
        (1, 2, 3, 4),
        (0.55, 0.75),
        (1, 4, 2, 3),
    ),
    "a row above a stack and a tall panel": Study(
        MEMORY,
        "the row, then down the stack",
        ((0, 0, 88, 80), (92, 0, 180, 80), (0, 84, 88, 170), (0, 174, 88, 260), (92, 84, 180, 260)),
        (1, 2, 3, 4, 5),
        (0.55, 0.75),
        (1, 2, 3, 5, 4),
    ),
    "rows a little staggered": Study(MEMORY, "most keep the rows", staggered(8), (1, 2, 3, 4)),
    "an inset": Study(
        MEMORY, "after what holds it", ((0, 0, 180, 180), (110, 110, 170, 170)), (1, 2)
    ),
    "reading begins at the top, on the side of reading": Study(
        MEMORY,
        "the upper left panel first",
        ((0, 0, 60, 84), (64, 40, 180, 124), (0, 128, 180, 260)),
        (1, 2, 3),
        (0.5, 1.0),
        None,
    ),
}

DEGREES: dict[str, tuple[str, Callable[[float], tuple[Corners, ...]], tuple[float, ...]]] = {
    "columns apart, mm": ("separation", separated, (4, 10, 20, 30, 40, 50, 60)),
    "one panel over the one below, mm": ("overlap", overlapping, (0, 5, 10, 15, 20, 25, 30)),
    "the right-hand gutter lower, mm": ("blockage", staggered, (4, 10, 20, 30, 40, 50, 60)),
    "the upper right panel longer, mm": ("blockage", blocking, (0, 10, 20, 30, 45, 60, 84)),
}
"""Layouts by degree: Cohn & Campbell 2015, abstract: "The more layouts deviated from a grid, the
less likely participants were to use the Z-path" (separation, overlap, blockage)."""


def by_rows(found: PanelOrder) -> float:
    """The share of readers that the model gives to going along the first row."""
    return found.confidence if found.order[1] == 2 else 1 - found.confidence


def read(layout: Sequence[Shape], reading: Reading = Reading.LEFT_TO_RIGHT) -> PanelOrder:
    """What the model says of a layout; for the other direction, of its mirror image."""
    panels = plans(*layout)
    back = reading is Reading.RIGHT_TO_LEFT
    return panel_order(mirrored(panels) if back else panels, reading)


# --- Fifty pages of our own ----------------------------------------------------------------------
# Each is written with its panels in the order in which we would read them (common practice, no
# source). Of those in UNSURE we are not sure ourselves.

PINWHEEL = ((0, 0, 118, 76), (0, 80, 58, 260), (62, 80, 118, 180), (122, 0, 180, 180))
OWN: dict[str, tuple[Shape, ...]] = {
    "one panel": ((0, 0, 180, 260),),
    "two rows": ((0, 0, 180, 128), (0, 132, 180, 260)),
    "two columns": ((0, 0, 88, 260), (92, 0, 180, 260)),
    "three rows": ((0, 0, 180, 80), (0, 84, 180, 170), (0, 174, 180, 260)),
    "four strips": tuple((0, y, 180, y + 62) for y in (0, 66, 132, 198)),
    "three columns": tuple((x, 0, x + 57, 260) for x in (0, 61, 122)),
    "grid of four": ((0, 0, 88, 128), (92, 0, 180, 128), (0, 132, 88, 260), (92, 132, 180, 260)),
    "grid of six": tuple(
        (x, y, x + 88, y + 84) for y in (0, 88, 176) for x in (0, 92)
    ),
    "grid of nine": tuple(
        (x, y, x + 57, y + 84) for y in (0, 88, 176) for x in (0, 61, 122)
    ),
    "grid of sixteen": tuple(
        (x, y, x + 42, y + 62) for y in (0, 66, 132, 198) for x in (0, 46, 92, 138)
    ),
    "wide, two": ((0, 0, 180, 128), (0, 132, 88, 260), (92, 132, 180, 260)),
    "two, wide": ((0, 0, 88, 128), (92, 0, 180, 128), (0, 132, 180, 260)),
    "one, two, three": (
        (0, 0, 180, 84),
        (0, 88, 88, 172),
        (92, 88, 180, 172),
        (0, 176, 57, 260),
        (61, 176, 118, 260),
        (122, 176, 180, 260),
    ),
    "uneven rows": (
        (0, 0, 118, 84),
        (122, 0, 180, 84),
        (0, 88, 57, 172),
        (61, 88, 180, 172),
        (0, 176, 88, 260),
        (92, 176, 180, 260),
    ),
    "rows of unlike height": (
        (0, 0, 88, 60),
        (92, 0, 180, 60),
        (0, 64, 88, 200),
        (92, 64, 180, 200),
        (0, 204, 180, 260),
    ),
    "tall first, stack": ((0, 0, 88, 260), (92, 0, 180, 128), (92, 132, 180, 260)),
    "tall first, stack of three, wide": (
        (0, 0, 70, 170),
        (74, 0, 180, 54),
        (74, 58, 180, 112),
        (74, 116, 180, 170),
        (0, 174, 180, 260),
    ),
    "stack, tall": ((0, 0, 88, 128), (0, 132, 88, 260), (92, 0, 180, 260)),
    "stack of three, tall": (
        (0, 0, 88, 84),
        (0, 88, 88, 172),
        (0, 176, 88, 260),
        (92, 0, 180, 260),
    ),
    "wide, then stack and tall": (
        (0, 0, 180, 84),
        (0, 88, 88, 172),
        (0, 176, 88, 260),
        (92, 88, 180, 260),
    ),
    "tall, stack, tall": (
        (0, 0, 57, 260),
        (61, 0, 118, 128),
        (61, 132, 118, 260),
        (122, 0, 180, 260),
    ),
    "stack of two beside stack of three": (
        (0, 0, 88, 128),
        (0, 132, 88, 260),
        (92, 0, 180, 84),
        (92, 88, 180, 172),
        (92, 176, 180, 260),
    ),
    "a little staggered": (
        (0, 0, 88, 128),
        (92, 0, 180, 138),
        (0, 132, 88, 260),
        (92, 142, 180, 260),
    ),
    "staggered three": (
        (0, 0, 57, 120),
        (61, 0, 118, 130),
        (122, 0, 180, 124),
        (0, 124, 57, 260),
        (61, 134, 118, 260),
        (122, 128, 180, 260),
    ),
    "columns far apart": (
        (0, 0, 60, 128),
        (0, 132, 60, 260),
        (120, 0, 180, 128),
        (120, 132, 180, 260),
    ),
    "slanted between two": (
        ((0, 0), (100, 0), (80, 260), (0, 260)),
        ((104, 0), (180, 0), (180, 260), (84, 260)),
    ),
    "slanted row end": (
        ((0, 0), (180, 0), (180, 100), (0, 140)),
        ((0, 144), (180, 104), (180, 260), (0, 260)),
    ),
    "slanted grid": (
        ((0, 0), (95, 0), (85, 120), (0, 110)),
        ((99, 0), (180, 0), (180, 131), (89, 121)),
        ((0, 114), (85, 124), (75, 260), (0, 260)),
        ((89, 125), (180, 135), (180, 260), (79, 260)),
    ),
    "two slanted rows of two, slanted against each other": (
        ((0, 0), (100, 0), (80, 120), (0, 120)),
        ((104, 0), (180, 0), (180, 120), (84, 120)),
        ((0, 124), (80, 124), (100, 260), (0, 260)),
        ((84, 124), (180, 124), (180, 260), (104, 260)),
    ),
    "three slanted columns": (
        ((0, 0), (70, 0), (50, 260), (0, 260)),
        ((74, 0), (130, 0), (110, 260), (54, 260)),
        ((134, 0), (180, 0), (180, 260), (114, 260)),
    ),
    "triangles": (
        ((0, 0), (180, 0), (0, 100)),
        ((180, 4), (180, 104), (0, 104)),
        ((0, 108), (180, 108), (180, 260), (0, 260)),
    ),
    "inset last": ((0, 0, 180, 260), (110, 190, 170, 250)),
    "two insets": ((0, 0, 180, 260), (100, 20, 170, 80), (110, 190, 170, 250)),
    "insets in a row": (
        (0, 0, 180, 260),
        (10, 200, 60, 250),
        (65, 200, 115, 250),
        (120, 200, 170, 250),
    ),
    "inset in the second of three": (
        (0, 0, 180, 84),
        (0, 88, 180, 172),
        (120, 120, 170, 166),
        (0, 176, 180, 260),
    ),
    "page behind a grid": (
        (-3, -3, 183, 263),
        (10, 100, 85, 170),
        (95, 100, 170, 170),
        (10, 180, 85, 250),
        (95, 180, 170, 250),
    ),
    "overlapping corners": ((0, 0, 100, 140), (80, 120, 180, 260)),
    "laid over the next row": ((0, 0, 180, 140), (0, 132, 88, 260), (92, 132, 180, 260)),
    "laid over each other in a row": ((0, 0, 70, 260), (62, 0, 130, 260), (122, 0, 180, 260)),
    "stairs": ((0, 0, 60, 84), (61, 88, 120, 172), (122, 176, 180, 260)),
    "stairs back": ((122, 0, 180, 84), (61, 88, 120, 172), (0, 176, 57, 260)),
    "wide, pair of a stack and a tall, wide": (
        (0, 0, 180, 60),
        (0, 64, 88, 120),
        (0, 124, 88, 196),
        (92, 64, 180, 196),
        (0, 200, 180, 260),
    ),
    "tall first, then a grid": (
        (0, 0, 57, 260),
        (61, 0, 118, 128),
        (122, 0, 180, 128),
        (61, 132, 118, 260),
        (122, 132, 180, 260),
    ),
    "a grid, then tall": (
        (0, 0, 57, 128),
        (61, 0, 118, 128),
        (0, 132, 57, 260),
        (61, 132, 118, 260),
        (122, 0, 180, 260),
    ),
    "pinwheel": (*PINWHEEL, (62, 184, 180, 260)),
    "pinwheel the other way": (
        (0, 0, 58, 180),
        (62, 0, 180, 76),
        (62, 80, 118, 180),
        (0, 184, 118, 260),
        (122, 80, 180, 260),
    ),
    "wide over a pinwheel": (
        (0, 0, 180, 40),
        *((a, 44 + b * 216 / 260, c, 44 + d * 216 / 260) for a, b, c, d in PINWHEEL),
        (62, 44 + 184 * 216 / 260, 180, 260),
    ),
    "narrow beside wide": (
        (0, 0, 40, 128),
        (44, 0, 180, 128),
        (0, 132, 136, 260),
        (140, 132, 180, 260),
    ),
    "round": (
        tuple((90 + 60 * x, 60 + 50 * y) for x, y in ((1, 0), (0, 1), (-1, 0), (0, -1))),
        (0, 120, 88, 260),
        (92, 120, 180, 260),
    ),
    "strip of eight": tuple((x, 0, x + 20, 260) for x in range(0, 180, 23)),
}  # fmt: skip
UNSURE = (
    "stack, tall",
    "stack of three, tall",
    "wide, then stack and tall",
    "stack of two beside stack of three",
    "a grid, then tall",
    "pinwheel",
    "pinwheel the other way",
    "wide over a pinwheel",
    "wide, pair of a stack and a tall, wide",
    "columns far apart",
    "stairs back",
    "tall, stack, tall",
)
