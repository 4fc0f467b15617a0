"""Display lists as a PDF of plain paths, at true size: one page each (ISO 32000-1).

Only what sheets to draw on need: filled and lined paths in colours of a screen, and clips. There
is no date and no name in the file, so the same sheets give the same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from letterer.out.pdf_page import path_operators
from letterer.page.lettered import LetteredPage, PlacedUnit, Stroke

Pair = tuple[float, float]
THIRD = 2.0 / 3.0


def pdf_sheets(pages: Sequence[LetteredPage], title: str) -> bytes:
    """Pages as one PDF; a point of the page is a point of the paper."""
    objects: list[bytes] = [b"", b""]
    kids = []
    for page in pages:
        box = page.format.bleed
        content = _packed(" ".join(_page(page)).encode("ascii"))
        objects.append(content)
        size = f"[0 0 {_number(box.width)} {_number(box.height)}]"
        objects.append(
            f"<< /Type /Page /Parent 2 0 R /MediaBox {size} /Resources << >>"
            f" /Contents {len(objects)} 0 R >>".encode()
        )
        kids.append(f"{len(objects)} 0 R")
    shown = title.encode("utf-16-be").hex().upper()
    objects[0] = b"<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> >>"
    objects[1] = f"<< /Type /Pages /Count {len(kids)} /Kids [{' '.join(kids)}] >>".encode()
    objects.append(f"<< /Title <FEFF{shown}> >>".encode())
    return _file(objects)


def _file(objects: Sequence[bytes]) -> bytes:
    made = bytearray(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
    places = []
    for number, body in enumerate(objects, 1):
        places.append(len(made))
        made += b"%d 0 obj\n%b\nendobj\n" % (number, body)
    start = len(made)
    made += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    for place in places:
        made += b"%010d 00000 n \n" % place
    made += b"trailer\n<< /Size %d /Root 1 0 R /Info %d 0 R >>\n" % (len(objects) + 1, len(objects))
    return bytes(made + b"startxref\n%d\n%%%%EOF\n" % start)


def _packed(content: bytes) -> bytes:
    from zlib_ng import zlib_ng

    packed = zlib_ng.compress(content, 6)
    head = b"<< /Length %d /Filter /FlateDecode >>\nstream\n" % len(packed)
    return head + packed + b"\nendstream"


def _page(page: LetteredPage) -> Iterator[str]:
    box = page.format.bleed
    yield f"1 0 0 -1 {_number(-box.left)} {_number(box.bottom)} cm 1 j"
    for unit in page.units:
        yield from _unit(unit)


def _unit(unit: PlacedUnit) -> Iterator[str]:
    yield "q"
    if unit.clip:
        yield from path_operators(unit.clip, _number)
        yield "W n"
    for layer in unit.layers():
        if layer.fill:
            yield f"{_color(layer.fill)} rg"
        if layer.stroke:
            yield _stroke(layer.stroke)
        yield from path_operators(layer.path, _number)
        yield {(True, True): "B", (True, False): "f", (False, True): "S"}.get(
            (bool(layer.fill), layer.stroke is not None), "n"
        )
    yield "Q"


def _stroke(stroke: Stroke) -> str:
    dash = " ".join(map(_number, stroke.dash)) if stroke.dash else ""
    cap = 1 if stroke.dash else 0
    return f"{_color(stroke.color)} RG {_number(stroke.width)} w [{dash}] 0 d {cap} J"


def _pairs(points: Sequence[Pair]) -> str:
    return " ".join(_number(value) for point in points for value in point)


def _color(color: str) -> str:
    return " ".join(_number(int(color[at : at + 2], 16) / 255) for at in (1, 3, 5))


def _number(value: float) -> str:
    """A number with no more digits than a printer can show.

    >>> _number(1.50001), _number(-0.0)
    ('1.5', '0')
    """
    told = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if told == "-0" else told
