"""Page formats: presets by name, the page's measures as a person writes them, and its boxes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Discriminator, Field, Tag

from letterer.geometry import Box
from letterer.model.json_text import Trouble
from letterer.model.plan import Measure, PageFormat, UnitName
from letterer.model.written import Distance, Length, Written

FormatName = Literal["american comic", "a4", "a5", "vertical scroll"]

SIDE_LEAST_POINTS = 18.0
"""A page narrower than a quarter of an inch is a slip of the unit."""

SIDE_MOST_POINTS = 100_000.0
"""About 35 m: more than the longest scroll."""


@dataclass(frozen=True, slots=True)
class Preset:
    """A page format by name. `height` is None when the person has to give it."""

    unit: UnitName
    width: float
    height: float | None
    bleed: float
    live: float


PRESETS: Mapping[str, Preset] = {
    # Trim, bleed and live area of an American comic: from memory, common practice.
    "american comic": Preset("in", 6.625, 10.25, bleed=0.125, live=0.25),
    # A4 and A5: ISO 216. Bleed of 3 mm and live area 7 mm inside: common practice, no source.
    "a4": Preset("mm", 210, 297, bleed=3, live=7),
    "a5": Preset("mm", 148, 210, bleed=3, live=7),
    # Vertical scroll, 800 px wide: from memory. No bleed, since nothing is cut; words stay 40 px
    # off the sides of the screen: common practice, no source.
    "vertical scroll": Preset("px", 800, None, bleed=0, live=40),
}


def _inset_form(value: object) -> str:
    return "@four" if isinstance(value, tuple) else "@one"


Inset = Annotated[
    Annotated[Distance, Tag("@one")]
    | Annotated[tuple[Distance, Distance, Distance, Distance], Tag("@four")],
    Discriminator(_inset_form),
]


class PageMeasures(Written):
    """The measures of every page: a format by name, own measures, or both; own ones count."""

    format: FormatName | None = Field(default=None, description="A page format by its name.")
    trim: tuple[Length, Length] | None = Field(
        default=None, description="The page after cutting, [width, height]."
    )
    height: Length | None = Field(
        default=None, description="The height of a page of the format 'vertical scroll'."
    )
    bleed: Distance | None = Field(
        default=None, description="How far the art runs on beyond the trim, on every side."
    )
    live: Inset | None = Field(
        default=None,
        description=(
            "How far inside the trim words have to stay: one number for all sides, or"
            " [left, top, right, bottom]."
        ),
    )


def page_format(page: PageMeasures, measure: Measure) -> tuple[PageFormat | None, list[Trouble]]:
    """The boxes of a page, in points, or what keeps them from being made.

    >>> page_format(PageMeasures(format="a4"), Measure("pt"))[0].trim.width
    595.2755905511812
    """
    troubles = list(_troubles(page, measure))
    if troubles:
        return None, troubles
    preset = PRESETS[page.format] if page.format else Preset("pt", 0, 0, 0, 0)
    own = Measure(preset.unit, measure.dpi)
    if page.trim is not None:
        width, height = measure.points(page.trim[0]), measure.points(page.trim[1])
    elif page.height is not None:
        width, height = own.points(preset.width), measure.points(page.height)
    else:
        width, height = own.points(preset.width), own.points(preset.height or 0.0)
    bleed = own.points(preset.bleed) if page.bleed is None else measure.points(page.bleed)
    live = page.live
    if live is None:
        left = top = right = bottom = own.points(preset.live)
    elif isinstance(live, tuple):
        left, top, right, bottom = (measure.points(side) for side in live)
    else:
        left = top = right = bottom = measure.points(live)
    trim = Box(0.0, 0.0, width, height)
    inner = Box(left, top, width - right, height - bottom)
    made = PageFormat(trim, trim.grown(bleed), inner)
    misfits = _misfits(page, made)
    return (None if misfits else made), misfits


def _troubles(page: PageMeasures, measure: Measure) -> list[Trouble]:
    at = ("page",)
    if page.format is None and page.trim is None:
        return [
            Trouble(
                at,
                "'page' gives no measures",
                'Add a format, "format": "a4", or the size after cutting, "trim": [width, height]',
            )
        ]
    found = []
    scroll = page.format == "vertical scroll"
    if scroll and page.trim is None and page.height is None:
        found.append(
            Trouble(
                at,
                "a page of the format 'vertical scroll' has no height of its own",
                "Add \"height\" to 'page'",
            )
        )
    if page.height is not None and (page.trim is not None or not scroll):
        mend = (
            "Leave it out: 'trim' gives the height already"
            if page.trim is not None
            else 'Leave it out, or give the whole size as "trim": [width, height]'
        )
        found.append(
            Trouble((*at, "height"), "{it} goes with the format 'vertical scroll' only", mend)
        )
    if scroll and measure.dpi is None:
        found.append(
            Trouble(
                (*at, "format"),
                "the format 'vertical scroll' is measured in pixels, and 'dpi' is missing",
                'Add "dpi" beside "unit", for example "dpi": 144',
            )
        )
    return found


def _misfits(page: PageMeasures, made: PageFormat) -> list[Trouble]:
    """A page too small or too large to be meant, or one that leaves words no room."""
    trim, live = made.trim, made.live
    size = ("page", "trim") if page.trim else ("page",)
    if min(trim.width, trim.height) < SIDE_LEAST_POINTS:
        return [Trouble(size, "this page is less than a quarter of an inch wide or high", _UNIT)]
    if max(trim.width, trim.height) > SIDE_MOST_POINTS:
        return [Trouble(size, "this page is more than 30 metres wide or high", _UNIT)]
    if live.width <= 0 or live.height <= 0:
        return [
            Trouble(
                ("page", "live"),
                "the live area has no room left: 'live' takes away more than the page has",
                "Give smaller numbers: they say how far inside the trim words have to stay",
            )
        ]
    if -made.bleed.left > min(trim.width, trim.height) / 2:
        return [Trouble(("page", "bleed"), "the bleed is larger than half the page", _UNIT)]
    return []


_UNIT = "Check 'unit' and the numbers"
