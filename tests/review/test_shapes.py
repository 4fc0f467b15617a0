"""What shapes share, how far apart they are, where lines cross: against shapely and by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon

from letterer.fit.oval import Oval
from letterer.geometry import Box, Point
from letterer.review.shapes import common, corners, crossing, distance, enters, outside, oval_points

SQUARE = [corners(Box(0, 0, 40, 40))]

ovals = st.builds(
    Oval,
    st.builds(Point, st.floats(-60, 60), st.floats(-60, 60)),
    st.floats(8, 40),
    st.floats(8, 30),
    st.floats(2.0, 3.0),
)


@given(ovals, ovals)
def test_areas_in_common_are_those_of_shapely(one: Oval, other: Oval) -> None:
    first, second = oval_points(one), oval_points(other)
    exact = Polygon(first).intersection(Polygon(second))
    found = common([first], [second])
    # Counted on a grid: within 2 % of the second shape, or nothing where it is a sliver.
    assert (found.area if found else 0.0) == pytest.approx(exact.area, abs=0.02 * other.area)
    if found and exact.area > 20:
        left, top, right, bottom = exact.bounds
        for side, wanted in zip(found.box, (left, top, right, bottom), strict=True):
            assert side == pytest.approx(wanted, abs=2.0)


@given(ovals, ovals)
def test_distances_are_those_of_shapely(one: Oval, other: Oval) -> None:
    first, second = oval_points(one), oval_points(other)
    exact = Polygon(first).distance(Polygon(second))
    if exact > 0:
        assert distance([first], [second]) == pytest.approx(exact, abs=1.0)
        assert distance([first], [second]) >= exact - 1e-6


def test_distance_of_what_lies_within_is_nothing() -> None:
    assert distance(SQUARE, [corners(Box(10, 10, 20, 20))]) == 0.0
    assert distance([corners(Box(10, 10, 20, 20))], SQUARE) == 0.0


def test_the_oval_is_as_large_as_it_should_be() -> None:
    oval = Oval(Point(3, 4), 30, 20, 2.4)
    assert Polygon(oval_points(oval)).area == pytest.approx(oval.area, rel=0.005)


def test_outside() -> None:
    assert outside([corners(Box(20, 0, 60, 40))], SQUARE) == pytest.approx(0.5, abs=0.02)
    assert outside([corners(Box(5, 5, 30, 30))], SQUARE) == 0.0
    assert outside([corners(Box(50, 50, 60, 60))], SQUARE) == 1.0


ends = st.builds(Point, st.floats(0, 50), st.floats(0, 50))


@given(ends, ends, ends, ends)
def test_crossings_are_those_of_shapely(a: Point, b: Point, c: Point, d: Point) -> None:
    found = crossing([a, b], [c, d])
    exact = LineString([a, b]).intersection(LineString([c, d]))
    if found is not None:
        assert LineString([a, b]).distance(LineString([tuple(found), tuple(c)])) < 1e-6
        assert not exact.is_empty or LineString([a, b]).distance(LineString([c, d])) < 1e-6
    elif exact.geom_type == "Point" and not exact.is_empty:
        # Only lines that end in each other may be missed by a hair.
        assert min(exact.distance(LineString([p, p.shifted(1e-9, 0)])) for p in (a, b, c, d)) < 1e-6


def test_where_a_line_enters() -> None:
    assert enters([Point(-10, 20), Point(60, 20)], SQUARE) == Point(7.5, 20.0)
    assert enters([Point(-10, 20), Point(-5, 90)], SQUARE) is None
    assert enters([Point(-10, 20), Point(39, 20)], SQUARE) is not None
