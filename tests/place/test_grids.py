"""Divisions of a page: areas as wanted, gutters, and the order in which panels are read."""

from __future__ import annotations

import json
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer import craft
from letterer.geometry import Box
from letterer.model.layout_reader import parse_layout
from letterer.model.script import Role, Run, Unit
from letterer.model.script_reader import parse_script
from letterer.place.bodies import Body
from letterer.place.grids import Wish, asked_shape, divisions, shared_out, strips
from letterer.place.room import Need
from letterer.review.panels import panel_order

LIVE = Box(18, 18, 459, 720)


def wishes_of(*areas: float, told: str = "") -> list[Wish]:
    """Wishes of panels whose words need these areas, in square points; 0 is a panel without."""
    made = []
    for number, area in enumerate(areas, 1):
        unit = Unit(1, number, 1, Role.SPEECH, (Run("Words"),), "Nell")
        side = area**0.5
        body = Body(side * 0.6, side * 0.35, side * 0.6, side * 0.35, 2.3, 5.0)
        needs = (Need(unit, area, body, 4.0, 7.5),) if area else ()
        made.append(Wish(number, needs, craft.ROOM_USUAL, told))
    return made


@settings(max_examples=50)
@given(st.lists(st.sampled_from([0.0, 900.0, 4000.0, 12000.0]), min_size=1, max_size=7))
def test_panels_get_their_shares_within_the_live_area_and_never_overlap(areas: list[float]) -> None:
    wishes, fullest = shared_out(wishes_of(*areas), LIVE.area)
    assert sum(wish.share for wish in wishes) == pytest.approx(1.0)
    if sum(areas) < craft.ROOM_GOOD_SHARE * LIVE.area / 2:
        assert fullest <= craft.ROOM_GOOD_SHARE + 1e-9
    found = divisions(wishes, LIVE, 4.0)
    assert found
    for one in found:
        assert len(one.boxes) == len(areas)
        assert all(LIVE.contains(box, 1e-6) for box in one.boxes)
        for place, box in enumerate(one.boxes):
            assert not any(
                box.grown(craft.ROOM_GUTTER_POINTS / 2 - 1e-6).meets(
                    other.grown(craft.ROOM_GUTTER_POINTS / 2 - 1e-6)
                )
                for other in one.boxes[place + 1 :]
            )
        # Gutters take a little from each; shares of what is left are as wanted.
        total = sum(box.area for box in one.boxes)
        for wish, box in zip(wishes, one.boxes, strict=True):
            assert box.area / total == pytest.approx(wish.share, rel=0.12)


@settings(max_examples=50)
@given(
    st.lists(st.sampled_from([0.0, 900.0, 4000.0, 12000.0]), min_size=1, max_size=7), st.booleans()
)
def test_panels_of_a_scroll_stand_one_under_another(areas: list[float], mirrored: bool) -> None:
    wide = 288.0
    for way in strips(wishes_of(*areas), wide, 14.4, 4.0, mirrored):
        for before, then in pairwise(way.boxes):
            gap = craft.ROOM_STRIP_GAP_SHARE * wide
            assert then.top - before.bottom == pytest.approx(gap)
        narrow = [box for box in way.boxes if box.width < wide - 1]
        assert all(box.left == 0 or box.right == pytest.approx(wide) for box in way.boxes)
        # By turns, and first on the side where reading begins.
        assert [box.left > 0 for box in narrow] == [
            place % 2 != mirrored for place in range(len(narrow))
        ]
        for box, area in zip(way.boxes, areas, strict=True):
            assert area <= craft.ROOM_GOOD_SHARE * box.area + 1e-6


def test_more_words_want_more_of_the_page() -> None:
    wishes, _ = shared_out(wishes_of(0, 3000, 9000), LIVE.area)
    shares = [wish.share for wish in wishes]
    assert shares == sorted(shares) and shares[0] < shares[2]


def test_a_page_with_too_many_words_is_fuller_than_is_good() -> None:
    _, fullest = shared_out(wishes_of(*[60_000.0] * 4), LIVE.area)
    assert fullest == pytest.approx(240_000 / LIVE.area)
    assert fullest > craft.ROOM_GOOD_SHARE


@pytest.mark.parametrize("mirrored", [False, True])
def test_divisions_are_read_in_the_order_of_the_panels(mirrored: bool) -> None:
    """By the order of panels that the look-over finds, whose rules are published ones."""
    wishes, _ = shared_out(wishes_of(4000, 1000, 0, 2500, 3000), LIVE.area)
    for one in divisions(wishes, LIVE, 4.0, mirrored):
        panels = [
            {"panel": number, "box": [box.left, box.top, box.width, box.height]}
            for number, box in enumerate(one.boxes, 1)
        ]
        layout = parse_layout(
            json.dumps(
                {
                    "letterer": 1,
                    "unit": "pt",
                    "reading": "right to left" if mirrored else "left to right",
                    "page": {"trim": [477, 738], "bleed": 9, "live": 18},
                    "pages": [{"page": 1, "panels": panels}],
                }
            )
        )
        plan = layout.page(1)
        assert plan is not None
        found = panel_order(plan.panels, layout.reading)
        assert found.order == (1, 2, 3, 4, 5), one.told
        assert found.confident, one.told


def test_a_wide_panel_is_wide_and_a_tall_one_tall() -> None:
    wishes = wishes_of(2000, 2000, 2000, 2000)
    wishes[0] = Wish(1, wishes[0].needs, craft.ROOM_TALL, "tall")
    wishes[3] = Wish(4, wishes[3].needs, craft.ROOM_WIDE, "wide")
    shared, _ = shared_out(wishes, LIVE.area)
    best = divisions(shared, LIVE, 4.0)[0]
    sides = [box.width / box.height for box in best.boxes]
    assert sides[0] < 1.0 and sides[3] > 1.8
    plain, _ = shared_out(wishes_of(2000, 2000, 2000, 2000), LIVE.area)
    usual = divisions(plain, LIVE, 4.0)[0]
    assert usual.boxes[3].width / usual.boxes[3].height < sides[3]


def test_divisions_differ_and_the_best_comes_first() -> None:
    wishes, _ = shared_out(wishes_of(3000, 2000, 1000, 500, 4000), LIVE.area)
    found = divisions(wishes, LIVE, 4.0)
    assert 1 < len(found) <= craft.ROOM_GRIDS
    assert len({one.boxes for one in found}) == len(found)
    assert [one.cost for one in found] == sorted(one.cost for one in found)


def test_too_many_panels_are_not_divided() -> None:
    many = wishes_of(*[0.0] * (craft.ROOM_PANELS_MOST + 1))
    assert divisions(many, LIVE, 4.0) == ()
    assert divisions([], LIVE, 4.0) == ()


@pytest.mark.parametrize(
    ("direction", "told"),
    [
        ("Wide. A storm at sea.", "wide"),
        ("Tall. Nell on the stair.", "tall"),
        ("A wide shot of the bay.", "wide"),
        ("Nell at the works, under a wide window.", ""),
    ],
)
def test_what_a_direction_asks_in_its_first_words(direction: str, told: str) -> None:
    panel = parse_script(f"PAGE 1\nPANEL 1\n{direction}\n\nNELL: Oh.\n").pages[0].panels[0]
    assert asked_shape(panel) == told
