"""The knock-out behind words without a balloon, as a path that every program strokes whole.

A halo is far wider than the small curves of its letters. Where a curve is tighter than half the
stroke, the inner edge of the stroke runs backward and takes away from it: Skia, Cairo, resvg and
librsvg all leave a hole beside the dot of an exclamation mark. A stroke of straight lines has no
such holes, since each line and each round join only adds to it.
"""

from __future__ import annotations

from collections.abc import Iterable

from letterer.geometry import Path, polygon
from letterer.text.letter_path import Stamp, StampedPath

STRAY_POINTS = 0.03
"""How far the straight lines may stray from the letters, in points: unseen under a halo's edge."""


def halo_path(lines: Iterable[Path]) -> Path:
    """The outlines of all lines together as straight lines, to be stroked and filled."""
    outlines = tuple(lines)
    stamps: list[Stamp] = []
    for line in outlines:
        if not isinstance(line, StampedPath):  # its letters were bent
            rings = [ring for one in outlines for ring in one.flattened(STRAY_POINTS)]
            return Path(tuple(segment for ring in rings for segment in polygon(ring).segments))
        stamps += [(shape._replace(stray=STRAY_POINTS), x, y) for shape, x, y in line.stamps]
    return StampedPath(stamps)
