"""The quick order of words against the order that the look-over tells."""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from letterer.geometry import Box
from letterer.place.order import _hidden, read_in_order
from letterer.review.panels import WORDS, arranged, piece_of_box

SIDES = st.tuples(st.integers(0, 120), st.integers(0, 90), st.integers(12, 50), st.integers(8, 30))
BOXES = st.lists(SIDES.map(lambda s: Box(s[0], s[1], s[0] + s[2], s[1] + s[3])), max_size=7)


@given(BOXES, st.booleans())
@example([Box(0, 0, 20, 10), Box(30, 2, 50, 12), Box(10, 30, 40, 40)], False)
@settings(max_examples=600)
def test_it_is_the_order_of_the_look_over(boxes: list[Box], mirrored: bool) -> None:
    hidden = any(_hidden(one, other) for k, one in enumerate(boxes) for other in boxes[k + 1 :])
    if hidden:
        assert not read_in_order(boxes, mirrored)
        return
    pieces = [piece_of_box(key, box, mirrored) for key, box in enumerate(boxes)]
    order = [piece.key for piece in arranged(pieces, WORDS).order]
    assert read_in_order([boxes[key] for key in order], mirrored)
    assert read_in_order(boxes, mirrored) == (order == sorted(order))
