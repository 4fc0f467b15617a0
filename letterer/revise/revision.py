"""What follows from a matching: edits of the layout, stage by stage, and what is told of them.

What was parked with its page or panel is put back first, where its words are back; the rest is
matched with that in place, and decided unit by unit (`decision`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from letterer.model.plan import Layout
from letterer.model.script import Script
from letterer.revise.applying import applied
from letterer.revise.book import (
    address,
    as_old,
    in_order,
    panels_of,
    telling,
    unit_id,
)
from letterer.revise.change import WITH_ITS_PAGE, Change, Fate, Revision
from letterer.revise.decision import UNPLACED, Decision
from letterer.revise.edits import Edits, Put
from letterer.revise.homes import ASIDE, PanelKey
from letterer.revise.likeness import folded
from letterer.revise.matching import match
from letterer.revise.pairs import Matching
from letterer.revise.speakers import renamed_speakers


def revise(script: Script, layout: Layout) -> Revision:
    """Match a script with a layout, and say what follows."""
    if not layout.is_remembered:
        return _by_number(script, layout)
    stages: list[Edits] = []
    found = _matched(script, layout)
    shelf = _Shelf(layout)
    back = shelf.wanted(script, found)
    if back != Edits():
        with_them = applied(layout, back)
        again = _matched(script, with_them)
        if _all_at_home(with_them, again):
            stages.append(back)
            layout, found = with_them, again
    names = renamed_speakers(script, layout, found)
    decided = Decision(script, layout, found, dict(names.found))
    decided.decide()
    edits = decided.edits()
    stages.append(edits)
    changes = [_at_home(change, edits, found) for change in decided.changes]
    pages = sorted(edits.pages.items())
    return Revision(
        tuple(stages),
        applied(layout, edits),
        tuple(sorted(changes, key=lambda change: address(change.at))),
        tuple((old, new) for old, new in pages if old != new and old < ASIDE),
        names.told,
        cut_pages=tuple(sorted(edits.stowed_pages)),
        cut_panels=tuple(sorted(key for key in edits.stowed_panels if max(key) < ASIDE)),
        back=(
            *(f"page {new}" for old, new in pages if old >= ASIDE),
            *(
                f"panel {panel} of page {page}"
                for old, (page, panel) in sorted(found.homes.panels.items())
                if old[1] >= ASIDE
            ),
        ),
    )


def _at_home(change: Change, edits: Edits, found: Matching) -> Change:
    """A change that names no numbers aside: what was parked with its page or panel, and is back
    with it, has the numbers that these have now."""

    def plain(unit: str) -> str:
        page, panel, number = address(unit)
        if max(page, panel) < ASIDE:
            return unit
        home = found.homes.panels.get((page, panel), (edits.pages.get(page, page), panel))
        return unit_id((*home, number))

    was = tuple(plain(unit) for unit in change.was)
    if was != change.was and was == (change.unit,) and change.fate is Fate.SAME and change.sure:
        return replace(change, was=was, fate=Fate.BACK, place=WITH_ITS_PAGE)
    return replace(change, was=was)


def _matched(script: Script, layout: Layout) -> Matching:
    placed = in_order(layout.pages)
    return match([as_old(one) for one in placed], panels_of(layout.pages), script)


def _all_at_home(layout: Layout, found: Matching) -> bool:
    """True when everything that was put back aside has found a number of its own."""
    return all(
        (page.number < ASIDE or page.number in found.homes.pages)
        and all(
            panel.number < ASIDE or (page.number, panel.number) in found.homes.panels
            for panel in page.panels
        )
        for page in layout.pages
    )


def _by_number(script: Script, layout: Layout) -> Revision:
    """The first run on a layout written by hand: units are those of the same number."""
    units = {unit.id: unit for unit in script.units}
    kept: dict[str, Put] = {}
    changes: list[Change] = []
    for placed in in_order(layout.pages):
        unit = units.pop(placed.unit, None)
        kept[placed.unit] = Put(placed.unit)
        if unit is not None:
            kept[placed.unit] = telling(Put(unit.id, unit.words), placed, unit)
        if unit is not None:
            place = "taken by its number: the layout says no words yet"
            changes.append(Change(Fate.SAME, unit.id, (unit.id,), unit.words, unit.words, place))
    changes += [
        Change(Fate.NEW, unit.id, (), unit.words, place=UNPLACED) for unit in units.values()
    ]
    changes.sort(key=lambda change: address(change.at))
    edits = Edits(kept=kept)
    return Revision((edits,), applied(layout, edits), tuple(changes), remembered=False)


@dataclass(slots=True)
class _Shelf:
    """The parked pages and panels, and whether the script has words of theirs again."""

    layout: Layout

    def wanted(self, script: Script, found: Matching) -> Edits:
        """Edits that put back, under numbers aside, parked pages and panels whose words are new."""
        fresh = [script.units[index] for index in found.fresh]
        waiting = {folded(unit.words) for unit in fresh}
        parked = self.layout.parked
        pages = {}
        for index, stored in enumerate(parked.pages):
            said = [folded(one.words or "") for one in stored.placements]
            if said and sum(words in waiting for words in said) * 2 >= len(said):
                pages[index] = ASIDE + index
        planned = {page.number for page in self.layout.pages}
        panels: dict[int, PanelKey] = {}
        returns: dict[int, Put] = {}
        for index, (page, panel) in enumerate(parked.panels):
            inside = [
                (place, placed)
                for place, placed in enumerate(parked.placements)
                if address(placed.unit)[:2] == (page, panel.number) and place not in returns
            ]
            home = found.homes.pages.get(page)
            there = {folded(unit.words) for unit in fresh if unit.page == home}
            said = [folded(placed.words or "") for _, placed in inside]
            if page in planned and said and sum(w in there for w in said) * 2 >= len(said):
                number = ASIDE + index
                panels[index] = (page, number)
                units = {
                    unit_id((page, number, address(one.unit)[2])): place for place, one in inside
                }
                returns |= {place: Put(unit) for unit, place in units.items()}
        return Edits(
            kept=_all_kept(self.layout) if pages or panels else {},
            returned_pages=pages,
            returned_panels=panels,
            returns=returns,
        )


def _all_kept(layout: Layout) -> dict[str, Put]:
    return {placed.unit: Put(placed.unit) for placed in in_order(layout.pages)}


__all__ = ["Change", "Fate", "Revision", "revise"]
