"""The first layout of a book: pages, their art, and panels found in it, or divided by the words.

A layout that is there already gets only the pages that it lacks; what is in it stays, to the byte.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from letterer import craft
from letterer.api import read_script
from letterer.errors import Fault, LettererError, together
from letterer.geometry import Box, rectangle
from letterer.geometry import Path as Outline
from letterer.model.json_text import Keyed, Listed
from letterer.model.layout_file import LayoutFile, save_bytes, written
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Layout, PageFormat, PanelPlan, Reading
from letterer.model.script import Page, Script
from letterer.out.art import with_art
from letterer.out.files import check_file, check_folder, make_folder, named_from, refuse_over
from letterer.place.found import Found, panels_in
from letterer.place.grids import Division
from letterer.review.panels import panel_order
from letterer.room import FORMATS, divide_page
from letterer.text.faces import library

PICTURES = (".png", ".jpg", ".jpeg", ".tif", ".tiff", ".webp")


@dataclass(frozen=True, slots=True)
class StartWanted:
    """What a first layout is to be: where it goes, the page format, pictures or folders of them,
    the way of reading, and divisions by page (the letters of `letterer room`)."""

    file: Path
    format: str = FORMATS[0]
    art: tuple[Path, ...] = ()
    reading: Reading = Reading.LEFT_TO_RIGHT
    ways: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Started:
    """What was written: the file, the pages that were added, and what there is to tell."""

    file: Path
    pages: tuple[int, ...]
    told: tuple[str, ...]


def start_layout(script: str | Path, wanted: StartWanted) -> Started:
    """Write the first layout of a script, or add to one the pages that it lacks.

    Raises LettererError, with nothing written, where a file cannot be read, a picture does not have
    the page's shape, or the layout cannot be written.
    """
    _check(script, wanted)
    old = LayoutFile.read(wanted.file) if wanted.file.exists() else None
    book, plan = together(
        lambda: read_script(script),
        lambda: old.layout() if old else _bare(wanted),
    )
    known = {page.number for page in plan}
    missing = [page for page in book.pages if page.number not in known]
    if not missing:
        return Started(wanted.file, (), (f"{wanted.file} has every page of the script.",))
    maker = _Maker(plan, wanted, _art_of(book, wanted.art))
    made = [maker.page(page) for page in missing]
    if maker.faults:
        raise LettererError(*maker.faults)
    text = _with_pages(old, made, wanted)
    parse_layout(text, str(wanted.file), wanted.file.absolute().parent)
    make_folder(wanted.file.absolute().parent)
    if old:
        old.with_text(text).save()
    else:
        save_bytes(wanted.file, text.encode())
    return Started(wanted.file, tuple(page.number for page in missing), tuple(maker.told))


def _check(script: str | Path, wanted: StartWanted) -> None:
    """Refuse, before any work, a layout that cannot be written or would take a file away."""
    faults = [
        Fault("there is no such picture or folder", "Check its name", str(path))
        for path in wanted.art
        if not path.exists()
    ]
    if faults:
        raise LettererError(*faults)
    if wanted.file.suffix.lower() != ".json":
        mend = f"Write -o {wanted.file.with_suffix('.json').name or 'layout.json'}"
        raise LettererError(Fault("a layout is a .json file", mend, str(wanted.file)))
    refuse_over(wanted.file, "the layout", [("the script", script)])
    check_folder(wanted.file.absolute().parent)
    if wanted.file.absolute().parent.is_dir():
        check_file(wanted.file)


def _bare(wanted: StartWanted) -> Layout:
    """The layout that is to be filled: a page format, and no pages."""
    if wanted.format not in FORMATS:
        what = f'--format cannot be "{wanted.format}"'
        raise LettererError(Fault(what, f"Choose {', '.join(FORMATS)}"))
    empty = _with_pages(None, (), wanted)
    return parse_layout(empty, str(wanted.file), wanted.file.absolute().parent)


# --- The art of each page ---------------------------------------------------------------------


def _art_of(book: Script, given: Sequence[Path]) -> dict[int, Path]:
    """The picture of each page: by the last number in its name, or in order where one lacks it."""
    files: list[Path] = []
    for path in given:
        inside = sorted(path.iterdir()) if path.is_dir() else [path]
        files += [one for one in inside if one.suffix.lower() in PICTURES]
    if given and not files:
        raise LettererError(
            Fault("there are no pictures here", f"They end in {', '.join(PICTURES)}", str(given[0]))
        )
    numbers = [_number(file) for file in files]
    if None in numbers or len(set(numbers)) < len(numbers):
        if len(files) != len(book.pages):
            what = "it cannot be told which picture belongs to which page"
            mend = "Let their names end in the page's number, such as page-3.png"
            raise LettererError(Fault(what, mend, str(files[0].parent)))
        numbers = [page.number for page in book.pages]
    return {number: file for number, file in zip(numbers, files, strict=True) if number}


def _number(file: Path) -> int | None:
    found = re.findall(r"\d+", file.stem)
    return int(found[-1]) if found else None


def _covered(art: Any, file: Path, format: PageFormat, page: int) -> tuple[str, Box]:
    """The box of the page that a picture has the shape of: bleed, trim or live area."""
    boxes = {"bleed": format.bleed, "trim": format.trim, "live": format.live}
    own = art.width / art.height
    off = {name: abs(math.log(own * box.height / box.width)) for name, box in boxes.items()}
    name = min(off, key=lambda one: off[one])
    if off[name] > craft.START_SHAPE_OFF:
        asked = format.bleed.width / format.bleed.height
        what = (
            f"this picture is {art.width} by {art.height} pixels, which is not the shape of the"
            f" page ({own:.3f} wide to 1 high, and a page with its bleed is {asked:.3f})"
        )
        mend = "Choose another --format, or cut the picture to the page's bleed"
        raise LettererError(Fault(what, mend, str(file), page=page))
    return name, boxes[name]


# --- Pages ------------------------------------------------------------------------------------


@dataclass
class _Maker:
    """Makes pages as JSON text, and gathers what there is to tell of them."""

    plan: Layout
    wanted: StartWanted
    art: Mapping[int, Path]
    told: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def page(self, page: Page) -> str:
        """A page of the script as it stands in the file, its panels on lines of their own."""
        try:
            art, panels = self._drawn(page)
            panels = panels or self._divided(page)
        except LettererError as error:
            self.faults += error.faults
            return ""
        art = f"{art},\n     " if art else ""
        lines = ",".join(f"\n       {panel}" for panel in panels)
        return f'{{"page": {page.number}, {art}"panels": [{lines}],\n     "placements": []}}'

    def _drawn(self, page: Page) -> tuple[str, list[str]]:
        """A page's art, and its panels if as many are found there as the script has."""
        file = self.art.get(page.number)
        if file is None:
            return "", []
        count = len(page.panels)

        bleed = self.plan.format.bleed

        def look(art: Any) -> tuple[str, tuple[Found, ...]]:
            covers, box = _covered(art, file, self.plan.format, page.number)
            return covers, () if count == 1 else panels_in(art, box, bleed, count)

        covers, found = with_art(file, page.number, look)
        name = named_from(file, self.wanted.file.absolute().parent)
        art = f'"art": {written({"file": name, "covers": covers})}'
        if count == 1:
            self.told.append(f"Page {page.number}: one panel, the whole page.")
            return art, [self._panel(1, rectangle(bleed), bleed, True)]
        if len(found) == count:
            self.told.append(f"Page {page.number}: {count} panels, as they are in {file.name}.")
            return art, self._found(found)
        many = f"{len(found)} panels are" if found else "no panels are"
        self.told.append(
            f"Page {page.number}: {many} seen in {file.name}, and the script has {count}. The page"
            " is divided by its words instead: show its panels with letterer point."
        )
        return art, []

    def _found(self, found: Sequence[Found]) -> list[str]:
        plans = [PanelPlan(at, one.shape, one.box) for at, one in enumerate(found)]
        order = panel_order(plans, self.plan.reading).order
        return [
            self._panel(number, found[at].shape, found[at].box, found[at].straight)
            for number, at in enumerate(order, 1)
        ]

    def _divided(self, page: Page) -> list[str]:
        """The panels of a page, divided by its words: the best way, or the one asked for."""
        seen = divide_page(page, self.plan, library(()))
        letter = self.wanted.ways.get(page.number, "A")
        names = [chr(65 + place) for place in range(len(seen.divisions))]
        if not names:
            self.told += seen.remarks
            return []
        if letter not in names:
            what = f'there is no way "{letter}" to divide this page'
            mend = f"Choose {', '.join(names)}: letterer room shows them"
            raise LettererError(Fault(what, mend, page=page.number))
        one: Division = seen.divisions[names.index(letter)]
        self.told.append(f"Page {page.number}: divided by its words, {one.told}.")
        return [
            self._panel(panel.number, rectangle(box), box, True)
            for panel, box in zip(page.panels, one.boxes, strict=True)
        ]

    def _panel(self, number: int, shape: Outline, box: Box, straight: bool) -> str:
        length = self.plan.measure.by_ruler
        if straight:
            left, top, right, bottom = map(length, box)
            sides = [left, top, round(right - left, 4), round(bottom - top, 4)]
            return written({"panel": number, "box": sides})
        corners = [[length(at.x), length(at.y)] for _, points in shape.segments for at in points]
        return written({"panel": number, "polygon": corners})


# --- The file ---------------------------------------------------------------------------------


def _with_pages(old: LayoutFile | None, pages: Sequence[str], wanted: StartWanted) -> str:
    """The text of the layout with pages at its end; every byte of an old one stays."""
    joined = ",\n    ".join(pages)
    if old is None:
        unit = "in" if wanted.format == FORMATS[0] else "mm"
        return (
            f'{{\n  "letterer": 1, "unit": "{unit}",\n'
            f'  "page": {written({"format": wanted.format})},\n'
            f'  "reading": "{wanted.reading.value}",\n'
            f'  "style": "plain hand",\n  "pages": [\n    {joined}]\n}}\n'
        )
    listed, _ = old.document.at(("pages",))
    text = old.text
    if isinstance(listed, Listed) and listed.items:
        end = listed.items[-1].end
        return f"{text[:end]},\n    {joined}{text[end:]}"
    if isinstance(listed, Listed):
        return f"{text[: listed.start]}[\n    {joined}]{text[listed.end :]}"
    root = old.document.root
    assert isinstance(root, Keyed)  # a layout that was read
    end = root.members[-1].node.end
    return f'{text[:end]},\n  "pages": [\n    {joined}]{text[end:]}'
