"""`letterer try`: choices for a unit side by side, and keeping one of them."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from letterer import craft
from letterer.errors import Fault, LettererError, nearest

if TYPE_CHECKING:
    from letterer.page.choices import Asked

HELP = "Draw choices for a unit, or a whole panel, side by side; --keep N takes one."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    parser.add_argument("script", metavar="SCRIPT", nargs="?", help="the script")
    parser.add_argument("layout", metavar="LAYOUT", nargs="?", help="the layout")
    parser.add_argument(
        "units", metavar="UNIT", nargs="*", help="a unit such as 1.2.3, or a panel such as 1.2"
    )
    parser.add_argument("--words", metavar='"..."', help="try a bare sentence, without any files")
    parser.add_argument(
        "-o",
        "--out",
        metavar="SHEET",
        default="out/try.html",
        help="the sheet to draw: .html, .svg or .png (out/try.html)",
    )
    parser.add_argument("--sizes", metavar="6.5,7,8", help="only these sizes, in points")
    parser.add_argument("--lines", metavar="2,3", help="only these numbers of lines")
    parser.add_argument(
        "--widths", metavar="narrow,1.8", help="narrow, usual, wide, or numbers: width to height"
    )
    parser.add_argument("--kinds", metavar="whisper,open", help="only these kinds")
    parser.add_argument("--keep", metavar="N", help="write choice N of the sheet into the layout")


def run(options: argparse.Namespace) -> int:
    """Draw the sheet, or keep a choice of it."""
    from letterer.trying import keep_choice, try_units, try_words

    sheet = Path(options.out)
    if options.keep is not None:
        if options.script is None or options.layout is None:
            raise LettererError(Fault("--keep needs the script and the layout", _USAGE))
        kept = keep_choice(options.script, options.layout, sheet, _numbers("--keep", options.keep))
        print(kept.told)
        return 0
    asked = _asked(options)
    if options.words is not None:
        if options.script is not None:
            raise LettererError(Fault("--words stands alone, without a script", _USAGE))
        drawn = try_words(options.words, sheet, asked)
    elif options.script is None or options.layout is None or not options.units:
        raise LettererError(Fault("no unit is named", _USAGE))
    else:
        drawn = try_units(options.script, options.layout, options.units, sheet, asked)
    for choice, label in zip(drawn.choices, drawn.labels, strict=True):
        print(f"{choice.number:>3}  {'; '.join(label)}")
        print(f"     {' / '.join(choice.unit.breaks)}")
    print(f"Look at {sheet}.", end="")
    print("" if options.words is not None else " Add --keep N to take one.")
    return 0


_USAGE = 'Write: letterer try SCRIPT LAYOUT 1.2.3, or: letterer try --words "..."'


def _asked(options: argparse.Namespace) -> Asked:
    from letterer.model.layout import KINDS
    from letterer.page.choices import WIDTHS, Asked

    kinds = tuple(part.strip().lower() for part in (options.kinds or "").split(",") if part.strip())
    for kind in kinds:
        if kind not in KINDS:
            raise LettererError(unknown("--kinds", kind, KINDS))
    widths = []
    for part in _parts(options.widths):
        widths.append(WIDTHS.get(part) or _number("--widths", part, craft.ASPECT_FORCED_RANGE))
    low = 1.0
    return Asked(
        sizes=tuple(
            _number("--sizes", part, (low, craft.SIZE_MOST)) for part in _parts(options.sizes)
        ),
        lines=_numbers("--lines", options.lines) if options.lines else (),
        widths=tuple(widths),
        kinds=kinds,
    )


def _parts(text: str | None) -> list[str]:
    return [part.strip().lower() for part in (text or "").split(",") if part.strip()]


def _number(option: str, text: str, bounds: tuple[float, float]) -> float:
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not bounds[0] <= value <= bounds[1]:
        mend = f"Write numbers from {bounds[0]:g} to {bounds[1]:g}, with commas between them"
        raise LettererError(Fault(f'{option} cannot be "{text}"', mend))
    return value


def _numbers(option: str, text: str) -> tuple[int, ...]:
    parts = _parts(text)
    if not parts or not all(part.isdecimal() and 0 < int(part[:9]) < 1000 for part in parts):
        mend = "Write whole numbers from 1, with commas between them"
        raise LettererError(Fault(f'{option} cannot be "{text}"', mend))
    return tuple(int(part) for part in parts)


def unknown(option: str, word: str, known: tuple[str, ...]) -> Fault:
    """The fault of a word that an option does not know, with the nearest that it does."""
    near = nearest(word, known)
    mend = f"Did you mean {near}?" if near else f"Choose from {', '.join(known)}"
    return Fault(f'{option} cannot be "{word}"', mend)
