"""Arguments that several commands share."""

from __future__ import annotations

import argparse
from typing import Any


def add_fonts(parser: argparse.ArgumentParser) -> None:
    """`--fonts DIR`, as often as there are folders."""
    parser.add_argument(
        "--fonts",
        metavar="DIR",
        action="append",
        default=[],
        help="a folder of your own faces; may be given several times",
    )


def take_anywhere(parser: argparse.ArgumentParser) -> None:
    """Let units stand behind options as well as before them: argparse has a way of parsing for
    that, which it does not use by itself for a command of several."""
    plain = parser.parse_known_args

    def parse(*given: Any) -> Any:
        setattr(parser, "parse_known_args", plain)  # noqa: B010
        try:
            return parser.parse_known_intermixed_args(*given)
        finally:
            setattr(parser, "parse_known_args", parse)  # noqa: B010

    setattr(parser, "parse_known_args", parse)  # noqa: B010
