"""One lettered page as a PDF's content stream, and what the file has to tell of it.

Such a piece is made wherever its page is lettered, and travels between processes; `pdf` puts the
pieces of a book together. Paths are those of the page, in points, to a thousandth. What a unit
draws below its words is marked as an artifact; its words are marked content with a number, under
which the file tells them in plain text (ISO 32000-1, 14.6 to 14.9).

Words are drawn as outlines, with words without ink under them that can be searched, or they are
text in a part of their own face. Letters that are bent or drawn one by one, sound effects, and
letters of a face that may not be put into a document, are outlines in any case.

#000000 is drawn as DeviceGray 0, so that it prints in black ink alone, and every other grey in
DeviceGray too. Overprinting is defined for the inks of DeviceCMYK only (ISO 32000-1, 11.7.4.5), so
where it is asked for, black lettering is drawn in 0 0 0 1 of these.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import cycle
from typing import NamedTuple

from letterer.geometry import Box, Path, Point, Segment
from letterer.ink.ring import Ring
from letterer.model.plan import Art, PageFormat
from letterer.out.pdf_art import PdfPicture
from letterer.out.pdf_letters import PageFace, PageLetters, can_be_text, refused
from letterer.out.pdf_objects import packed
from letterer.out.pdf_words import Alphabet, hidden_words
from letterer.out.svg import number
from letterer.page.lettered import (
    Finding,
    Layer,
    LetteredPage,
    PlacedUnit,
    Severity,
    Stroke,
)
from letterer.text.direction import levels
from letterer.text.letter_path import LetterPath

THIRD = 2.0 / 3.0
NO_LENGTH = 1e-6
BLACK = "#000000"
MITRE_MOST = 4
DASHES_MOST = 10
"""Lengths of a dash pattern that readers take. (pdfium keeps 32 of them, and then begins anew.)"""

SIDE_MOST = 14_400.0
"""Units of a page's side that every reader takes (ISO 32000-1, annex C); beyond it the page's unit
is made larger than a point."""


class Told(NamedTuple):
    """What a unit tells: its structure type, its words, and the box they stand in, in points from
    the corner of the trim; its language, where that is not the page's."""

    tag: str
    words: str
    box: Box
    language: str = ""


@dataclass(frozen=True, slots=True)
class PdfPage:
    """A page as a piece of a PDF. `content` is its packed stream, `letters` the characters of its
    hidden words by their codes, `faces` what it needs of faces, `told` what its units tell, in
    reading order. `picture` is one that the stream draws as /Art by itself; by its `title` a page
    is found in the reader's list."""

    number: int
    format: PageFormat
    language: str
    content: bytes
    letters: tuple[str, ...]
    told: tuple[Told, ...]
    art: Art | None = None
    faces: tuple[PageFace, ...] = ()
    picture: PdfPicture | None = None
    title: str = ""

    @property
    def unit(self) -> int:
        """How many points a unit of the PDF's page is."""
        bleed = self.format.bleed
        return max(-int(-max(bleed.width, bleed.height) // SIDE_MOST), 1)


def pdf_page(page: LetteredPage, overprint: bool = False, as_text: bool = False) -> PdfPage:
    """One page as a piece of a PDF. With `overprint`, black words and lines print over colours
    that lie under them instead of leaving a gap in those; sound effects are left as they are. With
    `as_text`, words are text in their own faces, not outlines."""
    writer = PageWriter(overprint, as_text)
    told = tuple(_told(unit) for unit in page.units)
    made = PdfPage(page.number, page.format, page.language, b"", (), told, page.art)
    steps = (step for place, unit in enumerate(page.units) for step in writer.unit(unit, place))
    return writer.piece(made, steps)


def art_step(piece: PdfPage, box: Box) -> str:
    """The step that draws the page's picture in its box, below everything else."""
    width, height = number(box.width), number(-box.height)
    place = f"{number(box.left)} {number(box.bottom)}"
    return f"/Artifact BMC q {_whole_page(piece)} {width} 0 0 {height} {place} cm /Art Do Q EMC"


def _whole_page(piece: PdfPage) -> str:
    """The map from the page's points, y growing downward from the trim, to the PDF's units."""
    bleed, unit = piece.format.bleed, piece.unit
    scale = f"{1 / unit:.9f}".rstrip("0").rstrip(".")
    left, top = number(-bleed.left / unit), number(bleed.bottom / unit)
    return f"{scale} 0 0 -{scale} {left} {top} cm"


def _told(unit: PlacedUnit) -> Told:
    return Told(tag_of(unit), " ".join(unit.words.split()), unit.box)


def told_of_faces(page: LetteredPage) -> tuple[Finding, ...]:
    """Notes on faces that cannot be in a PDF as text."""
    lines = (line for unit in page.units if unit.kind != "effect" for line in unit.lines)
    mend = "Choose another face, or let all words be outlines"
    return tuple(
        Finding(
            Severity.NOTE,
            "face kept out",
            f"no part of the face {family} may be put into a PDF, so its words stay outlines",
            mend,
            page.number,
        )
        for family in refused(lines)
    )


class PageWriter:
    """Writes the units of one page, and gathers what it needs of alphabets and faces."""

    def __init__(self, overprint: bool, as_text: bool) -> None:
        self.alphabet = Alphabet()
        self.letters = PageLetters()
        self._overprint = overprint
        self._as_text = as_text

    def piece(self, made: PdfPage, steps: Iterable[str]) -> PdfPage:
        """The page, with its steps as its stream and what they need of alphabets and faces."""
        content = packed("\n".join([_whole_page(made), *steps]).encode("ascii"))
        return replace(
            made, content=content, letters=self.alphabet.letters, faces=self.letters.faces
        )

    def unit(self, unit: PlacedUnit, place: int, tag: str = "") -> Iterator[str]:
        """A unit's steps; its words are marked by its place on the page, and as what they are."""
        words = unit.words_layers
        below = unit.layers()[: -len(words) or None]
        over = self._overprint and unit.kind != "effect"
        yield f"q 1 j {MITRE_MOST} M"
        if unit.clip:
            yield from path_operators(unit.clip)
            yield "W n"
        yield from self.artifact(below, over)
        yield f"/{tag or tag_of(unit)} <</MCID {place}>> BDC"
        if self._as_text and _has_text(unit):
            yield from self._text(unit, over)
        else:
            for layer in words:
                yield from self._layer(layer, over, over)
            yield from hidden_words(unit, self.alphabet)
        yield "EMC"
        yield "Q"

    def artifact(self, layers: Sequence[Layer], over: bool = False) -> Iterator[str]:
        """Layers that are drawn and tell nothing."""
        if layers:
            yield "/Artifact BMC"
            for layer in layers:
                yield from self._layer(layer, False, over)
            yield "EMC"

    def _text(self, unit: PlacedUnit, over: bool) -> Iterator[str]:
        over = over and unit.color.lower() == BLACK
        steps = [_color(unit.color, over, "g", "rg", "k")]
        last = len(unit.lines) - 1
        for place, (line, words) in enumerate(zip(unit.lines, unit.breaks, strict=True)):
            assert isinstance(line, LetterPath)
            steps += self.letters.text(line, words, place == last)
        yield from _painted(steps, over)

    def _layer(self, layer: Layer, fill_over: bool, stroke_over: bool) -> Iterator[str]:
        """A layer, filled and then lined, as SVG and Skia do it; black fills and lines over colours
        where that is asked for."""
        if isinstance(layer.path, LetterPath) and not layer.stroke:
            drawn = list(self.letters.outlines(layer.path))
            path: list[str] = []
        else:
            path = drawn = list(path_operators(layer.path))
        if not drawn:
            return
        if layer.fill:
            over = fill_over and layer.fill.lower() == BLACK
            ends = ["f"] if path else []
            yield from _painted([_color(layer.fill, over, "g", "rg", "k"), *drawn, *ends], over)
        if layer.stroke:
            over = stroke_over and layer.stroke.color.lower() == BLACK
            if layer.stroke.dash and len(layer.stroke.dash) > DASHES_MOST:
                path = list(path_operators(in_dashes(layer.path, layer.stroke.dash)))
            yield from _painted([*_stroke(layer.stroke, over), *path, "S"], over)


def tag_of(unit: PlacedUnit) -> str:
    """What a unit is in the document's structure (ISO 32000-1, 14.8.4)."""
    return "Figure" if unit.kind == "effect" else "P"


def _has_text(unit: PlacedUnit) -> bool:
    """Whether a unit's words can be text: lines of letters as they were shaped, from left to right.

    Readers of PDF turn words that run from the right by rules of their own, which ligatures, marks
    and brackets suffer from; words without ink, a letter each, come out of them whole.
    """
    plain = unit.kind != "effect" and not unit.letters and len(unit.lines) == len(unit.breaks)
    return plain and all(map(can_be_text, unit.lines)) and levels(unit.words) is None


def _painted(steps: Sequence[str], over: bool) -> Iterator[str]:
    if not over:
        yield from steps
        return
    yield "q /Over gs"
    yield from steps
    yield "Q"


def in_dashes(path: Path, dash: Sequence[float]) -> Path:
    """Closed contours as their dashes, each a contour of its own; `dash` has the length of each
    and of the gap after it, by turns."""
    segments: list[Segment] = []
    for ring in map(Ring, path.contours()):
        turns = cycle(zip(dash[::2], dash[1::2], strict=True))
        at = 0.0
        while at < ring.length - NO_LENGTH:
            drawn, gap = next(turns)
            end = min(at + drawn, ring.length - NO_LENGTH)
            segments += [Segment("M", (ring.point(at),)), *ring.between(at, end)]
            at = end + gap
    return Path(tuple(segments))


def _stroke(stroke: Stroke, over: bool) -> Iterator[str]:
    lengths = stroke.dash if stroke.dash and len(stroke.dash) <= DASHES_MOST else ()
    dash = " ".join(map(number, lengths))
    cap, join = (1 if stroke.dash else 0), (0 if stroke.mitred else 1)
    yield _color(stroke.color, over, "G", "RG", "K")
    yield f"{number(stroke.width)} w [{dash}] 0 d {cap} J {join} j"


def _color(color: str, over: bool, grey: str, colours: str, inks: str) -> str:
    """A colour #rrggbb by the operator that suits it."""
    parts = [int(color[at : at + 2], 16) for at in (1, 3, 5)]
    if over:
        return f"0 0 0 1 {inks}"
    if len(set(parts)) == 1:
        return f"{number(parts[0] / 255)} {grey}"
    return " ".join(number(part / 255) for part in parts) + f" {colours}"


def path_operators(path: Path) -> Iterator[str]:
    """A path by the operators m, l, c and h (ISO 32000-1, 8.5.2); quadratic curves are raised to
    cubic ones."""
    here = Point(0.0, 0.0)
    for verb, points in path.segments:
        if verb == "Z":
            yield "h"
            continue
        if verb == "Q":
            middle, end = points
            points = (here.toward(middle, THIRD), end.toward(middle, THIRD), end)
        pairs = " ".join(number(value) for point in points for value in point)
        yield f"{pairs} {({'M': 'm', 'L': 'l'}).get(verb, 'c')}"
        here = points[-1]
