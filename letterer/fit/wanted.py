"""What is asked of a fit: the style's shape of balloon, and the plan's wishes for one unit."""

from __future__ import annotations

from dataclasses import dataclass

from letterer import craft


@dataclass(frozen=True, slots=True)
class BalloonShape:
    """What a balloon of a style looks like, apart from its words.

    `air` in caps, `leading` in em, `rim` in points: half the border and the hand's amplitude, which
    come between the air and the outline's path.
    """

    air: float = craft.AIR_CAPS
    leading: float = craft.LEADING_EM
    rim: float = craft.BORDER_POINTS / 2 + craft.HAND_AMPLITUDE_POINTS
    exponent: float = craft.EXPONENT
    aspect: tuple[float, float] = craft.ASPECT_RANGE


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the plan asks of one unit; None leaves the choice to the engine.

    `size` is the size to begin with, `floor` the least it may shrink to. `lines` is their number,
    `breaks` after which piece each line ends, `aspect` the width to height. `room` is the width and
    height that the outline may take, in points.
    """

    size: float = craft.SIZE_USUAL
    floor: float = craft.SIZE_FLOOR
    lines: int | None = None
    breaks: tuple[int, ...] | None = None
    aspect: float | None = None
    room: tuple[float, float] | None = None
