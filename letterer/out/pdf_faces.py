"""Faces as a PDF holds them: glyphs drawn once for the whole book, and parts of faces as fonts.

Both are shared by all pages, so they are put into the file after the last page, when it is known
what is needed; pages point to numbers that were reserved for them.
"""

from __future__ import annotations

import hashlib
import io
import string
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path as FilePath
from typing import NamedTuple

from letterer.geometry import Affine, Path
from letterer.out.pdf_letters import PER_EM, PageFace, width_of
from letterer.out.pdf_objects import Name, PdfFile, Ref, Value, packed
from letterer.out.pdf_page import path_operators
from letterer.out.pdf_words import to_unicode
from letterer.text.faces import Face

SYMBOLIC, ITALIC = 1 << 2, 1 << 6
TAG_LETTERS = 6
POSTSCRIPT_NAME = 6
NAME_LETTERS = frozenset(string.ascii_letters + string.digits + "-_")
STEM_USUAL, STEM_BOLD, BOLD_FROM = 80, 140, 600
"""The weight of stems, roughly: a viewer uses it only where it has to do without the font."""

NOT_KEPT = ["GDEF", "GPOS", "GSUB", "BASE", "JSTF", "kern", "gasp", "name", "post", "OS/2", "cmap"]
NOT_KEPT += ["DSIG", "fvar", "gvar", "avar", "STAT", "MVAR", "HVAR", "VVAR", "meta", "cvar"]
"""Tables that a viewer has no use for: it is told which glyph stands where. A face that varies is
kept as it is drawn here, in its usual form."""


@dataclass(slots=True)
class _Font:
    """A font of the book: what its codes stand for. A page needs another where one of its glyphs
    stands for something else."""

    ref: Ref
    texts: dict[int, str] = field(default_factory=dict)

    def takes(self, glyphs: Sequence[tuple[int, str]]) -> bool:
        """Whether these glyphs stand for nothing else here."""
        return all(not text or self.texts.get(glyph, "") in ("", text) for glyph, text in glyphs)


class BookFaces:
    """What the pages of a book need of faces, gathered page by page, then put into its file."""

    def __init__(self, file: PdfFile) -> None:
        self._file = file
        self._drawn: dict[tuple[FilePath, int], Ref] = {}
        self._fonts: dict[FilePath, list[_Font]] = {}
        self._faces: dict[FilePath, Face] = {}

    def resources(self, faces: Sequence[PageFace]) -> dict[str, dict[str, Value]]:
        """A page's glyphs and fonts by the names they have in its content stream."""
        drawn: dict[str, Value] = {}
        fonts: dict[str, Value] = {}
        for face in faces:
            self._faces.setdefault(face.file, face.opened())
            if face.as_text:
                fonts[f"F{len(fonts)}"] = self._font(face)
        outlined = [face for face in faces if not face.as_text]
        for place, face in enumerate(outlined):
            for glyph, _ in face.glyphs:
                key = (face.file, glyph)
                if key not in self._drawn:
                    self._drawn[key] = self._file.reserve()
                drawn[f"G{place}.{glyph}"] = self._drawn[key]
        return {name: made for name, made in (("XObject", drawn), ("Font", fonts)) if made}

    def _font(self, face: PageFace) -> Ref:
        known = self._fonts.setdefault(face.file, [])
        font = next((one for one in known if one.takes(face.glyphs)), None)
        if font is None:
            font = _Font(self._file.reserve())
            known.append(font)
        for glyph, text in face.glyphs:
            font.texts[glyph] = text or font.texts.get(glyph, "")
        return font.ref

    def put(self) -> None:
        """Put all of it into the file, after the last page."""
        for (name, glyph), ref in self._drawn.items():
            _put_glyph(self._file, ref, self._faces[name], glyph)
        for name, fonts in self._fonts.items():
            face = self._faces[name]
            glyphs = sorted({glyph for font in fonts for glyph in font.texts})
            below = _below(self._file, face, glyphs)
            for font in fonts:
                _put_font(self._file, font, below)


def _put_glyph(file: PdfFile, ref: Ref, face: Face, glyph: int) -> None:
    """A glyph's outline in units of its face, y upward, in the colour of whoever draws it."""
    upem = float(face.upem)
    outline: Path = face.outline(glyph).mapped(Affine(upem, 0.0, 0.0, -upem, 0.0, 0.0))
    box = outline.box()
    edges = (box.left - 1, box.top - 1, box.right + 1, box.bottom + 1) if box else (0, 0, 0, 0)
    head: dict[str, Value] = {
        "Type": Name("XObject"),
        "Subtype": Name("Form"),
        "BBox": [float(edge) for edge in edges],
    }
    steps = "\n".join([*path_operators(outline), "f"])
    file.stream(head, packed(steps.encode("ascii")), ref=ref)


def _put_font(file: PdfFile, font: _Font, below: tuple[str, Ref]) -> None:
    name, descendant = below
    texts = {glyph: text for glyph, text in sorted(font.texts.items()) if text}
    file.put(
        font.ref,
        {
            "Type": Name("Font"),
            "Subtype": Name("Type0"),
            "BaseFont": Name(name),
            "Encoding": Name("Identity-H"),
            "DescendantFonts": [descendant],
            "ToUnicode": file.stream({}, packed(to_unicode(texts))),
        },
    )


def _below(file: PdfFile, face: Face, glyphs: Sequence[int]) -> tuple[str, Ref]:
    """The part of a face that has these glyphs, as a CIDFont: its name, and the object."""
    part = part_of(face, glyphs)
    name = f"{_tag(part.program)}+{part.name}"
    about: dict[str, Value] = {
        "Type": Name("FontDescriptor"),
        "FontName": Name(name),
        "Flags": SYMBOLIC | (ITALIC if face.italic else 0),
        **part.measures,
        "CapHeight": float(face.cap_height * PER_EM),
        "StemV": STEM_BOLD if face.weight >= BOLD_FROM else STEM_USUAL,
    }
    cid: dict[str, Value] = {
        "Type": Name("Font"),
        "Subtype": Name("CIDFontType2" if part.true_type else "CIDFontType0"),
        "BaseFont": Name(name),
        "CIDSystemInfo": {"Registry": "Adobe", "Ordering": "Identity", "Supplement": 0},
        "DW": 0,
        "W": list(_widths(face, glyphs)),
    }
    data = packed(part.program)
    if part.true_type:
        cid["CIDToGIDMap"] = Name("Identity")
        about["FontFile2"] = file.stream({"Length1": len(part.program)}, data)
    else:
        about["FontFile3"] = file.stream({"Subtype": Name("OpenType")}, data)
    cid["FontDescriptor"] = file.add(about)
    return name, file.add(cid)


class Part(NamedTuple):
    """A part of a face: its font file, whether its outlines are TrueType's, the name that the whole
    gives itself for such uses, and its measures as a PDF tells them (ISO 32000-1, 9.8)."""

    program: bytes
    true_type: bool
    name: str
    measures: dict[str, Value]


def part_of(face: Face, glyphs: Sequence[int]) -> Part:
    """The part of a face that draws these glyphs, each under the number it has; without hinting, so
    that a viewer draws the outlines as they are."""
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    options = Options(
        retain_gids=True,
        hinting=False,
        notdef_outline=True,
        layout_features=[],
        layout_closure=False,
        recalc_timestamp=False,
    )
    with TTFont(face.file, recalcTimestamp=False) as font:
        told = font["name"].getDebugName(POSTSCRIPT_NAME) or face.file.stem
        name = "".join(letter for letter in told if letter in NAME_LETTERS) or "Face"
        scale, head, rows = PER_EM / face.upem, font["head"], font["hhea"]
        edges = (head.xMin, head.yMin, head.xMax, head.yMax)
        measures: dict[str, Value] = {
            "FontBBox": [float(edge * scale) for edge in edges],
            "ItalicAngle": float(font["post"].italicAngle),
            "Ascent": float(rows.ascent * scale),
            "Descent": float(rows.descent * scale),
        }
        font.getGlyphOrder()  # by the names in "post", which goes now
        for tag in NOT_KEPT:  # before the rest is looked at: rules of layout take it longest
            if tag in font:
                del font[tag]
        subsetter = Subsetter(options)
        subsetter.populate(gids=sorted({0, *glyphs}))
        subsetter.subset(font)
        into = io.BytesIO()
        font.save(into)
        return Part(into.getvalue(), "glyf" in font, name, measures)


def _tag(program: bytes) -> str:
    """Six capitals that tell this part of the face from others (ISO 32000-1, 9.6.4)."""
    left = int.from_bytes(hashlib.sha256(program).digest()[:8], "big")
    letters = ""
    for _ in range(TAG_LETTERS):
        left, place = divmod(left, 26)
        letters += chr(ord("A") + place)
    return letters


def _widths(face: Face, glyphs: Sequence[int]) -> Iterator[Value]:
    """Widths by code: the first of a run of codes, then theirs (ISO 32000-1, 9.7.4.3)."""
    at = 0
    while at < len(glyphs):
        end = at + 1
        while end < len(glyphs) and glyphs[end] == glyphs[end - 1] + 1:
            end += 1
        yield glyphs[at]
        yield [width_of(face, glyph) for glyph in glyphs[at:end]]
        at = end
