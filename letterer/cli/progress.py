"""A progress line on a terminal, where work is long; nothing where the output is a file or a
pipe."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

WAIT_SECONDS = 0.5
"""Shorter work shows no bar."""


@contextmanager
def progress_bar(what: str) -> Iterator[Callable[[str], None]]:
    """A function to call with a few words after each step; it draws only on a terminal."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from tqdm import tqdm

    with tqdm(desc=what, unit=" steps", leave=False, delay=WAIT_SECONDS, file=sys.stderr) as bar:

        def step(words: str) -> None:
            bar.set_postfix_str(words, refresh=False)
            bar.update()

        yield step
