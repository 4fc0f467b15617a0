"""Whatever is read as a layout gives a plan or plain faults, never anything else."""

from __future__ import annotations

import copy
import json
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from letterer.errors import LettererError
from letterer.model.layout import LayoutKeys, PageKeys, PlacementKeys
from letterer.model.layout_reader import parse_layout
from letterer.model.plain_faults import TAGS
from letterer.model.plan import Layout

GOOD: dict[str, Any] = {
    "letterer": 1,
    "unit": "px",
    "dpi": 300,
    "page": {"format": "vertical scroll", "height": 4000, "bleed": 9, "live": [1, 2, 3, 4]},
    "reading": "left to right",
    "language": "en",
    "style": {"name": "plain hand", "size": 8, "aspect": [1, 2], "gap": "flush"},
    "note": "a note",
    "pages": [
        {
            "page": 1,
            "art": {"file": "a.png", "covers": "bleed"},
            "panels": [
                {"panel": 1, "box": [0, 0, 400, 300], "mouths": {"NELL": [50, 60]}},
                {"panel": 2, "polygon": [[0, 400], [300, 400], [300, 700]]},
            ],
            "keep_clear": [{"name": "face", "polygon": [[0, 0], [9, 0], [9, 9]]}],
            "focus": [{"name": "lamp", "at": [3, 4]}],
            "placements": [
                {"unit": "1.1.1", "center": [90, 90], "tails": ["NELL", [4, 5]], "lines": 2},
                {"unit": "1.1.2", "corner": "top left", "gap": 3},
                {"unit": "1.2.1", "edge": "left", "along": 0.5, "kind": "shout"},
                {"unit": "1.2.2", "box": [9, 9, 90, 90], "words": "WAIT"},
            ],
        }
    ],
}

KEYS = st.sampled_from(
    sorted({*LayoutKeys.model_fields, *PageKeys.model_fields, *PlacementKeys.model_fields})
) | st.text(max_size=3)
LEAVES = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=6)
    | st.sampled_from(["1.1.1", "9.1.1", "px", "mm", "NELL", "top", "flush", "{it}", "a/b", "\n"])
)
VALUES = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=5),
    max_leaves=15,
)


def read(text: str) -> Layout | None:
    """A plan, or None when faults were told; each of them in a single line of words."""
    try:
        return parse_layout(text, "layout.json")
    except LettererError as error:
        assert error.faults
        for fault in error.faults:
            assert len(str(fault).splitlines()) == 1
            assert not any(word in str(fault) for word in ("Input should", "pydantic", *TAGS))
        return None


def nodes(value: Any, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The way to every value inside a value."""
    found = [way] if way else []
    holds = list(value.items()) if isinstance(value, dict) else []
    holds += enumerate(value) if isinstance(value, list) else []
    for step, item in holds:
        found += nodes(item, (*way, step))
    return found


WAYS = nodes(GOOD)


def mutated(value: Any, way: tuple[Any, ...], how: str, new: Any) -> Any:
    """A copy in which the value at a place is deleted, replaced, doubled or moved to a new key."""
    made = copy.deepcopy(value)
    holder = made
    for step in way[:-1]:
        if not isinstance(holder, dict | list):
            return made
        try:
            holder = holder[step]
        except (KeyError, IndexError, TypeError):
            return made
    try:
        if how == "delete":
            del holder[way[-1]]
        elif how == "replace":
            holder[way[-1]] = new
        elif isinstance(holder, list):
            holder.insert(way[-1], copy.deepcopy(holder[way[-1]]))
        elif isinstance(holder, dict):
            holder[str(new)] = holder[way[-1]]
    except (KeyError, IndexError, TypeError):
        pass
    return made


@settings(max_examples=1000)
@example({"focus": [None], "panels": [[{"along": None}]]})
@example([None, [None]])
@given(VALUES)
def test_arbitrary_values(value: object) -> None:
    assert read(json.dumps(value)) is None


@given(st.text(max_size=60) | st.text(st.sampled_from('[]{}":,0123e.-nulltruepages \n')))
def test_arbitrary_text(text: str) -> None:
    assert read(text) is None


@settings(max_examples=600)
@given(
    st.lists(
        st.tuples(st.sampled_from(WAYS), st.sampled_from(["delete", "replace", "double"]), VALUES),
        min_size=1,
        max_size=3,
    )
)
def test_good_layouts_with_pieces_changed(changes: list[tuple[tuple[Any, ...], str, Any]]) -> None:
    made: Any = GOOD
    for way, how, new in changes:
        made = mutated(made, way, how, new)
    read(json.dumps(made))


@settings(max_examples=300)
@given(st.integers(0, 3000), st.integers(0, 12), st.text(max_size=3))
def test_good_text_with_a_piece_cut_or_put_in(at: int, cut: int, new: str) -> None:
    text = json.dumps(GOOD, indent=1)
    read(text[:at] + new + text[at + cut :])


def test_the_good_layout_is_good() -> None:
    assert read(json.dumps(GOOD)) is not None
    assert len(WAYS) > 90
