"""Places compared for a panel: more are sought where they help, and a crowd has a way without a
fault where there is one."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from letterer import craft
from letterer.model.layout_reader import parse_layout
from letterer.model.script_reader import parse_script
from letterer.place.costs import together, total
from letterer.place.polishing import ordered, polished
from letterer.place.problem import Problem, best_of
from letterer.place.proposing import costs_of
from letterer.place.scene import Scene, scenes_of
from letterer.text.faces import library

CROWD = """
CAPTION: The ferry was late again, and by noon the whole quay knew.

ADA: It has never been this late. Not once.

BRAM: Once. The year the bell fell in.

ADA: That was the fog.

CLEO: That was the captain, and you know it as well as I do.

BRAM: Hush.

ADA: Let her say it. Somebody has to.
"""
MOUTHS = {"ADA": [70, 230], "BRAM": [150, 240], "CLEO": [225, 235]}


@pytest.fixture(scope="module")
def crowd() -> Scene:
    """Seven units in a panel that they fill by a third."""
    panel = {"panel": 1, "box": [18, 18, 264, 300], "mouths": MOUTHS}
    layout = {
        "letterer": 1,
        "unit": "pt",
        "page": {"trim": [300, 340], "bleed": 9, "live": 9},
        "reading": "left to right",
        "language": "en",
        "pages": [{"page": 1, "panels": [panel]}],
    }
    read = parse_layout(json.dumps(layout), "layout.json", Path())
    script = parse_script(f"PAGE 1\n\nPANEL 1\n{CROWD}")
    (scene,) = scenes_of(read.pages[0], script.pages[0].units, (), read, library())
    return scene


def test_a_crowd_has_a_way_without_a_fault(crowd: Scene) -> None:
    problem, solved = best_of(crowd)
    standing = polished(crowd, problem.standing(solved.choice))
    assert costs_of(crowd, standing)[1] == ()
    assert ordered(crowd, standing)
    assert solved.gap < 0.1 * solved.cost


def test_more_places_are_only_those_that_are_better(crowd: Scene) -> None:
    """From a bad choice one round mends much; nothing that was compared is lost."""
    problem = Problem(crowd, most=12)
    before = problem.kept
    choice = tuple(0 for _ in problem.kept)
    cost = _cost(problem, choice)
    moved = problem.widened(choice)
    assert moved is not None
    assert _cost(problem, moved) < cost
    for old, new in zip(before, problem.kept, strict=True):
        assert set(old.tolist()) <= set(new.tolist())
    assert problem.compared == sum(map(len, problem.seats))


def test_where_nothing_is_better_there_is_nothing_new(crowd: Scene) -> None:
    """Every unit is where it is best beside the others, over the whole grid."""
    problem = Problem(crowd, most=12)
    solved = problem.solved()
    for _ in range(30):
        choice = problem.widened(solved.choice)
        if choice is None:
            break
        solved = problem.solved(known=(choice,))
    assert choice is None
    last = solved.choice
    assert problem.in_order(last)
    at = [int(kept[k]) for kept, k in zip(problem.kept, last, strict=True)]
    for k in range(len(at)):
        costs = problem.costs[k].copy()
        for i in range(len(at)):
            if i != k:
                first, then = sorted((i, k))
                seats = [
                    problem.every[n] if n == k else problem.every[n].only(np.array([at[n]]))
                    for n in (first, then)
                ]
                table = total(together(crowd, *seats), (len(seats[0]), len(seats[1])))
                costs += table.ravel()
        assert costs[at[k]] <= costs.min() + 1e-6


def test_spread_keeps_the_choice(crowd: Scene) -> None:
    problem = Problem(crowd, most=12)
    choice = tuple(3 for _ in problem.kept)
    standing = problem.standing(choice)
    compared = problem.compared
    assert problem.standing(problem.spread(choice)) == standing
    assert problem.compared > compared


def _cost(problem: Problem, choice: tuple[int, ...]) -> float:
    found = sum(float(own[k]) for own, k in zip(problem.single, choice, strict=True))
    found += sum(float(costs[choice[i], choice[j]]) for (i, j), costs in problem.pairs.items())
    return found + craft.PLACE_FAULT_ORDER * (not problem.in_order(choice))
