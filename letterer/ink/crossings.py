"""Where two closed contours cross, and the contours that their parts make together.

Crossings are first found between the chords that both contours are measured by. Whether two chords
cross is decided by signs alone, and ties are broken as if the second contour were moved by nothing
at all (simulation of simplicity, Edelsbrunner and Mücke 1990, from memory), so that contours cross
an even number of times, in and out in turn, also where they touch or share a stretch. Each crossing
is then sharpened on the curves themselves by Newton's rule.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from letterer.geometry import Box, Path, Point, Segment, bezier_point, holds, union_box
from letterer.ink.ring import Ring

NEWTON_ROUNDS = 12
CLOSE = 1e-9
"""Points nearer than this, in points, are one."""

STRAY = 0.05
"""Sharpening moves a crossing by less than this: else chords and curves tell different stories."""

SCANS = 48
"""Level lines on which the area of a made contour is compared with what it was made of."""

SCAN_SLACK = 0.02
"""What the two may differ by on one such line, in points."""

NUDGES = ((0.0, 0.0), (1.1e-4, 0.7e-4), (-0.9e-4, 1.3e-4), (1.7e-3, -1.1e-3))
"""How far the second contour is moved, try after try, where the check finds a result wrong."""

Spans = dict[int, list[tuple[float, float]]]


@dataclass(frozen=True, slots=True)
class Crossing:
    """A place where two contours cross: arc lengths on both. `leaves`: the first goes out of the
    second there."""

    one: float
    other: float
    at: Point
    leaves: bool


class Part(NamedTuple):
    """A stretch of a contour from one arc length forward to another, which ends at `at`."""

    ring: Ring
    begin: float
    end: float
    at: Point


class _Hit(NamedTuple):
    """Two chords that cross: the places on both contours, and the point by the chords."""

    one: tuple[int, float]
    other: tuple[int, float]
    at: Point
    leaves: bool


def crossings(one: Ring, other: Ring) -> list[Crossing]:
    """All crossings of two contours, in the order of the first.

    Their number is even, and they lead out and in by turns along both contours.
    """
    rough = list(_rough(one, other))
    for sharpen in (_sharp, _plain):
        found = [sharpen(one, other, hit) for hit in rough]
        found.sort(key=lambda crossing: crossing.one)
        if _in_turns(found):
            return found
    return []


def _rough(one: Ring, other: Ring) -> Iterator[_Hit]:
    theirs = _boxed(other)
    for mine, box in _boxed(one):
        for yours, around in theirs:
            if not _touch(box, around):
                continue
            inner = [chord for chord in mine if _touch(chord.box, around)]
            outer = [chord for chord in yours if _touch(chord.box, box)]
            for chord, crossed in itertools.product(inner, outer):
                if _touch(chord.box, crossed.box) and (hit := _hit(chord, crossed)):
                    yield hit


class _Chord(NamedTuple):
    """From p to q: parameters `start` to `end` of a segment."""

    p: Point
    q: Point
    box: Box
    segment: int
    start: float
    end: float

    def place(self, share: float) -> tuple[int, float]:
        return self.segment, self.start + (self.end - self.start) * share


def _hit(mine: _Chord, yours: _Chord) -> _Hit | None:
    p, q, r, s = mine.p, mine.q, yours.p, yours.q
    inside = _inner_of_other(r, s, p)
    if inside == _inner_of_other(r, s, q) or _inner_of_one(p, q, r) == _inner_of_one(p, q, s):
        return None
    share, way = _shares(p, q, r, s)
    return _Hit(mine.place(share), yours.place(way), p.toward(q, share), inside)


def _boxed(ring: Ring) -> list[tuple[list[_Chord], Box]]:
    """The chords of each segment with the box around them."""
    places, points = ring.chords()
    groups: dict[int, list[_Chord]] = {}
    for index in range(1, len(points)):
        segment, t = places[index]
        begin = places[index - 1][1] if places[index - 1][0] == segment else 0.0
        p, q = points[index - 1], points[index]
        box = Box(min(p.x, q.x), min(p.y, q.y), max(p.x, q.x), max(p.y, q.y))
        groups.setdefault(segment, []).append(_Chord(p, q, box, segment, begin, t))
    found: list[tuple[list[_Chord], Box]] = []
    for chords in groups.values():
        around = union_box(chord.box for chord in chords)
        assert around is not None
        found.append((chords, around))
    return found


def _touch(one: Box, other: Box) -> bool:
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]


def _inner_of_one(p: Point, q: Point, r: Point) -> bool:
    """Whether r, a point of the second contour, lies on the inner side of a chord of the first;
    on a tie as if it were moved a little right and less down."""
    across = (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x)
    if across:
        return across > 0
    return p.y - q.y > 0 if q.y != p.y else q.x - p.x > 0


def _inner_of_other(r: Point, s: Point, p: Point) -> bool:
    """The same for a point of the first contour beside a chord of the second."""
    across = (s.x - r.x) * (p.y - r.y) - (s.y - r.y) * (p.x - r.x)
    if across:
        return across > 0
    return s.y - r.y > 0 if s.y != r.y else r.x - s.x > 0


def _shares(p: Point, q: Point, r: Point, s: Point) -> tuple[float, float]:
    """How far along two chords their crossing lies, each 0 to 1."""
    ax, ay, bx, by = q.x - p.x, q.y - p.y, s.x - r.x, s.y - r.y
    down = ax * by - ay * bx
    if not down:
        return 0.5, 0.5
    dx, dy = r.x - p.x, r.y - p.y
    share, way = (dx * by - dy * bx) / down, (dx * ay - dy * ax) / down
    return min(max(share, 0.0), 1.0), min(max(way, 0.0), 1.0)


def _plain(one: Ring, other: Ring, hit: _Hit) -> Crossing:
    """A crossing as the chords have it."""
    return Crossing(one.arc(*hit.one), other.arc(*hit.other), hit.at, hit.leaves)


def _sharp(one: Ring, other: Ring, hit: _Hit) -> Crossing:
    """A crossing on the curves themselves; the one of the chords where Newton's rule leads off."""
    mine, yours = one.pieces[hit.one[0]], other.pieces[hit.other[0]]
    t, u = hit.one[1], hit.other[1]
    for _round in range(NEWTON_ROUNDS):
        p, q = _at(mine, t), _at(yours, u)
        a, b = _speed(mine, t), _speed(yours, u)
        dx, dy = q.x - p.x, q.y - p.y
        down = a.y * b.x - a.x * b.y
        if not down:
            break
        step, way = (dy * b.x - dx * b.y) / down, (dy * a.x - dx * a.y) / down
        t, u = min(max(t + step, 0.0), 1.0), min(max(u + way, 0.0), 1.0)
        if abs(step) + abs(way) < 1e-14:
            break
    p, q = _at(mine, t), _at(yours, u)
    if p.distance(q) > CLOSE or p.distance(hit.at) > STRAY:
        return _plain(one, other, hit)
    at = q if len(yours) == 2 and len(mine) > 2 else p
    return Crossing(one.arc(hit.one[0], t), other.arc(hit.other[0], u), at, hit.leaves)


def _at(chain: tuple[Point, ...], t: float) -> Point:
    return chain[0].toward(chain[1], t) if len(chain) == 2 else bezier_point(chain, t)


def _speed(chain: tuple[Point, ...], t: float) -> Point:
    """Derivative of a Bézier curve by its parameter."""
    n = len(chain) - 1
    steps = tuple(Point(n * (q.x - p.x), n * (q.y - p.y)) for p, q in itertools.pairwise(chain))
    return steps[0] if n == 1 else _at(steps, t)


def _in_turns(found: Sequence[Crossing]) -> bool:
    """Whether crossings lead out and in by turns along both contours."""
    along = sorted(found, key=lambda crossing: crossing.other)
    return all(
        order[index].leaves != order[index - 1].leaves
        for order in (found, along)
        for index in range(len(order))
    )


def drawn(parts: Sequence[Part]) -> Path:
    """Stretches of contours, each of which begins where the one before it ended, as one path."""
    segments = [Segment("M", (parts[-1].at,))]
    for ring, begin, end, at in parts:
        steps = ring.between(begin, end)
        verb, points = steps[-1]
        segments += [*steps[:-1], Segment(verb, (*points[:-1], at))]
    return Path((*segments, Segment("Z")))


def walked(one: Ring, other: Ring, found: Sequence[Crossing], outside: bool) -> list[list[Part]]:
    """The closed walks along the outer parts of two contours, or along the inner ones.

    Each begins with a stretch of the first contour.
    """
    along = sorted(range(len(found)), key=lambda index: found[index].other)
    place = {index: spot for spot, index in enumerate(along)}
    walks: list[list[Part]] = []
    left = [index for index, crossing in enumerate(found) if crossing.leaves == outside]
    while left:
        first = index = left[0]
        walk: list[Part] = []
        while True:
            left.remove(index)
            turn = (index + 1) % len(found)
            walk.append(Part(one, found[index].one, found[turn].one, found[turn].at))
            index = along[(place[turn] + 1) % len(along)]
            walk.append(Part(other, found[turn].other, found[index].other, found[index].at))
            if index == first or index not in left:
                break
        walks.append(walk)
    return walks


def nudged(other: Path) -> Iterator[Ring]:
    """The second contour as it is, then moved by next to nothing, for one more try."""
    for dx, dy in NUDGES:
        yield Ring(other.shifted(dx, dy) if dx else other)


def encloses(one: Ring, other: Ring) -> bool:
    """Whether the second of two contours that do not cross lies in the first."""
    return holds(one.chords()[1], other.chords()[1][0])


def spans(ring: Ring, levels: Sequence[float]) -> Spans:
    """What a contour covers of level lines: for each, the stretches inside (even-odd rule)."""
    low, step = levels[0], levels[1] - levels[0]
    hits: dict[int, list[float]] = {}
    points = ring.chords()[1]
    for p, q in itertools.pairwise((*points, points[0])):
        if p.y == q.y:
            continue
        upper, lower = min(p.y, q.y), max(p.y, q.y)
        first = max(math.ceil((upper - low) / step), 0)
        last = min(math.floor((lower - low) / step), len(levels) - 1)
        for row in range(first, last + 1):
            y = levels[row]
            if upper <= y < lower:
                hits.setdefault(row, []).append(p.x + (y - p.y) * (q.x - p.x) / (q.y - p.y))
    found: Spans = {}
    for row, xs in hits.items():
        xs.sort()
        found[row] = list(zip(xs[::2], xs[1::2], strict=False))
    return found


def levels_of(*rings: Ring) -> list[float]:
    """Level lines across some contours, evenly spaced and off their ends."""
    ys = [point.y for ring in rings for point in ring.chords()[1]]
    low, high = min(ys), max(ys)
    step = max(high - low, 1e-6) / SCANS
    return [low + step * (row + 0.5123) for row in range(SCANS)]


def merged(stretches: Sequence[tuple[float, float]]) -> list[list[float]]:
    """Stretches of a line with those that overlap made one."""
    found: list[list[float]] = []
    for begin, end in sorted(stretches):
        if found and begin <= found[-1][1]:
            found[-1][1] = max(found[-1][1], end)
        else:
            found.append([begin, end])
    return found


def length_in(stretches: Sequence[Sequence[float]]) -> float:
    """The length of stretches that do not overlap."""
    return sum(stretch[1] - stretch[0] for stretch in stretches)
