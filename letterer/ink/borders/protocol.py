"""What every kind's border answers, and what it is drawn with."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple, Protocol

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point
from letterer.ink.tail import Tail

TailManner = Literal["taper", "spike", "bubbles", "lightning", "waver"]
"""How a kind's tail is drawn: a tapering tail in one contour with the balloon; the longest spike of
a burst; a trail of shrinking bubbles; a bolt of straight strokes; a shaky taper."""


@dataclass(frozen=True, slots=True)
class Pen:
    """What a border is drawn with.

    `identity` decides all chance in it; `size` is the type size, `hand` the amplitude of the hand's
    waver and `weight` the border's weight, all in points. With `hand` 0 the border is ruled: its
    parts are even and its strokes true.
    """

    identity: str = ""
    size: float = craft.SIZE_USUAL
    hand: float = 0.0
    weight: float = craft.BORDER_POINTS

    @property
    def life(self) -> float:
        """How uneven the hand is, from 0 (ruled) to 1 (the usual hand or a livelier one)."""
        return min(self.hand / craft.HAND_AMPLITUDE_POINTS, 1.0)

    def chance(self, what: str) -> random.Random:
        """The chance behind one thing in the border, apart from that behind any other."""
        return random.Random(f"{self.identity}|{what}")


class Reach(NamedTuple):
    """How far a border goes beyond its oval, in points: to each side, above it and below it."""

    aside: float = 0.0
    above: float = 0.0
    below: float = 0.0

    def around(self, box: Box) -> Box:
        """The box of an oval, with the border around it."""
        return Box(
            box.left - self.aside, box.top - self.above, box.right + self.aside,
            box.bottom + self.below,
        )  # fmt: skip


class Notes(NamedTuple):
    """Notes beside the words: what is inked, and the ground behind it that knocks out the border,
    to be filled and stroked on all sides."""

    ink: Path
    ground: Path


class Border(Protocol):
    """One kind's way to draw its border.

    A border never comes inside its oval, but for the hand's waver: it grows outward, its deepest
    places on the oval, so the words keep their air whatever the kind.
    """

    @property
    def air(self) -> float:
        """Air between words and oval, as a share of the style's."""

    @property
    def fullness(self) -> float:
        """The least exponent of the oval: a machine's is squarer than a person's."""

    @property
    def tail(self) -> TailManner:
        """How tails of this kind are drawn."""

    def reach(self, size: float, round_em: float = math.inf) -> Reach:
        """How far the border goes beyond the oval at most, at a type size in points, tails left
        aside. Known the oval's round in em, it is less for a small one."""

    def outline(self, oval: Oval, pen: Pen, aims: Sequence[Tail] = ()) -> Path:
        """The border as one closed contour, clockwise.

        `aims` are the tails that it is to have. A kind whose tail is a spike draws them itself (see
        `aimed_spikes`). Other kinds only leave room: from end to end of each base the border runs
        along its oval, so that a tail can be spliced in there.
        """

    def notes(
        self, oval: Oval, pen: Pen, words: Sequence[Box], tails: Sequence[Point]
    ) -> Notes | None:
        """Notes beside the words, if the kind has any, clear of the words and of the roots of the
        tails."""


class Plain:
    """What most kinds share: the style's own air, a tapering tail, nothing beside the words."""

    air: float = 1.0
    fullness: float = 0.0
    tail: TailManner = "taper"

    def reach(self, size: float, round_em: float = math.inf) -> Reach:
        """Nothing goes beyond the oval."""
        return Reach()

    def notes(
        self, oval: Oval, pen: Pen, words: Sequence[Box], tails: Sequence[Point]
    ) -> Notes | None:
        """No notes."""
        return None
