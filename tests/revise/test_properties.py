"""Whatever is edited: nothing of a person's is lost, the file stays sound, and the way back leads
to the first layout."""

from __future__ import annotations

import json
import random
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer.model.json_reader import read_json
from letterer.model.layout_file import LayoutFile
from letterer.model.plan import Layout, Placement
from letterer.model.script import Script
from letterer.revise.book import address, in_order
from letterer.revise.change import Fate, Revision
from letterer.revise.revision import revise
from letterer.revise.rewriting import rewritten

ALL = ("typo", "rewrite", "split", "join", "swap", "insertion", "deletion", "move on a page",
       "move between pages", "page inserted", "panel split", "two pages swapped",
       "speaker renamed")  # fmt: skip


def after(file: LayoutFile, script: Script) -> tuple[LayoutFile, Revision]:
    layout = file.layout()
    revision = revise(script, layout)
    for edits in revision.stages:
        file = rewritten(file, edits, layout.measure)
    assert file.layout() == revision.layout
    return file, revision


def everywhere(layout: Layout) -> list[Placement]:
    stored = [placed for page in layout.parked.pages for placed in page.placements]
    return [*in_order(layout.pages), *layout.parked.placements, *stored]


def choices(placed: Placement) -> tuple[object, ...]:
    return placed.size, placed.kind, placed.lines, placed.breaks, placed.aspect


def check_nothing_is_lost(before: Layout, now: Layout) -> None:
    for what in (lambda placed: placed.spot, choices):
        old = Counter(what(placed) for placed in everywhere(before) if not placed.proposed)
        new = Counter(what(placed) for placed in everywhere(now))
        assert not old - new
    for page in before.pages:
        held = [*now.pages, *now.parked.pages]
        assert any(
            (one.art, one.keep_clear, one.focus) == (page.art, page.keep_clear, page.focus)
            for one in held
        )


@settings(max_examples=12)
@given(
    number=st.integers(0, 10_000),
    kinds=st.lists(st.sampled_from(ALL), min_size=1, max_size=4),
    speeches_from=st.integers(0, 50),
)
def test_any_edits(
    number: int, kinds: list[str], speeches_from: int, edits: Any, speeches: Any, as_file: Any
) -> None:
    chance = random.Random(number)
    book = edits.first_book(speeches[speeches_from : speeches_from + 30], chance)
    file = first = as_file(book, str(number))
    made = edits.copied(book)
    for kind in kinds:
        if edits.spots(made):
            edits.KINDS[kind](made, chance)
        before = file.layout()
        file, revision = after(file, edits.as_script(made))
        check_nothing_is_lost(before, file.layout())
        check_nothing_is_lost(first.layout(), file.layout())
        units = {unit.id: unit for unit in edits.as_script(made).units}
        for placed in in_order(file.layout().pages):
            assert placed.words == units[placed.unit].words
        told = [change.unit for change in revision.changes if change.unit]
        assert set(told) == set(units) or any(
            change.fate is Fate.SPLIT for change in revision.changes
        )
        again, quiet = after(file, edits.as_script(made))
        assert again.text == file.text
        assert all(change.fate in (Fate.SAME, Fate.NEW) for change in quiet.changes)
    if "swap" in kinds:
        return  # what is read in another order takes another place each time
    # In one go: a unit that no edit touched, in its own panel, stands as it stood, either way.
    once, _ = after(first, edits.as_script(made))
    lines = dict(edits.lines_of(book))
    old = {line.origin[0]: unit for unit, line in lines.items()}
    panels, now = _panels(book), _panels(made)
    one = {placed.unit: placed for placed in in_order(once.layout().pages)}
    stepwise = {placed.unit: placed for placed in in_order(file.layout().pages)}
    for unit, line in edits.lines_of(made):
        if len(line.origin) != 1 or panels[old[line.origin[0]]] != now[unit]:
            continue
        if lines[old[line.origin[0]]].words == line.words:
            assert (one[unit].spot, choices(one[unit]), one[unit].tails) == (
                stepwise[unit].spot,
                choices(stepwise[unit]),
                stepwise[unit].tails,
            )


@pytest.mark.parametrize("kind", ALL)
def test_there_and_back_again(kind: str, edits: Any, speeches: Any, as_file: Any) -> None:
    for number in range(5):
        made = edits.case(kind, number, speeches)
        first = as_file(made.before, f"{kind} {number}")
        there, _ = after(first, edits.as_script(made.after))
        back, _ = after(there, edits.as_script(made.before))
        assert back.layout() == first.layout()
        assert back.text == first.text


@pytest.mark.parametrize("form", ["one line", "indented", "tabs and CRLF"])
def test_every_way_to_write_a_file_is_kept(
    form: str, edits: Any, speeches: Any, as_file: Any
) -> None:
    for number, kind in enumerate(ALL):
        made = edits.case(kind, number, speeches)
        whole = json.loads(as_file(made.before, kind).text)
        text = {
            "one line": json.dumps(whole, separators=(",", ":")),
            "indented": json.dumps(whole, indent=2) + "\n",
            "tabs and CRLF": json.dumps(whole, indent="\t").replace("\n", "\r\n"),
        }[form]
        first = LayoutFile(Path("layout.json"), read_json(text, "layout.json"))
        there, _ = after(first, edits.as_script(made.after))
        if form == "tabs and CRLF":
            assert "\n" not in there.text.replace("\r\n", "")
        back, _ = after(there, edits.as_script(made.before))
        assert back.text == text


@settings(max_examples=10)
@given(number=st.integers(0, 10_000))
def test_another_script_altogether(number: int, edits: Any, speeches: Any, as_file: Any) -> None:
    """The worst edit: scripts of the same lines in quite another order, one after another."""
    chance = random.Random(number)
    said = [*speeches[:40], *((name, words) for name in "AB" for words in edits.SHORT)]
    chance.shuffle(said)
    file = as_file(edits.first_book(said[: chance.randint(1, 40)], chance), str(number))
    for _ in range(3):
        chance.shuffle(said)
        book = edits.first_book(said[: chance.randint(1, 40)], chance)
        before = file.layout()
        file, _ = after(file, edits.as_script(book))
        check_nothing_is_lost(before, file.layout())
        units = [placed.unit for placed in in_order(file.layout().pages)]
        assert len(set(units)) == len(units)


def _panels(book: Any) -> dict[str, int]:
    return {
        f"{p}.{q}.{n}": panel.key
        for p, page in enumerate(book, 1)
        for q, panel in enumerate(page, 1)
        for n in range(1, len(panel.lines) + 1)
    }


def test_addresses_sort_as_numbers() -> None:
    assert sorted(("1.10.1", "1.2.1", "1.1.12"), key=address) == ["1.1.12", "1.2.1", "1.10.1"]
