"""Two balloons made one contour: overlapping, tied by a neck, one in the other."""

from __future__ import annotations

import math
import random

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import translate

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, Segment, polygon, rectangle
from letterer.ink.crossings import crossings
from letterer.ink.join import Joint, Slit, gap_between, joined, softened, tail_wedges, without_slits
from letterer.ink.outline import oval_outline
from letterer.ink.ring import Ring
from letterer.ink.tail import TailStyle, tailed_outline
from letterer.ink.union import united, united_all

CAP = 0.7 * craft.SIZE_USUAL
JOINT = Joint.of(CAP)

sizes = st.tuples(st.floats(20, 60), st.floats(12, 30), st.floats(2, 2.7))
turns = st.floats(0, 2 * math.pi)


def oval(x: float, y: float, size: tuple[float, float, float], hand: float = 0.16) -> Path:
    return oval_outline(Oval(Point(x, y), *size), f"{size}", hand)


def shape_of(path: Path) -> shapely.Polygon:
    """The area inside a path that must be one closed contour, clockwise, not crossing itself."""
    rings = list(path.contours())
    assert len(rings) == 1
    assert rings[0].segments[-1] == Segment("Z")
    assert path.area() > 0
    shape = shapely.Polygon(rings[0].flattened(5e-4)[0])
    assert shape.is_valid
    return shape


def at_gap(
    one: tuple[float, float, float], other: tuple[float, float, float], turn: float, gap: float
) -> tuple[Path, Path]:
    """Two ovals whose borders are so far apart, the second in a direction from the first; with a
    negative gap it is moved back over the first from where they touch."""
    still, low, high = oval(0, 0, one), 0.0, 400.0
    here, there = shape_of(still), shape_of(oval(0, 0, other))
    for _ in range(30):
        middle = (low + high) / 2
        moved = translate(there, middle * math.cos(turn), middle * math.sin(turn))
        low, high = (low, middle) if here.distance(moved) > max(gap, 0) else (middle, high)
    far = high + min(gap, 0)
    return still, oval(far * math.cos(turn), far * math.sin(turn), other)


@settings(max_examples=25)
@given(sizes, sizes, turns, st.floats(-8, 20))
def test_whatever_the_distance_it_is_one_contour_that_holds_both(
    one: tuple[float, float, float],
    other: tuple[float, float, float],
    turn: float,
    gap: float,
) -> None:
    first, second = at_gap(one, other, turn, gap)
    made = joined(first, second, JOINT)
    assert made is not None
    shape, parts = shape_of(made.path), shapely.union(shape_of(first), shape_of(second))
    assert shapely.area(parts - shape) < 0.05
    assert shape.area < parts.area + 400
    assert made.how == "overlap" or made.neck is not None


@settings(max_examples=12)
@given(sizes, sizes, turns, st.floats(4, 22))
def test_a_neck_is_narrow_and_gentle(
    one: tuple[float, float, float],
    other: tuple[float, float, float],
    turn: float,
    gap: float,
) -> None:
    first, second = at_gap(one, other, turn, gap)
    made = joined(first, second, JOINT)
    assert made is not None
    assert made.how == "link"
    assert made.neck is not None
    p, q = made.neck
    assert p.distance(q) == pytest.approx(gap, abs=0.05)
    across = Point(-(q.y - p.y) / gap, (q.x - p.x) / gap)
    shape = shape_of(made.path)

    def width(share: float) -> float:
        middle = p.toward(q, share)
        ends = (middle.shifted(across.x * by, across.y * by) for by in (-30, 30))
        cuts = shape.intersection(shapely.LineString(list(ends)))
        parts = shapely.get_parts(cuts)
        near = min(parts, key=lambda part: float(part.distance(shapely.Point(middle))))
        return float(near.length)

    assert 0.7 * CAP <= width(0.5) <= 1.6 * CAP
    assert width(0.5) <= width(0.02) + 0.5
    assert width(0.5) <= width(0.98) + 0.5


def test_balloons_that_barely_overlap_get_no_needle() -> None:
    size = (36.0, 18.0, 2.4)
    first, second = at_gap(size, size, math.pi / 2, -0.05)
    made = joined(first, second, JOINT)
    assert made is not None
    assert made.how == "link"
    shape = shape_of(made.path)
    # Closing by a disc a third of a cap wide changes almost nothing: there is no slit to clot.
    closed = shape.buffer(CAP / 6).buffer(-CAP / 6)
    assert closed.area - shape.area < 0.5


def test_one_inside_the_other_vanishes() -> None:
    large, small = oval(0, 0, (60, 30, 2.4)), oval(5, 3, (15, 8, 2.4))
    for pair in ((large, small), (small, large)):
        made = joined(pair[0], pair[1], JOINT)
        assert made is not None
        assert (made.how, made.path) == ("inside", large)
        assert united(*pair) == large


def test_far_balloons_are_left_apart() -> None:
    first, second = oval(0, 0, (30, 15, 2.4)), oval(100, 0, (30, 15, 2.4))
    assert gap_between(first, second) == pytest.approx(40, abs=0.4)
    assert joined(first, second, JOINT, apart=20) is None
    assert united(first, second) is None


def test_the_gap_is_shapelys() -> None:
    for turn in range(12):
        first, second = at_gap((40, 20, 2.4), (25, 15, 2.2), turn * math.pi / 6, 9)
        expected = shape_of(first).distance(shape_of(second))
        assert gap_between(first, second) == pytest.approx(expected, abs=0.01)
    assert gap_between(oval(0, 0, (40, 20, 2.4)), oval(20, 0, (40, 20, 2.4))) == 0


def test_a_mirrored_pair_gives_a_mirrored_union() -> None:
    one, other = oval(0, 0, (40, 20, 2.4), 0), oval(30, 22, (30, 16, 2.4), 0)
    mirrored = [oval(0, 0, (40, 20, 2.4), 0), oval(-30, 22, (30, 16, 2.4), 0)]
    first, second = united(one, other), united(*mirrored)
    assert first is not None
    assert second is not None
    flipped = shapely.transform(shape_of(first), lambda xy: xy * [-1, 1])
    assert shapely.area(flipped ^ shape_of(second)) < 0.01


def test_twins_and_shared_borders() -> None:
    twin = oval(0, 0, (40, 20, 2.4))
    union = united(twin, twin)
    assert union is not None
    assert shape_of(union).area == pytest.approx(twin.area(), rel=1e-4)
    left, right = rectangle(Box(0, 0, 10, 5)), rectangle(Box(10, 0, 20, 5))
    over = united(left, right.shifted(-1, 0))
    assert over is not None
    assert over.area() == pytest.approx(95, abs=1e-6)


def test_a_chain_that_closes_in_a_loop_is_one_contour() -> None:
    size = (26.0, 16.0, 2.4)
    spots = [(0, 0), (42, 0), (60, 24), (42, 48), (0, 48), (-18, 24)]
    body = oval(*spots[0], size)
    for spot in spots[1:]:
        made = united(body, oval(*spot, size))
        assert made is not None
        body = made
    whole = shapely.union_all([shape_of(oval(*spot, size)) for spot in spots])
    assert isinstance(whole, shapely.Polygon)
    assert len(whole.interiors) == 1
    assert shape_of(body).area == pytest.approx(shapely.Polygon(whole.exterior).area, rel=1e-4)


def test_crossings_lead_out_and_in_by_turns() -> None:
    one, other = Ring(oval(0, 0, (40, 12, 2.4))), Ring(oval(0, 0, (12, 40, 2.4)))
    found = crossings(one, other)
    assert len(found) == 4
    assert [crossing.leaves for crossing in found] in ([True, False] * 2, [False, True] * 2)
    for crossing in found:
        assert one.point(crossing.one).distance(crossing.at) < 1e-6
        assert other.point(crossing.other).distance(crossing.at) < 1e-6


def test_waists_are_drawn_round_and_nothing_else_changes() -> None:
    sharp = united(oval(0, 0, (40, 20, 2.4)), oval(30, 26, (40, 20, 2.4)))
    soft = joined(oval(0, 0, (40, 20, 2.4)), oval(30, 26, (40, 20, 2.4)), JOINT)
    assert sharp is not None
    assert soft is not None
    assert soft.how == "overlap"
    assert len(Ring(sharp).corners()) == 2
    assert Ring(soft.path).corners() == ()
    before, after = shape_of(sharp), shape_of(soft.path)
    assert shapely.area(before - after) < 0.02
    assert 0 < shapely.area(after - before) < CAP * CAP
    assert softened(sharp, [], 2.0) == sharp


def test_a_tail_is_united_with_the_contour_of_several() -> None:
    chance = random.Random("wedge")
    style = TailStyle(1.4 * CAP, shortest=CAP)
    drawn = 0
    for _ in range(15):
        first = Oval(Point(0, 0), 34, chance.uniform(14, 20), 2.4)
        second = Oval(Point(chance.uniform(-30, 30), 28), 30, 16, 2.4)
        border = oval_outline(first, "first", 0.16)
        made = joined(border, oval_outline(second, "second", 0.16), JOINT)
        assert made is not None
        turn = chance.uniform(0, 2 * math.pi)
        mouth = Point(130 * math.cos(turn), 130 * math.sin(turn))
        tailed, tails, _ = tailed_outline(border, first.center, [mouth], style)
        wedges = tail_wedges(tailed, tails, first.center)
        whole = united_all(made.path, wedges)
        expected = shapely.union(shape_of(made.path), shape_of(tailed))
        assert shapely.area(shape_of(whole) ^ expected) < 0.05
        drawn += len(wedges)
    assert drawn > 10


@settings(max_examples=40)
@given(st.floats(-3, 9), st.floats(-25, 25), st.floats(55, 75), st.floats(2, 2.6))
def test_three_balloons_in_a_ring_keep_no_slit(
    gap: float, aside: float, right: float, fullness: float
) -> None:
    """The third stands a little below the first, and both are tied to the second."""
    size = (38.0, 17.0, fullness)
    first, third = oval(0, 0, size), oval(aside, 2 * 17 + gap, size)
    second = oval(right, 17 + gap / 2, (34.0, 16.0, fullness))
    two = joined(first, second, JOINT)
    assert two is not None
    three = joined(two.path, third, JOINT)
    assert three is not None
    slit = Slit.of(CAP)
    mended = without_slits(three.path, slit)
    before, after = shape_of(three.path), shape_of(mended)
    assert shapely.area(before - after) < 1e-3, "nothing is lost"
    assert without_slits(mended, slit) == mended, "and no slit is left that it knows"
    left = before.buffer(0.35 * slit.wide).buffer(-0.35 * slit.wide) - before
    for narrow in shapely.get_parts(left):
        # What a disc of most of a slit's width does not reach is filled, or is no slit: short, or
        # the mouth of a pocket too large to be filled.
        if narrow.length < 2 * slit.long:
            continue
        pocket = shapely.area(before.convex_hull - before)
        assert after.buffer(0.5).contains(narrow) or pocket > slit.most


def test_a_slit_is_filled_out_to_where_its_sides_stand_apart() -> None:
    """Two bars on a post: the slit between them opens toward the right."""
    corners = [(0, 0), (70, 0), (70, 20), (20, 22), (20, 24), (70, 32), (70, 50), (0, 50)]
    bars = polygon([Point(x, y) for x, y in corners])
    slit = Slit(wide=5.0, long=20.0, most=400.0)
    after = shape_of(without_slits(bars, slit))
    kept = after.intersection(shapely.box(20, 18, 71, 36))
    assert shapely.area(shape_of(bars) - after) < 1e-6
    # The sides are 2 + 0.16 · (x - 20) + 0.04 · (x - 20) apart: 5 points at x = 35.
    assert shapely.area(shapely.box(20, 22, 31, 24) - kept) < 0.01
    assert after.buffer(1e-6).disjoint(shapely.Point(39, 24))
    assert without_slits(bars, Slit(5.0, 20.0, 20.0)) == bars, "a pocket too large stays"
    assert without_slits(bars, Slit(1.5, 20.0, 400.0)) == bars, "a wide one is none"
