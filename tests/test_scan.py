"""Scans brought back: the straightened art, the layout, points by hand, and what is refused."""

from __future__ import annotations

import json
import struct
import zlib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageDraw

from letterer.api import read_layout
from letterer.errors import LettererError
from letterer.geometry import Box, Point
from letterer.model.plan import PageFormat
from letterer.out.guide_marks import HEAD, RADIUS, marks_of
from letterer.scan import ScanWanted, align_scan

TRIM, BLEED, LIVE = Box(0, 0, 180, 240), Box(-9, -9, 189, 249), Box(18, 18, 162, 222)
MARKS = marks_of(PageFormat(TRIM, BLEED, LIVE))
PIXELS = 2.0
SHIFT = 60.0
SIZE = (520, 640)
LAYOUT = """{
  "letterer": 1, "unit": "pt",
  "page": {"trim": [180, 240], "bleed": 9, "live": 18},
  "note": "kept  as  it is",
  "pages": [
    {"page": 1, "panels": []},
    {"page": 2, "art": {"covers": "bleed",   "file": "two.png", "note": "mine"}, "panels": []}
  ]
}
"""
DOTS = [Point(0, 0), Point(180, 0), Point(90, 120), Point(40, 200), Point(180, 240)]
"""Places of the page where a dot is drawn."""


def at(point: Point) -> tuple[float, float]:
    """Where a point of the page is on the flat sheet, in pixels."""
    return point.x * PIXELS + SHIFT, point.y * PIXELS + SHIFT


@cache
def sheet(gone: int | None = None) -> Any:
    """A flat sheet with marks, and a dot at each of DOTS."""
    picture = Image.new("L", (SIZE[0] * 4, SIZE[1] * 4), 255)
    pen = ImageDraw.Draw(picture)

    def disc(place: Point, radius: float, color: int) -> None:
        x, y = at(place)
        q = radius * PIXELS
        pen.ellipse(((x - q) * 4, (y - q) * 4, (x + q) * 4, (y + q) * 4), fill=color)

    for place, mark in enumerate(MARKS):
        for share, color in ((1.0, 0), (0.68, 255), (0.36, 0)):
            if place != gone:
                disc(mark, RADIUS * share, color)
    ends = [
        at(MARKS[0].shifted(x, y)) for x, y in ((HEAD.left, HEAD.top), (HEAD.right, HEAD.bottom))
    ]
    pen.rectangle([value * 4 for end in ends for value in end], fill=0)
    for dot in DOTS:
        disc(dot, 2.0, 0)
    return picture.resize(SIZE, Image.Resampling.BOX)


def turned(picture: Any, degrees: float) -> Any:
    """A picture turned clockwise about its middle."""
    return picture.rotate(-degrees, Image.Resampling.BICUBIC, fillcolor=255)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a layout and a scan."""
    (tmp_path / "layout.json").write_text(LAYOUT, "utf-8")
    turned(sheet(), 2.0).save(tmp_path / "scan.png")
    return tmp_path


def opened(picture: Path) -> Any:
    """A picture, read and closed again."""
    with Image.open(picture) as found:
        found.load()
        return found


def dots_off(picture: Path) -> float:
    """How far, in mm, the dots of a straightened picture are from where they should be, at most."""
    read = opened(picture)
    dark = 255.0 - np.asarray(read.convert("L"), dtype=float)
    scale = (read.width / BLEED.width + read.height / BLEED.height) / 2
    worst = 0.0
    for dot in DOTS:
        x, y = (dot.x - BLEED.left) * scale, (dot.y - BLEED.top) * scale
        q = round(4 * scale)
        left, top = round(x) - q, round(y) - q
        cut = dark[top : top + 2 * q, left : left + 2 * q]
        columns, rows = np.arange(cut.shape[1]) + 0.5 + left, np.arange(cut.shape[0]) + 0.5 + top
        middle = (cut.sum(0) @ columns / cut.sum(), cut.sum(1) @ rows / cut.sum())
        worst = max(worst, float(np.hypot(middle[0] - x, middle[1] - y)) / scale * 25.4 / 72)
    return worst


def test_a_scan_is_straightened_and_put_into_the_layout(folder: Path) -> None:
    scan = (folder / "scan.png").read_bytes()
    made = align_scan(folder / "scan.png", folder / "layout.json", ScanWanted(1))
    assert made.picture == folder / "scan-page-001.png"
    assert (folder / "scan.png").read_bytes() == scan
    art = read_layout(folder / "layout.json").pages[0].art
    assert art is not None and art.file == made.picture and art.box == BLEED
    picture = opened(made.picture)
    assert picture.mode == "L"
    assert picture.size == (396, 516)
    assert picture.info["dpi"] == pytest.approx((144, 144), abs=0.1)
    assert dots_off(made.picture) < 0.1
    assert "turned by 2.0" in made.told[0] and "clockwise" in made.told[0]


def test_the_two_files_the_wrong_way_round_are_told(folder: Path) -> None:
    before = (folder / "layout.json").read_bytes()
    with pytest.raises(LettererError, match="the scan comes first, then the layout") as told:
        align_scan(folder / "layout.json", folder / "scan.png", ScanWanted(1))
    assert "Write letterer scan scan.png layout.json" in str(told.value)
    assert (folder / "layout.json").read_bytes() == before


def test_every_other_byte_of_the_layout_stays(folder: Path) -> None:
    align_scan(folder / "scan.png", folder / "layout.json", ScanWanted(1))
    now = (folder / "layout.json").read_text("utf-8")
    art = ', "art": {"file": "scan-page-001.png", "box": [-9, -9, 198, 258]}'
    assert now == LAYOUT.replace('"panels": []}', '"panels": []' + art + "}", 1)


def test_art_that_is_there_gives_way_and_its_note_stays(folder: Path) -> None:
    align_scan(folder / "scan.png", folder / "layout.json", ScanWanted(2, out=folder / "art/b.tif"))
    told = json.loads((folder / "layout.json").read_text("utf-8"))
    assert told["pages"][1]["art"] == {
        "file": "art/b.tif",
        "note": "mine",
        "box": [-9, -9, 198, 258],
    }
    assert dots_off(folder / "art/b.tif") < 0.1


def test_a_second_scan_takes_the_place_of_the_first(folder: Path) -> None:
    for _ in range(2):
        made = align_scan(folder / "scan.png", folder / "layout.json", ScanWanted(1))
    assert dots_off(made.picture) < 0.1


def test_points_by_hand(folder: Path) -> None:
    for gone, of in ((0, "marks"), (0, "trim")):
        sheet(gone).save(folder / "scan.png")
        corners = (
            MARKS
            if of == "marks"
            else [Point(x, y) for x, y in ((0, 0), (180, 0), (180, 240), (0, 240))]
        )
        points = tuple(at(mark) for mark in corners)
        out = folder / f"{of}.png"
        made = align_scan(
            folder / "scan.png", folder / "layout.json", ScanWanted(1, points, of, out)
        )
        assert dots_off(made.picture) < 0.05


def test_a_photograph_is_told_and_straightened_all_the_same(folder: Path) -> None:
    flat = sheet()
    # From a pixel of the photograph to one of the sheet: (a x + b y + c) / (g x + h y + 1), ...
    rows = (1.02, 0.02, -12.0, 0.015, 1.01, -9.0, 4e-5, 3e-5)
    seen = flat.transform(
        (560, 690), Image.Transform.PERSPECTIVE, rows, Image.Resampling.BICUBIC, 1, 255
    )
    seen.save(folder / "scan.png")
    made = align_scan(folder / "scan.png", folder / "layout.json", ScanWanted(1))
    assert not made.map.affine
    assert any("photograph" in line for line in made.told)
    assert dots_off(made.picture) < 0.1


def test_sixteen_bits_and_colour(folder: Path) -> None:
    grey = np.asarray(sheet())
    deep = Image.fromarray(grey.astype(np.uint16) * 257)
    deep.save(folder / "scan.png")
    made = align_scan(folder / "scan.png", folder / "layout.json", ScanWanted(1))
    assert dots_off(made.picture) < 0.1
    colour = np.dstack([grey, grey, grey])
    colour[200:260, 200:260] = (169, 220, 244)  # a patch of the guide's blue
    Image.fromarray(colour).save(folder / "colour.png")
    for blue_out, mode in ((False, "RGB"), (True, "L")):
        out = folder / f"{mode}.png"
        wanted = ScanWanted(1, out=out, blue_out=blue_out)
        align_scan(folder / "colour.png", folder / "layout.json", wanted)
        picture = opened(out)
        assert picture.mode == mode
        pixel = picture.getpixel((230 - 60 + 18, 230 - 60 + 18))
        assert (pixel > 235) if blue_out else pixel != (255, 255, 255)


def test_fewer_pixels_keep_fine_lines(folder: Path) -> None:
    made = align_scan(folder / "scan.png", folder / "layout.json", ScanWanted(1, dpi=72))
    assert opened(made.picture).size == (198, 258)
    assert dots_off(made.picture) < 0.2


def bomb(side: int) -> bytes:
    """A small PNG that says it is very large."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    data = zlib.compress(bytes(1000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


POINTS = ((10.0, 10.0), (500.0, 10.0), (500.0, 600.0), (10.0, 600.0))


@pytest.mark.parametrize(
    ("make", "wanted", "told"),
    [
        (None, ScanWanted(1), "there is no such scan"),
        (b"no picture", ScanWanted(1), "this scan file cannot be read"),
        (bomb(60_000), ScanWanted(1), "60000 by 60000 pixels, too large"),
        (sheet(2), ScanWanted(1), "the bottom right mark is missing"),
        (Image.new("L", (50, 50), 255), ScanWanted(1), "too few to find marks in"),
        (sheet(), ScanWanted(9), "the layout has no page 9"),
        (sheet(), ScanWanted(1, dpi=3), "3 dpi is out of range"),
        (sheet(), ScanWanted(1, POINTS[:3]), "--marks has 3 points"),
        (sheet(), ScanWanted(1, ((-5.0, 0.0), *POINTS[1:])), "is not in this scan"),
        (sheet(), ScanWanted(1, POINTS[::-1]), "do not go round the page"),
        (sheet(), ScanWanted(1, of="trim"), "needs four points"),
        (sheet(), ScanWanted(1, POINTS, "gutter"), 'cannot be corners of "gutter"'),
        (sheet(), ScanWanted(1, ((10, 10), (500, 10), (500, 300), (10, 300))), "do not fit this"),
        (sheet(), ScanWanted(1, out=Path("art.jpg")), "which lose nothing"),
    ],
)
def test_bad_scans_are_told_and_the_layout_stays(
    tmp_path: Path, make: Any, wanted: ScanWanted, told: str
) -> None:
    scan, layout = tmp_path / "scan.png", tmp_path / "layout.json"
    layout.write_text(LAYOUT, "utf-8")
    if isinstance(make, bytes):
        scan.write_bytes(make)
    elif make is not None:
        make.save(scan)
    before = sorted(tmp_path.iterdir())
    with pytest.raises(LettererError) as error:
        align_scan(scan, layout, wanted)
    assert told in str(error.value)
    assert layout.read_text("utf-8") == LAYOUT
    assert sorted(tmp_path.iterdir()) == before


def test_no_file_of_the_person_is_written_over(folder: Path) -> None:
    scan, layout = folder / "scan.png", folder / "layout.json"
    before = scan.read_bytes()
    with pytest.raises(LettererError, match="written over the scan"):
        align_scan(scan, layout, ScanWanted(1, out=scan))
    (folder / "two.png").write_bytes(before)
    for page in (1, 2):  # the art of another page, and a picture that is none of ours
        with pytest.raises(LettererError, match=r"art of page 2|picture of this name already"):
            align_scan(scan, layout, ScanWanted(page, out=folder / "two.png"))
    assert scan.read_bytes() == (folder / "two.png").read_bytes() == before
    assert layout.read_text("utf-8") == LAYOUT


def test_a_layout_that_cannot_be_saved_leaves_no_picture(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from letterer.model.layout_file import LayoutFile

    def refused(self: LayoutFile, path: object = None) -> LayoutFile:
        raise KeyboardInterrupt

    monkeypatch.setattr(LayoutFile, "save", refused)
    with pytest.raises(KeyboardInterrupt):
        align_scan(folder / "scan.png", folder / "layout.json", ScanWanted(1))
    assert not (folder / "scan-page-001.png").exists()
