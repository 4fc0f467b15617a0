"""Pages as jobs: each goes from words to files by itself, here, in processes beside this one, or
wherever an executor has its workers.

A job holds all that it needs and gives back what it did, so both travel between processes. It
writes the same bytes wherever it runs, each file whole or not at all; one that is run again, after
its worker was lost, writes the same files once more, and nothing comes twice. A page that fails is
told with its reason, and the others go on.
"""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any, TypeVar

from letterer.errors import Fault, LettererError
from letterer.geometry import Path
from letterer.page.lettered import Finding, Layer, LetteredPage, PlacedUnit
from letterer.saving import clear_left

if TYPE_CHECKING:
    from concurrent.futures import Executor, Future

    from letterer.cache.pages import Keeping
    from letterer.model.plan import Layout
    from letterer.model.script import Page
    from letterer.out.pdf_page import PdfPage

Drawn = TypeVar("Drawn", LetteredPage, PlacedUnit)

PAGES_FOR_A_PROCESS = 4
"""A second process takes about as long to begin as four pages take to letter."""


@dataclass(frozen=True, slots=True)
class PageJob:
    """One page to be lettered, and written in some formats into a folder.

    The folder and the fonts' folders are absolute, so that they mean the same to every worker.
    `keep` says where what was drawn is kept for the next time, if it is. `overprint` and `as_text`
    are for the PDF, as in `letterer.out.pdf_page`.
    """

    page: Page
    layout: Layout
    folder: FilePath
    kinds: tuple[str, ...]
    dpi: int
    fonts: tuple[FilePath, ...] = ()
    keep: Keeping | None = None
    overprint: bool = False
    as_text: bool = False

    def kept_as(self, kind: str) -> str:
        """What tells a format that is kept from others: a piece of a PDF may be made otherwise."""
        if kind != "pdf":
            return kind
        over, text = (" over" if self.overprint else ""), (" text" if self.as_text else "")
        return f"pdf{over}{text}"


@dataclass(frozen=True, slots=True)
class PageDone:
    """What became of a page: the page without its drawn paths, which are in its files, or None;
    the names of its files; and what went wrong, if anything. Of a page that was `kept` from an
    earlier run nothing was drawn; files that stood there already, to the byte, are `untouched`.
    `piece` is the page as a piece of the PDF of the run, where one is made."""

    number: int
    page: LetteredPage | None = None
    names: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()
    untouched: tuple[str, ...] = ()
    kept: bool = False
    piece: PdfPage | None = None


ONE_AT_A_TIME = threading.Lock()
"""Executors may run jobs in threads. Lettering holds the interpreter nearly all the time, so
threads would gain nothing; one at a time, they cannot trip over one another either."""


def do_page(job: PageJob) -> PageDone:
    """Letter one page and write its files. What goes wrong is part of what is given back."""
    with ONE_AT_A_TIME:
        return _done(job)


def _done(job: PageJob) -> PageDone:
    from letterer.out.files import make_folder, write_parts
    from letterer.out.writers import PAGE_WRITERS, file_name
    from letterer.page.compose import compose_page
    from letterer.text.faces import library

    number = job.page.number
    lettered: LetteredPage | None = None
    piece: PdfPage | None = None
    notes: tuple[Finding, ...] = ()
    names: list[str] = []
    faults: tuple[Fault, ...] = ()
    try:
        page = compose_page(job.page, job.layout, library(job.fonts))
        lettered = without_paths(page)
        make_folder(job.folder)
        for kind in job.kinds:
            if kind == "pdf":
                from letterer.out.pdf_page import pdf_page, told_of_faces

                notes = told_of_faces(page) if job.as_text else ()
                piece = pdf_page(page, job.overprint, job.as_text)
                if job.keep:
                    job.keep.keep_piece(job.kept_as(kind), piece)
                continue
            name = file_name(number, kind)
            parts = PAGE_WRITERS[kind](page, job.dpi)
            with _kept(job, kind, parts) as parts:
                write_parts(job.folder / name, parts)
            names.append(name)
        if job.keep:
            job.keep.keep_page(lettered)
        lettered = replace(lettered, findings=(*lettered.findings, *notes))
    except Exception as error:
        faults = _told(error, number)
    return PageDone(number, lettered, tuple(names), faults, piece=piece)


@contextlib.contextmanager
def _kept(job: PageJob, kind: str, parts: Iterator[bytes]) -> Iterator[Iterator[bytes]]:
    """The pieces of a file, which are kept when all of them were made."""
    if job.keep is None:
        yield parts
        return
    key = job.keep.key(kind, job.dpi)
    pieces: list[bytes] = []
    yield _copied(parts, pieces)
    # Somebody may have saved the art while it was drawn: then nobody knows what was.
    if key == job.keep.key(kind, job.dpi):
        job.keep.store.put(key, b"".join(pieces))


def _copied(parts: Iterator[bytes], pieces: list[bytes]) -> Iterator[bytes]:
    for part in parts:
        pieces.append(part)
        yield part


def _told(error: BaseException, page: int) -> tuple[Fault, ...]:
    """What went wrong with a page, in plain lines."""
    if isinstance(error, LettererError):
        return error.faults
    if isinstance(error, MemoryError):
        mend = "Choose a smaller dpi, or fewer --jobs at once"
        return (Fault("there is not enough memory", mend, page=page),)
    what = f"letterer itself failed on this page ({type(error).__name__}: {error})"
    mend = "Letter the others without it, and tell the makers of letterer"
    return (Fault(" ".join(what.split()), mend, page=page),)


def without_paths(page: LetteredPage) -> LetteredPage:
    """A page with all that was found and measured, but nothing that is drawn."""
    units = tuple(_without_paths(unit) for unit in page.units)
    return replace(_without_paths(page), units=units)


def _without_paths(drawn: Drawn) -> Drawn:
    emptied: dict[str, Any] = {}
    for field in fields(drawn):
        held = getattr(drawn, field.name)
        if isinstance(held, Path):
            emptied[field.name] = None
        elif isinstance(held, tuple) and any(isinstance(one, (Path, Layer)) for one in held):
            emptied[field.name] = ()
    return replace(drawn, **emptied)


def usual_jobs(pages: int) -> int:
    """How many processes so many pages are worth, here: one for few pages, else up to a core
    each."""
    return max(min(_cores(), pages // PAGES_FOR_A_PROCESS), 1)


def _cores() -> int:
    """Those that this process may use, which may be fewer than the machine has."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def run(jobs: Sequence[PageJob], where: int | Executor = 1) -> Iterator[PageDone]:
    """Do jobs, and give what each did as soon as it is done, in any order.

    `where` is a number of processes, 1 for this one, or an executor with the interface of
    `concurrent.futures.Executor`. When this is stopped, the pages in hand are finished, so that
    every file is whole, and no other is begun.
    """
    if not isinstance(where, int):
        yield from _elsewhere(jobs, where)
    elif where <= 1 or len(jobs) <= 1:
        yield from map(do_page, jobs)
    else:
        yield from _beside(jobs, min(where, len(jobs)))


def _beside(jobs: Sequence[PageJob], processes: int) -> Iterator[PageDone]:
    """Jobs in processes of our own, the longest first, so that none is left for the end."""
    from letterer.processes import Beside, LostError

    beside = Beside(do_page, processes, lambda job, process: clear_left(job.folder, process))
    for job, done in beside.run(sorted(jobs, key=_letters, reverse=True)):
        if isinstance(done, PageDone):
            yield done
        elif isinstance(done, LostError):
            number = job.page.number
            what = (
                "the system ended the process that lettered this page, for want of memory perhaps"
            )
            mend = "Choose a smaller dpi, or --jobs 1"
            yield PageDone(number, faults=(Fault(what, mend, page=number),))
        else:
            yield _failed(job, done)


def _letters(job: PageJob) -> int:
    """How much there is to letter on a page."""
    return sum(len(unit.words) for unit in job.page.units)


def _elsewhere(jobs: Iterable[PageJob], executor: Executor) -> Iterator[PageDone]:
    """Jobs by an executor."""
    from concurrent.futures import Future, as_completed

    waiting: dict[Future[PageDone], PageJob] = {}
    try:
        for job in jobs:
            try:
                waiting[executor.submit(do_page, job)] = job
            except Exception as error:
                yield _failed(job, error)
        # Engines may have futures of their own, which only they can wait for.
        known = all(isinstance(future, Future) for future in waiting)
        for future in as_completed(waiting) if known else iter(waiting):
            try:
                yield future.result()
            except Exception as error:
                yield _failed(waiting[future], error)
    finally:
        for future in waiting:
            future.cancel()


def _failed(job: PageJob, error: Exception) -> PageDone:
    number = job.page.number
    return PageDone(number, faults=_told(error, number))
