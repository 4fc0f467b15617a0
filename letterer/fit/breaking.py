"""The best breaks of a text into lines that fill a shape: dynamic programming over every breaking.

After Knuth and Plass, "Breaking Paragraphs into Lines" (Software: Practice and Experience 11,
1981):
the cost of a text is a sum over its lines, so the best way to fill the first r lines with the first
j pieces does not depend on what follows. Here the lines have unequal widths, one for each band of
the shape, and their number is fixed; the shape's size is first found by the same recursion with a
maximum in place of the sum.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from letterer.fit.measure import MeasuredWords

Floats = NDArray[np.float64]
Breaks = tuple[int, ...]
"""Where each line ends: the index after its last piece, in order; the last equals the number of
pieces."""

JUST_FITS = 1e-9


def least_scale(need: Floats) -> Floats:
    """The least scale of each shape at which some breaking fits.

    `need` has the shape (shapes, lines, pieces, pieces + 1): the scale that line r must have to
    hold pieces i to j. The scale of a breaking is that of its neediest line.
    """
    shapes, lines, count, _ = need.shape
    reached = np.full((shapes, count + 1), np.inf)
    reached[:, 0] = 0.0
    for line in range(lines):
        step = np.maximum(reached[:, :count, None], need[:, line])
        reached = step.min(axis=1)
        reached[:, 0] = np.inf
    return reached[:, count]


def best_breaks(costs: Floats) -> list[tuple[float, Breaks] | None]:
    """The cheapest breaking for each shape, with its cost; None where there is none.

    `costs` has the shape (shapes, lines, pieces, pieces + 1): what it costs that line r holds
    pieces
    i to j, infinite where it cannot. Of equal breakings the one with the earlier breaks is taken.
    """
    shapes, lines, count, _ = costs.shape
    reached = np.full((shapes, count + 1), np.inf)
    reached[:, 0] = 0.0
    came_from: list[NDArray[np.intp]] = []
    for line in range(lines):
        step = reached[:, :count, None] + costs[:, line]
        came_from.append(step.argmin(axis=1))
        reached = step.min(axis=1)
    found: list[tuple[float, Breaks] | None] = []
    for shape in range(shapes):
        total = float(reached[shape, count])
        if not np.isfinite(total):
            found.append(None)
            continue
        ends = [count]
        for line in range(lines - 1, 0, -1):
            ends.append(int(came_from[line][shape, ends[-1]]))
        found.append((total, tuple(reversed(ends))))
    return found


def line_costs(words: MeasuredWords, lines: int) -> Floats:
    """The costs of a breaking that do not depend on the shape: (lines, pieces, pieces + 1)."""
    count = len(words)
    costs = np.zeros((lines, count, count + 1))
    costs += words.end_costs[None, None, :]
    if lines > 1:
        costs[0] += words.first_line_costs[None, :]
        costs[-1] += words.last_line_costs[:, None]
    return costs


def least_raggedness(widths: list[float], line_width: float, space: float = 1.0) -> Breaks | None:
    """The breaking with the least sum of squared gaps at the ends of all lines but the last.

    The classic worked example of least raggedness (see references in the tests). None when a word
    is
    wider than the line.

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
