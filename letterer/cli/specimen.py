"""`letterer specimen`: every kind of balloon, tail, caption and effect, in a style."""

from __future__ import annotations

import argparse
from pathlib import Path

from letterer.cli.arguments import add_fonts

HELP = "Draw every kind of balloon, tail, caption and effect on one sheet, in a style."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument(
        "style",
        metavar="STYLE",
        nargs="?",
        default="plain hand",
        help='a style by its name, in quotes where it has two words, or its file ("plain hand")',
    )
    parser.add_argument(
        "-o",
        "--out",
        metavar="SHEET",
        default="out/specimen.png",
        help="the sheet to draw: .svg or .png (out/specimen.png)",
    )
    add_fonts(parser)


def run(options: argparse.Namespace) -> int:
    """Draw the sheet."""
    from letterer.specimen import draw_specimen

    page = draw_specimen(options.style, options.out, [Path(folder) for folder in options.fonts])
    for finding in page.findings:
        print(finding)
    print(f"Look at {options.out}.")
    return 0
