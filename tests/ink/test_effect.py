"""The maps and shapes of sound effects, by geometry and against published forms."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator
from shapely import Polygon, affinity, unary_union
from shapely.geometry.base import BaseGeometry

from letterer.geometry import Affine, Box, Path, Point, Segment, polygon, rectangle
from letterer.ink.effect import (
    bent_along,
    climbing,
    folds,
    heightened,
    slanted,
    smooth_through,
    stroked_box,
    swept,
    to_corners,
    turned_along,
    upright_along,
    without_slivers,
)
from letterer.ink.effect_line import Arc, wave_line
from letterer.ink.halo import STRAY_POINTS
from letterer.text.faces import FaceLibrary

BOX = Box(3, -20, 63, 4)
CORNERS = (Point(0, 0), Point(100, -20), Point(120, 50), Point(-10, 30))


def corners_of(box: Box) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    left, top, right, bottom = box
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]], dtype=float)


def shape_of(path: Path) -> BaseGeometry:
    """A letter as shapely has it: its outer contours less its counters."""
    rings = [Polygon(ring) for ring in path.flattened(STRAY_POINTS)]
    turn = math.copysign(1, path.area())
    solid = [r for r, c in zip(rings, path.contours(), strict=True) if c.area() * turn > 0]
    holes = [r for r, c in zip(rings, path.contours(), strict=True) if c.area() * turn < 0]
    return unary_union(solid) - unary_union(holes) if holes else unary_union(solid)


# --- Perspective --------------------------------------------------------------------------------


def test_corners_go_to_corners_exactly() -> None:
    made = to_corners(BOX, CORNERS)(corners_of(BOX))
    assert made == pytest.approx(np.array(CORNERS), abs=1e-12)


def test_the_middle_goes_where_the_diagonals_cross() -> None:
    """A projective map keeps lines, so it keeps the crossing of diagonals (Hartley and Zisserman,
    Multiple View Geometry, theorem 2.10)."""
    x, y = to_corners(BOX, CORNERS)(np.array([BOX.center]))[0]
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = CORNERS
    assert (x - x0) * (y2 - y0) == pytest.approx((y - y0) * (x2 - x0))
    assert (x - x1) * (y3 - y1) == pytest.approx((y - y1) * (x3 - x1))


@given(st.floats(0.05, 0.95), st.floats(-20, 4))
def test_perspective_keeps_cross_ratios(share: float, y: float) -> None:
    """The cross ratio of four points on a line is the invariant of projective maps (the same)."""
    at = [BOX.left + BOX.width * t for t in (0.0, share / 2, share, 1.0)]
    images = to_corners(BOX, CORNERS)(np.array([[x, y] for x in at]))

    def ratio(a: float, b: float, c: float, d: float) -> float:
        return (c - a) * (d - b) / ((c - b) * (d - a))

    along = [float(np.hypot(*(image - images[0]))) for image in images]
    assert ratio(*along) == pytest.approx(ratio(*at), rel=1e-6)


def test_a_parallelogram_needs_no_perspective() -> None:
    flat = (Point(0, 0), Point(60, 10), Point(70, 40), Point(10, 30))
    middle = to_corners(BOX, flat)(np.array([BOX.center]))[0]
    assert middle == pytest.approx([35, 20])


# --- Heights --------------------------------------------------------------------------------------


@given(st.lists(st.floats(0.2, 5), min_size=2, max_size=9))
def test_heights_keep_between_their_values_and_follow_their_rise(values: list[float]) -> None:
    curve = smooth_through(values, 0.0, 10.0)
    knots = np.linspace(0.0, 10.0, len(values))
    assert curve(knots) == pytest.approx(values)
    for (x0, x1), (v0, v1) in zip(
        itertools.pairwise(knots), itertools.pairwise(values), strict=True
    ):
        steps = np.diff(curve(np.linspace(x0, x1, 50)))
        assert (steps * np.sign(v1 - v0) >= -1e-9).all() if v0 != v1 else abs(steps).max() < 1e-9


@given(st.lists(st.floats(0.2, 5), min_size=3, max_size=9))
def test_heights_are_the_published_monotone_curve(values: list[float]) -> None:
    """Against SciPy's, which is Fritsch and Butland's form of Fritsch and Carlson's curve."""
    knots = np.linspace(0.0, 10.0, len(values))
    x = np.linspace(0.0, 10.0, 101)
    assert smooth_through(values, 0.0, 10.0)(x) == pytest.approx(
        PchipInterpolator(knots, values)(x), abs=1e-9
    )


def test_a_swelling_word_swells_to_its_middle() -> None:
    swell = heightened((1, 1.8, 1), 40.0, -5.0)
    x = np.linspace(0, 40, 81)
    tops = swell(np.stack([x, np.full_like(x, -10.0)], axis=1))[:, 1]
    rise = np.diff(-tops)
    assert (rise[:40] > 0).all() and (rise[40:] < 0).all()
    assert -tops[40] == pytest.approx(5 + 5 * 1.8)
    level = swell(np.stack([x, np.full_like(x, -5.0)], axis=1))
    assert level == pytest.approx(np.stack([x, np.full_like(x, -5.0)], axis=1))


# --- Standing on a line ---------------------------------------------------------------------------

STEM = np.array([[20.0, 0.0], [20.0, -10.0]])


def test_letters_stand_square_or_upright_as_asked() -> None:
    line = wave_line(60, 6, 1)
    on, along = line.at(np.array([20.0]))
    foot, head = bent_along(line)(STEM)
    assert foot == pytest.approx(on[0]) and np.dot(head - foot, along[0]) == pytest.approx(0)
    assert np.hypot(*(head - foot)) == pytest.approx(10)
    foot, head = upright_along(line)(STEM)
    assert foot == pytest.approx(on[0]) and head - foot == pytest.approx([0, -10])
    foot, head = climbing(20, True)(STEM)
    assert head - foot == pytest.approx([0, -10])
    assert foot == pytest.approx([20, -20 * math.tan(math.radians(20))])
    foot, head = climbing(20, False)(STEM)
    assert math.degrees(math.atan2(-foot[1], foot[0])) == pytest.approx(20)
    assert np.dot(head - foot, foot) == pytest.approx(0)


def test_turned_letters_keep_their_shape() -> None:
    letter = np.array([[15.0, 0.0], [25.0, 0.0], [25.0, -9.0], [15.0, -9.0]])
    image = turned_along(Arc(60, 120), 20.0)(letter)
    for one, other in itertools.combinations(range(4), 2):
        assert np.hypot(*(image[one] - image[other])) == pytest.approx(
            float(np.hypot(*(letter[one] - letter[other])))
        )
    on, along = Arc(60, 120).at(np.array([20.0]))
    assert image[1] - image[0] == pytest.approx(along[0] * 10)
    assert (image[0] + image[1]) / 2 == pytest.approx(on[0])


def test_a_slant_leans_to_the_right_about_the_baseline() -> None:
    foot, head = slanted(30)(STEM)
    assert foot == pytest.approx(STEM[0])
    assert head == pytest.approx([20 + 10 * math.tan(math.radians(30)), -10])


def test_folding_is_seen() -> None:
    points = np.array([[x, -y] for x in (2.0, 10.0, 18.0) for y in (0.0, 4.0, 8.0)])
    assert not folds(bent_along(Arc(20, 90)), points)
    assert not folds(bent_along(Arc(20, -90)), points)  # radius 12.7: 8 leaves more than a third
    assert folds(bent_along(Arc(20, -90)), points, 0.6)
    assert folds(bent_along(Arc(20, -200)), points)  # radius 5.7


# --- Shapes beneath -------------------------------------------------------------------------------


LARGE = Affine(50.0, 0.0, 0.0, 50.0)


@settings(max_examples=20)
@given(st.floats(-9, 9), st.floats(-9, 9))
def test_a_block_shadow_covers_the_whole_way(dx: float, dy: float) -> None:
    """Against shapely: the union of the letter at many places on its way, and no more than that."""
    assume(math.hypot(dx, dy) > 0.5)
    face = FaceLibrary().face("Bangers")
    for char in "AOK":
        letter = face.outline(face.glyph(char)).mapped(LARGE)
        made = swept(letter, Point(dx, dy))
        turn = math.copysign(1, letter.area())
        rings = [ring for ring in made.flattened() if len(ring) > 3]
        strips = [Polygon(ring) for ring in rings[2 * len(letter.flattened(STRAY_POINTS)) :]]
        shape = shape_of(letter)
        # Every strip turns as the letter does: filled nonzero, they only add to it.
        for contour in list(made.contours())[2 * len(list(letter.contours())) :]:
            assert contour.area() * turn >= -1e-9
        there = affinity.translate(shape, dx, dy)
        covered = unary_union([shape, there, *(strip.buffer(0) for strip in strips)])
        steps = [affinity.translate(shape, dx * t / 40, dy * t / 40) for t in range(41)]
        true = unary_union(steps)
        assert true.difference(covered.buffer(1e-6)).area < 1e-6
        assert covered.area == pytest.approx(true.area, rel=0.004)


def test_a_square_swept_aside_is_a_longer_one() -> None:
    made = swept(rectangle(Box(0, 0, 10, 10)), Point(5, 0))
    assert made.box() == Box(0, 0, 15, 10)
    # Two squares and two strips of 5 by 10, every one clockwise.
    assert made.area() == pytest.approx(2 * 100 + 2 * 50)


def test_the_box_of_a_line_with_round_and_mitred_corners() -> None:
    square = rectangle(Box(0, 0, 10, 10))
    for mitred in (False, True):
        assert stroked_box(square, 2, mitred) == pytest.approx(Box(-2, -2, 12, 12))
    wedge = polygon((Point(0, 0), Point(20, -6), Point(20, 6)))
    assert stroked_box(wedge, 1, False) == pytest.approx(Box(-1, -7, 21, 7))
    half = math.atan2(6, 20)
    box = stroked_box(wedge, 1, True)
    assert box is not None and box.left == pytest.approx(-1 / math.sin(half))
    needle = polygon((Point(0, 0), Point(20, -2), Point(20, 2)))  # sharper than the limit of 4
    box = stroked_box(needle, 1, True)
    assert box is not None and box.left == -1
    assert stroked_box(Path(), 1, False) is None


@given(st.floats(0.3, 3.0))
def test_the_box_of_a_mitred_line_is_shapelys(reach: float) -> None:
    face = FaceLibrary().face("Luckiest Guy")
    for char in "AKW":
        letter = face.outline(face.glyph(char)).mapped(LARGE)
        box = stroked_box(letter, reach, True)
        assert box is not None
        true = shape_of(letter).buffer(reach, join_style="mitre", mitre_limit=4).bounds
        # Shapely cuts corners beyond the limit short; SVG bevels them: never beyond our box.
        assert Box(*true).left >= box.left - 0.05 and Box(*true).right <= box.right + 0.05
        assert Box(*true).top >= box.top - 0.05 and Box(*true).bottom <= box.bottom + 0.05


def test_slivers_in_counters_are_filled() -> None:
    ring = rectangle(Box(0, 0, 30, 30))
    hole = polygon((Point(10, 10), Point(10, 20), Point(20, 20), Point(20, 10)))
    letter = Path((*ring.segments, *hole.segments))
    assert without_slivers(letter, 0.5) == letter
    assert without_slivers(letter, 4.0) == ring
    assert without_slivers(letter, 40.0) == ring
    assert without_slivers(Path((Segment("M", (Point(0, 0),)),)), 1.0) == Path(
        (Segment("M", (Point(0, 0),)),)
    )
