"""Balloons and captions that butt: cut flat on their panel's border, or run off the page's edge.

A unit that stands flush with an edge or in a corner butts there; a placement may also name the
sides to cut. A balloon is moved until its words keep their air from the line and not more; where
the words may not come so near, as at the edge of the page, its border is drawn on to the line.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

from letterer.fit.candidates import Candidate
from letterer.geometry import Affine, Box, Path, Point, Segment
from letterer.ink.cut import Line, cut
from letterer.ink.outline import frame_outline
from letterer.ink.ring import Ring
from letterer.model.plan import Corner, Edge, PageFormat, PanelPlan, Placement, SideName
from letterer.model.style import Style

ROUNDS = 40
"""Two slanted lines are met by turns: each round leaves less of what is missing."""

BEYOND = 2.0
"""A frame is drawn this far beyond its line, in points, and then cut there."""

ON_LINE = 0.01
"""A side this near to a line, in points, lies on it."""

ON_EDGE = 0.5
"""A panel's side this near to the trim, in points, or beyond it, runs off the page."""


class Butt(NamedTuple):
    """A side on which a unit is cut flat.

    `line` is where it is cut, `seen` where the reader sees it end: the same, but at the edge of the
    page, where it is cut at the bleed and seen to end at the trim. `drawn_on`: its border is drawn
    on to the line if it falls short of it.
    """

    side: SideName
    line: Line
    seen: Line
    drawn_on: bool = False

    def shifted(self, dx: float, dy: float) -> Butt:
        """This butt moved by (dx, dy)."""
        line, seen = (
            Line(line.begin.shifted(dx, dy), line.end.shifted(dx, dy))
            for line in (self.line, self.seen)
        )
        return Butt(self.side, line, seen, self.drawn_on)


def butts_of(
    placement: Placement, panel: PanelPlan | None, format_: PageFormat, style: Style
) -> tuple[Butt, ...]:
    """The sides on which a unit is cut flat, by its placement."""
    spot = placement.spot
    flush: tuple[str, ...] = ()
    if isinstance(spot, Corner | Edge):
        gap = style.gap_points if spot.gap is None else spot.gap
        if not gap:
            flush = tuple(spot.where.split()) if isinstance(spot, Corner) else (spot.side,)
    sides = flush if placement.cut is None else placement.cut
    corners = _clockwise(panel, format_)
    found: list[Butt] = []
    for p, q in itertools.pairwise((*corners, *corners[:1])):
        if p.distance(q) <= ON_EDGE:
            continue
        line = Line(p, q)
        side = _side(line)
        if side in sides:
            cut_at, seen = _on_page(line, side, format_)
            found.append(Butt(side, cut_at, seen, side in flush))
    return tuple(found)


def _clockwise(panel: PanelPlan | None, format_: PageFormat) -> list[Point]:
    """The corners of a panel, or of the page where the unit has no panel."""
    if panel is None:
        box = format_.trim
        return [
            Point(box.left, box.top),
            Point(box.right, box.top),
            Point(box.right, box.bottom),
            Point(box.left, box.bottom),
        ]
    corners = panel.shape.flattened()[0]
    corners = corners[:-1] if corners[0] == corners[-1] else corners
    return corners if panel.shape.area() > 0 else corners[::-1]


def _side(line: Line) -> SideName:
    """Which side of its panel a line is."""
    x, y = line.inward
    if abs(y) >= abs(x):
        return "top" if y > 0 else "bottom"
    return "left" if x > 0 else "right"


def _on_page(line: Line, side: SideName, format_: PageFormat) -> tuple[Line, Line]:
    """Where a side is cut and where it is seen to end: itself, or the edges of a page it runs
    off."""
    trim, bleed = format_.trim, format_.bleed
    ends = (line.begin, line.end)
    off = {
        "left": max(end.x for end in ends) <= trim.left + ON_EDGE,
        "right": min(end.x for end in ends) >= trim.right - ON_EDGE,
        "top": max(end.y for end in ends) <= trim.top + ON_EDGE,
        "bottom": min(end.y for end in ends) >= trim.bottom - ON_EDGE,
    }[side]
    return (_edge(bleed, side), _edge(trim, side)) if off else (line, line)


def _edge(box: Box, side: SideName) -> Line:
    left_top, right_top = Point(box.left, box.top), Point(box.right, box.top)
    right_bottom, left_bottom = Point(box.right, box.bottom), Point(box.left, box.bottom)
    return {
        "top": Line(left_top, right_top),
        "right": Line(right_top, right_bottom),
        "bottom": Line(right_bottom, left_bottom),
        "left": Line(left_bottom, left_top),
    }[side]


def settled(
    butts: Sequence[Butt], candidate: Candidate, air: float | None, place: Point, live: Box
) -> Point:
    """The middle of a unit that butts: its words keep `air` from the lines, in points.

    With `air` None it is a caption, and its frame stands on the lines. Flush units are moved until
    they touch; others are moved only where they would come too near. Words stay in the live area.
    """
    for _ in range(ROUNDS):
        start = place
        for side in dict.fromkeys(butt.side for butt in butts):
            row = [butt for butt in butts if butt.side == side]
            most, nearest = min(
                ((spare(butt, candidate, air, place), butt) for butt in row),
                key=lambda pair: pair[0],
            )
            if most < 0 or nearest.drawn_on:
                inward = nearest.seen.inward
                place = place.shifted(-inward.x * most, -inward.y * most)
        if start.distance(place) < 1e-9:
            break
    if not butts:
        return place
    ink = candidate.ink.shifted(place.x, place.y)
    return place.shifted(
        _inward(ink.left, ink.right, live.left, live.right),
        _inward(ink.top, ink.bottom, live.top, live.bottom),
    )


def _inward(low: float, high: float, least: float, most: float) -> float:
    """What brings a stretch within another; 0 where it is too long for it."""
    if high - low > most - least:
        return 0.0
    return max(least - low, 0.0) + min(most - high, 0.0)


def spare(butt: Butt, candidate: Candidate, air: float | None, place: Point) -> float:
    """How much nearer a unit could come to a line; negative where it is too near."""
    x, y = butt.seen.inward
    reach = reach_of(candidate, Point(-x, -y), words=air is not None)
    return butt.seen.inside(place) - reach - (air or 0.0)


def reach_of(candidate: Candidate, toward: Point, words: bool) -> float:
    """How far the words of a candidate, or its frame, reach in a direction of length 1."""
    if not words:
        assert isinstance(candidate.shape, Box)
        left, top, right, bottom = candidate.shape
        return max(left * toward.x, right * toward.x) + max(top * toward.y, bottom * toward.y)
    turned = Affine(toward.x, -toward.y, toward.y, toward.x)
    boxes = (line.path().mapped(turned).box() for line in candidate.lines)
    return max(box.right for box in boxes if box)


def butted(border: Path, butts: Sequence[Butt]) -> Path:
    """A border cut flat on its lines; drawn on to them where it falls short and should not."""
    for butt in butts:
        if butt.drawn_on and _least(border, butt.line) > 0:
            border = drawn_on(border, butt.line)
    box = border.box()
    lines = [butt.line for butt in butts if box and _abreast(butt, box)]
    crossed = [line for line in lines if _least(border, line) < 0]
    return (cut(border, crossed) or border) if crossed else border


def _abreast(butt: Butt, box: Box) -> bool:
    """Whether a side of a panel lies beside a unit, not farther up or down."""
    p, q = butt.line
    if butt.side in ("top", "bottom"):
        return min(p.x, q.x) < box.right and box.left < max(p.x, q.x)
    return min(p.y, q.y) < box.bottom and box.top < max(p.y, q.y)


def _least(border: Path, line: Line) -> float:
    """How far a border stays on the inner side of a line; negative where it goes beyond."""
    marks, (x, y) = Ring(border).marks - line.begin, line.inward
    return float((marks[:, 0] * x + marks[:, 1] * y).min())


def drawn_on(border: Path, line: Line) -> Path:
    """A border whose half toward a line is drawn straight on to it, from its widest places."""
    ring = Ring(border)
    x, y = line.inward
    across = x * ring.marks[:, 1] - y * ring.marks[:, 0]
    # Walked clockwise, the inner half runs from where the line begins to where it ends.
    first, last = (float(ring.lengths[at]) for at in (across.argmax(), across.argmin()))
    begin, end = ring.point(first), ring.point(last)
    corners = [
        point.shifted(-x * line.inside(point), -y * line.inside(point)) for point in (end, begin)
    ]
    inner = ring.between(last, first)
    outer = ring.between(first, last)
    kept, start, stop = inner, end, begin
    if _mean_inside(outer, line) > _mean_inside(inner, line):
        kept, start, stop = outer, begin, end
        corners.reverse()
    far = [Segment("L", (corner,)) for corner in (corners[1], corners[0])]
    assert stop.distance(kept[-1].points[-1]) < 1e-6
    return Path((Segment("M", (start,)), *kept, *far, Segment("Z")))


def _mean_inside(segments: Sequence[Segment], line: Line) -> float:
    ends = [line.inside(segment.points[-1]) for segment in segments]
    return sum(ends) / len(ends)


def butted_frame(box: Box, butts: Sequence[Butt], identity: str, hand: float) -> Path:
    """A caption's frame whose sides on panel borders are ruled, and lie on them exactly."""
    left, top, right, bottom = box
    for butt in (*butts, *butts):
        line, (x, y) = butt.line, butt.line.inward
        corners = {
            "left": (Point(left, top), Point(left, bottom)),
            "right": (Point(right, top), Point(right, bottom)),
            "top": (Point(left, top), Point(right, top)),
            "bottom": (Point(left, bottom), Point(right, bottom)),
        }[butt.side]
        inside = [line.inside(corner) for corner in corners]
        if not butt.drawn_on and min(inside) > ON_LINE:
            continue
        far = max(inside) + BEYOND + hand
        step = max(far, 0.0) / max(abs(x) if butt.side in ("left", "right") else abs(y), 0.1)
        left -= step if butt.side == "left" else 0.0
        right += step if butt.side == "right" else 0.0
        top -= step if butt.side == "top" else 0.0
        bottom += step if butt.side == "bottom" else 0.0
    frame = frame_outline(Box(left, top, right, bottom), identity, hand)
    return cut(frame, [butt.line for butt in butts if _least(frame, butt.line) < 0]) or frame


def flat_length(border: Path, line: Line) -> float:
    """How much of a border lies flat on a line, in points."""
    total, here = 0.0, border.segments[0].points[0]
    for verb, points in border.segments[1:]:
        end = points[-1] if points else border.segments[0].points[0]
        if verb in "LZ" and all(math.isclose(line.inside(p), 0, abs_tol=1e-6) for p in (here, end)):
            total += here.distance(end)
        here = end
    return total
