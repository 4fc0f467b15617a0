"""Where a line may end: the Unicode line breaking algorithm (UAX #14), and the trade's own rules.

The algorithm is ICU's. On top of it, deliberately:
- a double dash, a dash, dots and a slash allow a break after them, never before;
- punctuation runs such as ?! or @#$%! are never split;
- a hyphen allows a break only between whole words, so that a stammer (W-WAIT) stays together;
- a word is never split from the mark that follows it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from icu4py.breakers import CharacterBreaker, LineBreaker

from letterer import craft

TRAILERS = re.compile(r"--|[\u2014\u2026/]|\.\.\.")
SYMBOL_RUN = re.compile(r"[^\w\s]{2,}")
LETTERS_BEFORE = re.compile(r"[^\W\d_]+$")
LETTERS_AFTER = re.compile(r"[^\W\d_]+")


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
    return [end for _, end in LineBreaker(text, language).segments()]


def pieces(text: str, language: str = "en") -> tuple[Piece, ...]:
    """The unbreakable pieces of a text, in order, by UAX #14 and the trade's rules.

    >>> [("WAIT--BUT @#$%! NO")[p.start:p.end] for p in pieces("WAIT--BUT @#$%! NO")]
    ['WAIT--', 'BUT', '@#$%!', 'NO']
    """
    allowed = {at for at in break_opportunities(text, language) if _kept(text, at)}
    allowed |= set(_after_trailers(text))
    allowed.add(len(text))
    found: list[Piece] = []
    start = 0
    for at in sorted(allowed):
        whole = text[start:at]
        word = whole.rstrip()
        if word:
            gap = whole[len(word) :]
            found.append(Piece(start, start + len(word), bool(gap), "\n" in gap))
        elif found and "\n" in whole:
            last = found[-1]
            found[-1] = Piece(last.start, last.end, last.spaced, True)
        start = at
    return tuple(found)


def clusters(text: str) -> list[tuple[int, int]]:
    """The grapheme clusters of a text (UAX #29), as start and end."""
    if text.isascii():
        return [(at, at + 1) for at in range(len(text))]
    return list(CharacterBreaker(text, "en").segments())


def _kept(text: str, at: int) -> bool:
    """Whether the trade keeps a break that UAX #14 allows."""
    before, after = text[:at], text[at:]
    if at in (0, len(text)) or before[-1].isspace():
        return True
    if not _is_word_char(before[-1]) and not _is_word_char(after[0]):
        return False
    if before[-1] in "-\u2010" and not before.endswith("--"):
        left, right = LETTERS_BEFORE.search(before[:-1]), LETTERS_AFTER.match(after)
        fewest = craft.TWIN_LETTERS_BEFORE_HYPHEN
        return bool(left and right) and all(
            len(side.group()) >= fewest for side in (left, right) if side
        )
    in_symbols = any(found.start() < at < found.end() for found in SYMBOL_RUN.finditer(text))
    return not in_symbols


def _after_trailers(text: str) -> list[int]:
    """Places after a dash, dots or a slash where a word goes on at once."""
    return [
        found.end()
        for found in TRAILERS.finditer(text)
        if found.end() < len(text)
        and found.start() > 0
        and _is_word_char(text[found.end()])
        and _is_word_char(text[found.start() - 1])
    ]


def _is_word_char(char: str) -> bool:
    return char.isalnum() or char == "_"
