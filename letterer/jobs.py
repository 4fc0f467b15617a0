"""Pages as jobs: each goes from words to files by itself, here, in processes beside this one, or
wherever an executor has its workers.

A job holds all that it needs and gives back what it did, so both travel between processes. It
writes the same bytes wherever it runs, each file whole or not at all; one that is run again, after
its worker was lost, writes the same files once more, and nothing comes twice. A page that fails is
told with its reason, and the others go on.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import threading
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, fields, replace
from multiprocessing import connection, parent_process
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from letterer.errors import Fault, LettererError
from letterer.geometry import Path
from letterer.page.lettered import Layer, LetteredPage, PlacedUnit

if TYPE_CHECKING:
    from letterer.cache.pages import Keeping
    from letterer.model.plan import Layout
    from letterer.model.script import Page
    from letterer.out.pdf_page import PdfPage

PAGES_FOR_A_PROCESS = 4
"""A second process takes about as long to begin as four pages take to letter."""

STARTS = ("forkserver", "spawn")
"""How processes begin, the first that the system has. A fork server reads the packages once for all
workers; plain fork would copy the threads of whoever calls us."""


@dataclass(frozen=True, slots=True)
class PageJob:
    """One page to be lettered, and written in some formats into a folder.

    The folder and the fonts' folders are absolute, so that they mean the same to every worker.
    `keep` says where what was drawn is kept for the next time, if it is. `overprint` is for the
    PDF, as in `letterer.out.pdf_page`.
    """

    page: Page
    layout: Layout
    folder: FilePath
    kinds: tuple[str, ...]
    dpi: int
    fonts: tuple[FilePath, ...] = ()
    keep: Keeping | None = None
    overprint: bool = False


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
    from letterer.out.pdf_page import pdf_page
    from letterer.out.writers import PAGE_WRITERS, file_name
    from letterer.page.compose import compose_page
    from letterer.text.faces import library

    number = job.page.number
    lettered: LetteredPage | None = None
    piece: PdfPage | None = None
    names: list[str] = []
    faults: tuple[Fault, ...] = ()
    try:
        page = compose_page(job.page, job.layout, library(job.fonts))
        lettered = without_paths(page)
        make_folder(job.folder)
        for kind in job.kinds:
            if kind == "pdf":
                piece = pdf_page(page, job.overprint)
                continue
            name = file_name(number, kind)
            parts = PAGE_WRITERS[kind](page, job.dpi)
            with _kept(job, kind, parts) as parts:
                write_parts(job.folder / name, parts)
            names.append(name)
        if job.keep:
            job.keep.keep_page(lettered)
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
    return replace(page, units=tuple(_without_paths(unit) for unit in page.units))


def _without_paths(unit: PlacedUnit) -> PlacedUnit:
    emptied: dict[str, Any] = {}
    for field in fields(unit):
        held = getattr(unit, field.name)
        if isinstance(held, Path):
            emptied[field.name] = None
        elif isinstance(held, tuple) and any(isinstance(one, (Path, Layer)) for one in held):
            emptied[field.name] = ()
    return replace(unit, **emptied)


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
    if isinstance(where, Executor):
        yield from _elsewhere(jobs, where, [])
    elif where <= 1 or len(jobs) <= 1:
        yield from map(do_page, jobs)
    else:
        yield from _beside(jobs, min(where, len(jobs)))


def _beside(jobs: Sequence[PageJob], processes: int) -> Iterator[PageDone]:
    """Jobs in processes of our own. Should one be lost, the pages that it took with it are done
    again one at a time, so that only a page that ends its process by itself is given up."""
    lost: list[PageJob] = []
    with _pool(processes) as pool:
        yield from _elsewhere(jobs, pool, lost)
    for job in lost:
        again: list[PageJob] = []
        with _pool(1) as pool:
            yield from _elsewhere([job], pool, again)
        if again:
            what = (
                "the system ended the process that lettered this page, for want of memory perhaps"
            )
            mend = "Choose a smaller dpi, or --jobs 1"
            number = job.page.number
            yield PageDone(number, faults=(Fault(what, mend, page=number),))


def _elsewhere(
    jobs: Iterable[PageJob], executor: Executor, lost: list[PageJob]
) -> Iterator[PageDone]:
    """Jobs by an executor; those that a broken pool of processes took with it are put on `lost`."""
    waiting: dict[Future[PageDone], PageJob] = {}
    try:
        for job in jobs:
            waiting[executor.submit(do_page, job)] = job
        for future in _as_done(executor, waiting):
            job = waiting[future]
            try:
                done = future.result()
            except BrokenProcessPool:
                lost.append(job)
                continue
            except Exception as error:
                done = PageDone(job.page.number, faults=_told(error, job.page.number))
            yield done
    except BrokenProcessPool:  # while jobs were handed over
        handed = {job.page.number for job in waiting.values()}
        lost += [job for job in jobs if job.page.number not in handed]
        lost += waiting.values()
    finally:
        for future in waiting:
            future.cancel()


def _as_done(
    executor: Executor, waiting: dict[Future[PageDone], PageJob]
) -> Iterator[Future[PageDone]]:
    """Futures as they end. Engines may have futures of their own, which only they can wait for."""
    if all(isinstance(future, Future) for future in waiting):
        return as_completed(waiting)
    return iter(waiting)


@contextlib.contextmanager
def _pool(processes: int) -> Iterator[ProcessPoolExecutor]:
    start = next(way for way in STARTS if way in multiprocessing.get_all_start_methods())
    context = multiprocessing.get_context(start)
    if start == "forkserver":
        context.set_forkserver_preload(["letterer.out.ready"])
    pool = ProcessPoolExecutor(processes, context, _begin)
    try:
        yield pool
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _begin() -> None:
    """In a new worker: leave Ctrl-C to whoever started it, and end when that one is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(1)
