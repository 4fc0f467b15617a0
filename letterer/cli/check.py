"""`letterer check`: looks lettered pages over, and says what to mend."""

from __future__ import annotations

import argparse
from pathlib import Path

from letterer.cli.arguments import add_fonts

HELP = "Look the lettered pages over: order, covered faces, tails, crowding; says what to mend."

NOTHING, WARNINGS, PROBLEMS = 0, 3, 4
"""Exit status by the worst finding that is not accepted; 1 and 2 are what they always are: files
that cannot be used, and wrong usage."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.epilog = (
        f"Ends with status {NOTHING} when there is nothing to mend, or notes only;"
        f" {WARNINGS} when there are warnings; {PROBLEMS} when there are problems."
    )
    parser.add_argument("script", metavar="SCRIPT", help="the script, a plain-text file")
    parser.add_argument("layout", metavar="LAYOUT", help="the layout, a JSON file")
    parser.add_argument("--pages", metavar="1-3,5", help="only these pages (all)")
    parser.add_argument(
        "--picture",
        metavar="FILE.png",
        help="also draw each page with its findings marked: .png or .svg; the page's number is"
        " added to the name",
    )
    parser.add_argument(
        "--json", action="store_true", help="write the findings as JSON, for other programs to read"
    )
    add_fonts(parser)


def run(options: argparse.Namespace) -> int:
    """Check, tell, and end with the status that the findings ask for."""
    from letterer.api import page_numbers
    from letterer.checking import Wanted, check
    from letterer.cli.progress import progress_bar
    from letterer.page.lettered import Severity

    wanted = Wanted(
        None if options.pages is None else page_numbers(options.pages),
        None if options.picture is None else Path(options.picture),
        tuple(Path(folder) for folder in options.fonts),
    )
    with progress_bar("checking") as progress:
        checked = check(options.script, options.layout, wanted, progress)
    if options.json:
        print(checked.json, end="")
    else:
        print(checked.text)
        if checked.files:
            print(f"Look at {', '.join(str(path) for path in checked.files)}.")
    statuses = {Severity.PROBLEM: PROBLEMS, Severity.WARNING: WARNINGS}
    return statuses.get(checked.worst, NOTHING) if checked.worst else NOTHING
