"""Every kind of finding: on a page made to have it, and no more on the same page mended.

Each row of the table is one fault of a page. The page beside it is mended as the finding says.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import pytest

from letterer.api import compose
from letterer.geometry import Box, Path, Point, polygon
from letterer.ink.tail import Tail
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Layout, PagePlan
from letterer.model.script_reader import parse_script
from letterer.page.lettered import LetteredPage, Severity
from letterer.review.finding import Noticed
from letterer.review.pages import KINDS, review

NOTE, WARNING, PROBLEM = Severity.NOTE, Severity.WARNING, Severity.PROBLEM
NELL = "NELL: The lamp is out."
BOTH = f"{NELL}\nTOM: Then light it."
ALONE = f"{NELL}\nNELL: Then light it."
Keys = dict[str, Any]


def at(unit: str, x: float, y: float, **keys: Any) -> Keys:
    """A placement in points."""
    return {"unit": unit, "center": [x, y], **keys}


def quiet(x: float, y: float, **keys: Any) -> tuple[Keys, ...]:
    """The first unit at a place, without a tail."""
    return (at("1.1.1", x, y, **{"tails": [], **keys}),)


def panel(number: int, *box: float, **mouths: list[float]) -> Keys:
    """A panel, with mouths by speaker."""
    return {"panel": number, "box": list(box), **({"mouths": mouths} if mouths else {})}


def panels(*given: Keys) -> Keys:
    """The keys of a page with these panels."""
    return {"panels": list(given)}


def zone(name: str, *box: float) -> Keys:
    """The keys of a page with one zone to keep clear."""
    return {"keep_clear": [{"name": name, "box": list(box)}]}


def focus(name: str, x: float, y: float) -> Keys:
    """The keys of a page with one focus point."""
    return {"focus": [{"name": name, "at": [x, y]}]}


@dataclass(frozen=True)
class Made:
    """A page: lines of its first panel (or a whole script), placements, keys of the page and the
    layout; `drawn` and `planned` change what no file can say."""

    lines: str
    places: tuple[Keys, ...]
    page: Keys = field(default_factory=dict)
    keys: Keys = field(default_factory=dict)
    drawn: Callable[[LetteredPage], LetteredPage] = lambda page: page
    planned: Callable[[PagePlan], PagePlan] = lambda plan: plan

    def looked_over(self) -> tuple[Noticed, ...]:
        """All that is noticed on it."""
        layout = self.layout()
        text = self.lines if self.lines.startswith("PAGE") else f"PAGE 1\nPANEL 1\n{self.lines}\n"
        made = compose(parse_script(text), layout)
        pages = [self.drawn(page) for page in made.pages]
        changed = replace(layout, pages=tuple(self.planned(plan) for plan in layout.pages))
        return review(pages, made.findings, changed).every

    def layout(self) -> Layout:
        """Its layout, in points: one panel in which two people speak."""
        spoken = panel(1, 20, 20, 360, 360, NELL=[100, 190], TOM=[300, 190])
        page = {"page": 1, "panels": [spoken], "placements": list(self.places), **self.page}
        whole = {
            "letterer": 1,
            "unit": "pt",
            "page": {"trim": [400, 400], "bleed": 9, "live": 18},
            "pages": [page],
        }
        return parse_layout(json.dumps({**whole, **self.keys}))


@dataclass(frozen=True)
class Row:
    """A finding: how grave it is, what its words must hold, which unit it names ("" for none),
    whether it has a place on the page; the page that has it, and the page mended."""

    severity: Severity
    says: str
    ill: Made
    mended: Made
    unit: str = "1.1.1"
    placed: bool = True


def tails(*ends: tuple[Point, Point]) -> Callable[[LetteredPage], LetteredPage]:
    """Gives the units straight tails from a root to a tip, such as composing would not draw."""

    def changed(page: LetteredPage) -> LetteredPage:
        drawn = []
        for unit, (root, tip) in zip(page.units, ends, strict=True):
            tail = Tail(root.toward(tip, 1.2), root, root.toward(tip, 0.5), tip, 8.0)
            drawn.append(replace(unit, tails=(tail,)))
        return replace(page, units=tuple(drawn))

    return changed


def shaped(*corners: tuple[float, float]) -> Callable[[PagePlan], PagePlan]:
    """Gives the first panel another outline: a layout file with a crossed one is not read."""
    path: Path = polygon(Point(x, y) for x, y in corners)
    return lambda plan: replace(plan, panels=(replace(plan.panels[0], shape=path),))


BLED = panels(panel(1, -9, -9, 418, 418, NELL=[60, 150]))
TWO = panels(panel(1, 20, 20, 176, 360, NELL=[140, 170]), panel(2, 204, 20, 176, 360))
MANY = "CAPTION: " + "and so on " * 8
PAIR = (at("1.1.1", 110, 90), at("1.1.2", 290, 130))
SIDE = (at("1.1.1", 110, 90), at("1.1.2", 290, 90))
APART = (Point(110, 105), Point(110, 140))
FAR = (Point(290, 110), Point(295, 140))
SCREEN = {"unit": "px", "dpi": 72}
KNOT = {"wave": 0.15, "crests": 5, "letters": "bent"}


def effect(*box: float, **keys: Any) -> tuple[Keys, ...]:
    """The first unit as a sound effect in a box."""
    return ({"unit": "1.1.1", "box": list(box), "effect": keys},)


def talk(text: str) -> str:
    """A speech of one person."""
    return f"NELL: {text}"


FACTS = ("shrunk",)
"""Told, and nothing need be done about it."""

MATRIX: dict[str, Row] = {
    "balloons touch": Row(
        WARNING,
        "overlaps 1.1.2",
        Made(BOTH, (at("1.1.1", 150, 90, tails=[]), at("1.1.2", 196, 94, tails=[]))),
        Made(BOTH, SIDE),
    ),
    "breaks gone": Row(
        WARNING,
        "no longer those of its planned lines",
        Made(NELL, (at("1.1.1", 110, 90, breaks=["The torch", "is out."]),)),
        Made(NELL, (at("1.1.1", 110, 90, breaks=["The lamp", "is out."]),)),
    ),
    "covers": Row(
        PROBLEM,
        "of her face, which is to be kept clear",
        Made(NELL, quiet(110, 90), zone("her face", 90, 70, 60, 40)),
        Made(NELL, quiet(110, 90), zone("her face", 90, 130, 60, 40)),
    ),
    "crowded panel": Row(
        WARNING,
        "of panel 1",
        Made(NELL, quiet(53, 40), panels(panel(1, 20, 20, 66, 40))),
        Made(NELL, quiet(65, 50), panels(panel(1, 20, 20, 150, 150))),
        unit="",
    ),
    "cut off": Row(
        PROBLEM,
        "left of where the page is cut",
        Made(NELL, quiet(20, 90), BLED),
        Made(NELL, quiet(60, 90), BLED),
    ),
    "does not fit": Row(
        PROBLEM,
        "words",
        Made(NELL, ({"unit": "1.1.1", "box": [90, 80, 40, 24], "tails": []},)),
        Made(NELL, ({"unit": "1.1.1", "box": [60, 60, 120, 60], "tails": []},)),
    ),
    "effect unused": Row(
        NOTE,
        "it is drawn as speech",
        Made(NELL, (at("1.1.1", 110, 90, effect={"arc": 20}),)),
        Made(NELL, PAIR[:1]),
    ),
    "hyphenated": Row(
        WARNING,
        "broken with a hyphen",
        Made(talk("Unquestionably."), ({"unit": "1.1.1", "box": [60, 60, 56, 60], "tails": []},)),
        Made(talk("Unquestionably."), ({"unit": "1.1.1", "box": [60, 60, 160, 60], "tails": []},)),
    ),
    "letters fold": Row(
        WARNING,
        "fold over themselves",
        Made("SFX: KRAKOOM", effect(60, 60, 200, 80, **KNOT)),
        Made("SFX: KRAKOOM", effect(60, 60, 200, 80, **{**KNOT, "letters": "upright"})),
    ),
    "little air": Row(
        WARNING,
        "too near to the line that it is cut on",
        Made(
            talk("Unquestionably."),
            quiet(65, 100, cut=["left", "right"]),
            panels(panel(1, 40, 20, 50, 360)),
        ),
        Made(talk("So."), quiet(65, 100), panels(panel(1, 40, 20, 50, 360))),
    ),
    "long tail": Row(
        WARNING,
        "its tail is",
        Made(NELL, (at("1.1.1", 300, 50),)),
        Made(NELL, (at("1.1.1", 150, 150),)),
    ),
    "low contrast": Row(
        PROBLEM,
        "a contrast of 2.3",
        Made(NELL, PAIR[:1], keys={"style": {"ink": "#aaaaaa"}}),
        Made(NELL, PAIR[:1], keys={"style": {"ink": "#767676"}}),
    ),
    "low letters": Row(
        NOTE,
        "reading is fastest from",
        Made(NELL, (at("1.1.1", 110, 130, size=5.5),), keys={"style": {"smallest_size": 5}}),
        Made(NELL, (at("1.1.1", 110, 130, size=8),), keys={"style": {"smallest_size": 5}}),
    ),
    "many words": Row(
        WARNING,
        "27 words in one balloon",
        Made(talk("and so on " * 8 + "and on again."), quiet(150, 90)),
        Made(talk("and so on " * 8 + "."), quiet(150, 90)),
    ),
    "mouth missed": Row(
        PROBLEM,
        "NELL speaks, and the tail points at TOM",
        Made(NELL, (at("1.1.1", 200, 150, tails=["TOM"]),)),
        Made(NELL, (at("1.1.1", 200, 150, tails=["NELL"]),)),
    ),
    "mouth off panel": Row(
        WARNING,
        "the mouth of TOM lies outside panel 1",
        Made(NELL, quiet(110, 90), panels(panel(1, 20, 20, 200, 360, TOM=[350, 100]))),
        Made(NELL, quiet(110, 90), panels(panel(1, 20, 20, 200, 360, TOM=[150, 100]))),
        unit="",
    ),
    "narrow lines": Row(
        NOTE,
        "characters; reading slows",
        Made(talk("No one is in it or on it now, he says to us."), quiet(110, 120, lines=11)),
        Made(talk("No one is in it or on it now, he says to us."), quiet(110, 120)),
    ),
    "no neck": Row(
        NOTE,
        "no room for a neck",
        Made(ALONE, (at("1.1.1", 110, 90), at("1.1.2", 135, 112, joined="link"))),
        Made(ALONE, (at("1.1.1", 110, 90), at("1.1.2", 135, 112))),
        unit="1.1.2",
    ),
    "no tail": Row(
        WARNING,
        "TIM",
        Made("TIM: The lamp is out.", PAIR[:1]),
        Made("TIM: The lamp is out.", PAIR[:1], panels(panel(1, 20, 20, 360, 360, TIM=[100, 190]))),
    ),
    "no words": Row(
        WARNING,
        "",
        Made(NELL, PAIR),
        Made(BOTH, PAIR),
        unit="1.1.2",
    ),
    "not cut": Row(
        NOTE,
        "does not reach its panel's border on the left",
        Made(NELL, quiet(200, 100, cut=["left"])),
        Made(NELL, quiet(200, 100)),
    ),
    "not joined": Row(
        WARNING,
        "mm apart",
        Made(ALONE, (at("1.1.1", 110, 60), at("1.1.2", 280, 200, joined="overlap"))),
        Made(ALONE, (at("1.1.1", 110, 90), at("1.1.2", 135, 112, joined="overlap"))),
        unit="1.1.2",
    ),
    "not placed": Row(WARNING, "", Made(BOTH, PAIR[:1]), Made(BOTH, PAIR), unit="1.1.2"),
    "nothing to clip": Row(
        NOTE,
        "no panel in the plan to cut it off",
        Made("SFX: KRAKOOM", effect(60, 60, 200, 80, clip=True), panels()),
        Made("SFX: KRAKOOM", effect(60, 60, 200, 80, clip=True)),
    ),
    "outside live area": Row(
        WARNING,
        "left of the live area",
        Made(NELL, quiet(32, 90), BLED),
        Made(NELL, quiet(60, 90), BLED),
    ),
    "over the border": Row(
        WARNING,
        "crosses the border of panel 1",
        Made(NELL, (at("1.1.1", 180, 90),), TWO),
        Made(NELL, PAIR[:1], TWO),
    ),
    "page not planned": Row(
        WARNING,
        "the script has this page and the layout does not",
        Made(f"PAGE 1\nPANEL 1\n{NELL}\n\nPAGE 3\nPANEL 1\nNELL: Still out.", PAIR[:1]),
        Made(f"PAGE 1\nPANEL 1\n{NELL}", PAIR[:1]),
        unit="",
        placed=False,
    ),
    "page not written": Row(
        WARNING,
        "the layout has this page and the script does not",
        Made(f"PAGE 2\nPANEL 1\n{NELL}", ()),
        Made(NELL, PAIR[:1]),
        unit="",
        placed=False,
    ),
    "panel crosses itself": Row(
        PROBLEM,
        "the outline of panel 1",
        Made(
            NELL,
            quiet(110, 90),
            planned=shaped((20, 20), (380, 380), (380, 20), (20, 380)),
        ),
        Made(
            NELL,
            quiet(110, 90),
            planned=shaped((20, 20), (380, 20), (380, 380), (20, 380)),
        ),
        unit="",
    ),
    "panel off page": Row(
        WARNING,
        "panel 2 lies outside the page",
        Made(NELL, quiet(110, 90), panels(panel(1, 20, 20, 170, 360), panel(2, 500, 20, 100, 100))),
        Made(NELL, quiet(110, 90), panels(panel(1, 20, 20, 170, 360), panel(2, 200, 20, 180, 360))),
        unit="",
    ),
    "panel order": Row(
        PROBLEM,
        "panel 2 will be read before panel 1",
        Made(NELL, quiet(290, 90), panels(panel(2, 20, 20, 170, 360), panel(1, 200, 20, 180, 360))),
        Made(NELL, quiet(100, 90), panels(panel(1, 20, 20, 170, 360), panel(2, 200, 20, 180, 360))),
        unit="",
    ),
    "panel order unsure": Row(
        NOTE,
        "of 100 readers will go to panel 3 before panel 2",
        Made(
            NELL,
            quiet(100, 90),
            panels(
                panel(1, 20, 20, 170, 175), panel(2, 20, 205, 170, 175), panel(3, 200, 20, 180, 360)
            ),
        ),
        Made(
            NELL,
            quiet(100, 90),
            panels(
                panel(1, 20, 20, 170, 175), panel(2, 200, 20, 180, 175), panel(3, 20, 205, 360, 175)
            ),
        ),
        unit="",
    ),
    "panel too small": Row(
        PROBLEM,
        "panel 1 is too small for any word",
        Made(NELL, quiet(110, 90), panels(panel(1, 100, 80, 20, 20))),
        Made(NELL, quiet(110, 90), panels(panel(1, 20, 20, 200, 200))),
        unit="",
    ),
    "panels overlap": Row(
        WARNING,
        "panels 1 and 2 overlap",
        Made(NELL, quiet(110, 90), panels(panel(1, 20, 20, 200, 360), panel(2, 150, 20, 150, 360))),
        Made(NELL, quiet(110, 90), panels(panel(1, 20, 20, 200, 360), panel(2, 225, 20, 150, 360))),
        unit="",
    ),
    "quotation marks": Row(
        NOTE,
        "",
        Made("CAPTION (speech, NELL): The lamp is out.", quiet(110, 90)),
        Made('CAPTION (speech, NELL): "The lamp is out."', quiet(110, 90)),
    ),
    "read too early": Row(
        WARNING,
        "before the eye has found the lamp",
        Made(NELL, quiet(110, 90, read_after="the lamp"), focus("the lamp", 200, 150)),
        Made(NELL, quiet(110, 210, read_after="the lamp"), focus("the lamp", 200, 150)),
    ),
    "reading order": Row(
        PROBLEM,
        "is read before 1.1.1",
        Made(BOTH, (at("1.1.1", 110, 130), at("1.1.2", 300, 90))),
        Made(BOTH, PAIR),
        unit="1.1.2",
    ),
    "shrunk": Row(
        NOTE,
        "6.",
        Made(NELL, ({"unit": "1.1.1", "box": [60, 60, 60, 22], "tails": []},)),
        Made(NELL, ({"unit": "1.1.1", "box": [60, 60, 120, 60], "tails": []},)),
    ),
    "small on a telephone": Row(
        NOTE,
        "on a telephone",
        Made(NELL, (at("1.1.1", 110, 90, size=7.5),), keys=SCREEN),
        Made(NELL, (at("1.1.1", 200, 90, size=12, tails=[]),), keys=SCREEN),
        unit="",
        placed=False,
    ),
    "small words": Row(
        WARNING,
        "set at 5 pt",
        Made(NELL, (at("1.1.1", 100, 130, size=5),)),
        Made(NELL, (at("1.1.1", 100, 130, size=6),)),
    ),
    "tail over face": Row(
        WARNING,
        "its tail crosses the owl",
        Made(NELL, quiet(100, 70), zone("the owl", 85, 105, 30, 15), drawn=tails(APART)),
        Made(
            NELL,
            quiet(100, 70),
            zone("the owl", 85, 105, 30, 15),
            drawn=tails((Point(115, 85), Point(145, 140))),
        ),
    ),
    "tail over words": Row(
        PROBLEM,
        "its tail crosses the words of 1.1.2",
        Made(BOTH, SIDE, drawn=tails((Point(140, 80), Point(290, 90)), FAR)),
        Made(BOTH, SIDE, drawn=tails(APART, FAR)),
    ),
    "tails cross": Row(
        PROBLEM,
        "its tail crosses the tail of 1.1.2",
        Made(
            BOTH,
            SIDE,
            drawn=tails((Point(140, 105), Point(215, 140)), (Point(270, 105), Point(195, 140))),
        ),
        Made(BOTH, SIDE, drawn=tails(APART, FAR)),
    ),
    "translation": Row(
        NOTE,
        "no caption note says from what",
        Made(talk("<The lamp is out.>"), quiet(110, 90)),
        Made(
            talk("<The lamp is out.>") + "\nCAPTION (note): From the island's own tongue.",
            (*quiet(110, 90), at("1.1.2", 200, 300)),
        ),
    ),
    "words covered": Row(
        PROBLEM,
        '1.1.2 "Then light it." covers some of its words',
        Made(BOTH, (at("1.1.1", 150, 90, tails=[]), at("1.1.2", 180, 95, tails=[]))),
        Made(BOTH, SIDE),
    ),
    "wrong panel": Row(
        PROBLEM,
        "stands in panel 2, and it belongs to panel 1",
        Made(NELL, quiet(280, 90), TWO),
        Made(NELL, quiet(110, 90), TWO),
    ),
}


def test_a_halo_over_the_border_is_told() -> None:
    def of(y: float) -> list[Noticed]:
        return [
            one
            for one in Made("SFX: KRANG", quiet(200, y)).looked_over()
            if one.finding.kind == "over the border"
        ]

    # It may break out, and it may stand within: in between it looks like a slip.
    edges = [y for y in range(18, 60) if of(y)]
    assert edges and edges == list(range(edges[0], edges[-1] + 1)) and 18 < edges[0] < 59
    assert "its halo wipes away a piece of the border of panel 1" in of(edges[-1])[0].finding.what


def test_the_table_has_every_kind() -> None:
    # Of art, its file says the most: tests/test_checking.py.
    assert sorted([*MATRIX, "art"]) == sorted(KINDS)


@pytest.mark.parametrize("kind", MATRIX)
def test_found_and_mended(kind: str) -> None:
    row = MATRIX[kind]
    found = [one for one in row.ill.looked_over() if one.finding.kind == kind]
    assert found, "the page made for it does not have it"
    one = found[0]
    assert (one.finding.severity, one.finding.unit) == (row.severity, row.unit)
    assert row.says in one.finding.what
    assert one.finding.mend or kind in FACTS, "nobody is told what to do"
    assert (one.at is not None) is row.placed
    if one.at is not None:
        around = Box(-9, -9, 409, 409) if kind != "panel off page" else one.at
        assert around.contains(one.at)
    assert kind not in [one.finding.kind for one in row.mended.looked_over()]


def test_an_accepted_finding_keeps_its_reason_and_weighs_nothing() -> None:
    # For every kind alike: by its name and its unit, for the page that has it.
    for kind in ("long tail", "over the border", "reading order"):
        row = MATRIX[kind]
        why = {"unit": row.unit, "finding": kind, "because": "it is meant so"}
        page = {**row.ill.page, "accepted": [why]}
        found = replace(row.ill, page=page).looked_over()
        assert [one.because for one in found if one.finding.kind == kind] == ["it is meant so"]
