"""Grapheme clusters against Unicode's own test file for UAX #29 (Debian package unicode-data)."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import icu4py

from letterer.text.breaks import clusters

FILE = "/usr/share/unicode/auxiliary/GraphemeBreakTest.txt"

CHANGED_SINCE_15 = {"÷ 2701 × 200D × 2701 ÷"}
"""The scissors U+2701 are no Extended_Pictographic in Unicode 17, which ICU 78 follows."""


def test_unicode_grapheme_break_test(reference_file: Callable[[str | Path], Path]) -> None:
    text = reference_file(FILE).read_text(encoding="utf-8")
    differ, count = set(), 0
    for line in text.splitlines():
        marks = line.partition("#")[0].split()
        if not marks:
            continue
        count += 1
        parts = " ".join(marks[1:-1]).split(" ÷ ")
        expected = ["".join(chr(int(code, 16)) for code in part.split(" × ")) for part in parts]
        sample = "".join(expected)
        if [sample[start:end] for start, end in clusters(sample)] != expected:
            differ.add(" ".join(marks))
    if "GraphemeBreakTest-15.0.0.txt" in text and icu4py.icu_version_info[0] == 78:
        assert count == 602
        assert differ == CHANGED_SINCE_15
    else:
        assert len(differ) <= count / 100
