"""`letterer script`: a script as tidy plain text, from a .docx document or from plain text."""

from __future__ import annotations

import argparse

HELP = "Turn a .docx script into plain text, or tidy a plain-text one."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("source", metavar="IN", help="the script: .docx or plain text")
    parser.add_argument(
        "target", metavar="OUT", nargs="?", help="the file to write; left out: shown here"
    )


def run(options: argparse.Namespace) -> int:
    """Convert and tidy."""
    from letterer.converting import convert_script, tidy_script
    from letterer.errors import Fault

    if options.target is None:
        print(tidy_script(options.source)[1], end="")
        return 0
    script, kept = convert_script(options.source, options.target)
    for remark in script.remarks:
        print(Fault(remark.what, remark.mend, options.source, remark.line))
    count = len(script.units)
    pages = "1 page" if len(script.pages) == 1 else f"{len(script.pages)} pages"
    units = (
        "1 balloon, caption or effect" if count == 1 else f"{count} balloons, captions and effects"
    )
    print(f"{options.target}: {pages}, {units}.")
    if not count:
        print("No line is of the form NAME: words, so there is nothing to letter in it yet.")
    if kept:
        print(f"What stood there before is kept as {kept}.")
    return 0
