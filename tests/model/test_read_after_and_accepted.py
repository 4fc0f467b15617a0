"""The keys that the check reads: what words come after, and what findings are kept."""

from __future__ import annotations

import json
from typing import Any

import pytest

from letterer.errors import LettererError
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Acceptance, Layout

KEPT = {"unit": "1.1.1", "finding": "long tail", "because": "he calls from afar"}


def layout(page: dict[str, Any], **keys: Any) -> Layout:
    whole = {
        "letterer": 1,
        "unit": "mm",
        "page": {"format": "a4"},
        "pages": [{"page": 1, **page}],
        **keys,
    }
    return parse_layout(json.dumps(whole), "layout.json")


def told(page: dict[str, Any], **keys: Any) -> str:
    with pytest.raises(LettererError) as caught:
        layout(page, **keys)
    return str(caught.value)


def after(name: str) -> dict[str, Any]:
    return {
        "focus": [{"name": "the lamp", "at": [10, 10]}],
        "placements": [{"unit": "1.1.1", "center": [20, 20], "read_after": name}],
    }


def test_read_after_names_a_focus() -> None:
    assert layout(after("the lamp")).pages[0].placements[0].read_after == "the lamp"
    assert layout({}).pages[0].placements == ()
    wrong = told(after("the lmap"))
    assert "'read_after' names 'the lmap', and no focus of this page has that name" in wrong
    assert "Did you mean 'the lamp'?" in wrong
    assert "unit 1.1.1" in wrong
    assert "Add it to 'focus', with its place" in told(after("her hat"))
    assert "'read_after' is empty" in told(after(""))


def test_accepted_on_a_page_and_in_the_book() -> None:
    found = layout({"accepted": [KEPT]}, accepted=[{"finding": "shrunk", "because": "a style"}])
    assert found.pages[0].accepted == (Acceptance("long tail", "he calls from afar", "1.1.1"),)
    assert found.accepted == (Acceptance("shrunk", "a style"),)


@pytest.mark.parametrize(
    ("kept", "what"),
    [
        ({"unit": "1.1.1", "finding": "long tail"}, "the key 'because' is missing in an accepted"),
        ({"because": "so"}, "the key 'finding' is missing in an accepted finding"),
        ({**KEPT, "because": ""}, "'because' of entry 1 of 'accepted' is empty"),
        ({**KEPT, "unit": "1.1"}, "must be page.panel.number"),
        ({**KEPT, "reason": "so"}, "there is no key 'reason' in an accepted finding"),
    ],
)
def test_slips_in_what_is_accepted(kept: dict[str, Any], what: str) -> None:
    assert what in told({"accepted": [kept]})
    assert what in told({}, accepted=[kept])
