"""The order in which a reader meets the panels of a page, and how sure that is.

A page is cut again and again: into rows where a gutter runs across, else into columns by the
direction of reading. Gutters may slant, panels may overlap a little, rows may be staggered: each
cut has a *need*, the share of a panel by which it would have to shrink for the gutter to be clean.
The need, and what published studies say of readers, give the confidence. Where no cut is possible
(a pinwheel) each panel comes after those above it and those before it in its row.

Sources: Cohn, "Navigating comics", Frontiers in Psychology 4:186, 2013 (a stack beside a tall panel
is read down by 62 to 68 % of readers); Cohn & Campbell, "Navigating comics II", Applied Cognitive
Psychology 29, 2015 (separation, overlap and blockage push readers off the row, by degree). Cutting
again and again, rows first, is common in work on panel order (Kovanen & Aizawa, 2015).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, pairwise
from typing import NamedTuple

from letterer import craft
from letterer.geometry import MM_PER_INCH, POINTS_PER_INCH, Box, Point, holds
from letterer.model.plan import PanelPlan, Reading

POINTS_PER_MM = POINTS_PER_INCH / MM_PER_INCH
TOLERANCE = 0.3
"""Outlines are taken as polygons this near to them, in points."""

SAMPLES = 16
"""A slanted panel is asked at this many places each way how much of it lies in another."""

FLAT = 1e-9


class Lead(NamedTuple):
    """How words lead the eye at a doubtful place: `how`, by which units, between which two panels,
    and how strongly (`pull`, in log odds): above 0 the way of the order, below 0 the other way."""

    how: str
    units: tuple[str, ...]
    panels: tuple[int, int]
    pull: float


class Doubt(NamedTuple):
    """One decision about a page: the share of readers who go one way (0 to 1), the stretch of
    panels in that order and in the other, what about the page makes it doubtful, and how words
    lead there."""

    share: float
    order: tuple[int, ...]
    rival: tuple[int, ...]
    why: str = ""
    leads: tuple[Lead, ...] = ()

    @property
    def parted(self) -> tuple[int, ...]:
        """The panels between which the other order parts from this one."""
        pairs = zip(self.order, self.rival, strict=True)
        return tuple(one for one, other in pairs if one != other)


@dataclass(frozen=True, slots=True)
class PanelOrder:
    """The order of panels by their numbers, the share of readers who will follow it (0 to 1), and
    the decisions that it rests on, in the order of the page: it is as sure as the least sure."""

    order: tuple[int, ...]
    confidence: float
    doubts: tuple[Doubt, ...] = ()

    @property
    def confident(self) -> bool:
        """True where most readers will follow the order."""
        return self.confidence >= craft.ORDER_CONFIDENT

    @property
    def least(self) -> Doubt | None:
        """The most doubtful decision, where readers may be unsure at all."""
        least = min(self.doubts, key=lambda doubt: doubt.share, default=None)
        return least if least and least.share < craft.ORDER_DOUBTFUL else None

    @property
    def rival(self) -> tuple[int, ...] | None:
        """The next likely order, where another is likely at all."""
        return put_in(self.order, self.least.rival) if self.least else None

    @property
    def doubt(self) -> tuple[int, ...]:
        """The panels between which the rival parts from the order."""
        return self.least.parted if self.least else ()


def order_by(order: tuple[int, ...], doubts: Sequence[Doubt]) -> PanelOrder:
    """An order with the decisions it rests on."""
    least = min((doubt.share for doubt in doubts), default=craft.ORDER_SURE)
    return PanelOrder(order, min(least, craft.ORDER_SURE), tuple(doubts))


def put_in(order: Sequence[int], stretch: Sequence[int]) -> tuple[int, ...]:
    """An order with some of its panels in the order of a stretch, at the places that they have.

    >>> put_in((1, 2, 3, 4), (3, 2))
    (1, 3, 2, 4)
    """
    rest = iter(stretch)
    return tuple(next(rest) if key in stretch else key for key in order)


def panel_order(
    panels: Sequence[PanelPlan], reading: Reading, fold: float | None = None
) -> PanelOrder:
    """The order in which a reader meets panels.

    `fold` is the x of the fold of a spread, in points: what lies wholly before it comes before what
    lies wholly behind it, unless a panel crosses it.
    """
    mirrored = reading is Reading.RIGHT_TO_LEFT
    pieces = [_piece(panel, mirrored) for panel in panels]
    middle = None if fold is None else -fold if mirrored else fold
    found = arranged(pieces, PAGE, middle)
    return order_by(tuple(piece.key for piece in found.order), found.doubts)


class Piece(NamedTuple):
    """Something that is met on the page: its key, its polygon, the box around it. Reading goes to
    the right; for the other direction pieces are mirrored."""

    key: int
    points: tuple[Point, ...]
    box: Box
    upright: bool


class Rule(NamedTuple):
    """How pieces are told apart: `stagger` is the need up to which rows stay rows; within
    `doubt_points` of another decision an order is doubtful, and sure from `sure_points` beyond;
    `apart` is what each width of extra gutter between columns takes from the confidence in rows."""

    stagger: float
    sure_points: float
    doubt_points: float
    apart: float = 0.0


PAGE = Rule(craft.STAGGER_SHARE, 7 * POINTS_PER_MM, 3 * POINTS_PER_MM, craft.SEPARATION_SHARE)
"""Panels: a jitter of a millimetre must not turn a confident order."""

WORDS = Rule(craft.STAGGER_SHARE_WORDS, 2 * POINTS_PER_MM, 0.5 * POINTS_PER_MM)


@dataclass(frozen=True, slots=True)
class Arranged:
    """Pieces in order, and the decisions that the order rests on."""

    order: tuple[Piece, ...]
    doubts: tuple[Doubt, ...] = ()

    @property
    def confidence(self) -> float:
        """The confidence of the most doubtful decision."""
        return min((doubt.share for doubt in self.doubts), default=craft.ORDER_SURE)

    @property
    def keys(self) -> tuple[int, ...]:
        """The pieces by their keys."""
        return tuple(piece.key for piece in self.order)


def piece_of_box(key: int, box: Box, mirrored: bool) -> Piece:
    """An upright piece."""
    if mirrored:
        box = Box(-box.right, box.top, -box.left, box.bottom)
    corners = (
        Point(box.left, box.top),
        Point(box.right, box.top),
        Point(box.right, box.bottom),
        Point(box.left, box.bottom),
    )
    return Piece(key, corners, box, True)


def _piece(panel: PanelPlan, mirrored: bool) -> Piece:
    points = [point for contour in panel.shape.flattened(TOLERANCE) for point in contour]
    if len(points) > 1 and points[0] == points[-1]:
        points.pop()
    sides = {panel.box.left, panel.box.right}
    ends = {panel.box.top, panel.box.bottom}
    if len(points) == 4 and all(point.x in sides and point.y in ends for point in points):
        return piece_of_box(panel.number, panel.box, mirrored)
    box = panel.box
    if mirrored:
        points = [Point(-point.x, point.y) for point in points]
        box = Box(-box.right, box.top, -box.left, box.bottom)
    return Piece(panel.number, tuple(points), box, False)


def arranged(pieces: Iterable[Piece], rule: Rule, fold: float | None = None) -> Arranged:
    """Pieces in the order in which they are met. Insets follow their hosts."""
    every = sorted(pieces, key=lambda piece: (piece.box.top, piece.box.left, piece.key))
    hosts = _hosts(every)
    found = _Arranger(rule, fold).of(tuple(piece for piece in every if piece.key not in hosts))
    # The largest first: an inset that holds others has its place before they have theirs.
    holding = [piece for piece in every if piece.key in hosts.values()]
    for host in sorted(holding, key=_area, reverse=True):
        inner = tuple(piece for piece in every if hosts.get(piece.key) == host.key)
        found = _with_insets(found, host, arranged(inner, rule))
    return found


def _hosts(pieces: Sequence[Piece]) -> dict[int, int]:
    """For each inset the smallest piece that holds it."""
    hosts: dict[int, int] = {}
    for inner in pieces:
        around = [
            outer
            for outer in pieces
            if _area(outer) > _area(inner)
            and outer.box.meets(inner.box)
            and share_inside(inner, outer) >= craft.INSET_SHARE
        ]
        if around:
            hosts[inner.key] = min(around, key=_area).key
    return hosts


def _area(piece: Piece) -> float:
    return piece.box.area


def share_inside(inner: Piece, outer: Piece) -> float:
    """The share of a piece that lies in another, 0 to 1."""
    if not outer.box.meets(inner.box):
        return 0.0
    if inner.upright and outer.upright:
        return inner.box.common(outer.box).area / max(inner.box.area, FLAT)
    box, step = inner.box, 1 / SAMPLES
    within = [
        place
        for i in range(SAMPLES)
        for j in range(SAMPLES)
        if holds(
            inner.points,
            place := Point(
                box.left + box.width * (i + 0.5) * step, box.top + box.height * (j + 0.5) * step
            ),
        )
    ]
    return sum(holds(outer.points, place) for place in within) / max(len(within), 1)


def _with_insets(found: Arranged, host: Piece, inner: Arranged) -> Arranged:
    """An order with a host's insets right after the host; doubtful where they begin its corner."""
    first = inner.order[0].box
    begins = (
        first.center.x < host.box.left + host.box.width / 2
        and first.center.y < host.box.top + host.box.height / 2
    )
    sure = craft.INSET_FIRST_SURE if begins else craft.INSET_SURE
    # An inset that nearly leaves its host is nearly a neighbour.
    shares = [(share_inside(piece, host) - craft.INSET_SHARE) for piece in inner.order]
    almost = 0.5 + max(min(shares), 0.0) * 2
    sure, why = min((sure, WHY_INSET), (almost, WHY_ALMOST))

    place = found.order.index(host) + 1
    order = (*found.order[:place], *inner.order, *found.order[place:])

    def followed(keys: tuple[int, ...]) -> tuple[int, ...]:
        """Keys with the insets behind their host, with which they move."""
        if host.key not in keys:
            return keys
        place = keys.index(host.key) + 1
        return (*keys[:place], *inner.keys, *keys[place:])

    first_or_not = Doubt(sure, (host.key, *inner.keys), (*inner.keys, host.key), why)
    outer = (
        doubt._replace(order=followed(doubt.order), rival=followed(doubt.rival))
        for doubt in found.doubts
    )
    return Arranged(order, (first_or_not, *outer, *inner.doubts))


WHY_INSET = "an inset stands where the reading of its panel begins"
WHY_ALMOST = "one lies in the other, but for a part"
WHY_STACK = "a stack stands beside a taller panel"
WHY_ROWS = "the rows do not line up"
WHY_APART = "the columns stand far apart"
WHY_NEARLY = "the columns nearly line up as rows"
WHY_PINWHEEL = "no gutter runs through between them"
"""What about a page makes its order doubtful."""


class _Cut(NamedTuple):
    """A gutter: how many pieces lie before it, and its need in points and as a share of a piece."""

    place: int
    need: float
    share: float
    least: float


class _Cuts(NamedTuple):
    """All gutters one way: the pieces in order along it, and the gutter after each but the last."""

    along: tuple[Piece, ...]
    cuts: tuple[_Cut, ...]

    @property
    def best(self) -> _Cut:
        """The gutter of least need."""
        return min(self.cuts, key=lambda cut: (cut.share, cut.need))

    def groups(self, limit: float) -> list[tuple[Piece, ...]]:
        """The pieces between the gutters whose need is not over a limit."""
        ends = [cut.place for cut in self.cuts if cut.share <= limit]
        return [
            self.along[begin:end]
            for begin, end in zip([0, *ends], [*ends, len(self.along)], strict=True)
        ]


@dataclass
class _Arranger:
    rule: Rule
    fold: float | None
    known: dict[frozenset[int], Arranged] = field(default_factory=dict)

    def of(self, pieces: tuple[Piece, ...]) -> Arranged:
        """Pieces without insets, in order."""
        if len(pieces) < 2:
            return Arranged(pieces)
        key = frozenset(piece.key for piece in pieces)
        if key not in self.known:
            self.known[key] = self._folded(pieces) or self._cut(pieces)
        return self.known[key]

    def _folded(self, pieces: tuple[Piece, ...]) -> Arranged | None:
        """The two pages of a spread, one after the other, where nothing crosses the fold."""
        if self.fold is None:
            return None
        before = tuple(p for p in pieces if p.box.right <= self.fold + TOLERANCE)
        behind = tuple(p for p in pieces if p.box.left >= self.fold - TOLERANCE)
        if not before or not behind or len(before) + len(behind) < len(pieces):
            return None
        return self._joined([before, behind])

    def _cut(self, pieces: tuple[Piece, ...]) -> Arranged:
        rows, columns = best_cuts(pieces, across=True), best_cuts(pieces, across=False)
        limit = self.rule.stagger
        row, column = rows.best, columns.best
        down = column.share <= limit
        if row.share <= limit:
            chosen = self._joined(self._together(rows.groups(limit), self._stand_apart))
            sure, why = self._margin(rows), WHY_ROWS
            rival = self._joined(columns.groups(limit)).order if down else _row_path(pieces)
            if down and self._apart(row, column) < sure:
                sure = self._apart(row, column)
                why = WHY_APART
                if sure < 0.5:  # columns stand so far apart that each is read by itself
                    columned = self._joined(columns.groups(limit))
                    return self._told(columned, 1 - sure, chosen.order, why)
            return self._told(chosen, sure, rival, why)
        if down:
            groups = columns.groups(limit)
            chosen = self._joined(self._together(groups, self._has_rows))
            sure = min(craft.STACK_BESIDE_TALL, self._margin(rows), self._margin(columns))
            found = self._told(chosen, sure, _row_path(pieces), WHY_STACK)
            # Neighbouring columns that nearly share a row, or only just do.
            both = [(*one, *other) for one, other in pairwise(groups)]
            sure = min(self._margin(best_cuts(pair, across=True)) for pair in both)
            return self._told(found, sure, self._joined(groups).order, WHY_NEARLY)
        order = self._by_relation(pieces)
        return self._told(Arranged(order), 0.5, _row_path(pieces), WHY_PINWHEEL)

    def _together(
        self,
        groups: list[tuple[Piece, ...]],
        as_one: Callable[[tuple[Piece, ...]], bool],
    ) -> list[tuple[Piece, ...]]:
        """Neighbouring groups made one where they are read as one: columns that share rows, rows
        that share columns standing apart."""
        made = [groups[0]]
        for group in groups[1:]:
            both = (*made[-1], *group)
            if as_one(both):
                made[-1] = both
            else:
                made.append(group)
        return made if len(made) > 1 else groups

    def _has_rows(self, pieces: tuple[Piece, ...]) -> bool:
        return best_cuts(pieces, across=True).best.share <= self.rule.stagger

    def _stand_apart(self, pieces: tuple[Piece, ...]) -> bool:
        column = best_cuts(pieces, across=False).best
        row = best_cuts(pieces, across=True).best
        return column.share <= self.rule.stagger and self._apart(row, column) < 0.5

    def _apart(self, row: _Cut, column: _Cut) -> float:
        """The confidence in rows where a wide gutter between columns makes groups of them."""
        gutter, other = -column.need, max(-row.need, 0.0)
        extra = max(gutter - 2 * other, 0.0) / max(column.least, FLAT)
        return craft.ORDER_SURE - self.rule.apart * extra

    def _margin(self, cuts: _Cuts) -> float:
        """How sure it is which gutters count: none may be near the limit."""
        limit = self.rule.stagger
        return min(
            self._sure(abs(limit - cut.share), abs(limit * cut.least - cut.need))
            for cut in cuts.cuts
        )

    def _sure(self, share: float, points: float) -> float:
        """How sure a decision is that would turn if a piece changed by a share, or by points."""
        rule = self.rule
        spare = 0.1 * points / rule.doubt_points
        if points > rule.doubt_points:
            spare = 0.1 + 0.35 * (points - rule.doubt_points) / rule.sure_points
        slope = (craft.ORDER_SURE - 0.5) / rule.stagger
        return min(0.5 + max(min(slope * share, spare), 0.0), craft.ORDER_SURE)

    def _told(self, chosen: Arranged, sure: float, rival: tuple[Piece, ...], why: str) -> Arranged:
        """An order with one more decision that it rests on."""
        if rival == chosen.order:
            return chosen
        doubt = Doubt(sure, chosen.keys, tuple(piece.key for piece in rival), why)
        return Arranged(chosen.order, (*chosen.doubts, doubt))

    def _joined(self, groups: Sequence[tuple[Piece, ...]]) -> Arranged:
        """Groups one after another, with the doubts of each."""
        parts = [self.of(group) for group in groups]
        return Arranged(
            tuple(piece for part in parts for piece in part.order),
            tuple(doubt for part in parts for doubt in part.doubts),
        )

    def _by_relation(self, pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
        """Each piece after those above it and those before it in its row, as far as that goes."""
        left, order = list(pieces), []
        while left:
            free = [
                piece
                for piece in left
                if not any(_comes_before(other, piece) for other in left if other is not piece)
            ]
            # Of several that may come next, the one nearest to where reading begins.
            found = min(free or left, key=lambda piece: (piece.box.left + piece.box.top, piece.key))
            order.append(found)
            left.remove(found)
        return tuple(order)


def _comes_before(first: Piece, then: Piece) -> bool:
    """True where a piece lies above another, or beside it on the side where reading begins."""
    a, b = first.box, then.box
    wide = (min(a.right, b.right) - max(a.left, b.left)) / min(a.width, b.width)
    high = (min(a.bottom, b.bottom) - max(a.top, b.top)) / min(a.height, b.height)
    if max(wide, high) <= 0:
        return a.center.y < b.center.y and a.center.x < b.center.x
    if wide >= high:
        return (a.center.y, a.center.x) < (b.center.y, b.center.x)
    return (a.center.x, a.center.y) < (b.center.x, b.center.y)


def _row_path(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """Pieces as text would be read: a row is what begins above the middle of the piece that ends
    first, and rows are read along."""
    left, order = list(pieces), []
    while left:
        line = min(left, key=lambda piece: (piece.box.bottom, piece.key)).box.center.y
        row = [piece for piece in left if piece.box.top < line]
        order += sorted(row, key=lambda piece: (piece.box.left, piece.box.top, piece.key))
        left = [piece for piece in left if piece not in row]
    return tuple(order)


def best_cuts(pieces: Sequence[Piece], across: bool) -> _Cuts:
    """Gutters across the page (between rows) or down it (between columns), at the slant that makes
    one of them cleanest."""
    best: _Cuts | None = None
    for slant in _slants(pieces, across):
        cuts = _cuts_at(pieces, _measure(across, slant))
        # Of two slants that do alike, the more level one is meant.
        if best is None or _need(cuts) < _need(best) - FLAT:
            best = cuts
    assert best is not None  # a level gutter is always looked for
    return best


def _need(cuts: _Cuts) -> float:
    """The share that the best gutter needs; for clean ones, less the wider they are."""
    cut = cuts.best
    return cut.share if cut.share > 0 else cut.need / 1e6


def _slants(pieces: Sequence[Piece], across: bool) -> list[float]:
    """The slants that a gutter may have, in radians: level, and along sides of slanted panels."""
    found = {0.0}
    limit = math.radians(craft.CUT_DEGREES)
    for piece in pieces:
        if piece.upright:
            continue
        for place, point in enumerate(piece.points):
            before = piece.points[place - 1]
            dx, dy = point.x - before.x, point.y - before.y
            along, aside = (dx, dy) if across else (dy, dx)
            slant = math.atan2(aside, along)
            slant = (slant + math.pi / 2) % math.pi - math.pi / 2
            if abs(slant) <= limit:
                found.add(round(slant, 4))
    return sorted(found, key=abs)


def _measure(across: bool, slant: float) -> Callable[[Point], float]:
    """How far a point lies along the direction that a gutter of this slant is crossed in."""
    cos, sin = math.cos(slant), math.sin(slant)
    if across:
        return lambda point: point.y * cos - point.x * sin
    return lambda point: point.x * cos - point.y * sin


def _cuts_at(pieces: Sequence[Piece], measure: Callable[[Point], float]) -> _Cuts:
    spans = []
    for piece in pieces:
        reach = [measure(point) for point in piece.points]
        spans.append((min(reach), max(reach), piece))
    spans.sort(key=lambda span: (span[0] + span[1], span[2].key))
    ends = list(accumulate((span[1] for span in spans), max))
    starts = list(accumulate((span[0] for span in reversed(spans)), min))[::-1]
    narrowest = min(span[1] - span[0] for span in spans)
    cuts = []
    for place in range(1, len(spans)):
        end, start = ends[place - 1], starts[place]
        least = narrowest
        if end > start:  # the smallest of those that are in the way
            clash = [span for span in spans[:place] if span[1] > start]
            clash += [span for span in spans[place:] if span[0] < end]
            least = min(span[1] - span[0] for span in clash)
        share = max(end - start, 0.0) / max(least, FLAT)
        cuts.append(_Cut(place, end - start, share, least))
    return _Cuts(tuple(span[2] for span in spans), tuple(cuts))
