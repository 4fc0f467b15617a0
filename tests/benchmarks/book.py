"""A made-up comic book to measure with: 22 pages, 150 balloons, about 2,400 words.

    python tests/benchmarks/book.py FOLDER

writes its script.txt and layout.json. The words are drawn by chance from a small list of our own,
the same in every run. `dense_page` gives one page with any number of balloons.
"""

from __future__ import annotations

import json
import random
import sys
from pathlib import Path
from typing import NamedTuple

IDENTITY = 4711
PAGES, BALLOONS, WORDS = 22, 150, 2400
TRIM = (6.625, 10.188)
BLEED = 0.125
COLUMNS, ROWS = 2, 4

VOCABULARY = """
a at be by do go he if in it me my no of on or so to up us we and any are ask but can did far
for had has her him his how let man may new not now off old one our out own put say see she
sun the too try two was way who why yes you boat door down ever feet from gate hand hear here
home kept know lamp last late left lock mind more need next once over rain road room sail
salt seen ship stay such tell than that them then they this tide told took turn upon very
wait walk want wave well were what when will wind with word work year your above after again
alone began below bring every found friend garden harbour keeper ladder lantern letter
morning mountain nobody nothing perhaps remember somebody stranger thousand together tomorrow
weather whatever yesterday
""".split()  # noqa: SIM905


class Balloon(NamedTuple):
    """What is said, and where its middle is on the trimmed page, in inches."""

    words: str
    x: float
    y: float


def speech(drawn: random.Random, words: int) -> str:
    """So many words in sentences."""
    said: list[str] = []
    begins = True
    for place in range(words):
        word = drawn.choice(VOCABULARY)
        ends = place == words - 1 or (drawn.random() < 0.12 and not begins)
        mark = drawn.choice("..!?") if ends else "," if drawn.random() < 0.08 else ""
        said.append((word.capitalize() if begins else word) + mark)
        begins = ends
    return " ".join(said)


def book() -> list[list[Balloon]]:
    """The balloons of each page; every balloon has a place of its own in a grid of two by four."""
    drawn = random.Random(IDENTITY)
    counts = [BALLOONS // PAGES + (page < BALLOONS % PAGES) for page in range(PAGES)]
    lengths = _lengths(drawn)
    width, height = TRIM[0] / COLUMNS, TRIM[1] / ROWS
    pages: list[list[Balloon]] = []
    for count in counts:
        places = sorted(drawn.sample(range(COLUMNS * ROWS), count))
        pages.append(
            [
                Balloon(
                    speech(drawn, lengths.pop()),
                    (place % COLUMNS + 0.5) * width + drawn.uniform(-0.15, 0.15),
                    (place // COLUMNS + 0.4) * height + drawn.uniform(-0.1, 0.1),
                )
                for place in places
            ]
        )
    return pages


def _lengths(drawn: random.Random) -> list[int]:
    """Words of each balloon: 4 to 28, most of them near 16, and exactly so many in all."""
    lengths = [drawn.randint(2, 14) + drawn.randint(2, 14) for _ in range(BALLOONS)]
    while sum(lengths) != WORDS:
        place, step = drawn.randrange(BALLOONS), 1 if sum(lengths) < WORDS else -1
        if 4 <= lengths[place] + step <= 28:
            lengths[place] += step
    return lengths


def dense_page(balloons: int) -> list[list[Balloon]]:
    """One page with so many balloons of 12 words each; when it is crowded they lie on one
    another, which costs the same."""
    drawn = random.Random(f"{IDENTITY} {balloons}")
    return [
        [
            Balloon(speech(drawn, 12), drawn.uniform(1, TRIM[0] - 1), drawn.uniform(1, TRIM[1] - 1))
            for _ in range(balloons)
        ]
    ]


def write(pages: list[list[Balloon]], folder: Path) -> tuple[Path, Path]:
    """The script and the layout of a book as files; every balloon has a tail to a mouth below."""
    lines: list[str] = []
    plans: list[dict[str, object]] = []
    for number, balloons in enumerate(pages, 1):
        lines += [f"PAGE {number}", "PANEL 1", *(f"NELL: {one.words}" for one in balloons), ""]
        placements = [
            {
                "unit": f"{number}.1.{place}",
                "center": [round(one.x, 3), round(one.y, 3)],
                "tails": [[round(one.x + 0.2, 3), round(one.y + 1.1, 3)]],
            }
            for place, one in enumerate(balloons, 1)
        ]
        panel = {"panel": 1, "box": [0, 0, *TRIM]}
        plans.append({"page": number, "panels": [panel], "placements": placements})
    page = {"trim": list(TRIM), "bleed": BLEED, "live": 0.25}
    layout = {"letterer": 1, "unit": "in", "page": page, "pages": plans}
    folder.mkdir(parents=True, exist_ok=True)
    script_file, layout_file = folder / "script.txt", folder / "layout.json"
    script_file.write_text("\n".join(lines), "utf-8")
    layout_file.write_text(json.dumps(layout, indent=1) + "\n", "utf-8")
    return script_file, layout_file


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: python tests/benchmarks/book.py FOLDER")
    print(*write(book(), Path(sys.argv[1])), sep="\n")
