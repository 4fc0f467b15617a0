"""What a tail is asked for, how a house draws it, and what came of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from letterer import craft
from letterer.geometry import Point

TailShape = Literal["curved", "straight", "wavering", "lightning", "bubbles", "spike"]
"""A gentle taper, a ruled one, a shaky one, a bolt, a trail of bubbles, or a burst's own spike."""

Station = tuple[Point, float]
"""A place on a tail's axis, and half the tail's width there."""

Judge = Callable[[Sequence[Station]], float]
"""What it costs that a tail runs over these stations: 0 where nothing is in its way."""


@dataclass(frozen=True, slots=True)
class TailStyle:
    """How a house draws tails: lengths in points along the border, shares of the way or of the
    length.

    `base` is the width at the border, `share` where the tip ends on the way to the mouth, `bend`
    how far the root moves aside. Tails shorter than `shortest` are left out; bases keep `corner`
    off a caption's corners and `gap` off each other; tips keep `clear` off the speaker's face, and
    more off a large one.
    """

    base: float
    share: float = craft.TAIL_SHARE
    bend: float = craft.TAIL_BEND_SHARE
    shortest: float = 0.0
    corner: float = 0.0
    gap: float = 0.0
    clear: float = 0.0


@dataclass(frozen=True, slots=True)
class Aim:
    """One tail that is asked for: the mouth, places it runs through on its way, its shape.

    `face` is the outline of the speaker's face: the tip stops before it. With `whole` the tail
    runs all the way, as to the edge of a panel.
    """

    mouth: Point
    via: tuple[Point, ...] = ()
    shape: TailShape = "curved"
    face: tuple[Point, ...] = ()
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Tail:
    """A tail as drawn: the mouth it aims at, its root on the border, the bend, its tip, its
    base.

    The axis runs from the bend to the tip at its end. `course` is the axis as a line of points
    from root to tip; empty where it is the straight line between them. `ends` are the two ends of
    the base on the border; empty for a trail of bubbles or a burst's spike.
    """

    mouth: Point
    root: Point
    bend: Point
    tip: Point
    base: float
    shape: TailShape = "curved"
    course: tuple[Point, ...] = ()
    ends: tuple[Point, ...] = ()

    def shifted(self, dx: float, dy: float) -> Tail:
        """This tail moved by (dx, dy), with its mouth."""
        return replace(
            self,
            mouth=self.mouth.shifted(dx, dy),
            root=self.root.shifted(dx, dy),
            bend=self.bend.shifted(dx, dy),
            tip=self.tip.shifted(dx, dy),
            course=tuple(point.shifted(dx, dy) for point in self.course),
            ends=tuple(point.shifted(dx, dy) for point in self.ends),
        )

    @property
    def length(self) -> float:
        """From root to tip, straight."""
        return self.root.distance(self.tip)

    @property
    def line(self) -> tuple[Point, ...]:
        """The axis from root to tip as a line of points."""
        return self.course or (self.root, self.tip)


@dataclass(frozen=True, slots=True)
class Untailed:
    """A mouth that got no tail, and why: `inside` the outline, `near` it, or no `room` on the
    border."""

    mouth: Point
    why: str


def aim_error(tail: Tail) -> float:
    """Degrees between the axis at the tip and the direction from the tip to the mouth; 0 where the
    tip is at the mouth itself."""
    if tail.tip.distance(tail.mouth) < 1e-6:
        return 0.0
    axis = math.atan2(tail.tip.y - tail.bend.y, tail.tip.x - tail.bend.x)
    wanted = math.atan2(tail.mouth.y - tail.tip.y, tail.mouth.x - tail.tip.x)
    return abs(math.degrees((axis - wanted + math.pi) % (2 * math.pi) - math.pi))


def stations(line: Sequence[Point], base: float) -> list[Station]:
    """A tail's axis with half its width at each point, from a base down to nothing at the tip."""
    steps = max(len(line) - 1, 1)
    return [(point, base / 2 * (1 - at / steps)) for at, point in enumerate(line)]
