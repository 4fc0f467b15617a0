"""Ways to divide a page, for a script that has no layout yet: rows and columns of unlike widths.

Each panel gets the area that it wants: enough that its words have room, and otherwise as much
picture as the others. A division is a list of rows; in a row, panels stand side by side, or a tall
one stands beside a stack, which is then read last, where readers agree most.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from letterer import craft
from letterer.errors import listed
from letterer.geometry import Box, rectangle
from letterer.model.plan import PanelPlan, Reading
from letterer.model.script import Direction, Panel
from letterer.place.room import Need, stacked
from letterer.review.panels import panel_order

STACK_MOST = 3
BISECTIONS = 60
COST_ODD_SIDES, COST_NO_ROOM, COST_TIGHT, COST_STACK = 2.0, 6.0, 2.0, 0.35
"""What counts against a division beside unlike proportions, as squares of a logarithm."""

FAR_WORSE = 3.0
"""A division that costs this much more for each panel than the best is not shown."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What a panel wants: its number, its words' needs, how wide to high, and its share of the
    page, 0 to 1."""

    number: int
    needs: tuple[Need, ...]
    aspect: float
    told: str
    share: float = 0.0


@dataclass(frozen=True, slots=True)
class Division:
    """A page divided: a box for each panel in reading order, how its rows are made up, its cost.

    A negative row is a tall panel beside a stack of so many. `name` says it where rows do not.
    """

    boxes: tuple[Box, ...]
    rows: tuple[int, ...]
    cost: float
    name: str = ""

    @property
    def told(self) -> str:
        """Its rows in words.

        >>> Division((), (1, 2, 1), 0).told, Division((), (-2, 2, 2), 0).told
        ('rows of 1, 2 and 1', 'a tall panel beside a stack of 2, then 2 rows of 2')
        """
        if self.name or self.rows == (1,):
            return self.name or "one panel"
        parts: list[str] = []
        for stacks, rows in groupby(self.rows, key=lambda row: row < 0):
            many = [str(abs(row)) for row in rows]
            if stacks:
                parts += [f"a tall panel beside a stack of {row}" for row in many]
            elif len(many) == 1:
                parts.append(f"a row of {many[0]}")
            elif len(set(many)) == 1:
                parts.append(f"{len(many)} rows of {many[0]}")
            else:
                parts.append(f"rows of {listed(many)}")
        return ", then ".join(parts)


WORDS_ASKED = (
    (re.compile(r"\b(wide|long|panoram\w*|full width|establishing)\b", re.I), "wide"),
    (re.compile(r"\b(tall|narrow|vertical|full height)\b", re.I), "tall"),
)


def asked_shape(panel: Panel) -> str:
    """The shape that the panel's direction asks for in its first words: wide, tall or nothing."""
    texts = [panel.heading]
    texts += [item.text for item in panel.items if isinstance(item, Direction)][:1]
    for text in texts:
        first = " ".join(text.split()[:4])
        for pattern, told in WORDS_ASKED:
            if pattern.search(first):
                return told
    return ""


def wish_of(panel: Panel, needs: Sequence[Need]) -> Wish:
    """What a panel of the script wants, its share of the page not yet known."""
    told = asked_shape(panel)
    aspect = {"wide": craft.ROOM_WIDE, "tall": craft.ROOM_TALL}.get(told, craft.ROOM_USUAL)
    return Wish(panel.number, tuple(needs), aspect, told)


def shared_out(wishes: Sequence[Wish], area: float) -> tuple[list[Wish], float]:
    """The wishes with their shares of an area, and how full of words the fullest panel then is.

    A panel gets the area of its words ROOM_ELBOW times over and as much picture as every other (a
    wide or tall one somewhat more), and never less than gives its words ROOM_GOOD_SHARE. Where the
    words want more than the page has, all get less.
    """
    words = [sum(need.area for need in wish.needs) for wish in wishes]
    weights = [craft.ROOM_ASKED_MORE if wish.told else 1.0 for wish in wishes]

    def areas_at(picture: float) -> list[float]:
        return [
            max(each / craft.ROOM_GOOD_SHARE, craft.ROOM_ELBOW * each + picture * weight)
            for each, weight in zip(words, weights, strict=True)
        ]

    low, high = craft.ROOM_PICTURE_SHARE * area / max(len(wishes), 1), area
    if sum(areas_at(low)) < area:
        for _ in range(BISECTIONS):
            middle = (low + high) / 2
            full = sum(areas_at(middle)) >= area
            low, high = (low, middle) if full else (middle, high)
    areas = areas_at(low)
    scale = area / sum(areas)
    made = [
        Wish(wish.number, wish.needs, wish.aspect, wish.told, each * scale / area)
        for wish, each in zip(wishes, areas, strict=True)
    ]
    fullest = max(
        (each / (got * scale) for each, got in zip(words, areas, strict=True)), default=0.0
    )
    return made, fullest


def divisions(
    wishes: Sequence[Wish], live: Box, gap: float, mirrored: bool = False
) -> tuple[Division, ...]:
    """The best few ways to divide a live area, unlike one another, the best first. `gap` is what
    words keep from a panel's border, in points. None for too many panels."""
    if not 1 <= len(wishes) <= craft.ROOM_PANELS_MOST:
        return ()
    made = [_division(rows, wishes, live, gap) for rows in _rows(len(wishes))]
    made.sort(key=lambda one: (one.cost, one.rows))
    best = made[0].cost
    kept: list[Division] = []
    for one in made:
        if len(kept) == craft.ROOM_GRIDS or one.cost > best + FAR_WORSE * len(wishes) / 2:
            break
        if not any(_alike(one, other) for other in kept) and _read_in_order(one):
            kept.append(one)
    kept = kept or made[:1]
    if mirrored:
        return tuple(
            Division(tuple(_mirrored(box, live) for box in one.boxes), one.rows, one.cost)
            for one in kept
        )
    return tuple(kept)


def _read_in_order(one: Division) -> bool:
    """Whether most readers will meet the panels in their order."""
    boxes = enumerate(one.boxes, 1)
    panels = [PanelPlan(number, rectangle(box), box) for number, box in boxes]
    # Divisions are made from left to right, and mirrored at the end: their order is the same.
    found = panel_order(panels, Reading.LEFT_TO_RIGHT)
    return found.confident and found.order == tuple(range(1, len(panels) + 1))


def _mirrored(box: Box, live: Box) -> Box:
    side = live.left + live.right
    return Box(side - box.right, box.top, side - box.left, box.bottom)


def _alike(one: Division, other: Division) -> bool:
    return all(
        abs(a - b) < craft.PLACE_UNLIKE_POINTS
        for box, like in zip(one.boxes, other.boxes, strict=True)
        for a, b in zip(box, like, strict=True)
    )


def _rows(panels: int) -> Iterator[tuple[int, ...]]:
    """Every way to make up rows: a row of so many, or (negative) a tall panel and a stack."""
    if panels == 0:
        yield ()
        return
    for many in range(1, min(craft.ROOM_ROW_MOST, panels) + 1):
        for rest in _rows(panels - many):
            yield (many, *rest)
    for stack in range(2, min(STACK_MOST, panels - 1) + 1):
        for rest in _rows(panels - 1 - stack):
            yield (-stack, *rest)


def _division(rows: tuple[int, ...], wishes: Sequence[Wish], live: Box, gap: float) -> Division:
    gutter = craft.ROOM_GUTTER_POINTS
    high = live.height - gutter * (len(rows) - 1)
    boxes: list[Box] = []
    top, place, cost = live.top, 0, 0.0
    for row in rows:
        many = row if row > 0 else 1 - row
        mine = wishes[place : place + many]
        share = sum(wish.share for wish in mine)
        bottom = top + high * share
        columns = [[wish] for wish in mine] if row > 0 else [[mine[0]], list(mine[1:])]
        cost += COST_STACK * (row < 0)
        wide = live.width - gutter * (len(columns) - 1)
        left = live.left
        for column in columns:
            part = sum(wish.share for wish in column)
            right = left + wide * part / share
            tall = bottom - top - gutter * (len(column) - 1)
            y = top
            for wish in column:
                height = tall * wish.share / part
                boxes.append(Box(left, y, right, y + height))
                y += height + gutter
            left = right + gutter
        top = bottom + gutter
        place += many
    cost += sum(_misfit(box, wish, gap) for box, wish in zip(boxes, wishes, strict=True))
    return Division(tuple(boxes), rows, cost)


def _misfit(box: Box, wish: Wish, gap: float) -> float:
    """What speaks against a box for a panel."""
    if box.width <= 2 * gap or box.height <= 2 * gap:
        return 10 * COST_NO_ROOM
    aspect = box.width / box.height
    cost = math.log(aspect / wish.aspect) ** 2
    low, high = craft.ROOM_SIDES
    if not low <= aspect <= high:
        cost += COST_ODD_SIDES
    room = box.grown(-gap)
    for need in wish.needs:
        if need.width > room.width or need.height > room.height:
            cost += COST_NO_ROOM
    if not stacked(wish.needs, room)[1]:
        cost += COST_TIGHT
    return cost


# --- A vertical scroll ------------------------------------------------------------------------


def strips(
    wishes: Sequence[Wish], width: float, aside: float, gap: float, mirrored: bool = False
) -> tuple[Division, ...]:
    """Ways to set panels one under another on a scroll of a width, which is as long as they are.

    Each panel is as high as its words ask for, and at least as its shape does. `aside` is what
    words keep from the sides of the scroll, `gap` what they keep from a panel's border, in points.
    In the second way quiet panels are narrower, and stand by turns at the two sides, first at the
    one where reading begins.
    """
    narrow = width * craft.ROOM_STRIP_NARROW_SHARE
    quiet = [
        wish.told != "wide" and sum(need.area for need in wish.needs)
        <= craft.ROOM_PLENTY_SHARE * narrow * narrow / wish.aspect
        for wish in wishes
    ]  # fmt: skip
    ways = [("one under another", [width for _ in wishes])]
    if any(quiet) and len(wishes) > 1:
        ways.append(("quiet panels narrower", [narrow if calm else width for calm in quiet]))
    found = []
    for name, widths in ways:
        boxes: list[Box] = []
        top, turns = 0.0, int(mirrored)
        for wish, wide in zip(wishes, widths, strict=True):
            left = width - wide if turns % 2 else 0.0
            turns += wide < width
            # Words keep off the sides of the scroll, and off a border within it.
            room = wide - (2 * aside if wide == width else aside + gap)
            boxes.append(Box(left, top, left + wide, top + _high(wish, wide, room, gap)))
            top = boxes[-1].bottom + craft.ROOM_STRIP_GAP_SHARE * width
        found.append(Division(tuple(boxes), (1,) * len(wishes), 0.0, name))
    return tuple(found)


def _high(wish: Wish, width: float, room: float, gap: float) -> float:
    """How high a panel of a scroll is: as its shape asks, and so that its words have room."""
    words = sum(need.area for need in wish.needs)
    high = max(width / wish.aspect, words / (craft.ROOM_GOOD_SHARE * width))
    loose = [need for need in wish.needs if need.words]
    deep = sum(need.height + 2 * need.air for need in loose) + 2 * gap
    while high < deep and not stacked(loose, Box(0.0, 0.0, room, high - 2 * gap))[1]:
        high *= 1.1
    return high
