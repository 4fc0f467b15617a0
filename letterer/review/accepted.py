"""Findings that the person has accepted in the layout, each with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from letterer.errors import nearest
from letterer.model.plan import Acceptance
from letterer.page.lettered import Finding, Severity
from letterer.review.finding import Noticed


def answered(
    noticed: Sequence[Noticed], accepted: Sequence[Acceptance]
) -> tuple[list[Noticed], list[Acceptance]]:
    """Findings with the reasons of those that are accepted, and the acceptances that match none."""
    unused = list(accepted)
    found: list[Noticed] = []
    for one in noticed:
        matching = [acceptance for acceptance in accepted if _matches(acceptance, one.finding)]
        if matching and not one.because:
            one = replace(one, because=matching[0].because)
        unused = [acceptance for acceptance in unused if acceptance not in matching]
        found.append(one)
    return found, unused


def _matches(acceptance: Acceptance, finding: Finding) -> bool:
    same = acceptance.finding.casefold() == finding.kind.casefold()
    return same and acceptance.unit in ("", finding.unit)


def unmatched(acceptance: Acceptance, kinds: Sequence[str], page: int = 0) -> Noticed:
    """The note about an acceptance that matches nothing. `kinds` are all kinds of findings."""
    what = f'the layout accepts "{acceptance.finding}" here, and there is no such finding'
    mend = 'Take it out of "accepted"'
    if acceptance.finding.casefold() not in kinds:
        near = nearest(acceptance.finding, kinds)
        mend = f'Did you mean "{near}"?' if near else mend
    finding = Finding(Severity.NOTE, "nothing to accept", what, mend, page, acceptance.unit)
    return Noticed(finding)
