"""Every word inside its outline with its air, by shapely, on the outline as it is drawn.

The outline is the final path, with the hand's waver and the tail, made of short lines; the ink is
the box of every glyph. Units go the whole way through the page, so that nothing is left out.
"""

from __future__ import annotations

import functools
from pathlib import Path as FilePath

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, rectangle
from letterer.model.plan import (
    Center,
    Layout,
    Measure,
    PageFormat,
    PagePlan,
    PanelPlan,
    Placement,
    Reading,
)
from letterer.model.script import CaptionKind, Page, Panel, Role, Run, Unit
from letterer.model.style import Style
from letterer.page.compose import compose_page
from letterer.page.lettered import PlacedUnit
from letterer.text.faces import Cut, FaceLibrary

SIZES = (craft.SIZE_FLOOR, craft.SIZE_USUAL, craft.SIZE_LARGE)
SLACK = 0.01
PAGE_BOX = Box(0, 0, 2000, 2000)
MOUTHS = ((0, 90), (60, 70), (-80, 60), (120, 10), (-40, -75), (15, 140))


@functools.cache
def faces() -> FaceLibrary:
    return FaceLibrary()


def sentences(kind: str) -> list[str]:
    file = FilePath(__file__).parent.parent / "golden" / "lines" / f"{kind}.txt"
    return [line[2:] for line in file.read_text("utf-8").splitlines() if line.startswith("> ")]


def runs(text: str) -> tuple[Run, ...]:
    parts = enumerate(text.split("*"))
    return tuple(Run(part, emphasis=bool(at % 2)) for at, part in parts if part)


def composed(kind: str, style: Style, each: int = 1) -> tuple[PlacedUnit, ...]:
    """Every sentence as a balloon with a tail, or as a caption, on one very large page.

    `each` is how many sentences to go on by.
    """
    units, placements = [], []
    for number, text in enumerate(sentences(kind)[::each], 1):
        role = Role.SPEECH if kind == "balloons" else Role.CAPTION
        caption = None if role is Role.SPEECH else CaptionKind.PLACE
        units.append(Unit(1, 1, number, role, runs(text), speaker="Ada", caption=caption))
        middle = Point(200 + number % 6 * 300, 100 + number // 6 * 180)
        dx, dy = MOUTHS[number % len(MOUTHS)]
        tails = (middle.shifted(dx, dy),) if role is Role.SPEECH else None
        placements.append(Placement(f"1.1.{number}", Center(middle), tails=tails))
    panel = PanelPlan(1, rectangle(PAGE_BOX), PAGE_BOX)
    layout = Layout(
        PageFormat(PAGE_BOX, PAGE_BOX, PAGE_BOX),
        Measure("pt"),
        Reading.LEFT_TO_RIGHT,
        "en",
        style,
        (PagePlan(1, panels=(panel,), placements=tuple(placements)),),
    )
    return compose_page(Page(1, (Panel(1, tuple(units)),)), layout, faces()).units


def glyph_boxes(unit: PlacedUnit) -> NDArray[np.object_]:
    """A box round every contour of the words' outlines: finer than one round every glyph."""
    boxes = [contour.box() for line in unit.lines for contour in line.contours()]
    return np.array([shapely.box(*box) for box in boxes if box is not None])


def air_of(shape: shapely.Polygon, boxes: NDArray[np.object_], style: Style) -> float:
    """From the ink to the border's inner edge, which lies half its weight inside the path."""
    return float(shapely.distance(shape.exterior, boxes).min()) - style.border / 2


def drawn(outline: Path) -> shapely.Polygon:
    (line,) = outline.flattened(3e-3)
    return shapely.Polygon(line)


def cap_height(unit: PlacedUnit, style: Style) -> float:
    return faces().face(style.text, Cut()).cap_height * unit.size


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("kind", ["balloons", "captions"])
def test_every_word_is_inside_with_its_air(kind: str, size: float) -> None:
    style = Style().with_changes({"size": size})
    units = composed(kind, style)
    assert len(units) == len(sentences(kind)) >= 10
    share = style.air if kind == "balloons" else style.caption_padding
    tightest = []
    for unit in units:
        assert unit.outline is not None and unit.size == size
        shape = drawn(unit.outline)
        assert shape.is_valid, unit.words
        boxes = glyph_boxes(unit)
        assert shapely.contains(shape, boxes).all(), unit.words
        air = air_of(shape, boxes, style)
        demanded = share * cap_height(unit, style)
        assert air >= demanded - SLACK, f"{unit.words!r}: {air:.3f} of {demanded:.3f} pt"
        # What a balloon is larger than it must, to have its words in the middle: half-widths grow
        # with the root of the area.
        wide = unit.shape.a if isinstance(unit.shape, Oval) else 0.0
        tightest.append(air - demanded - wide * (1 - (1 + craft.CENTRING_SHARE) ** -0.5))
    # And not by being too large: the outline is as tight as the hand's waver allows.
    assert max(tightest) < 2 * style.hand + 0.25, "looser than the ink asks for"


@pytest.mark.parametrize(
    "changes",
    [
        {"hand": 0.0},
        {"hand": 0.5, "border": 1.5},
        {"exponent": 2.0, "air": 0.5},
        {"exponent": 3.0, "air": 1.2},
        {"leading": 1.3},
        {"text": "Comic Neue"},
    ],
    ids=str,
)
def test_other_house_styles_keep_their_air(changes: dict[str, object]) -> None:
    style = Style().with_changes(changes)
    for unit in composed("balloons", style, 3):
        assert unit.outline is not None
        shape = drawn(unit.outline)
        air = air_of(shape, glyph_boxes(unit), style)
        demanded = style.air * cap_height(unit, style)
        assert shape.is_valid
        assert air >= demanded - SLACK, f"{unit.words!r}: {air:.3f} of {demanded:.3f} pt"


def test_every_balloon_here_has_its_tail() -> None:
    for unit in composed("balloons", Style()):
        assert len(unit.tails) == 1, unit.words
        assert unit.outline is not None and len(list(unit.outline.contours())) == 1
