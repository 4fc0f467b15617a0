"""Every unit of the demo, by geometry: shapely (an outside library) on the outlines as drawn.

The words lie in their outline with their air, tails aim at their mouths and stop short, and nothing
covers a face or leaves the live area. Air, aim and length of tails: craft's values.
"""

from __future__ import annotations

import math
from pathlib import Path as FilePath

import pytest
import shapely

from letterer import craft
from letterer.api import compose, read_layout, read_script
from letterer.fit.oval import Oval
from letterer.geometry import Path
from letterer.ink.borders import border_of
from letterer.model.plan import Layout
from letterer.out.svg import svg_page
from letterer.page.lettered import LetteredPage, PlacedUnit
from letterer.text.faces import Cut, FaceLibrary

SLACK = 0.01
CHORD = 0.002


@pytest.fixture(scope="module")
def layout(repository: FilePath) -> Layout:
    return read_layout(repository / "shared/demo/layout.json")


@pytest.fixture(scope="module")
def pages(repository: FilePath, layout: Layout) -> tuple[LetteredPage, ...]:
    return compose(read_script(repository / "shared/demo/script.txt"), layout).pages


def area_of(path: Path) -> shapely.Polygon:
    rings = list(path.contours())
    assert len(rings) == 1, "one closed contour"
    shape = shapely.Polygon(rings[0].flattened(CHORD)[0])
    assert shape.is_valid, "which does not cross itself"
    return shape


def outlined(pages: tuple[LetteredPage, ...]) -> list[PlacedUnit]:
    found = [unit for page in pages for unit in page.units if unit.outline]
    assert len(found) >= 20
    return found


def test_every_unit_is_lettered(pages: tuple[LetteredPage, ...]) -> None:
    assert [len(page.units) for page in pages] == [9, 8, 11]
    assert all(unit.fits and unit.size == unit.planned_size for unit in outlined(pages))


def test_words_lie_in_their_outline_with_their_air(
    pages: tuple[LetteredPage, ...], layout: Layout
) -> None:
    style = layout.style
    for unit in outlined(pages):
        assert unit.outline is not None
        cut = Cut(unit.kind == "shout", unit.kind == "caption narration")
        cap = FaceLibrary().face(style.text, cut).cap_height * unit.size
        share = style.caption_padding
        if isinstance(unit.shape, Oval):
            share = style.air * border_of(unit.kind).air
        shape = area_of(unit.outline)
        for line in unit.lines:
            ink = shapely.MultiPoint([point for ring in line.flattened(0.05) for point in ring])
            assert shape.contains(ink), unit.id
            air = shape.exterior.distance(ink) - style.border / 2
            assert air >= share * cap - SLACK, f"{unit.id}: {air:.3f} pt"


def test_tails_aim_at_their_mouths_and_stop_short(
    pages: tuple[LetteredPage, ...], layout: Layout
) -> None:
    tailed = [(page, unit) for page in pages for unit in page.units if unit.tails]
    assert len(tailed) >= 15
    for page, unit in tailed:
        plan = layout.page(page.number)
        assert plan is not None
        heart = shapely.Point(unit.center)
        assert isinstance(unit.shape, Oval)
        for tail in unit.tails:
            aim = math.atan2(tail.tip.y - tail.bend.y, tail.tip.x - tail.bend.x)
            wanted = math.atan2(tail.mouth.y - tail.bend.y, tail.mouth.x - tail.bend.x)
            off = abs(math.degrees((aim - wanted + math.pi) % (2 * math.pi) - math.pi))
            assert off <= craft.TAIL_AIM_DEGREES, unit.id
            whole = heart.distance(shapely.Point(tail.mouth))
            dx, dy = tail.mouth.x - heart.x, tail.mouth.y - heart.y
            oval = unit.shape
            border = (abs(dx / oval.a) ** oval.n + abs(dy / oval.b) ** oval.n) ** (-1 / oval.n)
            ended = heart.distance(shapely.Point(tail.tip)) / whole
            share = (ended - border) / (1 - border)
            low, high = craft.TAIL_SHARE_RANGE
            if tail.tip == tail.mouth:
                continue  # an off-panel voice: its tail runs up to the panel's edge
            face = [
                zone
                for zone in plan.keep_clear
                if zone.box.grown(2 * craft.SIZE_USUAL).holds(tail.mouth)
            ]
            if face:
                low = craft.TAIL_SHARE_BEFORE_FACE
            assert low - 0.02 <= share <= high + 0.02, f"{unit.id}: {share:.2f} of the way"
            if share > craft.TAIL_SHARE_BEFORE_FACE + 0.02:
                tip = shapely.Point(tail.tip)
                for zone in face:
                    assert shapely.box(*zone.box).distance(tip) > 2, f"{unit.id}: {zone.name}"


def test_words_stay_live_and_off_the_faces(pages: tuple[LetteredPage, ...], layout: Layout) -> None:
    for page in pages:
        plan = layout.page(page.number)
        assert plan is not None
        for unit in page.units:
            assert layout.format.live.contains(unit.ink), unit.id
            body = unit.shape.box if isinstance(unit.shape, Oval) else unit.box
            for zone in plan.keep_clear:
                covered = shapely.box(*body).intersection(
                    shapely.Polygon(zone.shape.flattened()[0])
                )
                assert covered.area < 0.01 * zone.box.area, f"{unit.id} covers {zone.name}"


def test_the_same_pages_twice(repository: FilePath, pages: tuple[LetteredPage, ...]) -> None:
    script = read_script(repository / "shared/demo/script.txt")
    again = compose(script, read_layout(repository / "shared/demo/layout.json")).pages
    assert [svg_page(page) for page in again] == [svg_page(page) for page in pages]
