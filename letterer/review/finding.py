"""What a look-over has before it, and what it notices: findings with their place on the page."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from letterer.geometry import Box, Point, union_box
from letterer.model.plan import Layout, PagePlan, Placement
from letterer.page.lettered import Finding, LetteredPage, PlacedUnit, Severity
from letterer.review.path import EyePath, eye_path
from letterer.review.shapes import Form, Polygon, box_of, common, form_of

ROOM_SLACK = 0.5
MOVE_HALVINGS = 7
"""A move is known to a hundredth of the way that would surely be enough."""

WORST_FIRST = (Severity.PROBLEM, Severity.WARNING, Severity.NOTE)

DIGITS = {"mm": 1, "in": 2, "pt": 0, "px": 0}
"""Digits after the point that a person can use, by the layout's unit."""


@dataclass(frozen=True, slots=True)
class Noticed:
    """A finding, the box on the page that it concerns (None for the page as a whole), the other
    units it concerns, and the person's reason where it is accepted."""

    finding: Finding
    at: Box | None = None
    others: tuple[str, ...] = ()
    because: str = ""

    @property
    def rank(self) -> tuple[int, int, tuple[int, ...], str, str]:
        """Where it comes in a list: worst first, then by page and unit."""
        unit = self.finding.unit
        numbers = tuple(int(part) if part.isdecimal() else 0 for part in unit.split("."))
        kind, what = self.finding.kind, self.finding.what
        return WORST_FIRST.index(self.finding.severity), self.finding.page, numbers, kind, what


@dataclass(frozen=True)
class Inspection:
    """One page under review, with what several checks need."""

    page: LetteredPage
    plan: PagePlan
    layout: Layout
    forms: tuple[Form, ...] = field(init=False)
    path: EyePath = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "forms", tuple(form_of(unit) for unit in self.page.units))
        object.__setattr__(self, "path", eye_path(self.page, self.plan, self.layout.reading))

    def placement(self, unit: PlacedUnit) -> Placement | None:
        """What the plan says of a unit."""
        return self.plan.placement(unit.id)

    def crosses_on_purpose(self, unit: PlacedUnit) -> bool:
        """True where the plan asks a unit to cross what others must not."""
        return asked_to_cross(unit, self.placement(unit))

    def is_over(self, unit: PlacedUnit) -> bool:
        """True where the plan says that a unit goes over its panel's border."""
        placement = self.placement(unit)
        return placement is not None and bool(placement.over)

    def length(self, points: float) -> str:
        """A length in the layout's unit, rounded up to what a person can use.

        A move of this length is enough.
        """
        measure = self.layout.measure
        digits = DIGITS[measure.unit]
        step = 10.0**-digits
        value = math.ceil(measure.written(points) / step - 1e-6) * step
        return f"{value:.{digits}f} {measure.unit}"

    def noticed(
        self,
        severity: Severity,
        kind: str,
        told: tuple[str, str],
        on: Form | PlacedUnit | None = None,
        *,
        at: Box | None = None,
        others: tuple[str, ...] = (),
    ) -> Noticed:
        """A finding: `told` is what is seen and how to mend it."""
        unit = on.unit if isinstance(on, Form) else on
        place = at or (on.box if on is not None else None)
        finding = Finding(
            severity, kind, told[0], told[1], self.page.number, unit.id if unit else ""
        )
        return Noticed(finding, place, others)

    def move_off(self, form: Form, other: Sequence[Polygon], air: float = 0.0) -> str:
        """The least move, up, down or sideways, that takes a unit off something and leaves some air
        between them: where there is room for it, and best where nothing else is in the way."""
        room = self.room(form.unit)
        around = union_box(box_of(part) for part in other)
        assert around is not None  # something is covered
        found = []
        for way, (dx, dy), far in (
            ("up", (0.0, -1.0), form.box.bottom - around.top),
            ("down", (0.0, 1.0), around.bottom - form.box.top),
            ("left", (-1.0, 0.0), form.box.right - around.left),
            ("right", (1.0, 0.0), around.right - form.box.left),
        ):
            by = self._least(form, other, (dx, dy), far) + air
            moved = form.box.shifted(dx * by, dy * by)
            if room.contains(moved, slack=ROOM_SLACK):
                found.append((self._in_the_way(form, moved, around), by, way))
        if found:
            _, by, way = min(found)
            return f"Move it about {self.length(by)} {way}"
        return "There is no room beside it in the panel: shorten the words, or set them smaller"

    def _least(
        self, form: Form, other: Sequence[Polygon], way: tuple[float, float], far: float
    ) -> float:
        """How far a unit is moved one way until it is off something; `far` is enough."""
        low, high = 0.0, max(far, 0.0)
        for _ in range(MOVE_HALVINGS):
            by = (low + high) / 2
            moved = [
                [point.shifted(way[0] * by, way[1] * by) for point in part] for part in form.body
            ]
            if common(moved, other) is None:
                high = by
            else:
                low = by
        return high

    def _in_the_way(self, form: Form, moved: Box, off: Box) -> int:
        """How many other units and zones a unit would come to stand on."""
        others = [one.box for one in self.forms if one is not form]
        others += [zone.box for zone in self.plan.keep_clear]
        return sum(box.meets(moved) for box in others if not off.contains(box))

    def room(self, unit: PlacedUnit) -> Box:
        """Where a unit may stand: its panel within the live area, as a box."""
        live = self.layout.format.live
        panel = self.plan.panel(unit.panel)
        if panel is None or not panel.box.meets(live):
            return live
        return panel.box.common(live)


Check = Callable[[Inspection], Iterator[Noticed]]
"""One kind of look at a page."""


def asked_to_cross(unit: PlacedUnit, placement: Placement | None) -> bool:
    """True where a unit is meant to cross borders, gutters and the live area.

    A sound effect is drawn into the art and may break out of its panel; a unit that is cut off at a
    border on purpose ends there; and the plan may let a unit go over its panel's border.
    """
    allowed = placement is not None and placement.over
    return unit.kind == "effect" or unit.clip is not None or allowed


def are_joined(one: PlacedUnit, other: PlacedUnit) -> bool:
    """True where two units are drawn as one balloon, of one contour."""
    return other.id in one.joined


def at_point(point: Point, around: float = 4.0) -> Box:
    """A small box round a point."""
    return Box(point.x, point.y, point.x, point.y).grown(around)


def percent(share: float) -> str:
    """A share as it is told to a person.

    >>> percent(0.331)
    '33 %'
    """
    return f"{share * 100:.0f} %"


def quoted(unit: PlacedUnit, most: int = 28) -> str:
    """A unit's words as they are told to a person, shortened."""
    words = unit.words
    return f'"{words}"' if len(words) <= most else f'"{words[: most - 3].rstrip()}..."'
