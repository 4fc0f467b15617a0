"""Words that can be searched, copied and read aloud, under lettering that is drawn as outlines.

They are set in a font without ink, in text render mode 3 (neither filled nor lined: ISO 32000-1,
9.3.6), each line stretched over the ink of its own. So any script can be found, whatever faces it
is drawn in, and no viewer and no printer can show other letters than ours.
"""

from __future__ import annotations

import struct
import unicodedata
from collections.abc import Iterator, Mapping, Sequence

from letterer import craft
from letterer.geometry import Box
from letterer.out.pdf_objects import Name, PdfFile, Ref, Value, packed
from letterer.out.svg import number
from letterer.page.lettered import PlacedUnit
from letterer.text.breaks import clusters
from letterer.text.direction import levels, visual_order

FONT_NAME = "LettererWords"
PER_EM = 1000
CAP, BELOW = 720, 200
"""How far a capital stands above the line, and a letter hangs below it, in thousandths of an em."""

NARROW, WIDE, USUAL, SPACE = 320, 1000, 600, 300
"""Widths of letters, roughly: a line is stretched to its ink as a whole, so only their proportions
matter, and only to what a viewer marks while words are being chosen."""

UNSAID = craft.BREATH_BEFORE + craft.BREATH_AFTER
"""What is drawn beside words and is none itself."""

NARROW_LETTERS = frozenset(" !'(),-.:;I[]`ijl|\u2018\u2019\u2026")
NOT_TOLD = dict.fromkeys(map(ord, UNSAID))
CODES_MOST = 0xFFFF
FONT_MAGIC = 0x5F0F_3CF5
FIRST_SECOND = 2_082_844_800
"""The beginning of 1970, as fonts count time: the font tells no time at which it was made."""


class Alphabet:
    """The codes of a page: one for each character that its words have, in the order they come."""

    def __init__(self) -> None:
        self._codes: dict[str, int] = {}

    @property
    def letters(self) -> tuple[str, ...]:
        """The characters by their codes, from 1."""
        return tuple(self._codes)

    def coded(self, text: str) -> bytes:
        """Text as codes of two bytes."""
        codes = (self._codes.setdefault(char, len(self._codes) + 1) for char in text)
        return b"".join(min(code, CODES_MOST).to_bytes(2, "big") for code in codes)


def width_of(char: str) -> int:
    """The width of a character in the font without ink, in thousandths of an em."""
    if unicodedata.combining(char):
        return 0
    if char.isspace():
        return SPACE
    if unicodedata.east_asian_width(char) in "WF":
        return WIDE
    return NARROW if char in NARROW_LETTERS else USUAL


def hidden_words(unit: PlacedUnit, alphabet: Alphabet) -> Iterator[str]:
    """A unit's words as steps of a content stream, in page coordinates with y growing downward."""
    for text, ink in _lines(unit):
        size = ink.height / CAP * PER_EM if unit.kind == "effect" else unit.size
        wide = sum(map(width_of, text.rstrip())) / PER_EM * size
        if size <= 0 or wide <= 0 or ink.width <= 0:
            continue
        yield (
            f"BT 3 Tr /Words {number(size)} Tf {number(100 * ink.width / wide)} Tz"
            f" 1 0 0 -1 {number(ink.left)} {number(ink.bottom)} Tm"
            f" <{alphabet.coded(text).hex().upper()}> Tj ET"
        )


def _lines(unit: PlacedUnit) -> list[tuple[str, Box]]:
    """Each line's text, from left to right as it is seen, and the box of its ink."""
    boxes = [line.box() for line in unit.lines]
    texts = unit.breaks
    if len(texts) != len(boxes) or None in boxes:
        texts, boxes = (unit.words,), [unit.ink]
    last = len(texts) - 1
    return [
        (_as_seen(text.translate(NOT_TOLD)) + (" " if place < last else ""), box)
        for place, (text, box) in enumerate(zip(texts, boxes, strict=True))
        if box is not None and text.strip()
    ]


def _as_seen(text: str) -> str:
    """Text from left to right as it stands on the page; readers of PDF turn it back."""
    found = levels(text)
    if found is None:
        return text
    spans = clusters(text)
    order = visual_order([found[start] for start, _ in spans])
    return "".join(text[start:end] for start, end in (spans[place] for place in order))


def words_font(file: PdfFile, program: Ref, letters: Sequence[str]) -> Ref:
    """The font of one page: the codes of its characters, and what each stands for."""
    widths: list[Value] = [1, [width_of(char) for char in letters]]
    system: Value = {"Registry": "Adobe", "Ordering": "Identity", "Supplement": 0}
    glyphs = file.stream({}, packed(b"\0\0" + b"\0\1" * len(letters)))
    descriptor = file.add(
        {
            "Type": Name("FontDescriptor"),
            "FontName": Name(FONT_NAME),
            "Flags": 4,
            "FontBBox": [0, -BELOW, PER_EM, CAP + BELOW],
            "ItalicAngle": 0,
            "Ascent": CAP,
            "Descent": -BELOW,
            "CapHeight": CAP,
            "StemV": 80,
            "FontFile2": program,
        }
    )
    below = file.add(
        {
            "Type": Name("Font"),
            "Subtype": Name("CIDFontType2"),
            "BaseFont": Name(FONT_NAME),
            "CIDSystemInfo": system,
            "FontDescriptor": descriptor,
            "DW": USUAL,
            "W": widths,
            "CIDToGIDMap": glyphs,
        }
    )
    return file.add(
        {
            "Type": Name("Font"),
            "Subtype": Name("Type0"),
            "BaseFont": Name(FONT_NAME),
            "Encoding": Name("Identity-H"),
            "DescendantFonts": [below],
            "ToUnicode": file.stream({}, packed(to_unicode(dict(enumerate(letters, 1))))),
        }
    )


def to_unicode(texts: Mapping[int, str]) -> bytes:
    """What text each code stands for, as a CMap (ISO 32000-1, 9.10.3)."""
    rows = [
        f"<{code:04X}> <{text.encode('utf-16-be', 'surrogatepass').hex().upper()}>"
        for code, text in texts.items()
    ]
    blocks = []
    for begin in range(0, len(rows), 100):
        some = rows[begin : begin + 100]
        blocks.append(f"{len(some)} beginbfchar\n" + "\n".join(some) + "\nendbfchar\n")
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n"
        + "".join(blocks)
        + "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"
    ).encode("ascii")


def font_program() -> bytes:
    """A TrueType font of two blank glyphs: one for what is missing, one for all else (OpenType,
    the tables that ISO 32000-1, 9.9 asks for). Written here, since it is quicker than any maker of
    fonts is loaded."""
    one = 0x0001_0000
    head = struct.pack(">IIIIHH", one, one, 0, FONT_MAGIC, 0, PER_EM)
    head += struct.pack(">QQ", FIRST_SECOND, FIRST_SECOND)
    head += struct.pack(">4hHHhhh", 0, -BELOW, PER_EM, CAP + BELOW, 0, 8, 2, 0, 0)
    return _font_file(
        {
            "glyf": bytes(4),
            "head": head,
            "hhea": struct.pack(">IhhhH22xH", one, CAP, -BELOW, 0, USUAL, 1),
            "hmtx": struct.pack(">Hhh", USUAL, 0, 0),
            "loca": bytes(6),
            "maxp": struct.pack(">IH8xH16x", one, 2, 1),
        }
    )


def _font_file(tables: Mapping[str, bytes]) -> bytes:
    """Tables, in the order of their names, as a font file (OpenType, "Organization of an OpenType
    Font"). The sum of the whole is left at nothing: no viewer asks for it."""
    count = len(tables)
    power = 1 << (count.bit_length() - 1)
    made = struct.pack(
        ">IHHHH", 0x0001_0000, count, power * 16, power.bit_length() - 1, (count - power) * 16
    )
    at = len(made) + 16 * count
    body = b""
    for tag, table in tables.items():
        padded = table + bytes(-len(table) % 4)
        total = sum(struct.unpack(f">{len(padded) // 4}I", padded)) & 0xFFFF_FFFF
        made += struct.pack(">4sIII", tag.encode("ascii"), total, at + len(body), len(table))
        body += padded
    return made + body
