"""What the alignment in order cannot see: exchanged neighbours, parts elsewhere, and doubts.

- Two units of a panel that go better crosswise were exchanged.
- Words that are left over, and with those of a pair make up the very words of its other side, are a
  part of it: it was split, or joined.
- Words that are gone and new ones that share a rare word may be the same, written anew.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from letterer.revise.homes import PanelKey
from letterer.revise.pairs import Pair

CROSSED, CROSSED_MARGIN = 0.36, 0.06
"""Neighbours were exchanged when that is worth so much more than that both were edited; so near to
that it is unsure. Signs alone ("No." and "No!") do not tell."""

RARE_MOST, RARE_LETTERS = 2, 4
"""A rare word stands in at most so many units of either book, and has at least so many letters."""

Words = Sequence[str]


@dataclass(frozen=True, slots=True)
class Near:
    """For all old and new units: the panels that they are in (for old ones the panel that theirs
    became), and their words without capitals and signs."""

    old_panels: Sequence[PanelKey]
    new_panels: Sequence[PanelKey]
    old_words: Sequence[str | None]
    new_words: Sequence[str]

    def stays(self, pair: Pair) -> bool:
        """True for a pair that is in its panel."""
        return self.old_panels[pair.old[0]] == self.new_panels[pair.new[0]]


def crossed(pairs: Sequence[Pair], near: Near, value: Callable[[int, int], float]) -> list[Pair]:
    """Pairs with those exchanged that are worth more crosswise: of one panel, or of the same words
    where they did not both stay. `value` is that of an old and a new unit."""
    found = list(pairs)
    groups: dict[object, list[int]] = {}
    for place, pair in enumerate(found):
        if len(pair.old) == len(pair.new) == 1 and near.old_words[pair.old[0]] is not None:
            panels = near.old_panels[pair.old[0]], near.new_panels[pair.new[0]]
            groups.setdefault(panels, []).append(place)
            groups.setdefault(near.new_words[pair.new[0]], []).append(place)
    for key, places in groups.items():
        for a, b in combinations(places, 2):
            one, other = found[a], found[b]
            if isinstance(key, str) and near.stays(one) and near.stays(other):
                continue
            (i,), (j,), (k,), (m,) = one.old, one.new, other.old, other.new
            gain = value(i, m) + value(k, j) - value(i, j) - value(k, m)
            at_home = (
                near.old_panels[i] == near.new_panels[m],
                near.old_panels[k] == near.new_panels[j],
            )
            # Of equal words, those stay that are in their panels.
            settled = isinstance(key, str) and gain >= 0 and all(at_home)
            if settled or gain > CROSSED + CROSSED_MARGIN:
                found[a] = replace(one, new=other.new, likeness=1.0, sure=True)
                found[b] = replace(other, new=one.new, likeness=1.0, sure=True)
            elif gain > CROSSED - CROSSED_MARGIN:
                found[a] = replace(one, sure=False, rival=(one.old, other.new))
                found[b] = replace(other, sure=False, rival=(other.old, one.new))
    return found


def certain(pairs: Sequence[Pair], near: Near, same: Callable[[int, int], bool]) -> list[Pair]:
    """Pairs of which those are sure whose very words the same one says, and nobody who was, is or
    may be near. `same` tells of an old and a new unit that this is so."""
    settled = [pair for pair in pairs if near.stays(pair) and pair.likeness == 1.0]
    home_old = {index for pair in settled for index in pair.old}
    home_new = {index for pair in settled for index in pair.new}
    found = list(pairs)
    for place, pair in enumerate(found):
        if (
            pair.sure
            or len(pair.old) > 1
            or len(pair.new) > 1
            or not same(pair.old[0], pair.new[0])
        ):
            continue
        (i,), (j,) = pair.old, pair.new
        panels = near.old_panels[i], near.new_panels[j]
        olds = [
            k
            for k in range(len(near.old_words))
            if k != i and (k not in home_old or near.old_panels[k] in panels) and same(k, j)
        ]
        news = [
            m
            for m in range(len(near.new_words))
            if m != j and (m not in home_new or near.new_panels[m] in panels) and same(i, m)
        ]
        if not olds and not news:
            found[place] = replace(pair, sure=True, rival=None)
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
