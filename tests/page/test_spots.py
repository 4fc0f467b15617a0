"""Where a unit comes to stand: at a point, in a box, in a corner, at an edge."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer.geometry import Box, Point, polygon, rectangle
from letterer.model.plan import Center, Corner, CornerName, Edge, Fill, Layout, Reading, SideName
from letterer.page.spots import STEPS_INWARD, anchored

Layouts = Callable[..., Layout]

FRAME = Box(-40, -15, 40, 15)
PANEL = Box(30, 40, 430, 400)
GAP = 4.0


def place(plan: Layout, spot: Center | Fill | Corner | Edge, frame: Box = FRAME) -> Box:
    """The box that a unit with this frame takes."""
    middle = anchored(spot, frame, plan.pages[0].panels[0], plan)
    return frame.shifted(*middle)


def test_at_a_point_and_in_a_box(layout: Layouts) -> None:
    assert place(layout(), Center(Point(100, 90))) == (60, 75, 140, 105)
    # Even outside the panel: it is the person's own wish.
    assert place(layout(), Center(Point(0, 0))).center == (0, 0)
    assert place(layout(), Fill(Box(100, 100, 300, 200))).center == (200, 150)


@pytest.mark.parametrize(
    ("where", "left", "top"),
    [
        ("top left", 30 + GAP, 40 + GAP),
        ("top right", 430 - GAP - 80, 40 + GAP),
        ("bottom left", 30 + GAP, 400 - GAP - 30),
        ("bottom right", 430 - GAP - 80, 400 - GAP - 30),
    ],
)
def test_in_a_corner(where: CornerName, left: float, top: float, layout: Layouts) -> None:
    found = place(layout(), Corner(where))
    assert (found.left, found.top) == pytest.approx((left, top))


@pytest.mark.parametrize(
    ("side", "along", "x", "y"),
    [
        ("top", 0.0, 30 + GAP + 40, 40 + GAP + 15),
        ("top", 0.5, 230, 40 + GAP + 15),
        ("bottom", 1.0, 430 - GAP - 40, 400 - GAP - 15),
        ("left", 0.5, 30 + GAP + 40, 220),
        ("right", 0.0, 430 - GAP - 40, 40 + GAP + 15),
    ],
)
def test_at_an_edge(side: SideName, along: float, x: float, y: float, layout: Layouts) -> None:
    assert place(layout(), Edge(side, along)).center == pytest.approx((x, y))


def test_flush_shares_the_border_line(layout: Layouts) -> None:
    for plan, gap in ((layout(gap="flush"), None), (layout(), 0.0)):
        found = place(plan, Corner("top left", gap))
        assert (found.left, found.top) == (30, 40)


def test_a_gap_of_its_own(layout: Layouts) -> None:
    assert place(layout(gap=6), Corner("top left")).left == 36
    assert place(layout(gap=6), Corner("top left", 10)).left == 40
    assert place(layout(gap=6), Edge("bottom", 0.5, 1)).bottom == 399


def test_never_outside_the_live_area(layout: Layouts) -> None:
    # The panel runs into the bleed on three sides; the live area ends at 18, 18, 459, 720.
    bleeding = layout(shape=rectangle(Box(-9, -9, 486, 400)))
    assert place(bleeding, Corner("top left"))[:2] == (18, 18)
    assert place(bleeding, Corner("top right")).right == 459
    assert place(bleeding, Corner("bottom right")).bottom == 400 - GAP
    assert place(bleeding, Edge("left", 0.0, 60)).left == pytest.approx(51), "the gap is larger"


@pytest.mark.parametrize("where", ["top left", "top right", "bottom left", "bottom right"])
def test_reading_the_other_way_moves_nothing(where: CornerName, layout: Layouts) -> None:
    here = place(layout(), Corner(where))
    there = place(layout(reading=Reading.RIGHT_TO_LEFT), Corner(where))
    assert here == there


SLANTED = (
    polygon((Point(60, 40), Point(430, 40), Point(380, 400), Point(30, 400))),
    polygon((Point(230, 40), Point(430, 220), Point(230, 400), Point(30, 220))),
    polygon((Point(30, 40), Point(430, 140), Point(430, 400), Point(30, 300))),
)


@pytest.mark.parametrize("shape", SLANTED)
@pytest.mark.parametrize("where", ["top left", "top right", "bottom left", "bottom right"])
def test_in_a_slanted_panel_it_is_moved_inside(
    shape: object, where: CornerName, layout: Layouts
) -> None:
    plan = layout(shape=shape)
    found = place(plan, Corner(where))
    panel = plan.pages[0].panels[0]
    outline = shapely.Polygon(panel.shape.flattened()[0])
    assert outline.covers(shapely.box(*found.grown(GAP - 1e-6))), "with the gap all round"
    # And no farther than needed: a little more than a step back, and it would stick out.
    upright = place(layout(shape=rectangle(panel.box)), Corner(where))
    if found != upright:
        step = upright.center.distance(panel.box.center) / STEPS_INWARD * 1.05
        back = found.center.toward(upright.center, step / found.center.distance(upright.center))
        assert not outline.covers(shapely.box(*FRAME.shifted(*back).grown(GAP)))


@settings(max_examples=60)
@given(
    along=st.floats(0, 1),
    side=st.sampled_from(["top", "bottom", "left", "right"]),
    width=st.floats(5, 190),
    height=st.floats(5, 150),
    gap=st.floats(0, 20),
)
def test_an_edge_keeps_it_in_the_panel(
    along: float, side: SideName, width: float, height: float, gap: float, layout: Layouts
) -> None:
    frame = Box(-width, -height, width, height)
    if 2 * width > 360 or 2 * height > 320:
        return
    found = place(layout(), Edge(side, along, gap), frame)
    assert PANEL.grown(-gap).contains(found, 1e-6)
    edge = {"top": found.top, "bottom": found.bottom, "left": found.left, "right": found.right}
    line = {"top": 40 + gap, "bottom": 400 - gap, "left": 30 + gap, "right": 430 - gap}
    assert edge[side] == pytest.approx(line[side])


def test_without_a_panel_the_live_area_is_the_room(layout: Layouts) -> None:
    plan = layout()
    middle = anchored(Corner("top left"), FRAME, None, plan)
    assert FRAME.shifted(*middle)[:2] == (18 + GAP, 18 + GAP)
