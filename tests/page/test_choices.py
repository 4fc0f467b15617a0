"""Other ways to set a unit: that they differ, that their keys give them again, what they bend."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace

import pytest

from letterer import craft
from letterer.geometry import Box, Point, rectangle
from letterer.model.plan import Center, Fill, Layout, Placement, Zone
from letterer.model.script import Role, Unit
from letterer.page.choices import ALIKE_SHARE, CHOICES_MOST, Asked, Choice, choices
from letterer.page.inking import place_unit
from letterer.page.lettered import LetteredPage, PlacedUnit, Severity
from letterer.page.unit import Job
from letterer.text.faces import FaceLibrary

Units = Callable[..., Unit]
Layouts = Callable[..., Layout]
Lettered = Callable[..., LetteredPage]

SPOT = Center(Point(200, 150))
WORDS = "But not forever! Um, are you okay with that plan?"
LONG = "Incomprehensible!"


@pytest.fixture
def job(unit: Units, layout: Layouts, faces: FaceLibrary) -> Callable[..., Job]:
    """A function: one unit to be set, with its placement's keys."""

    def make(
        words: str = WORDS,
        role: Role = Role.SPEECH,
        spot: Center | Fill = SPOT,
        zones: tuple[Zone, ...] = (),
        **keys: object,
    ) -> Job:
        what = unit(1, words, role)
        placement = replace(Placement("1.1.1", spot, tails=()), **keys)  # type: ignore[arg-type]
        plan = layout([placement])
        page = replace(plan.pages[0], keep_clear=zones)
        return Job.of(what, placement, page, plan, faces)

    return make


Jobs = Callable[..., Job]


def again(job: Job, choice: Choice) -> PlacedUnit:
    """The unit with a choice's keys written into its placement, as a layout would have them."""
    keys = {
        key: tuple(value) if isinstance(value, list) else value
        for key, value in choice.keys.items()
    }
    placement = replace(job.placement, **keys)  # type: ignore[arg-type]
    return place_unit(Job.of(job.unit, placement, job.plan, job.layout, job.faces))[0]


def differ(one: PlacedUnit, other: PlacedUnit) -> bool:
    """Whether two settings look different: by lines, kind, size, box, or by how letters bend."""
    if [layer.part for layer in one.layers()] != [layer.part for layer in other.layers()]:
        return True
    if any(
        [step.verb for step in a.segments] != [step.verb for step in b.segments]
        for a, b in zip(one.lines, other.lines, strict=False)
    ):
        return True
    measures = (
        (one.size, other.size),
        (one.box.width, other.box.width),
        (one.box.height, other.box.height),
    )
    return (one.breaks, one.kind) != (other.breaks, other.kind) or any(
        abs(a - b) > ALIKE_SHARE * max(a, b) for a, b in measures
    )


@pytest.mark.parametrize(
    ("words", "role"),
    [
        (WORDS, Role.SPEECH),
        ("No.", Role.SPEECH),
        ("Low Harbour. Three days before the storm.", Role.CAPTION),
        ("Krrang!", Role.EFFECT),
    ],
)
def test_choices_differ_and_the_planned_one_comes_first(words: str, role: Role, job: Jobs) -> None:
    asked = job(words, role)
    found = choices(asked, Asked())
    assert [choice.number for choice in found] == list(range(1, len(found) + 1))
    assert 1 < len(found) <= CHOICES_MOST
    assert found[0].unit == place_unit(asked)[0] and found[0].keys == {}
    for one, other in itertools.combinations(found, 2):
        assert differ(one.unit, other.unit), (one.keys, other.keys)


def test_with_nothing_asked_one_thing_is_changed_at_a_time(job: Jobs) -> None:
    found = choices(job(), Asked(), first=5)
    assert [choice.number for choice in found] == list(range(5, 5 + len(found)))
    changed = [set(choice.keys) - {"breaks"} for choice in found]
    assert changed[0] == set() and all(len(keys) == 1 for keys in changed[1:])
    assert set.union(*changed) == {"lines", "size", "aspect", "kind"}
    planned = len(found[0].unit.breaks)
    assert {len(choice.unit.breaks) for choice in found} >= {planned - 1, planned, planned + 1}


def test_every_combination_of_what_is_asked(job: Jobs) -> None:
    asked = Asked(sizes=(7.0, 9.0), lines=(3, 4), kinds=("speech", "whisper"))
    found = choices(job(), asked)
    seen = {(choice.unit.size, len(choice.unit.breaks), choice.unit.kind) for choice in found}
    assert seen == set(itertools.product((7.0, 9.0), (3, 4), ("speech", "whisper")))
    assert len(found) == 8
    wide = choices(job(), Asked(widths=(1.3, 2.1)))
    for choice, aspect in zip(wide, (1.3, 2.1), strict=True):
        assert choice.keys["aspect"] == aspect
        assert choice.unit.box.width / choice.unit.box.height == pytest.approx(aspect, abs=0.05)
    # What comes out the same is shown once; of very many, the first.
    assert len(choices(job("No."), Asked(lines=(1, 2, 3)))) == 1
    sizes = tuple(7.0 + 0.5 * step for step in range(30))
    assert len(choices(job(), Asked(sizes=sizes))) == CHOICES_MOST


@pytest.mark.parametrize(
    "asked",
    [Asked(), Asked(lines=(2, 3, 5), sizes=(7.0, 9.0)), Asked(widths=(1.2, 2.2), kinds=("open",))],
    ids=str,
)
def test_the_keys_of_a_choice_give_the_same_unit_again(asked: Asked, job: Jobs) -> None:
    for keys in (
        {},
        {"lines": 3},
        {"breaks": ("But not forever! Um,", "are you okay with that plan?")},
    ):
        planned = job(**keys)
        for choice in choices(planned, asked):
            assert again(planned, choice) == choice.unit, choice.keys


def test_the_share_of_the_panel(job: Jobs) -> None:
    planned = job()
    for choice in choices(planned, Asked(sizes=(7.0, 9.0, 14.0))):
        box = choice.unit.box
        assert planned.panel is not None
        panel = planned.panel.box
        assert 0.6 < choice.share * panel.area / (box.width * box.height) < 1
    nowhere = replace(planned, panel=None, plan=replace(planned.plan, panels=()))
    assert {choice.share for choice in choices(nowhere, Asked())} == {0.0}


# --- Bends ------------------------------------------------------------------------------------


def bends(found: list[Choice]) -> list[tuple[str, ...]]:
    return [choice.bends for choice in found]


def test_a_plain_setting_bends_nothing(job: Jobs) -> None:
    assert bends(choices(job(), Asked()))[0] == ()
    # One word, and a very long one, may be flatter than others.
    assert bends(choices(job("Hello?"), Asked()))[0] == ()
    assert bends(choices(job(LONG), Asked()))[0] == ()
    assert choices(job(LONG), Asked())[0].unit.shape is not None


@pytest.mark.parametrize(
    ("words", "keys", "told"),
    [
        (WORDS, {"size": 5.0}, ("smaller than 6 pt",)),
        ("Hello? Hello?", {"aspect": 0.9}, ("taller than balloons are",)),
        (WORDS, {"aspect": 3.0}, ("wider than balloons are",)),
        (LONG, {"aspect": craft.ASPECT_LONG_WORD + 0.1}, ("wider than balloons are",)),
        ("Hello?", {"aspect": craft.ASPECT_ONE_WORD + 0.1}, ("wider than balloons are",)),
        (
            "We do",
            {"aspect": craft.ASPECT_ONE_WORD - 0.1, "lines": 1},
            ("wider than balloons are",),
        ),
        ("Is it so", {"breaks": ("Is", "it so")}, ("a short word alone on its line",)),
        (
            "Somebody has painted it shut again tonight",
            {"breaks": ("Somebody has painted", "it shut", "again tonight")},
            ("the lines make an hourglass",),
        ),
        (
            "Nobody goes down to the old pier",
            {"breaks": ("Nobody goes down", "to the old", "pier")},
            ("the lines make a staircase",),
        ),
        (WORDS, {"spot": Fill(Box(100, 100, 130, 115))}, ("larger than its box",)),
        (
            WORDS,
            {"spot": Center(Point(10, 150))},
            ("words outside the live area", "over the panel's border"),
        ),
        (WORDS, {"spot": Center(Point(60, 150))}, ("over the panel's border",)),
    ],
)
def test_what_a_setting_bends(
    words: str, keys: dict[str, object], told: tuple[str, ...], job: Jobs
) -> None:
    found = choices(job(words, **keys), Asked())[0].bends
    assert set(told) <= set(found), found
    wrong = {"hourglass", "staircase"} & {word for line in told for word in line.split()}
    assert wrong or set(found) == set(told), found


def test_a_zone_to_keep_clear(job: Jobs) -> None:
    face, lamp = Box(195, 140, 215, 160), Box(300, 300, 320, 320)
    zones = (Zone("Ada's face", rectangle(face), face), Zone("the lamp", rectangle(lamp), lamp))
    assert bends(choices(job(zones=zones), Asked()))[0] == ("covers Ada's face",)
    # A box that meets the balloon's box only beside the oval's curve is not covered.
    unit = choices(job(), Asked())[0].unit
    corner = Box(unit.box.left, unit.box.top, unit.box.left + 1, unit.box.top + 1)
    beside = (Zone("a star", rectangle(corner), corner),)
    assert bends(choices(job(zones=beside), Asked()))[0] == ()


# --- Kept breaks ------------------------------------------------------------------------------


def test_kept_breaks_are_honoured(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    kept = ("But", "not forever! Um, are you", "okay with that plan?")
    page = lettered([unit(1, WORDS)], layout([Placement("1.1.1", SPOT, breaks=kept, tails=())]))
    assert page.units[0].breaks == ("BUT", "NOT FOREVER! UM, ARE YOU", "OKAY WITH THAT PLAN?")
    assert page.findings == ()


def test_breaks_of_words_that_changed_are_told_and_broken_anew(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    kept = ("But not ever! Um, are you", "okay with that plan?")
    page = lettered([unit(1, WORDS)], layout([Placement("1.1.1", SPOT, breaks=kept, tails=())]))
    free = lettered([unit(1, WORDS)], layout([Placement("1.1.1", SPOT, tails=())]))
    assert page.units == free.units
    (finding,) = page.findings
    assert (finding.severity, finding.kind) == (Severity.WARNING, "breaks gone")
    assert str(finding) == (
        "unit 1.1.1: its words are no longer those of its planned lines, so they are broken anew. "
        'Take "breaks" out of its placement, or write the new lines there.'
    )
