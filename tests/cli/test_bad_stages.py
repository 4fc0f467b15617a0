"""Bad panels, bad art and bad scans through the commands of the thumbnail stage: findings or one
clear line, and the layout as it was."""

from __future__ import annotations

import json
import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

Run = Callable[..., Any]

PANEL: dict[str, Any] = {"panel": 1, "box": [9, 9, 80, 162], "mouths": {"NELL": [40, 120]}}
OTHER: dict[str, Any] = {"panel": 2, "box": [95, 9, 76, 162], "mouths": {"ADA": [130, 120]}}
SCRIPT = "PAGE 1\nPANEL 1\nNELL: The lamp is out.\n\nPANEL 2\nADA: Oh.\n"
PLACES = [
    {"unit": "1.1.1", "center": [48, 60]},
    {"unit": "1.2.1", "center": [130, 60]},
]
COMMANDS = ("room", "check", "guide")

Told = dict[str, tuple[int, str]]
"""For each command its exit status, and what its output must hold."""

PANELS: dict[str, tuple[list[dict[str, Any]], Told]] = {
    "sound": (
        [PANEL, OTHER],
        {"room": (0, ""), "check": (0, "nothing to mend"), "guide": (0, "Look at")},
    ),
    "one over the other": (
        [PANEL, {**OTHER, "box": [60, 9, 111, 162]}],
        {
            "room": (0, "Panels 1.1 and 1.2 overlap by 36 % of the smaller"),
            "check": (3, "panels 1 and 2 overlap by 36 % of the smaller"),
            "guide": (0, "Panels 1.1 and 1.2 overlap"),
        },
    ),
    "off the page": (
        [PANEL, {**OTHER, "box": [400, 9, 76, 162]}],
        {
            "room": (0, "Panel 1.2 lies outside the page"),
            "check": (4, "panel 2 lies outside the page"),
            "guide": (0, "Panel 1.2 lies outside the page"),
        },
    ),
    "too small for any word": (
        [PANEL, {"panel": 2, "box": [100, 9, 12, 9]}],
        {
            "room": (0, "It is too small for any word"),
            "check": (4, "panel 2 is too small for any word"),
            "guide": (0, "Look at"),
        },
    ),
    "no mouth": (
        [PANEL, {"panel": 2, "box": [95, 9, 76, 162]}],
        {
            "room": (0, "Every panel has room"),
            "check": (3, "the layout has no mouth for ADA in this panel"),
            "guide": (0, "Look at"),
        },
    ),
    "crossing itself": (
        [PANEL, {"panel": 2, "polygon": [[95, 9], [171, 171], [171, 9], [95, 171]]}],
        dict.fromkeys(COMMANDS, (1, "crosses or touches itself")),
    ),
    "of no width": (
        [PANEL, {**OTHER, "box": [95, 9, 0, 162]}],
        dict.fromkeys(COMMANDS, (1, "the width in 'box' of panel 2 must be more than 0")),
    ),
    "twice": ([PANEL, PANEL], dict.fromkeys(COMMANDS, (1, "panel 1 comes twice on this page"))),
}


@pytest.fixture
def planned(story: Any) -> Callable[..., bytes]:
    """A function: writes a script and a layout of one page with these panels, and its keys; gives
    the layout's bytes."""

    def made(panels: list[dict[str, Any]], **keys: Any) -> bytes:
        whole = json.loads(story.layout.read_text("utf-8"))
        whole["pages"] = [{"page": 1, "panels": panels, "placements": PLACES, **keys}]
        story.layout.write_text(json.dumps(whole), "utf-8")
        (story.folder / "script.txt").write_text(SCRIPT, "utf-8")
        data: bytes = story.layout.read_bytes()
        return data

    return made


@pytest.mark.parametrize("name", PANELS)
def test_panels(name: str, story: Any, run: Run, planned: Callable[..., bytes]) -> None:
    panels, told = PANELS[name]
    before = planned(panels)
    for command in COMMANDS:
        ran = run(command, "script.txt", "layout.json")
        status, says = told[command]
        assert ran.status == status, (command, ran)
        assert says in ran.out + ran.err, (command, ran)
        if status == 1:
            assert ran.err.count("\n") == 1
            assert ran.err.startswith("letterer: layout.json, line 1")
    assert story.layout.read_bytes() == before


def bomb(file: Path) -> None:
    """A picture of 3.6 thousand million pixels in a small file: its head alone says so."""
    side = 60_000

    def chunk(name: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        )

    head = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    rows = zlib.compress(bytes(100_000))
    parts = chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
    file.write_bytes(b"\x89PNG\r\n\x1a\n" + parts)


def deep(file: Path) -> None:
    values = np.random.default_rng(1).random((440, 440)) * 65_535
    Image.fromarray(values.astype(np.uint16)).save(file)


ART: dict[str, tuple[Callable[[Path], Any], str, int]] = {
    "sound": (lambda file: Image.new("L", (440, 440), 220).save(file), "", 0),
    "16 bits": (deep, "", 0),
    "in colour": (lambda file: Image.new("RGB", (440, 440), "teal").save(file), "", 0),
    "of the wrong shape": (
        lambda file: Image.new("L", (900, 440)).save(file),
        "is stretched to the box it covers",
        3,
    ),
    "a bomb": (bomb, "this art is 60000 by 60000 pixels, too large to be read", 4),
    "no picture": (lambda file: file.write_text("so"), "this art file cannot be read", 4),
    "a folder": (lambda file: file.mkdir(), "this is a folder, not a picture", 4),
}


@pytest.mark.parametrize("name", ART)
def test_art(name: str, story: Any, run: Run, planned: Callable[..., bytes]) -> None:
    make, says, status = ART[name]
    make(story.folder / "art.png")
    before = planned([PANEL, OTHER], art={"file": "art.png", "covers": "bleed"})
    ran = run("check", "script.txt", "layout.json", "--picture", "out/seen.png")
    assert (ran.status, ran.err) == (status, "")
    assert says in ran.out
    assert "out/seen-001.png" in ran.out
    # Thumbnails and sheets to draw on are made before there is art: they do not look at it.
    for command in ("room", "guide") if name == "a bomb" else ():
        assert run(command, "script.txt", "layout.json").status == 0
    assert story.layout.read_bytes() == before


SCANS: dict[str, tuple[Callable[[Path], Any], str]] = {
    "empty": (lambda file: Image.new("L", (400, 400), 220).save(file), "are not in this scan"),
    "16 bits of noise": (deep, "are not in this scan"),
    "of few pixels": (lambda file: Image.new("L", (40, 40)).save(file), "too few to find marks in"),
    "a bomb": (bomb, "this scan is 60000 by 60000 pixels, too large to be read"),
    "no picture": (lambda file: file.write_text("so"), "this scan file cannot be read"),
    "a folder": (lambda file: file.mkdir(), "this is a folder, not a scan"),
    "not there": (lambda file: None, "there is no such scan"),
}


@pytest.mark.parametrize("name", SCANS)
def test_scans(name: str, story: Any, run: Run, planned: Callable[..., bytes]) -> None:
    make, says = SCANS[name]
    make(story.folder / "scan.png")
    before = planned([PANEL, OTHER])
    ran = run("scan", "scan.png", "layout.json", "--page", "1")
    assert (ran.status, ran.out) == (1, "")
    assert ran.err.count("\n") == 1
    assert ran.err.startswith("letterer: scan.png: ")
    assert says in ran.err
    assert story.layout.read_bytes() == before
