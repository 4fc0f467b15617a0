"""The report of a run: every unit as it was set, every finding; as JSON for programs, as text for
people."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from letterer.errors import Fault
from letterer.fit.oval import Oval
from letterer.geometry import Box
from letterer.page.lettered import Finding, LetteredPage, PlacedUnit, Severity

DIGITS = 3
REPORT_VERSION = 1
MARK = "letterer report"
"""The first key of a report. A file that does not begin with it is no report of ours."""

SHOWN_MOST, SHOWN_ALIKE, NAMED_MOST = 30, 3, 12
"""Lines of a summary; how many findings that say the same have lines of their own; how many units
one line names."""


def report_json(
    pages: Sequence[LetteredPage], findings: Sequence[Finding], remarks: Sequence[Fault] = ()
) -> str:
    """The report as JSON text. Lengths are in points from the top left corner of the trim.

    `findings` are those of the whole book; each page carries its own. `remarks` are on the script
    and the layout as they were written.
    """
    report = {
        MARK: REPORT_VERSION,
        "unit": "pt",
        "remarks": [_remark(remark) for remark in remarks],
        "findings": [_finding(finding) for finding in findings],
        "pages": [_page(page) for page in pages],
    }
    return json.dumps(report, ensure_ascii=False, indent=1) + "\n"


def is_report(begin: bytes) -> bool:
    """Whether a file that begins with these bytes may be replaced by a report: it is one, or it is
    empty.

    >>> is_report(report_json((), ()).encode()[:100]), is_report(b'{"letterer": 1}')
    (True, False)
    """
    text = begin.decode("utf-8", "replace").lstrip("\ufeff{ \t\r\n")
    return not begin.strip() or text.startswith(f'"{MARK}"')


def _page(page: LetteredPage) -> dict[str, Any]:
    return {
        "page": page.number,
        "findings": [_finding(finding) for finding in page.findings],
        "units": [_unit(unit) for unit in page.units],
    }


def _unit(unit: PlacedUnit) -> dict[str, Any]:
    told: dict[str, Any] = {
        "unit": unit.id,
        "kind": unit.kind,
        "speaker": unit.speaker,
        "lines": list(unit.breaks),
        "size": _number(unit.size),
        "planned size": _number(unit.planned_size),
        "fits": unit.fits,
        "center": [_number(value) for value in unit.center],
        "box": _box(unit.box),
        "ink": _box(unit.ink),
        "costs": {name: _number(cost) for name, cost in unit.costs},
        "tails": [
            {"mouth": [_number(v) for v in tail.mouth], "tip": [_number(v) for v in tail.tip]}
            for tail in unit.tails
        ],
    }
    if unit.joined:
        told["joined with"] = [id for id in unit.joined if id != unit.id]
    if not unit.fits:
        told["sticks out by"] = [_number(value) for value in unit.overflow]
    if isinstance(unit.shape, Oval):
        shape = unit.shape
        told["oval"] = {"a": _number(shape.a), "b": _number(shape.b), "exponent": shape.n}
    return told


def _remark(remark: Fault) -> dict[str, Any]:
    told: dict[str, Any] = {"file": remark.file, "line": remark.line, "what": remark.what}
    if remark.unit or remark.page:
        told |= {"unit": remark.unit} if remark.unit else {"page": remark.page}
    if remark.mend:
        told["mend"] = remark.mend
    return told


def _finding(finding: Finding) -> dict[str, Any]:
    told: dict[str, Any] = {
        "severity": finding.severity.value,
        "kind": finding.kind,
        "page": finding.page,
        "what": finding.what,
    }
    if finding.unit:
        told["unit"] = finding.unit
    if finding.mend:
        told["mend"] = finding.mend
    return told


def _box(box: Box) -> list[float]:
    """A box as a layout gives it: left, top, width, height."""
    return [_number(value) for value in (box.left, box.top, box.width, box.height)]


def _number(value: float) -> float:
    return round(value, DIGITS) + 0.0


def summary(
    pages: Sequence[LetteredPage],
    findings: Sequence[Finding],
    files: int,
    remarks: Sequence[Fault] = (),
) -> str:
    """What a run did, for a person to read: counts first, then the findings, worst first, then
    what may have been meant otherwise than it was written."""
    every = [*findings, *(finding for page in pages for finding in page.findings)]
    units = sum(len(page.units) for page in pages)
    unplaced = sum(finding.kind == "not placed" for finding in every)
    shrunk = sum(finding.kind == "shrunk" for finding in every)
    misfits = sum(finding.kind == "does not fit" for finding in every)
    counts = [_count(len(pages), "page"), _count(units, "unit") + " lettered"]
    counts += [f"{unplaced} not placed"] if unplaced else []
    counts += [f"{shrunk} shrunk to fit"] if shrunk else []
    counts += [f"{misfits} not fitting"] if misfits else []
    counts.append(_count(files, "file") + " written")
    order = [Severity.PROBLEM, Severity.WARNING, Severity.NOTE]
    ranked = sorted(every, key=lambda finding: order.index(finding.severity))
    told = [f"  {line}" for line in _gathered(ranked)]
    told += [f"  look at {remark}" for remark in remarks]
    lines = [", ".join(counts) + ".", *told[:SHOWN_MOST]]
    if len(told) > SHOWN_MOST:
        lines.append(f"  and {len(told) - SHOWN_MOST} more; --report FILE.json holds them all.")
    return "\n".join(lines)


def _gathered(findings: Sequence[Finding]) -> list[str]:
    """Findings as lines; where many units have the same and the same mends it, one line names
    them all."""
    alike: dict[tuple[str, str, str], list[Finding]] = {}
    for place, finding in enumerate(findings):
        known = (finding.severity.value, finding.kind, finding.mend)
        alike.setdefault(known if finding.unit else (*known[:2], str(place)), []).append(finding)
    lines: list[str] = []
    for (severity, _, _), same in alike.items():
        if len(same) <= SHOWN_ALIKE:
            lines += [f"{severity}: {finding}" for finding in same]
            continue
        units = [finding.unit for finding in same[1:]]
        more = f" and {len(units) - NAMED_MOST} more" if len(units) > NAMED_MOST else ""
        lines.append(f"{severity}: {same[0]} The same of {', '.join(units[:NAMED_MOST])}{more}.")
    return lines


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
