"""The superellipse |x/a|^n + |y/b|^n = 1, against the gamma function of scipy.

Its area is 4ab·Γ(1+1/n)²/Γ(1+2/n), its largest centred rectangle 4ab·2^(-2/n) (Lagrange: both terms
are one half at the corner).
"""

from __future__ import annotations

import numpy as np
import pytest
import scipy.special
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from letterer.fit.oval import Oval, area_factor
from letterer.geometry import Box, Point
from letterer.ink.outline import oval_outline, oval_point

A, B = 3.0, 2.0

exponents = st.floats(2, 3)
ovals = st.builds(
    lambda x, y, b, aspect, n: Oval(Point(x, y), b * aspect, b, n),
    st.floats(-100, 500),
    st.floats(-100, 500),
    st.floats(6, 35),
    st.floats(1, 3),
    exponents,
)


def true_curve(oval: Oval, count: int = 8000) -> NDArray[np.float64]:
    """Points of the border, found here from the equation alone."""
    turn = np.linspace(0, 2 * np.pi, count + 1)
    x = np.sign(np.cos(turn)) * np.abs(np.cos(turn)) ** (2 / oval.n)
    y = np.sign(np.sin(turn)) * np.abs(np.sin(turn)) ** (2 / oval.n)
    return np.stack([oval.center.x + oval.a * x, oval.center.y + oval.b * y], axis=1)


def gamma_area(a: float, b: float, n: float) -> float:
    gamma = scipy.special.gamma
    return float(4 * a * b * gamma(1 + 1 / n) ** 2 / gamma(1 + 2 / n))


@pytest.mark.parametrize(
    ("n", "area", "rectangle"),
    [(2.0, 18.84956, 12.0), (2.5, 20.285612, 13.78438), (4.0, 22.248896, 16.97056)],
)
def test_area_and_largest_rectangle(n: float, area: float, rectangle: float) -> None:
    oval = Oval(Point(0, 0), A, B, n)
    assert gamma_area(A, B, n) == pytest.approx(area, abs=1e-5)
    assert oval.area == pytest.approx(area, abs=1e-5)
    tops = np.linspace(-B, 0, 20001)[1:]
    widest = max(-2 * top * 2 * oval.half_width(float(top), -float(top)) for top in tops)
    assert widest == pytest.approx(rectangle, abs=1e-5)
    assert rectangle == pytest.approx(4 * A * B * 2 ** (-2 / n), abs=1e-5)


def test_how_much_larger_than_its_rectangle_an_oval_is() -> None:
    # Derived here from the two closed forms above.
    shares = [area_factor(n) / (4 * 2 ** (-2 / n)) for n in (2, 2.2, 2.5, 3, 4)]
    assert shares == pytest.approx([1.571, 1.526, 1.472, 1.402, 1.311], abs=5e-4)


@settings(max_examples=60)
@given(ovals)
def test_area_is_the_gamma_functions(oval: Oval) -> None:
    assert oval.area == pytest.approx(gamma_area(oval.a, oval.b, oval.n), rel=1e-12)
    assert oval.area == pytest.approx(shapely.Polygon(true_curve(oval)).area, rel=1e-5)


@settings(max_examples=30)
@given(ovals)
def test_the_outline_keeps_within_a_hundredth_of_a_point_of_the_true_curve(oval: Oval) -> None:
    outline = oval_outline(oval)
    drawn = outline.flattened(5e-4)[0]
    true = shapely.LineString(true_curve(oval))
    assert float(shapely.distance(true, shapely.points(drawn)).max()) < 0.01
    line = shapely.LineString(drawn)
    assert float(shapely.distance(line, shapely.points(true_curve(oval, 600))).max()) < 0.01
    assert outline.area() == pytest.approx(oval.area, rel=1e-4)
    assert outline.area() > 0, "clockwise on the page"
    assert outline.box() == pytest.approx(oval.box, abs=1e-6)


@settings(max_examples=60)
@given(ovals, st.floats(-1.2, 1.2), st.floats(0, 0.9))
def test_half_width_is_the_least_over_the_whole_band(
    oval: Oval, place: float, height: float
) -> None:
    top = oval.center.y + place * oval.b
    bottom = top + height * oval.b
    half = oval.half_width(top, bottom)
    inside = shapely.Polygon(true_curve(oval, 4000))
    if half > 0.01:
        band = Box(oval.center.x - half, top, oval.center.x + half, bottom)
        assert inside.buffer(0.001).covers(shapely.box(*band))
        wider = shapely.box(band.left - 0.01, band.top, band.right + 0.01, band.bottom)
        assert not inside.covers(wider)
        # At the band's middle there is more room, unless the band is a line: never take it there.
        middle = (top + bottom) / 2
        assert oval.half_width(middle, middle) >= half
    else:
        far = max(abs(top - oval.center.y), abs(bottom - oval.center.y))
        assert far > 0.999 * oval.b


@settings(max_examples=40)
@given(ovals, st.floats(0, 6.28))
def test_points_of_the_border_are_at_level_one(oval: Oval, angle: float) -> None:
    point = oval_point(oval, angle)
    assert oval.level(point) == pytest.approx(1, abs=1e-9)
    assert (
        oval.level(oval.center.toward(point, 0.9)) < 1 < oval.level(oval.center.toward(point, 1.1))
    )


def test_scaling_and_shifting() -> None:
    oval = Oval(Point(1, 2), 3, 2, 2.4)
    assert oval.scaled(2) == Oval(Point(2, 4), 6, 4, 2.4)
    assert oval.shifted(1, -2) == Oval(Point(2, 0), 3, 2, 2.4)
    assert (oval.aspect, oval.box) == (1.5, (-2, 0, 4, 4))
