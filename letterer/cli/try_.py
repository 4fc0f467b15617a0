"""`letterer try`: choices for a unit side by side, and keeping one of them."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from letterer import craft
from letterer.cli.arguments import add_fonts, take_anywhere
from letterer.errors import Fault, LettererError, nearest

if TYPE_CHECKING:
    from letterer.out.sheet import Sheet
    from letterer.page.choices import Asked

SIZE_LEAST = 1.0
"""Smaller words could not be seen; a smaller number is a slip of the unit, in points."""

HELP = "Draw choices for a unit, or a whole panel, side by side; --keep N takes one."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    take_anywhere(parser)
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
    parser.add_argument(
        "--keep", metavar="N", help="write choice N of the sheet into the layout (several: 3,9)"
    )
    add_fonts(parser)


def run(options: argparse.Namespace) -> int:
    """Draw the sheet, or keep a choice of it."""
    from letterer.trying import Trial, keep_choice, keep_command, try_units, try_words

    sheet = Path(options.out)
    fonts = tuple(Path(folder) for folder in options.fonts)
    files = (options.script, options.layout)
    trial = Trial(tuple(options.units), _asked(options), fonts)
    if options.keep is not None:
        if options.words is not None:
            what = "a bare sentence has no place in a layout, so no choice of it is kept"
            raise LettererError(Fault(what, "Write it into the script, and try its unit"))
        if None in files:
            raise LettererError(Fault("--keep needs the script and the layout", _USAGE_KEEP))
        numbers = _numbers("--keep", options.keep)
        kept = keep_choice(*files, sheet, numbers, trial)
        print(kept.told)
        print(f"Look in {sheet.parent}/")
        return 0
    if options.words is not None:
        if options.script is not None:
            raise LettererError(Fault("--words stands alone, without a script", _USAGE))
        drawn = try_words(options.words, sheet, trial)
    elif None in files or not options.units:
        raise LettererError(Fault("no unit is named", _USAGE))
    else:
        drawn = try_units(*files, sheet, trial)
    _tell(drawn)
    print(f"Look at {sheet}.")
    if options.words is None and len(drawn.choices) > 1:
        print(f"To take choice 2, say: {keep_command(*files, sheet, fonts)}")
    return 0


def _tell(drawn: Sheet) -> None:
    from letterer.out.sheet import label

    for group in drawn.groups:
        for line in filter(None, (group.heading, group.note)):
            print(line)
        for choice in group.choices:
            print(f"{choice.number:>3}  {'; '.join(label(group.job, choice))}")
            print(f"     {' / '.join(choice.unit.breaks)}")
    for remark in drawn.remarks:
        print(remark)


_USAGE = 'Write: letterer try SCRIPT LAYOUT 1.2.3, or: letterer try --words "..."'
_USAGE_KEEP = "Write: letterer try SCRIPT LAYOUT --keep 3"


def _asked(options: argparse.Namespace) -> Asked:
    from letterer.model.style import KINDS
    from letterer.page.choices import WIDTHS, Asked

    kinds = tuple(_parts("--kinds", options.kinds))
    for kind in kinds:
        if kind not in KINDS:
            raise LettererError(unknown("--kinds", kind, KINDS))
    sizes = (SIZE_LEAST, craft.SIZE_MOST)
    return Asked(
        sizes=tuple(_number("--sizes", part, sizes) for part in _parts("--sizes", options.sizes)),
        lines=_numbers("--lines", options.lines),
        widths=tuple(_width(part, WIDTHS) for part in _parts("--widths", options.widths)),
        kinds=kinds,
    )


def _parts(option: str, text: str | None) -> list[str]:
    """What stands between the commas of an option; nothing where it is not given."""
    if text is None:
        return []
    parts = [part.strip().lower() for part in text.split(",") if part.strip()]
    if not parts:
        raise LettererError(
            Fault(f"{option} names nothing", "Write something there, or leave it out")
        )
    return parts


def _width(part: str, words: Mapping[str, float]) -> float:
    if part in words:
        return words[part]
    if part.isalpha():
        raise LettererError(unknown("--widths", part, tuple(words)))
    return _number("--widths", part, craft.ASPECT_FORCED_RANGE)


def _number(option: str, text: str, bounds: tuple[float, float]) -> float:
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not bounds[0] <= value <= bounds[1]:
        mend = f"Write numbers from {bounds[0]:g} to {bounds[1]:g}, with commas between them"
        raise LettererError(Fault(f'{option} cannot be "{text}"', mend))
    return value


def _numbers(option: str, text: str | None) -> tuple[int, ...]:
    parts = _parts(option, text)
    if not all(part.isdecimal() and 0 < int(part[:9]) < 1000 for part in parts):
        mend = "Write whole numbers from 1, with commas between them"
        raise LettererError(Fault(f'{option} cannot be "{text}"', mend))
    return tuple(int(part) for part in parts)


def unknown(option: str, word: str, known: tuple[str, ...]) -> Fault:
    """The fault of a word that an option does not know, with the nearest that it does."""
    near = nearest(word, known)
    mend = f"Did you mean {near}?" if near else f"Choose from {', '.join(known)}"
    return Fault(f'{option} cannot be "{word}"', mend)
