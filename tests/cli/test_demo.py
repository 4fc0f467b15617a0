"""`letterer demo`: letters a copy of the story that the person may edit."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image

import letterer.api  # before the folder is changed under it
import letterer.resources

if TYPE_CHECKING:
    from tests.cli.conftest import Ran, Story

Run = Callable[..., "Ran"]


@pytest.fixture
def small_demo(story: Story, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The three-page story in the place of the real one, which takes longer."""
    demo = story.folder.parent / "shared" / "demo"
    (demo / "art").mkdir(parents=True)
    for file in (story.script, story.layout):
        (demo / file.name).write_bytes(file.read_bytes())
    Image.new("L", (20, 20), 90).save(demo / "art" / "page-001.png")
    monkeypatch.setattr(letterer.resources, "shared_folder", lambda: demo.parent)
    return demo


def test_the_demo_is_copied_and_lettered(small_demo: Path, tmp_path: Path, run: Run) -> None:
    folder = tmp_path / "my demo"
    done = run("demo", folder)
    assert (done.status, done.err) == (0, "")
    assert done.out.splitlines() == [
        "3 pages, 5 units lettered, 9 files written.",
        f"Look at {folder}/page-001-preview.png and the other pages beside it.",
        f"Then change a few words in {folder}/story/script.txt and run this again.",
    ]
    assert sorted(file.name for file in folder.iterdir()) == [
        *(
            f"page-00{number}{end}"
            for number in (1, 2, 3)
            for end in ("-preview.png", ".png", ".svg")
        ),
        "story",
    ]
    for name in ("script.txt", "layout.json", "art/page-001.png"):
        assert (folder / "story" / name).read_bytes() == (small_demo / name).read_bytes()


def test_an_edited_copy_is_kept_and_lettered(small_demo: Path, tmp_path: Path, run: Run) -> None:
    assert run("demo", tmp_path / "demo").status == 0
    script = tmp_path / "demo" / "story" / "script.txt"
    edited = script.read_text("utf-8").replace("The lamp is out.", "The lamp is lit again.")
    script.write_text(edited, "utf-8")
    (tmp_path / "demo" / "story" / "layout.json").unlink()
    before = (tmp_path / "demo" / "page-001.svg").read_bytes()
    assert run("demo", tmp_path / "demo").status == 0
    assert script.read_text("utf-8") == edited
    after = (tmp_path / "demo" / "page-001.svg").read_bytes()
    assert after != before and b"<title>The lamp is lit again.</title>" in after
    assert (tmp_path / "demo" / "story" / "layout.json").is_file()


def test_a_slip_in_the_edited_copy_is_told_with_its_line(
    small_demo: Path, tmp_path: Path, run: Run
) -> None:
    assert run("demo", tmp_path / "demo").status == 0
    script = tmp_path / "demo" / "story" / "script.txt"
    script.write_text(script.read_text("utf-8").replace("(whisper)", "(wisper)"), "utf-8")
    done = run("demo", tmp_path / "demo")
    assert (done.status, done.out) == (1, "")
    assert done.err.startswith(f"letterer: {script}, line 4, page 1: ")
    assert "whisper" in done.err and done.err.count("\n") == 1


def test_a_folder_that_is_a_file_is_told(small_demo: Path, tmp_path: Path, run: Run) -> None:
    (tmp_path / "file").write_text("so")
    done = run("demo", tmp_path / "file")
    assert (done.status, done.out) == (1, "")
    assert "part of this path is a file, not a folder. Choose another folder." in done.err
    assert (tmp_path / "file").read_text() == "so"


def test_a_copy_of_letterer_without_its_demo_is_told(
    small_demo: Path, tmp_path: Path, run: Run
) -> None:
    (small_demo / "layout.json").unlink()
    done = run("demo", tmp_path / "demo")
    assert (done.status, done.out) == (1, "")
    assert done.err == (
        f"letterer: {small_demo}/layout.json: this copy of letterer lacks this file of its demo."
        " Install letterer again, or bring the file back into the checkout.\n"
    )
    assert not (tmp_path / "demo").exists()


def test_the_real_demo_is_lettered_whole(tmp_path: Path, run: Run) -> None:
    done = run("demo", tmp_path / "demo")
    assert (done.status, done.err) == (0, "")
    counted = done.out.splitlines()[0]
    assert counted.startswith("3 pages, ") and counted.endswith(" 9 files written.")
    assert "not placed" not in counted and "not fitting" not in counted
