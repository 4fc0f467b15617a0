"""What `try` and `place` share: a sheet with numbers is drawn, and one of them is kept in the
layout."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from letterer import craft
from letterer.errors import Fault, LettererError, listed
from letterer.model.layout_file import LayoutFile, save_bytes
from letterer.model.plan import Layout
from letterer.model.script import Script, Unit
from letterer.out.files import (
    check_faces,
    check_file,
    check_folder,
    make_folder,
    refuse_over,
    write_whole,
)
from letterer.out.sheet import Sheet, sheet_png, sheet_svg
from letterer.revise import revise
from letterer.sheet_record import RecordKind, fingerprint
from letterer.text.faces import FaceLibrary, library

SHEET_KINDS = (".html", ".svg", ".png")


@dataclass(frozen=True, slots=True)
class Kept:
    """What was kept, in words, and the files of the page lettered again."""

    told: str
    files: tuple[Path, ...]


def faces_in(folders: Sequence[Path]) -> FaceLibrary:
    """The bundled faces and those of some folders. Raises LettererError for one that is missing."""
    check_faces(folders)
    return library(tuple(folders))


def as_written(unit: Unit) -> str:
    """What a unit says and how, in short: its place and its line in the script aside."""
    told = (unit.role, unit.runs, unit.speaker, unit.manners, unit.caption)
    return fingerprint(repr(told).encode())


def panel_of(unit: Unit) -> str:
    """The panel of a unit as people call it: 1.2."""
    return f"{unit.page}.{unit.panel}"


def nothing_there(script: Script, target: str) -> Fault:
    """What to say of a unit or a panel that the script does not have: what is nearest to it."""
    panel = ".".join(target.split(".")[:2])
    page = target.split(".")[0]
    in_panel = [unit.id for unit in script.units if panel_of(unit) == panel]
    on_page = [unit.id for unit in script.units if str(unit.page) == page]
    if in_panel:
        mend = f"Panel {panel} has {listed(in_panel)}"
    elif on_page:
        mend = f"Page {page} has {listed(on_page)}"
    elif script.units:
        pages = dict.fromkeys(str(unit.page) for unit in script.units)
        mend = f"There are words on page {listed(list(pages))}; write page.panel.unit, such as "
        mend += script.units[0].id
    else:
        return Fault("the script has no words to be lettered", file=script.file)
    silent = any(target == f"{at.number}.{one.number}" for at in script.pages for one in at.panels)
    what = f"panel {target} has no words" if silent else f"there is no unit or panel {target}"
    return Fault(what, mend, script.file)


def check_planned(book: Script, plan: Layout, layout: str | Path) -> None:
    """Refuse to put anything into a layout whose units are others by now, since the script was
    edited: it would go to the wrong words."""
    if revise(book, plan).shifts:
        what = "the script has changed since this layout was planned"
        mend = "Bring the layout up to date first: letterer revise SCRIPT LAYOUT --write"
        raise LettererError(Fault(what, mend, str(layout)))


def check_sheet(
    sheet: Path,
    kind: RecordKind,
    own: Sequence[tuple[str, str | Path]],
) -> None:
    """Refuse, before any work, a sheet that cannot be written, and one that would take a person's
    file away. `own` are files that must stay, with what they are."""
    if sheet.suffix.lower() not in SHEET_KINDS:
        what = "a sheet is drawn as .html, .svg or .png"
        mend = f"Write -o {sheet.with_suffix('.html').name if sheet.name else kind.usual}, say"
        raise LettererError(Fault(what, mend, str(sheet)))
    check_folder(sheet.parent)
    if sheet.parent.is_dir():
        check_file(sheet)
    for path in (sheet, kind.path(sheet)):
        refuse_over(path, "the sheet", own)
    for path in (sheet, kind.path(sheet)):
        if path.exists() and not kind.is_one(kind.path(sheet)):
            what = f"there is a file of this name that is no sheet of {kind.of}"
            raise LettererError(Fault(what, "Give the sheet another name", str(path)))


def write_sheet(
    kind: RecordKind,
    sheet: Path,
    drawn: Sheet,
    html: Callable[[], str],
    record: Mapping[str, Any],
) -> None:
    """Write a sheet as its name says, and its record. The record comes first: it knows the sheet by
    its bytes, so no number is ever taken for one of an older sheet."""
    suffix = sheet.suffix.lower()
    if suffix == ".png":
        data = sheet_png(drawn, craft.DPI_SHEET)
    else:
        data = (sheet_svg(drawn) if suffix == ".svg" else html()).encode()
    make_folder(sheet.parent)
    write_whole(kind.path(sheet), kind.data({"sheet": fingerprint(data), **record}))
    write_whole(sheet, data)


def unchanged(record: Mapping[str, Any], layout: str | Path) -> LayoutFile:
    """The layout, which must be as it was when the sheet of a record was drawn."""
    file = LayoutFile.read(layout)
    if record["layout"] != fingerprint(file.data):
        what = "the layout has changed since the sheet was drawn"
        raise LettererError(Fault(what, "Draw the sheet again, then keep", str(layout)))
    return file


@contextmanager
def or_put_back(
    file: LayoutFile, changed: LayoutFile, layout: str | Path, one: str
) -> Iterator[None]:
    """Put the layout back as it was when its pages cannot be lettered with what was kept: `one` is
    a choice or a proposal."""
    try:
        yield
    except BaseException as error:
        _put_back(file, changed)
        if not isinstance(error, LettererError):
            raise
        what = f"the layout stays as it was, since its page could not be lettered with that {one}"
        raise LettererError(Fault(what, file=str(layout)), *error.faults) from error


def _put_back(file: LayoutFile, changed: LayoutFile) -> None:
    """The layout as it was before a choice went into it."""
    if changed.data == file.data:
        return
    try:
        save_bytes(file.path, file.data)
    except LettererError as error:
        what = "the choice is kept, though its page could not be lettered"
        raise LettererError(Fault(what, file=str(file.path)), *error.faults) from error
