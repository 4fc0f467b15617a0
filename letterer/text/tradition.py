"""The trade's way with words: capitals by language, the barred I, dashes, dots and quotes.

What goes in is what the writer typed; what comes out is what is set. Rules: craft.md's "Words",
in `letterer/craft.py`. What stood between backquotes is left exactly as typed.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from letterer.model.script import Run

DOTLESS_LANGUAGES = ("tr", "az")
GREEK_VOWELS_BEFORE = ("Α", "Ε", "Ο")
TONOS, DIALYTIKA = "\u0301", "\u0308"
ELISIONS = re.compile(
    r"(?:tis|twas|twere|em|til|cause|bout|round|neath|n|cuz|kay)\b", re.IGNORECASE
)

_Change = Callable[[re.Match[str]], str]


@dataclass(frozen=True, slots=True)
class Span:
    """Characters `start` to `end` (not included) of a text."""

    start: int
    end: int

    def __contains__(self, index: int) -> bool:
        return self.start <= index < self.end


@dataclass(frozen=True, slots=True)
class DressedText:
    """Words as they are set. A forced line break is the character \\n.

    `emphasis` are the parts in bold italic; `barred` the single letters I that carry bars;
    `as_typed` the parts the writer kept from the capitals.
    """

    text: str
    language: str = "en"
    emphasis: tuple[Span, ...] = ()
    barred: tuple[int, ...] = ()
    as_typed: tuple[Span, ...] = ()

    def emphasised(self, index: int) -> bool:
        """True when the character at `index` is in bold italic."""
        return any(index in span for span in self.emphasis)


@dataclass(frozen=True, slots=True)
class Habits:
    """A house's habits with words: capitals or not, true dash or double, one dots character."""

    capitals: bool = True
    true_dash: bool = False
    single_dots: bool = False


def dress(runs: Sequence[Run], language: str = "en", habits: Habits = Habits()) -> DressedText:
    """Turn a unit's runs into the words that are set.

    >>> dress([Run("Wait -- I'm "), Run("so", emphasis=True), Run(" late…")]).text
    'WAIT-- I’M SO LATE...'
    """
    marked = _Marked(
        "".join(run.text for run in runs),
        [(run.emphasis, run.as_typed) for run in runs for _ in run.text],
    )
    marked.tidy_spaces()
    marked.change(DASH, lambda _: "\u2014" if habits.true_dash else "--")
    marked.change(DOTS, lambda _: "\u2026" if habits.single_dots else "...")
    marked.change(SPACE_BEFORE_TRAILER, lambda found: found.group(1))
    if _language(language) == "en":
        marked.change(APOSTROPHE, lambda found: _curl_single(found))
        marked.change(DOUBLE_QUOTE, lambda found: _curl_double(found))
    as_written = marked.text
    if habits.capitals:
        marked.capitals(language)
    text = marked.text
    same_length = as_written if len(as_written) == len(text) else text
    return DressedText(
        text,
        language,
        emphasis=marked.spans(0),
        barred=tuple(barred_letters(text, language, same_length)),
        as_typed=marked.spans(1),
    )


DASH = re.compile(r"\u2014|(?<!-)--(?!-)|(?<=\s)\u2013(?=\s|$)|(?<=\w)\u2013$")
DOTS = re.compile(r"\u2026|(?<!\.)\.\.\.(?!\.)")
SPACE_BEFORE_TRAILER = re.compile(r"(?<=\S)[ ]+(--|\u2014|\.\.\.|\u2026)(?=\s|$|[?!\"\u201d])")
APOSTROPHE = re.compile(r"'")
DOUBLE_QUOTE = re.compile(r'"')
OPENERS = "([{<\u201c\u2018\u2014-"


def _curl_single(found: re.Match[str]) -> str:
    """A straight single quote: a quotation opens only where one closes later; else apostrophe."""
    text, at = found.string, found.start()
    before, after = text[at - 1 : at], text[at + 1 : at + 2]
    opens = (not before or before.isspace() or before in OPENERS) and after.isalpha()
    if ELISIONS.match(text, at + 1):
        return "\u2019"
    closes_later = re.search(r"(?<=[\w.,!?\u2026-])'(?!\w)", text[at + 1 :])
    return "\u2018" if opens and closes_later else "\u2019"


def _curl_double(found: re.Match[str]) -> str:
    text, at = found.string, found.start()
    before, after = text[at - 1 : at], text[at + 1 : at + 2]
    opens = (not before or before.isspace() or before in OPENERS) and bool(after.strip())
    return "\u201c" if opens else "\u201d"


class _Marked:
    """A text whose every character carries marks, through changes of length."""

    def __init__(self, text: str, marks: list[tuple[bool, bool]]) -> None:
        self.text = text
        self.marks = marks

    def tidy_spaces(self) -> None:
        """One space between words, none at the ends of a line; no-break spaces stay."""
        self.change(re.compile(r"[ \t\r\f\v]*\n[ \t\r\f\v]*"), lambda _: "\n", everywhere=True)
        self.change(re.compile(r"[ \t\r\f\v]+"), lambda _: " ", everywhere=True)
        self.change(re.compile(r"^[ \n]+|[ \n]+$"), lambda _: "", everywhere=True)

    def change(
        self,
        pattern: re.Pattern[str],
        new: _Change,
        everywhere: bool = False,
    ) -> None:
        """Replace each match; what was kept as typed is left alone unless `everywhere`."""
        text: list[str] = []
        marks: list[tuple[bool, bool]] = []
        done = 0
        for found in pattern.finditer(self.text):
            start, end = found.span()
            if not everywhere and any(mark[1] for mark in self.marks[start:end]):
                continue
            put = new(found)
            text += [self.text[done:start], put]
            mark = self.marks[start] if start < len(self.marks) else (False, False)
            marks += self.marks[done:start] + [mark] * len(put)
            done = end
        self.text = "".join(text) + self.text[done:]
        self.marks = marks + self.marks[done:]

    def capitals(self, language: str) -> None:
        """Put everything but the parts kept as typed in capitals, by language."""
        text: list[str] = []
        marks: list[tuple[bool, bool]] = []
        at = 0
        while at < len(self.text):
            typed = self.marks[at][1]
            end = at
            while end < len(self.text) and self.marks[end][1] == typed:
                end += 1
            if typed:
                text.append(self.text[at:end])
                marks += self.marks[at:end]
            else:
                for put, index in capitals_by_character(self.text[at:end], language):
                    text.append(put)
                    marks += [self.marks[at + index]] * len(put)
            at = end
        self.text, self.marks = "".join(text), marks

    def spans(self, which: int) -> tuple[Span, ...]:
        """Where one kind of mark is on."""
        spans: list[Span] = []
        for index, mark in enumerate(self.marks):
            if not mark[which]:
                continue
            if spans and spans[-1].end == index:
                spans[-1] = Span(spans[-1].start, index + 1)
            else:
                spans.append(Span(index, index + 1))
        return tuple(spans)


def capitals(text: str, language: str = "en") -> str:
    """A text in capitals by the rules of its language.

    ß becomes SS; Turkish and Azeri i becomes İ; Greek loses its tonos and keeps the dialytika
    (Unicode SpecialCasing and the Greek rules of Unicode CLDR).

    >>> capitals("istanbul ılık", "tr"), capitals("Μαΐου", "el"), capitals("straße", "de")
    ('İSTANBUL ILIK', 'ΜΑΪΟΥ', 'STRASSE')
    """
    return "".join(put for put, _ in capitals_by_character(text, language))


def capitals_by_character(text: str, language: str) -> list[tuple[str, int]]:
    """The capitals for each character, with the index of the character they come from."""
    base = _language(language)
    if base in DOTLESS_LANGUAGES:
        return [("İ" if char == "i" else char.upper(), i) for i, char in enumerate(text)]
    if base == "el":
        return _greek_capitals(text)
    return [(char.upper(), i) for i, char in enumerate(text)]


def _greek_capitals(text: str) -> list[tuple[str, int]]:
    """Greek capitals: no tonos; a dialytika stays, and one is added where losing a tonos would
    join two vowels into one sound (άι → ΑΪ). The disjunctive Ή alone keeps its tonos."""
    put: list[tuple[str, int]] = []
    tonos_before = False
    for index, char in enumerate(text):
        parts = unicodedata.normalize("NFD", char.upper() if len(char.upper()) == 1 else char)
        parts = parts.upper() if len(unicodedata.normalize("NFD", char)) == len(parts) else parts
        letter, marks = parts[0], parts[1:]
        if not ("\u0370" <= letter <= "\u03ff" or unicodedata.combining(letter)):
            put.append((char.upper(), index))
            tonos_before = False
            continue
        if unicodedata.combining(letter):
            put.append(("" if letter == TONOS else char, index))
            tonos_before = tonos_before or letter == TONOS
            continue
        alone = not _is_letter(text, index - 1) and not _is_letter(text, index + 1)
        if letter == "Η" and TONOS in marks and alone:
            put.append(("Ή", index))
            tonos_before = False
            continue
        kept = DIALYTIKA if DIALYTIKA in marks else ""
        previous = put[-1][0] if put else ""
        if not kept and letter in "ΙΥ" and tonos_before and previous in GREEK_VOWELS_BEFORE:
            kept = DIALYTIKA
        put.append((unicodedata.normalize("NFC", letter + kept), index))
        tonos_before = TONOS in marks
    return put


def _is_letter(text: str, index: int) -> bool:
    return 0 <= index < len(text) and (
        text[index].isalpha() or bool(unicodedata.combining(text[index]))
    )


_PRONOUN = re.compile(
    r"(?<!\w)(?<!\w['\u2019])I(?=(?:['\u2019](?:M|LL|VE|D)(?:['\u2019]VE)?)?(?![\w'\u2019]))",
    re.IGNORECASE,
)
_INITIAL = re.compile(r"(?:(?<=\w\.)|(?<=\w\. ))I(?=\.)|I(?=\. ?\w\.)|^I(?=\. \w)")
_NUMERAL = re.compile(
    r"\b(?:CHAPTER|PART|BOOK|VOLUME|ACT|SCENE|WAR|PHASE|MARK|CLASS|TYPE|LEVEL|EPISODE)\s(I)(?=[.,:;!?)\"\u201d]|$)"
)


def barred_letters(text: str, language: str, as_written: str = "") -> list[int]:
    """Where the letter I carries bars: the English pronoun only.

    I, I'm, I'll, I've and I'd, with any apostrophe, also after an opening quote. A letter I inside
    a word, among a name's initials, or as a numeral is plain. `as_written` is the text before the
    capitals, of the same length, where it is known.

    >>> barred_letters("I SAID I'LL SIT IN PART I.", "en")
    [0, 7]
    """
    if _language(language) != "en":
        return []
    plain = {found.start() for found in _INITIAL.finditer(text)}
    plain |= {found.start(1) for found in _NUMERAL.finditer(text)}
    return [
        found.start()
        for found in _PRONOUN.finditer(text)
        if found.start() not in plain
        and text[found.start()] == "I"
        and not re.match(r"I-\d", text[found.start() :])
    ]


def _language(tag: str) -> str:
    return tag.replace("_", "-").split("-")[0].casefold()
