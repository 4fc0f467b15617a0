"""Sheets to draw on: true size by an unrelated reader of PDF, the bar, the marks, tiles."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image

from letterer import craft
from letterer.errors import LettererError
from letterer.geometry import Box
from letterer.guide import GuideWanted, make_guides
from letterer.out.guide_marks import RADIUS, marks_of
from letterer.out.guide_pdf import pdf_sheets
from letterer.out.guide_sheet import on_paper, whole_of
from letterer.out.guide_tiles import OVERLAP, PAPERS, tile_page, tiles_over
from letterer.text.faces import library

SCRIPT = "PAGE 1\nPANEL 1\nNELL: The lamp is out.\nTOM: Is it?\n\nPAGE 2\nPANEL 1\nNELL: Yes.\n"
TRIM = [240, 300]


def page(number: int, *placed: str) -> dict[str, object]:
    """A page with one panel, and units in its corner."""
    return {
        "page": number,
        "panels": [{"panel": 1, "box": [18, 18, 204, 264], "mouths": {"NELL": [80, 200]}}],
        "keep_clear": [{"name": "her face", "box": [60, 170, 50, 60]}],
        "placements": [{"unit": unit, "corner": "top left"} for unit in placed],
    }


@pytest.fixture
def book(tmp_path: Path) -> tuple[Path, Path]:
    """A script and a layout in a folder."""
    script, layout = tmp_path / "script.txt", tmp_path / "layout.json"
    script.write_text(SCRIPT, "utf-8")
    pages = [page(1, "1.1.1"), page(2, "2.1.1")]
    told = {
        "letterer": 1,
        "unit": "pt",
        "page": {"trim": TRIM, "bleed": 9, "live": 18},
        "pages": pages,
    }
    layout.write_text(json.dumps(told), "utf-8")
    return script, layout


def rendered(pdf: Path, dpi: int, find: Callable[[str], str]) -> list[Image.Image]:
    """The pages of a PDF as Poppler draws them."""
    stem = pdf.with_suffix("")
    subprocess.run([find("pdftoppm"), "-r", str(dpi), "-png", str(pdf), str(stem)], check=True)
    return [opened(file).convert("RGB") for file in sorted(pdf.parent.glob("*-*.png"))]


def opened(file: Path) -> Image.Image:
    """A picture, read and closed again."""
    with Image.open(file) as found:
        found.load()
        return found


@pytest.mark.parametrize("scale", [1.0, 1.5])
def test_a_pdf_is_of_true_size_and_its_marks_and_bar_are_where_they_should(
    book: tuple[Path, Path], tmp_path: Path, reference_tool: Callable[[str], str], scale: float
) -> None:
    """Poppler draws it; the bar is measured in its pixels."""
    out = tmp_path / "out" / "guide.pdf"
    make_guides(*book, out, GuideWanted(scale=scale))
    first, second = rendered(out, 144, reference_tool)
    from letterer.api import read_layout

    format = read_layout(book[1]).format
    whole = whole_of(format, scale)
    assert first.size == pytest.approx((whole.width * 2, whole.height * 2), abs=1.5)
    assert second.size == first.size
    dark = np.asarray(first).max(axis=2) < 100
    for mark in marks_of(format):
        x, y = (mark.x * scale - whole.left) * 2, (mark.y * scale - whole.top) * 2
        reach = int(RADIUS * scale * 2 * 1.3)
        cut = dark[int(y) - reach : int(y) + reach, int(x) - reach : int(x) + reach]
        rows, columns = np.nonzero(cut)
        assert np.mean(rows) + int(y) - reach == pytest.approx(y, abs=1.5)
        assert np.mean(columns) + int(x) - reach == pytest.approx(x, abs=1.5)
    foot = dark[int(first.height - 2 * 18) : int(first.height - 2 * 16)]
    columns = np.flatnonzero(foot.all(axis=0) | (foot.sum(axis=0) > 0))
    run = (
        columns[: np.argmax(np.diff(columns) > 3) + 1] if (np.diff(columns) > 3).any() else columns
    )
    assert len(run) / 2 == pytest.approx(50 / 25.4 * 72, abs=1.5)


def test_ghosts_are_pale_blue_and_drop_out_of_a_scan(
    book: tuple[Path, Path], tmp_path: Path
) -> None:
    """All that is neither mark, bar nor caution is lighter than a scan's threshold, and nearly as
    light as paper in the blue channel."""
    made = make_guides(*book, tmp_path / "guide.png", GuideWanted(pages=(1,), dpi=100))
    (file,) = made.files
    assert file.name == "guide-001.png"
    picture = opened(file)
    assert picture.info["dpi"] == pytest.approx((100, 100), abs=0.1)
    whole = np.asarray(picture.convert("RGB")).astype(int)
    inner = whole[10:-65, 60:-60]  # within the bleed
    blue = (inner[..., 2] - inner[..., 0]) > 30
    assert blue.sum() > 500
    grey = np.asarray(picture.convert("L"))[10:-65, 60:-60]
    assert grey.min() > 160
    assert inner[..., 2].min() > 230


def test_units_without_a_place_are_told(book: tuple[Path, Path], tmp_path: Path) -> None:
    made = make_guides(*book, tmp_path / "guide.pdf")
    assert any(line.startswith("1.1.2 has no place yet") for line in made.told)


def test_the_same_sheets_give_the_same_bytes(book: tuple[Path, Path], tmp_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        make_guides(*book, tmp_path / name, GuideWanted(paper="a4", scale=2.0))
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    assert pdf_sheets([], "none").startswith(b"%PDF-1.7")


def test_a_pdf_is_sound_and_asks_to_be_printed_at_full_size(
    book: tuple[Path, Path], tmp_path: Path
) -> None:
    """By pikepdf: ISO 32000-1, 12.2, "PrintScaling"."""
    make_guides(*book, tmp_path / "guide.pdf", GuideWanted(pages=(1,), paper="a4", scale=2.0))
    with pikepdf.open(tmp_path / "guide.pdf") as read:
        assert not read.check_pdf_syntax()
        assert read.Root.ViewerPreferences.PrintScaling == "/None"
        for page in read.pages:
            sides = [float(value) for value in page.MediaBox]
            assert sides[:2] == [0, 0]
            assert sorted(sides[2:]) == pytest.approx(sorted(PAPERS["a4"]), abs=0.01)


def test_what_is_said_at_a_glue_line_keeps_off_the_edge_that_a_printer_leaves_white() -> None:
    faces = library(())
    whole = Box(0, 0, 1000, 1300)
    empty = on_paper(1, [], whole)
    tiles = tiles_over(whole, "letter")
    said = 0
    for tile in tiles:
        for unit in tile_page(empty, tile, "Page 1", faces).units:
            if "here" in unit.words:
                said += 1
                assert tile.window.contains(unit.ink)
    assert said == 2 * (2 * len(tiles) - tiles[0].rows - tiles[0].columns)


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("size", [(500, 700), (900, 1300), (820, 560), (2000, 300)])
def test_tiles_cover_the_sheet_and_overlap(paper: str, size: tuple[int, int]) -> None:
    whole = Box(-30, -20, -30 + size[0], -20 + size[1])
    tiles = tiles_over(whole, paper)
    assert [tile.number for tile in tiles] == list(range(1, len(tiles) + 1))
    assert min(tile.window.left for tile in tiles) <= whole.left
    assert max(tile.window.bottom for tile in tiles) >= whole.bottom
    for tile in tiles:
        assert sorted((tile.paper.width, tile.paper.height)) == pytest.approx(sorted(PAPERS[paper]))
        if tile.column + 1 < tile.columns:
            right = tiles[tile.number]
            assert tile.window.right - right.window.left == pytest.approx(OVERLAP)
        if tile.row + 1 < tile.rows:
            under = tiles[tile.number - 1 + tile.columns]
            assert tile.window.bottom - under.window.top == pytest.approx(OVERLAP)


def test_a_sheet_that_fits_its_paper_is_one_tile() -> None:
    width, height = PAPERS["a4"]
    edge = 2 * craft.GUIDE_PAPER_EDGE_POINTS
    assert len(tiles_over(Box(0, 0, width - edge, height - edge), "a4")) == 1
    assert len(tiles_over(Box(0, 0, height - edge, width - edge), "a4")) == 1
    assert len(tiles_over(Box(0, 0, width - edge + 1, height - edge), "a4")) == 2


def test_tiles_put_together_are_the_sheet(
    book: tuple[Path, Path], tmp_path: Path, reference_tool: Callable[[str], str]
) -> None:
    """Poppler draws tiles and sheet; where a tile lies, its black is the sheet's."""
    from letterer.api import read_layout

    wanted = GuideWanted(pages=(1,), scale=3.0)
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    make_guides(*book, tmp_path / "a" / "g.pdf", wanted)
    make_guides(*book, tmp_path / "b" / "g.pdf", GuideWanted((1,), 3.0, "letter"))
    (sheet,) = rendered(tmp_path / "a" / "g.pdf", 36, reference_tool)
    tiles = rendered(tmp_path / "b" / "g.pdf", 36, reference_tool)
    whole = whole_of(read_layout(book[1]).format, 3.0)
    places = tiles_over(whole, "letter")
    assert len(tiles) == len(places) > 1
    black = np.asarray(sheet.convert("L")) < 90
    seen = np.zeros_like(black)
    for tile, place in zip(tiles, places, strict=True):
        dark = np.asarray(tile.convert("L")) < 90
        rows, columns = np.nonzero(dark)
        y = np.floor(rows + (place.paper.top - whole.top) / 2 + 0.5).astype(int)
        x = np.floor(columns + (place.paper.left - whole.left) / 2 + 0.5).astype(int)
        kept = (y >= 0) & (x >= 0) & (y < black.shape[0]) & (x < black.shape[1])
        seen[y[kept], x[kept]] = True
    grown = black.copy()
    for axis in (0, 1):
        for step in (-1, 1):
            grown |= np.roll(black, step, axis)
    assert (seen & grown).sum() / max(int(seen.sum()), 1) > 0.97
    assert seen.sum() > 0.8 * black.sum()


@pytest.mark.parametrize(
    ("wanted", "told"),
    [
        (GuideWanted(scale=9.0), "--scale cannot be 9"),
        (GuideWanted(paper="a0"), '--paper cannot be "a0"'),
        (GuideWanted(dpi=5), "5 dpi is out of range"),
        (GuideWanted(pages=(7,)), "do not both have this page"),
        (GuideWanted(fonts=(Path("nowhere"),)), "no such folder of faces"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_is_written(
    book: tuple[Path, Path], tmp_path: Path, wanted: GuideWanted, told: str
) -> None:
    with pytest.raises(LettererError, match=told):
        make_guides(*book, tmp_path / "out" / "guide.pdf", wanted)
    assert not (tmp_path / "out").exists()


def test_no_file_of_the_person_is_written_over(book: tuple[Path, Path], tmp_path: Path) -> None:
    with pytest.raises(LettererError, match=r"is \.pdf or \.png"):
        make_guides(*book, book[1])
    art = tmp_path / "guide-001.png"
    art.write_bytes(b"art")
    told = json.loads(book[1].read_text("utf-8"))
    told["pages"][0]["art"] = {"file": "guide-001.png", "covers": "bleed"}
    book[1].write_text(json.dumps(told), "utf-8")
    with pytest.raises(LettererError, match="would be written over the art of page 1"):
        make_guides(*book, tmp_path / "guide.png", GuideWanted(pages=(1,), dpi=72))
    assert art.read_bytes() == b"art"


def test_a_page_longer_than_any_paper_is_refused_with_a_scale_that_would_do(
    book: tuple[Path, Path], tmp_path: Path
) -> None:
    told = json.loads(book[1].read_text("utf-8"))
    told["page"]["trim"] = [240, 3600]
    book[1].write_text(json.dumps(told), "utf-8")
    with pytest.raises(
        LettererError, match=r"needs a sheet 1\.9 m long. Write --scale 1\.3"
    ) as one:
        make_guides(*book, tmp_path / "guide.pdf")
    scale = float(str(one.value).split("--scale ")[1].split(",")[0])
    make_guides(*book, tmp_path / "guide.pdf", GuideWanted(pages=(2,), scale=scale))
