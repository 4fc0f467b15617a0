"""The knock-out behind words without a balloon."""

from __future__ import annotations

import pytest
from shapely import LineString

from letterer.geometry import Box, Path, Point, Segment, rectangle
from letterer.ink.halo import STRAY_POINTS, halo_path
from letterer.page.lettered import LetteredPage

LOOP = Path(
    (
        Segment("M", (Point(0, 0),)),
        Segment("C", (Point(10, 0), Point(10, 10), Point(0, 10))),
        Segment("Q", (Point(-4, 5), Point(0, 0))),
        Segment("Z"),
    )
)


def test_a_halo_has_straight_lines_only(lettered: LetteredPage) -> None:
    for unit in lettered.units:
        halo = halo_path(unit.lines)
        assert {segment.verb for segment in halo.segments} == {"M", "L", "Z"}
        contours = sum(len(list(line.contours())) for line in unit.lines)
        assert len(list(halo.contours())) == contours


def test_a_halo_keeps_close_to_the_letters() -> None:
    (drawn,) = halo_path([LOOP]).flattened()
    (exact,) = LOOP.flattened(1e-5)
    assert LineString(drawn).hausdorff_distance(LineString(exact)) <= STRAY_POINTS + 1e-4
    assert abs(halo_path([LOOP]).area()) == pytest.approx(abs(LOOP.area()), rel=0.01)


def test_lines_come_in_their_order_and_close() -> None:
    first, second = rectangle(Box(0, 0, 1, 1)), rectangle(Box(5, 5, 6, 6))
    halo = halo_path([first, second])
    assert [contour.box() for contour in halo.contours()] == [first.box(), second.box()]
    assert [segment.verb for segment in halo.segments].count("Z") == 2


def test_no_words_have_no_halo() -> None:
    assert not halo_path([])
