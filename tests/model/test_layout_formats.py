"""Page formats and units, against published measures where there are some."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.geometry import Box
from letterer.model.formats import PRESETS, FormatName, PageMeasures, page_format
from letterer.model.plan import Measure, PageFormat, UnitName


def made(page: PageMeasures, measure: Measure) -> PageFormat:
    """The boxes of a page that has no faults."""
    boxes, troubles = page_format(page, measure)
    assert troubles == []
    assert boxes is not None
    return boxes


# ISO 216: A4 is 210 x 297 mm, A5 is 148 x 210 mm; one inch is 25.4 mm and 72 points.
@pytest.mark.parametrize(
    ("name", "width", "height"), [("a4", 595.276, 841.890), ("a5", 419.528, 595.276)]
)
def test_iso_216(name: FormatName, width: float, height: float) -> None:
    trim = made(PageMeasures(format=name), Measure("in")).trim
    assert (round(trim.width, 3), round(trim.height, 3)) == (width, height)


def test_american_comic() -> None:
    # Trim 6.625 x 10.25 in, bleed 0.125 in, live area 0.25 in inside: from memory.
    boxes = made(PageMeasures(format="american comic"), Measure("mm"))
    assert boxes.trim == Box(0, 0, 477, 738)
    assert boxes.bleed == Box(-9, -9, 486, 747)
    assert boxes.live == Box(18, 18, 459, 720)


def test_vertical_scroll_is_800_pixels_wide() -> None:
    # 800 px wide: from memory.
    boxes = made(PageMeasures(format="vertical scroll", height=12000), Measure("px", 144))
    assert boxes.trim == Box(0, 0, 400, 6000)
    assert boxes.bleed == boxes.trim
    in_inches = made(PageMeasures(format="vertical scroll", height=100), Measure("in", 144))
    assert in_inches.trim == Box(0, 0, 400, 7200)


def test_own_measures_override_a_preset() -> None:
    boxes = made(
        PageMeasures(format="american comic", trim=(6, 9), bleed=0.25, live=(1, 0.5, 0.25, 0)),
        Measure("in"),
    )
    assert boxes == PageFormat(Box(0, 0, 432, 648), Box(-18, -18, 450, 666), Box(72, 36, 414, 648))
    kept = made(PageMeasures(format="american comic", trim=(6, 9)), Measure("in"))
    assert (kept.bleed.left, kept.live.left) == (-9, 18)


def test_without_a_format_there_is_no_bleed_and_all_is_live() -> None:
    boxes = made(PageMeasures(trim=(100, 200)), Measure("pt"))
    assert boxes.trim == boxes.bleed == boxes.live == Box(0, 0, 100, 200)


def test_every_named_format_has_a_preset() -> None:
    assert set(get_args(FormatName)) == set(PRESETS)


UNITS: st.SearchStrategy[UnitName] = st.sampled_from(get_args(UnitName))


@given(UNITS, st.floats(1, 10_000), st.floats(-1e5, 1e5))
def test_lengths_come_back_as_they_were_written(unit: UnitName, dpi: float, value: float) -> None:
    measure = Measure(unit, dpi)
    assert measure.written(measure.points(value)) == pytest.approx(round(value, 4), abs=1.01e-4)


def test_one_inch_in_every_unit() -> None:
    inch = {"mm": 25.4, "in": 1.0, "pt": 72.0, "px": 300.0}
    names: tuple[UnitName, ...] = get_args(UnitName)
    assert {name: Measure(name, 300).per_inch for name in names} == inch
    assert all(Measure(name, 300).points(inch[name]) == pytest.approx(72) for name in names)
    with pytest.raises(ValueError, match="px needs dpi"):
        Measure("px").points(1)


@given(UNITS, st.sampled_from(get_args(FormatName)))
def test_live_lies_in_trim_and_trim_in_bleed(unit: UnitName, name: FormatName) -> None:
    height = 500.0 if name == "vertical scroll" else None
    boxes = made(PageMeasures(format=name, height=height), Measure(unit, 100))
    assert boxes.bleed.contains(boxes.trim)
    assert boxes.trim.contains(boxes.live)
    assert boxes.live.area > 0
