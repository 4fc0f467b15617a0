"""The published JSON Schemas are those of the code, and say what the reader accepts."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from letterer.model.schema import layout_schema, schema_files, style_schema, write_schemas

GOOD = {
    "letterer": 1,
    "unit": "mm",
    "page": {"format": "a4", "live": [10, 10, 10, 10], "note": "wide margins"},
    "style": {"name": "plain hand", "size": 8},
    "pages": [
        {
            "page": 1,
            "panels": [{"panel": 1, "box": [0, 0, 9, 9], "mouths": {"NELL": [1, 2]}}],
            "placements": [{"unit": "1.1.1", "center": [4, 4], "tails": ["NELL", [1, 2]]}],
        }
    ],
}


def test_published_schemas_are_those_of_the_code(repository: Path) -> None:
    # To bring them up to date, call write_schemas on that folder.
    folder = repository / "shared" / "schemas"
    published = {path.name: path.read_text("utf-8") for path in folder.iterdir()}
    assert published == schema_files()


def test_schemas_can_be_written(tmp_path: Path) -> None:
    files = write_schemas(tmp_path)
    assert {path.name: path.read_text("utf-8") for path in files} == schema_files()


def parts(schema: Any) -> Iterator[dict[str, Any]]:
    """Every object within a schema."""
    if isinstance(schema, dict):
        yield schema
        for inner in schema.values():
            yield from parts(inner)
    elif isinstance(schema, list):
        for inner in schema:
            yield from parts(inner)


@pytest.mark.parametrize("schema", [layout_schema(), style_schema()])
def test_schemas_are_whole(schema: dict[str, Any]) -> None:
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["title"].startswith("letterer")
    for part in parts(schema):
        assert part.get("type") != "null"
        reference = part.get("$ref")
        assert reference is None or reference.removeprefix("#/$defs/") in schema["$defs"]
        for name, inner in (part.get("properties") or {}).items():
            assert inner.get("description"), name
    for inner in schema.get("$defs", {}).values():
        assert inner["title"]
        assert inner["description"]


def changed(**keys: object) -> dict[str, Any]:
    """The good layout with some keys of its placement changed; None takes one away."""
    layout: dict[str, Any] = json.loads(json.dumps(GOOD))
    placed = layout["pages"][0]["placements"][0]
    placed |= keys
    layout["pages"][0]["placements"] = [{k: v for k, v in placed.items() if v is not None}]
    return layout


def test_the_schema_accepts_and_refuses_as_the_reader_does() -> None:
    jsonschema = pytest.importorskip("jsonschema")
    check = jsonschema.Draft202012Validator(layout_schema())
    jsonschema.Draft202012Validator.check_schema(layout_schema())
    jsonschema.Draft202012Validator.check_schema(style_schema())
    assert check.is_valid(GOOD)
    for bad in (
        changed(size="7"),
        changed(size=0),
        changed(center=None),
        changed(box=[1, 1, 1, 1]),
        changed(center=[1]),
        changed(unit="1.1"),
        changed(centr=[1, 2]),
        changed(tails=[3]),
        {**GOOD, "letterer": 2},
        {**GOOD, "unit": "inch"},
        {"letterer": 1, "unit": "mm"},
    ):
        assert not check.is_valid(bad), bad
