"""Findings as text for people and as JSON for programs."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from letterer.errors import Fault
from letterer.model.plan import Layout
from letterer.page.lettered import Finding, Severity
from letterer.review.finding import DIGITS, Noticed
from letterer.review.legibility import PageReading
from letterer.review.pages import Reviewed

CHECK_VERSION = 1
MARK = "letterer check"
"""The first key of the JSON."""

JSON_DIGITS = 3


def told(noticed: Noticed, layout: Layout) -> str:
    """One finding in one line: where, what, how to mend it, and why it is kept if it is."""
    finding = noticed.finding
    where = f"unit {finding.unit}" if finding.unit else f"page {finding.page}"
    if not finding.page and not finding.unit:
        where = "the book"
    if noticed.at is not None:
        measure = layout.measure
        digits = DIGITS[measure.unit]
        x, y = (measure.written(value) for value in noticed.at.center)
        where += f" (at {x:.{digits}f}, {y:.{digits}f} {measure.unit})"
    words = [f"{where}: {_ended(finding.what)}"]
    if noticed.because:
        words.append(f"Accepted: {_ended(noticed.because)}")
    elif finding.mend:
        words.append(_ended(finding.mend))
    return " ".join(words)


def _ended(words: str) -> str:
    return words if words.rstrip('"').endswith((".", "?", "!")) else f"{words}."


def as_text(reviewed: Reviewed, layout: Layout, remarks: Sequence[Fault] = ()) -> str:
    """All findings for a person: counts, then page by page, worst first, numbered as in the
    pictures."""
    every = reviewed.every
    lines = [_counts(reviewed)]
    for one, number in zip(reviewed.book, _numbers_of_book(reviewed), strict=True):
        lines.append(f"  {number:>3}  {_severity(one)}: {told(one, layout)}")
    for page, found in reviewed.pages:
        if found:
            lines += ["", f"Page {page}"]
        for number, one in numbered(reviewed, page):
            lines.append(f"  {number:>3}  {_severity(one)}: {told(one, layout)}")
    if remarks:
        lines.append("")
    lines += [f"  look at {remark}" for remark in remarks]
    left = [one for one in every if not one.because]
    if left:
        lines += ["", _how_to_accept(left[0].finding)]
    return "\n".join(lines)


def _how_to_accept(finding: Finding) -> str:
    """What a person writes to keep a finding as it is."""
    kept = {"unit": finding.unit} if finding.unit else {}
    kept |= {"finding": finding.kind, "because": "..."}
    where = f"page {finding.page} of the layout" if finding.page else "the layout"
    return f'To keep the first as it is, add to {where}: "accepted": [{json.dumps(kept)}]'


def numbered(reviewed: Reviewed, page: int) -> list[tuple[int, Noticed]]:
    """The findings of a page with their numbers; numbers run on from page to page."""
    number = 0
    for name, found in reviewed.pages:
        if name == page:
            return list(enumerate(found, number + 1))
        number += len(found)
    return []


def numbered_book(reviewed: Reviewed) -> list[tuple[int, Noticed]]:
    """The findings of the book as a whole with their numbers, which come after the pages'."""
    return list(zip(_numbers_of_book(reviewed), reviewed.book, strict=True))


def _numbers_of_book(reviewed: Reviewed) -> range:
    first = sum(len(found) for _, found in reviewed.pages) + 1
    return range(first, first + len(reviewed.book))


def _severity(noticed: Noticed) -> str:
    return "accepted" if noticed.because else f"{noticed.finding.severity.value}"


def _counts(reviewed: Reviewed) -> str:
    pages = len(reviewed.pages)
    parts = []
    open_ones = [one for one in reviewed.every if not one.because]
    for severity in (Severity.PROBLEM, Severity.WARNING, Severity.NOTE):
        many = sum(one.finding.severity is severity for one in open_ones)
        parts += [f"{many} {severity.value}{'' if many == 1 else 's'}"] if many else []
    accepted = len(reviewed.every) - len(open_ones)
    parts += [f"{accepted} accepted"] if accepted else []
    book = f"{pages} page{'' if pages == 1 else 's'} looked over"
    return f"{book}: {', '.join(parts) or 'nothing to mend'}."


def as_json(reviewed: Reviewed, layout: Layout, remarks: Sequence[Fault] = ()) -> str:
    """All findings for a program. Boxes are [left, top, width, height] in points from the trim's
    top left corner; numbers are those of the pictures."""
    found = [
        _json(number, one) for page, _ in reviewed.pages for number, one in numbered(reviewed, page)
    ]
    book = zip(_numbers_of_book(reviewed), reviewed.book, strict=True)
    found += [_json(number, one) for number, one in book]
    worst = reviewed.worst
    report = {
        MARK: CHECK_VERSION,
        "unit": "pt",
        "worst": worst.value if worst else "",
        "findings": found,
        "reading": [_reading(one) for one in reviewed.readings],
        "remarks": [str(remark) for remark in remarks],
    }
    return json.dumps(report, ensure_ascii=False, indent=1) + "\n"


def _reading(one: PageReading) -> dict[str, Any]:
    """How a page reads: heights of its smallest letters in mm, and on a telephone how often they
    must be enlarged."""
    return {
        "page": one.page,
        "letters in print, mm": one.cap_print,
        "letters on a telephone, mm": one.cap_telephone,
        "enlarge on a telephone": one.zoom,
        "characters a line": one.line_letters,
        "words": one.words,
        "seconds": one.seconds,
    }


def _json(number: int, noticed: Noticed) -> dict[str, Any]:
    finding = noticed.finding
    made: dict[str, Any] = {
        "number": number,
        "severity": finding.severity.value,
        "kind": finding.kind,
        "page": finding.page,
        "what": finding.what,
    }
    if finding.unit:
        made["unit"] = finding.unit
    if finding.mend:
        made["mend"] = finding.mend
    if noticed.others:
        made["others"] = list(noticed.others)
    if noticed.at is not None:
        box = noticed.at
        values = (box.left, box.top, box.width, box.height)
        made["at"] = [round(value, JSON_DIGITS) + 0.0 for value in values]
    if noticed.because:
        made["accepted"] = noticed.because
    return made
