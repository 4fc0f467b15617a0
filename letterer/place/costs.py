"""What a place costs, by name, in the terms of the trade: alone, and beside another unit's place.

Costs are in inches that a letterer would give (see `craft`, "Proposing places"). Every function
takes many places at once.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from letterer import craft
from letterer.geometry import POINTS_PER_INCH
from letterer.model.plan import Corner, Edge
from letterer.place.bodies import COSINES, SINES, reach_of
from letterer.place.ground import Floats
from letterer.place.scene import Scene, Seats, Sitter

Costs = dict[str, Floats]

TAIL_STEPS = np.array([0.15, 0.3, 0.45, 0.6])
"""Shares of the way from the border to the mouth at which a tail is looked at: it ends at 0.55."""

BLOCK = 2000
"""So many pairs of places are looked at together."""

TAIL_POWER = 2.4
"""A body in a tail's way is taken for a superellipse of this exponent."""

NEAR_ZONE_POINTS = 150.0
"""So many square points pressing on a face cost the whole of PLACE_ZONE_NEAR."""

COVERED = ("zones", "on zones", "faces", "near zones", "focus", "busy")
"""What may lie under words, beside what is outside."""

FAULTS = {
    "outside": "words outside the panel or the live area",
    "covers": "a face, or what the panel is about, is covered",
    "covers a likely face": "what is about a mouth, likely a face, is covered",
    "covers words": "words stand over words",
    "reading order": "words are read out of order",
    "read too early": "words are read before the eye has found what they come after",
    "no tail": "words stand too near to the mouth for a tail",
    "tail over face": "a tail crosses a face or a hand",
    "tail over words": "a tail crosses words",
    "tails cross": "tails cross",
}
"""Costs that are faults where they are large, and how they are told."""


def alone(scene: Scene, seats: Seats) -> Costs:
    """What each place of a unit costs by itself."""
    sitter, x, y = seats.sitter, seats.x, seats.y
    inch, room = POINTS_PER_INCH, scene.room
    a, b = seats.of("a"), seats.of("b")
    costs: Costs = {"setting": craft.PLACE_SHAPE * seats.of("cost")}
    costs |= _covering(scene, seats)
    costs["outside"] += _over(seats, scene)
    top = np.maximum(y - b - room.top, 0.0) / inch
    low = craft.PLACE_EFFECT_LOW if sitter.is_effect else craft.PLACE_LOW
    if not sitter.is_caption or sitter.at is not None:
        aside = np.minimum(x - a - room.left, room.right - x - a)
        side = np.minimum(np.minimum(aside, y - b - room.top), room.bottom - y - b)
        if not sitter.is_effect:
            costs["floating"] = craft.PLACE_FLOATING * np.maximum(side, 0.0) / inch
    if _closes(scene, sitter):
        end = room.left if scene.mirrored else room.right
        aside = np.maximum(np.abs(x - end) - a, 0.0)
        costs["end"] = craft.PLACE_END * np.hypot(aside, room.bottom - y - b) / inch
    else:
        costs["low"] = low * top
    if scene.sitters[0] is sitter:
        begin = room.right if scene.mirrored else room.left
        nearest = np.maximum(np.abs(x - begin) - a, 0.0)
        start = craft.PLACE_START_CAPTION if sitter.is_caption else craft.PLACE_START
        costs["start"] = start * np.hypot(nearest, top * inch) / inch
    if sitter.is_caption:
        costs["edge spot"] = np.array([_spot_cost(spot) for spot in seats.spots])
    if sitter.is_effect:
        costs |= _by_focus(scene, seats)
    costs |= _tail_alone(scene, seats)
    costs |= _too_early(scene, seats)
    for body, at in scene.others:
        gap = _gaps(seats, _Fixed(body.a, body.b, body.n, at.x, at.y))[:, 0]
        costs["covers words"] = costs.get("covers words", 0.0) + _overlap(gap)
    return costs


def _closes(scene: Scene, sitter: Sitter) -> bool:
    """True for a caption that is the last of several units: it stands where reading ends."""
    return sitter.is_caption and len(scene.sitters) > 1 and scene.sitters[-1] is sitter


def _covering(scene: Scene, seats: Seats) -> Costs:
    cell = scene.ground.grid.cell
    found: dict[str, Floats] = {}
    for number, body in enumerate(seats.sitter.bodies):
        mine = np.flatnonzero(seats.body == number)
        if not len(mine):
            continue
        x, y, ground = seats.x[mine], seats.y[mine], scene.ground
        sums = ground.under(body, x, y, COVERED)
        gap = seats.sitter.job.style.gap_points if scene.panel is not None else 0.0
        sums |= ground.under(body, x, y, ("outside",), gap)
        area = max(2 * body.a * body.b * 1.6, 1.0)
        for name, values in sums.items():
            if name in ("busy", "on zones"):
                values = values * cell**2 / area
            found.setdefault(name, np.zeros(len(seats)))[mine] = values
    fault = craft.PLACE_FAULT_FACE
    most = craft.COVER_SHARE_LEAST * 0.6  # the grid is coarse; the look-over is not
    costs = {
        "outside": np.where(
            found["outside"] > 0,
            craft.PLACE_FAULT_OUTSIDE * (0.1 + found["outside"] * cell**2 / 400.0),
            0.0,
        ),
        "covers": np.where(
            found["zones"] > most,
            fault * (0.05 + 1.5 * found["zones"]),
            craft.PLACE_ON_ZONE * np.minimum(found["on zones"], 1.0),
        ),
        "covers a likely face": 0.3 * fault * found["faces"],
        "near a face": craft.PLACE_ZONE_NEAR
        * np.minimum(found["near zones"] * cell**2 / NEAR_ZONE_POINTS, 1.0),
        "near the focus": craft.PLACE_FOCUS_NEAR * np.minimum(found["focus"] * 2, 1.0),
    }
    if "busy" in scene.ground.fields:
        costs["busy art"] = craft.PLACE_BUSY * found["busy"]
    if seats.sitter.is_effect:
        costs["near the focus"] = costs["near the focus"] * 0.2
    return costs


def _over(seats: Seats, scene: Scene) -> Floats:
    """What it costs to stick out of the room."""
    a, b, room = seats.of("a"), seats.of("b"), scene.room
    slack = craft.BORDER_SLACK_POINTS
    if seats.sitter.at is not None:
        return np.zeros(len(seats))  # the person has settled it
    out = np.maximum(room.left - seats.x + a, 0.0) + np.maximum(seats.x + a - room.right, 0.0)
    out += np.maximum(room.top - seats.y + b, 0.0) + np.maximum(seats.y + b - room.bottom, 0.0)
    result: Floats = np.where(
        out > slack, craft.PLACE_FAULT_OUTSIDE * (0.2 + out / POINTS_PER_INCH), 0.0
    )
    return result


def _spot_cost(spot: object) -> float:
    if isinstance(spot, Corner):
        return 0.0
    if isinstance(spot, Edge) and spot.side in ("top", "bottom"):
        return craft.PLACE_EDGE_SPOT
    return craft.PLACE_CAPTION_SIDE


def _by_focus(scene: Scene, seats: Seats) -> Costs:
    if not scene.focus:
        return {}
    a, b = seats.of("a"), seats.of("b")
    far = [
        np.hypot(
            np.maximum(np.abs(seats.x - one.at.x) - a, 0.0),
            np.maximum(np.abs(seats.y - one.at.y) - b, 0.0),
        )
        for one in scene.focus
    ]
    nearest = np.minimum.reduce(far) / POINTS_PER_INCH
    return {"far from the sound": craft.PLACE_EFFECT_FAR * nearest}


def _tail_alone(scene: Scene, seats: Seats) -> Costs:
    from_x, from_y, to_x, to_y = seats.tail
    sitter = seats.sitter
    if np.isnan(from_x).all():
        return _by_mouths(scene, seats)
    length = np.hypot(to_x - from_x, to_y - from_y)
    inches = length / POINTS_PER_INCH
    costs: Costs = {}
    if scene.tied_to(sitter) is not None:  # joined to the next, which has the tail
        costs["far from mouths"] = craft.PLACE_TIED * inches
    else:
        costs["tail"] = craft.PLACE_TAIL * inches + craft.PLACE_TAIL_LONG * inches**2
        if sitter.mouth is not None:
            costs |= _tail_at_faces(scene, seats, length)
    if sitter.mouth is not None:
        below = np.maximum(seats.y - sitter.mouth.y, 0.0) / POINTS_PER_INCH
        costs["below the mouth"] = craft.PLACE_BELOW_MOUTH * below
        mouths = scene.panel.mouths if scene.panel else {}
        for other in mouths.values():
            if other.distance(sitter.mouth) > craft.TAIL_MOUTH_CAPS * sitter.bodies[0].cap:
                # Words nearer to another's mouth than to their own seem to be that one's.
                theirs = np.hypot(seats.x - other.x, seats.y - other.y)
                mine = np.hypot(seats.x - sitter.mouth.x, seats.y - sitter.mouth.y)
                nearer = np.maximum(mine - theirs, 0.0) / POINTS_PER_INCH
                costs["nearer to another"] = (
                    costs.get("nearer to another", 0.0) + craft.PLACE_TAIL * nearer
                )
    return costs


def _tail_at_faces(scene: Scene, seats: Seats, length: Floats) -> Costs:
    """What it costs where a tail to a mouth has no room, or runs over faces."""
    from_x, from_y, to_x, to_y = seats.tail
    shortest = craft.TAIL_SHORTEST_CAPS * seats.sitter.bodies[0].cap / craft.TAIL_SHARE_RANGE[0]
    foreign, own = scene.faces_for(seats.sitter.mouth)
    grid = scene.ground.grid
    hit, crossed = np.zeros(len(seats)), np.zeros(len(seats))
    for share in TAIL_STEPS:
        px, py = from_x + (to_x - from_x) * share, from_y + (to_y - from_y) * share
        column = np.clip((px - grid.box.left) // grid.cell, 0, grid.columns - 1).astype(int)
        row = np.clip((py - grid.box.top) // grid.cell, 0, grid.rows - 1).astype(int)
        hit = np.maximum(hit, foreign[row, column])
        crossed += own[row, column] / len(TAIL_STEPS)
    return {
        "no tail": np.where(length < shortest, craft.PLACE_FAULT_NO_TAIL, 0.0),
        "tail over face": craft.PLACE_FAULT_TAIL_FACE * hit,
        "tail over its own face": craft.PLACE_TAIL_OWN_FACE * crossed,
    }


def _by_mouths(scene: Scene, seats: Seats) -> Costs:
    """Words of someone who has no mouth in the panel, such as of several at once."""
    sitter = seats.sitter
    mouths = list(scene.panel.mouths.values()) if scene.panel else []
    if not mouths or not sitter.unit.speaker or sitter.is_caption:
        return {}
    far = [np.hypot(seats.x - mouth.x, seats.y - mouth.y) for mouth in mouths]
    return {"far from mouths": craft.PLACE_SPEAKER * np.minimum.reduce(far) / POINTS_PER_INCH}


def _too_early(scene: Scene, seats: Seats) -> Costs:
    """Words that are met before a focus, where they or words before them come after it."""
    names = set()
    for sitter in scene.sitters:
        if sitter.job.placement.read_after:
            names.add(sitter.job.placement.read_after)
        if sitter is seats.sitter:
            break
    early = np.zeros(len(seats))
    for one in scene.focus:
        if one.name not in names:
            continue
        b = seats.of("shape_b")
        over = seats.y + b < one.at.y
        beside = np.abs(seats.y - one.at.y) <= b
        before = seats.x > one.at.x if scene.mirrored else seats.x < one.at.x
        early = np.maximum(early, (over | (beside & before)).astype(float))
    return {"read too early": craft.PLACE_FAULT_EARLY * early} if early.any() else {}


class _Fixed:
    """One body in its place, as if it were a list of places."""

    def __init__(self, a: float, b: float, n: float, x: float, y: float) -> None:
        self.reach = reach_of([a], [b], [n])
        self.x, self.y = np.array([x]), np.array([y])


def _gaps(one: Seats | _Fixed, other: Seats | _Fixed) -> Floats:
    """The distance between bodies, less than 0 where they overlap (by how much at least)."""
    gap = np.empty((len(one.x), len(other.x)))
    cos, sin = COSINES[:, None, None], SINES[:, None, None]
    first, then = one.reach.T[:, :, None], other.reach.T[:, None, :]
    for rows in _blocks(*gap.shape):
        along = cos * np.abs(one.x[rows, None] - other.x[None, :])
        along += sin * np.abs(one.y[rows, None] - other.y[None, :])
        along -= first[:, rows]
        along -= then
        along.max(axis=0, out=gap[rows])
    return gap


def _blocks(rows: int, columns: int) -> Iterator[slice]:
    """The rows of a table in blocks that stay in the processor's cache."""
    step = max(BLOCK // max(columns, 1), 1)
    for begin in range(0, rows, step):
        yield slice(begin, begin + step)


def _overlap(gap: Floats) -> Floats:
    least = craft.PLACE_AIR_LEAST_POINTS
    found: Floats = np.where(
        gap < least,
        craft.PLACE_FAULT_OVERLAP * (0.1 + (least - gap) / POINTS_PER_INCH),
        0.0,
    )
    return found


def together(scene: Scene, one: Seats, other: Seats) -> Costs:
    """What the places of two units cost each other: rows are places of the one read first."""
    first, then = one.sitter, other.sitter
    gap = _gaps(one, other)
    settled = first.at is not None and then.at is not None
    costs: Costs = {"covers words": _overlap(gap) * (0.0 if settled else 1.0)}
    alike = scene.ties(first, then)
    cap = first.bodies[0].cap
    if alike:
        near, far = (caps * cap for caps in craft.PLACE_TOGETHER_CAPS)
        off = np.maximum(gap - far, 0.0) + np.maximum(near - gap, 0.0)
        costs["apart"] = craft.PLACE_APART * off / POINTS_PER_INCH
        loose = gap > craft.JOIN_NEAR_CAPS * cap
        costs["not joined"] = craft.PLACE_LOOSE * loose.astype(np.float64)
    else:
        air = craft.PLACE_AIR_CAPS * cap
        close = np.clip((air - gap) / air, 0.0, 1.0)
        costs["little air"] = craft.PLACE_AIR * close**2
    costs |= _order(scene, one, other)
    if _reading_partner(scene, first) is then and not _closes(scene, then):
        dx, dy = other.x[None, :] - one.x[:, None], other.y[None, :] - one.y[:, None]
        costs["jump"] = craft.PLACE_JUMP * np.hypot(dx, dy) / POINTS_PER_INCH
        back = np.maximum(dx if scene.mirrored else -dx, 0.0) / POINTS_PER_INCH
        costs["back"] = craft.PLACE_BACK * back
        tops = one.y - one.of("b"), other.y - other.of("b")
        up = np.maximum(tops[0][:, None] - tops[1][None, :], 0.0) / POINTS_PER_INCH
        costs["up"] = craft.PLACE_UP * up
    if not settled and alike:
        # Balloons that are joined have one tail, from the one that is nearest to the mouth.
        hit = (_tail_over(one, other) | _tail_over(other, one).T) & loose
        costs["tail over words"] = craft.PLACE_FAULT_TAIL_WORDS * hit.astype(np.float64)
    elif not settled:
        costs |= _tails_together(scene, one, other)
    return costs


def _reading_partner(scene: Scene, first: Sitter) -> Sitter | None:
    """The words that are read next; sound effects are passed over."""
    place = next(k for k, sitter in enumerate(scene.sitters) if sitter is first)
    if first.is_effect:
        return None
    return next((one for one in scene.sitters[place + 1 :] if not one.is_effect), None)


def _order(scene: Scene, one: Seats, other: Seats) -> Costs:
    """What it costs where the first is not plainly read first, as the look-over sees it: the higher
    comes first, unless half of it has the other beside it; side by side, the way of reading."""
    half_1, half_2 = one.of("shape_b")[:, None], other.of("shape_b")[None, :]
    y1, y2 = one.y[:, None], other.y[None, :]
    x1, x2 = one.x[:, None], other.x[None, :]
    common = np.minimum(y1 + half_1, y2 + half_2) - np.maximum(y1 - half_1, y2 - half_2)
    share = common / (2 * np.minimum(half_1, half_2))
    first_above = y1 < y2
    first_before = x1 > x2 if scene.mirrored else x1 < x2
    margin = craft.PLACE_ORDER_MARGIN
    rows = share <= craft.STAGGER_SHARE_WORDS
    wrong = np.where(rows, ~first_above, ~first_before)
    unsure = (np.abs(share - craft.STAGGER_SHARE_WORDS) < margin) & (first_above != first_before)
    fault = craft.PLACE_FAULT_ORDER
    if one.sitter.is_effect or other.sitter.is_effect:
        fault = craft.PLACE_ORDER_EFFECT
    if one.sitter.at is not None and other.sitter.at is not None:
        fault = 0.0
    costs = {"reading order": fault * wrong.astype(float)}
    costs["order unsure"] = craft.PLACE_ORDER_NEAR * (unsure & ~wrong).astype(float)
    return costs


def _tails_together(scene: Scene, one: Seats, other: Seats) -> Costs:
    """What tails of units that are not joined to each other cost. Of several that are joined, the
    last is taken to have the tail."""
    costs: Costs = {}
    tailed = [
        not np.isnan(seats.tail[0]).all() and scene.tied_to(seats.sitter) is None
        for seats in (one, other)
    ]
    over = np.zeros((len(one), len(other)), dtype=bool)
    if tailed[0]:
        over |= _tail_over(one, other)
    if tailed[1] and scene.run(one.sitter) != scene.run(other.sitter):
        over |= _tail_over(other, one).T
    if over.any():
        costs["tail over words"] = craft.PLACE_FAULT_TAIL_WORDS * over
    same = one.sitter.mouth is not None and one.sitter.mouth == other.sitter.mouth
    if all(tailed) and not same:
        crossed = _crossing(one, other)
        if crossed.any():
            costs["tails cross"] = craft.PLACE_FAULT_TAILS_CROSS * crossed
    return costs


def _tail_over(first: Seats, then: Seats) -> NDArray[np.bool_]:
    """Where the tail of a place of the first runs over the body of a place of the other."""
    from_x, from_y, to_x, to_y = first.tail
    room = craft.TAIL_WORDS_CAPS * first.sitter.bodies[0].cap
    a, b = then.of("a") + room, then.of("b") + room
    px = from_x + (to_x - from_x) * TAIL_STEPS[:, None]
    py = from_y + (to_y - from_y) * TAIL_STEPS[:, None]
    hit = np.empty((len(first), len(then)), dtype=bool)
    for rows in _blocks(*hit.shape):
        across = np.abs(px[:, rows, None] - then.x) / a
        down = np.abs(py[:, rows, None] - then.y) / b
        over = (across < 1.0) & (down < 1.0)
        near = np.flatnonzero(over)
        reach = across.ravel()[near] ** TAIL_POWER + down.ravel()[near] ** TAIL_POWER
        over.ravel()[near] = reach < 1.0
        over.any(axis=0, out=hit[rows])
    return hit


def _crossing(one: Seats, other: Seats) -> Floats:
    """1 where two tails cross, drawn a little longer than they will be."""
    reach = craft.TAIL_SHARE_RANGE[1]
    ax, ay, tx, ty = (part[:, None] for part in one.tail)
    bx, by = ax + (tx - ax) * reach, ay + (ty - ay) * reach
    cx, cy, ux, uy = (part[None, :] for part in other.tail)
    dx, dy = cx + (ux - cx) * reach, cy + (uy - cy) * reach

    def turn(px: Floats, py: Floats, qx: Floats, qy: Floats, rx: Floats, ry: Floats) -> Floats:
        found: Floats = (qx - px) * (ry - py) - (qy - py) * (rx - px)
        return found

    with np.errstate(invalid="ignore"):
        apart_1 = turn(ax, ay, bx, by, cx, cy) * turn(ax, ay, bx, by, dx, dy) < 0
        apart_2 = turn(cx, cy, dx, dy, ax, ay) * turn(cx, cy, dx, dy, bx, by) < 0
    return (apart_1 & apart_2).astype(float)


def total(costs: Costs, shape: tuple[int, ...]) -> Floats:
    """The sum of all costs."""
    found = np.zeros(shape)
    for values in costs.values():
        found = found + values
    return found
