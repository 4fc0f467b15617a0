"""From a script file to its text: what may be opened, how much, and in which encoding."""

from __future__ import annotations

import re
import stat
from pathlib import Path

from letterer.errors import Fault, LettererError, nearest

LARGEST_FILE = 20_000_000
"""The largest script file that is read, in bytes."""

_LINE_END = re.compile(r"\r\n|\r|\n")


def script_text(path: Path, file: str) -> str:
    """The text of a script file in UTF-8, or in UTF-16 with a byte-order mark.

    Raises LettererError, naming it as `file`, when it is missing, no file, too large or no text.
    """
    return _decoded(_bytes(path, file), file)


def check_file(path: Path, file: str) -> None:
    """Raises LettererError when there is no such file, or no fit one."""
    _bytes(path, file)


def _bytes(path: Path, file: str) -> bytes:
    """The file's bytes; raises LettererError when there is no such file, or no fit one."""
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise LettererError(
                Fault("this is a folder, not a script", "Name the script file inside it", file)
            )
        with path.open("rb") as stream:
            data = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise LettererError(_missing(path, file)) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise LettererError(
            Fault(f"this file cannot be opened ({why})", "Check its name and who may read it", file)
        ) from None
    if len(data) > LARGEST_FILE:
        raise LettererError(
            Fault(
                f"this file is larger than {LARGEST_FILE // 1_000_000} MB, too large for a script",
                "Name a plain-text script",
                file,
            )
        )
    return data


def _missing(path: Path, file: str) -> Fault:
    try:
        others = [other.name for other in path.parent.iterdir() if other.is_file()]
    except OSError:
        return Fault("there is no such file", "Check the name of its folder", file)
    near = nearest(path.name, sorted(others))
    return Fault(
        "there is no such file", f"Did you mean {near}?" if near else "Check its name", file
    )


def _decoded(data: bytes, file: str) -> str:
    """The text of a file; raises LettererError when it is no plain text in UTF-8 or UTF-16."""
    encoding = "utf-8"
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding = "utf-16"
    elif data.startswith((b"PK\x03\x04", b"%PDF", b"{\\rtf", b"\xd0\xcf\x11\xe0")) or b"\0" in data:
        raise LettererError(
            Fault("this is not plain text", "Save the script as plain text, in UTF-8", file)
        )
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        before = data[: error.start].decode(encoding, "replace")
        line = len(_LINE_END.split(before))
        raise LettererError(
            Fault(
                f"a character on this line is not in {encoding.upper()}",
                "Save the script as UTF-8",
                file,
                line,
            )
        ) from None
