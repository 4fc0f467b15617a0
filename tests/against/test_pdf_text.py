"""Words of our PDF as real text, against other readers: qpdf, pikepdf, pdfium, poppler.

ISO 32000-1, 9.6 to 9.10: parts of faces are put in, named as such, their codes stand for text. What
is drawn is compared with the same page drawn as outlines, by two renderers that share no code.
"""

from __future__ import annotations

import io
import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from fontTools.ttLib import TTFont
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from letterer.api import compose
from letterer.model.layout_reader import parse_layout
from letterer.model.script_reader import parse_script
from letterer.out.pdf import PdfBook, pdf_parts
from letterer.out.pdf_page import pdf_page
from letterer.page.lettered import LetteredPage

Tool = Callable[[str], str]
Module = Callable[[str], ModuleType]
Pixels = NDArray[np.uint8]

SCRIPT = """\
PAGE 1
PANEL 1
NELL: I think the *lamp* is out (again), and I'm cold.
TOM (whisper): Sssh -- listen.
CAPTION (place): Low Harbour.
SFX: Krrang!
NELL (open): Wait for me!
TOM (gasp): Oh no.
"""
READ = (
    "I think the lamp is out again, and I'm cold. Sssh, listen. Low Harbour. Krrang! Wait for me!"
    " Oh no."
)
DPI = 600


def lettered(script: str = SCRIPT, language: str = "en") -> LetteredPage:
    placements = [
        {"unit": "1.1.1", "center": [0.8, 0.8], "tails": []},
        {"unit": "1.1.2", "center": [1.6, 1.5], "tails": [[1.7, 1.8]]},
        {"unit": "1.1.3", "corner": "top right"},
        {"unit": "1.1.4", "box": [0.2, 2.2, 1.2, 0.5]},
        {"unit": "1.1.5", "center": [1.8, 2.7]},
        {"unit": "1.1.6", "center": [0.7, 1.8], "tails": []},
    ]
    count = len(parse_script(script).units)
    page = {
        "page": 1,
        "panels": [{"panel": 1, "box": [0.1, 0.1, 2.05, 2.9]}],
        "placements": placements[:count],
    }
    layout = {
        "letterer": 1,
        "unit": "in",
        "language": language,
        "page": {"trim": [2.25, 3.125], "bleed": 0.125, "live": 0.125},
        "pages": [page],
    }
    return compose(parse_script(script), parse_layout(json.dumps(layout))).pages[0]


def pdf(page: LetteredPage, as_text: bool = True, overprint: bool = False) -> bytes:
    return b"".join(pdf_parts([pdf_page(page, overprint, as_text)], PdfBook("The lamp")))


@pytest.fixture(scope="module")
def page() -> LetteredPage:
    return lettered()


@pytest.fixture(scope="module")
def file(page: LetteredPage, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("text") / "text.pdf"
    path.write_bytes(pdf(page))
    return path


def run(*words: str | Path) -> str:
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout + done.stderr


def words_of(text: str) -> list[str]:
    return re.findall(r"\w+", text.upper())


def test_qpdf_finds_no_fault(file: Path, reference_tool: Tool) -> None:
    assert "WARNING" not in run(reference_tool("qpdf"), "--check", file)


def test_every_font_is_put_in_as_a_part(file: Path, reference_tool: Tool) -> None:
    rows = run(reference_tool("pdffonts"), file).splitlines()[2:]
    faces = [row.split() for row in rows if "LettererWords" not in row]
    assert len(faces) == 2  # plain, and for the stressed word
    for name, *about in faces:
        assert re.fullmatch(r"[A-Z]{6}\+LettererHand-\w+", name)
        assert about[:6] == ["CID", "TrueType", "Identity-H", "yes", "yes", "yes"]


def test_the_parts_are_fonts_with_the_widths_that_are_told(
    file: Path, reference_module: Module
) -> None:
    with reference_module("pikepdf").open(file) as opened:
        fonts = opened.pages[0].Resources.Font
        for name in ("/F0", "/F1"):
            below = fonts[name].DescendantFonts[0]
            with TTFont(io.BytesIO(below.FontDescriptor.FontFile2.read_bytes())) as part:
                order, row = part.getGlyphOrder(), list(below.W)
                for first, widths in zip(row[::2], row[1::2], strict=True):
                    for at, width in enumerate(widths):
                        assert float(width) == part["hmtx"][order[int(first) + at]][0]


def test_words_come_out_in_reading_order(
    file: Path, page: LetteredPage, reference_tool: Tool, reference_module: Module
) -> None:
    told = run(reference_tool("pdftotext"), "-raw", file, "-")
    assert words_of(told) == words_of(READ)
    assert not re.search("[\ue000-\uf8ff]", told)  # breath marks are drawn, and are no words
    document = reference_module("pypdfium2").PdfDocument(file)
    text = document[0].get_textpage()
    assert words_of(text.get_text_range()) == words_of(READ)
    # A word that is searched for is marked on its very letters.
    first, count = text.search("harbour", match_case=False).get_next()
    unit = page.unit("1.1.3")
    assert unit is not None and count == 7
    bleed = page.format.bleed
    boxes = [text.get_charbox(at) for at in range(first, first + count)]
    for left, bottom, right, top in boxes:
        assert unit.ink.left - 0.6 < left + bleed.left and right + bleed.left < unit.ink.right
        assert bleed.bottom - top > unit.ink.top - 0.6
        assert bleed.bottom - bottom < unit.ink.bottom + 0.6
    document.close()


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("fr", "Noël à 7 €, qu'il dit !"),
        ("vi", "Tiếng Việt ở đây"),
        ("ru", "Лампа погасла"),
        ("ja", "ランプが消えた。"),
        ("hi", "नमस्ते दुनिया"),
        ("en", "Co\u2011op FI ffi \u00a1Ay!"),
    ],
)
def test_words_of_many_scripts_come_out(
    language: str,
    words: str,
    reference_tool: Tool,
    reference_module: Module,
    tmp_path: Path,
) -> None:
    path = tmp_path / "text.pdf"
    page = lettered(f"PAGE 1\nPANEL 1\nNELL: {words}\n", language)
    path.write_bytes(pdf(page))
    assert "(Words)" not in path.read_text("latin-1")
    wanted = " ".join(page.units[0].breaks)
    for told in (
        run(reference_tool("pdftotext"), path, "-"),
        reference_module("pypdfium2").PdfDocument(path)[0].get_textpage().get_text_range(),
    ):
        assert " ".join(told.split()) == wanted


def by_pdfium(data: bytes, folder: Path, module: Module, tool: Tool) -> Pixels:
    document = module("pypdfium2").PdfDocument(data)
    bitmap = document[0].render(scale=DPI / 72 - 1e-9, fill_color=(128, 128, 128, 255))
    return np.array(bitmap.to_numpy()[:, :, 1])


def by_poppler(data: bytes, folder: Path, module: Module, tool: Tool) -> Pixels:
    (folder / "one.pdf").write_bytes(data)
    program = tool("pdftocairo")
    run(
        program,
        "-png",
        "-transp",
        "-r",
        str(DPI),
        "-singlefile",
        folder / "one.pdf",
        folder / "one",
    )
    drawn = Image.open(folder / "one.png").convert("RGBA")
    grey = Image.new("RGBA", drawn.size, "#808080")
    return np.asarray(Image.alpha_composite(grey, drawn).convert("L"))


def near(one: NDArray[np.bool_], other: NDArray[np.bool_]) -> int:
    """Pixels of one picture that have no like in the other within one pixel around."""
    return int((one & ~ndimage.binary_dilation(other, np.ones((3, 3), dtype=bool))).sum())


@pytest.mark.parametrize("draw", [by_pdfium, by_poppler])
def test_text_is_drawn_as_its_outlines_are(
    draw: Callable[..., Pixels],
    page: LetteredPage,
    reference_module: Module,
    reference_tool: Tool,
    tmp_path: Path,
) -> None:
    text, outlines = (
        draw(pdf(page, as_text), tmp_path, reference_module, reference_tool)
        for as_text in (True, False)
    )
    assert text.shape == outlines.shape == (2025, 1500)
    for one, other in ((text < 64, outlines < 64), (text > 191, outlines > 191)):
        assert one.sum() > 50_000
        assert near(one, other) == near(other, one) == 0


def test_black_text_prints_over_colours_where_that_is_asked_for(
    page: LetteredPage, reference_module: Module
) -> None:
    pikepdf = reference_module("pikepdf")
    with pikepdf.open(io.BytesIO(pdf(page, overprint=True))) as opened:
        steps: list[Any] = list(pikepdf.parse_content_stream(opened.pages[0]))
    inks, over = "", [False]
    for operands, operator in steps:
        match str(operator):
            case "gs":
                over[-1] = True
            case "q":
                over.append(over[-1])
            case "Q":
                over.pop()
            case "g" | "k":
                inks = f"{operator} {[float(one) for one in operands]}"
            case "TJ":
                assert over[-1] and inks == "k [0.0, 0.0, 0.0, 1.0]"
    assert "TJ" in {str(step.operator) for step in steps}


def test_the_same_page_gives_the_same_bytes(page: LetteredPage) -> None:
    assert pdf(page) == pdf(lettered())
