"""Optimal breaks, against an exhaustive search over every breaking (itertools).

Random tables of costs first, then real words in the bundled face: the narrowest width of a caption,
and the balloon of least cost with every breaking set for true.
"""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from numpy.typing import NDArray

from letterer.fit.balloon import BalloonShape, Wishes, fit_balloon
from letterer.fit.breaking import Breaks, banded, best_breaks, least_scale
from letterer.fit.candidates import Candidate
from letterer.fit.caption import balanced_breaks
from letterer.fit.measure import MeasuredWords
from letterer.model.script import Run
from letterer.text.faces import FaceLibrary
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import dress

Floats = NDArray[np.float64]

FACES = FaceLibrary()
TEXT = """a I the tide lamp harbour nobody waits for me? no, never. lantern-lit wherever
somebody counts their own boats again in extraordinarily bright rooms -- so what! up"""
WORDS = TEXT.split()


def every_breaking(count: int, lines: int) -> list[Breaks]:
    return [(*cuts, count) for cuts in itertools.combinations(range(1, count), lines - 1)]


def stretches(breaks: Breaks) -> list[tuple[int, int]]:
    return list(zip((0, *breaks[:-1]), breaks, strict=True))


def words(text: str) -> MeasuredWords:
    return MeasuredWords(Shaper(dress([Run(text)]), Lettering(("Letterer Hand",)), FACES))


def invented(count: int, roll: int) -> str:
    chance = random.Random(roll)
    return " ".join(chance.choice(WORDS) for _ in range(count))


def tables(roll: int) -> tuple[Floats, Floats, NDArray[np.intp]]:
    """Costs [shape, line, i, j] of whole numbers, so that ties are true ties; the same banded."""
    rng = np.random.default_rng(roll)
    count = int(rng.integers(2, 13))
    lines = int(rng.integers(1, count + 1))
    whole = rng.integers(0, 6, (3, lines, count, count + 1)).astype(float)
    whole[rng.random(whole.shape) < 0.15] = np.inf
    _, begins = banded(np.triu(np.ones((count, count + 1)), 1), np.inf)
    ends = np.arange(1, count + 1)[:, None]
    bands = np.where(begins >= 0, whole[:, :, np.maximum(begins, 0), ends], np.inf)
    return whole, bands, begins


@pytest.mark.parametrize("part", range(4))
def test_the_cheapest_breaking_of_random_costs(part: int) -> None:
    ties = none = 0
    for roll in range(part, 320, 4):
        whole, bands, begins = tables(roll)
        _, lines, count, _ = whole.shape
        found = best_breaks(bands, begins)
        assert len(found) == 3
        for shape, ours in enumerate(found):
            costs = {
                breaks: sum(whole[shape, row, i, j] for row, (i, j) in enumerate(stretches(breaks)))
                for breaks in every_breaking(count, lines)
            }
            least = min(costs.values())
            if not np.isfinite(least):
                assert ours == ()
                none += 1
                continue
            equal = [breaks for breaks, cost in costs.items() if cost == least]
            ties += len(equal) > 1
            # Of equal ones, the one whose last line is shortest; then the line before; and so on.
            assert ours == max(equal, key=lambda breaks: breaks[::-1]), f"table {roll}, {shape}"
    assert ties > 10 and none > 3, "the tables must hold ties, and texts that cannot be broken"


def test_the_least_scale_of_random_needs() -> None:
    for roll in range(300):
        whole, bands, begins = tables(roll)
        shapes, lines, count, _ = whole.shape
        ours = least_scale(bands, begins)
        for shape in range(shapes):
            theirs = min(
                max(whole[shape, row, i, j] for row, (i, j) in enumerate(stretches(breaks)))
                for breaks in every_breaking(count, lines)
            )
            assert ours[shape] == theirs


def test_bands_leave_out_what_is_too_wide_and_nothing_else() -> None:
    for roll in range(60):
        measured = words(invented(9, roll))
        widest = float(np.random.default_rng(roll).uniform(1, 12))
        values, begins = banded(measured.half_widths, widest)
        seen = {
            (int(begins[row, column]), row + 1): values[row, column]
            for row, column in zip(*np.nonzero(np.isfinite(values)), strict=True)
        }
        count = len(measured)
        wanted = {
            (i, j): measured.half_widths[i, j]
            for i in range(count)
            for j in range(i + 1, count + 1)
            if measured.half_widths[i, j] <= widest
        }
        assert seen == wanted


def test_the_narrowest_width_of_a_caption() -> None:
    for roll in range(80):
        measured = words(invented(2 + roll % 10, roll))
        for lines in range(1, min(len(measured), 6) + 1):
            ours = balanced_breaks(measured, lines)
            assert ours is not None and len(ours) == lines
            widths = {
                breaks: max(measured.half_widths[i, j] for i, j in stretches(breaks))
                for breaks in every_breaking(len(measured), lines)
            }
            assert widths[ours] <= min(widths.values()) + 1e-9, invented(2 + roll % 10, roll)


def test_more_lines_than_words_are_not_to_be_had() -> None:
    assert balanced_breaks(words("Wait here"), 3) is None


TEXTS = (
    "Wait for me!",
    "The lamp is out.",
    "But not forever! Um, are you okay with that plan?",
    "Of course I'm sure. I counted them twice.",
    "I am not leaving without it.",
    "You -- you knew? All this time?",
    "A boat, a lantern, and no moon?",
    *(invented(3 + roll % 6, roll) for roll in range(20)),
)


@pytest.mark.parametrize("text", TEXTS)
def test_the_balloon_of_least_cost(text: str) -> None:
    measured = words(text)
    shape = BalloonShape()
    (best, *_) = fit_balloon(measured, shape, Wishes())
    rival: Candidate | None = None
    for lines in range(1, len(measured) + 1):
        for breaks in every_breaking(len(measured), lines):
            tried = set_for_true(measured, shape, breaks)
            if rival is None or tried.total < rival.total - 1e-9:
                rival = tried
    assert rival is not None
    assert best.total <= rival.total + 1e-6, f"{best.text!r} is dearer than {rival.text!r}"


def set_for_true(measured: MeasuredWords, shape: BalloonShape, breaks: Breaks) -> Candidate:
    """One breaking, set by the engine itself with nothing else to choose from."""
    forced = ForcedWords(measured, breaks)
    found = fit_balloon(forced, shape, Wishes(lines=len(breaks)))
    assert found[0].breaks == breaks
    return found[0]


class ForcedWords(MeasuredWords):
    """Measured words of which only one breaking is possible."""

    def __init__(self, measured: MeasuredWords, breaks: Breaks) -> None:
        super().__init__(measured.shaper)
        only = set(stretches(breaks))
        table = np.array(measured.half_widths)
        for i, j in itertools.product(range(len(measured)), range(len(measured) + 1)):
            if (i, j) not in only:
                table[i, j] = np.inf
        # A cached property takes the value that stands in the instance's dictionary.
        self.__dict__["half_widths"] = table
