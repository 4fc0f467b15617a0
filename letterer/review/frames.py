"""The panels of the plan: on the page, apart, sound outlines, room for words, mouths within."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from letterer import craft
from letterer.geometry import Point, holds
from letterer.model.plan import Layout, PanelPlan
from letterer.model.ring import ring_fault
from letterer.page.lettered import Severity
from letterer.review.finding import Inspection, Noticed, at_point, percent
from letterer.review.shapes import common, polygons


def misplaced_panels(look: Inspection) -> Iterator[Noticed]:
    """Panels off the page, or running on past the bleed."""
    trim, bleed = look.layout.format.trim, look.layout.format.bleed
    mend = "Check its numbers, and the unit of the layout"
    for panel in look.plan.panels:
        spoken = any(unit.panel == panel.number for unit in look.page.units)
        grave = Severity.PROBLEM if spoken else Severity.WARNING
        if not panel.box.meets(trim):
            told = (f"panel {panel.number} lies outside the page", mend)
            yield look.noticed(grave, "panel off page", told, at=panel.box)
        elif is_off(panel, look.layout):
            told = (f"panel {panel.number} lies partly outside the page", mend)
            yield look.noticed(grave, "panel off page", told, at=panel.box)
        elif not bleed.contains(panel.box, craft.PANEL_OVERLAP_POINTS):
            told = (f"panel {panel.number} runs on past the bleed", "End it where the bleed ends")
            yield look.noticed(Severity.NOTE, "panel off page", told, at=panel.box)


def is_off(panel: PanelPlan, layout: Layout) -> bool:
    """True where so much of a panel lies off the page that its numbers must be wrong."""
    within = panel.box.common(layout.format.bleed).area
    return within < (1 - craft.PANEL_OFF_SHARE) * panel.box.area


def overlapping_panels(look: Inspection) -> Iterator[Noticed]:
    """Panels that overlap, and are neither insets nor only sharing a border."""
    for one, other in combinations(look.plan.panels, 2):
        if not one.box.meets(other.box):
            continue
        small, large = sorted((one, other), key=lambda panel: panel.box.area)
        shared = common(polygons(large.shape), polygons(small.shape))
        if shared is None or shared.share >= craft.INSET_SHARE:
            continue
        if min(shared.box.width, shared.box.height) <= craft.PANEL_OVERLAP_POINTS:
            continue
        grave = shared.share > craft.PANEL_OVERLAP_SHARE
        numbers = sorted((one.number, other.number))
        share = percent(shared.share)
        what = f"panels {numbers[0]} and {numbers[1]} overlap by {share} of the smaller"
        told = (what, "Check their numbers; if it is meant so, accept it")
        yield look.noticed(
            Severity.WARNING if grave else Severity.NOTE, "panels overlap", told, at=shared.box
        )


def unsound_panels(look: Inspection) -> Iterator[Noticed]:
    """Outlines that cross themselves; a layout file with one is not read, a plan made by a program
    may hold one."""
    for panel in look.plan.panels:
        fault = ring_fault(_ring(panel))
        if fault:
            told = (f"the outline of panel {panel.number} {fault}", "Put its corners in order")
            yield look.noticed(Severity.PROBLEM, "panel crosses itself", told, at=panel.box)


def _ring(panel: PanelPlan) -> list[Point]:
    points = panel.shape.flattened()[0]
    return points[:-1] if points[0] == points[-1] else points


def small_panels(look: Inspection) -> Iterator[Noticed]:
    """Panels with words, too small for any word at the smallest size, or for one of theirs."""
    least = tuple(side * look.layout.style.smallest_size for side in craft.PANEL_LEAST_EM)
    for panel in look.plan.panels:
        here = [form for form in look.forms if form.unit.panel == panel.number]
        here = [form for form in here if not look.crosses_on_purpose(form.unit)]
        wide, high = panel.box.width, panel.box.height
        if here and (wide < least[0] or high < least[1]):
            what = f"panel {panel.number} is too small for any word"
            told = (what, "Make it larger, or move its words to the next panel")
            yield look.noticed(Severity.PROBLEM, "panel too small", told, at=panel.box)
            continue
        for form in here:
            if form.box.width > wide or form.box.height > high:
                side = "wider" if form.box.width > wide else "higher"
                what = f"is {side} than panel {panel.number}"
                told = (what, "Cut words, set them smaller, or make the panel larger")
                yield look.noticed(Severity.WARNING, "panel too small", told, form)


def stray_mouths(look: Inspection) -> Iterator[Noticed]:
    """Mouths that lie outside the panel they are planned in."""
    for panel in look.plan.panels:
        if is_off(panel, look.layout):
            continue
        outline = polygons(panel.shape)
        for name, mouth in panel.mouths.items():
            to_middle = min(craft.BORDER_SLACK_POINTS / max(mouth.distance(panel.box.center), 1), 1)
            inward = mouth.toward(panel.box.center, to_middle)
            if any(holds(part, inward) for part in outline):
                continue
            told = (f"the mouth of {name} lies outside panel {panel.number}", "Check its numbers")
            yield look.noticed(Severity.WARNING, "mouth off panel", told, at=at_point(mouth))
