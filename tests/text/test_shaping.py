"""A unit's words as placed glyphs: which face, what order, what hangs, what is shaped how often."""

from __future__ import annotations

import unicodedata
from itertools import combinations, pairwise

import pytest
import uharfbuzz
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer.errors import LettererError
from letterer.fit.measure import MeasuredWords
from letterer.geometry import Box, union_box
from letterer.model.script import Run
from letterer.text.breaks import clusters, pieces
from letterer.text.faces import library
from letterer.text.shaping import Lettering, ShapedLine, Shaper
from letterer.text.tradition import DressedText, Span, dress

HOUSE = ("Letterer Hand", "Playpen Sans", "Yomogi", "Comic Neue")
KERNING_MOST = {"Comic Neue": 0.06, "Letterer Hand": 0.13, "Playpen Sans": 0.27}
"""Seen over thousands of stretches: what cutting text out of its line changes, in em."""


def shaper_of(text: str, *families: str, language: str = "en", **marks: object) -> Shaper:
    dressed = DressedText(text, language, **marks)  # type: ignore[arg-type]
    return Shaper(dressed, Lettering(families or HOUSE), library(), "1.2.3")


def whole(text: str, *families: str, language: str = "en", **marks: object) -> ShapedLine:
    return shaper_of(text, *families, language=language, **marks).line(0, len(text))


def families(line: ShapedLine) -> list[str]:
    return list(dict.fromkeys(glyph.face.family for glyph in line.glyphs))


# --- Which face -------------------------------------------------------------------------------


def test_the_first_face_that_has_a_character_sets_it() -> None:
    line = whole("LA ♪ ΝΑΙ ДА")
    by_char = {glyph.char: glyph.face.family for glyph in line.glyphs}
    assert by_char[0] == "Letterer Hand"
    assert by_char[3] == "Yomogi"
    assert by_char[5] == "Playpen Sans"
    assert by_char[9] == "Playpen Sans"


def test_faces_that_nobody_named_step_in_last() -> None:
    assert families(whole("नमस्ते")) == ["Kalam"]
    assert families(whole("สวัสดี")) == ["Mali"]


def test_a_letter_and_its_marks_come_from_one_face() -> None:
    text = "q\u0330\u0301 x\u0301 ή\u0308"
    line = whole(text)
    for start, end in clusters(text):
        faces = {glyph.face for glyph in line.glyphs if start <= glyph.char < end}
        assert len(faces) == 1, text[start:end]


def test_composed_and_taken_apart_look_the_same() -> None:
    for composed in "ÉÑÜÅŽ":
        apart = unicodedata.normalize("NFD", composed)
        one, other = whole(composed), whole(apart)
        assert other.advance == pytest.approx(one.advance)
        assert other.ink.top == pytest.approx(one.ink.top, abs=0.02)


def test_emphasis_is_bold_and_slanted_and_opens_no_space() -> None:
    text = "UNBELIEVABLE"
    line = whole(text, "Comic Neue", emphasis=(Span(2, 9),))
    stems = {glyph.char: glyph.face.file.stem for glyph in line.glyphs}
    assert stems[1] == stems[9] == "ComicNeue_400Regular"
    assert stems[2] == stems[8] == "ComicNeue_700Bold_Italic"
    apart = [whole(part, "Comic Neue") for part in ("UN", "BLE")]
    strong = Shaper(
        DressedText("BELIEVA"), Lettering(("Comic Neue",), bold=True, italic=True), library()
    ).line(0, 7)
    assert line.advance == pytest.approx(sum(part.advance for part in (*apart, strong)))


def test_emphasis_within_slanted_words_is_bold_too() -> None:
    lettering = Lettering(("Comic Neue",), italic=True)
    dressed = DressedText("AB", emphasis=(Span(1, 2),))
    line = Shaper(dressed, lettering, library()).line(0, 2)
    assert [(glyph.face.weight, glyph.face.italic) for glyph in line.glyphs] == [
        (400, True),
        (700, True),
    ]


def test_twins_are_not_the_same_drawing() -> None:
    """Letterer Hand has up to four drawings of a letter, which take turns."""
    for text in ("LL", "EE", "OO", "SS", "TT", "AA", "NN", "RR", "PP", "MM"):
        first, second = whole(text).glyphs
        assert first.number != second.number, text
    three = [glyph.number for glyph in whole("AAA").glyphs]
    assert len(set(three)) == 3


def test_the_barred_i_in_the_dialogue_face() -> None:
    dressed = dress([Run("I sit")])
    line = Shaper(dressed, Lettering(HOUSE), library()).line(0, 5)
    barred, plain = line.glyphs[0], line.glyphs[3]
    face = barred.face
    wide, narrow = face.ink(barred.number), face.ink(plain.number)
    assert wide is not None and narrow is not None
    assert wide.width > 2 * narrow.width


def test_the_barred_i_in_a_face_that_has_it_the_other_way_round() -> None:
    line = Shaper(dress([Run("I sit")]), Lettering(("Playpen Sans",)), library()).line(0, 5)
    wide = line.glyphs[0].face.ink(line.glyphs[0].number)
    narrow = line.glyphs[3].face.ink(line.glyphs[3].number)
    assert wide is not None and narrow is not None
    assert wide.width > 2 * narrow.width


def test_marked_forms_of_i_are_plain_too() -> None:
    line = whole("ÎLE")
    box = line.glyphs[0].face.ink(line.glyphs[0].number)
    plain = whole("I").inked[0]
    assert box is not None
    assert box.bottom - box.top > plain.height
    assert line.glyphs[0].number != line.glyphs[0].face.glyph("Î")


# --- What cannot be set -----------------------------------------------------------------------


def test_every_missing_character_is_told_at_once() -> None:
    with pytest.raises(LettererError) as caught:
        shaper_of("HI 😀🐍 AND 😀\x07 NO")
    assert str(caught.value).splitlines() == [
        f"unit 1.2.3: no face has the character {told}. "
        "Write it another way, or add a face that has it."
        for told in ('"😀" (U+1F600 GRINNING FACE)', '"🐍" (U+1F40D SNAKE)', "(U+0007)")
    ]


def test_only_what_is_missing_of_a_cluster_is_told() -> None:
    with pytest.raises(LettererError) as caught:
        shaper_of("e\u1dff")
    assert [fault.what for fault in caught.value.faults] == [
        "no face has the character (U+1DFF COMBINING RIGHT ARROWHEAD AND DOWN ARROWHEAD BELOW)"
    ]
    with pytest.raises(LettererError) as caught:
        shaper_of("👨\u200d👩")
    assert len(caught.value.faults) == 2


def test_a_cluster_that_only_as_a_whole_has_no_face() -> None:
    """Some face has the kana, some other the Hebrew point; the joiner is not drawn at all."""
    with pytest.raises(LettererError) as caught:
        shaper_of("あ\u05b8\u200d")
    assert [fault.what for fault in caught.value.faults] == [
        'no face has the character "あ" (U+3042 HIRAGANA LETTER A)',
        "no face has the character (U+05B8 HEBREW POINT QAMATS)",
    ]


def test_half_a_surrogate_pair_is_told() -> None:
    with pytest.raises(LettererError, match=r"U\+D800"):
        shaper_of("A\ud800")


@pytest.mark.parametrize("char", "\u200b\u200c\u200d\u200e\u2060\ufeff\u00ad\ufe0f\u2066")
def test_invisible_characters_leave_no_trace(char: str) -> None:
    text = f"A{char}B"
    plain = whole("AB", "Comic Neue")
    line = whole(text, "Comic Neue")
    assert families(line) == ["Comic Neue"]
    assert line.ink.left == pytest.approx(plain.ink.left)
    # Kerning does not reach across, and AB is kerned.
    assert line.advance == pytest.approx(plain.advance, abs=0.02)
    assert len(line.inked) == 2


def test_invisible_characters_do_not_part_a_word() -> None:
    """A mark of direction between Arabic letters belongs to their run, whoever comes first."""
    assert families(whole("בֿ\u200eית")) == ["Playpen Sans Hebrew"]
    assert families(whole("ДА\u2060ДА", "Comic Neue")) == ["Playpen Sans"]


@pytest.mark.parametrize("char", "\n\t\u00a0\u2028\u2029\u202f\u2003\u3000\x0b")
def test_every_kind_of_space_is_blank(char: str) -> None:
    line = whole(f"A{char}B", "Comic Neue")
    assert all(glyph.number for glyph in line.glyphs)
    assert len(line.inked) == 2
    assert line.advance > whole("AB", "Comic Neue").advance + 0.1


def test_hyphens_that_few_faces_have_are_drawn_as_the_plain_one() -> None:
    for text in ("RE\u2010DO", "RE\u2011DO"):
        assert [glyph.number for glyph in whole(text).glyphs] == [
            glyph.number for glyph in whole("RE-DO").glyphs
        ]


def test_a_heart_with_its_variation_selector_is_a_heart() -> None:
    assert families(whole("♥\ufe0f")) == ["Yomogi"]


# --- Widths -----------------------------------------------------------------------------------


def test_nothing() -> None:
    shaper = shaper_of("")
    assert shaper.advances() == [0.0]
    assert shaper.line(0, 0).ink == Box(0.0, 0.0, 0.0, 0.0)
    assert shaper.line(0, 0).path().segments == ()


def test_advances_of_avatar() -> None:
    found = shaper_of("AVATAR", "Comic Neue").advances()
    stops = [0, 538, 1012, 1518, 1953, 2534, 3130]
    assert [round(1000 * x) for x in found] == stops


def test_a_ligature_counts_at_its_first_letter() -> None:
    found = shaper_of("fix", "Letterer Hand").advances()
    line = whole("fix", "Letterer Hand")
    assert [glyph.char for glyph in line.glyphs] == [0, 2]
    assert found[1] == found[2] and found[1] > 0
    assert found[-1] == pytest.approx(line.advance)


WORDS = (
    "THE AVATAR WAVY TOAST YO-YO LLAMA BOOKKEEPER “NO!” WAIT-- UM... TEA VOTE KAYAK ATTACK LY I’M"
)


@pytest.mark.parametrize("family", KERNING_MOST)
@given(picked=st.lists(st.sampled_from(WORDS.split(" ")), min_size=1, max_size=9))
def test_stretches_are_as_wide_as_their_lines_within_kerning(
    family: str, picked: list[str]
) -> None:
    text = " ".join(picked)
    shaper = shaper_of(text, family)
    stops = shaper.advances()
    assert stops == sorted(stops)
    assert stops[-1] == pytest.approx(shaper.line(0, len(text)).advance)
    found = pieces(text)
    for first, last in [*combinations(found, 2), *zip(found, found, strict=True)]:
        line = shaper.line(first.start, last.end)
        stretch = stops[last.end] - stops[first.start]
        assert stretch == pytest.approx(line.advance, abs=KERNING_MOST[family])


def test_cap_is_that_of_the_face_that_sets_the_words() -> None:
    first, second = (library().face(family).cap_height for family in HOUSE[:2])
    assert first != second
    assert shaper_of("♪").cap == first
    assert shaper_of("THE LAMP").cap == first
    assert shaper_of("ΚΑΝΕΝΑΣ ♪ ΕΔΩ").cap == second
    assert shaper_of("A ΚΑΝΕΝΑΣ").cap == second
    assert shaper_of("NOBODY ΕΔΩ").cap == first
    assert shaper_of("ΚΑΝΕΝΑΣ").usual_cap == first


def test_leading_keeps_its_measure_in_caps() -> None:
    plain, greek = (MeasuredWords(shaper_of(text)) for text in ("NOBODY", "ΚΑΝΕΝΑΣ"))
    assert plain.leading(1.05) == 1.05
    assert greek.leading(1.05) / greek.cap == pytest.approx(1.05 / plain.cap)


# --- Ink, and what hangs ----------------------------------------------------------------------


def test_ink_is_the_box_of_all_glyphs_and_of_the_path() -> None:
    line = whole("“GO, JOHN!”")
    path_box = line.path().box()
    assert path_box is not None and union_box(line.inked) == line.ink
    for side in ("left", "top", "right", "bottom"):
        assert getattr(path_box, side) == pytest.approx(getattr(line.ink, side))
    assert len(line.inked) == len("“GO,JOHN!”")


def test_quotes_dashes_dots_and_commas_hang() -> None:
    plain = whole("WAIT", "Comic Neue")
    assert plain.hang_left == plain.hang_right == 0
    assert plain.optical_middle == pytest.approx((plain.ink.left + plain.ink.right) / 2)
    quoted = whole("“WAIT", "Comic Neue")
    assert quoted.hang_left == pytest.approx(quoted.inked[1].left - quoted.ink.left)
    assert quoted.hang_left > 0.2 and quoted.hang_right == 0
    # Half of what hangs counts: the middle moves by a quarter of it.
    middle = (quoted.ink.left + quoted.ink.right) / 2
    assert quoted.optical_middle == pytest.approx(middle + quoted.hang_left / 4)
    assert quoted.half_width == pytest.approx(quoted.optical_middle - quoted.ink.left)
    for text in ("WAIT--", "WAIT...", "WAIT,", "WAIT”", "WAIT.”"):
        line = whole(text, "Comic Neue")
        assert line.hang_left == 0
        assert line.hang_right == pytest.approx(line.ink.right - line.inked[3].right)
        assert line.hang_right > 0.05


def test_heavy_marks_do_not_hang() -> None:
    for text in ("WAIT!", "WAIT?", "(WAIT)", "@WAIT#"):
        line = whole(text, "Comic Neue")
        assert line.hang_left == line.hang_right == 0, text


def test_a_line_of_hanging_marks_alone_hangs_nothing() -> None:
    line = whole("...", "Comic Neue")
    assert line.hang_left == line.hang_right == 0
    assert line.optical_middle == pytest.approx((line.ink.left + line.ink.right) / 2)


@pytest.mark.parametrize("text", ["WAIT--", "“HO, JIM!”", "A", "...", "ÉQj", "♪ LA"])
def test_corners_hold_all_the_ink(text: str) -> None:
    """Each box of ink lies within some corner above the line's middle and some corner below."""
    line = whole(text)
    middle = line.optical_middle
    tops = [(x, y) for x, y in line.corners]
    for box in line.inked:
        reach = max(box.right - middle, middle - box.left)
        assert any(x >= reach - 1e-9 and y <= box.top + 1e-9 for x, y in tops)
        assert any(x >= reach - 1e-9 and y >= box.bottom - 1e-9 for x, y in tops)
    assert max(x for x, _ in line.corners) == pytest.approx(line.half_width)
    edges = {y for box in line.inked for y in (box.top, box.bottom)}
    assert {y for _, y in line.corners} <= edges


# --- How often HarfBuzz is asked --------------------------------------------------------------


def counting(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    calls: list[int] = []
    shape = uharfbuzz.shape

    def counted(font: object, buffer: object, features: object) -> None:
        calls.append(1)
        shape(font, buffer, features)

    monkeypatch.setattr(uharfbuzz, "shape", counted)
    return calls


def test_a_run_is_shaped_once_and_lines_are_cut_from_it(monkeypatch: pytest.MonkeyPatch) -> None:
    shaper = shaper_of("SO WHAT ♪ NOW")
    calls = counting(monkeypatch)
    assert shaper.line(3, 7) is shaper.line(3, 7)
    assert len(calls) == 1
    shaper.line(0, 13)
    assert len(calls) == 3  # three runs: two faces take turns
    shaper.line(10, 13)
    assert len(calls) == 3
    shaper.line(11, 13)
    assert len(calls) == 4  # between N and O no cut is safe, for they are kerned


def test_measuring_shapes_the_whole_once(monkeypatch: pytest.MonkeyPatch) -> None:
    words = MeasuredWords(shaper_of(" ".join(["WORD"] * 40)))
    calls = counting(monkeypatch)
    assert words.half_widths.shape == (40, 41)
    assert words.half_widths is words.half_widths
    assert len(calls) == 1


# --- Lines cut out of the whole ---------------------------------------------------------------

MIXED = (
    *WORDS.split(" "),
    "♪",
    "ÇÖÜ",
    "Ёж",
    "ПОШЛИ",
    "ΤΑΫΓΕΤΟΣ",
    "שלום",
    "עולם",
    "3,14",
    "I",
    "fix",
)


@pytest.mark.parametrize("family", [*KERNING_MOST, "Playpen Sans", "Playpen Sans Hebrew"])
@settings(max_examples=25)
@given(picked=st.lists(st.sampled_from(MIXED), min_size=1, max_size=7), data=st.data())
def test_a_line_cut_from_the_whole_is_the_line_shaped_by_itself(
    family: str, picked: list[str], data: st.DataObject
) -> None:
    text = " ".join(picked)
    cuts = sorted({data.draw(st.integers(0, len(text))) for _ in range(2)} | {0, len(text)})
    shaper, alone = shaper_of(text, family), shaper_of(text, family)
    alone._whole = lambda run: _NeverCut()  # type: ignore[assignment,method-assign,return-value]
    for start, end in pairwise(cuts):
        ours, theirs = shaper.line(start, end), alone.line(start, end)
        assert [(at.number, at.char, at.face) for at in ours.glyphs] == [
            (at.number, at.char, at.face) for at in theirs.glyphs
        ]
        assert [at.x for at in ours.glyphs] == pytest.approx([at.x for at in theirs.glyphs])
        assert ours.advance == pytest.approx(theirs.advance)
        assert list(ours.ink) == pytest.approx(list(theirs.ink))


class _NeverCut:
    """A run that no line can be cut from, so that each is shaped by itself."""

    def cut(self, start: int, end: int) -> None:
        return None
