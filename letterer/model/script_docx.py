"""A script from a word processor's .docx document, as the plain text of a script.

Each paragraph is a line of the script, parted from the next. Bold or italic words of a cue become
emphasis, unless all of its words are so. A table of two columns is a dialogue: the speaker, and
the words; each paragraph of a speaker's words is a balloon of its own. What was struck out in
tracked changes is left out, what was put in is kept; comments, footnotes and pictures are passed
over. The document is read through python-docx (Office Open XML, ISO/IEC 29500).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from letterer.errors import Fault, LettererError

UNPACKED_MOST = 200_000_000
"""Bytes that a document may unpack to: a script of a thousand pages takes a fiftieth of it."""

HEADS = frozenset({"speaker", "name", "who", "character", "voice", "role"})
"""What the first cell of a table's first row says where that row names its columns."""

_INDENT = "    "
_CUE_END = re.compile(r"[:\uff1a]")
_BREAK = "\n"


@dataclass(frozen=True, slots=True)
class DocxText:
    """The text of a document, and the paragraph of the document that each line comes from."""

    text: str
    paragraphs: tuple[int, ...]

    def paragraph(self, line: int) -> int:
        """The paragraph, from 1, that a line of the text (from 1) comes from; 0 if none."""
        return self.paragraphs[line - 1] if 0 < line <= len(self.paragraphs) else 0


@dataclass(frozen=True, slots=True)
class _Piece:
    """Words in one manner of writing."""

    text: str
    strong: bool


def is_docx(path: Path) -> bool:
    """True for a file that is named like a word processor's document."""
    return path.suffix.lower() == ".docx"


def docx_text(path: Path, file: str) -> DocxText:
    """The script text in a document. Raises LettererError, naming it as `file`."""
    document = _opened(path, file)
    blocks: list[tuple[int, str]] = []
    count = 0
    waiting = ""  # a cue whose words stand in the next paragraph
    for element in document.element.body.iterchildren():
        kind = element.tag.rpartition("}")[2]
        if kind == "p":
            count += 1
            line = _line(_pieces(element))
            if waiting and line and not _heads(line):
                blocks[-1] = (blocks[-1][0], f"{waiting}\n{_indented(line)}")
                waiting = ""
            elif line:
                blocks.append((count, line))
                waiting = line if _CUE_END.search(line[-1]) else ""
        elif kind == "tbl":
            waiting = ""
            rows, count = _rows(element, count, file)
            blocks += rows
    lines: list[str] = []
    places: list[int] = []
    for place, block in blocks:
        parts = [*block.split("\n"), ""]
        lines += parts
        places += [place] * len(parts)
    return DocxText("\n".join(lines), tuple(places))


def _opened(path: Path, file: str) -> Any:
    """The document; one clear line where there is none to be read."""
    try:
        import docx
    except ImportError as error:
        what = "reading a .docx script needs the package python-docx, which is not installed"
        mend = "Install it with: pip install python-docx; or save the script as plain text"
        raise LettererError(Fault(what, mend, file)) from error
    again = "Open it in your word processor and save it again as .docx, or as plain text"
    try:
        import zipfile

        with zipfile.ZipFile(path) as packed:
            if sum(entry.file_size for entry in packed.infolist()) > UNPACKED_MOST:
                what = f"this document unpacks to over {UNPACKED_MOST // 1_000_000} MB"
                raise LettererError(Fault(what, "Take its pictures out, and save it again", file))
        return docx.Document(str(path))
    except LettererError:
        raise
    except Exception as error:  # a broken document makes a parser raise whatever it likes
        raise LettererError(Fault("this is not a sound .docx document", again, file)) from error


def _pieces(paragraph: Any) -> list[_Piece]:
    """The words of a paragraph by their manner, struck-out ones left out."""
    found: list[_Piece] = []
    for run in paragraph.iter(_name("r")):
        if any(_tag(above) in ("del", "txbxContent", "moveFrom") for above in run.iterancestors()):
            continue
        text = "".join(_text(part) for part in run.iterchildren())
        if text:
            found.append(_Piece(text, _is_on(run, "b") or _is_on(run, "i")))
    return found


def _name(tag: str) -> str:
    from docx.oxml.ns import qn

    return str(qn(f"w:{tag}"))


def _tag(element: Any) -> str:
    return str(element.tag).rpartition("}")[2]


def _text(part: Any) -> str:
    match _tag(part):
        case "t":
            return part.text or ""
        case "tab":
            return " "
        case "br" | "cr":
            return "" if part.get(_name("type")) in ("page", "column") else _BREAK
        case "noBreakHyphen":
            return "\u2011"
    return ""


def _is_on(run: Any, mark: str) -> bool:
    """Whether a run is bold ("b") or italic ("i") by itself; styles of paragraphs do not count."""
    properties = run.find(_name("rPr"))
    found = properties.find(_name(mark)) if properties is not None else None
    return found is not None and found.get(_name("val")) not in ("0", "false", "off")


def _line(pieces: list[_Piece]) -> str:
    """A paragraph as lines of a script: emphasis marked in the words of a cue."""
    whole = "".join(piece.text for piece in pieces)
    end = _cue_end(whole)
    if not end:
        return _tidy(whole)
    head, words, seen = _tidy(whole[:end]), [], 0
    for piece in pieces:
        kept = piece.text[max(end - seen, 0) :]
        seen += len(piece.text)
        if kept:
            words.append(_Piece(kept, piece.strong))
    said = _marked(words)
    return f"{head} {_broken(said)}" if said.strip() else head


def _cue_end(text: str) -> int:
    """Where the words of a cue begin; 0 for a line that is none (capitals before a colon)."""
    found = _CUE_END.search(text)
    if not found:
        return 0
    name = re.sub(r"\(.*?\)", "", text[: found.start()])
    letters = [char for char in name if char.isalpha()]
    return found.end() if letters and all(not char.islower() for char in letters) else 0


def _marked(pieces: list[_Piece]) -> str:
    """Words with asterisks round the strong ones, unless all of them are strong."""
    spoken = [piece for piece in pieces if piece.text.strip()]
    if all(piece.strong for piece in spoken):
        return "".join(piece.text for piece in pieces)
    joined: list[_Piece] = []
    for piece in pieces:
        if joined and joined[-1].strong == piece.strong:
            joined[-1] = _Piece(joined[-1].text + piece.text, piece.strong)
        else:
            joined.append(piece)
    return "".join(_starred(piece.text) if piece.strong else piece.text for piece in joined)


def _starred(text: str) -> str:
    """Emphasis round the words only, not round the spaces beside them."""
    inner = text.strip()
    if not inner or "*" in inner:
        return text
    before, after = text[: text.index(inner)], text[text.index(inner) + len(inner) :]
    marked = _BREAK.join(f"*{line}*" if line else "" for line in inner.split(_BREAK))
    return f"{before}{marked}{after}"


def _broken(words: str) -> str:
    """Words in which a line break of the writer's is a forced break of the script."""
    lines = [line for part in words.split(_BREAK) if (line := _tidy(part))]
    return f"\\\n{_INDENT}".join(lines)


def _tidy(text: str) -> str:
    return " ".join(text.split())


def _indented(block: str) -> str:
    return "\n".join(_INDENT + line.strip() for line in block.split("\n"))


def _heads(line: str) -> bool:
    """Whether a line begins something of its own, after a cue that has no words yet."""
    return bool(_cue_end(line)) or bool(re.match(r"(?i)\s*(page|panel)\b", line))


def _rows(table: Any, count: int, file: str) -> tuple[list[tuple[int, str]], int]:
    """The rows of a table as cues; the number of paragraphs counted so far goes on."""
    found: list[tuple[int, str]] = []
    speaker = ""
    for number, row in enumerate(table.iter(_name("tr")), 1):
        cells = [list(cell.iter(_name("p"))) for cell in row.iterchildren(_name("tc"))]
        begin = count + 1
        count += sum(len(cell) for cell in cells)
        texts = [[line for part in cell if (line := _line(_pieces(part)))] for cell in cells]
        if len(texts) == 1:  # cells that were joined: a heading, or direction
            found += [(begin, line) for line in texts[0]]
            continue
        if len(texts) != 2:
            what = f"row {number} of a table has {len(texts)} columns"
            mend = "A table of a script has two: the speaker, and the words"
            raise LettererError(Fault(f"{what} (paragraph {begin})", mend, file))
        who = " ".join(texts[0]).rstrip(" :\uff1a")
        if number == 1 and who.casefold() in HEADS:
            continue
        if not texts[1]:
            found += [(begin, line) for line in texts[0]]
            continue
        speaker = _in_capitals(who) if who else speaker
        if not speaker:
            found += [(begin, line) for line in texts[1]]
            continue
        for part in cells[1]:
            said = _broken(_marked(_pieces(part)))
            if said:
                found.append((begin, f"{speaker}: {said}"))
    return found, count


def _in_capitals(who: str) -> str:
    """A speaker in capitals; what stands in brackets stays as it is."""
    name, bracket, rest = who.partition("(")
    return f"{name.upper()}{bracket}{rest}"
