"""Outlines of balloons and captions as closed paths, clockwise, with the hand's waver in them."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, Segment
from letterer.ink.hand import Waver, waver

NODES = 32
"""Points an oval is drawn through at least. Between them the curve strays from the true oval by
under 0.01 pt."""

NODES_A_WAVE = 4
"""A large oval has more points, so many for each of the hand's fastest waves: fewer would lose
them."""


def oval_outline(oval: Oval, identity: str = "", amplitude: float = 0.0) -> Path:
    """A superellipse as cubic Béziers, clockwise from its right end, wavering by `amplitude`
    points."""
    length = oval_length(oval)
    waves = round(length / craft.HAND_WAVE_POINTS) if amplitude > 0 else 0
    nodes = max(NODES, NODES_A_WAVE * waves)
    angles = [2 * math.pi * index / nodes for index in range(nodes)]
    hand = waver(identity, length, amplitude)
    arcs = _arcs(oval, angles, length)
    points = [_strayed(oval, angle, hand.at(arc)) for angle, arc in zip(angles, arcs, strict=True)]
    if amplitude <= 0:
        slopes = [oval_slope(oval, angle) for angle in angles]
    else:
        step = 1e-3
        slopes = []
        for index, angle in enumerate(angles):
            speed = math.hypot(*oval_slope(oval, angle))
            ahead = _strayed(oval, angle + step, hand.at(arcs[index] + speed * step))
            behind = _strayed(oval, angle - step, hand.at(arcs[index] - speed * step))
            slopes.append(((ahead.x - behind.x) / (2 * step), (ahead.y - behind.y) / (2 * step)))
    return _through(points, slopes, 2 * math.pi / nodes)


def frame_outline(box: Box, identity: str = "", amplitude: float = 0.0) -> Path:
    """A rectangle, clockwise from its top left corner; each side wavers and meets the corners
    true."""
    return _four_sided(_corners(box), identity, amplitude)


def uneven_frame(box: Box, identity: str = "", amplitude: float = 0.0) -> Path:
    """A rectangle drawn without a ruler: its corners out of true, its sides a little bowed.

    All of it outward, so that what stands in the rectangle keeps its air.
    """
    chance = random.Random(f"{identity}|frame")
    stray = craft.CAPTION_UNEVEN_POINTS
    middle = box.center
    corners = [
        corner.shifted(
            math.copysign(stray * chance.random(), corner.x - middle.x),
            math.copysign(stray * chance.random(), corner.y - middle.y),
        )
        for corner in _corners(box)
    ]
    bows = [craft.CAPTION_BOW_SHARE * stray * (0.5 + chance.random() / 2) for _ in corners]
    return _four_sided(corners, identity, amplitude, bows)


def _corners(box: Box) -> tuple[Point, ...]:
    return (
        Point(box.left, box.top),
        Point(box.right, box.top),
        Point(box.right, box.bottom),
        Point(box.left, box.bottom),
    )


def _four_sided(
    corners: Sequence[Point], identity: str, amplitude: float, bows: Sequence[float] = ()
) -> Path:
    """Four corners joined by wavering sides, each bowed outward by so much."""
    segments: list[Segment] = [Segment("M", (corners[0],))]
    for index, corner in enumerate(corners):
        after = corners[(index + 1) % 4]
        if amplitude <= 0 and not bows:
            segments.append(Segment("L", (after,)))
        else:
            hand = waver(f"{identity}|{index}", corner.distance(after) * 2, amplitude)
            segments += _side(corner, after, hand, bows[index] if bows else 0.0)
    segments.append(Segment("Z"))
    return Path(tuple(segments))


def _side(begin: Point, end: Point, hand: Waver, bow: float = 0.0) -> list[Segment]:
    """One wavering side, bowed outward at its middle: nodes along it, held at both ends."""
    length = begin.distance(end)
    count = max(2, round(length / craft.HAND_WAVE_POINTS * 2))
    along = ((end.x - begin.x) / length, (end.y - begin.y) / length)
    across = (-along[1], along[0])

    def stray(arc: float) -> float:
        share = min(max(arc / length, 0.0), 1.0)
        bowed = 4 * bow * share * (1 - share)
        return hand.at(arc) * math.sqrt(math.sin(math.pi * share)) - bowed

    def node(arc: float, off: float) -> Point:
        return Point(
            begin.x + along[0] * arc + across[0] * off, begin.y + along[1] * arc + across[1] * off
        )

    arcs = [length * index / count for index in range(count + 1)]
    offs = [0.0, *(stray(arc) for arc in arcs[1:-1]), 0.0]
    step = length / count
    rises = [
        (offs[min(index + 1, count)] - offs[max(index - 1, 0)])
        / (step * (min(index + 1, count) - max(index - 1, 0)))
        for index in range(count + 1)
    ]
    third = step / 3
    return [
        Segment(
            "C",
            (
                node(arcs[index] + third, offs[index] + rises[index] * third),
                node(arcs[index + 1] - third, offs[index + 1] - rises[index + 1] * third),
                node(arcs[index + 1], offs[index + 1]) if index + 1 < count else end,
            ),
        )
        for index in range(count)
    ]


def _through(points: Sequence[Point], slopes: Sequence[tuple[float, float]], step: float) -> Path:
    """A closed curve through points with the given derivatives, `step` of the parameter apart."""
    segments = [Segment("M", (points[0],))]
    third = step / 3
    for index, (point, slope) in enumerate(zip(points, slopes, strict=True)):
        after = (index + 1) % len(points)
        segments.append(
            Segment(
                "C",
                (
                    point.shifted(slope[0] * third, slope[1] * third),
                    points[after].shifted(-slopes[after][0] * third, -slopes[after][1] * third),
                    points[after],
                ),
            )
        )
    segments.append(Segment("Z"))
    return Path(tuple(segments))


def oval_point(oval: Oval, angle: float) -> Point:
    """The point of the border in the direction that the circle's point at `angle` is stretched
    to."""
    c, s = math.cos(angle), math.sin(angle)
    reach: float = (abs(c) ** oval.n + abs(s) ** oval.n) ** (-1 / oval.n)
    return Point(oval.center.x + oval.a * c * reach, oval.center.y + oval.b * s * reach)


def oval_slope(oval: Oval, angle: float) -> tuple[float, float]:
    """Derivative of `oval_point` by its angle."""
    c, s, n = math.cos(angle), math.sin(angle), oval.n
    level = abs(c) ** n + abs(s) ** n
    reach = level ** (-1 / n)
    level_slope = n * (
        -math.copysign(abs(c) ** (n - 1), c) * s + math.copysign(abs(s) ** (n - 1), s) * c
    )
    reach_slope = -reach / (n * level) * level_slope
    return (
        float(oval.a * (-s * reach + c * reach_slope)),
        float(oval.b * (c * reach + s * reach_slope)),
    )


def _strayed(oval: Oval, angle: float, off: float) -> Point:
    """The border's point at `angle` moved outward by `off`."""
    point = oval_point(oval, angle)
    if not off:
        return point
    dx, dy = oval_slope(oval, angle)
    speed = math.hypot(dx, dy)
    return point.shifted(dy / speed * off, -dx / speed * off)


def oval_length(oval: Oval, steps: int = 256) -> float:
    """Length of the border all round, as that of a polygon of so many chords."""
    points = [oval_point(oval, 2 * math.pi * index / steps) for index in range(steps)]
    return sum(points[index - 1].distance(points[index]) for index in range(steps))


def _arcs(oval: Oval, angles: Sequence[float], length: float) -> list[float]:
    """Arc length at each angle, scaled so that the whole round is `length`."""
    fine = 8
    arcs, total = [0.0], 0.0
    for begin, end in zip(angles, [*angles[1:], 2 * math.pi], strict=True):
        marks = [begin + (end - begin) * step / fine for step in range(fine + 1)]
        points = [oval_point(oval, mark) for mark in marks]
        total += sum(points[step].distance(points[step + 1]) for step in range(fine))
        arcs.append(total)
    return [arc * length / total for arc in arcs[:-1]]
