"""The tightest superellipse around given ink, with the same air demanded all round.

A superellipse with half-axes a, b and exponent n is |x/a|^n + |y/b|^n = 1; n = 2 is the ellipse.
Growing both half-axes by the air would fall short of it on the diagonal, since the offset of an
ellipse is no ellipse. Instead each corner of the ink is replaced by a polygon around the disc of
its air (see `tightest`); an oval around the polygons keeps the air everywhere. Here one oval at a
time is found by halving, also within limits; `tightest` finds many at once, without them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from letterer.geometry import Box, Point

Floats = NDArray[np.float64]

FACETS = 32
"""Sides, a quarter turn, of the polygon around a disc of air. A polygon of m sides a quarter is
larger than the disc by 1/cos(π/4m): 0.03 %."""

SHAPES = 11
"""Widths to height compared in each round; the next round looks between the neighbours of the
best."""

ROUNDS_QUICK, ROUNDS_FINE = 3, 6

HALVINGS_A_ROUND = 3
"""The best height is found for each width to height by this many halvings times the rounds."""

CENTRING_STEPS = 8

JUST_FITS = 1e-12


@dataclass(frozen=True, slots=True)
class Oval:
    """A superellipse: centre, half-width a, half-height b, exponent n."""

    center: Point
    a: float
    b: float
    n: float

    @property
    def aspect(self) -> float:
        """Width to height."""
        return self.a / self.b

    @property
    def area(self) -> float:
        """4ab · Γ(1+1/n)² / Γ(1+2/n).

        >>> round(Oval(Point(0, 0), 3, 2, 2).area, 5)
        18.84956
        """
        return area_factor(self.n) * self.a * self.b

    @property
    def box(self) -> Box:
        """The box around it."""
        x, y = self.center
        return Box(x - self.a, y - self.b, x + self.a, y + self.b)

    def scaled(self, by: float) -> Oval:
        """Everything, the centre's place too, times `by`."""
        return Oval(Point(self.center.x * by, self.center.y * by), self.a * by, self.b * by, self.n)

    def shifted(self, dx: float, dy: float) -> Oval:
        """The same oval moved by (dx, dy)."""
        return Oval(self.center.shifted(dx, dy), self.a, self.b, self.n)

    def level(self, point: Point) -> float:
        """|x/a|^n + |y/b|^n: under 1 inside, 1 on the border, over 1 outside."""
        x, y = point.x - self.center.x, point.y - self.center.y
        return float(abs(x / self.a) ** self.n + abs(y / self.b) ** self.n)

    def half_width(self, top: float, bottom: float) -> float:
        """The least half-width over the whole band from `top` to `bottom`; 0 where it leaves the
        oval."""
        far = max(abs(top - self.center.y), abs(bottom - self.center.y)) / self.b
        return float(self.a * (1 - far**self.n) ** (1 / self.n)) if far < 1 else 0.0


@lru_cache(maxsize=64)
def area_factor(n: float) -> float:
    """Area of a superellipse with a = b = 1."""
    return 4 * math.gamma(1 + 1 / n) ** 2 / math.gamma(1 + 2 / n)


@dataclass(frozen=True, slots=True)
class Limits:
    """What an oval may be: its width to height, and its half-width and half-height at most."""

    aspect: tuple[float, float]
    a: float = math.inf
    b: float = math.inf


def tightest_oval(
    points: Floats, n: float, limits: Limits, rounds: int = ROUNDS_FINE
) -> Oval | None:
    """The oval of least area with exponent n around all points (rows of x ≥ 0 and y).

    It is centred at x = 0; its height is free. None when no such oval keeps within the limits.

    With r = a/b, the oval around the points has ab = max (x^n r^(-n/2) + |y-cy|^n r^(n/2))^(2/n).
    In 1/a, 1/b and cy/b the problem is convex. So, with the best cy for each r, the area falls and
    then rises as r grows, and so does the amount by which a limit is passed: the best r lies
    between the neighbours of the best one of any row of them.
    """
    points = _outer(points)
    low, high = (math.log(aspect) for aspect in limits.aspect)
    best: tuple[float, float, float] | None = None
    for _ in range(rounds):
        shapes = np.linspace(low, high, SHAPES) if high > low else np.array([low])
        ab, heights = _least(points, n, shapes, HALVINGS_A_ROUND * rounds)
        beyond = np.maximum(
            np.log(ab) + shapes - 2 * math.log(limits.a),
            np.log(ab) - shapes - 2 * math.log(limits.b),
        )
        within = beyond <= JUST_FITS
        row = int((np.where(within, ab, np.inf) if within.any() else beyond).argmin())
        if within[row] and (best is None or ab[row] <= best[0]):
            best = (float(ab[row]), float(shapes[row]), float(heights[row]))
        low, high = float(shapes[max(row - 1, 0)]), float(shapes[min(row + 1, len(shapes) - 1)])
    return _oval(best, n) if best else None


def _least(points: Floats, n: float, shapes: Floats, halvings: int) -> tuple[Floats, Floats]:
    """The least a·b for each width to height (given as its logarithm), and the centre's height.

    As the centre sinks, what the points above it need grows and what those below it need shrinks:
    the best height lies where the two meet, and is found by halving.
    """
    x_n = (points[:, 0] ** n)[None, :] * np.exp(-n / 2 * shapes)[:, None]
    tall = np.exp(n / 2 * shapes)[:, None]
    y = points[None, :, 1]
    begin, end = np.full(len(shapes), y.min()), np.full(len(shapes), y.max())
    least, best = np.full(len(shapes), np.inf), begin
    rows = np.arange(len(shapes))
    for _ in range(halvings):
        height = (begin + end) / 2
        off = y - height[:, None]
        need = x_n + np.abs(off) ** n * tall
        neediest = need.argmax(axis=1)
        most = need[rows, neediest]
        best = np.where(most < least, height, best)
        least = np.minimum(most, least)
        above = off[rows, neediest] < 0
        begin, end = np.where(above, begin, height), np.where(above, height, end)
    return least ** (2 / n), best


def centred(
    oval: Oval, points: Floats, share: float, room: tuple[float, float] | None = None
) -> Oval:
    """The oval of the same width to height with its middle nearer to that of the points.

    As near as `share` more area allows, and the half-width and half-height of the room: the least
    oval puts its middle at the widest line, which leaves more air on one side than on the other.
    """
    n, ratio = oval.n, oval.aspect
    x_n = points[:, 0] ** n * ratio ** (-n / 2)
    middle = (float(points[:, 1].min()) + float(points[:, 1].max())) / 2
    most = oval.a * oval.b * (1 + share)
    if room is not None:
        most = min(most, room[0] ** 2 / ratio, room[1] ** 2 * ratio)
    near, far = 0.0, 1.0
    best = (oval.a * oval.b, oval.center.y)
    for step in range(CENTRING_STEPS):
        way = 1.0 if step == 0 else (near + far) / 2
        y = oval.center.y + (middle - oval.center.y) * way
        ab = float((x_n + np.abs(points[:, 1] - y) ** n * ratio ** (n / 2)).max() ** (2 / n))
        if ab <= most:
            near, best = way, (ab, y)
            if step == 0:
                break
        else:
            far = way
    return _oval((best[0], math.log(ratio), best[1]), n)


def _oval(best: tuple[float, float, float], n: float) -> Oval:
    ab, shape, height = best
    ratio = math.exp(shape)
    return Oval(Point(0.0, height), math.sqrt(ab * ratio), math.sqrt(ab / ratio), n)


def _outer(points: Floats) -> Floats:
    """Only the corners of the points' convex hull, x = 0 its axis: an oval round these holds all.

    Points that another beats both sideways and up (or down) go first; then a monotone chain runs
    from the top to the bottom (Andrew 1979, from memory).
    """
    keep = np.zeros(len(points), dtype=bool)
    for sign in (1, -1):
        order = np.lexsort((-points[:, 0], sign * points[:, 1]))
        x = points[order, 0]
        ahead = np.concatenate([[-np.inf], np.maximum.accumulate(x)[:-1]])
        keep[order[x > ahead]] = True
    found = points[keep]
    hull: list[tuple[float, float]] = []
    for x, y in found[np.lexsort((found[:, 0], found[:, 1]))].tolist():
        while len(hull) > 1:
            (px, py), (qx, qy) = hull[-2], hull[-1]
            if (qx - px) * (y - py) - (x - px) * (qy - py) > 0:
                break
            hull.pop()
        hull.append((x, y))
    return np.array(hull)


def true_air(oval: Oval, corners: Sequence[Point]) -> float:
    """The least distance from any of the points to the oval's border; negative outside.

    The nearest point of the border is sought in the first quarter, along its angle: the best of 64
    places, then steps to either side that are halved each time.
    """
    least = math.inf
    for corner in corners:
        x, y = abs(corner.x - oval.center.x), abs(corner.y - oval.center.y)
        best = min(
            ((i / 64) * math.pi / 2 for i in range(65)),
            key=lambda t: _gap(oval, t, x, y),
        )
        step = math.pi / 2 / 64
        for _ in range(40):
            best = min((best, best - step, best + step), key=lambda t: _gap(oval, t, x, y))
            step /= 2
        inside = oval.level(corner) <= 1
        distance = _gap(oval, best, x, y)
        least = min(least, distance if inside else -distance)
    return least


def _gap(oval: Oval, t: float, x: float, y: float) -> float:
    t = min(max(t, 0.0), math.pi / 2)
    px = oval.a * math.cos(t) ** (2 / oval.n)
    py = oval.b * math.sin(t) ** (2 / oval.n)
    return math.hypot(px - x, py - y)
