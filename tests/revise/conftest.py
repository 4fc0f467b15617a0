"""Edits of known outcome, a book of our own to edit, and the demo as a file with its words."""

from __future__ import annotations

import importlib
import random
from pathlib import Path
from typing import Any

import pytest

from letterer.model.json_reader import read_json
from letterer.model.layout_file import LayoutFile
from letterer.model.script_reader import read_script


@pytest.fixture(scope="session")
def edits(repository: Path) -> Any:
    """The module that makes books and edits them; it is shared with the benchmark."""
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(repository))
        return importlib.import_module("tests.benchmarks.edits")


@pytest.fixture(scope="session")
def speeches(edits: Any, repository: Path) -> list[tuple[str, str]]:
    """What is said in the demo, then speeches of 1 to 14 words of no sense, by four speakers."""
    demo = read_script(repository / "shared" / "demo" / "script.txt")
    said = [(unit.speaker or "NELL", unit.words) for unit in demo.units]
    chance = random.Random("speeches")
    for _ in range(60):
        words = [chance.choice(edits.VOCABULARY) for _ in range(chance.randint(1, 14))]
        said.append((chance.choice(("NELL", "TOM", "ADA", "PIP")), " ".join(words).title() + "."))
    return said


@pytest.fixture(scope="session")
def as_file(edits: Any) -> Any:
    """A function: the layout of a book as a file that is nowhere on disk."""

    def made(book: Any, name: str) -> LayoutFile:
        text = edits.as_layout(book, random.Random(f"layout {name}"))
        return LayoutFile(Path("layout.json"), read_json(text, "layout.json"))

    return made
