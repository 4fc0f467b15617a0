"""A script as tidy plain text: from a word processor's document, or from plain text as typed."""

from __future__ import annotations

from pathlib import Path

from letterer.errors import Fault, LettererError
from letterer.model.script import Script
from letterer.model.script_docx import is_docx
from letterer.model.script_reader import read_script
from letterer.model.script_writer import write_script
from letterer.out.files import (
    check_file,
    check_folder,
    keep_beside,
    make_folder,
    refuse_over,
    write_whole,
)


def tidy_script(source: str | Path) -> tuple[Script, str]:
    """A script, and its text in the one tidy form. Raises LettererError."""
    script = read_script(source)
    return script, write_script(script)


def convert_script(source: str | Path, target: str | Path) -> tuple[Script, Path | None]:
    """Write a script as tidy plain text, whole or not at all. Raises LettererError.

    Also gives the copy that was kept beside of a file that stood there with another text.
    """
    path = Path(target)
    if is_docx(path):
        what = "a script is written as plain text, not as .docx"
        raise LettererError(Fault(what, f"Write {path.with_suffix('.txt').name}", str(path)))
    if is_docx(Path(source)) and path.exists():
        refuse_over(path, "the script", [("the document", source)])
    check_folder(path.parent)
    if path.parent.is_dir():
        check_file(path)
    script, text = tidy_script(source)
    data = text.encode()
    kept: Path | None = None
    if path.exists() and (old := path.read_bytes()) != data:
        kept = keep_beside(path, old)
    make_folder(path.parent)
    write_whole(path, data)
    return script, kept
