"""One page to letter, written in a few words."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import pytest

from letterer.geometry import Box, Path, Point, rectangle
from letterer.model.plan import (
    Layout,
    Measure,
    PageFormat,
    PagePlan,
    PanelPlan,
    Placement,
    Reading,
)
from letterer.model.script import CaptionKind, Manner, Page, Panel, Role, Run, Unit
from letterer.model.style import Style
from letterer.page.compose import compose_page
from letterer.page.lettered import LetteredPage
from letterer.text.faces import FaceLibrary

TRIM, BLEED, LIVE = Box(0, 0, 477, 738), Box(-9, -9, 486, 747), Box(18, 18, 459, 720)
PANEL = Box(30, 40, 430, 400)


@pytest.fixture(scope="session")
def faces() -> FaceLibrary:
    """The bundled faces."""
    return FaceLibrary()


@pytest.fixture(scope="session")
def unit() -> Callable[..., Unit]:
    """A function: one unit of panel 1 on page 1."""

    def make(
        number: int,
        words: str,
        role: Role = Role.SPEECH,
        manners: Sequence[Manner] = (),
        caption: CaptionKind | None = None,
    ) -> Unit:
        speaker = "Ada" if role is Role.SPEECH else ""
        return Unit(1, 1, number, role, (Run(words),), speaker, tuple(manners), caption)

    return make


@pytest.fixture(scope="session")
def layout() -> Callable[..., Layout]:
    """A function: a layout of one page with one panel."""

    def make(
        placements: Sequence[Placement] = (),
        shape: Path | None = None,
        mouths: Mapping[str, Point] | None = None,
        reading: Reading = Reading.LEFT_TO_RIGHT,
        **style: object,
    ) -> Layout:
        outline = shape or rectangle(PANEL)
        box = outline.box()
        assert box is not None
        plan = PagePlan(
            1,
            panels=(PanelPlan(1, outline, box, dict(mouths or {})),),
            placements=tuple(placements),
        )
        page_format = PageFormat(TRIM, BLEED, LIVE)
        changed = Style().with_changes(style)
        return Layout(page_format, Measure("in"), reading, "en", changed, (plan,))

    return make


@pytest.fixture(scope="session")
def lettered(faces: FaceLibrary) -> Callable[[Sequence[Unit], Layout], LetteredPage]:
    """A function: the page with these units by that layout."""

    def compose(units: Sequence[Unit], plan: Layout) -> LetteredPage:
        return compose_page(Page(1, (Panel(1, tuple(units)),)), plan, faces)

    return compose
