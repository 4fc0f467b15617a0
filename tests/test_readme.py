"""What the README shows is true: its script and layout are read, and its picture is there."""

from __future__ import annotations

import re
import textwrap
from pathlib import Path

from letterer.api import compose
from letterer.model.layout_reader import parse_layout
from letterer.model.script_reader import parse_script
from letterer.page.lettered import Severity


def example(text: str, first: str) -> str:
    """The indented block that begins with a line."""
    begin = text.index(f"    {first}\n")
    block = re.match(r"(?:    [^\n]*\n|\n)+", text[begin:])
    assert block is not None
    return textwrap.dedent(block.group())


def test_the_examples_belong_together_and_are_lettered(repository: Path) -> None:
    text = (repository / "README.md").read_text("utf-8")
    script = parse_script(example(text, "PAGE 1"))
    layout = parse_layout(example(text, "{"))
    assert script.remarks == () and layout.remarks == ()
    assert [unit.id for unit in script.units] == ["1.1.1", "1.1.2", "1.1.3", "1.1.4", "1.2.1"]
    (page,) = compose(script, layout).pages
    assert [unit.id for unit in page.units] == ["1.1.1", "1.1.2", "1.1.3", "1.1.4"]
    told = [finding for finding in page.findings if finding.severity is not Severity.NOTE]
    assert [(finding.unit, finding.kind) for finding in told] == [("1.2.1", "not placed")]


def test_its_pictures_and_files_are_there(repository: Path) -> None:
    text = (repository / "README.md").read_text("utf-8")
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", text)
    assert pictures
    for path in (*pictures, "scripts/demo", "scripts/test", "DEVELOPERS.md", "shared/schemas"):
        assert (repository / path).exists(), path
