"""`letterer check` as a person runs it: what it says, how it ends, what it draws."""

from __future__ import annotations

import json
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from lxml import etree
from PIL import Image

CALM = "PAGE 1\nPANEL 1\nNELL: The lamp is out.\n\nPAGE 2\nPANEL 1\nTOM: Then light it.\n"


def page(number: int, x: float, y: float, **keys: Any) -> dict[str, Any]:
    """A page with one panel and one balloon."""
    panel = {"panel": 1, "box": [9, 9, 162, 162], "mouths": {"NELL": [60, 120], "TOM": [60, 120]}}
    placed = {"unit": f"{number}.1.1", "center": [x, y], "tails": []}
    return {"page": number, "panels": [panel], "placements": [placed], **keys}


@pytest.fixture
def calm(story: Any) -> Any:
    """Two pages without a fault."""
    story.script.write_text(CALM, "utf-8")
    story.change(pages=[page(1, 60, 50), page(2, 60, 50)])
    return story


Run = Callable[..., Any]

ZONE = {"keep_clear": [{"name": "her face", "box": [40, 30, 40, 40]}]}


def test_nothing_to_mend(calm: Any, run: Run) -> None:
    ran = run("check", calm.script, calm.layout)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out == "2 pages looked over: nothing to mend.\n"
    assert calm.made() == []


def test_a_problem(calm: Any, run: Run) -> None:
    calm.change(pages=[page(1, 60, 50, **ZONE), page(2, 60, 50)])
    ran = run("check", calm.script, calm.layout)
    assert ran.status == 4
    first, blank, head, found, *rest = ran.out.splitlines()
    assert first == "2 pages looked over: 1 problem."
    assert (blank, head) == ("", "Page 1")
    assert found.startswith("    1  problem: unit 1.1.1 (at 60, 50 pt): covers ")
    assert " of her face, which is to be kept clear. " in found
    assert rest[-1].startswith("To keep the first as it is, add to page 1 of the layout: ")
    # What it says to add is what the layout takes.
    kept = json.loads("{" + rest[-1].split(": ", 1)[1] + "}")
    calm.change(pages=[page(1, 60, 50, **ZONE, **kept), page(2, 60, 50)])
    ran = run("check", calm.script, calm.layout)
    assert (ran.status, ran.out.splitlines()[0]) == (0, "2 pages looked over: 1 accepted.")
    assert "accepted: unit 1.1.1" in ran.out
    assert ran.out.rstrip().endswith("Accepted: ...")


def test_a_warning(calm: Any, run: Run) -> None:
    small = page(1, 60, 80)
    small["placements"][0]["size"] = 5
    calm.change(pages=[small, page(2, 60, 50)])
    ran = run("check", calm.script, calm.layout)
    assert ran.status == 3
    assert "warning: unit 1.1.1" in ran.out


def test_notes_only_are_no_reason_to_stop(calm: Any, run: Run) -> None:
    idle = {"accepted": [{"finding": "long tail", "because": "so"}]}
    calm.change(pages=[page(1, 60, 50, **idle), page(2, 60, 50)])
    ran = run("check", calm.script, calm.layout)
    assert ran.status == 0
    assert "note: page 1: the layout accepts" in ran.out


def test_some_pages(calm: Any, run: Run) -> None:
    calm.change(pages=[page(1, 60, 50, **ZONE), page(2, 60, 50)])
    assert run("check", calm.script, calm.layout, "--pages", "2").status == 0
    assert run("check", calm.script, calm.layout, "--pages", "1").status == 4
    assert run("check", calm.script, calm.layout, "--pages", "7").status == 1


def test_json(calm: Any, run: Run) -> None:
    calm.change(pages=[page(1, 60, 50, **ZONE), page(2, 60, 50)], accepted=[])
    ran = run("check", calm.script, calm.layout, "--json")
    made = json.loads(ran.out)
    assert (ran.status, made["letterer check"], made["worst"]) == (4, 1, "problem")
    (found,) = made["findings"]
    assert (found["number"], found["kind"], found["unit"]) == (1, "covers", "1.1.1")
    left, top, width, height = found["at"]
    assert 40 <= left < left + width <= 80 + 1
    assert 30 <= top < top + height <= 70 + 1
    assert "accepted" not in found
    assert made["remarks"] == []


def test_pictures(calm: Any, run: Run, tmp_path: Path) -> None:
    art = calm.folder / "art.png"
    Image.new("RGB", (60, 60), (90, 160, 90)).save(art)
    under = {"art": {"file": "art.png", "covers": "bleed"}}
    calm.change(pages=[page(1, 60, 50, **ZONE, **under), page(2, 60, 50)])
    ran = run("check", calm.script, calm.layout, "--picture", "look/check.png")
    assert ran.status == 4
    made = ["look/check-001.png", "look/check-002.png"]
    assert calm.made() == ["art.png", *made]
    assert ran.out.splitlines()[-1] == f"Look at {made[0]}, {made[1]}."
    data = (calm.folder / made[0]).read_bytes()
    wide, high = struct.unpack(">II", data[16:24])
    # 198 points of page and bleed with 14 to each side, at 150 dpi.
    assert wide == round((198 + 28) * 150 / 72)
    picture = Image.open(calm.folder / made[0]).convert("RGB")
    colors = {color for _, color in picture.getcolors(1 << 20) or []}
    assert (0x9C, 0x1F, 0x3C) in colors  # the mark of a problem
    assert (90, 160, 90) in colors  # over the art
    clean = Image.open(calm.folder / made[1]).convert("RGB")
    assert (0x9C, 0x1F, 0x3C) not in {color for _, color in clean.getcolors(1 << 20) or []}
    # The same input, the same bytes.
    run("check", calm.script, calm.layout, "--picture", "look/check.png")
    assert (calm.folder / made[0]).read_bytes() == data
    assert high > wide


def test_svg_pictures_tell_what_is_marked(calm: Any, run: Run) -> None:
    calm.change(pages=[page(1, 60, 50, **ZONE), page(2, 60, 50)])
    run("check", calm.script, calm.layout, "--picture", "check.svg")
    tree = etree.parse(calm.folder / "check-001.svg")
    titles = [node.text for node in tree.iter("{http://www.w3.org/2000/svg}title")]
    assert titles[0] == "Page 1, looked over"
    assert titles.count("problem 1") == 2  # beside what it concerns, and in the list
    assert any((title or "").startswith("unit 1.1.1 (at 60, 50 pt): covers") for title in titles)
    calm_page = (calm.folder / "check-002.svg").read_text("utf-8")
    assert "Nothing to mend on this page." in calm_page


def test_pages_without_their_art_yet_are_white(calm: Any, run: Run) -> None:
    under = {"art": {"file": "art.png", "covers": "bleed"}}
    calm.change(pages=[page(1, 60, 50, **under), page(2, 60, 50)])
    ran = run("check", calm.script, calm.layout, "--picture", "check.png")
    assert ran.status == 0
    assert "there is no such art file yet, so this page is white" in ran.out


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("check.jpg", "is drawn as .png or .svg. Write --picture check.png"),
        ("art.png", "would be written over the art of page 1"),
        ("script.txt/check.png", "this is a file, and a folder is needed"),
    ],
)
def test_pictures_that_cannot_be_written(calm: Any, run: Run, name: str, told: str) -> None:
    under = {"art": {"file": "art-001.png", "covers": "bleed"}}
    calm.change(pages=[page(1, 60, 50, **under), page(2, 60, 50)])
    Image.new("L", (9, 9)).save(calm.folder / "art-001.png")
    before = (calm.folder / "art-001.png").read_bytes()
    ran = run("check", calm.script, calm.layout, "--picture", name)
    assert (ran.status, ran.out) == (1, "")
    assert told in ran.err
    assert (calm.folder / "art-001.png").read_bytes() == before
    assert calm.made() == ["art-001.png"]


def test_files_that_cannot_be_used(calm: Any, run: Run) -> None:
    calm.layout.write_text("{", "utf-8")
    calm.script.write_text("NELL: No page.", "utf-8")
    ran = run("check", calm.script, calm.layout)
    assert (ran.status, ran.out) == (1, "")
    assert "script.txt" in ran.err
    assert "layout.json" in ran.err
    assert run("check", calm.script).status == 2
    ran = run("check", calm.script, calm.layout, "--fonts", "nowhere")
    assert ran.status == 1


def test_remarks_are_told(calm: Any, run: Run) -> None:
    calm.change(pages=[page(1, 60, 50, focus=[{"name": "x", "at": [900, 9]}]), page(2, 60, 50)])
    ran = run("check", calm.script, calm.layout)
    assert ran.status == 0
    assert "look at " in ran.out
    assert "the focus 'x' stands off the page" in ran.out


def test_a_panel_off_the_page_is_told_once(calm: Any, run: Run) -> None:
    changed = page(1, 60, 50)
    changed["panels"].append({"panel": 2, "box": [900, 9, 20, 20]})
    calm.change(pages=[changed, page(2, 60, 50)])
    ran = run("check", calm.script, calm.layout)
    assert ran.status == 3
    assert ran.out.count("panel 2") == 1


def test_help_tells_the_statuses(run: Run) -> None:
    ran = run("check", "--help")
    told = " ".join(ran.out.split())
    assert "3 when there are warnings; 4 when there are problems" in told
    assert "0 when there is nothing to mend, or notes only" in told


def test_the_demo_has_no_problem(run: Run, repository: Path) -> None:
    story = repository / "shared" / "demo"
    ran = run("check", story / "script.txt", story / "layout.json", "--pages", "3")
    assert ran.status == 0
    assert ran.out.startswith("1 page looked over: nothing to mend.")
