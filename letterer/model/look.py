"""How lettering looks: faces, sizes, air, borders, captions, tails, colours.

Type sizes and line weights are in points on the printed page; other measures are shares, or *caps*
(cap height of the text face) as named. A house style is a whole look; a kind, a speaker, a page or
a unit may change any part of it.
"""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import AfterValidator, Discriminator, Field, Tag

from letterer import craft
from letterer.model.written import Name, Written, plain_error

TEXT_FACE = "Letterer Hand"
EFFECT_FACE = "Bangers"
FALLBACK_FACES = ("Playpen Sans", "Yomogi", "Comic Neue")
"""Bundled faces that step in, in this order, for characters the text face lacks."""

COLOUR = re.compile("#[0-9A-Fa-f]{6}")


def _rising(pair: tuple[float, float]) -> tuple[float, float]:
    if pair[0] > pair[1]:
        raise plain_error("gives the most before the least")
    return pair


def _gap_form(value: object) -> str | None:
    if isinstance(value, str):
        return "@flush"
    return "@gap" if isinstance(value, int | float) and not isinstance(value, bool) else None


def _colour(text: str) -> str:
    if not COLOUR.fullmatch(text):
        raise plain_error("must be a colour: # and six digits from 0 to 9 and a to f")
    return text


Colour = Annotated[
    str, AfterValidator(_colour), Field(json_schema_extra={"pattern": f"^{COLOUR.pattern}$"})
]
GapPoints = Annotated[
    Annotated[float, Field(ge=0, le=200), Tag("@gap")] | Annotated[Literal["flush"], Tag("@flush")],
    Discriminator(
        _gap_form,
        custom_error_type="plain",
        custom_error_message='must be a number or "flush"',
    ),
]
TypeSize = Annotated[float, Field(ge=1, le=craft.SIZE_MOST)]


class Look(Written):
    """The parts of a look. Where it stands for changes, only the parts that were given count."""

    text: Name = Field(default=TEXT_FACE, description="Family name of the face for words.")
    effect: Name = Field(
        default=EFFECT_FACE, description="Family name of the face for sound effects."
    )
    fallback: tuple[Name, ...] = Field(
        default=FALLBACK_FACES,
        max_length=20,
        description="Faces that step in, in this order, for characters the face lacks.",
    )
    size: TypeSize = Field(default=craft.SIZE_USUAL, description="Type size of speech, in points.")
    smallest_size: TypeSize = Field(
        default=craft.SIZE_FLOOR, description="Nothing is shrunk below this size, in points."
    )
    whisper_size: float = Field(
        default=craft.WHISPER_SHARE, ge=0.5, le=1, description="Whispers, as a share of 'size'."
    )
    shout_size: float = Field(
        default=craft.SHOUT_SHARE,
        ge=1,
        le=craft.SHOUT_SHARE_MOST,
        description="Shouts, as a share of 'size'.",
    )
    leading: float = Field(
        default=craft.LEADING_EM,
        ge=0.7,
        le=3,
        description="From one baseline to the next, as a share of the type size.",
    )
    spacing: float = Field(
        default=0.0,
        ge=0,
        le=craft.SPACING_MOST_EM,
        description="Added between letters, in em; words part in proportion. 0.12 reads easier for"
        " some; sound effects stay as they are.",
    )
    air: float = Field(
        default=craft.AIR_CAPS,
        ge=0,
        le=4,
        description="Air between words and balloon border, in caps.",
    )
    caption_padding: float = Field(
        default=craft.CAPTION_PADDING_CAPS,
        ge=0,
        le=4,
        description="Air between words and caption border, in caps.",
    )
    gap: GapPoints = Field(
        default=craft.CAPTION_GAP_POINTS,
        description='From a panel\'s border to a caption or balloon set by it: points, or "flush".',
    )
    border: float = Field(
        default=craft.BORDER_POINTS, ge=0, le=20, description="Weight of border lines, in points."
    )
    exponent: float = Field(
        default=craft.EXPONENT,
        ge=2,
        le=6,
        description="How full a balloon is: 2 is an ellipse, more is squarer.",
    )
    hand: float = Field(
        default=craft.HAND_AMPLITUDE_POINTS,
        ge=0,
        le=craft.HAND_AMPLITUDE_MOST,
        description="How far a hand-drawn border strays, in points; 0 is a ruled line.",
    )
    aspect: Annotated[
        tuple[
            Annotated[float, Field(ge=0.2, le=10)],
            Annotated[float, Field(ge=0.2, le=10)],
        ],
        AfterValidator(_rising),
    ] = Field(
        default=craft.ASPECT_RANGE,
        description="Width to height of a balloon, [the least, the most].",
    )
    capitals: bool = Field(default=True, description="Speech is set in capitals.")
    dash: Literal["double", "true"] = Field(
        default="double", description='Interrupted speech ends in "double" (--) or a "true" dash.'
    )
    dots: Literal["three", "single"] = Field(
        default="three", description='Trailing off: "three" dots, or a "single" character for all.'
    )
    italic_narration: bool = Field(default=True, description="Narration is set in italics.")
    ink: Colour = Field(default="#000000", description="Colour of words and borders, #rrggbb.")
    paper: Colour = Field(default="#ffffff", description="Colour inside balloons, #rrggbb.")
    caption_frame: Literal["boxed", "uneven", "open"] = Field(
        default="boxed",
        description='Captions stand in a "boxed" frame, in an "uneven" one drawn without a ruler,'
        ' or are "open": words on the art with an even halo.',
    )
    caption_lines: Literal["ragged", "centred"] = Field(
        default="ragged", description='Lines of a caption: "ragged" at one side, or "centred".'
    )
    tail_base: float = Field(
        default=craft.TAIL_BASE_CAPS,
        ge=0.3,
        le=5,
        description="Width of a tail where it leaves the balloon, in caps.",
    )
    tail_share: float = Field(
        default=craft.TAIL_SHARE,
        ge=0.1,
        le=1,
        description="How far toward the mouth a tail reaches, as a share of the way.",
    )
    tail_bend: float = Field(
        default=craft.TAIL_BEND_SHARE,
        ge=0,
        le=0.5,
        description="How far a tail bends aside, as a share of its length; 0 is straight.",
    )

    @property
    def gap_points(self) -> float:
        """The gap as a number of points; flush is 0."""
        return 0.0 if self.gap == "flush" else float(self.gap)
