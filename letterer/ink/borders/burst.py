"""Borders of sharp corners: a shout's burst of spikes, and the even zigzag of a broadcast."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Path, Point, Segment
from letterer.ink.borders.protocol import Pen, Plain, Reach, TailManner
from letterer.ink.borders.track import (
    Stretch,
    Track,
    along,
    closed_path,
    discs,
    free_stretches,
    rooted,
    stations,
    unit,
)
from letterer.ink.tail import Tail, TailStyle, Untailed

SHORTENED = 8
"""Lengths tried for a spike beside one that aims at a mouth."""

ROUNDS_APART = 12
"""How often neighbours that aim give way to one another."""

EDGE = 1e-9
"""Bases may stand right beside each other."""


class Spike(NamedTuple):
    """One spike: the places of its two valleys and of its middle on the oval, and its tip."""

    begin: float
    middle: float
    end: float
    tip: Point


class Burst(Plain):
    """A shout: uneven spikes with slightly hollow sides; the longest aims at the speaker."""

    air = craft.SHOUT_AIR
    tail: TailManner = "spike"

    def reach(self, size: float, round_em: float = math.inf) -> Reach:
        """The longest spike that does not aim at a mouth."""
        most = min(_longest_em(round_em), craft.SHOUT_SPIKE_MOST_EM) * size
        return Reach(most, most, most)

    def outline(self, oval: Oval, pen: Pen, aims: Sequence[Tail] = ()) -> Path:
        """The burst, with a spike of its own for each aim that is one."""
        track = Track(oval)
        start = pen.chance("start").random() * track.length if pen.life else 0.0
        bases = rooted(track, aims)
        free = free_stretches(track, aims, start)
        segments: list[Segment] = []
        for index, part in enumerate(free):
            for spike in _row(track, pen, part, aims):
                segments += _sides(track, spike)
            if bases:
                base, aim = bases[(index + 1) % len(bases)]
                if aim.shape == "spike":
                    middle = (base.begin + base.end) / 2
                    segments += _sides(track, Spike(base.begin, middle, base.end, aim.tip))
                else:
                    segments += along(track, base.begin, base.end)
        return closed_path(track.point(free[0].begin), segments)


def _sides(track: Track, spike: Spike) -> list[Segment]:
    """A spike's two sides, up to its tip and down again."""
    axis = track.point(spike.middle).toward(spike.tip, 0.5)
    begin, end = track.point(spike.begin), track.point(spike.end)
    found = []
    for near, far in ((begin, spike.tip), (spike.tip, end)):
        bend = near.toward(far, 0.5).toward(axis, craft.SHOUT_HOLLOW)
        found.append(Segment("Q", (bend, far)))
    return found


def aimed_spikes(
    oval: Oval, mouths: Sequence[Point], style: TailStyle
) -> tuple[tuple[Tail, ...], tuple[Untailed, ...]]:
    """The spikes of a burst that aim at mouths, as tails; and the mouths that get none.

    Each is straight and stands where the line from the oval's middle to its mouth leaves the oval;
    two that would stand in each other's way give way by half each. One that would have to go too
    far is left out.
    """
    track = Track(oval)
    left: list[Untailed] = []
    sought: list[tuple[Point, float, float]] = []
    for mouth in dict.fromkeys(mouths):
        arc = track.arc_toward(mouth)
        root = track.point(arc)
        length = root.distance(mouth) * style.share
        if oval.level(mouth) <= 1:
            left.append(Untailed(mouth, "inside"))
        elif length < style.shortest:
            left.append(Untailed(mouth, "near"))
        else:
            base = min(
                style.base * craft.SHOUT_AIMED_BASE,
                2 * oval.a * craft.TAIL_BASE_BALLOON_SHARE,
                2 * oval.b * craft.TAIL_BASE_HEIGHT_SHARE,
                length,
            )
            sought.append((mouth, arc, base))
    tails: dict[Point, Tail] = {}
    taken: list[tuple[float, float]] = []
    places = _apart(track, [(arc, base) for _, arc, base in sought], style.gap)
    for (mouth, arc, base), place in zip(sought, places, strict=True):
        blocked = any(
            _around(track, place - other) < (base + wide) / 2 + style.gap - EDGE
            for other, wide in taken
        )
        if blocked or _around(track, place - arc) > craft.SHOUT_ASIDE_SHARE * track.length:
            left.append(Untailed(mouth, "room"))
            continue
        taken.append((place, base))
        root = track.point(place)
        tip = root.toward(mouth, style.share)
        begin, end = track.point(place - base / 2), track.point(place + base / 2)
        tails[mouth] = Tail(mouth, root, root.toward(tip, 0.5), tip, begin.distance(end), "spike")
    return tuple(tails.values()), tuple(left)


def _apart(track: Track, spikes: Sequence[tuple[float, float]], gap: float) -> list[float]:
    """Where the roots of spikes stand once neighbours that are too near gave way, half each."""
    places = [arc for arc, _ in spikes]
    for _ in range(ROUNDS_APART):
        moved = False
        for one, other in itertools.combinations(range(len(spikes)), 2):
            way = (places[other] - places[one] + track.length / 2) % track.length
            way -= track.length / 2
            lack = (spikes[one][1] + spikes[other][1]) / 2 + gap - abs(way)
            if lack > EDGE:
                step = math.copysign(lack / 2, way)
                places[one] -= step
                places[other] += step
                moved = True
        if not moved:
            break
    return places


def _around(track: Track, arc: float) -> float:
    arc %= track.length
    return min(arc, track.length - arc)


def _grown(round_em: float) -> float:
    """By how much spikes are larger than those of a shout of the usual size."""
    return math.pow(round_em / craft.SHOUT_ROUND_USUAL_EM, craft.SHOUT_GROWTH)


def _longest_em(round_em: float) -> float:
    """The longest spike of a burst in em, but for those that aim."""
    return craft.SHOUT_SPIKE_EM * _grown(round_em)


def _row(track: Track, pen: Pen, stretch: Stretch, aims: Sequence[Tail]) -> list[Spike]:
    """Spikes that fill a stretch of the border; none is as long as one that aims at a mouth."""
    aims = [aim for aim in aims if aim.shape == "spike"]
    room = stretch.length
    round_em = track.length / pen.size
    pitch = craft.SHOUT_PITCH_EM * _grown(round_em) * pen.size
    pitch = min(pitch, track.length / craft.SHOUT_SPIKES_LEAST)
    count = max(round(room / pitch), 1)
    if not pen.life and not aims:
        count += count % 2
    most = craft.SHOUT_SPIKE_MOST_EM * pen.size
    if aims:
        longest = min(aim.root.distance(aim.tip) for aim in aims)
        most = min(most, longest * craft.SHOUT_OTHERS_SHARE)
    longest_usual = min(_longest_em(round_em) * pen.size, most)
    chance = pen.chance(f"spikes {stretch.begin:.1f}" if len(aims) > 1 else "spikes")
    uneven = craft.SHOUT_UNEVEN * pen.life
    weights = [1 + uneven * (2 * chance.random() - 1) for _ in range(count)]
    width = room / sum(weights)
    spikes, here = [], stretch.begin
    for index, weight in enumerate(weights):
        base = width * weight
        lean = 0.5 + craft.SHOUT_LEAN * pen.life * (2 * chance.random() - 1)
        drawn = chance.random()
        # Long and short take turns, as the pen does; the hand makes each one different.
        low, high = (0.0, 0.45) if index % 2 else (0.55, 1.0)
        share = low + (high - low) * (drawn if pen.life else 0.5)
        length = longest_usual * (craft.SHOUT_SHORT + (1 - craft.SHOUT_SHORT) * share)
        length = min(max(length, craft.SHOUT_BLUNTEST * base), most)
        middle = here + base * lean
        away = track.outward(middle, craft.SHOUT_FANNED)
        foot = track.point(middle)
        for aim in aims:
            length = min(length, _room(aim, foot, away, length))
        tip = foot.shifted(away.x * length, away.y * length)
        spikes.append(Spike(here, middle, here + base, tip))
        here += base
    return spikes


def _room(aim: Tail, foot: Point, away: Point, length: float) -> float:
    """How long a spike may be beside one that aims at a mouth: it keeps to its own side."""
    axis = unit(aim.tip.x - aim.root.x, aim.tip.y - aim.root.y)
    whole = aim.root.distance(aim.tip)

    def beside(point: Point) -> tuple[float, float]:
        dx, dy = point.x - aim.root.x, point.y - aim.root.y
        return dx * axis.x + dy * axis.y, dx * axis.y - dy * axis.x

    side = math.copysign(1.0, beside(foot)[1])
    for step in range(SHORTENED, 0, -1):
        share = length * step / SHORTENED
        along_axis, off = beside(foot.shifted(away.x * share, away.y * share))
        half = aim.base / 2 * (1 - along_axis / whole)
        if not 0 < along_axis < whole or side * off > half + craft.SHOUT_APART * aim.base:
            return share
    return length / SHORTENED


class Zigzag(Plain):
    """A broadcast (machine, radio, telephone): straight strokes of even pitch."""

    air = craft.BROADCAST_AIR
    fullness = craft.BROADCAST_EXPONENT
    tail: TailManner = "lightning"

    def reach(self, size: float, round_em: float = math.inf) -> Reach:
        """The teeth."""
        most = craft.BROADCAST_TOOTH_MOST_EM * size
        return Reach(most, most, most)

    def outline(self, oval: Oval, pen: Pen, aims: Sequence[Tail] = ()) -> Path:
        """The zigzag: even teeth; none at the roots of tails."""
        track = Track(oval)
        most = craft.BROADCAST_TOOTH_MOST_EM * pen.size - pen.hand
        chance = pen.chance("zigzag")
        beside = [disc for _, aim in rooted(track, aims) for disc in discs(aim)]
        clear = craft.BROADCAST_TAIL_EM * pen.size
        free = free_stretches(track, aims, track.length / 4)
        segments: list[Segment] = []
        for index, part in enumerate(free):
            teeth = _teeth(track, part, pen, most)
            for begin, end in itertools.pairwise(teeth.arcs):
                here, there = track.point(begin), track.point(end)
                dx, dy = there.x - here.x, there.y - here.y
                chord = math.hypot(dx, dy)
                loose = craft.BROADCAST_LOOSE * pen.life * (2 * chance.random() - 1)
                high = teeth.height + pen.hand * (2 * chance.random() - 1)
                foot = here.toward(there, 0.5 + loose)
                tip = foot.shifted(dy / chord * high, -dx / chord * high)
                if any(tip.distance(place) < half + clear for place, half in beside):
                    segments += along(track, begin, end)
                else:
                    segments += [Segment("L", (tip,)), Segment("L", (there,))]
            if rooted(track, aims):
                root = (free[(index + 1) % len(free)].begin - part.end) % track.length
                segments += along(track, part.end, part.end + root)
        return closed_path(track.point(free[0].begin), segments)


class _Teeth(NamedTuple):
    """Where teeth stand along a stretch, and how high above their chords they are."""

    arcs: list[float]
    height: float


def _teeth(track: Track, stretch: Stretch, pen: Pen, most: float) -> _Teeth:
    """As many teeth as have about the usual pitch, and more where they would be too high."""
    pitch = min(craft.BROADCAST_PITCH_EM * pen.size, track.length / craft.BROADCAST_TEETH_LEAST)
    count = max(round(stretch.length / pitch), 1)
    usual = craft.BROADCAST_TOOTH_SHARE * pitch
    while True:
        arcs = stations(track, stretch, [1.0] * count)
        height = max(_clearing(track, begin, end) for begin, end in itertools.pairwise(arcs))
        height = max(height + pen.hand, usual)
        if height <= most or count > craft.BROADCAST_TEETH_MOST:
            return _Teeth(arcs, min(height, most))
        count += 1


def _clearing(track: Track, begin: float, end: float) -> float:
    """How high above its chord a tooth must be for its strokes to clear the oval under them.

    A stroke must rise faster than the border does where the stroke begins.
    """
    chord = track.point(begin).distance(track.point(end))
    run = chord * (0.5 + craft.BROADCAST_LOOSE)
    return track.rise(begin, end) * run * craft.BROADCAST_CLEAR


BURST = Burst()
ZIGZAG = Zigzag()
