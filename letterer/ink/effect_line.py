"""The line that a sound effect stands on: straight, an arc, a wave, or Bézier curves.

Every line is met by arc length: `at(s)` gives the points at the distances s along it, and the unit
directions there. Before its beginning and after its end it goes on straight.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cache
from typing import Protocol

import numpy as np

from letterer.geometry import Point
from letterer.ink.warp import Floats

CELLS = 48
"""Stretches that each curve is measured in."""

NEWTON_STEPS = 16
"""Four are enough but where a curve begins at rest, its first control points in one place."""

NEAR = 1e-10
"""A place on a line is found to this share of its length."""


@cache
def _gauss() -> tuple[Floats, Floats]:
    """Nodes and weights of Gauss and Legendre's rule of six: found when a curve is first measured,
    since that takes time and 1 MB, and most pages have none."""
    nodes, weights = np.polynomial.legendre.leggauss(6)
    return np.asarray(nodes), np.asarray(weights)


class Line(Protocol):
    """A line by arc length."""

    length: float

    def at(self, distances: Floats) -> tuple[Floats, Floats]:
        """Points (n, 2) and unit directions (n, 2) at distances from its beginning."""


class Straight:
    """A level line from the origin to the right."""

    def __init__(self, length: float) -> None:
        self.length = length

    def at(self, distances: Floats) -> tuple[Floats, Floats]:
        """Points along the x axis."""
        zero = np.zeros_like(distances)
        return np.stack([distances, zero], axis=1), np.stack([zero + 1, zero], axis=1)


class Arc:
    """A part of a circle that turns by `degrees`; its crown is up where these are positive.

    Its middle is at (length / 2, 0), where it is level.
    """

    def __init__(self, length: float, degrees: float) -> None:
        self.length = length
        self.radius = length / math.radians(degrees)

    def at(self, distances: Floats) -> tuple[Floats, Floats]:
        """The circle in closed form."""
        inside = np.clip(distances, 0.0, self.length)
        turn = (inside - self.length / 2) / self.radius
        sine, cosine = np.sin(turn), np.cos(turn)
        points = np.stack(
            [self.length / 2 + self.radius * sine, self.radius * (1 - cosine)], axis=1
        )
        along = np.stack([cosine, sine], axis=1)
        return points + along * (distances - inside)[:, None], along


class Curve:
    """A line given by a parameter from 0 to `pieces`, measured by Gauss-Legendre quadrature.

    `point` and `slope` take parameters (n,) to (n, 2); the slope is the derivative.
    """

    def __init__(
        self, point: Callable[[Floats], Floats], slope: Callable[[Floats], Floats], pieces: int
    ) -> None:
        self._point, self._slope = point, slope
        self._knots = np.linspace(0.0, pieces, pieces * CELLS + 1)
        cells = self._arc(self._knots[:-1], self._knots[1:])
        self._arcs = np.concatenate([[0.0], np.cumsum(cells)])
        self.length = float(self._arcs[-1])

    def at(self, distances: Floats) -> tuple[Floats, Floats]:
        """Points and directions; the parameter is found by Newton's method."""
        inside = np.clip(distances, 0.0, self.length)
        cell = np.clip(np.searchsorted(self._arcs, inside, "right") - 1, 0, len(self._arcs) - 2)
        low, high = self._knots[cell], self._knots[cell + 1]
        begin, size = self._arcs[cell], self._arcs[cell + 1] - self._arcs[cell]
        share = np.where(size > 0, (inside - begin) / np.where(size > 0, size, 1.0), 0.0)
        at = low + share * (high - low)
        for _ in range(NEWTON_STEPS):
            miss = begin + self._arc(low, at) - inside
            if not miss.size or np.abs(miss).max() <= NEAR * self.length:
                break
            at = np.clip(at - miss / np.maximum(self._speed(at), 1e-9), low, high)
        along = self._direction(at, (low + high) / 2)
        return self._point(at) + along * (distances - inside)[:, None], along

    def _speed(self, at: Floats) -> Floats:
        slope = self._slope(at)
        return np.asarray(np.hypot(slope[:, 0], slope[:, 1]))

    def _arc(self, low: Floats, high: Floats) -> Floats:
        """Lengths of the stretches between parameters."""
        half = (high - low) / 2
        nodes, weights = _gauss()
        times = (low + high)[:, None] / 2 + half[:, None] * nodes[None, :]
        speeds = self._speed(times.reshape(-1)).reshape(times.shape)
        return np.asarray(half * (speeds @ weights))

    def _direction(self, at: Floats, inward: Floats) -> Floats:
        """Unit directions; where a curve stands still, that of a place just inside."""
        slope = self._slope(at)
        speed = np.hypot(slope[:, 0], slope[:, 1])
        still = speed < 1e-9 * max(self.length, 1e-9)
        if still.any():
            near = at[still] + (inward[still] - at[still]) * 1e-4
            slope[still] = self._slope(near)
            speed = np.hypot(slope[:, 0], slope[:, 1])
        return np.asarray(slope / np.maximum(speed, 1e-300)[:, None])


def bezier_line(points: Sequence[Point]) -> Curve:
    """The line through Bézier control points: 2 for a straight one, 3 or 4 for a curve, 3 more for
    each curve that goes on from it."""
    first, *rest = points
    if len(rest) == 1:
        rest = [first.toward(rest[0], 1 / 3), first.toward(rest[0], 2 / 3), rest[0]]
    elif len(rest) == 2:
        middle, end = rest
        rest = [first.toward(middle, 2 / 3), end.toward(middle, 2 / 3), end]
    chain = np.array([first, *rest], dtype=float)
    pieces = len(rest) // 3
    curves = np.stack([chain[3 * piece : 3 * piece + 4] for piece in range(pieces)])

    def placed(at: Floats) -> tuple[Floats, Floats]:
        piece = np.clip(at.astype(int), 0, pieces - 1)
        return curves[piece], (at - piece)[:, None]

    def point(at: Floats) -> Floats:
        c, t = placed(at)
        s = 1 - t
        curve = s**3 * c[:, 0] + 3 * s * s * t * c[:, 1] + 3 * s * t * t * c[:, 2] + t**3 * c[:, 3]
        return np.asarray(curve)

    def slope(at: Floats) -> Floats:
        c, t = placed(at)
        s = 1 - t
        rate = s * s * (c[:, 1] - c[:, 0]) + 2 * s * t * (c[:, 2] - c[:, 1])
        return np.asarray(3 * (rate + t * t * (c[:, 3] - c[:, 2])))

    return Curve(point, slope, pieces)


def wave_line(length: float, swing: float, crests: float) -> Curve:
    """A sine wave of a given arc length, `swing` above and below its middle; it begins upward."""
    low, high = 0.0, length
    for _ in range(60):
        middle = (low + high) / 2
        if _sine(middle, swing, crests).length < length:
            low = middle
        else:
            high = middle
    return _sine(high, swing, crests)


def _sine(span: float, swing: float, crests: float) -> Curve:
    pieces = max(1, math.ceil(2 * crests))
    rate = 2 * math.pi * crests / pieces

    def point(at: Floats) -> Floats:
        return np.stack([span * at / pieces, -swing * np.sin(rate * at)], axis=1)

    def slope(at: Floats) -> Floats:
        across = np.full_like(at, span / pieces)
        return np.stack([across, -swing * rate * np.cos(rate * at)], axis=1)

    return Curve(point, slope, pieces)
