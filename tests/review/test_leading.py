"""How words lead the eye where the panels leave readers unsure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from letterer import craft
from letterer.geometry import Box, rectangle
from letterer.model.plan import Layout, PagePlan, PanelPlan, Reading
from letterer.page.lettered import LetteredPage, PlacedUnit, Severity
from letterer.review.panels import PanelOrder
from letterer.review.path import eye_path

LTR, RTL = Reading.LEFT_TO_RIGHT, Reading.RIGHT_TO_LEFT
WIDE = 400.0
Letter = Callable[..., tuple[LetteredPage, Layout]]
Boxes = dict[str, Box]

STACK = (Box(20, 20, 190, 195), Box(20, 205, 190, 380), Box(200, 20, 380, 380))
GRID = (
    Box(20, 20, 190, 195),
    Box(200, 20, 380, 195),
    Box(20, 205, 190, 380),
    Box(200, 205, 380, 380),
)
PINWHEEL = (
    Box(20, 20, 260, 120),
    Box(20, 130, 140, 380),
    Box(150, 130, 260, 260),
    Box(270, 20, 380, 260),
    Box(150, 270, 380, 380),
)


@pytest.fixture(scope="module")
def drawn(letter: Letter) -> Callable[..., PanelOrder]:
    """A function: panels, and boxes of words by unit; gives the order as the eye path has it."""
    page, _ = letter("NELL: The lamp is out.", {"unit": "1.1.1", "center": [100, 90], "tails": []})

    def unit(id: str, box: Box) -> PlacedUnit:
        one = page.units[0]
        return replace(
            one, id=id, panel=int(id.split(".")[1]), shape=box, own=rectangle(box), box=box, ink=box
        )

    def found(panels: Sequence[Box], words: Boxes, reading: Reading = LTR) -> PanelOrder:
        plans = [PanelPlan(n, rectangle(box), box) for n, box in enumerate(panels, 1)]
        made = replace(page, units=tuple(unit(id, box) for id, box in words.items()))
        return eye_path(made, PagePlan(1, panels=tuple(plans)), reading).panels

    return found


def at(x: float, y: float, wide: float = 60.0, high: float = 30.0) -> Box:
    """A balloon's box by its middle."""
    return Box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)


EVEN = {"1.1.1": at(100, 60), "1.2.1": at(100, 240), "1.3.1": at(290, 240)}


def down(found: PanelOrder) -> float:
    """The share of readers who read the stack down."""
    assert found.order in ((1, 2, 3), (1, 3, 2))
    return found.confidence if found.order == (1, 2, 3) else 1 - found.confidence


Drawn = Callable[..., PanelOrder]


def test_a_balloon_over_the_gutter_leads_across_it(drawn: Drawn) -> None:
    plain = down(drawn(STACK, EVEN))
    across = drawn(STACK, {**EVEN, "1.1.2": at(195, 100, 120)})
    assert across.order == (1, 3, 2)
    assert across.confidence > craft.ORDER_CONFIDENT
    (lead, *_) = [lead for lead in across.doubts[0].leads if lead.how == "over the gutter"]
    assert (lead.units, lead.panels) == (("1.1.2",), (1, 3))
    assert lead.pull > 0
    below = down(drawn(STACK, {**EVEN, "1.1.2": at(100, 200, 60, 60)}))
    assert below > plain > down(across)


def test_it_leads_by_degree(drawn: Drawn) -> None:
    shares = [
        down(drawn(STACK, {**EVEN, "1.1.2": Box(80, 90, 200 + reach, 120)}))
        for reach in (0, 5, 10, 15, 20, 30, 45, 60)
    ]
    assert all(later <= earlier + 1e-9 for earlier, later in pairwise(shares))
    assert shares[0] > 0.6
    assert shares[-1] < 0.4


def test_balloons_of_one_contour_lead_as_one(letter: Letter) -> None:
    panels = [
        {"panel": n, "box": [box.left, box.top, box.width, box.height]}
        for n, box in enumerate(STACK, 1)
    ]
    script = "PAGE 1\nPANEL 1\nNELL: The lamp is out.\nNELL: Then light it.\nPANEL 2\nPANEL 3\n"
    places = [
        {"unit": "1.1.1", "center": [160, 90], "tails": [], "over": True},
        {"unit": "1.1.2", "center": [225, 100], "tails": [], "over": True, "joined": True},
    ]
    page, layout = letter(script, *places, page={"panels": panels})
    assert page.units[0].joined
    (doubt,) = eye_path(page, layout.pages[0], LTR).panels.doubts
    assert [lead.units for lead in doubt.leads if lead.how == "over the gutter"] == [
        ("1.1.1", "1.1.2")
    ]


def test_the_nearer_words_lead(drawn: Drawn) -> None:
    low = {"1.1.1": at(150, 60), "1.2.1": at(60, 360), "1.3.1": at(240, 60)}
    high = {"1.1.1": at(100, 160), "1.2.1": at(100, 230), "1.3.1": at(340, 360)}
    plain = down(drawn(STACK, {}))
    assert down(drawn(STACK, low)) < plain < down(drawn(STACK, high))
    (doubt,) = drawn(STACK, low).doubts
    (lead,) = doubt.leads
    assert (lead.how, lead.panels) == ("nearer words", (2, 3))


def test_a_panel_without_words_is_passed_over_sooner(drawn: Drawn) -> None:
    (doubt,) = drawn(STACK, {"1.1.1": at(100, 60), "1.3.1": at(290, 240)}).doubts
    assert [(lead.how, lead.panels) for lead in doubt.leads] == [("no words", (2, 3))]
    assert [lead.pull < 0 for lead in doubt.leads] == [doubt.order == (1, 2, 3)]
    assert drawn(STACK, {"1.1.1": at(100, 60)}).doubts[0].leads == ()


def test_words_never_turn_clear_panels(drawn: Drawn) -> None:
    down_a_grid = {
        "1.1.1": at(100, 200, 60, 120),
        "1.2.1": at(360, 30, 20, 10),
        "1.3.1": at(100, 300),
        "1.4.1": at(290, 300),
    }
    assert drawn(GRID, down_a_grid) == drawn(GRID, {})


def test_words_decide_a_pinwheel(drawn: Drawn) -> None:
    unsure = drawn(PINWHEEL, {})
    assert unsure.confidence == pytest.approx(0.5)
    (doubt,) = unsure.doubts
    for wanted, other in ((doubt.order, doubt.rival), (doubt.rival, doubt.order)):
        first, over = next(
            (one, over)
            for one, then in pairwise(wanted)
            if (one, then) not in set(pairwise(other))
            and (over := bridge(PINWHEEL[one - 1], PINWHEEL[then - 1]))
        )
        found = drawn(PINWHEEL, {f"1.{first}.1": over})
        assert found.order == wanted
        assert found.confident


def bridge(one: Box, other: Box) -> Box | None:
    """A balloon over the gutter between two panels, the second after the first."""
    low, high = max(one.top, other.top), min(one.bottom, other.bottom)
    if high - low > 20 and 0 <= other.left - one.right < 20:
        return Box(one.right - 50, low + 2, other.left + 50, low + 18)
    left, right = max(one.left, other.left), min(one.right, other.right)
    if right - left > 20 and 0 <= other.top - one.bottom < 20:
        return Box(left + 2, one.bottom - 50, left + 18, other.top + 50)
    return None


PLACES = st.tuples(st.floats(30, 370), st.floats(30, 370))


@st.composite
def spoken(draw: st.DrawFn) -> Boxes:
    """One balloon a panel, anywhere, and one more."""
    ids = ("1.1.1", "1.1.2", "1.2.1", "1.3.1")
    return {id: at(*draw(PLACES)) for id in draw(st.lists(st.sampled_from(ids), unique=True))}


def mirrored(box: Box) -> Box:
    return Box(WIDE - box.right, box.top, WIDE - box.left, box.bottom)


@settings(max_examples=30)
@given(spoken(), st.sampled_from([STACK, PINWHEEL, GRID]))
def test_a_mirrored_page_is_led_the_mirrored_way(
    drawn: Drawn, words: Boxes, panels: Sequence[Box]
) -> None:
    there = drawn(panels, words)
    back = drawn(
        [mirrored(box) for box in panels], {id: mirrored(box) for id, box in words.items()}, RTL
    )
    assert there.confidence == pytest.approx(back.confidence, abs=0.02)  # counted on a grid
    if there.confidence > 0.53:
        assert there.order == back.order


@settings(max_examples=40)
@given(spoken(), st.sampled_from([STACK, PINWHEEL]), st.data())
def test_a_millimetre_turns_no_order_that_words_made_confident(
    drawn: Drawn, words: Boxes, panels: Sequence[Box], data: st.DataObject
) -> None:
    found = drawn(panels, words)
    assume(found.confident)
    nudge = st.floats(-72 / 25.4, 72 / 25.4)
    moved = {id: box.shifted(data.draw(nudge), data.draw(nudge)) for id, box in words.items()}
    bent = [Box(*(side + data.draw(nudge) for side in box)) for box in panels]
    assert drawn(bent, moved).order == found.order


def test_what_is_told(looked: Callable[..., Any]) -> None:
    panels = [
        {"panel": n, "box": [box.left, box.top, box.width, box.height]}
        for n, box in enumerate(STACK, 1)
    ]
    script = "PAGE 1\nPANEL 1\nNELL: The lamp is out.\nPANEL 2\nPANEL 3\n"
    over = {"unit": "1.1.1", "center": [195, 90], "tails": [], "over": True}
    (found,) = looked(script, over, page={"panels": panels}).every
    assert (found.finding.kind, found.finding.severity) == ("panel order", Severity.WARNING)
    assert found.finding.what.endswith(
        " of 100 readers: a stack stands beside a taller panel,"
        ' and 1.1.1 "The lamp is out." lies over the gutter from panel 1 to panel 3'
    )
    assert found.finding.mend.startswith("Move 1.1.1 off that gutter, or number the panels")
    inside = {**over, "center": [100, 90]}
    (found,) = looked(script, inside, page={"panels": panels}).every
    assert found.finding.what.endswith(
        "of 100 readers will go to panel 3 before panel 2: a stack stands beside a taller panel"
    )
