"""Sound effects on their page: in their box, on their path, to their corners; layers, findings."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import minimize_scalar
from shapely import Point as Spot
from shapely import Polygon, unary_union
from shapely import box as upright
from shapely.geometry.base import BaseGeometry

from letterer import craft
from letterer.errors import LettererError
from letterer.geometry import Box, Path, Point, bezier_point
from letterer.model.effect_keys import effect_of
from letterer.model.plan import Center, Corner, Edge, Fill, Layout, Measure, Placement
from letterer.model.script import Role, Unit
from letterer.out.svg import svg_page
from letterer.page.effect_looks import look_told, looks_of
from letterer.page.lettered import Layer, LetteredPage, PlacedUnit

Units = Callable[..., Unit]
Layouts = Callable[..., Layout]
Lettered = Callable[..., LetteredPage]
Draw = Callable[..., PlacedUnit]
Keys = dict[str, Any]

BOX = Box(60, 60, 260, 140)
LINES: list[Keys] = [{"weight": 1.5}, {"weight": 2, "color": "paper", "around": "words"}]
LOOKS: dict[str, Keys] = {
    "straight": {},
    "arc": {"arc": 60},
    "bowl": {"arc": -60, "outlines": LINES},
    "rise": {"rise": 15, "letters": "upright"},
    "climb": {"rise": 15},
    "wave": {"wave": 0.3},
    "flag": {"wave": 0.3, "crests": 1.5, "letters": "upright"},
    "turned": {"arc": 90, "letters": "turned", "outlines": [{"weight": 1}]},
    "swelling": {"heights": [1, 1.8, 1], "level": "middles", "outlines": LINES},
    "dwindling": {"heights": [1.6, 0.6], "slant": 10},
    "growing": {"sizes": [0.6, 1.5], "overlap": 0.1, "tilt": 6, "outlines": LINES},
    "apart": {"jump": 0.2, "tilt": 9, "overlap": -0.1, "fill": "#f0c040"},
    "shadow": {"shadow": {"by": [4, 3]}, "outlines": [{"weight": 1.2}]},
    "block": {"shadow": {"by": [-5, 4], "block": True}, "outlines": [{"weight": 1.2}], "rise": 8},
    "mitred": {"outlines": [{"weight": 4, "join": "mitred"}], "overlap": 0.05, "over": "earlier"},
    "halo": {"halo": 5, "arc": 30},
    "stretched": {"stretch": 1.5, "outlines": [{"weight": 1}]},
    "other face": {"face": "Luckiest Guy", "outlines": LINES},
}
PLACED: dict[str, Keys] = {
    "path": {"path": [[60, 120], [110, 20], [190, 200], [260, 90]]},
    "corners": {"corners": [[60, 80], [260, 60], [270, 160], [50, 130]], "outlines": LINES},
}


@pytest.fixture(scope="module")
def page(unit: Units, layout: Layouts, lettered: Lettered) -> Callable[..., LetteredPage]:
    """A function: a page with one sound effect, its `effect` as a layout in points has it."""

    def make(
        effect: Keys | None, words: str = "KRAKOOM", spot: Any = None, **keys: Any
    ) -> LetteredPage:
        value = None if effect is None else effect_of(effect, Measure("pt"))
        placement = Placement("1.1.1", spot or Fill(BOX), tails=(), effect=value, **keys)
        return lettered([unit(1, words, Role.EFFECT)], layout([placement]))

    return make


@pytest.fixture(scope="module")
def draw(page: Callable[..., LetteredPage]) -> Draw:
    """A function: one sound effect on its page, with nothing to be told of it."""

    def make(effect: Keys | None, *given: Any, **keys: Any) -> PlacedUnit:
        made = page(effect, *given, **keys)
        assert made.findings == ()
        return made.units[0]

    return make


def covered(layer: Layer) -> BaseGeometry:
    """What a layer covers, by shapely."""
    shapes = [Polygon(ring).buffer(0) for ring in layer.path.flattened(0.005) if len(ring) > 3]
    whole = unary_union(shapes)
    if layer.stroke is None:
        return whole
    half = layer.stroke.width / 2
    if layer.stroke.mitred:
        return whole.buffer(half, join_style="mitre", mitre_limit=4)
    return whole.buffer(half, quad_segs=64)


def everything(unit: PlacedUnit) -> Box:
    bounds = np.array([covered(layer).bounds for layer in unit.layers()])
    return Box(*map(float, (*bounds[:, :2].min(axis=0), *bounds[:, 2:].max(axis=0))))


# --- Where it stands ------------------------------------------------------------------------------


@pytest.mark.parametrize("look", LOOKS)
def test_all_that_is_drawn_fills_its_box(look: str, draw: Draw) -> None:
    unit = draw(LOOKS[look])
    assert unit.fits and BOX.contains(unit.box, 1e-6)
    # By shapely, layer by layer; flattened and rounded lines are true to 0.05 pt.
    true = everything(unit)
    assert BOX.contains(true, 0.05)
    if look != "mitred":  # SVG cuts sharp corners shorter than shapely does
        assert unit.box == pytest.approx(true, abs=0.06)
    share = max(unit.box.width / BOX.width, unit.box.height / BOX.height)
    assert share == pytest.approx(1.0, abs=1e-6)
    assert unit.box.center == pytest.approx(BOX.center, abs=1e-6)
    if look == "stretched":
        assert unit.box.height > draw({"outlines": [{"weight": 1}]}).box.height * 1.3


@pytest.mark.parametrize("look", ["arc", "growing", "shadow"])
def test_a_size_and_a_middle(look: str, draw: Draw) -> None:
    at = Point(200, 150)
    unit = draw(LOOKS[look], spot=Center(at), size=40.0)
    assert unit.size == 40.0
    assert unit.ink.center == pytest.approx(at, abs=1e-9)
    larger = draw(LOOKS[look], spot=Center(at), size=80.0)
    assert larger.ink.width == pytest.approx(2 * unit.ink.width, rel=1e-3)
    assert draw(LOOKS[look], spot=Center(at)).size == craft.EFFECT_SIZE_POINTS


def test_a_corner_and_an_edge_of_the_panel(draw: Draw) -> None:
    panel = Box(30, 40, 430, 400)
    unit = draw(LOOKS["growing"], spot=Corner("top right", 5.0))
    assert (unit.box.right, unit.box.top) == pytest.approx((panel.right - 5, panel.top + 5))
    unit = draw(LOOKS["block"], spot=Edge("bottom", 0.5, 0.0))
    assert unit.box.bottom == pytest.approx(panel.bottom)


def test_feet_stand_on_the_path(draw: Draw) -> None:
    chain = tuple(Point(*at) for at in PLACED["path"]["path"])
    curve = Polygon([bezier_point(chain, t / 2000) for t in range(2001)]).exterior
    keys = {**PLACED["path"], "face": "Luckiest Guy"}
    unit = draw(keys, "HIIIIIH", spot=Center(Point(0, 0)), size=30.0)
    for letter in unit.lines[0].contours():
        points = [Spot(point) for point in letter.flattened(0.01)[0]]
        nearest = min(curve.distance(point) for point in points)
        assert nearest < 0.02 * unit.size, (nearest, unit.size)


@pytest.mark.parametrize("letters", ["bent", "turned"])
def test_letters_are_spaced_by_true_arc_length(letters: str, draw: Draw) -> None:
    """By SciPy's quadrature along the curve: even letters stand evenly within 1 %."""
    chain = tuple(Point(*at) for at in PLACED["path"]["path"])

    def speed(t: float) -> float:
        ahead, behind = bezier_point(chain, t + 1e-6), bezier_point(chain, t - 1e-6)
        return math.dist(ahead, behind) / 2e-6

    # So far apart that letters that turn need no more room in the bowl of the path.
    keys = {**PLACED["path"], "letters": letters, "face": "Luckiest Guy", "overlap": -0.7}
    unit = draw(keys, "IIIIIIIIII", spot=Center(Point(0, 0)), size=20.0)
    along = []
    for letter in unit.lines[0].contours():
        shape = Polygon(letter.flattened(0.005)[0])
        middle = Point(shape.centroid.x, shape.centroid.y)
        rough = min(range(401), key=lambda at: middle.distance(bezier_point(chain, at / 400)))
        near = minimize_scalar(
            lambda t, at=middle: at.distance(bezier_point(chain, t)),
            bounds=((rough - 1) / 400, (rough + 1) / 400),
            method="bounded",
            options={"xatol": 1e-9},
        )
        along.append(quad(speed, 1e-6, near.x, limit=200)[0])
    steps = np.diff(along)
    assert len(steps) == 9
    assert steps == pytest.approx(float(np.mean(steps)), rel=0.01)


def test_words_as_long_as_their_path(draw: Draw, page: Callable[..., LetteredPage]) -> None:
    keys: Keys = {"path": [[50, 100], [250, 100]]}
    full = draw(keys, spot=Center(Point(0, 0)))
    assert full.ink.width == pytest.approx(200, abs=1e-6)
    assert full.ink.left == pytest.approx(50, abs=1e-6)
    short = draw(keys, "BOK", spot=Center(Point(0, 0)))
    assert short.ink.width < 200 and short.ink.center.x == pytest.approx(150)
    assert short.ink.height == pytest.approx(0.3 * 200, rel=0.1)
    small = draw(keys, spot=Center(Point(0, 0)), size=20.0)
    assert small.size == 20.0 and small.ink.center.x == pytest.approx(150)
    rimmed = draw({**keys, "outlines": [{"weight": 5}]}, spot=Center(Point(0, 0)))
    assert rimmed.box.width == pytest.approx(200, abs=1e-6)
    shrunk = page(keys, spot=Center(Point(0, 0)), size=200.0)
    (finding,) = shrunk.findings
    assert shrunk.units[0].size == pytest.approx(full.size)
    assert str(finding) == (
        f"unit 1.1.1: set at {full.size:.3g} pt instead of 200 pt, since its path is no longer."
    )
    tiny = page({"path": [[50, 100], [60, 100]]}, spot=Center(Point(0, 0)))
    assert [found.kind for found in tiny.findings] == ["does not fit"]


def test_words_drawn_to_corners_keep_to_them(draw: Draw) -> None:
    unit = draw(PLACED["corners"], "HOOH", spot=Center(Point(0, 0)))
    corners = [Point(*at) for at in PLACED["corners"]["corners"]]
    quad_shape = Polygon(corners)
    ink = unary_union([Polygon(ring).buffer(0) for ring in unit.lines[0].flattened(0.005)])
    assert ink.difference(quad_shape.buffer(0.02)).area < 1e-6
    sides = zip(corners, [*corners[1:], corners[0]], strict=True)
    for a, b in sides:  # and each side is met
        assert Polygon([a, b, b, a]).exterior.distance(ink) < 0.02


def test_upright_letters_are_upright(draw: Draw) -> None:
    """Words that climb upright move up only: what stood above a point still does, to the last
    letter's sides."""
    plain = draw({"face": "Luckiest Guy"}, spot=Center(Point(200, 150)), size=40.0)
    climb = draw(
        {"face": "Luckiest Guy", "rise": 25, "letters": "upright"},
        spot=Center(Point(200, 150)),
        size=40.0,
    )
    for one, other in zip(plain.lines[0].contours(), climb.lines[0].contours(), strict=True):
        before, after = one.box(), other.box()
        assert before is not None and after is not None
        assert (after.left, after.right) == pytest.approx((before.left, before.right), abs=0.01)
        assert other.area() == pytest.approx(one.area(), rel=1e-3)


# --- What is drawn --------------------------------------------------------------------------------


def test_every_run_draws_the_same(page: Callable[..., LetteredPage]) -> None:
    for look in ("growing", "apart", "block"):
        assert page(LOOKS[look]).units == page(LOOKS[look]).units


def test_later_letters_lie_over_earlier_ones_or_under_them(draw: Draw) -> None:
    keys: Keys = {"overlap": 0.15, "outlines": [{"weight": 1.5}]}
    later = draw(keys)
    parts = [layer.part for layer in later.letters]
    assert parts == ["rim", "line"] * 7
    middles = [layer.path.box().center.x for layer in later.letters if layer.part == "line"]  # type: ignore[union-attr]
    assert middles == sorted(middles)
    earlier = draw({**keys, "over": "earlier"})
    pairs = [later.letters[at : at + 2] for at in range(0, 14, 2)]
    assert earlier.letters == tuple(layer for pair in reversed(pairs) for layer in pair)
    # What is seen of a letter that lies above is all of it, with its outline.
    first, second = (covered(later.letters[at]) for at in (1, 2))
    assert first.intersection(second).area > 0.5


def test_outlines_lie_round_letters_or_round_the_words(draw: Draw) -> None:
    unit = draw(LOOKS["bowl"])
    (words,) = (layer for layer in unit.extras if layer.part != "ground")
    assert words.part == "rim" and words.stroke is not None
    assert words.stroke.width == 2 * (1.5 + 2) and words.fill == "#ffffff"
    inner = {layer.stroke for layer in unit.letters if layer.part == "rim"}
    assert [(stroke.width, stroke.color) for stroke in inner if stroke] == [(3.0, "#000000")]
    assert {layer.fill for layer in unit.letters if layer.part == "line"} == {"#ffffff"}
    assert unit.color == "#ffffff"  # open letters, where lines part them from the art
    assert draw({"outlines": LINES, "fill": "#a0b0c0"}).color == "#a0b0c0"
    assert draw({}).color == "#000000"


def test_a_shadow_lies_beneath_by_so_much(draw: Draw) -> None:
    unit = draw(LOOKS["shadow"])
    (shadow,) = (layer for layer in unit.extras if layer.part != "ground")
    letters = unary_union([covered(layer) for layer in unit.letters])
    there = covered(shadow)
    assert there.bounds == pytest.approx(
        [sum(pair) for pair in zip(letters.bounds, (4, 3, 4, 3), strict=True)], abs=0.06
    )
    block = draw(LOOKS["block"])
    deep = covered(next(layer for layer in block.extras if layer.part == "shadow"))
    letters = unary_union([covered(layer) for layer in block.letters])
    assert letters.difference(deep.buffer(0.05)).area < 0.01  # it reaches back to the letters


def test_a_halo_is_usual_where_nothing_else_parts_letters_from_the_art(draw: Draw) -> None:
    plain = draw({"arc": 40})
    (halo,) = (layer for layer in plain.extras if layer.part != "ground")
    assert halo.part == "halo" and halo.stroke is not None
    assert halo.stroke.width == pytest.approx(2 * craft.EFFECT_HALO_EM * plain.size)
    assert draw({"halo": 0}).extras == ()
    assert [layer.part for layer in draw(LOOKS["swelling"]).extras] == ["ground", "rim"]
    both = draw({"halo": 2, "shadow": {"by": [3, 3]}})
    _, halo, shadow = both.extras
    assert [layer.part for layer in both.extras] == ["ground", "halo", "shadow"]
    assert covered(halo).contains(covered(shadow))


def test_a_tight_wave_is_not_bent_into_knots(draw: Draw, page: Callable[..., LetteredPage]) -> None:
    keys: Keys = {"wave": 0.15, "crests": 5}
    assert draw(keys).lines == draw({**keys, "letters": "upright"}).lines
    gentle: Keys = {"wave": 0.15, "crests": 0.5}
    assert draw(gentle).lines == draw({**gentle, "letters": "bent"}).lines
    (finding,) = page({**keys, "letters": "bent"}).findings
    assert str(finding) == (
        "unit 1.1.1: its letters fold over themselves where their line bends too tightly. Bend it"
        ' less, make the letters smaller, or say "letters": "turned" or "upright".'
    )


@pytest.mark.parametrize(
    "keys", [{"wave": 0.5, "crests": 2}, {"arc": -200}, {"path": [[60, 60], [160, 260], [260, 60]]}]
)
def test_turned_letters_do_not_run_into_one_another(keys: Keys, draw: Draw) -> None:
    spot = Center(Point(0, 0)) if "path" in keys else None
    unit = draw({**keys, "letters": "turned", "face": "Luckiest Guy"}, "HUMMHUMM", spot=spot)
    letters = [Polygon(part.flattened(0.02)[0]) for part in unit.lines[0].contours()]
    assert len(letters) == 8
    assert min(a.distance(b) for a, b in itertools.combinations(letters, 2)) > 0.01 * unit.size
    again = draw({**keys, "letters": "turned", "face": "Luckiest Guy"}, "HUMMHUMM", spot=spot)
    assert again == unit


def test_the_panel_cuts_it_off_or_it_breaks_out(draw: Draw) -> None:
    panel = Box(30, 40, 430, 400)
    out = Fill(Box(300, 60, 500, 140))
    free, cut = draw({}, spot=out), draw({"clip": True}, spot=out)
    assert free.clip is None and free.box.right > panel.right
    assert cut.clip is not None and cut.clip.box() == panel
    assert cut.box.right == panel.right and cut.lines == free.lines


SHARES = st.lists(st.floats(0.2, 5), min_size=2, max_size=9)
ANY: Keys = {
    "slant": st.floats(-45, 45),
    "rise": st.floats(-80, 80),
    "letters": st.sampled_from(["bent", "turned", "upright"]),
    "heights": SHARES,
    "sizes": SHARES,
    "level": st.sampled_from(["feet", "middles", "tops"]),
    "jump": st.floats(0, 1),
    "tilt": st.floats(0, 45),
    "overlap": st.floats(-1, 0.6),
    "stretch": st.floats(1, 2),
    "outlines": st.just([{"weight": 2, "join": "mitred"}, {"weight": 1, "around": "words"}]),
    "shadow": st.fixed_dictionaries(
        {"by": st.lists(st.floats(-20, 20), min_size=2, max_size=2), "block": st.booleans()}
    ),
}


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    keys=st.fixed_dictionaries({}, optional=ANY),
    bend=st.sampled_from(["", "arc", "wave"]),
    much=st.floats(-1, 1),
    words=st.sampled_from(["KRAKOOM", "I", "Ha ha!", "!?..."]),
)
def test_whatever_is_asked_is_drawn_within_its_box(
    keys: Keys, bend: str, much: float, words: str, page: Callable[..., LetteredPage]
) -> None:
    asked = keys | ({bend: much * (300 if bend == "arc" else 2)} if bend else {})
    unit = page(asked, words).units[0]
    places = [
        value
        for layer in unit.layers()
        for step in layer.path.segments
        for point in step.points
        for value in point
    ]
    assert all(math.isfinite(value) for value in places)
    if unit.fits:
        assert BOX.contains(unit.box, 1e-5)
        share = max(unit.box.width / BOX.width, unit.box.height / BOX.height)
        assert 1.0 - 2e-4 <= share <= 1.0 + 1e-6 or unit.size <= 1.0


# --- What is told ---------------------------------------------------------------------------------


def test_no_room_for_lines(page: Callable[..., LetteredPage]) -> None:
    made = page({"outlines": [{"weight": 30}]}, spot=Fill(Box(50, 50, 90, 70)))
    (finding,) = made.findings
    assert finding.kind == "does not fit" and not made.units[0].fits


def test_a_face_that_is_not_there(page: Callable[..., LetteredPage]) -> None:
    with pytest.raises(LettererError, match=r"there is no face called \"Bangerz\". Did you mean"):
        page({"face": "Bangerz"})


def test_an_effect_that_is_none(unit: Units, layout: Layouts, lettered: Lettered) -> None:
    placement = Placement(
        "1.1.1", Center(Point(200, 150)), tails=(), effect=effect_of({"arc": 40}, Measure("pt"))
    )
    made = lettered([unit(1, "Hello?")], layout([placement]))
    (finding,) = made.findings
    assert str(finding) == (
        'unit 1.1.1: its placement has an "effect", and it is drawn as speech. Take "effect" out,'
        ' or say "kind": "effect".'
    )


def test_planned_lines_are_kept_while_they_are_the_words(
    draw: Draw, page: Callable[..., LetteredPage]
) -> None:
    unit = draw({"outlines": LINES}, "KA BLAM", breaks=("Ka", "blam"))
    assert unit.breaks == ("KA", "BLAM") and len(unit.lines) == 2
    gone = page({"outlines": LINES}, "KA BLAM", breaks=("Ka", "boom"))
    assert [finding.kind for finding in gone.findings] == ["breaks gone"]
    assert gone.units[0].breaks == ("KA BLAM",)


# --- SVG ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("look", [*LOOKS, *PLACED])
def test_the_svg_is_what_was_looked_at(
    look: str, page: Callable[..., LetteredPage], golden: Callable[[str, bytes], None]
) -> None:
    effect = (LOOKS | PLACED)[look]
    spot = Center(Point(0, 0)) if look in PLACED else None
    text = svg_page(page(effect, "BOK!", spot=spot))
    words = re.search(r'<g class="words"[^>]*>\n(.*?)</g>', text, re.DOTALL)
    assert words is not None
    assert 'class="line"' in words[1] and 'class="line"' not in text.replace(words[1], "")
    golden(f"effects/{look.replace(' ', '-')}.svg", text.encode())


# --- Looks to choose from -----------------------------------------------------------------------


def test_looks_keep_what_else_is_said() -> None:
    said: Keys = {"face": "Luckiest Guy", "arc": 20, "fill": "#a0b0c0", "note": "loud"}
    looks = list(looks_of(effect_of(said, Measure("pt")), 40.0, 7))
    assert len(looks) >= 8
    for look in looks:
        assert look["face"] == "Luckiest Guy" and look["note"] == "loud"
        assert effect_of(look, Measure("pt")).written == look
    placed = list(looks_of(effect_of(PLACED["path"], Measure("pt")), 40.0, 7))
    assert all(look["path"] == PLACED["path"]["path"] and "arc" not in look for look in placed)
    assert {} not in looks_of(None, 40.0, 7)
    short = [look for look in looks_of(None, 40.0, 3) if "wave" in look]
    assert [look.get("crests") for look in short] == [0.5]
    assert look_told({"shadow": {"by": [1, 1], "block": True}, "sizes": [1, 2], "arc": 40.0}) == (
        "block shadow, sizes 1 2, arc 40"
    )


def test_a_path_of_the_page_is_an_effects_own(draw: Draw) -> None:
    moved = draw({"path": [[50, 100], [250, 100]]}, spot=Center(Point(0, 0)))
    lower = draw({"path": [[50, 130], [250, 130]]}, spot=Center(Point(0, 0)))
    assert lower.lines[0].box() == pytest.approx(moved.shifted(0, 30).lines[0].box())
    assert upright(*lower.box).contains(upright(*lower.ink))
    assert isinstance(lower.lines[0], Path)
