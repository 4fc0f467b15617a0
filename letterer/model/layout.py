"""The layout file as a person writes it: one model for each pair of { } in it.

These models say which keys there are and what each may hold. Rules that join several keys stand in
`layout_rules`; lengths stay in the person's unit until `layout_reader` turns them into points.
"""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    Discriminator,
    Field,
    Tag,
    WithJsonSchema,
)
from pydantic_core import PydanticKnownError

from letterer.craft import SIZE_MOST
from letterer.model.formats import PageMeasures
from letterer.model.plan import CornerName, SideName, UnitName
from letterer.model.script import CaptionKind, Manner, Role
from letterer.model.style import USUAL_STYLE, Style
from letterer.model.written import (
    LTWH,
    NOTE,
    NUMBER_MOST,
    SCHEMA,
    XY,
    Count,
    Distance,
    Name,
    Ring,
    VersionOne,
    Written,
    plain_error,
)

VERSION = 1
"""The version of the layout file that this program reads and writes."""

KINDS = (
    Role.SPEECH.value,
    *(manner.value for manner in Manner if manner.is_a_kind),
    Role.CAPTION.value,
    *(f"{Role.CAPTION.value} {kind.value}" for kind in CaptionKind),
    Role.EFFECT.value,
)
"""What a placement may ask a unit to look like, whatever the script says."""

UNIT_ID = re.compile(r"([1-9][0-9]{0,4})\.([1-9][0-9]{0,4})\.([1-9][0-9]{0,4})")
"""page.panel.number, the id that a unit of the script has."""

LANGUAGE = re.compile(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{1,8})*")
"""The shape of a BCP 47 language tag (RFC 5646, without its private and grandfathered forms)."""

DPI_LEAST, DPI_MOST = 1, 10_000


def _unit_id(text: str) -> str:
    if not UNIT_ID.fullmatch(text):
        raise plain_error('must be page.panel.number such as "1.3.2"')
    return text


def _kind(text: str) -> str:
    if text not in KINDS:
        raise PydanticKnownError("literal_error", {"expected": ", ".join(KINDS)})
    return text


def _language(text: str) -> str:
    if not LANGUAGE.fullmatch(text):
        raise plain_error('must be a language tag such as "en", "fr" or "pt-BR"')
    return text


def _file_name(text: str) -> str:
    if "\0" in text:
        raise plain_error("holds a character that no file name can have")
    return text.replace("\\", "/")


def _without_note(value: object) -> object:
    """The mouths without a note of the person's: a text cannot be taken for a mouth."""
    if isinstance(value, dict) and isinstance(value.get("note"), str):
        return {key: at for key, at in value.items() if key != "note"}
    return value


def _text_or(own: str) -> Discriminator:
    """Tells a text from the other form that a value may have."""

    def form(value: object) -> str | None:
        if isinstance(value, str):
            return "@name" if own == "@own" else "@mouth"
        return own if isinstance(value, dict if own == "@own" else tuple) else None

    told = {
        "@own": 'must be the name of a style, or {"name": ..., and what differs}',
        "@point": "must be the name of a speaker, or a point, [x, y]",
    }[own]
    return Discriminator(form, custom_error_type="plain", custom_error_message=told)


def _gap_form(value: object) -> str | None:
    if isinstance(value, str):
        return "@flush"
    return "@gap" if isinstance(value, int | float) and not isinstance(value, bool) else None


Gap = Annotated[
    Annotated[Distance, Tag("@gap")] | Annotated[Literal["flush"], Tag("@flush")],
    Discriminator(
        _gap_form,
        custom_error_type="plain",
        custom_error_message='must be a number or "flush"',
    ),
]
UnitId = Annotated[str, AfterValidator(_unit_id)]
Kind = Annotated[
    str, AfterValidator(_kind), WithJsonSchema({"type": "string", "enum": list(KINDS)})
]
Tail = Annotated[Annotated[Name, Tag("@mouth")] | Annotated[XY, Tag("@point")], _text_or("@point")]
Mouths = Annotated[
    dict[str, XY],
    BeforeValidator(_without_note),
    WithJsonSchema(
        {
            "type": "object",
            "properties": {"note": {"description": NOTE, "type": "string"}},
            "additionalProperties": {
                "type": "array",
                "prefixItems": [{"type": "number", "minimum": -NUMBER_MOST, "maximum": NUMBER_MOST}]
                * 2,
                "minItems": 2,
                "maxItems": 2,
            },
        }
    ),
]


class ArtKeys(Written):
    """The picture of a page. Give `covers`, or a `box` of its own."""

    file: Annotated[Name, AfterValidator(_file_name)] = Field(
        description="Path of the picture, from the folder of this file."
    )
    covers: Literal["bleed", "trim", "live"] | None = Field(
        default=None, description="Which box of the page the picture covers."
    )
    box: LTWH | None = Field(default=None, description="The box that the picture covers.")


class PanelKeys(Written):
    """A panel: a box, or a polygon when it is not an upright rectangle."""

    panel: Count = Field(description="The panel's number on its page, from 1.")
    box: LTWH | None = None
    polygon: Ring | None = None
    mouths: Mouths = Field(
        default_factory=dict, description="Where each speaker's mouth is: name and [x, y]."
    )


class ZoneKeys(Written):
    """A part of the art that lettering keeps clear of: a box or a polygon."""

    name: Name = Field(description="A name of your own; reports use it.")
    box: LTWH | None = None
    polygon: Ring | None = None


class FocusKeys(Written):
    """What the eye should find."""

    name: Name = Field(description="A name of your own; reports use it.")
    at: XY


class PlacementKeys(Written):
    """Where one unit stands. Give one of `center`, `box`, `corner` and `edge`."""

    unit: UnitId = Field(
        description="The unit of the script: page.panel.number, such as 1.3.2.",
        json_schema_extra={"pattern": f"^{UNIT_ID.pattern}$"},
    )
    center: XY | None = None
    centre: XY | None = Field(default=None, description="The same as 'center'.")
    box: LTWH | None = None
    corner: CornerName | None = Field(default=None, description="A corner of the unit's panel.")
    edge: SideName | None = Field(default=None, description="An edge of the unit's panel.")
    along: Annotated[float, Field(ge=0, le=1)] | None = Field(
        default=None, description="With 'edge': how far along it, 0 to 1; 0.5 is its middle."
    )
    gap: Gap | None = Field(
        default=None,
        description="With 'corner' or 'edge': distance from the panel's border, or \"flush\".",
    )
    size: Annotated[float, Field(ge=1, le=SIZE_MOST)] | None = Field(
        default=None, description="Type size, always in points."
    )
    kind: Kind | None = Field(
        default=None, description="What the unit looks like, whatever the script says."
    )
    lines: Annotated[int, Field(ge=1, le=50)] | None = Field(
        default=None, description="Into how many lines the words are broken."
    )
    breaks: Annotated[tuple[Name, ...], Field(min_length=1, max_length=50)] | None = Field(
        default=None,
        description="The words of each line, where the breaks are chosen and not left to letterer.",
    )
    aspect: Annotated[float, Field(ge=0.2, le=10)] | None = Field(
        default=None, description="Width to height of the balloon."
    )
    tails: Annotated[tuple[Tail, ...], Field(max_length=20)] | None = Field(
        default=None,
        description=(
            "Where tails aim: speakers' names or points. Left out: the speaker's mouth. []: none."
        ),
    )
    words: str | None = Field(default=None, description="The words this was planned for.")


class PageKeys(Written):
    """One page of the book."""

    page: Count = Field(description="The page's number, as in the script.")
    art: ArtKeys | None = Field(default=None, description="The picture under the lettering.")
    panels: tuple[PanelKeys, ...] = Field(default=(), description="The panels.")
    keep_clear: tuple[ZoneKeys, ...] = Field(
        default=(), description="What lettering keeps clear of."
    )
    focus: tuple[FocusKeys, ...] = Field(default=(), description="What the eye should find.")
    placements: tuple[PlacementKeys, ...] = Field(
        default=(), description="Where units stand; units left out are listed, not drawn."
    )


class LayoutKeys(Written):
    """A layout: the page, the house style, and what stands where on each page.

    The origin is the top left corner of the trim; x goes right and y goes down.
    """

    schema_: str | None = Field(default=None, alias="$schema", description=SCHEMA)
    letterer: VersionOne = Field(description="The version of this file format: 1.")
    unit: UnitName = Field(description="The unit of all lengths but type sizes.")
    dpi: Annotated[float, Field(ge=DPI_LEAST, le=DPI_MOST)] | None = Field(
        default=None, description="How many px make an inch; needed with the unit px."
    )
    page: PageMeasures = Field(description="The measures of every page.")
    reading: Literal["left to right", "right to left"] = Field(
        default="left to right", description="The way the book is read."
    )
    language: Annotated[str, AfterValidator(_language)] = Field(
        default="en",
        description="The language of the words, a BCP 47 tag such as en or pt-BR.",
        json_schema_extra={"pattern": f"^{LANGUAGE.pattern}$"},
    )
    style: Annotated[
        Annotated[Name, Tag("@name")] | Annotated[Style, Tag("@own")], _text_or("@own")
    ] = Field(
        default=USUAL_STYLE,
        description="A house style: its name, the path of its file, or a style with changes.",
    )
    pages: tuple[PageKeys, ...] = Field(default=(), description="The pages.")


MODELS: dict[str, type[BaseModel]] = {
    "": LayoutKeys,
    "page": PageMeasures,
    "style": Style,
    "pages": PageKeys,
    "art": ArtKeys,
    "panels": PanelKeys,
    "keep_clear": ZoneKeys,
    "focus": FocusKeys,
    "placements": PlacementKeys,
}
"""The model of the objects behind each key; the outermost one is behind ''."""
