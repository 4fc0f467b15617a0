"""Tails in the layout file: names, points, and objects that ask for more."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from letterer.errors import LettererError
from letterer.geometry import Point
from letterer.model.layout_file import LayoutFile
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import TailPlan


def layout(tails: object) -> str:
    placement = {"unit": "1.1.1", "center": [40, 30], "tails": tails}
    panel = {"panel": 1, "box": [10, 10, 100, 100], "mouths": {"ADA": [50, 80], "BO": [20, 80]}}
    page = {"page": 1, "panels": [panel], "placements": [placement]}
    return json.dumps(
        {"letterer": 1, "unit": "pt", "page": {"format": "a5"}, "pages": [page]}, indent=1
    )


def read(tails: object) -> object:
    return parse_layout(layout(tails)).pages[0].placements[0].tails


def test_a_tail_may_be_an_object() -> None:
    assert read(["ada", [1, 2], {"to": "bo"}]) == ("ADA", Point(1, 2), TailPlan("BO"))
    assert read([{"to": [3, 4], "via": [5, 6.5], "shape": "bubbles", "note": "slow"}]) == (
        TailPlan(Point(3, 4), (Point(5, 6.5),), "bubbles"),
    )
    assert read([{"to": "ADA", "via": [[5, 6], [7, 8]]}]) == (
        TailPlan("ADA", (Point(5, 6), Point(7, 8))),
    )


@pytest.mark.parametrize("shape", ["straight", "curved", "wavering", "lightning", "bubbles"])
def test_the_shapes(shape: str) -> None:
    assert read([{"to": "ADA", "shape": shape}]) == (TailPlan("ADA", (), shape),)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("tail", "message"),
    [
        ({"via": [1, 2]}, "the key 'to' is missing in a tail. Add whom it goes to"),
        ({"to": "BOO"}, "a tail goes to 'BOO', who has no mouth in panel 1. Did you mean 'BO'?"),
        ({"to": "ADA", "via": [1]}, "'via' of tail 1 of 'tails' needs 2 numbers, [x, y]"),
        (
            {"to": "ADA", "via": [[1, 2], [3]]},
            "point 2 of 'via' of tail 1 of 'tails' needs 2 numbers, [x, y], and it has 1",
        ),
        (
            {"to": "ADA", "via": [["a", 2]]},
            "the x of point 1 of 'via' of tail 1 of 'tails' must be a number, and it is \"a\"",
        ),
        ({"to": "ADA", "via": "x"}, "must be a point, [x, y], or several, [[x, y], [x, y]]"),
        ({"to": "ADA", "via": []}, "must be a point, [x, y], or several, [[x, y], [x, y]]"),
        ({"to": "ADA", "shape": "curvy"}, "cannot be \"curvy\". Did you mean 'curved'?"),
        ({"to": "ADA", "shap": "curved"}, "there is no key 'shap' in a tail. Did you mean 'shape'"),
        ({"to": 5}, "must be the name of a speaker, or a point, [x, y], and it is 5"),
    ],
)
def test_a_tail_amiss_is_told_in_one_line(tail: object, message: str) -> None:
    with pytest.raises(LettererError) as caught:
        read([tail])
    (fault,) = caught.value.faults
    assert message in str(fault) and fault.unit == "1.1.1"


def test_an_edit_keeps_the_spelling_of_tails_and_can_write_new_ones(tmp_path: Path) -> None:
    path = tmp_path / "layout.json"
    before = layout([{"to": "ADA", "via": [5.50, 6]}])
    path.write_text(before, encoding="utf-8")
    file = LayoutFile.read(path)
    same = file.with_placement(1, "1.1.1", {"size": 8}).text
    assert '"via": [' in same and same.replace(',\n     "size": 8', "") == before
    tails = [{"to": "BO", "shape": "straight"}, "ADA", {"to": "ADA", "via": [[1, 2], [3, 4]]}]
    changed = file.with_placement(1, "1.1.1", {"tails": tails}).text
    assert parse_layout(changed).pages[0].placements[0].tails == (
        TailPlan("BO", (), "straight"),
        "ADA",
        TailPlan("ADA", (Point(1, 2), Point(3, 4))),
    )
    with pytest.raises(LettererError):
        file.with_placement(1, "1.1.1", {"tails": [{"to": "ADA", "shape": "curly"}]})
