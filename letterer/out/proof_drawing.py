"""The drawings of the proof: a page's lettering, numbers, eye path, zones and marks as inline SVG.

Lettering is drawn in whole steps of a fiftieth of a point: sharp at four times the printed size,
and half as long as in the files for print.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from itertools import pairwise
from typing import NamedTuple

from letterer.geometry import Box, Path, Point
from letterer.model.plan import PagePlan
from letterer.out.svg import number, path_data, steps_data
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
    return steps_data(path, STEPS, str)


def badges(page: LetteredPage, by: float = 1.0) -> list[tuple[Box, str]]:
    """Each unit's number and the box it stands in: at its balloon, off all words where it can be,
    and within the page; `by` makes them larger."""
    made: list[tuple[Box, str]] = []
    inks = [unit.ink for unit in page.units]
    for unit in page.units:
        size = ((BADGE_LETTER * len(unit.id) + 4) * by, BADGE_HIGH * by)
        place = _beside(reading_box(unit), size, inks, page.format.bleed)
        inks.append(place)
        made.append((place, unit.id))
    return made


def numbers(page: LetteredPage) -> str:
    """Each unit's number at its balloon."""
    return "".join(
        f'<rect x="{number(box.left)}" y="{number(box.top)}" width="{number(box.width)}"'
        f' height="{number(BADGE_HIGH)}" rx="2"/><text x="{number(box.center.x)}"'
        f' y="{number(box.top + BADGE_HIGH * 0.78)}">{id}</text>'
        for box, id in badges(page)
    )


def _beside(body: Box, size: tuple[float, float], taken: Sequence[Box], room: Box) -> Box:
    """Where a number stands: above the body if that is free, else beside or below it."""
    wide, high = size
    above, middle = body.top - high - BADGE_GAP, body.center.y - high / 2
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
        top = min(max(y, room.top), room.bottom - high)
        places.append(Box(left, top, left + wide, top + high))
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
    made = [f'<path class="panel" d="{path_data(panel.shape)}"/>' for panel in plan.panels]
    for zone in plan.keep_clear:
        made.append(
            f'<path d="{path_data(zone.shape)}"/><text x="{number(zone.box.left + 1.5)}"'
            f' y="{number(zone.box.bottom - 2)}">{escape(zone.name)}</text>'
        )
    made += [
        f'<circle cx="{number(one.at.x)}" cy="{number(one.at.y)}" r="3"/>'
        f'<text x="{number(one.at.x + 5)}" y="{number(one.at.y + 2)}">{escape(one.name)}</text>'
        for one in plan.focus
    ]
    return "".join(made)


class Mark(NamedTuple):
    """A finding as it is marked on the page: its number, "problem" to "note" or "accepted", whether
    its sign is a square, the box it is about, and where its sign stands."""

    number: int
    kind: str
    square: bool
    frame: Box
    place: Point


def marked(
    found: Sequence[tuple[int, Noticed]], page: Box, off: Sequence[Box] = (), by: float = 1.0
) -> Iterator[Mark]:
    """The marks of findings that have a place on the page. Signs stand at a corner of what they are
    about, off one another and off these boxes where they can be; `by` makes them larger."""
    taken = list(off)
    for at, noticed in found:
        if noticed.at is None:
            continue
        frame = noticed.at.grown(AROUND).common(page)
        if frame.width <= 0 or frame.height <= 0:
            continue
        sign = _sign(frame, MARK * by, taken, page)
        taken.append(sign)
        kind = "accepted" if noticed.because else noticed.finding.severity.value
        yield Mark(at, kind, noticed.finding.severity is Severity.NOTE, frame, sign.center)


def _sign(frame: Box, half: float, taken: Sequence[Box], page: Box) -> Box:
    """Where a sign stands: at the frame's top right if that is free, else at another corner of it,
    else below the first."""
    places = []
    for x, y in (
        (frame.right + half / 2, frame.top - half / 2),
        (frame.right + half / 2, frame.bottom + half / 2),
        (frame.left - half / 2, frame.bottom + half / 2),
        (frame.left - half / 2, frame.top - half / 2),
    ):
        x = min(max(x, page.left + half), page.right - half)
        y = min(max(y, page.top + half), page.bottom - half)
        places.append(Box(x - half, y - half, x + half, y + half))
    free = (place for place in places if not any(place.meets(box) for box in taken))
    found = next(free, None)
    if found is None:
        found = places[0]
        while any(found.meets(box) for box in taken):
            found = found.shifted(0.0, 2 * half)
    return found


def marks(found: Sequence[tuple[int, Noticed]], page: Box, off: Sequence[Box] = ()) -> str:
    """A frame and a number for each finding, a link to what is said of it."""
    return "".join(map(_mark, marked(found, page, off)))


def _mark(mark: Mark) -> str:
    x, y, box = mark.place.x, mark.place.y, mark.frame
    disc = (
        f'<rect class="disc" x="{number(x - MARK)}" y="{number(y - MARK)}"'
        f' width="{number(2 * MARK)}" height="{number(2 * MARK)}"/>'
        if mark.square
        else f'<circle class="disc" cx="{number(x)}" cy="{number(y)}" r="{number(MARK)}"/>'
    )
    frame = (
        f'x="{number(box.left)}" y="{number(box.top)}" width="{number(box.width)}"'
        f' height="{number(box.height)}"'
    )
    return (
        f'<a id="mark-{mark.number}" class="{mark.kind}" href="#finding-{mark.number}"'
        f' aria-label="{escape(mark.kind)} {mark.number}, on the page">'
        f'<rect class="light" {frame}/><rect class="frame" {frame}/>{disc}'
        f'<text x="{number(x)}" y="{number(y + 3.2)}">{mark.number}</text></a>'
    )
