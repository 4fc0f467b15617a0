"""Faces: found by family, chosen by weight and slant, opened once; what a person is told."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from letterer.errors import LettererError
from letterer.resources import fonts_folder
from letterer.text.faces import Cut, Face, FaceLibrary, is_invisible, library, name_of, open_face

BUNDLED = fonts_folder()
NAMES_OF_CUTS = {
    ("Comic Neue", False, False): "ComicNeue_400Regular",
    ("Comic Neue", True, False): "ComicNeue_700Bold",
    ("Comic Neue", False, True): "ComicNeue_400Regular_Italic",
    ("Comic Neue", True, True): "ComicNeue_700Bold_Italic",
    ("Letterer Hand", False, False): "LettererHand-Regular",
    ("Letterer Hand", True, False): "LettererHand-Bold",
    ("Letterer Hand", False, True): "LettererHand-Italic",
    ("Letterer Hand", True, True): "LettererHand-BoldItalic",
    # No slanted cut: the weight decides.
    ("Playpen Sans", False, True): "PlaypenSans-Medium-LGC",
    ("Playpen Sans", True, True): "PlaypenSans-Bold-LGC",
    ("Bangers", True, True): "Bangers_400Regular",
}


def opened(stem: str) -> Face:
    return open_face(next(BUNDLED.rglob(f"{stem}.ttf")))


@pytest.mark.parametrize(("wanted", "stem"), NAMES_OF_CUTS.items(), ids=str)
def test_the_nearest_cut(wanted: tuple[str, bool, bool], stem: str) -> None:
    family, bold, italic = wanted
    assert library().face(family, Cut(bold, italic)).file.stem == stem


def test_family_names_may_be_written_small() -> None:
    assert library().face("comic neue") is library().face("Comic Neue")


def test_every_bundled_family_is_there() -> None:
    assert library().families == (
        "Bangers",
        "Comic Neue",
        "Kalam",
        "Letterer Hand",
        "Letterer Marks",
        "Luckiest Guy",
        "Mali",
        "Marhey",
        "Permanent Marker",
        "Playpen Sans",
        "Playpen Sans Hebrew",
        "Yomogi",
        "Yusei Magic",
    )


def test_an_unknown_family_names_the_nearest() -> None:
    with pytest.raises(LettererError) as caught:
        library().face("Leterer Hand")
    assert str(caught.value) == (
        'there is no face called "Leterer Hand". Did you mean Letterer Hand?'
    )


def test_an_unknown_family_unlike_any_names_them_all() -> None:
    with pytest.raises(LettererError) as caught:
        library().face("Xyzzy")
    told = str(caught.value)
    assert told.startswith('there is no face called "Xyzzy". Choose one of Bangers, Comic Neue, ')
    assert "\n" not in told


def test_the_chain_tries_each_face_once_named_ones_first() -> None:
    chain = library().chain(("Yomogi", "Comic Neue", "Yomogi"), Cut())
    assert [face.family for face in chain[:3]] == ["Yomogi", "Comic Neue", "Bangers"]
    assert len(chain) == len(set(chain)) == len(library().families)


# --- Folders of one's own ---------------------------------------------------------------------


def test_a_face_of_ones_own_in_a_folder_within(tmp_path: Path) -> None:
    (tmp_path / "deep").mkdir()
    own = tmp_path / "deep" / "MINE.TTF"
    shutil.copy(BUNDLED / "Bangers_400Regular.ttf", own)
    found = FaceLibrary([tmp_path])
    assert found.face("Bangers").file == own
    assert found.families == library().families


def test_other_files_in_the_folder_are_let_be(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("nothing")
    assert FaceLibrary([tmp_path]).families == library().families


@pytest.mark.parametrize("content", [b"", b"no font at all", b"\x00\x01\x00\x00\x00\x01"])
def test_a_damaged_file_is_named(tmp_path: Path, content: bytes) -> None:
    bad = tmp_path / "bad.ttf"
    bad.write_bytes(content)
    with pytest.raises(LettererError) as caught:
        FaceLibrary([tmp_path])
    assert str(caught.value) == (
        f"{bad}: this is not a font that can be read. Use an OpenType or TrueType file."
    )


def test_half_a_font_is_no_traceback(tmp_path: Path) -> None:
    """A file cut off in the middle is either named or read as far as it goes."""
    whole = (BUNDLED / "Bangers_400Regular.ttf").read_bytes()
    for size in (12, 200, 1000, len(whole) // 2):
        bad = tmp_path / f"cut{size}.ttf"
        bad.write_bytes(whole[:size])
        try:
            face = Face(bad)
        except LettererError as error:
            assert str(bad) in str(error)
            continue
        assert face.cap_height > 0
        assert face.ink(0) is None or face.glyph("A") >= 0


def test_a_file_is_opened_once() -> None:
    file = BUNDLED / "Bangers_400Regular.ttf"
    assert open_face(file) is open_face(file)
    assert library() is library()


# --- What a face tells ------------------------------------------------------------------------


def test_weight_and_slant() -> None:
    face = opened("LettererHand-BoldItalic")
    assert (face.family, face.weight, face.italic) == ("Letterer Hand", 800, True)
    assert repr(face) == "Face(LettererHand-BoldItalic.ttf)"
    assert not opened("ComicNeue_700Bold").italic


def test_cap_height() -> None:
    """OS/2 sCapHeight of the file, as the OpenType specification has it."""
    assert opened("ComicNeue_400Regular").cap_height == pytest.approx(0.670)
    assert opened("LettererHand-Regular").cap_height == pytest.approx(0.700)
    for face in map(library().face, library().families):
        assert 0.6 < face.cap_height < 0.85
        box = face.ink(face.glyph("H")) if face.covers("H") else None
        assert box is None or -box.top == pytest.approx(face.cap_height, abs=0.03)


def test_blank_and_missing_glyphs() -> None:
    face = opened("ComicNeue_400Regular")
    assert face.ink(face.glyph(" ")) is None
    assert face.glyph("♪") == 0 and not face.covers("♪")


def test_coverage_of_clusters() -> None:
    face = opened("ComicNeue_400Regular")
    assert face.covers("e\u0301") and face.covers("é")
    assert ord("Ā") not in face.coverage and face.covers("Ā") and face.covers("A\u0304")
    assert not face.covers("Ж")
    assert not face.covers("A\u20e3")
    assert face.covers(" ") and face.covers("\u00a0") and face.covers("\n")
    assert face.covers("A\u200d") and face.covers("\u200b") and face.covers("A\ufe0f")
    assert not face.covers("\x07") and not face.covers("\u0600")


def test_invisible_characters() -> None:
    assert all(map(is_invisible, ("\u200b", "\u200e\u200f", "\ufeff", "\u2069", "\ufe0f")))
    assert not any(map(is_invisible, ("", "A", " ", "\u200bA", "\x07", "\u0600")))


def test_which_form_of_i_the_feature_gives() -> None:
    assert opened("LettererHand-Regular").feature_bars_i is False
    assert opened("LettererHand-BoldItalic").feature_bars_i is False
    assert opened("PlaypenSans-Medium-LGC").feature_bars_i is True
    assert opened("ComicNeue_400Regular").feature_bars_i is None
    assert opened("Symbols-Yomogi-subset").feature_bars_i is None


def test_how_a_character_is_told() -> None:
    assert name_of("♪") == '"♪" (U+266A EIGHTH NOTE)'
    assert name_of("😀") == '"😀" (U+1F600 GRINNING FACE)'
    assert name_of("\u0301") == "(U+0301 COMBINING ACUTE ACCENT)"
    assert name_of("\x07") == "(U+0007)"
    assert name_of("\ud800") == "(U+D800)"
