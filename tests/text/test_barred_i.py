"""The barred I belongs to the English pronoun only. Common practice, no source."""

from __future__ import annotations

import pytest

from letterer.model.script import Run
from letterer.text.tradition import Habits, barred_letters, dress


def with_bars(written: str, language: str = "en") -> str:
    """The dressed words with a stroke before each barred I."""
    dressed = dress([Run(written)], language)
    return "".join(
        f"|{char}" if at in dressed.barred else char for at, char in enumerate(dressed.text)
    )


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("I", "|I"),
        ("I know. I do!", "|I KNOW. |I DO!"),
        ("I'm, I’ll, I've, I’d", "|I’M, |I’LL, |I’VE, |I’D"),
        ("I'd've, I'll've, I'dn't", "|I’D’VE, |I’LL’VE, |I’DN’T"),
        ("I'ma go, I'mma stay", "|I’MA GO, |I’MMA STAY"),
        ('"I said"', "“|I SAID”"),
        ("“I said”", "“|I SAID”"),
        ("'I said'", "‘|I SAID’"),
        ("‘I said’", "‘|I SAID’"),
        ("\"'I know,' he said\"", "“‘|I KNOW,’ HE SAID”"),
        ("‘You and I’", "‘YOU AND |I’"),
        ("(I think)", "(|I THINK)"),
        ("<I know>", "<|I KNOW>"),
        ("I--I can't", "|I--|I CAN’T"),
        ("I—", "|I--"),
        ("I...", "|I..."),
        ("...I", "...|I"),
        ("I? I!", "|I? |I!"),
        ("you and I.", "YOU AND |I."),
        ("So am I. I mean it.", "SO AM |I. |I MEAN IT."),
        ("Not you. I.", "NOT YOU. |I."),
        ("Yes I'm. I. Am.", "YES |I’M. |I. AM."),
        ("I. Don't. Care.", "|I. DON’T. CARE."),
        ("and/or I", "AND/OR |I"),
        ("I\nI", "|I\n|I"),
        ("I\u00a0am", "|I\u00a0AM"),
        # A stammer on the pronoun; on a word that begins with I it is that word's letter.
        ("I-I think", "|I-|I THINK"),
        ("I-I'm lost", "|I-|I’M LOST"),
        ("W-I mean", "W-|I MEAN"),
        ("I-it's gone", "I-IT’S GONE"),
        ("I-I-inside", "I-I-INSIDE"),
        # Inside words, in names and their initials, in abbreviations.
        ("Ivy is in it", "IVY IS IN IT"),
        ("AI, IT, IQ", "AI, IT, IQ"),
        ("the A.I. is on", "THE A.I. IS ON"),
        ("I.Q. and H.I.V.", "I.Q. AND H.I.V."),
        ("A. I. Stone", "A. I. STONE"),
        ("I. A. Stone", "I. A. STONE"),
        ("J.I. and I", "J.I. AND |I"),
        ("I. Stone", "I. STONE"),
        ("an I-beam on the I-80", "AN I-BEAM ON THE I-80"),
        ("dot the I's", "DOT THE I’S"),
        # Roman numerals.
        ("World War II", "WORLD WAR II"),
        ("World War I began", "WORLD WAR I BEGAN"),
        ("Chapter I.", "CHAPTER I."),
        ("CHAPTER I", "CHAPTER I"),
        ("Part I: the sea", "PART I: THE SEA"),
        ("King Olaf I.", "KING OLAF I."),
        ("In Chapter I we", "IN CHAPTER I WE"),
        ("the chapter I wrote", "THE CHAPTER |I WROTE"),
        ("the part I like", "THE PART |I LIKE"),
        # Letters with a mark are no pronoun.
        ("Í I\u0301", "Í Í"),
    ],
)
def test_english(written: str, expected: str) -> None:
    assert with_bars(written) == expected


@pytest.mark.parametrize("language", ["fr", "de", "it", "tr", "pl"])
def test_no_other_language_has_it(language: str) -> None:
    assert dress([Run("I, I’M")], language).barred == ()


@pytest.mark.parametrize("language", ["en", "en-GB", "en_US", "EN"])
def test_every_english_has_it(language: str) -> None:
    assert dress([Run("I")], language).barred == (0,)


def test_where_the_words_keep_their_case() -> None:
    dressed = dress([Run("I’m in, i’m I")], habits=Habits(capitals=False))
    assert [dressed.text[at:] for at in dressed.barred] == ["I’m in, i’m I", "I"]


def test_as_typed() -> None:
    """A capital I that was kept as typed is still the pronoun; a small one stays small."""
    dressed = dress([Run("So "), Run("I or i", as_typed=True), Run(" go")])
    assert dressed.text == "SO I or i GO"
    assert dressed.barred == (3,)


def test_emphasis_does_not_hide_the_pronoun() -> None:
    dressed = dress([Run("it was "), Run("I", emphasis=True), Run("’m sure")])
    assert dressed.barred == (7,)


def test_places_survive_changes_of_length() -> None:
    dressed = dress([Run("Straße… I")])
    assert dressed.text == "STRASSE... I"
    assert dressed.barred == (11,)


def test_without_the_words_as_written_the_numeral_is_not_told_from_the_pronoun() -> None:
    assert barred_letters("IN CHAPTER I WE", "en") == [11]
    assert barred_letters("IN CHAPTER I WE", "en", "in Chapter I we") == []
    assert barred_letters("IN CHAPTER I WE", "en", "in Chapter I we went") == [11]
