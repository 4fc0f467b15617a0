"""The plan of a book as the engine sees it: frozen values, every length in points.

The layout file says where things stand, in the person's own unit; `layout_reader` turns it into
these. The origin of each page is the top left corner of its trim, and y grows downward.
"""

from __future__ import annotations

import pathlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from letterer.errors import Fault
from letterer.geometry import MM_PER_INCH, POINTS_PER_INCH, Box, Path, Point
from letterer.model.effect import Effect
from letterer.model.look import Look
from letterer.model.style import Style

CornerName = Literal["top left", "top right", "bottom left", "bottom right"]
SideName = Literal["top", "bottom", "left", "right"]
JoinName = Literal["overlap", "link"]
UnitName = Literal["mm", "in", "pt", "px"]

RULER_DIGITS: Mapping[str, int] = {"in": 3, "mm": 1, "pt": 1, "px": 0}
"""Digits after the point of a length that was found or shown, not written: under 0.1 mm."""

WRITTEN_DIGITS = 4
"""Digits after the point when a length is given back in the person's unit: under 0.01 pt."""


class Reading(StrEnum):
    """The way the book is read."""

    LEFT_TO_RIGHT = "left to right"
    RIGHT_TO_LEFT = "right to left"


@dataclass(frozen=True, slots=True)
class Measure:
    """The unit in which a layout is written; `dpi` says how many px make an inch.

    >>> Measure("mm").points(25.4), Measure("px", 300).points(150)
    (72.0, 36.0)
    >>> Measure("in").written(36.0)
    0.5
    """

    unit: UnitName
    dpi: float | None = None

    @property
    def per_inch(self) -> float:
        """How many of this unit make an inch."""
        if self.unit == "px":
            if self.dpi is None:
                raise ValueError("px needs dpi")
            return self.dpi
        return {"mm": MM_PER_INCH, "in": 1.0, "pt": POINTS_PER_INCH}[self.unit]

    @property
    def is_printed(self) -> bool:
        """True for a book that is printed: one in px is for screens."""
        return self.unit != "px"

    def points(self, value: float) -> float:
        """A length in this unit, in points."""
        return value * POINTS_PER_INCH / self.per_inch

    def written(self, points: float) -> float:
        """A length in points, in this unit, rounded to what a person would write."""
        return round(points * self.per_inch / POINTS_PER_INCH, WRITTEN_DIGITS)

    def by_ruler(self, points: float) -> float:
        """A length in points, in this unit, as fine as a ruler shows it."""
        return round(points * self.per_inch / POINTS_PER_INCH, RULER_DIGITS[self.unit])

    def told(self, points: float) -> str:
        """A length in points as a person is told it, with its unit: short, not exact.

        >>> Measure("mm").told(72.0), Measure("in").told(99.0)
        ('25.4 mm', '1.38 in')
        """
        short = round(points * self.per_inch / POINTS_PER_INCH, 2 if self.unit == "in" else 1)
        return f"{short:g} {self.unit}"


@dataclass(frozen=True, slots=True)
class PageFormat:
    """The three boxes of a page: where it is cut, how far art runs on, where words are safe."""

    trim: Box
    bleed: Box
    live: Box


@dataclass(frozen=True, slots=True)
class Art:
    """The picture of a page and the box it covers. The file has not been opened."""

    file: pathlib.Path
    box: Box


@dataclass(frozen=True, slots=True)
class PanelPlan:
    """One panel: its outline, the box around it, and the mouths in it by speaker."""

    number: int
    shape: Path
    box: Box
    mouths: Mapping[str, Point] = field(default_factory=dict, hash=False)

    def mouth(self, speaker: str) -> Point | None:
        """The mouth of a speaker; capitals and small letters are taken as the same."""
        wanted = speaker.casefold()
        return next((at for name, at in self.mouths.items() if name.casefold() == wanted), None)


@dataclass(frozen=True, slots=True)
class Zone:
    """A part of the art that lettering keeps clear of: a face, a hand."""

    name: str
    shape: Path
    box: Box


@dataclass(frozen=True, slots=True)
class Focus:
    """What the eye should find."""

    name: str
    at: Point


@dataclass(frozen=True, slots=True)
class Center:
    """The unit's middle stands here."""

    at: Point


@dataclass(frozen=True, slots=True)
class Fill:
    """The unit fills this box."""

    box: Box


@dataclass(frozen=True, slots=True)
class Corner:
    """The unit stands in a corner of its panel. `gap` in points; None is the style's own."""

    where: CornerName
    gap: float | None = None


@dataclass(frozen=True, slots=True)
class Edge:
    """The unit stands at an edge of its panel, `along` of the way from its left or top end."""

    side: SideName
    along: float = 0.5
    gap: float | None = None


TailShapeName = Literal["curved", "straight", "wavering", "lightning", "bubbles"]


@dataclass(frozen=True, slots=True)
class TailPlan:
    """One tail: the mouth it goes to, by its speaker's name or a point; points it is led through on
    its way; and its shape, where it is not that of the unit's kind."""

    to: Point | str
    via: tuple[Point, ...] = ()
    shape: TailShapeName | None = None


@dataclass(frozen=True, slots=True)
class Placement:
    """Where one unit is planned, and what it asks of its setting.

    `size` is type size in points; `breaks` are the words of each line, where the person chose them.
    `proposed` is True while nobody has settled the place that letterer gave it. `words` are those
    it is lettered with, said by `speaker`; None where the layout does not say, or nobody speaks.
    `earlier` are those before small edits; `lines_kept`: with the line breaks of these, while they
    are nearly the best.
    A tail is a mouth by its speaker's name or a point, or a `TailPlan` where more is asked of it;
    None is the speaker's own mouth, and an empty tuple is no tail. `joined` says how it is tied to
    the balloon before it of the same speaker (False: not at all; None: as they stand). `cut` are
    the sides on which it is cut flat on its panel's border (None: those it stands flush with).
    `over`: it may go over its panel's border. `effect` is how a sound effect is drawn.
    """

    unit: str
    spot: Center | Fill | Corner | Edge
    size: float | None = None
    kind: str | None = None
    lines: int | None = None
    breaks: tuple[str, ...] | None = None
    aspect: float | None = None
    tails: tuple[Point | str | TailPlan, ...] | None = None
    words: str | None = None
    joined: bool | JoinName | None = None
    cut: tuple[SideName, ...] | None = None
    over: bool = False
    style: Look | None = None
    read_after: str | None = None
    effect: Effect | None = None
    proposed: bool = False
    speaker: str | None = None
    earlier: str | None = None
    lines_kept: bool = False


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A finding that the person keeps as it is, and why. No `unit`: any of the page or book."""

    finding: str
    because: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class PagePlan:
    """One page. `accepted` are findings of it that are kept as they are."""

    number: int
    art: Art | None = None
    panels: tuple[PanelPlan, ...] = ()
    keep_clear: tuple[Zone, ...] = ()
    focus: tuple[Focus, ...] = ()
    placements: tuple[Placement, ...] = ()
    style: Look | None = None
    accepted: tuple[Acceptance, ...] = ()

    def panel(self, number: int) -> PanelPlan | None:
        """The panel with this number, or None."""
        return next((panel for panel in self.panels if panel.number == number), None)

    def placement(self, unit: str) -> Placement | None:
        """The placement of a unit, or None when the plan leaves it open."""
        return next((placed for placed in self.placements if placed.unit == unit), None)


@dataclass(frozen=True, slots=True)
class Parked:
    """What was made for words that the script no longer has. Panels come with their old page."""

    placements: tuple[Placement, ...] = ()
    panels: tuple[tuple[int, PanelPlan], ...] = ()
    pages: tuple[PagePlan, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.placements or self.panels or self.pages)


@dataclass(frozen=True, slots=True)
class Layout:
    """A whole layout. `remarks` are things that look like slips but do no harm."""

    format: PageFormat
    measure: Measure
    reading: Reading
    language: str
    style: Style
    pages: tuple[PagePlan, ...]
    file: str = field(default="", compare=False)
    remarks: tuple[Fault, ...] = field(default=(), compare=False)
    accepted: tuple[Acceptance, ...] = ()
    parked: Parked = Parked()

    def __iter__(self) -> Iterator[PagePlan]:
        return iter(self.pages)

    def page(self, number: int) -> PagePlan | None:
        """The page with this number, or None."""
        return next((page for page in self.pages if page.number == number), None)

    @property
    def is_remembered(self) -> bool:
        """True when the layout says for some placement which words it was planned for."""
        placed = (placement for page in self.pages for placement in page.placements)
        return any(one.words is not None for one in (*placed, *self.parked.placements))
