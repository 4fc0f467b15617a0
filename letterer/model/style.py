"""The house style: how a book's lettering looks. A layout names one and may change any part of it.

Type sizes and line weights are in points on the printed page; other measures are shares, or *caps*
(cap height of the text face) as named.
"""

from __future__ import annotations

import pathlib
from collections.abc import Mapping
from typing import Annotated

from pydantic import AfterValidator, Field, ValidationError
from pydantic_core import PydanticKnownError

from letterer import craft
from letterer.errors import Fault, LettererError, nearest
from letterer.model.json_reader import read_json, read_json_file
from letterer.model.json_text import Document, Plain, Trouble
from letterer.model.look import Look
from letterer.model.plain_faults import as_faults, plain_troubles
from letterer.model.script import CaptionKind, Manner, Role
from letterer.model.written import SCHEMA, Name, VersionOne, plain_error
from letterer.resources import shared_folder

VERSION = 1
"""The version of the style file that this program reads."""

USUAL_STYLE = "plain hand"

KINDS = (
    Role.SPEECH.value,
    *(manner.value for manner in Manner if manner.is_a_kind),
    Role.CAPTION.value,
    *(f"{Role.CAPTION.value} {kind.value}" for kind in CaptionKind),
    Role.EFFECT.value,
)
"""What a unit may look like, whatever the script says."""


def known_kind(text: str) -> str:
    """A kind as it was written, if it is one."""
    if text not in KINDS:
        raise PydanticKnownError("literal_error", {"expected": ", ".join(KINDS)})
    return text


def _kinds_known(looks: dict[str, Look]) -> dict[str, Look]:
    for kind in looks:
        if kind not in KINDS:
            near = nearest(kind, KINDS)
            hint = f"; did you mean '{near}'?" if near else f": {', '.join(KINDS)}"
            raise plain_error(f"names '{kind}', which is no kind of unit{hint}")
    return looks


KindLooks = Annotated[dict[str, Look], AfterValidator(_kinds_known)]
SpeakerLooks = dict[Name, Look]


class Style(Look):
    """A house style. What a style file or a layout leaves out stays as in 'plain hand'."""

    schema_: str | None = Field(default=None, alias="$schema", description=SCHEMA)
    letterer: VersionOne = Field(default=1, description="The version of this file format: 1.")
    name: Name = Field(default=USUAL_STYLE, description="The name a layout calls this style by.")
    kinds: KindLooks = Field(
        default_factory=dict,
        description='What differs for a kind of unit: {"caption": {...}, "broadcast": {...}}.',
    )
    speakers: SpeakerLooks = Field(
        default_factory=dict,
        description='What differs for a speaker: {"WREN": {"paper": "#fff4d6"}}.',
    )

    def __hash__(self) -> int:
        """By its text: what differs for kinds and speakers stands in mappings."""
        return hash(self.model_dump_json())

    def look_of(self, kind: str, speaker: str = "") -> Style:
        """This style with what differs for a kind of unit, such as "caption place", and a speaker.

        A kind of caption takes what differs for captions, then its own; then its speaker's.
        """
        steps = [self.kinds.get(kind.split()[0]), self.kinds.get(kind) if " " in kind else None]
        folded = speaker.casefold()
        steps += [look for name, look in self.speakers.items() if name.casefold() == folded]
        changed = self
        for look in steps:
            if look is not None:
                changed = changed.changed(look)
        return changed

    def changed(self, look: Look) -> Style:
        """This style with the parts that a look gives; the style itself where it gives none."""
        given = {name: getattr(look, name) for name in look.model_fields_set if name != "note"}
        return self.model_copy(update=given) if given else self

    def spaced(self) -> Style:
        """This style with letters and words wider apart, for kinds and speakers too; what is set
        wider already stays.

        >>> Style().spaced().spacing
        0.12
        """

        def wider(look: Look) -> Look:
            if "spacing" not in look.model_fields_set:
                return look
            return look.model_copy(update={"spacing": max(look.spacing, craft.SPACED_EM)})

        return self.model_copy(
            update={
                "spacing": max(self.spacing, craft.SPACED_EM),
                "kinds": {kind: wider(look) for kind, look in self.kinds.items()},
                "speakers": {name: wider(look) for name, look in self.speakers.items()},
            }
        )

    def with_changes(self, changes: Mapping[str, object]) -> Style:
        """This style with some parts changed. Raises LettererError.

        >>> Style().with_changes({"size": 8}).size
        8.0
        """
        kept = self.model_dump(by_alias=True, exclude_unset=True)
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
        models = {"": Style, "style": Style, "kinds": Look, "speakers": Look}
        return None, plain_troubles(error, models, loc)
    return style, size_troubles(style, loc)


def size_troubles(style: Style, loc: tuple[str | int, ...] = ()) -> list[Trouble]:
    """The rule between two sizes of a style."""
    looks: list[tuple[Style, tuple[str, ...]]] = [(style, ())]
    for key, named in (("kinds", style.kinds), ("speakers", style.speakers)):
        for name, look in named.items():
            if look.model_fields_set & {"size", "smallest_size"}:
                looks.append((style.changed(look), (key, name)))
    mend = "Make 'size' larger or 'smallest_size' smaller"
    return [
        Trouble(
            (*loc, *inner, "size"),
            f"'size' ({one.size:g}) is below 'smallest_size' ({one.smallest_size:g})",
            mend,
        )
        for one, inner in looks
        if one.smallest_size > one.size
    ]


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
