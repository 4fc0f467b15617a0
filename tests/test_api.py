"""letterer as a library: the same as the command line, in a few calls."""

from __future__ import annotations

import json
from dataclasses import FrozenInstanceError
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer import api
from letterer.api import Output, compose, letter, page_numbers, read_layout, read_script
from letterer.errors import LettererError
from letterer.jobs import without_paths

SCRIPT = """\
PAGE 1
PANEL 1
NELL: The lamp is out.
TOM: And now?

PAGE 2
PANEL 1
SFX: Krrang!

PAGE 4
PANEL 1
NELL: Wait!
"""

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
        {"page": 2, "placements": [{"unit": "2.1.1", "box": [5, 5, 40, 20]}]},
        {"page": 3},
    ],
}


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    """A script and a layout on disk."""
    script, layout = tmp_path / "script.txt", tmp_path / "layout.json"
    script.write_text(SCRIPT, "utf-8")
    layout.write_text(json.dumps(LAYOUT), "utf-8")
    return script, layout


def test_letter_writes_and_tells_what_it_did(files: tuple[Path, Path], tmp_path: Path) -> None:
    output = Output(tmp_path / "out", ("svg", "png"), 100, report=tmp_path / "report.json")
    result = letter(*files, output)
    assert [file.relative_to(tmp_path).as_posix() for file in result.files] == [
        "out/page-001.svg",
        "out/page-001.png",
        "out/page-002.svg",
        "out/page-002.png",
        "out/page-004.svg",
        "out/page-004.png",
        "report.json",
    ]
    assert all(file.is_file() for file in result.files)
    assert [page.number for page in result.pages] == [1, 2, 4]
    assert [(finding.kind, finding.page) for finding in result.findings] == [
        ("page not planned", 4),
        ("page not written", 3),
    ]
    assert result.summary.startswith("3 pages, 2 units lettered, 2 not placed, 7 files written.\n")
    assert [str(remark) for remark in result.remarks] == [
        f"{files[0]}, line 10: {remark.what}. {remark.mend}." for remark in result.remarks
    ]
    assert len(result.remarks) == 1  # page 4 comes after page 2


def test_paths_may_be_text(files: tuple[Path, Path], tmp_path: Path) -> None:
    result = letter(str(files[0]), str(files[1]), Output(str(tmp_path / "out"), ("svg",)))
    assert len(result.files) == 3


def test_compose_writes_nothing(files: tuple[Path, Path], tmp_path: Path) -> None:
    before = sorted(tmp_path.rglob("*"))
    composed = compose(read_script(files[0]), read_layout(files[1]))
    assert [page.number for page in composed.pages] == [1, 2, 4]
    assert sorted(tmp_path.rglob("*")) == before


def test_compose_some_pages(files: tuple[Path, Path]) -> None:
    book = read_script(files[0]), read_layout(files[1])
    composed = compose(*book, pages=(2, 1))
    assert [page.number for page in composed.pages] == [2, 1]
    assert composed.findings == ()
    assert composed.pages[1] == compose(*book).pages[0]
    with pytest.raises(LettererError, match=r"the script has no page 3\. It has pages 1-2, 4\."):
        compose(*book, pages=(3,))


def test_the_same_twice_is_the_same(files: tuple[Path, Path]) -> None:
    book = read_script(files[0]), read_layout(files[1])
    assert compose(*book) == compose(*book)


def test_progress_rises_to_one(files: tuple[Path, Path], tmp_path: Path) -> None:
    told: list[tuple[str, float]] = []
    output = Output(tmp_path / "out", ("svg", "svg", "png"), 72)
    letter(*files, output, lambda words, share: told.append((words, share)))
    assert told == [
        ("page 1 lettered", pytest.approx(1 / 3)),
        ("page 2 lettered", pytest.approx(2 / 3)),
        ("page 4 lettered", 1.0),
    ]


def test_faults_of_both_files_are_told_together(tmp_path: Path) -> None:
    (tmp_path / "script.txt").write_text("PAGE 1\nPANEL 1\nNELL (wisper): So.\n")
    (tmp_path / "layout.json").write_text('{"letterer": 1, "unit": "mn", "page": {"format": "a4"}}')
    with pytest.raises(LettererError) as told:
        letter(tmp_path / "script.txt", tmp_path / "layout.json", Output(tmp_path / "out"))
    assert [Path(fault.file).name for fault in told.value.faults] == ["script.txt", "layout.json"]
    assert not (tmp_path / "out").exists()


def test_pages_that_fail_do_not_stop_the_others(files: tuple[Path, Path], tmp_path: Path) -> None:
    # A run used to write nothing at all when one of its pages failed.
    script = SCRIPT.replace("The lamp", "The \U0001f600 lamp").replace("Krrang", "\ue000")
    files[0].write_text(script, "utf-8")
    output = Output(tmp_path / "out", ("svg",), report=tmp_path / "report.json")
    result = letter(*files, output)
    assert [(fault.file, fault.line, fault.unit) for fault in result.faults] == [
        (str(files[0]), 3, "1.1.1"),
        (str(files[0]), 8, "2.1.1"),
    ]
    assert result.failed == (1, 2)
    assert [page.number for page in result.pages] == [4]
    assert [file.name for file in result.files] == ["page-004.svg", "report.json"]
    assert [file.name for file in (tmp_path / "out").iterdir()] == ["page-004.svg"]
    assert result.summary.startswith("1 page, 0 units lettered, 1 not placed, 2 files written.\n")
    assert result.summary.endswith("\nNot finished: pages 1-2.")
    report = json.loads((tmp_path / "report.json").read_text("utf-8"))
    failures = [one for one in report["findings"] if one["kind"] == "not finished"]
    assert [(one["severity"], one["page"]) for one in failures] == [("problem", 1), ("problem", 2)]
    assert "line 3" in failures[0]["what"]


def test_when_every_page_fails_nothing_is_written(files: tuple[Path, Path], tmp_path: Path) -> None:
    files[0].write_text(SCRIPT.replace("The lamp", "The \U0001f600 lamp"), "utf-8")
    with pytest.raises(LettererError) as told:
        letter(*files, Output(tmp_path / "out", pages=(1,)))
    assert [(fault.line, fault.unit) for fault in told.value.faults] == [(3, "1.1.1")]
    assert not (tmp_path / "out").exists()


def test_compose_tells_the_faults_of_all_pages_together(files: tuple[Path, Path]) -> None:
    script = SCRIPT.replace("The lamp", "The \U0001f600 lamp").replace("Krrang", "\ue000")
    files[0].write_text(script, "utf-8")
    with pytest.raises(LettererError) as told:
        compose(read_script(files[0]), read_layout(files[1]))
    assert [fault.unit for fault in told.value.faults] == ["1.1.1", "2.1.1"]


def test_pages_of_a_result_hold_what_was_found_and_the_files_hold_the_paths(
    files: tuple[Path, Path], tmp_path: Path
) -> None:
    result = letter(*files, Output(tmp_path / "out", ("svg",)))
    composed = compose(read_script(files[0]), read_layout(files[1]))
    for page, whole in zip(result.pages, composed.pages, strict=True):
        assert page == without_paths(whole)
        assert page.findings == whole.findings
        for unit in page.units:
            assert unit.layers() == () or all(not layer.path for layer in unit.layers())


@pytest.mark.parametrize("jobs", [0, -1, 100_000])
def test_a_number_of_jobs_that_cannot_be_is_told(
    jobs: int, files: tuple[Path, Path], tmp_path: Path
) -> None:
    with pytest.raises(LettererError, match=f"{jobs} is no number of pages to letter side by"):
        letter(*files, Output(tmp_path / "out", jobs=jobs))


def test_values_are_frozen(files: tuple[Path, Path]) -> None:
    with pytest.raises(FrozenInstanceError):
        Output("out").dpi = 9  # type: ignore[misc]


def test_what_is_offered_is_there() -> None:
    for name in api.__all__:
        assert getattr(api, name).__doc__


@given(st.lists(st.integers(1, 400), min_size=1, max_size=8, unique=True))
def test_page_numbers_are_read_as_they_were_meant(numbers: list[int]) -> None:
    assert page_numbers(",".join(map(str, numbers))) == tuple(numbers)
    low = min(numbers)
    assert page_numbers(f"{low}-{low + 5}") == tuple(range(low, low + 6))


@given(st.text(alphabet="0123456789-, ;x\u0661\u00b2", max_size=12))
def test_any_other_text_is_refused_plainly(text: str) -> None:
    try:
        numbers = page_numbers(text)
    except LettererError as error:
        assert str(error).endswith(("Write them like 1-3,5.", "lower number first, from 1."))
    else:
        assert numbers and all(number > 0 for number in numbers)
        assert len(set(numbers)) == len(numbers)
