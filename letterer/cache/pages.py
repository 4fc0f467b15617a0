"""What is kept of a page: its files as they were written, and all that was found and measured.

A page's files are kept one by one: another picture under the page draws its preview again, and
nothing else. Single units are not kept. Setting the words of a page takes a third of its time at
most, and tails, joins and borders depend on all that stands around, so a page is the smallest piece
of which all that it depends on is known by construction: it is what the page is drawn from.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from letterer.cache.program import faces_now, program
from letterer.cache.seen import entry_of
from letterer.cache.store import Entry, Store
from letterer.cache.values import digest_of, text_of, value_of
from letterer.errors import LettererError
from letterer.fit.oval import Oval
from letterer.geometry import Box, Point
from letterer.ink.tail_values import Tail
from letterer.model.plan import Art, Layout, PageFormat
from letterer.model.script import Page
from letterer.out.files import write_whole
from letterer.page.lettered import Finding, LetteredPage, PlacedUnit, Severity, Stroke

if TYPE_CHECKING:
    from letterer.out.pdf_page import PdfPage

CLASSES: dict[str, Callable[..., object]] = {
    made.__name__: made
    for made in (
        *(Art, Box, Finding, LetteredPage, Oval, PageFormat, PlacedUnit, Point),
        *(Severity, Stroke, Tail),
    )
}
"""What a page without its paths is made of."""


@dataclass(frozen=True, slots=True)
class Keeping:
    """Where the entries of one page are, by all that the page is drawn from.

    `drawn_from` is the digest of that, without the art, whose file is `art`.
    """

    store: Store
    drawn_from: str
    art: Path | None = None

    def key(self, what: str, dpi: int = 0) -> str:
        """The key of the page's record ("page"), of its piece of a PDF, or of its file in a
        format."""
        # A format that is new here counts the art and the dpi, so that it can never be out of date.
        piece = what.startswith("pdf")
        resolution = 0 if piece or what in ("page", "svg", "preview") else dpi
        art = "" if piece or what in ("page", "svg", "png") else _of_file(self.art)
        return digest_of((self.drawn_from, what, resolution, art))

    def page(self) -> LetteredPage | None:
        """The page without its paths, if it is kept."""
        text = self.store.get(self.key("page"))
        if text is None:
            return None
        try:
            found = value_of(text, CLASSES)
        except ValueError:
            return None
        return found if isinstance(found, LetteredPage) else None

    def keep_page(self, page: LetteredPage) -> None:
        """Keep a page, which has no paths."""
        with contextlib.suppress(TypeError):  # a value of a new sort: nothing is kept, and no harm
            self.store.put(self.key("page"), text_of(page))

    def piece(self, what: str) -> PdfPage | None:
        """The page as a piece of a PDF, if it is kept."""
        from letterer.out.pdf_letters import PageFace
        from letterer.out.pdf_page import PdfPage, Told

        key = self.key(what)
        text = self.store.get(key)
        if text is None:
            return None
        made = {made.__name__: made for made in (PageFace, PdfPage, Told)}
        try:
            found = value_of(text, CLASSES | made)
        except ValueError:
            return None
        for used in (key, self.key("page")):
            self.store.used(used)
        return found if isinstance(found, PdfPage) else None

    def keep_piece(self, what: str, piece: PdfPage) -> None:
        """Keep a page as a piece of a PDF; its art is read when the PDF is written."""
        with contextlib.suppress(TypeError):  # a value of a new sort: nothing is kept, and no harm
            self.store.put(self.key(what), text_of(piece))

    def found(self, kinds: Sequence[str], dpi: int) -> tuple[str, ...]:
        """The formats of which the file is kept, as far as can be seen without reading all of it:
        what is broken all the same is noticed when it is put back."""
        return tuple(kind for kind in kinds if self.store.entry(self.key(kind, dpi)) is not None)

    def put_back(self, kind: str, dpi: int, path: Path) -> bool | None:
        """See to it that a file of the page stands where it belongs.

        Gives True when it was written, False when it stood there already and was left alone, and
        None when it is not kept after all. Raises LettererError where it cannot be written.
        """
        key = self.key(kind, dpi)
        entry = self.store.entry(key)
        if entry is None:
            return None
        stands = _holds(path, entry)
        if not stands:
            data = self.store.get(key)
            if data is None:
                return None
            write_whole(path, data)
        for used in (key, self.key("page")):
            self.store.used(used)
        return not stands


def keeping(store: Store, page: Page, layout: Layout, faces: str) -> Keeping:
    """How a page is kept that is drawn from these; `faces` is the digest of all faces.

    The layout's own name is left out: it is told in faults, and a page with faults is not kept.
    """
    plan = layout.page(page.number)
    drawn_from = digest_of((program(), faces, page, replace(layout, file="")))
    return Keeping(store, drawn_from, plan.art.file if plan and plan.art else None)


def faces_digest(folders: Sequence[Path]) -> str | None:
    """The digest of all faces, or None where one cannot be read: lettering will say so."""
    try:
        return faces_now(folders)
    except (OSError, LettererError):
        return None


def _of_file(path: Path | None) -> str:
    """The digest of a file's bytes."""
    if path is None:
        return "none"
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, lambda: hashlib.blake2b(digest_size=32)).hexdigest()
    except OSError:
        return "not readable"


def _holds(path: Path, entry: Entry) -> bool:
    """Whether a file has an entry's very bytes."""
    try:
        return path.stat().st_size == entry.length and entry_of(path.absolute()) == entry
    except OSError:
        return False
