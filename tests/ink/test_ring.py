"""Walking a closed contour by arc length, against shapely."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, Segment, rectangle
from letterer.ink.outline import frame_outline, oval_outline
from letterer.ink.ring import Ring

ovals = st.builds(
    lambda b, aspect, n, hand: oval_outline(Oval(Point(50, 40), b * aspect, b, n), "ring", hand),
    st.floats(7, 35),
    st.floats(1, 2.6),
    st.floats(2, 3),
    st.sampled_from([0.0, 0.16, 0.5]),
)
frames = st.builds(
    lambda w, h, hand: frame_outline(Box(50 - w, 40 - h, 50 + w, 40 + h), "ring", hand),
    st.floats(10, 100),
    st.floats(5, 40),
    st.sampled_from([0.0, 0.16, 0.5]),
)
outlines = st.one_of(ovals, frames)
shares = st.floats(0, 0.999)
HEART = Point(50, 40)


def flat(path: Path) -> list[Point]:
    return path.flattened(5e-4)[0]


@settings(max_examples=60)
@given(outlines)
def test_length_is_shapelys(path: Path) -> None:
    assert Ring(path).length == pytest.approx(shapely.LineString(flat(path)).length, abs=0.01)


@settings(max_examples=80)
@given(outlines, shares)
def test_a_point_lies_as_far_along_as_it_is_asked_for(path: Path, share: float) -> None:
    ring, line = Ring(path), shapely.LineString(flat(path))
    at = share * ring.length
    assert ring.point(at).distance(Point(*line.interpolate(at).coords[0])) < 0.02
    assert ring.point(at) == pytest.approx(ring.point(at + ring.length), abs=1e-6)
    assert ring.point(at) == pytest.approx(ring.point(at - ring.length), abs=1e-6)


def test_a_plain_frame_is_walked_exactly() -> None:
    ring = Ring(rectangle(Box(0, 0, 10, 4)))
    assert ring.length == 28
    assert ring.point(3) == (3, 0)
    assert ring.point(12) == (10, 2)
    assert ring.point(-1) == (0, 1)
    assert ring.corners() == (0, 10, 14, 24)


def test_a_smooth_contour_has_no_corners() -> None:
    assert Ring(oval_outline(Oval(Point(0, 0), 40, 20, 2.4), "a", 0.16)).corners() == ()
    assert len(Ring(frame_outline(Box(0, 0, 90, 30), "a", 0.5)).corners()) == 4


@settings(max_examples=80)
@given(outlines, st.floats(0, 6.28))
def test_the_exit_lies_on_the_ray_and_on_the_border(path: Path, angle: float) -> None:
    ring = Ring(path)
    aim = Point(HEART.x + 300 * math.cos(angle), HEART.y + 300 * math.sin(angle))
    at = ring.exit(HEART, aim)
    assert at is not None
    found = shapely.LineString([HEART, aim]).intersection(shapely.LineString(flat(path)))
    assert not found.is_empty
    last = max(shapely.get_parts(found), key=lambda part: part.distance(shapely.Point(HEART)))
    assert shapely.Point(ring.point(at)).distance(last) < 0.02


def test_a_ray_without_direction_has_no_exit() -> None:
    assert Ring(rectangle(Box(0, 0, 2, 2))).exit(Point(1, 1), Point(1, 1)) is None


@settings(max_examples=100)
@given(outlines, shares, shares)
def test_a_stretch_runs_from_its_beginning_to_its_end(
    path: Path, first: float, second: float
) -> None:
    ring = Ring(path)
    begin, end = first * ring.length, second * ring.length
    forward = (end - begin) % ring.length
    if min(forward, ring.length - forward) < 0.01:
        return
    steps = ring.between(begin, end)
    stretch = flat(Path((Segment("M", (ring.point(begin),)), *steps)))
    assert stretch[-1] == ring.point(end), "to the last bit: a spliced contour closes there"
    assert shapely.LineString(stretch).length == pytest.approx(forward, abs=0.02)
    middle = Point(*shapely.LineString(stretch).interpolate(forward / 2).coords[0])
    assert middle.distance(ring.point(begin + forward / 2)) < 0.03
    assert shapely.distance(shapely.LineString(flat(path)), shapely.points(stretch)).max() < 0.002


@settings(max_examples=40)
@given(outlines, shares)
def test_two_stretches_make_the_whole(path: Path, share: float) -> None:
    ring = Ring(path)
    here, there = 0.1 * ring.length, (0.1 + 0.2 + 0.6 * share) * ring.length
    whole = Path(
        (
            Segment("M", (ring.point(here),)),
            *ring.between(here, there),
            *ring.between(there, here),
            Segment("Z"),
        )
    )
    assert whole.area() == pytest.approx(path.area(), abs=1e-6)


@settings(max_examples=40)
@given(outlines, st.floats(-20, 120), st.floats(-20, 90))
def test_nearest_is_near(path: Path, x: float, y: float) -> None:
    ring, point = Ring(path), Point(x, y)
    apart = shapely.LineString(flat(path)).distance(shapely.Point(x, y))
    # To within a chord: those of a straight side are as long as the side, between its corners.
    if not ring.corners():
        assert ring.point(ring.nearest(point)).distance(point) < apart + 1.0
