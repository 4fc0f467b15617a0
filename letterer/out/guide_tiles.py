"""A large sheet over several small papers: which part of it each holds, and how they are glued."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from letterer import craft
from letterer.geometry import (
    MM_PER_INCH,
    POINTS_PER_INCH,
    Box,
    Path,
    Point,
    Segment,
    polygon,
    rectangle,
)
from letterer.out.guide_sheet import STRONG, THIN, on_paper, said
from letterer.out.labels import lined
from letterer.page.lettered import LetteredPage, PlacedUnit, Stroke
from letterer.text.faces import FaceLibrary

MM = POINTS_PER_INCH / MM_PER_INCH
PAPERS = {"a4": (210 * MM, 297 * MM), "letter": (8.5 * 72, 11.0 * 72)}
"""Width and height of papers in points: A4 from ISO 216, Letter from ANSI/ASME Y14.1 (both from
memory)."""

EDGE, OVERLAP = craft.GUIDE_PAPER_EDGE_POINTS, craft.GUIDE_OVERLAP_POINTS
WEDGE = 6.0
LABEL = 8.0


@dataclass(frozen=True, slots=True)
class Tile:
    """One paper: what part of the sheet it shows, its number, its place in the grid of papers."""

    window: Box
    number: int
    row: int
    column: int
    rows: int
    columns: int
    paper: Box

    @property
    def many(self) -> int:
        """Of how many tiles it is one."""
        return self.rows * self.columns


def tiles_over(whole: Box, paper: str) -> list[Tile]:
    """The fewest tiles of a paper, upright or lying, that hold a whole sheet, row by row. They
    share a strip with their neighbours."""
    upright = PAPERS[paper]
    ways = [_grid(whole, size) for size in (upright, upright[::-1])]
    (width, height), rows, columns = min(ways, key=lambda way: way[1] * way[2])
    inner = width - 2 * EDGE, height - 2 * EDGE
    spare = (
        columns * (inner[0] - OVERLAP) + OVERLAP - whole.width,
        rows * (inner[1] - OVERLAP) + OVERLAP - whole.height,
    )
    left, top = whole.left - spare[0] / 2, whole.top - spare[1] / 2
    tiles = []
    for row in range(rows):
        for column in range(columns):
            x = left + column * (inner[0] - OVERLAP)
            y = top + row * (inner[1] - OVERLAP)
            window = Box(x, y, x + inner[0], y + inner[1])
            number = row * columns + column + 1
            tiles.append(Tile(window, number, row, column, rows, columns, window.grown(EDGE)))
    return tiles


def _grid(whole: Box, size: tuple[float, float]) -> tuple[tuple[float, float], int, int]:
    many = [
        max(math.ceil((length - OVERLAP) / (side - 2 * EDGE - OVERLAP) - 1e-9), 1)
        for length, side in ((whole.width, size[0]), (whole.height, size[1]))
    ]
    return size, many[1], many[0]


def tile_page(sheet: LetteredPage, tile: Tile, title: str, faces: FaceLibrary) -> LetteredPage:
    """What one paper shows of a sheet, with the marks by which it is glued to its neighbours."""
    cut = rectangle(tile.window)
    units = [
        replace(unit, clip=cut)
        for unit in sheet.units
        if unit.clip is None and (unit.box.grown(2.0).meets(tile.window))
    ]
    # What has a clip of its own is cut by it already; it hangs over by less than the white edge.
    units += [u for u in sheet.units if u.clip is not None and u.box.meets(tile.window)]
    if tile.many > 1:
        units += list(_glued(tile, faces))
        where = f"row {tile.row + 1}, column {tile.column + 1}"
        words = f"{title}: tile {tile.number} of {tile.many} ({where})"
        units.append(said(words, Point(tile.window.left + 4, tile.paper.bottom - 8), LABEL, faces))
    return on_paper(sheet.number, units, tile.paper)


def _glued(tile: Tile, faces: FaceLibrary) -> Iterator[PlacedUnit]:
    """On each side with a neighbour: the middle line of the strip they share, two wedges that meet
    their likes on the neighbour, and which tile comes there."""
    w = tile.window
    half = OVERLAP / 2
    sides = (
        (tile.column > 0, w.left + half, True, tile.number - 1),
        (tile.column + 1 < tile.columns, w.right - half, True, tile.number + 1),
        (tile.row > 0, w.top + half, False, tile.number - tile.columns),
        (tile.row + 1 < tile.rows, w.bottom - half, False, tile.number + tile.columns),
    )
    for there, at, upright, neighbour in sides:
        if not there:
            continue
        low, high = (w.top, w.bottom) if upright else (w.left, w.right)
        ends = [Point(at, y) if upright else Point(y, at) for y in (low, high)]
        line = Path((Segment("M", (ends[0],)), Segment("L", (ends[1],))))
        yield lined("glue line", "glue", line, Stroke(THIN, STRONG, (8.0, 4.0)))
        for share in (0.25, 0.75):
            middle = ends[0].toward(ends[1], share)
            wedge = polygon(
                middle.shifted(dx * WEDGE, dy * WEDGE)
                for dx, dy in ((0, -1), (1, 0), (0, 1), (-1, 0))
            )
            yield lined("glue mark", "glue", wedge, Stroke(THIN, STRONG))
        start = ends[0].toward(ends[1], 0.5)
        label = said(f"tile {neighbour} here", start.shifted(3, -3), LABEL, faces)
        # Beyond the line there is too little room for it: a printer leaves the paper's edge white.
        spare = w.right - label.ink.right
        yield label if spare > 0 else label.shifted(-6 - label.ink.width, 0)
