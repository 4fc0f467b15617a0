"""A page drawn in tiles is the page drawn at once, bit for bit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
import skia
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from letterer.geometry import Box, Path, Point, Segment, polygon
from letterer.model.script import Run
from letterer.out.canvas import PaintedUnit, PixelBox, Raster, draw_unit, painted_units, skia_path
from letterer.out.raster import draw_page, pixel_size
from letterer.out.steps import GRID, OFF, in_steps, letters_in_steps, outline_of
from letterer.out.tiles import COLOUR, GREY, strips, tiles_of
from letterer.page.lettered import Layer, LetteredPage, PlacedUnit, Stroke
from letterer.text.faces import library
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import dress

Pixels = NDArray[np.uint8]

# Shrinking a page of curves takes minutes; the first page that differs says enough.
PAGES = settings(max_examples=45, phases=[Phase.explicit, Phase.reuse, Phase.generate])


def unit(*layers: Layer, clip: Path | None = None) -> PlacedUnit:
    """A unit that draws these layers."""
    box = Box(0, 0, 1, 1)
    return PlacedUnit(
        "1.1.1", "effect", "", "", 1, 9.0, (), (), box, box, "#000000", extras=layers, clip=clip
    )


def painted(units: Sequence[PlacedUnit], size: tuple[int, int], dpi: float) -> list[PaintedUnit]:
    """Units in pixels of a page that begins at its corner."""
    return painted_units(skia, units, Raster(dpi / 72, 0.0, 0.0, *size))


def at_once(units: Sequence[PaintedUnit], size: tuple[int, int]) -> Any:
    """The whole page drawn by Skia on one canvas: premultiplied red, green, blue, alpha."""
    width, height = size
    pixels = np.zeros((height, width, 4), dtype=np.uint8)
    info = skia.ImageInfo.Make(
        width, height, skia.ColorType.kRGBA_8888_ColorType, skia.AlphaType.kPremul_AlphaType
    )
    with skia.Surface.MakeRasterDirect(info, pixels, width * 4) as canvas:
        for one in units:
            draw_unit(skia, canvas, one, 0, 0)
    return pixels


def as_stored(pixels: Any) -> Any:
    """Premultiplied pixels with their true colours, as PNG stores them (12.4 of its specification
    asks for the nearest value)."""
    alpha = pixels[..., 3:].astype(int)
    true = (pixels[..., :3].astype(int) * 255 + alpha // 2) // np.maximum(alpha, 1)
    return np.concatenate([np.minimum(true, 255), alpha], axis=2).astype(np.uint8)


def in_tiles(units: Sequence[PaintedUnit], size: tuple[int, int], channels: int) -> Any:
    """The rows of all strips, without their filters' bytes."""
    made = [strip.copy() for strip in strips(skia, tiles_of(units), size, channels)]
    rows = np.concatenate(made)
    assert not rows[:, 0].any()
    return rows[:, 1:].reshape(size[1], size[0], channels)


numbers = st.floats(-40, 340, width=32)
points = st.builds(Point, numbers, numbers)


@st.composite
def paths(draw: st.DrawFn) -> Path:
    """Contours of all kinds of segments near a middle, some of them beyond the page."""
    x, y = draw(numbers), draw(numbers)
    reach = draw(st.sampled_from([0.4, 3.0, 25.0, 120.0]))
    near = st.builds(
        lambda dx, dy: Point(x + dx * reach, y + dy * reach),
        st.floats(-1, 1, width=32),
        st.floats(-1, 1, width=32),
    )
    segments = [Segment("M", (draw(near),))]
    for verb, count in draw(
        st.lists(st.sampled_from([("L", 1), ("Q", 2), ("C", 3)]), min_size=2, max_size=8)
    ):
        segments.append(Segment(verb, tuple(draw(near) for _ in range(count))))
    return Path((*segments, Segment("Z")))


greys = st.sampled_from(["#000000", "#ffffff", "#777777"])
colours = st.sampled_from(["#000000", "#ffffff", "#c81e1e", "#123456"])
strokes = st.builds(
    Stroke, st.floats(0.2, 4), st.just("#000000"), st.sampled_from([None, (3.0, 2.0)])
)


def layers(colors: st.SearchStrategy[str]) -> st.SearchStrategy[Layer]:
    """Layers that are filled, lined or both."""
    return st.builds(Layer, st.just("outline"), paths(), colors, st.none() | strokes)


def units(colors: st.SearchStrategy[str]) -> st.SearchStrategy[list[PlacedUnit]]:
    """A few units, some cut by a clip, some over one another."""
    one = st.builds(
        lambda drawn, clip: unit(*drawn, clip=clip),
        st.lists(layers(colors), min_size=1, max_size=3),
        st.none() | paths(),
    )
    return st.lists(one, min_size=1, max_size=5)


@PAGES
@given(units(colours), st.sampled_from([72, 96, 150]))
def test_tiles_in_colour_are_the_page_drawn_at_once(drawn: list[PlacedUnit], dpi: int) -> None:
    size = (300 * dpi // 72, 310 * dpi // 72)
    made = painted(drawn, size, dpi)
    whole = as_stored(at_once(made, size))
    assert np.array_equal(in_tiles(made, size, COLOUR), whole)


@PAGES
@given(units(greys))
def test_tiles_in_grey_are_the_page_drawn_at_once(drawn: list[PlacedUnit]) -> None:
    size = (300, 310)
    made = painted(drawn, size, 72)
    whole = as_stored(at_once(made, size))
    assert all(one.grey for one in made)
    assert (whole[..., :3] == whole[..., :1]).all()
    assert np.array_equal(in_tiles(made, size, GREY), whole[..., [0, 3]])


@pytest.mark.parametrize("dpi", [72, 150, 301, 600])
def test_a_lettered_page_in_tiles_is_the_page_drawn_at_once(
    dpi: int, lettered: LetteredPage
) -> None:
    size = pixel_size(lettered, dpi)
    bleed = lettered.format.bleed
    made = painted_units(skia, lettered.units, Raster(dpi / 72, bleed.left, bleed.top, *size))
    assert len(tiles_of(made)) > 2
    assert np.array_equal(draw_page(lettered, dpi), as_stored(at_once(made, size)))


def boxed(left: int, top: int, right: int, bottom: int) -> PaintedUnit:
    """A unit that covers these pixels."""
    return PaintedUnit((), None, PixelBox(left, top, right, bottom))


def test_units_that_overlap_share_a_tile_also_by_way_of_others() -> None:
    alone, first, second, link = (
        boxed(0, 50, 10, 60),
        boxed(100, 0, 110, 10),
        boxed(118, 0, 130, 10),
        boxed(108, 5, 120, 30),
    )
    tiles = tiles_of([alone, first, second, link])
    assert [tile.units for tile in tiles] == [(first, second, link), (alone,)]
    assert tiles[0].box == (100, 0, 130, 30)
    touching = tiles_of([boxed(0, 0, 10, 10), boxed(10, 0, 20, 10)])
    assert len(touching) == 2


def test_nothing_of_a_unit_is_drawn_outside_its_box() -> None:
    square = polygon((Point(10.5, 10.5), Point(20, 10.5), Point(20, 20), Point(10.5, 20)))
    lined = unit(Layer("outline", square, None, Stroke(4.0, "#000000")))
    (made,) = painted([lined], (100, 100), 72)
    assert made.box == (7, 7, 23, 23)
    beyond = square.shifted(200, 0)
    assert painted([unit(Layer("outline", beyond, "#000000"))], (100, 100), 72) == []
    assert painted([unit(Layer("outline", square, "#000000"), clip=beyond)], (100, 100), 72) == []


def test_a_clip_far_larger_than_what_it_cuts_takes_no_larger_tile() -> None:
    panel = polygon((Point(0, 0), Point(300, 0), Point(300, 40), Point(0, 40)))
    square = polygon((Point(100, 30), Point(120, 30), Point(120, 50), Point(100, 50)))
    (made,) = painted([unit(Layer("outline", square, "#000000"), clip=panel)], (300, 310), 72)
    assert made.box.left >= 97 and made.box.right <= 123
    alpha = in_tiles([made], (300, 310), GREY)[..., 1]
    assert (alpha[30:40, 100:120] == 255).all()
    assert alpha.sum() == 255 * 10 * 20


@PAGES
@given(paths(), layers(greys))
def test_a_cropped_clip_cuts_as_the_whole_one_does(clip: Path, layer: Layer) -> None:
    size = (300, 310)
    (whole,) = in_steps([outline_of(clip)])
    for made in painted([unit(layer, clip=clip)], size, 72):
        cut = at_once([made], size).astype(int)
        uncut = at_once([made._replace(clip=whole)], size).astype(int)
        # Cut edges begin on the grid again: the odd soft pixel has a slightly other shade.
        assert ((np.abs(cut - uncut) > 24).any(axis=2)).mean() < 1e-3


@settings(max_examples=25)
@given(
    st.text("“HALT! ÖRE” ♪早", max_size=6),
    st.floats(3.0, 40.0),
    st.floats(0.5, 20.0),
    st.tuples(st.floats(-50, 500), st.floats(-50, 500)),
)
def test_letters_cut_once_a_size_are_cut_as_any_path_is(
    words: str, size: float, scale: float, place: tuple[float, float]
) -> None:
    shaper = Shaper(dress([Run(words, as_typed=True)]), Lettering(("Letterer Hand",)), library())
    line, corner = shaper.line(0, len(words)).path(size, Point(*place)), (-9.0, 3.5)
    whole = outline_of(Path(line.segments))
    (wanted,) = in_steps([whole._replace(points=(whole.points - corner) * scale)])
    drawn = letters_in_steps(line, scale, corner)
    assert drawn.verbs.tolist() == wanted.verbs.tolist()
    # The same places but for their last digits, which may fall to either side on the grid.
    apart = np.abs(drawn.points - wanted.points)
    assert apart.max(initial=0.0) <= 1 / GRID
    assert np.count_nonzero(apart) <= 0.01 * apart.size


def test_a_path_of_nothing_is_nothing_among_others() -> None:
    square = outline_of(polygon((Point(0, 0), Point(1, 0), Point(1, 1))))
    empty = outline_of(Path())
    made = in_steps([empty, square, empty, square])
    assert [(len(one.verbs), len(one.points)) for one in made] == [(0, 0), (4, 3)] * 2
    assert in_steps([empty])[0].verbs.size == 0


def test_steps_keep_within_their_distance_of_the_curve() -> None:
    curves = Path(
        (
            Segment("M", (Point(0, 0),)),
            Segment("Q", (Point(60, 0), Point(60, 80))),
            Segment("C", (Point(60, 200), Point(-90, 10), Point(-20, 40))),
            Segment("Z"),
        )
    )
    (stepped,) = in_steps([outline_of(curves)])
    straight = skia.Path()
    straight.addPath(skia_path(skia, stepped))
    at = np.linspace(0, 1, 4001)[:, None]
    a, b, c = (np.array(p) for p in ((0, 0), (60, 0), (60, 80)))
    quad = (1 - at) ** 2 * a + 2 * (1 - at) * at * b + at**2 * c
    d, e, f = (np.array(p) for p in ((60, 200), (-90, 10), (-20, 40)))
    near = 1 - at
    cubic = near**3 * c + 3 * near**2 * at * d + 3 * near * at**2 * e + at**3 * f
    true = np.concatenate([quad, cubic])
    ends = stepped.points
    along = ends[1:] - ends[:-1]
    away = true[:, None, :] - ends[None, :-1, :]
    share = np.clip((away * along).sum(2) / (along**2).sum(1), 0, 1)
    off = np.sqrt(((away - share[..., None] * along) ** 2).sum(2)).min(1).max()
    assert OFF / 4 < off < OFF + 0.003  # and half the diagonal of the grid
    assert len(ends) < 150
