"""Numbers stand off the words; lettering in coarse steps is where the fine one is."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from letterer.api import compose, read_layout, read_script
from letterer.geometry import Box
from letterer.out.proof_drawing import STEPS, lettering, numbers
from letterer.page.lettered import LetteredPage


@pytest.fixture(scope="module")
def page(repository: Path) -> LetteredPage:
    """The demo's page on which one balloon lies close above the next."""
    demo = repository / "shared" / "demo"
    made = compose(read_script(demo / "script.txt"), read_layout(demo / "layout.json"), [2])
    return made.pages[0]


def test_numbers_cover_no_words(page: LetteredPage) -> None:
    found = re.findall(
        r'<rect x="([^"]+)" y="([^"]+)" width="([^"]+)" height="([^"]+)"', numbers(page)
    )
    boxes = [Box(x, y, x + w, y + h) for x, y, w, h in (map(float, one) for one in found)]
    assert len(boxes) == len(page.units)
    for box in boxes:
        assert page.format.bleed.contains(box, 0.01)
        assert not [unit.id for unit in page.units if unit.ink.meets(box)]


def test_every_outline_begins_where_it_does_in_print(page: LetteredPage) -> None:
    text = lettering(page)
    begun = [tuple(map(int, one)) for one in re.findall(r"M(-?\d+)[ ]?(-?\d+)", text)]
    meant = [
        (round(points[0][0] * STEPS), round(points[0][1] * STEPS))
        for unit in page.units
        for path in ([unit.clip] if unit.clip else []) + [one.path for one in unit.layers()]
        for verb, points in path.segments
        if verb == "M"
    ]
    assert begun == meant and len(begun) > 100
