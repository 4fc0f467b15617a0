"""Outlines of panels and zones: checked against shapely's notion of a valid polygon."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from letterer.geometry import Point
from letterer.model.ring import ring_fault

# Whole numbers on a small grid: corners often touch, and no rounding can decide the matter.
CORNERS = st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=3, max_size=9)


@given(CORNERS)
def test_agrees_with_shapely(corners: list[tuple[int, int]]) -> None:
    fault = ring_fault([Point(x, y) for x, y in corners])
    outline = Polygon(corners)
    assert (fault == "") == (outline.is_valid and outline.area > 0)


@given(CORNERS, st.integers(0, 8))
def test_start_and_direction_do_not_matter(corners: list[tuple[int, int]], shift: int) -> None:
    points = [Point(x, y) for x, y in corners]
    shift %= len(points)
    turned = points[shift:] + points[:shift]
    sound = ring_fault(points) == ""
    assert (ring_fault(turned) == "") == sound
    assert (ring_fault(points[::-1]) == "") == sound


def test_says_what_is_wrong() -> None:
    bow_tie = [Point(0, 0), Point(2, 2), Point(2, 0), Point(0, 2)]
    assert ring_fault(bow_tie) == "crosses or touches itself between its lines 1 and 3"
    assert ring_fault([Point(0, 0), Point(1, 1), Point(3, 3)]) == (
        "covers no area: its points lie in one line"
    )
    assert ring_fault([Point(1, 1)] * 4) == "needs at least 3 different points"
    sliver = [Point(0, 0), Point(1e6, 1e-9), Point(1e6, 2e-9), Point(5e5, 3e-9)]
    assert ring_fault(sliver) in ("", "covers no area: its points lie in one line")


def test_a_closing_corner_that_repeats_the_first_is_no_fault() -> None:
    square = [Point(0, 0), Point(2, 0), Point(2, 2), Point(0, 2), Point(0, 0)]
    assert ring_fault(square) == ""
