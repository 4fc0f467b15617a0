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
from typing import TYPE_CHECKING

from letterer import craft
from letterer.errors import (
    Fault,
    LettererError,
    nearest,
    together,
)
from letterer.model.script import Page, Panel, Script
from letterer.model.script_reader import read_script
from letterer.page.lettered import Finding, LetteredPage, Severity

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from letterer.jobs import PageDone, PageJob
    from letterer.model.plan import Layout

__all__ = ["Composed", "Output", "Result", "compose", "letter", "read_layout", "read_script"]

FORMATS = ("svg", "png", "preview", "pdf", "ora")
"""What pages can be written as: SVG, transparent PNG, PNG over the art on white; one PDF of all
pages of the run; a layered picture of each page (OpenRaster)."""

PDF_WORDS = ("outlines", "text")
"""How a PDF holds words: as shapes with text that is not seen under them, or as text in its own
faces, of which the file then holds a part."""

SPACED_FOLDER = "spaced"
"""Where spaced pages go, within the folder for pages: they have the same names as the plain ones,
and would be written over them."""

JOBS_MOST = 256
"""More processes than the largest machines have cores."""


@dataclass(frozen=True, slots=True)
class Output:
    """What to write, and where.

    `formats` are some of `FORMATS`; `dpi` is for PNG and layers; `pages` are numbers, None for all;
    `report` is a JSON file; `fonts` are folders with faces of the person's own. `jobs` is how many
    processes letter pages side by side: 1 for this process alone, None for what suits the number of
    pages and the machine. `cache` is a folder in which drawn pages are kept, so that the next run
    draws only what changed (`letterer.cache.store.usual_folder` gives the person's own); None for
    none. The files are the same to the byte. `spaced` letters the book with wider letters and
    words, into a folder `SPACED_FOLDER` within `folder`. For the PDF, `over_art` lays the pages
    over their art, `overprint` prints black lettering over colours instead of leaving gaps in them,
    and `pdf_words` is one of `PDF_WORDS`.
    """

    folder: str | Path
    formats: tuple[str, ...] = ("svg", "png")
    dpi: int = craft.DPI_USUAL
    pages: tuple[int, ...] | None = None
    report: str | Path | None = None
    fonts: tuple[Path, ...] = ()
    jobs: int | None = 1
    cache: str | Path | None = None
    spaced: bool = False
    over_art: bool = False
    overprint: bool = False
    pdf_words: str = PDF_WORDS[0]


@dataclass(frozen=True, slots=True)
class Composed:
    """Lettered pages, and the findings that belong to no single page of them."""

    pages: tuple[LetteredPage, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Result:
    """What a run did: the pages, the findings that belong to no single page, the files in the order
    of the pages, and what the script and the layout say that may have been meant otherwise.

    The pages have all that was found and measured; their drawn paths are in the files, and
    `compose` gives them. `failed` are the pages that could not be finished, and `faults` say why;
    the other pages are whole. `unchanged` are the pages that were kept from an earlier run, and not
    drawn again; their files that stood there already were left alone.
    """

    pages: tuple[LetteredPage, ...]
    findings: tuple[Finding, ...]
    files: tuple[Path, ...]
    summary: str
    remarks: tuple[Fault, ...] = ()
    failed: tuple[int, ...] = ()
    faults: tuple[Fault, ...] = ()
    unchanged: tuple[int, ...] = ()


Progress = Callable[[str, float], None]
"""Called after each step of a long run, with a few words and the share that is done, 0 to 1."""


def _silent(words: str, share: float) -> None:
    """The progress of a run that nobody watches."""


def read_layout(path: str | Path) -> Layout:
    """The layout in a file. Raises LettererError with every fault found."""
    # What reads a layout is the most that is read at a start: see `_make_ready`.
    from letterer.model import layout_reader

    return layout_reader.read_layout(path)


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
    from letterer.page.compose import compose_page
    from letterer.page.planned import pages_to_letter
    from letterer.text.faces import library

    (_, layout), told_of_edits = _matched(script, layout, fonts)
    every, _ = pages_to_letter(script, layout)
    chosen = every if pages is None else [_page(script, number) for number in pages]
    faces = library(tuple(fonts))
    made: list[LetteredPage] = []
    faults: list[Fault] = []
    for count, page in enumerate(chosen, 1):
        try:
            made.append(compose_page(page, layout, faces))
        except LettererError as error:
            faults += [located(fault, script, layout.file) for fault in error.faults]
        progress(f"page {page.number} lettered", count / len(chosen))
    if faults:
        raise LettererError(*dict.fromkeys(faults))
    findings = _on_pages(told_of_edits, pages) + _of_the_book(script, layout, pages)
    return Composed(tuple(made), findings)


def letter(
    script: str | Path,
    layout: str | Path,
    output: Output,
    progress: Progress = _silent,
    executor: Executor | None = None,
) -> Result:
    """Read a script and a layout, letter the pages, and write them into a folder.

    Each file is written whole or not at all. A page that fails does not stop the others; the result
    names it. An `executor` with the interface of `concurrent.futures.Executor` letters the pages
    instead of `output.jobs` processes; it is left running. Raises LettererError for what is wrong
    with the script, the layout or the output as a whole, before anything is written, and when not
    one page could be finished.
    """
    check_output(output)
    output = replace(output, folder=pages_folder(output))

    def begin(found: Script) -> None:
        if executor is None and output.cache is None:
            _make_ready(len(output.pages or found.pages), output)

    read = read_book(script, layout, begin)

    from letterer.out.files import write_whole
    from letterer.out.report import report_json, summary
    from letterer.reuse import Reuse, cache_in

    cache = cache_in(output.cache, output.fonts)
    book, told_of_edits = _matched(*read, output.fonts)
    if output.spaced:
        book = (book[0], replace(book[1], style=book[1].style.spaced()))
    numbers = tuple(dict.fromkeys(_numbers(book[0], output)))
    _check_targets(_targets(numbers, output), (script, layout), book[1], output)
    reuse = Reuse([_job(book, number, output) for number in numbers], cache)
    if executor is None and output.cache is not None:
        _make_ready(len(reuse.left), output)
    told_of_pictures = _check_pictures(reuse.left, book[1], output)
    given = _as_given(book[1], numbers, output)
    done: list[PageDone] = []
    for one in reuse.run(output.jobs, executor):
        done.append(replace(one, faults=tuple(_named(fault, given) for fault in one.faults)))
        ended = "failed" if one.faults else "unchanged" if one.kept else "lettered"
        progress(f"page {one.number} {ended}", len(done) / len(numbers))
    done.sort(key=lambda one: numbers.index(one.number))
    faults = tuple(
        dict.fromkeys(located(fault, book[0], book[1].file) for one in done for fault in one.faults)
    )
    failed = tuple(one.number for one in done if one.faults)
    folder = Path(output.folder)
    files = [folder / name for one in done for name in one.names]
    if failed and len(failed) == len(done):
        raise LettererError(*faults)
    pages = tuple(one.page for one in done if one.page is not None and not one.faults)
    findings = _on_pages(told_of_edits, output.pages) + _of_the_book(*book, output.pages)
    remarks = (*_remarks(*book, numbers), *told_of_pictures)
    if "pdf" in output.formats and not failed:
        files.append(_write_book(done, book, output))
    if output.report is not None:
        path = Path(output.report)
        failures = [_failure(one, book) for one in done if one.faults]
        write_whole(path, report_json(pages, [*findings, *failures], remarks).encode())
        files.append(path)
    untouched = sum(len(one.untouched) for one in done)
    told = summary(pages, findings, len(files) - untouched, remarks)
    unchanged = tuple(one.number for one in done if one.kept)
    if unchanged:
        told += f"\n{_unchanged(len(unchanged), len(done))}"
    if failed:
        told += f"\nNot finished: {as_ranges(failed)}."
        if "pdf" in output.formats:
            told += "\nThe PDF is not written: it would lack what is not finished."
    return Result(pages, findings, tuple(files), told, remarks, failed, faults, unchanged)


def pages_folder(output: Output) -> Path:
    """The folder that the pages go into."""
    return Path(output.folder, SPACED_FOLDER) if output.spaced else Path(output.folder)


def _make_ready(pages: int, output: Output) -> None:
    """Let processes begin to read the packages, where so many pages will be lettered by several, so
    that they are ready when the layout is read."""
    from letterer.jobs import usual_jobs

    if pages > 1 and (output.jobs or usual_jobs(pages)) > 1:
        from letterer.processes import make_ready

        make_ready()


def _job(book: tuple[Script, Layout], number: int, output: Output) -> PageJob:
    """The job of one page."""
    from letterer.jobs import PageJob

    return PageJob(
        page=_words_only(_page(book[0], number)),
        layout=_for_page(book[1], number),
        folder=Path(output.folder).absolute(),
        kinds=tuple(dict.fromkeys(output.formats)),
        dpi=output.dpi,
        fonts=tuple(Path(folder).absolute() for folder in output.fonts),
        overprint=output.overprint,
        as_text=output.pdf_words == "text",
    )


def _write_book(done: Sequence[PageDone], book: tuple[Script, Layout], output: Output) -> Path:
    """Write the PDF of a run; gives its path. Raises LettererError."""
    from letterer.out.book import write_book

    path = _book_path(output)
    pieces = (one.piece for one in done if one.piece is not None)
    given = _as_given(book[1], (), output)
    try:
        write_book(path, pieces, book, output.over_art)
    except LettererError as error:
        raise LettererError(*(_named(fault, given) for fault in error.faults)) from error
    return path


def _book_path(output: Output) -> Path:
    from letterer.out.book import book_name

    return Path(output.folder) / book_name(output.pages, output.over_art)


def _named(fault: Fault, given: dict[str, str]) -> Fault:
    """A fault with its file as the person named it."""
    return replace(fault, file=given.get(fault.file, fault.file))


def _unchanged(pages: int, of: int) -> str:
    """How much of a book was not drawn again.

    >>> print(_unchanged(20, 22), _unchanged(1, 1))
    20 of 22 pages unchanged. The page is unchanged.
    """
    if pages < of:
        return f"{pages} of {of} pages unchanged."
    return "The page is unchanged." if of == 1 else f"All {of} pages are unchanged."


def _as_given(layout: Layout, numbers: Sequence[int], output: Output) -> dict[str, str]:
    """Files by the absolute names that jobs know them by, each as the person named it."""
    files = [path for _, path in _targets(numbers, output)]
    files += [Path(output.folder), *map(Path, output.fonts)]
    files += [plan.art.file for plan in layout if plan.art]
    return {str(file.absolute()): str(file) for file in files}


def _words_only(page: Page) -> Page:
    """A page with what lettering needs of it. Stage direction and the lines it all stands on are
    left out, so that a page is the same to it when only those change."""
    panels = (
        Panel(panel.number, tuple(replace(unit, line=0) for unit in panel.units))
        for panel in page.panels
    )
    return Page(page.number, tuple(panels))


def _for_page(layout: Layout, number: int) -> Layout:
    """A layout with what one page needs of it: less to send to another process, and less that
    makes it another page."""
    from letterer.model.plan import Parked

    plan = layout.page(number)
    if plan is not None and plan.art is not None:
        plan = replace(plan, art=replace(plan.art, file=plan.art.file.absolute()))
    pages = (plan,) if plan else ()
    return replace(layout, pages=pages, remarks=(), accepted=(), parked=Parked())


def _of_the_book(
    script: Script, layout: Layout, chosen: Sequence[int] | None
) -> tuple[Finding, ...]:
    """Findings that belong to no single page; with pages chosen, those on them."""
    from letterer.page.planned import pages_to_letter

    _, findings = pages_to_letter(script, layout)
    return tuple(one for one in findings if chosen is None or one.page in chosen)


def _failure(done: PageDone, book: tuple[Script, Layout]) -> Finding:
    """A page that failed, as the report tells it."""
    why = str(located(done.faults[0], book[0], book[1].file))
    what = f"this page could not be finished: {why.rstrip('.')}"
    return Finding(Severity.PROBLEM, "not finished", what, page=done.number)


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


def read_book(
    script: str | Path, layout: str | Path, between: Callable[[Script], object] | None = None
) -> tuple[Script, Layout]:
    """A script and a layout; `between` is called with the script when that is read.

    Raises LettererError, with the faults of both together.
    """

    def first() -> Script:
        found = read_script(script)
        if between is not None:
            between(found)
        return found

    return together(first, lambda: read_layout(layout))


def _matched(
    script: Script, layout: Layout, fonts: Sequence[Path]
) -> tuple[tuple[Script, Layout], tuple[Finding, ...]]:
    """The book with the layout as an edited script needs it, and what there is to tell of it."""
    if not layout.is_remembered:  # there is nothing to match by: what matches is not even read
        return (script, layout), ()

    from letterer.revise import matched
    from letterer.text.faces import library

    plan, findings = matched(script, layout, library(tuple(fonts)))
    return (script, plan), findings


def _on_pages(findings: Sequence[Finding], pages: Sequence[int] | None) -> tuple[Finding, ...]:
    """The findings of some pages, and those of none."""
    return tuple(one for one in findings if pages is None or not one.page or one.page in pages)


def check_output(output: Output) -> None:
    """Raise LettererError where the output as a whole cannot be used, whatever the pages."""
    for kind in output.formats:
        if kind not in FORMATS:
            near = nearest(kind, FORMATS)
            mend = f"Did you mean {near}?" if near else f"Choose from {', '.join(FORMATS)}"
            raise LettererError(Fault(f'"{kind}" is no format that can be written', mend))
    if not output.formats:
        raise LettererError(Fault("no format is named", f"Choose from {', '.join(FORMATS)}"))
    if output.pdf_words not in PDF_WORDS:
        mend = f"Choose from {', '.join(PDF_WORDS)}"
        raise LettererError(Fault(f'--pdf-words "{output.pdf_words}" is not known', mend))
    for_pdf = {
        "over-art": output.over_art,
        "overprint": output.overprint,
        "pdf-words": output.pdf_words != PDF_WORDS[0],
    }
    for name, wanted in for_pdf.items():
        if wanted and "pdf" not in output.formats:
            what, mend = f"--{name} is for a PDF, and none is asked for", "Add pdf to the formats"
            raise LettererError(Fault(what, mend))
    low, high = craft.DPI_RANGE
    if not low <= output.dpi <= high:
        raise LettererError(
            Fault(f"{output.dpi} dpi is out of range", f"Choose a number from {low} to {high}")
        )
    if output.jobs is not None and not 1 <= output.jobs <= JOBS_MOST:
        what = f"{output.jobs} is no number of pages to letter side by side"
        raise LettererError(Fault(what, f"Choose a number from 1 to {JOBS_MOST}"))
    from letterer.out.files import check_faces

    check_faces(output.fonts)
    for told, path in (("folder to write into", output.folder), ("report", output.report)):
        if path is not None and not str(path):
            raise LettererError(Fault(f"the {told} has no name", "Give it one, or leave it out"))


def _numbers(script: Script, output: Output) -> tuple[int, ...]:
    """The pages to be lettered."""
    if output.pages is None:
        return tuple(page.number for page in script.pages)
    return tuple(_page(script, number).number for number in output.pages)


def _targets(numbers: Sequence[int], output: Output) -> list[tuple[int, Path]]:
    """The files that will be written, each with its page; the PDF of all has page 0."""
    from letterer.out.writers import file_name

    folder = Path(output.folder)
    single = [kind for kind in output.formats if kind != "pdf"]
    found = [(number, folder / file_name(number, kind)) for number in numbers for kind in single]
    return found if len(single) == len(output.formats) else [*found, (0, _book_path(output))]


def _check_targets(
    targets: Sequence[tuple[int, Path]],
    sources: tuple[str | Path, str | Path],
    layout: Layout,
    output: Output,
) -> None:
    """Refuse, before any work, what cannot be written and what would take a person's file away."""
    from letterer.out.files import check_file, check_folder, own_files, same_file

    check_folder(Path(output.folder))
    own = own_files(*sources, layout)
    faults = [
        Fault(f"{told} would be written over {name}", "Choose another folder", str(path), page=n)
        for n, path in targets
        if path.exists()
        for told in ["this page" if n else "the PDF"]
        for name, source in own
        if same_file(path, source)
    ]
    if output.report is not None:
        report = Path(output.report)
        # The folder for the pages is made before the report is written.
        folders = (Path(output.folder), *Path(output.folder).parents)
        if report.parent.is_dir() or not any(same_file(report.parent, one) for one in folders):
            check_file(report)
        own += [(f"page {number}" if number else "the PDF", path) for number, path in targets]
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


def _check_pictures(jobs: Sequence[PageJob], layout: Layout, output: Output) -> tuple[Fault, ...]:
    """Refuse, before any work, pages too large for memory and art that is missing or broken; gives
    what is to be told of the art."""
    from letterer.out.art import read_art, told_of_art
    from letterer.out.canvas import load_skia
    from letterer.out.raster import pixel_size

    known = {"png": output.dpi, "preview": craft.DPI_PREVIEW, "ora": output.dpi}
    first = {kind: job.page.number for job in reversed(jobs) for kind in job.kinds if kind in known}
    if first:
        load_skia()
    for kind, number in first.items():
        pixel_size(LetteredPage(number, layout.format, ()), known[kind])
    faults: list[Fault] = []
    told: list[Fault] = []
    over_art = {"preview", "ora", *(["pdf"] if output.over_art else [])}
    for job in (job for job in jobs if over_art & set(job.kinds)):
        number = job.page.number
        plan = layout.page(number)
        try:
            if plan is not None and plan.art is not None:
                size = read_art(plan.art.file, number).size
                for_print = bool(over_art & set(job.kinds) - {"preview"})
                printed = for_print and layout.measure.is_printed
                told += told_of_art(size, plan.art, number, printed)
        except LettererError as error:
            faults += error.faults
    if faults:
        raise LettererError(*faults)
    return tuple(told)


def _remarks(script: Script, layout: Layout, numbers: Sequence[int]) -> tuple[Fault, ...]:
    """What may have been meant otherwise than it was written, on the pages lettered."""
    told: list[Fault] = []
    for remark in script.remarks:
        begun = [page.number for page in script.pages if page.line <= remark.line]
        if not begun or begun[-1] in numbers:
            told.append(Fault(remark.what, remark.mend, script.file, remark.line))
    told += [remark for remark in layout.remarks if not remark.page or remark.page in numbers]
    return tuple(told)


def _page(script: Script, number: int) -> Page:
    page = script.page(number)
    if page is None:
        known = as_ranges([page.number for page in script.pages])
        raise LettererError(
            Fault(f"the script has no page {number}", f"It has {known}", script.file)
        )
    return page


def as_ranges(numbers: Sequence[int]) -> str:
    """Page numbers as a person would write them: "page 4", "pages 1-3, 5"."""
    told: list[tuple[int, int]] = []
    for number in sorted(numbers):
        if told and number == told[-1][1] + 1:
            told[-1] = (told[-1][0], number)
        else:
            told.append((number, number))
    words = ", ".join(f"{low}-{high}" if low < high else f"{low}" for low, high in told)
    return f"page {words}" if len(numbers) == 1 else f"pages {words}"


def located(fault: Fault, script: Script, elsewhere: str = "") -> Fault:
    """A fault of a unit with the script's file and the unit's line; any other is of the file
    `elsewhere`."""
    if fault.file:
        return fault
    unit = next((unit for unit in script.units if unit.id == fault.unit), None)
    if unit is None:
        return replace(fault, file=elsewhere)
    return replace(fault, file=script.file, line=unit.line)
