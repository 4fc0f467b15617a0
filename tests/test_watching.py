"""Watching: every save is lettered, however it is saved; what is broken keeps the last pages."""

from __future__ import annotations

import itertools
import json
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from letterer.api import Output
from letterer.errors import LettererError
from letterer.watching import Watched, files_of, folders_of, watch

Step = tuple[Callable[[], object], bool]


class Sitting:
    """A book of two pages, what a person does to it, and what they are told."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.script, self.layout = folder / "script.txt", folder / "layout.json"
        self.style, self.art = folder / "looks" / "own.json", folder / "art" / "one.png"
        for file in (self.style, self.art):
            file.parent.mkdir(parents=True)
        self.style.write_text('{"size": 8}')
        Image.new("L", (20, 20), 90).save(self.art)
        self.say("The lamp is out.")
        self.plan()
        self.told: list[str] = []
        self.folders: list[frozenset[Path]] = []
        self.output = Output(folder / "out", ("svg", "preview"), cache=folder / "cache")

    def say(self, words: str) -> None:
        """Write the script with other words on page 2."""
        self.script.write_text(f"PAGE 1\nPANEL 1\nNELL: Wait.\nPAGE 2\nPANEL 1\nNELL: {words}\n")

    def plan(self, **keys: Any) -> None:
        """Write the layout, with some keys changed."""
        pages: list[dict[str, Any]] = [
            {
                "page": page,
                "panels": [{"panel": 1, "box": [3, 3, 54, 54], "mouths": {"NELL": [20, 45]}}],
                "placements": [{"unit": f"{page}.1.1", "center": [28, 15]}],
            }
            for page in (1, 2)
        ]
        pages[0]["art"] = {"file": "art/one.png", "covers": "bleed"}
        trim = {"trim": [60, 60], "bleed": 3, "live": 3}
        whole = {"letterer": 1, "unit": "mm", "page": trim, "style": "looks/own.json"}
        self.layout.write_text(json.dumps({**whole, "pages": pages, **keys}))

    def made(self) -> dict[str, bytes]:
        """The page files."""
        return {file.name: file.read_bytes() for file in sorted((self.folder / "out").iterdir())}

    def watch(self, *steps: Callable[[], object] | Step) -> list[list[str]]:
        """What is told at first and after each step: a function to call, and whether something is
        noticed then (True) or it stays quiet (False)."""
        waiting = list(steps)
        marks: list[int] = []

        def events(folders: frozenset[Path]) -> Iterator[bool]:
            self.folders.append(folders)
            while waiting:
                marks.append(len(self.told))
                step = waiting.pop(0)
                act, noticed = step if isinstance(step, tuple) else (step, True)
                act()
                yield noticed

        watch(Watched(self.script, self.layout, self.output), events, self.told.append)
        ends = [*marks, len(self.told)]
        return [self.told[: ends[0]]] + [
            self.told[begin:end] for begin, end in itertools.pairwise(ends)
        ]


def nothing() -> None:
    """What happens when something else in the folder changes."""


@pytest.fixture
def sitting(tmp_path: Path) -> Sitting:
    return Sitting(tmp_path / "book")


def test_a_save_draws_what_it_touches(sitting: Sitting) -> None:
    first, nothing_new, second = sitting.watch(nothing, lambda: sitting.say("Run, now!"))
    assert first[0] == ("Watching script.txt, layout.json, own.json and one.png. Stop with Ctrl-C.")
    assert first[1].startswith("2 pages, 2 units lettered, 4 files written.")
    assert nothing_new == []
    assert second == ["script.txt changed.", "Drawn again: page 2. 1 unchanged."]


@pytest.mark.parametrize(
    ("save", "again"),
    [
        (lambda s: s.style.write_text('{"size": 7}'), "Drawn again: pages 1-2."),
        (lambda s: Image.new("L", (9, 9), 7).save(s.art), "Drawn again: page 1. 1 unchanged."),
        (lambda s: s.plan(style="plain hand"), "Drawn again: pages 1-2."),
        (
            lambda s: s.script.write_text(s.script.read_text() + "\n\n"),
            "No page is drawn otherwise.",
        ),
    ],
)
def test_every_file_of_the_book_counts(
    save: Callable[[Sitting], object], again: str, sitting: Sitting
) -> None:
    _, told = sitting.watch(lambda: save(sitting))
    assert told[1:] == [again]


def renamed(sitting: Sitting) -> None:
    """Saved by another name, which is then the file's."""
    whole = sitting.script.with_name("script.txt~new")
    whole.write_text(sitting.script.read_text().replace("out", "lit"))
    os.replace(whole, sitting.script)


def made_anew(sitting: Sitting) -> None:
    """Saved by deleting the file and making it again."""
    text = sitting.script.read_text()
    sitting.script.unlink()
    sitting.script.write_text(text.replace("out", "lit"))


@pytest.mark.parametrize("save", [renamed, made_anew])
def test_editors_save_in_many_ways(save: Callable[[Sitting], object], sitting: Sitting) -> None:
    _, first, second = sitting.watch(lambda: save(sitting), lambda: sitting.say("Run, now!"))
    assert first == second == ["script.txt changed.", "Drawn again: page 2. 1 unchanged."]


def test_a_file_that_is_gone_for_a_moment_is_waited_for(sitting: Sitting) -> None:
    text = sitting.script.read_text()
    _, gone, back = sitting.watch(
        sitting.script.unlink, lambda: sitting.script.write_text(text.replace("out", "lit"))
    )
    assert (gone, back) == ([], ["script.txt changed.", "Drawn again: page 2. 1 unchanged."])


def test_a_file_that_stays_gone_is_told_and_may_come_back(sitting: Sitting) -> None:
    text = sitting.script.read_text()
    _, gone, quiet, still, back = sitting.watch(
        sitting.script.unlink,
        (nothing, False),
        (nothing, False),
        lambda: sitting.script.write_text(text),
    )
    assert gone == still == []
    assert quiet[0] == "script.txt changed."
    assert quiet[1].startswith(f"letterer: {sitting.script}: ")
    assert back == ["script.txt changed.", "No page is drawn otherwise."]


@pytest.mark.parametrize(
    "break_it",
    [
        lambda s: s.layout.write_text(s.layout.read_text()[:-40]),
        lambda s: s.layout.write_text(""),
        lambda s: s.style.write_text('{"size": "large"}'),
        lambda s: s.script.write_text("NELL: No page at all.\n"),
        lambda s: s.script.write_bytes(b"PAGE 1\nPANEL 1\nNELL: \xff\xfe\xfa"),
        lambda s: s.plan(style="looks/none.json"),
        lambda s: s.art.write_bytes(b"half a pict"),
    ],
)
def test_what_is_broken_keeps_the_last_pages(
    break_it: Callable[[Sitting], object], sitting: Sitting
) -> None:
    whole = {file: file.read_bytes() for file in (sitting.script, sitting.layout, sitting.style)}
    whole[sitting.art] = sitting.art.read_bytes()
    good: list[dict[str, bytes]] = []

    def spoil() -> None:
        good.append(sitting.made())
        break_it(sitting)

    def mend() -> None:
        good.append(sitting.made())
        for file, data in whole.items():
            if file.read_bytes() != data:
                file.write_bytes(data)

    _, broken, mended = sitting.watch(spoil, mend)
    assert [line.startswith("letterer: ") for line in broken] == [
        False,
        *[True] * (len(broken) - 2),
        False,
    ]
    assert len(broken) > 2
    assert broken[-1].startswith("What cannot be lettered stays as it was.")
    assert mended[-1] == "No page is drawn otherwise."
    assert good[0] == good[1] == sitting.made()


def test_a_page_that_fails_leaves_its_file_and_draws_the_others(sitting: Sitting) -> None:
    before: list[dict[str, bytes]] = []

    def both() -> None:
        before.append(sitting.made())
        text = sitting.script.read_text()
        sitting.script.write_text(text.replace("Wait.", "Stay!").replace("out", "\U000f0000"))

    _, told = sitting.watch(both)
    assert any(line.startswith("letterer: ") and "script.txt, line 6" in line for line in told)
    assert told[-1].startswith("Drawn again: page 1")
    after = sitting.made()
    assert after["page-002.svg"] == before[0]["page-002.svg"]
    assert after["page-001.svg"] != before[0]["page-001.svg"]


def test_new_files_are_watched_in_their_folders(sitting: Sitting) -> None:
    other = sitting.folder / "other" / "more.json"

    def name_it() -> None:
        other.parent.mkdir()
        other.write_text('{"size": 7}')
        sitting.plan(style="other/more.json")

    _, first, second = sitting.watch(name_it, lambda: other.write_text('{"size": 6.5}'))
    assert first == ["layout.json changed.", "Drawn again: pages 1-2."]
    assert second == ["more.json changed.", "Drawn again: pages 1-2."]
    assert [other.parent in folders for folders in sitting.folders] == [False, True]


def test_new_findings_are_told_once(sitting: Sitting) -> None:
    def add() -> None:
        sitting.script.write_text(sitting.script.read_text() + "NELL: Nobody placed me.\n")

    _, first, second = sitting.watch(add, lambda: os.utime(sitting.script, (1, 1)))
    assert [line for line in first if "2.1.2" in line] == [
        '  warning: unit 2.1.2: not placed: NELL, "Nobody placed me". Show its place with'
        " letterer point, or see what letterer place proposes."
    ]
    assert second == ["script.txt changed.", "No page is drawn otherwise."]


def test_faces_that_are_added_count(sitting: Sitting, repository: Path) -> None:
    own = sitting.folder / "faces"
    own.mkdir()
    sitting.output = Output(sitting.folder / "out", ("svg",), fonts=(own,))
    face = repository / "fonts_open" / "Bangers_400Regular.ttf"
    _, told = sitting.watch(lambda: shutil.copy(face, own / "mine.ttf"))
    assert told == ["faces changed.", "Drawn again: pages 1-2."]


def test_a_link_is_watched_where_it_leads(sitting: Sitting) -> None:
    real = sitting.folder.parent / "elsewhere"
    real.mkdir()
    sitting.script.rename(real / "script.txt")
    sitting.script.symlink_to(real / "script.txt")
    folders = folders_of(files_of(Watched(sitting.script, sitting.layout, sitting.output)))
    assert {real, sitting.folder, sitting.style.parent, sitting.art.parent} == folders


def test_an_output_of_no_use_is_refused_at_once(sitting: Sitting) -> None:
    sitting.output = Output(sitting.folder / "out", ("gif",))
    with pytest.raises(LettererError, match="no format"):
        sitting.watch()
