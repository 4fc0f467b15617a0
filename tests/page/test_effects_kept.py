"""Looks of a sound effect on a sheet of choices, and keeping one: the layout loses nothing."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from letterer.api import read_layout
from letterer.trying import Trial, keep_choice, try_units

SCRIPT = "PAGE 1\n\nPANEL 1\nA pier.\n\nSFX: Krakoom\n"
PLAIN = '{"unit": "1.1.1",  "box": [40, 40, 240, 90]}'
SAID = '{"unit": "1.1.1",  "box": [40, 40, 240, 90], "effect": {"arc": 20.0,  "halo": 1.50}}'
LAYOUT = """{
  "letterer": 1, "unit": "pt", "note": "kept as it is",
  "page": {"trim": [400, 300], "bleed": 0, "live": 0},
  "pages": [{"page": 1, "panels": [{"panel": 1, "box": [10, 10, 380, 280]}],
    "placements": [
      %s
    ]}]
}
"""


@pytest.mark.parametrize("placed", [PLAIN, SAID], ids=["nothing said", "an arc"])
def test_every_look_is_kept_as_shown_and_undone_to_the_byte(placed: str, tmp_path: Path) -> None:
    script, layout, sheet = tmp_path / "s.txt", tmp_path / "l.json", tmp_path / "try.svg"
    script.write_text(SCRIPT, encoding="utf-8")
    before = LAYOUT.replace("%s", placed)
    layout.write_text(before, encoding="utf-8")
    trial = Trial(("1.1.1",))
    drawn = try_units(script, layout, sheet, trial)
    assert len(drawn.choices) >= 8
    looks = [json.dumps(choice.keys.get("effect")) for choice in drawn.choices]
    assert len(set(looks)) == len(looks)
    assert any("heights 1 1.7 1" in line for label in drawn.labels for line in label)
    for choice in drawn.choices[1:4]:
        keep_choice(script, layout, sheet, [choice.number], trial)
        text = layout.read_text(encoding="utf-8")
        kept = json.loads(text)["pages"][0]["placements"][0]
        assert kept.pop("words") == "Krakoom"  # by them an edited script finds the placement
        assert kept == {"unit": "1.1.1", "box": [40, 40, 240, 90], "effect": choice.keys["effect"]}
        head, tail = before.split(placed)
        assert text.startswith(head) and text.endswith(tail)
        value = read_layout(layout).pages[0].placements[0].effect
        assert value is not None and value.written == choice.keys["effect"]
    keep_choice(script, layout, sheet, [1], trial)
    after = layout.read_text(encoding="utf-8")
    undone = re.sub(', +"words": "Krakoom"', "", after)
    assert json.loads(undone) == json.loads(before)
    if placed is PLAIN:
        assert undone == before
