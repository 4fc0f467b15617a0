"""A speaker who has another name now: the mouths in the layout go along.

A name counts as changed where the script no longer has the old one at all, and the new one speaks
words that were the old one's. Where the layout does not say whose they were, the old one has a
mouth in the panels of these words, and the new one has none.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from letterer.model.plan import Layout
from letterer.model.script import Role, Script
from letterer.revise.book import address, in_order
from letterer.revise.pairs import Matching


@dataclass(frozen=True, slots=True)
class Renamed:
    """Old names and new ones, and what is to be told."""

    found: tuple[tuple[str, str], ...] = ()
    told: tuple[str, ...] = ()


def renamed_speakers(script: Script, layout: Layout, matching: Matching) -> Renamed:
    """Speakers whose name was changed throughout."""
    placed = in_order(layout.pages)
    now = {unit.speaker.casefold() for unit in script.units}
    then = {one.speaker.casefold() for one in placed if one.speaker}
    known: set[str] = set()
    votes: Counter[tuple[str, str]] = Counter()
    for pair in matching.pairs:
        if len(pair.old) != 1 or len(pair.new) != 1 or not pair.sure:
            continue
        unit, before = script.units[pair.new[0]], placed[pair.old[0]]
        if before.speaker is not None and unit.role is Role.SPEECH:
            if unit.speaker.casefold() in then:
                known.add(unit.speaker)
            elif before.speaker.casefold() not in now:
                votes[before.speaker, unit.speaker] += 1
            continue
        page, number, _ = address(before.unit)
        plan = layout.page(page)
        panel = plan.panel(number) if plan else None
        # A placement that names its tails says nothing about whose mouth it would be.
        if unit.role is not Role.SPEECH or panel is None or before.tails is not None:
            continue
        if panel.mouth(unit.speaker) is not None:
            known.add(unit.speaker)
            continue
        votes.update((name, unit.speaker) for name in panel.mouths if name.casefold() not in now)
    found: list[tuple[str, str]] = []
    told: list[str] = []
    for old in sorted({old for old, _ in votes}):
        # Somebody who has a mouth beside that of the old name is another person.
        ranked = sorted(
            (_together(layout, old, new), -count, new)
            for (name, new), count in votes.items()
            if name == old
        )
        beside, most, new = ranked[0]
        rivals = [
            other
            for (other, name), count in votes.items()
            if name == new and other != old and count >= -most
        ]
        equal = [one for one in ranked[1:] if one[:2] == (beside, most)]
        if beside or rivals or equal or new in known:
            told.append(
                f"{new} may be a new name for {old}, which is not sure;"
                f' if so, write {new} for {old} in the layout\'s "mouths"'
            )
        else:
            found.append((old, new))
            told.append(f"{old} is called {new} now: the mouths in the layout go by the new name")
    return Renamed(tuple(found), tuple(told))


def _together(layout: Layout, one: str, other: str) -> bool:
    """True where some panel has mouths of both: these are two people."""
    pages = (*layout.pages, *layout.parked.pages)
    panels = [panel for page in pages for panel in page.panels]
    panels += [panel for _, panel in layout.parked.panels]
    return any(panel.mouth(one) and panel.mouth(other) for panel in panels)
