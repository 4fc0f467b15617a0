"""Line breaks against Unicode's own test file for UAX #14, and our deliberate differences.

The file is Unicode 15.0's (Debian package unicode-data); ICU 78 follows Unicode 17, whose rules
changed in a few places since. Every line on which they differ is listed with the rule that changed.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import icu4py
import pytest

from letterer.text.breaks import break_opportunities, pieces

FILE = "/usr/share/unicode/auxiliary/LineBreakTest.txt"

CHANGED_SINCE_15 = {
    # Unicode 16.0, LB20a: no break after a hyphen that begins a word.
    "LB20a": {2265, 2267, 2313, 2315, 2421, 2423, 2425, 2427, 2429, 2431},
    # Unicode 16.0, LB25: no break between a comma or full stop and a digit.
    "LB25": {2873, 2875, 7576, 7577, 7578, 7579, 7580, 7581, 7583, 7584, 7585, 7586, 7587},
    # Unicode 15.1, LB15: a quotation mark holds on to what it opens or closes, and no longer to a
    # bracket beyond a space.
    "LB15": {4770, 4772, 4818, 4820, 7514, 7515, 7519, 7520},
    # Unicode 16.0, LB15c: a break before a decimal point that follows a space (equals .35).
    "LB15c": {7477},
    # Unicode 16.0, LB21a: a hyphen between two Hebrew letters allows a break.
    "LB21a": {7680},
}
RECORDED_FOR = 78
"""The major version of ICU for which the list above was seen."""


def test_unicode_line_break_test(reference_file: Callable[[str | Path], Path]) -> None:
    text = reference_file(FILE).read_text(encoding="utf-8")
    differ, count = set(), 0
    for number, line in enumerate(text.splitlines(), start=1):
        marks = line.partition("#")[0].split()
        if not marks:
            continue
        count += 1
        sample, expected = read(marks)
        if break_opportunities(sample) != expected:
            differ.add(number)
    if "LineBreakTest-15.0.0.txt" in text and icu4py.icu_version_info[0] == RECORDED_FOR:
        assert count == 7654
        assert differ == set().union(*CHANGED_SINCE_15.values())
        assert len(differ) == 33
    else:
        assert len(differ) <= count / 100


def read(marks: list[str]) -> tuple[str, list[int]]:
    """A sample of the file and where it may be broken, its end counted, its start not."""
    sample, places = "", []
    for mark in marks:
        if mark == "÷":
            places.append(len(sample))
        elif mark != "×":
            sample += chr(int(mark, 16))
    return sample, [place for place in places if place]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # A dash, dots or a slash: after them, never before; common practice, no source.
        ("WAIT--BUT", "WAIT--|BUT"),
        ("WAIT—BUT", "WAIT—|BUT"),
        ("WAIT–BUT", "WAIT–|BUT"),
        ("UM...OKAY", "UM...|OKAY"),
        ("UM…OKAY", "UM…|OKAY"),
        ("UM....OKAY", "UM....|OKAY"),
        ("AND/OR", "AND/|OR"),
        ("HUH?--NO", "HUH?--|NO"),
        ("SO--“YES”", "SO--|“YES”"),
        ("AS I SAID -- NO", "AS|I|SAID --|NO"),
        ("AS I SAID — NO", "AS|I|SAID —|NO"),
        ("EITHER / OR", "EITHER /|OR"),
        # None when they open a word, and none in a figure.
        ("--BUT I", "--BUT|I"),
        ("WAIT --BUT", "WAIT|--BUT"),
        ("“--BUT", "“--BUT"),
        ("...SO THERE", "...SO|THERE"),
        ("24/7", "24/7"),
        # Marks stay together, and with their word.
        ("@#$%!", "@#$%!"),
        ("OH @#$%! NO", "OH|@#$%!|NO"),
        ("WHAT?! NO", "WHAT?!|NO"),
        ("WHAT ?! NO", "WHAT ?!|NO"),
        ("WAIT--?!", "WAIT--?!"),
        ("HELLO...?", "HELLO...?"),
        ("“WAIT—”", "“WAIT—”"),
        # A hyphen: between whole words only.
        ("WELL-KNOWN", "WELL-|KNOWN"),
        ("MOTHER-IN-LAW", "MOTHER-|IN-|LAW"),
        ("W-WAIT", "W-WAIT"),
        ("B-B-BUT", "B-B-BUT"),
        ("WH-WHAT", "WH-WHAT"),
        ("TH-TH-THAT", "TH-TH-THAT"),
        ("HA-HA", "HA-|HA"),
        ("TO-DAY", "TO-DAY"),
        ("LEAN-TO", "LEAN-TO"),
        ("UP-TO-DATE", "UP-TO-|DATE"),
        ("T-SHIRT", "T-SHIRT"),
        ("É-ÉTÉ", "É-ÉTÉ"),
        ("E\u0301-E\u0301TE", "E\u0301-E\u0301TE"),
        ("3-4", "3-4"),
        # Words are not hyphenated.
        ("UNBE\u00adLIEVABLE", "UNBE\u00adLIEVABLE"),
        # No-break space and no-break hyphen; a zero-width space is the writer's wish.
        ("MR.\u00a0FOX RAN", "MR.\u00a0FOX|RAN"),
        ("QUOI\u202f? NON", "QUOI\u202f?|NON"),
        ("RE\u2011ENTER", "RE\u2011ENTER"),
        ("HELLO\u200bWORLD", "HELLO\u200b|WORLD"),
    ],
)
def test_the_trades_own_rules(text: str, expected: str) -> None:
    found = "|".join(text[piece.start : piece.end] for piece in pieces(text))
    assert found == expected


def test_where_the_trade_and_the_algorithm_part() -> None:
    """The rules above are not what UAX #14 alone gives."""
    assert break_opportunities("WAIT—BUT") == [4, 5, 8]
    assert break_opportunities("24/7") == [4]
    assert break_opportunities("AND/OR") == [4, 6]
    assert break_opportunities("W-WAIT") == [2, 6]
    assert break_opportunities("UM...OKAY") == [9]


@pytest.mark.parametrize(
    ("text", "language", "expected"),
    [
        # Thai has no spaces: ICU's dictionary finds the words.
        ("ภาษาไทยดี", "th", "ภาษา|ไทย|ดี"),
        # Japanese: no line begins with a full stop or a closing bracket, none ends with an opening.
        ("行け。「待て」", "ja", "行|け。|「待|て」"),
        ("안녕 친구", "ko", "안|녕|친|구"),
    ],
)
def test_scripts_without_spaces(text: str, language: str, expected: str) -> None:
    found = "|".join(text[piece.start : piece.end] for piece in pieces(text, language))
    assert found == expected
