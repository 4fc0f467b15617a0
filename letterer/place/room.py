"""The room that words need in their panels: fitted for true, with air between them, tails aside.

What a unit needs is the area of its border with half the air that it keeps from others all round.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.fit.oval import area_factor
from letterer.geometry import Box, Path, Point
from letterer.model.plan import Center, Layout, PagePlan, PanelPlan, Placement, Reading
from letterer.model.script import Page, Role, Unit
from letterer.page.unit import Job, set_unit
from letterer.place.bodies import BOX_POWER, Body, body_of
from letterer.place.scene import room_of
from letterer.review.frames import is_off
from letterer.review.shapes import common, corners, polygons
from letterer.text.faces import FaceLibrary


class Verdict(StrEnum):
    """What a panel's share of words comes to, in plain words."""

    SILENT = "no words"
    PLENTY = "plenty of room"
    GOOD = "room enough"
    TIGHT = "tight"
    TOO_MUCH = "too much"


@dataclass(frozen=True, slots=True)
class Need:
    """What one unit needs: `area` in square points with its air; `body` is its shape without.
    `size` is the type size it was fitted at."""

    unit: Unit
    area: float
    body: Body
    air: float
    size: float

    @property
    def width(self) -> float:
        """How wide it is, in points, without air."""
        return 2 * self.body.a

    @property
    def height(self) -> float:
        """How high it is, in points, without air."""
        return 2 * self.body.b

    @property
    def words(self) -> int:
        """How many words it has; none for a sound effect, which is part of the picture."""
        return 0 if self.unit.role is Role.EFFECT else len(self.unit.words.split())


@dataclass(frozen=True, slots=True)
class PanelRoom:
    """One panel: the area of it that shows, what its words need, and what that comes to.

    `share` is need to area, 0 to 1 or more. `why` says what else is against it; `mends` say what
    would mend it, the least change first.
    """

    name: str
    number: int
    box: Box
    area: float
    needs: tuple[Need, ...]
    share: float
    verdict: Verdict
    why: tuple[str, ...] = ()
    mends: tuple[str, ...] = ()

    @property
    def words(self) -> int:
        """How many words are spoken or told in it."""
        return sum(need.words for need in self.needs)


def verdict_of(share: float) -> Verdict:
    """The verdict of a share.

    >>> verdict_of(0.0).value, verdict_of(0.25).value, verdict_of(0.6).value
    ('no words', 'room enough', 'too much')
    """
    steps = (
        (0.0, Verdict.SILENT),
        (craft.ROOM_PLENTY_SHARE, Verdict.PLENTY),
        (craft.ROOM_GOOD_SHARE, Verdict.GOOD),
        (craft.CROWDED_SHARE, Verdict.TIGHT),
    )
    return next((verdict for most, verdict in steps if share <= most), Verdict.TOO_MUCH)


def needs_of(
    units: Sequence[Unit], plan: PagePlan, layout: Layout, faces: FaceLibrary
) -> list[Need]:
    """What each unit needs, set as it is planned. Raises LettererError, with a fault for each unit
    whose words cannot be set."""
    found: list[Need] = []
    faults: list[Fault] = []
    for unit in units:
        try:
            found.append(need_of(_job(unit, plan, layout, faces)))
        except LettererError as error:
            faults += error.faults
    if faults:
        raise LettererError(*faults)
    return found


def _job(unit: Unit, plan: PagePlan, layout: Layout, faces: FaceLibrary) -> Job:
    panel = plan.panel(unit.panel)
    placement = plan.placement(unit.id)
    if placement is None:
        middle = (panel.box if panel else layout.format.live).center
        placement = Placement(unit.id, Center(middle), tails=())
    return Job.of(unit, placement, plan, layout, faces)


def need_of(job: Job) -> Need:
    """What the unit of a job needs. Raises LettererError."""
    made = set_unit(job)
    body = body_of(made)
    air = craft.PLACE_AIR_CAPS * made.cap / 2
    factor = 4.0 if body.n >= BOX_POWER else area_factor(body.n)
    if job.setting.kind == "effect":
        air /= 2  # its letters stand on the art, and keep less from other words
    area = factor * (body.a + air) * (body.b + air)
    return Need(job.unit, area, body, air, made.candidate.size)


def shown_area(panel: PanelPlan, layout: Layout) -> float:
    """The area of a panel that is left when the page is cut, in square points."""
    shape = polygons(panel.shape)
    seen = common([corners(layout.format.trim)], shape)
    if seen is None:
        return 0.0
    return min(seen.area, abs(panel.shape.area()))


def panel_room(
    panel: PanelPlan, needs: Sequence[Need], plan: PagePlan, layout: Layout, faces: FaceLibrary
) -> PanelRoom:
    """How the words of a panel stand to its room. Raises LettererError."""
    area = shown_area(panel, layout)
    room = room_of(panel, layout, plan)
    total = sum(need.area for need in needs)
    share = total / area if area > 0 else (math.inf if needs else 0.0)
    verdict = verdict_of(share)
    why: list[str] = []
    least = [side * layout.style.size for side in craft.PANEL_LEAST_EM]
    loose = [need for need in needs if need.unit.role is not Role.EFFECT]
    if needs and (room.width < least[0] or room.height < least[1]):
        why.append("it is too small for any word")
    else:
        for need in loose:
            wide, high = need.width > room.width + 1.0, need.height > room.height + 1.0
            if wide or high:
                side = "wider and higher" if wide and high else "wider" if wide else "higher"
                why.append(f"{need.unit.id} is {side} than the panel leaves room for")
    if why:
        verdict = Verdict.TOO_MUCH
    elif verdict in (Verdict.PLENTY, Verdict.GOOD) and not stacked(loose, room)[1]:
        verdict = Verdict.TIGHT
        why.append("its words stand only if they are pushed into one another or onto its border")
    name = f"{plan.number}.{panel.number}"
    made = PanelRoom(name, panel.number, panel.box, area, tuple(needs), share, verdict, tuple(why))
    if verdict in (Verdict.TIGHT, Verdict.TOO_MUCH):
        made = replace(made, mends=tuple(_mends(made, panel, (plan, layout, faces))))
    return made


def stacked(needs: Sequence[Need], room: Box, mirrored: bool = False) -> tuple[list[Point], bool]:
    """Middles for words in rows from the top of a room, in reading order, and whether they keep
    within it. Words alone in a row stand by turns at the two sides, those of one row are spread
    over it."""
    rows: list[list[Need]] = []
    wide = 0.0
    for need in needs:
        width = need.width + 2 * need.air
        if rows and wide + width <= room.width + 2 * need.air:
            rows[-1].append(need)
            wide += width
        else:
            rows.append([need])
            wide = width
    middles: list[Point] = []
    top, fits = room.top, True
    for place, row in enumerate(rows):
        high = max(need.height for need in row)
        spare = room.width - sum(need.width for need in row)
        fits = fits and spare >= -1.0
        left = room.left + (max(spare, 0.0) if len(row) == 1 and place % 2 else 0.0)
        between = spare / (len(row) - 1) if len(row) > 1 else 0.0
        for need in row:
            middles.append(Point(left + need.width / 2, top + need.height / 2))
            left += need.width + between
        top += high + max(2 * need.air for need in row) * 0.5
    if rows:
        fits = fits and top - max(need.air for need in rows[-1]) <= room.bottom + 1.0
    if mirrored:
        middles = [Point(room.left + room.right - at.x, at.y) for at in middles]
    return middles, fits


# --- What would mend it -----------------------------------------------------------------------

Around = tuple[PagePlan, Layout, FaceLibrary]


def _mends(room: PanelRoom, panel: PanelPlan, around: Around) -> list[str]:
    """What would bring a panel to room enough, the least change first."""
    layout = around[1]
    target = craft.ROOM_GOOD_SHARE
    if room.area <= 0:
        return ["Move the panel onto the page"]
    told: list[str] = []
    if is_off(panel, layout):
        told.append("Move the panel onto the page")
    effects = sum(need.area for need in room.needs if not need.words)
    spoken = sum(need.area for need in room.needs) - effects
    left = target * room.area - effects
    if room.words and room.share > target and left > 0:
        cut = min(math.ceil(room.words * (1 - left / spoken)), room.words)
        if cut < room.words:
            told.append(f"Cut about {cut} of {room.words} words")
    elif room.share > target and effects > target * room.area:
        told.append("Draw the sound effect smaller")
    smaller = _smaller(room, around)
    if smaller is not None:
        told.append(f"Set it at {smaller:g} pt")
    told += _larger(panel, room, layout)
    told += _parted(room)
    return told or ["Give the panel more room"]


def _smaller(room: PanelRoom, around: Around) -> float | None:
    """A type size at which it has room enough, if the style allows one that small."""
    plan, layout, faces = around
    speaking = [need for need in room.needs if need.words]
    usual = max((need.size for need in speaking), default=0.0)
    smallest = layout.style.smallest_size
    wanted = usual * math.sqrt(min(craft.ROOM_GOOD_SHARE / max(room.share, 1e-9), 1.0))
    size = math.floor(wanted * 4) / 4
    if not speaking or size < smallest or size >= usual or room.why:
        return None
    for tried in (size, size - 0.25):
        if tried < smallest:
            return None
        total = sum(need.area for need in room.needs if not need.words)
        for need in speaking:
            job = _job(need.unit, plan, layout, faces)
            spot = replace(job.placement, size=min(tried, need.size), spot=Center(room.box.center))
            total += need_of(Job.of(need.unit, spot, plan, layout, faces)).area
        if total <= craft.ROOM_GOOD_SHARE * room.area * 1.02:
            return tried
    return None


def _larger(panel: PanelPlan, room: PanelRoom, layout: Layout) -> list[str]:
    """By how much wider or higher the panel would have to be, where the page has that room."""
    trim, measure = layout.format.trim, layout.measure
    grown = max(room.share / craft.ROOM_GOOD_SHARE, 1.0)
    gap = 2 * layout.style.gap_points
    loose = [need for need in room.needs if need.words]
    widest = max((need.width for need in loose), default=0.0) + gap
    highest = max((need.height for need in loose), default=0.0) + gap
    width = max(panel.box.width * grown, widest)
    height = max(panel.box.height * grown, highest)
    digits = {"in": 2, "mm": 0, "pt": 0, "px": 0}[measure.unit]

    def more(points: float) -> str:
        step = 10**digits
        return f"{math.ceil(measure.written(points) * step) / step:.{digits}f} {measure.unit}"

    found = []
    if widest > panel.box.width + 1 and highest > panel.box.height + 1:
        total = sum(need.area for need in room.needs) / craft.ROOM_GOOD_SHARE
        larger = max(math.sqrt(total / (widest * highest)), 1.0)
        width, height = widest * larger, highest * larger
        if width <= trim.width and height <= trim.height:
            wider, higher = width - panel.box.width, height - panel.box.height
            found.append(f"Make the panel {more(wider)} wider and {more(higher)} higher")
    elif width <= trim.width and width > panel.box.width + 1 and highest <= panel.box.height + 1:
        found.append(f"Make the panel {more(width - panel.box.width)} wider")
    elif height <= trim.height and height > panel.box.height + 1 and widest <= trim.width:
        wider = max(widest - panel.box.width, 0.0)
        also = f" and {more(wider)} wider" if wider > 1 else ""
        found.append(f"Make the panel {more(height - panel.box.height)} higher{also}")
    return found


def _parted(room: PanelRoom) -> list[str]:
    """Where its words are best parted over two panels as large as this one."""
    total = sum(need.area for need in room.needs)
    if len(room.needs) < 2 or room.share <= craft.ROOM_GOOD_SHARE:
        return []
    parts = []
    for place in range(1, len(room.needs)):
        first = sum(need.area for need in room.needs[:place]) / room.area
        parts.append((max(first, total / room.area - first), place, first))
    most, place, first = min(parts)
    if most > craft.CROWDED_SHARE:
        return []
    second = total / room.area - first
    unit = room.needs[place].unit.id
    last = place == len(room.needs) - 1
    what = unit if last else f"{unit} and what follows"
    return [
        f"Give {what} a panel as large of {'its' if last else 'their'} own: then"
        f" {first * 100:.0f} % and {second * 100:.0f} %"
    ]


# --- A page -----------------------------------------------------------------------------------


def page_rooms(
    page: Page, plan: PagePlan, layout: Layout, faces: FaceLibrary
) -> tuple[list[PanelRoom], list[str]]:
    """The room of each panel that script and layout both have, in reading order; and what is to be
    told of the others, in plain words. Raises LettererError."""
    rooms: list[PanelRoom] = []
    told: list[str] = []
    faults: list[Fault] = []
    for panel in page.panels:
        there = plan.panel(panel.number)
        name = f"{page.number}.{panel.number}"
        if there is None:
            told.append(f"Panel {name} is not in the layout. Add it, to see the room it has.")
            continue
        try:
            needs = needs_of(panel.units, plan, layout, faces)
            rooms.append(panel_room(there, needs, plan, layout, faces))
        except LettererError as error:
            faults += error.faults
    if faults:
        raise LettererError(*faults)
    known = {panel.number for panel in page.panels}
    for panel_plan in plan.panels:
        if panel_plan.number not in known:
            name = f"{page.number}.{panel_plan.number}"
            told.append(f"Panel {name} is in the layout, and not in the script.")
    return rooms, [*told, *awkward_panels(plan, layout)]


def awkward_panels(plan: PagePlan, layout: Layout) -> list[str]:
    """Panels that lie outside the page, or over one another without being insets."""
    told = []
    for panel in plan.panels:
        name = f"{plan.number}.{panel.number}"
        inside = panel.box.common(layout.format.bleed).area
        meets = panel.box.meets(layout.format.bleed)
        if panel.box.area > 0 and (not meets or inside < panel.box.area * 0.98):
            where = "reaches beyond the bleed" if meets else "lies outside the page"
            told.append(f"Panel {name} {where}. Check its numbers.")
    for place, one in enumerate(plan.panels):
        for other in plan.panels[place + 1 :]:
            shared = common(polygons(one.shape), polygons(other.shape))
            if shared is None:
                continue
            share = shared.area / max(min(_size(one.shape), _size(other.shape)), 1e-9)
            if craft.PANEL_OVERLAP_SHARE < share < craft.INSET_SHARE:
                told.append(
                    f"Panels {plan.number}.{one.number} and {plan.number}.{other.number} overlap"
                    f" by {share * 100:.0f} % of the smaller. Check their numbers."
                )
    return told


def _size(shape: Path) -> float:
    return abs(shape.area())


def _upright(panel: PanelPlan) -> PanelPlan:
    """A panel of four corners with the upright box within its slanted sides for its box, so that
    rows of ghosts do not cross a slanted gutter; any other panel as it is."""
    corners = [at for _, points in panel.shape.segments for at in points]
    if len(corners) != 4:
        return panel
    xs, ys = sorted(at.x for at in corners), sorted(at.y for at in corners)
    inner = Box(xs[1], ys[1], xs[2], ys[2])
    box = panel.box
    if min(inner.width / box.width, inner.height / box.height) < craft.ROOM_UPRIGHT_LEAST:
        return panel
    return replace(panel, box=inner)


def ghost_plan(page: Page, plan: PagePlan, layout: Layout, faces: FaceLibrary) -> PagePlan:
    """The plan with every unit placed and no tails: those without a place stand in rows from the
    top of their panel. Raises LettererError."""
    mirrored = layout.reading is Reading.RIGHT_TO_LEFT
    kept = [replace(placed, tails=()) for placed in plan.placements]
    for panel in page.panels:
        there = plan.panel(panel.number)
        units = [unit for unit in panel.units if plan.placement(unit.id) is None]
        if there is None or not units:
            continue
        needs = needs_of(units, plan, layout, faces)
        middles, _ = stacked(needs, room_of(_upright(there), layout, plan), mirrored)
        kept += [
            Placement(need.unit.id, Center(at), tails=(), joined=False)
            for need, at in zip(needs, middles, strict=True)
        ]
    return replace(plan, placements=tuple(kept))
