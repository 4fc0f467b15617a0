"""A thought's border: a cloud of scallops that meet in crisp cusps on the oval."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Path, Point, Segment
from letterer.ink.borders.protocol import Pen, Plain, Reach, TailManner
from letterer.ink.borders.track import Stretch, Track, stations
from letterer.ink.tail import Tail

BUMPS_MOST = 400

CLEAR = 1.1
"""A bump is this much higher than the oval under it."""

SAMPLES = 6
"""Parts of a bump at whose ends it is compared with the oval."""


class Cloud(Plain):
    """A thought: bumps outward, a whole number of them, cusps inward."""

    air = craft.THOUGHT_AIR
    tail: TailManner = "bubbles"

    def reach(self, size: float, round_em: float = math.inf) -> Reach:
        """The highest bump."""
        widest = _pitch_em(round_em) * (1 + 2 * craft.THOUGHT_UNEVEN)
        most = min(craft.THOUGHT_BUMP_SHARE_MOST * widest, craft.THOUGHT_BUMP_MOST_EM) * size
        return Reach(most, most, most)

    def outline(self, oval: Oval, pen: Pen, aims: Sequence[Tail] = ()) -> Path:
        """The cloud: congruent bumps where it is ruled, uneven ones by the hand."""
        track = Track(oval)
        pitch = _pitch_em(track.length / pen.size) * pen.size
        count = max(round(track.length / pitch), craft.THOUGHT_BUMPS_LEAST)
        arcs, share = _cusps(track, pen, count)
        while share > craft.THOUGHT_BUMP_SHARE_MOST and count < BUMPS_MOST:
            count += 1
            arcs, share = _cusps(track, pen, count)
        share = min(share, craft.THOUGHT_BUMP_SHARE_MOST)
        chance = pen.chance("tops")
        points = [track.point(arc) for arc in arcs[:-1]]
        most = craft.THOUGHT_BUMP_MOST_EM * pen.size
        segments = [Segment("M", (points[0],))]
        for index, here in enumerate(points):
            there = points[(index + 1) % count]
            lean = craft.THOUGHT_LEAN * pen.life * (2 * chance.random() - 1)
            height = min(here.distance(there) * share, most)
            segments += _bump(here, there, height, lean)
        return Path((*segments, Segment("Z")))


def _pitch_em(round_em: float) -> float:
    """From cusp to cusp, in em."""
    grown = math.pow(round_em / craft.THOUGHT_ROUND_USUAL_EM, craft.THOUGHT_GROWTH)
    return craft.THOUGHT_PITCH_EM * grown


def _cusps(track: Track, pen: Pen, count: int) -> tuple[list[float], float]:
    """Where the cusps of so many bumps lie, and how high the bumps must be for their width.

    A bump must clear the oval under it. The circular arc over a chord that passes through a point
    from which the chord is seen at an angle φ has the height tan((π - φ)/2)/2 for its chord.
    """
    chance = pen.chance("cloud")
    uneven = craft.THOUGHT_UNEVEN * pen.life
    weights = [1 + uneven * (2 * chance.random() - 1) for _ in range(count)]
    start = chance.random() * track.length if pen.life else track.length / 4
    arcs = stations(track, Stretch(start, start + track.length), weights)
    flattest = math.pi
    for begin, end in itertools.pairwise(arcs):
        here, there = track.point(begin), track.point(end)
        for step in range(1, SAMPLES):
            point = track.point(begin + (end - begin) * step / SAMPLES)
            one = math.atan2(here.y - point.y, here.x - point.x)
            other = math.atan2(there.y - point.y, there.x - point.x)
            flattest = min(flattest, abs((one - other + math.pi) % (2 * math.pi) - math.pi))
    needed = math.tan((math.pi - flattest) / 2) / 2 * CLEAR
    return arcs, max(craft.THOUGHT_BUMP_SHARE, needed)


def _bump(begin: Point, end: Point, height: float, lean: float) -> list[Segment]:
    """An arc from one cusp to the next, `height` above the chord; its top leans along the chord.

    A circular arc as two cubics (the usual 4/3 tan(θ/4) handles), sheared by the lean.
    """
    chord = begin.distance(end)
    along = ((end.x - begin.x) / chord, (end.y - begin.y) / chord)
    half = chord / 2
    turn = 2 * math.atan2(height, half)
    radius = half / math.sin(turn)
    handle = 4 / 3 * math.tan(turn / 4) * radius

    def at(x: float, y: float) -> Point:
        x += lean * y
        return Point(begin.x + along[0] * x + along[1] * y, begin.y + along[1] * x - along[0] * y)

    rise, run = math.sin(turn) * handle, math.cos(turn) * handle
    return [
        Segment("C", (at(run, rise), at(half - handle, height), at(half, height))),
        Segment("C", (at(half + handle, height), at(chord - run, rise), end)),
    ]


CLOUD = Cloud()
