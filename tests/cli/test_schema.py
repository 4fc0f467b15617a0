"""`letterer schema` prints what is published under shared/schemas."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest


@pytest.mark.parametrize(
    ("arguments", "name"),
    [([], "layout"), (["layout"], "layout"), (["style"], "style")],
)
def test_the_schema_is_the_published_one(
    arguments: list[str], name: str, run: Callable[..., Any], repository: Path
) -> None:
    done = run("schema", *arguments)
    assert (done.status, done.err) == (0, "")
    published = repository / "shared" / "schemas" / f"{name}-1.schema.json"
    assert done.out == published.read_text("utf-8")
    assert json.loads(done.out)["title"].startswith("letterer ")
