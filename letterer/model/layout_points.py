"""Points shown on a page and put into its layout: mouths, zones, focus points, middles of balloons.

Only what was shown is changed; every other byte of the file stays as the person wrote it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from letterer.errors import Fault, LettererError
from letterer.model.json_text import Keyed, Listed, Node, plain
from letterer.model.layout_file import LayoutFile, Splice, changed_text, spliced, written
from letterer.model.plan import WRITTEN_DIGITS

Numbers = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Listing:
    """Changes to one list of a page, `keep_clear` or `focus`, by the index of an item: new values
    (None: taken away), or how far its outline was moved; and new items."""

    changed: Mapping[int, Mapping[str, object] | None] = field(default_factory=dict)
    added: Sequence[Mapping[str, object]] = ()
    moved: Mapping[int, Numbers] = field(default_factory=dict)

    @property
    def touched(self) -> set[int]:
        """The items that are not left as they were."""
        return {*self.changed, *self.moved}


@dataclass(frozen=True, slots=True)
class PagePoints:
    """What was shown on one page, in the layout's unit: outlines of panels ("box" or "polygon"),
    mouths by panel and speaker (None: taken away), changes to its zones and focus points, new keys
    of placements by unit."""

    page: int
    panels: Mapping[int, Mapping[str, object]] = field(default_factory=dict)
    mouths: Mapping[int, Mapping[str, Numbers | None]] = field(default_factory=dict)
    keep_clear: Listing = Listing()
    focus: Listing = Listing()
    placements: Mapping[str, Mapping[str, object]] = field(default_factory=dict)


def with_points(file: LayoutFile, pages: Sequence[PagePoints]) -> LayoutFile:
    """The file with what was shown. Raises LettererError where a page, a panel or an item of a list
    is not in it, or where the layout would not be sound; nothing is saved."""
    outlined = [one for page in pages for one in _panels(file, page)]
    made = file.with_text(spliced(file.text, outlined))
    shown = [one for page in pages for one in _page(made, page)]
    made = made.with_text(spliced(made.text, shown))
    placements = {unit: keys for page in pages for unit, keys in page.placements.items()}
    made = made.with_placements(placements) if placements else made
    made.layout()  # is it sound?
    return made


def _panels(file: LayoutFile, points: PagePoints) -> list[Splice]:
    """The splices that give panels of a page another outline, and add those that it lacks."""
    if not points.panels:
        return []
    page = _numbered(file, file.document.at(("pages",))[0], "page", points.page)
    listed = page.get("panels")
    items = listed.items if isinstance(listed, Listed) else ()
    places = {
        plain(at): place
        for place, item in enumerate(items)
        if isinstance(item, Keyed) and (at := item.get("panel"))
    }
    changed: dict[int, Mapping[str, object] | None] = {}
    added: list[Mapping[str, object]] = []
    for number, outline in points.panels.items():
        if number in places:
            changed[places[number]] = {"box": None, "polygon": None, **outline}
        else:
            added.append({"panel": number, **outline})
    if isinstance(listed, Listed) and listed.items:
        told = _list(file, listed, Listing(changed, added), points.page)
        return [(listed.start, listed.end, told)]
    if listed is not None:
        return [(listed.start, listed.end, written(added))]
    return [(page.start, page.end, changed_text(file.text, page, {"panels": added}))]


def _page(file: LayoutFile, points: PagePoints) -> list[Splice]:
    """The splices of one page; lists that it lacks are added together, at its end."""
    page = _numbered(file, file.document.at(("pages",))[0], "page", points.page)
    splices: list[Splice] = []
    for number, mouths in points.mouths.items():
        panel = _numbered(file, page.get("panels"), "panel", number, points.page)
        splices.append(_mouths(file.text, panel, mouths))
    new: dict[str, object] = {}
    for key, listing in (("keep_clear", points.keep_clear), ("focus", points.focus)):
        if not listing.touched and not listing.added:
            continue
        there = page.get(key)
        if isinstance(there, Listed) and there.items:
            splices.append((there.start, there.end, _list(file, there, listing, points.page)))
        elif listing.touched:
            raise LettererError(_fault(file, f"'{key}' of this page is empty", points.page))
        elif there is not None:
            splices.append((there.start, there.end, written(listing.added)))
        else:
            new[key] = listing.added
    if new:
        # Within the page's own end, so that no other splice lies in it.
        last = page.members[-1].node.end
        before = page.members[-2].node.end if len(page.members) > 1 else page.start + 1
        lead = file.text[before : page.members[-1].start].rpartition(",")[2] or " "
        piece = "".join(f',{lead}"{key}": {written(value)}' for key, value in new.items())
        splices.append((last, last, piece))
    return splices


def _mouths(text: str, panel: Keyed, mouths: Mapping[str, Numbers | None]) -> Splice:
    there = panel.get("mouths")
    if isinstance(there, Keyed) and there.members:
        spelled = {member.key.casefold(): member.key for member in there.members}
        changes = {spelled.get(name.casefold(), name): at for name, at in mouths.items()}
        if all(changes.get(member.key, 0) is None for member in there.members):
            new = {name: at for name, at in changes.items() if at is not None}
            return there.start, there.end, written(new)
        return there.start, there.end, changed_text(text, there, changes)
    kept = {name: at for name, at in mouths.items() if at is not None}
    if there is not None:
        return there.start, there.end, written(kept)
    return panel.start, panel.end, changed_text(text, panel, {"mouths": kept})


def _list(file: LayoutFile, there: Listed, listing: Listing, page: int) -> str:
    """A list after its changes; items that stay keep their spelling and the space before them."""
    text = file.text
    parts: list[tuple[str, str]] = []
    at = there.start + 1
    for index, item in enumerate(there.items):
        lead = text[at : item.start].rpartition(",")[2]
        at = item.end
        change = listing.changed.get(index, {})
        if change is None:
            continue
        spelled = text[item.start : item.end]
        if isinstance(item, Keyed):
            change = {**change, **_moved(item, listing.moved.get(index))}
            spelled = changed_text(text, item, change)
        parts.append((lead, spelled))
    if any(index >= len(there.items) for index in listing.touched):
        raise LettererError(_fault(file, "the layout has no such zone or focus point", page))
    leads = [lead for lead, _ in parts] or [""]
    parts += [(leads[-1] or " ", written(value)) for value in listing.added]
    if parts and not parts[0][0]:
        parts[0] = ("", parts[0][1])
    return "[" + ",".join(lead + spelled for lead, spelled in parts) + text[at : there.end]


def _moved(zone: Keyed, by: Numbers | None) -> dict[str, object]:
    """The new outline of a zone that was moved so far, if it was."""
    values: Any
    if by is None:
        return {}
    if (box := zone.get("box")) is not None:
        values = plain(box)
        return {"box": (added(values[0], by[0]), added(values[1], by[1]), *values[2:])}
    values = plain(zone.get("polygon") or zone)
    return {"polygon": tuple((added(x, by[0]), added(y, by[1])) for x, y in values)}


def added(value: float, by: float) -> float:
    """The sum of two lengths as they are written, without the last digits of binary numbers."""
    return round(value + by, WRITTEN_DIGITS)


def _numbered(file: LayoutFile, listed: Node | None, key: str, number: int, page: int = 0) -> Keyed:
    items = listed.items if isinstance(listed, Listed) else ()
    for item in items:
        if isinstance(item, Keyed) and (at := item.get(key)) and plain(at) == number:
            return item
    raise LettererError(_fault(file, f"{key} {number} is not in this layout", page))


def _fault(file: LayoutFile, what: str, page: int) -> Fault:
    mend = "Draw the page for pointing again: letterer point SCRIPT LAYOUT"
    return Fault(what, mend, file=file.document.file, page=page)
