"""Matches an edited script to an old layout, so that nothing a person placed is lost.

    from letterer.revise import matched, revise

`revise(script, layout)` says what became of every unit, and what follows for the layout;
`matched(script, layout)` is what lettering does by itself.
"""

from letterer.revise.keeping import matched
from letterer.revise.revision import revise

__all__ = ["matched", "revise"]
