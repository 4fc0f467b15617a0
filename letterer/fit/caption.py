"""The best lines in a rectangle: the narrowest width that keeps the number of lines.

That is the rule of balanced text (CSS Text 4, `text-wrap: balance`): among breakings into the same
number of lines, the one whose widest line is narrowest; between those, the least ragged. A little
more width is given where it buys better breaks, by the costs of `craft`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.breaking import (
    Breaks,
    Indices,
    banded,
    best_breaks,
    least_scale,
    word_cost_table,
    word_costs,
)
from letterer.fit.candidates import (
    Candidate,
    PlacedLine,
    line_words,
    log_area,
    set_lines,
)
from letterer.fit.hyphens import better_fitting, hyphenated
from letterer.fit.measure import MeasuredWords, SetLine
from letterer.fit.sizes import largest_fitting
from letterer.fit.wanted import Wishes
from letterer.geometry import Box, Point

JUST_FITS = 1e-9


@dataclass(frozen=True, slots=True)
class CaptionShape:
    """What a caption of a style looks like: padding in caps, leading in em, rim in points.

    `centred` sets the lines about their middle; else they begin at one edge, the left one unless
    `from_right`. `widest` is the width, in points, that the caption should not pass.
    """

    padding: float = craft.CAPTION_PADDING_CAPS
    leading: float = craft.LEADING_EM
    rim: float = craft.BORDER_POINTS / 2 + craft.HAND_AMPLITUDE_POINTS
    centred: bool = False
    from_right: bool = False
    widest: float = math.inf


def fit_caption(words: MeasuredWords, shape: CaptionShape, wishes: Wishes) -> list[Candidate]:
    """Candidates for a caption, the best first; never empty. Sizes and room as in `fit_balloon`."""

    def fitting(size: float) -> list[Candidate] | None:
        found = _at_size(words, shape, wishes, size)
        return found if found[0].fits else None

    found = largest_fitting(wishes, fitting)
    if found is not None:
        return found
    floor = min(wishes.floor, wishes.size)
    whole = [_held(candidate, wishes) for candidate in _at_size(words, shape, wishes, floor)]
    if not words.broken and wishes.breaks is None and wishes.room is not None:
        half = wishes.room[0] / 2 / floor - shape.padding * words.cap - shape.rim / floor
        broken = hyphenated(words, lambda width: width > half)
        if broken is not None:
            return better_fitting(fit_caption(broken, shape, wishes), whole)
    return whole


def _held(candidate: Candidate, wishes: Wishes) -> Candidate:
    """A candidate that does not fit, its frame held within the room; the words may reach over."""
    assert wishes.room is not None
    frame = _frame(candidate)
    x, y = min(frame.right, wishes.room[0] / 2), min(frame.bottom, wishes.room[1] / 2)
    return replace(candidate, shape=Box(-x, -y, x, y))


def balanced_breaks(words: MeasuredWords, lines: int, loose: float = 0.0) -> Breaks | None:
    """The breaking into this many lines whose widest line is narrowest, then the least costly.

    `loose` lets the lines be wider than that by a share, for better breaks and less raggedness.
    """
    count = len(words)
    if lines > count:
        return None
    # Filling lines up to the average and one longest word more takes no more lines than these.
    alone = float(np.diagonal(words.half_widths, 1).max())
    average = float(words.least_total_half_widths[0]) / lines
    forced = words.fewest_lines > 1
    halves, begins = banded(words.half_widths, math.inf if forced else average + 2 * alone)
    need = np.broadcast_to(halves, (1, lines, *halves.shape))
    widest = float(least_scale(need, begins)[0])
    if not math.isfinite(widest):
        return None
    widest *= 1 + loose
    gap = widest - halves
    with np.errstate(invalid="ignore"):
        costs = np.where(gap >= -JUST_FITS, craft.COST_RAGGED / lines * (gap / widest) ** 2, np.inf)
        holes = craft.COST_HOLE * np.maximum(gap, 0.0) / widest * _alone(words, begins)
    costs = np.broadcast_to(costs, need.shape) + word_cost_table(words, lines, begins)
    costs[:, 1:-1] += holes
    return best_breaks(costs, begins)[0] or None


def _alone(words: MeasuredWords, begins: Indices) -> NDArray[np.bool_]:
    """Which stretches of a banded table are one word."""
    spaces = np.concatenate([[0], np.cumsum([piece.spaced for piece in words.pieces])])
    lasts = np.arange(len(begins))[:, None]
    return np.asarray(spaces[lasts] == spaces[np.maximum(begins, 0)])


def _at_size(
    words: MeasuredWords, shape: CaptionShape, wishes: Wishes, size: float
) -> list[Candidate]:
    padding = shape.padding * words.cap + shape.rim / size
    counts = (
        [min(max(wishes.lines, words.fewest_lines), len(words))]
        if wishes.lines is not None
        else range(words.fewest_lines, len(words) + 1)
    )
    found: list[Candidate] = []
    for lines in counts:
        ways = [wishes.breaks] if wishes.breaks else _ways(words, lines)
        if not ways:
            continue
        found += [_set(words, shape, wishes, size, (breaks, padding)) for breaks in ways]
        if wishes.breaks or _tall_enough(_frame(found[-1]), wishes):
            break
    found.sort(key=lambda candidate: (round(sum(candidate.overflow), 6), round(candidate.total, 9)))
    return found


def _ways(words: MeasuredWords, lines: int) -> list[Breaks]:
    """Breakings into this many lines: the narrowest first, then those a little wider."""
    found = [balanced_breaks(words, lines, loose) for loose in craft.CAPTION_LOOSENESS]
    return list(dict.fromkeys(breaks for breaks in found if breaks))


def _tall_enough(frame: Box, wishes: Wishes) -> bool:
    """True when more lines could only be worse: a pillar, or too high for the room already."""
    room = wishes.room or (math.inf, math.inf)
    pillar = frame.width / frame.height < craft.CAPTION_ASPECT_RANGE[0] / 2
    return (pillar and frame.width <= room[0]) or frame.height > room[1]


def _frame(candidate: Candidate) -> Box:
    assert isinstance(candidate.shape, Box)
    return candidate.shape


def _set(
    words: MeasuredWords,
    shape: CaptionShape,
    wishes: Wishes,
    size: float,
    how: tuple[Breaks, float],
) -> Candidate:
    """One breaking set for true: its lines, the rectangle round them, its costs."""
    breaks, padding = how
    lines = set_lines(words, breaks)
    lefts = [_left(line, shape) for line in lines]
    left = min(lefts)
    right = max(begin + line.shaped.ink.width for begin, line in zip(lefts, lines, strict=True))
    tops = [row * shape.leading + line.shaped.ink.top for row, line in enumerate(lines)]
    bottoms = [row * shape.leading + line.shaped.ink.bottom for row, line in enumerate(lines)]
    top = min(*tops, -words.cap)
    bottom = max(*bottoms, (len(lines) - 1) * shape.leading)
    half_w = ((right - left) / 2 + padding) * size
    half_h = ((bottom - top) / 2 + padding) * size
    placed = tuple(
        PlacedLine(
            line_words(words, line),
            line.shaped,
            size,
            Point(
                (lefts[row] - line.shaped.ink.left - (left + right) / 2) * size,
                (row * shape.leading - (top + bottom) / 2) * size,
            ),
        )
        for row, line in enumerate(lines)
    )
    frame = Box(-half_w, -half_h, half_w, half_h)
    costs = {
        "area": log_area(frame.area / size**2),
        "breaks": word_costs(words, breaks),
        "ragged": craft.COST_RAGGED * _raggedness(lines),
        "hole": craft.COST_HOLE * _holes(words, lines),
    }
    aspect = frame.width / frame.height
    low, high = craft.CAPTION_ASPECT_RANGE
    if len(lines) == 1:
        low = 0.0
        high = craft.CAPTION_ONE_LINE_ASPECT
    if not low <= aspect <= high:
        beyond = math.log(max(low / aspect, aspect / high))
        costs["aspect"] = craft.COST_ASPECT * beyond
    if frame.width > shape.widest:
        costs["too wide"] = craft.COST_TOO_WIDE * math.log(frame.width / shape.widest)
    over = (0.0, 0.0)
    if wishes.room is not None:
        over = (
            max(frame.width - wishes.room[0], 0.0),
            max(frame.height - wishes.room[1], 0.0),
        )
    return Candidate(placed, frame, size, breaks, tuple(costs.items()), over, words.broken)


def _raggedness(lines: Sequence[SetLine]) -> float:
    """Mean square of what lines leave free of the widest, as a share of it."""
    widths = [line.shaped.ink.width for line in lines]
    widest = max(widths)
    return sum((1 - width / widest) ** 2 for width in widths) / len(widths) if widest else 0.0


def _holes(words: MeasuredWords, lines: Sequence[SetLine]) -> float:
    """What middle lines of one word leave free of the widest, as shares of it, added up."""
    widest = max(line.shaped.ink.width for line in lines)
    alone = [line for line in lines[1:-1] if words.words_in(line.first, line.last) == 1]
    return sum(1 - line.shaped.ink.width / widest for line in alone)


def _left(line: SetLine, shape: CaptionShape) -> float:
    """Where a line's ink begins; hanging marks stick out a little beyond the common edge."""
    shaped = line.shaped
    if shape.centred:
        return shaped.ink.left - shaped.optical_middle
    if shape.from_right:
        return craft.HANGING_SHARE * shaped.hang_right - shaped.ink.width
    return -craft.HANGING_SHARE * shaped.hang_left
