"""Art under the lettering: pictures read with care, and laid where the plan puts them."""

from __future__ import annotations

import io
import math
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import POINTS_PER_INCH, Box

if TYPE_CHECKING:
    from pathlib import Path as FilePath

    from letterer.model.plan import Art

T = TypeVar("T")

PROFILE_SPACES = {1: b"GRAY", 3: b"RGB ", 4: b"CMYK"}
_NOUNS = {"high": "height", "wide": "width"}
OF_COLOURS = ("RGB", "RGBA", "P", "PA")
WITH_ALPHA = ("LA", "La", "PA", "RGBA", "RGBa")
ART_BYTES_A_PIXEL = 8
"""Memory that the art takes: as it was read, and a copy while it is turned into RGB or RGBA."""


def piece_of(picture: Any, box: Box, region: Box, dpi: float) -> Any:
    """The part of a picture, which fills `box`, that lies in a region; at a dpi, on white."""
    from PIL import Image

    scale = dpi / POINTS_PER_INCH
    size = (max(round(region.width * scale), 1), max(round(region.height * scale), 1))
    ground = Image.new("RGB", size, "white")
    lay_under(ground, picture, in_pixels(box, region, scale))
    return ground


def in_pixels(box: Box, whole: Box, scale: float) -> tuple[int, int, int, int]:
    """A box as (left, top, width, height) in whole pixels from the corner of a larger one."""
    return (
        round((box.left - whole.left) * scale),
        round((box.top - whole.top) * scale),
        max(round(box.width * scale), 1),
        max(round(box.height * scale), 1),
    )


def lay_under(ground: Any, art: Any, placed: tuple[int, int, int, int]) -> None:
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
    return with_art(file, page, as_rgb)


def with_art(file: FilePath, page: int, use: Callable[[Any], T]) -> T:
    """What `use` makes of the art of a page, given as an opened Pillow image. Raises LettererError
    as `read_art` does."""

    def fault(what: str, mend: str) -> LettererError:
        return LettererError(Fault(what, mend, str(file), page=page))

    try:
        with _opened(file) as opened:
            if opened.width * opened.height * ART_BYTES_A_PIXEL > craft.RASTER_BYTES_MOST:
                raise fault(
                    f"this art is {opened.width} by {opened.height} pixels, too large to be read",
                    "Save it at a lower resolution",
                )
            if opened.mode == "F":
                raise fault(
                    "this art has floating-point pixels, which are not understood",
                    "Save it with 8 or 16 bits a channel",
                )
            return use(opened)
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


def as_rgb(opened: Any) -> Any:
    """A picture in RGB or RGBA, turned as its camera or scanner says."""
    from PIL import ImageOps

    if opened.mode.startswith("I"):  # 16 bits a pixel
        plain = opened.point(lambda value: value / 256).convert("L").convert("RGB")
    else:
        clear = opened.mode in WITH_ALPHA or "transparency" in opened.info
        plain = opened.convert("RGBA" if clear else "RGB")
    return ImageOps.exif_transpose(plain)


def told_of_art(size: tuple[int, int], art: Art, page: int, printed: bool) -> Iterator[Fault]:
    """What may not be meant so: art of so many pixels that is stretched to the box it covers, or is
    coarse there when it is printed."""
    width, height = size
    stretch = (art.box.height / art.box.width) * (width / height)
    if abs(math.log(stretch)) > craft.ART_STRETCH_MOST:
        more = max(stretch, 1 / stretch)
        sides = ("high", "wide") if stretch > 1 else ("wide", "high")
        what = (
            f"this art of {width} by {height} pixels is stretched to the box it covers:"
            f" {more:.{2 if more < 2 else 1}f} times as {sides[0]} for its {_NOUNS[sides[1]]}"
        )
        mend = 'Check what it "covers" in the layout, or save it in the shape of that box'
        yield Fault(what, mend, str(art.file), page=page)
    dpi = POINTS_PER_INCH * min(width / art.box.width, height / art.box.height)
    if printed and dpi < craft.ART_DPI_LEAST:
        what = f"this art has {dpi:.0f} pixels an inch where it stands, which looks coarse in print"
        yield Fault(what, "Save it larger, from the drawing itself", str(art.file), page=page)


def profile_of(opened: Any, channels: int) -> bytes | None:
    """The colour profile that a picture carries, where it is whole and for so many channels (ICC.1,
    7.2: length at byte 0, colour space at 16, signature at 36)."""
    found = opened.info.get("icc_profile")
    if not isinstance(found, bytes) or found[36:40] != b"acsp":
        return None
    whole = int.from_bytes(found[:4], "big") == len(found)
    return found if whole and found[16:20] == PROFILE_SPACES[channels] else None


def for_screen(opened: Any) -> tuple[Any, bytes | None]:
    """Art in RGB or RGBA, with its profile if it has one for these; other colours that have a
    profile are turned into those of a usual screen (sRGB) by it."""
    from PIL import ImageOps

    profile = profile_of(opened, 3) if opened.mode in OF_COLOURS else None
    other = {"L": 1, "CMYK": 4}.get(opened.mode)
    found = profile_of(opened, other) if other else None
    if found and (turned := in_srgb(opened, found)) is not None:
        return ImageOps.exif_transpose(turned), None
    return as_rgb(opened), profile


def in_srgb(picture: Any, profile: bytes) -> Any:
    """A picture in the colours of a usual screen (sRGB), by the profile of its own; None where that
    only looks whole."""
    from PIL import ImageCms

    screen = ImageCms.createProfile("sRGB")
    try:
        return ImageCms.profileToProfile(picture, io.BytesIO(profile), screen, outputMode="RGB")
    except ImageCms.PyCMSError:
        return None
