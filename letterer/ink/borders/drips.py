"""A cold or menacing voice: a smooth top, and drops of uneven length from the lower edge."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Sequence

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Path, Point, Segment
from letterer.ink.borders.protocol import Pen, Plain, Reach
from letterer.ink.borders.track import Stretch, Track, along, closed_path, discs, rooted, stretch
from letterer.ink.hand import waver
from letterer.ink.outline import NODES_A_WAVE
from letterer.ink.tail import Tail

NODES_TOP = 48
"""Points that the smooth part is drawn through at least."""

HELD = 3.0
"""The hand's waver begins and ends with the smooth part: the more, the sooner it is whole."""


class Drips(Plain):
    """Drops that hang from the lower edge; the arches between them touch the oval."""

    def reach(self, size: float, round_em: float = math.inf) -> Reach:
        """The longest drop, straight down; the hand's waver elsewhere."""
        return Reach(0.0, 0.0, craft.COLD_DROP_MOST_EM * size)

    def outline(self, oval: Oval, pen: Pen, aims: Sequence[Tail] = ()) -> Path:
        """The border with its drops."""
        track = Track(oval)
        chance = pen.chance("drops")
        begin, end = _hanging(track)
        segments: list[Segment] = []
        here = begin
        for part in _parts(track, pen, begin, end, aims):
            arches = _arches(track, pen, part, chance)
            if part.begin > here:
                segments += along(track, here, part.begin)
            for index, (right, left) in enumerate(itertools.pairwise(arches)):
                length = _length(track, pen, index, chance)
                length = _clear_of(aims, track, right, left, length, pen)
                if length:
                    segments += _drop(track, right, left, length, pen)
                else:
                    segments += along(track, right, left)
            here = part.end
        if here < end:
            segments += along(track, here, end)
        hand = waver(pen.identity, track.length, pen.hand)
        room = track.length - (end - begin)

        def off(arc: float) -> float:
            share = min(max((arc - end) / room, 0.0), 1.0)
            held = min(HELD * math.sin(math.pi * share), 1.0)
            return hand.at(arc) * held * held * (3 - 2 * held)

        waves = round(room / craft.HAND_WAVE_POINTS) if pen.hand else 0
        count = max(NODES_TOP, NODES_A_WAVE * waves)
        nodes = [end + room * index / count for index in range(count + 1)]
        segments += stretch(track, off, nodes)
        return closed_path(track.point(begin), segments)


def _hanging(track: Track) -> tuple[float, float]:
    """The part of the border that faces down enough for drops, from right to left."""
    steps = 240
    lower = [track.length / 2 * index / steps for index in range(steps + 1)]
    hanging = [arc for arc in lower if track.outward(arc).y >= craft.COLD_HANGING]
    return hanging[0], hanging[-1]


def _parts(track: Track, pen: Pen, begin: float, end: float, aims: Sequence[Tail]) -> list[Stretch]:
    """What the roots of tails leave of the lower edge, where there is room for a drop."""
    least = craft.COLD_PITCH_EM * pen.size / 2
    room = craft.COLD_ROOM_EM * pen.size
    found, here = [], begin
    for base, _ in [*rooted(track, aims), (Stretch(math.inf, math.inf), None)]:
        last = min(base.begin - room, end)
        if last - here > least:
            found.append(Stretch(here, last))
        here = max(here, base.end + room)
    return found


def _arches(track: Track, pen: Pen, part: Stretch, chance: random.Random) -> list[float]:
    """Where the arches between drops touch the oval, from right to left, both ends included.

    Drops are spaced by the width that they hang from, not along the border.
    """
    right, left = track.point(part.begin).x, track.point(part.end).x
    round_em = track.length / pen.size
    grown = (round_em / craft.COLD_ROUND_USUAL_EM) ** craft.COLD_GROWTH
    count = max(round((right - left) / (craft.COLD_PITCH_EM * pen.size * grown)), 1)
    uneven = craft.COLD_UNEVEN * pen.life
    weights = [1 + uneven * (2 * chance.random() - 1) for _ in range(count)]
    unit = (right - left) / sum(weights)
    oval = track.oval
    found = [part.begin]
    for way in list(itertools.accumulate(weights))[:-1]:
        x = right - way * unit
        share = abs((x - oval.center.x) / oval.a) ** oval.n
        y = oval.center.y + oval.b * (1 - share) ** (1 / oval.n)
        found.append(track.arc_toward(Point(x, y)))
    return [*found, part.end]


def _length(track: Track, pen: Pen, index: int, chance: random.Random) -> float:
    """How far a drop hangs below its arches, in points: long and short take turns."""
    low, high = craft.COLD_DROP_RANGE_EM
    drawn = chance.random() if pen.life else 0.5
    share = 0.5 + 0.5 * drawn if index % 2 else 0.45 * drawn
    small = min(track.length / (craft.COLD_SMALL_EM * pen.size), 1.0)
    return (low + (high - low) * share) * pen.size * math.sqrt(small)


def _clear_of(
    aims: Sequence[Tail], track: Track, begin: float, end: float, length: float, pen: Pen
) -> float:
    """How long a drop may be beside the tails; 0 where they leave no room for it."""
    x, foot = _foot(track, begin, end)
    room = (craft.COLD_TAIL_EM + craft.COLD_TIP_EM) * pen.size
    for _, aim in rooted(track, aims):
        for axis, half in discs(aim):
            # The tail is a row of discs along its axis; a drop ends above any that it would meet.
            beside, far = abs(axis.x - x), half + room
            if beside < far:
                length = min(length, axis.y - foot - math.sqrt(far**2 - beside**2))
    return length if length > craft.COLD_DROP_LEAST_EM * pen.size else 0.0


def _foot(track: Track, begin: float, end: float) -> Point:
    """Where a drop begins: midway between its arches, beneath the border."""
    places = [track.point(arc) for arc in (begin, (begin + end) / 2, end)]
    return Point((places[0].x + places[2].x) / 2, max(place.y for place in places))


def _drop(track: Track, begin: float, end: float, length: float, pen: Pen) -> list[Segment]:
    """One drop, from its right arch round its tip to its left arch."""
    right, left = track.point(begin), track.point(end)
    width = right.x - left.x
    radius = min(craft.COLD_TIP_EM * pen.size, width / 5)
    x, foot = _foot(track, begin, end)
    tip = min(foot + length, track.oval.box.bottom + craft.COLD_DROP_MOST_EM * pen.size)
    lift = (tip - foot - radius) * craft.COLD_TAPER
    run = width * craft.COLD_ARCH
    out, back = _along(track, begin), _along(track, end)
    neck = tip - radius
    handle = radius * 0.5523
    return [
        Segment(
            "C",
            (
                right.shifted(out.x * run, out.y * run),
                Point(x + radius, neck - lift),
                Point(x + radius, neck),
            ),
        ),
        Segment("C", (Point(x + radius, neck + handle), Point(x + handle, tip), Point(x, tip))),
        Segment(
            "C", (Point(x - handle, tip), Point(x - radius, neck + handle), Point(x - radius, neck))
        ),
        Segment(
            "C",
            (
                Point(x - radius, neck - lift),
                left.shifted(-back.x * run, -back.y * run),
                left,
            ),
        ),
    ]


def _along(track: Track, arc: float) -> Point:
    """The direction of the border, clockwise, of length 1."""
    out = track.outward(arc)
    return Point(-out.y, out.x)


DRIPS = Drips()
