"""The ellipse, against its closed forms and the complete elliptic integral (scipy.special.ellipe).

The half-axes are 3 and 2: area πab = 18.84956, perimeter 4a·E(1 - b²/a²) = 15.8654396, largest
inscribed rectangle 2ab = 12. Ramanujan's second approximation of the perimeter: "Modular Equations
and Approximations to π", Quarterly Journal of Mathematics 45 (1914), from memory.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.special
import shapely

from letterer.fit.oval import Oval
from letterer.geometry import Point
from letterer.ink.outline import oval_outline
from letterer.ink.ring import Ring

A, B = 3.0, 2.0
ELLIPSE = Oval(Point(0, 0), A, B, 2.0)
PERIMETER = 15.8654396


def ramanujan(a: float, b: float) -> float:
    h = ((a - b) / (a + b)) ** 2
    return math.pi * (a + b) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h)))


def test_the_references_agree_with_each_other() -> None:
    exact = 4 * A * float(scipy.special.ellipe(1 - B * B / (A * A)))
    assert exact == pytest.approx(PERIMETER, abs=1e-7)
    assert ramanujan(A, B) == pytest.approx(PERIMETER, abs=1e-6)


def test_area() -> None:
    assert ELLIPSE.area == pytest.approx(18.84956, abs=1e-5)
    assert oval_outline(ELLIPSE).area() == pytest.approx(math.pi * A * B, rel=2e-5)


def test_perimeter() -> None:
    assert Ring(oval_outline(ELLIPSE)).length == pytest.approx(PERIMETER, rel=2e-5)
    flat = shapely.LineString(oval_outline(ELLIPSE).flattened(1e-5)[0])
    assert flat.length == pytest.approx(PERIMETER, rel=2e-5)


def test_the_largest_inscribed_rectangle() -> None:
    tops = np.linspace(-B, 0, 20001)[1:]
    areas = [-2 * top * 2 * ELLIPSE.half_width(float(top), -float(top)) for top in tops]
    assert max(areas) == pytest.approx(2 * A * B, abs=1e-6)


@pytest.mark.parametrize(("a", "b"), [(21.1, 9.2), (55.5, 25.9), (63.0, 29.7), (30.0, 30.0)])
def test_balloons_of_usual_size(a: float, b: float) -> None:
    outline = oval_outline(Oval(Point(40, -7), a, b, 2.0))
    true = shapely.LineString(
        [
            (40 + a * math.cos(2 * math.pi * i / 20000), -7 + b * math.sin(2 * math.pi * i / 20000))
            for i in range(20001)
        ]
    )
    drawn = shapely.LineString(outline.flattened(1e-4)[0])
    assert drawn.hausdorff_distance(true) < 0.01
    assert outline.area() == pytest.approx(math.pi * a * b, rel=1e-4)
    assert Ring(outline).length == pytest.approx(
        4 * a * float(scipy.special.ellipe(1 - b * b / (a * a))), rel=1e-4
    )
