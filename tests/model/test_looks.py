"""What differs from the house style: for a kind, a speaker, a page, a unit."""

from __future__ import annotations

import json

import pytest

from letterer.errors import LettererError
from letterer.model.layout_reader import parse_layout
from letterer.model.script import CaptionKind, Manner, Role, Run, Unit
from letterer.model.style import Style, parse_style
from letterer.page.manner import style_of


def speech(speaker: str = "WREN", *manners: Manner) -> Unit:
    return Unit(1, 1, 1, Role.SPEECH, (Run("Look up"),), speaker=speaker, manners=manners)


def test_a_kind_takes_its_own_look_and_captions_that_of_all_captions_first() -> None:
    style = parse_style(
        '{"kinds": {"caption": {"paper": "#222222", "ink": "#ffffff"},'
        ' "caption place": {"paper": "#663300"}, "shout": {"border": 2}}}'
    )
    assert style.look_of("speech") is style
    assert style.look_of("shout").border == 2
    assert style.look_of("caption narration").paper == "#222222"
    place = style.look_of("caption place")
    assert (place.paper, place.ink) == ("#663300", "#ffffff")


def test_a_speaker_is_found_whatever_the_capitals() -> None:
    style = parse_style('{"speakers": {"Wren": {"paper": "#fff4d6"}}}')
    assert style.look_of("speech", "WREN").paper == "#fff4d6"
    assert style.look_of("speech", "OTTO").paper == style.paper


def layout(**keys: object) -> str:
    page = {"page": 1, "placements": [{"unit": "1.1.1", "center": [50, 50], **keys}]}
    page |= {"style": {"size": 8, "paper": "#eeeeee"}}
    return json.dumps(
        {
            "letterer": 1,
            "unit": "mm",
            "page": {"format": "a5"},
            "style": {"kinds": {"whisper": {"paper": "#dddddd"}}},
            "pages": [page],
        }
    )


def test_the_nearer_word_counts_unit_over_kind_over_page() -> None:
    plan = parse_layout(layout(style={"paper": "#cccccc"}))
    page = plan.pages[0]
    placed = page.placements[0]
    plain, hushed = speech(), speech("WREN", Manner.WHISPER)
    assert style_of(plain, plan).size == 7.5
    assert style_of(plain, plan, page).paper == "#eeeeee"
    assert style_of(hushed, plan, page).paper == "#dddddd"
    assert style_of(hushed, plan, page, placed).paper == "#cccccc"
    assert style_of(hushed, plan, page, placed).size == 8


def test_changes_of_a_layout_add_to_those_of_its_style() -> None:
    text = layout().replace('"whisper"', '"caption": {"ink": "#111111"}, "whisper"')
    style = parse_layout(text).style
    assert set(style.kinds) == {"caption", "whisper"}
    changed = style.with_changes({"size": 8})
    assert changed.kinds == style.kinds
    assert changed.look_of("whisper").size == 8


def test_styles_with_looks_can_be_compared_and_hashed() -> None:
    one, other = (parse_style('{"kinds": {"shout": {"border": 2}}}') for _ in range(2))
    assert one == other
    assert hash(one) == hash(other)
    assert one != Style()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('{"kinds": {"shoot": {}}}', "no kind of unit; did you mean 'shout'?"),
        ('{"kinds": {"shout": {"papper": "#ffffff"}}}', "Did you mean 'paper'?"),
        ('{"speakers": {"WREN": {"paper": "white"}}}', "must be a colour"),
        ('{"kinds": {"shout": {"kinds": {}}}}', "there is no key 'kinds' in a style"),
        ('{"kinds": {"whisper": {"size": 4}}}', "'size' (4) is below 'smallest_size' (6)"),
    ],
)
def test_slips_are_told(text: str, told: str) -> None:
    with pytest.raises(LettererError) as caught:
        parse_style(text)
    assert told in str(caught.value)


def test_captions_may_be_open_and_centred() -> None:
    style = parse_style('{"caption_frame": "open", "caption_lines": "centred"}')
    unit = Unit(1, 1, 1, Role.CAPTION, (Run("Dusk."),), caption=CaptionKind.PLACE)
    plan = parse_layout(layout())
    assert style_of(unit, plan).caption_frame == "boxed"
    assert style.look_of("caption place").caption_frame == "open"
