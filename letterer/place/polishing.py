"""Units moved a little from the places of a grid to where they stand better."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from letterer.geometry import Box
from letterer.place.costs import alone, together, total
from letterer.place.ground import Floats
from letterer.place.order import read_in_order
from letterer.place.scene import Scene, Seats, Spot, seats_at
from letterer.place.solving import HAIR

STEPS = (6.0, 3.0, 1.5)
"""Moves of so many points are tried, up to twice as far each way."""

Place = tuple[int, float, float, Spot | None]
"""Where one unit stands: which body, x, y, and the spot where it is a corner or an edge."""

Standing = list[Place]
"""Where each unit stands."""


def polished(scene: Scene, standing: Standing) -> Standing:
    """Units in their places, each moved a little to where it is better, in ever smaller steps."""
    standing = list(standing)
    in_order = ordered(scene, standing)
    seats = [
        seats_at(scene, sitter, [place])
        for sitter, place in zip(scene.sitters, standing, strict=True)
    ]
    for step in STEPS:
        for k in scene.open:
            if scene.sitters[k].is_caption:
                continue
            for place in _better(scene, seats, k, step):
                moved = [*standing[:k], place, *standing[k + 1 :]]
                if not in_order or ordered(scene, moved):
                    standing = moved
                    seats[k] = seats_at(scene, scene.sitters[k], [place])
                    break
    return standing


def ordered(scene: Scene, standing: Standing) -> bool:
    """Whether the words, sound effects aside, are read in the script's order."""
    boxes = []
    for sitter, (body, x, y, _) in zip(scene.sitters, standing, strict=True):
        if not sitter.is_effect:
            own = sitter.bodies[body]
            boxes.append(Box(x - own.shape_a, y - own.shape_b, x + own.shape_a, y + own.shape_b))
    return read_in_order(boxes, scene.mirrored)


def _better(scene: Scene, standing: list[Seats], k: int, step: float) -> Iterator[Place]:
    """Places about that of a unit that cost less, the best first."""
    here, sitter, room = standing[k], scene.sitters[k], scene.room
    body, x, y = int(here.body[0]), float(here.x[0]), float(here.y[0])
    own = sitter.bodies[body]
    if 2 * own.a > room.width or 2 * own.b > room.height:
        return
    places: Standing = [(body, x, y, None)]
    for down in (0, -1, 1, -2, 2):
        for across in (0, -1, 1, -2, 2):
            if down or across:
                at_x = min(max(x + across * step, room.left + own.a), room.right - own.a)
                at_y = min(max(y + down * step, room.top + own.b), room.bottom - own.b)
                places.append((body, at_x, at_y, None))
    seats = seats_at(scene, sitter, places)
    costs: Floats = total(alone(scene, seats), (len(seats),))
    for i, other in enumerate(standing):
        if i < k:
            costs = costs + total(together(scene, other, seats), (1, len(seats)))[0]
        elif i > k:
            costs = costs + total(together(scene, seats, other), (len(seats), 1))[:, 0]
    for at in map(int, np.argsort(costs, kind="stable")):
        if costs[at] >= costs[0] - HAIR:
            return
        yield places[at]
