"""The writer, and what reader and writer promise together: whatever is read comes back alike."""

from __future__ import annotations

import random

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from letterer.errors import LettererError
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
from letterer.model.script_words import has_words, tidy, tidy_runs
from letterer.model.script_writer import write_script

STORY = r"""TITLE: The Lamp on Gull Rock
A story in two pages.

PAGE ONE (3 panels)
Night. Rain over the harbour.

PANEL 1. Close on the lamp.
It gutters.

CAPTION (place): Gull Rock, midnight.
1. NELL: Nobody has *ever* climbed
    so far without a li*ght*house.
2. TOM (off-panel, yelling): Hush!\
They hear us.
SFX: KRRANG

Panel two
Nell (scared): Was that `McHale` -- *`the`* keeper?
CAPTION (NELL): I should have stayed at home\.

PANEL 3 - Wide
\TOM: written on the door.
CAPTION (note): 2 * 2 = 4, \*honest\*.

Page 2: MORNING
PANEL I
TOM (thinks): It's over…
"""

TIDY = r"""TITLE: The Lamp on Gull Rock
A story in two pages.

PAGE 1 (3 panels)
Night. Rain over the harbour.

PANEL 1: Close on the lamp.
It gutters.

CAPTION (place): Gull Rock, midnight.
NELL: Nobody has *ever* climbed so far without a li*ght*house.
TOM (off, shout): Hush!\
    They hear us.
SFX: KRRANG

PANEL 2
NELL (weak): Was that `McHale` -- *`the`* keeper?
CAPTION (speech, NELL): I should have stayed at home.

PANEL 3: Wide
\TOM: written on the door.

CAPTION (note): 2 \* 2 = 4, \*honest\*.

PAGE 2: MORNING

PANEL 1
TOM (thought): It's over…
"""


def check_round_trip(text: str) -> bool:
    """Whether the text can be read; when it can, it must come back alike."""
    try:
        script = parse_script(text)
    except LettererError as error:
        assert all("\n" not in line for line in map(str, error.faults))
        return False
    written = write_script(script)
    again = parse_script(written)
    assert again == script
    assert write_script(again) == written
    return True


def test_the_tidy_form() -> None:
    assert write_script(parse_script(STORY)) == TIDY


def test_nothing_to_write() -> None:
    assert write_script(Script(())) == ""


@pytest.mark.parametrize(
    "line",
    [
        "NELL: not speech",
        "nell: not speech",
        "PAGE 2",
        "3. PANEL 2",
        "PAEG 2",
        "PAGE TURN",
        "SFX: none",
        "NELL (left: is a bracket",
        "\\",
        "\\NELL: a",
        "\\\\ twice",
        "\u200bPAGE 2",
        "Page turns in the wind.",
        "*stars* and `quotes`",
        "ends in a backslash\\",
    ],
)
def test_any_line_can_be_direction(line: str) -> None:
    unit = Unit(1, 1, 1, Role.SPEECH, (Run("Ah."),), "NELL")
    direction = Direction(f"First.\n{line}\n{line}")
    panel = Panel(1, (Direction(line), unit, direction))
    script = Script((Page(1, (panel,), (direction,)),), (direction,))
    assert parse_script(write_script(script)) == script


@pytest.mark.parametrize(
    "words",
    [
        "TOM: gone",
        "PAGE 2",
        "PAEG 2",
        "\\",
        "*",
        "`",
        ": a",
        "(whisper) a",
        "\\n",
        "a\nPAGE 2",
        "a\n\\TOM: b",
        "a\nTOM (b: c",
        "1",
        "'tis",
        "a\n1. NELL: b",
        "\u00a0",
        "a\u00a0b",
    ],
)
def test_any_words_can_be_lettered(words: str) -> None:
    runs = tidy_runs([Run(words if words.strip() else "x" + words + "x")])
    for speaker in ("NELL", "PAGE", "PANEL"):
        unit = Unit(1, 1, 1, Role.SPEECH, runs, speaker)
        script = Script((Page(1, (Panel(1, (unit,)),)),))
        assert parse_script(write_script(script)) == script


# ---- scripts made from values ------------------------------------------------------------------

# Rich in what the script gives a meaning to; no control characters, which are refused.
CHARACTERS = st.one_of(
    st.sampled_from(" \n*`\\:()#&.-'\u2019\u2014\u00a0\u200b\u200dÉßñ日लि1aAbBpPgG"),
    st.characters(exclude_categories=["Cc", "Cs"], exclude_characters="\ufeff\u2028\u2029"),
)
PHRASES = st.sampled_from(
    ["PAGE 2", "Panel two", "NELL: ", "Nell: ", "TOM (off): ", "SFX: ", "\\", "PAEG 2", "Cap: "]
)
TEXTS = st.lists(st.one_of(CHARACTERS, PHRASES), max_size=12).map("".join)
PROSE = TEXTS.map(lambda text: "\n".join(filter(None, map(tidy, text.split("\n"))))).filter(bool)
RUNS = (
    st.lists(st.builds(Run, TEXTS, st.booleans(), st.booleans()), min_size=1, max_size=4)
    .map(tidy_runs)
    .filter(has_words)
)
NAMES = st.one_of(
    st.sampled_from(
        ["NELL", "TOM", "OLD TOM", "1ST GUARD", "O\u2019DAY", "McCALL", "日本", "#2 R"]
    ),
    st.sampled_from(["PAGE", "PANEL", "A&B", "A AND B", "EDITOR", "SPEECH", "OFF"]),
)
MANNERS = st.lists(st.sampled_from(list(Manner)), unique=True, max_size=3).map(tuple)
HEADINGS = st.one_of(
    st.just(""), st.sampled_from(["(4 panels)", "3", "- x", ": y", "and 3"]), TEXTS
).map(lambda text: tidy(text.replace("\n", " ")))


@st.composite
def panels(draw: st.DrawFn, page: int, number: int) -> Panel:
    items: list[Unit | Direction] = []
    count = 0
    for _ in range(draw(st.integers(0, 4))):
        if draw(st.booleans()):
            items.append(Direction(draw(PROSE)))
            continue
        count += 1
        role = draw(st.sampled_from(list(Role)))
        kind = draw(st.sampled_from(list(CaptionKind))) if role is Role.CAPTION else None
        named = role is Role.SPEECH or (
            kind in (CaptionKind.SPEECH, CaptionKind.THOUGHT) and draw(st.booleans())
        )
        items.append(
            Unit(
                page,
                number,
                count,
                role,
                draw(RUNS),
                draw(NAMES) if named else "",
                draw(MANNERS) if role is Role.SPEECH else (),
                kind,
            )
        )
    return Panel(number, tuple(items), draw(HEADINGS))


@st.composite
def scripts(draw: st.DrawFn) -> Script:
    pages = []
    for page in draw(st.lists(st.integers(1, 9999), min_size=1, max_size=3, unique=True)):
        numbers = draw(st.lists(st.integers(1, 99), max_size=3, unique=True))
        pages.append(
            Page(
                page,
                tuple(draw(panels(page, number)) for number in numbers),
                tuple(map(Direction, draw(st.lists(PROSE, max_size=2)))),
                draw(HEADINGS),
            )
        )
    return Script(tuple(pages), tuple(map(Direction, draw(st.lists(PROSE, max_size=2)))))


@given(scripts())
def test_every_script_is_read_as_it_was_written(script: Script) -> None:
    written = write_script(script)
    again = parse_script(written)
    assert again == script
    assert write_script(again) == written


# ---- texts -------------------------------------------------------------------------------------

LINES = st.one_of(
    st.sampled_from(STORY.splitlines()),
    st.sampled_from(
        [
            "",
            " ",
            "PAGE 3",
            "PANEL 3",
            "PANEL 4: x",
            "NELL:",
            "\tNELL: *a",
            "  b* c\\",
            "Tom: d",
            "TOM (whisper: e",
            "CAPTION (speech: BO): f",
            "PAGE: 1",
            "\\PAGE 1",
            "Page one of it",
        ],
    ),
    TEXTS,
    TEXTS.map("NELL: ".__add__),
    TEXTS.map("    ".__add__),
)


@given(st.lists(LINES, max_size=12), st.sampled_from(["\n", "\r\n", "\r", "\f", "\u2028"]))
@example(["NELL: PAGE 1"], "\n")
def test_any_lines_are_refused_or_come_back(lines: list[str], end: str) -> None:
    check_round_trip(end.join(["PAGE 1", "PANEL 1", *lines]))


@given(st.text())
@example("PAGE 1\n\ud800")
@example("\ufeffPAGE 1\n\x00")
def test_any_text_is_refused_or_comes_back(text: str) -> None:
    check_round_trip(text)
    check_round_trip("PAGE 1\nPANEL 1\n" + text)
    check_round_trip("PAGE 1\nPANEL 1\nNELL: " + text)


@given(st.randoms(use_true_random=False))
def test_a_damaged_story_is_refused_or_comes_back(chance: random.Random) -> None:
    story = list(STORY)
    for _ in range(chance.randint(1, 8)):
        at = chance.randrange(len(story))
        match chance.randrange(4):
            case 0:
                del story[at]
            case 1:
                story.insert(at, chance.choice("*`\\:()\n\t \u00a0\ufeffA1."))
            case 2:
                story[at] = chance.choice("*`\\:()\n\t aB9")
            case _:
                other = chance.randrange(len(story))
                story[at], story[other] = story[other], story[at]
    check_round_trip("".join(story))


@given(st.lists(st.sampled_from("*` \\an\u00a0.\n"), max_size=30).map("".join))
def test_words_lose_nothing_but_their_marks(words: str) -> None:
    """Whatever marks stand in a cue, every letter and stop of it is lettered, in order."""
    body = words.replace("\n", "\n  ")
    try:
        script = parse_script(f"PAGE 1\nPANEL 1\nNELL: {body}")
    except LettererError:
        return
    said = "".join(unit.words for unit in script.units)
    kept = "".join(
        item.text
        for panel in script.pages[0].panels
        for item in panel.items
        if isinstance(item, Direction)
    )
    letters = [char for char in said + kept if char in "an."]
    assert letters == [char for char in words if char in "an."]
