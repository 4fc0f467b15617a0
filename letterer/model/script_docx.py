"""A script from a word processor's .docx document, as the plain text of a script.

Each paragraph is a line of the script, parted from the next. Bold or italic words of a cue become
emphasis, unless all of its words are so. A table of two columns is a dialogue: the speaker, and
the words; each paragraph of a speaker's words is a balloon of its own. What was struck out in
tracked changes is left out, what was put in is kept. Other words that are left out are remarked on:
footnotes, text boxes, and what is struck through or hidden. Comments, heads and feet of pages, and
pictures are passed over. The document is read through python-docx (Office Open XML, ISO/IEC 29500).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from letterer.errors import Fault, LettererError
from letterer.model.script import Remark

UNPACKED_MOST = 200_000_000
"""Bytes that a document may unpack to: a script of a thousand pages takes a fiftieth of it."""

HEADS = frozenset({"speaker", "name", "who", "character", "voice", "role"})
"""What the first cell of a table's first row says where that row names its columns."""

_INDENT = "    "
STRUCK = ("strike", "dstrike")
"""Marks of words that are struck through."""

_CUE_END = re.compile(r"[:\uff1a]")
_BREAK = "\n"


@dataclass(frozen=True, slots=True)
class DocxText:
    """The text of a document, and the paragraph of the document that each line comes from.

    `remarks` are of what was left out; their lines are paragraphs.
    """

    text: str
    paragraphs: tuple[int, ...]
    remarks: tuple[Remark, ...] = ()

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
    reading = _Reading(_opened(path, file), file)
    reading.read()
    lines: list[str] = []
    places: list[int] = []
    for place, block in reading.blocks:
        parts = [*block.split("\n"), ""]
        lines += parts
        places += [place] * len(parts)
    return DocxText("\n".join(lines), tuple(places), tuple(reading.remarks))


class _Reading:
    """One document being read: blocks of lines, each with the paragraph that it comes from."""

    def __init__(self, document: Any, file: str) -> None:
        self.document, self.file = document, file
        self.blocks: list[tuple[int, str]] = []
        self.remarks: list[Remark] = []
        self.count = 0
        self.waiting = ""  # a cue whose words stand in the next paragraph
        self.begun: list[_Piece] = []  # words whose paragraph's end was struck out
        self.strong_styles = _strong_styles(document)

    def read(self) -> None:
        """All paragraphs and tables of the document's body."""
        for element in _inside(self.document.element.body):
            if _tag(element) == "p":
                self.count += 1
                self.paragraph(element)
            else:
                self.waiting = ""
                self.table(element)
        self.lines(_lines(self.begun, bool(self.waiting)))

    def paragraph(self, element: Any) -> None:
        """One paragraph; one whose end was struck out goes on in the next."""
        pieces = [*self.begun, *self.pieces(element)]
        self.begun = pieces if element.find(_mark("pPr/rPr/del")) is not None else []
        if not self.begun:
            self.lines(_lines(pieces, bool(self.waiting)))

    def lines(self, lines: list[list[_Piece]]) -> None:
        """The lines of the script that a paragraph holds."""
        for pieces in lines:
            line = _line(pieces)
            if self.waiting and line and not _heads(line):
                said = _broken(_marked(pieces))
                self.blocks[-1] = (self.blocks[-1][0], f"{self.waiting}\n{_INDENT}{said}")
                self.waiting = ""
            elif line:
                self.blocks.append((self.count, line))
                self.waiting = line if _CUE_END.search(line[-1]) else ""

    def pieces(self, paragraph: Any) -> list[_Piece]:
        """The words of a paragraph by their manner; what is left out is remarked on."""
        found: list[_Piece] = []
        for run in paragraph.iter(_name("r")):
            above = {_tag(one) for one in _between(run, paragraph)}
            if above & {"del", "moveFrom"}:
                continue
            text = "".join(_text(part) for part in run.iterchildren())
            kinds = {_tag(part) for part in run.iterchildren()}
            if "txbxContent" in above:
                self.left_out(text, "words in a text box are left out")
            elif kinds & {"footnoteReference", "endnoteReference"}:
                self.left_out("", "a note at the foot or the end is left out", always=True)
            elif "sym" in kinds:
                self.left_out("", "a symbol of a symbol font is left out", always=True)
            elif _is_on(run, "vanish"):
                self.left_out(text, "hidden words are left out")
            elif any(_is_on(run, mark) for mark in STRUCK):
                self.left_out(text, "words that are struck through are left out")
            if text and not above & {"txbxContent"} and not _is_out(run):
                found.append(_Piece(text, self.is_strong(run)))
        return found

    def left_out(self, words: str, what: str, always: bool = False) -> None:
        """Remark on what is not read: words if there are any, a note or a sign `always`."""
        words = _tidy(words)
        told = f'{what}: "{words}"' if words else what
        mend = "What is to be lettered has to stand in the script itself"
        if words or always:
            self.remarks.append(Remark(told, mend, self.count))

    def is_strong(self, run: Any) -> bool:
        """Whether a run is bold or italic, by itself or by its own style; styles of whole
        paragraphs do not count."""
        style = run.find(f"{_name('rPr')}/{_name('rStyle')}")
        named = style is not None and style.get(_name("val")) in self.strong_styles
        marks = [mark for mark in ("b", "i") if _is_said(run, mark)]
        return any(_is_on(run, mark) for mark in marks) or (named and not marks)

    def table(self, table: Any) -> None:
        """The rows of a table as cues. A table within a cell follows its row."""
        speaker = ""
        for number, row in enumerate(_rows(table), 1):
            cells = [list(_inside(cell)) for cell in row.iterchildren(_name("tc"))]
            begin = self.count + 1
            texts: list[list[tuple[int, list[_Piece]]]] = []
            for cell in cells:
                held = []
                for part in cell:
                    if _tag(part) == "p":
                        self.count += 1
                        held.append((self.count, self.pieces(part)))
                texts.append([(at, pieces) for at, pieces in held if _line(pieces)])
            speaker = self.row(texts, number, begin, speaker)
            for part in (part for cell in cells for part in cell if _tag(part) == "tbl"):
                self.table(part)

    def row(
        self, texts: list[list[tuple[int, list[_Piece]]]], number: int, begin: int, speaker: str
    ) -> str:
        """One row of a table; gives who speaks in it."""
        if len(texts) < 2:  # cells that were joined: a heading, or direction
            held = [(at, line) for cell in texts for at, pieces in cell for line in _lines(pieces)]
            self.blocks += [(at, line) for at, pieces in held if (line := _line(pieces))]
            return speaker
        if len(texts) > 2:
            what = f"row {number} of a table has {len(texts)} columns"
            mend = "A table of a script has two: the speaker, and the words"
            fault = Fault(f"{what} (paragraph {begin})", mend, self.file)
            raise LettererError(fault)
        names, words = texts
        who = " ".join(_line(pieces) for _, pieces in names).rstrip(" :\uff1a")
        if number == 1 and who.casefold() in HEADS:
            return speaker
        if not words:
            self.blocks += [(at, _line(pieces)) for at, pieces in names]
            return speaker
        speaker = _in_capitals(who) if who else speaker
        for at, pieces in words:
            said = _broken(_marked(pieces))
            self.blocks.append((at, f"{speaker}: {said}" if speaker else said))
        return speaker


def _inside(element: Any) -> Iterator[Any]:
    """The paragraphs and tables in a body or a cell, those in frames around them too; not what
    was struck out or moved away."""
    for child in element.iterchildren():
        match _tag(child):
            case "p" | "tbl":
                yield child
            case "sdt" | "sdtContent" | "customXml" | "ins" | "moveTo" | "smartTag":
                yield from _inside(child)


def _rows(table: Any) -> Iterator[Any]:
    """The rows of a table itself, without those that were struck out."""
    for child in table.iterchildren():
        match _tag(child):
            case "tr":
                if child.find(_mark("trPr/del")) is None:
                    yield child
            case "sdt" | "sdtContent" | "customXml":
                yield from _rows(child)


def _between(run: Any, paragraph: Any) -> Iterator[Any]:
    """What stands around a run within its paragraph."""
    for above in run.iterancestors():
        if above is paragraph:
            return
        yield above


def _strong_styles(document: Any) -> frozenset[str]:
    """The names of styles of words that make them bold or italic, by themselves or by the style
    that they build on."""
    based: dict[str, str] = {}
    strong: set[str] = set()
    for style in document.styles.element.iterchildren(_name("style")):
        name = str(style.get(_name("styleId")))
        if style.get(_name("type")) != "character":
            continue
        parent = style.find(_name("basedOn"))
        if parent is not None:
            based[name] = str(parent.get(_name("val")))
        if _is_on(style, "b") or _is_on(style, "i"):
            strong.add(name)
    for name in based:
        seen, at = {name}, name
        while at in based and based[at] not in seen and at not in strong:
            at = based[at]
            seen.add(at)
        if at in strong:
            strong.add(name)
    return frozenset(strong)


def _lines(pieces: list[_Piece], spoken: bool = False) -> list[list[_Piece]]:
    """The lines that a paragraph stands for. A line break within words is the writer's; but where
    a heading or a cue stands on either side of one, the paragraph holds several lines. `spoken`: it
    begins with words, since a cue stands right before it."""
    lines: list[list[_Piece]] = [[]]
    for piece in pieces:
        first, *more = piece.text.split(_BREAK)
        lines[-1].append(_Piece(first, piece.strong))
        lines += [[_Piece(text, piece.strong)] for text in more]
    found: list[list[_Piece]] = [lines[0]]
    for line in lines[1:]:
        before = found[-1]
        words = (spoken and len(found) == 1 and not _heads(_joined(before))) or _cue_end(
            _joined(before)
        )
        if _heads(_joined(line)) or not words:
            found.append(line)
        else:
            found[-1] = [*before, _Piece(_BREAK, False), *line]
    return found


def _joined(pieces: list[_Piece]) -> str:
    return "".join(piece.text for piece in pieces)


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


def _mark(path: str) -> str:
    """A path of names as the document spells them."""
    return "/".join(_name(tag) for tag in path.split("/"))


def _is_said(run: Any, mark: str) -> bool:
    return run.find(f"{_name('rPr')}/{_name(mark)}") is not None


def _is_on(run: Any, mark: str) -> bool:
    """Whether a run or a style says that it is bold ("b"), italic ("i"), hidden, ... by itself."""
    found = run.find(f"{_name('rPr')}/{_name(mark)}")
    return found is not None and found.get(_name("val")) not in ("0", "false", "off")


def _is_out(run: Any) -> bool:
    """Whether words are struck through or hidden."""
    return any(_is_on(run, mark) for mark in ("vanish", *STRUCK))


def _line(pieces: list[_Piece]) -> str:
    """A paragraph as lines of a script: emphasis marked in the words of a cue."""
    whole = _joined(pieces)
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
        return _joined(pieces)
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


def _heads(line: str) -> bool:
    """Whether a line begins something of its own, after a cue that has no words yet."""
    return bool(_cue_end(line)) or bool(re.match(r"(?i)\s*(page|panel)\b", line))


def _in_capitals(who: str) -> str:
    """A speaker in capitals; what stands in brackets stays as it is."""
    name, bracket, rest = who.partition("(")
    return f"{name.upper()}{bracket}{rest}"
