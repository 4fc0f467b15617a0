"""What lettering does by itself with an edited script, and what it tells of the rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from letterer.model.plan import Layout
from letterer.model.script import Script
from letterer.page.lettered import Finding, Severity
from letterer.revise.book import address
from letterer.revise.change import WITH_ITS_PAGE, Change, Fate, Revision
from letterer.revise.decision import REORDERED
from letterer.revise.edits import Put
from letterer.revise.lines import settle
from letterer.revise.revision import revise
from letterer.text.faces import FaceLibrary

CUT_PANEL = (
    "what was panel {} of page {} is cut: its outline and mouths are parked, and come back if its"
    " words do"
)
BACK = "is back from where it was parked, with all that belongs to it"
LOOK = "letterer revise SCRIPT LAYOUT shows it; --write keeps it"


def matched(
    script: Script, layout: Layout, faces: FaceLibrary | None = None
) -> tuple[Layout, tuple[Finding, ...]]:
    """The plan as an edited script needs it, and what there is to tell of it.

    Words that did not change keep their place though their numbers shifted. A layout that does not
    say its words is taken by its numbers, as it is.
    """
    if not layout.is_remembered:
        return layout, ()
    revision = revise(script, layout)
    settled = settle(script, revision.layout, revision.changes, faces)
    return settled.layout, (*findings(revision), *settled.findings)


def findings(revision: Revision) -> Iterator[Finding]:
    """What a revision has to tell in the summary of a run: all but what stayed as it was."""
    for old, new in revision.renumbered:
        what = f"page {old} of the layout is page {new} now, by its words"
        yield Finding(Severity.NOTE, "page moved", what, LOOK, new)
    for kind, what in told_of_parts(revision):
        yield Finding(Severity.NOTE, kind, what, LOOK)
    for note in revision.notes:
        yield Finding(Severity.NOTE, "name changed", note, LOOK)
    for change in revision.changes:
        quiet = (Fate.SAME, Fate.EDITED, Fate.NEW)
        with_page = revision.went_with_page(change) or change.place == WITH_ITS_PAGE
        if with_page or (change.fate in quiet and change.sure):
            continue  # unchanged or edited in its place; new units are told as not placed
        what = told(change)
        page = address(change.at)[0]
        doubt = not change.sure or change.proposed
        severity = Severity.WARNING if doubt else Severity.NOTE
        unit = change.unit
        yield Finding(
            severity, "unsure" if not change.sure else change.fate.value, what, LOOK, page, unit
        )


def told_of_parts(revision: Revision) -> Iterator[tuple[str, str]]:
    """What became of whole pages and panels: a finding's kind, and its words."""
    for number in revision.cut_pages:
        yield "page cut", _told_cut(number, revision)
    for page, panel in revision.cut_panels:
        yield "panel cut", CUT_PANEL.format(panel, page)
    for place in revision.back:
        yield "back", f"{place} {BACK}"


def _told_cut(number: int, revision: Revision) -> str:
    """What became of a page that is no longer in the script, in one sentence without its stop."""
    count = sum(
        revision.went_with_page(change) and change.was[0].startswith(f"{number}.")
        for change in revision.changes
    )
    units = "1 unit" if count == 1 else f"{count} units"
    return (
        f"what was page {number} is cut: it is parked whole, with its art, its panels and {units},"
        " and comes back if its words do"
    )


def told(change: Change) -> str:
    """What became of a unit, in one sentence without its full stop.

    >>> told(Change(Fate.SAME, "1.2.3", ("1.2.2",), "No.", "No.", "keeps its place"))
    'was 1.2.2: same words, keeps its place'
    """
    was = " and ".join(change.was)
    if change.fate is Fate.NEW:
        return f"is new: {change.place}"
    if change.fate is Fate.CUT:
        return f"what was {change.was[0]} is cut: {change.place}{_doubt(change)}"
    if change.fate is Fate.BACK:
        here = change.place.startswith("its words")
        return change.place if here else f"its words are back, it {change.place}"
    same = change.words == change.old_words
    how = {
        Fate.SPLIT: "split, the longest part",
        Fate.JOINED: "joined,",
    }.get(change.fate, "same words," if same else "edited,")
    told_so = change.place.startswith(REORDERED)
    if change.fate is Fate.MOVED and change.was != (change.unit,) and not told_so:
        how = f"{how} moved,"
    begin = "" if change.was == (change.unit,) else f"was {was}: "
    speakers = f"; {change.speakers}" if change.speakers else ""
    return f"{begin}{how} {change.place}{speakers}{_doubt(change)}"


def _doubt(change: Change) -> str:
    """What else may be so, as a sentence of its own without its full stop."""
    if change.sure:
        return ""
    return f". This is unsure: {change.rival or 'something else fits nearly as well'}"


def without_lines(revision: Revision, anew: Sequence[str]) -> Revision:
    """A revision after which the lines of some units are not kept: where they have other words now
    that are better set in other lines."""
    edited = {change.unit for change in revision.changes if change.old_words != change.words}
    units = edited & set(anew)
    if not units:
        return revision
    *before, last = revision.stages

    def without(put: Put) -> Put:
        return replace(put, lines_kept=False) if put.unit in units else put

    last = replace(
        last,
        kept={unit: without(put) for unit, put in last.kept.items()},
        copies=tuple(replace(copy, put=without(copy.put)) for copy in last.copies),
        returns={index: without(put) for index, put in last.returns.items()},
    )
    pages = tuple(
        replace(
            page,
            placements=tuple(
                replace(placed, lines_kept=False) if placed.unit in units else placed
                for placed in page.placements
            ),
        )
        for page in revision.layout.pages
    )
    return replace(revision, stages=(*before, last), layout=replace(revision.layout, pages=pages))
