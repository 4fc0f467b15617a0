"""How long one balloon takes, by the number of its words, and a naive prototype beside it.

The prototype is a fit as one would first write it, in plain Python: every breaking into every
number of lines, widths of lines as sums of the widths of words, and for each the least ellipse by
trying widths to height in a loop. It knows no costs but area. The words are made up.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from itertools import combinations
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING

from tests.benchmarks.book import IDENTITY, speech
from tests.benchmarks.timing import Table, Timed, in_turns

if TYPE_CHECKING:
    from letterer.text.shaping import Shaper

TEXTS = 24
"""So many different texts of each length; the prototype is slow, and gets fewer."""

TEXTS_NAIVE = 6


def texts(words: int, count: int) -> list[str]:
    """Made-up speeches of so many words, the same in every run."""
    drawn = random.Random(f"{IDENTITY} {words}")
    return [speech(drawn, words) for _ in range(count)]


def _shaper(text: str) -> Shaper:
    from letterer.model.script import Run
    from letterer.text.faces import library
    from letterer.text.shaping import Lettering, Shaper
    from letterer.text.tradition import dress

    return Shaper(dress([Run(text)]), Lettering(("Letterer Hand",)), library(()))


def _fitted(shaper: Shaper) -> object:
    from letterer.fit.balloon import BalloonShape, Wishes, fit_balloon
    from letterer.fit.measure import MeasuredWords

    return fit_balloon(MeasuredWords(shaper), BalloonShape(), Wishes())[0]


def full_fit(text: str) -> Callable[[], object]:
    """From words to the best balloon: dressed, shaped, searched, set for true; nothing kept."""
    return lambda: _fitted(_shaper(text))


def search_alone(text: str) -> Callable[[], object]:
    """The same, its words dressed and shaped before the clock starts."""
    shaper = _shaper(text)
    return lambda: _fitted(shaper)


def naive_fit(text: str) -> Callable[[], object]:
    """The prototype, its words measured before the clock starts."""
    from letterer import craft
    from letterer.fit.measure import MeasuredWords

    measured = MeasuredWords(_shaper(text))
    widths = [2 * float(measured.half_widths[at, at + 1]) for at in range(len(measured))]
    space = 2 * float(measured.half_widths[0, 2]) - widths[0] - widths[1]
    low, high = craft.ASPECT_RANGE
    aspects = [low + (high - low) * step / 8 for step in range(9)]
    measures = (measured.cap, craft.LEADING_EM, craft.AIR_CAPS * measured.cap)
    return lambda: naive(widths, space, measures, aspects)


def naive(
    widths: Sequence[float],
    space: float,
    measures: tuple[float, float, float],
    aspects: Sequence[float],
) -> tuple[float, tuple[int, ...]]:
    """The least area of an ellipse round any breaking, and that breaking."""
    cap, leading, air = measures
    best: float = math.inf
    best_breaks: tuple[int, ...] = ()
    count = len(widths)
    for lines in range(1, count + 1):
        for inner in combinations(range(1, count), lines - 1):
            breaks = (*inner, count)
            corners = []
            begin, top = 0, -(cap + leading * (lines - 1)) / 2
            for end in breaks:
                half = (sum(widths[begin:end]) + space * (end - begin - 1)) / 2 + air
                corners.append((half, max(abs(top), abs(top + cap)) + air))
                begin, top = end, top + leading
            for aspect in aspects:
                high = max(math.sqrt((x / aspect) ** 2 + y * y) for x, y in corners)
                area = math.pi * high * high * aspect
                if area < best:
                    best, best_breaks = area, breaks
    return best, best_breaks


CASES: tuple[tuple[str, int, int, Callable[[str], Callable[[], object]]], ...] = (
    ("13 words, naive prototype", 13, TEXTS_NAIVE, naive_fit),
    ("13 words, search alone", 13, TEXTS, search_alone),
    ("13 words, full fit", 13, TEXTS, full_fit),
    ("30 words, search alone", 30, TEXTS, search_alone),
    ("30 words, full fit", 30, TEXTS, full_fit),
    ("60 words, full fit", 60, TEXTS, full_fit),
    ("120 words, search alone", 120, TEXTS, search_alone),
    ("120 words, full fit", 120, TEXTS, full_fit),
)


def balloons(folder: Path, rounds: int) -> Table:
    """Balloons of several lengths, all in turns.

    Of each text the median of its rounds is kept, so that the table's median is one over texts.
    """
    table: Table = {name: Timed() for name, *_ in CASES}
    for _name, words, count, make in CASES:
        if count == TEXTS:
            for text in texts(words, count):  # so that every letter has been drawn once
                make(text)()
    for place in range(TEXTS):
        work = {
            name: make(texts(words, count)[place])
            for name, words, count, make in CASES
            if place < count
        }
        for name, timed in in_turns(work, rounds).items():
            table[name].clock.append(median(timed.clock))
            table[name].cpu.append(median(timed.cpu))
    return table
