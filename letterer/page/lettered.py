"""A lettered page as a display list: what is drawn, in order, with all that a checker needs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import NamedTuple

from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point
from letterer.ink.halo import halo_path
from letterer.ink.tail import Tail
from letterer.model.plan import Art, PageFormat


class Severity(StrEnum):
    """How much a finding matters: a note, a warning, or a problem to mend before print."""

    NOTE = "note"
    WARNING = "warning"
    PROBLEM = "problem"


@dataclass(frozen=True, slots=True)
class Finding:
    """Something about a page that the person should know; the page is lettered all the same."""

    severity: Severity
    kind: str
    what: str
    mend: str = ""
    page: int = 0
    unit: str = ""

    def __str__(self) -> str:
        where = f"unit {self.unit}" if self.unit else f"page {self.page}"
        mend = f" {self.mend.rstrip('.')}." if self.mend else ""
        return f"{where}: {self.what.rstrip('.')}.{mend}"


class Stroke(NamedTuple):
    """A line's weight in points, its colour #rrggbb, and its dashes (length, gap) if any."""

    width: float
    color: str
    dash: tuple[float, float] | None = None


class Layer(NamedTuple):
    """One path as it is drawn: filled, then lined. `part` names it, as the SVG's classes do."""

    part: str
    path: Path
    fill: str | None = None
    stroke: Stroke | None = None

    def shifted(self, dx: float, dy: float) -> Layer:
        """This layer moved by (dx, dy)."""
        return self._replace(path=self.path.shifted(dx, dy))


@dataclass(frozen=True, slots=True)
class PlacedUnit:
    """One unit as drawn, in page coordinates (points, from the trim's top left corner).

    `layers` gives what is drawn, in order: `outline` filled with `fill` and lined with `stroke`;
    the `extras` (a thought's trail, notes, a shadow); the `halo` behind all lines of words; the
    words in `color`. Nothing is drawn outside `clip`, if there is one. `kind` is one word, or two
    for captions. `breaks` are the words of each line. `ink` is the box of the words' ink, `box`
    that of all.
    """

    id: str
    kind: str
    words: str
    speaker: str
    panel: int
    size: float
    lines: tuple[Path, ...]
    breaks: tuple[str, ...]
    ink: Box
    box: Box
    color: str
    shape: Oval | Box | None = None
    outline: Path | None = None
    fill: str | None = None
    stroke: Stroke | None = None
    halo: Stroke | None = None
    tails: tuple[Tail, ...] = ()
    costs: tuple[tuple[str, float], ...] = ()
    overflow: tuple[float, float] = (0.0, 0.0)
    planned_size: float = 0.0
    extras: tuple[Layer, ...] = ()
    clip: Path | None = None

    def layers(self) -> tuple[Layer, ...]:
        """Everything that is drawn, the lowest first. Writers draw these and nothing else."""
        drawn: list[Layer] = []
        if self.outline:
            drawn.append(Layer("outline", self.outline, self.fill, self.stroke))
        drawn += self.extras
        if self.halo:
            drawn.append(Layer("halo", halo_path(self.lines), self.halo.color, self.halo))
        return (*drawn, *(Layer("line", line, self.color) for line in self.lines))

    @property
    def fits(self) -> bool:
        """True when the unit keeps within the box that the plan gave it."""
        return self.overflow == (0.0, 0.0)

    def shifted(self, dx: float, dy: float) -> PlacedUnit:
        """This unit moved by (dx, dy), its tails' mouths too."""
        return replace(
            self,
            lines=tuple(line.shifted(dx, dy) for line in self.lines),
            ink=self.ink.shifted(dx, dy),
            box=self.box.shifted(dx, dy),
            shape=self.shape and self.shape.shifted(dx, dy),
            outline=self.outline and self.outline.shifted(dx, dy),
            tails=tuple(tail.shifted(dx, dy) for tail in self.tails),
            extras=tuple(layer.shifted(dx, dy) for layer in self.extras),
            clip=self.clip and self.clip.shifted(dx, dy),
        )

    @property
    def center(self) -> Point:
        """The middle of the balloon, caption or effect."""
        if isinstance(self.shape, Oval):
            return self.shape.center
        return (self.shape or self.ink).center


@dataclass(frozen=True, slots=True)
class LetteredPage:
    """One page: its boxes, its units in reading order, its findings."""

    number: int
    format: PageFormat
    units: tuple[PlacedUnit, ...]
    findings: tuple[Finding, ...] = ()
    art: Art | None = None
    language: str = "en"

    def unit(self, id: str) -> PlacedUnit | None:
        """The unit with this id, or None."""
        return next((unit for unit in self.units if unit.id == id), None)
