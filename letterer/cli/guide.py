"""`letterer guide`: sheets to draw on, at the scale of the art board, with ghost lettering."""

from __future__ import annotations

import argparse
import shlex
from pathlib import Path

from letterer import craft
from letterer.cli.arguments import add_fonts
from letterer.errors import Fault, LettererError

HELP = "Make sheets to draw on: panels, ghost lettering and corner marks, at the board's scale."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("script", metavar="SCRIPT", help="the script, a plain-text file")
    parser.add_argument("layout", metavar="LAYOUT", help="the layout, a JSON file")
    parser.add_argument("--pages", metavar="1-3,5", help="only these pages (all)")
    parser.add_argument(
        "--scale",
        metavar="1.5",
        default=str(craft.GUIDE_SCALE),
        help=f"how many times the printed size ({craft.GUIDE_SCALE:g})",
    )
    parser.add_argument(
        "--paper", metavar="a4", help="a4 or letter: spread each sheet over papers to be glued"
    )
    parser.add_argument(
        "-o",
        "--out",
        metavar="FILE",
        default="out/guide.pdf",
        help="the file: .pdf, or .png for a picture of each sheet (out/guide.pdf)",
    )
    parser.add_argument(
        "--dpi", metavar="300", type=int, default=300, help="dots per inch of a PNG"
    )
    add_fonts(parser)


def run(options: argparse.Namespace) -> int:
    """Draw the sheets, and say how to print them."""
    from letterer.api import page_numbers
    from letterer.guide import GuideWanted, make_guides

    try:
        scale = float(options.scale)
    except ValueError:
        mend = "Write a number, such as 1.5"
        raise LettererError(Fault(f'--scale cannot be "{options.scale}"', mend)) from None
    wanted = GuideWanted(
        None if options.pages is None else page_numbers(options.pages),
        scale,
        None if options.paper is None else options.paper.lower(),
        options.dpi,
        tuple(Path(folder) for folder in options.fonts),
    )
    made = make_guides(options.script, options.layout, Path(options.out), wanted)
    for line in made.told:
        print(line)
    print(f"Look at {', '.join(map(str, made.files))}.")
    print('Print at 100 % (not "fit to page"), then measure the bar: 50 mm, or 2 in.')
    page = made.pages[0] if len(made.pages) == 1 else "N"
    command = shlex.join(["letterer", "scan", "SCAN", options.layout, "--page", str(page)])
    print(f"When the art is drawn and scanned: {command}")
    return 0
