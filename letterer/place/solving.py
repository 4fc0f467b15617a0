"""The cheapest choice of one place for each unit, with a proof or a stated gap.

Every unit has a list of places with a cost each; every two units have a cost for each pair of
places; a whole choice may cost something more. A lower bound comes from sharing the costs of pairs
out among the units, a little in each round, so that the sum of what each unit costs at least rises
(block-coordinate ascent on the dual of the linear relaxation: Globerson & Jaakkola, Fixing
max-product, 2007, from memory).

Then ceilings are tried, the lowest first. Places with which no choice keeps under the ceiling are
dropped, the rest is shared out anew and searched depth first (branch and bound). A ceiling under
which nothing is found is a better bound. So great costs, such as words over words, are ruled out
all together before the search pays for any.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]
Choice = tuple[int, ...]
Single = Sequence[Floats]
Pairs = Mapping[tuple[int, int], Floats]
AsWhole = Callable[[Choice], float]

ROUNDS = 8
"""Rounds of sharing out at most; they end when the bound hardly rises."""

ROUNDS_AGAIN = 2
"""The same, where some places were dropped and the rest is shared out anew."""

RISE_LEAST = 0.01
NODES_MOST = 500
"""Half-made choices looked into before the search ends with a gap instead of a proof: a count, not
a time, so that the same input gives the same answer."""

BEAM = 24
"""Half-made choices kept side by side when a first good choice is sought."""

MENDED_MOST = 4
"""So many of these are mended, two units at a time."""

TRIES_MOST = 6
"""Moves of two units that are asked after as a whole before the two are left as they are."""

SPARE_FIRST, SPARE_GROWTH = 1.0, 3.0
"""The first ceiling is so far above the bound; each further one is so many times as far."""

NARROWED_LEAST = 0.1
"""Places are shared out and dropped again while this share of them goes."""

HAIR = 1e-6


@dataclass(frozen=True, slots=True)
class Solved:
    """The best choice found: an index for each unit, what it costs, and a cost that no choice can
    be under."""

    choice: Choice
    cost: float
    bound: float

    @property
    def proven(self) -> bool:
        """True where nothing cheaper exists among the places compared."""
        return self.cost - self.bound <= 10 * HAIR * max(abs(self.cost), 1.0)

    @property
    def gap(self) -> float:
        """By how much a better choice could be cheaper at most."""
        return 0.0 if self.proven else self.cost - self.bound


def cost_of(choice: Choice, single: Single, pairs: Pairs) -> float:
    """What a choice costs by its places and their pairs."""
    total = sum(float(costs[at]) for costs, at in zip(single, choice, strict=True))
    return total + sum(float(costs[choice[i], choice[j]]) for (i, j), costs in pairs.items())


def solve(
    single: Single,
    pairs: Pairs,
    as_whole: AsWhole = lambda _: 0.0,
    nodes_most: int = NODES_MOST,
    known: Iterable[Choice] = (),
) -> Solved:
    """The cheapest choice. `pairs` are keyed (i, j) with i < j; `as_whole` is what a whole choice
    costs more, never under 0; `known` are choices to begin with."""
    if not single:
        return Solved((), 0.0, 0.0)
    told: dict[Choice, float] = {}

    def asked(choice: Choice) -> float:
        if choice not in told:
            told[choice] = as_whole(choice)
        return told[choice]

    table = Table.of(single, pairs)
    shared = table.shared()
    search = _Search(table, shared, asked, known, nodes_most)
    search.run()
    cost = cost_of(search.best, single, pairs) + asked(search.best)
    return Solved(search.best, cost, min(search.bound, cost))


# --- The costs, all places of all units in one row ------------------------------------------------


@dataclass(frozen=True)
class Table:
    """Costs with the places of all units one after another: unit i has those from `starts[i]` to
    `starts[i + 1]`. `own` is a place's cost, `both` that of two places (0 within one unit),
    `constant` what every choice costs besides, `names` a place's number in its unit at first."""

    own: Floats
    both: Floats
    starts: Numbers
    names: Numbers
    constant: float = 0.0

    @classmethod
    def of(cls, single: Single, pairs: Pairs) -> Table:
        """The table of costs given unit by unit."""
        sizes = [len(own) for own in single]
        starts = np.concatenate([[0], np.cumsum(sizes)]).astype(np.intp)
        both = np.zeros((starts[-1], starts[-1]))
        for (i, j), costs in pairs.items():
            one, other = slice(starts[i], starts[i + 1]), slice(starts[j], starts[j + 1])
            both[one, other], both[other, one] = costs, costs.T
        names = np.concatenate([np.arange(size) for size in sizes]).astype(np.intp)
        return cls(np.concatenate(single).astype(np.float64), both, starts, names)

    @property
    def count(self) -> int:
        """How many units there are."""
        return len(self.starts) - 1

    def of_unit(self, i: int) -> slice:
        """The places of a unit."""
        return slice(int(self.starts[i]), int(self.starts[i + 1]))

    def least(self, costs: Floats) -> Floats:
        """The least of each unit, of costs with places along the last axis."""
        found: Floats = np.minimum.reduceat(costs, self.starts[:-1], axis=-1)
        return found

    @property
    def bound(self) -> float:
        """What no choice can be under, where no pair costs less than 0."""
        return self.constant + float(self.least(self.own).sum())

    def cost(self, places: Sequence[int]) -> float:
        """What a choice costs, given by places of the table."""
        at = np.asarray(places, dtype=np.intp)
        return self.constant + float(self.own[at].sum() + self.both[np.ix_(at, at)].sum() / 2)

    def choice(self, places: Iterable[int]) -> Choice:
        """A choice by the numbers that places had at first."""
        return tuple(int(self.names[at]) for at in places)

    def shared(self, rounds: int = ROUNDS) -> Table:
        """The same with the costs of pairs shared out: no pair costs less than 0, and the bound is
        better."""
        own, both = self.own.copy(), self.both.copy()
        couples = [
            (self.of_unit(i), self.of_unit(j))
            for i, j in itertools.combinations(range(self.count), 2)
        ]
        last = -np.inf
        for _ in range(rounds):
            for one, other in couples:
                costs = both[one, other]
                to_one = ((costs + own[None, other]).min(axis=1) - own[one]) / 2
                to_other = ((costs + own[one, None]).min(axis=0) - own[other]) / 2
                own[one] += to_one
                own[other] += to_other
                costs -= to_one[:, None]
                costs -= to_other[None, :]
            bound = float(self.least(own).sum()) + sum(
                float(both[one, other].min()) for one, other in couples
            )
            if bound - last < RISE_LEAST:
                break
            last = bound
        constant = self.constant
        for one, other in couples:
            low = float(both[one, other].min())
            both[one, other] -= low
            both[other, one] = both[one, other].T
            constant += low
        return Table(own, both, self.starts, self.names, constant)

    def only(self, kept: NDArray[np.bool_]) -> Table:
        """Some of the places; each unit must keep one."""
        sizes = np.add.reduceat(kept, self.starts[:-1], dtype=np.intp)
        starts = np.concatenate([[0], np.cumsum(sizes)]).astype(np.intp)
        at = np.flatnonzero(kept)
        both = self.both[np.ix_(at, at)]
        return Table(self.own[at], both, starts, self.names[at], self.constant)

    def narrowed(self, ceiling: float) -> Table | None:
        """The places with which a choice may keep under a ceiling, shared out anew; None where a
        unit has none."""
        table = self
        while True:
            low = table.own - np.repeat(table.least(table.own), np.diff(table.starts))
            kept = table.bound + low < ceiling
            if kept.all():
                # What each place costs at least with the best of the others beside it.
                least = table.least(table.own[None, :] + table.both)
                unit = np.repeat(np.arange(table.count), np.diff(table.starts))
                least[np.arange(len(unit)), unit] = table.own
                kept = table.constant + least.sum(axis=1) < ceiling
            if not np.logical_or.reduceat(kept, table.starts[:-1]).all():
                return None
            gone = 1.0 - kept.mean()
            if gone:
                table = table.only(kept).shared(ROUNDS_AGAIN)
            if gone < NARROWED_LEAST:
                return table


# --- Good choices, quickly ------------------------------------------------------------------------


def _beam(table: Table) -> list[tuple[int, ...]]:
    """Choices made unit by unit, the best half-made ones kept side by side."""
    made = np.zeros((1, 0), dtype=np.intp)
    costs = np.zeros(1)
    for i in range(table.count):
        unit = table.of_unit(i)
        grown = costs[:, None] + table.own[None, unit]
        grown = grown + table.both[made, unit].sum(axis=1)
        best = np.argsort(grown, axis=None, kind="stable")[:BEAM]
        rows, columns = np.divmod(best, grown.shape[1])
        costs = grown.ravel()[best]
        made = np.concatenate([made[rows], columns[:, None] + unit.start], axis=1)
    return [tuple(map(int, one)) for one in made]


def _mended(table: Table, places: Sequence[int], asked: AsWhole) -> tuple[float, Sequence[int]]:
    """A choice mended: two units at a time go where both together are best, while that helps. What
    the whole costs is asked only once that is done, since asking takes long, and then at each step.
    """
    _, places = _mended_by(table, places, lambda _: 0.0)
    return _mended_by(table, places, asked)


def _mended_by(table: Table, places: Sequence[int], asked: AsWhole) -> tuple[float, Sequence[int]]:
    state = _State.of(table, places, asked)
    couples = list(itertools.combinations(range(table.count), 2)) or [(0, 0)]
    turn = still = 0
    while still < len(couples):
        better = _moved(table, state, couples[turn % len(couples)], asked)
        still = 0 if better else still + 1
        state, turn = better or state, turn + 1
    return state.cost, state.places


@dataclass(frozen=True, slots=True)
class _State:
    """A choice by its places: what it costs, what of that is for the whole, and what each place of
    the table would cost with the others where they are."""

    places: Sequence[int]
    cost: float
    whole: float
    beside: Floats

    @classmethod
    def of(cls, table: Table, places: Sequence[int], asked: AsWhole) -> _State:
        whole = asked(table.choice(places))
        beside = table.own + table.both[list(places)].sum(axis=0)
        return cls(places, table.cost(places) + whole, whole, beside)


def _moved(table: Table, state: _State, couple: tuple[int, int], asked: AsWhole) -> _State | None:
    """The best move of two units while the others stay; None where none helps."""
    i, j = couple
    at, to = state.places[i], state.places[j]
    one, other = table.of_unit(i), table.of_unit(j)
    if i == j:
        first, then, spare = state.beside[one], np.zeros(1), float(state.beside[at]) - HAIR
    else:
        first = state.beside[one] - table.both[to, one]
        then = state.beside[other] - table.both[at, other]
        spare = float(state.beside[at] + state.beside[to] - table.both[at, to]) - HAIR
    spare += state.whole
    rows = np.flatnonzero(first < spare - then.min())
    columns = np.flatnonzero(then < spare - first.min())
    if not len(rows):
        return None
    costs = first[rows, None] + then[None, columns]
    if i != j:
        costs += table.both[one.start + rows[:, None], other.start + columns[None, :]]
    better = np.flatnonzero(costs < spare)
    for k in better[np.argsort(costs.ravel()[better], kind="stable")][:TRIES_MOST]:
        row, column = divmod(int(k), len(columns))
        made = list(state.places)
        made[i] = one.start + int(rows[row])
        if i != j:
            made[j] = other.start + int(columns[column])
        moved = _State.of(table, made, asked)
        if moved.cost < state.cost - HAIR:
            return moved
    return None


# --- The search -----------------------------------------------------------------------------------


class _Search:
    """Branch and bound over costs that are shared out, under one ceiling after another."""

    def __init__(
        self,
        table: Table,
        shared: Table,
        asked: AsWhole,
        known: Iterable[Choice],
        nodes_most: int,
    ) -> None:
        self.whole, self.shared, self.asked = table, shared, asked
        self.nodes, self.nodes_most = 0, nodes_most
        self.cost = np.inf
        self.best: Choice = ()
        begun = [
            tuple(int(s) + k for s, k in zip(table.starts, one, strict=False)) for one in known
        ]
        self._begin([*begun, *_beam(table), *_beam(shared)], 2 if begun else MENDED_MOST)
        self.bound = min(shared.bound, self.cost)

    def _begin(self, begun: Iterable[tuple[int, ...]], most: int) -> None:
        """Mend the best of some choices, given by places of the whole table."""
        costs = {made: self.whole.cost(made) for made in begun}
        order = sorted(costs, key=lambda made: (round(costs[made], 9), made))
        for made in order[:most]:
            cost, places = _mended(self.whole, list(made), self.asked)
            if cost < self.cost - HAIR:
                self.cost, self.best = cost, self.whole.choice(places)

    def run(self) -> None:
        """Raise the bound, and lower the cost, until they meet or too much was searched."""
        spare = SPARE_FIRST
        while self.nodes < self.nodes_most and self.bound < self.cost - HAIR:
            tried = self.ceiling = min(self.cost - HAIR, self.bound + spare)
            self.table = self.shared.narrowed(tried)
            if self.table is not None and not self._deeper(self.table.own, self.table.constant, []):
                return
            self.bound = min(tried, self.cost)
            spare *= SPARE_GROWTH

    def _deeper(self, left: Floats, paid: float, made: list[tuple[int, int]]) -> bool:
        """Search below a half-made choice (unit, place); False when there was no end to it.

        `left` is what each place of the other units costs with it; 0 for places of its own units.
        """
        table = self.table
        assert table is not None
        taken = [unit for unit, _ in made]
        i = self._next(left, paid, taken)
        unit = table.of_unit(i)
        after = left[None, :] + table.both[unit]
        for k in (*taken, i):
            after[:, table.of_unit(k)] = 0.0
        so_far = paid + left[unit]
        low = so_far + table.least(after).sum(axis=1)
        last = len(made) == table.count - 1
        for at in np.argsort(low, kind="stable"):
            if low[at] >= self.ceiling:
                return True
            self.nodes += 1
            if self.nodes > self.nodes_most:
                return False
            chosen = [*made, (i, unit.start + int(at))]
            if last:
                choice = table.choice(place for _, place in sorted(chosen))
                cost = float(low[at]) + self.asked(choice)
                if cost < self.ceiling:
                    self.best, self.cost, self.ceiling = choice, cost, cost - HAIR
            elif not self._deeper(after[at], float(so_far[at]), chosen):
                return False
        return True

    def _next(self, left: Floats, paid: float, taken: Sequence[int]) -> int:
        """The unit with the fewest places under the ceiling."""
        table = self.table
        assert table is not None
        least = table.least(left)
        spare = self.ceiling - paid - float(least.sum())
        sizes = np.diff(table.starts)
        fit = left - np.repeat(least, sizes) < spare
        counts = np.add.reduceat(fit, table.starts[:-1], dtype=np.intp)
        counts[list(taken)] = len(left) + 1
        return int(np.argmin(counts))
