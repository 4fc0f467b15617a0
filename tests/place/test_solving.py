"""The solver against a search of every choice; its bound never lies."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.place.solving import Choice, Floats, Table, cost_of, solve

Pairs = dict[tuple[int, int], Floats]


def problem(number: int, units: int, places: int) -> tuple[list[Floats], Pairs]:
    """Costs drawn by a number: cheap ones, and now and then one that rules a pair out."""
    chance = np.random.default_rng(number)
    single = [chance.uniform(0, 3, places) for _ in range(units)]
    pairs: Pairs = {}
    for pair in itertools.combinations(range(units), 2):
        costs = chance.uniform(0, 2, (places, places))
        pairs[pair] = costs + 500.0 * (chance.random((places, places)) < 0.3)
    return single, pairs


@given(st.integers(0, 10**6), st.integers(1, 4), st.integers(1, 5))
def test_it_finds_what_a_search_of_everything_finds(number: int, units: int, places: int) -> None:
    single, pairs = problem(number, units, places)
    found = solve(single, pairs)
    every = itertools.product(range(places), repeat=units)
    least = min(cost_of(choice, single, pairs) for choice in every)
    assert found.cost == pytest.approx(least)
    assert found.proven
    assert found.gap == 0.0


@given(st.integers(0, 10**6))
def test_what_a_whole_choice_costs_counts(number: int) -> None:
    single, pairs = problem(number, 3, 4)

    def whole(choice: Choice) -> float:
        return 700.0 * (sum(choice) % 2 == 0)

    found = solve(single, pairs, whole)
    every = itertools.product(range(4), repeat=3)
    least = min(cost_of(choice, single, pairs) + whole(choice) for choice in every)
    assert found.cost == pytest.approx(least)
    assert found.proven


@given(st.integers(0, 10**6), st.integers(2, 5))
def test_costs_shared_out_are_the_same_costs(number: int, units: int) -> None:
    """Every choice costs the same, no pair less than nothing, and the bound is no worse."""
    single, pairs = problem(number, units, 4)
    table = Table.of(single, pairs)
    shared = table.shared()
    chance = np.random.default_rng(number)
    for _ in range(5):
        places = [4 * i + int(chance.integers(4)) for i in range(units)]
        assert shared.cost(places) == pytest.approx(table.cost(places))
        assert table.cost(places) == pytest.approx(cost_of(table.choice(places), single, pairs))
    assert shared.both.min() >= -1e-9
    assert shared.bound >= table.bound - 1e-9


@given(st.integers(0, 10**6), st.floats(0.0, 4.0))
def test_places_dropped_under_a_ceiling_are_in_no_choice_under_it(
    number: int, spare: float
) -> None:
    single, pairs = problem(number, 3, 4)
    shared = Table.of(single, pairs).shared()
    ceiling = shared.bound + spare
    every = itertools.product(range(4), repeat=3)
    under = [choice for choice in every if cost_of(choice, single, pairs) < ceiling - 1e-6]
    left = shared.narrowed(ceiling)
    if left is None:
        assert not under
        return
    kept = [set(map(int, left.names[left.of_unit(i)])) for i in range(3)]
    for choice in under:
        assert all(at in names for at, names in zip(choice, kept, strict=True))


def test_a_choice_that_is_known_is_not_lost() -> None:
    single, pairs = problem(1, 8, 30)
    best = solve(single, pairs, nodes_most=10**6)
    again = solve(single, pairs, nodes_most=0, known=[best.choice])
    assert again.choice == best.choice


def test_a_search_cut_short_says_its_gap() -> None:
    single, pairs = problem(1, 8, 30)
    short, whole = solve(single, pairs, nodes_most=1), solve(single, pairs, nodes_most=10**6)
    assert whole.proven
    assert not short.proven
    assert short.bound <= whole.cost <= short.cost
    assert short.gap == pytest.approx(short.cost - short.bound)


def test_the_same_costs_give_the_same_choice() -> None:
    single = [np.zeros(3), np.zeros(3)]
    pairs = {(0, 1): np.zeros((3, 3))}
    assert {solve(single, pairs).choice for _ in range(3)} == {(0, 0)}


def test_no_units_cost_nothing() -> None:
    assert solve([], {}).cost == 0.0
