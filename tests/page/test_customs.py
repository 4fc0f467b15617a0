"""Customs that several units together keep or break (common practice, no source)."""

from __future__ import annotations

import pytest

from letterer.model.script_reader import parse_script
from letterer.page.customs import broken_customs


def broken(*lines: str) -> list[tuple[str, str]]:
    script = parse_script("\n".join(["PAGE 1", "PANEL 1", *lines]))
    return [(custom.unit, custom.what) for custom in broken_customs(script.units)]


GOES_ON = "the speech goes on in the next caption, and this one closes its quotation"
NO_OPENING = "a caption of speech does not open with a quotation mark"
NO_CLOSING = "the last caption of this speech does not close its quotation"


@pytest.mark.parametrize("marks", ['""', "“”", "«»"])
def test_carried_speech_opens_each_time_and_closes_once(marks: str) -> None:
    a, b = tuple(marks)
    first, last = f"CAPTION (speech): {a}It began with a leak.", f"CAPTION (speech): {a}It grew.{b}"
    assert broken(first, last) == []
    assert broken(first + b, last) == [("1.1.1", GOES_ON)]
    assert broken(first, last.replace(b, "") if a != b else last[:-1]) == [("1.1.2", NO_CLOSING)]


def test_a_caption_of_speech_without_marks() -> None:
    assert broken("CAPTION (speech): It grew.") == [("1.1.1", NO_OPENING), ("1.1.1", NO_CLOSING)]


def test_other_voices_and_other_units_begin_anew() -> None:
    assert broken('CAPTION (NELL): "One."', 'CAPTION (OTTO): "Two."') == []
    assert broken('CAPTION (NELL): "One."', "OTTO: No.", 'CAPTION (NELL): "Two."') == []
    assert broken("CAPTION: It grew.", "CAPTION: And grew.") == []


def test_a_translation_wants_a_note_where_it_begins() -> None:
    what = "words in angle brackets are a translation, and no caption note says from what"
    assert broken("NELL: <Who goes there?>", "OTTO: <A friend.>") == [("1.1.1", what)]
    assert broken("NELL: <Who goes there?>", "CAPTION (note): From the Old Tongue.") == []
    assert broken("NELL: <Who?>", "PAGE 2", "PANEL 1", "NELL: <Me.>") == [("1.1.1", what)]
    assert broken("NELL: 3 < 4") == []
