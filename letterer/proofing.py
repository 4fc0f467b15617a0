"""Making the proof: the book lettered over its art, looked over, and written as one HTML page, or
as a PDF for paper."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from letterer import craft
from letterer.api import (
    compose,
    read_book,
)
from letterer.errors import Fault, LettererError
from letterer.geometry import POINTS_PER_INCH, Box
from letterer.model.plan import Layout, PagePlan
from letterer.model.script_title import book_title
from letterer.out.art import piece_of, read_art, told_of_art
from letterer.out.files import (
    check_file,
    check_folder,
    make_folder,
    own_files,
    refuse_over,
    write_parts,
    write_whole,
)
from letterer.out.findings import numbered, numbered_book, told
from letterer.out.pdf_art import PdfPicture, jpeg_picture
from letterer.out.proof import ProofBook, ProofPage, picture_strips, proof_html
from letterer.out.proof_pdf import ProofSheet, proof_pdf
from letterer.out.words import alt_of_page, in_order, page_words
from letterer.review.legibility import told_of
from letterer.review.pages import review
from letterer.revise import matched
from letterer.sheet_jobs import faces_in
from letterer.wording import orders_of

JPEG_SIDE_MOST = 65_000
"""Pixels of a picture's side; JPEG holds 65,535."""


@dataclass(frozen=True, slots=True)
class ProofWanted:
    """Where the proof goes, an .html or a .pdf; `pages` are page numbers, None for all; `fonts`
    folders of faces."""

    file: Path
    pages: tuple[int, ...] | None = None
    fonts: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Proofed:
    """What was made: the file, its size in bytes, how many pages and open findings it shows, the
    pages whose art is not there, and what there is to tell of the art."""

    file: Path
    size: int
    pages: int
    findings: int
    without_art: tuple[int, ...] = ()
    remarks: tuple[Fault, ...] = ()


def make_proof(
    script: str | Path,
    layout: str | Path,
    wanted: ProofWanted,
    progress: Callable[[str, float], None] = lambda words, share: None,
) -> Proofed:
    """Letter the pages, look them over, and write the proof. Raises LettererError, with nothing
    written, where the files cannot be read, lettered or written."""
    book, written = read_book(script, layout)
    # An edited script is shown as it is lettered: its words with the places that are theirs.
    plan = matched(book, written)[0]
    faces = faces_in(wanted.fonts)
    _check_file(wanted.file, (script, layout), plan)
    made = compose(
        book, written, wanted.pages, wanted.fonts, lambda told, share: progress(told, share / 2)
    )
    numbers = {page.number for page in made.pages}
    findings = [one for one in made.findings if wanted.pages is None or one.page in numbers]
    reviewed = review(made.pages, findings, plan)
    orders = orders_of(book, plan)
    on_paper = wanted.file.suffix.lower() == ".pdf"
    shown: list[ProofSheet] = []
    missing: list[int] = []
    remarks: list[Fault] = []
    for count, page in enumerate(made.pages, 1):
        its = plan.page(page.number) or PagePlan(page.number)
        found = tuple((n, one, told(one, plan)) for n, one in numbered(reviewed, page.number))
        picture: PdfPicture | None = None
        seen: tuple[str, ...] = ()
        if its.art is not None and not its.art.file.exists():
            missing.append(page.number)
        elif its.art is not None:
            art = read_art(its.art.file, page.number)
            printed = plan.measure.is_printed
            remarks += told_of_art(art.size, its.art, page.number, printed)
            where = (art, its.art.box, page.format.bleed)
            if on_paper:
                picture = _printed(*where)
            else:
                seen = picture_strips(*where, (craft.PROOF_DPI, craft.PROOF_QUALITY))
        source = book.page(page.number)
        assert source is not None
        words = in_order(source, orders.get(page.number, ()))
        text, alt = page_words(words, plan.language, heading=3), alt_of_page(words, plan.language)
        shown.append(ProofSheet(ProofPage(page, its, found, text, alt, seen), picture))
        progress(f"page {page.number} drawn", 0.5 + 0.5 * count / len(made.pages))
    whole = [(n, one, told(one, plan)) for n, one in numbered_book(reviewed)]
    head = ProofBook(
        book_title(book), plan.language, plan.reading, tuple(whole), told_of(reviewed.readings)
    )
    make_folder(wanted.file.parent)
    if on_paper:
        write_parts(wanted.file, proof_pdf(head, shown, faces))
    else:
        write_whole(wanted.file, proof_html(head, [one.page for one in shown]).encode())
    still = sum(not one.because for one in reviewed.every)
    size = wanted.file.stat().st_size
    return Proofed(wanted.file, size, len(shown), still, tuple(missing), tuple(remarks))


def _printed(art: Any, placed: Box, region: Box) -> PdfPicture:
    """The art for the PDF."""
    dpi = min(craft.PROOF_DPI, JPEG_SIDE_MOST * POINTS_PER_INCH / max(region.width, region.height))
    return jpeg_picture(piece_of(art, placed, region, dpi), craft.PROOF_QUALITY_PDF)


def _check_file(file: Path, sources: tuple[str | Path, str | Path], layout: Layout) -> None:
    """Refuse, before any work, a proof that cannot be written or would take a file away."""
    if file.suffix.lower() not in (".html", ".pdf"):
        mend = f"Write -o {file.with_suffix('.html').name if file.name else 'proof.html'}"
        raise LettererError(Fault("a proof is an .html or a .pdf file", mend, str(file)))
    check_folder(file.parent)
    if file.parent.is_dir():
        check_file(file)
    refuse_over(file, "the proof", own_files(*sources, layout))
