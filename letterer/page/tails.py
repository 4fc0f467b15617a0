"""The tails of a unit: where they aim, how its kind draws them, and what keeps them from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from letterer import craft
from letterer.geometry import Path, Point
from letterer.ink.tail import Tail, TailStyle, tailed_outline
from letterer.model.script import Manner, Role
from letterer.page.lettered import Finding, Layer, Severity
from letterer.page.unit import Job, SetUnit


@dataclass(frozen=True, slots=True)
class Tailed:
    """A border with its tails: one contour, the tails as drawn, and what stands apart from it."""

    outline: Path | None
    tails: tuple[Tail, ...] = ()
    extras: tuple[Layer, ...] = ()


def tailed(unit: SetUnit, plain: Path, mouths: Sequence[Point]) -> tuple[Tailed, list[Finding]]:
    """The border of a unit with a tail toward each mouth, and findings about them."""
    job, cap = unit.job, unit.cap
    style = job.layout.style
    tail_style = TailStyle(
        style.tail_base * cap,
        style.tail_share,
        shortest=craft.TAIL_SHORTEST_CAPS * cap,
        corner=craft.TAIL_CORNER_CAPS * cap,
        gap=craft.TAIL_GAP_CAPS * cap,
    )
    shape = unit.shape
    heart = shape.center
    outline, tails, untailed = tailed_outline(plain, heart, mouths, tail_style)
    findings = [_untailed(job, left.why) for left in untailed]
    for tail in tails:
        if tail.length > craft.TAIL_LONGEST_CAPS * cap:
            what = f"the tail is {tail.length / 72:.2f} in long"
            mend = "Move the balloon nearer to its speaker"
            findings.append(job.finding(Severity.NOTE, "long tail", what, mend))
    return Tailed(outline, tails), findings


def mouths_of(job: Job) -> tuple[Sequence[Point], list[Finding]]:
    """Where the tails of a unit aim; a finding where a speech has no mouth."""
    named = job.placement.tails
    mouth_of = job.panel.mouth if job.panel else lambda _: None
    if named is not None:
        found = [mouth_of(tail) if isinstance(tail, str) else tail for tail in named]
        return [mouth for mouth in found if mouth is not None], []
    if job.unit.role is not Role.SPEECH or job.setting.is_caption:
        return [], []
    mouth = mouth_of(job.unit.speaker)
    if mouth is not None:
        return [mouth], []
    if Manner.OFF in job.unit.manners:
        what = "an off-panel voice has no tail"
        mend = 'Give "tails" a point at the edge of the panel, toward the speaker'
    else:
        what = f"no tail, since the layout has no mouth for {job.unit.speaker} in this panel"
        mend = f'Add "{job.unit.speaker}": [x, y] to the panel\'s "mouths", or "tails" to the unit'
    return [], [job.finding(Severity.WARNING, "no tail", what, mend)]


def _untailed(job: Job, why: str) -> Finding:
    what = {
        "inside": "no tail: the mouth lies inside the balloon",
        "near": "no tail: the mouth is too near the balloon for one",
        "room": "no tail: there is no room for its base on the border",
    }[why]
    return job.finding(Severity.WARNING, "no tail", what, "Move the balloon away from the mouth")
