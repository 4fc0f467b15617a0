"""Two closed contours made one, with no general boolean.

Ovals and their tails are known curves: their borders are cut where they cross and put together
again. What was made is compared with what it was made of before it is used.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np

from letterer.geometry import Path, Point
from letterer.ink.crossings import (
    SCAN_SLACK,
    Crossing,
    covered,
    crossings,
    drawn,
    encloses,
    levels_of,
    nudged,
    spans,
    walked,
)
from letterer.ink.ring import Ring

Contour = Path | Ring
"""A closed contour; as a ring, it keeps what was measured on it."""


def united(one: Contour, other: Contour) -> Path | None:
    """The outer border of two overlapping contours, sharp where they cross.

    What lies wholly between them is filled. None where they lie apart.
    """
    mine, yours = ring_of(one), ring_of(other)
    union = union_of(mine, yours, crossings(mine, yours))
    return union.ring.path if union else None


def united_all(body: Path, others: Iterable[Path]) -> Path:
    """A contour with others united to it one by one; those that lie apart from it are left out."""
    ring = Ring(body)
    for other in map(Ring, others):
        union = union_of(ring, other, crossings(ring, other))
        ring = union.ring if union else ring
    return ring.path


class Union(NamedTuple):
    """Two contours made one, and the corners where one goes over into the other."""

    ring: Ring
    corners: tuple[Point, ...] = ()


def union_of(mine: Ring, other: Ring, crossed: Sequence[Crossing]) -> Union | None:
    """The outer border of two contours, whose crossings are known."""
    for yours in nudged(other):
        found = crossed if yours is other else crossings(mine, yours)
        if not found:
            if outer := outer_of(mine, yours):
                return Union(outer)
            continue
        walks = walked(mine, yours, found, outside=True)
        contours = [(walk, Ring(drawn(walk))) for walk in walks]
        (walk, made), *holes = sorted(contours, key=lambda pair: -pair[1].area)
        if any(hole.area > 0 for _, hole in holes):
            continue
        if not covers(made, (mine, yours, *(hole for _, hole in holes)), 0.0):
            continue
        return Union(made, tuple(part.at for part in walk))
    return None


def covers(made: Ring, parts: Sequence[Ring], more: float) -> bool:
    """Whether a contour covers its parts and, but for `more` points a level line at most, no more.

    Counted on level lines, by the points of the contours: by another way than they were made.
    """
    levels = levels_of(made, *parts)
    whole, pieces = spans(made, levels), [spans(part, levels) for part in parts]
    outer, inner = covered(levels, whole), covered(levels, *pieces)
    lost = (covered(levels, whole, *pieces) - outer).sum()
    extra = np.maximum(outer - inner - more, 0.0).sum()
    return bool(max(lost, extra) <= SCAN_SLACK * len(levels))


def outer_of(mine: Ring, yours: Ring) -> Ring | None:
    """Of two contours that do not cross, the one that holds the other; None if they lie apart."""
    if encloses(mine, yours):
        return mine
    return yours if encloses(yours, mine) else None


def ring_of(contour: Contour) -> Ring:
    """A contour as a ring, with what was measured on it."""
    return contour if isinstance(contour, Ring) else Ring(contour)
