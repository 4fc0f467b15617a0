"""Contours cut flat on lines, against shapely's intersection."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, Segment
from letterer.ink.cut import Line, cut
from letterer.ink.outline import frame_outline, oval_outline

OVAL = oval_outline(Oval(Point(0, 0), 40, 20, 2.4), "cut", 0.16)
FAR = 500.0


def line_at(turn: float, off: float) -> Line:
    """A line that keeps what lies on the side opposite to a direction, `off` from the middle."""
    x, y = math.cos(turn), math.sin(turn)
    middle = Point(off * x, off * y)
    return Line(middle.shifted(FAR * y, -FAR * x), middle.shifted(-FAR * y, FAR * x))


def kept(line: Line) -> shapely.Polygon:
    """The half of the world that a line keeps."""
    x, y = line.inward
    far = [point.shifted(2 * FAR * x, 2 * FAR * y) for point in (line.end, line.begin)]
    return shapely.Polygon([line.begin, line.end, *far])


def shape_of(path: Path) -> shapely.Polygon:
    rings = list(path.contours())
    assert len(rings) == 1
    assert rings[0].segments[-1] == Segment("Z")
    shape = shapely.Polygon(rings[0].flattened(5e-4)[0])
    assert shape.is_valid
    return shape


def test_a_line_knows_its_sides() -> None:
    line = line_at(0.7, 10)
    assert line.inside(Point(0, 0)) == pytest.approx(10)
    assert line.inside(Point(100 * math.cos(0.7), 100 * math.sin(0.7))) == pytest.approx(-90)


@settings(max_examples=80)
@given(st.lists(st.tuples(st.floats(0, 6.28), st.floats(3, 45)), min_size=1, max_size=3))
def test_what_is_left_is_shapelys(lines: list[tuple[float, float]]) -> None:
    drawn = [line_at(turn, off) for turn, off in lines]
    left = cut(OVAL, drawn)
    assert left is not None
    expected = shapely.intersection_all([shape_of(OVAL), *map(kept, drawn)])
    assert shape_of(left).area == pytest.approx(expected.area, rel=1e-3)
    assert shapely.area(shape_of(left) ^ expected) < 1e-3 * expected.area


@pytest.mark.parametrize(
    ("line", "axis", "at"),
    [
        (Line(Point(-90, -12.3), Point(90, -12.3)), 1, -12.3),
        (Line(Point(31.7, -90), Point(31.7, 90)), 0, 31.7),
        (Line(Point(90, 11.1), Point(-90, 11.1)), 1, 11.1),
        (Line(Point(-29.9, 90), Point(-29.9, -90)), 0, -29.9),
    ],
)
def test_the_flat_side_lies_on_the_line_exactly(line: Line, axis: int, at: float) -> None:
    left = cut(OVAL, [line])
    assert left is not None
    ends = [segment.points[-1] for segment in left.segments if segment.points]
    straight = [
        (ends[place - 1], end) for place, end in enumerate(ends) if left.segments[place].verb == "L"
    ]
    assert len(straight) == 1
    assert [point[axis] for point in straight[0]] == [at, at]
    assert min(line.inside(point) for point in ends) == 0


def test_what_the_line_misses_stays_as_it_is() -> None:
    assert cut(OVAL, [line_at(0.3, 60)]) is OVAL
    assert cut(OVAL, []) is OVAL
    assert cut(OVAL, [line_at(0.3, -60)]) is None
    assert cut(OVAL, [line_at(0, -1), line_at(math.pi, -1)]) is None


def test_a_frame_is_cut_on_a_slant() -> None:
    frame = frame_outline(Box(0, 0, 60, 20), "frame", 0.16)
    slant = Line(Point(10 + 100, 30 + 400), Point(10 - 100, 30 - 400))
    left = cut(frame, [slant])
    assert left is not None
    assert shape_of(left).area == pytest.approx(
        shape_of(frame).intersection(kept(slant)).area, rel=1e-3
    )
