"""The best breaks of a text into lines that fill a shape: dynamic programming over all of them.

After Knuth and Plass, "Breaking Paragraphs into Lines" (Software: Practice and Experience 11,
1981): the cost of a text is a sum over its lines, so the best way to fill the first r lines with
the first j pieces does not depend on what follows. Here the lines have unequal widths, one for each
band of the shape, and their number is fixed; the shape's size is first found by the same recursion
with a maximum in place of the sum.

Tables are *banded*: row j, column l stands for the line that ends before piece j + 1 and begins l
pieces earlier still, so that long texts cost no more than their lines are long.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from letterer.fit.measure import MeasuredWords

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Breaks = tuple[int, ...]
"""Where each line ends: the index after its last piece; the last is the number of pieces."""

JUST_FITS = 1e-9


def banded(table: Floats, widest: float) -> tuple[Floats, Indices]:
    """A table [i, j] over all stretches, as bands up to the longest stretch not above `widest`.

    Gives the values (pieces, reach) and, in the same shape, the piece each line begins with;
    places before the text have a negative beginning and an infinite value.
    """
    count = len(table)
    fitting = table[:, 1:] <= widest
    lengths = np.arange(1, count + 1)[None, :] - np.arange(count)[:, None]
    reach = int(np.where(fitting, lengths, 1).max())
    ends = np.arange(1, count + 1)[:, None]
    begins = ends - np.arange(1, reach + 1)[None, :]
    values = np.where(begins >= 0, table[np.maximum(begins, 0), ends], np.inf)
    return np.where(values <= widest, values, np.inf), begins


def least_scale(need: Floats, begins: Indices) -> Floats:
    """The least scale of each shape at which some breaking fits.

    `need` has the shape (shapes, lines, pieces, reach): the scale that line r must have to hold a
    stretch. The scale of a breaking is that of its neediest line.
    """
    shapes, lines, count, _ = need.shape
    reached = np.full((shapes, count + 1), np.inf)
    reached[:, 0] = 0.0
    for line in range(lines):
        step = np.maximum(reached[:, np.maximum(begins, 0)], need[:, line])
        reached = np.concatenate([np.full((shapes, 1), np.inf), step.min(axis=2)], axis=1)
    return reached[:, count]


def best_breaks(costs: Floats, begins: Indices) -> list[Breaks]:
    """The cheapest breaking for each shape; an empty one where there is none.

    `costs` has the shape (shapes, lines, pieces, reach): what it costs that line r holds a stretch,
    infinite where it cannot. Of equal breakings the one whose last lines are shortest is taken.
    """
    shapes, lines, count, _ = costs.shape
    reached = np.full((shapes, count + 1), np.inf)
    reached[:, 0] = 0.0
    chosen: list[Indices] = []
    for line in range(lines):
        step = reached[:, np.maximum(begins, 0)] + costs[:, line]
        chosen.append(step.argmin(axis=2))
        reached = np.concatenate([np.full((shapes, 1), np.inf), step.min(axis=2)], axis=1)
    found: list[Breaks] = []
    for shape in range(shapes):
        if not np.isfinite(reached[shape, count]):
            found.append(())
            continue
        ends = [count]
        for line in range(lines - 1, 0, -1):
            ends.append(ends[-1] - 1 - int(chosen[line][shape, ends[-1] - 1]))
        found.append(tuple(reversed(ends)))
    return found


def word_cost_table(words: MeasuredWords, lines: int, begins: Indices) -> Floats:
    """The same costs as `word_costs`, as a banded table (lines, pieces, reach)."""
    costs = np.zeros((lines, *begins.shape))
    costs += words.end_costs[1:][None, :, None]
    if lines > 1:
        costs[0] += words.first_line_costs[1:][:, None]
        costs[-1] += words.last_line_costs[np.maximum(begins, 0)]
    return costs


def word_costs(words: MeasuredWords, breaks: Breaks) -> float:
    """What the breaks themselves cost: lone words, bad ends, breaks after a clause."""
    costs = float(sum(words.end_costs[end] for end in breaks))
    if len(breaks) > 1:
        costs += float(words.first_line_costs[breaks[0]] + words.last_line_costs[breaks[-2]])
    return costs


def least_raggedness(widths: list[float], line_width: float, space: float = 1.0) -> Breaks | None:
    """The breaking with the least sum of squared gaps at the ends of all lines but the last.

    The classic worked example of least raggedness (see the references in the tests). None when a
    word is wider than the line.

    >>> least_raggedness([3, 2, 2, 5], 6)
    (1, 3, 4)
    """
    count = len(widths)
    best: list[float] = [0.0] + [np.inf] * count
    came: list[int] = [0] * (count + 1)
    for end in range(1, count + 1):
        for start in range(end - 1, -1, -1):
            gap = line_width - sum(widths[start:end]) - space * (end - start - 1)
            if gap < -JUST_FITS:
                break
            cost = best[start] + (0.0 if end == count else gap * gap)
            if cost < best[end]:
                best[end], came[end] = cost, start
    if not np.isfinite(best[count]):
        return None
    ends = [count]
    while came[ends[-1]]:
        ends.append(came[ends[-1]])
    return tuple(reversed(ends))
