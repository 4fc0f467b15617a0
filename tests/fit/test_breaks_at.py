"""Kept line breaks: the words of each line, found again in the unit's words."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.fit.candidates import line_words, set_lines
from letterer.fit.measure import MeasuredWords

Measured = Callable[..., MeasuredWords]

TEXT = '"Mind the third step," she said -- but I, for one, saw a half-open door...'


@pytest.mark.parametrize(
    ("text", "lines", "ends"),
    [
        ("The lamp is out.", ("The lamp", "is out."), (2, 4)),
        ("The lamp is out.", ("THE LAMP IS OUT",), (4,)),
        # Signs and spaces do not count, nor does it matter how they are typed.
        ("The lamp -- is out!", ("the lamp--", "is out"), None),
        ("It's a lie", ("IT’S", "A LIE"), (1, 3)),
        ("No... never", ("NO…", "NEVER"), (1, 2)),
        ("A half-open door", ("A HALF-", "OPEN DOOR"), (2, 4)),
        ("A half-open door", ("A", "HALFOPEN", "DOOR"), (1, 3, 4)),
        ("Two\nlines", ("TWO", "LINES"), (1, 2)),
    ],
)
def test_where_the_lines_end(
    text: str, lines: tuple[str, ...], ends: tuple[int, ...] | None, measured: Measured
) -> None:
    words = measured(text)
    found = words.breaks_at(lines)
    assert found is not None and found[-1] == len(words)
    if ends is not None:
        assert found == ends


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("The lamp is out.", ("The lamp", "is on.")),
        ("The lamp is out.", ("The lamp", "is")),
        ("The lamp is out.", ("The lamp", "is out", "now")),
        ("The lamp is out.", ("The la", "mp is out")),
        ("The lamp is out.", ("is out", "The lamp")),
        ("The lamp is out.", ("", "The lamp is out")),
        ("The lamp is out.", ("The lamp", "", "is out")),
        ("The lamp is out.", ("The lamp is out", "...")),
        ("The lamp is out.", ()),
        # What the writer broke stays broken.
        ("The lamp\nis out.", ("The lamp is", "out")),
    ],
)
def test_lines_that_are_not_the_words(
    text: str, lines: tuple[str, ...], measured: Measured
) -> None:
    assert measured(text).breaks_at(lines) is None


@given(cuts=st.sets(st.integers(1, 14)))
def test_every_breaking_is_found_again_by_its_lines(cuts: set[int], measured: Measured) -> None:
    words = measured(TEXT)
    assert len(words) == 15
    breaks = (*sorted(cuts), len(words))
    lines = [line_words(words, line) for line in set_lines(words, breaks)]
    assert words.breaks_at(lines) == breaks
    assert words.breaks_at([line.lower() for line in lines]) == breaks
