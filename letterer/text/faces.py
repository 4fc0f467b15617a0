"""Faces: found by family name, chosen by weight and slant, with fallback by coverage.

Only files in the bundled folder, and in folders the person names, are ever used: faces installed
on the machine are not, so that the same script gives the same bytes everywhere.
"""

from __future__ import annotations

import re
import struct
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path as FilePath
from typing import Any

import uharfbuzz as hb

from letterer.errors import Fault, LettererError, nearest
from letterer.geometry import Box, Path, Point, Segment
from letterer.resources import fonts_folder

WEIGHT_REGULAR = 500
WEIGHT_BOLD = 700
NAME_FAMILY, NAME_TYPOGRAPHIC_FAMILY = 1, 16
OS2_WEIGHT_AT, OS2_SELECTION_AT = 4, 62
SELECTION_ITALIC = 0x1
FONT_FILES = (".ttf", ".otf")
OTHER_I = "ss01"
"""The feature by which a face offers a second form of the capital I, with bars or without."""

INVISIBLE = re.compile(
    "[\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u202a-\u202e"
    "\u2060-\u206f\u3164\ufe00-\ufe0f\ufeff\uffa0\U000e0000-\U000e0fff]"
)
"""Characters that are not drawn (Unicode's Default_Ignorable_Code_Point)."""


class Face:
    """One opened font file. Lengths it gives are in em, y growing downward.

    Two faces are equal when they are the same file; a face is never changed after it is opened.
    Most faces are opened to know their names and never set: their files are let go of meanwhile.
    """

    def __init__(self, file: FilePath) -> None:
        self.file = file
        face = _opened(file)
        self.upem: int = face.upem
        self.family: str = (
            face.get_name(NAME_TYPOGRAPHIC_FAMILY) or face.get_name(NAME_FAMILY) or file.stem
        )
        os2 = face.reference_table("OS/2").data or b""
        self.weight: int = struct.unpack_from(">H", os2, OS2_WEIGHT_AT)[0] if len(os2) > 64 else 400
        selection = struct.unpack_from(">H", os2, OS2_SELECTION_AT)[0] if len(os2) > 64 else 0
        self.italic = bool(selection & SELECTION_ITALIC)
        self._coverage: frozenset[int] | None = None
        self._covers: dict[str, bool] = {}
        self._outlines: dict[int, Path] = {}
        self._boxes: dict[int, Box | None] = {}

    @cached_property
    def _face(self) -> hb.Face:
        return _opened(self.file)

    @cached_property
    def font(self) -> hb.Font:
        """The face as HarfBuzz shapes with it."""
        return hb.Font(self._face)

    def __repr__(self) -> str:
        return f"Face({self.file.name})"

    def __reduce__(self) -> tuple[Any, ...]:
        return open_face, (self.file,)  # what was opened stays here; a copy is opened there

    def table(self, tag: str) -> bytes:
        """A table of the font file, as it stands there; empty where there is none."""
        return self._face.reference_table(tag).data or b""

    @property
    def cap_height(self) -> float:
        """Height of a capital, in em."""
        cap: int | None = self.font.get_metric_position(hb.OTMetricsTag.CAP_HEIGHT)
        if not cap:
            box = self.ink(self.glyph("H"))
            return -box.top if box else 0.7
        return cap / float(self.upem)

    @property
    def coverage(self) -> frozenset[int]:
        """The code points that this face has a glyph for."""
        if self._coverage is None:
            self._coverage = frozenset(self._face.unicodes)
        return self._coverage

    @cached_property
    def feature_bars_i(self) -> bool | None:
        """Whether `OTHER_I` gives the capital I its bars (True) or takes them away (False).

        None when the face has one I only, whichever that is.
        """
        shown = []
        for wanted in (False, True):
            buffer = hb.Buffer()
            buffer.add_str("I")
            buffer.guess_segment_properties()
            hb.shape(self.font, buffer, {OTHER_I: wanted})
            shown.append(self.ink(buffer.glyph_infos[0].codepoint))
        usual, other = shown
        if usual is None or other is None or usual == other:
            return None
        return other.width > usual.width

    def covers(self, cluster: str) -> bool:
        """True when every character of a grapheme cluster can be drawn, composed or taken apart."""
        known = self._covers.get(cluster)
        if known is None:
            known = self._covers[cluster] = self._can_draw(cluster)
        return known

    def _can_draw(self, cluster: str) -> bool:
        return any(
            all(ord(char) in self.coverage or _needs_no_glyph(char) for char in form)
            for form in (
                cluster,
                unicodedata.normalize("NFC", cluster),
                unicodedata.normalize("NFD", cluster),
            )
        )

    def glyph(self, char: str) -> int:
        """The glyph number of a single character; 0 when the face lacks it."""
        return self.font.get_nominal_glyph(ord(char)) or 0

    def ink(self, glyph: int) -> Box | None:
        """The box of a glyph's ink around its origin, in em; None for a blank glyph."""
        if glyph not in self._boxes:
            self._boxes[glyph] = self.outline(glyph).box()
        return self._boxes[glyph]

    def outline(self, glyph: int) -> Path:
        """A glyph's outline around its origin on the baseline, in em."""
        if glyph not in self._outlines:
            pen = _OutlinePen(1 / self.upem)
            self.font.draw_glyph_with_pen(glyph, pen)
            self._outlines[glyph] = Path(tuple(pen.segments))
        return self._outlines[glyph]


def _opened(file: FilePath) -> hb.Face:
    try:
        face = hb.Face(hb.Blob.from_file_path(str(file)))
        if not face.glyph_count:
            raise ValueError
    except (OSError, ValueError, hb.HarfBuzzError) as error:
        raise LettererError(
            Fault(
                "this is not a font that can be read",
                "Use an OpenType or TrueType file",
                file=str(file),
            )
        ) from error
    return face


class _OutlinePen:
    """Receives a glyph's contours (y up, font units) and keeps them (y down, em)."""

    def __init__(self, scale: float) -> None:
        self.scale = scale
        self.segments: list[Segment] = []

    def _points(self, points: Iterable[tuple[float, float]]) -> tuple[Point, ...]:
        return tuple(Point(x * self.scale, -y * self.scale) for x, y in points)

    def moveTo(self, point: tuple[float, float]) -> None:
        self.segments.append(Segment("M", self._points((point,))))

    def lineTo(self, point: tuple[float, float]) -> None:
        self.segments.append(Segment("L", self._points((point,))))

    def qCurveTo(self, *points: tuple[float, float]) -> None:
        self.segments.append(Segment("Q", self._points(points)))

    def curveTo(self, *points: tuple[float, float]) -> None:
        self.segments.append(Segment("C", self._points(points)))

    def closePath(self) -> None:
        self.segments.append(Segment("Z"))

    def endPath(self) -> None:
        self.segments.append(Segment("Z"))


@dataclass(frozen=True, slots=True)
class Cut:
    """Which cut of a family is wanted: its weight and whether it slants."""

    bold: bool = False
    italic: bool = False


class FaceLibrary:
    """All faces that may be used, by family.

    `folders` are searched with their sub-folders; the bundled folder always comes last.
    """

    def __init__(self, folders: Sequence[FilePath] = ()) -> None:
        self._families: dict[str, list[Face]] = {}
        for file in font_files(folders):
            face = open_face(file)
            self._families.setdefault(face.family.casefold(), []).append(face)

    @property
    def families(self) -> tuple[str, ...]:
        """The family names, sorted."""
        return tuple(sorted({faces[0].family for faces in self._families.values()}))

    def face(self, family: str, cut: Cut = Cut()) -> Face:
        """The face of a family that is nearest to a cut; an unknown family is an error."""
        faces = self._families.get(family.casefold())
        if not faces:
            near = nearest(family, self.families)
            mend = f"Did you mean {near}?" if near else f"Choose one of {', '.join(self.families)}"
            raise LettererError(Fault(f'there is no face called "{family}"', mend))
        weight = WEIGHT_BOLD if cut.bold else WEIGHT_REGULAR
        return min(faces, key=lambda face: (face.italic != cut.italic, abs(face.weight - weight)))

    def chain(self, families: Sequence[str], cut: Cut) -> tuple[Face, ...]:
        """The faces to try for a run, in order: those named, then every other bundled family."""
        named = [self.face(family, cut) for family in families]
        rest = [self.face(family, cut) for family in self.families]
        return tuple(dict.fromkeys((*named, *rest)))


def font_files(folders: Sequence[FilePath] = ()) -> Iterator[FilePath]:
    """Every font file of these folders and their sub-folders, then the bundled ones."""
    for folder in (*folders, fonts_folder()):
        files = (file for file in folder.rglob("*") if file.suffix.lower() in FONT_FILES)
        yield from sorted(files, key=lambda found: found.as_posix())


@lru_cache(maxsize=256)
def open_face(file: FilePath) -> Face:
    """Open a font file once a process."""
    return Face(file)


@lru_cache(maxsize=8)
def library(folders: tuple[FilePath, ...] = ()) -> FaceLibrary:
    """The library for these folders, built once a process."""
    return FaceLibrary(folders)


def name_of(char: str) -> str:
    """A character as it is told to a person: itself, its code point and its name."""
    name = unicodedata.name(char, "")
    code = f"U+{ord(char):04X}"
    shown = f'"{char}" ' if char.isprintable() and not unicodedata.combining(char) else ""
    return f"{shown}({code} {name})" if name else f"{shown}({code})"


def _needs_no_glyph(char: str) -> bool:
    """Spaces and invisible format characters are not drawn, so no face has to have them."""
    return char.isspace() or is_invisible(char)


def is_invisible(text: str) -> bool:
    """True for text of invisible format characters alone, such as a zero-width space."""
    return bool(text) and all(INVISIBLE.match(char) for char in text)
