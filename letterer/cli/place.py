"""`letterer place`: proposes places for words that have none, and keeps or accepts them."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from letterer.cli.arguments import add_fonts, take_anywhere
from letterer.errors import Fault, LettererError

if TYPE_CHECKING:
    from letterer.placing import Numbered, Placed

HELP = "Propose places for the words that have none, several ways side by side; --keep takes one."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of this command."""
    take_anywhere(parser)
    parser.epilog = (
        "Costs are told in inches that a letterer would give: a cost of 0.5 says that the words"
        " might as well stand half an inch lower in the panel."
    )
    parser.add_argument("script", metavar="SCRIPT", nargs="?", help="the script")
    parser.add_argument("layout", metavar="LAYOUT", nargs="?", help="the layout")
    parser.add_argument(
        "units",
        metavar="PAGE or UNIT",
        nargs="*",
        help="only pages such as 2 or 1-3, panels such as 1.2, units such as 1.2.3 (all)",
    )
    parser.add_argument(
        "-o",
        "--out",
        metavar="SHEET",
        default="out/place.html",
        help="the sheet to draw: .html, .svg or .png (out/place.html)",
    )
    parser.add_argument(
        "--keep",
        metavar="N",
        help='write proposal N of the sheet into the layout (several: 1,5; or "first": the first'
        " of every panel)",
    )
    parser.add_argument(
        "--accept",
        action="store_true",
        help="settle places that are proposed: all, or those of the pages and units named",
    )
    parser.add_argument(
        "--explain", action="store_true", help="tell what each proposal costs, and how sure it is"
    )
    parser.add_argument(
        "--json", action="store_true", help="write the proposals as JSON, for other programs"
    )
    add_fonts(parser)


def run(options: argparse.Namespace) -> int:
    """Propose, keep or accept."""
    from letterer.placing import accept, keep_proposals, propose

    if options.layout is None:
        what = "place needs a script and a layout"
        raise LettererError(Fault(what, "Write: letterer place SCRIPT LAYOUT"))
    files = (options.script, options.layout)
    sheet = Path(options.out)
    fonts = tuple(Path(folder) for folder in options.fonts)
    if options.accept:
        if options.keep is not None:
            what = "--keep and --accept are two steps"
            raise LettererError(Fault(what, "Keep a proposal, look at the page, then accept it"))
        print(accept(*files, options.units))
        return 0
    if options.keep is not None:
        print(keep_proposals(*files, sheet, _numbers(options.keep), fonts).told)
        print(f"Look in {sheet.parent}/")
        return 0
    placed = propose(*files, sheet, options.units, fonts)
    if options.json:
        print(placed.json, end="")
        return 0
    _tell(placed, options.explain)
    return 0


def _numbers(text: str) -> tuple[int, ...] | str:
    from letterer.place.record import FIRST

    parts = [part.strip() for part in text.split(",") if part.strip()]
    if parts == [FIRST]:
        return FIRST
    if not parts or not all(part.isdecimal() and 0 < int(part[:9]) < 100_000 for part in parts):
        mend = f'Write numbers of the sheet with commas between them, or "{FIRST}"'
        raise LettererError(Fault(f'--keep cannot be "{text}"', mend))
    return tuple(int(part) for part in parts)


def _tell(placed: Placed, explain: bool) -> None:
    for panel in placed.panels:
        scene = panel[0].scene
        print(f"{'Panel' if scene.panel else 'Page'} {scene.name}")
        for one in panel:
            print(f"{one.number:>4}  {'; '.join(one.told)}")
            if explain:
                _explain(one)
    for remark in placed.remarks:
        print(remark)
    if placed.panels:
        print(f"Look at {placed.sheet}.")
        print(f"To take the first of each panel, say: {placed.command}")


def _explain(one: Numbered) -> None:
    proposal = one.proposal
    parts = sorted(proposal.costs, key=lambda part: -abs(part[1]))
    told = ", ".join(f"{name} {cost:.2f}" for name, cost in parts if abs(cost) >= 0.005)
    print(f"      costs {proposal.cost:.2f}: {told or 'nothing'}")
    if proposal.gap == 0.0:
        print(f"      the best of all choices among {proposal.compared} places (proven)")
    elif proposal.gap is not None:
        least = f"no choice among {proposal.compared} places is cheaper by over {proposal.gap:.2f}"
        print(f"      {least}")
