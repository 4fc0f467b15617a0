"""Display lists as a PDF of plain paths, at true size: one page each (ISO 32000-1).

A sheet to draw on has no words to be searched and no boxes for a printer; what it does have is a
wish to be printed at 100 %, which viewers of PDF honour. There is no date and no name in the file,
so the same sheets give the same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from letterer.geometry import Path
from letterer.out.pdf_objects import Name, PdfFile, Ref, Value, packed
from letterer.out.pdf_page import PageWriter, path_operators
from letterer.out.svg import number
from letterer.page.lettered import LetteredPage, PlacedUnit


def pdf_sheets(pages: Sequence[LetteredPage], title: str) -> bytes:
    """Pages as one PDF; a point of the page is a point of the paper."""
    file = PdfFile()
    tree = file.reserve()
    sheets = [_sheet(file, page, tree) for page in pages]
    file.put(tree, {"Type": Name("Pages"), "Count": len(sheets), "Kids": sheets})
    at_true_size: dict[str, Value] = {"PrintScaling": Name("None")}
    root = file.add({"Type": Name("Catalog"), "Pages": tree, "ViewerPreferences": at_true_size})
    info = file.add({"Title": title})
    return file.end(root, info)


def _sheet(file: PdfFile, page: LetteredPage, tree: Ref) -> Ref:
    box = page.format.bleed
    writer = PageWriter(overprint=False, as_text=False)
    steps = [f"1 0 0 -1 {number(-box.left)} {number(box.bottom)} cm"]
    steps += (step for unit in page.units for step in _unit(unit, writer))
    content = file.stream({}, packed("\n".join(steps).encode("ascii")))
    return file.add(
        {
            "Type": Name("Page"),
            "Parent": tree,
            "MediaBox": [0.0, 0.0, box.width, box.height],
            "Resources": {},
            "Contents": content,
        }
    )


def _unit(unit: PlacedUnit, writer: PageWriter) -> Iterator[str]:
    yield "q"
    if unit.clip:
        yield from path_operators(unit.clip)
        yield "W n"
    # Letters are paths like any other: a sheet has no fonts.
    plain = [layer._replace(path=Path(layer.path.segments)) for layer in unit.layers()]
    yield from writer.artifact(plain)
    yield "Q"
