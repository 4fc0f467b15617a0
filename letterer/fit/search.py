"""The search for breakings worth setting: which ways to cut a text into lines could be the best.

Every breaking is judged by a sketch (`sketch`), which gives an estimate of its whole cost.

- Numbers of lines are searched from the most promising on. For k lines of given total width there
  is an area that no breaking into k lines can beat; when that bound, with the most that breaks can
  gain, lies above the best estimate found, k is left out.
- Up to EVERY_BREAKING pieces, every breaking of those k lines is sketched, but for those with a
  line so wide that it alone makes them too dear.
- For longer texts the breakings come from dynamic programming (`profile`): for several widths to
  height and middles the least oval that some breaking fits, and the cheapest breakings in it and in
  slightly larger ones; then from moving breaks of the best of them.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.breaking import Breaks
from letterer.fit.measure import MeasuredWords
from letterer.fit.profile import Profiles, Reach
from letterer.fit.sketch import Rows, Sketcher, rows_from, rows_of

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

EVERY_BREAKING = 14
"""Up to this many pieces, every breaking is looked at."""

LOOSENESS = (0.0, 0.03, 0.08)
"""For long texts: how much larger than the least oval the profile may be."""

SKETCHED_MOST = 128
SKETCH_MARGIN, SKETCH_MARGIN_OF_LONG_TEXTS = 0.16, 0.1
"""Sketches this much dearer than the cheapest are looked at more closely: a first sketch knows one
corner a line, and neither uneven air nor whether the lines make a lozenge."""

BALANCED_FIRST = 6
"""So many breakings with the narrowest widest line, of each of the COUNTS_FIRST most promising
numbers of lines, set the mark for the rest."""

COUNTS_FIRST = 3

SET_MOST, SET_MOST_IN_A_ROOM = 16, 48
SET_MARGIN = 0.03
SET_MARGIN_OF_LONG_TEXTS = 0.04
SHORT_TEXT_MARGIN = 0.1
"""Breakings this much dearer than the cheapest by close sketch are set for true. A close sketch
leaves out kerning, accents and commas, worth up to about 1 % of area (tests/fit)."""

ACCENT_MARGIN, MUCH_BEYOND = 0.06, 0.3
"""So much more where accents (not commas) reach beyond the capitals by this share of their height:
in an outer line they cost several per cent of area."""

MARGIN_IN_A_ROOM = 0.4
"""In a room, what is dearer by this much is set for true all the same: what is the cheapest by
sketch may stick out by a hair, and then a breaking with a lone word is better than smaller type."""

BOUND_STEPS = 12
"""Halvings in the search for the least oval that holds the words."""

RATIO_STEP_SLACK = 0.012
"""The bound is taken at a few widths to height; between two of them it may lie lower by this."""

MIDDLES = (0.0, -0.35, 0.35)
MIDDLES_OF_GIVEN_LINES = (*MIDDLES, -0.8, 0.8)
"""For long texts: where the oval's middle lies below that of the lines, in lines."""

PROFILE_MARGIN = 0.15
"""For long texts: an oval whose least size is dearer than the best one's by this is left out."""

PROFILE_MARGIN_IN_A_ROOM = 0.5

MOVED_FROM, MOVED_TOGETHER = (5, 3, 2), 2
"""For long texts: of each line count the breaks of so many of the best are moved, time after
time, and so many breaks together at most."""

_Kind = tuple[int, int, float]
"""For long texts: so many lines, which width to height, and where the middle lies."""


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

    @cached_property
    def sketcher(self) -> Sketcher:
        """What gives the estimates."""
        given = (self.words, self.air, self.leading, self.exponent)
        return Sketcher(*given, self.aspect, self.room)

    def breakings(self) -> list[Breaks]:
        """The breakings worth setting for true, the most promising first; never empty."""
        short = len(self.words) <= EVERY_BREAKING
        rows, estimates = self._of_a_short_text() if short else self._of_a_long_text()
        keep = np.flatnonzero(estimates <= estimates.min() + self._margin)
        kept = zip(np.round(estimates[keep], 9).tolist(), rows.some(keep).breaks(), strict=True)
        most = SET_MOST if self.room is None else SET_MOST_IN_A_ROOM
        return [breaks for _, breaks in sorted(kept)[:most]]

    @cached_property
    def _margin(self) -> float:
        """How much dearer than the cheapest by close sketch a breaking may be, to be set."""
        margin = SET_MARGIN + SHORT_TEXT_MARGIN / len(self.words)
        if len(self.words) > EVERY_BREAKING:
            margin = SET_MARGIN_OF_LONG_TEXTS
        if self.words.beyond > MUCH_BEYOND * self.words.cap:
            margin += ACCENT_MARGIN
        return margin if self.room is None else max(margin, MARGIN_IN_A_ROOM)

    # --- Short texts ---------------------------------------------------------------------------

    def _of_a_short_text(self) -> tuple[Rows, Floats]:
        """The best of every breaking, with their estimates."""
        counts = self._line_counts()
        tables = {lines: self._every(lines) for _, lines in counts[:COUNTS_FIRST]}
        some = [table.balanced for table in tables.values()]
        first = self._sketched(rows_of(some))
        best = float(first[1].min(initial=math.inf))
        found = []
        for bound, lines in counts:
            if bound > best + self._margin:
                break
            table = tables.get(lines) or self._every(lines)
            found.append(table.some(self._outer_costs(lines, table.widest) <= best + self._margin))
        rows = rows_of(found)
        if not len(rows):
            return first
        return self._sketched(rows)

    def _every(self, lines: int) -> _Table:
        return _Table(self.words, *every_breaking_as_columns(len(self.words), lines))

    def _outer_costs(self, lines: int, widest: Floats) -> Floats:
        """What breakings into so many lines cost at least, told by their widest line alone.

        An oval is higher than the outer lines' edges, and wider than the widest line.
        """
        slant = self.sketcher.slant
        high = (lines - 1) / 2 * self.leading + self.words.cap / 2 + slant
        b = np.maximum(high, (widest[:, None] + slant) / self.sketcher.ratios)
        with np.errstate(invalid="ignore"):
            costs = self._least_shape_costs(b) + self._least_other_costs(lines)
        return np.asarray(np.where(np.isfinite(widest), costs, np.inf))

    def _sketched(self, rows: Rows, wider: float = 0.0) -> tuple[Rows, Floats]:
        """The cheapest of these breakings with an estimate of their whole cost."""
        if not len(rows):
            return rows, np.zeros(0)
        told = self.sketcher.told(rows)
        first = self.sketcher.first(rows) + told
        keep = np.argsort(first, kind="stable")[:SKETCHED_MOST]
        long = len(self.words) > EVERY_BREAKING
        margin = wider + (SKETCH_MARGIN_OF_LONG_TEXTS if long else SKETCH_MARGIN)
        margin += 0.0 if self.room is None else MARGIN_IN_A_ROOM
        keep = keep[first[keep] <= first[keep[0]] + margin]
        rows = rows.some(keep)
        return rows, self.sketcher.close(rows) + told[keep]

    # --- Numbers of lines, and what they cost at least -----------------------------------------

    @property
    def _counts(self) -> range:
        """The numbers of lines that the words, and the wish, allow."""
        fewest, most = self.words.fewest_lines, len(self.words)
        if self.lines is None:
            return range(fewest, most + 1)
        lines = min(max(self.lines, fewest), most)
        return range(lines, lines + 1)

    def _line_counts(self) -> list[tuple[float, int]]:
        """The numbers of lines that the words allow, each with a bound on its cost, best first.

        The bound is a plain one: an oval is higher than the outer lines' edges, and its widest line
        is no narrower than the average.
        """
        words, slant, ratios = self.words, self.sketcher.slant, self.sketcher.ratios
        lines = np.array(self._counts)
        high = (lines - 1) / 2 * self.leading + words.cap / 2 + slant
        wide = words.least_total_half_widths[lines - 1] / lines + slant
        b = np.maximum(high[:, None], wide[:, None] / ratios)
        bounds = self._least_shape_costs(b) + self._least_other_costs(lines)
        return sorted(zip(bounds.tolist(), lines.tolist(), strict=True))

    def _least_half_heights(self, lines: int) -> Floats:
        """For each width to height, no oval that holds this many lines of the words is lower.

        The lines together are at least as wide as all the words less the spaces lost at the breaks.
        An oval that holds them has bands of at least that width together; the smallest such oval,
        for the best width to height, bounds the area.
        """
        n, slant, ratios = self.exponent, self.sketcher.slant, self.sketcher.ratios
        wanted = float(self.words.least_total_half_widths[lines - 1]) + slant * lines
        y_n = (np.abs(self._line_middles(lines)) + self.words.cap / 2 + slant) ** n
        low = np.full(len(ratios), float(y_n.max()) ** (1 / n))
        high = low + wanted / ratios
        for _ in range(BOUND_STEPS):
            b = (low + high) / 2
            bands = ratios[:, None] * (np.maximum(b[:, None] ** n - y_n, 0.0) ** (1 / n))
            enough = bands.sum(axis=1) >= wanted
            high, low = np.where(enough, b, high), np.where(enough, low, b)
        return low

    def may_fit(self) -> bool:
        """False when no breaking can keep within the room, by the bounds alone."""
        ratios = self.sketcher.ratios
        return any(
            float(self.sketcher.crowding(ratios * b**2, ratios).min()) <= 0
            for b in map(self._least_half_heights, self._counts)
        )

    def _least_shape_costs(self, b: Floats) -> Floats:
        """The least cost of area and shape with half-heights of at least `b`, a column a ratio."""
        ratios = self.sketcher.ratios
        costs = self.sketcher.shape_costs(ratios * b**2, ratios, self.sketcher.ratio_costs)
        return np.asarray(costs.min(axis=1))

    def _least_other_costs(self, lines: int | Indices) -> Floats:
        """The least that all but the area can cost, for numbers of lines."""
        gain = min(0.0, float(self.words.end_costs.min())) * (lines - 1)
        height = craft.COST_HEIGHT * np.maximum(lines - 3, 0)
        return np.asarray(gain + height - RATIO_STEP_SLACK)

    def _line_middles(self, lines: int) -> Floats:
        """How far the middle of each line lies below that of all."""
        return np.asarray((np.arange(lines) - (lines - 1) / 2) * self.leading)

    # --- Long texts ----------------------------------------------------------------------------

    def _of_a_long_text(self) -> tuple[Rows, Floats]:
        """The best of those that dynamic programming gives, and of their neighbours."""
        margin = PROFILE_MARGIN if self.room is None else PROFILE_MARGIN_IN_A_ROOM
        larger = np.sqrt(1 + np.array(LOOSENESS))
        found: dict[Breaks, None] = {}
        for some, heights in self._profiles(margin):
            again = some.some(np.tile(np.arange(len(heights)), len(larger)))
            found |= dict.fromkeys(again.cheapest(np.outer(larger, heights).ravel()))
        found.pop((), None)
        return self._with_neighbours(*self._sketched(self._possible(list(found)), PROFILE_MARGIN))

    def _profiles(self, margin: float) -> list[tuple[Profiles, Floats]]:
        """The ovals worth filling, of any number of lines, with their least half-heights."""
        counts = self._line_counts()
        which = range(len(self.sketcher.ratios))[self.sketcher.few]
        # The writer's own lines may be widest at the top or the bottom.
        middles = MIDDLES if self.words.fewest_lines == 1 else MIDDLES_OF_GIVEN_LINES
        most = math.inf
        found: list[tuple[Profiles, Floats]] = []
        for some in (counts[:COUNTS_FIRST], counts[COUNTS_FIRST:]):
            lines = [lines for bound, lines in some if bound <= most]
            if lines:
                ovals = self._ovals([*itertools.product(lines, which, middles)])
                ovals, heights = ovals.least(self._profile_costs, most, margin)
                most = min(
                    most, float(self._profile_costs(ovals, heights).min(initial=math.inf)) + margin
                )
                found.append((ovals, heights))
        return [
            (ovals.some(good), heights[good])
            for ovals, heights in found
            for good in [np.flatnonzero(self._profile_costs(ovals, heights) <= most)]
            if len(good)
        ]

    def _ovals(self, kinds: list[_Kind]) -> Profiles:
        """Ovals of these kinds."""
        lines = np.array([kind[0] for kind in kinds], dtype=np.intp)
        which = np.array([kind[1] for kind in kinds], dtype=np.intp)
        middles = np.array([kind[2] for kind in kinds]) * self.leading
        at = np.arange(int(lines.max()))[None, :] - (lines.max() - lines)[:, None]
        off = (at - (lines[:, None] - 1) / 2) * self.leading - middles[:, None]
        far = np.abs(off) + self.words.cap / 2 + self.sketcher.slant
        far_n = np.where(at < 0, np.inf, far**self.exponent)
        ratios = self.sketcher.ratios[which]
        return Profiles(
            self._reach, self.sketcher.slant, self.exponent, which, ratios, lines, far_n
        )

    @cached_property
    def _reach(self) -> Reach:
        return Reach(self.words)

    def _profile_costs(self, ovals: Profiles, heights: Floats) -> Floats:
        """What ovals of these half-heights cost, by area, shape and height."""
        shape = self.sketcher.shape_costs(
            ovals.ratios * heights**2, ovals.ratios, self.sketcher.ratio_costs[ovals.which]
        )
        return np.asarray(shape + craft.COST_HEIGHT * np.maximum(ovals.lines - 3, 0))

    def _with_neighbours(self, rows: Rows, estimates: Floats) -> tuple[Rows, Floats]:
        """These breakings, and those that come of the best by moving breaks, a few times over.

        Dynamic programming does not see silhouettes, which depend on more than one line.
        """
        known = dict(zip(rows.breaks(), estimates.tolist(), strict=True))
        tried: set[Breaks] = set()
        for most in MOVED_FROM:
            best = self._best_of_each(known, most)
            ways = {way for breaks in best if breaks not in tried for way in _moves(breaks)}
            tried.update(best)
            moved = self._possible(sorted(ways - known.keys()))
            if len(moved):
                moved, theirs = self._sketched(moved)
                known |= zip(moved.breaks(), theirs.tolist(), strict=True)
        return rows_from(list(known)), np.array(list(known.values()))

    def _best_of_each(self, known: dict[Breaks, float], most: int) -> list[Breaks]:
        """The cheapest few of each number of lines."""
        best: dict[int, list[Breaks]] = {}
        for breaks in sorted(known, key=lambda breaks: (known[breaks], breaks)):
            of_these = best.setdefault(len(breaks), [])
            if len(of_these) < most:
                of_these.append(breaks)
        return [breaks for of_these in best.values() for breaks in of_these]

    def _possible(self, breakings: Sequence[Breaks]) -> Rows:
        """Those breakings that leave no line empty and keep the writer's own line breaks."""
        rows = rows_from(breakings)
        rows = rows.some(np.flatnonzero((rows.starts < rows.ends).all(axis=0)))
        halves = self.words.half_widths[rows.starts, rows.ends]
        return rows.some(np.flatnonzero(np.isfinite(halves).all(axis=0)))


@dataclass(frozen=True)
class _Table:
    """Every breaking of a text into so many lines, with its widest line."""

    words: MeasuredWords
    starts: Indices
    ends: Indices

    @cached_property
    def widest(self) -> Floats:
        return np.asarray(self.words.half_widths[self.starts, self.ends].max(axis=0))

    @property
    def balanced(self) -> tuple[Indices, Indices]:
        """Those whose widest line is narrowest."""
        if len(self.widest) > BALANCED_FIRST:
            which = np.argpartition(self.widest, BALANCED_FIRST)[:BALANCED_FIRST]
        else:
            which = np.arange(len(self.widest))
        which = which[np.isfinite(self.widest[which])]
        return self.starts[:, which], self.ends[:, which]

    def some(self, which: NDArray[np.bool_]) -> tuple[Indices, Indices]:
        """Some of the breakings."""
        return self.starts[:, which], self.ends[:, which]


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


@lru_cache(maxsize=256)
def every_breaking_as_columns(count: int, lines: int) -> tuple[Indices, Indices]:
    """The same, a column each: where each line begins, and where it ends."""
    ends = np.ascontiguousarray(every_breaking(count, lines).T)
    starts = np.concatenate([np.zeros((1, ends.shape[1]), dtype=np.intp), ends[:-1]])
    return starts, ends
