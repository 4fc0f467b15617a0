"""What may have been meant otherwise than it was read: remarks, which never stop the work."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from letterer.model.script import Page, Panel, Remark, Role, Script, Unit
from letterer.model.script_manners import is_manner
from letterer.model.script_shapes import (
    IF_DIRECTION,
    NAME_LIMIT,
    begins_like_heading,
    fold_name,
    in_capitals,
    is_name,
    one_slip,
    split_cue,
    without_number,
)

_MOST_SPEAKERS = 200
"""Names are compared in pairs only up to this many, so that no script takes long."""

_STAGE_WORDS = frozenset(
    [
        "note",
        "notes",
        "setting",
        "scene",
        "location",
        "description",
        "action",
        "art",
        "artist",
        "camera",
        "shot",
        "layout",
        "background",
        "time",
        "ext",
        "int",
    ]
)
_NOT_LETTERED = "It is read as direction and not lettered"
_NEVER_DIRECTION = ("CAPTION", "CAP", "SFX", "FX")
_BEGINS_SPEECH = re.compile(r"(?:I\b|[A-Z][a-z']+\s+[a-z]).*[.!?]$")
_BRACKETS = re.compile(r"[(\uff08]([^()\uff08\uff09]{1,60})[)\uff09]")


def remark_on_prose(
    text: str, speakers: Mapping[str, str], opening: bool
) -> tuple[str, str] | None:
    """What to say of a line of prose that may have been meant as a cue or a heading.

    Gives (what, mend). A line with a backslash in front is never remarked upon.
    """
    if text.startswith("\\"):
        return None
    line = without_number(text)
    key = begins_like_heading(line)
    if key:
        return (
            f"this line begins like a {key} heading, but is read as direction",
            f"For a heading write {key} and put a colon behind the number. {IF_DIRECTION}",
        )
    if opening:
        return None
    parts = split_cue(line)
    if parts is None:
        name = _BRACKETS.sub("", line).strip()
        if in_capitals(name) and fold_name(name) in speakers:
            return (
                f"{name} stands here without a colon. {_NOT_LETTERED}",
                f"Write {name}: and the words behind it",
            )
        return _without_colon(line, speakers)
    name, _, words = parts
    if not words or not any(char.isalpha() for char in name):
        return None
    if is_name(name):
        named = len(name.split()) <= 3 and all(not word[0].islower() for word in name.split())
        if not named or in_capitals(name):
            return None
        return (
            f'"{name}:" is read as direction, since nobody of that name speaks in capitals',
            f"If {name} speaks here, write the name in capitals. {IF_DIRECTION}",
        )
    if not in_capitals(name):
        return None
    if len(name) > NAME_LIMIT:
        why = f"A name has at most {NAME_LIMIT} characters"
    else:
        why = "A name may have letters, digits, spaces and - ' . & # only"
    return (
        f"this line looks like a cue, but is read as direction. {why}",
        f"If it is a cue, mend the name. {IF_DIRECTION}",
    )


def _without_colon(line: str, speakers: Mapping[str, str]) -> tuple[str, str] | None:
    """What to say of a line such as SFX KRRANG, or MAREN I owe her one: a cue but for its colon.

    A speaker's name in capitals often begins direction, such as MAREN leans out; so the word behind
    it must be one that begins a sentence.
    """
    name, _, words = line.partition(" ")
    sound = name in _NEVER_DIRECTION
    spoken = fold_name(name) in speakers and in_capitals(name) and _BEGINS_SPEECH.match(words)
    if not (sound and words) and not spoken:
        return None
    return (
        f"{name} stands here without a colon. {_NOT_LETTERED}",
        f"Write {name}: and the words behind it. {IF_DIRECTION}",
    )


def remark_on_turn(words: str, text: str) -> tuple[str, str] | None:
    """What to say when prose follows right below a unit's words, as (what, mend)."""
    if text[:1].islower() and words[-1:] not in ".!?":
        return (
            "this line begins with a small letter right below a unit's words. " + _NOT_LETTERED,
            "If it belongs to the words above, indent it",
        )
    return None


def remark_on_unit(unit: Unit) -> Iterator[tuple[str, str]]:
    """What to say of one unit, as (what, mend)."""
    aside = _BRACKETS.match(unit.runs[0].text)
    if aside and unit.role is Role.SPEECH and is_manner(aside[1]):
        yield (
            f'"{aside[0]}" stands behind the colon and will be lettered',
            f"For a manner of speaking, write {unit.speaker} {aside[0]}: and then the words",
        )
    folded = fold_name(unit.speaker)
    if unit.role is Role.SPEECH and folded.split()[0].rstrip(".") in _STAGE_WORDS:
        mend = IF_DIRECTION
        if folded in ("note", "notes"):
            mend = f"For a note to the reader, write CAPTION (note): and the words. {mend}"
        yield f"{unit.speaker} is read as the name of a speaker", mend
    if unit.role is Role.SPEECH and re.match(r"(?:caption|cap|sfx)\b", folded):
        yield (
            f"{unit.speaker} is read as the name of a speaker",
            "Before the colon write CAPTION or CAPTION (speech, NAME), or SFX for a sound",
        )


def remark_on_script(script: Script) -> Iterator[Remark]:
    """Gaps in the numbers, and names that look mistyped."""
    yield from _gaps("page", script.pages)
    for page in script.pages:
        yield from _gaps("panel", page.panels)
    speeches = [unit for unit in script.units if unit.role is Role.SPEECH]
    count = Counter(unit.speaker for unit in speeches)
    if len(count) > _MOST_SPEAKERS:
        return
    for unit in speeches:
        if count[unit.speaker] > 1 or len(unit.speaker) < 4:
            continue
        meant = next(
            (
                name
                for name, times in count.items()
                if times > 1
                and (one_slip(unit.speaker, name) or fold_name(name) == fold_name(unit.speaker))
                and not any(char.isdigit() for char in unit.speaker)
            ),
            None,
        )
        if meant:
            yield Remark(
                f"{unit.speaker} speaks only here, and {meant} speaks elsewhere",
                f"If this is {meant}, write the name alike",
                unit.line,
            )


def _gaps(level: str, numbered: Sequence[Page | Panel]) -> Iterator[Remark]:
    if level == "panel" and numbered and numbered[0].number != 1:
        yield Remark(
            f"the first panel of this page is numbered {numbered[0].number}",
            "If a heading PANEL 1 is missing or mistyped, put it right",
            numbered[0].line,
        )
    for before, after in pairwise(numbered):
        if after.number != before.number + 1:
            yield Remark(
                f"{level} {after.number} comes right after {level} {before.number}",
                "If a heading is missing, mistyped or out of order, put it right",
                after.line,
            )
