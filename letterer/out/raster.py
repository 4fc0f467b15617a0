"""Pages as pixels, drawn by Skia: the transparent PNG, and the preview over the art."""

from __future__ import annotations

import struct
import warnings
import zlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import MM_PER_INCH, POINTS_PER_INCH, Box, Path
from letterer.page.lettered import LetteredPage, PlacedUnit, Stroke

if TYPE_CHECKING:
    from pathlib import Path as FilePath

    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.uint8]

PNG_SIGNATURE = b"\x89PNG\r\n\x1a\n"
RGB, RGBA = 2, 6
COMPRESSION = 2
WITH_ALPHA = ("LA", "La", "PA", "RGBA", "RGBa")
BYTES_A_PIXEL = 10
"""Memory a page takes while it is drawn and written: the pixels, and a copy on their way to the
file."""

ART_BYTES_A_PIXEL = 8
"""Memory that the art takes: as it was read, and a copy while it is turned into RGB or RGBA."""


def png_page(page: LetteredPage, dpi: int = craft.DPI_USUAL) -> bytes:
    """One page as a transparent PNG of its bleed box: 8-bit RGBA with pHYs set. Raises
    LettererError."""
    pixels = draw_page(page, dpi)
    return encode_png(pixels, dpi)


def preview_page(page: LetteredPage, dpi: int) -> bytes:
    """One page with its art underneath, on white. Raises LettererError when the art cannot be
    read."""
    pictures = []
    if page.art is not None:
        pictures.append((read_art(page.art.file, page.number), page.art.box))
    return encode_png(composed(page, dpi, pictures), dpi)


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
        _lay_under(ground, picture, _in_pixels(box, bleed, scale))
    lettering = Image.fromarray(draw_page(page, dpi), "RGBA")
    ground.paste(lettering, (0, 0), lettering)
    return np.asarray(ground)


def piece_of(picture: Any, box: Box, region: Box, dpi: float) -> Any:
    """The part of a picture, which fills `box`, that lies in a region; at a dpi, on white."""
    from PIL import Image

    scale = dpi / POINTS_PER_INCH
    size = (max(round(region.width * scale), 1), max(round(region.height * scale), 1))
    ground = Image.new("RGB", size, "white")
    _lay_under(ground, picture, _in_pixels(box, region, scale))
    return ground


def _in_pixels(box: Box, whole: Box, scale: float) -> tuple[int, int, int, int]:
    """A box as (left, top, width, height) in whole pixels from the corner of a larger one."""
    return (
        round((box.left - whole.left) * scale),
        round((box.top - whole.top) * scale),
        max(round(box.width * scale), 1),
        max(round(box.height * scale), 1),
    )


def _lay_under(ground: Any, art: Any, placed: tuple[int, int, int, int]) -> None:
    """Paste the art at (left, top, width, height) in pixels. Only what shows is scaled, so that art
    far larger than the page takes no memory."""
    from PIL import Image

    left, top, width, height = placed
    shown = (
        max(left, 0),
        max(top, 0),
        min(left + width, ground.width),
        min(top + height, ground.height),
    )
    if shown[0] >= shown[2] or shown[1] >= shown[3]:
        return
    across, down = art.width / width, art.height / height
    source = (
        max((shown[0] - left) * across, 0.0),
        max((shown[1] - top) * down, 0.0),
        min((shown[2] - left) * across, float(art.width)),
        min((shown[3] - top) * down, float(art.height)),
    )
    size = (shown[2] - shown[0], shown[3] - shown[1])
    fitted = art.resize(size, Image.Resampling.LANCZOS, box=source)
    ground.paste(fitted, shown[:2], fitted if fitted.mode == "RGBA" else None)


def read_art(file: FilePath, page: int) -> Any:
    """The art of a page as a Pillow image in RGB or RGBA, the right way up. Raises LettererError.

    Pictures of any size that memory allows are read: a page scanned for print is larger than what
    Pillow warns of.
    """

    def fault(what: str, mend: str) -> LettererError:
        return LettererError(Fault(what, mend, str(file), page=page))

    try:
        with _opened(file) as opened:
            if opened.width * opened.height * ART_BYTES_A_PIXEL > craft.RASTER_BYTES_MOST:
                raise fault(
                    f"this art is {opened.width} by {opened.height} pixels, too large to be read",
                    "Save it at a lower resolution",
                )
            return _as_rgb(opened)
    except (LettererError, MemoryError):
        raise
    except FileNotFoundError as error:
        raise fault(
            "there is no such art file", 'Check "file" under "art" in the layout'
        ) from error
    except IsADirectoryError as error:
        raise fault("this is a folder, not a picture", "Name the picture inside it") from error
    except PermissionError as error:
        raise fault("this art file may not be read", "Change its permissions") from error
    except Exception as error:  # a broken picture makes a decoder raise whatever it likes
        raise fault("this art file cannot be read", "Save it again as PNG, TIFF or JPEG") from error


@contextmanager
def _opened(file: FilePath) -> Iterator[Any]:
    """A picture opened by Pillow, without its own limit and without its warnings."""
    from PIL import Image

    limit = Image.MAX_IMAGE_PIXELS
    Image.MAX_IMAGE_PIXELS = None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(file) as opened:
                yield opened
    finally:
        Image.MAX_IMAGE_PIXELS = limit


def _as_rgb(opened: Any) -> Any:
    """A picture in RGB or RGBA, turned as its camera or scanner says."""
    from PIL import ImageOps

    if opened.mode.startswith("I"):  # 16 bits a pixel
        plain = opened.point(lambda value: value / 256).convert("L").convert("RGB")
    else:
        clear = opened.mode in WITH_ALPHA or "transparency" in opened.info
        plain = opened.convert("RGBA" if clear else "RGB")
    return ImageOps.exif_transpose(plain)


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
                f" and would need {need / 1024**3:.1f} GB of memory",
                f"Choose {most} dpi or less" if most >= low else "Give it a smaller page",
                page=page.number,
            )
        )
    return width, height


def draw_page(page: LetteredPage, dpi: int) -> Pixels:
    """The lettering of a page as pixels: an array (height, width, 4) of red, green, blue, alpha."""
    import numpy as np

    skia = load_skia()
    width, height = pixel_size(page, dpi)
    pixels = np.zeros((height, width, 4), dtype=np.uint8)
    info = skia.ImageInfo.Make(
        width, height, skia.ColorType.kRGBA_8888_ColorType, skia.AlphaType.kPremul_AlphaType
    )
    surface = skia.Surface.MakeRasterDirect(info, pixels, width * 4)
    if surface is None:
        raise LettererError(Fault("there is not enough memory to draw it", page=page.number))
    scale = dpi / POINTS_PER_INCH
    with surface as canvas:
        canvas.scale(scale, scale)
        canvas.translate(-page.format.bleed.left, -page.format.bleed.top)
        for unit in page.units:
            _draw_unit(skia, canvas, unit)
    _unpremultiply(pixels)
    return pixels


def _draw_unit(skia: Any, canvas: Any, unit: PlacedUnit) -> None:
    canvas.save()
    if unit.clip:
        canvas.clipPath(skia_path(skia, unit.clip), skia.ClipOp.kIntersect, True)
    for layer in unit.layers():
        path = skia_path(skia, layer.path)
        if layer.fill:
            canvas.drawPath(path, _fill(skia, layer.fill))
        if layer.stroke:
            canvas.drawPath(path, _line(skia, layer.stroke))
    canvas.restore()


def _fill(skia: Any, color: str) -> Any:
    return skia.Paint(AntiAlias=True, Color=_argb(color))


def _line(skia: Any, stroke: Stroke) -> Any:
    paint = skia.Paint(
        AntiAlias=True,
        Color=_argb(stroke.color),
        Style=skia.Paint.kStroke_Style,
        StrokeWidth=stroke.width,
        StrokeJoin=skia.Paint.kRound_Join,
    )
    if stroke.dash:
        paint.setStrokeCap(skia.Paint.kRound_Cap)
        paint.setPathEffect(skia.DashPathEffect.Make(list(stroke.dash), 0.0))
    return paint


def _argb(color: str) -> int:
    return 0xFF000000 | int(color[1:], 16)


def skia_path(skia: Any, path: Path) -> Any:
    """A path as Skia's own."""
    made = skia.Path()
    draw: dict[str, Callable[..., Any]] = {
        "M": made.moveTo,
        "L": made.lineTo,
        "Q": made.quadTo,
        "C": made.cubicTo,
        "Z": made.close,
    }
    for verb, points in path.segments:
        draw[verb](*(value for point in points for value in point))
    return made


def _unpremultiply(pixels: Pixels) -> None:
    """Colours of half-transparent pixels as PNG stores them, in place; rows at a time."""
    import numpy as np

    for row in range(0, len(pixels), 256):
        strip = pixels[row : row + 256]
        alpha = strip[..., 3]
        edge = (alpha > 0) & (alpha < 255)
        if edge.any():
            found = strip[edge].astype(np.uint32)
            opaque = found[:, 3:4]
            found[:, :3] = np.minimum((found[:, :3] * 255 + opaque // 2) // opaque, 255)
            strip[edge] = found.astype(np.uint8)


def encode_png(pixels: Pixels, dpi: int) -> bytes:
    """Pixels (height, width, 3 or 4) as a PNG file (W3C PNG specification), pHYs set, nothing
    private."""
    from zlib_ng import zlib_ng

    height, width, channels = pixels.shape
    packer = zlib_ng.compressobj(COMPRESSION, zlib_ng.DEFLATED, 15, 9)
    packed: list[bytes] = []
    for row in range(0, height, 256):
        packed.append(packer.compress(_filtered(pixels, row, min(row + 256, height)).tobytes()))
    packed.append(packer.flush())
    per_metre = round(dpi / MM_PER_INCH * 1000)
    header = struct.pack(">IIBBBBB", width, height, 8, RGBA if channels == 4 else RGB, 0, 0, 0)
    return b"".join(
        (
            PNG_SIGNATURE,
            _chunk(b"IHDR", header),
            _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1)),
            _chunk(b"IDAT", b"".join(packed)),
            _chunk(b"IEND", b""),
        )
    )


def _filtered(pixels: Pixels, begin: int, end: int) -> Pixels:
    """Rows `begin` to `end` with PNG's filter Up: each row as its difference to the one above."""
    import numpy as np

    height, width, channels = end - begin, pixels.shape[1], pixels.shape[2]
    rows = np.empty((height, 1 + width * channels), dtype=np.uint8)
    flat = pixels.reshape(pixels.shape[0], -1)
    rows[:, 0] = 2
    rows[1:, 1:] = flat[begin + 1 : end] - flat[begin : end - 1]
    rows[0, 1:] = flat[begin] - (flat[begin - 1] if begin else 0)
    return rows


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


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
