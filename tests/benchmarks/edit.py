"""One word changed in a book of 22 pages: how long until its page is there again.

    python tests/benchmarks/edit.py [--rounds N]

Each round changes one word of another page, and letters the book anew and then what changed, in
turns, so that a busy machine slows both alike. *Full* draws every page in a new process, *cold*
draws what changed in a new process, *watched* draws it in a process that has drawn before, from the
save on. Nothing is asserted: the aims stand beside what was measured. The processor's time of a
full book by several processes is theirs, and not counted.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median

TOP = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(TOP))

from letterer.api import Output, letter  # noqa: E402
from tests.benchmarks import book  # noqa: E402
from tests.benchmarks.timing import Table, Timed, Work, measure, surroundings  # noqa: E402

FORMATS = {"SVG": ("svg", 0.10), "PNG 600 dpi": ("png", 0.05)}
"""By the name of a row: the format, and the aim for an edit as a share of the full book."""

NO = "--no-cache"

WORDS = ("Listen", "Quickly", "Careful", "Enough", "Hurry")
"""None of them is in the vocabulary of the book, so that every edit is one."""


def edits(folder: Path) -> tuple[Path, Path, Callable[[], None]]:
    """A book, and a function that changes the first word of a balloon, each time on another page
    and to a word that this balloon has not had."""
    script, layout = book.write(book.book(), folder)
    turn = 0

    def edit() -> None:
        nonlocal turn
        page, word = turn % book.PAGES + 1, WORDS[turn // book.PAGES % len(WORDS)]
        lines = script.read_text("utf-8").split("\n")
        at = lines.index(f"PAGE {page}") + 2
        name, _, said = lines[at].partition(" ")
        lines[at] = f"{name} {word} {said.partition(' ')[2]}"
        script.write_text("\n".join(lines), "utf-8")
        turn += 1

    return script, layout, edit


def measured(folder: Path, name: str, rounds: int) -> Table:
    """Full, cold and watched, in one format."""
    kind = FORMATS[name][0]
    script, layout, edit = edits(folder / kind)
    kept, warm = folder / f"{kind} kept", folder / f"{kind} watched"

    def command(out: str, *options: str) -> None:
        arguments = ["letter", str(script), str(layout), "-o", str(folder / kind / out)]
        subprocess.run(
            [sys.executable, "-m", "letterer", *arguments, "--format", kind, *options],
            check=True,
            cwd=TOP,
            stdout=subprocess.DEVNULL,
            env={**surroundings(folder), "LETTERER_CACHE": str(kept)},
        )

    output = Output(folder / kind / "watched", (kind,), jobs=None, cache=warm)

    def changed() -> None:
        edit()
        command("cold")

    def saved() -> None:
        edit()
        letter(script, layout, output)

    # What the other way's edit left to be drawn is drawn before the clock starts.
    ways: dict[str, tuple[Work, Work]] = {
        f"{name}, full, 1 process": (lambda: None, lambda: command("full", NO, "--jobs", "1")),
        f"{name}, full": (lambda: None, lambda: command("full", NO)),
        f"{name}, cold": (lambda: command("cold"), changed),
        f"{name}, watched": (lambda: letter(script, layout, output), saved),
    }
    table: Table = {row: Timed() for row in ways}
    for turn in range(rounds):
        for row in list(ways) if turn % 2 == 0 else list(ways)[::-1]:
            ready, work = ways[row]
            ready()
            clock, cpu = measure(work)
            table[row].clock.append(clock)
            table[row].cpu.append(cpu)
    return table


def lines(table: Table) -> Iterator[str]:
    """The table as text: milliseconds, then each edit as a share of the full book."""
    yield f"{'milliseconds':<38}{'median':>10}{'least':>10}{'cpu':>10}{'of':>6}"
    for name, timed in table.items():
        shown = (1000 * value for value in (timed.middle, min(timed.clock), median(timed.cpu)))
        yield f"{name:<38}{''.join(f'{value:>10.1f}' for value in shown)}{len(timed.clock):>6}"
    yield ""
    yield f"{'ratio of the medians':<52}{'clock':>8}  aim"
    for name, (_, aim) in FORMATS.items():
        for way in ("cold", "watched"):
            for full in ("full, 1 process", "full"):
                one, other = table[f"{name}, {way}"], table[f"{name}, {full}"]
                clock = one.middle / other.middle
                verdict = "met" if clock <= aim else "missed"
                told = f"{name}, {way} : {full}"
                yield f"{told:<52}{clock:>8.3f}  at most {aim:.2f}: {verdict}"


def main() -> int:
    parser = argparse.ArgumentParser(description="One word changed in a book of 22 pages.")
    parser.add_argument("--rounds", type=int, default=5, help="how often each is run (5)")
    options = parser.parse_args()
    if options.rounds < 1:
        parser.error("--rounds is from 1")
    before = os.getloadavg()[0]
    table: Table = {}
    with tempfile.TemporaryDirectory() as place:
        for name in FORMATS:
            print(f"measuring: {name} ...", file=sys.stderr, flush=True)
            table |= measured(Path(place), name, options.rounds)
    print("\n".join(lines(table)))
    cores, after = os.cpu_count(), os.getloadavg()[0]
    print(f"\n{cores} cores; load {before:.1f} before, {after:.1f} after")
    return 0


if __name__ == "__main__":
    sys.exit(main())
