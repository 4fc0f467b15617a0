"""`letterer words`: the book in words, in reading order."""

from __future__ import annotations

import argparse

HELP = "Write the book in words, in reading order: text, HTML, and alternative text for each page."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("script", metavar="SCRIPT", help="the script, a plain-text file")
    parser.add_argument(
        "layout",
        metavar="LAYOUT",
        nargs="?",
        help="the layout, for the language and the order of panels",
    )
    parser.add_argument(
        "-o", "--out", metavar="DIR", default="out/words", help="folder to write into (out/words)"
    )


def run(options: argparse.Namespace) -> int:
    """Write the words, and say what was written."""
    from letterer.wording import write_words

    made = write_words(options.script, options.layout, options.out)
    print(f"{len(made.files)} files written. Look at {made.files[1]}")
    if made.reordered:
        pages = ", ".join(map(str, made.reordered))
        print(f"Panels are told as they are read, not as they are numbered, on page {pages}.")
    return 0
