"""The layout file as the person wrote it: edits that leave every other byte alone, safe saving.

A program that reads a JSON file and writes it out again loses the person's spacing, the order of
keys, and the spelling of numbers. Here an edit replaces only the piece of text it is about.
"""

from __future__ import annotations

import errno
import json
import math
import os
import pathlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from letterer.errors import Fault, LettererError
from letterer.model.json_reader import read_json, read_json_file
from letterer.model.json_text import (
    Document,
    Keyed,
    Listed,
    Member,
    Node,
    Plain,
    plain,
)
from letterer.model.layout import UNIT_ID
from letterer.model.layout_reader import parse_layout, placement_faults
from letterer.model.layout_rules import SPOTS
from letterer.model.plain_faults import as_faults
from letterer.model.plan import Layout
from letterer.saving import put_in_place

Changes = Mapping[str, object]
"""New values by key; None takes a key away."""

Splice = tuple[int, int, str]
"""A replacement in a text: from, to, and what stands there instead."""


@dataclass(frozen=True)
class LayoutFile:
    """A layout file with its text, which edits keep byte for byte where they do not touch it.

    `document` is the text as read; a file with a key that comes twice is refused, since an edit
    could not tell which one counts.
    """

    path: pathlib.Path
    document: Document
    on_disk: bytes | None = None

    @classmethod
    def read(cls, path: str | pathlib.Path) -> LayoutFile:
        """Read a file. Raises LettererError when it is no JSON, or holds values of no use."""
        where = pathlib.Path(path)
        document = read_json_file(where)
        if document.slips:
            raise LettererError(*as_faults(document, document.slips))
        return cls(where, document, _bytes(document))

    @property
    def text(self) -> str:
        """The text, without a byte order mark."""
        return self.document.text

    @property
    def data(self) -> bytes:
        """The bytes that saving writes."""
        return _bytes(self.document)

    def layout(self) -> Layout:
        """The plan this text holds. Raises LettererError with every fault found."""
        return parse_layout(self.text, self.document.file, self.path.parent)

    def with_placement(self, page: int, unit: str, changes: Changes) -> LayoutFile:
        """This file with keys of one placement added, changed, or (by None) taken away.

        Lengths are in the unit of the file. A new place (`center`, `box`, `corner`, `edge`) takes
        that of the old one. A unit without a placement gets one at the end of its
        page's list. Raises LettererError when the page is not in the file, or when the placement
        would not be sound; nothing is changed then.
        """
        return self._with({(page, unit): changes})

    def with_placements(self, changes: Mapping[str, Changes]) -> LayoutFile:
        """As `with_placement`, for many units at once; each stands on the page of its number."""
        keyed: dict[tuple[int, str], Changes] = {}
        for unit, change in changes.items():
            found = UNIT_ID.fullmatch(unit)
            if found is None:
                raise LettererError(self._fault(f"'{unit}' is no unit: page.panel.number"))
            keyed[int(found[1]), unit] = change
        return self._with(keyed)

    def with_text(self, text: str) -> LayoutFile:
        """This file with another text, not saved. Raises LettererError when it is no JSON."""
        document = read_json(text, self.document.file, self.document.bom)
        return LayoutFile(self.path, document, self.on_disk)

    def save(self, path: str | pathlib.Path | None = None) -> LayoutFile:
        """Write the file whole or not at all, and give back what now stands on disk.

        Without a path, the file that was read is replaced, unless someone changed it meanwhile.
        Raises LettererError; what stood there before is intact then.
        """
        where = self.path if path is None else pathlib.Path(path)
        if path is None and self.on_disk is not None:
            self._unchanged(where)
        save_bytes(where, self.data)
        document = Document(self.text, self.document.root, (), str(where), self.document.bom)
        return LayoutFile(where, document, self.data)

    def _unchanged(self, where: pathlib.Path) -> None:
        try:
            now = where.read_bytes()
        except OSError:
            return  # gone or out of reach: saving says so, or brings it back
        if now != self.on_disk:
            raise LettererError(
                self._fault(
                    "this file was changed by another program since it was read, so it is not"
                    " overwritten",
                    "Read it again, and make the change once more",
                )
            )

    def _with(self, changes: Mapping[tuple[int, str], Changes]) -> LayoutFile:
        added: dict[int, list[tuple[str, Changes]]] = {}
        pieces: list[tuple[int, int, str]] = []
        for (number, unit), asked in changes.items():
            page = self._page(number)
            placed = self._placement(page, unit)
            if asked.get("unit", unit) != unit:
                raise LettererError(self._fault("a placement keeps its unit", unit=unit))
            change = _with_spot(placed, {key: _plain(value) for key, value in asked.items()})
            known = plain(placed) if placed is not None else {"unit": unit}
            assert isinstance(known, dict)  # found by its keys
            merged = {**known, **change}
            self._check(page, {key: value for key, value in merged.items() if value is not None})
            if placed is not None:
                pieces.append((placed.start, placed.end, _changed(self.text, placed, change)))
            else:
                added.setdefault(number, []).append((unit, change))
        for number, units in added.items():
            pieces.append(self._appended(self._page(number), units))
        return self.with_text(spliced(self.text, pieces))

    def _page(self, number: int) -> Keyed:
        pages, _ = self.document.at(("pages",))
        found: list[Keyed] = [
            page
            for page in (pages.items if isinstance(pages, Listed) else ())
            if isinstance(page, Keyed) and _value(page.get("page")) == number
        ]
        if len(found) != 1:
            told = f"page {number} comes {len(found)} times in 'pages'"
            what = told if found else f"page {number} is not in this layout"
            mend = "Give one another number" if found else "Add it to 'pages' first"
            raise LettererError(self._fault(what, mend, page=number))
        return found[0]

    def _placement(self, page: Keyed, unit: str) -> Keyed | None:
        listed = page.get("placements")
        if listed is not None and not isinstance(listed, Listed):
            raise LettererError(self._fault("'placements' must be a list in square brackets, [ ]"))
        found: list[Keyed] = [
            item
            for item in (listed.items if listed else ())
            if isinstance(item, Keyed) and _value(item.get("unit")) == unit
        ]
        if len(found) > 1:
            mend = "Keep one of the placements"
            raise LettererError(self._fault("this unit is placed twice", mend, unit=unit))
        return found[0] if found else None

    def _check(self, page: Keyed, placement: dict[str, Plain]) -> None:
        """Refuse a placement that would not be sound beside the panels of its page."""
        panels = page.get("panels")
        around = {
            "page": _value(page.get("page")),
            "panels": () if panels is None else plain(panels),
            "placements": (placement,),
        }
        unit = str(placement["unit"])
        try:
            alone = read_json(written({"pages": (around,)}))
        except ValueError:
            what = "a number of this placement is not finite"
            raise LettererError(self._fault(what, "Write a number", unit=unit)) from None
        faults = placement_faults(alone, ("pages", 0, "placements", 0))
        if faults:
            raise LettererError(
                *(self._fault(fault.what, fault.mend, unit=unit) for fault in faults)
            )

    def _appended(self, page: Keyed, units: list[tuple[str, Changes]]) -> tuple[int, int, str]:
        """The splice that adds placements at the end of a page's list."""
        listed = page.get("placements")
        if isinstance(listed, Listed) and listed.items:
            last = listed.items[-1]
            before = listed.items[-2].end if len(listed.items) > 1 else listed.start + 1
            lead = _lead(self.text, before, last.start) or " "
            shape = _members_lead(self.text, last)
            new = [_object({"unit": unit, **change}, shape) for unit, change in units]
            return last.end, last.end, "".join(f",{lead}{piece}" for piece in new)
        indent = _indent(self.text, page)
        inner = f"{indent.newline}{indent.line}  " if indent.newline else ""
        pieces = [inner + _object({"unit": unit, **change}, None) for unit, change in units]
        closing = f"{indent.newline}{indent.line}" if indent.newline else ""
        joined = ("," if indent.newline else ", ").join(pieces)
        written = f"[{joined}{closing}]"
        if listed is not None:
            return listed.start, listed.end, written
        return page.start, page.end, _changed_raw(self.text, page, {"placements": written})

    def _fault(self, what: str, mend: str = "", page: int = 0, unit: str = "") -> Fault:
        return Fault(what, mend, file=self.document.file, page=page, unit=unit)


def save_bytes(path: pathlib.Path, data: bytes) -> None:
    """Write a file whole or not at all. Raises LettererError; the old file is intact then.

    The bytes go to a temporary file in the same folder, which then takes the place of the old one:
    through a symbolic link, and with the old file's permissions.
    """
    try:
        target = os.path.realpath(path)
        if os.path.isdir(target):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
        put_in_place(pathlib.Path(target), data)
    except (OSError, ValueError) as error:
        raise LettererError(_unsaved(path, error)) from None


def _unsaved(path: pathlib.Path, error: OSError | ValueError) -> Fault:
    number = error.errno if isinstance(error, OSError) else None
    told = {
        errno.ENOSPC: ("there is no room left on the disk", "Make room, and save again"),
        errno.EDQUOT: ("there is no room left for you on the disk", "Make room, and save again"),
        errno.EACCES: ("nothing may be written into this folder", _ELSEWHERE),
        errno.EPERM: ("nothing may be written into this folder", _ELSEWHERE),
        errno.EROFS: ("nothing may be written into this folder", _ELSEWHERE),
        errno.ENOENT: ("there is no folder of this name to save into", "Make the folder first"),
        errno.ENOTDIR: ("there is no folder of this name to save into", "Make the folder first"),
        errno.EISDIR: ("this is a folder, not a file", "Give the name of a file in it"),
    }
    reason = (error.strerror if isinstance(error, OSError) else None) or "its name cannot be used"
    what, mend = told.get(number or 0, (reason, ""))
    return Fault(f"the file was not saved: {what}", mend, file=str(path))


_ELSEWHERE = "Change the permissions of the folder, or save elsewhere"


def _bytes(document: Document) -> bytes:
    return (b"\xef\xbb\xbf" if document.bom else b"") + document.text.encode("utf-8")


# --- Pieces of text -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Indent:
    """How an object with its members on lines of their own is set in; no newline when it is not."""

    newline: str
    line: str


def _with_spot(placed: Keyed | None, change: dict[str, Plain]) -> dict[str, Plain]:
    """Changes in which a new place takes that of an old one, under the key the person used."""
    new = [key for key in SPOTS if change.get(key) is not None]
    if placed is None or not new:
        return change
    if new == ["center"] and placed.get("centre") is not None:
        change = {("centre" if key == "center" else key): at for key, at in change.items()}
        new = ["centre"]
    stale = [key for key in SPOTS if key not in new]
    stale += [] if new == ["edge"] else ["along"]
    stale += [] if new in (["edge"], ["corner"]) else ["gap"]
    gone: dict[str, Plain] = {key: None for key in stale if placed.get(key) is not None}
    return {**gone, **change}


def spliced(text: str, splices: Iterable[Splice], start: int = 0, end: int | None = None) -> str:
    """A text, or its stretch from `start` to `end`, after replacements that do not overlap."""
    parts, at = [], start
    for begin, stop, new in sorted(splices):
        parts += [text[at:begin], new]
        at = stop
    return "".join([*parts, text[at:end]])


def changed_text(text: str, keyed: Keyed, changes: Changes) -> str:
    """The text of an object of `text` after changes; None takes a key away.

    What does not change keeps its spelling and the white space around it.
    """
    return _changed(text, keyed, {key: _plain(value) for key, value in changes.items()})


def _changed(text: str, placed: Keyed, changes: Mapping[str, Plain]) -> str:
    """The text of an object after changes; a value that is already there keeps its spelling."""
    raw: dict[str, str | None] = {}
    for key, value in changes.items():
        node = placed.get(key)
        if value is None:
            raw[key] = None
        elif node is None or not _same(plain(node), value):
            raw[key] = written(value)
    return _changed_raw(text, placed, raw)


def _changed_raw(text: str, keyed: Keyed, changes: Mapping[str, str | None]) -> str:
    """The text of an object that has members, after changes to some of them.

    New values are spliced in, new members are added at the end, and None takes a member away.
    Each member keeps the white space before it; the first that stays stands where the first stood,
    and what stood before the closing bracket still does.
    """
    members = keyed.members
    leads = [
        _lead(text, keyed.start + 1 if i == 0 else members[i - 1].node.end, member.start)
        for i, member in enumerate(members)
    ]
    trails = [_trail(text, member, keyed) for member in members]
    kept: list[tuple[str, str, str]] = []
    for member, lead, trail in zip(members, leads, trails, strict=True):
        new = changes.get(member.key, text[member.node.start : member.node.end])
        if new is not None:
            key = text[member.start : member.node.start]
            after = "" if member is members[-1] else trail
            kept.append((lead if kept else leads[0], key + new, after))
    colon = _colon(text, members)
    for key, value in changes.items():
        if value is None or keyed.get(key) is not None:
            continue
        lead = leads[-1] if len(leads) > 1 or "\n" in leads[0] or "\r" in leads[0] else " "
        spelled = f"{json.dumps(key, ensure_ascii=False)}{colon}{value}"
        kept.append((lead, spelled, ""))
    parts = [lead + body + trail for lead, body, trail in kept[:-1]]
    parts += [lead + body for lead, body, _ in kept[-1:]]
    return "{" + ",".join(parts) + trails[-1] + "}"


_COLON = re.compile(r'"([ \t\r\n]*:[ \t\r\n]*)\Z')


def _lead(text: str, after: int, start: int) -> str:
    """The white space just before a member or item: what follows the comma or the bracket."""
    return text[after:start].rpartition(",")[2]


def _trail(text: str, member: Member, keyed: Keyed) -> str:
    """The white space between a member and the comma or bracket that follows."""
    found = re.compile(r"[ \t\r\n]*").match(text, member.node.end, keyed.end)
    return found.group() if found else ""


def _colon(text: str, members: tuple[Member, ...]) -> str:
    """How this object writes the colon after a key."""
    first = members[0]
    found = _COLON.search(text, first.start, first.node.start)
    return found[1] if found else ": "


def _members_lead(text: str, node: Node) -> tuple[str, str] | None:
    """How the members of an object stand on lines of their own; None when on one line."""
    if not isinstance(node, Keyed) or not node.members:
        return None
    lead = _lead(text, node.start + 1, node.members[0].start)
    if "\n" not in lead and "\r" not in lead:
        return None
    return lead, text[node.members[-1].node.end : node.end - 1]


def _indent(text: str, page: Keyed) -> _Indent:
    """The line break and the white space before a page's keys, when it has several lines."""
    for member in reversed(page.members):
        found = re.compile(r"(\r\n|\r|\n)([ \t]*)\Z").search(text, page.start, member.start)
        if found:
            return _Indent(found[1], found[2])
    return _Indent("", "")


def _object(values: Mapping[str, object], shape: tuple[str, str] | None) -> str:
    """A new object, on one line or with its members on lines of their own as `shape` says."""
    members = [
        f"{json.dumps(key, ensure_ascii=False)}: {written(value)}"
        for key, value in values.items()
        if value is not None
    ]
    if shape is None:
        return "{" + ", ".join(members) + "}"
    lead, closing = shape
    return "{" + ",".join(lead + member for member in members) + closing + "}"


def written(value: object) -> str:
    """A value as JSON on one line; a whole number without its .0.

    >>> written([1.0, 2.25]), written({"name": "É"})
    ('[1, 2.25]', '{"name": "É"}')
    """
    if isinstance(value, Mapping):
        members = (
            f"{json.dumps(str(k), ensure_ascii=False)}: {written(v)}" for k, v in value.items()
        )
        return "{" + ", ".join(members) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(written(item) for item in value) + "]"
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError("a layout holds finite numbers only")
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, str):
        return json.dumps(str(value), ensure_ascii=False)
    return json.dumps(value)


def _plain(value: object) -> Plain:
    """A value as the reader would give it, with tuples for lists."""
    if isinstance(value, Mapping):
        return {str(key): _plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return tuple(_plain(item) for item in value)
    if isinstance(value, str):
        return str(value)
    if value is None or isinstance(value, bool | int | float):
        return value
    raise TypeError(f"a {type(value).__name__} is no JSON value")


def _same(one: Plain, other: Plain) -> bool:
    """Equal values of the same kind: true is not 1."""
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(_same, one, other))
    return one == other and isinstance(one, bool) == isinstance(other, bool)


def _value(node: Node | None) -> Plain:
    return None if node is None else plain(node)
