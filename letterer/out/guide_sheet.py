"""A sheet to draw on: the page at the scale of the art board, with ghost lettering in pale blue.

All is in points of the paper, from the page's trim corner. Marks and the bar are black, since a
scan has to keep them; all else is pale blue, which it drops.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import (
    MM_PER_INCH,
    POINTS_PER_INCH,
    Affine,
    Box,
    Path,
    Point,
    Segment,
    rectangle,
)
from letterer.model.plan import PageFormat, PagePlan
from letterer.out.guide_marks import RADIUS, mark_paths, marks_of
from letterer.out.labels import lined, written
from letterer.page.lettered import Layer, LetteredPage, PlacedUnit, Stroke
from letterer.text.faces import FaceLibrary

BLUE, STRONG, BLACK, WHITE = craft.GUIDE_BLUE, craft.GUIDE_BLUE_STRONG, "#000000", "#ffffff"
THIN, LINE, FIRM = 0.5, 0.8, 1.4
MARK_CLEAR = 8.0
"""Blank paper beyond a mark, in points of the paper."""

FOOT = 40.0
"""Room under the page for the bar and what is said."""

HEAD_ROOM = 8.0
TEXT, SMALL = 7.0, 6.0
MM = POINTS_PER_INCH / MM_PER_INCH
BAR_MM, BAR_INCHES = 50.0, 2.0
MOUTH = 3.5


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a sheet is drawn from: the page as lettered and as planned, its scale, what it is
    called, and the faces its labels are set in."""

    page: LetteredPage
    plan: PagePlan
    scale: float
    title: str
    faces: FaceLibrary


def whole_of(format: PageFormat, scale: float) -> Box:
    """The paper that a sheet takes, in points of the paper. Raises LettererError where that is
    longer than any paper."""
    marks = [Point(at.x * scale, at.y * scale) for at in marks_of(format)]
    edge = RADIUS * scale + MARK_CLEAR
    bleed = format.bleed
    whole = Box(
        marks[0].x - edge,
        bleed.top * scale - HEAD_ROOM,
        max(marks[2].x + edge, marks[0].x - edge + BAR_MM * MM + 60.0),
        bleed.bottom * scale + FOOT,
    )
    if max(whole.width, whole.height) > craft.GUIDE_SIDE_MOST_POINTS:
        long = max(whole.width, whole.height) / MM / 1000
        most = int(scale * craft.GUIDE_SIDE_MOST_POINTS / max(whole.width, whole.height) * 20) / 20
        what = f"at {scale:g} times its size this page needs a sheet {long:.1f} m long"
        low = craft.GUIDE_SCALE_RANGE[0]
        mend = f"Write --scale {most:g}, or less" if most >= low else "Divide it into shorter pages"
        raise LettererError(Fault(what, mend))
    return whole


def guide_sheet(drawn: Drawn) -> LetteredPage:
    """The sheet of one page, as a display list in points of the paper. Raises LettererError."""
    format, scale = drawn.page.format, drawn.scale
    whole = whole_of(format, scale)
    grow = Affine(scale, 0.0, 0.0, scale)
    units = [
        _line("bleed", rectangle(format.bleed).mapped(grow), THIN, (4.0, 3.0)),
        _line("live area", rectangle(format.live).mapped(grow), THIN, (1.5, 3.0)),
        _line("trim", rectangle(format.trim).mapped(grow), LINE),
    ]
    for panel in drawn.plan.panels:
        shape = panel.shape.mapped(grow)
        units.append(lined("panel", f"panel {panel.number}", shape, Stroke(FIRM, STRONG)))
    for zone in drawn.plan.keep_clear:
        units.append(_line("keep clear", zone.shape.mapped(grow), THIN, (2.0, 2.0)))
        name = said(zone.name, Point(0.0, 0.0), SMALL, drawn.faces, BLUE)
        middle = zone.box.center
        if name.ink.width < zone.box.width * scale - 4:
            x = middle.x * scale - name.ink.center.x
            units.append(name.shifted(x, middle.y * scale - name.ink.center.y))
    units += list(_mouths(drawn))
    units += [ghost(unit, grow) for unit in drawn.page.units]
    units += list(_panel_numbers(drawn))
    units += list(_marks(format, grow))
    units += list(_foot(drawn, whole))
    return on_paper(drawn.page.number, units, whole)


def on_paper(number: int, units: list[PlacedUnit], paper: Box) -> LetteredPage:
    """A display list of ours on a paper; each piece gets a number of its own."""
    numbered = [replace(unit, id=f"{place}-{unit.id}") for place, unit in enumerate(units, 1)]
    return LetteredPage(number, PageFormat(paper, paper, paper), tuple(numbered))


@dataclass(frozen=True, slots=True)
class GhostInk:
    """What ghosts are drawn with: the colour of borders, that of words, and the weight of a
    border."""

    border: str = STRONG
    words: str = BLUE
    weight: float = LINE


def ghost(unit: PlacedUnit, grow: Affine, ink: GhostInk | None = None) -> PlacedUnit:
    """A unit as a pale sketch: its border and tails as thin lines over white, its words filled."""
    ink = ink or GhostInk()
    scale = grow.a
    border = unit.outline.mapped(grow) if unit.outline else None
    lines = tuple(line.mapped(grow) for line in unit.lines)
    box = Box(*(side * scale for side in unit.box)).shifted(grow.e, grow.f)
    extras = tuple(
        layer._replace(
            path=layer.path.mapped(grow),
            fill=WHITE if layer.fill else None,
            stroke=Stroke(ink.weight, ink.border) if layer.stroke else None,
        )
        for layer in unit.extras
        if layer.stroke
    )
    letters = tuple(
        Layer("line", layer.path.mapped(grow), ink.words, Stroke(THIN, WHITE))
        for layer in unit.letters
        if layer.part == "line"
    )
    return PlacedUnit(
        id=f"ghost-{unit.id}",
        kind="ghost",
        words=unit.words,
        speaker=unit.speaker,
        panel=unit.panel,
        size=unit.size * scale,
        lines=lines,
        breaks=unit.breaks,
        ink=box,
        box=box,
        color=ink.words,
        outline=border,
        fill=WHITE if border else None,
        stroke=Stroke(ink.weight, ink.border) if border else None,
        extras=extras,
        clip=unit.clip.mapped(grow) if unit.clip else None,
        letters=letters,
    )


def _line(
    kind: str, path: Path, width: float, dash: tuple[float, float] | None = None
) -> PlacedUnit:
    return lined(kind, kind, path, Stroke(width, BLUE, dash))


def said(words: str, at: Point, size: float, faces: FaceLibrary, color: str = STRONG) -> PlacedUnit:
    """Words of ours on a sheet."""
    return replace(written(words, at, size, faces), color=color)


def _mouths(drawn: Drawn) -> Iterator[PlacedUnit]:
    """A small cross where each mouth is planned, and whose it is."""
    for panel in drawn.plan.panels:
        for name, mouth in panel.mouths.items():
            at = Point(mouth.x * drawn.scale, mouth.y * drawn.scale)
            cross = Path(
                tuple(
                    Segment(verb, (at.shifted(dx * MOUTH, dy * MOUTH),))
                    for verb, dx, dy in (("M", -1, 0), ("L", 1, 0), ("M", 0, -1), ("L", 0, 1))
                )
            )
            yield lined("mouth", name, cross, Stroke(THIN, STRONG))
            yield said(name, at.shifted(MOUTH + 1, MOUTH + SMALL), SMALL, drawn.faces)


def _panel_numbers(drawn: Drawn) -> Iterator[PlacedUnit]:
    """Each panel's number in its lower left corner, within the live area."""
    live = drawn.page.format.live
    for panel in drawn.plan.panels:
        left = max(panel.box.left, live.left) * drawn.scale
        bottom = min(panel.box.bottom, live.bottom) * drawn.scale
        name = f"{drawn.plan.number}.{panel.number}"
        yield said(name, Point(left + 4, bottom - 4), TEXT, drawn.faces)


def _marks(format: PageFormat, grow: Affine) -> Iterator[PlacedUnit]:
    rings, bar = mark_paths(format)
    for path in (*rings, bar):
        yield replace(lined("corner mark", "mark", path.mapped(grow), Stroke(0.0, BLACK)),
                      fill=BLACK, stroke=None)  # fmt: skip


def _foot(drawn: Drawn, whole: Box) -> Iterator[PlacedUnit]:
    """The bar to be measured, in millimetres above and inches below, and what is to be minded."""
    left = whole.left + MARK_CLEAR + 4
    line = whole.bottom - 17.0
    up = [Segment("M", (Point(left, line),)), Segment("L", (Point(left + BAR_MM * MM, line),))]
    for tick in range(int(BAR_MM / 10) + 1):
        x = left + tick * 10 * MM
        high = 6.0 if tick in (0, BAR_MM / 10) else 3.0
        up += [Segment("M", (Point(x, line),)), Segment("L", (Point(x, line - high),))]
    yield lined("bar", "50 mm", Path(tuple(up)), Stroke(THIN, BLACK))
    low = line + 3.0
    inch = POINTS_PER_INCH
    down = [Segment("M", (Point(left, low),)), Segment("L", (Point(left + 2 * inch, low),))]
    for tick in range(int(BAR_INCHES * 2) + 1):
        x = left + tick * inch / 2
        high = 6.0 if tick in (0, BAR_INCHES * 2) else 3.0
        down += [Segment("M", (Point(x, low),)), Segment("L", (Point(x, low + high),))]
    yield lined("bar", "2 in", Path(tuple(down)), Stroke(THIN, BLACK))
    beside = left + 2 * inch + 6
    yield said("50 mm", Point(beside, line), SMALL, drawn.faces, "#404040")
    yield said("2 in", Point(beside, low + 6), SMALL, drawn.faces, "#404040")
    start = beside + 34
    told = (
        f"{drawn.title}, {drawn.scale:g} times its printed size."
        ' Print it at 100 %, not "fit to page",',
        "then measure the bar. Keep the four marks clear, and scan them with the art.",
    )
    if start + 230 > whole.right:
        return
    for place, words in enumerate(told):
        yield said(words, Point(start, line + place * (SMALL + 3)), SMALL, drawn.faces, "#404040")
