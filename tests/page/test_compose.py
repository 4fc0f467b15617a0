"""A page as it is composed: who is paired with what, how each is drawn, what is told."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable

import pytest

from letterer import craft
from letterer.errors import LettererError
from letterer.fit.oval import Oval
from letterer.geometry import Box, Point, rectangle
from letterer.ink.ring import Ring
from letterer.model.plan import Center, Corner, Fill, Layout, PagePlan, Placement
from letterer.model.script import CaptionKind, Manner, Page, Panel, Role, Script, Unit
from letterer.page.lettered import Finding, LetteredPage, PlacedUnit, Severity, Stroke
from letterer.page.planned import pages_to_letter

Units = Callable[..., Unit]
Layouts = Callable[..., Layout]
Lettered = Callable[..., LetteredPage]

MIDDLE = Center(Point(200, 150))
MOUTH = Point(210, 230)


def told(page: LetteredPage) -> list[str]:
    return [str(finding) for finding in page.findings]


def one(page: LetteredPage) -> PlacedUnit:
    (found,) = page.units
    return found


# --- Pairing ----------------------------------------------------------------------------------


def test_units_come_in_reading_order_whatever_the_plans_order(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    units = [unit(number, f"Line {number}") for number in (1, 2, 3)]
    placements = [
        Placement(f"1.1.{number}", Center(Point(100 * number, 100)), tails=())
        for number in (3, 1, 2)
    ]
    page = lettered(units, layout(placements))
    assert [found.id for found in page.units] == ["1.1.1", "1.1.2", "1.1.3"]
    assert [found.center.x for found in page.units] == [100, 200, 300]
    assert page.findings == ()


def test_words_without_a_place(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    long = "Nobody remembers who built the clock, only that it is late"
    page = lettered(
        [unit(1, "Wait for me!"), unit(2, long, Role.CAPTION), unit(3, "Krrang", Role.EFFECT)],
        layout(),
    )
    assert page.units == ()
    mend = "Show its place with letterer point, or see what letterer place proposes"
    assert told(page) == [
        f'unit 1.1.1: not placed: Ada, "Wait for me!". {mend}.',
        f'unit 1.1.2: not placed: caption, "Nobody remembers who built the clock,...". {mend}.',
        f'unit 1.1.3: not placed: sound effect, "Krrang". {mend}.',
    ]
    assert {finding.severity for finding in page.findings} == {Severity.WARNING}
    assert page.findings[0] == Finding(
        Severity.WARNING,
        "not placed",
        'not placed: Ada, "Wait for me!"',
        mend,
        1,
        "1.1.1",
    )


def test_a_place_without_words(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    page = lettered([], layout([Placement("1.1.4", MIDDLE)]))
    assert page.units == ()
    assert told(page) == [
        "unit 1.1.4: the layout places this unit, and the script has no such unit. "
        "Write it, or take the placement out."
    ]


def test_pages_that_only_one_of_the_two_has(unit: Units, layout: Layouts) -> None:
    written = Page(2, (Panel(1, (unit(1, "Here"),)),))
    empty = Page(3, (Panel(1, ()),))
    pages, findings = pages_to_letter(Script((written, empty)), layout())
    assert pages == [written, empty]
    assert [str(finding) for finding in findings] == [
        "page 2: the script has this page and the layout does not. "
        "Add the page to the layout to place its words.",
        "page 1: the layout has this page and the script does not. "
        "Write the page, or take it out of the layout.",
    ]


def test_a_page_that_is_not_planned_at_all(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    bare = layout()
    none = Layout(bare.format, bare.measure, bare.reading, "en", bare.style, (PagePlan(7),))
    page = lettered([unit(1, "Here")], none)
    assert page.units == () and len(page.findings) == 1


def test_faults_of_all_units_are_told_together(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    units = [unit(1, "\U00012000"), unit(2, "Fine"), unit(3, "\U00012001")]
    plan = layout([Placement(f"1.1.{number}", MIDDLE, tails=()) for number in (1, 2, 3)])
    with pytest.raises(LettererError) as caught:
        lettered(units, plan)
    assert [fault.unit for fault in caught.value.faults] == ["1.1.1", "1.1.3"]


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ("no " * (craft.UNIT_WORDS_MOST + 1), "words in one balloon or caption"),
        ("a" * (craft.WORD_LETTERS_MOST + 1), "a word of 201 letters"),
    ],
)
def test_slips_of_the_script(
    words: str, what: str, unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    with pytest.raises(LettererError, match=what) as caught:
        lettered([unit(1, words.strip())], layout([Placement("1.1.1", MIDDLE, tails=())]))
    assert caught.value.faults[0].unit == "1.1.1"


# --- Tails ------------------------------------------------------------------------------------


def test_a_speech_aims_at_its_speakers_mouth(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    plan = layout([Placement("1.1.1", MIDDLE)], mouths={"ADA": MOUTH})
    page = lettered([unit(1, "Wait for me!")], plan)
    assert page.findings == ()
    assert [tail.mouth for tail in one(page).tails] == [MOUTH]


def test_tails_by_name_by_point_and_none(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    words, spot = [unit(1, "Wait for me, both of you!")], MIDDLE
    mouths = {"Ada": MOUTH, "Bo": Point(100, 240)}
    two = layout([Placement("1.1.1", spot, tails=("Bo", Point(300, 240)))], mouths=mouths)
    assert [tail.mouth for tail in one(lettered(words, two)).tails] == [(100, 240), (300, 240)]
    none = layout([Placement("1.1.1", spot, tails=())], mouths=mouths)
    page = lettered(words, none)
    assert one(page).tails == () and page.findings == ()


def test_a_speech_without_a_mouth(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    page = lettered([unit(1, "Wait!")], layout([Placement("1.1.1", MIDDLE)]))
    assert one(page).tails == ()
    assert told(page) == [
        "unit 1.1.1: no tail, since the layout has no mouth for Ada in this panel. "
        'Show it with letterer point, or give the unit its own "tails".'
    ]


def test_a_voice_from_off_the_panel(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    page = lettered([unit(1, "Wait!", manners=[Manner.OFF])], layout([Placement("1.1.1", MIDDLE)]))
    assert [finding.kind for finding in page.findings] == ["long tail"]
    (tail,) = one(page).tails
    assert tail.tip.x == pytest.approx(30), "MIDDLE is nearer to the left edge"
    assert one(page).kind == "speech"


@pytest.mark.parametrize(
    ("away", "what"),
    [(0, "no tail: the mouth lies inside the balloon"), (16, "too near the balloon for one")],
)
def test_a_mouth_where_no_tail_can_go(
    away: float, what: str, unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    mouth = Point(MIDDLE.at.x, MIDDLE.at.y + away)
    plan = layout([Placement("1.1.1", MIDDLE, tails=(mouth,))])
    page = lettered([unit(1, "Wait for me!")], plan)
    assert one(page).tails == ()
    assert len(page.findings) == 1 and what in told(page)[0]
    assert told(page)[0].endswith("Move the balloon away from the mouth.")


def test_a_long_tail_is_a_note(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    plan = layout([Placement("1.1.1", MIDDLE, tails=(Point(200, 400),))])
    page = lettered([unit(1, "Wait for me!")], plan)
    (finding,) = page.findings
    assert (finding.severity, finding.kind) == (Severity.NOTE, "long tail")
    length = one(page).tails[0].length
    assert finding.what == f"the tail is {length / 72:.2f} in long"


# --- Kinds and how they are drawn -------------------------------------------------------------


@pytest.mark.parametrize("words", ["Sssh...", "Not so loud!", "They will hear us, all of them."])
def test_a_whispers_dashes_close_evenly(
    words: str, unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    plan = layout([Placement("1.1.1", MIDDLE)], mouths={"Ada": MOUTH})
    found = one(lettered([unit(1, words, manners=[Manner.WHISPER])], plan))
    assert found.kind == "whisper"
    assert found.size == pytest.approx(craft.SIZE_USUAL * craft.WHISPER_SHARE)
    assert found.outline is not None and found.stroke is not None and found.stroke.dash
    pattern = found.stroke.dash
    assert sum(pattern) == pytest.approx(Ring(found.outline).length, abs=1e-6)
    assert len(pattern) % 2 == 0 and len(pattern) > 20
    assert statistics.median(pattern[::2]) == pytest.approx(craft.DASH_POINTS, rel=0.1)


def test_speech_and_caption_have_an_outline_filled_with_paper(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    plan = layout(
        [Placement("1.1.1", MIDDLE, tails=()), Placement("1.1.2", Corner("top left"))],
        ink="#102030",
        paper="#fffff0",
        border=1.2,
    )
    speech, caption = lettered([unit(1, "Wait!"), unit(2, "Later", Role.CAPTION)], plan).units
    for found in (speech, caption):
        assert found.outline is not None and len(list(found.outline.contours())) == 1
        assert (found.fill, found.color, found.halo) == ("#fffff0", "#102030", None)
        assert found.stroke == Stroke(1.2, "#102030")
        assert found.box == pytest.approx(found.outline.box())
    assert isinstance(speech.shape, Oval) and isinstance(caption.shape, Box)
    assert (speech.kind, caption.kind) == ("speech", "caption narration")


def test_effects_and_open_words_stand_in_a_halo(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    plan = layout(
        [
            Placement("1.1.1", Fill(Box(60, 60, 200, 120))),
            Placement("1.1.2", Center(Point(300, 300)), tails=()),
        ],
        paper="#fffff0",
    )
    units = [unit(1, "Krrang!", Role.EFFECT), unit(2, "Mm.", manners=[Manner.OPEN])]
    effect, soft = lettered(units, plan).units
    for found in (effect, soft):
        assert (found.outline, found.stroke, found.fill) == (None, None, None)
        assert found.halo is not None and found.halo.color == "#fffff0"
        assert found.box == found.ink
    assert effect.halo is not None and soft.halo is not None
    assert effect.halo.width == pytest.approx(2 * craft.EFFECT_HALO_EM * effect.size)
    assert effect.size > craft.SIZE_LARGE * 3
    grown = effect.ink.grown(effect.halo.width / 2)
    assert Box(60, 60, 200, 120).contains(grown, 1e-6), "halo and all"
    assert grown.width == pytest.approx(140) or grown.height == pytest.approx(60)
    assert soft.size == craft.SIZE_USUAL


@pytest.mark.parametrize("manner", [m for m in Manner if m.is_a_kind])
def test_every_manner_is_a_kind(
    manner: Manner, unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    plan = layout([Placement("1.1.1", MIDDLE)], mouths={"Ada": MOUTH})
    page = lettered([unit(1, "Wait for me!", manners=[manner])], plan)
    assert one(page).kind == manner.value
    assert page.findings == (), "nothing to tell of a kind that is drawn as it should be"


@pytest.mark.parametrize("caption", CaptionKind)
def test_every_caption_kind(
    caption: CaptionKind, unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    plan = layout([Placement("1.1.1", MIDDLE)])
    page = lettered([unit(1, "Three days later", Role.CAPTION, caption=caption)], plan)
    found = one(page)
    assert found.kind == f"caption {caption.value}"
    assert isinstance(found.shape, Box) and found.tails == () and page.findings == ()


def test_the_plans_kind_overrides_the_scripts(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    plan = layout([Placement("1.1.1", MIDDLE, kind="caption")])
    found = one(lettered([unit(1, "Three days later")], plan))
    assert found.kind == "caption narration" and isinstance(found.shape, Box)


def test_a_shout_is_larger_and_bold(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    plan = layout([Placement("1.1.1", MIDDLE, tails=())])
    shout = one(lettered([unit(1, "Run!", manners=[Manner.SHOUT])], plan))
    plain = one(lettered([unit(1, "Run!")], plan))
    assert shout.size == pytest.approx(craft.SIZE_USUAL * craft.SHOUT_SHARE)
    assert abs(shout.lines[0].area()) / shout.size**2 > abs(plain.lines[0].area()) / plain.size**2


def test_narration_slants_only_where_the_style_says_so(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    units = [unit(1, "Three days later", Role.CAPTION)]
    placements = [Placement("1.1.1", MIDDLE)]
    slanted = one(lettered(units, layout(placements)))
    upright = one(lettered(units, layout(placements, italic_narration=False)))
    assert slanted.lines != upright.lines


# --- Fit --------------------------------------------------------------------------------------

LONG = "I don't know what you think you heard, but nobody has been down there in eleven years."


def test_words_that_shrink_are_a_note(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    box = Box(100, 100, 205, 148)
    page = lettered([unit(1, LONG)], layout([Placement("1.1.1", Fill(box), tails=())]))
    found = one(page)
    assert craft.SIZE_FLOOR <= found.size < craft.SIZE_USUAL == found.planned_size
    assert told(page) == [f"unit 1.1.1: set at {found.size:g} pt instead of 7.5 pt to fit its box."]
    assert found.fits and found.center == box.center
    assert box.grown(0.2).contains(found.box), "but for the hand's waver"


def test_words_that_do_not_fit_are_a_problem(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    box = Box(100, 100, 150, 125)
    page = lettered([unit(1, LONG)], layout([Placement("1.1.1", Fill(box), tails=())]))
    found = one(page)
    assert not found.fits and found.size == craft.SIZE_FLOOR
    (finding,) = page.findings
    wide, high = (amount / 72 * 25.4 for amount in found.overflow)
    parts = [f"{wide:.1f} mm more width"] * (wide > 0) + [f"{high:.1f} mm more height"] * (high > 0)
    assert finding.severity is Severity.PROBLEM
    share = box.area / ((box.width + found.overflow[0]) * (box.height + found.overflow[1]))
    cut = math.ceil(len(LONG.split()) * (1 - share))
    assert 1 < cut < len(LONG.split())
    assert str(finding) == (
        "unit 1.1.1: the words do not fit their box at 6 pt, the smallest size. "
        f"Cut about {cut} words, or give {' and '.join(parts)}."
    )
    outline = found.outline.box() if found.outline else None
    assert outline and box.grown(0.2).contains(outline), "drawn within the box all the same"


def test_size_lines_and_aspect_of_the_plan(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    placement = Placement("1.1.1", MIDDLE, size=9.0, lines=3, tails=())
    found = one(lettered([unit(1, LONG)], layout([placement])))
    assert (found.size, found.planned_size, len(found.lines)) == (9.0, 9.0, 3)
    placement = Placement("1.1.1", MIDDLE, aspect=1.0, tails=())
    found = one(lettered([unit(1, LONG)], layout([placement])))
    assert isinstance(found.shape, Oval) and found.shape.aspect == pytest.approx(1.0)


def test_a_balloon_leaves_its_panel_some_picture(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    narrow = rectangle(Box(30, 40, 110, 400))
    plan = layout([Placement("1.1.1", Center(Point(70, 120)), tails=())], shape=narrow)
    found = one(lettered([unit(1, LONG)], plan))
    assert found.shape is not None and isinstance(found.shape, Oval)
    assert 2 * found.shape.a <= 80 * craft.BALLOON_PANEL_SHARE + 1e-6
    assert found.size == craft.SIZE_USUAL, "narrower, not smaller"


# --- The page as a value ----------------------------------------------------------------------


def test_the_same_page_twice(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    plan = layout([Placement("1.1.1", MIDDLE)], mouths={"Ada": MOUTH})
    assert lettered([unit(1, LONG)], plan) == lettered([unit(1, LONG)], plan)


def test_a_unit_before_it_does_not_redraw_a_border(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    alone = one(lettered([unit(1, LONG)], layout([Placement("1.1.1", MIDDLE, tails=())])))
    plan = layout(
        [Placement("1.1.1", Center(Point(90, 80)), tails=()), Placement("1.1.2", MIDDLE, tails=())]
    )
    second = lettered([unit(1, "Wait!"), unit(2, LONG)], plan).units[1]
    assert second.outline == alone.outline and second.lines == alone.lines


def test_what_a_placed_unit_tells(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    plan = layout([Placement("1.1.1", MIDDLE)], mouths={"Ada": MOUTH})
    page = lettered([unit(1, "Wait for me!")], plan)
    found = one(page)
    assert (found.id, found.words, found.speaker, found.panel) == (
        "1.1.1",
        "Wait for me!",
        "Ada",
        1,
    )
    assert " ".join(found.breaks) == "WAIT FOR ME!"
    assert len(found.lines) == len(found.breaks)
    assert found.center == MIDDLE.at
    assert found.box.contains(found.ink)
    assert page.unit("1.1.1") is found and page.unit("1.1.2") is None
    assert dict(found.costs)["area"] > 0


def test_a_small_sound_has_breath_marks_within_its_balloon(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    plan = layout([Placement("1.1.1", MIDDLE, tails=())])
    plain = one(lettered([unit(1, "koff")], plan))
    marked = one(lettered([unit(1, "koff", manners=[Manner.BREATH])], plan))
    assert marked.kind == "speech" and marked.words == "koff"
    strokes = len(list(marked.lines[0].contours())) - len(list(plain.lines[0].contours()))
    assert strokes == 6, "three to each side (common practice, no source)"
    assert marked.ink.left < plain.ink.left and marked.ink.right > plain.ink.right
    assert marked.box.contains(marked.ink)
