"""Panels found in drawn pages: slanted gutters, figures that break out, black gutters, none."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from letterer.api import read_layout
from letterer.geometry import Box
from letterer.place.found import Found, panels_in

PIXELS = 2.0
"""Pixels a point in the drawn pages."""

PAGE = Box(0.0, 0.0, 400.0, 600.0)
NEAR = 1.75
"""0.6 mm, in points: under half a border's width."""

Corners = list[tuple[float, float]]


def drawn(panels: list[Corners], line: float = 1.6, dark: bool = False) -> Any:
    """A page with ruled panels, each with some art in it: grey shapes and lines."""
    scale = PIXELS
    size = (round(PAGE.width * scale), round(PAGE.height * scale))
    image = Image.new("L", size, 20 if dark else 255)
    pen = ImageDraw.Draw(image)
    for place, corners in enumerate(panels):
        points = [(x * scale, y * scale) for x, y in corners]
        pen.polygon(points, fill=235 - 30 * (place % 3) if not dark else 200)
        middle = (sum(x for x, _ in points) / 4, sum(y for _, y in points) / 4)
        pen.ellipse([middle[0] - 30, middle[1] - 40, middle[0] + 30, middle[1] + 40], fill=60)
        pen.line([*points, points[0]], fill=0, width=round(line * scale), joint="curve")
    return image


def off(found: Found, corners: Corners) -> float:
    """How far the farthest corner of a panel is from where it was drawn."""
    got = [at for _, points in found.shape.segments for at in points]
    return max(min(math.dist(at, corner) for at in got) for corner in corners)


def rows_of(cuts: list[list[float]], slants: list[float]) -> list[Corners]:
    """Panels in rows of equal height; upright gutters at shares of the width, each slanted."""
    high = (PAGE.height - 40 - 8 * (len(cuts) - 1)) / len(cuts)
    panels: list[Corners] = []
    for row, shares in enumerate(cuts):
        top = 20 + row * (high + 8)
        sides = [(20.0, 20.0)]
        for place, share in enumerate(shares):
            x = 20 + share * (PAGE.width - 40)
            lean = slants[(row + place) % len(slants)]
            sides.append((x + lean, x - lean))
        sides.append((PAGE.width - 20, PAGE.width - 20))
        for place in range(len(sides) - 1):
            first, last = place == 0, place == len(sides) - 2
            left = [x + (0 if first else 4) for x in sides[place]]
            right = [x - (0 if last else 4) for x in sides[place + 1]]
            panels.append(
                [(left[0], top), (right[0], top), (right[1], top + high), (left[1], top + high)]
            )
    return panels


@settings(max_examples=15)
@given(
    st.lists(st.sampled_from([[], [0.5], [0.35], [0.66], [0.3, 0.62]]), min_size=1, max_size=3),
    st.lists(st.sampled_from([0.0, 6.0, -9.0, 14.0]), min_size=1, max_size=3),
)
def test_ruled_panels_are_found_where_they_were_drawn(
    cuts: list[list[float]], slants: list[float]
) -> None:
    panels = rows_of(cuts, slants)
    found = panels_in(drawn(panels), PAGE, PAGE)
    if len(panels) == 1:
        assert found == ()
        return
    assert len(found) == len(panels)
    for one, corners in zip(found, panels, strict=True):
        assert off(one, corners) < NEAR


def test_the_panels_of_the_demo_are_found_in_its_art(repository: Path) -> None:
    layout = read_layout(repository / "shared" / "demo" / "layout.json")
    for page in layout:
        assert page.art is not None
        with Image.open(page.art.file) as art:
            found = panels_in(art, page.art.box, layout.format.bleed, len(page.panels))
        assert len(found) == len(page.panels)
        for panel in page.panels:
            corners = [(at.x, at.y) for _, points in panel.shape.segments for at in points]
            assert min(off(one, corners) for one in found) < NEAR


def test_a_figure_may_break_out_over_a_gutter() -> None:
    panels = rows_of([[0.5], [0.4]], [0.0])
    art = drawn(panels)
    ImageDraw.Draw(art).ellipse([300, 560, 380, 640], fill=90)
    found = panels_in(art, PAGE, PAGE)
    assert len(found) == 4 and all(off(*pair) < NEAR for pair in zip(found, panels, strict=True))


def test_black_gutters_are_found_where_white_ones_are_not() -> None:
    panels = rows_of([[0.5], [0.4]], [0.0])
    found = panels_in(drawn(panels, dark=True), PAGE, PAGE, 4)
    assert len(found) == 4 and all(off(*pair) < NEAR for pair in zip(found, panels, strict=True))


@pytest.mark.parametrize("shade", [255, 128, 0])
def test_a_page_without_gutters_has_no_panels_to_be_found(shade: int) -> None:
    assert panels_in(Image.new("L", (800, 1200), shade), PAGE, PAGE) == ()


def test_a_white_sky_is_no_gutter() -> None:
    art = drawn([[(20, 20), (380, 20), (380, 580), (20, 580)]])
    ImageDraw.Draw(art).rectangle([44, 200, 756, 230], fill=255)
    assert panels_in(art, PAGE, PAGE) == ()


def test_art_may_be_transparent_or_in_colour() -> None:
    panels = rows_of([[0.5]], [0.0])
    ink = drawn(panels).point(lambda value: 255 - value)
    clear = Image.new("RGBA", ink.size, (0, 0, 0, 0))
    clear.putalpha(ink)
    assert len(panels_in(clear, PAGE, PAGE)) == 2
    assert len(panels_in(drawn(panels).convert("CMYK"), PAGE, PAGE)) == 2
