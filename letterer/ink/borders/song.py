"""A sung voice: a border that swells slowly, with notes on it, clear of the words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Affine, Box, Path, Point, Segment, polygon
from letterer.ink.borders.protocol import Notes, Pen, Reach
from letterer.ink.borders.track import Track
from letterer.ink.borders.waves import Waves
from letterer.ink.halo import halo_path

PLACES_DEGREES = (222.0, 38.0, 318.0, 142.0)
"""Where notes may stand round the oval, clockwise from the right, the best first: at the upper
left, where reading begins, and at the lower right, where it ends."""

STEPS_OUTWARD = 12


class Song(Waves):
    """A sung voice: slow swells, a note by the beginning of the words and two by their end."""

    def __init__(self) -> None:
        super().__init__(
            craft.SONG_WAVE_EM, craft.SONG_HEIGHT_EM, craft.SONG_UNEVEN, craft.SONG_WAVES_LEAST,
            "taper",
        )  # fmt: skip

    def reach(self, size: float, round_em: float = math.inf) -> Reach:
        """The notes, which stand on the border."""
        most = craft.SONG_NOTE_REACH_EM * size
        return Reach(most, most, most)

    def height(self, round_em: float) -> float:
        """Lower swells for smaller balloons."""
        return craft.SONG_HEIGHT_EM * min(round_em / craft.SONG_ROUND_USUAL_EM, 1.0)

    def notes(
        self, oval: Oval, pen: Pen, words: Sequence[Box], tails: Sequence[Point]
    ) -> Notes | None:
        """Two notes on the border, clear of the words and of the roots of tails."""
        track = Track(oval)
        chance = pen.chance("notes")
        room = (craft.SONG_NOTE_EM + craft.SONG_NOTE_CLEAR_EM) * pen.size
        free = []
        for degrees in PLACES_DEGREES:
            turn = math.radians(degrees)
            aim = oval.center.shifted(oval.a * math.cos(turn), oval.b * math.sin(turn))
            arc = track.arc_toward(aim)
            if all(track.point(arc).distance(root) > room for root in tails):
                free.append(arc)
        small = track.length < craft.SONG_ONE_NOTE_EM * pen.size
        shapes = (_EIGHTH,) if small else (_EIGHTH, _PAIR)
        ink: list[Segment] = []
        ground: list[Segment] = []
        for arc, shape in zip(free, shapes, strict=False):
            tilt = craft.SONG_NOTE_TILT * (pen.life * (2 * chance.random() - 1))
            place = _place(track, arc, shape.ink, tilt, pen, words)
            ink += shape.ink.mapped(place).segments
            ground += shape.ground.mapped(place).segments
        return Notes(Path(tuple(ink)), halo_path([Path(tuple(ground))])) if ink else None


def _place(
    track: Track, arc: float, shape: Path, tilt: float, pen: Pen, words: Sequence[Box]
) -> Affine:
    """Where a note stands on the border at an arc length: as far out as the words ask."""
    size = craft.SONG_NOTE_EM * pen.size
    c, s = size * math.cos(math.radians(tilt)), size * math.sin(math.radians(tilt))
    clear = craft.SONG_NOTE_CLEAR_EM * pen.size
    middle = track.point(arc)
    away = track.outward(arc, 1.0)
    for step in range(STEPS_OUTWARD + 1):
        off = craft.SONG_NOTE_OUT_EM * pen.size + step * size / STEPS_OUTWARD
        place = Affine(c, s, -s, c, middle.x + away.x * off, middle.y + away.y * off)
        box = shape.mapped(place).box()
        assert box is not None
        if not any(box.grown(clear).meets(word) for word in words):
            break
    return place


def _head(x: float, y: float) -> tuple[Segment, ...]:
    """A note's head: an ellipse that leans."""
    long, short, lean = 0.205, 0.145, math.radians(-24)
    k = 0.5523
    circle = (
        ((1, 0), (1, k), (k, 1), (0, 1)),
        ((0, 1), (-k, 1), (-1, k), (-1, 0)),
        ((-1, 0), (-1, -k), (-k, -1), (0, -1)),
        ((0, -1), (k, -1), (1, -k), (1, 0)),
    )

    def at(u: float, v: float) -> Point:
        u, v = u * long, v * short
        return Point(
            x + u * math.cos(lean) - v * math.sin(lean), y + u * math.sin(lean) + v * math.cos(lean)
        )

    steps = [Segment("C", tuple(at(*point) for point in arc[1:])) for arc in circle]
    return (Segment("M", (at(1, 0),)), *steps, Segment("Z"))


def _bar(*corners: tuple[float, float]) -> tuple[Segment, ...]:
    return polygon(Point(x, y) for x, y in corners).segments


def _eighth() -> Notes:
    """A note with a flag, around (0, 0), one unit high; contours overlap and turn one way.

    The ground fills the space under the flag.
    """
    flag = (
        Segment("M", (Point(0.02, -0.5),)),
        Segment("L", (Point(0.08, -0.5),)),
        Segment("C", (Point(0.12, -0.3), Point(0.42, -0.22), Point(0.3, 0.16))),
        Segment("C", (Point(0.33, -0.08), Point(0.17, -0.14), Point(0.05, -0.18))),
        Segment("Z"),
    )
    stem = _bar((0.01, -0.5), (0.085, -0.5), (0.085, 0.34), (0.01, 0.34))
    note = Path((*_head(-0.105, 0.35), *stem, *flag))
    under_flag = _bar((0.05, -0.5), (0.35, -0.1), (0.31, 0.14), (0.05, 0.3))
    return Notes(note, Path((*note.segments, *under_flag)))


def _pair() -> Notes:
    """Two notes under one beam; the ground fills the space between their stems."""
    left = _bar((-0.225, -0.36), (-0.15, -0.36), (-0.15, 0.36), (-0.225, 0.36))
    right = _bar((0.375, -0.46), (0.45, -0.46), (0.45, 0.26), (0.375, 0.26))
    beam = _bar((-0.225, -0.4), (0.45, -0.5), (0.45, -0.31), (-0.225, -0.21))
    note = Path((*_head(-0.34, 0.37), *_head(0.26, 0.27), *left, *right, *beam))
    between = _bar((-0.225, -0.4), (0.45, -0.5), (0.45, 0.26), (-0.225, 0.36))
    return Notes(note, Path((*note.segments, *between)))


_EIGHTH = _eighth()
_PAIR = _pair()

SONG = Song()
