"""Units from lines to ink: border, joins, tails, and all else that the kind draws.

Units that share one contour are inked together, as a `Group`; most groups are one unit alone. The
first unit of a group carries the contour; of the others, only the words are drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, rectangle, union_box
from letterer.ink.borders import border_of, dashed
from letterer.ink.join import tail_wedges
from letterer.ink.tail import Tail
from letterer.ink.union import united_all
from letterer.model.style import Style
from letterer.page.butts import butted, flat_length, spare
from letterer.page.effects import DrawnEffect, inked_effect
from letterer.page.joins import Group, bare_border, chain_aims
from letterer.page.lettered import Finding, Layer, PlacedUnit, Severity, Stroke
from letterer.page.surroundings import Surroundings
from letterer.page.tails import Tailed, aims_of, tailed
from letterer.page.unit import Job, SetUnit, butt_air, set_unit

PLAIN_KINDS = ("speech", "whisper")
"""Kinds whose border is the oval itself."""

AIR_SLACK = 0.01
"""Less air missing than this, in points, is not worth a word."""


def place_unit(job: Job) -> tuple[PlacedUnit, list[Finding]]:
    """One unit alone, from words to ink."""
    made, findings = ink_group(Group((set_unit(job),)), Surroundings())
    return made[0], findings


def ink_group(group: Group, around: Surroundings) -> tuple[list[PlacedUnit], list[Finding]]:
    """The units of one contour, drawn; one unit alone is a group of its own."""
    findings = [finding for unit in group.units for finding in unit.findings]
    if group.body is None:
        placed, found = _inked(group.units[0], around)
        return [placed], [*findings, *found]
    made, found = _inked_together(group, group.body, around)
    return made, [*findings, *found]


def _inked_together(
    group: Group, body: Path, around: Surroundings
) -> tuple[list[PlacedUnit], list[Finding]]:
    """Several units in one contour, with the tails that they are to have."""
    own = {unit.job.unit.id for unit in group.units}
    others = tuple(unit for unit in around.units if unit.job.unit.id not in own)
    around = replace(around, units=others)
    tails: dict[str, tuple[Tail, ...]] = {}
    extras: list[Layer] = []
    wedges: list[Path] = []
    tailing, findings = chain_aims(group, body, around)
    borders = dict(zip((unit.job.unit.id for unit in group.units), group.borders, strict=True))
    for unit, aims in tailing:
        id = unit.job.unit.id
        drawn, found = tailed(unit, borders[id], aims, around, joined=True)
        findings += found
        tails[id] = drawn.tails
        extras += drawn.extras
        if drawn.outline:
            wedges += tail_wedges(drawn.outline, drawn.tails, unit.shape.center)
    outline = united_all(body, wedges)
    ids = tuple(unit.job.unit.id for unit in group.units)
    made: list[PlacedUnit] = []
    for unit, border in zip(group.units, group.borders, strict=True):
        first = unit is group.units[0]
        drawn = Tailed(
            outline if first else None,
            tails.get(unit.job.unit.id, ()),
            tuple(extras) if first else (),
        )
        ends = [Box(*place, *place) for tail in drawn.tails for place in (tail.root, tail.tip)]
        box = union_box(box for box in (border.box(), unit.ink, *ends) if box) or unit.ink
        made.append(replace(_placed(unit, drawn), box=box, joined=ids, own=border))
    return made, findings


def _inked(unit: SetUnit, around: Surroundings) -> tuple[PlacedUnit, list[Finding]]:
    """Border, tails and words of one unit."""
    job, candidate = unit.job, unit.candidate
    if isinstance(candidate, DrawnEffect):
        return inked_effect(job, candidate, unit.place), []
    if not job.setting.has_outline:
        return _placed(unit, Tailed(None)), []
    aims, findings = aims_of(unit, around)
    # A plain border is cut before it has tails, so that they keep off the corners of the cut.
    cut_first = bool(unit.butts) and (job.setting.is_caption or job.setting.kind in PLAIN_KINDS)
    border = bare_border(unit)
    drawn, found = tailed(unit, border, aims, around, joined=cut_first)
    if unit.butts and not cut_first and drawn.outline:
        drawn = replace(drawn, outline=butted(drawn.outline, unit.butts))
    findings = [*findings, *found, *_butt_findings(unit, drawn.outline)]
    return replace(_placed(unit, drawn), own=border), findings


def _butt_findings(unit: SetUnit, outline: Path | None) -> list[Finding]:
    """Sides on which a unit was to be cut and is not, and words that are too near to a cut."""
    found: list[Finding] = []
    for side in dict.fromkeys(butt.side for butt in unit.butts if outline):
        row = [butt for butt in unit.butts if butt.side == side]
        assert outline is not None
        if not any(flat_length(outline, butt.line) for butt in row):
            what = f"it does not reach its panel's border on the {side}, and is not cut there"
            mend = f'Move it nearer, or take "{side}" out of its "cut"'
            found.append(unit.job.finding(Severity.NOTE, "not cut", what, mend))
        least = min(
            spare(butt, unit.candidate, butt_air(unit.job, unit.cap), unit.place) for butt in row
        )
        if least < -AIR_SLACK:
            what = f"its words stand too near to the line that it is cut on, on the {side}"
            mend = "Break it into narrower or fewer lines, or cut it on fewer sides"
            found.append(unit.job.finding(Severity.WARNING, "little air", what, mend))
    return found


def _placed(unit: SetUnit, drawn: Tailed) -> PlacedUnit:
    """A unit as it is drawn, in the border that was made for it."""
    job, candidate, outline = unit.job, unit.candidate, drawn.outline
    style, setting = job.style, job.setting
    dash: tuple[float, ...] | None = None
    under: tuple[Layer, ...] = ()
    if outline and setting.dashed:
        outline, dash = dashed(outline, style.border)
        under = (_rim(outline, style),)
    elif not setting.has_outline and setting.kind != "effect":
        under = _ground(unit)
    stroke = Stroke(style.border, style.ink, dash) if outline and style.border else None
    halo_width = 2 * (
        craft.EFFECT_HALO_EM * candidate.size
        if setting.kind == "effect"
        else craft.OPEN_HALO_CAPS * unit.cap
    )
    extras = (*drawn.extras, *(_notes(unit, drawn.tails) if outline else ()))
    boxes: list[Box | None] = [outline.box() if outline else None, unit.ink]
    boxes += [layer.path.box() for layer in extras]
    return PlacedUnit(
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
        halo=None if setting.has_outline else Stroke(halo_width, style.paper),
        tails=drawn.tails,
        costs=candidate.costs,
        overflow=candidate.overflow,
        planned_size=job.placement.size or setting.size,
        extras=extras,
        under=under,
    )


def _rim(outline: Path, style: Style) -> Layer:
    """Paper under a dashed border, a little wider than it: its gaps are even on dark art too."""
    width = style.border + 2 * craft.WHISPER_HALO_POINTS
    return Layer("ground", outline, style.paper, Stroke(width, style.paper))


def _ground(unit: SetUnit) -> tuple[Layer, ...]:
    """Paper between the words of open lines, where their halos leave specks of the art."""
    inset = craft.OPEN_GROUND_CAPS * unit.cap
    bars = [box.grown(-inset) for box in unit.line_boxes]
    segments = [step for bar in bars if bar.width > 0 for step in rectangle(bar).segments]
    if not segments:
        return ()
    stroke = Stroke(2 * craft.OPEN_HALO_CAPS * unit.cap, unit.job.style.paper)
    return (Layer("ground", Path(tuple(segments)), stroke.color, stroke),)


def _notes(unit: SetUnit, tails: Sequence[Tail]) -> tuple[Layer, ...]:
    """A song's notes, knocked out of the border they stand on."""
    shape, style = unit.shape, unit.job.style
    if not isinstance(shape, Oval):
        return ()
    roots = [tail.root for tail in tails]
    notes = border_of(unit.job.setting.kind).notes(shape, unit.pen, unit.line_boxes, roots)
    if notes is None:
        return ()
    halo = Stroke(2 * craft.SONG_NOTE_HALO_EM * unit.candidate.size, style.paper)
    return (
        Layer("knockout", notes.ground, style.paper, halo),
        Layer("notes", notes.ink, style.ink),
    )
