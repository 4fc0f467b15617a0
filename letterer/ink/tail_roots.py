"""Where along the border the bases of tails find room: off corners, off each other, in the order of
their mouths."""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from letterer.geometry import Point
from letterer.ink.ring import Ring
from letterer.ink.tail_ways import Way, is_toothed, side_of

EDGE = 1e-9
"""A base may stand right at the edge of a blocked stretch, on either side."""

NOTCHES = (1, 2, 3)
"""A tail takes the place of so many teeth."""

NOTCHES_TRIED = 8

NOTCH_DEGREES = 20.0
"""A border that turns inward by more than this has a notch there."""


@dataclass(frozen=True, slots=True)
class Base:
    """The stretch of border that a tail takes: its ends and middle as arc lengths, and its root."""

    begin: float
    end: float
    root: Point


def spread(ring: Ring, ways: Sequence[Way], gap: float) -> list[Way]:
    """Ways in their order along the border, their places moved apart until all bases have room.

    Tails whose bases stand in another order than their mouths would cross. Neighbours that are too
    near share the way: each group keeps its middle (pooling of adjacent violators, from memory).
    """
    if len(ways) < 2:
        return list(ways)
    ways = sorted(ways, key=lambda way: way.crossing)
    gaps = [(way.crossing - ways[at - 1].crossing) % ring.length for at, way in enumerate(ways)]
    first = gaps.index(max(gaps))
    ways = [*ways[first:], *ways[:first]]
    start = ways[0].crossing
    offset, groups = 0.0, []
    offsets = []
    for at, way in enumerate(ways):
        if at:
            offset += (ways[at - 1].base + way.base) / 2 + gap
        offsets.append(offset)
        groups.append([(way.crossing - start) % ring.length - offset])
        while len(groups) > 1 and _mean(groups[-2]) > _mean(groups[-1]):
            last = groups.pop()
            groups[-1] += last
    places = [_mean(group) for group in groups for _ in group]
    return [
        replace(way, crossing=(start + place + off) % ring.length)
        for way, place, off in zip(ways, places, offsets, strict=True)
    ]


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def bases(ring: Ring, way: Way, gap: float, taken: Sequence[Base]) -> list[Base]:
    """Stretches of border that a tail's base may take, the best one first; none without room."""
    if is_toothed(ring, way.exit, way.base):
        return _between_notches(ring, way, gap, taken)
    middle = _free(ring, way, gap, taken)
    if middle is None:
        return []
    begin, end = middle - way.base / 2, middle + way.base / 2
    return [Base(begin % ring.length, end % ring.length, ring.point(middle))]


def _free(ring: Ring, way: Way, gap: float, taken: Sequence[Base]) -> float | None:
    """Where a base fits, off the corners and off other bases: the place nearest to the crossing,
    and from there aside as far as wished or as the next corner or base allows."""
    crossing, aside = way.crossing, way.aside
    off = way.base / 2 + way.corner
    blocked = [(at - off, at + off) for at in ring.corners()]
    off = way.base / 2 + gap
    blocked += [
        (item.begin - off, item.end + off + (0.0 if item.begin < item.end else ring.length))
        for item in taken
    ]

    def open_at(at: float) -> bool:
        return not any(
            EDGE < (at - low) % ring.length < (high - low) - EDGE for low, high in blocked
        )

    home = side_of(ring, way.exit)
    if not open_at(crossing) or side_of(ring, crossing) != home:
        edges = [
            edge
            for pair in blocked
            for edge in pair
            if open_at(edge) and side_of(ring, edge) == home
        ]
        return min(edges, key=lambda edge: _around(ring, edge - crossing), default=None)
    forward = aside > 0
    rooms = [
        ((low - crossing if forward else crossing - high) + EDGE) % ring.length
        for low, high in blocked
    ]
    return crossing + math.copysign(min([abs(aside), *rooms]), aside)


def _around(ring: Ring, arc: float) -> float:
    """Distance along the ring, the shorter way round."""
    arc %= ring.length
    return min(arc, ring.length - arc)


def _between_notches(ring: Ring, way: Way, gap: float, taken: Sequence[Base]) -> list[Base]:
    """Bases from one notch of the border to another: the tail takes the place of teeth there."""
    notches = _notches(ring)
    if len(notches) < 2:
        return []
    wanted = (way.crossing + way.aside) % ring.length
    after, count = bisect.bisect_right(notches, wanted), len(notches)
    found: list[tuple[float, Base]] = []
    for first, span in itertools.product(range(after - 4, after + 3), NOTCHES):
        begin, end = notches[first % count], notches[(first + span) % count]
        across = (end - begin) % ring.length
        if _around(ring, begin + across / 2 - wanted) > ring.length / 8 or any(
            (begin - item.begin) % ring.length < (item.end - item.begin) % ring.length + gap
            or (item.begin - begin) % ring.length < across + gap
            for item in taken
        ):
            continue
        p, q = ring.point(begin), ring.point(end)
        off = ring.point(wanted).distance(p.toward(q, 0.5)) / way.base
        # A base far too wide or too narrow is worse than one a little beside its place.
        cost = 2 * abs(math.log(max(p.distance(q), EDGE) / way.base)) + off
        found.append((cost, Base(begin, end, p.toward(q, 0.5))))
    return [stand for _, stand in sorted(found, key=lambda pair: pair[0])[:NOTCHES_TRIED]]


def _notches(ring: Ring) -> list[float]:
    """Arc lengths of the corners at which the border turns inward."""
    return list(ring.arcs_of(ring.turns < -math.radians(NOTCH_DEGREES)))
