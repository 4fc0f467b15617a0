"""The room that words need, against areas worked out by hand, and what is said of it."""

from __future__ import annotations

import json
import math

import pytest

from letterer import craft
from letterer.geometry import Box
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Layout
from letterer.model.script import Page, Role, Run, Unit
from letterer.model.script_reader import parse_script
from letterer.place.bodies import Body
from letterer.place.room import Need, PanelRoom, Verdict, page_rooms, stacked, verdict_of
from letterer.text.faces import library

LONG = (
    "I told you twice, and then I told you a third time, because I know you, that the boat leaves"
    " at six and not at seven, whatever the harbour clock may say."
)
WORDS = {1: f"NELL: {LONG}\nTOM: {LONG}\n", 2: "TOM: Never.\n", 3: "", 4: "SFX: Krrang!\n"}


def script_of(words: dict[int, str]) -> Page:
    """A page with panels by number."""
    text = "PAGE 1\n" + "".join(f"PANEL {number}\n{said}\n" for number, said in words.items())
    return parse_script(text).pages[0]


def layout_of(*panels: dict[str, object], **more: object) -> Layout:
    """A layout with one page, in points."""
    page = {"page": 1, "panels": list(panels), **more}
    return parse_layout(
        json.dumps(
            {
                "letterer": 1,
                "unit": "pt",
                "page": {"trim": [400, 600], "bleed": 9, "live": 18},
                "pages": [page],
            }
        )
    )


def rooms_of(words: dict[int, str], layout: Layout) -> tuple[list[PanelRoom], list[str]]:
    """The rooms of a page."""
    plan = layout.page(1)
    assert plan is not None
    return page_rooms(script_of(words), plan, layout, library(()))


def need(wide: float, high: float, number: int = 1) -> Need:
    """A need of a size, without words of its own."""
    unit = Unit(1, 1, number, Role.SPEECH, (Run("Words here"),), "Nell")
    return Need(unit, wide * high, Body(wide / 2, high / 2, wide / 2, high / 2, 2.3, 5.0), 4, 7.5)


def test_verdicts_go_by_the_trade_values_in_order() -> None:
    steps = (0.0, craft.ROOM_PLENTY_SHARE, craft.ROOM_GOOD_SHARE, craft.CROWDED_SHARE, math.inf)
    assert list(steps) == sorted(steps)
    assert [verdict_of(share) for share in steps] == list(Verdict)


def test_a_panel_twice_as_wide_has_half_the_share() -> None:
    small, large = (
        rooms_of({1: WORDS[2]}, layout_of({"panel": 1, "box": [20, 20, wide, 150]}))[0][0]
        for wide in (160, 320)
    )
    assert small.needs[0].area == large.needs[0].area
    assert small.share == pytest.approx(2 * large.share, rel=0.02)


def test_the_area_of_an_oval_lies_between_its_ellipse_and_its_box() -> None:
    layout = layout_of({"panel": 1, "box": [20, 20, 300, 150]})
    one = rooms_of({1: WORDS[1]}, layout)[0][0].needs[0]
    wide, high = one.width + 2 * one.air, one.height + 2 * one.air
    assert math.pi / 4 * wide * high < one.area < wide * high
    assert one.air > 0


def test_what_is_cut_off_a_panel_that_bleeds_does_not_count() -> None:
    at_edge, within = (
        rooms_of({1: WORDS[2]}, layout_of({"panel": 1, "box": box}))[0][0]
        for box in ([-9, -9, 209, 109], [20, 20, 200, 100])
    )
    assert at_edge.area == pytest.approx(200 * 100, rel=0.02)
    assert at_edge.share == pytest.approx(within.share, rel=0.02)


def test_too_many_words_are_told_with_what_mends_them() -> None:
    layout = layout_of({"panel": 1, "box": [20, 20, 175, 190]})
    (room,), told = rooms_of({1: WORDS[1]}, layout)
    assert room.verdict is Verdict.TOO_MUCH and not told
    assert room.mends[0].startswith("Cut about ") and room.mends[0].endswith(" words")
    assert any("higher" in mend or "wider" in mend for mend in room.mends)
    assert any(mend.startswith("Give 1.1.2 a panel as large of its own") for mend in room.mends)


def test_the_words_to_cut_bring_the_panel_to_room_enough() -> None:
    layout = layout_of({"panel": 1, "box": [20, 20, 175, 190]})
    room = rooms_of({1: WORDS[1]}, layout)[0][0]
    cut = int(room.mends[0].split()[2])
    kept = LONG.split()[: (room.words - cut) // 2]
    shorter = " ".join(kept)
    after = rooms_of({1: f"NELL: {shorter}\nTOM: {shorter}\n"}, layout)[0][0]
    assert after.share <= craft.ROOM_GOOD_SHARE * 1.12  # words are not all of one length


def test_a_panel_made_as_much_larger_as_is_said_has_room() -> None:
    layout = layout_of({"panel": 1, "box": [20, 20, 175, 190]})
    room = rooms_of({1: WORDS[1]}, layout)[0][0]
    (mend,) = (mend for mend in room.mends if "Make the panel" in mend)
    more = float(mend.split()[3])
    wide, high = (175 + more, 190) if mend.endswith("wider") else (175, 190 + more)
    after = rooms_of({1: WORDS[1]}, layout_of({"panel": 1, "box": [20, 20, wide, high]}))[0][0]
    assert after.share <= craft.ROOM_GOOD_SHARE * 1.02


def test_a_size_is_offered_only_where_the_style_allows_it_and_it_is_enough() -> None:
    box = {"panel": 1, "box": [20, 20, 230, 225]}
    room = rooms_of({1: WORDS[1]}, layout_of(box))[0][0]
    assert room.verdict is Verdict.TIGHT
    (mend,) = (mend for mend in room.mends if mend.startswith("Set it at"))
    size = float(mend.split()[3])
    placed = [
        {"unit": f"1.1.{number}", "center": [100, 100 * number], "size": size, "tails": []}
        for number in (1, 2)
    ]
    after = rooms_of({1: WORDS[1]}, layout_of(box, placements=placed))[0][0]
    assert after.share <= craft.ROOM_GOOD_SHARE * 1.03
    assert size >= craft.SIZE_FLOOR
    tiny = rooms_of({1: WORDS[1]}, layout_of({"panel": 1, "box": [20, 20, 175, 190]}))[0][0]
    assert not any(mend.startswith("Set it at") for mend in tiny.mends)


def test_a_panel_too_small_for_any_word_says_so() -> None:
    layout = layout_of({"panel": 1, "box": [20, 20, 20, 100]})
    (room,), _ = rooms_of({1: WORDS[2]}, layout)
    assert room.verdict is Verdict.TOO_MUCH
    assert room.why == ("it is too small for any word",)
    assert room.mends


def test_no_words_need_no_room() -> None:
    layout = layout_of({"panel": 1, "box": [20, 20, 20, 100]})
    (room,), _ = rooms_of({1: ""}, layout)
    assert (room.verdict, room.share, room.mends) == (Verdict.SILENT, 0.0, ())


def test_awkward_panels_are_told() -> None:
    layout = layout_of(
        {"panel": 1, "box": [20, 20, 200, 100]},
        {"panel": 2, "box": [20, 70, 200, 100]},
        {"panel": 3, "box": [350, 400, 100, 100]},
        {"panel": 4, "box": [700, 20, 80, 100]},
        {"panel": 5, "box": [30, 30, 40, 30]},
    )
    _, told = rooms_of({1: WORDS[2], 6: WORDS[2]}, layout)
    text = "\n".join(told)
    assert "Panels 1.1 and 1.2 overlap by 50 % of the smaller." in text
    assert "Panel 1.3 reaches beyond the bleed." in text
    assert "Panel 1.4 lies outside the page." in text
    assert "1.5 overlap" not in text and "and 1.5" not in text, "an inset is no slip"
    assert "Panel 1.6 is not in the layout." in text


def test_rows_of_words_keep_within_their_room_and_apart() -> None:
    room = Box(0, 0, 200, 150)
    needs = [need(90, 40, 1), need(90, 30, 2), need(120, 40, 3)]
    middles, fits = stacked(needs, room)
    boxes = [
        Box(
            at.x - one.width / 2, at.y - one.height / 2, at.x + one.width / 2, at.y + one.height / 2
        )
        for at, one in zip(middles, needs, strict=True)
    ]
    assert fits
    assert all(room.contains(box, 1e-6) for box in boxes)
    assert not any(
        one.meets(other) for place, one in enumerate(boxes) for other in boxes[place + 1 :]
    )
    mirrored, _ = stacked(needs, room, mirrored=True)
    assert [at.x for at in mirrored] == [200 - at.x for at in middles]
    assert not stacked([need(90, 100, 1), need(190, 100, 2)], room)[1]
    assert not stacked([need(240, 30)], room)[1]
