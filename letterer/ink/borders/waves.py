"""Borders that waver: the shaky one of a weak voice, and the slow swell of a sung one."""

from __future__ import annotations

import math
from collections.abc import Sequence

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Path
from letterer.ink.borders.protocol import Pen, Plain, Reach, TailManner
from letterer.ink.borders.track import Stretch, Track, closed, rooted
from letterer.ink.tail import Tail

NODES_A_WAVE = 8
"""Points that one wave is drawn through."""


class Waves(Plain):
    """A whole number of waves all round, outward from the oval, uneven by the hand."""

    def __init__(
        self, length: float, height: float, uneven: float, least: int, tail: TailManner
    ) -> None:
        self._length = length
        self._height = height
        self._uneven = uneven
        self._least = least
        self.tail = tail

    def reach(self, size: float, round_em: float = math.inf) -> Reach:
        """The highest wave."""
        most = self._height * size
        return Reach(most, most, most)

    def height(self, round_em: float) -> float:
        """Height of the waves in em, for a balloon whose round is so many em."""
        return self._height

    def outline(self, oval: Oval, pen: Pen, aims: Sequence[Tail] = ()) -> Path:
        """The waving border."""
        track = Track(oval)
        count = max(round(track.length / (self._length * pen.size)), self._least)
        chance = pen.chance("waves")
        uneven = self._uneven * pen.life
        # Each wave has a length and a height of its own; troughs stay on the oval.
        weights = [1 + uneven * (2 * chance.random() - 1) for _ in range(count)]
        heights = [1 - uneven * chance.random() for _ in range(count)]
        unit = track.length / sum(weights)
        height = self.height(track.length / pen.size) * pen.size
        ends, total = [], 0.0
        for weight in weights:
            total += weight * unit
            ends.append(total)
        ends[-1] = track.length
        start = chance.random() * track.length if pen.life else 0.0

        roots = [base for base, _ in rooted(track, aims)]

        def off(arc: float) -> float:
            arc = (arc - start) % track.length
            at = next((index for index, end in enumerate(ends) if arc < end), count - 1)
            begin = ends[at - 1] if at else 0.0
            share = (arc - begin) / (ends[at] - begin)
            swell = (1 - math.cos(2 * math.pi * share)) / 2
            return height * heights[at] * swell * _calm(track, arc + start, roots)

        nodes = []
        for index, end in enumerate(ends):
            begin = ends[index - 1] if index else 0.0
            nodes += [
                start + begin + (end - begin) * step / NODES_A_WAVE for step in range(NODES_A_WAVE)
            ]
        return closed(track, off, nodes)


def _calm(track: Track, arc: float, roots: Sequence[Stretch]) -> float:
    """0 at the roots of tails, where the border is calm, and 1 from a base's width away on."""
    least = 1.0
    for base in roots:
        way = (arc - (base.begin + base.end) / 2) % track.length
        way = min(way, track.length - way)
        share = min(max(way / base.length - 0.5, 0.0), 1.0)
        least = min(least, share * share * (3 - 2 * share))
    return least


WEAK = Waves(
    craft.WEAK_WAVE_EM, craft.WEAK_HEIGHT_EM, craft.WEAK_UNEVEN, craft.WEAK_WAVES_LEAST, "waver"
)
