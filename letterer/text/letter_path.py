"""Letters as a path that still knows what it is made of.

A page sets the same few glyphs hundreds of times. What draws or writes a page may therefore make
each shape ready once, and only put it down in its places (`out.svg`, `out.steps`). Everybody else
asks for `segments`, as of any path: they are made then, and not before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import FrozenInstanceError, dataclass
from functools import lru_cache
from typing import Any, NamedTuple, NoReturn

from letterer.geometry import Affine, Box, Path, Point, Segment, polygon, union_box
from letterer.text.faces import Face

ORIGIN = Point(0.0, 0.0)

GLYPHS_KEPT = 2048
"""Glyphs whose contours' boxes are kept: some hundreds a book."""


class Shape(NamedTuple):
    """A glyph round its origin, at a size in points; with `stray` as straight lines that lie no
    farther than so many points from it."""

    face: Face
    number: int
    size: float
    stray: float = 0.0

    def outline(self) -> Path:
        """The shape as a path, drawn anew each time."""
        outline = self.face.outline(self.number).mapped(Affine(a=self.size, d=self.size))
        if not self.stray:
            return outline
        rings = outline.flattened(self.stray)
        return Path(tuple(segment for ring in rings for segment in polygon(ring).segments))


Stamp = tuple[Shape, float, float]
"""A shape, and where its origin stands on the page, in points."""


class StampedPath(Path):
    """A path of shapes set down in their places, one after another. Nothing but its making differs
    from the path of the same segments, which it equals. Frozen."""

    __slots__ = ("_drawn", "stamps")

    stamps: tuple[Stamp, ...]
    _drawn: tuple[Segment, ...] | None

    def __init__(self, stamps: Iterable[Stamp]) -> None:
        _put(self, "stamps", tuple(stamps))
        _put(self, "_drawn", None)

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __reduce__(self) -> tuple[Any, ...]:
        return StampedPath, (self.stamps,)

    def __repr__(self) -> str:
        return f"<{type(self).__name__} of {len(self.stamps)} shapes>"

    def __bool__(self) -> bool:
        return any(shape.face.outline(shape.number) for shape, _, _ in self.stamps)

    @property
    def segments(self) -> tuple[Segment, ...]:
        """The outlines themselves, one shape after another; made when they are first asked for."""
        if self._drawn is None:
            outlines = {shape: shape.outline() for shape, _, _ in self.stamps}
            made: list[Segment] = []
            for shape, x, y in self.stamps:
                made += outlines[shape].shifted(x, y).segments
            _put(self, "_drawn", tuple(made))
        assert self._drawn is not None
        return self._drawn

    def shifted(self, dx: float, dy: float) -> Path:
        """This path moved by (dx, dy)."""
        return StampedPath((shape, x + dx, y + dy) for shape, x, y in self.stamps)


@dataclass(frozen=True, slots=True)
class Glyph:
    """One glyph of a shaped line: its face and number, where its origin stands, its character."""

    face: Face
    number: int
    x: float
    y: float
    char: int


class LetterPath(StampedPath):
    """The outlines of a line's glyphs, whose places are in em, at a type size in points; the line's
    own origin is at `start`."""

    __slots__ = ("glyphs", "size", "start")

    glyphs: tuple[Glyph, ...]
    size: float
    start: Point

    def __init__(self, glyphs: tuple[Glyph, ...], size: float = 1.0, start: Point = ORIGIN) -> None:
        x, y = start
        super().__init__(
            [
                (Shape(glyph.face, glyph.number, size), x + glyph.x * size, y + glyph.y * size)
                for glyph in glyphs
            ]
        )
        for name, value in (("glyphs", glyphs), ("size", size), ("start", start)):
            _put(self, name, value)

    def __reduce__(self) -> tuple[Any, ...]:
        return LetterPath, (self.glyphs, self.size, self.start)

    @property
    def places(self) -> list[tuple[float, float]]:
        """Where the origin of each glyph stands, in points."""
        return [(x, y) for _, x, y in self.stamps]

    def shifted(self, dx: float, dy: float) -> LetterPath:
        """This line moved by (dx, dy)."""
        return LetterPath(self.glyphs, self.size, self.start.shifted(dx, dy))

    def mapped(self, affine: Affine) -> Path:
        """This path through a map; still letters where that only moves them and sets their size."""
        a, b, c, d, *_ = affine
        if b == 0 and c == 0 and a == d and a > 0:
            return LetterPath(self.glyphs, self.size * a, affine.apply(self.start))
        return super().mapped(affine)

    def box(self) -> Box | None:
        """The box around the glyphs' ink; None when all are blank."""
        return union_box(self._set(_inked))

    def contour_boxes(self) -> list[Box]:
        """The box around each contour, in their order."""
        return self._set(_contour_boxes)

    def _set(self, boxes: Callable[[Face, int], Iterable[Box]]) -> list[Box]:
        """Boxes of each glyph, which are given in em, at the line's size and in their places."""
        return [
            Box(*(side * shape.size for side in box)).shifted(x, y)
            for shape, x, y in self.stamps
            for box in boxes(shape.face, shape.number)
        ]


def _put(path: StampedPath, name: str, value: object) -> None:
    """Give a path what it is made of, once; nobody else can."""
    object.__setattr__(path, name, value)


def _inked(face: Face, number: int) -> tuple[Box, ...]:
    box = face.ink(number)
    return (box,) if box else ()


@lru_cache(maxsize=GLYPHS_KEPT)
def _contour_boxes(face: Face, number: int) -> tuple[Box, ...]:
    return tuple(face.outline(number).contour_boxes())
