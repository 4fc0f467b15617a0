"""The command itself: help, usage, exit statuses, terminals and pipes, interruptions."""

from __future__ import annotations

import io
import os
import pty
import re
import signal
import sys
import termios
from collections.abc import Callable
from pathlib import Path
from subprocess import Popen
from typing import TYPE_CHECKING, Any, NoReturn
from xml.etree import ElementTree

import pytest
from PIL import Image

from letterer import __version__
from letterer.cli import letter as letter_command
from letterer.errors import Fault, LettererError

if TYPE_CHECKING:
    from tests.cli.conftest import Ran, Story

Run = Callable[..., "Ran"]
Start = Callable[..., "Popen[bytes]"]


def test_help_names_every_command_in_plain_words(run: Run) -> None:
    done = run("--help")
    assert (done.status, done.err) == (0, "")
    for words in ("letter ", "demo ", "schema ", "Letters a comic from a plain-text script"):
        assert words in done.out
    assert max(map(len, done.out.splitlines())) <= 80


def test_help_of_letter_names_every_option_and_what_it_is_by_default(run: Run) -> None:
    done = run("letter", "--help")
    assert (done.status, done.err) == (0, "")
    told = " ".join(done.out.split())
    for words in (
        "SCRIPT the script, a plain-text file",
        "LAYOUT the layout, a JSON file",
        "-o DIR, --out DIR folder to write into (out)",
        "--pages 1-3,5 only these pages (all)",
        "--format svg,png svg, png (transparent), preview (over the art), pdf (all pages in one",
        "--dpi N dots per inch of the PNG, 72 to 1200 (600)",
        "--report FILE.json also write a report",
        "--fonts DIR a folder of your own faces",
    ):
        assert words in told


@pytest.mark.parametrize("command", ["demo", "schema"])
def test_every_command_has_help(command: str, run: Run) -> None:
    done = run(command, "--help")
    assert done.status == 0 and "usage: letterer" in done.out and done.err == ""


def test_without_a_command_the_help_is_shown(run: Run) -> None:
    done = run()
    assert (done.status, done.out) == (2, "")
    assert done.err == run("--help").out


def test_the_version(run: Run) -> None:
    assert run("--version") == (0, f"letterer {__version__}\n", "")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["letter"], "the following arguments are required: SCRIPT, LAYOUT"),
        (["letter", "script.txt"], "the following arguments are required: LAYOUT"),
        (["letter", "a", "b", "--page"], "expected one argument"),
        (["lettre"], "invalid choice: 'lettre' (choose from"),
        (["demo"], "the following arguments are required: DIR"),
        (["schema", "script"], "invalid choice: 'script' (choose from"),
    ],
)
def test_wrong_usage_ends_with_status_2(arguments: list[str], told: str, run: Run) -> None:
    done = run(*arguments)
    assert (done.status, done.out) == (2, "")
    assert done.err.startswith("usage: letterer") and told in done.err


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ("letter a b c", '"c" is one name more than letterer letter takes. letterer letter --help'),
        ("letter a b --page=3 --pags 3", "letterer letter has no option --pags. Did you mean"),
        ("room a --paper a4", "letterer room has no option --paper. Did you mean --pages?"),
        ("demo x --size 9", "letterer demo has no option --size. letterer demo --help shows"),
    ],
)
def test_an_option_that_is_not_there_is_told_in_one_line(
    arguments: str, told: str, run: Run
) -> None:
    done = run(*arguments.split())
    assert (done.status, done.out) == (2, "")
    assert done.err.startswith("letterer: ") and done.err.count("\n") == 1
    assert told in done.err


def failing(error: BaseException) -> Callable[..., NoReturn]:
    """A command that ends badly."""

    def run(options: object) -> NoReturn:
        raise error

    return run


@pytest.mark.parametrize(
    ("error", "status", "told"),
    [
        (
            LettererError(Fault("a fault", "Mend it", "a.txt", 3), Fault("another")),
            1,
            "letterer: a.txt, line 3: a fault. Mend it.\nletterer: another.\n",
        ),
        (
            MemoryError(),
            1,
            "letterer: there is not enough memory. Choose a smaller dpi, or letter fewer --pages at"
            " once.\n",
        ),
        (KeyboardInterrupt(), 130, "letterer: stopped; every file that was written is whole.\n"),
        (BrokenPipeError(), 1, ""),
        (
            OSError(5, "Input/output error", "faces/own.ttf"),
            1,
            "letterer: faces/own.ttf: this cannot be used (Input/output error).\n",
        ),
    ],
)
def test_every_end_has_its_status_and_its_words(
    error: BaseException,
    status: int,
    told: str,
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(letter_command, "run", failing(error))
    assert run("letter", "script.txt", "layout.json") == (status, "", told)


def test_memory_that_runs_out_while_drawing_is_told(
    story: Story, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    import numpy as np

    monkeypatch.setattr(np, "zeros", failing(MemoryError()))
    monkeypatch.setattr(np, "full", np.full)
    done = run("letter", "script.txt", "layout.json", "--format", "png")
    assert (done.status, done.out) == (1, "")
    assert "page 1: there is not enough memory. Choose a smaller dpi" in done.err


# --- Terminals and pipes --------------------------------------------------------------------------

AT_ONCE = "import letterer.cli.progress as progress; progress.WAIT_SECONDS = 0"


def read_terminal(handle: int) -> bytes:
    """All that was written to a terminal."""
    told = b""
    while True:
        try:
            more = os.read(handle, 4096)
        except OSError:  # Linux says so when the other side was closed
            return told
        if not more:
            return told
        told += more


def test_a_bar_is_drawn_on_a_terminal_and_cleared(story: Story, start: Start) -> None:
    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, 80))
    with start(
        "letter", "script.txt", "layout.json", "--format=svg", first=AT_ONCE, stderr=theirs
    ) as running:
        os.close(theirs)
        told = read_terminal(ours)
        assert running.stdout is not None
        out = running.stdout.read()
    os.close(ours)
    assert running.returncode == 0
    assert re.search(r"\rlettering +[0-9]+% \|█.*\| page.* (lettered|written)", told.decode())
    assert told.endswith(b" \r")  # its line was cleared
    assert out == b"3 pages, 5 units lettered, 3 files written.\nLook in out/\n"


def test_no_bar_is_drawn_into_a_file_or_a_pipe(story: Story, start: Start) -> None:
    arguments = ("letter", "script.txt", "layout.json", "--format=svg")
    with start(*arguments, first=AT_ONCE) as running:
        _, err = running.communicate()
    assert (running.returncode, err) == (0, b"")


def test_a_reader_that_goes_away_is_no_error_to_shout_about(story: Story, start: Start) -> None:
    for arguments in (
        ("schema",),
        ("letter", "script.txt", "layout.json", "--format=svg"),
        ("--help",),
    ):
        ours, theirs = os.pipe()
        os.close(ours)
        with start(*arguments, stdout=theirs) as running:
            os.close(theirs)
            assert running.stderr is not None
            err = running.stderr.read()
        assert (running.returncode, err) == (1, b""), arguments
    assert story.made() == [f"out/page-00{number}.svg" for number in (1, 2, 3)]


def test_a_summary_that_cannot_be_written_is_told(story: Story, start: Start) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no device that is always full")
    with (
        open("/dev/full", "wb") as full,
        start("letter", "script.txt", "layout.json", "--format=svg", stdout=full) as running,
    ):
        assert running.stderr is not None
        err = running.stderr.read().decode()
    assert running.returncode == 1
    assert err == (
        "letterer: what was to be shown here cannot be written (No space left on device); the work"
        " itself is done.\n"
    )
    assert len(story.made()) == 3


def test_a_closed_output_is_no_error(story: Story, start: Start) -> None:
    closing = "import os; os.close(1); sys.stdout = None"
    arguments = ("letter", "script.txt", "layout.json", "--format=svg")
    with start(*arguments, first=closing) as running:
        _, err = running.communicate()
    assert (running.returncode, err) == (0, b"")


# --- Interruption ---------------------------------------------------------------------------------

# Tells when the second file was written, then waits: the signal always comes in the middle.
WAITING = """
import os, time, letterer.out.files as files
whole, count = files.write_parts, 0
def slowly(path, parts):
    global count
    whole(path, parts)
    count += 1
    if count == 2:
        print("second", flush=True)
        time.sleep(60)
files.write_parts = slowly
"""
# The same, but in the middle of a file.
WITHIN = """
import os, time
replace, count = os.replace, 0
def slowly(old, new):
    global count
    count += 1
    if count == 3:
        print("within", flush=True)
        time.sleep(60)
    replace(old, new)
os.replace = slowly
"""


@pytest.mark.parametrize("first", [WAITING, WITHIN])
def test_ctrl_c_leaves_whole_files_only(first: str, story: Story, start: Start) -> None:
    arguments = ("letter", "script.txt", "layout.json", "--dpi=72")
    with start(*arguments, first=first) as running:
        assert running.stdout is not None and running.stdout.readline()
        running.send_signal(signal.SIGINT)
        out, err = running.communicate()
    assert running.returncode == 130
    assert (out, err) == (b"", b"letterer: stopped; every file that was written is whole.\n")
    assert story.made() == ["out/page-001.png", "out/page-001.svg"]
    ElementTree.parse("out/page-001.svg")
    Image.open(io.BytesIO(Path("out/page-001.png").read_bytes())).load()


def test_it_runs_as_a_module(repository: Path, tmp_path: Path) -> None:
    with Popen(
        [sys.executable, "-m", "letterer", "--version"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(repository)},
        stdout=-1,
    ) as running:
        out: Any = running.communicate()[0]
    assert (running.returncode, out) == (0, f"letterer {__version__}\n".encode())
