"""`letterer schema`: the published JSON Schema of the layout or of a house style."""

from __future__ import annotations

import argparse
import json

HELP = "Print the JSON Schema of a layout or of a house style."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument(
        "what",
        metavar="layout|style",
        nargs="?",
        choices=("layout", "style"),
        default="layout",
        help="which schema (layout)",
    )


def run(options: argparse.Namespace) -> int:
    """Print the schema."""
    from letterer.model.schema import layout_schema, style_schema

    schema = layout_schema() if options.what == "layout" else style_schema()
    print(json.dumps(schema, ensure_ascii=False, indent=2))
    return 0
