"""Pages for the screen, from files to files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image

from letterer.errors import LettererError
from letterer.screen import ScreenWanted, make_screens

SCRIPT = "PAGE 1\nPANEL 1\nNELL: The lamp is out.\nPANEL 2\nTOM: No.\n\nPAGE 2\nPANEL 1\nTOM: Oh.\n"


@pytest.fixture
def story(tmp_path: Path) -> Path:
    """A folder with a script and the layout of a long page, with a gutter from 240 to 260 pt."""
    panels = [{"panel": 1, "box": [0, 0, 200, 240]}, {"panel": 2, "box": [0, 260, 200, 340]}]
    layout = {
        "letterer": 1,
        "unit": "pt",
        "page": {"trim": [200, 600], "bleed": 0, "live": 9},
        "pages": [
            {
                "page": 1,
                "art": {"file": "art.png", "covers": "trim"},
                "panels": panels,
                "placements": [
                    {"unit": "1.1.1", "center": [100, 60], "tails": []},
                    {"unit": "1.2.1", "center": [100, 400], "tails": []},
                ],
            },
            {"page": 2, "placements": [{"unit": "2.1.1", "center": [100, 60], "tails": []}]},
        ],
    }
    (tmp_path / "script.txt").write_text(SCRIPT, "utf-8")
    (tmp_path / "layout.json").write_text(json.dumps(layout), "utf-8")
    Image.new("RGB", (100, 300), (240, 220, 120)).save(tmp_path / "art.png")
    return tmp_path


def made(story: Path, wanted: ScreenWanted | None = None) -> tuple[list[str], tuple[str, ...]]:
    done = make_screens(story / "script.txt", story / "layout.json", story / "out", wanted)
    return [file.name for file in done.files], done.told


def test_pages_are_saved_at_their_width(story: Path) -> None:
    assert made(story) == (["screen-001.png", "screen-002.png"], ())
    with Image.open(story / "out" / "screen-001.png") as opened:
        assert opened.size == (1200, 3600)
        assert opened.getpixel((5, 5)) == (240, 220, 120)


def test_a_long_page_is_cut_in_its_gutter(story: Path) -> None:
    assert made(story, ScreenWanted(400, "jpeg", 800, (1,))) == (
        ["screen-001-01.jpg", "screen-001-02.jpg"],
        (),
    )
    heights = []
    for number in (1, 2):
        with Image.open(story / "out" / f"screen-001-0{number}.jpg") as opened:
            heights.append(opened.height)
    assert heights == [500, 700]


def test_a_cut_through_a_panel_is_told(story: Path) -> None:
    names, told = made(story, ScreenWanted(400, "png", 400, (1,)))
    assert len(names) >= 3
    assert told[0].startswith("page 1: piece 1 ends in panel 1, since no gutter lies within 400")


def test_pieces_of_an_earlier_run_are_told(story: Path) -> None:
    made(story, ScreenWanted(400, "png", 400, (1,)))
    _, told = made(story, ScreenWanted(400, "png", None, (1,)))
    assert told[0].startswith("From an earlier run, and no part of this one: screen-001-01.png, ")


def test_what_cannot_be_done_is_told(story: Path) -> None:
    with pytest.raises(LettererError, match='"wbep" is no format for the screen'):
        made(story, ScreenWanted(kind="wbep"))
    with pytest.raises(LettererError, match="--cut 20 is out of range"):
        made(story, ScreenWanted(cut=20))
    (story / "art.png").write_bytes(b"broken")
    with pytest.raises(LettererError, match=r"art\.png, page 1: this art file cannot be read"):
        made(story)
    assert not (story / "out").exists()


def test_a_file_that_pages_are_made_from_is_not_written_over(story: Path) -> None:
    (story / "art.png").rename(story / "screen-001.png")
    text = (story / "layout.json").read_text("utf-8").replace("art.png", "screen-001.png")
    (story / "layout.json").write_text(text, "utf-8")
    before = (story / "screen-001.png").read_bytes()
    with pytest.raises(LettererError, match="would be written over a file that it is made from"):
        make_screens(story / "script.txt", story / "layout.json", story)
    assert (story / "screen-001.png").read_bytes() == before
