"""The largest size at which something fits its room."""

from __future__ import annotations

import math
from collections.abc import Callable

from letterer.fit.candidates import Candidate
from letterer.fit.wanted import Wishes

SIZE_STEP = 0.05
"""Sizes are whole multiples of this many points: two balloons that shrink alike look alike."""

Fitting = Callable[[float], list[Candidate] | None]
"""The candidates at a size, best first; None when none of them keeps within the room."""


def largest_fitting(wishes: Wishes, fitting: Fitting) -> list[Candidate] | None:
    """The candidates at the usual size, or at the largest size below it at which one fits.

    None when nothing fits even at the floor. What fits at a size fits at every smaller one.
    """
    found = fitting(wishes.size)
    if found is not None:
        return found
    floor = min(wishes.floor, wishes.size)
    kept = fitting(floor)
    if kept is None:
        return None
    low, high = math.ceil(floor / SIZE_STEP - 1e-9), math.ceil(wishes.size / SIZE_STEP - 1e-9)
    while high - low > 1:
        middle = (low + high) // 2
        tried = fitting(round(middle * SIZE_STEP, 2))
        low, high, kept = (low, middle, kept) if tried is None else (middle, high, tried)
    return kept
