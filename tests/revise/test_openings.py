"""A clear place for words that come to a panel: off what stands there, and nearest to the wish."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.geometry import Box, Point
from letterer.model.plan import Center, Corner, Edge, Fill, Placement
from letterer.revise.openings import clear_place, estimated, taken_by

PANEL = Box(0, 0, 300, 200)
SIZE = Point(60, 40)


def test_a_wish_that_is_clear_is_granted() -> None:
    assert clear_place(Point(50, 50), SIZE, PANEL, [Box(200, 100, 300, 200)]) == (50, 50)


@given(
    st.tuples(st.floats(0, 300), st.floats(0, 200)),
    st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=1, max_size=3),
)
def test_it_stands_clear_where_anything_does(
    wish: tuple[float, float], cells: list[tuple[int, int]]
) -> None:
    """A fifth of the panel each way is more than a balloon: three such never fill it."""
    taken = [Box(x * 60, y * 40, x * 60 + 60, y * 40 + 40) for x, y in cells]
    at = clear_place(Point(*wish), SIZE, PANEL, taken)
    box = Box(at.x - 30, at.y - 20, at.x + 30, at.y + 20)
    if at != wish:
        assert PANEL.contains(box, 1e-6)
    assert not any(box.meets(other) for other in taken)


def test_where_nothing_is_clear_it_covers_the_least() -> None:
    at = clear_place(Point(150, 100), SIZE, PANEL, [PANEL, Box(0, 0, 200, 200)])
    assert at.x >= 229 and math.isclose(at.y, 100, abs_tol=1)


@pytest.mark.parametrize(
    ("spot", "corner"),
    [
        (Center(Point(150, 100)), None),
        (Fill(Box(10, 20, 40, 50)), (10, 20)),
        (Corner("top left"), (0, 0)),
        (Corner("bottom right"), None),
        (Edge("top", 0.0), (0, 0)),
        (Edge("left", 0.0), (0, 0)),
    ],
)
def test_what_stands_there(spot: Center | Fill | Corner | Edge, corner: object) -> None:
    box = taken_by(Placement("1.1.1", spot, words="No."), PANEL)
    assert PANEL.contains(box, 1e-6)
    assert corner is None or (box.left, box.top) == corner
    if not isinstance(spot, Fill):
        assert (box.width, box.height) == pytest.approx(tuple(estimated("No.")))


def test_more_words_take_more_room() -> None:
    one, other = estimated("No."), estimated("No, and I will say it again.")
    assert one.x < other.x and one.y < other.y
