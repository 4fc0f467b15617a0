"""Our SVG drawn by four renderers of others, against our own PNG and against exact areas.

resvg (resvg_py), CairoSVG, librsvg (rsvg-convert) and Chromium draw the same file. What they cover
is compared with areas from closed forms, from Green's theorem (`Path.area`) and from shapely.
"""

from __future__ import annotations

import io
import json
import math
import subprocess
from collections.abc import Callable
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from shapely import LinearRing, MultiPolygon, contains_xy, unary_union
from shapely import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry
from shapely.ops import polygonize

from letterer.api import compose
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, polygon
from letterer.ink.outline import oval_outline
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import PageFormat
from letterer.model.script_reader import parse_script
from letterer.out.raster import draw_page
from letterer.out.svg import svg_page
from letterer.page.lettered import LetteredPage, PlacedUnit

Pixels = NDArray[np.float64]
Render = Callable[..., Pixels]

DPI = 576
"""For pages. Where an area is to be met to a half of a square point, twice that: renderers draw
curves as chords that stray by up to a tenth of a pixel."""

CHROMIUM = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    "--default-background-color=00000000",
)


def pixels_of(png: bytes) -> Pixels:
    """A PNG as red, green, blue, alpha from 0 to 1."""
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGBA"), dtype=np.float64) / 255


@pytest.fixture(scope="module")
def renderers(
    reference_tool: Callable[[str], str],
    reference_module: Callable[[str], ModuleType],
    tmp_path_factory: pytest.TempPathFactory,
) -> dict[str, Render]:
    """Each renderer by name: it draws an SVG of so many inches at a dpi."""

    def resvg(svg: str, inches: int, dpi: int = DPI) -> Pixels:
        # It measures pt only when it is told how many px make an inch.
        made = reference_module("resvg_py").svg_to_bytes(svg_string=svg, dpi=96.0, zoom=dpi / 96)
        return pixels_of(bytes(made))

    def cairosvg(svg: str, inches: int, dpi: int = DPI) -> Pixels:
        made = reference_module("cairosvg").svg2png(svg.encode(), output_width=inches * dpi)
        return pixels_of(made)

    def librsvg(svg: str, inches: int, dpi: int = DPI) -> Pixels:
        command = [reference_tool("rsvg-convert"), "-w", str(inches * dpi)]
        done = subprocess.run(command, input=svg.encode(), capture_output=True, check=True)
        return pixels_of(done.stdout)

    def chromium(svg: str, inches: int, dpi: int = DPI) -> Pixels:
        folder = tmp_path_factory.mktemp("chromium")
        (folder / "page.svg").write_text(svg, "utf-8")
        subprocess.run(
            [
                reference_tool("chromium"),
                *CHROMIUM,
                f"--user-data-dir={folder / 'profile'}",
                f"--force-device-scale-factor={dpi / 96:g}",
                f"--window-size={inches * 96},{inches * 96}",
                f"--screenshot={folder / 'page.png'}",
                (folder / "page.svg").as_uri(),
            ],
            capture_output=True,
            check=True,
        )
        return pixels_of((folder / "page.png").read_bytes())

    return {"resvg": resvg, "CairoSVG": cairosvg, "librsvg": librsvg, "Chromium": chromium}


NAMES = ["resvg", "CairoSVG", "librsvg", "Chromium"]


def covered(pixels: Pixels, dpi: int = DPI) -> float:
    """How much is covered, in square points."""
    return float(pixels[..., 3].sum()) * (72 / dpi) ** 2


def darkness(pixels: Pixels) -> float:
    """How much is black when it lies on white, in square points."""
    light = pixels[..., 0] * pixels[..., 3] + 1 - pixels[..., 3]
    return float((1 - light).sum()) * (72 / DPI) ** 2


def ours(page: LetteredPage, dpi: int = DPI) -> Pixels:
    """The page drawn by our own writer, as `pixels_of`."""
    return draw_page(page, dpi).astype(np.float64) / 255


# --- A shape whose area is known ------------------------------------------------------------------

ELLIPSE = Oval(Point(72.3, 50.7), 30, 20, 2.0)
TRIANGLE = polygon((Point(20, 100), Point(30, 100), Point(22, 110)))
EXACT = math.pi * 30 * 20 + 10 * 10 / 2  # 1934.956


@pytest.fixture(scope="module")
def known() -> LetteredPage:
    """An ellipse and a triangle on a page of two inches."""
    path = oval_outline(ELLIPSE) + TRIANGLE
    box = path.box()
    assert box is not None
    unit = PlacedUnit(
        "1.1.1", "speech", "", "", 1, 1, (), (), box, box, "#000000", outline=path, fill="#000000"
    )
    page = Box(0, 0, 144, 144)
    return LetteredPage(1, PageFormat(page, page, page), (unit,))


def test_the_exact_area() -> None:
    path = oval_outline(ELLIPSE) + TRIANGLE
    assert round(EXACT, 3) == 1934.956
    assert abs(path.area()) == pytest.approx(EXACT, abs=0.01)
    assert shape_of(path).area == pytest.approx(EXACT, abs=0.12)


def test_our_own_png_covers_the_exact_area(known: LetteredPage) -> None:
    assert covered(ours(known, 1200), 1200) == pytest.approx(EXACT, abs=0.5)


@pytest.mark.parametrize("name", NAMES)
def test_every_renderer_covers_the_exact_area(
    name: str, known: LetteredPage, renderers: dict[str, Render]
) -> None:
    pixels = renderers[name](svg_page(known), 2, 1200)
    assert pixels.shape[:2] == (2400, 2400)
    assert covered(pixels, 1200) == pytest.approx(EXACT, abs=0.5)


# --- A lettered page ------------------------------------------------------------------------------

SCRIPT = """\
PAGE 1
PANEL 1
NELL: Of course I'm *sure*. I counted them twice.
TOM (whisper): Sssh... not so loud.
CAPTION (place): Low Harbour.
TOM: We're right here!
SFX: Krrang!
NELL (open): Wait for me!
"""


@pytest.fixture(scope="module")
def lettered() -> LetteredPage:
    """A page of four inches with every kind of unit, none of which touches another."""
    layout: dict[str, Any] = {
        "letterer": 1,
        "unit": "pt",
        "page": {"trim": [270, 270], "bleed": 9, "live": 9},
        "pages": [
            {
                "page": 1,
                "panels": [
                    {
                        "panel": 1,
                        "box": [9, 9, 252, 252],
                        "mouths": {"NELL": [60, 140], "TOM": [190, 150]},
                    }
                ],
                "placements": [
                    {"unit": "1.1.1", "center": [70, 70]},
                    {"unit": "1.1.2", "center": [190, 90]},
                    {"unit": "1.1.3", "corner": "top right"},
                    {"unit": "1.1.4", "center": [140, 170], "tails": [[90, 210], [190, 220]]},
                    {"unit": "1.1.5", "box": [10, 215, 110, 45]},
                    {"unit": "1.1.6", "center": [200, 240]},
                ],
            }
        ],
    }
    page = compose(parse_script(SCRIPT), parse_layout(json.dumps(layout))).pages[0]
    for index, unit in enumerate(page.units):
        assert not any(unit.box.meets(other.box) for other in page.units[index + 1 :])
    return page


def shape_of(path: Path) -> BaseGeometry:
    """A path as shapely sees it, filled by the nonzero rule as SVG does by default.

    The letters' strokes run over themselves, so each face between the lines is looked at.
    """
    rings = [np.array(ring) for ring in path.flattened(0.001)]
    faces = polygonize(unary_union([LinearRing(ring) for ring in rings]))
    return unary_union([face for face in faces if winding(rings, face.representative_point())])


def winding(rings: list[Pixels], at: ShapelyPoint) -> int:
    """How often the rings go round a point."""
    turns = 0
    for ring in rings:
        begin, end = ring[:-1] - (at.x, at.y), ring[1:] - (at.x, at.y)
        left = begin[:, 0] * end[:, 1] - begin[:, 1] * end[:, 0]
        turns += int(((begin[:, 1] <= 0) & (end[:, 1] > 0) & (left > 0)).sum())
        turns -= int(((begin[:, 1] > 0) & (end[:, 1] <= 0) & (left < 0)).sum())
    return turns


def exact_cover(unit: PlacedUnit) -> BaseGeometry:
    """All that a unit covers: its outline with its line, or its words with their halo."""
    if unit.outline:
        assert unit.stroke is not None and unit.stroke.dash is None
        return shape_of(unit.outline).buffer(unit.stroke.width / 2, quad_segs=32)
    assert unit.halo is not None
    return unary_union(
        [shape_of(line).buffer(unit.halo.width / 2, quad_segs=32) for line in unit.lines]
    )


def exact_dark(unit: PlacedUnit) -> BaseGeometry:
    """All that is black of a unit: its line and its words."""
    words = unary_union([shape_of(line) for line in unit.lines])
    if not unit.outline:
        return words
    assert unit.stroke is not None
    line = shape_of(unit.outline).boundary.buffer(unit.stroke.width / 2, quad_segs=32)
    return unary_union([words, line])


def without(page: LetteredPage, *kinds: str) -> LetteredPage:
    """The page without the units of some kinds."""
    units = tuple(unit for unit in page.units if unit.kind not in kinds)
    return LetteredPage(page.number, page.format, units)


def test_our_own_png_covers_what_shapely_says(lettered: LetteredPage) -> None:
    page = without(lettered, "whisper")
    pixels = ours(page)
    cover = sum(exact_cover(unit).area for unit in page.units)
    dark = sum(exact_dark(unit).area for unit in page.units)
    assert covered(pixels) == pytest.approx(cover, rel=0.001)
    assert darkness(pixels) == pytest.approx(dark, rel=0.003)


@pytest.mark.parametrize("name", NAMES)
def test_every_renderer_covers_what_shapely_says(
    name: str, lettered: LetteredPage, renderers: dict[str, Render]
) -> None:
    page = without(lettered, "whisper")
    pixels = renderers[name](svg_page(page), 4)
    cover = sum(exact_cover(unit).area for unit in page.units)
    dark = sum(exact_dark(unit).area for unit in page.units)
    assert covered(pixels) == pytest.approx(cover, rel=0.001)
    assert darkness(pixels) == pytest.approx(dark, rel=0.003)


@pytest.mark.parametrize("name", NAMES)
def test_every_renderer_draws_what_our_png_shows(
    name: str, lettered: LetteredPage, renderers: dict[str, Render]
) -> None:
    theirs, own = renderers[name](svg_page(lettered), 4), ours(lettered)
    assert theirs.shape == own.shape
    assert covered(theirs) == pytest.approx(covered(own), rel=0.001)
    assert darkness(theirs) == pytest.approx(darkness(own), rel=0.003)
    # And in the same places: laid over mid-grey and looked at in blocks of two points.
    blocks = [
        (pixels[..., 0] * pixels[..., 3] + 0.5 * (1 - pixels[..., 3]))
        .reshape(144, 16, 144, 16)
        .mean(axis=(1, 3))
        for pixels in (theirs, own)
    ]
    assert np.abs(blocks[0] - blocks[1]).max() < 0.03


def halo_alpha(pixels: Pixels, page: LetteredPage) -> NDArray[np.float64]:
    """Alpha of every pixel that lies within a halo, clear of its edge."""
    (unit,) = page.units
    inner = exact_cover(unit).buffer(-0.3)
    rows, columns = np.indices(pixels.shape[:2])
    left, top, scale = page.format.bleed.left, page.format.bleed.top, 72 / DPI
    inside = contains_xy(inner, left + (columns + 0.5) * scale, top + (rows + 0.5) * scale)
    assert inside.sum() > 10_000
    found: NDArray[np.float64] = pixels[inside, 3]
    return found


@pytest.mark.parametrize("kind", ["open", "effect"])
def test_our_own_halo_has_no_hole(kind: str, lettered: LetteredPage) -> None:
    page = without(lettered, *({unit.kind for unit in lettered.units} - {kind}))
    assert halo_alpha(ours(page), page).min() > 0.99


@pytest.mark.parametrize("name", NAMES)
def test_no_renderer_leaves_a_hole_in_a_halo(
    name: str, lettered: LetteredPage, renderers: dict[str, Render]
) -> None:
    page = without(lettered, *({unit.kind for unit in lettered.units} - {"open"}))
    assert halo_alpha(renderers[name](svg_page(page), 4), page).min() > 0.99


def test_the_comparison_notices_a_lost_line(lettered: LetteredPage) -> None:
    whole, less = darkness(ours(lettered)), darkness(ours(without(lettered, "caption place")))
    assert less != pytest.approx(whole, rel=0.01)


def test_shapes_are_read_as_meant() -> None:
    ring = polygon((Point(0, 0), Point(9, 0), Point(9, 9), Point(0, 9)))
    hole = polygon((Point(3, 3), Point(3, 6), Point(6, 6), Point(6, 3)))
    assert shape_of(ring + hole).area == pytest.approx(72)
    assert shape_of(ring + ring.shifted(3, 0)).area == pytest.approx(108)  # one over the other
    assert isinstance(shape_of(ring + ring.shifted(20, 0)), MultiPolygon)
