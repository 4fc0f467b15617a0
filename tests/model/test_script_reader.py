"""Each rule of the script: headings, direction, cues and the marks inside words."""

from __future__ import annotations

import pytest

from letterer.errors import LettererError
from letterer.model import script_reader
from letterer.model.script import (
    CaptionKind,
    Direction,
    Manner,
    Role,
    Run,
    Script,
    Unit,
)
from letterer.model.script_reader import parse_script


def in_panel(*lines: str) -> Script:
    """The script of one panel; the first of the lines is line 3."""
    return parse_script("\n".join(["PAGE 1", "PANEL 1", *lines]))


def only(*lines: str) -> Unit:
    (unit,) = in_panel(*lines).units
    return unit


def prose(*lines: str) -> list[str]:
    items = in_panel(*lines).pages[0].panels[0].items
    return [item.text for item in items if isinstance(item, Direction)]


# ---- headings ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "number", "heading"),
    [
        ("PAGE 1", 1, ""),
        ("PAGE ONE", 1, ""),
        ("page twelve", 12, ""),
        ("Page 1 (4 panels)", 1, "(4 panels)"),
        ("PAGE 2: NIGHT", 2, "NIGHT"),
        ("PAGE 2 - Night", 2, "Night"),
        ("PAGE 2 \u2014 Night", 2, "Night"),
        ("PAGE 2. Night", 2, "Night"),
        ("PAGE 2, Night", 2, "Night"),
        ("PAGE 2 Night on the roof", 2, "Night on the roof"),
        ("PAGE 2: - 3 - \u201cquoted\u201d", 2, "- 3 - \u201cquoted\u201d"),
        ("PAGE 2 - 4 PANELS", 2, "4 PANELS"),
        ("Page 3 of 22", 3, "of 22"),
        ("PAGE TWENTY-TWO", 22, ""),
        ("PAGE twenty two: x", 22, "x"),
        ("PAGE NINETY\u2011NINE", 99, ""),
        ("PAGE SEVENTEEN", 17, ""),
        ("PAGE SEVENTY", 70, ""),
        ("PAGE ONE HUNDRED", 100, ""),
        ("PAGE TWO HUNDRED AND TWENTY-ONE: x", 221, "x"),
        ("PAGE IV", 4, ""),
        ("PAGE XLIX: x", 49, "x"),
        ("PAGE 007", 7, ""),
        ("PAGE1", 1, ""),
        ("PAGE #3", 3, ""),
        ("  \tPAGE\u00a04", 4, ""),
        ("\ufeffPAGE 4", 4, ""),
        ("\u200bPAGE 4", 4, ""),
        ("PAGE \u0663", 3, ""),
    ],
)
def test_page_headings(line: str, number: int, heading: str) -> None:
    (page,) = parse_script(line)
    assert (page.number, page.heading) == (number, heading)


def test_every_number_word_to_ninety_nine() -> None:
    ones = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
    teens = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen"]
    tens = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
    words = [*ones, *teens, "eighteen", "nineteen"]
    words += [f"{ten}{one}" for ten in tens for one in ["", *(f"-{one}" for one in ones)]]
    assert len(words) == 99
    for number, word in enumerate(words, 1):
        assert parse_script(f"PAGE {word.upper()}").pages[0].number == number
        assert parse_script(f"Page {word.replace('-', ' ')}: x").pages[0].number == number


@pytest.mark.parametrize(
    ("line", "number", "heading"),
    [
        ("PANEL 3. Close on the lamp.", 3, "Close on the lamp."),
        ("Panel two", 2, ""),
        ("4) PANEL 3", 3, ""),
        ("PANEL 2) Wide", 2, "Wide"),
        ("PANEL 2 (wide): rain", 2, "(wide): rain"),
    ],
)
def test_panel_headings(line: str, number: int, heading: str) -> None:
    panel = parse_script(f"PAGE 1\n{line}").pages[0].panels[0]
    assert (panel.number, panel.heading) == (number, heading)


@pytest.mark.parametrize(
    "line",
    [
        "Page turns in the wind.",
        "Panel of glass breaks",
        "Page one of the diary burns.",
        "Panel 2's edge is torn",
        "Panels of glass, three of them",
        "PAGE TURNS AND BURNS",
        "PAGE I SEE NO LIGHT",
        "\\PAGE 2",
        "Sage 2 waits",
        "STAGE 2",
        "AGE 7",
        "Pageboy: none",
    ],
)
def test_prose_that_is_no_heading(line: str) -> None:
    assert prose(line) == [line.removeprefix("\\")]


# ---- direction ---------------------------------------------------------------------------------


def test_prose_is_kept_where_it_stands() -> None:
    script = parse_script(
        "The Lamp\nby nobody\n\nFor Gull Rock.\n\nPAGE 1\nNight.\n\nRain.\nPANEL 1\n  A lamp.\n"
        "\tIt gutters.\nNELL: Oh.\nShe turns."
    )
    assert [item.text for item in script.opening] == ["The Lamp\nby nobody", "For Gull Rock."]
    assert [item.line for item in script.opening] == [1, 4]
    assert [item.text for item in script.pages[0].opening] == ["Night.", "Rain."]
    first, unit, last = script.pages[0].panels[0].items
    assert first == Direction("A lamp.\nIt gutters.")
    assert isinstance(unit, Unit)
    assert last == Direction("She turns.")


def test_a_title_may_stand_before_the_first_page() -> None:
    script = parse_script("TITLE: The Lamp\nWritten by: nobody\nNell: a keeper\n\nPAGE 1")
    assert script.opening == (Direction("TITLE: The Lamp\nWritten by: nobody\nNell: a keeper"),)


def test_a_backslash_forces_prose() -> None:
    assert prose("\\NELL: no", "\\3. NELL: no", "\\\\ two", "\\") == [
        "NELL: no\n3. NELL: no\n\\ two\n\\"
    ]


# ---- cues --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "speaker"),
    [
        ("NELL: a", "NELL"),
        ("NELL : a", "NELL"),
        ("NELL\u00a0: a", "NELL"),
        ("3. NELL: a", "NELL"),
        ("3 NELL: a", "NELL"),
        ("3) NELL: a", "NELL"),
        ("1.3.2 NELL: a", "NELL"),
        ("OLD  TOM: a", "OLD TOM"),
        ("1ST GUARD: a", "1ST GUARD"),
        ("R2: a", "R2"),
        ("#2: a", None),
        ("7: a", None),
        ("MARY-ANN: a", "MARY-ANN"),
        ("O\u2019DAY: a", "O\u2019DAY"),
        ("DR. VEY: a", "DR. VEY"),
        ("NELL & TOM: a", "NELL & TOM"),
        ("McCALL: a", "McCALL"),
        ("ÉLODIE: a", "ÉLODIE"),
        ("E\u0301LODIE: a", "E\u0301LODIE"),
        ("STRAßER: a", "STRAßER"),
        ("ネル: a", "ネル"),
        ("ネル：a", "ネル"),
        ("नेल: a", "नेल"),
        ("ნელი: a", "ნელი"),
        ("PAGE BOY: a", "PAGE BOY"),
        ("PAGE: a", "PAGE"),
        ("A" * 40 + ": a", "A" * 40),
        ("A" * 41 + ": a", None),
        ("NELL/TOM: a", None),
        ("- NELL: a", None),
        ("Nell: a", None),
        ("http://x", None),
        ("10:30 strikes", None),
    ],
)
def test_names(line: str, speaker: str | None) -> None:
    if speaker is None:
        assert prose(line) == [line]
    else:
        unit = only(line)
        assert (unit.role, unit.speaker, unit.words) == (Role.SPEECH, speaker, "a")


def test_a_name_in_mixed_case_counts_once_it_speaks_in_capitals() -> None:
    script = in_panel("Nell: one", "nell (off): two", "NELL: three", "O'Day: x", "O\u2019DAY: y")
    assert [unit.speaker for unit in script.units] == ["NELL"] * 3 + ["O\u2019DAY"] * 2
    assert script.remarks == ()


@pytest.mark.parametrize(
    ("line", "role", "kind", "speaker"),
    [
        ("CAPTION: a", Role.CAPTION, CaptionKind.NARRATION, ""),
        ("Caption: a", Role.CAPTION, CaptionKind.NARRATION, ""),
        ("CAP: a", Role.CAPTION, CaptionKind.NARRATION, ""),
        ("CAPTION 2: a", Role.CAPTION, CaptionKind.NARRATION, ""),
        ("CAPTION (place): a", Role.CAPTION, CaptionKind.PLACE, ""),
        ("CAPTION (Time): a", Role.CAPTION, CaptionKind.PLACE, ""),
        ("CAPTION (place and time): a", Role.CAPTION, CaptionKind.PLACE, ""),
        ("CAPTION (place, time): a", Role.CAPTION, CaptionKind.PLACE, ""),
        ("CAPTION (thought): a", Role.CAPTION, CaptionKind.THOUGHT, ""),
        ("CAPTION (editor\u2019s note): a", Role.CAPTION, CaptionKind.NOTE, ""),
        ("CAPTION (NOTE): a", Role.CAPTION, CaptionKind.NOTE, ""),
        ("CAPTION (speech): a", Role.CAPTION, CaptionKind.SPEECH, ""),
        ("CAPTION (speech, NELL): a", Role.CAPTION, CaptionKind.SPEECH, "NELL"),
        ("CAPTION (speech: NELL): a", Role.CAPTION, CaptionKind.SPEECH, "NELL"),
        ("CAPTION (NELL): a", Role.CAPTION, CaptionKind.SPEECH, "NELL"),
        ("CAPTION (NELL, V.O.): a", Role.CAPTION, CaptionKind.SPEECH, "NELL"),
        ("CAPTION (thought, NELL): a", Role.CAPTION, CaptionKind.THOUGHT, "NELL"),
        ("CAPTION (speech, EDITOR): a", Role.CAPTION, CaptionKind.SPEECH, "EDITOR"),
        ("CAPTION (NELL & TOM): a", Role.CAPTION, CaptionKind.SPEECH, "NELL & TOM"),
        ("SFX: a", Role.EFFECT, None, ""),
        ("Sfx: a", Role.EFFECT, None, ""),
        ("SOUND: a", Role.EFFECT, None, ""),
        ("EFFECT: a", Role.EFFECT, None, ""),
    ],
)
def test_captions_and_effects(
    line: str, role: Role, kind: CaptionKind | None, speaker: str
) -> None:
    unit = only(line)
    assert (unit.role, unit.caption, unit.speaker, unit.words) == (role, kind, speaker, "a")


def test_a_caption_may_name_a_known_speaker_in_mixed_case() -> None:
    assert in_panel("NELL: a", "CAPTION (Nell): b").units[1].speaker == "NELL"


@pytest.mark.parametrize(
    ("words", "manners"),
    [(str(manner), [manner]) for manner in Manner]
    + [
        ("whispering", [Manner.WHISPER]),
        ("Yells", [Manner.SHOUT]),
        ("thinks", [Manner.THOUGHT]),
        ("radio", [Manner.BROADCAST]),
        ("over the phone", [Manner.BROADCAST]),
        ("on TV", [Manner.BROADCAST]),
        ("frightened", [Manner.WEAK]),
        ("menacing", [Manner.COLD]),
        ("sings", [Manner.SINGING]),
        ("off-panel", [Manner.OFF]),
        ("O.P.", [Manner.OFF]),
        ("o/p", [Manner.OFF]),
        ("no balloon", [Manner.OPEN]),
        ("off, shout", [Manner.OFF, Manner.SHOUT]),
        ("shouting and off; shout", [Manner.SHOUT, Manner.OFF]),
        ("off) (shout", [Manner.OFF, Manner.SHOUT]),
        ("cont'd", []),
        (" ", []),
    ],
)
def test_manners(words: str, manners: list[Manner]) -> None:
    assert only(f"NELL ({words}): a").manners == tuple(manners)


def test_units_are_numbered_within_their_panel() -> None:
    script = parse_script(
        "PAGE 2\nPANEL 1\nNELL: a\nprose\nSFX: b\nPANEL 4\nCAPTION: c\nPAGE 3\nPANEL 1\nTOM: d"
    )
    assert [unit.id for unit in script.units] == ["2.1.1", "2.1.2", "2.4.1", "3.1.1"]
    assert [unit.line for unit in script.units] == [3, 5, 7, 10]


# ---- words -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (["NELL: one", "  two", "\tthree"], "one two three"),
        (["NELL:", "  one"], "one"),
        (["  NELL: one", "    two"], "one two"),
        (["NELL: one\\", "two\\", "   three"], "one\ntwo\nthree"),
        (["NELL: one \\  ", "  two"], "one\ntwo"),
        (["NELL: one", "  \\TOM: two"], "one TOM: two"),
        (["NELL: one\\", "\\PAGE 2"], "one\nPAGE 2"),
        (["NELL: one\\", "\\", "two"], "one\ntwo"),
        (["NELL:  a \t b\u3000c\u00a0 d "], "a b c d"),
        (["NELL: Quoi\u00a0!"], "Quoi\u00a0!"),
        (
            ["NELL: \u201cso\u201d 'so' -- \u2014 ... \u2026"],
            "\u201cso\u201d 'so' -- \u2014 ... \u2026",
        ),
        (["NELL: \\*a\\* \\` \\\\ \\: \\("], "*a* ` \\ : ("),
        (["NELL: 2 * 2 ** 2"], "2 * 2 ** 2"),
        (["NELL: (sighs) PAGE 2: x"], "(sighs) PAGE 2: x"),
    ],
)
def test_words(lines: list[str], words: str) -> None:
    assert only(*lines).runs == (Run(words),)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\f", "\v", "\x85", "\u2028", "\u2029"])
def test_line_ends(end: str) -> None:
    script = parse_script(end.join(["PAGE 1", "PANEL 1", "", "NELL: a", "  b", ""]))
    assert script.units[0].words == "a b"


def test_lines_are_counted_as_a_text_editor_counts_them() -> None:
    assert in_panel("a\u2028b\fc\r\nNELL: d").units[0].line == 4


def test_what_ends_the_words() -> None:
    script = in_panel("NELL: one", "She turns.", "TOM: two", "", "  not three", "   SAM: four")
    assert [unit.words for unit in script.units] == ["one", "two", "four"]
    assert prose("NELL: one", "She turns.", "TOM: two", "", "  not three") == [
        "She turns.",
        "not three",
    ]


def plain(text: str) -> Run:
    return Run(text)


def loud(text: str) -> Run:
    return Run(text, emphasis=True)


@pytest.mark.parametrize(
    ("words", "runs"),
    [
        ("so *much* so", [plain("so "), loud("much"), plain(" so")]),
        ("un*believ*able", [plain("un"), loud("believ"), plain("able")]),
        ("**so** much", [loud("so"), plain(" much")]),
        ("*so *much", [loud("so"), plain(" much")]),
        ("*so* *much*", [loud("so much")]),
        ("*2 * 2*", [loud("2 * 2")]),
        ("*\\**", [loud("*")]),
        ("`McCall`", [Run("McCall", as_typed=True)]),
        ("*`McCall`*", [Run("McCall", emphasis=True, as_typed=True)]),
        ("`*McCall*`", [Run("McCall", emphasis=True, as_typed=True)]),
        (
            "*a `b* c`",
            [loud("a "), Run("b", True, True), Run(" c", as_typed=True)],
        ),
    ],
)
def test_marks(words: str, runs: list[Run]) -> None:
    # A space is marked only when the words on both its sides are.
    assert only(f"NELL: {words}").runs == tuple(runs)


def test_emphasis_may_go_on_over_lines() -> None:
    assert only("NELL: *so", "  much\\", "more*").runs == (loud("so much\nmore"),)


# ---- large and odd scripts ---------------------------------------------------------------------


@pytest.mark.parametrize(
    "line",
    [
        "1 " * 50_000,
        "A" * 100_000 + ":",
        "A" + "()" * 50_000,
        "A" + "(" * 100_000 + ":",
        "PAGE " + "twenty" * 20_000,
        "PAGE 1" + " -" * 50_000,
        "NELL: " + "*a" * 50_000,
        "NELL: " + "\\" * 100_000,
        "NELL (" + "on " * 50_000 + "): a",
        "NELL: " + "a" * 100_000,
    ],
    ids=lambda line: line[:12],
)
def test_long_lines_are_read_in_one_sweep(line: str) -> None:
    # With any rule that tries again from each place, these would take minutes.
    try:
        script = in_panel(line)
    except LettererError as error:
        assert len(str(error)) < 1_000
    else:
        assert "".join(unit.words for unit in script.units) or script.pages[0].panels[0].items


def test_a_long_script() -> None:
    text = "".join(
        f"PAGE {page}\n"
        + "".join(f"PANEL {n}\nRain.\nNELL: a\n  b\nSFX: c\n" for n in range(1, 10))
        for page in range(1, 112)
    )
    assert len(parse_script(text).units) == 111 * 9 * 2


def test_the_example_in_the_description_can_be_read() -> None:
    described = script_reader.__doc__ or ""
    example = "".join(line for line in described.splitlines(True) if line.startswith("    "))
    script = parse_script(example)
    assert [unit.role for unit in script.units] == [Role.CAPTION, Role.SPEECH, Role.SPEECH]
    assert script.units[1].words == "Nobody has ever climbed so far without a light."
    assert script.remarks == ()
