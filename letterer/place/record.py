"""The record beside a sheet of proposals: what its numbers mean, and what they were drawn for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from letterer.errors import Fault, LettererError
from letterer.sheet_record import RecordKind

RECORD = "letterer proposals"
RECORD_VERSION = 1
FIRST = "first"
"""`--keep first` keeps the first proposal of every panel on the sheet."""

DRAWN_FIRST = "Draw a sheet first: letterer place SCRIPT LAYOUT"


def _sound(record: dict[str, Any]) -> bool:
    return all(
        isinstance(one["panel"], str)
        and all(
            isinstance(known["as written"], str) and isinstance(known["keys"], dict)
            for known in one["units"].values()
        )
        for one in record["proposals"].values()
    ) and all(str(number) in record["proposals"] for number in record[FIRST])


PROPOSALS = RecordKind(
    RECORD,
    RECORD_VERSION,
    ".places.json",
    _sound,
    Fault("there is no sheet here to keep a proposal of", DRAWN_FIRST),
    "proposals",
    "place.html",
)


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
