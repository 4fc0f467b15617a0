"""Who is joined with whom, what is drawn then, and what is told."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path as FilePath

import pytest
import shapely

from letterer import craft
from letterer.api import compose, read_layout, read_script
from letterer.geometry import Path, Point
from letterer.model.plan import Center, Layout, Placement
from letterer.model.script import CaptionKind, Manner, Role, Unit
from letterer.out.svg import svg_page
from letterer.page.lettered import LetteredPage, PlacedUnit

Layouts = Callable[..., Layout]
Lettered = Callable[[Sequence[Unit], Layout], LetteredPage]
Units = Callable[..., Unit]
Pages = Callable[..., LetteredPage]

SHORT, LONG = "So that was the plan.", "It was not a good plan, and I said so at the time."
MOUTH = Point(180, 260)


@pytest.fixture
def page(unit: Units, layout: Layouts, lettered: Lettered) -> Pages:
    """A function: a page of speeches at places, each (words, x, y) with its placement's keys."""

    def make(
        *speeches: tuple[str, float, float, Mapping[str, object]], **keys: object
    ) -> LetteredPage:
        units, placements = [], []
        mouths = {"Ada": MOUTH, "Bo": Point(330, 190)}
        for number, (words, x, y, own) in enumerate(speeches, 1):
            told = dict(own)
            made = unit(number, words, manners=told.pop("manners", ()))
            units.append(replace(made, speaker=str(told.pop("speaker", "Ada"))))
            spot = Center(Point(x, y))
            placements.append(replace(Placement(f"1.1.{number}", spot), **told))  # type: ignore[arg-type]
        return lettered(units, layout(placements, mouths=mouths, **keys))

    return make


def area_of(path: Path | None) -> shapely.Polygon:
    assert path is not None
    rings = list(path.contours())
    assert len(rings) == 1
    shape = shapely.Polygon(rings[0].flattened(2e-3)[0])
    assert shape.is_valid
    return shape


def chains(page: LetteredPage) -> list[tuple[str, ...]]:
    return list(dict.fromkeys(unit.joined for unit in page.units if unit.joined))


def kinds(page: LetteredPage) -> list[tuple[str, str]]:
    found = [(finding.unit, finding.kind) for finding in page.findings]
    return [one for one in found if one[1] != "long tail"]


def check_chain(units: Sequence[PlacedUnit]) -> None:
    """One contour with all words and their own borders in it; only the first unit draws it."""
    first, *others = units
    shape = area_of(first.outline)
    for unit in units:
        assert unit.joined == tuple(one.id for one in units)
        assert unit.halo is None
        assert shape.buffer(0.02).contains(area_of(unit.own))
        for line in unit.lines:
            ink = shapely.MultiPoint([point for ring in line.flattened(0.1) for point in ring])
            assert area_of(unit.own).contains(ink)
        assert unit.own is not None
        own = unit.own.box()
        assert own is not None
        assert unit.box.contains(own, 1e-6)
    for unit in others:
        assert unit.outline is None
        assert {layer.part for layer in unit.layers()} == {"line"}


def test_overlapping_balloons_are_one_contour(page: Pages) -> None:
    made = page((SHORT, 120, 90, {}), (LONG, 150, 121, {}))
    check_chain(made.units)
    assert [len(unit.tails) for unit in made.units] == [0, 1]
    assert not kinds(made)


def test_near_ones_are_tied_and_far_ones_left_apart(page: Pages) -> None:
    near = page((SHORT, 120, 80, {}), (LONG, 160, 130, {}))
    check_chain(near.units)
    far = page((SHORT, 120, 80, {}), (LONG, 160, 170, {}))
    assert chains(far) == []
    gap = area_of(far.units[0].own).distance(area_of(far.units[1].own))
    assert gap > craft.JOIN_NEAR_CAPS * craft.CAP_EM * far.units[0].size
    asked = page((SHORT, 120, 80, {}), (LONG, 160, 170, {"joined": "link"}))
    check_chain(asked.units)


@pytest.mark.parametrize(
    "keys", [{"speaker": "Bo"}, {"kind": "whisper"}, {"joined": False}, {"kind": "open"}]
)
def test_what_is_not_of_one_voice_is_not_joined(keys: Mapping[str, object], page: Pages) -> None:
    made = page((SHORT, 120, 80, {}), (LONG, 160, 130, keys))
    assert chains(made) == []
    assert all(bool(unit.own) == bool(unit.outline) for unit in made.units)


@pytest.mark.parametrize("kind", ["whisper", "weak"])
def test_smooth_kinds_are_joined_too(kind: str, page: Pages) -> None:
    made = page((SHORT, 120, 90, {"kind": kind}), (LONG, 155, 118, {"kind": kind}))
    check_chain(made.units)
    first = made.units[0]
    assert first.stroke is not None
    assert bool(first.stroke.dash) == (kind == "whisper")


def test_shouts_are_joined_when_the_plan_asks(page: Pages) -> None:
    shout = {"kind": "shout"}
    loud, louder = ("No!", 150, 90, shout), ("Never!", 165, 110, shout)
    assert chains(page(loud, louder)) == []
    asked = page(loud, (*louder[:3], {**shout, "joined": "overlap"}))
    assert chains(asked) == [("1.1.1", "1.1.2")]
    assert asked.units[1].outline is None
    shape = area_of(asked.units[0].outline)
    for unit in asked.units:
        # Where the tail leaves, it takes the place of a spike.
        assert shapely.area(area_of(unit.own) - shape) < 0.05 * area_of(unit.own).area


def test_another_voice_between_keeps_near_ones_apart(page: Pages) -> None:
    between = ("Hm?", 330, 80, {"speaker": "Bo"})
    near = page((SHORT, 120, 80, {}), between, (LONG, 160, 130, {}))
    assert chains(near) == []
    tied = page((SHORT, 120, 80, {}), between, (LONG, 160, 130, {"joined": True}))
    assert chains(tied) == [("1.1.1", "1.1.3")]
    assert [unit.id for unit in tied.units] == ["1.1.1", "1.1.2", "1.1.3"]
    over = page((SHORT, 120, 90, {}), between, (LONG, 150, 121, {}))
    assert chains(over) == [("1.1.1", "1.1.3")]


def test_a_neck_does_not_run_through_others(page: Pages) -> None:
    made = page((SHORT, 110, 100, {}), (SHORT, 170, 100, {}), ("Hm?", 140, 100, {"speaker": "Bo"}))
    assert chains(made) == []
    free = page((SHORT, 110, 100, {}), (SHORT, 170, 100, {}))
    assert chains(free) == [("1.1.1", "1.1.2")]


def test_long_chains_and_loops(page: Pages) -> None:
    words = "Around and around we go."
    spots = [(120, 90), (175, 78), (230, 95), (225, 130), (165, 146), (115, 130)]
    for count in (3, 4, 6):
        made = page(*((words, x, y, {}) for x, y in spots[:count]))
        assert len(chains(made)) == 1
        check_chain(made.units)
        assert sum(len(unit.tails) for unit in made.units) == 1


def test_a_balloon_that_overlaps_two_chains_makes_them_one(page: Pages) -> None:
    made = page((SHORT, 110, 90, {}), (SHORT, 200, 90, {}), (LONG, 155, 115, {}))
    assert chains(made) == [("1.1.1", "1.1.2", "1.1.3")]
    check_chain(made.units)
    assert chains(page((SHORT, 110, 90, {}), (SHORT, 200, 90, {}))) == []
    kept = page((SHORT, 110, 90, {}), (SHORT, 200, 90, {"joined": False}), (LONG, 155, 115, {}))
    assert len(chains(kept)[0]) == 2


def test_one_tail_from_the_balloon_nearest_to_the_mouth(page: Pages) -> None:
    made = page((LONG, 170, 180, {}), (SHORT, 230, 140, {}))
    assert chains(made)
    assert [len(unit.tails) for unit in made.units] == [1, 0]
    assert area_of(made.units[0].outline).distance(shapely.Point(made.units[0].tails[0].tip)) < 0.01


def test_tails_that_the_plan_asks_for_take_the_place_of_that_one(page: Pages) -> None:
    aim = Point(60, 250)
    made = page((SHORT, 120, 90, {"tails": (aim,)}), (LONG, 150, 121, {}))
    assert [[tail.mouth for tail in unit.tails] for unit in made.units] == [[aim], []]
    two = page((SHORT, 120, 90, {"tails": (aim,)}), (LONG, 150, 121, {"tails": ("Ada",)}))
    assert [[tail.mouth for tail in unit.tails] for unit in two.units] == [[aim], [MOUTH]]
    check_chain(two.units)
    none = page((SHORT, 120, 90, {"tails": ()}), (LONG, 150, 121, {"tails": ()}))
    assert not any(unit.tails for unit in none.units)


def test_joins_that_cannot_be_made_are_told(page: Pages) -> None:
    alone = page((SHORT, 120, 90, {"joined": True}))
    assert kinds(alone) == [("1.1.1", "not joined")]
    assert "Ada has no speech before it in this panel" in str(alone.findings[0])
    far = page((SHORT, 120, 80, {}), (LONG, 160, 170, {"joined": "overlap"}))
    assert ("1.1.2", "not joined") in kinds(far)
    assert re.search(r"stand \d+\.\d mm apart", str(far.findings[0]))
    wide = page((SHORT, 120, 90, {}), (LONG, 150, 121, {"joined": "link"}))
    assert kinds(wide) == [("1.1.2", "no neck")]
    check_chain(wide.units)


def test_only_balloons_are_joined(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    captions = [
        unit(number, SHORT, role=Role.CAPTION, caption=CaptionKind.NARRATION) for number in (1, 2)
    ]
    plan = layout(
        [
            Placement("1.1.1", Center(Point(120, 90))),
            Placement("1.1.2", Center(Point(140, 100)), joined=True),
        ]
    )
    made = lettered(captions, plan)
    assert chains(made) == []
    assert ("1.1.2", "not joined") in kinds(made)


def test_covered_words_are_told(page: Pages) -> None:
    other = {"speaker": "Bo", "tails": ()}
    made = page((LONG, 150, 100, {}), (LONG, 170, 115, other))
    assert ("1.1.1", "words covered") in kinds(made)
    beside = page((LONG, 110, 100, {}), (LONG, 300, 100, other))
    assert not any(kind == "words covered" for _, kind in kinds(beside))
    mixed = page((LONG, 150, 100, {}), (LONG, 160, 110, {}))
    assert ("1.1.1", "words covered") in kinds(mixed)


def test_the_svg_has_one_outline_for_all_and_a_group_for_each(page: Pages) -> None:
    made = page((SHORT, 120, 90, {}), ("Hm?", 330, 80, {"speaker": "Bo"}), (LONG, 150, 121, {}))
    text = svg_page(made)
    groups = re.findall(r'<g id="u(.*?)" class="unit.*?</g>\s*</g>', text, re.S)
    assert groups == ["1.1.1", "1.1.2", "1.1.3"]
    bodies = re.findall(r'<g id="u.*?</g>\s*</g>', text, re.S)
    assert [body.count('class="outline"') for body in bodies] == [1, 1, 0]
    assert all('class="line"' in body for body in bodies)
    assert "halo" not in text


def test_a_moved_page_moves_the_borders_too(page: Pages) -> None:
    unit = page((SHORT, 120, 90, {}), (LONG, 150, 121, {})).units[1]
    moved = unit.shifted(10, -5)
    assert unit.own is not None
    assert moved.own == unit.own.shifted(10, -5)


def test_the_demo_joins_two_balloons_of_tobit(repository: FilePath) -> None:
    demo = repository / "shared/demo"
    script, plan = read_script(demo / "script.txt"), read_layout(demo / "layout.json")
    pages = compose(script, plan, pages=[2]).pages
    assert [chains(page) for page in pages] == [[("2.1.1", "2.1.2")]]
    check_chain([unit for unit in pages[0].units if unit.joined])


def test_off_panel_voices_are_joined(page: Pages) -> None:
    off = {"manners": (Manner.OFF,), "speaker": "Cy"}
    made = page((SHORT, 120, 90, off), (LONG, 150, 121, off))
    assert len(chains(made)) == 1
    assert sum(len(unit.tails) for unit in made.units) <= 1
