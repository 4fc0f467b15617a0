"""Our PDF against other readers of it: qpdf, pikepdf, pdfium, poppler, and ISO 32000-1.

The page is also drawn by pdfium and compared with our own PNG and with resvg's drawing of the SVG.
"""

from __future__ import annotations

import io
import json
import re
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageDraw
from scipy import ndimage

from letterer.api import compose
from letterer.geometry import Box
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Art
from letterer.model.script_reader import parse_script
from letterer.out.pdf import PdfBook, pdf_parts
from letterer.out.pdf_page import pdf_page
from letterer.out.raster import draw_page
from letterer.out.svg import svg_page
from letterer.page.lettered import LetteredPage, Stroke

Tool = Callable[[str], str]
Module = Callable[[str], ModuleType]
Pixels = NDArray[np.uint8]

SCRIPT = """\
PAGE 1
PANEL 1
NELL: The *lamp* is out (again).
TOM (whisper): Sssh -- listen.
CAPTION (place): Low Harbour.
SFX: Krrang!
NELL (open): Wait for me!

PAGE 2
PANEL 1
TOM: No.
"""
DPI = 600
TITLE = "The lamp (and the owl) – a story"


def pages() -> tuple[LetteredPage, ...]:
    layout = {
        "letterer": 1,
        "unit": "in",
        "language": "en",
        "page": {"trim": [2.25, 3.125], "bleed": 0.125, "live": 0.125},
        "pages": [
            {
                "page": 1,
                "panels": [{"panel": 1, "box": [0.1, 0.1, 2.05, 2.9], "mouths": {"Nell": [1, 2]}}],
                "placements": [
                    {"unit": "1.1.1", "center": [0.8, 0.8]},
                    {"unit": "1.1.2", "center": [1.6, 1.4], "tails": [[1.7, 1.8]]},
                    {"unit": "1.1.3", "corner": "top right"},
                    {"unit": "1.1.4", "box": [0.2, 2.2, 1.2, 0.5]},
                    {"unit": "1.1.5", "center": [1.8, 2.7]},
                ],
            },
            {"page": 2, "placements": [{"unit": "2.1.1", "center": [0.8, 0.8], "tails": []}]},
        ],
    }
    return compose(parse_script(SCRIPT), parse_layout(json.dumps(layout))).pages


def pdf(made: tuple[LetteredPage, ...], overprint: bool = False, **about: Any) -> bytes:
    return b"".join(
        pdf_parts([pdf_page(page, overprint) for page in made], PdfBook(TITLE, **about))
    )


@pytest.fixture(scope="module")
def book() -> tuple[LetteredPage, ...]:
    """Two pages of 2.25 by 3.125 inches with 1/8 inch of bleed."""
    return pages()


@pytest.fixture(scope="module")
def opened(reference_module: Module) -> Callable[[bytes], Any]:
    """A function: a PDF opened by pikepdf."""
    module = reference_module("pikepdf")
    files = []  # its objects live as long as their file

    def open_file(data: bytes) -> Any:
        files.append(module.open(io.BytesIO(data)))
        return files[-1]

    return open_file


@pytest.fixture(scope="module")
def drawn(reference_module: Module) -> Callable[..., Pixels]:
    """A function: a page of a PDF drawn by pdfium on a ground, as red, green and blue."""
    module = reference_module("pypdfium2")

    def draw(data: bytes, dpi: int = DPI, ground: int = 255, page: int = 0) -> Pixels:
        document = module.PdfDocument(data)
        fill = (ground, ground, ground, 255)
        scale = dpi / 72 - 1e-9  # it rounds up to whole pixels
        bitmap = document[page].render(scale=scale, fill_color=fill, rev_byteorder=True)
        pixels: Pixels = np.array(bitmap.to_numpy()[:, :, :3])
        document.close()
        return pixels

    return draw


def test_qpdf_finds_no_fault(
    book: tuple[LetteredPage, ...], reference_tool: Tool, tmp_path: Path
) -> None:
    art = tmp_path / "art.png"
    Image.new("RGBA", (60, 80), (200, 30, 30, 90)).save(art)
    page = replace(book[0], art=Art(art, book[0].format.bleed))
    for name, data in (("a", pdf(book)), ("b", pdf((page,), True, over_art=True)), ("c", pdf(()))):
        path = tmp_path / f"{name}.pdf"
        path.write_bytes(data)
        done = subprocess.run(
            [reference_tool("qpdf"), "--check", path], capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stdout + done.stderr
        assert "WARNING" not in done.stdout + done.stderr


def test_boxes_by_three_parsers(
    book: tuple[LetteredPage, ...],
    opened: Callable[[bytes], Any],
    reference_tool: Tool,
    reference_module: Module,
    tmp_path: Path,
) -> None:
    # 2.25 by 3.125 in and 1/8 in on each side: 180 by 243 pt, the trim 9 pt inside.
    whole, trim = [0.0, 0.0, 180.0, 243.0], [9.0, 9.0, 171.0, 234.0]
    data = pdf(book)
    file = opened(data)
    for page in file.pages:
        for name, wanted in (("/MediaBox", whole), ("/BleedBox", whole), ("/TrimBox", trim)):
            assert [float(edge) for edge in page[name]] == pytest.approx(wanted, abs=0.01)
        assert "/ArtBox" not in page  # PDF/X: a TrimBox or an ArtBox, not both
    document = reference_module("pypdfium2").PdfDocument(data)
    assert document[1].get_trimbox() == pytest.approx(trim, abs=0.01)
    assert document[1].get_bleedbox() == pytest.approx(whole, abs=0.01)
    document.close()
    path = tmp_path / "book.pdf"
    path.write_bytes(data)
    told = subprocess.run(
        [reference_tool("pdfinfo"), "-box", path], capture_output=True, text=True, check=True
    ).stdout
    edges = re.search(r"TrimBox: +([\d. ]+)", told)
    assert edges and [float(one) for one in edges[1].split()] == pytest.approx(trim, abs=0.01)
    assert f"Title:           {TITLE}" in told
    assert "Pages:           2" in told
    assert "Tagged:          yes" in told
    assert "CreationDate" not in told and "ModDate" not in told


def words_of(text: str) -> list[str]:
    return re.findall(r"\w+", text.upper())


WORDS = words_of("The lamp is out again. Sssh, listen. Low Harbour. Krrang! Wait for me!")


def test_words_come_out_in_reading_order(
    book: tuple[LetteredPage, ...],
    reference_tool: Tool,
    reference_module: Module,
    tmp_path: Path,
) -> None:
    path = tmp_path / "book.pdf"
    path.write_bytes(pdf(book))
    tool = [reference_tool("pdftotext"), "-raw", str(path), "-"]
    told = subprocess.run(tool, capture_output=True, text=True, check=True).stdout
    assert [words_of(page) for page in told.split("\f")] == [WORDS, ["NO"], []]
    document = reference_module("pypdfium2").PdfDocument(path)
    text = document[0].get_textpage()
    assert words_of(text.get_text_range()) == WORDS
    # A word that is searched for is marked where it is drawn.
    search = text.search("harbour", match_case=False)
    first, count = search.get_next()
    unit = book[0].unit("1.1.3")
    assert unit is not None and count == 7
    bleed = book[0].format.bleed
    boxes = [text.get_charbox(at) for at in range(first, first + count)]
    right = max(box[2] for box in boxes) + bleed.left
    assert 0 < unit.ink.right - right < 4  # the full stop stands there
    assert all(
        bleed.bottom - box[3] >= unit.ink.top - 2 and bleed.bottom - box[1] <= unit.ink.bottom + 2
        for box in boxes
    )
    document.close()


@pytest.mark.parametrize("words", ["שלום עולם", "سلام", "ランプが消えた", "Noël à 7 €", "🦉 hoot"])
def test_words_of_any_script_come_out(
    words: str,
    book: tuple[LetteredPage, ...],
    reference_tool: Tool,
    reference_module: Module,
    tmp_path: Path,
) -> None:
    unit = book[0].units[2]
    page = replace(book[1], units=(replace(unit, words=words, breaks=(words,)),))
    path = tmp_path / "book.pdf"
    path.write_bytes(pdf((page,)))
    tool = [reference_tool("pdftotext"), str(path), "-"]
    told = subprocess.run(tool, capture_output=True, text=True, check=True).stdout
    assert re.sub("[\u200e\u200f\u202a-\u202e\\s]+", " ", told).strip() == words
    document = reference_module("pypdfium2").PdfDocument(path)
    assert document[0].get_textpage().get_text_range().strip() == words
    document.close()


def test_units_are_tagged_in_reading_order(
    book: tuple[LetteredPage, ...], opened: Callable[[bytes], Any], reference_module: Module
) -> None:
    file = opened(pdf(book, language="en"))
    assert str(file.Root.Lang) == "en"
    assert file.Root.MarkInfo.Marked is True
    assert file.Root.ViewerPreferences.DisplayDocTitle is True
    tree = file.Root.StructTreeRoot
    document = tree.K[0]
    assert document.S == "/Document"
    assert [section.S for section in document.K] == ["/Sect", "/Sect"]
    units = list(document.K[0].K)
    assert [str(unit.S) for unit in units] == ["/P", "/P", "/P", "/Figure", "/P"]
    told = [str(unit.get("/ActualText", unit.get("/Alt"))) for unit in units]
    assert told == [unit.words for unit in book[0].units]
    # The marked content of the page bears the numbers of its units, in order, nothing unmarked is
    # drawn, and the parent tree leads from each number to its unit (ISO 32000-1, 14.7.4).
    parse = reference_module("pikepdf").parse_content_stream
    marks, inside = [], 0
    for operands, operator in parse(file.pages[0]):
        match str(operator):
            case "BDC":
                marks.append((str(operands[0]), int(operands[1].MCID)))
                inside += 1
            case "BMC":
                assert operands[0] == "/Artifact"
                inside += 1
            case "EMC":
                inside -= 1
            case "f" | "S" | "Tj":
                assert inside == 1
    assert marks == [("/P", 0), ("/P", 1), ("/P", 2), ("/Figure", 3), ("/P", 4)]
    numbers = list(tree.ParentTree.Nums)
    assert numbers[0] == file.pages[0].StructParents == 0
    assert [unit.objgen for unit in numbers[1]] == [unit.objgen for unit in units]


def operators(file: Any, module: ModuleType) -> set[str]:
    return {str(step.operator) for step in module.parse_content_stream(file.pages[0])}


def test_black_is_black_ink_alone(
    book: tuple[LetteredPage, ...], opened: Callable[[bytes], Any], reference_module: Module
) -> None:
    module = reference_module("pikepdf")
    plain = opened(pdf(book))
    assert {"g", "G"} <= operators(plain, module)
    assert not {"rg", "RG", "k", "K", "gs"} & operators(plain, module)
    unit = replace(book[0].units[0], stroke=Stroke(1.0, "#aa0000"))
    red = opened(pdf((replace(book[0], units=(unit,)),)))
    assert {"g", "RG"} <= operators(red, module)
    over = opened(pdf(book, overprint=True))
    steps = list(module.parse_content_stream(over.pages[0]))
    assert {"k", "K", "gs", "g"} <= {str(step.operator) for step in steps}
    assert all(
        [float(one) for one in step.operands] == [0, 0, 0, 1]
        for step in steps
        if str(step.operator) in ("k", "K")
    )
    state = over.pages[0].Resources.ExtGState.Over
    assert (state.OP, state.op, int(state.OPM)) == (True, True, 1)
    # Paper is never drawn over what lies below: it leaves its gap.
    at = [str(step.operator) for step in steps].index("gs")
    grey = [step for step in steps[:at] if str(step.operator) == "g"]
    assert [float(step.operands[0]) for step in grey] == [1.0]


def near(one: NDArray[np.bool_], other: NDArray[np.bool_]) -> int:
    """Pixels of one picture that have no like in the other within one pixel around."""
    around = np.ones((3, 3), dtype=bool)
    return int((one & ~ndimage.binary_dilation(other, around)).sum())


def test_three_renderers_agree_within_a_pixel(
    book: tuple[LetteredPage, ...], drawn: Callable[..., Pixels], reference_module: Module
) -> None:
    page = book[0]
    lettering = Image.fromarray(draw_page(page, DPI), "RGBA")
    ours: Pixels = np.asarray(
        Image.alpha_composite(Image.new("RGBA", lettering.size, "#808080"), lettering)
    )
    svg = reference_module("resvg_py").svg_to_bytes(
        svg_string=svg_page(page), dpi=96.0, zoom=DPI / 96, background="#808080"
    )
    resvg = np.asarray(Image.open(io.BytesIO(bytes(svg))).convert("RGB"))
    pdfium = drawn(pdf(book), ground=128)
    assert [picture.shape[:2] for picture in (ours, resvg, pdfium)] == [(2025, 1500)] * 3
    for one, other in ((pdfium, ours), (pdfium, resvg), (ours, resvg)):
        first, second = one[:, :, 1], other[:, :, 1]
        for a, b in ((first < 64, second < 64), (first > 191, second > 191)):
            assert a.sum() > 50_000
            assert near(a, b) == near(b, a) == 0


@pytest.mark.parametrize("ground", [0, 255])
def test_no_halo_on_black_or_white(
    ground: int, book: tuple[LetteredPage, ...], drawn: Callable[..., Pixels]
) -> None:
    unit = book[1].units[0]
    assert unit.outline is not None and unit.stroke is not None
    pixels = drawn(pdf(book), ground=ground, page=1)[:, :, 1]
    bleed, scale = book[1].format.bleed, DPI / 72
    ring = [
        ((x - bleed.left) * scale, (y - bleed.top) * scale)
        for x, y in unit.outline.flattened(0.001)[0]
    ]
    mask = Image.new("1", (pixels.shape[1], pixels.shape[0]))
    ImageDraw.Draw(mask).polygon(ring, fill=1)
    inside = np.asarray(mask)
    half = unit.stroke.width / 2 * scale
    away = ndimage.distance_transform_edt(~inside)
    deep = ndimage.distance_transform_edt(inside)
    # Outside the border nothing is drawn; within it, nothing but black; and on black the border
    # has no light edge where paper looks out from under it.
    assert (pixels[away > half + 1.5] == ground).all()
    assert (pixels[(away < half - 1.5) & (deep < half - 1.5)] == 0).all()
    outer = pixels[(away > 0) & (away <= half + 1.5)]
    if ground == 0:
        assert (outer == 0).all()
    assert outer.max() == ground


def over(book: tuple[LetteredPage, ...], art: Path, box: Box | None = None) -> bytes:
    page = replace(book[1], art=Art(art, box or book[1].format.bleed), units=())
    return pdf((page,), over_art=True)


def picture_of(file: Any) -> Any:
    return file.pages[0].Resources.XObject.Art


def test_a_jpeg_goes_in_as_it_is(
    book: tuple[LetteredPage, ...],
    opened: Callable[[bytes], Any],
    drawn: Callable[..., Pixels],
    tmp_path: Path,
) -> None:
    art = tmp_path / "art.jpg"
    ramp = np.indices((80, 60)).sum(axis=0).astype(np.uint8)
    picture = Image.fromarray(np.stack([ramp, 255 - ramp, ramp // 2], axis=2))
    about = Image.Exif()
    about[0x010E] = "told by a camera"
    picture.save(art, quality=95, exif=about, comment=b"by nobody")
    found = picture_of(opened(over(book, art)))
    raw = found.read_raw_bytes()
    assert found.Filter == "/DCTDecode" and found.ColorSpace == "/DeviceRGB"
    assert b"camera" in art.read_bytes() and b"camera" not in raw and b"nobody" not in raw
    assert (np.asarray(Image.open(io.BytesIO(raw))) == np.asarray(Image.open(art))).all()
    shown = drawn(over(book, art), dpi=72)
    assert np.abs(shown[100, 60].astype(int) - np.asarray(picture)[33, 19]).max() < 12


@pytest.mark.parametrize(
    ("mode", "color", "space", "bits", "shown"),
    [
        ("1", 0, "/DeviceGray", 1, (0, 0, 0)),
        ("L", 90, "/DeviceGray", 8, (90, 90, 90)),
        ("RGB", (90, 90, 90), "/DeviceGray", 8, (90, 90, 90)),
        ("RGB", (10, 200, 30), "/DeviceRGB", 8, (10, 200, 30)),
        ("P", 0, "/DeviceRGB", 8, (10, 200, 30)),
        ("RGBA", (10, 200, 30, 255), "/DeviceRGB", 8, (10, 200, 30)),
        ("RGBA", (10, 200, 30, 0), "/DeviceRGB", 8, (255, 255, 255)),
        ("LA", (0, 51), "/DeviceGray", 8, (204, 204, 204)),
        ("I;16", 25700, "/DeviceGray", 8, (100, 100, 100)),
        ("CMYK", (0, 0, 0, 255), "/DeviceCMYK", 8, None),
    ],
)
def test_art_keeps_its_colours(
    mode: str,
    color: Any,
    space: str,
    bits: int,
    shown: tuple[int, ...] | None,
    book: tuple[LetteredPage, ...],
    opened: Callable[[bytes], Any],
    drawn: Callable[..., Pixels],
    tmp_path: Path,
) -> None:
    art = tmp_path / ("art.tif" if mode == "CMYK" else "art.png")
    picture = Image.new(mode, (31, 41), color)
    if mode == "P":
        picture.putpalette([10, 200, 30])
    picture.save(art)
    data = over(book, art)
    found = picture_of(opened(data))
    assert (found.ColorSpace, int(found.BitsPerComponent)) == (space, bits)
    assert ("/SMask" in found) == ("A" in mode)
    if shown:
        assert np.abs(drawn(data, dpi=36)[60, 40].astype(int) - shown).max() <= 1


def test_a_jpeg_in_inks_is_not_turned_upside_down(
    book: tuple[LetteredPage, ...], drawn: Callable[..., Pixels], tmp_path: Path
) -> None:
    art = tmp_path / "art.jpg"
    Image.new("CMYK", (32, 32), (0, 0, 0, 0)).save(art, quality=95)
    assert drawn(over(book, art), dpi=36)[60, 40].min() > 245
    Image.new("CMYK", (32, 32), (0, 255, 255, 0)).save(art, quality=95)
    red, green, _ = drawn(over(book, art), dpi=36)[60, 40]
    assert red > 180 and green < 80


def test_art_keeps_its_profile(
    book: tuple[LetteredPage, ...], opened: Callable[[bytes], Any], tmp_path: Path
) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for art in (tmp_path / "a.png", tmp_path / "a.jpg"):
        Image.new("RGB", (9, 9), "#a03020").save(art, icc_profile=profile)
        name, found = picture_of(opened(over(book, art))).ColorSpace
        assert name == "/ICCBased" and int(found.N) == 3
        assert found.read_bytes() == profile
        Image.new("RGB", (9, 9), "#a03020").save(art, icc_profile=b"not a profile")
        assert picture_of(opened(over(book, art))).ColorSpace == "/DeviceRGB"


def test_art_stands_in_its_box_the_right_way_up(
    book: tuple[LetteredPage, ...], drawn: Callable[..., Pixels], tmp_path: Path
) -> None:
    art = tmp_path / "art.jpg"
    turned = Image.Exif()
    turned[0x0112] = 6  # a camera that was held on its side
    picture = Image.new("L", (40, 20), 255)
    picture.paste(0, (0, 0, 20, 10))
    picture.save(art, quality=95, exif=turned)
    # Turned by a quarter clockwise, its top left quarter is at the top right.
    pixels = drawn(over(book, art, Box(9, 27, 99, 207)), dpi=72)[:, :, 0]
    dark = np.argwhere(pixels < 128)
    top, left = dark.min(axis=0)
    bottom, right = dark.max(axis=0)
    # 9 pt of bleed lie before the trim's corner.
    assert abs(left - 63) <= 1 and abs(right - 107) <= 1
    assert abs(top - 36) <= 1 and abs(bottom - 125) <= 1


def test_the_same_pages_give_the_same_bytes(book: tuple[LetteredPage, ...]) -> None:
    data = pdf(book)
    assert data == pdf(pages())
    assert not re.search(rb"/(CreationDate|ModDate)|\(D:", data)
    one, two = (re.search(rb"/ID\[<(\w+)>", each) for each in (data, pdf(book[:1])))
    assert one and two and one[1] != two[1]


def test_a_scroll_longer_than_readers_take_has_a_larger_unit(
    book: tuple[LetteredPage, ...], opened: Callable[[bytes], Any], drawn: Callable[..., Pixels]
) -> None:
    trim = Box(0, 0, 162, 20_000)
    page = replace(book[1], format=replace(book[1].format, trim=trim, bleed=trim))
    data = pdf((page,))
    found = opened(data).pages[0]
    assert float(found.UserUnit) == 2
    assert [float(edge) for edge in found.MediaBox] == pytest.approx([0, 0, 81, 10_000])
    usual = drawn(pdf((replace(page, format=book[1].format),)), dpi=72, page=0)
    assert usual.min() < 100
