"""Tails on a page: round what is in the way, into the panel's edge, in the shape of their kind."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, polygon, rectangle
from letterer.model.plan import Center, Layout, Placement, TailPlan, Zone
from letterer.model.script import Manner, Page, Panel, Role, Run, Unit
from letterer.page.compose import compose_page
from letterer.page.lettered import LetteredPage, PlacedUnit, Severity
from letterer.text.faces import FaceLibrary

Layouts = Callable[..., Layout]
Lettered = Callable[[Sequence[Unit], Layout], LetteredPage]

CAP = 0.7 * craft.SIZE_USUAL
PANEL = Box(30, 40, 430, 400)
WORDS = "Wait for me, will you?"


def says(
    number: int, speaker: str = "Ada", words: str = WORDS, manner: Manner | None = None
) -> Unit:
    manners = () if manner is None else (manner,)
    return Unit(1, 1, number, Role.SPEECH, (Run(words),), speaker, manners)


def at(number: int, x: float, y: float, **keys: object) -> Placement:
    return Placement(f"1.1.{number}", Center(Point(x, y)), **keys)  # type: ignore[arg-type]


def with_zones(layout: Layout, **zones: Box) -> Layout:
    plan = layout.pages[0]
    found = tuple(Zone(name.replace("_", " "), rectangle(box), box) for name, box in zones.items())
    return replace(layout, pages=(replace(plan, keep_clear=found),))


def area(path: Path) -> shapely.Polygon:
    return shapely.Polygon(path.flattened(0.01)[0])


def tail_of(unit: PlacedUnit) -> BaseGeometry:
    """What of a unit's outline lies outside its oval: the tail."""
    assert unit.outline is not None and isinstance(unit.shape, Oval)
    grown = shapely.Polygon(
        [
            (unit.shape.center.x + x, unit.shape.center.y + y)
            for x, y in _rim(unit.shape.a + 0.4, unit.shape.b + 0.4, unit.shape.n)
        ]
    )
    return area(unit.outline).difference(grown)


def _rim(a: float, b: float, n: float) -> list[tuple[float, float]]:
    found = []
    for step in range(240):
        angle = 2 * math.pi * step / 240
        c, s = math.cos(angle), math.sin(angle)
        found.append(
            (a * math.copysign(abs(c) ** (2 / n), c), b * math.copysign(abs(s) ** (2 / n), s))
        )
    return found


def told(page: LetteredPage, *kinds: str) -> list[str]:
    return [str(finding) for finding in page.findings if finding.kind in kinds]


CROSSING = ("tail over words", "tails cross", "tail over face", "tail by mouth")


def test_it_is_led_round_the_words_of_another_balloon(layout: Layouts, lettered: Lettered) -> None:
    mouths = {"Ada": Point(330, 300), "Bo": Point(250, 330)}
    plan = layout([at(1, 110, 90), at(2, 205, 185)], mouths=mouths)
    alone = lettered([says(1)], layout([at(1, 110, 90)], mouths=mouths)).units[0]
    page = lettered([says(1), says(2, "Bo")], plan)
    first, second = page.units
    assert isinstance(second.shape, Oval)
    words = shapely.box(*second.ink)
    straight = shapely.LineString(alone.tails[0].line)
    assert straight.intersects(shapely.box(*second.shape.box)), "by itself it would run over it"
    assert tail_of(first).distance(words) > 0.3 * CAP
    assert not area(first.outline).intersects(area(second.outline))  # type: ignore[arg-type]
    assert told(page, *CROSSING) == []


def test_two_tails_that_would_cross_do_not(layout: Layouts, lettered: Lettered) -> None:
    # Each speaks to the other side: their straight ways meet in the middle.
    mouths = {"Ada": Point(280, 230), "Bo": Point(180, 230)}
    plan = layout([at(1, 130, 90), at(2, 330, 90)], mouths=mouths)
    page = lettered([says(1), says(2, "Bo")], plan)
    first, second = page.units
    crossed = shapely.LineString([first.center, mouths["Ada"]]).intersects(
        shapely.LineString([second.center, mouths["Bo"]])
    )
    assert crossed
    assert not tail_of(first).intersects(tail_of(second))
    assert told(page, "tails cross") == []


def test_it_goes_round_a_zone_to_keep_clear(layout: Layouts, lettered: Lettered) -> None:
    mouth = Point(200, 300)
    plan = layout([at(1, 200, 90)], mouths={"Ada": mouth})
    bare = lettered([says(1)], plan).units[0]
    middle = bare.tails[0].course[10]
    hand = Box(middle.x - 9, middle.y - 8, middle.x + 9, middle.y + 8)
    page = lettered([says(1)], with_zones(plan, a_hand=hand))
    assert tail_of(bare).intersects(shapely.box(*hand))
    assert not tail_of(page.units[0]).intersects(shapely.box(*hand))
    assert told(page, *CROSSING) == []


def test_where_it_cannot_be_led_round_a_finding_says_what_it_runs_over(
    layout: Layouts, lettered: Lettered
) -> None:
    plan = layout([at(1, 200, 90)], mouths={"Ada": Point(200, 300)})
    wall = with_zones(plan, the_long_table=Box(31, 150, 429, 170))
    page = lettered([says(1)], wall)
    assert told(page, "tail over face") == [
        "unit 1.1.1: its tail runs over the long table. Move the balloon, or lead the tail round:"
        ' "tails": [{"to": ..., "via": [x, y]}].'
    ]
    (finding,) = [found for found in page.findings if found.kind == "tail over face"]
    assert finding.severity is Severity.WARNING
    assert page.units[0].tails


def test_the_tip_keeps_clear_of_its_speakers_face(layout: Layouts, lettered: Lettered) -> None:
    mouth = Point(200, 260)
    plan = layout([at(1, 200, 90)], mouths={"Ada": mouth})
    face = Box(160, 190, 240, 290)
    usual = lettered([says(1)], plan).units[0].tails[0]
    page = lettered([says(1)], with_zones(plan, her_face=face))
    tail = page.units[0].tails[0]
    off = shapely.box(*face).distance(shapely.Point(tail.tip))
    assert shapely.box(*face).distance(shapely.Point(usual.tip)) < 10 < off
    assert told(page, *CROSSING) == [], "its own face is no obstacle"


def test_it_does_not_run_by_the_mouth_of_another(layout: Layouts, lettered: Lettered) -> None:
    mouths = {"Ada": Point(200, 330), "Bo": Point(203, 170)}
    plan = layout([at(1, 200, 90)], mouths=mouths)
    page = lettered([says(1)], plan)
    tail = page.units[0].tails[0]
    near = shapely.LineString(tail.line[1:]).distance(shapely.Point(mouths["Bo"]))
    assert near > craft.TAIL_MOUTH_CAPS * CAP * 0.9
    assert told(page, *CROSSING) == []


def test_an_off_panel_voice_comes_from_the_nearer_side(layout: Layouts, lettered: Lettered) -> None:
    for x, edge in ((110, PANEL.left), (350, PANEL.right)):
        page = lettered([says(1, manner=Manner.OFF)], layout([at(1, x, 100)]))
        (tail,) = page.units[0].tails
        assert tail.tip == tail.mouth and tail.tip.x == pytest.approx(edge)
        assert tail.tip.y > page.units[0].center.y, "speakers stand lower than their words"
        assert PANEL.grown(0.01).holds(tail.tip) and page.findings == ()
        assert isinstance(page.units[0].shape, Oval)
        start = page.units[0].shape.box
        assert min(abs(tail.tip.x - start.left), abs(tail.tip.x - start.right)) > 2 * CAP


def test_an_off_panel_voice_in_a_slanted_panel_and_beside_one_who_is_seen(
    layout: Layouts, lettered: Lettered
) -> None:
    shape = polygon([Point(30, 40), Point(430, 40), Point(330, 400), Point(30, 400)])
    page = lettered([says(1, manner=Manner.OFF)], layout([at(1, 300, 100)], shape=shape))
    (tail,) = page.units[0].tails
    border = shapely.LineString([(430, 40), (330, 400)])
    assert border.distance(shapely.Point(tail.tip)) < 0.01
    # Bo is seen at the right, so that a tail to the right would seem to be his.
    plan = layout([at(1, 245, 100)], mouths={"Bo": Point(380, 160)})
    page = lettered([says(1, manner=Manner.OFF)], plan)
    assert page.units[0].tails[0].tip.x == pytest.approx(PANEL.left)


def test_an_off_panel_voice_runs_up_to_a_point_given_at_the_edge(
    layout: Layouts, lettered: Lettered
) -> None:
    for given, tip in (
        (Point(427, 130), Point(427, 130)),
        (Point(230, 200), None),
    ):
        plan = layout([at(1, 330, 100, tails=(given,))])
        (tail,) = lettered([says(1, manner=Manner.OFF)], plan).units[0].tails
        assert (tail.tip == tip) is (tip is not None)
    # A point beyond the border is aimed at, and the tail ends at the border.
    plan = layout([at(1, 330, 100, tails=(Point(470, 150),))])
    (tail,) = lettered([says(1, manner=Manner.OFF)], plan).units[0].tails
    assert tail.tip.x == pytest.approx(PANEL.right)
    # The same point for one who is in the panel is a mouth like any other.
    (tail,) = (
        lettered([says(1)], layout([at(1, 330, 100, tails=(Point(427, 130),))])).units[0].tails
    )
    assert tail.tip != tail.mouth


@pytest.mark.parametrize(
    ("kind", "shape"),
    [
        ("speech", "curved"),
        ("whisper", "curved"),
        ("weak", "wavering"),
        ("broadcast", "lightning"),
        ("thought", "bubbles"),
        ("shout", "curved"),
    ],
)
def test_each_kind_has_its_tail(kind: str, shape: str, layout: Layouts, lettered: Lettered) -> None:
    plan = layout([at(1, 200, 100, kind=kind)], mouths={"Ada": Point(230, 220)})
    page = lettered([says(1)], plan)
    (unit,) = page.units
    (tail,) = unit.tails
    assert tail.mouth == Point(230, 220) and page.findings == ()
    if kind != "shout":  # whose spike the border draws itself
        assert tail.shape == shape
    trails = [layer for layer in unit.extras if layer.part == "trail"]
    assert len(trails) == (kind == "thought")
    for trail in trails:
        assert trail.fill == unit.fill and trail.stroke is not None and unit.stroke is not None
        assert (trail.stroke.width, trail.stroke.color) == unit.stroke[:2]
        assert unit.box.contains(trail.path.box() or PANEL, slack=0.01)


@pytest.mark.parametrize("shape", ["straight", "curved", "wavering", "lightning", "bubbles"])
def test_the_plan_gives_a_tail_its_shape(shape: str, layout: Layouts, lettered: Lettered) -> None:
    for kind in ("speech", "thought", "broadcast", "shout", "caption narration"):
        tails = (TailPlan("ada", shape=shape),)  # type: ignore[arg-type]
        plan = layout([at(1, 200, 100, kind=kind, tails=tails)], mouths={"Ada": Point(230, 250)})
        page = lettered([says(1)], plan)
        (unit,) = page.units
        assert [tail.shape for tail in unit.tails] == [shape], kind
        assert unit.outline is not None and area(unit.outline).is_valid, kind
        assert any(layer.part == "trail" for layer in unit.extras) is (shape == "bubbles")


def test_a_cloud_bears_a_tail_of_any_shape_in_any_direction(
    layout: Layouts, lettered: Lettered
) -> None:
    """Where its bumps leave no room for a base, the tail comes out from behind them."""
    shapes = ("straight", "curved", "wavering", "lightning")
    for step, words in itertools.product(range(10), ("No.", "I wonder what they know of it.")):
        turn = 2 * math.pi * step / 10 + 0.1
        mouth = Point(200 + 95 * math.cos(turn), 180 + 75 * math.sin(turn))
        tails = (TailPlan("ada", shape=shapes[step % 4]),)  # type: ignore[arg-type]
        placement = replace(at(1, 200, 180, kind="thought"), tails=tails)
        page = lettered([says(1, words=words)], layout([placement], mouths={"Ada": mouth}))
        (unit,) = page.units
        (tail,) = unit.tails
        assert unit.outline is not None
        drawn = area(unit.outline)
        assert drawn.is_valid and drawn.buffer(0.02).covers(shapely.Point(tail.tip)), step
        assert page.findings == ()
        for share in (0.5, 0.75, 0.9):
            place = tail.line[round(share * (len(tail.line) - 1))]
            assert drawn.buffer(0.1).covers(shapely.Point(place)), "the whole tail is drawn"


def test_the_plan_leads_a_tail_through_a_point(layout: Layouts, lettered: Lettered) -> None:
    via = Point(290, 190)
    tails = (TailPlan("Ada", (via,)), Point(120, 240))
    plan = layout([at(1, 200, 100, tails=tails)], mouths={"Ada": Point(230, 300)})
    first, second = lettered([says(1)], plan).units[0].tails
    assert shapely.LineString(first.line).distance(shapely.Point(via)) < 0.3
    assert first.mouth == Point(230, 300) and second.mouth == Point(120, 240)


def test_no_room_for_a_trail_is_told(layout: Layouts, lettered: Lettered) -> None:
    plan = layout([at(1, 200, 100, kind="thought")], mouths={"Ada": Point(200, 127.2)})
    page = lettered([says(1)], plan)
    assert page.units[0].tails == () and page.units[0].extras == ()
    assert told(page, "no tail") == [
        "unit 1.1.1: no tail: the mouth is too near the balloon for one."
        " Move the balloon away from the mouth."
    ]


def test_the_same_page_twice_and_in_whatever_company(
    layout: Layouts, lettered: Lettered, faces: FaceLibrary
) -> None:
    mouths = {"Ada": Point(120, 200), "Bo": Point(330, 330)}
    plan = layout([at(1, 110, 90), at(2, 320, 250)], mouths=mouths)
    page = lettered([says(1), says(2, "Bo")], plan)
    units = (says(1), says(2, "Bo"))
    again = compose_page(Page(1, (Panel(1, units),)), plan, faces)
    assert [unit.outline for unit in page.units] == [unit.outline for unit in again.units]
    # A balloon whose tail has nothing in its way is drawn as it would be alone.
    alone = lettered([says(1)], plan).units[0]
    assert alone.outline == page.units[0].outline


def test_a_zone_under_the_balloon_itself_is_no_fault_of_its_tail(
    layout: Layouts, lettered: Lettered
) -> None:
    plan = layout([at(1, 200, 100)], mouths={"Ada": Point(200, 250)})
    page = lettered([says(1)], with_zones(plan, a_hat=Box(190, 105, 210, 130)))
    assert told(page, *CROSSING) == []
