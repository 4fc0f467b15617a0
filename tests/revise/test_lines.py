"""Lines after an edit: old ones where nearly the best, planned ones as near as can be."""

from __future__ import annotations

import pytest

from letterer import craft
from letterer.api import compose
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Layout
from letterer.model.script import Run, Script
from letterer.model.script_reader import parse_script
from letterer.revise import matched
from letterer.revise.change import Revision
from letterer.revise.keeping import without_lines
from letterer.revise.likeness import likeness
from letterer.revise.lines import as_it_was, carried_lines, settle
from letterer.revise.revision import revise
from letterer.text.faces import FaceLibrary, library


@pytest.fixture(scope="module")
def faces() -> FaceLibrary:
    return library(())


def book(words: str) -> Script:
    return parse_script(f"PAGE 1\n\nPANEL 1\n\nNELL: {words}\n")


def planned(words: str, keys: str = "") -> Layout:
    text = (
        '{"letterer": 1, "unit": "pt", "page": {"trim": [400, 400], "bleed": 9, "live": 9},'
        ' "pages": [{"page": 1, "panels": [{"panel": 1, "box": [9, 9, 380, 380]}],'
        f' "placements": [{{"unit": "1.1.1", "center": [200, 200]{keys}, "words": "{words}",'
        ' "speaker": "NELL"}]}]}'
    )
    return parse_layout(text)


@pytest.mark.parametrize(
    ("lines", "words", "told"),
    [
        (("Who said", "that?"), "Who said that?", ("Who said", "that?")),
        (("I never", "said so."), "I never ever said so.", ("I never", "ever said so.")),
        (("I never", "said so."), "I nevr said so.", ("I nevr", "said so.")),
        (("one two", "three four"), "one four", ("one", "four")),
        (("one two", "three"), "one two", None),
        (("one", "two", "three"), "seven gulls here", ("seven", "gulls", "here")),
    ],
)
def test_breaks_stay_between_their_words(
    lines: tuple[str, ...], words: str, told: tuple[str, ...] | None
) -> None:
    assert carried_lines(lines, words) == told


def test_emphasis_stays_with_its_word() -> None:
    (unit,) = book("I *never* said that.").units
    assert as_it_was(unit, "I never said this.").runs == (
        Run("I "),
        Run("never ", emphasis=True),
        Run("said "),
        Run("this."),
    )


OLD = "Sixty years have I wound her, and she never missed a tooth."


def test_a_small_edit_keeps_its_lines_where_they_are_nearly_the_best(faces: FaceLibrary) -> None:
    """Over many small edits: held lines are the old ones, and cost at most the constant more."""
    (before,) = compose(book(OLD), planned(OLD)).pages[0].units
    held = free = 0
    words = OLD.split()
    for at, word in enumerate(words):
        for other in (word + "s", "very " + word, "so"):
            new = " ".join([*words[:at], other, *words[at + 1 :]])
            script, layout = book(new), planned(OLD)
            revision = revise(script, layout)
            settled = settle(script, revision.layout, revision.changes, faces)
            placed = settled.layout.pages[0].placements[0]
            if not settled.kept:
                assert placed.breaks is None
                free += 1
                continue
            held += 1
            assert likeness(OLD, new) >= craft.SMALL_EDIT_LIKENESS
            dressed = tuple(carried_lines(before.breaks, new) or ())
            assert placed.breaks == dressed
            kept = compose(script, settled.layout).pages[0].units[0]
            best = compose(script, planned(new)).pages[0].units[0]
            assert kept.breaks != best.breaks and kept.size == best.size
            more = sum(cost for _, cost in kept.costs) - sum(cost for _, cost in best.costs)
            assert more <= craft.COST_LINES_CHANGED + 1e-6
    assert held >= 2 and free >= 5


def test_an_edit_in_a_planned_line_keeps_the_others(faces: FaceLibrary) -> None:
    old = "The lamp is out and the boat is gone."
    keys = ', "breaks": ["The lamp is out", "and the boat is gone."]'
    layout, told = matched(
        book("The old lamp is out and the boats are gone."), planned(old, keys), faces
    )
    assert layout.pages[0].placements[0].breaks == (
        "The old lamp is out",
        "and the boats are gone.",
    )
    (finding,) = told
    assert finding.kind == "breaks carried" and "/" in finding.what
    made = compose(book("The old lamp is out and the boats are gone."), planned(old, keys))
    assert [line.lower() for line in made.pages[0].units[0].breaks] == [
        "the old lamp is out",
        "and the boats are gone.",
    ]


def test_planned_lines_that_still_hold_are_left_alone(faces: FaceLibrary) -> None:
    old = "The lamp is out and the boat is gone."
    keys = ', "breaks": ["THE LAMP IS OUT", "AND THE BOAT IS GONE."]'
    layout, told = matched(book(old), planned(old, keys), faces)
    assert layout == planned(old, keys) and told == ()


def test_too_few_words_for_the_lines_that_were_planned(faces: FaceLibrary) -> None:
    old = "The lamp is out and the boat is gone."
    layout, told = matched(book("The lamp."), planned(old, ', "lines": 4'), faces)
    assert layout.pages[0].placements[0].lines == 4
    assert [finding.kind for finding in told] == ["lines changed"]


def test_words_that_cannot_be_set_are_told_by_lettering(faces: FaceLibrary) -> None:
    script = book("The lamp is out \U0001f600 now.")
    layout, _ = matched(script, planned("The lamp is out and now."), faces)
    assert layout.pages[0].placements[0].breaks is None


def kept_lines(layout: Layout, words: str, faces: FaceLibrary) -> tuple[Layout, Revision]:
    """A layout as `letterer revise --write` leaves it after an edit."""
    script = book(words)
    revision = revise(script, layout)
    settled = settle(script, revision.layout, revision.changes, faces)
    revision = without_lines(revision, settled.anew)
    return revision.layout, revision


def test_words_are_those_lettered_and_lines_are_kept_beside_them(faces: FaceLibrary) -> None:
    """A second look finds nothing to do, the same lines are found again, and the way back leads to
    the first layout, after one small edit or several."""
    words, first = OLD.split(), planned(OLD)
    held = 0
    for at in (1, 3, 11):
        new = " ".join([*words[:at], "so", *words[at + 1 :]])
        layout, _ = kept_lines(first, new, faces)
        (placed,) = layout.pages[0].placements
        assert (placed.words, placed.earlier) == (new, OLD)
        held += placed.lines_kept
        again, quiet = kept_lines(layout, new, faces)
        assert again == layout and quiet.is_quiet
        one, other = (matched(book(new), plan, faces)[0] for plan in (first, layout))
        assert one.pages[0].placements[0].breaks == other.pages[0].placements[0].breaks
        assert (one.pages[0].placements[0].breaks is not None) == placed.lines_kept
        further, _ = kept_lines(layout, new.replace("never", "nevver"), faces)
        for there in (layout, further):
            assert kept_lines(there, OLD, faces)[0] == first
    assert held == 2


def test_words_written_anew_keep_no_lines(faces: FaceLibrary) -> None:
    layout, _ = kept_lines(planned(OLD), "Seven green gulls, and not one of them sings.", faces)
    (placed,) = layout.pages[0].placements
    assert (placed.earlier, placed.lines_kept) == (None, False)


def test_lines_that_a_person_chose_need_no_earlier_words(faces: FaceLibrary) -> None:
    plan = planned("The lamp is out.", ', "breaks": ["The lamp", "is out."]')
    layout, _ = kept_lines(plan, "The lamp was out.", faces)
    (placed,) = layout.pages[0].placements
    assert (placed.earlier, placed.lines_kept) == (None, False)
