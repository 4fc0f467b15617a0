"""Files are written whole or not at all: first under a temporary name, then renamed."""

from __future__ import annotations

import errno
import os
import tempfile
from pathlib import Path

from letterer.errors import Fault, LettererError

PLAIN_WORDS = {
    errno.ENOSPC: ("the disk is full", "Make room on it, or write to another folder"),
    errno.EDQUOT: ("the disk quota is used up", "Make room, or write to another folder"),
    errno.EACCES: (
        "this may not be written to",
        "Choose another folder, or change its permissions",
    ),
    errno.EPERM: ("this may not be written to", "Choose another folder, or change its permissions"),
    errno.EROFS: ("this is on a disk that cannot be written to", "Choose another folder"),
    errno.ENOTDIR: ("part of this path is a file, not a folder", "Choose another folder"),
    errno.EISDIR: ("this is a folder, and a file is to be written", "Choose another name"),
    errno.ENAMETOOLONG: ("this name is too long", "Choose a shorter one"),
    errno.ENOENT: ("there is no such folder", "Make the folder, or choose another"),
}


def write_whole(path: Path, data: bytes) -> None:
    """Write a file in one step; an old file of that name is replaced only when the new one is
    whole.

    Raises LettererError when it cannot be written; then nothing is left behind.
    """
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", dir=path.parent)
        temporary = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            temporary.chmod(0o666 & ~_umask())
            os.replace(temporary, path)
        except BaseException:
            temporary.unlink(missing_ok=True)
            raise
    except OSError as error:
        raise LettererError(cannot_write(path, error)) from error


def make_folder(path: Path) -> None:
    """Make a folder, with those above it, unless it is there. Raises LettererError."""
    if path.exists() and not path.is_dir():
        raise LettererError(
            Fault("this is a file, and a folder is needed", "Choose another folder", str(path))
        )
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise LettererError(cannot_write(path, error)) from error


def cannot_write(path: Path, error: OSError) -> Fault:
    """What to tell a person when the system refuses a write."""
    plain = PLAIN_WORDS.get(error.errno or 0)
    what, mend = plain or (f"it cannot be written ({error.strerror or error})", "")
    return Fault(what, mend, str(path))


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
