"""Bending outlines: a path is carried through a map of the plane, its curves to a tolerance.

The map takes points (n, 2) to points (n, 2). Each segment's image is followed by cubic curves that
start and end on it with its true direction (Hermite's form of a cubic); where one strays too far,
the segment is halved. Both sides of a joint are the same point carried once, so nothing cracks.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from letterer.geometry import Path, Point, Segment

Floats = NDArray[np.float64]
Map = Callable[[Floats], Floats]
"""A map of the plane: points (n, 2) to points (n, 2)."""

TOLERANCE_POINTS = 0.01
"""How far a bent outline may stray from the true image of the letter: far below a printed dot."""

SAFETY = 0.4
"""The share of the tolerance that is used, since an outline is compared at a few points only."""

STRAIGHT_SHARE = 0.1
"""A line whose image strays from a straight one by less than this share of it stays a line."""

HALVINGS_MOST = 12
STEP = 1e-4
"""Step of the differences that give the image's direction, as a share of the segment."""

INNER = np.arange(1, 8) / 8
"""Where along a segment its image is compared."""

TIMES = np.concatenate([[0.0, STEP, 2 * STEP], INNER, [1 - 2 * STEP, 1 - STEP, 1.0]])


def _powers(times: Floats) -> Floats:
    """Bernstein weights of a cubic at some times: (len(times), 4)."""
    t, s = times, 1 - times
    return np.stack([s**3, 3 * s * s * t, 3 * s * t * t, t**3], axis=1)


WEIGHTS = _powers(TIMES)
INNER_WEIGHTS = _powers(INNER)


def bent(path: Path, through: Map, tolerance: float = TOLERANCE_POINTS) -> Path:
    """A path carried through a map. `tolerance` is measured in the image, in points.

    Lines whose image is straight stay lines; every other segment becomes cubic curves.
    """
    starts, cubics, lines, closed = _as_cubics(path)
    if not starts:
        return Path()
    moved = through(np.array([point for point, _ in starts]))
    pieces = _followed(cubics, lines, through, tolerance)
    made: list[Segment] = []
    for contour, (_, many) in enumerate(starts):
        made.append(Segment("M", (Point(*map(float, moved[contour])),)))
        first = sum(count for _, count in starts[:contour])
        for index in range(first, first + many):
            made += pieces[index]
        if closed[contour]:
            made.append(Segment("Z"))
    return Path(tuple(made))


def points_of(path: Path, tolerance: float) -> Floats:
    """Points along a path, close enough together for its box: (n, 2)."""
    return np.array([point for ring in path.flattened(tolerance) for point in ring])


def dense_points(path: Path, step: float) -> Floats:
    """Points along a path no farther apart than `step`: (n, 2)."""
    found: list[Floats] = []
    for ring in path.flattened(step / 4):
        corners = np.array(ring)
        ways = np.hypot(*np.diff(corners, axis=0).T)
        along = np.concatenate([[0.0], np.cumsum(ways)])
        at = np.linspace(0.0, along[-1], max(int(np.ceil(along[-1] / step)), 1) + 1)
        found.append(np.stack([np.interp(at, along, corners[:, side]) for side in (0, 1)], axis=1))
    return np.concatenate(found)


def nearest_points(one: Floats, other: Floats) -> float:
    """The distance of the nearest two of some points."""
    away = one[:, None] - other[None]
    return float(np.sqrt((away**2).sum(axis=2).min()))


def _as_cubics(
    path: Path,
) -> tuple[list[tuple[Point, int]], Floats, NDArray[np.bool_], list[bool]]:
    """The segments of a path as cubics (n, 4, 2) and whether each was a line; for each contour
    its start, its number of segments, and whether it is closed. Closing lines are drawn out."""
    starts: list[tuple[Point, int]] = []
    cubics: list[tuple[Point, Point, Point, Point]] = []
    lines: list[bool] = []
    closed: list[bool] = []
    here = Point(0.0, 0.0)

    def add(chain: tuple[Point, Point, Point, Point], line: bool) -> None:
        cubics.append(chain)
        lines.append(line)
        starts[-1] = (starts[-1][0], starts[-1][1] + 1)

    for verb, points in path.segments:
        if verb == "M":
            here = points[0]
            starts.append((here, 0))
            closed.append(False)
            continue
        if verb == "Z":
            begin, closed[-1] = starts[-1][0], True
            if begin != here:
                add((here, here.toward(begin, 1 / 3), here.toward(begin, 2 / 3), begin), True)
            here = begin
            continue
        end = points[-1]
        if verb == "L":
            if end != here:
                add((here, here.toward(end, 1 / 3), here.toward(end, 2 / 3), end), True)
        elif verb == "Q":
            middle = points[0]
            add((here, here.toward(middle, 2 / 3), end.toward(middle, 2 / 3), end), False)
        else:
            add((here, points[0], points[1], end), False)
        here = end
    shape = np.array(cubics, dtype=float).reshape(-1, 4, 2)
    return starts, shape, np.array(lines, dtype=bool), closed


def _followed(
    cubics: Floats, lines: NDArray[np.bool_], through: Map, tolerance: float
) -> list[list[Segment]]:
    """The image of each cubic as segments, in order."""
    pieces: list[list[tuple[float, Segment]]] = [[] for _ in cubics]
    owner, begin = np.arange(len(cubics)), np.zeros(len(cubics))
    span = 1.0
    for depth in range(HALVINGS_MOST + 1):
        if not len(cubics):
            break
        image = through((WEIGHTS @ cubics).reshape(-1, 2)).reshape(len(cubics), len(TIMES), 2)
        first, last, inner = image[:, 0], image[:, -1], image[:, 3:-3]
        leaving = (-3 * first + 4 * image[:, 1] - image[:, 2]) / (2 * STEP)
        coming = (3 * last - 4 * image[:, -2] + image[:, -3]) / (2 * STEP)
        drawn = np.stack([first, first + leaving / 3, last - coming / 3, last], axis=1)
        stray = np.hypot(*np.moveaxis(INNER_WEIGHTS @ drawn - inner, 2, 0)).max(axis=1)
        straight = lines[owner] & (_off_chord(first, last, inner) <= tolerance * STRAIGHT_SHARE)
        done = straight | (stray <= tolerance * SAFETY)
        if depth == HALVINGS_MOST:
            done[:] = True
        for index in np.flatnonzero(done):
            chain = [Point(float(x), float(y)) for x, y in drawn[index]]
            step = Segment("L", (chain[3],)) if straight[index] else Segment("C", tuple(chain[1:]))
            pieces[owner[index]].append((float(begin[index]), step))
        left = ~done
        halves = _halved(cubics[left])
        owner = np.repeat(owner[left], 2)
        span /= 2
        begin = np.repeat(begin[left], 2) + np.tile([0.0, span], int(left.sum()))
        cubics = halves
    return [[step for _, step in sorted(piece, key=lambda item: item[0])] for piece in pieces]


def _off_chord(first: Floats, last: Floats, inner: Floats) -> Floats:
    """How far the inner points lie from the straight line between the ends, at most."""
    chord = last - first
    length = np.hypot(chord[:, 0], chord[:, 1])
    away = inner - first[:, None]
    cross = chord[:, None, 0] * away[..., 1] - chord[:, None, 1] * away[..., 0]
    distance = np.abs(cross) / np.maximum(length, 1e-12)[:, None]
    return np.asarray(distance.max(axis=1))


def _halved(cubics: Floats) -> Floats:
    """Each cubic as its two halves (de Casteljau): (2n, 4, 2)."""
    p0, p1, p2, p3 = (cubics[:, place] for place in range(4))
    a, b, c = (p0 + p1) / 2, (p1 + p2) / 2, (p2 + p3) / 2
    d, e = (a + b) / 2, (b + c) / 2
    middle = (d + e) / 2
    pairs = np.stack([np.stack([p0, a, d, middle], axis=1), np.stack([middle, e, c, p3], axis=1)])
    return np.moveaxis(pairs, 0, 1).reshape(-1, 4, 2)
