"""Builds Letterer Marks: signs that a letterer draws and nobody types.

Today these are the breath marks: three short strokes to each side of a small sound, such as a cough
or a gasp. They stand at private code points, U+E010 before the sound and U+E011 after it; letterer
puts them there, the person never types them. The drawing is our own.

    python fonts_open/build_letterer_marks.py [--into FOLDER]
"""

from __future__ import annotations

import argparse
import io
import math
import sys
from collections.abc import Callable
from pathlib import Path

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib.tables._g_l_y_f import Glyph

FILE = "LettererMarks-Regular.ttf"
FAMILY = "Letterer Marks"
COPYRIGHT = "Copyright 2026 The letterer authors"
LICENCE = (
    "This Font Software is licensed under the SIL Open Font License, Version 1.1. "
    "This license is available with a FAQ at: https://scripts.sil.org/OFL"
)
UPEM, CAP, ADVANCE = 1000, 700, 460
BEFORE, AFTER = 0xE010, 0xE011

# Each stroke from its outer to its inner end, in units, with the pen's width at both: a flick.
STROKES = (((60, 690), (330, 540)), ((20, 352), (310, 350)), ((70, 10), (330, 160)))
OUTER, INNER = 62, 96


def build() -> bytes:
    """The bytes of the TrueType file; the same at every run."""
    glyphs = {
        ".notdef": TTGlyphPen(None).glyph(),
        "space": TTGlyphPen(None).glyph(),
        "breath.before": _breath(lambda x: x),
        "breath.after": _breath(lambda x: ADVANCE - x),
    }
    builder = FontBuilder(UPEM, isTTF=True)
    builder.setupGlyphOrder(list(glyphs))
    builder.setupCharacterMap({0x20: "space", BEFORE: "breath.before", AFTER: "breath.after"})
    builder.setupGlyf(glyphs)
    widths = {name: (ADVANCE if "breath" in name else 250) for name in glyphs}
    table = builder.font["glyf"]
    builder.setupHorizontalMetrics(
        {name: (width, getattr(table[name], "xMin", 0)) for name, width in widths.items()}
    )
    builder.setupHorizontalHeader(ascent=1020, descent=-320)
    builder.setupNameTable(
        {
            "copyright": COPYRIGHT,
            "familyName": FAMILY,
            "styleName": "Regular",
            "uniqueFontIdentifier": f"{FAMILY} 1.0",
            "fullName": f"{FAMILY} Regular",
            "version": "Version 1.000",
            "psName": "LettererMarks-Regular",
            "licenseDescription": LICENCE,
        }
    )
    builder.setupOS2(sCapHeight=CAP, usWeightClass=500, fsType=0)
    builder.setupPost()
    builder.font["head"].created = builder.font["head"].modified = 0
    builder.font.recalcTimestamp = False
    written = io.BytesIO()
    builder.save(written)
    return written.getvalue()


def _breath(place: Callable[[int], int]) -> Glyph:
    """Three strokes that fan out from the sound; `place` turns x round for the other side."""
    pen = TTGlyphPen(None)
    for (x0, y0), (x1, y1) in STROKES:
        _stroke(pen, (place(x0), y0), (place(x1), y1))
    return pen.glyph()


def _stroke(pen: TTGlyphPen, outer: tuple[float, float], inner: tuple[float, float]) -> None:
    """One flick of the pen: a tapering bar with round ends, its sides too short to see."""
    heading = math.atan2(inner[1] - outer[1], inner[0] - outer[0])
    points: list[tuple[float, float]] = []
    for (x, y), width, turned in ((outer, OUTER, math.pi), (inner, INNER, 0.0)):
        for step in range(5):
            angle = heading + turned - math.pi / 2 + math.pi * step / 4
            points.append((x + width / 2 * math.cos(angle), y + width / 2 * math.sin(angle)))
    rounded = [(round(x), round(y)) for x, y in points]
    area = sum(rounded[i - 1][0] * y - x * rounded[i - 1][1] for i, (x, y) in enumerate(rounded))
    if area > 0:  # TrueType fills what runs clockwise
        rounded.reverse()
    pen.moveTo(rounded[0])
    for point in rounded[1:]:
        pen.lineTo(point)
    pen.closePath()


def main(arguments: list[str] | None = None) -> int:
    """Write the file."""
    parser = argparse.ArgumentParser(description="Builds the face of drawn marks.")
    parser.add_argument("--into", type=Path, default=Path(__file__).resolve().parent)
    path = parser.parse_args(arguments).into / FILE
    path.write_bytes(build())
    print(f"{path.name}: {path.stat().st_size} bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main())
