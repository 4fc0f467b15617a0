"""Rules of the layout file that join several keys: numbers that repeat, names that must be known.

They look at the values as read, so that they also work in a file that has other faults, and every
fault can be told in one go.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from letterer.errors import nearest
from letterer.model.effect_keys import effect_troubles, own_place
from letterer.model.json_text import Document, Loc, Plain, Trouble, short
from letterer.model.layout import UNIT_ID

Raw = Mapping[str, Plain]

SPOTS = ("center", "centre", "box", "corner", "edge")


def rule_troubles(document: Document) -> Iterator[Trouble]:
    """Every breach of a rule between keys, in the order of the file."""
    raw = document.plain
    if not isinstance(raw, dict):
        return
    if raw.get("unit") == "px" and "dpi" not in raw:
        what = "the unit px says nothing about size on paper without 'dpi'"
        yield Trouble(("unit",), what, 'Add "dpi" beside it, for example "dpi": 300')
    pages = list(_objects(raw, "pages", ()))
    yield from _repeats(document, pages, "page", "page {} comes twice")
    for loc, page in pages:
        yield from _page_troubles(document, loc, page)
    parked = raw.get("parked")
    if isinstance(parked, dict):
        yield from _parked_troubles(document, parked)


def _parked_troubles(document: Document, parked: Raw) -> Iterator[Trouble]:
    """What stands nowhere now needs no panel around it, but must be sound to come back."""
    for at, placed in _objects(parked, "placements", ("parked",)):
        yield from _spot_troubles(at, placed)
    for at, panel in _objects(parked, "panels", ("parked",)):
        yield from _one_of(at, panel, ("box", "polygon"), "{it} has no outline", _OUTLINE)
        yield from _like_mouths(at, panel)
    for loc, page in _objects(parked, "pages", ("parked",)):
        yield from _page_troubles(document, loc, page)


def _page_troubles(document: Document, loc: Loc, page: Raw) -> Iterator[Trouble]:
    art = page.get("art")
    if isinstance(art, dict):
        ways = ("covers", "box")
        mend = '"covers": "bleed", "trim" or "live" says which box of the page it fills'
        yield from _one_of((*loc, "art"), art, ways, "'art' does not say what it covers", mend)
    panels = list(_objects(page, "panels", loc))
    yield from _repeats(document, panels, "panel", "panel {} comes twice on this page")
    for at, panel in panels:
        yield from _one_of(at, panel, ("box", "polygon"), "{it} has no outline", _OUTLINE)
        yield from _like_mouths(at, panel)
    for at, zone in _objects(page, "keep_clear", loc):
        yield from _one_of(at, zone, ("box", "polygon"), "{it} has no outline", _OUTLINE)
    placements = list(_objects(page, "placements", loc))
    yield from _repeats(document, placements, "unit", "this unit is placed twice on its page")
    for at, placed in placements:
        yield from _spot_troubles(at, placed)
    number = _count(page.get("page"))
    if number is None:
        return
    if stranger := _other_page(number, placements):
        what = f"all units on page {number} belong to page {stranger} by their numbers"
        yield Trouble((*loc, "page"), what, "Correct the page's number, or those of the units")
        return
    yield from _read_after_troubles(loc, page, placements)
    by_number = {_count(panel.get("panel")): panel for _, panel in panels}
    # With a panel number amiss, its units would be told to have no panel: one fault is enough.
    sure = None not in by_number and len(by_number) == len(panels)
    for at, placed in placements:
        yield from _unit_troubles(at, placed, number, by_number if sure else None)


def _read_after_troubles(
    loc: Loc, page: Raw, placements: list[tuple[Loc, Raw]]
) -> Iterator[Trouble]:
    """A focus that words are to be read after is on the same page."""
    found = [focus.get("name") for _, focus in _objects(page, "focus", loc)]
    names = [name for name in found if isinstance(name, str)]
    for at, placed in placements:
        wanted = placed.get("read_after")
        if not isinstance(wanted, str) or not wanted or wanted in names:
            continue
        near = nearest(wanted, names)
        mend = f"Did you mean '{near}'?" if near else "Add it to 'focus', with its place"
        what = f"{{it}} names '{short(wanted)}', and no focus of this page has that name"
        yield Trouble((*at, "read_after"), what, mend)


def _other_page(number: int, placements: list[tuple[Loc, Raw]]) -> int:
    """The one other page that two units or more here all belong to; 0 when there is none."""
    pages = [found[0] for _, placed in placements if (found := _page_and_panel(placed))]
    same = len(pages) > 1 and len(set(pages)) == 1 and pages[0] != number
    return pages[0] if same else 0


def _page_and_panel(placed: Raw) -> tuple[int, int] | None:
    unit = placed.get("unit")
    found = UNIT_ID.fullmatch(unit) if isinstance(unit, str) else None
    return (int(found[1]), int(found[2])) if found else None


def _count(value: Plain) -> int | None:
    sound = isinstance(value, int) and not isinstance(value, bool) and value > 0
    return int(value) if sound and isinstance(value, int) else None


_OUTLINE = 'Add "box": [left, top, width, height], or "polygon": [[x, y], [x, y], [x, y]]'


def _spot_troubles(loc: Loc, placed: Raw) -> Iterator[Trouble]:
    yield from effect_troubles(loc, placed)
    if own := own_place(placed):
        for key in SPOTS:
            if key in placed:
                what = f"'{own}' of the effect and '{key}' both say where the words stand"
                yield Trouble((*loc, key), what, "Keep one of them")
        return
    nowhere = "this placement does not say where the unit stands"
    yield from _one_of(loc, placed, SPOTS, nowhere, 'Add "center", "box", "corner" or "edge"')
    if "along" in placed and "edge" not in placed:
        yield Trouble((*loc, "along"), "{it} goes with 'edge' only", "Leave it out")
    if "gap" in placed and "edge" not in placed and "corner" not in placed:
        yield Trouble((*loc, "gap"), "{it} goes with 'corner' or 'edge' only", "Leave it out")


def _unit_troubles(
    loc: Loc, placed: Raw, page: int, panels: Mapping[int | None, Raw] | None
) -> Iterator[Trouble]:
    """What a unit's number must agree with: its page, its panel, and the mouths in that panel.

    `panels` is None when the numbers of the page's panels are not to be trusted.
    """
    found = _page_and_panel(placed)
    if found is None:
        return
    of_page, of_panel = found
    if of_page != page:
        what = f"this unit belongs to page {of_page}, and it stands on page {page}"
        yield Trouble((*loc, "unit"), what, f"Move it to page {of_page}, or correct its number")
        return
    if panels is None:
        return
    panel = panels.get(of_panel)
    spot = next((key for key in ("corner", "edge") if key in placed), None)
    if panel is None and spot:
        what = f"{{it}} has no panel to stand in: panel {of_panel} is not in the plan of this page"
        mend = f'Add panel {of_panel} to \'panels\', or use "center" or "box"'
        yield Trouble((*loc, spot), what, mend)
    tails = placed.get("tails")
    for place, tail in enumerate(tails if isinstance(tails, tuple) else ()):
        at: Loc = (*loc, "tails", place)
        if isinstance(tail, dict):
            at, tail = (*at, "to"), tail.get("to")
        if isinstance(tail, str) and tail:
            yield from _tail_troubles(at, tail, of_panel, panel)


def _tail_troubles(loc: Loc, tail: str, number: int, panel: Raw | None) -> Iterator[Trouble]:
    if panel is None:
        what = f"a tail goes to '{short(tail)}', and panel {number} is not in the plan of this page"
        yield Trouble(loc, what, f'Add panel {number} with its "mouths", or give a point, [x, y]')
        return
    mouths = panel.get("mouths", {})
    if not isinstance(mouths, dict):
        return
    names = [name for name, at in mouths.items() if not (name == "note" and isinstance(at, str))]
    if tail.casefold() in {name.casefold() for name in names}:
        return
    near = nearest(tail, names)
    mend = f"Did you mean '{near}'?" if near else 'Add it to "mouths", or give a point, [x, y]'
    yield Trouble(loc, f"a tail goes to '{short(tail)}', who has no mouth in panel {number}", mend)


def _like_mouths(loc: Loc, panel: Raw) -> Iterator[Trouble]:
    """Two mouths whose names differ in capitals only: a tail could not tell them apart."""
    mouths = panel.get("mouths")
    seen: dict[str, str] = {}
    for name in mouths if isinstance(mouths, dict) else ():
        first = seen.setdefault(name.casefold(), name)
        if first != name:
            what = f"{{it}} and the mouth of {short(first)} differ in capitals only"
            yield Trouble((*loc, "mouths", name), what, "Give one of them another name")


def _one_of(loc: Loc, given: Raw, keys: tuple[str, ...], none: str, mend: str) -> Iterator[Trouble]:
    """Exactly one of the keys stands in an object."""
    have = [key for key in keys if key in given]
    if not have:
        yield Trouble(loc, none, mend)
    elif len(have) > 1:
        named = ", ".join(f"'{key}'" for key in have[:-1]) + f" and '{have[-1]}'"
        yield Trouble((*loc, have[1]), f"{named} stand together", "Keep one of them")


def _repeats(
    document: Document, found: list[tuple[Loc, Raw]], key: str, what: str
) -> Iterator[Trouble]:
    """Objects of a list whose number or unit came before."""
    first: dict[int | str, Loc] = {}
    for loc, value in found:
        number = value.get(key)
        if isinstance(number, bool) or not isinstance(number, int | str):
            continue
        before = first.setdefault(number, loc)
        if before != loc:
            line = document.line(document.at((*before, key))[1])
            told = f"{what.format(number)}; it came before on line {line}"
            mend = "Keep one of the two" if key == "unit" else "Give one of the two another number"
            yield Trouble((*loc, key), told, mend)


def _objects(raw: Raw, key: str, loc: Loc) -> Iterator[tuple[Loc, Raw]]:
    """The objects in a list, with their places; whatever is no object is passed over."""
    listed = raw.get(key)
    for place, value in enumerate(listed if isinstance(listed, tuple) else ()):
        if isinstance(value, dict):
            yield (*loc, key, place), value
