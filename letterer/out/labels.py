"""Words and lines of our own on a sheet, drawn like units: headings, labels, frames, marks."""

from __future__ import annotations

from letterer.geometry import Box, Path, Point
from letterer.model.script import Run
from letterer.page.lettered import PlacedUnit, Stroke
from letterer.text.faces import Cut, FaceLibrary
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import Habits, dress

LABEL_FACE = "Comic Neue"
LABEL_COLOR = "#303030"


def lined(kind: str, words: str, outline: Path, stroke: Stroke) -> PlacedUnit:
    """A line of ours along a path; `words` say what it shows."""
    box = outline.box()
    assert box is not None
    return PlacedUnit(
        id=kind.replace(" ", "-"),
        kind=kind,
        words=words,
        speaker="",
        panel=0,
        size=0.0,
        lines=(),
        breaks=(),
        ink=box,
        box=box,
        color=stroke.color,
        outline=outline,
        stroke=stroke,
    )


def written(
    words: str, start: Point, size: float, faces: FaceLibrary, bold: bool = False
) -> PlacedUnit:
    """Words of ours, as outlines, from a point on their baseline."""
    shaper = shaped(words, faces, bold)
    line = shaper.line(0, len(shaper.text.text))
    ink = Box(
        start.x + line.ink.left * size,
        start.y + line.ink.top * size,
        start.x + line.ink.right * size,
        start.y + line.ink.bottom * size,
    )
    return PlacedUnit(
        id="label",
        kind="label",
        words=words,
        speaker="",
        panel=0,
        size=size,
        lines=(line.path(size, start),),
        breaks=(words,),
        ink=ink,
        box=ink,
        color=LABEL_COLOR,
    )


def shaped(words: str, faces: FaceLibrary, bold: bool = False) -> Shaper:
    """Words of ours in the face of labels, ready to be measured and drawn."""
    known = _drawable(words, faces)
    text = dress([Run(known, as_typed=True)], habits=Habits(capitals=False))
    return Shaper(text, Lettering((LABEL_FACE,), bold=bold), faces)


def _drawable(words: str, faces: FaceLibrary) -> str:
    """Words with a question mark for what no face has: a zone may have any name."""
    chain = faces.chain((LABEL_FACE,), Cut())
    return "".join(
        char if any(face.covers(char) for face in chain) else "?"
        for char in " ".join(words.split())
    )
