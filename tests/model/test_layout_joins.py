"""The keys of a placement that say how a balloon is joined, cut flat, or goes over its border."""

from __future__ import annotations

import json

import pytest

from letterer.errors import LettererError
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Placement


def placed(**keys: object) -> Placement:
    layout = {
        "letterer": 1,
        "unit": "in",
        "page": {"format": "american comic"},
        "pages": [
            {
                "page": 1,
                "panels": [{"panel": 1, "box": [0.3, 0.3, 3, 3]}],
                "placements": [{"unit": "1.1.1", "center": [1, 1], **keys}],
            }
        ],
    }
    return parse_layout(json.dumps(layout)).pages[0].placements[0]


def fault(**keys: object) -> str:
    with pytest.raises(LettererError) as error:
        placed(**keys)
    (told,) = error.value.faults
    return str(told)


def test_left_out_they_leave_it_to_letterer() -> None:
    plain = placed()
    assert (plain.joined, plain.cut, plain.over) == (None, None, False)


@pytest.mark.parametrize("joined", [True, False, "overlap", "link"])
def test_how_a_balloon_is_joined(joined: object) -> None:
    assert placed(joined=joined).joined == joined


def test_sides_to_cut_and_leave_to_go_over() -> None:
    assert placed(cut=["top", "left"]).cut == ("top", "left")
    assert placed(cut=[]).cut == ()
    assert placed(over=True).over is True


@pytest.mark.parametrize("joined", ["neck", 1, 0, ["link"], {"link": True}])
def test_other_ways_to_join_are_told(joined: object) -> None:
    told = fault(joined=joined)
    assert '\'joined\' must be true, false, "overlap" or "link"' in told
    assert "unit 1.1.1" in told


def test_other_sides_are_told() -> None:
    assert "entry 1 in 'cut' cannot be \"up\"" in fault(cut=["up"])
    assert "top, bottom, left, right" in fault(cut=["up"])
    assert "'cut' must be" in fault(cut="left")
    assert "'over' must be true or false" in fault(over="yes")
