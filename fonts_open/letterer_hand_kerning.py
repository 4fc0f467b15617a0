"""Kerning of the face Letterer Hand: read it, join two files of it, give the plain I its own.

For `build_letterer_hand.py`, which stands beside it.
"""

from __future__ import annotations

import copy
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from fontTools.otlLib import builder as otl
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables import otBase

# N is the one capital with a plain upright stroke on either side, so the stem is kerned like it...
STEM_KERNED_LIKE = "N"
# ...save beside itself, where the N's own value would close the two strokes up.
STEM_BESIDE_STEM = 0

# Letters that have no decomposition in Unicode, and the letter whose sides they share.
SIDES_LIKE = {
    **{"Dcroat": "D", "Hbar": "H", "Lslash": "L", "Tbar": "T", "Eng": "N", "AEacute": "AE"},
    **{"dcroat": "d", "hbar": "h", "lslash": "l", "tbar": "t", "eng": "n", "aeacute": "ae"},
}

Pairs = dict[str, dict[str, int]]


class BuildError(Exception):
    """The face cannot be built from what was given; the text says why and how to mend it."""


def lookups_of(table: Any, tag: str) -> set[tuple[int, ...]]:
    """The lookups of a feature, once for each different list of them."""
    return {
        tuple(record.Feature.LookupListIndex)
        for record in table.FeatureList.FeatureRecord
        if record.FeatureTag == tag
    }


@dataclass
class Kerning:
    """Kerning as OpenType keeps it: single pairs first, then pairs of classes.

    `pairs` is {left glyph: {right glyph: units}}. `rows` and `columns` give a glyph's class as the
    left and the right one of a pair, and `cells` is {(row, column): units}. `place` is the lookup.
    """

    pairs: Pairs
    rows: dict[str, int]
    columns: dict[str, int]
    cells: dict[tuple[int, int], int]
    place: int

    @classmethod
    def read(cls, font: TTFont) -> Kerning:
        gpos = font["GPOS"].table
        ((place,),) = lookups_of(gpos, "kern")
        kerning = cls({}, {}, {}, {}, place)
        for outer in gpos.LookupList.Lookup[place].SubTable:
            subtable = getattr(outer, "ExtSubTable", outer)
            if subtable.Format == 1:
                for left, found in zip(subtable.Coverage.glyphs, subtable.PairSet, strict=True):
                    values = kerning.pairs.setdefault(left, {})
                    for pair in found.PairValueRecord:
                        values.setdefault(pair.SecondGlyph, _units(pair.Value1))
                continue
            columns = subtable.ClassDef2.classDefs
            if kerning.columns not in ({}, columns):
                raise BuildError("the source's kerning has other classes than this script expects.")
            kerning.columns = columns
            first = len({row for row, _ in kerning.cells})
            for left in subtable.Coverage.glyphs:
                kerning.rows[left] = first + subtable.ClassDef1.classDefs.get(left, 0)
            for row, record in enumerate(subtable.Class1Record, first):
                for column, value in enumerate(record.Class2Record):
                    kerning.cells[row, column] = _units(value.Value1)
        kerning.columns = dict(kerning.columns)
        return kerning

    def value(self, left: str, right: str) -> int:
        """What a shaper would use for the pair."""
        single = self.pairs.get(left, {}).get(right)
        if single is not None:
            return single
        return self.cells.get((self.rows.get(left, -1), self.columns.get(right, 0)), 0)

    def add_accented(
        self, accented: Kerning, new: set[str], sides: dict[str, tuple[str, str]]
    ) -> None:
        """Take in the `new` glyphs of the accented file.

        `sides` gives for a letter those whose kerning it takes as the left and as the right one of
        a pair. What the source itself says of a pair in the accented file stays as it was.
        """
        before = Kerning(
            copy.deepcopy(self.pairs), dict(self.rows), dict(self.columns), self.cells, self.place
        )
        for name, (as_left, as_right) in sides.items():
            if as_left in self.rows:
                self.rows[name] = self.rows[as_left]
            if as_left in before.pairs:
                self.pairs[name] = dict(before.pairs[as_left])
            if as_right in self.columns:
                self.columns[name] = self.columns[as_right]
        for values in self.pairs.values():
            for name, (_, as_right) in sides.items():
                # Single pairs of small letters avoid an accent, or the lack of one; leave those.
                if as_right in values and as_right[0].isupper():
                    values[name] = values[as_right]
        for left in sorted({*accented.rows, *accented.pairs}):
            known = {*accented.columns, *accented.pairs.get(left, {})}
            for right in sorted(known):
                if left not in new and right not in new:
                    continue
                units = accented.value(left, right)
                if units != self.value(left, right):
                    self.pairs.setdefault(left, {})[right] = units

    def add_stems(self, stems: Iterable[str]) -> None:
        """Kern the stems like a letter with a plain upright stroke on either side."""
        names = list(stems)
        like = STEM_KERNED_LIKE
        for values in self.pairs.values():
            if like in values:
                values.update(dict.fromkeys(names, values[like]))
        beside = dict(self.pairs.get(like, {})) | dict.fromkeys(names, STEM_BESIDE_STEM)
        for name in names:
            self.rows[name] = self.rows[like]
            self.columns[name] = self.columns[like]
            self.pairs[name] = dict(beside)

    def write(self, font: TTFont) -> None:
        """Write the kerning into the font, in place of what it had."""
        ids = font.getReverseGlyphMap()
        single = {
            (left, right): (_record(units), None)
            for left, values in self.pairs.items()
            for right, units in values.items()
        }
        subtables = otl.buildPairPosGlyphs(single, ids)
        rows = _by_class(self.rows, ids)
        columns = _by_class(self.columns, ids)
        classes = {
            (left, right): (_record(self.cells.get((row, column), 0)), None)
            for row, left in rows.items()
            for column, right in columns.items()
        }
        subtables.append(otl.buildPairPosClassesSubtable(classes, ids))
        lookup = font["GPOS"].table.LookupList.Lookup[self.place]
        lookup.LookupType = 2
        lookup.SubTable = subtables
        lookup.SubTableCount = len(subtables)


def _units(value: Any) -> int:
    return int(getattr(value, "XAdvance", 0) or 0)


def _record(units: int) -> otBase.ValueRecord:
    value = otBase.ValueRecord()
    value.XAdvance = units
    return value


def _by_class(classes: dict[str, int], ids: dict[str, int]) -> dict[int, tuple[str, ...]]:
    members: dict[int, list[str]] = {}
    for name in sorted(classes, key=lambda glyph: ids[glyph]):
        members.setdefault(classes[name], []).append(name)
    return {number: tuple(names) for number, names in members.items() if number or names}


def sides_of(font: TTFont, kerning: Kerning, new: list[str]) -> dict[str, tuple[str, str]]:
    """For each accented letter, the letters whose left-hand and right-hand kerning it takes.

    A capital takes its base letter's. A small vowel under an accent takes that of the vowel with a
    dieresis where there is one, which makes room for what stands above it.
    """
    cmap = font.getBestCmap()
    character = {name: chr(code) for code, name in sorted(cmap.items(), reverse=True)}
    sides: dict[str, tuple[str, str]] = {}
    for name in new:
        if name in SIDES_LIKE:
            sides[name] = (SIDES_LIKE[name],) * 2
            continue
        parts = unicodedata.normalize("NFKD", character.get(name, ""))
        letters = [part for part in parts if part.isalpha() and ord(part) in cmap]
        if not letters or len(parts) == 1:
            continue
        ends = [letters[-1], letters[0]]
        if any(unicodedata.combining(part) == 230 for part in parts):
            ends = [_with_dieresis(letter, cmap) for letter in ends]
        sides[name] = (cmap[ord(ends[0])], cmap[ord(ends[1])])
    return {
        name: pair
        for name, pair in sides.items()
        if pair[0] in kerning.rows or pair[1] in kerning.columns
    }


def _with_dieresis(letter: str, cmap: dict[int, str]) -> str:
    joined = unicodedata.normalize("NFC", letter + "\u0308")
    return joined if letter.islower() and len(joined) == 1 and ord(joined) in cmap else letter
