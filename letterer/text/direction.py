"""Right-to-left text: the order in which the runs of one line are set (UAX #9).

The levels come from python-bidi; reversing the runs (rule L2) is done here, since lines are broken
by us, after the levels are known.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

RIGHT_TO_LEFT = ("R", "AL", "AN")


def levels(text: str) -> list[int] | None:
    """The embedding level of each character, or None when all of it runs left to right."""
    if text.isascii() or not any(unicodedata.bidirectional(char) in RIGHT_TO_LEFT for char in text):
        return None
    from bidi import algorithm

    storage = algorithm.get_empty_storage()
    storage["base_level"] = algorithm.get_base_level(text)
    storage["base_dir"] = ("L", "R")[storage["base_level"]]
    algorithm.get_embedding_levels(text, storage)
    algorithm.explicit_embed_and_overrides(storage)
    algorithm.resolve_weak_types(storage)
    algorithm.resolve_neutral_types(storage, False)
    algorithm.resolve_implicit_levels(storage, False)
    found = [char["level"] for char in storage["chars"]]
    return found if len(found) == len(text) else [storage["base_level"]] * len(text)


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
