"""The cheapest choice of one place for each unit, with a proof or a stated gap.

Every unit has a list of places with a cost each; every two units have a cost for each pair of
places. A lower bound comes from sharing the costs of pairs out among the units, a little in each
round, so that the sum of what each unit costs at least rises (block-coordinate ascent on the dual
of the linear relaxation: Globerson & Jaakkola, Fixing max-product, 2007, from memory). Places that
the bound rules out are dropped; what is left is searched depth first, cutting whatever cannot beat
the best choice known (branch and bound).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Choice = tuple[int, ...]

ROUNDS = 8
"""Rounds of sharing out at most; they end when the bound hardly rises."""

RISE_LEAST = 0.01
NODES_MOST = 5000
"""Choices looked into before the search ends with a gap instead of a proof: a count, not a time, so
that the same input gives the same answer."""

BEAM = 24
"""Half-made choices kept side by side when a first good choice is sought."""

HAIR = 1e-6


@dataclass(frozen=True, slots=True)
class Solved:
    """The best choice found: an index for each unit, what it costs, and a cost that no choice can
    be under. `nodes` is how much was searched."""

    choice: Choice
    cost: float
    bound: float
    nodes: int = 0

    @property
    def proven(self) -> bool:
        """True where nothing cheaper exists among the places compared."""
        return self.cost - self.bound <= 10 * HAIR * max(abs(self.cost), 1.0)

    @property
    def gap(self) -> float:
        """By how much a better choice could be cheaper at most."""
        return 0.0 if self.proven else self.cost - self.bound


def cost_of(
    choice: Choice, single: Sequence[Floats], pairs: Mapping[tuple[int, int], Floats]
) -> float:
    """What a choice costs."""
    total = sum(float(costs[at]) for costs, at in zip(single, choice, strict=True))
    return total + sum(float(costs[choice[i], choice[j]]) for (i, j), costs in pairs.items())


def solve(
    single: Sequence[Floats],
    pairs: Mapping[tuple[int, int], Floats],
    allowed: Callable[[Choice], bool] = lambda _: True,
    nodes_most: int = NODES_MOST,
) -> Solved:
    """The cheapest choice among those allowed. `pairs` are keyed (i, j) with i < j.

    Where no choice found is allowed, the cheapest of all is given.
    """
    if not single:
        return Solved((), 0.0, 0.0)
    first = _first(single, pairs, allowed)
    shared = _shared(single, pairs)
    search = _Search(shared, len(single), first, allowed, nodes_most)
    search.run()
    best = search.best
    choice = best if best is not None else _first(single, pairs, lambda _: True)
    assert choice is not None
    cost = cost_of(choice, single, pairs)
    bound = cost if search.ended and best is not None else min(search.bound, cost)
    return Solved(choice, cost, bound, search.nodes)


def _first(
    single: Sequence[Floats],
    pairs: Mapping[tuple[int, int], Floats],
    allowed: Callable[[Choice], bool],
) -> Choice | None:
    """A good choice, quickly: units one after another, the best half-made choices kept; then each
    unit moved to where it is best, as long as that helps."""
    beam: list[tuple[float, Choice]] = [(0.0, ())]
    for i, own in enumerate(single):
        grown: list[tuple[float, Choice]] = []
        for cost, made in beam:
            costs = own + cost
            for j, at in enumerate(made):
                costs = costs + pairs[j, i][at]
            kept = np.argsort(costs, kind="stable")[:BEAM]
            grown += [(float(costs[k]), (*made, int(k))) for k in kept]
        grown.sort(key=lambda one: (round(one[0], 9), one[1]))
        beam = grown[:BEAM]
    found = [_settled(made, single, pairs) for _, made in beam[:4]] + [made for _, made in beam]
    fitting = [made for made in found if allowed(made)]
    return min(fitting, key=lambda made: (cost_of(made, single, pairs), made), default=None)


def _settled(
    made: Choice, single: Sequence[Floats], pairs: Mapping[tuple[int, int], Floats]
) -> Choice:
    choice = list(made)
    for _ in range(6):
        moved = False
        for i, own in enumerate(single):
            costs = own.copy()
            for j, at in enumerate(choice):
                if j < i:
                    costs += pairs[j, i][at]
                elif j > i:
                    costs += pairs[i, j][:, at]
            best = int(np.argmin(costs))
            if costs[best] < costs[choice[i]] - HAIR:
                choice[i], moved = best, True
        if not moved:
            break
    return tuple(choice)


@dataclass
class _SharedOut:
    """Costs of pairs shared out: none is under 0 now, and `constant` plus the least of each unit's
    own is a bound."""

    single: list[Floats]
    pairs: dict[tuple[int, int], Floats]
    constant: float

    @property
    def bound(self) -> float:
        return self.constant + sum(float(own.min()) for own in self.single)


def _shared(single: Sequence[Floats], pairs: Mapping[tuple[int, int], Floats]) -> _SharedOut:
    own = [costs.astype(np.float64).copy() for costs in single]
    given = {(i, j): (np.zeros(len(single[i])), np.zeros(len(single[j]))) for i, j in pairs}
    last = -np.inf
    for _ in range(ROUNDS):
        for (i, j), costs in pairs.items():
            to_i, to_j = given[i, j]
            without_i, without_j = own[i] - to_i, own[j] - to_j
            new_i = ((costs + without_j[None, :]).min(axis=1) - without_i) / 2
            new_j = ((costs + without_i[:, None]).min(axis=0) - without_j) / 2
            own[i], own[j] = without_i + new_i, without_j + new_j
            given[i, j] = new_i, new_j
        bound = sum(float(costs.min()) for costs in own) + sum(
            float((pairs[i, j] - to_i[:, None] - to_j[None, :]).min())
            for (i, j), (to_i, to_j) in given.items()
        )
        if bound - last < RISE_LEAST:
            break
        last = bound
    left: dict[tuple[int, int], Floats] = {}
    constant = 0.0
    for (i, j), costs in pairs.items():
        to_i, to_j = given[i, j]
        rest = costs - to_i[:, None] - to_j[None, :]
        low = float(rest.min())
        left[i, j] = rest - low
        constant += low
    return _SharedOut(own, left, constant)


class _Search:
    """Branch and bound over costs that are shared out."""

    def __init__(
        self,
        shared: _SharedOut,
        count: int,
        first: Choice | None,
        allowed: Callable[[Choice], bool],
        nodes_most: int,
    ) -> None:
        self.allowed, self.nodes_most, self.count = allowed, nodes_most, count
        self.best, self.cost = first, np.inf
        self.bound, self.constant = shared.bound, shared.constant
        self.nodes, self.ended = 0, False
        if first is not None:
            self.cost = self.constant + cost_of(first, shared.single, shared.pairs)
        self.kept = [np.arange(len(own)) for own in shared.single]
        self.single, self.pairs = shared.single, shared.pairs

    def run(self) -> None:
        self._drop()
        sizes = [len(kept) for kept in self.kept]
        if min(sizes) == 0:
            self.ended = True  # nothing beats the first choice
            return
        self.order = sorted(range(self.count), key=lambda i: (sizes[i], i))
        self.ended = self._deeper((), self.constant, self.single)

    def _drop(self) -> None:
        """Leave out places with which no choice can beat the best one known."""
        if not np.isfinite(self.cost):
            return
        spare = self.cost - self.bound + HAIR
        for i, own in enumerate(self.single):
            self.kept[i] = np.flatnonzero(own - own.min() <= spare)
        self.single = [own[kept] for own, kept in zip(self.single, self.kept, strict=True)]
        self.pairs = {
            (i, j): costs[np.ix_(self.kept[i], self.kept[j])]
            for (i, j), costs in self.pairs.items()
        }

    def _deeper(self, made: Choice, paid: float, left: list[Floats]) -> bool:
        """Search below a half-made choice; False when there was no end to it."""
        depth = len(made)
        if depth == self.count:
            choice = [0] * self.count
            for i, at in zip(self.order, made, strict=True):
                choice[i] = int(self.kept[i][at])
            if self.allowed(tuple(choice)):
                self.best, self.cost = tuple(choice), paid
            return True
        i = self.order[depth]
        rest = self.order[depth + 1 :]
        base = paid + sum(float(left[k].min()) for k in rest)
        for at in np.argsort(left[i], kind="stable"):
            if base + float(left[i][at]) >= self.cost - HAIR:
                return True
            self.nodes += 1
            if self.nodes > self.nodes_most:
                return False
            after = list(left)
            low = paid + float(left[i][at])
            for k in rest:
                row = self.pairs[i, k][at] if i < k else self.pairs[k, i][:, at]
                after[k] = left[k] + row
                low += float(after[k].min())
            if low < self.cost - HAIR and not self._deeper(
                (*made, int(at)), paid + float(left[i][at]), after
            ):
                return False
        return True
