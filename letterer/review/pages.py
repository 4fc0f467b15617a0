"""Looks pages over: every check, what composing already found, what the person has accepted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from letterer.geometry import Box
from letterer.model.plan import Layout, PagePlan
from letterer.page.lettered import Finding, LetteredPage, Severity
from letterer.review.accepted import answered, unmatched
from letterer.review.crowding import crowded
from letterer.review.finding import Check, Inspection, Noticed
from letterer.review.frames import (
    misplaced_panels,
    overlapping_panels,
    small_panels,
    stray_mouths,
    unsound_panels,
)
from letterer.review.legibility import (
    PageReading,
    narrow_lines,
    readings,
    small_in_print,
    small_on_telephone,
)
from letterer.review.neighbours import hidden_words, touching
from letterer.review.order import panels_out_of_order, read_too_early, words_out_of_order
from letterer.review.standing import contrasts, covered, outside_live, over_borders, sizes
from letterer.review.tails import (
    crossing_tails,
    long_tails,
    missed_mouths,
    tails_over_faces,
    tails_over_words,
)

CHECKS: tuple[Check, ...] = (
    outside_live,
    covered,
    over_borders,
    sizes,
    contrasts,
    small_in_print,
    small_on_telephone,
    narrow_lines,
    long_tails,
    crossing_tails,
    tails_over_words,
    tails_over_faces,
    missed_mouths,
    hidden_words,
    touching,
    panels_out_of_order,
    words_out_of_order,
    read_too_early,
    crowded,
    misplaced_panels,
    overlapping_panels,
    unsound_panels,
    small_panels,
    stray_mouths,
)

KINDS = (
    "art",
    "balloons touch",
    "breaks gone",
    "covers",
    "crowded panel",
    "cut off",
    "does not fit",
    "effect unused",
    "hyphenated",
    "letters fold",
    "little air",
    "long tail",
    "low contrast",
    "low letters",
    "many words",
    "mouth missed",
    "mouth off panel",
    "narrow lines",
    "no neck",
    "no tail",
    "no words",
    "not cut",
    "not joined",
    "not placed",
    "nothing to clip",
    "outside live area",
    "over the border",
    "page not planned",
    "page not written",
    "panel crosses itself",
    "panel off page",
    "panel order",
    "panel order unsure",
    "panel too small",
    "panels overlap",
    "quotation marks",
    "read too early",
    "reading order",
    "shrunk",
    "small on a telephone",
    "small words",
    "tail over face",
    "tail over words",
    "tails cross",
    "translation",
    "words covered",
    "wrong panel",
)
"""Every kind of finding, from composing and from looking over, as an acceptance names it."""


LOOKED_AT_AGAIN = ("long tail", "words covered")
"""Composing tells these by a quick measure; here they are measured closely, and told or not."""


@dataclass(frozen=True, slots=True)
class Reviewed:
    """What was noticed: for each page by its number, and of the book as a whole (page 0); and how
    each page with words reads."""

    pages: tuple[tuple[int, tuple[Noticed, ...]], ...]
    book: tuple[Noticed, ...] = ()
    readings: tuple[PageReading, ...] = ()

    @property
    def every(self) -> tuple[Noticed, ...]:
        """All of it, worst first."""
        found = [*self.book, *(one for _, page in self.pages for one in page)]
        return tuple(sorted(found, key=lambda one: one.rank))

    @property
    def worst(self) -> Severity | None:
        """The worst severity that is not accepted; None when there is nothing."""
        open_ones = [one for one in self.every if not one.because]
        return open_ones[0].finding.severity if open_ones else None


def review_page(page: LetteredPage, layout: Layout) -> tuple[Noticed, ...]:
    """All findings of a page, worst first; what composing found is among them, not doubled."""
    look = Inspection(page, layout.page(page.number) or PagePlan(page.number), layout)
    found = [one for check in CHECKS for one in check(look)]
    seen = {(one.finding.kind, one.finding.unit) for one in found}
    found += [
        Noticed(finding, _place(look, finding))
        for finding in page.findings
        if finding.kind not in LOOKED_AT_AGAIN and (finding.kind, finding.unit) not in seen
    ]
    return tuple(sorted(found, key=lambda one: one.rank))


def _place(look: Inspection, finding: Finding) -> Box | None:
    """The box that a finding of composing concerns: its unit, or the panel the unit belongs to."""
    form = next((form for form in look.forms if form.unit.id == finding.unit), None)
    if form is not None:
        return form.box
    numbers = finding.unit.split(".")
    panel = look.plan.panel(int(numbers[1])) if len(numbers) == 3 else None
    return panel.box if panel else None


def review(pages: Sequence[LetteredPage], findings: Iterable[Finding], layout: Layout) -> Reviewed:
    """Inspection over lettered pages. `findings` are those of the book, as `compose` gives them.

    Findings that the layout accepts carry the reason; an acceptance that matches nothing is told.
    """
    by_page = {page.number: list(review_page(page, layout)) for page in pages}
    book: list[Noticed] = []
    for finding in findings:
        by_page.get(finding.page, book).append(Noticed(finding, _in_page(pages, finding)))
    unused = list(layout.accepted)
    for page in pages:
        found = by_page[page.number]
        plan = layout.page(page.number)
        found, idle = answered(found, plan.accepted if plan else ())
        found, rest = answered(found, layout.accepted)
        unused = [one for one in unused if one in rest]
        found += [unmatched(one, KINDS, page.number) for one in idle]
        by_page[page.number] = sorted(found, key=lambda one: one.rank)
    book, rest = answered(book, layout.accepted)
    unused = [one for one in unused if one in rest]
    whole = {page.number for page in pages} >= {plan.number for plan in layout.pages}
    if whole:  # of some pages alone it cannot be said
        book += [unmatched(one, KINDS) for one in unused]
    told = tuple((number, tuple(found)) for number, found in by_page.items())
    return Reviewed(told, tuple(book), readings(pages))


def _in_page(pages: Sequence[LetteredPage], finding: Finding) -> Box | None:
    page = next((page for page in pages if page.number == finding.page), None)
    unit = page.unit(finding.unit) if page else None
    return unit.box if unit else None
