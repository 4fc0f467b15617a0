"""JSON values that know where they stand in their text, so that a fault can name its line.

`json_reader` makes them; `layout_file` edits the text by the places they keep.
"""

from __future__ import annotations

import bisect
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

Loc = tuple[str | int, ...]
"""The way from the outermost value to an inner one: keys, and places in lists from 0."""

Plain = dict[str, "Plain"] | tuple["Plain", ...] | str | float | int | bool | None
"""A JSON value as plain Python; lists are tuples, since nothing writes into them."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something wrong at a place of a JSON text, before file and page are added to it.

    `what` may hold `{it}`, which stands for the value at `loc` named in plain words. `offset` is
    the character to show when it is not where `loc` stands.
    """

    loc: Loc
    what: str
    mend: str = ""
    offset: int | None = None


@dataclass(frozen=True, slots=True)
class Scalar:
    """A text, a number, true, false or null. `bad` when its value cannot be used."""

    start: int
    end: int
    value: str | float | int | bool | None
    bad: bool = False


@dataclass(frozen=True, slots=True)
class Listed:
    """What stands between [ and ]."""

    start: int
    end: int
    items: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Member:
    """One key with its value; `start` is where the key's opening quote stands."""

    start: int
    key: str
    node: Node


@dataclass(frozen=True, slots=True)
class Keyed:
    """What stands between { and }, in the order written. Of a repeated key the last one counts."""

    start: int
    end: int
    members: tuple[Member, ...]

    def get(self, key: str) -> Node | None:
        """The value of a key, or None."""
        return next((m.node for m in reversed(self.members) if m.key == key), None)


Node = Scalar | Listed | Keyed


@dataclass(frozen=True)
class Document:
    """A JSON text that was read: its outermost value and the slips that can be told together."""

    text: str
    root: Node
    slips: tuple[Trouble, ...] = ()
    file: str = ""
    bom: bool = False

    @cached_property
    def _starts(self) -> list[int]:
        return line_starts(self.text)

    def line(self, offset: int) -> int:
        """The line (from 1) on which a character stands."""
        return bisect.bisect_right(self._starts, offset)

    def at(self, loc: Loc) -> tuple[Node, int]:
        """The value at `loc`, or the nearest one around it, and the offset where it starts.

        For a value behind a key, the offset is that of the key.
        """
        node, offset = self.root, self.root.start
        for step in loc:
            found: Node | None = None
            if isinstance(node, Keyed) and isinstance(step, str):
                member = next((m for m in reversed(node.members) if m.key == step), None)
                if member is not None:
                    found, offset = member.node, member.start
            elif isinstance(node, Listed) and isinstance(step, int) and step < len(node.items):
                found = node.items[step]
                offset = found.start
            if found is None:
                break
            node = found
        return node, offset

    @cached_property
    def plain(self) -> Plain:
        """The whole text as plain Python values."""
        return plain(self.root)

    def plain_at(self, loc: Loc) -> Plain:
        """The value at `loc`, or the nearest one around it, as plain Python values."""
        return plain(self.at(loc)[0])

    def unusable(self) -> Iterator[Loc]:
        """Where a value stands that has been told as a slip, so that it is not told twice."""
        yield from _unusable(self.root, ())


def plain(node: Node) -> Plain:
    """A node as plain Python values.

    >>> from letterer.model.json_reader import read_json
    >>> plain(read_json('{"box": [1, 2.50], "note": "so"}').root)
    {'box': (1, 2.5), 'note': 'so'}
    """
    if isinstance(node, Keyed):
        return {member.key: plain(member.node) for member in node.members}
    if isinstance(node, Listed):
        return tuple(plain(item) for item in node.items)
    return node.value


def line_starts(text: str) -> list[int]:
    """Where each line of a text begins; any of the three usual line breaks ends one."""
    return [0, *(found.end() for found in re.finditer(r"\r\n|\r|\n", text))]


def _unusable(node: Node, loc: Loc) -> Iterator[Loc]:
    if isinstance(node, Keyed):
        for member in node.members:
            yield from _unusable(member.node, (*loc, member.key))
    elif isinstance(node, Listed):
        for place, item in enumerate(node.items):
            yield from _unusable(item, (*loc, place))
    elif node.bad:
        yield loc


def short(text: str, most: int = 40) -> str:
    """A text cut to `most` characters for a message, with line breaks and the like made visible.

    >>> short("a" * 50)[-4:]
    'a...'
    """
    shown = "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in text[: most + 1])
    return shown if len(shown) <= most else shown[: most - 3] + "..."
