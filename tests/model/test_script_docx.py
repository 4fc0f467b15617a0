"""Scripts from a word processor: the same script as plain text would give."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from letterer.errors import LettererError
from letterer.model.script_reader import parse_script, read_script
from letterer.model.script_writer import write_script

docx = pytest.importorskip("docx")


def saved(document: object, folder: Path) -> Path:
    path = folder / "script.docx"
    document.save(str(path))  # type: ignore[attr-defined]
    return path


def words(path: Path) -> list[tuple[str, str, str]]:
    return [(unit.id, unit.speaker, unit.words) for unit in read_script(path).units]


def test_paragraphs_are_lines_and_strong_words_are_emphasis(tmp_path: Path) -> None:
    document = docx.Document()
    document.add_heading("PAGE 1", 1)
    document.add_paragraph("PANEL 1. The stairs.")
    document.add_paragraph("")
    cue = document.add_paragraph()
    cue.add_run("NELL: ").bold = True
    cue.add_run("Nobody has ")
    cue.add_run("ever").italic = True
    cue.add_run(" climbed ")
    cue.add_run("so far").bold = True
    cue.add_run(".")
    loud = document.add_paragraph()
    loud.add_run("TOM (shout): ")
    loud.add_run("All of it bold!").bold = True
    same = parse_script(
        "PAGE 1\n\nPANEL 1. The stairs.\n\nNELL: Nobody has *ever* climbed *so far*.\n\n"
        "TOM (shout): All of it bold!"
    )
    assert read_script(saved(document, tmp_path)).units == same.units


def test_a_cue_alone_takes_the_words_below_it(tmp_path: Path) -> None:
    document = docx.Document()
    for line in ("PAGE 1", "PANEL 1", "NELL:", "Hush.", "TOM:", "PANEL 2", "SFX: Klunk"):
        document.add_paragraph(line)
    path = saved(document, tmp_path)
    with pytest.raises(LettererError) as caught:
        read_script(path)  # TOM says nothing
    assert "paragraph 5" in str(caught.value)


def test_a_line_break_of_the_writer_is_a_forced_break(tmp_path: Path) -> None:
    document = docx.Document()
    document.add_paragraph("PAGE 1")
    document.add_paragraph("PANEL 1")
    broken = document.add_paragraph("NELL: Up")
    broken.add_run().add_break()
    broken.add_run("and up")
    same = parse_script("PAGE 1\nPANEL 1\nNELL: Up\\\n    and up")
    assert read_script(saved(document, tmp_path)).units == same.units


def test_a_table_of_two_columns_is_a_dialogue(tmp_path: Path) -> None:
    document = docx.Document()
    document.add_paragraph("PAGE 1")
    document.add_paragraph("PANEL 1")
    table = document.add_table(rows=4, cols=2)
    rows = [("Speaker", "Words"), ("Nell (whisper)", "Hush."), ("", "Not a word."), ("Tom", "Why?")]
    for row, (who, said) in zip(table.rows, rows, strict=True):
        row.cells[0].text, row.cells[1].text = who, said
    table.rows[3].cells[1].add_paragraph("Who is there?")
    path = saved(document, tmp_path)
    assert words(path) == [
        ("1.1.1", "NELL", "Hush."),
        ("1.1.2", "NELL", "Not a word."),
        ("1.1.3", "TOM", "Why?"),
        ("1.1.4", "TOM", "Who is there?"),
    ]
    assert [str(manner) for manner in read_script(path).units[0].manners] == ["whisper"]


def test_a_table_of_three_columns_is_told(tmp_path: Path) -> None:
    document = docx.Document()
    document.add_paragraph("PAGE 1")
    document.add_table(rows=1, cols=3)
    with pytest.raises(LettererError, match="has 3 columns"):
        read_script(saved(document, tmp_path))


def test_struck_out_words_are_left_out_and_put_in_words_kept(tmp_path: Path) -> None:
    document = docx.Document()
    document.add_paragraph("PAGE 1")
    document.add_paragraph("PANEL 1")
    cue = document.add_paragraph("NELL: Up ")
    for tag, text_tag, said in (("del", "delText", "down "), ("ins", "t", "here")):
        change = docx.oxml.OxmlElement(f"w:{tag}")
        run = docx.oxml.OxmlElement("w:r")
        text = docx.oxml.OxmlElement(f"w:{text_tag}")
        text.text = said
        run.append(text)
        change.append(run)
        cue._p.append(change)
    assert words(saved(document, tmp_path)) == [("1.1.1", "NELL", "Up here")]


def test_what_is_read_can_be_written_as_plain_text(tmp_path: Path) -> None:
    document = docx.Document()
    for line in ("A story", "PAGE 1", "PANEL 1", "She climbs.", "NELL: Hush.", "CAPTION: Later."):
        document.add_paragraph(line)
    script = read_script(saved(document, tmp_path))
    assert parse_script(write_script(script)).units == script.units
    assert [unit.line for unit in script.units] == [5, 6]


@pytest.mark.parametrize("data", [b"", b"not a document", b"PK\x03\x04broken"])
def test_what_is_no_document_is_told(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "script.docx"
    path.write_bytes(data)
    with pytest.raises(LettererError, match=r"not a sound \.docx document"):
        read_script(path)


def test_a_document_that_unpacks_to_too_much_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("letterer.model.script_docx.UNPACKED_MOST", 1000)
    path = tmp_path / "script.docx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("word/document.xml", b"0" * 2000)
    with pytest.raises(LettererError, match="unpacks to over"):
        read_script(path)


def test_a_document_that_is_no_script_is_told_with_its_paragraph(tmp_path: Path) -> None:
    document = docx.Document()
    document.add_paragraph("PAGE 1")
    document.add_paragraph("NELL: Outside any panel.")
    with pytest.raises(LettererError, match=r"script\.docx, paragraph 2, page 1: "):
        read_script(saved(document, tmp_path))
