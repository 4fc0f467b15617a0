"""Each message that a writer may get about a script: faults, which stop, and remarks."""

from __future__ import annotations

import pytest

from letterer.errors import LettererError
from letterer.model.script import Script
from letterer.model.script_reader import MOST_FAULTS, parse_script
from letterer.model.script_shapes import one_slip


def in_panel(*lines: str) -> Script:
    """The script of one panel; the first of the lines is line 3."""
    return parse_script("\n".join(["PAGE 1", "PANEL 1", *lines]))


def faults(text: str, file: str = "") -> list[str]:
    with pytest.raises(LettererError) as caught:
        parse_script(text, file)
    return [str(fault) for fault in caught.value.faults]


def panel_faults(*lines: str) -> list[str]:
    return faults("\n".join(["PAGE 1", "PANEL 1", *lines]))


def remarks(*lines: str) -> list[str]:
    return [str(remark) for remark in in_panel(*lines).remarks]


# ---- faults ------------------------------------------------------------------------------------

DIRECTION = " If this line is direction, put a backslash in front of it."
FIRST_STEPS = " Begin with a line PAGE 1, then a line PANEL 1, then lines such as NAME: words."
WHERE_WORDS_GO = " Write them behind the colon, or indented on the next line."
MANNERS = (
    " It can be whisper, shout, thought, broadcast, weak, cold, singing, off, open or"
    " breath; anything else goes in a line of direction."
)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "the script is empty." + FIRST_STEPS),
        (" \n\ufeff\t", "the script is empty." + FIRST_STEPS),
        ("Just prose.", "no page heading was found." + FIRST_STEPS),
        ("NELL: Hush!", "no page heading was found." + FIRST_STEPS),
        (
            "x\nPAHE 2",
            "line 2: no page heading was found; this line comes nearest. For a page heading write "
            "PAGE, the number, and a colon before anything else.",
        ),
        (
            "PAEG 2\nPANEL 1\nNELL: a",
            'line 1: "PAEG" is no heading. Did you mean PAGE 2?' + DIRECTION,
        ),
        (
            "PAGE 1\nPANLE 2: Night",
            'line 2, page 1: "PANLE" is no heading. Did you mean PANEL 2?' + DIRECTION,
        ),
        (
            "PAGE FUOR",
            'line 1: "FUOR" cannot be read as a page number. Did you mean PAGE FOUR?' + DIRECTION,
        ),
        (
            "PAGE FUOR: NIGHT",
            'line 1: "FUOR" cannot be read as a page number. Did you mean PAGE FOUR?',
        ),
        (
            "PAGE TURN",
            'line 1: "TURN" cannot be read as a page number. Write a whole number, such as PAGE 2.'
            + DIRECTION,
        ),
        (
            "Page 1A",
            'line 1: "1A" cannot be read as a page number. Write a whole number, such as PAGE 2.',
        ),
        ("PAGE 0", "line 1: pages are numbered from 1. Write PAGE 1."),
        (
            "PAGE: 1",
            'line 1: "PAGE: 1" is not a heading as it stands. '
            "Write PAGE 1, with nothing but a space between.",
        ),
        (
            "PAGES 2-3 (spread)",
            "line 1: a page heading takes one number, and this one has 2 and 3. "
            "Write PAGE 2 (with 3).",
        ),
        (
            "PAGE 1\n\nPAGE ONE",
            "line 3: page 1 comes twice (it stands on line 1 as well). "
            "Give one of them another number.",
        ),
        (
            "PAGE 1\nPANEL 1\nPanel one",
            "line 3, page 1: panel 1 comes twice on this page (it stands on line 2 as well). "
            "Give one of them another number.",
        ),
        (
            "NELL: a\nTOM: b\nPAGE 1",
            'line 1: the cue "NELL:" stands before the first page. '
            "Put lines such as PAGE 1 and PANEL 1 above it." + DIRECTION,
        ),
        (
            "PANEL 1\nNELL: a\nPAGE 1",
            "line 1: panel 1 stands before the first page. Put a line such as PAGE 1 above it.",
        ),
        (
            "PAGE 1\nNELL: a\nTOM: b",
            'line 2, page 1: the cue "NELL:" stands before the first panel of its page. '
            "Put a line such as PANEL 1 above it." + DIRECTION,
        ),
    ],
)
def test_faults_in_the_order_of_things(text: str, told: str) -> None:
    assert faults(text) == [told]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (
            "NELL (wisper): a",
            '"wisper" is no manner of speaking that is known here. Did you mean "whisper"?',
        ),
        ("NELL (to Tom): a", '"to Tom" is no manner of speaking that is known here.' + MANNERS),
        (
            "CAPTION (plcae): a",
            '"plcae" is no kind of caption that is known here. Did you mean "place"? '
            "To name a speaker, write CAPTION (speech, PLCAE).",
        ),
        (
            "CAPTION (left corner): a",
            '"left corner" is no kind of caption that is known here. '
            "It can be narration, thought, place, speech or note; anything else goes in a line of "
            "direction. To name a speaker, write CAPTION (speech, LEFT CORNER).",
        ),
        (
            "CAPTION (place, NELL): a",
            "a caption of the kind place takes no name. "
            "Write it as CAPTION (place) or CAPTION (speech, NELL).",
        ),
        (
            "CAPTION (TOM, NELL): a",
            "a caption takes one kind and one name. "
            "Write it as CAPTION (place) or CAPTION (speech, NAME).",
        ),
        (
            "SFX (loud): a",
            "a sound effect takes nothing in brackets. "
            "Write SFX: and the sound; the rest goes in a line of direction.",
        ),
        (
            "NELL (off: a",
            "the bracket after NELL is not closed. Close it before the colon." + DIRECTION,
        ),
        (
            "NELL:",
            'the cue "NELL:" has no words.' + WHERE_WORDS_GO,
        ),
        (
            "SFX: \u200b",
            'the cue "SFX:" has no words.' + WHERE_WORDS_GO,
        ),
        (
            "NELL: so *much",
            "the asterisk that opens here is never closed. Close it, or write \\* for an asterisk.",
        ),
        (
            "NELL: F**K!",
            "the asterisk that opens here is never closed. Close it, or write \\* for an asterisk.",
        ),
        (
            "NELL: `tis",
            "the backquote that opens here is never closed. "
            "Close it, or write \\` for a backquote.",
        ),
        (
            "NELL: a\\nb",
            'a backslash before "n" means nothing. Write \\\\ for a backslash. '
            "To force a line break, end the line with the backslash and go on below.",
        ),
        (
            "NELL: a\\",
            "a backslash at the end of a line forces a line break, but no words follow it. "
            "Write the next words on the line below, or take the backslash away.",
        ),
        (
            "NELL: a\\\nTOM: b",
            "a backslash at the end of a line forces a line break, but no words follow it. "
            "Write the next words on the line below, or take the backslash away.",
        ),
    ],
)
def test_faults_in_a_unit(line: str, told: str) -> None:
    assert panel_faults(line) == [f"line 3, page 1: {told}"]


@pytest.mark.parametrize("words", ["\\nope", "a \\nope", "a\\ b", "\\7"])
def test_a_backslash_before_a_letter_is_no_mark(words: str) -> None:
    (told,) = panel_faults(f"NELL: {words}")
    assert told.startswith("line 3, page 1: a backslash before ")


@pytest.mark.parametrize(
    "word", ["PGE", "PAG", "PPAGE", "PAGEE", "PAEG", "APGE", "PANL", "PNEL", "PANNEL", "PNL", "Pg."]
)
def test_mistyped_headings(word: str) -> None:
    told = faults(f"PAGE 1\n{word} 2")
    key = "PAGE" if "G" in word.upper() else "PANEL"
    assert told[0].endswith(f"is no heading. Did you mean {key} 2?" + DIRECTION)


@pytest.mark.parametrize("word", ["PAEG", "APGE", "PAG", "AGE", "PAGEE", "SPAGE", "PAHE", "CAGE"])
def test_one_slip_of_the_hand(word: str) -> None:
    assert one_slip(word, "PAGE")
    assert one_slip("PAGE", word)


@pytest.mark.parametrize("word", ["PAGE", "STAGE", "GAPE", "PAGING", "PA", "EGAP", ""])
def test_more_or_less_than_one_slip(word: str) -> None:
    assert not one_slip(word, "PAGE")
    assert not one_slip("PAGE", word)


def test_an_open_mark_is_told_with_the_line_it_stands_on() -> None:
    (told,) = panel_faults("NELL: a", "  *b", "  c")
    assert told.startswith("line 4, page 1: the asterisk")


def test_a_name_that_speaks_is_never_taken_for_a_kind_of_caption() -> None:
    assert in_panel("NATE: a", "CAPTION (NATE): b").units[1].speaker == "NATE"
    (told,) = panel_faults("CAPTION (NATE): b")
    assert 'Did you mean "note"? To name a speaker, write CAPTION (speech, NATE).' in told


@pytest.mark.parametrize("point", [0, 7, 0x1B, 0x7F, 0x93, 0xD800])
def test_control_characters_are_named(point: int) -> None:
    assert faults(f"PAGE 1\nPANEL 1\nNELL: a{chr(point)}b", "s.txt") == [
        f"s.txt, line 3: there is a control character here, U+{point:04X} "
        "(character 8 of the line). Delete it, and save the script as UTF-8."
    ]


def test_faults_are_told_together_in_the_order_of_lines() -> None:
    told = panel_faults("NELL: *a", "TOM:", "NELL (zzz): b", "SFX (x): c")
    assert [line.split(",")[0] for line in told] == ["line 3", "line 4", "line 5", "line 6"]


def test_very_many_faults_are_counted() -> None:
    told = faults("PAGE 1\nPANEL 1\n" + "NELL:\n" * (MOST_FAULTS + 7), "s.txt")
    assert len(told) == MOST_FAULTS + 1
    assert told[-1] == "s.txt: and 7 more. Mend these, then try again."


# ---- remarks -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (
            ["Nell: hush"],
            'line 3: "Nell:" is read as direction, since nobody of that name speaks in capitals. '
            "If Nell speaks here, write the name in capitals." + DIRECTION,
        ),
        (
            ["NELL/TOM: hush"],
            "line 3: this line looks like a cue, but is read as direction. A name may have "
            "letters, digits, spaces and - ' . & # only. If it is a cue, mend the name."
            + DIRECTION,
        ),
        (
            ["A" * 41 + ": a"],
            "line 3: this line looks like a cue, but is read as direction. "
            "A name has at most 40 characters. If it is a cue, mend the name." + DIRECTION,
        ),
        (
            ["NELL: a", "", "NELL (off)", "b"],
            "line 5: NELL stands here without a colon. It is read as direction and not lettered. "
            "Write NELL: and the words behind it.",
        ),
        (
            ["Page 3 the street"],
            "line 3: this line begins like a PAGE heading, but is read as direction. For a heading "
            "write PAGE and put a colon behind the number." + DIRECTION,
        ),
        (
            ["NELL: I told them never to", "come back here."],
            "line 4: this line begins with a small letter right below a unit's words. It is read "
            "as direction and not lettered. If it belongs to the words above, indent it.",
        ),
        (
            ["NELL: I told them", "", "   Never!"],
            "line 5: this line is indented, but a blank line parts it from the words above. It is "
            "read as direction and not lettered. "
            "If it belongs to the words above, take the blank line away.",
        ),
        (
            ["NELL: The sign said", "   WARNING: rocks"],
            "line 4: WARNING is read as the name of a speaker, though the line is indented right "
            "below other words. If it belongs to those words, put a backslash in front of it.",
        ),
        (
            ["NELL: (whisper) hush"],
            'line 3: "(whisper)" stands behind the colon and will be lettered. '
            "For a manner of speaking, write NELL (whisper): and then the words.",
        ),
        (
            ["NOTE: the lamp is lit"],
            "line 3: NOTE is read as the name of a speaker. For a note to the reader, write "
            "CAPTION (note): and the words." + DIRECTION,
        ),
        (
            ["SETTING: a lamp"],
            "line 3: SETTING is read as the name of a speaker." + DIRECTION,
        ),
        (
            ["SFX KRRANG"],
            "line 3: SFX stands here without a colon. It is read as direction and not lettered. "
            "Write SFX: and the words behind it." + DIRECTION,
        ),
        (
            ["NELL: No.", "", "NELL I owe her a return."],
            "line 5: NELL stands here without a colon. It is read as direction and not lettered. "
            "Write NELL: and the words behind it." + DIRECTION,
        ),
        (
            ["CAPTION - NELL: a"],
            "line 3: CAPTION - NELL is read as the name of a speaker. Before the colon write "
            "CAPTION or CAPTION (speech, NAME), or SFX for a sound.",
        ),
        (
            ["NELL: a", "NELL: b", "NLEL: c"],
            "line 5: NLEL speaks only here, and NELL speaks elsewhere. "
            "If this is NELL, write the name alike.",
        ),
        (
            ["NELL: d*mn the h*ll"],
            "line 3: the emphasis here begins inside one word and ends inside another. "
            "If these asterisks are part of the words, write each as \\*.",
        ),
        (
            ["PANEL 3"],
            "line 3: panel 3 comes right after panel 1. "
            "If a heading is missing, mistyped or out of order, put it right.",
        ),
        (
            ["PAGE 3"],
            "line 3: page 3 comes right after page 1. "
            "If a heading is missing, mistyped or out of order, put it right.",
        ),
        (
            ["PAGE 2", "PANEL 2"],
            "line 4: the first panel of this page is numbered 2. "
            "If a heading PANEL 1 is missing or mistyped, put it right.",
        ),
    ],
)
def test_remarks(lines: list[str], told: str) -> None:
    assert remarks(*lines) == [told]


@pytest.mark.parametrize(
    "lines",
    [
        ["\\Nell: hush", "\\NELL/TOM: hush", "\\Page 3 the street"],
        ["NELL: a.", "she turns", "", "Then rain: much of it."],
        ["  NELL: a", "  TOM: b", "  It rains."],
        ["R1: a", "R1: a", "R2: b"],
        ["NELL: a", "", "QUIET", "It rains on nell"],
    ],
)
def test_no_remark_where_none_is_due(lines: list[str]) -> None:
    assert remarks(*lines) == []


def test_remarks_do_not_make_scripts_differ() -> None:
    first, second = in_panel("Nell: hush"), in_panel("\\Nell: hush")
    assert first.remarks != second.remarks
    assert first == second
    assert hash(first) == hash(second)
