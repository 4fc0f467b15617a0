"""The best lines in the tightest oval: line count, breaks, shape and size sought together.

`search` gives the breakings that could be the best. Each is set for true: its lines shaped whole,
the tightest oval of any allowed shape drawn round their ink, its costs added up. The cheapest is
the first choice; the rest are the alternatives.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.breaking import Breaks, word_costs
from letterer.fit.candidates import (
    Candidate,
    PlacedLine,
    flattest,
    height_cost,
    line_words,
    log_area,
    set_lines,
    silhouette_costs,
)
from letterer.fit.measure import MeasuredWords, SetLine
from letterer.fit.oval import (
    FACETS_FINE,
    FACETS_QUICK,
    ROUNDS_FINE,
    ROUNDS_QUICK,
    Limits,
    Oval,
    centred,
    discs,
    tightest_oval,
)
from letterer.fit.search import Search
from letterer.fit.sizes import largest_fitting
from letterer.fit.wanted import BalloonShape, Wishes
from letterer.geometry import Point

EXPONENT_MARGIN = 0.03
"""Breakings within this of the cheapest are also tried in fuller ovals: these save no more."""

__all__ = ["BalloonShape", "Wishes", "fit_balloon"]

Floats = NDArray[np.float64]


def fit_balloon(words: MeasuredWords, shape: BalloonShape, wishes: Wishes) -> list[Candidate]:
    """Candidates for a balloon, the best first; never empty.

    The usual size is kept when something fits the room at it; else the largest size, down to the
    floor, at which something fits. When nothing fits at the floor, the candidate that sticks out
    least comes first; its `overflow` says by how much, and its outline is held within the room.
    """
    found = largest_fitting(wishes, lambda size: _fitting(words, shape, wishes, size))
    if found is not None:
        return found
    floor = min(wishes.floor, wishes.size)
    return [_held(candidate, wishes) for candidate in _at_size(words, shape, wishes, floor)]


def _held(candidate: Candidate, wishes: Wishes) -> Candidate:
    """A candidate that does not fit, its outline held within the room: a fuller, smaller oval.

    The words stand where they were, with less air than they should have, and may reach over.
    """
    assert wishes.room is not None and isinstance(candidate.shape, Oval)
    a, b = (side / 2 for side in wishes.room)
    oval = candidate.shape
    held = replace(oval, a=min(oval.a, a), b=min(oval.b, b), n=craft.EXPONENT_HELD)
    return replace(candidate, shape=held)


def _fitting(
    words: MeasuredWords, shape: BalloonShape, wishes: Wishes, size: float
) -> list[Candidate] | None:
    """The candidates at one size, or None when none keeps within the room."""
    search = _search(words, shape, wishes, size)
    if wishes.room is not None and not any(
        replace(search, exponent=n).may_fit() for n in _exponents(shape)
    ):
        return None
    found = _searched(search, shape, wishes, size)
    return found if found[0].fits else None


def _search(words: MeasuredWords, shape: BalloonShape, wishes: Wishes, size: float) -> Search:
    return Search(
        words,
        shape.air * words.cap + shape.rim / size,
        shape.leading,
        shape.exponent,
        (wishes.aspect, wishes.aspect) if wishes.aspect else shape.aspect,
        wishes.lines,
        _half_room(wishes, size),
    )


def _at_size(
    words: MeasuredWords, shape: BalloonShape, wishes: Wishes, size: float
) -> list[Candidate]:
    """The candidates at one size: those that fit first, then by cost, then by breaks."""
    return _searched(_search(words, shape, wishes, size), shape, wishes, size)


def _searched(search: Search, shape: BalloonShape, wishes: Wishes, size: float) -> list[Candidate]:
    """The same from a search that is already there."""
    setter = _Setter(search.words, shape, wishes, size, search.air, shape.exponent)
    breakings = [wishes.breaks] if wishes.breaks else search.breakings()
    found = [setter.set(breaks, FACETS_QUICK, ROUNDS_QUICK) for breaks in breakings]
    found.sort(key=_rank)
    most = found[0].total + EXPONENT_MARGIN
    rounder = [
        replace(setter, exponent=exponent).set(candidate.breaks, FACETS_QUICK, ROUNDS_QUICK)
        for candidate in found
        if candidate.total <= most and candidate.fits == found[0].fits
        for exponent in _exponents(shape)[1:]
    ]
    best = min((*found, *rounder), key=_rank)
    assert isinstance(best.shape, Oval)
    fine = replace(setter, exponent=best.shape.n).set(best.breaks, FACETS_FINE, ROUNDS_FINE)
    return [fine, *(other for other in found if other.breaks != best.breaks)]


def _exponents(shape: BalloonShape) -> tuple[float, ...]:
    """The style's own exponent, and fuller ovals, within what the trade draws."""
    most = max(craft.EXPONENT_RANGE[1], shape.exponent)
    fuller = (round(shape.exponent + step, 3) for step in craft.EXPONENT_STEPS)
    return (shape.exponent, *(exponent for exponent in fuller if exponent <= most))


def _rank(candidate: Candidate) -> tuple[float, float, Breaks]:
    return (round(sum(candidate.overflow), 6), round(candidate.total, 9), candidate.breaks)


@dataclass(frozen=True, slots=True)
class _Setter:
    """Sets breakings for true at one size."""

    words: MeasuredWords
    shape: BalloonShape
    wishes: Wishes
    size: float
    air: float
    exponent: float

    def set(self, breaks: Breaks, facets: int, rounds: int) -> Candidate:
        """One breaking: its lines, the oval round them, its costs."""
        lines = set_lines(self.words, breaks)
        baselines = _baselines(len(lines), self.shape.leading, self.words.cap)
        points = discs(_corners(lines, baselines), self.air, facets)
        oval, overflow = self._oval(points, lines, rounds)
        # Breakings are ranked by the least oval: what centring adds is given after the choice.
        costs = self._costs(lines, baselines, oval, breaks)
        if self.wishes.room is None:
            oval = centred(oval, points, craft.CENTRING_SHARE)
        placed = tuple(
            PlacedLine(
                line_words(self.words, line),
                line.shaped,
                self.size,
                Point(
                    -line.shaped.optical_middle * self.size,
                    (baseline - oval.center.y) * self.size,
                ),
            )
            for line, baseline in zip(lines, baselines, strict=True)
        )
        shape = replace(oval, center=Point(0.0, 0.0)).scaled(self.size)
        return Candidate(placed, shape, self.size, breaks, costs, overflow)

    def _aspects(self, lines: tuple[SetLine, ...]) -> tuple[float, float]:
        """The range of width to height: wider for one word alone, or led by a very long one."""
        if self.wishes.aspect is not None:
            return (self.wishes.aspect, self.wishes.aspect)
        low, high = self.shape.aspect
        widest = max(lines, key=lambda line: line.shaped.half_width)
        return low, flattest(self.words, widest.first, widest.last, high)

    def _oval(
        self, points: Floats, lines: tuple[SetLine, ...], rounds: int
    ) -> tuple[Oval, tuple[float, float]]:
        n = self.exponent
        aspect = self._aspects(lines)
        if self.wishes.room is not None:
            a, b = _half_room(self.wishes, self.size) or (math.inf, math.inf)
            oval = tightest_oval(points, n, Limits(aspect, a, b), rounds)
            if oval is None:
                oval = tightest_oval(points, n, Limits(craft.ASPECT_FORCED_RANGE, a, b), rounds)
            if oval is not None:
                return oval, (0.0, 0.0)
        oval = tightest_oval(points, n, Limits(aspect), rounds)
        assert oval is not None
        if self.wishes.room is None:
            return oval, (0.0, 0.0)
        width, height = self.wishes.room
        over = (2 * oval.a * self.size - width, 2 * oval.b * self.size - height)
        return oval, (max(over[0], 0.0), max(over[1], 0.0))

    def _costs(
        self, lines: tuple[SetLine, ...], baselines: list[float], oval: Oval, breaks: Breaks
    ) -> tuple[tuple[str, float], ...]:
        cap = self.words.cap
        halves = [line.shaped.half_width for line in lines]
        slack = []
        for half, baseline in zip(halves, baselines, strict=True):
            inner = oval.half_width(baseline - cap, baseline)
            slack.append(max(inner - half - self.air, 0.0) / oval.a)
        costs = {"area": log_area(oval.area), "breaks": word_costs(self.words, breaks)}
        costs["uneven air"] = craft.COST_UNEVEN_AIR * sum(gap * gap for gap in slack) / len(slack)
        costs |= silhouette_costs(halves, cap)
        if self.exponent != self.shape.exponent:
            costs["fuller oval"] = craft.COST_FULLER * abs(self.exponent - self.shape.exponent)
        if len(lines) > 3:
            costs["height"] = height_cost(len(lines))
        away = math.log(oval.aspect / craft.ASPECT_USUAL)
        costs["width to height"] = craft.COST_OFF_USUAL_ASPECT * away * away
        low, high = self._aspects(lines)
        if not low - 1e-9 <= oval.aspect <= high + 1e-9:
            beyond = max(math.log(low / oval.aspect), math.log(oval.aspect / high))
            costs["aspect"] = craft.COST_ASPECT * beyond
        return tuple(costs.items())


def _half_room(wishes: Wishes, size: float) -> tuple[float, float] | None:
    """The half-width and half-height that the outline may take, in em."""
    return wishes.room and (wishes.room[0] / 2 / size, wishes.room[1] / 2 / size)


def _baselines(lines: int, leading: float, cap: float) -> list[float]:
    """Baselines in em such that the capitals of all lines together are centred on y = 0."""
    return [(row - (lines - 1) / 2) * leading + cap / 2 for row in range(lines)]


def _corners(lines: tuple[SetLine, ...], baselines: list[float]) -> Floats:
    """The corners of every glyph's ink as (distance from the middle, y), in em."""
    rows: list[tuple[float, float]] = []
    for line, baseline in zip(lines, baselines, strict=True):
        rows += [(x, y + baseline) for x, y in line.shaped.corners]
    return np.array(rows)
