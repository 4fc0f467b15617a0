"""`letterer start`: a script's first layout, its panels found in the art or divided by words."""

from __future__ import annotations

import argparse
import re
import shlex
from pathlib import Path

from letterer.errors import Fault, LettererError

HELP = "Write the first layout of a script: its pages, with panels found in the art or proposed."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("script", metavar="SCRIPT", help="the script, a plain-text file")
    parser.add_argument(
        "-o",
        "--out",
        metavar="LAYOUT",
        default="layout.json",
        help="the layout to write; one that is there gets the pages it lacks (layout.json)",
    )
    parser.add_argument(
        "--art",
        metavar="PICTURE",
        nargs="+",
        default=(),
        help="pictures of the pages, or their folder; panels with ruled borders are found in them",
    )
    parser.add_argument(
        "--format",
        metavar="a5",
        default="american comic",
        help='"american comic", a4 or a5 (american comic)',
    )
    parser.add_argument(
        "--right-to-left", action="store_true", help="the book is read from right to left"
    )
    parser.add_argument(
        "--divide",
        metavar="2B,3C",
        help="other divisions than the first that letterer room shows: by page and letter",
    )


def run(options: argparse.Namespace) -> int:
    """Write, and say what was done and what comes next."""
    from letterer.model.plan import Reading
    from letterer.starting import StartWanted, start_layout

    wanted = StartWanted(
        Path(options.out),
        options.format.lower(),
        tuple(Path(one) for one in options.art),
        Reading.RIGHT_TO_LEFT if options.right_to_left else Reading.LEFT_TO_RIGHT,
        _ways(options.divide or ""),
    )
    made = start_layout(options.script, wanted)
    for line in made.told:
        print(line)
    if made.pages:
        print(f"Written: {made.file}. Next, show where mouths and faces are:")
        print(f"  {shlex.join(['letterer', 'point', options.script, str(made.file)])}")
    return 0


def _ways(text: str) -> dict[int, str]:
    ways: dict[int, str] = {}
    for part in text.replace(" ", "").split(",") if text.strip() else ():
        found = re.fullmatch(r"(\d{1,9})([A-Za-z])", part)
        if found is None:
            mend = "Write a page and a letter of letterer room, such as 2B,3C"
            raise LettererError(Fault(f'"{part}" does not say how to divide a page', mend))
        ways[int(found[1])] = found[2].upper()
    return ways
