"""Balloons and captions cut flat on a line: the border of a panel, or the edge of the page.

What lies beyond the line is cut away, and the flat side lies exactly on the line.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

from letterer.geometry import Box, Path, Point, polygon
from letterer.ink.crossings import crossings, drawn, encloses, nudged, walked
from letterer.ink.ring import Ring

FAR = 50.0
"""The part that is kept reaches this far beyond everything, in points, where no line bounds it."""


class Line(NamedTuple):
    """A straight line from one point to another; what is kept lies on its right as it is walked
    (with y downward), as the inside of a clockwise contour does."""

    begin: Point
    end: Point

    def inside(self, point: Point) -> float:
        """How far a point lies on the kept side, in points; negative beyond the line.

        >>> Line(Point(0, 0), Point(10, 0)).inside(Point(3, 2))
        2.0
        """
        x, y = self.inward
        return (point.x - self.begin.x) * x + (point.y - self.begin.y) * y

    @property
    def inward(self) -> Point:
        """The direction from the line to the kept side, of length 1."""
        dx, dy = self.end.x - self.begin.x, self.end.y - self.begin.y
        length = math.hypot(dx, dy)
        return Point(-dy / length, dx / length)


def cut(path: Path, lines: Sequence[Line]) -> Path | None:
    """A closed contour without what lies beyond the lines: one closed contour, clockwise.

    Of several pieces the largest is kept. None when nothing is left, or no sound contour comes of
    it.
    """
    box = path.box()
    if box is None:
        return None
    kept = _kept(box, lines)
    if len(kept) < 3:
        return None
    ring = Ring(path)
    for room in nudged(Ring(polygon(kept))):
        found = crossings(ring, room)
        if not found:
            return path if encloses(room, ring) else None
        pieces = [drawn(walk) for walk in walked(ring, room, found, outside=False)]
        return max(pieces, key=lambda piece: piece.area())
    return None


def _kept(box: Box, lines: Sequence[Line]) -> list[Point]:
    """The corners of what is kept around a box (Sutherland and Hodgman 1974, from memory)."""
    wide = box.grown(FAR)
    corners = [
        Point(wide.left, wide.top),
        Point(wide.right, wide.top),
        Point(wide.right, wide.bottom),
        Point(wide.left, wide.bottom),
    ]
    for line in lines:
        found: list[Point] = []
        for p, q in itertools.pairwise((*corners, *corners[:1])):
            before, after = line.inside(p), line.inside(q)
            if before >= 0:
                found.append(p)
            if (before < 0) != (after < 0):
                found.append(_on(line, p.toward(q, before / (before - after))))
        corners = found
    return corners


def _on(line: Line, point: Point) -> Point:
    """A point that lies on a line but for rounding, put on it exactly where the line is level or
    upright."""
    if line.begin.y == line.end.y:
        return Point(point.x, line.begin.y)
    if line.begin.x == line.end.x:
        return Point(line.begin.x, point.y)
    return point
