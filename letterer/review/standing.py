"""Where units stand: in the live area, in their panels, off faces and off what the eye should find;
and whether their words can be read."""

from __future__ import annotations

import math
from collections.abc import Iterator

from letterer import craft
from letterer.geometry import Box, holds
from letterer.ink.tail_ways import distance_to
from letterer.model.plan import Focus, PanelPlan, Zone
from letterer.page.lettered import PlacedUnit, Severity
from letterer.review.finding import Inspection, Noticed, are_joined, at_point, percent
from letterer.review.frames import is_off
from letterer.review.shapes import (
    Form,
    Polygon,
    common,
    corners,
    enters,
    outside,
    polygons,
)

FAR_OUT = 0.25
"""A unit of which less than this lies in its panel stands somewhere else."""

NIBBLE = 0.03
"""A sound effect of which no more than this lies beyond its panel does not break out of it."""

HAIR = 0.05
"""What lies out by less than this, in points, is drawn on the line."""


def outside_live(look: Inspection) -> Iterator[Noticed]:
    """Words outside the live area, which are hard to read there or are cut off with the trim."""
    live, trim = look.layout.format.live, look.layout.format.trim
    for form in look.forms:
        unit = form.unit
        if not trim.contains(unit.ink, HAIR) and not look.crosses_on_purpose(unit):
            what = f"words lie {_out(look, unit.ink, trim)} of where the page is cut"
            told = (what, f"Move it {_back(look, unit.ink, live)}, into the live area")
            yield look.noticed(Severity.PROBLEM, "cut off", told, form, at=unit.ink)
        elif not live.contains(unit.ink, HAIR) and not look.crosses_on_purpose(unit):
            what = f"words lie {_out(look, unit.ink, live)} of the live area"
            told = (what, f"Move it {_back(look, unit.ink, live)}")
            yield look.noticed(Severity.WARNING, "outside live area", told, form, at=unit.ink)


def _ways(inner: Box, outer: Box) -> list[tuple[float, str, str]]:
    """How far a box sticks out on each side: by what, on which side, and the way back."""
    sides = [
        (outer.left - inner.left, "left", "right"),
        (inner.right - outer.right, "right", "left"),
        (outer.top - inner.top, "above", "down"),
        (inner.bottom - outer.bottom, "below", "up"),
    ]
    return [side for side in sides if side[0] > HAIR]


def _out(look: Inspection, inner: Box, outer: Box) -> str:
    told = {"left": "left", "right": "right", "above": "over the top", "below": "below the foot"}
    return " and ".join(f"{look.length(by)} {told[side]}" for by, side, _ in _ways(inner, outer))


def _back(look: Inspection, inner: Box, outer: Box) -> str:
    return " and ".join(f"{look.length(by)} {way}" for by, _, way in _ways(inner, outer))


def covered(look: Inspection) -> Iterator[Noticed]:
    """Zones to keep clear and focus points that lettering covers."""
    for form in look.forms:
        for zone in look.plan.keep_clear:
            yield from _covers(look, form, zone)
        for focus in look.plan.focus:
            if any(holds(part, focus.at) for part in form.body):
                yield _covers_focus(look, form, focus)
        yield from _necks_cover(look, form)


def _necks_cover(look: Inspection, form: Form) -> Iterator[Noticed]:
    """Zones and focus points that a contour covers where neither its balloons nor its tails do: the
    neck between two of them. `form` is the first unit, which has the contour."""
    if not form.unit.joined or form.unit.outline is None:
        return
    group = [one for one in look.forms if one.unit.id in form.unit.joined]
    contour = polygons(form.unit.outline)
    things = [(zone.name, polygons(zone.shape)) for zone in look.plan.keep_clear]
    things += [(focus.name, [corners(at_point(focus.at))]) for focus in look.plan.focus]
    for name, thing in things:
        shared = common(contour, thing)
        if shared is None or shared.share < craft.COVER_SHARE_LEAST:
            continue
        if any(common(one.body, thing) for one in group):
            continue  # that balloon is told of
        if any(enters(line, thing) for one in group for line in one.tails):
            continue  # tails have a check of their own
        what = f"the neck between {' and '.join(form.unit.joined)} crosses {name}"
        told = (what, 'Move one of them, or write "joined": false')
        yield look.noticed(
            Severity.WARNING, "covers", told, form, at=shared.box, others=form.unit.joined[1:]
        )


def _covers(look: Inspection, form: Form, zone: Zone) -> Iterator[Noticed]:
    if not zone.box.meets(form.box):
        return
    outline = polygons(zone.shape)
    shared = common(form.body, outline)
    if shared is None or shared.share < craft.COVER_SHARE_LEAST:
        return
    grave = shared.share >= craft.COVER_SHARE_GRAVE
    told = (
        f"covers {percent(shared.share)} of {zone.name}, which is to be kept clear",
        look.move_off(form, outline),
    )
    severity = Severity.PROBLEM if grave else Severity.WARNING
    yield look.noticed(severity, "covers", told, form, at=shared.box)


def _covers_focus(look: Inspection, form: Form, focus: Focus) -> Noticed:
    spot = at_point(focus.at)
    mend = look.move_off(form, [corners(spot)])
    told = (f"stands on {focus.name}, which the eye should find", mend)
    return look.noticed(Severity.PROBLEM, "covers", told, form, at=spot)


def over_borders(look: Inspection) -> Iterator[Noticed]:
    """Balloons and captions that cross the border of their panel, or stand in another."""
    trim = look.layout.format.trim
    for form in look.forms:
        unit = form.unit
        panel = look.plan.panel(unit.panel)
        # Words that are cut off are told already, with the same move.
        if panel is None or not trim.contains(unit.ink, HAIR):
            continue
        if look.crosses_on_purpose(unit):
            if unit.kind == "effect" and unit.clip is None and not look.is_over(unit):
                yield from _nibbles(look, form, panel)
            continue
        if is_off(panel, look.layout):  # that is told, and what to mend is the panel
            continue
        frame = polygons(panel.shape)
        grown = panel.box.grown(craft.BORDER_SLACK_POINTS)
        own = 1.0 - outside(form.body, frame)
        if own > 1.0 - HAIR / 10:
            continue
        elsewhere, number = max(
            ((_share_in(form, other), other.number) for other in look.plan.panels),
            default=(0.0, 0),
        )
        if number != panel.number and elsewhere > own and not _is_inset(look, panel, number):
            what = f"stands in panel {number}, and it belongs to panel {panel.number}"
            told = (what, f"Move it into panel {panel.number}, or correct its number")
            yield look.noticed(Severity.PROBLEM, "wrong panel", told, form)
        elif own < FAR_OUT:
            what = f"stands outside panel {panel.number}, to which it belongs"
            told = (what, f"Move it into panel {panel.number}")
            yield look.noticed(Severity.PROBLEM, "wrong panel", told, form)
        elif _reach_out(form, frame, grown):
            sides = _ways(form.box, panel.box)
            back = f"Move it {_back(look, form.box, panel.box)}" if sides else "Move it inward"
            what = f"crosses the border of panel {panel.number}"
            yield look.noticed(Severity.WARNING, "over the border", (what, back), form)


def _nibbles(look: Inspection, form: Form, panel: PanelPlan) -> Iterator[Noticed]:
    """A sound effect that does not break out of its panel, but whose halo wipes away a piece of the
    border: it looks like a slip."""
    frame = polygons(panel.shape)
    if outside(form.body, frame) > NIBBLE:
        return
    widths = [one.stroke.width for one in form.unit.layers() if one.part == "halo" and one.stroke]
    if not widths:
        return
    nearest = -max(
        (min(distance_to(side, at) for side in frame) for part in form.body for at in part),
        default=-math.inf,
    )
    short = max(widths) / 2 - nearest
    if short > craft.BORDER_SLACK_POINTS:
        what = f"its halo wipes away a piece of the border of panel {panel.number}"
        told = (what, f'Move it {look.length(short)} inward, or write "over": true')
        yield look.noticed(Severity.WARNING, "over the border", told, form)


def _share_in(form: Form, panel: PanelPlan) -> float:
    return 1.0 - outside(form.body, polygons(panel.shape))


def _is_inset(look: Inspection, panel: PanelPlan, number: int) -> bool:
    """True where a panel lies in the other one: what leaves it is in its host, of course."""
    other = look.plan.panel(number)
    return other is not None and other.box.contains(panel.box, craft.PANEL_OVERLAP_POINTS)


def _reach_out(form: Form, frame: list[Polygon], grown: Box) -> bool:
    """True where a body lies out of its panel by more than a border's weight."""
    if not grown.contains(form.box):
        return True
    middle = form.box.center
    slack = craft.BORDER_SLACK_POINTS
    for part in form.body:
        for point in part:
            length = point.distance(middle)
            inward = point.toward(middle, min(slack / length, 1.0)) if length else point
            if not any(holds(side, inward) for side in frame):
                return True
    return False


def sizes(look: Inspection) -> Iterator[Noticed]:
    """Words under the smallest size."""
    floor = look.layout.style.smallest_size
    for form in look.forms:
        if form.unit.size < floor - 1e-6:
            what = f"set at {form.unit.size:.3g} pt; below {floor:g} pt words are hard to read"
            told = (what, f"Give it at least {floor:g} pt, more room, or fewer words")
            yield look.noticed(Severity.WARNING, "small words", told, form)


def contrasts(look: Inspection) -> Iterator[Noticed]:
    """Words too like what is behind them (WCAG 2.1, success criterion 1.4.3)."""
    for form in look.forms:
        unit = form.unit
        grounds = _grounds(look, unit)
        if not grounds:
            continue
        behind = max(grounds, key=lambda ground: contrast(unit.color, ground))
        ratio = contrast(unit.color, behind)
        least = craft.CONTRAST_LARGE if _large(unit) else craft.CONTRAST_LEAST
        if ratio < least:
            what = f"words in {unit.color} on {behind} have a contrast of {ratio:.1f}"
            told = (what, f"Make one darker or the other lighter, to {least:g} or more")
            grave = ratio < craft.CONTRAST_LARGE
            severity = Severity.PROBLEM if grave else Severity.WARNING
            yield look.noticed(severity, "low contrast", told, form)


def _grounds(look: Inspection, unit: PlacedUnit) -> list[str]:
    """The colours that words stand against: their balloon's, or what knocks them out of the art.
    Of several lines round letters the one that tells them best counts. None for bare letters."""
    if unit.fill:
        return [unit.fill]
    shared = [other.fill for other in look.page.units if other.fill and are_joined(unit, other)]
    if shared:
        return shared[:1]
    lines = [layer for layer in unit.layers() if layer.part != "line"]
    return [color for one in lines if (color := one.stroke.color if one.stroke else one.fill)]


def _large(unit: PlacedUnit) -> bool:
    bold = unit.kind == "shout" and unit.size >= craft.CONTRAST_LARGE_BOLD_POINTS
    return unit.size >= craft.CONTRAST_LARGE_POINTS or bold


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two colours #rrggbb, 1 to 21 (WCAG 2.1, "contrast ratio").

    >>> contrast("#000000", "#ffffff"), round(contrast("#777777", "#ffffff"), 3)
    (21.0, 4.478)
    """
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return round((light + 0.05) / (dark + 0.05), 6)


def luminance(color: str) -> float:
    """The relative luminance of a colour #rrggbb, 0 to 1 (WCAG 2.1, "relative luminance")."""
    parts = [int(color[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
