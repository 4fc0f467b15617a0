"""Composes one page: every unit that the plan places is set, put in its place, and given its tail.

Four passes, each on what the one before gave, which it never changes: units and placements are
paired, and what has no partner is reported; each pair's words are set (`unit`); units that share a
contour are grouped (`joins`); each group is inked (`inking`), knowing where the words of all others
stand.
"""

from __future__ import annotations

from letterer.errors import Fault, LettererError
from letterer.model.plan import Layout, PagePlan
from letterer.model.script import Page, Role, Unit
from letterer.page.inking import ink_group
from letterer.page.joins import covered_words, grouped, sharing_lines
from letterer.page.lettered import Finding, LetteredPage, PlacedUnit, Severity
from letterer.page.surroundings import Surroundings
from letterer.page.unit import Job, SetUnit, set_unit
from letterer.text.faces import FaceLibrary


def compose_page(page: Page, layout: Layout, faces: FaceLibrary) -> LetteredPage:
    """Letter one page of a script by its plan; units without a placement are reported, not drawn.

    Raises LettererError for words that cannot be set (a character that no face has, say), with a
    fault for each unit concerned.
    """
    plan = layout.page(page.number) or PagePlan(page.number)
    jobs, findings = _paired(page, plan, layout, faces)
    ready: list[SetUnit] = []
    faults: list[Fault] = []
    for job in jobs:
        try:
            ready.append(set_unit(job))
        except LettererError as error:
            faults += error.faults
    if faults:
        raise LettererError(*faults)
    ready = sharing_lines(ready)
    around = Surroundings(tuple(ready))
    groups, found = grouped(ready)
    findings += found
    units: list[PlacedUnit] = []
    for group in groups:
        made, found = ink_group(group, around)
        around = around.after(made)
        units += made
        findings += found
    order = {unit.job.unit.id: place for place, unit in enumerate(ready)}
    units.sort(key=lambda unit: order[unit.id])
    findings += covered_words(units, page.number)
    return LetteredPage(
        page.number,
        layout.format,
        tuple(units),
        tuple(findings),
        plan.art,
        layout.language,
        tuple(panel.shape for panel in plan.panels),
    )


def _paired(
    page: Page, plan: PagePlan, layout: Layout, faces: FaceLibrary
) -> tuple[list[Job], list[Finding]]:
    """The units that the plan places, in reading order; findings for what has no partner."""
    jobs: list[Job] = []
    findings: list[Finding] = []
    for unit in page.units:
        placement = plan.placement(unit.id)
        if placement is None:
            what = f"not placed: {_shown(unit)}"
            mend = "Show its place with letterer point, or see what letterer place proposes"
            findings.append(
                Finding(Severity.WARNING, "not placed", what, mend, page.number, unit.id)
            )
            continue
        jobs.append(Job.of(unit, placement, plan, layout, faces))
    known = {unit.id for unit in page.units}
    for placement in plan.placements:
        if placement.unit not in known:
            what = "the layout places this unit, and the script has no such unit"
            mend = "Write it, or take the placement out"
            findings.append(
                Finding(Severity.WARNING, "no words", what, mend, page.number, placement.unit)
            )
    return jobs, findings


def _shown(unit: Unit) -> str:
    """A unit as it is told to a person: who, and how it begins."""
    words = unit.words if len(unit.words) <= 40 else unit.words[:37].rstrip() + "..."
    if words.endswith(".") and not words.endswith(".."):
        words = words[:-1]  # the sentence that tells of it has a full stop of its own
    who = unit.speaker or {Role.CAPTION: "caption", Role.EFFECT: "sound effect"}.get(unit.role, "")
    return f'{who}, "{words}"' if who else f'"{words}"'
