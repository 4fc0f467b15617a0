"""The page for pointing: a book's pages in a browser, where mouths, faces, what the eye should find
and the middles of balloons are shown with a pointer, by touch or by keyboard.

Everything is in the one file: nothing is fetched, nothing is sent. What was shown is saved as a
small JSON file, which goes into the layout afterwards.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from html import escape

from letterer.geometry import Path, Point
from letterer.model.plan import PagePlan
from letterer.out.pointing_look import LOOK, SCRIPT
from letterer.out.proof_drawing import lettering
from letterer.out.svg import path_data
from letterer.page.lettered import LetteredPage, PlacedUnit


@dataclass(frozen=True, slots=True)
class Shown:
    """One unit on the page for pointing: what it says, as drawn (None: in no panel yet), and
    whether it has a place already."""

    id: str
    speaker: str
    words: str
    drawn: PlacedUnit | None
    placed: bool


@dataclass(frozen=True, slots=True)
class PointingPage:
    """One page: its plan, its lettering, its art as a data URI or nothing, its units, and the
    mouths that its speakers need, by panel."""

    plan: PagePlan
    page: LetteredPage
    art: str
    units: tuple[Shown, ...]
    mouths: Mapping[int, Sequence[str]]


def pointing_html(title: str, layout: str, take: str, pages: Sequence[PointingPage]) -> str:
    """The whole page. `layout` is the fingerprint of the layout it was drawn for, `take` what to
    type in the end."""
    data = {"layout": layout, "pages": [_data(page) for page in pages]}
    # In a script element only "</" and "<!--" could end or confuse it.
    told = json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")
    numbers = "".join(
        f'<option value="{at}">Page {page.plan.number}</option>' for at, page in enumerate(pages)
    )
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Points of {escape(title)}</title><style>{LOOK}</style></head>\n<body>"
        f"<header><h1>Show where things are: <span>{escape(title)}</span></h1>"
        f'<label>Page <select id="page">{numbers}</select></label>'
        '<button id="undo" disabled>Undo</button><button id="save">Save the points</button>'
        f'<p id="next" hidden>Then type: <code>{escape(take)}</code></p></header>'
        '<main><section id="hold"><svg id="sheet" tabindex="0" role="application"'
        ' aria-label="The page. Choose what to show in the list, then point; or move the cross with'
        ' the arrow keys and press Enter."></svg></section>'
        '<aside><p id="say" role="status"></p><div id="list"></div></aside></main>'
        f'<script type="application/json" id="data">{told}</script>'
        f"<script>{SCRIPT}</script></body></html>\n"
    )


def _data(page: PointingPage) -> dict[str, object]:
    plan, box = page.plan, page.page.format.bleed
    return {
        "page": plan.number,
        "box": _rounded((box.left, box.top, box.width, box.height)),
        "art": page.art,
        "panels": [
            {
                "panel": panel.number,
                "d": path_data(panel.shape),
                "at": _rounded(_first_corner(panel.shape)),
                "mouths": {name: _rounded(at) for name, at in panel.mouths.items()},
                "wanted": list(page.mouths.get(panel.number, ())),
            }
            for panel in plan.panels
        ],
        "outlines": sorted({panel.number for panel in plan.panels} | set(page.mouths)),
        "keep_clear": [
            {"name": zone.name, "d": path_data(zone.shape), "box": _rounded(zone.box)}
            for zone in plan.keep_clear
        ],
        "focus": [{"name": one.name, "at": _rounded(one.at)} for one in plan.focus],
        "units": [_unit(shown, page.page) for shown in page.units],
    }


def _first_corner(shape: Path) -> Point:
    """The corner at the top left, where a panel's number stands."""
    return min((at for _, points in shape.segments for at in points), key=lambda at: at.x + at.y)


def _unit(shown: Shown, page: LetteredPage) -> dict[str, object]:
    drawn, svg, at = shown.drawn, "", None
    if drawn is not None:
        middle = drawn.center
        svg = lettering(replace(page, units=(drawn.shifted(-middle.x, -middle.y),)))
        at = _rounded(middle) if shown.placed else None
    return {
        "unit": shown.id,
        "speaker": shown.speaker,
        "words": shown.words,
        "at": at,
        "svg": svg,
    }


def _rounded(values: Iterable[float] | Point) -> list[float]:
    return [round(value, 2) for value in values]
