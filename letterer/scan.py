"""A scan of finished art brought back to its page: found by its marks, straightened, put in place.

The straightened picture covers the page's bleed exactly and is written beside the scan, which is
never touched; the layout's `art` then names it, with the box it covers. So everything that reads a
layout, and every other program, has a plain upright picture to deal with.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import POINTS_PER_INCH, Box, Point
from letterer.model.json_text import Keyed, Listed, plain
from letterer.model.layout_file import LayoutFile, changed_text, spliced
from letterer.model.plan import Layout
from letterer.out.art import read_art
from letterer.out.files import (
    check_file,
    check_folder,
    make_folder,
    named_from,
    same_file,
    write_whole,
)
from letterer.out.guide_marks import CORNERS, marks_of

if TYPE_CHECKING:
    from letterer.out.scan_map import ScanMap

CORNERS_OF = ("marks", "bleed", "trim", "live")
"""What four points by hand may be corners of."""

KINDS = (".png", ".tif", ".tiff")
PICTURES = (*KINDS, ".jpg", ".jpeg")


@dataclass(frozen=True, slots=True)
class ScanWanted:
    """What is asked for. `points` are four points by hand, in pixels, clockwise from the top left,
    which are corners `of` the marks or a box of the page; None finds the marks. `out` is the
    picture (None: beside the scan), `dpi` that of the picture on the page (None: as scanned).
    `blue_out` leaves pale blue lines of a colour scan out, and makes it grey."""

    page: int
    points: tuple[tuple[float, float], ...] | None = None
    of: str = "marks"
    out: Path | None = None
    dpi: int | None = None
    blue_out: bool = False


@dataclass(frozen=True, slots=True)
class Aligned:
    """What was done: the map from page to scan, where the marks are, the picture, in words."""

    map: ScanMap
    seen: tuple[Point, ...]
    picture: Path
    told: tuple[str, ...]


def align_scan(scan: str | Path, layout: str | Path, wanted: ScanWanted) -> Aligned:
    """Straighten a scan and put it into the layout as a page's art. Raises LettererError, with the
    layout as it was and no picture written."""
    from letterer.out.scan_map import check_plausible, map_from

    source = Path(scan)
    _check_turn(source, Path(layout))
    file = LayoutFile.read(layout)
    plan = file.layout()
    _check(source, file, plan, wanted)
    picture = wanted.out or source.with_name(f"{source.stem}-page-{wanted.page:03d}.png")
    _check_picture(picture, source, file, plan, wanted.page)
    try:
        marks = _corners(plan, wanted.of)
        image = _read_scan(source, wanted.blue_out)
        if wanted.points is None:
            from letterer.out.scan_marks import find_marks

            seen = find_marks(image.convert("L"), marks)
        else:
            seen = _by_hand(wanted.points, image.size)
        found = map_from(marks, seen)
        check_plausible(found, plan.format.trim.center)
    except LettererError as error:
        raise LettererError(*(_about(fault, source) for fault in error.faults)) from error
    box = plan.format.bleed
    dpi = wanted.dpi or _own_dpi(found, box)
    straight = straightened(image, found, box, dpi)
    changed = _with_art(file, wanted.page, picture, plan)
    there = picture.exists()
    make_folder(picture.parent)
    write_whole(picture, _as_bytes(straight, picture, dpi))
    try:
        changed.save()
    except BaseException:
        if not there:
            picture.unlink(missing_ok=True)
        raise
    return Aligned(found, tuple(seen), picture, _told(found, plan, wanted, dpi, picture))


def only_page(scan: str | Path, layout: str | Path) -> int:
    """The page that a scan is of where the layout has one alone. Raises LettererError."""
    _check_turn(Path(scan), Path(layout))
    numbers = [page.number for page in LayoutFile.read(layout).layout().pages]
    if not numbers:
        mend = "letterer start SCRIPT -o LAYOUT writes them"
        raise LettererError(Fault("the layout has no pages yet", mend, str(layout)))
    if len(numbers) > 1:
        what, known = "which page is this scan of?", ", ".join(map(str, numbers))
        raise LettererError(Fault(what, f"Add --page and its number: {known}", str(layout)))
    return numbers[0]


def _check_turn(scan: Path, layout: Path) -> None:
    """Refuse the two files the wrong way round."""
    if scan.suffix.lower() == ".json" and layout.suffix.lower() in PICTURES:
        mend = f"Write letterer scan {layout.name} {scan.name}"
        raise LettererError(Fault("the scan comes first, then the layout", mend))


def straightened(image: Any, found: ScanMap, box: Box, dpi: int) -> Any:
    """The part of a scan that a box of the page covers, upright, at so many dots an inch."""
    from PIL import Image

    scale = dpi / POINTS_PER_INCH
    size = (max(round(box.width * scale), 1), max(round(box.height * scale), 1))
    if size[0] * size[1] * 8 > craft.RASTER_BYTES_MOST:
        what = f"at {dpi} dpi this page would be {size[0]} by {size[1]} pixels"
        raise LettererError(Fault(what, "Choose a smaller --dpi"))
    # Pillow takes the middle of each pixel of the new picture to a place of the old one. A map of
    # the page's points is turned into one of the new picture's pixels.
    a, b, c, d, e, f, g, h, i = found.rows
    step_x, step_y = box.width / size[0], box.height / size[1]
    left, top = box.left, box.top
    rows = [
        (one * step_x, two * step_y, one * left + two * top + three)
        for one, two, three in ((a, b, c), (d, e, f), (g, h, i))
    ]
    last = rows[2][2]
    data = [value / last for row in rows for value in row]
    wide = found.sides(box.center)[0] * step_x
    if wide > 1.5:
        # Far fewer pixels than the scan has: pixels are joined first, or fine lines would break.
        join = int(wide + 0.5)
        image = image.reduce(join)
        data = [value / join if place < 6 else value for place, value in enumerate(data)]
    way = Image.Transform.AFFINE if found.affine else Image.Transform.PERSPECTIVE
    blank = 255 if image.mode == "L" else (255, 255, 255)
    return image.transform(
        size, way, data[:6] if found.affine else data[:8], Image.Resampling.BICUBIC, 1, blank
    )


# --- What is given ----------------------------------------------------------------------------


def _check(source: Path, file: LayoutFile, plan: Layout, wanted: ScanWanted) -> None:
    if plan.page(wanted.page) is None:
        known = ", ".join(str(page.number) for page in plan.pages) or "none yet"
        what = f"the layout has no page {wanted.page}"
        raise LettererError(Fault(what, f"Its pages: {known}", str(file.path)))
    if wanted.of not in CORNERS_OF:
        what = f'four points cannot be corners of "{wanted.of}"'
        raise LettererError(Fault(what, f"Choose {', '.join(CORNERS_OF)}"))
    if wanted.of != "marks" and wanted.points is None:
        what = f"--of {wanted.of} needs four points"
        raise LettererError(Fault(what, "Add --marks x,y x,y x,y x,y"))
    if wanted.dpi is not None and not craft.DPI_RANGE[0] <= wanted.dpi <= craft.DPI_RANGE[1]:
        low, high = craft.DPI_RANGE
        what = f"{wanted.dpi} dpi is out of range"
        raise LettererError(Fault(what, f"Choose a number from {low} to {high}"))
    if not source.exists():
        raise LettererError(Fault("there is no such scan", "Check its name", str(source)))
    if source.is_dir():
        raise LettererError(Fault("this is a folder, not a scan", "Name the scan", str(source)))


def _check_picture(picture: Path, source: Path, file: LayoutFile, plan: Layout, page: int) -> None:
    """Refuse a picture that cannot be written, or would take a person's file away."""
    if picture.suffix.lower() not in KINDS:
        what = f"the straightened art is {' or '.join(KINDS)}, which lose nothing"
        name = picture.with_suffix(".png").name if picture.name else "art.png"
        raise LettererError(Fault(what, f"Write -o {name}", str(picture)))
    check_folder(picture.parent)
    if picture.parent.is_dir():
        check_file(picture)
    own = [("the scan", source), ("the layout", file.path)]
    own += [(f"the art of page {at.number}", at.art.file) for at in plan
            if at.art and at.number != page]  # fmt: skip
    for name, other in own:
        if same_file(picture, other):
            what = f"the straightened art would be written over {name}"
            raise LettererError(Fault(what, "Give it another name, with -o", str(picture)))
    there = plan.page(page)
    ours = there is not None and there.art is not None and same_file(picture, there.art.file)
    if picture.exists() and not (ours and _straightened_before(picture, plan)):
        what = "there is a picture of this name already"
        mend = "Give the straightened one another name, with -o, or move this one away"
        raise LettererError(Fault(what, mend, str(picture)))


def _straightened_before(picture: Path, plan: Layout) -> bool:
    """Whether a picture is one that was straightened for this page: it says so itself."""
    from PIL import Image

    try:
        with Image.open(picture) as opened:
            return str(opened.info.get("Comment") or _described(opened)) == COMMENT
    except Exception:  # no picture, or a broken one: not ours
        return False


def _described(opened: Any) -> object:
    tags = getattr(opened, "tag_v2", None)
    return tags.get(DESCRIPTION_TAG) if tags is not None else None


COMMENT = "Straightened from a scan for its page."
DESCRIPTION_TAG = 270
"""ImageDescription of TIFF 6.0."""


def _corners(plan: Layout, of: str) -> Sequence[Point]:
    if of == "marks":
        return marks_of(plan.format)
    left, top, right, bottom = getattr(plan.format, of)
    return Point(left, top), Point(right, top), Point(right, bottom), Point(left, bottom)


def _by_hand(points: Sequence[tuple[float, float]], size: tuple[int, int]) -> tuple[Point, ...]:
    from letterer.out.scan_map import check_corners

    if len(points) != 4:
        what = f"--marks has {len(points)} points"
        raise LettererError(Fault(what, f"Give four: {', '.join(CORNERS)}"))
    found = tuple(Point(*at) for at in points)
    for name, at in zip(CORNERS, found, strict=True):
        if not (0 <= at.x <= size[0] and 0 <= at.y <= size[1]):
            what = f"the {name} point, {at.x:g},{at.y:g}, is not in this scan"
            mend = f"It is {size[0]} by {size[1]} pixels"
            raise LettererError(Fault(what, mend))
    check_corners(found, "--marks")
    return found


def _about(fault: Fault, source: Path) -> Fault:
    return fault if fault.file else Fault(fault.what, fault.mend, str(source))


def _read_scan(source: Path, blue_out: bool) -> Any:
    """A scan in grey or in colour, on white; in grey where it has no colours."""
    from PIL import Image, ImageChops

    try:
        image = read_art(source, 0)
    except LettererError as error:
        faults = (
            Fault(fault.what.replace("this art", "this scan"), fault.mend, fault.file)
            for fault in error.faults
        )
        raise LettererError(*faults) from error
    if min(image.size) < 100:
        what = f"this scan is {image.size[0]} by {image.size[1]} pixels, too few to find marks in"
        raise LettererError(Fault(what, "Scan at 300 dpi or more", str(source)))
    if image.mode == "RGBA":
        ground = Image.new("RGB", image.size, "white")
        ground.paste(image, (0, 0), image)
        image = ground
    red, green, blue = image.split()
    if blue_out:
        return blue  # pale blue is as light as paper in this channel
    grey = not any(ImageChops.difference(red, other).getbbox() for other in (green, blue))
    return red if grey else image


# --- What is made -----------------------------------------------------------------------------


def _own_dpi(found: ScanMap, box: Box) -> int:
    """The resolution that the scan has on the page."""
    own = max(found.sides(box.center)[:2]) * POINTS_PER_INCH
    return max(min(round(own), craft.SCAN_DPI_MOST), 1)


def _as_bytes(image: Any, picture: Path, dpi: int) -> bytes:
    packed = io.BytesIO()
    if picture.suffix.lower() == ".png":
        from PIL.PngImagePlugin import PngInfo

        said = PngInfo()
        said.add_text("Comment", COMMENT)
        image.save(packed, "PNG", dpi=(dpi, dpi), pnginfo=said)
    else:
        image.save(packed, "TIFF", dpi=(dpi, dpi), compression="tiff_lzw", description=COMMENT)
    return packed.getvalue()


def _with_art(file: LayoutFile, number: int, picture: Path, plan: Layout) -> LayoutFile:
    """The layout with the picture as a page's art; every other byte stays. Raises LettererError."""
    pages, _ = file.document.at(("pages",))
    assert isinstance(pages, Listed)
    page = next(
        one
        for one in pages.items
        if isinstance(one, Keyed) and (at := one.get("page")) is not None and plain(at) == number
    )
    bleed = plan.format.bleed
    measure = plan.measure
    box = [measure.written(side) for side in (bleed.left, bleed.top, bleed.width, bleed.height)]
    art = {"file": named_from(picture, file.path.parent), "box": box}
    had = page.get("art")
    text = file.text
    if isinstance(had, Keyed) and had.members:
        splice = (had.start, had.end, changed_text(text, had, {"covers": None, **art}))
    else:
        splice = (page.start, page.end, changed_text(text, page, {"art": art}))
    changed = file.with_text(spliced(text, [splice]))
    made = changed.layout().page(number)
    assert made is not None and made.art is not None
    return changed


def _told(
    found: ScanMap, plan: Layout, wanted: ScanWanted, dpi: int, picture: Path
) -> tuple[str, ...]:
    wide, high, turn, _ = found.sides(plan.format.trim.center)
    own = max(wide, high) * POINTS_PER_INCH
    lines = [
        f"Page {wanted.page}: the scan is turned by {abs(turn):.2f} degrees"
        f"{' clockwise' if turn > 0 else ' anticlockwise' if turn < 0 else ''},"
        f" {own:.0f} dots an inch on the page."
    ]
    uneven = wide / high - 1
    if abs(uneven) > 0.001:
        side = "wider" if uneven > 0 else "higher"
        lines.append(f"It is {abs(uneven) * 100:.1f} % {side} than it was.")
    if found.affine:
        lines.append(f"The four points agree within {found.off:.2f} mm.")
    else:
        lines.append(
            f"The four points are off a flat sheet by {found.off:.2f} mm, so it was taken for a"
            " photograph, or a sheet that did not lie flat. Check the art near the edges."
        )
    lines.append(f"Straightened art, {dpi} dpi, is in the layout: {picture}")
    return tuple(lines)
