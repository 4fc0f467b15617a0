"""`letterer letter`: every option, what is written, what is said, what is never overwritten."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from fontTools.ttLib import TTFont
from PIL import Image

if TYPE_CHECKING:
    from tests.cli.conftest import Ran, Story

Run = Callable[..., "Ran"]


def picture(name: str) -> Image.Image:
    """A picture read whole."""
    image = Image.open(io.BytesIO(Path(name).read_bytes()))
    image.load()
    return image


SVGS = ["out/page-001.svg", "out/page-002.svg", "out/page-003.svg"]


def test_the_usual_run(story: Story, run: Run) -> None:
    done = run("letter", "script.txt", "layout.json")
    assert done == (0, "3 pages, 5 units lettered, 6 files written.\nLook in out/\n", "")
    both = sorted([*SVGS, *(name.replace("svg", "png") for name in SVGS)])
    assert story.made() == both
    image = picture("out/page-001.png")
    assert image.size == (1650, 1650)  # 198 pt at 600 dpi
    assert image.info["dpi"] == pytest.approx((600, 600), abs=0.01)


@pytest.mark.parametrize(
    "option", [["-o", "a/b c/\u00fcber \u6f2b"], ["--out=a/b c/\u00fcber \u6f2b"]]
)
def test_the_folder_to_write_into(option: list[str], story: Story, run: Run) -> None:
    done = run("letter", "script.txt", "layout.json", *option, "--format", "svg")
    assert done.status == 0
    assert done.out.endswith("Look in a/b c/\u00fcber \u6f2b/\n")
    assert story.made() == [f"a/b c/\u00fcber \u6f2b/page-00{n}.svg" for n in (1, 2, 3)]


def test_a_folder_behind_a_link(story: Story, run: Run) -> None:
    (story.folder / "real").mkdir()
    (story.folder / "link").symlink_to("real", target_is_directory=True)
    assert run("letter", "script.txt", "layout.json", "-o", "link", "--format", "svg").status == 0
    assert (story.folder / "real" / "page-001.svg").is_file()


@pytest.mark.parametrize(
    ("pages", "written"),
    [
        ("2", [2]),
        ("1-2", [1, 2]),
        ("1-3", [1, 2, 3]),
        ("3,1", [1, 3]),
        (" 1 - 1 , 3 ", [1, 3]),
        ("1,1-1,1", [1]),
    ],
)
def test_some_pages(pages: str, written: list[int], story: Story, run: Run) -> None:
    done = run("letter", "script.txt", "layout.json", "--format", "svg", "--pages", pages)
    assert (done.status, done.err) == (0, "")
    assert story.made() == [f"out/page-00{number}.svg" for number in written]


def test_a_page_alone_is_the_same_as_among_all(story: Story, run: Run) -> None:
    every = ["--format", "svg,png,preview", "--dpi", "100"]
    assert run("letter", "script.txt", "layout.json", "-o", "all", *every).status == 0
    assert run("letter", "script.txt", "layout.json", "-o", "one", *every, "--pages=2").status == 0
    names = ["page-002-preview.png", "page-002.png", "page-002.svg"]
    assert sorted(file.name for file in Path("one").iterdir()) == names
    for name in names:
        assert Path("one", name).read_bytes() == Path("all", name).read_bytes()


@pytest.mark.parametrize(
    ("formats", "ends"),
    [
        ("svg", [".svg"]),
        ("png", [".png"]),
        ("preview", ["-preview.png"]),
        ("svg,png,preview", ["-preview.png", ".png", ".svg"]),
        (" PNG , svg,", [".png", ".svg"]),
        ("svg,svg", [".svg"]),
    ],
)
def test_formats(formats: str, ends: list[str], story: Story, run: Run) -> None:
    options = ["--pages", "1", "--dpi", "72", "--format", formats]
    done = run("letter", "script.txt", "layout.json", *options)
    count = "1 file" if len(ends) == 1 else f"{len(ends)} files"
    assert (done.status, done.out.splitlines()[0]) == (
        0,
        f"1 page, 2 units lettered, {count} written.",
    )
    assert story.made() == [f"out/page-001{end}" for end in ends]


def test_the_preview_shows_the_art(story: Story, run: Run) -> None:
    Image.new("L", (50, 50), 90).save("art.png")
    pages = [{"page": 3, "art": {"file": "art.png", "covers": "bleed"}}]
    story.change(pages=pages)
    done = run("letter", "script.txt", "layout.json", "--format", "preview", "--pages", "3")
    assert done.status == 0
    image = picture("out/page-003-preview.png")
    assert (image.mode, image.size) == ("RGB", (412, 412))  # 198 pt at 150 dpi
    assert image.getpixel((3, 3)) == (90, 90, 90)


@pytest.mark.parametrize(("dpi", "side"), [("72", 198), ("300", 825), ("1200", 3300)])
def test_resolution(dpi: str, side: int, story: Story, run: Run) -> None:
    options = ["--format", "png", "--pages", "3", "--dpi", dpi]
    assert run("letter", "script.txt", "layout.json", *options).status == 0
    image = picture("out/page-003.png")
    assert image.size == (side, side)
    assert image.info["dpi"][0] == pytest.approx(int(dpi), abs=0.02)


@pytest.mark.parametrize("name", ["report.json", "out/report.json", "out/../out/r.json"])
def test_the_report(name: str, story: Story, run: Run) -> None:
    for _ in range(2):  # the second run replaces the report of the first
        done = run(
            "letter", "script.txt", "layout.json", "--format", "svg", "--report", name, "--pages=1"
        )
        assert done[:2] == (0, "1 page, 2 units lettered, 2 files written.\nLook in out/\n")
    told = json.loads(Path(name).read_text("utf-8"))
    assert told["letterer report"] == 1
    (page,) = told["pages"]
    assert [unit["unit"] for unit in page["units"]] == ["1.1.1", "1.1.2"]
    assert page["units"][0]["lines"] == ["THE LAMP", "IS OUT."]


def test_a_folder_of_own_faces(story: Story, run: Run, repository: Path) -> None:
    font = TTFont(repository / "fonts_open" / "ComicNeue_400Regular.ttf")
    for record in font["name"].names:
        if record.nameID in (1, 16):
            record.string = "Nell's Own Hand"
    (story.folder / "my faces").mkdir()
    font.save(story.folder / "my faces" / "own.ttf")
    story.change(style={"name": "plain hand", "text": "Nell's Own Hand"})
    common = ["letter", "script.txt", "layout.json", "--format", "svg", "--pages", "1"]
    without = run(*common)
    assert (without.status, story.made()) == (1, ["my faces/own.ttf"])
    assert 'there is no face called "Nell\'s Own Hand"' in without.err
    assert run(*common, "--fonts", "my faces").status == 0
    own = Path("out/page-001.svg").read_bytes()
    story.change()
    assert run(*common).status == 0
    assert Path("out/page-001.svg").read_bytes() != own


def test_what_was_not_placed_is_said_and_the_rest_is_lettered(story: Story, run: Run) -> None:
    story.script.write_text(
        story.script.read_text("utf-8").replace("TOM (whisper)", "NELL: And now?\nTOM (whisper)")
    )
    done = run("letter", "script.txt", "layout.json", "--format", "svg")
    assert (done.status, done.err) == (0, "")
    assert done.out.splitlines()[0] == ("3 pages, 5 units lettered, 1 not placed, 3 files written.")
    mend = "Show its place with letterer point, or see what letterer place proposes."
    assert f'unit 1.1.3: not placed: TOM, "Sssh". {mend}' in done.out


def test_what_the_script_may_not_have_meant_is_said(story: Story, run: Run) -> None:
    story.script.write_text(SCRIPT_WITH_A_REMARK, "utf-8")
    done = run("letter", "script.txt", "layout.json", "--format", "svg", "--report", "r.json")
    assert done.status == 0
    assert (
        "  look at script.txt, line 5: this line is indented, but a blank line parts it" in done.out
    )
    (remark,) = json.loads(Path("r.json").read_text("utf-8"))["remarks"]
    assert (remark["file"], remark["line"]) == ("script.txt", 5)


SCRIPT_WITH_A_REMARK = """\
PAGE 1
PANEL 1
NELL: The lamp is out.

    And it was lit an hour ago.
"""


def test_remarks_on_pages_that_are_not_lettered_are_left_out(story: Story, run: Run) -> None:
    story.script.write_text(SCRIPT_WITH_A_REMARK + "\nPAGE 2\nPANEL 1\nNELL: So.\n", "utf-8")
    common = ["letter", "script.txt", "layout.json", "--format", "svg", "--pages"]
    assert "look at" in run(*common, "1").out
    assert "look at" not in run(*common, "2").out


# --- Wrong usage ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--pages", "9"], "script.txt: the script has no page 9. It has pages 1-3."),
        (["--pages", "0"], '"0" is no range of pages. Write the lower number first, from 1.'),
        (["--pages", "3-1"], '"3-1" is no range of pages. Write the lower number first, from 1.'),
        (["--pages", "two"], '"two" does not say which pages. Write them like 1-3,5.'),
        (["--pages", ""], '"" does not say which pages. Write them like 1-3,5.'),
        (["--pages", "1,"], '"1," does not say which pages. Write them like 1-3,5.'),
        (["--pages", "1-"], '"1-" does not say which pages. Write them like 1-3,5.'),
        (["--pages=-1"], '"-1" does not say which pages. Write them like 1-3,5.'),
        (["--pages", "1-99999"], '"1-99999" is no range of pages. Write the lower number first'),
        (["--pages", "9" * 5000], f'"{"9" * 40}..." does not say which pages. Write them like'),
        (["--format", "sgv"], '"sgv" is no format that can be written. Did you mean svg?'),
        (["--format", "tiff"], '"tiff" is no format that can be written. Choose from svg, png,'),
        (["--format", ","], "no format is named. Choose from svg, png, preview, pdf, ora."),
        (["--over-art"], "--over-art is for a PDF, and none is asked for. Add pdf to the formats."),
        (["--dpi", "0"], "0 dpi is out of range. Choose a number from 72 to 1200."),
        (["--dpi", "71"], "71 dpi is out of range. Choose a number from 72 to 1200."),
        (["--dpi", "1201"], "1201 dpi is out of range. Choose a number from 72 to 1200."),
        (
            ["--dpi", "-5"],
            '--dpi "-5" is not a whole number from 72 to 1200. Write --dpi 600, say.',
        ),
        (["--dpi", "abc"], '--dpi "abc" is not a whole number from 72 to 1200. Write --dpi 600'),
        (["--dpi", "1e9"], '--dpi "1e9" is not a whole number from 72 to 1200. Write --dpi 600'),
        (["--dpi", "nan"], '--dpi "nan" is not a whole number from 72 to 1200. Write --dpi 600'),
        (["--dpi", "300.5"], '--dpi "300.5" is not a whole number from 72 to 1200. Write --dpi'),
        (["--dpi", "9" * 5000], f'--dpi "{"9" * 20}..." is not a whole number from 72 to 1200.'),
        (["--fonts", "none"], "none: there is no such folder of faces. Check its name."),
        (["--fonts", "layout.json"], "layout.json: there is no such folder of faces. Check its"),
        (["-o", ""], "the folder to write into has no name. Give it one, or leave it out."),
        (["--report", ""], "the report has no name. Give it one, or leave it out."),
        (["-o", "script.txt"], "script.txt: this is a file, and a folder is needed. Choose"),
        (["-o", "script.txt/new"], "script.txt/new: part of this path is a file, not a folder."),
        (["-o", "n" * 300], f"{'n' * 300}: this name is too long. Choose a shorter one."),
        (["--report", "no/r.json"], "no/r.json: there is no such folder. Make the folder, or"),
        (["--report", "."], ".: this is a folder, and a file is to be written. Choose another"),
        (["--report", "/dev/null"], "/dev/null: this is a device, not a file. Choose another"),
    ],
)
def test_a_wrong_option_is_one_line_and_nothing_is_done(
    options: list[str], told: str, story: Story, run: Run
) -> None:
    done = run("letter", "script.txt", "layout.json", *options)
    assert (done.status, done.out) == (1, "")
    assert done.err.startswith(f"letterer: {told}")
    assert done.err.count("\n") == 1 and done.err.endswith((".\n", "?\n"))
    assert story.made() == []
    assert not Path("out").exists()


# --- Nothing of the person's is overwritten -------------------------------------------------------


@pytest.mark.parametrize(
    ("report", "told"),
    [
        ("script.txt", "script.txt: the report would be written over the script."),
        (
            "../story/script.txt",
            "../story/script.txt: the report would be written over the script.",
        ),
        ("layout.json", "layout.json: the report would be written over the layout."),
        ("link", "link: the report would be written over the layout."),
        ("out/page-002.svg", "out/page-002.svg: the report would be written over page 2."),
        ("style.json", "style.json: the report would be written over a file that is no report."),
    ],
)
def test_a_report_never_takes_a_file_away(report: str, told: str, story: Story, run: Run) -> None:
    Path("link").symlink_to("layout.json")
    Path("style.json").write_text('{"letterer": 1, "size": 8}')
    before = {name: Path(name).read_bytes() for name in ("script.txt", "layout.json", "style.json")}
    done = run("letter", "script.txt", "layout.json", "--report", report)
    assert done == (1, "", f"letterer: {told} Give it another name.\n")
    assert {name: Path(name).read_bytes() for name in before} == before
    assert not Path("out").exists()


def test_a_page_never_takes_its_art_away(story: Story, run: Run) -> None:
    Path("art").mkdir()
    Image.new("L", (50, 50), 90).save("art/page-001.png")
    before = Path("art/page-001.png").read_bytes()
    art = {"file": "art/page-001.png", "covers": "bleed"}
    story.change(pages=[{"page": 1}, {"page": 2, "art": art}])
    done = run("letter", "script.txt", "layout.json", "-o", "art", "--format", "svg,png")
    assert done == (
        1,
        "",
        "letterer: art/page-001.png, page 1: this page would be written over the art of page 2."
        " Choose another folder.\n",
    )
    assert Path("art/page-001.png").read_bytes() == before
    assert story.made() == ["art/page-001.png"]
    # Without that page, or as SVG only, nothing is in the way.
    assert run("letter", "script.txt", "layout.json", "-o", "art", "--format", "svg").status == 0
    assert run("letter", "script.txt", "layout.json", "-o", "art", "--pages", "2,3").status == 0
    assert Path("art/page-001.png").read_bytes() == before


def test_a_page_never_takes_the_script_away(story: Story, run: Run) -> None:
    Path("out").mkdir()
    story.script.rename("out/page-001.svg")
    done = run("letter", "out/page-001.svg", "layout.json")
    assert done.status == 1
    assert done.err.startswith(
        "letterer: out/page-001.svg, page 1: this page would be written over the script."
    )
    assert Path("out/page-001.svg").read_text("utf-8").startswith("PAGE 1\n")


def test_the_summary_can_be_read_by_programs_that_know_ascii_only(
    story: Story, start: Callable[..., Any]
) -> None:
    story.script.write_text("PAGE 1\nPANEL 1\nZO\u00cb: \u00c9t\u00e9.\nZO\u00cb: Non.\n", "utf-8")
    with start(
        "letter",
        "script.txt",
        "layout.json",
        "--format=svg",
        "--pages=1",
        env={"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
    ) as running:
        out, err = running.communicate()
    assert (running.returncode, err) == (0, b"")
    assert b"ZO\\xcb" in out


def test_pictures_are_whole(story: Story, run: Run) -> None:
    assert run("letter", "script.txt", "layout.json", "--dpi", "72").status == 0
    for name in story.made():
        data = Path(name).read_bytes()
        if name.endswith("svg"):
            assert data.endswith(b"</svg>\n")
        else:
            assert picture(name).size == (198, 198)


# --- Side by side, and what goes wrong meanwhile --------------------------------------------------


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_jobs_give_the_same_files(jobs: str, story: Story, run: Run) -> None:
    common = ["letter", "script.txt", "layout.json", "--dpi", "72"]
    assert run(*common, "-o", "usual").status == 0
    done = run(*common, "-o", "side", "--jobs", jobs)
    assert done == (0, "3 pages, 5 units lettered, 6 files written.\nLook in side/\n", "")
    names = sorted(file.name for file in Path("usual").iterdir())
    assert sorted(file.name for file in Path("side").iterdir()) == names
    for name in names:
        assert Path("side", name).read_bytes() == Path("usual", name).read_bytes()


@pytest.mark.parametrize(
    ("jobs", "told"),
    [
        ("0", '--jobs "0" is not a whole number from 1. Write --jobs 2, say.'),
        ("-1", '--jobs "-1" is not a whole number from 1. Write --jobs 2, say.'),
        ("two", '--jobs "two" is not a whole number from 1. Write --jobs 2, say.'),
        ("9999", "9999 is no number of pages to letter side by side. Choose a number from 1 to"),
        ("9" * 50, f'--jobs "{"9" * 20}..." is not a whole number from 1. Write --jobs 2, say.'),
    ],
)
def test_a_wrong_number_of_jobs_is_told(jobs: str, told: str, story: Story, run: Run) -> None:
    done = run("letter", "script.txt", "layout.json", f"--jobs={jobs}")
    assert (done.status, done.out) == (1, "")
    assert done.err.startswith(f"letterer: {told}") and done.err.count("\n") == 1
    assert story.made() == []


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_a_page_that_fails_is_named_and_the_others_are_written(
    jobs: str, story: Story, run: Run
) -> None:
    script = story.script.read_text("utf-8")
    story.script.write_text(script.replace("Krrang!", "Krrang \U0001f600"), "utf-8")
    done = run("letter", "script.txt", "layout.json", "--format=svg", "--jobs", jobs)
    assert done.status == 1
    assert done.out == (
        "2 pages, 3 units lettered, 2 files written.\nNot finished: page 2.\nLook in out/\n"
    )
    first, last = done.err.splitlines()
    assert first.startswith("letterer: script.txt, line 9, unit 2.1.2: ")
    assert last == "letterer: once that is mended, say --pages 2 to letter what is missing."
    assert story.made() == ["out/page-001.svg", "out/page-003.svg"]


LIMITED = """
import resource
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
"""


def test_files_too_large_for_the_system_are_told_and_the_others_are_whole(
    story: Story, start: Callable[..., Any]
) -> None:
    arguments = ["letter", "script.txt", "layout.json", "--dpi=1200"]
    with start(*arguments, first=LIMITED) as running:
        _, err = running.communicate()
    assert running.returncode == 1
    told = err.decode().splitlines()
    assert told[0].startswith("letterer: out/page-001.png: this file is larger than this system al")
    assert len(told) in (3, 4)
    for name in story.made():  # what is there is whole, and nothing else is left
        assert Path(name).stat().st_size <= 20_000
        if name.endswith("svg"):
            assert Path(name).read_bytes().endswith(b"</svg>\n")
        else:
            picture(name)


def test_two_runs_into_one_folder_leave_whole_files(
    story: Story, start: Callable[..., Any], run: Run
) -> None:
    arguments = ["letter", "script.txt", "layout.json", "--dpi=72"]
    assert run(*arguments, "-o", "alone").status == 0
    with start(*arguments) as one, start(*arguments) as other:
        ends = [running.communicate() for running in (one, other)]
    assert [
        (running.returncode, end[1]) for running, end in zip((one, other), ends, strict=True)
    ] == [(0, b"")] * 2
    names = sorted(file.name for file in Path("alone").iterdir())
    assert sorted(file.name for file in Path("out").iterdir()) == names
    for name in names:
        assert Path("out", name).read_bytes() == Path("alone", name).read_bytes()
