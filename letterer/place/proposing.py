"""Proposals for a panel: the best places for the units that have none, and other ways to do it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from letterer import craft
from letterer.geometry import Box, Point
from letterer.model.plan import Center, Corner, Edge, Placement
from letterer.place.bodies import too_large_by
from letterer.place.costs import FAULTS, Costs, alone, together, total
from letterer.place.ground import Floats
from letterer.place.order import read_in_order
from letterer.place.scene import Scene, Seats, Sitter, Spot, seats_at, seats_of
from letterer.place.solving import NODES_MOST, Choice, Solved, cost_of, solve

POLISH_STEPS = (6.0, 3.0, 1.5)
"""Once a place on the grid is chosen, moves of so many points are tried round it."""

SPREAD_POINTS = 40.0
"""Of places alike in cost those far from one another are kept."""


@dataclass(frozen=True, slots=True)
class Seat:
    """Where one unit is proposed: the middle of its body, the spot that the layout will say, and
    the number of lines where it is not the one it takes by itself."""

    unit: str
    at: Point
    spot: Spot
    lines: int | None
    box: Box


@dataclass(frozen=True, slots=True)
class Proposal:
    """One way to place the units of a panel.

    `costs` are by name, in inches that a letterer would give; `faults` are those that no other way
    avoids, each with the units it concerns. `gap` is by how much another choice among the places
    compared could be cheaper at most: 0 where none is. Of ways beside the first, `gap` is None:
    they are chosen to be unlike the others.
    """

    seats: tuple[Seat, ...]
    costs: tuple[tuple[str, float], ...]
    faults: tuple[tuple[str, str], ...]
    gap: float | None
    compared: int

    @property
    def cost(self) -> float:
        """The sum of all costs."""
        return sum(cost for _, cost in self.costs)


@dataclass(frozen=True, slots=True)
class NoRoom:
    """A unit that goes into its panel in no way, and by how much, in points: (wide, high)."""

    unit: str
    wide: float
    high: float


class Problem:
    """A scene with its places and their costs, as the solver takes them."""

    def __init__(self, scene: Scene, step: float = craft.PLACE_STEP_POINTS, most: int = 0) -> None:
        self.scene = scene
        most = most or craft.PLACE_SPOTS_MOST
        self.seats: list[Seats] = []
        self.single: list[Floats] = []
        for sitter in scene.sitters:
            seats = seats_of(scene, sitter, step)
            costs = total(alone(scene, seats), (len(seats),))
            kept = _spread(seats, costs, most)
            self.seats.append(seats.only(kept))
            self.single.append(costs[kept])
        count = len(self.seats)
        self.pairs = {
            (i, j): total(
                together(scene, self.seats[i], self.seats[j]),
                (len(self.seats[i]), len(self.seats[j])),
            )
            for i in range(count)
            for j in range(i + 1, count)
        }

    def in_order(self, choice: Choice) -> bool:
        """Whether all the words together are read in the script's order, as the look-over sees it;
        sound effects aside."""
        boxes = []
        for seats, at in zip(self.seats, choice, strict=True):
            if not seats.sitter.is_effect:
                boxes.append(_reading_box(seats, at))
        return read_in_order(boxes, self.scene.mirrored)

    def as_whole(self, choice: Choice) -> float:
        """What a choice costs beside its places and their pairs."""
        return 0.0 if self.in_order(choice) else craft.PLACE_FAULT_ORDER

    def solved(self, nodes: int = NODES_MOST) -> Solved:
        """The best choice."""
        return solve(self.single, self.pairs, self.as_whole, nodes)


def _reading_box(seats: Seats, at: int) -> Box:
    body = seats.sitter.bodies[int(seats.body[at])]
    x, y = float(seats.x[at]), float(seats.y[at])
    return Box(x - body.shape_a, y - body.shape_b, x + body.shape_a, y + body.shape_b)


def _spread(seats: Seats, costs: Floats, most: int) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """The places kept: the cheapest, and the cheapest of each part of the panel, so that there is
    somewhere to go when the best are taken."""
    if len(costs) <= most:
        return np.arange(len(costs))
    order = np.argsort(costs, kind="stable")
    kept = dict.fromkeys(int(k) for k in order[: most // 2])
    parts: dict[tuple[int, int], int] = {}
    for k in order:
        part = (int(seats.x[k] // SPREAD_POINTS), int(seats.y[k] // SPREAD_POINTS))
        if parts.get(part, 0) < 2:
            parts[part] = parts.get(part, 0) + 1
            kept[int(k)] = None
        if len(kept) >= most:
            break
    for k in order:
        if len(kept) >= most:
            break
        kept[int(k)] = None
    return np.array(sorted(kept), dtype=np.int64)


def no_room(scene: Scene) -> list[NoRoom]:
    """Units that go into the panel in none of their settings."""
    found = []
    for k in scene.open:
        sitter = scene.sitters[k]
        over = [too_large_by(body, scene.room) for body in sitter.bodies]
        if all(
            wide > craft.BORDER_SLACK_POINTS or high > craft.BORDER_SLACK_POINTS
            for wide, high in over
        ):
            wide, high = min(over, key=lambda by: (round(by[0] + by[1], 6), by))
            found.append(NoRoom(sitter.unit.id, wide, high))
    return found


def proposals(scene: Scene, most: int = craft.PLACE_PROPOSALS) -> list[Proposal]:
    """Ways to place the units of a panel that have no place, the best first; never empty.

    The first is the cheapest among the places compared, moved a little to where it is better still.
    The others stand clearly elsewhere; one that has a fault which the first has not is not given.
    """
    problem = Problem(scene)
    compared = sum(len(seats) for seats in problem.seats)
    best = problem.solved()
    found = [_polished(problem, best.choice)]
    made = [_proposal(scene, found[0], best.gap, compared)]
    limit = made[0].cost + max(craft.PLACE_UNLIKE, 0.5 * min(abs(made[0].cost), 10.0))
    tries = [best.choice]
    for turn in range(2 * most):
        if len(made) >= most:
            break
        single = [
            own
            + (1 + turn / most)
            * _likeness(seats, [found_at[k] for found_at in found], scene.open, k)
            for k, (own, seats) in enumerate(zip(problem.single, problem.seats, strict=True))
        ]
        other = solve(single, problem.pairs, problem.as_whole, 200)
        if other.choice in tries:
            continue
        tries.append(other.choice)
        moved = _polished(problem, other.choice)
        proposal = _proposal(scene, moved, None, compared)
        known = {name for name, _ in made[0].faults}
        sound = all(name in known for name, _ in proposal.faults)
        found.append(moved)
        if sound and proposal.cost <= limit and all(_unlike(proposal, one) for one in made):
            made.append(proposal)
    return made


Standing = list[tuple[int, float, float, "Spot | None"]]
"""For each unit: which body, x, y, and the spot where it is a corner or an edge."""


def _likeness(
    seats: Seats,
    before: Sequence[tuple[int, float, float, Spot | None]],
    open: Sequence[int],
    k: int,
) -> Floats:
    """What it costs to stand where an earlier proposal has the unit."""
    costs = np.zeros(len(seats))
    if k not in open:
        return costs
    for _, x, y, _ in before:
        far = np.hypot(seats.x - x, seats.y - y)
        costs += craft.PLACE_UNLIKE * np.clip(1 - far / (2 * craft.PLACE_UNLIKE_POINTS), 0.0, 1.0)
    return costs


def _unlike(one: Proposal, other: Proposal) -> bool:
    return any(
        a.at.distance(b.at) >= craft.PLACE_UNLIKE_POINTS
        for a, b in zip(one.seats, other.seats, strict=True)
    )


def _polished(problem: Problem, choice: Choice) -> Standing:
    """A choice with each unit moved a little to where it is better, in ever smaller steps."""
    scene = problem.scene
    standing: Standing = [
        (int(seats.body[at]), float(seats.x[at]), float(seats.y[at]), seats.spots[at])
        for seats, at in zip(problem.seats, choice, strict=True)
    ]
    ordered = problem.in_order(choice)
    for step in POLISH_STEPS:
        for k in scene.open:
            if scene.sitters[k].is_caption:
                continue
            standing[k] = _moved(scene, standing, k, step, ordered)
    return standing


def _moved(
    scene: Scene, standing: Standing, k: int, step: float, ordered: bool
) -> tuple[int, float, float, Spot | None]:
    body, x, y, _ = standing[k]
    sitter = scene.sitters[k]
    own, room = sitter.bodies[body], scene.room
    low_x, high_x = room.left + own.a, room.right - own.a
    low_y, high_y = room.top + own.b, room.bottom - own.b
    places: list[tuple[int, float, float, Spot | None]] = [(body, x, y, None)]
    for down in (0, -1, 1, -2, 2):
        for across in (0, -1, 1, -2, 2):
            if (down or across) and low_x <= high_x and low_y <= high_y:
                at_x = min(max(x + across * step, low_x), high_x)
                at_y = min(max(y + down * step, low_y), high_y)
                places.append((body, at_x, at_y, None))
    seats = seats_at(scene, sitter, places)
    costs = total(alone(scene, seats), (len(seats),))
    fixed = [seats_at(scene, other, [standing[i]]) for i, other in enumerate(scene.sitters)]
    for i, other in enumerate(fixed):
        if i < k:
            costs += total(together(scene, other, seats), (1, len(seats)))[0]
        elif i > k:
            costs += total(together(scene, seats, other), (len(seats), 1))[:, 0]
    for at in map(int, np.argsort(costs, kind="stable")):
        if costs[at] >= costs[0] - 1e-6:
            break
        moved = [*standing[:k], places[at], *standing[k + 1 :]]
        if not ordered or _ordered(scene, moved):
            return places[at]
    return standing[k]


def _ordered(scene: Scene, standing: Standing) -> bool:
    boxes = []
    for sitter, (body, x, y, _) in zip(scene.sitters, standing, strict=True):
        if not sitter.is_effect:
            own = sitter.bodies[body]
            boxes.append(Box(x - own.shape_a, y - own.shape_b, x + own.shape_a, y + own.shape_b))
    return read_in_order(boxes, scene.mirrored)


def costs_of(scene: Scene, standing: Standing) -> tuple[Costs, tuple[tuple[str, str], ...]]:
    """All costs of units in their places, by name, and the faults among them with their units."""
    seats = [
        seats_at(scene, sitter, [place])
        for sitter, place in zip(scene.sitters, standing, strict=True)
    ]
    summed: Costs = {}
    faults: dict[tuple[str, str], None] = {}

    def add(costs: Costs, *units: Sitter) -> None:
        for name, values in costs.items():
            value = float(np.asarray(values).sum())
            summed[name] = summed.get(name, np.zeros(1)) + value
            if name in FAULTS and value >= craft.PLACE_LEAST_FAULT:
                faults[name, " and ".join(sitter.unit.id for sitter in units)] = None

    for k, one in enumerate(seats):
        if k in scene.open:
            add(alone(scene, one), one.sitter)
        for other in seats[k + 1 :]:
            if one.sitter.at is None or other.sitter.at is None:
                add(together(scene, one, other), one.sitter, other.sitter)
    if not _ordered(scene, standing) and not any(name == "reading order" for name, _ in faults):
        faults["reading order", seats[0].sitter.unit.id] = None
    return summed, tuple(faults)


def _proposal(scene: Scene, standing: Standing, gap: float | None, compared: int) -> Proposal:
    summed, faults = costs_of(scene, standing)
    seats = []
    for k in scene.open:
        sitter, (number, x, y, spot) = scene.sitters[k], standing[k]
        body = sitter.bodies[number]
        box = Box(x - body.a, y - body.b, x + body.a, y + body.b)
        at = Point(x, y)
        seats.append(Seat(sitter.unit.id, at, spot or Center(at), body.lines, box))
    costs = tuple(
        (name, round(float(value[0]), 6)) for name, value in summed.items() if abs(value[0]) > 1e-9
    )
    return Proposal(tuple(seats), costs, faults, gap, compared)


def placement_of(scene: Scene, seat: Seat) -> Placement:
    """The placement that a proposal gives a unit."""
    sitter = next(one for one in scene.sitters if one.unit.id == seat.unit)
    measure = scene.layout.measure
    spot = seat.spot
    if isinstance(spot, Center):
        spot = Center(Point(*(measure.points(measure.written(value)) for value in spot.at)))
    lines = seat.lines if seat.lines is not None else sitter.job.placement.lines
    return replace(sitter.job.placement, spot=spot, lines=lines, proposed=True)


def keys_of(scene: Scene, seat: Seat) -> dict[str, object]:
    """The keys that a proposal writes into the layout."""
    written = scene.layout.measure.written
    keys: dict[str, object] = {}
    match seat.spot:
        case Center(at):
            keys["center"] = [written(at.x), written(at.y)]
        case Corner(where):
            keys["corner"] = where
        case Edge(side, along):
            keys |= {"edge": side, "along": along}
    if seat.lines is not None:
        keys["lines"] = seat.lines
    keys["proposed"] = True
    return keys


__all__ = [
    "NoRoom", "Problem", "Proposal", "Seat", "cost_of", "costs_of", "keys_of", "no_room",
    "placement_of", "proposals",
]  # fmt: skip
