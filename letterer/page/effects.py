"""Sound effects as they are drawn: their letters bent, outlined, shadowed, and put in their place.

The letters are set straight in em (`fit.effect_letters`), carried through maps (`ink.effect`), and
bent at their true size (`ink.warp`). Outlines are strokes of the bent letters; each letter with its
own lies over or under its neighbour as a layer of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.fit.candidates import Candidate
from letterer.fit.effect import fit_effect
from letterer.fit.effect_letters import Letter, Letters, Rhythm, effect_letters
from letterer.fit.measure import MeasuredWords
from letterer.geometry import Affine, Box, Path, Point, union_box
from letterer.ink.effect import (
    folds,
    scaled,
    stroked_box,
    swept,
    without_slivers,
)
from letterer.ink.effect_line import Line, bezier_line
from letterer.ink.halo import halo_path
from letterer.ink.pockets import pockets, without_counters
from letterer.ink.warp import Map, bent, dense_points, nearest_points, points_of
from letterer.model.effect import Effect, LettersOn
from letterer.model.plan import Center, Fill
from letterer.page.effect_maps import corners_map, free_map, path_map
from letterer.page.lettered import Finding, Layer, PlacedUnit, Severity, Stroke
from letterer.page.spots import anchored

if TYPE_CHECKING:
    from letterer.page.unit import Job

SKETCH_EM = 0.004
"""How near the points lie that a size is found by."""

SIZE_TRIES = 12
SIZE_SLACK = 1e-4
"""An effect that could be larger by less than this share fills its box."""

STRETCH_TRIES = 24
SPACINGS_MOST = 24
SPACING_EM = 0.03
"""Letters that turn are set apart in steps of this."""

SPACING_SHARE, SPACING_ENOUGH_EM = 0.8, 0.06
"""Letters that turn stay apart by this share of what parts them on a straight line, or enough."""

SIZE_LEAST = 1.0
ALIKE = 1e-9
OVER_LEAST = 1e-6
"""Points by which what is drawn may leave its box before it is told: the last digits' noise."""

NOWHERE = Box(0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class DrawnEffect(Candidate):
    """A sound effect ready to be put in its place; its middle is (0, 0), lengths in points.

    `letters` are (number of the line, outline) as they are read; `below` is what lies under all of
    them, `over` each letter with its own outlines, where it has any. `bounds` holds it all.
    """

    letters: tuple[tuple[int, Path], ...] = ()
    below: tuple[Layer, ...] = ()
    over: tuple[Layer, ...] = ()
    bounds: Box = NOWHERE
    color: str = "#000000"

    @property
    def ink(self) -> Box:
        """The box of the letters."""
        return _around(path for _, path in self.letters)


def _still(letter: Letter, size: float, taller: float) -> Map:
    """No map yet."""
    return scaled(size, size)


@dataclass(frozen=True, slots=True)
class _Sketch:
    """The letters and the map that each goes through, at a size still open.

    `through` takes a letter, a size in points and a share by which letters are taller.
    """

    words: MeasuredWords
    letters: Letters
    effect: Effect
    through: Callable[[Letter, float, float], Map]

    def box(self, size: float, taller: float) -> Box:
        """The box of the letters, to within a hair."""
        found = [
            self.through(letter, size, taller)(points_of(letter.path, SKETCH_EM))
            for letter in self.letters.letters
        ]
        points = np.concatenate(found)
        low, high = points.min(axis=0), points.max(axis=0)
        return Box(*map(float, (*low, *high)))

    def drawn(self, size: float, taller: float = 1.0) -> tuple[tuple[int, Path], ...]:
        """The letters, bent."""
        return tuple(
            (letter.line, bent(letter.path, self.through(letter, size, taller)))
            for letter in self.letters.letters
        )

    def folded(self, size: float, taller: float, least: float) -> bool:
        """Whether the letters fold over themselves anywhere, or are squeezed below a share."""
        return any(
            folds(self.through(letter, size, taller), points_of(letter.path, SKETCH_EM), least)
            for letter in self.letters.letters
        )


class _Sized(NamedTuple):
    """A sketch with its size in points, how much taller its letters are, and what is to be told."""

    sketch: _Sketch
    size: float
    taller: float
    findings: list[Finding]


def families_of(job: Job) -> tuple[str, ...]:
    """The faces that a unit's words are set in; a sound effect may name its own. Raises
    LettererError where there is none so called."""
    effect = job.placement.effect
    if job.setting.kind != "effect" or effect is None or effect.face is None:
        return job.setting.families
    try:
        job.faces.face(effect.face)
    except LettererError as error:
        file, page = job.layout.file, job.plan.number
        raise LettererError(
            *(Fault(f.what, f.mend, file, page=page, unit=job.unit.id) for f in error.faults)
        ) from None
    return (effect.face, *job.setting.families)


def idle_effect(job: Job) -> list[Finding]:
    """A finding where the plan draws a sound effect of a unit that is none."""
    if job.placement.effect is None:
        return []
    what = f'its placement has an "effect", and it is drawn as {job.setting.kind}'
    mend = 'Take "effect" out, or say "kind": "effect"'
    return [job.finding(Severity.NOTE, "effect unused", what, mend)]


def set_effect(
    job: Job, words: MeasuredWords, effect: Effect
) -> tuple[DrawnEffect, Point, list[Finding]]:
    """A sound effect drawn as the plan says, where its middle stands, and what is to be told."""
    rhythm = Rhythm(effect.sizes, effect.jump, effect.tilt, effect.overlap, effect.level)
    breaks, findings = _breaks(job, words)
    letters = effect_letters(words, rhythm, job.identity, breaks)
    spot = job.placement.spot
    room = (spot.box.width, spot.box.height) if isinstance(spot, Fill) else None
    sized = _sized(job, words, letters, room)
    made = _held(job, sized, room)
    findings += [*sized.findings, *_findings(job, sized, made)]
    middle = made.bounds.center
    if effect.path or effect.corners:
        place = middle
    elif isinstance(spot, Center):
        place = spot.at.shifted(middle.x - made.ink.center.x, middle.y - made.ink.center.y)
    else:
        frame = made.bounds.shifted(-middle.x, -middle.y)
        place = anchored(spot, frame, job.panel, replace(job.layout, style=job.style))
    return _moved(made, -middle.x, -middle.y), place, findings


def _sized(
    job: Job, words: MeasuredWords, letters: Letters, room: tuple[float, float] | None
) -> _Sized:
    """How the letters go, and at what size. Where the plan leaves it open, they are bent as long as
    that keeps their shape, and stand upright on a tight wave or turn on another tight line."""
    asked = job.placement.effect
    assert asked is not None
    ways: list[LettersOn] = ["bent", "upright" if asked.wave else "turned"]
    tries = [asked] if asked.letters else [replace(asked, letters=way) for way in ways]
    for effect in tries:
        sized = _sketched(job, _Sketch(words, letters, effect, _still), room)
        sketch, size, taller, _ = sized
        if effect is tries[-1] or not sketch.folded(size, taller, craft.EFFECT_SQUEEZE_LEAST):
            break
    if effect.letters == "turned":
        for _ in range(SPACINGS_MOST):
            wider = _spread(letters, sized)
            if wider is None:
                break
            sized = _sketched(job, replace(sized.sketch, letters=wider), room)
    return sized


def _sketched(job: Job, sketch: _Sketch, room: tuple[float, float] | None) -> _Sized:
    """The map for some letters, and their size."""
    letters, effect = sketch.letters, sketch.effect
    size, taller = job.placement.size or craft.EFFECT_SIZE_POINTS, 1.0
    findings: list[Finding] = []
    if effect.path:
        line = bezier_line(effect.path)
        sketch = replace(sketch, through=path_map(letters, effect, line))
        size, findings = _size_on(job, effect, letters, line)
    elif effect.corners:
        through, size = corners_map(letters, effect)
        sketch = replace(sketch, through=through)
    else:
        sketch = replace(sketch, through=free_map(letters, effect))
        if room is not None:
            size, taller = _filling(sketch, room)
    return _Sized(sketch, size, taller, findings)


def _spread(straight: Letters, sized: _Sized) -> Letters | None:
    """Letters that turn with their line set farther apart where they come nearer than on a straight
    line, as in a bowl; None where none do."""
    sketch, size, taller, _ = sized
    plain = sorted(straight.letters, key=lambda letter: (letter.line, letter.middle))
    now = sorted(sketch.letters.letters, key=lambda letter: (letter.line, letter.middle))
    turned = [
        sketch.through(letter, size, taller)(dense_points(letter.path, SPACING_EM)) / size
        for letter in now
    ]
    flat = [dense_points(letter.path, SPACING_EM) for letter in plain]
    shifts: list[float] = []
    shift, found = 0.0, False
    for at, letter in enumerate(now):
        if at and letter.line == now[at - 1].line:
            wanted = nearest_points(flat[at - 1], flat[at]) * SPACING_SHARE
            wanted = min(wanted, SPACING_ENOUGH_EM)
            if nearest_points(turned[at - 1], turned[at]) < wanted - SPACING_EM / 10:
                shift, found = shift + SPACING_EM, True
        else:
            shift = 0.0
        shifts.append(shift)
    if not found:
        return None
    last = {letter.line: moved for letter, moved in zip(now, shifts, strict=True)}
    most = max(last.values())
    moved = [
        letter.moved(by + (most - last[letter.line]) / 2)
        for letter, by in zip(now, shifts, strict=True)
    ]
    moved.sort(key=lambda letter: (letter.line, letter.char))
    return replace(sketch.letters, letters=tuple(moved), width=sketch.letters.width + most)


def _held(job: Job, sized: _Sized, room: tuple[float, float] | None) -> DrawnEffect:
    """The letters drawn; where they are to fill a room, all that is drawn is held within it, and
    touches two of its sides.

    Letters scale and lines keep their weights, so what is left for the letters is known from a
    drawing of another size, but for mitres and other corners: these are found by drawing again.
    """
    sketch, size, taller, _ = sized
    letters = sketch.drawn(size, taller)
    made = _inked(job, sketch, letters, size)
    if room is None:
        return made
    for _ in range(SIZE_TRIES):
        ink, bounds = made.ink, made.bounds
        sides = ((ink.width, bounds.width, room[0]), (ink.height, bounds.height, room[1]))
        share = min(most / whole for _, whole, most in sides)
        if 1 - ALIKE <= share <= 1 + SIZE_SLACK or (share < 1 and made.size <= SIZE_LEAST):
            break
        better = min((most - (whole - inner)) / inner for inner, whole, most in sides)
        better = max(made.size * better * (1 - ALIKE), SIZE_LEAST)
        drawn = tuple(
            (row, path.mapped(Affine(a=better / size, d=better / size))) for row, path in letters
        )
        made = _inked(job, sketch, drawn, better)
    over = [made.bounds.width - room[0], made.bounds.height - room[1]]
    wide, high = (max(more, 0.0) if more > OVER_LEAST else 0.0 for more in over)
    return replace(made, overflow=(wide, high))


def _findings(job: Job, sized: _Sized, made: DrawnEffect) -> list[Finding]:
    """What a person should know of how it came out."""
    found: list[Finding] = []
    if not made.fits:
        what = "its outlines and shadow leave the letters no room in their box"
        mend = "Make them lighter, or the box larger"
        found.append(job.finding(Severity.PROBLEM, "does not fit", what, mend))
    if sized.sketch.folded(made.size, sized.taller, 0.0):
        what = "its letters fold over themselves where their line bends too tightly"
        mend = 'Bend it less, make the letters smaller, or say "letters": "turned" or "upright"'
        found.append(job.finding(Severity.WARNING, "letters fold", what, mend))
    if sized.sketch.effect.clip and job.panel is None:
        what = "there is no panel in the plan to cut it off"
        mend = f'Add panel {job.unit.panel} to the layout, or take "clip" out'
        found.append(job.finding(Severity.NOTE, "nothing to clip", what, mend))
    return found


def _breaks(job: Job, words: MeasuredWords) -> tuple[tuple[int, ...] | None, list[Finding]]:
    """Where the lines that the plan gives end; a finding where they are no longer the words'."""
    planned = job.placement.breaks
    breaks = words.breaks_at(planned) if planned else None
    if not planned or breaks is not None:
        return breaks, []
    what = "its words are no longer those of its planned lines, so they stand on one"
    mend = 'Take "breaks" out of its placement, or write the new lines there'
    return None, [job.finding(Severity.WARNING, "breaks gone", what, mend)]


def inked_effect(job: Job, drawn: DrawnEffect, place: Point) -> PlacedUnit:
    """A sound effect on its page."""
    placed = _moved(drawn, *place)
    effect = job.placement.effect
    clip = job.panel.shape if effect and effect.clip and job.panel else None
    ink, box = placed.ink, placed.bounds
    if clip is not None and job.panel is not None:
        ink, box = _within(ink, job.panel.box), _within(box, job.panel.box)
    rows = range(len(drawn.lines))
    lines = ([path for number, path in placed.letters if number == row] for row in rows)
    return PlacedUnit(
        id=job.unit.id,
        kind=job.setting.kind,
        words=job.unit.words,
        speaker=job.unit.speaker,
        panel=job.unit.panel,
        size=drawn.size,
        lines=tuple(_joined(paths) for paths in lines),
        breaks=tuple(line.words for line in drawn.lines),
        ink=ink,
        box=box,
        color=drawn.color,
        overflow=drawn.overflow,
        planned_size=job.placement.size or drawn.size,
        extras=placed.below,
        clip=clip,
        letters=placed.over,
    )


def _size_on(job: Job, effect: Effect, letters: Letters, line: Line) -> tuple[float, list[Finding]]:
    """The size on a path: what the plan says; or as large as the path is long, where that leaves a
    short word not too tall for it."""
    most = max((line.length - 2 * effect.reach) / letters.width, SIZE_LEAST)
    asked = job.placement.size
    usual = min(most, craft.EFFECT_PATH_CAPS_MOST * line.length / letters.cap)
    size = min(asked or usual, most, craft.SIZE_MOST)
    findings: list[Finding] = []
    if asked is not None and size < asked - 1e-9:
        what = f"set at {size:.3g} pt instead of {asked:g} pt, since its path is no longer"
        findings.append(job.finding(Severity.NOTE, "shrunk", what))
    if size < min(job.style.smallest_size, asked or math.inf):
        what = f"its path is so short that the letters are {size:.3g} pt"
        mend = "Make the path longer, or the words fewer"
        findings.append(job.finding(Severity.PROBLEM, "does not fit", what, mend))
    return size, findings


# --- Size ---------------------------------------------------------------------------------------


def _filling(sketch: _Sketch, room: tuple[float, float]) -> tuple[float, float]:
    """The size at which a sound effect fills a room, and how much taller its letters are then."""
    effect = sketch.effect
    shadow = effect.shadow.by if effect.shadow else Point(0.0, 0.0)
    halo = effect.halo or 0.0
    fixed = 2 * (effect.reach + halo)
    wide, high = room[0] - fixed - abs(shadow.x), room[1] - fixed - abs(shadow.y)
    soft = 2 * craft.EFFECT_HALO_EM if _own_halo(effect) else 0.0

    def sizes(taller: float) -> tuple[float, float]:
        box = sketch.box(1.0, taller)
        return wide / (box.width + soft), high / (box.height + soft)

    low, high_most = 1 / effect.stretch, effect.stretch
    if effect.stretch > 1.0:
        for _ in range(STRETCH_TRIES):
            middle = math.sqrt(low * high_most)
            across, down = sizes(middle)
            if across < down:
                low = middle
            else:
                high_most = middle
    taller = math.sqrt(low * high_most) if effect.stretch > 1.0 else 1.0
    return max(min(sizes(taller)), SIZE_LEAST), taller


def _own_halo(effect: Effect) -> bool:
    """Whether the usual halo is drawn, by the size of the letters: the plan says nothing of one,
    and no outline or shadow parts the letters from the art."""
    return effect.halo is None and not effect.outlines and effect.shadow is None


# --- Layers -------------------------------------------------------------------------------------


def _inked(
    job: Job, sketch: _Sketch, letters: tuple[tuple[int, Path], ...], size: float
) -> DrawnEffect:
    """The letters at a size with all that lies beneath them, where the maps put them."""
    effect, style = sketch.effect, job.style

    def color(name: str) -> str:
        return {"ink": style.ink, "paper": style.paper}.get(name, name)

    fill = color(effect.fill or ("paper" if effect.outlines else "ink"))
    paths = [path for _, path in letters]
    whole = halo_path(paths)
    reach = effect.reach
    below: list[Layer] = []
    shadow: Path | None = None
    if effect.shadow is not None:
        by = effect.shadow.by
        shadow = _joined([swept(path, by) for path in paths]) if effect.shadow.block else None
        shadow = shadow or whole.shifted(*by)
    mitred = bool(effect.outlines) and effect.outlines[-1].join == "mitred"
    halo = craft.EFFECT_HALO_EM * size if _own_halo(effect) else effect.halo or 0.0
    if halo:
        shape = halo_path(without_slivers(path, reach + halo) for path in paths)
        shape = shape if shadow is None else shape + shadow
        below.append(_rim("halo", shape, reach + halo, style.paper))
    if shadow is not None and effect.shadow is not None:
        below.append(_rim("shadow", shadow, reach, color(effect.shadow.color), mitred))
    reaches = accumulate(one.weight for one in effect.outlines)
    own: list[tuple[float, str, bool]] = []
    for outline, far in reversed(list(zip(effect.outlines, reaches, strict=True))):
        sharp = outline.join == "mitred"
        if outline.around == "words":
            shape = halo_path(without_slivers(path, far) for path in paths)
            below.append(_rim("rim", shape, far, color(outline.color), sharp))
        else:
            own.append((far, color(outline.color), sharp))
    over: list[Layer] = []
    if own:
        for _, path in letters if effect.over == "later" else reversed(letters):
            outline_path = halo_path([path])
            over += [_rim("rim", outline_path, *one) for one in own]
            over.append(Layer("line", path, fill))
    if reach + halo or shadow is not None:
        # What is shut in takes the colour of what lies around it.
        around = "paper"
        if not halo:
            around = effect.shadow.color if effect.shadow else effect.outlines[-1].color
        shapes = [whole, shadow] if shadow else [without_counters(path) for path in paths]
        wide = craft.EFFECT_SHADOW_POCKET_CAPS if shadow else craft.EFFECT_POCKET_CAPS
        filled = pockets(shapes, reach + halo, wide * sketch.words.cap * size)
        if filled:
            below.insert(0, Layer("ground", filled, color(around)))
    boxes = [_around(paths), *(_layer_box(layer) for layer in (*below, *over))]
    bounds = union_box(box for box in boxes if box)
    assert bounds is not None
    lines = fit_effect(sketch.words, size, None, sketch.letters.breaks).lines
    half = Point(bounds.width / 2, bounds.height / 2)
    return DrawnEffect(
        lines,
        Box(-half.x, -half.y, half.x, half.y),
        size,
        sketch.letters.breaks,
        (),
        letters=letters,
        below=tuple(below),
        over=tuple(over),
        bounds=bounds,
        color=fill,
    )


def _rim(part: str, path: Path, reach: float, color: str, mitred: bool = False) -> Layer:
    """A shape that reaches so far beyond a path, all in one colour."""
    stroke = Stroke(2 * reach, color, None, mitred) if reach > 0 else None
    return Layer(part, path, color, stroke)


def _layer_box(layer: Layer) -> Box | None:
    stroke = layer.stroke
    if stroke is None:
        return layer.path.box()
    return stroked_box(layer.path, stroke.width / 2, stroke.mitred)


def _moved(drawn: DrawnEffect, dx: float, dy: float) -> DrawnEffect:
    return replace(
        drawn,
        letters=tuple((row, path.shifted(dx, dy)) for row, path in drawn.letters),
        below=tuple(layer.shifted(dx, dy) for layer in drawn.below),
        over=tuple(layer.shifted(dx, dy) for layer in drawn.over),
        bounds=drawn.bounds.shifted(dx, dy),
    )


def _joined(paths: Sequence[Path]) -> Path:
    return Path(tuple(segment for path in paths for segment in path.segments))


def _around(paths: Iterable[Path]) -> Box:
    box = union_box(box for path in paths if (box := path.box()))
    assert box is not None
    return box


def _within(box: Box, panel: Box) -> Box:
    """The part of a box that shows in a panel; the box itself where none does."""
    return box.common(panel) if box.meets(panel) else box
