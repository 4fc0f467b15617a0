"""How well places are proposed: 300 drawn scenes to tune on, 300 that are never tuned on.

    python tests/benchmarks/placement.py            # makes PLACEMENT.md beside this file
    python tests/benchmarks/placement.py --few 20   # a quick look at the first scenes

Scenes and their line art are made here, by a fixed generator: hatching, figures and scribbles drawn
with Pillow, since no collection of clip art may be taken for granted. Compared with: *top-left*
(each unit in turn at the first free place from the top, in the way of reading), *corners first*
(the same, but corners and edges are tried before), and *annealing* (the same costs and places,
single moves, geometric cooling; Christensen, Marks & Shieber, 1995, found it the best of simple
ways).
"""

from __future__ import annotations

import argparse
import itertools
import json
import math
import random
import statistics
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageDraw

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Point
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Layout
from letterer.model.script import Script
from letterer.model.script_reader import parse_script
from letterer.place.bodies import BOX_POWER
from letterer.place.ground import Picture
from letterer.place.order import read_in_order
from letterer.place.polishing import Standing, polished
from letterer.place.problem import Problem, best_of
from letterer.place.proposing import costs_of, no_room, proposals
from letterer.place.scene import Scene, Sitter, scenes_of
from letterer.place.solving import cost_of
from letterer.review.shapes import Polygon, common, corners, oval_points, polygons
from letterer.text.faces import library

HERE = Path(__file__).resolve().parent
SCENES = 300
PIXELS = 2
"""Pixels a point of the drawn art."""

STORY = (
    "the a old harbour bell rings twice tonight and nobody listens so we wait here for rain then "
    "walk home slowly past the mill where lamps still burn because someone must keep watch until "
    "morning comes back over quiet hills with its carts geese bread smoke and every small noise "
    "that says yes no never perhaps look run stop what why who listen"
)
WORDS = STORY.split()
NAMES = ("ADA", "BRAM", "CLEO")
EFFECTS = ("CRACK", "THUD", "SPLOSH")


@dataclass
class Drawn:
    """One scene: a script and a layout of one page, with its art."""

    number: int
    script: Script
    layout: Layout
    picture: Picture


def sentence(chance: random.Random, least: int, most: int) -> str:
    """Some words of no meaning."""
    words = [chance.choice(WORDS) for _ in range(chance.randint(least, most))]
    return " ".join(words).capitalize() + chance.choice(".!?")


def scene(number: int, held_out: bool = False) -> Drawn:
    """The scene of a number; those held out are drawn by another chance."""
    chance = random.Random(f"placement {'held out' if held_out else 'tuned'} {number}")
    width, height = 477.0, 738.0
    panels = _panels(chance, width, height)
    total = chance.randint(1, 8)
    image = Image.new("L", (round(width * PIXELS), round(height * PIXELS)), 255)
    pen = ImageDraw.Draw(image)
    shares = [0] * len(panels)
    for _ in range(total):
        shares[chance.randrange(len(panels))] += 1
    told, plans = ["PAGE 1"], []
    zones: list[dict[str, Any]] = []
    points: list[dict[str, Any]] = []
    for place, (box, count) in enumerate(zip(panels, shares, strict=True), 1):
        told.append(f"PANEL {place}")
        mouths = _draw(pen, box, chance, zones, points, place)
        plans.append({"panel": place, "box": [*box[:2], box.width, box.height], "mouths": mouths})
        told += _written(chance, count, list(mouths), any(p["panel"] == place for p in points))
    keys = {
        "letterer": 1,
        "unit": "pt",
        "page": {"trim": [width, height], "bleed": 9, "live": 18},
        "reading": "right to left" if chance.random() < 0.25 else "left to right",
        "language": "en",
        "pages": [
            {
                "page": 1,
                "panels": plans,
                "keep_clear": zones,
                "focus": [{"name": p["name"], "at": p["at"]} for p in points],
                "placements": [],
            }
        ],
    }
    script = parse_script("\n\n".join(told) + "\n")
    layout = parse_layout(json.dumps(keys), "scene.json", HERE)
    return Drawn(number, script, layout, Picture(image, Box(0.0, 0.0, width, height)))


def _panels(chance: random.Random, width: float, height: float) -> list[Box]:
    """One to six panels in rows."""
    wanted = chance.randint(1, 6)
    rows = {1: [1], 2: [1, 1], 3: [1, 2], 4: [2, 2], 5: [2, 1, 2], 6: [2, 2, 2]}[wanted]
    chance.shuffle(rows)
    margin, gutter = 22.0, 10.0
    high = (height - 2 * margin - gutter * (len(rows) - 1)) / len(rows)
    found = []
    for row, count in enumerate(rows):
        cut = chance.uniform(0.4, 0.6)
        top = margin + row * (high + gutter)
        inner = width - 2 * margin - gutter * (count - 1)
        sides = [inner] if count == 1 else [inner * cut, inner * (1 - cut)]
        left = margin
        for side in sides:
            found.append(
                Box(round(left, 2), round(top, 2), round(left + side, 2), round(top + high, 2))
            )
            left += side + gutter
    return found


def _draw(
    pen: ImageDraw.ImageDraw,
    box: Box,
    chance: random.Random,
    zones: list[dict[str, Any]],
    points: list[dict[str, Any]],
    panel: int,
) -> dict[str, list[float]]:
    """Line art in a panel; gives the mouths, and adds faces and focus points."""
    scale = PIXELS

    def line(places: Sequence[tuple[float, float]], weight: int = 2) -> None:
        pen.line([(x * scale, y * scale) for x, y in places], fill=0, width=weight)

    pen.rectangle([value * scale for value in box], outline=0, width=3)
    for _ in range(chance.randint(0, 3)):  # hatched and scribbled patches
        left, top = (
            chance.uniform(box.left, box.right - 30),
            chance.uniform(box.top, box.bottom - 30),
        )
        right, bottom = (
            min(left + chance.uniform(30, box.width / 2), box.right),
            min(top + chance.uniform(30, box.height / 2), box.bottom),
        )
        if chance.random() < 0.6:
            step = chance.uniform(2.5, 6)
            for k in range(int((right - left) / step)):
                x = left + k * step
                line([(x, top), (min(x + 8, right), bottom)], 1)
        else:
            line([(chance.uniform(left, right), chance.uniform(top, bottom)) for _ in range(25)], 1)
    mouths: dict[str, list[float]] = {}
    figures = min(chance.randint(1, 3), max(int(box.width // 75), 1))
    for k, name in enumerate(NAMES[:figures]):
        radius = min(chance.uniform(14, 26), box.width / figures / 3, box.height / 7)
        x = box.left + box.width * (k + chance.uniform(0.4, 0.6)) / figures
        y = box.top + box.height * chance.uniform(0.5, 0.72)
        pen.ellipse(
            [value * scale for value in (x - radius, y - radius, x + radius, y + radius)],
            outline=0, width=3, fill=255,
        )  # fmt: skip
        for side in (-0.4, 0.4):
            line([(x + side * radius - 2, y - 3), (x + side * radius + 2, y - 3)], 4)
        line([(x - 4, y + radius * 0.5), (x + 4, y + radius * 0.5)], 3)
        low = min(y + radius * 4, box.bottom)
        line([(x, y + radius), (x - radius, low)], 3)
        line([(x, y + radius), (x + radius, low)], 3)
        mouths[name] = [round(x, 2), round(y + radius * 0.5, 2)]
        if chance.random() < 0.85:  # some people forget a zone
            zones.append(
                {
                    "name": f"{name.title()}'s face {panel}",
                    "box": [round(v, 2) for v in (x - radius, y - radius, 2 * radius, 2 * radius)],
                }
            )  # fmt: skip
    if chance.random() < 0.5:
        at = [
            round(chance.uniform(box.left + 15, box.right - 15), 2),
            round(chance.uniform(box.top + box.height * 0.3, box.bottom - 15), 2),
        ]
        points.append({"name": f"the thing {panel}", "at": at, "panel": panel})
        for turn in range(8):
            angle = turn * math.pi / 4
            line([tuple(at), (at[0] + 9 * math.cos(angle), at[1] + 9 * math.sin(angle))], 2)  # type: ignore[list-item]
    return mouths


def _written(chance: random.Random, count: int, speakers: list[str], sound: bool) -> list[str]:
    told = []
    for place in range(count):
        roll = chance.random()
        if place == 0 and roll < 0.2:
            told.append(f"CAPTION: {sentence(chance, 4, 12)}")
        elif sound and roll > 0.92:
            told.append(f"SFX: {chance.choice(EFFECTS)}")
            sound = False
        else:
            manner = " (whisper)" if roll > 0.84 else ""
            told.append(f"{chance.choice(speakers)}{manner}: {sentence(chance, 1, 14)}")
    return told


# --- What is measured -----------------------------------------------------------------------------


def outline(sitter: Sitter, place: tuple[int, float, float, Any]) -> list[Polygon]:
    """A body as a polygon."""
    body, at = sitter.bodies[place[0]], Point(place[1], place[2])
    if body.n >= BOX_POWER:
        return [corners(Box(at.x - body.a, at.y - body.b, at.x + body.a, at.y + body.b))]
    return [oval_points(Oval(at, body.a, body.b, body.n))]


@dataclass
class Tally:
    """What one way to place did over many panels."""

    panels: int = 0
    overlaps: int = 0
    covered: int = 0
    avoidable: int = 0
    disorder: int = 0
    outside: int = 0
    crossed: int = 0
    reach: float = 0.0
    costs: list[float] = field(default_factory=list)
    faulty: int = 0


def measure(tally: Tally, scene: Scene, standing: Standing) -> bool:
    """Add one panel to a tally, by polygons and by the order of the look-over, not by the costs.

    True where a face or a focus is covered.
    """
    bodies = [outline(s, place) for s, place in zip(scene.sitters, standing, strict=True)]
    tally.panels += 1
    tally.overlaps += any(common(a, b) for a, b in itertools.combinations(bodies, 2))
    tally.covered += (covered := covers(scene, bodies))
    frames = [(scene.sitters[k].bodies[body], x, y) for k, (body, x, y, _) in enumerate(standing)]
    tally.outside += any(
        not scene.room.contains(Box(x - b.a, y - b.b, x + b.a, y + b.b), craft.BORDER_SLACK_POINTS)
        for b, x, y in frames
    )
    spoken = [
        Box(x - b.shape_a, y - b.shape_b, x + b.shape_a, y + b.shape_b)
        for s, (b, x, y) in zip(scene.sitters, frames, strict=True)
        if not s.is_effect
    ]
    tally.disorder += not read_in_order(spoken, scene.mirrored)
    tally.reach += reach_of(scene, standing)
    summed, faults = costs_of(scene, standing)
    tally.crossed += any(name == "tails cross" for name, _ in faults)
    tally.costs.append(sum(float(value[0]) for value in summed.values()))
    tally.faulty += bool(faults)
    return covered


def covers(scene: Scene, bodies: Sequence[list[Polygon]]) -> bool:
    """Whether a face is covered by more than the look-over lets pass, or a focus stood upon."""
    for body in bodies:
        for zone in scene.zones:
            shared = common(body, polygons(zone.shape))
            if shared and shared.share >= craft.COVER_SHARE_LEAST:
                return True
        for one in scene.focus:
            if common(body, [corners(Box(*one.at, *one.at).grown(1.0))]):
                return True
    return False


def reach_of(scene: Scene, standing: Standing) -> float:
    """Jumps from words to words, and the way from each balloon's middle to its mouth, in inches."""
    spoken = [
        (s, Point(place[1], place[2]))
        for s, place in zip(scene.sitters, standing, strict=True)
        if not s.is_effect
    ]
    jumps = sum(a.distance(b) for (_, a), (_, b) in itertools.pairwise(spoken))
    mouths = sum(at.distance(s.mouth) for s, at in spoken if s.mouth is not None)
    return (jumps + mouths) / 72


# --- Other ways to do it -----------------------------------------------------------------------


def in_turn(scene: Scene, corners_first: bool) -> Standing:
    """Each unit in turn at the first free place; the first rule given up is that of faces."""
    standing: Standing = []
    made: list[list[Polygon]] = []
    boxes: list[Box] = []
    for sitter in scene.sitters:
        body, room = sitter.bodies[0], scene.room
        xs = _steps(room.left + body.a, room.right - body.a)
        ys = _steps(room.top + body.b, room.bottom - body.b)
        if scene.mirrored:
            xs.reverse()
        places = [(x, y) for y in ys for x in xs]
        if corners_first:
            middle = (xs[0] + xs[-1]) / 2
            edge = [(x, y) for y in (ys[0], ys[-1]) for x in (xs[0], xs[-1], middle)]
            places = edge + places
        best: tuple[int, float, float] | None = None
        for x, y in places:
            shape = outline(sitter, (0, x, y, None))
            box = Box(x - body.shape_a, y - body.shape_b, x + body.shape_a, y + body.shape_b)
            free = not any(common(shape, other) for other in made)
            order = sitter.is_effect or read_in_order([*boxes, box], scene.mirrored)
            faults = 4 * (not free) + 2 * (not order)
            if best is not None and faults >= best[0]:
                continue
            faults += covers(scene, [shape])
            if best is None or faults < best[0]:
                best = faults, x, y
            if faults == 0:
                break
        assert best is not None
        _, x, y = best
        standing.append((0, x, y, None))
        made.append(outline(sitter, standing[-1]))
        if not sitter.is_effect:
            boxes.append(
                Box(x - body.shape_a, y - body.shape_b, x + body.shape_a, y + body.shape_b)
            )
    return standing


def _steps(low: float, high: float, step: float = 10.0) -> list[float]:
    if high <= low:
        return [(low + high) / 2]
    count = max(round((high - low) / step), 1)
    return [low + (high - low) * k / count for k in range(count + 1)]


def annealed(problem: Problem, number: int, moves: int = 1500) -> Standing:
    """Simulated annealing over the same places and costs."""
    chance = random.Random(f"annealing {number}")
    sizes = [len(seats) for seats in problem.seats]
    choice = [chance.randrange(size) for size in sizes]
    cost = cost_of(tuple(choice), problem.single, problem.pairs)
    best, least = tuple(choice), cost
    for move in range(moves):
        heat = 100.0 * (0.02 / 100.0) ** (move / moves)
        i = chance.randrange(len(sizes))
        was, choice[i] = choice[i], chance.randrange(sizes[i])
        new = cost_of(tuple(choice), problem.single, problem.pairs)
        if new <= cost or chance.random() < math.exp((cost - new) / heat):
            cost = new
            if new < least:
                best, least = tuple(choice), new
        else:
            choice[i] = was
    return _standing(problem, best)


def _standing(problem: Problem, choice: tuple[int, ...]) -> Standing:
    return [
        (int(seats.body[at]), float(seats.x[at]), float(seats.y[at]), seats.spots[at])
        for seats, at in zip(problem.seats, choice, strict=True)
    ]


def exhaustive(problem: Problem, most: int = 3_000_000) -> float | None:
    """The least cost of all choices, each looked at; None where they are too many."""
    sizes = [len(seats) for seats in problem.seats]
    if math.prod(sizes) > most:
        return None
    table = np.zeros(sizes)
    for i, own in enumerate(problem.single):
        table += own.reshape([-1 if k == i else 1 for k in range(len(sizes))])
    for (i, j), costs in problem.pairs.items():
        table += costs.reshape([size if k in (i, j) else 1 for k, size in enumerate(sizes)])
    for flat in np.argsort(table, axis=None, kind="stable")[:5000]:
        choice = tuple(int(k) for k in np.unravel_index(int(flat), sizes))
        if problem.in_order(choice):
            return float(table[choice])
    return None


def could_be_clear(scene: Scene) -> bool:
    """Whether a search of all places on a coarse grid finds one where nothing is covered, no words
    overlap, and all is in order."""
    step = 20.0

    def deeper(k: int, made: list[list[Polygon]], boxes: list[Box]) -> bool:
        if k == len(scene.sitters):
            return True
        sitter = scene.sitters[k]
        for number, body in enumerate(sitter.bodies):
            room = scene.room
            for y in _steps(room.top + body.b, room.bottom - body.b, step):
                for x in _steps(room.left + body.a, room.right - body.a, step):
                    shape = outline(sitter, (number, x, y, None))
                    box = Box(
                        x - body.shape_a, y - body.shape_b, x + body.shape_a, y + body.shape_b
                    )
                    new = boxes if sitter.is_effect else [*boxes, box]
                    if (
                        read_in_order(new, scene.mirrored)
                        and not any(common(shape, other) for other in made)
                        and not covers(scene, [shape])
                        and deeper(k + 1, [*made, shape], new)
                    ):
                        return True
        return False

    return deeper(0, [], [])


@dataclass
class Record:
    """All that one set of scenes showed."""

    tallies: dict[str, Tally]
    scenes: int = 0
    units: int = 0
    lacking: int = 0
    proven: int = 0
    gaps: list[float] = field(default_factory=list)
    against: list[float] = field(default_factory=list)
    solving: list[float] = field(default_factory=list)
    whole: list[float] = field(default_factory=list)
    told: int = 0


WAYS = ("letterer", "top-left", "corners first", "annealing")


def run(count: int, held_out: bool) -> Record:
    """Place the words of every scene, all ways."""
    record = Record({way: Tally() for way in WAYS})
    for number in range(count):
        made = scene(number, held_out)
        page = made.layout.pages[0]
        units = made.script.pages[0].units
        found = scenes_of(page, units, (), made.layout, library(), made.picture)
        record.scenes += 1
        if record.scenes % 50 == 0:
            print(f"{record.scenes} scenes\n{table(record)}\n", file=sys.stderr, flush=True)
        record.units += len(units)
        for at in found:
            if no_room(at):
                record.lacking += 1
                continue
            begun = time.process_time()
            problem = Problem(at)
            solved = problem.solved()
            record.solving.append((time.process_time() - begun) * 1000)
            best = proposals(at, 1)[0]
            record.proven += solved.proven
            record.gaps.append(solved.gap)
            standing = standing_of(at, best)
            covered = measure(record.tallies["letterer"], at, standing)
            record.told += bool(best.faults)
            if covered and could_be_clear(at):
                record.tallies["letterer"].avoidable += 1
            measure(record.tallies["top-left"], at, in_turn(at, False))
            measure(record.tallies["corners first"], at, in_turn(at, True))
            measure(record.tallies["annealing"], at, annealed(problem, number))
            if len(at.sitters) <= 3:
                step = craft.PLACE_STEP_POINTS * (1 if len(at.sitters) < 3 else 2.5)
                least = exhaustive(Problem(at, step, 10**6))
                if least is not None and least < craft.PLACE_LEAST_FAULT:
                    record.against.append(best.cost / max(least, 0.05))
    return record


def standing_of(scene: Scene, proposal: Any) -> Standing:
    """Where a proposal puts each unit, as the measures take it."""
    standing: Standing = []
    for sitter in scene.sitters:
        seat = next(one for one in proposal.seats if one.unit == sitter.unit.id)
        number = next(k for k, b in enumerate(sitter.bodies) if b.lines == seat.lines)
        spot = seat.spot if sitter.is_caption else None
        standing.append((number, seat.at.x, seat.at.y, spot))
    return standing


def table(record: Record) -> str:
    """A record in words and a table."""
    lines = [
        "| way | words overlap | face or focus covered | of these avoidable |"
        " read in another order | outside | tails cross |"
        " jumps and mouths, in a panel | cost, median |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for way, tally in record.tallies.items():
        count = max(tally.panels, 1)
        avoidable = str(tally.avoidable) if way == "letterer" else "-"
        lines.append(
            f"| {way} | {tally.overlaps} | {tally.covered} | {avoidable} | {tally.disorder} |"
            f" {tally.outside} | {tally.crossed} | {tally.reach / count:.2f} in |"
            f" {statistics.median(tally.costs):.2f} |"
        )
    ours, greedy = record.tallies["letterer"], record.tallies["top-left"]
    ratio = sorted(record.against)
    within = sum(value <= 1.05 for value in ratio) / max(len(ratio), 1)
    solving = sorted(record.solving)
    lines += [
        "",
        f"{record.scenes} scenes, {record.units} units, {ours.panels} panels with words;"
        f" {record.lacking} panels in which a unit does not go at all, told and left out.",
        f"Jumps and ways to mouths are {1 - ours.reach / greedy.reach:.0%} shorter than with"
        " top-left.",
        f"Proven best among its places: {record.proven} of {ours.panels}; the largest gap"
        f" {max(record.gaps):.3f}. Panels with a fault: {ours.faulty}, each told.",
        f"Against a search of all places ({len(ratio)} panels of up to three units): within 5 % in"
        f" {within:.1%}; the worst {max(ratio):.3f} times the least, the median"
        f" {statistics.median(ratio):.3f}.",
        f"Places compared and solved: median {statistics.median(solving):.0f} ms a panel, 95 of 100"
        f" under {solving[int(len(solving) * 0.95)]:.0f} ms, the slowest {solving[-1]:.0f} ms"
        " of processor time (words set already).",
    ]
    return "\n".join(lines)


def main() -> None:
    """Make the record."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--few", type=int, default=SCENES)
    parser.add_argument("--set", choices=("tuned", "held out", "both"), default="both")
    options = parser.parse_args()
    told = []
    for name, held_out in (("tuned", False), ("held out", True)):
        if options.set in (name, "both"):
            told.append(f"## Scenes {name}\n\n{table(run(options.few, held_out))}\n")
            print(told[-1], flush=True)
    if options.few == SCENES and options.set == "both":
        (HERE / "PLACEMENT.md").write_text(HEAD + "\n".join(told), encoding="utf-8")


HEAD = """# Places proposed, measured

Made by `python tests/benchmarks/placement.py`; what each way is stands at the top of that file. The
second set was drawn by another chance and looked at once, after the costs were settled. A face or a
focus counts as covered by the measure of the look-over (polygons), not by the costs; *avoidable*
are those for which a search of all places on a grid of 20 pt finds a way that covers nothing, with
no words over others and all in order.

"""


if __name__ == "__main__":
    main()
