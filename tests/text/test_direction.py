"""Levels and visual order, for whatever text; Unicode's own files are met in tests/against."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from letterer.text.direction import levels, visual_order
from letterer.text.embedding import DEEPEST, base_level, embedding_levels

MIXED = st.text(
    st.one_of(
        st.characters(),
        st.sampled_from("abשלאب12١+,()[] !\n\u0300\u202a\u202b\u202c\u202d\u202e"),
        st.sampled_from("\u2066\u2067\u2068\u2069\u200e\u200f\u00ad"),
    ),
    max_size=30,
)


@given(MIXED, st.sampled_from([0, 1]))
def test_every_character_has_a_level(text: str, base: int) -> None:
    found = embedding_levels(text, base)
    assert len(found) == len(text)
    assert all(base <= level <= DEEPEST + 2 for level in found)


@given(MIXED)
def test_none_means_that_all_runs_left_to_right(text: str) -> None:
    found = levels(text)
    if found is None:
        assert not any(level % 2 for level in embedding_levels(text, 0))


@given(st.lists(st.integers(0, 6), max_size=20))
def test_visual_order_leaves_no_run_out(given_levels: list[int]) -> None:
    assert sorted(visual_order(given_levels)) == list(range(len(given_levels)))


def test_visual_order() -> None:
    assert visual_order([]) == []
    assert visual_order([0, 0]) == [0, 1]
    assert visual_order([1, 1]) == [1, 0]
    assert visual_order([0, 1, 2, 1, 0]) == [0, 3, 2, 1, 4]
    assert visual_order([2, 1, 1]) == [2, 1, 0]


def test_the_first_strong_letter_decides() -> None:
    assert base_level("“12 שלום OK") == 1
    assert base_level("OK שלום") == 0
    assert base_level("\u2067שלום\u2069 OK") == 0
    assert base_level("12!") == 0


def test_very_deep_embeddings_are_no_error() -> None:
    text = "\u202b\u2067" * 200 + "א"
    assert max(embedding_levels(text, 0)) <= DEEPEST + 2
