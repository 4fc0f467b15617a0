"""Revising a plan in memory."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import TypeVar

from letterer.model.plan import Acceptance, Layout, PagePlan, PanelPlan, Parked, Placement, TailPlan
from letterer.revise.book import address, comes_in, in_order
from letterer.revise.edits import Edits, Put, Tail
from letterer.revise.homes import ASIDE


def applied(layout: Layout, edits: Edits) -> Layout:
    """The plan after edits. Nothing of the old one is changed."""
    return _Applying(layout, edits).layout()


class _Applying:
    def __init__(self, layout: Layout, edits: Edits) -> None:
        self.before, self.edits = layout, edits
        self.live = {placed.unit: placed for placed in in_order(layout.pages)}

    def layout(self) -> Layout:
        edits, before = self.edits, self.before
        parked = before.parked
        arriving: dict[int, list[Placement]] = {}
        for copy in edits.copies:
            source = self.live[copy.live] if copy.live else parked.placements[copy.parked]
            made = self.put(source, copy.put)
            arriving.setdefault(address(made.unit)[0], []).append(made)
        for index, put in edits.returns.items():
            made = self.put(parked.placements[index], put)
            arriving.setdefault(address(made.unit)[0], []).append(made)
        for unit, put in edits.kept.items():
            to = address(put.unit)
            if comes_in(address(unit), to, edits.pages):
                arriving.setdefault(to[0], []).append(self.put(self.live[unit], put))
        pages: list[PagePlan] = []
        asides: list[PagePlan] = []
        for page in before.pages:
            if page.number not in edits.stowed_pages:
                number = edits.pages.get(page.number, page.number)
                (asides if page.number >= ASIDE else pages).append(
                    self.page(page, arriving.get(number, []))
                )
        for aside in sorted(asides, key=lambda page: page.number):
            _insert(pages, aside, lambda page: (page.number,))
        pages += [
            _renumbered(parked.pages[index], number)
            for index, number in edits.returned_pages.items()
        ]
        return replace(
            before,
            pages=tuple(pages),
            parked=self.parked(),
            accepted=self.accepted(before.accepted),
        )

    def page(self, page: PagePlan, arriving: Iterable[Placement]) -> PagePlan:
        edits = self.edits
        number = edits.pages.get(page.number, page.number)
        panels: list[PanelPlan] = []
        comers: list[PanelPlan] = []
        for panel in page.panels:
            key = (page.number, panel.number)
            if key not in edits.stowed_panels:
                made = self.panel(panel, edits.panels.get(key, panel.number))
                (comers if panel.number >= ASIDE else panels).append(made)
        comers += [
            self.panel(self.before.parked.panels[index][1], to[1])
            for index, to in edits.returned_panels.items()
            if to[0] == page.number
        ]
        for comer in sorted(comers, key=lambda panel: panel.number):
            _insert(panels, comer, lambda panel: (panel.number,))
        placements: list[Placement] = []
        for placed in page.placements:
            put = edits.kept.get(placed.unit)
            if put is not None and not comes_in(
                address(placed.unit), address(put.unit), edits.pages
            ):
                placements.append(self.put(placed, put))
        for one in sorted(arriving, key=lambda other: address(other.unit)):
            _insert(placements, one, lambda other: address(other.unit))
        return replace(
            page,
            number=number,
            panels=tuple(panels),
            placements=tuple(placements),
            accepted=self.accepted(page.accepted),
        )

    def panel(self, panel: PanelPlan, number: int) -> PanelPlan:
        names = self.edits.speakers
        mouths = {names.get(name, name): at for name, at in panel.mouths.items()}
        return replace(panel, number=number, mouths=mouths)

    def put(self, placed: Placement, put: Put) -> Placement:
        names = self.edits.speakers
        tails = put.tails if put.new_tails else placed.tails
        if tails is not None:
            tails = tuple(_renamed(tail, names) for tail in tails)
        spot = put.spot or placed.spot
        if put.spot_of:
            spot = self.live[put.spot_of].spot
        elif put.spot_of_parked >= 0:
            spot = self.before.parked.placements[put.spot_of_parked].spot
        return replace(
            placed,
            unit=put.unit,
            spot=spot,
            tails=tails,
            words=placed.words if put.words is None else put.words,
            speaker=_speaker(placed, put, names),
            earlier=placed.earlier if put.earlier is None else put.earlier or None,
            lines_kept=placed.lines_kept if put.lines_kept is None else put.lines_kept,
            proposed=placed.proposed or put.proposed,
            read_after=None if put.alone else placed.read_after,
        )

    def parked(self) -> Parked:
        edits, parked = self.edits, self.before.parked
        placements = [
            self.put(placed, edits.relabelled.get(index, Put(placed.unit)))
            for index, placed in enumerate(parked.placements)
            if index not in edits.returns
        ]
        placements += [self.put(self.live[unit], Put(to)) for unit, to in edits.stowed.items()]
        panels = [
            (edits.moved_panels.get(index, page), self.panel(panel, panel.number))
            for index, (page, panel) in enumerate(parked.panels)
            if index not in edits.returned_panels
        ]
        by_page = {page.number: page for page in self.before.pages}
        panels += [
            (edits.pages.get(key[0], key[0]), self.panel(panel, panel.number))
            for key in sorted(edits.stowed_panels)
            if (panel := by_page[key[0]].panel(key[1])) is not None
        ]
        pages = [
            page for index, page in enumerate(parked.pages) if index not in edits.returned_pages
        ]
        pages += [by_page[number] for number in sorted(edits.stowed_pages)]
        return Parked(tuple(placements), tuple(panels), tuple(pages))

    def accepted(self, listed: tuple[Acceptance, ...]) -> tuple[Acceptance, ...]:
        ids = self.edits.accepted
        return tuple(replace(one, unit=ids.get(one.unit, one.unit)) for one in listed)


def _speaker(placed: Placement, put: Put, names: Mapping[str, str]) -> str | None:
    """Who says a placement's words: as its edit has it, or by the name that they have now."""
    if put.speaker is not None:
        return put.speaker or None
    return placed.speaker and names.get(placed.speaker, placed.speaker)


def _renamed(tail: Tail, names: Mapping[str, str]) -> Tail:
    """A tail to a mouth, by the name that its speaker has now."""
    if isinstance(tail, str):
        return names.get(tail, tail)
    if isinstance(tail, TailPlan) and isinstance(tail.to, str):
        return replace(tail, to=names.get(tail.to, tail.to))
    return tail


Thing = TypeVar("Thing")


def _insert(things: list[Thing], new: Thing, order: Callable[[Thing], tuple[int, ...]]) -> None:
    """Put a thing before the first that comes after it in order, wherever the others stand."""
    later = (place for place, thing in enumerate(things) if order(thing) > order(new))
    things.insert(next(later, len(things)), new)


def _renumbered(page: PagePlan, number: int) -> PagePlan:
    """A page under another number, and its units with it."""
    placements = tuple(
        replace(placed, unit=f"{number}.{placed.unit.partition('.')[2]}")
        for placed in page.placements
    )
    return replace(page, number=number, placements=placements)
