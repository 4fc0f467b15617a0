"""Inking tools: smooth shapes with a living line, tapered strokes, wash, hatching and clipping.

All positions are inches from the top left corner of the trimmed page, y downward. Line weights are
points. A tone runs from 0, black, to 255, paper. All chance comes from one fixed sequence a page.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
import skia  # type: ignore[import-untyped, unused-ignore]
from numpy.typing import NDArray

Point = tuple[float, float]
Points = Sequence[Point]

DPI = 300
BLEED = 0.125
TRIM = (6.625, 10.25)
PAPER = 255
BLACK = 0

# Light falls from the upper left, so lines grow heavier toward the lower right.
LIGHT = (-0.55, -0.83)


@dataclass(frozen=True, slots=True)
class Frame:
    """A place to draw a thing in its own units: where its origin lies, how big, how turned."""

    x: float
    y: float
    size: float = 1.0
    turn: float = 0.0
    flip: bool = False

    def at(self, x: float, y: float) -> Point:
        """Where a point of the thing lies on the page."""
        x = -x if self.flip else x
        a = math.radians(self.turn)
        return (
            self.x + self.size * (x * math.cos(a) - y * math.sin(a)),
            self.y + self.size * (x * math.sin(a) + y * math.cos(a)),
        )

    def __call__(self, points: Points) -> list[Point]:
        return [self.at(x, y) for x, y in points]

    def move(self, x: float, y: float) -> Point:
        """A move of x, y units of this frame, as inches on the page."""
        a, b = self.at(0, 0), self.at(x, y)
        return (b[0] - a[0], b[1] - a[1])

    def inner(self, x: float, y: float, size: float = 1.0, turn: float = 0.0) -> Frame:
        """A frame within this one."""
        px, py = self.at(x, y)
        turned = self.turn + (-turn if self.flip else turn)
        return Frame(px, py, self.size * size, turned, self.flip)


def oval(
    x: float, y: float, rx: float, ry: float, turn: float = 0.0, count: int = 40
) -> list[Point]:
    """Points round an ellipse."""
    a = math.radians(turn)
    points = []
    for i in range(count):
        t = 2 * math.pi * i / count
        u, v = rx * math.cos(t), ry * math.sin(t)
        points.append(
            (x + u * math.cos(a) - v * math.sin(a), y + u * math.sin(a) + v * math.cos(a))
        )
    return points


def box(left: float, top: float, width: float, height: float) -> list[Point]:
    """The corners of a rectangle."""
    return [
        (left, top),
        (left + width, top),
        (left + width, top + height),
        (left, top + height),
    ]


def _spline(points: Points, steps: int = 10) -> list[Point]:
    """A Catmull-Rom curve through open points."""
    if len(points) < 3:
        return list(points)
    p = [
        (2 * points[0][0] - points[1][0], 2 * points[0][1] - points[1][1]),
        *points,
        (2 * points[-1][0] - points[-2][0], 2 * points[-1][1] - points[-2][1]),
    ]
    out: list[Point] = []
    for i in range(1, len(p) - 2):
        a, b, c, d = p[i - 1], p[i], p[i + 1], p[i + 2]
        for k in range(steps):
            t = k / steps
            out.append(
                (
                    _cubic(a[0], b[0], c[0], d[0], t),
                    _cubic(a[1], b[1], c[1], d[1], t),
                )
            )
    out.append(points[-1])
    return out


def _cubic(a: float, b: float, c: float, d: float, t: float) -> float:
    return 0.5 * (
        2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t * t + (3 * b - a - 3 * c + d) * t**3
    )


def curve(points: Points, closed: bool = False) -> list[Point]:
    """A smooth curve through points. A point given twice running is a corner."""
    given = list(points)
    if closed:
        corner = next((i for i in range(len(given)) if given[i] == given[i - 1]), None)
        if corner is None:
            n = len(given)
            wrapped = [*given[-3:], *given, *given[:3]]
            fine = _spline(wrapped)
            return fine[30 : 30 + 10 * n]
        given = given[corner:] + given[:corner]
        given.append(given[0])
    out: list[Point] = []
    part: list[Point] = [given[0]]
    for previous, point in itertools.pairwise(given):
        if point == previous:
            if len(part) > 1:
                out.extend(_spline(part))
            part = [point]
        else:
            part.append(point)
    if len(part) > 1:
        out.extend(_spline(part))
    return out


def _path(points: Points) -> skia.Path:
    path = skia.Path()
    path.addPoly([skia.Point(x, y) for x, y in points], True)
    return path


def _area(points: Points) -> float:
    return sum(
        a[0] * b[1] - b[0] * a[1] for a, b in zip(points, [*points[1:], points[0]], strict=True)
    )


def _ribbon(points: Points, halves: Sequence[float]) -> skia.Path:
    """A line of changing width, as one path: a quad for each step and a disc at each joint."""
    path = skia.Path()
    for (p, hp), (q, hq) in zip(
        zip(points, halves, strict=True), zip(points[1:], halves[1:], strict=True), strict=False
    ):
        dx, dy = q[0] - p[0], q[1] - p[1]
        length = math.hypot(dx, dy)
        if length < 1e-9:
            continue
        nx, ny = -dy / length, dx / length
        quad = [
            (p[0] + nx * hp, p[1] + ny * hp),
            (p[0] - nx * hp, p[1] - ny * hp),
            (q[0] - nx * hq, q[1] - ny * hq),
            (q[0] + nx * hq, q[1] + ny * hq),
        ]
        if _area(quad) < 0:
            quad.reverse()
        path.addPoly([skia.Point(x, y) for x, y in quad], True)
    for (x, y), half in zip(points, halves, strict=True):
        path.addCircle(x, y, half)
    return path


class Ink:
    """A sheet of paper at print size and the tools that mark it."""

    def __init__(self, roll: int) -> None:
        self.random = random.Random(roll)
        self.width = round((TRIM[0] + 2 * BLEED) * DPI)
        self.height = round((TRIM[1] + 2 * BLEED) * DPI)
        self._pixels: NDArray[np.uint8] = np.full((self.height, self.width, 4), 255, np.uint8)
        self._surface = skia.Surface(self._pixels)
        self._canvas = self._surface.getCanvas()
        self._canvas.scale(DPI, DPI)
        self._canvas.translate(BLEED, BLEED)

    def pixels(self) -> NDArray[np.uint8]:
        """The grey page: an array of rows of tones."""
        self._surface.flushAndSubmit()
        return self._pixels[:, :, 0].copy()

    @contextmanager
    def inside(self, points: Points, without: Points | None = None) -> Iterator[None]:
        """Everything drawn in this block stays inside an area (and outside another)."""
        self._canvas.save()
        self._canvas.clipPath(_path(points), skia.ClipOp.kIntersect, True)
        if without is not None:
            self._canvas.clipPath(_path(without), skia.ClipOp.kDifference, True)
        try:
            yield
        finally:
            self._canvas.restore()

    def _paint(self, tone: float, strength: float = 1.0) -> skia.Paint:
        t = max(0, min(255, round(tone)))
        return skia.Paint(
            Color=skia.ColorSetARGB(round(255 * strength), t, t, t),
            AntiAlias=True,
            Style=skia.Paint.kFill_Style,
        )

    def fill(self, points: Points, tone: float, strength: float = 1.0) -> None:
        """Lay a flat tone in an area; strength under 1 lets what is below show through."""
        self._canvas.drawPath(_path(points), self._paint(tone, strength))

    def fade(self, points: Points, tones: tuple[float, float], ends: tuple[Point, Point]) -> None:
        """Lay a wash that runs evenly from one tone to another between two points."""
        colours = [skia.ColorSetARGB(255, round(t), round(t), round(t)) for t in tones]
        paint = self._paint(0)
        paint.setShader(
            skia.GradientShader.MakeLinear(
                points=[skia.Point(*ends[0]), skia.Point(*ends[1])], colors=colours
            )
        )
        self._canvas.drawPath(_path(points), paint)

    def outline(self, points: Points, weight: float, tone: float = BLACK) -> None:
        """Draw round a closed curve, heavier on the side away from the light."""
        closed = [*points, points[0], points[1 % len(points)]]
        turn = 1.0 if _area(points) > 0 else -1.0
        phase, speed = self.random.uniform(0, 6.28), self.random.uniform(3, 6)
        halves = []
        n = len(closed)
        for i in range(n):
            a, b = closed[max(0, i - 1)], closed[min(n - 1, i + 1)]
            dx, dy = b[0] - a[0], b[1] - a[1]
            length = math.hypot(dx, dy) or 1.0
            nx, ny = turn * dy / length, -turn * dx / length
            away = -(nx * LIGHT[0] + ny * LIGHT[1])
            hand = 1 + 0.13 * math.sin(phase + speed * 2 * math.pi * i / n)
            halves.append(weight / 144 * (0.78 + 0.5 * max(0.0, away)) * hand)
        self._canvas.drawPath(_ribbon(closed, halves), self._paint(tone))

    def shape(
        self, points: Points, tone: float = PAPER, weight: float = 1.2, smooth: bool = True
    ) -> list[Point]:
        """A filled and outlined shape. Gives back the points of its edge."""
        edge = curve(points, closed=True) if smooth else list(points)
        self.fill(edge, tone)
        if weight > 0:
            self.outline(edge, weight)
        return edge

    def shade(self, edge: Points, shift: Point, strength: float = 0.25, tone: float = 0) -> None:
        """Wash the side of a shape that the shift leaves behind: a crescent of shadow."""
        moved = [(x + shift[0], y + shift[1]) for x, y in edge]
        with self.inside(edge, without=moved):
            self.fill(edge, tone, strength)

    def line(
        self,
        points: Points,
        weight: float = 1.0,
        tone: float = BLACK,
        taper: tuple[float, float] = (0.35, 0.35),
    ) -> None:
        """A brush line through points; `taper` says how much of each end thins to a point."""
        fine = curve(points)
        if len(fine) < 12:
            fine = _even(fine, 14)
        n = len(fine) - 1
        halves = []
        for i in range(n + 1):
            t = i / n
            w = 1.0
            if taper[0] > 0:
                w = min(w, (t / taper[0]) ** 0.7 if t < taper[0] else 1.0)
            if taper[1] > 0:
                w = min(w, ((1 - t) / taper[1]) ** 0.7 if t > 1 - taper[1] else 1.0)
            halves.append(max(0.12, w) * weight / 144)
        self._canvas.drawPath(_ribbon(fine, halves), self._paint(tone))

    def ruled(
        self, points: Points, weight: float, tone: float = BLACK, closed: bool = True
    ) -> None:
        """An even line through corners, such as a panel border or a glazing bar."""
        path = skia.Path()
        path.addPoly([skia.Point(x, y) for x, y in points], closed)
        paint = self._paint(tone)
        paint.setStyle(skia.Paint.kStroke_Style)
        paint.setStrokeWidth(weight / 72)
        paint.setStrokeJoin(skia.Paint.kMiter_Join)
        self._canvas.drawPath(path, paint)

    def limb(
        self, spine: Points, widths: Sequence[float], tone: float = PAPER, weight: float = 1.2
    ) -> list[Point]:
        """A sleeve, a finger, a pipe: a tube along a curve, its width given at each point."""
        fine = _spline(spine, 8) if len(spine) > 2 else _even(list(spine), 9)
        n = len(fine)
        known = np.linspace(0.0, 1.0, len(widths))
        half = np.interp(np.linspace(0.0, 1.0, n), known, np.asarray(widths)) / 2
        left: list[Point] = []
        right: list[Point] = []
        for i, (x, y) in enumerate(fine):
            a, b = fine[max(0, i - 1)], fine[min(n - 1, i + 1)]
            dx, dy = b[0] - a[0], b[1] - a[1]
            length = math.hypot(dx, dy) or 1.0
            nx, ny = -dy / length * float(half[i]), dx / length * float(half[i])
            left.append((x + nx, y + ny))
            right.append((x - nx, y - ny))
        end = _cap(fine[-2], fine[-1], float(half[-1]))
        start = _cap(fine[1], fine[0], float(half[0]))
        edge = [*left, *end, *right[::-1], *start]
        # Two ribbons rather than an outline: a tight bend then leaves no crossed lines inside.
        rim = weight / 144
        if weight > 0:
            self._canvas.drawPath(_ribbon(fine, [float(h) + rim for h in half]), self._paint(BLACK))
        lit = [(x + 0.3 * rim * LIGHT[0], y + 0.3 * rim * LIGHT[1]) for x, y in fine]
        core = [max(0.002, float(h) - 0.75 * rim) if weight > 0 else float(h) for h in half]
        self._canvas.drawPath(_ribbon(lit, core), self._paint(tone))
        return edge

    def hatch(
        self, area: Points, angle: float, gap: float, weight: float = 0.6, tone: float = BLACK
    ) -> None:
        """Parallel pen strokes over an area, a little uneven, thinning at their ends."""
        a = math.radians(angle)
        ux, uy = math.cos(a), math.sin(a)
        along = [x * ux + y * uy for x, y in area]
        across = [-x * uy + y * ux for x, y in area]
        r = self.random
        with self.inside(area):
            v = min(across)
            while v < max(across):
                lo = min(along) - r.uniform(0, gap)
                hi = max(along) + r.uniform(0, gap)
                w = v + r.uniform(-0.15, 0.15) * gap
                bend = v + r.uniform(-0.15, 0.15) * gap
                self.line(
                    [
                        (lo * ux - w * uy, lo * uy + w * ux),
                        (hi * ux - bend * uy, hi * uy + bend * ux),
                    ],
                    weight * r.uniform(0.75, 1.15),
                    tone,
                    (0.1, 0.25),
                )
                v += gap


def _even(points: list[Point], count: int) -> list[Point]:
    """The same open line with points at even steps."""
    xy = np.asarray(points, dtype=np.float64)
    steps = np.hypot(*np.diff(xy, axis=0).T)
    s = np.concatenate([[0.0], np.cumsum(steps)])
    want = np.linspace(0.0, s[-1], count)
    xs, ys = np.interp(want, s, xy[:, 0]), np.interp(want, s, xy[:, 1])
    return [(float(x), float(y)) for x, y in zip(xs, ys, strict=True)]


def _cap(before: Point, end: Point, radius: float) -> list[Point]:
    """The round end of a tube, as points from its left side to its right."""
    a = math.atan2(end[1] - before[1], end[0] - before[0])
    angles = [a + math.pi / 2 - math.pi * k / 8 for k in range(1, 8)]
    return [(end[0] + radius * math.cos(t), end[1] + radius * math.sin(t)) for t in angles]
