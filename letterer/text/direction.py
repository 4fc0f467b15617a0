"""Right-to-left text: the order in which the runs of one line are set (UAX #9).

The levels of a unit are found once, for the whole of it; reversing the runs (rule L2) is done for
each line, since lines are broken by us, after the levels are known.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from letterer.text.embedding import base_level, embedding_levels

TURNS_RIGHT_TO_LEFT = ("R", "AL", "AN", "RLE", "RLO", "RLI")


def levels(text: str) -> list[int] | None:
    """The embedding level of each character, or None when all of it runs left to right.

    The first strong letter says which way the unit as a whole runs.
    """
    if text.isascii() or not any(
        unicodedata.bidirectional(char) in TURNS_RIGHT_TO_LEFT for char in text
    ):
        return None
    return embedding_levels(text, base_level(text))


def visual_order(levels: Sequence[int]) -> list[int]:
    """The runs of a line from left to right, given the level of each in logical order (UAX #9, L2).

    >>> visual_order([1, 2, 1])
    [2, 1, 0]
    """
    order = list(range(len(levels)))
    for level in range(max(levels, default=0), 0, -1):
        at = 0
        while at < len(order):
            end = at
            while end < len(order) and levels[order[end]] >= level:
                end += 1
            order[at:end] = reversed(order[at:end])
            at = max(end, at + 1)
    return order
