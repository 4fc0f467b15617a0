"""What a matching says, as values: placements as it sees them, pairs, and what is left over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from letterer.revise.homes import Homes, PanelKey


@dataclass(frozen=True, slots=True)
class Old:
    """A placement as the matching sees it. `words` and `speaker` are None where the layout does not
    say."""

    page: int
    panel: int
    number: int
    words: str | None
    speaker: str | None = None

    @property
    def home(self) -> PanelKey:
        """Its page and panel."""
        return self.page, self.panel


@dataclass(frozen=True, slots=True)
class Pair:
    """Old units that became new ones, by their places in the two lists.

    One with one, one with several (a split) or several with one (a join). `likeness` is 0 to 1.
    `sure` is False where something else is nearly as
    good; `rival` is that, as old and new units, where it is not simply to leave them alone.
    """

    old: tuple[int, ...]
    new: tuple[int, ...]
    likeness: float
    sure: bool = True
    rival: tuple[tuple[int, ...], tuple[int, ...]] | None = None


@dataclass(frozen=True, slots=True)
class Matching:
    """All pairs in the order of the script, and the homes of pages and panels.

    `gone` are old units without a partner, `fresh` new ones. `doubts` are those among the gone that
    may be the words of a fresh one, written anew.
    """

    pairs: tuple[Pair, ...]
    gone: tuple[int, ...]
    fresh: tuple[int, ...]
    homes: Homes
    doubts: Mapping[int, int] = field(default_factory=dict)
