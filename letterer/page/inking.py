"""Units from lines to ink: border, joins, tails, and all else that the kind draws.

Units that share one contour are inked together, as a `Group`; most groups are one unit alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, union_box
from letterer.ink.borders import border_of
from letterer.ink.outline import frame_outline
from letterer.ink.ring import Ring
from letterer.page.lettered import Finding, PlacedUnit, Stroke
from letterer.page.manner import Setting
from letterer.page.tails import Tailed, mouths_of, tailed
from letterer.page.unit import Job, SetUnit, set_unit


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a tail should not run through: the shapes of other units, and zones to keep clear."""

    units: tuple[SetUnit, ...] = ()


def place_unit(job: Job) -> tuple[PlacedUnit, list[Finding]]:
    """One unit alone, from words to ink."""
    made, findings = ink_group((set_unit(job),), Surroundings())
    return made[0], findings


def ink_group(
    group: Sequence[SetUnit], around: Surroundings
) -> tuple[list[PlacedUnit], list[Finding]]:
    """The units of one contour, drawn; one unit alone is a group of its own."""
    made: list[PlacedUnit] = []
    findings: list[Finding] = []
    for unit in group:
        placed, found = _inked(unit, around)
        made.append(placed)
        findings += [*unit.findings, *found]
    return made, findings


def _inked(unit: SetUnit, around: Surroundings) -> tuple[PlacedUnit, list[Finding]]:
    """Border, tails and words of one unit."""
    job, candidate = unit.job, unit.candidate
    style, setting = job.layout.style, job.setting
    outline: Path | None = None
    drawn = Tailed(None)
    findings: list[Finding] = []
    if setting.has_outline:
        mouths, findings = mouths_of(job)
        drawn, found = tailed(unit, _plain(unit), mouths)
        findings += found
        outline = drawn.outline
    stroke = Stroke(style.border, style.ink, _dash(setting, outline)) if outline else None
    halo_width = 2 * (
        craft.EFFECT_HALO_EM * candidate.size
        if setting.kind == "effect"
        else craft.OPEN_HALO_CAPS * unit.cap
    )
    extras = (*drawn.extras,)
    boxes: list[Box | None] = [outline.box() if outline else None, unit.ink]
    boxes += [layer.path.box() for layer in extras]
    return (
        PlacedUnit(
            id=job.unit.id,
            kind=setting.kind,
            words=job.unit.words,
            speaker=job.unit.speaker,
            panel=job.unit.panel,
            size=candidate.size,
            lines=tuple(line.path(unit.place) for line in candidate.lines),
            breaks=tuple(line.words for line in candidate.lines),
            ink=unit.ink,
            box=union_box(box for box in boxes if box) or unit.ink,
            color=style.ink,
            shape=unit.shape,
            outline=outline,
            fill=style.paper if outline else None,
            stroke=stroke,
            halo=None if outline else Stroke(halo_width, style.paper),
            tails=drawn.tails,
            costs=candidate.costs,
            overflow=candidate.overflow,
            planned_size=job.placement.size or setting.size,
            extras=extras,
        ),
        findings,
    )


def _plain(unit: SetUnit) -> Path:
    """The border of a unit before it has tails."""
    job, shape = unit.job, unit.shape
    style = job.layout.style
    if isinstance(shape, Oval):
        border = border_of(job.setting.kind)
        return border.outline(shape, job.identity, style.hand)
    return frame_outline(shape, job.identity, style.hand)


def _dash(setting: Setting, outline: Path) -> tuple[float, float] | None:
    """A whisper's dashes: a whole number of them all round, so that they close evenly."""
    if not setting.dashed:
        return None
    length = Ring(outline).length
    count = max(3, round(length / (craft.DASH_POINTS * (1 + craft.DASH_GAP_SHARE))))
    period = length / count
    dash = period / (1 + craft.DASH_GAP_SHARE)
    return dash, period - dash
