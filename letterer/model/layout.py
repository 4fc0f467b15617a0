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
    PlainValidator,
    Tag,
    WithJsonSchema,
)

from letterer.craft import SIZE_MOST
from letterer.model.effect_keys import EFFECT_MODELS, EffectKeys
from letterer.model.formats import PageMeasures
from letterer.model.look import Look
from letterer.model.plan import CornerName, JoinName, SideName, TailShapeName, UnitName
from letterer.model.style import KINDS, USUAL_STYLE, Style, known_kind
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

UNIT_ID = re.compile(r"([1-9][0-9]{0,4})\.([1-9][0-9]{0,4})\.([1-9][0-9]{0,4})")
"""page.panel.number, the id that a unit of the script has."""

LANGUAGE = re.compile(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{1,8})*")
"""The shape of a BCP 47 language tag (RFC 5646, without its private and grandfathered forms)."""

DPI_LEAST, DPI_MOST = 1, 10_000


def _unit_id(text: str) -> str:
    if not UNIT_ID.fullmatch(text):
        raise plain_error('must be page.panel.number such as "1.3.2"')
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
        if own == "@tail" and isinstance(value, tuple):
            return "@point"
        return own if isinstance(value, tuple if own == "@point" else dict) else None

    told = {
        "@own": 'must be the name of a style, or {"name": ..., and what differs}',
        "@point": "must be the name of a speaker, or a point, [x, y]",
        "@tail": 'must be the name of a speaker, a point, [x, y], or {"to": ..., and more}',
    }[own]
    return Discriminator(form, custom_error_type="plain", custom_error_message=told)


def _join(value: object) -> object:
    if isinstance(value, bool) or value in ("overlap", "link"):
        return value
    raise plain_error('must be true, false, "overlap" or "link"')


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
Join = Annotated[
    bool | JoinName,
    PlainValidator(_join),
    WithJsonSchema({"enum": [True, False, "overlap", "link"]}),
]
UnitId = Annotated[str, AfterValidator(_unit_id)]
Kind = Annotated[
    str, AfterValidator(known_kind), WithJsonSchema({"type": "string", "enum": list(KINDS)})
]
Mouth = Annotated[Annotated[Name, Tag("@mouth")] | Annotated[XY, Tag("@point")], _text_or("@point")]
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


def _via_form(value: object) -> str | None:
    if not isinstance(value, tuple):
        return None
    if not value:
        return None
    return "@several" if isinstance(value[0], tuple) else "@point"


Via = Annotated[
    Annotated[XY, Tag("@point")]
    | Annotated[
        tuple[XY, ...], Field(max_length=8, json_schema_extra={"minItems": 1}), Tag("@several")
    ],
    Discriminator(
        _via_form,
        custom_error_type="plain",
        custom_error_message="must be a point, [x, y], or several, [[x, y], [x, y]]",
    ),
]


class TailKeys(Written):
    """One tail, where more is asked of it than whom it goes to."""

    to: Mouth = Field(description="The speaker's name, or the point it aims at, [x, y].")
    via: Via | None = Field(
        default=None,
        description="A point that the tail is led through on its way, or several in their order.",
    )
    shape: TailShapeName | None = Field(
        default=None,
        description="What the tail looks like. Left out: as the kind of the unit has it.",
    )

    @property
    def places(self) -> tuple[XY, ...]:
        """The points of `via`, in their order."""
        several: list[XY] = []
        for place in self.via or ():
            if not isinstance(place, tuple):
                x, y = self.via  # type: ignore[misc]
                return ((x, y),)  # type: ignore[return-value]
            several.append(place)
        return tuple(several)


Tail = Annotated[
    Annotated[Name, Tag("@mouth")]
    | Annotated[XY, Tag("@point")]
    | Annotated[TailKeys, Tag("@tail")],
    _text_or("@tail"),
]


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
            'Where tails aim: speakers\' names, points, or {"to": ...} with more.'
            " Left out: the speaker's mouth. []: none."
        ),
    )
    joined: Join | None = Field(
        default=None,
        description=(
            'How it is tied to the balloon before it of the same speaker: "overlap", "link" (a'
            " narrow neck), true (as they stand) or false. Left out: tied when they are near."
        ),
    )
    cut: Annotated[tuple[SideName, ...], Field(max_length=4)] | None = Field(
        default=None,
        description=(
            "The sides on which it is cut flat on its panel's border, or on the page's edge."
            " Left out: those it stands flush with. []: none."
        ),
    )
    over: bool | None = Field(
        default=None, description="True: it may go over its panel's border, or over the gutter."
    )
    words: str | None = Field(
        default=None,
        description="The words this was planned for; 'letterer revise --write' keeps them so.",
    )
    speaker: str | None = Field(
        default=None, description="Who says these words; 'letterer revise --write' keeps it so."
    )
    earlier: str | None = Field(
        default=None,
        description="What it said before small edits; 'letterer revise --write' keeps it so.",
    )
    lines_kept: bool | None = Field(
        default=None,
        description=(
            "True: the line breaks of its 'earlier' words are kept while they are nearly the best."
            " Take it out to have the lines chosen anew."
        ),
    )
    proposed: bool | None = Field(
        default=None,
        description="True while the place is only proposed by letterer. Take it out to keep it.",
    )
    style: Look | None = Field(
        default=None, description="What differs from the house style for this unit."
    )
    read_after: Name | None = Field(
        default=None,
        description="The name of a focus on this page that the eye is to find before these words.",
    )
    effect: EffectKeys | None = Field(default=None, description="How a sound effect is drawn.")


class AcceptedKeys(Written):
    """A finding of the check that is kept as it is."""

    finding: Name = Field(description="The kind of finding, as the check names it.")
    because: Name = Field(description="Why it is kept.")
    unit: UnitId | None = Field(
        default=None,
        description="The unit it concerns: page.panel.number. Left out: all of that kind.",
        json_schema_extra={"pattern": f"^{UNIT_ID.pattern}$"},
    )


class PageKeys(Written):
    """One page of the book."""

    page: Count = Field(description="The page's number, as in the script.")
    art: ArtKeys | None = Field(default=None, description="The picture under the lettering.")
    style: Look | None = Field(
        default=None, description="What differs from the house style on this page."
    )
    panels: tuple[PanelKeys, ...] = Field(default=(), description="The panels.")
    keep_clear: tuple[ZoneKeys, ...] = Field(
        default=(), description="What lettering keeps clear of."
    )
    focus: tuple[FocusKeys, ...] = Field(default=(), description="What the eye should find.")
    placements: tuple[PlacementKeys, ...] = Field(
        default=(), description="Where units stand; units left out are listed, not drawn."
    )
    accepted: tuple[AcceptedKeys, ...] = Field(
        default=(), description="Findings of this page that are kept as they are, and why."
    )


class ParkedPanelKeys(PanelKeys):
    """A panel that the script no longer has, and the page it stood on."""

    page: Count = Field(description="The number of the page it stood on.")


class ParkedKeys(Written):
    """What a person made for words that the script no longer has. It comes back with them."""

    placements: tuple[PlacementKeys, ...] = Field(
        default=(), description="Placements of words that were cut or moved away."
    )
    panels: tuple[ParkedPanelKeys, ...] = Field(default=(), description="Panels that were cut.")
    pages: tuple[PageKeys, ...] = Field(default=(), description="Pages that were cut.")


class LayoutKeys(Written):
    """A layout: the page, the house style, and what stands where on each page.

    The origin is the top left corner of the trim; x goes right and y goes down.
    """

    schema_: str | None = Field(default=None, alias="$schema", description=SCHEMA)
    letterer: VersionOne = Field(description="The version of this file format: 1.")
    unit: UnitName = Field(description="The unit of all lengths but type sizes and line weights.")
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
    parked: ParkedKeys | None = Field(
        default=None,
        description="What was made for words that were cut; 'letterer revise' keeps it here.",
    )
    accepted: tuple[AcceptedKeys, ...] = Field(
        default=(), description="Findings of any page that are kept as they are, and why."
    )


MODELS: dict[str, type[BaseModel]] = {
    "": LayoutKeys,
    "page": PageMeasures,
    "style": Style,
    "kinds": Look,
    "speakers": Look,
    "pages": PageKeys,
    "art": ArtKeys,
    "panels": PanelKeys,
    "keep_clear": ZoneKeys,
    "focus": FocusKeys,
    "placements": PlacementKeys,
    "tails": TailKeys,
    "parked": ParkedKeys,
    "accepted": AcceptedKeys,
    **EFFECT_MODELS,
}
"""The model of the objects behind each key; the outermost one is behind ''."""
