"""The best lines in the tightest oval: line count, breaks, width to height and size sought
together.

For each number of lines and each of a few widths to height, the least oval that some breaking fits
is found, and in it (and in slightly larger ones) the breaking of least cost. Each distinct breaking
is then set for true: its lines shaped whole, the tightest oval of any allowed shape drawn round
their ink, and its costs added up. The cheapest is the first choice; the rest are the alternatives.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.breaking import Breaks, best_breaks, least_scale, line_costs
from letterer.fit.candidates import (
    Candidate,
    PlacedLine,
    line_words,
    log_area,
    set_lines,
    silhouette_costs,
    word_costs,
)
from letterer.fit.measure import MeasuredWords, SetLine
from letterer.fit.oval import (
    FACETS_FINE,
    FACETS_QUICK,
    ROUNDS_FINE,
    ROUNDS_QUICK,
    Limits,
    Oval,
    discs,
    tightest_oval,
)
from letterer.geometry import Point

Floats = NDArray[np.float64]

SHAPES_TRIED = 7
"""How many widths to height are tried for each number of lines."""

LOOSENESS = (0.0, 0.03, 0.08)
"""How much larger than the least oval the profile may be when breaks are weighed against area."""

SET_FOR_TRUE = 16
"""How many breakings, the cheapest by estimate, are set for true."""

SIZE_STEP = 0.05
"""Sizes are whole multiples of this many points: two balloons that shrink alike look alike."""

DIAGONAL = math.sqrt(0.5)
LINE_COUNT_SLACK = 1.6


@dataclass(frozen=True, slots=True)
class BalloonShape:
    """What a balloon of a style looks like, apart from its words.

    `air` in caps, `leading` in em, `rim` in points: half the border and the hand's amplitude, which
    come between the air and the outline's path.
    """

    air: float = craft.AIR_CAPS
    leading: float = craft.LEADING_EM
    rim: float = craft.BORDER_POINTS / 2 + craft.HAND_AMPLITUDE_POINTS
    exponent: float = craft.EXPONENT
    aspect: tuple[float, float] = craft.ASPECT_RANGE


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the plan asks of one unit; None leaves the choice to the engine.

    `size` is the size to begin with, `floor` the least it may shrink to; `room` is the width and
    height that the outline may take, in points.
    """

    size: float = craft.SIZE_USUAL
    floor: float = craft.SIZE_FLOOR
    lines: int | None = None
    aspect: float | None = None
    room: tuple[float, float] | None = None


def fit_balloon(words: MeasuredWords, shape: BalloonShape, wishes: Wishes) -> list[Candidate]:
    """Candidates for a balloon, the best first; never empty.

    The usual size is kept when something fits the room at it; else the largest size, down to the
    floor, at which something fits. When nothing fits at the floor, the candidate that sticks out
    least comes first, and its `overflow` says by how much.
    """
    found = _at_size(words, shape, wishes, wishes.size)
    if wishes.room is None or any(candidate.fits for candidate in found):
        return found
    floor = min(wishes.floor, wishes.size)
    least = _at_size(words, shape, wishes, floor)
    if not any(candidate.fits for candidate in least):
        return least
    low, high = math.ceil(floor / SIZE_STEP - 1e-9), math.ceil(wishes.size / SIZE_STEP - 1e-9)
    kept = least
    while high - low > 1:
        middle = (low + high) // 2
        tried = _at_size(words, shape, wishes, middle * SIZE_STEP)
        if any(candidate.fits for candidate in tried):
            low, kept = middle, tried
        else:
            high = middle
    return kept


def _at_size(
    words: MeasuredWords, shape: BalloonShape, wishes: Wishes, size: float
) -> list[Candidate]:
    """The candidates at one size: those that fit first, then by cost, then by breaks."""
    air = shape.air * words.cap + shape.rim / size
    setter = _Setter(words, shape, wishes, size, air)
    breakings = _breakings(words, shape, wishes, air)
    found = [setter.set(breaks, FACETS_QUICK, ROUNDS_QUICK) for breaks in breakings]
    found.sort(key=_rank)
    best = setter.set(found[0].breaks, FACETS_FINE, ROUNDS_FINE)
    return [best, *found[1:]]


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

    def set(self, breaks: Breaks, facets: int, rounds: int) -> Candidate:
        """One breaking: its lines, the oval round them, its costs."""
        lines = set_lines(self.words, breaks)
        baselines = _baselines(len(lines), self.shape.leading, self.words.cap)
        points = discs(_corners(lines, baselines), self.air, facets)
        oval, overflow = self._oval(points, len(lines), rounds)
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
        costs = self._costs(lines, baselines, oval, breaks)
        centred = replace(oval, center=Point(0.0, 0.0)).scaled(self.size)
        return Candidate(placed, centred, self.size, breaks, costs, overflow)

    def _oval(self, points: Floats, lines: int, rounds: int) -> tuple[Oval, tuple[float, float]]:
        n = self.shape.exponent
        aspect = _aspects(self.words, self.shape, self.wishes, lines)
        if self.wishes.room is not None:
            a, b = (side / 2 / self.size for side in self.wishes.room)
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
        if len(lines) > 3:
            costs["height"] = craft.COST_HEIGHT * (len(lines) - 3)
        away = math.log(oval.aspect / craft.ASPECT_USUAL)
        costs["width to height"] = craft.COST_OFF_USUAL_ASPECT * away * away
        low, high = _aspects(self.words, self.shape, self.wishes, len(lines))
        if not low - 1e-9 <= oval.aspect <= high + 1e-9:
            beyond = max(math.log(low / oval.aspect), math.log(oval.aspect / high))
            costs["aspect"] = craft.COST_ASPECT * beyond
        return tuple(costs.items())


def _baselines(lines: int, leading: float, cap: float) -> list[float]:
    """Baselines in em such that the capitals of all lines together are centred on y = 0."""
    return [(row - (lines - 1) / 2) * leading + cap / 2 for row in range(lines)]


def _corners(lines: tuple[SetLine, ...], baselines: list[float]) -> Floats:
    """The corners of every glyph's ink as (distance from the middle, y), in em."""
    rows: list[tuple[float, float]] = []
    for line, baseline in zip(lines, baselines, strict=True):
        rows += [(x, y + baseline) for x, y in line.shaped.corners]
    return np.array(rows)


def _aspects(
    words: MeasuredWords, shape: BalloonShape, wishes: Wishes, lines: int
) -> tuple[float, float]:
    if wishes.aspect is not None:
        return (wishes.aspect, wishes.aspect)
    low, high = shape.aspect
    one_word = lines == 1 and words.words_in(0, len(words)) == 1
    return (low, max(high, craft.ASPECT_ONE_WORD) if one_word else high)


def _line_counts(words: MeasuredWords, shape: BalloonShape, wishes: Wishes, air: float) -> range:
    """The numbers of lines worth trying.

    With k lines the words need at least the width W/k of them all, so an oval of k lines is at
    least
    that wide and about k lines high; counts whose oval would be far outside the allowed widths to
    height are left out.
    """
    count = len(words)
    if wishes.lines is not None:
        lines = min(max(wishes.lines, words.fewest_lines), count)
        return range(lines, lines + 1)
    total = float(words.half_widths[0, count]) * 2
    if not math.isfinite(total):
        last = words.pieces[-1].end
        total = words.shaper.advances()[last]
    low, high = (wishes.aspect, wishes.aspect) if wishes.aspect else shape.aspect
    best = [
        lines
        for lines in range(1, count + 1)
        if low / LINE_COUNT_SLACK
        <= (total / lines + 2 * air) / ((lines - 1) * shape.leading + words.cap + 2 * air)
        <= high * LINE_COUNT_SLACK
    ]
    if not best:
        ideal = math.sqrt(total / (shape.leading * math.sqrt(low * high)))
        best = [min(max(round(ideal), 1), count)]
    if wishes.room is not None:
        best = [max(best[0] - 1, 1), *best, min(best[-1] + 2, count)]
    first = max(best[0], words.fewest_lines)
    return range(first, max(best[-1], first) + 1)


def _breakings(
    words: MeasuredWords, shape: BalloonShape, wishes: Wishes, air: float
) -> list[Breaks]:
    """Distinct breakings worth setting for true, the most promising first."""
    found: dict[Breaks, float] = {}
    low, high = (wishes.aspect, wishes.aspect) if wishes.aspect else shape.aspect
    ratios = np.geomspace(low, high * (1.0 if wishes.aspect else 1.15), SHAPES_TRIED)
    for lines in _line_counts(words, shape, wishes, air):
        for estimate, breaks in _breakings_of(words, shape, lines, ratios, air):
            if breaks not in found or estimate < found[breaks]:
                found[breaks] = estimate
    ranked = sorted(found.items(), key=lambda item: (round(item[1], 9), item[0]))
    return [breaks for breaks, _ in ranked[:SET_FOR_TRUE]]


def _breakings_of(
    words: MeasuredWords, shape: BalloonShape, lines: int, ratios: Floats, air: float
) -> list[tuple[float, Breaks]]:
    """The best breakings into a number of lines, each with an estimate of its cost.

    Scales are half-heights b to the power n: line r with its corner (x, y) needs (x/ratio)^n + y^n.
    """
    n = shape.exponent
    halves = words.half_widths + air * DIAGONAL
    middles = np.abs(np.arange(lines) - (lines - 1) / 2) * shape.leading
    y_n = (middles + words.cap / 2 + air * DIAGONAL) ** n
    x_n = (halves**n)[None, :, :] / (ratios**n)[:, None, None]
    need = x_n[:, None, :, :] + y_n[None, :, None, None]
    scale = least_scale(need)
    plain = line_costs(words, lines)
    found: list[tuple[float, Breaks]] = []
    for loose in LOOSENESS:
        scales = scale * (1 + loose) ** (n / 2)
        usable = np.isfinite(scales)
        if not usable.any():
            continue
        inner = ratios[usable, None] * (
            np.maximum(scales[usable, None] - y_n[None, :], 0.0) ** (1 / n)
        )
        with np.errstate(divide="ignore", invalid="ignore"):
            slack = (inner[:, :, None, None] - halves[None, None]) / (ratios * scales ** (1 / n))[
                usable, None, None, None
            ]
        costs = np.where(
            slack >= -1e-9,
            craft.COST_UNEVEN_AIR * slack**2 / lines + plain[None],
            np.inf,
        )
        away = np.log(ratios[usable] / craft.ASPECT_USUAL)
        area = np.log(ratios[usable] * scales[usable] ** (2 / n))
        area += craft.COST_OFF_USUAL_ASPECT * away**2
        for base, best in zip(area, best_breaks(costs), strict=True):
            if best is not None:
                found.append((float(base) + best[0], best[1]))
    return found
