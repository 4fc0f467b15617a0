"""A made-up book of 22 pages (`book`), lettered here and set by Typst: times and memory.

Typst (a general typesetter, the PyPI package `typst`) fills boxes where letterer seeks the tightest
oval, breaks for it, draws it with a hand's waver and gives it a tail; it is there as a yardstick
for how quickly good type can be set and written at all. The floor of a PNG is what no program that
draws with these parts can be quicker than: the same paths drawn in the same tiles, and the same
encoder on the same rows.

A book is lettered without the cache, but for the row that says "again": what a person waits for who
letters a second time with nothing changed.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.benchmarks.book import PAGES, Balloon, book, dense_page, write
from tests.benchmarks.timing import Table, Timed, Work, in_turns, surroundings

TOP = Path(__file__).resolve().parent.parent.parent
DPI = 600
NO_CACHE = "--no-cache"
OURS, FLOOR, WHOLE = "PNG page, letterer draws", "PNG page, the floor", "PNG page, whole by Skia"
OURS_WORDS, TYPST_PNG = "PNG page, letterer from words", "PNG page, Typst from words"
SVG_PAGE, TYPST_SVG_PAGE = "SVG page, letterer, warm", "SVG page, Typst, warm"
SVG_BOOK, TYPST_SVG_BOOK = "SVG 22 pages, letterer, cold", "SVG 22 pages, Typst, cold"
SVG_AGAIN, SVG_FIRST = "SVG 22 pages, letterer, again", "SVG 1 page, letterer, cold"
PDF_BOOK, TYPST_PDF_BOOK = "PDF 22 pages, letterer, cold", "PDF 22 pages, Typst, cold"
ONE, TWO = "PNG 22 pages, one process", "PNG 22 pages, two processes"
FEW, MANY = "SVG, 10 balloons a page", "SVG, 80 balloons a page"
BARE, HELP, VERSION = "Python alone", "letterer --help", "letterer --version"


def typst_text(pages: list[list[Balloon]]) -> str:
    """The words of pages in boxes about as wide as balloons, centred, for Typst."""
    lines = [
        "#set page(width: 6.875in, height: 10.438in, margin: 0pt, fill: none)",
        '#set text(font: "Letterer Hand", size: 7.5pt, fallback: false)',
        '#set par(leading: 0.35em, linebreaks: "optimized", justify: false)',
    ]
    for number, balloons in enumerate(pages):
        lines += ["#pagebreak()"] if number else []
        for one in balloons:
            width = 0.147 * len(one.words) ** 0.5 + 0.3
            lines.append(
                f"#place(dx: {one.x - width / 2:.3f}in, dy: {one.y - 0.3:.3f}in,"
                f" box(width: {width:.3f}in, align(center)[{one.words.upper()}]))"
            )
    return "\n".join(lines)


def has_typst() -> bool:
    """Whether the yardstick is installed."""
    try:
        import typst  # noqa: F401
    except ImportError:
        return False
    return True


# --- One page ---------------------------------------------------------------------------------


def one_page(folder: Path, rounds: int) -> Table:
    """One page, warm: so many different pages after the first, each lettered once. Typst keeps what
    it has set, and would give the same page again at no cost."""
    from letterer.api import compose, read_layout, read_script
    from letterer.out.raster import png_strips
    from letterer.out.svg import svg_page

    files = write(book(), folder / "book")
    script, layout = read_script(files[0]), read_layout(files[1])
    first = compose(script, layout, pages=(1,)).pages[0]
    sum(map(len, png_strips(first, DPI)))
    svg_page(first)
    set_by_typst = _typst_warm() if has_typst() else None
    tables: list[Table] = []
    for number in range(2, 2 + min(rounds, PAGES - 1)):
        page = compose(script, layout, pages=(number,)).pages[0]
        work: dict[str, Work] = {
            OURS: lambda page=page: sum(map(len, png_strips(page, DPI))),  # type: ignore[misc]
            FLOOR: _floor(page),
            WHOLE: _whole(page),
        }
        tables.append(in_turns(work, 1))
        from_words: dict[str, Work] = {
            OURS_WORDS: lambda n=number: sum(  # type: ignore[misc]
                map(len, png_strips(compose(script, layout, pages=(n,)).pages[0], DPI))
            ),
            SVG_PAGE: lambda n=number: len(  # type: ignore[misc]
                svg_page(compose(script, layout, pages=(n,)).pages[0])
            ),
        }
        if set_by_typst is not None:
            text = typst_text(book()[number - 1 : number])
            from_words[TYPST_PNG] = lambda text=text: set_by_typst(text, "png")  # type: ignore[misc]
            other = typst_text(book()[number - 1 : number]) + "\n"
            from_words[TYPST_SVG_PAGE] = lambda text=other: set_by_typst(text, "svg")  # type: ignore[misc]
        tables.append(in_turns(from_words, 1))
    return _joined(tables)


def _joined(tables: list[Table]) -> Table:
    whole: Table = {}
    for table in tables:
        for name, timed in table.items():
            kept = whole.setdefault(name, Timed())
            kept.clock += timed.clock
            kept.cpu += timed.cpu
            kept.disturbed += timed.disturbed
    return whole


def _floor(page: Any) -> Work:
    """The bare drawing of the page's paths in tiles, and the encoder on its rows."""
    import numpy as np
    import skia

    from letterer.out.canvas import Raster, draw_unit, painted_units
    from letterer.out.png import Picture, png_parts
    from letterer.out.raster import pixel_size
    from letterer.out.tiles import GREY, strips, tiles_of

    size, bleed = pixel_size(page, DPI), page.format.bleed
    tiles = tiles_of(
        painted_units(skia, page.units, Raster(DPI / 72, bleed.left, bleed.top, *size))
    )
    rows = [strip.copy() for strip in strips(skia, tiles, size, GREY)]

    def work() -> int:
        for tile in tiles:
            width, height = tile.box.right - tile.box.left, tile.box.bottom - tile.box.top
            pixels = np.zeros((height, width, 4), dtype=np.uint8)
            with skia.Surface(pixels) as canvas:
                for unit in tile.units:
                    draw_unit(skia, canvas, unit, tile.box.left, tile.box.top)
        return sum(map(len, png_parts(Picture(*size, GREY, DPI), rows)))

    return work


def _whole(page: Any) -> Work:
    """The page drawn on one canvas, and written by Skia's own encoder."""
    import skia

    from letterer.out.canvas import Raster, draw_unit, painted_units
    from letterer.out.raster import pixel_size

    size, bleed = pixel_size(page, DPI), page.format.bleed
    units = painted_units(skia, page.units, Raster(DPI / 72, bleed.left, bleed.top, *size))

    def work() -> int:
        surface = skia.Surface.MakeRasterN32Premul(*size)
        with surface as canvas:
            for unit in units:
                draw_unit(skia, canvas, unit, 0, 0)
        return len(bytes(surface.makeImageSnapshot().encodeToData(skia.kPNG, 100)))

    return work


def _typst_warm() -> Callable[[str, str], int]:
    import typst

    compiler: Any = typst.Compiler(font_paths=[str(TOP / "fonts_open")])

    def work(text: str, kind: str) -> int:
        made = compiler.compile(text.encode(), format=kind, ppi=float(DPI))
        return len(made)

    for kind in ("svg", "png"):
        work(typst_text(book()[:1]), kind)
    return work


# --- The book ---------------------------------------------------------------------------------


def whole_book(folder: Path, rounds: int) -> Table:
    """22 pages, each time in a new process; and the first of them alone."""
    files = write(book(), folder / "book")
    text = folder / "book.typ"
    text.write_text(typst_text(book()), "utf-8")
    kinds = {"svg": (SVG_BOOK, TYPST_SVG_BOOK), "pdf": (PDF_BOOK, TYPST_PDF_BOOK)}
    table: Table = {}
    for kind, (ours, others) in kinds.items():
        form = ("--format", kind, "--jobs", "1")
        work: dict[str, Work] = {ours: command(*files, folder, *form, NO_CACHE)}
        if has_typst():
            work[others] = _typst_cold(text, kind)
        if kind == "svg":
            work[SVG_FIRST] = command(*files, folder, *form, NO_CACHE, "--pages", "1")
            work[SVG_AGAIN] = command(*files, folder, *form)
            work[SVG_AGAIN]()  # so that the cache holds the book, and all packages are compiled
        table |= in_turns(work, rounds)
    png = (NO_CACHE, "--format", "png", "--jobs")
    return table | in_turns(
        {ONE: command(*files, folder, *png, "1"), TWO: command(*files, folder, *png, "2")},
        rounds,
        parallel=frozenset({TWO}),
    )


def command(script: Path, layout: Path, folder: Path, *options: str) -> Work:
    """The command line in a process of its own."""
    words = [sys.executable, "-m", "letterer", "letter", str(script), str(layout)]
    words += ["-o", str(folder / "out"), *options]
    around = surroundings(folder)
    return lambda: subprocess.run(words, cwd=TOP, env=around, check=True, capture_output=True)


def _typst_cold(text: Path, kind: str) -> Work:
    code = (
        "import sys, typst\n"
        "made = typst.compile(sys.argv[1], format=sys.argv[2], font_paths=[sys.argv[3]])\n"
        "made = made if isinstance(made, list) else [made]\n"
        "for number, data in enumerate(made):\n"
        "    open(f'{sys.argv[1]}.{number}', 'wb').write(data)\n"
    )
    words = [sys.executable, "-c", code, str(text), kind, str(TOP / "fonts_open")]
    around = surroundings(text.parent)
    return lambda: subprocess.run(words, env=around, check=True, capture_output=True)


def density(folder: Path, rounds: int) -> Table:
    """The same page with eight times as many balloons, as SVG, warm."""
    from letterer.api import compose, read_layout, read_script
    from letterer.out.svg import svg_page

    def lettered(balloons: int) -> Work:
        files = write(dense_page(balloons), folder / f"dense-{balloons}")
        script, layout = read_script(files[0]), read_layout(files[1])
        return lambda: svg_page(compose(script, layout).pages[0])

    work = {FEW: lettered(10), MANY: lettered(80)}
    work[FEW]()
    return in_turns(work, rounds)


def start(folder: Path, rounds: int) -> Table:
    """What every command costs before it does anything."""

    def ran(*words: str) -> Work:
        told = [sys.executable, *words]
        return lambda: subprocess.run(told, cwd=TOP, env=around, check=True, capture_output=True)

    around = surroundings(folder)
    letterer = ("-m", "letterer")
    work = {
        BARE: ran("-c", "pass"),
        HELP: ran(*letterer, "--help"),
        VERSION: ran(*letterer, "--version"),
    }
    work[HELP]()
    return in_turns(work, max(rounds, 9))


def peak_memory(folder: Path, *options: str) -> float:
    """The most memory that the command held for the book's first page, in MB; asked by itself at
    its end.

    A process that was just made counts what its maker held: this is run before the maker, this very
    program, has loaded anything large.
    """
    files = write(book(), folder / "book")
    arguments = ["letter", *map(str, files), "-o", str(folder / "out"), "--pages", "1"]
    arguments += [NO_CACHE, *options]
    code = (
        "import resource, sys\n"
        "from letterer.cli.main import main\n"
        f"status = main({arguments!r})\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)\n"
        "sys.exit(status)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code],
        cwd=TOP,
        env=surroundings(folder),
        check=True,
        capture_output=True,
        text=True,
    )
    unit = 1 if sys.platform == "darwin" else 1024  # bytes there, kilobytes elsewhere
    return int(ran.stdout.splitlines()[-1]) * unit / 1024**2
