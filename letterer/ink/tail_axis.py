"""The axis of a tail and its two sides: true offsets of the axis, whose width shrinks to the tip.

The axis is a chain of cubic Béziers over one parameter t, from 0 at the root to 1 at the tip. A
side's point at t lies square to the axis, at half the width there. It is drawn by cubics that have
the offset's own points and directions at their ends (Hermite's form): the offset of a gentle curve
differs from them by less than the eye or a printer can tell.
"""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from letterer.geometry import Point, Segment, bezier_point

Cubic = tuple[Point, Point, Point, Point]

STEP = 1e-4
"""Directions of the sides are differences over this much of the parameter."""

FOOT_ROUNDS = 12
"""The foot of a base's end on the axis is found by Newton's rule in so many rounds."""

SWEEP_ROUNDS = 60
SWEEP_MOST = 110.0
"""One bend that turned by more degrees would be a hook."""

HALF_TURN_MOST = 75.0
"""Half of what a piece of an axis turns, in degrees: beyond that it is drawn no rounder."""

COURSE = 16
"""An axis is told to others as a line of so many steps for each of its pieces."""

WAVE_CUTS = 6
"""Cubics a side has for each wave of a shaky tail."""

SIDE_CUTS = 3
"""Cubics a side has for each piece of its axis."""


@dataclass(frozen=True, slots=True)
class Axis:
    """A tail's axis. `knots` are where its pieces begin and end, from 0 to 1.

    `waves` says how often a shaky one swings out and back, by `swing` points at most.
    """

    pieces: tuple[Cubic, ...]
    knots: tuple[float, ...]
    waves: float = 0.0
    swing: float = 0.0

    def at(self, t: float) -> Point:
        """The point at t; before 0 the axis runs on straight, back into the balloon."""
        point = self._smooth(t)
        if not self.waves or t <= 0:
            return point
        dx, dy = self._speed(t)
        pace = math.hypot(dx, dy)
        # It begins and ends on the smooth axis, and still runs along it at the tip.
        off = self.swing * math.sin(2 * math.pi * self.waves * t) * 16 * (t * (1 - t)) ** 2
        return point.shifted(-dy / pace * off, dx / pace * off)

    def velocity(self, t: float) -> tuple[float, float]:
        """The direction in which the axis runs at t, by how much for a whole unit of t."""
        if not self.waves:
            return self._speed(t)
        low, high = max(t - STEP, 0.0), min(t + STEP, 1.0)
        before, after = self.at(low), self.at(high)
        return (after.x - before.x) / (high - low), (after.y - before.y) / (high - low)

    def normal(self, t: float) -> tuple[float, float]:
        """The unit vector square to the axis at t: to the right of one who walks to the tip."""
        dx, dy = self.velocity(max(t, 0.0))
        pace = math.hypot(dx, dy)
        return -dy / pace, dx / pace

    @property
    def tip(self) -> Point:
        """Where the axis ends."""
        return self.pieces[-1][-1]

    @property
    def root(self) -> Point:
        """Where the axis begins, on the border."""
        return self.pieces[0][0]

    @property
    def bend(self) -> Point:
        """A point on the tangent at the tip, behind it."""
        dx, dy = self._speed(1.0)
        return self.tip.shifted(-dx / 2, -dy / 2)

    @property
    def course(self) -> tuple[Point, ...]:
        """The axis as a line of points from root to tip."""
        steps = COURSE * len(self.pieces)
        return tuple(self.at(step / steps) for step in range(steps + 1))

    def _place(self, t: float) -> tuple[Cubic, float, float]:
        """The piece at t, the parameter on it, and the span of t it takes."""
        index = min(max(bisect.bisect_right(self.knots, t) - 1, 0), len(self.pieces) - 1)
        span = self.knots[index + 1] - self.knots[index]
        return self.pieces[index], (t - self.knots[index]) / span, span

    def _smooth(self, t: float) -> Point:
        if t < 0:
            dx, dy = self._speed(0.0)
            return self.root.shifted(dx * t, dy * t)
        piece, inner, _ = self._place(t)
        return bezier_point(piece, inner)

    def _speed(self, t: float) -> tuple[float, float]:
        (p, q, r, s), inner, span = self._place(min(max(t, 0.0), 1.0))
        a, b, c = (1 - inner) ** 2, 2 * (1 - inner) * inner, inner**2
        dx = a * (q.x - p.x) + b * (r.x - q.x) + c * (s.x - r.x)
        dy = a * (q.y - p.y) + b * (r.y - q.y) + c * (s.y - r.y)
        return 3 * dx / span, 3 * dy / span


def bow(root: Point, bend: Point, tip: Point, pull: float = 2 / 3) -> Axis:
    """One gentle curve that leaves toward the bend and comes from it: the quadratic with these
    controls, or one drawn less far toward the bend."""
    return Axis(((root, root.toward(bend, pull), tip.toward(bend, pull), tip),), (0.0, 1.0))


def swept(root: Point, via: Point, mouth: Point, left: float) -> Axis | None:
    """One sweep through a point that ends `left` before the mouth, running toward it; None where a
    single bend cannot do that.

    The bend depends on the tip and the tip on the bend: each is found from the other in turn.
    """
    tip = mouth.toward(via, left / max(mouth.distance(via), 1e-9))
    bend, pull, turned = via, 2 / 3, 0.0
    for _ in range(SWEEP_ROUNDS):
        before, after = root.distance(via), via.distance(tip)
        t = before / max(before + after, 1e-9)
        if not 0.15 < t < 0.9:
            return None
        s, inner = 1 - t, 3 * pull * t * (1 - t)
        first, last = (end**3 + 3 * end * s * t * (1 - pull) for end in (s, t))
        bend = Point(
            (via.x - first * root.x - last * tip.x) / inner,
            (via.y - first * root.y - last * tip.y) / inner,
        )
        turned = _turned(root, bend, tip)
        if turned > SWEEP_MOST:
            return None
        # As round as a circle would be that turned as far: else the bend would be a knee.
        half = math.radians(turned) / 2
        rounder = 4 / 3 * math.tan(half / 2) / math.tan(half) if half > 1e-6 else 2 / 3
        ahead = mouth.toward(bend, left / max(mouth.distance(bend), 1e-9))
        if ahead.distance(tip) < 1e-6 and abs(rounder - pull) < 1e-6:
            return bow(root, bend, tip, pull)
        tip, pull = ahead, rounder
    return None


def _turned(root: Point, bend: Point, tip: Point) -> float:
    """By how many degrees a way turns at its bend."""
    (ax, ay), (bx, by) = (bend.x - root.x, bend.y - root.y), (tip.x - bend.x, tip.y - bend.y)
    return abs(math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by)))


def through(points: Sequence[Point], mouth: Point) -> Axis:
    """A smooth curve through points, the first and last included, that ends running toward the
    mouth."""
    ways = [p.distance(q) for p, q in itertools.pairwise(points)]
    total = sum(ways)
    knots = [0.0, *(way / total for way in itertools.accumulate(ways))]
    knots[-1] = 1.0
    last = points[-1]
    reach = last.distance(mouth)
    pace = total / reach if reach else 0.0
    ends = (pace * (mouth.x - last.x), pace * (mouth.y - last.y))
    if not reach:
        before = points[-2]
        ends = ((last.x - before.x) / (1 - knots[-2]), (last.y - before.y) / (1 - knots[-2]))
    inner = []
    for at in range(1, len(points) - 1):
        before, here, after = points[at - 1 : at + 2]
        one, two = knots[at] - knots[at - 1], knots[at + 1] - knots[at]
        # The parabola through three points (finite differences over uneven steps, from memory).
        inner.append(
            tuple(
                (two * (b - a) / one + one * (c - b) / two) / (one + two)
                for a, b, c in zip(before, here, after, strict=True)
            )
        )
    second = inner[0] if inner else ends
    start = [
        2 * (b - a) / knots[1] - slope
        for a, b, slope in zip(points[0], points[1], second, strict=True)
    ]
    slopes = [start, *inner, ends]
    pieces = tuple(
        _rounded(p, slopes[at], q, slopes[at + 1])
        for at, (p, q) in enumerate(itertools.pairwise(points))
    )
    return Axis(pieces, tuple(knots))


def _rounded(p: Point, out: Sequence[float], q: Point, into: Sequence[float]) -> Cubic:
    """A cubic with these directions at its ends, as round as a circle that turns as far."""
    paces = math.hypot(*out) or 1.0, math.hypot(*into) or 1.0
    cross, dot = out[0] * into[1] - out[1] * into[0], out[0] * into[0] + out[1] * into[1]
    half = min(abs(math.atan2(cross, dot)) / 2, math.radians(HALF_TURN_MOST))
    share = 2 / 3 * math.tan(half / 2) / math.sin(half) if half > 1e-6 else 1 / 3
    near, far = (share * p.distance(q) / pace for pace in paces)
    return (
        p,
        p.shifted(out[0] * near, out[1] * near),
        q.shifted(-into[0] * far, -into[1] * far),
        q,
    )


def shaken(axis: Axis, waves: float, swing: float) -> Axis:
    """An axis that swings to and fro."""
    return replace(axis, waves=waves, swing=swing)


def side(axis: Axis, end: Point) -> list[Segment]:
    """One side of a tail, from an end of its base (which is left to the caller) out to the tip."""
    first = _foot(axis, end)
    here, (nx, ny) = axis.at(first), axis.normal(first)
    half = (end.x - here.x) * nx + (end.y - here.y) * ny

    def edge(t: float) -> Point:
        point, (ax, ay) = axis.at(t), axis.normal(t)
        off = half * (1 - t) / (1 - first)
        return point.shifted(ax * off, ay * off)

    cuts = _cuts(axis, first)
    points = [end, *(edge(t) for t in cuts[1:-1]), axis.tip]
    drawn = []
    for at, (t0, t1) in enumerate(itertools.pairwise(cuts)):
        third = (t1 - t0) / 3
        ax, ay = _slope(edge, t0, t0 + STEP)
        bx, by = _slope(edge, t1 - STEP, t1)
        p, q = points[at], points[at + 1]
        controls = p.shifted(ax * third, ay * third), q.shifted(-bx * third, -by * third)
        drawn.append(Segment("C", (*controls, q)))
    return drawn


def turned_back(start: Point, steps: Sequence[Segment]) -> list[Segment]:
    """The same steps drawn from their end back to `start`."""
    places = [start, *(step.points[-1] for step in steps)]
    return [
        Segment(step.verb, (*reversed(step.points[:-1]), place))
        for step, place in zip(reversed(steps), reversed(places[:-1]), strict=True)
    ]


def _slope(edge: Callable[[float], Point], low: float, high: float) -> tuple[float, float]:
    before, after = edge(low), edge(high)
    return (after.x - before.x) / (high - low), (after.y - before.y) / (high - low)


def _cuts(axis: Axis, first: float) -> list[float]:
    """Where a side is cut into cubics: at the axis's knots, and evenly between."""
    knots = [knot for knot in axis.knots[1:-1] if knot > first + 0.05]
    # The run back into the balloon is straight: where the axis begins to bend is a cut too.
    start = [first, 0.0] if first < -1e-3 else [first]
    spans = [*start, *knots, 1.0]
    each = SIDE_CUTS
    if axis.waves:
        each = max(SIDE_CUTS, math.ceil(axis.waves * WAVE_CUTS / (len(spans) - 1)))
    cuts = [
        low + (high - low) * step / each
        for low, high in itertools.pairwise(spans)
        for step in range(each)
    ]
    return [*cuts, 1.0]


def _foot(axis: Axis, end: Point) -> float:
    """Where on the axis, or on its straight run back, a point stands square to it."""
    t = 0.0
    for _ in range(FOOT_ROUNDS):
        here, (dx, dy) = axis.at(t), axis.velocity(max(t, 0.0))
        step = ((end.x - here.x) * dx + (end.y - here.y) * dy) / (dx * dx + dy * dy)
        t = min(max(t + step, -1.0), 0.6)
        if abs(step) < 1e-9:
            break
    return t
