"""The keys that revision keeps in a layout: 'parked', 'proposed', and what placements say."""

from __future__ import annotations

import json
from typing import Any

import pytest

from letterer.errors import LettererError
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Center, Corner, Layout

PLACED: dict[str, Any] = {"unit": "1.1.1", "center": [1, 2], "words": "No.", "size": 8}


def layout(**parked: Any) -> Layout:
    whole = {"letterer": 1, "unit": "in", "page": {"format": "american comic"}, "parked": parked}
    return parse_layout(json.dumps(whole))


def test_what_is_parked_is_read_in_points() -> None:
    found = layout(
        note="mine",
        placements=[PLACED, {"unit": "9.9.9", "corner": "top left", "tails": ["ANYONE"]}],
        panels=[{"page": 3, "panel": 2, "box": [0, 0, 1, 1]}],
        pages=[{"page": 2, "placements": [{"unit": "2.1.1", "center": [1, 1]}]}],
    ).parked
    assert [placed.unit for placed in found.placements] == ["1.1.1", "9.9.9"]
    assert found.placements[0].spot == Center((72.0, 144.0))  # type: ignore[arg-type]
    assert found.placements[1].spot == Corner("top left")
    assert found.placements[1].tails == ("ANYONE",)
    assert [(page, panel.number, panel.box.width) for page, panel in found.panels] == [(3, 2, 72.0)]
    assert [page.number for page in found.pages] == [2]
    assert found and not layout().parked


@pytest.mark.parametrize(
    ("parked", "told"),
    [
        ({"placements": [{"unit": "1.1.1"}]}, "this placement does not say where the unit stands"),
        ({"placements": [{**PLACED, "box": [0, 0, 1, 1]}]}, "stand together"),
        ({"panels": [{"panel": 2, "box": [0, 0, 1, 1]}]}, "'page'"),
        ({"panels": [{"page": 1, "panel": 2}]}, "has no outline"),
        ({"pages": [{"page": 1, "placements": [{"unit": "2.1.1", "center": [1, 1]}]}]}, "page 2"),
        ({"units": []}, "there is no key 'units'"),
    ],
)
def test_what_could_not_come_back_is_refused(parked: dict[str, Any], told: str) -> None:
    with pytest.raises(LettererError) as caught:
        layout(**parked)
    assert told in str(caught.value)


def test_a_proposed_place() -> None:
    page = {"page": 1, "placements": [{**PLACED, "proposed": True}, {**PLACED, "unit": "1.1.2"}]}
    whole = {"letterer": 1, "unit": "in", "page": {"format": "american comic"}, "pages": [page]}
    placed = parse_layout(json.dumps(whole)).pages[0].placements
    assert [one.proposed for one in placed] == [True, False]


def test_what_a_placement_says_and_said() -> None:
    told = {"speaker": "NELL", "earlier": "No!", "lines_kept": True}
    page = {"page": 1, "placements": [{**PLACED, **told}, {**PLACED, "unit": "1.1.2"}]}
    whole = {"letterer": 1, "unit": "in", "page": {"format": "american comic"}, "pages": [page]}
    one, other = parse_layout(json.dumps(whole)).pages[0].placements
    assert (one.speaker, one.earlier, one.lines_kept) == ("NELL", "No!", True)
    assert (other.speaker, other.earlier, other.lines_kept) == (None, None, False)
