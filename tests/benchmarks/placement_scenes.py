"""Scenes for the benchmark of placement: a page each, with panels, words, faces and line art.

The line art is either our own (hatching, figures and scribbles drawn with Pillow), or pictures of a
folder of SVG files, such as Debian's package `openclipart-svg`: the Open Clip Art Library, whose
pictures were dedicated to the public domain by those who drew them. Nothing of it is kept here.
"""

from __future__ import annotations

import io
import json
import math
import random
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageDraw

from letterer.geometry import Box
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Layout
from letterer.model.script import Script
from letterer.model.script_reader import parse_script
from letterer.place.ground import Picture

HERE = Path(__file__).resolve().parent
PIXELS = 2
"""Pixels a point of the drawn art."""

STORY = (
    "the a old harbour bell rings twice tonight and nobody listens so we wait here for rain then "
    "walk home slowly past the mill where lamps still burn because someone must keep watch until "
    "morning comes back over quiet hills with its carts geese bread smoke and every small noise "
    "that says yes no never perhaps look run stop what why who listen"
)
WORDS = STORY.split()
NAMES = ("ADA", "BRAM", "CLEO")
EFFECTS = ("CRACK", "THUD", "SPLOSH")


@dataclass
class Drawn:
    """One scene: a script and a layout of one page, with its art."""

    number: int
    script: Script
    layout: Layout
    picture: Picture


def sentence(chance: random.Random, least: int, most: int) -> str:
    """Some words of no meaning."""
    words = [chance.choice(WORDS) for _ in range(chance.randint(least, most))]
    return " ".join(words).capitalize() + chance.choice(".!?")


def scene(number: int, drawn_by: str, shelf: Shelf | None = None) -> Drawn:
    """The scene of a number, drawn by a chance; with pictures of a shelf, or with our own."""
    chance = random.Random(f"placement {drawn_by} {number}")
    width, height = 477.0, 738.0
    panels = _panels(chance, width, height)
    total = chance.randint(1, 8)
    image = Image.new("L", (round(width * PIXELS), round(height * PIXELS)), 255)
    pen = ImageDraw.Draw(image)
    shares = [0] * len(panels)
    for _ in range(total):
        shares[chance.randrange(len(panels))] += 1
    told, plans = ["PAGE 1"], []
    zones: list[dict[str, Any]] = []
    points: list[dict[str, Any]] = []
    for place, (box, count) in enumerate(zip(panels, shares, strict=True), 1):
        told.append(f"PANEL {place}")
        if shelf is None:
            mouths = _draw(pen, box, chance, zones, points, place)
        else:
            mouths = _hung(image, box, chance, zones, points, (place, shelf))
        plans.append({"panel": place, "box": [*box[:2], box.width, box.height], "mouths": mouths})
        told += _written(chance, count, list(mouths), any(p["panel"] == place for p in points))
    keys = {
        "letterer": 1,
        "unit": "pt",
        "page": {"trim": [width, height], "bleed": 9, "live": 18},
        "reading": "right to left" if chance.random() < 0.25 else "left to right",
        "language": "en",
        "pages": [
            {
                "page": 1,
                "panels": plans,
                "keep_clear": zones,
                "focus": [{"name": p["name"], "at": p["at"]} for p in points],
                "placements": [],
            }
        ],
    }
    script = parse_script("\n\n".join(told) + "\n")
    layout = parse_layout(json.dumps(keys), "scene.json", HERE)
    return Drawn(number, script, layout, Picture(image, Box(0.0, 0.0, width, height)))


def _panels(chance: random.Random, width: float, height: float) -> list[Box]:
    """One to six panels in rows."""
    wanted = chance.randint(1, 6)
    rows = {1: [1], 2: [1, 1], 3: [1, 2], 4: [2, 2], 5: [2, 1, 2], 6: [2, 2, 2]}[wanted]
    chance.shuffle(rows)
    margin, gutter = 22.0, 10.0
    high = (height - 2 * margin - gutter * (len(rows) - 1)) / len(rows)
    found = []
    for row, count in enumerate(rows):
        cut = chance.uniform(0.4, 0.6)
        top = margin + row * (high + gutter)
        inner = width - 2 * margin - gutter * (count - 1)
        sides = [inner] if count == 1 else [inner * cut, inner * (1 - cut)]
        left = margin
        for side in sides:
            found.append(
                Box(round(left, 2), round(top, 2), round(left + side, 2), round(top + high, 2))
            )
            left += side + gutter
    return found


def _draw(
    pen: ImageDraw.ImageDraw,
    box: Box,
    chance: random.Random,
    zones: list[dict[str, Any]],
    points: list[dict[str, Any]],
    panel: int,
) -> dict[str, list[float]]:
    """Line art in a panel; gives the mouths, and adds faces and focus points."""
    scale = PIXELS

    def line(places: Sequence[tuple[float, float]], weight: int = 2) -> None:
        pen.line([(x * scale, y * scale) for x, y in places], fill=0, width=weight)

    pen.rectangle([value * scale for value in box], outline=0, width=3)
    for _ in range(chance.randint(0, 3)):  # hatched and scribbled patches
        left, top = (
            chance.uniform(box.left, box.right - 30),
            chance.uniform(box.top, box.bottom - 30),
        )
        right, bottom = (
            min(left + chance.uniform(30, box.width / 2), box.right),
            min(top + chance.uniform(30, box.height / 2), box.bottom),
        )
        if chance.random() < 0.6:
            step = chance.uniform(2.5, 6)
            for k in range(int((right - left) / step)):
                x = left + k * step
                line([(x, top), (min(x + 8, right), bottom)], 1)
        else:
            line([(chance.uniform(left, right), chance.uniform(top, bottom)) for _ in range(25)], 1)
    mouths: dict[str, list[float]] = {}
    figures = min(chance.randint(1, 3), max(int(box.width // 75), 1))
    for k, name in enumerate(NAMES[:figures]):
        radius = min(chance.uniform(14, 26), box.width / figures / 3, box.height / 7)
        x = box.left + box.width * (k + chance.uniform(0.4, 0.6)) / figures
        y = box.top + box.height * chance.uniform(0.5, 0.72)
        pen.ellipse(
            [value * scale for value in (x - radius, y - radius, x + radius, y + radius)],
            outline=0, width=3, fill=255,
        )  # fmt: skip
        for side in (-0.4, 0.4):
            line([(x + side * radius - 2, y - 3), (x + side * radius + 2, y - 3)], 4)
        line([(x - 4, y + radius * 0.5), (x + 4, y + radius * 0.5)], 3)
        low = min(y + radius * 4, box.bottom)
        line([(x, y + radius), (x - radius, low)], 3)
        line([(x, y + radius), (x + radius, low)], 3)
        mouths[name] = [round(x, 2), round(y + radius * 0.5, 2)]
        if chance.random() < 0.85:  # some people forget a zone
            zones.append(
                {
                    "name": f"{name.title()}'s face {panel}",
                    "box": [round(v, 2) for v in (x - radius, y - radius, 2 * radius, 2 * radius)],
                }
            )  # fmt: skip
    if chance.random() < 0.5:
        at = [
            round(chance.uniform(box.left + 15, box.right - 15), 2),
            round(chance.uniform(box.top + box.height * 0.3, box.bottom - 15), 2),
        ]
        points.append({"name": f"the thing {panel}", "at": at, "panel": panel})
        for turn in range(8):
            angle = turn * math.pi / 4
            line([tuple(at), (at[0] + 9 * math.cos(angle), at[1] + 9 * math.sin(angle))], 2)  # type: ignore[list-item]
    return mouths


def _written(chance: random.Random, count: int, speakers: list[str], sound: bool) -> list[str]:
    told = []
    for place in range(count):
        roll = chance.random()
        if place == 0 and roll < 0.2:
            told.append(f"CAPTION: {sentence(chance, 4, 12)}")
        elif sound and roll > 0.92:
            told.append(f"SFX: {chance.choice(EFFECTS)}")
            sound = False
        else:
            manner = " (whisper)" if roll > 0.84 else ""
            told.append(f"{chance.choice(speakers)}{manner}: {sentence(chance, 1, 14)}")
    return told


# --- Pictures of a folder -----------------------------------------------------------------------

FIGURES, THINGS = ("people", "animals"), ("buildings", "tools", "plants", "transportation")
DRAWN_HIGH = 360
"""Pictures are drawn so many pixels high at most."""

GREY_MOST = 0.35
"""A picture of which more than this is neither ink nor paper is a painting, not line art."""


class Shelf:
    """SVG pictures of a folder, drawn by rsvg-convert; those that cannot be drawn are passed over.

    Folders inside it that are named in FIGURES hold figures, those in THINGS what stands about.
    """

    def __init__(self, folder: Path) -> None:
        self.files: dict[tuple[str, ...], list[Path]] = {
            names: sorted(file for name in names for file in (folder / name).rglob("*.svg"))
            for names in (FIGURES, THINGS)
        }
        if not all(self.files.values()):
            raise SystemExit(f"{folder}: no pictures in {', '.join(FIGURES + THINGS)} here")

    def picture(self, chance: random.Random, names: tuple[str, ...]) -> Image.Image | None:
        """A picture in greys, without the paper round it; None where no line art was found."""
        for _ in range(8):
            drawn = _drawn(chance.choice(self.files[names]))
            if drawn is not None:
                return drawn
        return None


@cache
def _drawn(file: Path) -> Image.Image | None:
    call = ["rsvg-convert", "-a", "-h", str(DRAWN_HIGH), "-w", str(DRAWN_HIGH)]
    try:
        made = subprocess.run(
            [*call, "-b", "white", str(file)], capture_output=True, timeout=10, check=True
        )
        image = Image.open(io.BytesIO(made.stdout)).convert("L")
    except (OSError, subprocess.SubprocessError):
        return None
    values = np.asarray(image)
    ink = values < 250
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    if len(rows) < 60 or len(columns) < 40:
        return None
    cut = values[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    if np.mean((cut > 60) & (cut < 225)) > GREY_MOST:
        return None
    return Image.fromarray(cut)


def _hung(
    image: Image.Image,
    box: Box,
    chance: random.Random,
    zones: list[dict[str, Any]],
    points: list[dict[str, Any]],
    panel: tuple[int, Shelf],
) -> dict[str, list[float]]:
    """Pictures hung in a panel: things about, then figures, whose upper part is the face."""
    place, shelf = panel
    inner = box.grown(-1.0)

    def hang(picture: Image.Image, at: tuple[float, float], high: float, wide: float) -> Box:
        """A picture with the middle of its foot at a point, kept within the panel."""
        scale = min(high / picture.height, wide / picture.width)
        size = (max(picture.width * scale, 4), max(picture.height * scale, 4))
        left = min(max(at[0] - size[0] / 2, inner.left), inner.right - size[0])
        top = min(max(at[1] - size[1], inner.top), inner.bottom - size[1])
        small = picture.resize((round(size[0] * PIXELS), round(size[1] * PIXELS)))
        image.paste(small, (round(left * PIXELS), round(top * PIXELS)))
        return Box(left, top, left + size[0], top + size[1])

    for _ in range(chance.randint(0, 3)):
        thing = shelf.picture(chance, THINGS)
        foot = (
            chance.uniform(box.left, box.right),
            box.top + box.height * chance.uniform(0.35, 1.0),
        )
        if thing is not None:
            hang(thing, foot, box.height * chance.uniform(0.2, 0.5), box.width / 2)
    mouths: dict[str, list[float]] = {}
    figures = min(chance.randint(1, 3), max(int(box.width // 75), 1))
    for k, name in enumerate(NAMES[:figures]):
        figure = shelf.picture(chance, FIGURES)
        x = box.left + box.width * (k + chance.uniform(0.4, 0.6)) / figures
        if figure is None:
            continue
        high = box.height * chance.uniform(0.4, 0.62)
        stands = hang(figure, (x, box.bottom - 2), high, box.width / figures * 0.9)
        face = _face(stands, figure)
        mouths[name] = [
            round(face.center.x, 2),
            round(face.top + face.height * 0.7, 2),
        ]
        if chance.random() < 0.85:  # some people forget a zone
            told = [face.left, face.top, face.width, face.height]
            zones.append(
                {"name": f"{name.title()}'s face {place}", "box": [round(v, 2) for v in told]}
            )
    if chance.random() < 0.5:
        at = [
            round(chance.uniform(box.left + 15, box.right - 15), 2),
            round(chance.uniform(box.top + box.height * 0.3, box.bottom - 15), 2),
        ]
        points.append({"name": f"the thing {place}", "at": at, "panel": place})
    ImageDraw.Draw(image).rectangle([value * PIXELS for value in box], outline=0, width=3)
    return mouths or {"ADA": [round(box.center.x, 2), round(box.bottom - box.height / 4, 2)]}


def _face(stands: Box, figure: Image.Image) -> Box:
    """What is taken for the face of a figure: the ink of its upper part, no wider than high."""
    share = min(0.3, 42.0 / stands.height)
    rows = np.asarray(figure)[: max(int(figure.height * share), 1)] < 200
    columns = np.flatnonzero(rows.any(axis=0))
    first, last = (columns[0], columns[-1] + 1) if len(columns) else (0, figure.width)
    scale = stands.width / figure.width
    middle = stands.left + (first + last) / 2 * scale
    high = stands.height * share
    half = min((last - first) * scale, 1.2 * high) / 2
    return Box(middle - half, stands.top, middle + half, stands.top + high)
