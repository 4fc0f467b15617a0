"""Crowding: words to a balloon, a panel, a page; and how much of a panel they cover."""

from __future__ import annotations

from collections.abc import Iterator

from letterer import craft
from letterer.page.lettered import Severity
from letterer.review.finding import Inspection, Noticed, percent
from letterer.review.shapes import common, polygons


def crowded(look: Inspection) -> Iterator[Noticed]:
    """Warnings where there are more words than the usual most."""
    spoken = [form for form in look.forms if form.unit.kind != "effect"]
    counts = {form.unit.id: len(form.unit.words.split()) for form in spoken}
    for form in spoken:
        many = counts[form.unit.id]
        if many > craft.WORDS_BALLOON_MOST:
            what = f"{many} words in one balloon; {craft.WORDS_BALLOON_MOST} are the usual most"
            told = (what, f"Cut {many - craft.WORDS_BALLOON_MOST}, or split it in two")
            yield look.noticed(Severity.WARNING, "many words", told, form)
    for panel in look.plan.panels:
        here = [form for form in spoken if form.unit.panel == panel.number]
        many = sum(counts[form.unit.id] for form in here)
        if many > craft.WORDS_PANEL_MOST and len(here) > 1:
            what = (
                f"{many} words in panel {panel.number}; {craft.WORDS_PANEL_MOST} are the usual most"
            )
            told = (what, f"Cut {many - craft.WORDS_PANEL_MOST}, or give some to another panel")
            yield look.noticed(Severity.WARNING, "many words", told, at=panel.box)
        bodies = [
            part for form in look.forms if form.unit.panel == panel.number for part in form.body
        ]
        shared = common(bodies, polygons(panel.shape)) if bodies else None
        if shared and shared.share > craft.CROWDED_SHARE:
            what = f"lettering covers {percent(shared.share)} of panel {panel.number}"
            told = (what, "Cut words, or give the panel more room")
            yield look.noticed(Severity.WARNING, "crowded panel", told, at=panel.box)
    many = sum(counts.values())
    if many > craft.WORDS_PAGE_MOST:
        what = f"{many} words on the page; {craft.WORDS_PAGE_MOST} are the usual most"
        told = (what, f"Cut {many - craft.WORDS_PAGE_MOST}, or give some to the next page")
        yield look.noticed(Severity.WARNING, "many words", told)
