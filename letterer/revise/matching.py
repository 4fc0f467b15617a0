"""Which unit of the script each placement of a layout belongs to, whatever their numbers say.

1. Words that occur once in both, and are the same, are anchors; those that keep their order (the
   heaviest such chain, as in patience diff) cut the book into stretches.
2. `homes` says from the anchors which old page and panel became which.
3. Each stretch is aligned in order by likeness (`align`), with splits and joins; a unit that is
   still in its panel may have all new words. Steps 2 and 3 are done twice, the second time from all
   that was found.
4. What is left over may have moved: it is paired by likeness, the likest first (the stable matching
   of Gale & Shapley 1962, where both sides rank alike).
5. `leftovers` finds neighbours that were exchanged, and parts of splits and joins that stand
   elsewhere, by their very words.

Nothing is guessed silently: a pair that something else nearly beats is marked unsure, and so are
words that are gone where new ones share a rare word with them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np

from letterer.model.script import Script, Unit
from letterer.revise.align import Floats, Shape, aligned, heaviest_rise
from letterer.revise.homes import Book, PanelKey, Place, homes
from letterer.revise.leftovers import Near, certain, crossed, doubted, doubts, with_parts
from letterer.revise.likeness import Bags, Counts, folded, likeness, likenesses
from letterer.revise.pairs import Matching, Old, Pair

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

OTHER_SPEAKER = 0.25
"""What another speaker of the very same words costs, less for words less alike: it tells one "No."
from the next."""

JOINED_LIKE, JOINED_GAIN = 0.5, 0.02
"""A split or a join is at least so alike as a whole, and so much more than any part of it; where a
part begins or ends the whole with its very words, any gain will do."""

ANEW_LIKE = 0.3
"""Less alike, words in the same panel were written anew, which is unsure if the speaker changed."""

SURE_MARGIN = 0.12
"""Less of an advantage over the next best is unsure."""

MOVED_LIKE, MOVED_MARGIN = 0.55, 0.15
"""Words that moved are at least so alike, and so much more than anything else that is left."""

MAY_HAVE_MOVED = 0.4
"""Words that are only so alike may have moved, which is unsure."""

FEW_LETTERS = 12
"""Shorter words may well come twice by chance: out of order they are no anchor."""

MOST_JOINED = 3
TABLE_MOST = 60_000
"""Stretches with more pairs than this are compared page by page: a long book without a line alike,
or a layout of another book."""


LEFT_MOST = 1_000_000
"""Beyond so many pairs of what is left over, nothing is looked for out of order."""


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
        self.old_words = [(words or "").split() for words in self.old_folds]
        self.new_words = [words.split() for words in self.new_folds]
        self.names: dict[str, str] = {}
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
        self.names = self._names([*chain, *strays])
        anchors = [Pair((i,), (j,), 1.0) for i, j in chain]
        anchors += [Pair((i,), (j,), 1.0) for i, j in strays]
        found = anchors
        for _ in range(2):
            self.homes = homes(self.old_book, self.new_book, self._votes(found))
            found = anchors + self._in_order(chain, strays)
        moved = self._moved(found)
        self.homes = homes(self.old_book, self.new_book, self._votes(found + moved))
        # A page that changed places is aligned with its home: that tells its repeated lines apart.
        found = found + self._page_by_page(*self._left(found))
        near = self._near()
        pairs = with_parts(
            crossed(found + self._moved(found), near, self._value),
            self.old_words,
            self.new_words,
        )
        pairs = doubted(certain(pairs, near, self._same), self.new_folds)
        pairs.sort(key=lambda pair: (pair.new, pair.old))
        old = {index for pair in pairs for index in pair.old}
        new = {index for pair in pairs for index in pair.new}
        gone = tuple(index for index in range(len(self.olds)) if index not in old)
        fresh = tuple(index for index in range(len(self.news)) if index not in new)
        unsure = doubts(gone, fresh, self.old_words, self.new_words)
        return Matching(tuple(pairs), gone, fresh, self.homes, unsure)

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

    def _names(self, anchors: Sequence[tuple[int, int]]) -> dict[str, str]:
        """Names that nobody has any more, and who says their words now."""
        now = {unit.speaker for unit in self.news}
        before = {old.speaker for old in self.olds}
        votes = Counter(
            (old, new)
            for i, j in anchors
            if (old := self.olds[i].speaker or "") not in now
            and (new := self.news[j].speaker) not in before
        )
        return {old: new for (old, new), _ in reversed(votes.most_common())}

    def _other_speaker(self, i: int, j: int) -> bool:
        """True where the layout says who spoke, and somebody else speaks now."""
        speaker = self.olds[i].speaker
        return speaker is not None and self.names.get(speaker, speaker) != self.news[j].speaker

    def _near(self) -> Near:
        """Where all units stand, and what they say."""
        panels = [self.homes.panels.get(old.home, old.home) for old in self.olds]
        here = [_home(unit) for unit in self.news]
        return Near(panels, here, self.old_folds, self.new_folds)

    def _same(self, i: int, j: int) -> bool:
        """True for the very same words, signs and capitals, that the same one is known to say."""
        old = self.olds[i]
        known = old.speaker is not None and not self._other_speaker(i, j)
        return known and old.words == self.news[j].words

    def _value(self, i: int, j: int) -> float:
        """How well an old unit goes with a new one, wherever they stand."""
        like = likeness(self.old_folds[i] or "", self.new_folds[j])
        same = self.olds[i].words == self.news[j].words
        return like * (1.0 - OTHER_SPEAKER * self._other_speaker(i, j)) + SAME_SIGNS * same

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
            if like < ANEW_LIKE and self.old_folds[one[0]] is not None:
                sure = sure and not self._other_speaker(one[0], other[0])
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
        single[unknown, :] = UNKNOWN_WORDS
        at_home, same, spelled, at_place, others = (np.zeros_like(single) for _ in range(5))
        for row, i in enumerate(olds):
            home = self.homes.panels.get(self.olds[i].home, self.olds[i].home)
            for column, j in enumerate(news):
                at_home[row, column] = home == _home(self.news[j])
                same[row, column] = self.old_folds[i] == self.new_folds[j]
                spelled[row, column] = self.olds[i].words == self.news[j].words
                others[row, column] = self._other_speaker(i, j)
                at_place[row, column] = (
                    at_home[row, column] and self.olds[i].number == self.news[j].number
                )
        value = single + SAME_WORDS * same + AT_HOME * at_home - NEEDED
        value += SAME_SIGNS * spelled + SAME_PLACE * at_place - OTHER_SPEAKER * others * single
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
                seams = self._seams(olds, news, count, split=True)
                home_of = at_home[:, : joined.shape[0]]
                values[1, count] = _joint(alike[1, count], inner, home_of, seams)
                values[1, count][unknown] = 0.0
            if len(olds) >= count:
                joined = _joined(bags.olds, count)
                inner = [
                    alike[k, 1][s : s + joined.shape[0]]
                    for k in range(1, count)
                    for s in range(count - k + 1)
                ]
                alike[count, 1] = likenesses(joined, bags.news)
                seams = self._seams(olds, news, count, split=False)
                home_of = at_home[: joined.shape[0]]
                values[count, 1] = _joint(alike[count, 1], inner, home_of, seams)
                for start in range(joined.shape[0]):
                    if unknown[start : start + count].any():
                        values[count, 1][start] = 0.0
        return alike, values

    def _seams(self, olds: Sequence[int], news: Sequence[int], count: int, split: bool) -> Floats:
        """Where a whole holds parts word for word: 1 for one of them at its end, 2 for all."""
        wholes, parts = [self.old_words[i] for i in olds], [self.new_words[j] for j in news]
        if not split:
            wholes, parts = parts, wholes
        rows = [parts[at : at + count] for at in range(len(parts) - count + 1)]
        table = np.array([[_seam(whole, row) for row in rows] for whole in wholes], float)
        return table if split else table.T

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
        left -= OTHER_SPEAKER * np.array(
            [[self._other_speaker(i, j) for j in news] for i in olds], float
        )
        left[alike < MAY_HAVE_MOVED] = 0.0
        while left.size and left.max() > 0.0:
            row, column = (int(at) for at in np.unravel_index(int(left.argmax()), left.shape))
            best = float(left[row, column])
            others = np.concatenate([np.delete(left[row], column), np.delete(left[:, column], row)])
            margin = best - float(others.max(initial=0.0))
            like = float(alike[row, column])
            sure = margin >= MOVED_MARGIN and like >= MOVED_LIKE
            pair = Pair((olds[row],), (news[column],), like, sure)
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


def _joint(whole: Floats, parts: Sequence[Floats], at_home: Floats, seams: Floats) -> Floats:
    """What splits or joins are worth: nothing where one part alone is as good."""
    best = np.maximum.reduce(list(parts))
    value = whole + AT_HOME * at_home + SAME_WORDS * (seams == 2) - NEEDED
    gain = np.where(seams > 0, 0.0, JOINED_GAIN)
    value[(whole < JOINED_LIKE) | (whole <= best + gain)] = 0.0
    return np.asarray(value)


def _seam(whole: Sequence[str], parts: Sequence[Sequence[str]]) -> int:
    """2 where a whole is its parts word for word, 1 where one of them stands at an end of it."""
    first, last = parts[0], parts[-1]
    if sum(map(len, parts)) == len(whole) and [w for part in parts for w in part] == list(whole):
        return 2
    begins = 0 < len(first) < len(whole) and whole[: len(first)] == first
    ends = 0 < len(last) < len(whole) and whole[len(whole) - len(last) :] == last
    return int(begins or ends)


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
