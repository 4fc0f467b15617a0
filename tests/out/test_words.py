"""A book in words: the order, the labels, and that fragments are XML."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from letterer.model.script import Direction, Manner, Page, Panel, Role, Run, Script, Unit
from letterer.model.script_reader import parse_script
from letterer.out.words import (
    alt_json,
    alt_of_page,
    in_order,
    label,
    page_fragment,
    plain_text,
    whole_html,
)

TEXT = """The Lamp

PAGE 1

PANEL 1
A stair.

NELL (off, whisper): Who *is* there?
SFX: KRANG

PANEL 2
CAPTION (place): Low & dark.
"""


def book() -> Script:
    return parse_script(TEXT)


def test_the_book_as_text_in_reading_order() -> None:
    assert plain_text(book(), {}) == (
        "The Lamp\n\nPAGE 1\n\nPanel 1\n[A stair.]\nNELL (off, whisper): Who is there?\n"
        "Sound: KRANG\n\nPanel 2\nCaption, place: Low & dark.\n"
    )
    turned = plain_text(book(), {1: (2, 1)})
    assert turned.index("Panel 2") < turned.index("Panel 1")


def test_panels_that_the_layout_does_not_know_come_last() -> None:
    words = in_order(book().pages[0], (2,))
    assert [panel.number for panel in words.panels] == [2, 1]


def test_a_page_in_words_says_what_is_seen_and_who_speaks() -> None:
    told = alt_of_page(in_order(book().pages[0]))
    assert told == (
        "Page 1, 2 panels. Panel 1: A stair. NELL (off, whisper): Who is there? Sound: KRANG."
        " Panel 2: Caption, place: Low & dark."
    )
    made = json.loads(alt_json(book(), {}, "en"))
    assert made["pages"][0]["alt"] == told
    assert [one["panel"] for one in made["pages"][0]["panels"]] == [1, 2]


def test_a_fragment_has_headings_emphasis_and_the_language() -> None:
    root: Any = etree.fromstring(page_fragment(in_order(book().pages[0]), "de"))
    name = "{http://www.w3.org/1999/xhtml}"
    assert (root.tag, root.get("lang")) == (f"{name}section", "de")
    assert [one.text for one in root.iter(f"{name}em")] == ["is"]
    # Labels are English, and say so in a German book; a speaker's name is not English.
    labels = {one.text: one.get("lang") for one in root.iter(f"{name}b")}
    assert labels == {"NELL (off, whisper):": None, "Sound:": "en", "Caption, place:": "en"}
    assert len(list(root.iter(f"{name}h2"))) == 1 and len(list(root.iter(f"{name}h3"))) == 2


def test_the_html_has_its_language_and_every_word() -> None:
    text = whole_html(book(), {}, "en", "The Lamp")
    assert '<html lang="en">' in text and "Low &amp; dark." in text and "<em>is</em>" in text


@given(st.text(st.characters(codec="utf-8"), max_size=30), st.booleans())
def test_whatever_is_written_the_fragment_is_xml(words: str, emphasis: bool) -> None:
    unit = Unit(1, 1, 1, Role.SPEECH, (Run(words, emphasis),), words, (Manner.OFF,))
    page = Page(1, (Panel(1, (Direction(words), unit), words),), (Direction(words),), words)
    etree.fromstring(page_fragment(in_order(page), "en"))
    assert label(unit).endswith("(off)")
