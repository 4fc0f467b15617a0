"""Goes through a matching, and decides what becomes of every placement.

Words that did not change keep everything. Edited words keep their place. Words that moved take the
plan of the new place if there is one; else a place is proposed, and the old placement is parked. So
are the placements of words that were cut; they come back with the words. Nothing that a person made
is deleted.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from letterer.model.plan import Center, Fill, Layout, Placement
from letterer.model.script import Role, Script, Unit
from letterer.revise.book import address, in_order, telling, unit_id
from letterer.revise.change import Change, Fate
from letterer.revise.edits import Copy, Edits, Put
from letterer.revise.homes import ASIDE, PanelKey
from letterer.revise.likeness import folded
from letterer.revise.pairs import Matching, Pair
from letterer.revise.proposals import Proposals

UNPLACED = "it has no place yet"
KEEPS = "keeps its place"
PROPOSED = "its place is proposed: look at it"
REORDERED = "in another order now:"
PARKED = "its placement is parked, and comes back if the words do"


@dataclass(slots=True)
class Decision:
    """Goes through a matching and gathers edits and what is to be told."""

    script: Script
    layout: Layout
    found: Matching
    names: Mapping[str, str] = field(default_factory=dict)
    kept: dict[str, Put] = field(default_factory=dict)
    stowed: dict[str, str] = field(default_factory=dict)
    dropped: set[str] = field(default_factory=set)
    copies: list[Copy] = field(default_factory=list)
    returns: dict[int, Put] = field(default_factory=dict)
    relabelled: dict[int, Put] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)
    rests: dict[str, str] = field(default_factory=dict)
    placed: list[Placement] = field(default_factory=list)
    live: dict[str, Placement] = field(default_factory=dict)
    pages: dict[int, int] = field(default_factory=dict)
    panels: dict[PanelKey, int] = field(default_factory=dict)
    stowed_pages: set[int] = field(default_factory=set)
    stowed_panels: set[PanelKey] = field(default_factory=set)
    proposals: Proposals = field(init=False)

    def decide(self) -> None:
        """Everything, in an order where the surer things come first."""
        self.placed = in_order(self.layout.pages)
        self.live = {placed.unit: placed for placed in self.placed}
        self._number()
        self.proposals = Proposals(self.layout, self.pages, self.panels, self.stowed_panels)
        self._relabel()
        by_hand = {
            self._label(one): one
            for index in self.found.gone
            if (one := self.placed[index]).words is None
        }
        fresh = [self.script.units[index] for index in self.found.fresh]
        away: list[tuple[Placement, Unit, Pair]] = []
        settled: list[tuple[Placement, Unit]] = []
        for pair in self.found.pairs:
            keeper, unit, others = self._keeper(pair)
            fresh += [other for other in others if other is not unit]
            self.rests |= {other.id: keeper.unit for other in others if other is not unit}
            self._stow_joined(pair, keeper)
            here = self.home(keeper) == (unit.page, unit.panel)
            on_stowed = address(keeper.unit)[0] in self.stowed_pages
            if here and not keeper.proposed and not on_stowed:
                settled.append((keeper, unit))
                self._tell(pair, keeper, unit, KEEPS)
                self.kept[keeper.unit] = Put(unit.id, unit.words)
            else:
                away.append((keeper, unit, pair))
        for keeper, unit, pair in away:
            self._away(keeper, unit, pair, by_hand)
        for unit in fresh:
            self._fresh(unit, by_hand)
        self._gone(by_hand)
        self._exchange(settled)
        self._count_anew()

    def edits(self) -> Edits:
        """What was gathered, as one value."""
        units = {unit.id: unit for unit in self.script.units}
        live = self.live
        parked = self.layout.parked.placements
        ids = {old: put.unit for old, put in self.kept.items()}
        for copy in self.copies:
            if copy.live:
                ids[copy.live] = copy.put.unit
        return Edits(
            pages=self.pages,
            panels=self.panels,
            stowed_pages=frozenset(self.stowed_pages),
            stowed_panels=frozenset(self.stowed_panels),
            kept={
                old: telling(put, live[old], units.get(put.unit)) for old, put in self.kept.items()
            },
            stowed=self.stowed,
            dropped=frozenset(self.dropped),
            copies=tuple(
                replace(copy, put=telling(copy.put, source, units.get(copy.put.unit)))
                for copy in self.copies
                for source in [
                    replace(live[copy.live] if copy.live else parked[copy.parked], proposed=True)
                ]
            ),
            returns={
                index: telling(put, parked[index], units.get(put.unit))
                for index, put in self.returns.items()
            },
            relabelled={
                index: put for index, put in self.relabelled.items() if index not in self.returns
            },
            moved_panels={
                index: self.pages[page]
                for index, (page, _) in enumerate(self.layout.parked.panels)
                if self.pages.get(page, page) != page
            },
            speakers=self.names,
            accepted={old: new for old, new in ids.items() if old != new},
        )

    # --- Pages and panels ---------------------------------------------------------------------

    def _number(self) -> None:
        """The new numbers of all pages and panels; what loses its number to another is parked."""
        homes = self.found.homes
        claimed = set(homes.pages.values())
        for page in self.layout.pages:
            if page.number in homes.pages:
                self.pages[page.number] = homes.pages[page.number]
            elif page.number in claimed or page.number >= ASIDE:
                self.stowed_pages.add(page.number)
            else:
                self.pages[page.number] = page.number
            inner = {old[1]: new[1] for old, new in homes.panels.items() if old[0] == page.number}
            for panel in page.panels:
                key = (page.number, panel.number)
                if panel.number in inner:
                    self.panels[key] = inner[panel.number]
                elif (
                    panel.number in inner.values() or panel.number >= ASIDE
                ) and page.number not in self.stowed_pages:
                    self.stowed_panels.add(key)

    def home(self, placed: Placement) -> PanelKey:
        """The page and panel that a placement's own have become; panel 0 where that has no home,
        and its number is another's now."""
        page, panel, _ = address(placed.unit)
        homes = self.found.homes.panels
        to = self.pages.get(page, page)
        taken = (to, panel) in homes.values()
        return homes.get((page, panel)) or (to, 0 if taken else panel)

    def _label(self, placed: Placement) -> str:
        """The id under which a placement is parked."""
        page, panel, number = address(placed.unit)
        stowed = (page, panel) in self.stowed_panels
        to = (self.pages.get(page, page), 0) if stowed else self.home(placed)
        return unit_id((to[0], to[1] or panel, number))

    def _relabel(self) -> None:
        """Parked placements go along with their page and panel."""
        for index, placed in enumerate(self.layout.parked.placements):
            page, panel, number = address(placed.unit)
            label = unit_id((self.pages.get(page, page), panel, number))
            stored = self._with_panel(placed)
            self.relabelled[index] = Put(label if stored else self._label(placed))

    def _count_anew(self) -> None:
        """Parked placements are numbered by their row: each stands before the place that it stood
        before, whoever has that now."""
        new: dict[PanelKey, list[tuple[int, int]]] = {}
        for old, put in self.kept.items():
            page, panel, number = address(put.unit)
            if self.home(self.live[old]) == (page, panel):
                new.setdefault((page, panel), []).append((address(old)[2], number))

        def counted(unit: str) -> str:
            page, panel, number = address(unit)
            rows = new.get((page, panel), [])
            before, now = (sorted(row[side] for row in rows) for side in (0, 1))
            after = [at for was, at in zip(before, now, strict=True) if was >= number]
            if not rows:
                return unit
            return unit_id((page, panel, after[0] if after else now[-1] + 1))

        for old, label in self.stowed.items():
            if address(old)[:2] not in self.stowed_panels:
                self.stowed[old] = counted(label)
        for index, put in self.relabelled.items():
            if not self._with_panel(self.layout.parked.placements[index]):
                self.relabelled[index] = replace(put, unit=counted(put.unit))

    def _with_panel(self, placed: Placement) -> bool:
        """True for a parked placement whose panel is parked too: it does not stand in the panel
        that has this number now."""
        page, panel, _ = address(placed.unit)
        return any((page, panel) == (at, one.number) for at, one in self.layout.parked.panels)

    # --- One unit after another ---------------------------------------------------------------

    def _keeper(self, pair: Pair) -> tuple[Placement, Unit, list[Unit]]:
        """Of a split or a join, the placement and the unit that go together: the longest."""
        olds = [self.placed[index] for index in pair.old]
        units = [self.script.units[index] for index in pair.new]
        keeper = max(olds, key=lambda one: len(folded(one.words or "")))
        free = [unit for unit in units if self._parked_home(unit) is None] if units[1:] else units
        unit = max(free or units, key=lambda one: len(folded(one.words)))
        return keeper, unit, units

    def _stow_joined(self, pair: Pair, keeper: Placement) -> None:
        for index in pair.old:
            if self.placed[index] is not keeper:
                self._stow(self.placed[index])

    def _stow(self, placed: Placement) -> None:
        """Park a placement; one that only letterer proposed, and nobody changed, is let go."""
        page = address(placed.unit)[0]
        if page in self.stowed_pages:
            return
        twin = self._twin(placed) if placed.proposed else None
        if twin is not None and _same_choices(placed, self.layout.parked.placements[twin]):
            self.dropped.add(placed.unit)
            return
        self.stowed[placed.unit] = self._label(placed)

    def _twin(self, placed: Placement) -> int | None:
        """The parked original of a proposed placement; of several, one that does not return yet."""
        said = _said(placed)
        found = [
            index
            for index, other in enumerate(self.layout.parked.placements)
            if _said(other) & said
        ]
        return min(found, key=lambda index: (index in self.returns, index), default=None)

    def _own_home(self, placed: Placement, unit: Unit) -> int | None:
        """The parked original of a proposed placement whose words are in its panel again."""
        twin = self._twin(placed) if placed.proposed else None
        if twin is None or twin in self.returns or not self._holds_at(twin, unit):
            return None
        return twin

    def _holds_at(self, index: int, unit: Unit) -> bool:
        """True for a parked placement that stood in this very panel, and can stand there again."""
        placed = self.layout.parked.placements[index]
        return (
            address(self.relabelled[index].unit)[:2] == (unit.page, unit.panel)
            and not self._with_panel(placed)
            and self.proposals.holds(placed, unit)
        )

    def _parked_home(self, unit: Unit) -> int | None:
        """A parked placement for these very words that stood in this very panel."""
        own = [
            index
            for index, placed in enumerate(self.layout.parked.placements)
            if index not in self.returns
            and folded(unit.words) in _said(placed)
            and self._holds_at(index, unit)
        ]
        number = {index: address(self.relabelled[index].unit)[2] for index in own}
        return min(own, key=lambda index: (number[index] != unit.number, index), default=None)

    def _parked_anywhere(self, unit: Unit) -> int | None:
        """A parked placement for these very words; not one that waits for a proposed copy of it."""
        found = [
            index
            for index, placed in enumerate(self.layout.parked.placements)
            if index not in self.returns and folded(unit.words) in _said(placed)
        ]
        copies = sum(one.proposed and folded(unit.words) in _said(one) for one in self.placed)
        return found[copies] if len(found) > copies else None

    def _away(
        self, placed: Placement, unit: Unit, pair: Pair, by_hand: dict[str, Placement]
    ) -> None:
        """A unit that is no longer in its panel, or stands where letterer proposed."""
        back = self._parked_home(unit)
        back = self._own_home(placed, unit) if back is None else back
        if back is not None:
            self._stow(placed)
            self.returns[back] = Put(unit.id, unit.words)
            self._tell(pair, placed, unit, "takes its own place again")
            return
        if unit.id in by_hand:
            planned = by_hand.pop(unit.id)
            self.kept[planned.unit] = Put(unit.id, unit.words)
            self._stow(placed)
            self._tell(pair, placed, unit, "takes the plan of its new place")
            return
        here = self.home(placed) == (unit.page, unit.panel)
        if here and address(placed.unit)[0] not in self.stowed_pages:
            self.kept[placed.unit] = Put(unit.id, unit.words)
            self._tell(pair, placed, unit, "keeps the place that was proposed for it", True)
            return
        put = self.proposals.proposal(placed, unit, self.home(placed))
        if put is None:
            self.kept[placed.unit] = Put(unit.id, unit.words)
            self._tell(pair, placed, unit, "keeps its place on the page")
            return
        if placed.proposed and address(placed.unit)[0] not in self.stowed_pages:
            self.kept[placed.unit] = self._again(placed, unit, put)
        else:
            self._stow(placed)
            self.copies.append(Copy(put, live=placed.unit))
        stays = put.spot == placed.spot
        told = "keeps its place on the page, with its tail: look at it" if stays else PROPOSED
        self._tell(pair, placed, unit, told, True)

    def _again(self, placed: Placement, unit: Unit, put: Put) -> Put:
        """A new proposal for what was only proposed before: as from its first place."""
        twin = self._twin(placed)
        if twin is None:
            return put
        first = self.layout.parked.placements[twin]
        page, panel, _ = address(self.relabelled[twin].unit)
        found = self.proposals.proposal(first, unit, (page, panel))
        return found or replace(
            put, spot=first.spot if isinstance(first.spot, Center | Fill) else put.spot
        )

    def _fresh(self, unit: Unit, by_hand: dict[str, Placement]) -> None:
        """A unit that no placement was found for."""
        change = Change(Fate.BACK, unit.id, (), unit.words, unit.words)
        back = self._parked_home(unit)
        if back is not None:
            was = self.layout.parked.placements[back].unit
            self.returns[back] = Put(unit.id, unit.words)
            self.changes.append(replace(change, was=(was,), place="takes its own place again"))
            return
        if unit.id in by_hand:
            planned = by_hand.pop(unit.id)
            self.kept[planned.unit] = Put(unit.id, unit.words)
            told = replace(change, fate=Fate.NEW, place="takes the plan of its number")
            self.changes.append(told)
            return
        index = self._parked_anywhere(unit)
        if index is None:
            rest = self.rests.get(unit.id)
            place = f"the rest of what was {rest}; {UNPLACED}" if rest else UNPLACED
            self.changes.append(Change(Fate.NEW, unit.id, (), unit.words, place=place))
            return
        source = self.layout.parked.placements[index]
        page, panel, _ = address(self.relabelled[index].unit)
        put = self.proposals.proposal(source, unit, (page, panel))
        self.copies.append(Copy(put or Put(unit.id, unit.words, proposed=True), parked=index))
        place = "its words are back in another panel; its place is proposed: look at it"
        self.changes.append(replace(change, was=(source.unit,), place=place, proposed=True))

    def _gone(self, by_hand: Mapping[str, Placement]) -> None:
        """Placements whose words are gone, and those by hand that nothing was found for."""
        waiting = {placed.unit: unit for unit, placed in by_hand.items()}
        used = {put.unit for put in self.kept.values()}
        used |= {copy.put.unit for copy in self.copies} | {p.unit for p in self.returns.values()}
        for index in self.found.gone:
            placed = self.placed[index]
            if placed.unit in self.kept:
                continue
            if placed.words is None:
                if placed.unit in waiting and waiting[placed.unit] not in used:
                    self.kept[placed.unit] = Put(waiting[placed.unit])
                else:
                    self._stow(placed)
                continue
            self._stow(placed)
            change = Change(Fate.CUT, "", (placed.unit,), "", placed.words, PARKED)
            if index in self.found.doubts:
                unit = self.script.units[self.found.doubts[index]]
                rival = f"its words may have become those of {unit.id}"
                change = replace(change, sure=False, rival=rival)
            self.changes.append(change)

    def _tell(
        self, pair: Pair, placed: Placement, unit: Unit, place: str, proposed: bool = False
    ) -> None:
        was = tuple(self.placed[index].unit for index in pair.old)
        words, old = unit.words, placed.words or ""
        left = self.home(placed) != (unit.page, unit.panel)
        if len(pair.new) > 1:
            fate = Fate.SPLIT
        elif len(pair.old) > 1:
            fate, place = Fate.JOINED, f"{place}, that of {placed.unit}"
        elif left or place.startswith("takes"):
            fate = Fate.MOVED
        elif placed.words is None or _alike(old, words):
            fate = Fate.SAME
        else:
            fate = Fate.EDITED
        change = Change(fate, unit.id, was, words, old, place, proposed, pair.sure)
        speakers = self._speakers(placed, unit)
        self.changes.append(replace(change, rival=self._rival(pair), speakers=speakers))

    def _speakers(self, placed: Placement, unit: Unit) -> str:
        """Who says a unit's words now, and who said them, in a few words; "" where that is one."""
        before = placed.speaker or ""
        if not before or self.names.get(before, before) == unit.speaker:
            return ""
        now = f"{unit.speaker} says it" if unit.speaker else f"it is {_A[unit.role]}"
        return f"{now} now, and {before} did before"

    def _rival(self, pair: Pair) -> str:
        """The other way that is nearly as good, in a few words."""
        if pair.sure:
            return ""
        if pair.rival is None:
            return "it may as well be new, and the old words cut"
        olds, news = pair.rival
        if set(olds) & set(pair.old):
            ids = " and ".join(self.script.units[index].id for index in news)
            return f"the place may as well be that of {ids}"
        ids = " and ".join(self.placed[index].unit for index in olds)
        return f"its words may as well be those of {ids} before"

    def _exchange(self, settled: Sequence[tuple[Placement, Unit]]) -> None:
        """Speeches of a panel whose order changed take one another's places, in reading order; so
        do those that come back to it."""
        units = {unit.id: unit for unit in self.script.units}
        members = [
            (unit, (address(placed.unit)[2], 1), placed.unit, -1) for placed, unit in settled
        ]
        for index, put in self.returns.items():
            number = address(self.relabelled[index].unit)[2]
            members.append((units[put.unit], (number, 0), "", index))
        by_panel: dict[PanelKey, list[tuple[Unit, tuple[int, int], str, int]]] = {}
        for member in members:
            if member[0].role is Role.SPEECH:
                by_panel.setdefault((member[0].page, member[0].panel), []).append(member)
        for inside in by_panel.values():
            inside.sort(key=lambda member: member[0].number)
            slots = sorted(inside, key=lambda member: member[1])
            for (unit, _, old, index), (was, _, live, parked) in zip(inside, slots, strict=True):
                if was is unit:
                    continue
                puts: dict[Any, Put] = self.kept if old else self.returns
                puts[old or index] = replace(
                    puts[old or index], spot_of=live, spot_of_parked=-1 if live else parked
                )
                self._exchanged(unit, live or self.relabelled[parked].unit)

    def _exchanged(self, unit: Unit, slot: str) -> None:
        """Tell of a unit that it takes another's place in its panel."""
        for index, change in enumerate(self.changes):
            if change.unit == unit.id and change.fate is not Fate.BACK:
                place = f"{REORDERED} takes the place that {slot} had; look at its tail"
                fate = Fate.MOVED if change.fate is Fate.SAME else change.fate
                self.changes[index] = replace(change, fate=fate, place=place)


_A = {Role.SPEECH: "speech", Role.CAPTION: "a caption", Role.EFFECT: "a sound effect"}


def _alike(one: str | None, other: str | None) -> bool:
    """The very same words, capitals and punctuation aside."""
    return one is not None and other is not None and folded(one) == folded(other)


def _said(placed: Placement) -> set[str]:
    """What a placement says, and what it said before small edits."""
    return {folded(words) for words in (placed.words, placed.earlier) if words}


def _same_choices(one: Placement, other: Placement) -> bool:
    """True where two placements differ in their place only."""
    plain: dict[str, Any] = {"unit": "", "spot": one.spot, "tails": None, "proposed": False}
    plain |= {"words": None, "speaker": None, "earlier": None, "lines_kept": False}
    plain |= {"read_after": None}
    return replace(one, **plain) == replace(other, **plain)
