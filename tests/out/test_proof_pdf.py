"""The proof on paper: sheets, what stands on them, and how far lines and findings reach."""

from __future__ import annotations

import io
import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace
from types import ModuleType
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from letterer.geometry import Box, Point
from letterer.model.plan import PageFormat, PagePlan
from letterer.out.pdf_art import jpeg_picture
from letterer.out.proof import ProofBook, ProofPage
from letterer.out.proof_pdf import (
    PART,
    PART_LEAST,
    Look,
    ProofSheet,
    paragraph,
    parts_of,
    proof_pdf,
)
from letterer.page.lettered import Finding, LetteredPage, Severity
from letterer.review.finding import Noticed
from letterer.text.faces import FaceLibrary

Found = tuple[int, Noticed, str]
Module = Callable[[str], ModuleType]
FACES = FaceLibrary()
KINDS = (Severity.PROBLEM, Severity.WARNING, Severity.NOTE)


def finding(number: int) -> Found:
    noticed = Noticed(
        Finding(KINDS[number % 3], "made up", f"is wrong for the {number}. time", page=1),
        Box(20.0 + number, 30.0, 60.0, 50.0),
        because="meant so" if number % 4 == 3 else "",
    )
    return number, noticed, f"unit 1.1.1 (at 20, 30 pt): {noticed.finding.what}. Mend it. " * 2


def proof(page: LetteredPage, found: Sequence[Found], whole: Sequence[Found] = ()) -> bytes:
    shown = ProofPage(page, PagePlan(1), tuple(found), alt="A lamp, and nobody near it.")
    picture = jpeg_picture(Image.new("RGB", (60, 60), (200, 120, 40)), 75)
    book = ProofBook("Lamp (and owl)", found=tuple(whole), told="To read: 12 words.")
    return b"".join(proof_pdf(book, [ProofSheet(shown, picture)], FACES))


@pytest.fixture(scope="module")
def read(reference_module: Module) -> Callable[[bytes], list[str]]:
    """A function: the text of each sheet, as pdfium reads it."""

    def texts(data: bytes) -> list[str]:
        document = reference_module("pypdfium2").PdfDocument(data)
        found = [" ".join(page.get_textpage().get_text_range().split()) for page in document]
        document.close()
        return found

    return texts


def test_sheets_tell_of_the_book_and_of_each_page(
    lettered: LetteredPage, read: Callable[[bytes], list[str]]
) -> None:
    first, second = read(proof(lettered, [finding(1)], [finding(2)]))
    for words in ("Proof: Lamp (and owl)", "1 page, 2 findings", "To read: 12", "page 1 (1)"):
        assert words in first
    assert "Note, unit 1.1.1 (at 20, 30 pt)" in first
    assert second.startswith("Page 1") and "THE LAMP IS OUT." in second
    assert "Warning, unit 1.1.1 (at 20, 30 pt) Is wrong for the 1. time." in second
    assert "Nothing to mend" in read(proof(lettered, []))[1]


@pytest.mark.parametrize("count", [1, 9, 40])
def test_no_finding_is_lost(
    count: int, lettered: LetteredPage, read: Callable[[bytes], list[str]]
) -> None:
    every = [finding(number) for number in range(1, count + 1)]
    sheets = read(proof(lettered, every, every))
    told = " ".join(sheets)
    for number in range(1, count + 1):
        assert told.count(f"Is wrong for the {number}. time") == 2
    pages = [sheet for sheet in sheets if sheet.startswith("Page 1")]
    assert all("continued" in sheet for sheet in pages[1:])
    assert (len(pages) > 1) == (count > 9)


def test_sheets_are_a4_and_named(lettered: LetteredPage, reference_module: Module) -> None:
    module: Any = reference_module("pikepdf")
    with module.open(io.BytesIO(proof(lettered, [finding(1)]))) as file:
        for page in file.pages:
            # ISO 216: A4 is 210 by 297 mm.
            assert [float(edge) for edge in page.MediaBox] == pytest.approx(
                [0, 0, 297 / 25.4 * 72, 210 / 25.4 * 72], abs=0.01
            )
        titles = [str(one.title) for one in file.open_outline().root]
        assert titles == ["The book", "Page 1"]
        units = list(file.Root.StructTreeRoot.K[0].K[1].K)
        assert [str(one.S) for one in units[:2]] == ["/H1", "/Figure"]
        assert str(units[1].Alt) == "A lamp, and nobody near it."
        assert str(file.pages[1].Resources.XObject.Art.Filter) == "/DCTDecode"


def test_the_same_proof_gives_the_same_bytes(lettered: LetteredPage) -> None:
    assert proof(lettered, [finding(1)]) == proof(lettered, [finding(1)])


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.text("abcdefghij,", min_size=1, max_size=12), min_size=1, max_size=40),
    st.floats(60, 300),
)
def test_lines_keep_within_their_width(words: list[str], wide: float) -> None:
    made = paragraph(" ".join(words), Point(10.0, 20.0), wide, Look(9.0), FACES)
    assert " ".join(made.breaks).split() == " ".join(words).split()
    for line, told in zip(made.lines, made.breaks, strict=True):
        box = line.box()
        if box is not None and " " in told:
            assert box.right - 10.0 <= wide + 1.0
    assert len(made.breaks) == len(made.lines)


@given(
    st.floats(50, 400),
    st.floats(100, 9000),
    st.lists(st.tuples(st.floats(0, 9000), st.floats(10, 900)), max_size=12),
)
def test_parts_of_a_long_page_are_all_of_it(
    wide: float, high: float, panels: list[tuple[float, float]]
) -> None:
    page = Box(-5.0, -5.0, wide - 5.0, high - 5.0)
    boxes = [Box(0.0, top, wide, top + more) for top, more in panels]
    parts = parts_of(page, boxes)
    assert (parts[0].top, parts[-1].bottom) == (page.top, page.bottom)
    for one, two in itertools.pairwise(parts):
        assert one.bottom == two.top
    if len(parts) > 1:
        slack = 1e-6 * high
        assert all(part.height <= PART * wide + slack for part in parts)
        assert all(part.height >= PART_LEAST * wide - slack for part in parts[:-1])


def test_a_long_page_takes_several_sheets_and_tells_each_word_once(
    lettered: LetteredPage, read: Callable[[bytes], list[str]]
) -> None:
    bleed = lettered.format.bleed
    long = bleed._replace(bottom=bleed.bottom + 2 * bleed.height)
    tall = replace(lettered, format=PageFormat(long, long, long))
    far = (1, replace(finding(1)[1], at=Box(50.0, 700.0, 80.0, 720.0)), finding(1)[2])
    data = proof(tall, [far])
    _, *sheets = read(data)
    assert len(sheets) >= 2 and all(f"part {n} of" in one for n, one in enumerate(sheets, 1))
    assert sum(sheet.count("THE LAMP IS OUT.") for sheet in sheets) == 1
    assert "Is wrong for the 1. time" in sheets[-1]
    assert data.count(b"/DCTDecode") == 1  # the picture is in the file once
