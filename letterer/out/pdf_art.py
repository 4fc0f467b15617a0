"""Art as a picture inside a PDF: in its own colours and pixels, or as the very JPEG that it is.

Grey art, also where it was saved as red, green and blue, becomes DeviceGray and prints in black ink
alone. Art in the inks of print stays in them. A profile that the art carries goes with it.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from letterer.out.art import WITH_ALPHA, profile_of, with_art
from letterer.out.pdf_objects import Name, PdfFile, Ref, Value, packed
from letterer.out.png import filtered

SPACES = {1: "DeviceGray", 3: "DeviceRGB", 4: "DeviceCMYK"}
CHANNELS = {"1": 1, "L": 1, "RGB": 3, "CMYK": 4}
ORIENTATION_TAG = 0x0112
KEPT_MARKERS = (0xE0, 0xE2, 0xEE)
"""JPEG's application segments that say how its colours are meant: JFIF, the profile, its inks."""


@dataclass(frozen=True, slots=True)
class PdfPicture:
    """A picture's stream and its head; its mask, where parts of it are clear; its profile."""

    head: dict[str, Value]
    data: bytes
    channels: int
    flate: bool = True
    mask: PdfPicture | None = None
    profile: bytes | None = None


def read_picture(file: FilePath, page: int) -> PdfPicture:
    """The art of a page as a PDF holds it. Raises LettererError where it cannot be read."""
    return with_art(file, page, lambda opened: _as_jpeg(opened, file) or _as_pixels(opened))


def jpeg_picture(picture: Any, quality: int) -> PdfPicture:
    """A Pillow image in RGB as a JPEG of a quality; in grey alone where it is grey."""
    import numpy as np

    if _is_grey(np.asarray(picture)):
        picture = picture.getchannel(0)
    channels = CHANNELS[picture.mode]
    into = io.BytesIO()
    picture.save(into, "JPEG", quality=quality, optimize=True)
    head = _head(picture.size, channels) | {"Filter": Name("DCTDecode")}
    return PdfPicture(head, into.getvalue(), channels, False)


def add_picture(file: PdfFile, picture: PdfPicture) -> Ref:
    """A picture, with its mask and its profile, as objects of a PDF."""
    head = dict(picture.head)
    if picture.profile:
        profile = file.stream({"N": picture.channels}, packed(picture.profile))
        head["ColorSpace"] = [Name("ICCBased"), profile]
    if picture.mask:
        head["SMask"] = add_picture(file, picture.mask)
    return file.stream(head, picture.data, picture.flate)


def _head(size: tuple[int, int], channels: int, bits: int = 8) -> dict[str, Value]:
    return {
        "Type": Name("XObject"),
        "Subtype": Name("Image"),
        "Width": size[0],
        "Height": size[1],
        "ColorSpace": Name(SPACES[channels]),
        "BitsPerComponent": bits,
    }


def _as_jpeg(opened: Any, file: FilePath) -> PdfPicture | None:
    """The bytes of a JPEG as they are, or None where they would not be shown as the art is."""
    if opened.format != "JPEG" or opened.mode not in ("L", "RGB", "CMYK"):
        return None
    if opened.getexif().get(ORIENTATION_TAG, 1) != 1:
        return None
    opened.load()  # to be sure that it is whole
    channels = CHANNELS[opened.mode]
    head = _head(opened.size, channels) | {"Filter": Name("DCTDecode")}
    if channels == 4 and "adobe" in opened.info:
        head["Decode"] = [1, 0] * 4  # written with its inks upside down
    data = b"".join(_without_remarks(file.read_bytes()))
    return PdfPicture(head, data, channels, False, profile=profile_of(opened, channels))


def _without_remarks(data: bytes) -> Iterator[bytes]:
    """A JPEG without what a camera or a program noted in it: dates, places, names, thumbnails."""
    at = 2
    yield data[:2]
    while data[at : at + 1] == b"\xff" and data[at + 1] != 0xDA:
        marker = data[at + 1]
        if marker == 0xFF:  # a byte to fill up
            at += 1
            continue
        end = at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        if marker != 0xFE and (not 0xE0 <= marker <= 0xEF or marker in KEPT_MARKERS):
            yield data[at:end]
        at = end
    yield data[at:]


def _as_pixels(opened: Any) -> PdfPicture:
    import numpy as np
    from PIL import ImageOps

    profile = profile_of(opened, CHANNELS.get(opened.mode.removesuffix("A"), 3))
    picture = ImageOps.exif_transpose(_in_known_mode(opened))
    mask = None
    if picture.mode in ("LA", "RGBA"):
        mask = _flate(np.asarray(picture.getchannel("A")))
        picture = picture.convert(picture.mode[:-1])
    if picture.mode == "1":
        head = _head(picture.size, 1, bits=1)
        return PdfPicture(head, packed(picture.tobytes()), 1)
    pixels = np.asarray(picture)
    if picture.mode == "RGB" and _is_grey(pixels):
        return _flate(pixels[:, :, 0], mask)
    return _flate(pixels, mask, profile)


def _in_known_mode(opened: Any) -> Any:
    """A picture in one of: 1, L, LA, RGB, RGBA, CMYK."""
    if opened.mode.startswith("I"):  # 16 bits a pixel
        return opened.point(lambda value: value / 256).convert("L")
    if opened.mode in ("L", "LA", "La") and "transparency" not in opened.info:
        return opened.convert("LA" if opened.mode != "L" else "L")
    if opened.mode in WITH_ALPHA or "transparency" in opened.info:
        return opened.convert("RGBA")
    opened.load()
    return opened if opened.mode in CHANNELS else opened.convert("RGB")


def _is_grey(pixels: Any) -> bool:
    red = pixels[:, :, 0]
    return bool((red == pixels[:, :, 1]).all() and (red == pixels[:, :, 2]).all())


def _flate(pixels: Any, mask: PdfPicture | None = None, profile: bytes | None = None) -> PdfPicture:
    """Pixels packed as a PNG packs them (ISO 32000-1, 7.4.4.4)."""
    if pixels.ndim == 2:
        pixels = pixels[:, :, None]
    height, width, channels = pixels.shape
    head = _head((width, height), channels)
    head["DecodeParms"] = {
        "Predictor": 15,
        "Colors": channels,
        "BitsPerComponent": 8,
        "Columns": width,
    }
    data = packed(b"".join(strip.tobytes() for strip in filtered(pixels)))
    return PdfPicture(head, data, channels, mask=mask, profile=profile)
