"""Slivers of art shut in by what is drawn are filled, and nothing else: by geometry (shapely)."""

from __future__ import annotations

import math
from typing import Any

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer.fit.oval import Oval
from letterer.geometry import Affine, Box, Path, Point, rectangle
from letterer.ink.outline import oval_outline
from letterer.ink.pockets import pockets


def area_of(path: Path) -> Any:
    rings = [shapely.Polygon(ring) for ring in path.flattened(0.01)]
    return shapely.union_all([ring.buffer(0) for ring in rings]) if rings else shapely.Polygon()


def frame(outer: Box, inner: Box) -> Path:
    """A box with a hole."""
    hole = rectangle(inner).segments
    start, *rest = [step.points[0] for step in hole[:-1]]
    turned = [start, *reversed(rest)]
    back = [step._replace(points=(p,)) for step, p in zip(hole[:-1], turned, strict=True)]
    return rectangle(outer) + Path((*back, hole[-1]))


def test_a_sliver_is_filled_and_a_wide_pocket_stays_open() -> None:
    sliver, wide = Box(20, 20, 23, 80), Box(20, 20, 60, 80)
    for inner, filled in ((sliver, True), (wide, False)):
        patch = area_of(pockets([frame(Box(0, 0, 100, 100), inner)], 0.0, 5.0))
        hole = shapely.box(*inner)
        assert patch.is_empty is not filled
        if filled:
            assert patch.contains(hole) and hole.buffer(1.5).contains(patch)


def test_lines_narrow_a_pocket_until_it_is_a_sliver() -> None:
    shape = frame(Box(0, 0, 100, 100), Box(20, 20, 30, 80))
    assert not pockets([shape], 0.0, 5.0)
    patch = area_of(pockets([shape], 3.0, 5.0))
    assert patch.contains(shapely.box(23, 23, 27, 77))
    assert shapely.box(20, 20, 30, 80).contains(patch)


def test_what_is_open_to_the_page_is_no_pocket() -> None:
    two = [rectangle(Box(0, 0, 40, 100)), rectangle(Box(43, 0, 90, 100))]
    assert not pockets(two, 0.0, 5.0)
    shut = [*two, rectangle(Box(0, 0, 90, 10)), rectangle(Box(0, 90, 90, 100))]
    assert area_of(pockets(shut, 0.0, 5.0)).contains(shapely.box(40, 10, 43, 90))
    assert not pockets([], 1.0, 5.0)


@settings(max_examples=25)
@given(
    st.floats(20, 60),
    st.floats(0.4, 3.0),
    st.floats(0, 2 * math.pi),
    st.floats(0, 2),
    st.booleans(),
)
def test_a_patch_shows_in_its_pocket_only(
    size: float, apart: float, turn: float, reach: float, both: bool
) -> None:
    """A crescent between two ovals, the inner one moved aside."""
    outer, hole = Oval(Point(0, 0), size, size, 2), Oval(Point(0, 0), size * 0.8, size * 0.8, 2)
    inner = hole.shifted(apart * math.cos(turn), apart * math.sin(turn))
    inner = Oval(inner.center, inner.a - apart - 1, inner.b - apart - 1, 2)
    ring = oval_outline(outer) + Path(tuple(oval_outline(hole).mapped(Affine(a=-1.0)).segments))
    shapes = [ring, oval_outline(inner)] if both else [ring]
    drawn = shapely.union_all(
        [
            area_of(oval_outline(outer)).difference(area_of(oval_outline(hole))),
            *([area_of(oval_outline(inner))] if both else []),
        ]
    ).buffer(reach)
    patch = area_of(pockets(shapes, reach, 0.3 * size))
    pocket = area_of(oval_outline(outer)).difference(drawn)
    if not both:
        assert patch.is_empty, "a whole hole is no sliver"
        return
    cell = 2 * (size + reach) / 500
    outside = patch.difference(shapely.union(drawn, pocket).buffer(cell / 2))
    assert outside.area < 1e-6, "never beyond what is drawn"
    if pocket.area > 20 * cell:
        assert pocket.difference(patch).area < 0.02 * pocket.area + cell
