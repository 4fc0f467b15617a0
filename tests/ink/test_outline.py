"""Outlines of balloons and captions, ruled and drawn by hand."""

from __future__ import annotations

import itertools
import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, rectangle
from letterer.ink.outline import frame_outline, oval_outline, oval_point, uneven_frame

ovals = st.builds(
    lambda x, y, b, aspect, n: Oval(Point(x, y), b * aspect, b, n),
    st.floats(-50, 400),
    st.floats(-50, 400),
    st.floats(7, 35),
    st.floats(1, 2.6),
    st.floats(2, 3),
)
boxes = st.builds(
    lambda x, y, w, h: Box(x, y, x + w, y + h),
    st.floats(-50, 400),
    st.floats(-50, 400),
    st.floats(15, 200),
    st.floats(10, 90),
)
amplitudes = st.sampled_from([0.16, 0.3, 0.5])


def flat(path: Path) -> list[Point]:
    return path.flattened(1e-3)[0]


def turns(path: Path) -> list[float]:
    """The angle, in degrees, between each curve's end and the next one's beginning."""
    chains, here = [], path.segments[0].points[0]
    for verb, points in path.segments[1:]:
        if verb == "C":
            chains.append((here, *points))
            here = points[-1]
    found = []
    for before, after in itertools.pairwise([*chains, chains[0]]):
        into = math.atan2(before[3].y - before[2].y, before[3].x - before[2].x)
        out = math.atan2(after[1].y - after[0].y, after[1].x - after[0].x)
        found.append(abs(math.degrees((out - into + math.pi) % (2 * math.pi) - math.pi)))
    return found


@settings(max_examples=40)
@given(ovals, amplitudes, st.text(max_size=5))
def test_an_oval_strays_by_its_amplitude_at_most(
    oval: Oval, amplitude: float, identity: str
) -> None:
    path = oval_outline(oval, identity, amplitude)
    true = shapely.LineString([oval_point(oval, 2 * math.pi * i / 4000) for i in range(4001)])
    strays = shapely.distance(true, shapely.points(flat(path)))
    assert amplitude / 20 < float(strays.max()) <= amplitude + 0.01
    assert shapely.Polygon(flat(path)).is_valid
    assert path.area() > 0, "clockwise on the page"


@settings(max_examples=40)
@given(ovals, amplitudes)
def test_a_wavering_oval_has_no_corner_and_no_seam(oval: Oval, amplitude: float) -> None:
    assert max(turns(oval_outline(oval, "seam", amplitude))) < 0.5


@settings(max_examples=40)
@given(boxes, amplitudes, st.text(max_size=5))
def test_a_frame_keeps_its_corners_and_strays_little(
    box: Box, amplitude: float, identity: str
) -> None:
    path = frame_outline(box, identity, amplitude)
    sides = shapely.box(*box).exterior
    strays = shapely.distance(sides, shapely.points(flat(path)))
    assert 0 < float(strays.max()) <= amplitude + 0.01
    line = shapely.LineString(flat(path))
    for corner in ((box.left, box.top), (box.right, box.top), (box.right, box.bottom)):
        assert line.distance(shapely.Point(corner)) < 1e-9
    assert shapely.Polygon(flat(path)).is_valid
    assert path.area() > 0, "clockwise on the page"


def test_no_hand_is_exact() -> None:
    box = Box(3, 4, 50, 20)
    assert frame_outline(box, "any", 0.0) == Path(
        (
            *rectangle(box).segments[:-1],
            frame_outline(box).segments[-2],
            rectangle(box).segments[-1],
        )
    )
    assert frame_outline(box, "a") == frame_outline(box, "b")
    assert frame_outline(box).area() == box.area
    oval = Oval(Point(0, 0), 40, 20, 2.4)
    assert oval_outline(oval, "a", 0.0) == oval_outline(oval, "b", 0.0)
    for segment in oval_outline(oval).segments[:-1]:
        assert oval.level(segment.points[-1]) == pytest.approx(1, abs=1e-9)


def test_the_same_identity_draws_the_same_line_and_another_another() -> None:
    oval, box = Oval(Point(0, 0), 40, 20, 2.4), Box(0, 0, 80, 30)
    assert oval_outline(oval, "a", 0.16) == oval_outline(oval, "a", 0.16)
    assert oval_outline(oval, "a", 0.16) != oval_outline(oval, "b", 0.16)
    assert frame_outline(box, "a", 0.16) == frame_outline(box, "a", 0.16)
    assert frame_outline(box, "a", 0.16) != frame_outline(box, "b", 0.16)


def test_moving_a_balloon_does_not_redraw_it() -> None:
    oval = Oval(Point(0, 0), 40, 20, 2.4)
    moved = oval_outline(oval.shifted(30, -7), "a", 0.16)
    for here, there in zip(oval_outline(oval, "a", 0.16).segments, moved.segments, strict=True):
        for p, q in zip(here.points, there.points, strict=True):
            assert q == pytest.approx(p.shifted(30, -7), abs=1e-6)


@settings(max_examples=40)
@given(boxes, st.sampled_from([0.0, 0.16, 0.5]), st.text(max_size=5))
def test_an_uneven_frame_is_out_of_true_outward_only(
    box: Box, amplitude: float, identity: str
) -> None:
    path = uneven_frame(box, identity, amplitude)
    drawn = shapely.Polygon(flat(path))
    assert drawn.is_valid and path.area() > 0
    true = shapely.Polygon(flat(rectangle(box)))
    assert drawn.buffer(amplitude + 0.02).contains(true), "what stands in it keeps its air"
    most = craft.CAPTION_UNEVEN_POINTS * (1 + craft.CAPTION_BOW_SHARE) + amplitude
    assert box.grown(most + 0.02).contains(path.box() or box)
    assert path == uneven_frame(box, identity, amplitude)
    assert path != uneven_frame(box, identity + "x", amplitude)


def test_a_large_oval_keeps_all_the_waves_of_the_hand() -> None:
    """A border of 1,300 pt has 50 waves: through 32 points they would be lost."""
    oval = Oval(Point(0, 0), 260, 150, 2.4)
    waves, true = oval_outline(oval, "a", 0.5), shapely.Polygon(flat(oval_outline(oval)))
    crossed = shapely.LineString(flat(waves)).intersection(true.exterior)
    assert len(shapely.get_parts(crossed)) > 40
