"""The tightest ovals round many blocks of words at once, each to within rounding of the least.

With u = 1/a, v = 1/b and w = cy/b a superellipse holds a point when (ux)^n + |vy - w|^n <= 1, which
is convex in (u, v, w), and its area falls as ln u + ln v grows. So there is one best oval, and a
primal-dual interior-point method finds it (Boyd & Vandenberghe, Convex Optimization, 2004, section
11.7): some ten steps of Newton's, each taken for all blocks together.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from letterer.fit.oval import Oval
from letterer.geometry import Point

Floats = NDArray[np.float64]
Corners = Sequence[tuple[float, float]]

STEPS_MOST = 40
"""More than any block needs: some 15 are usual."""

CLOSE_ENOUGH = 1e-7
"""How far, by the logarithm of the area, an oval may be from the least one."""

CENTRING, LEAST_GAP = 0.2, 1e-9
"""Each step aims at this share of the distance from the least area that is left, or at its root
where that is less, and no nearer than the second."""

START, FIRST_GAP = 1.1, 0.3
"""The first oval is larger than it need be by this, so that every point is well inside, and its
distance from the least one, by the logarithm of the area, is taken for this: both by trial."""

PADDED_TO = 32
"""Blocks are filled up to a multiple of so many points, by their own first ones."""

STEP_SHARE = 0.995
"""A step goes this share of the way to where a point would touch the border, at most."""


def rounded_hull(corners: Corners, air: float, facets: int) -> Floats:
    """The points that an oval must hold so that each corner of ink has its disc of air inside.

    Round each corner stands a polygon, `facets` sides a quarter turn, that holds the disc of its
    air. Only the points that can touch an oval are given, those of the hull of all the polygons: of
    each corner of the hull of the ink, the part of its disc that looks outward.
    """
    hull = outer_hull(corners)
    step = math.pi / 2 / facets
    angles = (np.arange(2 * facets) + 0.5) * step - math.pi / 2
    outward = [-math.inf]
    for (x, y), (next_x, next_y) in itertools.pairwise(hull):
        outward.append(math.atan2(x - next_x, next_y - y))
    outward.append(math.inf)
    edges, at = np.array(outward), np.array(hull)
    reach = air / math.cos(step / 2)
    corner, angle = np.nonzero(
        (angles >= edges[:-1, None] - step / 2 - 1e-9)
        & (angles <= edges[1:, None] + step / 2 + 1e-9)
    )
    found = at[corner]
    found[:, 0] += reach * np.cos(angles[angle])
    found[:, 1] += reach * np.sin(angles[angle])
    return found


def outer_hull(corners: Corners) -> list[tuple[float, float]]:
    """Corners (x >= 0, y) of the convex hull of these and of their mirror image, x >= 0, by y.

    A monotone chain from the top to the bottom (Andrew 1979, from memory).

    >>> outer_hull([(1, 0), (3, 1), (1, 2), (2, 2), (0.5, 1.5)])
    [(1, 0), (3, 1), (2, 2)]
    """
    ordered = sorted(corners, key=lambda corner: (corner[1], corner[0]))
    top, bottom = ordered[0][1], ordered[-1][1]
    hull: list[tuple[float, float]] = []
    for x, y in ordered:
        if y == top:
            hull = [(x, y)]  # the widest of the top row comes last
            continue
        while len(hull) > 1 or (hull and y == hull[-1][1] != top):
            (qx, qy) = hull[-1]
            if y == qy:
                hull.pop()  # no wider than this one, in the same row
                continue
            if len(hull) == 1:
                break
            (px, py) = hull[-2]
            if (qx - px) * (y - py) - (x - px) * (qy - py) > 0:
                break
            hull.pop()
        hull.append((x, y))
    assert hull[-1][1] == bottom
    return hull


def tightest_ovals(
    blocks: Sequence[Floats], exponents: Sequence[float], aspects: Sequence[tuple[float, float]]
) -> list[Oval]:
    """The oval of least area round each block of points (rows of x >= 0 and y).

    Each with its own exponent (2 or more) and range of width to height, whose ends differ. Ovals
    are centred at x = 0; their height is free. An oval does not depend on what else is asked at
    once, not in its last digit: what is chosen among many is found again by itself.
    """
    found: dict[int, Oval] = {}
    sizes = [-(-len(block) // PADDED_TO) * PADDED_TO for block in blocks]
    for size in sorted(set(sizes)):
        which = [at for at, its in enumerate(sizes) if its == size]
        points = np.stack([np.resize(blocks[at], (size, 2)) for at in which])
        limits = np.array([aspects[at] for at in which], dtype=np.float64)
        found |= zip(which, _ovals(points, [exponents[at] for at in which], limits), strict=True)
    return [found[at] for at in range(len(blocks))]


def _ovals(points: Floats, exponents: Sequence[float], aspects: Floats) -> list[Oval]:
    """The ovals of blocks of equally many points."""
    size = np.abs(points).max(axis=(1, 2))[:, None]
    x, y = points[:, :, 0] / size, points[:, :, 1] / size
    n = np.array(exponents, dtype=np.float64)[:, None]
    u, v, w = (part[:, None] for part in _solved(x, y, n, aspects).T)
    grow = ((u * x) ** n + np.abs(v * y - w) ** n).max(axis=1, keepdims=True) ** (1 / n)
    return [
        Oval(Point(0.0, middle), a, b, exponent)
        for middle, a, b, exponent in zip(
            (w / v * size)[:, 0].tolist(),
            (grow / u * size)[:, 0].tolist(),
            (grow / v * size)[:, 0].tolist(),
            exponents,
            strict=True,
        )
    ]


def _start(x: Floats, y: Floats, n: Floats, aspects: Floats) -> Floats:
    """For each block u, v and w of an oval that holds it, of a middling width to height."""
    ratio = np.sqrt(aspects[:, :1] * aspects[:, 1:])
    middle = (y.max(axis=1, keepdims=True) + y.min(axis=1, keepdims=True)) / 2
    b_n = ((x / ratio) ** n + np.abs(y - middle) ** n).max(axis=1, keepdims=True)
    v = b_n ** (-1 / n) / START
    return np.concatenate([v / ratio, v, v * middle], axis=1)


def _solved(x: Floats, y: Floats, n: Floats, aspects: Floats) -> Floats:
    """u, v and w of the least oval of each block."""
    count, points = x.shape
    z = _start(x, y, n, aspects)
    slopes = np.zeros((count, points + 2, 3))
    slopes[:, -2:, 0] = aspects * [-1, 1]
    slopes[:, -2:, 1] = [1, -1]
    bend = np.zeros((count, 3, 3))
    inside = np.empty((count, points + 2))
    room = weights = inside
    going = np.ones((count, 1), dtype=bool)
    for turn in range(STEPS_MOST):
        u, v, w = z[:, :1], z[:, 1:2], z[:, 2:]
        across, off = u * x, v * y - w
        across_n, off_n = across ** (n - 2), np.abs(off) ** (n - 2)
        inside[:, :-2] = 1 - across_n * across * across - off_n * off * off
        inside[:, -2:] = (slopes[:, -2:] @ z[:, :, None])[:, :, 0]
        if not turn:
            room = inside.copy()
            weights = FIRST_GAP / (points + 2) / room
        slopes[:, :-2, 0] = -n * across_n * across * x
        slopes[:, :-2, 2] = n * off_n * off
        slopes[:, :-2, 1] = -slopes[:, :-2, 2] * y
        gap = (weights * room).sum(axis=1, keepdims=True)
        left = inside - room
        unmet = (weights[:, None] @ slopes)[:, 0]
        unmet[:, :2] += 1 / z[:, :2]
        if gap.min() < CLOSE_ENOUGH:
            astray = np.maximum(np.abs(unmet).max(axis=1), np.abs(left).max(axis=1))
            going = (gap >= CLOSE_ENOUGH) | (astray[:, None] >= CLOSE_ENOUGH)
            if not going.any():
                break
        bend_x = (weights[:, :-2] * across_n * x * x).sum(axis=1)
        off_n = weights[:, :-2] * off_n
        bend_w, bend_vw = off_n.sum(axis=1), (off_n * y).sum(axis=1)
        bend[:, 0, 0], bend[:, 1, 1], bend[:, 2, 2] = bend_x, (off_n * y * y).sum(axis=1), bend_w
        bend[:, 1, 2] = bend[:, 2, 1] = -bend_vw
        stiff = weights / room
        matrix = (n * (n - 1))[:, :, None] * bend
        matrix += (slopes * stiff[:, :, None]).transpose(0, 2, 1) @ slopes
        matrix[:, 0, 0] += z[:, 0] ** -2
        matrix[:, 1, 1] += z[:, 1] ** -2
        aim = np.minimum(CENTRING, np.sqrt(gap)) * gap
        pull = np.maximum(aim, LEAST_GAP) / (points + 2) / room
        right = ((pull - stiff * left)[:, None] @ slopes)[:, 0]
        right[:, :2] += 1 / z[:, :2]
        step = np.linalg.solve(matrix, right[:, :, None])
        more_room = (slopes @ step)[:, :, 0] + left
        change = pull - weights - stiff * more_room
        far = np.maximum(-more_room / room, -change / weights).max(axis=1, keepdims=True)
        far = np.maximum(far, (-step[:, :2, 0] / z[:, :2]).max(axis=1, keepdims=True))
        # A block that is done stands still, so that it ends where it would by itself.
        share = np.where(going, np.minimum(STEP_SHARE / np.maximum(far, 1e-9), 1.0), 0.0)
        z = z + share * step[:, :, 0]
        room = room + share * more_room
        weights = weights + share * change
    return z
