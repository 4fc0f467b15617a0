"""Tails: from a balloon toward a mouth, in one contour with the balloon.

A tail's axis is one quadratic Bézier. It begins on the border, a little aside of the straight line
from the balloon's heart to the mouth, and ends on that line, running along it: carried on, it
meets the mouth exactly. The root moves toward the middle of the balloon, which gives the gentle
curve that a pen makes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from letterer import craft
from letterer.geometry import Path, Point, Segment
from letterer.ink.ring import Ring

FARTHEST_ROOT = 0.08
"""The root moves aside by no more than this share of the border, or the tail would lie along it."""

LONGEST_BASE = 1.2
"""A base is no wider than this share of the tail's length: a short tail is a small one."""

EDGE = 1e-9
"""A base may stand right at the edge of a blocked stretch, on either side."""


@dataclass(frozen=True, slots=True)
class TailStyle:
    """How a house draws tails: lengths in points along the border, shares of the way or of the
    length.

    `base` is the width at the border, `share` where the tip ends on the way to the mouth, `bend`
    how
    far the root moves aside. Tails shorter than `shortest` are left out; bases keep `corner` off a
    caption's corners and `gap` off each other.
    """

    base: float
    share: float = craft.TAIL_SHARE
    bend: float = craft.TAIL_BEND_SHARE
    shortest: float = 0.0
    corner: float = 0.0
    gap: float = 0.0


@dataclass(frozen=True, slots=True)
class Tail:
    """A tail as drawn: the mouth it aims at, its root on the border, the bend, its tip, its
    base."""

    mouth: Point
    root: Point
    bend: Point
    tip: Point
    base: float

    @property
    def length(self) -> float:
        """From root to tip, straight."""
        return self.root.distance(self.tip)


@dataclass(frozen=True, slots=True)
class Untailed:
    """A mouth that got no tail, and why: `inside` the outline, `near` it, or no `room` on the
    border."""

    mouth: Point
    why: str


@dataclass(frozen=True, slots=True)
class _Rooted:
    begin: float
    end: float
    tail: Tail


def tailed_outline(
    outline: Path, heart: Point, mouths: Sequence[Point], style: TailStyle
) -> tuple[Path, tuple[Tail, ...], tuple[Untailed, ...]]:
    """The outline with a tail toward each mouth, as one closed contour.

    Also gives the tails drawn, and the mouths that got none with the reason. Bases keep apart from
    each other and from a caption's corners.
    """
    ring = Ring(outline)
    rooted: list[_Rooted] = []
    left_out: list[Untailed] = []
    alone = len(mouths) == 1
    for mouth in mouths:
        found = _rooted(ring, heart, mouth, style if alone else replace(style, bend=0.0), rooted)
        if isinstance(found, Untailed):
            left_out.append(found)
        else:
            rooted.append(found)
    if not rooted:
        return outline, (), tuple(left_out)
    drawn = tuple(item.tail for item in rooted)
    return _spliced(ring, sorted(rooted, key=lambda item: item.begin)), drawn, tuple(left_out)


def _rooted(
    ring: Ring, heart: Point, mouth: Point, style: TailStyle, taken: Sequence[_Rooted]
) -> _Rooted | Untailed:
    """The tail toward one mouth, with the stretch of border that its base takes."""
    crossing = ring.exit(heart, mouth)
    if crossing is None or heart.distance(mouth) <= heart.distance(ring.point(crossing)):
        return Untailed(mouth, "inside")
    border = ring.point(crossing)
    tip = border.toward(mouth, style.share)
    length = border.distance(tip)
    if length < style.shortest:
        return Untailed(mouth, "near")
    aside = _aside(ring, crossing, heart, border) * min(
        style.bend * length, ring.length * FARTHEST_ROOT
    )
    bend = border.toward(tip, 0.5)
    most = _width(ring) * craft.TAIL_BASE_BALLOON_SHARE
    base = min(style.base, length * LONGEST_BASE, most)
    base = min(base * _widened(ring, crossing + aside, bend), most)
    middle = _free(ring, crossing + aside, base, style, taken)
    if middle is None:
        return Untailed(mouth, "room")
    root = ring.point(middle)
    begin, end = middle - base / 2, middle + base / 2
    tail = Tail(mouth, root, bend, tip, ring.point(begin).distance(ring.point(end)))
    return _Rooted(begin % ring.length, end % ring.length, tail)


def _width(ring: Ring) -> float:
    box = ring.path.box()
    return box.width if box else 0.0


def _widened(ring: Ring, middle: float, bend: Point) -> float:
    """By how much a base is wider along the border than across a tail that leaves it aslant."""
    step = ring.length / 400
    before, root, after = (ring.point(middle + offset) for offset in (-step, 0.0, step))
    border = math.atan2(after.y - before.y, after.x - before.x)
    axis = math.atan2(bend.y - root.y, bend.x - root.x)
    across = abs(math.sin(axis - border))
    return min(1 / max(across, 0.1), craft.TAIL_BASE_RANGE_CAPS[1] / craft.TAIL_BASE_CAPS)


def _aside(ring: Ring, crossing: float, heart: Point, border: Point) -> float:
    """Which way along the border the root moves: +1 or -1, toward the line above or below the
    heart."""
    step = ring.length / 200
    ahead, behind = ring.point(crossing + step), ring.point(crossing - step)
    if abs(border.x - heart.x) < 1e-6:
        return 1.0
    return 1.0 if abs(ahead.x - heart.x) < abs(behind.x - heart.x) else -1.0


def _free(
    ring: Ring, wanted: float, base: float, style: TailStyle, taken: Sequence[_Rooted]
) -> float | None:
    """The place nearest to the wanted one where a base fits: off the corners, off other bases."""
    corner = base / 2 + style.corner
    blocked = [(at - corner, at + corner) for at in ring.corners()]
    blocked += [
        (item.begin - style.gap - base / 2, item.end + style.gap + base / 2)
        if item.begin < item.end
        else (item.begin - style.gap - base / 2, item.end + ring.length + style.gap + base / 2)
        for item in taken
    ]

    def open_at(at: float) -> bool:
        return not any(
            EDGE < (at - low) % ring.length < (high - low) - EDGE for low, high in blocked
        )

    if open_at(wanted):
        return wanted
    edges = [edge for pair in blocked for edge in pair if open_at(edge)]
    return min(edges, key=lambda edge: _around(ring, edge - wanted), default=None)


def _around(ring: Ring, arc: float) -> float:
    """Distance along the ring, the shorter way round."""
    arc %= ring.length
    return min(arc, ring.length - arc)


def _spliced(ring: Ring, rooted: Sequence[_Rooted]) -> Path:
    """The border cut open at each base and led out to the tip and back."""
    segments: list[Segment] = [Segment("M", (ring.point(rooted[0].begin),))]
    for index, item in enumerate(rooted):
        tail = item.tail
        begin, end = ring.point(item.begin), ring.point(item.end)
        segments.append(_flank(begin, tail))
        segments.append(_flank(end, tail, back=True))
        after = rooted[(index + 1) % len(rooted)]
        segments += ring.between(item.end, after.begin)
    segments.append(Segment("Z"))
    return Path(tuple(segments))


def _flank(base: Point, tail: Tail, back: bool = False) -> Segment:
    """One side of a tail: like the axis, from the base's end, half as far off it at the bend."""
    control = tail.bend.shifted((base.x - tail.root.x) / 2, (base.y - tail.root.y) / 2)
    return Segment("Q", (control, base if back else tail.tip))


def aim_error(tail: Tail) -> float:
    """Degrees between the axis at the tip and the direction from the tip to the mouth."""
    axis = math.atan2(tail.tip.y - tail.bend.y, tail.tip.x - tail.bend.x)
    wanted = math.atan2(tail.mouth.y - tail.tip.y, tail.mouth.x - tail.tip.x)
    return abs(math.degrees((axis - wanted + math.pi) % (2 * math.pi) - math.pi))
