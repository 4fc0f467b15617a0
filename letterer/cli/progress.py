"""A progress bar on a terminal, where work is long; nothing where stderr is a file or a pipe."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

WAIT_SECONDS = 0.5
"""Shorter work shows no bar."""

LOOK = " {percentage:3.0f}% |{bar}| {desc}"


@contextmanager
def progress_bar(what: str) -> Iterator[Callable[[str, float], None]]:
    """A function to call after each step, with a few words and the share that is done (0 to 1).

    It draws only on a terminal, and clears its line at the end.
    """
    if sys.stderr is None or not sys.stderr.isatty():
        yield lambda words, share: None
        return
    from tqdm import tqdm

    with tqdm(
        total=1.0, leave=False, delay=WAIT_SECONDS, file=sys.stderr, bar_format=what + LOOK
    ) as bar:

        def step(words: str, share: float) -> None:
            bar.set_description_str(words, refresh=False)
            bar.update(min(share, 1.0) - bar.n)

        yield step
