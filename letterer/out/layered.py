"""One page as a layered picture, in the open standard OpenRaster (version 0.0.5).

A ZIP file: `mimetype` first and not packed, `stack.xml` with the layers from the top down, a PNG
for each layer with its offset, the page as a whole (`mergedimage.png`), and a thumbnail.

From the top: effects, words, balloons, art. Where a balloon lies over words or an effect that are
read before it, there is a second layer of its kind above these, so that the layers show what the
page shows. Every time in the file is the first that ZIP knows, so the same page gives the same
bytes.

The standard leaves colours to PNG; its proposal "PNG data requirements" asks that every PNG in the
file says how its colours are meant, and that the thumbnail is in sRGB. So the profile of the art is
in the PNG of each layer and of the page, and the thumbnail is turned into sRGB by it. Art of other
colours that has a profile is turned into sRGB as well; where it has none, nothing is claimed.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NamedTuple
from xml.sax.saxutils import quoteattr

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import POINTS_PER_INCH, Box, union_box
from letterer.out.art import for_screen, in_pixels, in_srgb, lay_under, with_art
from letterer.out.png import encode_png, profile_chunk, srgb_chunks
from letterer.out.raster import draw_page, pixel_size
from letterer.page.lettered import LetteredPage, PlacedUnit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.uint8]

MIME = b"image/openraster"
VERSION = "0.0.5"
FIRST_TIME = (1980, 1, 1, 0, 0, 0)
UNIX = 3
FILE_BITS = 0o644 << 16
THUMBNAIL_MOST = 256
"""Pixels of the thumbnail's longer side (the standard)."""

ORDER = ("balloons", "words", "effects")
"""The layers of lettering, from the bottom up."""

BYTES_A_PIXEL = 16
"""Memory that a page takes: the merged picture and a layer, each of them twice for a while."""


class Part(NamedTuple):
    """A part of a unit for one layer, and the box that it may draw in."""

    unit: PlacedUnit
    box: Box


@dataclass(frozen=True, slots=True)
class Sheet:
    """The lettering of one layer: its name, and its parts, the lowest first."""

    name: str
    parts: tuple[Part, ...]


class Drawn(NamedTuple):
    """A layer as a picture, and where its corner lies on the page, in pixels."""

    name: str
    pixels: Pixels
    left: int
    top: int


def layered_page(page: LetteredPage, dpi: int = craft.DPI_USUAL) -> bytes:
    """One page as an OpenRaster file, with its art as the lowest layer. Raises LettererError when
    the art cannot be read, or the page is too large."""
    import numpy as np
    from PIL import Image

    width, height = _size(page, dpi)
    merged = Image.new("RGBA", (width, height))
    art, profile = _art(page)
    colours = profile_chunk(profile) if profile else b""
    into = io.BytesIO()
    layers: list[tuple[str, Drawn]] = []
    with zipfile.ZipFile(into, "w", zipfile.ZIP_STORED) as file:
        _put(file, "mimetype", MIME)
        for place, drawn in enumerate(_drawn(page, art, dpi, (width, height)), 1):
            name = f"data/layer{place}.png"
            _put(file, name, encode_png(drawn.pixels, dpi, colours))
            merged.alpha_composite(Image.fromarray(drawn.pixels, "RGBA"), (drawn.left, drawn.top))
            layers.append((name, drawn._replace(pixels=drawn.pixels[:0])))
        _put(file, "stack.xml", _stack(layers, (width, height), dpi).encode())
        _put(file, "mergedimage.png", encode_png(np.asarray(merged), dpi, colours))
        merged.thumbnail((THUMBNAIL_MOST, THUMBNAIL_MOST))
        thumbnail = np.asarray(_in_srgb(merged, profile))
        data = encode_png(thumbnail, craft.DPI_RANGE[0], srgb_chunks())
        _put(file, "Thumbnails/thumbnail.png", data)
    return into.getvalue()


def sheets_of(units: Sequence[PlacedUnit]) -> list[Sheet]:
    """Units taken apart into as few layers as show them as they are drawn, from the bottom up.

    Each part goes into the lowest layer of its kind that has nothing above it which it covers.
    """
    names = list(ORDER)
    parts: list[list[Part]] = [[] for _ in names]
    for unit in units:
        for kind, part in _parts(unit):
            over = [
                place
                for place, sheet in enumerate(parts)
                if any(other.box.meets(part.box) for other in sheet)
            ]
            least = max(over, default=0)
            fit = [at for at, name in enumerate(names) if at >= least and name == kind]
            if not fit:
                names.append(kind)
                parts.append([])
                fit = [len(names) - 1]
            parts[fit[0]].append(part)
    sheets: list[Sheet] = []
    for name, found in zip(names, parts, strict=True):
        if found:
            count = sum(sheet.name.split()[0] == name for sheet in sheets) + 1
            sheets.append(Sheet(name if count == 1 else f"{name} {count}", tuple(found)))
    return sheets


def _parts(unit: PlacedUnit) -> Iterator[tuple[str, Part]]:
    if unit.kind == "effect":
        yield "effects", Part(unit, drawn_box(unit))
        return
    words = unit.words_layers
    below = unit.layers()[: -len(words) or None]
    bare = replace(unit, under=(), outline=None, extras=(), halo=None)
    if below:
        part = replace(bare, under=below, lines=(), letters=())
        yield "balloons", Part(part, drawn_box(part))
    if words:
        yield "words", Part(bare, drawn_box(bare))


def drawn_box(unit: PlacedUnit) -> Box:
    """The box of all that a unit draws, with its lines' weight."""
    boxes = []
    for layer in unit.layers():
        box = layer.path.box()
        if box is not None:
            # A mitred corner reaches up to four times as far as the line is wide.
            reach = layer.stroke.width * (2 if layer.stroke.mitred else 0.5) if layer.stroke else 0
            boxes.append(box.grown(reach))
    return union_box(boxes) or unit.box


def _size(page: LetteredPage, dpi: int) -> tuple[int, int]:
    width, height = pixel_size(page, dpi)
    need = width * height * BYTES_A_PIXEL
    if need > craft.RASTER_BYTES_MOST:
        most = int(dpi * (craft.RASTER_BYTES_MOST / need) ** 0.5)
        what = f"at {dpi} dpi the layers of this page could need {need / 1024**3:.1f} GB of memory"
        low = craft.DPI_RANGE[0]
        mend = f"Choose {most} dpi or less" if most >= low else "Give it a smaller page"
        raise LettererError(Fault(what, mend, page=page.number))
    return width, height


def _art(page: LetteredPage) -> tuple[Any, bytes | None]:
    """The art, if there is any, and the profile that its colours are kept in."""
    if page.art is None:
        return None, None
    return with_art(page.art.file, page.number, for_screen)


def _in_srgb(picture: Any, profile: bytes | None) -> Any:
    """A picture in the colours of a usual screen, by the profile of its own."""
    plain = in_srgb(picture.convert("RGB"), profile) if profile else None
    if plain is None:
        return picture
    plain.putalpha(picture.getchannel("A"))
    return plain


def _drawn(page: LetteredPage, art: Any, dpi: int, size: tuple[int, int]) -> Iterator[Drawn]:
    """The layers as pictures, from the bottom up, without those that show nothing."""
    import numpy as np
    from PIL import Image

    if page.art is not None:
        ground = Image.new("RGBA", size)
        lay_under(
            ground,
            art.convert("RGBA"),
            in_pixels(page.art.box, page.format.bleed, dpi / POINTS_PER_INCH),
        )
        yield from _cropped("art", np.asarray(ground))
    for sheet in sheets_of(page.units):
        units = tuple(part.unit for part in sheet.parts)
        yield from _cropped(sheet.name, draw_page(replace(page, units=units), dpi))


def _cropped(name: str, pixels: Pixels) -> Iterator[Drawn]:
    """A picture of the whole page without its clear edges."""
    import numpy as np

    shown = pixels[:, :, 3] > 0
    rows, columns = (np.flatnonzero(np.any(shown, axis=axis)) for axis in (1, 0))
    if len(rows):
        top, left = int(rows[0]), int(columns[0])
        yield Drawn(name, pixels[top : rows[-1] + 1, left : columns[-1] + 1].copy(), left, top)


def _stack(layers: Sequence[tuple[str, Drawn]], size: tuple[int, int], dpi: int) -> str:
    rows = [
        f"    <layer name={quoteattr(drawn.name)} src={quoteattr(name)}"
        f' x="{drawn.left}" y="{drawn.top}" opacity="1.0" visibility="visible"'
        ' composite-op="svg:src-over"/>\n'
        for name, drawn in reversed(layers)
    ]
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<image version="{VERSION}" w="{size[0]}" h="{size[1]}" xres="{dpi}" yres="{dpi}">\n'
        f"  <stack>\n{''.join(rows)}  </stack>\n</image>\n"
    )


def _put(file: Any, name: str, data: bytes) -> None:
    """A file of the ZIP, always with the same time and permissions, and not packed: pictures are
    packed already."""
    entry = zipfile.ZipInfo(name, FIRST_TIME)
    entry.create_system = UNIX
    entry.external_attr = FILE_BITS
    file.writestr(entry, data)
