"""The knock-out behind words without a balloon."""

from __future__ import annotations

import pytest
from shapely import LineString

from letterer.geometry import Box, Path, Point, Segment, rectangle
from letterer.ink.halo import STRAY_POINTS, halo_path
from letterer.page.lettered import LetteredPage
from letterer.text.letter_path import StampedPath

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


def test_a_halo_of_letters_made_once_is_that_of_their_outlines(lettered: LetteredPage) -> None:
    lines = next(unit.lines for unit in lettered.units if unit.kind == "open")
    halo, plain = halo_path(lines), halo_path([Path(line.segments) for line in lines])
    assert isinstance(halo, StampedPath) and not isinstance(plain, StampedPath)
    assert [step.verb for step in halo.segments] == [step.verb for step in plain.segments]
    for step, other in zip(halo.segments, plain.segments, strict=True):
        for point, there in zip(step.points, other.points, strict=True):
            assert point.distance(there) < 1e-9


def test_lines_come_in_their_order_and_close() -> None:
    first, second = rectangle(Box(0, 0, 1, 1)), rectangle(Box(5, 5, 6, 6))
    halo = halo_path([first, second])
    assert [contour.box() for contour in halo.contours()] == [first.box(), second.box()]
    assert [segment.verb for segment in halo.segments].count("Z") == 2


def test_no_words_have_no_halo() -> None:
    assert not halo_path([])
