"""Points, boxes, maps and Bézier paths, against dense sampling and against shapely."""

from __future__ import annotations

import itertools
import math

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from letterer.geometry import (
    Affine,
    Box,
    Path,
    Point,
    Segment,
    bezier_point,
    polygon,
    rectangle,
    union_box,
)

coordinates = st.floats(-200, 200, allow_nan=False, width=32)
points = st.builds(Point, coordinates, coordinates)
segments = st.one_of(
    st.builds(lambda p: Segment("L", (p,)), points),
    st.builds(lambda p, q: Segment("Q", (p, q)), points, points),
    st.builds(lambda p, q, r: Segment("C", (p, q, r)), points, points, points),
)
contours = st.builds(
    lambda start, steps, closed: Path(
        (Segment("M", (start,)), *steps, *([Segment("Z")] if closed else []))
    ),
    points,
    st.lists(segments, min_size=1, max_size=5),
    st.booleans(),
)
paths = st.lists(contours, min_size=1, max_size=3).map(lambda found: sum(found, Path()))
numbers = st.floats(-3, 3, allow_nan=False, width=32)
affines = st.builds(Affine, numbers, numbers, numbers, numbers, coordinates, coordinates)


def chains(path: Path) -> list[tuple[Point, ...]]:
    """Every curve or line of a path as its control points."""
    found = []
    here = Point(0, 0)
    for verb, ends in path.segments:
        if verb in "LQC":
            found.append((here, *ends))
        if ends:
            here = ends[-1]
    return found


def at(chain: tuple[Point, ...], t: float) -> Point:
    return chain[0].toward(chain[1], t) if len(chain) == 2 else bezier_point(chain, t)


def de_casteljau(chain: tuple[Point, ...], t: float) -> Point:
    while len(chain) > 1:
        chain = tuple(chain[i].toward(chain[i + 1], t) for i in range(len(chain) - 1))
    return chain[0]


@settings(max_examples=80)
@given(st.lists(points, min_size=3, max_size=4), st.floats(0, 1))
def test_a_point_of_a_curve_is_de_casteljaus(chain: list[Point], t: float) -> None:
    ours, theirs = bezier_point(tuple(chain), t), de_casteljau(tuple(chain), t)
    assert ours == pytest.approx(theirs, abs=1e-9)


@settings(max_examples=100)
@given(paths)
def test_the_box_is_that_of_the_curve_not_of_its_control_points(path: Path) -> None:
    box = path.box()
    assert box is not None
    steps = 400
    seen = [segment.points[0] for segment in path.segments if segment.verb == "M"]
    seen += [at(chain, i / steps) for chain in chains(path) for i in range(steps + 1)]
    sampled = Box(
        min(p.x for p in seen),
        min(p.y for p in seen),
        max(p.x for p in seen),
        max(p.y for p in seen),
    )
    assert box.contains(sampled, 1e-9)
    # Between two samples a curve turns by at most a quadratic's rise over a step: far under this.
    assert sampled.grown(0.02).contains(box)


def test_the_box_of_a_curve_is_inside_that_of_its_control_points() -> None:
    path = Path(
        (Segment("M", (Point(0, 0),)), Segment("C", (Point(0, 4), Point(4, 4), Point(4, 0))))
    )
    assert path.box() == pytest.approx((0, 0, 4, 3))
    arch = Path((Segment("M", (Point(0, 0),)), Segment("Q", (Point(1, 2), Point(2, 0)))))
    assert arch.box() == pytest.approx((0, 0, 2, 1))


def test_an_empty_path_has_no_box() -> None:
    assert Path().box() is None
    assert not Path()


@settings(max_examples=80)
@given(contours)
def test_area_by_greens_theorem_is_shapelys_on_the_flattened_path(path: Path) -> None:
    ring = path.flattened(1e-4)[0]
    assume(len(ring) > 2)
    closed = [*ring, ring[0]]
    # Signed area of any closed polyline, self-crossing or not (the shoelace formula); shapely gives
    # the same for simple rings and is asked below.
    shoelace = sum(p.x * q.y - q.x * p.y for p, q in itertools.pairwise(closed)) / 2
    length = sum(p.distance(q) for p, q in itertools.pairwise(closed))
    assert path.area() == pytest.approx(shoelace, abs=1e-4 * length + 1e-6)
    shape = shapely.Polygon(ring)
    if shape.is_valid:
        assert abs(path.area()) == pytest.approx(shape.area, abs=1e-4 * length + 1e-6)


def test_area_is_positive_clockwise_on_the_page_and_adds_up_over_contours() -> None:
    outer, hole = rectangle(Box(0, 0, 10, 10)), rectangle(Box(2, 2, 5, 5))
    back = polygon(reversed([segment.points[0] for segment in hole.segments if segment.points]))
    assert outer.area() == 100
    assert back.area() == -9
    assert (outer + back).area() == 91
    opened = Path(tuple(segment for segment in outer.segments if segment.verb != "Z"))
    assert opened.area() == 100


@settings(max_examples=80)
@given(contours, st.sampled_from([0.5, 0.1, 0.01]))
def test_flattening_keeps_within_its_tolerance(path: Path, tolerance: float) -> None:
    (line,) = path.flattened(tolerance)
    flat = shapely.LineString(line if len(line) > 1 else [line[0], line[0]])
    for chain in chains(path):
        curve = shapely.points([at(chain, i / 97) for i in range(98)])
        assert float(shapely.distance(flat, curve).max()) <= tolerance * (1 + 1e-6) + 1e-9


def test_flattening_closes_closed_contours_only() -> None:
    corner = (
        Segment("M", (Point(0, 0),)),
        Segment("L", (Point(1, 0),)),
        Segment("L", (Point(1, 1),)),
    )
    assert Path(corner).flattened() == [[(0, 0), (1, 0), (1, 1)]]
    assert Path((*corner, Segment("Z"))).flattened() == [[(0, 0), (1, 0), (1, 1), (0, 0)]]


@settings(max_examples=60)
@given(affines, affines, points)
def test_maps_compose(second: Affine, first: Affine, point: Point) -> None:
    both = second.after(first).apply(point)
    assert both == pytest.approx(second.apply(first.apply(point)), rel=1e-6, abs=1e-6)
    assert Affine().after(first) == first == first.after(Affine())


@settings(max_examples=60)
@given(paths, affines)
def test_a_mapped_path_is_the_curve_mapped_and_its_area_scales(path: Path, affine: Affine) -> None:
    mapped = path.mapped(affine)
    for chain, other in zip(chains(path), chains(mapped), strict=True):
        for t in (0.0, 0.3, 1.0):
            assert at(other, t) == pytest.approx(affine.apply(at(chain, t)), rel=1e-6, abs=1e-6)
    scale = affine.a * affine.d - affine.b * affine.c
    reach = 1e-9 * (1 + sum(abs(v) for p in chains(mapped) for q in p for v in q)) ** 2
    assert mapped.area() == pytest.approx(path.area() * scale, rel=1e-6, abs=reach + 1e-6)


def test_a_shifted_path_is_moved_and_nothing_else() -> None:
    assert rectangle(Box(0, 0, 2, 1)).shifted(3, 4) == rectangle(Box(3, 4, 5, 5))


@settings(max_examples=60)
@given(st.lists(contours, min_size=1, max_size=4))
def test_contours_are_taken_apart_and_put_together(found: list[Path]) -> None:
    whole = sum(found, Path())
    assert list(whole.contours()) == found
    assert len(whole.flattened()) == len(found)


@pytest.mark.parametrize(
    ("steps", "told"),
    [
        ((Segment("L", (Point(0, 0),)),), "begins with M"),
        (
            (Segment("M", (Point(0, 0),)), Segment("Z"), Segment("L", (Point(0, 0),))),
            "begins with M",
        ),
        ((Segment("M", (Point(0, 0),)), Segment("C", (Point(0, 0),))), "C takes 3"),
        ((Segment("M"),), "M takes 1"),
    ],
)
def test_a_path_refuses_steps_that_draw_nothing_sound(
    steps: tuple[Segment, ...], told: str
) -> None:
    with pytest.raises(ValueError, match=told):
        Path(steps)


boxes = st.builds(
    lambda x, y, w, h: Box(x, y, x + w, y + h),
    coordinates,
    coordinates,
    st.floats(0.5, 100, width=32),
    st.floats(0.5, 100, width=32),
)


@settings(max_examples=100)
@given(boxes, boxes)
def test_boxes_meet_and_contain_as_shapelys_do(first: Box, second: Box) -> None:
    a, b = shapely.box(*first), shapely.box(*second)
    assert first.meets(second) == (a.intersection(b).area > 0)
    assert first.contains(second) == a.covers(b)
    whole = union_box([first, second])
    assert whole == a.union(b).bounds
    assert first.area == pytest.approx(a.area)
    assert first.holds(second.center) == a.covers(shapely.Point(*second.center))
    assert first.grown(2).contains(first) and not first.contains(first.grown(0.1))
    assert first.contains(first.grown(0.1), slack=0.11)


def test_the_union_of_no_boxes_is_none() -> None:
    assert union_box([]) is None


def test_distances_and_ways_between_points() -> None:
    start, end = Point(1, 1), Point(4, 5)
    assert start.distance(end) == 5
    assert start.toward(end, 0.5) == (2.5, 3)
    assert start.toward(end, 2) == (7, 9)
    assert start.shifted(-1, 2) == (0, 3)
    assert math.isclose(Box(0, 0, 4, 2).center.x, 2)
