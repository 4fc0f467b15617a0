"""`letterer revise`: what is told, drawn and written, what is refused, and being killed at it."""

from __future__ import annotations

import json
import random
import signal
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Ran, Story

Run = Callable[..., "Ran"]
FILES = ("script.txt", "layout.json")


@pytest.fixture
def told(story: Story, run: Run) -> Story:
    """The story with a layout that says its words."""
    assert run("revise", *FILES, "--write").status == 0
    (story.folder / "layout.before.json").unlink()
    return story


def edit(story: Story, *changes: tuple[str, str]) -> None:
    text = story.script.read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    story.script.write_text(text, "utf-8")


EDITS = (
    ("NELL: The lamp", "TOM: Listen!\nNELL: The lamp"),
    ("The lamp is out.", "The lamp is out again."),
    ("SFX: Krrang!\n", ""),
    ("NELL: Wait for me!", "NELL: Wait for me!\nTOM: Never."),
)


def test_the_first_run(story: Story, run: Run) -> None:
    before = story.layout.read_bytes()
    done = run("revise", *FILES)
    assert (done.status, done.err) == (0, "")
    assert done.out == (
        "The layout does not say its words yet: units are taken by their numbers. If you edited"
        " the script since you made the layout, do this with the old script first.\n"
        "Nothing is written yet."
        " To keep this in layout.json: letterer revise script.txt layout.json --write\n"
    )
    assert story.layout.read_bytes() == before and story.made() == []
    done = run("revise", *FILES, "--write")
    assert done.out.splitlines()[1] == (
        "layout.json is up to date. As it was, it is kept as layout.before.json."
    )
    assert Path("layout.before.json").read_bytes() == before
    plan = json.loads(story.layout.read_text("utf-8"))
    assert [one["words"] for one in plan["pages"][0]["placements"]] == ["The lamp is out.", "Sssh."]
    assert run("revise", *FILES, "--write").out == (
        "5 units keep their words and their place.\nlayout.json says all this already.\n"
    )


def test_the_table(told: Story, run: Run) -> None:
    edit(told, *EDITS)
    assert run("revise", *FILES).out.splitlines()[:-1] == [
        "2 units keep their words and their place.",
        '1.1.1 is new: it has no place yet. "Listen!"',
        "1.1.2 was 1.1.1: edited, keeps its place."
        ' Was: "The lamp is out." Is: "The lamp is out again."',
        '1.1.3 was 1.1.2: same words, keeps its place. "Sssh."',
        "What was 2.1.2 is cut: its placement is parked, and comes back if the words do."
        ' It said: "Krrang!"',
        '3.1.2 is new: it has no place yet. "Never."',
    ]


def test_json(told: Story, run: Run) -> None:
    edit(told, *EDITS)
    held = json.loads(run("revise", *FILES, "--json").out)
    assert [(one["what"], one["unit"], one["was"]) for one in held["units"]] == [
        ("new", "1.1.1", []),
        ("edited", "1.1.2", ["1.1.1"]),
        ("same", "1.1.3", ["1.1.2"]),
        ("same", "2.1.1", ["2.1.1"]),
        ("cut", None, ["2.1.2"]),
        ("same", "3.1.1", ["3.1.1"]),
        ("new", "3.1.2", []),
    ]
    assert held["units"][1]["old words"] == "The lamp is out."


def test_pictures(told: Story, run: Run) -> None:
    edit(told, *EDITS)
    done = run("revise", *FILES, "-o", "new/changes.html")
    assert "\nLook at new/changes.html.\n" in done.out
    html = Path("new/changes.html").read_text("utf-8")
    assert html.startswith("<!DOCTYPE html>") and "http" not in html.replace(
        "http://www.w3.org", ""
    )
    assert html.count('class="unit mark"') == 3  # edited: before and now; cut: before
    assert "<li>1.1.3 was 1.1.2: same words, keeps its place." in html
    assert run("revise", *FILES, "-o", "changes.png").status == 0
    assert Path("changes.png").read_bytes().startswith(b"\x89PNG")
    first = Path("changes.png").read_bytes()
    run("revise", *FILES, "-o", "changes.png")
    assert Path("changes.png").read_bytes() == first
    assert run("revise", *FILES).out.count("Look at") == 0


def test_writing_and_lettering(told: Story, run: Run) -> None:
    before = told.layout.read_bytes()
    edit(told, *EDITS)
    done = run("revise", *FILES, "--write", "--out", "made")
    assert done.status == 0, done.err
    assert done.out.endswith("\nLook in made/\n")
    assert [name for name in told.made() if name.endswith(".svg")] == [
        f"made/page-00{number}.svg" for number in (1, 2, 3)
    ]
    assert Path("layout.before.json").read_bytes() == before
    plan = json.loads(told.layout.read_text("utf-8"))
    assert [one["unit"] for one in plan["pages"][0]["placements"]] == ["1.1.2", "1.1.3"]
    assert plan["parked"] == {
        "placements": [{"unit": "2.1.2", "box": [9, 90, 150, 60], "words": "Krrang!"}]
    }


def test_a_kept_layout_is_never_written_over(told: Story, run: Run) -> None:
    kept = []
    for _ in range(3):
        kept.append(told.layout.read_bytes())
        edit(told, ("PANEL 1\n", "PANEL 1\nTOM: Listen!\n"))
        run("revise", *FILES, "--write")
    names = ["layout.before.json", "layout.before-2.json", "layout.before-3.json"]
    assert [Path(name).read_bytes() for name in names] == kept
    told.layout.write_bytes(kept[0])
    run("revise", *FILES, "--write")
    assert sorted(path.name for path in told.folder.glob("*before*")) == sorted(names)


def test_cut_words_come_back_to_their_place(told: Story, run: Run) -> None:
    first, script = told.layout.read_bytes(), told.script.read_bytes()
    edit(told, ("SFX: Krrang!\n", ""))
    run("revise", *FILES, "--write")
    assert told.layout.read_bytes() != first
    told.script.write_bytes(script)
    done = run("revise", *FILES, "--write")
    assert '2.1.2: its words are back, it takes its own place again. "Krrang!"' in done.out
    assert told.layout.read_bytes() == first


def test_a_page_that_is_cut_and_comes_back(told: Story, run: Run) -> None:
    first, script = told.layout.read_bytes(), told.script.read_bytes()
    middle = "PAGE 2\nPANEL 1\nCAPTION (place): Low Harbour.\nSFX: Krrang!\n\n"
    edit(told, (middle, ""), ("PAGE 3", "PAGE 2"))
    assert run("revise", *FILES, "--write").out.splitlines()[:-1] == [
        "Page 3 of the layout is page 2 now, with its art and panels: 1 unit goes along.",
        "What was page 2 is cut: it is parked whole, with its art, its panels and 2 units,"
        " and comes back if its words do.",
        "3 units keep their words and their place.",
    ]
    told.script.write_bytes(script)
    assert run("revise", *FILES, "--write").out.splitlines()[:-1] == [
        "Page 2 of the layout is page 3 now, with its art and panels: 1 unit goes along.",
        "Page 2 is back from where it was parked, with all that belongs to it.",
        "5 units keep their words and their place.",
    ]
    assert told.layout.read_bytes() == first


def test_a_panel_that_is_cut_and_comes_back(told: Story, run: Run) -> None:
    pages = json.loads(told.layout.read_text("utf-8"))["pages"]
    pages[0]["panels"].append({"panel": 2, "box": [9, 90, 162, 80], "mouths": {"TOM": [90, 150]}})
    pages[0]["placements"].append({"unit": "1.2.1", "center": [80, 110]})
    told.change(pages=pages)
    pages[0]["placements"].insert(2, {"unit": "1.1.3", "center": [90, 30], "size": 7})
    told.change(pages=pages)
    inside = "NELL: The lamp is out.\nTOM (whisper): Sssh.\nNELL: The boat is gone.\nPANEL 2\n"
    edit(
        told, ("NELL: The lamp is out.\nTOM (whisper): Sssh.\n", f"{inside}TOM: Who goes there?\n")
    )
    run("revise", *FILES, "--write")
    first, script = told.layout.read_bytes(), told.script.read_bytes()
    edit(told, (inside, ""))
    out = run("revise", *FILES, "--write").out
    assert out.startswith(
        "What was panel 1 of page 1 is cut: its outline and mouths are parked, and come back if its"
        " words do.\n"
    )
    told.script.write_bytes(script)
    out = run("revise", *FILES, "--write").out
    assert out.startswith(
        "Panel 1 of page 1 is back from where it was parked, with all that belongs"
    )
    assert told.layout.read_bytes() == first


def test_what_is_proposed_is_called_to_mind(told: Story, run: Run) -> None:
    edit(told, ("TOM (whisper): Sssh.\n", ""), ("NELL: Wait", "TOM (whisper): Sssh.\nNELL: Wait"))
    run("revise", *FILES, "--write")
    assert run("revise", *FILES).out.splitlines() == [
        "5 units keep their words and their place.",
        '3.1.1 still stands where letterer proposed: look, and take "proposed" out of the layout'
        " to settle it.",
        "layout.json says all this already.",
    ]


def test_another_speaker_is_told(told: Story, run: Run) -> None:
    edit(told, ("NELL: Wait", "TOM: Wait"))
    line = (
        '3.1.1: same words, keeps its place; TOM says it now, and NELL did before. "Wait for me!"'
    )
    assert line in run("revise", *FILES, "-o", "changes.html").out.splitlines()
    assert Path("changes.html").read_text("utf-8").count('class="unit mark"') == 2
    run("revise", *FILES, "--write")
    assert (
        json.loads(told.layout.read_text("utf-8"))["pages"][2]["placements"][0]["speaker"] == "TOM"
    )
    edit(told, ("TOM: Wait for me!", "CAPTION: Wait for me!"))
    assert "it is a caption now, and TOM did before" in run("revise", *FILES).out


def test_the_rest_of_a_split_and_another_order(told: Story, run: Run) -> None:
    edit(
        told,
        ("NELL: Wait for me!", "NELL: Wait\nNELL: for me, down there!"),
        (
            "NELL: The lamp is out.\nTOM (whisper): Sssh.",
            "TOM (whisper): Sssh.\nNELL: The lamp is out.",
        ),
    )
    out = run("revise", *FILES).out
    assert (
        "1.1.2 was 1.1.1: same words, in another order now: takes the place that 1.1.2 had; look at"
        ' its tail. "The lamp is out."'
    ) in out
    edit(told, ("for me, down there!", "for me!"))
    out = run("revise", *FILES).out
    assert '3.1.1 is new: the rest of what was 3.1.1; it has no place yet. "Wait"' in out


def test_nothing_is_left_to_do_after_any_edit(told: Story, run: Run) -> None:
    for old, new in EDITS:
        edit(told, (old, new))
        run("revise", *FILES, "--write")
        after = told.layout.read_bytes()
        out = run("revise", *FILES, "--write").out
        assert out.endswith("layout.json says all this already.\n")
        assert "edited" not in out and told.layout.read_bytes() == after


def test_lettering_does_the_safe_part_by_itself(told: Story, run: Run) -> None:
    run("letter", *FILES, "--format", "svg", "-o", "one")
    edit(told, ("NELL: The lamp", "TOM: Listen!\nNELL: The lamp"))
    before = told.layout.read_bytes()
    done = run("letter", *FILES, "--format", "svg", "-o", "two")
    assert "3 pages, 5 units lettered, 1 not placed" in done.out
    one, two = (Path(f"{name}/page-001.svg").read_text("utf-8") for name in ("one", "two"))
    assert one.replace("u1.1.2", "u1.1.3").replace("u1.1.1", "u1.1.2") == two
    assert told.layout.read_bytes() == before


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (
            ("script.txt", "none.json"),
            "none.json: there is no such file. Check the name and the folder.",
        ),
        (
            (*FILES, "--out", "made"),
            "--out letters the pages again, which goes with --write."
            " Add --write, or leave --out out.",
        ),
        (
            (*FILES, "-o", "changes.svg"),
            "changes.svg: the changes are drawn as .html or .png. Write -o changes.html, say.",
        ),
        (
            (*FILES, "-o", "script.txt/changes.html"),
            "script.txt: this is a file, and a folder is needed. Choose another folder.",
        ),
        ((*FILES, "--fonts", "no"), "no: there is no such folder of faces. Check its name."),
    ],
    ids=str,
)
def test_what_is_refused(given: tuple[str, ...], told: str, story: Story, run: Run) -> None:
    before = story.layout.read_bytes()
    done = run("revise", *given)
    assert (done.status, done.out) == (1, "")
    assert done.err == f"letterer: {told}\n" or "none.json" in told
    assert story.layout.read_bytes() == before and story.made() == []


def test_the_faults_of_both_files_are_told(story: Story, run: Run) -> None:
    story.script.write_text("PAGE 1\nPANEL 1\nNELL:\n", "utf-8")
    story.layout.write_text('{"letterer": 1}', "utf-8")
    done = run("revise", *FILES, "--write")
    assert done.status == 1 and "layout.json" in done.err and story.made() == []


def test_the_art_is_not_drawn_over(story: Story, run: Run) -> None:
    pages = json.loads(story.layout.read_text("utf-8"))["pages"]
    pages[0]["art"] = {"file": "art.png", "covers": "trim"}
    story.change(pages=pages)
    done = run("revise", *FILES, "-o", "art.png")
    assert done.err.startswith("letterer: art.png: the changes would be drawn over the art of page")


@pytest.mark.parametrize("number", range(6))
def test_killed_at_any_moment_the_layout_is_whole(
    number: int, told: Story, start: Callable[..., subprocess.Popen[bytes]], run: Run
) -> None:
    """The process stops itself before, within or after one of its writes, drawn by number."""
    before = told.layout.read_bytes()
    edit(told, *EDITS)
    run("revise", *FILES, "--write")
    after = told.layout.read_bytes()
    told.layout.write_bytes(before)
    Path("layout.before.json").unlink()
    chance = random.Random(number)
    code = (
        "import os, signal, letterer.saving as saving\n"
        f"left = [{chance.randint(0, 9)}]\n"
        "def counted(name, module):\n"
        "    real = getattr(module, name)\n"
        "    def call(*given, **named):\n"
        "        if left[0] == 0:\n"
        "            os.kill(os.getpid(), signal.SIGKILL)\n"
        "        left[0] -= 1\n"
        "        return real(*given, **named)\n"
        "    setattr(module, name, call)\n"
        "for name in ('replace', 'fsync', 'fdopen', 'chmod'):\n"
        "    counted(name, os)\n"
    )
    process = start("revise", *FILES, "--write", first=code)
    process.communicate()
    assert process.returncode in (0, -signal.SIGKILL)
    assert told.layout.read_bytes() in (before, after)
    if told.layout.read_bytes() == after:
        assert Path("layout.before.json").read_bytes() == before


def test_killed_from_outside(
    told: Story, start: Callable[..., subprocess.Popen[bytes]], run: Run
) -> None:
    """Whenever the kill comes: the layout is the old one or the new one, to the byte."""
    before = told.layout.read_bytes()
    edit(told, *EDITS)
    run("revise", *FILES, "--write")
    after = told.layout.read_bytes()
    chance = random.Random("kill")
    for _ in range(4):
        told.layout.write_bytes(before)
        process = start("revise", *FILES, "--write")
        time.sleep(chance.uniform(0.0, 1.2))
        process.kill()
        process.communicate()
        assert told.layout.read_bytes() in (before, after)
