"""Numbers stand off the words; lettering in coarse steps is where the fine one is."""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from letterer.api import compose, read_layout, read_script
from letterer.geometry import Box
from letterer.out.proof import picture_data, picture_strips
from letterer.out.proof_drawing import MARK, STEPS, badges, lettering, marked, numbers
from letterer.page.lettered import Finding, LetteredPage, Severity
from letterer.review.finding import Noticed


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
    begun = [at for data in re.findall(r' d="([^"]*)"', lettering(page)) for at in begins(data)]
    meant = [
        points[0]
        for unit in page.units
        for path in ([unit.clip] if unit.clip else []) + [one.path for one in unit.layers()]
        for verb, points in path.segments
        if verb == "M"
    ]
    assert len(begun) == len(meant) > 100
    for drawn, point in zip(begun, meant, strict=True):
        # The place of a letter is rounded, and its outline.
        assert drawn == pytest.approx((point.x * STEPS, point.y * STEPS), abs=1)


def begins(data: str) -> Iterator[tuple[int, int]]:
    """Where each contour of path data in whole steps begins."""
    here = start = (0, 0)
    for verb, told in re.findall("([MmhvlqczZ])([^A-Za-z]*)", data):
        values = [int(value) for value in re.findall(r"-?\d+", told)]
        if verb in "hv":
            values = [values[0], 0] if verb == "h" else [0, values[0]]
        if verb == "z":
            here = start
        elif verb == "M":
            here = start = (values[0], values[1])
        else:
            here = (here[0] + values[-2], here[1] + values[-1])
            start = here if verb == "m" else start
        if verb in "Mm":
            yield here


def test_the_picture_of_a_long_page_is_in_strips() -> None:
    """WebP holds 16,383 pixels a side (its container specification)."""
    art = Image.new("RGB", (8, 400), "red")
    strip = Box(0, 0, 80, 30_000)
    made = picture_strips(art, strip, strip, (110, 60))
    assert len(made) == 3
    sizes = [Image.open(io.BytesIO(base64.b64decode(one.split(",")[1]))).size for one in made]
    assert len(set(sizes)) == 1 and sizes[0][1] * 3 == pytest.approx(30_000 / 72 * 110, abs=3)
    assert len(picture_strips(art, strip, Box(0, 0, 80, 400), (110, 60))) == 1
    whole = base64.b64decode(picture_data(art, strip, strip, (110, 60)).split(",")[1])
    assert Image.open(io.BytesIO(whole)).size[1] <= 16_383


def test_signs_stand_off_numbers_and_off_one_another(page: LetteredPage) -> None:
    named = [box for box, _ in badges(page)]
    found = [
        (at, Noticed(Finding(Severity.WARNING, "made up", "is wrong", page=2), unit.box))
        for at, unit in enumerate(page.units * 2, 1)
    ]
    bleed = page.format.bleed
    signs = [
        Box(one.place.x - MARK, one.place.y - MARK, one.place.x + MARK, one.place.y + MARK)
        for one in marked(found, bleed, named)
    ]
    assert len(signs) == 2 * len(page.units)
    for at, sign in enumerate(signs):
        assert not any(sign.meets(box) for box in [*named, *signs[:at]])
