"""A PDF file put together object by object (ISO 32000-1, 7.3 and 7.5), and given out as it grows.

Nothing in it tells a time, a machine or a person: the file's identity is made of its own bytes, so
the same input gives the same file.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from letterer.out.svg import number

HEAD = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
PACKED_LEVEL = 6
PLAIN_IN_NAMES = frozenset(b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_.+:@$")


class Name(str):
    """A PDF name, without its slash."""


@dataclass(frozen=True, slots=True)
class Ref:
    """Points to an object by its number."""

    number: int


Value: TypeAlias = (
    "bool | int | float | str | bytes | Name | Ref | Sequence[Value] | Mapping[str, Value]"
)
"""What PDF objects are made of: `str` is text for people, `bytes` a string of codes."""


def told(value: Value) -> bytes:
    """A value as it stands in the file.

    >>> told({"Kids": [Ref(3)], "Lang": "en", "S": Name("P"), "W": 0.5})
    b'<</Kids[3 0 R]/Lang(en)/S/P/W .5>>'
    """
    match value:
        case bool():
            return b"true" if value else b"false"
        case Name():
            return b"/" + b"".join(
                bytes((code,)) if code in PLAIN_IN_NAMES else b"#%02X" % code
                for code in value.encode()
            )
        case int():
            return b"%d" % value
        case float():
            return number(value).encode()
        case str():
            return _text(value)
        case bytes():
            return b"<%s>" % value.hex().upper().encode()
        case Ref():
            return b"%d 0 R" % value.number
        case Mapping():
            return b"<<%s>>" % b"".join(_pair(key, one) for key, one in value.items())
        case _:
            return b"[%s]" % b" ".join(map(told, value))


def _pair(key: str, value: Value) -> bytes:
    shown = told(value)
    return told(Name(key)) + (shown if shown[:1] in b"/[(<" else b" " + shown)


def _text(words: str) -> bytes:
    """Text for people: as it is where it is plain, else in UTF-16 (ISO 32000-1, 7.9.2.2)."""
    if words.isascii() and words.isprintable():
        for mark in "\\()":
            words = words.replace(mark, f"\\{mark}")
        return f"({words})".encode("ascii")
    coded = words.encode("utf-16-be", "surrogatepass").hex().upper()
    return f"<FEFF{coded}>".encode("ascii")


def packed(data: bytes) -> bytes:
    """Bytes as the filter FlateDecode reads them; the same on every machine of a kind."""
    from zlib_ng import zlib_ng

    made: bytes = zlib_ng.compress(data, PACKED_LEVEL)
    return made


class PdfFile:
    """A file in the making. `take` gives what has been added since it was last called."""

    def __init__(self) -> None:
        self._places: list[int] = []
        self._made = bytearray(HEAD)
        self._given = 0
        self._hash = hashlib.sha256()

    def reserve(self) -> Ref:
        """A number for an object that comes later, by `put`."""
        self._places.append(0)
        return Ref(len(self._places))

    def put(self, ref: Ref, value: Value) -> Ref:
        """An object under a number that was reserved."""
        self._begin(ref)
        self._made += told(value) + b"\nendobj\n"
        return ref

    def add(self, value: Value) -> Ref:
        """An object under the next number."""
        return self.put(self.reserve(), value)

    def stream(
        self,
        head: Mapping[str, Value],
        data: bytes,
        flate: bool = True,
        ref: Ref | None = None,
    ) -> Ref:
        """A stream of bytes, under the next number or one that was reserved; those for FlateDecode
        come packed already, or are not `flate`."""
        ref = ref or self.reserve()
        self._begin(ref)
        filters: dict[str, Value] = {"Filter": Name("FlateDecode")} if flate else {}
        self._made += told({**head, **filters, "Length": len(data)})
        self._made += b"\nstream\n" + data + b"\nendstream\nendobj\n"
        return ref

    def take(self) -> bytes:
        """What has been added since the last time."""
        part = bytes(self._made)
        self._hash.update(part)
        self._given += len(part)
        self._made.clear()
        return part

    def end(self, root: Ref, info: Ref) -> bytes:
        """The last of the file: the table of where each object begins, and the trailer."""
        body = self.take()
        identity = self._hash.digest()[:16]
        table = b"".join(b"%010d 00000 n \n" % place for place in self._places)
        count = len(self._places) + 1
        trailer = told({"Size": count, "Root": root, "Info": info, "ID": [identity, identity]})
        head = b"xref\n0 %d\n0000000000 65535 f \n" % count
        return body + b"%b%btrailer\n%b\nstartxref\n%d\n%%%%EOF\n" % (
            head,
            table,
            trailer,
            self._given,
        )

    def _begin(self, ref: Ref) -> None:
        self._places[ref.number - 1] = self._given + len(self._made)
        self._made += b"%d 0 obj\n" % ref.number
