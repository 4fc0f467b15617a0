"""A unit's words, measured: what the search for lines needs to know, in em.

The words are shaped once as a whole. The width of any stretch follows from sums of advances, which
is right to within kerning at its ends; a line that is to be set is shaped by itself.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.text.breaks import Piece, pieces
from letterer.text.capitals import capitals
from letterer.text.shaping import ShapedLine, Shaper

Floats = NDArray[np.float64]

_WORDS_THAT_LEAN_ON_THE_NEXT = {
    "en": """a an the at by for from in of off on out to up with as and or but nor so if
        I I'm I'll I've I'd we we'll we're we've they they'll they're he he'll he's she she'll
        she's my your his her its our their who it's that than""",
    "fr": """le la les un une des du de à au aux en dans par pour sur sous vers chez sans et ou ni
        mais que qui si ne je tu il elle on nous me te se mon ma mes ton ta tes son sa ses nos vos
        leur leurs ce cet ces""",
    "de": """der die das den dem des ein eine einen einem einer eines kein keine in im an am auf aus
        bei bis für mit nach um von vom vor zu zum zur und oder als wie dass wenn weil ich du er es
        wir man mein meine dein deine sein seine""",
    "es": """el la los las lo un una unos unas de del a al en y e o u con por para sin que si no yo
        tu mi su mis tus sus me te se le les""",
    "it": """il lo la i gli le un uno una di del dello della dei degli delle a al allo alla ai agli
        alle da dal dalla in nel nella nei nelle con per su sul sulla tra fra e ed o che se non mi
        ti si ci io tu mio mia suo sua""",
    "nl": """de het een aan bij door in met naar om op te tot uit van voor en of als dat ik je hij
        ze we mijn""",
    "pt": """o a os as um uma uns umas de do da dos das em no na nos nas ao aos à às por pelo pela
        com sem e ou que se não eu tu meu seu sua""",
    "pl": """w we z ze na do od za po o u i a bez dla nad pod przy przez ku że nie""",
    "tr": """bir bu şu o ve en her hiç""",
    "el": """ο η το οι τα τον την τη τις του της των τους ένας ένα μια στο στη στην στον στα στους
        στις με σε για προς και κι να θα δεν μη μην που ως αν""",
    "ru": """в во на с со к ко о об от до по из за у без для при над под про и а но не ни что""",
    "uk": """в у на з із зі до від по за о об без для при над під про і й та а не ні що""",
    "bg": """в във на с със към от до по за без при над под и а но не да ще се че""",
    "he": """את של על אל עם כי לא כל או""",
}

BAD_ENDS = {
    language: frozenset(capitals(words, language).split())
    for language, words in _WORDS_THAT_LEAN_ON_THE_NEXT.items()
}
"""Articles, one-syllable prepositions, joining words and pronouns that belong to the next word."""

NEAR_CAP_LINE = 0.8
"""Ink that reaches this share of the cap height counts as reaching the cap line."""

CLAUSE_END = re.compile(r"(?:[.,;:!?\u2026\u2014]|--)[\"'\u2019\u201d)]*$")
NOT_LETTERS = re.compile(r"[^\w]", re.UNICODE)


@dataclass(frozen=True)
class SetLine:
    """One line as it is set: pieces `first` to `last` (not included), shaped by itself."""

    first: int
    last: int
    shaped: ShapedLine

    @cached_property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """The outermost corners of its ink, as `ShapedLine.corners`."""
        return self.shaped.corners

    @cached_property
    def half_width(self) -> float:
        """Distance from its optical middle to the farther end of its ink."""
        return self.shaped.half_width


class MeasuredWords:
    """The pieces of a unit with their widths; every length in em.

    `broken` are the words that were broken with a hyphen for want of room.
    """

    def __init__(self, shaper: Shaper, broken: tuple[str, ...] = ()) -> None:
        self.shaper = shaper
        self.broken = broken
        self.text = shaper.text.text
        self.pieces: tuple[Piece, ...] = pieces(self.text, shaper.text.language)
        self.cap = shaper.cap
        self._lines: dict[tuple[int, int], SetLine] = {}

    def __len__(self) -> int:
        return len(self.pieces)

    def word(self, index: int) -> str:
        """The characters of one piece."""
        piece = self.pieces[index]
        return self.text[piece.start : piece.end]

    def leading(self, usual: float) -> float:
        """Baseline to baseline, in em, for a style whose own face has this: the same in caps.

        A face whose capitals are taller needs more, or its lines look crowded.
        """
        return usual * self.cap / self.shaper.usual_cap

    def letters(self, first: int, last: int) -> int:
        """How many letters and digits a stretch of pieces has."""
        stretch = self.text[self.pieces[first].start : self.pieces[last - 1].end]
        return len(NOT_LETTERS.sub("", stretch))

    def words_in(self, first: int, last: int) -> int:
        """How many words, apart by white space, a stretch of pieces has."""
        return 1 + sum(self.pieces[index].spaced for index in range(first, last - 1))

    def breaks_at(self, lines: Sequence[str]) -> tuple[int, ...] | None:
        """Where each line ends, given its words; None when these are not the unit's words.

        Only letters and digits are compared, capitals and small ones alike.
        """
        ends: list[int] = []
        at = 0
        for line in lines:
            wanted, found = bare(line), ""
            while at < len(self.pieces) and len(found) < len(wanted):
                found += bare(self.word(at))
                at += 1
            while at < len(self.pieces) and not bare(self.word(at)):
                at += 1  # a piece without letters stays with the words before it
            if found != wanted or (ends and at == ends[-1]) or not at:
                return None
            ends.append(at)
        spanned = zip((0, *ends[:-1]), ends, strict=True)
        if at < len(self.pieces) or any(
            self.pieces[index].forced for first, last in spanned for index in range(first, last - 1)
        ):
            return None
        return tuple(ends)

    def line(self, first: int, last: int) -> SetLine:
        """The pieces from `first` to `last` (not included) shaped as one line; made once."""
        known = self._lines.get((first, last))
        if known is None:
            shaped = self.shaper.line(self.pieces[first].start, self.pieces[last - 1].end)
            known = self._lines[first, last] = SetLine(first, last, shaped)
        return known

    @cached_property
    def half_widths(self) -> Floats:
        """Half the width of pieces i to j as a line: entry [i, j], infinite where they cannot be.

        Measured from the optical middle to the farther end of the ink.
        """
        left, right = self._ends_of_ink
        width = right[None, :] - left[:, None]
        halves = np.full((len(self.pieces), len(self.pieces) + 1), np.inf)
        halves[:, 1:] = width / 2 + np.abs(self._leans)
        return self._possible(halves)

    @cached_property
    def letter_half_widths(self) -> tuple[Floats, Floats]:
        """The same to the farther end of the letters only, near the cap line and near the baseline.

        Hanging marks are low or high and small, so the oval may cut the corner beside them.
        """
        tops, bottoms = self._letter_ends
        middle = (self._ends_of_ink[0][:, None] + self._ends_of_ink[1][None, :]) / 2 + self._leans
        found = []
        for left, right in (tops, bottoms):
            halves = np.full((len(self.pieces), len(self.pieces) + 1), np.inf)
            halves[:, 1:] = np.maximum(right[None, :] - middle, middle - left[:, None])
            found.append(self._possible(halves))
        return found[0], found[1]

    @cached_property
    def least_total_half_widths(self) -> Floats:
        """Entry k - 1: no breaking into k lines has lines of less half-width together.

        The ink of all the words, less the widest gaps between pieces, one for each break.
        """
        left, right = self._ends_of_ink
        gaps = np.sort(np.maximum(left[1:] - right[:-1], 0.0))[::-1]
        lost = np.concatenate([[0.0], np.cumsum(gaps)])
        return np.asarray((right[-1] - left[0] - lost) / 2)

    @cached_property
    def _alone(self) -> list[ShapedLine]:
        """Each piece shaped by itself."""
        return [self.shaper.line(piece.start, piece.end) for piece in self.pieces]

    @cached_property
    def beyond(self) -> float:
        """How far ink reaches above the cap line (accents) or below the baseline at most."""
        inks = [shaped.ink for shaped in self._alone]
        return max((max(-ink.top - self.cap, ink.bottom) for ink in inks), default=0.0)

    @cached_property
    def _origins(self) -> Floats:
        """Where the pen stands at the start of each piece, the text on one endless line."""
        advance = self.shaper.advances()
        return np.array([advance[piece.start] for piece in self.pieces])

    @cached_property
    def _ends_of_ink(self) -> tuple[Floats, Floats]:
        """Left and right end of each piece's ink on that line."""
        left = self._origins + np.array([shaped.ink.left for shaped in self._alone])
        right = self._origins + np.array([shaped.ink.right for shaped in self._alone])
        return left, right

    @cached_property
    def _letter_ends(self) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
        """Left and right end of each piece's letters near the cap line, and near the baseline."""
        spans = np.array([_letter_span(shaped, self.cap) for shaped in self._alone])
        ends = self._origins[:, None] + spans
        return (ends[:, 0], ends[:, 1]), (ends[:, 2], ends[:, 3])

    @cached_property
    def _leans(self) -> Floats:
        """How far the optical middle of pieces i to j lies right of the middle of their ink."""
        left = np.array([shaped.hang_left for shaped in self._alone])
        right = np.array([shaped.hang_right for shaped in self._alone])
        return np.asarray(craft.HANGING_SHARE / 2 * (left[:, None] - right[None, :]))

    def _possible(self, table: Floats) -> Floats:
        """A table [i, j] made infinite where j does not follow i, or a forced break lies in it."""
        table[:, 1:][np.tril_indices(len(self.pieces), -1)] = np.inf
        for index, piece in enumerate(self.pieces):
            if piece.forced:
                table[: index + 1, index + 2 :] = np.inf
        return table

    @cached_property
    def fewest_lines(self) -> int:
        """The least number of lines that the writer's own line breaks leave."""
        return 1 + sum(piece.forced for piece in self.pieces[:-1])

    @cached_property
    def end_costs(self) -> Floats:
        """What it costs to end a line before piece j (entry j); 0 at the text's end."""
        language = self.shaper.text.language.split("-")[0].casefold()
        bad = BAD_ENDS.get(language, frozenset())
        costs = np.zeros(len(self.pieces) + 1)
        for index in range(len(self.pieces) - 1):
            word = self.word(index)
            if self.pieces[index].forced:
                continue
            large = word if word.isupper() else capitals(word, language)
            if large.replace("\u2019", "'").strip('"\u201c\u2018(<') in bad:
                costs[index + 1] = craft.COST_BAD_END
            elif CLAUSE_END.search(word):
                costs[index + 1] = craft.COST_PHRASE_BREAK
            elif not self.pieces[index].spaced:
                costs[index + 1] = craft.COST_INSIDE_WORD
        return costs

    @cached_property
    def first_line_costs(self) -> Floats:
        """What it costs that the first line ends before piece j: a lone word."""
        costs = np.zeros(len(self.pieces) + 1)
        for last in range(1, len(self.pieces)):
            if self.pieces[last - 1].forced:
                continue
            if self.words_in(0, last) > 1:
                break
            costs[last] = self._lone_cost(0, last)
            if not costs[last] and not CLAUSE_END.search(self.word(last - 1)):
                costs[last] = craft.COST_LONE_FIRST_WORD
        return costs

    @cached_property
    def last_line_costs(self) -> Floats:
        """What it costs that the last line begins with piece i: a lone word."""
        count = len(self.pieces)
        costs = np.zeros(count)
        for first in range(count - 1, 0, -1):
            if self.pieces[first - 1].forced:
                continue
            if self.words_in(first, count) > 1:
                break
            costs[first] = self._lone_cost(first, count) or craft.COST_LONE_WORD
        return costs

    def _lone_cost(self, first: int, last: int) -> float:
        """What it costs that one word is a line by itself, if it is short."""
        short = self.letters(first, last) < craft.LONE_WORD_LETTERS
        return craft.COST_LONE_SHORT_WORD if short else 0.0


def bare(text: str) -> str:
    """The letters and digits of a text, without capitals and accents."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(char for char in plain if char.isalnum())


def _letter_span(shaped: ShapedLine, cap: float) -> tuple[float, float, float, float]:
    """Ends of a piece's letters: left and right near the cap line, then near the baseline.

    A piece without letters there (dots, a dash) counts as a point at its own middle.
    """
    spans: list[float] = []
    for tall in (
        [box for box in shaped.inked if box.top <= -NEAR_CAP_LINE * cap],
        [box for box in shaped.inked if box.bottom >= -(1 - NEAR_CAP_LINE) * cap],
    ):
        middle = (shaped.ink.left + shaped.ink.right) / 2
        spans.append(min((box.left for box in tall), default=middle))
        spans.append(max((box.right for box in tall), default=middle))
    return spans[0], spans[1], spans[2], spans[3]
