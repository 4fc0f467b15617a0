"""Glyph outlines against FreeType (freetype-py) and the pens of fontTools.

Both read the font files by code that shares nothing with HarfBuzz, which letterer draws with.
"""

from __future__ import annotations

from pathlib import Path

import freetype
import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

from letterer import craft
from letterer.geometry import Path as Outline
from letterer.geometry import Segment
from letterer.resources import fonts_folder
from letterer.text.faces import Face, open_face

FACES = sorted(fonts_folder().rglob("*.ttf"))
MARKS = craft.BREATH_BEFORE + craft.BREATH_AFTER
ASCII = [chr(code) for code in range(0x21, 0x7F)]
NEAR = 1e-6
"""In em."""


def box_of(face: Face, char: str) -> tuple[float, ...] | None:
    """A glyph's box as left, bottom, right, top with y up, in em."""
    box = face.ink(face.glyph(char))
    return None if box is None else (box.left, -box.bottom, box.right, -box.top)


def test_the_o_of_comic_neue() -> None:
    file = fonts_folder() / "ComicNeue_400Regular.ttf"
    face = open_face(file)
    box = box_of(face, "O")
    assert box is not None
    assert [side * face.upem for side in box] == pytest.approx([48, -6, 595, 676], abs=1e-9)
    assert face.font.get_glyph_h_advance(face.glyph("O")) == 643
    other = freetype.Face(str(file))
    other.load_char("O", freetype.FT_LOAD_NO_SCALE)
    theirs = other.glyph.outline.get_bbox()
    assert (theirs.xMin, theirs.yMin, theirs.xMax, theirs.yMax) == (48, -6, 595, 676)
    assert other.glyph.advance.x == 643


@pytest.mark.parametrize("file", FACES, ids=lambda file: file.stem)
def test_boxes_equal_those_of_fonttools(file: Path) -> None:
    face, font = open_face(file), TTFont(file)
    glyphs, names = font.getGlyphSet(), font.getBestCmap()
    compared = 0
    for code, name in names.items():
        if code > 0x2FF and chr(code) not in f"♪♥★→ΑΩЖЯ{MARKS}":
            continue
        pen = BoundsPen(glyphs)
        glyphs[name].draw(pen)
        ours = box_of(face, chr(code))
        if pen.bounds is None:
            assert ours is None, name
            continue
        assert ours == pytest.approx([side / face.upem for side in pen.bounds], abs=NEAR), name
        compared += 1
    least = {"Yomogi": 4, "Letterer Marks": len(MARKS)}  # of signs only
    assert compared >= least.get(face.family, 90)


@pytest.mark.parametrize("file", FACES, ids=lambda file: file.stem)
def test_boxes_and_advances_equal_those_of_freetype(file: Path) -> None:
    face, other = open_face(file), freetype.Face(str(file))
    for char in [*ASCII, *MARKS]:
        if not face.covers(char):
            assert char in MARKS or face.family in ("Yomogi", "Letterer Marks")
            continue
        other.load_char(char, freetype.FT_LOAD_NO_SCALE | freetype.FT_LOAD_NO_HINTING)
        assert face.glyph(char) == other.get_char_index(char)
        index = other.get_char_index(char)
        advance = other.get_advance(index, freetype.FT_LOAD_NO_SCALE)
        assert face.font.get_glyph_h_advance(index) == advance
        theirs = other.glyph.outline.get_bbox()
        ours = box_of(face, char)
        assert ours is not None
        # FreeType rounds the ends of curves to whole font units, unscaled as they are.
        assert [side * face.upem for side in ours] == pytest.approx(
            [theirs.xMin, theirs.yMin, theirs.xMax, theirs.yMax], abs=1.0
        ), char


@pytest.mark.parametrize("file", FACES, ids=lambda file: file.stem)
def test_the_whole_shape_encloses_the_area_that_fonttools_finds(file: Path) -> None:
    """Boxes alone would not see a missing counter or a curve bent the wrong way."""
    face, font = open_face(file), TTFont(file)
    glyphs, names = font.getGlyphSet(), font.getBestCmap()
    for char in [*ASCII, *"ÄÖÑ♪♥"]:
        if ord(char) not in names or char == " ":
            continue
        theirs, ours = AreaPen(glyphs), AreaPen()
        glyphs[names[ord(char)]].draw(theirs)
        replay(face.outline(face.glyph(char)), ours)
        # With y downward a contour runs the other way round, so the sign changes.
        assert -ours.value == pytest.approx(theirs.value / face.upem**2, abs=NEAR), char


def replay(outline: Outline, pen: AreaPen) -> None:
    """Draw one of our outlines with a pen of fontTools."""
    draw = {"M": pen.moveTo, "L": pen.lineTo, "Q": pen.qCurveTo, "C": pen.curveTo}
    for segment in outline.segments:
        if segment == Segment("Z"):
            pen.closePath()
        else:
            draw[segment.verb](*((point.x, point.y) for point in segment.points))
