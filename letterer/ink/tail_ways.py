"""The ways a tail may take from a balloon to a mouth: where it would leave the border, where it
ends, how it bends, and gentle changes of all that to lead it round what is in its way."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from letterer import craft
from letterer.geometry import Point
from letterer.ink.ring import Ring
from letterer.ink.tail_values import Aim, TailStyle, Untailed

FARTHEST_ROOT = 0.08
"""The root moves aside by no more than this share of the border, or the tail would lie along it."""

FARTHEST_ROOT_ROUND = 0.3
"""To lead a tail round something it may move this far."""

LONGEST_BASE = 1.2
"""A base is no wider than this share of the tail's length: a short tail is a small one."""

LEAST_ACROSS = 0.6
"""A bend does not make a tail leave its border more aslant than this sine (37 degrees)."""

ASIDE_SHARES = (1.0, 0.75, 0.5, 0.25, 0.0)
"""What is left of a bend, the first that serves."""

STEPS_BEFORE_FACE = 30
"""The tip draws back from a face in so many steps."""


@dataclass(frozen=True, slots=True)
class Way:
    """A tail not yet rooted.

    `exit` is where the line to its mouth leaves the border, `crossing` is that place moved apart
    from its neighbours', `aside` how far the root may move on from there. `cost` says how much
    less gentle it is than the usual way.
    """

    aim: Aim
    exit: float
    crossing: float
    aside: float
    bend: Point
    tip: Point
    base: float
    corner: float
    border: Point
    share: float
    cost: float = 0.0

    @property
    def mouth(self) -> Point:
        """The mouth it goes to."""
        return self.aim.mouth


def way(ring: Ring, heart: Point, aim: Aim, style: TailStyle) -> Way | Untailed:
    """The usual way of a tail, before it is known where its base finds room."""
    mouth = aim.mouth
    toward = aim.via[0] if aim.via else mouth
    crossing = ring.exit(heart, toward)
    if crossing is None or heart.distance(toward) <= heart.distance(ring.point(crossing)):
        return Untailed(mouth, "inside")
    border = ring.point(crossing)
    share, tip = _end(border, aim, style)
    length = border.distance(tip)
    if length < style.shortest:
        return Untailed(mouth, "near")
    bend = border.toward(aim.via[0] if aim.via else tip, 0.5)
    aside = 0.0
    if aim.shape in ("curved", "wavering", "bubbles") and not aim.via:
        most = ring.length * FARTHEST_ROOT
        aside = _aside(ring, crossing, heart, border) * min(style.bend * length, most)
        # A tail that leaves its border too aslant is thin, and lies along it.
        for share in ASIDE_SHARES:
            if share == 0 or _across(ring, crossing + aside * share, bend) >= LEAST_ACROSS:
                aside *= share
                break
    widest = _widest_base(ring)
    base = min(style.base, length * LONGEST_BASE, widest)
    along = ring.length if is_toothed(ring, crossing, base) else side_of(ring, crossing)[1]
    widest = min(widest, max(along - 2 * style.corner, along / 2))
    base = min(base * _widened(ring, crossing + aside, bend), widest)
    corner = min(style.corner, (along - base) / 2)
    return Way(aim, crossing, crossing, aside, bend, tip, base, corner, border, share)


def other_ways(usual: Way, ring: Ring, style: TailStyle) -> list[Way]:
    """Ways that bend more, to the other side, or come to the mouth from another side: the gentlest
    first."""
    found = [replace(usual, aside=0.0, cost=craft.TAIL_COST_PLAINER)]
    if usual.aim.via:
        return found
    return sorted((*found, *_others(usual, ring, style)), key=lambda way: way.cost)


def _others(usual: Way, ring: Ring, style: TailStyle) -> Iterator[Way]:
    length = usual.border.distance(usual.tip)
    step = max(abs(usual.aside), min(craft.TAIL_BEND_SHARE * length, ring.length * FARTHEST_ROOT))
    side = math.copysign(1.0, usual.aside)
    ruled = usual.aim.shape in ("straight", "lightning")
    for turn in (0,) if ruled or usual.aim.whole else craft.TAIL_TURNS:
        share, tip = _end(usual.border, usual.aim, style, math.radians(turn))
        if usual.border.distance(tip) < style.shortest:
            continue
        back = usual.border.distance(tip) / 2
        reach = max(tip.distance(usual.mouth), 1e-9)
        bend = tip.toward(usual.mouth, -back / reach) if turn else usual.bend
        for moved in craft.TAIL_MOVES:
            aside = min(abs(moved) * step, ring.length * FARTHEST_ROOT_ROUND)
            aside = math.copysign(aside, moved * side)
            cost = abs(turn) / 90 * craft.TAIL_COST_TURN
            cost += abs(moved - 1) * craft.TAIL_COST_MOVE
            yield replace(usual, aside=aside, bend=bend, tip=tip, share=share, cost=cost)


def ruled_end(root: Point, way: Way) -> Point:
    """Where a straight tail from a root ends, on the line to its mouth."""
    left = way.tip.distance(way.mouth) if not way.aim.whole else 0.0
    reach = root.distance(way.mouth)
    return root.toward(way.mouth, max(1 - left / reach, 0.1))


def _end(border: Point, aim: Aim, style: TailStyle, turn: float = 0.0) -> tuple[float, Point]:
    """How far on its way a tail goes, and its tip: short of the mouth, and short of the face.

    `turn` is from how many radians aside it comes to the mouth.
    """
    mouth = aim.mouth
    if aim.whole:
        return 1.0, mouth
    if aim.via:
        legs = [border, *aim.via, mouth]
        total = sum(p.distance(q) for p, q in itertools.pairwise(legs))
        last = aim.via[-1].distance(mouth)
        left = min((1 - style.share) * total, last * craft.TAIL_VIA_LAST)
        return 1 - left / total, mouth.toward(aim.via[-1], left / max(last, 1e-9))
    dx, dy = border.x - mouth.x, border.y - mouth.y
    cos, sin = math.cos(turn), math.sin(turn)
    start = mouth.shifted(cos * dx - sin * dy, sin * dx + cos * dy)
    reach = start.distance(mouth)
    least = min(max(craft.TAIL_SHARE_BEFORE_FACE, style.shortest / max(reach, 1e-9)), style.share)
    clear = style.clear + _head(aim.face) if aim.face else 0.0
    for step in range(STEPS_BEFORE_FACE + 1) if aim.face else ():
        share = style.share + (least - style.share) * step / STEPS_BEFORE_FACE
        tip = start.toward(mouth, share)
        if distance_to(aim.face, tip) >= clear:
            return share, tip
    share = least if aim.face else style.share
    return share, start.toward(mouth, share)


def _head(face: tuple[Point, ...]) -> float:
    """Room for what stands about a face."""
    xs, ys = [point.x for point in face], [point.y for point in face]
    return min(max(xs) - min(xs), max(ys) - min(ys)) * craft.TAIL_CLEAR_FACE_SHARE


def distance_to(shape: Sequence[Point], point: Point) -> float:
    """How far a point lies outside a polygon; negative inside."""
    inside = False
    nearest = math.inf
    for at, q in enumerate(shape):
        p = shape[at - 1]
        dx, dy = q.x - p.x, q.y - p.y
        square = dx * dx + dy * dy
        along = ((point.x - p.x) * dx + (point.y - p.y) * dy) / square if square else 0.0
        nearest = min(nearest, point.distance(p.toward(q, min(max(along, 0.0), 1.0))))
        if (p.y > point.y) != (q.y > point.y):
            inside ^= point.x < p.x + (point.y - p.y) * dx / dy
    return -nearest if inside else nearest


def side_of(ring: Ring, at: float) -> tuple[float, float]:
    """Where the side of a caption that a place lies on begins, and how long it is; the whole border
    when it has no corners."""
    corners = ring.corners()
    if not corners:
        return 0.0, ring.length
    begin = min(corners, key=lambda corner: (at - corner) % ring.length)
    return begin, min((corner - begin) % ring.length or ring.length for corner in corners)


def is_toothed(ring: Ring, at: float, base: float) -> bool:
    """Whether a border is a row of teeth, too narrow where it is asked for a base to stand on
    one."""
    if len(ring.corners()) <= craft.TAIL_TOOTHED:
        return False
    return side_of(ring, at)[1] < base * craft.TAIL_TOOTH_BASES


def _widest_base(ring: Ring) -> float:
    """The widest base that the balloon's own width and height bear."""
    box = ring.path.box()
    assert box is not None
    return min(box.width * craft.TAIL_BASE_BALLOON_SHARE, box.height * craft.TAIL_BASE_HEIGHT_SHARE)


def _widened(ring: Ring, middle: float, bend: Point) -> float:
    """By how much a base is wider along the border than across a tail that leaves it aslant."""
    across = _across(ring, middle, bend)
    return min(1 / max(across, 0.1), craft.TAIL_BASE_RANGE_CAPS[1] / craft.TAIL_BASE_CAPS)


def _across(ring: Ring, middle: float, bend: Point) -> float:
    """How squarely a tail leaves the border: the sine of the angle between them."""
    step = ring.length / 400
    before, root, after = (ring.point(middle + offset) for offset in (-step, 0.0, step))
    border = math.atan2(after.y - before.y, after.x - before.x)
    axis = math.atan2(bend.y - root.y, bend.x - root.x)
    return abs(math.sin(axis - border))


def _aside(ring: Ring, crossing: float, heart: Point, border: Point) -> float:
    """Which way along the border the root moves: +1 or -1, toward the line above or below the
    heart."""
    step = ring.length / 200
    ahead, behind = ring.point(crossing + step), ring.point(crossing - step)
    if abs(border.x - heart.x) < 1e-6:
        return 1.0
    return 1.0 if abs(ahead.x - heart.x) < abs(behind.x - heart.x) else -1.0
