"""Sheets to draw on: the page at the scale of the art board, with ghost lettering, marks and a bar.

As a PDF of all sheets, or as PNG, one file a sheet, both at true size; over several small papers
where the printer takes no larger one.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from letterer import craft
from letterer.api import (
    compose,
    read_book,
)
from letterer.errors import Fault, LettererError
from letterer.geometry import MM_PER_INCH, POINTS_PER_INCH
from letterer.model.plan import Layout
from letterer.model.script import Script
from letterer.out.files import (
    check_file,
    check_folder,
    make_folder,
    own_files,
    refuse_over,
    write_whole,
)
from letterer.out.guide_pdf import pdf_sheets
from letterer.out.guide_sheet import Drawn, guide_sheet, whole_of
from letterer.out.guide_tiles import PAPERS, tile_page, tiles_over
from letterer.page.lettered import LetteredPage
from letterer.place.room import awkward_panels
from letterer.text.faces import library

KINDS = (".pdf", ".png")


@dataclass(frozen=True, slots=True)
class GuideWanted:
    """What is asked for: pages (None: all of the layout), times the printed size, a paper to be
    tiled over ("a4", "letter", or None for one large sheet), dots per inch of a PNG."""

    pages: tuple[int, ...] | None = None
    scale: float = craft.GUIDE_SCALE
    paper: str | None = None
    dpi: int = 300
    fonts: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Guides:
    """The files that were written, what was done, in words, and the pages that were drawn."""

    files: tuple[Path, ...]
    told: tuple[str, ...]
    pages: tuple[int, ...] = ()


def make_guides(
    script: str | Path, layout: str | Path, out: Path, wanted: GuideWanted | None = None
) -> Guides:
    """Write sheets to draw on. Raises LettererError, with nothing written."""
    wanted = wanted or GuideWanted()
    _check(out, wanted)
    book, plan = read_book(script, layout)
    numbers = _numbers(book, plan, wanted)
    for number in numbers:
        try:
            whole_of(plan.format, wanted.scale)
        except LettererError as error:
            faults = (replace(fault, file=str(layout), page=number) for fault in error.faults)
            raise LettererError(*faults) from error
    made = compose(book, plan, numbers, wanted.fonts)
    faces = library(wanted.fonts)
    sheets: list[tuple[str, LetteredPage]] = []
    told: list[str] = []
    for page in made.pages:
        there = plan.page(page.number)
        assert there is not None
        title = f"Page {page.number}"
        sheet = guide_sheet(Drawn(page, there, wanted.scale, title, faces))
        left_out = [one.unit for one in page.findings if one.kind == "not placed"]
        if left_out:
            told.append(
                f"{', '.join(left_out)} {'has' if len(left_out) == 1 else 'have'} no place yet and"
                f" {'is' if len(left_out) == 1 else 'are'} not on the sheet."
                " letterer place proposes places."
            )
        told += awkward_panels(there, plan)
        size = sheet.format.trim
        told.append(f"{title}: {_mm(size.width)} by {_mm(size.height)} mm.")
        if wanted.paper is None:
            sheets.append((f"{page.number:03d}", sheet))
            continue
        tiles = tiles_over(size, wanted.paper)
        papers = "sheet" if len(tiles) == 1 else "sheets"
        told[-1] = told[-1][:-1] + f", on {len(tiles)} {papers} of {wanted.paper.upper()}."
        sheets += [
            (f"{page.number:03d}-{tile.number}", tile_page(sheet, tile, title, faces))
            for tile in tiles
        ]
    files = _files(sheets, out, wanted.dpi)
    own = own_files(script, layout, plan)
    for path in (path for path, _ in files):
        refuse_over(path, "the sheet", own)
        if out.parent.is_dir():
            check_file(path)
    make_folder(out.parent)
    for path, data in files:
        write_whole(path, data)
    return Guides(tuple(path for path, _ in files), tuple(told), numbers)


def _mm(points: float) -> str:
    return f"{points / POINTS_PER_INCH * MM_PER_INCH:.0f}"


def _files(
    sheets: Sequence[tuple[str, LetteredPage]], out: Path, dpi: int
) -> list[tuple[Path, bytes]]:
    if out.suffix.lower() == ".pdf":
        return [(out, pdf_sheets([page for _, page in sheets], "Sheets to draw on"))]
    from letterer.out.png import encode_png
    from letterer.out.raster import composed

    return [
        (out.with_name(f"{out.stem}-{name}{out.suffix}"), encode_png(composed(page, dpi, []), dpi))
        for name, page in sheets
    ]


def _check(out: Path, wanted: GuideWanted) -> None:
    faults = []
    if out.suffix.lower() not in KINDS:
        name = out.with_suffix(".pdf").name if out.name else "guide.pdf"
        faults.append(Fault("a sheet to draw on is .pdf or .png", f"Write -o {name}", str(out)))
    low, high = craft.GUIDE_SCALE_RANGE
    if not low <= wanted.scale <= high:
        mend = f"Write a number from {low:g} to {high:g}; {craft.GUIDE_SCALE:g} is usual"
        faults.append(Fault(f"--scale cannot be {wanted.scale:g}", mend))
    if wanted.paper is not None and wanted.paper not in PAPERS:
        mend = f"Choose {' or '.join(PAPERS)}"
        faults.append(Fault(f'--paper cannot be "{wanted.paper}"', mend))
    low, high = craft.DPI_RANGE
    if not low <= wanted.dpi <= high:
        mend = f"Choose a number from {low} to {high}"
        faults.append(Fault(f"{wanted.dpi} dpi is out of range", mend))
    for folder in wanted.fonts:
        if not os.path.isdir(folder):
            faults.append(Fault("there is no such folder of faces", "Check its name", str(folder)))
    if faults:
        raise LettererError(*faults)
    check_folder(out.parent)


def _numbers(book: Script, plan: Layout, wanted: GuideWanted) -> tuple[int, ...]:
    """The pages to draw: those that script and layout both have, or those named."""
    both = tuple(page.number for page in book.pages if plan.page(page.number) is not None)
    if wanted.pages is None:
        if not both:
            what = "script and layout have no page in common"
            raise LettererError(Fault(what, "Add the pages to the layout", plan.file))
        return both
    faults = [
        Fault("the script and the layout do not both have this page", "Check its number", page=page)
        for page in wanted.pages
        if page not in both
    ]
    if faults:
        raise LettererError(*faults)
    return wanted.pages
