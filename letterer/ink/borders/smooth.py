"""Smooth borders: the plain oval of speech, and a whisper's, which is dashed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Path, Segment
from letterer.ink.borders.protocol import Pen, Plain
from letterer.ink.outline import oval_outline
from letterer.ink.ring import Ring
from letterer.ink.tail import Tail

PERIOD = craft.DASH_POINTS * (1 + craft.DASH_GAP_SHARE)

TIP_DASHES_MOST = 6
"""The dash on a tip reaches no farther to each side than this many usual ones."""


class Smooth(Plain):
    """A plain oval, wavering a little by the hand."""

    def __init__(self, air: float = 1.0) -> None:
        self.air = air

    def outline(self, oval: Oval, pen: Pen, aims: Sequence[Tail] = ()) -> Path:
        """The oval."""
        return oval_outline(oval, pen.identity, pen.hand)


def dashed(outline: Path, weight: float = craft.BORDER_POINTS) -> tuple[Path, tuple[float, ...]]:
    """A whole outline, tails and all, begun anew, and the lengths of its dashes and gaps by turns.

    Every corner (the tip and the roots of a tail, the ends of a cut) lies within a dash, and a
    whole number of dashes fills the way from each corner to the next. The tip of a tail is one
    dash, out to where its two sides, `weight` points wide, stand apart.
    """
    ring = Ring(outline)
    corners = ring.corners()
    if not corners:
        count = max(craft.DASHES_LEAST, round(ring.length / PERIOD))
        dash = ring.length / count / (1 + craft.DASH_GAP_SHARE)
        return outline, (dash, dash * craft.DASH_GAP_SHARE)
    reaches = [_tip_reach(ring, corner, weight) for corner in corners]
    ways = []
    for at, corner in enumerate(corners):
        after = (at + 1) % len(corners)
        length = (corners[after] - corner) % ring.length or ring.length
        ways.append((corner, _fitted(length, reaches[at], reaches[after])))
    first = next((at for at, (_, way) in enumerate(ways) if way.dashes), None)
    if first is None:
        return outline, ()
    # From the corner after a way that has gaps: the dash there begins on that way.
    ways = [*ways[first + 1 :], *ways[: first + 1]]
    start = ways[0][0] - ways[-1][1].foot
    pattern: list[float] = []
    here = ways[-1][1].foot
    for _, way in ways:
        here += way.head
        if way.dashes:
            for _dash in range(way.dashes):
                pattern += [here, way.dash * craft.DASH_GAP_SHARE]
                here = way.dash
            here = way.foot
    begun = Segment("M", (ring.point(start),))
    path = Path((begun, *ring.between(start, start), Segment("Z")))
    return path, tuple(pattern)


class _Way(NamedTuple):
    """The dashes from one corner to the next: how much of those on the corners lies on this way,
    `dashes` gaps in all, and the length of the dashes between them. Without gaps it is one dash,
    `head` long."""

    head: float
    dash: float
    dashes: int
    foot: float


def _fitted(length: float, head: float, foot: float) -> _Way:
    """A way from corner to corner; `head` and `foot` are how far its first and last dash reach, 0
    where they are half a dash as others are."""
    room, halves = length - head - foot, ((head == 0) + (foot == 0)) / 2
    share = craft.DASH_GAP_SHARE
    if room < (share + halves) * craft.DASH_POINTS / 2:
        return _Way(length, 0.0, 0, 0.0)
    wished = (room / craft.DASH_POINTS - halves + 1) / (1 + share)
    _, dash, gaps = min(
        (abs(math.log(dash / craft.DASH_POINTS)), dash, gaps)
        for gaps in {max(math.floor(wished), 1), max(math.ceil(wished), 1)}
        for dash in [room / (gaps * share + gaps - 1 + halves)]
    )
    return _Way(head or dash / 2, dash, gaps, foot or dash / 2)


def _tip_reach(ring: Ring, corner: float, weight: float) -> float:
    """How far the dash on a tail's tip reaches to each side; 0 for other corners, and for a tip so
    blunt that half a dash is enough."""
    wide, reach = craft.DASH_TIP_WEIGHTS * weight, craft.DASH_POINTS / 4
    while ring.point(corner - reach).distance(ring.point(corner + reach)) < wide:
        reach += craft.DASH_POINTS / 16
        if reach > TIP_DASHES_MOST * craft.DASH_POINTS:
            break
    return reach if reach > craft.DASH_POINTS / 2 else 0.0


SMOOTH = Smooth()
WHISPER = Smooth(craft.WHISPER_AIR)
