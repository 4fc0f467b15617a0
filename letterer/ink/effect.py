"""The maps by which a sound effect's letters are drawn, and the shapes beneath them.

Letters are given straight, in em: they begin at x = 0, the first line's baseline is y = 0, and y
grows downward. Maps are put together by `chained` and carried out by `warp.bent`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from letterer import craft
from letterer.geometry import Box, Path, Point, Segment, polygon
from letterer.ink.effect_line import Line
from letterer.ink.halo import STRAY_POINTS
from letterer.ink.warp import Floats, Map

MITRE_MOST = 4.0
"""A mitred corner longer than this many half-weights is cut off: the limit that SVG 1.1 has by
itself (section 11.4, stroke-miterlimit)."""

FOLD_STEP = 1e-4


def chained(*maps: Map) -> Map:
    """The map that does each of these in turn."""

    def through(points: Floats) -> Floats:
        for one in maps:
            points = one(points)
        return points

    return through


def smooth_through(values: Sequence[float], begin: float, end: float) -> Map:
    """A curve through values at even steps from `begin` to `end`: takes x (n,) to (n,).

    It rises where the values rise and falls where they fall, without overshooting: the monotone
    cubic of Fritsch and Carlson (SIAM J. Numer. Anal. 17, 1980), with the harmonic mean of
    Fritsch and Butland (SIAM J. Sci. Stat. Comput. 5, 1984) for its slopes. Level beyond the ends.
    """
    given = np.asarray(values, dtype=float)
    step = (end - begin) / (len(given) - 1)
    rises = np.diff(given) / step
    slopes = np.zeros(len(given))
    if len(given) == 2:
        slopes[:] = rises[0]
    else:
        before, after = rises[:-1], rises[1:]
        same = before * after > 0
        total = np.where(same, before + after, 1.0)
        slopes[1:-1] = np.where(same, 2 * before * after / total, 0.0)
        slopes[0] = _end_slope(rises[0], rises[1])
        slopes[-1] = _end_slope(rises[-1], rises[-2])

    def value(x: Floats) -> Floats:
        inside = np.clip((x - begin) / step, 0.0, len(given) - 1.0)
        place = np.minimum(inside.astype(int), len(given) - 2)
        t = inside - place
        low, high = given[place], given[place + 1]
        rise = (slopes[place], slopes[place + 1])
        bend = t * t * (3 - 2 * t)
        lean = step * (rise[0] * t * (1 - t) ** 2 - rise[1] * t * t * (1 - t))
        return np.asarray(low + (high - low) * bend + lean)

    return value


def _end_slope(near: float, next_one: float) -> float:
    """The slope at an end by three points, held so that the curve keeps to its values."""
    slope = (3 * near - next_one) / 2
    if slope * near <= 0:
        return 0.0
    if near * next_one <= 0 and abs(slope) > 3 * abs(near):
        return 3 * near
    return slope


def slanted(degrees: float) -> Map:
    """Letters that lean to the right about the baseline."""
    lean = math.tan(math.radians(degrees))
    return lambda points: np.asarray(points + points[:, 1:] * np.array([-lean, 0.0]))


def heightened(heights: Sequence[float], width: float, level: float) -> Map:
    """Letters as tall as `heights` say at even steps along the width; y = `level` stays."""
    height = smooth_through(heights, 0.0, width)

    def through(points: Floats) -> Floats:
        tall = level + (points[:, 1] - level) * height(points[:, 0])
        return np.stack([points[:, 0], tall], axis=1)

    return through


def bent_along(line: Line) -> Map:
    """Letters bent with their line: what was upright stands square on it."""

    def through(points: Floats) -> Floats:
        on, along = line.at(points[:, 0])
        up = np.stack([along[:, 1], -along[:, 0]], axis=1)
        return np.asarray(on - up * points[:, 1:])

    return through


def upright_along(line: Line) -> Map:
    """Letters that follow their line up and down while what was upright stays so."""

    def through(points: Floats) -> Floats:
        on, _ = line.at(points[:, 0])
        return np.stack([on[:, 0], on[:, 1] + points[:, 1]], axis=1)

    return through


def turned_along(line: Line, middle: float) -> Map:
    """One letter, whose middle is at x = `middle`, turned square to its line as it is."""

    def through(points: Floats) -> Floats:
        on, along = line.at(np.array([middle]))
        down = np.stack([-along[:, 1], along[:, 0]], axis=1)
        return np.asarray(on + along * (points[:, :1] - middle) + down * points[:, 1:])

    return through


def climbing(degrees: float, upright: bool) -> Map:
    """Words that climb to the right: turned as they are, or each letter upright."""
    angle = math.radians(degrees)
    if upright:
        rise = math.tan(angle)
        return lambda points: points - points[:, :1] * np.array([0.0, rise])
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    return lambda points: np.asarray(points @ turn)


def scaled(across: float, down: float) -> Map:
    """Larger or smaller, each way by itself."""
    return lambda points: points * np.array([across, down])


def to_corners(box: Box, corners: Sequence[Point]) -> Map:
    """The perspective map that takes a box to four corners, clockwise from the top left one.

    Heckbert, Fundamentals of Texture Mapping and Image Warping (1989), section 2.2.3: the map of
    the unit square to a quadrilateral in closed form.
    """
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    dx1, dx2, sx = x1 - x2, x3 - x2, x0 - x1 + x2 - x3
    dy1, dy2, sy = y1 - y2, y3 - y2, y0 - y1 + y2 - y3
    whole = dx1 * dy2 - dx2 * dy1
    g, h = (sx * dy2 - dx2 * sy) / whole, (dx1 * sy - sx * dy1) / whole
    across = np.array([x1 - x0 + g * x1, x3 - x0 + h * x3, x0])
    down = np.array([y1 - y0 + g * y1, y3 - y0 + h * y3, y0])
    depth = np.array([g, h, 1.0])
    size = np.array([box.width, box.height])

    def through(points: Floats) -> Floats:
        square = (points - np.array([box.left, box.top])) / size
        full = np.concatenate([square, np.ones((len(square), 1))], axis=1)
        return np.asarray(np.stack([full @ across, full @ down], axis=1) / (full @ depth)[:, None])

    return through


def folds(through: Map, points: Floats, least: float = 0.0) -> bool:
    """Whether a map turns the plane over anywhere at these points: letters would cross themselves.

    With `least`, whether it leaves anywhere less than this share of the room it mostly leaves. By
    the Jacobian, in differences.
    """
    step = FOLD_STEP
    right = through(points + np.array([step, 0.0])) - through(points - np.array([step, 0.0]))
    below = through(points + np.array([0.0, step])) - through(points - np.array([0.0, step]))
    room = right[:, 0] * below[:, 1] - right[:, 1] * below[:, 0]
    return bool((room <= max(least * float(np.median(room)), 0.0)).any())


def stroked_box(path: Path, reach: float, mitred: bool) -> Box | None:
    """The box round a path lined by a stroke that reaches this far to each side."""
    box = path.box()
    if box is None or reach <= 0:
        return box
    box = box.grown(reach)
    if not mitred:
        return box
    tips = [tip for ring in path.flattened(STRAY_POINTS) for tip in _tips(ring, reach)]
    xs, ys = [box.left, box.right, *(x for x, _ in tips)], [box.top, box.bottom]
    ys += [y for _, y in tips]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _tips(ring: Sequence[Point], reach: float) -> list[tuple[float, float]]:
    """The tips of the mitred corners of a closed ring."""
    corners = np.array(ring[:-1] if ring[0] == ring[-1] else ring, dtype=float)
    corners = corners[np.any(corners != np.roll(corners, 1, axis=0), axis=1)]
    if len(corners) < 3:
        return []
    leaving = np.roll(corners, -1, axis=0) - corners
    leaving /= np.hypot(leaving[:, 0], leaving[:, 1])[:, None]
    coming = np.roll(leaving, 1, axis=0)
    # The tip lies where the two lines' outer sides meet, 1 / sin(half the angle) reaches away.
    outward = coming - leaving
    size = np.hypot(outward[:, 0], outward[:, 1])  # twice the cosine of half the angle
    cosine = np.minimum(size / 2, 1.0)
    sine = np.sqrt(1 - cosine**2)
    sharp = (sine > 1 / MITRE_MOST) & (size > 1e-9)
    away = outward[sharp] / size[sharp][:, None] * (reach / sine[sharp])[:, None]
    return [(float(x), float(y)) for x, y in corners[sharp] + away]


def without_slivers(path: Path, reach: float) -> Path:
    """A letter without the counters that a line reaching so far inward would all but fill.

    What is left of a counter is reckoned by Steiner's formula for a convex shape drawn in.
    """
    turn = path.area()
    kept: list[Segment] = []
    for contour in path.contours():
        area = contour.area()
        if area * turn < 0:
            around = sum(map(_length, contour.flattened(STRAY_POINTS)))
            left = abs(area) - around * reach + math.pi * reach * reach
            if around / (2 * math.pi) < reach or left < craft.EFFECT_COUNTER_LEFT * abs(area):
                continue
        kept += contour.segments
    return Path(tuple(kept))


def _length(ring: Sequence[Point]) -> float:
    return sum(begin.distance(end) for begin, end in pairwise(ring))


def swept(path: Path, by: Point) -> Path:
    """All that a path covers on its way to where it is moved by (dx, dy), to be filled nonzero.

    The path, its copy, and strips between them. A strip runs as far as its edge faces one way, and
    every strip turns the way the letters do, so that none takes away from another.
    """
    rings = path.flattened(STRAY_POINTS)
    turn = 1.0 if path.area() >= 0 else -1.0
    shapes = [polygon(ring) for ring in rings]
    shapes += [shape.shifted(*by) for shape in shapes]
    for ring in rings:
        points = ring if ring[0] == ring[-1] else [*ring, ring[0]]
        strip: list[Point] = []
        facing = 0.0
        for begin, end in pairwise(points):
            side = (end.x - begin.x) * by.y - (end.y - begin.y) * by.x
            side = (side > 0) - (side < 0)
            if strip and side != facing:
                shapes.append(_strip(strip, by, facing * turn))
                strip = []
            if side:
                strip = strip or [begin]
                strip.append(end)
            facing = side
        if strip:
            shapes.append(_strip(strip, by, facing * turn))
    segments: list[Segment] = []
    for shape in shapes:
        segments += shape.segments
    return Path(tuple(segments))


def _strip(edge: Sequence[Point], by: Point, side: float) -> Path:
    """The strip that an edge sweeps, clockwise where `side` is positive."""
    there = [point.shifted(*by) for point in edge]
    ring = [*edge, *reversed(there)]
    return polygon(ring if side > 0 else reversed(ring))
