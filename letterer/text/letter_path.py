"""A line's letters as a path that still knows what it is made of.

A page sets the same few glyphs hundreds of times. What draws or writes a page may therefore make
each glyph ready once, at its size, and only put it down in its places (`out.svg`, `out.steps`).
Everybody else asks for `segments`, as of any path: they are made then, and not before.
"""

from __future__ import annotations

from dataclasses import FrozenInstanceError, dataclass
from typing import Any, NoReturn

from letterer.geometry import Affine, Box, Path, Point, Segment, union_box
from letterer.text.faces import Face

ORIGIN = Point(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Glyph:
    """One glyph of a shaped line: its face and number, where its origin stands, its character."""

    face: Face
    number: int
    x: float
    y: float
    char: int


class LetterPath(Path):
    """The outlines of glyphs, whose places are in em, at a type size in points; the line's own
    origin is at `start`. Nothing but its making differs from the path of the same segments, which
    it equals. Frozen."""

    __slots__ = ("_drawn", "glyphs", "size", "start")

    glyphs: tuple[Glyph, ...]
    size: float
    start: Point
    _drawn: tuple[Segment, ...] | None

    def __init__(self, glyphs: tuple[Glyph, ...], size: float = 1.0, start: Point = ORIGIN) -> None:
        for name, value in (("glyphs", glyphs), ("size", size), ("start", start), ("_drawn", None)):
            object.__setattr__(self, name, value)

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __reduce__(self) -> tuple[Any, ...]:
        return LetterPath, (self.glyphs, self.size, self.start)

    def __repr__(self) -> str:
        return f"LetterPath({len(self.glyphs)} glyphs, {self.size}, {self.start})"

    def __bool__(self) -> bool:
        return any(glyph.face.outline(glyph.number) for glyph in self.glyphs)

    @property
    def segments(self) -> tuple[Segment, ...]:
        """The outlines themselves, one glyph after another; made when they are first asked for."""
        drawn = self._drawn
        if drawn is None:
            size = self.size
            made: list[Segment] = []
            for glyph, (x, y) in zip(self.glyphs, self.places, strict=True):
                outline = glyph.face.outline(glyph.number)
                made += outline.mapped(Affine(size, 0.0, 0.0, size, x, y)).segments
            drawn = tuple(made)
            object.__setattr__(self, "_drawn", drawn)
        return drawn

    @property
    def places(self) -> list[tuple[float, float]]:
        """Where the origin of each glyph stands, in points."""
        size, (x, y) = self.size, self.start
        return [(x + glyph.x * size, y + glyph.y * size) for glyph in self.glyphs]

    def mapped(self, affine: Affine) -> Path:
        """This path through a map; still letters where that only moves them and sets their size."""
        a, b, c, d, *_ = affine
        if b == 0 and c == 0 and a == d and a > 0:
            return LetterPath(self.glyphs, self.size * a, affine.apply(self.start))
        return super().mapped(affine)

    def box(self) -> Box | None:
        """The box around the glyphs' ink; None when all are blank."""
        size = self.size
        return union_box(
            Box(*(side * size for side in ink)).shifted(x, y)
            for glyph, (x, y) in zip(self.glyphs, self.places, strict=True)
            if (ink := glyph.face.ink(glyph.number))
        )
