"""Pages for the screen: pixels, colours, files, and where a long page is cut."""

from __future__ import annotations

import io
import itertools
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms

from letterer.errors import LettererError
from letterer.geometry import Box
from letterer.model.plan import Art, PageFormat
from letterer.out.raster import draw_page
from letterer.out.screen import Composite, composite, cuts, encoded
from letterer.page.lettered import LetteredPage


def bare(width: float, height: float) -> LetteredPage:
    """A page of so many points without anything on it."""
    trim = Box(0, 0, width, height)
    return LetteredPage(1, PageFormat(trim, trim, trim), ())


def test_a_page_is_its_trim_at_a_width(lettered: LetteredPage) -> None:
    made = composite(lettered, 600)  # a trim of 300 by 300 pt: 144 dots an inch
    assert made.picture.size == (600, 600) and made.profile is None
    whole = Image.fromarray(draw_page(lettered, 144), "RGBA")
    white = Image.alpha_composite(Image.new("RGBA", whole.size, "white"), whole).convert("RGB")
    wanted = np.asarray(white.crop((18, 18, 618, 618)), dtype=int)
    apart = np.abs(np.asarray(made.picture, dtype=int) - wanted)
    # Soft edges that the page's edge cuts elsewhere may be rounded otherwise.
    assert apart.max() <= 16 and (apart > 2).mean() < 1e-4


def test_art_lies_under_the_lettering_in_its_own_profile(
    lettered: LetteredPage, tmp_path: Path
) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    art = tmp_path / "art.png"
    Image.new("RGB", (30, 30), (200, 40, 40)).save(art, icc_profile=profile)
    page = replace(lettered, art=Art(art, Box(0, 0, 150, 300)))
    made = composite(page, 300)
    assert made.picture.getpixel((5, 150)) == (200, 40, 40)
    assert made.picture.getpixel((295, 150)) == (255, 255, 255)
    for kind in ("png", "jpeg", "webp"):
        saved = Image.open(io.BytesIO(encoded(made, kind)))
        assert saved.info["icc_profile"] == profile
        assert saved.size == (300, 300)
        shown = np.asarray(saved.convert("RGB"), dtype=int)[150, 5]
        assert np.abs(shown - (200, 40, 40)).max() <= (0 if kind == "png" else 6)


def test_art_in_inks_is_turned_into_colours_by_its_profile(
    lettered: LetteredPage, tmp_path: Path
) -> None:
    art = tmp_path / "art.tif"
    Image.new("CMYK", (30, 30), (0, 255, 255, 0)).save(art)
    red = composite(replace(lettered, art=Art(art, Box(0, 0, 300, 300)), units=()), 300)
    assert red.picture.getpixel((150, 150)) == (255, 0, 0)
    assert red.profile is None


def test_a_page_of_greys_is_saved_as_grey(lettered: LetteredPage) -> None:
    made = composite(lettered, 300)
    assert Image.open(io.BytesIO(encoded(made, "png"))).mode == "L"
    assert Image.open(io.BytesIO(encoded(made, "jpeg"))).mode == "L"


def test_the_same_page_gives_the_same_bytes(lettered: LetteredPage) -> None:
    for kind in ("png", "jpeg", "webp"):
        one, two = (encoded(composite(lettered, 300), kind) for _ in range(2))
        assert one == two


def test_what_a_kind_cannot_hold_is_refused() -> None:
    made = Composite(Image.new("RGB", (10, 16_384)), None)
    assert len(encoded(made, "png")) > 100
    with pytest.raises(LettererError, match=r"webp cannot hold 10 by 16384 pixels.*--cut"):
        encoded(made, "webp")
    with pytest.raises(LettererError, match=r"too large for memory\. Choose a smaller --width"):
        composite(bare(300, 90_000), 10_000)


PANELS = [Box(10, 10, 90, 110), Box(10, 120, 90, 250), Box(10, 270, 90, 400)]


def rows(height: float, panels: list[Box], most: int) -> list[int]:
    page = bare(100, height)
    return [cut.row for cut in cuts(page, panels, composite(page, 100), most)]


def test_a_page_is_cut_in_the_middle_of_its_gutters() -> None:
    assert rows(410, PANELS, 500) == []
    assert rows(410, PANELS, 260) == [255]  # the gutter goes on, but not the height
    assert rows(410, PANELS, 300) == [260]
    assert rows(410, PANELS, 200) == [115, 260]


def test_a_unit_in_the_gutter_is_not_cut(lettered: LetteredPage) -> None:
    unit = lettered.units[0]
    page = replace(bare(300, 800), units=(unit.shifted(0, 400 - unit.box.center.y),))
    panels = [Box(0, 0, 300, 390), Box(0, 410, 300, 800)]
    found = cuts(page, panels, composite(page, 300), 500)
    assert len(found) == 1 and found[0].through
    assert "unit 1.1.1" not in found[0].through
    free = cuts(replace(page, units=()), panels, composite(page, 300), 500)
    assert free[0].row == 400 and not free[0].through


def test_without_a_gutter_a_page_is_cut_where_it_is_quiet() -> None:
    page = bare(100, 400)
    made = composite(page, 100)
    noise = np.random.default_rng(5).integers(0, 255, (400, 100, 3), dtype=np.uint8)
    noise[150:154] = 90
    made = replace(made, picture=Image.fromarray(noise))
    (first, *_) = cuts(page, [Box(0, 0, 100, 400)], made, 200)
    assert 150 < first.row < 154
    assert first.through == ("panel 1",)


@given(
    st.lists(st.tuples(st.floats(0, 900), st.floats(1, 300)), max_size=6),
    st.integers(200, 700),
    st.integers(300, 1000),
)
def test_cuts_make_pieces_no_higher_than_allowed(
    spans: list[tuple[float, float]], most: int, height: int
) -> None:
    page = bare(20, height)
    panels = [Box(0, top, 20, top + high) for top, high in spans]
    found = cuts(page, panels, composite(page, 20), most)
    edges = [0, *(cut.row for cut in found), height]
    assert all(0 < two - one <= most for one, two in itertools.pairwise(edges))
    for cut in found:
        crossed = [panel for panel in panels if panel.top < cut.row < panel.bottom]
        assert len(crossed) == len(cut.through)
