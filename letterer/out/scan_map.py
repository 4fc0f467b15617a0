"""From a page to a scan of it: the map that four marks give, and what it says of the scan.

Pixels are counted from the top left corner of the first one, so its middle is (0.5, 0.5).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import MM_PER_INCH, POINTS_PER_INCH, Point

Floats = NDArray[np.float64]
MM = MM_PER_INCH / POINTS_PER_INCH
LEAST_SIDE_PX = 24.0
"""Points by hand that are nearer than this are no corners of a page."""


@dataclass(frozen=True, slots=True)
class ScanMap:
    """The map from points of the page to pixels of the scan: nine numbers, row by row, of a
    projective map; an affine one ends with 0, 0, 1. `off` is by how much the marks do not agree
    with an affine map, in mm on the page, at most."""

    rows: tuple[float, ...]
    off: float

    @property
    def affine(self) -> bool:
        """True where straight scanning explains the marks: turned, scaled, skewed."""
        return self.rows[6] == 0.0 and self.rows[7] == 0.0

    def apply(self, at: Point) -> Point:
        """Where a point of the page is in the scan, in pixels."""
        a, b, c, d, e, f, g, h, i = self.rows
        w = g * at.x + h * at.y + i
        return Point((a * at.x + b * at.y + c) / w, (d * at.x + e * at.y + f) / w)

    def sides(self, at: Point) -> tuple[float, float, float, float]:
        """How the page lies there: pixels a point along x and y, the turn in degrees clockwise,
        and by how many degrees its right angle is skewed. NaN where it is mirrored."""
        here, x, y = self.apply(at), self.apply(at.shifted(1, 0)), self.apply(at.shifted(0, 1))
        right, down = (x.x - here.x, x.y - here.y), (y.x - here.x, y.y - here.y)
        turn = math.degrees(math.atan2(right[1], right[0]))
        between = math.degrees(math.atan2(down[1], down[0])) - turn
        skew = (between - 90 + 180) % 360 - 180
        return math.hypot(*right), math.hypot(*down), turn, skew


def map_from(marks: Sequence[Point], seen: Sequence[Point]) -> ScanMap:
    """The map that takes four marks of the page to where they are seen, by least squares.

    An affine map has six unknowns for eight numbers: what is left over tells how good it is. Where
    more is left over than a straight scan explains (a photograph), the projective map through the
    four points is taken instead (eight unknowns; the usual linear equations, from memory).
    """
    source = np.array(marks, dtype=np.float64)
    target = np.array(seen, dtype=np.float64)
    design = np.column_stack([source, np.ones(len(source))])
    found, *_ = np.linalg.lstsq(design, target, rcond=None)
    left = np.hypot(*(design @ found - target).T)
    scale = math.sqrt(abs(float(np.linalg.det(found[:2])))) or 1.0
    off = float(left.max()) / scale * MM
    if off <= craft.SCAN_AFFINE_MM:
        (a, d), (b, e), (c, f) = found.tolist()
        return ScanMap((a, b, c, d, e, f, 0.0, 0.0, 1.0), off)
    return ScanMap(_through(source, target), off)


def _through(source: Floats, target: Floats) -> tuple[float, ...]:
    """The projective map through four points; first moved and scaled, which keeps it sound."""
    middle, size = source.mean(axis=0), float(np.abs(source - source.mean(axis=0)).max())
    x, y = ((source - middle) / size).T
    u, v = target.T
    one, none = np.ones(4), np.zeros(4)
    equations = np.vstack(
        [
            np.column_stack([x, y, one, none, none, none, -u * x, -u * y]),
            np.column_stack([none, none, none, x, y, one, -v * x, -v * y]),
        ]
    )
    solved = np.append(np.linalg.solve(equations, np.concatenate([u, v])), 1.0).reshape(3, 3)
    moved = np.array([[1, 0, -middle[0]], [0, 1, -middle[1]], [0, 0, size]]) / size
    whole = solved @ moved
    return tuple((whole / whole[2, 2]).ravel().tolist())


def check_corners(points: Sequence[Point], told: str) -> None:
    """Refuse four points that cannot be corners of a page, clockwise from its top left."""
    for place, at in enumerate(points):
        before, after = points[place - 1], points[(place + 1) % 4]
        across = (at.x - before.x) * (after.y - at.y) - (at.y - before.y) * (after.x - at.x)
        if at.distance(after) < LEAST_SIDE_PX:
            what = f"two of the four points of {told} are the same, or nearly"
            raise LettererError(Fault(what, "Give one for each corner"))
        if across <= 0:
            what = f"the four points of {told} do not go round the page"
            mend = "Give them clockwise: top left, top right, bottom right, bottom left"
            raise LettererError(Fault(what, mend))


def check_plausible(found: ScanMap, middle: Point) -> None:
    """Refuse a map that no scan of a page has. Raises LettererError."""
    wide, high, _, skew = found.sides(middle)
    uneven = max(wide, high) / min(wide, high) - 1
    if uneven <= craft.SCAN_UNEVEN_MOST and abs(skew) <= craft.SCAN_SKEW_MOST_DEGREES:
        return
    what = (
        "the points do not fit this page: its width and height would differ by"
        f" {uneven * 100:.0f} % and its corners by {abs(skew):.1f} degrees"
    )
    raise LettererError(Fault(what, "Check the --page, and the order of --marks if you gave them"))
