"""Marks found in drawn scans whose truth is known: turned, scaled, skewed, noisy, drawn over."""

from __future__ import annotations

import io
import math
import random
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFilter

from letterer.errors import LettererError
from letterer.geometry import Box, Point
from letterer.model.plan import PageFormat
from letterer.out.guide_marks import CORNERS, HEAD, RADIUS, circle, mark_paths, marks_of
from letterer.out.scan_map import ScanMap, map_from
from letterer.out.scan_marks import find_marks

FORMAT = PageFormat(Box(0, 0, 240, 320), Box(-9, -9, 249, 329), Box(18, 18, 222, 302))
MARKS = marks_of(FORMAT)
PIXELS = 1.4
CORNER = (-40.0, -25.0)
SIZE = (448, 532)
MM = 25.4 / 72
BAR_MM = 0.2
"""What lettering may be off by: nobody sees less on a printed page (common practice, no source)."""


def sheet(skip: int | None = None) -> Any:
    """A copy of the sheet, to draw on."""
    return drawn_sheet(skip).copy()


@cache
def drawn_sheet(skip: int | None) -> Any:
    """The sheet's marks drawn by another program's circles, four times finer and then scaled."""
    fine = 4
    picture = Image.new("L", (SIZE[0] * fine, SIZE[1] * fine), 255)
    pen = ImageDraw.Draw(picture)

    def at(point: Point) -> tuple[float, float]:
        return tuple(  # type: ignore[return-value]
            (value - corner) * PIXELS * fine for value, corner in zip(point, CORNER, strict=True)
        )

    for place, mark in enumerate(MARKS):
        if place == skip:
            continue
        x, y = at(mark)
        for share, color in ((1.0, 0), (0.68, 255), (0.36, 0)):
            radius = RADIUS * share * PIXELS * fine
            pen.ellipse((x - radius, y - radius, x + radius, y + radius), fill=color)
    pen.rectangle((*at(MARKS[0].shifted(HEAD.left, HEAD.top)),
                   *at(MARKS[0].shifted(HEAD.right, HEAD.bottom))), fill=0)  # fmt: skip
    return picture.resize(SIZE, Image.Resampling.BOX)


class Scan(NamedTuple):
    """A picture, and the matrix and shift from points of the page to its pixels."""

    picture: Any
    turned: Any
    shift: Any

    def at(self, point: Point) -> Any:
        """Where a point of the page truly is."""
        return self.turned @ np.array(point) + self.shift

    def error_mm(self, found: ScanMap) -> float:
        """The worst error at the corners and in the middle of the page."""
        bleed = FORMAT.bleed
        scale = math.sqrt(abs(float(np.linalg.det(self.turned))))
        places = [
            Point(x, y)
            for x in (bleed.left, bleed.center.x, bleed.right)
            for y in (bleed.top, bleed.center.y, bleed.bottom)
        ]
        return max(math.dist(self.at(at), found.apply(at)) for at in places) / scale * MM


def scan_of(
    picture: Any,
    degrees: float = 0.0,
    sides: tuple[float, float] = (1.0, 1.0),
    skew: float = 0.0,
    noise: float = 0.0,
) -> Scan:
    """A picture as scanned; degrees clockwise."""
    angle = math.radians(degrees)
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    turned = turn @ np.array([[sides[0], math.tan(math.radians(skew))], [0.0, sides[1]]])
    corners = np.array([[0, 0], [SIZE[0], 0], SIZE, [0, SIZE[1]]]) @ turned.T
    shift = -corners.min(axis=0) + [7.3, 11.6]
    whole = np.ceil(corners.max(axis=0) + shift + 9.0)
    back = np.linalg.inv(turned)
    start = -back @ shift
    rows = (*back[0], start[0], *back[1], start[1])
    made = picture.transform(
        (int(whole[0]), int(whole[1])),
        Image.Transform.AFFINE,
        rows,
        Image.Resampling.BICUBIC,
        1,
        255,
    )
    if noise:
        values = np.asarray(made, dtype=float)
        values = 40 + values * 0.7 + np.random.default_rng(7).normal(0, noise, values.shape)
        made = Image.fromarray(np.clip(values, 0, 255).astype(np.uint8))
    return Scan(made, turned * PIXELS, turned @ (-np.array(CORNER) * PIXELS) + shift)


def found_in(scan: Scan) -> ScanMap:
    """The map that the marks of a scan give."""
    return map_from(MARKS, find_marks(scan.picture, MARKS))


CASES = [
    {},
    {"degrees": 3.0},
    {"degrees": -3.0, "skew": 0.5},
    {"degrees": 0.7, "sides": (1.02, 0.98)},
    {"degrees": -1.0, "sides": (0.98, 1.02), "skew": -0.5, "noise": 14.0},
    {"degrees": 2.0, "noise": 20.0},
    {"degrees": 90.0},
    {"degrees": 178.5},
    {"degrees": -91.0, "noise": 8.0},
]


@pytest.mark.parametrize("how", CASES)
def test_a_scan_comes_back_within_the_bar(how: dict[str, Any]) -> None:
    scan = scan_of(sheet(), **how)
    found = found_in(scan)
    assert scan.error_mm(found) < BAR_MM / 4
    assert found.affine


@pytest.mark.parametrize("number", range(5))
def test_marks_partly_drawn_over_are_found_all_the_same(number: int) -> None:
    chance = random.Random(number)
    picture = sheet()
    pen = ImageDraw.Draw(picture)
    radius = RADIUS * PIXELS
    for mark in MARKS:
        x, y = ((value - corner) * PIXELS for value, corner in zip(mark, CORNER, strict=True))
        angle, off = chance.uniform(0, math.tau), chance.uniform(-0.7, 0.7) * radius
        x, y = x - off * math.sin(angle), y + off * math.cos(angle)
        ends = (x - 30 * math.cos(angle), y - 30 * math.sin(angle),
                x + 30 * math.cos(angle), y + 30 * math.sin(angle))  # fmt: skip
        pen.line(ends, fill=chance.choice((0, 255)), width=chance.randrange(2, 5))
    for _ in range(12):  # rings in the art that are like marks
        x, y, q = chance.uniform(90, 360), chance.uniform(90, 440), chance.uniform(6, 22)
        pen.ellipse((x - q, y - q, x + q, y + q), outline=0, width=max(int(q * 0.3), 1))
        pen.ellipse((x - q * 0.36, y - q * 0.36, x + q * 0.36, y + q * 0.36), fill=0)
    scan = scan_of(picture, chance.uniform(-3, 3), (1.01, 0.99), 0.3, 10.0)
    assert scan.error_mm(found_in(scan)) < BAR_MM / 2


def test_black_and_white_alone_will_do() -> None:
    scan = scan_of(sheet(), 1.5)
    hard = scan._replace(picture=scan.picture.point(lambda value: 255 * (value > 128)))
    assert hard.error_mm(found_in(hard)) < BAR_MM / 4


@pytest.mark.parametrize("gone", range(4))
def test_a_missing_mark_is_named_and_the_others_are_not_taken_for_it(gone: int) -> None:
    scan = scan_of(sheet(skip=gone), 1.0)
    with pytest.raises(LettererError) as told:
        find_marks(scan.picture, MARKS)
    assert f"the {CORNERS[gone]} mark is missing" in str(told.value)
    assert "--marks" in str(told.value)
    assert_the_others_are_told(str(told.value), scan, gone)


def assert_the_others_are_told(words: str, scan: Scan, gone: int) -> None:
    """A message says where the other three marks are, well enough to give them by hand."""
    known = words.split("the other three are at ")[1].rstrip(".").split()
    places = [tuple(float(value) for value in place.split(",")) for place in known]
    others = [mark for place, mark in enumerate(MARKS) if place != gone]
    assert len(places) == 3
    for place, mark in zip(places, others, strict=True):
        assert math.dist(place, scan.at(mark)) < 0.2


@pytest.mark.parametrize("gone", [0, 2])
@pytest.mark.parametrize("share", [0.7, 1.0])
def test_a_mark_under_a_blot_is_named_and_the_others_are_told(gone: int, share: float) -> None:
    picture = sheet()
    x, y = ((v - corner) * PIXELS for v, corner in zip(MARKS[gone], CORNER, strict=True))
    out = RADIUS * PIXELS * 1.4
    blot = (x - out, y - out, x - out + 2 * out * share, y + out)
    ImageDraw.Draw(picture).rectangle(blot, fill=0)
    scan = scan_of(picture, 1.0)
    with pytest.raises(LettererError) as told:
        find_marks(scan.picture, MARKS)
    assert f"the {CORNERS[gone]} mark is missing in this scan, or drawn over" in str(told.value)
    assert_the_others_are_told(str(told.value), scan, gone)


def test_noise_has_no_marks() -> None:
    values = np.random.default_rng(1).random((700, 500)) * 255
    with pytest.raises(LettererError, match="the corner marks of the sheet are not in this scan"):
        find_marks(Image.fromarray(values.astype(np.uint8)), MARKS)


def test_a_photograph_comes_back_within_the_bar() -> None:
    """Seen at a slant, lit from one side, a little blurred, packed as JPEG."""
    flat = scan_of(sheet()).picture
    wide, high = flat.size
    seen = [Point(9, 6), Point(wide - 3, 0), Point(wide - 12, high - 4), Point(2, high - 9)]
    page = [Point(0, 0), Point(wide, 0), Point(wide, high), Point(0, high)]
    true, back = map_from(page, seen), map_from(seen, page)
    picture = flat.transform(
        flat.size, Image.Transform.PERSPECTIVE, back.rows[:8], Image.Resampling.BICUBIC, 1, 255
    ).filter(ImageFilter.GaussianBlur(0.8))
    light = np.linspace(1.0, 0.5, wide)[None, :] * np.linspace(0.9, 1.0, high)[:, None]
    packed = io.BytesIO()
    dim = Image.fromarray((np.asarray(picture, dtype=float) * light).astype(np.uint8))
    dim.save(packed, "JPEG", quality=70)
    found = map_from(MARKS, find_marks(Image.open(packed).convert("L"), MARKS))
    assert not found.affine
    base = scan_of(sheet())
    for corner in (FORMAT.bleed.left, FORMAT.bleed.top), (FORMAT.bleed.right, FORMAT.bleed.bottom):
        at = Point(*corner)
        assert math.dist(true.apply(Point(*base.at(at))), found.apply(at)) / PIXELS * MM < BAR_MM


@pytest.mark.parametrize("color", [255, 0, 128])
def test_an_empty_scan_has_no_marks(color: int) -> None:
    with pytest.raises(LettererError, match="corner marks of the sheet are not in this scan"):
        find_marks(Image.new("L", (600, 800), color), MARKS)


def test_a_scan_of_the_sheet_of_another_page_size_is_not_taken() -> None:
    other = PageFormat(Box(0, 0, 320, 240), Box(-9, -9, 329, 249), Box(18, 18, 302, 222))
    wide = PageFormat(Box(0, 0, 240, 240), Box(-9, -9, 249, 249), Box(18, 18, 222, 222))
    picture = scan_of(sheet()).picture
    with pytest.raises(LettererError):
        find_marks(picture, marks_of(wide))
    assert len(marks_of(other)) == 4


def test_what_is_drawn_of_the_marks_is_where_they_are_looked_for() -> None:
    rings, bar = mark_paths(FORMAT)
    assert len(rings) == 8
    for place, mark in enumerate(MARKS):
        box = rings[2 * place].box()
        assert box is not None
        assert box.center == pytest.approx(mark)
        assert box.width == pytest.approx(2 * RADIUS, abs=0.01)
    under = bar.box()
    assert under is not None and under.left < MARKS[0].x < under.right and under.top > MARKS[0].y
    assert circle(Point(0, 0), 1).area() == pytest.approx(math.pi, rel=1e-3)


def test_marks_stand_clear_of_the_art() -> None:
    for mark in MARKS:
        assert not Box(*mark, *mark).grown(RADIUS).meets(FORMAT.bleed)


def test_a_page_too_small_has_no_marks() -> None:
    tiny = Box(0, 0, 40, 60)
    with pytest.raises(LettererError, match="too small"):
        marks_of(PageFormat(tiny, tiny, tiny))
