"""The best lines in the tightest oval: line count, breaks, shape and size sought together.

`search` gives the breakings that could be the best. Each is set for true: its lines shaped whole,
the tightest oval of any allowed shape drawn round their ink, its costs added up. The cheapest is
the first choice; the rest are the alternatives.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
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
from letterer.fit.hyphens import TooWide, better_fitting, hyphenated
from letterer.fit.lozenge import lozenge_costs
from letterer.fit.measure import MeasuredWords, SetLine
from letterer.fit.oval import (
    FACETS,
    ROUNDS_FINE,
    ROUNDS_QUICK,
    Limits,
    Oval,
    centred,
    tightest_oval,
)
from letterer.fit.search import Search
from letterer.fit.sizes import largest_fitting
from letterer.fit.tightest import rounded_hull, tightest_ovals
from letterer.fit.wanted import BalloonShape, Wishes
from letterer.geometry import Point

PREPARED_MOST = 5
"""The fuller ovals of so many of the likeliest breakings are found together with their own."""

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
    whole = [_held(candidate, wishes) for candidate in _at_size(words, shape, wishes, floor)]
    if not words.broken and wishes.breaks is None:
        broken = hyphenated(words, _too_wide(words, shape, wishes, floor))
        if broken is not None:
            return better_fitting(fit_balloon(broken, shape, wishes), whole)
    return whole


def _too_wide(words: MeasuredWords, shape: BalloonShape, wishes: Wishes, size: float) -> TooWide:
    """Tells the lines that fit the room nowhere: not even alone, across its middle."""
    half = _half_room(wishes, size) or (math.inf, math.inf)
    slant = (shape.air * words.cap + shape.rim / size) * math.cos(math.pi / 4)
    n = exponents(shape)[-1]
    high = min((words.cap / 2 + slant) / half[1], 1.0)
    return lambda width: (width + slant) / half[0] > (1 - high**n) ** (1 / n)


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
        replace(search, exponent=n).may_fit() for n in exponents(shape)
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
    setter = Setter(search.words, shape, wishes, size, search.air)
    breakings = [wishes.breaks] if wishes.breaks else search.breakings()
    first, *fuller = exponents(shape)
    likely = breakings[:PREPARED_MOST]
    setter.prepare(
        [
            (breaks, n)
            for breaks in breakings
            for n in (first, *fuller)
            if n == first or breaks in likely
        ]
    )
    rounds = ROUNDS_FINE if len(breakings) == 1 else ROUNDS_QUICK
    found = [setter.in_oval(breaks, first, rounds) for breaks in breakings]
    found.sort(key=_rank)
    most = found[0].total + EXPONENT_MARGIN
    near = [at for at in found if at.total <= most and at.fits == found[0].fits]
    setter.prepare([(at.words.breaks, n) for at in near for n in fuller])
    rounder = [setter.in_oval(at.words.breaks, n, rounds) for at in near for n in fuller]
    best = min((*found, *rounder), key=_rank)
    if wishes.room is not None and rounds != ROUNDS_FINE:
        best = setter.in_oval(best.words.breaks, best.oval.n)
    others = (other for other in found if other.words is not best.words)
    return [setter.candidate(each) for each in (best, *others)]


def exponents(shape: BalloonShape) -> tuple[float, ...]:
    """The style's own exponent, and fuller ovals, within what the trade draws."""
    most = max(craft.EXPONENT_RANGE[1], shape.exponent)
    fuller = (round(shape.exponent + step, 3) for step in craft.EXPONENT_STEPS)
    return (shape.exponent, *(exponent for exponent in fuller if exponent <= most))


def _rank(found: _InOval) -> tuple[float, float, Breaks]:
    return (round(sum(found.overflow), 6), round(found.total, 9), found.words.breaks)


@dataclass(frozen=True, slots=True)
class _SetWords:
    """A breaking set for true: its lines, their baselines, and the points its oval must hold."""

    breaks: Breaks
    lines: tuple[SetLine, ...]
    baselines: list[float]
    points: Floats
    aspect: tuple[float, float]


@dataclass(frozen=True, slots=True)
class _InOval:
    """A breaking in its oval (in em), with its costs and how far it sticks out (in points)."""

    words: _SetWords
    oval: Oval
    overflow: tuple[float, float]
    costs: tuple[tuple[str, float], ...]

    @property
    def total(self) -> float:
        return sum(cost for _, cost in self.costs)

    @property
    def fits(self) -> bool:
        return self.overflow == (0.0, 0.0)


class Setter:
    """Sets breakings for true at one size: their lines, the ovals round them, their costs."""

    def __init__(
        self, words: MeasuredWords, shape: BalloonShape, wishes: Wishes, size: float, air: float
    ) -> None:
        self.words, self.shape, self.wishes = words, shape, wishes
        self.size, self.air = size, air
        self._words: dict[Breaks, _SetWords] = {}
        self._least: dict[tuple[Breaks, float], Oval] = {}
        self._lozenges: dict[Breaks, float] = {}

    def prepare(self, ways: Sequence[tuple[Breaks, float]]) -> None:
        """Find the least ovals of several breakings, each with its exponent, at once, and what it
        costs that their lines are no lozenge."""
        self._judge_lozenges([breaks for breaks, _ in ways])
        new = [way for way in ways if way not in self._least]
        some = [(self._set(breaks), n) for breaks, n in new]
        if not some or self.wishes.aspect is not None:
            return
        ovals = tightest_ovals(
            [words.points for words, _ in some],
            [n for _, n in some],
            [words.aspect for words, _ in some],
        )
        self._least.update(zip(new, ovals, strict=True))

    def _judge_lozenges(self, breakings: Sequence[Breaks]) -> None:
        new = [way for way in dict.fromkeys(breakings) if way not in self._lozenges]
        if new:
            halves = np.zeros((max(map(len, new)), len(new)))
            for column, breaks in enumerate(new):
                halves[: len(breaks), column] = [it.half_width for it in self._set(breaks).lines]
            lines = np.array([len(breaks) for breaks in new], dtype=np.intp)
            costs = lozenge_costs(halves, lines, self.shape.exponent)
            self._lozenges.update(zip(new, costs.tolist(), strict=True))

    def in_oval(self, breaks: Breaks, n: float, rounds: int = ROUNDS_FINE) -> _InOval:
        """One breaking in the least oval of exponent n."""
        self.prepare([(breaks, n)])
        words = self._set(breaks)
        oval, overflow = self._oval(words, n, rounds)
        # Breakings are ranked by the least oval: what centring adds is given after the choice.
        return _InOval(words, oval, overflow, self._costs(words, oval))

    def candidate(self, found: _InOval) -> Candidate:
        """The candidate that people see: in points, about the middle of its oval."""
        oval = found.oval
        if found.fits:
            room = _half_room(self.wishes, self.size)
            oval = centred(oval, found.words.points, craft.CENTRING_SHARE, room)
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
            for line, baseline in zip(found.words.lines, found.words.baselines, strict=True)
        )
        shape = replace(oval, center=Point(0.0, 0.0)).scaled(self.size)
        breaks, broken = found.words.breaks, self.words.broken
        return Candidate(placed, shape, self.size, breaks, found.costs, found.overflow, broken)

    def _set(self, breaks: Breaks) -> _SetWords:
        if breaks not in self._words:
            lines = set_lines(self.words, breaks)
            baselines = _baselines(len(lines), self.shape.leading, self.words.cap)
            points = rounded_hull(_corners(lines, baselines), self.air, FACETS)
            made = _SetWords(breaks, lines, baselines, points, self._aspects(lines))
            self._words[breaks] = made
        return self._words[breaks]

    def _aspects(self, lines: tuple[SetLine, ...]) -> tuple[float, float]:
        """The range of width to height: wider for one word alone, or led by a very long one."""
        if self.wishes.aspect is not None:
            return (self.wishes.aspect, self.wishes.aspect)
        low, high = self.shape.aspect
        widest = max(lines, key=lambda line: line.half_width)
        return low, flattest(self.words, widest.first, widest.last, high)

    def _oval(self, words: _SetWords, n: float, rounds: int) -> tuple[Oval, tuple[float, float]]:
        """The least oval within the room, or the least of all and how far it sticks out."""
        oval = self._least_oval(words, n)
        half = _half_room(self.wishes, self.size)
        if half is None or (oval.a <= half[0] and oval.b <= half[1]):
            return oval, (0.0, 0.0)
        for aspect in (words.aspect, craft.ASPECT_FORCED_RANGE):
            within = tightest_oval(words.points, n, Limits(aspect, *half), rounds)
            if within is not None:
                return within, (0.0, 0.0)
        assert self.wishes.room is not None
        width, height = self.wishes.room
        over = (2 * oval.a * self.size - width, 2 * oval.b * self.size - height)
        return oval, (max(over[0], 0.0), max(over[1], 0.0))

    def _least_oval(self, words: _SetWords, n: float) -> Oval:
        if self.wishes.aspect is not None:
            oval = tightest_oval(words.points, n, Limits(words.aspect))
            assert oval is not None
            return oval
        return self._least[words.breaks, n]

    def _costs(self, words: _SetWords, oval: Oval) -> tuple[tuple[str, float], ...]:
        cap, lines = self.words.cap, words.lines
        halves = [line.half_width for line in lines]
        slack = []
        for half, baseline in zip(halves, words.baselines, strict=True):
            inner = oval.half_width(baseline - cap, baseline)
            slack.append(max(inner - half - self.air, 0.0) / oval.a)
        costs = {"area": log_area(oval.area), "breaks": word_costs(self.words, words.breaks)}
        costs["uneven air"] = craft.COST_UNEVEN_AIR * sum(gap * gap for gap in slack) / len(slack)
        costs |= silhouette_costs(halves, cap)
        costs["lozenge"] = self._lozenges[words.breaks]
        if oval.n != self.shape.exponent:
            costs["fuller oval"] = craft.COST_FULLER * abs(oval.n - self.shape.exponent)
        if len(lines) > 3:
            costs["height"] = height_cost(len(lines))
        away = math.log(oval.aspect / craft.ASPECT_USUAL)
        costs["width to height"] = craft.COST_OFF_USUAL_ASPECT * away * away
        low, high = words.aspect
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


def _corners(lines: tuple[SetLine, ...], baselines: list[float]) -> list[tuple[float, float]]:
    """The corners of every glyph's ink as (distance from the middle, y), in em."""
    rows: list[tuple[float, float]] = []
    for line, baseline in zip(lines, baselines, strict=True):
        rows += [(x, y + baseline) for x, y in line.corners]
    return rows
