"""Pages as pixels: the transparent PNG, and the preview over the art."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import POINTS_PER_INCH, Box
from letterer.out.art import in_pixels, lay_under, read_art
from letterer.out.canvas import PaintedUnit, Raster, load_skia, painted_units
from letterer.out.png import Picture, encode_png, png_parts
from letterer.out.tiles import COLOUR, GREY, strips, tiles_of
from letterer.page.lettered import LetteredPage

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.uint8]

BYTES_A_PIXEL = 10
"""Memory that a page may take: a unit as large as the page is drawn in one tile of so many pixels,
and the preview holds the page twice."""


def png_page(page: LetteredPage, dpi: int = craft.DPI_USUAL) -> bytes:
    """One page as a transparent PNG of its bleed box, as `png_strips` gives it, in one piece."""
    return b"".join(png_strips(page, dpi))


def png_strips(page: LetteredPage, dpi: int = craft.DPI_USUAL) -> Iterator[bytes]:
    """One page as a transparent PNG of its bleed box, piece by piece; the page as a whole is never
    in memory.

    8 bits a channel: grey and alpha where all colours are greys, else red, green, blue and alpha.
    Raises LettererError.
    """
    size = pixel_size(page, dpi)
    units = _painted(page, dpi, size)
    channels = GREY if all(unit.grey for unit in units) else COLOUR
    rows = strips(load_skia(), tiles_of(units), size, channels)
    return png_parts(Picture(*size, channels, dpi), rows)


def draw_page(page: LetteredPage, dpi: int) -> Pixels:
    """The lettering of a page as pixels: an array (height, width, 4) of red, green, blue, alpha."""
    import numpy as np

    width, height = size = pixel_size(page, dpi)
    pixels = np.empty((height, width * COLOUR), dtype=np.uint8)
    row = 0
    for strip in strips(load_skia(), tiles_of(_painted(page, dpi, size)), size, COLOUR):
        pixels[row : row + len(strip)] = strip[:, 1:]
        row += len(strip)
    return pixels.reshape(height, width, COLOUR)


def _painted(page: LetteredPage, dpi: int, size: tuple[int, int]) -> list[PaintedUnit]:
    """The units that show on the page, as they are drawn, in order."""
    bleed = page.format.bleed
    raster = Raster(dpi / POINTS_PER_INCH, bleed.left, bleed.top, *size)
    return painted_units(load_skia(), page.units, raster)


def preview_page(page: LetteredPage, dpi: int) -> bytes:
    """One page with its art underneath, on white; where there is none yet, with its panels in grey.
    Raises LettererError when the art cannot be read."""
    if page.art is not None:
        picture = (read_art(page.art.file, page.number), page.art.box)
    else:
        picture = (_panels(page, dpi), page.format.bleed)
    return encode_png(composed(page, dpi, [picture]), dpi)


def _panels(page: LetteredPage, dpi: int) -> Any:
    """The panels of a page as lines, for a page whose art is not drawn yet."""
    from PIL import Image, ImageDraw

    bleed, scale = page.format.bleed, dpi / POINTS_PER_INCH
    image = Image.new("RGB", pixel_size(page, dpi), "white")
    pen = ImageDraw.Draw(image)
    for panel in page.panels:
        for line in panel.flattened():
            corners = [((at.x - bleed.left) * scale, (at.y - bleed.top) * scale) for at in line]
            pen.line(corners, fill=craft.PREVIEW_PANEL, width=max(round(scale), 1))
    return image


def composed(page: LetteredPage, dpi: int, pictures: Sequence[tuple[Any, Box]]) -> Pixels:
    """The lettering of a page over pictures on white: an array (height, width, 3).

    Each picture is a Pillow image with the box it fills on the page.
    """
    import numpy as np
    from PIL import Image

    width, height = pixel_size(page, dpi)
    ground = Image.new("RGB", (width, height), "white")
    bleed, scale = page.format.bleed, dpi / POINTS_PER_INCH
    for picture, box in pictures:
        lay_under(ground, picture, in_pixels(box, bleed, scale))
    lettering = Image.fromarray(draw_page(page, dpi), "RGBA")
    ground.paste(lettering, (0, 0), lettering)
    return np.asarray(ground)


def pixel_size(page: LetteredPage, dpi: int) -> tuple[int, int]:
    """Width and height of the bleed box in pixels. Raises LettererError beyond what memory
    allows."""
    low, high = craft.DPI_RANGE
    if not low <= dpi <= high:
        raise LettererError(
            Fault(f"{dpi} dpi is out of range", f"Choose a number from {low} to {high}")
        )
    bleed = page.format.bleed
    width = max(round(bleed.width * dpi / POINTS_PER_INCH), 1)
    height = max(round(bleed.height * dpi / POINTS_PER_INCH), 1)
    need = width * height * BYTES_A_PIXEL
    if need > craft.RASTER_BYTES_MOST:
        most = int(dpi * (craft.RASTER_BYTES_MOST / need) ** 0.5)
        raise LettererError(
            Fault(
                f"at {dpi} dpi this page is {width} by {height} pixels"
                f" and could need {need / 1024**3:.1f} GB of memory",
                f"Choose {most} dpi or less" if most >= low else "Give it a smaller page",
                page=page.number,
            )
        )
    return width, height
