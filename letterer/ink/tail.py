"""Tails: from a balloon toward a mouth, in one contour with the balloon.

A tail's axis is one quadratic Bézier. It begins on the border, a little aside of the straight line
from the balloon's heart to the mouth, and ends on that line, running along it: carried on, it
meets the mouth exactly. The root moves toward the middle of the balloon, which gives the gentle
curve that a pen makes.
"""

from __future__ import annotations

import itertools
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

FLANK_TOLERANCE = 0.05
"""Tails are asked whether they cross as lines of points, this near to the curves."""


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

    def shifted(self, dx: float, dy: float) -> Tail:
        """This tail moved by (dx, dy), with its mouth."""
        places = (self.mouth, self.root, self.bend, self.tip)
        mouth, root, bend, tip = (place.shifted(dx, dy) for place in places)
        return Tail(mouth, root, bend, tip, self.base)

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
class _Aim:
    """A tail not yet rooted: `exit` is where the line to its mouth leaves the border, `crossing` is
    that place moved apart from its neighbours', `aside` how far the root may move on from there."""

    mouth: Point
    exit: float
    crossing: float
    aside: float
    bend: Point
    tip: Point
    base: float
    corner: float


@dataclass(frozen=True, slots=True)
class _Rooted:
    begin: float
    end: float
    tail: Tail
    flanks: list[Point]


def tailed_outline(
    outline: Path, heart: Point, mouths: Sequence[Point], style: TailStyle
) -> tuple[Path, tuple[Tail, ...], tuple[Untailed, ...]]:
    """The outline with a tail toward each mouth, as one closed contour.

    Also gives the tails drawn, and the mouths that got none with the reason. Bases keep apart from
    each other and from a caption's corners.
    """
    ring, mouths = Ring(outline), tuple(dict.fromkeys(mouths))
    rooted, left_out = _all_rooted(ring, heart, mouths, style)
    if not rooted:
        return outline, (), left_out
    drawn = tuple(rooted[mouth].tail for mouth in mouths if mouth in rooted)
    spliced = _spliced(ring, sorted(rooted.values(), key=lambda item: item.begin))
    return spliced, drawn, left_out


def _all_rooted(
    ring: Ring, heart: Point, mouths: Sequence[Point], style: TailStyle
) -> tuple[dict[Point, _Rooted], tuple[Untailed, ...]]:
    """The tails by their mouths, and the mouths that get none.

    Several tails bend less than one does, and are straight where the bend would cost one its room.
    """
    aimed = [_aimed(ring, heart, mouth, style) for mouth in mouths]
    hopeless = [aim for aim in aimed if isinstance(aim, Untailed)]
    aims = [aim for aim in aimed if isinstance(aim, _Aim)]
    if len(aims) < 2:
        rooted, crowded = _together(ring, aims, style)
        return rooted, (*hopeless, *crowded)
    ways = []
    for share in (craft.TAIL_BEND_SEVERAL, 0.0):
        less = replace(style, bend=style.bend * share)
        again = [_aimed(ring, heart, aim.mouth, less) for aim in aims]
        ways.append(_together(ring, [aim for aim in again if isinstance(aim, _Aim)], less))
        if not ways[-1][1]:
            break
    rooted, crowded = min(reversed(ways), key=lambda way: len(way[1]))
    return rooted, (*hopeless, *crowded)


def _together(
    ring: Ring, aims: Sequence[_Aim], style: TailStyle
) -> tuple[dict[Point, _Rooted], list[Untailed]]:
    """Tails rooted one after the other along the border, and the mouths that found no room."""
    rooted: dict[Point, _Rooted] = {}
    crowded: list[Untailed] = []
    for aim in _spread(ring, aims, style.gap):
        found = _rooted(ring, aim, style, tuple(rooted.values()))
        if isinstance(found, Untailed):
            crowded.append(found)
        else:
            rooted[aim.mouth] = found
    return rooted, crowded


def _aimed(ring: Ring, heart: Point, mouth: Point, style: TailStyle) -> _Aim | Untailed:
    """What a tail toward a mouth is to be, before it is known where its base finds room."""
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
    _, side = _side(ring, crossing)
    most = _widest_base(ring)
    base = min(style.base, length * LONGEST_BASE, most)
    most = min(most, max(side - 2 * style.corner, side / 2))
    base = min(base * _widened(ring, crossing + aside, bend), most)
    return _Aim(
        mouth, crossing, crossing, aside, bend, tip, base, min(style.corner, (side - base) / 2)
    )


def _spread(ring: Ring, aims: Sequence[_Aim], gap: float) -> list[_Aim]:
    """Aims in their order along the border, their places moved apart until all bases have room.

    Tails whose bases stand in another order than their mouths would cross. Neighbours that are too
    near share the way: each group keeps its middle (pooling of adjacent violators, from memory).
    """
    if len(aims) < 2:
        return list(aims)
    aims = sorted(aims, key=lambda aim: aim.crossing)
    ways = [(aim.crossing - aims[at - 1].crossing) % ring.length for at, aim in enumerate(aims)]
    first = ways.index(max(ways))
    aims = [*aims[first:], *aims[:first]]
    start = aims[0].crossing
    offset, groups = 0.0, []
    offsets = []
    for at, aim in enumerate(aims):
        if at:
            offset += (aims[at - 1].base + aim.base) / 2 + gap
        offsets.append(offset)
        groups.append([(aim.crossing - start) % ring.length - offset])
        while len(groups) > 1 and _mean(groups[-2]) > _mean(groups[-1]):
            last = groups.pop()
            groups[-1] += last
    places = [_mean(group) for group in groups for _ in group]
    return [
        replace(aim, crossing=(start + place + off) % ring.length)
        for aim, place, off in zip(aims, places, offsets, strict=True)
    ]


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _rooted(
    ring: Ring, aim: _Aim, style: TailStyle, taken: Sequence[_Rooted]
) -> _Rooted | Untailed:
    """A tail with the stretch of border that its base takes."""
    middle = _free(ring, aim, style.gap, taken)
    if middle is None:
        return Untailed(aim.mouth, "room")
    begin, end = ring.point(middle - aim.base / 2), ring.point(middle + aim.base / 2)
    tail = Tail(aim.mouth, ring.point(middle), aim.bend, aim.tip, begin.distance(end))
    flanks = _flanks(begin, end, tail)
    moved = abs(aim.crossing - aim.exit) > EDGE
    if (moved and _aslant(ring, middle, aim)) or any(
        _cross(flanks, other.flanks) for other in taken
    ):
        return Untailed(aim.mouth, "room")
    at = (middle - aim.base / 2) % ring.length, (middle + aim.base / 2) % ring.length
    return _Rooted(at[0], at[1], tail, flanks)


def _aslant(ring: Ring, middle: float, aim: _Aim) -> bool:
    """Whether a tail whose root was moved far would lean back over the border: then its bend or tip
    lies on the inner side of the border's direction at an end of the base."""
    root, step = ring.point(middle), ring.length / 400
    for at in (middle - aim.base / 2, middle + aim.base / 2):
        end, ahead = ring.point(at), ring.point(at + step)
        bend = aim.bend.shifted((end.x - root.x) / 2, (end.y - root.y) / 2)
        if _turn(end, ahead, bend) or _turn(end, ahead, aim.tip):
            return True
    return False


def _flanks(begin: Point, end: Point, tail: Tail) -> list[Point]:
    """A tail's two sides as a line of points, from its base to its tip and back."""
    sides = Path((Segment("M", (begin,)), _flank(begin, tail), _flank(end, tail, back=True)))
    return sides.flattened(FLANK_TOLERANCE)[0]


def _cross(one: Sequence[Point], other: Sequence[Point]) -> bool:
    """Whether two lines of points cross."""
    return any(
        _turn(p, q, r) != _turn(p, q, s) and _turn(r, s, p) != _turn(r, s, q)
        for p, q in itertools.pairwise(one)
        for r, s in itertools.pairwise(other)
    )


def _turn(p: Point, q: Point, r: Point) -> bool:
    return (q.x - p.x) * (r.y - p.y) > (q.y - p.y) * (r.x - p.x)


def _side(ring: Ring, at: float) -> tuple[float, float]:
    """Where the side of a caption that a place lies on begins, and how long it is; the whole border
    when it has no corners."""
    corners = ring.corners()
    if not corners:
        return 0.0, ring.length
    begin = min(corners, key=lambda corner: (at - corner) % ring.length)
    return begin, min((corner - begin) % ring.length or ring.length for corner in corners)


def _widest_base(ring: Ring) -> float:
    """The widest base that the balloon's own width and height bear."""
    box = ring.path.box()
    assert box is not None
    return min(box.width * craft.TAIL_BASE_BALLOON_SHARE, box.height * craft.TAIL_BASE_HEIGHT_SHARE)


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


def _free(ring: Ring, aim: _Aim, gap: float, taken: Sequence[_Rooted]) -> float | None:
    """Where a base fits, off the corners and off other bases: the place nearest to the crossing,
    and from there aside as far as wished or as the next corner or base allows."""
    crossing, aside = aim.crossing, aim.aside
    off = aim.base / 2 + aim.corner
    blocked = [(at - off, at + off) for at in ring.corners()]
    off = aim.base / 2 + gap
    blocked += [
        (item.begin - off, item.end + off + (0.0 if item.begin < item.end else ring.length))
        for item in taken
    ]

    def open_at(at: float) -> bool:
        return not any(
            EDGE < (at - low) % ring.length < (high - low) - EDGE for low, high in blocked
        )

    home = _side(ring, aim.exit)
    if not open_at(crossing) or _side(ring, crossing) != home:
        edges = [
            edge for pair in blocked for edge in pair if open_at(edge) and _side(ring, edge) == home
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


def _spliced(ring: Ring, rooted: Sequence[_Rooted]) -> Path:
    """The border cut open at each base and led out to the tip and back.

    It begins at a tip, so that a dashed line has a dash there.
    """
    segments: list[Segment] = [Segment("M", (rooted[0].tail.tip,))]
    for index, item in enumerate(rooted):
        after = rooted[(index + 1) % len(rooted)]
        segments.append(_flank(ring.point(item.end), item.tail, back=True))
        segments += ring.between(item.end, after.begin)
        segments.append(_flank(ring.point(after.begin), after.tail))
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
