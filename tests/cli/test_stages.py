"""The commands for thumbnails, sheets to draw on, and scans: what they say and how they end."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from PIL import Image


def test_room_tells_a_table_and_where_to_look(story: Any, run: Callable[..., Any]) -> None:
    ran = run("room", "script.txt", "layout.json", "-o", "out/room.svg", "--pages", "1")
    assert (ran.status, ran.err) == (0, "")
    assert "panel" in ran.out and "1.1" in ran.out
    assert ran.out.endswith("Look at out/room-001.svg.\n")
    assert story.made() == ["out/room-001.svg"]


def test_room_as_json_is_json_alone(story: Any, run: Callable[..., Any]) -> None:
    ran = run("room", "script.txt", "--json")
    assert ran.status == 0
    assert len(json.loads(ran.out)["pages"]) == 3
    assert story.made() == []


def test_guide_tells_how_to_print(story: Any, run: Callable[..., Any]) -> None:
    ran = run("guide", "script.txt", "layout.json", "--scale", "2", "--paper", "Letter")
    assert (ran.status, ran.err) == (0, "")
    assert "Print at 100 %" in ran.out and "Look at out/guide.pdf." in ran.out
    assert story.made() == ["out/guide.pdf"]


def test_a_guide_scanned_comes_back(story: Any, run: Callable[..., Any]) -> None:
    """From the sheet to the layout by commands alone."""
    assert run("guide", "script.txt", "layout.json", "-o", "g.png", "--dpi", "100").status == 0
    with Image.open(story.folder / "g-001.png") as sheet:
        turned = sheet.convert("L").rotate(-1.5, Image.Resampling.BICUBIC, True, fillcolor=255)
        turned.save(story.folder / "scan.jpg")
    ran = run("scan", "scan.jpg", "layout.json", "--page", "1")
    assert (ran.status, ran.err) == (0, "")
    assert "turned by 1.5" in ran.out
    told = json.loads(story.layout.read_text("utf-8"))
    assert told["pages"][0]["art"] == {"file": "scan-page-001.png", "box": [-9, -9, 198, 198]}


def test_a_scan_of_the_only_page_needs_no_number(story: Any, run: Callable[..., Any]) -> None:
    ran = run("guide", "script.txt", "layout.json", "-o", "g.png", "--dpi", "100", "--pages", "1")
    assert ran.out.endswith("letterer scan SCAN layout.json --page 1\n")
    several = run("scan", "g-001.png", "layout.json")
    assert several.status == 1
    assert "which page is this scan of? Add --page and its number: 1, 2, 3." in several.err
    whole = json.loads(story.layout.read_text("utf-8"))
    story.layout.write_text(json.dumps({**whole, "pages": whole["pages"][:1]}), "utf-8")
    assert run("scan", "g-001.png", "layout.json").status == 0


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("guide", "script.txt", "layout.json", "--scale", "big"), '--scale cannot be "big"'),
        (("guide", "script.txt", "nothing.json"), "nothing.json"),
        (("scan", "no.png", "layout.json", "--page", "1"), "there is no such scan"),
        (("scan", "no.png", "layout.json", "--page", "1", "--marks", "1;2"), "no point in pixels"),
        (("room", "nothing.txt"), "nothing.txt"),
    ],
)
def test_errors_are_one_line_each(
    story: Any, run: Callable[..., Any], arguments: tuple[str, ...], told: str
) -> None:
    ran = run(*arguments)
    assert ran.status == 1 and told in ran.err
    assert ran.err.count("\n") == 1 and ran.err.startswith("letterer: ")
    assert story.made() == []
