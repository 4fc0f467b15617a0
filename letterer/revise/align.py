"""The best alignment of two sequences in order, with splits and joins, and how sure it is.

Global alignment by dynamic programming (Needleman & Wunsch 1970), with the steps that Gale &
Church (1993, "A program for aligning sentences in bilingual corpora") use for sentences: one to
one, one to none, one to two, two to one; and to three. Every step has a value; the sum is made as
large as can be.

Sureness comes from running the same forward and backward: the best sum *through* any step is then
known (near-optimal alignments: Waterman & Byers 1985), and with it by how much the chosen step
beats the best alignment that does something else with the same unit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Shape = tuple[int, int]

MOST_STEPS = 3
"""A unit is split into, or joined from, at most so many."""


@dataclass(frozen=True, slots=True)
class Step:
    """Old units `old` go with new units `new`; `margin` is by how much that beats the best that
    could be done with them otherwise. `rival` is that other way, as old and new units; None where
    it leaves them without a partner."""

    old: range
    new: range
    value: float
    margin: float
    rival: tuple[range, range] | None = None


def heaviest_rise(places: Sequence[int], weights: Sequence[float]) -> list[int]:
    """Indices of the heaviest subsequence whose places rise (as patience diff does with lengths).

    >>> heaviest_rise([2, 0, 1, 3], [1, 1, 1, 1])
    [1, 2, 3]
    >>> heaviest_rise([2, 0, 1, 3], [9, 1, 1, 1])
    [0, 3]
    """
    # A Fenwick tree over the ranks of the places holds the heaviest chain that ends there.
    ranks = {place: rank for rank, place in enumerate(sorted(set(places)), 1)}
    tree: list[tuple[float, int]] = [(0.0, -1)] * (len(ranks) + 1)
    before: list[int] = []
    for index, (place, weight) in enumerate(zip(places, weights, strict=True)):
        best, at = (0.0, -1), ranks[place] - 1
        while at > 0:
            best = max(best, tree[at], key=lambda found: found[0])
            at -= at & -at
        before.append(best[1])
        at, found = ranks[place], (best[0] + weight, index)
        while at < len(tree):
            tree[at] = max(tree[at], found, key=lambda held: held[0])
            at += at & -at
    best, at = (0.0, -1), len(tree) - 1
    while at > 0:
        best = max(best, tree[at], key=lambda found: found[0])
        at -= at & -at
    chain, last = [], best[1]
    while last >= 0:
        chain.append(last)
        last = before[last]
    return chain[::-1]


def aligned(values: Mapping[Shape, Floats], olds: int, news: int) -> list[Step]:
    """The best alignment of so many old units with so many new ones; gaps are left out.

    `values[a, b][i, j]` is what it is worth that `a` old units from i go with `b` new ones from j;
    0 or less forbids it. A gap is worth 0. Of equal alignments the one with the earlier units wins.
    """
    steps = _usable(values, olds, news)
    if not steps:
        return []
    ahead = _best_from(steps, olds, news)
    behind = _best_up_to(steps, olds, news)
    through = [
        _Through(
            range(i, i + a), range(j, j + b), value, behind[i][j] + value + ahead[i + a][j + b]
        )
        for (i, j), found in sorted(steps.items())
        for a, b, value in found
    ]
    chosen = _walked(steps, ahead, olds, news)
    touching: dict[tuple[str, int], list[_Through]] = {}
    for step in through:
        for index in step.old:
            touching.setdefault(("old", index), []).append(step)
        for index in step.new:
            touching.setdefault(("new", index), []).append(step)
    found = []
    for step in through:
        if (step.old, step.new) in chosen:
            near = [other for index in step.old for other in touching["old", index]]
            near += [other for index in step.new for other in touching["new", index]]
            margin, rival = _margin(step, near, ahead, behind)
            found.append(Step(step.old, step.new, step.value, margin, rival))
    return found


Steps = dict[tuple[int, int], list[tuple[int, int, float]]]
Sums = list[list[float]]
JUST = 1e-9


@dataclass(frozen=True, slots=True)
class _Through:
    """A step, its value, and the best sum of any alignment that takes it."""

    old: range
    new: range
    value: float
    total: float


def _usable(values: Mapping[Shape, Floats], olds: int, news: int) -> Steps:
    """The steps that are worth something, by where they begin."""
    steps: Steps = {}
    for (a, b), table in sorted(values.items()):
        for i, j in zip(*np.nonzero(table > 0), strict=True):
            if i + a <= olds and j + b <= news:
                steps.setdefault((int(i), int(j)), []).append((a, b, float(table[i, j])))
    return steps


def _best_from(steps: Steps, olds: int, news: int) -> Sums:
    """The best sum of what lies after i old and j new units: entry [i][j]."""
    best = [[0.0] * (news + 1) for _ in range(olds + 1)]
    for i in range(olds, -1, -1):
        for j in range(news, -1, -1):
            ways = [best[i + 1][j]] if i < olds else [0.0]
            if j < news:
                ways.append(best[i][j + 1])
            ways += [value + best[i + a][j + b] for a, b, value in steps.get((i, j), ())]
            best[i][j] = max(ways)
    return best


def _best_up_to(steps: Steps, olds: int, news: int) -> Sums:
    """The best sum of the first i old and j new units: entry [i][j]."""
    best = [[0.0] * (news + 1) for _ in range(olds + 1)]
    for i in range(olds + 1):
        for j in range(news + 1):
            here = best[i][j]
            if i < olds:
                best[i + 1][j] = max(best[i + 1][j], here)
            if j < news:
                best[i][j + 1] = max(best[i][j + 1], here)
            for a, b, value in steps.get((i, j), ()):
                best[i + a][j + b] = max(best[i + a][j + b], here + value)
    return best


def _walked(steps: Steps, ahead: Sums, olds: int, news: int) -> set[tuple[range, range]]:
    """The steps of one best alignment, from the first units on."""
    chosen: set[tuple[range, range]] = set()
    i = j = 0
    while i < olds or j < news:
        for a, b, value in steps.get((i, j), ()):
            if value + ahead[i + a][j + b] >= ahead[i][j] - JUST:
                chosen.add((range(i, i + a), range(j, j + b)))
                i, j = i + a, j + b
                break
        else:
            if i < olds and ahead[i + 1][j] >= ahead[i][j] - JUST:
                i += 1
            else:
                j += 1
    return chosen


def _margin(
    step: _Through, through: Sequence[_Through], ahead: Sums, behind: Sums
) -> tuple[float, tuple[range, range] | None]:
    """By how much a step of the best alignment beats the best that does without it, where one of
    its units goes with something altogether different, or with nothing; and that other way."""
    olds, news = len(ahead) - 1, len(ahead[0]) - 1
    # All its old units left alone, or all its new ones.
    alone = [
        max(behind[step.old.start][j] + ahead[step.old.stop][j] for j in range(news + 1)),
        max(behind[i][step.new.start] + ahead[i][step.new.stop] for i in range(olds + 1)),
    ]
    most, rival = max(alone), None
    for other in through:
        # A rival that is as good as none is named: it says more.
        if _share(step.old, other.old) != _share(step.new, other.new) and (
            other.total > most + JUST or (rival is None and other.total > most - JUST)
        ):
            most, rival = other.total, (other.old, other.new)
    return ahead[0][0] - most, rival


def _share(one: range, other: range) -> bool:
    return max(one.start, other.start) < min(one.stop, other.stop)
