"""The face of drawn marks: it is what its script builds, and its marks fan out from the sound."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import fontTools
import pytest
from fontTools.ttLib import TTFont

FOLDER = Path(__file__).resolve().parents[2] / "fonts_open"
FILE = FOLDER / "LettererMarks-Regular.ttf"
BUILT_WITH = "4.68.0"


def test_the_shipped_file_is_what_the_script_builds() -> None:
    if fontTools.version != BUILT_WITH:
        pytest.skip(f"the file was built with fontTools {BUILT_WITH}")
    spec = importlib.util.spec_from_file_location("marks", FOLDER / "build_letterer_marks.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    assert module.build() == FILE.read_bytes()


def test_the_two_marks_mirror_each_other() -> None:
    font = TTFont(FILE)
    names = font.getBestCmap()
    before, after = font["glyf"][names[0xE010]], font["glyf"][names[0xE011]]
    assert before.numberOfContours == after.numberOfContours == 3
    advance = font["hmtx"][names[0xE010]][0]
    assert font["hmtx"][names[0xE011]][0] == advance
    assert (before.xMin, before.xMax) == (advance - after.xMax, advance - after.xMin)
    assert (before.yMin, before.yMax) == (after.yMin, after.yMax)
