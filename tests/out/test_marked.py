"""Marked pages: marks stand beside what they concern, off words and off each other."""

from __future__ import annotations

from itertools import combinations

import pytest

from letterer.geometry import Box
from letterer.model.plan import PagePlan
from letterer.out.marked import ACCEPTED, DARK, RADIUS, WHITE, marked_page
from letterer.page.lettered import Finding, LetteredPage, PlacedUnit, Severity
from letterer.review.finding import Noticed
from letterer.text.faces import FaceLibrary, library

Told = list[tuple[Noticed, str]]


@pytest.fixture(scope="session")
def faces() -> FaceLibrary:
    """The bundled faces."""
    return library(())


def noticed(severity: Severity, at: Box | None, because: str = "") -> tuple[Noticed, str]:
    return Noticed(Finding(severity, "covers", "covers it", page=1), at, (), because), "covers it."


def marks(drawn: LetteredPage) -> list[PlacedUnit]:
    """The marks on the page itself, without those of the list under it."""
    found = [unit for unit in drawn.units if unit.id.endswith("-mark")]
    return found[: len(found) // 2]


@pytest.fixture(scope="session")
def told(lettered: LetteredPage) -> Told:
    """Two findings for each unit of the page."""
    every = [unit.box for unit in lettered.units] * 2
    return [noticed(Severity.WARNING, box) for box in every]


def test_marks_stand_off_words_and_off_each_other(
    lettered: LetteredPage, told: Told, faces: FaceLibrary
) -> None:
    drawn = marked_page(lettered, PagePlan(1), told, faces).page
    found = marks(drawn)
    assert len(found) == len(told)
    for one, other in combinations(found, 2):
        assert one.box.center.distance(other.box.center) >= 2 * RADIUS
    words = [box for unit in lettered.units for line in unit.lines if (box := line.box())]
    assert not any(mark.box.meets(line) for mark in found for line in words)
    assert all(lettered.format.bleed.contains(mark.box, 1.0) for mark in found)


def test_marks_are_near_what_they_concern(
    lettered: LetteredPage, told: Told, faces: FaceLibrary
) -> None:
    for mark, (one, _) in zip(
        marks(marked_page(lettered, PagePlan(1), told, faces).page), told, strict=True
    ):
        assert one.at is not None
        assert one.at.grown(5 * RADIUS).meets(mark.box)


def test_marks_tell_how_much_it_matters(lettered: LetteredPage, faces: FaceLibrary) -> None:
    box = lettered.units[0].box
    every = [
        noticed(Severity.PROBLEM, box),
        noticed(Severity.WARNING, box),
        noticed(Severity.NOTE, box),
        noticed(Severity.PROBLEM, box, "so"),
    ]
    found = marks(marked_page(lettered, PagePlan(1), every, faces).page)
    assert [mark.fill for mark in found] == [DARK, WHITE, WHITE, ACCEPTED]
    corners = [len(mark.outline.segments) if mark.outline else 0 for mark in found]
    assert corners[2] < corners[0] == corners[1]  # a note is a square, the others are discs
    assert [mark.words for mark in found] == ["problem 1", "warning 2", "note 3", "problem 4"]


def test_numbers_run_on(lettered: LetteredPage, faces: FaceLibrary) -> None:
    one = [noticed(Severity.NOTE, lettered.units[0].box)]
    drawn = marked_page(lettered, PagePlan(1), one, faces, 7).page
    assert [mark.words for mark in marks(drawn)] == ["note 7"]


def test_what_has_no_place_is_in_the_list_only(lettered: LetteredPage, faces: FaceLibrary) -> None:
    drawn = marked_page(lettered, PagePlan(1), [noticed(Severity.NOTE, None)], faces).page
    found = [unit for unit in drawn.units if unit.id.endswith("-mark")]
    assert len(found) == 1
    assert found[0].box.top > lettered.format.bleed.bottom


def test_the_page_itself_is_drawn_as_it_is(
    lettered: LetteredPage, told: Told, faces: FaceLibrary
) -> None:
    drawn = marked_page(lettered, PagePlan(1), told, faces).page
    words = [unit.words for unit in drawn.units]
    for unit in lettered.units:
        assert unit.words in words
        copy = next(one for one in drawn.units if one.id.endswith(f"-{unit.id}"))
        assert copy.layers() == unit.layers()
