"""Files are written whole or not at all: first under a temporary name, then renamed."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from letterer.errors import Fault, LettererError
from letterer.saving import placed, put_in_place

if TYPE_CHECKING:
    from letterer.model.plan import Layout

KEPT_MOST = 10_000
"""Copies kept beside one file before we ask for some to be moved away."""

PLAIN_WORDS = {
    errno.ENOSPC: ("the disk is full", "Make room on it, or write to another folder"),
    errno.EFBIG: (
        "this file is larger than this system allows",
        "Write to another disk, or ask who keeps this machine to raise its limit",
    ),
    errno.EDQUOT: ("the disk quota is used up", "Make room, or write to another folder"),
    errno.EACCES: (
        "this may not be written to",
        "Choose another folder, or change its permissions",
    ),
    errno.EPERM: ("this may not be written to", "Choose another folder, or change its permissions"),
    errno.EROFS: ("this is on a disk that cannot be written to", "Choose another folder"),
    errno.ENOTDIR: ("part of this path is a file, not a folder", "Choose another folder"),
    errno.EISDIR: ("this is a folder, and a file is to be written", "Choose another name"),
    errno.ENODEV: ("this is a device, not a file", "Choose another name"),
    errno.EEXIST: ("this name is taken by something that is not a folder", "Choose another folder"),
    errno.ENAMETOOLONG: ("this name is too long", "Choose a shorter one"),
    errno.ENOENT: ("there is no such folder", "Make the folder, or choose another"),
    errno.EIO: ("the disk does not answer as it should", "Write to another disk"),
}


def write_whole(path: Path, data: bytes) -> None:
    """Write a file in one step; an old file of that name is replaced only when the new one is
    whole.

    A link is followed: the file that it leads to is replaced. Raises LettererError when the file
    cannot be written; then nothing is left behind.
    """
    try:
        put_in_place(_plain_target(path), data)
    except (OSError, ValueError) as error:
        raise LettererError(cannot_write(path, error)) from error


def write_parts(path: Path, parts: Iterable[bytes]) -> None:
    """Write a file as `write_whole` does, from pieces that are made while it is written.

    Raises LettererError when the file cannot be written; what the making of a piece raises goes on
    as it is. In either case nothing is left behind.
    """
    try:
        with placed(_plain_target(path)) as file:
            for part in _kept_apart(parts):
                file.write(part)
    except _NotMadeError as failed:
        raise failed.why from None
    except (OSError, ValueError) as error:
        raise LettererError(cannot_write(path, error)) from error


class _NotMadeError(Exception):
    """A piece could not be made: no fault of the disk."""

    def __init__(self, why: Exception) -> None:
        super().__init__()
        self.why = why


def _kept_apart(parts: Iterable[bytes]) -> Iterator[bytes]:
    try:
        yield from parts
    except Exception as why:
        raise _NotMadeError(why) from why


def make_folder(path: Path) -> None:
    """Make a folder, with those above it, unless it is there. Raises LettererError."""
    check_folder(path)
    try:
        path.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        raise LettererError(cannot_write(path, error)) from error


def check_folder(path: Path) -> None:
    """Raise LettererError where a folder to write into cannot be had; makes nothing."""
    if os.path.exists(path) and not os.path.isdir(path):
        raise LettererError(
            Fault("this is a file, and a folder is needed", "Choose another folder", str(path))
        )
    try:
        there = next(at for at in (path, *path.absolute().parents) if _is_there(at))
        if not there.is_dir():
            raise _refused(errno.EEXIST if there == path else errno.ENOTDIR)
        if not os.access(there, os.W_OK | os.X_OK):
            raise _refused(errno.EACCES)
    except (OSError, ValueError) as error:
        raise LettererError(cannot_write(path, error)) from error


def check_faces(folders: Iterable[str | Path]) -> None:
    """Raise LettererError for a folder of faces that is not there."""
    for folder in folders:
        if not os.path.isdir(folder):
            fault = Fault("there is no such folder of faces", "Check its name", str(folder))
            raise LettererError(fault)


def check_file(path: Path) -> None:
    """Raise LettererError where a file cannot be written: its folder is missing, or a folder has
    its name. Makes nothing."""
    try:
        target = _plain_target(path)
        if not target.parent.is_dir():
            raise _refused(errno.ENOTDIR if target.parent.exists() else errno.ENOENT)
        if not os.access(target.parent, os.W_OK | os.X_OK):
            raise _refused(errno.EACCES)
    except (OSError, ValueError) as error:
        raise LettererError(cannot_write(path, error)) from error


def same_file(one: str | Path, other: str | Path) -> bool:
    """True when two paths lead to one file, whether it is there yet or not.

    >>> same_file("story/script.txt", "story/../story/script.txt")
    True
    """
    try:
        if os.path.exists(one) and os.path.exists(other):
            return os.path.samefile(one, other)
        return os.path.realpath(one) == os.path.realpath(other)
    except (OSError, ValueError):
        return False


def cannot_write(path: Path, error: OSError | ValueError) -> Fault:
    """What to tell a person when the system refuses a write."""
    if not isinstance(error, OSError):
        return Fault("this name cannot be used", "Choose another", ascii(str(path))[1:-1])
    plain = PLAIN_WORDS.get(error.errno or 0)
    what, mend = plain or (f"it cannot be written ({error.strerror or error})", "")
    return Fault(what, mend, str(path))


def _plain_target(path: Path) -> Path:
    """Where a path leads in the end: an ordinary file, or nothing yet. Raises OSError."""
    target = Path(os.path.realpath(path))
    if target.is_dir():
        raise _refused(errno.EISDIR)
    if target.exists() and not target.is_file():
        raise _refused(errno.ENODEV)  # replacing a device would take it from the whole system
    return target


def _refused(number: int) -> OSError:
    return OSError(number, os.strerror(number))


def _is_there(path: Path) -> bool:
    """True for anything of that name, a link that leads nowhere included."""
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    return True


def named_from(file: Path, folder: Path) -> str:
    """How a file is called in a layout that lies in a folder."""
    real = os.path.realpath(file)
    with suppress(ValueError):  # another drive
        real = os.path.relpath(real, os.path.realpath(folder))
    return Path(real).as_posix()


def own_files(
    script: str | Path, layout: str | Path | None, plan: Layout
) -> list[tuple[str, str | Path]]:
    """Files of the person's that must stay, with what they are called: the script, the layout if
    there is one, and the art of its pages."""
    own: list[tuple[str, str | Path]] = [("the script", script)]
    own += [] if layout is None else [("the layout", layout)]
    own += [(f"the art of page {page.number}", page.art.file) for page in plan if page.art]
    return own


def refuse_over(path: Path, thing: str, own: Iterable[tuple[str, str | Path]]) -> None:
    """Raise LettererError where `thing`, such as "the sheet", would be written over a file of the
    person's; `own` are these with what they are called."""
    for name, source in own:
        if same_file(path, source):
            what = f"{thing} would be written over {name}"
            raise LettererError(Fault(what, "Give it another name", str(path)))


def keep_beside(path: Path, old: bytes) -> Path:
    """Keep what a file held beside it, under a name that no other copy has; a copy that holds the
    same already will do. Raises LettererError."""
    for count in range(1, KEPT_MOST):
        number = "" if count == 1 else f"-{count}"
        copy = path.with_name(f"{path.stem}.before{number}{path.suffix}")
        try:
            if copy.read_bytes() == old:
                return copy
        except FileNotFoundError:
            write_whole(copy, old)
            return copy
        except OSError:
            continue
    raise LettererError(
        Fault("there are too many kept copies of this file", "Move some away", str(path))
    )
