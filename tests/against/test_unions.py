"""Unions of balloons against shapely, an outside library, and against a closed formula.

Two circles of radius 1 whose centres are 1 apart cover 4π/3 + √3/2 = 5.05482 (the area of two
circles less the lens they share, school geometry). Every other union is compared with shapely's
union of the same outlines as polygons; what lies wholly between two balloons is filled. Each union
is made again moved, turned and scaled: the same path must give the same union wherever it lies.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator

import pytest
import shapely

from letterer.fit.oval import Oval
from letterer.geometry import Affine, Path, Point, Segment
from letterer.ink.outline import oval_outline
from letterer.ink.tail import TailStyle, tailed_outline
from letterer.ink.union import united

UNIONS = 50
CHORD = 2e-3
STYLE = TailStyle(7.0, shortest=6.0, gap=3.0)


def area_of(path: Path) -> shapely.Polygon:
    """The area inside a path that must be one contour which does not cross itself."""
    rings = list(path.contours())
    assert len(rings) == 1
    assert rings[0].segments[-1] == Segment("Z")
    shape = shapely.Polygon(rings[0].flattened(CHORD)[0])
    assert shape.is_valid
    return shape


def whole(one: Path, other: Path) -> shapely.Polygon | None:
    """Shapely's union with its holes filled; None where the two lie apart."""
    union = shapely.union(area_of(one), area_of(other))
    return shapely.Polygon(union.exterior) if isinstance(union, shapely.Polygon) else None


def balloon(chance: random.Random, spread: float) -> Path:
    """An oval near the origin, with the hand's waver or without, and with a tail or without."""
    center = Point(chance.uniform(-spread, spread), chance.uniform(-spread, spread) / 2)
    half = chance.uniform(8, 30)
    oval = Oval(center, half * chance.uniform(0.8, 2.6), half, chance.uniform(2, 3))
    outline = oval_outline(oval, str(chance.random()), chance.choice([0.0, 0.16, 0.5]))
    if chance.random() < 0.5:
        turn = chance.uniform(0, 2 * math.pi)
        far = 4 * half
        mouth = center.shifted(far * math.cos(turn), far * math.sin(turn))
        return tailed_outline(outline, center, [mouth], STYLE)[0]
    return outline


def pairs(count: int) -> Iterator[tuple[Path, Path]]:
    """Balloons that overlap by chance, some of them joined already; some twins, moved or not."""
    chance = random.Random("unions")
    for index in range(count):
        one, other = balloon(chance, 30), balloon(chance, 45)
        if index % 5 == 0:
            one = united(one, balloon(chance, 40)) or one
        if index % 17 == 0:
            other = one.shifted(chance.choice([0.0, 1e-9, 1e-3, 3.0]), chance.choice([0.0, 2.0]))
        yield one, other


def copies(chance: random.Random) -> tuple[Affine, ...]:
    """The same again: as it is, moved, turned, scaled."""
    turn = chance.uniform(0, 2 * math.pi)
    c, s, scale = math.cos(turn), math.sin(turn), chance.uniform(0.3, 4)
    return (
        Affine(),
        Affine(e=chance.uniform(-900, 900), f=chance.uniform(-900, 900)),
        Affine(c, s, -s, c),
        Affine(scale, 0, 0, scale),
    )


def compare(count: int) -> tuple[int, int, float]:
    """How many unions were made, how many pairs lay apart, and the worst difference of area."""
    made, apart, worst = 0, 0, 0.0
    chance = random.Random("copies")
    for one, other in pairs(count):
        for move in copies(chance):
            first, second = one.mapped(move), other.mapped(move)
            union, expected = united(first, second), whole(first, second)
            if expected is None:
                assert union is None or shapely.distance(area_of(first), area_of(second)) < CHORD
                apart += 1
                continue
            assert union is not None
            worst = max(worst, abs(area_of(union).area - expected.area) / expected.area)
            assert shapely.area(area_of(union) ^ expected) < 1e-3 * expected.area
            made += 1
    return made, apart, worst


def test_two_circles_one_apart() -> None:
    circles = [oval_outline(Oval(Point(x, 0), 1, 1, 2)) for x in (0, 1)]
    union = united(*circles)
    assert union is not None
    assert union.area() == pytest.approx(4 * math.pi / 3 + math.sqrt(3) / 2, rel=1e-5)
    assert union.area() == pytest.approx(5.05482, rel=1e-5)


def test_unions_are_shapelys_wherever_they_lie() -> None:
    made, apart, worst = compare(UNIONS)
    assert made > 3 * UNIONS
    assert apart > 0
    assert worst < 1e-3
