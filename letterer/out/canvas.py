"""Skia, as the writers of pixels use it: units turned into filled paths in pixels of the page.

Lines are turned into filled shapes here, once, in straight steps and in coordinates of the whole
page. A tile only moves these by whole pixels, which is exact in single precision, so that a unit
has the same pixels wherever its tile begins.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from letterer.errors import Fault, LettererError
from letterer.geometry import union_box
from letterer.out.steps import Outline, around, cropped, in_steps, letters_in_steps, outline_of
from letterer.page.lettered import PlacedUnit, Stroke
from letterer.text.letter_path import StampedPath

if TYPE_CHECKING:
    from letterer.out.steps import Floats, Points

PACKED_FORM = 5
"""The form of Skia's own bytes for a path; it reads earlier forms too."""

SOFT_EDGE = 1
"""Pixels that the soft edge of a path may reach beyond its box."""


class PixelBox(NamedTuple):
    """A box in whole pixels of the page; right and bottom lie just outside it."""

    left: int
    top: int
    right: int
    bottom: int

    @property
    def area(self) -> int:
        """How many pixels it holds."""
        return (self.right - self.left) * (self.bottom - self.top)

    def meets(self, other: PixelBox) -> bool:
        """True when the two share a pixel."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def joined(self, other: PixelBox) -> PixelBox:
        """The smallest box around both."""
        return PixelBox(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )


class Paint(NamedTuple):
    """One shape in straight steps, in pixels of the page, and its colour (0xAARRGGBB)."""

    shape: Outline
    color: int


class PaintedUnit(NamedTuple):
    """What is drawn of one unit, the lowest first, within `clip` if there is one, and the pixels of
    the page that it can touch."""

    paints: tuple[Paint, ...]
    clip: Outline | None
    box: PixelBox

    @property
    def grey(self) -> bool:
        """True when every colour is a grey, so that mixing them can only give greys."""
        return all(
            paint.color >> 16 & 255 == paint.color >> 8 & 255 == paint.color & 255
            for paint in self.paints
        )


class Raster(NamedTuple):
    """Where points of the page lie in pixels: `scale` pixels a point from (left, top) in points,
    on a page of `width` by `height` pixels."""

    scale: float
    left: float
    top: float
    width: int
    height: int


def painted_units(skia: Any, units: Sequence[PlacedUnit], raster: Raster) -> list[PaintedUnit]:
    """Units as they are drawn, by their layers, in order; those that show on the page."""
    painted = (_painted(skia, unit, raster) for unit in units)
    return [unit for unit in painted if unit is not None]


def _painted(skia: Any, unit: PlacedUnit, raster: Raster) -> PaintedUnit | None:
    shapes: list[Outline | StampedPath] = []
    colors: list[int] = []
    for layer in unit.layers():
        path = layer.path
        shape = path if isinstance(path, StampedPath) else outline_of(path)
        if layer.fill:
            shapes.append(shape)
            colors.append(_argb(layer.fill))
        if layer.stroke:
            outline = outline_of(path) if isinstance(shape, StampedPath) else shape
            shapes.append(_lined(skia, outline, layer.stroke, raster.scale))
            colors.append(_argb(layer.stroke.color))
    if unit.clip:
        shapes.append(outline_of(unit.clip))
    stepped = _stepped(shapes, raster)
    clip = stepped.pop() if unit.clip else None
    if clip is not None:
        drawn: Points = np.concatenate([shape.points for shape in stepped])
        clip = cropped(clip, drawn) if len(drawn) else None
    box = _box(stepped, clip, raster)
    if box is None:
        return None
    return PaintedUnit(tuple(map(Paint, stepped, colors)), clip, box)


def _stepped(shapes: Sequence[Outline | StampedPath], raster: Raster) -> list[Outline]:
    """Shapes of the page as straight steps in pixels: letters glyph by glyph, all else at once."""
    corner, scale = (raster.left, raster.top), raster.scale
    curves = [
        shape._replace(points=(shape.points - corner) * scale)
        for shape in shapes
        if isinstance(shape, Outline)
    ]
    others = iter(in_steps(curves))
    return [
        letters_in_steps(shape, scale, corner) if isinstance(shape, StampedPath) else next(others)
        for shape in shapes
    ]


def _box(shapes: Sequence[Outline], clip: Outline | None, raster: Raster) -> PixelBox | None:
    """The pixels of the page that shapes and their clip can touch, if there are any.

    A tile holds both whole: an edge that its border cut would be drawn with other soft pixels.
    """
    held = [shape.points for shape in shapes if len(shape.points)]
    if not held or (clip is not None and len(clip.points) == 0):
        return None
    whole = union_box(map(around, held if clip is None else [*held, clip.points]))
    assert whole is not None
    box = PixelBox(
        max(math.floor(whole.left) - SOFT_EDGE, 0),
        max(math.floor(whole.top) - SOFT_EDGE, 0),
        min(math.ceil(whole.right) + SOFT_EDGE, raster.width),
        min(math.ceil(whole.bottom) + SOFT_EDGE, raster.height),
    )
    return box if box.left < box.right and box.top < box.bottom else None


def draw_unit(skia: Any, canvas: Any, unit: PaintedUnit, left: int, top: int) -> None:
    """Draw a unit on a canvas whose first pixel is (left, top) of the page."""
    corner = np.array([left, top])
    if unit.clip is not None:
        canvas.save()
        clip = skia_path(skia, unit.clip, corner)
        canvas.clipPath(clip, skia.ClipOp.kIntersect, True)
    for shape, color in unit.paints:
        paint = skia.Paint(AntiAlias=True, Color=color)
        canvas.drawPath(skia_path(skia, shape, corner), paint)
    if unit.clip is not None:
        canvas.restore()


def _lined(skia: Any, outline: Outline, stroke: Stroke, scale: float) -> Outline:
    """The shape of a line that is drawn along an outline, in the outline's own unit."""
    paint = skia.Paint(
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=stroke.width,
        StrokeJoin=skia.Paint.kMiter_Join if stroke.mitred else skia.Paint.kRound_Join,
    )
    if stroke.dash:
        paint.setStrokeCap(skia.Paint.kRound_Cap)
        paint.setPathEffect(skia.DashPathEffect.Make(list(stroke.dash), 0.0))
    lined = skia.Path()
    paint.getFillPath(skia_path(skia, outline), lined, None, scale)
    packed = bytes(lined.serialize())
    if struct.unpack_from("<i", packed)[0] & ~0xFF:
        # Skia writes a rounded rectangle in a form of its own; one move more, and it is a path.
        lined.moveTo(0.0, 0.0)
        verbs, points, weights = _outline_from(bytes(lined.serialize()))
        return Outline(verbs[:-1], points[:-1], weights)
    return _outline_from(packed)


def _argb(color: str) -> int:
    return 0xFF000000 | int(color[1:], 16)


def skia_path(skia: Any, outline: Outline, corner: Floats | float = 0.0) -> Any:
    """An outline as Skia's own path, as seen from a corner.

    Skia reads it from bytes in the form that it writes paths in itself: one call instead of one
    for each point.
    """
    path = skia.Path()
    packed = _packed(outline, corner)
    if path.readFromMemory(packed) != len(packed):
        raise LettererError(skia_fault(f"version {skia.__version__} reads paths in another form"))
    return path


def _packed(outline: Outline, corner: Floats | float) -> bytes:
    verbs, points, weights = outline
    counts = struct.pack("<4i", PACKED_FORM, len(points), len(weights), len(verbs))
    body = (points - corner).astype("<f4").tobytes() + weights.astype("<f4").tobytes()
    return counts + body + verbs.tobytes() + bytes(-len(verbs) % 4)


def _outline_from(packed: bytes) -> Outline:
    form, points, weights, verbs = struct.unpack_from("<4i", packed)
    if form != PACKED_FORM:
        raise LettererError(skia_fault(f"it writes paths in form {form}"))
    numbers = np.frombuffer(packed, "<f4", 2 * points + weights, 16).astype(np.float64)
    codes = np.frombuffer(packed, np.uint8, verbs, 16 + 4 * len(numbers))
    return Outline(codes, numbers[: 2 * points].reshape(-1, 2), numbers[2 * points :])


def load_skia() -> Any:
    """Skia; where its system libraries are missing, one clear error that says what to install."""
    try:
        import skia
    except ImportError as error:
        raise LettererError(skia_fault(str(error))) from error
    return skia


def skia_fault(message: str) -> Fault:
    """What to tell a person when Skia cannot be loaded."""
    for library, package in (("libEGL.so.1", "libegl1"), ("libGL.so.1", "libgl1")):
        if library in message:
            return Fault(
                f"PNG pages need the system library {library}, which is missing",
                f"Install it, on Debian or Ubuntu with: apt-get install {package}",
            )
    return Fault(
        f"PNG pages need the package skia-python, which cannot be loaded ({message})",
        "Install it with: pip install skia-python",
    )
