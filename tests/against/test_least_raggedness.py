"""Least raggedness, against the worked example that general references on line breaking give.

AAA BB CC DDDDD at width 6, the squares of all gaps added up: filling each line first costs
0 + 16 + 1 = 17, the best breaking 9 + 1 + 1 = 11 (the example is from memory, the sums are done
here). Beyond the example: every breaking of many texts.
"""

from __future__ import annotations

import itertools

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from letterer.fit.breaking import Breaks, least_raggedness

WORDS = ("AAA", "BB", "CC", "DDDDD")
WIDTH = 6


def gaps(widths: list[float], breaks: Breaks, width: float) -> list[float]:
    """The space left at the end of each line, one space between words."""
    lines = zip((0, *breaks[:-1]), breaks, strict=True)
    return [width - sum(widths[i:j]) - (j - i - 1) for i, j in lines]


def filled(widths: list[float], width: float) -> Breaks:
    """Each line filled before the next is begun."""
    ends, used = [], -1.0
    for at, word in enumerate(widths):
        if used + 1 + word > width:
            ends.append(at)
            used = -1.0
        used += 1 + word
    return (*ends, len(widths))


def every_breaking(count: int) -> list[Breaks]:
    return [
        (*cuts, count)
        for lines in range(count)
        for cuts in itertools.combinations(range(1, count), lines)
    ]


def test_the_worked_example() -> None:
    widths = [float(len(word)) for word in WORDS]
    first = filled(widths, WIDTH)
    assert first == (2, 3, 4)
    assert sum(gap**2 for gap in gaps(widths, first, WIDTH)) == 17
    best = least_raggedness(widths, WIDTH)
    assert best == (1, 3, 4)
    assert sum(gap**2 for gap in gaps(widths, best, WIDTH)) == 11
    lines = [" ".join(WORDS[i:j]) for i, j in zip((0, *best[:-1]), best, strict=True)]
    assert lines == ["AAA", "BB CC", "DDDDD"]
    # No breaking at all costs less, the last line counted or not.
    for every in every_breaking(4):
        left = gaps(widths, every, WIDTH)
        if min(left) >= 0:
            assert sum(gap**2 for gap in left) >= 11


@settings(max_examples=100)
@given(st.lists(st.integers(1, 9), min_size=1, max_size=9), st.integers(5, 20))
def test_no_breaking_is_less_ragged(words: list[int], width: int) -> None:
    widths = [float(word) for word in words]
    assume(max(widths) <= width)
    best = least_raggedness(widths, width)
    assert best is not None
    costs = {
        breaks: sum(gap**2 for gap in gaps(widths, breaks, width)[:-1])
        for breaks in every_breaking(len(widths))
        if min(gaps(widths, breaks, width)) >= 0
    }
    assert costs[best] == min(costs.values())


def test_a_word_wider_than_the_line_has_no_breaking() -> None:
    assert least_raggedness([3, 7, 2], 6) is None
