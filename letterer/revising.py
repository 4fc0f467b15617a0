"""Revising: what an edited script does to a layout, told, drawn, and written if that is wanted."""

from __future__ import annotations

import json
import shlex
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from letterer import craft
from letterer.api import Output, letter, read_script
from letterer.errors import (
    Fault,
    LettererError,
    together,
)
from letterer.model.layout_file import LayoutFile
from letterer.model.plan import Layout
from letterer.model.script import Script
from letterer.out.before_after import Row, change_html, change_sheet
from letterer.out.files import (
    check_faces,
    check_file,
    check_folder,
    keep_beside,
    make_folder,
    own_files,
    same_file,
    write_whole,
)
from letterer.out.sheet import Sheet, sheet_png
from letterer.page.compose import compose_page
from letterer.page.lettered import Finding, LetteredPage
from letterer.revise.change import WITH_ITS_PAGE, Change, Fate, Revision
from letterer.revise.keeping import told, told_of_parts, without_lines
from letterer.revise.lines import settle
from letterer.revise.memory import remembered
from letterer.revise.revision import revise
from letterer.revise.rewriting import rewritten
from letterer.text.faces import FaceLibrary, library

PICTURE_KINDS = (".html", ".png")
SHOWN_LETTERS = 60
WORDS_BEFORE = 4
"""So many words before the first difference are shown."""

JSON_VERSION = 1
MARK = "letterer revision"


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be done with a revision beside telling it.

    `picture` is an .html or .png file to draw the changed units in. `write` updates the layout;
    `out` is a folder to letter into then. `fonts` are folders with faces of the person's own.
    """

    picture: Path | None = None
    write: bool = False
    out: Path | None = None
    fonts: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Revised:
    """What was done: the revision, all of it in words and for programs, and the files written.

    `before` is where the old layout is kept, None when nothing was written over.
    """

    revision: Revision
    text: str
    json: str
    files: tuple[Path, ...] = ()
    before: Path | None = None


def revise_files(script: str | Path, layout: str | Path, asked: Asked) -> Revised:
    """Match a script with a layout, tell what became of every unit, and do what is asked.

    The layout is written whole or not at all, and the old one is kept beside it. Raises
    LettererError; unless it says otherwise, the layout is as it was then.
    """
    book, file, plan = _read(script, layout)
    check_faces(asked.fonts)
    faces = library(asked.fonts)
    _check(asked, script, layout, plan)
    revision = revise(book, plan)
    settled = settle(book, revision.layout, revision.changes, faces)
    revision = without_lines(revision, settled.anew)
    changes = _with_lines(revision.changes, settled.kept)
    revision = replace(revision, changes=changes)
    after = file
    for edits in revision.stages:
        after = rewritten(after, edits, plan.measure)
    after.layout()  # raises where it would not be sound
    lines = table(revision, settled.findings)
    files: list[Path] = []
    if asked.picture is not None:
        rows = _rows(book, plan, settled.layout, revision, faces)
        _draw(asked.picture, rows, lines, faces)
        files.append(asked.picture)
        lines.append(f"Look at {asked.picture}.")
    if asked.write and asked.out is not None:
        make_folder(asked.out)  # before the layout is touched
    before = None
    if after.data == file.data:
        lines.append(f"{layout} says all this already.")
    elif asked.write:
        before = keep_beside(file.path, file.on_disk if file.on_disk is not None else file.data)
        after.save()
        lines.append(f"{layout} is up to date. As it was, it is kept as {before}.")
    else:
        command = shlex.join(["letterer", "revise", str(script), str(layout), "--write"])
        lines.append(f"Nothing is written yet. To keep this in {layout}: {command}")
    if asked.write and asked.out is not None:
        made = letter(script, layout, Output(asked.out, fonts=asked.fonts))
        files += made.files
        lines += [made.summary, f"Look in {asked.out}/"]
    return Revised(
        revision, "\n".join(lines), as_json(revision, settled.findings), tuple(files), before
    )


# --- In words ---------------------------------------------------------------------------------


def table(revision: Revision, findings: Sequence[Finding] = ()) -> list[str]:
    """What became of every unit, a line each; units with nothing to tell are counted."""
    quiet = [change for change in revision.changes if _is_quiet(change, revision)]
    lines = [_shift(old, new, revision) for old, new in revision.renumbered]
    lines += [_sentence(what) for _, what in told_of_parts(revision)]
    if not revision.remembered:
        lines.append(
            "The layout does not say its words yet: units are taken by their numbers. If you edited"
            " the script since you made the layout, do this with the old script first."
        )
    elif quiet:
        count = "1 unit keeps" if len(quiet) == 1 else f"{len(quiet)} units keep"
        their = "its" if len(quiet) == 1 else "their"
        lines.append(f"{count} {their} words and {their} place.")
        waiting = [change.unit for change in quiet if change.proposed]
        if waiting:
            stand = "stands" if len(waiting) == 1 else "stand"
            lines.append(
                f"{', '.join(waiting)} still {stand} where letterer proposed: look, and take"
                ' "proposed" out of the layout to settle it.'
            )
    lines += [f"{note}." for note in revision.notes]
    quiet += [change for change in revision.changes if revision.went_with_page(change)]
    lines += [_line(change) for change in revision.changes if change not in quiet]
    lines += [str(finding) for finding in findings]
    return lines


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def _is_quiet(change: Change, revision: Revision) -> bool:
    """True for a unit with the same words in the same place, its page's number aside."""
    if change.place == WITH_ITS_PAGE:
        return True
    if change.fate is not Fate.SAME or not change.sure or len(change.was) != 1 or change.speakers:
        return False
    page, _, inner = change.was[0].partition(".")
    pages = dict(revision.renumbered)
    return change.unit == f"{pages.get(int(page), int(page))}.{inner}"


def _shift(old: int, new: int, revision: Revision) -> str:
    count = sum(
        change.unit.startswith(f"{new}.") and any(was.startswith(f"{old}.") for was in change.was)
        for change in revision.changes
    )
    units = "1 unit goes" if count == 1 else f"{count} units go"
    return f"Page {old} of the layout is page {new} now, with its art and panels: {units} along."


def _line(change: Change) -> str:
    """What became of a unit, and its words."""
    return f"{_heading(change)}. {_words(change)}"


def _heading(change: Change) -> str:
    said = told(change)
    if change.fate is Fate.CUT:
        return said[0].upper() + said[1:]
    return f"{change.unit} {said}" if said.startswith(("was ", "is ")) else f"{change.unit}: {said}"


def _words(change: Change) -> str:
    if change.fate is Fate.CUT:
        return f'It said: "{_short(change.old_words)}"'
    if change.words == change.old_words or not change.old_words:
        return f'"{_short(change.words)}"'
    old, new = _shorts(change.old_words, change.words)
    return f'Was: "{old}" Is: "{new}"'


def _short(words: str) -> str:
    """Words cut to what fits a line."""
    if len(words) <= SHOWN_LETTERS:
        return words
    return words[: SHOWN_LETTERS + 1].rpartition(" ")[0] + "..."


def _shorts(old: str, new: str) -> tuple[str, str]:
    """Old and new words cut so that the first difference is seen.

    >>> _shorts("He came at " + "last " * 20 + "to me.", "He came at " + "last " * 20 + "to us.")[1]
    '...last last last to us.'
    """
    one, other = old.split(), new.split()
    same = 0
    while same < min(len(one), len(other)) and one[same] == other[same]:
        same += 1
    begin = max(same - WORDS_BEFORE, 0)
    if len(" ".join(one[:same])) < SHOWN_LETTERS * 2 // 3:
        begin = 0
    lead = "..." if begin else ""
    return lead + _short(" ".join(one[begin:])), lead + _short(" ".join(other[begin:]))


def as_json(revision: Revision, findings: Sequence[Finding] = ()) -> str:
    """The same for programs."""
    held: dict[str, Any] = {
        MARK: JSON_VERSION,
        "pages": [{"was": old, "is": new} for old, new in revision.renumbered],
        "notes": list(revision.notes),
        "units": [
            {
                "unit": change.unit or None,
                "was": list(change.was),
                "what": change.fate.value,
                "words": change.words,
                "old words": change.old_words,
                "place": change.place,
                "proposed": change.proposed,
                "sure": change.sure,
                **({"rival": change.rival} if change.rival else {}),
                **({"speakers": change.speakers} if change.speakers else {}),
            }
            for change in revision.changes
        ],
        "findings": [
            {"kind": one.kind, "unit": one.unit, "what": one.what, "mend": one.mend}
            for one in findings
        ],
    }
    return json.dumps(held, ensure_ascii=False, indent=1) + "\n"


def _with_lines(changes: Sequence[Change], kept: Sequence[str]) -> tuple[Change, ...]:
    """Changes that say where the old lines are kept."""
    return tuple(
        replace(change, place=f"{change.place} and its lines")
        if change.unit in kept and change.fate is Fate.EDITED
        else change
        for change in changes
    )


# --- As pictures ------------------------------------------------------------------------------


def _rows(
    script: Script, before: Layout, now: Layout, revision: Revision, faces: FaceLibrary
) -> list[Row]:
    """A row for each unit that does not look as it did, or does not stand where it did."""
    old_script = remembered(before, script, revision)
    before = settle(old_script, before, (), faces).layout
    old_pages: dict[int, LetteredPage] = {}
    new_pages: dict[int, LetteredPage] = {}

    def drawn(id: str, old: bool) -> tuple[LetteredPage, str] | None:
        number = int(id.split(".")[0])
        book, plan, made = (old_script, before, old_pages) if old else (script, now, new_pages)
        if number not in made:
            page = book.page(number)
            if page is None:
                return None
            made[number] = _bare(compose_page(page, plan, faces))
        return (made[number], id) if made[number].unit(id) is not None else None

    rows = []
    for change in revision.changes:
        still = change.fate is Fate.SAME and change.sure and not change.speakers
        if still or _is_quiet(change, revision):
            continue
        rows.append(
            Row(
                _heading(change),
                _words(change),
                drawn(change.was[0], old=True) if change.was else None,
                drawn(change.unit, old=False) if change.unit else None,
                change.fate is Fate.CUT,
            )
        )
    return rows


def _bare(page: LetteredPage) -> LetteredPage:
    """A page without its art where there is no such file yet."""
    missing = page.art is not None and not page.art.file.exists()
    return replace(page, art=None) if missing else page


def _draw(path: Path, rows: Sequence[Row], lines: Sequence[str], faces: FaceLibrary) -> None:
    title = "What the edited script changes" if rows else "Nothing to see has changed"
    sheet: Sheet = change_sheet(title, rows, faces)
    if path.suffix.lower() == ".png":
        data = sheet_png(sheet, craft.DPI_SHEET)
    else:
        data = change_html(sheet, lines, ()).encode()
    make_folder(path.parent)
    write_whole(path, data)


# --- Files ------------------------------------------------------------------------------------


def _read(script: str | Path, layout: str | Path) -> tuple[Script, LayoutFile, Layout]:
    """Both files; the faults of both are raised together."""

    def planned() -> tuple[LayoutFile, Layout]:
        file = LayoutFile.read(layout)
        return file, file.layout()

    book, (file, plan) = together(lambda: read_script(script), planned)
    return book, file, plan


def _check(asked: Asked, script: str | Path, layout: str | Path, plan: Layout) -> None:
    """Refuse, before any work, what cannot be written and what would take a file away."""
    if asked.out is not None and not asked.write:
        what = "--out letters the pages again, which goes with --write"
        raise LettererError(Fault(what, "Add --write, or leave --out out"))
    if asked.out is not None:
        check_folder(asked.out)
    path = asked.picture
    if path is None:
        return
    if path.suffix.lower() not in PICTURE_KINDS:
        what = "the changes are drawn as .html or .png"
        mend = f"Write -o {path.with_suffix('.html').name if path.name else 'changes.html'}, say"
        raise LettererError(Fault(what, mend, str(path)))
    check_folder(path.parent)
    if path.parent.is_dir():
        check_file(path)
    for name, source in own_files(script, layout, plan):
        if same_file(path, source):
            what = f"the changes would be drawn over {name}"
            raise LettererError(Fault(what, "Give the drawing another name", str(path)))
