"""JSON Schemas of the layout and style files, for editors and for other programs.

They follow JSON Schema 2020-12 and are published under shared/schemas/. A schema tells the keys
and what each may hold; rules between distant keys, such as a tail and its mouth, only the reader
knows.
"""

from __future__ import annotations

import json
import pathlib
from typing import Any

from pydantic import BaseModel

from letterer.model.layout import LayoutKeys
from letterer.model.layout_file import save_bytes
from letterer.model.style import Style

DIALECT = "https://json-schema.org/draft/2020-12/schema"

Schema = dict[str, Any]

_EXACTLY_ONE = {
    "ArtKeys": ("covers", "box"),
    "PanelKeys": ("box", "polygon"),
    "ParkedPanelKeys": ("box", "polygon"),
    "ZoneKeys": ("box", "polygon"),
    "PlacementKeys": ("center", "centre", "box", "corner", "edge"),
}
"""Keys of which an object has exactly one."""

_PLACED_BY_ITS_EFFECT: Schema = {
    "required": ["effect"],
    "properties": {
        "effect": {
            "description": "An effect that says itself where it stands.",
            "anyOf": [{"required": ["path"]}, {"required": ["corners"]}],
        }
    },
}
"""A sound effect on a path, or drawn to four corners, stands where these are."""

_TITLES = {
    "AcceptedKeys": "accepted finding",
    "ArtKeys": "art",
    "FocusKeys": "focus",
    "Look": "changes of a look",
    "PageKeys": "page",
    "PageMeasures": "page measures",
    "PanelKeys": "panel",
    "ParkedKeys": "parked",
    "ParkedPanelKeys": "parked panel",
    "PlacementKeys": "placement",
    "TailKeys": "tail",
    "Style": "house style",
    "ZoneKeys": "zone to keep clear",
    "EffectKeys": "effect",
    "OutlineKeys": "outline of an effect",
    "ShadowKeys": "shadow of an effect",
}


def layout_schema() -> Schema:
    """The schema of a layout file, version 1."""
    return _schema(LayoutKeys, "layout-1.schema.json", "letterer layout")


def style_schema() -> Schema:
    """The schema of a style file, version 1."""
    return _schema(Style, "style-1.schema.json", "letterer house style")


def schema_files() -> dict[str, str]:
    """The published files by name, as the text they hold."""
    return {
        str(schema["$id"]): json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
        for schema in (layout_schema(), style_schema())
    }


def write_schemas(folder: pathlib.Path) -> list[pathlib.Path]:
    """Write both schemas into a folder; returns the files. Raises LettererError."""
    files = []
    for name, text in schema_files().items():
        save_bytes(folder / name, text.encode("utf-8"))
        files.append(folder / name)
    return files


def _schema(model: type[BaseModel], name: str, title: str) -> Schema:
    made = model.model_json_schema(by_alias=True)
    for inner, keys in _EXACTLY_ONE.items():
        if inner in made.get("$defs", {}):
            made["$defs"][inner]["oneOf"] = [{"required": [key]} for key in keys]
    if "PlacementKeys" in made.get("$defs", {}):
        made["$defs"]["PlacementKeys"]["oneOf"].append(_PLACED_BY_ITS_EFFECT)
    plain_schema: Schema = _plain(made)
    definitions = plain_schema.pop("$defs", {})
    head: Schema = {"$schema": DIALECT, "$id": name, "title": title}
    plain_schema.pop("title", None)
    for inner, body in definitions.items():
        if inner == "Look":  # where it stands for changes, what is left out is no default
            for part in body["properties"].values():
                part.pop("default", None)
        definitions[inner] = {"title": _TITLES[inner], **body}
    tail: Schema = {"$defs": definitions} if definitions else {}
    return head | plain_schema | tail


def _plain(value: Any) -> Any:
    """A schema without null (which the files do not know) and without titles made from names."""
    if isinstance(value, list):
        return [_plain(item) for item in value]
    if not isinstance(value, dict):
        return value
    made: Schema = {}
    for key, inner in value.items():
        if key in ("properties", "$defs"):
            made[key] = {name: _plain(schema) for name, schema in inner.items()}
        elif key == "anyOf":
            options = [_plain(option) for option in inner if option != {"type": "null"}]
            made |= options[0] | made if len(options) == 1 else {"anyOf": options}
        elif key == "description":
            made[key] = " ".join(str(inner).split())
        elif key != "title" and not (key == "default" and inner is None):
            made[key] = inner if key in ("default", "enum", "const") else _plain(inner)
    return made
