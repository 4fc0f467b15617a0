"""The order of panels: what is known of readers, and what the model says, in one table.

    python tests/benchmarks/panels.py [--write]

Prints the table, or writes it to PANELS.md beside this file, which a test holds up to date.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from letterer import craft
from letterer.geometry import Box
from letterer.model.plan import Reading
from letterer.review.leading import Across, Words, led
from letterer.review.panels import PanelOrder
from tests.benchmarks.panel_pages import DEGREES, OWN, STUDIES, UNSURE, Shape, by_rows, plan, read

RTL = Reading.RIGHT_TO_LEFT

HEAD = f"""# The order of panels

`python tests/benchmarks/panels.py --write` makes this file; a test holds it to what the model says.
Layouts are in `panel_pages.py`. A share is that of readers who take the order; the rival is told
where it is below {craft.ORDER_DOUBTFUL:.0%}. Panels are numbered in the order in which the study
says, or we would say, that they are read.
"""

STUDIES_HEAD = """
## Published studies

Only the share of the stack beside a tall panel is published with figures that we have read. What
is "from memory" was not read again for this, and has no figures: the layout is drawn by us.

| layout | source | what is known | model | share | rival |
| --- | --- | --- | --- | --- | --- |"""

DEGREES_HEAD = """
## By degree

Cohn & Campbell 2015, abstract: separation, overlap and blockage push readers off the row path, the
more the farther a page is from a grid. Known is the direction; shares are those that the model
gives to going along the first row.
"""

OWN_HEAD = """
## Fifty pages of our own

Known is the order in which we would read them (common practice, no source): 1, 2, 3 and so on; a
"?" where we are not sure ourselves. Read from right to left, each is mirrored.

| page | known | model | share | rival | right to left |
| --- | --- | --- | --- | --- | --- |"""

WORDS_HEAD = """
## Where words decide

The same doubtful pages with words. That words decide there is published (Cohn & Campbell 2015), and
that nearer words keep a panel from being passed over (Omori et al. 2004); how strongly is craft.

| page | words | model | share | rival |
| --- | --- | --- | --- | --- |"""


def table() -> str:
    """The whole file."""
    lines = [HEAD.rstrip(), *_studies(), *_degrees(), *_own(), *_words()]
    return "\n".join(lines) + "\n"


def _told(order: tuple[int, ...] | None) -> str:
    return " ".join(map(str, order)) if order else ""


def _said(found: PanelOrder) -> str:
    return f"{_told(found.order)} | {found.confidence:.0%} | {_told(found.rival)}"


def _studies() -> Iterator[str]:
    yield STUDIES_HEAD
    for name, study in STUDIES.items():
        yield f"| {name} | {study.source} | {study.known} | {_said(read(study.layout))} |"


def _degrees() -> Iterator[str]:
    yield DEGREES_HEAD.rstrip()
    for name, (what, layout, steps) in DEGREES.items():
        shares = [f"{by_rows(read(layout(by))):.0%}" for by in steps]
        yield f"\n| {name} ({what}) | {' | '.join(f'{by:g}' for by in steps)} |"
        yield f"|{' --- |' * (len(steps) + 1)}"
        yield f"| along the row | {' | '.join(shares)} |"


def _own() -> Iterator[str]:
    yield OWN_HEAD
    right = 0
    for name, layout in OWN.items():
        found, back = read(layout), read(layout, RTL)
        wanted = tuple(range(1, len(layout) + 1))
        right += found.order == wanted and back.order == wanted
        known = "1" if len(wanted) == 1 else f"1 to {len(wanted)}"
        doubt = " ?" if name in UNSURE else ""
        same = "the same" if back.order == found.order else _told(back.order)
        yield f"| {name} | {known}{doubt} | {_said(found)} | {same} |"
    yield f"\n{right} of {len(OWN)} as we would read them, both ways."


def _words() -> Iterator[str]:
    yield WORDS_HEAD
    for name in ("stack, tall", "a grid, then tall", "pinwheel"):
        layout = OWN[name]
        found = read(layout)
        assert found.least is not None
        place = next(n for n, key in enumerate(found.least.order) if key != found.least.rival[n])
        before = found.least.order[place - 1] if place else 0
        mine, theirs = found.least.order[place], found.least.rival[place]
        for words, told in _led(layout, before, mine, theirs):
            yield f"| {name} | {words} | {_said(led(found, told))} |"


def _led(
    layout: tuple[Shape, ...], before: int, mine: int, theirs: int
) -> Iterator[tuple[str, Words]]:
    """Ways in which words may lead from one panel to one of two."""
    boxes = {n: _middle(shape) for n, shape in enumerate(layout, 1)}
    even = {n: (f"1.{n}.1", box) for n, box in boxes.items()}
    silent = {n: one for n, one in even.items() if n != mine}
    start = Box(0, 0, 0, 0).center
    yield "none", Words({}, {}, (), start)
    yield f"none in panel {mine}", Words(silent, silent, (), start)
    if before:
        for then in (mine, theirs):
            over = Across((f"1.{before}.1",), (before, then), 1.0)
            yield f"a balloon from {before} over to {then}", Words({}, {}, (over,), start)
        for then, far in ((mine, theirs), (theirs, mine)):
            near = {before: even[before], then: even[before], far: even[far]}
            yield f"those of {then} the nearest to {before}", Words(near, near, (), start)


def _middle(shape: Shape) -> Box:
    """A balloon in the middle of a panel."""
    at = plan(1, shape).box.center
    return Box(at.x, at.y, at.x, at.y).grown(20)


if __name__ == "__main__":
    if "--write" in sys.argv[1:]:
        Path(__file__).with_name("PANELS.md").write_text(table(), "utf-8")
    else:
        print(table(), end="")
