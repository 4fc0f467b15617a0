"""The bodies a unit may have: its words set in one, two or three ways, as what takes up room."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from letterer.fit.oval import Oval
from letterer.geometry import Box, Point
from letterer.ink.borders import border_of
from letterer.ink.outline import oval_length
from letterer.model.plan import Center, Fill
from letterer.page.unit import Job, SetUnit, set_unit

BOX_POWER = 60.0
"""A rectangle is taken as a superellipse of this exponent."""

LINES_TRIED = (-1, 1)
"""Numbers of lines tried beside the one that sits best, more or less."""

LINES_TRIED_CAPTION = (-1, -2, -3, 1)
"""A caption may be a low strip along the top as well as a block in a corner."""

LINES_TRIED_SQUEEZED = (-2, 2, -3, 3)
"""Tried as well where none of those goes into the room."""

DIRECTIONS = np.linspace(0.0, np.pi / 2, 9)
"""Bodies are told apart along these directions; between them the distance is a little more."""

COSINES, SINES = np.abs(np.cos(DIRECTIONS)), np.abs(np.sin(DIRECTIONS))

SHAPES_MOST = 3
FAR_WORSE = 0.8
"""A setting that costs this much more than the best, on the scale of the fit, is not tried."""


@dataclass(frozen=True, slots=True)
class Body:
    """One way to set a unit, as what takes up room round its middle, in points.

    `a` and `b` are the half-width and half-height with all that the border reaches; `shape_a` and
    `shape_b` those of the shape by which it is read; `n` is the exponent. `lines` is the number of
    lines where it is not the one that the unit takes by itself. `cost` is that of the setting
    beyond the best one's.
    """

    a: float
    b: float
    shape_a: float
    shape_b: float
    n: float
    cap: float
    lines: int | None = None
    cost: float = 0.0

    @property
    def area(self) -> float:
        """About the area it covers: what an ellipse of its half-axes would."""
        return 3.2 * self.a * self.b if self.n < BOX_POWER else 4 * self.a * self.b


def reach_of(a: ArrayLike, b: ArrayLike, n: ArrayLike) -> NDArray[np.float64]:
    """How far superellipses reach along each of DIRECTIONS (their support functions): a row for
    each."""
    half_w, half_h, power = (np.asarray(value, dtype=np.float64)[:, None] for value in (a, b, n))
    dual = power / (power - 1)
    found: NDArray[np.float64] = ((half_w * COSINES) ** dual + (half_h * SINES) ** dual) ** (
        1 / dual
    )
    return found


def body_of(unit: SetUnit, lines: int | None = None, cost: float = 0.0) -> Body:
    """The body of a unit that is set."""
    shape = unit.candidate.shape
    box = shape.box if isinstance(shape, Oval) else shape
    half_w, half_h = box.width / 2, box.height / 2
    if isinstance(shape, Oval):
        size = unit.candidate.size
        reach = border_of(unit.job.setting.kind).reach(size, oval_length(shape) / size)
        aside, above = reach.aside, max(reach.above, reach.below)
        n = shape.n
    else:
        aside = above = 0.0
        n = BOX_POWER
    edge = unit.job.style.border / 2 if unit.job.setting.has_outline else 0.0
    return Body(
        half_w + aside + edge, half_h + above + edge, half_w, half_h, n, unit.cap, lines, cost
    )


def bodies_of(job: Job, room: Box) -> tuple[Body, ...]:
    """The ways to set a unit that are worth a place, the best first; never empty.

    Those that go into the room come before others. Raises LettererError for words that cannot be
    set.
    """
    spot = job.placement.spot
    middle = spot if isinstance(spot, Center) else Center(Point(*room.center))
    job = replace(job, placement=replace(job.placement, spot=middle))
    best = set_unit(job)
    found = [body_of(best)]
    free = job.placement.lines is None and job.placement.breaks is None
    if not free or job.setting.kind == "effect" or isinstance(spot, Fill):
        return tuple(found)
    count = len(best.candidate.lines)
    most = len(job.unit.words.split())
    caption = job.setting.is_caption
    usual = LINES_TRIED_CAPTION if caption else LINES_TRIED
    for tried in (usual, LINES_TRIED_SQUEEZED):
        if tried is LINES_TRIED_SQUEEZED and any(_goes_in(body, room) for body in found):
            break
        for more in tried:
            known = {count, *(body.lines for body in found)}
            if not 1 <= count + more <= most or count + more in known:
                continue
            other = set_unit(replace(job, placement=replace(job.placement, lines=count + more)))
            cost = other.candidate.total - best.candidate.total
            if len(other.candidate.lines) == count + more and cost <= FAR_WORSE:
                found.append(body_of(other, count + more, max(cost, 0.0)))
    found.sort(key=lambda body: (not _goes_in(body, room), body.cost))
    return tuple(found[: SHAPES_MOST + 2 * caption])


def _goes_in(body: Body, room: Box) -> bool:
    return 2 * body.a <= room.width and 2 * body.b <= room.height


def too_large_by(body: Body, room: Box) -> tuple[float, float]:
    """By how much a body is wider and higher than a room, in points; zeros where it goes in."""
    return max(2 * body.a - room.width, 0.0), max(2 * body.b - room.height, 0.0)
