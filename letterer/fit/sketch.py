"""Sketches: estimates of what breakings cost, for many breakings at once.

In a sketch each line is a box from cap line to baseline, its ends where the letters (not the
hanging marks) end, its width taken from sums of advances. From a sketch follows, for any width to
height, the least oval round it, and so an estimate of the whole cost.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.breaking import Breaks
from letterer.fit.candidates import flattest
from letterer.fit.lozenge import lozenge_costs
from letterer.fit.measure import MeasuredWords
from letterer.fit.oval import area_factor

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

ASPECTS = 9
"""How many widths to height a sketch is tried with; between them the area is nearly flat."""

ASPECTS_BEYOND = 4
"""So many more, flatter than the range, where a word alone on the widest line allows them."""

ASPECTS_IN_A_ROOM = 19

STICKING_OUT = 5.0
"""Sticking out of the room given, by the logarithm of the excess: more than any other cost."""

AIR_ANGLES = np.radians([15.0, 45.0, 75.0])
"""Where a close sketch keeps the air round each corner."""

HEIGHT_STEPS = np.array([-0.15, 0.15])
CLOSE_HEIGHT_STEPS = np.linspace(-0.36, 0.36, 7)
"""Heights, in em, tried for the middle of the oval, round the likely one."""

TOWARD_WIDEST, PULL_OF_WIDTH = 0.6, 6
"""How far the middle of an oval moves from that of its lines toward the widest of them, and by what
power of their width the lines pull at it: found by trial on many texts."""


@dataclass(frozen=True)
class Rows:
    """Breakings of any numbers of lines: entry [r, k] is where line r of breaking k begins or ends.

    Beyond the last line of a breaking stands its first line again, which changes no maximum.
    """

    starts: Indices
    ends: Indices
    lines: Indices

    def __len__(self) -> int:
        return len(self.lines)

    @cached_property
    def real(self) -> NDArray[np.bool_]:
        """Which entries are lines, not the first one again."""
        return np.asarray(np.arange(len(self.ends))[:, None] < self.lines)

    def some(self, which: NDArray[np.intp] | NDArray[np.bool_]) -> Rows:
        """Some of the breakings."""
        lines = self.lines[which]
        most = int(lines.max(initial=1))
        return Rows(self.starts[:most, which], self.ends[:most, which], lines)

    def breaks(self) -> list[Breaks]:
        """Each breaking as where its lines end."""
        return [
            tuple(ends[:lines])
            for ends, lines in zip(self.ends.T.tolist(), self.lines.tolist(), strict=True)
        ]


def rows_of(tables: Sequence[tuple[Indices, Indices]]) -> Rows:
    """Starts and ends (lines, breakings) of several numbers of lines, put together."""
    most = max((len(ends) for _, ends in tables), default=1)
    padded = []
    for which in (0, 1):
        parts = []
        for table in tables:
            part = table[which]
            again = np.broadcast_to(part[:1], (most - len(part), part.shape[1]))
            parts.append(np.concatenate([part, again]))
        padded.append(np.concatenate(parts, axis=1) if parts else np.zeros((1, 0), dtype=np.intp))
    counts = [np.full(ends.shape[1], len(ends), dtype=np.intp) for _, ends in tables]
    lines = np.concatenate(counts) if counts else np.zeros(0, dtype=np.intp)
    return Rows(padded[0], padded[1], lines)


def rows_from(breakings: Sequence[Breaks]) -> Rows:
    """Breakings, given as where their lines end."""
    most = max((len(breaks) for breaks in breakings), default=1)
    ends = np.array([breaks + breaks[:1] * (most - len(breaks)) for breaks in breakings])
    ends = ends.reshape(-1, most).T.astype(np.intp)
    starts = np.concatenate([np.zeros((1, len(breakings)), dtype=np.intp), ends[:-1]])
    lines = np.array([len(breaks) for breaks in breakings], dtype=np.intp)
    return Rows(np.where(np.arange(most)[:, None] < lines, starts, 0), ends, lines)


@dataclass(frozen=True)
class Sketcher:
    """Estimates for one text at one size. `air` in em, rim included; `leading` in em; exponent n.

    `aspect` is the range of width to height; `room` is the half-width and half-height that the oval
    may take: then any width to height is tried, those out of range at a cost.
    """

    words: MeasuredWords
    air: float
    leading: float
    exponent: float
    aspect: tuple[float, float]
    room: tuple[float, float] | None = None

    @property
    def slant(self) -> float:
        """The air on the diagonal, sideways and up alike."""
        return self.air * math.cos(AIR_ANGLES[1])

    # --- Widths to height, and what they cost --------------------------------------------------

    @cached_property
    def ratios(self) -> Floats:
        """The widths to height that are tried."""
        low, high = self.aspect if self.room is None else craft.ASPECT_FORCED_RANGE
        steps = ASPECTS if self.room is None else ASPECTS_IN_A_ROOM
        ratios = np.geomspace(low, high, steps) if high > low else np.array([low])
        if self.room is not None and math.isfinite(self.room[0] + self.room[1]):
            of_the_room = min(max(self.room[0] / self.room[1], low), high)
            ratios = np.sort(np.append(ratios, of_the_room))
        most = self.flattest_of_all
        if most <= high:
            return ratios
        return np.concatenate([ratios, np.geomspace(high, most, ASPECTS_BEYOND + 1)[1:]])

    @property
    def few(self) -> slice:
        """A first look takes every other width to height, but every one in a room."""
        return slice(None, None, 2 if self.room is None else 1)

    @cached_property
    def flattest(self) -> Floats:
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
    def flattest_of_all(self) -> float:
        """The flattest that any oval of these words may be, outside of a room."""
        return float(self.flattest.max())

    @cached_property
    def ratio_costs(self) -> Floats:
        """What each width to height costs at least, whatever line is the widest."""
        return np.asarray(self._shape_costs(np.array([self.flattest_of_all]))[0])

    def _breaking_ratio_costs(self, rows: Rows) -> Floats:
        """The same for each breaking, a row each; infinite where its widest line forbids it."""
        if self.flattest_of_all == self.aspect[1]:
            return self.ratio_costs[None, :]
        widest = self.words.half_widths[rows.starts, rows.ends].argmax(axis=0)
        which = np.arange(len(rows))
        return self._shape_costs(
            self.flattest[rows.starts[widest, which], rows.ends[widest, which]]
        )

    def _shape_costs(self, high: Floats) -> Floats:
        """Costs of the widths to height for ovals that may be as flat as `high`, a row each."""
        away = np.log(self.ratios / craft.ASPECT_USUAL)
        over = np.log(self.ratios / high[:, None])
        beyond = np.maximum(np.maximum(-np.log(self.ratios / self.aspect[0]), over), 0.0)
        costs = craft.COST_OFF_USUAL_ASPECT * away**2 + craft.COST_ASPECT * beyond
        return np.asarray(np.where(over > 1e-9, np.inf, costs) if self.room is None else costs)

    def shape_costs(self, ab: Floats, ratios: Floats, ratio_costs: Floats) -> Floats:
        """The cost of ovals by area, width to height, and sticking out of the room."""
        costs = np.log(area_factor(self.exponent) * ab) + ratio_costs
        return np.asarray(costs + self.crowding(ab, ratios))

    def crowding(self, ab: Floats, ratios: Floats) -> Floats:
        """What it costs that ovals stick out of the room; `ab` with the ratios as its last axis."""
        if self.room is None:
            return np.zeros(1)
        # Either side of the room may be without end: logarithms are taken one by one.
        over_a = np.log(np.sqrt(ab * ratios)) - math.log(self.room[0])
        over_b = np.log(np.sqrt(ab / ratios)) - math.log(self.room[1])
        return np.asarray(STICKING_OUT * (np.maximum(over_a, 0) + np.maximum(over_b, 0)))

    # --- What can be told without an oval ------------------------------------------------------

    def told(self, rows: Rows) -> Floats:
        """What breaks, height and silhouette cost."""
        words, (starts, ends) = self.words, (rows.starts, rows.ends)
        last = rows.lines - 1
        each = np.where(rows.real, words.end_costs[ends], 0.0).sum(axis=0)
        height = craft.COST_HEIGHT * np.maximum(rows.lines - 3, 0)
        at_last = starts[last, np.arange(len(rows))]
        outer = words.first_line_costs[ends[0]] + words.last_line_costs[at_last]
        return np.asarray(each + height + np.where(last, outer, 0.0) + self._silhouettes(rows))

    def _silhouettes(self, rows: Rows) -> Floats:
        """`candidates.silhouette_costs` for many breakings at once."""
        if len(rows.ends) < 3:
            return np.zeros(len(rows))
        halves = self.words.half_widths[rows.starts, rows.ends]
        widths = np.where(rows.real, 2 * halves / self.words.cap, 0.0)
        above = np.maximum.accumulate(widths)[:-2]
        below = np.maximum.accumulate(widths[::-1])[::-1][2:]
        depth = np.minimum(above, below) - widths[1:-1] - craft.VALLEY_FREE_CAPS
        depth = np.maximum(depth, 0.0).sum(axis=0)
        last = rows.lines - 1
        inside = np.arange(1, len(widths))[:, None] < last
        inner = np.where(inside, widths[1:], 0.0).max(axis=0)
        step = np.maximum(widths[0], widths[last, np.arange(len(rows))]) - inner
        stairs = (step > craft.STAIR_FREE_CAPS) & (depth == 0) & (last > 1)
        most, least = widths.max(axis=0), np.where(rows.real, widths, np.inf).min(axis=0)
        even = ~stairs & (most - least <= craft.COLUMN_SHARE * most) & (last > 1)
        return np.asarray(
            np.minimum(craft.COST_VALLEY * depth, craft.COST_VALLEY_MOST)
            + craft.COST_STAIRCASE * stairs
            + craft.COST_COLUMN * even
        )

    # --- Ovals ---------------------------------------------------------------------------------

    def middles(self, rows: Rows) -> Floats:
        """How far the middle of each line lies below that of all."""
        at = np.arange(len(rows.ends))[:, None] - (rows.lines - 1) / 2
        return np.asarray(np.where(rows.real, at, at[:1]) * self.leading)

    def first(self, rows: Rows) -> Floats:
        """The area and shape part of the cost, from the outer corner of each line alone."""
        n, slant = self.exponent, self.slant
        tops, bottoms = self.words.letter_half_widths
        middles = self.middles(rows)
        upper = middles <= 0
        halves = np.where(upper, tops[rows.starts, rows.ends], bottoms[rows.starts, rows.ends])
        x_n = (np.maximum(halves, 0.0) + slant) ** n
        edges = middles + np.where(upper, -1.0, 1.0) * (self.words.cap / 2 + slant)
        heights = self._likely_heights(rows, middles)[:, None] + HEIGHT_STEPS
        y_n = np.abs(edges[:, :, None] - heights) ** n
        ratios, ratio_costs = self.ratios[self.few], self._breaking_ratio_costs(rows)[:, self.few]
        wide, tall = ratios ** (-n / 2), ratios ** (n / 2)
        need = (x_n[:, :, None] * wide)[:, :, None] + y_n[:, :, :, None] * tall
        ab = need.max(axis=0).min(axis=1) ** (2 / n)
        return np.asarray(self.shape_costs(ab, ratios, ratio_costs).min(axis=1))

    def _likely_heights(self, rows: Rows, middles: Floats) -> Floats:
        """About where the middle of each breaking's oval lies: drawn toward its widest lines."""
        halves = np.where(rows.real, self.words.half_widths[rows.starts, rows.ends], 0.0)
        pull = (halves / halves.max(axis=0)) ** PULL_OF_WIDTH
        return np.asarray(TOWARD_WIDEST * (pull * middles).sum(axis=0) / pull.sum(axis=0))

    def close(self, rows: Rows) -> Floats:
        """The area, shape, evenness and lozenge part of the cost, from both corners of each
        line."""
        n = self.exponent
        tops, bottoms = self.words.letter_half_widths
        middles = self.middles(rows)
        half_cap = self.words.cap / 2
        halves = np.concatenate([tops[rows.starts, rows.ends], bottoms[rows.starts, rows.ends]])
        edges = np.concatenate([middles - half_cap, middles + half_cap])
        outward = np.repeat([-1.0, 1.0], len(middles))[:, None, None]
        dx, dy = self.air * np.cos(AIR_ANGLES), self.air * np.sin(AIR_ANGLES)
        corners = np.maximum(halves, 0.0)[:, :, None] + dx
        # A dash that hangs is no corner, but sticks out half-way up.
        whole = self.words.half_widths[rows.starts, rows.ends] + self.air
        count = len(rows)
        x_n = np.concatenate([corners.transpose(0, 2, 1).reshape(-1, count), whole]) ** n
        y = (edges[:, :, None] + outward * dy).transpose(0, 2, 1).reshape(-1, count)
        y = np.concatenate([y, middles])
        heights = self._likely_heights(rows, middles)[:, None] + CLOSE_HEIGHT_STEPS
        y_n = np.abs(y[:, :, None] - heights) ** n
        wide, tall = self.ratios ** (-n / 2), self.ratios ** (n / 2)
        need = (x_n[:, :, None] * wide)[:, :, None] + y_n[:, :, :, None] * tall
        ab = need.max(axis=0) ** (2 / n)
        ratio_costs = self._breaking_ratio_costs(rows)[:, None, :]
        flat = self.shape_costs(ab, self.ratios, ratio_costs).reshape(count, -1)
        best = flat.argmin(axis=1)
        which = np.arange(count)
        least = ab.reshape(count, -1)[which, best]
        uneven = self._unevenness(rows, least, self.ratios[best % len(self.ratios)])
        return np.asarray(flat[which, best] + uneven + self.lozenges(rows))

    def lozenges(self, rows: Rows) -> Floats:
        """What it costs that the lines are no lozenge, by sums of advances."""
        halves = self.words.half_widths[rows.starts, rows.ends]
        return lozenge_costs(halves, rows.lines, self.exponent)

    def _unevenness(self, rows: Rows, ab: Floats, ratio: Floats) -> Floats:
        n = self.exponent
        a, b = np.sqrt(ab * ratio), np.sqrt(ab / ratio)
        far = np.abs(self.middles(rows)) + self.words.cap / 2
        inner = a * (1 - np.minimum(far / b, 1.0) ** n) ** (1 / n)
        halves = self.words.half_widths[rows.starts, rows.ends]
        gaps = np.where(rows.real, np.maximum(inner - halves - self.air, 0.0) / a, 0.0)
        return np.asarray(craft.COST_UNEVEN_AIR * (gaps**2).sum(axis=0) / rows.lines)
