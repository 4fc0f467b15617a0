"""Shaping: characters to placed glyphs by HarfBuzz, each run in one face, one script, one
direction.

All lengths here are in em (the type size is 1), so that nothing is shaped again when only the size
changes. A unit is shaped once as a whole. A line is cut out of that where HarfBuzz says that both
sides of a cut stay as they are (its flag "unsafe to break"); elsewhere, as in faces whose letters
hang on the letters before them, it is shaped by itself: shaped widths do not add up across cuts.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import uharfbuzz as hb

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import Box, Point, union_box
from letterer.text.breaks import clusters
from letterer.text.direction import levels, visual_order
from letterer.text.faces import OTHER_I, Cut, Face, FaceLibrary, is_invisible, name_of
from letterer.text.letter_path import ORIGIN, Glyph, LetterPath
from letterer.text.tradition import DressedText

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

    def path(self, size: float = 1.0, start: Point = ORIGIN) -> LetterPath:
        """The outlines of all glyphs at a type size, the line's own origin put at `start`."""
        return LetterPath(self.glyphs, size, start)


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


class _Sign(NamedTuple):
    """One shaped glyph of a run: its ink, if any, as if the pen stood at 0; lengths in em, y down.

    `spacing` is what the lettering adds after it, the last of its letter. `ink` is left, top, right
    and bottom; `hangs` says that it is a light mark.
    """

    number: int
    x: float
    y: float
    advance: float
    spacing: float
    char: int
    ink: tuple[float, float, float, float] | None
    hangs: bool


class _Shaped:
    """A run shaped as a whole, and where it may be cut."""

    def __init__(self, run: _Run, signs: list[_Sign], unsafe: frozenset[int]) -> None:
        self.signs = signs
        chars = [sign.char for sign in signs]
        # Where the signs of each character begin; in a run from the right, where they are past.
        if run.level % 2:
            self._at = {char: at + 1 for at, char in enumerate(chars)}
            self._at |= {run.end: 0, run.start: len(signs)}
        else:
            self._at = {char: at for at, char in reversed([*enumerate(chars)])}
            self._at |= {run.start: 0, run.end: len(signs)}
        for char in unsafe - {run.start, run.end}:
            del self._at[char]

    def cut(self, start: int, end: int) -> list[_Sign] | None:
        """The signs of these characters; None where cutting them out would change some."""
        first, last = self._at.get(start), self._at.get(end)
        if first is None or last is None:
            return None
        return self.signs[min(first, last) : max(first, last)]


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
        self._shaped: dict[int, _Shaped] = {}

    def for_text(self, text: DressedText) -> Shaper:
        """A shaper of another text, in the same faces."""
        return Shaper(text, self.lettering, self._faces)

    @cached_property
    def cap(self) -> float:
        """Cap height of the face that sets the words, in em.

        That is the plain cut of the family that most letters are set in: the first one, but for
        letters that it lacks (Greek, Cyrillic).
        """
        letters: dict[str, int] = {}
        for run in self._runs:
            count = sum(map(str.isalpha, self._drawn[run.start : run.end]))
            letters[run.face.family] = letters.get(run.face.family, 0) + count
        most = max(letters, key=lambda family: letters[family], default="")
        if not letters.get(most):
            return self.usual_cap
        return self._faces.face(most, self.lettering.cut(False)).cap_height

    @property
    def usual_cap(self) -> float:
        """Cap height of the first family's plain cut, in em: the one that a style is made for."""
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
            for sign in self._whole(run).signs:
                widths[sign.char] += sign.advance + sign.spacing
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
        inked: list[Box] = []
        solid: list[Box] = []
        pen = after = 0.0
        for run in (parts[index] for index in order):
            first, last = max(run.start, start), min(run.end, end)
            signs = self._whole(run).cut(first, last) or self._shape(run, first, last)[0]
            for number, x, y, advance, spacing, char, ink, hangs in signs:
                glyphs.append(Glyph(run.face, number, pen + x, y, char))
                if ink is not None:
                    box = Box(pen + ink[0], ink[1], pen + ink[2], ink[3])
                    inked.append(box)
                    if not hangs:
                        solid.append(box)
                pen += advance + spacing
                after = spacing
        advance = pen - after
        ink_box = union_box(inked) or Box(0.0, 0.0, advance, 0.0)
        hang_left = hang_right = 0.0
        if solid and len(solid) < len(inked):
            hang_left = min([box.left for box in solid]) - ink_box.left
            hang_right = ink_box.right - max([box.right for box in solid])
        return ShapedLine(tuple(glyphs), advance, ink_box, hang_left, hang_right, tuple(inked))

    def _whole(self, run: _Run) -> _Shaped:
        """A run shaped as a whole, once."""
        known = self._shaped.get(run.start)
        if known is None:
            known = self._shaped[run.start] = _Shaped(run, *self._shape(run, run.start, run.end))
        return known

    def _space_after(self, run: _Run, at: int) -> float:
        """What the lettering's spacing adds after the letter, or the blank, that begins at `at`.

        A letter with its marks is one. Scripts whose letters are joined have theirs left together,
        and only their words part (CSS Text Module Level 3, "Cursive Scripts").
        """
        if self._drawn[at].isspace():
            return self.lettering.spacing * craft.SPACING_WORDS
        return 0.0 if run.script in JOINED_SCRIPTS else self.lettering.spacing

    def _shape(self, run: _Run, start: int, end: int) -> tuple[list[_Sign], frozenset[int]]:
        """The signs of these characters of a run, and before which of them no cut is safe."""
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
        infos, scale, ink_of = buffer.glyph_infos, 1 / run.face.upem, run.face.ink
        text, spaced = self.text.text, bool(self.lettering.spacing)
        signs: list[_Sign] = []
        unsafe = []
        for index, (info, position) in enumerate(zip(infos, buffer.glyph_positions, strict=True)):
            number, char = info.codepoint, info.cluster
            x, y = position.x_offset * scale, -position.y_offset * scale
            ink = ink_of(number)
            spacing = 0.0
            if spaced and not _goes_on(infos, index):
                spacing = self._space_after(run, char)
            if info.flags & hb.GlyphFlags.UNSAFE_TO_BREAK:
                unsafe.append(char)
            signs.append(
                _Sign(
                    number,
                    x,
                    y,
                    position.x_advance * scale,
                    spacing,
                    char,
                    ink and ink.shifted(x, y),
                    text[char] in craft.HANGING_MARKS,
                )
            )
        return signs, frozenset(unsafe)

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
        emphasised = {at for span in self.text.emphasis for at in range(span.start, span.end)}
        begun: list[tuple[int, Face, str, int]] = []
        face: Face | None = None
        script, level = "", 0
        missing: dict[str, None] = {}
        for start, end in clusters(self.text.text):
            cluster = text[start:end]
            before = (face, script, level)
            level = level_of[start] if level_of else 0
            if face is None or not (cluster == " " or _is_blank(cluster)):
                chain = chains[start in emphasised]
                able = next((face for face in chain if face.covers(cluster)), None)
                if able is None:
                    missing.update(dict.fromkeys(_lacking(cluster, chain)))
                    continue
                face, script = able, _script(cluster) or script
            if (face, level) != (before[0], before[2]) or (before[1] not in ("", script)):
                begun.append((start, face, script, level))
            elif not before[1]:
                begun[-1] = (begun[-1][0], face, script, level)
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
        ends = [*(start for start, *_ in begun[1:]), len(text)]
        return tuple(
            _Run(start, end, face, script, level)
            for (start, face, script, level), end in zip(
                begun, ends, strict=False
            )  # nothing begins in no text
        )


def _is_blank(cluster: str) -> bool:
    """True for white space, and for format characters that are not drawn."""
    return cluster.isspace() or (not cluster.isascii() and is_invisible(cluster))


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
