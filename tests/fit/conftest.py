"""Words ready to be fitted, in the bundled faces."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from letterer.fit.measure import MeasuredWords
from letterer.model.script import Run
from letterer.text.faces import FaceLibrary
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import dress

Measured = Callable[..., MeasuredWords]


@pytest.fixture(scope="session")
def measured() -> Measured:
    """A function: the words of a text, measured. What stands between asterisks is emphasised."""
    faces = FaceLibrary()

    def words(
        text: str,
        family: str = "Letterer Hand",
        language: str = "en",
        italic: bool = False,
    ) -> MeasuredWords:
        parts = text.split("*")
        runs = [Run(part, emphasis=bool(at % 2)) for at, part in enumerate(parts) if part]
        lettering = Lettering((family, "Playpen Sans", "Yusei Magic", "Comic Neue"), italic=italic)
        return MeasuredWords(Shaper(dress(runs, language), lettering, faces))

    return words
