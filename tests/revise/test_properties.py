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


@settings(max_examples=8)
@given(
    number=st.integers(0, 10_000),
    kinds=st.lists(st.sampled_from(ALL), min_size=1, max_size=4),
    speeches_from=st.integers(0, 50),
)
def test_any_edits(
    number: int, kinds: list[str], speeches_from: int, edits: Any, speeches: Any, as_file: Any
) -> None:
    """Step by step: nothing is lost, every placement says its words and who says them, and a second
    look finds nothing to do."""
    chance = random.Random(number)
    book = edits.first_book(speeches[speeches_from : speeches_from + 30], chance)
    file = first = as_file(book, str(number))
    made = edits.copied(book)
    for kind in kinds:
        if edits.spots(made):
            edits.KINDS[kind](made, chance)
        before, script = file.layout(), edits.as_script(made)
        file, revision = after(file, script)
        check_nothing_is_lost(before, file.layout())
        check_nothing_is_lost(first.layout(), file.layout())
        check_words(file.layout(), script)
        told = [change.unit for change in revision.changes if change.unit]
        assert set(told) == {unit.id for unit in script.units}
        again, quiet = after(file, script)
        assert again.text == file.text
        assert all(change.fate in (Fate.SAME, Fate.NEW) for change in quiet.changes)
        assert not any(change.speakers for change in quiet.changes)


def check_words(layout: Layout, script: Script) -> None:
    """What the script always fixes: each unit has one place at most, with its words and speaker."""
    units = {unit.id: unit for unit in script.units}
    placed = in_order(layout.pages)
    assert len({one.unit for one in placed}) == len(placed)
    for one in placed:
        assert (one.words, one.speaker or "") == (units[one.unit].words, units[one.unit].speaker)


MOVES = ("move on a page", "move between pages")


@settings(max_examples=18)
@given(
    number=st.integers(0, 10_000),
    kinds=st.lists(st.sampled_from(ALL), min_size=2, max_size=4),
    speeches_from=st.integers(0, 50),
)
def test_in_one_go_or_step_by_step(
    number: int, kinds: list[str], speeches_from: int, edits: Any, speeches: Any, as_file: Any
) -> None:
    """What the script fixes is the same whether each edit was followed by a revision or only the
    last: words and speakers of all; and of units that no edit touched but a typo or a new name,
    that they have a place, which, and everything chosen for it. Of units that moved once, all that
    was chosen for them but the place, which letterer proposes from what stands there then.

    Of the rest, the last script does not say what became of them. Words that were rewritten and
    then moved are followed in two steps and not in one; words that were split, cut and written
    again find what is parked by the words that it held, which only the steps between have told.
    """
    chance = random.Random(number)
    book = edits.first_book(speeches[speeches_from : speeches_from + 30], chance)
    first = layout = as_file(book, str(number)).layout()
    made = edits.copied(book)
    touched: dict[int, list[str]] = {}
    for kind in kinds:
        if edits.spots(made):
            for key in edits.KINDS[kind](made, chance):
                touched.setdefault(key, []).append(kind)
        layout = revise(edits.as_script(made), layout).layout
    once = revise(edits.as_script(made), first).layout
    for plan in (layout, once):
        check_words(plan, edits.as_script(made))
        check_nothing_is_lost(first, plan)
    steps, whole = ({p.unit: p for p in in_order(plan.pages)} for plan in (layout, once))
    for unit, line in edits.lines_of(made):
        if len(line.origin) != 1:
            continue
        by = [kind for kind in touched.get(line.origin[0], ()) if kind != "speaker renamed"]
        if set(by) <= {"typo"}:
            one, other = steps[unit], whole[unit]
            assert (one.spot, one.tails, choices(one)) == (other.spot, other.tails, choices(other))
            assert not one.proposed and not other.proposed
            page, panel = (int(part) for part in unit.split(".")[:2])
            there = [plan.page(page) for plan in (layout, once)]
            here, here_too = (found and found.panel(panel) for found in there)
            assert (here and here.box) == (here_too and here_too.box)
        elif len(by) == 1 and by[0] in MOVES:
            assert choices(steps[unit]) == choices(whole[unit])
            assert steps[unit].proposed == whole[unit].proposed


def test_sequences_lead_back(edits: Any, speeches: Any, as_file: Any) -> None:
    """Edits one upon another, each followed by a revision, and then the first script again: the
    first file, byte for byte. Not where words were rewritten beyond likeness and then moved, cut or
    joined: nothing tells whose they were, and their placement stays parked (REVISION.md)."""
    back, cases = 0, 14
    for number in range(cases):
        chance = random.Random(f"sequence {number}")
        book = edits.first_book(speeches[: chance.randint(8, 40)], chance)
        file = first = as_file(book, f"sequence {number}")
        made = edits.copied(book)
        for _ in range(chance.randint(2, 4)):
            if edits.spots(made):
                edits.KINDS[chance.choice(ALL)](made, chance)
            file, _ = after(file, edits.as_script(made))
        file, _ = after(file, edits.as_script(book))
        check_nothing_is_lost(first.layout(), file.layout())
        back += file.text == first.text
    assert back >= cases - 1


@pytest.mark.parametrize("kind", ALL)
def test_there_and_back_again(kind: str, edits: Any, speeches: Any, as_file: Any) -> None:
    for number in range(3):
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
    for number, kind in enumerate(ALL[::2]):
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


@settings(max_examples=8)
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


def test_addresses_sort_as_numbers() -> None:
    assert sorted(("1.10.1", "1.2.1", "1.1.12"), key=address) == ["1.1.12", "1.2.1", "1.10.1"]
