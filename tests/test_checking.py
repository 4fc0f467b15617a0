"""What looking over says of the art's file: its shape, its pixels, whether it can be read."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from letterer.checking import Wanted, check
from letterer.page.lettered import Severity

SCRIPT = "PAGE 1\nPANEL 1\nNELL: The lamp is out.\n"
Book = Callable[..., tuple[Path, Path]]


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A function: script and layout of a page 100 by 150 mm whose art is of a name."""

    def made(art: str, **keys: Any) -> tuple[Path, Path]:
        script, layout = tmp_path / "script.txt", tmp_path / "layout.json"
        script.write_text(SCRIPT, "utf-8")
        page = {
            "page": 1,
            "art": {"file": art, "covers": "trim"},
            "panels": [{"panel": 1, "box": [10, 10, 80, 130], "mouths": {"NELL": [40, 70]}}],
            "placements": [{"unit": "1.1.1", "center": [45, 40]}],
            **keys,
        }
        whole = {"letterer": 1, "unit": "mm", "page": {"trim": [100, 150]}, "pages": [page]}
        layout.write_text(json.dumps(whole), "utf-8")
        return script, layout

    return made


def told(files: tuple[Path, Path], picture: Path | None = None) -> list[tuple[str, str]]:
    """The findings about art: severity and words."""
    every = check(*files, Wanted(picture=picture)).reviewed.every
    return [(one.finding.severity, str(one.finding)) for one in every if one.finding.kind == "art"]


def test_art_of_the_right_shape_is_no_matter(book: Book, tmp_path: Path) -> None:
    Image.new("L", (800, 1200), 200).save(tmp_path / "art.png")
    assert told(book("art.png")) == []
    # Lying in the file, upright by its tag.
    exif = Image.Exif()
    exif[274] = 6
    Image.new("L", (1200, 800), 200).save(tmp_path / "turned.jpg", exif=exif)
    assert told(book("turned.jpg")) == []
    assert told(book("not-drawn-yet.png")) == []


@pytest.mark.parametrize(
    ("size", "says"),
    [
        ((1200, 1200), "art.png: this art of 1200 by 1200 pixels is stretched"),
        ((200, 300), "art.png: this art has 51 pixels an inch"),
    ],
)
def test_art_of_the_wrong_size(
    book: Book, tmp_path: Path, size: tuple[int, int], says: str
) -> None:
    Image.new("L", size, 200).save(tmp_path / "art.png")
    ((severity, words),) = told(book("art.png"))
    assert severity is Severity.WARNING
    assert says in words
    why = [{"finding": "art", "because": "it is a sketch"}]
    assert check(*book("art.png", accepted=why), Wanted()).worst is None


def test_art_that_cannot_be_read_is_a_finding_and_the_page_is_drawn(
    book: Book, tmp_path: Path
) -> None:
    (tmp_path / "art.png").write_text("no picture", "utf-8")
    files = book("art.png")
    for picture in (None, tmp_path / "out" / "check.png"):
        ((severity, words),) = told(files, picture)
        assert severity is Severity.PROBLEM
        assert "art.png: this art file cannot be read. Save it again" in words
    assert (tmp_path / "out" / "check-001.png").exists()


@pytest.mark.parametrize("mode", ["I;16", "RGB", "RGBA", "CMYK", "1"])
def test_art_of_any_colours_is_drawn(book: Book, tmp_path: Path, mode: str) -> None:
    Image.new(mode, (800, 1200)).save(tmp_path / "art.tif")
    assert told(book("art.tif"), tmp_path / "check.png") == []
