"""How near lines come to a lozenge, against the least superellipse found by other means."""

from __future__ import annotations

import numpy as np
import pytest

from letterer.fit.lozenge import fullest, fullness
from letterer.fit.oval import Limits, tightest_oval


def exactly(halves: list[float], n: float) -> float:
    """The same by the oval room's own search, a box at a time."""
    count = len(halves)
    edges = np.arange(count + 1) - count / 2
    half = np.array(halves)
    points = np.concatenate([np.stack([half, edges[:-1]], 1), np.stack([half, edges[1:]], 1)])
    oval = tightest_oval(points, n, Limits((0.02 * max(halves), 20 * max(halves))), 8)
    assert oval is not None
    return 2 * sum(halves) / oval.area / fullest(count, n)


@pytest.mark.parametrize("n", [2.3, 2.4, 2.7])
def test_fullness_is_within_two_hundredths_of_the_least_oval(n: float) -> None:
    chance = np.random.default_rng(7)
    columns = [chance.uniform(0.3, 1.0, 3 + at % 7) * 5 for at in range(40)]
    for column in columns[::2]:
        column[len(column) // 2] = 5.5  # half of them bulge in the middle, as lines should
    halves = np.full((9, 40), 99.0)
    for at, column in enumerate(columns):
        halves[: len(column), at] = column
    lines = np.array([len(column) for column in columns])
    halves[np.arange(9)[:, None] >= lines] = 0.0
    found = fullness(halves, lines, n)
    for share, column in zip(found, columns, strict=True):
        exact = exactly(column.tolist(), n)
        assert exact * 0.98 <= share <= exact * 1.001


@pytest.mark.parametrize("count", [2, 3, 5, 9])
def test_the_fullest_lines_are_full(count: int) -> None:
    high = max(
        np.linspace(0, 2 / count, 4001)[1:-1],
        key=lambda high: float(np.sum(high * _widths(count, high))),
    )
    (share,) = fullness(_widths(count, high)[:, None], np.array([count]), 2.4)
    assert 0.985 <= share <= 1.001
    assert fullness(np.full((count, 1), 3.0), np.array([count]), 2.4)[0] < 1.001


def test_neither_the_scale_nor_what_lies_beyond_the_last_line_matters() -> None:
    few = np.array([[2.0], [3.0], [2.5]])
    alone = fullness(few, np.array([3]), 2.4)
    more = np.array([[4.0, 1.0], [6.0, 1.2], [5.0, 1.1], [0.0, 0.8]])
    assert fullness(more, np.array([3, 4]), 2.4)[0] == pytest.approx(alone[0], rel=1e-12)


def _widths(count: int, high: float) -> np.typing.NDArray[np.float64]:
    edges = np.arange(count + 1) - count / 2
    far = np.maximum(np.abs(edges[:-1]), np.abs(edges[1:]))
    return np.asarray(np.maximum(1 - (far * high) ** 2.4, 0.0) ** (1 / 2.4))
