r"""The marks inside words: `*emphasis*`, backquotes for words kept as typed, and the backslash.

A backslash makes the mark after it an ordinary character, and at the end of a line it forces a
line break in the lettering.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field

from letterer.model.script import Run

NO_BREAK_SPACES = frozenset("\u00a0\u202f\u2007")
"""Spaces that a writer sets so that a line does not break there; kept where they stand alone."""

_SPACES = re.compile(r"\s+")
_PIECES = re.compile(r"\\.?|\*+|`+|[^\\*`]+", re.DOTALL)
_WORDS_AND_SPACES = re.compile(r"\s+|\S+")
_MARKS = {"*": "asterisk", "`": "backquote"}


def tidy(line: str) -> str:
    r"""A line with no space at its ends and each run of space made one space.

    >>> tidy("  Quoi\u00a0!  \t Non. ")
    'Quoi\xa0! Non.'
    """
    return _SPACES.sub(lambda found: _one_space(found[0]), line.strip())


def tidy_runs(runs: Iterable[Run]) -> tuple[Run, ...]:
    r"""The same words as runs in their one tidy form.

    Neighbours of one manner are joined, runs of space are one space (one \n when a line break was
    forced there), nothing begins or ends with space, and a space is marked only when the words on
    both sides of it are.

    >>> tidy_runs([Run("so ", emphasis=True), Run(" much")])  # doctest: +NORMALIZE_WHITESPACE
    (Run(text='so', emphasis=True, as_typed=False),
     Run(text=' much', emphasis=False, as_typed=False))
    """
    parts: list[tuple[str, bool, bool]] = []
    space = ""
    for run in runs:
        for token in _WORDS_AND_SPACES.findall(run.text):
            if token.isspace():
                space = _one_space(space + token)
                continue
            if space and parts:
                before = parts[-1]
                parts.append((space, before[1] and run.emphasis, before[2] and run.as_typed))
            space = ""
            parts.append((token, run.emphasis, run.as_typed))
    tidied: list[Run] = []
    texts: list[str] = []
    for place, (text, emphasis, as_typed) in enumerate(parts):
        texts.append(text)
        if place + 1 == len(parts) or parts[place + 1][1:] != (emphasis, as_typed):
            tidied.append(Run("".join(texts), emphasis, as_typed))
            texts = []
    return tuple(tidied)


def has_words(runs: Iterable[Run]) -> bool:
    """Whether there is anything to letter: one character that can be seen."""
    return any(
        unicodedata.category(char) not in ("Cf", "Cc") and not char.isspace()
        for run in runs
        for char in run.text
    )


@dataclass(slots=True)
class WordsReader:
    """Reads a unit's words line by line; `runs` then holds them.

    `faults` and `remarks` hold (what, mend, line). `breaks` is true while the last line fed ends
    in a forced line break.
    """

    faults: list[tuple[str, str, int]] = field(default_factory=list)
    remarks: list[tuple[str, str, int]] = field(default_factory=list)
    breaks: bool = False
    last_line: int = 0
    _pieces: list[Run] = field(default_factory=list)
    _open: dict[str, tuple[int, bool]] = field(default_factory=dict)
    _spaced: bool = False

    def feed(self, text: str, line: int, first: bool = False) -> None:
        """Read one more line, already tidied; `first` when it stands behind the colon.

        Any character may be escaped at the start of a line that is not the first, so that words
        such as `TOM: gone` can be kept from beginning a new unit.
        """
        if self._pieces or not first:
            self._add("\n" if self.breaks else " ")
        self.breaks = False
        self.last_line = line
        for found in _PIECES.finditer(text):
            piece, at = found[0], found.start()
            if piece[0] in _MARKS:
                self._mark(text, at, piece, line)
            elif piece == "\\":
                self.breaks = True
            elif piece[0] == "\\":
                if (piece[1].isalnum() or piece[1].isspace()) and (at or first):
                    self._refuse_escape(piece[1], line)
                self._add(piece[1])
            else:
                self._add(piece)

    def runs(self) -> tuple[Run, ...]:
        """The words read, in tidy runs; an open mark becomes a fault."""
        for mark, (line, _) in sorted(self._open.items(), key=lambda item: item[1][0]):
            self.faults.append(
                (
                    f"the {_MARKS[mark]} that opens here is never closed",
                    f"Close it, or write \\{mark} for an {_MARKS[mark]}".replace(" an b", " a b"),
                    line,
                )
            )
        return tidy_runs(self._pieces)

    def _add(self, text: str) -> None:
        self._spaced = self._spaced or " " in text
        self._pieces.append(Run(text, "*" in self._open, "`" in self._open))

    def _mark(self, text: str, at: int, marks: str, line: int) -> None:
        """An asterisk or backquote; several in a row count as one."""
        mark = marks[0]
        before, after = text[at - 1 : at] or " ", text[at + len(marks) : at + len(marks) + 1] or " "
        if mark == "*" and before.isspace() and after.isspace():
            self._add(marks)
            return
        inside = before.isalnum() and after.isalnum()
        if mark not in self._open:
            self._open[mark] = (line, inside)
            self._spaced = False
            return
        opened, opened_inside = self._open.pop(mark)
        if mark == "*" and inside and opened_inside and self._spaced:
            self.remarks.append(
                (
                    "the emphasis here begins inside one word and ends inside another",
                    "If these asterisks are part of the words, write each as \\*",
                    opened,
                )
            )

    def _refuse_escape(self, char: str, line: int) -> None:
        what = "a space" if char.isspace() else f'"{char}"'
        self.faults.append(
            (
                f"a backslash before {what} means nothing",
                "Write \\\\ for a backslash. To force a line break, "
                "end the line with the backslash and go on below",
                line,
            )
        )


def write_words(runs: Iterable[Run]) -> list[str]:
    r"""Runs as lines of marked words, one for each forced line.

    The backslashes that force the line breaks are left to the caller.

    >>> write_words([Run("un"), Run("believ", emphasis=True), Run("able\n2 * 2")])
    ['un*believ*able', '2 \\* 2']
    """
    written: list[str] = []
    emphasis = as_typed = False
    for run in (*tidy_runs(runs), Run("")):
        written.append("`" * (as_typed and not run.as_typed))
        written.append("*" * (emphasis != run.emphasis))
        written.append("`" * (run.as_typed and not as_typed))
        written.append(re.sub(r"[\\*`]", r"\\\g<0>", run.text))
        emphasis, as_typed = run.emphasis, run.as_typed
    return "".join(written).split("\n")


def _one_space(run: str) -> str:
    if "\n" in run:
        return "\n"
    return run if run in NO_BREAK_SPACES else " "
