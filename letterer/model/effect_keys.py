"""The `effect` of a placement as a person writes it: how a sound effect is drawn.

Points of a path and corners are in the unit of the layout; line weights, the shadow's way and the
halo are in points, as type sizes are.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, ValidationError

from letterer.errors import LettererError
from letterer.geometry import Point
from letterer.model.effect import Effect, EffectOutline, EffectShadow, Join, LettersOn, Level
from letterer.model.json_reader import read_json
from letterer.model.json_text import Document, Loc, Plain, Trouble
from letterer.model.look import COLOUR
from letterer.model.plain_faults import as_faults, plain_troubles
from letterer.model.plan import Measure
from letterer.model.ring import ring_fault
from letterer.model.written import XY, Name, Written, plain_error

ARC_LEAST = 0.01
"""Degrees of an arc below which words stand straight."""

PATH_POINTS_MOST = 61
"""Twenty curves one after another: a path with more was traced by a machine."""


def _effect_colour(text: str) -> str:
    if text not in ("ink", "paper") and not COLOUR.fullmatch(text):
        raise plain_error(
            'must be "ink", "paper", or a colour: # and six digits from 0 to 9 and a to f'
        )
    return text


def _sound_path(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    count = len(points)
    if count < 2:
        raise plain_error(f"needs at least 2 points, [[x, y], [x, y]], and it has {count}")
    if count > 3 and count % 3 != 1:
        raise plain_error(
            f"has {count} points; a line has 2, a simple curve 3, a curve 4, and each curve that"
            " goes on from it 3 more (7, 10, 13 ...)"
        )
    if len(set(points)) == 1:
        raise plain_error("has all its points in one place")
    return points


def _sound_corners(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    corners = [Point(x, y) for x, y in points]
    if fault := ring_fault(corners):
        raise plain_error(f"{fault}; give them clockwise from the top left of the words")
    turns = [_turn(corners[at - 2], corners[at - 1], corners[at]) for at in range(4)]
    if min(turns) <= 0 < max(turns):
        raise plain_error("has a corner that lies inside the other three, so no words fill it")
    if max(turns) <= 0:
        raise plain_error(
            "goes the wrong way round, which would mirror the words; give them clockwise from the"
            " top left of the words"
        )
    return points


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x)


EffectColour = Annotated[
    str,
    AfterValidator(_effect_colour),
    Field(json_schema_extra={"pattern": f"^(ink|paper|{COLOUR.pattern})$"}),
]
Weight = Annotated[float, Field(gt=0, le=72)]
Share = Annotated[float, Field(ge=0.2, le=5)]
Shares = Annotated[tuple[Share, ...], Field(min_length=2, max_length=9)]
Way = Annotated[float, Field(ge=-200, le=200)]


class OutlineKeys(Written):
    """One line round the letters of a sound effect."""

    weight: Weight = Field(description="Its weight in points, beyond what lies inside it.")
    color: EffectColour = Field(default="ink", description='#rrggbb, "ink" or "paper".')
    join: Join = Field(default="round", description='Its corners: "round" or "mitred".')
    around: Literal["letters", "words"] = Field(
        default="letters",
        description='Round each of the "letters", or round the "words" as a whole, beneath all.',
    )


class ShadowKeys(Written):
    """A solid shadow of a sound effect."""

    by: tuple[Way, Way] = Field(
        description="How far it lies to the right and below, [dx, dy] in points."
    )
    color: EffectColour = Field(default="ink", description='#rrggbb, "ink" or "paper".')
    block: bool = Field(
        default=False,
        description="Whether the way from the letters to their shadow is filled too.",
    )


class EffectKeys(Written):
    """How a sound effect is drawn. Left out: straight, in the face of the style."""

    face: Name | None = Field(default=None, description="Family name of another face.")
    slant: Annotated[float, Field(ge=-45, le=45)] | None = Field(
        default=None, description="Degrees by which the letters lean to the right."
    )
    rise: Annotated[float, Field(ge=-80, le=80)] | None = Field(
        default=None, description="Degrees by which the words climb."
    )
    arc: Annotated[float, Field(ge=-300, le=300)] | None = Field(
        default=None,
        description="Degrees of a circle that the words stand on; below 0 they hang in a bowl.",
    )
    wave: Annotated[float, Field(ge=-2, le=2)] | None = Field(
        default=None, description="How far the words swing up and down, in cap heights."
    )
    crests: Annotated[float, Field(ge=0.25, le=12)] | None = Field(
        default=None, description="With 'wave': how many full swings."
    )
    path: (
        Annotated[
            tuple[XY, ...],
            Field(
                max_length=PATH_POINTS_MOST,
                description=(
                    "Bézier control points of the line that the words stand on: 2 for a straight"
                    " line, 3 or 4 for a curve, 3 more for each curve that goes on from it."
                ),
                json_schema_extra={"minItems": 2},
            ),
            AfterValidator(_sound_path),
        ]
        | None
    ) = None
    corners: (
        Annotated[
            tuple[XY, ...],
            Field(
                min_length=4,
                max_length=4,
                description="Four points that the corners of the words are drawn to, clockwise.",
            ),
            AfterValidator(_sound_corners),
        ]
        | None
    ) = None
    letters: LettersOn | None = Field(
        default=None,
        description='On a line that bends: letters are "bent" with it, "turned" or "upright".',
    )
    heights: Shares | None = Field(
        default=None,
        description="Heights of the letters at even steps along the words, 1 as usual.",
    )
    sizes: Shares | None = Field(
        default=None, description="Sizes of the letters, from the first to the last, 1 as usual."
    )
    level: Level | None = Field(
        default=None,
        description='What stays level where heights or sizes differ: "feet", "middles", "tops".',
    )
    jump: Annotated[float, Field(ge=0, le=1)] | None = Field(
        default=None, description="How far letters jump off their line, in cap heights."
    )
    tilt: Annotated[float, Field(ge=0, le=45)] | None = Field(
        default=None, description="Degrees by which letters tilt to and fro."
    )
    overlap: Annotated[float, Field(ge=-1, le=0.6)] | None = Field(
        default=None,
        description="How far a letter stands over the next, in cap heights; 0: they touch.",
    )
    over: Literal["later", "earlier"] | None = Field(
        default=None, description="With 'overlap': whether \"later\" letters lie on top."
    )
    stretch: Annotated[float, Field(ge=1, le=2)] | None = Field(
        default=None,
        description="With 'box': how much taller or wider letters may become to fill it.",
    )
    fill: EffectColour | None = Field(
        default=None,
        description='Colour of the letters, #rrggbb, "ink", or "paper" for open letters.',
    )
    outlines: Annotated[tuple[OutlineKeys, ...], Field(max_length=6)] | None = Field(
        default=None, description="Lines round the letters, from the innermost on."
    )
    shadow: ShadowKeys | None = Field(
        default=None, description="A solid shadow beneath the letters."
    )
    halo: Annotated[float, Field(ge=0, le=72)] | None = Field(
        default=None, description="Points of paper that knock all of it out of the art; 0: none."
    )
    clip: bool | None = Field(
        default=None, description="Whether the panel's border cuts it off; false: it breaks out."
    )


EFFECT_MODELS: dict[str, type[Written]] = {
    "effect": EffectKeys,
    "outlines": OutlineKeys,
    "shadow": ShadowKeys,
}


def effect_value(keys: EffectKeys, measure: Measure) -> Effect:
    """The plan value of an `effect`: lengths in points, what was left out as usual."""

    def points(listed: Sequence[tuple[float, float]] | None) -> tuple[Point, ...]:
        return tuple(Point(measure.points(x), measure.points(y)) for x, y in listed or ())

    given = {
        name: getattr(keys, name)
        for name in EffectKeys.model_fields
        if name not in ("note", "path", "corners", "outlines", "shadow")
        and getattr(keys, name) is not None
    }
    if abs(given.get("arc", 0.0)) < ARC_LEAST:
        given.pop("arc", None)
    outlines = tuple(
        EffectOutline(one.weight, one.color, one.join, one.around) for one in keys.outlines or ()
    )
    shadow = keys.shadow
    return Effect(
        **given,
        path=points(keys.path),
        corners=points(keys.corners),
        outlines=outlines,
        shadow=EffectShadow(Point(*shadow.by), shadow.color, shadow.block) if shadow else None,
        written=keys.model_dump(mode="json", by_alias=True, exclude_unset=True),
    )


def effect_of(raw: Mapping[str, object], measure: Measure) -> Effect:
    """The plan value of an `effect` given as plain values. Raises LettererError.

    >>> effect_of({"arc": 40}, Measure("mm")).arc
    40.0
    """
    document = Document("", read_json("{}").root)
    plain = _plain(raw)
    try:
        keys = EffectKeys.model_validate(plain)
    except ValidationError as error:
        troubles = plain_troubles(error, EFFECT_MODELS, ("effect",))
        raise LettererError(*as_faults(document, troubles)) from None
    return effect_value(keys, measure)


def _plain(value: object) -> object:
    if isinstance(value, Mapping):
        return {str(key): _plain(inner) for key, inner in value.items()}
    return tuple(map(_plain, value)) if isinstance(value, list | tuple) else value


def effect_troubles(loc: Loc, placed: Mapping[str, Plain]) -> Iterator[Trouble]:
    """Keys of a placement's effect that cannot stand together, or that say nothing alone."""
    effect = placed.get("effect")
    if not isinstance(effect, dict):
        return
    at = (*loc, "effect")
    bends = [key for key in ("arc", "wave", "path") if key in effect]
    if len(bends) > 1:
        what = f"'{bends[0]}' and '{bends[1]}' stand together: letters have one line to stand on"
        yield Trouble((*at, bends[1]), what, "Keep one of them")
    if "path" in effect:
        for key in ("rise", "corners"):
            if key in effect:
                what = f"'path' and '{key}' stand together, and the path alone says where words run"
                yield Trouble((*at, key), what, "Keep one of them")
    for key, needed in (("crests", ("wave",)), ("over", ("overlap",))):
        if key in effect and not any(other in effect for other in needed):
            yield Trouble((*at, key), f"{{it}} goes with '{needed[0]}' only", "Leave it out")
    outlines = effect.get("outlines")
    around = [
        one.get("around", "letters") if isinstance(one, dict) else None
        for one in (outlines if isinstance(outlines, tuple) else ())
    ]
    for place, where in enumerate(around):
        if where == "letters" and "words" in around[:place]:
            what = "{it} lies round the letters, and one inside it round all the words"
            mend = "Put the lines round the letters first"
            yield Trouble((*at, "outlines", place), what, mend)
    if "stretch" in effect and "box" not in placed:
        yield Trouble((*at, "stretch"), "{it} goes with 'box' only", "Leave it out")
    if "corners" in effect and "size" in placed:
        what = "{it} and 'corners' stand together, and the corners say how large the words are"
        yield Trouble((*loc, "size"), what, "Keep one of them")


def own_place(placed: Mapping[str, Plain]) -> str:
    """The key by which an effect says itself where it stands, "path" or "corners"; or nothing."""
    effect = placed.get("effect")
    keys = effect if isinstance(effect, dict) else {}
    return next((key for key in ("path", "corners") if key in keys), "")
