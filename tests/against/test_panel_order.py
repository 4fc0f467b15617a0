"""The order of panels, against published studies of readers, against an independent way of cutting
pages, and on pages of our own.

The layouts, with their sources, are in tests/benchmarks/panel_pages.py; the table of what is known
and what the model says is tests/benchmarks/PANELS.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from letterer import craft
from letterer.geometry import Box, rectangle
from letterer.model.plan import PanelPlan, Reading
from letterer.review.panels import PanelOrder, panel_order

with pytest.MonkeyPatch.context() as patch:
    patch.syspath_prepend(str(Path(__file__).resolve().parents[2]))
    from tests.benchmarks import panels as table
    from tests.benchmarks.panel_pages import (
        BLOCKAGE,
        DEGREES,
        GUTTER,
        HIGH,
        MM,
        OWN,
        STUDIES,
        WIDE,
        Corners,
        Shape,
        by_rows,
        mirrored,
        plans,
        read,
    )

LTR, RTL = Reading.LEFT_TO_RIGHT, Reading.RIGHT_TO_LEFT

# --- Published studies -------------------------------------------------------------------------


@pytest.mark.parametrize("name", STUDIES)
def test_published_layouts(name: str) -> None:
    study = STUDIES[name]
    found = read(study.layout)
    assert found.order == study.way
    assert study.other is None or found.rival == study.other
    low, high = study.share or (craft.ORDER_DOUBTFUL, 1.0)
    assert low <= found.confidence <= high
    # Readers of the other direction were not asked; the model takes them for the mirror image.
    back = read(study.layout, RTL)
    assert (back.order, back.rival) == (found.order, found.rival)
    assert back.confidence == pytest.approx(found.confidence)


def test_the_rest_keep_to_the_row_beside_a_tall_panel() -> None:
    # Cohn 2016: "around 32 %" keep the row.
    found = read(BLOCKAGE)
    assert abs(1 - found.confidence - 0.32) <= 0.04
    assert found.doubt == (2, 3)


@pytest.mark.parametrize("name", DEGREES)
def test_the_farther_from_a_grid_the_fewer_follow_the_rows(name: str) -> None:
    # Cohn & Campbell 2015, abstract: "The more layouts deviated from a grid, the less likely
    # participants were to use the Z-path".
    _, layout, steps = DEGREES[name]
    shares = [by_rows(read(layout(by))) for by in steps]
    assert all(later <= earlier + 1e-9 for earlier, later in pairwise(shares))
    assert shares[0] > 0.8
    assert shares[-1] < 0.5


def test_the_table_is_what_the_model_says_today() -> None:
    # `python tests/benchmarks/panels.py --write` makes it again.
    kept = Path(table.__file__).with_name("PANELS.md").read_text("utf-8")
    assert table.table() == kept


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
    for place, tree in enumerate(every):
        shapes = list(boxes(tree, (0.0, 0.0, WIDE, HIGH)))
        panels = plans(*shapes)
        # The other way is the mirror image (a property below): each twentieth of the many is asked.
        for reading in (LTR, RTL) if leaves < 6 or place % 20 == 0 else (LTR,):
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
