"""Right-to-left text against Unicode's test files for UAX #9 (Debian package unicode-data)."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from pathlib import Path

from letterer.resources import fonts_folder
from letterer.text.direction import levels, visual_order
from letterer.text.embedding import base_level, embedding_levels
from letterer.text.faces import library, open_face
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import DressedText

Files = Callable[[str | Path], Path]
EVERY = 7
"""Every seventh line of the largest file: it has half a million."""

SAMPLES = {
    "L": "a",
    "R": "\u05d0",
    "EN": "1",
    "ES": "+",
    "ET": "$",
    "AN": "\u0661",
    "CS": ",",
    "B": "\u2029",
    "S": "\t",
    "WS": " ",
    "ON": "!",
    "NSM": "\u0300",
    "AL": "\u0627",
    "LRE": "\u202a",
    "LRO": "\u202d",
    "RLE": "\u202b",
    "RLO": "\u202e",
    "PDF": "\u202c",
    "LRI": "\u2066",
    "RLI": "\u2067",
    "FSI": "\u2068",
    "PDI": "\u2069",
    "BN": "\u00ad",
}


def matches(expected: list[str], found: list[int]) -> bool:
    """Whether levels are as expected; x stands for a character that is removed (X9)."""
    return len(expected) == len(found) and all(
        want in ("x", str(level)) for want, level in zip(expected, found, strict=True)
    )


def test_every_line_of_bidi_character_test(reference_file: Files) -> None:
    path = reference_file("/usr/share/unicode/BidiCharacterTest.txt")
    count = 0
    for line in path.read_text(encoding="utf-8").splitlines():
        fields = line.partition("#")[0].strip().split(";")
        if len(fields) < 5:
            continue
        count += 1
        text = "".join(chr(int(code, 16)) for code in fields[0].split())
        asked, base, expected = fields[1], int(fields[2]), fields[3].split()
        assert asked != "2" or base_level(text) == base, line
        assert matches(expected, embedding_levels(text, base)), line
        shown = [at for at, level in enumerate(expected) if level != "x"]
        order = visual_order([int(expected[at]) for at in shown])
        assert [shown[at] for at in order] == [int(at) for at in fields[4].split()], line
    assert count == 91_707 or "15.0" not in path.read_text(encoding="utf-8")[:200]


def test_a_sample_of_bidi_test(reference_file: Files) -> None:
    path = reference_file("/usr/share/unicode/BidiTest.txt")
    expected: list[str] = []
    count = 0
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines()):
        if line.startswith("@Levels:"):
            expected = line.partition(":")[2].split()
        if not line or line[0] in "#@" or number % EVERY:
            continue
        kinds, _, directions = line.partition(";")
        text = "".join(SAMPLES[kind] for kind in kinds.split())
        for bit, base in ((1, base_level(text.partition("\u2029")[0])), (2, 0), (4, 1)):
            if int(directions, 16) & bit:
                count += 1
                assert matches(expected, embedding_levels(text, base)), (line, base)
    assert count > 50_000


def test_bracket_pairs_are_those_of_unicode(reference_file: Files) -> None:
    text = reference_file("/usr/share/unicode/BidiBrackets.txt").read_text(encoding="utf-8")
    newer = {0x2E55, 0x2E57, 0x2E59, 0x2E5B}  # half brackets that Unicode 14 added
    for line in text.splitlines():
        opening, _, rest = line.partition("#")[0].partition(";")
        closing, _, kind = rest.partition(";")
        if kind.strip() != "o" or int(opening, 16) in newer:
            continue
        pair = chr(int(opening, 16)), chr(int(closing, 16))
        # In a left-to-right line a pair about a Hebrew letter, after one, is itself set rightward.
        sample = f"a\u05d0{pair[0]}\u05d0{pair[1]}1"
        assert embedding_levels(sample, 0) == [0, 1, 1, 1, 1, 2], line


# --- Whole units ------------------------------------------------------------------------------


def shown(text: str, language: str, family: str) -> str:
    """The characters of a line from left to right, as the Shaper places them."""
    shaper = Shaper(DressedText(text, language), Lettering((family,)), library())
    line = shaper.line(0, len(text))
    places = [(glyph.x, index) for index, glyph in enumerate(line.glyphs)]
    assert places == sorted(places)
    return "".join(text[glyph.char] for glyph in line.glyphs)


def test_hebrew_runs_from_right_to_left() -> None:
    # Word order read off UAX #9: with no numbers or Latin letters all is simply turned about.
    text = "שלום, מה שלומך?"
    assert shown(text, "he", "Playpen Sans Hebrew") == text[::-1]


def test_figures_and_latin_words_keep_their_own_order_in_hebrew() -> None:
    assert shown("יש לי 120 שקל", "he", "Playpen Sans Hebrew") == "לקש 120 יל שי"
    assert shown("אמר OK BOB לי", "he", "Playpen Sans Hebrew") == "יל OK BOB רמא"


def test_a_hebrew_word_in_an_english_line() -> None:
    assert shown("SHE SAID שלום!", "en", "Letterer Hand") == "SHE SAID םולש!"


def test_arabic_runs_from_right_to_left_and_joins() -> None:
    text = "بيت ١٢ بيت"
    assert shown(text, "ar", "Marhey") == "تيب ١٢ تيب"
    face = open_face(fonts_folder() / "translations" / "Marhey_500Medium.ttf")
    line = Shaper(DressedText("بيت", "ar"), Lettering(("Marhey",)), library()).line(0, 3)
    alone = [face.glyph(char) for char in "تيب"]
    # Arabic letters join: the last (leftmost) and the middle one have another form than alone.
    assert all(glyph.number != lone for glyph, lone in zip(line.glyphs[:2], alone[:2], strict=True))


def test_brackets_are_mirrored() -> None:
    """BidiMirroring.txt: the opening bracket of a right-to-left line is drawn as its mirror."""
    text = "(שלום)"
    line = Shaper(DressedText(text, "he"), Lettering(("Playpen Sans Hebrew",)), library()).line(
        0, len(text)
    )
    face = line.glyphs[0].face
    assert line.glyphs[0].char == 5 and line.glyphs[-1].char == 0
    assert line.glyphs[0].number == face.glyph("(")
    assert line.glyphs[-1].number == face.glyph(")")


def test_a_line_out_of_the_middle_keeps_the_levels_of_the_whole() -> None:
    text = "אני רץ 3 מיל"
    shaper = Shaper(DressedText(text, "he"), Lettering(("Playpen Sans Hebrew",)), library())
    start = text.index("3")
    line = shaper.line(start, len(text))
    assert "".join(text[glyph.char] for glyph in line.glyphs) == "לימ 3"
    assert shaper.advances()[-1] > line.advance


def test_text_without_right_to_left_letters_needs_no_levels() -> None:
    assert levels("PLAIN") is None
    assert levels("ΕΛΛΗΝΙΚΑ ♪ “ÉTÉ”") is None
    assert levels("a\u2067b") is not None
    assert unicodedata.bidirectional("\u2067") == "RLI"


def test_isolates_are_no_error() -> None:
    text = "A \u2067שלום\u2069 B"
    found = levels(text)
    assert found == [0, 0, 0, 1, 1, 1, 1, 0, 0, 0]
