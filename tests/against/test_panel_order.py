"""The order of panels, against published studies of readers, against an independent way of cutting
pages, and on pages of our own.

Sources: Cohn, "Navigating comics", Frontiers in Psychology 4:186 (2013), with the percentages as
its author gives them in "Dispelling myths about comics page layout" (2016); Cohn & Campbell,
"Navigating comics II", Applied Cognitive Psychology 29, 193-199 (2015), abstract.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from letterer import craft
from letterer.geometry import Box, Point, polygon, rectangle
from letterer.model.plan import PanelPlan, Reading
from letterer.review.panels import PanelOrder, panel_order

MM = 72 / 25.4
LTR, RTL = Reading.LEFT_TO_RIGHT, Reading.RIGHT_TO_LEFT
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


# --- Published studies -------------------------------------------------------------------------

BLOCKAGE = ((0, 0, 88, 88), (0, 92, 88, 180), (92, 0, 180, 180))
GRID = ((0, 0, 88, 88), (92, 0, 180, 88), (0, 92, 88, 180), (92, 92, 180, 180))
REVERSE = ((0, 0, 88, 180), (92, 0, 180, 88), (92, 92, 180, 180))


class Study(NamedTuple):
    """What a study says of a layout: the way readers take, and by what share where one is given
    (least, most); None where only the way is published."""

    source: str
    layout: tuple[Corners, ...]
    way: tuple[int, ...]
    share: tuple[float, float] | None
    other: tuple[int, ...] | None


STUDIES = {
    "a grid: the row path": Study("Cohn 2013, abstract", GRID, (1, 2, 3, 4), None, None),
    "a stack before a tall panel: down": Study(
        "Cohn 2013, figures by its author in 2016: 62 to 68 %",
        BLOCKAGE,
        (1, 2, 3),
        (0.62, 0.68),
        (1, 3, 2),
    ),
    "a tall panel before a stack: both ways agree": Study(
        "Cohn 2016, the reverse of blockage", REVERSE, (1, 2, 3), None, None
    ),
}


@pytest.mark.parametrize("name", STUDIES)
def test_published_layouts(name: str) -> None:
    study = STUDIES[name]
    found = panel_order(plans(*study.layout), LTR)
    assert found.order == study.way
    assert found.rival == study.other
    low, high = study.share or (craft.ORDER_DOUBTFUL, 1.0)
    assert low <= found.confidence <= high
    # Readers of the other direction were not asked; the model takes them for the mirror image.
    assert panel_order(mirrored(plans(*study.layout)), RTL) == found


def test_the_rest_keep_to_the_row_beside_a_tall_panel() -> None:
    # Cohn 2016: "around 32 %" keep the row.
    found = panel_order(plans(*BLOCKAGE), LTR)
    assert abs(1 - found.confidence - 0.32) <= 0.04
    assert found.doubt == (2, 3)


def staggered(by: float) -> PanelOrder:
    """A grid of four whose right-hand gutter lies lower by so many millimetres."""
    shapes = ((0, 0, 88, 88), (92, 0, 180, 88 + by), (0, 92, 88, 180), (92, 92 + by, 180, 180))
    return panel_order(plans(*shapes), LTR)


def separated(by: float) -> PanelOrder:
    """A grid of four whose columns stand apart by so many millimetres."""
    shapes = (
        (0, 0, 60, 88),
        (60 + by, 0, 120 + by, 88),
        (0, 92, 60, 180),
        (60 + by, 92, 120 + by, 180),
    )
    return panel_order(plans(*shapes), LTR)


def by_rows(found: PanelOrder) -> float:
    """The share of readers that the model gives to the row path of a page of four."""
    if found.order == (1, 2, 3, 4):
        return found.confidence
    assert found.order == (1, 3, 2, 4)
    return 1 - found.confidence


@pytest.mark.parametrize("measure", [staggered, separated])
def test_the_farther_from_a_grid_the_fewer_follow_the_rows(
    measure: Callable[[float], PanelOrder],
) -> None:
    # Cohn & Campbell 2015, abstract: "The more layouts deviated from a grid, the less likely
    # participants were to use the Z-path" (separation, and blockage by degree).
    shares = [by_rows(measure(by)) for by in (4, 10, 20, 30, 40, 50, 60)]
    assert all(later <= earlier for earlier, later in pairwise(shares))
    assert shares[0] > 0.8
    assert shares[-1] < 0.5


def test_overlap_pushes_readers_off_the_rows() -> None:
    # Cohn & Campbell 2015, abstract: overlapping one panel onto another is such a push.
    def by(overlap: float) -> PanelOrder:
        shapes = ((0, 0, 88, 88 + overlap), (92, 0, 180, 88), (0, 92, 88, 180), (92, 92, 180, 180))
        return panel_order(plans(*shapes), LTR)

    assert by(25).confidence < by(10).confidence < by(0).confidence


# --- An independent way of cutting ---------------------------------------------------------------

Tree = tuple[str, tuple["Tree", ...]] | None
"""A cut into rows or columns, with what is in each part; None is one panel."""


@cache
def trees(leaves: int, kind: str = "either") -> tuple[Tree, ...]:
    """All ways to cut a page into so many panels by cuts from side to side, rows and columns in
    turn: 1, 2, 6, 22, 90, 394, 1806 (the large Schroeder numbers, which count such slicings)."""
    if leaves == 1:
        return (None,)
    found: list[Tree] = []
    for cut, inner in (("rows", "columns"), ("columns", "rows")):
        if kind not in ("either", cut):
            continue
        for parts in compositions(leaves):
            for children in products(parts, inner):
                found.append((cut, children))
    return tuple(found)


def compositions(total: int, least: int = 2) -> Iterator[tuple[int, ...]]:
    """Ways to write a number as a sum of two or more, in order."""

    def of(rest: int) -> Iterator[tuple[int, ...]]:
        yield (rest,)
        for first in range(1, rest):
            for more in of(rest - first):
                yield (first, *more)

    yield from (parts for parts in of(total) if len(parts) >= least)


def products(parts: tuple[int, ...], kind: str) -> Iterator[tuple[Tree, ...]]:
    if not parts:
        yield ()
        return
    for first in trees(parts[0], kind):
        for rest in products(parts[1:], kind):
            yield (first, *rest)


def boxes(tree: Tree, box: Corners) -> Iterator[Corners]:
    """The panels of a tree, all parts of a cut alike."""
    if tree is None:
        yield box
        return
    cut, children = tree
    left, top, right, bottom = box
    many = len(children)
    for place, child in enumerate(children):
        if cut == "rows":
            step = (bottom - top - GUTTER * (many - 1)) / many
            start = top + place * (step + GUTTER)
            yield from boxes(child, (left, start, right, start + step))
        else:
            step = (right - left - GUTTER * (many - 1)) / many
            start = left + place * (step + GUTTER)
            yield from boxes(child, (start, top, start + step, bottom))


def cut_exactly(found: list[Corners], rtl: bool = False) -> list[list[Corners]]:
    """The orders by exact cuts: rows wherever a gutter runs across, else columns. Where several
    gutters run down a page, neighbouring columns may be taken together: then there are several."""
    if len(found) < 2:
        return [found]
    for near, far in ((1, 3), (0, 2)):
        ordered = sorted(found, key=lambda box: (box[near], box[far]))
        cuts = [
            place
            for place in range(1, len(ordered))
            if max(box[far] for box in ordered[:place]) < ordered[place][near]
        ]
        if near == 1:
            cuts = cuts[:1]  # rows, one after another
        orders = []
        for place in cuts:
            parts = [ordered[:place], ordered[place:]]
            if near == 0 and rtl:
                parts.reverse()
            first, then = (cut_exactly(part, rtl) for part in parts)
            orders += [a + b for a in first for b in then]
        if cuts:
            return list({tuple(order): order for order in orders}.values())
    raise AssertionError("no cut")


@pytest.mark.parametrize(
    ("leaves", "many"), [(2, 2), (3, 6), (4, 22), (5, 90), (6, 394), (7, 1806)]
)
def test_every_page_of_cuts_from_side_to_side(leaves: int, many: int) -> None:
    every = trees(leaves)
    assert len(every) == many
    for tree in every:
        shapes = list(boxes(tree, (0.0, 0.0, WIDE, HIGH)))
        panels = plans(*shapes)
        for reading in (LTR, RTL):
            right = numbers(shapes, reading is RTL)
            found = panel_order(panels, reading)
            assert found.order in right, (tree, reading)


def numbers(shapes: list[Corners], rtl: bool = False) -> list[tuple[int, ...]]:
    """The orders by exact cuts, as panel numbers."""
    return [tuple(shapes.index(box) + 1 for box in order) for order in cut_exactly(shapes, rtl)]


# --- Properties ---------------------------------------------------------------------------------


@st.composite
def pages(draw: st.DrawFn) -> list[Corners]:
    """Pages of two to seven panels, by uneven cuts."""

    def cut(box: Corners, leaves: int) -> list[Corners]:
        left, top, right, bottom = box
        if leaves == 1 or min(right - left, bottom - top) < 50:
            return [box]
        first = draw(st.integers(1, leaves - 1))
        share = draw(st.floats(0.3, 0.7))
        across = bottom - top > 70 and (right - left < 70 or draw(st.booleans()))
        if across:
            at = top + share * (bottom - top)
            one, two = (left, top, right, at - 2), (left, at + 2, right, bottom)
        else:
            at = left + share * (right - left)
            one, two = (left, top, at - 2, bottom), (at + 2, top, right, bottom)
        return cut(one, first) + cut(two, leaves - first)

    return cut((0.0, 0.0, WIDE, HIGH), draw(st.integers(2, 7)))


@given(pages())
def test_a_mirrored_page_has_the_mirrored_order(shapes: list[Corners]) -> None:
    panels = plans(*shapes)
    there, back = panel_order(panels, LTR), panel_order(mirrored(panels), RTL)
    assert there.order == back.order
    assert there.confidence == pytest.approx(back.confidence)
    assert there.rival == back.rival


@given(pages(), st.data())
def test_a_millimetre_never_turns_a_confident_order(
    shapes: list[Corners], data: st.DataObject
) -> None:
    found = panel_order(plans(*shapes), LTR)
    assume(found.confident)
    nudge = st.floats(-1.0, 1.0)
    moved = [tuple(side + data.draw(nudge) for side in shape) for shape in shapes]
    assert panel_order(plans(*moved), LTR).order == found.order  # type: ignore[arg-type]


@given(pages())
def test_confident_orders_of_uneven_cuts_are_those_of_exact_cuts_or_of_staggered_rows(
    shapes: list[Corners],
) -> None:
    found = panel_order(plans(*shapes), LTR)
    assert sorted(found.order) == list(range(1, len(shapes) + 1))
    right = numbers(shapes)
    if found.rival is None and found.confidence >= craft.ORDER_DOUBTFUL:
        assert found.order in right or is_row_path(found.order, shapes)


def is_row_path(order: Sequence[int], shapes: list[Corners]) -> bool:
    """Each panel begins right of the one before it, or lower than its middle."""
    return all(
        shapes[b - 1][0] >= shapes[a - 1][2] - 1
        or shapes[b - 1][1] > (shapes[a - 1][1] + shapes[a - 1][3]) / 2
        for a, b in pairwise(order)
    )


# --- Fifty pages of our own ----------------------------------------------------------------------
# In millimetres on a page of 180 by 260. Each is written with its panels in the order we would
# read them (common practice, no source); "?" marks those of which we are not sure ourselves.

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


def test_there_are_fifty() -> None:
    assert len(OWN) == 50


@pytest.mark.parametrize("name", OWN)
def test_pages_of_our_own(name: str) -> None:
    panels = plans(*OWN[name])
    expected = tuple(range(1, len(panels) + 1))
    for page, reading in ((panels, LTR), (mirrored(panels), RTL)):
        # The order in which a layout lists its panels says nothing.
        for listed in (page, list(reversed(page))):
            assert panel_order(listed, reading).order == expected


@given(st.sampled_from(sorted(OWN)), st.data())
def test_a_millimetre_turns_no_confident_page_of_our_own(name: str, data: st.DataObject) -> None:
    found = panel_order(plans(*OWN[name]), LTR)
    assume(found.confident)
    nudge = st.floats(-1.0, 1.0)
    moved = [nudged(shape, lambda: data.draw(nudge)) for shape in OWN[name]]
    assert panel_order(plans(*moved), LTR).order == found.order


def nudged(shape: Shape, by: Callable[[], float]) -> Shape:
    """A shape with every side, or every corner, moved a little."""
    if isinstance(shape[0], tuple):
        return tuple((x + by(), y + by()) for x, y in shape)
    left, top, right, bottom = shape
    return (left + by(), top + by(), right + by(), bottom + by())


@pytest.mark.parametrize("name", ["pinwheel", "stack, tall", "a grid, then tall"])
def test_doubtful_pages_tell_the_rival(name: str) -> None:
    found = panel_order(plans(*OWN[name]), LTR)
    assert found.rival is not None
    assert sorted(found.rival) == sorted(found.order)
    assert found.rival != found.order


SPREAD = (
    (0, 0, 88, 88),
    (92, 0, 176, 88),
    (0, 92, 176, 180),
    (184, 0, 270, 88),
    (274, 0, 360, 88),
    (184, 92, 360, 180),
)


def test_an_inset_where_reading_begins_may_come_first() -> None:
    found = panel_order(plans((0, 0, 180, 260), (10, 10, 60, 60)), LTR)
    assert (found.order, found.rival, found.confident) == ((1, 2), (2, 1), True)
    far = panel_order(plans((0, 0, 180, 260), (110, 190, 170, 250)), LTR)
    assert far.confidence > found.confidence


def test_a_spread_is_read_page_by_page() -> None:
    flat = panel_order(plans(*SPREAD), LTR)
    assert flat.order == (1, 2, 4, 5, 3, 6)
    assert panel_order(plans(*SPREAD), LTR, fold=180 * MM).order == (1, 2, 3, 4, 5, 6)


def test_a_panel_across_the_fold_joins_the_pages() -> None:
    across = ((0, 0, 360, 88), *((x, 92, x + 84, 180) for x in (0, 88, 186, 274)))
    assert panel_order(plans(*across), LTR, fold=180 * MM).order == (1, 2, 3, 4, 5)
    # Read the other way, the right-hand page comes first.
    back = panel_order(plans(*across), RTL, fold=180 * MM)
    assert back.order == (1, 5, 4, 3, 2)


def test_no_panels() -> None:
    assert panel_order([], LTR) == PanelOrder((), craft.ORDER_SURE)


def test_insets_within_insets_come_after_what_holds_them() -> None:
    boxes = [Box(100, 100, 160, 160), Box(0, 0, 400, 400), Box(60, 60, 300, 300)]
    panels = [PanelPlan(at, rectangle(box), box) for at, box in enumerate(boxes, 1)]
    assert panel_order(panels, Reading.LEFT_TO_RIGHT).order == (2, 3, 1)
