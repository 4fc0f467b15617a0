"""Letters kept as glyphs are, to everybody who asks, the path of their outlines."""

from __future__ import annotations

import copy
import pickle
from dataclasses import FrozenInstanceError, astuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer.geometry import Affine, Path, Point
from letterer.model.script import Run
from letterer.text.faces import library
from letterer.text.letter_path import LetterPath
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import dress

places = st.builds(Point, st.floats(-1e3, 1e3), st.floats(-1e3, 1e3))
sizes = st.floats(1.0, 90.0)
CHARS = "“WAIT-- JÖRG” fix ♪早くŞش"


def line(words: str, size: float = 7.5, start: Point = Point(3.0, 4.0)) -> LetterPath:  # noqa: B008
    """Words set in one line, as they are typed."""
    text = dress([Run(words, as_typed=True)])
    return (
        Shaper(text, Lettering(("Letterer Hand",)), library()).line(0, len(words)).path(size, start)
    )


def outlines(letters: LetterPath) -> Path:
    """The same, glyph by glyph: each outline at its size, in its place."""
    whole = Path()
    for glyph in letters.glyphs:
        place = letters.start.shifted(glyph.x * letters.size, glyph.y * letters.size)
        size = Affine(a=letters.size, d=letters.size)
        whole += glyph.face.outline(glyph.number).mapped(size).shifted(*place)
    return whole


NEAR = 1e-9


def near(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Whether coordinates are the same but for their last digits."""
    return all(abs(a - b) <= NEAR for a, b in zip(one, other, strict=True))


def same(one: Path, other: Path) -> bool:
    """Whether two paths are drawn alike."""
    return [step.verb for step in one.segments] == [step.verb for step in other.segments] and all(
        near(at, there)
        for step, match in zip(one.segments, other.segments, strict=True)
        for at, there in zip(step.points, match.points, strict=True)
    )


@given(st.text(CHARS, max_size=6), sizes, places)
def test_letters_are_the_outlines_of_their_glyphs(words: str, size: float, start: Point) -> None:
    letters = line(words, size, start)
    assert same(letters, outlines(letters))
    box, plain = letters.box(), Path(letters.segments).box()
    assert near(box, plain) if box and plain else box is plain
    assert bool(letters) == bool(letters.segments)
    each = zip(letters.contour_boxes(), Path(letters.segments).contour_boxes(), strict=True)
    assert all(near(one, other) for one, other in each)


@settings(max_examples=40)
@given(sizes, places, st.floats(0.01, 50.0))
def test_moved_and_set_larger_they_are_still_letters(size: float, at: Point, by: float) -> None:
    letters = line("“NO!”", size, at)
    plain = Path(letters.segments)
    moved, grown = letters.shifted(1.5, -2.0), letters.mapped(Affine(a=by, d=by, e=3.0))
    assert isinstance(moved, LetterPath) and same(moved, plain.shifted(1.5, -2.0))
    assert isinstance(grown, LetterPath) and same(grown, plain.mapped(Affine(a=by, d=by, e=3.0)))


@pytest.mark.parametrize(
    "turned",
    [Affine(a=-1.0), Affine(d=-1.0), Affine(a=-1.0, d=-1.0), Affine(a=2.0), Affine(0, 1, -1, 0)],
)
def test_through_any_other_map_they_are_a_plain_path(turned: Affine) -> None:
    letters = line("NO")
    assert letters.mapped(turned) == Path(letters.segments).mapped(turned)
    assert not isinstance(letters.mapped(turned), LetterPath)


def test_they_equal_the_path_of_the_same_segments() -> None:
    letters = line("NO")
    plain = Path(letters.segments)
    assert letters == plain and plain == letters and hash(letters) == hash(plain)
    assert letters == line("NO") and letters != line("NOT") and letters != line("NO", 8.0)
    assert letters != "NO"


def test_blank_letters_draw_nothing() -> None:
    blank = line("  ")
    assert not blank and blank.segments == () and blank.box() is None
    assert line("N ") and not LetterPath(())


def test_they_are_frozen() -> None:
    letters = line("NO")
    with pytest.raises(FrozenInstanceError):
        letters.size = 3.0


def test_a_copy_is_equal_and_a_packed_one_small() -> None:
    letters = line("“WOULD YOU MIND?”")
    drawn = letters.segments
    packed = pickle.dumps(letters)
    copied = pickle.loads(packed)
    assert copied == letters and copied.glyphs == letters.glyphs
    assert len(packed) * 10 < len(pickle.dumps(drawn))
    assert copy.deepcopy(letters) == letters
    glyph = letters.glyphs[0]
    assert (
        astuple(glyph)[1:] == astuple(copied.glyphs[0])[1:] and glyph.face is copied.glyphs[0].face
    )
