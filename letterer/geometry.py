"""Points, boxes, affine maps and Bézier paths: frozen values, one unit, y grows downward.

The one internal length is the PostScript point (1/72 in). The origin of a page is the top left
corner of its trim; anything above or left of the trim (bleed) has negative coordinates.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

POINTS_PER_INCH = 72.0
MM_PER_INCH = 25.4


class Point(NamedTuple):
    """A place on the page, in points."""

    x: float
    y: float

    def shifted(self, dx: float, dy: float) -> Point:
        """This point moved by (dx, dy)."""
        return Point(self.x + dx, self.y + dy)

    def distance(self, other: Point) -> float:
        """Straight distance to another point.

        >>> Point(0, 0).distance(Point(3, 4))
        5.0
        """
        return math.hypot(self.x - other.x, self.y - other.y)

    def toward(self, other: Point, share: float) -> Point:
        """The point that lies `share` of the way from here to `other`.

        >>> Point(0, 0).toward(Point(10, 20), 0.5)
        Point(x=5.0, y=10.0)
        """
        return Point(self.x + (other.x - self.x) * share, self.y + (other.y - self.y) * share)


class Box(NamedTuple):
    """An upright rectangle by its edges, in points; `top` < `bottom` since y grows downward."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Right edge less left edge."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Bottom edge less top edge."""
        return self.bottom - self.top

    @property
    def area(self) -> float:
        """Width times height; 0 when either is not positive.

        >>> Box(1, 1, 0, 5).area
        0.0
        """
        return max(self.width, 0.0) * max(self.height, 0.0)

    @property
    def center(self) -> Point:
        """The middle of the box."""
        return Point((self.left + self.right) / 2, (self.top + self.bottom) / 2)

    def grown(self, by: float) -> Box:
        """This box with every edge moved outward by `by` (inward when negative)."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def shifted(self, dx: float, dy: float) -> Box:
        """This box moved by (dx, dy)."""
        return Box(self.left + dx, self.top + dy, self.right + dx, self.bottom + dy)

    def contains(self, other: Box, slack: float = 0.0) -> bool:
        """True when `other` lies inside this box, or sticks out by no more than `slack`."""
        return (
            other.left >= self.left - slack
            and other.top >= self.top - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )

    def common(self, other: Box) -> Box:
        """What two boxes share; edges that cross where they share nothing.

        >>> Box(0, 0, 2, 2).common(Box(1, -1, 3, 1))
        Box(left=1, top=0, right=2, bottom=1)
        """
        return Box(
            max(self.left, other.left),
            max(self.top, other.top),
            min(self.right, other.right),
            min(self.bottom, other.bottom),
        )

    def holds(self, point: Point) -> bool:
        """True when the point lies inside the box or on its edge."""
        return self.left <= point.x <= self.right and self.top <= point.y <= self.bottom

    def meets(self, other: Box) -> bool:
        """True when the two boxes share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


def union_box(boxes: Iterable[Box]) -> Box | None:
    """The smallest box around all of them, or None when there are none.

    >>> union_box([Box(0, 0, 1, 1), Box(2, -1, 3, 0)])
    Box(left=0, top=-1, right=3, bottom=1)
    """
    found = list(boxes)
    if not found:
        return None
    return Box(
        min(box.left for box in found),
        min(box.top for box in found),
        max(box.right for box in found),
        max(box.bottom for box in found),
    )


class Affine(NamedTuple):
    """The map x' = a·x + c·y + e, y' = b·x + d·y + f (the order that SVG's `matrix` uses)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def apply(self, point: Point) -> Point:
        """Where the map takes a point."""
        return Point(
            self.a * point.x + self.c * point.y + self.e,
            self.b * point.x + self.d * point.y + self.f,
        )

    def after(self, first: Affine) -> Affine:
        """The map that does `first`, then this one.

        >>> Affine(e=1).after(Affine(a=2)).apply(Point(3, 0))
        Point(x=7.0, y=0.0)
        """
        return Affine(
            self.a * first.a + self.c * first.b,
            self.b * first.a + self.d * first.b,
            self.a * first.c + self.c * first.d,
            self.b * first.c + self.d * first.d,
            self.a * first.e + self.c * first.f + self.e,
            self.b * first.e + self.d * first.f + self.f,
        )


class Segment(NamedTuple):
    """One drawing step. `verb` is M (move), L (line), Q (quadratic), C (cubic) or Z (close).

    `points` holds the control points and then the end point: 1 for M and L, 2 for Q, 3 for C,
    none for Z.
    """

    verb: str
    points: tuple[Point, ...] = ()


POINTS_BY_VERB = {"M": 1, "L": 1, "Q": 2, "C": 3, "Z": 0}


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """A Bézier path: contours of segments, each begun by a move. Frozen; edits return new paths.

    Two paths are equal when their segments are, however they came about (see `text.letter_path`).
    """

    segments: tuple[Segment, ...] = ()

    def __post_init__(self) -> None:
        begun = False
        for segment in self.segments:
            if len(segment.points) != POINTS_BY_VERB[segment.verb]:
                raise ValueError(f"{segment.verb} takes {POINTS_BY_VERB[segment.verb]} points")
            if segment.verb != "M" and not begun:
                raise ValueError("a contour begins with M")
            begun = segment.verb != "Z"

    def __eq__(self, other: object) -> bool:
        return self.segments == other.segments if isinstance(other, Path) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.segments)

    def __bool__(self) -> bool:
        return bool(self.segments)

    def __add__(self, other: Path) -> Path:
        return _sound(self.segments + other.segments)

    def mapped(self, affine: Affine) -> Path:
        """This path with every point taken through an affine map."""
        a, b, c, d, e, f = affine
        if b == 0 and c == 0:  # the usual case, worth its own line
            return _sound(
                tuple(
                    [
                        Segment(verb, tuple([Point(a * x + e, d * y + f) for x, y in points]))
                        for verb, points in self.segments
                    ]
                )
            )
        apply = affine.apply
        return _sound(
            tuple(Segment(verb, tuple(map(apply, points))) for verb, points in self.segments)
        )

    def shifted(self, dx: float, dy: float) -> Path:
        """This path moved by (dx, dy)."""
        return self.mapped(Affine(e=dx, f=dy))

    def contours(self) -> Iterator[Path]:
        """The path's contours, one path each."""
        begun: list[Segment] = []
        for segment in self.segments:
            if segment.verb == "M" and begun:
                yield _sound(tuple(begun))
                begun = []
            begun.append(segment)
        if begun:
            yield _sound(tuple(begun))

    def box(self) -> Box | None:
        """The exact box around the drawn curve (not its control points); None when empty."""
        ends: list[Point] = []
        curves: list[tuple[Point, ...]] = []
        here = start = Point(0.0, 0.0)
        for verb, points in self.segments:
            if verb == "Z":
                here = start
                continue
            if verb == "M":
                start = points[0]
            elif verb != "L":
                curves.append((here, *points))
            here = points[-1]
            ends.append(here)
        if not ends:
            return None
        xs, ys = [x for x, _ in ends], [y for _, y in ends]
        left, top, right, bottom = min(xs), min(ys), max(xs), max(ys)
        for chain in curves:
            # Only a curve with a control point beyond the box of all ends can leave it.
            for x, y in chain[1:-1]:
                if x < left or x > right:
                    xs += _extremes([x for x, _ in chain])
                if y < top or y > bottom:
                    ys += _extremes([y for _, y in chain])
        return Box(min(xs), min(ys), max(xs), max(ys))

    def contour_boxes(self) -> list[Box]:
        """The box around each contour, in their order."""
        return [box for contour in self.contours() if (box := contour.box())]

    def flattened(self, tolerance: float = 0.01) -> list[list[Point]]:
        """Each contour as a list of points, never farther than `tolerance` points from the
        curve."""
        lines: list[list[Point]] = []
        for verb, points in self.segments:
            if verb == "M":
                lines.append([points[0]])
            elif verb == "Z":
                if lines[-1][0] != lines[-1][-1]:
                    lines[-1].append(lines[-1][0])
            elif verb == "L":
                lines[-1].append(points[0])
            else:
                chain = (lines[-1][-1], *points)
                steps = _steps(chain, tolerance)
                lines[-1] += [bezier_point(chain, i / steps) for i in range(1, steps)]
                lines[-1].append(points[-1])
        return lines

    def area(self) -> float:
        """Signed area by Green's theorem, exact for lines, quadratics and cubics.

        Positive where a contour runs clockwise as seen on the page (y down). Open contours count
        as closed by a straight line.

        >>> rectangle(Box(0, 0, 2, 3)).area()
        6.0
        """
        total = 0.0
        here = start = Point(0.0, 0.0)
        for verb, points in self.segments:
            if verb == "M":
                total += _line_area(here, start)
                here = start = points[0]
            elif verb == "Z":
                total += _line_area(here, start)
                here = start
            elif verb == "L":
                total += _line_area(here, points[0])
                here = points[0]
            else:
                total += _cubic_area(*_as_cubic((here, *points)))
                here = points[-1]
        return total + _line_area(here, start)


def _sound(segments: tuple[Segment, ...]) -> Path:
    """A path of segments that are known to be in order, taken from sound paths: nothing is checked
    again."""
    path = object.__new__(Path)
    object.__setattr__(path, "segments", segments)
    return path


def rectangle(box: Box) -> Path:
    """A box as a closed path, clockwise from its top left corner."""
    return polygon(
        (
            Point(box.left, box.top),
            Point(box.right, box.top),
            Point(box.right, box.bottom),
            Point(box.left, box.bottom),
        )
    )


def polygon(points: Iterable[Point]) -> Path:
    """A closed path of straight lines through the points, in order."""
    first, *rest = points
    return Path((Segment("M", (first,)), *(Segment("L", (point,)) for point in rest), Segment("Z")))


def holds(outline: Sequence[Point], point: Point) -> bool:
    """Whether a point lies inside a polygon given by its corners (even-odd rule).

    >>> holds([Point(0, 0), Point(2, 0), Point(0, 2)], Point(0.5, 0.5))
    True
    """
    inside = False
    for index, q in enumerate(outline):
        p = outline[index - 1]
        if (p.y > point.y) != (q.y > point.y):
            inside ^= point.x < p.x + (point.y - p.y) * (q.x - p.x) / (q.y - p.y)
    return inside


def overlap(first: Sequence[Point], second: Sequence[Point]) -> bool:
    """Whether two polygons share more than borders: a corner of one in the other, or a crossing.

    >>> square = [Point(0, 0), Point(2, 0), Point(2, 2), Point(0, 2)]
    >>> overlap(square, [Point(x + 1, y - 1) for x, y in square]), overlap(square, square[:3])
    (True, True)
    """
    if any(holds(first, point) for point in second) or any(holds(second, p) for p in first):
        return True
    return any(
        _cross(first[i - 1], first[i], second[j - 1], second[j])
        for i in range(len(first))
        for j in range(len(second))
    )


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x)

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def bezier_point(chain: tuple[Point, ...], t: float) -> Point:
    """The point at `t` (0 to 1) of the Bézier curve with these control points."""
    s = 1.0 - t
    if len(chain) == 3:
        p0, p1, p2 = chain
        k0, k1, k2 = s * s, 2 * s * t, t * t
        return Point(k0 * p0.x + k1 * p1.x + k2 * p2.x, k0 * p0.y + k1 * p1.y + k2 * p2.y)
    p0, p1, p2, p3 = chain
    k0, k1, k2, k3 = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
    return Point(
        k0 * p0.x + k1 * p1.x + k2 * p2.x + k3 * p3.x,
        k0 * p0.y + k1 * p1.y + k2 * p2.y + k3 * p3.y,
    )


def _as_cubic(chain: tuple[Point, ...]) -> tuple[Point, Point, Point, Point]:
    """A quadratic raised to the cubic that draws the same curve; a cubic as it is."""
    if len(chain) == 4:
        return chain
    p0, p1, p2 = chain
    return p0, p0.toward(p1, 2 / 3), p2.toward(p1, 2 / 3), p2


def _line_area(p: Point, q: Point) -> float:
    return (p.x * q.y - q.x * p.y) / 2


def _cubic_area(p0: Point, p1: Point, p2: Point, p3: Point) -> float:
    def cross(p: Point, q: Point) -> float:
        return p.x * q.y - q.x * p.y

    return (
        6 * cross(p0, p1)
        + 3 * cross(p0, p2)
        + cross(p0, p3)
        + 3 * cross(p1, p2)
        + 3 * cross(p1, p3)
        + 6 * cross(p2, p3)
    ) / 20


def _steps(chain: tuple[Point, ...], tolerance: float) -> int:
    """How many equal steps keep a curve's chords within `tolerance`.

    A degree-n Bézier cut into k equal steps strays from its chords by at most
    n(n-1)/8 · max|second difference| / k² (the classic flattening bound, from memory).
    """
    second = max(
        math.hypot(
            chain[i].x - 2 * chain[i + 1].x + chain[i + 2].x,
            chain[i].y - 2 * chain[i + 1].y + chain[i + 2].y,
        )
        for i in range(len(chain) - 2)
    )
    n = len(chain) - 1
    return max(1, math.ceil(math.sqrt(n * (n - 1) / 8 * second / tolerance)))


def _extremes(values: list[float]) -> list[float]:
    """The values that one coordinate of a Bézier curve takes where it turns inside (0, 1)."""
    if len(values) == 3:
        p0, p1, p2 = values
        bend = p0 - 2 * p1 + p2
        roots = [(p0 - p1) / bend] if bend else []
        return [(1 - t) ** 2 * p0 + 2 * (1 - t) * t * p1 + t * t * p2 for t in roots if 0 < t < 1]
    p0, p1, p2, p3 = values
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0
    roots = _quadratic_roots(a, b, c)
    return [
        (1 - t) ** 3 * p0 + 3 * (1 - t) ** 2 * t * p1 + 3 * (1 - t) * t * t * p2 + t**3 * p3
        for t in roots
        if 0 < t < 1
    ]


def _quadratic_roots(a: float, b: float, c: float) -> list[float]:
    if abs(a) < 1e-12 * max(abs(b), abs(c), 1e-300):
        return [-c / b] if b else []
    inside = b * b - 4 * a * c
    if inside < 0:
        return []
    root = math.sqrt(inside)
    half = -(b + math.copysign(root, b)) / 2
    return [half / a, c / half] if half else [0.0]
