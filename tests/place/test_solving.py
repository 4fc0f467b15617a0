"""The solver against a search of every choice; its bound never lies."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.place.solving import Floats, cost_of, solve

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
def test_only_allowed_choices_are_made(number: int) -> None:
    single, pairs = problem(number, 3, 4)
    found = solve(single, pairs, lambda choice: sum(choice) % 2 == 1)
    every = [c for c in itertools.product(range(4), repeat=3) if sum(c) % 2 == 1]
    assert found.cost == pytest.approx(min(cost_of(c, single, pairs) for c in every))
    assert sum(found.choice) % 2 == 1


def test_a_search_cut_short_says_its_gap() -> None:
    single, pairs = problem(1, 8, 30)
    short, whole = solve(single, pairs, nodes_most=1), solve(single, pairs, nodes_most=10**6)
    assert whole.proven
    assert not short.proven
    assert short.bound <= whole.cost <= short.cost
    assert short.gap == pytest.approx(short.cost - short.bound)


def test_where_nothing_is_allowed_the_cheapest_is_given() -> None:
    single, pairs = problem(3, 2, 3)
    found = solve(single, pairs, lambda _: False)
    assert len(found.choice) == 2


def test_the_same_costs_give_the_same_choice() -> None:
    single = [np.zeros(3), np.zeros(3)]
    pairs = {(0, 1): np.zeros((3, 3))}
    assert {solve(single, pairs).choice for _ in range(3)} == {(0, 0)}


def test_no_units_cost_nothing() -> None:
    assert solve([], {}).cost == 0.0
