"""Proposing places: a sheet of several ways to place the words that have no place, and keeping one.

Beside a sheet stands a small JSON file, its record, that says what each number on it means, and
what the layout was when the sheet was drawn: a proposal is only kept while both are as they were.
What is kept is marked `"proposed": true` in the layout until the person accepts it.
"""

from __future__ import annotations

import json
import shlex
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from letterer.api import (
    Output,
    letter,
    located,
    page_numbers,
    read_book,
)
from letterer.errors import Fault, LettererError, listed
from letterer.geometry import POINTS_PER_INCH
from letterer.model.layout_file import LayoutFile
from letterer.model.plan import Layout, PagePlan, PanelPlan, Placement
from letterer.model.script import Page, Panel, Script, Unit
from letterer.out.art import read_art
from letterer.out.files import own_files, write_whole
from letterer.out.proposed import Option, Options, proposed_html, proposed_sheet
from letterer.out.sheet import Sheet
from letterer.page.compose import compose_page
from letterer.page.lettered import LetteredPage, Severity
from letterer.place.ground import Picture
from letterer.place.proposing import (
    Proposal,
    keys_of,
    no_room,
    placement_of,
    proposals,
)
from letterer.place.record import (
    FIRST,
    PROPOSALS,
    chosen_of,
)
from letterer.place.scene import Scene, scenes_of
from letterer.place.telling import faults_told, lacking, unplanned, where, where_words_go
from letterer.review.pages import review_page
from letterer.revise import matched
from letterer.sheet_jobs import (
    Kept,
    as_written,
    check_sheet,
    faces_in,
    nothing_there,
    or_put_back,
    panel_of,
    unchanged,
    write_sheet,
)
from letterer.sheet_record import fingerprint
from letterer.text.faces import FaceLibrary

ART_DPI = 150
"""Art is looked at no closer than this."""

STRETCHED = 0.02
"""Art whose width to height differs from its box's by more than this share is told."""


@dataclass(frozen=True, slots=True)
class Numbered:
    """One proposal of a panel, with its number on the sheet and what the look-over says of it."""

    number: int
    scene: Scene
    proposal: Proposal
    page: LetteredPage
    told: tuple[str, ...]

    @property
    def keys(self) -> dict[str, dict[str, object]]:
        """For each unit the keys that its placement gets."""
        return {seat.unit: keys_of(self.scene, seat) for seat in self.proposal.seats}


@dataclass(frozen=True, slots=True)
class Placed:
    """What was proposed: for each panel its proposals, and what there is to tell beside them."""

    panels: tuple[tuple[Numbered, ...], ...]
    remarks: tuple[str, ...]
    sheet: Path
    command: str = ""

    @property
    def firsts(self) -> tuple[int, ...]:
        """The number of each panel's first proposal."""
        return tuple(panel[0].number for panel in self.panels)

    @property
    def json(self) -> str:
        """All of it for other programs to read."""
        told = {
            "panels": [
                {
                    "panel": panel[0].scene.name,
                    "places compared": panel[0].proposal.compared,
                    "proposals": [_as_json(one) for one in panel],
                }
                for panel in self.panels
            ],
            "remarks": list(self.remarks),
        }
        return json.dumps(told, ensure_ascii=False, indent=1) + "\n"


def _as_json(one: Numbered) -> dict[str, object]:
    gap = one.proposal.gap
    return {
        "number": one.number,
        "cost": round(one.proposal.cost, 4),
        "proven best": gap == 0.0,
        "gap": None if gap is None else round(gap, 4),
        "costs": {name: round(cost, 4) for name, cost in one.proposal.costs},
        "faults": [{"fault": name, "units": units} for name, units in one.proposal.faults],
        "units": one.keys,
        "told": list(one.told),
    }


def propose(
    script: str | Path,
    layout: str | Path,
    sheet: Path,
    targets: Sequence[str] = (),
    fonts: Sequence[Path] = (),
) -> Placed:
    """Propose places for every unit without one, and draw them on a sheet.

    `targets` are pages ("2", "1-3"), panels ("2.1") and units ("2.1.3"); a unit that is named and
    whose place is only proposed so far is placed anew. Raises LettererError, with nothing written.
    """
    book, plan = read_book(script, layout)
    check_sheet(sheet, PROPOSALS, own_files(script, layout, plan))
    faces = faces_in(tuple(fonts))
    units, again = _wanted(book, plan, targets)
    remarks: list[str] = []
    if matched(book, plan, faces)[1]:
        words = shlex.join(["letterer", "revise", str(script), str(layout)])
        remarks.append(f"The script was edited since the layout was made. First say: {words}")
    panels: list[tuple[Numbered, ...]] = []
    groups: list[Options] = []
    faults: list[Fault] = []
    number = 1
    for page in book.pages:
        wanted = {unit.id for unit in page.units} & units
        if not wanted:
            continue
        there = plan.page(page.number)
        if there is None:
            what = f"Page {page.number} is not in the layout. Add it to place its words."
            remarks.append(what)
            continue
        try:
            made, told = _on_page(page, there, (wanted, again), plan, faces, number)
        except LettererError as error:
            faults += [located(fault, book) for fault in error.faults]
            continue
        remarks += told
        number += sum(map(len, made))
        panels += made
        groups += _groups(page, there, made, plan, faces)
    if faults:
        raise LettererError(*faults)
    if not panels:
        remarks = remarks or ["Every unit has a place already."]
        return Placed((), tuple(remarks), sheet)
    command = keep_command(script, layout, sheet, fonts)
    placed = Placed(tuple(panels), tuple(remarks), sheet, command)
    title = "Places proposed for " + listed([panel[0].scene.name for panel in panels])
    drawn = proposed_sheet(title, groups, faces)
    _write(drawn, groups, placed, fingerprint(Path(layout).read_bytes()))
    return placed


def keep_proposals(
    script: str | Path,
    layout: str | Path,
    sheet: Path,
    numbers: Sequence[int] | str,
    fonts: Sequence[Path] = (),
) -> Kept:
    """Write proposals of a sheet into the layout, marked as proposed, and letter their pages.

    `numbers` are those on the sheet, or "first". Raises LettererError, with the layout as it was,
    when the sheet has no such number, when the layout, a unit or the sheet has changed since it
    was drawn, or when a page cannot be lettered so.
    """
    record = PROPOSALS.read(sheet)
    file = unchanged(record, layout)
    book, _ = read_book(script, layout)
    faces_in(tuple(fonts))
    written = {unit.id: as_written(unit) for unit in book.units}
    chosen = chosen_of(record, sheet, numbers, written, book.file)
    said = {unit.id: unit.remembered for unit in book.units}
    changes = {
        unit: {**known["keys"], **said[unit]}
        for one in chosen.values()
        for unit, known in one["units"].items()
    }
    changed = file.with_placements(changes)
    changed.layout()
    told = [
        f"Kept proposal {number} for {listed(list(one['units']))} in {layout}."
        for number, one in chosen.items()
    ]
    pages = tuple(sorted({int(unit.split(".")[0]) for unit in changes}))
    changed = changed.save()
    with or_put_back(file, changed, layout, "proposal"):
        result = letter(script, layout, Output(sheet.parent, pages=pages, fonts=tuple(fonts)))
        if result.faults:
            raise LettererError(*result.faults)
        kept = {**record, "layout": fingerprint(changed.data)}
        write_whole(PROPOSALS.path(sheet), PROPOSALS.data(kept))
    told.append('They are marked "proposed" until you say: ' + accept_command(script, layout))
    return Kept("\n".join([*told, result.summary]), result.files)


def accept(script: str | Path, layout: str | Path, targets: Sequence[str] = ()) -> str:
    """Take the mark "proposed" from places of the layout: all, or those named. Gives what was done,
    in words. Raises LettererError."""
    book, plan = read_book(script, layout)
    chosen = _targets(book, targets)
    marked = [
        placement.unit
        for page in plan
        for placement in page.placements
        if placement.proposed and (not targets or placement.unit in chosen)
    ]
    if not marked:
        where = f" among {listed(list(targets))}" if targets else ""
        return f"No place is marked as proposed{where}; the layout stays as it is."
    file = LayoutFile.read(layout)
    file.with_placements({unit: {"proposed": None} for unit in marked}).save()
    return f"Accepted in {layout}: {listed(marked)}."


def keep_command(
    script: str | Path, layout: str | Path, sheet: Path, fonts: Sequence[Path] = ()
) -> str:
    """What a person types to take the first proposal of each panel."""
    words = ["letterer", "place", str(script), str(layout), "-o", str(sheet)]
    words += [word for folder in fonts for word in ("--fonts", str(folder))]
    return shlex.join([*words, "--keep", FIRST])


def accept_command(script: str | Path, layout: str | Path) -> str:
    """What a person types to settle every proposed place."""
    return shlex.join(["letterer", "place", str(script), str(layout), "--accept"])


# --- What is meant ----------------------------------------------------------------------------


def _targets(book: Script, targets: Sequence[str]) -> set[str]:
    """The units that pages, panels and units name."""
    found: set[str] = set()
    faults: list[Fault] = []
    for target in targets:
        if not target[:1].isdecimal():
            what = f'"{target}" names no page, panel or unit'
            faults.append(Fault(what, "Write pages such as 2 or 1-3, panels 1.2, units 1.2.3"))
            continue
        if "." not in target:
            numbers = page_numbers(target)
            named = {unit.id for unit in book.units if unit.page in numbers}
            missing = [number for number in numbers if book.page(number) is None]
            if missing:
                known = listed([str(page.number) for page in book.pages])
                what = f"the script has no page {missing[0]}"
                faults.append(Fault(what, f"It has {known}", book.file))
        else:
            named = {unit.id for unit in book.units if target in (unit.id, panel_of(unit))}
            if not named:
                faults.append(nothing_there(book, target))
        found |= named
    if faults:
        raise LettererError(*faults)
    return found


def _wanted(book: Script, plan: Layout, targets: Sequence[str]) -> tuple[set[str], tuple[str, ...]]:
    """The units that are to be placed, and those of them that have a proposed place already."""
    named = _targets(book, targets) if targets else {unit.id for unit in book.units}
    wanted: set[str] = set()
    again: list[str] = []
    for unit in book.units:
        page = plan.page(unit.page)
        placement = page.placement(unit.id) if page else None
        if unit.id not in named:
            continue
        if placement is None:
            wanted.add(unit.id)
        elif targets and placement.proposed:
            wanted.add(unit.id)
            again.append(unit.id)
        elif unit.id in targets:
            what = "this unit has a place, and it is settled"
            mend = 'Take its placement out of the layout, or mark it "proposed": true'
            raise LettererError(Fault(what, mend, plan.file, unit=unit.id))
    return wanted, tuple(again)


def _on_page(
    page: Page,
    there: PagePlan,
    units: tuple[set[str], tuple[str, ...]],
    plan: Layout,
    faces: FaceLibrary,
    number: int,
) -> tuple[list[tuple[Numbered, ...]], list[str]]:
    """The proposals for the panels of a page, numbered from `number`, and what there is to tell."""
    wanted, again = units
    remarks: list[str] = []
    known = [
        unit for unit in page.units if unit.id in wanted or there.placement(unit.id) is not None
    ]
    remarks += list(unplanned(page, there, wanted))
    usable = [unit for unit in known if not (there.panels and there.panel(unit.panel) is None)]
    usable = list(where_words_go(usable, wanted, there, plan, remarks))
    scenes = scenes_of(there, usable, again, plan, faces, _picture(there, remarks))
    found = []
    for scene in scenes:
        without = no_room(scene)
        remarks += [lacking(scene, one) for one in without]
        missing = {one.unit for one in without}
        kept = tuple(sitter for sitter in scene.sitters if sitter.unit.id not in missing)
        scene = replace(scene, sitters=kept)
        if not scene.open:
            continue
        made = [(one, _composed(scene, one, page, faces)) for one in proposals(scene)]
        looked = [(one, lettered, _noticed(scene, one, lettered)) for one, lettered in made]
        looked.sort(key=lambda each: each[2][0])  # stable: the cheapest of the soundest first
        numbered = []
        for one, lettered, (_, told) in looked:
            numbered.append(Numbered(number, scene, one, lettered, told))
            number += 1
        remarks += list(faults_told(scene, numbered[0].proposal))
        found.append(tuple(numbered))
    return found, remarks


def _picture(there: PagePlan, remarks: list[str]) -> Picture | None:
    """The art of a page in greys, no larger than it is looked at; None where there is none yet."""
    from PIL import Image

    art = there.art
    if art is None:
        return None
    if not art.file.exists():
        told = f"{art.file}: there is no such art file yet, so quiet parts of it are not sought."
        remarks.append(told)
        return None
    image = read_art(art.file, there.number)
    across, down = image.width / max(art.box.width, 1e-9), image.height / max(art.box.height, 1e-9)
    if abs(across / down - 1) > STRETCHED:
        wide, high = (side / POINTS_PER_INCH for side in (art.box.width, art.box.height))
        remarks.append(
            f"{art.file}: this art of {image.width} by {image.height} pixels is stretched to fill"
            f" its box of {wide:.2f} by {high:.2f} in. Check the file, or its box in the layout."
        )
    if image.mode == "RGBA":
        ground = Image.new("RGBA", image.size, "white")
        ground.alpha_composite(image)
        image = ground
    grey = image.convert("L")
    fold = int(min(across, down) * POINTS_PER_INCH // ART_DPI)
    if fold > 1:
        grey = grey.reduce(fold)
    return Picture(grey, art.box)


# --- What is drawn and told ---------------------------------------------------------------------


def _composed(scene: Scene, proposal: Proposal, page: Page, faces: FaceLibrary) -> LetteredPage:
    """The units of a panel, lettered as a proposal has them."""
    return compose_page(*_sub_page(scene, [proposal], page, [scene]), faces)


def _sub_page(
    scene: Scene, made: Sequence[Proposal], page: Page, scenes: Sequence[Scene]
) -> tuple[Page, Layout]:
    """A page of the script with the units of some panels only, and a layout that places these."""
    placements: dict[str, Placement] = {}
    for one, proposal in zip(scenes, made, strict=True):
        for sitter in one.sitters:
            if sitter.at is not None:
                placements[sitter.unit.id] = sitter.job.placement
        placements |= {seat.unit: placement_of(one, seat) for seat in proposal.seats}
    panels = tuple(
        Panel(panel.number, tuple(unit for unit in panel.units if unit.id in placements))
        for panel in page.panels
    )
    plan = replace(scene.page, placements=tuple(placements.values()))
    layout = replace(scene.layout, pages=(plan,))
    return Page(page.number, panels), layout


def _noticed(
    scene: Scene, proposal: Proposal, lettered: LetteredPage
) -> tuple[int, tuple[str, ...]]:
    """How many problems the look-over sees in a proposal, and what is told of it in short."""
    placements = tuple(placement_of(scene, seat) for seat in proposal.seats)
    settled = tuple(s.job.placement for s in scene.sitters if s.at is not None)
    plan = replace(scene.page, placements=(*settled, *placements))
    open = {seat.unit for seat in proposal.seats}
    found = [
        one.finding
        for one in review_page(lettered, replace(scene.layout, pages=(plan,)))
        if one.finding.unit in open and one.finding.severity is not Severity.NOTE
    ]
    problems = sum(one.severity is Severity.PROBLEM for one in found)
    told = [f"{seat.unit} {where(scene, seat.box)}" for seat in proposal.seats]
    told = [", ".join(told)]
    told += [f"but {one.unit}: {one.what}" for one in found]
    return problems, tuple(told)


def _groups(
    page: Page,
    there: PagePlan,
    made: Sequence[tuple[Numbered, ...]],
    plan: Layout,
    faces: FaceLibrary,
) -> list[Options]:
    """What the sheet shows of a page: the whole with the first proposals, then panel by panel."""
    if not made:
        return []
    art = there.art if there.art is not None and there.art.file.exists() else None
    boxes = tuple(panel.box for panel in there.panels) if art is None else ()
    groups = []
    firsts = [panel[0] for panel in made]
    if len(there.panels) > 1:
        rest = [unit for unit in page.units if there.placement(unit.id) is not None]
        scene = firsts[0].scene
        sub, layout = _sub_page(
            scene, [one.proposal for one in firsts], page, [one.scene for one in firsts]
        )
        known = {placement.unit for placement in layout.pages[0].placements}
        more = [p for u in rest if u.id not in known and (p := there.placement(u.id))]
        placed = replace(layout.pages[0], placements=(*layout.pages[0].placements, *more))
        ids = {placement.unit for placement in placed.placements}
        panels = tuple(
            Panel(panel.number, tuple(unit for unit in panel.units if unit.id in ids))
            for panel in page.panels
        )
        whole = compose_page(Page(sub.number, panels), replace(layout, pages=(placed,)), faces)
        told = f"with {listed([str(one.number) for one in firsts])}"
        option = Option(0, whole.units, (told,))
        groups.append(
            Options(f"Page {page.number}, {told}", plan.format.trim, art, (option,), boxes)
        )
    for panel in made:
        scene = panel[0].scene
        name = f"Panel {scene.name}" if scene.panel else f"Page {scene.name}"
        options = tuple(Option(one.number, one.page.units, one.told) for one in panel)
        mine: PanelPlan | None = scene.panel
        frames = (mine.box,) if mine is not None and art is None else ()
        groups.append(Options(name, scene.around, art, options, frames))
    return groups


# --- The files of a sheet -----------------------------------------------------------------------


def _write(drawn: Sheet, groups: Sequence[Options], placed: Placed, layout: str) -> None:
    record = {
        "layout": layout,
        FIRST: list(placed.firsts),
        "proposals": {
            str(one.number): {
                "panel": one.scene.name,
                "units": {
                    unit: {"as written": as_written(_unit(one.scene, unit)), "keys": keys}
                    for unit, keys in one.keys.items()
                },
            }
            for panel in placed.panels
            for one in panel
        },
    }

    def html() -> str:
        return proposed_html(drawn, groups, placed.command, placed.remarks)

    write_sheet(PROPOSALS, placed.sheet, drawn, html, record)


def _unit(scene: Scene, id: str) -> Unit:
    return next(sitter.unit for sitter in scene.sitters if sitter.unit.id == id)
