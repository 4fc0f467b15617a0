"""What `try` and `place` share: a sheet with numbers is drawn, and one of them is kept in the
layout."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from letterer.errors import Fault, LettererError
from letterer.model.layout_file import LayoutFile, save_bytes
from letterer.model.plan import Layout
from letterer.model.script import Script, Unit
from letterer.out.files import check_file, check_folder, refuse_over
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
    for folder in folders:
        if not os.path.isdir(folder):
            fault = Fault("there is no such folder of faces", "Check its name", str(folder))
            raise LettererError(fault)
    return library(tuple(folders))


def as_written(unit: Unit) -> str:
    """What a unit says and how, in short: its place and its line in the script aside."""
    told = (unit.role, unit.runs, unit.speaker, unit.manners, unit.caption)
    return fingerprint(repr(told).encode())


def listed(words: Sequence[str]) -> str:
    """Words in a row.

    >>> listed(["1.1.1", "1.1.2", "1.1.3"])
    '1.1.1, 1.1.2 and 1.1.3'
    """
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


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
    called: tuple[str, str],
) -> None:
    """Refuse, before any work, a sheet that cannot be written, and one that would take a person's
    file away. `own` are files that must stay, with what they are; `called` is what the sheet is
    one of, and the name it has by itself."""
    of, usual = called
    if sheet.suffix.lower() not in SHEET_KINDS:
        what = "a sheet is drawn as .html, .svg or .png"
        mend = f"Write -o {sheet.with_suffix('.html').name if sheet.name else usual}, say"
        raise LettererError(Fault(what, mend, str(sheet)))
    check_folder(sheet.parent)
    if sheet.parent.is_dir():
        check_file(sheet)
    for path in (sheet, kind.path(sheet)):
        refuse_over(path, "the sheet", own)
    for path in (sheet, kind.path(sheet)):
        if path.exists() and not kind.is_one(kind.path(sheet)):
            what = f"there is a file of this name that is no sheet of {of}"
            raise LettererError(Fault(what, "Give the sheet another name", str(path)))


def put_back(file: LayoutFile, changed: LayoutFile) -> None:
    """The layout as it was before a choice went into it."""
    if changed.data == file.data:
        return
    try:
        save_bytes(file.path, file.data)
    except LettererError as error:
        what = "the choice is kept, though its page could not be lettered"
        raise LettererError(Fault(what, file=str(file.path)), *error.faults) from error
