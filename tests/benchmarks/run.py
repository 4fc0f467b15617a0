"""How long letterer takes, and how much memory: one table, and the same as JSON in out/bench.json.

    scripts/bench [--rounds N] [--only page,fit,demo]

What is compared is run in turns within one run, so that a busy machine slows both alike; the load
of the machine is told beside the table. Nothing is asserted. *Cold* is a new process, start of
Python included; *warm* is in this process, after one run that is not counted. Time is what a clock
shows; "cpu" is what the processor gave, which a busy machine changes less.

The naive prototype is a fit as one would first write it, in plain Python: every breaking into every
number of lines, widths of lines as sums of the widths of words, and for each the least ellipse by
trying widths to height in a loop. It knows no costs but area. The words are made up.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import platform
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass, field
from itertools import combinations
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from letterer.text.shaping import Shaper

TOP = Path(__file__).resolve().parent.parent.parent
DEMO = TOP / "shared" / "demo"
PARTS = ("page", "fit", "demo")
SEQUENCE = 4711
TEXTS = 24
"""So many different texts of each length; the prototype is slow, and gets fewer."""

TEXTS_NAIVE = 6

VOCABULARY = """
a at be by do go he if in it me my no of on or so to up us we and any are ask but can did far
for had has her him his how let man may new not now off old one our out own put say see she
sun the too try two was way who why yes you boat door down ever feet from gate hand hear here
home kept know lamp last late left lock mind more need next once over rain road room sail
salt seen ship stay such tell than that them then they this tide told took turn upon very
wait walk want wave well were what when will wind with word work year your above after again
alone began below bring every found friend garden harbour keeper ladder lantern letter
morning mountain nobody nothing perhaps remember somebody stranger thousand together tomorrow
weather whatever yesterday
""".split()  # noqa: SIM905


@dataclass
class Timed:
    """What one piece of work took, round by round, in seconds."""

    clock: list[float] = field(default_factory=list)
    cpu: list[float] = field(default_factory=list)

    def run(self, work: Callable[[], object]) -> None:
        """Do the work once, and note its time. The cpu of child processes counts."""
        cpu, clock = _cpu(), time.perf_counter()
        work()
        self.clock.append(time.perf_counter() - clock)
        self.cpu.append(_cpu() - cpu)


Table = dict[str, Timed]


def _cpu() -> float:
    used = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(one.ru_utime + one.ru_stime for one in used)


def in_turns(work: dict[str, Callable[[], object]], rounds: int) -> Table:
    """Several pieces of work, in turns; every second round runs them the other way round."""
    table = {name: Timed() for name in work}
    for turn in range(rounds):
        names = list(work) if turn % 2 == 0 else list(work)[::-1]
        for name in names:
            table[name].run(work[name])
    return table


# --- Pages ------------------------------------------------------------------------------------


def command(folder: str, *options: str) -> list[str]:
    """The command line that letters the demo."""
    files = (str(DEMO / "script.txt"), str(DEMO / "layout.json"))
    return [sys.executable, "-m", "letterer", "letter", *files, "-o", folder, *options]


def cold(folder: str, *options: str) -> Callable[[], object]:
    """The command in a process of its own."""
    return lambda: subprocess.run(
        command(folder, *options), cwd=TOP, check=True, capture_output=True
    )


def warm(
    folder: str, formats: tuple[str, ...], pages: tuple[int, ...] | None
) -> Callable[[], object]:
    """The same in this process, once run before it is measured."""
    from letterer.api import Output, letter

    output = Output(folder, formats=formats, dpi=600, pages=pages)

    def work() -> object:
        return letter(DEMO / "script.txt", DEMO / "layout.json", output)

    work()
    return work


def pages(folder: str, rounds: int) -> Table:
    """One page of the demo, as SVG and as PNG, cold and warm."""
    bare = [sys.executable, "-c", "pass"]
    one = ("--pages", "1", "--format")
    return in_turns(
        {
            "Python alone, cold": lambda: subprocess.run(bare, check=True),
            "1 page, SVG, cold": cold(folder, *one, "svg"),
            "1 page, SVG, warm": warm(folder, ("svg",), (1,)),
            "1 page, PNG 600 dpi, cold": cold(folder, *one, "png"),
            "1 page, PNG 600 dpi, warm": warm(folder, ("png",), (1,)),
        },
        rounds,
    )


def whole_demo(folder: str, rounds: int) -> Table:
    """All three pages, SVG and PNG."""
    return in_turns(
        {
            "3 pages, SVG and PNG 600 dpi, cold": cold(folder),
            "3 pages, SVG and PNG 600 dpi, warm": warm(folder, ("svg", "png"), None),
            "3 pages, SVG, warm": warm(folder, ("svg",), None),
        },
        rounds,
    )


def peak_memory(folder: str, *options: str) -> float:
    """The most memory that the command held, in MB; asked by itself at its end.

    A process that was just made counts what its maker held: this is run before the maker, this very
    program, has loaded anything large.
    """
    arguments = command(folder, *options)[3:]
    code = (
        "import resource, sys\n"
        "from letterer.cli.main import main\n"
        f"status = main({arguments!r})\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)\n"
        "sys.exit(status)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=TOP, check=True, capture_output=True, text=True
    )
    unit = 1 if sys.platform == "darwin" else 1024  # bytes there, kilobytes elsewhere
    return int(ran.stdout.splitlines()[-1]) * unit / 1024**2


# --- Balloons ---------------------------------------------------------------------------------


def texts(words: int, count: int) -> list[str]:
    """Made-up speeches of so many words, the same in every run."""
    drawn = random.Random(f"{SEQUENCE} {words}")
    return [_speech(drawn, words) for _ in range(count)]


def _speech(drawn: random.Random, words: int) -> str:
    said: list[str] = []
    begins = True
    for place in range(words):
        word = drawn.choice(VOCABULARY)
        ends = place == words - 1 or (drawn.random() < 0.12 and not begins)
        mark = drawn.choice("..!?") if ends else "," if drawn.random() < 0.08 else ""
        said.append((word.capitalize() if begins else word) + mark)
        begins = ends
    return " ".join(said)


def _shaper(text: str) -> Shaper:
    from letterer.model.script import Run
    from letterer.text.faces import library
    from letterer.text.shaping import Lettering, Shaper
    from letterer.text.tradition import dress

    return Shaper(dress([Run(text)]), Lettering(("Letterer Hand",)), library(()))


def _fitted(shaper: Shaper) -> object:
    from letterer.fit.balloon import BalloonShape, Wishes, fit_balloon
    from letterer.fit.measure import MeasuredWords

    return fit_balloon(MeasuredWords(shaper), BalloonShape(), Wishes())[0]


def full_fit(text: str) -> Callable[[], object]:
    """From words to the best balloon: dressed, shaped, searched, set for true; nothing kept."""
    return lambda: _fitted(_shaper(text))


def search_alone(text: str) -> Callable[[], object]:
    """The same, its words dressed and shaped before the clock starts."""
    shaper = _shaper(text)
    return lambda: _fitted(shaper)


def naive_fit(text: str) -> Callable[[], object]:
    """The prototype, its words measured before the clock starts."""
    from letterer import craft
    from letterer.fit.measure import MeasuredWords

    measured = MeasuredWords(_shaper(text))
    widths = [2 * float(measured.half_widths[at, at + 1]) for at in range(len(measured))]
    space = 2 * float(measured.half_widths[0, 2]) - widths[0] - widths[1]
    low, high = craft.ASPECT_RANGE
    aspects = [low + (high - low) * step / 8 for step in range(9)]
    measures = (measured.cap, craft.LEADING_EM, craft.AIR_CAPS * measured.cap)
    return lambda: naive(widths, space, measures, aspects)


def naive(
    widths: Sequence[float],
    space: float,
    measures: tuple[float, float, float],
    aspects: Sequence[float],
) -> tuple[float, tuple[int, ...]]:
    """The least area of an ellipse round any breaking, and that breaking."""
    cap, leading, air = measures
    best: float = math.inf
    best_breaks: tuple[int, ...] = ()
    count = len(widths)
    for lines in range(1, count + 1):
        for inner in combinations(range(1, count), lines - 1):
            breaks = (*inner, count)
            corners = []
            begin, top = 0, -(cap + leading * (lines - 1)) / 2
            for end in breaks:
                half = (sum(widths[begin:end]) + space * (end - begin - 1)) / 2 + air
                corners.append((half, max(abs(top), abs(top + cap)) + air))
                begin, top = end, top + leading
            for aspect in aspects:
                high = max(math.sqrt((x / aspect) ** 2 + y * y) for x, y in corners)
                area = math.pi * high * high * aspect
                if area < best:
                    best, best_breaks = area, breaks
    return best, best_breaks


CASES: tuple[tuple[str, int, int, Callable[[str], Callable[[], object]]], ...] = (
    ("13 words, naive prototype", 13, TEXTS_NAIVE, naive_fit),
    ("13 words, search alone", 13, TEXTS, search_alone),
    ("13 words, full fit", 13, TEXTS, full_fit),
    ("30 words, search alone", 30, TEXTS, search_alone),
    ("30 words, full fit", 30, TEXTS, full_fit),
    ("60 words, full fit", 60, TEXTS, full_fit),
    ("120 words, search alone", 120, TEXTS, search_alone),
    ("120 words, full fit", 120, TEXTS, full_fit),
)


def fits(_: str, rounds: int) -> Table:
    """Balloons of several lengths, all in turns.

    Of each text the median of its rounds is kept, so that the table's median is one over texts.
    """
    table: Table = {name: Timed() for name, *_ in CASES}
    for _name, words, count, make in CASES:
        if count == TEXTS:
            for text in texts(words, count):  # so that every letter has been drawn once
                make(text)()
    for place in range(TEXTS):
        work = {
            name: make(texts(words, count)[place])
            for name, words, count, make in CASES
            if place < count
        }
        for name, timed in in_turns(work, rounds).items():
            table[name].clock.append(median(timed.clock))
            table[name].cpu.append(median(timed.cpu))
    return table


# --- The table --------------------------------------------------------------------------------

RATIOS = (
    ("1 page, SVG, cold", "1 page, SVG, warm"),
    ("1 page, PNG 600 dpi, cold", "1 page, PNG 600 dpi, warm"),
    ("1 page, PNG 600 dpi, warm", "1 page, SVG, warm"),
    ("13 words, naive prototype", "13 words, search alone"),
    ("30 words, full fit", "13 words, full fit"),
    ("120 words, full fit", "30 words, full fit"),
    ("120 words, search alone", "30 words, search alone"),
    ("3 pages, SVG and PNG 600 dpi, cold", "3 pages, SVG and PNG 600 dpi, warm"),
)


def lines(table: Table, memory: dict[str, float]) -> Iterator[str]:
    """The table as text: milliseconds, then ratios, then memory."""
    yield f"{'milliseconds':<38}{'median':>10}{'least':>10}{'cpu':>10}{'of':>6}"
    for name, timed in table.items():
        shown = (1000 * value for value in (median(timed.clock), min(timed.clock)))
        told = "".join(f"{value:>10.1f}" for value in (*shown, 1000 * median(timed.cpu)))
        yield f"{name:<38}{told}{len(timed.clock):>6}"
    yield ""
    yield f"{'ratio of the medians':<68}{'clock':>8}{'cpu':>8}"
    for one, other in RATIOS:
        if one in table and other in table:
            clock, cpu = ratio(table, one, other)
            yield f"{f'{one} : {other}':<68}{clock:>8.1f}{cpu:>8.1f}"
    if memory:
        yield ""
        yield "peak memory, MB"
        for name, most in memory.items():
            yield f"{name:<38}{most:>10.0f}"


def ratio(table: Table, one: str, other: str) -> tuple[float, float]:
    """By the clock and by the processor; texts are compared with texts of the same places."""
    count = min(len(table[one].clock), len(table[other].clock))
    first, second = table[one], table[other]
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
    parser = argparse.ArgumentParser(description="How long letterer takes, and how much memory.")
    parser.add_argument("--rounds", type=int, default=5, help="how often each is run (5)")
    parser.add_argument("--only", default=",".join(PARTS), help="some of page, fit and demo")
    options = parser.parse_args()
    parts = options.only.split(",")
    if options.rounds < 1 or not set(parts) <= set(PARTS):
        parser.error(f"--rounds is from 1, and --only names some of {', '.join(PARTS)}")
    sys.path.insert(0, str(TOP))
    before = os.getloadavg()
    table: Table = {}
    memory: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as folder:
        one = ("--pages", "1", "--format")
        if "page" in parts:  # first: see peak_memory
            memory["1 page, SVG"] = peak_memory(folder, *one, "svg")
            memory["1 page, PNG 600 dpi"] = peak_memory(folder, *one, "png")
        if "demo" in parts:
            memory["3 pages, SVG and PNG 600 dpi"] = peak_memory(folder)
        measures = {"page": pages, "fit": fits, "demo": whole_demo}
        for part in (part for part in PARTS if part in parts):
            print(f"measuring: {part} ...", file=sys.stderr, flush=True)
            table |= measures[part](folder, options.rounds)
    load = {"before": before, "after": os.getloadavg()}
    print("\n".join(lines(table, memory)))
    print()
    told = ", ".join(f"{key} {value}" for key, value in machine().items())
    print(f"{told}; load {before[0]:.1f} before, {load['after'][0]:.1f} after")
    print("of: rounds; for balloons, texts (each the median of its rounds)")
    kept = TOP / "out" / "bench.json"
    kept.parent.mkdir(exist_ok=True)
    result = {
        "machine": machine(),
        "load": load,
        "rounds": options.rounds,
        "seconds": {name: asdict(timed) for name, timed in table.items()},
        "peak memory, MB": memory,
        "ratios": {
            f"{one} : {other}": ratio(table, one, other)
            for one, other in RATIOS
            if one in table and other in table
        },
    }
    kept.write_text(json.dumps(result, indent=1) + "\n", "utf-8")
    print(f"Kept in {kept.relative_to(TOP)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
