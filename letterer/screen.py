"""Pages for the screen: lettered, laid over their art, and saved at a width in pixels."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from letterer import craft
from letterer.api import compose
from letterer.errors import Fault, LettererError, nearest
from letterer.model.layout_reader import read_layout
from letterer.model.plan import Layout
from letterer.model.script_reader import read_script
from letterer.out.files import check_folder, make_folder, same_file, write_whole
from letterer.out.screen import KINDS, Composite, Cut, composite, cuts, encoded, screen_size
from letterer.page.lettered import LetteredPage

__all__ = ["ScreenMade", "ScreenWanted", "make_screens"]


@dataclass(frozen=True, slots=True)
class ScreenWanted:
    """What is asked for: the width of a page in pixels; png, jpeg or webp; the height at which a
    page is cut into pieces at most (None: not cut); which pages (None: all); faces of one's own."""

    width: int = craft.SCREEN_WIDTH
    kind: str = "png"
    cut: int | None = None
    pages: tuple[int, ...] | None = None
    fonts: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class ScreenMade:
    """The files in the order of reading, and what there is to tell."""

    files: tuple[Path, ...]
    told: tuple[str, ...]


def _silent(words: str, share: float) -> None:
    """The progress of a run that nobody watches."""


def make_screens(
    script: str | Path,
    layout: str | Path,
    folder: str | Path,
    wanted: ScreenWanted | None = None,
    progress: Callable[[str, float], None] = _silent,
) -> ScreenMade:
    """Letter pages and save them for the screen, as screen-001.png and so on, each file whole or
    not at all; pieces of a page are screen-001-01.png and so on.

    Raises LettererError for what is wrong with the script, the layout, the art or what is asked
    for.
    """
    wanted = wanted or ScreenWanted()
    _check(wanted)
    into = Path(folder)
    check_folder(into)
    plan = read_layout(layout)
    pages = compose(read_script(script), plan, wanted.pages, wanted.fonts).pages
    for page in pages:
        screen_size(page, wanted.width)
    own = [Path(script), Path(layout), *(page.art.file for page in plan if page.art)]
    files: list[Path] = []
    told: list[str] = []
    for done, page in enumerate(pages, 1):
        made = composite(page, wanted.width)
        found = _cuts(page, plan, made, wanted.cut)
        for name, rows in _pieces(page.number, wanted, made.picture.height, found):
            path = into / name
            _check_source(path, own, page.number)
            data = _encoded(made, wanted.kind, rows, page.number)
            make_folder(into)
            write_whole(path, data)
            files.append(path)
        told += [f"Look at {remark}" for remark in made.told]
        told += _cut_through(page.number, found, wanted.cut)
        progress(f"page {page.number} done", done / len(pages))
    told += _left_over(into, pages, files, KINDS[wanted.kind])
    return ScreenMade(tuple(files), tuple(told))


def _check(wanted: ScreenWanted) -> None:
    faults = []
    if wanted.kind not in KINDS:
        near = nearest(wanted.kind, KINDS)
        mend = f"Did you mean {near}?" if near else f"Choose from {', '.join(KINDS)}"
        faults.append(Fault(f'"{wanted.kind}" is no format for the screen', mend))
    for name, value, (low, high) in (
        ("width", wanted.width, craft.SCREEN_WIDTH_RANGE),
        ("cut", wanted.cut, craft.SCREEN_CUT_RANGE),
    ):
        if value is not None and not low <= value <= high:
            mend = f"Choose a number from {low} to {high}"
            faults.append(Fault(f"--{name} {value} is out of range", mend))
    if faults:
        raise LettererError(*faults)


def _check_source(path: Path, own: list[Path], page: int) -> None:
    if path.exists() and any(same_file(path, source) for source in own):
        what = "this page would be written over a file that it is made from"
        raise LettererError(Fault(what, "Choose another folder", str(path), page=page))


def _cuts(page: LetteredPage, plan: Layout, made: Composite, most: int | None) -> list[Cut]:
    if most is None:
        return []
    planned = plan.page(page.number)
    panels = [panel.box for panel in planned.panels] if planned else []
    return cuts(page, panels, made, most)


def _pieces(
    number: int, wanted: ScreenWanted, height: int, found: list[Cut]
) -> Iterator[tuple[str, tuple[int, int]]]:
    """The name and the rows of each piece of a page."""
    ending = KINDS[wanted.kind]
    edges = [0, *(cut.row for cut in found), height]
    for piece, rows in enumerate(pairwise(edges), 1):
        part = f"-{piece:02d}" if found else ""
        yield f"screen-{number:03d}{part}.{ending}", rows


def _encoded(made: Composite, kind: str, rows: tuple[int, int], page: int) -> bytes:
    try:
        return encoded(made, kind, rows)
    except LettererError as error:
        raise LettererError(
            *(Fault(fault.what, fault.mend, page=page) for fault in error.faults)
        ) from error


def _cut_through(number: int, found: list[Cut], most: int | None) -> list[str]:
    return [
        f"page {number}: piece {place} ends in {' and '.join(cut.through)}, since no gutter lies"
        f" within {most} pixels. Allow more with --cut, or look whether the cut does harm."
        for place, cut in enumerate(found, 1)
        if cut.through
    ]


def _left_over(
    folder: Path, pages: tuple[LetteredPage, ...], files: list[Path], ending: str
) -> list[str]:
    """Pieces of these pages from an earlier run, which nobody should take for pieces of this."""
    fresh = {path.name for path in files}
    found = [
        path.name
        for page in pages
        for path in sorted(folder.glob(f"screen-{page.number:03d}*.{ending}"))
        if path.name not in fresh
    ]
    if not found:
        return []
    return [f"From an earlier run, and no part of this one: {', '.join(found)}."]
