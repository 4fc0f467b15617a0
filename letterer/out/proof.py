"""The proof: one page of HTML with the whole book, to be read, judged and handed on.

Everything is in the one file: nothing is fetched. Layers, sizes and jumps work without JavaScript;
a few lines of it mark the page that is being looked at in the list of pages.
"""

from __future__ import annotations

import base64
import io
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from letterer.geometry import POINTS_PER_INCH, Box
from letterer.model.plan import PagePlan, Reading
from letterer.out import proof_drawing as drawing
from letterer.out.art import piece_of
from letterer.out.proof_look import LOOK, SCRIPT
from letterer.out.svg import number
from letterer.page.lettered import LetteredPage
from letterer.review.finding import Noticed
from letterer.review.path import eye_path

LAYERS = (
    ("art", "Art", True),
    ("words", "Lettering", True),
    ("numbers", "Numbers", True),
    ("way", "Reading path", False),
    ("zones", "Panels and zones", False),
    ("marks", "Findings", True),
)
"""What can be shown or hidden: its short name, what it is called, whether it is shown at first."""

SIZES = (("fit", "Whole page"), ("wide", "Full width"), ("print", "Print size"), ("twice", "Twice"))


SIDE_MOST = 16_000
"""Pixels of a picture's side; WebP holds 16,383."""


@dataclass(frozen=True, slots=True)
class ProofPage:
    """One page of the proof. `found` are its findings with their numbers and what is said of each;
    `text` is the page in words (HTML), `alt` its picture in words, `art` the picture as data URIs,
    one below another."""

    page: LetteredPage
    plan: PagePlan
    found: tuple[tuple[int, Noticed, str], ...] = ()
    text: str = ""
    alt: str = ""
    art: tuple[str, ...] = ()


def picture_data(art: Any, placed: Box, region: Box, fine: tuple[float, int]) -> str:
    """The art of a page, on white, at a screen's resolution: a WebP as a data URI, coarser where
    that holds no more pixels. `fine` is its dots per inch and its quality, 0 to 100."""
    most = SIDE_MOST * POINTS_PER_INCH / max(region.width, region.height)
    return _webp(art, placed, region, (min(fine[0], most), fine[1]))


def picture_strips(art: Any, placed: Box, region: Box, fine: tuple[float, int]) -> tuple[str, ...]:
    """The same in strips of one height, one below another, as many as it needs to be as fine as
    asked."""
    count = math.ceil(max(region.width, region.height) * fine[0] / POINTS_PER_INCH / SIDE_MOST)
    high = region.height / count
    tops = [region.top + place * high for place in range(count)]
    strips = [Box(region.left, top, region.right, top + high) for top in tops]
    return tuple(_webp(art, placed, strip, fine) for strip in strips)


def _webp(art: Any, placed: Box, region: Box, fine: tuple[float, int]) -> str:
    file = io.BytesIO()
    piece_of(art, placed, region, fine[0]).save(file, "WEBP", quality=fine[1], method=4)
    return "data:image/webp;base64," + base64.b64encode(file.getvalue()).decode()


@dataclass(frozen=True, slots=True)
class ProofBook:
    """What stands over the pages: title, language, way of reading, the findings of no single page,
    and how the book reads in one line."""

    title: str
    language: str = "en"
    reading: Reading = Reading.LEFT_TO_RIGHT
    found: tuple[tuple[int, Noticed, str], ...] = ()
    told: str = ""


def proof_html(book: ProofBook, pages: Sequence[ProofPage]) -> str:
    """The whole proof as the text of an HTML file."""
    return "".join(_document(book, pages))


def _document(book: ProofBook, pages: Sequence[ProofPage]) -> Iterator[str]:
    title, language = book.title, book.language
    yield (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Proof of {escape(title)}</title><style>{LOOK}</style></head>\n<body>"
        '<a class="skip" href="#pages">To the pages</a>'
        f'<header><h1>Proof: <span lang="{escape(language)}">{escape(title)}</span></h1>'
        f"<p>{counted(pages, book.found)} A disc or a square on the page leads to what is said of"
        f" it. {escape(book.told)}</p></header>\n"
    )
    yield '<div class="desk"><form class="tools" aria-label="What is shown">'
    yield "<fieldset><legend>Show</legend>"
    for name, called, shown in LAYERS:
        on = " checked" if shown else ""
        yield f'<label><input type="checkbox" id="show-{name}"{on}> {called}</label>'
    yield "</fieldset><fieldset><legend>Size</legend>"
    for place, (name, called) in enumerate(SIZES):
        on = "" if place else " checked"
        yield f'<label><input type="radio" name="size" id="size-{name}"{on}> {called}</label>'
    yield '</fieldset></form><nav aria-labelledby="pages-list"><b id="pages-list">Pages</b><ol>'
    for one in pages:
        at = one.page.number
        count = sum(not noticed.because for _, noticed, _ in one.found)
        said = f' aria-label="Page {at}{f", {many(count)}" if count else ""}"'
        told = f'<span class="count">{count}</span>' if count else ""
        yield f'<li><a href="#page-{at}"{said}>{at}{told}</a></li>'
    yield '</ol></nav></div>\n<main id="pages">'
    if book.found:
        yield '<section class="book"><h2>The book</h2>' + _findings(book.found) + "</section>"
    for one in pages:
        yield _page(one, language, book.reading, one is pages[0])
    yield f"</main><script>{SCRIPT}</script></body></html>\n"


def counted(pages: Sequence[ProofPage], book: Sequence[tuple[int, Noticed, str]]) -> str:
    """How many pages and findings there are."""
    every = [*book, *(one for page in pages for one in page.found)]
    still = sum(not noticed.because for _, noticed, _ in every)
    count = f"{len(pages)} page{'' if len(pages) == 1 else 's'}"
    return f"{count}, {many(still)}."


def many(count: int) -> str:
    """How many findings are to be looked at."""
    return "1 finding to look at" if count == 1 else f"{count} findings to look at"


def _page(one: ProofPage, language: str, reading: Reading, first: bool) -> str:
    page, at = one.page, one.page.number
    box = page.format.bleed
    view = " ".join(number(value) for value in (box.left, box.top, box.width, box.height))
    svg = f'<svg class="{{}}" viewBox="{view}"{{}}>{{}}</svg>'
    hidden = ' aria-hidden="true"'
    named = f' role="img" aria-label="The lettering of page {at}; its words follow below"'
    late = "" if first else ' decoding="async" loading="lazy"'
    art = "".join(f'<img alt=""{late} src="{data}">' for data in one.art)
    about = f' role="img" aria-label="{escape(one.alt)}" lang="{escape(language)}"' if art else ""
    art = f'<div class="art"{about}>{art}</div>'
    way = drawing.eye_way(eye_path(page, one.plan, reading), at)
    linked = [(place, noticed) for place, noticed, _ in one.found]
    off = [box for box, _ in drawing.badges(page)]
    layers = (
        art,
        svg.format("zones", hidden, drawing.zones(one.plan)),
        svg.format("words", named, drawing.lettering(page)),
        svg.format("way", hidden, way),
        svg.format("numbers", hidden, drawing.numbers(page)),
        svg.format(
            "marks", f' aria-label="Findings on page {at}"', drawing.marks(linked, box, off)
        ),
    )
    wide, share = number(box.width), number(box.width / box.height)
    said = _findings(one.found) if one.found else "<p>Nothing to mend on this page.</p>"
    words = f'<div lang="{escape(language)}" dir="auto">{one.text}</div>' if one.text else ""
    told = f"<details><summary>The words of page {at}</summary>{words}</details>" if words else ""
    return (
        f'<section class="page" id="page-{at}" tabindex="-1" aria-labelledby="name-{at}"'
        f' style="--wide:{wide};--share:{share}"><h2 id="name-{at}">Page {at}</h2>'
        f'<div class="spread"><div class="hold" tabindex="0" role="group"'
        f' aria-label="Page {at}, scrolls when it is large">'
        f'<div class="sheet">{"".join(layers)}</div></div>'
        f'<div class="said"><h3>Findings</h3>{said}{told}</div></div></section>\n'
    )


def _findings(found: Sequence[tuple[int, Noticed, str]]) -> str:
    rows = []
    for at, noticed, told in found:
        kind = "accepted" if noticed.because else noticed.finding.severity.value
        seen = noticed.at is not None
        sign = f'<span class="sign" aria-hidden="true">{at}</span>'
        number_ = f'<a href="#mark-{at}" aria-label="{at}: show it">{sign}</a>' if seen else sign
        rows.append(
            f'<li id="finding-{at}" class="{kind}">{number_}<p><b>{kind.capitalize()}</b>'
            f" {escape(told)}</p></li>"
        )
    return f'<ul class="findings">{"".join(rows)}</ul>'
