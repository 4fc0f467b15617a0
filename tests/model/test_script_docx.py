"""Scripts from a word processor: the same script as plain text would give."""

from __future__ import annotations

import tempfile
import zipfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer.errors import LettererError
from letterer.model.script_reader import parse_script, read_script
from letterer.model.script_writer import write_script

docx = pytest.importorskip("docx")

from docx.oxml import OxmlElement  # noqa: E402
from docx.oxml.ns import qn  # noqa: E402


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


def element(tag: str, *inner: Any, **attributes: str) -> Any:
    """An element of a document, with its attributes and what is in it."""
    made = OxmlElement(f"w:{tag}")
    for name, value in attributes.items():
        made.set(qn(f"w:{name}"), value)
    for one in inner:
        made.append(one)
    return made


def run_of(words: str, *marks: str) -> Any:
    made = element("r", element("rPr", *(element(mark) for mark in marks)), element("t"))
    made[-1].text = words
    made[-1].set(qn("xml:space"), "preserve")
    return made


def begun() -> Any:
    document = docx.Document()
    for line in ("PAGE 1", "PANEL 1"):
        document.add_paragraph(line)
    return document


def test_styles_of_words_are_emphasis(tmp_path: Path) -> None:
    document = begun()
    cue = document.add_paragraph("NELL: I ")
    cue.add_run("really", style="Emphasis")
    cue.add_run(" mean ")
    cue.add_run("it", style="Strong")
    cue.add_run(" this time.")
    again = document.add_paragraph("TOM: No, ")
    again.add_run("not", style="Strong").bold = False
    again.add_run(" you.")
    one, other = read_script(saved(document, tmp_path)).units
    assert [run.text for run in one.runs if run.emphasis] == ["really", "it"]
    assert not any(run.emphasis for run in other.runs)


def test_a_table_in_a_cell_is_read_once_after_its_row(tmp_path: Path) -> None:
    document = begun()
    table = document.add_table(3, 2)
    for row, (who, said) in enumerate((("Nell", "Hello."), ("Tom", "Why?"), ("Pip", "So."))):
        table.cell(row, 0).text, table.cell(row, 1).text = who, said
    inner = table.cell(1, 1).add_table(1, 2)
    inner.cell(0, 0).text, inner.cell(0, 1).text = "Ada", "Because."
    table._tbl.tr_lst[2].get_or_add_trPr().append(element("del"))  # a row struck out
    assert [told[1:] for told in words(saved(document, tmp_path))] == [
        ("NELL", "Hello."),
        ("TOM", "Why?"),
        ("ADA", "Because."),
    ]


def test_frames_around_paragraphs_and_words_are_seen_through(tmp_path: Path) -> None:
    """Content controls, links, fields: their words are the script's."""
    document = begun()
    inside = document.add_paragraph("NELL: In a frame.")._p
    control = element("sdt", element("sdtContent", inside))
    document.element.body.insert(2, control)
    cue = document.add_paragraph("TOM: On ")._p
    cue.append(element("r", element("fldChar", fldCharType="begin")))
    code = element("r", element("instrText"))
    code[0].text = " DATE "
    cue.append(code)
    cue.append(element("r", element("fldChar", fldCharType="separate")))
    cue.append(run_of("Monday"))
    cue.append(element("r", element("fldChar", fldCharType="end")))
    cue.append(element("hyperlink", run_of(" or so.")))
    assert [told[2] for told in words(saved(document, tmp_path))] == [
        "In a frame.",
        "On Monday or so.",
    ]


def test_what_is_left_out_is_told(tmp_path: Path) -> None:
    document = begun()
    cue = document.add_paragraph("NELL: So it is")._p
    cue.append(element("r", element("footnoteReference", id="2")))
    cue.append(run_of(" not", "strike"))
    cue.append(run_of(" ever", "vanish"))
    cue.append(run_of(" now."))
    cue.append(element("r", element("pict", element("txbxContent", element("p", run_of("Ah"))))))
    script = read_script(saved(document, tmp_path))
    assert script.units[0].words == "So it is now."
    assert [(remark.line, remark.what) for remark in script.remarks] == [
        (3, "a note at the foot or the end is left out"),
        (3, 'words that are struck through are left out: "not"'),
        (3, 'hidden words are left out: "ever"'),
        (3, 'words in a text box are left out: "Ah"'),
    ]


def test_a_paragraph_whose_end_was_struck_out_goes_on(tmp_path: Path) -> None:
    document = begun()
    first = document.add_paragraph("NELL: One ")._p
    first.get_or_add_pPr().append(element("rPr", element("del")))
    document.add_paragraph("and the same.")
    document.add_paragraph("TOM: So.")
    assert [told[2] for told in words(saved(document, tmp_path))] == ["One and the same.", "So."]


def test_a_whole_script_in_one_paragraph(tmp_path: Path) -> None:
    """Lines parted by breaks only: those that begin something are lines of their own."""
    document = docx.Document()
    paragraph = document.add_paragraph("PAGE 1")
    for line in ("PANEL 1", "A dark room.", "NELL: Hello", "there, you.", "TOM: Hi."):
        paragraph.add_run().add_break()
        paragraph.add_run(line)
    script = read_script(saved(document, tmp_path))
    assert [(unit.speaker, [run.text for run in unit.runs]) for unit in script.units] == [
        ("NELL", ["Hello\nthere, you."]),
        ("TOM", ["Hi."]),
    ]


def test_breaks_and_emphasis_of_words_below_their_cue_and_in_a_table(tmp_path: Path) -> None:
    document = begun()
    document.add_paragraph("NELL:")
    below = document.add_paragraph("I ")
    below.add_run("never").italic = True
    below.add_run().add_break()
    below.add_run("said that.")
    table = document.add_table(1, 2)
    table.cell(0, 0).text = "Tom"
    table.cell(0, 1).paragraphs[0].add_run("You").bold = True
    table.cell(0, 1).paragraphs[0].add_run("\ndid.")
    one, other = read_script(saved(document, tmp_path)).units
    assert [(run.text, run.emphasis) for run in one.runs] == [
        ("I ", False),
        ("never", True),
        ("\nsaid that.", False),
    ]
    assert [(run.text, run.emphasis) for run in other.runs] == [("You", True), ("\ndid.", False)]


said = st.text("ab *c\\`d\u2019\u201c!?", min_size=1, max_size=12).filter(
    lambda text: any(map(str.isalpha, text))
)


@settings(max_examples=25)
@given(said, st.sampled_from(["NELL", "TOM"]), st.booleans())
def test_there_and_back_through_plain_text(who_said: str, who: str, strong: bool) -> None:
    """A document is read, or refused with its paragraph; what is read is the same again from the
    plain text that it is converted to."""
    document = begun()
    cue = document.add_paragraph(f"{who}: Well, ")
    cue.add_run(who_said).bold = strong
    with tempfile.TemporaryDirectory() as folder:
        path = saved(document, Path(folder))
        try:
            script = read_script(path)
        except LettererError as error:
            assert "paragraph 3" in str(error)
            return
    (unit,) = script.units
    letters = [char for char in unit.words if char.isalpha()]
    assert letters == [char for char in f"Well, {who_said}" if char.isalpha()]
    again = parse_script(write_script(script))
    assert [one.runs for one in again.units] == [unit.runs]
