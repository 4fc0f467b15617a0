"""What one line of a script is by its shape: a heading, a cue, or (when neither) prose.

The reader and the writer both ask `recognise`, so that prose is escaped exactly where it would be
taken for something else.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from letterer.errors import nearest
from letterer.model.script import Role

NAME_LIMIT = 40
"""The longest name of a speaker, in characters."""

IF_DIRECTION = "If this line is direction, put a backslash in front of it"

Level = Literal["page", "panel"]


@dataclass(frozen=True, slots=True)
class Heading:
    """A page or panel heading; `text` is what stood beside the number."""

    level: Level
    number: int
    text: str


@dataclass(frozen=True, slots=True)
class Cue:
    """The first line of a unit. `brackets` holds what stood in brackets before the colon.

    `name` is the speaker for speech and empty otherwise. `capital` tells whether it was written in
    capitals. `words` is the rest of the line, with its marks.
    """

    role: Role
    name: str
    brackets: tuple[str, ...]
    words: str
    capital: bool


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A line that is surely meant as a heading or cue and cannot be read as one."""

    what: str
    mend: str
    level: Level | None = None


Shape = Heading | Cue | Unreadable

RESERVED = {
    "caption": Role.CAPTION,
    "captions": Role.CAPTION,
    "cap": Role.CAPTION,
    "sfx": Role.EFFECT,
    "fx": Role.EFFECT,
    "sound": Role.EFFECT,
    "effect": Role.EFFECT,
    "sound effect": Role.EFFECT,
}
"""Words that stand where a name would and begin a caption or a sound effect."""

FRONT_WORDS = frozenset(
    [
        "title",
        "subtitle",
        "story",
        "series",
        "issue",
        "book",
        "part",
        "chapter",
        "volume",
        "script",
        "writer",
        "author",
        "artist",
        "art",
        "by",
        "draft",
        "date",
        "version",
        "pages",
        "panels",
        "cast",
        "summary",
        "synopsis",
        "copyright",
        "contact",
        "note",
        "notes",
    ]
) | {"written by", "drawn by", "lettered by", "script by", "story by", "art by"}
"""Words that describe the script itself when they stand before the first page, as in a title."""

_INVISIBLE = "\u200b\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069"
_JOINERS = "\u200c\u200d"
_APOSTROPHES = "'\u2019\u2018\u02bc"
_NAME_MARKS = " -\u2010\u2011.&#" + _APOSTROPHES + _JOINERS
_DASHES = "\\-\u2010\u2011\u2012\u2013\u2014\u2015"
_COLONS = ":\uff1a"
_OPEN, _SHUT = "(\uff08", ")\uff09"

_UNITS = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
_TEENS = [
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_VALUES = {word: value for value, word in enumerate(_UNITS + _TEENS, 1)} | {
    word: 10 * value for value, word in enumerate(_TENS, 2)
}
_ROMAN = {"I": 1, "V": 5, "X": 10, "L": 50, "C": 100}

_FIRST_OF_CUE = re.compile(rf"[{_COLONS}{_OPEN}]")
_BRACKET_END = re.compile(rf"[{_SHUT}]")
_LINE_NUMBER = re.compile(r"(?:\d+(?:[.)]\s*|\s+))+")
_HEADING = re.compile(r"(page|panel)(s?)(?:\s+|(?=[#\d]))(.+)", re.IGNORECASE)
_PARTED_HEADING = re.compile(rf"(page|panel)\s*[{_COLONS}.{_DASHES}]\s*(.+)", re.IGNORECASE)
_SLIPPED_HEADING = re.compile(r"([a-z]{2,8})\.?(?:\s+|(?=[#\d]))(.+)", re.IGNORECASE)
_DIGITS = re.compile(r"#?\s*(\d{1,4})(?!\w)(?![.,/]\d)")
_BELOW_HUNDRED = re.compile(
    rf"(?:({'|'.join(_TENS)})(?:[{_DASHES}\s]*({'|'.join(_UNITS)}))?"
    rf"|({'|'.join(_TEENS + _UNITS)}))(?!\w)",
    re.IGNORECASE,
)
_HUNDREDS = re.compile(rf"(a|{'|'.join(_UNITS)})\s+hundred(?!\w)", re.IGNORECASE)
_AND = re.compile(rf"(?:\s+and\b)?[{_DASHES}\s]+", re.IGNORECASE)
_NUMERAL = re.compile(r"(?=[CLXVI])C{0,3}(?:XC|XL|L?X{0,3})(?:IX|IV|V?I{0,3})(?!\w)")
_STRICT_TAIL = re.compile(
    rf"\s*(?:$|[{_COLONS}.;{_OPEN}{_SHUT}{_DASHES}]|of\s+\d+$)", re.IGNORECASE
)
_PARTING = re.compile(rf"\s*(?:[{_COLONS}.,;{_SHUT}]|[{_DASHES}]+)?\s*")
_SPAN = re.compile(rf"\s*(?:[{_DASHES}/&+,]|and\b|to\b)\s*", re.IGNORECASE)
_TOKEN = re.compile(r"[^\s:\uff1a(\uff08]+")


def recognise(line: str, speakers: Mapping[str, str], opening: bool = False) -> Shape | None:
    """What a line is by its shape; None for prose, and for a line that begins with a backslash.

    `line` has no space at either end. `speakers` maps the folded names (see `fold_name`) of those
    who speak by a cue in capitals to the name as written; a line such as `Nell: words` is a cue
    only when NELL is among them. `opening` is true before the first page: there only a cue in
    capitals counts, and never one of `FRONT_WORDS`.

    >>> recognise("PAGE TWO: Night", {})
    Heading(level='page', number=2, text='Night')
    >>> recognise("Page turns in the wind.", {}) is None
    True
    >>> recognise("Nell: Hush!", {"nell": "NELL"}).name
    'NELL'
    """
    if line[:1] == "\\":
        return None
    line = without_number(line)
    if not line[:1].isalnum() and line[:1] not in _NAME_MARKS:
        return None
    return _heading(line) or _slipped_heading(line) or _cue(line, speakers, opening)


def fold_name(name: str) -> str:
    """A name as it is compared: letter case, kind of apostrophe and way of encoding set aside.

    >>> fold_name("O\\u2019DAY") == fold_name("O'Day")
    True
    """
    for mark in _APOSTROPHES[1:]:
        name = name.replace(mark, "'")
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def is_name(name: str) -> bool:
    """Whether this could be the name of a speaker, in capitals or not."""
    return (
        0 < len(name) <= NAME_LIMIT
        and (name[0].isalnum() or name[0] in "#" + _APOSTROPHES)
        and any(char.isalpha() for char in name)
        and all(
            char.isalnum() or char in _NAME_MARKS or unicodedata.category(char)[0] == "M"
            for char in name
        )
    )


def in_capitals(text: str) -> bool:
    """Whether no letter is a small one. Letters of scripts without case count as capitals.

    So do Georgian letters, German ß among capitals, and the small letters of Mc and Mac.

    >>> [in_capitals(name) for name in ("NELL", "McCALL", "Nell", "ネル")]
    [True, True, False, True]
    """
    text = re.sub(r"\bMa?c(?=[A-Z])", "", text)
    return not any(
        unicodedata.category(char) == "Ll" and char != "ß" and not "\u10d0" <= char <= "\u10ff"
        for char in text
    )


def split_cue(line: str) -> tuple[str, tuple[str, ...], str] | None:
    """A line taken apart as name, brackets and words, whatever they hold; None without a colon."""
    found = _FIRST_OF_CUE.search(line)
    if not found:
        return None
    at = found.start()
    name = " ".join(line[:at].split())
    brackets = []
    while at < len(line) and line[at] in _OPEN:
        shut = _BRACKET_END.search(line, at)
        if not shut:
            return None
        brackets.append(line[at + 1 : shut.start()])
        at = shut.end()
        while at < len(line) and line[at].isspace():
            at += 1
    if at >= len(line) or line[at] not in _COLONS:
        return None
    return name, tuple(brackets), line[at + 1 :].strip()


def without_number(line: str) -> str:
    """The line without a line number in front."""
    line = line.lstrip(_INVISIBLE)
    number = _LINE_NUMBER.match(line)
    return line[number.end() :] if number else line


def begins_like_heading(line: str) -> str | None:
    """PAGE or PANEL when a line of prose begins with it, or nearly, and a number; else None."""
    found = _SLIPPED_HEADING.match(line)
    if not found:
        return None
    number = _number(found[2])
    if number is None:
        return None
    key = found[1].upper()
    if key in ("PAGE", "PANEL"):
        return key
    if not found[1].isupper() or number[1]:
        return None
    return next((right for right in ("PAGE", "PANEL") if one_slip(key, right)), None)


def one_slip(word: str, right: str) -> bool:
    """Whether `word` is `right` with one slip of the hand.

    A slip is a letter too many, too few or wrong, or two neighbours that changed places.

    >>> one_slip("PAEG", "PAGE"), one_slip("PAGE", "PAGE"), one_slip("STAGE", "PAGE")
    (True, False, False)
    """
    if word == right or abs(len(word) - len(right)) > 1:
        return False
    at = 0
    while at < min(len(word), len(right)) and word[at] == right[at]:
        at += 1
    mine, theirs = word[at:], right[at:]
    return (
        mine[1:] == theirs[1:]
        or mine[1:] == theirs
        or mine == theirs[1:]
        or (mine[:2] == theirs[1::-1] and mine[2:] == theirs[2:])
    )


def _slips(right: str) -> set[str]:
    """The ways to mistype a word with the letters it has: swapped, left out, or doubled."""
    cuts = range(len(right))
    swapped = {right[:i] + right[i + 1 : i + 2] + right[i] + right[i + 2 :] for i in cuts}
    dropped = {right[:i] + right[i + 1 :] for i in cuts}
    doubled = {right[:i] + right[i] + right[i:] for i in cuts}
    return (swapped | dropped | doubled) - {right}


# AGE and PANE are words of their own and may well stand in prose.
_MISTYPED: dict[str, str] = {
    **dict.fromkeys((_slips("PAGE") | {"PG", "PGS"}) - {"AGE"}, "PAGE"),
    **dict.fromkeys((_slips("PANEL") | {"PNL", "PANAL"}) - {"PANE"}, "PANEL"),
}


def _number(text: str) -> tuple[int, str, bool] | None:
    """The number that begins a text, what follows it, and whether it was a Roman numeral."""
    if found := _DIGITS.match(text):
        return int(found[1]), text[found.end() :], False
    if (value_and_rest := _number_in_words(text)) is not None:
        return *value_and_rest, False
    if (found := _NUMERAL.match(text)) and found[0]:
        values = [_ROMAN[letter] for letter in found[0]]
        total = sum(
            -value if value < following else value
            for value, following in zip(values, [*values[1:], 0], strict=True)
        )
        return total, text[found.end() :], True
    return None


def _number_in_words(text: str) -> tuple[int, str] | None:
    hundreds = _HUNDREDS.match(text)
    total, rest, at = 0, text, 0
    if hundreds:
        total = 100 * _VALUES.get(hundreds[1].casefold(), 1)
        rest = text[hundreds.end() :]
        joined = _AND.match(rest)
        at = joined.end() if joined else len(rest)
    below = _BELOW_HUNDRED.match(rest, at)
    if below:
        total += sum(_VALUES[word.casefold()] for word in below.groups() if word)
        rest = rest[below.end() :]
    return (total, rest) if total else None


def _heading(line: str) -> Heading | Unreadable | None:
    found = _HEADING.fullmatch(line)
    number = _number(found[3]) if found else None
    if not found or number is None:
        parted = _parted_heading(line)
        return parted or (_heading_without_number(found) if found else None)
    key, level, sure = found[1].upper(), _level(found[1]), found[1].isupper()
    value, tail, roman = number
    if second := _span_end(tail):
        return Unreadable(
            f"a {level} heading takes one number, and this one has {value} and {second}",
            f"Write {key} {value} (with {second})",
            level,
        )
    strict = _STRICT_TAIL.match(tail) is not None
    if not strict and (roman or not sure or found[2]):
        return None
    if found[2]:
        return Unreadable(
            f'"{_short(line)}" is not a heading as it stands', f"Write {key} {value}", level
        )
    if value == 0:
        return Unreadable(f"{level}s are numbered from 1", f"Write {key} 1", level)
    parting = _PARTING.match(tail)
    return Heading(level, value, tail[parting.end() :].strip() if parting else tail)


def _parted_heading(line: str) -> Unreadable | None:
    """The fault in a heading such as `PAGE: 1`, with a mark between the word and the number."""
    found = _PARTED_HEADING.fullmatch(line)
    number = _number(found[2]) if found else None
    if not found or number is None or number[1]:
        return None
    key = found[1].upper()
    return Unreadable(
        f'"{_short(line)}" is not a heading as it stands',
        f"Write {key} {found[2]}, with nothing but a space between",
        _level(key),
    )


def _heading_without_number(found: re.Match[str]) -> Unreadable | None:
    """The fault in a line that begins with PAGE or PANEL and then has no number, if it is one."""
    key, rest, sure = found[1].upper(), found[3], found[1].isupper()
    token = _TOKEN.match(rest)
    if not token:
        return None
    word, tail = token[0].rstrip(".,;"), rest[token.end() :]
    meant = next((known for known in _VALUES if one_slip(word.casefold(), known)), None)
    strict = _STRICT_TAIL.match(tail) is not None
    odd_number = word[:1].isdigit() and strict
    alone = sure and not tail and in_capitals(word)
    mistyped = sure and strict and meant is not None and len(word) > 2
    if not (odd_number or alone or mistyped):
        return None
    level = _level(key)
    what = f'"{_short(word)}" cannot be read as a {level} number'
    meant = meant or (None if odd_number else nearest(word, _VALUES))
    if meant:
        mend = f"Did you mean {key} {meant.upper()}?"
    else:
        mend = f"Write a whole number, such as {key} 2"
    if alone and not odd_number:
        mend = mend.rstrip("?.") + ("? " if meant else ". ")
        mend += IF_DIRECTION
    return Unreadable(what, mend, level)


def _span_end(tail: str) -> int | None:
    """The second number of a heading such as PAGES 2-3, given what follows the first."""
    found = _SPAN.match(tail)
    second = _number(tail[found.end() :]) if found else None
    if second is None or not _STRICT_TAIL.match(second[1]):
        return None
    return second[0]


def _slipped_heading(line: str) -> Unreadable | None:
    """The fault in a heading with PAGE or PANEL mistyped."""
    found = _SLIPPED_HEADING.fullmatch(line)
    key = _MISTYPED.get(found[1].upper()) if found else None
    number = _number(found[2]) if found and key else None
    if not found or key is None or number is None or not _STRICT_TAIL.match(number[1]):
        return None
    return Unreadable(
        f'"{found[1]}" is no heading',
        f"Did you mean {key} {number[0]}? {IF_DIRECTION}",
        _level(key),
    )


def _cue(line: str, speakers: Mapping[str, str], opening: bool) -> Cue | Unreadable | None:
    parts = split_cue(line)
    if parts is None:
        return _unclosed_bracket(line, opening)
    name, brackets, words = parts
    if not is_name(name):
        return None
    capital = in_capitals(name)
    folded = fold_name(name)
    if opening and (not capital or folded in FRONT_WORDS):
        return None
    role = RESERVED.get(re.sub(r"\.?\s*#?\d*$", "", folded))
    if role:
        return Cue(role, "", brackets, words, capital)
    if capital:
        return Cue(Role.SPEECH, name, brackets, words, True)
    known = speakers.get(folded)
    return Cue(Role.SPEECH, known, brackets, words, False) if known else None


def _unclosed_bracket(line: str, opening: bool) -> Unreadable | None:
    name, bracket, rest = line.partition("(")
    name = " ".join(name.split())
    if opening or not bracket or ")" in rest or ":" not in rest:
        return None
    if not (is_name(name) and in_capitals(name)):
        return None
    return Unreadable(
        f"the bracket after {name} is not closed",
        f"Close it before the colon. {IF_DIRECTION}",
    )


def _level(key: str) -> Level:
    return "page" if key.casefold() == "page" else "panel"


def _short(text: str) -> str:
    """Enough of a text to quote in a message."""
    return text if len(text) <= NAME_LIMIT else text[: NAME_LIMIT - 3].rstrip() + "..."
