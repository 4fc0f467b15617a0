"""The demo's art: it can be drawn again, is fit for print, and its plan fits what is drawn."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from letterer.model.layout_reader import read_layout
from letterer.model.script import Role
from letterer.model.script_reader import read_script

DEMO = Path(__file__).resolve().parent.parent / "shared" / "demo"
PAGES = (1, 2, 3)

# Page measures of the demo, inches. From memory: the American comic page, see the demo's layout.
TRIM_WIDTH, TRIM_HEIGHT, BLEED, LIVE = 6.625, 10.25, 0.125, 0.25

# 300 dots an inch as whole dots a metre, the unit of the pHYs chunk (PNG Third Edition, W3C 2025,
# section 11.3.4.3): 300 / 0.0254 = 11811.02.
DOTS_A_METRE = 11811


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A folder with the pages drawn again, and what the drawing program printed."""
    folder = tmp_path_factory.mktemp("art")
    done = subprocess.run(
        [sys.executable, str(DEMO / "draw_art.py"), str(folder)],
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    return folder, done.stdout


@pytest.fixture(scope="module")
def plan() -> dict[str, Any]:
    """The layout, as plain JSON."""
    loaded: dict[str, Any] = json.loads((DEMO / "layout.json").read_text(encoding="utf-8"))
    return loaded


def _pixels(path: Path) -> NDArray[np.int16]:
    with Image.open(path) as picture:
        return np.asarray(picture, dtype=np.int16)


def _outline(thing: dict[str, Any]) -> Polygon:
    if "polygon" in thing:
        return Polygon(thing["polygon"])
    left, top, width, height = thing["box"]
    return box(left, top, left + width, top + height)


@pytest.mark.parametrize("number", PAGES)
def test_drawing_again_gives_the_committed_page(drawn: tuple[Path, str], number: int) -> None:
    """Other machines may round the edges of a line differently: by 2 tones, on few pixels."""
    again = _pixels(drawn[0] / f"page-{number}.png")
    kept = _pixels(DEMO / "art" / f"page-{number}.png")
    assert again.shape == kept.shape
    apart = np.abs(again - kept)
    assert int(apart.max()) <= 2
    assert float((apart > 0).mean()) < 0.001


@pytest.mark.parametrize("number", PAGES)
def test_page_is_grey_at_print_size(number: int) -> None:
    path = DEMO / "art" / f"page-{number}.png"
    data = path.read_bytes()
    width, height = np.frombuffer(data[16:24], dtype=">u4").tolist()
    assert width == round((TRIM_WIDTH + 2 * BLEED) * 300)
    assert height == round((TRIM_HEIGHT + 2 * BLEED) * 300)
    assert (data[24], data[25]) == (8, 0), "8 bits, greyscale (PNG Third Edition, 11.2.1)"
    at = data.index(b"pHYs") + 4
    across, down = np.frombuffer(data[at : at + 8], dtype=">u4").tolist()
    assert (across, down, data[at + 8]) == (DOTS_A_METRE, DOTS_A_METRE, 1)
    assert len(data) < 700_000


@pytest.mark.parametrize("number", PAGES)
def test_borders_and_gutters_are_clean(plan: dict[str, Any], number: int) -> None:
    """Ink on the border of every panel; nothing but paper in the gutters and the margin."""
    page = _pixels(DEMO / "art" / f"page-{number}.png")
    panels = [_outline(panel) for panel in plan["pages"][number - 1]["panels"]]
    # A border is 1.75 points wide, so 0.02 in from its middle is paper again.
    paper: BaseGeometry = box(-BLEED, -BLEED, TRIM_WIDTH + BLEED, TRIM_HEIGHT + BLEED)
    for panel in panels:
        paper = paper.difference(panel.buffer(0.02, join_style="mitre"))
    step = 0.05
    seen = 0
    for row in range(int((TRIM_HEIGHT + 2 * BLEED) / step)):
        for column in range(int((TRIM_WIDTH + 2 * BLEED) / step)):
            x, y = (column + 0.5) * step - BLEED, (row + 0.5) * step - BLEED
            if paper.contains(Spot(x, y)):
                seen += 1
                assert page[int((y + BLEED) * 300), int((x + BLEED) * 300)] == 255, (x, y)
    assert seen > 200
    inside = box(0.1, 0.1, TRIM_WIDTH - 0.1, TRIM_HEIGHT - 0.1)
    for panel in panels:
        edge = panel.exterior
        for k in range(100):
            spot = edge.interpolate((k + 0.5) / 100, normalized=True)
            if inside.contains(spot):
                row, column = int((spot.y + BLEED) * 300), int((spot.x + BLEED) * 300)
                near = page[row - 1 : row + 2, column - 1 : column + 2]
                assert int(near.min()) < 20, (spot.x, spot.y)


def test_mouths_of_the_plan_are_the_mouths_drawn(
    drawn: tuple[Path, str], plan: dict[str, Any]
) -> None:
    mouths = {
        (page["page"], panel["panel"], name): at
        for page in plan["pages"]
        for panel in page["panels"]
        for name, at in panel.get("mouths", {}).items()
    }
    told = re.findall(r"page \d+ +(\d+)\.(\d+) ([A-Z]+) +(\S+) +(\S+)", drawn[1])
    shown = {(int(a), int(b), name): (float(x), float(y)) for a, b, name, x, y in told}
    assert set(mouths) == set(shown)
    for key, (x, y) in shown.items():
        assert mouths[key] == pytest.approx([x, y], abs=0.02), key


def test_every_unit_is_placed_once_and_the_readers_have_no_remarks(plan: dict[str, Any]) -> None:
    script = read_script(DEMO / "script.txt")
    placed = [p["unit"] for page in plan["pages"] for p in page["placements"]]
    assert placed == [unit.id for unit in script.units]
    assert not read_layout(DEMO / "layout.json").remarks
    assert {unit.role for unit in script.units} == set(Role)


def test_planned_places_lie_in_the_live_area_in_their_panel_and_off_the_faces(
    plan: dict[str, Any],
) -> None:
    live = box(LIVE, LIVE, TRIM_WIDTH - LIVE, TRIM_HEIGHT - LIVE)
    for page in plan["pages"]:
        panels = {panel["panel"]: _outline(panel) for panel in page["panels"]}
        zones = {zone["name"]: _outline(zone) for zone in page["keep_clear"]}
        for placement in page["placements"]:
            panel = panels[int(placement["unit"].split(".")[1])]
            if "box" in placement:
                room = _outline(placement)
            elif "center" in placement:
                # Room for the heart of a balloon at least: 0.5 by 0.3 in.
                x, y = placement["center"]
                room = box(x - 0.25, y - 0.15, x + 0.25, y + 0.15)
            else:
                continue
            assert live.contains(room), placement
            assert panel.contains(room), placement
            for name, zone in zones.items():
                assert not zone.intersects(room), (placement, name)
