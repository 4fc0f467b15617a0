"""Small pages, lettered and looked over."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from typing import Any

import pytest

from letterer.api import compose
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Layout
from letterer.model.script_reader import parse_script
from letterer.page.lettered import LetteredPage
from letterer.review.finding import Noticed
from letterer.review.pages import Reviewed, review


def whole(
    placements: Sequence[dict[str, Any]], page: dict[str, Any], keys: dict[str, Any]
) -> dict[str, Any]:
    """A layout in points of one page, 400 by 400, with one panel in which two people speak."""
    panel = {
        "panel": 1,
        "box": [20, 20, 360, 360],
        "mouths": {"NELL": [100, 190], "TOM": [300, 190]},
    }
    return {
        "letterer": 1,
        "unit": "pt",
        "page": {"trim": [400, 400], "bleed": 9, "live": 18},
        "pages": [{"page": 1, "panels": [panel], "placements": list(placements), **page}],
        **keys,
    }


@pytest.fixture(scope="session")
def letter() -> Callable[..., tuple[LetteredPage, Layout]]:
    """A function: lines of panel 1 (or a whole script), placements, keys of the page and of the
    layout; gives the lettered page and its layout."""

    def made(
        lines: str, *placements: dict[str, Any], page: dict[str, Any] | None = None, **keys: Any
    ) -> tuple[LetteredPage, Layout]:
        text = lines if lines.startswith("PAGE") else f"PAGE 1\nPANEL 1\n{lines}\n"
        layout = parse_layout(json.dumps(whole(placements, page or {}, keys)))
        return compose(parse_script(text), layout).pages[0], layout

    return made


@pytest.fixture(scope="session")
def looked() -> Callable[..., Reviewed]:
    """A function: the same as `letter`, looked over."""

    def made(
        lines: str, *placements: dict[str, Any], page: dict[str, Any] | None = None, **keys: Any
    ) -> Reviewed:
        text = lines if lines.startswith("PAGE") else f"PAGE 1\nPANEL 1\n{lines}\n"
        layout = parse_layout(json.dumps(whole(placements, page or {}, keys)))
        composed = compose(parse_script(text), layout)
        return review(composed.pages, composed.findings, layout)

    return made


@pytest.fixture(scope="session")
def kinds(looked: Callable[..., Reviewed]) -> Callable[..., list[str]]:
    """A function: the same, as the kinds of findings with the units they concern."""

    def told(one: Noticed) -> str:
        return f"{one.finding.kind} {one.finding.unit}".strip()

    def found(*given: Any, **keys: Any) -> list[str]:
        return sorted(told(one) for one in looked(*given, **keys).every)

    return found
