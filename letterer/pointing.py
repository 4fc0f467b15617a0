"""Pointing: a page for the browser in which mouths, faces and the middles of balloons are shown,
and putting what was shown into the layout.

The file of points knows the layout it was drawn for, so nothing is ever put into another.
"""

from __future__ import annotations

import json
import math
import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from letterer import craft
from letterer.api import read_book
from letterer.errors import Fault, LettererError
from letterer.model.layout_file import LayoutFile
from letterer.model.layout_points import Listing, PagePoints, added, with_points
from letterer.model.plan import Fill, Layout, Measure, PagePlan
from letterer.model.script import Manner, Page, Role, Script
from letterer.model.script_title import book_title
from letterer.out.art import read_art
from letterer.out.files import (
    check_file,
    check_folder,
    keep_beside,
    make_folder,
    own_files,
    refuse_over,
    write_whole,
)
from letterer.out.pointing_page import PointingPage, Shown, pointing_html
from letterer.out.proof import picture_data
from letterer.page.compose import compose_page
from letterer.place.room import ghost_plan
from letterer.sheet_jobs import check_planned
from letterer.sheet_record import fingerprint
from letterer.text.faces import FaceLibrary, library

MARK, VERSION = "letterer points", 1


@dataclass(frozen=True, slots=True)
class PointingWanted:
    """Where the page goes; `pages` are page numbers, None for all; `fonts` folders of faces."""

    file: Path
    pages: tuple[int, ...] | None = None
    fonts: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Pointed:
    """What was made: the file, how many mouths and places are still to be shown, and the pages
    whose art is not there."""

    file: Path
    mouths: int
    places: int
    without_art: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Taken:
    """What went into the layout, in words, and the copy of the old one (None: nothing changed)."""

    told: tuple[str, ...]
    kept: Path | None = None


def make_pointing(script: str | Path, layout: str | Path, wanted: PointingWanted) -> Pointed:
    """Draw the page for pointing. Raises LettererError, with nothing written."""
    book, plan = read_book(script, layout)
    check_planned(book, plan, layout)
    _check(wanted, script, layout, plan)
    faces = library(wanted.fonts)
    shown: list[PointingPage] = []
    missing: list[int] = []
    for page in _chosen(book, plan, wanted):
        there = plan.page(page.number)
        assert there is not None
        art = ""
        if there.art is not None and there.art.file.exists():
            fine = (craft.PROOF_DPI, craft.PROOF_QUALITY)
            read = read_art(there.art.file, page.number)
            art = picture_data(read, there.art.box, plan.format.bleed, fine)
        elif there.art is not None:
            missing.append(page.number)
        shown.append(_page(page, there, plan, faces, art))
    parts = ["letterer", "point", str(script), str(layout), "--take", "points.json"]
    mark = fingerprint(LayoutFile.read(layout).data)
    html = pointing_html(book_title(book), mark, shlex.join(parts), shown)
    make_folder(wanted.file.absolute().parent)
    write_whole(wanted.file, html.encode())
    mouths = sum(
        panel.mouth(name) is None
        for page in shown
        for panel in page.plan.panels
        for name in page.mouths.get(panel.number, ())
    )
    places = sum(not unit.placed for page in shown for unit in page.units)
    return Pointed(wanted.file, mouths, places, tuple(missing))


def take_points(points: str | Path, layout: str | Path) -> Taken:
    """Put what was shown into the layout; the old one is kept beside it. Raises LettererError, with
    the layout untouched, where the points are not for this layout or are no points."""
    shown = _read_points(Path(points))
    file = LayoutFile.read(layout)
    if shown["layout"] != fingerprint(file.data):
        what = "the layout is not the one that these points were shown for"
        mend = "Draw the page for pointing again: letterer point SCRIPT LAYOUT"
        raise LettererError(Fault(what, mend, str(layout)))
    plan = file.layout()
    pages = [_in_unit(one, plan) for one in shown["pages"]]
    told = [line for page in pages for line in _told(page)]
    if not told:
        return Taken(("Nothing was shown that the layout does not say already.",))
    made = with_points(file, pages)
    kept = keep_beside(file.path, file.data)
    made.save()
    return Taken(tuple(told), kept)


# --- The page ---------------------------------------------------------------------------------


def _check(wanted: PointingWanted, script: str | Path, layout: str | Path, plan: Layout) -> None:
    file = wanted.file
    if file.suffix.lower() != ".html":
        mend = f"Write -o {file.with_suffix('.html').name if file.name else 'point.html'}"
        raise LettererError(Fault("the page for pointing is an .html file", mend, str(file)))
    check_folder(file.absolute().parent)
    if file.absolute().parent.is_dir():
        check_file(file)
    refuse_over(file, "the page", own_files(script, layout, plan))


def _chosen(book: Script, plan: Layout, wanted: PointingWanted) -> list[Page]:
    """The pages to be drawn: those asked for, or all that the layout has."""
    pages = book.chosen(wanted.pages)
    lacking = [page.number for page in pages if plan.page(page.number) is None]
    if wanted.pages is None and len(lacking) < len(pages):
        return [page for page in pages if page.number not in lacking]
    if lacking:
        mend = "letterer start SCRIPT -o LAYOUT adds the pages that a layout lacks"
        faults = [Fault("the layout has no such page", mend, page=number) for number in lacking]
        raise LettererError(*faults)
    return pages


def _page(page: Page, there: PagePlan, plan: Layout, faces: FaceLibrary, art: str) -> PointingPage:
    """A page with every unit drawn alone and without a tail, so that each can be moved."""
    ghosts = ghost_plan(page, there, plan, faces)
    alone = tuple(replace(one, joined=False, cut=()) for one in ghosts.placements)
    pages = tuple(
        replace(ghosts, placements=alone) if one.number == there.number else one for one in plan
    )
    lettered = compose_page(page, replace(plan, pages=pages), faces)
    units = tuple(
        Shown(
            unit.id,
            unit.speaker,
            unit.words,
            lettered.unit(unit.id),
            there.placement(unit.id) is not None,
        )
        for unit in page.units
    )
    mouths = {
        panel.number: tuple(
            dict.fromkeys(
                unit.speaker
                for unit in panel.units
                if unit.role is Role.SPEECH and unit.speaker and Manner.OFF not in unit.manners
            )
        )
        for panel in page.panels
    }
    return PointingPage(there, lettered, art, units, mouths)


# --- The points -------------------------------------------------------------------------------


def _read_points(path: Path) -> dict[str, Any]:
    no = Fault(
        "this is no file of points",
        "Take the one that the page for pointing saves: points.json, where your browser puts files",
        str(path),
    )
    try:
        data = path.read_bytes()
    except OSError as error:
        what = "there is no such file" if isinstance(error, FileNotFoundError) else "cannot be read"
        raise LettererError(Fault(what, no.mend, str(path))) from error
    try:
        shown = json.loads(data)
        if shown[MARK] != VERSION or not isinstance(shown["layout"], str):
            raise ValueError
        for page in shown["pages"]:
            _sound(page)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise LettererError(no) from error
    return dict(shown)


def _sound(page: dict[str, Any]) -> None:
    """Raise ValueError, or what a wrong part makes it raise, where a page of points is unsound."""
    if type(page["page"]) is not int:
        raise ValueError
    for panel, mouths in page["mouths"].items():
        int(panel)
        for name, at in mouths.items():
            _numbers(at, 2) if at is not None and name else None
    for panel, corners in page["panels"].items():
        int(panel)
        if len(corners) < 2:
            raise ValueError
        for at in corners:
            _numbers(at, 2)
    for unit, at in page["units"].items():
        _numbers(at, 2)
        words, speaker = page["said"][unit]
        if not isinstance(words, str) or not isinstance(speaker, str):
            raise ValueError
    for key, count in (("keep_clear", 4), ("focus", 2)):
        for index, at in page[key]["moved"].items():
            int(index)
            _numbers(at, 2) if at is not None else None
        for one in page[key]["added"]:
            _numbers(one["box" if count == 4 else "at"], count)
            if not isinstance(one["name"], str):
                raise ValueError


def _numbers(values: Sequence[float], count: int) -> None:
    if len(values) != count or not all(math.isfinite(value) for value in values):
        raise ValueError


def _in_unit(shown: Mapping[str, Any], plan: Layout) -> PagePoints:
    """What was shown on a page, from points of the page to the layout's own unit."""
    measure = plan.measure
    there = plan.page(shown["page"])

    def written(values: Sequence[float]) -> tuple[float, ...]:
        return tuple(measure.by_ruler(value) for value in values)

    panels = {
        int(panel): _outline([written(at) for at in corners])
        for panel, corners in shown["panels"].items()
    }
    mouths = {
        int(panel): {name: None if at is None else written(at) for name, at in found.items()}
        for panel, found in shown["mouths"].items()
    }
    moved = {int(index): by for index, by in shown["keep_clear"]["moved"].items()}
    zones = Listing(
        {index: None for index, by in moved.items() if by is None},
        [{"name": one["name"], "box": written(one["box"])} for one in shown["keep_clear"]["added"]],
        {index: written(by) for index, by in moved.items() if by is not None},
    )
    focus = Listing(
        {
            int(index): None if at is None else {"at": written(at)}
            for index, at in shown["focus"]["moved"].items()
        },
        [{"name": one["name"], "at": written(one["at"])} for one in shown["focus"]["added"]],
    )
    said = {
        unit: {"words": one[0], "speaker": one[1] or None} for unit, one in shown["said"].items()
    }
    placements = {
        unit: {**_placement(unit, at, there, measure), **said[unit]}
        for unit, at in shown["units"].items()
    }
    return PagePoints(shown["page"], panels, mouths, zones, focus, placements)


def _outline(corners: Sequence[tuple[float, ...]]) -> dict[str, object]:
    """A panel's outline from its corners: two opposite ones make a box."""
    if len(corners) > 2:
        return {"polygon": tuple(corners)}
    (left, right), (top, bottom) = (sorted(values) for values in zip(*corners, strict=True))
    return {"box": (left, top, added(right, -left), added(bottom, -top))}


def _placement(
    unit: str, at: Sequence[float], there: PagePlan | None, measure: Measure
) -> dict[str, object]:
    """The new keys of a placement; one with a box keeps its size."""
    placed = there.placement(unit) if there else None
    new: dict[str, object] = {"proposed": None} if placed and placed.proposed else {}
    if placed is not None and isinstance(placed.spot, Fill):
        box = placed.spot.box
        sides = (at[0] - box.width / 2, at[1] - box.height / 2)
        size = (measure.written(box.width), measure.written(box.height))
        return {**new, "box": (*map(measure.by_ruler, sides), *size)}
    return {**new, "center": tuple(map(measure.by_ruler, at))}


def _told(page: PagePoints) -> list[str]:
    mouths = [(panel, name, at) for panel, all in page.mouths.items() for name, at in all.items()]
    told: list[str] = []
    for what, count in (
        ("panel", len(page.panels)),
        ("mouth", sum(at is not None for _, _, at in mouths)),
        ("place of words", len(page.placements)),
        ("zone kept clear", len(page.keep_clear.added)),
        ("point for the eye", len(page.focus.added)),
    ):
        if count:
            told.append(_counted(what, count))
    changed = [*page.keep_clear.changed.values(), *page.focus.changed.values()]
    gone = sum(one is None for one in changed)
    moved = len(changed) - gone + len(page.keep_clear.moved)
    gone += sum(at is None for _, _, at in mouths)
    told += [f"{moved} zones or points moved"] if moved else []
    told += [f"{gone} taken away"] if gone else []
    return [f"Page {page.page}: {', '.join(told)}."] if told else []


def _counted(what: str, count: int) -> str:
    head, _, rest = what.partition(" ")
    many = head if count == 1 else f"{head}s"
    return f"{count} {many}{' ' + rest if rest else ''}"
