"""How large letters are, and when that is worth a note."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from letterer import craft
from letterer.review.legibility import easy_least_mm, height_mm, readings, told_of
from letterer.review.pages import Reviewed
from letterer.text.faces import Cut, library

Kinds = Callable[..., list[str]]
Looked = Callable[..., Reviewed]
NELL = "NELL: The lamp is out."


def at(unit: str, x: float, y: float, **keys: Any) -> dict[str, Any]:
    return {"unit": unit, "center": [x, y], **keys}


def test_the_least_height_is_the_published_one() -> None:
    """Legge & Bigelow 2011: x-heights of 0.2 to 2 degrees, at 40 cm 1.4 to 14 mm."""
    assert easy_least_mm(craft.EYE_TO_PAGE_MM) == pytest.approx(1.4, abs=0.01)


def test_low_letters_are_noted(kinds: Kinds) -> None:
    small = {"smallest_size": 4}
    assert kinds(NELL, at("1.1.1", 110, 90, size=5), style=small) == ["low letters 1.1.1"]
    assert kinds(NELL, at("1.1.1", 110, 90, size=7)) == []


def test_narrow_lines_of_a_long_speech_are_noted(kinds: Kinds) -> None:
    long = "NELL: " + "So I am in it up to my ears as we say, you see."
    found = kinds(long, at("1.1.1", 200, 200, aspect=0.3, lines=9))
    assert "narrow lines 1.1.1" in found
    assert kinds(long, at("1.1.1", 200, 200)) == []


def test_letters_are_measured_as_the_face_has_them(letter: Any) -> None:
    """Drawn capitals are as high as the face says, within the hand's unevenness."""
    page, _ = letter(NELL, at("1.1.1", 110, 90, size=9))
    cap = library().face("Letterer Hand", Cut(False, False)).cap_height
    assert height_mm(page.units[0]) == pytest.approx(9 * cap * 25.4 / 72, rel=0.04)


def test_a_page_for_screens_says_how_often_it_is_enlarged(looked: Looked) -> None:
    px: dict[str, Any] = {"unit": "px", "dpi": 72}
    found = looked(NELL, at("1.1.1", 110, 90), **px)
    (one,) = found.every
    assert one.finding.kind == "small on a telephone"
    (reading,) = found.readings
    scale = craft.TELEPHONE_WIDTH_MM / (400 * 25.4 / 72)
    assert reading.cap_telephone == pytest.approx(reading.cap_print * scale, abs=0.011)
    least = easy_least_mm(craft.EYE_TO_TELEPHONE_MM)
    assert reading.zoom == pytest.approx(least / reading.cap_telephone, abs=0.06)
    assert looked(NELL, at("1.1.1", 110, 90, size=12), **px).every == ()


def test_a_book_for_print_is_told_in_figures_only(looked: Looked) -> None:
    found = looked(NELL, at("1.1.1", 110, 90))
    assert found.every == ()
    (reading,) = found.readings
    # 4 words at 238 a minute (Brysbaert 2019).
    assert (reading.words, reading.seconds) == (4, 1.0)
    assert "4 words, about 1 second;" in told_of(found.readings)
    assert told_of(readings(())) == ""
