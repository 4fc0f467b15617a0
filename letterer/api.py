"""letterer as a library: the same as the command line, in a few calls.

    from letterer.api import Output, compose, letter, read_layout, read_script

    result = letter("script.txt", "layout.json", Output("out", formats=("svg", "png"), dpi=600))

    pages = compose(read_script("script.txt"), read_layout("layout.json")).pages
    from letterer.out.svg import svg_page
    text = svg_page(pages[0])

Whatever a person's files can get wrong is raised as `letterer.errors.LettererError`.
"""

from __future__ import annotations

import os
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
    """What a run did: the pages, the findings that belong to no single page, the files in the order
    written, and what the script and the layout say that may have been meant otherwise."""

    pages: tuple[LetteredPage, ...]
    findings: tuple[Finding, ...]
    files: tuple[Path, ...]
    summary: str
    remarks: tuple[Fault, ...] = ()


Progress = Callable[[str, float], None]
"""Called after each step of a long run, with a few words and the share that is done, 0 to 1."""


def _silent(words: str, share: float) -> None:
    """The progress of a run that nobody watches."""


def compose(
    script: Script,
    layout: Layout,
    pages: Sequence[int] | None = None,
    fonts: Sequence[Path] = (),
    progress: Progress = _silent,
) -> Composed:
    """Letter the pages of a script by a layout; nothing is written.

    Faults of all pages are gathered and raised together as one LettererError.
    """
    from letterer.page.compose import compose_page, pages_to_letter
    from letterer.text.faces import library

    every, findings = pages_to_letter(script, layout)
    chosen = every if pages is None else [_page(script, number) for number in pages]
    faces = library(tuple(fonts))
    made: list[LetteredPage] = []
    faults: list[Fault] = []
    for count, page in enumerate(chosen, 1):
        try:
            made.append(compose_page(page, layout, faces))
        except LettererError as error:
            faults += [_located(fault, script, layout) for fault in error.faults]
        progress(f"page {page.number} lettered", count / len(chosen))
    if faults:
        raise LettererError(*dict.fromkeys(faults))
    if pages is not None:
        findings = [finding for finding in findings if finding.page in pages]
    return Composed(tuple(made), tuple(findings))


def letter(
    script: str | Path,
    layout: str | Path,
    output: Output,
    progress: Progress = _silent,
) -> Result:
    """Read a script and a layout, letter the pages, and write them into a folder.

    Every page is lettered before the first file is written; each file is written whole or not at
    all. Raises LettererError.
    """
    from letterer.out.files import make_folder, write_whole
    from letterer.out.report import report_json, summary

    _check(output)
    book = _read(script, layout)
    numbers = _numbers(book[0], output)
    _check_targets(_targets(numbers, output), (script, layout), book[1], output)
    _check_pictures(numbers, book[1], output)
    kinds = tuple(dict.fromkeys(output.formats))
    steps = len(numbers) * (1 + len(kinds))
    composed = compose(
        *book,
        output.pages,
        output.fonts,
        lambda words, share: progress(words, share * len(numbers) / steps),
    )
    folder = Path(output.folder)
    make_folder(folder)
    files: list[Path] = []
    for page in composed.pages:
        for kind in kinds:
            path = folder / file_name(page.number, kind)
            write_whole(path, _written(page, kind, output.dpi))
            files.append(path)
            progress(f"{path.name} written", (len(numbers) + len(files)) / steps)
    remarks = _remarks(*book, numbers)
    if output.report is not None:
        path = Path(output.report)
        write_whole(path, report_json(composed.pages, composed.findings, remarks).encode())
        files.append(path)
    told = summary(composed.pages, composed.findings, len(files), remarks)
    return Result(composed.pages, composed.findings, tuple(files), told, remarks)


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
        if not all(
            end.isdecimal() and len(end) <= 9 for end in ((first, last) if dash else (first,))
        ):
            told = text if len(text) <= 40 else f"{text[:40]}..."
            raise LettererError(
                Fault(f'"{told}" does not say which pages', "Write them like 1-3,5")
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
        if not os.path.isdir(folder):
            raise LettererError(
                Fault("there is no such folder of faces", "Check its name", str(folder))
            )
    for told, path in (("folder to write into", output.folder), ("report", output.report)):
        if path is not None and not str(path):
            raise LettererError(Fault(f"the {told} has no name", "Give it one, or leave it out"))


def _numbers(script: Script, output: Output) -> tuple[int, ...]:
    """The pages to be lettered."""
    if output.pages is None:
        return tuple(page.number for page in script.pages)
    return tuple(_page(script, number).number for number in output.pages)


def _targets(numbers: Sequence[int], output: Output) -> list[tuple[int, Path]]:
    """The page files that will be written, each with its page."""
    folder = Path(output.folder)
    return [
        (number, folder / file_name(number, kind)) for number in numbers for kind in output.formats
    ]


def _check_targets(
    targets: Sequence[tuple[int, Path]],
    sources: tuple[str | Path, str | Path],
    layout: Layout,
    output: Output,
) -> None:
    """Refuse, before any work, what cannot be written and what would take a person's file away."""
    from letterer.out.files import check_file, check_folder, same_file

    check_folder(Path(output.folder))
    own = [("the script", Path(sources[0])), ("the layout", Path(sources[1]))]
    own += [(f"the art of page {plan.number}", plan.art.file) for plan in layout if plan.art]
    faults = [
        Fault(f"this page would be written over {name}", "Choose another folder", str(path), page=n)
        for n, path in targets
        if path.exists()
        for name, source in own
        if same_file(path, source)
    ]
    if output.report is not None:
        report = Path(output.report)
        # The folder for the pages is made before the report is written.
        if os.path.isdir(output.folder) or not same_file(report.parent, output.folder):
            check_file(report)
        own += [(f"page {number}", path) for number, path in targets]
        name = next((name for name, source in own if same_file(report, source)), "")
        if not name and not _may_hold_report(report):
            name = "a file that is no report"
        if name:
            what, mend = f"the report would be written over {name}", "Give it another name"
            faults.append(Fault(what, mend, str(report)))
    if faults:
        raise LettererError(*faults)


def _may_hold_report(path: Path) -> bool:
    """True where nothing is lost when a report is written: nothing there, an older report."""
    from letterer.out.report import is_report

    try:
        with path.open("rb") as file:
            return is_report(file.read(100))
    except FileNotFoundError:
        return True
    except (OSError, ValueError):
        return False


def _check_pictures(numbers: Sequence[int], layout: Layout, output: Output) -> None:
    """Refuse, before any work, pages too large for memory and art that is missing or broken."""
    from letterer.out.raster import load_skia, pixel_size, read_art

    resolutions = [output.dpi] if "png" in output.formats else []
    resolutions += [craft.DPI_PREVIEW] if "preview" in output.formats else []
    if not resolutions:
        return
    load_skia()
    for dpi in resolutions:
        pixel_size(LetteredPage(numbers[0], layout.format, ()), dpi)
    faults: list[Fault] = []
    for number in numbers if "preview" in output.formats else ():
        plan = layout.page(number)
        try:
            if plan is not None and plan.art is not None:
                read_art(plan.art.file, number)
        except LettererError as error:
            faults += error.faults
    if faults:
        raise LettererError(*faults)


def _remarks(script: Script, layout: Layout, numbers: Sequence[int]) -> tuple[Fault, ...]:
    """What may have been meant otherwise than it was written, on the pages lettered."""
    told: list[Fault] = []
    for remark in script.remarks:
        begun = [page.number for page in script.pages if page.line <= remark.line]
        if not begun or begun[-1] in numbers:
            told.append(Fault(remark.what, remark.mend, script.file, remark.line))
    told += [remark for remark in layout.remarks if not remark.page or remark.page in numbers]
    return tuple(told)


def _written(page: LetteredPage, kind: str, dpi: int) -> bytes:
    if kind == "svg":
        from letterer.out.svg import svg_page

        return svg_page(page).encode()
    from letterer.out.raster import png_page, preview_page

    return png_page(page, dpi) if kind == "png" else preview_page(page, craft.DPI_PREVIEW)


def _page(script: Script, number: int) -> Page:
    page = script.page(number)
    if page is None:
        known = _as_ranges([page.number for page in script.pages])
        raise LettererError(
            Fault(f"the script has no page {number}", f"It has {known}", script.file)
        )
    return page


def _as_ranges(numbers: Sequence[int]) -> str:
    """Page numbers as a person would write them: "page 4", "pages 1-3, 5"."""
    told: list[tuple[int, int]] = []
    for number in sorted(numbers):
        if told and number == told[-1][1] + 1:
            told[-1] = (told[-1][0], number)
        else:
            told.append((number, number))
    words = ", ".join(f"{low}-{high}" if low < high else f"{low}" for low, high in told)
    return f"page {words}" if len(numbers) == 1 else f"pages {words}"


def _located(fault: Fault, script: Script, layout: Layout) -> Fault:
    """A fault of a unit with the script's file and the unit's line; any other is the layout's."""
    if fault.file:
        return fault
    unit = next((unit for unit in script.units if unit.id == fault.unit), None)
    if unit is None:
        return replace(fault, file=layout.file)
    return replace(fault, file=script.file, line=unit.line)
