"""Revising a layout file: every byte that an edit does not touch stays as it was written."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from letterer.model.json_reader import read_json
from letterer.model.json_text import Keyed, Listed, Node, Plain, Scalar, plain
from letterer.model.layout_file import LayoutFile, Splice, changed_text, spliced
from letterer.model.layout_rules import SPOTS
from letterer.model.plan import Center, Fill, Measure, TailPlan
from letterer.revise.book import address, comes_in
from letterer.revise.edits import Edits, Put, Tail
from letterer.revise.homes import ASIDE

PLACE_KEYS = (*SPOTS, "along", "gap")
PARKED_KEYS = ("placements", "panels", "pages")
_KEY = re.compile(r'"(?:[^"\\]|\\.)*"')


def rewritten(file: LayoutFile, edits: Edits, measure: Measure) -> LayoutFile:
    """The layout file after edits; nothing is saved. `measure` is the unit of the file."""
    return _Rewriting(file, edits, measure).file_after()


@dataclass(frozen=True, slots=True)
class _Item:
    """One object of a list: its text, the white space before it, and what it is sorted by."""

    text: str
    lead: str
    order: tuple[int, ...] = ()


class _Rewriting:
    def __init__(self, file: LayoutFile, edits: Edits, measure: Measure) -> None:
        self.file, self.edits, self.measure = file, edits, measure
        self.text = file.text
        root = file.document.root
        assert isinstance(root, Keyed)
        self.root = root
        self.pages = {_int(page, "page"): page for page in _objects(root.get("pages"))}
        self.live = {
            _text(placed, "unit"): placed
            for page in self.pages.values()
            for placed in _objects(page.get("placements"))
        }
        found = root.get("parked")
        self.parked = found if isinstance(found, Keyed) else None
        self.stored = {
            key: _objects(self.parked.get(key)) if self.parked else [] for key in PARKED_KEYS
        }

    def file_after(self) -> LayoutFile:
        """The whole of it."""
        text, late = self.with_pages()
        made = self.file.with_text(text)
        parked = self.parked_text()
        if parked is not None:
            made = _with_parked(made, parked)
        for unit, keys in late:
            made = made.with_placement(address(unit)[0], unit, keys)
        return made

    # --- Pages --------------------------------------------------------------------------------

    def with_pages(self) -> tuple[str, list[tuple[str, dict[str, object]]]]:
        """The text with all pages revised, and placements for pages that have no list of them."""
        arriving = self.arriving()
        late: list[tuple[str, dict[str, object]]] = []
        splices = self.accepted(self.root)
        pages = self.root.get("pages")
        texts: dict[int, str] = {}
        for number, page in self.pages.items():
            new_number = self.edits.pages.get(number, number)
            comers = arriving.get(new_number, [])
            stays = number not in self.edits.stowed_pages
            if comers and stays and not isinstance(page.get("placements"), Listed):
                late += [(_unit_of(item), _values(item)) for item in comers]
                comers = []
            texts[number] = self.page(page, number, comers)
        asides = [number for number in self.pages if number >= ASIDE]
        if self.edits.stowed_pages or self.edits.returned_pages or asides:
            assert isinstance(pages, Listed)
            staying = {
                page.start: texts[number]
                for number, page in self.pages.items()
                if number not in self.edits.stowed_pages and number < ASIDE
            }
            comers = [
                _Item(texts[number], "", (self.edits.pages.get(number, number),))
                for number in asides
                if number not in self.edits.stowed_pages
            ]
            comers += [
                _Item(self.numbered(self.stored["pages"][index], number), "", (number,))
                for index, number in self.edits.returned_pages.items()
            ]
            splices.append((pages.start, pages.end, self.listed(pages, staying, comers, "page")))
        else:
            splices += [
                (page.start, page.end, texts[number])
                for number, page in self.pages.items()
                if texts[number] != self.text[page.start : page.end]
            ]
        return spliced(self.text, splices), late

    def arriving(self) -> dict[int, list[_Item]]:
        """The placements that come to each page (by its new number) from elsewhere."""
        found: dict[int, list[_Item]] = {}

        def add(node: Keyed, put: Put) -> None:
            at = address(put.unit)
            found.setdefault(at[0], []).append(_Item(self.put(node, put), "", at))

        for copy in self.edits.copies:
            node = self.live[copy.live] if copy.live else self.stored["placements"][copy.parked]
            add(node, copy.put)
        for index, put in self.edits.returns.items():
            add(self.stored["placements"][index], put)
        for unit, put in self.edits.kept.items():
            if comes_in(address(unit), address(put.unit), self.edits.pages):
                add(self.live[unit], put)
        return found

    def page(self, page: Keyed, number: int, comers: Sequence[_Item]) -> str:
        edits = self.edits
        if number in edits.stowed_pages:
            return self.text[page.start : page.end]
        new_number = edits.pages.get(number, number)
        splices = self.accepted(page)
        if new_number != number:
            splices.append(_value_splice(page.get("page"), str(new_number)))
        splices += self.panels(page, number)
        placements = page.get("placements")
        if isinstance(placements, Listed):
            staying = {
                node.start: self.put(node, put)
                for node in _objects(placements)
                if (put := edits.kept.get(_text(node, "unit"))) is not None
                and not comes_in(address(_text(node, "unit")), address(put.unit), edits.pages)
            }
            as_it_was = {
                node.start: self.text[node.start : node.end] for node in _objects(placements)
            }
            if staying != as_it_was or comers:
                made = self.listed(placements, staying, comers, "unit")
                splices.append((placements.start, placements.end, made))
        return spliced(self.text, splices, page.start, page.end)

    def panels(self, page: Keyed, number: int) -> list[Splice]:
        edits = self.edits
        panels = page.get("panels")
        if not isinstance(panels, Listed):
            return []
        texts: dict[int, str] = {}
        comers: list[_Item] = []
        for panel in _objects(panels):
            at = _int(panel, "panel")
            to = edits.panels.get((number, at), at)
            if (number, at) in edits.stowed_panels:
                continue
            if at >= ASIDE:
                comers.append(_Item(self.panel(panel, to), "", (to,)))
            else:
                texts[panel.start] = self.panel(panel, to)
        for index, (page_number, to) in edits.returned_panels.items():
            if page_number == number:
                held = _without(self.panel(self.stored["panels"][index], to), "page")
                comers.append(_Item(held, "", (to,)))
        as_it_was = {panel.start: self.text[panel.start : panel.end] for panel in _objects(panels)}
        if texts == as_it_was and not comers:
            return []
        return [(panels.start, panels.end, self.listed(panels, texts, comers, "panel"))]

    def panel(self, panel: Keyed, number: int) -> str:
        splices = []
        if _int(panel, "panel") != number:
            splices.append(_value_splice(panel.get("panel"), str(number)))
        mouths = panel.get("mouths")
        for member in mouths.members if isinstance(mouths, Keyed) else ():
            new = self.edits.speakers.get(member.key)
            key = _KEY.match(self.text, member.start)
            if new is not None and key is not None and not _is_note(member.key, member.node):
                splices.append((key.start(), key.end(), json.dumps(new, ensure_ascii=False)))
        return spliced(self.text, splices, panel.start, panel.end)

    def accepted(self, holder: Keyed) -> list[Splice]:
        """Findings that were accepted for a unit go along with it."""
        splices = []
        for one in _objects(holder.get("accepted")):
            unit = one.get("unit")
            if isinstance(unit, Scalar) and isinstance(unit.value, str):
                new = self.edits.accepted.get(unit.value, unit.value)
                if new != unit.value:
                    splices.append(_value_splice(unit, json.dumps(new)))
        return splices

    # --- Placements ---------------------------------------------------------------------------

    def put(self, node: Keyed, put: Put) -> str:
        changes: dict[str, object] = {"unit": put.unit}
        if put.words is not None:
            changes["words"] = put.words
        speaker = node.get("speaker")
        if put.speaker is not None:
            changes["speaker"] = put.speaker or None
        elif speaker is not None:
            changes["speaker"] = self.renamed(plain(speaker))
        if put.earlier is not None:
            changes["earlier"] = put.earlier or None
        if put.lines_kept is not None:
            changes["lines_kept"] = put.lines_kept or None
        changes |= self.spot(node, put)
        tails = node.get("tails")
        if put.new_tails:
            changes["tails"] = None if put.tails is None else [self.tail(at) for at in put.tails]
        elif isinstance(tails, Listed):
            values = plain(tails)
            assert isinstance(values, tuple)
            changes["tails"] = [self.renamed(value) for value in values]
        if put.proposed:
            changes["proposed"] = True
        if put.alone:
            changes["read_after"] = None
        if put.spot_of:
            return _with(self.at_place_of(node, self.live[put.spot_of]), changes)
        if put.spot_of_parked >= 0:
            other = self.stored["placements"][put.spot_of_parked]
            return _with(self.at_place_of(node, other), changes)
        return changed_text(self.text, node, changes)

    def renamed(self, tail: Plain) -> object:
        """A written tail, by the name that its speaker has now."""
        names = self.edits.speakers
        if isinstance(tail, str):
            return names.get(tail, tail)
        if isinstance(tail, dict) and isinstance(to := tail.get("to"), str):
            return {**tail, "to": names.get(to, to)}
        return tail

    def tail(self, tail: Tail) -> object:
        """A tail of the plan as the file has it."""
        if isinstance(tail, str):
            return tail
        if isinstance(tail, TailPlan):
            made: dict[str, object] = {"to": self.tail(tail.to)}
            if tail.via:
                made["via"] = [self.tail(at) for at in tail.via]
            return made | ({"shape": tail.shape} if tail.shape else {})
        return [self.measure.written(at) for at in tail]

    def spot(self, node: Keyed, put: Put) -> dict[str, object]:
        if put.spot is None:
            return {}
        written = self.measure.written
        changes: dict[str, object] = dict.fromkeys(PLACE_KEYS)
        match put.spot:
            case Center(at):
                key = "centre" if node.get("centre") is not None else "center"
                changes[key] = [written(value) for value in at]
            case Fill(box):
                sides = (box.left, box.top, box.width, box.height)
                changes["box"] = [written(value) for value in sides]
        return changes

    def at_place_of(self, node: Keyed, other: Keyed) -> str:
        """A placement's text with the place of another, written as there, where its own stood."""
        text = self.text
        own = [member.key for member in node.members if member.key in PLACE_KEYS]
        bare = changed_text(text, node, dict.fromkeys(own[1:]))
        root = read_json(bare).root
        assert isinstance(root, Keyed)
        member = next(member for member in root.members if member.key == own[0])
        taken = [member for member in other.members if member.key in PLACE_KEYS]
        new = text[taken[0].start : taken[0].node.end]
        for before, after in pairwise(taken):
            gap = text[before.node.end : after.start]
            new += (gap if not gap.strip(", \t\r\n") else ", ") + text[after.start : after.node.end]
        return bare[: member.start] + new + bare[member.node.end :]

    def numbered(self, page: Keyed, number: int) -> str:
        """A page under another number, and its units with it."""
        splices = [_value_splice(page.get("page"), str(number))]
        for placed in _objects(page.get("placements")):
            unit = f"{number}.{_text(placed, 'unit').partition('.')[2]}"
            splices.append(_value_splice(placed.get("unit"), json.dumps(unit)))
        return spliced(self.text, splices, page.start, page.end)

    # --- What is parked -----------------------------------------------------------------------

    def parked_text(self) -> dict[str, list[str]] | None:
        """What is parked after the edits; None where that did not change."""
        edits = self.edits
        placements = [
            self.put(node, edits.relabelled.get(index, Put(_text(node, "unit"))))
            for index, node in enumerate(self.stored["placements"])
            if index not in edits.returns
        ]
        placements += [self.put(self.live[unit], Put(to)) for unit, to in edits.stowed.items()]
        panels = []
        for index, node in enumerate(self.stored["panels"]):
            if index in edits.returned_panels:
                continue
            held = self.panel(node, _int(node, "panel"))
            to = edits.moved_panels.get(index)
            panels.append(held if to is None else _with(held, {"page": to}))
        for page, number in sorted(edits.stowed_panels):
            for node in _objects(self.pages[page].get("panels")):
                if _int(node, "panel") == number:
                    at = edits.pages.get(page, page)
                    panels.append(_with(self.panel(node, number), {"page": at}))
        pages = [
            self.text[node.start : node.end]
            for index, node in enumerate(self.stored["pages"])
            if index not in edits.returned_pages
        ]
        pages += [
            self.text[self.pages[number].start : self.pages[number].end]
            for number in sorted(edits.stowed_pages)
        ]
        after = {"placements": placements, "panels": panels, "pages": pages}
        before = {
            key: [self.text[node.start : node.end] for node in nodes]
            for key, nodes in self.stored.items()
        }
        return None if after == before else after

    # --- Lists --------------------------------------------------------------------------------

    def listed(
        self, listed: Listed, kept: Mapping[int, str], comers: Sequence[_Item], key: str
    ) -> str:
        """A list with some of its objects, by where they start, and new ones in their order."""
        text = self.text
        items: list[_Item] = []
        usual, begins = "", None
        end = listed.start + 1
        for place, node in enumerate(listed.items):
            lead = text[end : node.start].rpartition(",")[2]
            end = node.end
            usual = lead if place < 2 else usual
            new = kept.get(node.start)
            if new is not None:
                items.append(_Item(new, lead, _order(new, key)))
                begins = begins if place else items[0]
        if not listed.items:
            usual = text[listed.start + 1 : listed.end - 1]
        closing = text[end : listed.end - 1] if listed.items else ""
        first = text[listed.start + 1 : listed.items[0].start] if listed.items else usual
        if not items and not comers:
            return f"[{first}{closing}]" if first.strip(" \t") else "[]"
        # A list of one on one line does not show what stands between two.
        usual = usual or ("" if len(listed.items) > 1 or '": ' not in text else " ")
        for comer in sorted(comers, key=lambda item: item.order):
            later = (place for place, item in enumerate(items) if item.order > comer.order)
            items.insert(next(later, len(items)), _Item(comer.text, usual, comer.order))
        # What stood first has the white space of the list's beginning, wherever it stands now.
        leads = [first, *(usual if item is begins else item.lead for item in items[1:])]
        if items and items[0].lead == usual and len(listed.items) == 1:
            leads[1:] = [usual for _ in items[1:]]
        parts = [lead + item.text for lead, item in zip(leads, items, strict=True)]
        return f"[{','.join(parts)}{closing}]"


def _with_parked(file: LayoutFile, parked: Mapping[str, Sequence[str]]) -> LayoutFile:
    """The file with what is parked; without the key where nothing is."""
    root = file.document.root
    assert isinstance(root, Keyed)
    holder = root.get("parked")
    note = holder.get("note") if isinstance(holder, Keyed) else None
    told = {key: texts for key, texts in parked.items() if texts}
    keep = bool(told) or note is not None
    if not keep or holder is None:
        new = changed_text(file.text, root, {"parked": {} if keep else None})
        file = file.with_text(spliced(file.text, [(root.start, root.end, new)]))
        root = file.document.root
        assert isinstance(root, Keyed)
    if not keep:
        return file
    member = next(member for member in root.members if member.key == "parked")
    found = re.search(r"(\r\n|\r|\n)([ \t]*)\Z", file.text[: member.start])
    line, indent = (found[1], found[2]) if found else ("", "")
    inner, deep = (f"{line}{indent}  ", f"{line}{indent}    ") if line else ("", "")
    gap = "" if line else " "
    lists = [] if note is None else [f'"note": {file.text[note.start : note.end]}']
    lists += [
        f'"{key}": [' + f",{gap}".join(deep + text for text in texts) + f"{inner}]"
        for key, texts in told.items()
    ]
    outer = f"{line}{indent}" if line else ""
    made = "{" + f",{gap}".join(inner + one for one in lists) + outer + "}"
    node = member.node
    return file.with_text(spliced(file.text, [(node.start, node.end, made)]))


def _value_splice(node: Node | None, new: str) -> Splice:
    assert node is not None
    return node.start, node.end, new


def _with(text: str, changes: Mapping[str, object]) -> str:
    """An object's text with changes to its members."""
    root = read_json(text).root
    assert isinstance(root, Keyed)
    return changed_text(text, root, changes)


def _without(text: str, key: str) -> str:
    return _with(text, {key: None})


def _order(text: str, key: str) -> tuple[int, ...]:
    root = read_json(text).root
    value = plain(root.get(key)) if isinstance(root, Keyed) else None  # type: ignore[arg-type]
    return address(value) if isinstance(value, str) else (int(str(value)),)


def _unit_of(item: _Item) -> str:
    return ".".join(map(str, item.order))


def _values(item: _Item) -> dict[str, object]:
    value = plain(read_json(item.text).root)
    assert isinstance(value, dict)
    return dict(value)


def _objects(node: Node | None) -> list[Keyed]:
    items = node.items if isinstance(node, Listed) else ()
    return [item for item in items if isinstance(item, Keyed)]


def _is_note(key: str, node: Node) -> bool:
    return key == "note" and isinstance(node, Scalar)


def _int(node: Keyed, key: str) -> int:
    value = _plain(node, key)
    assert isinstance(value, int)
    return int(value)


def _text(node: Keyed, key: str) -> str:
    value = _plain(node, key)
    assert isinstance(value, str)
    return value


def _plain(node: Keyed, key: str) -> Plain:
    found = node.get(key)
    return None if found is None else plain(found)
