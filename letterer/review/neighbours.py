"""Units against units: words that another balloon hides, balloons that touch."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from letterer import craft
from letterer.page.lettered import PlacedUnit, Severity
from letterer.review.finding import Inspection, Noticed, are_joined, quoted
from letterer.review.shapes import Common, Form, common, distance

AIR = 3 * craft.CLOSE_POINTS
"""Left between balloons that are moved apart."""


def hidden_words(look: Inspection) -> Iterator[Noticed]:
    """Words that a unit drawn later covers."""
    for under, over in combinations(look.forms, 2):
        shared = _over_words(under, over)
        if shared is None or are_joined(under.unit, over.unit):
            continue
        what = f"{over.unit.id} {quoted(over.unit)} covers some of its words"
        severity = Severity.WARNING if under.unit.kind == "effect" else Severity.PROBLEM
        told = (what, _mend(look, over, under))
        yield look.noticed(
            severity, "words covered", told, under, at=shared.box, others=(over.unit.id,)
        )


def _mend(look: Inspection, over: Form, under: Form) -> str:
    move = look.move_off(over, under.body, AIR)
    return move.replace("Move it", f"Move {over.unit.id}", 1)


def _over_words(under: Form, over: Form) -> Common | None:
    if not over.box.meets(under.unit.ink):
        return None
    return common(over.body, under.words)


def touching(look: Inspection) -> Iterator[Noticed]:
    """Balloons and captions of different speakers that touch, and any two that overlap."""
    for one, other in combinations(look.forms, 2):
        if "effect" in (one.unit.kind, other.unit.kind) or are_joined(one.unit, other.unit):
            continue
        if not one.box.grown(craft.CLOSE_POINTS).meets(other.box):
            continue
        if _over_words(one, other):
            continue  # told as words that are covered
        shared = common(one.body, other.body)
        if shared is None and _one_voice(one.unit, other.unit):
            continue
        if shared is None and distance(one.body, other.body) >= craft.CLOSE_POINTS:
            continue
        how = "overlaps" if shared else "touches"
        whose = f"{other.unit.id} {quoted(other.unit)}"
        what = f"{how} {whose}"
        if shared and _one_voice(one.unit, other.unit):
            mend = "Move them apart, or join them into one balloon"
        elif shared:
            mend = _mend(look, other, one)
        else:
            mend = f"Leave at least {look.length(AIR)} between them"
        place = shared.box if shared else None
        yield look.noticed(
            Severity.WARNING,
            "balloons touch",
            (what, mend),
            one,
            at=place,
            others=(other.unit.id,),
        )


def _one_voice(one: PlacedUnit, other: PlacedUnit) -> bool:
    """True where one speaker says both, or both are captions of one kind."""
    return (one.speaker, one.kind.split()[0]) == (other.speaker, other.kind.split()[0])
