"""The path of the eye over a lettered page: panels, and in each its words, faces and focus points.

Panels come in the order of `panels.panel_order`. In a panel the eye begins where reading begins;
words are met the higher first, side by side in the direction of reading; a tail leads to the mouth
it aims at; focus points and other mouths are met where they lie among the words. That outlines
decide most of the way and words decide doubtful pages is published (Cohn & Campbell 2015); the way
within a panel is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Point
from letterer.model.plan import PagePlan, PanelPlan, Reading
from letterer.page.lettered import LetteredPage, PlacedUnit
from letterer.review.leading import led, words_of
from letterer.review.panels import (
    WORDS,
    Arranged,
    PanelOrder,
    arranged,
    panel_order,
    piece_of_box,
)

SPECK = 1.0
"""A focus or a mouth is ordered among words as a box this large, in points."""


class StopKind(StrEnum):
    """What the eye stops at."""

    PANEL = "panel"
    WORDS = "words"
    FACE = "face"
    FOCUS = "focus"


@dataclass(frozen=True, slots=True)
class Stop:
    """One stop of the eye: what it is, its name (a unit's id, a speaker, a focus, a panel's
    number), where it is in points, and the panel it is met in (0 outside all panels)."""

    kind: StopKind
    name: str
    at: Point
    panel: int


@dataclass(frozen=True, slots=True)
class EyePath:
    """All stops in the order in which they are met."""

    stops: tuple[Stop, ...]
    panels: PanelOrder

    def place(self, kind: StopKind, name: str) -> int | None:
        """When a stop is first met, counted from 0; None when it never is."""
        for place, stop in enumerate(self.stops):
            if stop.kind is kind and stop.name == name:
                return place
        return None

    @property
    def words(self) -> tuple[str, ...]:
        """The units in the order in which they are read."""
        return tuple(stop.name for stop in self.stops if stop.kind is StopKind.WORDS)


def eye_path(page: LetteredPage, plan: PagePlan, reading: Reading) -> EyePath:
    """The path of the eye over a page. Units belong to the panel that their number names."""
    order = panel_order(plan.panels, reading)
    if order.least is not None:
        ordered = {
            panel.number: _read(
                [unit for unit in page.units if unit.panel == panel.number], reading
            )
            for panel in plan.panels
        }
        order = led(order, words_of(page, plan, reading, ordered))
    panels = {panel.number: panel for panel in plan.panels}
    stops: list[Stop] = []
    homes = _focus_homes(plan, order)
    for number in order.order:
        panel = panels[number]
        stops.append(Stop(StopKind.PANEL, str(number), panel.box.center, number))
        units = [unit for unit in page.units if unit.panel == number]
        points = [focus for focus in plan.focus if homes[focus.name] == number]
        stops += _within(panel, units, [(one.name, one.at) for one in points], reading)
    rest = [unit for unit in page.units if unit.panel not in panels]
    strays = [(one.name, one.at) for one in plan.focus if homes[one.name] == 0]
    stops += _within(None, rest, strays, reading)
    return EyePath(tuple(stops), order)


def _read(units: Sequence[PlacedUnit], reading: Reading) -> list[tuple[PlacedUnit, Box]]:
    """Units of one panel in the order in which they are read, with the boxes they are read by."""
    order = words_order(units, reading).keys
    return [(units[place], reading_box(units[place])) for place in order]


def words_order(units: Sequence[PlacedUnit], reading: Reading) -> Arranged:
    """Units of one panel in the order in which they are read; keys are their places in `units`."""
    mirrored = reading is Reading.RIGHT_TO_LEFT
    return arranged(
        (piece_of_box(key, reading_box(unit), mirrored) for key, unit in enumerate(units)), WORDS
    )


def reading_box(unit: PlacedUnit) -> Box:
    """The box by which a unit is taken to be higher or lower than another: its body, no tail, and
    what is cut off at a border is no part of it."""
    shape = unit.shape
    box = shape.box if isinstance(shape, Oval) else shape or unit.ink
    drawn = unit.own and unit.own.box()
    return box.common(drawn.grown(SPECK)) if drawn and drawn.meets(box) else box


def _focus_homes(plan: PagePlan, order: PanelOrder) -> dict[str, int]:
    """The panel in which each focus lies: the last met of those that hold it; 0 for none."""
    homes = {}
    for focus in plan.focus:
        holding = [
            number
            for number in order.order
            if (panel := plan.panel(number)) and panel.box.holds(focus.at)
        ]
        homes[focus.name] = min(holding, key=lambda n: _size(plan, n)) if holding else 0
    return homes


def _size(plan: PagePlan, number: int) -> float:
    panel = plan.panel(number)
    return panel.box.area if panel else 0.0


def _within(
    panel: PanelPlan | None,
    units: Sequence[PlacedUnit],
    points: Sequence[tuple[str, Point]],
    reading: Reading,
) -> list[Stop]:
    """The stops within one panel, without the panel itself."""
    number = panel.number if panel else 0
    mirrored = reading is Reading.RIGHT_TO_LEFT
    stops = {
        key: Stop(StopKind.WORDS, unit.id, reading_box(unit).center, number)
        for key, unit in enumerate(units)
    }
    boxes = {key: reading_box(unit) for key, unit in enumerate(units)}
    for name, at in points:
        key = len(stops)
        stops[key] = Stop(StopKind.FOCUS, name, at, number)
        boxes[key] = Box(at.x, at.y, at.x, at.y).grown(SPECK / 2)
    aimed = _aimed_at(panel, units)
    if panel is not None:
        for name, at in panel.mouths.items():
            if name not in aimed.values():
                key = len(stops)
                stops[key] = Stop(StopKind.FACE, name, at, number)
                boxes[key] = Box(at.x, at.y, at.x, at.y).grown(SPECK / 2)
    words = [piece_of_box(key, boxes[key], mirrored) for key in range(len(units))]
    specks = [piece_of_box(key, boxes[key], mirrored) for key in range(len(units), len(stops))]
    order = [piece.key for piece in arranged(words, WORDS).order]
    for speck in sorted(specks, key=lambda piece: (piece.box.top, piece.box.left, piece.key)):
        order.insert(_slot(order, speck.key, boxes, mirrored), speck.key)
    found: list[Stop] = []
    met: set[str] = set()
    for key in order:
        found.append(stops[key])
        mouth = aimed.get(key)
        if panel is not None and mouth is not None and mouth not in met:
            met.add(mouth)
            found.append(Stop(StopKind.FACE, mouth, panel.mouths[mouth], number))
    return found


def _slot(order: Sequence[int], speck: int, boxes: dict[int, Box], mirrored: bool) -> int:
    """Where a point comes among what is in order: behind the last stop that is met before it."""
    at = boxes[speck].center
    place = 0
    for index, key in enumerate(order):
        box = boxes[key]
        beside = box.top <= at.y <= box.bottom
        nearer = box.center.x > at.x if mirrored else box.center.x < at.x
        if box.bottom < at.y or (beside and nearer):
            place = index + 1
    return place


def _aimed_at(panel: PanelPlan | None, units: Sequence[PlacedUnit]) -> dict[int, str]:
    """The mouth of the panel that each unit's first tail aims at, by the unit's place."""
    found: dict[int, str] = {}
    for key, unit in enumerate(units):
        for tail in unit.tails[:1]:
            for name, mouth in (panel.mouths if panel else {}).items():
                if tail.mouth.distance(mouth) <= craft.CLOSE_POINTS:
                    found[key] = name
    return found
