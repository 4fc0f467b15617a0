"""A sheet of changed units: how each was lettered before, and beside it how it is now.

Each is shown in its piece of the page, at true size over the art, with the units around it. The
sheet is a display list, so the page writers draw it: as PNG, or inside one HTML file.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import replace
from html import escape
from typing import NamedTuple

from letterer.fit.oval import Oval
from letterer.geometry import Box, Point, rectangle, union_box
from letterer.model.plan import Art, PageFormat
from letterer.out.labels import lined, written
from letterer.out.sheet import HTML_HEAD, Sheet, sheet_svg
from letterer.page.lettered import LetteredPage, PlacedUnit, Stroke
from letterer.text.faces import FaceLibrary

HEADING_SIZE, LABEL_SIZE = 9.5, 7.5
LABEL_LEADING, LABEL_EM = 10.0, 0.5
MARGIN, GAP, AROUND = 18.0, 16.0, 18.0
CELL_LEAST = 190.0
"""Points across: narrower pieces of a page do not show where on it they are."""

FRAME = Stroke(0.5, "#909090")
MARK = Stroke(1.4, "#c2410c")
"""The frame round the unit that a row is about; its neighbours have none."""

MARK_AROUND = 4.0
NOTHING = {"before": "before: not there", "now": "now: not placed", "cut": "now: cut"}


class Row(NamedTuple):
    """One changed unit: what is said of it, and its page and id before and now, None for nowhere.

    `cut` tells that it is gone for good, and not only without a place.
    """

    heading: str
    words: str
    before: tuple[LetteredPage, str] | None
    now: tuple[LetteredPage, str] | None
    cut: bool = False


def change_sheet(title: str, rows: Sequence[Row], faces: FaceLibrary) -> Sheet:
    """The sheet of some changed units, a row for each."""
    units: list[PlacedUnit] = []
    pictures: list[tuple[Art, Box, Box]] = []
    top, cell = MARGIN, _widest(rows)
    across = 2 * cell + GAP
    for row in rows:
        headings = ((row.heading, HEADING_SIZE, True), (row.words, LABEL_SIZE, False))
        for words, size, bold in headings:
            for line in textwrap.wrap(words, int(across / (size * LABEL_EM))):
                units.append(written(line, Point(MARGIN, top + size), size, faces, bold))
                top += size * 1.5
        if row.before is None and row.now is None:
            top += GAP
            continue
        top += LABEL_SIZE / 2
        regions = _regions(row, cell)
        high = max(region.height if region else LABEL_LEADING for region in regions)
        for column, (name, side, region) in enumerate(
            zip(("before", "now"), (row.before, row.now), regions, strict=True)
        ):
            left = MARGIN + column * (cell + GAP)
            label = Point(left, top + LABEL_SIZE)
            if side is None or region is None:
                told = NOTHING["cut" if row.cut and name == "now" else name]
                units.append(written(told, label, LABEL_SIZE, faces))
                continue
            page, unit = side
            units.append(written(f"{name}: page {page.number}, {unit}", label, LABEL_SIZE, faces))
            dx, dy = left - region.left, top + LABEL_LEADING - region.top
            if page.art is not None:
                pictures.append((page.art, region, region.shifted(dx, dy)))
            units += [one.shifted(dx, dy) for one in _shown(page, unit, region)]
        top += LABEL_LEADING + high + GAP * 1.5
    whole = Box(0.0, 0.0, across + 2 * MARGIN, max(top - GAP + MARGIN, 4 * MARGIN))
    numbered = [replace(unit, id=f"{place}-{unit.id}") for place, unit in enumerate(units, 1)]
    lettered = LetteredPage(1, PageFormat(whole, whole, whole), tuple(numbered))
    return Sheet(title, lettered, tuple(pictures), ())


def _widest(rows: Sequence[Row]) -> float:
    """How wide a cell has to be."""
    sides = [side for row in rows for side in (row.before, row.now) if side is not None]
    boxes = [unit.box for page, id in sides if (unit := page.unit(id)) is not None]
    return max([CELL_LEAST, *(box.width + 2 * AROUND for box in boxes)])


def _regions(row: Row, cell: float) -> list[Box | None]:
    """The piece of the page that is shown before and now; the same one where that shows both."""
    boxes = [
        unit.box if side is not None and (unit := side[0].unit(side[1])) is not None else None
        for side in (row.before, row.now)
    ]
    one, other = boxes
    if one is not None and other is not None:
        both = union_box((one, other))
        if both is not None and both.width <= cell and both.height <= cell:
            boxes = [both, both]
    return [box and _around(box, cell) for box in boxes]


def _around(box: Box, cell: float) -> Box:
    side = (cell - box.width) / 2
    return Box(box.left - side, box.top - AROUND, box.right + side, box.bottom + AROUND)


def _shown(page: LetteredPage, id: str, region: Box) -> list[PlacedUnit]:
    """A piece of a page: its units as far as they reach into it, and a mark round the one."""
    outline = rectangle(region)
    # Always cut at the frame: one contour may be that of several units, far beyond this one's box.
    shown = [
        unit if unit.clip is not None else replace(unit, clip=outline)
        for unit in page.units
        if unit.box.meets(region)
    ]
    shown.append(lined("frame", f"page {page.number}", outline, FRAME))
    unit = page.unit(id)
    if unit is not None:
        body = unit.shape.box if isinstance(unit.shape, Oval) else unit.shape or unit.ink
        shown.append(lined("mark", id, rectangle(body.grown(MARK_AROUND)), MARK))
    return shown


def change_html(sheet: Sheet, told: Sequence[str], after: Sequence[str]) -> str:
    """The sheet as one HTML file that needs nothing else: the drawing, and all changes as a list.

    `after` are lines that stand under the list.
    """
    drawing = sheet_svg(sheet).split("?>", 1)[1].split(">", 1)[1].lstrip()
    described = '<svg role="img" aria-label="Changed units, drawn before and now."'
    return HTML.format(
        title=escape(sheet.title),
        drawing=drawing.replace("<svg", described, 1),
        told="\n".join(f"<li>{escape(line)}</li>" for line in told),
        after="\n".join(f"<p>{escape(line)}</p>" for line in after),
    )


HTML = (
    HTML_HEAD
    + """.drawing {{ overflow-x: auto; }}
svg {{ border: 1px solid #ccc; }}
li {{ margin: 0 0 .4rem; }}
</style>
</head>
<body>
<h1>{title}</h1>
<ul>
{told}
</ul>
{after}
<div class="drawing" tabindex="0" role="region" aria-label="The drawing, at true size">
{drawing}</div>
</body>
</html>
"""
)
