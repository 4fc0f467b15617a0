"""The derived face Letterer Hand: the files are what the script builds, and they letter well."""

from __future__ import annotations

import importlib.util
import sys
import tarfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import fontTools
import pytest
import uharfbuzz as hb
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont

FOLDER = Path(__file__).resolve().parents[2] / "fonts_open"
STYLES = ("Regular", "Bold", "Italic", "BoldItalic")
CAPITALS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
ACCENTED = "ÌÍÎÏĨĪĬĮİȈȊ"
LEVEL = "ÎÏĨĪĬİȈȊ"  # their accents are as wide on the left as on the right
CAP_HEIGHT = 700
# Weight → the widest that the plain stroke may be, in units of 1/1000 (measured: 125 and 188).
STROKE = {"Regular": 140, "Bold": 205, "Italic": 140, "BoldItalic": 205}

every_style = pytest.mark.parametrize("style", STYLES)


@pytest.fixture(scope="module")
def script() -> Iterator[ModuleType]:
    path = FOLDER / "build_letterer_hand.py"
    spec = importlib.util.spec_from_file_location("build_letterer_hand", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    before = list(sys.path)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    yield module
    del sys.modules[spec.name]
    sys.path[:] = before


@cache
def read(style: str) -> TTFont:
    return TTFont(FOLDER / f"LettererHand-{style}.ttf", lazy=False)


@cache
def shaper(style: str) -> Any:
    data = (FOLDER / f"LettererHand-{style}.ttf").read_bytes()
    return hb.Font(hb.Face(hb.Blob(data)))


def shape(style: str, text: str, **features: Any) -> list[tuple[str, int, int]]:
    """The glyphs of the text: name, advance, and how far each is moved to the right."""
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb.shape(shaper(style), buffer, features)
    return [
        (shaper(style).glyph_to_string(info.codepoint), place.x_advance, place.x_offset)
        for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)
    ]


def names(style: str, text: str, **features: Any) -> list[str]:
    return [name for name, _, _ in shape(style, text, **features)]


def kern(style: str, pair: str, **features: Any) -> int:
    """What kerning adds between the plain forms of the pair's letters."""
    widths = [
        sum(advance for _, advance, _ in shape(style, pair, rlig=False, kern=on, **features))
        for on in (True, False)
    ]
    return widths[0] - widths[1]


def drawing(style: str, glyph: str) -> Any:
    glyphs = read(style).getGlyphSet()
    pen = DecomposingRecordingPen(glyphs)
    glyphs[glyph].draw(pen)
    return pen.value


def bounds(style: str, glyph: str) -> tuple[float, float, float, float]:
    glyphs = read(style).getGlyphSet()
    pen = BoundsPen(glyphs)
    glyphs[glyph].draw(pen)
    left, low, right, high = pen.bounds
    return left, low, right, high


# ------------------------------------------------------------------------ the files and the script


@pytest.fixture(scope="module")
def sources(script: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The files that the script builds from."""
    pytest.importorskip("brotli", reason="fontTools needs brotli to read the source")
    if fontTools.version != script.BUILT_WITH_FONTTOOLS:
        pytest.skip(f"the files were built with fontTools {script.BUILT_WITH_FONTTOOLS}")
    try:
        package = script.fetch_package(tmp_path_factory.mktemp("package"))
    except script.FetchError as error:
        pytest.skip(f"the source of the face cannot be fetched here: {error}")
    found: dict[str, bytes] = script.read_sources(package)
    return found


@pytest.mark.parametrize("place", range(len(STYLES)), ids=STYLES)
def test_each_file_is_what_the_script_builds(
    place: int, script: ModuleType, sources: dict[str, bytes]
) -> None:
    # One test for each, so that several processes share the work: 5 s a file.
    style = script.STYLES[place]
    made = script.build(style, sources)
    assert made == (FOLDER / style.file).read_bytes(), f"{style.file} is not what the script builds"


def test_the_script_builds_all_files(script: ModuleType) -> None:
    named = sorted(style.file for style in script.STYLES)
    assert named == sorted(path.name for path in FOLDER.glob("LettererHand-*.ttf"))
    assert len(named) == len(STYLES)


def test_without_npm_the_script_says_so(
    script: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert script.main(["--into", str(tmp_path / "out")]) == 2
    told = capsys.readouterr().err
    assert told.startswith("build_letterer_hand: npm is not installed.") and told.count("\n") == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("kind", ["nothing", "text", "empty folder", "other version", "other tgz"])
def test_a_wrong_package_is_one_clear_line(
    script: ModuleType, tmp_path: Path, capsys: Any, kind: str
) -> None:
    package = tmp_path / "package.tgz"
    if kind == "text":
        package.write_text("not a package")
    elif kind == "empty folder":
        package.mkdir()
    elif kind == "other version":
        package.mkdir()
        for name in script.SOURCE_SHA256:
            (package / name).write_bytes(b"wOF2 of another version")
    elif kind == "other tgz":
        with tarfile.open(package, "w:gz"):
            pass
    assert script.main([str(package), "--into", str(tmp_path / "out")]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert script.PACKAGE in told or "package" in told
    assert not (tmp_path / "out").exists()


# -------------------------------------------------------------------------------- metrics and names


@every_style
def test_size_of_the_capitals(style: str) -> None:
    font = read(style)
    assert font["head"].unitsPerEm == 1000
    assert font["OS/2"].sCapHeight == CAP_HEIGHT
    assert (font["hhea"].ascent, font["hhea"].descent, font["hhea"].lineGap) == (1020, -320, 0)
    # The hand bounces: no capital leaves the cap height by more than a twentieth of the size, save
    # G and Q, which have tails.
    for letter in set(CAPITALS) - {"G", "Q"}:
        _, low, _, high = bounds(style, letter)
        assert -50 <= low <= 50 and CAP_HEIGHT - 50 <= high <= CAP_HEIGHT + 50, letter


@every_style
def test_names_and_style_bits(style: str) -> None:
    font = read(style)
    spaced = style.replace("BoldItalic", "Bold Italic")
    told = {number: font["name"].getDebugName(number) for number in (0, 1, 2, 4, 6, 14)}
    assert told[1] == "Letterer Hand" and told[2] == spaced
    assert told[4] == f"Letterer Hand {spaced}" and told[6] == f"LettererHand-{style}"
    assert told[0].startswith("Copyright 2022 The Shantell Sans Project Authors")
    assert "openfontlicense" in told[14]
    bold, italic = "Bold" in style, "Italic" in style
    # OpenType specification: head.macStyle bits 0 bold, 1 italic; OS/2.fsSelection 0, 5, 6.
    assert font["head"].macStyle == bold + 2 * italic
    selection = font["OS/2"].fsSelection
    assert [selection >> bit & 1 for bit in (0, 5, 6)] == [italic, bold, style == "Regular"]
    assert font["OS/2"].usWeightClass == (800 if bold else 500)
    assert (font["hhea"].caretSlopeRun > 0) == italic
    assert not {"fvar", "vhea", "vmtx", "STAT"} & set(font.keys())


@every_style
def test_features(style: str) -> None:
    font = read(style)
    tags = {
        table: [record.FeatureTag for record in font[table].table.FeatureList.FeatureRecord]
        for table in ("GSUB", "GPOS")
    }
    assert set(tags["GSUB"]) == {
        *("ccmp", "dnom", "frac", "liga", "locl", "numr", "rlig", "ss01", "tnum")
    }
    assert tags["GSUB"] == sorted(tags["GSUB"])
    assert set(tags["GPOS"]) == {"kern", "mark", "mkmk"}


# ------------------------------------------------------------------------------------ the plain I


@every_style
def test_the_pronoun_keeps_its_bars_and_every_other_i_loses_them(style: str) -> None:
    text = "I THINK IT IS"
    got = names(style, text, ss01=[(1, len(text), True)])
    at = [place for place, letter in enumerate(text) if letter == "I"]
    assert [".stem" in got[place] for place in at] == [False, True, True, True]
    assert not any(".stem" in name for name in names(style, text))


@every_style
def test_a_stem_is_one_plain_stroke(style: str) -> None:
    font = read(style)
    slant = font["hhea"].caretSlopeRun / font["hhea"].caretSlopeRise
    for barred in ("I", "I.alt1", "I.alt2", "I.alt3"):
        stem = barred.replace("I", "I.stem")
        left, low, right, high = bounds(style, stem)
        upright = right - left - slant * (high - low)
        assert font["glyf"][barred].numberOfContours == 3
        assert font["glyf"][stem].numberOfContours == 1
        assert 100 <= upright <= STROKE[style]
        # As tall as the letter with bars, and about half as wide or less.
        _, barred_low, _, barred_high = bounds(style, barred)
        assert abs(low - barred_low) <= 1 and abs(high - barred_high) <= 1
        assert font["hmtx"][stem][0] <= 0.52 * font["hmtx"][barred][0]


@pytest.mark.parametrize(("upright", "italic"), [("Regular", "Italic"), ("Bold", "BoldItalic")])
def test_an_italic_stem_takes_no_more_room_than_an_upright_one(upright: str, italic: str) -> None:
    for glyph in ("I.stem", "I.stem.alt1", "I.stem.alt2", "I.stem.alt3", "Idieresis.stem"):
        wide, slanted = (read(style)["hmtx"][glyph][0] for style in (upright, italic))
        assert wide <= slanted <= wide + 12, glyph


@every_style
def test_an_accented_stem_has_no_bars_and_its_accent_is_centred(style: str) -> None:
    font = read(style)
    glyf = font["glyf"]
    slant = font["hhea"].caretSlopeRun / font["hhea"].caretSlopeRise
    for letter in ACCENTED:
        (name,) = names(style, letter, rlig=False, ss01=True)
        (barred,) = names(style, letter, rlig=False)
        assert name == f"{barred}.stem"
        stem, accent = glyf[name].components
        assert stem.glyphName == "I.stem"
        contours = [glyf[part.glyphName].numberOfContours for part in (stem, accent)]
        moves = [step for step, _ in drawing(style, name) if step == "moveTo"]
        assert len(moves) == sum(contours) and contours[0] == 1

        def axis(part: Any, slant: float = slant) -> tuple[float, float]:
            points = glyf[part.glyphName].getCoordinates(glyf)[0]
            level = [x + part.x - slant * (y + part.y) for x, y in points]
            return min(level), max(level)

        (left, right), (from_, to) = axis(stem), axis(accent)
        off = (from_ + to - left - right) / 2
        assert abs(off) <= (2 if letter in LEVEL else 70), (letter, off)
        # An acute leans to the right of the stroke and a grave to the left; an ogonek hangs left.
        if letter in "ÌÍĮ":
            assert (off > 0) == (letter == "Í"), letter


@every_style
def test_accents_clear_the_stroke_below_them(style: str) -> None:
    glyf = read(style)["glyf"]
    for letter in ACCENTED.replace("Į", ""):
        (name,) = names(style, letter, rlig=False, ss01=True)
        stem, accent = glyf[name].components
        gap = accent.y + glyf[accent.glyphName].yMin - stem.y - glyf[stem.glyphName].yMax
        assert gap >= 40, (letter, gap)


@every_style
def test_a_combining_accent_stands_over_the_stem(style: str) -> None:
    # No glyph of its own: I with a dot below is placed by the mark feature.
    (base, advance, _), (mark, _, moved) = shape(style, "I\u0323", ss01=True, rlig=False)
    assert (base, mark) == ("I.stem", "dotbelowcmb")
    font = read(style)
    slant = font["hhea"].caretSlopeRun / font["hhea"].caretSlopeRise
    dot = bounds(style, mark)
    dot_axis = advance + moved + (dot[0] + dot[2]) / 2 - slant * (dot[1] + dot[3]) / 2
    foot = [x - slant * y for x, y in font["glyf"]["I.stem"].coordinates if y < 40]
    assert abs(dot_axis - (min(foot) + max(foot)) / 2) <= 30


# ---------------------------------------------------------------------------------------- kerning


@every_style
def test_the_stem_is_kerned_with_its_neighbours(style: str) -> None:
    for pair in ("IT", "TI", "LI", "AI", "IA", "FI", "IO", "OI", "YI", "I."):
        assert -60 <= kern(style, pair, ss01=True) <= -2, pair
    # A lone N is the pattern: a plain upright stroke on either side.
    for letter in CAPITALS.replace("I", "").replace("N", ""):
        assert kern(style, f"I{letter}", ss01=True) == kern(style, f"N{letter}"), letter
        assert kern(style, f"{letter}I", ss01=True) == kern(style, f"{letter}N"), letter
    assert kern(style, "II", ss01=True) == 0
    assert kern(style, "ÍT", ss01=True) == kern(style, "IT", ss01=True)


@every_style
@pytest.mark.parametrize(
    ("pair", "like"),
    [
        ("ČA", "CA"),
        ("AŽ", "AZ"),
        ("ŁO", "LO"),
        ("TĀ", "TA"),
        ("ĀT", "AT"),
        ("ĄV", "AV"),
        ("OĎ", "OD"),
    ],
)
def test_an_accented_letter_is_kerned_like_its_base(style: str, pair: str, like: str) -> None:
    assert kern(style, pair) == kern(style, like)


@every_style
def test_kerning_lost_between_the_two_halves_is_back(style: str) -> None:
    for pair in ("ČA", "AŽ", "ŁO", "TĀ", "ĄV"):
        assert kern(style, pair) < 0, pair


# ------------------------------------------------------------------------------- rotation


@every_style
@pytest.mark.parametrize("ss01", [False, True])
def test_twins_differ(style: str, ss01: bool) -> None:
    for letter in ("L", "O", "E", "S", "T", "I", "Í", "ẞ"):
        first, second = names(style, letter * 2, ss01=ss01)
        assert drawing(style, first) != drawing(style, second), letter


@every_style
@pytest.mark.parametrize("word", ["MISSISSIPPI", "IIIIIIII", "OOOOOOO", "LILLIPILLI"])
def test_the_letters_rotate_through_the_whole_word(style: str, word: str) -> None:
    barred, plain = names(style, word), names(style, word, ss01=True)
    assert plain == [
        f"I.stem{name[1:]}" if letter == "I" else name
        for letter, name in zip(word, barred, strict=True)
    ]
    for place in range(1, len(word)):
        assert plain[place] != plain[place - 1]
    for letter in set(word):
        found = [name for sign, name in zip(word, plain, strict=True) if sign == letter]
        if len(found) >= 4:
            assert len(set(found)) >= 3, letter


@every_style
def test_romanian_gets_its_comma(style: str) -> None:
    buffer = hb.Buffer()
    buffer.add_str("Ş")
    buffer.guess_segment_properties()
    buffer.language = "ro"
    hb.shape(shaper(style), buffer)
    assert shaper(style).glyph_to_string(buffer.glyph_infos[0].codepoint) == "uni0218"
    assert names(style, "Ş") == ["Scedilla"]


@every_style
def test_rasterisers_space_composites_as_the_metrics_say(style: str) -> None:
    freetype = pytest.importorskip("freetype")
    face = freetype.Face(str(FOLDER / f"LettererHand-{style}.ttf"))
    font = read(style)
    for number, name in enumerate(font.getGlyphOrder()):
        face.load_glyph(number, freetype.FT_LOAD_NO_SCALE)
        assert face.glyph.advance.x == font["hmtx"][name][0], name
