"""Our PNG against other readers of it: pngcheck (Debian), pypng, and the W3C PNG specification."""

from __future__ import annotations

import json
import struct
import subprocess
import zlib
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from letterer.api import compose
from letterer.model.layout_reader import parse_layout
from letterer.model.script_reader import parse_script
from letterer.out.raster import draw_page, png_page, preview_page
from letterer.page.lettered import LetteredPage

# W3C PNG specification, 11.3.4.3 pHYs: pixels per metre; 300 dpi is 300 / 0.0254, rounded.
PER_METRE = {72: 2835, 150: 5906, 300: 11811, 600: 23622, 1200: 47244}


@pytest.fixture(scope="module")
def page() -> LetteredPage:
    """One page of 2 by 3 inches with 1/8 inch of bleed."""
    script = "PAGE 1\nPANEL 1\nNELL: The *lamp* is out.\nTOM (whisper): Sssh.\nSFX: Krrang!"
    layout = {
        "letterer": 1,
        "unit": "in",
        "page": {"trim": [2, 3], "bleed": 0.125, "live": 0.125},
        "pages": [
            {
                "page": 1,
                "panels": [{"panel": 1, "box": [0.1, 0.1, 1.8, 2.8], "mouths": {"Nell": [1, 2]}}],
                "placements": [
                    {"unit": "1.1.1", "center": [0.8, 0.8]},
                    {"unit": "1.1.2", "center": [1.4, 1.4], "tails": [[1.5, 2]]},
                    {"unit": "1.1.3", "box": [0.2, 2.2, 1.6, 0.5]},
                ],
            }
        ],
    }
    return compose(parse_script(script), parse_layout(json.dumps(layout))).pages[0]


def chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Kind and data of every chunk, their checksums checked (PNG specification, 5.3)."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at = 8
    while at < len(data):
        (length,) = struct.unpack_from(">I", data, at)
        kind, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        (check,) = struct.unpack_from(">I", data, at + 8 + length)
        assert check == zlib.crc32(kind + body)
        yield kind, body
        at += 12 + length
    assert at == len(data)


@pytest.mark.parametrize("dpi", list(PER_METRE))
def test_pngcheck_finds_nothing_wrong(
    dpi: int, page: LetteredPage, reference_tool: Callable[[str], str], tmp_path: Path
) -> None:
    file = tmp_path / "page.png"
    file.write_bytes(png_page(page, dpi))
    done = subprocess.run(
        [reference_tool("pngcheck"), "-v", str(file)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout
    assert "No errors detected" in done.stdout
    width, height = round(2.25 * dpi), round(3.25 * dpi)
    assert f"{width} x {height} image, 16-bit grayscale+alpha, non-interlaced" in done.stdout
    assert f"{PER_METRE[dpi]}x{PER_METRE[dpi]} pixels/meter ({dpi} dpi)" in done.stdout


def test_pngcheck_notices_a_broken_file(
    page: LetteredPage, reference_tool: Callable[[str], str], tmp_path: Path
) -> None:
    data = bytearray(png_page(page, 72))
    data[len(data) // 2] ^= 1
    file = tmp_path / "page.png"
    file.write_bytes(data)
    done = subprocess.run([reference_tool("pngcheck"), str(file)], capture_output=True, check=False)
    assert done.returncode != 0


@pytest.mark.parametrize("dpi", [72, 300])
def test_pypng_reads_the_same_pixels(
    dpi: int, page: LetteredPage, reference_module: Callable[[str], ModuleType]
) -> None:
    png = reference_module("png")
    width, height, rows, told = png.Reader(bytes=png_page(page, dpi)).read()
    assert (width, height) == (round(2.25 * dpi), round(3.25 * dpi))
    assert (told["planes"], told["bitdepth"], told["alpha"], told["greyscale"]) == (
        2,
        8,
        True,
        True,
    )
    assert told["interlace"] == 0
    assert tuple(told["physical"]) == (PER_METRE[dpi], PER_METRE[dpi], True)
    assert "gamma" not in told and "background" not in told
    read = np.vstack([np.frombuffer(bytes(row), np.uint8) for row in rows])
    drawn = draw_page(page, dpi)
    assert np.array_equal(read.reshape(height, width, 2), drawn[..., [0, 3]])
    assert (drawn[..., :3] == drawn[..., :1]).all()


@pytest.mark.parametrize("dpi", list(PER_METRE))
def test_the_file_holds_what_the_specification_asks_and_nothing_private(
    dpi: int, page: LetteredPage
) -> None:
    found = list(chunks(png_page(page, dpi)))
    kinds = [kind for kind, _ in found]
    assert kinds[:3] + kinds[-1:] == [b"IHDR", b"pHYs", b"IDAT", b"IEND"]
    assert set(kinds[2:-1]) == {b"IDAT"}  # several, and one after another (5.6)
    width, height = round(2.25 * dpi), round(3.25 * dpi)
    # 8 bits, colour type 4 (greyscale with alpha), deflate, adaptive filters, not interlaced.
    assert found[0][1] == struct.pack(">IIBBBBB", width, height, 8, 4, 0, 0, 0)
    assert found[1][1] == struct.pack(">IIB", PER_METRE[dpi], PER_METRE[dpi], 1)
    rows = zlib.decompress(b"".join(data for kind, data in found if kind == b"IDAT"))
    assert len(rows) == height * (1 + 2 * width)
    assert set(rows[:: 1 + 2 * width]) <= {0, 1, 2, 3, 4}


@pytest.mark.parametrize("color", ["#c81e1e", "#00001f", "#fffffe"])
def test_a_page_with_a_colour_keeps_it(
    color: str, page: LetteredPage, reference_module: Callable[[str], ModuleType]
) -> None:
    png = reference_module("png")
    units = (*page.units[:-1], replace(page.units[-1], color=color))
    coloured = replace(page, units=units)
    width, height, rows, told = png.Reader(bytes=png_page(coloured, 150)).read()
    assert (told["planes"], told["alpha"], told["greyscale"]) == (4, True, False)
    read = np.vstack([np.frombuffer(bytes(row), np.uint8) for row in rows])
    assert np.array_equal(read.reshape(height, width, 4), draw_page(coloured, 150))


def test_the_corners_are_clear_and_the_words_are_opaque(page: LetteredPage) -> None:
    pixels = draw_page(page, 300)
    corners = pixels[[0, 0, -1, -1], [0, -1, 0, -1]]
    assert not corners.any()
    assert pixels[..., 3].max() == 255
    black = (pixels == (0, 0, 0, 255)).all(axis=2)
    white = (pixels == (255, 255, 255, 255)).all(axis=2)
    assert black.sum() > 1000 and white.sum() > 1000


def test_a_preview_has_no_alpha(
    page: LetteredPage, reference_module: Callable[[str], ModuleType]
) -> None:
    png = reference_module("png")
    width, height, rows, told = png.Reader(bytes=preview_page(page, 150)).read()
    assert (width, height, told["planes"], told["alpha"]) == (338, 488, 3, False)
    assert tuple(told["physical"]) == (5906, 5906, True)
    assert bytes(next(iter(rows))[:3]) == b"\xff\xff\xff"


def test_an_empty_page_is_all_clear(
    page: LetteredPage, reference_module: Callable[[str], ModuleType]
) -> None:
    png = reference_module("png")
    _, _, rows, _ = png.Reader(bytes=png_page(replace(page, units=()), 100)).read()
    assert not any(any(row) for row in rows)
