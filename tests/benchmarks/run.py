"""How long letterer takes, and how much memory: one table, and the same as JSON in out/bench.json.

    scripts/bench [--rounds N] [--only page,book,density,start,memory,balloons]

What is compared is run in turns within one run. *Cold* is a new process, the start of Python
included; *warm* is in this process, after one run that is not counted. Nothing is asserted: the
aims stand beside what was measured. `pages` and `balloons` say what each piece of work is.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict
from pathlib import Path
from statistics import median
from typing import NamedTuple

TOP = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(TOP))

from tests.benchmarks import balloons, pages  # noqa: E402
from tests.benchmarks.timing import Table  # noqa: E402

PARTS: dict[str, Callable[[Path, int], Table]] = {
    "page": pages.one_page,
    "book": pages.whole_book,
    "density": pages.density,
    "start": pages.start,
    "balloons": balloons.balloons,
}
MEMORY = "memory"


class Aim(NamedTuple):
    """A ratio of two medians, what it is aimed at, and whether more is better."""

    one: str
    other: str
    aim: float | None = None
    more: bool = False


AIMS = (
    Aim(pages.OURS, pages.FLOOR, 1.5),
    Aim(pages.OURS, pages.WHOLE, 0.2),
    Aim(pages.OURS, pages.TYPST_PNG, 1 / 3),
    Aim(pages.OURS_WORDS, pages.TYPST_PNG, 1 / 3),
    Aim(pages.SVG_BOOK, pages.TYPST_SVG_BOOK, 1.5),
    Aim(pages.SVG_AGAIN, pages.SVG_BOOK),
    Aim(pages.SVG_PAGE, pages.TYPST_SVG_PAGE, 1.0),
    Aim(pages.PDF_BOOK, pages.TYPST_PDF_BOOK, 2.0),
    Aim(pages.ONE, pages.TWO, 1.7, more=True),
    Aim(pages.MANY, pages.FEW, 9.0),
    Aim(pages.HELP, pages.BARE, 3.0),
    Aim(pages.VERSION, pages.BARE, 3.0),
    Aim("13 words, naive prototype", "13 words, search alone"),
    Aim("30 words, full fit", "13 words, full fit"),
    Aim("120 words, full fit", "30 words, full fit", 10.0),
)
MEMORY_AIMS = {
    "1 page, SVG": (("--format", "svg"), None),
    "1 page, PNG 600 dpi": (("--format", "png"), 90),
    "1 page, PNG 1200 dpi": (("--format", "png", "--dpi", "1200"), 130),
}


def lines(table: Table, memory: Mapping[str, float]) -> Iterator[str]:
    """The table as text: milliseconds, then ratios with their aims, then memory."""
    yield f"{'milliseconds':<38}{'median':>10}{'least':>10}{'cpu':>10}{'of':>6}{'disturbed':>11}"
    for name, timed in table.items():
        shown = (1000 * value for value in (timed.middle, min(timed.clock), median(timed.cpu)))
        told = "".join(f"{value:>10.1f}" for value in shown)
        yield f"{name:<38}{told}{len(timed.clock):>6}{timed.disturbed:>11}"
    yield ""
    yield f"{'ratio of the medians':<68}{'clock':>8}{'cpu':>8}  aim"
    for aim in AIMS:
        if aim.one in table and aim.other in table:
            clock, cpu = ratio(table, aim)
            told = f"{f'{aim.one} : {aim.other}':<68}{clock:>8.2f}"
            told += f"{'':>8}" if aim.more else f"{cpu:>8.2f}"
            yield told + (f"  {_verdict(table, aim)}" if aim.aim else "")
    if memory:
        yield ""
        yield "peak memory, MB"
        for name, most in memory.items():
            aim_mb = MEMORY_AIMS[name][1]
            met = "met" if aim_mb and most <= aim_mb else "missed"
            told = f"  at most {aim_mb}: {met}" if aim_mb else ""
            yield f"{name:<38}{most:>10.0f}{told}"


def _verdict(table: Table, aim: Aim) -> str:
    """Whether an aim is met: by the clock, or by the processor where others took it meanwhile. What
    is aimed at several processes only the clock can tell."""
    assert aim.aim is not None
    found, cpu = ratio(table, aim)
    rounds = [table[name] for name in (aim.one, aim.other)]
    disturbed = any(2 * one.disturbed > len(one.clock) for one in rounds)
    if disturbed and not aim.more:
        found = cpu
    met = found >= aim.aim if aim.more else found <= aim.aim
    told = f"at {'least' if aim.more else 'most'} {aim.aim:.2f}: {'met' if met else 'missed'}"
    if disturbed:
        told += " (disturbed: no judgement)" if aim.more else " (disturbed: by the processor)"
    return told


def ratio(table: Table, aim: Aim) -> tuple[float, float]:
    """By the clock and by the processor; texts are compared with texts of the same places."""
    first, second = table[aim.one], table[aim.other]
    count = min(len(first.clock), len(second.clock))
    return (
        median(first.clock[:count]) / median(second.clock[:count]),
        median(first.cpu[:count]) / max(median(second.cpu[:count]), 1e-9),
    )


def machine() -> dict[str, object]:
    """What the numbers were measured on."""
    return {
        "python": platform.python_version(),
        "system": platform.system(),
        "processor": platform.machine(),
        "cores": os.cpu_count(),
    }


def main() -> int:
    names = [*PARTS, MEMORY]
    parser = argparse.ArgumentParser(description="How long letterer takes, and how much memory.")
    parser.add_argument("--rounds", type=int, default=5, help="how often each is run (5)")
    parser.add_argument("--only", default=",".join(names), help=f"some of {', '.join(names)}")
    options = parser.parse_args()
    parts = options.only.split(",")
    if options.rounds < 1 or not set(parts) <= set(names):
        parser.error(f"--rounds is from 1, and --only names some of {', '.join(names)}")
    before = os.getloadavg()
    table: Table = {}
    memory: dict[str, float] = {}
    loads = {}
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        if MEMORY in parts:  # first: see peak_memory
            for name, (how, _) in MEMORY_AIMS.items():
                memory[name] = pages.peak_memory(folder, "--jobs", "1", *how)
        for part in (part for part in PARTS if part in parts):
            print(f"measuring: {part} ...", file=sys.stderr, flush=True)
            table |= PARTS[part](folder, options.rounds)
            loads[part] = os.getloadavg()[0]
    load = {"before": before, "after": os.getloadavg(), "after each part": loads}
    print("\n".join(lines(table, memory)))
    print()
    told = ", ".join(f"{key} {value}" for key, value in machine().items())
    each = ", ".join(f"{part} {value:.1f}" for part, value in loads.items())
    print(f"{told}; load {before[0]:.1f} before; after {each}")
    if not pages.has_typst():
        print("Typst is not installed here: pip install typst adds its rows.")
    kept = TOP / "out" / "bench.json"
    kept.parent.mkdir(exist_ok=True)
    result = {
        "machine": machine(),
        "load": load,
        "rounds": options.rounds,
        "seconds": {name: asdict(timed) for name, timed in table.items()},
        "peak memory, MB": memory,
        "ratios": {
            f"{aim.one} : {aim.other}": [*ratio(table, aim), aim.aim]
            for aim in AIMS
            if aim.one in table and aim.other in table
        },
    }
    kept.write_text(json.dumps(result, indent=1) + "\n", "utf-8")
    print(f"Kept in {kept.relative_to(TOP)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
