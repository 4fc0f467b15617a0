"""Words of a PDF glyph by glyph: what a face allows, what codes stand for, and where pens stand."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.qu2cuPen import Qu2CuPen
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer.geometry import Point
from letterer.out.pdf_faces import BookFaces, part_of
from letterer.out.pdf_letters import PageFace, PageLetters, can_be_text, may_be_embedded, width_of
from letterer.out.pdf_objects import PdfFile
from letterer.out.pdf_page import pdf_page, told_of_faces
from letterer.page.lettered import LetteredPage
from letterer.resources import fonts_folder
from letterer.text.faces import Face, FaceLibrary
from letterer.text.letter_path import Glyph, LetterPath
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import DressedText

HAND = fonts_folder() / "LettererHand-Regular.ttf"


def line_of(words: str, size: float = 7.5) -> LetterPath:
    shaper = Shaper(DressedText(words), Lettering(("Letterer Hand",)), FaceLibrary())
    return shaper.line(0, len(words)).path(size, Point(20.0, 30.0))


def steps_of(words: str, ends: bool = True) -> tuple[str, PageLetters]:
    letters = PageLetters()
    return "\n".join(letters.text(line_of(words), words, ends)), letters


NUMBER = r"-?[\d.]+"


def places(steps: str, face: Face) -> list[tuple[int, float, float]]:
    """Glyphs and where a viewer puts their origins, by the rules of ISO 32000-1, 9.4.4."""
    found: list[tuple[int, float, float]] = []
    pen = size = rise = left = line = 0.0
    for word in re.findall(r"\[.*?\] TJ|\S+ Tf|1 0 0 -1 \S+ \S+ Tm|\S+ Ts", steps):
        if word.endswith("Tf"):
            size = float(word.split()[0])
        elif word.endswith("Tm"):
            left, line = (float(one) for one in word.split()[4:6])
            pen = 0.0
        elif word.endswith("Ts"):
            rise = float(word.split()[0])
        else:
            for codes, back in re.findall(rf"<(\w+)>|({NUMBER})(?![\w>])", word):
                if back:
                    pen -= float(back) / 1000 * size
                for at in range(0, len(codes), 4):
                    glyph = int(codes[at : at + 4], 16)
                    found.append((glyph, left + pen, line - rise))
                    pen += width_of(face, glyph) / 1000 * size
    return found


@settings(max_examples=40, deadline=None)
@given(st.text("AVATOI LWy.,'!?\u2019\u00c9\u1ebe", min_size=1, max_size=24).filter(str.strip))
def test_glyphs_stand_where_the_shaper_put_them(words: str) -> None:
    words = words.strip()
    line = line_of(words)
    steps, _ = steps_of(words)
    face = line.glyphs[0].face
    if any(glyph.face is not face for glyph in line.glyphs):
        return
    shown = [place for place in places(steps, face) if face.ink(place[0])]
    wanted = [
        (glyph.number, x, y)
        for glyph, (x, y) in zip(line.glyphs, line.places, strict=True)
        if face.ink(glyph.number)
    ]
    assert [one[0] for one in shown] == [one[0] for one in wanted]
    for (_, x, y), (_, across, down) in zip(shown, wanted, strict=True):
        assert abs(x - across) < 0.002 and abs(y - down) < 0.002


@settings(max_examples=40, deadline=None)
@given(st.text("AVATOI LWy.,'!?\u2019\u00c9", min_size=1, max_size=24).filter(str.strip))
def test_outlines_stand_where_the_shaper_put_them(words: str) -> None:
    line = line_of(words.strip())
    steps = " ".join(PageLetters().outlines(line))
    shown: list[tuple[int, float, float]] = []
    scale = x = y = 0.0
    for word in re.findall(rf"(?:{NUMBER} ){{6}}cm|/G\d+\.\d+ Do", steps):
        if word.endswith("Do"):
            shown.append((int(word.split()[0].split(".")[1]), x, y))
            continue
        a, _, _, _, across, up = (float(one) for one in word.split()[:6])
        if a == 1:
            x, y = x + across * scale, y - up * scale
        else:
            scale, x, y = a, across, up
    wanted = [
        (glyph.number, *place)
        for glyph, place in zip(line.glyphs, line.places, strict=True)
        if glyph.face.ink(glyph.number)
    ]
    assert [one[0] for one in shown] == [one[0] for one in wanted]
    for (_, across, down), (_, right, low) in zip(shown, wanted, strict=True):
        assert abs(across - right) < 0.002 and abs(down - low) < 0.002


def test_a_blank_follows_each_line_but_the_last() -> None:
    (face,) = steps_of("OUT", ends=False)[1].faces
    assert [text for _, text in face.glyphs] == ["O", "U", "T", " "]
    assert [text for _, text in steps_of("OUT")[1].faces[0].glyphs] == ["O", "U", "T"]
    assert face.file == Path(HAND.name) and face.opened().file == HAND


def test_a_letter_of_two_glyphs_says_what_it_is() -> None:
    face = FaceLibrary().face("Letterer Hand")
    both = (Glyph(face, face.glyph("E"), 0.0, 0.0, 0), Glyph(face, face.glyph("'"), 0.1, -0.2, 0))
    letters = PageLetters()
    (steps,) = letters.text(LetterPath(both, 10.0), "\u1ebe", True)
    assert steps.count("BDC") == steps.count("EMC") == 1
    assert "/Span <</ActualText <FEFF1EBE>>> BDC" in steps and "2 Ts" in steps
    # Neither glyph stands for the letter wherever else it comes.
    assert dict(letters.faces[0].glyphs)[face.glyph("E")] == ""


def test_a_glyph_that_stands_for_two_things_says_so_the_second_time() -> None:
    face = FaceLibrary().face("Letterer Hand")
    hyphen = face.glyph("-")
    glyphs = (Glyph(face, hyphen, 0.0, 0.0, 0), Glyph(face, hyphen, 1.0, 0.0, 1))
    (steps,) = PageLetters().text(LetterPath(glyphs, 10.0), "-\u2011", True)
    assert steps.count("/Span") == 1 and "<FEFF2011>" in steps


def test_breath_marks_are_drawn_and_not_told() -> None:
    steps, letters = steps_of("\ue010OH")
    assert steps.startswith("q ") and " Do Q" in steps
    assert [face.as_text for face in letters.faces] == [False, True]
    assert [text for _, text in letters.faces[1].glyphs] == ["O", "H"]


def test_a_font_is_shared_until_a_glyph_stands_for_something_else() -> None:
    one, two, three = (steps_of(words)[1].faces for words in ("OUT", "UTTER", "OH"))
    other = tuple(replace_texts(face, "\u00d8") for face in three)
    book = BookFaces(PdfFile())
    fonts = [book.resources(faces)["Font"]["F0"] for faces in (one, two, other, three)]
    assert fonts[0] == fonts[1] == fonts[3] != fonts[2]


def replace_texts(face: PageFace, text: str) -> PageFace:
    return face._replace(glyphs=tuple((glyph, text) for glyph, _ in face.glyphs))


def face_with(fs_type: int, folder: Path) -> Face:
    font = TTFont(HAND)
    font["OS/2"].fsType = fs_type
    font.save(folder / f"{fs_type}.ttf")
    return Face(folder / f"{fs_type}.ttf")


@pytest.mark.parametrize(
    ("fs_type", "allowed"),
    # OpenType, OS/2, fsType: installable, restricted, preview and print, editable, the most lenient
    # of two, no part of it alone, bitmaps only.
    [(0, True), (2, False), (4, True), (8, True), (2 | 8, True), (0x100, False), (0x200, False)],
)
def test_a_face_is_put_in_as_its_maker_allows(fs_type: int, allowed: bool, tmp_path: Path) -> None:
    face = face_with(fs_type, tmp_path)
    assert may_be_embedded(face) == allowed
    line = LetterPath((Glyph(face, face.glyph("A"), 0.0, 0.0, 0),), 10.0)
    assert can_be_text(line) == allowed


def test_a_face_that_is_kept_out_is_told(lettered: LetteredPage, tmp_path: Path) -> None:
    assert told_of_faces(lettered) == ()
    face = face_with(2, tmp_path)
    line = LetterPath((Glyph(face, face.glyph("A"), 0.0, 0.0, 0),), 10.0)
    unit = replace(lettered.units[0], lines=(line,), breaks=("A",))
    (note,) = told_of_faces(replace(lettered, units=(unit, unit)))
    assert str(note).startswith("page 1: no part of the face Letterer Hand may be put into a PDF")


def test_every_bundled_face_may_be_put_in() -> None:
    library = FaceLibrary()
    faces = [library.face(family) for family in library.families]
    assert len(faces) > 10 and all(map(may_be_embedded, faces))


def glyphs_of(face: Face, words: str) -> Sequence[int]:
    return sorted({face.glyph(char) for char in words})


def test_a_part_of_a_face_draws_the_same_and_little_else() -> None:
    face = Face(HAND)
    some = glyphs_of(face, "THE LAMP\u00c9")
    made = part_of(face, some)
    assert made == part_of(face, some) and made.true_type and len(made.program) < 16_000
    with TTFont(io.BytesIO(made.program)) as part, TTFont(HAND) as whole:
        assert not {"GSUB", "GPOS", "name", "fpgm", "prep", "cvt "} & set(part.keys())
        names = part.getGlyphOrder()
        for glyph in some:
            one, other = names[glyph], whole.getGlyphName(glyph)
            drawn = part["glyf"][one].getCoordinates(part["glyf"])
            assert drawn == whole["glyf"][other].getCoordinates(whole["glyf"])
        assert sum(part["glyf"][name].numberOfContours != 0 for name in names) < len(some) + 4


@pytest.fixture(scope="session")
def cubic(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Our hand with cubic outlines (CFF), as many faces have them that people buy."""
    font = TTFont(HAND)
    letters = {code: name for code, name in font.getBestCmap().items() if chr(code) in "AB "}
    glyphs, order, drawn = font.getGlyphSet(), [".notdef", *letters.values()], {}
    for name in order:
        pen = T2CharStringPen(glyphs[name].width, glyphs)
        glyphs[name].draw(Qu2CuPen(pen, 0.5, all_cubic=True))
        drawn[name] = pen.getCharString()
    made = FontBuilder(1000, isTTF=False)
    made.setupGlyphOrder(order)
    made.setupCharacterMap(letters)
    made.setupCFF("MadeUp-Regular", {}, drawn, {})
    made.setupHorizontalMetrics({name: font["hmtx"][name] for name in order})
    made.setupHorizontalHeader(ascent=800, descent=-200)
    made.setupNameTable({"familyName": "Made Up", "styleName": "Regular", "psName": "MadeUp (x)"})
    made.setupOS2(fsType=0)
    made.setupPost()
    path = tmp_path_factory.mktemp("face") / "made.otf"
    made.save(path)
    return path


def test_a_face_with_cubic_outlines(cubic: Path) -> None:
    face = Face(cubic)
    assert may_be_embedded(face)
    line = LetterPath((Glyph(face, face.glyph("A"), 0.0, 0.0, 0),), 10.0)
    letters = PageLetters()
    list(letters.text(line, "A", True))
    file = PdfFile()
    book = BookFaces(file)
    book.resources(letters.faces)
    book.put()
    made = file.take()
    assert b"/CIDFontType0" in made and b"/FontFile3" in made and b"/OpenType" in made
    assert re.search(rb"/BaseFont/[A-Z]{6}\+MadeUpx", made)


def test_effects_and_words_from_the_right_stay_outlines(lettered: LetteredPage) -> None:
    for unit, as_text in (
        (lettered.units[0], True),
        (lettered.units[4], False),
        (replace(lettered.units[0], words="\u05e9\u05dc\u05d5\u05dd"), False),
        (
            replace(
                lettered.units[0], lines=tuple(line + line for line in lettered.units[0].lines)
            ),
            False,
        ),
    ):
        piece = pdf_page(replace(lettered, units=(unit,)), as_text=True)
        assert any(face.as_text for face in piece.faces) == as_text, unit.words
        assert bool(piece.letters) != as_text
