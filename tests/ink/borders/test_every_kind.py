"""What holds for the border of every kind, whatever the oval, the size and the hand."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Path, Point
from letterer.ink.borders import BORDERS, Pen, aimed_spikes, border_of
from letterer.ink.outline import oval_outline, oval_point
from letterer.ink.tail import Tail, TailStyle, tailed_outline
from letterer.model.script import Manner

KINDS = tuple(BORDERS)
sizes = st.floats(4, 40)
hands = st.sampled_from([0.0, craft.HAND_AMPLITUDE_POINTS, craft.HAND_AMPLITUDE_MOST])


@st.composite
def ovals(draw: st.DrawFn) -> tuple[Oval, float]:
    """An oval, and a type size whose words could stand in it: from "NO" to sixty words."""
    size = draw(sizes)
    aspect = math.exp(draw(st.floats(math.log(0.5), math.log(4))))
    # The smaller half-axis holds half a line of capitals and its air at least.
    least = draw(st.floats(0.9, 9)) * size
    a, b = (least * aspect, least) if aspect > 1 else (least, least / aspect)
    center = Point(draw(st.floats(-50, 400)), draw(st.floats(-50, 400)))
    return Oval(center, a, b, draw(st.sampled_from([2.3, 2.4, 2.7, 3.4, 4.0]))), size


@st.composite
def aims(draw: st.DrawFn) -> list[tuple[float, float]]:
    """Up to two mouths, as a direction and a distance in ovals."""
    directions = st.tuples(st.floats(0, 2 * math.pi), st.floats(1.6, 4))
    return draw(st.lists(directions, max_size=2))


def mouths_at(oval: Oval, where: list[tuple[float, float]]) -> list[Point]:
    return [
        oval.center.shifted(oval.a * far * math.cos(turn), oval.b * far * math.sin(turn))
        for turn, far in where
    ]


def aimed(kind: str, oval: Oval, size: float, where: list[tuple[float, float]]) -> list[Tail]:
    """The tails that a border of a kind is told of."""
    style = TailStyle(craft.TAIL_BASE_CAPS * 0.7 * size, gap=0.4 * size, shortest=0.8 * size)
    mouths = mouths_at(oval, where)
    if border_of(kind).tail == "spike":
        return list(aimed_spikes(oval, mouths, style)[0])
    return list(tailed_outline(oval_outline(oval), oval.center, mouths, style)[1])


def shape_of(path: Path) -> shapely.Polygon:
    """A path of one contour as a polygon; it must not cross itself."""
    rings = path.flattened(0.005)
    assert len(rings) == 1, "one contour"
    assert path.segments[0].verb == "M" and path.segments[-1].verb == "Z"
    assert rings[0][0] == rings[0][-1], "closed"
    drawn = shapely.Polygon(rings[0])
    assert drawn.is_valid, shapely.is_valid_reason(drawn)
    return drawn


def whole(oval: Oval) -> shapely.Polygon:
    return shapely.Polygon([oval_point(oval, math.pi * turn / 360) for turn in range(720)])


def slack(oval: Oval) -> float:
    """What a curve through points may stray: 0.02 pt for a balloon, more for a banner."""
    return 0.02 + 2e-4 * max(oval.a, oval.b)


def test_every_kind_of_balloon_with_a_border_has_one_of_its_own() -> None:
    kinds = {"speech", *(manner.value for manner in Manner if manner.is_a_kind)}
    assert set(BORDERS) == kinds - {"open"}
    assert len({id(border_of(kind)) for kind in KINDS}) == len(KINDS)


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=50)
@given(ovals(), hands, aims(), st.text(max_size=3))
def test_one_clockwise_contour_around_the_oval_and_within_reach(
    kind: str, made: tuple[Oval, float], hand: float, where: list[tuple[float, float]], name: str
) -> None:
    (oval, size), border = made, border_of(kind)
    tails = aimed(kind, oval, size, where)
    path = border.outline(oval, Pen(name, size, hand), tails)
    drawn = shape_of(path)
    assert path.area() > 0, "clockwise on the page"
    assert drawn.buffer(slack(oval) + hand).contains(whole(oval)), "never inside its oval"
    if border.tail != "spike" or not tails:
        box = border.reach(size).around(oval.box).grown(hand + slack(oval))
        assert box.contains(path.box() or oval.box), "never beyond its reach"


@pytest.mark.parametrize(
    "kind", [kind for kind in KINDS if border_of(kind).tail not in ("spike", "bubbles")]
)
@settings(max_examples=25)
@given(ovals(), hands, aims(), st.text(max_size=3))
def test_the_border_runs_along_its_oval_where_a_tail_is_rooted(
    kind: str, made: tuple[Oval, float], hand: float, where: list[tuple[float, float]], name: str
) -> None:
    (oval, size), border = made, border_of(kind)
    tails = aimed(kind, oval, size, where)
    path = border.outline(oval, Pen(name, size, hand), tails)
    line = shapely.LineString(path.flattened(0.005)[0])
    for tail in tails:
        off = line.distance(shapely.Point(tail.root))
        assert off <= hand + 0.05 + 0.03 * tail.base


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("hand", [0.0, 0.16])
def test_drawn_by_identity_and_never_by_the_run(
    kind: str, hand: float, same: Callable[[Path, Path], bool]
) -> None:
    oval, border = Oval(Point(100, 80), 55, 34, 2.4), border_of(kind)
    first = border.outline(oval, Pen("a", 7.5, hand))
    assert first == border.outline(oval, Pen("a", 7.5, hand))
    other = border.outline(oval, Pen("b", 7.5, hand))
    assert same(first, other) == (hand == 0.0), "a ruled border knows no chance"


@pytest.fixture
def same() -> Callable[[Path, Path], bool]:
    """A function: whether two paths are the same curve."""
    return lambda one, other: one == other


@pytest.mark.parametrize("kind", KINDS)
def test_it_grows_with_the_type(kind: str) -> None:
    """Twice the oval and twice the size give the same border at twice the scale, when ruled."""
    border = border_of(kind)
    small = border.outline(Oval(Point(0, 0), 55, 34, 2.4), Pen("a", 7.5, 0.0))
    large = border.outline(Oval(Point(0, 0), 110, 68, 2.4), Pen("a", 15, 0.0))
    assert len(small.segments) == len(large.segments)
    for one, other in zip(small.segments, large.segments, strict=True):
        for point, twice in zip(one.points, other.points, strict=True):
            assert twice == pytest.approx((2 * point.x, 2 * point.y), abs=1e-6)
