"""The report for programs and the summary for people."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import pytest

from letterer.errors import Fault
from letterer.out.report import SHOWN_MOST, is_report, report_json, summary
from letterer.page.lettered import Finding, LetteredPage, Severity

PAGE_FINDING = Finding(Severity.NOTE, "shrunk", "set at 6 pt", "", 1, "1.1.1")
BOOK_FINDING = Finding(Severity.WARNING, "page not planned", "no such page", "Add it", 2)
REMARK = Fault("page 4 comes after page 2", "Check the page numbers", "script.txt", 12)


@pytest.fixture
def told(lettered: LetteredPage) -> dict[str, Any]:
    """The report of the page, read back."""
    page = replace(lettered, findings=(PAGE_FINDING,))
    read: dict[str, Any] = json.loads(report_json([page], [BOOK_FINDING], [REMARK]))
    return read


def numbers(value: object) -> Iterator[float]:
    """Every number in a report."""
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        for inner in value:
            yield from numbers(inner)
    elif isinstance(value, float):
        yield value


def test_the_report_says_what_it_is(told: dict[str, Any]) -> None:
    assert list(told) == ["letterer report", "unit", "remarks", "findings", "pages"]
    assert (told["letterer report"], told["unit"]) == (1, "pt")


def test_the_report_holds_every_finding_and_remark(told: dict[str, Any]) -> None:
    assert told["findings"] == [
        {
            "severity": "warning",
            "kind": "page not planned",
            "page": 2,
            "what": "no such page",
            "mend": "Add it",
        }
    ]
    assert told["pages"][0]["findings"] == [
        {"severity": "note", "kind": "shrunk", "page": 1, "what": "set at 6 pt", "unit": "1.1.1"}
    ]
    assert told["remarks"] == [
        {
            "file": "script.txt",
            "line": 12,
            "what": "page 4 comes after page 2",
            "mend": "Check the page numbers",
        }
    ]


def test_the_report_holds_every_unit_as_it_was_set(
    told: dict[str, Any], lettered: LetteredPage
) -> None:
    (page,) = told["pages"]
    assert page["page"] == 1
    for unit, wanted in zip(page["units"], lettered.units, strict=True):
        assert unit["unit"] == wanted.id
        assert unit["kind"] == wanted.kind
        assert unit["speaker"] == wanted.speaker
        assert unit["lines"] == list(wanted.breaks)
        assert unit["size"] == pytest.approx(wanted.size, abs=0.001)
        assert unit["fits"] is True and "sticks out by" not in unit
        assert unit["center"] == pytest.approx(list(wanted.center), abs=0.001)
        left, top, width, height = unit["box"]
        assert (left, top) == pytest.approx((wanted.box.left, wanted.box.top), abs=0.001)
        assert (width, height) == pytest.approx((wanted.box.width, wanted.box.height), abs=0.001)
        assert [tail["mouth"] for tail in unit["tails"]] == [
            pytest.approx(list(tail.mouth), abs=0.001) for tail in wanted.tails
        ]
        assert ("oval" in unit) == (wanted.kind in ("speech", "whisper", "open"))


def test_balloons_of_one_contour_name_each_other(lettered: LetteredPage) -> None:
    first, second, *rest = lettered.units
    ids = (first.id, second.id)
    units = (replace(first, joined=ids), replace(second, joined=ids), *rest)
    read = json.loads(report_json([replace(lettered, units=units)], []))["pages"][0]["units"]
    assert [unit.get("joined with") for unit in read[:3]] == [[second.id], [first.id], None]


def test_a_unit_that_does_not_fit_says_by_how_much(lettered: LetteredPage) -> None:
    unit = replace(lettered.units[0], overflow=(2.5, 0.0))
    told = json.loads(report_json([replace(lettered, units=(unit,))], []))
    (found,) = told["pages"][0]["units"]
    assert (found["fits"], found["sticks out by"]) == (False, [2.5, 0.0])


def test_numbers_are_short_and_finite(told: dict[str, Any]) -> None:
    found = list(numbers(told))
    assert len(found) > 50
    for value in found:
        assert math.isfinite(value)
        assert round(value, 3) == value
        assert math.copysign(1, value) == 1 or value < 0, "a minus in front of 0"


def test_letters_of_every_alphabet_stay_as_they_are(
    letter_page: Callable[..., LetteredPage],
) -> None:
    page = letter_page("PAGE 1\nPANEL 1\nZO\u00cb: \u00c9tait-ce vrai?")
    assert "\u00c9TAIT-CE" in report_json([page], [])


def test_the_report_is_the_same_every_time(lettered: LetteredPage) -> None:
    assert report_json([lettered], [BOOK_FINDING]) == report_json([lettered], [BOOK_FINDING])


@pytest.mark.parametrize(
    ("begin", "may"),
    [
        (b"", True),
        (b" \n", True),
        (b'{\n "letterer report": 1,', True),
        (b'\xef\xbb\xbf{"letterer report": 1', True),
        (b'{"letterer": 1, "unit": "mm"', False),
        (b"PAGE 1", False),
        (b'"letterer report', False),
        (b"\xff\xfe\x00", False),
    ],
)
def test_only_a_report_or_nothing_may_be_replaced_by_one(begin: bytes, may: bool) -> None:
    assert is_report(begin) is may


# --- The summary ----------------------------------------------------------------------------------


def test_a_clean_run_is_one_line(lettered: LetteredPage) -> None:
    assert summary([lettered], [], 3) == "1 page, 6 units lettered, 3 files written."
    one = replace(lettered, units=lettered.units[:1])
    assert summary([one, one], [], 1) == "2 pages, 2 units lettered, 1 file written."
    assert summary([], [], 0) == "0 pages, 0 units lettered, 0 files written."


def test_the_summary_counts_and_ranks(lettered: LetteredPage) -> None:
    page = replace(
        lettered,
        findings=(
            Finding(Severity.NOTE, "shrunk", "set at 6 pt instead of 7.5 pt", "", 1, "1.1.1"),
            Finding(Severity.WARNING, "not placed", 'not placed: TOM, "So."', "Add it", 1, "1.1.7"),
            Finding(Severity.PROBLEM, "does not fit", "too long", "Cut words", 1, "1.1.2"),
        ),
    )
    assert summary([page], [BOOK_FINDING], 3, [REMARK]).splitlines() == [
        "1 page, 6 units lettered, 1 not placed, 1 shrunk to fit, 1 not fitting, 3 files written.",
        "  problem: unit 1.1.2: too long. Cut words.",
        "  warning: page 2: no such page. Add it.",
        '  warning: unit 1.1.7: not placed: TOM, "So.". Add it.',
        "  note: unit 1.1.1: set at 6 pt instead of 7.5 pt.",
        "  look at script.txt, line 12: page 4 comes after page 2. Check the page numbers.",
    ]


def test_what_many_units_have_is_told_once(lettered: LetteredPage) -> None:
    many = tuple(
        Finding(Severity.WARNING, "not placed", f"not placed: {unit}", "Show it", 1, f"1.1.{unit}")
        for unit in range(1, 21)
    )
    lines = summary([replace(lettered, findings=many)], [], 3).splitlines()
    names = ", ".join(f"1.1.{unit}" for unit in range(2, 14))
    assert lines[1:] == [
        f"  warning: unit 1.1.1: not placed: 1. Show it. The same of {names} and 7 more."
    ]
    lines = summary([replace(lettered, findings=many[:3])], [], 3).splitlines()
    assert len(lines) == 4


def test_a_long_summary_is_cut_short_and_says_so(lettered: LetteredPage) -> None:
    findings = tuple(replace(PAGE_FINDING, mend=f"Mend it, {place}") for place in range(50))
    page = replace(lettered, findings=findings)
    lines = summary([page], [], 3).splitlines()
    assert len(lines) == 1 + SHOWN_MOST + 1
    assert lines[-1] == "  and 20 more; --report FILE.json holds them all."
