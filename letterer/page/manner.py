"""From what a unit is to how it is set: its kind on the page, size, face and border."""

from __future__ import annotations

from dataclasses import dataclass

from letterer.model.plan import Layout, PagePlan, Placement
from letterer.model.script import CaptionKind, Role, Unit
from letterer.model.style import Style


@dataclass(frozen=True, slots=True)
class Setting:
    """How a unit is set. `size` in points before any shrinking; `dashed` is a whisper's border;
    `framed` is false for captions that stand open in the art."""

    kind: str
    families: tuple[str, ...]
    size: float
    bold: bool = False
    italic: bool = False
    capitals: bool = True
    dashed: bool = False
    framed: bool = True

    @property
    def is_caption(self) -> bool:
        """True for the rectangle's kinds."""
        return self.kind.startswith("caption")

    @property
    def has_outline(self) -> bool:
        """False where words stand in the art with a halo only."""
        return self.framed and self.kind not in ("open", "effect")


def kind_of(unit: Unit) -> str:
    """The kind that the script asks for, as the word used in layouts and in SVG classes."""
    if unit.role is Role.EFFECT:
        return "effect"
    if unit.role is Role.CAPTION:
        return f"caption {(unit.caption or CaptionKind.NARRATION).value}"
    return next((manner.value for manner in unit.manners if manner.is_a_kind), "speech")


def style_of(
    unit: Unit, layout: Layout, plan: PagePlan | None = None, placement: Placement | None = None
) -> Style:
    """The house style with what differs for the page, the kind, the speaker and the unit."""
    style, kind = layout.style, (placement and placement.kind) or kind_of(unit)
    if plan is not None and plan.style is not None:
        style = style.changed(plan.style)
    style = style.look_of(kind, unit.speaker)
    own = placement.style if placement else None
    return style.changed(own) if own is not None else style


def setting_of(unit: Unit, style: Style, kind: str | None = None) -> Setting:
    """How the house style sets a unit; `kind` overrides what the script says."""
    kind = kind or kind_of(unit)
    if kind == "caption":
        kind = "caption narration"
    size = style.size
    if kind == "whisper":
        size *= style.whisper_size
    elif kind == "shout":
        size *= style.shout_size
    effect = kind == "effect"
    family = style.effect if effect else style.text
    return Setting(
        kind,
        (family, *style.fallback),
        size,
        bold=kind == "shout",
        italic=kind in ("caption narration", "caption thought") and style.italic_narration,
        capitals=style.capitals,
        dashed=kind == "whisper",
        framed=not (kind.startswith("caption") and style.caption_frame == "open"),
    )
