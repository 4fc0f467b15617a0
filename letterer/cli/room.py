"""`letterer room`: how much room words have in their panels, and how pages could be divided."""

from __future__ import annotations

import argparse
from pathlib import Path

from letterer.cli.arguments import add_fonts

HELP = "Say whether words have room in their panels; without a layout, divide the pages."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("script", metavar="SCRIPT", help="the script, a plain-text file")
    parser.add_argument("layout", metavar="LAYOUT", nargs="?", help="the layout, if there is one")
    parser.add_argument("--pages", metavar="1-3,5", help="only these pages (all)")
    parser.add_argument(
        "--format",
        metavar="a5",
        help='without a layout: "american comic", a4, a5 or "vertical scroll" (american comic)',
    )
    parser.add_argument(
        "--right-to-left", action="store_true", help="without a layout: the book is read so"
    )
    parser.add_argument(
        "-o",
        "--out",
        metavar="FILE",
        help="thumbnails too: .html for all pages, .svg or .png for one file a page",
    )
    parser.add_argument(
        "--json", action="store_true", help="write it as JSON, for other programs to read"
    )
    add_fonts(parser)


def run(options: argparse.Namespace) -> int:
    """Look, tell, and draw."""
    from letterer.api import page_numbers
    from letterer.room import RoomWanted, look_at_room

    wanted = RoomWanted(
        None if options.pages is None else page_numbers(options.pages),
        None if options.out is None else Path(options.out),
        None if options.format is None else options.format.lower(),
        tuple(Path(folder) for folder in options.fonts),
        options.right_to_left,
    )
    seen = look_at_room(options.script, options.layout, wanted)
    print(seen.json if options.json else seen.text, end="" if options.json else "\n")
    if seen.files and not options.json:
        print(f"Look at {', '.join(map(str, seen.files))}.")
    return 0
