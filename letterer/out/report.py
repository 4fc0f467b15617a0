"""The report of a run: every unit as it was set, every finding; as JSON for programs, as text for
people."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from letterer.fit.oval import Oval
from letterer.geometry import Box
from letterer.page.lettered import Finding, LetteredPage, PlacedUnit, Severity

DIGITS = 3
REPORT_VERSION = 1
SHOWN_MOST = 30


def report_json(pages: Sequence[LetteredPage], findings: Sequence[Finding]) -> str:
    """The report as JSON text. Lengths are in points from the top left corner of the trim.

    `findings` are those of the whole book; each page carries its own.
    """
    report = {
        "letterer report": REPORT_VERSION,
        "unit": "pt",
        "findings": [_finding(finding) for finding in findings],
        "pages": [_page(page) for page in pages],
    }
    return json.dumps(report, ensure_ascii=False, indent=1) + "\n"


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
    if not unit.fits:
        told["sticks out by"] = [_number(value) for value in unit.overflow]
    if isinstance(unit.shape, Oval):
        shape = unit.shape
        told["oval"] = {"a": _number(shape.a), "b": _number(shape.b), "exponent": shape.n}
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


def summary(pages: Sequence[LetteredPage], findings: Sequence[Finding], files: int) -> str:
    """What a run did, for a person to read: counts first, then the findings, worst first."""
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
    lines = [", ".join(counts) + "."]
    lines += [f"  {finding.severity.value}: {finding}" for finding in ranked[:SHOWN_MOST]]
    if len(ranked) > SHOWN_MOST:
        lines.append(f"  and {len(ranked) - SHOWN_MOST} more; --report FILE.json holds them all.")
    return "\n".join(lines)


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
