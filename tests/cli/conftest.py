"""A small story on disk, and the command line run on it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from letterer.cli.main import main

SCRIPT = """\
PAGE 1
PANEL 1
NELL: The lamp is out.
TOM (whisper): Sssh.

PAGE 2
PANEL 1
CAPTION (place): Low Harbour.
SFX: Krrang!

PAGE 3
PANEL 1
NELL: Wait for me!
"""


def page(number: int, *placements: dict[str, Any]) -> dict[str, Any]:
    """One page of the layout, with one panel and two mouths."""
    panel = {"panel": 1, "box": [9, 9, 162, 162], "mouths": {"NELL": [60, 120], "TOM": [130, 120]}}
    return {"page": number, "panels": [panel], "placements": list(placements)}


LAYOUT: dict[str, Any] = {
    "letterer": 1,
    "unit": "pt",
    "page": {"trim": [180, 180], "bleed": 9, "live": 9},
    "pages": [
        page(1, {"unit": "1.1.1", "center": [60, 50]}, {"unit": "1.1.2", "center": [130, 60]}),
        page(
            2, {"unit": "2.1.1", "corner": "top left"}, {"unit": "2.1.2", "box": [9, 90, 150, 60]}
        ),
        page(3, {"unit": "3.1.1", "center": [80, 60]}),
    ],
}


class Story(NamedTuple):
    """A folder with a script and a layout."""

    folder: Path
    script: Path
    layout: Path

    def change(self, **changed: Any) -> None:
        """Write the layout again with some keys changed."""
        self.layout.write_text(json.dumps({**LAYOUT, **changed}), "utf-8")

    def made(self) -> list[str]:
        """The names of all files but the script and the layout, hidden ones too."""
        given = {self.script, self.layout}
        return sorted(
            file.relative_to(self.folder).as_posix()
            for file in self.folder.rglob("*")
            if file.is_file() and file not in given
        )


class Ran(NamedTuple):
    """How a command ended, and what it said."""

    status: int
    out: str
    err: str


@pytest.fixture
def story(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Story:
    """Three pages in a folder of their own, which is also the current one."""
    folder = tmp_path / "story"
    folder.mkdir()
    monkeypatch.chdir(folder)
    told = Story(folder, folder / "script.txt", folder / "layout.json")
    told.script.write_text(SCRIPT, "utf-8")
    told.change()
    return told


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    """A function: run the command line in this process."""

    def ran(*arguments: str | Path) -> Ran:
        capsys.readouterr()
        status = main([str(argument) for argument in arguments])
        told = capsys.readouterr()
        return Ran(status, told.out, told.err)

    return ran


@pytest.fixture
def start(repository: Path) -> Callable[..., subprocess.Popen[bytes]]:
    """A function: start the command line as a process of its own. `first` is code to run before."""

    def started(*arguments: str | Path, first: str = "", **how: Any) -> subprocess.Popen[bytes]:
        code = f"import sys\n{first}\nfrom letterer.cli.main import main\nsys.exit(main())"
        extra = how.pop("env", {})
        environment = {**os.environ, "PYTHONPATH": str(repository), **extra}
        environment.pop("PYTHONUNBUFFERED", None)  # people run it without
        command = [sys.executable, "-c", code, *map(str, arguments)]
        return subprocess.Popen(
            command,
            **{"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **how},
            env=environment,
        )

    return started
