"""The room that words need: for a script and a layout, panel by panel; for a script alone, how its
pages could be divided. As a table, as JSON, and as thumbnails with ghost balloons.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from letterer import craft
from letterer.api import (
    located,
    read_layout,
    read_script,
)
from letterer.errors import (
    Fault,
    LettererError,
    together,
)
from letterer.geometry import MM_PER_INCH, POINTS_PER_INCH, Box, rectangle
from letterer.model.formats import PageMeasures, page_format
from letterer.model.plan import Layout, Measure, PageFormat, PagePlan, PanelPlan, Reading
from letterer.model.script import Page, Script
from letterer.model.style import Style
from letterer.out.files import (
    check_faces,
    check_file,
    check_folder,
    make_folder,
    own_files,
    refuse_over,
    write_whole,
)
from letterer.out.room_sheet import BETWEEN, WHITE, Thumb, percent, room_html, room_page
from letterer.out.sheet import Sheet, sheet_png, sheet_svg
from letterer.page.compose import compose_page
from letterer.place.grids import Division, Wish, divisions, shared_out, strips, wish_of
from letterer.place.room import (
    Need,
    PanelRoom,
    Verdict,
    ghost_plan,
    needs_of,
    page_rooms,
)
from letterer.text.faces import FaceLibrary, library

KINDS = (".html", ".svg", ".png")
FORMATS = ("american comic", "a4", "a5")
"""Formats of pages that are divided by their words."""

STRIP = "vertical scroll"
"""The format that is as long as its panels ask for."""

LEGEND = "A percentage is how much of a panel its words take, with air round them."


@dataclass(frozen=True, slots=True)
class RoomWanted:
    """What is asked for: pages (None: all), the picture (None: none), folders with faces; and for a
    script alone the page's format (None: the first of FORMATS) and the way of reading."""

    pages: tuple[int, ...] | None = None
    picture: Path | None = None
    format: str | None = None
    fonts: tuple[Path, ...] = ()
    right_to_left: bool = False


@dataclass(frozen=True, slots=True)
class PageSeen:
    """One page looked at: its panels' room (with a layout) or its panels' wishes and the ways to
    divide it (without), and what there is to tell."""

    number: int
    rooms: tuple[PanelRoom, ...] = ()
    wishes: tuple[Wish, ...] = ()
    divisions: tuple[Division, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """What is said of the page; lines that begin with a space go with the one above."""
        ways = [f"{chr(64 + place)}. {one.told}" for place, one in enumerate(self.divisions, 1)]
        return (*_lines(self), *ways, *self.remarks, LEGEND)

    @property
    def beside(self) -> tuple[str, ...]:
        """What is said beside the drawing, which shows the ways to divide the page itself."""
        return (*_lines(self), *self.remarks, LEGEND)


@dataclass(frozen=True, slots=True)
class RoomSeen:
    """All that was looked at, as text and as JSON, and the pictures that were written."""

    pages: tuple[PageSeen, ...]
    text: str
    json: str
    files: tuple[Path, ...] = ()


def look_at_room(
    script: str | Path, layout: str | Path | None = None, wanted: RoomWanted | None = None
) -> RoomSeen:
    """Look at the room that words need, and draw it where that is wanted. Raises LettererError,
    with nothing written."""
    wanted = wanted or RoomWanted()
    book, plan = _read(script, layout, wanted)
    own = own_files(script, layout, plan)
    chosen = book.chosen(wanted.pages)
    _check(wanted, own, chosen)
    faces = library(wanted.fonts)
    drawn = wanted.picture is not None
    seen: list[PageSeen] = []
    sheets: list[Sheet] = []
    faults: list[Fault] = []
    for page in chosen:
        there = plan.page(page.number)
        try:
            if there is not None and there.panels:
                one = _with_panels(page, there, plan, faces)
                thumbs = [_as_planned(page, there, plan, faces, one)] if drawn else []
            else:
                scroll = layout is None and wanted.format == STRIP
                one = strip_page(page, plan, faces) if scroll else divide_page(page, plan, faces)
                ways = enumerate(one.divisions, 1) if drawn else ()
                thumbs = [_divided(f"{chr(64 + n)}.", way, page, plan, faces) for n, way in ways]
                if layout is not None:
                    what = f"Page {page.number} has no panels in the layout: ways to divide it."
                    one = replace(one, remarks=(what, *one.remarks))
        except LettererError as error:
            faults += [located(fault, book) for fault in error.faults]
            continue
        seen.append(one)
        if thumbs:
            sheets.append(room_page(f"Page {page.number}", thumbs, one.beside, faces))
    if faults:
        raise LettererError(*dict.fromkeys(faults))
    made = RoomSeen(tuple(seen), _as_text(seen), _as_json(seen))
    return replace(made, files=_draw(sheets, seen, wanted))


def _with_panels(page: Page, there: PagePlan, plan: Layout, faces: FaceLibrary) -> PageSeen:
    rooms, told = page_rooms(page, there, plan, faces)
    return PageSeen(page.number, tuple(rooms), remarks=tuple(told))


def _as_planned(
    page: Page, there: PagePlan, plan: Layout, faces: FaceLibrary, seen: PageSeen
) -> Thumb:
    """A page as its layout has it, as a thumbnail."""
    ghosts = ghost_plan(page, there, plan, faces)
    pages = tuple(ghosts if one.number == there.number else one for one in plan.pages)
    lettered = compose_page(page, replace(plan, pages=pages), faces)
    return Thumb(lettered, there, seen.rooms)


def divide_page(page: Page, plan: Layout, faces: FaceLibrary) -> PageSeen:
    """The ways to divide a page of the script by its words, in the format of a layout."""
    bare = PagePlan(page.number)
    live = plan.format.live
    needs: list[list[Need]] = [needs_of(one.units, bare, plan, faces) for one in page.panels]
    wishes = [wish_of(one, each) for one, each in zip(page.panels, needs, strict=True)]
    if not wishes:
        return PageSeen(page.number, remarks=(f"Page {page.number} has no panels.",))
    wishes, fullest = shared_out(wishes, live.area)
    mirrored = plan.reading is Reading.RIGHT_TO_LEFT
    found = divisions(wishes, live, plan.style.gap_points, mirrored)
    remarks = []
    if not found:
        many = len(wishes)
        remarks.append(
            f"{many} panels are too many for us to divide a page into: the most is"
            f" {craft.ROOM_PANELS_MOST}. Part the page in two."
        )
    if fullest > craft.ROOM_GOOD_SHARE * 1.01:
        words = sum(need.words for each in needs for need in each)
        over = max(math.ceil(words * (1 - craft.ROOM_GOOD_SHARE / fullest)), 1)
        remarks.append(
            f"This page has {words} words, which would take {percent(fullest)} of its panels."
            f" Cut about {over}, or part the page in two."
        )
    return PageSeen(page.number, (), tuple(wishes), found, tuple(remarks))


def strip_page(page: Page, plan: Layout, faces: FaceLibrary) -> PageSeen:
    """The ways to set a page of the script as a vertical scroll, as long as its panels ask for."""
    bare = PagePlan(page.number)
    needs = [needs_of(one.units, bare, plan, faces) for one in page.panels]
    wishes = [wish_of(one, each) for one, each in zip(page.panels, needs, strict=True)]
    if not wishes:
        return PageSeen(page.number, remarks=(f"Page {page.number} has no panels.",))
    trim, live = plan.format.trim, plan.format.live
    aside, gap = live.left - trim.left, plan.style.gap_points
    ways = [
        replace(way, name=f"{way.name}, {_pixels(way.boxes[-1].bottom, plan):,} px long")
        for way in strips(wishes, trim.width, aside, gap, plan.reading is Reading.RIGHT_TO_LEFT)
    ]
    whole = sum(box.area for box in ways[0].boxes)
    shares = [box.area / whole for box in ways[0].boxes]
    wishes = [replace(wish, share=share) for wish, share in zip(wishes, shares, strict=True)]
    told = f"Page {page.number} as a scroll {_pixels(trim.width, plan)} px wide."
    return PageSeen(page.number, (), tuple(wishes), tuple(ways), (told,))


def _pixels(points: float, plan: Layout) -> int:
    return round(plan.measure.written(points))


def _divided(letter: str, one: Division, page: Page, plan: Layout, faces: FaceLibrary) -> Thumb:
    """A division of a page as a thumbnail, its words set for its own panels."""
    if one.name:  # a scroll is as long as its panels
        plan = replace(plan, format=_as_long_as(plan.format, one.boxes[-1].bottom))
    panels = tuple(
        PanelPlan(panel.number, rectangle(box), box)
        for panel, box in zip(page.panels, one.boxes, strict=True)
    )
    there = PagePlan(page.number, panels=panels)
    tried = replace(plan, pages=(there,))
    there = ghost_plan(page, there, tried, faces)
    tried = replace(plan, pages=(there,))
    rooms, _ = page_rooms(page, there, tried, faces)
    lettered = compose_page(page, tried, faces)
    ground = BETWEEN if one.name else WHITE
    return Thumb(lettered, there, tuple(rooms), f"{letter} {one.told}", ground)


def _as_long_as(page: PageFormat, bottom: float) -> PageFormat:
    """A scroll that ends where its last panel does; words keep off its sides alone."""
    trim = page.trim._replace(bottom=bottom)
    return PageFormat(trim, trim, Box(page.live.left, 0.0, page.live.right, bottom))


# --- What is given ----------------------------------------------------------------------------


def _read(
    script: str | Path, layout: str | Path | None, wanted: RoomWanted
) -> tuple[Script, Layout]:
    """Both files; the faults of both are raised together. Without a layout, a page of a format."""
    return together(
        lambda: read_script(script),
        lambda: _bare(wanted) if layout is None else _given(layout, wanted),
    )


def _given(layout: str | Path, wanted: RoomWanted) -> Layout:
    """The layout, which says itself what the page is and how it is read."""
    asked = [
        (wanted.format is not None, "--format", "page"),
        (wanted.right_to_left, "--right-to-left", "reading"),
    ]
    faults = [
        Fault(f"{option} is for a script without a layout", f'Change "{key}" in it', str(layout))
        for given, option, key in asked
        if given
    ]
    if faults:
        raise LettererError(*faults)
    return read_layout(layout)


def _bare(wanted: RoomWanted) -> Layout:
    name, known = wanted.format or FORMATS[0], (*FORMATS, STRIP)
    if name not in known:
        raise LettererError(Fault(f'--format cannot be "{name}"', f"Choose {', '.join(known)}"))
    unit = Measure("in") if name == FORMATS[0] else Measure("mm")
    keys: dict[str, object] = {"format": name}
    if name == STRIP:
        unit = Measure("px", craft.ROOM_STRIP_DPI)
        keys["height"] = 1000  # of no account: each page is as long as its panels
    made, _ = page_format(PageMeasures.model_validate(keys), unit)
    assert made is not None
    reading = Reading.RIGHT_TO_LEFT if wanted.right_to_left else Reading.LEFT_TO_RIGHT
    return Layout(made, unit, reading, "en", Style(), ())


def _check(
    wanted: RoomWanted, own: Sequence[tuple[str, str | Path]], pages: Sequence[Page]
) -> None:
    """Refuse, before any work, a picture that cannot be written or would take a file away."""
    check_faces(wanted.fonts)
    picture = wanted.picture
    if picture is None:
        return
    if picture.suffix.lower() not in KINDS:
        name = picture.with_suffix(".html").name if picture.name else "room.html"
        what = "thumbnails are drawn as .html, .svg or .png"
        raise LettererError(Fault(what, f"Write -o {name}", str(picture)))
    check_folder(picture.parent)
    for path in [picture_name(picture, page.number) for page in pages]:
        if picture.parent.is_dir():
            check_file(path)
        refuse_over(path, "the picture", own)


def picture_name(picture: Path, page: int) -> Path:
    """The file of one page's thumbnails; an HTML file holds all pages.

    >>> picture_name(Path("out/room.png"), 3).as_posix(), picture_name(Path("room.html"), 3).name
    ('out/room-003.png', 'room.html')
    """
    if picture.suffix.lower() == ".html":
        return picture
    return picture.with_name(f"{picture.stem}-{page:03d}{picture.suffix}")


# --- What is told -----------------------------------------------------------------------------


def _lines(seen: PageSeen) -> list[str]:
    lines: list[str] = []
    for room in seen.rooms:
        words = f"{room.words} word{'s' if room.words != 1 else ''}"
        if room.verdict is Verdict.SILENT:
            lines.append(f"{room.name}: no words")
            continue
        effects = len([need for need in room.needs if not need.words])
        if effects:
            words += f", {effects} sound effect{'s' if effects > 1 else ''}"
        lines.append(f"{room.name}: {words}, {percent(room.share)}: {room.verdict.value}")
        lines += [f"  {line}" for line in _said(room)]
    for wish in seen.wishes:
        total = sum(need.words for need in wish.needs)
        words = f"{total} word{'s' if total != 1 else ''}" if total else "no words"
        asked = f", {wish.told} as its direction says" if wish.told else ""
        lines.append(
            f"{seen.number}.{wish.number}: {words}, wants {percent(wish.share)} of the page{asked}"
        )
    return lines


def _as_text(pages: Sequence[PageSeen]) -> str:
    """A table for each page, with what is said of a panel under its row."""
    parts: list[str] = []
    for page in pages:
        parts += [f"Page {page.number}", *_rows(page)]
        parts += [f"  {chr(64 + place)}. {one.told}" for place, one in enumerate(page.divisions, 1)]
        parts += [*(f"  {remark}" for remark in page.remarks), ""]
    parts += _summed([room for page in pages for room in page.rooms])
    return "\n".join(parts).rstrip("\n")


def _summed(rooms: Sequence[PanelRoom]) -> list[str]:
    """What all of it comes to, in a line or two; nothing where no page has panels yet."""
    full = {
        "Too much": [room.name for room in rooms if room.verdict is Verdict.TOO_MUCH],
        "Tight": [room.name for room in rooms if room.verdict is Verdict.TIGHT],
    }
    told = [f"{what} in: {', '.join(names)}." for what, names in full.items() if names]
    return told or (["Every panel has room for its words."] if rooms else [])


def _rows(page: PageSeen) -> list[str]:
    rows: list[str] = []
    if page.rooms:
        rows.append(f"  {'panel':<8}{'words':>6}{'effects':>9}{'words take':>12}  verdict")
    for room in page.rooms:
        effects = len(room.needs) - len([need for need in room.needs if need.words])
        share = percent(room.share) if room.needs else "-"
        rows.append(
            f"  {room.name:<8}{room.words or '-':>6}{effects or '-':>9}{share:>12}"
            f"  {room.verdict.value}"
        )
        rows += [f"      {line}" for line in _said(room)]
    if page.wishes:
        rows.append(f"  {'panel':<8}{'words':>6}{'wants':>9} of the page")
    for wish in page.wishes:
        words = sum(need.words for need in wish.needs)
        asked = f"  {wish.told}, as its direction says" if wish.told else ""
        name = f"{page.number}.{wish.number}"
        rows.append(f"  {name:<8}{words or '-':>6}{percent(wish.share):>9}{asked}")
    return rows


def _said(room: PanelRoom) -> list[str]:
    """What is against a panel's words, and what would mend it."""
    lines = [f"{one[0].upper()}{one[1:]}." for one in room.why]
    if room.mends:
        others = [one[0].lower() + one[1:] for one in room.mends[1:]]
        lines.append(f"{', or '.join([room.mends[0], *others])}.")
    return lines


def _as_json(pages: Sequence[PageSeen]) -> str:
    def mm(points: float) -> float:
        return round(points / POINTS_PER_INCH * MM_PER_INCH, 2)

    def box(at: Box) -> list[float]:
        return [mm(at.left), mm(at.top), mm(at.width), mm(at.height)]

    def unit(need: Need) -> dict[str, object]:
        return {
            "unit": need.unit.id,
            "words": need.words,
            "size": need.size,
            "width mm": mm(need.width),
            "height mm": mm(need.height),
        }

    told = [
        {
            "page": page.number,
            "panels": [
                {
                    "panel": room.name,
                    "words": room.words,
                    "share": round(min(room.share, 1000.0), 4),
                    "verdict": room.verdict.value,
                    "why": list(room.why),
                    "mends": list(room.mends),
                    "units": [unit(need) for need in room.needs],
                }
                for room in page.rooms
            ],
            "wanted": [
                {
                    "panel": f"{page.number}.{wish.number}",
                    "share": round(wish.share, 4),
                    "shape": wish.told,
                    "units": [unit(need) for need in wish.needs],
                }
                for wish in page.wishes
            ],
            "divisions": [
                {
                    "rows": one.told,
                    "cost": round(one.cost, 4),
                    "boxes mm": [box(b) for b in one.boxes],
                }
                for one in page.divisions
            ],
            "remarks": list(page.remarks),
        }
        for page in pages
    ]
    return json.dumps({"pages": told}, ensure_ascii=False, indent=1) + "\n"


def _draw(
    sheets: Sequence[Sheet], seen: Sequence[PageSeen], wanted: RoomWanted
) -> tuple[Path, ...]:
    picture = wanted.picture
    if picture is None or not sheets:
        return ()
    kind = picture.suffix.lower()
    lines = {f"Page {page.number}": page.lines for page in seen}
    if kind == ".html":
        text = room_html("Room for words", sheets, [lines[sheet.title] for sheet in sheets])
        files = [(picture, text.encode())]
    else:
        files = [
            (
                picture_name(picture, sheet.page.number),
                sheet_png(sheet, craft.DPI_SHEET) if kind == ".png" else sheet_svg(sheet).encode(),
            )
            for sheet in sheets
        ]
    make_folder(picture.parent)
    for path, data in files:
        write_whole(path, data)
    return tuple(path for path, _ in files)
