"""A book in words: the order, the labels, and that fragments are XML."""

from __future__ import annotations

import json
from html import escape
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from letterer.model.script import (
    CaptionKind,
    Direction,
    Manner,
    Page,
    Panel,
    Role,
    Run,
    Script,
    Unit,
)
from letterer.model.script_reader import parse_script
from letterer.out.word_labels import LABELS, Labels
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
    root: Any = etree.fromstring(page_fragment(in_order(book().pages[0]), "tr"))
    name = "{http://www.w3.org/1999/xhtml}"
    assert (root.tag, root.get("lang")) == (f"{name}section", "tr")
    assert [one.text for one in root.iter(f"{name}em")] == ["is"]
    # There are no Turkish labels: they are English, and say so; a speaker's name is not English.
    labels = {one.text: one.get("lang") for one in root.iter(f"{name}b")}
    assert labels == {"NELL (off, whisper):": None, "Sound:": "en", "Caption, place:": "en"}
    assert len(list(root.iter(f"{name}h2"))) == 1 and len(list(root.iter(f"{name}h3"))) == 2


def test_labels_are_in_the_books_language() -> None:
    words = in_order(book().pages[0])
    root: Any = etree.fromstring(page_fragment(words, "de-AT"))
    name = "{http://www.w3.org/1999/xhtml}"
    assert root.get("aria-label") == "Seite 1 in Worten"
    labels = {one.text: one.get("lang") for one in root.iter(f"{name}b")}
    assert labels == {
        "NELL (aus dem Off, flüsternd):": None,
        "Geräusch:": None,
        "Blocktext, Ort:": None,
    }
    assert alt_of_page(words, "fr").startswith("Page 1, 2 cases. Case 1: A stair. NELL (hors champ")
    assert plain_text(book(), {}, "es").count("Viñeta") == 2


@pytest.mark.parametrize("labels", LABELS.values(), ids=lambda labels: labels.language)
def test_every_language_has_every_label(labels: Labels) -> None:
    assert set(labels.manners) == set(Manner)
    assert set(labels.captions) == set(CaptionKind) - {CaptionKind.NARRATION}
    told = [*labels.manners.values(), *labels.captions.values(), *labels.panels]
    assert all(told) and len(set(labels.manners.values())) == len(Manner)
    assert "{}" in labels.in_words and "{}" in labels.alternative


def test_a_fragment_stands_in_a_page_of_an_epub() -> None:
    """EPUB 3.3, fixed layouts: an XHTML document that tells its size by a viewport."""
    fragment = page_fragment(in_order(book().pages[0]), "nl")
    alt = alt_of_page(in_order(book().pages[0]), "nl")
    page = (
        '<?xml version="1.0" encoding="utf-8"?><!DOCTYPE html>'
        '<html xmlns="http://www.w3.org/1999/xhtml" lang="nl" xml:lang="nl"><head><title>1</title>'
        '<meta name="viewport" content="width=1200, height=1800"/></head><body>'
        f'<img src="page-001.svg" alt="{escape(alt)}"/>{fragment}'
        "</body></html>"
    )
    root: Any = etree.fromstring(page.encode())
    names = {etree.QName(one) for one in root.iter()}
    assert {name.namespace for name in names} == {"http://www.w3.org/1999/xhtml"}
    # What HTML (the living standard) lets stand in a body, each by its name.
    body = {"body", "img", "section", "h2", "h3", "p", "b", "em", "span"}
    assert {name.localname for name in names} <= {"html", "head", "title", "meta"} | body


def test_the_html_has_its_language_and_every_word() -> None:
    text = whole_html(book(), {}, "en", "The Lamp")
    assert '<html lang="en">' in text and "Low &amp; dark." in text and "<em>is</em>" in text


@given(st.text(st.characters(codec="utf-8"), max_size=30), st.booleans())
def test_whatever_is_written_the_fragment_is_xml(words: str, emphasis: bool) -> None:
    unit = Unit(1, 1, 1, Role.SPEECH, (Run(words, emphasis),), words, (Manner.OFF,))
    page = Page(1, (Panel(1, (Direction(words), unit), words),), (Direction(words),), words)
    etree.fromstring(page_fragment(in_order(page), "en"))
    assert label(unit).endswith("(off)")
