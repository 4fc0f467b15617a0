"""Lettered pages as one PDF: vectors, boxes for the printer, words that can be searched and read.

    book = PdfBook("The lamp", language="en")
    data = b"".join(pdf_parts([pdf_page(page) for page in pages], book))

Each page has a MediaBox, a BleedBox and a TrimBox (ISO 32000-1, 14.11.2), and no ArtBox, which the
standards for print exclude beside a TrimBox. The file is tagged: a document, a section for each
page, and in it each unit in reading order, a paragraph or, for a sound effect, a figure with its
words as what it shows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from xml.sax.saxutils import escape

from letterer.geometry import Box
from letterer.out.pdf_art import PdfPicture, add_picture, read_picture
from letterer.out.pdf_faces import BookFaces
from letterer.out.pdf_objects import Name, PdfFile, Ref, Value, packed
from letterer.out.pdf_page import PdfPage, Told, art_step
from letterer.out.pdf_words import font_program, words_font
from letterer.out.svg import NOT_IN_XML

__all__ = ["PdfBook", "pdf_parts"]


@dataclass(frozen=True, slots=True)
class PdfBook:
    """What a PDF says of itself, and whether its pages lie over their art."""

    title: str
    language: str = "en"
    from_right: bool = False
    over_art: bool = False


class _Shared:
    """Objects that all pages point to."""

    def __init__(self, file: PdfFile) -> None:
        self.pages = file.reserve()
        self.document = file.reserve()
        self.tree = file.reserve()
        self._file = file
        self._picture: tuple[PdfPicture, Ref] | None = None
        self.faces = BookFaces(file)
        self.over = file.add({"Type": Name("ExtGState"), "OP": True, "op": True, "OPM": 1})

    @cached_property
    def program(self) -> Ref:
        """The font without ink, once it is needed."""
        program = font_program()
        return self._file.stream({"Length1": len(program)}, packed(program))

    def picture(self, picture: PdfPicture) -> Ref:
        """A picture that pages have ready; pages that follow one another may have the same."""
        if self._picture is None or self._picture[0] is not picture:
            self._picture = (picture, add_picture(self._file, picture))
        return self._picture[1]


def pdf_parts(pieces: Iterable[PdfPage], book: PdfBook) -> Iterator[bytes]:
    """The pieces of a PDF file, one after another; one page's art at a time is in memory.

    Raises LettererError where a page's art cannot be read.
    """
    file = PdfFile()
    shared = _Shared(file)
    pages: list[Ref] = []
    titles: list[str] = []
    sections: list[Ref] = []
    parents: list[Value] = []
    for place, piece in enumerate(pieces):
        page = _page(file, piece, shared, place, book)
        section, units = _section(file, piece, shared, page)
        pages.append(page)
        titles.append(piece.title)
        sections.append(section)
        parents += [place, units]
        yield file.take()
    shared.faces.put()
    file.put(shared.pages, {"Type": Name("Pages"), "Count": len(pages), "Kids": pages})
    file.put(
        shared.document,
        {"Type": Name("StructElem"), "S": Name("Document"), "P": shared.tree, "K": sections},
    )
    file.put(
        shared.tree,
        {
            "Type": Name("StructTreeRoot"),
            "K": [shared.document],
            "ParentTree": file.add({"Nums": parents}),
            "ParentTreeNextKey": len(pages),
        },
    )
    yield _end(file, shared, book, _titles(file, titles, pages))


def _titles(file: PdfFile, titles: Sequence[str], pages: Sequence[Ref]) -> dict[str, Value]:
    """The list of pages that a reader may show beside them (ISO 32000-1, 12.3.3), if any has a
    title."""
    named = [(title, page) for title, page in zip(titles, pages, strict=True) if title]
    if not named:
        return {}
    top = file.reserve()
    rows = [file.reserve() for _ in named]
    for place, (title, page) in enumerate(named):
        row: dict[str, Value] = {"Title": title, "Parent": top, "Dest": [page, Name("Fit")]}
        if place:
            row["Prev"] = rows[place - 1]
        if place + 1 < len(rows):
            row["Next"] = rows[place + 1]
        file.put(rows[place], row)
    ends: dict[str, Value] = {"First": rows[0], "Last": rows[-1], "Count": len(rows)}
    return {"Outlines": file.put(top, ends), "PageMode": Name("UseOutlines")}


def _end(file: PdfFile, shared: _Shared, book: PdfBook, titles: dict[str, Value]) -> bytes:
    preferences: dict[str, Value] = {"DisplayDocTitle": True}
    if book.from_right:
        preferences["Direction"] = Name("R2L")
    root = file.add(
        {
            "Type": Name("Catalog"),
            "Pages": shared.pages,
            "Lang": book.language,
            "MarkInfo": {"Marked": True},
            "StructTreeRoot": shared.tree,
            "ViewerPreferences": preferences,
            **titles,
            "Metadata": file.stream(
                {"Type": Name("Metadata"), "Subtype": Name("XML")}, _about(book), flate=False
            ),
        }
    )
    return file.end(root, file.add({"Title": book.title, "Producer": "letterer"}))


def _about(book: PdfBook) -> bytes:
    """The title and the language once more, as XMP tells them (ISO 16684-1)."""
    title, language = (escape(NOT_IN_XML.sub(" ", told)) for told in (book.title, book.language))
    return (
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>\n'
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">'
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"'
        ' xmlns:pdf="http://ns.adobe.com/pdf/1.3/">'
        "<dc:format>application/pdf</dc:format>"
        f'<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>'
        f"<dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>"
        "<pdf:Producer>letterer</pdf:Producer>"
        "</rdf:Description></rdf:RDF></x:xmpmeta>\n"
        '<?xpacket end="r"?>\n'
    ).encode()


def _page(file: PdfFile, piece: PdfPage, shared: _Shared, place: int, book: PdfBook) -> Ref:
    bleed = piece.format.bleed
    resources: dict[str, Value] = {"ExtGState": {"Over": shared.over}}
    needed = shared.faces.resources(piece.faces)
    fonts, pictures = needed.get("Font", {}), needed.get("XObject", {})
    if piece.letters:
        fonts["Words"] = words_font(file, shared.program, piece.letters)
    contents: list[Ref] = []
    if book.over_art and piece.art is not None:
        picture = read_picture(piece.art.file, piece.number)
        pictures["Art"] = add_picture(file, picture)
        step = art_step(piece, piece.art.box).encode("ascii")
        contents.append(file.stream({}, packed(step)))
    elif piece.picture is not None:
        pictures["Art"] = shared.picture(piece.picture)
    contents.append(file.stream({}, piece.content))
    resources |= {name: held for name, held in (("Font", fonts), ("XObject", pictures)) if held}
    head: dict[str, Value] = {
        "Type": Name("Page"),
        "Parent": shared.pages,
        "MediaBox": _box(piece, bleed),
        "BleedBox": _box(piece, bleed),
        "TrimBox": _box(piece, piece.format.trim),
        "Resources": resources,
        "Contents": contents,
        "StructParents": place,
        "Tabs": Name("S"),
    }
    if piece.unit > 1:
        head["UserUnit"] = piece.unit
    return file.add(head)


def _section(
    file: PdfFile, piece: PdfPage, shared: _Shared, page: Ref
) -> tuple[Ref, Sequence[Ref]]:
    """A page's section of the document, and its units by the numbers of their marked content."""
    section = file.reserve()
    units = [
        file.add(_element(piece, told, place, section, page))
        for place, told in enumerate(piece.told)
    ]
    head: dict[str, Value] = {
        "Type": Name("StructElem"),
        "S": Name("Sect"),
        "P": shared.document,
        "K": units,
        "Lang": piece.language,
    }
    return file.put(section, head), units


def _element(piece: PdfPage, told: Told, place: int, section: Ref, page: Ref) -> dict[str, Value]:
    head: dict[str, Value] = {
        "Type": Name("StructElem"),
        "S": Name(told.tag),
        "P": section,
        "Pg": page,
        "K": place,
    }
    if told.language:
        head["Lang"] = told.language
    if told.tag == "Figure":
        layout: dict[str, Value] = {
            "O": Name("Layout"),
            "Placement": Name("Block"),
            "BBox": _box(piece, told.box),
        }
        return head | {"Alt": told.words, "A": layout}
    return head | {"ActualText": told.words} if told.words else head


def _box(piece: PdfPage, box: Box) -> list[float]:
    """A box of the page in the PDF's units, from the bottom left corner of the bleed."""
    bleed, unit = piece.format.bleed, piece.unit
    edges = (
        box.left - bleed.left,
        bleed.bottom - box.bottom,
        box.right - bleed.left,
        bleed.bottom - box.top,
    )
    return [float(edge / unit) for edge in edges]
