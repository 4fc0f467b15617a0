"""Whether lettering is large enough to be read with ease, in real millimetres, in print and on a
telephone; how wide its lines are; how long a page takes to read.

Each figure has its source in `letterer.craft`, "Easy reading".
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from letterer import craft
from letterer.geometry import MM_PER_INCH, POINTS_PER_INCH
from letterer.page.lettered import LetteredPage, PlacedUnit, Severity
from letterer.review.finding import Inspection, Noticed

MM_PER_POINT = MM_PER_INCH / POINTS_PER_INCH
EFFECT = "effect"
TALL_SHARE = 0.75
"""Outlines of less than this share of the tallest are dots, holes and hyphens."""


@dataclass(frozen=True, slots=True)
class PageReading:
    """How a page reads. Heights of capitals are in millimetres: of its smallest words in print, and
    on a telephone that shows the page across its width. `zoom` is how many times a reader must
    enlarge it there (1: not at all). `line_letters` is the median of characters in its lines;
    `seconds` how long its words take."""

    page: int
    cap_print: float
    cap_telephone: float
    zoom: float
    line_letters: float
    words: int
    seconds: float


def easy_least_mm(distance: float) -> float:
    """The least height of letters, in mm, that is read at full speed from so many mm away.

    >>> round(easy_least_mm(400), 2)
    1.4
    """
    return 2 * distance * math.tan(math.radians(craft.EASY_LETTER_DEGREES[0] / 2))


def height_mm(unit: PlacedUnit) -> float:
    """The height of a unit's letters on the page in mm: the median of the outlines drawn, without
    small ones (dots, and the holes in letters). Of capitals that is the cap height."""
    heights = [box.height for line in unit.lines for box in line.contour_boxes()]
    tallest = max(heights, default=0.0)
    tall = [high for high in heights if high >= TALL_SHARE * tallest]
    return statistics.median(tall) * MM_PER_POINT if tall else 0.0


def reading_of(page: LetteredPage) -> PageReading | None:
    """How a page reads; None for a page without words. Sound effects are seen, not read."""
    read = [unit for unit in page.units if unit.kind != EFFECT and unit.breaks]
    if not read:
        return None
    least = min(map(height_mm, read))
    scale = min(craft.TELEPHONE_WIDTH_MM / (page.format.trim.width * MM_PER_POINT), 1.0)
    small = least * scale
    words = sum(len(unit.words.split()) for unit in page.units)
    lines = [len(line) for unit in read for line in unit.breaks]
    return PageReading(
        page.number,
        round(least, 2),
        round(small, 2),
        round(max(easy_least_mm(craft.EYE_TO_TELEPHONE_MM) / small, 1.0), 1),
        float(statistics.median(lines)),
        words,
        round(words * 60 / craft.READING_WORDS_A_MINUTE, 1),
    )


def readings(pages: Sequence[LetteredPage]) -> tuple[PageReading, ...]:
    """How the pages that have words read."""
    return tuple(one for page in pages if (one := reading_of(page)))


def small_in_print(look: Inspection) -> Iterator[Noticed]:
    """Words whose letters are lower, in print, than is read at full speed."""
    least, floor = easy_least_mm(craft.EYE_TO_PAGE_MM), look.layout.style.smallest_size
    for form in look.forms:
        unit = form.unit
        if unit.size < floor - 1e-6:  # that they are small is told already
            continue
        high = height_mm(unit)
        if unit.kind != EFFECT and unit.breaks and high < least - 0.005:
            size = math.ceil(unit.size * least / high * 10) / 10
            what = (
                f"letters are {high:.2f} mm high in print; from 40 cm away reading is fastest from"
                f" {least:.1f} mm (Legge & Bigelow 2011)"
            )
            told = (what, f"Set it at {size:g} pt or more")
            yield look.noticed(Severity.NOTE, "low letters", told, form)


def small_on_telephone(look: Inspection) -> Iterator[Noticed]:
    """A page made for screens (its layout is in px) that must be enlarged on a telephone."""
    reading = reading_of(look.page) if look.layout.measure.unit == "px" else None
    if reading is not None and reading.zoom > 1.0:
        least = easy_least_mm(craft.EYE_TO_TELEPHONE_MM)
        what = (
            f"on a telephone {craft.TELEPHONE_WIDTH_MM:g} mm wide the smallest letters are"
            f" {reading.cap_telephone:.2f} mm high; reading is fastest from {least:.1f} mm"
            " (Legge & Bigelow 2011)"
        )
        told = (
            what,
            f"Set words {reading.zoom:g} times as large, or readers must enlarge the page",
        )
        yield look.noticed(Severity.NOTE, "small on a telephone", told)


def narrow_lines(look: Inspection) -> Iterator[Noticed]:
    """Longer speeches in lines so narrow that they slow the reader."""
    for form in look.forms:
        unit = form.unit
        long = len(unit.words.split()) >= craft.SLOW_LINE_WORDS
        if unit.kind == EFFECT or not long or not unit.breaks:
            continue
        widest = max(len(line) for line in unit.breaks)
        if widest < craft.SLOW_LINE_LETTERS:
            what = (
                f"its widest line has {widest} characters; reading slows under"
                f" {craft.EASY_LINE_LETTERS}, and much under {craft.SLOW_LINE_LETTERS}"
                " (Legge & Bigelow 2011)"
            )
            yield look.noticed(
                Severity.NOTE,
                "narrow lines",
                (what, "Give it a wider balloon, or fewer lines"),
                form,
            )


def _seconds(many: float) -> str:
    count = max(round(many), 1)
    return f"{count} second{'' if count == 1 else 's'}"


def told_of(found: Sequence[PageReading]) -> str:
    """How a book reads, in one line; nothing for a book without words."""
    if not found:
        return ""
    words, seconds = sum(one.words for one in found), sum(one.seconds for one in found)
    worst = max(found, key=lambda one: (one.zoom, -one.page))
    minutes = seconds / 60
    time = f"{minutes:.0f} minutes" if minutes >= 2 else _seconds(seconds)
    line = f"To read: {words:,} words, about {time}; smallest letters "
    line += f"{min(one.cap_print for one in found):.1f} mm in print"
    if worst.zoom > 1.0:
        line += (
            f"; on a telephone {craft.TELEPHONE_WIDTH_MM:g} mm wide, page {worst.page} must be"
            f" enlarged {worst.zoom:g} times to be read with ease"
        )
    return f"{line}."
