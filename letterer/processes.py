"""Work done in processes beside this one, an item at a time each.

A process that the system ends takes no more with it than the item it had in hand, which is done
once more by itself; what it left half-written is taken away. Processes end by themselves when
whoever began them is gone, and when they are stopped they finish what they have in hand.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import signal
import sys
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from multiprocessing import connection
from multiprocessing.connection import Connection
from multiprocessing.context import BaseContext
from multiprocessing.process import BaseProcess
from types import ModuleType
from typing import Any, Generic, TypeVar, cast

Item = TypeVar("Item")
Result = TypeVar("Result")

STARTS = ("forkserver", "spawn")
"""How processes begin, the first that the system has. A fork server reads the packages once for all
workers; plain fork would copy the threads of whoever calls us."""

READY = "letterer.out.ready"
"""What the fork server reads before it is asked for a worker."""


class LostError(Exception):
    """The system ended the process that did an item, and did so again when it was done alone."""


@dataclass(slots=True)
class _Worker(Generic[Item]):
    """A process, the pipe to it, and what it has in hand."""

    process: BaseProcess
    pipe: Connection
    item: Item


@dataclass(slots=True)
class Beside(Generic[Item, Result]):
    """Does `work` for items in so many processes; `work` is a function of a module.

    `ended` is called with an item and a process's number when the system has ended that process
    while it did the item.
    """

    work: Callable[[Item], Result]
    processes: int
    ended: Callable[[Item, int], object]
    _busy: dict[Connection, _Worker[Item]] = field(default_factory=dict)
    _again: list[Item] = field(default_factory=list)

    def run(self, items: Sequence[Item]) -> Iterator[tuple[Item, Result | Exception]]:
        """What each item came to, as soon as it is done, in any order: what the work gave or
        raised, or a LostError. When this is stopped, items in hand are finished, and no other is
        begun."""
        waiting = deque(items)
        try:
            yield from self._through(waiting, self.processes)
            alone, self._again = deque(self._again), []
            yield from self._through(alone, 1)
            for item in self._again:
                yield item, LostError()
        finally:
            workers = list(self._busy.values())
            for worker in workers:
                worker.pipe.close()
            for worker in workers:
                worker.process.join()

    def _through(
        self, waiting: deque[Item], processes: int
    ) -> Iterator[tuple[Item, Result | Exception]]:
        while waiting and len(self._busy) < processes:
            self._begin(waiting.popleft())
        while self._busy:
            for ready in connection.wait(list(self._busy)):
                pipe = cast("Connection", ready)  # each is one of those that were asked for
                worker = self._busy[pipe]
                item = worker.item
                try:
                    answer: Result | Exception = pipe.recv()
                except (EOFError, OSError):
                    self._lost(worker)
                    if waiting:
                        self._begin(waiting.popleft())
                    continue
                if waiting:
                    self._hand(worker, waiting.popleft())
                else:
                    self._let_go(worker)
                yield item, answer

    def _begin(self, item: Item) -> None:
        context = _context()
        ours, theirs = context.Pipe()
        process = context.Process(target=_serve, args=(self.work, theirs))  # type: ignore[attr-defined]
        with _without_main():
            process.start()
        theirs.close()
        worker = _Worker(process, ours, item)
        self._busy[ours] = worker
        self._hand(worker, item)

    def _hand(self, worker: _Worker[Item], item: Item) -> None:
        worker.item = item
        with contextlib.suppress(OSError):  # one that has ended is noticed when it is listened to
            worker.pipe.send(item)

    def _let_go(self, worker: _Worker[Item]) -> None:
        del self._busy[worker.pipe]
        worker.pipe.close()
        worker.process.join()

    def _lost(self, worker: _Worker[Item]) -> None:
        self._again.append(worker.item)
        self._let_go(worker)
        self.ended(worker.item, worker.process.pid or 0)


def _serve(work: Callable[[Any], Any], pipe: Connection) -> None:
    """In a worker: do what comes until nothing more can come, and leave Ctrl-C to whoever began
    it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        while True:
            item = pipe.recv()
            try:
                answer = work(item)
            except Exception as error:
                answer = error
            pipe.send(answer)
    except (EOFError, OSError):
        return


@contextlib.contextmanager
def _without_main() -> Iterator[None]:
    """Hide the program that began this process. Workers would run its file once more to know what
    it holds, and ours need nothing of it: so a person's own script may letter without a guard."""
    main = sys.modules["__main__"]
    sys.modules["__main__"] = ModuleType("__main__")
    try:
        yield
    finally:
        sys.modules["__main__"] = main


def make_ready() -> None:
    """Let the fork server begin to read the packages, where the system has one; this returns at
    once, so that it may be called as soon as it is likely that processes will be wanted."""
    _context()


@cache
def _context() -> BaseContext:
    start = next(way for way in STARTS if way in multiprocessing.get_all_start_methods())
    context = multiprocessing.get_context(start)
    if start == "forkserver":
        from multiprocessing import forkserver, resource_tracker

        context.set_forkserver_preload([READY])
        # Both inherit that Ctrl-C is blocked, and so does every worker from its first moment. The
        # tracker comes first, since beginning it lets Ctrl-C through again.
        resource_tracker.ensure_running()
        before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        try:
            with _without_main():
                forkserver.ensure_running()
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
    return context
