"""What files hold, by a digest: one that looks the same from outside is not read a second time.

A file that is written to gets another time of change from the system, which no program can set.
Only files that have been left alone for a little are remembered, since the system's clock ticks
coarsely. It is remembered as long as this process runs, which is what `letterer watch` needs.
"""

from __future__ import annotations

import os
import time
from pathlib import Path

from letterer.cache.store import Entry

ALONE_NS = 2_000_000_000
"""So long a file must have been left alone; no file system in use ticks more coarsely."""

SEEN_MOST = 10_000

State = tuple[int, int, int, int]

_seen: dict[Path, tuple[State, Entry]] = {}


def entry_of(path: Path) -> Entry:
    """The digest and length of what a file holds. Raises OSError."""
    told = os.stat(path)
    state = (told.st_mtime_ns, told.st_ctime_ns, told.st_size, told.st_ino)
    known = _seen.get(path)
    if known is not None and known[0] == state:
        return known[1]
    now = time.time_ns()
    found = Entry.of(path.read_bytes())
    if now - max(told.st_mtime_ns, told.st_ctime_ns) - ALONE_NS > 0:
        if len(_seen) >= SEEN_MOST:
            _seen.clear()
        _seen[path] = (state, found)
    return found
