"""Tails: from a balloon toward a mouth, in one contour with the balloon.

A tail's axis begins on the border, a little aside of the straight line from the balloon's heart to
the mouth, and ends on that line, running along it: carried on, it meets the mouth exactly. The root
moves toward the middle of the balloon, which gives the gentle curve that a pen makes. Where
something is in the way, other ways are tried, and the one that costs least is drawn.

`tail_values` holds what is asked for and what came of it, `tail_ways` the ways to a mouth,
`tail_roots` the room along the border, `tail_axis` the tapering sides, `tail_shapes` the rest.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from letterer import craft
from letterer.geometry import Path, Point, Segment, holds
from letterer.ink.ring import Ring
from letterer.ink.tail_axis import Axis, bow, shaken, side, swept, through, turned_back
from letterer.ink.tail_roots import EDGE, Base, bases, spread
from letterer.ink.tail_shapes import bolt
from letterer.ink.tail_values import (
    Aim,
    Judge,
    Station,
    Tail,
    TailShape,
    TailStyle,
    Untailed,
    aim_error,
    stations,
)
from letterer.ink.tail_ways import Way, is_toothed, other_ways, ruled_end, way
from letterer.ink.union import united

__all__ = (
    "Aim",
    "Judge",
    "Station",
    "Tail",
    "TailShape",
    "TailStyle",
    "Untailed",
    "aim_error",
    "stations",
    "tailed_outline",
)

FLANK_TOLERANCE = 0.05
"""Tails are asked whether they cross as lines of points, this near to the curves."""

Redraw = Callable[[Sequence[Tail]], Path]
"""Draws a border that leaves room for tails."""

OFF_BORDER = 1.0
"""A base's end this far off a border, in points, does not stand on it."""

BESIDE = 0.97
"""The border beside a base is looked at up to this share of its last step."""

COARSE = 0.1
"""The border as a line of points, to see whether a tail comes back over it."""


@dataclass(frozen=True, slots=True)
class _Rooted:
    """A tail with the stretch of border that its base takes, and its two sides, out and back."""

    base: Base
    tail: Tail
    out: tuple[Segment, ...]
    back: tuple[Segment, ...]
    line: list[Point]
    cost: float
    axis: Axis
    way: Way

    @property
    def is_spliced(self) -> bool:
        """Whether it is part of the contour; a trail of bubbles stands apart."""
        return bool(self.out)


def tailed_outline(
    outline: Path,
    heart: Point,
    mouths: Iterable[Point | Aim],
    style: TailStyle,
    judge: Judge | None = None,
    redrawn: Redraw | None = None,
) -> tuple[Path, tuple[Tail, ...], tuple[Untailed, ...]]:
    """The outline with a tail toward each mouth, as one closed contour.

    `outline` is any closed contour, clockwise; `heart` lies inside it. Also gives the tails drawn,
    and the mouths that got none with the reason. Bases keep apart from each other and from a
    caption's corners. Where `judge` finds something in a tail's way, it is led round if it can be.
    A trail of bubbles leaves the outline as it is (see `tail_shapes.bubbles`). With `redrawn` the
    tails are found on the outline and then spliced into the border that it gives for them.
    """
    ring = Ring(outline)
    asked = (mouth if isinstance(mouth, Aim) else Aim(mouth) for mouth in mouths)
    aims = tuple(dict.fromkeys(asked))
    rooted, left_out = _Roots(ring, heart, style, judge).all(aims)
    if not rooted:
        return outline, (), left_out
    drawn = tuple(rooted[aim].tail for aim in aims if aim in rooted)
    spliced = [item for item in rooted.values() if item.is_spliced]
    hidden: list[_Rooted] = []
    if redrawn:
        outline = redrawn(drawn)
        ring = Ring(outline)
        moved = {item.way.aim: _moved(ring, item, style) for item in spliced}
        hidden = [item for item in spliced if moved[item.way.aim] is None]
        spliced = [item for item in moved.values() if item]
        rooted |= {item.way.aim: item for item in spliced}
    if spliced:
        spliced.sort(key=lambda item: item.base.begin)
        outline = _spliced(ring, spliced)
    for item in hidden:
        # Bumps or teeth leave no room for its base: it comes out from behind them.
        whole = united(outline, _from_heart(heart, item))
        if whole is None or whole is outline:
            left_out += (Untailed(rooted.pop(item.way.aim).tail.mouth, "room"),)
        else:
            outline = whole
    return outline, tuple(rooted[aim].tail for aim in aims if aim in rooted), left_out


def _from_heart(heart: Point, item: _Rooted) -> Path:
    """A tail as a contour of its own, from the middle of its balloon to its tip."""
    begin, _ = item.tail.ends
    out = (Segment("L", (begin,)), *item.out)
    return Path((Segment("M", (heart,)), *out, *item.back, Segment("Z")))


def _moved(ring: Ring, item: _Rooted, style: TailStyle) -> _Rooted | None:
    """A tail that was found on one border, as it stands on another that was drawn for it."""
    begin, end = item.tail.ends
    at = _nearest(ring, begin), _nearest(ring, end)
    stands = [Base(*at, item.tail.root)]
    if max(ring.point(at[0]).distance(begin), ring.point(at[1]).distance(end)) > OFF_BORDER:
        # This border does not heed tails: a row of bumps, say.
        crossing = _nearest(ring, item.tail.root)
        way = replace(item.way, exit=crossing, crossing=crossing, aside=0.0)
        stands = bases(ring, way, 0.0, ())
    for stand in stands:
        begin, end = ring.point(stand.begin), ring.point(stand.end)
        axis = item.axis if stand.root == item.tail.root else _axis(item.way, stand.root, style)
        out, back = _sides(ring, stand, axis, item.way.aim.shape)
        if _over_border(ring, stand, out, back):
            continue
        tail = _told(item.way, stand, axis, (begin, end))
        home = tuple(turned_back(end, back))
        return replace(item, base=stand, tail=tail, out=tuple(out), back=home)
    return None


def _told(way: Way, stand: Base, axis: Axis, ends: tuple[Point, ...]) -> Tail:
    """A tail as it is told to others."""
    wide = ends[0].distance(ends[1]) if ends else way.base
    shape, course = way.aim.shape, axis.course
    return Tail(way.mouth, stand.root, axis.bend, axis.tip, wide, shape, course, ends)


def _over_border(ring: Ring, stand: Base, out: Sequence[Segment], back: Sequence[Segment]) -> bool:
    """Whether the sides of a tail run over the border beside its base."""
    reach = ring.length / 6
    for at, steps, low, high in (
        (stand.begin, out, stand.begin - reach, stand.begin),
        (stand.end, back, stand.end, stand.end + reach),
    ):
        border = _line(ring.point(low), ring.between(low % ring.length, high % ring.length))
        # The two meet at the base's end, and nowhere else.
        if at == high:
            border[-1] = border[-2].toward(border[-1], BESIDE)
        else:
            border[0] = border[1].toward(border[0], BESIDE)
        if _cross(_line(ring.point(at), steps), border):
            return True
    return False


def _nearest(ring: Ring, point: Point) -> float:
    """The arc length of the border's point nearest to a point."""
    at = ring.nearest(point)
    step = ring.length / 400
    while step > ring.length * 1e-7:
        ahead, here, behind = (ring.point(at + off).distance(point) for off in (step, 0.0, -step))
        if min(ahead, behind) < here:
            at += step if ahead < behind else -step
        else:
            step /= 3
    return at % ring.length


def _sides(
    ring: Ring, stand: Base, axis: Axis, shape: TailShape
) -> tuple[list[Segment], list[Segment]]:
    """A tail's two sides, each from its end of the base out to the tip.

    A bolt whose strokes would run over the border, where it leaves aslant, is a plain taper.
    """
    begin, end = ring.point(stand.begin), ring.point(stand.end)
    if shape == "lightning":
        out, back = bolt(begin, end, axis.tip)
        if not _over_border(ring, stand, out, back):
            return out, back
    return side(axis, begin), side(axis, end)


class _Roots:
    """Finds the tails of one outline."""

    def __init__(self, ring: Ring, heart: Point, style: TailStyle, judge: Judge | None) -> None:
        self.ring, self.heart, self.style, self.judge = ring, heart, style, judge
        self.coarse: list[Point] = []

    def all(self, aims: Sequence[Aim]) -> tuple[dict[Aim, _Rooted], tuple[Untailed, ...]]:
        """The tails by their aims, and the mouths that get none.

        Several tails bend less than one does, and are straight where the bend would cost one its
        room.
        """
        found = [way(self.ring, self.heart, aim, self.style) for aim in aims]
        hopeless = [item for item in found if isinstance(item, Untailed)]
        ways = [item for item in found if isinstance(item, Way)]
        if len(ways) < 2:
            rooted, crowded = self.together(ways)
            return rooted, (*hopeless, *crowded)
        tries = []
        for share in (craft.TAIL_BEND_SEVERAL, 0.0):
            less = replace(self.style, bend=self.style.bend * share)
            again = [way(self.ring, self.heart, item.aim, less) for item in ways]
            tries.append(self.together([item for item in again if isinstance(item, Way)]))
            if not tries[-1][1]:
                break
        rooted, crowded = min(reversed(tries), key=lambda found: len(found[1]))
        return rooted, (*hopeless, *crowded)

    def together(self, ways: Sequence[Way]) -> tuple[dict[Aim, _Rooted], list[Untailed]]:
        """Tails rooted one after the other along the border, and the mouths that found no room."""
        rooted: dict[Aim, _Rooted] = {}
        crowded: list[Untailed] = []
        for item in spread(self.ring, ways, self.style.gap):
            found = self.best(item, tuple(rooted.values()))
            if found is None:
                crowded.append(Untailed(item.mouth, "room"))
            else:
                rooted[item.aim] = found
        return rooted, crowded

    def best(self, usual: Way, taken: Sequence[_Rooted]) -> _Rooted | None:
        """The usual tail where nothing is in its way, else the one that costs least."""
        best = self.rooted(usual, taken, None)
        if self.judge is None or (best and best.cost <= 0):
            return best
        for other in other_ways(usual, self.ring, self.style):
            if best and best.cost <= other.cost:
                break
            found = self.rooted(other, taken, best)
            if found and (best is None or found.cost < best.cost - EDGE):
                best = found
        return best

    def rooted(self, way: Way, taken: Sequence[_Rooted], rival: _Rooted | None) -> _Rooted | None:
        """A tail drawn one way, or None where its base finds no room, it would lean back over the
        border or cross another, or it costs no less than its rival."""
        ring, shape = self.ring, way.aim.shape
        if shape == "bubbles":
            at = (way.crossing + way.aside) % ring.length
            stands = [Base(at, at, ring.point(at))]
        else:
            stands = bases(ring, way, self.style.gap, [item.base for item in taken])
        for stand in stands:
            found = self.standing(way, stand, rival)
            if found and not any(_cross(found.line, other.line) for other in taken):
                return found
        return None

    def standing(self, way: Way, stand: Base, rival: _Rooted | None) -> _Rooted | None:
        """The same on one stretch of border."""
        ring, shape = self.ring, way.aim.shape
        begin, end = ring.point(stand.begin), ring.point(stand.end)
        axis = _axis(way, stand.root, self.style)
        tail = _told(way, stand, axis, () if shape == "bubbles" else (begin, end))
        cost = way.cost
        if self.judge:
            cost += self.judge(stations(tail.course, tail.base))
        if rival and cost >= rival.cost:
            return None
        unusual = way.cost > 0 or abs(way.crossing - way.exit) > EDGE
        if unusual and (_turning(tail) > craft.TAIL_TURN_MOST or self.folded(tail)):
            return None
        if way.cost > 0 and _leaving(begin, end, axis) < craft.TAIL_LEAVES_ACROSS:
            return None
        if shape == "bubbles":
            return _Rooted(stand, tail, (), (), list(tail.course), cost, axis, way)
        out, back = _sides(ring, stand, axis, shape)
        if unusual and self.aslant(stand, out, back):
            return None
        if (way.cost > 0 or is_toothed(ring, way.exit, way.base)) and (
            _over_border(ring, stand, out, back)
        ):
            return None
        line = [*_line(begin, out), *reversed(_line(end, back)[:-1])]
        home = tuple(turned_back(end, back))
        return _Rooted(stand, tail, tuple(out), home, line, cost, axis, way)

    def aslant(self, stand: Base, out: Sequence[Segment], back: Sequence[Segment]) -> bool:
        """Whether a tail would lean back over the border at an end of its base."""
        step = self.ring.length / 400
        for at, steps in ((stand.begin, out), (stand.end, back)):
            end, ahead = self.ring.point(at), self.ring.point(at + step)
            if any(
                _turn(end, ahead, place) for place in (steps[0].points[0], steps[-1].points[-1])
            ):
                return True
        return False

    def folded(self, tail: Tail) -> bool:
        """Whether a tail comes back over its own border."""
        if not self.coarse:
            self.coarse = self.ring.path.flattened(COARSE)[0]
        first = len(tail.course) // 4
        return any(holds(self.coarse, point) for point in tail.course[first::2])


def _axis(way: Way, root: Point, style: TailStyle) -> Axis:
    """The axis of a tail from its root."""
    aim = way.aim
    if aim.via:
        left = way.tip.distance(way.mouth)
        sweep = swept(root, aim.via[0], way.mouth, left) if len(aim.via) == 1 else None
        axis = sweep or through((root, *aim.via, way.tip), way.mouth)
    elif aim.shape in ("straight", "lightning"):
        tip = ruled_end(root, way)
        axis = bow(root, root.toward(tip, 0.5), tip)
    else:
        axis = bow(root, way.bend, way.tip)
    if aim.shape == "wavering":
        length = root.distance(way.tip)
        cap = style.base / craft.TAIL_BASE_CAPS
        waves = max(1.0, round(2 * length / (craft.TAIL_WAVE_CAPS * cap)) / 2)
        swing = min(craft.TAIL_SWING_CAPS * cap, length / waves / 10)
        axis = shaken(axis, waves, swing)
    return axis


def _leaving(begin: Point, end: Point, axis: Axis) -> float:
    """How squarely an axis leaves its base: the sine of their angle, less than 0 where it runs
    inward."""
    (ax, ay), (bx, by) = axis.velocity(0.0), (end.x - begin.x, end.y - begin.y)
    return (ax * by - ay * bx) / max(math.hypot(ax, ay) * math.hypot(bx, by), 1e-9)


def _turning(tail: Tail) -> float:
    """By how many degrees a tail turns on its way, all bends taken together."""
    line = tail.course[::2]
    headings = [math.atan2(q.y - p.y, q.x - p.x) for p, q in itertools.pairwise(line)]
    turns = [(b - a + math.pi) % (2 * math.pi) - math.pi for a, b in itertools.pairwise(headings)]
    return math.degrees(abs(sum(turns)))


def _line(start: Point, steps: Sequence[Segment]) -> list[Point]:
    """Steps as a line of points."""
    return Path((Segment("M", (start,)), *steps)).flattened(FLANK_TOLERANCE)[0]


def _cross(one: Sequence[Point], other: Sequence[Point]) -> bool:
    """Whether two lines of points cross."""
    # They can do so only where the boxes of both are.
    left, right = (low(high(at.x for at in line) for line in (one, other)) for low, high in ENDS)
    top, bottom = (low(high(at.y for at in line) for line in (one, other)) for low, high in ENDS)

    def near(line: Sequence[Point]) -> list[tuple[Point, Point]]:
        return [
            (p, q)
            for p, q in itertools.pairwise(line)
            if (p.x >= left or q.x >= left)
            and (p.x <= right or q.x <= right)
            and (p.y >= top or q.y >= top)
            and (p.y <= bottom or q.y <= bottom)
        ]

    others = near(other)
    return any(
        _turn(p, q, r) != _turn(p, q, s) and _turn(r, s, p) != _turn(r, s, q)
        for p, q in near(one)
        for r, s in others
    )


ENDS = ((max, min), (min, max))
"""What two boxes share begins at the greater of the least, and ends at the lesser of the most."""


def _turn(p: Point, q: Point, r: Point) -> bool:
    return (q.x - p.x) * (r.y - p.y) > (q.y - p.y) * (r.x - p.x)


def _spliced(ring: Ring, rooted: Sequence[_Rooted]) -> Path:
    """The border cut open at each base and led out to the tip and back.

    It begins at a tip, so that a dashed line has a dash there.
    """
    segments: list[Segment] = [Segment("M", (rooted[0].tail.tip,))]
    for index, item in enumerate(rooted):
        after = rooted[(index + 1) % len(rooted)]
        segments += item.back
        segments += ring.between(item.base.end, after.base.begin)
        segments += after.out
    segments.append(Segment("Z"))
    return Path(tuple(segments))
