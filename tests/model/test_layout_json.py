"""Reading JSON as a person writes it: agreement with the standard, and slips in plain words."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.errors import LettererError
from letterer.model import json_reader
from letterer.model.json_reader import DEPTH_MOST, read_json, read_json_file

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
VALUES = st.recursive(
    st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=20,
)


def as_tuples(value: Any) -> Any:
    """A value of the standard reader, with tuples for lists."""
    if isinstance(value, list):
        return tuple(as_tuples(item) for item in value)
    if isinstance(value, dict):
        return {key: as_tuples(item) for key, item in value.items()}
    return value


@given(VALUES, st.sampled_from([None, 1]), st.booleans())
def test_reads_what_the_standard_reader_reads(
    value: object, indent: int | None, plain_ascii: bool
) -> None:
    text = json.dumps(value, indent=indent, ensure_ascii=plain_ascii)
    document = read_json(text)
    assert document.plain == as_tuples(value)
    assert document.slips == ()


@given(st.text(st.sampled_from('[]{}",:\\u0d8e1.-+/* \n\tNatrufls“#'), max_size=16))
def test_refuses_what_the_standard_reader_refuses(text: str) -> None:
    try:
        expected = as_tuples(json.loads(text))
    except ValueError:
        with pytest.raises(LettererError):
            read_json(text)
        return
    try:
        document = read_json(text)
    except LettererError as error:
        assert "half of a character" in str(error)  # the standard reader lets these pass
        return
    if not document.slips:
        assert document.plain == expected


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "this file is empty. Fill it in, or take another file."),
        (
            '{"a": 1,\n}',
            "line 1: there is a comma before the closing } (column 8). Take that comma away.",
        ),
        (
            '{"a": 1 // big\n}',
            "line 1: a comment starts here, and JSON has no comments (column 9)."
            ' Put the words into a "note" instead: {"note": "..."}.',
        ),
        (
            '{"a": 1\n "b": 2}',
            'line 2: a comma or } is missing before "b" (column 2).'
            " Values in one pair of brackets are kept apart by commas.",
        ),
        (
            "{“a”: 1}",
            "line 1: there is a curly quote, “ (column 2)."
            ' Text stands between straight double quotes, "so".',
        ),
        (
            "{a: 1}",
            "line 1: a key should stand here, and there is a (column 2)."
            ' Put keys between straight double quotes, "a".',
        ),
        (
            '{"a": [1, 2}',
            "line 1: } closes the [ of line 1 (column 12)."
            " Close it with ], or look for a bracket that is missing between.",
        ),
        ('{\n"a": [1,', "line 2: this [ is never closed (column 6). Add ] where it ends."),
        (
            '{"a": .5}',
            "line 1: .5 is not a number as JSON writes it (column 7). Write a 0 before the point.",
        ),
        (
            '{"a": 7pt}',
            "line 1: 7pt is not a number as JSON writes it (column 7)."
            ' Write the number alone; the measure is said once, by "unit" at the top.',
        ),
        (
            '{"a": 1,5}',
            "line 1: a number stands where a key should be: 5 (column 9)."
            " If the comma before it is a decimal comma, write a point.",
        ),
        (
            '{"a": True}',
            "line 1: True means nothing here (column 7). Write true or false, in small letters.",
        ),
        (
            '{"file": "art\\page.png"}',
            "line 1: \\p means nothing inside a text (column 14)."
            " For a backslash write two, \\\\; between folders write /.",
        ),
        (
            '{"a": "b\n"}',
            "line 1: this text has no closing quote on its line (column 7)."
            ' Close it with "; for a line break inside it, write \\n.',
        ),
    ],
)
def test_slips_of_writing_are_told_in_plain_words(text: str, told: str) -> None:
    with pytest.raises(LettererError) as caught:
        read_json(text)
    assert str(caught.value) == told


def test_brackets_may_not_stand_too_deep() -> None:
    assert read_json("[" * DEPTH_MOST + "]" * DEPTH_MOST).plain
    for depth in (DEPTH_MOST + 2, 100_000):
        with pytest.raises(LettererError, match="brackets stand more than 64 deep here"):
            read_json("[" * depth + "]" * depth)


def test_lines_are_counted_at_every_kind_of_line_break() -> None:
    document = read_json('{\r\n"a": 1,\r"b": 2,\n"c": 3}')
    assert [document.line(document.at((key,))[1]) for key in "abc"] == [2, 3, 4]


def test_pairs_of_escapes_make_one_character() -> None:
    assert read_json('"\\ud83d\\ude00"').plain == "\U0001f600"


def failing(path: Path) -> str:
    """What is told of a file that cannot be read."""
    with pytest.raises(LettererError) as caught:
        read_json_file(path, path.name)
    return str(caught.value)


def test_files_that_cannot_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "layout.json").write_text("{}")
    assert failing(tmp_path / "layuot.json") == (
        "layuot.json: there is no such file. Did you mean 'layout.json'?"
    )
    assert failing(tmp_path) == (
        f"{tmp_path.name}: this is a folder, not a file. Name the file in it."
    )
    latin = tmp_path / "latin.json"
    latin.write_bytes(b'{\n"note": "caf\xe9"}')
    assert failing(latin) == (
        "latin.json, line 2: this file is not in UTF-8, so its letters cannot be read."
        " Save it again as plain text in UTF-8."
    )
    assert "not in UTF-8" in failing_utf16(tmp_path)
    picture = tmp_path / "page.png"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR")
    assert failing(picture) == (
        "page.png: this is not plain text, so it is no layout and no style."
        " Name a file that ends in .json."
    )
    script = tmp_path / "script.txt"
    script.write_text("PAGE 1\n\nPANEL 1\nADA: Hush.\n")
    assert failing(script) == (
        'script.txt: this begins with "PAGE", and not with a {. Check that it is the right file:'
        " the script is named first, then the layout."
    )
    monkeypatch.setattr(json_reader, "BYTES_MOST", 1)
    assert failing(tmp_path / "layout.json").startswith("layout.json: this file is larger than")
    assert "cannot be opened" in failing(tmp_path / "a\0b.json")


def failing_utf16(folder: Path) -> str:
    """A file in the encoding that some editors call Unicode."""
    (folder / "wide.json").write_bytes('{"a": 1}'.encode("utf-16"))
    return failing(folder / "wide.json")


def test_a_byte_order_mark_is_accepted(tmp_path: Path) -> None:
    (tmp_path / "a.json").write_bytes(b'\xef\xbb\xbf{"a": 1}')
    document = read_json_file(tmp_path / "a.json")
    assert (document.plain, document.bom) == ({"a": 1}, True)
