"""A panel's places and their costs, as the solver takes them: a first few places for each unit, and
more where they are wanted.

All places of a grid are too many to compare each with each. So a few are: the best by themselves,
spread over the panel. Round the choice found among these, all places of the grid are looked at
again, for one unit after another with the others where they stand; those that are better are
compared as well, and so on (as columns are added to a linear program). Where two units are at
fault with each other, such as words over words, each is also looked at as if the other were not
there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.place.costs import alone, together, total
from letterer.place.ground import Floats
from letterer.place.polishing import Standing, ordered
from letterer.place.scene import Scene, Seats, seats_of
from letterer.place.solving import HAIR, NODES_MOST, Choice, Solved, solve

Kept = NDArray[np.intp]

SPREAD_POINTS = 27.0
"""Of places alike in cost those far from one another are kept."""

GRID = 500
"""A large panel has about so many places for each setting of a unit's words."""

PLACES_FIRST, PLACES_FIRST_CROWD = 640, 320
"""Places compared at first, of all units together; the time goes with the square, so there are
fewer where units are many."""

PLACES_RANGE = (24, 200)
"""Places compared at first for one unit."""

FRESH = 12
"""Places added for a unit each time that more are sought for it, the best with the others where
they stand."""

ROUNDS = 4
"""So often more places are sought at most."""

NODES_ROUND = 100
"""How much is searched before more places are sought; the rest when none are."""

GAIN_LEAST = 0.01
"""While more places make the choice cheaper by this share, more are sought."""


class Problem:
    """A scene with its places and their costs. `every` are all places of a grid for each unit, and
    `costs` what each costs alone; `kept` are those compared, by their numbers among all. `seats`,
    `single` and `pairs` are those compared, as the solver takes them."""

    def __init__(self, scene: Scene, step: float = 0.0, most: int = 0) -> None:
        """`step` is that of the grid in points, `most` how many places a unit has at first; 0 is
        what suits the number of units."""
        self.scene = scene
        count = len(scene.sitters)
        wide = math.sqrt(scene.room.area / GRID)
        step = step or max(craft.PLACE_STEP_POINTS, wide)
        least, usual = PLACES_RANGE
        first = PLACES_FIRST_CROWD if count >= craft.PLACE_CROWD else PLACES_FIRST
        self.most = most or min(max(first // max(count, 1), least), usual)
        self.every = [seats_of(scene, sitter, step) for sitter in scene.sitters]
        self.costs = [total(alone(scene, seats), (len(seats),)) for seats in self.every]
        self._keep([_spread(*both, self.most) for both in zip(self.every, self.costs, strict=True)])

    @property
    def compared(self) -> int:
        """How many places are compared."""
        return sum(map(len, self.kept))

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
        return ordered(self.scene, self.standing(choice))

    def as_whole(self, choice: Choice) -> float:
        """What a choice costs beside its places and their pairs."""
        return 0.0 if self.in_order(choice) else craft.PLACE_FAULT_ORDER

    def solved(self, nodes: int = NODES_MOST, known: Sequence[Choice] = ()) -> Solved:
        """The best choice among the places compared."""
        return solve(self.single, self.pairs, self.as_whole, nodes, known)

    def widened(self, choice: Choice) -> Choice | None:
        """Compare more places: for one unit after another those that are best with the others where
        they stand, each unit moved there; for units at fault with each other also those that are
        best for one without the other. Gives the choice so moved, among the places now kept; None
        where there is nothing new."""
        at = [int(kept[k]) for kept, k in zip(self.kept, choice, strict=True)]
        now = np.zeros((len(at), len(at)))
        new: list[set[int]] = [set() for _ in at]
        for (i, j), costs in self.pairs.items():
            now[i, j] = now[j, i] = costs[choice[i], choice[j]]
        for i, j in self.pairs:
            if now[i, j] >= craft.PLACE_LEAST_FAULT:
                for k, without in ((i, j), (j, i)):
                    if k in self.scene.open:
                        new[k].update(self._best_beside(k, at, now, without))
        for k in self.scene.open:
            fresh = self._best_beside(k, at, now)
            if fresh:
                new[k].update(fresh)
                at[k] = fresh[0]
                for i in range(len(at)):
                    if i != k:
                        now[i, k] = now[k, i] = self._pair(k, np.array(fresh[:1]), i, at[i])[0]
        known = [set(map(int, kept)) for kept in self.kept]
        if all(more <= kept for more, kept in zip(new, known, strict=True)):
            return None
        self._keep([np.array(sorted(more | kept)) for more, kept in zip(new, known, strict=True)])
        return tuple(int(np.searchsorted(kept, k)) for kept, k in zip(self.kept, at, strict=True))

    def spread(self, choice: Choice) -> Choice:
        """Compare about twice as many places, all over the panel. Gives the same choice among
        them."""
        at = [int(kept[k]) for kept, k in zip(self.kept, choice, strict=True)]
        self._keep(
            [
                np.union1d(kept, _spread(seats, costs, 2 * self.most))
                for kept, seats, costs in zip(self.kept, self.every, self.costs, strict=True)
            ]
        )
        return tuple(int(np.searchsorted(kept, k)) for kept, k in zip(self.kept, at, strict=True))

    def _best_beside(
        self, k: int, at: Sequence[int], now: Floats, without: int | None = None
    ) -> list[int]:
        """The places of a unit that cost less than the one it has, with the others where they are,
        the best first. `now` is what units cost each other, `without` one that is not looked at."""
        limit = self.costs[k][at[k]] + now[k].sum() - HAIR
        some = np.flatnonzero(self.costs[k] < limit)
        costs = self.costs[k][some]
        for i, other in enumerate(at):
            if i not in (k, without) and len(some):
                costs = costs + self._pair(k, some, i, other)
                under = costs < limit
                some, costs = some[under], costs[under]
        return [int(some[n]) for n in np.argsort(costs, kind="stable")[:FRESH]]

    def _pair(self, k: int, some: Kept, i: int, other: int) -> Floats:
        """What places of a unit and one place of another cost each other."""
        seats, there = self.every[k].only(some), self.every[i].only(np.array([other]))
        costs = (
            total(together(self.scene, there, seats), (1, len(seats)))
            if i < k
            else total(together(self.scene, seats, there), (len(seats), 1))
        )
        return costs.ravel()

    def standing(self, choice: Choice) -> Standing:
        """Where a choice has each unit."""
        return [
            (int(seats.body[at]), float(seats.x[at]), float(seats.y[at]), seats.spots[at])
            for seats, at in zip(self.seats, choice, strict=True)
        ]

    def at_fault(self, choice: Choice) -> bool:
        """Whether a choice has a fault of two units, or of the order of all."""
        return self.as_whole(choice) > 0 or any(
            costs[choice[i], choice[j]] >= craft.PLACE_LEAST_FAULT
            for (i, j), costs in self.pairs.items()
        )


def best_of(scene: Scene) -> tuple[Problem, Solved]:
    """The best choice of places for the units of a scene, and the places compared."""
    problem = Problem(scene)
    solved = _followed(problem, problem.solved(NODES_ROUND))
    if problem.at_fault(solved.choice):
        choice = problem.spread(solved.choice)
        solved = _followed(problem, problem.solved(NODES_ROUND, (choice,)))
    if not solved.proven:
        solved = problem.solved(NODES_MOST, (solved.choice,))
    return problem, solved


def _followed(problem: Problem, solved: Solved) -> Solved:
    """The best choice after more places were sought round one, while that helps."""
    for _ in range(ROUNDS):
        choice = problem.widened(solved.choice)
        if choice is None:
            break
        before, solved = solved, problem.solved(NODES_ROUND, (choice,))
        better = before.cost - solved.cost > GAIN_LEAST * abs(before.cost)
        if not better and not problem.at_fault(solved.choice):
            break
    return solved


def _spread(seats: Seats, costs: Floats, most: int) -> Kept:
    """The places kept: the cheapest, and the cheapest of each part of the panel, so that there is
    somewhere to go when the best are taken."""
    if len(costs) <= most:
        return np.arange(len(costs))
    order = np.argsort(costs, kind="stable")
    column = (seats.x - seats.x.min()) // SPREAD_POINTS
    row = (seats.y - seats.y.min()) // SPREAD_POINTS
    part = (row * (column.max() + 1) + column).astype(np.intp)[order]
    by_part = np.argsort(part, kind="stable")
    starts = np.searchsorted(part[by_part], np.arange(part.max() + 1))
    rank = np.empty(len(order), dtype=np.intp)
    rank[by_part] = np.arange(len(order)) - starts[part[by_part]]
    turn = np.where(np.arange(len(order)) < most // 4, 0, np.where(rank == 0, 1, 2))
    return np.sort(order[np.argsort(turn, kind="stable")[:most]])
