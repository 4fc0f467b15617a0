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
from letterer.geometry import POINTS_PER_INCH
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
from letterer.page.lettered import LetteredPage
from letterer.review.legibility import told_of
from letterer.review.pages import review
from letterer.revise import matched
from letterer.text.faces import library
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
    for folder in wanted.fonts:
        if not folder.is_dir():
            fault = Fault("there is no such folder of faces", "Check its name", str(folder))
            raise LettererError(fault)
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
        art = _art(its)
        if art is None and its.art is not None:
            missing.append(page.number)
        if art is not None and its.art is not None:
            remarks += told_of_art(
                art.size, its.art, page.number, printed=plan.measure.unit != "px"
            )
        picture = _printed(art, page, its) if on_paper else None
        seen = () if on_paper else _seen(art, page, its)
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
        write_parts(wanted.file, proof_pdf(head, shown, library(wanted.fonts)))
    else:
        write_whole(wanted.file, proof_html(head, [one.page for one in shown]).encode())
    still = sum(not one.because for one in reviewed.every)
    size = wanted.file.stat().st_size
    return Proofed(wanted.file, size, len(shown), still, tuple(missing), tuple(remarks))


def _art(plan: PagePlan) -> Any:
    """The art of a page as a Pillow image; None where there is none, or none yet."""
    if plan.art is None or not plan.art.file.exists():
        return None
    return read_art(plan.art.file, plan.number)


def _seen(art: Any, page: LetteredPage, plan: PagePlan) -> tuple[str, ...]:
    """The art for the HTML page."""
    if art is None or plan.art is None:
        return ()
    box = page.format.bleed
    return picture_strips(art, plan.art.box, box, (craft.PROOF_DPI, craft.PROOF_QUALITY))


def _printed(art: Any, page: LetteredPage, plan: PagePlan) -> PdfPicture | None:
    """The art for the PDF."""
    if art is None or plan.art is None:
        return None
    box = page.format.bleed
    dpi = min(craft.PROOF_DPI, JPEG_SIDE_MOST * POINTS_PER_INCH / max(box.width, box.height))
    piece = piece_of(art, plan.art.box, box, dpi)
    return jpeg_picture(piece, craft.PROOF_QUALITY_PDF)


def _check_file(file: Path, sources: tuple[str | Path, str | Path], layout: Layout) -> None:
    """Refuse, before any work, a proof that cannot be written or would take a file away."""
    if file.suffix.lower() not in (".html", ".pdf"):
        mend = f"Write -o {file.with_suffix('.html').name if file.name else 'proof.html'}"
        raise LettererError(Fault("a proof is an .html or a .pdf file", mend, str(file)))
    check_folder(file.parent)
    if file.parent.is_dir():
        check_file(file)
    refuse_over(file, "the proof", own_files(*sources, layout))
