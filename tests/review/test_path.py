"""The path of the eye: panels, and in each words, faces and focus points."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.api import compose, read_layout, read_script
from letterer.geometry import Box
from letterer.model.plan import Layout, Reading
from letterer.page.lettered import LetteredPage
from letterer.review.panels import WORDS, arranged, piece_of_box
from letterer.review.path import StopKind, eye_path, words_order

Letter = Callable[..., tuple[LetteredPage, Layout]]


def at(unit: str, x: float, y: float, **keys: Any) -> dict[str, Any]:
    return {"unit": unit, "center": [x, y], **keys}


TALK = "NELL: The lamp is out.\nTOM: Then light it.\nNELL: With what?"


def walked(letter: Letter, *given: Any, **keys: Any) -> list[str]:
    """The stops as words."""
    page, layout = letter(*given, **keys)
    path = eye_path(page, layout.pages[0], layout.reading)
    return [f"{stop.kind} {stop.name}" for stop in path.stops]


def test_words_lead_to_faces(letter: Letter) -> None:
    places = (at("1.1.1", 100, 90), at("1.1.2", 290, 110), at("1.1.3", 160, 150))
    assert walked(letter, TALK, *places) == [
        "panel 1",
        "words 1.1.1",
        "face NELL",
        "words 1.1.2",
        "face TOM",
        "words 1.1.3",
    ]


def test_a_focus_and_a_silent_face_are_met_where_they_lie(letter: Letter) -> None:
    page = {
        "focus": [{"name": "the lamp", "at": [200, 100]}, {"name": "the key", "at": [200, 300]}]
    }
    places = (at("1.1.1", 100, 60), at("1.1.2", 290, 140, tails=[]))
    talk = "\n".join(TALK.splitlines()[:2])
    assert walked(letter, talk, *places, page=page) == [
        "panel 1",
        "words 1.1.1",
        "face NELL",
        "focus the lamp",
        "words 1.1.2",
        "face TOM",
        "focus the key",
    ]


def test_a_focus_beside_words_comes_by_the_direction_of_reading(letter: Letter) -> None:
    page = {"focus": [{"name": "the lamp", "at": [290, 90]}]}
    words = at("1.1.1", 100, 90, tails=[])
    there = walked(letter, "NELL: The lamp is out.", words, page=page)
    back = walked(letter, "NELL: The lamp is out.", words, page=page, reading="right to left")
    assert there.index("focus the lamp") > there.index("words 1.1.1")
    assert back.index("focus the lamp") < back.index("words 1.1.1")


PANELS = [
    {"panel": 1, "box": [20, 20, 170, 175]},
    {"panel": 2, "box": [200, 20, 180, 175]},
    {"panel": 3, "box": [20, 205, 360, 175]},
]


def test_panels_come_by_geometry_not_by_number(letter: Letter) -> None:
    swapped = [{**PANELS[0], "panel": 2}, {**PANELS[1], "panel": 1}, PANELS[2]]
    script = "PAGE 1\nPANEL 1\nNELL: One.\nPANEL 2\nNELL: Two.\nPANEL 3\nNELL: Three."
    places = [at("1.1.1", 290, 90), at("1.2.1", 100, 90), at("1.3.1", 200, 290)]
    page, layout = letter(script, *places, page={"panels": swapped})
    path = eye_path(page, layout.pages[0], layout.reading)
    assert path.words == ("1.2.1", "1.1.1", "1.3.1")
    assert path.panels.order == (2, 1, 3)
    assert path.place(StopKind.PANEL, "3") == 4
    assert path.place(StopKind.WORDS, "1.9.1") is None


def test_the_focus_belongs_to_the_smallest_panel_round_it(letter: Letter) -> None:
    inset = [
        {"panel": 1, "box": [20, 20, 360, 360]},
        {"panel": 2, "box": [250, 250, 100, 100]},
    ]
    page = {"panels": inset, "focus": [{"name": "the key", "at": [300, 300]}]}
    assert walked(letter, "NELL: The lamp is out.", at("1.1.1", 100, 90, tails=[]), page=page) == [
        "panel 1",
        "words 1.1.1",
        "panel 2",
        "focus the key",
    ]


def test_a_page_without_panels(letter: Letter) -> None:
    page = {"panels": [], "focus": [{"name": "the key", "at": [300, 300]}]}
    places = (at("1.1.1", 100, 90, tails=[]), at("1.1.2", 290, 110, tails=[]))
    talk = "\n".join(TALK.splitlines()[:2])
    assert walked(letter, talk, *places, page=page) == [
        "words 1.1.1",
        "words 1.1.2",
        "focus the key",
    ]


def test_balloons_far_apart_in_a_row_are_read_before_what_lies_lower(letter: Letter) -> None:
    # A wide gap between balloons makes no columns of them.
    places = (at("1.1.1", 60, 60), at("1.1.2", 330, 64), at("1.1.3", 130, 110))
    page, layout = letter(TALK, *places)
    order = words_order(page.units, layout.reading)
    assert [piece.key for piece in order.order] == [0, 1, 2]


boxes = st.lists(
    st.tuples(st.floats(0, 300), st.floats(0, 300), st.floats(20, 90), st.floats(12, 50)),
    min_size=1,
    max_size=7,
)


@given(boxes)
def test_words_in_a_mirror_are_read_in_the_same_order(
    sides: list[tuple[float, float, float, float]],
) -> None:
    here = [Box(x, y, x + wide, y + high) for x, y, wide, high in sides]
    there = [Box(400 - box.right, box.top, 400 - box.left, box.bottom) for box in here]
    one = arranged([piece_of_box(key, box, False) for key, box in enumerate(here)], WORDS)
    other = arranged([piece_of_box(key, box, True) for key, box in enumerate(there)], WORDS)
    assert sorted(piece.key for piece in one.order) == list(range(len(here)))
    assert 0.5 <= one.confidence <= 1
    if one.confidence > 0.51:  # to the last digit, mirrored sides differ
        assert [piece.key for piece in one.order] == [piece.key for piece in other.order]


@given(boxes)
def test_what_lies_higher_and_before_is_never_read_later(
    sides: list[tuple[float, float, float, float]],
) -> None:
    """Of two boxes alone: the one wholly above, or level and before, comes first."""
    made = [Box(x, y, x + wide, y + high) for x, y, wide, high in sides]
    for one in made:
        for other in made:
            above = one.bottom <= other.top
            level = one.right <= other.left and one.top <= other.top
            if one is not other and (above or level):
                pair = arranged([piece_of_box(0, other, False), piece_of_box(1, one, False)], WORDS)
                assert pair.order[0].key == 1


@pytest.mark.parametrize("number", [1, 2, 3])
def test_the_demo_is_read_in_the_order_of_its_script(number: int, repository: Path) -> None:
    story = repository / "shared" / "demo"
    layout = read_layout(story / "layout.json")
    page = compose(read_script(story / "script.txt"), layout, [number]).pages[0]
    plan = layout.page(number)
    assert plan is not None
    path = eye_path(page, plan, Reading.LEFT_TO_RIGHT)
    assert path.words == tuple(unit.id for unit in page.units)
    # Each focus is found, once.
    found = [stop.name for stop in path.stops if stop.kind is StopKind.FOCUS]
    assert sorted(found) == sorted(focus.name for focus in plan.focus)
