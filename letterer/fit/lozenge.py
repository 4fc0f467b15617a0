"""How near the lines of a balloon come to a lozenge: the fullest oval that so many lines can fill.

The lines are taken as boxes of one height that touch, without air and leading. Of the least oval
round them, of whatever width to height, they cover a share; of all lines of their number those
cover the most that follow an oval themselves. The ratio of the two judges the silhouette alone.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.oval import area_factor

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

SHAPES, MIDDLES = np.linspace(-0.4, 0.4, 9), np.linspace(-0.3, 0.3, 7)
"""Ovals tried round lines that are stretched to be as wide as high: width to height, by its
logarithm, and where the middle lies, in half-heights."""

CLOSER, ROUNDS = 0.25, 2
"""Then others round the best one, so much nearer to it."""


def fullness(halves: Floats, lines: Indices, n: float) -> Floats:
    """For each column of half-widths, from the top line on, the share of what `lines` can fill at
    most, in superellipses of exponent n: 1 for a perfect lozenge.

    Beyond its last line a column may hold what it likes.
    """
    row = np.arange(len(halves))[:, None]
    real = row < lines
    widths = np.where(real, halves, 0.0)
    widths = widths / widths.max(axis=0)
    at = np.where(real, (2 * row + 1) / lines - 1, 0.0)
    half_line = np.where(real, 1 / lines, 0.0)
    least = _least_ovals(widths**n, at, half_line, n)
    covered = 2 * widths.sum(axis=0) * 2 / lines / (area_factor(n) * least)
    return np.asarray(covered / np.array([fullest(int(count), n) for count in lines]))


def _least_ovals(x_n: Floats, at: Floats, half_line: Floats, n: float) -> Floats:
    """About the least product of half-width and half-height of ovals round lines of these widths
    (to the power n) and middles, a column each."""
    shape, middle = np.zeros(x_n.shape[1]), np.zeros(x_n.shape[1])
    which, scale = np.arange(x_n.shape[1]), 1.0
    least = np.full(x_n.shape[1], np.inf)
    for _ in range(ROUNDS):
        shapes, middles = shape[:, None] + scale * SHAPES, middle[:, None] + scale * MIDDLES
        far_n = (np.abs(at[:, :, None] - middles) + half_line[:, :, None]) ** n
        wide, tall = np.exp(-n / 2 * shapes)[:, :, None], np.exp(n / 2 * shapes)[:, :, None]
        need = (x_n[:, :, None, None] * wide + far_n[:, :, None] * tall).max(axis=0)
        flat = need.reshape(len(which), -1)
        best = flat.argmin(axis=1)
        least = np.minimum(least, flat[which, best] ** (2 / n))
        shape = shapes[which, best // len(MIDDLES)]
        middle = middles[which, best % len(MIDDLES)]
        scale *= CLOSER
    return least


def lozenge_costs(halves: Floats, lines: Indices, n: float) -> Floats:
    """What it costs, for each column of half-widths, that its lines are no lozenge."""
    costs = np.zeros(len(lines))
    tall = np.flatnonzero(lines > 2)
    if len(tall):
        short = craft.LOZENGE_SHARE - fullness(halves[:, tall], lines[tall], n)
        short = np.clip(craft.COST_LOZENGE * short, 0.0, craft.COST_LOZENGE_MOST)
        costs[tall] = short
    return costs


@lru_cache(maxsize=1024)
def fullest(lines: int, n: float) -> float:
    """The largest share of a superellipse that touching, equally high, centred lines can cover.

    >>> round(fullest(2, 2.0), 3), round(fullest(5, 2.0), 3), round(fullest(4, 2.5), 3)
    (0.637, 0.815, 0.803)
    """
    edges = np.arange(lines + 1) - lines / 2
    far = np.maximum(np.abs(edges[:-1]), np.abs(edges[1:]))
    high = np.linspace(0, 2 / lines, 2001)[1:-1, None]
    covered = (2 * high * np.maximum(1 - (far * high) ** n, 0.0) ** (1 / n)).sum(axis=1)
    return float(covered.max() / area_factor(n))
