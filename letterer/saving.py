"""Putting a file in place: whole or not at all, whatever happens meanwhile."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO


def put_in_place(target: Path, data: bytes) -> None:
    """Write a file under a temporary name beside it, then give it its name in one step.

    An old file of that name stays whole until the new one is, and lends it its permissions. Raises
    OSError, or ValueError for a name that no file can have; then nothing is left behind.
    """
    with placed(target) as file:
        file.write(data)


@contextmanager
def placed(target: Path) -> Iterator[BinaryIO]:
    """A file to write into piece by piece, which gets its name when the block ends well.

    Whatever is raised in the block, the old file stays and nothing is left behind.
    """
    handle, name = tempfile.mkstemp(prefix=_prefix(os.getpid()), dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            yield file
            file.flush()
            os.chmod(name, _permissions(target))
            os.fsync(file.fileno())
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def clear_left(folder: Path, process: int) -> None:
    """Take away what a process left half-written in a folder when the system ended it."""
    with suppress(OSError):
        for left in folder.glob(f"{_prefix(process)}*"):
            left.unlink(missing_ok=True)


def _prefix(process: int) -> str:
    """How the names of files begin that this process is still writing."""
    return f".letterer-{process}-"


def _permissions(target: Path) -> int:
    """Those of the file that is replaced, or those that a new file gets."""
    try:
        return stat.S_IMODE(os.stat(target).st_mode)
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask
