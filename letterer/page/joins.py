"""Who is joined with whom: balloons of one speaker in one panel that share a contour.

Balloons of one speaker that overlap are one contour; those in a row that stand near each other are
tied by a neck. A placement's `joined` says otherwise. Captions that touch share one line.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import MM_PER_INCH, POINTS_PER_INCH, Box, Path, Point
from letterer.ink.borders import border_of
from letterer.ink.crossings import spans
from letterer.ink.cut import Line
from letterer.ink.join import Joined, Joint, Slit, box_gap, gap_between, joined, without_slits
from letterer.ink.outline import oval_outline, uneven_frame
from letterer.ink.ring import Ring
from letterer.ink.tail import Aim, Tail, tailed_outline
from letterer.model.plan import SideName
from letterer.page.butts import Butt, butted, butted_frame
from letterer.page.lettered import Finding, PlacedUnit, Severity
from letterer.page.surroundings import Surroundings
from letterer.page.tails import aims_of, tail_style
from letterer.page.unit import SetUnit

SMOOTH_KINDS = frozenset({"speech", "whisper", "weak"})
"""Kinds whose borders can be tied by a neck, and are joined where nothing else is asked."""

NECK_LOOKS = 9
"""Places along a neck that are looked at for what it would run through."""

OFF_BORDER = 0.6
"""A place farther than this from a border, in points, does not lie on it."""

TOUCH = 0.05
"""Words of which less than this is covered, in points, are not covered."""


@dataclass(frozen=True, slots=True)
class Group:
    """Units that share one contour, in reading order; most groups are one unit alone.

    `body` is their one border, before it has tails; None for one unit alone. `borders` are the
    units' own.
    """

    units: tuple[SetUnit, ...]
    body: Path | None = None
    borders: tuple[Path, ...] = ()


@dataclass(slots=True, eq=False)
class _Chain:
    """A group as it grows."""

    units: list[SetUnit]
    body: Ring
    borders: list[Path] = field(default_factory=list)


class _Balloon(NamedTuple):
    """A balloon that may come to be joined: whose it is (panel, speaker, kind), and the box of all
    that its border can reach."""

    unit: SetUnit
    voice: tuple[int, str, str]
    box: Box


def bare_border(unit: SetUnit) -> Path:
    """A unit's own border without tails, cut flat where it butts."""
    shape, style, identity = unit.shape, unit.job.style, unit.job.identity
    if isinstance(shape, Oval):
        border = border_of(unit.job.setting.kind)
        roots: tuple[Tail, ...] = ()
        if unit.job.setting.kind == "weak":
            # Where a tail may come to be rooted, a wavering border runs plainly.
            aims, plain = aims_of(unit)[0], oval_outline(shape)
            roots = tailed_outline(plain, shape.center, aims, tail_style(unit))[1]
        return butted(border.outline(shape, unit.pen, roots), unit.butts)
    if style.caption_frame == "uneven" and not unit.butts:
        return uneven_frame(shape, identity, style.hand)
    return butted_frame(shape, unit.butts, identity, style.hand)


def chain_aims(
    group: Group, body: Path, around: Surroundings
) -> tuple[list[tuple[SetUnit, Sequence[Aim]]], list[Finding]]:
    """Which units of a chain have tails, and toward what; findings where a speech has no mouth.

    Units with `tails` of their own have these. Of the others one has a tail, unless the plan asked
    for some: that which stands nearest to the mouth and from which a tail leaves the contour.
    """
    asked = [unit for unit in group.units if unit.job.placement.tails is not None]
    free = [unit for unit in group.units if unit.job.placement.tails is None]
    aims = [(unit, aims_of(unit, around)[0]) for unit in asked if unit.job.placement.tails]
    if aims or not free:
        return [*aims], []
    tailing, findings = aims_of(free[-1], around)
    if not tailing:
        return [], findings
    ring, mouth = Ring(body), tailing[0].mouth
    own = dict(zip(map(id, group.units), group.borders, strict=True))

    def rank(unit: SetUnit) -> tuple[bool, float]:
        at = ring.exit(unit.shape.center, mouth)
        if at is None:
            return True, 0.0
        border, half = Ring(own[id(unit)]), craft.TAIL_BASE_CAPS * unit.cap
        roots = [ring.point(at + off) for off in (-half, 0.0, half)]
        off = [border.point(border.nearest(root)).distance(root) for root in roots]
        return max(off) > OFF_BORDER, ring.point(at).distance(mouth)

    unit = min(reversed(free), key=rank)
    return [(unit, aims_of(unit, around)[0] if tailing[0].whole else tailing)], findings


def grouped(units: Sequence[SetUnit]) -> tuple[list[Group], list[Finding]]:
    """Units that share one contour, together, in reading order; findings about joins asked for."""
    chains: list[_Chain | SetUnit] = []
    findings: list[Finding] = []
    voices: dict[int, SetUnit] = {}
    balloons = {id(unit): _balloon(unit) for unit in units if _is_balloon(unit)}
    for unit in units:
        if unit.job.placement.joined and not _is_balloon(unit):
            what = "only balloons with a border can be joined, and this is none"
            mend = 'Take "joined" out of its placement'
            findings.append(unit.job.finding(Severity.NOTE, "not joined", what, mend))
        if id(unit) not in balloons or not _may_join(balloons[id(unit)], balloons.values()):
            chains.append(unit)
        else:
            border = Ring(bare_border(unit))
            before = [chain for chain in chains if _of_one_voice(chain, unit)]
            last = voices.get(unit.job.unit.panel)
            grown = _tie(unit, border, before, (last, units), findings)
            if grown is None:
                chains.append(_Chain([unit], border, [border.path]))
            else:
                gone = _merged(grown, before, units)
                chains = [chain for chain in chains if chain not in gone]
        if _speaks(unit):
            voices[unit.job.unit.panel] = unit
    groups = [
        Group((chain,))
        if isinstance(chain, SetUnit)
        else Group(
            tuple(chain.units),
            _body(chain) if len(chain.units) > 1 else None,
            tuple(chain.borders),
        )
        for chain in chains
    ]
    return groups, findings


def _body(chain: _Chain) -> Path:
    """The one border of a chain. Three balloons or more may stand in a ring: no slit is left."""
    if len(chain.units) < 3:
        return chain.body.path
    return without_slits(chain.body, Slit.of(chain.units[0].cap))


def _may_join(balloon: _Balloon, balloons: Collection[_Balloon]) -> bool:
    """Whether a balloon may come to share its contour: there is another of its voice, and they are
    of a smooth kind or asked to be joined."""
    if balloon.unit.job.placement.joined:
        return True
    alike = [
        other.unit
        for other in balloons
        if other is not balloon and other.voice == balloon.voice and _near(balloon, other)
    ]
    smooth = balloon.unit.job.setting.kind in SMOOTH_KINDS
    return bool(alike) and (smooth or any(other.job.placement.joined for other in alike))


def _near(one: _Balloon, other: _Balloon) -> bool:
    """Whether two balloons may be near enough to share a contour; or the plan ties one to
    another."""
    if one.unit.job.placement.joined or other.unit.job.placement.joined:
        return True
    apart = craft.JOIN_NEAR_CAPS * max(one.unit.cap, other.unit.cap)
    return box_gap(one.box, other.box) <= apart


def _balloon(unit: SetUnit) -> _Balloon:
    shape, job = unit.shape, unit.job
    box = shape.box if isinstance(shape, Oval) else shape
    reach = border_of(job.setting.kind).reach(unit.candidate.size)
    return _Balloon(unit, _voice(unit), reach.around(box).grown(job.style.hand))


def _voice(unit: SetUnit) -> tuple[int, str, str]:
    """Whose a balloon is: its panel, speaker and kind."""
    job = unit.job
    return job.unit.panel, job.unit.speaker.casefold(), job.setting.kind


def _is_balloon(unit: SetUnit) -> bool:
    return _speaks(unit) and unit.job.setting.has_outline


def _speaks(unit: SetUnit) -> bool:
    setting = unit.job.setting
    return isinstance(unit.shape, Oval) and not setting.is_caption and setting.kind != "effect"


def _of_one_voice(chain: _Chain | SetUnit, unit: SetUnit) -> bool:
    """Whether a chain is of the same speaker, kind and panel as a unit."""
    return isinstance(chain, _Chain) and _voice(chain.units[0]) == _voice(unit)


def _tie(
    unit: SetUnit,
    border: Ring,
    before: Sequence[_Chain | SetUnit],
    around: tuple[SetUnit | None, Sequence[SetUnit]],
    findings: list[Finding],
) -> _Chain | None:
    """Join a unit to a chain before it, if it is to be; the chain, or None."""
    wish = unit.job.placement.joined
    if wish is False or (wish is None and unit.job.setting.kind not in SMOOTH_KINDS):
        return None
    last, units = around
    chains = [chain for chain in before if isinstance(chain, _Chain)]
    if wish and not chains:
        findings.append(_nothing_before(unit))
        return None
    if wish:
        return chains[-1] if _asked(unit, border, chains[-1], findings) else None
    for chain in reversed(chains):
        in_a_row = last is not None and last is chain.units[-1]
        apart = craft.JOIN_NEAR_CAPS * unit.cap if in_a_row else 0.0
        made = joined(chain.body, border, _joint(unit), apart)
        if made and not (made.gap and _blocked(made, chain, unit, units)):
            _grow(chain, unit, border, made)
            return chain
    return None


def _merged(
    grown: _Chain, before: Sequence[_Chain | SetUnit], units: Sequence[SetUnit]
) -> list[_Chain]:
    """Chains that a grown chain now overlaps are made part of it; those that are gone by that."""
    gone: list[_Chain] = []
    for chain in before:
        if not isinstance(chain, _Chain) or chain is grown:
            continue
        if any(one.units[0].job.placement.joined is False for one in (chain, grown)):
            continue
        made = joined(grown.body, chain.body, _joint(chain.units[-1]), 0.0)
        if made is None:
            continue
        order = {id(unit): place for place, unit in enumerate(units)}
        pairs = zip((*grown.units, *chain.units), (*grown.borders, *chain.borders), strict=True)
        both = sorted(pairs, key=lambda pair: order[id(pair[0])])
        grown.units, grown.borders = [pair[0] for pair in both], [pair[1] for pair in both]
        grown.body = Ring(made.path)
        gone.append(chain)
    return gone


def _asked(unit: SetUnit, border: Ring, chain: _Chain, findings: list[Finding]) -> bool:
    """A join that the plan asks for."""
    wish, job = unit.job.placement.joined, unit.job
    gap = gap_between(chain.body, border)
    if wish == "overlap" and gap:
        apart = gap / POINTS_PER_INCH * MM_PER_INCH
        what = (
            f"it is to overlap {chain.units[-1].job.unit.id}, and they stand {apart:.1f} mm apart"
        )
        mend = 'Move it nearer, or write "joined": "link" to tie them by a neck'
        findings.append(job.finding(Severity.WARNING, "not joined", what, mend))
        return False
    made = None
    if not gap or job.setting.kind in SMOOTH_KINDS:
        made = joined(chain.body, border, _joint(unit))
    if made is None:
        what = f"it could not be joined with {chain.units[-1].job.unit.id}"
        mend = "Let the two overlap more, or move them apart"
        findings.append(job.finding(Severity.WARNING, "not joined", what, mend))
        return False
    if wish == "link" and made.how != "link":
        what = f"it overlaps {chain.units[-1].job.unit.id}, so there is no room for a neck"
        mend = "Move them apart to have one"
        findings.append(job.finding(Severity.NOTE, "no neck", what, mend))
    _grow(chain, unit, border, made)
    return True


def _nothing_before(unit: SetUnit) -> Finding:
    job = unit.job
    what = f"it is to be joined, and {job.unit.speaker} has no {job.setting.kind} before it"
    mend = 'Join balloons of one speaker and one kind in one panel, or take "joined" out'
    return job.finding(Severity.WARNING, "not joined", what + " in this panel", mend)


def _joint(unit: SetUnit) -> Joint:
    """How a unit is joined; the corners between spikes and scallops stay sharp."""
    joint = Joint.of(unit.cap)
    return joint if unit.job.setting.kind in SMOOTH_KINDS else replace(joint, soft=0.0, waist=0.0)


def _grow(chain: _Chain, unit: SetUnit, border: Ring, made: Joined) -> None:
    chain.units.append(unit)
    chain.borders.append(border.path)
    chain.body = Ring(made.path)


def _blocked(made: Joined, chain: _Chain, unit: SetUnit, units: Sequence[SetUnit]) -> bool:
    """Whether a neck would run through another unit."""
    if made.neck is None:
        return False
    p, q = made.neck
    spots = [p.toward(q, step / (NECK_LOOKS - 1)) for step in range(NECK_LOOKS)]
    own = {id(member) for member in (*chain.units, unit)}
    return any(_within(spot, other) for other in units if id(other) not in own for spot in spots)


def _within(spot: Point, unit: SetUnit) -> bool:
    shape = unit.shape
    return shape.level(spot) < 1 if isinstance(shape, Oval) else shape.holds(spot)


def sharing_lines(units: Sequence[SetUnit]) -> list[SetUnit]:
    """Units in which captions that touch share one line: the later one is moved on to it."""
    found: list[SetUnit] = []
    for unit in units:
        shape = unit.shape
        if unit.job.setting.is_caption and unit.job.setting.has_outline and isinstance(shape, Box):
            for index, other in enumerate(found):
                there = other.shape
                same = other.job.unit.panel == unit.job.unit.panel
                if not (same and isinstance(there, Box) and other.job.setting.is_caption):
                    continue
                if pair := _shared(there, shape):
                    side, line, (dx, dy) = pair
                    back = Line(line.end, line.begin)
                    found[index] = replace(
                        other, butts=(*other.butts, Butt(OPPOSITE[side], back, back))
                    )
                    unit = replace(
                        unit,
                        place=unit.place.shifted(dx, dy),
                        butts=(*unit.butts, Butt(side, line, line)),
                    )
                    break
        found.append(unit)
    return found


OPPOSITE: dict[SideName, SideName] = {
    "top": "bottom",
    "bottom": "top",
    "left": "right",
    "right": "left",
}


def _shared(one: Box, other: Box) -> tuple[SideName, Line, tuple[float, float]] | None:
    """The side of the second of two boxes that touches the first, the line, and the way there."""
    near = craft.SHARED_LINE_POINTS
    beside = min(one.right, other.right) - max(one.left, other.left)
    below = min(one.bottom, other.bottom) - max(one.top, other.top)
    left, right = min(one.left, other.left), max(one.right, other.right)
    top, bottom = min(one.top, other.top), max(one.bottom, other.bottom)
    if beside > near:
        if abs(other.top - one.bottom) <= near:
            line = Line(Point(left, one.bottom), Point(right, one.bottom))
            return "top", line, (0.0, one.bottom - other.top)
        if abs(other.bottom - one.top) <= near:
            line = Line(Point(right, one.top), Point(left, one.top))
            return "bottom", line, (0.0, one.top - other.bottom)
    if below > near:
        if abs(other.left - one.right) <= near:
            line = Line(Point(one.right, bottom), Point(one.right, top))
            return "left", line, (one.right - other.left, 0.0)
        if abs(other.right - one.left) <= near:
            line = Line(Point(one.left, top), Point(one.left, bottom))
            return "right", line, (one.left - other.right, 0.0)
    return None


def covered_words(units: Sequence[PlacedUnit], page: int) -> list[Finding]:
    """Findings for words that a unit drawn later covers: units are drawn in reading order.

    A shared contour is drawn with the first of its units.
    """
    found: list[Finding] = []
    lines: dict[str, list[Box]] = {}

    def line_boxes(unit: PlacedUnit) -> list[Box]:
        if unit.id not in lines:
            lines[unit.id] = [box for line in unit.lines if (box := line.box())]
        return lines[unit.id]

    def tell(unit: PlacedUnit, what: str, mend: str) -> None:
        found.append(Finding(Severity.PROBLEM, "words covered", what, mend, page, unit.id))

    for index, unit in enumerate(units):
        for earlier in units[:index]:
            if earlier.id in unit.joined and earlier.ink.meets(unit.ink):
                others = line_boxes(unit)
                if any(box.meets(there) for box in line_boxes(earlier) for there in others):
                    what = f"its words run into those of {unit.id}"
                    tell(earlier, what, "Move them farther apart")
        if unit.outline is None or unit.fill is None:
            continue
        ring = Ring(unit.outline)
        for earlier in units[:index]:
            if ring.box.meets(earlier.ink) and any(
                _covers(ring, box) for box in line_boxes(earlier)
            ):
                tell(earlier, f"its words are covered by {unit.id}", "Move one of the two")
    return found


def _covers(ring: Ring, box: Box) -> bool:
    """Whether a contour covers part of a line of words."""
    left, top, right, bottom = box.grown(-TOUCH)
    x, y = ring.marks.T
    if ((left <= x) & (x <= right) & (top <= y) & (y <= bottom)).any():
        return True
    _, begins, ends = spans(ring, np.array([top, (top + bottom) / 2, bottom]))
    return bool(((begins <= right) & (left <= ends)).any())
