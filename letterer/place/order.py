"""The order in which boxes of words are read, quickly: asked for thousands of choices.

The order is that of `review.path.words_order`, without its confidence and its rival orders, which
take most of the time there; a test holds the two together.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import NamedTuple

from letterer import craft
from letterer.geometry import Box
from letterer.review.panels import WORDS, arranged, piece_of_box

FLAT = 1e-9


class _Words(NamedTuple):
    """One box by its spans along the way of reading and down the page."""

    key: int
    along: tuple[float, float]
    down: tuple[float, float]


def read_in_order(boxes: Sequence[Box], mirrored: bool) -> bool:
    """Whether boxes of words are read in the order in which they are given.

    >>> left, right = Box(0, 0, 10, 5), Box(20, 0, 30, 5)
    >>> read_in_order([left, right], False), read_in_order([left, right], True)
    (True, False)
    """
    if len(boxes) < 2:
        return True
    if any(_hidden(one, other) for one, other in combinations(boxes, 2)):
        return False
    every = [
        _Words(
            key,
            (-box.right, -box.left) if mirrored else (box.left, box.right),
            (box.top, box.bottom),
        )
        for key, box in enumerate(boxes)
    ]
    every.sort(key=lambda one: (one.down[0], one.along[0], one.key))
    order = _order(every)
    if order is None:  # neither rows nor columns: a pinwheel, which is seldom
        pieces = [piece_of_box(key, box, mirrored) for key, box in enumerate(boxes)]
        order = [piece.key for piece in arranged(pieces, WORDS).order]
    return order == list(range(len(boxes)))


def _hidden(one: Box, other: Box) -> bool:
    """True where most of one box lies in the other: there is no order to speak of."""
    wide = min(one.right, other.right) - max(one.left, other.left)
    high = min(one.bottom, other.bottom) - max(one.top, other.top)
    if wide <= 0 or high <= 0:
        return False
    return wide * high >= craft.INSET_SHARE * min(one.area, other.area)


def _order(words: list[_Words]) -> list[int] | None:
    """Keys in the order read; None where some of the words have neither rows nor columns."""
    if len(words) < 2:
        return [one.key for one in words]
    groups = _groups(words, down=True)
    if len(groups) == 1:
        columns = _groups(words, down=False)
        groups = _sharing_rows(columns)
        if len(groups) == 1:
            return None
    order: list[int] = []
    for group in groups:
        inner = _order(group)
        if inner is None:
            return None
        order += inner
    return order


def _sharing_rows(columns: list[list[_Words]]) -> list[list[_Words]]:
    """Neighbouring columns made one where they share rows, unless that makes one of all."""
    made = columns[:1]
    for column in columns[1:]:
        both = [*made[-1], *column]
        if len(_groups(both, down=True)) > 1:
            made[-1] = both
        else:
            made.append(column)
    return made if len(made) > 1 else columns


def _groups(words: list[_Words], down: bool) -> list[list[_Words]]:
    """Words between gutters that would need no more than the allowed share of the smaller."""
    spans = [(*(one.down if down else one.along), one) for one in words]
    spans.sort(key=lambda span: (span[0] + span[1], span[2].key))
    found: list[list[_Words]] = [[]]
    for place, span in enumerate(spans):
        if place:
            before, behind = spans[:place], spans[place:]
            end, start = max(s[1] for s in before), min(s[0] for s in behind)
            share = 0.0
            if end > start:
                clash = [s[1] - s[0] for s in before if s[1] > start]
                clash += [s[1] - s[0] for s in behind if s[0] < end]
                share = (end - start) / max(min(clash), FLAT)
            if share <= WORDS.stagger:
                found.append([])
        found[-1].append(span[2])
    return found
