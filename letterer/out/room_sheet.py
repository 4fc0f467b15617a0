"""Thumbnails of pages with ghost balloons: how full of words each panel is, or how a page without a
layout could be divided.

A verdict is written in words beside each panel's number; panels with too many words have a heavy
border and a tint as well.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from html import escape

from letterer.geometry import Affine, Box, Point, rectangle
from letterer.model.plan import PagePlan
from letterer.out.guide_sheet import GhostInk, ghost, on_paper
from letterer.out.labels import lined, written
from letterer.out.sheet import HTML_HEAD, LABEL_EM, Sheet, sheet_svg
from letterer.page.lettered import LetteredPage, PlacedUnit, Stroke
from letterer.place.room import PanelRoom, Verdict
from letterer.text.faces import FaceLibrary

MARGIN, GAP = 18.0, 20.0
HEADING, TEXT, SMALL = 11.0, 8.0, 6.5
LEADING = 10.5
THUMB, THUMB_OF_SEVERAL = 300.0, 200.0
"""Width of a thumbnail in points, alone and beside others."""

BESIDE = 250.0
"""Width of what is said beside a thumbnail alone."""

TINTS = {Verdict.TIGHT: "#fbf0d2", Verdict.TOO_MUCH: "#f6d3da"}
DARK, GREY, PALE, WHITE = "#303030", "#808080", "#c4c4c4", "#ffffff"
GHOST = GhostInk("#6d7f8a", "#98a7b0", 0.4)
GUARD = 1.5
BETWEEN = "#e9edf0"
"""The ground of a scroll, whose panels reach from side to side: else what lies between two of them
looks like one."""


@dataclass(frozen=True, slots=True)
class Thumb:
    """One thumbnail: a page lettered as ghosts, its panels, what is said under it, and how its
    panels stand to their words; `ground` is the paper about the panels."""

    page: LetteredPage
    plan: PagePlan
    rooms: tuple[PanelRoom, ...]
    told: str = ""
    ground: str = "#ffffff"


def room_page(
    title: str, thumbs: Sequence[Thumb], lines: Sequence[str], faces: FaceLibrary
) -> Sheet:
    """The picture of one page: a thumbnail with what is said beside it, or several side by side
    with it below. `lines` is what is said; those that begin with a space are set in."""
    alone = len(thumbs) == 1
    wide = THUMB if alone else THUMB_OF_SEVERAL
    units: list[PlacedUnit] = [
        written(title, Point(MARGIN, MARGIN + HEADING), HEADING, faces, bold=True)
    ]
    top = MARGIN + HEADING + GAP * 0.7
    left, bottom = MARGIN, top
    for thumb in thumbs:
        trim = thumb.page.format.trim
        scale = wide / trim.width
        grow = Affine(scale, 0.0, 0.0, scale, left, top)
        units += _thumb(thumb, grow, faces)
        low = top + trim.height * scale
        if thumb.told:
            units.append(written(thumb.told, Point(left, low + LEADING + 2), TEXT, faces))
            low += LEADING + 2
        bottom = max(bottom, low)
        left += wide + GAP
    if alone:
        at, room, y = left, BESIDE, top
    else:
        at, room, y = MARGIN, left - GAP - MARGIN, bottom + GAP
    for line in lines:
        inset = 14.0 if line.startswith(" ") else 0.0
        letters = int((room - inset) / (TEXT * LABEL_EM))
        for part in textwrap.wrap(line.strip(), letters):
            units.append(written(part, Point(at + inset, y + TEXT), TEXT, faces))
            y += LEADING
        y += 1.5
    right = at + room
    whole = Box(0.0, 0.0, right + MARGIN, max(bottom, y) + MARGIN)
    number = thumbs[0].page.number if thumbs else 1
    return Sheet(title, on_paper(number, units, whole), (), ())


def _thumb(thumb: Thumb, grow: Affine, faces: FaceLibrary) -> Iterator[PlacedUnit]:
    format = thumb.page.format
    edge = rectangle(format.trim).mapped(grow)
    paper = replace(lined("trim", "page", edge, Stroke(0.6, GREY)), fill=thumb.ground)
    yield paper
    live = rectangle(format.live).mapped(grow)
    yield lined("live area", "live area", live, Stroke(0.3, PALE, (1.5, 2.0)))
    rooms = {room.number: room for room in thumb.rooms}
    for panel in thumb.plan.panels:
        room = rooms.get(panel.number)
        grave = room is not None and room.verdict is Verdict.TOO_MUCH
        line = Stroke(1.8 if grave else 0.8, DARK if grave else GREY)
        shape = panel.shape.mapped(grow)
        drawn = lined("panel", f"panel {panel.number}", shape, line)
        tint = TINTS.get(room.verdict, WHITE) if room else WHITE
        yield replace(drawn, fill=tint, clip=edge)
    for unit in thumb.page.units:
        yield ghost(unit, grow, GHOST)
    yield from _names(thumb, rooms, grow, faces)


def _names(
    thumb: Thumb, rooms: dict[int, PanelRoom], grow: Affine, faces: FaceLibrary
) -> Iterator[PlacedUnit]:
    """Each panel's number with its verdict, in a corner where no words stand; where that is
    nowhere, the number alone, over what is there."""
    trim = thumb.page.format.trim
    bodies = [unit.box for unit in thumb.page.units]
    taken = [
        Box(box.left * grow.a + grow.e, box.top * grow.d + grow.f,
            box.right * grow.a + grow.e, box.bottom * grow.d + grow.f)
        for box in bodies
    ]  # fmt: skip
    for panel in thumb.plan.panels:
        room = rooms.get(panel.number)
        name = f"{thumb.plan.number}.{panel.number}"
        box = Box(
            max(panel.box.left, trim.left) * grow.a + grow.e + 4,
            max(panel.box.top, trim.top) * grow.d + grow.f + 4,
            min(panel.box.right, trim.right) * grow.a + grow.e - 4,
            min(panel.box.bottom, trim.bottom) * grow.d + grow.f - 4,
        )
        choices = [name]
        if room:
            choices = [f"{name}: {told(room)}", f"{name}: {short(room)}", name]
        spots = [
            words.shifted(x - words.ink.left if x == box.left else x - words.ink.right, 0.0)
            for said in choices
            for y in (box.bottom, box.top + SMALL)
            for x in (box.left, box.right)
            for words in [written(said, Point(0.0, y), SMALL, faces, bold=True)]
            if words.ink.width <= box.width or said == name
        ]
        clear = (
            words
            for words in spots
            if not any(words.ink.grown(GUARD).meets(other) for other in taken)
        )
        words = next(clear, spots[-1])
        ground = lined("label", "", rectangle(words.ink.grown(GUARD)), Stroke(0.0, WHITE))
        tint = TINTS.get(room.verdict, WHITE) if room else WHITE
        yield replace(ground, fill=tint, stroke=None)
        yield words


def told(room: PanelRoom) -> str:
    """A panel's share and verdict, short."""
    if room.verdict is Verdict.SILENT:
        return room.verdict.value
    return f"{percent(room.share)}, {room.verdict.value}"


def short(room: PanelRoom) -> str:
    """The same where there is little room: the share alone, unless it is too much."""
    grave = room.verdict in (Verdict.TOO_MUCH, Verdict.SILENT)
    return room.verdict.value if grave else percent(room.share)


def percent(share: float) -> str:
    """A share as people read it.

    >>> percent(0.004), percent(0.31), percent(float("inf"))
    ('under 1 %', '31 %', 'over 999 %')
    """
    if share > 9.99:
        return "over 999 %"
    return f"{share * 100:.0f} %" if share >= 0.005 else "under 1 %"


def room_html(title: str, sheets: Sequence[Sheet], lines: Sequence[Sequence[str]]) -> str:
    """All pages as one HTML file that needs nothing else: each drawing, and the same told below."""
    parts = []
    for sheet, told_of in zip(sheets, lines, strict=True):
        drawing = sheet_svg(sheet).split("?>", 1)[1].split(">", 1)[1].lstrip()
        drawing = drawing.replace(
            "<svg", '<svg role="img" aria-label="Thumbnails; the words below tell the same."', 1
        )
        told_html = "".join(
            f"<p{' class=in' if line.startswith(' ') else ''}>{escape(line.strip())}</p>\n"
            for line in told_of
        )
        parts.append(
            f"<section>\n<h2>{escape(sheet.title)}</h2>\n<div class=drawing>{drawing}</div>\n"
            f"<details><summary>The same in words</summary>\n{told_html}</details>\n</section>\n"
        )
    return HTML.format(title=escape(title), body="".join(parts))


HTML = (
    HTML_HEAD
    + """h2 {{ font-size: 1.1rem; }}
.drawing {{ overflow-x: auto; }}
svg {{ border: 1px solid #ccc; }}
p {{ margin: .2rem 0; }}
.in {{ margin-left: 1.5rem; color: #555; }}
</style>
</head>
<body>
<h1>{title}</h1>
{body}</body>
</html>
"""
)
