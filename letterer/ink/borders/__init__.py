"""How each kind of balloon draws its border around the oval that its words need.

A border never comes inside its oval: spikes and scallops grow outward from it, so the words keep
their air whatever the kind. One file a family; `protocol` says what each answers.
"""

from __future__ import annotations

from letterer.ink.borders.burst import BURST, ZIGZAG, aimed_spikes
from letterer.ink.borders.cloud import CLOUD
from letterer.ink.borders.drips import DRIPS
from letterer.ink.borders.protocol import Border, Pen, Reach, TailManner
from letterer.ink.borders.smooth import SMOOTH, WHISPER, dashed
from letterer.ink.borders.song import SONG
from letterer.ink.borders.waves import WEAK

__all__ = (
    "BORDERS",
    "SMOOTH",
    "Border",
    "Pen",
    "Reach",
    "TailManner",
    "aimed_spikes",
    "border_of",
    "dashed",
)

BORDERS: dict[str, Border] = {
    "speech": SMOOTH,
    "whisper": WHISPER,
    "shout": BURST,
    "thought": CLOUD,
    "broadcast": ZIGZAG,
    "weak": WEAK,
    "cold": DRIPS,
    "singing": SONG,
}
"""The kinds that have a border."""


def border_of(kind: str) -> Border:
    """The border of a kind of unit; a plain oval for one that has none of its own."""
    return BORDERS.get(kind, SMOOTH)
