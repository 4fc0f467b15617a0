"""A place for words that moved: the same part of their new panel, to be looked at."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass, replace

from letterer import craft
from letterer.geometry import Box, Point
from letterer.model.plan import (
    Center,
    Corner,
    Edge,
    Fill,
    Layout,
    PagePlan,
    PanelPlan,
    Placement,
    TailPlan,
)
from letterer.model.script import Role, Unit
from letterer.revise.book import address
from letterer.revise.edits import Put, Tail
from letterer.revise.homes import PanelKey
from letterer.revise.openings import clear_place, estimated, taken_by

CORNER_INWARD = 0.25
"""A corner or edge of a panel that has no plan is proposed as a point so far into the old panel."""


@dataclass(frozen=True, slots=True)
class Proposals:
    """Proposes places in the panels of a layout, by the numbers they are to have.

    `pages` and `panels` are new numbers by old ones; `stowed` panels are to be parked.
    """

    layout: Layout
    pages: Mapping[int, int]
    panels: Mapping[PanelKey, int]
    stowed: Set[PanelKey]

    def proposal(self, placed: Placement, unit: Unit, home: PanelKey) -> Put | None:
        """A place in another panel: the same part of it. None where the old one holds as it is,
        since the new panel is not planned yet and the page is the same."""
        before = self._panel(placed)
        panel = self._target(unit)
        same_page = home[0] == unit.page
        mouth = self._own_mouth(placed, unit, before) if panel is None and same_page else None
        spot, named = placed.spot, any(map(_by_name, placed.tails or ()))
        free = isinstance(spot, Center | Fill) and not named and mouth is None
        if same_page and free and (panel is None or before is None):
            return None
        at = self._spot(spot, before, panel, same_page)
        if panel is not None and at is not None:
            at = self._clear(at, placed, unit, panel)
        tails = (mouth,) if mouth else self._tails(placed, before, panel, same_page)
        return Put(
            unit.id,
            unit.words,
            spot=at,
            new_tails=tails != placed.tails,
            tails=tails,
            proposed=True,
            alone=not same_page,
        )

    def holds(self, placed: Placement, unit: Unit) -> bool:
        """True where a placement can stand in a unit's panel as it is: a corner needs a panel that
        is planned, and a tail by name its mouth."""
        panel = self._target(unit)
        names = [_aim(tail) for tail in placed.tails or () if _by_name(tail)]
        if panel is None:
            return isinstance(placed.spot, Center | Fill) and not names
        return all(panel.mouth(str(name)) is not None for name in names)

    def _target(self, unit: Unit) -> PanelPlan | None:
        """The plan of the panel that a unit is in now."""
        plan = self._page_to(unit.page)
        if plan is None:
            return None
        return next(
            (
                panel
                for panel in plan.panels
                if self._panel_number(plan.number, panel.number) == unit.panel
            ),
            None,
        )

    def _spot(
        self,
        spot: Center | Fill | Corner | Edge,
        before: PanelPlan | None,
        panel: PanelPlan | None,
        same_page: bool,
    ) -> Center | Fill | None:
        """A spot carried to another panel; None where it holds as it is, as corners do."""
        live = self.layout.format.live
        whole, target = before.box if before else live, panel.box if panel else live
        if isinstance(spot, Corner | Edge):
            if panel is not None:
                return None
            inner = _inward(spot)
            room = whole if same_page else target
            return Center(self._rounded(_at(room, *inner)))
        middle = spot.at if isinstance(spot, Center) else spot.box.center
        if same_page and panel is None:
            place = middle
        else:
            across = min(max((middle.x - whole.left) / (whole.width or 1.0), 0.0), 1.0)
            down = min(max((middle.y - whole.top) / (whole.height or 1.0), 0.0), 1.0)
            place = _at(target, across, down)
        if isinstance(spot, Center):
            return Center(self._rounded(place))
        return self._filled(place, Point(spot.box.width, spot.box.height))

    def _clear(
        self, spot: Center | Fill, placed: Placement, unit: Unit, panel: PanelPlan
    ) -> Center | Fill:
        """A spot in another panel, off what stands there already and off what is kept clear."""
        page = self._page_to(unit.page)
        assert page is not None
        taken = [
            taken_by(other, panel.box)
            for other in page.placements
            if other is not placed and address(other.unit)[1] == panel.number
        ]
        taken += [zone.box for zone in page.keep_clear]
        room = craft.MOUTH_KEPT_CLEAR
        taken += [Box(*at, *at).grown(room) for at in panel.mouths.values()]
        where = panel.box.common(self.layout.format.live)
        if isinstance(spot, Center):
            return Center(self._rounded(clear_place(spot.at, estimated(unit.words), where, taken)))
        size = Point(spot.box.width, spot.box.height)
        return self._filled(clear_place(spot.box.center, size, where, taken), size)

    def _filled(self, middle: Point, size: Point) -> Fill:
        """A box of this size, as the file will hold it."""
        corner = self._rounded(Point(middle.x - size.x / 2, middle.y - size.y / 2))
        size = self._rounded(size)
        return Fill(Box(corner.x, corner.y, corner.x + size.x, corner.y + size.y))

    def _own_mouth(self, placed: Placement, unit: Unit, before: PanelPlan | None) -> Point | None:
        """The mouth that a tail went to by itself, where the panel that the words are in now has no
        plan yet: the drawing stands as it stood. None for one of several balloons of a speaker,
        which may be joined and have one tail between them."""
        others = [
            other
            for page in self.layout.pages
            for other in page.placements
            if other is not placed
            and other.speaker == placed.speaker
            and address(other.unit)[:2] == address(placed.unit)[:2]
        ]
        if placed.tails is not None or unit.role is not Role.SPEECH or before is None or others:
            return None
        mouth = before.mouth(placed.speaker or unit.speaker)
        return mouth and self._rounded(mouth)

    def _tails(
        self,
        placed: Placement,
        before: PanelPlan | None,
        panel: PanelPlan | None,
        same_page: bool,
    ) -> tuple[Tail, ...] | None:
        """Tails carried to another panel: mouths by name where it has them; points on one page
        where it has no plan yet, since in a panel of its own the speaker has another mouth."""
        if not placed.tails:
            return placed.tails
        carried: list[Tail] = []
        for tail in placed.tails:
            aim = _aim(tail)
            if isinstance(aim, Point) or (panel is not None and panel.mouth(aim) is not None):
                at: Point | str | None = aim
            else:
                mouth = before.mouth(aim) if before else None
                at = mouth and self._rounded(mouth)
            fixed = isinstance(at, Point) or isinstance(tail, TailPlan)
            if at is None or (fixed and (panel is not None or not same_page)):
                return None
            carried.append(replace(tail, to=at) if isinstance(tail, TailPlan) else at)
        return tuple(carried)

    def _rounded(self, point: Point) -> Point:
        """A point as the file will hold it."""
        measure = self.layout.measure
        return Point(*(measure.points(measure.written(value)) for value in point))

    def _panel(self, placed: Placement) -> PanelPlan | None:
        """The plan of the panel that a placement stood in."""
        page, number, _ = address(placed.unit)
        for parked_page, panel in self.layout.parked.panels:
            if (parked_page, panel.number) == (page, number):
                return panel
        plan = self.layout.page(page)
        return plan.panel(number) if plan else None

    def _page_to(self, number: int) -> PagePlan | None:
        return next(
            (page for page in self.layout.pages if self.pages.get(page.number) == number), None
        )

    def _panel_number(self, page: int, panel: int) -> int:
        """The new number of a panel; 0 for one that is parked."""
        if (page, panel) in self.stowed:
            return 0
        return self.panels.get((page, panel), panel)


def _by_name(tail: Tail) -> bool:
    """True for a tail that goes to a mouth by its speaker's name."""
    return isinstance(_aim(tail), str)


def _aim(tail: Tail) -> Point | str:
    """Where a tail goes."""
    return tail.to if isinstance(tail, TailPlan) else tail


def _at(box: Box, across: float, down: float) -> Point:
    return Point(box.left + box.width * across, box.top + box.height * down)


def _inward(spot: Corner | Edge) -> tuple[float, float]:
    """Where about in its panel a unit in a corner or at an edge stands: shares of its sides."""
    near, far = CORNER_INWARD, 1 - CORNER_INWARD
    if isinstance(spot, Corner):
        vertical, side = spot.where.split()
        return near if side == "left" else far, near if vertical == "top" else far
    return {
        "top": (spot.along, near),
        "bottom": (spot.along, far),
        "left": (near, spot.along),
        "right": (far, spot.along),
    }[spot.side]
