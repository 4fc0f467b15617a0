"""`letterer screen`: pages for the screen, lettered over their art."""

from __future__ import annotations

import argparse
from pathlib import Path

from letterer import craft
from letterer.cli.arguments import add_fonts
from letterer.errors import Fault, LettererError

HELP = "Save lettered pages over their art for the screen, at a width in pixels."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("script", metavar="SCRIPT", help="the script, a plain-text file")
    parser.add_argument("layout", metavar="LAYOUT", help="the layout, a JSON file")
    parser.add_argument(
        "-o", "--out", metavar="DIR", default="out", help="folder to write into (out)"
    )
    parser.add_argument("--pages", metavar="1-3,5", help="only these pages (all)")
    parser.add_argument(
        "--width",
        metavar="PIXELS",
        default=str(craft.SCREEN_WIDTH),
        help=f"how wide a page is, without its bleed ({craft.SCREEN_WIDTH})",
    )
    parser.add_argument("--format", metavar="png", default="png", help="png, jpeg or webp (png)")
    parser.add_argument(
        "--cut",
        metavar="PIXELS",
        help="cut a long page into pieces no higher than this, between its panels",
    )
    add_fonts(parser)


def run(options: argparse.Namespace) -> int:
    """Save the pages, and tell of cuts that could not be made between panels."""
    from letterer.api import page_numbers
    from letterer.cli.progress import progress_bar
    from letterer.screen import ScreenWanted, make_screens

    wanted = ScreenWanted(
        _pixels("width", options.width),
        {"jpg": "jpeg"}.get(options.format.lower(), options.format.lower()),
        None if options.cut is None else _pixels("cut", options.cut),
        None if options.pages is None else page_numbers(options.pages),
        tuple(Path(folder) for folder in options.fonts),
    )
    with progress_bar("pages for the screen") as progress:
        made = make_screens(options.script, options.layout, options.out, wanted, progress)
    for line in made.told:
        print(line)
    count = len(made.files)
    print(f"{count} {'file' if count == 1 else 'files'}. Look in {Path(options.out)}/")
    return 0


def _pixels(name: str, text: str) -> int:
    if not text.isdecimal() or len(text) > 6:
        told = text if len(text) <= 20 else f"{text[:20]}..."
        raise LettererError(
            Fault(f'--{name} "{told}" is not a whole number of pixels', f"Write --{name} 1200, say")
        )
    return int(text)
