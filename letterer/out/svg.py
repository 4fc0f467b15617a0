"""SVG 1.1, valid against its DTD: the contract that other programs can rely on.

For each unit, in reading order:

    <g id="u1.2.3" class="unit speech">
      <title>the plain words</title>
      <path class="ground" .../>       paper under a dashed border, or between open words;
                                       what fills slivers of art in an effect
      <path class="outline" .../>      balloon and tail, one closed contour; absent if there is none
      <path class="trail" .../>        what else the kind draws under its words, if anything
      <path class="halo" .../>         the knock-out behind words without a balloon
      <g class="words"><path class="line" .../>...</g>
    </g>

A sound effect may have a `shadow` and a `rim` round its words below these. Where each of its
letters has outlines of its own, `words` holds them letter by letter, in the order they are drawn: a
`rim` for each outline, then the letter as a `line`.

Balloons that are joined share one contour: the first of them in reading order carries it as its
outline, tails and all; the others have no outline and no halo, and their words lie over it since
they come later.

An XML name cannot begin with a digit, hence the letter u before the unit's number. The page's size
is in real units and the viewBox in points, from the top left corner of the bleed. Every number goes
through one formatter; coordinates are rounded first and then written as steps from the last point,
so errors never add up. The same page gives the same bytes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache, lru_cache
from html import escape
from typing import NamedTuple

from letterer.geometry import Box, Path
from letterer.page.lettered import Layer, LetteredPage, PlacedUnit, Stroke
from letterer.text.letter_path import Shape, StampedPath

PER_POINT = 1000
"""Coordinates are kept to a thousandth of a point: a sixtieth of a pixel at 1200 dpi."""

SHAPES_KEPT = 2048
"""Letters whose path data are kept, at a size each: some hundreds a book, 1 KB each."""

Told = Callable[[int], str]
"""How a number of steps is written."""

NOT_IN_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that no XML 1.0 file may hold (W3C XML 1.0, production Char)."""

HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN"'
    ' "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">\n'
)


class Picture(NamedTuple):
    """A picture under the lettering: the box it fills, and a PNG in base64.

    The same picture in several boxes of one size is written once, and used again.
    """

    box: Box
    data: str


def svg_page(page: LetteredPage, pictures: Sequence[Picture] = (), title: str = "") -> str:
    """One lettered page as the text of an SVG file: lettering alone, on nothing.

    `pictures`, if any, lie under it; then the file also names the XLink name space. Without a
    `title` the page is called by its number.
    """
    bleed = page.format.bleed
    width, height = number(bleed.width), number(bleed.height)
    view = " ".join(number(value) for value in (bleed.left, bleed.top, bleed.width, bleed.height))
    parts = [
        HEAD,
        '<svg xmlns="http://www.w3.org/2000/svg" version="1.1"',
        ' xmlns:xlink="http://www.w3.org/1999/xlink"' if pictures else "",
        f' width="{width}pt" height="{height}pt" viewBox="{view}"'
        f' xml:lang="{escape(page.language)}">\n',
        f"<title>{_plain(title or f'Page {page.number}')}</title>\n",
    ]
    parts += _pictures(pictures)
    for unit in page.units:
        parts += _unit(unit)
    parts.append("</svg>\n")
    return "".join(parts)


def _pictures(pictures: Iterable[Picture]) -> Iterator[str]:
    first: dict[tuple[str, str, str], tuple[int, Box]] = {}
    for picture in pictures:
        box = picture.box
        width, height = number(box.width), number(box.height)
        place, there = first.setdefault((picture.data, width, height), (len(first) + 1, box))
        if there is not box:
            move = f'x="{number(box.left - there.left)}" y="{number(box.top - there.top)}"'
            yield f'<use xlink:href="#art{place}" {move}/>\n'
            continue
        yield (
            f'<image id="art{place}" x="{number(box.left)}" y="{number(box.top)}"'
            f' width="{width}" height="{height}" preserveAspectRatio="none"'
            f' xlink:href="data:image/png;base64,{picture.data}"/>\n'
        )


def _plain(words: str) -> str:
    """Words as they may stand between two tags."""
    return escape(NOT_IN_XML.sub(" ", words), quote=False)


def _unit(unit: PlacedUnit) -> Iterable[str]:
    clip = f"clip{unit.id}" if unit.clip else ""
    if unit.clip:
        data = path_data(unit.clip)
        yield f'<clipPath id="{clip}"><path d="{data}"/></clipPath>\n'
    clipped = f' clip-path="url(#{clip})"' if clip else ""
    yield f'<g id="u{unit.id}" class="unit {escape(unit.kind)}"{clipped}>\n'
    yield f"<title>{_plain(unit.words)}</title>\n"
    words = unit.words_layers
    yield from map(_layer, unit.layers()[: -len(words) or None])
    yield f'<g class="words" fill="{unit.color}">\n'
    for layer in words:
        if layer.part == "line":
            yield f'<path class="line" d="{path_data(layer.path)}"/>\n'
        else:
            yield _layer(layer)
    yield "</g>\n</g>\n"


def _layer(layer: Layer) -> str:
    fill, lined = layer.fill or "none", _stroke(layer.stroke) if layer.stroke else ""
    return f'<path class="{layer.part}" fill="{fill}"{lined} d="{path_data(layer.path)}"/>\n'


def _stroke(stroke: Stroke) -> str:
    dash = ""
    if stroke.dash:
        lengths = ",".join(map(number, stroke.dash))
        dash = f' stroke-dasharray="{lengths}" stroke-linecap="round"'
    return (
        f' stroke="{stroke.color}" stroke-width="{number(stroke.width)}"'
        f' stroke-linejoin="{"miter" if stroke.mitred else "round"}"{dash}'
    )


def number(value: float) -> str:
    """A number as it is written everywhere in the file: at most three decimals, no idle zeros.

    >>> number(0.5), number(-12.0), number(-0.0001)
    ('.5', '-12', '0')
    """
    return _thousandths(round(value * PER_POINT))


def _thousandths(value: int) -> str:
    sign, value = ("-", -value) if value < 0 else ("", value)
    whole, part = divmod(value, PER_POINT)
    return f"{sign}{whole or ''}{_decimals(part)}" if part else f"{sign}{whole}"


@cache
def _decimals(part: int) -> str:
    """So many thousandths, from the decimal point on."""
    return f".{part:03d}".rstrip("0")


def path_data(path: Path) -> str:
    """A path as SVG path data, with relative steps; empty steps are dropped after rounding.

    Letters are rounded one by one: the place of each, and its outline at its size, which is the
    same wherever it stands. So no point is off by more than a thousandth.

    >>> from letterer.geometry import Box, rectangle
    >>> path_data(rectangle(Box(1, 1, 3, 2)))
    'M1 1h2v1h-2z'
    """
    return steps_data(path, PER_POINT, _thousandths)


def steps_data(path: Path, per_point: int, told: Told) -> str:
    """A path as path data in whole steps, `per_point` of them a point, told one by one."""
    if not isinstance(path, StampedPath):
        return "".join(_words(path, per_point, told))
    words: list[str] = []
    for shape, x, y in path.stamps:
        begin, rest = _shape_data(shape, per_point, told)
        if rest:
            here = (round(x * per_point) + begin[0], round(y * per_point) + begin[1])
            words += ("M", _joined(here, told), rest)
    return "".join(words)


@lru_cache(maxsize=SHAPES_KEPT)
def _shape_data(shape: Shape, per_point: int, told: Told) -> tuple[tuple[int, int], str]:
    """A letter around its origin: where it begins, in steps, and how it goes on."""
    outline = shape.outline()
    if not outline:
        return (0, 0), ""
    _, _, (begin, *_) = next(rounded_steps(outline, per_point))
    return begin, "".join(_words(outline, per_point, told, relative=True)[1:])


def _words(path: Path, per_point: int, told: Told, relative: bool = False) -> list[str]:
    """A path's steps, told one by one. Contours begin at a place of the page, or `relative` to the
    one before."""
    words: list[str] = []
    for verb, here, ends in rounded_steps(path, per_point):
        if verb == "Z":
            words.append("z")
        elif verb == "M" and not relative:
            words.append("M" + _joined(ends[0], told))
        else:
            words.append(_step(verb, here, ends, told))
    return words


def rounded_steps(
    path: Path, per_point: int
) -> Iterator[tuple[str, tuple[int, int], list[tuple[int, int]]]]:
    """A path in whole steps, `per_point` of them a point: each verb with the place it begins at and
    its rounded points. Steps that round to nothing are left out."""
    here = start = (0, 0)
    for verb, points in path.segments:
        ends = [(round(x * per_point), round(y * per_point)) for x, y in points]
        if verb not in "MZ" and all(end == here for end in ends):
            continue
        yield verb, here, ends
        if verb == "M":
            start = ends[0]
        here = start if verb == "Z" else ends[-1]


def _step(verb: str, here: tuple[int, int], rounded: list[tuple[int, int]], told: Told) -> str:
    steps = [value for x, y in rounded for value in (x - here[0], y - here[1])]
    if verb == "L" and steps[1] == 0:
        return "h" + told(steps[0])
    if verb == "L" and steps[0] == 0:
        return "v" + told(steps[1])
    return verb.lower() + _joined(steps, told)


def _joined(values: Iterable[int], told: Told) -> str:
    """Numbers one after another, a space only where none would be misread."""
    text = ""
    for value in values:
        word = told(value)
        text += word if not text or word[0] == "-" else " " + word
    return text
