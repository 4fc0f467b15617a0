"""The PNG writer: sizes, limits, colours at soft edges, the preview and its art."""

from __future__ import annotations

import io
import math
import os
import struct
import subprocess
import sys
import zlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

import numpy as np
import pytest
import skia
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from letterer import craft
from letterer.errors import LettererError
from letterer.geometry import Box, Path, Point, Segment, polygon, rectangle
from letterer.model.plan import Art, PageFormat
from letterer.out.art import read_art
from letterer.out.canvas import Raster, draw_unit, painted_units, skia_fault
from letterer.out.png import encode_png
from letterer.out.raster import draw_page, pixel_size, png_page, preview_page
from letterer.page.lettered import LetteredPage, PlacedUnit

INCH = PageFormat(Box(0, 0, 72, 72), Box(0, 0, 72, 72), Box(9, 9, 63, 63))
EMPTY = LetteredPage(1, INCH, ())


def shape(path: Path, **painted: Any) -> PlacedUnit:
    """A unit of one outline and no words."""
    box = path.box()
    assert box is not None
    return PlacedUnit(
        "1.1.1", "speech", "", "", 1, 7.5, (), (), box, box, "#000000", outline=path, **painted
    )


def decoded(data: bytes) -> Image.Image:
    """A PNG read back by Pillow."""
    image = Image.open(io.BytesIO(data))
    image.load()
    return image


def on_bleed(left: float, top: float, right: float, bottom: float) -> LetteredPage:
    """An empty page with this bleed box."""
    box = Box(left, top, right, bottom)
    return LetteredPage(1, PageFormat(box, box, box), ())


# --- Size and limits ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("width", "height", "dpi", "pixels"),
    [
        # American comic with bleed, 6.875 by 10.5 in: common practice, no source.
        (6.875 * 72, 10.5 * 72, 600, (4125, 6300)),
        (6.875 * 72, 10.5 * 72, 300, (2062, 3150)),
        # ISO 216: A4 is 210 by 297 mm, 2480 by 3508 px at 300 dpi.
        (210 / 25.4 * 72, 297 / 25.4 * 72, 300, (2480, 3508)),
        (72, 36, 72, (72, 36)),
        (72, 36, 1200, (1200, 600)),
        (0.1, 0.1, 72, (1, 1)),
    ],
)
def test_pixel_size(width: float, height: float, dpi: int, pixels: tuple[int, int]) -> None:
    assert pixel_size(on_bleed(-9, -9, width - 9, height - 9), dpi) == pixels


@given(st.floats(18, 2000), st.floats(18, 2000), st.integers(72, 300))
def test_the_image_is_the_bleed_box_to_the_nearest_pixel(
    width: float, height: float, dpi: int
) -> None:
    found = pixel_size(on_bleed(0, 0, width, height), dpi)
    assert abs(found[0] - width * dpi / 72) <= 0.5
    assert abs(found[1] - height * dpi / 72) <= 0.5


@pytest.mark.parametrize("dpi", [-5, 0, 71, 1201, 10**9])
def test_a_resolution_out_of_range_is_told(dpi: int) -> None:
    with pytest.raises(LettererError, match=rf"^{dpi} dpi is out of range\. Choose .* 72 to 1200"):
        pixel_size(EMPTY, dpi)


def test_a_page_that_takes_more_than_four_gigabytes_is_refused_with_a_dpi_that_works() -> None:
    large = replace(on_bleed(0, 0, 40 * 72, 40 * 72), number=7)
    with pytest.raises(LettererError) as told:
        pixel_size(large, 1200)
    assert str(told.value) == (
        "page 7: at 1200 dpi this page is 48000 by 48000 pixels and could need 21.5 GB of memory."
        " Choose 518 dpi or less."
    )
    assert pixel_size(large, 518) == (20720, 20720)
    with pytest.raises(LettererError):
        pixel_size(large, 519)


def test_a_page_too_large_at_any_resolution_is_told_so() -> None:
    with pytest.raises(LettererError, match=r"93\.1 GB of memory. Give it a smaller page"):
        pixel_size(on_bleed(0, 0, 1e5, 1e5), 72)


def test_four_gigabytes_is_the_limit() -> None:
    assert craft.RASTER_BYTES_MOST == 4 * 1024**3


# --- The file -------------------------------------------------------------------------------------


@pytest.mark.parametrize("channels", [2, 3, 4])
@pytest.mark.parametrize(("width", "height"), [(1, 1), (3, 2), (7, 255), (5, 256), (4, 513)])
def test_pixels_come_back_as_they_were(width: int, height: int, channels: int) -> None:
    chance = np.random.default_rng(width * height)
    pixels = chance.integers(0, 256, (height, width, channels), dtype=np.uint8)
    image = decoded(encode_png(pixels, 300))
    assert image.mode == {2: "LA", 3: "RGB", 4: "RGBA"}[channels]
    assert np.array_equal(np.asarray(image), pixels)


def test_the_file_holds_four_chunks_and_no_more(lettered: LetteredPage) -> None:
    data, chunks, at = png_page(lettered, 100), [], 8
    while at < len(data):
        (length,) = struct.unpack_from(">I", data, at)
        chunks.append(data[at + 4 : at + 8])
        at += length + 12
    assert chunks == [b"IHDR", b"pHYs", b"IDAT", b"IEND"]  # at 100 dpi one IDAT holds all
    assert at == len(data)


@pytest.mark.parametrize("dpi", [72, 150, 300, 600, 1200])
def test_png_at_every_usual_resolution(dpi: int) -> None:
    page = replace(EMPTY, units=(shape(rectangle(Box(18, 18, 54, 54)), fill="#336699"),))
    image = decoded(png_page(page, dpi))
    assert (image.size, image.mode) == ((dpi, dpi), "RGBA")  # its fill is no grey
    told = image.info["dpi"]
    assert abs(told[0] - dpi) < 0.02 and abs(told[1] - dpi) < 0.02
    assert image.getpixel((dpi // 2, dpi // 2)) == (0x33, 0x66, 0x99, 255)
    corners = [(0, 0), (dpi - 1, 0), (0, dpi - 1), (dpi - 1, dpi - 1)]
    assert {image.getpixel(corner) for corner in corners} == {(0, 0, 0, 0)}


def test_the_pixels_of_the_file_are_those_that_were_drawn(lettered: LetteredPage) -> None:
    image = decoded(png_page(lettered, 144))
    drawn = draw_page(lettered, 144)
    assert image.mode == "LA"
    assert np.array_equal(np.asarray(image), drawn[..., [0, 3]])
    assert (drawn[..., :3] == drawn[..., :1]).all()


def test_what_lies_in_the_bleed_is_drawn_where_it_lies() -> None:
    bleed = PageFormat(Box(0, 0, 72, 72), Box(-9, -18, 81, 90), Box(9, 9, 63, 63))
    page = LetteredPage(1, bleed, (shape(rectangle(Box(-9, -18, 0, 0)), fill="#000000"),))
    alpha = draw_page(page, 144)[..., 3]
    assert alpha.shape == (216, 180)
    assert alpha[:36, :18].min() == 255
    assert alpha.sum() == 255 * 36 * 18


@pytest.mark.parametrize("dpi", [75, 144, 301])
def test_a_slanted_edge_covers_its_true_area(dpi: int) -> None:
    triangle = polygon((Point(5.3, 7.1), Point(60.2, 20.9), Point(25.7, 61.4)))
    alpha = draw_page(replace(EMPTY, units=(shape(triangle, fill="#000000"),)), dpi)[..., 3]
    covered = alpha.sum() / 255 / (dpi / 72) ** 2
    assert covered == pytest.approx(triangle.area(), rel=2e-3)


def test_the_same_page_gives_the_same_file_in_another_process(
    tmp_path: FilePath, repository: FilePath
) -> None:
    make = (
        "import hashlib\n"
        "from letterer.api import compose\n"
        "from letterer.model.layout_reader import parse_layout\n"
        "from letterer.model.script_reader import parse_script\n"
        "from letterer.out.raster import png_page\n"
        "script = parse_script('PAGE 1\\nPANEL 1\\nNELL: The *lamp* is out.\\nSFX: Krrang!')\n"
        'layout = parse_layout(\'{"letterer": 1, "unit": "pt", "page": {"trim": [200, 200]},'
        ' "pages": [{"page": 1, "placements": [{"unit": "1.1.1", "center": [100, 60],'
        ' "tails": [[80, 140]]}, {"unit": "1.1.2", "box": [20, 120, 150, 60]}]}]}\')\n'
        "page = compose(script, layout).pages[0]\n"
        "print(hashlib.sha256(png_page(page, 300)).hexdigest(), len(page.units))\n"
    )
    made = []
    for roll, folder in (("1", tmp_path), ("2", repository)):
        environment = {**os.environ, "PYTHONHASHSEED": roll, "PYTHONPATH": str(repository)}
        done = subprocess.run(
            [sys.executable, "-c", make],
            cwd=folder,
            env=environment,
            capture_output=True,
            text=True,
            check=True,
        )
        made.append(done.stdout)
    assert made[0] == made[1]
    assert made[0].endswith(" 2\n")


# --- Soft edges -----------------------------------------------------------------------------------


def drawn_on(page: LetteredPage, dpi: int, ground: int) -> Any:
    """The page drawn by Skia straight on an opaque ground: grey values (height, width, 3)."""
    width, height = pixel_size(page, dpi)
    surface = skia.Surface.MakeRaster(
        skia.ImageInfo.Make(
            width, height, skia.ColorType.kRGBA_8888_ColorType, skia.AlphaType.kPremul_AlphaType
        )
    )
    bleed = page.format.bleed
    raster = Raster(dpi / 72, bleed.left, bleed.top, width, height)
    with surface as canvas:
        canvas.clear(skia.Color(ground, ground, ground))
        for unit in painted_units(skia, page.units, raster):
            draw_unit(skia, canvas, unit, 0, 0)
    return surface.toarray(colorType=skia.ColorType.kRGBA_8888_ColorType)[..., :3].astype(int)


@pytest.mark.parametrize("ground", [255, 0, 119])
def test_no_edge_is_darker_or_lighter_than_when_drawn_on_its_ground(
    lettered: LetteredPage, ground: int
) -> None:
    pixels = draw_page(lettered, 150).astype(float)
    opaque = pixels[..., 3:] / 255
    over = pixels[..., :3] * opaque + ground * (1 - opaque)
    direct = drawn_on(lettered, 150, ground)
    # Three layers of paint are each rounded once, on either way.
    assert np.abs(over - direct).max() <= 3


def test_a_soft_edge_keeps_its_colour() -> None:
    slanted = polygon((Point(5.3, 7.1), Point(60.2, 20.9), Point(25.7, 61.4)))
    pixels = draw_page(replace(EMPTY, units=(shape(slanted, fill="#c86432"),)), 150)
    soft = pixels[(pixels[..., 3] > 32) & (pixels[..., 3] < 255)].astype(int)
    assert len(soft) > 100
    assert np.abs(soft[:, :3] - (0xC8, 0x64, 0x32)).max() <= math.ceil(0.5 * 255 / 32) + 1
    assert not pixels[pixels[..., 3] == 0].any()


def test_each_kind_of_segment_is_drawn() -> None:
    shapes = {
        "L": Path(
            (
                Segment("M", (Point(10, 10),)),
                Segment("L", (Point(60, 10),)),
                Segment("L", (Point(10, 60),)),
                Segment("Z"),
            )
        ),
        "Q": Path(
            (
                Segment("M", (Point(10, 10),)),
                Segment("Q", (Point(70, 10), Point(10, 60))),
                Segment("Z"),
            )
        ),
        "C": Path(
            (
                Segment("M", (Point(10, 10),)),
                Segment("C", (Point(70, 10), Point(70, 60), Point(10, 60))),
                Segment("Z"),
            )
        ),
    }
    for path in shapes.values():
        alpha = draw_page(replace(EMPTY, units=(shape(path, fill="#000000"),)), 288)[..., 3]
        assert alpha.sum() / 255 / 16 == pytest.approx(abs(path.area()), rel=2e-3)


# --- The preview ----------------------------------------------------------------------------------


@pytest.fixture
def arted(tmp_path: FilePath) -> Callable[..., LetteredPage]:
    """A function: an empty page of one inch over a picture, which is saved first."""

    def made(
        picture: Image.Image, box: Box = INCH.bleed, name: str = "art.png", **how: Any
    ) -> LetteredPage:
        picture.save(tmp_path / name, **how)
        return replace(EMPTY, art=Art(tmp_path / name, box))

    return made


def test_a_preview_without_art_is_the_lettering_on_white() -> None:
    page = replace(EMPTY, units=(shape(rectangle(Box(18, 18, 54, 54)), fill="#336699"),))
    image = decoded(preview_page(page, 144))
    assert (image.mode, image.size) == ("RGB", (144, 144))
    assert image.getpixel((5, 5)) == (255, 255, 255)
    assert image.getpixel((72, 72)) == (0x33, 0x66, 0x99)


def test_a_preview_without_art_shows_the_panels() -> None:
    page = replace(EMPTY, panels=(rectangle(Box(9, 9, 36, 63)),))
    image = decoded(preview_page(page, 144))
    shade = tuple(bytes.fromhex(craft.PREVIEW_PANEL[1:]))
    assert image.getpixel((18, 60)) == image.getpixel((72, 60)) == shade
    assert image.getpixel((40, 60)) == image.getpixel((100, 60)) == (255, 255, 255)


def test_art_lies_under_the_lettering(arted: Callable[..., LetteredPage]) -> None:
    page = arted(Image.new("RGB", (50, 50), (10, 200, 30)))
    page = replace(page, units=(shape(rectangle(Box(18, 18, 54, 54)), fill="#ffffff"),))
    image = decoded(preview_page(page, 144))
    assert image.getpixel((5, 5)) == (10, 200, 30)
    assert image.getpixel((143, 143)) == (10, 200, 30)
    assert image.getpixel((72, 72)) == (255, 255, 255)


def quartered(mode: str = "RGB") -> Image.Image:
    """A picture with a quarter each of red, green, blue and black."""
    picture = Image.new("RGB", (100, 100))
    picture.paste((255, 0, 0), (0, 0, 50, 50))
    picture.paste((0, 255, 0), (50, 0, 100, 50))
    picture.paste((0, 0, 255), (0, 50, 50, 100))
    return picture.convert(mode)


@pytest.mark.parametrize(
    ("box", "seen"),
    [
        (Box(0, 0, 72, 72), {(20, 20): "red", (50, 20): "green", (20, 50): "blue"}),
        # Half the page.
        (Box(36, 0, 72, 36), {(40, 4): "red", (68, 4): "green", (40, 32): "blue", (4, 4): "white"}),
        # Far larger than the page: only one quarter shows.
        (Box(-72, -72, 72, 72), {(4, 4): "black", (70, 70): "black"}),
        # Farther still: the middle of the picture lies at (36, 36).
        (
            Box(36 - 400, 36 - 400, 36 + 400, 36 + 400),
            {(4, 4): "red", (68, 4): "green", (4, 68): "blue", (68, 68): "black"},
        ),
        # Beside the page.
        (Box(100, 100, 172, 172), {(70, 70): "white"}),
        (Box(-100, -100, -28, -28), {(1, 1): "white"}),
    ],
)
def test_art_lies_where_the_plan_says(
    box: Box, seen: dict[tuple[int, int], str], arted: Callable[..., LetteredPage]
) -> None:
    names = {
        "red": (255, 0, 0),
        "green": (0, 255, 0),
        "blue": (0, 0, 255),
        "black": (0, 0, 0),
        "white": (255, 255, 255),
    }
    image = decoded(preview_page(arted(quartered(), box), 72))
    for at, name in seen.items():
        assert image.getpixel(at) == names[name], (at, name)


@pytest.mark.parametrize(
    ("mode", "name"),
    [
        ("1", "art.png"),
        ("L", "art.png"),
        ("LA", "art.png"),
        ("P", "art.png"),
        ("RGB", "art.jpg"),
        ("RGBA", "art.png"),
        ("CMYK", "art.tif"),
        ("LAB", "art.tif"),
        ("I;16", "art.png"),
        ("I;16", "art.tif"),
    ],
)
def test_pictures_of_every_kind_are_read(
    mode: str, name: str, arted: Callable[..., LetteredPage]
) -> None:
    if mode == "I;16":
        deep = np.full((40, 40), 0x8000, dtype=np.uint16)
        picture = Image.fromarray(deep)
        assert picture.mode == "I;16"
    elif mode == "LAB":
        picture = Image.merge("LAB", [Image.new("L", (40, 40), value) for value in (128, 128, 128)])
    else:
        picture = Image.new("L", (40, 40), 128).convert("RGB" if mode in ("P", "CMYK") else mode)
        picture = picture.convert(mode)
    page = arted(picture, name=name)
    assert page.art is not None
    read = read_art(page.art.file, 1)
    assert read.mode == ("RGBA" if mode in ("LA", "RGBA") else "RGB")
    shade = decoded(preview_page(page, 72)).getpixel((30, 30))
    assert isinstance(shade, tuple)
    if mode == "1":  # a dither of black and white
        assert set(shade) <= set(range(256))
    else:
        assert all(abs(value - 128) < 12 for value in shade), shade


def test_clear_parts_of_the_art_show_white(arted: Callable[..., LetteredPage]) -> None:
    picture = Image.new("RGBA", (100, 100), (0, 0, 0, 0))
    picture.paste((255, 0, 0, 255), (0, 0, 50, 100))
    image = decoded(preview_page(arted(picture), 72))
    assert image.getpixel((10, 36)) == (255, 0, 0)
    assert image.getpixel((60, 36)) == (255, 255, 255)


def test_a_photo_is_turned_as_its_camera_says(arted: Callable[..., LetteredPage]) -> None:
    turned = Image.Exif()
    turned[0x0112] = 6  # the orientation tag of EXIF: turn a quarter clockwise
    picture = Image.new("RGB", (100, 50), (255, 255, 255))
    picture.paste((0, 0, 0), (0, 0, 50, 50))
    page = arted(picture, name="art.jpg", exif=turned, quality=95)
    assert page.art is not None and read_art(page.art.file, 1).size == (50, 100)
    image = decoded(preview_page(page, 72)).convert("L")
    assert image.getpixel((36, 5)) == pytest.approx(0, abs=6)
    assert image.getpixel((36, 66)) == pytest.approx(255, abs=6)


def test_a_large_scan_is_read_without_a_word(
    arted: Callable[..., LetteredPage], recwarn: pytest.WarningsRecorder
) -> None:
    limit = Image.MAX_IMAGE_PIXELS
    page = arted(Image.new("1", (20000, 10000)), name="art.tif", compression="group4")
    assert page.art is not None and read_art(page.art.file, 1).size == (20000, 10000)
    assert not recwarn.list
    assert limit == Image.MAX_IMAGE_PIXELS


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("art.png", b"", "this art file cannot be read. Save it again as PNG, TIFF or JPEG."),
        ("art.png", b"no picture", "this art file cannot be read. Save it again as"),
        ("art.svg", b"<svg/>", "this art file cannot be read. Save it again as"),
    ],
)
def test_art_that_is_no_picture_is_told(
    name: str, data: bytes, told: str, tmp_path: FilePath
) -> None:
    (tmp_path / name).write_bytes(data)
    with pytest.raises(LettererError) as error:
        read_art(tmp_path / name, 3)
    assert str(error.value).startswith(f"{tmp_path / name}, page 3: {told}")


def test_art_that_is_missing_or_a_folder_is_told(tmp_path: FilePath) -> None:
    with pytest.raises(LettererError, match=r"page 3: there is no such art file\. Check"):
        read_art(tmp_path / "art.png", 3)
    with pytest.raises(LettererError, match="page 3: this is a folder, not a picture"):
        read_art(tmp_path, 3)


def test_art_of_16_bits_a_colour_is_read(tmp_path: FilePath) -> None:
    png = pytest.importorskip("png")
    file = tmp_path / "art.png"
    rows = [[0xC8FF, 0x6400, 0x3280] * 30 for _ in range(20)]
    with file.open("wb") as stream:
        png.Writer(30, 20, greyscale=False, bitdepth=16).write(stream, rows)
    read = read_art(file, 1)
    assert (read.mode, read.size) == ("RGB", (30, 20))
    assert read.getpixel((7, 7)) == pytest.approx((0xC8, 0x64, 0x32), abs=1)


@pytest.mark.parametrize("name", ["art.jpg", "art.tif"])
def test_art_in_printing_colours_is_read(name: str, tmp_path: FilePath) -> None:
    picture = Image.new("CMYK", (40, 40), (0, 0, 0, 0))
    picture.paste((0, 255, 255, 0), (0, 0, 40, 20))  # magenta and yellow in full: red
    picture.save(tmp_path / name)
    read = read_art(tmp_path / name, 1)
    assert read.mode == "RGB"
    assert read.getpixel((5, 5)) == pytest.approx((255, 0, 0), abs=3)
    assert read.getpixel((5, 35)) == pytest.approx((255, 255, 255), abs=3)


@pytest.mark.parametrize("size", [(1, 1), (10, 30), (333, 222), (3000, 2000)])
@pytest.mark.parametrize("dpi", [None, (72, 72), (1200, 1200)])
def test_art_fills_its_box_whatever_its_size_and_resolution(
    size: tuple[int, int],
    dpi: tuple[int, int] | None,
    arted: Callable[..., LetteredPage],
) -> None:
    how = {} if dpi is None else {"dpi": dpi}
    page = arted(Image.new("RGB", size, (10, 200, 30)), Box(18, 36, 54, 72), **how)
    image = decoded(preview_page(page, 72))
    assert image.size == (72, 72)
    for at in [(18, 36), (53, 36), (18, 71), (53, 71), (36, 50)]:
        assert image.getpixel(at) == (10, 200, 30)
    for at in [(17, 50), (54, 50), (36, 35)]:
        assert image.getpixel(at) == (255, 255, 255)


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "JPEG"])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_art_cut_short_is_told(kind: str, share: float, tmp_path: FilePath) -> None:
    stream = io.BytesIO()
    chance = np.random.default_rng(2)
    Image.fromarray(chance.integers(0, 256, (90, 90, 3), dtype=np.uint8)).save(stream, kind)
    (tmp_path / "art").write_bytes(stream.getvalue()[: int(stream.tell() * share)])
    with pytest.raises(LettererError, match="page 3: this art file cannot be read"):
        read_art(tmp_path / "art", 3)


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "JPEG", "GIF", "BMP", "WEBP"])
def test_broken_art_is_told_or_read_but_never_fails_otherwise(
    kind: str, tmp_path: FilePath
) -> None:
    stream = io.BytesIO()
    chance = np.random.default_rng(1)
    noise = Image.fromarray(chance.integers(0, 256, (40, 40, 3), dtype=np.uint8))
    noise.save(stream, kind)
    whole = stream.getvalue()
    file = tmp_path / "art"
    told = 0
    for trial in range(60):
        data = bytearray(whole[: len(whole) * (trial % 6 + 1) // 6])
        for at in chance.integers(0, len(data), trial % 5):
            data[at] ^= int(chance.integers(1, 256))
        file.write_bytes(data)
        try:
            read_art(file, 1)
        except LettererError as error:
            assert "this art file cannot be read" in str(error) or "too large" in str(error)
            told += 1
    assert told > 10


def test_art_beyond_all_memory_is_refused(tmp_path: FilePath) -> None:
    file = tmp_path / "art.png"
    header = struct.pack(">IIBBBBB", 100_000, 100_000, 8, 2, 0, 0, 0)

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    data = chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    file.write_bytes(b"\x89PNG\r\n\x1a\n" + data)
    with pytest.raises(LettererError, match="100000 by 100000 pixels, too large to be read"):
        read_art(file, 1)


# --- Skia -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("message", "told"),
    [
        (
            "libEGL.so.1: cannot open shared object file: No such file or directory",
            "PNG pages need the system library libEGL.so.1, which is missing. Install it, on Debian"
            " or Ubuntu with: apt-get install libegl1.",
        ),
        (
            "libGL.so.1: cannot open shared object file: No such file or directory",
            "PNG pages need the system library libGL.so.1, which is missing. Install it, on Debian"
            " or Ubuntu with: apt-get install libgl1.",
        ),
        (
            "No module named 'skia'",
            "PNG pages need the package skia-python, which cannot be loaded (No module named"
            " 'skia'). Install it with: pip install skia-python.",
        ),
    ],
)
def test_what_is_missing_for_skia_is_named(message: str, told: str) -> None:
    assert str(skia_fault(message)) == told
