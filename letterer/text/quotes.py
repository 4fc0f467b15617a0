"""Straight quotation marks and apostrophes made curly, by the habits of English.

Feet and inches (6'2") stay straight.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

OPENING_SINGLE, APOSTROPHE = "\u2018", "\u2019"
OPENING_DOUBLE, CLOSING_DOUBLE = "\u201c", "\u201d"
DASHES = "-\u2013\u2014"
OPENERS = f"([{{<{OPENING_DOUBLE}{OPENING_SINGLE}{DASHES}"
ELISION = re.compile(
    r"(?:tis|twas|twere|em|til|till|cause|bout|round|neath|n|cuz|kay|\d\ds?)\b", re.IGNORECASE
)
CLOSING_SINGLE = re.compile(
    r"(?<=[\w.,!?\u2026-])(?<!in)(?<!\ban)(?<!\bo)(?<!\bol)'(?!\w)", re.IGNORECASE
)
"""A single quote that ends a quotation, not one for a letter left out (darlin', an', o', ol')."""
FEET = re.compile(r"(?<=\d)'(?= ?\d{1,2}(?:\"|\b))")
INCHES = re.compile(r"(?<=\d)'( ?\d{1,2})\"")


def curled(text: str, kept: Sequence[bool] = ()) -> str:
    """The text with curly quotes and apostrophes; the length stays. `kept` marks characters that
    are left as typed.

    >>> print(curled('"\\'Tis Ann\\'s," he said. "Six foot: 6\\'2""'))
    “’Tis Ann’s,” he said. “Six foot: 6'2"”
    """
    straight = {found.start() for found in FEET.finditer(text)}
    straight |= {found.end() - 1 for found in INCHES.finditer(text)}
    straight |= {at for at, keep in enumerate(kept) if keep}
    last_closing = max((found.start() for found in CLOSING_SINGLE.finditer(text)), default=-1)
    put = ""
    quoting = 0
    for at, char in enumerate(text):
        after = text[at + 1 : at + 2]
        if at in straight:
            put += char
        elif char == "'":
            opening = _at_start(put) and bool(after.strip()) and not ELISION.match(text, at + 1)
            put += OPENING_SINGLE if opening and at < last_closing else APOSTROPHE
        elif char == '"':
            goes_on = quoting and put[-1:] in DASHES
            opening = _at_start(put) and bool(after.strip()) and not goes_on
            if put[-1:].isdigit() and not quoting:
                put += char
            else:
                put += OPENING_DOUBLE if opening else CLOSING_DOUBLE
        else:
            put += char
        if put[-1] in (OPENING_DOUBLE, CLOSING_DOUBLE):
            quoting = int(put[-1] == OPENING_DOUBLE)
    return put


def _at_start(before: str) -> bool:
    """Whether a quotation may open after these words."""
    return not before or before[-1].isspace() or before[-1] in OPENERS
