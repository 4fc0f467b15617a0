"""The lines that a fixed list of sentences is broken into, as text.

In tests/golden/lines each block is a sentence as a writer types it, after "> ", and its lines.
A change there is a change of what readers see: look at it before renewing the file with
`pytest --update-golden`. To add a sentence, write its first line and renew.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from letterer import craft
from letterer.fit.balloon import BalloonShape, Wishes, fit_balloon
from letterer.fit.candidates import Candidate
from letterer.fit.caption import CaptionShape, fit_caption
from letterer.fit.measure import MeasuredWords
from letterer.fit.oval import Oval

Measured = Callable[..., MeasuredWords]
Golden = Callable[[str, bytes], None]

# Where the words leave nothing better: a long word between short ones, a first word with a dash.
HOURGLASSES: frozenset[str] = frozenset()
LONE_SHORT_WORDS = frozenset({"W-wait -- who told you?"})


def sentences(repository: Path, file: str) -> list[str]:
    text = (repository / "tests/golden/lines" / file).read_text("utf-8")
    return [line[2:] for line in text.splitlines() if line.startswith("> ")]


def balloon(words: MeasuredWords, size: float = craft.SIZE_USUAL) -> Candidate:
    return fit_balloon(words, BalloonShape(), Wishes(size))[0]


def caption(words: MeasuredWords) -> Candidate:
    return fit_caption(words, CaptionShape(widest=300), Wishes())[0]


def humps(found: Candidate, cap: float) -> float:
    """The depth, in caps, of the deepest waist: a line narrower than one above and one below."""
    widths = [2 * line.shaped.half_width / cap for line in found.lines]
    depths = [
        min(max(widths[:row]), max(widths[row + 1 :])) - widths[row]
        for row in range(1, len(widths) - 1)
    ]
    return max(depths, default=0.0)


@pytest.mark.parametrize("kind", ["balloons", "captions"])
def test_the_lines_are_those_on_file(
    kind: str, repository: Path, measured: Measured, golden: Golden
) -> None:
    fit = balloon if kind == "balloons" else caption
    blocks = [
        f"> {text}\n{fit(measured(text, italic=kind == 'captions')).text}\n"
        for text in sentences(repository, f"{kind}.txt")
    ]
    assert len(blocks) >= 10
    golden(f"lines/{kind}.txt", "\n".join(blocks).encode())


def test_lines_make_a_lozenge(repository: Path, measured: Measured) -> None:
    waisted = set()
    for text in sentences(repository, "balloons.txt"):
        words = measured(text)
        if humps(balloon(words), words.cap) > craft.VALLEY_FREE_CAPS:
            waisted.add(text)
    assert waisted == HOURGLASSES, "take out of the list what has mended itself"


def test_no_lone_short_word_where_it_can_be_helped(repository: Path, measured: Measured) -> None:
    lone = set()
    for text in sentences(repository, "balloons.txt"):
        lines = balloon(measured(text)).text.split("\n")
        ends = [line for line in (lines[0], lines[-1]) if len(lines) > 1 and " " not in line]
        if any(sum(char.isalnum() for char in line) < craft.LONE_WORD_LETTERS for line in ends):
            lone.add(text)
    assert lone == LONE_SHORT_WORDS, "take out of the list what has mended itself"


def test_width_to_height_keeps_in_its_range(repository: Path, measured: Measured) -> None:
    low, high = craft.ASPECT_RANGE
    for text in sentences(repository, "balloons.txt"):
        words = measured(text)
        for size in (craft.SIZE_FLOOR, craft.SIZE_USUAL, craft.SIZE_LARGE):
            found = balloon(words, size)
            most = craft.ASPECT_ONE_WORD if " " not in words.text else high
            widest = max(found.lines, key=lambda line: line.shaped.half_width).words
            if " " not in widest and sum(map(str.isalnum, widest)) >= craft.LONG_WORD_LETTERS:
                most = craft.ASPECT_LONG_WORD
            width, height = frame(found)
            assert low - 1e-6 <= width / height <= most + 1e-6, f"{text!r} at {size} pt"
            assert found.size == size


def frame(found: Candidate) -> tuple[float, float]:
    box = found.shape.box if isinstance(found.shape, Oval) else found.shape
    return box.width, box.height


def test_the_same_words_give_the_same_candidates(repository: Path, measured: Measured) -> None:
    for text in sentences(repository, "balloons.txt")[::4]:
        first, second = measured(text), measured(text)
        assert first is not second
        ours = fit_balloon(first, BalloonShape(), Wishes())
        theirs = fit_balloon(second, BalloonShape(), Wishes())
        assert [(c.breaks, c.shape, c.costs) for c in ours] == [
            (c.breaks, c.shape, c.costs) for c in theirs
        ]
        # The first is set once more, finely, so its own area may only have shrunk.
        assert [c.total for c in ours[1:]] == sorted(c.total for c in ours[1:])
        assert len({c.breaks for c in ours}) == len(ours)
