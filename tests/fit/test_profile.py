"""Long texts: what fills the bands of an oval best, against every breaking of shorter ones."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.balloon import BalloonShape, Wishes, fit_balloon
from letterer.fit.breaking import word_costs
from letterer.fit.measure import MeasuredWords
from letterer.fit.profile import Profiles, Reach

Measured = Callable[..., MeasuredWords]

TEXTS = (
    "A boat, a lantern, and no moon? I would not.",
    "Nobody goes down to the old lighthouse any more",
    "You -- you knew?\nAll this time you knew it",
    "\u201cMind the half-open door,\u201d she said...",
)
SLANT, EXPONENT, LEADING = 0.4, 2.4, craft.LEADING_EM


def ovals(words: MeasuredWords, kinds: list[tuple[int, float, float]]) -> Profiles:
    """Ovals for so many lines, of these widths to height, their middles so far off."""
    most = max(lines for lines, _, _ in kinds)
    far_n = np.full((len(kinds), most), np.inf)
    for row, (lines, _, middle) in enumerate(kinds):
        at = (np.arange(lines) - (lines - 1) / 2) * LEADING - middle
        far_n[row, most - lines :] = (np.abs(at) + words.cap / 2 + SLANT) ** EXPONENT
    counts = np.array([kind[0] for kind in kinds], dtype=np.intp)
    ratios = np.array([kind[1] for kind in kinds])
    which = np.arange(len(kinds), dtype=np.intp)
    return Profiles(Reach(words), SLANT, EXPONENT, which, ratios, counts, far_n)


def by_area(some: Profiles, heights: NDArray[np.float64]) -> NDArray[np.float64]:
    """The logarithm of the area, but for what all ovals have in common."""
    return np.asarray(np.log(some.ratios * heights**2))


def every(words: MeasuredWords, lines: int) -> list[tuple[int, ...]]:
    count = len(words)
    ways = ((*cuts, count) for cuts in itertools.combinations(range(1, count), lines - 1))
    return [
        way
        for way in ways
        if all(np.isfinite(words.half_widths[i, j]) for i, j in itertools.pairwise((0, *way)))
    ]


@pytest.mark.parametrize("text", TEXTS)
def test_the_least_oval_and_the_cheapest_breaking_in_larger_ones(
    text: str, measured: Measured
) -> None:
    words = measured(text)
    counts = range(max(2, words.fewest_lines), 6)
    kinds = [(n, r, m) for n in counts for r in (1.3, 2.0) for m in (0.0, 0.3)]
    some = ovals(words, kinds)
    kept, least = some.least(by_area, math.inf, math.inf)
    assert kept.which.tolist() == some.which.tolist()
    for share in (0.99, 1.0, 1.05):
        bands = some.bands(least * share)
        found = some.cheapest(least * share)
        for row, (lines, ratio, _) in enumerate(kinds):
            room = bands[row, -lines:]
            costs = {}
            for way in every(words, lines):
                halves = np.array(
                    [words.half_widths[i, j] for i, j in itertools.pairwise((0, *way))]
                )
                if (halves <= room + 1e-9).all():
                    free = (room - halves) / (ratio * least[row] * share)
                    costs[way] = craft.COST_UNEVEN_AIR / lines * float(
                        (free**2).sum()
                    ) + word_costs(words, way)
            if share < 1:
                assert not costs and found[row] == (), "a hundredth lower, and nothing fits"
            else:
                assert found[row] in costs
                assert costs[found[row]] == pytest.approx(min(costs.values()), abs=1e-9)


@pytest.mark.parametrize("margin", [0.02, 0.15])
def test_ovals_are_left_out_only_when_they_are_too_dear(margin: float, measured: Measured) -> None:
    words = measured("Nobody goes down to the old lighthouse any more, not since the tide took it")
    kinds = [(n, r, m) for n in range(2, 8) for r in (1.2, 1.6, 2.1) for m in (-0.35, 0.0, 0.35)]
    some = ovals(words, kinds)
    _, heights = some.least(by_area, math.inf, math.inf)
    costs = by_area(some, heights)
    kept, theirs = some.least(by_area, math.inf, margin)
    assert theirs == pytest.approx(heights[kept.which], rel=0.005)
    within = np.flatnonzero(costs <= costs.min() + margin - 0.01)
    assert set(within.tolist()) <= set(kept.which.tolist()) < set(range(len(kinds)))
    assert not len(some.least(by_area, float(costs.min()) - 0.01, margin)[1])


def test_a_text_is_searched_alike_on_both_sides_of_the_limit(
    measured: Measured, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The same words by every breaking and by dynamic programming: the second may not be dearer by
    # more than a hundredth, and is mostly equal.
    equal = 0
    for text in (*TEXTS, "I counted them twice, and there is one boat too many."):
        words = measured(text)
        whole = fit_balloon(words, BalloonShape(), Wishes())[0]
        with monkeypatch.context() as patch:
            patch.setattr("letterer.fit.search.EVERY_BREAKING", 3)
            programmed = fit_balloon(words, BalloonShape(), Wishes())[0]
        assert programmed.total <= whole.total + 0.01
        equal += programmed.breaks == whole.breaks
    assert equal >= 4
