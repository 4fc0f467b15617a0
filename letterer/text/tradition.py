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
from letterer.text.capitals import base_language, capitals_by_character
from letterer.text.capitals import capitals as capitals
from letterer.text.quotes import curled

DASH = re.compile(r"\u2014|(?<!-)--(?!-)|(?<=[\s\w])\u2013(?=\s|$|[?!\"\u201d'\u2019])")
DOTS = re.compile(r"\u2026|(?<!\.)\.\.\.(?!\.)")
SPACE_BEFORE_TRAILER = re.compile(r"(?<=\S) +(?=(?:--|\u2014|\.\.\.|\u2026)(?:\s|$|[?!\"\u201d]))")
LINE_BREAK = re.compile(r"[ \t\f\v\x1c-\x1f]*(?:\r\n|[\n\r\x85\u2028\u2029])[ \t\f\v\x1c-\x1f]*")
BLANKS = re.compile(r"[ \t\f\v\x1c-\x1f]+")
OUTER_BLANKS = re.compile(r"^[ \n]+|[ \n]+$")

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

    def broken_at(self, places: Sequence[int]) -> DressedText:
        """The same text with a hyphen and a line's end put in before these characters.

        >>> DressedText("LAMPLIGHTERS", emphasis=(Span(0, 12),)).broken_at([4])
        DressedText(text='LAMP-\\nLIGHTERS', language='en', emphasis=(Span(start=0, end=14),), \
barred=(), as_typed=())
        """
        put = "-\n"
        text, done = "", 0
        for at in sorted(places):
            text += self.text[done:at] + put
            done = at

        def moved(at: int, begins: bool = True) -> int:
            return at + len(put) * sum(place < at + begins for place in places)

        def spans(old: tuple[Span, ...]) -> tuple[Span, ...]:
            return tuple(Span(moved(span.start), moved(span.end, begins=False)) for span in old)

        return DressedText(
            text + self.text[done:],
            self.language,
            spans(self.emphasis),
            tuple(moved(at) for at in self.barred),
            spans(self.as_typed),
        )

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
    words = [(_composed(run.text), run) for run in runs]
    marked = _Marked(
        "".join(text for text, _ in words),
        [(run.emphasis, run.as_typed) for text, run in words for _ in text],
    )
    marked.tidy_spaces()
    marked.change(DASH, lambda _: "\u2014" if habits.true_dash else "--")
    marked.change(DOTS, lambda _: "\u2026" if habits.single_dots else "...")
    marked.change(SPACE_BEFORE_TRAILER, lambda _: "")
    if base_language(language) == "en":
        marked.text = curled(marked.text, [typed for _, typed in marked.marks])
    as_written = marked.text
    if habits.capitals:
        marked.capitals(language)
    text = marked.text
    return DressedText(
        text,
        language,
        emphasis=marked.spans(0),
        barred=tuple(barred_letters(text, language, as_written)),
        as_typed=marked.spans(1),
    )


def _composed(text: str) -> str:
    """Letters and their accents as one character each (NFC), which the rules below count on."""
    return unicodedata.normalize("NFC", text)


class _Marked:
    """A text whose every character carries marks, through changes of length."""

    def __init__(self, text: str, marks: list[tuple[bool, bool]]) -> None:
        self.text = text
        self.marks = marks

    def tidy_spaces(self) -> None:
        """One space between words, none at the ends of a line; no-break spaces stay."""
        self.change(LINE_BREAK, lambda _: "\n", everywhere=True)
        self.change(BLANKS, lambda _: " ", everywhere=True)
        self.change(OUTER_BLANKS, lambda _: "", everywhere=True)

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


KINDS_OF_PART = "chapter|part|book|volume|act|scene|war|phase|mark|class|type|level|episode"
RULERS = "king|queen|pope|emperor|empress|tsar|tsarina|czar|kaiser|sultan"
PRONOUN = re.compile(
    r"(?<!\w)(?<!\w['\u2019])I"
    r"(?=(?:['\u2019](?:MMA|MA|M|LL|VE|DN|D)(?:['\u2019](?:VE|A|T))*)?"
    r"(?![\w\u0300-\u036f]|['\u2019]\w))",
    re.IGNORECASE,
)
INITIAL = re.compile(
    r"(?<=(?<![\w'\u2019])[^\W\d]\.)I(?=\.)"  # the last of A.I.
    r"|(?<=(?<![\w'\u2019])[^\W\dI]\. )I(?=\.)"  # A. I. Smith
    r"|I(?=\.[^\W\d]\.|\. [^\W\dI]\.)"  # I.Q., I. A. Smith
    r"|^I(?=\. [^.!?\u2026]+$)"  # I. Smith, as a name or a heading
)
NUMERAL = re.compile(
    rf"\b(?:(?:{KINDS_OF_PART})[\s-]|(?:{RULERS})\s\w+\s)I(?=[.,:;!?)\"\u201d\u2019]|\s*$)"
    r"|\bworld war I\b",
    re.IGNORECASE,
)
NUMERAL_AS_WRITTEN = re.compile(
    rf"(?<=[^\W_][ ,] )(?:{KINDS_OF_PART.title()}) I\b|(?<=[^\W_] )(?:{KINDS_OF_PART.title()}) I\b"
)
OTHER_I = re.compile(r"I(?=-(?:\d|BEAM)|(?:-I)+\w)", re.IGNORECASE)
"""I-80, an I-beam, and the stammer of a word that begins with I (I-it)."""


def barred_letters(text: str, language: str, as_written: str = "") -> list[int]:
    """Where the letter I carries bars: the English pronoun only.

    I, I'm, I'll, I've and I'd, with any apostrophe, also within quotes. A letter I inside a word,
    among a name's initials, or as a numeral is plain. `as_written` is the text before the capitals,
    of the same length, where it is known: it tells "in Chapter I we" from "the chapter I wrote".
    What no rule can tell (Henry I) is taken for the pronoun.

    >>> barred_letters("I SAID I'LL SIT IN PART I.", "en")
    [0, 7]
    """
    if base_language(language) != "en":
        return []
    plain = {found.start() for rule in (INITIAL, OTHER_I) for found in rule.finditer(text)}
    plain |= {found.end() - 1 for found in NUMERAL.finditer(text)}
    if len(as_written) == len(text):
        plain |= {found.end() - 1 for found in NUMERAL_AS_WRITTEN.finditer(as_written)}
    return [
        found.start()
        for found in PRONOUN.finditer(text)
        if found.start() not in plain and text[found.start()] == "I"
    ]
