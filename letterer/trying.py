"""Trying before committing: a sheet of choices for some units, and keeping one of them.

Beside a sheet stands a small JSON file, its record, that says what each number on it means, and
what the layout was when the sheet was drawn: a choice is only kept while both are as they were.
"""

from __future__ import annotations

import json
import shlex
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

from letterer.api import (
    Output,
    letter,
    located,
    read_book,
)
from letterer.errors import Fault, LettererError, listed
from letterer.geometry import Box, Point
from letterer.model.formats import PageMeasures, page_format
from letterer.model.layout_file import LayoutFile
from letterer.model.plan import Center, Layout, Measure, PagePlan, Placement, Reading
from letterer.model.script import Script, Unit
from letterer.model.style import Style
from letterer.out.files import own_files, write_whole
from letterer.out.sheet import (
    Group,
    Sheet,
    choice_sheet,
    sheet_html,
)
from letterer.page.choices import CHOICES_MOST, Asked, choices
from letterer.page.unit import Job
from letterer.revise import matched
from letterer.sheet_jobs import (
    Kept,
    as_written,
    check_planned,
    check_sheet,
    faces_in,
    nothing_there,
    or_put_back,
    panel_of,
    unchanged,
    write_sheet,
)
from letterer.sheet_record import RecordKind, fingerprint
from letterer.text.faces import FaceLibrary

HEADING_LETTERS = 80
RECORD = "letterer choices"
RECORD_VERSION = 1


@dataclass(frozen=True, slots=True)
class Trial:
    """What is tried: units (1.2.3) and whole panels (1.2), in which ways, with which faces.

    When a choice is kept, `units` and `asked` may be left empty.
    """

    units: tuple[str, ...] = ()
    asked: Asked = field(default_factory=Asked)
    fonts: tuple[Path, ...] = ()


def try_units(script: str | Path, layout: str | Path, sheet: Path, trial: Trial) -> Sheet:
    """Draw a sheet of choices for some units.

    Raises LettererError, with nothing written; a file that is no sheet is never written over.
    """
    book, plan = read_book(script, layout)
    plan = matched(book, plan)[0]
    check_sheet(sheet, CHOICES, own_files(script, layout, plan))
    units = _named(book, trial.units)
    faces = faces_in(trial.fonts)
    remarks = []
    for page in dict.fromkeys(unit.page for unit in units):
        there = plan.page(page)
        if there and there.art and not there.art.file.exists():
            told = (
                f"{there.art.file}: there is no such art file yet, so the choices stand on white."
            )
            remarks.append(told)
            bare = (replace(one, art=None) if one is there else one for one in plan.pages)
            plan = replace(plan, pages=tuple(bare))
    title = f"Choices for {', '.join(dict.fromkeys(trial.units))}"
    try:
        drawn = _drawn(title, [_job(unit, plan, faces) for unit in units], trial.asked)
    except LettererError as error:
        raise LettererError(*(located(fault, book) for fault in error.faults)) from error
    drawn = replace(drawn, remarks=(*remarks, *drawn.remarks))
    record = {
        "asked": asdict(trial.asked),
        "layout": fingerprint(Path(layout).read_bytes()),
        "choices": {
            str(choice.number): {
                "unit": choice.unit.id,
                "as written": as_written(group.job.unit),
                "keys": _keys(group, place),
            }
            for group in drawn.groups
            for place, choice in enumerate(group.choices)
        },
    }
    several = len(drawn.choices) > 1
    command = keep_command(script, layout, sheet, trial.fonts) if several else ""
    write_sheet(CHOICES, sheet, drawn, lambda: sheet_html(drawn, command), record)
    return drawn


def try_words(words: str, sheet: Path, trial: Trial) -> Sheet:
    """Draw a sheet of choices for a bare sentence, in the usual style. Raises LettererError."""
    from letterer.model.script_reader import parse_script

    check_sheet(sheet, CHOICES, [])
    plain = " ".join(words.split())
    if not plain:
        raise LettererError(Fault("--words holds no words", 'Write --words "I said so."'))
    made, _ = page_format(PageMeasures(format="american comic"), Measure("in"))
    assert made is not None
    layout = Layout(made, Measure("in"), Reading.LEFT_TO_RIGHT, "en", Style(), (PagePlan(1),))
    faces = faces_in(trial.fonts)
    try:
        script = parse_script(f"PAGE 1\nPANEL 1\nSPEAKER: {plain}\n")
        drawn = _drawn(
            plain, [_job(unit, layout, faces) for unit in script.units], trial.asked, bare=True
        )
    except LettererError as error:
        faults = (Fault(fault.what, fault.mend, "--words") for fault in error.faults)
        raise LettererError(*faults) from error
    record: dict[str, Any] = {"layout": "", "choices": {}}
    write_sheet(CHOICES, sheet, drawn, lambda: sheet_html(drawn, ""), record)
    return drawn


def keep_choice(
    script: str | Path,
    layout: str | Path,
    sheet: Path,
    numbers: Sequence[int],
    trial: Trial,
) -> Kept:
    """Write choices of a sheet into the layout, only there, and letter their pages again, into the
    folder of the sheet. What `trial` says must be what the sheet was drawn for.

    A choice takes the place of one kept earlier for its unit. Raises LettererError, with the layout
    as it was, when the sheet has no such number, when the layout, the unit or the sheet has changed
    since it was drawn, or when the page cannot be lettered so.
    """
    record = CHOICES.read(sheet)
    _check_asked(record, sheet, trial.asked)
    file = unchanged(record, layout)
    book, plan = read_book(script, layout)
    check_planned(book, plan, layout)
    faces_in(trial.fonts)
    chosen = _chosen(record, sheet, numbers, book, trial.units)
    changes = {unit: record["choices"][str(number)]["keys"] for unit, number in chosen.items()}
    changed = file.with_placements({unit: keys for unit, keys in changes.items() if keys})
    altered = {unit for unit in chosen if _alters(file, changed, unit)}
    said = {unit.id: unit.remembered for unit in book.units if unit.id in altered}
    changed = changed.with_placements(said)
    told = [
        f"Kept choice {number} for unit {unit} in {layout}."
        if unit in altered
        else f"Choice {number} for unit {unit} is what {layout} says already."
        for unit, number in chosen.items()
    ]
    pages = tuple(sorted({int(unit.split(".")[0]) for unit in chosen}))
    if changed.data != file.data:
        changed = changed.save()
    with or_put_back(file, changed, layout, "choice"):
        result = letter(script, layout, Output(sheet.parent, pages=pages, fonts=trial.fonts))
        if result.faults:
            raise LettererError(*result.faults)
        kept = {**record, "layout": fingerprint(changed.data)}
        write_whole(CHOICES.path(sheet), CHOICES.data(kept))
    return Kept("\n".join([*told, result.summary]), result.files)


def keep_command(
    script: str | Path, layout: str | Path, sheet: Path, fonts: Sequence[Path] = ()
) -> str:
    """What a person types to take the second choice of a sheet."""
    words = ["letterer", "try", str(script), str(layout), "-o", str(sheet)]
    words += [word for folder in fonts for word in ("--fonts", str(folder))]
    return shlex.join([*words, "--keep", "2"])


def record_path(sheet: Path) -> Path:
    """The file beside a sheet that says what its numbers mean."""
    return CHOICES.path(sheet)


# --- What is meant ----------------------------------------------------------------------------


def _named(script: Script, targets: Sequence[str]) -> list[Unit]:
    """The units that a person means by 1.2.3 or 1.2, each once."""
    named: dict[Unit, None] = {}
    faults = []
    for target in targets:
        found = [unit for unit in script.units if target in (unit.id, panel_of(unit))]
        named.update(dict.fromkeys(found))
        if not found:
            faults.append(nothing_there(script, target))
    if faults:
        raise LettererError(*faults)
    return list(named)


def _job(unit: Unit, layout: Layout, faces: FaceLibrary) -> Job:
    """A unit with its plan; one without a placement stands in the middle of its panel."""
    plan = layout.page(unit.page) or PagePlan(unit.page)
    panel = plan.panel(unit.panel)
    placement = plan.placement(unit.id)
    if placement is None:
        room: Box = panel.box if panel else layout.format.live
        placement = Placement(unit.id, Center(Point(*room.center)), tails=None if panel else ())
    return Job.of(unit, placement, plan, layout, faces)


def _drawn(title: str, jobs: Sequence[Job], asked: Asked, bare: bool = False) -> Sheet:
    groups: list[Group] = []
    faults: list[Fault] = []
    remarks: tuple[str, ...] = ()
    number = 1
    for job in jobs:
        try:
            found = choices(job, asked, number)
        except LettererError as error:
            faults += error.faults
            continue
        heading, note = ("", "") if bare else _heading(job)
        groups.append(Group(heading, note, job, found))
        number += len(found)
        if asked and len(found) == CHOICES_MOST:
            remarks = (f"No more than {CHOICES_MOST} choices are shown for a unit.",)
    if faults:
        raise LettererError(*faults)
    return replace(choice_sheet(title, groups, jobs[0].faces), remarks=remarks)


def _heading(job: Job) -> tuple[str, str]:
    """What stands over the choices of a unit: which it is, and where it stands if nowhere yet."""
    unit = job.unit
    who = f"{unit.speaker}: " if unit.speaker else ""
    told = f"{unit.id}  {who}{unit.words}"
    if len(told) > HEADING_LETTERS:
        told = told[: HEADING_LETTERS + 1].rpartition(" ")[0] + "..."
    if job.plan.placement(unit.id) is not None:
        return told, ""
    where = "the middle of its panel" if job.panel else "the middle of the page"
    return told, f"It has no place in the layout yet: it is shown in {where}."


def _keys(group: Group, place: int) -> dict[str, object]:
    """What the placement will say. Every key that a choice may have is named, so that a choice
    undoes one kept earlier; a key that is to be taken out is None.

    The breaks of several lines are always written: a kept choice stays as it was seen.
    """
    job, choice = group.job, group.choices[place]
    placed = job.plan.placement(job.unit.id)
    had = placed or Placement(job.unit.id, job.placement.spot)
    keys: dict[str, object] = {"kind": had.kind, "size": had.size, "lines": had.lines}
    keys |= {"aspect": had.aspect, "breaks": None}
    keys |= {"effect": dict(had.effect.written) if had.effect else None, **choice.keys}
    if "lines" in choice.keys and "aspect" not in choice.keys:
        keys["aspect"] = None
    if len(choice.unit.breaks) > 1:
        keys |= {"breaks": list(choice.unit.breaks), "lines": None}
    if placed is None and isinstance(job.placement.spot, Center):
        keys["center"] = [job.layout.measure.written(value) for value in job.placement.spot.at]
    return keys


# --- Keeping ----------------------------------------------------------------------------------


def _check_asked(record: dict[str, Any], sheet: Path, asked: Asked) -> None:
    """Refuse options that the sheet was not drawn with: its numbers would mean something else."""
    if not record["choices"]:
        what = "this sheet shows a bare sentence, which has no place in a layout"
        mend = "Write it into the script, and try its unit"
        raise LettererError(Fault(what, mend, str(sheet)))
    if asked and json.loads(json.dumps(asdict(asked))) != record.get("asked"):
        what = "this sheet was drawn with other sizes, lines, widths or kinds"
        mend = "Draw it again with these, look at it, then keep"
        raise LettererError(Fault(what, mend, str(sheet)))


def _chosen(
    record: dict[str, Any],
    sheet: Path,
    numbers: Sequence[int],
    script: Script,
    targets: Sequence[str],
) -> dict[str, int]:
    """The number chosen for each unit; all that is wrong with them is told together."""
    known = record["choices"]
    asked_for = {unit.id for unit in _named(script, targets)}
    chosen: dict[str, int] = {}
    faults: dict[Fault, None] = {}
    for number in dict.fromkeys(numbers):
        choice = known.get(str(number))
        if choice is None:
            mend = f"Choose from 1 to {len(known)}" if len(known) > 1 else "It has choice 1 only"
            faults[Fault(f"the sheet has no choice {number}", mend, str(sheet))] = None
            continue
        id = choice["unit"]
        unit = next((unit for unit in script.units if unit.id == id), None)
        if unit is None or as_written(unit) != choice["as written"]:
            what = f"unit {id} has changed since the sheet was drawn"
            faults[Fault(what, "Draw the sheet again, then keep", script.file)] = None
        elif asked_for and id not in asked_for:
            what = f"choice {number} is one for unit {id}, not for {listed(list(targets))}"
            faults[Fault(what, "Look at the sheet again", str(sheet))] = None
        elif id in chosen:
            what = f"choices {chosen[id]} and {number} are both for unit {id}"
            faults[Fault(what, "Keep one of them", str(sheet))] = None
        else:
            chosen[id] = number
    if faults:
        raise LettererError(*faults)
    return chosen


def _alters(before: LayoutFile, after: LayoutFile, unit: str) -> bool:
    """True when two layouts place a unit differently."""
    page = int(unit.split(".")[0])
    one, other = (file.layout().page(page) for file in (before, after))
    return (one and one.placement(unit)) != (other and other.placement(unit))


# --- The files of a sheet ---------------------------------------------------------------------

_DRAW = "Draw one first: letterer try SCRIPT LAYOUT 1.2.3"


def _sound(record: dict[str, Any]) -> bool:
    return all(
        isinstance(choice["unit"], str)
        and isinstance(choice["as written"], str)
        and isinstance(choice["keys"], dict)
        for choice in record["choices"].values()
    )


CHOICES = RecordKind(
    RECORD,
    RECORD_VERSION,
    ".choices.json",
    _sound,
    Fault("there is no sheet here to keep a choice of", _DRAW),
    "choices",
    "try.html",
)
