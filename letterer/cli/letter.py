"""`letterer letter`: the main job."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

from letterer import craft
from letterer.cli.arguments import add_fonts
from letterer.errors import Fault, LettererError

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from letterer.api import Output

SHOWN_ALIKE = 3

HELP = "Letter the pages of a script by a layout, and write them as SVG, PNG, PDF or layers."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    add_pages(parser)
    parser.add_argument(
        "--cluster",
        metavar="ADDRESS",
        help="letter the pages on a cluster of dask.distributed, say tcp://10.0.0.5:8786",
    )


def add_pages(parser: argparse.ArgumentParser) -> None:
    """What is lettered, and how it is written."""
    parser.add_argument("script", metavar="SCRIPT", help="the script, a plain-text file")
    parser.add_argument("layout", metavar="LAYOUT", help="the layout, a JSON file")
    parser.add_argument(
        "-o", "--out", metavar="DIR", default="out", help="folder to write into (out)"
    )
    parser.add_argument(
        "--spaced",
        action="store_true",
        help="letters and words wider apart, fitted anew: easier for some readers; these pages go"
        " into a folder named spaced within that of the others",
    )
    parser.add_argument("--pages", metavar="1-3,5", help="only these pages (all)")
    parser.add_argument(
        "--format",
        metavar="svg,png",
        default="svg,png",
        help="svg, png (transparent), preview (over the art), pdf (all pages in one file), ora"
        " (layers of a picture); several with commas (svg,png)",
    )
    parser.add_argument(
        "--dpi",
        metavar="N",
        default=str(craft.DPI_USUAL),
        help="dots per inch of the PNG, {} to {} ({})".format(*craft.DPI_RANGE, craft.DPI_USUAL),
    )
    parser.add_argument(
        "--over-art", action="store_true", help="lay the pages of a PDF over their art"
    )
    parser.add_argument(
        "--overprint",
        action="store_true",
        help="in a PDF, print black words and lines over colours, with no gap under them",
    )
    parser.add_argument(
        "--pdf-words",
        metavar="outlines",
        default="outlines",
        help="in a PDF, words as outlines, the same on every press and screen, or as text: a"
        " smaller file, with the letters it needs of each face (outlines)",
    )
    parser.add_argument(
        "--report", metavar="FILE.json", help="also write a report, for other programs to read"
    )
    parser.add_argument(
        "--jobs",
        metavar="N",
        help="pages lettered side by side, each by a process (one a core; 1 for few pages)",
    )
    parser.add_argument(
        "--no-cache",
        action="store_true",
        help="draw every page anew, and keep none for the next time",
    )
    add_fonts(parser)


def output_of(options: argparse.Namespace) -> Output:
    """What the arguments ask for. Raises LettererError."""
    from letterer.api import Output, page_numbers
    from letterer.cache.store import usual_folder

    return Output(
        folder=options.out,
        spaced=options.spaced,
        over_art=options.over_art,
        overprint=options.overprint,
        pdf_words=options.pdf_words.strip().lower(),
        formats=tuple(part.strip().lower() for part in options.format.split(",") if part.strip()),
        dpi=_dpi(options.dpi),
        pages=None if options.pages is None else page_numbers(options.pages),
        report=options.report,
        fonts=tuple(Path(folder) for folder in options.fonts),
        jobs=_jobs(options.jobs),
        cache=None if options.no_cache else usual_folder(),
    )


def run(options: argparse.Namespace) -> int:
    """Letter, then tell what was done."""
    from letterer.api import letter, pages_folder
    from letterer.cli.progress import progress_bar

    output = output_of(options)
    with _executor(options.cluster) as executor, progress_bar("lettering") as progress:
        result = letter(options.script, options.layout, output, progress, executor)
    print(result.summary)
    print(f"Look in {pages_folder(output)}/")
    if not result.failed:
        return 0
    sys.stdout.flush()
    for line in folded(result.faults):
        print(f"letterer: {line}", file=sys.stderr)
    pages = ",".join(map(str, result.failed))
    print(
        f"letterer: once that is mended, say --pages {pages} to letter what is missing.",
        file=sys.stderr,
    )
    return 1


def folded(faults: Sequence[Fault]) -> list[str]:
    """Faults as lines; of those that say the same of many places, the first and a count.

    >>> full = [Fault("the disk is full", "Make room on it", page=number) for number in range(1, 9)]
    >>> folded([*full, Fault("no such face")])
    ['page 1: the disk is full. Make room on it. (The same 7 times more.)', 'no such face.']
    """
    alike: dict[tuple[str, str], list[Fault]] = {}
    for fault in faults:
        alike.setdefault((fault.what, fault.mend), []).append(fault)
    lines: list[str] = []
    for same in alike.values():
        if len(same) <= SHOWN_ALIKE:
            lines += map(str, same)
        else:
            lines.append(f"{same[0]} (The same {len(same) - 1} times more.)")
    return lines


def _executor(address: str | None) -> AbstractContextManager[Executor | None]:
    if address is None:
        return nullcontext()
    from letterer.cluster import cluster

    return cluster(address)


def _jobs(text: str | None) -> int | None:
    if text is None:
        return None
    if not text.isdecimal() or len(text) > 4 or int(text) == 0:
        told = text if len(text) <= 20 else f"{text[:20]}..."
        raise LettererError(
            Fault(f'--jobs "{told}" is not a whole number from 1', "Write --jobs 2, say")
        )
    return int(text)


def _dpi(text: str) -> int:
    low, high = craft.DPI_RANGE
    if not text.isdecimal() or len(text) > len(str(high)):
        told = text if len(text) <= 20 else f"{text[:20]}..."
        what = f'--dpi "{told}" is not a whole number from {low} to {high}'
        raise LettererError(Fault(what, f"Write --dpi {craft.DPI_USUAL}, say"))
    return int(text)
