"""Is a ring of corners a sound outline? It needs area, and must not cross or touch itself."""

from __future__ import annotations

from collections.abc import Sequence

from letterer.geometry import Point, polygon

AREA_LEAST_SHARE = 1e-9
"""A ring that covers less than this share of the box around it is a line, not an area."""


def ring_fault(points: Sequence[Point]) -> str:
    """What is wrong with a closed ring, in words that follow its name; empty when it is sound.

    A corner that repeats the one before it, or a last corner that repeats the first, is no fault.

    >>> ring_fault([Point(0, 0), Point(2, 0), Point(2, 2), Point(0, 2)])
    ''
    >>> ring_fault([Point(0, 0), Point(2, 2), Point(2, 0), Point(0, 2)])
    'crosses or touches itself between its lines 1 and 3'
    """
    corners = [(at, point) for at, point in enumerate(points) if point != points[at - 1]]
    if len(corners) < 3:
        return "needs at least 3 different points"
    box = polygon([point for _, point in corners]).box()
    assert box is not None  # there are corners
    crossing = _crossing([point for _, point in corners])
    if crossing is None and abs(_area(corners)) > AREA_LEAST_SHARE * box.area:
        return ""
    if crossing is None or box.area == 0 or _all_in_line([point for _, point in corners]):
        return "covers no area: its points lie in one line"
    first, second = sorted(corners[at][0] + 1 for at in crossing)
    return f"crosses or touches itself between its lines {first} and {second}"


def _area(corners: Sequence[tuple[int, Point]]) -> float:
    """Signed area, measured from the first corner so that far-off rings keep their digits."""
    origin = corners[0][1]
    return polygon([point.shifted(-origin.x, -origin.y) for _, point in corners]).area()


def _all_in_line(points: Sequence[Point]) -> bool:
    first = points[0]
    far = max(points, key=first.distance)
    return all(_turn(first, far, point) == 0 for point in points)


def _crossing(points: Sequence[Point]) -> tuple[int, int] | None:
    """Two edges that meet elsewhere than in a shared corner; edge i runs from corner i.

    Edges are swept from left to right, so only those that overlap sideways are compared.
    """
    edges = [(points[i], points[(i + 1) % len(points)]) for i in range(len(points))]
    order = sorted(range(len(edges)), key=lambda i: min(edges[i][0].x, edges[i][1].x))
    active: list[int] = []
    found: list[tuple[int, int]] = []
    for i in order:
        left = min(edges[i][0].x, edges[i][1].x)
        active = [j for j in active if max(edges[j][0].x, edges[j][1].x) >= left]
        found += [(min(i, j), max(i, j)) for j in active if _meet(i, j, edges)]
        if found:
            return min(found)
        active.append(i)
    return None


def _meet(i: int, j: int, edges: Sequence[tuple[Point, Point]]) -> bool:
    if i > j:
        i, j = j, i
    (a, b), (c, d) = edges[i], edges[j]
    if j == i + 1:
        return _folds_back(a, b, d)
    if i == 0 and j == len(edges) - 1:
        return _folds_back(c, d, b)
    turns = _turn(a, b, c), _turn(a, b, d), _turn(c, d, a), _turn(c, d, b)
    if turns[0] * turns[1] < 0 and turns[2] * turns[3] < 0:
        return True
    return (
        (turns[0] == 0 and _between(a, c, b))
        or (turns[1] == 0 and _between(a, d, b))
        or (turns[2] == 0 and _between(c, a, d))
        or (turns[3] == 0 and _between(c, b, d))
    )


def _folds_back(before: Point, corner: Point, after: Point) -> bool:
    """True when the line goes back over itself at a corner."""
    back = (before.x - corner.x) * (after.x - corner.x)
    back += (before.y - corner.y) * (after.y - corner.y)
    return _turn(before, corner, after) == 0 and back > 0


def _turn(a: Point, b: Point, c: Point) -> int:
    """Which way the path a, b, c turns: 1, -1, or 0 when the three lie in one line."""
    cross = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
    return (cross > 0) - (cross < 0)


def _between(a: Point, c: Point, b: Point) -> bool:
    return min(a.x, b.x) <= c.x <= max(a.x, b.x) and min(a.y, b.y) <= c.y <= max(a.y, b.y)
