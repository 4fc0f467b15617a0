"""Ghosts of unplaced words in panels with a slanted gutter between them."""

from __future__ import annotations

import json
from dataclasses import replace

from letterer.geometry import holds
from letterer.model.layout_reader import parse_layout
from letterer.model.script_reader import parse_script
from letterer.page.compose import compose_page
from letterer.place.room import ghost_plan
from letterer.text.faces import library

SCRIPT = """PAGE 1

PANEL 1
ADA: Three boats out, and only two of the lamps are lit tonight.
BO: Then somebody is asleep.

PANEL 2
ADA: Somebody always is.
BO: Count them again, and slowly, and say the numbers out loud.
"""
PANELS = [
    {"panel": 1, "polygon": [[20, 20], [250, 20], [200, 300], [20, 300]]},
    {"panel": 2, "polygon": [[258, 20], [440, 20], [440, 300], [208, 300]]},
]


def test_ghosts_do_not_cross_a_slanted_gutter() -> None:
    page = {"page": 1, "panels": PANELS, "placements": []}
    whole = {"letterer": 1, "unit": "pt", "page": {"trim": [460, 320], "bleed": 0, "live": 10}}
    layout = parse_layout(json.dumps({**whole, "pages": [page]}))
    script = parse_script(SCRIPT)
    faces = library()
    source, plan = script.page(1), layout.page(1)
    assert source is not None and plan is not None
    ghosts = ghost_plan(source, plan, layout, faces)
    made = compose_page(source, replace(layout, pages=(ghosts,)), faces)
    assert len(made.units) == 4
    for unit in made.units:
        panel = plan.panel(unit.panel)
        assert panel is not None and unit.own is not None
        frame = panel.shape.flattened()[0]
        assert all(holds(frame, at) for line in unit.own.flattened(1.0) for at in line)
