"""Which writer makes which file of a page. A new format of single pages is one more entry here.

A PDF holds all pages of a run: `letterer.jobs` makes its pieces, and `letterer.out.book` the file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from letterer import craft
from letterer.page.lettered import LetteredPage


def _svg(page: LetteredPage, dpi: int) -> Iterator[bytes]:
    from letterer.out.svg import svg_page

    yield svg_page(page).encode()


def _png(page: LetteredPage, dpi: int) -> Iterator[bytes]:
    from letterer.out.raster import png_strips

    return png_strips(page, dpi)


def _preview(page: LetteredPage, dpi: int) -> Iterator[bytes]:
    from letterer.out.raster import preview_page

    yield preview_page(page, craft.DPI_PREVIEW)


def _ora(page: LetteredPage, dpi: int) -> Iterator[bytes]:
    from letterer.out.layered import layered_page

    yield layered_page(page, dpi)


PAGE_WRITERS: dict[str, Callable[[LetteredPage, int], Iterator[bytes]]] = {
    "svg": _svg,
    "png": _png,
    "preview": _preview,
    "ora": _ora,
}
"""By the format's name: a page, at so many dots per inch, as the pieces of its file."""


def file_name(page: int, kind: str) -> str:
    """The name of a page's file.

    >>> file_name(3, "svg"), file_name(12, "preview")
    ('page-003.svg', 'page-012-preview.png')
    """
    return f"page-{page:03d}-preview.png" if kind == "preview" else f"page-{page:03d}.{kind}"
