"""Lines after an edit: a small one keeps the old breaks where these are still nearly the best.

Lines that a person chose stay as near as the new words let them. Where the breaks were letterer's
own, the earlier words that a placement names tell what they were: they are what its lines were
chosen for, however many small edits came since, so that the way back leads to the first lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from itertools import pairwise

from letterer import craft
from letterer.errors import LettererError
from letterer.model.plan import Layout, Placement
from letterer.model.script import Run, Script, Unit
from letterer.page.lettered import Finding, Severity
from letterer.page.unit import Job, SetUnit, set_unit
from letterer.revise.change import Change
from letterer.revise.likeness import folded
from letterer.text.faces import FaceLibrary


@dataclass(frozen=True, slots=True)
class Settled:
    """A plan whose lines hold the words of the script.

    `kept` are units whose old breaks are held though others would be a little better, `anew` those
    whose lines are chosen anew though the plan names earlier words; `findings` say which planned
    lines no longer hold.
    """

    layout: Layout
    kept: tuple[str, ...]
    anew: tuple[str, ...]
    findings: tuple[Finding, ...]


def settle(
    script: Script, layout: Layout, changes: Sequence[Change], faces: FaceLibrary | None
) -> Settled:
    """Choose the lines of edited units. Without faces, only lines that a person planned."""
    edited = {change.unit for change in changes if change.old_words not in ("", change.words)}
    kept: list[str] = []
    anew: list[str] = []
    findings: list[Finding] = []
    by_id = {unit.id: unit for unit in script.units}
    pages = []
    for page in layout.pages:
        placements = []
        for placed in page.placements:
            unit = by_id.get(placed.unit)
            if unit is not None:
                if placed.breaks is not None:
                    placed, found = _nearest(placed, unit)
                    findings += found
                elif placed.earlier and placed.lines_kept and faces is not None:
                    lines = _old_lines(Job.of(unit, placed, page, layout, faces), placed.earlier)
                    (anew if lines is None else kept).append(unit.id)
                    placed = replace(placed, breaks=lines)
                if unit.id in edited and placed.lines is not None and faces is not None:
                    findings += _count(Job.of(unit, placed, page, layout, faces))
            placements.append(placed)
        pages.append(replace(page, placements=tuple(placements)))
    plan = replace(layout, pages=tuple(pages))
    return Settled(plan, tuple(kept), tuple(anew), tuple(findings))


def _nearest(placed: Placement, unit: Unit) -> tuple[Placement, list[Finding]]:
    """A placement whose planned lines hold the unit's words: its own, or the nearest to them."""
    assert placed.breaks is not None
    if _bare(" ".join(placed.breaks)) == _bare(unit.words):
        return placed, []
    lines = carried_lines(placed.breaks, unit.words)
    if lines is None:
        return placed, []
    what = f"its planned lines held other words; it is set as {' / '.join(lines)}, the nearest"
    mend = 'Write these lines into its "breaks", or take "breaks" out to leave them to letterer'
    found = Finding(Severity.WARNING, "breaks carried", what, mend, unit.page, unit.id)
    return replace(placed, breaks=lines), [found]


def _old_lines(job: Job, old_words: str) -> tuple[str, ...] | None:
    """The breaks that a unit had with its old words, where they are not the best but nearly."""
    before = _set(replace(job, unit=as_it_was(job.unit, old_words)))
    free = _set(job)
    if before is None or free is None:
        return None
    lines = carried_lines([line.words for line in before.candidate.lines], job.unit.words)
    if lines is None:
        return None
    held = _set(replace(job, placement=replace(job.placement, breaks=lines)))
    if held is None or held.candidate.breaks == free.candidate.breaks:
        return None
    one, other = held.candidate, free.candidate
    worse = one.total - other.total
    gone = any(finding.kind == "breaks gone" for finding in held.findings)
    alike = one.size == other.size and one.fits == other.fits and not gone
    return lines if alike and worse <= craft.COST_LINES_CHANGED else None


def _count(job: Job) -> list[Finding]:
    """A finding where the number of lines that was planned no longer fits the words."""
    made = _set(job)
    wanted = job.placement.lines
    if made is None or wanted is None or len(made.candidate.lines) == wanted:
        return []
    many = len(made.candidate.lines)
    what = f"planned in {wanted} lines, and its new words are set in {many}, the nearest that holds"
    return [job.finding(Severity.NOTE, "lines changed", what, 'Change "lines", or take it out')]


def _set(job: Job) -> SetUnit | None:
    """The unit set, or None for words that cannot be set: lettering the page tells why."""
    try:
        return set_unit(job)
    except LettererError:
        return None


def as_it_was(unit: Unit, old_words: str) -> Unit:
    """A unit with its old words; words that are still there are emphasised as they are now."""
    flags: list[tuple[str, bool, bool]] = []
    for run in unit.runs:
        flags += [(word, run.emphasis, run.as_typed) for word in run.text.split()]
    old = old_words.split()
    now = {}
    matcher = SequenceMatcher(
        None, [folded(word) for word in old], [folded(word) for word, _, _ in flags], autojunk=False
    )
    for block in matcher.get_matching_blocks():
        for step in range(block.size):
            now[block.a + step] = flags[block.b + step][1:]
    runs = []
    for place, word in enumerate(old):
        emphasis, as_typed = now.get(place, (False, False))
        space = " " if place < len(old) - 1 else ""
        runs.append(Run(word + space, emphasis, as_typed))
    return replace(unit, runs=tuple(runs) or unit.runs)


def carried_lines(lines: Sequence[str], words: str) -> tuple[str, ...] | None:
    """Old lines carried over to new words: each break stays between the words that it was between.

    None where that leaves a line without words.

    >>> carried_lines(["I never", "said so."], "I never ever said so.")
    ('I never', 'ever said so.')
    """
    old = [word for line in lines for word in line.split()]
    ends, count = [], 0
    for line in lines[:-1]:
        count += len(line.split())
        ends.append(count)
    new = words.split()
    blocks = SequenceMatcher(
        None, [folded(word) for word in old], [folded(word) for word in new], autojunk=False
    ).get_matching_blocks()
    at = {block.a + step: block.b + step for block in blocks for step in range(block.size)}
    cuts = [0]
    for end in ends:
        if end - 1 in at:
            cut = at[end - 1] + 1
        elif end in at:
            cut = at[end]
        else:
            before = max((place for place in at if place < end), default=-1)
            after = min((place for place in at if place >= end), default=len(old))
            low, high = at.get(before, -1) + 1, at.get(after, len(new))
            cut = low + round((end - before - 1) * (high - low) / max(after - before - 1, 1))
        cuts.append(cut)
    cuts.append(len(new))
    if any(first >= last for first, last in pairwise(cuts)):
        return None
    return tuple(" ".join(new[first:last]) for first, last in pairwise(cuts))


def _bare(words: str) -> str:
    return folded(words).replace(" ", "")
