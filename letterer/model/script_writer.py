"""Writes a script as plain text, in the one tidy form that `script_reader` reads back alike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from letterer.model.script import CaptionKind, Direction, Page, Panel, Role, Script, Unit
from letterer.model.script_shapes import Cue, fold_name, recognise
from letterer.model.script_words import tidy, write_words

_INDENT = "    "


def write_script(script: Script) -> str:
    r"""The script as text: `parse_script` reads it back as an equal script.

    Prose that would be taken for a heading or a cue gets a backslash in front. A forced line break
    is a backslash, and the words go on below it, indented. Nothing else is wrapped.

    >>> write_script(Script((Page(1, (Panel(1, (Direction("A lamp."),)),)),)))
    'PAGE 1\n\nPANEL 1\nA lamp.\n'
    """
    speakers: dict[str, str] = {}
    for unit in script.units:
        if unit.role is Role.SPEECH:
            speakers.setdefault(fold_name(unit.speaker), unit.speaker)
    blocks = [_prose(direction, speakers, opening=True) for direction in script.opening]
    for page in script.pages:
        blocks += _page(page, speakers)
    return "\n\n".join(blocks) + "\n" if blocks else ""


def _page(page: Page, speakers: Mapping[str, str]) -> Iterable[str]:
    opening = [_prose(direction, speakers) for direction in page.opening]
    yield "\n".join([_heading("PAGE", page.number, page.heading), *opening[:1]])
    yield from opening[1:]
    for panel in page.panels:
        yield from _panel(panel, speakers)


def _panel(panel: Panel, speakers: Mapping[str, str]) -> Iterable[str]:
    """The panel's blocks: prose begins a block of its own, except right below the heading."""
    block = [_heading("PANEL", panel.number, panel.heading)]
    for place, item in enumerate(panel.items):
        before = panel.items[place - 1] if place else None
        prose = isinstance(item, Direction)
        if before is not None and (prose or isinstance(before, Direction)):
            yield "\n".join(block)
            block = []
        block.append(
            _prose(item, speakers) if isinstance(item, Direction) else _unit(item, speakers)
        )
    yield "\n".join(block)


def _heading(key: str, number: int, text: str) -> str:
    if not text:
        return f"{key} {number}"
    return (
        f"{key} {number} {text}" if text.startswith(("(", "\uff08")) else f"{key} {number}: {text}"
    )


def _prose(direction: Direction, speakers: Mapping[str, str], opening: bool = False) -> str:
    lines = [tidy(line) for line in direction.text.split("\n")]
    return "\n".join(
        "\\" + line if line.startswith("\\") else _guarded(line, speakers, opening)
        for line in lines
        if line
    )


def _unit(unit: Unit, speakers: Mapping[str, str]) -> str:
    first, *rest = write_words(unit.runs)
    head = _head(unit)
    whole = f"{head} {first}"
    if not isinstance(recognise(whole + "\\" * bool(rest), speakers), Cue):
        # A page boy who says no more than "1" would make the heading PAGE: 1.
        whole = f"{head}\n{_INDENT}{_guarded(first, speakers)}"
    return f"\\\n{_INDENT}".join([whole, *(_guarded(line, speakers) for line in rest)])


def _head(unit: Unit) -> str:
    if unit.role is Role.EFFECT:
        return "SFX:"
    if unit.role is Role.SPEECH:
        manners = ", ".join(unit.manners)
        return f"{unit.speaker} ({manners}):" if manners else f"{unit.speaker}:"
    kind = unit.caption or CaptionKind.NARRATION
    if unit.speaker:
        return f"CAPTION ({kind}, {unit.speaker}):"
    return "CAPTION:" if kind is CaptionKind.NARRATION else f"CAPTION ({kind}):"


def _guarded(line: str, speakers: Mapping[str, str], opening: bool = False) -> str:
    """The line, with a backslash in front when it would be read as a heading or a cue."""
    return line if recognise(line, speakers, opening) is None else "\\" + line
