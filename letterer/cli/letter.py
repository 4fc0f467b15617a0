"""`letterer letter`: the main job."""

from __future__ import annotations

import argparse
from pathlib import Path

from letterer import craft
from letterer.cli.arguments import add_fonts
from letterer.errors import Fault, LettererError

HELP = "Letter the pages of a script by a layout, and write them as SVG and PNG."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("script", metavar="SCRIPT", help="the script, a plain-text file")
    parser.add_argument("layout", metavar="LAYOUT", help="the layout, a JSON file")
    parser.add_argument(
        "-o", "--out", metavar="DIR", default="out", help="folder to write into (out)"
    )
    parser.add_argument("--pages", metavar="1-3,5", help="only these pages (all)")
    parser.add_argument(
        "--format",
        metavar="svg,png",
        default="svg,png",
        help="svg, png (transparent), preview (over the art); several with commas (svg,png)",
    )
    parser.add_argument(
        "--dpi",
        metavar="N",
        default=str(craft.DPI_USUAL),
        help="dots per inch of the PNG, {} to {} ({})".format(*craft.DPI_RANGE, craft.DPI_USUAL),
    )
    parser.add_argument(
        "--report", metavar="FILE.json", help="also write a report, for other programs to read"
    )
    add_fonts(parser)


def run(options: argparse.Namespace) -> int:
    """Letter, then tell what was done."""
    from letterer.api import Output, letter, page_numbers
    from letterer.cli.progress import progress_bar

    output = Output(
        folder=options.out,
        formats=tuple(part.strip().lower() for part in options.format.split(",") if part.strip()),
        dpi=_dpi(options.dpi),
        pages=None if options.pages is None else page_numbers(options.pages),
        report=options.report,
        fonts=tuple(Path(folder) for folder in options.fonts),
    )
    with progress_bar("lettering") as progress:
        result = letter(options.script, options.layout, output, progress)
    print(result.summary)
    print(f"Look in {Path(options.out)}/")
    return 0


def _dpi(text: str) -> int:
    low, high = craft.DPI_RANGE
    if not text.isdecimal() or len(text) > len(str(high)):
        told = text if len(text) <= 20 else f"{text[:20]}..."
        what = f'--dpi "{told}" is not a whole number from {low} to {high}'
        raise LettererError(Fault(what, f"Write --dpi {craft.DPI_USUAL}, say"))
    return int(text)
