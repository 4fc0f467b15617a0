"""A closed contour that can be walked by arc length, cut open and spliced."""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass
from functools import cached_property

from letterer.geometry import Path, Point, Segment, bezier_point

CHORDS = 24
"""Chords a segment is measured with: for the borders drawn here, exact to a thousandth of a
point."""


@dataclass(frozen=True, eq=False)
class Ring:
    """One closed contour, clockwise on the page. Places on it are arc lengths from its start."""

    path: Path

    @cached_property
    def _pieces(self) -> tuple[tuple[Point, ...], ...]:
        """Each segment as its control points, the start point included; no empty ones."""
        found: list[tuple[Point, ...]] = []
        start = here = self.path.segments[0].points[0]
        for verb, points in self.path.segments[1:]:
            chain = (here, start) if verb == "Z" else (here, *points)
            if verb != "Z" or here.distance(start) > 1e-9:
                found.append(chain)
            here = chain[-1]
        return tuple(found)

    @cached_property
    def _marks(self) -> tuple[tuple[float, ...], tuple[tuple[int, float], ...], tuple[Point, ...]]:
        """Arc length at each chord's end, with its segment, parameter and point."""
        lengths = [0.0]
        places: list[tuple[int, float]] = [(0, 0.0)]
        points = [self._pieces[0][0]]
        for index, chain in enumerate(self._pieces):
            chords = 1 if len(chain) == 2 else CHORDS
            for step in range(1, chords + 1):
                point = _point(chain, step / chords)
                lengths.append(lengths[-1] + point.distance(points[-1]))
                places.append((index, step / chords))
                points.append(point)
        return tuple(lengths), tuple(places), tuple(points)

    @property
    def length(self) -> float:
        """Length all round, in points."""
        return self._marks[0][-1]

    def _place(self, at: float) -> tuple[int, float]:
        """The segment and its parameter at an arc length."""
        lengths, places, _ = self._marks
        at %= self.length
        index = min(bisect.bisect_right(lengths, at), len(lengths) - 1)
        before, after = lengths[index - 1], lengths[index]
        segment, end = places[index]
        begin = places[index - 1][1] if places[index - 1][0] == segment else 0.0
        share = (at - before) / (after - before) if after > before else 0.0
        return segment, begin + (end - begin) * share

    @property
    def pieces(self) -> tuple[tuple[Point, ...], ...]:
        """The segments as control points, the start point included."""
        return self._pieces

    def chords(self) -> tuple[tuple[tuple[int, float], ...], tuple[Point, ...]]:
        """The chords the contour is measured by: the place (segment, parameter) and the point at
        the end of each, after those of the start."""
        return self._marks[1], self._marks[2]

    def arc(self, segment: int, t: float) -> float:
        """The arc length of a place on a segment: `point` gives it back."""
        lengths, places, _ = self._marks
        index = bisect.bisect_left(places, (segment, t), lo=1)
        begin = places[index - 1][1] if places[index - 1][0] == segment else 0.0
        share = (t - begin) / (places[index][1] - begin)
        return lengths[index - 1] + (lengths[index] - lengths[index - 1]) * share

    def point(self, at: float) -> Point:
        """The point at an arc length; lengths wrap round."""
        segment, t = self._place(at)
        return _point(self._pieces[segment], t)

    def nearest(self, point: Point) -> float:
        """The arc length of the mark nearest to a point, to within a chord."""
        lengths, _, points = self._marks
        return lengths[min(range(len(points)), key=lambda index: points[index].distance(point))]

    def exit(self, heart: Point, aim: Point) -> float | None:
        """Where the line from `heart` (inside) toward `aim` leaves the contour, as an arc
        length."""
        dx, dy = aim.x - heart.x, aim.y - heart.y
        reach = math.hypot(dx, dy)
        if reach == 0:
            return None
        lengths, _, points = self._marks
        side = [(dx * (point.y - heart.y) - dy * (point.x - heart.x)) / reach for point in points]
        best: tuple[float, float] | None = None
        for index in range(1, len(points)):
            before, after = side[index - 1], side[index]
            if (before < 0) == (after < 0):
                continue
            share = before / (before - after)
            hit = points[index - 1].toward(points[index], share)
            along = (dx * (hit.x - heart.x) + dy * (hit.y - heart.y)) / reach
            if along > 0 and (best is None or along > best[0]):
                at = lengths[index - 1] + (lengths[index] - lengths[index - 1]) * share
                best = (along, at)
        return best[1] if best else None

    def corners(self) -> tuple[float, ...]:
        """Arc lengths of the corners that a caption has: where its border turns by over 45
        degrees."""
        found: list[float] = []
        lengths, places, _ = self._marks
        starts = {segment: lengths[index] for index, (segment, t) in enumerate(places) if t == 1.0}
        for index, chain in enumerate(self._pieces):
            after = self._pieces[(index + 1) % len(self._pieces)]
            turn = _heading(after[0], _first_apart(after)) - _heading(_last_apart(chain), chain[-1])
            turn = (turn + math.pi) % (2 * math.pi) - math.pi
            if abs(turn) > math.pi / 4:
                found.append(starts[index] % self.length)
        return tuple(sorted(found))

    def between(self, begin: float, end: float) -> list[Segment]:
        """The drawing steps from one arc length forward to another, round the start where
        needed."""
        first, t0 = self._place(begin)
        last, t1 = self._place(end)
        count = len(self._pieces)
        if first == last and t1 > t0 and (end - begin) % self.length < self.length / 2:
            steps = [_segment(_cut(self._pieces[first], t0, t1))]
        else:
            steps = [_segment(_cut(self._pieces[first], t0, 1.0))] if t0 < 1 - 1e-9 else []
            index = (first + 1) % count
            while index != last:
                steps.append(_segment(self._pieces[index]))
                index = (index + 1) % count
            if t1 > 1e-9:
                steps.append(_segment(_cut(self._pieces[last], 0.0, t1)))
        # Cutting rounds in its own way: a contour that is closed here must meet itself exactly.
        verb, points = steps[-1]
        return [*steps[:-1], Segment(verb, (*points[:-1], self.point(end)))]


def _point(chain: tuple[Point, ...], t: float) -> Point:
    return chain[0].toward(chain[1], t) if len(chain) == 2 else bezier_point(chain, t)


def _segment(chain: tuple[Point, ...]) -> Segment:
    return Segment("LQC"[len(chain) - 2], chain[1:])


def _cut(chain: tuple[Point, ...], t0: float, t1: float) -> tuple[Point, ...]:
    """The part of a Bézier curve between two parameters (de Casteljau)."""
    _, right = _split(chain, t0)
    left, _ = _split(right, (t1 - t0) / (1 - t0) if t0 < 1 else 1.0)
    return left


def _split(chain: tuple[Point, ...], t: float) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    left, right = [chain[0]], [chain[-1]]
    while len(chain) > 1:
        chain = tuple(chain[i].toward(chain[i + 1], t) for i in range(len(chain) - 1))
        left.append(chain[0])
        right.append(chain[-1])
    return tuple(left), tuple(reversed(right))


def _heading(p: Point, q: Point) -> float:
    return math.atan2(q.y - p.y, q.x - p.x)


def _first_apart(chain: tuple[Point, ...]) -> Point:
    return next((point for point in chain[1:] if point.distance(chain[0]) > 1e-9), chain[-1])


def _last_apart(chain: tuple[Point, ...]) -> Point:
    return next((point for point in chain[-2::-1] if point.distance(chain[-1]) > 1e-9), chain[0])
