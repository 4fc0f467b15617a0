"""`letterer try`: what is written, what is said, what is refused."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Ran, Story

Run = Callable[..., "Ran"]
FILES = ("script.txt", "layout.json")


def test_a_sheet_and_what_is_said(story: Story, run: Run) -> None:
    done = run("try", *FILES, "1.1.1", "--lines", "1,2")
    assert (done.status, done.err) == (0, "")
    first, *_, look, take = done.out.splitlines()
    assert first == "1.1.1  NELL: The lamp is out."
    assert "  1  speech, 7.5 pt, 1 line; " in done.out
    assert "\n     THE LAMP / IS OUT.\n" in done.out
    assert look == "Look at out/try.html."
    assert take == (
        "To take choice 2, say: letterer try script.txt layout.json -o out/try.html --keep 2"
    )
    assert story.made() == ["out/try.html", "out/try.html.choices.json"]
    assert take.split(": ")[1] in Path("out/try.html").read_text("utf-8")


@pytest.mark.parametrize("kind", ["html", "svg", "png", "SVG"])
def test_every_kind_of_sheet(kind: str, story: Story, run: Run) -> None:
    assert run("try", *FILES, "1.1", "-o", f"new/sheet.{kind}").status == 0
    begin = {"html": b"<!DOCTYPE html>", "svg": b"<?xml", "png": b"\x89PNG"}[kind.lower()]
    assert Path(f"new/sheet.{kind}").read_bytes().startswith(begin)


def test_units_may_stand_anywhere(story: Story, run: Run) -> None:
    """argparse alone refuses a positional behind an option."""
    told = [
        run("try", *given).out
        for given in (
            (*FILES, "1.1.1", "1.1.2", "--sizes", "7"),
            (*FILES, "--sizes", "7", "1.1.1", "1.1.2"),
            ("--sizes=7", *FILES, "1.1.1", "1.1.2"),
            (FILES[0], "--sizes", "7", FILES[1], "1.1.1", "1.1.2"),
        )
    ]
    assert len(set(told)) == 1 and "1.1.2  TOM: Sssh." in told[0]


def test_keeping_the_choice_that_was_told(story: Story, run: Run) -> None:
    run("try", *FILES, "1.1.1", "2.1.1", "--sizes", "9,11")
    before = story.layout.read_text("utf-8")
    done = run("try", *FILES, "-o", "out/try.html", "--keep", "2,3")
    assert done.status == 0, done.err
    assert done.out == (
        "Kept choice 2 for unit 1.1.1 in layout.json.\n"
        "Kept choice 3 for unit 2.1.1 in layout.json.\n"
        "2 pages, 4 units lettered, 4 files written.\n"
        "Look in out/\n"
    )
    assert story.made() == [
        "out/page-001.png", "out/page-001.svg", "out/page-002.png", "out/page-002.svg",
        "out/try.html", "out/try.html.choices.json",
    ]  # fmt: skip
    after = story.layout.read_text("utf-8")
    assert after != before
    plan = json.loads(after)
    assert plan["pages"][0]["placements"][0]["size"] == 11
    assert plan["pages"][1]["placements"][0]["size"] == 9
    for page, size in ((0, 11), (1, 9)):
        del plan["pages"][page]["placements"][0]["size"]
        for key in ("breaks", "words", "speaker"):
            plan["pages"][page]["placements"][0].pop(key, None)
        assert size
    assert plan == json.loads(before)


def test_the_whole_line_again_with_keep_behind_it(story: Story, run: Run) -> None:
    line = ("try", *FILES, "1.1.1", "--sizes", "9,11")
    run(*line)
    assert run(*line, "--keep", "2").out.startswith("Kept choice 2 for unit 1.1.1")


def test_a_bare_sentence(story: Story, run: Run) -> None:
    done = run("try", "--words", "I know *what* I saw.", "-o", "w.svg")
    assert (done.status, done.err) == (0, "")
    assert "I KNOW / WHAT I SAW." in done.out
    assert done.out.endswith("\nLook at w.svg.\n")
    assert story.made() == ["w.svg", "w.svg.choices.json"]


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (("1.1.3",), "script.txt: there is no unit or panel 1.1.3. Panel 1.1 has 1.1.1 and 1.1.2."),
        (("1.4",), "script.txt: there is no unit or panel 1.4. Page 1 has 1.1.1 and 1.1.2."),
        (
            ("lamp",),
            "script.txt: there is no unit or panel lamp."
            " There are words on page 1, 2 and 3; write page.panel.unit, such as 1.1.1.",
        ),
        (
            (),
            "no unit is named."
            ' Write: letterer try SCRIPT LAYOUT 1.2.3, or: letterer try --words "...".',
        ),
        (
            ("1.1.1", "--sizes", "7;8"),
            '--sizes cannot be "7;8". Write numbers from 1 to 400, with commas between them.',
        ),
        (
            ("1.1.1", "--sizes", "nan"),
            '--sizes cannot be "nan". Write numbers from 1 to 400, with commas between them.',
        ),
        (
            ("1.1.1", "--sizes", "7,0.2"),
            '--sizes cannot be "0.2". Write numbers from 1 to 400, with commas between them.',
        ),
        (
            ("1.1.1", "--sizes", ""),
            "--sizes names nothing. Write something there, or leave it out.",
        ),
        (
            ("1.1.1", "--lines", ","),
            "--lines names nothing. Write something there, or leave it out.",
        ),
        (
            ("1.1.1", "--lines", "2.5"),
            '--lines cannot be "2.5". Write whole numbers from 1, with commas between them.',
        ),
        (("1.1.1", "--widths", "narow"), '--widths cannot be "narow". Did you mean narrow?'),
        (
            ("1.1.1", "--widths", "9"),
            '--widths cannot be "9". Write numbers from 0.5 to 4, with commas between them.',
        ),
        (("1.1.1", "--kinds", "wisper"), '--kinds cannot be "wisper". Did you mean whisper?'),
        (
            ("--keep", "two"),
            '--keep cannot be "two". Write whole numbers from 1, with commas between them.',
        ),
        (
            ("--keep", "2"),
            "out/try.html: there is no sheet here to keep a choice of."
            " Draw one first: letterer try SCRIPT LAYOUT 1.2.3.",
        ),
        (
            ("1.1.1", "-o", "layout.json"),
            "layout.json: a sheet is drawn as .html, .svg or .png. Write -o layout.html, say.",
        ),
        (("1.1.1", "--fonts", "none"), "none: there is no such folder of faces. Check its name."),
        (
            ("1.1.1", "--words", "So."),
            "--words stands alone, without a script."
            ' Write: letterer try SCRIPT LAYOUT 1.2.3, or: letterer try --words "...".',
        ),
    ],
    ids=str,
)
def test_what_is_refused(given: tuple[str, ...], told: str, story: Story, run: Run) -> None:
    before = story.layout.read_bytes()
    done = run("try", *FILES, *given)
    assert done == (1, "", f"letterer: {told}\n")
    assert story.layout.read_bytes() == before and story.made() == []


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (("--words", "  "), '--words holds no words. Write --words "I said so.".'),
        (
            ("--words", "Hm \U0001f600"),
            '--words: no face has the character "\U0001f600" (U+1F600 GRINNING FACE).'
            " Write it another way, or add a face that has it.",
        ),
        (
            ("--words", "So.", "--keep", "1"),
            "a bare sentence has no place in a layout, so no choice of it is kept."
            " Write it into the script, and try its unit.",
        ),
        (
            ("--keep", "1"),
            "--keep needs the script and the layout. Write: letterer try SCRIPT LAYOUT --keep 3.",
        ),
    ],
    ids=str,
)
def test_what_is_refused_without_files(
    given: tuple[str, ...], told: str, story: Story, run: Run
) -> None:
    assert run("try", *given) == (1, "", f"letterer: {told}\n")
    assert story.made() == []


def test_a_number_that_is_not_on_the_sheet(story: Story, run: Run) -> None:
    run("try", *FILES, "1.1.1", "--sizes", "7,8,9")
    before = story.layout.read_bytes()
    assert run("try", *FILES, "--keep", "4") == (
        1,
        "",
        "letterer: out/try.html: the sheet has no choice 4. Choose from 1 to 3.\n",
    )
    assert story.layout.read_bytes() == before
