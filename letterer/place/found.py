"""Panels found in drawn art: the page is cut along its gutters until no gutter is left.

A gutter is a straight strip of paper that runs right across what is being cut, level, upright or
slanted, with a drawn border along it; a figure that breaks out over it may cover a part. Insets and
panels without borders are not found: whoever asks compares the count.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.geometry import MM_PER_INCH, POINTS_PER_INCH, Box, Path, Point, polygon, rectangle

PER_MM = POINTS_PER_INCH / MM_PER_INCH

SMALL_SIDE = 1000
"""The long side of the copy that is looked at, in pixels."""

PAPER = 0.8
"""From this lightness on (0 to 1) a pixel is paper."""

INK = 0.45
"""Up to this lightness a pixel may belong to a border."""

CLEAR = 0.86
"""The least share of a gutter's length that is paper all across it: figures break out."""

LINED = 0.7
"""The least share of a gutter's length along which a border is drawn, on either side."""

REACH = 3
"""A border is looked for so many pixels beside the gutter: the small copy blurs it."""

SLANTS = tuple(range(1, 19))
"""Slants tried in degrees, either way, where no level or upright gutter is found."""

FINE_SLANTS = (
    (0.0, -0.75, -0.5, -0.25, 0.25, 0.5, 0.75),
    (0.0, -0.15, -0.1, -0.05, 0.05, 0.1, 0.15),
)
"""Then slants nearby are tried, twice, in degrees."""

ROUGH = 7
"""Every so manieth pixel is looked at while slants are tried."""

STRAIGHT = 0.35
"""A side that is off its box by less than this share of a millimetre is taken for straight."""

Corners = list[tuple[float, float]]
"""A convex polygon in pixels of the small copy."""


class _Strip(NamedTuple):
    """A gutter: the direction across it, where along that it begins and ends (in the middle of the
    borders beside it), and how good a gutter it is."""

    across: tuple[float, float]
    start: float
    end: float
    worth: float


@dataclass(frozen=True, slots=True)
class Found:
    """A panel found: its outline and its box, in points of the page; `straight` when the outline is
    its box."""

    shape: Path
    box: Box
    straight: bool


def panels_in(art: Any, placed: Box, bleed: Box, count: int = 0) -> tuple[Found, ...]:
    """The panels of a page's art (a Pillow image that covers the box `placed`, in points), from the
    top left on, in no order of reading. None where no gutter can be told.

    Gutters are white, or else black; with a `count` known, that way which finds so many is taken.
    """
    grey, per_point = _small(art, placed)
    ways = [_found(_Page(grey, per_point), per_point, placed, bleed)]
    if len(ways[0]) != count if count else len(ways[0]) < 2:
        ways.append(_found(_Page(1.0 - grey, per_point, ruled=False), per_point, placed, bleed))
    ways = [way for way in ways if len(way) > 1] or [()]
    return next((way for way in ways if len(way) == count), ways[0])


def _found(page: _Page, per_point: float, placed: Box, bleed: Box) -> tuple[Found, ...]:
    whole = [(0.0, 0.0), (page.width, 0.0), (page.width, page.height), (0.0, page.height)]
    found: list[Found] = []
    for corners in page.pieces(page.trimmed(whole)):
        outline = [
            Point(placed.left + x / per_point, placed.top + y / per_point) for x, y in corners
        ]
        found.append(_panel(outline, bleed))
    return tuple(sorted(found, key=lambda one: (round(one.box.top), one.box.left)))


def _small(art: Any, placed: Box) -> tuple[NDArray[np.float32], float]:
    """A small copy in grey, 0 to 1, and its pixels for each point of the page."""
    from PIL import Image

    flat = art
    if art.mode in ("RGBA", "LA", "PA"):
        seen = art.convert("RGBA")
        flat = Image.new("RGBA", seen.size, "white")
        flat.alpha_composite(seen)
    scale = min(SMALL_SIDE / max(placed.width, placed.height), art.width / placed.width)
    size = (max(round(placed.width * scale), 8), max(round(placed.height * scale), 8))
    small = flat.convert("L").resize(size, Image.Resampling.BOX)
    return np.asarray(small, dtype=np.float32) / 255.0, size[0] / placed.width


class _Lines(NamedTuple):
    """A region line by line, from `first` on along a direction: what share of each line is paper,
    and what share is dark."""

    first: int
    paper: NDArray[np.float64]
    ink: NDArray[np.float64]


class _Region:
    """The pixels of a convex polygon."""

    def __init__(self, page: _Page, corners: Corners) -> None:
        from PIL import Image, ImageDraw

        mask = Image.new("1", (page.width, page.height), 0)
        ImageDraw.Draw(mask).polygon([(x - 0.5, y - 0.5) for x, y in corners], fill=1)
        rows, columns = np.nonzero(np.asarray(mask))
        self._x, self._y = columns + 0.5, rows + 0.5
        self._paper, self._ink = page.paper[rows, columns], page.ink[rows, columns]

    def lines(self, across: tuple[float, float], every: int = 1) -> _Lines:
        """The region by lines across a direction; `every` so many pixels are enough to try it."""
        place = self._x[::every] * across[0] + self._y[::every] * across[1]
        first = math.floor(place.min()) if place.size else 0
        at = np.floor(place).astype(np.intp) - first
        count = np.maximum(np.bincount(at), 1)
        paper = np.bincount(at, weights=self._paper[::every]) / count
        ink = np.bincount(at, weights=self._ink[::every]) / count
        return _Lines(first, paper, ink)


class _Page:
    """The small copy, and the pieces that its gutters cut it into; `ruled` where panels have drawn
    borders (else any art that ends at a gutter is a side of it)."""

    def __init__(self, grey: NDArray[np.float32], per_point: float, ruled: bool = True) -> None:
        self.height, self.width = grey.shape
        self.paper = grey >= PAPER
        self.ink = grey <= INK if ruled else ~self.paper
        self._ruled = ruled
        self._per_mm = PER_MM * per_point
        self._piece = craft.FOUND_PANEL_MM * self._per_mm

    def pieces(self, corners: Corners) -> Iterator[Corners]:
        """The panels that a region holds: itself, when no gutter crosses it."""
        box = _box(corners)
        if min(box.width, box.height) < self._piece:
            return
        strips = self._gutters(corners)
        if not strips:
            yield corners
            return
        rest = corners
        for strip in strips:
            before = _cut(rest, strip.across, strip.start)
            rest = _cut(rest, (-strip.across[0], -strip.across[1]), -strip.end)
            yield from self.pieces(self.trimmed(before))
        yield from self.pieces(self.trimmed(rest))

    def trimmed(self, corners: Corners) -> Corners:
        """A region without the margins of bare paper at its sides."""
        region = None
        for across in ((-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0)):
            if len(corners) < 3:
                return []
            region = region or _Region(self, corners)
            lines = region.lines(across)
            drawn = np.flatnonzero(lines.paper < CLEAR)
            if not drawn.size:
                return []
            last = int(drawn[-1])
            if last < lines.paper.size - 2:  # paper beyond it: not cut by the picture's edge
                edge = lines.first + last + 1 - self._half_border(lines, last, -1)
                corners, region = _cut(corners, across, edge), None
        return corners

    def _gutters(self, corners: Corners) -> list[_Strip]:
        """The gutters right across a region, one beside the other, in order."""
        region = _Region(self, corners)
        for across in ((0.0, 1.0), (1.0, 0.0)):
            strips = self._strips(region, across)
            if strips:
                return strips
        turned = [base + way * slant for slant in SLANTS for base in (0, 90) for way in (1, -1)]
        best = max((self._best(region, degrees, ROUGH) for degrees in turned), key=_worth)
        if best is None:
            return []
        for steps in FINE_SLANTS:
            degrees = math.degrees(math.atan2(best.across[1], best.across[0]))
            tried = [self._best(region, degrees + step) for step in steps]
            best = max(tried, key=_worth)
            if best is None:
                return []
        return [best]

    def _best(self, region: _Region, degrees: float, every: int = 1) -> _Strip | None:
        turn = math.radians(degrees)
        strips = self._strips(region, (math.cos(turn), math.sin(turn)), every)
        return max(strips, key=_worth, default=None)

    def _strips(self, region: _Region, across: tuple[float, float], every: int = 1) -> list[_Strip]:
        lines = region.lines(across, every)
        clear = np.flatnonzero(lines.paper >= CLEAR)
        least, most = (width * self._per_mm for width in craft.FOUND_GUTTER_MM)
        found: list[_Strip] = []
        for run in np.split(clear, np.flatnonzero(np.diff(clear) > 1) + 1):
            if not run.size or not least <= run.size <= most:
                continue
            first, last = int(run[0]), int(run[-1])
            if first < self._piece / 2 or last > lines.paper.size - self._piece / 2:
                continue
            sides = [
                float(lines.ink[max(first - REACH, 0) : first].max(initial=0.0)),
                float(lines.ink[last + 1 : last + 1 + REACH].max(initial=0.0)),
            ]
            needed = LINED if every == 1 else LINED / 2  # a slant that is nearly right blurs them
            if max(sides) < needed or min(sides) < needed / 2:
                continue
            start = lines.first + first - self._half_border(lines, first - 1, -1)
            end = lines.first + last + 1 + self._half_border(lines, last + 1, 1)
            worth = sum(sides) + float(lines.paper[run].mean())
            found.append(_Strip(across, start, end, worth))
        return found

    def _half_border(self, lines: _Lines, edge: int, step: int) -> float:
        """Half the width in pixels of the border that begins at an edge. Where dark art goes on
        behind it, it is taken for a usual one."""
        if not self._ruled:
            return 0.0
        usual, most = (width * self._per_mm for width in craft.FOUND_BORDER_MM)
        least, size = LINED / 2, lines.ink.size
        blurred = 0
        while blurred < 2 and 0 <= edge < size and lines.ink[edge] < least:
            blurred, edge = blurred + 1, edge + step
        wide = 0
        while 0 <= edge < size and lines.ink[edge] >= least and wide <= most:
            wide, edge = wide + 1, edge + step
        if not wide:
            return 0.0
        return (usual if wide > most else wide + blurred) / 2


def _worth(strip: _Strip | None) -> float:
    return 0.0 if strip is None else strip.worth


def _cut(corners: Corners, across: tuple[float, float], most: float) -> Corners:
    """The part of a convex polygon up to a line across a direction."""
    kept: Corners = []
    far = [x * across[0] + y * across[1] - most for x, y in corners]
    for place, (x, y) in enumerate(corners):
        before, here = far[place - 1], far[place]
        if (before > 0) != (here > 0):
            share = before / (before - here)
            from_x, from_y = corners[place - 1]
            kept.append((from_x + (x - from_x) * share, from_y + (y - from_y) * share))
        if here <= 0:
            kept.append((x, y))
    return kept


def _box(corners: Corners) -> Box:
    if not corners:
        return Box(0.0, 0.0, 0.0, 0.0)
    xs, ys = zip(*corners, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def _panel(outline: Sequence[Point], bleed: Box) -> Found:
    """A panel from its corners, put clockwise from the top left one."""
    first = min(range(len(outline)), key=lambda at: outline[at].x + outline[at].y)
    around = [*outline[first:], *outline[:first]]
    if polygon(around).area() < 0:
        around = [around[0], *around[:0:-1]]
    shape = polygon(around)
    box = shape.box()
    assert box is not None
    near = STRAIGHT * PER_MM
    kept = box.common(bleed) or box
    off = max(
        min(abs(at.x - box.left), abs(at.x - box.right))
        + min(abs(at.y - box.top), abs(at.y - box.bottom))
        for at in outline
    )
    if len(outline) == 4 and off < near:
        return Found(rectangle(kept), kept, True)
    return Found(shape, box, False)
