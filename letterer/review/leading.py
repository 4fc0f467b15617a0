"""How words lead the eye from panel to panel where the panels alone leave readers unsure.

Outlines decide most of the way, and words decide doubtful pages (Cohn & Campbell, Navigating comics
II, Applied Cognitive Psychology 29, 2015; methods that use the places of words do better on panel
order: Kovanen & Aizawa, 2015). A balloon over a gutter takes the eye across it; of two panels that
may come next, the eye goes to that with the nearer words (a dense balloon moved away from the panel
before lessened the skipping of that panel: Omori et al., 2004); and panels without words are
skipped more (the same). That is published; how strong each of them is, is craft.

Each lead is a pull in log odds. Together they shift the share of readers of one decision, by degree
and only as far as the panels leave it open.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from letterer import craft
from letterer.geometry import Box, Point, union_box
from letterer.model.plan import PagePlan, PanelPlan, Reading
from letterer.page.lettered import LetteredPage, PlacedUnit
from letterer.review.panels import Doubt, Lead, PanelOrder, order_by, put_in
from letterer.review.shapes import box_of, common, form_of, polygons

OVER = "over the gutter"
NEARER = "nearer words"
SILENT = "no words"
"""How words lead: a balloon over two panels, the nearer next words, a panel that has none."""


@dataclass(frozen=True, slots=True)
class Across:
    """A balloon, or several of one contour, over two panels: the one it is met in first, the one it
    leads to, and how strong that is (0 to 1)."""

    units: tuple[str, ...]
    panels: tuple[int, int]
    strength: float


@dataclass(frozen=True, slots=True)
class Words:
    """What words tell of the way between panels: boxes of the first and the last words of each
    panel, balloons over gutters, the corner where reading of the page begins."""

    first: dict[int, tuple[str, Box]]
    last: dict[int, tuple[str, Box]]
    across: tuple[Across, ...]
    start: Point


def led(found: PanelOrder, words: Words) -> PanelOrder:
    """The order of panels with what words do to its doubtful decisions."""
    order = found.order
    doubts = []
    for doubt in found.doubts:
        told = _led(doubt, words) if doubt.share < craft.ORDER_DOUBTFUL else doubt
        if told.order != doubt.order:
            order = put_in(order, told.order)
        doubts.append(told)
    return order_by(order, doubts)


def _led(doubt: Doubt, words: Words) -> Doubt:
    leads = tuple(_leads(doubt, words))
    # From where the outlines are clear, words do nothing; they do all they can at a stack.
    open_share = (craft.ORDER_DOUBTFUL - doubt.share) / (
        craft.ORDER_DOUBTFUL - craft.STACK_BESIDE_TALL
    )
    pull = sum(lead.pull for lead in leads) * min(open_share, 1.0)
    if not leads or pull == 0:
        return doubt._replace(leads=leads)
    odds = math.log(doubt.share / (1 - doubt.share)) + pull
    # What a millimetre could change is not counted on.
    hedge = min(abs(pull), craft.LEAD_HEDGE)
    sure = 1 / (1 + math.exp(-max(abs(odds) - hedge, 0.0)))
    sure = min(sure, craft.ORDER_SURE)
    if odds >= 0:
        return doubt._replace(share=sure, leads=leads)
    turned = tuple(lead._replace(pull=-lead.pull) for lead in leads)
    return Doubt(sure, doubt.rival, doubt.order, doubt.why, turned)


def _leads(doubt: Doubt, words: Words) -> Iterator[Lead]:
    """What leads one way or the other where two orders part."""
    steps, other_steps = set(pairwise(doubt.order)), set(pairwise(doubt.rival))
    for one in words.across:
        sign = (one.panels in steps) - (one.panels in other_steps)
        if sign:
            yield Lead(OVER, one.units, one.panels, sign * craft.LEAD_OVER * one.strength)
    place = next(n for n, key in enumerate(doubt.order) if key != doubt.rival[n])
    mine, theirs = doubt.order[place], doubt.rival[place]
    here, there = words.first.get(mine), words.first.get(theirs)
    if here is None or there is None:
        if here is not None or there is not None:
            pull = craft.LEAD_SILENT * (1 if there is None else -1)
            yield Lead(SILENT, (), (mine, theirs) if here is None else (theirs, mine), pull)
        return
    before = next((words.last[k] for k in reversed(doubt.order[:place]) if k in words.last), None)
    start = before[1] if before else Box(*words.start, *words.start)
    near = craft.LEAD_NEAR_POINTS
    odds = math.log((_gap(start, there[1]) + near) / (_gap(start, here[1]) + near))
    pull = max(min(odds, 1.0), -1.0) * craft.LEAD_NEARER
    to = (theirs, mine) if pull > 0 else (mine, theirs)
    units = ((before[0],) if before else ()) + ((here[0],) if pull > 0 else (there[0],))
    if pull:
        yield Lead(NEARER, units, to, pull)


def _gap(one: Box, other: Box) -> float:
    """The least distance between two boxes, 0 where they meet."""
    wide = max(one.left - other.right, other.left - one.right, 0.0)
    high = max(one.top - other.bottom, other.top - one.bottom, 0.0)
    return math.hypot(wide, high)


def words_of(
    page: LetteredPage,
    plan: PagePlan,
    reading: Reading,
    ordered: Mapping[int, Sequence[tuple[PlacedUnit, Box]]],
) -> Words:
    """What the words of a page tell. `ordered` has the units of each panel in the order in which
    they are read, each with the box that it is read by."""
    mirrored = reading is Reading.RIGHT_TO_LEFT
    around = union_box(panel.box for panel in plan.panels) or page.format.live
    start = Point(around.right if mirrored else around.left, around.top)
    spoken = {
        number: [(unit.id, box) for unit, box in units if unit.kind != "effect"]
        for number, units in ordered.items()
    }
    return Words(
        {number: units[0] for number, units in spoken.items() if units},
        {number: units[-1] for number, units in spoken.items() if units},
        tuple(_across(page.units, plan, mirrored)),
        start,
    )


def _across(units: Sequence[PlacedUnit], plan: PagePlan, mirrored: bool) -> Iterator[Across]:
    """Every balloon, or balloons of one contour, that lies over two panels."""
    for group in _contours(units):
        body = [part for unit in group for part in form_of(unit).body]
        around = union_box(box_of(part) for part in body)
        if around is None:
            continue
        parts = [
            (panel, shared.box)
            for panel in plan.panels
            if panel.box.meets(around) and (shared := common(body, polygons(panel.shape)))
        ]
        for one, other in combinations(parts, 2):
            if not _holds(one[0], other[0]):
                yield from _between(group, one, other, mirrored)


def _contours(units: Iterable[PlacedUnit]) -> Iterator[list[PlacedUnit]]:
    """Units that share a contour, together; without effects, whose letters are drawn into the
    art."""
    groups: dict[str, list[PlacedUnit]] = {}
    for unit in units:
        if unit.kind != "effect":
            groups.setdefault(unit.joined[0] if unit.joined else unit.id, []).append(unit)
    yield from groups.values()


def _holds(one: PanelPlan, other: PanelPlan) -> bool:
    """True where one of two panels lies in the other: there is no gutter between them."""
    slack = craft.PANEL_OVERLAP_POINTS
    return one.box.contains(other.box, slack) or other.box.contains(one.box, slack)


def _between(
    group: Sequence[PlacedUnit],
    one: tuple[PanelPlan, Box],
    other: tuple[PanelPlan, Box],
    mirrored: bool,
) -> Iterator[Across]:
    """The way that a body takes from its part in one panel to that in another."""
    dx = other[1].center.x - one[1].center.x
    dy = other[1].center.y - one[1].center.y
    level = abs(dx) >= abs(dy)
    depth = min((one[1].width, other[1].width) if level else (one[1].height, other[1].height))
    over = depth - craft.BORDER_SLACK_POINTS
    if over <= 0:
        return
    forward = (dx < 0 if mirrored else dx > 0) if level else dy > 0
    way = (one[0].number, other[0].number) if forward else (other[0].number, one[0].number)
    strength = min(over / craft.LEAD_OVER_POINTS, 1.0)
    yield Across(tuple(unit.id for unit in group), way, strength)
