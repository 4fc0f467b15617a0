"""A word is broken with a hyphen where no line of its box can hold it, and only there.

Where words may be broken is checked against the worked examples of the patterns' author: Liang,
"Word Hy-phen-a-tion by Com-put-er" (1983), whose title is one.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer import craft
from letterer.fit.balloon import BalloonShape, Wishes, fit_balloon
from letterer.fit.candidates import Candidate
from letterer.fit.caption import CaptionShape, fit_caption
from letterer.fit.hyphens import allowed_places, as_kept, letter_places
from letterer.fit.measure import MeasuredWords

Measured = Callable[..., MeasuredWords]
Fit = Callable[[MeasuredWords, Wishes], list[Candidate]]


def balloon(words: MeasuredWords, wishes: Wishes) -> list[Candidate]:
    return fit_balloon(words, BalloonShape(), wishes)


def caption(words: MeasuredWords, wishes: Wishes) -> list[Candidate]:
    return fit_caption(words, CaptionShape(), wishes)


FITS: tuple[Fit, ...] = (balloon, caption)


def parts(word: str, places: tuple[int, ...]) -> str:
    return "-".join(word[i:j] for i, j in zip((0, *places), (*places, len(word)), strict=True))


def test_the_title_of_the_patterns() -> None:
    assert parts("HYPHENATION", allowed_places("HYPHENATION", "en-US")) == "HY-PHEN-ATION"
    # "com-put-er" keeps its last two letters: fewer are not carried over here.
    assert parts("COMPUTER", allowed_places("COMPUTER", "en-US")) == "COM-PUTER"


@pytest.mark.parametrize(
    ("word", "language", "broken"),
    [
        ("DAMPFSCHIFF", "de", "DAMPF-SCHIFF"),
        ("LICHTERKETTE!", "de-AT", "LICH-TER-KETTE!"),
        ("SCHWIERIGKEIT", "xx", "SCHWIERIGKEIT"),
        ("7,500,000", "en", "7,500,000"),
        ("NO", "en", "NO"),
    ],
)
def test_places_that_the_patterns_allow(word: str, language: str, broken: str) -> None:
    assert parts(word, allowed_places(word, language)) == broken


@given(word=st.text(st.sampled_from("ABÇİ\u0301\u0308-'(!9"), max_size=12))
def test_places_between_letters_keep_accents_and_enough_letters(word: str) -> None:
    solid = [at for at, char in enumerate(word) if char.isalnum()]
    for at in letter_places(word):
        assert at - solid[0] >= craft.HYPHEN_LETTERS_BEFORE
        assert solid[-1] + 1 - at >= craft.HYPHEN_LETTERS_AFTER
        assert word[at] not in "\u0301\u0308", "an accent stays with its letter"


@pytest.mark.parametrize("fit", FITS)
@pytest.mark.parametrize(
    ("text", "language", "lines"),
    [
        ("Donaudampfschifffahrtsgesellschaft!", "de", "DONAUDAMPF- SCHIFFFAHRTS- GESELLSCHAFT!"),
        ("Επαναλαμβανόμενο", "el", "ΕΠΑΝΑ- ΛΑΜΒΑ- ΝΟΜΕΝΟ"),
    ],
)
def test_a_word_wider_than_its_box(
    fit: Fit, text: str, language: str, lines: str, measured: Measured
) -> None:
    words = measured(text, language=language)
    room = (60.0, 60.0) if language == "de" else (45.0, 40.0)
    found = fit(words, Wishes(room=room))[0]
    assert found.text == lines.replace(" ", "\n")
    assert found.fits and found.broken == (words.text.strip("!"),)
    # The hyphen is a real one: a glyph of the face, shaped with its line, inside the shape.
    assert [line.words[-1] for line in found.lines[:-1]] == ["-", "-"]
    for line in found.lines:
        assert len(line.shaped.glyphs) == len(line.words)
    width = room[0]
    assert all(line.ink.width < width for line in found.lines)


@pytest.mark.parametrize("fit", FITS)
def test_a_word_that_fits_at_the_smallest_size_is_not_broken(fit: Fit, measured: Measured) -> None:
    words = measured("Extraordinarily so")
    for width in range(150, 40, -4):
        found = fit(words, Wishes(room=(float(width), 60.0)))[0]
        if found.broken:
            break
        assert found.fits and "-" not in found.text
    assert found.broken == ("EXTRAORDINARILY",)
    assert found.fits
    alone = fit(measured("Extraordinarily"), Wishes(size=craft.SIZE_FLOOR))[0]
    assert width < alone.shape.area / alone.ink.height, "it was much too narrow for the whole word"


@pytest.mark.parametrize("fit", FITS)
def test_without_a_box_or_with_lines_of_ones_own_nothing_is_broken(
    fit: Fit, measured: Measured
) -> None:
    words = measured("Extraordinarily so")
    assert not fit(words, Wishes())[0].broken
    assert not fit(words, Wishes(breaks=(1, 2), room=(45.0, 45.0)))[0].broken
    assert not fit(words, Wishes(room=(6.0, 4.0)))[0].broken, "where breaking helps nothing"
    assert not fit(measured("extraordinarily", language="ar"), Wishes())[0].broken


@pytest.mark.parametrize("fit", FITS)
@settings(max_examples=20, deadline=None)
@given(width=st.floats(30, 70), height=st.floats(30, 80))
def test_letters_emphasis_and_bars_outlive_the_break(
    fit: Fit, width: float, height: float, measured: Measured
) -> None:
    words = measured("I *unquestionably* said I'd be late")
    found = fit(words, Wishes(room=(width, height)))[0]
    whole = "".join(char for char in words.text if char.isalnum())
    assert "".join(char for char in found.text if char.isalnum()) == whole
    glyphs = [glyph for line in found.lines for glyph in line.shaped.glyphs]
    drawn = [glyph for glyph in glyphs if glyph.face.ink(glyph.number)]
    bold = [glyph for glyph in drawn if glyph.face is not drawn[0].face]
    assert len(bold) == len("UNQUESTIONABLY") + found.text.count("-")


@pytest.mark.parametrize("fit", FITS)
@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("I *unquestionably* said so", "en"),
        ("Donaudampfschifffahrtsgesellschaft!", "de"),
        ("W-WAIT, extraordinarily late", "en"),
    ],
)
def test_kept_lines_break_the_word_again(
    fit: Fit, text: str, language: str, measured: Measured
) -> None:
    words = measured(text, language=language)
    room = (48.0, 60.0)
    found = fit(words, Wishes(room=room))[0]
    assert found.broken
    kept = as_kept(words, found.text.split("\n"))
    assert kept is not None
    again = fit(kept[0], Wishes(room=room, breaks=kept[1]))[0]
    assert (again.text, again.size, again.broken) == (found.text, found.size, found.broken)
    assert again.shape == found.shape
    # Small letters are the same words; other words are not, nor is a line that ends elsewhere.
    small = found.text.lower().split("\n")
    assert (as_kept(words, small) or ((), ()))[1] == kept[1]
    assert as_kept(measured(text + " no", language=language), small) is None
    assert as_kept(words, [*small[:-1], small[-1] + "s"]) is None


def test_kept_lines_without_a_broken_word_are_as_they_were(measured: Measured) -> None:
    words = measured("W-wait, who told you?")
    assert as_kept(words, ["w-wait,", "who told you?"]) == (words, (1, 4))
    # A stammer's hyphen is in the text already, and no place to break at; nor is a lone hyphen.
    assert as_kept(words, ["W-", "wait, who told you?"]) is None
    assert as_kept(words, ["w-wait, who", "to", "ld you?"]) is None
    assert as_kept(words, ["w-wait, who -", "told you?"]) == (words, (2, 4))


def test_a_broken_text_keeps_its_marks(measured: Measured) -> None:
    text = measured("I *unquestionably* said I'd").shaper.text
    broken = text.broken_at([4, 9])
    assert broken.text == "I UN-\nQUEST-\nIONABLY SAID I\u2019D"
    assert [broken.text[span.start : span.end] for span in broken.emphasis] == [
        "UN-\nQUEST-\nIONABLY"
    ]
    assert [broken.text[at] for at in broken.barred] == ["I", "I"]
