"""Every kind of finding: a page that has it, and one like it that does not."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer.fit.oval import Oval
from letterer.geometry import Box, Point, polygon
from letterer.ink.tail import Tail
from letterer.model.plan import Layout
from letterer.page.lettered import Layer, LetteredPage, Severity, Stroke
from letterer.review import finding
from letterer.review.finding import Noticed
from letterer.review.pages import KINDS, Reviewed, review, review_page
from letterer.review.standing import contrast, luminance

Kinds = Callable[..., list[str]]
Looked = Callable[..., Reviewed]

NELL = "NELL: The lamp is out."
BOTH = "NELL: The lamp is out.\nTOM: Then light it."


def at(unit: str, x: float, y: float, **keys: Any) -> dict[str, Any]:
    return {"unit": unit, "center": [x, y], **keys}


CALM = (at("1.1.1", 110, 90), at("1.1.2", 290, 130))


def test_a_calm_page_has_nothing(kinds: Kinds) -> None:
    assert kinds(BOTH, *CALM) == []


def test_outside_the_live_area(kinds: Kinds) -> None:
    bled = {"panels": [{"panel": 1, "box": [-9, -9, 418, 418], "mouths": {"NELL": [60, 150]}}]}
    assert kinds(NELL, at("1.1.1", 32, 90), page=bled) == ["outside live area 1.1.1"]
    assert kinds(NELL, at("1.1.1", 20, 90), page=bled) == ["cut off 1.1.1"]
    assert kinds(NELL, at("1.1.1", 60, 90), page=bled) == []


def test_an_effect_may_bleed(kinds: Kinds) -> None:
    assert kinds("SFX: Krrang!", at("1.1.1", 10, 90)) == []


def test_how_far_out_it_lies_and_the_move_back(looked: Looked) -> None:
    bled = {"panels": [{"panel": 1, "box": [-9, -9, 418, 418]}]}
    found = looked("CAPTION: The lamp is out.", at("1.1.1", 200, 388), page=bled).every[0]
    assert found.at is not None
    by = found.at.bottom - 382
    assert 0 < by < 18
    told = found.finding.mend
    assert told.startswith("Move it ")
    assert told.endswith(" pt up")
    assert by <= float(told.split()[2]) < by + 1  # rounded up to whole points


@pytest.mark.parametrize(("x", "severity"), [(110, Severity.PROBLEM), (70, Severity.WARNING)])
def test_covered_faces(looked: Looked, x: float, severity: Severity) -> None:
    zone = {"keep_clear": [{"name": "her face", "box": [90, 70, 60, 40]}]}
    found = looked(NELL, at("1.1.1", x, 90), page=zone).every
    assert [(one.finding.kind, one.finding.severity) for one in found] == [("covers", severity)]
    assert "her face" in found[0].finding.what
    assert "Move it about" in found[0].finding.mend


def test_a_face_beside_the_balloon_is_clear(kinds: Kinds) -> None:
    zone = {"keep_clear": [{"name": "her face", "box": [90, 130, 60, 40]}]}
    assert kinds(NELL, at("1.1.1", 110, 90, tails=[]), page=zone) == []


def test_a_corner_of_the_box_round_a_balloon_covers_nothing(kinds: Kinds) -> None:
    # The oval leaves the corners of its box free.
    zone = {"keep_clear": [{"name": "her face", "box": [20, 20, 60, 52]}]}
    assert kinds(NELL, at("1.1.1", 110, 90), page=zone) == []


def test_a_covered_focus(kinds: Kinds) -> None:
    focus = {"focus": [{"name": "the lamp", "at": [110, 95]}]}
    assert kinds(NELL, at("1.1.1", 110, 90), page=focus) == ["covers 1.1.1"]
    assert kinds(NELL, at("1.1.1", 160, 90), page=focus) == []


def test_over_the_border_and_in_the_wrong_panel(kinds: Kinds) -> None:
    panels = {
        "panels": [
            {"panel": 1, "box": [20, 20, 176, 360], "mouths": {"NELL": [140, 170]}},
            {"panel": 2, "box": [204, 20, 176, 360]},
        ]
    }
    assert kinds(NELL, at("1.1.1", 180, 90), page=panels) == ["over the border 1.1.1"]
    assert "wrong panel 1.1.1" in kinds(NELL, at("1.1.1", 280, 90), page=panels)
    assert kinds(NELL, at("1.1.1", 110, 90), page=panels) == []


def test_over_a_slanted_border(kinds: Kinds) -> None:
    slanted = {
        "panels": [
            {
                "panel": 1,
                "polygon": [[20, 20], [300, 20], [180, 380], [20, 380]],
                "mouths": {"NELL": [200, 160]},
            }
        ]
    }
    assert kinds(NELL, at("1.1.1", 256, 90), page=slanted) == ["over the border 1.1.1"]
    assert kinds(NELL, at("1.1.1", 180, 90), page=slanted) == []


def test_words_in_a_panel_beside_its_inset(kinds: Kinds) -> None:
    panels = {
        "panels": [
            {"panel": 1, "box": [20, 20, 360, 360]},
            {"panel": 2, "box": [220, 220, 120, 120], "mouths": {"TOM": [300, 320]}},
        ]
    }
    script = f"PAGE 1\nPANEL 1\nPANEL 2\n{BOTH.splitlines()[1]}"
    assert kinds(script, at("1.2.1", 280, 225), page=panels) == ["over the border 1.2.1"]
    assert kinds(script, at("1.2.1", 280, 260), page=panels) == []


def test_small_words(kinds: Kinds) -> None:
    assert kinds(NELL, at("1.1.1", 100, 130, size=5)) == ["small words 1.1.1"]
    assert kinds(NELL, at("1.1.1", 100, 130, size=6)) == []


# WCAG 2.1 contrast ratios, as published by its Working Group's Understanding 1.4.3 and in wide use:
# #777777 on white is just short of 4.5, #767676 just above.
@pytest.mark.parametrize(
    ("color", "ratio"),
    [("#000000", 21.0), ("#777777", 4.478), ("#767676", 4.542), ("#ffffff", 1.0)],
)
def test_contrast_by_wcag(color: str, ratio: float) -> None:
    assert contrast(color, "#ffffff") == pytest.approx(ratio, abs=0.001)
    assert contrast("#ffffff", color) == contrast(color, "#ffffff")


def test_luminance_by_wcag() -> None:
    # The weights of red, green and blue in WCAG 2.1, "relative luminance".
    assert luminance("#ff0000") == pytest.approx(0.2126)
    assert luminance("#00ff00") == pytest.approx(0.7152)
    assert luminance("#0000ff") == pytest.approx(0.0722)


@pytest.mark.parametrize(
    ("ink", "found"),
    [
        ("#777777", [("low contrast", Severity.WARNING)]),
        ("#aaaaaa", [("low contrast", Severity.PROBLEM)]),
        ("#767676", []),
    ],
)
def test_low_contrast(
    letter: Callable[..., tuple[LetteredPage, Layout]],
    ink: str,
    found: list[tuple[str, Severity]],
) -> None:
    page, layout = letter(NELL, at("1.1.1", 110, 90))
    units = tuple(replace(unit, color=ink, fill="#ffffff") for unit in page.units)
    noticed = review_page(replace(page, units=units), layout)
    assert [(one.finding.kind, one.finding.severity) for one in noticed] == found


def test_letters_told_by_their_outlines(letter: Callable[..., tuple[LetteredPage, Layout]]) -> None:
    page, layout = letter("SFX: Krrang!", at("1.1.1", 200, 90))
    unit = replace(page.units[0], color="#ffffff", halo=None)
    (line,) = unit.lines
    rims = [Layer("rim", line, "#ffffff", Stroke(3, "#ffffff"))]
    lone = replace(unit, extras=tuple(rims))
    assert [one.finding.kind for one in review_page(replace(page, units=(lone,)), layout)] == [
        "low contrast"
    ]
    rims.append(Layer("rim", line, "#000000", Stroke(1, "#000000")))
    lined = replace(unit, extras=tuple(rims))
    assert review_page(replace(page, units=(lined,)), layout) == ()
    # Of letters on the bare art nothing is known.
    bare = replace(unit, extras=(), letters=())
    assert review_page(replace(page, units=(bare,)), layout) == ()


def test_large_words_need_less_contrast(
    letter: Callable[..., tuple[LetteredPage, Layout]],
) -> None:
    page, layout = letter(NELL, at("1.1.1", 200, 90, size=18))
    units = tuple(replace(unit, color="#777777", fill="#ffffff") for unit in page.units)
    assert review_page(replace(page, units=units), layout) == ()


def test_a_long_tail_is_told_once(kinds: Kinds) -> None:
    assert kinds(NELL, at("1.1.1", 300, 50)) == ["long tail 1.1.1"]
    assert kinds(NELL, at("1.1.1", 150, 150)) == []


Letter = Callable[..., tuple[LetteredPage, Layout]]


def tailed(page: LetteredPage, *ends: tuple[Point, Point]) -> LetteredPage:
    """The page with straight tails, one for each unit, from a root to a tip beside a mouth."""
    units = []
    for unit, (root, tip) in zip(page.units, ends, strict=True):
        mouth = root.toward(tip, 1.2)
        tail = Tail(mouth, root, root.toward(tip, 0.5), tip, 8.0)
        units.append(replace(unit, tails=(tail,)))
    return replace(page, units=tuple(units))


def told(page: LetteredPage, layout: Layout) -> list[tuple[str, str, tuple[str, ...]]]:
    """Kinds of what is noticed about tails, with the units."""
    return [
        (one.finding.kind, one.finding.unit, one.others)
        for one in review_page(page, layout)
        if "tail" in one.finding.kind
    ]


def test_tails_that_cross(letter: Letter) -> None:
    page, layout = letter(BOTH, at("1.1.1", 110, 90), at("1.1.2", 290, 90))
    crossed = tailed(page, (Point(140, 105), Point(215, 140)), (Point(270, 105), Point(195, 140)))
    assert told(crossed, layout) == [("tails cross", "1.1.1", ("1.1.2",))]
    found = next(one for one in review_page(crossed, layout) if one.finding.kind == "tails cross")
    assert found.finding.severity is Severity.PROBLEM
    # The two straight lines meet half way between them, worked out by hand.
    assert found.at is not None
    assert tuple(found.at.center) == pytest.approx((205, 105 + 35 * 65 / 75))
    apart = tailed(page, (Point(110, 105), Point(110, 140)), (Point(280, 105), Point(290, 140)))
    assert told(apart, layout) == []


def test_a_tail_over_words_or_a_balloon(letter: Letter) -> None:
    page, layout = letter(BOTH, at("1.1.1", 110, 60), at("1.1.2", 290, 90))
    far = (Point(290, 110), Point(295, 140))
    words = tailed(page, (Point(140, 70), Point(290, 90)), far)
    assert told(words, layout)[0] == ("tail over words", "1.1.1", ("1.1.2",))
    severities = {
        one.finding.severity
        for one in review_page(words, layout)
        if one.finding.kind == "tail over words"
    }
    assert severities == {Severity.PROBLEM}
    shape = page.units[1].shape
    assert isinstance(shape, Oval)
    edge = Point(290, 90 + shape.b - 1)
    grazed = tailed(page, (Point(140, 70), edge), far)
    found = [one for one in review_page(grazed, layout) if one.finding.kind == "tail over words"]
    assert [one.finding.severity for one in found] == [Severity.WARNING]
    clear = tailed(page, (Point(110, 75), Point(110, 110)), far)
    assert told(clear, layout) == []


def test_a_tail_over_a_face(letter: Letter) -> None:
    owl = {"keep_clear": [{"name": "the owl", "box": [85, 105, 30, 15]}]}
    page, layout = letter(NELL, at("1.1.1", 100, 70), page=owl)
    down = tailed(page, (Point(100, 85), Point(100, 140)))
    assert told(down, layout) == [("tail over face", "1.1.1", ())]
    aside = tailed(page, (Point(110, 85), Point(140, 140)))
    assert told(aside, layout) == []


def test_a_tail_may_enter_the_face_it_belongs_to(letter: Letter) -> None:
    face = {"keep_clear": [{"name": "her face", "box": [70, 105, 60, 90]}]}
    page, layout = letter(NELL, at("1.1.1", 100, 70), page=face)
    assert told(tailed(page, (Point(100, 85), Point(100, 140))), layout) == []


def test_a_tail_to_the_wrong_mouth(looked: Looked) -> None:
    found = looked(NELL, at("1.1.1", 200, 150, tails=["TOM"])).every
    assert [(one.finding.kind, one.finding.severity) for one in found] == [
        ("mouth missed", Severity.PROBLEM)
    ]
    assert "NELL speaks, and the tail points at TOM" in found[0].finding.what


def test_a_tail_to_another_where_the_speaker_is_off(kinds: Kinds) -> None:
    there = {"panel": 2, "box": [20, 220, 360, 160], "mouths": {"TOM": [300, 300]}}
    here = {"panel": 1, "box": [20, 20, 360, 190], "mouths": {"NELL": [100, 150]}}
    page = {"panels": [here, there]}
    off = "TOM (off): Then light it."
    assert kinds(off, at("1.1.1", 200, 70, tails=["NELL"]), page=page) == ["mouth missed 1.1.1"]
    assert kinds(off, at("1.1.1", 200, 70, tails=[[270, 130]]), page=page) == []
    # Two who speak as one have no mouth of their own anywhere.
    assert kinds("ALL: Light it!", at("1.1.1", 200, 70, tails=["NELL"]), page=page) == []


def test_a_tail_that_points_past_its_mouth(
    letter: Callable[..., tuple[LetteredPage, Layout]],
) -> None:
    page, layout = letter(NELL, at("1.1.1", 150, 130))
    unit = page.units[0]
    bent = replace(unit.tails[0], bend=unit.tails[0].bend.shifted(12, 0))
    noticed = review_page(replace(page, units=(replace(unit, tails=(bent,)),)), layout)
    assert [one.finding.kind for one in noticed] == ["mouth missed"]


def test_words_covered(looked: Looked) -> None:
    found = looked(BOTH, at("1.1.1", 150, 90), at("1.1.2", 180, 95)).every
    covered = [one for one in found if one.finding.kind == "words covered"]
    # The later balloon hides the words of the earlier, and never the other way.
    assert [(one.finding.unit, one.others) for one in covered] == [("1.1.1", ("1.1.2",))]
    assert "balloons touch" not in [one.finding.kind for one in found]


def test_balloons_that_touch(
    kinds: Kinds, letter: Callable[..., tuple[LetteredPage, Layout]]
) -> None:
    page, _ = letter(BOTH, at("1.1.1", 150, 90), at("1.1.2", 280, 90))
    one, other = (unit.shape for unit in page.units)
    assert one is not None
    assert other is not None
    gap = 280 - other.a - (150 + one.a)  # type: ignore[union-attr]
    near = at("1.1.2", 280 - gap + 0.5, 90)
    assert kinds(BOTH, at("1.1.1", 150, 90), near) == ["balloons touch 1.1.1"]
    assert kinds(BOTH, at("1.1.1", 150, 90), at("1.1.2", 280 - gap + 3, 90)) == []
    # One speaker's balloons may come close; they may not lie over each other.
    alone = "NELL: The lamp is out.\nNELL: Then light it."
    assert kinds(alone, at("1.1.1", 150, 90), near) == []
    over = at("1.1.2", 280 - gap - 2, 90, joined=False)
    assert kinds(alone, at("1.1.1", 150, 90), over) == ["balloons touch 1.1.1"]


GRID = [
    {"panel": 1, "box": [20, 20, 170, 360]},
    {"panel": 2, "box": [200, 20, 180, 170]},
    {"panel": 3, "box": [200, 200, 180, 180]},
]


def shuffled(*numbers: int) -> dict[str, Any]:
    return {"panels": [{**panel, "panel": n} for panel, n in zip(GRID, numbers, strict=True)]}


def test_panels_out_of_order(looked: Looked) -> None:
    found = looked(NELL, at("1.1.1", 290, 90, tails=[]), page=shuffled(2, 1, 3)).every
    assert [one.finding.kind for one in found] == ["panel order"]
    assert found[0].finding.severity is Severity.PROBLEM
    assert "panel 2 will be read before panel 1" in found[0].finding.what
    assert '(1.1.1 "The lamp is out.")' in found[0].finding.what
    assert looked(NELL, at("1.1.1", 100, 90, tails=[]), page=shuffled(1, 2, 3)).every == ()


def test_panels_of_which_readers_are_unsure(looked: Looked) -> None:
    tall = {
        "panels": [
            {"panel": 1, "box": [20, 20, 170, 175]},
            {"panel": 2, "box": [20, 205, 170, 175]},
            {"panel": 3, "box": [200, 20, 180, 360]},
        ]
    }
    found = looked(NELL, at("1.1.1", 100, 90, tails=[]), page=tall).every
    assert [one.finding.kind for one in found] == ["panel order unsure"]
    assert found[0].finding.severity is Severity.NOTE
    # Cohn 2013: about 32 of 100 keep to the row beside a tall panel.
    assert "about 35 of 100 readers will go to panel 3 before panel 2" in found[0].finding.what


def test_an_order_that_only_some_readers_follow(looked: Looked) -> None:
    tall = {
        "panels": [
            {"panel": 1, "box": [20, 20, 170, 175]},
            {"panel": 3, "box": [20, 205, 170, 175]},
            {"panel": 2, "box": [200, 20, 180, 360]},
        ]
    }
    found = looked(NELL, at("1.1.1", 100, 90, tails=[]), page=tall).every
    assert [(one.finding.kind, one.finding.severity) for one in found] == [
        ("panel order", Severity.WARNING)
    ]
    assert "panel 3 will be read before panel 2 by about 65 of 100 readers" in found[0].finding.what


def test_words_out_of_order(looked: Looked) -> None:
    found = looked(BOTH, at("1.1.1", 110, 130), at("1.1.2", 300, 90)).every
    assert [(one.finding.kind, one.finding.unit, one.others) for one in found] == [
        ("reading order", "1.1.2", ("1.1.1",))
    ]
    assert found[0].finding.severity is Severity.PROBLEM
    assert "Let 1.1.1 and 1.1.2 change places" in found[0].finding.mend


def test_the_move_that_is_told_mends_the_order(looked: Looked, kinds: Kinds) -> None:
    lower = (at("1.1.1", 110, 130), at("1.1.2", 300, 110))
    mend = looked(BOTH, *lower).every[0].finding.mend
    assert mend.endswith(" pt up")
    by = float(mend.split()[-3])
    assert kinds(BOTH, at("1.1.1", 110, 130 - by), at("1.1.2", 300, 110)) == []


def test_the_same_words_in_a_book_read_the_other_way(kinds: Kinds) -> None:
    beside = (at("1.1.1", 110, 90), at("1.1.2", 290, 90))
    assert kinds(BOTH, *beside) == []
    assert kinds(BOTH, *beside, reading="right to left") == ["reading order 1.1.2"]


def test_joined_balloons_are_one(kinds: Kinds) -> None:
    talk = "NELL: The lamp is out.\nNELL: Then light it."
    assert kinds(talk, at("1.1.1", 110, 90), at("1.1.2", 135, 112)) == []


def test_a_neck_over_a_face(looked: Looked, kinds: Kinds) -> None:
    talk = "NELL: The lamp is out.\nNELL: Then light it."
    places = (at("1.1.1", 100, 70, tails=[]), at("1.1.2", 200, 120, tails=[], joined="link"))
    between = {"keep_clear": [{"name": "the owl", "box": [140, 85, 20, 20]}]}
    (found,) = looked(talk, *places, page=between).every
    assert (found.finding.kind, found.others) == ("covers", ("1.1.2",))
    assert found.finding.what == "the neck between 1.1.1 and 1.1.2 crosses the owl"
    aside = {"keep_clear": [{"name": "the owl", "box": [140, 40, 20, 20]}]}
    assert kinds(talk, *places, page=aside) == []
    lamp = {"focus": [{"name": "the lamp", "at": [149, 94]}]}
    assert kinds(talk, *places, page=lamp) == ["covers 1.1.1"]
    apart = (places[0], {**places[1], "joined": False})
    assert kinds(talk, *apart, page=between) == []


def test_balloons_that_may_cross_the_border(kinds: Kinds) -> None:
    panels = {"panels": [{"panel": 1, "box": [40, 20, 300, 360], "mouths": {"NELL": [80, 170]}}]}
    assert kinds(NELL, at("1.1.1", 60, 90), page=panels) == ["over the border 1.1.1"]
    assert kinds(NELL, at("1.1.1", 60, 90, over=True), page=panels) == []
    assert kinds(NELL, at("1.1.1", 60, 90, cut=["left"]), page=panels) == []


def test_a_balloon_is_measured_as_it_is_drawn(kinds: Kinds, letter: Letter) -> None:
    # What a border cuts off covers nothing, and spikes that are drawn do.
    panels = [panel_from(60, NELL=[150, 190])]
    here = {"panels": panels, "keep_clear": [{"name": "her hand", "box": [50, 80, 9.5, 20]}]}
    assert kinds(NELL, at("1.1.1", 84, 90, cut=["left"], tails=[]), page=here) == []
    assert "covers 1.1.1" in kinds(NELL, at("1.1.1", 84, 90, over=True, tails=[]), page=here)
    page, _ = letter("NELL (shout): Out!", at("1.1.1", 110, 90, tails=[]))
    (shout,) = page.units
    assert isinstance(shout.shape, Oval)
    assert shout.own is not None
    spikes, oval = shout.own.box(), shout.shape.box
    assert spikes is not None
    assert spikes.top < oval.top - 3
    hand = [oval.center.x - 30, spikes.top - 4, 60, oval.top - 1 - spikes.top + 4]
    spiked = {"keep_clear": [{"name": "her hand", "box": hand}]}
    found = kinds("NELL (shout): Out!", at("1.1.1", 110, 90, tails=[]), page=spiked)
    assert found == ["covers 1.1.1"]


def panel_from(left: float, **mouths: list[float]) -> dict[str, Any]:
    return {"panel": 1, "box": [left, 20, 380 - left, 360], "mouths": mouths}


def test_an_effect_out_of_order_is_a_note(looked: Looked) -> None:
    found = looked(f"{NELL}\nSFX: Krrang!", at("1.1.1", 110, 130), at("1.1.2", 250, 60)).every
    assert [(one.finding.kind, one.finding.severity) for one in found] == [
        ("reading order", Severity.NOTE)
    ]


def test_read_after(kinds: Kinds) -> None:
    page = {"focus": [{"name": "the lamp", "at": [200, 150]}]}
    early = at("1.1.1", 110, 90, read_after="the lamp")
    assert kinds(NELL, early, page=page) == ["read too early 1.1.1"]
    assert kinds(NELL, at("1.1.1", 110, 90), page=page) == []
    later = at("1.1.1", 110, 210, read_after="the lamp", tails=[])
    assert kinds(NELL, later, page=page) == []


def test_read_after_a_focus_in_a_later_panel(looked: Looked) -> None:
    page = {**shuffled(1, 2, 3), "focus": [{"name": "the lamp", "at": [290, 100]}]}
    words = at("1.1.1", 100, 90, tails=[], read_after="the lamp")
    found = looked(NELL, words, page=page).every
    assert [one.finding.mend for one in found] == ["Move it into panel 2, or a later one"]


def test_many_words(kinds: Kinds) -> None:
    many = "NELL: " + "and so on " * 8 + "and on again."
    assert kinds(many, at("1.1.1", 150, 90)) == ["many words 1.1.1"]
    few = "NELL: " + "and so on " * 8 + "."
    assert kinds(few, at("1.1.1", 150, 90)) == []


def test_many_words_in_a_panel_and_on_a_page(looked: Looked) -> None:
    line = "CAPTION: " + "and so on " * 8
    places = [at(f"1.1.{n}", 200, 20 + 45 * n) for n in range(1, 4)]
    found = looked("\n\n".join([line] * 3), *places).every
    assert [one.finding.what for one in found] == ["72 words in panel 1; 50 are the usual most"]
    assert looked("\n\n".join([line] * 2), *places[:2]).every == ()
    panels = {"panels": [{"panel": n, "box": [20, 40 * n - 20, 360, 38]} for n in range(1, 10)]}
    script = "PAGE 1\n" + "\n".join(f"PANEL {n}\n{line}\n" for n in range(1, 10))
    spread = [at(f"1.{n}.1", 200, 40 * n - 1, size=6) for n in range(1, 10)]
    told = [one.finding.what for one in looked(script, *spread, page=panels).every]
    assert "216 words on the page; 210 are the usual most" in told


def test_a_crowded_panel(kinds: Kinds) -> None:
    small = {"panels": [{"panel": 1, "box": [20, 20, 66, 40]}]}
    assert kinds(NELL, at("1.1.1", 53, 40, tails=[]), page=small) == ["crowded panel"]
    roomy = {"panels": [{"panel": 1, "box": [20, 20, 150, 150]}]}
    assert kinds(NELL, at("1.1.1", 65, 50, tails=[]), page=roomy) == []


def test_panels_off_the_page(looked: Looked) -> None:
    def found(*box: float) -> list[tuple[str, Severity]]:
        panels = [{"panel": 1, "box": [20, 20, 360, 360]}, {"panel": 2, "box": list(box)}]
        every = looked(NELL, at("1.1.1", 110, 90, tails=[]), page={"panels": panels}).every
        return [(one.finding.kind, one.finding.severity) for one in every]

    assert found(500, 20, 100, 100) == [("panel off page", Severity.WARNING)]
    assert found(20, 384, 360, 60) == [("panel off page", Severity.WARNING)]
    assert found(20, 382, 360, 40) == [("panel off page", Severity.NOTE)]
    assert found(20, 384, 360, 24) == []


def test_of_words_in_a_panel_off_the_page_the_panel_alone_is_told(looked: Looked) -> None:
    panels = [{"panel": 1, "box": [500, 20, 100, 100], "mouths": {"NELL": [100, 190]}}]
    found = looked(NELL, at("1.1.1", 110, 90), page={"panels": panels}).every
    assert [(one.finding.kind, one.finding.severity) for one in found] == [
        ("panel off page", Severity.PROBLEM)
    ]


def test_panels_that_overlap(looked: Looked) -> None:
    def found(left: float) -> list[tuple[str, Severity]]:
        panels = [
            {"panel": 1, "box": [20, 20, 200, 360]},
            {"panel": 2, "box": [left, 20, 150, 360]},
        ]
        every = looked(NELL, at("1.1.1", 110, 90, tails=[]), page={"panels": panels}).every
        return [
            (one.finding.kind, one.finding.severity)
            for one in every
            if "order" not in one.finding.kind
        ]

    assert found(150) == [("panels overlap", Severity.WARNING)]
    assert found(200) == [("panels overlap", Severity.NOTE)]
    assert found(219) == []
    assert found(45) == []  # an inset


def test_a_panel_that_crosses_itself(
    letter: Callable[..., tuple[LetteredPage, Layout]],
) -> None:
    # A layout file with one is not read; a plan made by a program may hold one.
    page, layout = letter(NELL, at("1.1.1", 110, 90, tails=[]))
    bow = polygon([Point(20, 20), Point(380, 380), Point(380, 20), Point(20, 380)])
    plan = layout.pages[0]
    panel = replace(plan.panels[0], shape=bow)
    broken = replace(layout, pages=(replace(plan, panels=(panel,)),))
    assert "panel crosses itself" in [one.finding.kind for one in review_page(page, broken)]
    assert review_page(page, layout) == ()


def test_panels_too_small(kinds: Kinds) -> None:
    def found(*box: float) -> list[str]:
        page = {"panels": [{"panel": 1, "box": list(box)}]}
        return [
            kind
            for kind in kinds(NELL, at("1.1.1", 110, 90, tails=[]), page=page)
            if "too small" in kind
        ]

    assert found(100, 80, 20, 20) == ["panel too small"]
    assert found(60, 80, 100, 20) == ["panel too small 1.1.1"]
    assert found(20, 20, 200, 200) == []


def test_mouths_off_the_panel(kinds: Kinds) -> None:
    def found(x: float, y: float) -> list[str]:
        shape = [[20, 20], [300, 20], [180, 380], [20, 380]]
        panel = {"panel": 1, "polygon": shape, "mouths": {"TOM": [x, y]}}
        return kinds(NELL, at("1.1.1", 110, 90, tails=[]), page={"panels": [panel]})

    assert found(350, 100) == ["mouth off panel"]
    assert found(270, 350) == ["mouth off panel"]
    assert found(150, 350) == []


def test_what_composing_found_is_there_and_not_twice(kinds: Kinds) -> None:
    assert kinds("TIM: The lamp is out.", at("1.1.1", 110, 90)) == ["no tail 1.1.1"]
    assert kinds(BOTH, at("1.1.1", 110, 90)) == ["not placed 1.1.2"]
    assert kinds(NELL, *CALM) == ["no words 1.1.2"]
    tight = {"unit": "1.1.1", "box": [90, 80, 40, 24]}
    assert "does not fit 1.1.1" in kinds(NELL, tight)


def test_pages_of_only_one_file(looked: Looked) -> None:
    script = "PAGE 1\nPANEL 1\nNELL: The lamp is out.\n\nPAGE 3\nPANEL 1\nNELL: Still out."
    found = looked(script, at("1.1.1", 110, 90)).every
    kinds = [(one.finding.kind, one.finding.page) for one in found]
    assert kinds == [("page not planned", 3), ("not placed", 3)]


def test_customs_are_told(kinds: Kinds) -> None:
    spoken = "CAPTION (speech, NELL): {}"
    place = at("1.1.1", 110, 90)
    assert kinds(spoken.format("The lamp is out."), place) == ["quotation marks 1.1.1"] * 2
    assert kinds(spoken.format('"The lamp is out."'), place) == []


def test_accepted(looked: Looked) -> None:
    far = at("1.1.1", 300, 50)
    why = {"unit": "1.1.1", "finding": "long tail", "because": "he calls from afar"}
    for place in ({"page": {"accepted": [why]}}, {"accepted": [why]}):
        found = looked(NELL, far, **place)
        assert [(one.finding.kind, one.because) for one in found.every] == [
            ("long tail", "he calls from afar")
        ]
        assert found.worst is None
    assert looked(NELL, far).worst is Severity.WARNING


def test_accepted_for_another_unit_or_kind(looked: Looked) -> None:
    far = at("1.1.1", 300, 50)
    for wrong, mend in (
        ({"unit": "1.1.2", "finding": "long tail"}, 'Take it out of "accepted"'),
        ({"finding": "long tial"}, 'Did you mean "long tail"?'),
    ):
        found = looked(NELL, far, page={"accepted": [{**wrong, "because": "so"}]}).every
        assert [one.finding.kind for one in found] == ["long tail", "nothing to accept"]
        assert found[1].finding.mend == mend


def test_an_acceptance_without_a_unit_holds_for_all(looked: Looked) -> None:
    why = {"finding": "Long Tail", "because": "it is a style"}
    found = looked(NELL, at("1.1.1", 300, 50), page={"accepted": [why]})
    assert found.worst is None


def test_an_acceptance_of_the_book_that_matches_nothing(looked: Looked) -> None:
    why = {"finding": "long tail", "because": "it is a style"}
    found = looked(BOTH, *CALM, accepted=[why]).every
    assert [(one.finding.kind, one.finding.page) for one in found] == [("nothing to accept", 0)]


def test_a_part_of_the_book_says_nothing_of_what_the_book_accepts(
    letter: Callable[..., tuple[LetteredPage, Layout]],
) -> None:
    why = {"finding": "long tail", "because": "it is a style"}
    _, layout = letter(BOTH, *CALM, accepted=[why])
    assert review([], (), layout).every == ()


def test_every_kind_has_a_name_to_accept_it_by() -> None:
    # The names in the checks' own calls, against the list that acceptances are held against.
    named: set[str] = set()
    for file in Path(finding.__file__).parent.glob("*.py"):
        text = file.read_text("utf-8")
        named |= set(re.findall(r"noticed\(\s*(?:Severity\.\w+|severity),\s*\"([a-z ]+)\"", text))
    assert len(named) > 20
    assert named <= set(KINDS)


def test_worst_first(looked: Looked) -> None:
    zone = {"keep_clear": [{"name": "her face", "box": [100, 80, 20, 20]}]}
    words = (at("1.1.1", 110, 90, size=5), at("1.1.2", 290, 150, size=5))
    severities = [one.finding.severity for one in looked(BOTH, *words, page=zone).every]
    assert severities == [Severity.PROBLEM, Severity.WARNING, Severity.WARNING]


def test_every_place_is_on_the_page(looked: Looked) -> None:
    found = looked(BOTH, at("1.1.1", 150, 90, size=5), at("1.1.2", 180, 95)).every
    assert found
    for one in found:
        assert one.at is not None
        assert Box(-9, -9, 409, 409).contains(one.at)


WAYS = {"up": (0, -1), "down": (0, 1), "left": (-1, 0), "right": (1, 0)}
MOVE = re.compile(r"[Mm]ove (?:it|([\d.]+)) (?:about )?([\d]+) pt (\w+)")
TALK = "NELL: The lamp is out, and it is late already.\nTOM: Then light it, before they come."


@settings(max_examples=8)
@given(
    st.lists(st.floats(70, 330), min_size=2, max_size=2),
    st.lists(st.floats(60, 170), min_size=2, max_size=2),
    st.tuples(st.floats(60, 250), st.floats(60, 180), st.floats(20, 70), st.floats(20, 70)),
)
def test_every_move_that_is_told_mends_what_it_is_told_for(
    looked: Looked, xs: list[float], ys: list[float], zone: tuple[float, ...]
) -> None:
    page = {"keep_clear": [{"name": "her face", "box": list(zone)}]}
    places = dict(zip(("1.1.1", "1.1.2"), zip(xs, ys, strict=True), strict=True))

    def found(at_places: dict[str, tuple[float, float]]) -> list[Noticed]:
        made = [at(unit, x, y, tails=[]) for unit, (x, y) in at_places.items()]
        return list(looked(TALK, *made, page=page).every)

    for one in found(places):
        move = MOVE.search(one.finding.mend)
        if move is None:
            continue
        unit, by, (dx, dy) = move[1] or one.finding.unit, float(move[2]), WAYS[move[3]]
        x, y = places[unit]
        after = found({**places, unit: (x + dx * by, y + dy * by)})
        same = (one.finding.kind, one.finding.unit, one.others)
        assert same not in [(o.finding.kind, o.finding.unit, o.others) for o in after]


def test_the_empty_corner_of_a_rising_effect_may_be_used(letter: Letter) -> None:
    rising = at("1.1.1", 200, 110, size=44, effect={"rise": 30})
    page, layout = letter(f"SFX: KRAKOOM\n{NELL}", rising, at("1.1.2", 265, 152, tails=[]))
    effect, balloon = page.units
    line = effect.lines[0].box()
    assert line is not None
    assert line.meets(balloon.box)
    assert "words covered" not in [one.finding.kind for one in review_page(page, layout)]
    on_it = replace(page, units=(effect, balloon.shifted(-60, -60)))
    assert "words covered" in [one.finding.kind for one in review_page(on_it, layout)]
