"""Capitals by the rules of a language: Unicode's SpecialCasing, and CLDR's rules for Greek."""

from __future__ import annotations

import unicodedata

DOTLESS_LANGUAGES = ("tr", "az")
DOT_ABOVE = "\u0307"
SOFT_DOTTED = "ij\u012f\u1e2d\u1ecb"
ARMENIAN_ECH_YIWN = "\u0587"

GREEK_VOWELS = "ΑΕΗΙΟΥΩ"
TONOS, DIALYTIKA, IOTA_BELOW = "\u0301", "\u0308", "\u0345"
GREEK_ACCENTS = "\u0300\u0301\u0302\u0303\u0311\u0342"
GREEK_MARKS = f"{GREEK_ACCENTS}{DIALYTIKA}{IOTA_BELOW}\u0304\u0306\u0313\u0314\u0343\u0344"
CASE_IGNORABLE = ("Mn", "Me", "Cf", "Lm", "Sk")
CASED = ("Lu", "Ll", "Lt")
WITHIN_WORDS = "'\u2018\u2019.:\u00b7\u0387"


def capitals(text: str, language: str = "en") -> str:
    """A text in capitals by the rules of its language.

    ß becomes SS; Turkish and Azeri i becomes İ; Greek loses its accents and keeps the dialytika
    (Unicode SpecialCasing and the Greek rules of Unicode CLDR).

    >>> capitals("istanbul ılık", "tr"), capitals("Μαΐου", "el"), capitals("straße", "de")
    ('İSTANBUL ILIK', 'ΜΑΪΟΥ', 'STRASSE')
    """
    return "".join(put for put, _ in capitals_by_character(text, language))


def capitals_by_character(text: str, language: str) -> list[tuple[str, int]]:
    """The capitals for each character, with the index of the character they come from."""
    base = base_language(language)
    if base == "el":
        return _greek_capitals(text)
    put = [char.upper() for char in text]
    for at, char in enumerate(text):
        if base in DOTLESS_LANGUAGES and char == "i":
            put[at] = "İ"
        elif base == "lt" and char == DOT_ABOVE and at and text[at - 1] in SOFT_DOTTED:
            put[at] = ""
        elif base == "hy" and char == ARMENIAN_ECH_YIWN:
            put[at] = "ԵՎ"
    return [(capital, at) for at, capital in enumerate(put)]


def base_language(tag: str) -> str:
    """The language of a tag such as pt-BR, without script and region."""
    return tag.replace("_", "-").split("-")[0].casefold()


def _greek_capitals(text: str) -> list[tuple[str, int]]:
    """Greek capitals carry no accent and no breathing; only the dialytika stays.

    One is added where losing an accent would join two vowels into one sound: άι becomes ΑΪ. The
    word ή ("or") keeps its tonos. The iota below a vowel becomes a letter beside it.
    """
    put: list[tuple[str, int]] = []
    accent_lost = False  # from the vowel before, which has no dialytika
    at = 0
    while at < len(text):
        letter, end = _greek_letter(text[at]), at + 1
        if not letter:
            put.append((text[at].upper(), at))
            accent_lost, at = False, end
            continue
        while end < len(text) and text[end] in GREEK_MARKS:
            end += 1
        marks = unicodedata.normalize("NFD", text[at:end])[1:]
        accented = any(mark in GREEK_ACCENTS for mark in marks)
        parted = DIALYTIKA in marks or (accent_lost and letter in "ΙΥ")
        below = "Ι" * marks.count(IOTA_BELOW)
        capital = letter + DIALYTIKA * parted
        if letter == "Η" and accented and not below and _stands_alone(text, at, end):
            capital += TONOS
        put.append((unicodedata.normalize("NFC", capital) + below, at))
        accent_lost = accented and not parted and letter in GREEK_VOWELS
        at = end
    return put


def _greek_letter(char: str) -> str:
    """The bare Greek capital of a character, or nothing when it is not a Greek letter."""
    letter = unicodedata.normalize("NFD", char)[0].upper()
    greek = "\u0370" <= letter <= "\u03ff" and unicodedata.name(letter, "").startswith("GREEK")
    return letter if greek and letter.isalpha() else ""


def _stands_alone(text: str, start: int, end: int) -> bool:
    """Whether no letter touches the characters `start` to `end`, looking past apostrophes."""
    sides = range(start - 1, -1, -1), range(end, len(text))
    return not any(_cased_first(text, side) for side in sides)


def _cased_first(text: str, places: range) -> bool:
    for at in places:
        if text[at] in WITHIN_WORDS or unicodedata.category(text[at]) in CASE_IGNORABLE:
            continue
        return unicodedata.category(text[at]) in CASED
    return False
