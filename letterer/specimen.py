"""A specimen: every kind of balloon, tail, caption and sound effect on one sheet, in any style.

The sheet is lettered like any page, from a script and a layout of our own under shared/specimen;
each unit says what it is. Small heads stand where the mouths are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from letterer.errors import Fault, LettererError
from letterer.geometry import Box, Point, polygon, rectangle
from letterer.geometry import Path as Outline
from letterer.model.layout_reader import read_layout
from letterer.model.plan import Layout, PagePlan
from letterer.model.script_reader import read_script
from letterer.model.style import (
    USUAL_STYLE,
    Style,
    is_style_path,
    named_style,
    read_style,
    unknown_style,
)
from letterer.out.files import check_file, check_folder, make_folder, write_whole
from letterer.out.labels import lined, written
from letterer.out.png import encode_png
from letterer.out.raster import composed
from letterer.out.svg import svg_page
from letterer.page.compose import compose_page
from letterer.page.lettered import LetteredPage, PlacedUnit, Stroke
from letterer.resources import shared_folder
from letterer.text.faces import FaceLibrary, library

DPI = 200
"""Resolution of a specimen as PNG: sharp on a screen, and small enough to send."""

HEAD, NECK = 11.0, 7.0
"""Height of a head beside a mouth, and how far its middle lies from it, in points."""

HEAD_LINE = Stroke(0.5, "#8a8f98")
FRAME_LINE = Stroke(0.4, "#c4c8cf")
TITLE_AT, TITLE_SIZE, NOTE_SIZE = Point(17.0, 32.0), 15.0, 7.5


def specimen_page(style: Style, fonts: Sequence[Path] = ()) -> LetteredPage:
    """The specimen in a style, as a lettered page with its heading, frames and heads."""
    folder = shared_folder() / "specimen"
    script = read_script(folder / "script.txt")
    layout = read_layout(folder / "layout.json")
    # What the layout says of single units stays as it is: a look laid over any style.
    layout = replace(layout, style=style)
    faces = library(tuple(fonts))
    page = compose_page(script.pages[0], layout, faces)
    return replace(page, units=(*_ground(layout, faces), *page.units))


def draw_specimen(style: str, target: str | Path, fonts: Sequence[Path] = ()) -> LetteredPage:
    """Draw the specimen of a style, by its name or its file, into a .svg or .png file.

    Raises LettererError; the file is written whole or not at all.
    """
    path = Path(target)
    if path.suffix.lower() not in (".svg", ".png"):
        raise LettererError(
            Fault(f'a specimen is drawn as .svg or .png, not as "{path.suffix}"', "", str(path))
        )
    found = chosen_style(style)
    check_folder(path.parent)
    if path.parent.is_dir():
        check_file(path)
    page = specimen_page(found, fonts)
    if path.suffix.lower() == ".svg":
        data = svg_page(page, title=f"Specimen of {found.name}").encode()
    else:
        data = encode_png(composed(page, DPI, ()), DPI)
    make_folder(path.parent)
    write_whole(path, data)
    return page


def chosen_style(style: str) -> Style:
    """A style by its name or the path of its file. Raises LettererError."""
    if not is_style_path(style):
        return named_style(style)
    path = Path(style)
    if not path.is_file():
        what, mend = unknown_style(style)
        raise LettererError(Fault(f"there is no style file '{style}'" if mend else what, mend))
    return read_style(path)


def _ground(layout: Layout, faces: FaceLibrary) -> list[PlacedUnit]:
    """What lies under the units: the heading, the panels' frames, a head at each mouth."""
    style, plan = layout.style, layout.pages[0]
    found = [written(style.name, TITLE_AT, TITLE_SIZE, faces, bold=True)]
    if style.note:
        below = TITLE_AT.shifted(0, NOTE_SIZE * 1.7)
        found.append(written(style.note, below, NOTE_SIZE, faces))
    return [*found, *_frames(plan), *_heads(plan)]


def _frames(plan: PagePlan) -> list[PlacedUnit]:
    return [
        lined("frame", f"panel {panel.number}", rectangle(panel.box), FRAME_LINE)
        for panel in plan.panels
    ]


def _heads(plan: PagePlan) -> list[PlacedUnit]:
    """A head at each mouth, which looks toward the middle of its panel."""
    drawn: list[PlacedUnit] = []
    for panel in plan.panels:
        for name, mouth in panel.mouths.items():
            side = 1.0 if mouth.x > panel.box.center.x else -1.0
            drawn.append(lined("head", name, _head(mouth, side), HEAD_LINE))
    return drawn


def _head(mouth: Point, side: float) -> Outline:
    """An egg of a head with an eye, its mouth a short stroke where the tail aims."""
    middle = mouth.shifted(side * HEAD * 0.32, -HEAD * 0.24)
    steps = [2 * math.pi * step / 32 for step in range(32)]
    egg = [
        middle.shifted(
            HEAD * 0.5 * math.cos(t), HEAD * (0.62 if t > math.pi else 0.56) * math.sin(t)
        )
        for t in steps
    ]
    eye = middle.shifted(-side * HEAD * 0.2, -HEAD * 0.12)
    dot = rectangle(Box(eye.x - 0.4, eye.y - 0.7, eye.x + 0.4, eye.y + 0.7))
    lips = polygon((mouth, mouth.shifted(side * HEAD * 0.22, 0.0)))
    return polygon(egg) + dot + lips


__all__ = ["USUAL_STYLE", "chosen_style", "draw_specimen", "specimen_page"]
