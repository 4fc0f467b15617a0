"""The first layout of a script: from its art, by its words, and into a layout that is there."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image

from letterer.api import read_layout
from letterer.errors import LettererError
from letterer.model.plan import Reading
from letterer.starting import StartWanted, start_layout

SCRIPT = """PAGE 1

PANEL 1
Wide. The harbour.
ADA: Three boats out, and only two lamps lit.

PANEL 2
BO: Two?
ADA: Count them.

PAGE 2

PANEL 1
BO: Two.
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "script.txt").write_text(SCRIPT, "utf-8")
    return tmp_path


def started(folder: Path, **wanted: object) -> tuple[Path, tuple[str, ...]]:
    file = folder / "layout.json"
    made = start_layout(folder / "script.txt", StartWanted(file, **wanted))  # type: ignore[arg-type]
    return file, made.told


def test_panels_are_those_of_the_art(repository: Path, tmp_path: Path) -> None:
    demo = repository / "shared" / "demo"
    file = tmp_path / "layout.json"
    made = start_layout(demo / "script.txt", StartWanted(file, art=(demo / "art",)))
    assert made.pages == (1, 2, 3)
    drawn, found = read_layout(demo / "layout.json"), read_layout(file)
    for ours, theirs in zip(found, drawn, strict=True):
        assert ours.art is not None and theirs.art is not None
        assert ours.art.file.resolve() == theirs.art.file.resolve()
        assert ours.art.box == theirs.art.box
        assert [one.number for one in ours.panels] == [one.number for one in theirs.panels]
        for one, other in zip(ours.panels, theirs.panels, strict=True):
            assert max(abs(a - b) for a, b in zip(one.box, other.box, strict=True)) < 1.75


def test_without_art_pages_are_divided_by_their_words(folder: Path) -> None:
    file, told = started(folder)
    layout = read_layout(file)
    first, second = layout
    assert len(first.panels) == 2 and len(second.panels) == 1
    assert all(layout.format.live.contains(panel.box) for page in layout for panel in page.panels)
    assert told[0].startswith("Page 1: divided by its words")


def test_another_division_is_taken_when_asked_for(folder: Path) -> None:
    (folder / "script.txt").write_text(SCRIPT.replace("PAGE 2", "PANEL 3\n\nPAGE 2"), "utf-8")
    usual = json.loads(started(folder)[0].read_text("utf-8"))
    (folder / "layout.json").unlink()
    other = json.loads(started(folder, ways={1: "B"})[0].read_text("utf-8"))
    assert usual["pages"][0] != other["pages"][0] and usual["pages"][1] == other["pages"][1]


def test_a_layout_that_is_there_gets_only_the_pages_it_lacks(folder: Path) -> None:
    file = folder / "layout.json"
    old = (
        '{"letterer": 1, "unit": "mm",\n "page": {"format": "a5"}, "note": "mine",\n'
        ' "pages": [{"page": 1,   "panels": [{"panel": 1, "box": [10.50, 10, 100, 100]}]}]}\n'
    )
    file.write_text(old, "utf-8")
    made = start_layout(folder / "script.txt", StartWanted(file))
    new = file.read_text("utf-8")
    assert made.pages == (2,)
    assert new.startswith(old[: old.rindex("]}")])
    assert [page.number for page in read_layout(file)] == [1, 2]
    again = start_layout(folder / "script.txt", StartWanted(file))
    assert again.pages == () and file.read_text("utf-8") == new


def test_panels_run_from_the_right_where_the_book_does(folder: Path) -> None:
    script = SCRIPT.replace("PAGE 2", "PANEL 3\nPANEL 4\nPAGE 2").replace("Wide. ", "")
    (folder / "script.txt").write_text(script, "utf-8")
    from_left = read_layout(started(folder)[0]).page(1)
    (folder / "layout.json").unlink()
    file, _ = started(folder, reading=Reading.RIGHT_TO_LEFT)
    from_right = read_layout(file).page(1)
    assert from_left is not None and from_right is not None
    middles = [[panel.box.center.x for panel in page.panels] for page in (from_left, from_right)]
    live = read_layout(file).format.live
    assert middles[0] != middles[1]
    assert middles[1] == pytest.approx([2 * live.center.x - x for x in middles[0]], abs=0.2)


def test_art_with_another_number_of_panels_is_told(folder: Path) -> None:
    for page in (1, 2):
        Image.new("L", (1375, 2100), 255).save(folder / f"p{page}.png")
    _, told = started(folder, art=(folder,))
    assert "no panels are seen in p1.png, and the script has 2" in told[0]
    assert told[-1] == "Page 2: one panel, the whole page."


@pytest.mark.parametrize(
    ("names", "what"),
    [
        (["cover.png"], "which picture belongs to which page"),
        (["a1.png", "b1.png", "c1.png"], "which picture belongs to which page"),
        ([], "there are no pictures here"),
    ],
)
def test_pictures_that_cannot_be_told_apart_are_refused(
    folder: Path, names: list[str], what: str
) -> None:
    art = folder / "art"
    art.mkdir()
    for name in names:
        Image.new("L", (660, 1005), 255).save(art / name)
    with pytest.raises(LettererError, match=what):
        started(folder, art=(art,))
    assert not (folder / "layout.json").exists()


def test_a_picture_of_another_shape_is_refused(folder: Path) -> None:
    Image.new("L", (600, 600), 255).save(folder / "1.png")
    with pytest.raises(LettererError) as told:
        started(folder, art=(folder / "1.png",))
    assert "600 by 600 pixels, which is not the shape of the page" in str(told.value)
    assert not (folder / "layout.json").exists()


@pytest.mark.parametrize(
    ("wanted", "what"),
    [
        ({"format": "foolscap"}, "--format cannot be"),
        ({"ways": {1: "Q"}}, 'no way "Q"'),
        ({"art": (Path("nowhere"),)}, "no such picture or folder"),
    ],
)
def test_what_cannot_be_done_is_told(folder: Path, wanted: dict[str, object], what: str) -> None:
    with pytest.raises(LettererError, match=what):
        started(folder, **wanted)
    assert not (folder / "layout.json").exists()


def test_the_script_is_never_written_over(folder: Path) -> None:
    script = folder / "script.json"
    script.write_text(SCRIPT, "utf-8")
    with pytest.raises(LettererError, match="over the script"):
        start_layout(script, StartWanted(script))
    assert script.read_text("utf-8") == SCRIPT
