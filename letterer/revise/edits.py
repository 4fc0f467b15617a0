"""What revising does to a layout, as values: the same whether the plan or its file is changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from letterer.geometry import Point
from letterer.model.plan import Center, Fill, TailPlan
from letterer.revise.homes import PanelKey

Tail = Point | str | TailPlan
"""One tail of a placement, as the plan has it."""


@dataclass(frozen=True, slots=True)
class Put:
    """A placement's new unit, and what else changes; what is not named stays as it was.

    `speaker` and `earlier` are taken away by "". `spot` is a new place; `spot_of` is an old unit
    whose place is taken over, and `spot_of_parked` a placement of the parked list. `tails` are
    given only when `new_tails`: None then takes the key away. `alone` takes away what another page
    cannot follow.
    """

    unit: str
    words: str | None = None
    speaker: str | None = None
    earlier: str | None = None
    lines_kept: bool | None = None
    spot: Center | Fill | None = None
    spot_of: str = ""
    spot_of_parked: int = -1
    new_tails: bool = False
    tails: tuple[Tail, ...] | None = None
    proposed: bool = False
    alone: bool = False


@dataclass(frozen=True, slots=True)
class Copy:
    """A new placement made from one that is parked: from a unit's (`live`), which is parked in this
    same step, or from the one that was `parked` at this place of the list."""

    put: Put
    live: str = ""
    parked: int = -1


@dataclass(frozen=True, slots=True)
class Edits:
    """All that changes in a layout. Units, pages and panels are named as they were.

    `kept` are placements that stay, `stowed` those that are parked (with the id they get there),
    `dropped` those that only the program had proposed. `returns` go from the parked list back to a
    page, `relabelled` stay parked under another id or with other words.
    """

    pages: Mapping[int, int] = field(default_factory=dict)
    panels: Mapping[PanelKey, int] = field(default_factory=dict)
    stowed_pages: frozenset[int] = frozenset()
    stowed_panels: frozenset[PanelKey] = frozenset()
    kept: Mapping[str, Put] = field(default_factory=dict)
    stowed: Mapping[str, str] = field(default_factory=dict)
    dropped: frozenset[str] = frozenset()
    copies: tuple[Copy, ...] = ()
    returns: Mapping[int, Put] = field(default_factory=dict)
    relabelled: Mapping[int, Put] = field(default_factory=dict)
    returned_pages: Mapping[int, int] = field(default_factory=dict)
    returned_panels: Mapping[int, PanelKey] = field(default_factory=dict)
    moved_panels: Mapping[int, int] = field(default_factory=dict)
    speakers: Mapping[str, str] = field(default_factory=dict)
    accepted: Mapping[str, str] = field(default_factory=dict)
