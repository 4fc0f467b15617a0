"""Curves as straight steps, for drawing in pixels: many paths at once, in numpy.

Skia cuts curves in single precision, so that the same curve a hundred pixels further on may differ
in its last bit, and then in a soft edge. Straight steps between points on a fine grid are drawn
alike wherever they lie, so a page drawn in tiles is the same as one drawn whole. (Curves drawn as
they were gave some 5 to 30 pixels a page another shade.)
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import chain
from operator import itemgetter
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from letterer.geometry import Box, Path
from letterer.text.letter_path import Shape, Stamp, StampedPath

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Points = NDArray[np.float64] | NDArray[np.float32]
    Complexes = NDArray[np.complex128]
    Ints = NDArray[np.intp]

MOVE, LINE, QUAD, CONIC, CUBIC, CLOSE = range(6)
CODES = bytes.maketrans(b"MLQCZ", bytes([MOVE, LINE, QUAD, CUBIC, CLOSE]))
VERB_OF, POINTS_OF = itemgetter(0), itemgetter(1)
POINTS = np.array([1, 1, 2, 2, 3, 0])
"""Points that each verb takes, by its code."""

OFF = 0.04
"""Pixels that a step may lie off its curve: a sixth of what Skia rounds the heights of edges to."""

GRID = 256
"""Points lie on so many places a pixel: what Skia rounds the ends of straight edges to, and exact
in single precision on pages of up to 65,536 pixels."""

STEPS_MOST = 256

SHAPES_KEPT = 1024
"""Letters that are kept as arrays, at a size each: some hundreds a book, 5 KB each."""

CROP_BEYOND = 2
"""Whole pixels that a cropped clip reaches beyond what is drawn in it."""


class Outline(NamedTuple):
    """Contours as arrays: the verbs' codes, their points (n, 2), and a weight for each conic."""

    verbs: NDArray[np.uint8]
    points: Points
    weights: Floats = np.empty(0)


def outline_of(path: Path) -> Outline:
    """A path as arrays, in its own unit."""
    if isinstance(path, StampedPath):
        return Outline(*_set_down(path.stamps, [_shape_outline(one[0]) for one in path.stamps]))
    segments = path.segments
    verbs = "".join(map(VERB_OF, segments)).encode().translate(CODES)
    values = list(chain.from_iterable(chain.from_iterable(map(POINTS_OF, segments))))
    points = np.array(values, dtype=np.float64).reshape(-1, 2)
    return Outline(np.frombuffer(verbs, dtype=np.uint8), points)


def letters_in_steps(path: StampedPath, scale: float, corner: tuple[float, float]) -> Outline:
    """Letters as straight steps between points on the grid, in pixels, `scale` of them a point,
    from a corner of the page. Each shape is cut into steps once."""
    left, top = corner
    places = [(shape, (x - left) * scale, (y - top) * scale) for shape, x, y in path.stamps]
    verbs, points = _set_down(places, [_shape_steps(one[0], scale) for one in path.stamps])
    return Outline(verbs, _on_grid(points))


def _set_down(
    stamps: Sequence[Stamp], outlines: Sequence[Outline]
) -> tuple[NDArray[np.uint8], Floats]:
    """The outlines of shapes together, each in its place: their verbs and points."""
    if not stamps:
        return np.empty(0, dtype=np.uint8), np.empty((0, 2))
    points: Floats = np.concatenate([outline.points for outline in outlines])
    places = np.array([(x, y) for _, x, y in stamps])
    points += np.repeat(places, [len(outline.points) for outline in outlines], axis=0)
    return np.concatenate([outline.verbs for outline in outlines]), points


@lru_cache(maxsize=SHAPES_KEPT)
def _shape_outline(shape: Shape) -> Outline:
    return outline_of(shape.outline())


@lru_cache(maxsize=SHAPES_KEPT)
def _shape_steps(shape: Shape, scale: float) -> Outline:
    """A shape in pixels, as straight steps round its origin."""
    verbs, points, _ = _shape_outline(shape)
    stepped, placed, _ = _stepped(Outline(verbs, points * scale))
    return Outline(stepped, placed)


def in_steps(outlines: Sequence[Outline]) -> list[Outline]:
    """Outlines in pixels, each as straight steps between points on the grid."""
    if not outlines:
        return []
    whole = Outline(
        np.concatenate([outline.verbs for outline in outlines]),
        np.concatenate([outline.points for outline in outlines]),
        np.concatenate([outline.weights for outline in outlines]),
    )
    verbs, placed, counts = _stepped(whole)
    points = _on_grid(placed)
    ends = np.cumsum([len(outline.verbs) for outline in outlines])
    verb_cuts = np.concatenate(([0], np.cumsum(np.maximum(counts, 1))))[ends]
    point_cuts = np.concatenate(([0], np.cumsum(counts)))[ends]
    cut = zip(np.split(verbs, verb_cuts[:-1]), np.split(points, point_cuts[:-1]), strict=True)
    return [Outline(*one) for one in cut]


def around(points: Points) -> Box:
    """The box around points, of which there is one at least."""
    xs, ys = np.ascontiguousarray(points.T)  # a row each: numpy is slow across rows of two
    return Box(float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max()))


def cropped(clip: Outline, drawn: Points) -> Outline:
    """A clip in straight steps, cut to just beyond the box of what is drawn within it.

    A panel may be far larger than the balloon that it cuts. (Sutherland & Hodgman 1974: one side of
    the box after another; seams that it leaves run outside the box.)
    """
    box = around(drawn)
    bounds = (
        (0, 1, math.floor(box.left) - CROP_BEYOND),
        (0, -1, math.ceil(box.right) + CROP_BEYOND),
        (1, 1, math.floor(box.top) - CROP_BEYOND),
        (1, -1, math.ceil(box.bottom) + CROP_BEYOND),
    )
    contours: list[list[tuple[float, float]]] = []
    points = iter(clip.points.tolist())
    for verb in clip.verbs.tolist():
        if verb == MOVE:
            contours.append([])
        if verb != CLOSE:
            x, y = next(points)
            contours[-1].append((x, y))
    verbs: list[int] = []
    kept: list[tuple[float, float]] = []
    for contour in contours:
        for axis, sign, bound in bounds:
            contour = _beyond(contour, axis, sign, bound)
        if len(contour) > 2:
            verbs += [MOVE, *[LINE] * (len(contour) - 1), CLOSE]
            kept += contour
    points = np.array(kept, dtype=np.float64).reshape(-1, 2)
    return Outline(np.array(verbs, dtype=np.uint8), _on_grid(points))


def _beyond(
    contour: list[tuple[float, float]], axis: int, sign: int, bound: float
) -> list[tuple[float, float]]:
    """The part of a closed contour on one side of a line across an axis."""
    kept: list[tuple[float, float]] = []
    for place, here in enumerate(contour):
        before = contour[place - 1]
        inside, was = (sign * (point[axis] - bound) >= 0 for point in (here, before))
        if inside != was:
            share = (bound - before[axis]) / (here[axis] - before[axis])
            cut = [a + share * (b - a) for a, b in zip(before, here, strict=True)]
            cut[axis] = bound
            kept.append((cut[0], cut[1]))
        if inside:
            kept.append(here)
    return kept


def _on_grid(points: Floats) -> NDArray[np.float32]:
    """Points on the nearest places of the grid; the array that was given is used up."""
    points *= GRID
    np.round(points, out=points)
    points /= GRID
    return points.astype(np.float32)


def _stepped(whole: Outline) -> tuple[NDArray[np.uint8], Floats, Ints]:
    """Verbs and points of the steps, and how many points each verb became.

    Points are complex numbers meanwhile, x + iy, which halves the work.
    """
    verbs = whole.verbs
    points = np.ascontiguousarray(whole.points, dtype=np.float64).view(np.complex128).ravel()
    begins = np.cumsum(POINTS[verbs]) - POINTS[verbs]
    counts = np.where(verbs == CLOSE, 0, 1)
    curves: list[tuple[Ints, Ints, Callable[[Floats, Ints], Complexes]]] = []
    for kind, curve in ((QUAD, _quads), (CONIC, _conics), (CUBIC, _cubics)):
        places = np.flatnonzero(verbs == kind)
        if len(places):
            steps, at = curve(points, begins[places], whole.weights)
            counts[places] = steps
            curves.append((places, steps, at))
    ends = np.cumsum(counts)
    made = np.empty(int(ends[-1]) if len(ends) else 0, dtype=np.complex128)
    plain = np.flatnonzero((verbs == MOVE) | (verbs == LINE))
    made[ends[plain] - 1] = points[begins[plain]]
    for places, steps, at in curves:
        which = np.repeat(np.arange(len(places)), steps)
        begun = np.cumsum(steps) - steps
        step = np.arange(len(which)) - begun[which]
        made[(ends[places] - steps)[which] + step] = at((step + 1) / steps[which], which)
    each = np.maximum(counts, 1)
    stepped = np.repeat(np.where(verbs > LINE, LINE, verbs), each)
    stepped[np.cumsum(each)[verbs == CLOSE] - 1] = CLOSE
    return stepped.astype(np.uint8), made.view(np.float64).reshape(-1, 2), counts


def _steps(bend: Floats, share: float) -> Ints:
    """Even steps that keep a curve within `OFF` of them; its second difference is `bend` long.

    A chord lies off a curve by at most an eighth of its second derivative, times its step squared.
    """
    steps = np.ceil(np.sqrt(bend * (share / 8 / OFF))).astype(np.intp)
    clipped: Ints = np.clip(steps, 1, STEPS_MOST)
    return clipped


def _quads(
    points: Complexes, begins: Ints, _: Floats
) -> tuple[Ints, Callable[[Floats, Ints], Complexes]]:
    first, control, last = (points[begins + shift] for shift in (-1, 0, 1))
    slope, bend = 2 * (control - first), first - 2 * control + last

    def at(t: Floats, which: Ints) -> Complexes:
        place: Complexes = (bend[which] * t + slope[which]) * t + first[which]
        return place

    return _steps(np.abs(bend), 2), at


def _conics(
    points: Complexes, begins: Ints, weights: Floats
) -> tuple[Ints, Callable[[Floats, Ints], Complexes]]:
    first, control, last = (points[begins + shift] for shift in (-1, 0, 1))
    bend = np.abs(first - 2 * control + last) * np.maximum(weights, 1)

    def at(t: Floats, which: Ints) -> Complexes:
        near = 1 - t
        pull = 2 * near * t * weights[which]
        place = near * near * first[which] + pull * control[which] + t * t * last[which]
        shared: Complexes = place / (near * near + pull + t * t)
        return shared

    return _steps(bend, 2), at


def _cubics(
    points: Complexes, begins: Ints, _: Floats
) -> tuple[Ints, Callable[[Floats, Ints], Complexes]]:
    one, two, three, four = (points[begins + shift] for shift in (-1, 0, 1, 2))
    before, after = one - 2 * two + three, two - 2 * three + four
    slope, curved, twist = 3 * (two - one), 3 * before, after - before

    def at(t: Floats, which: Ints) -> Complexes:
        place: Complexes = ((twist[which] * t + curved[which]) * t + slope[which]) * t + one[which]
        return place

    return _steps(np.maximum(np.abs(before), np.abs(after)), 6), at
