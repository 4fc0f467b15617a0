"""The alignment against plain searches, and what it says of its own sureness."""

from __future__ import annotations

from itertools import combinations, pairwise, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.revise.align import aligned, heaviest_rise


def best_sum(table: np.ndarray) -> float:
    """The most that any choice of pairs in order is worth, by trying them all."""
    olds, news = table.shape
    best = 0.0
    for count in range(1, min(olds, news) + 1):
        for rows, columns in product(
            combinations(range(olds), count), combinations(range(news), count)
        ):
            values = [table[i, j] for i, j in zip(rows, columns, strict=True)]
            if min(values) > 0:
                best = max(best, sum(values))
    return best


tables = st.integers(1, 4).flatmap(
    lambda olds: st.integers(1, 4).flatmap(
        lambda news: st.lists(
            st.lists(st.sampled_from([0.0, 0.1, 0.25, 0.5, 1.0]), min_size=news, max_size=news),
            min_size=olds,
            max_size=olds,
        )
    )
)


@given(tables)
def test_no_choice_in_order_is_worth_more(rows: list[list[float]]) -> None:
    table = np.array(rows)
    steps = aligned({(1, 1): table}, *table.shape)
    assert sum(step.value for step in steps) == pytest.approx(best_sum(table))
    for before, after in pairwise(steps):
        assert before.old.stop <= after.old.start and before.new.stop <= after.new.start


@given(tables)
def test_the_margin_is_what_doing_without_costs(rows: list[list[float]]) -> None:
    """Forbidding a pair of the best alignment costs at least its margin, where the pair's own units
    then go elsewhere or nowhere."""
    table = np.array(rows)
    best = best_sum(table)
    for step in aligned({(1, 1): table}, *table.shape):
        without = table.copy()
        without[step.old.start, step.new.start] = 0.0
        assert best - best_sum(without) == pytest.approx(step.margin, abs=1e-9)


def test_a_split_is_one_step() -> None:
    single = np.array([[0.6, 0.5, 0.0], [0.0, 0.0, 0.9]])
    double = np.array([[1.0, 0.0], [0.0, 0.0]])
    steps = aligned({(1, 1): single, (1, 2): double}, 2, 3)
    assert [(list(step.old), list(step.new)) for step in steps] == [([0], [0, 1]), ([1], [2])]


def test_equals_are_unsure() -> None:
    (step,) = aligned({(1, 1): np.array([[0.8, 0.8]])}, 1, 2)
    assert list(step.new) == [0] and step.margin == pytest.approx(0.0)


@given(st.permutations(range(7)), st.lists(st.integers(1, 5), min_size=7, max_size=7))
def test_the_heaviest_rise(places: list[int], weights: list[int]) -> None:
    found = heaviest_rise(places, weights)
    assert all(places[a] < places[b] for a, b in pairwise(found))
    best = max(
        sum(weights[index] for index in chain)
        for count in range(1, 8)
        for chain in combinations(range(7), count)
        if all(places[a] < places[b] for a, b in pairwise(chain))
    )
    assert sum(weights[index] for index in found) == best
