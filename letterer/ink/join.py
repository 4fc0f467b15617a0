"""Balloons of one speaker made one contour: overlapping ones united, others tied by a neck."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from letterer import craft
from letterer.geometry import Box, Path, Point, Segment
from letterer.ink.crossings import Crossing, crossings
from letterer.ink.ring import Floats, Ring
from letterer.ink.tail import Tail
from letterer.ink.union import Contour, covers, outer_of, ring_of, union_of

COARSE = 96
"""Points of each border that are compared to find where two borders are nearest."""

FINE_ROUNDS = 30
"""From there on steps along both borders are halved this often."""

SLIT_STEP = 1.0
"""Slits are looked for at places this far apart along a border, in points."""

FEET_TRIED = 40
"""How finely the place is sought where a neck begins."""

NECK_LENGTHS = 3.0
"""A neck adds no more to a level line than its feet are wide, and this many times its length."""

EASE = 4 / 3
"""A cubic whose ends lie d farther out than its middle has its controls EASE·d farther in."""


@dataclass(frozen=True, slots=True)
class Near:
    """Where two borders are nearest: arc lengths, points, and how far apart; 0 where they meet."""

    one: float
    other: float
    distance: float


@dataclass(frozen=True, slots=True)
class Joint:
    """How joins are drawn, in points: the neck's width, how far the corners of a waist are drawn
    back, and the narrowest waist that two overlapping balloons may have by themselves."""

    neck: float
    soft: float
    waist: float

    @classmethod
    def of(cls, cap: float) -> Joint:
        """The trade's own for words with this cap height."""
        return cls(craft.NECK_CAPS * cap, craft.WAIST_SOFT_CAPS * cap, craft.WAIST_LEAST_CAPS * cap)


@dataclass(frozen=True, slots=True)
class Joined:
    """Two contours made one. `how`: "overlap", "link", or "inside", where one holds the other.

    `neck` is the middle line of a neck, from border to border, `gap` how far apart these were.
    """

    path: Path
    how: str
    neck: tuple[Point, Point] | None = None
    gap: float = 0.0


def joined(one: Contour, other: Contour, joint: Joint, apart: float = math.inf) -> Joined | None:
    """Two closed contours as one: united where they overlap well, else tied by a neck.

    None where they are more than `apart` points apart, or no sound contour comes of it.
    """
    mine, yours = ring_of(one), ring_of(other)
    if box_gap(mine.box, yours.box) > apart:
        return None
    found = crossings(mine, yours)
    if len(found) > 2 or (len(found) == 2 and _opening(found) >= joint.waist):
        return _overlapping(mine, yours, found, joint.soft)
    if not found:
        if outer := outer_of(mine, yours):
            return Joined(outer.path, "inside")
        if apart <= 0:
            return None
        near = nearest(mine, yours)
    else:
        near = _amid(mine, yours, found)
    if near.distance > apart:
        return None
    path = linked(mine, yours, near, joint.neck)
    feet = 2 * craft.NECK_BORDER_SHARE * min(mine.length, yours.length)
    most = feet + NECK_LENGTHS * near.distance
    if path is not None and covers(Ring(path), (mine, yours), most):
        neck = mine.point(near.one), yours.point(near.other)
        return Joined(path, "link", neck, near.distance)
    return _overlapping(mine, yours, found, joint.soft) if found else None


def _overlapping(mine: Ring, yours: Ring, found: Sequence[Crossing], soft: float) -> Joined | None:
    """Two contours united, with the corners of their waist drawn back."""
    union = union_of(mine, yours, found)
    if union is None:
        return None
    ring, corners = union
    return Joined(softened(ring, corners, soft) if soft else ring.path, "overlap")


def gap_between(one: Contour, other: Contour) -> float:
    """How far apart two closed contours are, in points; 0 where they overlap."""
    mine, yours = ring_of(one), ring_of(other)
    if crossings(mine, yours) or outer_of(mine, yours):
        return 0.0
    return nearest(mine, yours).distance


def box_gap(one: Box, other: Box) -> float:
    """How far apart two boxes are: what they hold is no nearer.

    >>> box_gap(Box(0, 0, 1, 1), Box(4, 5, 6, 6)), box_gap(Box(0, 0, 2, 2), Box(1, 1, 3, 3))
    (5.0, 0.0)
    """
    across = max(one.left - other.right, other.left - one.right, 0.0)
    down = max(one.top - other.bottom, other.top - one.bottom, 0.0)
    return math.hypot(across, down)


def _opening(found: Sequence[Crossing]) -> float:
    """The width of the waist between two crossings."""
    return found[0].at.distance(found[1].at)


def nearest(mine: Ring, yours: Ring) -> Near:
    """Where two borders that do not meet are nearest."""
    ones, others = _evenly(mine, COARSE), _evenly(yours, COARSE)
    apart = np.hypot(*(ones[:, None] - others).transpose(2, 0, 1))
    first, second = divmod(int(apart.argmin()), COARSE)
    step, pace = mine.length / COARSE, yours.length / COARSE
    one, other = step * first, pace * second
    here, there = mine.point(one), yours.point(other)
    best = here.distance(there)
    for _ in range(FINE_ROUNDS):
        heres = {0: here} | {i: mine.point(one + step * i) for i in (-1, 1)}
        theres = {0: there} | {j: yours.point(other + pace * j) for j in (-1, 1)}
        least, i, j = min((heres[i].distance(theres[j]), i, j) for i in heres for j in theres)
        if least < best:
            best, one, other = least, one + step * i, other + pace * j
            here, there = heres[i], theres[j]
        else:
            step, pace = step / 2, pace / 2
    return Near(one % mine.length, other % yours.length, best)


def _evenly(ring: Ring, count: int) -> Floats:
    """So many points along a border, evenly spaced by arc length, on the chords it is measured
    by."""
    arcs = ring.length * np.arange(count) / count
    return np.stack([np.interp(arcs, ring.lengths, ring.marks[:, at]) for at in (0, 1)], axis=1)


def _amid(mine: Ring, yours: Ring, found: Sequence[Crossing]) -> Near:
    """The middle of a narrow overlap, on both borders."""
    out = next(crossing for crossing in found if crossing.leaves)
    into = next(crossing for crossing in found if not crossing.leaves)
    one = into.one + ((out.one - into.one) % mine.length) / 2
    other = out.other + ((into.other - out.other) % yours.length) / 2
    return Near(one % mine.length, other % yours.length, 0.0)


def linked(mine: Ring, yours: Ring, near: Near, neck: float) -> Path | None:
    """Two contours tied by a neck where they are nearest, or overlap a little: one contour.

    Each side of the neck is a gentle hollow that runs out along both borders.
    """
    p, q = mine.point(near.one), yours.point(near.other)
    across = _across(mine, yours, near)
    if across is None:
        return None
    middle = Point((p.x + q.x) / 2, (p.y + q.y) / 2)
    reach, opening = _foot(mine, yours, near, neck)
    half = max(min(neck / 2, reach * craft.NECK_OF_REACH), reach - craft.NECK_DEPTH * opening)
    how = (across, middle, half)
    upper = _hollow(mine, yours, (near.one - reach, near.other + reach), how)
    lower = _hollow(mine, yours, (near.one + reach, near.other - reach), how)
    start = yours.point(near.other - reach)
    segments = [
        Segment("M", (start,)),
        Segment("C", (lower[1], lower[0], mine.point(near.one + reach))),
        *mine.between(near.one + reach, near.one - reach),
        Segment("C", (*upper, yours.point(near.other + reach))),
        *yours.between(near.other + reach, near.other - reach),
    ]
    verb, points = segments[-1]
    segments[-1] = Segment(verb, (*points[:-1], start))
    return Path((*segments, Segment("Z")))


Frame = tuple[Point, Point, float]
"""Which way the neck's width lies (a vector of length 1), its middle, and half its width."""


def _across(mine: Ring, yours: Ring, near: Near) -> Point | None:
    """The direction across the neck: along both borders where they are nearest."""
    step = mine.length / 400
    before, after = mine.point(near.one - step), mine.point(near.one + step)
    step = yours.length / 400
    ahead, behind = yours.point(near.other + step), yours.point(near.other - step)
    x = (before.x - after.x) + (ahead.x - behind.x)
    y = (before.y - after.y) + (ahead.y - behind.y)
    length = math.hypot(x, y)
    return Point(x / length, y / length) if length > 1e-9 else None


def _foot(mine: Ring, yours: Ring, near: Near, neck: float) -> tuple[float, float]:
    """How far along both borders, to each side, a neck begins; and how far apart they are there.

    The borders stand well open there, and a hollow of the usual depth leads to the usual width.
    """
    most = craft.NECK_BORDER_SHARE * min(mine.length, yours.length)
    widest = min(craft.NECK_FLARE * near.distance + (0.5 + craft.NECK_FLARE_NECKS) * neck, most)
    reach = opening = 0.0
    for step in range(1, FEET_TRIED + 1):
        reach = most * step / FEET_TRIED
        opening = min(
            mine.point(near.one - reach * side).distance(yours.point(near.other + reach * side))
            for side in (1, -1)
        )
        deep = reach - neck / 2 >= craft.NECK_DEPTH * opening
        if opening >= craft.NECK_OPEN * neck and (deep or reach >= widest):
            break
    return reach, opening


def _hollow(mine: Ring, yours: Ring, ends: tuple[float, float], how: Frame) -> tuple[Point, Point]:
    """The controls of one side of a neck, from the first contour to the second."""
    across, middle, half = how
    p, q = mine.point(ends[0]), yours.point(ends[1])
    a, b = _inward(mine, ends[0], middle), _inward(yours, ends[1], middle)
    out = [(point.x - middle.x) * across.x + (point.y - middle.y) * across.y for point in (p, q)]
    sign = 1.0 if sum(out) > 0 else -1.0
    rise = [-(step.x * across.x + step.y * across.y) * sign for step in (a, b)]
    far = sign * sum(out) / 2 - half
    pull = min(2 * EASE * far / max(sum(rise), 0.4), craft.NECK_PULL_MOST * p.distance(q))
    pull = max(pull, 0.0)
    return p.shifted(a.x * pull, a.y * pull), q.shifted(b.x * pull, b.y * pull)


def _inward(ring: Ring, at: float, middle: Point) -> Point:
    """The direction along a border toward the neck."""
    step = ring.length / 800
    ahead, behind, here = ring.point(at + step), ring.point(at - step), ring.point(at)
    x, y = ahead.x - behind.x, ahead.y - behind.y
    if x * (middle.x - here.x) + y * (middle.y - here.y) < 0:
        x, y = -x, -y
    length = math.hypot(x, y) or 1.0
    return Point(x / length, y / length)


def tail_wedges(outline: Path, tails: Sequence[Tail], heart: Point) -> list[Path]:
    """The tails of an outline by themselves: closed contours from the balloon's heart to the tips.

    United with the contour of several balloons they come out of it wherever it does not hide them.
    Tails that stand apart from their balloon have none.
    """
    ring = Ring(outline)
    return [_wedge(ring, tail, heart) for tail in tails if tail.ends]


def _wedge(ring: Ring, tail: Tail, heart: Point) -> Path:
    tip, *ends = (ring.nearest(point) for point in (tail.tip, *tail.ends))
    ends.sort(key=lambda end: (end - tip) % ring.length)
    end, begin = ends[0], ends[-1]
    start = Segment("L", (ring.point(begin),))
    steps = ring.between(begin, end)
    return Path((Segment("M", (heart,)), start, *steps, Segment("Z")))


def softened(contour: Contour, corners: Sequence[Point], soft: float) -> Path:
    """A contour with some of its corners drawn back a little, as a pen would.

    A sharp notch is filled until it is about `soft` points wide, so that its two lines do not clot.
    """
    ring = ring_of(contour)
    places = sorted({_corner(ring, corner) for corner in corners})
    if not places:
        return ring.path
    backs = []
    for index, at in enumerate(places):
        rooms = [
            (at - places[index - 1]) % ring.length or ring.length,
            (places[(index + 1) % len(places)] - at) % ring.length or ring.length,
        ]
        backs.append(min(_back(ring, at, soft), craft.WAIST_ROOM_SHARE * min(rooms)))
    segments = [Segment("M", (ring.point(places[0] + backs[0]),))]
    for index, at in enumerate(places):
        after = (index + 1) % len(places)
        end = places[after] - backs[after]
        segments += ring.between(at + backs[index], end)
        segments.append(_rounded(ring, places[after], backs[after], soft))
    return Path((*segments, Segment("Z")))


def _rounded(ring: Ring, at: float, back: float, soft: float) -> Segment:
    """The way round a corner, from `back` before it to `back` after it: it leaves the border along
    its own direction on both sides, and goes about `soft` into the corner at most."""
    controls = []
    for side in (-1, 1):
        foot, near = ring.point(at + side * back), ring.point(at + side * back * 0.98)
        length = foot.distance(near) or 1.0
        pull = min(craft.WAIST_PULL * foot.distance(ring.point(at)), soft)
        controls.append(foot.toward(near, pull / length))
    return Segment("C", (*controls, ring.point(at + back)))


def _corner(ring: Ring, corner: Point) -> float:
    """The arc length of a corner: it is the end of a segment."""
    away = np.hypot(*(ring.controls[:, -1] - corner).T)
    return ring.arc(int(away.argmin()), 1.0) % ring.length


def _back(ring: Ring, at: float, soft: float) -> float:
    """How far to draw back on both sides of a corner."""
    back = soft / 2
    most = craft.WAIST_BACK_MOST * soft
    while back < most:
        if ring.point(at - back).distance(ring.point(at + back)) >= soft:
            return back
        back *= 1.1
    return most


@dataclass(frozen=True, slots=True)
class Slit:
    """What counts as a slit: narrower than `wide` and at least so `long` along both its sides,
    both in points, and with no more than `most` square points of art behind it."""

    wide: float
    long: float
    most: float

    @classmethod
    def of(cls, cap: float) -> Slit:
        """The trade's own for words with this cap height."""
        most = craft.SLIT_MOST_CAPS * cap * cap
        return cls(craft.SLIT_CAPS * cap, craft.SLIT_LONG_CAPS * cap, most)


def without_slits(contour: Contour, slit: Slit) -> Path:
    """A contour without the slits that are left between several balloons: each is filled, with the
    pocket behind it, out to where its sides stand well apart."""
    ring = ring_of(contour)
    stretches = _slits(ring, slit)
    if not stretches:
        return ring.path
    segments = [Segment("M", (ring.point(stretches[0][1]),))]
    for index, (_, end) in enumerate(stretches):
        begin, last = stretches[(index + 1) % len(stretches)]
        p, q = ring.point(begin), ring.point(last)
        pull = craft.WAIST_PULL * p.distance(q)
        before, after = ring.point(begin + SLIT_STEP / 10), ring.point(last - SLIT_STEP / 10)
        segments += ring.between(end, begin)
        controls = (
            p.toward(before, pull / (p.distance(before) or 1.0)),
            q.toward(after, pull / (q.distance(after) or 1.0)),
        )
        segments.append(Segment("C", (*controls, q)))
    return Path((*segments, Segment("Z")))


def _slits(ring: Ring, slit: Slit) -> list[tuple[float, float]]:
    """The stretches of a contour that run round its slits, in order: the longest ones first taken,
    so that each begins and ends at the slit's mouth."""
    count = max(round(ring.length / SLIT_STEP), 4)
    step = ring.length / count
    points = _evenly(ring, count)
    x, y = (np.concatenate([row, row]) for row in points.T)
    # The area between a stretch and its chord: below 0 where that is art, outside the contour.
    swept = np.concatenate([[0.0], np.cumsum(x[:-1] * y[1:] - x[1:] * y[:-1])])
    taken = np.zeros(2 * count, dtype=bool)
    found: list[tuple[float, float]] = []
    reach = 2 * slit.long + slit.most / slit.wide
    for span in range(min(math.ceil(reach / step), count // 2), math.ceil(slit.long / step), -1):
        ends = slice(span, span + count)
        near = np.hypot(x[ends] - x[:count], y[ends] - y[:count]) <= slit.wide
        area = swept[ends] - swept[:count] + x[ends] * y[:count] - x[:count] * y[ends]
        for at in np.flatnonzero(near & (area < 0) & (-area <= 2 * slit.most)).tolist():
            whole = np.arange(at, at + span + 1) % count
            if not taken[whole].any():
                taken[whole] = True
                found.append((at * step, (at + span) * step))
    return sorted(found)
