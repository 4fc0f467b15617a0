"""A script as tidy plain text, as a library and from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from letterer.cli.main import main
from letterer.converting import convert_script
from letterer.errors import LettererError
from letterer.model.script_reader import read_script

UNTIDY = "page one\n\npanel 1\nNELL:   Hush   now\n\n\n\nTOM: Why?\n"
TIDY = "PAGE 1\n\nPANEL 1\nNELL: Hush now\nTOM: Why?\n"


def test_a_script_is_tidied_into_another_file(tmp_path: Path) -> None:
    source, target = tmp_path / "in.txt", tmp_path / "new" / "out.txt"
    source.write_text(UNTIDY)
    script, kept = convert_script(source, target)
    assert (target.read_text(), kept) == (TIDY, None)
    assert source.read_text() == UNTIDY
    assert read_script(target).units == script.units


def test_what_stood_there_is_kept_beside_it(tmp_path: Path) -> None:
    source = tmp_path / "in.txt"
    source.write_text(UNTIDY)
    assert convert_script(source, source)[1] == tmp_path / "in.before.txt"
    assert (tmp_path / "in.before.txt").read_text() == UNTIDY
    assert source.read_text() == TIDY
    assert convert_script(source, source)[1] is None
    source.write_text(TIDY + "\nTOM:  Again\n")
    assert convert_script(source, source)[1] == tmp_path / "in.before-2.txt"
    assert (tmp_path / "in.before.txt").read_text() == UNTIDY


def test_a_script_with_faults_leaves_everything_as_it_was(tmp_path: Path) -> None:
    source, target = tmp_path / "in.txt", tmp_path / "out.txt"
    source.write_text("NELL: nowhere\n")
    target.write_text("mine")
    with pytest.raises(LettererError):
        convert_script(source, target)
    assert target.read_text() == "mine"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["in.txt", "out.txt"]


def test_no_document_is_written(tmp_path: Path) -> None:
    source = tmp_path / "in.txt"
    source.write_text(UNTIDY)
    with pytest.raises(LettererError, match=r"Write out\.txt"):
        convert_script(source, tmp_path / "out.docx")


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source, target = tmp_path / "in.txt", tmp_path / "out.txt"
    source.write_text(UNTIDY)
    assert main(["script", str(source)]) == 0
    assert capsys.readouterr().out == TIDY
    assert main(["script", str(source), str(target)]) == 0
    assert "1 page, 2 balloons, captions and effects." in capsys.readouterr().out
    assert main(["script", str(tmp_path / "none.txt"), str(target)]) == 1
    assert "there is no such file" in capsys.readouterr().err
