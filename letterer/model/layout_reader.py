"""From the layout file to the plan of a book: every fault told at once, every length in points."""

from __future__ import annotations

import os
import pathlib
from collections.abc import Iterator
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from letterer.errors import Fault, LettererError
from letterer.geometry import Box, Path, Point, polygon, rectangle, union_box
from letterer.model.effect_keys import effect_value
from letterer.model.formats import PageMeasures, page_format
from letterer.model.json_reader import read_json, read_json_file
from letterer.model.json_text import Document, Loc, Plain, Trouble, short
from letterer.model.layout import (
    DPI_LEAST,
    DPI_MOST,
    MODELS,
    AcceptedKeys,
    ArtKeys,
    LayoutKeys,
    PageKeys,
    PanelKeys,
    ParkedKeys,
    PlacementKeys,
    TailKeys,
)
from letterer.model.layout_rules import rule_troubles
from letterer.model.plain_faults import as_faults, plain_troubles
from letterer.model.plan import (
    Acceptance,
    Art,
    Center,
    Corner,
    Edge,
    Fill,
    Focus,
    Layout,
    Measure,
    PageFormat,
    PagePlan,
    PanelPlan,
    Parked,
    Placement,
    Reading,
    TailPlan,
    Zone,
)
from letterer.model.style import (
    USUAL_STYLE,
    Style,
    is_style_path,
    named_style,
    newer_version,
    read_style,
    style_names,
    style_of,
    unknown_style,
)
from letterer.model.written import LTWH, XY, Ring

Model = TypeVar("Model", bound=BaseModel)


def read_layout(path: str | pathlib.Path) -> Layout:
    """The layout in a file. Raises LettererError with every fault found.

    Pictures are not opened; their paths start at the folder of the file.
    """
    where = pathlib.Path(path)
    return _layout(read_json_file(where), where.parent)


def parse_layout(text: str, file: str = "", folder: pathlib.Path | None = None) -> Layout:
    """The layout in a JSON text; paths in it start at `folder`. Raises LettererError.

    >>> text = '{"letterer": 1, "unit": "mm", "page": {"format": "a5"}}'
    >>> round(parse_layout(text).format.trim.height, 3)
    595.276
    """
    return _layout(read_json(text, file), folder or pathlib.Path())


def placement_faults(document: Document, loc: Loc) -> list[Fault]:
    """What is wrong with the placement that stands at `loc`, beside its page's panels."""
    troubles = _checked(PlacementKeys, document.plain_at(loc), loc)[1]
    around = [*document.slips, *rule_troubles(document)]
    troubles += [one for one in around if one.loc[: len(loc)] == loc]
    return as_faults(document, troubles)


def _layout(document: Document, folder: pathlib.Path) -> Layout:
    raw = document.plain
    if not isinstance(raw, dict):
        what = "a layout is keys and values in curly brackets, { }, and this file holds none"
        raise LettererError(*as_faults(document, [*document.slips, Trouble((), what)]))
    if newer := newer_version(raw):
        raise LettererError(*as_faults(document, [newer]))
    keys, troubles = _checked(LayoutKeys, raw, ())
    troubles += [*document.slips, *rule_troubles(document)]
    measure, format_, found = _measures(raw)
    troubles += found
    style, found, elsewhere = _style(raw.get("style", USUAL_STYLE), folder)
    troubles += found
    faults = [*as_faults(document, troubles), *elsewhere]
    if faults or keys is None or measure is None or format_ is None or style is None:
        raise LettererError(*faults)
    resolver = _Resolver(measure, format_, folder)
    pages = tuple(resolver.page(page) for page in keys.pages)
    return Layout(
        format=format_,
        measure=measure,
        reading=Reading(keys.reading),
        language=keys.language,
        style=style,
        pages=pages,
        parked=resolver.parked(keys.parked),
        file=document.file,
        remarks=tuple(as_faults(document, _remarks(pages, keys, format_.bleed))),
        accepted=_accepted(keys.accepted),
    )


def _checked(
    model: type[Model], raw: Plain, loc: tuple[str | int, ...]
) -> tuple[Model | None, list[Trouble]]:
    try:
        return model.model_validate(raw), []
    except ValidationError as error:
        return None, plain_troubles(error, MODELS, loc)


def _measures(raw: dict[str, Plain]) -> tuple[Measure | None, PageFormat | None, list[Trouble]]:
    """The unit and the page's boxes, also in a file with faults elsewhere."""
    unit, dpi = raw.get("unit"), raw.get("dpi")
    sound = isinstance(dpi, int | float) and not isinstance(dpi, bool)
    if dpi is not None and not (sound and DPI_LEAST <= dpi <= DPI_MOST):  # type: ignore[operator]
        return None, None, []
    page = _checked(PageMeasures, raw.get("page"), ("page",))[0]
    resolution = float(dpi) if isinstance(dpi, int | float) else None
    match unit:
        case "mm" | "in" | "pt" | "px":
            measure = Measure(unit, resolution)
        case _:
            return None, None, []
    if page is None or (unit == "px" and resolution is None):
        return measure, None, []
    return measure, *page_format(page, measure)


def _style(raw: Plain, folder: pathlib.Path) -> tuple[Style | None, list[Trouble], list[Fault]]:
    """The style a layout asks for: what is wrong in the layout, and in the style's own file."""
    name = raw if isinstance(raw, str) else USUAL_STYLE
    if isinstance(raw, dict):
        named = raw.get("name", USUAL_STYLE)
        name = named if isinstance(named, str) else ""
    if not name:
        return None, [], []
    loc: tuple[str, ...] = ("style", "name") if isinstance(raw, dict) else ("style",)
    try:
        if is_style_path(name):
            path = _path(folder, name)
            if not os.path.isfile(path):
                what = f"there is no style file '{short(name)}'"
                mend = "Its path starts at the folder of the layout file"
                return None, [Trouble(loc, what, mend)], []
            base = read_style(path, name)
        elif name.casefold() in style_names():
            base = named_style(name)
        else:
            return None, [Trouble(loc, *unknown_style(short(name)))], []
    except LettererError as error:
        return None, [], list(error.faults)
    if not isinstance(raw, dict):
        return base, [], []
    own = _checked(Style, raw, ("style",))[0]
    if own is None:
        return None, [], []  # told by the check of the whole file
    kept = base.model_dump(by_alias=True, exclude_unset=True)
    changes = own.model_dump(by_alias=True, exclude_unset=True, exclude={"name"})
    for mapping in ("kinds", "speakers"):  # what differs adds to what differs already
        if mapping in changes:
            changes[mapping] = _added(kept.get(mapping, {}), changes[mapping])
    style, troubles = style_of({**kept, **changes}, ("style",))
    return style, troubles, []


def _added(kept: dict[str, dict[str, object]], more: dict[str, dict[str, object]]) -> object:
    """Changes by name, with more of them laid over."""
    return {name: kept.get(name, {}) | more.get(name, {}) for name in {**kept, **more}}


def _path(folder: pathlib.Path, written: str) -> pathlib.Path:
    """An absolute path; either slash may stand between folders."""
    return pathlib.Path(os.path.abspath(folder / written.replace("\\", "/")))


class _Resolver:
    """Turns what a person wrote into points on the page."""

    def __init__(self, measure: Measure, format_: PageFormat, folder: pathlib.Path) -> None:
        self.measure, self.format, self.folder = measure, format_, folder

    def page(self, page: PageKeys) -> PagePlan:
        panels = tuple(self.panel(panel) for panel in page.panels)
        by_number = {panel.number: panel for panel in panels}
        return PagePlan(
            number=page.page,
            art=None if page.art is None else self.art(page.art),
            panels=panels,
            keep_clear=tuple(
                Zone(zone.name, *self.shape(zone.box, zone.polygon)) for zone in page.keep_clear
            ),
            focus=tuple(Focus(focus.name, self.point(focus.at)) for focus in page.focus),
            placements=tuple(self.placement(placed, by_number) for placed in page.placements),
            style=page.style,
            accepted=_accepted(page.accepted),
        )

    def parked(self, parked: ParkedKeys | None) -> Parked:
        """What stands nowhere now; a tail to a mouth keeps its speaker's name as written."""
        if parked is None:
            return Parked()
        return Parked(
            tuple(self.placement(placed, {}) for placed in parked.placements),
            tuple((panel.page, self.panel(panel)) for panel in parked.panels),
            tuple(self.page(page) for page in parked.pages),
        )

    def art(self, art: ArtKeys) -> Art:
        boxes = {"bleed": self.format.bleed, "trim": self.format.trim, "live": self.format.live}
        box = boxes[art.covers] if art.covers else self.box(_given(art.box))
        return Art(_path(self.folder, art.file), box)

    def panel(self, panel: PanelKeys) -> PanelPlan:
        mouths = {name: self.point(at) for name, at in panel.mouths.items()}
        return PanelPlan(panel.panel, *self.shape(panel.box, panel.polygon), mouths)

    def placement(self, placed: PlacementKeys, panels: dict[int, PanelPlan]) -> Placement:
        panel = panels.get(int(placed.unit.split(".")[1]))
        tails = [self.tail(tail, panel) for tail in placed.tails or ()]
        return Placement(
            unit=placed.unit,
            spot=self.spot(placed),
            size=placed.size,
            kind=placed.kind,
            lines=placed.lines,
            breaks=placed.breaks,
            aspect=placed.aspect,
            tails=None if placed.tails is None else tuple(tails),
            words=placed.words,
            joined=placed.joined,
            cut=placed.cut,
            over=bool(placed.over),
            style=placed.style,
            read_after=placed.read_after,
            effect=effect_value(placed.effect, self.measure) if placed.effect else None,
            proposed=bool(placed.proposed),
            speaker=placed.speaker,
            earlier=placed.earlier,
            lines_kept=bool(placed.lines_kept),
        )

    def tail(self, tail: str | XY | TailKeys, panel: PanelPlan | None) -> Point | str | TailPlan:
        keys = tail if isinstance(tail, TailKeys) else None
        to = keys.to if keys else tail
        assert not isinstance(to, TailKeys)
        mouth = _as_written(to, panel) if isinstance(to, str) else self.point(to)
        if keys is None:
            return mouth
        return TailPlan(mouth, tuple(self.point(place) for place in keys.places), keys.shape)

    def spot(self, placed: PlacementKeys) -> Center | Fill | Corner | Edge:
        gap = placed.gap
        points = gap if gap is None else 0.0 if gap == "flush" else self.measure.points(float(gap))
        if placed.corner is not None:
            return Corner(placed.corner, points)
        if placed.edge is not None:
            along = {} if placed.along is None else {"along": placed.along}
            return Edge(placed.edge, gap=points, **along)
        if placed.box is not None:
            return Fill(self.box(placed.box))
        if placed.effect and (own := placed.effect.path or placed.effect.corners):
            around = union_box(Box(*at, *at) for at in map(self.point, own))
            return Center(_given(around).center)
        return Center(self.point(_given(placed.center or placed.centre)))

    def shape(self, box: LTWH | None, ring: Ring | None) -> tuple[Path, Box]:
        if box is not None:
            upright = self.box(box)
            return rectangle(upright), upright
        shape = polygon(self.point(corner) for corner in _given(ring))
        return shape, _given(shape.box())

    def box(self, box: LTWH) -> Box:
        left, top, width, height = (self.measure.points(number) for number in box)
        return Box(left, top, left + width, top + height)

    def point(self, at: XY) -> Point:
        return Point(self.measure.points(at[0]), self.measure.points(at[1]))


def _accepted(listed: tuple[AcceptedKeys, ...]) -> tuple[Acceptance, ...]:
    return tuple(Acceptance(one.finding, one.because, one.unit or "") for one in listed)


Given = TypeVar("Given")


def _given(value: Given | None) -> Given:
    """A value that the rules have made sure of."""
    assert value is not None
    return value


def _as_written(speaker: str, panel: PanelPlan | None) -> str:
    """A speaker's name as the panel's mouths spell it."""
    folded = speaker.casefold()
    mouths = panel.mouths if panel else {}
    return next((name for name in mouths if name.casefold() == folded), speaker)


def _remarks(pages: tuple[PagePlan, ...], keys: LayoutKeys, bleed: Box) -> Iterator[Trouble]:
    """What stands wholly off the page: it does no harm, and is most likely a slip of the unit."""
    mend = "Check the numbers and the unit"
    for i, page in enumerate(pages):
        loc = ("pages", i)
        for j, panel in enumerate(page.panels):
            at = (*loc, "panels", j)
            if not panel.box.meets(bleed):
                yield Trouble(at, "{it} stands off the page", mend)
            for name, mouth in panel.mouths.items():
                if not bleed.holds(mouth):
                    yield Trouble((*at, "mouths", name), "{it} stands off the page", mend)
        for j, zone in enumerate(page.keep_clear):
            if not zone.box.meets(bleed):
                yield Trouble((*loc, "keep_clear", j), "{it} stands off the page", mend)
        for j, focus in enumerate(page.focus):
            if not bleed.holds(focus.at):
                yield Trouble((*loc, "focus", j), "{it} stands off the page", mend)
        for j, placed in enumerate(page.placements):
            spot = placed.spot
            off = (isinstance(spot, Center) and not bleed.holds(spot.at)) or (
                isinstance(spot, Fill) and not spot.box.meets(bleed)
            )
            if off:
                yield Trouble((*loc, "placements", j), "this unit stands off the page", mend)
