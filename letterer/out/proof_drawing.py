"""The drawings of the proof: a page's lettering, numbers, eye path, zones and marks as inline SVG.

Lettering is drawn in whole steps of a fiftieth of a point: sharp at four times the printed size,
and half as long as in the files for print.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape
from itertools import pairwise

from letterer.geometry import Box, Path, Point
from letterer.model.plan import PagePlan
from letterer.out.svg import (
    number,
    rounded_steps,
)
from letterer.page.lettered import Layer, LetteredPage, PlacedUnit, Severity, Stroke
from letterer.review.finding import Noticed
from letterer.review.path import EyePath, StopKind, reading_box

STEPS = 50
"""Steps a point of the drawn lettering."""

BADGE_HIGH, BADGE_LETTER, BADGE_GAP = 9.0, 4.4, 0.3
MARK, AROUND = 7.5, 2.5


def lettering(page: LetteredPage) -> str:
    """All units, each as a group; the units' own order is the order in which they are drawn."""
    return f'<g transform="scale({number(1 / STEPS)})">{"".join(map(_unit, page.units))}</g>'


def _unit(unit: PlacedUnit) -> str:
    clip = clipped = ""
    if unit.clip:
        clip = f'<clipPath id="clip{unit.id}"><path d="{_data(unit.clip)}"/></clipPath>'
        clipped = f' clip-path="url(#clip{unit.id})"'
    return f"{clip}<g{clipped}>{''.join(map(_layer, unit.layers()))}</g>"


def _layer(layer: Layer) -> str:
    lined = _lined(layer.stroke) if layer.stroke else ""
    return f'<path fill="{layer.fill or "none"}"{lined} d="{_data(layer.path)}"/>'


def _lined(stroke: Stroke) -> str:
    dash = ""
    if stroke.dash:
        lengths = ",".join(number(length * STEPS) for length in stroke.dash)
        dash = f' stroke-dasharray="{lengths}" stroke-linecap="round"'
    join = "miter" if stroke.mitred else "round"
    width = number(stroke.width * STEPS)
    return f' stroke="{stroke.color}" stroke-width="{width}" stroke-linejoin="{join}"{dash}'


def _data(path: Path) -> str:
    """A path in whole steps, relative."""
    parts: list[str] = []
    for verb, here, ends in rounded_steps(path, STEPS):
        if verb == "Z":
            parts.append("z")
        elif verb == "M":
            parts.append("M" + _joined(ends[0]))
        else:
            moves = (v for x, y in ends for v in (x - here[0], y - here[1]))
            parts.append(verb.lower() + _joined(moves))
    return "".join(parts)


def _joined(values: Iterable[int]) -> str:
    text = ""
    for value in values:
        text += str(value) if not text or value < 0 else f" {value}"
    return text


def numbers(page: LetteredPage) -> str:
    """Each unit's number, at its balloon, off all words where it can be, and within the page."""
    made = []
    inks = [unit.ink for unit in page.units]
    for unit in page.units:
        wide = BADGE_LETTER * len(unit.id) + 4
        place = _beside(reading_box(unit), wide, inks, page.format.bleed)
        inks.append(place)
        left, top = place.left, place.top
        made.append(
            f'<rect x="{number(left)}" y="{number(top)}" width="{number(wide)}"'
            f' height="{number(BADGE_HIGH)}" rx="2"/><text x="{number(left + wide / 2)}"'
            f' y="{number(top + BADGE_HIGH * 0.78)}">{unit.id}</text>'
        )
    return "".join(made)


def _beside(body: Box, wide: float, taken: Sequence[Box], room: Box) -> Box:
    """Where a number stands: above the body if that is free, else beside or below it."""
    above, middle = body.top - BADGE_HIGH - BADGE_GAP, body.center.y - BADGE_HIGH / 2
    corners = [
        (body.left, above),
        (body.right - wide, above),
        (body.left - wide - BADGE_GAP, middle),
        (body.right + BADGE_GAP, middle),
        (body.left, body.bottom + BADGE_GAP),
        (body.right - wide, body.bottom + BADGE_GAP),
    ]
    places = []
    for x, y in corners:
        left = min(max(x, room.left), room.right - wide)
        top = min(max(y, room.top), room.bottom - BADGE_HIGH)
        places.append(Box(left, top, left + wide, top + BADGE_HIGH))
    free = (place for place in places if not any(place.meets(box) for box in taken))
    return next(free, places[0])


def eye_way(path: EyePath, page: int) -> str:
    """The way of the eye: a line through words, faces and what is to be found, with arrows."""
    stops = [stop for stop in path.stops if stop.kind is not StopKind.PANEL]
    if len(stops) < 2:
        return ""
    through = " ".join(f"{number(stop.at.x)},{number(stop.at.y)}" for stop in stops)
    arrow = (
        f'<marker id="arrow{page}" viewBox="0 0 8 8" refX="4" refY="4" markerWidth="5"'
        ' markerHeight="5" orient="auto"><path d="M0 0L8 4L0 8z"/></marker>'
    )
    halves = _halfway([stop.at for stop in stops])
    dots = "".join(
        f'<circle cx="{number(stop.at.x)}" cy="{number(stop.at.y)}"'
        f' r="{"2.6" if stop.kind is StopKind.WORDS else "1.7"}"/>'
        for stop in stops
    )
    return (
        f'{arrow}<polyline class="under" points="{through}"/>'
        f'<polyline points="{halves}" marker-mid="url(#arrow{page})"/>{dots}'
    )


def _halfway(points: Sequence[Point]) -> str:
    """The same way with a corner halfway along each stretch, where its arrow is drawn.

    Stops themselves get an arrow too; their dots cover it.
    """
    told = []
    for at, then in pairwise(points):
        half = at.toward(then, 0.5)
        told += [at, half]
    return " ".join(f"{number(one.x)},{number(one.y)}" for one in [*told, points[-1]])


def zones(plan: PagePlan) -> str:
    """Panels, what is to be kept clear, and what the eye should find, named."""
    made = [f'<path class="panel" d="{_plain(panel.shape)}"/>' for panel in plan.panels]
    for zone in plan.keep_clear:
        made.append(
            f'<path d="{_plain(zone.shape)}"/><text x="{number(zone.box.left + 1.5)}"'
            f' y="{number(zone.box.bottom - 2)}">{escape(zone.name)}</text>'
        )
    made += [
        f'<circle cx="{number(one.at.x)}" cy="{number(one.at.y)}" r="3"/>'
        f'<text x="{number(one.at.x + 5)}" y="{number(one.at.y + 2)}">{escape(one.name)}</text>'
        for one in plan.focus
    ]
    return "".join(made)


def _plain(path: Path) -> str:
    from letterer.out.svg import path_data

    return path_data(path)


def marks(found: Sequence[tuple[int, Noticed]], page: Box) -> str:
    """A frame and a number for each finding, a link to what is said of it."""
    return "".join(_marks(found, page))


def _marks(found: Sequence[tuple[int, Noticed]], page: Box) -> Iterator[str]:
    taken: list[Point] = []
    for at, noticed in found:
        if noticed.at is None:
            continue
        box = noticed.at.grown(AROUND)
        left, top = max(box.left, page.left), max(box.top, page.top)
        wide = min(box.right, page.right) - left
        high = min(box.bottom, page.bottom) - top
        if wide <= 0 or high <= 0:
            continue
        place = Point(
            min(max(left + wide + MARK / 2, page.left + MARK), page.right - MARK),
            min(max(top - MARK / 2, page.top + MARK), page.bottom - MARK),
        )
        while any(place.distance(other) < 2 * MARK for other in taken):
            place = place.shifted(0.0, 2 * MARK + 1)
        taken.append(place)
        kind = "accepted" if noticed.because else noticed.finding.severity.value
        shape = (
            f'<rect class="disc" x="{number(place.x - MARK)}" y="{number(place.y - MARK)}"'
            f' width="{number(2 * MARK)}" height="{number(2 * MARK)}"/>'
            if noticed.finding.severity is Severity.NOTE
            else f'<circle class="disc" cx="{number(place.x)}" cy="{number(place.y)}"'
            f' r="{number(MARK)}"/>'
        )
        frame = (
            f'x="{number(left)}" y="{number(top)}" width="{number(wide)}" height="{number(high)}"'
        )
        yield (
            f'<a id="mark-{at}" class="{kind}" href="#finding-{at}"'
            f' aria-label="{escape(kind)} {at}, on the page">'
            f'<rect class="light" {frame}/><rect class="frame" {frame}/>{shape}'
            f'<text x="{number(place.x)}" y="{number(place.y + 3.2)}">{at}</text></a>'
        )
