"""Edits leave every other byte of a layout file alone, and saving is whole or not at all."""

from __future__ import annotations

import errno
import json
import os
import stat
import tempfile
from pathlib import Path
from typing import Any, NoReturn

import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.errors import LettererError
from letterer.model.json_reader import read_json
from letterer.model.layout_file import LayoutFile, save_bytes
from letterer.model.plan import Center, Corner

TEXT = """{ "letterer":1, "unit": "in",
  "page": {"format": "a4", "bleed": 1.250e-1},
  "note": "caf\\u00e9 é",   "pages": [
    {"page": 1, "panels": [{"panel":1, "box": [0.50, 0.5, 6, 3]} ],
     "placements": [
       {"unit": "1.1.1",  "center": [1.50, 1e0], "size" : 7.0 },
       {"unit": "1.1.2", "corner": "top left"}
     ]},
    {"page": 2}
  ] }
"""


def layout_file(text: str = TEXT) -> LayoutFile:
    """A layout file that was never on disk."""
    return LayoutFile(Path("layout.json"), read_json(text, "layout.json"))


def test_a_changed_value_changes_nothing_else() -> None:
    edited = layout_file().with_placement(1, "1.1.1", {"size": 8})
    assert edited.text == TEXT.replace("7.0", "8")


def test_a_value_that_is_there_already_keeps_its_spelling() -> None:
    same = {"size": 7, "center": (1.5, 1.0), "unit": "1.1.1"}
    assert layout_file().with_placement(1, "1.1.1", same).text == TEXT


def test_keys_are_added_and_taken_away() -> None:
    edited = layout_file().with_placement(1, "1.1.1", {"size": None, "lines": 3, "words": "Ü"})
    assert edited.text == TEXT.replace('"size" : 7.0 ', '"lines": 3, "words": "Ü" ')
    assert layout_file().with_placement(1, "1.1.1", {"words": None}).text == TEXT


def test_a_new_place_takes_that_of_the_old_one() -> None:
    moved = layout_file().with_placement(1, "1.1.2", {"center": [2, 2.25]})
    assert moved.text == TEXT.replace('"corner": "top left"', '"center": [2, 2.25]')
    back = moved.with_placement(1, "1.1.2", {"corner": "top left", "gap": "flush"})
    assert back.layout().pages[0].placements[1].spot == Corner("top left", 0)
    british = layout_file(TEXT.replace('"center"', '"centre"'))
    moved = british.with_placement(1, "1.1.1", {"center": [2, 2]})
    assert moved.text == TEXT.replace('"center": [1.50, 1e0]', '"centre": [2, 2]')


def test_new_placements_stand_like_their_neighbours() -> None:
    edited = layout_file().with_placements(
        {"1.1.3": {"center": [1, 1.5]}, "1.1.4": {"corner": "top right"}}
    )
    assert edited.text == TEXT.replace(
        '"top left"}',
        '"top left"},\n'
        '       {"unit": "1.1.3", "center": [1, 1.5]},\n'
        '       {"unit": "1.1.4", "corner": "top right"}',
    )


def test_a_page_without_placements_gets_a_list() -> None:
    edited = layout_file().with_placement(2, "2.1.1", {"center": [1, 1]})
    assert edited.text == TEXT.replace(
        '{"page": 2}', '{"page": 2, "placements": [{"unit": "2.1.1", "center": [1, 1]}]}'
    )


def test_files_with_a_key_on_each_line_stay_so() -> None:
    data = json.loads(TEXT)
    text = json.dumps(data, indent=4, ensure_ascii=False).replace("\n", "\r\n")
    edited = layout_file(text).with_placements(
        {"1.1.2": {"size": 8}, "1.1.3": {"corner": "top left"}, "2.1.1": {"center": 2 * [1]}}
    )
    assert edited.text.replace("\r\n", "").count("\n") == 0
    first, second = data["pages"]
    first["placements"][1]["size"] = 8
    first["placements"].append({"unit": "1.1.3", "corner": "top left"})
    second["placements"] = [{"unit": "2.1.1", "center": [1, 1]}]
    assert json.loads(edited.text) == data
    lead = "\r\n" + " " * 20
    assert f'"top left",{lead}"size": 8\r\n' in edited.text
    assert (
        f'{{{lead}"unit": "1.1.3",{lead}"corner": "top left"\r\n                }}' in edited.text
    )


# --- The proof: pages with any spacing and any spelling of numbers -------------------------------

SPACES = st.sampled_from(["", " ", "  ", "\n", "\r\n\t", "\n    "])
NUMBERS = st.sampled_from(["1", "1.50", "1e0", "2.250", "0.5E+1", "1.0"])
WORDS = st.sampled_from(['"a"', '"\\u00e9 é"', '"\\/"', '"},{"', '"\\"unit\\":"'])


@st.composite
def spelled_pages(draw: st.DrawFn) -> tuple[str, list[dict[str, str]]]:
    """The text of a page, and its placements as spelled pieces by key."""

    def space() -> str:
        return draw(SPACES)

    def listed(values: list[str], brackets: str) -> str:
        inner = ",".join(space() + value + space() for value in values)
        return brackets[0] + (inner or space()) + brackets[1]

    def keyed(values: dict[str, str]) -> str:
        members = [f'"{key}"{space()}:{space()}{value}' for key, value in values.items()]
        return listed(members, "{}")

    units: list[dict[str, str]] = []
    for number in range(draw(st.integers(0, 3))):
        unit = {"unit": f'"1.1.{number + 1}"', "center": listed([draw(NUMBERS)] * 2, "[]")}
        for key, value in (("size", draw(NUMBERS)), ("note", draw(WORDS)), ("words", draw(WORDS))):
            if draw(st.booleans()):
                unit[key] = value
        order = draw(st.permutations(list(unit)))
        units.append({key: unit[key] for key in order})
    page = {"page": "1", "note": draw(WORDS)}
    empty = draw(st.booleans())
    if units or empty:
        page["placements"] = listed([keyed(unit) for unit in units], "[]")
    order = draw(st.permutations(list(page)))
    body = listed([keyed({key: page[key] for key in order})], "[]")
    return space() + keyed({"letterer": "1", "pages": body, "note": draw(WORDS)}) + space(), units


CHANGES = st.fixed_dictionaries(
    {},
    optional={
        "size": st.none() | st.sampled_from([1, 1.5, 9.75]),
        "lines": st.none() | st.integers(1, 5),
        "words": st.none() | st.text(st.characters(exclude_categories=["Cs"]), max_size=5),
        "center": st.sampled_from([[1, 1], [1.5, 2.25]]),
    },
)


@given(spelled_pages(), st.integers(1, 4), CHANGES)
def test_an_edit_leaves_every_other_token_as_it_was(
    made: tuple[str, list[dict[str, str]]], number: int, changes: dict[str, Any]
) -> None:
    text, units = made
    unit = f"1.1.{number}"
    new = number > len(units)
    if new:
        changes = {"center": [3, 4], **changes}
        unit = f"1.1.{len(units) + 1}"
    edited = layout_file(text).with_placement(1, unit, changes)

    # The values are those asked for, and all others those from before.
    expected = json.loads(text)
    listed = expected["pages"][0].setdefault("placements", [])
    if new:
        listed.append({"unit": unit})
    target = next(item for item in listed if item["unit"] == unit)
    for key, value in changes.items():
        target.pop(key, None) if value is None else target.update({key: value})
    assert json.loads(edited.text) == expected
    again = edited.with_placement(1, unit, changes)
    assert again.text == edited.text

    # The text before and after the one placement is the same, byte for byte.
    if not new:
        document = read_json(text)
        page, _ = document.at(("pages", 0, "placements", number - 1))
        assert edited.text.startswith(text[: page.start])
        assert edited.text.endswith(text[page.end :])
        # Inside, every value not asked about keeps its spelling, in its order.
        after = edited.text[page.start : len(edited.text) - len(text[page.end :])]
        kept = [spelled for key, spelled in units[number - 1].items() if key not in changes]
        at = 0
        for spelled in kept:
            at = after.index(spelled, at) + len(spelled)
    else:
        # What is new went in at one place.
        start = next(
            at for at in range(len(text) + 1) if not edited.text.startswith(text[: at + 1])
        )
        tail = len(text) - start
        assert not units or edited.text.endswith(text[start:]), tail


# --- What is refused ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("page", "unit", "changes", "line"),
    [
        (
            3,
            "3.1.1",
            {},
            "layout.json, page 3: page 3 is not in this layout. Add it to 'pages' first.",
        ),
        (
            1,
            "1.1.1",
            {"size": 0},
            "layout.json, unit 1.1.1: 'size' must be at least 1, and it is 0.",
        ),
        (
            1,
            "1.1.1",
            {"tails": ["BOB"]},
            "layout.json, unit 1.1.1: a tail goes to 'BOB', who has no mouth in panel 1."
            ' Add it to "mouths", or give a point, [x, y].',
        ),
        (
            1,
            "1.1.9",
            {"size": 8},
            "layout.json, unit 1.1.9: this placement does not say where the unit stands."
            ' Add "center", "box", "corner" or "edge".',
        ),
        (
            1,
            "1.1.1",
            {"center": [1, float("nan")]},
            "layout.json, unit 1.1.1: a number of this placement is not finite. Write a number.",
        ),
        (1, "1.1.1", {"unit": "1.1.7"}, "layout.json, unit 1.1.1: a placement keeps its unit."),
    ],
)
def test_unsound_edits_are_refused(
    page: int, unit: str, changes: dict[str, object], line: str
) -> None:
    with pytest.raises(LettererError) as caught:
        layout_file().with_placement(page, unit, changes)
    assert str(caught.value) == line


def test_files_in_which_a_key_comes_twice_are_not_edited(tmp_path: Path) -> None:
    path = tmp_path / "layout.json"
    path.write_text('{"letterer": 1, "letterer": 1}')
    with pytest.raises(LettererError, match="comes twice"):
        LayoutFile.read(path)


# --- Saving -----------------------------------------------------------------------------------


def test_bytes_come_back_as_they_were(tmp_path: Path) -> None:
    path = tmp_path / "layout.json"
    for data in (TEXT.encode(), b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode()):
        path.write_bytes(data)
        saved = LayoutFile.read(path).save()
        assert path.read_bytes() == data == saved.data
        edited = saved.with_placement(1, "1.1.1", {"size": 8}).save()
        assert path.read_bytes() == data.replace(b"7.0", b"8")
        spot = edited.layout().pages[0].placements[0].spot
        assert spot == Center(LayoutFile.read(path).layout().pages[0].placements[0].spot.at)  # type: ignore[union-attr]
    assert [entry.name for entry in tmp_path.iterdir()] == ["layout.json"]


def test_permissions_and_links_are_kept(tmp_path: Path) -> None:
    real, link = tmp_path / "real" / "layout.json", tmp_path / "link.json"
    real.parent.mkdir()
    real.write_text(TEXT)
    real.chmod(0o640)
    link.symlink_to(real)
    LayoutFile.read(link).with_placement(1, "1.1.1", {"size": 8}).save()
    assert link.is_symlink()
    assert real.read_text() == TEXT.replace("7.0", "8")
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


def test_a_new_file_gets_the_usual_permissions(tmp_path: Path) -> None:
    layout_file().save(tmp_path / "saved.json")
    (tmp_path / "plain.txt").write_text("")
    modes = {path.stat().st_mode for path in tmp_path.iterdir()}
    assert len(modes) == 1


def test_a_file_that_changed_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "layout.json"
    path.write_text(TEXT)
    mine = LayoutFile.read(path).with_placement(1, "1.1.1", {"size": 8})
    path.write_text("{}")
    with pytest.raises(LettererError) as caught:
        mine.save()
    assert str(caught.value) == (
        f"{path}: this file was changed by another program since it was read, so it is not"
        " overwritten. Read it again, and make the change once more."
    )
    assert path.read_text() == "{}"
    mine.save(tmp_path / "other.json")
    assert (tmp_path / "other.json").read_text() == mine.text


@pytest.mark.parametrize(
    ("step", "number", "told"),
    [
        ("fsync", errno.ENOSPC, "there is no room left on the disk. Make room, and save again."),
        (
            "replace",
            errno.EACCES,
            "nothing may be written into this folder."
            " Change the permissions of the folder, or save elsewhere.",
        ),
        (
            "mkstemp",
            errno.EROFS,
            "nothing may be written into this folder."
            " Change the permissions of the folder, or save elsewhere.",
        ),
    ],
)
def test_when_saving_fails_the_old_file_is_intact(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, number: int, told: str
) -> None:
    path = tmp_path / "layout.json"
    path.write_text(TEXT)
    edited = LayoutFile.read(path).with_placement(1, "1.1.1", {"size": 8})

    def fail(*_: object, **__: object) -> NoReturn:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(tempfile if step == "mkstemp" else os, step, fail)
    with pytest.raises(LettererError) as caught:
        edited.save()
    assert str(caught.value) == f"{path}: the file was not saved: {told}"
    monkeypatch.undo()
    assert path.read_text() == TEXT
    assert [entry.name for entry in tmp_path.iterdir()] == ["layout.json"]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write")
def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(LettererError, match="nothing may be written into this folder"):
            save_bytes(tmp_path / "a.json", b"")
    finally:
        tmp_path.chmod(0o700)


def test_places_that_cannot_be_saved_to(tmp_path: Path) -> None:
    with pytest.raises(LettererError, match="there is no folder of this name to save into"):
        save_bytes(tmp_path / "none" / "a.json", b"")
    with pytest.raises(LettererError, match="this is a folder, not a file"):
        save_bytes(tmp_path, b"")
    with pytest.raises(LettererError, match="its name cannot be used"):
        save_bytes(tmp_path / "a\0b", b"")
