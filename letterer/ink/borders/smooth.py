"""Smooth borders: the plain oval of speech, and a whisper's, which is dashed."""

from __future__ import annotations

import math
from collections.abc import Sequence

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Path, Segment
from letterer.ink.borders.protocol import Pen, Plain
from letterer.ink.outline import oval_outline
from letterer.ink.ring import Ring
from letterer.ink.tail import Tail


class Smooth(Plain):
    """A plain oval, wavering a little by the hand."""

    def __init__(self, air: float = 1.0) -> None:
        self.air = air

    def outline(self, oval: Oval, pen: Pen, aims: Sequence[Tail] = ()) -> Path:
        """The oval."""
        return oval_outline(oval, pen.identity, pen.hand)


def dashed(outline: Path) -> tuple[Path, tuple[float, float]]:
    """A whole outline, tails and all, begun anew so that dashes close evenly on themselves.

    Gives the outline and the dash with its gap: a whole number of them all round. The number and
    the beginning are chosen so that dashes, not gaps, fall on the corners: tips and roots of tails.
    """
    ring = Ring(outline)
    corners = ring.corners()
    usual = ring.length / (craft.DASH_POINTS * (1 + craft.DASH_GAP_SHARE))
    least = max(craft.DASHES_LEAST, math.ceil(usual / (1 + craft.DASH_STRETCH)))
    most = max(least, math.floor(usual * (1 + craft.DASH_STRETCH)))
    best = (math.inf, least, 0.0)
    for count in range(least, most + 1):
        off, middle = _nearest_phase(corners, ring.length / count)
        dash = 1 / (1 + craft.DASH_GAP_SHARE)
        strain = abs(math.log(count / usual))
        # A corner well within its dash is all that is asked; beyond that, the usual length counts.
        miss = max(off * count / ring.length / (dash / 2) - craft.DASH_CORNER_SHARE, 0.0)
        best = min(best, (miss + strain, count, middle))
    period = ring.length / best[1]
    dash = period / (1 + craft.DASH_GAP_SHARE)
    start = (best[2] - dash / 2) % ring.length if corners else 0.0
    begun = Segment("M", (ring.point(start),))
    path = Path((begun, *ring.between(start, start), Segment("Z")))
    # Cut anew, the outline is measured anew: the dashes must close to the last digit.
    period = Ring(path).length / best[1]
    dash = period / (1 + craft.DASH_GAP_SHARE)
    return path, (dash, period - dash)


def _nearest_phase(corners: Sequence[float], period: float) -> tuple[float, float]:
    """The phase nearest to all corners on a circle of one period, and how far the farthest is."""
    if not corners:
        return 0.0, 0.0
    phases = sorted(corner % period for corner in corners)
    gaps = [
        (phases[(index + 1) % len(phases)] - phase) % period or period
        for index, phase in enumerate(phases)
    ]
    widest = gaps.index(max(gaps))
    spread = period - gaps[widest] if len(phases) > 1 else 0.0
    return spread / 2, phases[(widest + 1) % len(phases)] + spread / 2


SMOOTH = Smooth()
WHISPER = Smooth(craft.WHISPER_AIR)
