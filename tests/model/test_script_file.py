"""What may be opened as a script file, and what is said of the rest."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.errors import LettererError
from letterer.model.script_file import LARGEST_FILE
from letterer.model.script_reader import parse_script, read_script

SMALL = "PAGE 1\nPANEL 1\nNELL: \u201cVoilà\u201d \u2014 ネル"


def file_fault(path: Path) -> str:
    with pytest.raises(LettererError) as caught:
        read_script(path)
    (fault,) = caught.value.faults
    return str(fault).removeprefix(str(path))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_files_are_read(tmp_path: Path, encoding: str, end: str) -> None:
    path = tmp_path / "script.txt"
    path.write_bytes(SMALL.replace("\n", end).encode(encoding))
    script = read_script(path)
    assert script == parse_script(SMALL)
    assert script.file == str(path)
    assert read_script(str(path)) == script


def test_files_that_are_not_there(tmp_path: Path) -> None:
    (tmp_path / "script.txt").write_text(SMALL, encoding="utf-8")
    assert (
        file_fault(tmp_path / "scirpt.txt") == ": there is no such file. Did you mean script.txt?"
    )
    assert file_fault(tmp_path / "q") == ": there is no such file. Check its name."
    assert file_fault(tmp_path / "no" / "script.txt") == (
        ": there is no such file. Check the name of its folder."
    )
    assert file_fault(tmp_path) == (
        ": this is a folder, not a script. Name the script file inside it."
    )
    assert ": this file cannot be opened (" in file_fault(tmp_path / "a\0b")


@pytest.mark.parametrize(
    "start", [b"PK\x03\x04", b"%PDF-1.7", b"{\\rtf1", b"\xd0\xcf\x11\xe0", b"P\0A\0G\0E\0"]
)
def test_files_that_are_no_plain_text(tmp_path: Path, start: bytes) -> None:
    path = tmp_path / "script.doc"
    path.write_bytes(start + b" 1\nPAGE 1\n")
    assert file_fault(path) == (
        ": this is not plain text. Save the script as plain text, in UTF-8."
    )


@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
def test_files_in_another_encoding(tmp_path: Path, end: bytes) -> None:
    path = tmp_path / "script.txt"
    path.write_bytes(end.join([b"PAGE 1", b"PANEL 1", b"NELL: Voil\xe0!"]))
    assert file_fault(path) == (
        ", line 3: a character on this line is not in UTF-8. Save the script as UTF-8."
    )
    path.write_bytes("PAGE 1\nPANEL 1".encode("utf-16")[:-1])
    assert ", line 2: a character on this line is not in UTF-16." in file_fault(path)


def test_a_file_that_is_too_large(tmp_path: Path) -> None:
    path = tmp_path / "script.txt"
    with path.open("wb") as stream:
        stream.truncate(LARGEST_FILE + 1)
    assert file_fault(path) == (
        ": this file is larger than 20 MB, too large for a script. Name a plain-text script."
    )


@given(st.binary(max_size=60))
def test_any_bytes_are_a_script_or_a_fault(
    tmp_path_factory: pytest.TempPathFactory, data: bytes
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.txt"
    path.write_bytes(b"PAGE 1\nPANEL 1\n" + data)
    try:
        read_script(path)
    except LettererError as error:
        assert all(re.match(re.escape(str(path)), str(fault)) for fault in error.faults)
