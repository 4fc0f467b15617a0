"""A page with its findings marked: a number beside what each concerns, and under the page what each
number says.

Problems are dark discs, warnings are white discs with a thick rim, notes are small squares, and
what is accepted is grey: shape tells them apart as well as colour.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import replace

from letterer.geometry import Box, Path, Point, polygon, rectangle
from letterer.model.plan import PageFormat, PagePlan
from letterer.out.labels import lined, written
from letterer.out.sheet import LABEL_EM, LABEL_LEADING, LABEL_SIZE, Sheet
from letterer.page.lettered import LetteredPage, PlacedUnit, Severity, Stroke
from letterer.review.finding import Noticed
from letterer.text.faces import FaceLibrary

DARK, ACCEPTED, WHITE = "#9c1f3c", "#7a7a7a", "#ffffff"
RADIUS = 6.0
DIGIT_SIZE = 7.5
DIGIT_DROP = 0.33
"""How far below a mark's middle the baseline of its number lies, as a share of its size."""

AROUND_WHITE, AROUND = Stroke(2.2, WHITE), 1.0
"""The frame round what is meant is dark on white, to be seen on light art and on dark."""

PAD = 3.0
MARGIN = 14.0
ROW_GAP = 4.0
TEXT_LEFT = 18.0
PANEL_LINE = Stroke(0.5, "#b0b0b0")
ZONE_LINE = Stroke(0.5, "#b0b0b0", (2.0, 2.0))
"""Where there is no art yet, its panels and zones show where things will be."""

CORNERS = 24


def marked_page(
    page: LetteredPage,
    plan: PagePlan,
    told: Sequence[tuple[Noticed, str]],
    faces: FaceLibrary,
    first: int = 1,
) -> Sheet:
    """A page over its art, marked. `told` are its findings in the order they are numbered from
    `first`, each with what is written under the page."""
    region = page.format.bleed
    units: list[PlacedUnit] = []
    if plan.art is None:
        units += [_framed(rectangle(page.format.trim), PANEL_LINE)]
        units += [_framed(panel.shape, PANEL_LINE) for panel in plan.panels]
        units += [lined("keep clear", zone.name, zone.shape, ZONE_LINE) for zone in plan.keep_clear]
    units += page.units
    taken: list[Point] = []
    words = [box for unit in page.units for line in unit.lines if (box := line.box())]
    frames: list[PlacedUnit] = []
    marks: list[PlacedUnit] = []
    for number, (noticed, _) in enumerate(told, first):
        if noticed.at is None:
            continue
        frames += _frame(noticed, region)
        place = _free(noticed.at, region, words, taken)
        taken.append(place)
        marks += _mark(noticed, number, place, faces)
    units += frames + marks
    bottom = region.bottom + MARGIN
    letters = int((region.width - TEXT_LEFT) / (LABEL_SIZE * LABEL_EM))
    for number, (noticed, said) in enumerate(told, first):
        units += _mark(noticed, number, Point(region.left + RADIUS, bottom + RADIUS), faces)
        for line in textwrap.wrap(said, letters):
            base = Point(region.left + TEXT_LEFT, bottom + RADIUS + LABEL_SIZE * DIGIT_DROP)
            units.append(written(line, base, LABEL_SIZE, faces))
            bottom += LABEL_LEADING
        bottom += ROW_GAP
    if not told:
        base = Point(region.left, bottom + LABEL_SIZE)
        units.append(written("Nothing to mend on this page.", base, LABEL_SIZE, faces))
        bottom += LABEL_LEADING
    whole = Box(region.left - MARGIN, region.top - MARGIN, region.right + MARGIN, bottom + MARGIN)
    numbered = [replace(unit, id=f"{place}-{unit.id}") for place, unit in enumerate(units, 1)]
    drawn = LetteredPage(page.number, PageFormat(whole, whole, whole), tuple(numbered))
    pictures = () if plan.art is None else ((plan.art, region, region),)
    return Sheet(f"Page {page.number}, looked over", drawn, pictures, ())


def _framed(path: Path, stroke: Stroke) -> PlacedUnit:
    return lined("frame", "panel", path, stroke)


def _color(noticed: Noticed) -> str:
    return ACCEPTED if noticed.because else DARK


def _frame(noticed: Noticed, region: Box) -> Iterator[PlacedUnit]:
    assert noticed.at is not None
    at = noticed.at.grown(PAD)
    box = Box(
        max(at.left, region.left),
        max(at.top, region.top),
        min(at.right, region.right),
        min(at.bottom, region.bottom),
    )
    if box.area == 0:
        return
    kind = noticed.finding.kind
    yield lined("frame", kind, rectangle(box), AROUND_WHITE)
    yield lined("frame", kind, rectangle(box), Stroke(AROUND, _color(noticed)))


def _free(at: Box, region: Box, words: Sequence[Box], taken: Sequence[Point]) -> Point:
    """A place for a mark at a corner of what it concerns, off words and other marks."""
    step = 2 * RADIUS + 1.5
    room = region.grown(-RADIUS)
    corners = [
        Point(x, y)
        for y in (at.top - PAD, at.bottom + PAD)
        for x in (at.right + PAD, at.left - PAD)
    ]
    places = [
        Point(
            min(max(corner.x + ring * step * math.cos(turn), room.left), room.right),
            min(max(corner.y + ring * step * math.sin(turn), room.top), room.bottom),
        )
        for ring in range(4)
        for corner in corners
        for turn in ([math.tau * part / (6 * ring) for part in range(6 * ring)] or [0.0])
    ]

    def clear(place: Point) -> bool:
        return all(place.distance(other) >= step - 1 for other in taken)

    def reads(place: Point) -> bool:
        mark = Box(place.x, place.y, place.x, place.y).grown(RADIUS)
        return not any(mark.meets(line) for line in words)

    best = (place for place in places if clear(place) and reads(place))
    return next(best, next((place for place in places if clear(place)), corners[0]))


def _mark(noticed: Noticed, number: int, at: Point, faces: FaceLibrary) -> Iterator[PlacedUnit]:
    severity = noticed.finding.severity
    color = _color(noticed)
    solid = severity is Severity.PROBLEM
    if severity is Severity.NOTE:
        shape = rectangle(Box(at.x, at.y, at.x, at.y).grown(RADIUS * 0.9))
    else:
        shape = disc(at, RADIUS)
    rim = Stroke(0.8 if severity is Severity.NOTE else 1.6, WHITE if solid else color)
    body = lined("mark", f"{severity.value} {number}", shape, rim)
    yield replace(body, fill=color if solid else WHITE)
    digits = written(str(number), Point(0.0, 0.0), DIGIT_SIZE, faces, bold=True)
    middle = digits.ink.center
    moved = digits.shifted(at.x - middle.x, at.y - middle.y)
    yield replace(moved, color=WHITE if solid else color)


def disc(at: Point, radius: float) -> Path:
    """A disc as a polygon."""
    return polygon(
        at.shifted(
            radius * math.cos(2 * math.pi * turn / CORNERS),
            radius * math.sin(2 * math.pi * turn / CORNERS),
        )
        for turn in range(CORNERS)
    )
