"""Faults in what a person gave us: one clear line each, several reported together.

Every error that a user can cause is raised as `LettererError`. It carries one or more `Fault`
values, and each fault reads as a single line that says where, what, and how to mend it. The command
line prints those lines and ends with a status other than 0; a traceback is always a defect of ours.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar, cast

One = TypeVar("One")
Other = TypeVar("Other")


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with the input.

    `what` is a sentence without its full stop; `mend` is a sentence that says what to do.
    `file`, `line` (from 1), `page` and `unit` say where, as far as that is known.

    >>> print(Fault("this panel number comes twice", "Give one of them another number",
    ...             file="script.txt", line=12))
    script.txt, line 12: this panel number comes twice. Give one of them another number.
    """

    what: str
    mend: str = ""
    file: str = ""
    line: int = 0
    page: int = 0
    unit: str = ""

    def __str__(self) -> str:
        where = [self.file] if self.file else []
        if self.line:
            # A document of a word processor has no lines that its writer could count.
            counted = "paragraph" if self.file.lower().endswith(".docx") else "line"
            where.append(f"{counted} {self.line}")
        if self.unit:
            where.append(f"unit {self.unit}")
        elif self.page:
            where.append(f"page {self.page}")
        told = ", ".join(where) + ": " if where else ""
        told += _sentence(self.what)
        return f"{told} {_sentence(self.mend)}" if self.mend else told


class LettererError(Exception):
    """What the person gave cannot be used; `faults` holds every fault found, in order.

    >>> print(LettererError(Fault("no such file", file="a.txt")))
    a.txt: no such file.
    """

    def __init__(self, *faults: Fault) -> None:
        if not faults:
            raise ValueError("a LettererError needs at least one fault")
        self.faults: tuple[Fault, ...] = faults
        super().__init__("\n".join(str(fault) for fault in faults))

    def __reduce__(self) -> tuple[type[LettererError], tuple[Fault, ...]]:
        return (type(self), self.faults)


def together(first: Callable[[], One], second: Callable[[], Other]) -> tuple[One, Other]:
    """What two steps give; the faults of both are raised together as one LettererError."""
    faults: list[Fault] = []
    found: list[object] = []
    for step in (first, second):
        try:
            found.append(step())
        except LettererError as error:
            faults += error.faults
    if faults:
        raise LettererError(*faults)
    one, other = found
    return cast("tuple[One, Other]", (one, other))


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like `word`, or None when none is near.

    >>> nearest("wisper", ["whisper", "shout"])
    'whisper'
    >>> nearest("zzz", ["whisper", "shout"]) is None
    True
    """
    import difflib  # read where something is wrong, not at every start

    options = list(known)
    by_fold = {option.casefold(): option for option in reversed(options)}
    found = difflib.get_close_matches(word.casefold(), list(by_fold), n=1, cutoff=0.6)
    return by_fold[found[0]] if found else None


def _sentence(text: str) -> str:
    return text if text.endswith((".", "?", "!")) else text + "."


def listed(words: Sequence[str]) -> str:
    """Words in a row.

    >>> listed(["1.1.1", "1.1.2", "1.1.3"])
    '1.1.1, 1.1.2 and 1.1.3'
    """
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))
