"""How one sound effect is drawn, as a plan says it: frozen values, every length in points."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from letterer.geometry import Point

LettersOn = Literal["bent", "turned", "upright"]
Level = Literal["feet", "middles", "tops"]
Join = Literal["round", "mitred"]


@dataclass(frozen=True, slots=True)
class EffectOutline:
    """One line round the letters; `weight` in points, measured outward from what lies inside it.

    It lies round each letter by itself, or round all the words together, beneath every letter.
    """

    weight: float
    color: str = "ink"
    join: Join = "round"
    around: Literal["letters", "words"] = "letters"


@dataclass(frozen=True, slots=True)
class EffectShadow:
    """A solid copy of the letters beneath them, moved by (dx, dy) in points.

    A `block` shadow fills the way from the letters to the copy too, as if they were cut from wood.
    """

    by: Point
    color: str = "ink"
    block: bool = False


@dataclass(frozen=True, slots=True)
class Effect:
    """How one sound effect is drawn. What is left as it is here, is drawn plain and straight.

    The line the letters stand on is straight and climbs by `rise` degrees; or it bends: it turns by
    `arc` degrees (its crown up where positive), swings by `wave` cap heights with `crests` full
    swings, or is a `path` of Bézier control points. `letters` are bent with it, turned with it, or
    stay upright; None is bent where the line bends gently. `heights` are letter heights at even
    steps along the words, `sizes` letter sizes. `corners` are four points that the corners of the
    words are drawn to, from the top left one on clockwise. `jump` (cap heights) and `tilt`
    (degrees) are the most that letters stray by chance; `overlap` (cap heights) is how far each
    stands over its neighbour, None as the face spaces them. `stretch` is how much taller or wider
    letters may become to fill a box.
    Colours are #rrggbb, "ink" or "paper"; `halo` in points, None as is usual.
    """

    face: str | None = None
    slant: float = 0.0
    rise: float = 0.0
    arc: float = 0.0
    wave: float = 0.0
    crests: float = 1.0
    path: tuple[Point, ...] = ()
    corners: tuple[Point, ...] = ()
    letters: LettersOn | None = None
    heights: tuple[float, ...] = ()
    sizes: tuple[float, ...] = ()
    level: Level = "feet"
    jump: float = 0.0
    tilt: float = 0.0
    overlap: float | None = None
    over: Literal["later", "earlier"] = "later"
    stretch: float = 1.0
    fill: str | None = None
    outlines: tuple[EffectOutline, ...] = ()
    shadow: EffectShadow | None = None
    halo: float | None = None
    clip: bool = False
    written: Mapping[str, object] = field(default_factory=dict, compare=False, hash=False)
    """The keys as they stand in the layout, so that a kept choice loses nothing of them."""

    @property
    def reach(self) -> float:
        """How far all outlines together go beyond the letters, in points."""
        return sum(outline.weight for outline in self.outlines)
