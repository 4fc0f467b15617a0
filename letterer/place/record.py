"""The record beside a sheet of proposals: what its numbers mean, and what they were drawn for."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from letterer.errors import Fault, LettererError

RECORD = "letterer proposals"
RECORD_VERSION = 1
FIRST = "first"
"""`--keep first` keeps the first proposal of every panel on the sheet."""

DRAWN_FIRST = "Draw a sheet first: letterer place SCRIPT LAYOUT"


def fingerprint(data: bytes) -> str:
    """What a file holds, in short."""
    return hashlib.sha256(data).hexdigest()


def record_path(sheet: Path) -> Path:
    """The file beside a sheet that says what its numbers mean."""
    return sheet.with_name(sheet.name + ".places.json")


def read_record(sheet: Path) -> dict[str, Any]:
    """What the numbers of a sheet mean. Raises LettererError where there is no sheet, or another
    than the record knows."""
    path = record_path(sheet)
    try:
        data, text = sheet.read_bytes(), path.read_bytes()
    except FileNotFoundError as error:
        what = "there is no sheet here to keep a proposal of"
        raise LettererError(Fault(what, DRAWN_FIRST, str(sheet))) from error
    except OSError as error:
        raise LettererError(_unreadable(path)) from error
    record = _parsed(text)
    if record is None:
        raise LettererError(_unreadable(path))
    if record["sheet"] != fingerprint(data):
        what = "this is not the sheet that its numbers were written for"
        raise LettererError(Fault(what, "Draw the sheet again, then keep", str(sheet)))
    return record


def _unreadable(path: Path) -> Fault:
    return Fault("this file beside the sheet cannot be read", "Draw the sheet again", str(path))


def is_record(path: Path) -> bool:
    """Whether a file is a record that this program wrote."""
    try:
        return _parsed(path.read_bytes()) is not None
    except OSError:
        return False


def _parsed(text: bytes) -> dict[str, Any] | None:
    """A record, or None where it is not one that this program wrote."""
    try:
        record = json.loads(text)
        sound = record[RECORD] == RECORD_VERSION and all(
            isinstance(one["panel"], str)
            and all(
                isinstance(known["as written"], str) and isinstance(known["keys"], dict)
                for known in one["units"].values()
            )
            for one in record["proposals"].values()
        )
        sound = sound and all(isinstance(record[key], str) for key in ("sheet", "layout"))
        sound = sound and all(str(number) in record["proposals"] for number in record[FIRST])
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None
    return dict(record) if sound else None


def chosen_of(
    record: dict[str, Any],
    sheet: Path,
    numbers: Sequence[int] | str,
    written: Mapping[str, str],
    script: str,
) -> dict[int, dict[str, Any]]:
    """The proposals that numbers mean; all that is wrong with them is told together. `written` is
    how each unit is written now, in short."""
    known = record["proposals"]
    wanted: Iterable[int] = record[FIRST] if isinstance(numbers, str) else numbers
    chosen: dict[int, dict[str, Any]] = {}
    panels: dict[str, int] = {}
    faults: dict[Fault, None] = {}
    for number in dict.fromkeys(wanted):
        one = known.get(str(number))
        if one is None:
            mend = f"Choose from 1 to {len(known)}" if len(known) > 1 else "It has proposal 1 only"
            faults[Fault(f"the sheet has no proposal {number}", mend, str(sheet))] = None
            continue
        changed = [id for id, was in one["units"].items() if written.get(id) != was["as written"]]
        if changed:
            what = f"unit {changed[0]} has changed since the sheet was drawn"
            faults[Fault(what, "Draw the sheet again, then keep", script)] = None
        elif one["panel"] in panels:
            what = (
                f"proposals {panels[one['panel']]} and {number} are both for panel {one['panel']}"
            )
            faults[Fault(what, "Keep one of them", str(sheet))] = None
        else:
            chosen[number], panels[one["panel"]] = one, number
    if faults:
        raise LettererError(*faults)
    return chosen
