"""How each kind of balloon draws its border around the oval that its words need.

A border never comes inside its oval: spikes and scallops grow outward from it, so the words keep
their air whatever the kind.
"""

from __future__ import annotations

from typing import Protocol

from letterer.fit.oval import Oval
from letterer.geometry import Path
from letterer.ink.outline import oval_outline


class Border(Protocol):
    """One kind's way to draw its border."""

    def reach(self, size: float) -> float:
        """How far the border goes beyond the oval, in points, at a type size in points."""

    def outline(self, oval: Oval, identity: str, hand: float) -> Path:
        """The border as one closed contour, clockwise; `hand` is the waver's amplitude."""


class Smooth:
    """A plain oval."""

    def reach(self, size: float) -> float:
        """Nothing goes beyond the oval."""
        return 0.0

    def outline(self, oval: Oval, identity: str, hand: float) -> Path:
        """The oval, wavering a little."""
        return oval_outline(oval, identity, hand)


SMOOTH = Smooth()
BORDERS: dict[str, Border] = {}
"""The kinds that have a border of their own."""


def border_of(kind: str) -> Border:
    """The border of a kind of unit."""
    return BORDERS.get(kind, SMOOTH)
