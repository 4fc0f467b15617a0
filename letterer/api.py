"""letterer as a library: the same as the command line, in a few calls.

    from letterer.api import Output, compose, letter, read_layout, read_script

    result = letter("script.txt", "layout.json", Output("out", formats=("svg", "png"), dpi=600))

    pages = compose(read_script("script.txt"), read_layout("layout.json")).pages
    from letterer.out.svg import svg_page
    text = svg_page(pages[0])

Whatever a person's files can get wrong is raised as `letterer.errors.LettererError`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from letterer import craft
from letterer.errors import Fault, LettererError, nearest
from letterer.model.layout_reader import read_layout
from letterer.model.plan import Layout
from letterer.model.script import Page, Script
from letterer.model.script_reader import read_script
from letterer.page.lettered import Finding, LetteredPage

__all__ = ["Composed", "Output", "Result", "compose", "letter", "read_layout", "read_script"]

FORMATS = ("svg", "png", "preview")
"""What a page can be written as: SVG, transparent PNG, PNG over its art on white."""


@dataclass(frozen=True, slots=True)
class Output:
    """What to write, and where.

    `formats` are some of `FORMATS`; `dpi` is for the PNG; `pages` are page numbers, None for all;
    `report` is a JSON file; `fonts` are folders with faces of the person's own.
    """

    folder: str | Path
    formats: tuple[str, ...] = ("svg", "png")
    dpi: int = craft.DPI_USUAL
    pages: tuple[int, ...] | None = None
    report: str | Path | None = None
    fonts: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Composed:
    """Lettered pages, and the findings that belong to no single page of them."""

    pages: tuple[LetteredPage, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Result:
    """What a run did: the pages, all findings, and the files in the order written."""

    pages: tuple[LetteredPage, ...]
    findings: tuple[Finding, ...]
    files: tuple[Path, ...]
    summary: str


Progress = Callable[[str], None]
"""Called with a few words after each step of a long run."""


def compose(
    script: Script,
    layout: Layout,
    pages: Sequence[int] | None = None,
    fonts: Sequence[Path] = (),
    progress: Progress = lambda _: None,
) -> Composed:
    """Letter the pages of a script by a layout; nothing is written.

    Faults of all pages are gathered and raised together as one LettererError.
    """
    from letterer.page.compose import check_kinds, compose_page, pages_to_letter
    from letterer.text.faces import library

    check_kinds(layout)
    every, findings = pages_to_letter(script, layout)
    chosen = every if pages is None else [_page(script, number) for number in pages]
    faces = library(tuple(fonts))
    made: list[LetteredPage] = []
    faults: list[Fault] = []
    for page in chosen:
        try:
            made.append(compose_page(page, layout, faces))
        except LettererError as error:
            faults += [_located(fault, script) for fault in error.faults]
        progress(f"page {page.number} lettered")
    if faults:
        raise LettererError(*faults)
    if pages is not None:
        findings = [finding for finding in findings if finding.page in pages]
    return Composed(tuple(made), tuple(findings))


def letter(
    script: str | Path,
    layout: str | Path,
    output: Output,
    progress: Progress = lambda _: None,
) -> Result:
    """Read a script and a layout, letter the pages, and write them into a folder.

    Every page is lettered before the first file is written; each file is written whole or not at
    all. Raises LettererError.
    """
    from letterer.out.files import make_folder, write_whole
    from letterer.out.report import report_json, summary

    _check(output)
    read = _read(script, layout)
    composed = compose(*read, output.pages, output.fonts, progress)
    folder = Path(output.folder)
    if "png" in output.formats or "preview" in output.formats:
        _check_size(composed.pages, output)
    make_folder(folder)
    files: list[Path] = []
    for page in composed.pages:
        for kind in dict.fromkeys(output.formats):
            path = folder / file_name(page.number, kind)
            write_whole(path, _written(page, kind, output.dpi))
            files.append(path)
            progress(f"{path.name} written")
    if output.report is not None:
        path = Path(output.report)
        write_whole(path, report_json(composed.pages, composed.findings).encode())
        files.append(path)
    told = summary(composed.pages, composed.findings, len(files))
    return Result(composed.pages, composed.findings, tuple(files), told)


def file_name(page: int, kind: str) -> str:
    """The name of a page's file.

    >>> file_name(3, "svg"), file_name(12, "preview")
    ('page-003.svg', 'page-012-preview.png')
    """
    return f"page-{page:03d}-preview.png" if kind == "preview" else f"page-{page:03d}.{kind}"


def page_numbers(text: str) -> tuple[int, ...]:
    """The numbers that a person means by "1-3,5". Raises LettererError.

    >>> page_numbers("1-3,5")
    (1, 2, 3, 5)
    """
    numbers: dict[int, None] = {}
    for part in text.replace(" ", "").split(","):
        first, dash, last = part.partition("-")
        if not (first.isdecimal() and (last.isdecimal() if dash else True)):
            raise LettererError(
                Fault(f'"{text}" does not say which pages', "Write them like 1-3,5")
            )
        low, high = int(first), int(last or first)
        if low > high or high - low > 9999 or low == 0:
            raise LettererError(
                Fault(f'"{part}" is no range of pages', "Write the lower number first, from 1")
            )
        numbers.update(dict.fromkeys(range(low, high + 1)))
    return tuple(numbers)


def _read(script: str | Path, layout: str | Path) -> tuple[Script, Layout]:
    """Both files; the faults of both are raised together."""
    faults: list[Fault] = []
    read_script_file: Script | None = None
    read_layout_file: Layout | None = None
    try:
        read_script_file = read_script(script)
    except LettererError as error:
        faults += error.faults
    try:
        read_layout_file = read_layout(layout)
    except LettererError as error:
        faults += error.faults
    if read_script_file is None or read_layout_file is None:
        raise LettererError(*faults)
    return read_script_file, read_layout_file


def _check(output: Output) -> None:
    for kind in output.formats:
        if kind not in FORMATS:
            near = nearest(kind, FORMATS)
            mend = f"Did you mean {near}?" if near else f"Choose from {', '.join(FORMATS)}"
            raise LettererError(Fault(f'"{kind}" is no format that can be written', mend))
    if not output.formats:
        raise LettererError(Fault("no format is named", f"Choose from {', '.join(FORMATS)}"))
    low, high = craft.DPI_RANGE
    if not low <= output.dpi <= high:
        raise LettererError(
            Fault(f"{output.dpi} dpi is out of range", f"Choose a number from {low} to {high}")
        )
    for folder in output.fonts:
        if not folder.is_dir():
            raise LettererError(Fault("there is no such folder of faces", file=str(folder)))


def _check_size(pages: Sequence[LetteredPage], output: Output) -> None:
    """Refuse pages too large for memory, and art that is missing, before anything is written."""
    from letterer.out.raster import load_skia, pixel_size, read_art

    load_skia()
    for page in pages:
        pixel_size(page, output.dpi if "png" in output.formats else craft.DPI_PREVIEW)
        if "preview" in output.formats and page.art is not None:
            read_art(page.art.file, page.number)


def _written(page: LetteredPage, kind: str, dpi: int) -> bytes:
    if kind == "svg":
        from letterer.out.svg import svg_page

        return svg_page(page).encode()
    from letterer.out.raster import png_page, preview_page

    return png_page(page, dpi) if kind == "png" else preview_page(page, craft.DPI_PREVIEW)


def _page(script: Script, number: int) -> Page:
    page = script.page(number)
    if page is None:
        known = ", ".join(str(page.number) for page in script.pages)
        raise LettererError(
            Fault(f"the script has no page {number}", f"Its pages are {known}", script.file)
        )
    return page


def _located(fault: Fault, script: Script) -> Fault:
    """A fault about a unit with the script's file and the unit's line."""
    unit = next((unit for unit in script.units if unit.id == fault.unit), None)
    if unit is None or fault.file:
        return fault
    return replace(fault, file=script.file, line=unit.line)
