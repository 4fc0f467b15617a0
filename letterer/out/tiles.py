"""A page drawn unit by unit, each whole in a tile of its own, and given out in strips of rows.

Cutting a path at the edge of a strip would change its soft edges, and drawing a whole page at once
takes memory as the page grows. So each unit is drawn whole, in a tile just large enough for it;
units whose tiles would overlap share one, and so lie over one another as Skia lays them. A tile is
drawn when its first strip is due, and let go after its last. The pixels are the same as those of
the page drawn at once, bit for bit; `tests/out/test_tiles.py` compares the two.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from letterer.errors import Fault, LettererError
from letterer.out.canvas import PaintedUnit, PixelBox, draw_unit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.uint8]

GREY, COLOUR = 2, 4
"""Bytes a pixel: grey and alpha, or red, green, blue and alpha."""

STRIP_BYTES = 1 << 18
"""A strip fits a processor's cache, and has a row at least."""

CONVERTED_AT_ONCE = 1 << 14
"""Pixels of a tile that are turned from Skia's form into PNG's in one step."""


class Tile(NamedTuple):
    """Units, the lowest first, that are drawn together because their boxes overlap."""

    box: PixelBox
    units: tuple[PaintedUnit, ...]


def tiles_of(units: Sequence[PaintedUnit]) -> list[Tile]:
    """The tiles that units are drawn in, from the top of the page down.

    Units that overlap, also by way of others, share a tile and keep their order.
    """
    group = list(range(len(units)))

    def head(place: int) -> int:
        while group[place] != place:
            group[place] = place = group[group[place]]
        return place

    for place, unit in enumerate(units):
        for before in range(place):
            if unit.box.meets(units[before].box):
                one, other = sorted((head(before), head(place)))
                group[other] = one
    shared: dict[int, list[PaintedUnit]] = {}
    for place, unit in enumerate(units):
        shared.setdefault(head(place), []).append(unit)
    tiles = [Tile(_around(members), tuple(members)) for members in shared.values()]
    return sorted(tiles, key=lambda tile: tile.box.top)


def _around(units: Iterable[PaintedUnit]) -> PixelBox:
    boxes = iter([unit.box for unit in units])
    whole = next(boxes)
    for box in boxes:
        whole = whole.joined(box)
    return whole


def strips(
    skia: Any, tiles: Sequence[Tile], size: tuple[int, int], channels: int
) -> Iterator[Pixels]:
    """The page's rows in strips from the top down: arrays (rows, 1 + width * channels).

    The first byte of each row is 0, which is PNG's filter None. `tiles` come sorted by their tops;
    `size` is the page's width and height. A strip is only good until the next is asked for.
    """
    import numpy as np

    width, height = size
    stride = 1 + width * channels
    rows = max(STRIP_BYTES // stride, 1)
    strip = np.zeros((min(rows, height), stride), dtype=np.uint8)
    scratch = _scratch(tiles)
    waiting = list(reversed(tiles))
    open_tiles: list[tuple[PixelBox, Pixels]] = []
    for begin in range(0, height, rows):
        end = min(begin + rows, height)
        while waiting and waiting[-1].box.top < end:
            tile = waiting.pop()
            open_tiles.append((tile.box, drawn(skia, tile, channels, scratch)))
        for box, pixels in open_tiles:
            first, last = max(box.top, begin), min(box.bottom, end)
            into = strip[first - begin : last - begin]
            into = into[:, 1 + box.left * channels : 1 + box.right * channels]
            into |= pixels[first - box.top : last - box.top]  # no two tiles draw on one pixel
        yield strip[: end - begin]
        for box, _ in open_tiles:
            strip[:, 1 + box.left * channels : 1 + box.right * channels] = 0
        open_tiles = [one for one in open_tiles if one[0].bottom > end]


def _scratch(tiles: Sequence[Tile]) -> Pixels:
    """Room for the pixels of any of these tiles, as Skia draws them: one after another is drawn in
    it, which spares the system from finding, and emptying, new memory for each."""
    import numpy as np

    largest = max(tiles, key=lambda tile: tile.box.area, default=None)
    if largest is None:
        return np.empty(0, dtype=np.uint8)
    try:
        return np.empty(largest.box.area * COLOUR, dtype=np.uint8)
    except MemoryError as error:
        raise _too_large(largest) from error


def drawn(skia: Any, tile: Tile, channels: int, scratch: Pixels) -> Pixels:
    """A tile's pixels as PNG stores them: an array (rows, width * channels)."""
    left, top, right, bottom = tile.box
    width, height = right - left, bottom - top
    pixels = scratch[: tile.box.area * COLOUR]
    pixels[:] = 0
    info = skia.ImageInfo.Make(
        width, height, skia.ColorType.kRGBA_8888_ColorType, skia.AlphaType.kPremul_AlphaType
    )
    surface = skia.Surface.MakeRasterDirect(info, pixels, width * COLOUR)
    if surface is None:
        raise _too_large(tile)
    canvas = surface.getCanvas()
    for unit in tile.units:
        draw_unit(skia, canvas, unit, left, top)
    del canvas, surface
    kept = _grey(pixels) if channels == GREY else _unpremultiplied(pixels)
    return kept.reshape(height, width * channels)


def _too_large(tile: Tile) -> LettererError:
    box = tile.box
    what = f"a unit covers {box.right - box.left} by {box.bottom - box.top} pixels"
    return LettererError(
        Fault(f"{what}, and there is not enough memory to draw it", "Choose a smaller dpi")
    )


def _grey(pixels: Pixels) -> Pixels:
    """Premultiplied red, green, blue, alpha as grey and alpha; some pixels at a time."""
    import numpy as np

    straight = _straight_greys()
    pairs = pixels.view("<u2")[1::2]  # blue, which is as grey as the others, below alpha
    kept = np.empty(len(pairs), dtype="<u2")
    for begin in range(0, len(pairs), CONVERTED_AT_ONCE):
        part = slice(begin, begin + CONVERTED_AT_ONCE)
        np.take(straight, pairs[part], out=kept[part], mode="wrap")  # which checks no bounds
    return kept.view(np.uint8)


@cache
def _straight_greys() -> NDArray[np.uint16]:
    """For each pair of alpha (high) and premultiplied grey (low), the pair with its true grey."""
    import numpy as np

    levels = np.arange(256, dtype=np.uint16)  # 255 * 255 + 127 is just within its range
    alpha, grey = levels[:, None], levels
    true = np.minimum((grey * 255 + alpha // 2) // np.maximum(alpha, 1), 255)
    pairs: NDArray[np.uint16] = ((alpha << 8) | true).ravel()
    return pairs


def _unpremultiplied(pixels: Pixels) -> Pixels:
    """Colours of half-transparent pixels as PNG stores them; some pixels at a time."""
    import numpy as np

    kept = pixels.copy()
    colours = kept.reshape(-1, COLOUR)
    for begin in range(0, len(colours), CONVERTED_AT_ONCE):
        part = colours[begin : begin + CONVERTED_AT_ONCE]
        alpha = part[:, 3]
        edge = (alpha > 0) & (alpha < 255)
        if edge.any():
            found = part[edge].astype(np.uint32)
            opaque = found[:, 3:4]
            found[:, :3] = np.minimum((found[:, :3] * 255 + opaque // 2) // opaque, 255)
            part[edge] = found.astype(np.uint8)
    return kept
