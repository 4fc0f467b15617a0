"""`letterer proof`, `letterer words` and `letterer letter --spaced` as a person runs them."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

Run = Callable[..., Any]


def test_a_proof(story: Any, run: Run) -> None:
    out = story.folder / "look" / "proof.html"
    done = run("proof", story.script, story.layout, "-o", out, "--pages", "1,3")
    assert (done.status, done.err) == (0, "")
    assert done.out.startswith("2 pages, ") and f"Open {out} in a browser." in done.out
    text = out.read_text("utf-8")
    assert 'id="page-1"' in text and 'id="page-2"' not in text and 'id="page-3"' in text


def test_a_proof_of_files_that_are_not_there(story: Any, run: Run) -> None:
    out = story.folder / "proof.html"
    done = run("proof", story.folder / "none.txt", story.layout, "-o", out)
    assert done.status == 1 and "none.txt" in done.err
    assert not out.exists()


def test_words(story: Any, run: Run) -> None:
    out = story.folder / "words"
    done = run("words", story.script, "-o", out)
    assert (done.status, done.err) == (0, "")
    assert "TOM (whisper): Sssh." in (out / "words.txt").read_text("utf-8")
    assert len(json.loads((out / "alt.json").read_text("utf-8"))["pages"]) == 3


def test_words_go_over_no_file_of_the_persons(story: Any, run: Run) -> None:
    script = story.folder / "words.txt"
    script.write_bytes(story.script.read_bytes())
    before = script.read_bytes()
    done = run("words", script, "-o", story.folder)
    assert done.status == 1 and "written over a file of yours" in done.err
    assert script.read_bytes() == before and not (story.folder / "alt.json").exists()


def test_spaced_lettering_is_wider_and_fitted_again(story: Any, run: Run) -> None:
    units = []
    out, alone = story.folder / "out", None
    for name, more in (("plain", ()), ("spaced", ("--spaced",))):
        report = out / f"{name}.json"
        given = ("-o", out, "--format", "svg", "--no-cache", "--report", report, *more)
        done = run("letter", story.script, story.layout, *given)
        assert (done.status, done.err) == (0, "")
        # Plain pages are not written over: spaced ones have a folder of their own.
        alone = alone or (out / "page-001.svg").read_bytes()
        assert (out / "page-001.svg").read_bytes() == alone
        assert (out / "spaced" / "page-001.svg").exists() == bool(more)
        assert done.out.endswith(f"Look in {out / 'spaced' if more else out}/\n")
        made = json.loads(report.read_text("utf-8"))["pages"]
        units.append([unit for page in made for unit in page["units"]])
    for close, wide in zip(*units, strict=True):
        if close["kind"] == "effect":
            assert wide == close
        elif close["lines"] == wide["lines"]:
            assert wide["ink"][2] > close["ink"][2] * 1.05
            assert wide["box"][2] > close["box"][2]
    assert any(close["lines"] == wide["lines"] for close, wide in zip(*units, strict=True))


def test_reading_figures_are_in_the_json(story: Any, run: Run) -> None:
    done = run("check", story.script, story.layout, "--json")
    rows = json.loads(done.out)["reading"]
    assert [row["page"] for row in rows] == [1, 2, 3]
    assert all(row["letters in print, mm"] > 1.4 for row in rows)
