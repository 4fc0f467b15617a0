"""A small page with a unit of every kind, for the tests of the writers."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from letterer.api import compose
from letterer.model.layout_reader import parse_layout
from letterer.model.script_reader import parse_script
from letterer.page.lettered import LetteredPage

SCRIPT = """\
PAGE 1
PANEL 1
NELL: The lamp is out.
TOM (whisper): Sssh.
CAPTION (place): Low Harbour.
TOM: We're here!
SFX: Krrang!
NELL (open): Wait for me, Tom & Co. <now>!
"""

LAYOUT = {
    "letterer": 1,
    "unit": "pt",
    "page": {"trim": [300, 300], "bleed": 9, "live": 18},
    "pages": [
        {
            "page": 1,
            "panels": [
                {
                    "panel": 1,
                    "box": [18, 18, 264, 264],
                    "mouths": {"NELL": [70, 140], "TOM": [220, 140]},
                }
            ],
            "placements": [
                {"unit": "1.1.1", "center": [80, 70]},
                {"unit": "1.1.2", "center": [230, 80]},
                {"unit": "1.1.3", "corner": "top right"},
                {"unit": "1.1.4", "center": [150, 185], "tails": ["NELL", [200, 250]]},
                {"unit": "1.1.5", "box": [-9, 220, 160, 60]},
                {"unit": "1.1.6", "center": [230, 230], "lines": 2},
            ],
        }
    ],
}


@pytest.fixture(scope="session")
def letter_page() -> Callable[..., LetteredPage]:
    """A function: the first page of a script and a layout given as text and plain values."""

    def made(script: str = SCRIPT, layout: dict[str, object] = LAYOUT) -> LetteredPage:
        return compose(parse_script(script), parse_layout(json.dumps(layout))).pages[0]

    return made


@pytest.fixture(scope="session")
def lettered(letter_page: Callable[..., LetteredPage]) -> LetteredPage:
    """The page with a unit of every kind."""
    return letter_page()
