"""What is told of proposals in plain words: where units stand, what lacks room, how to mend it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from letterer import craft
from letterer.geometry import Box
from letterer.model.plan import Layout, PagePlan
from letterer.model.script import Page, Unit
from letterer.place.costs import FAULTS
from letterer.place.proposing import NoRoom, Proposal
from letterer.place.scene import Scene, room_of


def where_words_go(
    units: Sequence[Unit],
    wanted: set[str],
    there: PagePlan,
    plan: Layout,
    remarks: list[str],
) -> Iterator[Unit]:
    """Units without those that are to be placed in a panel too small for any word."""
    told: set[int] = set()
    wide, high = (share * plan.style.size for share in craft.PANEL_LEAST_EM)
    for unit in units:
        room = room_of(there.panel(unit.panel), plan, there)
        if unit.id in wanted and (room.width < wide or room.height < high):
            if unit.panel not in told:
                told.add(unit.panel)
                least = " by ".join(length(side, plan) for side in (wide, high))
                remarks.append(
                    f"Panel {unit.page}.{unit.panel} is too small for any word. Within the live"
                    f" area and its gap it needs {least} at least."
                )
            continue
        yield unit


def unplanned(page: Page, there: PagePlan, wanted: set[str]) -> Iterator[str]:
    """What is told of panels that the layout does not have, where it has others."""
    if not there.panels:
        return
    missing = dict.fromkeys(
        unit.panel for unit in page.units if unit.id in wanted and there.panel(unit.panel) is None
    )
    for number in missing:
        yield (
            f"Panel {page.number}.{number} is not in the layout, so its words have no place"
            " proposed. Add it to the page's panels."
        )


def where(scene: Scene, box: Box) -> str:
    """Where in its panel a unit stands, in a word or two."""
    room, at = scene.room, box.center
    across = (at.x - room.left) / max(room.width, 1.0)
    down = (at.y - room.top) / max(room.height, 1.0)
    high = "top" if down < 0.36 else "bottom" if down > 0.67 else "middle"
    side = "left" if across < 0.36 else "right" if across > 0.64 else ""
    return f"{high} {side}".strip()


def faults_told(scene: Scene, proposal: Proposal) -> Iterator[str]:
    """What no way to place the words of a panel avoids, and how to mend it."""
    if not proposal.faults:
        return
    room = abs(scene.panel.shape.area()) if scene.panel else scene.room.area
    taken = sum(body.area for s in scene.sitters for body in s.bodies[:1]) / max(room, 1.0)
    told = "; ".join(f"{FAULTS[name]} ({units})" for name, units in proposal.faults)
    yield (
        f"Panel {scene.name}: there is no place for its words without this: {told}. The words take"
        f" {taken:.0%} of the panel. Cut some, move a unit to another panel, or give it more room."
    )


def lacking(scene: Scene, one: NoRoom) -> str:
    """What is told of a unit that goes into its panel in no way, and by how much."""
    more = [
        f"{length(by, scene.layout)} more {side}"
        for by, side in ((one.wide, "width"), (one.high, "height"))
        if by > 0
    ]
    return (
        f"Unit {one.unit} does not go into panel {scene.name}. Cut words, or give the panel"
        f" {' and '.join(more)}."
    )


def length(points: float, layout: Layout) -> str:
    """A length in the unit of the layout, as a person reads it."""
    unit = layout.measure.unit
    digits = {"in": 2, "mm": 1}.get(unit, 0)
    return f"{layout.measure.written(points):.{digits}f} {unit}"
