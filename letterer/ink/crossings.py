"""Where two closed contours cross, and the contours that their parts make together.

Crossings are first found between the chords that both contours are measured by. Whether two chords
cross is decided by signs alone, and ties are broken as if the second contour were moved by nothing
at all (simulation of simplicity, Edelsbrunner and Mücke 1990, from memory), so that contours cross
an even number of times, in and out in turn, also where they touch or share a stretch. Each crossing
is then sharpened on the curves themselves by Newton's rule.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from letterer.geometry import Path, Point, Segment, bezier_point
from letterer.ink.ring import Floats, Ring

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

Indices = NDArray[np.int_]


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
    """Chords that cross: of pieces whose boxes touch, those whose own boxes touch."""
    inner, outer = _near_chords(one, other)
    if not len(inner):
        return
    p, q = one.marks[inner - 1], one.marks[inner]
    r, s = other.marks[outer - 1], other.marks[outer]
    leaves = _inner_of_other(r, s, p)
    crossed = (leaves != _inner_of_other(r, s, q)) & (
        _inner_of_one(p, q, r) != _inner_of_one(p, q, s)
    )
    for at in np.flatnonzero(crossed).tolist():
        ends = [Point(*place[at].tolist()) for place in (p, q, r, s)]
        share, way = _shares(*ends)
        yield _Hit(
            _on_chord(one, int(inner[at]), share),
            _on_chord(other, int(outer[at]), way),
            ends[0].toward(ends[1], share),
            bool(leaves[at]),
        )


def _on_chord(ring: Ring, index: int, share: float) -> tuple[int, float]:
    """The place on a contour that lies so far along one of its chords."""
    piece, begin, end = ring.chord(index)
    return piece, begin + (end - begin) * share


def _near_chords(one: Ring, other: Ring) -> tuple[Indices, Indices]:
    """Pairs of chords, one of each contour, whose boxes touch; each by the mark it ends at."""
    firsts, others = np.array(one.firsts), np.array(other.firsts)
    pieces, theirs = _near_pieces(one, other), _near_pieces(other, one)
    at, beside = _touching(one.piece_boxes[:, pieces, None], other.piece_boxes[:, None, theirs])
    pieces, theirs = pieces[at], theirs[beside]
    across = others[theirs + 1] - others[theirs]
    counts = (firsts[pieces + 1] - firsts[pieces]) * across
    pair = np.repeat(np.arange(len(counts)), counts)
    turn = np.arange(len(pair)) - (np.cumsum(counts) - counts)[pair]
    inner = firsts[pieces[pair]] + turn // across[pair]
    outer = others[theirs[pair]] + turn % across[pair]
    kept, *_ = _touching(one.chord_boxes[:, inner], other.chord_boxes[:, outer])
    return inner[kept] + 1, outer[kept] + 1


def _near_pieces(one: Ring, other: Ring) -> Indices:
    """The pieces of a contour whose boxes touch that of another contour."""
    return _touching(one.piece_boxes, other.piece_boxes.max(axis=1, keepdims=True))[0]


def _touching(one: Floats, other: Floats) -> tuple[Indices, ...]:
    """Which boxes, 4 x so many as `Ring.chord_boxes`, share more than nothing: an edge at least."""
    touching = (-one[2:] <= other[:2]) & (-other[2:] <= one[:2])
    return np.nonzero(touching.all(axis=0))


def _inner_of_one(p: Floats, q: Floats, r: Floats) -> NDArray[np.bool_]:
    """Whether r, points of the second contour, lie on the inner side of chords of the first; on a
    tie as if they were moved a little right and less down."""
    dx, dy = (q - p).T
    across = dx * (r[:, 1] - p[:, 1]) - dy * (r[:, 0] - p[:, 0])
    tie = np.where(dy != 0, dy < 0, dx > 0)
    return np.asarray(np.where(across != 0, across > 0, tie))


def _inner_of_other(r: Floats, s: Floats, p: Floats) -> NDArray[np.bool_]:
    """The same for points of the first contour beside chords of the second."""
    dx, dy = (s - r).T
    across = dx * (p[:, 1] - r[:, 1]) - dy * (p[:, 0] - r[:, 0])
    tie = np.where(dy != 0, dy > 0, dx < 0)
    return np.asarray(np.where(across != 0, across > 0, tie))


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


def nudged(other: Ring) -> Iterator[Ring]:
    """The second contour as it is, then moved by next to nothing, for one more try."""
    for dx, dy in NUDGES:
        yield Ring(other.path.shifted(dx, dy)) if dx else other


def encloses(one: Ring, other: Ring) -> bool:
    """Whether the second of two contours that do not cross lies in the first."""
    return one.holds(Point(*other.marks[0].tolist()))


class Spans(NamedTuple):
    """Stretches of level lines: the number of each one's line, where it begins, where it ends."""

    rows: Indices
    begins: Floats
    ends: Floats


def spans(ring: Ring, levels: Floats) -> Spans:
    """What a contour covers of level lines, from the upper one down (even-odd rule)."""
    p, q = ring.marks, np.roll(ring.marks, -1, axis=0)
    first, last = (
        np.searchsorted(levels, ends) for ends in (np.minimum(p, q)[:, 1], np.maximum(p, q)[:, 1])
    )
    at = np.repeat(np.arange(len(p)), last - first)
    rows = np.arange(len(at)) - (np.cumsum(last - first) - last)[at]
    p, q = p[at], q[at]
    xs = p[:, 0] + (levels[rows] - p[:, 1]) * (q[:, 0] - p[:, 0]) / (q[:, 1] - p[:, 1])
    order = np.lexsort((xs, rows))
    return Spans(rows[order][::2], xs[order][::2], xs[order][1::2])


def covered(levels: Floats, *found: Spans) -> Floats:
    """How much of each level line some stretches cover together."""
    rows, begins, ends = (np.concatenate(parts) for parts in zip(*found, strict=True))
    order = np.lexsort((begins, rows))
    rows, begins, ends = rows[order], begins[order], ends[order]
    # Laid one behind the other, the lines are one: what lies beyond all stretches before is new.
    off = rows * (np.ptp(np.concatenate([begins, ends])) + 1.0)
    reach = np.maximum.accumulate(ends + off)
    before = np.concatenate([[-np.inf], reach[:-1]])
    new = np.maximum(ends + off - np.maximum(begins + off, before), 0.0)
    return np.asarray(np.bincount(rows, new, len(levels)))


def levels_of(*rings: Ring) -> Floats:
    """Level lines across some contours, evenly spaced and off their ends."""
    low, high = min(ring.box.top for ring in rings), max(ring.box.bottom for ring in rings)
    step = max(high - low, 1e-6) / SCANS
    return np.asarray(low + step * (np.arange(SCANS) + 0.5123))
