"""How near scans come back to their pages: many drawn scans with a known truth.

    python tests/benchmarks/scans.py [FROM] [TO] [--photo]

Each is a sheet to draw on, covered with lines, blots and rings of chance like its marks; marks are
drawn over in half of the cases. It is turned by up to 3 degrees, scaled by up to 2 % on each side,
skewed by up to half a degree, made grey, noisy, darker to one side, or black and white alone, and
packed as JPEG. What is told is the error on the page in mm, at the worst of 25 places.

With --photo each is photographed by hand instead: seen at a slant (corners off by up to 2 % of the
side), lit unevenly (down to half the light in a corner), a little blurred, noisy, JPEG.
"""

from __future__ import annotations

import io
import math
import random
import sys
import time
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from letterer.api import compose, read_layout, read_script
from letterer.errors import LettererError
from letterer.geometry import MM_PER_INCH, POINTS_PER_INCH, Point
from letterer.model.plan import PageFormat
from letterer.out.guide_marks import RADIUS, marks_of
from letterer.out.guide_sheet import Drawn, guide_sheet
from letterer.out.raster import composed
from letterer.out.scan_map import ScanMap, map_from
from letterer.out.scan_marks import find_marks
from letterer.text.faces import library

DEMO = Path(__file__).resolve().parents[2] / "shared" / "demo"
SCALE, DPI, PAGE = 1.5, 150, 1


class Sheet(NamedTuple):
    """A sheet as a picture, and what takes points of the page to its pixels."""

    picture: Any
    format: PageFormat
    scale: float
    shift: tuple[float, float]

    def at(self, point: Point) -> tuple[float, float]:
        """Where a point of the page is on the sheet, in pixels."""
        return point.x * self.scale + self.shift[0], point.y * self.scale + self.shift[1]


def drawn_sheet() -> Sheet:
    """The sheet of a page of the demo."""
    plan = read_layout(DEMO / "layout.json")
    (page,) = compose(read_script(DEMO / "script.txt"), plan, (PAGE,)).pages
    there = plan.page(PAGE)
    assert there is not None
    sheet = guide_sheet(Drawn(page, there, SCALE, "Page 1", library(())))
    pixels = DPI / POINTS_PER_INCH
    corner = sheet.format.trim
    picture = Image.fromarray(composed(sheet, DPI, [])).convert("L")
    shift = -corner.left * pixels, -corner.top * pixels
    return Sheet(picture, plan.format, SCALE * pixels, shift)


class Scanned(NamedTuple):
    """A scan with its truth: the projective matrix from the sheet's pixels to its own."""

    picture: Any
    true: Any

    def at(self, place: tuple[float, float]) -> tuple[float, float]:
        """Where a pixel of the sheet truly is."""
        x, y, w = self.true @ np.array([*place, 1.0])
        return float(x / w), float(y / w)


def scanned(sheet: Sheet, number: int) -> Scanned:
    """A scan of a sheet, drawn by a number."""
    chance = random.Random(number)
    base = sheet.picture.copy()
    _draw_art(base, sheet, chance)
    _draw_over(base, sheet, chance)
    angle, skew = (math.radians(chance.uniform(-most, most)) for most in (3.0, 0.5))
    wide, high = (chance.uniform(0.98, 1.02) for _ in range(2))
    size = chance.choice((0.6, 0.8, 1.0, 1.0))
    rotation = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    turned = rotation @ np.array([[wide, math.tan(skew)], [0.0, high]]) * size
    corners = np.array([[0, 0], [base.width, 0], base.size, [0, base.height]]) @ turned.T
    shift = -corners.min(axis=0) + [chance.uniform(2, 40), chance.uniform(2, 40)]
    whole = np.ceil(corners.max(axis=0) + shift + [chance.uniform(2, 99), chance.uniform(2, 99)])
    back = np.linalg.inv(turned)
    start = -back @ shift
    rows = (*back[0], start[0], *back[1], start[1])
    soft = base.filter(ImageFilter.GaussianBlur(0.5 / size)) if size < 1 else base
    way = Image.Transform.AFFINE, rows, Image.Resampling.BICUBIC, 1, 255
    picture = soft.transform((int(whole[0]), int(whole[1])), *way)
    true = np.eye(3)
    true[:2, :2], true[:2, 2] = turned, shift
    return Scanned(_worn(picture, chance, number), true)


def photographed(sheet: Sheet, number: int) -> Scanned:
    """A photograph of a sheet, drawn by a number."""
    chance = random.Random(f"photo {number}")
    base = sheet.picture.copy()
    _draw_art(base, sheet, chance)
    _draw_over(base, sheet, chance)
    wide, high = base.size
    size, side = chance.choice((0.6, 0.8, 1.0)), max(base.size)
    corners = [Point(0, 0), Point(wide, 0), Point(wide, high), Point(0, high)]
    angle = math.radians(chance.uniform(-3, 3))
    seen = []
    for corner in corners:
        x, y = corner.x - wide / 2, corner.y - high / 2
        off = [chance.uniform(-0.02, 0.02) * side for _ in range(2)]
        seen.append(
            Point(
                size * (x * math.cos(angle) - y * math.sin(angle) + off[0] + wide * 0.56),
                size * (x * math.sin(angle) + y * math.cos(angle) + off[1] + high * 0.56),
            )
        )
    true = np.array(map_from(corners, seen).rows).reshape(3, 3)
    back = np.linalg.inv(true)
    back = (back / back[2, 2]).ravel()[:8]
    whole = int(size * wide * 1.12), int(size * high * 1.12)
    soft = base.filter(ImageFilter.GaussianBlur(0.5 / size)) if size < 1 else base
    way = Image.Transform.PERSPECTIVE, tuple(back), Image.Resampling.BICUBIC, 1, 225
    picture = soft.transform(whole, *way).filter(ImageFilter.GaussianBlur(chance.uniform(0.6, 1.4)))
    return Scanned(_lit(picture, chance, number), true)


def _lit(picture: Any, chance: random.Random, number: int) -> Any:
    """Uneven light, noise, and JPEG."""
    values = np.asarray(picture, dtype=float)
    rows, columns = (np.linspace(-1, 1, side) for side in values.shape)
    turn, fall = chance.uniform(0, math.tau), chance.uniform(0.1, 0.5)
    slope = columns[None, :] * math.cos(turn) + rows[:, None] * math.sin(turn)
    light = 1 - fall * (slope / 1.42 + 1) / 2
    light *= 1 - chance.uniform(0, 0.25) * (columns[None, :] ** 2 + rows[:, None] ** 2) / 2
    values = (25 + values * 0.85) * light
    values += np.random.default_rng(number).normal(0, chance.uniform(1, 7), values.shape)
    packed = io.BytesIO()
    plain = Image.fromarray(np.clip(values, 0, 255).astype(np.uint8))
    plain.save(packed, "JPEG", quality=chance.choice((60, 75, 90)))
    return Image.open(packed).convert("L")


def _draw_art(picture: Any, sheet: Sheet, chance: random.Random) -> None:
    pen = ImageDraw.Draw(picture)
    for _ in range(60):
        x, y = chance.uniform(40, picture.width - 40), chance.uniform(40, picture.height - 90)
        q, width = chance.uniform(5, 60), chance.randrange(1, 6)
        box = (x - q, y - q, x + q, y + q)
        near = min(math.dist(sheet.at(mark), (x, y)) for mark in marks_of(sheet.format))
        kind = chance.randrange(4)
        if near < q + 110:
            continue
        if kind == 0:
            pen.ellipse(box, outline=0, width=width)
        elif kind == 1:
            ends = [(x + chance.uniform(-80, 80), y + chance.uniform(-80, 80)) for _ in range(6)]
            pen.line(ends, fill=0, width=width)
        elif kind == 2:
            pen.rectangle((x, y, x + q, y + q), fill=chance.randrange(160))
        else:
            pen.ellipse(box, outline=0, width=max(int(q * 0.3), 1))
            pen.ellipse((x - q * 0.4, y - q * 0.4, x + q * 0.4, y + q * 0.4), fill=0)


def _draw_over(picture: Any, sheet: Sheet, chance: random.Random) -> None:
    """Lines of ink, or of white, across some marks."""
    pen = ImageDraw.Draw(picture)
    radius = RADIUS * sheet.scale
    for mark in marks_of(sheet.format):
        if chance.random() < 0.5:
            continue
        x, y = sheet.at(mark)
        angle, off = chance.uniform(0, math.tau), chance.uniform(-0.8, 0.8) * radius
        x, y = x - off * math.sin(angle), y + off * math.cos(angle)
        dx, dy = 3 * radius * math.cos(angle), 3 * radius * math.sin(angle)
        width = chance.randrange(2, int(radius * 0.5) + 3)
        pen.line((x - dx, y - dy, x + dx, y + dy), fill=chance.choice((0, 0, 255)), width=width)


def _worn(picture: Any, chance: random.Random, number: int) -> Any:
    values = np.asarray(picture, dtype=float)
    dark, light = chance.uniform(0, 90), chance.uniform(180, 255)
    values = dark + (light - dark) * values / 255
    values = values * (1 - chance.uniform(0, 0.15) * np.linspace(0, 1, len(values))[:, None])
    noise = np.random.default_rng(number).normal(0, chance.uniform(0, 14), values.shape)
    values = values + noise
    if chance.random() < 0.3:
        values = np.where(values > (dark + light) / 2, 255, 0)
    packed = io.BytesIO()
    plain = Image.fromarray(np.clip(values, 0, 255).astype(np.uint8))
    plain.save(packed, "JPEG", quality=chance.choice((60, 90)))
    return Image.open(packed).convert("L")


def error_mm(sheet: Sheet, scan: Scanned, found: ScanMap) -> float:
    """The worst error over the page, in mm on the page."""
    bleed = sheet.format.bleed
    middle = sheet.at(bleed.center)
    here, x, y = (scan.at((middle[0] + dx, middle[1] + dy)) for dx, dy in ((0, 0), (1, 0), (0, 1)))
    scale = sheet.scale * math.sqrt(math.dist(here, x) * math.dist(here, y))
    worst = 0.0
    for x in np.linspace(bleed.left, bleed.right, 5):
        for y in np.linspace(bleed.top, bleed.bottom, 5):
            at = Point(float(x), float(y))
            worst = max(worst, math.dist(scan.at(sheet.at(at)), found.apply(at)))
    return worst / scale * MM_PER_INCH / POINTS_PER_INCH


def main() -> None:
    """Measure, and tell."""
    given = [text for text in sys.argv[1:] if text != "--photo"]
    low, high = (int(text) for text in (given + ["0", "120"][len(given) :])[:2])
    make = photographed if "--photo" in sys.argv[1:] else scanned
    sheet = drawn_sheet()
    marks = marks_of(sheet.format)
    errors: list[float] = []
    began = time.process_time()
    for number in range(low, high):
        scan = make(sheet, number)
        try:
            found = map_from(marks, find_marks(scan.picture, marks))
        except LettererError as error:
            print(f"{number}: {error}")
            continue
        errors.append(error_mm(sheet, scan, found))
        if errors[-1] > 0.1:
            print(f"{number}: {errors[-1]:.3f} mm")
    each = (time.process_time() - began) / (high - low)
    told = np.percentile(errors, [50, 95, 100])
    print(f"{len(errors)} of {high - low} scans found; {each:.2f} s of processor time each")
    print(
        f"error on the page: median {told[0]:.3f} mm, 95 % {told[1]:.3f} mm, most {told[2]:.3f} mm"
    )


if __name__ == "__main__":
    main()
