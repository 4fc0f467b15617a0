"""The trade's customs with words that only several units together can keep or break.

Common practice, no source: speech carried across several captions opens a quotation mark in each
and closes it in the last; foreign speech shown in translation stands in angle brackets, and a
caption note says from what language the first time.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from letterer.model.script import CaptionKind, Role, Unit

OPENING, CLOSING = "\"\u201c\u201e\u00ab\u2018'", "\"\u201d\u201c\u00bb\u2019'"
FOREIGN = re.compile(r"<[^<>]*\w[^<>]*>")
TRAILING = ".,!?\u2026-\u2014"


@dataclass(frozen=True, slots=True)
class BrokenCustom:
    """A custom that a unit breaks: its kind, what is seen, and how to mend it."""

    kind: str
    page: int
    unit: str
    what: str
    mend: str


def broken_customs(units: Sequence[Unit]) -> list[BrokenCustom]:
    """What the units of a book, in reading order, break."""
    return [*_quotations(units), *_foreign(units)]


def _quotations(units: Sequence[Unit]) -> Iterator[BrokenCustom]:
    for run in _runs_of_speech(units):
        for unit in run:
            if unit.words[0] not in OPENING:
                what = "a caption of speech does not open with a quotation mark"
                mend = "Begin its words with one"
                yield BrokenCustom("quotation marks", unit.page, unit.id, what, mend)
        for unit in run[:-1]:
            if _closes(unit):
                what = "the speech goes on in the next caption, and this one closes its quotation"
                mend = "Take the closing mark out: only the last caption has one"
                yield BrokenCustom("quotation marks", unit.page, unit.id, what, mend)
        if not _closes(run[-1]):
            what = "the last caption of this speech does not close its quotation"
            mend = "End its words with one"
            yield BrokenCustom("quotation marks", run[-1].page, run[-1].id, what, mend)


def _runs_of_speech(units: Sequence[Unit]) -> list[list[Unit]]:
    """Captions of speech of one voice that follow one another."""
    runs: list[list[Unit]] = []
    before: Unit | None = None
    for unit in units:
        speech = unit.role is Role.CAPTION and unit.caption is CaptionKind.SPEECH
        if speech and before is not None and before.speaker == unit.speaker and runs:
            runs[-1].append(unit)
        elif speech:
            runs.append([unit])
        before = unit if speech else None
    return runs


def _closes(unit: Unit) -> bool:
    """True when a unit's words end with a closing mark, a full stop after it allowed."""
    return unit.words.rstrip(TRAILING)[-1:] in tuple(CLOSING)


def _foreign(units: Sequence[Unit]) -> Iterator[BrokenCustom]:
    first = next((unit for unit in units if FOREIGN.search(unit.words)), None)
    if first is None:
        return
    if not any(unit.caption is CaptionKind.NOTE for unit in units if unit.page == first.page):
        what = "words in angle brackets are a translation, and no caption note says from what"
        mend = "Add a line such as CAPTION (note): Translated from ... the first time"
        yield BrokenCustom("translation", first.page, first.id, what, mend)
