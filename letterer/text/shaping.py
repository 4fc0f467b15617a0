"""Shaping: characters to placed glyphs by HarfBuzz, each run in one face, one script, one
direction.

All lengths here are in em (the type size is 1), so that nothing is shaped again when only the size
changes. A unit is shaped once as a whole, which gives the width of every stretch to within kerning;
the lines that are chosen are shaped again by themselves, since shaped widths do not add up across
cuts.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

import uharfbuzz as hb

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import Affine, Box, Path, Point, Segment, union_box
from letterer.text.breaks import clusters
from letterer.text.direction import levels, visual_order
from letterer.text.faces import OTHER_I, Cut, Face, FaceLibrary, is_invisible, name_of
from letterer.text.tradition import DressedText

ORIGIN = Point(0.0, 0.0)
COMMON_SCRIPTS = ("Zyyy", "Zinh", "Zzzz")
AT_WILL = ("liga", "clig", "dlig", "hlig")
"""Features that tie letters together for looks; what a script needs is done by others."""

JOINED_SCRIPTS = ("Arab", "Syrc", "Mong", "Nkoo", "Mand", "Phag", "Adlm", "Rohg")
STAND_INS = str.maketrans(
    {"\u2010": "-", "\u2011": "-"}
    | dict.fromkeys("\t\n\v\f\r\x1c\x1d\x1e\x1f\x85\u1680\u2028\u2029", " ")
)
"""What is drawn for a character that few faces have, though all can show it: hyphens, spaces."""


@dataclass(frozen=True, slots=True)
class Glyph:
    """One glyph of a shaped line: its face and number, where its origin stands, its character."""

    face: Face
    number: int
    x: float
    y: float
    char: int


@dataclass(frozen=True, slots=True)
class ShapedLine:
    """One line, shaped. The pen begins at x = 0 on the baseline y = 0; lengths in em, y down.

    `ink` is the box of what is drawn. `hang_left` and `hang_right` are how much of the ink on each
    side belongs to light marks that hang (quotes, dashes, dots, commas).
    """

    glyphs: tuple[Glyph, ...]
    advance: float
    ink: Box
    hang_left: float
    hang_right: float
    inked: tuple[Box, ...] = ()

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """The outermost corners of the glyphs' ink as (distance from the optical middle, y), in em.

        Only corners that no other corner beats both sideways and up, or sideways and down.
        """
        middle = self.optical_middle
        reach = [
            (max(box.right - middle, middle - box.left), box) for box in self.inked or (self.ink,)
        ]
        kept: dict[tuple[float, float], None] = {}
        for edge, inward in (("top", 1), ("bottom", -1)):
            widest = -1.0
            for x, box in sorted(
                reach, key=lambda item: (inward * getattr(item[1], edge), -item[0])
            ):
                if x > widest:
                    widest = x
                    kept[x, getattr(box, edge)] = None
        return tuple(kept)

    @property
    def optical_middle(self) -> float:
        """The x about which the line looks centred: hanging marks count for half."""
        left = self.ink.left + craft.HANGING_SHARE * self.hang_left
        right = self.ink.right - craft.HANGING_SHARE * self.hang_right
        return (left + right) / 2

    @property
    def half_width(self) -> float:
        """Distance from the optical middle to the farther end of the ink."""
        middle = self.optical_middle
        return max(self.ink.right - middle, middle - self.ink.left)

    def path(self, size: float = 1.0, start: Point = ORIGIN) -> Path:
        """The outlines of all glyphs at a type size, the line's own origin put at `start`."""
        segments: list[Segment] = []
        for glyph in self.glyphs:
            x, y = start.x + glyph.x * size, start.y + glyph.y * size
            outline = glyph.face.outline(glyph.number)
            segments += outline.mapped(Affine(size, 0.0, 0.0, size, x, y)).segments
        return Path(tuple(segments))


@dataclass(frozen=True, slots=True)
class Lettering:
    """How a unit's words are set: families in order of preference, whether they slant or are bold,
    and what is added between letters, in em; words part in proportion."""

    families: tuple[str, ...]
    bold: bool = False
    italic: bool = False
    spacing: float = 0.0

    def cut(self, emphasised: bool) -> Cut:
        """The cut for plain or emphasised words; emphasis in slanted text is bold and slants
        too."""
        return Cut(self.bold or emphasised, self.italic or emphasised)


@dataclass(frozen=True, slots=True)
class _Run:
    start: int
    end: int
    face: Face
    script: str
    level: int


class Shaper:
    """Shapes the stretches of one dressed text. `unit` names it in errors."""

    def __init__(
        self, text: DressedText, lettering: Lettering, faces: FaceLibrary, unit: str = ""
    ) -> None:
        self.text = text
        self.lettering = lettering
        self._faces = faces
        self._drawn = text.text.translate(STAND_INS)
        self._runs = self._itemise(unit)
        self._points = [ord(char) for char in self._drawn]
        self._barred = frozenset(text.barred)
        self._lines: dict[tuple[int, int], ShapedLine] = {}

    def for_text(self, text: DressedText) -> Shaper:
        """A shaper of another text, in the same faces."""
        return Shaper(text, self.lettering, self._faces)

    @property
    def cap(self) -> float:
        """Cap height of the face that sets plain words, in em."""
        return self._faces.face(self.lettering.families[0], self.lettering.cut(False)).cap_height

    @property
    def runs_from_right(self) -> bool:
        """True when the text as a whole reads from right to left."""
        return bool(self._runs) and min(run.level for run in self._runs) % 2 == 1

    def advances(self) -> list[float]:
        """Advance from the text's start to before each character, and to its end, shaped whole.

        In right-to-left runs, too, advances are counted in logical order.
        """
        widths = [0.0] * len(self.text.text)
        for run in self._runs:
            infos, positions, scale = self._shape(run, run.start, run.end)
            for info, position in zip(infos, positions, strict=True):
                widths[info.cluster] += position.x_advance * scale
            if self.lettering.spacing:
                for at in {info.cluster for info in infos}:
                    widths[at] += self._space_after(run, at)
        total = [0.0]
        for width in widths:
            total.append(total[-1] + width)
        return total

    def line(self, start: int, end: int) -> ShapedLine:
        """The characters `start` to `end` shaped as one line (kept, so asking twice costs
        nothing)."""
        known = self._lines.get((start, end))
        if known is None:
            known = self._lines[start, end] = self._line(start, end)
        return known

    def _line(self, start: int, end: int) -> ShapedLine:
        parts = [run for run in self._runs if run.start < end and run.end > start]
        order = visual_order([run.level for run in parts])
        glyphs: list[Glyph] = []
        pen = after = 0.0
        for run in (parts[index] for index in order):
            infos, positions, scale = self._shape(run, max(run.start, start), min(run.end, end))
            for index, (info, position) in enumerate(zip(infos, positions, strict=True)):
                glyphs.append(
                    Glyph(
                        run.face,
                        info.codepoint,
                        pen + position.x_offset * scale,
                        -position.y_offset * scale,
                        info.cluster,
                    )
                )
                pen += position.x_advance * scale
                if self.lettering.spacing and not _goes_on(infos, index):
                    after = self._space_after(run, info.cluster)
                    pen += after
        return self._measured(tuple(glyphs), pen - after)

    def _space_after(self, run: _Run, at: int) -> float:
        """What the lettering's spacing adds after the letter, or the blank, that begins at `at`.

        A letter with its marks is one. Scripts whose letters are joined have theirs left together,
        and only their words part (CSS Text Module Level 3, "Cursive Scripts").
        """
        if self._drawn[at].isspace():
            return self.lettering.spacing * craft.SPACING_WORDS
        return 0.0 if run.script in JOINED_SCRIPTS else self.lettering.spacing

    def _measured(self, glyphs: tuple[Glyph, ...], advance: float) -> ShapedLine:
        text = self.text.text
        inked: list[tuple[Box, bool]] = []
        for glyph in glyphs:
            box = glyph.face.ink(glyph.number)
            if box:
                hangs = text[glyph.char] in craft.HANGING_MARKS
                inked.append((box.shifted(glyph.x, glyph.y), hangs))
        boxes = tuple(box for box, _ in inked)
        ink = union_box(boxes) or Box(0.0, 0.0, advance, 0.0)
        solid = union_box(box for box, hangs in inked if not hangs)
        if solid is None:
            return ShapedLine(glyphs, advance, ink, 0.0, 0.0, boxes)
        hang_left, hang_right = solid.left - ink.left, ink.right - solid.right
        return ShapedLine(glyphs, advance, ink, hang_left, hang_right, boxes)

    def _shape(
        self, run: _Run, start: int, end: int
    ) -> tuple[Sequence[hb.GlyphInfo], Sequence[hb.GlyphPosition], float]:
        buffer = hb.Buffer()
        buffer.add_codepoints(self._points, start, end - start)
        buffer.direction = "rtl" if run.level % 2 else "ltr"
        if run.script:
            buffer.script = run.script
        else:
            buffer.guess_segment_properties()
            buffer.direction = "rtl" if run.level % 2 else "ltr"
        buffer.language = self.text.language
        hb.shape(run.face.font, buffer, self._features(run.face, start, end))
        return buffer.glyph_infos, buffer.glyph_positions, 1 / run.face.upem

    def _features(self, face: Face, start: int, end: int) -> dict[str, list[tuple[int, int, int]]]:
        """The barred I for the pronoun and the plain one elsewhere, where the face has both; and
        no ligatures at will in letters that are spaced (CSS Text Module Level 3,
        "letter-spacing")."""
        apart = {key: [(start, end, 0)] for key in AT_WILL} if self.lettering.spacing else {}
        if face.feature_bars_i is None:
            return apart
        spans = [
            (at, at + 1, 1)
            for at in range(start, end)
            if unicodedata.normalize("NFD", self._drawn[at])[0] == "I"
            and (at in self._barred) == face.feature_bars_i
        ]
        return apart | {OTHER_I: spans} if spans else apart

    def _itemise(self, unit: str) -> tuple[_Run, ...]:
        """Cut the text where face, script or direction changes; a cluster is never cut."""
        text = self._drawn
        level_of = levels(self.text.text)
        chains = {
            flag: self._faces.chain(self.lettering.families, self.lettering.cut(flag))
            for flag in ({False, True} if self.text.emphasis else {False})
        }
        runs: list[_Run] = []
        missing: dict[str, None] = {}
        for start, end in clusters(self.text.text):
            cluster = text[start:end]
            chain = chains[self.text.emphasised(start)]
            last = runs[-1] if runs else None
            if last is not None and (cluster.isspace() or is_invisible(cluster)):
                face, script = last.face, last.script
            else:
                able = next((face for face in chain if face.covers(cluster)), None)
                if able is None:
                    missing.update(dict.fromkeys(_lacking(cluster, chain)))
                    continue
                face, script = able, _script(cluster)
                if not script and last is not None:
                    script = last.script
            level = level_of[start] if level_of else 0
            joined = last is not None and (last.face, last.level) == (face, level)
            if last is not None and joined and (last.script == script or not last.script):
                runs[-1] = _Run(last.start, end, face, script, level)
            else:
                runs.append(_Run(start, end, face, script, level))
        if missing:
            raise LettererError(
                *(
                    Fault(
                        f"no face has the character {name_of(char)}",
                        "Write it another way, or add a face that has it",
                        unit=unit,
                    )
                    for char in missing
                )
            )
        return tuple(runs)


def _lacking(cluster: str, chain: Sequence[Face]) -> list[str]:
    """The characters of a cluster that no face has; all that are drawn when it is only the whole
    that none has."""
    drawn = [char for char in cluster if not char.isspace() and not is_invisible(char)]
    return [char for char in drawn if not any(face.covers(char) for face in chain)] or drawn


def _goes_on(infos: Sequence[hb.GlyphInfo], index: int) -> bool:
    """True where the next glyph belongs to the same letter."""
    return index + 1 < len(infos) and infos[index].cluster == infos[index + 1].cluster


def _script(cluster: str) -> str:
    """The script of a cluster as an ISO 15924 tag; empty for signs that all scripts share."""
    if cluster.isascii():
        return "Latn" if cluster.isalpha() else ""
    from fontTools import unicodedata as scripts

    tag = scripts.script(unicodedata.normalize("NFC", cluster)[0])
    return "" if tag in COMMON_SCRIPTS else str(tag)
