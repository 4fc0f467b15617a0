"""PDF, layers and pages for the screen, from the command line."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image


def test_a_book_is_one_pdf(run: Callable[..., Any], story: Any) -> None:
    done = run("letter", story.script, story.layout, "--format", "pdf", "--no-cache")
    assert done.status == 0, done
    assert [path.name for path in Path("out").iterdir()] == ["book.pdf"]
    whole = Path("out/book.pdf").read_bytes()
    assert whole.count(b"/Type/Page/") == 3
    assert b"/Title(script)" in whole
    some = run(
        "letter", story.script, story.layout, "--format", "pdf", "--pages", "1,3", "--no-cache"
    )
    assert some.status == 0
    assert Path("out/book-pages-1+3.pdf").read_bytes().count(b"/Type/Page/") == 2
    assert Path("out/book.pdf").read_bytes() == whole


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_a_pdf_is_the_same_by_any_number_of_processes(
    jobs: str, run: Callable[..., Any], story: Any, golden_bytes: dict[str, bytes]
) -> None:
    arguments = ("--format", "pdf", "--no-cache", "--overprint", "--jobs", jobs)
    assert run("letter", story.script, story.layout, *arguments).status == 0
    made = Path("out/book.pdf").read_bytes()
    assert golden_bytes.setdefault("book", made) == made


@pytest.fixture(scope="module")
def golden_bytes() -> dict[str, bytes]:
    """The bytes of the first run, for those that follow."""
    return {}


def test_no_pdf_without_a_page_that_failed(run: Callable[..., Any], story: Any) -> None:
    text = story.script.read_text("utf-8").replace("Low Harbour", "\U0001f989")
    story.script.write_text(text, "utf-8")
    done = run("letter", story.script, story.layout, "--format", "svg,pdf", "--no-cache")
    assert done.status == 1
    assert "Not finished: page 2." in done.out
    assert "The PDF is not written: it would lack what is not finished." in done.out
    assert sorted(path.name for path in Path("out").iterdir()) == ["page-001.svg", "page-003.svg"]


def test_a_pdf_is_not_written_over_the_script(run: Callable[..., Any], story: Any) -> None:
    script = story.folder / "book.pdf"
    script.write_text(story.script.read_text("utf-8"), "utf-8")
    done = run("letter", script, story.layout, "--format", "pdf", "-o", ".", "--no-cache")
    assert done.status == 1
    assert "the PDF would be written over the script. Choose another folder." in done.err


def test_a_page_in_layers(run: Callable[..., Any], story: Any) -> None:
    done = run("letter", story.script, story.layout, "--format", "ora", "--dpi", "72", "--no-cache")
    assert done.status == 0, done
    assert len(list(Path("out").glob("page-00?.ora"))) == 3
    with zipfile.ZipFile("out/page-001.ora") as file:
        assert file.namelist()[0] == "mimetype"


def test_pages_for_the_screen(run: Callable[..., Any], story: Any) -> None:
    done = run("screen", story.script, story.layout, "--width", "300", "--format", "jpg")
    assert (done.status, done.out) == (0, "3 files. Look in out/\n")
    with Image.open("out/screen-001.jpg") as opened:
        assert opened.size == (300, 300)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--width", "wide"), '--width "wide" is not a whole number of pixels'),
        (("--width", "20"), "--width 20 is out of range"),
        (("--format", "gif"), '"gif" is no format for the screen. Choose from png, jpeg, webp.'),
        (("--pages", "9"), "the script has no page 9"),
    ],
)
def test_what_cannot_be_done_is_told(
    arguments: tuple[str, ...], told: str, run: Callable[..., Any], story: Any
) -> None:
    done = run("screen", story.script, story.layout, *arguments)
    assert done.status == 1 and told in done.err
    assert not Path("out").exists()


def test_words_of_a_pdf_as_outlines_or_as_text(story: Any, run: Callable[..., Any]) -> None:
    sizes = []
    for words in ("outlines", "text"):
        out = story.folder / words
        given = ("-o", out, "--format", "pdf", "--pdf-words", words)
        done = run("letter", story.script, story.layout, *given)
        assert (done.status, done.err) == (0, "")
        data = (out / "book.pdf").read_bytes()
        assert (b"+LettererHand-Regular" in data) == (words == "text")
        sizes.append(len(data))
    assert sizes[1] < sizes[0]
    done = run("letter", story.script, story.layout, "--format", "pdf", "--pdf-words", "txet")
    assert done.status == 1 and "Choose from outlines, text" in done.err
    done = run("letter", story.script, story.layout, "--pdf-words", "text")
    assert done.status == 1 and "--pdf-words is for a PDF" in done.err
