"""A clear place in a panel for words that come to it, judged by eye: nothing is set for it.

How large a balloon will be is estimated from its letters; `letterer place` does it for true.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from letterer import craft
from letterer.geometry import Box, Point
from letterer.model.plan import Center, Corner, Edge, Fill, Placement

STEPS = 12
"""So many places across a panel, and down it, are looked at."""


def estimated(words: str) -> Point:
    """About how wide and how high a balloon with these words is, in points."""
    area = craft.BALLOON_LEAST_AREA + craft.BALLOON_AREA_A_LETTER * len(words)
    width = math.sqrt(area * craft.BALLOON_USUAL_ASPECT)
    return Point(width, area / width)


def taken_by(placed: Placement, panel: Box) -> Box:
    """About the room that a placement takes in its panel."""
    size = estimated(placed.words or "")
    match placed.spot:
        case Center(at):
            return _around(at, size)
        case Fill(box):
            return box
        case Corner(where):
            down, side = where.split()
            x = panel.left if side == "left" else panel.right - size.x
            y = panel.top if down == "top" else panel.bottom - size.y
        case Edge(side, along):
            x = panel.left + (panel.width - size.x) * along
            y = panel.top + (panel.height - size.y) * along
            x = {"left": panel.left, "right": panel.right - size.x}.get(side, x)
            y = {"top": panel.top, "bottom": panel.bottom - size.y}.get(side, y)
    return Box(x, y, x + size.x, y + size.y)


def clear_place(wanted: Point, size: Point, panel: Box, taken: Sequence[Box]) -> Point:
    """The place nearest to the one wanted where a balloon of this size meets nothing that is taken;
    where there is none, the one where it covers the least of it."""
    if not any(_around(wanted, size).meets(box) for box in taken):
        return wanted
    room = Point(max(panel.width - size.x, 0.0), max(panel.height - size.y, 0.0))
    middle = panel.center
    best, least = wanted, (math.inf, math.inf)
    for row in range(STEPS + 1):
        for column in range(STEPS + 1):
            at = Point(
                middle.x + room.x * (column / STEPS - 0.5), middle.y + room.y * (row / STEPS - 0.5)
            )
            box = _around(at, size)
            cost = (
                round(sum(box.common(other).area for other in taken), 6),
                round(math.dist(at, wanted), 6),
            )
            if cost < least:
                best, least = at, cost
    return best


def _around(middle: Point, size: Point) -> Box:
    return Box(
        middle.x - size.x / 2, middle.y - size.y / 2, middle.x + size.x / 2, middle.y + size.y / 2
    )
