"""Whatever a person gives: it is set rightly, or told in plain lines; never a traceback, nothing
half-written."""

from __future__ import annotations

import json
import math
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from PIL import Image

from letterer.api import compose
from letterer.cli.main import main
from letterer.errors import LettererError
from letterer.model.layout_reader import parse_layout
from letterer.model.script_reader import parse_script
from letterer.out.report import report_json
from letterer.out.svg import svg_page
from letterer.page.lettered import LetteredPage

SCRIPT = "PAGE 1\nPANEL 1\nNELL: The lamp is out.\n\nPAGE 2\nPANEL 1\nCAPTION: Later.\n"

LAYOUT: dict[str, Any] = {
    "letterer": 1,
    "unit": "mm",
    "page": {"trim": [60, 60], "bleed": 3, "live": 3},
    "pages": [
        {
            "page": 1,
            "panels": [{"panel": 1, "box": [3, 3, 54, 54], "mouths": {"NELL": [20, 40]}}],
            "placements": [{"unit": "1.1.1", "center": [25, 20]}],
        },
        {
            "page": 2,
            "panels": [{"panel": 1, "box": [3, 3, 54, 54]}],
            "placements": [{"unit": "2.1.1", "corner": "top left"}],
        },
    ],
}

LINE = re.compile(r"letterer: .+[.?!]")


class Bench(NamedTuple):
    """A folder with a script and a layout, and the command line to run on them."""

    folder: Path
    capture: pytest.CaptureFixture[str]

    def write(self, script: str | bytes = SCRIPT, layout: str | bytes | None = None) -> None:
        """Write both files anew."""
        layout = json.dumps(LAYOUT) if layout is None else layout
        for name, text in (("script.txt", script), ("layout.json", layout)):
            data = text.encode() if isinstance(text, str) else text
            (self.folder / name).write_bytes(data)

    def run(self, *options: str, files: tuple[str, str] = ("script.txt", "layout.json")) -> str:
        """Letter; what was said on stderr when it failed, '' when it went well."""
        self.capture.readouterr()
        status = main(["letter", *files, "--format", "svg", *options])
        out, err = self.capture.readouterr()
        assert (status != 0) == (err != "")
        assert (out != "") == (status == 0 or "Not finished: " in out)
        for line in err.splitlines():
            assert LINE.fullmatch(line), line
            assert "Traceback" not in line and "Error" not in line
        return str(err)

    def made(self) -> list[str]:
        """Every file that was made."""
        given = {"script.txt", "layout.json", "art.png"}
        return sorted(
            path.relative_to(self.folder).as_posix()
            for path in self.folder.rglob("*")
            if path.name not in given
        )


@pytest.fixture
def bench(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Bench:
    """A bench with a story that can be lettered."""
    monkeypatch.chdir(tmp_path)
    bench = Bench(tmp_path, capsys)
    bench.write()
    return bench


def keys(**changed: Any) -> str:
    """The layout with some of its keys changed."""
    return json.dumps({**LAYOUT, **changed})


def unit(**placement: Any) -> str:
    """The layout with the first unit placed otherwise."""
    first = {**LAYOUT["pages"][0], "placements": [{"unit": "1.1.1", **placement}]}
    return keys(pages=[first, LAYOUT["pages"][1]])


def test_the_bench_letters(bench: Bench) -> None:
    assert bench.run() == ""
    assert bench.made() == ["out", "out/page-001.svg", "out/page-002.svg"]


# --- The files ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("files", "told"),
    [
        (
            ("scrpt.txt", "layout.json"),
            "scrpt.txt: there is no such file. Did you mean script.txt?",
        ),
        (
            ("script.txt", "layot.json"),
            "layot.json: there is no such file. Did you mean 'layout.json'?",
        ),
        (("no/script.txt", "layout.json"), "no/script.txt: there is no such file."),
        (("script.txt", "no/layout.json"), "no/layout.json: there is no such file."),
        (
            (".", "layout.json"),
            ".: this is a folder, not a script. Name the script file inside it.",
        ),
        (("script.txt", "."), ".: this is a folder, not a file. Name the file in it."),
        (("", "layout.json"), "this is a folder, not a script. Name the script file inside it."),
        (
            ("x" * 300, "layout.json"),
            f"{'x' * 300}: this file cannot be opened (File name too long).",
        ),
        (
            ("script.txt", "x" * 300),
            f"{'x' * 300}: this file cannot be opened (File name too long)",
        ),
        (("a\0b", "layout.json"), ""),
        (
            ("layout.json", "script.txt"),
            "layout.json: this is not a script; it looks like a layout. Name",
        ),
    ],
)
def test_files_that_cannot_be_read(files: tuple[str, str], told: str, bench: Bench) -> None:
    err = bench.run(files=files)
    assert err.startswith(f"letterer: {told}")
    assert bench.made() == []


def test_both_files_missing_is_two_lines(bench: Bench) -> None:
    err = bench.run(files=("a.txt", "b.json"))
    assert [line.split(":")[1].strip() for line in err.splitlines()] == ["a.txt", "b.json"]


def test_files_that_may_not_be_read(bench: Bench) -> None:
    if os.access(bench.folder, os.W_OK) and os.geteuid() == 0:
        pytest.skip("this person may read anything")
    for name in ("script.txt", "layout.json"):
        (bench.folder / name).chmod(0)
        assert f"{name}: this file" in bench.run()
        (bench.folder / name).chmod(0o644)
    assert bench.made() == []


@pytest.mark.parametrize(
    ("script", "told"),
    [
        (b"", "script.txt: the script is empty. Begin with a line PAGE 1,"),
        (b" \r\n\t\n", "script.txt: the script is empty."),
        (b"\xef\xbb\xbf", "script.txt: the script is empty."),
        (b"Nell climbs the stairs.\n", "script.txt: no page heading was found. Begin with a line"),
        (
            "PAGE 1\nPANEL 1\nZO\u00cb: Non.".encode("latin-1"),
            "script.txt, line 3: a character on this line is not in UTF-8. Save the script",
        ),
        ("PAGE 1\n".encode("utf-16-le"), "script.txt: this is not plain text. Save the script as"),
        (b"PK\x03\x04 and so on", "script.txt: this is not plain text. Save the script as plain"),
        (
            b"PAGE 1\nPANEL 1\nNELL: So\x07.",
            "script.txt, line 3: there is a control character here, U+0007",
        ),
        (
            b"PAGE 1\nPANEL 1\nNELL: So.\n\nPAGE 1\nPANEL 1\nNELL: No.",
            "script.txt, line 5: page 1 comes twice (it stands on line 1 as well). Give one of",
        ),
        (b"PAGE 1\nPANEL 1\nNELL (wisper): So.", "script.txt, line 3, page 1: "),
        (b"PAGE 1\nPANEL 1\nNELL:\n", 'script.txt, line 3, page 1: the cue "NELL:" has no words.'),
    ],
)
def test_scripts_that_cannot_be_read(script: bytes, told: str, bench: Bench) -> None:
    bench.write(script)
    err = bench.run()
    assert err.startswith(f"letterer: {told}")
    assert err.count("\n") == 1
    assert bench.made() == []


@pytest.mark.parametrize(
    "script",
    [
        "\ufeff" + SCRIPT,
        SCRIPT.replace("\n", "\r\n"),
        SCRIPT.replace("\n", "\r"),
        SCRIPT.replace(": ", ":\t"),
        "My title\n\n" + SCRIPT,
    ],
)
def test_scripts_as_other_machines_write_them(script: str, bench: Bench) -> None:
    assert bench.run() == ""
    usual = (bench.folder / "out" / "page-001.svg").read_bytes()
    bench.write(script)
    assert bench.run() == ""
    assert (bench.folder / "out" / "page-001.svg").read_bytes() == usual


def test_a_script_in_utf_16_is_read(bench: Bench) -> None:
    bench.write(SCRIPT.encode("utf-16"))
    assert bench.run() == ""


@pytest.mark.parametrize(
    ("layout", "told"),
    [
        ("", "layout.json: this file is empty."),
        ("so", "layout.json, line 1"),
        ("[]", "layout.json, line 1: "),
        ('{"letterer": 1,}', "layout.json, line 1"),
        (keys(page={"trim": [math.nan, 60]}), "layout.json, line 1"),
        (keys(page={"trim": [math.inf, 60]}), "layout.json, line 1"),
        (keys(page={"trim": [-60, 60]}), "layout.json, line 1"),
        (keys(page={"trim": [0, 60]}), "layout.json, line 1"),
        (keys(page={"trim": ["60", 60]}), "layout.json, line 1"),
        (keys().replace("60", "1e999"), "layout.json, line 1"),
        (keys(letterer=2), "layout.json, line 1: this file was written for a newer letterer"),
        (keys(unit="px"), "layout.json, line 1"),
        (
            keys(style="plane hand"),
            "layout.json, line 1: there is no style called 'plane hand'. Did you mean 'plain",
        ),
        (keys(style="own.json"), "layout.json, line 1: there is no style file 'own.json'."),
        (
            keys(style={"text": "No Hand"}),
            'layout.json: there is no face called "No Hand". Choose one of Bangers, ',
        ),
        (keys(pagse=[]), "layout.json, line 1"),
        (unit(box=[10, 10, 0, 20]), "layout.json, line 1, unit 1.1.1: "),
        (unit(box=[10, 10, -5, 20]), "layout.json, line 1, unit 1.1.1: "),
        (unit(box=[10, 10, 20]), "layout.json, line 1, unit 1.1.1: "),
        (unit(center=[1e30, 5]), "layout.json, line 1, unit 1.1.1: "),
        (unit(center=[5, 5], size=0), "layout.json, line 1, unit 1.1.1: "),
        (unit(center=[5, 5], size=1e6), "layout.json, line 1, unit 1.1.1: "),
        (unit(center=[5, 5], lines=0), "layout.json, line 1, unit 1.1.1: "),
        (unit(center=[5, 5], aspect=-1), "layout.json, line 1, unit 1.1.1: "),
        (unit(center=[5, 5], kind="wisper"), "layout.json, line 1, unit 1.1.1: "),
        (unit(center=[5, 5], tails=["TOM"]), "layout.json, line 1, unit 1.1.1: "),
        (unit(), "layout.json, line 1, unit 1.1.1: "),
        (unit(center=[5, 5], corner="top left"), "layout.json, line 1, unit 1.1.1: "),
        ("[" * 100_000, "layout.json, line 1"),
        ('{"letterer": 1, "note": "' + "x" * 300_000 + '"', "layout.json, line 1"),
    ],
)
def test_layouts_that_cannot_be_read(layout: str, told: str, bench: Bench) -> None:
    bench.write(layout=layout)
    err = bench.run()
    assert err.startswith(f"letterer: {told}")
    assert max(map(len, err.splitlines())) < 400
    assert bench.made() == []


def test_a_page_that_comes_twice_in_the_layout(bench: Bench) -> None:
    bench.write(layout=keys(pages=[*LAYOUT["pages"], {"page": 1}]))
    assert "page 1" in bench.run()
    assert bench.made() == []


# --- The words ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("x" * 500, 'a word of 500 letters, "XXXXXXXXXXXX...". Put spaces or hyphens into it.'),
        (
            "so " * 5000,
            "14,999 letters in one balloon or caption. Split it: 25 words is the usual most.",
        ),
        (
            "Hi \U0001f600!",
            'no face has the character "\U0001f600" (U+1F600 GRINNING FACE). Write it',
        ),
        ("a\ue000b", "no face has the character (U+E000). Write it another way, or add a face"),
        ("\ufffe!", "no face has the character (U+FFFE)"),
    ],
)
def test_words_that_cannot_be_set(words: str, told: str, bench: Bench) -> None:
    bench.write(SCRIPT.replace("The lamp is out.", words))
    err = bench.run()
    assert err.startswith(f"letterer: script.txt, line 3, unit 1.1.1: {told}")
    assert bench.made() == ["out", "out/page-002.svg"], "the other page is lettered"


@pytest.mark.parametrize(
    "words",
    [
        "\u05e9\u05dc\u05d5\u05dd \u05e2\u05d5\u05dc\u05dd",
        "\u0645\u0631\u062d\u0628\u0627 (NELL) \u0628\u0627\u0644\u0639\u0627\u0644\u0645",
        "e\u0301te\u0301 a\u0308\u0323",
        "a" + "\u0301" * 40,
        "\u0e2a\u0e27\u0e31\u0e2a\u0e14\u0e35",
        "\u6f22\u5b57",
        "co\u00adop a\u00a0b a\u200bb a\u2060b",
        "a\u202eb\u202c",
        "...",
        "--",
        "?!?!",
        "x" * 199,
        "so " * 60,
        "<&>\"'",
        "\u2014\u2014\u2014",
    ],
)
@pytest.mark.parametrize("placed", [{"center": [25, 20]}, {"box": [5, 5, 40, 30]}])
def test_unusual_words_are_set(words: str, placed: dict[str, Any], bench: Bench) -> None:
    bench.write(SCRIPT.replace("The lamp is out.", words), unit(**placed))
    assert bench.run("--pages", "1") == ""
    drawn = (bench.folder / "out" / "page-001.svg").read_text("utf-8")
    assert 'class="line" d="M' in drawn
    assert "nan" not in drawn and "inf" not in drawn


def test_a_tiny_box_is_a_problem_told_in_the_summary(bench: Bench) -> None:
    bench.write(layout=unit(box=[10, 10, 0.01, 0.01]))
    assert main(["letter", "script.txt", "layout.json", "--format", "svg"]) == 0
    out = bench.capture.readouterr().out
    assert "1 not fitting" in out.splitlines()[0]
    assert "problem: unit 1.1.1: the words do not fit their box at 6 pt, the smallest size." in out


# --- The output -----------------------------------------------------------------------------------


def test_a_page_beyond_four_gigabytes(bench: Bench) -> None:
    bench.write(layout=keys(page={"trim": [2000, 2000], "bleed": 0}))
    assert bench.run("--format", "png", "--dpi", "1200") == (
        "letterer: page 1: at 1200 dpi this page is 94488 by 94488 pixels and could need 83.1 GB of"
        " memory. Choose 263 dpi or less.\n"
    )
    assert bench.made() == []


@pytest.mark.parametrize(
    ("art", "told"),
    [
        (None, 'art.png, page 1: there is no such art file. Check "file" under "art" in the'),
        (b"", "art.png, page 1: this art file cannot be read. Save it again as PNG, TIFF or JPEG."),
        (b"\x89PNG\r\n\x1a\n and no more", "art.png, page 1: this art file cannot be read."),
    ],
)
def test_art_that_cannot_be_read_stops_the_preview_only(
    art: bytes | None, told: str, bench: Bench
) -> None:
    pages = [{**LAYOUT["pages"][0], "art": {"file": "art.png", "covers": "bleed"}}]
    bench.write(layout=keys(pages=pages))
    if art is not None:
        (bench.folder / "art.png").write_bytes(art)
    err = bench.run("--format", "svg,preview")
    assert told in err and err.count("\n") == 1
    assert bench.made() == []
    assert bench.run("--format", "svg") == ""


def test_art_cut_short_is_told_before_anything_is_written(bench: Bench) -> None:
    pages = [{"page": 1}, {"page": 2, "art": {"file": "art.png", "covers": "bleed"}}]
    bench.write(layout=keys(pages=pages))
    art = bench.folder / "art.png"
    Image.effect_noise((300, 300), 90).save(art)
    art.write_bytes(art.read_bytes()[:20_000])
    assert "art.png, page 2: this art file cannot be read." in bench.run("--format=preview")
    assert bench.made() == []


@pytest.mark.parametrize(
    ("message", "told"),
    [
        (
            "libEGL.so.1: cannot open shared object file: No such file or directory",
            "letterer: PNG pages need the system library libEGL.so.1, which is missing. Install it,"
            " on Debian or Ubuntu with: apt-get install libegl1.\n",
        ),
        (
            "No module named 'skia'",
            "letterer: PNG pages need the package skia-python, which cannot be loaded (No module"
            " named 'skia'). Install it with: pip install skia-python.\n",
        ),
    ],
)
def test_without_skia_there_is_svg_and_one_clear_line(
    message: str, told: str, bench: Bench, repository: Path
) -> None:
    broken = bench.folder / "broken"
    broken.mkdir()
    (broken / "skia.py").write_text(f"raise ImportError({message!r})\n")
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(broken), str(repository)])}
    command = [sys.executable, "-B", "-m", "letterer", "letter", "script.txt", "layout.json"]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (1, "", told)
    assert not (bench.folder / "out").exists()
    command += ["--format", "svg"]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_disk_that_fills_up_leaves_whole_pages_only(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, count = os.replace, iter(range(10))

    def full(old: str, new: str) -> None:
        if next(count) == 1:
            raise OSError(28, "No space left on device")
        real(old, new)

    monkeypatch.setattr(os, "replace", full)
    assert bench.run() == (
        "letterer: out/page-002.svg: the disk is full. Make room on it, or write to another"
        " folder.\n"
        "letterer: once that is mended, say --pages 2 to letter what is missing.\n"
    )
    assert bench.made() == ["out", "out/page-001.svg"]
    assert (bench.folder / "out" / "page-001.svg").read_text("utf-8").endswith("</svg>\n")


@pytest.fixture
def real_small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk with room for 48 kilobytes; only where this person may mount one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=48k", "none", str(folder)]
    try:
        done = subprocess.run(mount, capture_output=True, check=False)
    except OSError:
        pytest.skip("there is no mount on this machine")
    if done.returncode:
        pytest.skip("this person may not mount a disk")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def test_a_disk_that_is_really_full(real_small_disk: Path, bench: Bench) -> None:
    words = "Of course I'm sure. I counted them twice, and then I counted them all again."
    bench.write(SCRIPT.replace("The lamp is out.", words).replace("Later.", words))
    err = bench.run("-o", "disk")
    full = r"(letterer: disk/page-00[12]\.svg: the disk is full\. Make room .*\n)+"
    assert re.fullmatch(full + r"(letterer: once that is mended, .*\n)?", err)
    for file in real_small_disk.iterdir():
        assert file.name == "page-001.svg"
        assert file.read_text("utf-8").endswith("</svg>\n")


def test_a_read_only_folder(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    (bench.folder / "out").mkdir()
    monkeypatch.setattr(os, "access", lambda *_: False)
    assert bench.run() == (
        "letterer: out: this may not be written to. Choose another folder, or change its"
        " permissions.\n"
    )
    assert bench.made() == ["out"]


def test_numbers_in_the_report_are_finite_whatever_was_asked(bench: Bench) -> None:
    bench.write("PAGE 1\nPANEL 1\nNELL: A.\n", unit(box=[10, 10, 0.001, 0.001], lines=7))
    assert bench.run("--report", "r.json") == ""

    def refuse(name: str) -> float:
        raise AssertionError(name)

    told = json.loads((bench.folder / "r.json").read_text(), parse_constant=refuse)
    assert math.isfinite(told["pages"][0]["units"][0]["size"])


# --- Anything at all ------------------------------------------------------------------------------

LATIN = "abcdeIN\u00e7\u00e9\u00df\u0142 ,.;!?-\u2013\u2014\u2019\u201c\u201d()[]&/<>0123"
FOREIGN = [
    "\u05e9\u05dc\u05d5\u05dd",
    "e\u0301te\u0301",
    "\u0e2a\u0e27\u0e31",
    "\u6f22",
    "\u0416\u0443\u043a",
]
WORDS = st.lists(
    st.sampled_from(["so", "I", "don't", "*never*", "`as is`", "--", "...", "lighthouse", *FOREIGN])
    | st.text(LATIN, max_size=6),
    min_size=1,
    max_size=12,
).map(lambda words: " ".join(["So", *words]))
CUES = st.sampled_from(
    [
        "NELL",
        "TOM (whisper)",
        "TOM (off, shout)",
        "CAPTION",
        "CAPTION (place)",
        "SFX",
        "NELL (open)",
    ]
)
UNITS = st.lists(st.tuples(CUES, WORDS), min_size=1, max_size=3)

number = st.one_of(
    st.integers(-50, 250), st.floats(-1e3, 1e3), st.sampled_from([0, 1e-9, 1e5, -1e5])
)
positive = st.one_of(st.integers(1, 150), st.floats(0.001, 500))
xy = st.tuples(number, number)
spots = st.one_of(
    xy.map(lambda at: {"center": at}),
    st.tuples(number, number, positive, positive).map(lambda box: {"box": box}),
    st.sampled_from(["top left", "bottom right"]).map(lambda corner: {"corner": corner}),
    st.tuples(st.sampled_from(["top", "left"]), st.floats(0, 1)).map(
        lambda edge: {"edge": edge[0], "along": edge[1]}
    ),
)
wishes = st.fixed_dictionaries(
    {},
    optional={
        "size": st.floats(1, 400),
        "lines": st.integers(1, 9),
        "aspect": st.floats(0.2, 10),
        "tails": st.lists(xy, max_size=3),
        "kind": st.sampled_from(["speech", "whisper", "open", "effect", "caption", "shout"]),
    },
)
placements = st.tuples(spots, wishes).map(lambda both: both[0] | both[1])
styles = st.fixed_dictionaries(
    {},
    optional={
        "air": st.floats(0, 4),
        "hand": st.floats(0, 0.5),
        "border": st.floats(0, 20),
        "exponent": st.floats(2, 6),
        "leading": st.floats(0.7, 3),
        "capitals": st.booleans(),
        "gap": st.one_of(st.just("flush"), st.floats(0, 50)),
        "tail_share": st.floats(0.1, 1),
    },
)
panels = st.one_of(
    st.tuples(number, number, positive, positive).map(lambda box: {"panel": 1, "box": box}),
    st.lists(xy, min_size=3, max_size=4).map(lambda ring: {"panel": 1, "polygon": ring}),
)


def layout_of(count: int) -> st.SearchStrategy[dict[str, Any]]:
    """Layouts of one page with so many units; not all of them can be used."""
    mouths = st.fixed_dictionaries({}, optional={"NELL": xy, "TOM": xy})
    return st.builds(
        lambda panel, mouths, placed, style, bleed: {
            "letterer": 1,
            "unit": "pt",
            "page": {"trim": [200, 200], "bleed": bleed, "live": 9},
            "style": style,
            "pages": [
                {
                    "page": 1,
                    "panels": [{**panel, "mouths": mouths}],
                    "placements": [
                        {"unit": f"1.1.{index}", **placement}
                        for index, placement in enumerate(placed, 1)
                    ],
                }
            ],
        },
        panels,
        mouths,
        st.lists(placements, min_size=count, max_size=count),
        styles,
        st.integers(0, 20),
    )


def coordinates(page: LetteredPage) -> Iterator[float]:
    """Every number that a page is drawn with."""
    for unit in page.units:
        for path in (*unit.lines, *filter(None, [unit.outline])):
            for segment in path.segments:
                for point in segment.points:
                    yield from point
        yield from (*unit.ink, *unit.box, *unit.center, unit.size)
        yield from (value for tail in unit.tails for value in (*tail.tip, *tail.mouth))
        yield from (cost for _, cost in unit.costs)


def tried(script: str, layout: str) -> bool:
    """Letter a text by a layout: True when it went well, False when it was refused plainly."""
    try:
        pages = compose(parse_script(script, "s.txt"), parse_layout(layout, "l.json")).pages
        drawn = [svg_page(page) for page in pages]
    except LettererError as error:
        for fault in error.faults:
            assert fault.what and fault.file in ("s.txt", "l.json"), fault
            assert "\n" not in str(fault)
        return False
    for page, text in zip(pages, drawn, strict=True):
        assert all(math.isfinite(value) for value in coordinates(page))
        ElementTree.fromstring(text)
        json.loads(report_json([page], []))
    return True


@settings(max_examples=100)
@given(st.data(), UNITS)
def test_any_story_is_lettered_or_refused(
    data: st.DataObject, units: list[tuple[str, str]]
) -> None:
    script = "PAGE 1\nPANEL 1\n" + "".join(f"{cue}: {words}\n" for cue, words in units)
    layout = data.draw(layout_of(len(units)))
    event("lettered" if tried(script, json.dumps(layout)) else "refused")


@settings(max_examples=100)
@given(st.data())
def test_files_with_slips_are_read_or_refused(data: st.DataObject) -> None:
    script, layout = SCRIPT, json.dumps(LAYOUT)
    for _ in range(data.draw(st.integers(1, 3))):
        if data.draw(st.booleans()):
            script = slip(script, data)
        else:
            layout = slip(layout, data)
    event("lettered" if tried(script, layout) else "refused")


def slip(text: str, data: st.DataObject) -> str:
    """A text with a piece of it lost, doubled or typed otherwise."""
    begin = data.draw(st.integers(0, len(text)))
    end = begin + data.draw(st.integers(0, 12))
    piece = data.draw(
        st.sampled_from(
            ["", text[begin:end] * 2, "-", "0", "9" * 30, '"', "\n", "*", "\\", ":", "\0"]
        )
        | st.text(max_size=3)
    )
    return text[:begin] + piece + text[end:]
