"""A panel's places and their costs, as the solver takes them: a first few places for each unit, and
more where they are wanted."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.geometry import Box
from letterer.place.costs import alone, together, total
from letterer.place.ground import Floats
from letterer.place.order import read_in_order
from letterer.place.scene import Scene, Seats, seats_of
from letterer.place.solving import NODES_MOST, Choice, Solved, solve

Kept = NDArray[np.intp]

SPREAD_POINTS = 40.0
"""Of places alike in cost those far from one another are kept."""

FRESH = 8
"""Places added for a unit each time that more are sought for it, the best with the others where
they stand."""

FIRST_NODES = 200
TOTAL = 320
ROUNDS = 2
NODES=1500
HAIR = 1e-6


class Problem:
    """A scene with its places and their costs. `every` are all places of a grid for each unit, with
    their costs alone; `kept` are those compared, by their numbers among all. `seats`, `single` and
    `pairs` are those compared, as the solver takes them."""

    def __init__(self, scene: Scene, step: float = craft.PLACE_STEP_POINTS, most: int = 0) -> None:
        self.scene = scene
        self.every = [seats_of(scene, sitter, step) for sitter in scene.sitters]
        self.costs = [total(alone(scene, seats), (len(seats),)) for seats in self.every]
        most = most or craft.PLACE_SPOTS_MOST
        self._keep([_spread(*both, most) for both in zip(self.every, self.costs, strict=True)])

    def _keep(self, kept: list[Kept]) -> None:
        self.kept = kept
        self.seats = [seats.only(some) for seats, some in zip(self.every, kept, strict=True)]
        self.single = [costs[some] for costs, some in zip(self.costs, kept, strict=True)]
        count = len(self.seats)
        self.pairs = {
            (i, j): total(
                together(self.scene, self.seats[i], self.seats[j]),
                (len(self.seats[i]), len(self.seats[j])),
            )
            for i in range(count)
            for j in range(i + 1, count)
        }

    def in_order(self, choice: Choice) -> bool:
        """Whether all the words together are read in the script's order, as the look-over sees it;
        sound effects aside."""
        boxes = [
            _reading_box(seats, at)
            for seats, at in zip(self.seats, choice, strict=True)
            if not seats.sitter.is_effect
        ]
        return read_in_order(boxes, self.scene.mirrored)

    def as_whole(self, choice: Choice) -> float:
        """What a choice costs beside its places and their pairs."""
        return 0.0 if self.in_order(choice) else craft.PLACE_FAULT_ORDER

    def solved(self, nodes: int = NODES_MOST, known: Sequence[Choice] = ()) -> Solved:
        """The best choice among the places compared."""
        return solve(self.single, self.pairs, self.as_whole, nodes, known)

    def widened(self, choice: Choice) -> Choice:
        """Compare more places: for one unit after another those that are best with the others where
        they stand, each unit moved there. Gives the choice so moved, among the places now kept."""
        at = [int(kept[k]) for kept, k in zip(self.kept, choice, strict=True)]
        more = [[k] for k in at]
        for k in self.scene.open:
            fresh = self._best_beside(k, at)
            more[k] += fresh
            if fresh:
                at[k] = fresh[0]
                more[k].append(fresh[0])
        self._keep(
            [np.union1d(kept, new).astype(np.intp) for kept, new in zip(self.kept, more, strict=True)]
        )
        return tuple(
            int(np.searchsorted(kept, k)) for kept, k in zip(self.kept, at, strict=True)
        )

    def _best_beside(self, k: int, at: Sequence[int]) -> list[int]:
        """The places of a unit that cost less than the one it has, with the others where they are,
        the best first."""
        here = np.array([at[k]])
        _, (limit,) = self._beside(k, here, at, np.inf)
        some, costs = self._beside(k, np.arange(len(self.costs[k])), at, limit - HAIR)
        return [int(some[n]) for n in np.argsort(costs, kind="stable")[:FRESH]]

    def _beside(
        self, k: int, some: Kept, at: Sequence[int], limit: float
    ) -> tuple[Kept, Floats]:
        """Those of some places of a unit that cost less than a limit with the others where they
        are, and what they cost."""
        costs = self.costs[k][some]
        for i, other in enumerate(at):
            under = costs < limit
            some, costs = some[under], costs[under]
            seats = self.every[k].only(some)
            there = self.every[i].only(np.array([other]))
            if i < k:
                costs = costs + total(together(self.scene, there, seats), (1, len(seats)))[0]
            elif i > k:
                costs = costs + total(together(self.scene, seats, there), (len(seats), 1))[:, 0]
        under = costs < limit
        return some[under], costs[under]


def best_of(scene: Scene) -> tuple[Problem, Solved]:
    problem = Problem(scene, most=max(min(TOTAL // max(len(scene.sitters), 1), 96), 24))
    solved = problem.solved(0)
    for turn in range(ROUNDS):
        choice = problem.widened(solved.choice)
        solved = problem.solved(0 if turn < ROUNDS-1 else NODES, known=(choice,))
    return problem, solved


def _reading_box(seats: Seats, at: int) -> Box:
    body = seats.sitter.bodies[int(seats.body[at])]
    x, y = float(seats.x[at]), float(seats.y[at])
    return Box(x - body.shape_a, y - body.shape_b, x + body.shape_a, y + body.shape_b)


def _spread(seats: Seats, costs: Floats, most: int) -> Kept:
    """The places kept: the cheapest, and the cheapest of each part of the panel, so that there is
    somewhere to go when the best are taken."""
    if len(costs) <= most:
        return np.arange(len(costs))
    order = np.argsort(costs, kind="stable")
    parts = np.stack([seats.x // SPREAD_POINTS, seats.y // SPREAD_POINTS], axis=1)[order]
    kept = dict.fromkeys(int(k) for k in order[: most // 2])
    seen: dict[tuple[float, float], int] = {}
    for k, part in zip(order, map(tuple, parts.tolist()), strict=True):
        if seen.get(part, 0) < 2:
            seen[part] = seen.get(part, 0) + 1
            kept[int(k)] = None
        if len(kept) >= most:
            break
    for k in order:
        if len(kept) >= most:
            break
        kept[int(k)] = None
    return np.array(sorted(kept), dtype=np.intp)
