"""Words of a PDF's page, glyph by glyph: outlines that the file holds once, or text in its face.

A page's content stream only puts glyphs down in their places, those of the shaper. What a glyph
looks like stands once in the file, whichever way is chosen (`pdf_faces`):

- as outlines, each glyph is a form XObject (ISO 32000-1, 8.10) that is drawn wherever it is needed;
- as text, it is a code in its face, a part of which the file holds. What a code stands for is told
  by the font (9.10.3) wherever one glyph is one piece of text; a ligature, or a glyph that already
  stands for something else, says so itself (14.9.4, ActualText).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from pathlib import Path as FilePath
from typing import NamedTuple

from letterer.out.pdf_objects import told
from letterer.out.pdf_words import UNSAID
from letterer.out.svg import number
from letterer.resources import fonts_folder
from letterer.text.faces import Face, open_face
from letterer.text.letter_path import Glyph, LetterPath

PER_EM = 1000
"""A font's widths, and what moves the pen back between glyphs, are in thousandths of an em."""

EXACT = 9
"""Digits after the point of a scale: over a line of 2,000 units it errs by less than 1/1000 pt."""

NO_EMBEDDING, NO_SUBSET, BITMAP_ONLY = 0x0002, 0x0100, 0x0200
OTHER_LICENCES = 0x000C
"""Bits of a face's fsType (OpenType, OS/2): what its maker lets others put into a document."""

FSTYPE_AT = 8


class PageFace(NamedTuple):
    """A face as a page uses it: its file, within the folder of bundled faces where it is there; its
    glyphs in the order they come, each with the text it stands for (none for outlines)."""

    file: FilePath
    glyphs: tuple[tuple[int, str], ...]
    as_text: bool

    def opened(self) -> Face:
        """The face itself, wherever this program's own faces are."""
        return open_face(fonts_folder() / self.file)


@dataclass(frozen=True, slots=True)
class _Used:
    name: str
    face: Face
    glyphs: dict[int, str]


class PageLetters:
    """The glyphs of a page, gathered while it is written."""

    def __init__(self) -> None:
        self._outlines: dict[FilePath, _Used] = {}
        self._text: dict[FilePath, _Used] = {}

    @property
    def faces(self) -> tuple[PageFace, ...]:
        """What the page needs of its faces. The place of each tells its name in the stream."""
        return tuple(
            PageFace(_within(used.face.file), tuple(used.glyphs.items()), text)
            for every, text in ((self._outlines, False), (self._text, True))
            for used in every.values()
        )

    def outlines(self, line: LetterPath) -> Iterator[str]:
        """A line as steps that draw glyphs by their outlines, in the colour that is set.

        Each run is drawn in units of its face, so that most ways from glyph to glyph are whole.
        """
        drawn = (pair for pair in zip(line.glyphs, line.places, strict=True) if _has_ink(pair[0]))
        for face, run in groupby(drawn, lambda pair: pair[0].face):
            used = _used(self._outlines, "G", face)
            scale = line.size / face.upem
            exact = f"{scale:.{EXACT}f}".rstrip("0")
            begin: tuple[float, float] | None = None
            across = up = 0.0
            steps: list[str] = []
            for glyph, (x, y) in run:
                used.glyphs.setdefault(glyph.number, "")
                if begin is None:
                    begin = (x, y)
                    steps.append(f"q {exact} 0 0 -{exact} {number(x)} {number(y)} cm")
                else:
                    here = round((x - begin[0]) / scale, 3), round((begin[1] - y) / scale, 3)
                    steps.append(f"1 0 0 1 {number(here[0] - across)} {number(here[1] - up)} cm")
                    across, up = here
                steps.append(f"/{used.name}.{glyph.number} Do")
            yield f"{' '.join(steps)} Q"

    def text(self, line: LetterPath, words: str, ends: bool) -> Iterator[str]:
        """A line as steps that show its text, in the colour that is set.

        `words` are the line's characters; a blank follows the line unless it `ends` the words.
        """
        first = min(glyph.char for glyph in line.glyphs)
        lengths = _clusters(line.glyphs, len(words) + first)
        for face, run in groupby(line.glyphs, lambda glyph: glyph.face):
            glyphs = list(run)
            if words[glyphs[0].char - first] in UNSAID:
                yield from self.outlines(LetterPath(tuple(glyphs), line.size, line.start))
                continue
            used = _used(self._text, "F", face)
            x, y = line.start.x + glyphs[0].x * line.size, line.start.y
            pen = _Pen(used, glyphs[0].x, line.size)
            for at, some in groupby(glyphs, lambda glyph: glyph.char):
                pen.show(list(some), words[at - first : lengths[at] - first])
            if not ends and glyphs[-1] is line.glyphs[-1] and (blank := face.glyph(" ")):
                pen.show([Glyph(face, blank, pen.at, 0.0, 0)], " ")
            place = f"1 0 0 -1 {number(x)} {number(y)} Tm"
            yield f"BT /{used.name} {number(line.size)} Tf {place} {pen.steps} ET"


class _Pen:
    """Shows the glyphs of one run, each where it stands: lengths in em, the pen at `at`."""

    def __init__(self, used: _Used, at: float, size: float) -> None:
        self.at = at
        self._used = used
        self._size = size
        self._rise = 0.0
        self._parts: list[str] = []
        self._row: list[str] = []

    def show(self, glyphs: Sequence[Glyph], text: str) -> None:
        """A letter, which is one glyph or several, and what it stands for."""
        face, known = self._used.face, self._used.glyphs
        for glyph in glyphs:
            known.setdefault(glyph.number, "")
        number = glyphs[0].number
        # A blank may be drawn for anything that has no ink; it stands for itself alone.
        if (
            len(glyphs) == 1
            and not known[number]
            and (face.ink(number) or _is_its_own(face, number, text))
        ):
            known[number] = text
        plain = len(glyphs) == 1 and known[number] == text
        if plain:
            self._glyph(glyphs[0])
            return
        self._end_row()
        self._parts.append(f"/Span <</ActualText {_as_string(text)}>> BDC")
        end = self.at
        for glyph in glyphs:
            self._glyph(glyph)
            end = max(end, self.at)
        if self.at < end and (blank := face.glyph(" ")):
            # A reader takes a span to end where its last glyph does, and this one is a mark.
            known.setdefault(blank, "")
            wide = width_of(face, blank) / PER_EM
            self._glyph(Glyph(face, blank, end - wide, glyphs[0].y, glyphs[0].char))
        self._end_row()
        self._parts.append("EMC")

    def _glyph(self, glyph: Glyph) -> None:
        if glyph.y != self._rise:
            self._end_row()
            self._parts.append(f"{number(-glyph.y * self._size)} Ts")
            self._rise = glyph.y
        back = round((self.at - glyph.x) * PER_EM, 3)
        if back:
            self._row.append(number(back))
            self.at -= back / PER_EM
        self._row.append(f"<{glyph.number:04X}>")
        self.at += width_of(glyph.face, glyph.number) / PER_EM

    def _end_row(self) -> None:
        if self._row:
            self._parts.append(f"[{''.join(self._row).replace('><', '')}] TJ")
            self._row.clear()

    @property
    def steps(self) -> str:
        """All that was shown, as steps of the stream."""
        self._end_row()
        end = ["0 Ts"] if self._rise else []
        return " ".join(self._parts + end)


def width_of(face: Face, glyph: int) -> float:
    """How far a glyph moves the pen by itself, in thousandths of an em, as the file tells it."""
    advance = float(face.font.get_glyph_h_advance(glyph))
    return round(advance * PER_EM / float(face.upem), 3)


@lru_cache(maxsize=256)
def may_be_embedded(face: Face) -> bool:
    """Whether a part of the face may be put into a document, and can be.

    Its maker says so in fsType (OpenType, OS/2); where several of its licences are named, the most
    lenient counts. Faces without outlines of a sort that PDF knows cannot be.
    """
    os2 = face.table("OS/2")
    bits = int.from_bytes(os2[FSTYPE_AT : FSTYPE_AT + 2], "big")
    refused = bool(bits & NO_EMBEDDING) and not bits & OTHER_LICENCES
    if refused or bits & (NO_SUBSET | BITMAP_ONLY):
        return False
    return bool(face.table("glyf") or face.table("CFF "))


def can_be_text(line: object) -> bool:
    """Whether a line can be shown as text: glyphs as they were shaped, in faces that allow it."""
    return (
        isinstance(line, LetterPath)
        and bool(line.glyphs)
        and all(may_be_embedded(face) for face in {glyph.face for glyph in line.glyphs})
    )


def refused(lines: Iterable[object]) -> list[str]:
    """The families of which no part may be put into a document, among those that lines are set
    in."""
    faces = {glyph.face for line in lines if isinstance(line, LetterPath) for glyph in line.glyphs}
    return sorted({face.family for face in faces if not may_be_embedded(face)})


def _clusters(glyphs: Sequence[Glyph], end: int) -> Mapping[int, int]:
    """Where the text of each letter ends, by where it begins."""
    begins = sorted({glyph.char for glyph in glyphs})
    return dict(zip(begins, [*begins[1:], end], strict=True))


def _has_ink(glyph: Glyph) -> bool:
    return glyph.face.ink(glyph.number) is not None


def _used(every: dict[FilePath, _Used], letter: str, face: Face) -> _Used:
    """What the page has used of a face so far, under the next name of its sort if nothing."""
    found = every.get(face.file)
    if found is None:
        found = every[face.file] = _Used(f"{letter}{len(every)}", face, {})
    return found


def _within(file: FilePath) -> FilePath:
    """A face's file, within the folder of bundled faces where it is there."""
    bundled = fonts_folder()
    return file.relative_to(bundled) if file.is_relative_to(bundled) else file


def _is_its_own(face: Face, number: int, text: str) -> bool:
    return len(text) == 1 and face.glyph(text) == number


def _as_string(text: str) -> str:
    return told(text).decode("ascii")
