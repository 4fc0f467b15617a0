"""Findings as text and as JSON."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from letterer.errors import Fault
from letterer.geometry import Box
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Layout
from letterer.out.findings import as_json, as_text, numbered, told
from letterer.page.lettered import Finding, Severity
from letterer.review.finding import Noticed
from letterer.review.pages import Reviewed

FINDING = Finding(Severity.WARNING, "long tail", "its tail is long", "Move it", 1, "1.2.3")
NOTICED = Noticed(FINDING, Box(72, 144, 144, 216))


def layout(unit: str = "pt", **keys: object) -> Layout:
    """An empty layout in a unit."""
    page = {"format": "a4"}
    return parse_layout(json.dumps({"letterer": 1, "unit": unit, "page": page, **keys}))


@pytest.mark.parametrize(
    ("unit", "keys", "place"),
    [
        ("pt", {}, "108, 180 pt"),
        ("in", {}, "1.50, 2.50 in"),
        ("mm", {}, "38.1, 63.5 mm"),
        ("px", {"dpi": 300}, "450, 750 px"),
    ],
)
def test_the_place_is_in_the_unit_of_the_layout(
    unit: str, keys: dict[str, object], place: str
) -> None:
    wanted = f"unit 1.2.3 (at {place}): its tail is long. Move it."
    assert told(NOTICED, layout(unit, **keys)) == wanted


def test_sentences_end_once() -> None:
    asked = Noticed(replace(FINDING, mend="Did you mean this?", unit=""))
    assert told(asked, layout()) == "page 1: its tail is long. Did you mean this?"
    kept = replace(NOTICED, because="he shouts!")
    assert told(kept, layout()).endswith("its tail is long. Accepted: he shouts!")
    book = Noticed(replace(FINDING, mend="", unit="", page=0))
    assert told(book, layout()) == "the book: its tail is long."


def test_numbers_run_from_page_to_page_and_then_through_the_book() -> None:
    reviewed = Reviewed(((1, (NOTICED, NOTICED)), (2, ()), (3, (NOTICED,))), (NOTICED,))
    assert [number for number, _ in numbered(reviewed, 1)] == [1, 2]
    assert numbered(reviewed, 2) == []
    assert [number for number, _ in numbered(reviewed, 3)] == [3]
    assert numbered(reviewed, 9) == []
    found = json.loads(as_json(reviewed, layout()))["findings"]
    assert [one["number"] for one in found] == [1, 2, 3, 4]
    lines = as_text(reviewed, layout()).splitlines()
    assert lines[0] == "3 pages looked over: 4 warnings."
    assert lines[1].startswith("    4  warning: ")
    assert "Page 2" not in lines


def test_remarks_stand_at_the_end() -> None:
    remark = Fault("it stands off the page", "Check it", "layout.json", 3)
    text = as_text(Reviewed(((1, ()),)), layout(), [remark])
    assert text.splitlines() == [
        "1 page looked over: nothing to mend.",
        "",
        "  look at layout.json, line 3: it stands off the page. Check it.",
    ]
    assert json.loads(as_json(Reviewed(()), layout(), [remark]))["remarks"] == [str(remark)]


def test_json_gives_boxes_in_points() -> None:
    made = json.loads(
        as_json(Reviewed(((1, (replace(NOTICED, others=("1.2.4",)),)),)), layout("mm"))
    )
    assert made["unit"] == "pt"
    assert made["findings"] == [
        {
            "number": 1,
            "severity": "warning",
            "kind": "long tail",
            "page": 1,
            "what": "its tail is long",
            "unit": "1.2.3",
            "mend": "Move it",
            "others": ["1.2.4"],
            "at": [72.0, 144.0, 72.0, 72.0],
        }
    ]
