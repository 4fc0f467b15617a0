"""Arguments that several commands share."""

from __future__ import annotations

import argparse


def add_fonts(parser: argparse.ArgumentParser) -> None:
    """`--fonts DIR`, as often as there are folders."""
    parser.add_argument(
        "--fonts",
        metavar="DIR",
        action="append",
        default=[],
        help="a folder of your own faces; may be given several times",
    )
