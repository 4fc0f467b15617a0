"""`letterer proof`: the whole book on one HTML page, or as a PDF, to be read and judged."""

from __future__ import annotations

import argparse
from pathlib import Path

from letterer.cli.arguments import add_fonts

HELP = "Make a proof, HTML or PDF: the whole book, with its findings and its reading path."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("script", metavar="SCRIPT", help="the script, a plain-text file")
    parser.add_argument("layout", metavar="LAYOUT", help="the layout, a JSON file")
    parser.add_argument("--pages", metavar="1-3,5", help="only these pages (all)")
    parser.add_argument(
        "-o",
        "--out",
        metavar="FILE.html",
        default="out/proof.html",
        help="the file to write: .html for a browser, or .pdf for paper, a sheet a page"
        " (out/proof.html)",
    )
    add_fonts(parser)


def run(options: argparse.Namespace) -> int:
    """Make the proof, and say where it is."""
    from letterer.api import page_numbers
    from letterer.cli.progress import progress_bar
    from letterer.proofing import ProofWanted, make_proof

    wanted = ProofWanted(
        Path(options.out),
        None if options.pages is None else page_numbers(options.pages),
        tuple(Path(folder) for folder in options.fonts),
    )
    with progress_bar("proof") as progress:
        made = make_proof(options.script, options.layout, wanted, progress)
    pages = f"{made.pages} page{'' if made.pages == 1 else 's'}"
    found = f"{made.findings} finding{'' if made.findings == 1 else 's'}"
    how = "" if made.file.suffix.lower() == ".pdf" else " in a browser"
    print(f"{pages}, {found}, {made.size / 1e6:.1f} MB. Open {made.file}{how}.")
    for remark in made.remarks:
        print(f"Look at {remark}")
    if made.without_art:
        told = ", ".join(map(str, made.without_art))
        print(f"The art file is not there yet for page {told}: shown on white.")
    return 0
