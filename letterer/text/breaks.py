"""Where a line may end: the Unicode line breaking algorithm (UAX #14), and the trade's own rules.

The algorithm is ICU's. On top of it, deliberately:
- a double dash, a dash, dots and a slash allow a break after them, never before, and none when they
  open a word; a slash between figures (24/7) allows none;
- punctuation runs such as ?! or @#$%! are never split;
- a hyphen allows a break only between whole words, so that a stammer (W-WAIT) stays together;
- a soft hyphen allows none: words are not hyphenated.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from itertools import accumulate

from icu4py.breakers import CharacterBreaker, LineBreaker

from letterer import craft

TRAILERS = re.compile(r"-{2,}|[\u2013\u2014]+|\u2026+|\.{3,}|/")
SPACED_TRAILER = re.compile(
    r"(?<=\S)[^\S\n]+(?=(?:-{2,}|[\u2013\u2014]+|\u2026+|\.{3,}|/)(?:\s|$))"
)
SYMBOL_RUN = re.compile(r"[^\w\s\u200b]{2,}")
HALF_A_PAIR = re.compile("[\ud800-\udfff]")
CLOSING = ("Po", "Pe", "Pf")
OPENING = ("Ps", "Pi")
HYPHENS = "-\u2010"
SOFT_HYPHEN = "\u00ad"
VOWELS = frozenset("aeiouy")


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of text that no line break may split.

    `start` to `end` are its characters, without the white space that follows it. `spaced` says that
    white space follows; `forced` that the line ends here, as the writer wished.
    """

    start: int
    end: int
    spaced: bool
    forced: bool


def break_opportunities(text: str, language: str = "en") -> list[int]:
    """Indices at which a line may begin, by UAX #14 alone; the last is the text's length."""
    if not text:
        return []
    return [end for _, end in _segments(LineBreaker(_for_icu(text), language), text)]


def pieces(text: str, language: str = "en") -> tuple[Piece, ...]:
    """The unbreakable pieces of a text, in order, by UAX #14 and the trade's rules.

    >>> [("WAIT--BUT @#$%! NO")[p.start:p.end] for p in pieces("WAIT--BUT @#$%! NO")]
    ['WAIT--', 'BUT', '@#$%!', 'NO']
    """
    barred = _never(text)
    allowed = {
        at for at in break_opportunities(text, language) if at not in barred and _kept(text, at)
    }
    allowed |= _after_trailers(text)
    allowed.add(len(text))
    found: list[Piece] = []
    start = 0
    for at in sorted(allowed):
        whole = text[start:at]
        word = whole.rstrip()
        if word:
            gap = whole[len(word) :]
            found.append(Piece(start, start + len(word), bool(gap), "\n" in gap))
        elif found and whole:
            last = found[-1]
            found[-1] = Piece(last.start, last.end, True, last.forced or "\n" in whole)
        start = at
    return tuple(found)


def clusters(text: str) -> list[tuple[int, int]]:
    """The grapheme clusters of a text (UAX #29), as start and end."""
    if text.isascii() and "\r" not in text:
        return [(at, at + 1) for at in range(len(text))]
    return _segments(CharacterBreaker(_for_icu(text), "en"), text)


def _for_icu(text: str) -> str:
    """The text with a stand-in for each half of a surrogate pair, which ICU cannot be given."""
    return HALF_A_PAIR.sub("\ufffd", text)


def _segments(breaker: CharacterBreaker | LineBreaker, text: str) -> list[tuple[int, int]]:
    """What ICU finds, counted in characters: ICU counts in units of UTF-16."""
    found = list(breaker.segments())
    if all(char <= "\uffff" for char in text):
        return found
    units = accumulate((1 + (char > "\uffff") for char in text), initial=0)
    place = {unit: at for at, unit in enumerate(units)}
    return [(place[start], place[end]) for start, end in found]


def _never(text: str) -> set[int]:
    """Places where no break is allowed, whatever UAX #14 says."""
    found = {gap.end() for gap in SPACED_TRAILER.finditer(text)}
    for run in SYMBOL_RUN.finditer(text):
        inside = range(run.start() + 1, run.end())
        found |= {at for at in inside if not _opens_wide(text[at])}
    for trailer in TRAILERS.finditer(text):
        if text[: trailer.start()] and not text[trailer.start() - 1].isspace():
            found.add(trailer.start())
        if not _follows_word(text, trailer.start()):
            found.add(trailer.end())
    return found


def _opens_wide(char: str) -> bool:
    """Whether a character is an opening bracket of East Asian width, such as \u300c."""
    return unicodedata.category(char) == "Ps" and unicodedata.east_asian_width(char) == "W"


def _kept(text: str, at: int) -> bool:
    """Whether the trade keeps a break that UAX #14 allows."""
    if at in (0, len(text)) or text[at - 1].isspace():
        return True
    if text[at - 1] in HYPHENS and text[at - 2 : at - 1] != "-":
        before, after = _letters(text, at - 2, -1)[::-1], _letters(text, at, 1)
        if min(len(before), len(after)) < craft.TWIN_LETTERS_BEFORE_HYPHEN:
            return False
        return not _stammered(before, after) and not _crumb(text, at, before, after)
    return text[at - 1] != SOFT_HYPHEN


def _crumb(text: str, at: int, before: str, after: str) -> bool:
    """Whether a break before `at` would leave too few letters of a word's start or its end."""
    fewest = craft.OUTER_LETTERS_BEFORE_HYPHEN
    if before == after or min(len(before), len(after)) >= fewest:
        return False
    begins = not _goes_on_past_hyphen(text, at - 2, -1)
    ends = not _goes_on_past_hyphen(text, at, 1)
    return (begins and len(before) < fewest) or (ends and len(after) < fewest)


def _goes_on_past_hyphen(text: str, at: int, step: int) -> bool:
    """Whether the letters from `at` on, one way or the other, are followed by a hyphen."""
    while 0 <= at < len(text) and (text[at].isalpha() or _is_mark(text[at])):
        at += step
    return 0 <= at < len(text) and text[at] in HYPHENS


def _letters(text: str, at: int, step: int) -> str:
    """The letters that stand in a row from `at`, one way or the other, without their marks."""
    found = []
    while 0 <= at < len(text) and (text[at].isalpha() or _is_mark(text[at])):
        if text[at].isalpha():
            found.append(text[at].casefold())
        at += step
    return "".join(found)


def _stammered(before: str, after: str) -> bool:
    """Whether `before` is the start of `after`, said twice: WH-WHAT, TH-TH-THAT, not HA-HA."""
    if not after.startswith(before):
        return False
    return after != before or not VOWELS & set(before)


def _after_trailers(text: str) -> set[int]:
    """Places after a dash, dots or a slash where a word goes on at once."""
    return {
        found.end()
        for found in TRAILERS.finditer(text)
        if _follows_word(text, found.start())
        and _opens_word(text, found.end())
        and not (
            found.group() == "/"
            and text[found.start() - 1].isdigit()
            and text[found.end()].isdigit()
        )
    }


def _follows_word(text: str, at: int) -> bool:
    """Whether a word, with any marks that close it, stands right before `at`."""
    while at and not text[at - 1].isspace():
        at -= 1
        if _is_word_char(text[at]):
            return True
        if unicodedata.category(text[at]) not in CLOSING:
            return False
    return False


def _opens_word(text: str, at: int) -> bool:
    """Whether a word, with any marks that open it, begins at `at`."""
    while at < len(text) and unicodedata.category(text[at]) in OPENING:
        at += 1
    return at < len(text) and _is_word_char(text[at])


def _is_word_char(char: str) -> bool:
    return char.isalnum() or char == "_" or _is_mark(char)


def _is_mark(char: str) -> bool:
    return unicodedata.category(char)[0] == "M"
