"""A contact sheet: choices side by side, each at true size over its piece of the art, numbered.

The sheet is itself a display list, so the page writers draw it: as SVG, as PNG, or as one HTML file
that needs nothing else. Labels are set in a bundled face and drawn as outlines.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from html import escape
from typing import Any

from letterer.fit.oval import Oval
from letterer.geometry import Box, Point, rectangle, union_box
from letterer.model.plan import Art, PageFormat
from letterer.model.script import Run
from letterer.out.raster import composed, encode_png, piece_of, read_art
from letterer.out.svg import Picture, svg_page
from letterer.page.choices import Choice
from letterer.page.lettered import LetteredPage, PlacedUnit, Stroke
from letterer.page.unit import Job
from letterer.text.faces import FaceLibrary
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import Habits, dress

LABEL_FACE = "Comic Neue"
LABEL_SIZE, NUMBER_SIZE = 7.5, 12.0
LABEL_LEADING = 10.0
LABEL_COLOR, FRAME_COLOR, ZONE_COLOR = "#303030", "#909090", "#b0b0b0"
NUMBER_WIDTH = 20.0
MARGIN, GAP = 18.0, 16.0
AROUND = 22.0
"""Points of art shown round the largest choice."""

CELL_LEAST = 150.0
SHEET_WIDTH = 640.0
ART_DPI = 150


@dataclass(frozen=True, slots=True)
class Sheet:
    """A contact sheet: what is drawn, and what is said of each choice."""

    page: LetteredPage
    pictures: tuple[tuple[Art, Box, Box], ...]
    choices: tuple[Choice, ...]
    labels: tuple[tuple[str, ...], ...]


def choice_sheet(groups: Sequence[tuple[Job, Sequence[Choice]]], faces: FaceLibrary) -> Sheet:
    """A sheet of the choices of one or several units."""
    units: list[PlacedUnit] = []
    pictures: list[tuple[Art, Box, Box]] = []
    every: list[Choice] = []
    labels: list[tuple[str, ...]] = []
    top, widest = MARGIN, CELL_LEAST
    for job, found in groups:
        region = _region(job, found)
        cell = max(region.width, CELL_LEAST)
        columns = max(int((SHEET_WIDTH - 2 * MARGIN + GAP) // (cell + GAP)), 1)
        across = min(columns, len(found))
        widest = max(widest, across * (cell + GAP) - GAP + 2 * MARGIN)
        told = [label(job, choice) for choice in found]
        for begin in range(0, len(found), columns):
            row = range(begin, min(begin + columns, len(found)))
            for column, index in enumerate(row):
                left = MARGIN + column * (cell + GAP)
                dx, dy = left - region.left, top - region.top
                if job.plan.art is not None:
                    pictures.append((job.plan.art, region, region.shifted(dx, dy)))
                units += _cell(job, found[index], region, (dx, dy))
                units += _label(
                    told[index], Point(left, top + region.height), found[index].number, faces
                )
            rows = max(len(told[index]) for index in row)
            top += region.height + LABEL_LEADING * rows + NUMBER_SIZE + GAP
        every += found
        labels += told
    page = Box(0.0, 0.0, widest, top - GAP + MARGIN)
    numbered = [replace(unit, id=f"{place}-{unit.id}") for place, unit in enumerate(units, 1)]
    lettered = LetteredPage(1, PageFormat(page, page, page), tuple(numbered))
    return Sheet(lettered, tuple(pictures), tuple(every), tuple(labels))


def label(job: Job, choice: Choice) -> tuple[str, ...]:
    """What a person needs to choose: size, measures, share of the panel, and what it bends."""
    unit, measure = choice.unit, job.layout.measure
    shape = unit.shape or unit.ink
    body = shape.box if isinstance(shape, Oval) else shape
    wide, high = (_plain(measure.written(side), measure.unit) for side in (body.width, body.height))
    lines = f"{len(unit.breaks)} line" + ("s" if len(unit.breaks) != 1 else "")
    told = [f"{unit.kind}, {round(unit.size, 2):g} pt, {lines}", f"{wide} × {high} {measure.unit}"]
    if choice.share:
        told[-1] += f", {choice.share:.0%} of the panel"
    told += [f"but {bend}" for bend in choice.bends]
    return tuple(told)


def _plain(value: float, unit: str) -> str:
    digits = {"in": 2, "mm": 1}.get(unit, 0)
    return f"{value:.{digits}f}"


def _region(job: Job, found: Sequence[Choice]) -> Box:
    """The piece of the page that is shown: round every choice and mouth, within the panel."""
    around = union_box(choice.unit.box for choice in found)
    assert around is not None
    mouths = [tail.mouth for choice in found for tail in choice.unit.tails]
    spoken = union_box([around, *(Box(x, y, x, y) for x, y in mouths)])
    assert spoken is not None
    shown = spoken.grown(AROUND)
    if job.panel is None:
        return shown
    panel = job.panel.box
    return Box(
        min(max(shown.left, panel.left), around.left),
        min(max(shown.top, panel.top), around.top),
        max(min(shown.right, panel.right), around.right),
        max(min(shown.bottom, panel.bottom), around.bottom),
    )


def _cell(job: Job, choice: Choice, region: Box, move: tuple[float, float]) -> list[PlacedUnit]:
    """The frame of a choice, the zones to keep clear, and the unit itself, moved into place."""
    drawn = [_lined("frame", region, Stroke(0.5, FRAME_COLOR))]
    for zone in job.plan.keep_clear:
        if region.contains(zone.box):
            lined = _lined("keep clear", zone.box, Stroke(0.4, ZONE_COLOR, (2.0, 2.0)))
            drawn.append(replace(lined, outline=zone.shape, words=zone.name))
    return [unit.shifted(*move) for unit in (*drawn, choice.unit)]


def _lined(kind: str, box: Box, stroke: Stroke) -> PlacedUnit:
    return PlacedUnit(
        id=kind.replace(" ", "-"),
        kind=kind,
        words=kind,
        speaker="",
        panel=0,
        size=0.0,
        lines=(),
        breaks=(),
        ink=box,
        box=box,
        color=stroke.color,
        outline=rectangle(box),
        stroke=stroke,
    )


def _label(told: Sequence[str], at: Point, number: int, faces: FaceLibrary) -> list[PlacedUnit]:
    """The number of a choice, large, and beside it what is said of it."""
    base = at.shifted(0.0, NUMBER_SIZE)
    written = [_text(str(number), base, NUMBER_SIZE, faces, bold=True)]
    for row, words in enumerate(told):
        start = base.shifted(NUMBER_WIDTH, row * LABEL_LEADING)
        written.append(_text(words, start, LABEL_SIZE, faces))
    return written


def _text(
    words: str, start: Point, size: float, faces: FaceLibrary, bold: bool = False
) -> PlacedUnit:
    """Words of ours, as outlines, from a point on their baseline."""
    text = dress([Run(words, as_typed=True)], habits=Habits(capitals=False))
    shaper = Shaper(text, Lettering((LABEL_FACE,), bold=bold), faces)
    line = shaper.line(0, len(text.text))
    ink = Box(
        start.x + line.ink.left * size,
        start.y + line.ink.top * size,
        start.x + line.ink.right * size,
        start.y + line.ink.bottom * size,
    )
    return PlacedUnit(
        id="label",
        kind="label",
        words=words,
        speaker="",
        panel=0,
        size=size,
        lines=(line.path(size, start),),
        breaks=(words,),
        ink=ink,
        box=ink,
        color=LABEL_COLOR,
    )


def sheet_svg(sheet: Sheet) -> str:
    """The sheet as SVG with its pieces of art, in grey, inside. Raises LettererError."""
    pictures = []
    for piece, place in _pieces(sheet, ART_DPI):
        held = io.BytesIO()
        piece.convert("L").save(held, "PNG")
        pictures.append(Picture(place, base64.b64encode(held.getvalue()).decode()))
    return svg_page(sheet.page, pictures)


def sheet_png(sheet: Sheet, dpi: int) -> bytes:
    """The sheet as PNG on white. Raises LettererError."""
    return encode_png(composed(sheet.page, dpi, _pieces(sheet, dpi)), dpi)


def _pieces(sheet: Sheet, dpi: float) -> list[tuple[Any, Box]]:
    """The pieces of art on a sheet, as Pillow images with the boxes they fill."""
    opened: dict[Art, Any] = {}
    found = []
    for art, region, place in sheet.pictures:
        if art not in opened:
            opened[art] = read_art(art.file, 0)
        found.append((piece_of(opened[art], art.box, region, dpi), place))
    return found


def sheet_html(sheet: Sheet, title: str) -> str:
    """The sheet as one HTML file: the drawing, and under it the same told as a list."""
    drawing = sheet_svg(sheet).split("?>", 1)[1].split(">", 1)[1]
    items = "\n".join(
        f"<li><b>{choice.number}</b> {escape('; '.join(told))}: "
        f"{escape(' / '.join(choice.unit.breaks))}</li>"
        for choice, told in zip(sheet.choices, sheet.labels, strict=True)
    )
    return HTML.format(title=escape(title), drawing=drawing, items=items)


HTML = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
body {{ margin: 1rem auto; max-width: 60rem; font: 1rem/1.4 sans-serif; color: #222; }}
svg {{ max-width: 100%; height: auto; border: 1px solid #ccc; }}
ol {{ list-style: none; padding: 0; }}
</style>
</head>
<body>
<h1>{title}</h1>
{drawing}
<ol>
{items}
</ol>
</body>
</html>
"""
