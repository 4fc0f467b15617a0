"""A sound effect letter by letter: how they grow, jump, tilt, and how near they stand.

Lengths are in em, y growing downward; the words begin at x = 0, and the first line's baseline is
y = 0. What is left to chance is drawn by an identity: the same words are the same at every run.
"""

from __future__ import annotations

import math
import random
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.candidates import line_words, set_lines
from letterer.fit.measure import MeasuredWords
from letterer.geometry import Affine, Box, Path, Segment, union_box
from letterer.text.letter_path import Glyph
from letterer.text.shaping import ShapedLine

Floats = NDArray[np.float64]

FLAT_EM = 0.004
"""How near the straight lines lie that letters are compared by."""

BANDS = 48
"""Bands of height in which the gap between two letters is measured, over the height of a letter."""

HALVINGS = 50

TOGETHER = ("ARABIC", "SYRIAC", "MONGOLIAN", "DEVANAGARI", "BENGALI", "GURMUKHI")
"""Scripts whose letters hang together: there a word is moved and turned as one."""


@dataclass(frozen=True, slots=True)
class Rhythm:
    """How the letters of a sound effect differ from type.

    `sizes` are the sizes at even steps along the words; `jump` in cap heights and `tilt` in degrees
    are the most that chance may do; `overlap`, in cap heights, is how far each letter stands over
    its neighbour (below 0: how far apart they are), None as the face spaces them. `level` is what
    stays on the line.
    """

    sizes: tuple[float, ...] = ()
    jump: float = 0.0
    tilt: float = 0.0
    overlap: float | None = None
    level: Literal["feet", "middles", "tops"] = "feet"

    @property
    def plain(self) -> bool:
        """True where letters stand as the face sets them."""
        return not (self.sizes or self.jump or self.tilt) and self.overlap is None


@dataclass(frozen=True, slots=True)
class Letter:
    """One letter where it stands: its outline, the number of its line, its place in the words, and
    the x about which it is turned when its line bends."""

    path: Path
    line: int
    char: int
    middle: float

    def moved(self, across: float) -> Letter:
        """This letter farther to the right on its line."""
        return Letter(self.path.shifted(across, 0.0), self.line, self.char, self.middle + across)


@dataclass(frozen=True, slots=True)
class Letters:
    """The letters of a sound effect in reading order, the words of each line, and measures in em.

    `width` is that of the widest line's ink; `lowest` is the last line's baseline.
    """

    letters: tuple[Letter, ...]
    lines: tuple[str, ...]
    breaks: tuple[int, ...]
    width: float
    cap: float
    lowest: float

    @property
    def ink(self) -> Box:
        """The box of all the ink."""
        box = union_box(box for letter in self.letters if (box := letter.path.box()))
        assert box is not None
        return box


def effect_letters(
    words: MeasuredWords, rhythm: Rhythm, identity: str, breaks: tuple[int, ...] | None = None
) -> Letters:
    """The letters of a sound effect on straight lines.

    These break at `breaks`, the pieces that each line ends before, or where the writer broke them.
    """
    ends = [index + 1 for index, piece in enumerate(words.pieces) if piece.forced]
    breaks = breaks or tuple(dict.fromkeys([*ends, len(words)]))
    lines = set_lines(words, breaks)
    chance = random.Random(f"{identity}|letters")
    rows: list[list[tuple[int, Path]]] = []
    for line in lines:
        row = _grouped(line.shaped, words.text)
        rows.append(row if rhythm.plain else _drawn(row, words, rhythm, chance))
    leading = words.cap * craft.EFFECT_LEADING_CAPS * max(rhythm.sizes, default=1.0)
    boxes = [_box(path for _, path in row) for row in rows]
    width = max((box.width for box in boxes), default=0.0)
    letters: list[Letter] = []
    for number, (row, box) in enumerate(zip(rows, boxes, strict=True)):
        dx, dy = (width - box.width) / 2 - box.left, number * leading
        for char, path in row:
            moved = path.shifted(dx, dy)
            own = moved.box()
            if own is not None:
                letters.append(Letter(moved, number, char, own.center.x))
    letters.sort(key=lambda letter: (letter.line, letter.char))
    told = tuple(line_words(words, line) for line in lines)
    return Letters(tuple(letters), told, breaks, width, words.cap, leading * (len(lines) - 1))


def _box(paths: Iterable[Path]) -> Box:
    box = union_box(box for path in paths if (box := path.box()))
    return box or Box(0.0, 0.0, 0.0, 0.0)


def _grouped(shaped: ShapedLine, text: str) -> list[tuple[int, Path]]:
    """The letters of a line from left to right, each with its marks; words where letters hang
    together. What has no ink is left out."""
    groups: list[list[Glyph]] = []
    for glyph in shaped.glyphs:
        if groups and _one(groups[-1][-1].char, glyph.char, text):
            groups[-1].append(glyph)
        else:
            groups.append([glyph])
    found: list[tuple[int, Path]] = []
    for group in groups:
        segments: list[Segment] = []
        for glyph in group:
            segments += glyph.face.outline(glyph.number).shifted(glyph.x, glyph.y).segments
        if segments:
            found.append((min(glyph.char for glyph in group), Path(tuple(segments))))
    return found


def _one(before: int, after: int, text: str) -> bool:
    """Whether two neighbours are drawn as one."""
    if before == after:
        return True
    low, high = sorted((before, after))
    return all(
        unicodedata.name(char, "").startswith(TOGETHER) or unicodedata.combining(char)
        for char in text[low : high + 1]
    )


def _drawn(
    row: list[tuple[int, Path]], words: MeasuredWords, rhythm: Rhythm, chance: random.Random
) -> list[tuple[int, Path]]:
    """The letters of a line, sized, tilted and jumping, each set beside the one before."""
    cap = words.cap
    level = {"feet": 0.0, "middles": -cap / 2, "tops": -cap}[rhythm.level]
    order = sorted(range(len(row)), key=lambda place: row[place][0])  # as they are read
    sizes = _sizes(rhythm.sizes, len(row))
    jumps = _to_and_fro(len(row), chance)
    tilts = _to_and_fro(len(row), chance)
    changed: dict[int, tuple[Path, float]] = {}
    for place, at in enumerate(order):
        path, size = row[at][1], sizes[place]
        box = path.box()
        assert box is not None
        jump, tilt = rhythm.jump * cap * size * jumps[place], rhythm.tilt * tilts[place]
        sized = _sized(size, level)
        turn = _turned(tilt, *sized.apply(box.center))
        changed[at] = (path.mapped(Affine(f=jump).after(turn).after(sized)), size)
    set_down: list[tuple[int, Path]] = []
    for at in range(len(row)):
        path, size = changed[at]
        if at:
            scale = (size + changed[at - 1][1]) / 2
            char, other = sorted((row[at - 1][0], row[at][0]))
            spaced = any(char.isspace() for char in words.text[char:other])
            if spaced:
                gap = _gap(row[at - 1][1], row[at][1]) * scale
                dx = gap - _gap(set_down[-1][1], path)
            elif rhythm.overlap is None:
                gap = _room(row[at - 1][1], row[at][1], cap) * scale
                dx = _apart(set_down[-1][1], path, gap, cap * scale)
            else:
                dx = _over(set_down[-1][1], path, rhythm.overlap, cap * scale)
            path = path.shifted(dx, 0.0)
        set_down.append((row[at][0], path))
    return set_down


def _sized(size: float, level: float) -> Affine:
    """Larger or smaller, with y = `level` held."""
    return Affine(size, 0.0, 0.0, size, 0.0, level * (1 - size))


def _turned(degrees: float, x: float, y: float) -> Affine:
    """Turned clockwise about a point."""
    cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return Affine(cosine, sine, -sine, cosine, x - cosine * x + sine * y, y - sine * x - cosine * y)


def _sizes(sizes: Sequence[float], count: int) -> list[float]:
    """The size of each of some letters, from sizes at even steps, in a straight or bent line."""
    if not sizes:
        return [1.0] * count
    along = np.linspace(0.0, 1.0, count) if count > 1 else np.array([0.5])
    steps = np.linspace(0.0, 1.0, len(sizes))
    # Sizes multiply, so between two of them lies their geometric mean.
    return [float(size) for size in np.exp(np.interp(along, steps, np.log(sizes)))]


def _to_and_fro(count: int, chance: random.Random) -> list[float]:
    """Shares from -1 to 1 for neighbours that go to and fro, none of them hardly at all."""
    side = chance.choice((-1.0, 1.0))
    least = craft.EFFECT_STRAY_LEAST
    return [side * (-1) ** at * (least + (1 - least) * chance.random()) for at in range(count)]


# --- Gaps ---------------------------------------------------------------------------------------


def _edges(path: Path, bands: Floats, right: bool) -> Floats:
    """The outermost x of a path in each band between heights, infinite where it has no ink."""
    far = -np.inf if right else np.inf
    edge = np.full(len(bands) - 1, far)
    pick = np.maximum if right else np.minimum
    for ring in path.flattened(FLAT_EM):
        points = np.array(ring)
        begin, end = points[:-1], points[1:]
        for band in range(len(bands) - 1):
            low, high = bands[band], bands[band + 1]
            top, bottom = np.minimum(begin[:, 1], end[:, 1]), np.maximum(begin[:, 1], end[:, 1])
            crosses = (top <= high) & (bottom >= low)
            if not crosses.any():
                continue
            a, b = begin[crosses], end[crosses]
            rise = b[:, 1] - a[:, 1]
            flat = np.abs(rise) < 1e-12
            safe = np.where(flat, 1.0, rise)
            for height in (low, high):
                t = np.clip(np.where(flat, 0.0, (height - a[:, 1]) / safe), 0.0, 1.0)
                x = a[:, 0] + t * (b[:, 0] - a[:, 0])
                edge[band] = pick(edge[band], x.max() if right else x.min())
            flats = np.concatenate([a[flat, 0], b[flat, 0]])
            if len(flats):
                edge[band] = pick(edge[band], flats.max() if right else flats.min())
    return edge


def _bands(left: Path, right: Path) -> Floats:
    """Heights that part the two letters into bands."""
    one, other = left.box(), right.box()
    assert one is not None and other is not None
    return np.linspace(min(one.top, other.top), max(one.bottom, other.bottom), BANDS + 1)


def _gaps(left: Path, right: Path) -> Floats:
    """The gap between two letters in each band of height where both have ink."""
    bands = _bands(left, right)
    gaps = _edges(right, bands, False) - _edges(left, bands, True)
    return gaps[np.isfinite(gaps)]


def _gap(left: Path, right: Path) -> float:
    """The least gap between two letters: how far the right one may come until they touch.

    Where no band holds ink of both, it is the gap between their boxes.
    """
    gaps = _gaps(left, right)
    if len(gaps):
        return float(gaps.min())
    one, other = left.box(), right.box()
    assert one is not None and other is not None
    return other.left - one.right


def _room(left: Path, right: Path, cap: float) -> float:
    """The mean gap between two letters as the eye takes it: what is farther than a bay counts as a
    bay."""
    gaps = _gaps(left, right)
    return float(np.minimum(gaps, craft.EFFECT_BAY_CAPS * cap).mean()) if len(gaps) else 0.0


def _apart(left: Path, right: Path, room: float, cap: float) -> float:
    """How far the right letter is to be moved for the same room between them, never touching."""
    gaps = _gaps(left, right)
    if not len(gaps):
        return room - _gap(left, right)
    bay = craft.EFFECT_BAY_CAPS * cap
    low, high = -float(gaps.max()) - bay, bay - float(gaps.min())
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if np.minimum(gaps + middle, bay).mean() < room:
            low = middle
        else:
            high = middle
    return max(high, craft.EFFECT_GAP_LEAST_CAPS * cap - float(gaps.min()))


def _over(left: Path, right: Path, overlap: float, cap: float) -> float:
    """How far the right letter is to be moved to stand over the left one, each still to be read."""
    one, other = left.box(), right.box()
    assert one is not None and other is not None
    bands = _bands(left, right)
    ends, begins = _edges(left, bands, True), _edges(right, bands, False)
    both = np.isfinite(ends) & np.isfinite(begins)
    least = craft.EFFECT_MIDDLES_SHARE * (one.width + other.width) / 2 - max(overlap, 0.0) * cap
    apart = one.center.x + least - other.center.x
    if not both.any():
        return max(-overlap * cap - (other.left - one.right), apart)
    reach = np.full(len(ends), overlap * cap)
    if overlap > 0:
        for arms in (_arms(ends), _arms(-begins)):
            thin = arms > craft.EFFECT_ARM_CAPS * cap
            reach[thin] = np.minimum(reach, craft.EFFECT_ARM_COVERED * arms)[thin]
    gaps = (begins - ends)[both]
    wanted = max(float((-reach[both] - gaps).max()), apart)
    most = craft.EFFECT_COVERED_MOST * min(abs(left.area()), abs(right.area()))

    def covered(dx: float) -> float:
        return float(np.maximum(-(gaps + dx), 0.0).sum() * (bands[1] - bands[0]))

    low, high = wanted, max(wanted, -float(gaps.min()))
    if covered(low) <= most:
        return low
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if covered(middle) > most else (low, middle)
    return high


def _arms(edge: Floats) -> Floats:
    """How far each band of a letter's edge stands out beyond the straight line that most of the
    edge keeps to, which may lean: the foot of an L, the arm of a T.

    The line is that of Theil and Sen (Sen, J. Amer. Statist. Assoc. 63, 1968): the median of all
    slopes.
    """
    inked = np.flatnonzero(np.isfinite(edge))
    arms = np.zeros(len(edge))
    if len(inked) < 3:
        return arms
    a, b = np.triu_indices(len(inked), 1)
    slope = np.median((edge[inked][b] - edge[inked][a]) / (inked[b] - inked[a]))
    level = edge[inked] - slope * inked
    arms[inked] = level - np.median(level)
    return arms
