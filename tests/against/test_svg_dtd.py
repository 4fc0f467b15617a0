"""Our SVG against the SVG 1.1 DTD of the W3C (REC-SVG11-20110816; Debian w3c-sgml-lib)."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from letterer.api import compose
from letterer.model.layout_reader import parse_layout
from letterer.model.script_reader import parse_script
from letterer.out.svg import svg_page

DTD = "/usr/share/xml/w3c-sgml-lib/schema/dtd/REC-SVG11-20110816/svg11.dtd"

CUES = (
    "NELL",
    "NELL (whisper)",
    "NELL (shout)",
    "NELL (thought)",
    "NELL (broadcast)",
    "NELL (weak)",
    "NELL (cold)",
    "NELL (singing)",
    "NELL (off)",
    "NELL (open)",
    "CAPTION",
    "CAPTION (thought)",
    "CAPTION (place)",
    "CAPTION (speech)",
    "CAPTION (note)",
    "SFX",
)


@pytest.fixture(scope="session")
def dtd(reference_file: Callable[[str], Path]) -> etree.DTD:
    """The DTD, read without the network."""
    return etree.DTD(str(reference_file(DTD)))


def page_of(words: str, **layout: Any) -> str:
    """A page with one unit of every kind, with these words."""
    script = "PAGE 1\nPANEL 1\n" + "".join(f"{cue}: {words}\n" for cue in CUES)
    placements = [
        {"unit": f"1.1.{number}", "center": [50 + number % 4 * 100, 50 + number // 4 * 100]}
        for number in range(1, len(CUES) + 1)
    ]
    panel = {"panel": 1, "box": [0, 0, 400, 500], "mouths": {"NELL": [200, 480]}}
    text = json.dumps(
        {
            "letterer": 1,
            "unit": "pt",
            "page": {"trim": [400, 500], "bleed": 9},
            "pages": [{"page": 1, "panels": [panel], "placements": placements}],
            **layout,
        }
    )
    return svg_page(compose(parse_script(script), parse_layout(text)).pages[0])


@pytest.mark.parametrize(
    ("words", "layout"),
    [
        ("The lamp is *out*.", {}),
        ("Tom & Co. <now> \"so\" 'so' ]]> --", {}),
        ("\u00c9t\u00e9 \u0416\u0443\u043a \u05e9\u05dc\u05d5\u05dd", {"language": "fr-CA"}),
    ],
)
def test_every_kind_of_unit_is_valid(words: str, layout: dict[str, Any], dtd: etree.DTD) -> None:
    text = page_of(words, **layout)
    root = etree.fromstring(text.encode())
    assert len(root.findall("{http://www.w3.org/2000/svg}g")) == len(CUES)
    assert dtd.validate(root), dtd.error_log


def test_a_page_without_units_is_valid(dtd: etree.DTD) -> None:
    page = compose(
        parse_script("PAGE 1\nPANEL 1\nNothing is said."),
        parse_layout('{"letterer": 1, "unit": "mm", "page": {"format": "a4"}}'),
    ).pages[0]
    assert dtd.validate(etree.fromstring(svg_page(page).encode())), dtd.error_log


def test_the_file_names_that_very_dtd() -> None:
    first, second, *_ = page_of("So.").splitlines()
    assert first == '<?xml version="1.0" encoding="UTF-8"?>'
    assert second == (
        '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN"'
        ' "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    )


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('class="outline"', 'class="outline" data-unit="1"'),
        ('class="words"', 'class="words" tabindex="1"'),
        ('id="u1.1.2"', 'id="1.1.2"'),
        ('id="u1.1.2"', 'id="u1.1.1"'),
        ("<title>", "<name>"),
    ],
)
def test_the_check_notices_what_is_not_valid(old: str, new: str, dtd: etree.DTD) -> None:
    text = page_of("So.")
    changed = text.replace(old, new, 1).replace("</title>", "</name>", new == "<name>")
    assert changed != text
    assert not dtd.validate(etree.fromstring(changed.encode()))
