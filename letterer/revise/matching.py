"""Which unit of the script each placement of a layout belongs to, whatever their numbers say.

1. Words that occur once in both, and are the same, are anchors; those that keep their order (the
   heaviest such chain, as in patience diff) cut the book into stretches.
2. `homes` says from the anchors which old page and panel became which.
3. Each stretch is aligned in order by likeness (`align`), with splits and joins; a unit that is
   still in its panel may have all new words. Steps 2 and 3 are done twice, the second time from all
   that was found.
4. What is left over may have moved: it is paired by likeness, the likest first (the stable matching
   of Gale & Shapley 1962, where both sides rank alike).

Nothing is guessed silently: a pair that something else nearly beats is marked unsure.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from letterer.model.script import Script, Unit
from letterer.revise.align import Floats, Shape, aligned, heaviest_rise
from letterer.revise.homes import Book, Homes, PanelKey, Place, homes
from letterer.revise.likeness import Bags, Counts, folded, likenesses

SAME_WORDS, AT_HOME, NEEDED = 0.3, 0.5, 0.35
"""A pair is worth its likeness, more for the very same words and for the same panel, less what it
must be worth to be better than none."""

LIKE_ELSEWHERE = 0.45
"""In another panel, a pair is at least so alike."""

UNKNOWN_WORDS = 0.35
"""The likeness of a placement that does not say its words to any unit."""

SAME_PLACE = 0.04
"""What the same number within the panel is worth: it decides between equals only."""

SAME_SIGNS = 0.16
"""What the same capitals and punctuation are worth: they tell "No." from "No!"."""

JOINED_LIKE, JOINED_GAIN = 0.5, 0.02
"""A split or a join is at least so alike as a whole, and so much more than any part of it."""

SURE_MARGIN = 0.12
"""Less of an advantage over the next best is unsure."""

MOVED_LIKE, MOVED_MARGIN = 0.55, 0.15
"""Words that moved are at least so alike, and so much more than anything else that is left."""

FEW_LETTERS = 12
"""Shorter words may well come twice by chance: out of order they are no anchor."""

MOST_JOINED = 3
TABLE_MOST = 60_000
"""Stretches with more pairs than this are compared page by page: a long book without a line alike,
or a layout of another book."""


LEFT_MOST = 1_000_000
"""Beyond so many pairs of what is left over, nothing is looked for out of order."""


@dataclass(frozen=True, slots=True)
class Old:
    """A placement as the matching sees it. `words` is None where the layout does not say."""

    page: int
    panel: int
    number: int
    words: str | None

    @property
    def home(self) -> PanelKey:
        """Its page and panel."""
        return self.page, self.panel


@dataclass(frozen=True, slots=True)
class Pair:
    """Old units that became new ones, by their places in the two lists.

    One with one, one with several (a split) or several with one (a join). `likeness` is 0 to 1,
    `moved` says that it was found out of order. `sure` is False where something else is nearly as
    good; `rival` is that, as old and new units, where it is not simply to leave them alone.
    """

    old: tuple[int, ...]
    new: tuple[int, ...]
    likeness: float
    sure: bool = True
    moved: bool = False
    rival: tuple[tuple[int, ...], tuple[int, ...]] | None = None


@dataclass(frozen=True, slots=True)
class Matching:
    """All pairs in the order of the script, and the homes of pages and panels.

    `gone` are old units without a partner, `fresh` new ones.
    """

    pairs: tuple[Pair, ...]
    gone: tuple[int, ...]
    fresh: tuple[int, ...]
    homes: Homes


def match(olds: Sequence[Old], panels: Mapping[int, Sequence[int]], script: Script) -> Matching:
    """Match placements, in reading order, with the units of a script.

    `panels` are the numbers of the panels that the layout has on each of its pages.
    """
    return _Matcher(olds, panels, script).matched()


class _Matcher:
    """One matching: the two lists, and what is known of them."""

    def __init__(
        self, olds: Sequence[Old], panels: Mapping[int, Sequence[int]], script: Script
    ) -> None:
        self.olds, self.news = olds, script.units
        self.old_folds = [None if old.words is None else folded(old.words) for old in olds]
        self.new_folds = [folded(unit.words) for unit in self.news]
        self.old_book = _old_book(olds, panels)
        self.new_book: Book = {
            page.number: {
                panel.number: _place(panel.number, [unit.words for unit in panel.units])
                for panel in page.panels
            }
            for page in script.pages
        }

    def matched(self) -> Matching:
        """The whole of it."""
        chain, strays = self._anchors()
        anchors = [Pair((i,), (j,), 1.0) for i, j in chain]
        anchors += [Pair((i,), (j,), 1.0, moved=True) for i, j in strays]
        found = anchors
        for _ in range(2):
            self.homes = homes(self.old_book, self.new_book, self._votes(found))
            found = anchors + self._in_order(chain, strays)
        moved = self._moved(found)
        self.homes = homes(self.old_book, self.new_book, self._votes(found + moved))
        # A page that changed places is aligned with its home: that tells its repeated lines apart.
        found = found + self._page_by_page(*self._left(found))
        pairs = found + self._moved(found)
        pairs.sort(key=lambda pair: (pair.new, pair.old))
        old = {index for pair in pairs for index in pair.old}
        new = {index for pair in pairs for index in pair.new}
        gone = tuple(index for index in range(len(self.olds)) if index not in old)
        fresh = tuple(index for index in range(len(self.news)) if index not in new)
        return Matching(tuple(pairs), gone, fresh, self.homes)

    def _anchors(self) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
        """Pairs of words that occur once in both: those in order, and long ones out of order."""
        old_counts, new_counts = Counter(self.old_folds), Counter(self.new_folds)
        at = {words: index for index, words in enumerate(self.new_folds)}
        both = [
            (index, at[words])
            for index, words in enumerate(self.old_folds)
            if words is not None and old_counts[words] == 1 and new_counts[words] == 1
        ]
        weights = [len(self.new_folds[j]) + 1.0 for _, j in both]
        rising = heaviest_rise([j for _, j in both], weights)
        chain = [both[index] for index in rising]
        strays = [pair for index, pair in enumerate(both) if index not in set(rising)]
        return chain, [pair for pair in strays if len(self.new_folds[pair[1]]) >= FEW_LETTERS]

    def _votes(self, pairs: Sequence[Pair]) -> dict[tuple[PanelKey, PanelKey], int]:
        votes: dict[tuple[PanelKey, PanelKey], int] = {}
        for pair in pairs:
            if pair.likeness < (MOVED_LIKE if pair.sure else 1.0):
                continue
            for i in pair.old:
                for j in pair.new:
                    key = (self.olds[i].home, _home(self.news[j]))
                    letters = min(len(self.old_folds[i] or ""), len(self.new_folds[j])) + 1
                    votes[key] = votes.get(key, 0) + letters
        return votes

    def _in_order(
        self, chain: Sequence[tuple[int, int]], strays: Sequence[tuple[int, int]]
    ) -> list[Pair]:
        """Pairs found between the anchors."""
        out_old, out_new = {i for i, _ in strays}, {j for _, j in strays}
        ends = [*chain, (len(self.olds), len(self.news))]
        found: list[Pair] = []
        i = j = 0
        for next_i, next_j in ends:
            stretch_old = [at for at in range(i, next_i) if at not in out_old]
            stretch_new = [at for at in range(j, next_j) if at not in out_new]
            if stretch_old and stretch_new:
                found += self._stretch(stretch_old, stretch_new)
            i, j = next_i + 1, next_j + 1
        return found

    def _stretch(self, olds: Sequence[int], news: Sequence[int]) -> list[Pair]:
        if len(olds) * len(news) > TABLE_MOST:
            return self._page_by_page(olds, news)
        bags = Bags([self.old_folds[i] or "" for i in olds], [self.new_folds[j] for j in news])
        alike, values = self._values(olds, news, bags)
        found = []
        for step in aligned(values, len(olds), len(news)):
            one, other = tuple(olds[at] for at in step.old), tuple(news[at] for at in step.new)
            like = float(alike[len(one), len(other)][step.old.start, step.new.start])
            sure = step.margin >= SURE_MARGIN
            rival = None
            if step.rival is not None and not sure:
                rival = (
                    tuple(olds[at] for at in step.rival[0]),
                    tuple(news[at] for at in step.rival[1]),
                )
            found.append(Pair(one, other, like, sure, rival=rival))
        return found

    def _page_by_page(self, olds: Sequence[int], news: Sequence[int]) -> list[Pair]:
        """A stretch that is too long to be compared as a whole: each page with its own home."""
        found: list[Pair] = []
        for page in dict.fromkeys(self.olds[i].page for i in olds):
            home = self.homes.pages.get(page)
            one = [i for i in olds if self.olds[i].page == page]
            other = [j for j in news if self.news[j].page == home]
            if other and len(one) * len(other) <= TABLE_MOST:
                found += self._stretch(one, other)
        return found

    def _values(
        self, olds: Sequence[int], news: Sequence[int], bags: Bags
    ) -> tuple[dict[Shape, Floats], dict[Shape, Floats]]:
        """Likenesses and values of all steps between two stretches."""
        single = likenesses(bags.olds, bags.news)
        unknown = np.array([self.old_folds[i] is None for i in olds])
        single[unknown] = UNKNOWN_WORDS
        at_home, same, spelled, at_place = (np.zeros_like(single) for _ in range(4))
        for row, i in enumerate(olds):
            home = self.homes.panels.get(self.olds[i].home, self.olds[i].home)
            for column, j in enumerate(news):
                at_home[row, column] = home == _home(self.news[j])
                same[row, column] = self.old_folds[i] == self.new_folds[j]
                spelled[row, column] = self.olds[i].words == self.news[j].words
                at_place[row, column] = (
                    at_home[row, column] and self.olds[i].number == self.news[j].number
                )
        value = single + SAME_WORDS * same + AT_HOME * at_home - NEEDED
        value += SAME_SIGNS * spelled + SAME_PLACE * at_place
        value[(at_home == 0) & (single < LIKE_ELSEWHERE)] = 0.0
        alike: dict[Shape, Floats] = {(1, 1): single}
        values: dict[Shape, Floats] = {(1, 1): value}
        for count in range(2, MOST_JOINED + 1):
            if len(news) >= count:
                joined = _joined(bags.news, count)
                inner = [
                    alike[1, k][:, s : s + joined.shape[0]]
                    for k in range(1, count)
                    for s in range(count - k + 1)
                ]
                alike[1, count] = likenesses(bags.olds, joined)
                values[1, count] = _joint(alike[1, count], inner, at_home[:, : joined.shape[0]])
                values[1, count][unknown] = 0.0
            if len(olds) >= count:
                joined = _joined(bags.olds, count)
                inner = [
                    alike[k, 1][s : s + joined.shape[0]]
                    for k in range(1, count)
                    for s in range(count - k + 1)
                ]
                alike[count, 1] = likenesses(joined, bags.news)
                values[count, 1] = _joint(alike[count, 1], inner, at_home[: joined.shape[0]])
                for start in range(joined.shape[0]):
                    if unknown[start : start + count].any():
                        values[count, 1][start] = 0.0
        return alike, values

    def _left(self, found: Sequence[Pair]) -> tuple[list[int], list[int]]:
        """The old and the new units that have no partner yet."""
        used_old = {index for pair in found for index in pair.old}
        used_new = {index for pair in found for index in pair.new}
        return (
            [index for index in range(len(self.olds)) if index not in used_old],
            [index for index in range(len(self.news)) if index not in used_new],
        )

    def _moved(self, found: Sequence[Pair]) -> list[Pair]:
        """Pairs among what the order left over, the likest first."""
        olds, news = self._left(found)
        olds = [index for index in olds if self.old_folds[index] is not None]
        if not olds or not news or len(olds) * len(news) > LEFT_MOST:
            return []
        bags = Bags([self.old_folds[i] or "" for i in olds], [self.new_folds[j] for j in news])
        alike = likenesses(bags.olds, bags.news)
        pairs: list[Pair] = []
        left = alike + SAME_SIGNS * np.array(
            [[self.olds[i].words == self.news[j].words for j in news] for i in olds]
        )
        left[alike < MOVED_LIKE] = 0.0
        while left.size and left.max() >= MOVED_LIKE:
            row, column = (int(at) for at in np.unravel_index(int(left.argmax()), left.shape))
            best = float(left[row, column])
            others = np.concatenate([np.delete(left[row], column), np.delete(left[:, column], row)])
            margin = best - float(others.max(initial=0.0))
            like, sure = float(alike[row, column]), margin >= MOVED_MARGIN
            pair = Pair((olds[row],), (news[column],), like, sure, moved=True)
            pairs.append(pair)
            left[row, :] = left[:, column] = -1.0
        return pairs


def _joined(bags: Counts, count: int) -> Counts:
    """The bags of `count` neighbours together, from each place where they begin."""
    rows = bags.shape[0] - count + 1
    total: Counts = bags[:rows].copy()
    for more in range(1, count):
        total += bags[more : more + rows]
    return total


def _joint(whole: Floats, parts: Sequence[Floats], at_home: Floats) -> Floats:
    """What splits or joins are worth: nothing where one part alone is as good."""
    best = np.maximum.reduce(list(parts))
    value = whole + AT_HOME * at_home - NEEDED
    value[(whole < JOINED_LIKE) | (whole < best + JOINED_GAIN)] = 0.0
    return np.asarray(value)


def _old_book(olds: Sequence[Old], panels: Mapping[int, Sequence[int]]) -> Book:
    words: dict[int, dict[int, list[str]]] = {
        page: {panel: [] for panel in numbers} for page, numbers in panels.items()
    }
    for old in olds:
        words.setdefault(old.page, {}).setdefault(old.panel, []).append(old.words or "")
    return {
        page: {number: _place(number, said) for number, said in sorted(inner.items())}
        for page, inner in words.items()
    }


def _place(number: int, words: Sequence[str]) -> Place:
    return Place(number, len(words), sum(len(folded(said)) + 1 for said in words))


def _home(unit: Unit) -> PanelKey:
    return unit.page, unit.panel
