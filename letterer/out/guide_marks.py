"""The marks in the corners of a sheet to draw on: where they stand, and what they look like.

A mark is a ring with a dot in it, black, so that a scan in grey or black keeps it: whichever way
the sheet is turned it looks the same. Under the first of them is a bar, which says which corner is
the top left. Marks are measured in points of the page and grow with the sheet, so that a scan can
be brought back to its page whatever the scale of the sheet was.
"""

from __future__ import annotations

import math

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.geometry import Box, Path, Point, Segment, rectangle
from letterer.model.plan import PageFormat

CORNERS = ("top left", "top right", "bottom right", "bottom left")
"""The four corners, in the order in which marks are always given: clockwise."""

RADIUS, RING, DOT = 7.0, 0.68, 0.36
"""A mark's outer radius in points of the page; the hole in its ring and its dot as shares of it."""

ASIDE = 14.0
"""Middles of marks stand so far to the sides of the bleed, in points of the page."""

HEAD = Box(-2.2, 10.5, 2.2, 24.0)
"""The bar under the first mark, from its middle."""

ROUND = 4 * (math.sqrt(2) - 1) / 3
"""A quarter of a circle as one cubic (from memory, the usual approximation)."""


def marks_of(format: PageFormat) -> tuple[Point, Point, Point, Point]:
    """The middles of a page's four marks, clockwise from the top left; in points of the page.

    Raises LettererError for a page too small to have them.
    """
    bleed = format.bleed
    if min(bleed.width, bleed.height) < craft.GUIDE_SIDE_LEAST_POINTS:
        what = "this page is too small for a sheet with marks"
        raise LettererError(Fault(what, 'Check "page" and "unit" in the layout'))
    left, right = bleed.left - ASIDE, bleed.right + ASIDE
    top, bottom = bleed.top + RADIUS, bleed.bottom - RADIUS
    return Point(left, top), Point(right, top), Point(right, bottom), Point(left, bottom)


def mark_paths(format: PageFormat) -> tuple[tuple[Path, ...], Path]:
    """What is drawn of the marks: rings and dots to be filled black, and the bar under the
    first."""
    rings = tuple(
        path
        for at in marks_of(format)
        for path in (
            circle(at, RADIUS) + circle(at, RADIUS * RING, clockwise=False),
            circle(at, RADIUS * DOT),
        )
    )
    first = marks_of(format)[0]
    return rings, rectangle(HEAD.shifted(*first))


def circle(at: Point, radius: float, clockwise: bool = True) -> Path:
    """A circle as four cubics.

    >>> round(circle(Point(0, 0), 10).area(), 1), round(circle(Point(0, 0), 10, False).area(), 1)
    (314.2, -314.2)
    """
    turn = 1 if clockwise else -1
    segments = [Segment("M", (Point(at.x + radius, at.y),))]
    for quarter in range(4):
        a, b = (turn * math.pi / 2 * (quarter + end) for end in (0, 1))
        start = Point(at.x + radius * math.cos(a), at.y + radius * math.sin(a))
        end = Point(at.x + radius * math.cos(b), at.y + radius * math.sin(b))
        pull = turn * radius * ROUND
        one = start.shifted(-pull * math.sin(a), pull * math.cos(a))
        two = end.shifted(pull * math.sin(b), -pull * math.cos(b))
        segments.append(Segment("C", (one, two, end)))
    return Path((*segments, Segment("Z")))
