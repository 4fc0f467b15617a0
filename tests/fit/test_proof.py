"""The measuring of tests/benchmarks/proof.py is itself measured, on sentences of our own.

The ceilings are known in closed form or from a plain search; the exhaustive comparison is done once
more without its lower bounds; and a poor setting must be told from a good one.
"""

from __future__ import annotations

import importlib
import math
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from letterer import craft
from letterer.fit.balloon import Wishes
from letterer.model.style import Style

SENTENCES = (
    "No!",
    "Wait, who told you?",
    "I left it on the boat.",
    "Nobody goes down there any more.",
    "The ferry leaves at nine and so do we.",
    "A small disagreement about the weathercock, that is all.",
    "You have had that key the whole time, and you let us climb.",
    "Four of us set out, and there are five of us now. Shall we talk about it, or shall we"
    " go on as though nothing had happened?",
)


@pytest.fixture(scope="module")
def proof(repository: Path) -> Any:
    return loaded("tests.benchmarks.proof", repository)


@pytest.fixture(scope="module")
def rivals(repository: Path) -> Any:
    return loaded("tests.benchmarks.rivals", repository)


def loaded(name: str, repository: Path) -> ModuleType:
    """A module of the benchmarks, which are not collected with the tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(repository))
        return importlib.import_module(name)


def rivals_of(proof: Any, rivals: Any, sentence: str) -> Any:
    style = Style()
    words = rivals.MeasuredWords(proof.shaper(proof.Text("ours", 0, "en", sentence), style))
    return rivals.Rivals(words, proof.shape_of(style), Wishes(style.size))


# --- Fill -------------------------------------------------------------------------------------


def test_ceilings_of_the_ellipse(rivals: Any) -> None:
    # One or two lines: the largest rectangle in an ellipse, 2ab of πab (a textbook result).
    assert rivals.ceiling(1, 2.0) == pytest.approx(2 / math.pi, abs=1e-6)
    assert rivals.ceiling(2, 2.0) == pytest.approx(2 / math.pi, abs=1e-6)
    shares = [rivals.ceiling(lines, 2.4) for lines in range(2, 9)]
    assert shares == sorted(shares) and shares[-1] < 1


def test_fill_reaches_the_ceiling_and_no_more(rivals: Any) -> None:
    for lines in (1, 2, 3, 5):
        for n in (2.0, 2.4, 2.7):
            edges = np.arange(lines + 1) - lines / 2
            far = np.maximum(np.abs(edges[:-1]), np.abs(edges[1:]))
            best = max(
                rivals.fill(10 * (1 - (far * high) ** n) ** (1 / n), n)
                for high in np.linspace(0.3, 1.98, 60) / lines
            )
            assert 0.995 * rivals.ceiling(lines, n) < best <= rivals.ceiling(lines, n) + 1e-4
    assert rivals.fill([3.0, 10.0, 3.0], 2.4) < 0.9 * rivals.fill([8.0, 10.0, 8.0], 2.4)
    # How wide the lines are against their height does not matter: only their silhouette does.
    assert rivals.fill([8.0, 10.0, 8.0], 2.4) == pytest.approx(
        rivals.fill([0.8, 1.0, 0.8], 2.4), rel=1e-4
    )


# --- Rivals -----------------------------------------------------------------------------------


@pytest.mark.parametrize("sentence", SENTENCES[1:6])
def test_bounds_hold_and_the_least_is_found(sentence: str, proof: Any, rivals: Any) -> None:
    ours = rivals_of(proof, rivals, sentence)
    tables = ours.every()
    assert sum(len(rows) for rows in tables) == 2 ** (len(ours.words) - 1)
    areas, totals = {}, {}
    for rows in tables:
        for n in ours.exponents:
            bounds = ours.bounds(rows, n)
            for bound, row in zip(bounds.tolist(), rows.tolist(), strict=True):
                area = math.exp(dict(ours.set(tuple(row), n).costs)["area"])
                assert 0.5 * area < bound <= area + 1e-9, row
        for row in map(tuple, rows.tolist()):
            areas[row], totals[row] = ours.area(row), ours.total(row)
    fresh = rivals_of(proof, rivals, sentence)
    cheapest = min(totals, key=lambda row: totals[row])
    best = rivals.best_of(fresh, fresh.every(), cheapest)
    assert best.area == min(areas.values())
    assert best.total == pytest.approx(totals[cheapest], abs=1e-9)
    assert best.area <= best.as_fair <= areas[cheapest]
    one_humped = [
        areas[row] for row in areas if not ours.valleys(np.array([row], dtype=np.intp))[0]
    ]
    assert best.one_humped == min(one_humped)


def test_faults_are_seen(proof: Any, rivals: Any) -> None:
    ours = rivals_of(proof, rivals, "I left it on the boat.")
    rows = np.array([(1, 4, 6), (2, 4, 6), (3, 4, 6)], dtype=np.intp)
    assert ours.lone(rows).tolist() == [True, False, False]
    waisted = rivals_of(proof, rivals, "Remarkably he said remarkably little.")
    rows = np.array([(1, 2, 5), (3, 4, 5)], dtype=np.intp)
    deep = waisted.valleys(rows)
    assert deep[0] > 3 and deep[1] == 0
    assert waisted.faults(rows)[0] - waisted.faults(rows)[1] > craft.COST_VALLEY_MOST


# --- The whole --------------------------------------------------------------------------------


def test_the_table_of_our_own_sentences(proof: Any) -> None:
    results = [
        proof.measured(proof.Text("ours", at, "en", sentence))[0]
        for at, sentence in enumerate(SENTENCES)
    ]
    assert [r.words for r in results] == [len(sentence.split()) for sentence in SENTENCES]
    assert all(r.inside and r.same_on_page and r.air >= craft.AIR_FLOOR_CAPS for r in results)
    for r in results:
        assert r.least_total <= r.total + 1e-6
        assert r.least_area <= r.least_as_fair <= r.area + 1e-9
        assert 0 < r.fill_as_drawn < 1 and r.fill <= proof.ceiling(r.lines, r.exponent) + 1e-3
    rows = proof.judged(results)
    told = {row.asked: row for row in rows}
    assert told["lines as on a whole page"].found == f"{len(results)} of {len(results)}"
    text = proof.table(rows)
    assert text.count("\n") == len(rows) + 1 and "| yes |" in text


def test_a_missed_bar_is_told(proof: Any) -> None:
    good = proof.measured(proof.Text("ours", 7, "en", SENTENCES[3]))[0]
    fields = {name: getattr(good, name) for name in good.__dataclass_fields__}
    bad = proof.Measured(**{**fields, "air": 0.4, "lone": True, "total": good.total + 0.1})
    missed = [row for row in proof.judged([good, bad]) if row.kept is False]
    asked = " ".join(row.asked for row in missed)
    assert "ink inside" in asked and "lone short word" in asked and "total cost" in asked
    assert all(row.misses == (("en", 7),) for row in missed)


def test_speeches_are_read_without_what_is_done_on_the_stage(proof: Any, tmp_path: Path) -> None:
    text = (
        "# A play\n\n_Enter two_\n\n**ADA**  \nWho is there? _Knocks_  \nSpeak [aside] up.\n\n"
        "**BEN**  \n" + "no " * 41 + "\n\n**BEN**  \n_Exit_\n"
    )
    (tmp_path / "a.md").write_text(text, "utf-8")
    assert proof.speeches(tmp_path) == ["Who is there? Speak up."]
