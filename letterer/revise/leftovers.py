"""What the alignment in order cannot see: exchanged neighbours, parts elsewhere, and doubts.

- Two units of a panel that go better crosswise were exchanged.
- Words that are left over, and with those of a pair make up the very words of its other side, are a
  part of it: it was split, or joined.
- Words that are gone and new ones that share a rare word may be the same, written anew.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations

from letterer.model.script import Unit
from letterer.revise.pairs import Old, Pair

CROSSED, CROSSED_MARGIN = 0.36, 0.06
"""Neighbours were exchanged when that is worth so much more than that both were edited; so near to
that it is unsure. Signs alone ("No." and "No!") do not tell."""

RARE_MOST, RARE_LETTERS = 2, 4
"""A rare word stands in at most so many units of either book, and has at least so many letters."""

Words = Sequence[str]


def crossed(
    pairs: Sequence[Pair],
    olds: Sequence[Old],
    news: Sequence[Unit],
    value: Callable[[int, int], float],
) -> list[Pair]:
    """Pairs with those exchanged that are worth more crosswise. `value` is that of an old and a new
    unit."""
    found = list(pairs)
    panels: dict[tuple[tuple[int, int], tuple[int, int]], list[int]] = {}
    for place, pair in enumerate(found):
        if len(pair.old) == len(pair.new) == 1 and olds[pair.old[0]].words is not None:
            unit = news[pair.new[0]]
            key = (olds[pair.old[0]].home, (unit.page, unit.panel))
            panels.setdefault(key, []).append(place)
    for places in panels.values():
        for a, b in combinations(places, 2):
            one, other = found[a], found[b]
            (i,), (j,), (k,), (m,) = one.old, one.new, other.old, other.new
            gain = value(i, m) + value(k, j) - value(i, j) - value(k, m)
            sure = abs(gain - CROSSED) > CROSSED_MARGIN
            if gain > CROSSED + CROSSED_MARGIN:
                found[a] = replace(one, new=other.new, likeness=1.0, sure=True)
                found[b] = replace(other, new=one.new, likeness=1.0, sure=True)
            elif not sure:
                found[a] = replace(one, sure=False, rival=(one.old, other.new))
                found[b] = replace(other, sure=False, rival=(other.old, one.new))
    return found


def with_parts(pairs: Sequence[Pair], olds: Sequence[Words], news: Sequence[Words]) -> list[Pair]:
    """Pairs, and with them what is left over of their words."""
    found = list(pairs)
    used_old = {index for pair in found for index in pair.old}
    used_new = {index for pair in found for index in pair.new}
    fresh = [index for index in range(len(news)) if index not in used_new and news[index]]
    gone = [index for index in range(len(olds)) if index not in used_old and olds[index]]
    for place, pair in enumerate(found):
        if len(pair.old) != 1 or len(pair.new) != 1:
            continue
        whole, part = olds[pair.old[0]], news[pair.new[0]]
        for index in fresh:
            if _makes(whole, part, news[index], abs(index - pair.new[0])):
                found[place] = replace(pair, new=tuple(sorted((*pair.new, index))))
                fresh.remove(index)
                break
        else:
            for index in gone:
                if _makes(part, whole, olds[index], abs(index - pair.old[0])):
                    found[place] = replace(pair, old=tuple(sorted((*pair.old, index))))
                    gone.remove(index)
                    break
    return found


def _makes(whole: Words, part: Words, other: Words, apart: int) -> bool:
    """Whether two parts make up the very words of a whole, in either order. A single word has to
    come from next to the other part."""
    if len(part) + len(other) != len(whole) or (len(other) < 2 and apart > 1):
        return False
    return list(whole) in ([*part, *other], [*other, *part])


def doubted(pairs: Sequence[Pair], news: Sequence[str]) -> list[Pair]:
    """Pairs of which those are unsure too that hold what another, unsure pair may as well have."""
    by_new = {pair.new: place for place, pair in enumerate(pairs)}
    found = list(pairs)
    for pair in pairs:
        if pair.sure or pair.rival is None or len(pair.new) != 1 or pair.rival[0] != pair.old:
            continue
        place = by_new.get(pair.rival[1])
        if place is None or not found[place].sure or len(pair.rival[1]) != 1:
            continue
        if news[pair.rival[1][0]] == news[pair.new[0]]:
            found[place] = replace(found[place], sure=False, rival=(found[place].old, pair.new))
    return found


def doubts(
    gone: Sequence[int], fresh: Sequence[int], olds: Sequence[Words], news: Sequence[Words]
) -> dict[int, int]:
    """Old units that are gone, and the new one that shares the most rare words with each."""
    if not gone or not fresh:
        return {}
    before = Counter(word for words in olds for word in set(words))
    now = Counter(word for words in news for word in set(words))

    def rare(words: Words) -> set[str]:
        return {
            word
            for word in words
            if len(word) >= RARE_LETTERS and max(before[word], now[word]) <= RARE_MOST
        }

    held = {j: rare(news[j]) for j in fresh}
    found: dict[int, int] = {}
    for i in gone:
        mine = rare(olds[i])
        best = max(fresh, key=lambda j: (len(mine & held[j]), -j))
        if mine & held[best]:
            found[i] = best
    return found
