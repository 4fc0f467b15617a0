"""A closed contour that can be walked by arc length, cut open and spliced."""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from letterer.geometry import Box, Path, Point, Segment, bezier_point

CHORDS = 24
"""Chords a curve is measured with: for the borders drawn here, exact to a thousandth of a
point."""

APART = 1e-9
"""Points nearer than this, in points, are one: no direction leads from one to the other."""

Floats = NDArray[np.float64]


class _Marks(NamedTuple):
    """The ends of all chords: `points` (marks x 2) and `lengths` along the contour, the start
    first. `firsts` says at which mark each piece begins, and at which the last one ends."""

    points: Floats
    lengths: Floats
    firsts: list[int]


@dataclass(frozen=True, eq=False)
class Ring:
    """One closed contour, clockwise on the page. Places on it are arc lengths from its start.

    It is measured by chords, once, when it is first asked for a length; `marks` are their ends.
    """

    path: Path

    @cached_property
    def _steps(self) -> tuple[tuple[Segment, ...], tuple[tuple[Point, ...], ...]]:
        """The drawing steps, and the control points of each with its start; no empty steps."""
        steps: list[Segment] = []
        pieces: list[tuple[Point, ...]] = []
        start = here = self.path.segments[0].points[0]
        for step in self.path.segments[1:]:
            if step.verb == "Z":
                if here.distance(start) <= APART:
                    continue
                step = Segment("L", (start,))
            steps.append(step)
            pieces.append((here, *step.points))
            here = step.points[-1]
        return tuple(steps), tuple(pieces)

    @property
    def pieces(self) -> tuple[tuple[Point, ...], ...]:
        """Each segment as its control points, the start point included; no empty ones."""
        return self._steps[1]

    @cached_property
    def controls(self) -> Floats:
        """The pieces as cubics, pieces x 4 x 2; a straight one has its controls at its ends."""
        cubics = map(_as_cubic, self.pieces)
        numbers = chain.from_iterable(chain.from_iterable(cubics))
        return np.fromiter(numbers, np.float64, 8 * len(self.pieces)).reshape(-1, 4, 2)

    @cached_property
    def _marks(self) -> _Marks:
        chords = np.array([1 if len(piece) == 2 else CHORDS for piece in self.pieces])
        t = np.arange(1, CHORDS + 1) / CHORDS
        s = 1.0 - t
        # 2 x pieces x chords: numpy is quick along the last of these
        p0, p1, p2, p3 = np.ascontiguousarray(self.controls.transpose(1, 2, 0))[..., None]
        points = s * s * s * p0 + 3 * s * s * t * p1 + 3 * s * t * t * p2 + t * t * t * p3
        if chords.min() < CHORDS:
            points = points[:, np.arange(CHORDS, 0, -1) <= chords[:, None]]
        points = np.concatenate([self.controls[0, :1].T, points.reshape(2, -1)], axis=1)
        dx, dy = np.diff(points)
        lengths = np.cumsum(np.sqrt(dx * dx + dy * dy))
        firsts = [0, *np.cumsum(chords).tolist()]
        return _Marks(points.T, np.concatenate([[0.0], lengths]), firsts)

    @cached_property
    def _lengths(self) -> list[float]:
        found: list[float] = self._marks.lengths.tolist()
        return found

    @property
    def marks(self) -> Floats:
        """The points at the ends of the chords, after the start: marks x 2."""
        return self._marks.points

    @property
    def lengths(self) -> Floats:
        """The arc length at each mark, from 0 to `length`."""
        return self._marks.lengths

    @property
    def firsts(self) -> list[int]:
        """The mark at which each piece begins, and the mark at which the last one ends."""
        return self._marks.firsts

    @property
    def length(self) -> float:
        """Length all round, in points."""
        return self._lengths[-1]

    @cached_property
    def box(self) -> Box:
        """The box around the marks."""
        right, bottom, left, top = self.piece_boxes.max(axis=1).tolist()
        return Box(-left, -top, right, bottom)

    @cached_property
    def area(self) -> float:
        """The area within the chords; more than 0 for a contour that runs clockwise."""
        x, y = (self.marks - self.marks[0]).T
        return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum() / 2)

    @cached_property
    def chord_boxes(self) -> Floats:
        """The box of each chord, 4 x chords: right and bottom, then left and top with their signs
        turned, so that the greatest of several are the box around all of them."""
        p, q = self.marks.T[:, :-1], self.marks.T[:, 1:]
        return np.concatenate([np.maximum(p, q), -np.minimum(p, q)])

    @cached_property
    def piece_boxes(self) -> Floats:
        """The same for each piece."""
        return np.asarray(np.maximum.reduceat(self.chord_boxes, self.firsts[:-1], axis=1))

    def chord(self, index: int) -> tuple[int, float, float]:
        """The chord that ends at a mark: its piece, and the parameters of its two ends there."""
        firsts = self.firsts
        piece = bisect.bisect_left(firsts, index) - 1
        chords, step = firsts[piece + 1] - firsts[piece], index - firsts[piece]
        return piece, (step - 1) / chords, step / chords

    def _place(self, at: float) -> tuple[int, float]:
        """The piece and its parameter at an arc length."""
        lengths = self._lengths
        at %= self.length
        index = min(bisect.bisect_right(lengths, at), len(lengths) - 1)
        before, after = lengths[index - 1], lengths[index]
        piece, begin, end = self.chord(index)
        share = (at - before) / (after - before) if after > before else 0.0
        return piece, begin + (end - begin) * share

    def arc(self, piece: int, t: float) -> float:
        """The arc length of a place on a piece: `point` gives it back."""
        first = self.firsts[piece]
        chords = self.firsts[piece + 1] - first
        step = min(max(math.ceil(t * chords), 1), chords)
        before, after = self._lengths[first + step - 1 : first + step + 1]
        return before + (after - before) * (t * chords - (step - 1))

    def point(self, at: float) -> Point:
        """The point at an arc length; lengths wrap round."""
        piece, t = self._place(at)
        return _point(self.pieces[piece], t)

    def nearest(self, point: Point) -> float:
        """The arc length of the mark nearest to a point, to within a chord."""
        away = np.hypot(self.marks[:, 0] - point.x, self.marks[:, 1] - point.y)
        return self._lengths[int(away.argmin())]

    def holds(self, point: Point) -> bool:
        """Whether a point lies inside (even-odd rule)."""
        q = self.marks - point
        p = np.roll(q, 1, axis=0)
        at = np.flatnonzero((p[:, 1] > 0) != (q[:, 1] > 0))
        (px, py), (qx, qy) = p[at].T, q[at].T
        return bool(np.count_nonzero(px - py * (qx - px) / (qy - py) > 0) % 2)

    def exit(self, heart: Point, aim: Point) -> float | None:
        """Where the line from `heart` (inside) toward `aim` leaves the contour, as an arc
        length."""
        dx, dy = aim.x - heart.x, aim.y - heart.y
        reach = math.hypot(dx, dy)
        if reach == 0:
            return None
        x, y = self.marks[:, 0] - heart.x, self.marks[:, 1] - heart.y
        side, along = (dx * y - dy * x) / reach, (dx * x + dy * y) / reach
        inner = side < 0
        ends = np.flatnonzero(inner[1:] != inner[:-1]) + 1
        shares = side[ends - 1] / (side[ends - 1] - side[ends])
        hits = along[ends - 1] + (along[ends] - along[ends - 1]) * shares
        if not (hits > 0).any():
            return None
        best = int(hits.argmax())
        before, after = self._lengths[ends[best] - 1 : ends[best] + 1]
        return before + (after - before) * float(shares[best])

    @cached_property
    def turns(self) -> Floats:
        """By how many radians the contour turns at the end of each piece, -pi to pi: more than 0
        to the right."""
        p0, p1, p2, p3 = (self.controls[:, at] for at in range(4))
        out = _first_apart(p1 - p0, p2 - p0, p3 - p0)
        into = _first_apart(p3 - p2, p3 - p1, p3 - p0)
        headings = np.arctan2(out[:, 1], out[:, 0])
        turns = np.roll(headings, -1) - np.arctan2(into[:, 1], into[:, 0])
        return (turns + math.pi) % (2 * math.pi) - math.pi

    def arcs_of(self, turned: NDArray[np.bool_]) -> tuple[float, ...]:
        """The arc lengths of the ends of some pieces, in order."""
        ends = (self.firsts[piece + 1] for piece in np.flatnonzero(turned).tolist())
        return tuple(sorted(self._lengths[end] % self.length for end in ends))

    @cached_property
    def _corners(self) -> tuple[float, ...]:
        return self.arcs_of(np.abs(self.turns) > math.pi / 4)

    def corners(self) -> tuple[float, ...]:
        """Arc lengths of the corners that a caption has: where its border turns by over 45
        degrees."""
        return self._corners

    def between(self, begin: float, end: float) -> list[Segment]:
        """The drawing steps from one arc length forward to another, round the start where
        needed."""
        first, t0 = self._place(begin)
        last, t1 = self._place(end)
        whole = self._steps[0]
        if first == last and t1 > t0 and (end - begin) % self.length < self.length / 2:
            steps = [_segment(_cut(self.pieces[first], t0, t1))]
        else:
            steps = [_segment(_cut(self.pieces[first], t0, 1.0))] if t0 < 1 - 1e-9 else []
            onward = first < last
            steps += whole[first + 1 : last] if onward else (*whole[first + 1 :], *whole[:last])
            if t1 > 1e-9:
                steps.append(_segment(_cut(self.pieces[last], 0.0, t1)))
        # Cutting rounds in its own way: a contour that is closed here must meet itself exactly.
        verb, points = steps[-1]
        return [*steps[:-1], Segment(verb, (*points[:-1], self.point(end)))]


def _as_cubic(piece: tuple[Point, ...]) -> tuple[Point, Point, Point, Point]:
    if len(piece) == 4:
        return piece
    if len(piece) == 2:
        return piece[0], piece[0], piece[1], piece[1]
    p, q, r = piece
    return p, p.toward(q, 2 / 3), r.toward(q, 2 / 3), r


def _first_apart(*ways: Floats) -> Floats:
    """Row by row, the first of some ways (pieces x 2) that leads anywhere."""
    found = ways[-1]
    for way in reversed(ways[:-1]):
        found = np.where((np.hypot(way[:, 0], way[:, 1]) > APART)[:, None], way, found)
    return found


def _point(piece: tuple[Point, ...], t: float) -> Point:
    return piece[0].toward(piece[1], t) if len(piece) == 2 else bezier_point(piece, t)


def _segment(piece: tuple[Point, ...]) -> Segment:
    return Segment("LQC"[len(piece) - 2], piece[1:])


def _cut(piece: tuple[Point, ...], t0: float, t1: float) -> tuple[Point, ...]:
    """The part of a Bézier curve between two parameters (de Casteljau)."""
    _, right = _split(piece, t0)
    left, _ = _split(right, (t1 - t0) / (1 - t0) if t0 < 1 else 1.0)
    return left


def _split(piece: tuple[Point, ...], t: float) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    left, right = [piece[0]], [piece[-1]]
    while len(piece) > 1:
        piece = tuple(piece[i].toward(piece[i + 1], t) for i in range(len(piece) - 1))
        left.append(piece[0])
        right.append(piece[-1])
    return tuple(left), tuple(reversed(right))
