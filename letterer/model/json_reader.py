"""Reads JSON as a person writes it: keeps every value's place, and tells slips in plain words.

The standard reader loses what is needed here: the line of a value, a key that comes twice, and the
spelling of a number. This one follows RFC 8259 (the JSON standard) and keeps the place of every
value.
"""

from __future__ import annotations

import bisect
import re
from functools import cached_property
from pathlib import Path
from typing import NoReturn

from letterer.errors import Fault, LettererError, nearest
from letterer.model.json_text import (
    Document,
    Keyed,
    Listed,
    Loc,
    Member,
    Node,
    Scalar,
    Trouble,
    line_starts,
    short,
)

BYTES_MOST = 50 * 1024 * 1024
"""A larger file is a slip: a book of 200 pages takes well under one megabyte."""

DEPTH_MOST = 64
"""Brackets within brackets. A layout needs 7; a limit keeps a broken file from exhausting us."""

DIGITS_MOST = 400
"""No double-precision number needs more digits than this."""


def read_json(text: str, file: str = "", bom: bool = False) -> Document:
    """Read a JSON text. Raises LettererError, with line and column, when it is not JSON.

    Slips that leave the text readable (a key that comes twice, a number that is none, an empty
    value) are kept in `slips`.
    """
    return _Reader(text, file, bom).document()


def read_json_file(path: Path, shown: str = "") -> Document:
    """Read a JSON file in UTF-8 (a byte order mark is accepted). Raises LettererError.

    `shown` is what a fault calls the file; its path as given when left out.
    """
    file = shown or str(path)
    data = _bytes(path, file)
    bom = data.startswith(b"\xef\xbb\xbf")
    try:
        text = data[3:].decode("utf-8") if bom else data.decode("utf-8")
    except UnicodeDecodeError as error:
        if b"\0" in data and not data.startswith((b"\xff\xfe", b"\xfe\xff")):  # not UTF-16
            what = "this is not plain text, so it is no layout and no style"
            raise LettererError(Fault(what, "Name a file that ends in .json", file=file)) from None
        line = _lines_before(data[: error.start + 3 * bom])
        raise LettererError(
            Fault(
                "this file is not in UTF-8, so its letters cannot be read",
                "Save it again as plain text in UTF-8",
                file=file,
                line=line,
            )
        ) from None
    return read_json(text, file, bom)


def _bytes(path: Path, file: str) -> bytes:
    try:
        if path.is_dir():
            raise LettererError(
                Fault("this is a folder, not a file", "Name the file in it", file=file)
            )
        if path.exists() and not path.is_file():
            raise LettererError(Fault("this is not a file that can be read", file=file))
        with path.open("rb") as opened:
            data = opened.read(BYTES_MOST + 1)
    except FileNotFoundError:
        raise LettererError(Fault("there is no such file", _other_name(path), file=file)) from None
    except PermissionError:
        raise LettererError(
            Fault(
                "this file may not be read",
                "Change its permissions, or copy it to a folder of your own",
                file=file,
            )
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise LettererError(Fault(f"this file cannot be opened ({reason})", file=file)) from None
    if len(data) > BYTES_MOST:
        raise LettererError(
            Fault(
                f"this file is larger than {BYTES_MOST // 1024**2} MB",
                "A layout is a short text: check that this is the right file",
                file=file,
            )
        )
    return data


def _other_name(path: Path) -> str:
    try:
        near = nearest(path.name, sorted(other.name for other in path.parent.iterdir()))
    except OSError:
        return f"There is no folder '{path.parent}' either: check the path"
    return f"Did you mean '{near}'?" if near else "Check the name and the folder"


def _lines_before(data: bytes) -> int:
    return len(re.findall(rb"\r\n|\r|\n", data)) + 1


# --- The reader ---------------------------------------------------------------------------------

_SPACE = re.compile(r"[ \t\r\n]*")
_CHUNK = re.compile(r'[^"\\\x00-\x1f]*')
_WORD = re.compile(r"[-+.\w]+")
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(\.[0-9]+)?([eE][-+]?[0-9]+)?\Z")
_HEX = re.compile(r"[0-9A-Fa-f]{4}")
_LONE = re.compile("[\ud800-\udfff]")
_ESCAPES = {
    '"': '"',
    "\\": "\\",
    "/": "/",
    "b": "\b",
    "f": "\f",
    "n": "\n",
    "r": "\r",
    "t": "\t",
}
_WORDS: dict[str, bool | None] = {"true": True, "false": False, "null": None}
_NOT_NUMBERS = frozenset({"nan", "inf", "infinity"})
_CURLY = frozenset("\u201c\u201d\u201e\u201f\u00ab\u00bb\u2018\u2019")
_VALUE_MEND = "Give a value, or leave it out"
_QUOTES_MEND = 'Text stands between straight double quotes, "so"'


class _Reader:
    """One pass over the text, from left to right."""

    def __init__(self, text: str, file: str, bom: bool) -> None:
        self.text, self.file, self.bom = text, file, bom
        self.slips: list[Trouble] = []

    def document(self) -> Document:
        if lone := _LONE.search(self.text):
            self.stop(lone.start(), "half of a character stands here", "Type it again")
        start = self.space(0)
        if start == len(self.text):
            raise LettererError(
                Fault("this file is empty", "Fill it in, or take another file", file=self.file)
            )
        if self.text[start].isalpha() and not self.text[start:].rstrip().isalnum():
            what = f'this begins with "{short(self.text[start:].split()[0])}", and not with a {{'
            mend = "Check that it is the right file: the script is named first, then the layout"
            raise LettererError(Fault(what, mend, file=self.file))
        root, end = self.value(start, (), 0)
        end = self.space(end)
        if end < len(self.text):
            self.stop(
                end,
                f"the text goes on after its last bracket, with {self.seen(end)}",
                "Take the rest away, or look for a bracket that closes too early",
            )
        return Document(self.text, root, tuple(self.slips), self.file, self.bom)

    def value(self, at: int, loc: Loc, depth: int) -> tuple[Node, int]:
        sign = self.text[at : at + 1]
        if depth > DEPTH_MOST:
            self.stop(
                at,
                f"brackets stand more than {DEPTH_MOST} deep here",
                "Look for brackets that were opened by mistake",
            )
        if sign == "{":
            return self.keyed(at, loc, depth)
        if sign == "[":
            return self.listed(at, loc, depth)
        if sign == '"':
            value, end = self.string(at, loc)
            return Scalar(at, end, value), end
        return self.word(at, loc)

    def keyed(self, opened: int, loc: Loc, depth: int) -> tuple[Node, int]:
        members: list[Member] = []
        first: dict[str, int] = {}
        at = self.space(opened + 1)
        while self.text[at : at + 1] != "}":
            start = at
            key, at = self.key(at, loc, opened)
            at = self.space(at)
            if self.text[at : at + 1] != ":":
                self.unclosed(at, opened)
                self.stop(
                    at,
                    f"after the key '{short(key)}' comes {self.seen(at)}",
                    "Write a colon between a key and its value",
                )
            at = self.space(at + 1)
            self.unclosed(at, opened)
            node, at = self.value(at, (*loc, key), depth + 1)
            if key in first:
                self.repeated(key, first[key], start, loc)
            first.setdefault(key, start)
            members.append(Member(start, key, node))
            at = self.after(at, opened, "}")
        return Keyed(opened, at + 1, tuple(members)), at + 1

    def listed(self, opened: int, loc: Loc, depth: int) -> tuple[Node, int]:
        items: list[Node] = []
        at = self.space(opened + 1)
        while self.text[at : at + 1] != "]":
            self.unclosed(at, opened)
            self.crossed(at, opened, "]")
            node, at = self.value(at, (*loc, len(items)), depth + 1)
            items.append(node)
            at = self.after(at, opened, "]")
        return Listed(opened, at + 1, tuple(items)), at + 1

    def after(self, at: int, opened: int, closing: str) -> int:
        """From the end of a value to the next one, or to the closing bracket."""
        at = self.space(at)
        sign = self.text[at : at + 1]
        if sign == ",":
            comma, at = at, self.space(at + 1)
            if self.text[at : at + 1] in ("}", "]"):
                self.stop(
                    comma,
                    f"there is a comma before the closing {self.text[at]}",
                    "Take that comma away",
                )
            if self.text[at : at + 1] == ",":
                self.stop(at, "there are two commas here", "Take one away")
            self.unclosed(at, opened)
            return at
        if sign == closing:
            return at
        self.unclosed(at, opened)
        self.crossed(at, opened, closing)
        self.stop(
            at,
            f"a comma or {closing} is missing before {self.seen(at)}",
            "Values in one pair of brackets are kept apart by commas",
        )

    def key(self, at: int, loc: Loc, opened: int) -> tuple[str, int]:
        self.unclosed(at, opened)
        if self.text[at] == '"':
            return self.string(at, loc)
        if self.text[at] == ",":
            self.stop(at, "a comma stands where a key should be", "Take it away")
        self.crossed(at, opened, "}")
        if self.text[at].isdigit() and self.text[at - 2 : at - 1].isdigit():
            self.stop(
                at,
                f"a number stands where a key should be: {self.seen(at)}",
                "If the comma before it is a decimal comma, write a point",
            )
        word = _WORD.match(self.text, at)
        name = word.group() if word else ""
        self.stop(
            at,
            f"a key should stand here, and there is {self.seen(at)}",
            f'Put keys between straight double quotes, "{short(name)}"' if name else _QUOTES_MEND,
        )

    def string(self, opened: int, loc: Loc) -> tuple[str, int]:
        parts: list[str] = []
        at = opened + 1
        while True:
            found = _CHUNK.match(self.text, at)
            assert found is not None  # the pattern also matches nothing
            parts.append(found.group())
            at = found.end()
            sign = self.text[at : at + 1]
            if sign == '"':
                break
            if sign == "\\":
                part, at = self.escape(at)
                parts.append(part)
            elif sign in ("", "\n", "\r"):
                self.stop(
                    opened,
                    "this text has no closing quote on its line",
                    'Close it with "; for a line break inside it, write \\n',
                )
            else:
                named = "tab" if sign == "\t" else "control character"
                spelled = "\\t" if sign == "\t" else f"\\u{ord(sign):04x}"
                self.stop(
                    at,
                    f"a {named} stands inside a text",
                    f"Write it as {spelled}, or use a space",
                )
        value = "".join(parts)
        if len(parts) > 1 and _LONE.search(value):
            self.stop(
                opened,
                "this text holds half of a character (\\ud800 to \\udfff)",
                "Type the character itself",
            )
        return value, at + 1

    def escape(self, at: int) -> tuple[str, int]:
        sign = self.text[at + 1 : at + 2]
        if sign in _ESCAPES:
            return _ESCAPES[sign], at + 2
        code = _HEX.match(self.text, at + 2) if sign == "u" else None
        if code is None:
            self.stop(
                at,
                f"\\{short(sign)} means nothing inside a text",
                "For a backslash write two, \\\\; between folders write /",
            )
        first = int(code.group(), 16)
        if 0xD800 <= first < 0xDC00 and self.text.startswith("\\u", at + 6):
            low = _HEX.match(self.text, at + 8)
            if low is not None and 0xDC00 <= int(low.group(), 16) < 0xE000:
                pair = 0x10000 + ((first - 0xD800) << 10) + int(low.group(), 16) - 0xDC00
                return chr(pair), at + 12
        return chr(first), at + 6

    def word(self, at: int, loc: Loc) -> tuple[Node, int]:
        found = _WORD.match(self.text, at)
        if found is None:
            self.stop(at, *self.no_value(at))
        word, end = found.group(), found.end()
        if word in _WORDS:
            value = _WORDS[word]
            if value is None:
                self.slips.append(Trouble(loc, "{it} is null, which says nothing", _VALUE_MEND))
            return Scalar(at, end, value, bad=value is None), end
        if word.lstrip("+-").casefold() in _NOT_NUMBERS:
            self.slips.append(Trouble(loc, f"{{it}} is {word}, not a number", "Write a number"))
            return Scalar(at, end, 0.0, bad=True), end
        if number := _NUMBER.match(word):
            return self.number(at, end, number, loc), end
        self.stop(at, *_no_number(word))

    def number(self, at: int, end: int, found: re.Match[str], loc: Loc) -> Scalar:
        word = found.group()
        value: float | int
        if len(word) > DIGITS_MOST:
            value, told = 0.0, f"has {len(word)} digits, more than a number can hold"
        else:
            whole = found.group(1) is None and found.group(2) is None
            value = int(word) if whole else float(word)
            told = ""
            if value in (float("inf"), float("-inf")):
                told = f"is {short(word)}, larger than a number can be"
        if told:
            self.slips.append(Trouble(loc, f"{{it}} {told}", "Write a smaller number"))
        return Scalar(at, end, 0.0 if told else value, bad=bool(told))

    # What went wrong, in words.

    def no_value(self, at: int) -> tuple[str, str]:
        sign = self.text[at : at + 1]
        if sign in ("}", "]", ","):
            return f"a value is missing before {sign}", "Write the value, or take the rest away"
        return f"a value should stand here, and there is {self.seen(at)}", _QUOTES_MEND

    def seen(self, at: int) -> str:
        """What stands at a place, named for a reader; stops at a comment or a foreign quote."""
        sign = self.text[at : at + 1]
        if not sign:
            return "the end of the file"
        if self.text.startswith(("//", "/*", "#"), at):
            self.stop(
                at,
                "a comment starts here, and JSON has no comments",
                'Put the words into a "note" instead: {"note": "..."}',
            )
        if sign in _CURLY:
            self.stop(at, f"there is a curly quote, {sign}", _QUOTES_MEND)
        if sign == "'":
            self.stop(at, "there is a single quote, '", _QUOTES_MEND)
        if sign == '"':
            found = _CHUNK.match(self.text, at + 1)
            return f'"{short(found.group() if found else "")}"'
        word = _WORD.match(self.text, at)
        return short(word.group()) if word else short(sign)

    def repeated(self, key: str, first: int, again: int, loc: Loc) -> None:
        one, two = self.line(first), self.line(again)
        where = f"on line {one}" if one == two else f"on lines {one} and {two}"
        self.slips.append(
            Trouble(
                (*loc, key),
                f"the key '{short(key)}' comes twice in one pair of brackets, {where}",
                "Only one would be kept: take the other away",
                offset=again,
            )
        )

    def unclosed(self, at: int, opened: int) -> None:
        if at >= len(self.text):
            self.stop(
                opened,
                f"this {self.text[opened]} is never closed",
                f"Add {'}' if self.text[opened] == '{' else ']'} where it ends",
            )

    def crossed(self, at: int, opened: int, closing: str) -> None:
        sign = self.text[at]
        if sign in ("}", "]") and sign != closing:
            self.stop(
                at,
                f"{sign} closes the {self.text[opened]} of line {self.line(opened)}",
                f"Close it with {closing}, or look for a bracket that is missing between",
            )

    def space(self, at: int) -> int:
        found = _SPACE.match(self.text, at)
        assert found is not None  # the pattern also matches nothing
        return found.end()

    @cached_property
    def starts(self) -> list[int]:
        return line_starts(self.text)

    def line(self, at: int) -> int:
        return bisect.bisect_right(self.starts, at)

    def stop(self, at: int, what: str, mend: str) -> NoReturn:
        line = self.line(at)
        column = at - self.starts[line - 1] + 1
        raise LettererError(Fault(f"{what} (column {column})", mend, file=self.file, line=line))


def _no_number(word: str) -> tuple[str, str]:
    """Why a word without quotes is neither a number nor true nor false."""
    told = f"{short(word)} is not a number as JSON writes it"
    if word.casefold() in ("true", "false", "none", "yes", "no"):
        return f"{short(word)} means nothing here", "Write true or false, in small letters"
    bare = word.lstrip("+-")
    if not bare[:1].isdigit() and not (bare.startswith(".") and bare[1:2].isdigit()):
        return f"{short(word)} stands without quotes", _QUOTES_MEND
    if word.startswith("+"):
        return told, "Leave the plus sign out"
    if bare.startswith("."):
        return told, "Write a 0 before the point"
    if bare.endswith("."):
        return told, "Write a digit after the point, or leave the point out"
    if re.fullmatch(r"0[0-9.]+", bare):
        return told, "Leave out the zeros in front"
    if re.fullmatch(r"[0-9.]+[A-Za-z]+", bare):
        return told, 'Write the number alone; the measure is said once, by "unit" at the top'
    return told, "Write digits and at most one point, such as 7.5"
