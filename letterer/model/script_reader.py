r"""Reads a script: plain text, as a writer would type it anyway.

    PAGE 1 (2 panels)

    PANEL 1. The stairs of a lighthouse.
    Nell climbs, lamp in hand.

    CAPTION (place): The north tower, midnight.
    NELL: Nobody has *ever* climbed
        so far without a light.
    TOM (off, whisper): Hush!

A page or panel heading is a line such as `PAGE 2`, `Page two: Night` or `PANEL 3. Close on the
lamp.`; what stands beside the number is kept. A *cue* is a name in capitals, perhaps a manner in
brackets, and a colon; `CAPTION:` and `SFX:` stand where a name would. Everything else is stage
direction, kept in paragraphs that blank lines part.

These rules settle what could be read in two ways:

- A line with the shape of a heading or a cue is one, however far it is indented. A backslash in
  front keeps it as words or direction.
- A line that is indented further than the cue above it continues that cue's words; a blank line
  ends them. The words may begin on the line below the colon.
- A backslash at the end of a line of words forces a line break, and the next line continues the
  words, indented or not.
- In words, `*so*` is emphasis, words between backquotes are lettered as typed, and a backslash
  makes the mark after it an ordinary one. An asterisk between two spaces is itself. Several
  asterisks or backquotes in a row count as one.
- A digit in front of a cue or heading is a line number, and is not kept.
- Runs of space become one space; a no-break space that stands alone is kept.

The same page or panel number twice, a cue outside any panel, a manner nobody knows and the like are
faults. They are collected and raised together as `letterer.errors.LettererError`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NamedTuple

from letterer.errors import Fault, LettererError
from letterer.model.script import (
    CaptionKind,
    Direction,
    Manner,
    Page,
    Panel,
    Remark,
    Role,
    Script,
    Unit,
)
from letterer.model.script_docx import docx_text, is_docx
from letterer.model.script_file import check_file, script_text
from letterer.model.script_manners import read_caption, read_manners
from letterer.model.script_remarks import (
    remark_on_prose,
    remark_on_script,
    remark_on_turn,
    remark_on_unit,
)
from letterer.model.script_shapes import (
    IF_DIRECTION,
    Cue,
    Heading,
    Shape,
    Unreadable,
    begins_like_heading,
    fold_name,
    recognise,
    without_number,
)
from letterer.model.script_words import WordsReader, has_words, tidy

MOST_FAULTS = 20
"""How many faults are told at once; the rest are only counted."""

_TAB = 8
_LINE_END = re.compile(r"\r\n|\r|\n")
# These end a line too, but no text editor counts them.
_UNCOUNTED_END = re.compile("[\v\f\x85\u2028\u2029]")
_CONTROL = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
_FIRST_STEPS = "Begin with a line PAGE 1, then a line PANEL 1, then lines such as NAME: words"


def read_script(path: Path | str) -> Script:
    """Read a script file: plain text in UTF-8, or in UTF-16 with a byte-order mark; or a .docx
    document.

    Raises LettererError, with every fault found, when the file or the script in it cannot be read.
    """
    file = str(path)
    if is_docx(Path(path)):
        return _document_script(Path(path), file)
    return parse_script(script_text(Path(path), file), file)


def _document_script(path: Path, file: str) -> Script:
    """The script in a document; places in it are paragraphs, since it has no lines."""
    check_file(path, file)
    found = docx_text(path, file)
    place = found.paragraph
    try:
        script = parse_script(found.text, file)
    except LettererError as error:
        told = [replace(fault, line=place(fault.line)) for fault in error.faults]
        raise LettererError(*told) from None
    remarks = [replace(remark, line=place(remark.line)) for remark in script.remarks]
    remarks = sorted([*remarks, *found.remarks], key=lambda remark: remark.line)
    pages = tuple(
        replace(
            page,
            line=place(page.line),
            panels=tuple(
                replace(
                    panel,
                    items=tuple(
                        replace(item, line=place(item.line)) if isinstance(item, Unit) else item
                        for item in panel.items
                    ),
                )
                for panel in page.panels
            ),
        )
        for page in script.pages
    )
    return replace(script, pages=pages, remarks=tuple(remarks))


def parse_script(text: str, file: str = "") -> Script:
    """Read a script from its text. `file` is named in messages.

    Raises LettererError with every fault found.

    >>> script = parse_script("PAGE 1\\nPANEL 1\\nNELL (whisper): *Hush!*")
    >>> script.units[0].id, script.units[0].speaker, script.units[0].words
    ('1.1.1', 'NELL', 'Hush!')
    """
    builder = _Builder(file)
    lines = list(builder.lines(text))
    if not any(line.text for line in lines):
        raise LettererError(*builder.faults, Fault("the script is empty", _FIRST_STEPS, file))
    shapes, builder.speakers = _shapes(lines)
    for line, shape in zip(lines, shapes, strict=True):
        builder.take(line, shape)
    return builder.script()


class _Line(NamedTuple):
    """A line of the script: its number from 1, its indent in columns, and its tidied text."""

    number: int
    indent: int
    text: str


@dataclass(slots=True)
class _OpenPanel:
    number: int
    heading: str
    line: int
    items: list[Unit | Direction] = field(default_factory=list)
    units: int = 0


@dataclass(slots=True)
class _OpenPage:
    number: int
    heading: str
    line: int
    opening: list[Direction] = field(default_factory=list)
    panels: dict[int, _OpenPanel] = field(default_factory=dict)
    panel: _OpenPanel | None = None


@dataclass(slots=True)
class _OpenUnit:
    cue: Cue
    line: _Line
    words: WordsReader


class _Builder:
    """Takes a script's lines one after another and puts the pages together."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.speakers: dict[str, str] = {}
        self.faults: list[Fault] = []
        self.remarks: list[Remark] = []
        self.opening: list[Direction] = []
        self.pages: dict[int, _OpenPage] = {}
        self.page: _OpenPage | None = None
        self.unit: _OpenUnit | None = None
        # For remarks: the words right above, the cue that a blank line parts from what follows,
        # and the cues that are indented right below other words.
        self.last_words = ""
        self.parted_from: _Line | None = None
        self.under_words: list[tuple[int, str]] = []
        self.paragraph: list[str] = []
        self.paragraph_line = 0
        # What stands before the first page: no news when there is no page at all.
        self.homeless: list[Fault] = []
        self.page_meant = False
        self.near_page = 0

    def lines(self, text: str) -> Iterator[_Line]:
        """The text's lines; a control character becomes a fault."""
        for number, counted in enumerate(_LINE_END.split(text.replace("\ufeff", "")), 1):
            for raw in _UNCOUNTED_END.split(counted):
                if found := _CONTROL.search(raw):
                    self.fault(
                        number,
                        f"there is a control character here, U+{ord(found[0]):04X} "
                        f"(character {found.start() + 1} of the line)",
                        "Delete it, and save the script as UTF-8",
                    )
                    raw = _CONTROL.sub("\ufffd", raw)
                body = raw.lstrip()
                indent = len(raw[: len(raw) - len(body)].expandtabs(_TAB))
                yield _Line(number, indent, tidy(body))

    def take(self, line: _Line, shape: Shape | None) -> None:
        """Take the next line."""
        if line.text and shape is None:
            self._take_prose(line)
            self.parted_from = None
            return
        above = self.unit
        self._end_unit()
        self._end_paragraph()
        self.last_words = ""
        if not line.text:
            self.parted_from = above.line if above else self.parted_from
            return
        self.parted_from = None
        if above and isinstance(shape, Cue) and line.indent > above.line.indent:
            self.under_words.append((line.number, shape.name))
        if isinstance(shape, Unreadable):
            self._take_unreadable(line, shape)
        elif isinstance(shape, Cue):
            self._begin_unit(line, shape)
        elif shape is not None and shape.level == "page":
            self._begin_page(line, shape)
        elif shape is not None:
            self._begin_panel(line, shape)

    def script(self) -> Script:
        """The script, once every line was taken; raises LettererError when there were faults."""
        self._end_unit()
        self._end_paragraph()
        if not self.pages:
            if not self.page_meant:
                self.faults.append(self._no_page())
        else:
            self.faults += self.homeless
        if self.faults:
            raise LettererError(*_told(self.faults, self.file))
        pages = tuple(
            Page(
                page.number,
                tuple(
                    Panel(panel.number, tuple(panel.items), panel.heading, panel.line)
                    for panel in page.panels.values()
                ),
                tuple(page.opening),
                page.heading,
                page.line,
            )
            for page in self.pages.values()
        )
        script = Script(pages, tuple(self.opening), self.file)
        spoken = Counter(unit.speaker for unit in script.units if unit.role is Role.SPEECH)
        for number, name in self.under_words:
            if spoken[name] == 1:
                self.remark(
                    number,
                    (
                        f"{name} is read as the name of a speaker, though the line is indented "
                        "right below other words",
                        "If it belongs to those words, put a backslash in front of it",
                    ),
                )
        remarks = sorted([*self.remarks, *remark_on_script(script)], key=lambda remark: remark.line)
        return Script(pages, tuple(self.opening), self.file, tuple(remarks))

    def _no_page(self) -> Fault:
        what = "no page heading was found"
        if self.opening and self.opening[0].text.startswith("{"):
            what = "this is not a script; it looks like a layout"
            return Fault(what, "Name the script first, then the layout", self.file)
        if not self.near_page:
            return Fault(what, _FIRST_STEPS, self.file)
        return Fault(
            f"{what}; this line comes nearest",
            "For a page heading write PAGE, the number, and a colon before anything else",
            self.file,
            self.near_page,
        )

    def fault(self, line: int, what: str, mend: str) -> None:
        """Note a fault on a line."""
        page = self.page.number if self.page else 0
        self.faults.append(Fault(what, mend, self.file, line, page))

    def remark(self, line: int, told: tuple[str, str] | None) -> None:
        """Note a remark on a line, if there is one."""
        if told:
            self.remarks.append(Remark(*told, line))

    def _take_prose(self, line: _Line) -> None:
        if self.unit and (self.unit.words.breaks or line.indent > self.unit.line.indent):
            self.unit.words.feed(line.text, line.number)
            return
        self._end_unit()
        if not self.near_page and begins_like_heading(without_number(line.text)) == "PAGE":
            self.near_page = line.number
        told = remark_on_prose(line.text, self.speakers, opening=self.page is None)
        if not told and self.last_words:
            told = remark_on_turn(self.last_words, line.text)
        if not told and self.parted_from and line.indent > self.parted_from.indent:
            told = (
                "this line is indented, but a blank line parts it from the words above. "
                "It is read as direction and not lettered",
                "If it belongs to the words above, take the blank line away",
            )
        self.last_words = ""
        self.remark(line.number, told)
        if not self.paragraph:
            self.paragraph_line = line.number
        escaped = line.text.startswith("\\") and len(line.text) > 1
        self.paragraph.append(line.text[1:].strip() if escaped else line.text)

    def _end_paragraph(self) -> None:
        if not self.paragraph:
            return
        direction = Direction("\n".join(self.paragraph), self.paragraph_line)
        self.paragraph = []
        if self.page is None:
            self.opening.append(direction)
        elif self.page.panel is None:
            self.page.opening.append(direction)
        else:
            self.page.panel.items.append(direction)

    def _take_unreadable(self, line: _Line, shape: Unreadable) -> None:
        self.fault(line.number, shape.what, shape.mend)
        # What follows such a heading should not be told as a fault of its own.
        if shape.level == "page":
            self.page_meant = True
            self.page = _OpenPage(0, "", line.number)
        elif shape.level == "panel":
            self.page = self.page or _OpenPage(0, "", line.number)
            self.page.panel = _OpenPanel(0, "", line.number)

    def _begin_page(self, line: _Line, shape: Heading) -> None:
        twin = self.pages.get(shape.number)
        self.page = None
        if twin:
            self.fault(
                line.number,
                f"page {shape.number} comes twice (it stands on line {twin.line} as well)",
                "Give one of them another number",
            )
        self.page = _OpenPage(shape.number, shape.text, line.number)
        self.pages.setdefault(shape.number, self.page)

    def _begin_panel(self, line: _Line, shape: Heading) -> None:
        if self.page is None:
            what = f"panel {shape.number} stands before the first page"
            mend = "Put a line such as PAGE 1 above it"
            self.homeless.append(Fault(what, mend, self.file, line.number))
            self.page = _OpenPage(0, "", line.number)
        twin = self.page.panels.get(shape.number)
        if twin and self.page.number:  # where the first page is missing, its panels are no news
            self.fault(
                line.number,
                f"panel {shape.number} comes twice on this page "
                f"(it stands on line {twin.line} as well)",
                "Give one of them another number",
            )
        self.page.panel = _OpenPanel(shape.number, shape.text, line.number)
        self.page.panels.setdefault(shape.number, self.page.panel)

    def _begin_unit(self, line: _Line, cue: Cue) -> None:
        named = cue.name or ("CAPTION" if cue.role is Role.CAPTION else "SFX")
        if self.page is None and not self.homeless:
            what = f'the cue "{named}:" stands before the first page'
            mend = f"Put lines such as PAGE 1 and PANEL 1 above it. {IF_DIRECTION}"
            self.homeless.append(Fault(what, mend, self.file, line.number))
        elif self.page is not None and self.page.panel is None:
            self.fault(
                line.number,
                f'the cue "{named}:" stands before the first panel of its page',
                f"Put a line such as PANEL 1 above it. {IF_DIRECTION}",
            )
            self.page.panel = _OpenPanel(0, "", line.number)
        self.unit = _OpenUnit(cue, line, WordsReader(last_line=line.number))
        if cue.words:
            self.unit.words.feed(cue.words, line.number, first=True)

    def _end_unit(self) -> None:
        if self.unit is None:
            return
        cue, line, words = self.unit.cue, self.unit.line, self.unit.words
        self.unit = None
        runs = words.runs()
        named = cue.name or ("CAPTION" if cue.role is Role.CAPTION else "SFX")
        if not has_words(runs):
            self.fault(
                line.number,
                f'the cue "{named}:" has no words',
                "Write them behind the colon, or indented on the next line",
            )
        elif words.breaks:
            self.fault(
                words.last_line,
                "a backslash at the end of a line forces a line break, but no words follow it",
                "Write the next words on the line below, or take the backslash away",
            )
        for what, mend, at in words.faults:
            self.fault(at, what, mend)
        self.remarks += [Remark(*told) for told in words.remarks]
        manners, kind, speaker = self._brackets(cue, line.number)
        panel = self.page.panel if self.page else None
        if self.page is None or panel is None or not runs:
            return
        panel.units += 1
        unit = Unit(
            self.page.number,
            panel.number,
            panel.units,
            cue.role,
            runs,
            speaker,
            manners,
            kind,
            line.number,
        )
        panel.items.append(unit)
        for told in remark_on_unit(unit):
            self.remark(line.number, told)
        self.last_words = unit.words

    def _brackets(self, cue: Cue, line: int) -> tuple[tuple[Manner, ...], CaptionKind | None, str]:
        """What a cue's brackets say: manners, kind of caption, speaker."""
        faults: list[tuple[str, str]] = []
        manners: tuple[Manner, ...] = ()
        kind: CaptionKind | None = None
        speaker = cue.name
        if cue.role is Role.SPEECH:
            manners, faults = read_manners(cue.brackets)
        elif cue.role is Role.CAPTION:
            kind, speaker, faults = read_caption(cue.brackets, self.speakers)
        elif any(bracket.strip() for bracket in cue.brackets):
            faults = [
                (
                    "a sound effect takes nothing in brackets",
                    "Write SFX: and the sound; the rest goes in a line of direction",
                )
            ]
        for what, mend in faults:
            self.fault(line, what, mend)
        return manners, kind, speaker


def _shapes(lines: list[_Line]) -> tuple[list[Shape | None], dict[str, str]]:
    """The shape of each line, and the speakers by folded name.

    Two passes: who speaks in capitals anywhere decides which lines in mixed case are cues.
    """
    nobody: Mapping[str, str] = {}
    speakers: dict[str, str] = {}
    shapes: list[Shape | None] = []
    opening: list[bool] = []
    before_pages = True
    for line in lines:
        shape = recognise(line.text, nobody, before_pages) if line.text else None
        if isinstance(shape, Heading) or (isinstance(shape, Unreadable) and shape.level):
            before_pages = False
        elif isinstance(shape, Cue) and shape.role is Role.SPEECH:
            speakers.setdefault(fold_name(shape.name), shape.name)
        shapes.append(shape)
        opening.append(before_pages)
    for place, line in enumerate(lines):
        if shapes[place] is None and (":" in line.text or "\uff1a" in line.text):
            shapes[place] = recognise(line.text, speakers, opening[place])
    return shapes, speakers


def _told(faults: list[Fault], file: str) -> list[Fault]:
    """The faults in line order; of very many, the first ones and a count of the rest."""
    faults = sorted(faults, key=lambda fault: fault.line)
    more = len(faults) - MOST_FAULTS
    if more <= 0:
        return faults
    return [
        *faults[:MOST_FAULTS],
        Fault(f"and {more} more", "Mend these, then try again", file),
    ]
