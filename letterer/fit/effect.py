"""A sound effect's words: set straight, as large as the plan's size or box says."""

from __future__ import annotations

from letterer import craft
from letterer.fit.candidates import Candidate, PlacedLine, line_words, set_lines
from letterer.fit.measure import MeasuredWords
from letterer.geometry import Box, Point, union_box


def fit_effect(
    words: MeasuredWords,
    size: float,
    room: tuple[float, float] | None = None,
    breaks: tuple[int, ...] | None = None,
) -> Candidate:
    """A sound effect at a size in points, or as large as fits a room of (width, height).

    Lines break at `breaks`, the pieces that each line ends before, or where the writer broke them.
    """
    ends = [index + 1 for index, piece in enumerate(words.pieces) if piece.forced]
    breaks = breaks or tuple(dict.fromkeys([*ends, len(words)]))
    lines = set_lines(words, breaks)
    leading = words.cap * craft.EFFECT_LEADING_CAPS
    starts = [Point(-line.shaped.optical_middle, row * leading) for row, line in enumerate(lines)]
    ink = union_box(
        line.shaped.ink.shifted(*start) for line, start in zip(lines, starts, strict=True)
    )
    assert ink is not None
    halo = 2 * craft.EFFECT_HALO_EM
    if room is not None:
        size = min(room[0] / (ink.width + halo), room[1] / (ink.height + halo))
    middle = ink.center
    placed = tuple(
        PlacedLine(
            line_words(words, line),
            line.shaped,
            size,
            Point((start.x - middle.x) * size, (start.y - middle.y) * size),
        )
        for line, start in zip(lines, starts, strict=True)
    )
    half = Point((ink.width / 2) * size, (ink.height / 2) * size)
    return Candidate(placed, Box(-half.x, -half.y, half.x, half.y), size, breaks, ())
