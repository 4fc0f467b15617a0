"""How full a balloon is, and the rivals of its breaking: what every other breaking would cost.

Used by `proof.py`; tested by tests/fit/test_proof.py.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.balloon import BalloonShape, Setter, Wishes, exponents
from letterer.fit.breaking import Breaks, banded, best_breaks, least_scale, word_cost_table
from letterer.fit.candidates import Candidate
from letterer.fit.lozenge import fullness
from letterer.fit.measure import MeasuredWords
from letterer.fit.oval import Limits, Oval, area_factor, tightest_oval
from letterer.fit.search import Search, every_breaking
from letterer.ink.outline import oval_outline

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

BOUND_ANGLES = np.radians([10.0, 30.0, 50.0, 70.0])
"""Where on the disc of air round a corner the lower bound looks."""

EQUAL = 1e-6
"""Costs and bounds this near count as equal."""

MOVES, MOVED_FROM = 3, 60
"""The wide net of long texts: so many times the breaks of so many breakings are moved."""

NET_RATIOS, NET_MIDDLES, NET_LOOSENESS = 6, (0.0, -0.35, 0.35), (0.0, 0.03, 0.08, 0.15)
"""It begins with the cheapest breakings in ovals of so many widths to height, with their middles so
many lines off, and so much larger than the least."""

FILLED_FOR_TRUE = 12
"""So many breakings are looked at when the fullest is sought."""

LINES_MORE = 3
"""The wide net has up to so many lines more and fewer than were chosen."""


# --- Ceilings ----------------------------------------------------------------------------------


@functools.cache
def ceiling(lines: int, n: float) -> float:
    """The largest share of a superellipse that touching, equally high, centred lines can cover.

    >>> round(ceiling(2, 2.0), 3), round(ceiling(5, 2.0), 3), round(ceiling(4, 2.5), 3)
    (0.637, 0.815, 0.803)
    """
    edges = np.arange(lines + 1) - lines / 2
    far = np.maximum(np.abs(edges[:-1]), np.abs(edges[1:]))
    high = np.linspace(0, 2 / lines, 20001)[1:-1, None]
    covered = (2 * high * np.maximum(1 - (far * high) ** n, 0.0) ** (1 / n)).sum(axis=1)
    return float(covered.max() / area_factor(n))


def fill(widths: Sequence[float], n: float) -> float:
    """The share of its least oval that lines of these widths cover, air and leading taken out.

    The lines are boxes of one height that touch; the oval is the least superellipse of exponent n
    round them, of any width to height, without air.
    """
    count = len(widths)
    edges = np.arange(count + 1) - count / 2
    halves = np.array(widths) / 2
    points = np.concatenate([np.stack([halves, edges[:-1]], 1), np.stack([halves, edges[1:]], 1)])
    oval = tightest_oval(points, n, Limits((0.05 * max(widths), 20 * max(widths))), 8)
    assert oval is not None
    return float(sum(widths) / oval.area)


def fill_as_drawn(found: Candidate, cap: float, air: float, leading: float) -> float:
    """The same share in the oval as drawn, `air` (in points, rim included) taken off all round.

    Between two lines, leading as wide as the narrower of them counts as covered.
    """
    assert isinstance(found.shape, Oval)
    (ring,) = oval_outline(found.shape).flattened(3e-3)
    inside = shapely.Polygon(ring).buffer(-air, quad_segs=16)
    widths = [line.ink.width for line in found.lines]
    between = sum(map(min, itertools.pairwise(widths)))
    return float((sum(widths) * cap + between * (leading - cap)) * found.size / inside.area)


# --- Rivals ------------------------------------------------------------------------------------


class Rivals:
    """Breakings of one text, each with what can be told without setting it for true."""

    def __init__(self, words: MeasuredWords, shape: BalloonShape, wishes: Wishes) -> None:
        self.words, self.shape = words, shape
        self.air = shape.air * words.cap + shape.rim / wishes.size
        self.exponents = exponents(shape)
        self._setter = Setter(words, shape, wishes, wishes.size, self.air)
        self._set: dict[tuple[Breaks, float], Candidate] = {}
        self._halves: dict[tuple[int, int], float] = {}
        self._search = Search(words, self.air, shape.leading, shape.exponent, shape.aspect)
        self._flattest = self._search.sketcher.flattest_of_all

    def set(self, breaks: Breaks, n: float) -> Candidate:
        """A breaking set for true."""
        key = (breaks, n)
        if key not in self._set:
            self._set[key] = self._setter.candidate(self._setter.in_oval(breaks, n))
        return self._set[key]

    def area(self, breaks: Breaks) -> float:
        """Area of the least oval of the style's own exponent, in square em."""
        return math.exp(dict(self.set(breaks, self.shape.exponent).costs)["area"])

    def total(self, breaks: Breaks) -> float:
        """The least cost in any of the ovals tried."""
        return min(self.set(breaks, n).total for n in self.exponents)

    def bounds(self, rows: Indices, n: float) -> Floats:
        """For breakings of one line count: areas that their ovals cannot go below, in square em.

        Take a point (x, y) at the top of the air of one line and (x', y') at the bottom of that of
        the same or a lower line. Round both, an oval with r = a/b and its middle at any height has
        (ab)^(n/2) of at least the mean of what each needs; that mean is least half-way between,
        since |y|^n is convex: (x^n + x'^n)/2 · r^(-n/2) + ((y' - y)/2)^n · r^(n/2). This is least
        at one r, in closed form; the greatest over all such pairs is the bound.
        """
        starts = np.concatenate([np.zeros((len(rows), 1), dtype=np.intp), rows[:, :-1]], axis=1)
        lines = rows.shape[1]
        stretches, which = np.unique(
            np.stack([starts.ravel(), rows.ravel()], axis=1), axis=0, return_inverse=True
        )
        tops, bottoms = self._corners(stretches)
        which = which.reshape(rows.shape)
        base = (np.arange(lines) - (lines - 1) / 2) * self.shape.leading
        cos, sin = self.air * np.cos(BOUND_ANGLES), self.air * np.sin(BOUND_ANGLES)
        low, high = self.shape.aspect[0], max(self.shape.aspect[1], self._flattest)
        best = np.zeros(len(rows))
        for upper in range(lines):
            for lower in range(upper, lines):
                top, bottom = tops[which[:, upper]], bottoms[which[:, lower]]
                x_n = ((top[..., 0, None] + cos) ** n + (bottom[..., 0, None] + cos) ** n) / 2
                rise = base[lower] - base[upper] + bottom[..., 1, None] - top[..., 1, None]
                y_n = (np.maximum(rise, 0.0) / 2 + sin) ** n
                r = np.clip((x_n / y_n) ** (1 / n), low, high)
                ab = (x_n * r ** (-n / 2) + y_n * r ** (n / 2)) ** (2 / n)
                best = np.maximum(best, ab.max(axis=(1, 2)))
        return np.asarray(area_factor(n) * best)

    def _corners(self, stretches: Indices) -> tuple[Floats, Floats]:
        """Two corners (x, y) at the top of each stretch's ink, and two at its bottom."""
        tops, bottoms = [], []
        for first, last in stretches.tolist():
            corners = self.words.line(first, last).shaped.corners
            upper = [at for at in corners if at[1] < -self.words.cap / 2] or [corners[0]]
            lower = [at for at in corners if at[1] >= -self.words.cap / 2] or [corners[-1]]
            tops.append((min(upper, key=lambda at: at[1]), max(upper)))
            bottoms.append((max(lower, key=lambda at: at[1]), max(lower)))
        return np.array(tops), np.array(bottoms)

    def valleys(self, rows: Indices) -> Floats:
        """For breakings of one line count: how deep their waists are together, in caps."""
        if rows.shape[1] < 3:
            return np.zeros(len(rows))
        widths = self.widths(rows)
        above = np.maximum.accumulate(widths, axis=1)[:, :-2]
        below = np.maximum.accumulate(widths[:, ::-1], axis=1)[:, ::-1][:, 2:]
        depth = np.minimum(above, below) - widths[:, 1:-1] - craft.VALLEY_FREE_CAPS
        return np.asarray(np.maximum(depth, 0.0).sum(axis=1))

    def widths(self, rows: Indices) -> Floats:
        """For breakings of one line count: the widths of their lines, in caps."""
        starts = np.concatenate([np.zeros((len(rows), 1), dtype=np.intp), rows[:, :-1]], axis=1)
        for first, last in {*zip(starts.ravel().tolist(), rows.ravel().tolist(), strict=True)}:
            if (first, last) not in self._halves:
                shaped = self.words.line(first, last).shaped
                self._halves[first, last] = 2 * shaped.half_width / self.words.cap
        pairs = zip(starts.ravel().tolist(), rows.ravel().tolist(), strict=True)
        return np.array([self._halves[pair] for pair in pairs]).reshape(rows.shape)

    def lone(self, rows: Indices) -> NDArray[np.bool_]:
        """For breakings of one line count: which begin or end with a lone short word."""
        if rows.shape[1] < 2:
            return np.zeros(len(rows), dtype=bool)
        count = len(self.words)
        first = [self._is_lone(0, last) for last in range(count + 1)]
        last = [self._is_lone(first, count) for first in range(count + 1)]
        return np.asarray(np.array(first)[rows[:, 0]] | np.array(last)[rows[:, -2]])

    def _is_lone(self, first: int, last: int) -> bool:
        if first >= last or self.words.words_in(first, last) > 1:
            return False
        return self.words.letters(first, last) < craft.LONE_WORD_LETTERS

    def word_costs(self, rows: Indices) -> Floats:
        """What the breaks themselves cost, and the lines beyond three."""
        words, lines = self.words, rows.shape[1]
        costs = words.end_costs[rows].sum(axis=1) + craft.COST_HEIGHT * max(lines - 3, 0)
        if lines > 1:
            costs = costs + words.first_line_costs[rows[:, 0]]
            costs = costs + words.last_line_costs[rows[:, -2]]
        return np.asarray(costs)

    def faults(self, rows: Indices) -> Floats:
        """What words, waists and height cost, of breakings of one line count."""
        waists = np.minimum(craft.COST_VALLEY * self.valleys(rows), craft.COST_VALLEY_MOST)
        return np.asarray(self.word_costs(rows) + waists)

    def every(self) -> list[Indices]:
        """Every breaking of the text, an array for each number of lines."""
        counts = range(self.words.fewest_lines, len(self.words) + 1)
        tables = (self._possible(every_breaking(len(self.words), lines)) for lines in counts)
        return [table for table in tables if len(table)]

    def many(self, chosen: Breaks) -> list[Indices]:
        """For a long text: a wide net of breakings with about as many lines as the chosen one."""
        found: list[Indices] = []
        low = max(self.words.fewest_lines, len(chosen) - LINES_MORE, 1)
        for lines in range(low, min(len(chosen) + LINES_MORE, len(self.words)) + 1):
            rows = self._programmed(lines)
            if lines == len(chosen):
                rows = np.concatenate([rows, np.array([chosen], dtype=np.intp)])
            for _ in range(MOVES):
                if len(rows) == 0:
                    break
                bounds = np.log(self.bounds(rows, self.shape.exponent))
                orders = (bounds, bounds + self.word_costs(rows), bounds + self.valleys(rows))
                best = np.unique(np.concatenate([np.argsort(o)[:MOVED_FROM] for o in orders]))
                rows = np.unique(np.concatenate([rows, self._moved(rows[best])]), axis=0)
            if len(rows):
                found.append(rows)
        return found

    def _programmed(self, lines: int) -> Indices:
        """Breakings into this many lines that are the cheapest in some oval, a row each.

        By dynamic programming over whole tables, which shares nothing with the engine's own.
        """
        n, slant, words = self.shape.exponent, self._search.sketcher.slant, self.words
        halves, places = banded(words.half_widths, math.inf)
        plain = word_cost_table(words, lines, places)
        middles = (np.arange(lines) - (lines - 1) / 2) * self.shape.leading
        rows: dict[Breaks, None] = {}
        ways = itertools.product(np.geomspace(*self.shape.aspect, NET_RATIOS), NET_MIDDLES)
        for ratio, middle in ways:
            far = np.abs(middles - middle * self.shape.leading) + words.cap / 2 + slant
            need = (((halves + slant) / ratio) ** n)[None] + (far**n)[:, None, None]
            scale = float(least_scale(need[None], places)[0])
            if not math.isfinite(scale):
                continue
            b_n = scale * (1 + np.array(NET_LOOSENESS)) ** (n / 2)
            inner = ratio * np.maximum(b_n[:, None] - far**n, 0.0) ** (1 / n)
            slack = inner[:, :, None, None] - halves - slant
            share = slack / (ratio * b_n ** (1 / n))[:, None, None, None]
            with np.errstate(invalid="ignore"):
                costs = craft.COST_UNEVEN_AIR / lines * share**2 + plain
                costs = np.where(slack >= -EQUAL, costs, np.inf)
            rows.update(dict.fromkeys(best_breaks(costs, places)))
        rows.pop((), None)
        return np.array(list(rows), dtype=np.intp).reshape(-1, lines)

    def _moved(self, rows: Indices) -> Indices:
        """Every breaking that comes from one of these by moving one break by one piece."""
        moved = []
        for at in range(rows.shape[1] - 1):
            for by in (-1, 1):
                new = rows.copy()
                new[:, at] += by
                moved.append(new)
        if not moved:
            return rows
        all_moved = np.concatenate(moved)
        starts = np.concatenate([np.zeros((len(all_moved), 1), int), all_moved[:, :-1]], axis=1)
        return self._possible(all_moved[(starts < all_moved).all(axis=1)])

    def _possible(self, rows: Indices) -> Indices:
        starts = np.concatenate([np.zeros((len(rows), 1), dtype=np.intp), rows[:, :-1]], axis=1)
        return np.asarray(rows[np.isfinite(self.words.half_widths[starts, rows]).all(axis=1)])


def fullest_share(rivals: Rivals, tables: Sequence[Indices], most_area: float = math.inf) -> float:
    """The most of its ceiling that any of these breakings fills (air and leading taken out), among
    those of one hump and without a lone short word whose area may be this or less.

    Told by `fullness` for all, and by `fill` for the FILLED_FOR_TRUE likeliest.
    """
    n = rivals.shape.exponent
    ways: list[tuple[float, Breaks]] = []
    for rows in tables:
        fair = (rivals.valleys(rows) == 0) & ~rivals.lone(rows) & (rows.shape[1] > 1)
        rows = rows[fair & (rivals.bounds(rows, n) <= most_area + EQUAL)]
        if len(rows):
            lines = np.full(len(rows), rows.shape[1])
            told = fullness(rivals.widths(rows).T, lines, n)
            ways += zip(told.tolist(), map(tuple, rows.tolist()), strict=True)
    best = 0.0
    for _, breaks in sorted(ways, reverse=True)[:FILLED_FOR_TRUE]:
        if rivals.area(breaks) <= most_area + EQUAL:
            starts = (0, *breaks[:-1])
            inks = [rivals.words.line(*at).shaped.ink for at in zip(starts, breaks, strict=True)]
            share = fill([ink.width for ink in inks], n) / ceiling(len(breaks), n)
            best = max(best, share)
    return best


def cheapest(
    ways: Iterable[tuple[float, Breaks]], value: Callable[[Breaks], float]
) -> tuple[float, Breaks]:
    """The least value of all ways, given each with a bound that its value cannot go below."""
    best: tuple[float, Breaks] = (math.inf, ())
    for bound, breaks in sorted(ways):
        if bound > best[0] + EQUAL:
            break
        best = min(best, (value(breaks), breaks))
    return best


@dataclass(frozen=True, slots=True)
class Best:
    """The least that rivals reach: areas in square em, and the least total cost."""

    area: float
    one_humped: float
    not_lone: float
    tasteful: float
    as_fair: float
    total: float
    breaks: Breaks


def best_of(rivals: Rivals, tables: Sequence[Indices], chosen: Breaks) -> Best:
    """The least areas and the least cost among breakings, told by lower bounds and true setting.

    `tasteful` is the least area among those of one hump and without a lone short word, or of all
    where there is none such. `as_fair` is the least area among those whose words, waists and height
    cost no more than those of the chosen one: what it gives away for nothing.
    """
    n = rivals.shape.exponent
    row = np.array([chosen], dtype=np.intp)
    fair = float(rivals.faults(row)[0]) + EQUAL
    by_area: list[tuple[float, Breaks, bool, bool, bool, bool]] = []
    by_total: list[tuple[float, Breaks]] = []
    for rows in tables:
        areas, valleys, lone = rivals.bounds(rows, n), rivals.valleys(rows), rivals.lone(rows)
        shape_costs = np.log(areas)
        for fuller in rivals.exponents[1:]:
            shape_costs = np.minimum(
                shape_costs, np.log(rivals.bounds(rows, fuller)) + craft.COST_FULLER * (fuller - n)
            )
        faults = rivals.faults(rows)
        costs = shape_costs + faults
        every = [tuple(row) for row in rows.tolist()]
        tests = (
            (valleys == 0).tolist(),
            (~lone).tolist(),
            ((valleys == 0) & ~lone).tolist(),
            (faults <= fair).tolist(),
        )
        by_area += zip(areas.tolist(), every, *tests, strict=True)
        by_total += zip(costs.tolist(), every, strict=True)
    total, breaks = cheapest(by_total, rivals.total)
    area, one_humped, not_lone, tasteful, as_fair = (
        cheapest(((way[0], way[1]) for way in by_area if test is None or way[test]), rivals.area)[0]
        for test in (None, 2, 3, 4, 5)
    )
    tasteful = tasteful if math.isfinite(tasteful) else area
    return Best(area, one_humped, not_lone, tasteful, as_fair, total, breaks)
