"""The path of the eye against the script: panels, words in a panel, what is to be read after."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from letterer import craft
from letterer.geometry import Box, union_box
from letterer.page.lettered import PlacedUnit, Severity
from letterer.review.finding import Inspection, Noticed, quoted
from letterer.review.leading import NEARER, OVER
from letterer.review.panels import Doubt, Lead
from letterer.review.path import StopKind, reading_box, words_order

EASED = 0.7
"""After the move that is advised, the need is this share of the most that keeps a row."""


def panels_out_of_order(look: Inspection) -> Iterator[Noticed]:
    """Panels that readers will meet in another order than the script's, surely or perhaps."""
    found = look.path.panels
    wanted = tuple(sorted(found.order))
    if found.order == wanted:
        if found.least is not None:
            yield _doubtful(look, found.least)
        return
    late, early = next((a, b) for a, b in zip(wanted, found.order, strict=True) if a != b)
    share = round(found.confidence * 100)
    first, then = _named(look, early), _named(look, late)
    what = f"{first} will be read before {then}"
    severity = Severity.PROBLEM if found.confident else Severity.WARNING
    if found.rival == wanted:  # the others read on as the script has it
        what += f" by about {share} of 100 readers"
        severity = Severity.WARNING
    mend = (
        f"Number the panels as they are read, or let panel {late} begin higher than panel {early}"
        " or before it in the row"
    )
    here = [doubt for doubt in found.doubts if {early, late} <= set(doubt.parted)]
    if here:
        doubt = min(here, key=lambda doubt: doubt.share)
        leads = [lead for lead in doubt.leads if lead.pull > 0]
        if leads:
            what += f": {_because(look, doubt, leads)}"
            ways = [way for lead in leads if (way := _undone(lead))]
            # Without those words the panels would be read as the script has it.
            if ways:
                either = _either([*ways, "number the panels as they are read"])
                mend = f"{either[0].upper()}{either[1:]}"
    yield look.noticed(
        severity, "panel order", (what, mend), at=_box(look, early), others=_first(look, early)
    )


def _doubtful(look: Inspection, doubt: Doubt) -> Noticed:
    mine, theirs = next((a, b) for a, b in zip(doubt.order, doubt.rival, strict=True) if a != b)
    share = round((1 - doubt.share) * 100)
    leads = [lead for lead in doubt.leads if lead.pull < 0]
    what = (
        f"about {share} of 100 readers will go to {_named(look, theirs)} before"
        f" {_named(look, mine)}: {_because(look, doubt, leads)}"
    )
    ways = [way for lead in leads if (way := _undone(lead))]
    ways += ["line the gutters up", "let a figure, a look or a balloon lead the eye"]
    mend = f"If it matters: {_either(ways)}"
    return look.noticed(Severity.NOTE, "panel order unsure", (what, mend), at=_box(look, theirs))


def _because(look: Inspection, doubt: Doubt, leads: Sequence[Lead]) -> str:
    """Why an order is doubtful: what about the panels makes it so, and how words lead there."""
    told = [doubt.why, *(_led(look, lead) for lead in leads)]
    return ", and ".join([", ".join(told[:-1]), told[-1]] if len(told) > 2 else told)


def _led(look: Inspection, lead: Lead) -> str:
    one, other = lead.panels
    if lead.how == OVER:
        units = [unit for unit in look.page.units if unit.id in lead.units]
        whose = " and ".join(f"{unit.id} {quoted(unit)}" for unit in units)
        verb = "lies" if len(units) == 1 else "lie"
        return f"{whose} {verb} over the gutter from panel {one} to panel {other}"
    if lead.how == NEARER:
        return f"the words of panel {other} are nearer than those of panel {one}"
    return f"panel {one} has no words"


def _either(ways: Sequence[str]) -> str:
    """Ways to mend it, in a row."""
    return f"{', '.join(ways[:-1])}, or {ways[-1]}" if len(ways) > 1 else ways[0]


def _undone(lead: Lead) -> str:
    """What takes a lead away; nothing for a panel that is meant to be silent."""
    if lead.how == OVER:
        return f"move {' and '.join(lead.units)} off that gutter"
    if lead.how == NEARER:
        return f"bring the words of panel {lead.panels[0]} nearer to those read before them"
    return ""


def _named(look: Inspection, number: int) -> str:
    """A panel, and its first words if it has any."""
    unit = next((unit for unit in look.page.units if unit.panel == number), None)
    return f"panel {number} ({unit.id} {quoted(unit)})" if unit else f"panel {number}"


def _first(look: Inspection, number: int) -> tuple[str, ...]:
    return tuple(unit.id for unit in look.page.units if unit.panel == number)[:1]


def _box(look: Inspection, number: int) -> Box | None:
    panel = look.plan.panel(number)
    return panel.box if panel else None


def words_out_of_order(look: Inspection) -> Iterator[Noticed]:
    """Units of a panel that are read in another order than the script's."""
    for number in dict.fromkeys(unit.panel for unit in look.page.units):
        units = [unit for unit in look.page.units if unit.panel == number]
        found = words_order(units, look.layout.reading)
        read = [piece.key for piece in found.order]
        for before, after in pairwise(read):
            if before > after:
                yield _swapped(look, units[before], units[after])


def _swapped(look: Inspection, early: PlacedUnit, late: PlacedUnit) -> Noticed:
    """`early` is read before `late`, and the script has them the other way."""
    pair = words_order((late, early), look.layout.reading)
    effect = "effect" in (early.kind, late.kind)
    sure = pair.confidence >= craft.ORDER_CONFIDENT and pair.order[0].key == 1
    severity = Severity.NOTE if effect else Severity.PROBLEM if sure else Severity.WARNING
    how = "is" if sure else "may be"
    what = f"{quoted(early)} {how} read before {late.id} {quoted(late)}"
    top, low = reading_box(late), reading_box(early)
    most = craft.STAGGER_SHARE_WORDS * EASED * min(top.height, low.height)
    by = top.bottom - low.top - most
    moved = top.shifted(0, -by)
    mend = f"Let {late.id} and {early.id} change places"
    if by > 0 and look.room(late).contains(moved, 0.5):
        mend += f", or move {late.id} about {look.length(by)} up"
    elif by > 0 and look.room(early).contains(low.shifted(0, by), 0.5):
        mend += f", or move {early.id} about {look.length(by)} down"
    place = union_box((top, low))
    return look.noticed(severity, "reading order", (what, mend), early, at=place, others=(late.id,))


def read_too_early(look: Inspection) -> Iterator[Noticed]:
    """Units that the eye meets before the focus that they are to be read after."""
    for form in look.forms:
        placement = look.placement(form.unit)
        name = placement.read_after if placement else None
        if not name:
            continue
        focus = look.path.place(StopKind.FOCUS, name)
        words = look.path.place(StopKind.WORDS, form.unit.id)
        if focus is None or words is None or words > focus:
            continue
        stop = look.path.stops[focus]
        if stop.panel == form.unit.panel:
            mend = f"Move it lower than {name}"
        else:
            mend = f"Move it into panel {stop.panel}, or a later one"
        told = (f"is read before the eye has found {name}", mend)
        yield look.noticed(Severity.WARNING, "read too early", told, form)
