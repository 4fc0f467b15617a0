"""An oval walked by arc length, and places spaced evenly along it."""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from letterer.fit.oval import Oval
from letterer.geometry import Path, Point, Segment
from letterer.ink.outline import NODES, oval_chords, oval_point, oval_slope
from letterer.ink.tail import Tail
from letterer.ink.tail_values import Station
from letterer.ink.tail_values import stations as axis_of

CHORDS = 720
"""Chords an oval is measured with: its arc lengths are then right to a hundredth of a point."""

NODES_LEAST = 4
"""Points that a short part of an oval is drawn through at least."""

STRAIGHT_STEPS = 12
"""Places along a straight tail that what is beside it keeps clear of."""

EVENING_ROUNDS = 24
"""Rounds in which the places on a track are moved until their chords have the lengths wanted."""


class Track:
    """An oval's border by arc length, clockwise from its right end; arc lengths wrap round."""

    def __init__(self, oval: Oval) -> None:
        self.oval = oval
        self._angles = [2 * math.pi * index / CHORDS for index in range(CHORDS + 1)]
        self._arcs: list[float] = [0.0, *np.cumsum(oval_chords(oval, CHORDS)).tolist()]
        self.length = self._arcs[-1]

    def angle(self, arc: float) -> float:
        """The oval's angle at an arc length."""
        arc %= self.length
        at = min(bisect.bisect_right(self._arcs, arc), CHORDS)
        begin, end = self._arcs[at - 1], self._arcs[at]
        share = (arc - begin) / (end - begin)
        return self._angles[at - 1] + (self._angles[at] - self._angles[at - 1]) * share

    def point(self, arc: float, off: float = 0.0) -> Point:
        """The point at an arc length, moved outward by `off`."""
        angle = self.angle(arc)
        point = oval_point(self.oval, angle)
        if not off:
            return point
        dx, dy = oval_slope(self.oval, angle)
        speed = math.hypot(dx, dy)
        return point.shifted(dy / speed * off, -dx / speed * off)

    def outward(self, arc: float, fanned: float = 0.0) -> Point:
        """The direction away from the oval, of length 1: square to the border at `fanned` 0, away
        from the oval's middle at 1."""
        dx, dy = oval_slope(self.oval, self.angle(arc))
        square = unit(dy, -dx)
        if not fanned:
            return square
        point, middle = self.point(arc), self.oval.center
        away = unit(point.x - middle.x, point.y - middle.y)
        return unit(
            square.x + (away.x - square.x) * fanned, square.y + (away.y - square.y) * fanned
        )

    def rise(self, begin: float, end: float) -> float:
        """How steeply the border rises over its chord between two arc lengths, at the steeper end:
        the tangent of the angle between them."""
        here, there = self.point(begin), self.point(end)
        chord = here.distance(there)
        dx, dy = (there.x - here.x) / chord, (there.y - here.y) / chord
        outs = (self.outward(begin), self.outward(end))
        return max(abs(o.x * dx + o.y * dy) / max(o.x * dy - o.y * dx, 0.1) for o in outs)

    def arc_toward(self, aim: Point) -> float:
        """The arc length where the line from the oval's middle toward a point leaves the oval."""
        x, y = aim.x - self.oval.center.x, aim.y - self.oval.center.y
        angle = math.atan2(y / self.oval.b, x / self.oval.a) % (2 * math.pi)
        at = min(int(angle / (2 * math.pi) * CHORDS), CHORDS - 1)
        share = (angle - self._angles[at]) / (self._angles[at + 1] - self._angles[at])
        return self._arcs[at] + (self._arcs[at + 1] - self._arcs[at]) * share


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a track between two arc lengths; `end` may lie beyond one round."""

    begin: float
    end: float

    @property
    def length(self) -> float:
        """Along the track, in points."""
        return self.end - self.begin


def rooted(track: Track, aims: Sequence[Tail]) -> list[tuple[Stretch, Tail]]:
    """Where the bases of tails stand, clockwise; a trail of bubbles has none."""
    found = []
    for aim in aims:
        if aim.shape != "bubbles":
            arc = track.arc_toward(aim.root)
            found.append((Stretch(arc - aim.base / 2, arc + aim.base / 2), aim))
    return sorted(found, key=lambda item: item[0].begin)


def discs(aim: Tail) -> list[Station]:
    """A tail as a row of discs along its axis, its root left out: their middles and radii."""
    course: Sequence[Point] = aim.course
    if not course:
        steps = range(STRAIGHT_STEPS + 1)
        course = [aim.root.toward(aim.tip, step / STRAIGHT_STEPS) for step in steps]
    return axis_of(course, aim.base)[1:]


def free_stretches(track: Track, aims: Sequence[Tail], start: float) -> list[Stretch]:
    """What the bases of tails leave free, clockwise; the whole round from `start` without any."""
    bases = [base for base, _ in rooted(track, aims)]
    if not bases:
        return [Stretch(start, start + track.length)]
    found = []
    for index, base in enumerate(bases):
        after = bases[(index + 1) % len(bases)]
        room = (after.begin - base.end) % track.length
        found.append(Stretch(base.end, base.end + room))
    return found


def stations(track: Track, stretch: Stretch, weights: Sequence[float]) -> list[float]:
    """Places along a stretch, both ends included, one more than there are weights.

    Their chords have lengths in the ratio of the weights: with equal weights every chord is the
    same to a thousandth.
    """
    total = sum(weights)
    gaps = [stretch.length * weight / total for weight in weights]
    for _ in range(EVENING_ROUNDS):
        arcs = itertools.accumulate(gaps, initial=stretch.begin)
        points = [track.point(arc) for arc in arcs]
        gaps = [
            gap * weight / max(one.distance(other), 1e-9)
            for gap, weight, (one, other) in zip(
                gaps, weights, itertools.pairwise(points), strict=True
            )
        ]
        scale = stretch.length / sum(gaps)
        gaps = [gap * scale for gap in gaps]
    *found, _ = itertools.accumulate(gaps, initial=stretch.begin)
    return [*found, stretch.end]


def stretch(track: Track, off: Callable[[float], float], nodes: Sequence[float]) -> list[Segment]:
    """A curve that stands off a track by `off(arc)`, through nodes: the steps from first to last.

    Its directions at the nodes are those of the displaced line, so pieces meet without a seam.
    """
    step = track.length * 1e-5
    points = [track.point(arc, off(arc)) for arc in nodes]
    slopes = []
    for arc in nodes:
        ahead = track.point(arc + step, off(arc + step))
        behind = track.point(arc - step, off(arc - step))
        slopes.append(((ahead.x - behind.x) / (2 * step), (ahead.y - behind.y) / (2 * step)))
    segments = []
    for index, (begin, end) in enumerate(itertools.pairwise(nodes)):
        third = (end - begin) / 3
        (x0, y0), (x1, y1) = slopes[index], slopes[index + 1]
        near = points[index].shifted(x0 * third, y0 * third)
        far = points[index + 1].shifted(-x1 * third, -y1 * third)
        segments.append(Segment("C", (near, far, points[index + 1])))
    return segments


def along(track: Track, begin: float, end: float) -> list[Segment]:
    """The track itself from one arc length to another: the steps after the first point."""
    count = max(math.ceil((end - begin) / track.length * NODES), NODES_LEAST)
    nodes = [begin + (end - begin) * step / count for step in range(count + 1)]
    return stretch(track, lambda _: 0.0, nodes)


def closed(track: Track, off: Callable[[float], float], nodes: Sequence[float]) -> Path:
    """The same all the way round: the last node leads back to the first."""
    steps = stretch(track, off, [*nodes, nodes[0] + track.length])
    return closed_path(track.point(nodes[0], off(nodes[0])), steps)


def closed_path(start: Point, steps: Sequence[Segment]) -> Path:
    """Steps that lead round from a point to itself, met exactly."""
    *rest, last = steps
    close = Segment(last.verb, (*last.points[:-1], start))
    return Path((Segment("M", (start,)), *rest, close, Segment("Z")))


def unit(x: float, y: float) -> Point:
    """A direction of length 1."""
    length = math.hypot(x, y) or 1.0
    return Point(x / length, y / length)
