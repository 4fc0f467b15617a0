"""Only what changed is drawn again: files kept from earlier runs are put in place, the rest are
jobs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from letterer.errors import Fault, LettererError
from letterer.jobs import PageDone, PageJob, run, usual_jobs
from letterer.out.files import make_folder
from letterer.out.writers import file_name

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from letterer.cache.store import Store
    from letterer.out.pdf_page import PdfPage
    from letterer.page.lettered import LetteredPage


@dataclass(frozen=True, slots=True)
class Cache:
    """Where drawn pages are kept, and a digest of the faces they are drawn with."""

    store: Store
    faces: str


def cache_in(folder: str | Path | None, fonts: Sequence[Path]) -> Cache | None:
    """The cache in a folder; None where none is wanted or none can be had.

    To be asked for before a face is opened: faces that changed on disk are opened anew.
    """
    if folder is None:
        return None
    from letterer.cache.pages import faces_digest
    from letterer.cache.store import opened

    store = opened(Path(folder))
    faces = None if store is None else faces_digest(tuple(fonts))
    return None if store is None or faces is None else Cache(store, faces)


@dataclass(slots=True)
class _Page:
    """One page of a run: its job, the page as it is kept, and what of it is in place by now."""

    job: PageJob
    kept: LetteredPage | None = None
    kinds: tuple[str, ...] = ()
    untouched: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()
    piece: PdfPage | None = None

    @property
    def left(self) -> PageJob:
        """The job without the formats that are kept."""
        kinds = tuple(kind for kind in self.job.kinds if kind not in self.kinds)
        return replace(self.job, kinds=kinds)

    def put_back(self) -> None:
        """Put the kept files in place. Those that are kept no more are left to be drawn."""
        keep, folder = self.job.keep, self.job.folder
        if keep is None or not self.kinds:
            return
        stands: list[str] = []
        try:
            make_folder(folder)
            for kind in self.kinds:
                if kind == "pdf":
                    self.piece = keep.piece(self.job.kept_as(kind))
                    stands += [] if self.piece is None else [kind]
                    continue
                name = file_name(self.job.page.number, kind)
                written = keep.put_back(kind, self.job.dpi, folder / name)
                stands += [] if written is None else [kind]
                self.untouched += (name,) if written is False else ()
        except LettererError as error:
            self.faults = error.faults
        self.kinds = tuple(stands)

    def done(self, drawn: PageDone | None = None) -> PageDone:
        """What became of the page: what was put back, and what was drawn, if anything was."""
        number = self.job.page.number
        names = {file_name(number, kind) for kind in self.kinds if kind != "pdf"}
        names |= set(drawn.names if drawn else ())
        return PageDone(
            number,
            drawn.page if drawn else self.kept,
            tuple(name for kind in self.job.kinds if (name := file_name(number, kind)) in names),
            drawn.faults if drawn else self.faults,
            self.untouched,
            kept=drawn is None and not self.faults,
            piece=(drawn.piece if drawn else None) or self.piece,
        )


class Reuse:
    """The jobs of one run, and what of them is kept. Nothing is written before `run`."""

    def __init__(self, jobs: Sequence[PageJob], cache: Cache | None = None) -> None:
        self._cache = cache
        self._pages = [_found(job, cache) if cache else _Page(job) for job in jobs]

    @property
    def left(self) -> tuple[PageJob, ...]:
        """What is to be drawn, as far as can be known beforehand."""
        return tuple(page.left for page in self._pages if page.left.kinds)

    def run(self, processes: int | None, executor: Executor | None = None) -> Iterator[PageDone]:
        """Put in place what is kept and draw the rest; gives what became of each page, as soon as
        that is known. `processes` and `executor` are as in `letterer.api`."""
        left: dict[int, _Page] = {}
        for page in self._pages:
            page.put_back()
            if page.left.kinds and not page.faults:
                left[page.job.page.number] = page
            else:
                yield page.done()
        jobs = [page.left for page in left.values()]
        if executor is not None:  # its workers may be other machines, with folders of their own
            jobs = [replace(job, keep=None) for job in jobs]
        for drawn in run(jobs, executor or processes or usual_jobs(len(jobs))):
            yield left[drawn.number].done(drawn)
        if jobs and self._cache is not None:
            self._cache.store.tidy()


def _found(job: PageJob, cache: Cache) -> _Page:
    from letterer.cache.pages import keeping

    try:
        keep = keeping(cache.store, job.page, job.layout, cache.faces)
    except TypeError:  # a value of a new sort has no digest: the page is drawn, and not kept
        return _Page(job)
    job = replace(job, keep=keep)
    page = keep.page()
    if page is None:
        return _Page(job)
    kinds = {job.kept_as(kind): kind for kind in job.kinds}
    return _Page(job, page, tuple(kinds[what] for what in keep.found(tuple(kinds), job.dpi)))
