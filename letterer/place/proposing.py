"""Proposals for a panel: the best places for the units that have none, and other ways to do it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from letterer import craft
from letterer.geometry import Box, Point
from letterer.model.plan import Center, Corner, Edge, Placement
from letterer.place.bodies import too_large_by
from letterer.place.costs import FAULTS, Costs, alone, together
from letterer.place.ground import Floats
from letterer.place.polishing import Place, Standing, ordered, polished
from letterer.place.problem import best_of
from letterer.place.scene import Scene, Seats, Sitter, Spot, seats_at
from letterer.place.solving import solve


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
    problem, best = best_of(scene)
    compared = problem.compared
    found = [polished(scene, problem.standing(best.choice))]
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
        moved = polished(scene, problem.standing(other.choice))
        proposal = _proposal(scene, moved, None, compared)
        known = {name for name, _ in made[0].faults}
        sound = all(name in known for name, _ in proposal.faults)
        found.append(moved)
        if sound and proposal.cost <= limit and all(_unlike(proposal, one) for one in made):
            made.append(proposal)
    return made


def _likeness(
    seats: Seats,
    before: Sequence[Place],
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
    if not ordered(scene, standing):
        add({"reading order": np.array(craft.PLACE_FAULT_ORDER)}, *scene.sitters)
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
