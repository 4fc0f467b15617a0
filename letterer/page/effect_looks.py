"""Looks for a sound effect: other ways to draw it that a person may choose from.

A look adds to what the placement says already, and takes the place of what bends its letters.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from letterer.model.effect import Effect
from letterer.model.plan import Placement
from letterer.page.lettered import PlacedUnit

LINES = ("arc", "wave", "crests", "rise", "letters")
SHAPES = ("heights", "sizes", "level", "slant")
PLACES = ("path", "corners")

LETTERS_APART: Mapping[str, object] = {"jump": 0.12, "tilt": 7, "overlap": 0.06}

OUTLINE_EM, OUTLINE_LEAST = 0.025, 0.4
"""Weight of the lines in a look, by the size of the letters; and the least, in points."""

WAVE_LETTERS = 5
"""Letters from which a word shows a whole wave."""

BLOCK_OUTLINES = (2.6, 2.2)
"""How far a look's block shadow lies to the right and below, in weights of its outline."""


def _open(weight: float) -> dict[str, object]:
    """Open letters."""
    return {"fill": "paper", "outlines": [{"weight": weight}]}


def _block(weight: float) -> dict[str, object]:
    """Open letters cut from wood."""
    by = [round(share * weight, 1) for share in BLOCK_OUTLINES]
    return {**_open(weight), "shadow": {"by": by, "block": True}}


def _ringed(weight: float) -> dict[str, object]:
    """Open letters with paper round the words."""
    lines = [{"weight": weight}, {"weight": weight, "color": "paper", "around": "words"}]
    return {"fill": "paper", "outlines": lines}


def _free(weight: float, letters: int) -> Iterator[Mapping[str, object]]:
    """Straight, on an arc, climbing, in waves, swelling, growing, dwindling, to and fro, cut from
    wood, in a bowl."""
    yield {}
    yield {"arc": 55}
    yield {"rise": 12, "letters": "upright"}
    wave: dict[str, object] = {"wave": 0.3, "letters": "upright"}
    yield wave if letters >= WAVE_LETTERS else {**wave, "crests": 0.5}
    yield {"heights": [1, 1.7, 1], "level": "middles"}
    yield {"sizes": [0.7, 1.4], "overlap": 0, "tilt": 5}
    yield {"heights": [1.5, 0.7], "level": "middles", "slant": 8}
    yield {**LETTERS_APART, **_ringed(weight)}
    yield {**_block(weight), "rise": 8}
    yield {"arc": -45, **_open(weight)}


def _beside_a_place(weight: float) -> Iterator[Mapping[str, object]]:
    """Looks for words that stand on a path or between corners, which say how they bend."""
    yield {}
    yield {"heights": [1, 1.5, 1], "level": "middles"}
    yield {"sizes": [0.75, 1.35]}
    yield LETTERS_APART
    yield _open(weight)
    yield _block(weight)


def looks_of(effect: Effect | None, size: float, letters: int) -> Iterator[dict[str, object]]:
    """What the `effect` of a placement may say instead, as it is written in a layout.

    `size` is the type size in points that it has now: lines are as heavy as suits it. `letters` are
    how many it has: a few cannot show a whole wave.
    """
    said = dict(effect.written) if effect else {}
    placed = any(key in said for key in PLACES)
    weight = max(round(OUTLINE_EM * size, 1), OUTLINE_LEAST)
    for look in _beside_a_place(weight) if placed else _free(weight, letters):
        gone = SHAPES if placed else (*LINES, *SHAPES)
        kept = {key: value for key, value in said.items() if key not in gone}
        if look or said:
            yield {**kept, **look}


def look_told(look: object) -> str:
    """What a look says, in few words, for a label: "arc 55, fill paper, 1 outline".

    >>> look_told({"arc": 55, "fill": "paper", "outlines": [{"weight": 1.4}]})
    'arc 55, fill paper, 1 outline'
    """
    told: list[str] = []
    for key, value in look.items() if isinstance(look, Mapping) else ():
        if key == "outlines":
            told.append(f"{len(value)} outline" + ("s" if len(value) != 1 else ""))
        elif key == "shadow":
            told.append("block shadow" if value.get("block") else "shadow")
        elif key in ("heights", "sizes"):
            told.append(f"{key} {' '.join(f'{number:g}' for number in value)}")
        elif key not in (*PLACES, "note"):
            told.append(f"{key} {value:g}" if isinstance(value, float) else f"{key} {value}")
    return ", ".join(told)


def own_size(placement: Placement) -> bool:
    """Whether a placement's corners say how large its words are, so that no size does."""
    return placement.effect is not None and bool(placement.effect.corners)


def drawn_unlike(one: PlacedUnit, other: PlacedUnit) -> bool:
    """Whether two sound effects of the same words are drawn differently."""
    if one.kind != "effect" or other.kind != "effect":
        return False
    return _drawing(one) != _drawing(other)


def _drawing(unit: PlacedUnit) -> tuple[object, ...]:
    """What is drawn, whatever its size: parts and colours, and how the letters' outlines run."""
    parts = [(layer.part, layer.fill) for layer in (*unit.extras, *unit.letters)]
    turns = ["".join(segment.verb for segment in line.segments) for line in unit.lines]
    return (unit.color, *parts, *turns)
