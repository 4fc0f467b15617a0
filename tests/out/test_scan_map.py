"""The map from four marks: against numpy's own algebra, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.errors import LettererError
from letterer.geometry import Point
from letterer.out.scan_map import ScanMap, check_corners, check_plausible, map_from

MARKS = (Point(-23, -2), Point(500, -2), Point(500, 740), Point(-23, 740))
SMALL = st.floats(-0.2, 0.2)


@given(st.tuples(st.floats(0.5, 6), st.floats(-2, 2), st.floats(-2, 2), st.floats(0.5, 6)), SMALL)
def test_an_affine_map_comes_back_as_it_was(matrix: tuple[float, ...], shift: float) -> None:
    a, b, c, d = matrix
    if abs(a * d - b * c) < 0.2:
        return
    e, f = shift * 500, 100 - shift * 300
    seen = [Point(a * x + c * y + e, b * x + d * y + f) for x, y in MARKS]
    found = map_from(MARKS, seen)
    assert found.affine and found.off < 1e-6
    for at in (Point(10, 20), Point(300, 700)):
        there = Point(a * at.x + c * at.y + e, b * at.x + d * at.y + f)
        assert found.apply(at) == pytest.approx(there, abs=1e-6)


@given(st.lists(st.floats(-40, 40), min_size=8, max_size=8))
def test_a_projective_map_goes_through_its_points(moves: list[float]) -> None:
    """Checked by the definition: with w from the map, each point is where it was seen; and a
    straight line stays straight."""
    seen = [
        Point(2 * x + 100 + moves[2 * k], 2 * y + 80 + moves[2 * k + 1])
        for k, (x, y) in enumerate(MARKS)
    ]
    found = map_from(MARKS, seen)
    if not found.affine:
        for mark, at in zip(MARKS, seen, strict=True):
            assert found.apply(mark) == pytest.approx(at, abs=1e-5)
    ends = [found.apply(Point(x, x * 0.5 + 30)) for x in (0, 200, 400)]
    area = np.linalg.det(np.array([[p.x, p.y, 1.0] for p in ends]))
    assert abs(area) < 1e-3 * math.dist(ends[0], ends[2])


def test_what_is_left_over_is_told_in_mm_on_the_page() -> None:
    """One of four points moved by d leaves d/4 at each (worked out by hand: the four-point affine
    fit's one free direction is + - + -)."""
    seen = [Point(3 * x, 3 * y) for x, y in MARKS]
    seen[2] = Point(seen[2].x + 3 * 72 / 25.4 * 0.4, seen[2].y)
    assert map_from(MARKS, seen).off == pytest.approx(0.1, rel=0.01)


def test_how_the_page_lies_is_told() -> None:
    turn = math.radians(2.0)
    seen = [
        Point(
            4 * (x * math.cos(turn) - y * math.sin(turn)),
            4 * (x * math.sin(turn) + y * math.cos(turn)),
        )
        for x, y in MARKS
    ]
    wide, high, degrees, skew = map_from(MARKS, seen).sides(Point(100, 100))
    assert (wide, high, degrees, skew) == pytest.approx((4, 4, 2, 0), abs=1e-9)


@pytest.mark.parametrize(
    "points",
    [
        [(0, 0), (100, 0), (0, 100), (100, 100)],  # not round the page
        [(0, 0), (0, 100), (100, 100), (100, 0)],  # anticlockwise: mirrored
        [(0, 0), (100, 0), (50, 0), (0, 100)],  # in a line
        [(0, 0), (100, 0), (101, 1), (0, 100)],  # two the same
    ],
)
def test_points_that_are_no_corners_are_refused(points: list[tuple[float, float]]) -> None:
    with pytest.raises(LettererError, match="four points of --marks"):
        check_corners([Point(*at) for at in points], "--marks")


def test_corners_in_their_order_are_taken_whichever_way_the_sheet_lies() -> None:
    corners = [Point(0, 0), Point(300, 0), Point(300, 400), Point(0, 400)]
    for turn in range(4):
        check_corners(corners[turn:] + corners[:turn], "--marks")


def test_a_map_of_another_page_is_refused() -> None:
    check_plausible(ScanMap((4, 0, 0, 0, 4.1, 0, 0, 0, 1), 0.0), Point(1, 1))
    for rows in ((4, 0, 0, 0, 5, 0, 0, 0, 1), (4, 1, 0, 0, 4, 0, 0, 0, 1)):
        with pytest.raises(LettererError, match="do not fit this page"):
            check_plausible(ScanMap(rows, 0.0), Point(1, 1))
