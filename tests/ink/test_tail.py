"""Tails by geometry: what they aim at, where they stop, how they meet the border."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import dataclass

import pytest
import shapely

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, Segment
from letterer.ink.outline import frame_outline, oval_outline
from letterer.ink.ring import Ring
from letterer.ink.tail import Tail, TailStyle, Untailed, aim_error, tailed_outline

CAP = 0.7 * craft.SIZE_USUAL
STYLE = TailStyle(
    craft.TAIL_BASE_CAPS * CAP,
    shortest=craft.TAIL_SHORTEST_CAPS * CAP,
    corner=craft.TAIL_CORNER_CAPS * CAP,
    gap=craft.TAIL_GAP_CAPS * CAP,
)
HEART = Point(100, 100)
# A tail's length is its share of the way, from the border on; a hair more for the hand's waver.
NEAREST = STYLE.shortest / craft.TAIL_SHARE + 0.15
LEAST_BASE, MOST_BASE = (caps * CAP for caps in craft.TAIL_BASE_RANGE_CAPS)


@dataclass(frozen=True)
class Case:
    """One balloon or caption with mouths, and what came of it."""

    kind: str
    outline: Path
    mouths: tuple[Point, ...]
    path: Path
    tails: tuple[Tail, ...]
    left: tuple[Untailed, ...]

    @property
    def told(self) -> str:
        return f"{self.kind} {self.outline.box()}, mouths {self.mouths}"

    def border(self, mouth: Point) -> Point:
        """Where the straight line from the heart to a mouth leaves the outline, by shapely."""
        ray = shapely.LineString([HEART, mouth])
        crossing = ray.intersection(shapely.LineString(flat(self.outline)))
        far = max(shapely.get_parts(crossing), key=lambda p: p.distance(shapely.Point(HEART)))
        return Point(far.x, far.y)


def flat(path: Path) -> list[Point]:
    return path.flattened(2e-3)[0]


def outline(chance: random.Random, kind: str) -> Path:
    hand = chance.choice([0.0, 0.16])
    if kind == "oval":
        b = chance.uniform(8.5, 35)
        oval = Oval(HEART, b * chance.uniform(1.2, 2.6), b, chance.choice([2.3, 2.4, 2.7]))
        return oval_outline(oval, str(chance.random()), hand)
    # A caption of one line is 2.2 caps and the border high.
    w, h = chance.uniform(15, 100), chance.choice([6.3, chance.uniform(6.3, 40)])
    box = Box(HEART.x - w, HEART.y - h, HEART.x + w, HEART.y + h)
    return frame_outline(box, str(chance.random()), hand)


def mouth_at(path: Path, angle: float, away: float) -> Point:
    """A mouth in a direction from the heart, so far from the border."""
    ring = Ring(path)
    at = ring.exit(HEART, Point(HEART.x + math.cos(angle), HEART.y + math.sin(angle)))
    assert at is not None
    border = ring.point(at)
    return HEART.toward(border, 1 + away / HEART.distance(border))


def case(roll: int, angles: list[float], aways: list[float], kind: str = "") -> Case:
    chance = random.Random(roll)
    kind = kind or chance.choice(["oval", "oval", "caption"])
    path = outline(chance, kind)
    mouths = tuple(mouth_at(path, angle, away) for angle, away in zip(angles, aways, strict=True))
    return Case(kind, path, mouths, *tailed_outline(path, HEART, mouths, STYLE))


def one_mouth() -> list[Case]:
    """Near and far, straight up, down, left and right, and in every other direction."""
    found = []
    for roll in range(400):
        chance = random.Random(-roll - 1)
        straight = chance.choice([0.0, 0.5, 1.0, 1.5]) * math.pi
        angle = chance.choice([straight, chance.uniform(0, 2 * math.pi)])
        away = chance.choice([chance.uniform(NEAREST, 25), chance.uniform(25, 110)])
        found.append(case(roll, [angle], [away]))
    return found


CASES = one_mouth()


def tail_shape(found: Case, tail: Tail) -> shapely.Polygon:
    """The tail alone, closed by a straight line across its base."""
    begin, _ = tail_ends(found, tail)
    out, back = sides(found.path, tail)
    return shapely.Polygon(flat(Path((Segment("M", (begin,)), *out, *back, Segment("Z")))))


def sides(path: Path, tail: Tail) -> tuple[list[Segment], list[Segment]]:
    """The drawing steps out to a tail's tip and back; the path may begin anywhere."""
    steps = path.segments[1:-1]
    stops = [step.points[-1] for step in steps]
    begin, tip, end = (stops.index(place) for place in (tail.ends[0], tail.tip, tail.ends[1]))
    count = len(steps)
    out = [steps[at % count] for at in range(begin + 1, begin + 1 + (tip - begin) % count)]
    back = [steps[at % count] for at in range(tip + 1, tip + 1 + (end - tip) % count)]
    return out, back


def tail_ends(found: Case, tail: Tail) -> tuple[Point, Point]:
    """Where a tail's sides leave the border and come back to it."""
    begin, end = tail.ends
    line = shapely.LineString(flat(found.outline))
    assert line.distance(shapely.Point(begin)) < 0.003 > line.distance(shapely.Point(end))
    return begin, end


def test_every_mouth_far_enough_gets_its_tail() -> None:
    for found in CASES:
        assert len(found.tails) == 1 and not found.left, found.told
    assert {found.kind for found in CASES} == {"oval", "caption"}


def test_the_axis_passes_the_mouth() -> None:
    for found in CASES:
        (tail,) = found.tails
        assert aim_error(tail) <= craft.TAIL_AIM_DEGREES, found.told
        # From the heart, too: the tip lies on the straight way to the mouth.
        line = shapely.LineString([HEART, tail.mouth])
        assert line.distance(shapely.Point(tail.tip)) < 0.02, found.told


def test_it_stops_short_of_the_mouth() -> None:
    low, high = craft.TAIL_SHARE_RANGE
    for found in CASES:
        (tail,) = found.tails
        border = found.border(tail.mouth)
        share = border.distance(tail.tip) / border.distance(tail.mouth)
        assert low <= share <= high, found.told
        assert share == pytest.approx(craft.TAIL_SHARE, abs=0.005), found.told


def test_its_base_is_neither_a_scratch_nor_a_horn() -> None:
    small = 0
    for found in CASES:
        (tail,) = found.tails
        box = found.outline.box()
        assert box is not None
        borne = min(
            box.width * craft.TAIL_BASE_BALLOON_SHARE, box.height * craft.TAIL_BASE_HEIGHT_SHARE
        )
        # The box is that of the border as drawn, waver and all.
        assert tail.base <= min(MOST_BASE, borne) + 1e-6, found.told
        length = found.border(tail.mouth).distance(tail.tip)
        # A short tail is a small one; a low or narrow balloon has one as wide as it bears.
        assert length > STYLE.shortest - 0.1, found.told
        assert tail.base >= min(LEAST_BASE, borne) * 0.98, found.told
        small += borne < LEAST_BASE
    assert 20 < small < len(CASES) - 100, "low balloons and others"


def test_balloon_and_tail_are_one_closed_contour_that_nowhere_crosses_itself() -> None:
    for found in CASES:
        assert len(list(found.path.contours())) == 1, found.told
        assert found.path.segments[-1].verb == "Z"
        line = flat(found.path)
        assert line[0] == line[-1]
        assert shapely.LinearRing(line).is_simple, found.told
        assert shapely.Polygon(line).is_valid, found.told
        assert found.path.area() > 0, "clockwise on the page"


def test_its_area_is_that_of_balloon_and_tail_together() -> None:
    for found in CASES:
        balloon = shapely.Polygon(flat(found.outline))
        tail = tail_shape(found, found.tails[0])
        assert tail.is_valid, found.told
        both = balloon.union(tail).area
        assert shapely.Polygon(flat(found.path)).area == pytest.approx(both, rel=0.005), found.told
        assert both > balloon.area * 1.0005, found.told
        # And nothing of the balloon is lost where the words stand.
        assert shapely.Polygon(flat(found.path)).buffer(0.05).covers(balloon), found.told


def test_it_tapers_to_its_tip() -> None:
    for found in CASES:
        (tail,) = found.tails
        if shapely.Polygon(flat(found.outline)).distance(shapely.Point(tail.mouth)) < CAP:
            continue  # far along the border, but hardly away from it: the tail lies on the border
        tip = shapely.Point(tail.tip)
        shape = tail_shape(found, tail)
        widths = [
            shape.intersection(tip.buffer(tail.length * share).exterior).length
            for share in (0.1, 0.3, 0.5, 0.7)
        ]
        for nearer, farther in itertools.pairwise(widths):
            assert farther > nearer * 0.95, found.told
        assert widths[-1] > 1.8 * widths[0], found.told


def test_a_captions_tail_keeps_off_the_corners() -> None:
    tried = 0
    for roll in range(300):
        chance = random.Random(roll)
        found = case(
            roll, [chance.uniform(0, 2 * math.pi)], [chance.uniform(NEAREST, 60)], "caption"
        )
        (tail,) = found.tails
        box = found.outline.box()
        assert box is not None
        begin, end = tail_ends(found, tail)
        base = shapely.LineString([begin, end])
        corners = shapely.MultiPoint(
            [(x, y) for x in (box.left, box.right) for y in (box.top, box.bottom)]
        )
        # The hand's waver moves the box's edge by up to 0.16 pt.
        assert base.distance(corners) > STYLE.corner - 0.4, found.told
        tried += base.distance(corners) < STYLE.corner + 0.4
    assert tried > 5, "no mouth lay beyond a corner"


def test_beyond_a_corner_the_nearer_side_is_taken() -> None:
    frame = frame_outline(Box(0, 0, 100, 40))
    style = TailStyle(8, bend=0.0, corner=3)
    # Both lines leave the frame near its lower right corner, one on each side of it.
    for mouth, on_side in ((Point(150, 57.9), True), (Point(150, 60.1), False)):
        _, (tail,), _ = tailed_outline(frame, Point(50, 20), [mouth], style)
        assert (tail.root.x == 100) is on_side
        assert (tail.root.y == 40) is not on_side


@pytest.mark.parametrize("kind", ["oval", "caption"])
def test_mouths_inside_or_too_near_get_none_and_a_reason(kind: str) -> None:
    path = outline(random.Random(3), kind)
    for angle in (0.3, 1.6, 2.0, 4.0):
        inside = mouth_at(path, angle, -3.0)
        assert tailed_outline(path, HEART, [inside], STYLE) == (
            path,
            (),
            (Untailed(inside, "inside"),),
        )
        # The tail would have 0.55 of the way: just under the shortest, 1.2 caps, and just over it.
        near = mouth_at(path, angle, NEAREST - 0.3)
        assert tailed_outline(path, HEART, [near], STYLE)[1:] == ((), (Untailed(near, "near"),))
        (far,) = tailed_outline(path, HEART, [mouth_at(path, angle, NEAREST)], STYLE)[1]
        assert far.length > STYLE.shortest - 0.1
    assert tailed_outline(path, HEART, [HEART], STYLE)[2] == (Untailed(HEART, "inside"),)


def test_a_border_full_of_tails_has_no_room_for_more() -> None:
    path = oval_outline(Oval(HEART, 14, 10, 2.4))
    mouths = [mouth_at(path, 2 * math.pi * at / 12, 40) for at in range(12)]
    drawn, tails, left = tailed_outline(path, HEART, mouths, STYLE)
    assert tails and left and {item.why for item in left} == {"room"}
    assert len(tails) + len(left) == 12
    assert shapely.Polygon(flat(drawn)).is_valid


def several() -> list[Case]:
    found = []
    for roll in range(240):
        chance = random.Random(roll * 7 + 1)
        count = chance.choice([2, 2, 3])
        start, apart = chance.uniform(0, 6.28), chance.choice([0.2, 0.5, 1.0, 2.0])
        angles = [start + apart * at for at in range(count)]
        chance.shuffle(angles)
        found.append(case(roll, angles, [chance.uniform(NEAREST, 75) for _ in angles]))
    return found


SEVERAL = several()


def test_two_and_three_tails_are_one_contour_and_do_not_cross() -> None:
    left_out = 0
    for found in SEVERAL:
        left_out += len(found.left)
        assert {item.why for item in found.left} <= {"room"}, found.told
        assert len(list(found.path.contours())) == 1
        assert shapely.Polygon(flat(found.path)).is_valid, found.told
        shapes = [tail_shape(found, tail) for tail in found.tails]
        balloon = shapely.Polygon(flat(found.outline))
        for one, other in itertools.combinations(shapes, 2):
            shared = one.intersection(other).difference(balloon)
            assert shared.area < 0.01, found.told
        for tail in found.tails:
            assert aim_error(tail) <= craft.TAIL_AIM_DEGREES
            assert tail.mouth in found.mouths
    assert left_out <= len(SEVERAL) // 50


def straight(found: Case, monkeypatch: pytest.MonkeyPatch) -> Case:
    """The same mouths with tails that do not bend."""
    with monkeypatch.context() as patch:
        patch.setattr(craft, "TAIL_BEND_SEVERAL", 0.0)
        drawn = tailed_outline(found.outline, HEART, found.mouths, STYLE)
        return Case(found.kind, found.outline, found.mouths, *drawn)


def test_several_tails_bend_a_little_and_cost_no_mouth_its_tail(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    bent = fallen_back = 0
    for found in SEVERAL + CROWDED:
        plain = straight(found, monkeypatch)
        assert len(found.left) <= len(plain.left), found.told
        pairs = list(zip(found.tails, plain.tails, strict=False))
        bent += any(ours.root.distance(theirs.root) > 0.2 for ours, theirs in pairs)
        fallen_back += found.path == plain.path and len(found.tails) > 1
        assert shapely.Polygon(flat(found.path)).is_valid, found.told
    assert bent > len(SEVERAL) * 0.7
    assert fallen_back > 3, "no bend that would have cost a tail its room"


def crowded() -> list[Case]:
    """Mouths so close together, in so many directions, that not all may find room."""
    found = []
    for roll in range(120):
        chance = random.Random(roll * 11 + 5)
        start, apart = chance.uniform(0, 6.28), chance.choice([0.1, 0.2, 0.35])
        angles = [start + apart * at for at in range(chance.choice([3, 4]))]
        found.append(case(roll, angles, [chance.uniform(NEAREST, 75) for _ in angles]))
    return found


CROWDED = crowded()


def test_a_tail_that_is_left_alone_bends_as_one_does() -> None:
    path = oval_outline(Oval(HEART, 40, 20, 2.4))
    mouth, inside = mouth_at(path, 1.2, 40), mouth_at(path, 2.0, -5)
    alone = tailed_outline(path, HEART, [mouth], STYLE)
    both = tailed_outline(path, HEART, [mouth, inside], STYLE)
    assert both[:2] == alone[:2] and both[2] == (Untailed(inside, "inside"),)
    # A mouth that is named twice has one tail, where it would have it.
    assert tailed_outline(path, HEART, [mouth, mouth], STYLE) == alone


def test_the_contour_begins_at_a_tip() -> None:
    for found in (*CASES, *SEVERAL):
        start = found.path.segments[0]
        assert start.verb == "M" and found.tails
        assert start.points[0] in [tail.tip for tail in found.tails], "a dash begins at the tip"
        assert found.path.segments[-2].points[-1] == start.points[0], "and it is closed there"


def test_bases_keep_apart() -> None:
    for found in SEVERAL:
        ring = Ring(found.outline)
        line = shapely.LineString(flat(found.outline))
        spans = []
        for tail in found.tails:
            begin, end = tail_ends(found, tail)
            spans.append((line.project(shapely.Point(begin)), line.project(shapely.Point(end))))
        for one, other in itertools.permutations(spans, 2):
            apart = (other[0] - one[1]) % ring.length
            assert apart >= STYLE.gap - 0.05, found.told


def test_tails_come_in_the_order_of_their_mouths() -> None:
    path = oval_outline(Oval(HEART, 40, 20, 2.4))
    mouths = [mouth_at(path, angle, 40) for angle in (2.2, 0.9, 1.5)]
    drawn, tails, _ = tailed_outline(path, HEART, mouths, STYLE)
    assert [tail.mouth for tail in tails] == mouths
    again = tailed_outline(path, HEART, [mouths[2], mouths[0], mouths[1]], STYLE)
    assert again[0] == drawn, "in whatever order they are named"


def test_no_mouth_leaves_the_outline_alone() -> None:
    path = oval_outline(Oval(HEART, 40, 20, 2.4))
    assert tailed_outline(path, HEART, [], STYLE) == (path, (), ())
