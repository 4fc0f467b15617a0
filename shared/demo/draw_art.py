"""Draw the art of the demo story: three pages in ink and grey wash, as grey PNG at print size.

Usage: python draw_art.py [FOLDER]     (FOLDER is `art` beside this file unless you name another)
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from PIL import Image, PngImagePlugin

from drawing import page1, page2, page3
from drawing.ink import DPI, Ink, Point

HERE = Path(__file__).resolve().parent
PAGES = {1: page1.draw, 2: page2.draw, 3: page3.draw}


def draw_page(number: int) -> tuple[Image.Image, dict[str, Point]]:
    """One page as a grey picture, and the points on it that lettering aims at, in inches."""
    ink = Ink(number)
    marks = PAGES[number](ink)
    return Image.fromarray(ink.pixels()), marks


def save(picture: Image.Image, path: Path) -> None:
    """Write a PNG at 300 dots per inch; a half-written file never takes the place of a good one."""
    path.parent.mkdir(parents=True, exist_ok=True)
    temporary = path.with_suffix(".part")
    picture.save(
        temporary, format="PNG", optimize=True, dpi=(DPI, DPI), pnginfo=PngImagePlugin.PngInfo()
    )
    os.replace(temporary, path)


def main(arguments: list[str]) -> int:
    """Draw every page into a folder."""
    folder = Path(arguments[0]) if arguments else HERE / "art"
    for number in PAGES:
        picture, marks = draw_page(number)
        save(picture, folder / f"page-{number}.png")
        for name, (x, y) in marks.items():
            print(f"page {number}  {name:12} {x:6.3f} {y:6.3f}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
