"""Only what changed is drawn again: the same bytes as without, whatever was kept or broken."""

from __future__ import annotations

import json
import os
import random
import shutil
import tomllib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from importlib import metadata
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

import letterer.cache.program as program_module
import letterer.jobs
from letterer.api import Output, letter
from letterer.cache import seen
from letterer.cache.pages import CLASSES
from letterer.cache.program import PACKAGES
from letterer.cache.store import Entry, Store, opened, usual_folder
from letterer.cache.values import digest_of, text_of, value_of
from letterer.errors import LettererError
from letterer.jobs import without_paths
from letterer.model.style import Style
from letterer.page.compose import compose_page
from letterer.text.faces import library

PAGES = 3
KEY, OTHER = "a" * 64, "b" * 64


class Book:
    """A small book on disk that can be edited: words and places by page, and much else."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.words = {page: f"The lamp of page {page}." for page in range(1, PAGES + 1)}
        self.direction = "Night."
        self.left = dict.fromkeys(self.words, 25.0)
        self.style: dict[str, Any] = {"size": 8}
        self.art = 90
        self.blank_lines = 1

    def write(self) -> tuple[Path, Path]:
        """The files as they are now."""
        self.folder.mkdir(exist_ok=True)
        script, layout = self.folder / "script.txt", self.folder / "layout.json"
        lines: list[str] = []
        for page, words in self.words.items():
            lines += [f"PAGE {page}", "PANEL 1", self.direction, f"NELL: {words}", "SFX: Krrang!"]
            lines += [""] * self.blank_lines
        script.write_text("\n".join(lines), "utf-8")
        plans = [
            {
                "page": page,
                "art": {"file": "art.png", "covers": "bleed"},
                "panels": [{"panel": 1, "box": [3, 3, 54, 54], "mouths": {"NELL": [20, 45]}}],
                "placements": [
                    {"unit": f"{page}.1.1", "center": [self.left[page], 15]},
                    {"unit": f"{page}.1.2", "box": [5, 40, 30, 10]},
                ],
            }
            for page in self.words
        ]
        trim = {"trim": [60, 60], "bleed": 3, "live": 3}
        whole = {"letterer": 1, "unit": "mm", "page": trim, "style": "own.json", "pages": plans}
        layout.write_text(json.dumps(whole))
        (self.folder / "own.json").write_text(json.dumps(self.style))
        Image.new("L", (20, 20), self.art).save(self.folder / "art.png")
        return script, layout


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return Book(tmp_path / "book")


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The pages that are drawn, in this process, as they are drawn."""
    pages: list[int] = []
    done = letterer.jobs.do_page

    def noted(job: letterer.jobs.PageJob) -> letterer.jobs.PageDone:
        pages.append(job.page.number)
        return done(job)

    monkeypatch.setattr(letterer.jobs, "do_page", noted)
    return pages


def output(book: Book, formats: tuple[str, ...] = ("svg",), out: str = "out") -> Output:
    """Small pages, kept beside the book."""
    return Output(book.folder / out, formats, dpi=72, cache=book.folder / "cache")


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a folder by its name."""
    return {file.name: file.read_bytes() for file in sorted(folder.iterdir())}


def test_the_second_run_draws_nothing_and_touches_no_file(book: Book, drawn: list[int]) -> None:
    files = book.write()
    first = letter(*files, output(book, ("svg", "png")))
    assert (drawn, first.unchanged) == ([1, 2, 3], ())
    made = contents(book.folder / "out")
    stamps = {file: os.stat(file).st_mtime_ns for file in first.files}
    second = letter(*files, output(book, ("svg", "png")))
    assert (drawn, second.unchanged) == ([1, 2, 3], (1, 2, 3))
    assert contents(book.folder / "out") == made
    assert {file: os.stat(file).st_mtime_ns for file in second.files} == stamps
    assert (second.pages, second.findings, second.files) == (
        first.pages,
        first.findings,
        first.files,
    )
    assert "6 files written" in first.summary
    assert second.summary.startswith("3 pages, 6 units lettered, 0 files written.")
    assert second.summary.endswith("\nAll 3 pages are unchanged.")


def test_files_that_were_deleted_or_changed_come_back(book: Book, drawn: list[int]) -> None:
    files = book.write()
    letter(*files, output(book))
    made = contents(book.folder / "out")
    (book.folder / "out" / "page-001.svg").unlink()
    (book.folder / "out" / "page-002.svg").write_bytes(made["page-002.svg"].replace(b"M", b"L"))
    result = letter(*files, output(book))
    assert contents(book.folder / "out") == made
    assert "2 files written" in result.summary
    assert drawn == [1, 2, 3]


def test_the_demo_is_the_same_from_what_was_kept(repository: Path, tmp_path: Path) -> None:
    demo = repository / "shared" / "demo"
    files = demo / "script.txt", demo / "layout.json"
    formats = ("svg", "png", "preview")
    plain = Output(tmp_path / "plain", formats, dpi=72, report=tmp_path / "plain.json")
    alone = letter(*files, plain)
    kept = replace(plain, folder=tmp_path / "drawn", cache=tmp_path / "cache")
    letter(*files, replace(kept, report=None))
    back = replace(kept, folder=tmp_path / "back", report=tmp_path / "back.json")
    result = letter(*files, back)
    assert result.unchanged == tuple(page.number for page in alone.pages)
    assert result.pages == alone.pages
    assert contents(tmp_path / "plain") == contents(tmp_path / "drawn")
    assert contents(tmp_path / "plain") == contents(tmp_path / "back")
    assert (tmp_path / "back.json").read_bytes() == (tmp_path / "plain.json").read_bytes()


EDITS = ["words", "direction", "lines", "place", "style", "art", "shorter", "undo"]


def edited(book: Book, edit: str, chance: random.Random) -> None:
    """One edit, as a person would make it."""
    page = chance.choice(list(book.words))
    if edit == "words":
        book.words[page] = chance.choice(["Who is there?", "Run, now!", "The lamp is out. Wait."])
    elif edit == "direction":
        book.direction = chance.choice(["Night.", "Dawn over the quay."])
    elif edit == "lines":
        book.blank_lines = chance.choice([1, 3])
    elif edit == "place":
        book.left[page] = chance.choice([22.0, 25.0, 28.0])
    elif edit == "style":
        book.style = {**book.style, chance.choice(["size", "border"]): chance.choice([7, 8])}
    elif edit == "art":
        book.art = chance.choice([30, 90, 200])
    elif edit == "shorter":
        book.words.pop(page) if len(book.words) > 1 else None
    else:
        book.words[page] = f"The lamp of page {page}."


@given(st.lists(st.sampled_from(EDITS), min_size=1, max_size=4), st.integers(0, 99))
@settings(max_examples=8)
def test_the_bytes_are_those_of_a_run_without(
    tmp_path_factory: pytest.TempPathFactory, edits: list[str], chance: int
) -> None:
    book = Book(tmp_path_factory.mktemp("book") / "b")
    formats = ("svg", "preview")
    letter(*book.write(), output(book, formats))
    drawn = random.Random(chance)
    for edit in edits:
        edited(book, edit, drawn)
        shutil.rmtree(book.folder / "out")
        with_cache = letter(*book.write(), output(book, formats))
    alone = replace(output(book, formats, "alone"), cache=None)
    without = letter(*book.write(), alone)
    assert contents(book.folder / "out") == contents(book.folder / "alone")
    assert with_cache.pages == without.pages
    assert with_cache.findings == without.findings


@pytest.mark.parametrize(
    ("edit", "again"),
    [
        ("words", [2]),
        ("place", [2]),
        ("direction", []),
        ("lines", []),
        ("style", [1, 2, 3]),
        ("dpi", []),
        ("unset speaker", [2]),
    ],
)
def test_what_an_edit_draws_again(
    edit: str, again: list[int], book: Book, drawn: list[int]
) -> None:
    letter(*book.write(), output(book))
    drawn.clear()
    how = output(book)
    if edit == "words":
        book.words[2] = "The lamp is out."
    elif edit == "place":
        book.left[2] = 27
    elif edit == "direction":
        book.direction = "Dawn over the quay."
    elif edit == "lines":
        book.blank_lines = 4
    elif edit == "style":
        book.style = {"size": 7.5}
    elif edit == "dpi":
        how = replace(how, dpi=300)  # an SVG has none
    else:
        book.words[2] = "The *lamp* of page 2."
    result = letter(*book.write(), how)
    assert drawn == again
    assert sorted([*result.unchanged, *again]) == [1, 2, 3]


def test_new_art_draws_previews_only(book: Book) -> None:
    letter(*book.write(), output(book, ("svg", "png", "preview")))
    before = contents(book.folder / "out")
    book.art = 200
    result = letter(*book.write(), output(book, ("svg", "png", "preview")))
    after = contents(book.folder / "out")
    changed = {name for name in after if after[name] != before[name]}
    assert changed == {f"page-00{page}-preview.png" for page in (1, 2, 3)}
    assert "3 files written" in result.summary
    assert result.unchanged == ()


def test_layers_are_kept_by_their_art_and_resolution(book: Book, drawn: list[int]) -> None:
    how = output(book, ("ora",))
    letter(*book.write(), how)
    letter(*book.write(), how)
    assert drawn == [1, 2, 3]
    letter(*book.write(), replace(how, dpi=80))
    assert len(drawn) == 6
    book.art = 200
    letter(*book.write(), how)
    assert len(drawn) == 9


def test_a_pdf_has_every_page_whatever_is_kept(book: Book) -> None:
    files = book.write()
    how = output(book, ("svg", "pdf"))
    letter(*files, how)
    made = contents(book.folder / "out")
    shutil.rmtree(book.folder / "out")
    letter(*files, how)
    assert contents(book.folder / "out") == made
    assert any(name.endswith(".pdf") for name in made)


def test_pieces_of_a_pdf_are_kept_by_how_they_are_made(book: Book, drawn: list[int]) -> None:
    how = output(book, ("pdf",))
    letter(*book.write(), how)
    made = contents(book.folder / "out")
    letter(*book.write(), how)
    assert drawn == [1, 2, 3] and contents(book.folder / "out") == made
    letter(*book.write(), replace(how, pdf_words="text"))
    letter(*book.write(), replace(how, overprint=True))
    assert len(drawn) == 9
    book.words[2] = "The lamp of another page."
    letter(*book.write(), how)
    assert drawn[9:] == [2] and contents(book.folder / "out") != made
    # New art is laid under what was kept.
    letter(*book.write(), replace(how, over_art=True))
    under = contents(book.folder / "out")["book-over-art.pdf"]
    book.art = 200
    letter(*book.write(), replace(how, over_art=True))
    assert contents(book.folder / "out")["book-over-art.pdf"] != under and len(drawn) == 10


def test_art_that_went_is_still_told_before_anything_is_written(book: Book) -> None:
    files = book.write()
    letter(*files, output(book, ("preview",)))
    (book.folder / "art.png").unlink()
    with pytest.raises(LettererError, match="no such art file"):
        letter(*files, output(book, ("preview",), "other"))
    assert not (book.folder / "other").exists()


def test_another_face_or_program_draws_all_again(
    book: Book, drawn: list[int], repository: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = book.folder / "faces"
    own.mkdir(parents=True)
    how = replace(output(book), fonts=(own,))
    files = book.write()
    shutil.copy(repository / "fonts_open" / "Bangers_400Regular.ttf", own / "mine.ttf")
    letter(*files, how)
    before = contents(book.folder / "out")
    # Another face under the same name: its bytes count, and it is opened anew.
    data = bytearray((own / "mine.ttf").read_bytes())
    data.append(0)
    (own / "mine.ttf").write_bytes(data)
    opened_before = library((own,))
    letter(*files, how)
    assert library((own,)) is not opened_before
    assert drawn == [1, 2, 3, 1, 2, 3]
    monkeypatch.setattr("letterer.cache.pages.program", lambda: "one line more")
    letter(*files, how)
    assert len(drawn) == 9
    assert contents(book.folder / "out") == before


def test_the_program_is_known_by_its_source_and_packages(
    repository: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    needed = tomllib.loads((repository / "pyproject.toml").read_text("utf-8"))["project"]
    names = {line.partition(">")[0] for line in needed["dependencies"]}
    assert names - {"tqdm"} == set(PACKAGES)  # tqdm draws a bar, and nothing on a page
    made = program_module.program.__wrapped__()
    assert made == program_module.program.__wrapped__()
    copy = tmp_path / "letterer" / "cache"
    shutil.copytree(repository / "letterer" / "cache", copy)
    monkeypatch.setattr(program_module, "__file__", str(copy / "program.py"))
    other = program_module.program.__wrapped__()
    with (copy / "pages.py").open("a") as file:
        file.write("# one line more\n")
    assert len({made, other, program_module.program.__wrapped__()}) == 3


@pytest.mark.parametrize("harm", ["cut", "empty", "flipped", "other", "head"])
def test_a_broken_entry_is_drawn_again_and_replaced(
    harm: str, book: Book, drawn: list[int]
) -> None:
    files = book.write()
    letter(*files, output(book))
    made = contents(book.folder / "out")
    entries = [path for path in (book.folder / "cache").rglob("*") if path.is_file()]
    assert len(entries) == 2 * PAGES
    for path in entries:
        data = path.read_bytes()
        path.write_bytes(
            {
                "cut": data[: len(data) // 2],
                "empty": b"",
                "flipped": data[:-9] + bytes([data[-9] ^ 1]) + data[-8:],
                "other": b"something else\n",
                "head": data[:40],
            }[harm]
        )
    shutil.rmtree(book.folder / "out")
    letter(*files, output(book))
    assert contents(book.folder / "out") == made
    assert drawn == [1, 2, 3, 1, 2, 3]
    letter(*files, output(book))
    assert drawn == [1, 2, 3, 1, 2, 3]


def test_a_record_of_something_else_is_ignored(tmp_path: Path) -> None:
    for text in (b"[]", b"{", b'{"":"Path"}', b'{"":"Point","x":1}', b'{"x":1}', b"\xff"):
        try:
            assert value_of(text, CLASSES) == ()
        except ValueError:
            continue


def test_pages_come_back_as_they_were(book: Book) -> None:
    from letterer.model.layout_reader import read_layout
    from letterer.model.script_reader import read_script

    script, layout = book.write()
    page = read_script(script).page(1)
    assert page is not None
    whole = without_paths(compose_page(page, read_layout(layout), library(())))
    back = value_of(text_of(whole), CLASSES)
    assert back == whole
    assert [type(unit.shape) for unit in back.units] == [type(unit.shape) for unit in whole.units]
    assert text_of(back) == text_of(whole)


def test_values_that_are_equal_but_not_the_same_have_other_digests() -> None:
    assert digest_of((1, 2)) != digest_of((1.0, 2))
    assert digest_of(("a", "b")) != digest_of(("ab",))
    # A style that says what is usual is another change than one that says nothing.
    assert digest_of(Style()) != digest_of(Style().with_changes({"size": Style().size}))
    with pytest.raises(TypeError):
        digest_of(object())


def test_several_processes_and_threads_share_a_folder(book: Book) -> None:
    files = book.write()
    plain = letter(*files, replace(output(book, ("svg",), "alone"), cache=None))
    with ThreadPoolExecutor(3) as pool:
        outs = [output(book, out=f"out{place}") for place in range(3)]
        outs.append(replace(output(book, out="two"), jobs=2))
        results = list(pool.map(lambda how: letter(*files, how), outs))
    for how, result in zip(outs, results, strict=True):
        assert result.pages == plain.pages
        assert contents(Path(how.folder)) == contents(book.folder / "alone")


def test_somebody_elses_workers_keep_nothing(book: Book) -> None:
    files = book.write()
    with ThreadPoolExecutor(1) as executor:
        letter(*files, output(book), executor=executor)
        assert not any(path.is_file() for path in (book.folder / "cache").rglob("*"))
        letter(*files, output(book))
        result = letter(*files, output(book), executor=executor)
    assert result.unchanged == (1, 2, 3)


def test_a_cache_that_cannot_be_had_changes_nothing(book: Book, tmp_path: Path) -> None:
    files = book.write()
    (tmp_path / "file").write_text("taken")
    for folder in (tmp_path / "file", tmp_path / "file" / "below"):
        result = letter(*files, replace(output(book), cache=folder))
        assert result.unchanged == ()
    (tmp_path / "open").mkdir()
    (tmp_path / "open").chmod(0o777)
    assert opened(tmp_path / "open") is None
    assert opened(tmp_path / "new" / "own") is not None
    assert (tmp_path / "new" / "own").stat().st_mode & 0o777 == 0o700


@pytest.mark.parametrize("name", ["digest_of", "text_of"])
def test_values_of_a_new_sort_are_drawn_and_not_kept(
    name: str, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(value: object) -> str:
        raise TypeError("a set is no plain value")

    files = book.write()
    monkeypatch.setattr(f"letterer.cache.pages.{name}", refuse)
    for _ in range(2):
        result = letter(*files, output(book))
        assert (result.unchanged, result.faults, len(result.files)) == ((), (), 3)


def held(store: Store) -> Iterator[str]:
    """The keys in a store."""
    return (path.name for path in store.folder.rglob("*") if path.is_file())


def test_the_least_recently_used_go_first(tmp_path: Path) -> None:
    store = Store(tmp_path, most=8000)
    keys = [f"{number:064x}" for number in range(10)]
    for place, key in enumerate(keys):
        store.put(key, bytes(900))
        path = next(tmp_path.rglob(key))
        os.utime(path, ns=(place, place))
    store.used(keys[0])
    store.tidy()
    # 10 times 990 bytes or so; 6 fit into three quarters of 8000.
    assert sorted(held(store)) == sorted([keys[0], *keys[5:]])
    assert store.get(keys[0]) == bytes(900)
    store.put(KEY, bytes(3000))  # too large: it would drive out too much else
    assert store.get(KEY) is None


def test_entries(tmp_path: Path) -> None:
    store = Store(tmp_path)
    assert (store.get(KEY), store.entry(KEY)) == (None, None)
    store.put(KEY, b"one")
    store.put(OTHER, b"")
    assert (store.get(KEY), store.get(OTHER)) == (b"one", b"")
    assert store.entry(KEY) == Entry.of(b"one")
    store.put(KEY, b"two")
    assert store.get(KEY) == b"two"
    with pytest.raises(ValueError):
        store.get("../../elsewhere")
    shutil.rmtree(tmp_path)
    assert store.get(KEY) is None
    store.used(KEY)
    store.tidy()


def test_where_it_is_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setattr(Path, "home", lambda: Path("/people/nell"))
    assert usual_folder({}) == Path("/people/nell/.cache/letterer")
    # XDG Base Directory Specification: a relative path is invalid, and to be ignored.
    assert usual_folder({"XDG_CACHE_HOME": "near"}) == Path("/people/nell/.cache/letterer")
    assert usual_folder({"XDG_CACHE_HOME": "/fast"}) == Path("/fast/letterer")
    assert usual_folder({"LETTERER_CACHE": "/own", "XDG_CACHE_HOME": "/fast"}) == Path("/own")
    assert usual_folder({"LETTERER_CACHE": "off"}) is None
    monkeypatch.setattr("sys.platform", "darwin")
    assert usual_folder({}) == Path("/people/nell/Library/Caches/letterer")
    monkeypatch.setattr("sys.platform", "win32")
    assert usual_folder({"LOCALAPPDATA": "/local"}) == Path("/local/letterer")


# --- What files hold ------------------------------------------------------------------------------


def test_a_file_that_was_left_alone_is_read_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "face.ttf"
    file.write_bytes(b"one")
    told = os.stat(file)
    monkeypatch.setattr("time.time_ns", lambda: told.st_ctime_ns + 2 * seen.ALONE_NS)
    assert seen.entry_of(file) == Entry.of(b"one")
    with monkeypatch.context() as patched:
        patched.setattr(Path, "read_bytes", lambda _: pytest.fail("it was read again"))
        assert seen.entry_of(file) == Entry.of(b"one")
    other = tmp_path / "other"
    other.write_bytes(b"two")
    os.utime(other, ns=(told.st_atime_ns, told.st_mtime_ns))
    os.replace(other, file)
    assert seen.entry_of(file) == Entry.of(b"two")


def test_a_file_that_was_just_written_is_not_remembered(tmp_path: Path) -> None:
    file = tmp_path / "face.ttf"
    for held in (b"one", b"two", b"six"):  # maybe all within one tick of the system's clock
        file.write_bytes(held)
        assert seen.entry_of(file) == Entry.of(held)


def test_versions_are_those_that_python_itself_tells() -> None:
    installed = program_module._installed()
    told = {name: program_module._version(name, installed) for name in PACKAGES}
    assert told == {name: metadata.version(name) for name in PACKAGES}
    assert program_module._version("no-such-package", installed) == "none"
