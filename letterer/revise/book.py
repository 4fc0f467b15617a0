"""The layout as the matching sees it: placements in reading order, panels by page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from letterer import craft
from letterer.model.plan import PagePlan, Placement
from letterer.model.script import Unit
from letterer.revise.edits import Put
from letterer.revise.homes import ASIDE
from letterer.revise.likeness import likeness
from letterer.revise.pairs import Old

Address = tuple[int, int, int]
"""Page, panel and number of a unit."""


def comes_in(old: Address, new: Address, pages: Mapping[int, int]) -> bool:
    """True for a placement that is put into the list of its new page: from another page, or from a
    panel that was set aside."""
    return pages.get(old[0], old[0]) != new[0] or old[1] >= ASIDE


def address(unit: str) -> Address:
    """The three numbers of a unit's id.

    >>> address("1.3.2")
    (1, 3, 2)
    """
    page, panel, number = map(int, unit.split("."))
    return page, panel, number


def unit_id(at: Address) -> str:
    """The id of three numbers.

    >>> unit_id((1, 3, 2))
    '1.3.2'
    """
    return ".".join(map(str, at))


def in_order(pages: Iterable[PagePlan]) -> list[Placement]:
    """Every placement of some pages, in the order of their units' numbers."""
    placed = [placement for page in pages for placement in page.placements]
    return sorted(placed, key=lambda placement: address(placement.unit))


def as_old(placement: Placement) -> Old:
    """A placement as the matching sees it."""
    return Old(*address(placement.unit), placement.words, placement.speaker)


def panels_of(pages: Iterable[PagePlan]) -> dict[int, list[int]]:
    """The numbers of the panels that the layout has on each page."""
    return {page.number: [panel.number for panel in page.panels] for page in pages}


def telling(put: Put, placed: Placement, unit: Unit | None) -> Put:
    """A placement's edit that also says who speaks the unit now, and after a small edit of its
    words which earlier ones its lines may be those of."""
    words = put.words
    if unit is None or words is None:
        return put
    put = replace(put, speaker=None if unit.speaker == (placed.speaker or "") else unit.speaker)
    if words == placed.words:
        return put
    own_lines = placed.breaks is not None and not placed.proposed
    earlier = "" if own_lines else _earlier(placed, words)
    kept = placed.breaks is None and likeness(earlier, words) >= craft.SMALL_EDIT_LIKENESS
    return replace(put, earlier=earlier, lines_kept=kept and earlier != "")


def _earlier(placed: Placement, words: str) -> str:
    """What a placement said before small edits that led to these words: the first of it that is
    still alike; "" where these are the first, or written anew. A place that is only proposed goes
    by the words of the parked placement that it was made from, whatever became of them."""
    for earlier in (placed.earlier, placed.words):
        if earlier and (placed.proposed or likeness(earlier, words) >= craft.SMALL_EDIT_LIKENESS):
            return earlier if earlier != words else ""
    return ""
