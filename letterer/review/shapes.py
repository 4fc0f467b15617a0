"""The shapes that a look-over measures: bodies without tails, words as their lines, tails as drawn.

Curves are taken as polygons within 0.3 points of them; areas in common are counted on a fine grid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, holds, rectangle, union_box
from letterer.ink.tail import Tail
from letterer.page.lettered import PlacedUnit

TOLERANCE = 0.3
"""Polygons are this near to the curves, in points."""

GRID_FINE = 0.4
"""Areas are counted on points this far apart, in points, or farther in large boxes."""

GRID_MOST = 160
"""Grid points a side at most."""

OVAL_POINTS = 96
NEAR_ZERO = 1e-9

Polygon = list[Point]
Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Form:
    """One unit as shapes: `body` is balloon, caption or bare words as drawn, without tails; `lines`
    are the boxes of its lines of words; `tails` the middle lines of its tails."""

    unit: PlacedUnit
    body: list[Polygon]
    box: Box
    lines: tuple[Box, ...]
    tails: tuple[Polygon, ...]

    @property
    def words(self) -> list[Polygon]:
        """What must stay readable: the boxes of the lines, or the letters of a sound effect."""
        return self.body if self.unit.kind == "effect" else [corners(box) for box in self.lines]


def form_of(unit: PlacedUnit) -> Form:
    """The shapes of a unit."""
    lines = tuple(box for line in unit.lines if (box := line.box()) is not None)
    if unit.kind == "effect":
        body = [part for line in unit.lines for part in polygons(line)]
    elif unit.shape is None or unit.kind == "open":
        body = [corners(line) for line in lines]
    elif unit.own is not None:
        body = polygons(unit.own)
    elif isinstance(unit.shape, Oval):
        body = [oval_points(unit.shape)]
    else:
        body = [corners(unit.shape)]
    box = union_box(box_of(part) for part in body) or unit.ink
    return Form(unit, body, box, lines, tuple(tail_line(tail) for tail in unit.tails))


def polygons(path: Path) -> list[Polygon]:
    """A path as closed polygons."""
    return [points for points in path.flattened(TOLERANCE) if len(points) > 2]


def oval_points(oval: Oval) -> Polygon:
    """A superellipse as a polygon."""
    turn = np.linspace(0, 2 * np.pi, OVAL_POINTS, endpoint=False)
    cos, sin = np.cos(turn), np.sin(turn)
    x = oval.center.x + oval.a * np.sign(cos) * np.abs(cos) ** (2 / oval.n)
    y = oval.center.y + oval.b * np.sign(sin) * np.abs(sin) ** (2 / oval.n)
    return [Point(float(px), float(py)) for px, py in zip(x, y, strict=True)]


def tail_line(tail: Tail) -> Polygon:
    """The middle line of a tail, from its root to its tip."""
    line = list(tail.course) or [tail.root, tail.tip]
    return line if len(line) > 1 else [*line, tail.tip]


def corners(box: Box) -> Polygon:
    """A box as a polygon."""
    return rectangle(box).flattened()[0][:-1]


def box_of(points: Sequence[Point]) -> Box:
    """The box round some points."""
    xs, ys = [point.x for point in points], [point.y for point in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True, slots=True)
class Common:
    """What two shapes share: its area in square points, the share of the second that it is, and
    the box around it."""

    area: float
    share: float
    box: Box


def common(first: Sequence[Polygon], second: Sequence[Polygon]) -> Common | None:
    """What two shapes (each a union of polygons) share, or None when they share nothing."""
    ours = [box_of(part) for part in first if len(part) > 2]
    theirs = [box_of(part) for part in second if len(part) > 2]
    around, other = union_box(ours), union_box(theirs)
    if around is None or other is None or not around.meets(other):
        return None
    xs, ys = _grid(other)
    inside = _inside(second, xs, ys)
    both = inside & _inside(first, xs, ys)
    if not both.any():
        return None
    columns, rows = np.flatnonzero(both.any(axis=0)), np.flatnonzero(both.any(axis=1))
    step_x, step_y = xs[1] - xs[0], ys[1] - ys[0]
    box = Box(
        float(xs[columns[0]] - step_x / 2),
        float(ys[rows[0]] - step_y / 2),
        float(xs[columns[-1]] + step_x / 2),
        float(ys[rows[-1]] + step_y / 2),
    )
    count = int(both.sum())
    return Common(float(count * step_x * step_y), count / max(int(inside.sum()), 1), box)


def outside(shape: Sequence[Polygon], frame: Sequence[Polygon]) -> float:
    """The share of a shape that lies outside another, 0 to 1."""
    found = common(frame, shape)
    return 1.0 - (found.share if found else 0.0)


def _grid(box: Box) -> tuple[Floats, Floats]:
    def steps(low: float, high: float) -> Floats:
        many = int(min(max((high - low) / GRID_FINE, 12), GRID_MOST))
        edges = np.linspace(low, high, many + 1)
        return (edges[:-1] + edges[1:]) / 2

    return steps(box.left, box.right), steps(box.top, box.bottom)


def _inside(parts: Sequence[Polygon], xs: Floats, ys: Floats) -> Bools:
    """Which points of a grid lie in any of the polygons (even-odd within each)."""
    found = np.zeros((len(ys), len(xs)), dtype=np.bool_)
    for part in parts:
        inside = np.zeros_like(found)
        for place, q in enumerate(part):
            p = part[place - 1]
            if p.y == q.y:
                continue
            rows = (p.y > ys) != (q.y > ys)
            if not rows.any():
                continue
            cross = p.x + (ys[rows] - p.y) * (q.x - p.x) / (q.y - p.y)
            inside[rows] ^= xs[None, :] < cross[:, None]
        found |= inside
    return found


def distance(first: Sequence[Polygon], second: Sequence[Polygon]) -> float:
    """The least distance between the borders of two shapes; 0 where they meet or cross."""
    ours = np.array([point for part in first for point in _dense(part)])
    theirs = np.array([point for part in second for point in _dense(part)])
    if any(holds(part, Point(*ours[0])) for part in second):
        return 0.0
    if any(holds(part, Point(*theirs[0])) for part in first):
        return 0.0
    gaps = ours[:, None, :] - theirs[None, :, :]
    return float(np.sqrt((gaps**2).sum(axis=2)).min())


def _dense(part: Polygon) -> Polygon:
    """A polygon's border as points not far apart."""
    found: Polygon = []
    for place, q in enumerate(part):
        p = part[place - 1]
        steps = max(1, int(p.distance(q) / 2))
        found += [p.toward(q, step / steps) for step in range(steps)]
    return found


def crossing(first: Sequence[Point], second: Sequence[Point]) -> Point | None:
    """Where two open lines of points cross first, or None."""
    for a, b in pairwise(first):
        for c, d in pairwise(second):
            found = _crossing(a, b, c, d)
            if found is not None:
                return found
    return None


def _crossing(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    across = (b.x - a.x) * (d.y - c.y) - (b.y - a.y) * (d.x - c.x)
    if abs(across) < NEAR_ZERO:
        return None
    t = ((c.x - a.x) * (d.y - c.y) - (c.y - a.y) * (d.x - c.x)) / across
    s = ((c.x - a.x) * (b.y - a.y) - (c.y - a.y) * (b.x - a.x)) / across
    return a.toward(b, t) if 0 <= t <= 1 and 0 <= s <= 1 else None


def enters(line: Sequence[Point], shape: Sequence[Polygon]) -> Point | None:
    """Where an open line of points first lies in a shape, or None."""
    around = union_box(box_of(part) for part in shape if part)
    if around is None or not around.grown(TOLERANCE).meets(box_of(line).grown(TOLERANCE)):
        return None
    for place in range(len(line) - 1):
        for step in range(4):
            point = line[place].toward(line[place + 1], step / 4)
            if any(holds(part, point) for part in shape):
                return point
    return line[-1] if any(holds(part, line[-1]) for part in shape) else None
