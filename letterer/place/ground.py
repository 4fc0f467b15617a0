"""What lies under lettering in one panel, on a coarse grid: faces, what the eye should find, ink.

Each field is kept as running sums along its rows, so that what a body covers at many places is a
few subtractions a row.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.geometry import Box, Point
from letterer.place.bodies import Body

Floats = NDArray[np.float64]

CELL_POINTS = 2.0
CELLS_MOST = 60_000
"""A larger panel has larger cells."""

FINE = 3
"""Art is looked at in so many steps a cell, each way."""

GREY_STEP = 0.16
"""Where grey changes by this share of black to white from one step to the next, art is as busy as
line art gets (measured on hatching and on figures)."""

INK_SHARE = 0.3
"""Of two parts alike in lines, the darker is taken for a little busier."""


@dataclass(frozen=True)
class Picture:
    """The art of a page in greys from 0 (black) to 1 (white), as Pillow's image, and its box."""

    image: Any
    box: Box


@dataclass(frozen=True)
class Grid:
    """Square cells over a box."""

    box: Box
    cell: float
    rows: int
    columns: int

    @classmethod
    def over(cls, box: Box) -> Grid:
        """A grid over a box, cells a little larger where there would be very many."""
        cell = max(CELL_POINTS, math.sqrt(max(box.area, 1.0) / CELLS_MOST))
        rows = max(math.ceil(box.height / cell), 1)
        return cls(box, cell, rows, max(math.ceil(box.width / cell), 1))

    def mask(self, contours: Sequence[Sequence[Point]]) -> Floats:
        """1 in the cells inside polygons, 0 elsewhere."""
        from PIL import Image, ImageDraw

        image = Image.new("L", (self.columns, self.rows), 0)
        pen = ImageDraw.Draw(image)
        for contour in contours:
            if len(contour) > 2:
                pen.polygon([self._at(point) for point in contour], fill=1)
        return np.asarray(image, dtype=np.float64)

    def _at(self, point: Point) -> tuple[float, float]:
        return (
            (point.x - self.box.left) / self.cell - 0.5,
            (point.y - self.box.top) / self.cell - 0.5,
        )

    def far(self, point: Point) -> Floats:
        """The distance of each cell's middle from a point."""
        xs = self.box.left + (np.arange(self.columns) + 0.5) * self.cell - point.x
        ys = self.box.top + (np.arange(self.rows) + 0.5) * self.cell - point.y
        found: Floats = np.hypot(xs[None, :], ys[:, None])
        return found

    def widened(self, mask: Floats, by: float) -> Floats:
        """A mask grown by a length to all sides."""
        from PIL import Image, ImageFilter

        steps = max(round(by / self.cell), 1)
        image = Image.fromarray((mask > 0).astype(np.uint8))
        grown = image.filter(ImageFilter.MaxFilter(2 * steps + 1))
        return np.asarray(grown, dtype=np.float64)

    def busy(self, picture: Picture) -> Floats:
        """How busy the art is in each cell, 0 (blank) to 1: how much its grey changes, and a little
        how dark it is. 0 where there is no art."""
        from PIL import Image

        image, box = picture.image, picture.box
        across = image.width / max(box.width, 1e-9)
        down = image.height / max(box.height, 1e-9)
        right = self.box.left + self.columns * self.cell
        bottom = self.box.top + self.rows * self.cell
        region = (
            (self.box.left - box.left) * across,
            (self.box.top - box.top) * down,
            (right - box.left) * across,
            (bottom - box.top) * down,
        )
        size = (self.columns * FINE, self.rows * FINE)
        inside = (
            max(region[0], 0.0),
            max(region[1], 0.0),
            min(region[2], float(image.width)),
            min(region[3], float(image.height)),
        )
        found = np.zeros((self.rows, self.columns))
        if inside[0] >= inside[2] or inside[1] >= inside[3]:
            return found
        # Only what lies on the art is scaled; the rest is blank paper.
        scale_x = size[0] / (region[2] - region[0])
        scale_y = size[1] / (region[3] - region[1])
        part = (
            max(round((inside[2] - inside[0]) * scale_x), 1),
            max(round((inside[3] - inside[1]) * scale_y), 1),
        )
        piece = image.resize(part, Image.Resampling.BOX, box=inside)
        ground = Image.new("L", size, 255)
        left = round((inside[0] - region[0]) * scale_x)
        ground.paste(piece, (left, round((inside[1] - region[1]) * scale_y)))
        grey = np.asarray(ground, dtype=np.float64) / 255.0
        change = np.zeros_like(grey)
        change[:, 1:] += np.abs(np.diff(grey, axis=1))
        change[1:, :] += np.abs(np.diff(grey, axis=0))
        cells = (self.rows, FINE, self.columns, FINE)
        lines = change.reshape(cells).mean(axis=(1, 3)) / GREY_STEP
        dark = 1.0 - grey.reshape(cells).mean(axis=(1, 3))
        busy: Floats = (1 - INK_SHARE) * np.minimum(lines, 1.0) + INK_SHARE * dark
        return busy


class Ground:
    """Fields over a grid, ready to be summed under bodies. `names` are those of the fields that are
    not 0 everywhere; the others are not kept."""

    def __init__(self, grid: Grid, fields: dict[str, Floats]) -> None:
        self.grid = grid
        self.fields = {name: field for name, field in fields.items() if field.any()}
        self._sums = {name: _running(field, 1) for name, field in self.fields.items()}
        self._blocks = {
            name: _running(_running((field != 0).astype(np.float64), 1), 0)
            for name, field in self.fields.items()
        }

    def under(
        self, body: Body, x: Floats, y: Floats, names: Sequence[str], grown: float = 0.0
    ) -> dict[str, Floats]:
        """The sums of fields over the cells that a body covers, for middles (x, y)."""
        grid = self.grid
        a, b = body.a + grown, body.b + grown
        count = max(round(2 * b / grid.cell), 1)
        offs = ((np.arange(count) + 0.5) / count * 2 - 1) * b
        half = a * (1 - np.abs(offs / b) ** body.n) ** (1 / body.n) / grid.cell
        column = (x - grid.box.left) / grid.cell
        down = y - grid.box.top
        found = {}
        for name in names:
            found[name] = np.zeros(len(x))
            if name not in self.fields:
                continue
            some = np.flatnonzero(self._touched(name, (a, b), column, down))
            if not len(some):
                continue
            rows = np.floor((down[some, None] + offs[None, :]) / grid.cell).astype(np.intp)
            kept = (rows >= 0) & (rows < grid.rows)
            base = np.clip(rows, 0, grid.rows - 1) * (grid.columns + 1)
            here = column[some, None]
            first = np.clip(np.rint(here - half[None, :]).astype(np.intp), 0, grid.columns)
            last = np.clip(np.rint(here + half[None, :]).astype(np.intp), 0, grid.columns)
            sums = self._sums[name].ravel()
            found[name][some] = ((sums[base + last] - sums[base + first]) * kept).sum(axis=1)
        return found

    def _touched(
        self, name: str, half: tuple[float, float], column: Floats, down: Floats
    ) -> NDArray[np.bool_]:
        """Whether anything of a field lies in the boxes about bodies."""
        grid, blocks = self.grid, self._blocks[name]
        a, b = half[0] / grid.cell + 1, half[1] / grid.cell + 1
        row = down / grid.cell
        top, bottom = (_whole(row + by, grid.rows) for by in (-b, b))
        left, right = (_whole(column + by, grid.columns) for by in (-a, a))
        found: NDArray[np.bool_] = (
            blocks[bottom, right] - blocks[top, right] - blocks[bottom, left] + blocks[top, left]
        ) > 0.5
        return found


def _running(field: Floats, axis: int) -> Floats:
    """Running sums along an axis, from 0 on."""
    before = [(0, 0), (0, 0)]
    before[axis] = (1, 0)
    found: Floats = np.pad(np.cumsum(field, axis=axis), before)
    return found


def _whole(values: Floats, most: int) -> NDArray[np.intp]:
    return np.clip(np.rint(values).astype(np.intp), 0, most)


def face_about(mouth: Point) -> tuple[Point, float]:
    """The middle and the radius of what is taken for the face about a mouth."""
    up = craft.PLACE_FACE_POINTS * craft.PLACE_FACE_UP_SHARE
    return mouth.shifted(0.0, -up), craft.PLACE_FACE_POINTS
