"""Breakings of long texts: those that fill the bands of given ovals best.

For an oval, each line has a band of known width. How far a text reaches when every line takes all
that fits is the latest that each break may be; how late a text may begin, filled from its end, is
the earliest. Between the two lie few places, and dynamic programming over these alone finds the
cheapest breaking (see `breaking`). All ovals are treated at once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.breaking import Breaks
from letterer.fit.measure import MeasuredWords

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Costs = Callable[["Profiles", Floats], Floats]

WIDER, PRECISION = 2.5, 0.002
"""How far above the bound below the search for the least oval begins, and how near it comes."""

TRIED_AT_ONCE = 160
"""So many ovals are tried in one step: numpy takes little longer for these than for a few."""

WIDENED_MOST = 8
JUST_FITS = 1e-9


@dataclass(frozen=True)
class Reach:
    """How far a text reaches in lines of given half-widths, from any of its pieces on."""

    words: MeasuredWords

    @cached_property
    def _forward(self) -> tuple[Floats, float]:
        """Rows of the half-widths of all stretches that begin with a piece, end to end.

        Each row rises, and begins above the end of the one before it by the step that is given.
        """
        table = np.array(self.words.half_widths[:, 1:])
        finite = np.isfinite(table)
        step = 2 * float(table[finite].max()) + 1
        table[~finite] = step - 1
        table[np.tril_indices(len(table), -1)] = 0.0
        table = np.maximum.accumulate(table, axis=1)
        return (table + step * np.arange(len(table))[:, None]).ravel(), step

    @cached_property
    def _backward(self) -> tuple[Floats, float]:
        """The same for all stretches that end with a piece, from the shortest on."""
        count = len(self.words)
        step = self._forward[1]
        ends, lengths = np.arange(1, count + 1)[:, None], np.arange(1, count + 1)[None, :]
        table = self.words.half_widths[np.maximum(ends - lengths, 0), ends]
        table = np.where((lengths > ends) | ~np.isfinite(table), step - 1, table)
        table = np.maximum.accumulate(table, axis=1)
        return (table + step * np.arange(count)[:, None]).ravel(), step

    def onward(self, at: Indices, halves: Floats) -> Indices:
        """Where lines that begin with these pieces end at the latest, in bands this wide."""
        flat, step = self._forward
        row = np.minimum(at, len(self.words) - 1)
        reached = np.searchsorted(flat, halves + step * row + JUST_FITS, side="right")
        return np.asarray(np.maximum(reached - row * len(self.words), at))

    def back(self, at: Indices, halves: Floats) -> Indices:
        """Where lines that end before these pieces begin at the earliest."""
        flat, step = self._backward
        row = np.maximum(at - 1, 0)
        reached = np.searchsorted(flat, halves + step * row + JUST_FITS, side="right")
        return np.asarray(at - np.maximum(reached - row * len(self.words), 0))


@dataclass(frozen=True)
class Profiles:
    """Ovals for so many lines each: width to height, and each line's far edge to the power n.

    `which` are the widths to height by number. `far_n` has the shape (ovals, lines); ovals of fewer
    lines have infinity before their first.
    """

    reach: Reach
    slant: float
    exponent: float
    which: Indices
    ratios: Floats
    lines: Indices
    far_n: Floats

    def some(self, which: Indices | NDArray[np.bool_]) -> Profiles:
        """Some of the ovals."""
        lines = self.lines[which]
        most = int(lines.max(initial=1))
        far_n = self.far_n[which][:, self.far_n.shape[1] - most :]
        kinds, ratios = self.which[which], self.ratios[which]
        return replace(self, which=kinds, ratios=ratios, lines=lines, far_n=far_n)

    def bands(self, b: Floats) -> Floats:
        """The half-width that the words of each line may have, in ovals of these half-heights."""
        n = self.exponent
        inner = np.maximum(b[:, None] ** n - self.far_n, 0.0) ** (1 / n)
        return np.asarray(self.ratios[:, None] * inner - self.slant)

    def latest(self, bands: Floats) -> Indices:
        """Where each line ends when every line takes all it can, a column more for the start.

        The last is 0 where some line can take nothing.
        """
        count, most = len(self.reach.words), bands.shape[1]
        at = np.zeros(len(bands), dtype=np.intp)
        stuck = np.zeros(len(bands), dtype=bool)
        ends = [at]
        for line in range(most):
            onward = self.reach.onward(at, bands[:, line])
            stuck |= (onward == at) & (line >= most - self.lines)
            at = np.minimum(onward, count - (most - 1 - line))
            ends.append(at)
        ends[-1] = np.where(stuck, 0, at)
        return np.stack(ends, axis=1)

    def earliest(self, bands: Floats) -> Indices:
        """Where each line may begin at the earliest, so that what follows fits."""
        count, most = len(self.reach.words), bands.shape[1]
        firsts = most - self.lines
        at = np.full(len(bands), count, dtype=np.intp)
        begins = [at]
        for line in range(most - 1, -1, -1):
            back = np.where(line >= firsts, self.reach.back(at, bands[:, line]), 0)
            at = np.maximum(back, np.maximum(line - firsts, 0))
            begins.append(at)
        return np.stack(begins[::-1], axis=1)

    def least(self, costs: Costs, most: float, margin: float) -> tuple[Profiles, Floats]:
        """The ovals worth filling, and the half-height of the least of each kind that fits.

        `costs` tells what ovals of these kinds and half-heights cost, more for higher ones. The
        search narrows the half-heights of all kinds from both sides; a kind is left out as soon as
        the highest oval known not to fit is dearer than `most`, or dearer by more than the margin
        than one of any kind known to fit.
        """
        widest = float(np.diagonal(self.reach.words.half_widths, 1).max())
        average = float(self.reach.words.least_total_half_widths[-1]) / self.lines
        far = np.where(np.isfinite(self.far_n), self.far_n, 0.0).max(axis=1) ** (1 / self.exponent)
        low = np.maximum(far, (np.maximum(widest, average) + self.slant) / self.ratios)
        high = low * WIDER
        for _ in range(WIDENED_MOST):
            fits = self._fits(high)
            if fits.all():
                break
            low, high = np.where(fits, low, high), np.where(fits, high, high * WIDER)
        alive = self
        while float((high / low).max()) > 1 + PRECISION:
            parts = 1 + max(1, TRIED_AT_ONCE // len(low))
            edges = low[:, None] * (high / low)[:, None] ** (np.arange(parts + 1) / parts)
            tried = alive.some(np.repeat(np.arange(len(low)), parts - 1))
            fits = tried._fits(edges[:, 1:-1].ravel()).reshape(len(low), parts - 1)
            first = np.where(fits.any(axis=1), fits.argmax(axis=1), parts - 1)
            row = np.arange(len(low))
            low, high = edges[row, first], edges[row, first + 1]
            most = min(most, float(costs(alive, high).min()) + margin)
            some = costs(alive, low) <= most
            if not some.any():
                return alive.some(some), high[some]
            alive, low, high = alive.some(some), low[some], high[some]
        return alive, high

    def _fits(self, b: Floats) -> NDArray[np.bool_]:
        return np.asarray(self.latest(self.bands(b))[:, -1] == len(self.reach.words))

    def cheapest(self, b: Floats) -> list[Breaks]:
        """The cheapest breaking that fits each oval, given its half-height; empty where none is."""
        bands = self.bands(b)
        low, high = self.earliest(bands), self.latest(bands)
        places = low[:, :, None] + np.arange(int((high - low).max(initial=0)) + 1)
        there = places <= high[:, :, None]
        places = np.minimum(places, len(self.reach.words))
        words, most = self.reach.words, bands.shape[1]
        firsts = most - self.lines
        weight = craft.COST_UNEVEN_AIR / self.lines / (self.ratios * b) ** 2
        reached = np.where(there[:, 0] & (places[:, 0] == 0), 0.0, np.inf)
        came: list[Indices] = []
        for line in range(most):
            begins, ends = places[:, line, :, None], places[:, line + 1, None, :]
            halves = words.half_widths[np.minimum(begins, len(words) - 1), ends]
            gap = bands[:, line, None, None] - halves
            fits = (begins < ends) & (gap >= -2 * JUST_FITS) & there[:, line + 1, None, :]
            with np.errstate(invalid="ignore"):
                costs = weight[:, None, None] * gap**2 + words.end_costs[ends]
            several = self.lines > 1
            opens = (firsts == line) & several
            if opens.any():
                costs += opens[:, None, None] * words.first_line_costs[ends]
            if line == most - 1:
                last = words.last_line_costs[np.minimum(begins, len(words) - 1)]
                costs += several[:, None, None] * last
            waits = (firsts > line)[:, None, None]
            costs = np.where(
                waits, np.where(begins + ends == 0, 0.0, np.inf), np.where(fits, costs, np.inf)
            )
            total = reached[:, :, None] + costs
            came.append(total.argmin(axis=1))
            reached = total.min(axis=1)
        return self._traced(reached, places, came)

    def _traced(self, reached: Floats, places: Indices, came: list[Indices]) -> list[Breaks]:
        which = np.arange(len(reached))
        at = reached.argmin(axis=1)
        fits = np.isfinite(reached[which, at])
        ends = []
        for line in range(len(came) - 1, -1, -1):
            ends.append(places[which, line + 1, at])
            at = came[line][which, at]
        table = np.stack(ends[::-1], axis=1).tolist()
        return [
            tuple(row[len(row) - lines :]) if fit else ()
            for row, lines, fit in zip(table, self.lines.tolist(), fits.tolist(), strict=True)
        ]
