"""Bent outlines: they keep to the true image, joints and directions stay, lines stay where they
can."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.geometry import Box, Path, Point, Segment, bezier_point, rectangle
from letterer.ink.effect import bent_along, chained, climbing, heightened, scaled, to_corners
from letterer.ink.effect_line import Arc, wave_line
from letterer.ink.warp import TOLERANCE_POINTS, Floats, Map, bent, points_of
from letterer.text.faces import FaceLibrary

EM = 60.0
MAPS: dict[str, Map] = {
    "arc": chained(bent_along(Arc(1.2, 130)), scaled(EM, EM)),
    "bowl": chained(bent_along(Arc(3.0, -90)), scaled(EM, EM)),
    "wave": chained(bent_along(wave_line(1.5, 0.12, 1.0)), scaled(EM, EM)),
    "swelling": chained(heightened((1, 1.8, 1), 0.8, -0.35), scaled(EM, EM)),
    "climbing": chained(climbing(15, True), scaled(EM, EM)),
    "corners": to_corners(
        Box(0, -0.75, 0.8, 0.02), (Point(0, 0), Point(70, -30), Point(80, 60), Point(4, 40))
    ),
}


@pytest.fixture(scope="module")
def letters() -> list[Path]:
    face = FaceLibrary().face("Bangers")
    return [face.outline(face.glyph(char)) for char in "ABKOQRS&?"]


def sampled(path: Path, count: int) -> Iterator[Floats]:
    """Points along each segment at even steps of its parameter, closing lines too."""
    here = start = Point(0, 0)
    for verb, points in path.segments:
        if verb == "M":
            here = start = points[0]
            continue
        chain = (here, *(points or (start,)))
        share = [step / count for step in range(count + 1)]
        if len(chain) == 2:
            yield np.array([chain[0].toward(chain[1], t) for t in share])
        else:
            yield np.array([bezier_point(chain, t) for t in share])
        here = chain[-1]


def lines_of(path: Path) -> list[Floats]:
    """A path as straight lines that stray from it far less than what is tested."""
    return [np.array(ring) for ring in path.flattened(2e-4)]


def farthest(points: Floats, lines: list[Floats]) -> float:
    """How far the farthest of the points lies from the nearest stretch of any of the lines."""
    begin = np.concatenate([line[:-1] for line in lines])
    step = np.concatenate([np.diff(line, axis=0) for line in lines])
    size = np.maximum((step**2).sum(axis=1), 1e-30)
    away = points[:, None] - begin[None]
    share = np.clip((away * step).sum(axis=2) / size, 0, 1)
    off = away - share[..., None] * step
    return float(np.sqrt((off**2).sum(axis=2)).min(axis=1).max())


@pytest.mark.parametrize("name", MAPS)
def test_a_bent_letter_keeps_to_its_true_image(name: str, letters: list[Path]) -> None:
    for letter in letters[::4]:
        image = bent(letter, MAPS[name])
        drawn = list(sampled(image, 40))
        true = [MAPS[name](points) for points in sampled(letter, 400)]
        # Both ways, so that nothing is left out and nothing is drawn beside.
        for one, other in ((true, lines_of(image)), (drawn, true)):
            worst = max(farthest(piece[::13], other) for piece in one)
            assert worst <= TOLERANCE_POINTS, (name, worst)


@pytest.mark.parametrize("name", MAPS)
def test_contours_stay_whole_and_counters_stay_counters(name: str, letters: list[Path]) -> None:
    for letter in letters:
        image = bent(letter, MAPS[name])
        before, after = list(letter.contours()), list(image.contours())
        assert len(before) == len(after)
        for one, other in zip(before, after, strict=True):
            assert math.copysign(1, one.area()) == math.copysign(1, other.area())
            first, last = other.segments[0].points[0], other.segments[-2].points[-1]
            assert other.segments[-1].verb == "Z"
            assert first.distance(last) < 1e-9


def test_an_image_is_the_same_at_every_run(letters: list[Path]) -> None:
    assert [bent(letter, MAPS["wave"]) for letter in letters] == [
        bent(letter, MAPS["wave"]) for letter in letters
    ]


def test_nothing_moves_where_the_map_moves_nothing(letters: list[Path]) -> None:
    for letter in letters:
        image = bent(letter, lambda points: points)
        straight = [step for step in image.segments if step.verb == "L"]
        closing = sum(
            part.segments[-2].points[-1] != part.segments[0].points[0] for part in letter.contours()
        )
        assert len(straight) == closing + sum(step.verb == "L" for step in letter.segments)
        assert image.box() == pytest.approx(letter.box(), abs=1e-9)
        assert image.area() == pytest.approx(letter.area(), abs=1e-9)


def test_lines_stay_lines_in_perspective_and_bend_on_an_arc() -> None:
    box = rectangle(Box(0, -0.7, 0.8, 0))
    assert [step.verb for step in bent(box, MAPS["corners"]).segments] == list("MLLLLZ")
    arc = bent(box, MAPS["arc"])
    assert {step.verb for step in arc.segments} == {"M", "L", "C", "Z"}  # uprights stay straight


@given(
    st.lists(
        st.tuples(st.floats(-30, 30), st.floats(-30, 30)).map(lambda xy: Point(*xy)),
        min_size=3,
        max_size=3,
    ),
    st.floats(0.02, 0.2),
    st.floats(-6, 6),
)
def test_any_curve_through_any_gentle_map(chain: list[Point], pace: float, swing: float) -> None:
    def through(points: Floats) -> Floats:
        return np.stack(
            [points[:, 0] + swing * np.sin(pace * points[:, 1]), points[:, 1] + points[:, 0] / 9],
            axis=1,
        )

    curve = Path((Segment("M", (Point(0, 0),)), Segment("C", tuple(chain))))
    drawn = lines_of(bent(curve, through))
    true = [through(points) for points in sampled(curve, 100)]
    assert max(farthest(piece, drawn) for piece in true) <= TOLERANCE_POINTS


def test_a_finer_tolerance_is_kept_too(letters: list[Path]) -> None:
    for tolerance in (0.1, 1e-3):
        drawn = [
            np.array(ring)
            for ring in bent(letters[3], MAPS["arc"], tolerance).flattened(tolerance / 50)
        ]
        true = [MAPS["arc"](points) for points in sampled(letters[3], 12)]
        assert max(farthest(piece, drawn) for piece in true) <= tolerance


def test_an_empty_path_and_an_open_one() -> None:
    assert bent(Path(), MAPS["arc"]) == Path()
    line = Path((Segment("M", (Point(0, 0),)), Segment("L", (Point(1, 0),))))
    assert [step.verb for step in bent(line, scaled(2, 3)).segments] == ["M", "L"]
    assert points_of(line, 0.1).tolist() == [[0, 0], [1, 0]]
