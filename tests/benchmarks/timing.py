"""Work measured in turns, so that a busy machine slows both sides of a comparison alike.

Time is what a clock shows; "cpu" is what the processor gave, child processes included. A round in
which one process got much less of the processor than it asked for was disturbed by others; it is
done again, a few times at most, and what was left disturbed is counted.
"""

from __future__ import annotations

import os
import resource
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

DISTURBED = 1.25
"""A clock this many times the processor's time says that others had the processor meanwhile."""

NOT_AS_INSTALLED = ("PYTHONDONTWRITEBYTECODE", "OPENBLAS_NUM_THREADS")
"""Settings of this process that would make another one start otherwise than a person's does."""

AGAIN_MOST = 3
"""Each round is done again so often at most."""


@dataclass
class Timed:
    """What one piece of work took, round by round, in seconds; and the rounds left disturbed."""

    clock: list[float] = field(default_factory=list)
    cpu: list[float] = field(default_factory=list)
    disturbed: int = 0

    @property
    def middle(self) -> float:
        """The median by the clock."""
        return median(self.clock)


def surroundings(folder: Path) -> dict[str, str]:
    """The environment of a process that is measured: its cache stands in this folder, so that
    nothing of earlier runs is there; and Python may keep what it compiled, as pip does for whoever
    installs letterer."""
    kept = {name: value for name, value in os.environ.items() if name not in NOT_AS_INSTALLED}
    return {**kept, "LETTERER_CACHE": str(folder / "kept")}


Table = dict[str, Timed]
Work = Callable[[], object]


def _calm() -> bool:
    """Whether doing a round again may help: not where many others always want the processor."""
    return os.getloadavg()[0] < 2 * (os.cpu_count() or 1)


def measure(work: Work) -> tuple[float, float]:
    """Seconds by the clock and of the processor that a piece of work takes."""
    cpu, clock = _cpu(), time.perf_counter()
    work()
    return time.perf_counter() - clock, _cpu() - cpu


def _cpu() -> float:
    used = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(one.ru_utime + one.ru_stime for one in used)


def in_turns(
    work: Mapping[str, Work], rounds: int, parallel: frozenset[str] = frozenset()
) -> Table:
    """Several pieces of work, in turns; every second round runs them the other way round.

    Work named in `parallel` uses several processes, whose time by the clock says nothing about
    others; the rest decides whether a round is done again.
    """
    table = {name: Timed() for name in work}
    for turn in range(rounds):
        best: dict[str, tuple[float, float]] = {}
        for _ in range(AGAIN_MOST if _calm() else 1):
            names = list(work) if turn % 2 == 0 else list(work)[::-1]
            made = {name: measure(work[name]) for name in names}
            if not best or _strain(made, parallel) < _strain(best, parallel):
                best = made
            if _strain(best, parallel) <= DISTURBED:
                break
        for name, (clock, cpu) in best.items():
            table[name].clock.append(clock)
            table[name].cpu.append(cpu)
            table[name].disturbed += _strain(best, parallel) > DISTURBED
    return table


def _strain(made: Mapping[str, tuple[float, float]], parallel: frozenset[str]) -> float:
    """The worst share of clock to processor in a round; very short work is left out."""
    return max(
        (
            clock / max(cpu, 1e-9)
            for name, (clock, cpu) in made.items()
            if name not in parallel and clock > 0.02
        ),
        default=1.0,
    )
