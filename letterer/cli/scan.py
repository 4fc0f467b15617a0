"""`letterer scan`: a scan of finished art, straightened by its marks and put into the layout."""

from __future__ import annotations

import argparse
from pathlib import Path

from letterer.errors import Fault, LettererError

HELP = "Straighten a scan of finished art by its corner marks, and put it into the layout."

_MEND = "Write four, as --marks 120,95 3400,98 3395,5200 118,5190: clockwise from the top left"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument(
        "scan", metavar="SCAN", help="the scan, PNG, TIFF or JPEG; it stays as it is"
    )
    parser.add_argument("layout", metavar="LAYOUT", help="the layout, a JSON file")
    parser.add_argument(
        "--page", metavar="N", type=int, help="the page that it is (needed where there are several)"
    )
    parser.add_argument(
        "--marks",
        metavar="x,y",
        nargs="+",
        help="four points in pixels, clockwise from the top left, where marks cannot be found",
    )
    parser.add_argument(
        "--of",
        metavar="trim",
        default="marks",
        help="what those points are corners of: marks (the usual), bleed, trim or live",
    )
    parser.add_argument(
        "-o", "--out", metavar="ART", help="the straightened art: .png or .tif (beside the scan)"
    )
    parser.add_argument(
        "--dpi", metavar="600", type=int, help="its dots per inch on the page (as scanned)"
    )
    parser.add_argument(
        "--no-blue",
        action="store_true",
        help="leave the pale blue of the sheet out of a colour scan; the art becomes grey",
    )


def run(options: argparse.Namespace) -> int:
    """Straighten, put into the layout, and say what was found."""
    from letterer.scan import ScanWanted, align_scan, only_page

    points = None
    if options.marks is not None:
        points = tuple(_point(text) for text in options.marks)
    page = only_page(options.scan, options.layout) if options.page is None else options.page
    wanted = ScanWanted(
        page,
        points,
        options.of.lower(),
        None if options.out is None else Path(options.out),
        options.dpi,
        options.no_blue,
    )
    for line in align_scan(options.scan, options.layout, wanted).told:
        print(line)
    return 0


def _point(text: str) -> tuple[float, float]:
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        raise LettererError(Fault(f'"{text}" is no point in pixels', _MEND)) from None
    return x, y
