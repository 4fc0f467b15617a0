"""A contact sheet: choices side by side, each at true size over its piece of the art, numbered.

The sheet is itself a display list, so the page writers draw it: as SVG, as PNG, or as one HTML file
that needs nothing else. Labels are set in a bundled face and drawn as outlines.
"""

from __future__ import annotations

import base64
import io
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from html import escape
from typing import Any, NamedTuple

from letterer.fit.oval import Oval
from letterer.geometry import Box, Point, polygon, rectangle, union_box
from letterer.model.plan import Art, PageFormat
from letterer.out.art import piece_of, read_art
from letterer.out.labels import lined, written
from letterer.out.png import encode_png
from letterer.out.raster import composed
from letterer.out.svg import Picture, svg_page
from letterer.page.choices import Choice
from letterer.page.effect_looks import look_told
from letterer.page.lettered import LetteredPage, PlacedUnit, Stroke
from letterer.page.unit import Job
from letterer.text.faces import FaceLibrary

LABEL_SIZE, HEADING_SIZE, NUMBER_SIZE = 7.5, 9.5, 12.0
LABEL_LEADING, HEADING_LEADING = 10.0, 1.8
LABEL_EM = 0.5
"""About how wide a letter of a label is, to know how many go on a line."""

FRAME_COLOR = "#909090"
ZONE_STROKES = (Stroke(0.8, "#ffffff"), Stroke(0.4, "#303030", (2.0, 2.0)))
"""A zone's frame is dark dashes on white, to be seen on light art and on dark."""

ZONES_TOLD = "Dashed frames: zones to keep clear."
NUMBER_WIDTH = 20.0
MARGIN, GAP = 18.0, 16.0
AROUND = 22.0
"""Points of art shown round the largest choice."""

CELL_LEAST = 150.0
SHEET_WIDTH = 640.0
ART_DPI = 150
TOLERANCE = 0.1
"""A zone's outline is drawn as a polygon this near to it, in points."""


class Group(NamedTuple):
    """The choices of one unit, under a heading; `note` says what is particular about it."""

    heading: str
    note: str
    job: Job
    choices: Sequence[Choice]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A contact sheet: what is drawn, and what is said of each choice, unit by unit.

    `pictures` are pieces of art: the art, the region of its page, and where on the sheet it lies.
    `labels` are those of `choices`, in the same order. `remarks` are for the person who asked.
    """

    title: str
    page: LetteredPage
    pictures: tuple[tuple[Art, Box, Box], ...]
    groups: tuple[Group, ...]
    remarks: tuple[str, ...] = ()

    @property
    def choices(self) -> tuple[Choice, ...]:
        """Every choice, by its number."""
        return tuple(choice for group in self.groups for choice in group.choices)

    @property
    def labels(self) -> tuple[tuple[str, ...], ...]:
        """What is said of each choice."""
        return tuple(label(group.job, choice) for group in self.groups for choice in group.choices)


def choice_sheet(title: str, groups: Sequence[Group], faces: FaceLibrary) -> Sheet:
    """A sheet of the choices of one or several units."""
    units: list[PlacedUnit] = []
    pictures: list[tuple[Art, Box, Box]] = []
    top, widest, zones = MARGIN, CELL_LEAST + 2 * MARGIN, False
    for group in groups:
        for words, size in ((group.heading, HEADING_SIZE), (group.note, LABEL_SIZE)):
            if words:
                head = written(words, Point(MARGIN, top + size), size, faces, size > LABEL_SIZE)
                units.append(head)
                widest = max(widest, head.ink.right + MARGIN)
                top += size * HEADING_LEADING
        region = _region(group.job, group.choices)
        cell = max(region.width, CELL_LEAST)
        columns = max(int((SHEET_WIDTH - 2 * MARGIN + GAP) // (cell + GAP)), 1)
        across = min(columns, len(group.choices))
        widest = max(widest, across * (cell + GAP) - GAP + 2 * MARGIN)
        shown = _zones(group.job, region)
        zones = zones or bool(shown)
        for begin in range(0, len(group.choices), columns):
            rows = 1
            for column, choice in enumerate(group.choices[begin : begin + columns]):
                left = MARGIN + column * (cell + GAP)
                dx, dy = left - region.left, top - region.top
                if group.job.plan.art is not None:
                    pictures.append((group.job.plan.art, region, region.shifted(dx, dy)))
                frame = lined("frame", f"choice {choice.number}", rectangle(region), FRAME)
                drawn = (frame, *shown, choice.unit)
                units += [unit.shifted(dx, dy) for unit in drawn]
                told = _wrapped(label(group.job, choice), cell - NUMBER_WIDTH)
                units += _label(told, Point(left, top + region.height), choice.number, faces)
                rows = max(rows, len(told))
            top += region.height + NUMBER_SIZE + LABEL_LEADING * (rows - 1) + GAP
        top += GAP / 2
    if zones:
        units.append(written(ZONES_TOLD, Point(MARGIN, top), LABEL_SIZE, faces))
        widest = max(widest, units[-1].ink.right + MARGIN)
        top += GAP
    page = Box(0.0, 0.0, widest, top - GAP + MARGIN)
    numbered = [replace(unit, id=f"{place}-{unit.id}") for place, unit in enumerate(units, 1)]
    lettered = LetteredPage(1, PageFormat(page, page, page), tuple(numbered))
    return Sheet(title, lettered, tuple(pictures), tuple(groups))


FRAME = Stroke(0.5, FRAME_COLOR)


def label(job: Job, choice: Choice) -> tuple[str, ...]:
    """What a person needs to choose: size, measures, share of the panel, and what it bends."""
    unit, measure = choice.unit, job.layout.measure
    shape = unit.shape or unit.ink
    body = shape.box if isinstance(shape, Oval) else shape
    wide, high = (_plain(measure.written(side), measure.unit) for side in (body.width, body.height))
    lines = f"{len(unit.breaks)} line" + ("s" if len(unit.breaks) != 1 else "")
    told = [f"{unit.kind}, {unit.size:.3g} pt, {lines}", f"{wide} × {high} {measure.unit}"]
    if choice.share:
        share = f"{choice.share:.0%}" if choice.share >= 0.005 else "less than 1%"
        told[-1] += f", {share} of the panel"
    if look := look_told(choice.keys.get("effect")):
        told.append(look)
    told += [f"{'and' if place else 'but'} {bend}" for place, bend in enumerate(choice.bends)]
    return tuple(told)


def _plain(value: float, unit: str) -> str:
    digits = {"in": 2, "mm": 1}.get(unit, 0)
    return f"{value:.{digits}f}"


def _wrapped(told: Iterable[str], width: float) -> list[str]:
    """Lines of a label, none much wider than it may be."""
    letters = int(width / (LABEL_SIZE * LABEL_EM))
    return [line for words in told for line in textwrap.wrap(words, letters)]


def _region(job: Job, found: Sequence[Choice]) -> Box:
    """The piece of the page that is shown: round every choice, its mouths and the zones that one
    covers, within the panel."""
    around = union_box(choice.unit.box for choice in found)
    assert around is not None
    mouths = [tail.mouth for choice in found for tail in choice.unit.tails]
    bends = {bend for choice in found for bend in choice.bends}
    covered = [zone.box for zone in job.plan.keep_clear if f"covers {zone.name}" in bends]
    spoken = union_box([around, *covered, *(Box(x, y, x, y) for x, y in mouths)])
    assert spoken is not None
    shown = spoken.grown(AROUND)
    if job.panel is None:
        more = max(CELL_LEAST - shown.width, 0.0) / 2
        return Box(shown.left - more, shown.top, shown.right + more, shown.bottom)
    panel = job.panel.box
    return Box(
        min(max(shown.left, panel.left), around.left),
        min(max(shown.top, panel.top), around.top),
        max(min(shown.right, panel.right), around.right),
        max(min(shown.bottom, panel.bottom), around.bottom),
    )


def _zones(job: Job, region: Box) -> list[PlacedUnit]:
    """The zones to keep clear, as far as they lie in a region."""
    drawn: list[PlacedUnit] = []
    for zone in job.plan.keep_clear:
        for contour in zone.shape.flattened(TOLERANCE):
            inside = clipped(contour, region)
            if len(inside) > 2:
                outline = polygon(inside)
                drawn += [lined("keep clear", zone.name, outline, line) for line in ZONE_STROKES]
    return drawn


def clipped(points: Sequence[Point], box: Box) -> list[Point]:
    """The part of a polygon that lies in a box, by Sutherland and Hodgman's method (Reentrant
    polygon clipping, 1974): one side of the box after another.

    >>> clipped([Point(0, 0), Point(4, 0), Point(0, 4)], Box(0, 0, 2, 9))
    [Point(x=0, y=0), Point(x=2.0, y=0.0), Point(x=2.0, y=2.0), Point(x=0, y=4)]
    """
    kept = list(points)
    for axis, side, sign in (
        (0, box.left, 1),
        (0, box.right, -1),
        (1, box.top, 1),
        (1, box.bottom, -1),
    ):
        beyond = [(point[axis] - side) * sign for point in kept]
        found: list[Point] = []
        for place, point in enumerate(kept):
            before, depth, here = kept[place - 1], beyond[place - 1], beyond[place]
            if (depth >= 0) != (here >= 0):
                found.append(before.toward(point, depth / (depth - here)))
            if here >= 0:
                found.append(point)
        kept = found
    return kept


def _label(told: Sequence[str], at: Point, number: int, faces: FaceLibrary) -> list[PlacedUnit]:
    """The number of a choice, large, and beside it what is said of it."""
    base = at.shifted(0.0, NUMBER_SIZE)
    units = [written(str(number), base, NUMBER_SIZE, faces, bold=True)]
    for row, words in enumerate(told):
        start = base.shifted(NUMBER_WIDTH, row * LABEL_LEADING)
        units.append(written(words, start, LABEL_SIZE, faces))
    return units


def sheet_svg(sheet: Sheet) -> str:
    """The sheet as SVG with its pieces of art inside. Raises LettererError."""
    held: dict[int, str] = {}
    pictures = []
    for piece, place in _pieces(sheet, ART_DPI):
        if id(piece) not in held:
            held[id(piece)] = _as_text(piece)
        pictures.append(Picture(place, held[id(piece)]))
    return svg_page(sheet.page, pictures, sheet.title)


def _as_text(piece: Any) -> str:
    """A Pillow image as PNG in base64; without colours when it has none."""
    red, green, blue = (band.tobytes() for band in piece.split())
    packed = io.BytesIO()
    (piece.convert("L") if red == green == blue else piece).save(packed, "PNG")
    return base64.b64encode(packed.getvalue()).decode()


def sheet_png(sheet: Sheet, dpi: int) -> bytes:
    """The sheet as PNG on white. Raises LettererError."""
    return encode_png(composed(sheet.page, dpi, list(_pieces(sheet, dpi))), dpi)


def _pieces(sheet: Sheet, dpi: float) -> Iterator[tuple[Any, Box]]:
    """The pieces of art on a sheet, as Pillow images with the boxes they fill; the same piece is
    the same image."""
    opened: dict[Art, Any] = {}
    cut: dict[tuple[Art, Box], Any] = {}
    for art, region, place in sheet.pictures:
        if art not in opened:
            opened[art] = read_art(art.file, 0)
        if (art, region) not in cut:
            cut[art, region] = piece_of(opened[art], art.box, region, dpi)
        yield cut[art, region], place


def sheet_html(sheet: Sheet, command: str = "") -> str:
    """The sheet as one HTML file: the drawing, and under it the same told as lists.

    `command` takes choice 2; it is shown, if given.
    """
    drawing = sheet_svg(sheet).split("?>", 1)[1].split(">", 1)[1].lstrip()
    described = '<svg role="img" aria-label="The choices, drawn; the lists below tell the same."'
    told = [f"<p>{escape(remark)}</p>" for remark in sheet.remarks]
    if command:
        told.append(f"<p>To take choice 2, write: <code>{escape(command)}</code></p>")
    parts = {
        "title": escape(sheet.title),
        "told": "\n".join(told),
        "drawing": drawing.replace("<svg", described, 1),
        "lists": "\n".join(line for group in sheet.groups for line in _listed(group)),
    }
    return HTML.format(**parts)


def _listed(group: Group) -> Iterator[str]:
    language = escape(group.job.layout.language)
    if group.heading:
        yield f"<h2>{escape(group.heading)}</h2>"
    if group.note:
        yield f"<p>{escape(group.note)}</p>"
    yield "<ol>"
    for choice in group.choices:
        told = escape("; ".join(label(group.job, choice)))
        words = "<br>".join(escape(line) for line in choice.unit.breaks)
        yield f'<li value="{choice.number}">{told}'
        yield f'<p lang="{language}" dir="auto">{words}</p></li>'
    yield "</ol>"


HTML_HEAD = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
body {{ margin: 1rem; font: 1rem/1.4 sans-serif; color: #222; background: #fff; }}
h1 {{ font-size: 1.4rem; }}
"""
"""How each page of a sheet begins, up to what is its own."""

HTML = (
    HTML_HEAD
    + """h2 {{ font-size: 1.1rem; }}
.drawing {{ overflow-x: auto; }}
svg {{ border: 1px solid #ccc; }}
ol {{ padding-left: 2.5rem; }}
li::marker {{ font-weight: bold; }}
li p {{ margin: 0 0 .6rem; color: #555; }}
</style>
</head>
<body>
<h1>{title}</h1>
{told}
<div class="drawing" tabindex="0" role="region" aria-label="The drawing, at true size">
{drawing}</div>
{lists}
</body>
</html>
"""
)
