"""What became of each unit, as values."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from letterer.model.plan import Layout
from letterer.revise.edits import Edits


class Fate(StrEnum):
    """What becomes of a unit."""

    SAME = "same"
    EDITED = "edited"
    MOVED = "moved"
    NEW = "new"
    CUT = "cut"
    BACK = "back"
    SPLIT = "split"
    JOINED = "joined"


WITH_ITS_PAGE = "its words are back, with their page or panel"
"""The place of a unit that was parked with all around it, and is back with it, the same."""


@dataclass(frozen=True, slots=True)
class Change:
    """What became of one unit. `unit` is its id now ("" when it is cut), `was` its ids before.

    `words` are those now, `old_words` those that the layout remembers. `place` says in a few words
    what happens to its place; `proposed` is True where letterer chose it. `sure` is False where the
    matching had nearly as good another way; `rival` says which, in a few words, and `speakers` who
    says the words now and who did before, where that is not the same one.
    """

    fate: Fate
    unit: str
    was: tuple[str, ...] = ()
    words: str = ""
    old_words: str = ""
    place: str = ""
    proposed: bool = False
    sure: bool = True
    rival: str = ""
    speakers: str = ""

    @property
    def at(self) -> str:
        """The id to name it by: its own, or the one it had."""
        return self.unit or self.was[0]


@dataclass(frozen=True, slots=True)
class Revision:
    """What an edited script does to a layout.

    `stages` are edits, each on what the one before gives; `layout` is the plan after all of them.
    `renumbered` are old and new page numbers that differ; `notes` are further things to be told.
    `cut_pages` are pages that are parked whole, by their numbers before, and `cut_panels` panels of
    others; `back` are pages and panels that were parked and are back, in words.
    """

    stages: tuple[Edits, ...]
    layout: Layout
    changes: tuple[Change, ...]
    renumbered: tuple[tuple[int, int], ...] = ()
    notes: tuple[str, ...] = ()
    cut_pages: tuple[int, ...] = ()
    cut_panels: tuple[tuple[int, int], ...] = ()
    back: tuple[str, ...] = ()
    remembered: bool = True

    @property
    def shifts(self) -> bool:
        """True when words that the layout remembers have another number now."""
        moved = any(
            change.unit and change.was and change.was != (change.unit,) for change in self.changes
        )
        return self.remembered and (moved or bool(self.renumbered))

    @property
    def is_quiet(self) -> bool:
        """True when every unit kept its words, its number and its place."""
        quiet = all(
            change.fate is Fate.SAME
            and change.sure
            and not change.speakers
            and change.was == (change.unit,)
            for change in self.changes
            if change.fate is not Fate.NEW
        )
        told = (self.renumbered, self.notes, self.cut_pages, self.cut_panels, self.back)
        return quiet and not any(told)

    def went_with_page(self, change: Change) -> bool:
        """True for words that were cut with their whole page."""
        return change.fate is Fate.CUT and int(change.was[0].split(".")[0]) in self.cut_pages
