"""The script as the layout remembers it: enough of it to draw what was there before an edit."""

from __future__ import annotations

from collections.abc import Mapping

from letterer.model.plan import Layout, Placement
from letterer.model.script import CaptionKind, Page, Panel, Role, Run, Script, Unit
from letterer.revise.book import address, in_order
from letterer.revise.change import Revision
from letterer.revise.lines import as_it_was


def remembered(layout: Layout, script: Script, revision: Revision) -> Script:
    """A script of the words that a layout was planned for.

    Who says them is remembered too; how, and what is emphasised, is taken from the script as it is
    now. Words that were cut are plain speech, or what their placement's kind says.
    """
    by_id = {unit.id: unit for unit in script.units}
    now: dict[str, Unit] = {}
    for change in revision.changes:
        if change.unit in by_id:
            for old in change.was:
                now.setdefault(old, by_id[change.unit])
    names = {new: old for edits in revision.stages for old, new in edits.speakers.items()}
    pages: dict[int, dict[int, list[Unit]]] = {}
    for placed in in_order(layout.pages):
        page, panel, _ = address(placed.unit)
        unit = _unit(placed, now.get(placed.unit), names)
        if unit is not None:
            pages.setdefault(page, {}).setdefault(panel, []).append(unit)
    return Script(
        tuple(
            Page(number, tuple(Panel(at, tuple(units)) for at, units in sorted(panels.items())))
            for number, panels in sorted(pages.items())
        )
    )


def _unit(placed: Placement, now: Unit | None, names: Mapping[str, str]) -> Unit | None:
    page, panel, number = address(placed.unit)
    words = placed.words or (now.words if now else "")
    if not words:
        return None
    if now is None:
        role, caption = _role(placed.kind or "")
        speaker = (placed.speaker or "") if role is Role.SPEECH else ""
        return Unit(page, panel, number, role, (Run(words),), speaker, caption=caption)
    runs = now.runs if words == now.words else as_it_was(now, words).runs
    if placed.speaker and now.role is not Role.SPEECH and now.speaker != placed.speaker:
        return Unit(page, panel, number, Role.SPEECH, runs, placed.speaker)
    speaker = placed.speaker or names.get(now.speaker, now.speaker)
    return Unit(page, panel, number, now.role, runs, speaker, now.manners, now.caption)


def _role(kind: str) -> tuple[Role, CaptionKind | None]:
    """What a placement's kind says of a unit that the script no longer has."""
    if kind.startswith(Role.CAPTION.value):
        return Role.CAPTION, CaptionKind(kind.partition(" ")[2] or CaptionKind.NARRATION.value)
    return (Role.EFFECT if kind == Role.EFFECT.value else Role.SPEECH), None
