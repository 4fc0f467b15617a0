"""Every shape of tail by geometry: true offsets, one contour, its aim, its room, its bubbles."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as some

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, Segment, bezier_point
from letterer.ink.borders import Pen, border_of
from letterer.ink.outline import frame_outline, oval_outline
from letterer.ink.ring import Ring
from letterer.ink.tail import (
    Aim,
    Station,
    Tail,
    TailShape,
    TailStyle,
    Untailed,
    aim_error,
    stations,
    tailed_outline,
)
from letterer.ink.tail_axis import Axis, bow, shaken, side, swept, through
from letterer.ink.tail_shapes import bolt, bubbles, trail_path

CAP = 0.7 * craft.SIZE_USUAL
STYLE = TailStyle(
    craft.TAIL_BASE_CAPS * CAP,
    shortest=craft.TAIL_SHORTEST_CAPS * CAP,
    corner=craft.TAIL_CORNER_CAPS * CAP,
    gap=craft.TAIL_GAP_CAPS * CAP,
    clear=craft.TAIL_CLEAR_CAPS * CAP,
)
HEART = Point(100, 100)
OVAL = Oval(HEART, 34, 20, 2.4)
PLAIN = oval_outline(OVAL)
SPLICED: tuple[TailShape, ...] = ("curved", "straight", "wavering", "lightning")


def flat(path: Path) -> list[Point]:
    return path.flattened(2e-3)[0]


def around(angle: float, far: float) -> Point:
    """A point in a direction from the heart."""
    return HEART.shifted(math.cos(angle) * far, math.sin(angle) * far)


def one(outline: Path, aim: Aim) -> tuple[Path, Tail]:
    drawn, tails, left = tailed_outline(outline, HEART, [aim], STYLE)
    assert not left
    return drawn, tails[0]


def points_of(start: Point, steps: list[Segment]) -> list[Point]:
    """Points on cubics, evenly by their parameter."""
    found, here = [start], start
    for step in steps:
        chain = (here, *step.points)
        found += [bezier_point(chain, k / 16) for k in range(1, 17)]
        here = step.points[-1]
    return found


def _foot(axis: Axis, point: Point) -> float:
    """The parameter of the axis's nearest point, by search in ever finer steps."""
    low, high = 0.0, 1.0
    for _ in range(4):
        step = (high - low) / 24
        best = min(range(25), key=lambda k: axis.at(low + k * step).distance(point))
        low, high = max(low + (best - 1) * step, 0.0), min(low + (best + 1) * step, 1.0)
    return (low + high) / 2


AXES = (
    bow(Point(0, 0), Point(3, 20), Point(14, 38)),
    bow(Point(0, 0), Point(0, 15), Point(0, 30)),
    bow(Point(0, 0), Point(0, 22), Point(24, 30)),
    through([Point(0, 0), Point(8, 16), Point(0, 34)], Point(-10, 50)),
)


@pytest.mark.parametrize("axis", AXES)
@pytest.mark.parametrize("slant", [0.0, 0.25, -0.25])
def test_sides_are_offsets_of_the_axis_and_shrink_evenly_to_the_tip(
    axis: Axis, slant: float
) -> None:
    """Offset by its definition: the foot of a side's point on the axis lies square to it."""
    (dx, dy), (nx, ny) = axis.velocity(0.0), axis.normal(0.0)
    pace = math.hypot(dx, dy)
    for hand in (-1, 1):
        half = 3.5 * hand
        along = slant * half / pace
        end = axis.root.shifted(nx * half + dx * along, ny * half + dy * along)
        widths = []
        for point in points_of(end, side(axis, end))[:-1]:
            t = _foot(axis, point)
            (ax, ay), here = axis.normal(t), axis.at(t)
            off = (point.x - here.x) * ax + (point.y - here.y) * ay
            assert off * hand > 0, "it stays on its own side of the axis"
            if t > 0.05:  # before that the axis runs straight back into the balloon
                widths.append((t, abs(off)))
        (t0, w0), last = widths[0], widths[-1]
        assert last[1] < 0.15
        for t, width in widths:
            assert width == pytest.approx(w0 * (1 - t) / (1 - t0), abs=0.02)


@settings(max_examples=120, deadline=None)
@given(
    shape=some.sampled_from(SPLICED),
    angle=some.floats(0, 2 * math.pi),
    far=some.floats(52, 160),
    hand=some.sampled_from([0.0, 0.16]),
)
def test_every_shape_is_one_contour_with_its_balloon(
    shape: TailShape, angle: float, far: float, hand: float
) -> None:
    outline = oval_outline(OVAL, "x", hand)
    drawn, tail = one(outline, Aim(around(angle, far), shape=shape))
    line = flat(drawn)
    assert len(list(drawn.contours())) == 1 and line[0] == line[-1] == tail.tip
    whole = shapely.Polygon(line)
    assert whole.is_valid and drawn.area() > 0
    assert whole.buffer(0.05).covers(shapely.Polygon(flat(outline)))
    assert aim_error(tail) <= craft.TAIL_AIM_DEGREES
    ray = shapely.LineString([HEART, tail.mouth]).intersection(shapely.LineString(flat(outline)))
    border = Point(*shapely.get_coordinates(ray)[-1])
    left = tail.tip.distance(tail.mouth) / border.distance(tail.mouth)
    low, high = craft.TAIL_SHARE_RANGE
    assert low <= 1 - left <= high
    assert tail.shape == shape and tail.line[0] == tail.root
    assert tail.line[-1].distance(tail.tip) < 1e-6
    least, most = (caps * CAP for caps in craft.TAIL_BASE_RANGE_CAPS)
    assert least * 0.98 <= tail.base <= most + 1e-6


def test_a_straight_tail_has_straight_sides_and_lies_on_the_way() -> None:
    for angle in (0.0, 0.6, math.pi / 2, 2.9, 5.0):
        mouth = around(angle, 110)
        drawn, tail = one(PLAIN, Aim(mouth, shape="straight"))
        line = shapely.LineString([HEART, mouth])
        assert all(line.distance(shapely.Point(point)) < 0.01 for point in tail.course)
        out = [step for step in drawn.segments if step.verb != "Z"]
        at = next(k for k, step in enumerate(out) if k and step.points[-1] == tail.tip)
        sides = shapely.LineString([tail.ends[0], tail.tip])
        assert all(sides.distance(shapely.Point(p)) < 1e-3 for p in out[at].points)


def test_a_curved_tail_bends_one_way_and_gently() -> None:
    for angle in (0.4, 1.2, 1.9, 2.6, 4.0, 5.5):
        _, tail = one(PLAIN, Aim(around(angle, 110)))
        line = tail.course
        turns = [
            (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x)
            for a, b, c in zip(line, line[1:], line[2:], strict=False)
        ]
        assert all(turn > 0 for turn in turns) or all(turn < 0 for turn in turns)
        chord = shapely.LineString([tail.root, tail.tip])
        bulge = max(chord.distance(shapely.Point(point)) for point in line)
        assert 0.01 < bulge / tail.length < 0.15


def test_a_wavering_tail_swings_to_both_sides_of_a_smooth_one() -> None:
    axis = AXES[0]
    shaky = shaken(axis, 2, 1.5)
    offs = []
    for k in range(101):
        (nx, ny), p, q = axis.normal(k / 100), axis.at(k / 100), shaky.at(k / 100)
        offs.append((q.x - p.x) * nx + (q.y - p.y) * ny)
    assert max(offs) > 0.7 and min(offs) < -0.7
    assert max(map(abs, offs)) <= 1.5
    assert abs(offs[0]) < 1e-9 > abs(offs[-1])
    assert shaky.bend == axis.bend, "it still runs toward the mouth at its end"
    signs = [off > 0 for off in offs if abs(off) > 0.05]
    assert sum(a != b for a, b in itertools.pairwise(signs)) == 3


def test_a_bolt_is_all_corners_and_narrows_in_steps() -> None:
    begin, end, tip = Point(-4, 0), Point(4, 0), Point(0, 60)
    out, back = bolt(begin, end, tip)
    assert {step.verb for step in (*out, *back)} == {"L"}
    line = [begin, *(s.points[0] for s in out), *(s.points[0] for s in reversed(back[:-1])), end]
    shape = shapely.Polygon(line)
    assert shape.is_valid and shape.area > 0
    widths = [
        shape.intersection(shapely.LineString([(-20, y), (20, y)])).length for y in (6, 34, 52)
    ]
    assert widths[0] > widths[1] * 1.1 > widths[2] * 1.3
    # A corner on each side turns back outward: the steps of a bolt.
    xs = [step.points[0].x for step in out]
    assert xs[0] < xs[1] and xs[2] < xs[1]
    # Near the mouth there is no room for strokes: a plain point.
    assert len(bolt(begin, end, Point(0, 12))[0]) == 1


@settings(max_examples=40, deadline=None)
@given(
    angle=some.floats(0, 2 * math.pi),
    far=some.floats(75, 200),
    kind=some.sampled_from(["speech", "thought"]),
)
def test_a_trail_of_bubbles(angle: float, far: float, kind: str) -> None:
    outline = border_of(kind).outline(OVAL, Pen("x", craft.SIZE_USUAL, 0.16))
    drawn, tail = one(outline, Aim(around(angle, far), shape="bubbles"))
    assert drawn == outline, "the balloon itself has no tail"
    gap = craft.TRAIL_GAP_CAPS * CAP
    found = bubbles(tail, outline, gap)
    assert craft.TRAIL_LEAST <= len(found) <= craft.TRAIL_MOST
    shapes = [shapely.Polygon(flat(oval_outline(oval))) for oval in found]
    for one_shape, other in itertools.combinations(shapes, 2):
        assert one_shape.distance(other) > 0.2
    border = shapely.Polygon(flat(outline))
    assert border.distance(shapes[0]) >= gap - 0.05
    assert all(border.distance(shape) > gap - 0.05 for shape in shapes)
    assert all(a.b > b.b for a, b in itertools.pairwise(found))
    ways = [oval.center.distance(tail.mouth) for oval in found]
    assert ways == sorted(ways, reverse=True), "toward the mouth"
    assert shapes[-1].distance(shapely.Point(tail.mouth)) > 1
    assert aim_error(tail) <= craft.TAIL_AIM_DEGREES
    path = trail_path(found, "x", 0.16)
    assert len(list(path.contours())) == len(found)


def test_no_room_for_two_bubbles_is_no_trail() -> None:
    _, tail = one(PLAIN, Aim(HEART.shifted(0, 20 + 13), shape="bubbles"))
    assert bubbles(tail, PLAIN, CAP) == ()
    assert len(bubbles(tail, PLAIN, craft.TRAIL_GAP_CAPS * CAP)) == craft.TRAIL_LEAST


@settings(max_examples=60, deadline=None)
@given(
    angle=some.floats(0, 2 * math.pi),
    off=some.floats(-26, 26),
    share=some.floats(0.35, 0.6),
    shape=some.sampled_from(["curved", "wavering"]),
)
def test_a_tail_is_led_through_the_points_it_is_given(
    angle: float, off: float, share: float, shape: TailShape
) -> None:
    mouth = around(angle, 140)
    via = around(angle, 140 * share + 20).shifted(-math.sin(angle) * off, math.cos(angle) * off)
    drawn, tail = one(PLAIN, Aim(mouth, (via,), shape))
    near = shapely.LineString(tail.course).distance(shapely.Point(via))
    assert near < (0.3 if shape == "curved" else 2.5)
    assert aim_error(tail) <= craft.TAIL_AIM_DEGREES
    assert shapely.Polygon(flat(drawn)).is_valid


def test_several_points_on_the_way() -> None:
    places = (Point(140, 150), Point(120, 185), Point(150, 215))
    drawn, tail = one(PLAIN, Aim(Point(190, 240), places))
    course = shapely.LineString(tail.course)
    assert all(course.distance(shapely.Point(place)) < 0.3 for place in places)
    assert aim_error(tail) <= craft.TAIL_AIM_DEGREES
    assert shapely.Polygon(flat(drawn)).is_valid


def test_one_bend_serves_a_point_that_is_not_too_far_aside() -> None:
    sweep = swept(Point(0, 0), Point(10, 30), Point(60, 60), 20.0)
    assert sweep is not None and len(sweep.pieces) == 1
    assert sweep.tip.distance(Point(60, 60)) == pytest.approx(20, abs=1e-3)
    assert swept(Point(0, 0), Point(-40, 20), Point(5, 0), 2.0) is None, "a hook"


def test_a_whole_tail_ends_at_its_point() -> None:
    edge = around(0.3, 90)
    _, tail = one(PLAIN, Aim(edge, whole=True))
    assert tail.tip.distance(edge) < 1e-9 and aim_error(tail) == 0


@pytest.mark.parametrize("size", [8.0, 26.0, 34.0])
def test_the_tip_stops_before_the_face(size: float) -> None:
    mouth = around(1.1, 120)
    face = tuple(mouth.shifted(size * x, size * y) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
    _, usual = one(PLAIN, Aim(mouth))
    _, tail = one(PLAIN, Aim(mouth, face=face))
    gone = 1 - tail.tip.distance(mouth) / (usual.tip.distance(mouth) / (1 - STYLE.share))
    assert craft.TAIL_SHARE_BEFORE_FACE - 1e-6 <= gone <= STYLE.share + 1e-6
    off = shapely.Polygon(face).distance(shapely.Point(tail.tip))
    wanted = STYLE.clear + 2 * size * craft.TAIL_CLEAR_FACE_SHARE
    assert off >= wanted - 0.01 or gone == pytest.approx(craft.TAIL_SHARE_BEFORE_FACE)
    assert (tail.tip == usual.tip) is (size == 8.0)


def wall(box: tuple[float, float, float, float]) -> shapely.Polygon:
    return shapely.box(*box)


@pytest.mark.parametrize("mouth", [Point(100, 220), Point(140, 210), Point(60, 210)])
def test_a_tail_goes_round_what_the_judge_finds_in_its_way(mouth: Point) -> None:
    _, usual = one(PLAIN, Aim(mouth))
    at = usual.course[11]
    block = wall((at.x - 7, at.y - 5, at.x + 7, at.y + 5))

    def judge(line: Sequence[Station]) -> float:
        return 100.0 * sum(block.distance(shapely.Point(p)) <= half for p, half in line)

    drawn, (tail,), _ = tailed_outline(PLAIN, HEART, [mouth], STYLE, judge)
    body = shapely.Polygon(flat(drawn)).difference(shapely.Polygon(flat(PLAIN)))
    assert body.intersection(block).area < 0.05
    assert shapely.Polygon(flat(drawn)).is_valid
    assert aim_error(tail) <= craft.TAIL_AIM_DEGREES
    # Nothing in its way leaves the usual tail as it is.
    assert tailed_outline(PLAIN, HEART, [mouth], STYLE, lambda _: 0.0)[1] == (usual,)


def test_where_there_is_no_way_round_the_tail_is_drawn_all_the_same() -> None:
    drawn = tailed_outline(PLAIN, HEART, [around(1.0, 120)], STYLE, lambda _: 1000.0)
    assert drawn == tailed_outline(PLAIN, HEART, [around(1.0, 120)], STYLE)


@pytest.mark.parametrize("kind", ["broadcast", "weak", "singing", "speech", "whisper"])
@pytest.mark.parametrize("shape", SPLICED)
def test_a_tail_is_spliced_into_a_border_drawn_for_it(kind: str, shape: TailShape) -> None:
    border, pen = border_of(kind), Pen("x", craft.SIZE_USUAL, 0.16)
    for angle in (0.1, 0.9, 1.6, 2.4, 3.3, 4.4, 5.6):
        aims = [Aim(around(angle, 110), shape=shape)]
        drawn, (tail,), left = tailed_outline(
            PLAIN, HEART, aims, STYLE, None, lambda tails: border.outline(OVAL, pen, tails)
        )
        assert not left and drawn.segments[0].points[0] == tail.tip
        assert len(list(drawn.contours())) == 1
        assert shapely.Polygon(flat(drawn)).is_valid, (kind, shape, angle)
        plain = shapely.LineString(flat(border.outline(OVAL, pen, (tail,))))
        assert all(plain.distance(shapely.Point(end)) < 0.02 for end in tail.ends)


@pytest.mark.parametrize("angle", [0.2, 0.7, 1.3, 2.2, 2.9, 3.6, 4.4, 4.9, 5.7])
def test_a_tail_of_a_row_of_bumps_stands_on_one_of_them(angle: float) -> None:
    cloud = border_of("thought").outline(OVAL, Pen("x", craft.SIZE_USUAL, 0.0))
    notches = shapely.MultiPoint(list(_corners(cloud)))
    drawn, (tail,), _ = tailed_outline(cloud, HEART, [around(angle, 110)], STYLE)
    assert shapely.Polygon(flat(drawn)).is_valid
    assert notches.distance(shapely.MultiPoint(list(tail.ends))) > 1
    assert CAP < tail.base <= STYLE.base * 1.15


@pytest.mark.parametrize("angle", [0.2, 0.7, 1.3, 2.2, 2.9, 3.6, 4.4, 4.9, 5.7])
def test_a_tail_of_a_row_of_teeth_stands_between_notches(angle: float) -> None:
    teeth = border_of("broadcast").outline(OVAL, Pen("x", craft.SIZE_USUAL, 0.0))
    for shape in ("lightning", "curved"):
        aim = Aim(around(angle, 110), shape=shape)
        drawn, (tail,), _ = tailed_outline(teeth, HEART, [aim], STYLE)
        assert shapely.Polygon(flat(drawn)).is_valid
        corners = _corners(teeth)
        for end in tail.ends:
            at = min(range(len(corners)), key=lambda k: corners[k].distance(end))
            assert corners[at].distance(end) < 1e-6
            beside = corners[at - 1], corners[(at + 1) % len(corners)]
            assert all(HEART.distance(end) < HEART.distance(tooth) for tooth in beside)
        assert 0.8 * CAP < tail.base < 2.2 * CAP


def _corners(path: Path) -> list[Point]:
    ring = Ring(path)
    return [ring.point(at) for at in ring.corners()]


def test_inside_near_and_far() -> None:
    for shape in SPLICED:
        inside = Aim(HEART.shifted(5, 5), shape=shape)
        assert tailed_outline(PLAIN, HEART, [inside], STYLE)[2] == (
            Untailed(inside.mouth, "inside"),
        )
        near = Aim(HEART.shifted(0, 24), shape=shape)
        assert tailed_outline(PLAIN, HEART, [near], STYLE)[2] == (Untailed(near.mouth, "near"),)
        drawn, tail = one(PLAIN, Aim(HEART.shifted(900, 300), shape=shape))
        assert shapely.Polygon(flat(drawn)).is_valid and tail.length > 400


def test_a_tail_moves_with_all_that_it_tells() -> None:
    _, tail = one(PLAIN, Aim(around(1.0, 100)))
    moved = tail.shifted(3, -2)
    for place, before in (
        (moved.root, tail.root),
        (moved.course[3], tail.course[3]),
        (moved.ends[1], tail.ends[1]),
    ):
        assert place == before.shifted(3, -2)
    assert Tail(HEART, HEART, HEART, around(0, 5), 3.0).line == (HEART, around(0, 5))
    assert stations(tail.line, 8.0)[0][1] == 4.0 and stations(tail.line, 8.0)[-1][1] == 0.0


@settings(max_examples=80, deadline=None)
@given(
    shapes=some.lists(some.sampled_from(SPLICED), min_size=1, max_size=3),
    directions=some.lists(some.floats(0, 6.28), min_size=3, max_size=3),
    far=some.floats(55, 150),
    blocks=some.lists(
        some.tuples(some.floats(0, 6.28), some.floats(35, 110), some.floats(4, 18)), max_size=4
    ),
    caption=some.booleans(),
)
def test_whatever_is_in_the_way_no_contour_crosses_itself(
    shapes: list[TailShape],
    directions: list[float],
    far: float,
    blocks: list[tuple[float, float, float]],
    caption: bool,
) -> None:
    outline = PLAIN
    if caption:
        outline = frame_outline(Box(60, 85, 140, 115), "x", 0.16)
    aims = [Aim(around(at, far), shape=s) for at, s in zip(directions, shapes, strict=False)]
    walls = []
    for angle, away, half in blocks:
        x, y = around(angle, away)
        walls.append(shapely.box(x - half, y - half / 2, x + half, y + half / 2))

    def judge(line: Sequence[Station]) -> float:
        return 100.0 * sum(b.distance(shapely.Point(p)) <= half for p, half in line for b in walls)

    drawn, tails, left = tailed_outline(outline, HEART, aims, STYLE, judge)
    assert len(tails) + len(left) == len(set(aims))
    assert len(list(drawn.contours())) == 1
    assert shapely.Polygon(flat(drawn)).is_valid
    assert all(aim_error(tail) <= craft.TAIL_AIM_DEGREES for tail in tails)
    assert all(_turned(tail) <= TURNS_MOST for tail in tails)


TURNS_MOST = craft.TAIL_TURN_MOST + 60
"""A shaky tail turns to and fro on top of its bend."""


def _turned(tail: Tail) -> float:
    (a, b), (c, d) = tail.course[:2], tail.course[-2:]
    one, two = math.atan2(b.y - a.y, b.x - a.x), math.atan2(d.y - c.y, d.x - c.x)
    return abs(math.degrees((two - one + math.pi) % (2 * math.pi) - math.pi))


def test_a_bolt_that_leaves_aslant_does_not_run_over_its_border() -> None:
    for x in range(150, 260, 6):
        for box in (Box(60, 88, 140, 112), Box(20, 88, 180, 112)):
            outline = frame_outline(box, "x", 0.16)
            drawn, _, _ = tailed_outline(
                outline, HEART, [Aim(Point(x, 66), shape="lightning")], STYLE
            )
            assert shapely.Polygon(flat(drawn)).is_valid
