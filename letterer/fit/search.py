"""The search for breakings worth setting: which ways to cut a text into lines could be the best.

Every breaking is judged by a *sketch*: each line is a box from cap line to baseline, its ends
where the letters (not the hanging marks) end, its width taken from sums of advances. From a sketch
follows, for any width to height, the least oval round it, and so an estimate of the whole cost.

- Numbers of lines are searched from the most promising on. For k lines of given total width there
  is an area that no breaking into k lines can beat; when that bound, with the most that breaks can
  gain, lies above the best estimate found, k is left out.
- Up to EVERY_BREAKING pieces, every breaking of those k lines is sketched.
- For longer texts the breakings come from dynamic programming (`breaking`): for several widths to
  height and middles the least oval that some breaking fits, and the cheapest breakings in it and in
  slightly larger ones; then from moving breaks of the best of them.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.breaking import Breaks, banded, best_breaks, least_scale, word_cost_table
from letterer.fit.candidates import flattest, height_cost
from letterer.fit.measure import MeasuredWords
from letterer.fit.oval import area_factor

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

EVERY_BREAKING = 14
"""Up to this many pieces, every breaking is looked at."""

ASPECTS = 9
"""How many widths to height a sketch is tried with; between them the area is nearly flat."""

ASPECTS_BEYOND = 4
"""So many more, flatter than the range, where a word alone on the widest line allows them."""

ASPECTS_IN_A_ROOM = 19

STICKING_OUT = 5.0
"""Sticking out of the room given, by the logarithm of the excess: more than any other cost."""

LOOSENESS = (0.0, 0.03, 0.08)
"""For long texts: how much larger than the least oval the profile may be."""

SKETCHED_MOST = 32
SKETCH_MARGIN = 0.1
"""Sketches this much dearer than the cheapest are looked at more closely: a first sketch knows one
corner a line."""

MANY_BREAKINGS = 120
"""From here on, hopeless breakings are sorted out before any sketch is made."""

BALANCED_FIRST = 6
"""So many breakings with the narrowest widest line set the mark for the rest."""

SET_MOST = 16
SET_MARGIN = 0.02
SHORT_TEXT_MARGIN = 0.1
"""Breakings this much dearer than the cheapest by close sketch are set for true. A close sketch
leaves out kerning, accents and commas, worth up to about 1 % of area (tests/fit)."""

ACCENT_MARGIN, MUCH_BEYOND = 0.06, 0.3
"""So much more where accents (not commas) reach beyond the capitals by this share of their height:
in an outer line they cost several per cent of area."""

MARGIN_IN_A_ROOM = 0.4
"""In a room, what is dearer by this much is set for true all the same: what is the cheapest by
sketch may stick out by a hair, and then a breaking with a lone word is better than smaller type."""

AIR_ANGLES = np.radians([15.0, 45.0, 75.0])
"""Where a close sketch keeps the air round each corner."""

HEIGHT_STEPS = np.array([-0.15, 0.15])
CLOSE_HEIGHT_STEPS = np.linspace(-0.36, 0.36, 7)
"""Heights, in em, tried for the middle of the oval, round the likely one."""

TOWARD_WIDEST, PULL_OF_WIDTH = 0.6, 6
"""How far the middle of an oval moves from that of its lines toward the widest of them, and by what
power of their width the lines pull at it: found by trial on many texts."""


@dataclass(frozen=True)
class Search:
    """One search, at one size. `air` in em, rim included; `leading` in em; `exponent` n.

    `aspect` is the range of width to height; `lines` fixes the number of lines; `room` is the
    half-width and half-height that the oval may take: then any width to height is tried, those
    out of range at a cost.
    """

    words: MeasuredWords
    air: float
    leading: float
    exponent: float
    aspect: tuple[float, float]
    lines: int | None = None
    room: tuple[float, float] | None = None

    def breakings(self) -> list[Breaks]:
        """The breakings worth setting for true, the most promising first; never empty."""
        found: list[tuple[float, Breaks]] = []
        best = math.inf
        margin = SET_MARGIN + SHORT_TEXT_MARGIN / len(self.words)
        if self.words.beyond > MUCH_BEYOND * self.words.cap:
            margin += ACCENT_MARGIN
        if self.room is not None:
            margin = max(margin, MARGIN_IN_A_ROOM)
        for bound, lines in self._line_counts():
            if bound > best + margin and found:
                break
            if found and self._bound(lines) > best + margin:
                continue
            ends = self._ends(lines)
            if not len(ends):
                continue
            estimates, ends = self._sketched(ends)
            found += [
                (float(estimate), tuple(int(end) for end in row))
                for estimate, row in zip(estimates, ends, strict=True)
            ]
            best = min(best, float(estimates.min()))
        if len(self.words) > EVERY_BREAKING:
            found = self._with_neighbours(found)
            best = min(best, min(estimate for estimate, _ in found))
        found = [item for item in found if item[0] <= best + margin]
        found.sort(key=lambda item: (round(item[0], 9), item[1]))
        return [breaks for _, breaks in found[:SET_MOST]]

    @cached_property
    def _ratios(self) -> Floats:
        low, high = self.aspect if self.room is None else craft.ASPECT_FORCED_RANGE
        steps = ASPECTS if self.room is None else ASPECTS_IN_A_ROOM
        ratios = np.geomspace(low, high, steps) if high > low else np.array([low])
        most = float(self._flattest.max())
        if most <= high:
            return ratios
        return np.concatenate([ratios, np.geomspace(high, most, ASPECTS_BEYOND + 1)[1:]])

    @cached_property
    def _flattest(self) -> Floats:
        """How flat an oval may be whose widest line are pieces i to j: entry [i, j]."""
        count, (low, high) = len(self.words), self.aspect
        table = np.full((count, count + 1), high)
        if low == high:
            return table
        for first in range(count):
            for last in range(first + 1, count + 1):
                if self.words.words_in(first, last) > 1:
                    break
                table[first, last] = flattest(self.words, first, last, high)
        return table

    @cached_property
    def _ratio_costs(self) -> Floats:
        """What each width to height costs at least, whatever line is the widest."""
        return np.asarray(self._shape_costs(self._flattest.max(keepdims=True))[0])

    def _breaking_ratio_costs(self, starts: Indices, ends: Indices) -> Floats:
        """The same for each breaking, a row each; infinite where its widest line forbids it."""
        if self._flattest.max() == self.aspect[1]:
            return self._ratio_costs[None, :]
        widest = self.words.half_widths[starts, ends].argmax(axis=1)[:, None]
        first, last = (np.take_along_axis(at, widest, axis=1) for at in (starts, ends))
        return self._shape_costs(self._flattest[first, last])

    def _shape_costs(self, high: Floats) -> Floats:
        """Costs of the widths to height for ovals that may be as flat as `high`, a column."""
        away = np.log(self._ratios / craft.ASPECT_USUAL)
        over = np.log(self._ratios / high)
        beyond = np.maximum(np.maximum(-np.log(self._ratios / self.aspect[0]), over), 0.0)
        costs = craft.COST_OFF_USUAL_ASPECT * away**2 + craft.COST_ASPECT * beyond
        return np.asarray(np.where(over > 1e-9, np.inf, costs) if self.room is None else costs)

    def _crowding(self, ab: Floats, ratios: Floats) -> Floats:
        """What it costs that ovals stick out of the room; `ab` with the ratios as its last axis."""
        if self.room is None:
            return np.zeros(1)
        # Either side of the room may be without end: logarithms are taken one by one.
        over_a = np.log(np.sqrt(ab * ratios)) - math.log(self.room[0])
        over_b = np.log(np.sqrt(ab / ratios)) - math.log(self.room[1])
        return np.asarray(STICKING_OUT * (np.maximum(over_a, 0) + np.maximum(over_b, 0)))

    def _line_counts(self) -> list[tuple[float, int]]:
        """The numbers of lines that the words allow, each with a bound on its cost, best first.

        The bound is a plain one: an oval is higher than the outer lines' edges, and its widest line
        is no narrower than the average.
        """
        words, slant = self.words, self.air * math.cos(AIR_ANGLES[1])
        lines = np.array(self._counts)
        high = (lines - 1) / 2 * self.leading + words.cap / 2 + slant
        wide = words.least_total_half_widths[lines - 1] / lines + slant
        b = np.maximum(high[:, None], wide[:, None] / self._ratios)
        bounds = self._least_shape_costs(b) + self._least_other_costs(lines)
        return sorted(zip(bounds.tolist(), lines.tolist(), strict=True))

    def _bound(self, lines: int) -> float:
        """A closer bound: a cost that no breaking into this many lines can go below."""
        b = self._least_half_heights(lines)
        return float(self._least_shape_costs(b[None, :])[0] + self._least_other_costs(lines))

    def _least_half_heights(self, lines: int) -> Floats:
        """For each width to height, no oval that holds this many lines of the words is lower.

        The lines together are at least as wide as all the words less the spaces lost at the breaks.
        An oval that holds them has bands of at least that width together; the smallest such oval,
        for the best width to height, bounds the area.
        """
        n, slant = self.exponent, self.air * math.cos(AIR_ANGLES[1])
        wanted = float(self.words.least_total_half_widths[lines - 1]) + slant * lines
        y_n = (self._far_edges(lines) + slant) ** n
        low = np.full(len(self._ratios), float(y_n.max()) ** (1 / n))
        high = low + wanted / self._ratios
        for _ in range(BOUND_STEPS):
            b = (low + high) / 2
            bands = self._ratios[:, None] * (
                np.maximum(b[:, None] ** n - y_n[None, :], 0.0) ** (1 / n)
            )
            enough = bands.sum(axis=1) >= wanted
            high, low = np.where(enough, b, high), np.where(enough, low, b)
        return low

    def may_fit(self) -> bool:
        """False when no breaking can keep within the room, by the bounds alone."""
        return any(
            float(self._crowding(self._ratios * b**2, self._ratios).min()) <= 0
            for b in map(self._least_half_heights, self._counts)
        )

    @property
    def _counts(self) -> range:
        """The numbers of lines that the words, and the wish, allow."""
        fewest, most = self.words.fewest_lines, len(self.words)
        if self.lines is None:
            return range(fewest, most + 1)
        lines = min(max(self.lines, fewest), most)
        return range(lines, lines + 1)

    def _least_shape_costs(self, b: Floats) -> Floats:
        """The least cost of area and shape with half-heights of at least `b`, a column a ratio."""
        ab = self._ratios * b**2
        costs = np.log(area_factor(self.exponent) * ab) + self._ratio_costs
        return np.asarray((costs + self._crowding(ab, self._ratios)).min(axis=1))

    def _least_other_costs(self, lines: int | NDArray[np.integer]) -> Floats:
        """The least that all but the area can cost, for numbers of lines."""
        gain = min(0.0, float(self.words.end_costs.min())) * (lines - 1)
        height = craft.COST_HEIGHT * np.maximum(lines - 3, 0)
        return np.asarray(gain + height - RATIO_STEP_SLACK)

    def _far_edges(self, lines: int) -> Floats:
        """For each line the distance from the middle to the farther of cap line and baseline."""
        return np.asarray(np.abs(self._line_middles(lines)) + self.words.cap / 2)

    def _line_middles(self, lines: int) -> Floats:
        """How far the middle of each line lies below that of all."""
        return np.asarray((np.arange(lines) - (lines - 1) / 2) * self.leading)

    def _ends(self, lines: int) -> Indices:
        """Breakings into this many lines, a row each: where every line ends."""
        count = len(self.words)
        if count <= EVERY_BREAKING:
            return self._possible(every_breaking(count, lines))
        return self._programmed(lines)

    def _programmed(self, lines: int) -> Indices:
        """Breakings of a long text by dynamic programming, for several shapes and loosenesses.

        The ovals' middles lie at that of the lines, or a little above or below it.
        """
        slant = self.air * math.cos(AIR_ANGLES[1])
        middles = self._line_middles(lines)[None, :] - MIDDLES[:, None] * self.leading
        y_n = (np.abs(middles) + self.words.cap / 2 + slant) ** self.exponent
        area = self._usual_area(lines, y_n[0], slant) * (1 + LONG_TEXT_AREA_SLACK)
        rows: dict[Breaks, None] = {}
        shapes = [(ratio, y) for ratio in self._ratios[::2] for y in y_n]
        done = 0
        while done < len(shapes):
            widest = math.sqrt(area * float(shapes[done][0])) if area < math.inf else math.inf
            table = banded(self.words.half_widths, widest)
            fit = max(TABLE_MOST // (lines * table[0].size * len(LOOSENESS)), 1)
            some = shapes[done : done + fit]
            if fit > 1:
                widest = math.sqrt(area * float(some[-1][0])) if area < math.inf else math.inf
                table = banded(self.words.half_widths, widest)
            ratios, heights = np.array([r for r, _ in some]), np.array([y for _, y in some])
            rows.update(dict.fromkeys(self._programmed_for(ratios, lines, heights, table)))
            done += fit
        rows.pop((), None)
        return np.array(list(rows), dtype=np.intp).reshape(-1, lines)

    def _programmed_for(
        self, ratios: Floats, lines: int, y_n: Floats, table: tuple[Floats, Indices]
    ) -> Iterator[Breaks]:
        """The same for some ovals at once: widths to height, and for each its lines' far edges.

        `table` are the banded half-widths.
        """
        n, slant = self.exponent, self.air * math.cos(AIR_ANGLES[1])
        halves, places = table
        x_n = (halves + slant) ** n
        need = x_n[None, None] / (ratios**n)[:, None, None, None] + y_n[:, :, None, None]
        scale = least_scale(need, places)
        plain = word_cost_table(self.words, lines, places)
        usable = np.isfinite(scale)
        if not usable.any():
            return
        b_n = (scale[usable] * (1 + np.array(LOOSENESS))[:, None] ** (n / 2)).ravel()
        ratios, y_n = (
            np.tile(ratios[usable], len(LOOSENESS)),
            np.tile(y_n[usable], (len(LOOSENESS), 1)),
        )
        half = ratios[:, None] * np.maximum(b_n[:, None] - y_n, 0.0) ** (1 / n)
        whole = (ratios * b_n ** (1 / n))[:, None, None, None]
        with np.errstate(invalid="ignore"):
            slack = (half[:, :, None, None] - halves - slant) / whole
            costs = np.where(
                slack >= -1e-9, craft.COST_UNEVEN_AIR / lines * slack**2 + plain, np.inf
            )
        yield from best_breaks(costs, places)

    def _usual_area(self, lines: int, y_n: Floats, slant: float) -> float:
        """Area over π/4 of the least oval of a usual shape that holds some breaking."""
        n, ratio = self.exponent, craft.ASPECT_USUAL
        halves, places = banded(self.words.half_widths, math.inf)
        need = ((halves + slant) / ratio) ** n + y_n[:, None, None]
        scale = float(least_scale(need[None], places)[0])
        return float(ratio * scale ** (2 / n))

    def _with_neighbours(self, found: list[tuple[float, Breaks]]) -> list[tuple[float, Breaks]]:
        """For long texts: these breakings, and those that come of the best by moving breaks.

        Dynamic programming does not see silhouettes, which depend on more than one line.
        """
        known = {breaks: estimate for estimate, breaks in found}
        best = sorted(found)
        for lines in sorted({len(breaks) for breaks in known}):
            of_these = [breaks for _, breaks in best if len(breaks) == lines]
            ways = {way for breaks in of_these[:MOVED_FROM] for way in _moves(breaks)}
            ends = self._possible(np.array(sorted(ways - known.keys()), dtype=np.intp))
            if len(ends):
                estimates, ends = self._sketched(ends)
                for estimate, row in zip(estimates.tolist(), ends.tolist(), strict=True):
                    known[tuple(row)] = estimate
        return [(estimate, breaks) for breaks, estimate in known.items()]

    def _possible(self, ends: Indices) -> Indices:
        """Those breakings that leave no line empty and keep the writer's own line breaks."""
        if not len(ends):
            return ends
        starts = np.concatenate([np.zeros((len(ends), 1), dtype=np.intp), ends[:, :-1]], axis=1)
        real = (starts < ends).all(axis=1)
        ends, starts = ends[real], starts[real]
        return np.asarray(ends[np.isfinite(self.words.half_widths[starts, ends]).all(axis=1)])

    def _sketched(self, ends: Indices) -> tuple[Floats, Indices]:
        """The cheapest of these breakings with an estimate of their whole cost."""
        starts = np.concatenate([np.zeros((len(ends), 1), dtype=np.intp), ends[:, :-1]], axis=1)
        if len(ends) > MANY_BREAKINGS:
            narrow = self._narrow_enough(starts, ends)
            starts, ends = starts[narrow], ends[narrow]
        told = self._word_costs(starts, ends)
        first = self._first_sketch(starts, ends) + told
        keep = np.argsort(first, kind="stable")[:SKETCHED_MOST]
        margin = SKETCH_MARGIN if self.room is None else SKETCH_MARGIN + MARGIN_IN_A_ROOM
        keep = keep[first[keep] <= first[keep[0]] + margin]
        starts, ends = starts[keep], ends[keep]
        return self._close_sketch(starts, ends) + told[keep], ends

    def _narrow_enough(self, starts: Indices, ends: Indices) -> NDArray[np.bool_]:
        """Which breakings have no line so wide that it alone makes them too dear."""
        widest = self.words.half_widths[starts, ends].max(axis=1)
        balanced = np.argpartition(widest, BALANCED_FIRST)[:BALANCED_FIRST]
        some = self._first_sketch(starts[balanced], ends[balanced])
        some = some + self._word_costs(starts[balanced], ends[balanced])
        gain = min(0.0, float(self.words.end_costs.min())) * (ends.shape[1] - 1)
        most = float(some.min()) - gain - height_cost(ends.shape[1]) + SKETCH_MARGIN
        # The area of an oval as wide as this, at the flattest, is already more than that.
        limit = math.sqrt(math.exp(most) / area_factor(self.exponent) * float(self._ratios[-1]))
        narrow = widest <= limit - self.air * math.cos(AIR_ANGLES[1])
        narrow[balanced] = True
        return np.asarray(narrow)

    def _word_costs(self, starts: Indices, ends: Indices) -> Floats:
        words, lines = self.words, ends.shape[1]
        costs = words.end_costs[ends].sum(axis=1) + height_cost(lines)
        if lines > 1:
            costs = (
                costs + words.first_line_costs[ends[:, 0]] + words.last_line_costs[starts[:, -1]]
            )
        return np.asarray(costs + self._silhouettes(words.half_widths[starts, ends]))

    def _silhouettes(self, halves: Floats) -> Floats:
        """`candidates.silhouette_costs` for many breakings at once: rows of half-widths."""
        lines = halves.shape[1]
        if lines < 3:
            return np.zeros(len(halves))
        widths = 2 * halves / self.words.cap
        above = np.maximum.accumulate(widths, axis=1)[:, :-2]
        below = np.maximum.accumulate(widths[:, ::-1], axis=1)[:, ::-1][:, 2:]
        depth = np.minimum(above, below) - widths[:, 1:-1] - craft.VALLEY_FREE_CAPS
        depth = np.maximum(depth, 0.0).sum(axis=1)
        step = np.maximum(widths[:, 0], widths[:, -1]) - widths[:, 1:-1].max(axis=1)
        stairs = (step > craft.STAIR_FREE_CAPS) & (depth == 0)
        most = widths.max(axis=1)
        even = ~stairs & (most - widths.min(axis=1) <= craft.COLUMN_SHARE * most)
        return np.asarray(
            np.minimum(craft.COST_VALLEY * depth, craft.COST_VALLEY_MOST)
            + craft.COST_STAIRCASE * stairs
            + craft.COST_COLUMN * even
        )

    def _first_sketch(self, starts: Indices, ends: Indices) -> Floats:
        """The area and shape part of the cost, from the outer corner of each line alone."""
        n, slant = self.exponent, self.air * math.cos(AIR_ANGLES[1])
        tops, bottoms = self.words.letter_half_widths
        lines = ends.shape[1]
        upper = np.arange(lines) <= (lines - 1) / 2
        halves = np.where(upper, tops[starts, ends], bottoms[starts, ends])
        x_n = (np.maximum(halves, 0.0) + slant) ** n
        middles = (np.arange(lines) - (lines - 1) / 2) * self.leading
        edges = middles + np.where(upper, -1.0, 1.0) * (self.words.cap / 2 + slant)
        heights = self._likely_heights(starts, ends)[:, None] + HEIGHT_STEPS
        y_n = np.abs(edges[None, :, None] - heights[:, None, :]) ** n
        few = slice(None, None, 2)  # a first look takes every other width to height
        ratios, ratio_costs = self._ratios[few], self._breaking_ratio_costs(starts, ends)[:, few]
        wide, tall = ratios ** (-n / 2), ratios ** (n / 2)
        need = (x_n[:, :, None, None] * wide[:, None] + y_n[:, :, None, :] * tall[:, None]).max(
            axis=1
        )
        ab = need.min(axis=2) ** (2 / n)
        cost = np.log(area_factor(n) * ab) + ratio_costs + self._crowding(ab, ratios)
        return np.asarray(cost.min(axis=1))

    def _likely_heights(self, starts: Indices, ends: Indices) -> Floats:
        """About where the middle of each breaking's oval lies: drawn toward its widest lines."""
        halves = self.words.half_widths[starts, ends]
        pull = (halves / halves.max(axis=1, keepdims=True)) ** PULL_OF_WIDTH
        lines = ends.shape[1]
        middles = (np.arange(lines) - (lines - 1) / 2) * self.leading
        return np.asarray(TOWARD_WIDEST * (pull * middles).sum(axis=1) / pull.sum(axis=1))

    def _close_sketch(self, starts: Indices, ends: Indices) -> Floats:
        """The area, shape and evenness part of the cost, from both corners of each line."""
        n = self.exponent
        tops, bottoms = self.words.letter_half_widths
        lines = ends.shape[1]
        halves = np.concatenate([tops[starts, ends], bottoms[starts, ends]], axis=1)
        middles = (np.arange(lines) - (lines - 1) / 2) * self.leading
        half_cap = self.words.cap / 2
        edges = np.concatenate([middles - half_cap, middles + half_cap])
        outward = np.concatenate([-np.ones(lines), np.ones(lines)])
        dx, dy = self.air * np.cos(AIR_ANGLES), self.air * np.sin(AIR_ANGLES)
        corners = (np.maximum(halves, 0.0)[:, :, None] + dx).reshape(len(halves), -1)
        # A dash that hangs is no corner, but sticks out half-way up.
        x_n = (
            np.concatenate([corners, self.words.half_widths[starts, ends] + self.air], axis=1) ** n
        )
        y = np.concatenate([(edges[:, None] + outward[:, None] * dy).ravel(), middles])
        heights = self._likely_heights(starts, ends)[:, None] + CLOSE_HEIGHT_STEPS
        y_n = np.abs(y - heights[:, :, None]) ** n
        wide, tall = self._ratios ** (-n / 2), self._ratios ** (n / 2)
        need = (
            x_n[:, None, None, :] * wide[None, None, :, None]
            + y_n[:, :, None, :] * tall[None, None, :, None]
        ).max(axis=3)
        ab = need ** (2 / n)
        ratio_costs = self._breaking_ratio_costs(starts, ends)[:, None, :]
        cost = np.log(area_factor(n) * ab) + ratio_costs + self._crowding(ab, self._ratios)
        flat = cost.reshape(len(cost), -1)
        best = flat.argmin(axis=1)
        rows = np.arange(len(cost))
        ratio = self._ratios[best % len(self._ratios)]
        least = ab.reshape(len(ab), -1)[rows, best]
        return np.asarray(flat[rows, best] + self._unevenness(starts, ends, least, ratio))

    def _unevenness(self, starts: Indices, ends: Indices, ab: Floats, ratio: Floats) -> Floats:
        n = self.exponent
        a, b = np.sqrt(ab * ratio)[:, None], np.sqrt(ab / ratio)[:, None]
        far = np.minimum(self._far_edges(ends.shape[1])[None, :] / b, 1.0)
        inner = a * (1 - far**n) ** (1 / n)
        gaps = np.maximum(inner - self.words.half_widths[starts, ends] - self.air, 0.0) / a
        return np.asarray(craft.COST_UNEVEN_AIR * (gaps**2).mean(axis=1))


BOUND_STEPS = 12
"""Halvings in the search for the least oval that holds the words."""

RATIO_STEP_SLACK = 0.012
"""The bound is taken at a few widths to height; between two of them it may lie lower by this."""

TABLE_MOST = 1_000_000
"""Places in the tables of one pass over a long text: some tens of megabytes."""

LONG_TEXT_AREA_SLACK = 0.4
"""For long texts: a breaking that needs this much more than the least area is not worth having."""


MIDDLES = np.array([0.0, -0.35, 0.35])
"""For long texts: where the oval's middle lies below that of the lines, in lines."""

MOVED_FROM, MOVED_TOGETHER = 2, 2
"""For long texts: of each line count, the breaks of so many of the best are moved, and so many
breaks together at most."""


def _moves(breaks: Breaks) -> list[Breaks]:
    """Breakings in which a few breaks next to each other stand one piece earlier, or later.

    >>> _moves((2, 4))
    [(1, 4), (3, 4)]
    """
    moves = []
    for first in range(len(breaks) - 1):
        for last in range(first + 1, min(first + MOVED_TOGETHER, len(breaks) - 1) + 1):
            for by in (-1, 1):
                run = (end + by for end in breaks[first:last])
                moves.append((*breaks[:first], *run, *breaks[last:]))
    return moves


@lru_cache(maxsize=256)
def every_breaking(count: int, lines: int) -> Indices:
    """Every way to cut `count` pieces into `lines` lines: rows of where each line ends.

    >>> every_breaking(3, 2).tolist()
    [[1, 3], [2, 3]]
    """
    rows = [(*cuts, count) for cuts in itertools.combinations(range(1, count), lines - 1)]
    return np.array(rows, dtype=np.intp).reshape(-1, lines)
