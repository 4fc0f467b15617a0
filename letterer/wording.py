"""A book's words in reading order, in a folder: text, HTML, fragments, alternative texts."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from letterer.api import read_layout, read_script
from letterer.errors import Fault, LettererError, together
from letterer.model.plan import Layout
from letterer.model.script import Script
from letterer.model.script_title import book_title
from letterer.out.files import check_folder, make_folder, same_file, write_whole
from letterer.out.words import alt_json, in_order, page_fragment, plain_text, whole_html
from letterer.review.panels import panel_order


@dataclass(frozen=True, slots=True)
class Worded:
    """The files that were written, and pages whose panels are read in another order than that of
    their numbers."""

    files: tuple[Path, ...]
    reordered: tuple[int, ...] = ()


def orders_of(script: Script, layout: Layout | None) -> dict[int, tuple[int, ...]]:
    """The panels of each page in reading order, where the layout makes it plain."""
    found = {}
    for page in script.pages if layout else ():
        assert layout is not None
        plan = layout.page(page.number)
        if plan is not None and plan.panels:
            order = panel_order(plan.panels, layout.reading)
            if order.confident:
                found[page.number] = order.order
    return found


def write_words(script: str | Path, layout: str | Path | None, folder: str | Path) -> Worded:
    """Write words.txt, words.html, alt.json and a page-001.xhtml for each page into a folder.

    Raises LettererError, with nothing written, when a file cannot be read or would be lost.
    """
    book, plan = together(
        lambda: read_script(script), lambda: None if layout is None else read_layout(layout)
    )
    orders = orders_of(book, plan)
    language = plan.language if plan else "en"
    made = {
        "words.txt": plain_text(book, orders, language),
        "words.html": whole_html(book, orders, language, book_title(book)),
        "alt.json": alt_json(book, orders, language),
    }
    for page in book.pages:
        words = in_order(page, orders.get(page.number, ()))
        made[f"page-{page.number:03d}.xhtml"] = page_fragment(words, language)
    into = Path(folder)
    check_folder(into)
    sources = [Path(one) for one in (script, layout) if one is not None]
    lost = [into / name for name in made if any(same_file(into / name, one) for one in sources)]
    if lost:
        what, mend = "the words would be written over a file of yours", "Choose another folder"
        raise LettererError(*(Fault(what, mend, str(path)) for path in lost))
    make_folder(into)
    for name, text in made.items():
        write_whole(into / name, text.encode())
    numbers = {page.number: tuple(panel.number for panel in page.panels) for page in book.pages}
    moved = tuple(
        page
        for page, order in orders.items()
        if [n for n in order if n in numbers[page]] != [n for n in numbers[page] if n in order]
    )
    return Worded(tuple(into / name for name in made), moved)
