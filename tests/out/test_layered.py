"""Units taken apart into layers, and what cannot be made."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from letterer.errors import LettererError
from letterer.geometry import Box
from letterer.model.plan import Art, PageFormat
from letterer.out.layered import layered_page, sheets_of
from letterer.page.lettered import LetteredPage


def test_a_plain_page_has_three_layers_of_lettering(lettered: LetteredPage) -> None:
    sheets = sheets_of(lettered.units)
    assert [sheet.name for sheet in sheets] == ["balloons", "words", "effects"]
    words = next(sheet for sheet in sheets if sheet.name == "words")
    assert [part.unit.id for part in words.parts] == [
        unit.id for unit in lettered.units if unit.kind != "effect"
    ]
    drawn = [layer for sheet in sheets for part in sheet.parts for layer in part.unit.layers()]
    assert sorted(map(repr, drawn)) == sorted(
        repr(layer) for unit in lettered.units for layer in unit.layers()
    )


def test_a_balloon_over_what_is_read_before_it_has_a_layer_above(lettered: LetteredPage) -> None:
    speech, effect = lettered.units[0], lettered.units[4]
    over = speech.shifted(
        effect.ink.center.x - speech.box.center.x, effect.ink.center.y - speech.box.center.y
    )
    names = [sheet.name for sheet in sheets_of((speech, effect, over))]
    assert names == ["balloons", "words", "effects", "balloons 2", "words 2"]
    under = [sheet.name for sheet in sheets_of((over, effect, speech))]
    assert under == ["balloons", "words", "effects"]


def test_a_page_without_anything_is_a_file_all_the_same(lettered: LetteredPage) -> None:
    data = layered_page(replace(lettered, units=(), art=None), 72)
    with zipfile.ZipFile(io.BytesIO(data)) as file:
        assert "mergedimage.png" in file.namelist()
        assert b"<layer" not in file.read("stack.xml")


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "CMYK", "I;16"])
def test_art_of_any_colours(mode: str, lettered: LetteredPage, tmp_path: Path) -> None:
    art = tmp_path / "art.tif"
    Image.new(mode, (20, 30)).save(art)
    made = layered_page(replace(lettered, units=(), art=Art(art, Box(0, 0, 30, 60))), 72)
    with zipfile.ZipFile(io.BytesIO(made)) as file:
        shown = b'name="art"' in file.read("stack.xml")
    assert shown == (mode not in ("LA", "RGBA"))  # those are clear all over


def test_a_page_too_large_for_memory_is_refused(lettered: LetteredPage) -> None:
    trim = Box(0, 0, 2000, 2000)
    page = replace(lettered, format=PageFormat(trim, trim, trim))
    with pytest.raises(LettererError, match=r"page 1: .* GB of memory\. Choose \d+ dpi or less"):
        layered_page(page, 600)
    with pytest.raises(LettererError, match="there is no such art file"):
        layered_page(replace(lettered, art=Art(Path("no.png"), trim)), 72)
