"""The tails of a unit: where they aim, how its kind draws them, and what keeps them from it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import get_args

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Path, Point, holds
from letterer.ink.borders import Border, Pen, aimed_spikes, border_of
from letterer.ink.borders.smooth import Smooth
from letterer.ink.outline import oval_outline
from letterer.ink.tail import (
    Aim,
    Station,
    Tail,
    TailShape,
    TailStyle,
    Untailed,
    stations,
    tailed_outline,
)
from letterer.ink.tail_shapes import bubbles, trail_path
from letterer.model.plan import TailPlan
from letterer.model.script import Manner, Role
from letterer.page.lettered import Finding, Layer, Severity, Stroke
from letterer.page.surroundings import InTheWay, Obstacles, Surroundings, leaves
from letterer.page.unit import Job, SetUnit

SHAPES: dict[str, TailShape] = {
    "taper": "curved",
    "waver": "wavering",
    "lightning": "lightning",
    "bubbles": "bubbles",
    "spike": "spike",
}
"""How a kind's tails look that the plan gives no shape of their own."""

LEAD_ROUND = 'Move the balloon, or lead the tail round: "tails": [{"to": ..., "via": [x, y]}]'


@dataclass(frozen=True, slots=True)
class Tailed:
    """A border with its tails: one contour, the tails as drawn, and what stands apart from it."""

    outline: Path | None
    tails: tuple[Tail, ...] = ()
    extras: tuple[Layer, ...] = ()


def tailed(
    unit: SetUnit,
    plain: Path,
    aims: Sequence[Aim | Point],
    around: Surroundings | None = None,
    joined: bool = False,
) -> tuple[Tailed, list[Finding]]:
    """The border of a unit with a tail toward each mouth, and findings about them.

    `plain` is the border without tails. With `joined` it is used as it is (several balloons made
    one, say); else a kind whose border is not smooth draws it anew, to leave room for the tails.
    """
    shape, style = unit.shape, tail_style(unit)
    obstacles = Obstacles((unit,), around or Surroundings())
    border = border_of(unit.job.setting.kind)
    asked = [aim if isinstance(aim, Aim) else Aim(aim, shape=_shape(unit.job)) for aim in aims]
    spikes = [aim for aim in asked if aim.shape == "spike"]
    asked = [_faced(aim, obstacles) for aim in asked if aim.shape != "spike"]
    if joined or not isinstance(shape, Oval):
        asked += [_faced(replace(aim, shape="curved"), obstacles) for aim in spikes]
        spikes = []
    tails: tuple[Tail, ...] = ()
    missing: list[Untailed] = []

    def judge(line: Sequence[Station]) -> float:
        near = min(asked, key=lambda aim: line[-1][0].distance(aim.mouth))
        return obstacles.cost(line, near.mouth, near.whole)

    if spikes and isinstance(shape, Oval):
        tails, untailed = aimed_spikes(shape, [aim.mouth for aim in spikes], style)
        missing += untailed
    redrawn = None
    if isinstance(shape, Oval) and not joined and aims and not isinstance(border, Smooth):
        plain, redrawn = oval_outline(shape), _Border(border, shape, unit.pen, tails)
    outline, drawn, left = tailed_outline(plain, shape.center, asked, style, judge, redrawn)
    if redrawn and not drawn:
        outline = redrawn(())
    drawn, extras, near = _trails(unit, outline, drawn)
    tails += drawn
    missing += [*left, *near]
    findings = [_untailed(unit.job, item.why) for item in missing]
    for tail in tails:
        findings += _over(unit.job, tail, obstacles)
    return Tailed(outline, tails, extras), findings


@dataclass(frozen=True, slots=True)
class _Border:
    """A kind's border as it is drawn where tails stand."""

    border: Border
    oval: Oval
    pen: Pen
    spikes: tuple[Tail, ...]

    def __call__(self, tails: Sequence[Tail]) -> Path:
        return self.border.outline(self.oval, self.pen, (*self.spikes, *tails))


def _faced(aim: Aim, obstacles: Obstacles) -> Aim:
    """An aim that knows the face it must stop before."""
    faces = obstacles.face(aim.mouth)
    if aim.whole or not faces:
        return aim
    return replace(aim, face=tuple(faces[0].shape.flattened(0.2)[0]))


def _trails(
    unit: SetUnit, outline: Path, tails: Sequence[Tail]
) -> tuple[tuple[Tail, ...], tuple[Layer, ...], list[Untailed]]:
    """The tails that can be drawn, the bubbles of those that are trails, and those that found no
    room for bubbles."""
    style, gap = unit.job.style, craft.TRAIL_GAP_CAPS * unit.cap + unit.job.style.border
    kept, found, left = [], [], []
    for at, tail in enumerate(tails):
        if tail.shape != "bubbles":
            kept.append(tail)
            continue
        ovals = bubbles(tail, outline, gap)
        if not ovals:
            left.append(Untailed(tail.mouth, "near"))
            continue
        kept.append(tail)
        path = trail_path(ovals, f"{unit.job.identity}|{at}", style.hand)
        found.append(Layer("trail", path, style.paper, Stroke(style.border, style.ink)))
    return tuple(kept), tuple(found), left


def tail_style(unit: SetUnit) -> TailStyle:
    """How the house draws a unit's tails, in points."""
    style, cap = unit.job.style, unit.cap
    return TailStyle(
        style.tail_base * cap,
        style.tail_share,
        bend=style.tail_bend,
        shortest=craft.TAIL_SHORTEST_CAPS * cap,
        corner=craft.TAIL_CORNER_CAPS * cap,
        gap=craft.TAIL_GAP_CAPS * cap,
        clear=craft.TAIL_CLEAR_CAPS * cap,
    )


def _shape(job: Job) -> TailShape:
    return SHAPES.get(border_of(job.setting.kind).tail, "curved")


def aims_of(
    unit: SetUnit, around: Surroundings | None = None
) -> tuple[tuple[Aim, ...], list[Finding]]:
    """What tails a unit is to have; a finding where a speech has no mouth."""
    job = unit.job
    named = job.placement.tails
    mouth_of = job.panel.mouth if job.panel else lambda _: None
    if named is not None:
        plans = [tail if isinstance(tail, TailPlan) else TailPlan(tail) for tail in named]
        found = []
        for plan in plans:
            mouth = mouth_of(plan.to) if isinstance(plan.to, str) else plan.to
            if mouth is not None:
                found.append(_planned(unit, plan, mouth))
        return tuple(found), []
    if job.unit.role is not Role.SPEECH or job.setting.is_caption:
        return (), []
    mouth = mouth_of(job.unit.speaker)
    if mouth is not None:
        return (Aim(mouth, shape=_shape(job)),), []
    if Manner.OFF in job.unit.manners:
        edge = _to_edge(unit, around or Surroundings())
        if edge is not None:
            return (edge,), []
        what = "an off-panel voice has no tail: its balloon does not stand inside its panel"
        mend = 'Give "tails" a point at the edge of the panel, toward the speaker'
    else:
        what = f"no tail, since the layout has no mouth for {job.unit.speaker} in this panel"
        mend = 'Show it with letterer point, or give the unit its own "tails"'
    return (), [job.finding(Severity.WARNING, "no tail", what, mend)]


def _planned(unit: SetUnit, plan: TailPlan, mouth: Point) -> Aim:
    """A tail that the plan gives. That of an off-panel voice runs to the panel's edge if it is
    given a point there."""
    job = unit.job
    shape: TailShape = _shape(job)
    if plan.shape in get_args(TailShape):
        shape = plan.shape  # type: ignore[assignment]
    elif plan.via and shape == "spike":
        shape = "curved"
    whole = False
    if Manner.OFF in job.unit.manners and isinstance(plan.to, Point) and job.panel:
        edge = job.panel.shape.flattened()[0]
        far = min(_far(mouth, p, q) for p, q in itertools.pairwise(edge))
        whole = far <= craft.TAIL_EDGE_CAPS * unit.cap or not holds(edge, mouth)
        if not holds(edge, mouth):
            mouth = _to_border(unit.shape.center, mouth, edge) or mouth
    return Aim(mouth, plan.via, shape, whole=whole)


def _to_edge(unit: SetUnit, around: Surroundings) -> Aim | None:
    """The tail of an off-panel voice: to the left or right edge of its panel, whichever is nearer
    and free; down a little, since speakers stand lower than their words."""
    job = unit.job
    if job.panel is None:
        return None
    middle, edge = unit.shape.center, job.panel.shape.flattened()[0]
    if not holds(edge, middle):
        return None
    obstacles = Obstacles((unit,), around)
    least, most = (caps * unit.cap for caps in craft.TAIL_OFF_LENGTH_CAPS)
    best: tuple[float, Point] | None = None
    for side in (-1.0, 1.0):
        beyond = [mouth for mouth in job.panel.mouths.values() if (mouth.x - middle.x) * side > 0]
        for place, slope in enumerate(craft.TAIL_OFF_SLOPES):
            reach = job.panel.box.width + job.panel.box.height
            at = _to_border(middle, middle.shifted(side * reach, slope * reach), edge)
            start = at and leaves(unit.shape, at)
            if at is None or start is None:
                continue
            length = start.distance(at)
            cost = max(least - length, 0.0) / least + max(length - most, 0.0) / most
            cost += length / most + len(beyond) * craft.TAIL_OFF_OTHERS
            cost += place * craft.TAIL_OFF_LATER
            line = [start.toward(at, step / 12) for step in range(13)]
            cost += obstacles.cost(stations(line, craft.TAIL_BASE_CAPS * unit.cap), None, True)
            if best is None or cost < best[0] - 1e-9:
                best = cost, at
    return Aim(best[1], shape=_shape(job), whole=True) if best else None


def _to_border(start: Point, end: Point, edge: Sequence[Point]) -> Point | None:
    """Where the way from a point inside a polygon first meets its border."""
    dx, dy = end.x - start.x, end.y - start.y
    best: float | None = None
    for p, q in itertools.pairwise(edge):
        ex, ey = q.x - p.x, q.y - p.y
        cross = dx * ey - dy * ex
        if abs(cross) < 1e-12:
            continue
        along = ((p.x - start.x) * ey - (p.y - start.y) * ex) / cross
        across = ((p.x - start.x) * dy - (p.y - start.y) * dx) / cross
        if 0 < along <= 1 and 0 <= across <= 1 and (best is None or along < best):
            best = along
    return start.toward(end, best) if best is not None else None


def _far(point: Point, p: Point, q: Point) -> float:
    dx, dy = q.x - p.x, q.y - p.y
    square = dx * dx + dy * dy
    along = ((point.x - p.x) * dx + (point.y - p.y) * dy) / square if square else 0.0
    return point.distance(p.toward(q, min(max(along, 0.0), 1.0)))


def _over(job: Job, tail: Tail, obstacles: Obstacles) -> list[Finding]:
    """Findings about a tail: too long, or over something that it could not be led round."""
    found: list[Finding] = []
    if tail.length > craft.TAIL_LONGEST_CAPS * obstacles.cap:
        what = f"the tail is {job.layout.measure.told(tail.length)} long"
        mend = "Move the balloon nearer to its speaker"
        found.append(job.finding(Severity.NOTE, "long tail", what, mend))
    to_edge = tail.tip.distance(tail.mouth) < 1e-6
    for hit in obstacles.hits(stations(tail.line, tail.base), tail.mouth, to_edge):
        told = {
            InTheWay.WORDS: ("tail over words", f"its tail runs over the words of {hit.whose}"),
            InTheWay.BALLOON: ("tail over words", f"its tail runs over the balloon of {hit.whose}"),
            InTheWay.TAIL: ("tails cross", f"its tail crosses the tail of {hit.whose}"),
            InTheWay.ZONE: ("tail over face", f"its tail runs over {hit.whose}"),
            InTheWay.MOUTH: (
                "tail by mouth",
                f"its tail runs by the mouth of {hit.whose}, who seems to speak",
            ),
        }.get(hit.what)
        # A balloon that covers a zone is another finding, and the tail is not to blame.
        if told and not (hit.what is InTheWay.ZONE and hit.whose in obstacles.covered()):
            found.append(job.finding(Severity.WARNING, *told, LEAD_ROUND))
    return found


def _untailed(job: Job, why: str) -> Finding:
    what = {
        "inside": "no tail: the mouth lies inside the balloon",
        "near": "no tail: the mouth is too near the balloon for one",
        "room": "no tail: there is no room for its base on the border",
    }[why]
    return job.finding(Severity.WARNING, "no tail", what, "Move the balloon away from the mouth")
