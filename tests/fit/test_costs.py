"""Every named cost of a choice of lines is seen to act, on real words."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from letterer import craft
from letterer.fit.balloon import BalloonShape, Wishes, fit_balloon
from letterer.fit.breaking import word_costs
from letterer.fit.candidates import Candidate, silhouette_costs
from letterer.fit.caption import CaptionShape, fit_caption
from letterer.fit.lozenge import fullness
from letterer.fit.measure import MeasuredWords
from letterer.geometry import Box

Measured = Callable[..., MeasuredWords]


def best(words: MeasuredWords, **wishes: float | int) -> Candidate:
    return fit_balloon(words, BalloonShape(), Wishes(**wishes))[0]  # type: ignore[arg-type]


def cost(found: Candidate, name: str) -> float:
    return dict(found.costs).get(name, 0.0)


def set_as(words: MeasuredWords, lines: str, shape: BalloonShape | None = None) -> Candidate:
    """The words set in the lines given, apart by slashes."""
    ends, count = [], 0
    for line in lines.split(" / "):
        count += len(line.split())
        ends.append(count)
    assert count == len(words), (count, [words.word(at) for at in range(len(words))])
    found = fit_balloon(words, shape or BalloonShape(), Wishes(breaks=tuple(ends)))[0]
    assert found.text.replace("\n", " / ") == lines
    return found


# --- Words ------------------------------------------------------------------------------------


def test_a_lone_short_word_on_the_first_or_last_line(measured: Measured) -> None:
    words = measured("No one at all came to see us off")
    plain = word_costs(words, (2, 5, 9))
    assert word_costs(words, (1, 5, 9)) == pytest.approx(plain + craft.COST_LONE_SHORT_WORD)
    lone_end = word_costs(words, (2, 8, 9))
    assert lone_end - word_costs(words, (2, 9)) >= craft.COST_LONE_SHORT_WORD - 1e-9
    # One line has no first and last to dangle.
    assert word_costs(measured("No"), (1,)) == 0


def test_a_lone_longer_word_on_the_last_line(measured: Measured) -> None:
    words = measured("You have had that key the whole time")
    lone, pair = word_costs(words, (3, 7, 8)), word_costs(words, (3, 5, 8))
    assert lone - pair == pytest.approx(craft.COST_LONE_WORD)


@pytest.mark.parametrize(
    ("text", "language", "bad"),
    [
        ("give me the lamp", "en", 3),
        ("home we ran for us", "en", 4),
        ("maybe we know", "en", 2),
        ("maybe they'll know", "en", 2),
        ("maybe I'm late", "en", 2),
        ("maybe she knows", "en", 2),
        ("now I know", "en", 2),
        ("donne la lampe", "fr", 2),
        ("gib mir die Lampe", "de", 3),
    ],
)
def test_a_line_that_ends_on_a_word_of_the_next(
    text: str, language: str, bad: int, measured: Measured
) -> None:
    words = measured(text, language=language)
    assert words.end_costs[bad] == craft.COST_BAD_END
    assert words.end_costs[1] == 0
    assert words.end_costs[len(words)] == 0, "a text may end as it likes"


def test_what_is_bad_in_one_language_is_not_in_another(measured: Measured) -> None:
    assert measured("mange des pommes", language="fr").end_costs[2] == craft.COST_BAD_END
    assert measured("mange des pommes", language="en").end_costs[2] == 0


@pytest.mark.parametrize("mark", [",", ".", "!", "?", "...", " --", ":"])
def test_a_break_after_a_clause_is_a_gain(mark: str, measured: Measured) -> None:
    words = measured(f"go home{mark} nobody waits")
    assert words.end_costs[2] == craft.COST_PHRASE_BREAK < 0
    assert words.end_costs[1] == 0


def test_a_break_inside_a_word(measured: Measured) -> None:
    words = measured("the lantern-lit harbour")
    assert [words.word(at) for at in range(len(words))] == ["THE", "LANTERN-", "LIT", "HARBOUR"]
    assert words.end_costs[2] == craft.COST_INSIDE_WORD


def test_a_forced_break_costs_nothing(measured: Measured) -> None:
    words = measured("the\nlamp is out")
    assert words.end_costs[1] == 0
    assert words.first_line_costs[1] == 0


def test_word_costs_change_the_choice(measured: Measured, monkeypatch: pytest.MonkeyPatch) -> None:
    text = "The lamp is out."
    assert best(measured(text)).text == "THE LAMP\nIS OUT."
    monkeypatch.setattr(craft, "COST_LONE_SHORT_WORD", 0.0)
    assert best(measured(text)).text == "THE\nLAMP IS\nOUT."


def test_a_lone_longer_word_on_the_first_line(
    measured: Measured, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = measured("Nobody ever told me, nobody at all")
    pair = word_costs(words, (2, 4, 7))
    assert word_costs(words, (1, 4, 7)) - pair == pytest.approx(craft.COST_LONE_FIRST_WORD)
    # A word that is said by itself may stand by itself.
    called = measured("Nobody, ever told me, nobody at all")
    gained = word_costs(called, (1, 4, 7)) - word_costs(called, (2, 4, 7))
    assert gained == pytest.approx(craft.COST_PHRASE_BREAK)
    text = "They said it couldn't be mended. They said that about me, too."
    assert best(measured(text)).text.startswith("THEY SAID\n")
    monkeypatch.setattr(craft, "COST_LONE_FIRST_WORD", 0.0)
    assert best(measured(text)).text.startswith("THEY\nSAID")


# --- Silhouette -------------------------------------------------------------------------------


def test_an_hourglass(measured: Measured) -> None:
    words = measured("Somebody has painted it shut again tonight")
    waisted = set_as(words, "SOMEBODY HAS PAINTED / IT SHUT / AGAIN TONIGHT")
    assert cost(waisted, "hourglass") > 0.1
    assert cost(set_as(words, "SOMEBODY HAS / PAINTED IT SHUT / AGAIN TONIGHT"), "hourglass") == 0
    assert cost(best(words), "hourglass") == 0
    # The deeper the waist, the more it costs, by the cap, up to the most that it is worth.
    assert silhouette_costs([3.0, 2.7, 3.0], 1.0)["hourglass"] == pytest.approx(
        craft.COST_VALLEY * (0.6 - craft.VALLEY_FREE_CAPS)
    )
    assert silhouette_costs([3.0, 1.0, 3.0], 1.0)["hourglass"] == craft.COST_VALLEY_MOST
    assert "hourglass" not in silhouette_costs([3.0, 2.85, 3.0], 1.0)


def test_a_staircase(measured: Measured) -> None:
    words = measured("Nobody goes down to the old pier")
    stairs = set_as(words, "NOBODY GOES DOWN / TO THE OLD / PIER")
    assert cost(stairs, "staircase") == craft.COST_STAIRCASE
    assert cost(set_as(words, "NOBODY / GOES DOWN TO / THE OLD PIER"), "staircase") == 0
    assert silhouette_costs([1.0, 2.0, 4.0], 1.0) == {"staircase": craft.COST_STAIRCASE}
    assert silhouette_costs([1.0, 4.0, 2.0], 1.0) == {}


def test_a_column() -> None:
    assert silhouette_costs([3.0, 3.05, 2.95], 1.0) == {"column": craft.COST_COLUMN}
    assert silhouette_costs([3.0, 3.4, 3.0], 1.0) == {}
    # Two even lines are no column: there is no lozenge of two lines.
    assert silhouette_costs([3.0, 3.0], 1.0) == {}


def test_lines_that_are_no_lozenge(measured: Measured) -> None:
    words = measured("Nobody goes down to the old lighthouse any more.")
    bulging = set_as(words, "NOBODY / GOES DOWN / TO THE OLD / LIGHTHOUSE / ANY MORE.")
    even = set_as(words, "NOBODY GOES / DOWN TO THE OLD / LIGHTHOUSE ANY / MORE.")
    halves = np.array([line.shaped.half_width for line in even.lines])[:, None]
    short = craft.LOZENGE_SHARE - float(fullness(halves, np.array([4]), craft.EXPONENT)[0])
    assert cost(even, "lozenge") == pytest.approx(max(craft.COST_LOZENGE * short, 0), abs=1e-9)
    assert cost(bulging, "lozenge") > cost(even, "lozenge")
    assert cost(bulging, "lozenge") <= craft.COST_LOZENGE_MOST
    # Two lines are no lozenge, however they stand.
    assert cost(set_as(measured("Wait for me here"), "WAIT / FOR ME HERE"), "lozenge") == 0


# --- Shape ------------------------------------------------------------------------------------


def test_uneven_air_is_the_mean_square_of_what_is_left_beside_the_lines(
    measured: Measured,
) -> None:
    words = measured("No, I never said that the harbour was safe")
    found = set_as(words, "NO, I NEVER SAID / THAT / THE HARBOUR WAS SAFE")
    even = set_as(words, "NO, I NEVER / SAID THAT THE / HARBOUR WAS SAFE")
    assert cost(found, "uneven air") > 3 * cost(even, "uneven air")
    assert cost(even, "uneven air") >= 0


def test_more_lines_than_three_sit_worse(measured: Measured) -> None:
    words = measured("I don't know what you think you heard")
    assert cost(best(words, lines=3), "height") == 0
    assert cost(best(words, lines=5), "height") == pytest.approx(2 * craft.COST_HEIGHT)


def test_width_to_height_away_from_the_usual(measured: Measured) -> None:
    words = measured("The lamp is out and nobody knows")
    usual = best(words, aspect=craft.ASPECT_USUAL)
    wide = best(words, aspect=3.0)
    assert cost(usual, "width to height") == pytest.approx(0, abs=1e-9)
    away = math.log(3.0 / craft.ASPECT_USUAL)
    assert cost(wide, "width to height") == pytest.approx(
        craft.COST_OFF_USUAL_ASPECT * away**2, rel=1e-6
    )


def test_width_to_height_out_of_its_range(measured: Measured) -> None:
    words = measured("Nobody goes down to the old lighthouse any more")
    low = fit_balloon(words, BalloonShape(), Wishes(room=(200, 28)))[0]
    assert low.fits
    assert cost(low, "aspect") > 0
    inside = fit_balloon(words, BalloonShape(), Wishes(room=(400, 400)))[0]
    assert cost(inside, "aspect") == 0


def test_area_counts_by_its_logarithm(measured: Measured, monkeypatch: pytest.MonkeyPatch) -> None:
    found = best(measured("The lamp is out"))
    drawn = math.log(found.shape.area / found.size**2)
    # What is drawn may be a little larger than the least oval, to have its words in the middle.
    assert drawn - math.log(1 + craft.CENTRING_SHARE) - 1e-9 <= cost(found, "area") <= drawn + 1e-9
    monkeypatch.setattr(craft, "CENTRING_SHARE", 0.0)
    least = best(measured("The lamp is out"))
    area = math.log(least.shape.area / least.size**2)
    assert cost(least, "area") == pytest.approx(area, abs=1e-6)
    assert cost(found, "area") == cost(least, "area")
    assert found.total == pytest.approx(sum(value for _, value in found.costs))


# --- Captions ---------------------------------------------------------------------------------


def test_a_caption_too_wide_for_its_panel(measured: Measured) -> None:
    words = measured("Nobody remembered who had built the clock")
    free = fit_caption(words, CaptionShape(), Wishes(lines=1))[0]
    tight = fit_caption(words, CaptionShape(widest=100), Wishes(lines=1))[0]
    assert cost(free, "too wide") == 0
    assert cost(tight, "too wide") > 0.3
    words = measured("By noon the whole town had heard it, and by supper everybody knew better.")
    lines = [len(fit_caption(words, CaptionShape(widest=w), Wishes())[0].lines) for w in (60, 300)]
    assert lines[0] > lines[1]


def test_a_caption_out_of_its_range_of_width_to_height(measured: Measured) -> None:
    words = measured("Nobody remembered who had built the clock")
    assert cost(fit_caption(words, CaptionShape(), Wishes(lines=7))[0], "aspect") > 0
    assert cost(fit_caption(words, CaptionShape(), Wishes(lines=3))[0], "aspect") == 0
    # A strip of one line may be longer.
    assert (
        cost(
            fit_caption(measured("Three days later"), CaptionShape(), Wishes(lines=1))[0], "aspect"
        )
        == 0
    )


def test_ragged_lines_of_a_caption(measured: Measured) -> None:
    words = measured("Nobody remembered who had built the clock")
    even = fit_caption(words, CaptionShape(), Wishes(breaks=(2, 5, 7)))[0]
    ragged = fit_caption(words, CaptionShape(), Wishes(breaks=(1, 5, 7)))[0]
    for found in (even, ragged):
        widths = [line.ink.width for line in found.lines]
        free = sum((1 - width / max(widths)) ** 2 for width in widths) / 3
        assert cost(found, "ragged") == pytest.approx(craft.COST_RAGGED * free)
    assert cost(ragged, "ragged") > 2 * cost(even, "ragged")
    one = fit_caption(words, CaptionShape(), Wishes(lines=1))[0]
    assert cost(one, "ragged") == 0


def test_a_word_alone_in_the_middle_of_a_caption(measured: Measured) -> None:
    words = measured("Low Harbour. Three days before the storm.")
    hole = fit_caption(words, CaptionShape(), Wishes(breaks=(2, 4, 5, 7)))[0]
    assert hole.text == "LOW HARBOUR.\nTHREE DAYS\nBEFORE\nTHE STORM."
    widths = [line.ink.width for line in hole.lines]
    free = 1 - widths[2] / max(widths)
    assert cost(hole, "hole") == pytest.approx(craft.COST_HOLE * free)
    assert cost(hole, "hole") > 0.05
    # First and last lines have a cost of their own; a word that fills the width is no hole.
    assert cost(fit_caption(words, CaptionShape(), Wishes(breaks=(2, 5, 7)))[0], "hole") == 0
    full = fit_caption(
        measured("An extraordinarily old clock"), CaptionShape(), Wishes(breaks=(1, 2, 4))
    )
    assert cost(full[0], "hole") == 0
    for widest in range(40, 300, 10):
        for found in fit_caption(words, CaptionShape(widest=widest), Wishes())[:2]:
            assert found.text != hole.text, "only a box may force it"


def test_a_caption_is_a_little_wider_for_better_breaks(
    measured: Measured, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = measured("By noon the whole town had heard it, and by supper everybody knew better.")

    def width(lines: int) -> float:
        box = fit_caption(words, CaptionShape(), Wishes(lines=lines))[0].shape
        assert isinstance(box, Box)
        return box.width

    loose = [width(lines) for lines in range(2, 8)]
    monkeypatch.setattr(craft, "CAPTION_LOOSENESS", (0.0,))
    narrow = [width(lines) for lines in range(2, 8)]
    most = 1 + max((0.0, 0.05, 0.1))
    assert any(wide > least for wide, least in zip(loose, narrow, strict=True))
    for wide, least in zip(loose, narrow, strict=True):
        # A line is looked for by sums of advances, which kerning changes by a hair.
        assert least - 0.3 <= wide <= least * most + 0.3
