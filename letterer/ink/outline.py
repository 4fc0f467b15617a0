"""Outlines of balloons and captions as closed paths, clockwise, with the hand's waver in them."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, Segment
from letterer.ink.hand import Waver, waver

Floats = NDArray[np.float64]

NODES = 32
"""Points an oval is drawn through at least. Between them the curve strays from the true oval by
under 0.01 pt."""

FINE = 8
"""Chords between two of these points, to know their arc lengths by."""

NODES_A_WAVE = 4
"""A large oval has more points, so many for each of the hand's fastest waves: fewer would lose
them."""


def oval_outline(oval: Oval, identity: str = "", amplitude: float = 0.0) -> Path:
    """A superellipse as cubic Béziers, clockwise from its right end, wavering by `amplitude`
    points."""
    length = oval_length(oval)
    waves = round(length / craft.HAND_WAVE_POINTS) if amplitude > 0 else 0
    nodes = max(NODES, NODES_A_WAVE * waves)
    angles = _angles(nodes, nodes)
    if amplitude <= 0:
        points, slopes = oval_points(oval, angles), oval_slopes(oval, angles)
        return _through(points, slopes, 2 * math.pi / nodes)
    hand = waver(identity, length, amplitude)
    arcs, step = _arcs(oval, nodes, length), 1e-3
    speeds = oval_slopes(oval, angles)
    far = np.hypot(speeds[:, 0], speeds[:, 1]) * step
    behind, points, ahead = (
        _strayed(oval, angles + turn * step, hand.along(arcs + turn * far)) for turn in (-1, 0, 1)
    )
    return _through(points, (ahead - behind) / (2 * step), 2 * math.pi / nodes)


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


def _through(points: Floats, slopes: Floats, step: float) -> Path:
    """A closed curve through points with the given derivatives, `step` of the parameter apart."""
    third = slopes * (step / 3)
    ends = np.roll(points, -1, axis=0)
    cubics = np.stack([points + third, ends - np.roll(third, -1, axis=0), ends], axis=1)
    steps = [Segment("C", (Point(*p), Point(*q), Point(*r))) for p, q, r in cubics.tolist()]
    return Path((Segment("M", (steps[-1].points[-1],)), *steps, Segment("Z")))


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


def oval_points(oval: Oval, angles: Floats) -> Floats:
    """`oval_point` for many angles at once: angles x 2."""
    c, s = np.cos(angles), np.sin(angles)
    reach = (np.abs(c) ** oval.n + np.abs(s) ** oval.n) ** (-1 / oval.n)
    return np.stack(
        [oval.center.x + oval.a * c * reach, oval.center.y + oval.b * s * reach], axis=1
    )


def oval_slopes(oval: Oval, angles: Floats) -> Floats:
    """`oval_slope` for many angles at once: angles x 2."""
    c, s, n = np.cos(angles), np.sin(angles), oval.n
    level = np.abs(c) ** n + np.abs(s) ** n
    reach = level ** (-1 / n)
    turned = np.copysign(np.abs(s) ** (n - 1), s) * c - np.copysign(np.abs(c) ** (n - 1), c) * s
    shrink = -reach / level * turned
    return np.stack([oval.a * (c * shrink - s * reach), oval.b * (c * reach + s * shrink)], axis=1)


def _strayed(oval: Oval, angles: Floats, off: Floats) -> Floats:
    """The border's points at some angles, each moved outward by so much."""
    dx, dy = oval_slopes(oval, angles).T
    share = off / np.hypot(dx, dy)
    outward = np.stack([dy * share, -dx * share], axis=1)
    return np.asarray(oval_points(oval, angles) + outward)


def oval_length(oval: Oval, steps: int = 256) -> float:
    """Length of the border all round, as that of a polygon of so many chords."""
    return float(oval_chords(oval, steps).sum())


def oval_chords(oval: Oval, steps: int) -> Floats:
    """The chords between evenly spaced angles, from 0 all the way round."""
    points = oval_points(oval, _angles(steps + 1, steps))
    apart = np.diff(points, axis=0)
    return np.asarray(np.hypot(apart[:, 0], apart[:, 1]))


def _angles(count: int, steps: int) -> Floats:
    """The first of so many even steps round a circle."""
    return np.arange(count, dtype=np.float64) * (2 * math.pi / steps)


def _arcs(oval: Oval, nodes: int, length: float) -> Floats:
    """Arc length at each of some evenly spaced angles, scaled so that the whole round is
    `length`."""
    arcs = np.cumsum(oval_chords(oval, nodes * FINE))
    return np.concatenate([[0.0], arcs[FINE - 1 : -1 : FINE]]) * (length / float(arcs[-1]))
