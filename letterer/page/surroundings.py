"""What stands in the way of a unit's tails: other units' words, balloons and tails, zones of the
art to keep clear, and the edge of the panel."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property
from typing import NamedTuple

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Point, holds, overlap, rectangle
from letterer.ink.outline import oval_outline
from letterer.ink.tail_values import Station, Tail
from letterer.ink.tail_ways import distance_to
from letterer.model.plan import TailPlan, Zone
from letterer.page.lettered import PlacedUnit
from letterer.page.unit import Job, SetUnit

FLAT = 0.2
"""Outlines are compared as lines of points, this near to them."""

TOUCH = 0.8
"""Tails nearer to each other than this, in points, look as if they crossed."""


class InTheWay(StrEnum):
    """What a tail may run over."""

    WORDS = "words"
    BALLOON = "balloon"
    TAIL = "tail"
    LIKELY_TAIL = "likely tail"
    ZONE = "zone"
    MOUTH = "mouth"
    PANEL = "panel"


COSTS = {
    InTheWay.WORDS: craft.TAIL_COST_WORDS,
    InTheWay.BALLOON: craft.TAIL_COST_BALLOON,
    InTheWay.TAIL: craft.TAIL_COST_TAIL,
    InTheWay.LIKELY_TAIL: craft.TAIL_COST_LIKELY_TAIL,
    InTheWay.ZONE: craft.TAIL_COST_ZONE,
    InTheWay.MOUTH: craft.TAIL_COST_MOUTH,
    InTheWay.PANEL: craft.TAIL_COST_PANEL,
}


@dataclass(frozen=True, slots=True)
class Hit:
    """Something that a tail runs over: what it is, whose (a unit's id or a zone's name), and which
    share of the tail."""

    what: InTheWay
    whose: str
    share: float


class _Line(NamedTuple):
    """A tail in the way: whose, its axis, half its base, and the box of all that is too near."""

    whose: str
    axis: tuple[Point, ...]
    half: float
    box: Box

    @classmethod
    def of(cls, whose: str, axis: tuple[Point, ...], half: float) -> _Line:
        return cls(whose, axis, half, _around(axis).grown(half + 2 * TOUCH))


class _Body(NamedTuple):
    """A balloon or caption in the way: whose, its shape, and the shape's box."""

    whose: str
    shape: Oval | Box
    box: Box


@dataclass(frozen=True, slots=True)
class Surroundings:
    """All units of a page as they are set, and the tails of those that are inked by now."""

    units: tuple[SetUnit, ...] = ()
    tails: tuple[tuple[str, Tail], ...] = ()

    def after(self, made: Iterable[PlacedUnit]) -> Surroundings:
        """What stands around once these units are inked too."""
        found = tuple((unit.id, tail) for unit in made for tail in unit.tails)
        return replace(self, tails=(*self.tails, *found))


class Obstacles:
    """What is in the way of the tails of one unit, or of several units that share a contour."""

    def __init__(self, group: Sequence[SetUnit], around: Surroundings) -> None:
        self.group, self.around = tuple(group), around
        self.own = {unit.job.unit.id for unit in group}
        self.job = group[0].job
        self.cap = group[0].cap

    @cached_property
    def others(self) -> tuple[SetUnit, ...]:
        """The units whose tails these are not."""
        return tuple(unit for unit in self.around.units if unit.job.unit.id not in self.own)

    @cached_property
    def _inks(self) -> tuple[tuple[str, Box], ...]:
        return tuple((unit.job.unit.id, unit.ink) for unit in self.others)

    @cached_property
    def _bodies(self) -> tuple[_Body, ...]:
        """Balloons and captions that do not touch this unit's own."""
        near = [_box(unit.shape) for unit in self.group]
        bordered = (unit for unit in self.others if unit.job.setting.has_outline)
        shapes = ((unit.job.unit.id, unit.shape) for unit in bordered)
        bodies = (_Body(id, shape, _box(shape)) for id, shape in shapes)
        return tuple(body for body in bodies if not any(body.box.meets(box) for box in near))

    @cached_property
    def _tails(self) -> tuple[_Line, ...]:
        """Tails that are drawn."""
        return tuple(
            _Line.of(id, tail.line, tail.base / 2)
            for id, tail in self.around.tails
            if id not in self.own
        )

    @cached_property
    def _likely(self) -> tuple[_Line, ...]:
        """Where tails that are not drawn yet would run by themselves."""
        drawn = {id for id, _ in self.around.tails}
        found = []
        for unit in self.others:
            if unit.job.unit.id in drawn or not unit.job.setting.has_outline:
                continue
            for mouth in plain_mouths(unit.job):
                border = leaves(unit.shape, mouth)
                if border is not None:
                    line = (border, border.toward(mouth, unit.job.style.tail_share))
                    half = unit.cap * craft.TAIL_BASE_CAPS / 2
                    found.append(_Line.of(unit.job.unit.id, line, half))
        return tuple(found)

    @cached_property
    def _zones(self) -> tuple[tuple[Zone, tuple[Point, ...]], ...]:
        return tuple((zone, _flat(zone)) for zone in self.job.plan.keep_clear)

    @cached_property
    def _mouths(self) -> tuple[tuple[str, Point], ...]:
        """The mouths of the panel that no tail of this unit goes to."""
        panel = self.job.panel
        own = {mouth for unit in self.group for mouth in plain_mouths(unit.job)}
        found = panel.mouths.items() if panel else ()
        return tuple((name, mouth) for name, mouth in found if mouth not in own)

    @cached_property
    def _panel(self) -> list[Point]:
        panel = self.job.panel
        return panel.shape.flattened(FLAT)[0] if panel else []

    def face(self, mouth: Point) -> tuple[Zone, ...]:
        """The zones that a mouth belongs to, the largest first: those that hold it, or the nearest
        one."""
        found = sorted(
            ((distance_to(shape, mouth), zone) for zone, shape in self._zones),
            key=lambda pair: (pair[0], -pair[1].box.area),
        )
        holding = [zone for far, zone in found if far <= 0]
        if holding:
            return tuple(sorted(holding, key=lambda zone: -zone.box.area))
        near = [zone for far, zone in found if far <= craft.TAIL_FACE_CAPS * self.cap]
        return tuple(near[:1])

    def covered(self) -> set[str]:
        """The names of the zones that the unit itself stands on, whatever its tail does."""
        return {
            zone.name
            for zone, shape in self._zones
            for unit in self.group
            if overlap(_outline_of(unit.shape), shape)
        }

    def hits(
        self, line: Sequence[Station], mouth: Point | None = None, to_edge: bool = False
    ) -> Iterator[Hit]:
        """What a tail over these stations would run over, and how much of it."""
        count = len(line)
        points = [point for point, _ in line]
        box = _around(points)
        near = box.grown(self.cap)
        room, around = craft.TAIL_WORDS_CAPS * self.cap, box.grown(2 * self.cap)
        for id, ink in self._inks:
            if ink.meets(around):
                inside = sum(ink.grown(half + room).holds(point) for point, half in line)
                if inside:
                    yield Hit(InTheWay.WORDS, id, inside / count)
        for body in self._bodies:
            if body.box.meets(near):
                inside = sum(_within(body.shape, point, half) for point, half in line)
                if inside:
                    yield Hit(InTheWay.BALLOON, body.whose, inside / count)
        for what, tails in (
            (InTheWay.TAIL, self._tails),
            (InTheWay.LIKELY_TAIL, self._likely),
        ):
            for tail in tails:
                if tail.box.meets(box) and _touch(line, tail.axis, tail.half):
                    yield Hit(what, tail.whose, 1.0)
        off = craft.TAIL_ZONE_CAPS * self.cap
        own = self.face(mouth) if mouth is not None else ()
        for zone, shape in self._zones:
            if zone not in own and zone.box.meets(near):
                inside = sum(distance_to(shape, point) < half + off for point, half in line)
                if inside:
                    yield Hit(InTheWay.ZONE, zone.name, inside / count)
        least = craft.TAIL_MOUTH_CAPS * self.cap
        for speaker, other_mouth in self._mouths:
            if mouth is None or other_mouth.distance(mouth) > least:
                beside = sum(point.distance(other_mouth) < least for point in points[1:])
                if beside:
                    yield Hit(InTheWay.MOUTH, speaker, beside / count)
        if self._panel and not to_edge and mouth is not None and holds(self._panel, mouth):
            outside = sum(not holds(self._panel, point) for point in points[2:])
            if outside:
                yield Hit(InTheWay.PANEL, "", outside / count)

    def cost(
        self, line: Sequence[Station], mouth: Point | None = None, to_edge: bool = False
    ) -> float:
        """What it costs that a tail runs over these stations; 0 with nothing in its way."""
        return sum(COSTS[hit.what] * (1 + hit.share) for hit in self.hits(line, mouth, to_edge))


def plain_mouths(job: Job) -> list[Point]:
    """The mouths that a unit's tails are sure to aim at, without any further thought."""
    mouth_of = job.panel.mouth if job.panel else lambda _: None
    named = job.placement.tails
    if named is None:
        named = (job.unit.speaker,) if job.unit.speaker and not job.setting.is_caption else ()
    found = []
    for tail in named:
        to = tail.to if isinstance(tail, TailPlan) else tail
        mouth = mouth_of(to) if isinstance(to, str) else to
        if mouth is not None:
            found.append(mouth)
    return found


def leaves(shape: Oval | Box, aim: Point) -> Point | None:
    """Where the straight line from a shape's middle to a point outside leaves it."""
    middle = shape.center
    dx, dy = aim.x - middle.x, aim.y - middle.y
    if isinstance(shape, Oval):
        level = abs(dx / shape.a) ** shape.n + abs(dy / shape.b) ** shape.n
        share = level ** (-1 / shape.n) if level else 1.0
    else:
        share = 1 / max(abs(dx) * 2 / shape.width, abs(dy) * 2 / shape.height, 1e-9)
    return middle.toward(aim, share) if share < 1 else None


def _box(shape: Oval | Box) -> Box:
    return shape.box if isinstance(shape, Oval) else shape


def _outline_of(shape: Oval | Box) -> list[Point]:
    path = rectangle(shape) if isinstance(shape, Box) else oval_outline(shape)
    return path.flattened(FLAT)[0]


def _flat(zone: Zone) -> tuple[Point, ...]:
    points = zone.shape.flattened(FLAT)[0]
    return tuple(points[:-1] if points[0] == points[-1] else points)


def _around(points: Sequence[Point]) -> Box:
    xs, ys = [p.x for p in points], [p.y for p in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _within(body: Oval | Box, point: Point, off: float) -> bool:
    if isinstance(body, Box):
        return body.grown(off).holds(point)
    middle = body.center
    across, down = (
        abs(point.x - middle.x) / (body.a + off),
        abs(point.y - middle.y) / (body.b + off),
    )
    return across < 1 and down < 1 and across**body.n + down**body.n <= 1.0


def _touch(line: Sequence[Station], other: Sequence[Point], half: float) -> bool:
    """Whether a tail runs over another one, or so near that it looks so."""
    steps = len(other) - 1
    for point, wide in line:
        for at in range(steps):
            p, q = other[at], other[at + 1]
            dx, dy = q.x - p.x, q.y - p.y
            square = dx * dx + dy * dy
            along = ((point.x - p.x) * dx + (point.y - p.y) * dy) / square if square else 0.0
            along = min(max(along, 0.0), 1.0)
            thick = half * (1 - (at + along) / steps)
            if point.distance(p.toward(q, along)) < wide + thick + TOUCH:
                return True
    # Between two stations a tail may pass another one's thin end.
    for (a, _), (b, _) in itertools.pairwise(line):
        for p, q in itertools.pairwise(other):
            if _turn(a, b, p) != _turn(a, b, q) and _turn(p, q, a) != _turn(p, q, b):
                return True
    return False


def _turn(p: Point, q: Point, r: Point) -> bool:
    return (q.x - p.x) * (r.y - p.y) > (q.y - p.y) * (r.x - p.x)
