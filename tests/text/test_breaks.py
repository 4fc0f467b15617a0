"""Pieces that no line break may split, for whatever text. Known cases stand in tests/against."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import example, given
from hypothesis import strategies as st

from letterer.text.breaks import Piece, break_opportunities, clusters, pieces

TEXTS = st.text(
    st.one_of(
        st.characters(),
        st.characters(categories=["Cs"]),
        st.sampled_from("aB1-–—…./!?'\"“”()@#$ \n\t\u00a0\u00ad\u200b\u0301😀日。「"),
    ),
    max_size=40,
)


def test_spaced_and_forced() -> None:
    assert pieces("SO, WAIT--NO\nI") == (
        Piece(0, 3, True, False),
        Piece(4, 10, False, False),
        Piece(10, 12, True, True),
        Piece(13, 14, False, False),
    )


def test_nothing_has_no_pieces() -> None:
    assert pieces("") == pieces("  \n ") == ()
    assert break_opportunities("") == []


def test_two_forced_breaks_end_one_line() -> None:
    assert pieces("A\n\nB") == (Piece(0, 1, True, True), Piece(3, 4, False, False))


def test_characters_beyond_the_first_plane_are_counted_as_one() -> None:
    text = "😀 𝔸𝔹 -- 👍🏽!"
    assert [text[piece.start : piece.end] for piece in pieces(text)] == ["😀", "𝔸𝔹 --", "👍🏽!"]
    text = "a👍🏽e\u0301\r\n"
    assert [text[start:end] for start, end in clusters(text)] == [
        "a",
        "👍🏽",
        "e\u0301",
        "\r\n",
    ]


@given(TEXTS)
@example("\ud800\udc00 \udc00")
@example("--A-- --")
def test_pieces_cover_every_character_once_and_in_order(text: str) -> None:
    found = pieces(text)
    assert all(piece.start < piece.end for piece in found)
    places = [at for piece in found for at in range(piece.start, piece.end)]
    assert places == sorted(set(places))
    left_out = set(range(len(text))) - set(places)
    assert all(text[at].isspace() for at in left_out)
    assert all(not text[piece.end - 1].isspace() for piece in found)


@given(TEXTS)
def test_what_a_piece_says_of_the_gap_after_it(text: str) -> None:
    found = pieces(text)
    for piece, following in pairwise(found):
        gap = text[piece.end : following.start]
        assert piece.spaced == bool(gap)
        assert piece.forced == ("\n" in gap)
    assert all("\n" not in text[piece.start : piece.end] for piece in found)


@given(TEXTS)
def test_clusters_cover_the_text(text: str) -> None:
    found = clusters(text)
    assert [start for start, _ in found] == [0, *(end for _, end in found)][: len(found)]
    assert all(start < end for start, end in found)
    assert (found[-1][1] if found else 0) == len(text)


@given(TEXTS)
def test_no_piece_begins_or_ends_inside_a_cluster(text: str) -> None:
    edges = {end for _, end in clusters(text)} | {0}
    assert all(piece.end in edges for piece in pieces(text))


@given(st.lists(st.sampled_from(["WAIT", "--", "…", "...", "—", "/", "?!", "“", "”"]), max_size=8))
def test_no_line_begins_with_a_dash_or_dots_said_after_a_word(words: list[str]) -> None:
    text = "".join(words)
    for piece in pieces(text)[1:]:
        assert text[piece.start] not in "-…./—?!”", text
