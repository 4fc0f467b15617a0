"""Bytes under their keys, in a folder of the person's own; safe for several processes at once.

Every entry is a file that carries a digest of what it holds. It is written under another name and
renamed; one that is cut short or changed is taken for none, and replaced. No locks are needed:
two processes that write one entry write the same bytes. All of it may be deleted at any time.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import stat
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

BYTES_MOST = 512 * 2**20
"""So much is kept: some thirty drafts of a book of 22 pages, SVG and PNG at 600 dpi."""

KEPT_SHARE = 0.75
"""When it is too much, the least recently used go until this share is left, so that they need not
be looked through again after every page."""

PART = ".part-"
"""How the names of entries begin that are still being written."""

HEAD = re.compile(rb"letterer entry 1 ([0-9a-f]{64}) (\d{1,15})\n")
HEAD_MOST = 128
KEY = re.compile("[0-9a-f]{64}")

OFF = "off"
"""What LETTERER_CACHE says for none."""


class Entry(NamedTuple):
    """The digest of an entry's bytes, and how many there are."""

    digest: str
    length: int

    @classmethod
    def of(cls, data: bytes) -> Entry:
        """The entry that holds these bytes."""
        return cls(hashlib.blake2b(data, digest_size=32).hexdigest(), len(data))


@dataclass(frozen=True, slots=True)
class Store:
    """A folder of entries. Keys are 64 hexadecimal digits.

    Nothing here raises because of the disk: a store that cannot be read is empty, and one that
    cannot be written to keeps nothing.
    """

    folder: Path
    most: int = BYTES_MOST

    def entry(self, key: str) -> Entry | None:
        """What an entry says it holds, if it has the right length; its bytes are not looked at."""
        try:
            with self._path(key).open("rb") as file:
                found = HEAD.match(file.read(HEAD_MOST))
                if found is None:
                    return None
                size = os.fstat(file.fileno()).st_size
        except OSError:
            return None
        length = int(found[2])
        return Entry(found[1].decode(), length) if size == found.end() + length else None

    def get(self, key: str) -> bytes | None:
        """The bytes of an entry; None where there is none, or where they are not what was put."""
        try:
            whole = self._path(key).read_bytes()
        except OSError:
            return None
        found = HEAD.match(whole)
        if found is None:
            return None
        data = whole[found.end() :]
        return data if Entry.of(data) == (found[1].decode(), int(found[2])) else None

    def put(self, key: str, data: bytes) -> None:
        """Keep bytes under a key, whatever was there; they need not survive a loss of power."""
        if len(data) > self.most * (1 - KEPT_SHARE):
            return  # it would drive out too much else
        path, told = self._path(key), Entry.of(data)
        head = f"letterer entry 1 {told.digest} {told.length}\n".encode()
        with contextlib.suppress(OSError):
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(prefix=PART, dir=path.parent)
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(head)
                    file.write(data)
                os.replace(name, path)
            except BaseException:
                Path(name).unlink(missing_ok=True)
                raise

    def used(self, key: str) -> None:
        """Let an entry count as just used."""
        with contextlib.suppress(OSError):
            os.utime(self._path(key))

    def tidy(self) -> None:
        """Throw the least recently used away where the entries are more than is kept."""
        found: list[tuple[int, int, str]] = []
        for folder, _, names in os.walk(self.folder):
            for name in names:
                if KEY.fullmatch(name) or name.startswith(PART):
                    path = os.path.join(folder, name)
                    with contextlib.suppress(OSError):
                        told = os.stat(path)
                        found.append((told.st_mtime_ns, told.st_size, path))
        held = sum(size for _, size, _ in found)
        if held <= self.most:
            return
        for _, size, path in sorted(found):
            if held <= self.most * KEPT_SHARE:
                return
            with contextlib.suppress(OSError):  # another process was quicker, or reads it
                os.unlink(path)
            held -= size

    def _path(self, key: str) -> Path:
        if not KEY.fullmatch(key):
            raise ValueError("a key is 64 hexadecimal digits")
        return self.folder / key[:2] / key


def usual_folder(environment: Mapping[str, str] = os.environ) -> Path | None:
    """Where this person's entries are kept, or None where they want none.

    LETTERER_CACHE names the folder, or says "off". Otherwise it is `letterer` where the system
    keeps such things: in XDG_CACHE_HOME or ~/.cache (XDG Base Directory Specification), on macOS
    in ~/Library/Caches, on Windows in LOCALAPPDATA.
    """
    named = environment.get("LETTERER_CACHE", "")
    if named:
        return None if named.casefold() == OFF else Path(named).expanduser().absolute()
    try:
        return _caches(environment) / "letterer"
    except RuntimeError:  # a person without a home
        return None


def _caches(environment: Mapping[str, str]) -> Path:
    if sys.platform == "win32":
        local = environment.get("LOCALAPPDATA", "")
        return Path(local) if local else Path.home() / "AppData" / "Local"
    named = environment.get("XDG_CACHE_HOME", "")
    if named and os.path.isabs(named):  # the specification has a relative one ignored
        return Path(named)
    return Path.home() / ("Library/Caches" if sys.platform == "darwin" else ".cache")


def opened(folder: Path) -> Store | None:
    """The store in a folder, which is made for this person alone; None where that cannot be.

    A folder that others may write to is not used: they could put pages there that nobody drew.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        told = folder.stat()
    except (OSError, ValueError):
        return None
    if hasattr(os, "getuid"):
        strange = told.st_uid != os.getuid()
        if strange or stat.S_IMODE(told.st_mode) & (stat.S_IWGRP | stat.S_IWOTH):
            return None
    return Store(folder)
