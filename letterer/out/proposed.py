"""A contact sheet of proposals: for each panel several ways to place its words, numbered, each the
whole panel at true size over its art; before them, the page with the first of each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from html import escape

from letterer.geometry import Box, Point, rectangle
from letterer.model.plan import Art, PageFormat
from letterer.out.labels import lined, written
from letterer.out.sheet import (
    FRAME,
    GAP,
    HEADING_LEADING,
    HEADING_SIZE,
    HTML,
    LABEL_LEADING,
    LABEL_SIZE,
    MARGIN,
    NUMBER_SIZE,
    NUMBER_WIDTH,
    SHEET_WIDTH,
    Sheet,
    _wrapped,
    sheet_svg,
)
from letterer.page.lettered import LetteredPage, PlacedUnit
from letterer.text.faces import FaceLibrary

AROUND = 4.0
"""Points of the page that are shown round a panel."""

CELL_LEAST = 130.0
"""A narrower panel still has room for its label, in points."""


@dataclass(frozen=True, slots=True)
class Option:
    """One proposal as it is drawn: its number (0 for a picture that is only looked at), its units,
    and what is told of it."""

    number: int
    units: tuple[PlacedUnit, ...]
    told: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Options:
    """The proposals for one panel, with the region of the page that each shows. `lines` are the
    borders of panels, where no art shows them."""

    heading: str
    region: Box
    art: Art | None
    options: tuple[Option, ...]
    frames: tuple[Box, ...] = ()


def proposed_sheet(title: str, groups: Sequence[Options], faces: FaceLibrary) -> Sheet:
    """The sheet, as a display list that the page writers draw."""
    units: list[PlacedUnit] = []
    pictures: list[tuple[Art, Box, Box]] = []
    top, widest = MARGIN, CELL_LEAST + 2 * MARGIN
    for group in groups:
        for row in _wrapped([group.heading], SHEET_WIDTH - 2 * MARGIN):
            head = written(row, Point(MARGIN, top + HEADING_SIZE), HEADING_SIZE, faces, True)
            units.append(head)
            widest = max(widest, head.ink.right + MARGIN)
            top += HEADING_SIZE * HEADING_LEADING
        region = group.region.grown(AROUND)
        cell = max(region.width, CELL_LEAST)
        columns = max(int((SHEET_WIDTH - 2 * MARGIN + GAP) // (cell + GAP)), 1)
        across = min(columns, len(group.options))
        widest = max(widest, across * (cell + GAP) - GAP + 2 * MARGIN)
        for begin in range(0, len(group.options), columns):
            rows = 1
            for column, option in enumerate(group.options[begin : begin + columns]):
                left = MARGIN + column * (cell + GAP)
                dx, dy = left - region.left, top - region.top
                if group.art is not None:
                    pictures.append((group.art, region, region.shifted(dx, dy)))
                drawn = [
                    lined("frame", f"proposal {option.number}", rectangle(region), FRAME),
                    *(lined("panel", "panel", rectangle(box), FRAME) for box in group.frames),
                    *option.units,
                ]
                units += [unit.shifted(dx, dy) for unit in drawn]
                told = _wrapped(option.told, cell - NUMBER_WIDTH)
                base = Point(left, top + region.height + NUMBER_SIZE)
                if option.number:
                    units.append(written(str(option.number), base, NUMBER_SIZE, faces, bold=True))
                for place, words in enumerate(told):
                    start = base.shifted(NUMBER_WIDTH, place * LABEL_LEADING)
                    units.append(written(words, start, LABEL_SIZE, faces))
                    widest = max(widest, units[-1].ink.right + MARGIN)
                rows = max(rows, len(told))
            top += region.height + NUMBER_SIZE + LABEL_LEADING * (rows - 1) + GAP
        top += GAP / 2
    page = Box(0.0, 0.0, widest, top - GAP + MARGIN)
    numbered = [replace(unit, id=f"{place}-{unit.id}") for place, unit in enumerate(units, 1)]
    return Sheet(
        title, LetteredPage(1, PageFormat(page, page, page), tuple(numbered)), tuple(pictures), ()
    )


def proposed_html(
    sheet: Sheet, groups: Sequence[Options], command: str, remarks: Iterable[str]
) -> str:
    """The sheet as one HTML file: the drawing, and under it the same told as lists."""
    drawing = sheet_svg(sheet).split("?>", 1)[1].split(">", 1)[1].lstrip()
    described = '<svg role="img" aria-label="The proposals, drawn; the lists below tell the same."'
    told = [f"<p>{escape(remark)}</p>" for remark in remarks]
    if command:
        told.append(f"<p>To take the first of each, write: <code>{escape(command)}</code></p>")
    lists = []
    for group in groups:
        numbered = [option for option in group.options if option.number]
        if numbered:
            lists += [f"<h2>{escape(group.heading)}</h2>", "<ol>"]
            for one in numbered:
                lists.append(f'<li value="{one.number}">{escape("; ".join(one.told))}</li>')
            lists.append("</ol>")
    return HTML.format(
        title=escape(sheet.title),
        told="\n".join(told),
        drawing=drawing.replace("<svg", described, 1),
        lists="\n".join(lists),
    )
