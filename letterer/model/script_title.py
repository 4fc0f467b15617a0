"""What a script calls its book."""

from __future__ import annotations

import re
from pathlib import Path

from letterer.model.script import Script

TITLE = re.compile(r"\s*title\s*:\s*(.+)", re.IGNORECASE)
TITLE_MOST = 80
"""Letters of a first line that may be a title; a longer one is prose."""


def book_title(script: Script) -> str:
    """What the script calls itself before its first page: a line "Title: ...", or a short first
    line that stands alone; else the name of its file."""
    for direction in script.opening:
        for line in direction.text.splitlines():
            if found := TITLE.fullmatch(line):
                return found[1].strip()
    first = script.opening[0].text.strip() if script.opening else ""
    if first and len(first) <= TITLE_MOST and "\n" not in first and not first.endswith("."):
        return first
    return " ".join(re.split(r"[\s_]+", Path(script.file).stem)) or "Lettered pages"
