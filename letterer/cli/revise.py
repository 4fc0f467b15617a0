"""`letterer revise`: what an edited script does to a layout, and keeping it."""

from __future__ import annotations

import argparse
from pathlib import Path

from letterer.cli.arguments import add_fonts

HELP = "Match an edited script to its layout: what keeps its place, what moved, what is new or cut."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("script", metavar="SCRIPT", help="the edited script, a plain-text file")
    parser.add_argument("layout", metavar="LAYOUT", help="the layout from before the edit")
    parser.add_argument(
        "-o",
        "--picture",
        metavar="FILE.html",
        help="also draw the changed units, before and now: .html or .png",
    )
    parser.add_argument(
        "--write",
        action="store_true",
        help="bring the layout up to date; the old one is kept beside it",
    )
    parser.add_argument(
        "--out", metavar="DIR", help="with --write: letter all pages again, into this folder"
    )
    parser.add_argument(
        "--json", action="store_true", help="tell it as JSON, for other programs to read"
    )
    add_fonts(parser)


def run(options: argparse.Namespace) -> int:
    """Match, tell, draw and write."""
    from letterer.revising import Asked, revise_files

    asked = Asked(
        picture=None if options.picture is None else Path(options.picture),
        write=options.write,
        out=None if options.out is None else Path(options.out),
        fonts=tuple(Path(folder) for folder in options.fonts),
    )
    done = revise_files(options.script, options.layout, asked)
    print(done.json if options.json else done.text, end="" if options.json else "\n")
    return 0
