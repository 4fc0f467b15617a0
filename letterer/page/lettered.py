"""A lettered page as a display list: what is drawn, in order, with all that a checker needs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from letterer.geometry import Box, Path, Point

if TYPE_CHECKING:
    from letterer.fit.oval import Oval
    from letterer.ink.tail_values import Tail
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
        where = f"unit {self.unit}: " if self.unit else f"page {self.page}: " if self.page else ""
        mend = f" {self.mend.rstrip('.')}." if self.mend else ""
        return f"{where}{self.what.rstrip('.')}.{mend}"


class Stroke(NamedTuple):
    """A line's weight in points, its colour #rrggbb, and its dashes if any: the length of each and
    of the gap after it, by turns, begun anew where they end.

    Its corners are round, or mitred with the limit of 4 that SVG and Skia have by themselves.
    """

    width: float
    color: str
    dash: tuple[float, ...] | None = None
    mitred: bool = False


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

    `layers` gives what is drawn, in order: what lies `under` the border (the paper rim of a dashed
    one); `outline` filled with `fill` and lined with `stroke`; the `extras` (a thought's trail,
    notes, a shadow); the `halo` behind all lines of words; the words in `color`. Nothing is drawn
    outside `clip`, if there is one. Where each letter has outlines of its own, `letters` are drawn
    in place of the lines: a letter's outlines, then the letter, then the next one's. `kind` is one
    word, or two for captions. `breaks` are the words of each line. `ink` is the box of the words'
    ink, `box` that of all.

    Units that share one contour name each other in `joined`, all of them in reading order: the
    first has the contour as its `outline`, the others have none. Every balloon and caption keeps
    its `own` border, as it was before it was joined and had a tail, cut where it is cut; `box` and
    `shape` are its own too, but the `shape` of a unit that is cut reaches beyond the line, and that
    of a shout leaves out its spikes.
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
    under: tuple[Layer, ...] = ()
    letters: tuple[Layer, ...] = ()
    joined: tuple[str, ...] = ()
    own: Path | None = None

    def layers(self) -> tuple[Layer, ...]:
        """Everything that is drawn, the lowest first. Writers draw these and nothing else."""
        drawn = [*self.under]
        if self.outline:
            drawn.append(Layer("outline", self.outline, self.fill, self.stroke))
        drawn += self.extras
        if self.halo:
            from letterer.ink.halo import halo_path

            shapes = self.lines
            if self.kind == "effect":
                from letterer.ink.effect import without_slivers

                reach = self.halo.width / 2
                shapes = tuple(without_slivers(line, reach) for line in self.lines)
            drawn.append(Layer("halo", halo_path(shapes), self.halo.color, self.halo))
        return (*drawn, *self.words_layers)

    @property
    def words_layers(self) -> tuple[Layer, ...]:
        """The words as they are drawn, the lowest first: a layer for each line, or the letters."""
        return self.letters or tuple(Layer("line", line, self.color) for line in self.lines)

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
            under=tuple(layer.shifted(dx, dy) for layer in self.under),
            own=self.own and self.own.shifted(dx, dy),
            letters=tuple(layer.shifted(dx, dy) for layer in self.letters),
            clip=self.clip and self.clip.shifted(dx, dy),
        )

    @property
    def center(self) -> Point:
        """The middle of the balloon, caption or effect."""
        return (self.shape or self.ink).center


@dataclass(frozen=True, slots=True)
class LetteredPage:
    """One page: its boxes, its units in reading order, its findings, its panels' outlines."""

    number: int
    format: PageFormat
    units: tuple[PlacedUnit, ...]
    findings: tuple[Finding, ...] = ()
    art: Art | None = None
    language: str = "en"
    panels: tuple[Path, ...] = ()

    def unit(self, id: str) -> PlacedUnit | None:
        """The unit with this id, or None."""
        return next((unit for unit in self.units if unit.id == id), None)
