"""Words broken with a hyphen: only those that fit no line of their room, even at the smallest size.

Where a word may be broken is told by the patterns of its language (the package pyphen, after F. M.
Liang, "Word Hy-phen-a-tion by Com-put-er", 1983); where they say nothing, or not enough, it is
broken between two letters, accents staying with theirs. The hyphen becomes part of the text, with
a line's end after it, so that it is shaped and measured like any other sign.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from letterer import craft
from letterer.fit.breaking import Breaks
from letterer.fit.candidates import Candidate
from letterer.fit.measure import MeasuredWords, bare
from letterer.text.breaks import Piece, clusters
from letterer.text.tradition import DressedText

if TYPE_CHECKING:
    from pyphen import Pyphen

TooWide = Callable[[float], bool]
"""Whether a line of this half-width, in em, fits nowhere in the room."""

PARTS_MOST = 6
WAYS_MOST = 500
"""So many parts of a word at most, and so many ways to break it, are looked at."""

JUST_LESS = 1e-6
HYPHENS = ("-", "\u2010")


def hyphenated(words: MeasuredWords, too_wide: TooWide) -> MeasuredWords | None:
    """The words with every word that is too wide broken; None where there is none, or no way.

    Text that reads from right to left has joined letters and no hyphens: it is left whole.
    """
    if words.shaper.runs_from_right:
        return None
    cuts: list[int] = []
    broken: list[str] = []
    for index, piece in enumerate(words.pieces):
        if not too_wide(float(words.half_widths[index, index + 1])):
            continue
        found = _cuts(words, index, too_wide)
        if found:
            cuts += [piece.start + at for at in found]
            broken.append(_without_signs(words.word(index)))
    if not cuts:
        return None
    text = words.shaper.text.broken_at(cuts)
    return MeasuredWords(words.shaper.for_text(text), tuple(broken))


def as_kept(words: MeasuredWords, lines: Sequence[str]) -> tuple[MeasuredWords, Breaks] | None:
    """The words of lines that were kept, and where each line ends; None when these are not they.

    A word that the lines break with a hyphen is broken there again.
    """
    breaks = words.breaks_at(lines)
    if breaks is not None:
        return words, breaks
    cuts = _kept_cuts(words, lines)
    if not cuts or words.shaper.runs_from_right:
        return None
    cut = [words.word(at) for at, piece in enumerate(words.pieces) if _cuts_in(piece, cuts)]
    text = words.shaper.text.broken_at(cuts)
    broken = MeasuredWords(words.shaper.for_text(text), tuple(map(_without_signs, cut)))
    breaks = broken.breaks_at(lines)
    return None if breaks is None else (broken, breaks)


def _kept_cuts(words: MeasuredWords, lines: Sequence[str]) -> list[int]:
    """Where in the text a line that ends with a hyphen ends inside of a piece, between letters."""
    text, cuts = words.text, []
    letters = list(itertools.accumulate(len(bare(char)) for char in text))
    said = 0
    for line in lines[:-1]:
        said += len(bare(line))
        if not line.rstrip().endswith(HYPHENS) or said not in letters:
            continue
        at = letters.index(said) + 1
        between = text[at - 1 : at + 1]
        if len(between) == 2 and all(char.isalnum() for char in between):
            cuts.append(at)
    return [at for at in cuts if any(_cuts_in(piece, [at]) for piece in words.pieces)]


def _cuts_in(piece: Piece, cuts: Sequence[int]) -> bool:
    return any(piece.start < at < piece.end for at in cuts)


def better_fitting(broken: list[Candidate], whole: list[Candidate]) -> list[Candidate]:
    """The candidates with broken words, but only where these stick out less than the whole ones."""
    return broken if sum(broken[0].overflow) < sum(whole[0].overflow) - JUST_LESS else whole


def _without_signs(word: str) -> str:
    """A word without the signs before and after it."""
    solid = [at for at, char in enumerate(word) if char.isalnum()]
    return word[solid[0] : solid[-1] + 1] if solid else word


def _cuts(words: MeasuredWords, index: int, too_wide: TooWide) -> tuple[int, ...]:
    """Where one word is broken, counted from its start: into the fewest parts, most alike."""
    word = words.word(index)
    places = allowed_places(word, words.shaper.text.language)
    for some in (places, letter_places(word)):
        found = _fewest(words, index, some, too_wide)
        if found:
            return found
    return ()


def _fewest(
    words: MeasuredWords, index: int, places: Sequence[int], too_wide: TooWide
) -> tuple[int, ...]:
    start = words.pieces[index].start
    advances = words.shaper.advances()
    hyphen = words.shaper.for_text(DressedText("-", words.shaper.text.language)).line(0, 1).advance
    ends = [0, *places, len(words.word(index))]
    pen = [advances[start + at] for at in ends]
    last = len(ends) - 1

    def half(first: int, end: int) -> float:
        return (pen[end] - pen[first] + (hyphen if end < last else 0.0)) / 2

    for parts in range(2, min(PARTS_MOST, last) + 1):
        best: tuple[float, tuple[int, ...]] | None = None
        ways = itertools.combinations(range(1, last), parts - 1)
        for way in itertools.islice(ways, WAYS_MOST):
            halves = [half(*pair) for pair in itertools.pairwise((0, *way, last))]
            uneven = sum(each * each for each in halves)
            if not too_wide(max(halves)) and (best is None or (uneven, way) < best):
                best = (uneven, way)
        if best is not None:
            return tuple(ends[at] for at in best[1])
    return ()


def allowed_places(word: str, language: str) -> tuple[int, ...]:
    """Where the patterns of a language let a word be broken; none for a language without any.

    Signs round the word do not count. Breaks that would change its letters are left out.

    >>> allowed_places("\u201cEXTRAORDINARILY!", "en")
    (3, 11, 13)
    >>> allowed_places("OLAĞANÜSTÜ", "tr")
    ()
    """
    patterns = _patterns(language.replace("-", "_"))
    letters = [at for at, char in enumerate(word) if char.isalpha()]
    if patterns is None or not letters:
        return ()
    first, end = letters[0], letters[-1] + 1
    small = word[first:end].lower()
    if len(small) != end - first:
        return ()
    found = (first + int(at) for at in patterns.positions(small) if at.data is None)
    before, after = craft.HYPHEN_LETTERS_BEFORE, craft.HYPHEN_LETTERS_AFTER
    return tuple(at for at in found if first + before <= at <= end - after)


def letter_places(word: str) -> tuple[int, ...]:
    """Places between two letters or figures, accents kept with theirs.

    >>> letter_places("(AÇIKÇA)")
    (3, 4)
    """
    solid = [char.isalnum() for char in word]
    if True not in solid:
        return ()
    first, end = solid.index(True), len(solid) - solid[::-1].index(True)
    starts = [start for start, _ in clusters(word)]
    before, after = craft.HYPHEN_LETTERS_BEFORE, craft.HYPHEN_LETTERS_AFTER
    inside = [at for at in starts if first < at < end]
    return tuple(
        at for at in inside if at - first >= before and end - at >= after and word[at - 1] != "-"
    )


@lru_cache(maxsize=8)
def _patterns(language: str) -> Pyphen | None:
    import pyphen

    known = pyphen.language_fallback(language)
    return pyphen.Pyphen(lang=known) if known else None
