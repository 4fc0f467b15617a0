"""One panel as a problem of placing: its room, what is in it, and the units that stand there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.geometry import Box, Path, Point
from letterer.model.plan import (
    Center,
    Corner,
    CornerName,
    Edge,
    Focus,
    Layout,
    PagePlan,
    PanelPlan,
    Placement,
    Reading,
    SideName,
    Zone,
)
from letterer.model.script import Manner, Unit
from letterer.page.joins import SMOOTH_KINDS
from letterer.page.spots import anchored
from letterer.page.surroundings import plain_mouths
from letterer.page.unit import Job, SetUnit, set_unit
from letterer.place.bodies import Body, bodies_of, body_of, reach_of
from letterer.place.ground import Floats, Grid, Ground, Picture, face_about
from letterer.text.faces import FaceLibrary

TOLERANCE = 0.3
CORNERS: tuple[CornerName, ...] = ("top left", "top right", "bottom left", "bottom right")
EDGES: tuple[tuple[SideName, float], ...] = (
    ("top", 0.25), ("top", 0.5), ("top", 0.75), ("bottom", 0.25), ("bottom", 0.5),
    ("bottom", 0.75), ("left", 0.33), ("left", 0.66), ("right", 0.33), ("right", 0.66),
)  # fmt: skip
Spot = Center | Corner | Edge


@dataclass(frozen=True)
class Sitter:
    """One unit that is to have a place, or has one: its ways to be set, and what it belongs to.

    `at` is where its middle stands if that is settled. `mouth` is the mouth that its tail goes to;
    `off` is True for a voice from outside the panel.
    """

    unit: Unit
    job: Job
    bodies: tuple[Body, ...]
    at: Point | None
    mouth: Point | None
    off: bool

    @cached_property
    def values(self) -> dict[str, Floats]:
        """Each value of its bodies, in a row; "reach" has a row for each body."""
        names = ("a", "b", "n", "shape_a", "shape_b", "cost")
        found = {name: np.array([getattr(body, name) for body in self.bodies]) for name in names}
        return found | {"reach": reach_of(found["a"], found["b"], found["n"])}

    @property
    def is_caption(self) -> bool:
        """True for captions, which stand in corners and at edges."""
        return self.job.setting.is_caption

    @property
    def is_effect(self) -> bool:
        """True for sound effects."""
        return self.job.setting.kind == "effect"

    def alike(self, other: Sitter) -> bool:
        """True for two balloons of one speaker that are joined where they stand near."""
        one, two = self.job.setting, other.job.setting
        wish = other.job.placement.joined
        return (
            bool(self.unit.speaker)
            and one.kind == two.kind
            and (one.kind in SMOOTH_KINDS or bool(wish))
            and wish is not False
            and one.has_outline
            and not self.is_caption
            and not self.is_effect
            and self.unit.speaker.casefold() == other.unit.speaker.casefold()
        )


@dataclass(frozen=True)
class Scene:
    """A panel with its units in reading order. `room` is the box that bodies keep within;
    `others` are bodies of other panels' units that reach into it, with their middles."""

    page: PagePlan
    panel: PanelPlan | None
    layout: Layout
    room: Box
    sitters: tuple[Sitter, ...]
    others: tuple[tuple[Body, Point], ...] = ()
    picture: Picture | None = None
    faces: FaceLibrary | None = None

    @property
    def name(self) -> str:
        """The panel as people call it: 1.2, or page 1."""
        return f"{self.page.number}.{self.panel.number}" if self.panel else str(self.page.number)

    @property
    def mirrored(self) -> bool:
        """True where the book is read from right to left."""
        return self.layout.reading is Reading.RIGHT_TO_LEFT

    @property
    def open(self) -> tuple[int, ...]:
        """The sitters that have no place yet, by their number in `sitters`."""
        return tuple(k for k, sitter in enumerate(self.sitters) if sitter.at is None)

    @cached_property
    def _runs(self) -> dict[int, int]:
        """For each sitter, by identity, the number of its run: balloons in a row that are joined
        where they stand near."""
        runs: dict[int, int] = {}
        number = 0
        for k, sitter in enumerate(self.sitters):
            number += not (k and self.sitters[k - 1].alike(sitter))
            runs[id(sitter)] = number
        return runs

    def run(self, sitter: Sitter) -> int:
        """The number of the run of balloons, joined where they stand near, that a unit is in."""
        return self._runs[id(sitter)]

    def tied_to(self, sitter: Sitter) -> Sitter | None:
        """The unit read next, where the two are joined if they stand near."""
        place = next(k for k, one in enumerate(self.sitters) if one is sitter)
        after = self.sitters[place + 1] if place + 1 < len(self.sitters) else None
        return after if after is not None and sitter.alike(after) else None

    def ties(self, first: Sitter, then: Sitter) -> bool:
        """Whether two units are joined where they stand near."""
        return self.tied_to(first) is then

    @cached_property
    def zones(self) -> tuple[Zone, ...]:
        """Zones of the page that reach into the panel; panels that lie in this one are zones."""
        around = self.around
        found = [zone for zone in self.page.keep_clear if zone.box.meets(around)]
        for other in self.page.panels:
            if (
                self.panel is not None
                and other.number != self.panel.number
                and self.panel.box.meets(other.box)
                and other.box.area < self.panel.box.area
                and other.box.common(self.panel.box).area
                > craft.PANEL_OVERLAP_POINTS * max(other.box.width, other.box.height)
            ):
                found.append(Zone(f"panel {other.number}", other.shape, other.box))
        return tuple(found)

    @cached_property
    def around(self) -> Box:
        """The box of the panel, or the live area."""
        return self.panel.box if self.panel else self.layout.format.live

    @cached_property
    def focus(self) -> tuple[Focus, ...]:
        """Focus points that lie in this panel and in no smaller one."""
        smaller = [
            other.box
            for other in self.page.panels
            if self.panel and other.box.area < self.panel.box.area
        ]
        return tuple(
            one
            for one in self.page.focus
            if self.around.holds(one.at) and not any(box.holds(one.at) for box in smaller)
        )

    @cached_property
    def guessed(self) -> tuple[tuple[str, Point, float], ...]:
        """Faces that the plan has no zone for: whose mouth, middle, radius."""
        found = []
        for name, mouth in (self.panel.mouths if self.panel else {}).items():
            near = craft.MOUTH_MISSED_POINTS
            if not any(zone.box.grown(near).holds(mouth) for zone in self.zones):
                found.append((name, *face_about(mouth)))
        return tuple(found)

    @cached_property
    def ground(self) -> Ground:
        """The fields under this panel."""
        grid = Grid.over(self.around)
        fields: dict[str, Floats] = {"outside": self._outside(grid)}
        covered = np.zeros((grid.rows, grid.columns))
        masks = _zone_masks(self.zones, grid)
        for zone, mask in zip(self.zones, masks, strict=True):
            covered += mask / max(_cells(zone.shape, grid), 1.0)
        for one in self.focus:
            mask = (grid.far(one.at) <= craft.PLACE_FOCUS_CLEAR_POINTS).astype(np.float64)
            covered += mask / max(float(mask.sum()), 1.0)
        fields["zones"] = covered
        fields["on zones"] = (covered > 0).astype(np.float64)
        guessed = np.zeros_like(covered)
        for _, middle, radius in self.guessed:
            mask = (grid.far(middle) <= radius).astype(np.float64)
            guessed += mask / max(float(mask.sum()), 1.0)
        fields["faces"] = guessed
        kept = [mask for mask in (*masks, guessed) if mask.any()]
        near = sum(kept) if kept else np.zeros_like(covered)
        grown = grid.widened(np.asarray(near), craft.PLACE_ZONE_POINTS)
        fields["near zones"] = grown * (np.asarray(near) == 0)
        shown = np.zeros_like(covered)
        for one in self.focus:
            shown += np.clip(1 - grid.far(one.at) / craft.PLACE_FOCUS_POINTS, 0.0, 1.0)
        fields["focus"] = shown / max(float(shown.sum()) / max(len(self.focus), 1), 1e-9)
        if self.picture is not None:
            fields["busy"] = grid.busy(self.picture)
        return Ground(grid, fields)

    def _outside(self, grid: Grid) -> Floats:
        if self.panel is None or _upright(self.panel.shape):
            return np.zeros((grid.rows, grid.columns))
        return 1.0 - grid.mask(self.panel.shape.flattened(TOLERANCE))

    @cached_property
    def _faces_known(self) -> dict[Point | None, tuple[Floats, Floats]]:
        return {}

    def faces_for(self, mouth: Point | None) -> tuple[Floats, Floats]:
        """Two fields: 1 in the cells of zones that a tail to a mouth must not cross, and 1 in those
        of its own speaker's face."""
        if mouth not in self._faces_known:
            self._faces_known[mouth] = self._faces_about(mouth)
        return self._faces_known[mouth]

    def _faces_about(self, mouth: Point | None) -> tuple[Floats, Floats]:
        grid = self.ground.grid
        foreign = np.zeros((grid.rows, grid.columns))
        for one in self.focus:
            on = grid.far(one.at) <= 2 * craft.PLACE_FOCUS_CLEAR_POINTS
            foreign = np.maximum(foreign, craft.PLACE_TAIL_FOCUS_SHARE * on)
        own = np.zeros_like(foreign)
        near = craft.MOUTH_MISSED_POINTS / 2
        for zone, mask in zip(self.zones, _zone_masks(self.zones, grid), strict=True):
            mine = mouth is not None and zone.box.grown(near).holds(mouth)
            into = own if mine else foreign
            np.maximum(into, mask, out=into)
        for _, middle, radius in self.guessed:
            mine = mouth is not None and middle.distance(mouth) <= radius
            into = own if mine else foreign
            np.maximum(into, (grid.far(middle) <= radius).astype(np.float64), out=into)
        return foreign, own


def scenes_of(
    page: PagePlan,
    units: Sequence[Unit],
    again: Sequence[str],
    layout: Layout,
    faces: FaceLibrary,
    picture: Picture | None = None,
) -> list[Scene]:
    """The panels of a page in which a unit has no place yet, or is named in `again`.

    Raises LettererError for words that cannot be set.
    """
    standing: dict[str, SetUnit] = {}
    for unit in units:
        placement = page.placement(unit.id)
        if placement is not None and unit.id not in again:
            standing[unit.id] = set_unit(Job.of(unit, placement, page, layout, faces))
    scenes = []
    numbers = dict.fromkeys(unit.panel for unit in units if unit.id not in standing)
    for number in numbers:
        panel = page.panel(number)
        if panel is None and page.panels:
            continue  # told by the caller: the layout has other panels, and not this one
        mine = [unit for unit in units if unit.panel == number]
        room = room_of(panel, layout, page)
        sitters = tuple(
            _sitter(unit, standing.get(unit.id), page, layout, faces, room) for unit in mine
        )
        around = panel.box if panel else layout.format.live
        ids = {unit.id for unit in mine}
        others = tuple(
            (body_of(other), other.shape.center)
            for id, other in standing.items()
            if id not in ids and other.ink.meets(around)
        )
        scenes.append(Scene(page, panel, layout, room, sitters, others, picture, faces))
    return scenes


def room_of(panel: PanelPlan | None, layout: Layout, page: PagePlan | None = None) -> Box:
    """The box in which bodies stand: the panel and the live area, less the style's gap."""
    live = layout.format.live
    if panel is None:
        return live
    style = layout.style
    if page is not None and page.style is not None:
        style = style.changed(page.style)
    inner = panel.box.grown(-style.gap_points)
    return inner.common(live) if inner.meets(live) else inner


def _upright(shape: Path) -> bool:
    box = shape.box()
    return box is not None and abs(abs(shape.area()) - box.area) <= 1e-6 * box.area


def _zone_masks(zones: Sequence[Zone], grid: Grid) -> list[Floats]:
    return [grid.mask(zone.shape.flattened(TOLERANCE)) for zone in zones]


def _cells(shape: Path, grid: Grid) -> float:
    return abs(shape.area()) / grid.cell**2


def _sitter(
    unit: Unit,
    stands: SetUnit | None,
    page: PagePlan,
    layout: Layout,
    faces: FaceLibrary,
    room: Box,
) -> Sitter:
    bodies: tuple[Body, ...]
    at: Point | None
    if stands is not None:
        job = stands.job
        bodies, at = (body_of(stands),), stands.shape.center
    else:
        known = page.placement(unit.id)
        middle = Center(Point(*room.center))
        placement = replace(known, spot=middle) if known else Placement(unit.id, middle)
        job = Job.of(unit, placement, page, layout, faces)
        bodies, at = bodies_of(job, room), None
    mouths = plain_mouths(job)
    tails = job.placement.tails
    has_tail = tails is None or len(tails) > 0
    speaks = bool(unit.speaker) and not job.setting.is_caption
    off = Manner.OFF in unit.manners and not mouths and has_tail and speaks
    return Sitter(unit, job, bodies, at, mouths[0] if mouths else None, off)


@dataclass
class Seats:
    """The places compared for one unit: for each the middle (x, y), which body, and the spot that
    the layout would say. `tail` is where the tail leaves and where it points; nan without one."""

    sitter: Sitter
    body: NDArray[np.int64]
    x: Floats
    y: Floats
    spots: list[Spot | None]
    tail: tuple[Floats, Floats, Floats, Floats]

    def __len__(self) -> int:
        return len(self.x)

    def of(self, name: str) -> Floats:
        """A value of each place's body."""
        found: Floats = self.sitter.values[name][self.body]
        return found

    @property
    def reach(self) -> Floats:
        """How far each place's body reaches, a row for each (see `bodies.reach_of`)."""
        return self.of("reach")

    def only(self, kept: NDArray[np.int64]) -> Seats:
        """Some of the places."""
        return Seats(
            self.sitter,
            self.body[kept],
            self.x[kept],
            self.y[kept],
            [self.spots[k] for k in kept],
            tuple(part[kept] for part in self.tail),  # type: ignore[arg-type]
        )


def seats_at(
    scene: Scene,
    sitter: Sitter,
    places: Sequence[tuple[int, float, float, Spot | None]],
) -> Seats:
    """Places of a unit: (body, x, y, spot) each."""
    body = np.array([place[0] for place in places], dtype=np.int64)
    x = np.array([place[1] for place in places], dtype=np.float64)
    y = np.array([place[2] for place in places], dtype=np.float64)
    seats = Seats(sitter, body, x, y, [place[3] for place in places], (x, x, x, x))
    seats.tail = _tails(scene, seats)
    return seats


def seats_of(scene: Scene, sitter: Sitter, step: float) -> Seats:
    """The places that are compared for a unit: one where it stands already; corners and edges for a
    caption; for others a grid over the room, flush with its sides."""
    if sitter.at is not None:
        return seats_at(scene, sitter, [(0, sitter.at.x, sitter.at.y, None)])
    if sitter.is_caption:
        return _caption_seats(scene, sitter)
    numbers, xs, ys = [], [], []
    for number, body in enumerate(sitter.bodies):
        across = _along(scene.room.left + body.a, scene.room.right - body.a, step)
        down = _along(scene.room.top + body.b, scene.room.bottom - body.b, step)
        numbers.append(np.full(len(across) * len(down), number, dtype=np.int64))
        xs.append(np.tile(across, len(down)))
        ys.append(np.repeat(down, len(across)))
    x, y = np.concatenate(xs), np.concatenate(ys)
    seats = Seats(sitter, np.concatenate(numbers), x, y, [None] * len(x), (x, x, x, x))
    seats.tail = _tails(scene, seats)
    return seats


def _caption_seats(scene: Scene, sitter: Sitter) -> Seats:
    places: list[tuple[int, float, float, Spot | None]] = []
    layout = replace(scene.layout, style=sitter.job.style)
    spots: list[Spot] = [Corner(where) for where in CORNERS]
    spots += [Edge(side, along) for side, along in EDGES]
    for number, body in enumerate(sitter.bodies):
        frame = Box(-body.shape_a, -body.shape_b, body.shape_a, body.shape_b)
        for spot in spots:
            at = anchored(spot, frame, scene.panel, layout)
            places.append((number, at.x, at.y, spot))
    return seats_at(scene, sitter, places)


def _along(low: float, high: float, step: float) -> Floats:
    """Evenly spaced values, both ends among them; the middle where there is no room."""
    if high <= low:
        return np.array([(low + high) / 2])
    count = max(round((high - low) / step), 1)
    return low + (high - low) * np.arange(count + 1) / count


OFF_SLOPE = 0.5


def _tails(scene: Scene, seats: Seats) -> tuple[Floats, Floats, Floats, Floats]:
    """Where each place's tail leaves the body, and the point that it is aimed at."""
    sitter, x, y = seats.sitter, seats.x, seats.y
    nothing = np.full(len(x), np.nan)
    if sitter.mouth is not None:
        to_x, to_y = np.full(len(x), sitter.mouth.x), np.full(len(x), sitter.mouth.y)
    elif sitter.off and scene.panel is not None:
        box, mouths = scene.panel.box, [at.x for at in scene.panel.mouths.values()]
        most = craft.TAIL_OFF_LENGTH_CAPS[1] * sitter.bodies[0].cap
        beyond = [
            craft.TAIL_OFF_OTHERS * sum((side * (m - x) > 0).astype(float) for m in mouths)
            if mouths
            else 0.0
            for side in (-1.0, 1.0)
        ]
        left = (x - box.left) / most + beyond[0]
        right = (box.right - x) / most + beyond[1]
        to_x = np.where(left <= right, box.left, box.right)
        to_y = y + OFF_SLOPE * np.abs(to_x - x)
    else:
        return nothing, nothing, nothing, nothing
    dx, dy = to_x - x, to_y - y
    a, b, n = seats.of("a"), seats.of("b"), seats.of("n")
    level = (np.abs(dx / a) ** n + np.abs(dy / b) ** n) ** (1 / n)
    share = np.minimum(1 / np.maximum(level, 1e-9), 1.0)
    return x + dx * share, y + dy * share, to_x, to_y
