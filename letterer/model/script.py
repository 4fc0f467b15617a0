"""What a script says, as frozen values: pages, panels, and in them units and stage direction.

A *unit* is one piece of lettering: one balloon, one caption or one sound effect.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from letterer.errors import Fault, LettererError


class Role(StrEnum):
    """What a unit is on the page."""

    SPEECH = "speech"
    CAPTION = "caption"
    EFFECT = "effect"


class Manner(StrEnum):
    """How a speech is spoken. A unit may have several, such as off and shout.

    `breath` is a small sound, a cough or a gasp: it has breath marks to each side.
    """

    WHISPER = "whisper"
    SHOUT = "shout"
    THOUGHT = "thought"
    BROADCAST = "broadcast"
    WEAK = "weak"
    COLD = "cold"
    SINGING = "singing"
    OFF = "off"
    OPEN = "open"
    BREATH = "breath"

    @property
    def is_a_kind(self) -> bool:
        """True for a manner that decides what the balloon looks like; off and breath do not."""
        return self not in (Manner.OFF, Manner.BREATH)


class CaptionKind(StrEnum):
    """What a caption tells. The plain `CAPTION:` is narration."""

    NARRATION = "narration"
    THOUGHT = "thought"
    PLACE = "place"
    SPEECH = "speech"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Run:
    """Words in one manner of writing. A line break that the writer forced is the character \\n.

    `emphasis` was written between asterisks, `as_typed` between backquotes (never put in capitals).
    """

    text: str
    emphasis: bool = False
    as_typed: bool = False


@dataclass(frozen=True, slots=True)
class Unit:
    """One balloon, caption or sound effect.

    `number` counts the units of a panel from 1. `line` is the line of the script file it starts on.
    `speaker` is empty for captions and effects, except a caption of speech or thought that names
    whose it is.
    """

    page: int
    panel: int
    number: int
    role: Role
    runs: tuple[Run, ...]
    speaker: str = ""
    manners: tuple[Manner, ...] = ()
    caption: CaptionKind | None = None
    line: int = field(default=0, compare=False)

    @property
    def id(self) -> str:
        """page.panel.number, such as 1.3.2."""
        return f"{self.page}.{self.panel}.{self.number}"

    @property
    def remembered(self) -> dict[str, object]:
        """What a placement remembers of its unit, as keys: by it an edited script is matched."""
        return {"words": self.words, "speaker": self.speaker or None}

    @property
    def words(self) -> str:
        """The plain words, without emphasis marks; a forced line break reads as a space."""
        plain = "".join(run.text for run in self.runs)
        return " ".join(unicodedata.normalize("NFC", plain).split())


@dataclass(frozen=True, slots=True)
class Direction:
    """Stage direction: prose that is kept and not lettered. `text` may hold several lines."""

    text: str
    line: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Panel:
    """One panel of a page, with its units and stage direction in the order written."""

    number: int
    items: tuple[Unit | Direction, ...]
    heading: str = ""
    line: int = field(default=0, compare=False)

    @property
    def units(self) -> tuple[Unit, ...]:
        """The panel's units, in reading order."""
        return tuple(item for item in self.items if isinstance(item, Unit))


@dataclass(frozen=True, slots=True)
class Page:
    """One page: direction that stands before the first panel, then its panels.

    `heading` is what stood beside the page number, such as "(4 panels)".
    """

    number: int
    panels: tuple[Panel, ...]
    opening: tuple[Direction, ...] = ()
    heading: str = ""
    line: int = field(default=0, compare=False)

    @property
    def units(self) -> tuple[Unit, ...]:
        """All units of the page, in reading order."""
        return tuple(unit for panel in self.panels for unit in panel.units)


@dataclass(frozen=True, slots=True)
class Remark:
    """Something in a script that was read, but perhaps not as its writer meant it.

    `what` and `mend` are worded as in `letterer.errors.Fault`; `line` counts from 1.

    >>> print(Remark("page 4 comes after page 2", "Check the page numbers", 12))
    line 12: page 4 comes after page 2. Check the page numbers.
    """

    what: str
    mend: str
    line: int

    def __str__(self) -> str:
        return str(Fault(self.what, self.mend, line=self.line))


@dataclass(frozen=True, slots=True)
class Script:
    """A whole script. `opening` is prose that stands before the first page (a title, say).

    `remarks` says, in line order, what may have been meant otherwise than it was read.
    """

    pages: tuple[Page, ...]
    opening: tuple[Direction, ...] = ()
    file: str = field(default="", compare=False)
    remarks: tuple[Remark, ...] = field(default=(), compare=False)

    @property
    def units(self) -> tuple[Unit, ...]:
        """Every unit of the book, in reading order."""
        return tuple(unit for page in self.pages for unit in page.units)

    def __iter__(self) -> Iterator[Page]:
        return iter(self.pages)

    def page(self, number: int) -> Page | None:
        """The page with this number, or None."""
        return next((page for page in self.pages if page.number == number), None)

    def chosen(self, numbers: Sequence[int] | None) -> list[Page]:
        """The pages with these numbers, in that order; None: all. Raises LettererError, with a
        fault for each number that no page has."""
        if numbers is None:
            return list(self.pages)
        found = {page.number: page for page in reversed(self.pages)}
        faults = [
            Fault("the script has no such page", "Check its number", self.file, page=number)
            for number in numbers
            if number not in found
        ]
        if faults:
            raise LettererError(*faults)
        return [found[number] for number in numbers]
