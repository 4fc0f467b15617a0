"""Trying before committing: a sheet of choices for some units, and keeping one of them.

Beside a sheet stands a small JSON file that says what each number on it means, and what the layout
was when the sheet was drawn: a choice is only kept while both are as they were.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from letterer import craft
from letterer.api import Output, letter, read_layout, read_script
from letterer.errors import Fault, LettererError
from letterer.geometry import Box, Point
from letterer.model.formats import PageMeasures, page_format
from letterer.model.plan import Center, Layout, Measure, PagePlan, Placement, Reading
from letterer.model.script import Script, Unit
from letterer.model.style import Style
from letterer.out.sheet import Sheet
from letterer.page.choices import Asked, Choice, choices
from letterer.page.manner import setting_of
from letterer.page.unit import Job

SHEET_KINDS = (".html", ".svg", ".png")
CHOICES_VERSION = 1


@dataclass(frozen=True, slots=True)
class Kept:
    """What was kept, in words, and the files of the page lettered again."""

    told: str
    files: tuple[Path, ...]


def try_units(
    script: str | Path, layout: str | Path, targets: Sequence[str], sheet: Path, asked: Asked
) -> Sheet:
    """Draw a sheet of choices for units (1.2.3) and whole panels (1.2). Raises LettererError."""
    book, plan = read_script(script), read_layout(layout)
    units = [unit for target in targets for unit in _named(book, target)]
    drawn, groups = _drawn([_job(unit, plan) for unit in dict.fromkeys(units)], asked)
    _write(drawn, sheet, f"Choices for {', '.join(targets)}")
    record = {
        "letterer choices": CHOICES_VERSION,
        "layout": _fingerprint(Path(layout)),
        "choices": {
            str(choice.number): {
                "unit": choice.unit.id,
                "words": choice.unit.words,
                "keys": _keys(job, choice),
            }
            for job, found in groups
            for choice in found
        },
    }
    _save(record_path(sheet), json.dumps(record, ensure_ascii=False, indent=1).encode() + b"\n")
    return drawn


def try_words(words: str, sheet: Path, asked: Asked) -> Sheet:
    """Draw a sheet of choices for a bare sentence, in the usual style. Raises LettererError."""
    from letterer.model.script_reader import parse_script

    plain = " ".join(words.split())
    if not plain:
        raise LettererError(Fault("--words holds no words", 'Write --words "I said so."'))
    script = parse_script(f"PAGE 1\nPANEL 1\nSPEAKER: {plain}\n", "--words")
    made, _ = page_format(PageMeasures(format="american comic"), Measure("in"))
    assert made is not None
    layout = Layout(made, Measure("in"), Reading.LEFT_TO_RIGHT, "en", Style(), (PagePlan(1),))
    drawn, _ = _drawn([_job(unit, layout) for unit in script.units], asked)
    _write(drawn, sheet, plain)
    return drawn


def keep_choice(
    script: str | Path, layout: str | Path, sheet: Path, numbers: Sequence[int]
) -> Kept:
    """Write choices of a sheet into the layout, only there, and letter their pages again.

    Raises LettererError, with the layout as it was, when the sheet has no such number, or when the
    layout or the words have changed since it was drawn.
    """
    from letterer.model.layout_file import LayoutFile

    record = _record(sheet)
    if record["layout"] != _fingerprint(Path(layout)):
        what = "the layout has changed since the sheet was drawn"
        raise LettererError(Fault(what, "Draw the sheet again, then keep", str(layout)))
    book = read_script(script)
    known = record["choices"]
    changes: dict[str, dict[str, object]] = {}
    for number in numbers:
        choice = known.get(str(number))
        if choice is None:
            mend = f"Choose from 1 to {len(known)}"
            raise LettererError(Fault(f"the sheet has no choice {number}", mend, str(sheet)))
        unit = next((unit for unit in book.units if unit.id == choice["unit"]), None)
        if unit is None or unit.words != choice["words"]:
            what = f"the words of unit {choice['unit']} have changed since the sheet was drawn"
            raise LettererError(Fault(what, "Draw the sheet again, then keep", str(script)))
        if unit.id in changes:
            what = f"two choices for one unit, {unit.id}"
            raise LettererError(Fault(what, "Keep one of them", str(sheet)))
        changes[unit.id] = dict(choice["keys"])
    file = LayoutFile.read(layout)
    changed = file.with_placements({unit: keys for unit, keys in changes.items() if keys})
    changed.save()
    pages = tuple(sorted({int(unit.split(".")[0]) for unit in changes}))
    result = letter(script, layout, Output(sheet.parent, pages=pages))
    told = [f"Kept for unit {unit} in {layout}." for unit in changes]
    return Kept("\n".join([*told, result.summary]), result.files)


def record_path(sheet: Path) -> Path:
    """The file beside a sheet that says what its numbers mean."""
    return sheet.with_name(sheet.name + ".choices.json")


def _named(script: Script, target: str) -> list[Unit]:
    """The units that a person means by 1.2.3 or 1.2."""
    found = [
        unit for unit in script.units if unit.id == target or f"{unit.page}.{unit.panel}" == target
    ]
    if not found:
        known = [unit.id for unit in script.units]
        on_page = [unit for unit in known if unit.split(".")[0] == target.split(".")[0]]
        some = ", ".join((on_page or known)[:8])
        what = f"the script has no unit or panel {target}"
        raise LettererError(Fault(what, f"There is {some}", script.file))
    return found


def _job(unit: Unit, layout: Layout) -> Job:
    """A unit with its plan; one without a placement stands in the middle of its panel."""
    from letterer.text.faces import library

    plan = layout.page(unit.page) or PagePlan(unit.page)
    panel = plan.panel(unit.panel)
    placement = plan.placement(unit.id)
    if placement is None:
        room: Box = panel.box if panel else layout.format.live
        placement = Placement(unit.id, Center(Point(*room.center)), tails=None if panel else ())
    setting = setting_of(unit, layout.style, placement.kind)
    return Job(unit, placement, plan, panel, layout, library(()), setting)


def _drawn(jobs: Sequence[Job], asked: Asked) -> tuple[Sheet, list[tuple[Job, list[Choice]]]]:
    from letterer.out.sheet import choice_sheet

    groups: list[tuple[Job, list[Choice]]] = []
    number = 1
    for job in jobs:
        found = choices(job, asked, number)
        groups.append((job, found))
        number += len(found)
    return choice_sheet(groups, jobs[0].faces), groups


def _keys(job: Job, choice: Choice) -> dict[str, object]:
    """What the placement will say; a key that no longer holds is taken out (null)."""
    keys = dict(choice.keys)
    placed = job.plan.placement(job.unit.id)
    if placed is None and isinstance(job.placement.spot, Center):
        at = job.placement.spot.at
        keys["center"] = [job.layout.measure.written(value) for value in at]
    if not choice.keys:
        return keys
    if "breaks" in keys:
        keys.pop("lines", None)
    for key, old in (
        ("lines", placed and placed.lines),
        ("aspect", placed and placed.aspect),
        ("breaks", placed and placed.breaks),
    ):
        if old is not None and key not in keys:
            keys[key] = None
    return keys


def _write(drawn: Sheet, sheet: Path, title: str) -> None:
    from letterer.out.sheet import sheet_html, sheet_png, sheet_svg

    kind = sheet.suffix.lower()
    if kind not in SHEET_KINDS:
        what = "a sheet is drawn as .html, .svg or .png"
        raise LettererError(Fault(what, f"Write -o {sheet.stem or 'try'}.html, say", str(sheet)))
    if kind == ".png":
        data = sheet_png(drawn, craft.DPI_SHEET)
    elif kind == ".svg":
        data = sheet_svg(drawn).encode()
    else:
        data = sheet_html(drawn, title).encode()
    _save(sheet, data)


def _save(path: Path, data: bytes) -> None:
    from letterer.out.files import make_folder, write_whole

    make_folder(path.parent)
    write_whole(path, data)


def _record(sheet: Path) -> dict[str, Any]:
    """What the numbers of a sheet mean."""
    path = record_path(sheet)
    try:
        record = json.loads(path.read_bytes())
        if record.get("letterer choices") != CHOICES_VERSION:
            raise ValueError
    except FileNotFoundError as error:
        what = "there is no sheet to keep a choice of"
        mend = "Draw it first: letterer try SCRIPT LAYOUT 1.2.3"
        raise LettererError(Fault(what, mend, str(sheet))) from error
    except (OSError, ValueError, AttributeError) as error:
        what = "this file beside the sheet cannot be read"
        raise LettererError(Fault(what, "Draw the sheet again", str(path))) from error
    return dict(record)


def _fingerprint(path: Path) -> str:
    """What a file held, in short."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        raise LettererError(Fault("this file cannot be read", file=str(path))) from error
