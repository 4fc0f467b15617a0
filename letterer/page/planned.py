"""Which pages a book has, and what there is to find about it as a whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from letterer.page.customs import broken_customs
from letterer.page.lettered import Finding, Severity

if TYPE_CHECKING:
    from letterer.model.plan import Layout
    from letterer.model.script import Page, Script


def pages_to_letter(script: Script, layout: Layout) -> tuple[list[Page], list[Finding]]:
    """The script's pages, and findings about the book as a whole.

    These are pages that only one of script and layout has, and customs of the trade that several
    units together break.
    """
    findings = [
        Finding(Severity.NOTE, custom.kind, custom.what, custom.mend, custom.page, custom.unit)
        for custom in broken_customs(script.units)
    ]
    planned = {plan.number for plan in layout.pages}
    for page in script.pages:
        if page.number not in planned and page.units:
            findings.append(
                Finding(
                    Severity.WARNING,
                    "page not planned",
                    "the script has this page and the layout does not",
                    "Add the page to the layout to place its words",
                    page.number,
                )
            )
    for plan in layout.pages:
        if script.page(plan.number) is None:
            findings.append(
                Finding(
                    Severity.WARNING,
                    "page not written",
                    "the layout has this page and the script does not",
                    "Write the page, or take it out of the layout",
                    plan.number,
                )
            )
    return list(script.pages), findings
