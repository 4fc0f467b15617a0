"""Checking a lettered book: findings as text, as JSON, and as marked pictures of the pages."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from letterer import craft
from letterer.api import (
    compose,
    read_book,
)
from letterer.errors import Fault, LettererError
from letterer.model.plan import Layout, PagePlan
from letterer.model.script import Script
from letterer.out.files import (
    check_faces,
    check_file,
    check_folder,
    make_folder,
    own_files,
    same_file,
    write_whole,
)
from letterer.out.findings import as_json, as_text, numbered, told
from letterer.out.marked import marked_page
from letterer.out.sheet import sheet_png, sheet_svg
from letterer.page.lettered import Finding, LetteredPage, Severity
from letterer.review.pages import Reviewed, review
from letterer.revise import matched
from letterer.text.faces import library

PICTURE_KINDS = (".png", ".svg")
ORIENTATION, FIRST_ASIDE = 274, 5
"""The tag of TIFF and Exif that says how a picture is turned; from 5 on its sides are swapped."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be checked, and what is to be drawn.

    `pages` are page numbers, None for all; `picture` is a .png or .svg name to which each page's
    number is added; `fonts` are folders with faces of the person's own.
    """

    pages: tuple[int, ...] | None = None
    picture: Path | None = None
    fonts: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found, in words and for programs, and the pictures that were written."""

    reviewed: Reviewed
    text: str
    json: str
    files: tuple[Path, ...] = ()

    @property
    def worst(self) -> Severity | None:
        """The worst severity that is not accepted; None when there is nothing."""
        return self.reviewed.worst


def check(
    script: str | Path,
    layout: str | Path,
    wanted: Wanted,
    progress: Callable[[str, float], None] = lambda words, share: None,
) -> Checked:
    """Letter the pages in memory, look them over, and draw marked pictures where they are wanted.

    Raises LettererError, with nothing written, when the files cannot be read or lettered.
    """
    book, written = read_book(script, layout)
    # An edited script is looked over as it is lettered: its words with the places that are theirs.
    plan = matched(book, written)[0]
    check_faces(wanted.fonts)
    if wanted.picture is not None:
        _check_picture(wanted.picture, (script, layout), book, plan)
    half = 0.5 if wanted.picture else 1.0
    made = compose(
        book,
        written,
        wanted.pages,
        wanted.fonts,
        lambda words, share: progress(words, share * half),
    )
    numbers = {page.number for page in made.pages}
    findings = [one for one in made.findings if wanted.pages is None or one.page in numbers]
    unread = {}
    for page in made.pages:
        found, readable = _art_findings(page.number, plan)
        findings += found
        unread[page.number] = not readable
    reviewed = review(made.pages, findings, plan)
    remarks = _remarks(book, plan, numbers)
    shown = tuple(
        replace(page, art=None) if unread.get(page.number) else page for page in plan.pages
    )
    seen = replace(plan, pages=shown)
    files, told_of_art = _pictures(made.pages, seen, reviewed, wanted, progress)
    text = "\n".join([as_text(reviewed, plan, remarks), *told_of_art])
    return Checked(reviewed, text, as_json(reviewed, plan, remarks), files)


def _art_findings(number: int, layout: Layout) -> tuple[list[Finding], bool]:
    """What is to be said of a page's art, and whether it can be read. Art that is not there yet is
    nothing to mend."""
    from letterer.out.art import told_of_art, with_art

    plan = layout.page(number)
    if plan is None or plan.art is None or not plan.art.file.exists():
        return [], True
    try:
        size = with_art(plan.art.file, number, _upright_size)
    except LettererError as error:
        made = [_of_art(Severity.PROBLEM, fault, number) for fault in error.faults]
        return made, False
    printed = layout.measure.is_printed
    told = told_of_art(size, plan.art, number, printed)
    return [_of_art(Severity.WARNING, fault, number) for fault in told], True


def _of_art(severity: Severity, fault: Fault, page: int) -> Finding:
    return Finding(severity, "art", f"{Path(fault.file).name}: {fault.what}", fault.mend, page)


def _upright_size(opened: Any) -> tuple[int, int]:
    """The size of an opened picture, turned as its camera or scanner says; its pixels are not
    read."""
    turned = opened.getexif().get(ORIENTATION, 1) >= FIRST_ASIDE
    return (opened.height, opened.width) if turned else (opened.width, opened.height)


def picture_name(picture: Path, page: int) -> Path:
    """The file of one page's picture.

    >>> picture_name(Path("out/check.png"), 3).as_posix()
    'out/check-003.png'
    """
    return picture.with_name(f"{picture.stem}-{page:03d}{picture.suffix}")


def _remarks(script: Script, layout: Layout, numbers: set[int]) -> list[Fault]:
    """What may have been meant otherwise than it was written. Panels off the page are findings."""
    found = [Fault(one.what, one.mend, script.file, one.line) for one in script.remarks]
    found += [one for one in layout.remarks if not one.page or one.page in numbers]
    return [one for one in found if not one.what.startswith("panel ")]


def _check_picture(
    picture: Path, sources: tuple[str | Path, str | Path], script: Script, layout: Layout
) -> None:
    """Refuse, before any work, a picture that cannot be written or would take a file away."""
    if picture.suffix.lower() not in PICTURE_KINDS:
        what = "a marked picture is drawn as .png or .svg"
        mend = (
            f"Write --picture {picture.with_suffix('.png').name if picture.name else 'check.png'}"
        )
        raise LettererError(Fault(what, mend, str(picture)))
    check_folder(picture.parent)
    own = own_files(*sources, layout)
    faults = []
    for page in script.pages:
        path = picture_name(picture, page.number)
        if picture.parent.is_dir():
            check_file(path)
        faults += [
            Fault(f"the picture would be written over {name}", "Give it another name", str(path))
            for name, source in own
            if same_file(path, source)
        ]
    if faults:
        raise LettererError(*faults)


def _pictures(
    pages: Sequence[LetteredPage],
    layout: Layout,
    reviewed: Reviewed,
    wanted: Wanted,
    progress: Callable[[str, float], None],
) -> tuple[tuple[Path, ...], list[str]]:
    """Draw and write the pages' pictures; also says of which pages the art is not there."""
    if wanted.picture is None:
        return (), []
    faces = library(wanted.fonts)
    drawn: list[tuple[Path, bytes]] = []
    missing: list[str] = []
    for count, page in enumerate(pages, 1):
        plan = layout.page(page.number) or PagePlan(page.number)
        if plan.art is not None and not plan.art.file.exists():
            missing.append(
                f"{plan.art.file}: there is no such art file yet, so this page is white."
            )
            plan = replace(plan, art=None)
        found = numbered(reviewed, page.number)
        lines = [(one, told(one, layout)) for _, one in found]
        sheet = marked_page(page, plan, lines, faces, found[0][0] if found else 1)
        path = picture_name(wanted.picture, page.number)
        if path.suffix.lower() == ".png":
            drawn.append((path, sheet_png(sheet, craft.DPI_PREVIEW)))
        else:
            drawn.append((path, sheet_svg(sheet).encode()))
        progress(f"{path.name} drawn", 0.5 + 0.5 * count / len(pages))
    make_folder(wanted.picture.parent)
    for path, data in drawn:
        write_whole(path, data)
    return tuple(path for path, _ in drawn), missing
