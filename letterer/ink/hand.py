"""The hand's life in a border: a slow, slight waver, the same at every run.

The waver is a sum of a few sine waves along the line, whole numbers of them round a closed border,
so that the end meets the beginning without a seam. It is drawn by the words and kind of the unit,
not by its number: words that did not change keep their border when a unit is added before them.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from letterer import craft


@dataclass(frozen=True, slots=True)
class Waver:
    """A displacement along a line of some length; `waves` are (periods, share, phase)."""

    length: float
    amplitude: float
    waves: tuple[tuple[int, float, float], ...]

    def at(self, arc: float) -> float:
        """How far the line strays at an arc length, in points: never beyond the amplitude."""
        turn = 2 * math.pi * arc / self.length
        return self.amplitude * sum(
            share * math.sin(periods * turn + phase) for periods, share, phase in self.waves
        )

    def along(self, arcs: NDArray[np.float64]) -> NDArray[np.float64]:
        """`at` for many arc lengths at once."""
        turns = 2 * math.pi * arcs / self.length
        waves = (share * np.sin(periods * turns + phase) for periods, share, phase in self.waves)
        return self.amplitude * sum(waves, np.zeros_like(arcs))


def waver(identity: str, length: float, amplitude: float) -> Waver:
    """The waver of a closed line. `identity` decides it; amplitude 0 gives a ruled line.

    >>> waver("a", 100, 0.2) == waver("a", 100, 0.2) != waver("b", 100, 0.2)
    True
    """
    if amplitude <= 0 or length <= 0:
        return Waver(max(length, 1.0), 0.0, ())
    chance = random.Random(identity)
    fastest = max(2, round(length / craft.HAND_WAVE_POINTS))
    slowest = max(1, fastest // 3)
    periods = sorted({slowest, max(1, round((slowest + fastest) / 2)), fastest})
    weights = [(0.5 + chance.random()) / count**0.5 for count in periods]
    total = sum(weights)
    return Waver(
        length,
        amplitude,
        tuple(
            (count, weight / total, chance.random() * 2 * math.pi)
            for count, weight in zip(periods, weights, strict=True)
        ),
    )
