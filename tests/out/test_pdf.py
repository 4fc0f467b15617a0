"""The parts of a PDF: values, words without ink, names of files, and art that cannot be used."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from zlib_ng import zlib_ng

from letterer import craft
from letterer.errors import LettererError
from letterer.geometry import Box
from letterer.ink.ring import Ring
from letterer.model.plan import Art
from letterer.model.script_reader import parse_script
from letterer.model.script_title import book_title
from letterer.out.book import book_name
from letterer.out.pdf import PdfBook, pdf_parts
from letterer.out.pdf_objects import Name, PdfFile, Ref, told
from letterer.out.pdf_page import DASHES_MOST, in_dashes, pdf_page
from letterer.out.pdf_words import Alphabet, font_program, to_unicode
from letterer.page.lettered import LetteredPage


@pytest.mark.parametrize(
    ("value", "wanted"),
    [
        (True, b"true"),
        (3, b"3"),
        (-0.00001, b"0"),
        (1.5, b"1.5"),
        (Name("A b#/é"), b"/A#20b#23#2F#C3#A9"),
        (r"(a\b)", rb"(\(a\\b\))"),
        ("é", b"<FEFF00E9>"),
        ("a\nb", b"<FEFF0061000A0062>"),
        (b"\x01\xff", b"<01FF>"),
        ([1, Ref(2)], b"[1 2 0 R]"),
        ({"K": 1, "L": [2]}, b"<</K 1/L[2]>>"),
    ],
)
def test_values(value: object, wanted: bytes) -> None:
    assert told(value) == wanted  # type: ignore[arg-type]


def test_the_table_says_where_each_object_begins() -> None:
    file = PdfFile()
    later = file.reserve()
    first = file.add({"A": later})
    data = file.take()
    data += file.end(file.put(later, {"B": 1}), first)
    at = int(data.rsplit(b"startxref\n", 1)[1].split()[0])
    rows = data[at:].split(b"\n")[3:5]
    for number, row in enumerate(rows, 1):
        assert data[int(row[:10]) :].startswith(b"%d 0 obj" % number)


def test_the_font_of_words_has_no_ink() -> None:
    font = TTFont(io.BytesIO(font_program()))
    assert font["maxp"].numGlyphs == 2
    assert all(font["glyf"][name].numberOfContours == 0 for name in font.getGlyphOrder())
    assert font["head"].created == font["head"].modified == 2_082_844_800  # 1970
    assert font_program() == font_program()


@given(st.text())
def test_a_code_for_each_character(text: str) -> None:
    alphabet = Alphabet()
    coded = alphabet.coded(text)
    codes = [int.from_bytes(coded[at : at + 2], "big") for at in range(0, len(coded), 2)]
    assert "".join(alphabet.letters[code - 1] for code in codes) == text
    assert len(set(alphabet.letters)) == len(alphabet.letters)
    rows = [
        line
        for line in to_unicode(dict(enumerate(alphabet.letters, 1))).splitlines()
        if line[:1] == b"<"
    ]
    assert len(rows) == len(alphabet.letters) + 1


@given(st.lists(st.sets(st.integers(1, 400)).map(sorted), min_size=2, max_size=2))
def test_other_pages_have_another_name(chosen: list[Sequence[int]]) -> None:
    one, two = (book_name(pages) for pages in chosen)
    assert (one == two) == (chosen[0] == chosen[1])
    assert len(one) < 160 and one not in ("book.pdf", book_name(None, over_art=True))


@pytest.mark.parametrize(
    ("opening", "title"),
    [
        ("Title: The Owl\nby nobody\n\n", "The Owl"),
        ("THE OWL\n\nA story in three pages.\n\n", "THE OWL"),
        ("A story about an owl.\n\n", "my story"),
        ("", "my story"),
    ],
)
def test_the_title_of_a_book(opening: str, title: str) -> None:
    script = parse_script(f"{opening}PAGE 1\nPANEL 1\nNELL: Hoot.\n")
    assert book_title(replace(script, file="folder/my_story.txt")) == title
    assert book_title(replace(script, file="")) == (
        title if title != "my story" else "Lettered pages"
    )


def test_a_unit_without_lines_and_an_empty_page(lettered: LetteredPage) -> None:
    bare = replace(lettered.units[0], lines=(), breaks=(), words="")
    data = b"".join(
        pdf_parts(
            [pdf_page(replace(lettered, units=(bare,))), pdf_page(replace(lettered, units=()))],
            PdfBook("A book"),
        )
    )
    assert data.startswith(b"%PDF-1.7") and data.endswith(b"%%EOF\n")
    assert b"/Words" not in data


def over(page: LetteredPage, art: Path) -> bytes:
    page = replace(page, art=Art(art, Box(0, 0, 300, 300)))
    return b"".join(pdf_parts([pdf_page(page)], PdfBook("A book", over_art=True)))


def test_art_that_cannot_be_used_is_told(
    lettered: LetteredPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    art = tmp_path / "art.jpg"
    with pytest.raises(LettererError, match=r"art\.jpg, page 1: there is no such art file"):
        over(lettered, art)
    Image.effect_noise((200, 200), 90).save(art, quality=95)
    whole = art.read_bytes()
    over(lettered, art)
    for broken in (whole[: len(whole) // 2], b"", b"\xff\xd8\xff", b"not a picture"):
        art.write_bytes(broken)
        with pytest.raises(LettererError, match="this art file cannot be read"):
            over(lettered, art)
    art.write_bytes(whole)
    monkeypatch.setattr(craft, "RASTER_BYTES_MOST", 1000)
    with pytest.raises(LettererError, match="200 by 200 pixels, too large to be read"):
        over(lettered, art)


def test_a_book_read_from_the_right_says_so(lettered: LetteredPage) -> None:
    for from_right in (True, False):
        book = PdfBook("A book", from_right=from_right)
        data = b"".join(pdf_parts([pdf_page(lettered)], book))
        assert (b"/Direction/R2L" in data) == from_right


def test_a_unit_is_cut_by_its_clip(lettered: LetteredPage) -> None:
    page = replace(lettered, units=(replace(lettered.units[0], clip=lettered.units[1].outline),))
    content = zlib_ng.decompress(pdf_page(page).content).decode("ascii").split("\n")
    at = content.index("W n")
    assert content[1].startswith("q ") and content[-1] == "Q"
    assert at < content.index("/Artifact BMC") < content.index("/P <</MCID 0>> BDC")


def test_a_long_pattern_of_dashes_is_drawn_dash_by_dash(lettered: LetteredPage) -> None:
    unit = lettered.units[0]
    assert unit.outline is not None and unit.stroke is not None
    length = Ring(unit.outline).length
    count = 2 * DASHES_MOST
    dash = (length / count * 0.6, length / count * 0.4) * count
    made = in_dashes(unit.outline, dash)
    pieces = list(made.contours())
    assert len(pieces) == count
    for place, piece in enumerate(pieces):
        begin, end = piece.segments[0].points[0], piece.segments[-1].points[-1]
        ring = Ring(unit.outline)
        assert begin.distance(ring.point(length / count * place)) < 1e-6
        assert end.distance(ring.point(length / count * (place + 0.6))) < 1e-6
    for pattern, written in ((dash, "[] 0 d 1 J"), (dash[:2], "] 0 d 1 J")):
        page = replace(lettered, units=(replace(unit, stroke=unit.stroke._replace(dash=pattern)),))
        content = zlib_ng.decompress(pdf_page(page).content).decode("ascii")
        assert written in content and ("[] 0 d 1 J" in content) == (len(pattern) > 2)
