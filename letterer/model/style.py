"""The house style: how a book's lettering looks. A layout names one and may change any part of it.

Type sizes and line weights are in points on the printed page; other measures are shares, or *caps*
(cap height of the text face) as named.
"""

from __future__ import annotations

import pathlib
import re
from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import AfterValidator, Discriminator, Field, Tag, ValidationError

from letterer import craft
from letterer.errors import Fault, LettererError, nearest
from letterer.model.json_reader import read_json, read_json_file
from letterer.model.json_text import Document, Plain, Trouble
from letterer.model.plain_faults import as_faults, plain_troubles
from letterer.model.written import SCHEMA, Name, VersionOne, Written, plain_error
from letterer.resources import shared_folder

VERSION = 1
"""The version of the style file that this program reads."""

USUAL_STYLE = "plain hand"

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


class Style(Written):
    """A house style. What a style file or a layout leaves out stays as in 'plain hand'."""

    schema_: str | None = Field(default=None, alias="$schema", description=SCHEMA)
    letterer: VersionOne = Field(default=1, description="The version of this file format: 1.")
    name: Name = Field(default=USUAL_STYLE, description="The name a layout calls this style by.")
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

    @property
    def gap_points(self) -> float:
        """The gap as a number of points; flush is 0."""
        return 0.0 if self.gap == "flush" else float(self.gap)

    def with_changes(self, changes: Mapping[str, object]) -> Style:
        """This style with some parts changed. Raises LettererError.

        >>> Style().with_changes({"size": 8}).size
        8.0
        """
        kept = self.model_dump(by_alias=True, exclude_none=True)
        return checked_style({**kept, **changes})


def checked_style(parts: Mapping[str, object]) -> Style:
    """A style from its parts as plain values. Raises LettererError."""
    document = Document("", read_json("{}").root)
    found, troubles = style_of(dict(parts))
    if found is None or troubles:
        raise LettererError(*as_faults(document, troubles))
    return found


def style_of(raw: object, loc: tuple[str | int, ...] = ()) -> tuple[Style | None, list[Trouble]]:
    """A style from a plain value, with what is wrong with it; `loc` is where the value stands."""
    try:
        style = Style.model_validate(raw)
    except ValidationError as error:
        return None, plain_troubles(error, {"": Style}, loc)
    return style, size_troubles(style, loc)


def size_troubles(style: Style, loc: tuple[str | int, ...] = ()) -> list[Trouble]:
    """The rule between two sizes of a style."""
    if style.smallest_size <= style.size:
        return []
    what = f"'size' ({style.size:g}) is below 'smallest_size' ({style.smallest_size:g})"
    return [Trouble((*loc, "size"), what, "Make 'size' larger or 'smallest_size' smaller")]


def style_names() -> tuple[str, ...]:
    """The names of the house styles that come with letterer, in order of the alphabet."""
    return tuple(sorted(_style_files()))


def named_style(name: str) -> Style:
    """A house style that comes with letterer. Raises LettererError when there is none so called.

    >>> named_style("plain hand").size
    7.5
    """
    path = _style_files().get(name.casefold())
    if path is None:
        raise LettererError(Fault(*unknown_style(name)))
    return read_style(path)


def unknown_style(name: str) -> tuple[str, str]:
    """What to say of a style name that nothing answers to: what, and how to mend it."""
    names = style_names()
    near = nearest(name, names)
    mend = f"Did you mean '{near}'?" if near else f"Styles by name: {_listed(names)}."
    return (
        f"there is no style called '{name}'",
        f"{mend} For one of your own, give the path of its file, which ends in .json",
    )


def read_style(path: str | pathlib.Path, shown: str = "") -> Style:
    """A house style from its file, which faults call `shown`. Raises LettererError."""
    return _style_in(read_json_file(pathlib.Path(path), shown))


def parse_style(text: str, file: str = "") -> Style:
    """A house style from a JSON text. Raises LettererError with every fault found."""
    return _style_in(read_json(text, file))


def is_style_path(name: str) -> bool:
    """True when a layout's style is the path of a file, not a name."""
    return name.casefold().endswith(".json") or "/" in name or "\\" in name


def _style_in(document: Document) -> Style:
    raw = document.plain
    if newer := newer_version(raw):
        raise LettererError(*as_faults(document, [newer]))
    style, troubles = style_of(raw)
    faults = as_faults(document, [*document.slips, *troubles])
    if style is None or faults:
        raise LettererError(*faults)
    return style


def newer_version(raw: Plain) -> Trouble | None:
    """The trouble that makes all others meaningless: a file of a version that is not known yet."""
    version = raw.get("letterer") if isinstance(raw, dict) else None
    if not isinstance(version, int) or isinstance(version, bool) or version <= VERSION:
        return None
    return Trouble(
        ("letterer",),
        f"this file was written for a newer letterer (version {version} of the format;"
        f" this one reads version {VERSION})",
        "Install a newer letterer",
    )


def _style_files() -> dict[str, pathlib.Path]:
    """The bundled styles by name: a file plain-hand.json holds the style 'plain hand'."""
    folder = shared_folder() / "styles"
    return {path.stem.replace("-", " ").casefold(): path for path in folder.glob("*.json")}


def _listed(names: tuple[str, ...]) -> str:
    return ", ".join(f"'{name}'" for name in names)
