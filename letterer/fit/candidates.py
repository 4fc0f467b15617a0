"""Candidates for a unit: lines set in a shape, with the named costs that rank them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from letterer import craft
from letterer.fit.breaking import Breaks
from letterer.fit.measure import MeasuredWords, SetLine
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, union_box
from letterer.text.shaping import ShapedLine


@dataclass(frozen=True, slots=True)
class PlacedLine:
    """One line in its place: words, shaped glyphs, type size, and where the pen begins (points).

    Coordinates are those of the candidate: the middle of its shape is (0, 0), y grows downward.
    """

    words: str
    shaped: ShapedLine
    size: float
    start: Point

    @property
    def ink(self) -> Box:
        """The box of the line's ink."""
        box, size = self.shaped.ink, self.size
        x, y = self.start
        return Box(
            x + box.left * size, y + box.top * size, x + box.right * size, y + box.bottom * size
        )

    def path(self, middle: Point = Point(0.0, 0.0)) -> Path:  # noqa: B008 (a frozen value)
        """The line's outlines in points, for a candidate whose middle is put at `middle`."""
        return self.shaped.path(self.size, self.start.shifted(*middle))


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way to set a unit: its lines, the shape round them, the size, and what it costs.

    `shape` is an Oval or a Box, centred at (0, 0), in points. `costs` are named shares of area:
    what a letterer would give to avoid each fault. `overflow` is how far the shape sticks out of
    the room it was given (width, height), in points; (0, 0) when it fits. `broken` are the words
    that had to be broken with a hyphen.
    """

    lines: tuple[PlacedLine, ...]
    shape: Oval | Box
    size: float
    breaks: Breaks
    costs: tuple[tuple[str, float], ...]
    overflow: tuple[float, float] = (0.0, 0.0)
    broken: tuple[str, ...] = ()

    @property
    def total(self) -> float:
        """The sum of all costs, the logarithm of the shape's area among them."""
        return sum(cost for _, cost in self.costs)

    @property
    def fits(self) -> bool:
        """True when the shape keeps within the room it was given."""
        return self.overflow == (0.0, 0.0)

    @property
    def ink(self) -> Box:
        """The box of all the ink."""
        box = union_box(line.ink for line in self.lines)
        assert box is not None
        return box

    @property
    def text(self) -> str:
        """The words, a line each."""
        return "\n".join(line.words for line in self.lines)


def height_cost(lines: int) -> float:
    """What lines beyond the third cost: low, wide balloons sit better at the top of a panel."""
    return craft.COST_HEIGHT * max(lines - 3, 0)


def silhouette_costs(halves: Sequence[float], cap: float) -> dict[str, float]:
    """What the outline of the lines costs: an hourglass, a staircase, a column.

    `halves` are the half-widths of the lines from the top; `cap` is in the same unit.

    >>> silhouette_costs([2.0, 3.0, 2.0], 1.0)
    {}
    >>> list(silhouette_costs([5.0, 3.0, 5.0], 1.0))
    ['hourglass']
    """
    costs: dict[str, float] = {}
    if len(halves) < 3:
        return costs
    widths = [2 * half for half in halves]
    depth = 0.0
    for row in range(1, len(widths) - 1):
        shoulder = min(max(widths[:row]), max(widths[row + 1 :]))
        depth += max(0.0, (shoulder - widths[row]) / cap - craft.VALLEY_FREE_CAPS)
    if depth:
        costs["hourglass"] = min(craft.COST_VALLEY * depth, craft.COST_VALLEY_MOST)
    inner = max(widths[1:-1])
    step = max(widths[0], widths[-1]) - inner
    if step > craft.STAIR_FREE_CAPS * cap and not depth:
        costs["staircase"] = craft.COST_STAIRCASE
    elif max(widths) - min(widths) <= craft.COLUMN_SHARE * max(widths):
        costs["column"] = craft.COST_COLUMN
    return costs


def set_lines(words: MeasuredWords, breaks: Breaks) -> tuple[SetLine, ...]:
    """Every line of a breaking, shaped whole."""
    return tuple(words.line(i, j) for i, j in zip((0, *breaks[:-1]), breaks, strict=True))


def line_words(words: MeasuredWords, line: SetLine) -> str:
    """The characters of a line."""
    return words.text[words.pieces[line.first].start : words.pieces[line.last - 1].end]


def flattest(words: MeasuredWords, first: int, last: int, high: float) -> float:
    """The width to height that an oval may reach whose widest line is this stretch of pieces.

    More than `high` for one very long word, and for one word that is the whole text.
    """
    if words.words_in(first, last) > 1:
        return high
    if words.letters(first, last) >= craft.LONG_WORD_LETTERS:
        return max(high, craft.ASPECT_LONG_WORD)
    return max(high, craft.ASPECT_ONE_WORD) if last - first == len(words) else high


def log_area(area: float) -> float:
    """Areas are compared by ratio: a logarithm makes a cost of 0.05 worth 5 % of area."""
    return math.log(area)
