"""Tails: too long, crossing each other or words or faces, aiming at no mouth or another's."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from letterer import craft
from letterer.geometry import Box, Point, union_box
from letterer.ink.tail import Tail
from letterer.model.plan import PanelPlan
from letterer.page.lettered import Severity
from letterer.review.finding import Inspection, Noticed, are_joined, at_point
from letterer.review.shapes import Form, crossing, enters, polygons


def long_tails(look: Inspection) -> Iterator[Noticed]:
    """Tails so long that the eye loses its way."""
    for form in look.forms:
        longest = craft.TAIL_LONGEST_CAPS * craft.CAP_EM * form.unit.size
        for tail in form.unit.tails:
            if tail.length > longest:
                what = f"its tail is {look.length(tail.length)} long"
                told = (what, f"Move the balloon nearer to {_whom(form)}")
                yield look.noticed(Severity.WARNING, "long tail", told, form, at=_box_of(tail))


def crossing_tails(look: Inspection) -> Iterator[Noticed]:
    """Tails that cross: the eye cannot tell whose words they are."""
    tails = [(form, line) for form in look.forms for line in form.tails]
    for (one, first), (other, second) in combinations(tails, 2):
        place = crossing(first, second)
        if place is None or are_joined(one.unit, other.unit):
            continue
        if one is other:
            told = ("two of its tails cross", "Move the balloon, or take one tail out")
        else:
            what = f"its tail crosses the tail of {other.unit.id}"
            told = (what, "Let the two balloons change places, or bring each nearer to its speaker")
        yield look.noticed(
            Severity.PROBLEM,
            "tails cross",
            told,
            one,
            at=at_point(place),
            others=() if one is other else (other.unit.id,),
        )


def tails_over_words(look: Inspection) -> Iterator[Noticed]:
    """Tails that run over, or behind, the words or the balloon of another unit."""
    for form in look.forms:
        for line in form.tails:
            for other in look.forms:
                if other is form or are_joined(form.unit, other.unit):
                    continue
                words = enters(line, other.words)
                place = words or enters(line, other.body)
                if place is None:
                    continue
                whose = f"the words of {other.unit.id}" if words else f"balloon {other.unit.id}"
                told = (
                    f"its tail crosses {whose}",
                    f"Move one of the two, nearer to {_whom(form)}",
                )
                severity = Severity.PROBLEM if words else Severity.WARNING
                yield look.noticed(
                    severity,
                    "tail over words",
                    told,
                    form,
                    at=at_point(place),
                    others=(other.unit.id,),
                )


def tails_over_faces(look: Inspection) -> Iterator[Noticed]:
    """Tails that cut a face or another zone; the face of the mouth a tail aims at is no such."""
    for form in look.forms:
        for tail, line in zip(form.unit.tails, form.tails, strict=True):
            for zone in look.plan.keep_clear:
                if zone.box.grown(craft.MOUTH_MISSED_POINTS / 2).holds(tail.mouth):
                    continue
                place = enters(line, polygons(zone.shape))
                if place is not None:
                    told = (f"its tail crosses {zone.name}", "Move the balloon to the other side")
                    yield look.noticed(
                        Severity.WARNING, "tail over face", told, form, at=at_point(place)
                    )


def missed_mouths(look: Inspection) -> Iterator[Noticed]:
    """Tails that do not point at their speaker's mouth."""
    for form in look.forms:
        panel = look.plan.panel(form.unit.panel)
        own = panel.mouth(form.unit.speaker) if panel else None
        for tail in form.unit.tails:
            off = _aim(tail)
            if off > craft.TAIL_AIM_DEGREES + 1e-6:
                what = f"its tail points past the mouth it aims at, by {off:.0f} degrees"
                told = (what, "Move the balloon a little")
                yield look.noticed(
                    Severity.WARNING, "mouth missed", told, form, at=at_point(tail.tip)
                )
        aims = [tail.mouth for tail in form.unit.tails]
        if panel is None or not aims:
            continue
        if own is None:
            if len(aims) == 1 and _is_someone(look, form.unit.speaker):
                yield from _borrowed(look, form, panel, aims[0])
        elif min(own.distance(aim) for aim in aims) > craft.MOUTH_MISSED_POINTS:
            yield _elsewhere(look, form, panel, aims[0])


def _is_someone(look: Inspection, speaker: str) -> bool:
    """True for a speaker who has a mouth somewhere in the book, not for two who speak as one."""
    return any(panel.mouth(speaker) for plan in look.layout for panel in plan.panels)


def _borrowed(look: Inspection, form: Form, panel: PanelPlan, aim: Point) -> Iterator[Noticed]:
    """A tail to the mouth of another, where the speaker has none in the panel."""
    for name, at in panel.mouths.items():
        if at.distance(aim) <= craft.CLOSE_POINTS:
            what = f"{form.unit.speaker} speaks, and the tail points at {name}"
            mend = 'Give "tails" a point at the edge of the panel, toward the speaker'
            yield look.noticed(
                Severity.PROBLEM, "mouth missed", (what, mend), form, at=at_point(aim)
            )


def _elsewhere(look: Inspection, form: Form, panel: PanelPlan, aim: Point) -> Noticed:
    speaker = form.unit.speaker
    near = [
        name for name, at in panel.mouths.items() if at.distance(aim) < craft.MOUTH_MISSED_POINTS
    ]
    mend = f'Take "tails" out of its placement, or write "tails": ["{speaker}"]'
    if near:
        what = f"{speaker} speaks, and the tail points at {near[0]}"
        return look.noticed(Severity.PROBLEM, "mouth missed", (what, mend), form, at=at_point(aim))
    what = f"the tail points away from the mouth of {speaker}"
    return look.noticed(Severity.WARNING, "mouth missed", (what, mend), form, at=at_point(aim))


def _aim(tail: Tail) -> float:
    """Degrees between a tail's end and the way from its tip to the mouth."""
    if tail.tip.distance(tail.mouth) < craft.CLOSE_POINTS:
        return 0.0
    along = math.atan2(tail.tip.y - tail.bend.y, tail.tip.x - tail.bend.x)
    wanted = math.atan2(tail.mouth.y - tail.tip.y, tail.mouth.x - tail.tip.x)
    off = math.degrees(along - wanted)
    return abs((off + 180) % 360 - 180)


def _whom(form: Form) -> str:
    return form.unit.speaker or "its speaker"


def _box_of(tail: Tail) -> Box | None:
    return union_box((at_point(tail.root), at_point(tail.tip)))
