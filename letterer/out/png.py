"""The PNG encoder: rows go in by strips, pieces of the file come out (W3C PNG specification).

It writes the size of a pixel (pHYs), how colours are meant where that is known (iCCP or sRGB), and
no other extra chunk: no time, no text, no name of a program or a person.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

from letterer.geometry import MM_PER_INCH

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.uint8]

SIGNATURE = b"\x89PNG\r\n\x1a\n"
COLOUR_TYPES = {2: 4, 3: 2, 4: 6}
"""PNG's colour type by bytes a pixel: grey with alpha; red, green, blue; those with alpha."""

COMPRESSION = 2
"""zlib-ng's level 2 took 12 ms for a lettered page at 600 dpi where isal's level 1 took 8, and its
file was 9 % smaller; drawing takes far longer than either."""

PROFILE_COMPRESSION = 9
CHUNK_BYTES = 1 << 16
ROWS_FILTERED = 256


class Picture(NamedTuple):
    """What a PNG says of itself: width and height in pixels, bytes a pixel (2 grey and alpha, 3
    red, green and blue, 4 these and alpha), dots per inch, chunks that tell how colours are
    meant."""

    width: int
    height: int
    channels: int
    dpi: int
    colours: bytes = b""


def png_parts(picture: Picture, strips: Iterable[Pixels]) -> Iterator[bytes]:
    """The pieces of a PNG file, one after another.

    `strips` are arrays (rows, 1 + width * channels) from the top down, each row begun by its
    filter's number; they make up the picture's height together.
    """
    from zlib_ng import zlib_ng

    per_metre = round(picture.dpi / MM_PER_INCH * 1000)
    kind = COLOUR_TYPES[picture.channels]
    yield SIGNATURE
    yield _chunk(b"IHDR", struct.pack(">IIBBBBB", picture.width, picture.height, 8, kind, 0, 0, 0))
    yield picture.colours
    yield _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1))
    packer = zlib_ng.compressobj(COMPRESSION, zlib_ng.DEFLATED, 15, 9)
    packed = bytearray()
    for strip in strips:
        packed += packer.compress(strip.data)
        if len(packed) >= CHUNK_BYTES:
            yield _chunk(b"IDAT", bytes(packed))
            packed.clear()
    yield _chunk(b"IDAT", bytes(packed) + packer.flush())
    yield _chunk(b"IEND", b"")


def encode_png(pixels: Pixels, dpi: int, colours: bytes = b"") -> bytes:
    """Pixels (height, width, 2, 3 or 4) as a PNG file."""
    height, width, channels = pixels.shape
    return b"".join(png_parts(Picture(width, height, channels, dpi, colours), filtered(pixels)))


def profile_chunk(profile: bytes) -> bytes:
    """A colour profile of red, green and blue (PNG specification, iCCP)."""
    from zlib_ng import zlib_ng

    return _chunk(b"iCCP", b"profile\0\0" + zlib_ng.compress(profile, PROFILE_COMPRESSION))


def srgb_chunks() -> bytes:
    """Colours of a usual screen, for those who know them by name and those who do not (PNG
    specification, sRGB, with the gAMA and cHRM that it gives for them)."""
    whites = struct.pack(">8I", 31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000)
    gamma = struct.pack(">I", 45455)
    return _chunk(b"sRGB", b"\0") + _chunk(b"gAMA", gamma) + _chunk(b"cHRM", whites)


def filtered(pixels: Pixels) -> Iterator[Pixels]:
    """Rows with PNG's filter Up, each as its difference to the one above: it suits art, where
    neighbours are alike but not the same. Lettering alone packs better with none."""
    import numpy as np

    height, width, channels = pixels.shape
    flat = pixels.reshape(height, width * channels)
    for begin in range(0, height, ROWS_FILTERED):
        end = min(begin + ROWS_FILTERED, height)
        rows = np.empty((end - begin, 1 + width * channels), dtype=np.uint8)
        rows[:, 0] = 2
        rows[1:, 1:] = flat[begin + 1 : end] - flat[begin : end - 1]
        rows[0, 1:] = flat[begin] - (flat[begin - 1] if begin else 0)
        yield rows


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
