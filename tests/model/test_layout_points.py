"""Points shown on a page, put into its layout: what was shown changes, and not a byte more."""

from __future__ import annotations

import difflib
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.errors import LettererError
from letterer.model.json_reader import read_json
from letterer.model.layout_file import LayoutFile
from letterer.model.layout_points import Listing, PagePoints, with_points

LAYOUT = """{
  "letterer": 1,   "unit": "pt", "note": "mine",
  "page": {"trim": [400, 600], "bleed": 9, "live": 18},
  "pages": [
    {"page": 1,
     "panels": [
       {"panel": 1, "box": [20,20,  360, 200], "mouths": {"ADA":  [50, 60], "Bo": [1.50, 2]}},
       {"panel": 2, "note": "no mouths", "box": [20, 240, 360, 300]}],
     "keep_clear": [
       {"name": "face", "box": [40, 40, 30, 30.0], "note": "hers"},
       {"name": "hand", "polygon": [[1, 2], [30, 4], [9, 40]]}],
     "placements": [
       {"unit": "1.1.1", "center": [100, 60], "size": 8}]},
    {"page": 2, "panels": [{"panel": 1, "box": [20, 20, 360, 500]}], "placements": []}
  ]
}
"""


def read(text: str = LAYOUT) -> LayoutFile:
    return LayoutFile(Path("layout.json"), read_json(text, "layout.json"))


def changed_lines(new: str) -> list[str]:
    """Lines that were added or taken away, with their sign."""
    lines = difflib.ndiff(LAYOUT.splitlines(), new.splitlines())
    return [line for line in lines if line[0] in "+-"]


def test_nothing_shown_changes_nothing() -> None:
    assert with_points(read(), [PagePoints(1), PagePoints(2)]).text == LAYOUT


def test_a_mouth_is_added_moved_and_taken_away() -> None:
    mouths = {1: {"Ada": (51.0, 61.0), "BO": None, "CY": (7.5, 8.0)}}
    made = with_points(read(), [PagePoints(1, mouths=mouths)])
    gone, come = changed_lines(made.text)
    head, mouths_then = gone[2:].split('"mouths": ')
    assert mouths_then == '{"ADA":  [50, 60], "Bo": [1.50, 2]}},'
    assert come[2:] == head + '"mouths": {"ADA":  [51, 61], "CY":  [7.5, 8]}},'


def test_a_panel_without_mouths_gets_them() -> None:
    made = with_points(read(), [PagePoints(1, mouths={2: {"ADA": (51.0, 300.0)}})])
    plan = made.layout().page(1)
    assert plan is not None and plan.panel(2).mouths == {"ADA": (51.0, 300.0)}  # type: ignore[union-attr]
    assert len(changed_lines(made.text)) == 2


def test_a_panel_gets_another_outline_and_keeps_all_else() -> None:
    corners = ((20.0, 20.0), (380.0, 20.0), (360.0, 220.0), (20.0, 220.0))
    panels: dict[int, dict[str, object]] = {
        1: {"polygon": corners},
        3: {"box": (20.0, 560.0, 360.0, 30.0)},
    }
    made = with_points(read(), [PagePoints(1, panels, {1: {"CY": (9.0, 9.0)}})])
    first, second, third = json.loads(made.text)["pages"][0]["panels"]
    assert first["polygon"] == [list(corner) for corner in corners] and "box" not in first
    assert first["mouths"] == {"ADA": [50, 60], "Bo": [1.5, 2], "CY": [9, 9]}
    assert second == {"panel": 2, "note": "no mouths", "box": [20, 240, 360, 300]}
    assert third == {"panel": 3, "box": [20, 560, 360, 30]}


def test_the_last_mouth_can_go() -> None:
    made = with_points(read(), [PagePoints(1, mouths={1: {"ADA": None, "Bo": None}})])
    assert made.layout().page(1).panel(1).mouths == {}  # type: ignore[union-attr]


def test_zones_are_moved_taken_away_and_added() -> None:
    listing = Listing(
        {0: {"box": (45, 40, 30, 30.0)}, 1: None}, [{"name": "cat", "box": (1, 2, 3, 4)}]
    )
    made = with_points(read(), [PagePoints(1, keep_clear=listing)])
    zones = json.loads(made.text)["pages"][0]["keep_clear"]
    assert [zone["name"] for zone in zones] == ["face", "cat"]
    assert zones[0]["box"] == [45, 40, 30, 30] and zones[0]["note"] == "hers"
    assert '"page": 2' in made.text and "[20,20,  360, 200]" in made.text


def test_a_page_without_lists_gets_them() -> None:
    points = PagePoints(
        2,
        keep_clear=Listing(added=[{"name": "cat", "box": (1, 2, 3, 4)}]),
        focus=Listing(added=[{"name": "door", "at": (30, 40)}]),
        placements={"2.1.1": {"center": (60.0, 70.0)}},
    )
    made = with_points(read(), [points])
    plan = made.layout().page(2)
    assert plan is not None
    assert [zone.name for zone in plan.keep_clear] == ["cat"]
    assert [one.name for one in plan.focus] == ["door"]
    assert plan.placement("2.1.1") is not None
    assert made.text.startswith(LAYOUT[: LAYOUT.index('    {"page": 2')])


def test_a_page_of_its_number_alone_gets_them_too() -> None:
    text = LAYOUT[: LAYOUT.index('"page": 2')] + '"page": 2}\n  ]\n}\n'
    focus = Listing(added=[{"name": "door", "at": (30, 40)}])
    plan = with_points(read(text), [PagePoints(2, focus=focus)]).layout().page(2)
    assert plan is not None and [one.name for one in plan.focus] == ["door"]


def test_a_placement_keeps_all_that_it_has() -> None:
    made = with_points(read(), [PagePoints(1, placements={"1.1.1": {"center": (110.0, 62.5)}})])
    assert '{"unit": "1.1.1", "center": [110, 62.5], "size": 8}' in made.text
    assert len(changed_lines(made.text)) == 2


@given(
    st.dictionaries(
        st.sampled_from(["ADA", "Bo", "CY"]), st.tuples(st.integers(0, 400), st.integers(0, 600))
    ),
    st.lists(st.sampled_from([0, 1]), unique=True),
    st.booleans(),
)
def test_what_was_shown_is_there_and_all_else_as_it_was(
    mouths: dict[str, tuple[int, int]], gone: list[int], add: bool
) -> None:
    new = [{"name": "new", "box": [5, 6, 7, 8]}] if add else []
    points = PagePoints(1, {}, {1: mouths} if mouths else {}, Listing(dict.fromkeys(gone), new))
    made = json.loads(with_points(read(), [points]).text)
    expected = json.loads(LAYOUT)
    page = expected["pages"][0]
    page["panels"][0]["mouths"] |= {name: list(at) for name, at in mouths.items()}
    page["keep_clear"] = [z for at, z in enumerate(page["keep_clear"]) if at not in gone] + new
    assert made == expected


@pytest.mark.parametrize(
    ("points", "what"),
    [
        (PagePoints(3), "page 3 is not in this layout"),
        (PagePoints(1, mouths={9: {"ADA": (1.0, 2.0)}}), "panel 9 is not in this layout"),
        (PagePoints(1, keep_clear=Listing({5: None})), "no such zone"),
        (PagePoints(1, focus=Listing({0: None})), "'focus' of this page is empty"),
        (PagePoints(1, keep_clear=Listing(added=[{"name": "", "box": (1, 2, 3, 4)}])), "name"),
        (PagePoints(1, keep_clear=Listing(added=[{"name": "a", "box": (1, 2, 0, 4)}])), "box"),
    ],
)
def test_what_cannot_be_put_in_is_told(points: PagePoints, what: str) -> None:
    with pytest.raises(LettererError) as told:
        with_points(read(), [points])
    assert what in str(told.value)
