"""The proof as a PDF for paper and screen: a sheet for each page, its findings beside it.

Sheets are A4 on its side. The page stands on the left with its art, its unit numbers, the reading
path and the marks of findings; on the right is what is said of each. A page with more findings than
a sheet holds goes on, with its picture, on the next; a long strip is cut into parts, between panels
where it can be. The first sheet tells of the book and of the signs. All words are text; the way of
the eye runs behind the balloons, so that it covers none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from letterer.geometry import Affine, Box, Path, Point, Segment, polygon, rectangle
from letterer.model.plan import PageFormat, Reading
from letterer.out.guide_marks import circle
from letterer.out.labels import shaped
from letterer.out.pdf import PdfBook, pdf_parts
from letterer.out.pdf_art import PdfPicture
from letterer.out.pdf_page import PageWriter, PdfPage, Told, path_operators, tag_of
from letterer.out.proof import ProofBook, ProofPage, counted
from letterer.out.proof_drawing import Mark, badges, marked
from letterer.out.svg import number
from letterer.page.lettered import Layer, PlacedUnit, Severity, Stroke
from letterer.review.finding import Noticed
from letterer.review.path import StopKind, eye_path
from letterer.text.faces import FaceLibrary

SHEET = Box(0.0, 0.0, 841.89, 595.28)
"""A4 on its side (ISO 216), in points."""

MARGIN, HEAD, APART = 26.0, 24.0, 18.0
"""Round the sheet, the height of its heading, and between the page and what is said of it."""

PAGE_SHARE = 0.6
"""A page that is wider than high takes at most this share of the sheet."""

LONG, PART, PART_LEAST = 2.2, 1.5, 0.75
"""A page longer than so many times its width is cut into parts no longer than this share of it, and
no shorter than that."""

LEADING = 1.32
COLUMN_MOST = 360.0
"""A line of text no longer than this is read at ease: about 75 letters."""

SIGN, SIGN_TEXT = 7.5, 8.5
BADGE_SHARE, BADGE_TEXT = 0.9, 7.4
ARROW, DOT = 7.0, 1.9
BETWEEN = 7.0
INK, SOFT, DEEP, WARM, WAY, GREY = "#1d2433", "#5b5f69", "#1f4d4a", "#9c1f3c", "#0a6a9c", "#666666"
WHITE, RULE = "#ffffff", "#b9b3a4"
SIGNS = (
    ("badge", "The number of a balloon, caption or effect: page, panel, place in the panel."),
    ("problem", "A problem to mend before print."),
    ("warning", "A warning: look at it."),
    ("note", "A note."),
    ("accepted", "A finding that the layout accepts, with its reason."),
    ("way", "The way of the eye through words, faces and what is to be found."),
)


class Look(NamedTuple):
    """How words of ours look: their size, whether bold, their colour; and what they are in the
    document's structure."""

    size: float
    bold: bool = False
    color: str = INK
    tag: str = "P"


TITLE = Look(24.0, bold=True, tag="H1")
HEADING = Look(13.0, bold=True, tag="H1")
BELOW = Look(11.0, bold=True, tag="H2")
TEXT, SMALL = Look(9.5), Look(8.0, color=SOFT)
MARKED, ACCEPTED = Look(9.5, bold=True, color=WARM), Look(9.5, bold=True, color=GREY)


@dataclass(frozen=True, slots=True)
class ProofSheet:
    """A page of the proof, and its art as a picture that covers its bleed, or None."""

    page: ProofPage
    picture: PdfPicture | None = None


def proof_pdf(book: ProofBook, pages: Sequence[ProofSheet], faces: FaceLibrary) -> Iterator[bytes]:
    """The whole proof as the pieces of a PDF file."""
    about = PdfBook(f"Proof of {book.title}", "en", book.reading is Reading.RIGHT_TO_LEFT)
    return pdf_parts(_sheets(book, pages, faces), about)


def _sheets(book: ProofBook, pages: Sequence[ProofSheet], faces: FaceLibrary) -> Iterator[PdfPage]:
    yield from _first(book, pages, faces)
    for one in pages:
        yield from _of_page(one, book, faces)


class _Desk:
    """One sheet in the making: steps of its stream, and what it tells."""

    def __init__(self, faces: FaceLibrary) -> None:
        self.faces = faces
        self.writer = PageWriter(overprint=False, as_text=True)
        self.steps: list[str] = []
        self.told: list[Told] = []

    def unit(self, unit: PlacedUnit, tag: str = "", box: Box | None = None, lang: str = "") -> None:
        """A unit, in its place in the reading order."""
        self.steps += self.writer.unit(unit, len(self.told), tag)
        words = " ".join(unit.words.split())
        self.told.append(Told(tag or tag_of(unit), words, box or unit.box, lang))

    def write(self, words: str, at: Point, wide: float, look: Look) -> float:
        """A paragraph of ours from its top left corner; gives its height."""
        made = paragraph(words, at, wide, look, self.faces)
        self.unit(made, look.tag)
        return made.box.height

    def draw(self, *layers: Layer) -> None:
        """What tells nothing."""
        self.steps += self.writer.artifact(layers)

    def letters(self, words: str, middle: Point, size: float, color: str) -> Layer:
        """A few letters round a point, as outlines: a number in its sign."""
        shaper = shaped(words, self.faces, bold=True)
        line = shaper.line(0, len(shaper.text.text))
        x = middle.x - (line.ink.left + line.ink.right) / 2 * size
        y = middle.y - (line.ink.top + line.ink.bottom) / 2 * size
        return Layer("line", line.path(size, Point(x, y)), color)

    def sign(self, number: int, kind: str, square: bool, at: Point, by: float = 1.0) -> None:
        """The sign of a finding: a disc or a square with its number."""
        tone = GREY if kind == "accepted" else WARM
        radius = SIGN * by
        shape = _square(at, radius) if square else circle(at, radius)
        full = kind == "problem"
        fill, words = (tone, WHITE) if full else (WHITE, tone)
        self.draw(
            Layer("sign", shape, fill, Stroke(1.3 * by, WHITE if full else tone)),
            self.letters(str(number), at, SIGN_TEXT * by, words),
        )

    def badge(self, box: Box, id: str, size: float) -> None:
        """The number of a unit."""
        self.draw(
            Layer("badge", rectangle(box), DEEP, Stroke(0.08 * size, WHITE)),
            self.letters(id, box.center, size, WHITE),
        )

    def sheet(self, number: int, title: str, picture: PdfPicture | None = None) -> PdfPage:
        """The sheet as it is put into the file."""
        format = PageFormat(SHEET, SHEET, SHEET)
        told = tuple(self.told)
        made = PdfPage(number, format, "en", b"", (), told, picture=picture, title=title)
        return self.writer.piece(made, self.steps)


def paragraph(words: str, at: Point, wide: float, look: Look, faces: FaceLibrary) -> PlacedUnit:
    """Words of ours in lines no longer than a width, from their top left corner."""
    shaper, size = shaped(words, faces, look.bold), look.size
    text, reach = shaper.text.text, shaper.advances()
    spans: list[tuple[int, int]] = []
    begin = end = 0
    for stop in [place for place, char in enumerate(text) if char == " "] + [len(text)]:
        if end > begin and (reach[stop] - reach[begin]) * size > wide:
            spans.append((begin, end))
            begin = end + 1
        end = stop
    spans.append((begin, end))
    high = size * LEADING
    lines = [
        shaper.line(*span).path(size, Point(at.x, at.y + high * (row + 1) - size * 0.4))
        for row, span in enumerate(spans)
        if span[1] > span[0]
    ]
    box = Box(at.x, at.y, at.x + wide, at.y + high * len(spans))
    return PlacedUnit(
        id="label",
        kind="label",
        words=words,
        speaker="",
        panel=0,
        size=size,
        lines=tuple(lines),
        breaks=tuple(text[begin:end] for begin, end in spans if end > begin),
        ink=box,
        box=box,
        color=look.color,
    )


# --- The first sheet ----------------------------------------------------------------------------


def _first(book: ProofBook, pages: Sequence[ProofSheet], faces: FaceLibrary) -> Iterator[PdfPage]:
    """Title, counts, signs, and the findings of the book as a whole, on further sheets if need
    be."""
    desk = _Desk(faces)
    at = Point(MARGIN, MARGIN)
    wide = SHEET.width - 2 * MARGIN
    title = f"Proof: {book.title}"
    down = at.y + desk.write(title, at, wide, TITLE)
    told = f"{counted([one.page for one in pages], book.found)} {book.told}"
    down += desk.write(told, Point(at.x, down + 4), COLUMN_MOST * 1.4, TEXT) + 14
    column = Box(SHEET.width / 2, down, SHEET.width - MARGIN, SHEET.height - MARGIN)
    for kind, means in SIGNS:
        middle = Point(at.x + 14, down + TEXT.size * LEADING / 2)
        _sample(desk, kind, middle)
        down += max(desk.write(means, Point(at.x + 36, down), COLUMN_MOST - 60, TEXT), 16) + 5
    desk.write(_where(pages), Point(at.x, down + 10), COLUMN_MOST, TEXT)
    left = list(book.found)
    if left:
        top = Point(column.left, column.top)
        begun = desk.write("Of the book as a whole", top, column.width, BELOW)
        left = _findings(desk, left, column._replace(top=column.top + begun + 4))
    yield desk.sheet(1, "The book")
    while left:
        desk = _Desk(faces)
        left = _findings(desk, left, SHEET.grown(-MARGIN))
        yield desk.sheet(1, "")


def _where(pages: Sequence[ProofSheet]) -> str:
    """Which pages have something to be looked at."""
    counts = [
        (one.page.page.number, sum(not noticed.because for _, noticed, _ in one.page.found))
        for one in pages
    ]
    named = [f"page {number} ({count})" for number, count in counts if count]
    return f"Findings on {', '.join(named)}." if named else "Nothing to mend on any page."


def _sample(desk: _Desk, kind: str, middle: Point) -> None:
    if kind == "badge":
        half = Point(13.0, 5.0)
        box = Box(middle.x - half.x, middle.y - half.y, middle.x + half.x, middle.y + half.y)
        desk.badge(box, "1.2.3", BADGE_TEXT)
    elif kind == "way":
        desk.draw(*_way([middle.shifted(-13, 3), middle.shifted(13, -3)], 1.0))
    else:
        desk.sign(1, kind, kind == "note", middle)


# --- A page's sheets ----------------------------------------------------------------------------


def _of_page(one: ProofSheet, book: ProofBook, faces: FaceLibrary) -> Iterator[PdfPage]:
    panels = [panel.box for panel in one.page.plan.panels]
    bleed = one.page.page.format.bleed
    parts = parts_of(bleed, panels)
    for place, part in enumerate(parts):
        name = f"Page {one.page.page.number}"
        name += f", part {place + 1} of {len(parts)}" if len(parts) > 1 else ""
        found = tuple(each for each in one.page.found if _is_in(each[1].at, part, bleed))
        its = replace(one, page=replace(one.page, found=found))
        yield from _of_part(its, (name, part), book, faces)


def parts_of(page: Box, panels: Sequence[Box]) -> list[Box]:
    """A page as it is, or a long one in parts from the top down, cut between panels where that
    leaves parts of a fair length.

    >>> long = Box(0, 0, 100, 400)
    >>> [part.bottom for part in parts_of(long, [Box(5, 5, 95, 125), Box(5, 135, 95, 395)])]
    [130.0, 280.0, 400]
    """
    if page.height <= LONG * page.width:
        return [page]
    edges = [panel.top for panel in panels] + [panel.bottom for panel in panels]
    rows = sorted({edge for edge in edges if page.top < edge < page.bottom})
    between = [(one + two) / 2 for one, two in pairwise(rows)]
    free = [row for row in between if not any(box.top < row < box.bottom for box in panels)]
    most, least = PART * page.width, PART_LEAST * page.width
    parts: list[Box] = []
    at = page.top
    while page.bottom - at > most:
        row = max((row for row in free if at + least <= row <= at + most), default=at + most)
        parts.append(Box(page.left, at, page.right, row))
        at = row
    return [*parts, Box(page.left, at, page.right, page.bottom)]


def _is_in(box: Box | None, part: Box, page: Box) -> bool:
    """Whether a part of a page is where something is told or drawn: the part that its middle lies
    in or is next to, and the first for what has no place."""
    middle = page.top if box is None else box.center.y
    above, below = part.top == page.top, part.bottom == page.bottom
    return (above or part.top <= middle) and (below or middle < part.bottom)


def _of_part(
    one: ProofSheet, named: tuple[str, Box], book: ProofBook, faces: FaceLibrary
) -> Iterator[PdfPage]:
    page, left = one.page.page, list(one.page.found)
    again = False
    while True:
        desk = _Desk(faces)
        name = named[0] + (", continued" if again else "")
        top = Point(MARGIN, MARGIN - 8)
        desk.write(name, top, SHEET.width / 2, HEADING)
        title = paragraph(book.title, top, SHEET.width, SMALL, faces)
        width = title.lines[0].box() if title.lines else None
        if width:
            aside = SHEET.width - MARGIN - width.width - MARGIN
            desk.draw(*(Layer("line", line.shifted(aside, 4), SMALL.color) for line in title.lines))
        place = _picture(desk, one, named[1], book)
        start = place.right + APART
        wide = min(SHEET.width - MARGIN - start, COLUMN_MOST)
        column = Box(start, place.top, start + wide, SHEET.height - MARGIN)
        if left:
            left = _findings(desk, left, column)
        else:
            desk.write("Nothing to mend here.", Point(column.left, column.top), wide, TEXT)
        yield desk.sheet(page.number, "" if again else name, one.picture)
        if not left:
            return
        again = True


def _picture(desk: _Desk, one: ProofSheet, part: Box, book: ProofBook) -> Box:
    """A part of the page on the sheet, with all that is drawn on it; gives the box it takes."""
    page, bleed = one.page.page, one.page.page.format.bleed
    top = MARGIN + HEAD - 8
    high, wide = SHEET.height - MARGIN - top, (SHEET.width - 2 * MARGIN) * PAGE_SHARE
    scale = min(high / part.height, wide / part.width)
    place = Box(MARGIN, top, MARGIN + part.width * scale, top + part.height * scale)
    by = 1 / scale
    x, y = place.left - part.left * scale, place.top - part.top * scale
    exact = f"{scale:.9f}"
    desk.steps.append(f"q {exact} 0 0 {exact} {number(x)} {number(y)} cm")
    if part != bleed:
        desk.steps += [*path_operators(rectangle(part)), "W n"]
    if one.picture is not None:
        desk.steps += _art(desk, bleed, one.page.alt, place, book.language)
    path = eye_path(page, one.page.plan, book.reading)
    stops = [stop.at for stop in path.stops if stop.kind is not StopKind.PANEL]
    desk.draw(*_way(stops, by))
    onto = Affine(scale, 0.0, 0.0, scale, x, y)
    for unit in (unit for unit in page.units if _is_in(unit.box, part, bleed)):
        desk.unit(unit, box=_mapped(unit.box, onto), lang=book.language)
    named = [each for each in badges(page, by * BADGE_SHARE) if _is_in(each[0], part, bleed)]
    for box, id in named:
        desk.badge(box, id, BADGE_TEXT * by)
    found = [(at, noticed) for at, noticed, _ in one.page.found]
    for mark in marked(found, bleed, [box for box, _ in named], by):
        _mark(desk, mark, by)
    desk.steps.append("Q")
    desk.draw(Layer("frame", rectangle(place), None, Stroke(0.6, RULE)))
    return place


def _art(desk: _Desk, bleed: Box, alt: str, place: Box, language: str) -> Iterator[str]:
    """The art as a figure that tells the page in words."""
    yield f"/Figure <</MCID {len(desk.told)}>> BDC q {number(bleed.width)} 0 0"
    yield f"{number(-bleed.height)} {number(bleed.left)} {number(bleed.bottom)} cm /Art Do Q EMC"
    desk.told.append(Told("Figure", alt, place, language))


def _mapped(box: Box, onto: Affine) -> Box:
    corner, other = (
        onto.apply(Point(x, y)) for x, y in ((box.left, box.top), (box.right, box.bottom))
    )
    return Box(corner.x, corner.y, other.x, other.y)


def _mark(desk: _Desk, mark: Mark, by: float) -> None:
    tone = GREY if mark.kind == "accepted" else WARM
    frame = rectangle(mark.frame)
    desk.draw(
        Layer("frame", frame, None, Stroke(2.2 * by, WHITE)),
        Layer("frame", frame, None, Stroke(1.0 * by, tone)),
    )
    desk.sign(mark.number, mark.kind, mark.square, mark.place, by)


def _way(stops: Sequence[Point], by: float) -> Iterator[Layer]:
    """A line through points, with an arrow halfway along each stretch and a dot at each point."""
    if len(stops) < 2:
        return
    line = _open(stops)
    yield Layer("way", line, None, Stroke(3.0 * by, WHITE))
    yield Layer("way", line, None, Stroke(1.2 * by, WAY))
    heads = [_arrow(one, two, ARROW * by) for one, two in pairwise(stops) if one.distance(two) > by]
    dots = [circle(stop, DOT * by) for stop in stops]
    every = tuple(segment for path in [*heads, *dots] for segment in path.segments)
    yield Layer("way", Path(every), WAY, Stroke(0.4 * by, WHITE))


def _open(points: Sequence[Point]) -> Path:
    first, *rest = points
    return Path((Segment("M", (first,)), *(Segment("L", (point,)) for point in rest)))


def _arrow(one: Point, two: Point, size: float) -> Path:
    """An arrow's head at the middle of a way."""
    long = one.distance(two)
    along = Point((two.x - one.x) / long * size, (two.y - one.y) / long * size)
    middle = one.toward(two, 0.5)
    back = middle.shifted(-along.x * 0.5, -along.y * 0.5)
    aside = Point(-along.y * 0.5, along.x * 0.5)
    return polygon(
        [
            middle.shifted(along.x * 0.5, along.y * 0.5),
            back.shifted(aside.x, aside.y),
            back.shifted(-aside.x, -aside.y),
        ]
    )


def _square(at: Point, half: float) -> Path:
    return rectangle(Box(at.x - half, at.y - half, at.x + half, at.y + half))


def _findings(
    desk: _Desk, found: Sequence[tuple[int, Noticed, str]], column: Box
) -> list[tuple[int, Noticed, str]]:
    """What is said of findings, as far as the column holds it; gives those that are left."""
    left = column.left + 2 * SIGN + 9
    wide = column.right - left
    down = column.top
    for done, (at, noticed, told) in enumerate(found):
        kind = "accepted" if noticed.because else noticed.finding.severity.value
        # "unit 1.2.2 (at 1.2, 5.9 in): it covers ...": where it is stands over what it is.
        where, _, what = told.partition(": ")
        text = paragraph(f"{what[:1].upper()}{what[1:]}", Point(left, 0), wide, TEXT, desk.faces)
        high = TEXT.size * LEADING + text.box.height
        if done and down + high > column.bottom:
            return list(found[done:])
        desk.sign(
            at,
            kind,
            noticed.finding.severity is Severity.NOTE,
            Point(column.left + SIGN + 1, down + SIGN + 2),
        )
        heading = f"{kind.capitalize()}, {where}"
        look = ACCEPTED if kind == "accepted" else MARKED
        down += desk.write(heading, Point(left, down), wide, look)
        desk.unit(text.shifted(0.0, down))
        down += text.box.height + BETWEEN
    return []
