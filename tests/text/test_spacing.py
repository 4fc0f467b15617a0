"""Letters and words set wider apart: after shaping, with no letter or ligature pulled to pieces."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer import craft
from letterer.model.look import Look
from letterer.model.style import Style
from letterer.text.faces import library
from letterer.text.shaping import Lettering, ShapedLine, Shaper
from letterer.text.tradition import DressedText

WORDS = st.text("ABI OVW,.'-Éé", min_size=1, max_size=20)


def shaper(text: str, spacing: float, face: str = "Letterer Hand") -> Shaper:
    lettering = Lettering((face, "Comic Neue", "Playpen Sans"), spacing=spacing)
    return Shaper(DressedText(text), lettering, library())


def line(text: str, spacing: float, face: str = "Letterer Hand") -> ShapedLine:
    return shaper(text, spacing, face).line(0, len(text))


@given(WORDS, st.sampled_from([0.05, 0.12, 0.3]))
def test_every_letter_moves_by_what_stands_before_it(text: str, spacing: float) -> None:
    close, wide = line(text, 0.0), line(text, spacing)
    assert [one.number for one in close.glyphs] == [one.number for one in wide.glyphs]
    for near, far in zip(close.glyphs, wide.glyphs, strict=True):
        before = text[: near.char]
        blanks = before.count(" ")
        added = spacing * (len(before) - blanks + craft.SPACING_WORDS * blanks)
        assert far.x - near.x == pytest.approx(added, abs=1e-9)
    assert shaper(text, spacing).advances()[-1] > shaper(text, 0.0).advances()[-1]


@given(WORDS)
def test_nothing_added_changes_nothing(text: str) -> None:
    assert line(text, 0.0) == Shaper(
        DressedText(text), Lettering(("Letterer Hand", "Comic Neue", "Playpen Sans")), library()
    ).line(0, len(text))


def test_nothing_is_added_behind_the_last_letter() -> None:
    assert line("AB", 0.2).advance == pytest.approx(line("AB", 0.0).advance + 0.2)


def test_a_mark_stays_on_its_letter() -> None:
    text = "Q\u0301A"
    close, wide = line(text, 0.0, "Comic Neue"), line(text, 0.2, "Comic Neue")
    moved = [far.x - near.x for near, far in zip(close.glyphs, wide.glyphs, strict=True)]
    assert moved == pytest.approx([0.0] * (len(moved) - 1) + [0.2])


def test_words_part_more_than_letters() -> None:
    """Letters alone part words too little (Galliussi et al. 2020)."""
    found = {}
    for spacing in (0.0, 0.12):
        glyphs = line("AA AA", spacing).glyphs
        steps = [after.x - before.x for before, after in pairwise(glyphs)]
        found[spacing] = steps
    letters, blank = (found[0.12][at] - found[0.0][at] for at in (0, 2))
    assert blank == pytest.approx(craft.SPACING_WORDS * letters)


def test_the_spaced_style_keeps_what_is_wider_already() -> None:
    style = Style(kinds={"whisper": Look(spacing=0.2), "shout": Look(size=9.0)}).spaced()
    assert style.spacing == craft.SPACED_EM
    assert style.look_of("whisper").spacing == 0.2
    assert style.look_of("shout").spacing == craft.SPACED_EM
    assert Style().spacing == 0.0
