"""Tails that are no plain taper: a bolt of straight strokes, and a trail of bubbles."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Path, Point, Segment
from letterer.ink.outline import oval_outline
from letterer.ink.ring import Ring
from letterer.ink.tail_values import Tail

Strokes = tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]

ROUND = 2.0
"""The exponent of a round bubble."""

CLEAR_STEPS = 48
"""An axis is measured against the border at so many places, and as many beyond its tip."""

TRAIL_GAPS = (1.0, 0.55)
"""Where there is little room the least gap is this share of itself."""

TRAIL_STEPS = 12
"""Sizes of bubbles that are tried."""


def bolt(begin: Point, end: Point, tip: Point) -> tuple[list[Segment], list[Segment]]:
    """The two sides of a bolt of lightning, from the ends of its base out to its tip.

    Its strokes lean one way and it steps back between them; each is narrower than the one before.
    """
    root = begin.toward(end, 0.5)
    length = root.distance(tip)
    if length < begin.distance(end) * craft.BOLT_SHORTEST:
        return [Segment("L", (tip,))], [Segment("L", (tip,))]
    along = ((tip.x - root.x) / length, (tip.y - root.y) / length)
    # Square to the axis, from the base's beginning to its end.
    across = (-along[1], along[0])
    if (end.x - begin.x) * across[0] + (end.y - begin.y) * across[1] < 0:
        across = (along[1], -along[0])
    wide = min(begin.distance(end), length * craft.BOLT_WIDTH_LENGTH)

    def place(share: float, off: float) -> Point:
        far, aside = share * length, off * wide
        return root.shifted(along[0] * far + across[0] * aside, along[1] * far + across[1] * aside)

    strokes: Strokes = (
        craft.BOLT_STROKES if length < wide * craft.BOLT_LONG else craft.BOLT_STROKES_LONG
    )
    if (end.x - begin.x) * along[0] + (end.y - begin.y) * along[1] > 0:
        # It leans over its far end: there the first stroke must be the longer one.
        strokes = (
            tuple((share, -off) for share, off in strokes[1]),
            tuple((share, -off) for share, off in strokes[0]),
        )
    near = [place(*corner) for corner in strokes[0]]
    far = [place(*corner) for corner in strokes[1]]
    return (
        [Segment("L", (point,)) for point in (*near, tip)],
        [Segment("L", (point,)) for point in (*far, tip)],
    )


def bubbles(tail: Tail, outline: Path, gap: float) -> tuple[Oval, ...]:
    """The bubbles of a trail, the largest first: two to four that shrink toward the tip.

    None touches another, and the first one stands clear of the border, by `gap` points. Empty
    where there is no room for two.
    """
    line, ways = _measured(tail)
    clear = _Clearance(line, ways, outline)
    reach = ways[-1] + max(tail.tip.distance(tail.mouth) - gap, 0.0)
    most = max(ways[-1], craft.TRAIL_REACH * reach)
    best: tuple[float, list[float], float] | None = None
    for tight in TRAIL_GAPS:
        best = best or _sized(tail, clear, ways[-1], most, gap * tight)
    if best is None:
        return ()
    _, radii, here = best
    spans = _spans(radii)
    spare = max(ways[-1] - radii[-1] - here - sum(spans), TRAIL_GAPS[-1] * gap * len(spans))
    found = []
    for at, radius in enumerate(radii):
        place = _along(line, ways, here)
        found.append(Oval(place, radius * craft.TRAIL_WIDE, radius, ROUND))
        if at < len(spans):
            # Gaps shrink with the bubbles.
            here += spans[at] + spare * spans[at] / sum(spans)
    return tuple(found)


def _sized(
    tail: Tail, clear: _Clearance, way: float, most: float, gap: float
) -> tuple[float, list[float], float] | None:
    """How many bubbles fill a way best, and how large: what it costs, their half-heights, and where
    the first one stands. They may go on to `most` where the way is too short."""
    best: tuple[float, list[float], float] | None = None
    smallest, largest = craft.TRAIL_SIZES
    for count in range(craft.TRAIL_LEAST, craft.TRAIL_MOST + 1):
        usual = [tail.base * craft.TRAIL_LARGEST * craft.TRAIL_SHRINK**at for at in range(count)]
        for step in range(TRAIL_STEPS + 1):
            size = smallest + (largest - smallest) * step / TRAIL_STEPS
            radii = [size * radius for radius in usual]
            first = clear.first(radii[0] * craft.TRAIL_WIDE + gap)
            total = sum(_spans(radii))
            spare, least = way - radii[-1] - first - total, gap * (count - 1)
            if spare < least and first + total + least + radii[-1] > most:
                continue
            wanted = max(sum(radii[1:]) * craft.TRAIL_GAP, least)
            cost = abs(math.log(max(spare, least / 2) / wanted)) + abs(math.log(size))
            # What goes on beyond the tip comes too near to the mouth.
            cost += craft.TRAIL_COST_BEYOND * max(least - spare, 0.0) / way
            if best is None or cost < best[0] - 1e-9:
                best = cost, radii, first
    return best


def _spans(radii: Sequence[float]) -> list[float]:
    """From each bubble's middle to the next one's where they would touch, as wide as they are."""
    return [(one + two) * craft.TRAIL_WIDE for one, two in itertools.pairwise(radii)]


def _measured(tail: Tail) -> tuple[tuple[Point, ...], list[float]]:
    """A tail's axis, and the length along it at each of its points."""
    line, ways = tail.line, [0.0]
    for p, q in itertools.pairwise(line):
        ways.append(ways[-1] + p.distance(q))
    return line, ways


def trail_path(found: Sequence[Oval], identity: str = "", hand: float = 0.0) -> Path:
    """Bubbles as closed contours, drawn by the same hand as the border."""
    path = Path()
    for at, oval in enumerate(found):
        path += oval_outline(oval, f"{identity}|bubble {at}", min(hand, oval.b / 12))
    return path


def _along(line: Sequence[Point], ways: Sequence[float], at: float) -> Point:
    """The point so far along a line; beyond its end on the straight run of its last step."""
    for index in range(1, len(line)):
        if at <= ways[index] or index == len(line) - 1:
            step = ways[index] - ways[index - 1]
            share = (at - ways[index - 1]) / step if step else 0.0
            return line[index - 1].toward(line[index], share)
    return line[0]


class _Clearance:
    """How far from a border the points along a tail's axis are, measured once for all bubbles."""

    def __init__(self, line: Sequence[Point], ways: Sequence[float], outline: Path) -> None:
        self.step = max(ways[-1], 1e-6) / CLEAR_STEPS
        places = np.array([_along(line, ways, at * self.step) for at in range(2 * CLEAR_STEPS)])
        apart = np.hypot(*(places[:, None] - Ring(outline).marks).transpose(2, 0, 1))
        self.away: list[float] = apart.min(axis=1).tolist()

    def first(self, room: float) -> float:
        """How far along the axis one is this far off the border, and stays so."""
        within = [at for at, away in enumerate(self.away) if away < room]
        return (within[-1] + 1) * self.step if within else 0.0
