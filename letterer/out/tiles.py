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

CONVERTED_AT_ONCE = 1 << 16
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
    waiting = list(reversed(tiles))
    open_tiles: list[tuple[PixelBox, Pixels]] = []
    for begin in range(0, height, rows):
        end = min(begin + rows, height)
        while waiting and waiting[-1].box.top < end:
            tile = waiting.pop()
            open_tiles.append((tile.box, drawn(skia, tile, channels)))
        for box, pixels in open_tiles:
            first, last = max(box.top, begin), min(box.bottom, end)
            into = strip[first - begin : last - begin]
            into = into[:, 1 + box.left * channels : 1 + box.right * channels]
            into |= pixels[first - box.top : last - box.top]  # no two tiles draw on one pixel
        yield strip[: end - begin]
        for box, _ in open_tiles:
            strip[:, 1 + box.left * channels : 1 + box.right * channels] = 0
        open_tiles = [one for one in open_tiles if one[0].bottom > end]


def drawn(skia: Any, tile: Tile, channels: int) -> Pixels:
    """A tile's pixels as PNG stores them: an array (rows, width * channels)."""
    import numpy as np

    left, top, right, bottom = tile.box
    width, height = right - left, bottom - top
    try:
        pixels = np.zeros(width * height * COLOUR, dtype=np.uint8)
    except MemoryError as error:
        raise _too_large(tile) from error
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
    if channels == GREY:
        _keep_grey(pixels)
    else:
        _unpremultiply(pixels.reshape(-1, COLOUR))
    return pixels.reshape(height, width * channels)


def _too_large(tile: Tile) -> LettererError:
    box = tile.box
    what = f"a unit covers {box.right - box.left} by {box.bottom - box.top} pixels"
    return LettererError(
        Fault(f"{what}, and there is not enough memory to draw it", "Choose a smaller dpi")
    )


def _keep_grey(pixels: Pixels) -> None:
    """Turn premultiplied red, green, blue, alpha into grey and alpha, in place.

    The array is then half as long, and the rest of its memory is given back.
    """
    straight = _straight_greys()
    pairs = pixels.view("<u2")  # blue, which is as grey as the others, below alpha
    count = len(pairs) // 2
    for begin in range(0, count, CONVERTED_AT_ONCE):
        end = min(begin + CONVERTED_AT_ONCE, count)
        found = pairs[2 * begin + 1 : 2 * end : 2].copy()
        soft = (found - 0x100) < 0xFE00  # alpha from 1 to 254
        if soft.any():
            found[soft] = straight[found[soft]]
        pairs[begin:end] = found
    del pairs
    pixels.resize(count * GREY, refcheck=False)


@cache
def _straight_greys() -> NDArray[np.uint16]:
    """For each pair of alpha (high) and premultiplied grey (low), the pair with its true grey."""
    import numpy as np

    alpha, grey = np.meshgrid(np.arange(256), np.arange(256), indexing="ij")
    true = np.minimum((grey * 255 + alpha // 2) // np.maximum(alpha, 1), 255)
    pairs: NDArray[np.uint16] = ((alpha << 8) | true).astype(np.uint16)
    return pairs.ravel()


def _unpremultiply(pixels: Pixels) -> None:
    """Colours of half-transparent pixels as PNG stores them, in place; some pixels at a time."""
    import numpy as np

    for begin in range(0, len(pixels), CONVERTED_AT_ONCE):
        part = pixels[begin : begin + CONVERTED_AT_ONCE]
        alpha = part[:, 3]
        edge = (alpha > 0) & (alpha < 255)
        if edge.any():
            found = part[edge].astype(np.uint32)
            opaque = found[:, 3:4]
            found[:, :3] = np.minimum((found[:, :3] * 255 + opaque // 2) // opaque, 255)
            part[edge] = found.astype(np.uint8)
