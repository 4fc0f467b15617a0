"""The pages of a run as one PDF file: its name, its title, and how it is written."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from itertools import pairwise
from pathlib import Path

from letterer.model.plan import Layout, Reading
from letterer.model.script import Script
from letterer.model.script_title import book_title
from letterer.out.files import make_folder, write_parts
from letterer.out.pdf import PdfBook, pdf_parts
from letterer.out.pdf_page import PdfPage

NAME_MOST = 100
"""Letters of a file's name; a longer list of pages is told by a short sum of it."""


def book_name(pages: Sequence[int] | None, over_art: bool = False) -> str:
    """The name of the PDF of a whole book, or of some pages of it. No two of these are alike, and
    none is like that of a single page, so that a few pages never take the place of the book.

    >>> book_name(None), book_name([1, 2, 3, 5]), book_name(None, over_art=True)
    ('book.pdf', 'book-pages-1-3+5.pdf', 'book-over-art.pdf')
    """
    end = "-over-art.pdf" if over_art else ".pdf"
    if pages is None:
        return f"book{end}"
    told = _ranges(pages)
    if len(told) > NAME_MOST:
        told = f"{told[:40]}-{hashlib.sha256(told.encode()).hexdigest()[:8]}"
    return f"book-pages-{told}{end}"


def _ranges(pages: Sequence[int]) -> str:
    if not pages:
        return "none"
    begins = [0, *(at for at, (one, two) in enumerate(pairwise(pages), 1) if two != one + 1)]
    ends = [*(begin - 1 for begin in begins[1:]), len(pages) - 1]
    return "+".join(
        f"{pages[begin]}" if begin == end else f"{pages[begin]}-{pages[end]}"
        for begin, end in zip(begins, ends, strict=True)
    )


def write_book(
    path: Path, pieces: Iterable[PdfPage], book: tuple[Script, Layout], over_art: bool = False
) -> None:
    """Write pieces, in the order of the pages, as one PDF. Raises LettererError."""
    script, layout = book
    about = PdfBook(
        book_title(script),
        layout.language,
        layout.reading is Reading.RIGHT_TO_LEFT,
        over_art,
    )
    make_folder(path.parent)
    write_parts(path, pdf_parts(pieces, about))
