"""Balloons and captions cut flat on a panel's border or run off the page: by geometry (shapely)."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest
import shapely

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, polygon, rectangle
from letterer.ink.outline import oval_outline
from letterer.model.plan import Center, Corner, CornerName, Edge, Layout, Placement, SideName
from letterer.model.script import CaptionKind, Role, Unit
from letterer.page.lettered import LetteredPage, PlacedUnit
from letterer.text.faces import Cut, FaceLibrary

Layouts = Callable[..., Layout]
Lettered = Callable[[Sequence[Unit], Layout], LetteredPage]
Units = Callable[..., Unit]

HAND = craft.HAND_AMPLITUDE_POINTS
WORDS = "I have never been so far from home before, and it shows."
PANEL = Box(30, 40, 430, 400)
BLEEDING = Box(-9, -9, 486, 747)
SLANTED = (Point(80, 40), Point(430, 40), Point(380, 400), Point(30, 400))
INWARD = {"top": (0, 1), "bottom": (0, -1), "left": (1, 0), "right": (-1, 0)}
SIDES: tuple[SideName, ...] = ("top", "right", "bottom", "left")


@pytest.fixture
def one(unit: Units, layout: Layouts, lettered: Lettered) -> Callable[..., LetteredPage]:
    """A function: a page with one unit so placed, in a panel of a shape."""

    def make(
        placement: Placement, shape: Path | None = None, caption: bool = False
    ) -> LetteredPage:
        kind = CaptionKind.NARRATION if caption else None
        role = Role.CAPTION if caption else Role.SPEECH
        mouths = {"Ada": Point(230, 230)}
        return lettered(
            [unit(1, WORDS, role=role, caption=kind)], layout([placement], shape, mouths)
        )

    return make


def area_of(path: Path | None) -> shapely.Polygon:
    assert path is not None
    rings = list(path.contours())
    assert len(rings) == 1
    shape = shapely.Polygon(rings[0].flattened(2e-3)[0])
    assert shape.is_valid
    return shape


def oval_of(unit: PlacedUnit, grown: float) -> shapely.Geometry:
    """The balloon's oval, uncut, grown by so much."""
    assert isinstance(unit.shape, Oval)
    return area_of(oval_outline(unit.shape)).buffer(grown)


def ink_of(unit: PlacedUnit) -> shapely.Geometry:
    points = [point for line in unit.lines for ring in line.flattened(0.01) for point in ring]
    return shapely.MultiPoint(points)


def flat(unit: PlacedUnit, line: shapely.LineString) -> float:
    """How much of an outline runs along a line, within a millionth of a point."""
    assert unit.outline is not None
    total, here = 0.0, unit.outline.segments[0].points[0]
    for verb, points in unit.outline.segments[1:]:
        end = points[-1] if points else unit.outline.segments[0].points[0]
        near = max(line.distance(shapely.Point(place)) for place in (here, end))
        if verb in ("L", "Z") and near < 1e-6:
            total += here.distance(end)
        here = end
    return total


def border(side: SideName, box: Box = PANEL) -> shapely.LineString:
    ends = {
        "top": ((box.left, box.top), (box.right, box.top)),
        "bottom": ((box.left, box.bottom), (box.right, box.bottom)),
        "left": ((box.left, box.top), (box.left, box.bottom)),
        "right": ((box.right, box.top), (box.right, box.bottom)),
    }[side]
    return shapely.LineString(ends)


def wanted_air(unit: PlacedUnit, style_air: float = 0.75, weight: float = 0.9) -> float:
    cap = FaceLibrary().face("Letterer Hand", Cut(False, False)).cap_height
    return style_air * cap * unit.size + weight / 2


@pytest.mark.parametrize("side", SIDES)
def test_a_flush_balloon_is_cut_on_its_panels_border(
    side: SideName, one: Callable[..., LetteredPage]
) -> None:
    page = one(Placement("1.1.1", Edge(side, gap=0.0)))
    unit = page.units[0]
    shape, line = area_of(unit.outline), border(side)
    assert shapely.box(*PANEL).buffer(1e-6).contains(shape)
    least, usual, most = (
        line.intersection(oval_of(unit, hand)).length for hand in (-HAND, 0, HAND)
    )
    assert 0 < least <= flat(unit, line) <= most
    assert usual > 0.15 * unit.box.height, "flat enough to be seen"
    assert line.distance(ink_of(unit)) == pytest.approx(wanted_air(unit), abs=0.01)
    assert shape.exterior.distance(ink_of(unit)) >= wanted_air(unit) - 0.01
    assert not page.findings


@pytest.mark.parametrize("where", ["top left", "top right", "bottom left", "bottom right"])
def test_in_a_corner_it_is_cut_on_two_sides(
    where: CornerName, one: Callable[..., LetteredPage]
) -> None:
    unit = one(Placement("1.1.1", Corner(where, gap=0.0))).units[0]
    for side in where.split():
        assert side in SIDES
        line = border(side)
        assert flat(unit, line) > 5
        assert line.distance(ink_of(unit)) >= wanted_air(unit) - 0.01
    area_of(unit.outline)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("caption", [False, True])
def test_a_slanted_border_is_shared_too(
    side: SideName, caption: bool, one: Callable[..., LetteredPage]
) -> None:
    placement = Placement("1.1.1", Edge(side, gap=0.0))
    unit = one(placement, polygon(SLANTED), caption).units[0]
    ends = (SLANTED[3], SLANTED[0]) if side == "left" else (SLANTED[1], SLANTED[2])
    line = shapely.LineString(ends)
    assert shapely.Polygon(SLANTED).buffer(1e-6).contains(area_of(unit.outline))
    assert flat(unit, line) > 12
    if not caption:
        assert line.distance(ink_of(unit)) == pytest.approx(wanted_air(unit), abs=0.01)


@pytest.mark.parametrize("where", ["top left", "bottom right"])
def test_a_flush_caption_shares_two_lines_exactly(
    where: CornerName, one: Callable[..., LetteredPage]
) -> None:
    unit = one(Placement("1.1.1", Corner(where, gap=0.0)), caption=True).units[0]
    for side in where.split():
        assert side in SIDES
        full = unit.box.width if side in ("top", "bottom") else unit.box.height
        assert flat(unit, border(side)) == pytest.approx(full, abs=0.7)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("caption", [False, True])
def test_in_a_bleeding_panel_it_runs_off_the_page(
    side: SideName,
    caption: bool,
    one: Callable[..., LetteredPage],
    layout: Layouts,
) -> None:
    placement = Placement("1.1.1", Edge(side, gap=0.0))
    unit = one(placement, rectangle(BLEEDING), caption).units[0]
    assert flat(unit, border(side, BLEEDING)) > 15
    live = layout().format.live
    assert live.grown(1e-6).contains(unit.ink)
    assert area_of(unit.outline).contains(ink_of(unit))


def test_sides_to_cut_can_be_named(one: Callable[..., LetteredPage]) -> None:
    over = Center(Point(60, 230))
    free = one(Placement("1.1.1", over)).units[0]
    assert free.box.left < PANEL.left
    cut = one(Placement("1.1.1", over, cut=("left",))).units[0]
    assert cut.box.left == PANEL.left
    assert flat(cut, border("left")) > 15
    assert cut.center.x > 60, "the words came too near, so the balloon moved"
    away = one(Placement("1.1.1", Center(Point(200, 230)), cut=("left",), tails=()))
    assert [finding.kind for finding in away.findings] == ["not cut"]
    assert away.units[0].center == (200, 230)


def test_flush_without_a_cut(one: Callable[..., LetteredPage]) -> None:
    unit = one(Placement("1.1.1", Edge("top", gap=0.0), cut=())).units[0]
    assert flat(unit, border("top")) == 0


def test_words_without_air_between_two_cuts_are_told(one: Callable[..., LetteredPage]) -> None:
    narrow = rectangle(Box(200, 40, 250, 400))
    placement = Placement("1.1.1", Center(Point(225, 200)), cut=("left", "right"), lines=2)
    page = one(placement, narrow)
    assert "little air" in [finding.kind for finding in page.findings]


def test_kinds_with_spikes_are_cut_after_they_are_drawn(one: Callable[..., LetteredPage]) -> None:
    for kind in ("shout", "thought", "broadcast", "weak", "whisper"):
        placement = Placement("1.1.1", Edge("top", gap=0.0), kind=kind)
        unit = one(placement).units[0]
        assert flat(unit, border("top")) > 10, kind
        assert area_of(unit.outline).contains(ink_of(unit))


@pytest.mark.parametrize("apart", [-1.2, 0.0, 1.2])
@pytest.mark.parametrize("beside", [False, True])
def test_captions_that_touch_share_one_line(
    apart: float, beside: bool, unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    captions = [
        unit(number, "Nobody came.", role=Role.CAPTION, caption=CaptionKind.NARRATION)
        for number in (1, 2)
    ]

    def page(x: float, y: float) -> LetteredPage:
        spots = (Center(Point(200, 150)), Center(Point(200 + x, 150 + y)))
        return lettered(
            captions, layout([Placement(f"1.1.{n}", spot) for n, spot in enumerate(spots, 1)])
        )

    alone = page(150, 0).units[0]
    assert isinstance(alone.shape, Box)
    width, height = alone.shape.width, alone.shape.height
    made = page(width + apart, 3) if beside else page(10, height + apart)
    first, second = made.units
    assert isinstance(first.shape, Box)
    assert isinstance(second.shape, Box)
    wide = shapely.LineString(
        [(first.shape.right, 0), (first.shape.right, 400)]
        if beside
        else [(0, first.shape.bottom), (477, first.shape.bottom)]
    )
    for one in (first, second):
        full = one.shape.height if beside else one.shape.width  # type: ignore[union-attr]
        assert flat(one, wide) == pytest.approx(full, abs=0.7)
    shapes = [area_of(one.outline) for one in (first, second)]
    assert shapely.area(shapes[0] & shapes[1]) < 1e-6
    far = page(width + 8, 3) if beside else page(10, height + 8)
    assert all(flat(one, wide) == 0 for one in far.units)
