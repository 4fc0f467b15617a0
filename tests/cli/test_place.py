"""`letterer place`: what is proposed, kept and accepted, and what is refused."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from PIL import Image

if TYPE_CHECKING:
    from tests.cli.conftest import Ran, Story

Run = Callable[..., "Ran"]
FILES = ("script.txt", "layout.json")
ART = {"file": "art.png", "covers": "trim"}


def pages(*placed: dict[str, Any], **page: Any) -> list[dict[str, Any]]:
    """A layout's pages: the first with what is placed, the others with nothing."""
    panel = {"panel": 1, "box": [9, 9, 162, 162], "mouths": {"NELL": [60, 120], "TOM": [130, 120]}}
    first = {"page": 1, "panels": [panel], "placements": list(placed), **page}
    rest = [{"page": n, "panels": [panel], "placements": []} for n in (2, 3)]
    return [first, *rest]


@pytest.fixture
def unplaced(story: Story) -> Story:
    """The story, with no unit in its place."""
    story.change(pages=pages())
    return story


def placements(story: Story, page: int = 1) -> list[dict[str, Any]]:
    """The placements of a page, as the layout file has them."""
    layout = json.loads(story.layout.read_text("utf-8"))
    found: list[dict[str, Any]] = layout["pages"][page - 1]["placements"]
    return found


def test_proposals_are_drawn_and_told(unplaced: Story, run: Run) -> None:
    before = unplaced.layout.read_bytes()
    done = run("place", *FILES, "1")
    assert (done.status, done.err) == (0, "")
    first, second, *_, look, take = done.out.splitlines()
    assert first == "Panel 1.1"
    assert second.startswith("   1  1.1.1 top left, 1.1.2 top right")
    assert look == "Look at out/place.html."
    told = "letterer place script.txt layout.json -o out/place.html --keep first"
    assert take == f"To take the first of each panel, say: {told}"
    assert unplaced.made() == ["out/place.html", "out/place.html.places.json"]
    assert told in Path("out/place.html").read_text("utf-8")
    assert unplaced.layout.read_bytes() == before


@pytest.mark.parametrize("kind", ["html", "svg", "png"])
def test_every_kind_of_sheet_is_the_same_twice(kind: str, unplaced: Story, run: Run) -> None:
    made = []
    for name in ("a", "b"):
        assert run("place", *FILES, "1", "-o", f"{name}.{kind}").status == 0
        made.append(Path(f"{name}.{kind}").read_bytes())
    begin = {"html": b"<!DOCTYPE html>", "svg": b"<?xml", "png": b"\x89PNG"}[kind]
    assert made[0].startswith(begin)
    assert made[0].replace(b"a.html", b"") == made[1].replace(b"b.html", b"")


def test_keeping_and_accepting(unplaced: Story, run: Run) -> None:
    assert run("place", *FILES).status == 0
    done = run("place", *FILES, "--keep", "first")
    assert (done.status, done.err) == (0, "")
    assert "Kept proposal 1 for 1.1.1 and 1.1.2 in layout.json." in done.out
    kept = placements(unplaced)
    assert [one["unit"] for one in kept] == ["1.1.1", "1.1.2"]
    assert all(one["proposed"] is True and "center" in one for one in kept)
    assert Path("out/page-001.svg").exists()
    assert run("check", *FILES, "--pages", "1").status == 0
    assert run("place", *FILES).out == "Every unit has a place already.\n"
    done = run("place", *FILES, "--accept", "1.1.1")
    assert done.out == "Accepted in layout.json: 1.1.1.\n"
    assert [one.get("proposed") for one in placements(unplaced)] == [None, True]
    assert run("place", *FILES, "--accept").status == 0
    assert not any("proposed" in one for page in (1, 2, 3) for one in placements(unplaced, page))
    again = unplaced.layout.read_bytes()
    assert "No place is marked" in run("place", *FILES, "--accept").out
    assert unplaced.layout.read_bytes() == again


def test_what_is_placed_stays(story: Story, run: Run) -> None:
    settled = {"unit": "1.1.1", "center": [60, 50]}
    story.change(pages=pages(settled))
    assert run("place", *FILES, "1").status == 0
    assert run("place", *FILES, "--keep", "1").status == 0
    first, second = placements(story)
    assert first == settled
    assert second["unit"] == "1.1.2"


def test_a_proposed_place_is_proposed_anew_when_it_is_named(unplaced: Story, run: Run) -> None:
    run("place", *FILES, "1")
    run("place", *FILES, "--keep", "first")
    done = run("place", *FILES, "1.1.2")
    assert "Panel 1.1" in done.out
    run("place", *FILES, "1", "--accept")
    done = run("place", *FILES, "1.1.2")
    assert done.status == 1
    assert "unit 1.1.2: this unit has a place, and it is settled." in done.err


def test_explained(unplaced: Story, run: Run) -> None:
    done = run("place", *FILES, "1", "--explain")
    assert "      costs " in done.out
    assert "places (proven)" in done.out


def test_as_json(unplaced: Story, run: Run) -> None:
    told = json.loads(run("place", *FILES, "1", "--json").out)
    (panel,) = told["panels"]
    assert panel["panel"] == "1.1"
    first = panel["proposals"][0]
    assert first["proven best"] is True
    assert first["cost"] == pytest.approx(sum(first["costs"].values()), abs=0.01)
    assert set(first["units"]) == {"1.1.1", "1.1.2"}
    assert first["faults"] == []


def test_a_changed_layout_is_refused(unplaced: Story, run: Run) -> None:
    run("place", *FILES)
    unplaced.change(pages=pages(), language="en")
    before = unplaced.layout.read_bytes()
    done = run("place", *FILES, "--keep", "1")
    assert done.status == 1
    assert "the layout has changed since the sheet was drawn" in done.err
    assert unplaced.layout.read_bytes() == before


def test_a_changed_unit_is_refused(unplaced: Story, run: Run) -> None:
    run("place", *FILES)
    text = unplaced.script.read_text("utf-8")
    unplaced.script.write_text(text.replace("The lamp is out.", "The lamp is lit."), "utf-8")
    done = run("place", *FILES, "--keep", "1")
    assert "unit 1.1.1 has changed since the sheet was drawn" in done.err


REFUSED = (
    (("--keep", "99"), "the sheet has no proposal 99. Choose from 1 to"),
    (("--keep", "1,2"), "proposals 1 and 2 are both for panel 1.1"),
    (("--keep", "some"), '--keep cannot be "some"'),
    (("--keep", "1", "--accept"), "--keep and --accept are two steps"),
    (("9",), "the script has no page 9"),
    (("1.1.9",), "there is no unit or panel 1.1.9"),
    (("owl",), '"owl" names no page, panel or unit. Write pages such as 2 or 1-3'),
    (("-o", "x.pdf"), "a sheet is drawn as .html, .svg or .png"),
    (("-o", "art.png"), "the sheet would be written over the art of page 1"),
    (("-o", "other.html"), "there is a file of this name that is no sheet of proposals"),
    (("-o", "none.html", "--keep", "1"), "there is no sheet here to keep a proposal of"),
)


def test_refused(unplaced: Story, run: Run) -> None:
    """All on one sheet, since drawing it takes its time."""
    unplaced.change(pages=pages(art=ART))
    Image.new("L", (90, 90), 255).save("art.png")
    Path("other.html").write_text("mine", "utf-8")
    run("place", *FILES)
    before = unplaced.layout.read_bytes()
    for given, told in REFUSED:
        done = run("place", *FILES, *given)
        assert (done.status, told in done.err) == (1, True), (given, done.err)
    assert unplaced.layout.read_bytes() == before
    assert Path("other.html").read_text("utf-8") == "mine"


def test_no_layout_is_told_in_a_line(unplaced: Story, run: Run) -> None:
    for given in ((), FILES[:1]):
        done = run("place", *given)
        assert done.status == 1
        assert done.err == (
            "letterer: place needs a script and a layout. Write: letterer place SCRIPT LAYOUT.\n"
        )


@pytest.mark.parametrize("mode", ["RGBA", "I;16", "1"])
def test_art_of_any_kind(mode: str, unplaced: Story, run: Run) -> None:
    unplaced.change(pages=pages(art=ART))
    Image.new(mode, (90, 90)).save("art.png")
    done = run("place", *FILES, "1")
    assert (done.status, done.err) == (0, "")


def test_art_that_is_stretched_missing_or_broken(unplaced: Story, run: Run) -> None:
    unplaced.change(pages=pages(art=ART))
    assert "there is no such art file yet" in run("place", *FILES, "1").out
    Image.new("L", (90, 50), 255).save("art.png")
    assert "this art of 90 by 50 pixels is stretched" in run("place", *FILES, "1").out
    Path("art.png").write_bytes(b"no picture")
    done = run("place", *FILES, "1")
    assert done.status == 1
    assert "this art file cannot be read" in done.err


def test_no_room_is_told(story: Story, run: Run) -> None:
    small = {"panel": 1, "box": [20, 20, 60, 26]}
    tiny = {"panel": 1, "box": [20, 20, 14, 9]}
    story.change(
        pages=[
            {"page": 1, "panels": [small], "placements": []},
            {"page": 2, "panels": [tiny], "placements": []},
            {"page": 3, "panels": [{"panel": 4, "box": [20, 20, 100, 100]}], "placements": []},
        ]
    )
    before = story.layout.read_bytes()
    told = run("place", *FILES).out
    assert "Panel 2.1 is too small for any word." in told
    assert "Panel 3.1 is not in the layout" in told
    assert "Panel 1.1" in told
    assert story.layout.read_bytes() == before


def test_a_page_without_panels_is_placed_in_its_live_area(story: Story, run: Run) -> None:
    story.change(pages=[{"page": n, "placements": []} for n in (1, 2, 3)])
    done = run("place", *FILES, "1")
    assert done.out.startswith("Page 1\n")
    assert run("place", *FILES, "--keep", "1").status == 0
