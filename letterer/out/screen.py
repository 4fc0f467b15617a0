"""A page for the screen: its lettering over its art, cut to the trim, at a width in pixels.

A long page can be cut into pieces. A piece ends in a row that no panel and no unit crosses, as near
to the height allowed as there is one; where there is none, in the quietest row, and the cut says
what it goes through.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import Box
from letterer.out.art import for_screen, in_pixels, lay_under, told_of_art, with_art
from letterer.out.canvas import Raster, load_skia, painted_units
from letterer.out.layered import drawn_box
from letterer.out.tiles import COLOUR, strips, tiles_of
from letterer.page.lettered import LetteredPage

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

KINDS = {"png": "png", "jpeg": "jpg", "webp": "webp"}
"""What a page can be saved as, with the ending of its file's name."""

BYTES_A_PIXEL = 12
"""Memory that a page takes: the picture, the lettering, and a copy to save."""


@dataclass(frozen=True, slots=True)
class Composite:
    """A page as a Pillow image in RGB, and the colour profile of its art, if it has one; what there
    is to tell of the art."""

    picture: Any
    profile: bytes | None
    told: tuple[Fault, ...] = ()


class Through(NamedTuple):
    """What a cut must not cross: its top and bottom in pixels, and what it is called."""

    top: float
    bottom: float
    name: str


class Cut(NamedTuple):
    """A piece ends above this row. `through` is what the cut goes through, if it has to."""

    row: int
    through: tuple[str, ...] = ()


def composite(page: LetteredPage, width: int) -> Composite:
    """A page within its trim, so many pixels wide, its lettering over its art on white.

    Raises LettererError when the art cannot be read, or the page is too large.
    """
    import numpy as np
    from PIL import Image

    size = screen_size(page, width)
    trim, scale = page.format.trim, width / page.format.trim.width
    ground = Image.new("RGB", size, "white")
    profile = None
    told: tuple[Fault, ...] = ()
    if page.art is not None:
        art, profile = with_art(page.art.file, page.number, for_screen)
        told = tuple(told_of_art(art.size, page.art, page.number, printed=False))
        lay_under(ground, art, in_pixels(page.art.box, trim, scale))
    skia = load_skia()
    units = painted_units(skia, page.units, Raster(scale, trim.left, trim.top, *size))
    row = 0
    for strip in strips(skia, tiles_of(units), size, COLOUR):
        pixels = np.ascontiguousarray(strip[:, 1:]).reshape(len(strip), width, COLOUR)
        lettering = Image.fromarray(pixels, "RGBA")
        ground.paste(lettering, (0, row), lettering)
        row += len(strip)
    return Composite(ground, profile, told)


def screen_size(page: LetteredPage, width: int) -> tuple[int, int]:
    """Width and height of the trim in pixels. Raises LettererError beyond what memory allows."""
    trim = page.format.trim
    height = max(round(trim.height * width / trim.width), 1)
    if width * height * BYTES_A_PIXEL > craft.RASTER_BYTES_MOST:
        what = f"this page would be {width} by {height} pixels, too large for memory"
        raise LettererError(Fault(what, "Choose a smaller --width", page=page.number))
    return width, height


def encoded(made: Composite, kind: str, rows: tuple[int, int] | None = None) -> bytes:
    """A page, or the rows of it from the first to below the last, as a file of one of `KINDS`.

    A page of greys alone is saved as grey. Raises LettererError where the kind cannot hold it.
    """
    picture = made.picture
    if rows is not None:
        picture = picture.crop((0, rows[0], picture.width, rows[1]))
    most = craft.SCREEN_SIDE_MOST[kind]
    if max(picture.size) > most:
        what = f"{kind} cannot hold {picture.width} by {picture.height} pixels, only {most}"
        raise LettererError(Fault(what, "Cut the page, with --cut 1280, say, or choose png"))
    if made.profile is None and kind != "webp" and _is_grey(picture):
        picture = picture.convert("L")
    options: dict[str, Any] = {
        "png": {"compress_level": 6},
        "jpeg": {"quality": craft.SCREEN_QUALITY, "subsampling": 0},
        "webp": {"quality": craft.SCREEN_QUALITY, "method": 4},
    }[kind]
    if made.profile is not None:
        options["icc_profile"] = made.profile
    picture.info = {}  # nothing that the art's file said of itself
    into = io.BytesIO()
    picture.save(into, kind, **options)
    return into.getvalue()


def _is_grey(picture: Any) -> bool:
    import numpy as np

    pixels = np.asarray(picture)
    red = pixels[:, :, 0]
    return bool((red == pixels[:, :, 1]).all() and (red == pixels[:, :, 2]).all())


def cuts(page: LetteredPage, panels: Sequence[Box], made: Composite, most: int) -> list[Cut]:
    """Where a page is cut so that no piece is more than `most` pixels high; none for a page that is
    not. `panels` are the boxes of its panels, in points, in the order of their numbers."""
    width, height = made.picture.size
    trim = page.format.trim
    scale = width / trim.width
    named = [(box, f"panel {number}") for number, box in enumerate(panels, 1)]
    named += [(drawn_box(unit), f"unit {unit.id}") for unit in page.units]
    barred = [
        Through((box.top - trim.top) * scale, (box.bottom - trim.top) * scale, name)
        for box, name in named
    ]
    found: list[Cut] = []
    at = 0
    least = max(int(most * craft.SCREEN_PIECE_LEAST_SHARE), 1)
    while height - at > most:
        last = max(min(at + most, height - least), at + least)
        row = _free_row(barred, at + least, last)
        if row is None:
            row = _quiet_row(made.picture, barred, (at + most // 2, last))
            through = tuple(bar.name for bar in barred if _crosses(bar, row))
            found.append(Cut(row, through))
        else:
            found.append(Cut(row))
        at = row
    return found


def _crosses(bar: Through, row: int) -> bool:
    return bar.top < row < bar.bottom


def _free_row(barred: Sequence[Through], first: int, last: int) -> int | None:
    """The middle of the last stretch of rows, from `first` to `last`, that nothing crosses."""
    end = last
    while end >= first:
        over = [bar for bar in barred if _crosses(bar, end)]
        if not over:
            break
        end = min(math.floor(bar.top) for bar in over)
    if end < first:
        return None
    below = [bar.bottom for bar in barred if bar.bottom <= end and bar.top < bar.bottom]
    begin = max([first, *(math.ceil(bottom) for bottom in below)])
    return (begin + end) // 2


def _quiet_row(picture: Any, barred: Sequence[Through], rows: tuple[int, int]) -> int:
    """The row in which the picture changes least from left to right, outside of units if it can
    be; of rows alike, the lowest."""
    import numpy as np

    first, last = rows
    grey = np.asarray(picture.crop((0, first - 1, picture.width, last + 1)).convert("L"), dtype=int)
    change = np.abs(np.diff(grey, axis=1)).sum(axis=1)
    noise: NDArray[np.int_] = change[:-1] + change[1:]
    units = [bar for bar in barred if bar.name.startswith("unit")]

    def cost(row: int) -> tuple[bool, int, int]:
        return any(_crosses(bar, row) for bar in units), int(noise[row - first]), -row

    return min(range(first, last + 1), key=cost)
