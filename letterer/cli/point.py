"""`letterer point`: show in a browser where mouths, faces and balloons are, and take it over."""

from __future__ import annotations

import argparse
from pathlib import Path

from letterer.cli.arguments import add_fonts

HELP = "Show mouths, faces and balloons in a browser with the pointer; --take puts them in."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("script", metavar="SCRIPT", help="the script, a plain-text file")
    parser.add_argument("layout", metavar="LAYOUT", help="the layout, a JSON file")
    parser.add_argument(
        "-o", "--out", metavar="FILE", default="point.html", help="the page (point.html)"
    )
    parser.add_argument("--pages", metavar="1-3,5", help="only these pages (all)")
    parser.add_argument(
        "--take",
        metavar="POINTS.json",
        help="put what you showed and saved into the layout; the old one is kept beside it",
    )
    add_fonts(parser)


def run(options: argparse.Namespace) -> int:
    """Draw the page, or take over what was shown."""
    from letterer.api import page_numbers
    from letterer.pointing import PointingWanted, make_pointing, take_points

    if options.take is not None:
        taken = take_points(options.take, options.layout)
        for line in taken.told:
            print(line)
        if taken.kept:
            print(f"In {options.layout}; as it was before: {taken.kept}")
        return 0
    wanted = PointingWanted(
        Path(options.out),
        None if options.pages is None else page_numbers(options.pages),
        tuple(Path(folder) for folder in options.fonts),
    )
    made = make_pointing(options.script, options.layout, wanted)
    for page in made.without_art:
        print(f"Page {page}: its art is not there; the page is drawn without.")
    still = f"{_many(made.mouths, 'mouth')} and {_many(made.places, 'place')} of words"
    print(f"Open {made.file} in a browser. Still to be shown: {still}.")
    return 0


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"
