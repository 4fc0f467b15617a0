"""Lines by arc length: spacing is true, whatever the parameter of the curve does."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.geometry import Point
from letterer.ink.effect_line import Arc, Line, Straight, bezier_line, wave_line

UNEVEN = (Point(0, 0), Point(5, -60), Point(190, 90), Point(200, 0))
LINES: dict[str, Line] = {
    "straight": Straight(120),
    "arc": Arc(150, 100),
    "bowl": Arc(150, -170),
    "wave": wave_line(180, 14, 1.5),
    "uneven curve": bezier_line(UNEVEN),
    "two curves": bezier_line((*UNEVEN, Point(210, -90), Point(300, 40), Point(320, -20))),
    "held ends": bezier_line((Point(0, 0), Point(0, 0), Point(80, 30), Point(80, 30))),
}


@pytest.mark.parametrize("name", LINES)
def test_even_distances_are_even_on_paper(name: str) -> None:
    line = LINES[name]
    fine = np.linspace(0, line.length, 40_001)
    points, along = line.at(fine)
    steps = np.hypot(*np.diff(points, axis=0).T)
    # Chords of 1/40,000 of the length are as long as the way between them, to six digits.
    assert steps == pytest.approx(line.length / 40_000, rel=1e-5)
    assert np.hypot(*along.T) == pytest.approx(1.0)
    # The direction is that of the way.
    chords = np.diff(points, axis=0) / steps[:, None]
    assert (chords * along[1:]).sum(axis=1).min() > 1 - 1e-6


@pytest.mark.parametrize("name", LINES)
def test_beyond_its_ends_a_line_goes_on_straight(name: str) -> None:
    line = LINES[name]
    points, along = line.at(np.array([-7.0, 0.0, line.length, line.length + 5.0]))
    assert points[1] - points[0] == pytest.approx(along[1] * 7.0)
    assert points[3] - points[2] == pytest.approx(along[2] * 5.0)


def test_the_length_of_a_parabola() -> None:
    """The closed form for y = x²: sqrt(5)/2 + asinh(2)/4 from x = 0 to 1 (Bronshtein and
    Semendyayev, Handbook of Mathematics, arc of the parabola)."""
    parabola = bezier_line((Point(0, 0), Point(0.5, 0), Point(1, 1)))
    assert parabola.length == pytest.approx(math.sqrt(5) / 2 + math.asinh(2) / 4, rel=1e-12)


def test_the_length_of_a_wave() -> None:
    """One swing of y = sin x is 4 sqrt(2) E(1/2) long, 7.6403955780 (E the complete elliptic
    integral of the second kind; Abramowitz and Stegun, table 17.1)."""
    wave = wave_line(7.640395578055424, 1.0, 1.0)
    points, _ = wave.at(np.array([0.0, wave.length]))
    assert points[1][0] - points[0][0] == pytest.approx(2 * math.pi, rel=1e-9)
    assert wave.at(np.array([wave.length / 4]))[0][0] == pytest.approx([math.pi / 2, -1.0])


@given(st.floats(1, 500), st.one_of(st.floats(1, 300), st.floats(-300, -1)))
def test_an_arc_turns_by_its_degrees(length: float, degrees: float) -> None:
    arc = Arc(length, degrees)
    points, along = arc.at(np.array([0.0, length / 2, length]))
    turned = math.degrees(math.atan2(along[2][1], along[2][0]) - math.atan2(*along[0][::-1]))
    assert (turned - degrees) % 360 == pytest.approx(0, abs=1e-6) or (
        turned - degrees
    ) % 360 == pytest.approx(360, abs=1e-6)
    assert points[1] == pytest.approx([length / 2, 0.0], abs=1e-9)
    # The crown of an arc is above its ends; y grows downward.
    assert np.sign(points[0][1] - points[1][1]) == np.sign(degrees)


@pytest.mark.parametrize("count", [2, 3, 4])
def test_a_path_begins_and_ends_at_its_points(count: int) -> None:
    points = (Point(10, 20), Point(90, -30), Point(140, 80), Point(200, 10))[:count]
    line = bezier_line(points)
    ends, _ = line.at(np.array([0.0, line.length]))
    assert ends[0] == pytest.approx(points[0]) and ends[1] == pytest.approx(points[-1])
    if count == 2:
        assert line.length == pytest.approx(points[0].distance(points[1]))
