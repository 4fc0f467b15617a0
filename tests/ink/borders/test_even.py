"""Ruled borders are even: whole numbers of spikes, bumps, strokes, waves and dashes, and no seam.

The bar, within 1 % of arc length, is the project's own. The hand's borders are uneven, and each
differs from the next.
"""

from __future__ import annotations

import itertools
import math
import statistics
from functools import lru_cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Path, Point, Segment
from letterer.ink.borders import Pen, aimed_spikes, border_of, dashed
from letterer.ink.borders.track import Track
from letterer.ink.outline import oval_outline
from letterer.ink.ring import Ring
from letterer.ink.tail import TailStyle, aim_error, tailed_outline

ovals = st.builds(
    lambda b, aspect, n: Oval(Point(0, 0), b * aspect, b, n),
    st.floats(12, 60),
    st.floats(0.6, 3),
    st.sampled_from([2.4, 2.7, 3.4]),
)
RULED = Pen("a", 7.5, 0.0)


def ends(path: Path) -> list[Point]:
    """Where each drawing step ends, the start once."""
    return [segment.points[-1] for segment in path.segments if segment.verb not in "MZ"]


def lengths(path: Path) -> list[float]:
    """Length of each drawing step."""
    here, found = path.segments[0].points[0], []
    for segment in path.segments[1:-1]:
        piece = Path((Segment("M", (here,)), segment)).flattened(1e-4)[0]
        found.append(sum(p.distance(q) for p, q in itertools.pairwise(piece)))
        here = segment.points[-1]
    return found


def spread(values: list[float]) -> float:
    return (max(values) - min(values)) / (sum(values) / len(values))


@settings(max_examples=30)
@given(ovals)
def test_the_bumps_of_a_ruled_thought_are_alike(oval: Oval) -> None:
    steps = lengths(border_of("thought").outline(oval, RULED))
    bumps = [one + other for one, other in zip(steps[::2], steps[1::2], strict=True)]
    assert len(bumps) >= craft.THOUGHT_BUMPS_LEAST
    assert spread(bumps) < 0.01


@settings(max_examples=30)
@given(ovals)
def test_the_strokes_of_a_ruled_broadcast_are_alike(oval: Oval) -> None:
    path = border_of("broadcast").outline(oval, RULED)
    assert {segment.verb for segment in path.segments[1:-1]} == {"L"}
    assert len(ends(path)) % 2 == 0 and len(ends(path)) >= 2 * craft.BROADCAST_TEETH_LEAST
    assert spread(lengths(path)) < 0.01


@settings(max_examples=30)
@given(ovals)
def test_the_spikes_of_a_ruled_shout_stand_evenly_long_and_short_in_turn(oval: Oval) -> None:
    track, points = Track(oval), ends(border_of("shout").outline(oval, RULED))
    valleys, tips = points[1::2], points[::2]
    assert len(tips) % 2 == 0 and len(tips) >= craft.SHOUT_SPIKES_LEAST
    arcs = sorted(track.arc_toward(valley) % track.length for valley in valleys)
    ways = [after - before for before, after in itertools.pairwise(arcs)]
    assert spread([*ways, track.length - arcs[-1] + arcs[0]]) < 0.01
    off = [oval_gap(oval, tip) for tip in tips]
    assert all(long > short for long, short in zip(off[::2], off[1::2], strict=True))


def oval_gap(oval: Oval, point: Point) -> float:
    """How far a point stands off an oval."""
    return min(point.distance(place) for place in places(oval))


@lru_cache(maxsize=8)
def places(oval: Oval) -> list[Point]:
    track = Track(oval)
    return [track.point(track.length * step / 400) for step in range(400)]


@settings(max_examples=20)
@given(ovals, st.sampled_from(["weak", "singing"]))
def test_the_waves_of_a_ruled_border_are_alike_and_whole(oval: Oval, kind: str) -> None:
    track, path = Track(oval), border_of(kind).outline(oval, RULED)
    arcs = [track.arc_toward(point) for point in ends(path) if abs(oval.level(point) - 1) < 1e-6]
    arcs.sort()
    ways = [after - before for before, after in itertools.pairwise(arcs)]
    ways = [way for way in [*ways, track.length - arcs[-1] + arcs[0]] if way > 1e-6]
    assert spread(ways) < 0.01
    usual, least = {
        "weak": (craft.WEAK_WAVE_EM, craft.WEAK_WAVES_LEAST),
        "singing": (craft.SONG_WAVE_EM, craft.SONG_WAVES_LEAST),
    }[kind]
    assert len(ways) == max(round(track.length / (usual * RULED.size)), least)


@pytest.mark.parametrize("kind", ["shout", "thought", "broadcast", "weak", "cold", "singing"])
def test_the_hand_makes_no_two_borders_alike(kind: str) -> None:
    oval = Oval(Point(0, 0), 60, 34, 2.4)
    drawn = [border_of(kind).outline(oval, Pen(name, 7.5, 0.16)) for name in "abcdef"]
    boxes = {(round(box.width, 3), round(box.height, 3)) for path in drawn if (box := path.box())}
    assert len(boxes) > 3


def test_the_scallops_of_a_drawn_thought_differ_a_little() -> None:
    steps = lengths(
        border_of("thought").outline(Oval(Point(0, 0), 60, 34, 2.4), Pen("a", 7.5, 0.2))
    )
    bumps = [one + other for one, other in zip(steps[::2], steps[1::2], strict=True)]
    assert 0.15 < spread(bumps) < 2.5 * craft.THOUGHT_UNEVEN


def test_the_cusps_of_a_thought_are_crisp_and_on_the_oval() -> None:
    oval = Oval(Point(0, 0), 60, 34, 2.4)
    path = border_of("thought").outline(oval, Pen("a", 7.5, 0.16))
    here, turns = path.segments[-2].points, []
    for segment in path.segments[1:-1]:
        into = math.atan2(here[2].y - here[1].y, here[2].x - here[1].x)
        out = math.atan2(segment.points[0].y - here[2].y, segment.points[0].x - here[2].x)
        turns.append(math.degrees((out - into + math.pi) % (2 * math.pi) - math.pi))
        here = segment.points
    cusps, tops = turns[::2], turns[1::2]
    assert all(turn < -45 for turn in cusps), "a cusp turns inward, sharply"
    assert all(abs(turn) < 0.1 for turn in tops), "a bump is smooth"
    assert all(oval.level(point) == pytest.approx(1) for point in ends(path)[1::2])


@settings(max_examples=40)
@given(ovals, st.lists(st.floats(0, 2 * math.pi), min_size=0, max_size=2), st.text(max_size=3))
def test_dashes_are_whole_and_fall_on_the_corners_of_tails(
    oval: Oval, turns: list[float], name: str
) -> None:
    mouths = [Point(oval.a * 2.5 * math.cos(turn), oval.b * 2.5 * math.sin(turn)) for turn in turns]
    plain = oval_outline(oval, name, 0.16)
    outline = tailed_outline(plain, oval.center, mouths, TailStyle(7, gap=3, shortest=6))[0]
    path, pattern = dashed(outline)
    ring = Ring(path)
    dashes, gaps = pattern[::2], pattern[1::2]
    assert len(dashes) == len(gaps)
    assert path.area() == pytest.approx(outline.area()), "the same outline, begun elsewhere"
    assert ring.length == pytest.approx(Ring(outline).length)
    rounds = ring.length / sum(pattern)
    assert rounds == pytest.approx(round(rounds), abs=1e-6), "a whole number closes on itself"
    if not ring.corners():
        assert len(pattern) == 2
        assert gaps[0] / dashes[0] == pytest.approx(craft.DASH_GAP_SHARE)
        return
    starts = list(itertools.accumulate(pattern, initial=0.0))[:-1:2]
    stretches = list(zip(starts, dashes, strict=True))
    on_corners = set()
    for corner in ring.corners():
        # A corner lies well within a dash: no line begins with a gap there.
        at, (begin, dash) = next(
            (at, way) for at, way in enumerate(stretches) if way[0] <= corner < sum(way)
        )
        on_corners.add(at)
        assert min(corner - begin, begin + dash - corner) > craft.DASH_POINTS / 4
    between = [dash for at, dash in enumerate(dashes) if at not in on_corners]
    # A short side of a tail takes one dash or two; a long way has dashes of the usual length.
    for found, usual in ((between, 1.0), (gaps, craft.DASH_GAP_SHARE)):
        shares = [length / craft.DASH_POINTS / usual for length in found]
        assert all(0.5 <= share < 1.8 for share in shares)
        assert 0.85 < statistics.median(shares) < 1.15


def test_the_dash_on_a_tip_reaches_to_where_the_sides_of_the_tail_stand_apart() -> None:
    oval = Oval(Point(0, 0), 60, 34, 2.4)
    plain = oval_outline(oval, "tip", 0.16)
    outline, tails, _ = tailed_outline(plain, oval.center, [Point(60, 130)], TailStyle(7))
    for weight in (0.6, 0.9):
        path, pattern = dashed(outline, weight)
        ring = Ring(path)
        tip = ring.nearest(tails[0].tip)
        begin, end = next(
            (begin, begin + dash)
            for begin, dash in zip(
                itertools.accumulate(pattern, initial=0.0), [*pattern, 0.0], strict=True
            )
            if begin <= tip < begin + dash
        )
        apart = ring.point(begin).distance(ring.point(end))
        assert 1.5 * weight < apart < 2.5 * weight


@settings(max_examples=40)
@given(ovals, st.floats(0, 2 * math.pi), st.floats(1.7, 4), st.sampled_from([0.0, 0.16, 0.5]))
def test_the_longest_spike_of_a_shout_aims_at_the_speaker(
    oval: Oval, turn: float, far: float, hand: float
) -> None:
    mouth = Point(oval.a * far * math.cos(turn), oval.b * far * math.sin(turn))
    tails, left = aimed_spikes(oval, [mouth], TailStyle(7, gap=3, shortest=6))
    if left:
        assert left[0].why == "near" and oval_gap(oval, mouth) < 12
        return
    (tail,) = tails
    assert aim_error(tail) < 0.01 <= craft.TAIL_AIM_DEGREES
    low, high = craft.TAIL_SHARE_RANGE
    assert low <= tail.root.distance(tail.tip) / tail.root.distance(mouth) <= high
    path = border_of("shout").outline(oval, Pen("a", 7.5, hand), tails)
    tips = ends(path)[::2]
    assert min(tip.distance(tail.tip) for tip in tips) < 1e-9, "the spike is drawn in the burst"
    others = sorted(oval_gap(oval, tip) for tip in tips if tip.distance(tail.tip) > 1e-9)
    assert others[-1] <= tail.length * craft.SHOUT_OTHERS_SHARE + 0.05
    assert tail.base < min(2 * oval.a / 3, 2 * oval.b * 0.41)
    # Drawn symmetric about its axis: both valleys stand equally far from the root.
    at = min(range(len(tips)), key=lambda index: tips[index].distance(tail.tip))
    assert tip_axis(ends(path), at, tail.root) < 0.35


def tip_axis(points: list[Point], at: int, root: Point) -> float:
    """How unevenly a spike's two valleys stand about its root, as a share of its base."""
    before, after = points[2 * at - 1], points[(2 * at + 1) % len(points)]
    return abs(before.distance(root) - after.distance(root)) / before.distance(after)


def test_speakers_have_a_spike_each_where_there_is_room() -> None:
    oval = Oval(Point(0, 0), 60, 34, 2.4)
    style = TailStyle(7, gap=3, shortest=6)
    mouths = [Point(-40, 120), Point(40, 120), Point(38, 121), Point(1, 1), Point(0, 40)]
    tails, left = aimed_spikes(oval, mouths, style)
    assert [tail.mouth for tail in tails] == mouths[:3]
    assert [(item.mouth, item.why) for item in left] == [(mouths[3], "inside"), (mouths[4], "near")]
    sides = [LineString([(tail.root.x, tail.root.y), (tail.tip.x, tail.tip.y)]) for tail in tails]
    for one, other in itertools.combinations(sides, 2):
        assert one.distance(other) > 2
    for tail in tails:
        assert aim_error(tail) < 0.01


def test_a_crowd_in_one_place_leaves_some_without_a_spike() -> None:
    oval = Oval(Point(0, 0), 60, 34, 2.4)
    crowd = [Point(40 + step / 10, 120) for step in range(9)]
    tails, left = aimed_spikes(oval, crowd, TailStyle(7, gap=3, shortest=6))
    assert 2 <= len(tails) < 9
    assert {item.why for item in left} == {"room"}


def test_drops_hang_straight_down_of_uneven_length_from_a_smooth_top() -> None:
    oval = Oval(Point(0, 0), 60, 34, 2.4)
    path = border_of("cold").outline(oval, Pen("a", 7.5, 0.16))
    lowest = sorted(point.y for point in ends(path) if point.y > oval.b + 1)
    low, high = craft.COLD_DROP_RANGE_EM
    assert len(lowest) >= 5 and lowest[-1] - lowest[0] > (high - low) / 4 * 7.5
    box = path.box()
    assert box is not None and box.top > -oval.b - 0.17 and box.width < 2 * oval.a + 0.4
    corners = [at for at in Ring(path).corners() if Ring(path).point(at).y < 10]
    assert not corners, "the top is smooth"
