"""Our layered picture against the OpenRaster specification (0.0.5) and another reader, pyora.

The specification (as published by its working group, from memory): `mimetype` is the first entry
and is not packed; `stack.xml` lists layers from the top down; `mergedimage.png` is the picture as
the layers show it; `Thumbnails/thumbnail.png` is at most 256 pixels wide or high.
"""

from __future__ import annotations

import io
import subprocess
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image, ImageCms

from letterer.api import compose
from letterer.geometry import Box
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Art
from letterer.model.script_reader import parse_script
from letterer.out.layered import layered_page
from letterer.out.raster import draw_page
from letterer.page.lettered import LetteredPage

LAYOUT = """{"letterer": 1, "unit": "pt", "page": {"trim": [180, 180], "bleed": 9, "live": 9},
"pages": [{"page": 1, "panels": [{"panel": 1, "box": [9, 9, 162, 162]}], "placements": [
{"unit": "1.1.1", "center": [60, 50], "tails": [[60, 90]]},
{"unit": "1.1.2", "box": [70, 90, 90, 50]}, {"unit": "1.1.3", "corner": "bottom left"}]}]}"""
SCRIPT = "PAGE 1\nPANEL 1\nNELL: The lamp is out.\nSFX: Krrang!\nCAPTION: Low Harbour.\n"
DPI = 144
SIZE = (396, 396)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> LetteredPage:
    """A page of 198 pt with its bleed, over art that leaves its left and lower edge open."""
    art = tmp_path_factory.mktemp("art") / "art.png"
    Image.new("RGB", (50, 70), (200, 120, 40)).save(art)
    made = compose(parse_script(SCRIPT), parse_layout(LAYOUT)).pages[0]
    return replace(made, art=Art(art, Box(41, -59, 289, 91)))


@pytest.fixture(scope="module")
def data(page: LetteredPage) -> bytes:
    return layered_page(page, DPI)


def picture(data: bytes, name: str) -> Image.Image:
    with zipfile.ZipFile(io.BytesIO(data)) as file:
        return Image.open(io.BytesIO(file.read(name))).convert("RGBA")


def test_the_file_is_as_the_specification_says(data: bytes) -> None:
    # The ZIP's first bytes tell its kind: local header, name of 8 letters, no extra field, stored.
    assert data[:4] == b"PK\x03\x04" and data[8:10] == b"\0\0"
    assert data[26:54] == b"\x08\0\0\0mimetypeimage/openraster"
    with zipfile.ZipFile(io.BytesIO(data)) as file:
        assert file.testzip() is None
        names = file.namelist()
        root = ElementTree.fromstring(file.read("stack.xml"))
        assert {entry.date_time for entry in file.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        for name in names:
            if name.endswith(".png"):
                Image.open(io.BytesIO(file.read(name))).verify()
    assert root.tag == "image" and root.get("version") == "0.0.5"
    assert (root.get("w"), root.get("h"), root.get("xres")) == ("396", "396", "144")
    layers = root.findall("./stack/layer")
    assert [layer.get("name") for layer in layers] == ["effects", "words", "balloons", "art"]
    sources = [layer.get("src") for layer in layers]
    assert sorted([*map(str, sources), "mimetype", "stack.xml"]) == sorted(
        set(names) - {"mergedimage.png", "Thumbnails/thumbnail.png"}
    )
    assert picture(data, "mergedimage.png").size == SIZE
    assert max(picture(data, "Thumbnails/thumbnail.png").size) == 256


def test_another_library_reads_it_back(
    data: bytes, page: LetteredPage, reference_module: Callable[[str], ModuleType], tmp_path: Path
) -> None:
    path = tmp_path / "page.ora"
    path.write_bytes(data)
    project: Any = reference_module("pyora").Project.load(str(path))
    assert project.dimensions == SIZE
    by_name = {layer.name: layer for layer in project.children}
    assert set(by_name) == {"art", "balloons", "words", "effects"}
    # The art's box is 41 to 189 pt and -9 to 91 pt within the bleed, which begins at -9.
    assert by_name["art"].offsets == (100, 0)
    assert by_name["art"].dimensions == (296, 200)
    effect = page.unit("1.1.2")
    assert effect is not None
    left, top = by_name["effects"].offsets
    assert left == pytest.approx((effect.ink.left + 9) * 2, abs=8)
    assert top == pytest.approx((effect.ink.top + 9) * 2, abs=8)
    # Its own composite of the layers, and ours.
    theirs = np.asarray(reference_module("pyora").Render.Renderer(project).render(), dtype=int)
    ours = np.asarray(picture(data, "mergedimage.png"), dtype=int)
    clear = (ours[:, :, 3] == 0) & (theirs[:, :, 3] == 0)
    assert np.abs(theirs - ours)[~clear].max() <= 2


def test_the_layers_together_are_the_page(data: bytes, page: LetteredPage) -> None:
    ground = Image.new("RGBA", SIZE)
    ground.paste((200, 120, 40, 255), (100, 0, 396, 200))
    ground.alpha_composite(Image.fromarray(draw_page(page, DPI), "RGBA"))
    merged = np.asarray(picture(data, "mergedimage.png"), dtype=int)
    wanted = np.asarray(ground, dtype=int)
    shown = wanted[:, :, 3] > 0
    assert (shown == (merged[:, :, 3] > 0)).all()
    # Soft edges of two shapes on one pixel may be rounded twice.
    assert np.abs(merged - wanted)[shown].max() <= 3


def test_the_same_page_gives_the_same_bytes(data: bytes, page: LetteredPage) -> None:
    assert layered_page(page, DPI) == data


def odd_profile() -> bytes:
    """The profile of a screen whose red light is blue and whose blue light is red."""
    made = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    rows = {
        bytes(made[at : at + 4]): at + 4
        for at in range(132, 132 + 12 * int.from_bytes(made[128:132], "big"), 12)
    }
    red, blue = rows[b"rXYZ"], rows[b"bXYZ"]
    made[red : red + 8], made[blue : blue + 8] = made[blue : blue + 8], made[red : red + 8]
    return bytes(made)


def test_every_picture_tells_how_its_colours_are_meant(
    page: LetteredPage, tmp_path: Path, reference_tool: Callable[[str], str]
) -> None:
    """openraster.org, "PNG Data Requirements" (a proposal): colour management chunks in each PNG,
    the thumbnail in sRGB, with the chunks of the PNG specification for it."""
    art, profile = tmp_path / "art.png", odd_profile()
    Image.new("RGB", (50, 70), (250, 60, 30)).save(art, icc_profile=profile)
    assert page.art is not None
    data = layered_page(replace(page, art=Art(art, page.art.box)), DPI)
    with zipfile.ZipFile(io.BytesIO(data)) as file:
        for name in file.namelist():
            if not name.endswith(".png"):
                continue
            (tmp_path / "one.png").write_bytes(file.read(name))
            check = [reference_tool("pngcheck"), "-v", str(tmp_path / "one.png")]
            told = subprocess.run(check, capture_output=True, text=True, check=False)
            assert told.returncode == 0, told.stdout
            opened = Image.open(io.BytesIO(file.read(name)))
            if name.startswith("Thumbnails"):
                assert "chunk sRGB" in told.stdout and "icc_profile" not in opened.info
            else:
                assert opened.info["icc_profile"] == profile
    # The art's numbers are kept; shown by its profile it is blue, which the thumbnail is.
    assert picture(data, "mergedimage.png").getpixel((250, 20)) == (250, 60, 30, 255)
    shown = picture(data, "Thumbnails/thumbnail.png").getpixel((160, 12))
    assert isinstance(shown, tuple) and shown[2] > 220 > 100 > shown[0]


def test_art_without_a_profile_claims_none(data: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(data)) as file:
        merged = file.read("mergedimage.png")
    assert not any(name in merged for name in (b"iCCP", b"sRGB", b"gAMA"))
