"""Which letterer draws: its own source, the packages that shape what it draws, the faces."""

from __future__ import annotations

import hashlib
import os
import platform
import re
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from functools import lru_cache
from pathlib import Path

from letterer.cache.seen import entry_of
from letterer.text import faces

PACKAGES = (
    "fonttools",
    "icu4py",
    "numpy",
    "pillow",
    "pydantic",
    "pyphen",
    "python-bidi",
    "skia-python",
    "uharfbuzz",
    "zlib-ng",
)
"""A new version of any of these may draw a page otherwise."""


@lru_cache(maxsize=1)
def program() -> str:
    """A digest of all that draws, but for the faces; the same as long as this process runs.

    Our own source is part of it, so that a change of one line here draws every page anew, without
    anybody having to remember a number.
    """
    digest = hashlib.blake2b(digest_size=32)
    _add(digest, "python", sys.version.encode())
    _add(digest, "machine", f"{sys.platform} {platform.machine()}".encode())
    installed = _installed()
    for name in PACKAGES:
        _add(digest, name, _version(name, installed).encode())
    home = Path(__file__).resolve().parent.parent
    for file in sorted(home.rglob("*.py")):
        _add(digest, file.relative_to(home).as_posix(), file.read_bytes())
    return digest.hexdigest()


def faces_now(folders: Sequence[Path]) -> str:
    """A digest of every face in these folders and of the bundled ones, as they are on disk.

    Where this process may have opened others earlier, it forgets what it opened.
    """
    digest = hashlib.blake2b(digest_size=32)
    for file in faces.font_files(folders):
        held = entry_of(file)
        _add(digest, str(file), f"{held.digest} {held.length}".encode())
    now = digest.hexdigest()
    if _opened.get(tuple(folders)) != now:
        faces.library.cache_clear()
        faces.open_face.cache_clear()
        _opened.clear()
        _opened[tuple(folders)] = now
    return now


_opened: dict[tuple[Path, ...], str] = {}
"""The digest of the faces that this process opens, by the folders they are in."""


def _installed() -> dict[str, str]:
    """The versions of installed packages by the names of their folders (PyPA, "Recording installed
    projects"): looking through all of them once is quicker than asking for ten by name."""
    found: dict[str, str] = {}
    for place in reversed(sys.path):  # the first that holds a package counts
        with suppress(OSError):
            for entry in os.listdir(place or "."):
                if entry.endswith(".dist-info"):
                    name, _, version = entry.removesuffix(".dist-info").rpartition("-")
                    found[re.sub("[-_.]+", "-", name).lower()] = version
    return found


def _version(name: str, installed: Mapping[str, str]) -> str:
    if name in installed:
        return installed[name]
    from importlib import metadata  # for one that is recorded otherwise

    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return "none"


def _add(digest: hashlib.blake2b, name: str, data: bytes) -> None:
    """Name and length first, so that no two lists of parts run together alike."""
    digest.update(f"{len(name)} {name} {len(data)}\n".encode())
    digest.update(data)
