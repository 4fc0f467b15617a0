"""`letterer watch`: a real process, real saves, a clean end."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Ran, Story

Run = Callable[..., "Ran"]
Start = Callable[..., "subprocess.Popen[bytes]"]


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent")
@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM])
def test_it_letters_at_every_save_and_ends_cleanly(
    end: signal.Signals, story: Story, start: Start, tmp_path: Path
) -> None:
    pytest.importorskip("watchfiles")
    # Where a container gives no notice of changes, the package looks by itself.
    kept = {"LETTERER_CACHE": str(tmp_path / "kept")}
    options = ["-o", "out", "--format", "svg", "--jobs", "1"]
    process = start("watch", "script.txt", "layout.json", *options, env=kept)
    assert process.stdout is not None
    said: list[str] = []

    def until(begin: str) -> None:
        """Read on until a line begins with the same word; it must begin with all of these."""
        assert process.stdout is not None
        for line in process.stdout:
            said.append(line.decode().rstrip("\n"))
            if said[-1].split(" ")[0] == begin.split(" ")[0]:
                assert said[-1].startswith(begin), said
                return
        raise AssertionError("\n".join(said))

    try:
        until("3 pages, 5 units lettered, 3 files written.")
        before = Path("out/page-001.svg").read_bytes()
        whole = story.script.read_text("utf-8")
        beside = story.folder / "script.txt.new"
        beside.write_text(whole.replace("The lamp is out.", "The lamp is lit."), "utf-8")
        os.replace(beside, story.script)
        until("Drawn again: page 1. 2 unchanged.")
        assert Path("out/page-001.svg").read_bytes() != before
        story.layout.write_text(story.layout.read_text("utf-8")[:-20], "utf-8")
        until("What cannot be lettered stays as it was.")
        process.send_signal(end)
        out, err = process.communicate(timeout=120)
    finally:
        process.kill()
        process.wait()
        process.stdout.close()
    assert out.decode().splitlines()[-1:] == [
        "Stopped watching; every file that was written is whole."
    ]
    assert (process.returncode, err) == (0, b"")
    assert [name for name in story.made() if name.startswith("out")] == [
        f"out/page-00{page}.svg" for page in (1, 2, 3)
    ]


def test_without_the_package_it_says_what_to_install(
    story: Story, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "watchfiles", None)
    done = run("watch", "script.txt", "layout.json")
    assert done.status == 1
    assert done.err == (
        "letterer: watching needs the package watchfiles, which is not installed."
        ' Install it with: pip install "letterer[watch]".\n'
    )
    assert story.made() == []


def test_letter_tells_what_was_unchanged(
    story: Story, run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("LETTERER_CACHE", str(tmp_path / "kept"))
    options = ["letter", "script.txt", "layout.json", "--format", "svg"]
    assert run(*options).status == 0
    text = story.script.read_text("utf-8")
    story.script.write_text(text.replace("Wait for me!", "Wait for us!"), "utf-8")
    told = "3 pages, 5 units lettered, {} written.\n{}Look in out/\n"
    assert run(*options).out == told.format("1 file", "2 of 3 pages unchanged.\n")
    assert run(*options).out == told.format("0 files", "All 3 pages are unchanged.\n")
    assert run(*options, "--pages", "3").out == (
        "1 page, 1 unit lettered, 0 files written.\nThe page is unchanged.\nLook in out/\n"
    )
    assert run(*options, "--no-cache").out == told.format("3 files", "")
    monkeypatch.setenv("LETTERER_CACHE", "off")
    assert run(*options).out == told.format("3 files", "")
    # Nothing is kept in the folder of the pages.
    assert story.made() == [f"out/page-00{page}.svg" for page in (1, 2, 3)]
