"""Words in a box that the plan gives: what shrinks, how far, and what is asked besides."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer import craft
from letterer.fit.balloon import BalloonShape, Wishes, fit_balloon
from letterer.fit.candidates import Candidate
from letterer.fit.caption import CaptionShape, fit_caption
from letterer.fit.effect import fit_effect
from letterer.fit.measure import MeasuredWords
from letterer.fit.oval import Oval
from letterer.fit.sizes import SIZE_STEP

Measured = Callable[..., MeasuredWords]
Fit = Callable[[MeasuredWords, Wishes], list[Candidate]]

TEXTS = (
    "No.",
    "Wait for me!",
    "The lamp is out.",
    "Extraordinarily so",
    "But not forever! Um, are you okay with that plan?",
    "I don't know what you think you heard, but nobody has been down there in eleven years.",
)


def balloon(words: MeasuredWords, wishes: Wishes) -> list[Candidate]:
    return fit_balloon(words, BalloonShape(), wishes)


def caption(words: MeasuredWords, wishes: Wishes) -> list[Candidate]:
    return fit_caption(words, CaptionShape(), wishes)


def frame(found: Candidate) -> tuple[float, float]:
    box = found.shape.box if isinstance(found.shape, Oval) else found.shape
    return box.width, box.height


FITS: tuple[Fit, ...] = (balloon, caption)
rooms = st.tuples(st.floats(8, 140), st.floats(8, 90))


@pytest.mark.parametrize("fit", FITS)
@pytest.mark.parametrize("text", TEXTS)
def test_the_usual_size_is_kept_when_it_fits(fit: Fit, text: str, measured: Measured) -> None:
    words = measured(text)
    free = fit(words, Wishes())[0]
    width, height = frame(free)
    kept = fit(words, Wishes(room=(width + 0.05, height + 0.05)))[0]
    assert kept.fits and kept.size == craft.SIZE_USUAL
    assert fit(words, Wishes(size=9.0, room=(500, 500)))[0].size == 9.0


@pytest.mark.parametrize("fit", FITS)
def test_it_shrinks_to_fit_and_no_further_than_it_must(fit: Fit, measured: Measured) -> None:
    words = measured(TEXTS[4])
    width, height = frame(fit(words, Wishes())[0])
    room = (width * 0.9, height * 0.9)
    found = fit(words, Wishes(room=room))[0]
    assert found.fits
    assert craft.SIZE_FLOOR <= found.size < craft.SIZE_USUAL
    # A step larger, and nothing fits: asked for with the larger size as the floor.
    step = fit(words, Wishes(size=found.size + SIZE_STEP, floor=found.size + SIZE_STEP, room=room))
    assert not step[0].fits


@pytest.mark.parametrize("fit", FITS)
@settings(max_examples=25)
@given(
    text=st.sampled_from(TEXTS), room=rooms, more=st.tuples(st.floats(1, 1.4), st.floats(1, 1.4))
)
def test_a_larger_box_never_gives_a_smaller_size(
    fit: Fit, text: str, room: tuple[float, float], more: tuple[float, float], measured: Measured
) -> None:
    words = measured(text)
    small = fit(words, Wishes(room=room))[0]
    large = fit(words, Wishes(room=(room[0] * more[0], room[1] * more[1])))[0]
    if small.fits and not small.broken:
        assert large.fits
        assert large.size >= small.size


@pytest.mark.parametrize("fit", FITS)
@settings(max_examples=25)
@given(text=st.sampled_from(TEXTS), room=rooms)
def test_what_is_said_of_the_fit_is_true(
    fit: Fit, text: str, room: tuple[float, float], measured: Measured
) -> None:
    words = measured(text)
    found = fit(words, Wishes(room=room))[0]
    width, height = frame(found)
    assert width <= room[0] + 1e-9 and height <= room[1] + 1e-9, "held within the room"
    assert min(found.overflow) >= 0
    assert craft.SIZE_FLOOR <= found.size <= craft.SIZE_USUAL
    assert found.size / SIZE_STEP == pytest.approx(round(found.size / SIZE_STEP), abs=1e-6)
    if not found.fits:
        assert found.size == craft.SIZE_FLOOR, "as small as it may be before it sticks out"
        larger = (room[0] + found.overflow[0] + 1e-6, room[1] + found.overflow[1] + 1e-6)
        assert found.broken or fit(words, Wishes(size=craft.SIZE_FLOOR, room=larger))[0].fits, (
            "so much more is enough"
        )
    # A hyphen is put in only where the report says so.
    assert letters(found.text) == letters(words.text)
    if not found.broken:
        assert found.text.count("-") == words.text.count("-")


def letters(text: str) -> str:
    return "".join(char for char in text if char.isalnum())


def test_nothing_fits_a_hole(measured: Measured) -> None:
    for fit in FITS:
        found = fit(measured(TEXTS[5]), Wishes(room=(20, 12)))[0]
        assert not found.fits
        assert min(found.overflow) > 0
        assert found.size == craft.SIZE_FLOOR


def test_the_floor_is_the_plans(measured: Measured) -> None:
    words = measured(TEXTS[4])
    assert fit_balloon(words, BalloonShape(), Wishes(floor=7.0, room=(50, 30)))[0].size == 7.0
    # A size asked for below the floor is kept: it is the person's own wish.
    assert fit_balloon(words, BalloonShape(), Wishes(size=5.0, room=(400, 400)))[0].size == 5.0


@pytest.mark.parametrize("fit", FITS)
@pytest.mark.parametrize("lines", range(1, 7))
def test_the_number_of_lines_asked_for(fit: Fit, lines: int, measured: Measured) -> None:
    words = measured(TEXTS[4])
    assert len(fit(words, Wishes(lines=lines))[0].lines) == lines


@pytest.mark.parametrize("fit", FITS)
def test_more_lines_than_words_are_as_many_as_there_are_words(fit: Fit, measured: Measured) -> None:
    assert len(fit(measured("Wait here"), Wishes(lines=9))[0].lines) == 2


@pytest.mark.parametrize("aspect", [0.7, 1.0, 1.65, 3.0])
@pytest.mark.parametrize("text", TEXTS)
def test_the_width_to_height_asked_for(text: str, aspect: float, measured: Measured) -> None:
    found = fit_balloon(measured(text), BalloonShape(), Wishes(aspect=aspect))[0]
    width, height = frame(found)
    assert width / height == pytest.approx(aspect, rel=1e-6)


@pytest.mark.parametrize("fit", FITS)
def test_the_writers_own_line_breaks(fit: Fit, measured: Measured) -> None:
    words = measured("No\nno, a thousand times no\nno")
    assert words.fewest_lines == 3
    lines = fit(words, Wishes())[0].text.split("\n")
    assert lines[0] == "NO" and lines[-1] == "NO"
    assert len(lines) >= 3
    few = fit(words, Wishes(lines=1))[0]
    assert few.text == "NO\nNO, A THOUSAND TIMES NO\nNO", "a wish does not undo what was typed"
    crowded = fit(words, Wishes(room=(60, 60)))[0].text.split("\n")
    assert crowded[0] == "NO" and crowded[-1] == "NO"


@pytest.mark.parametrize("fit", FITS)
def test_lines_given_by_the_plan(fit: Fit, measured: Measured) -> None:
    words = measured("The lamp is out and nobody knows")
    found = fit(words, Wishes(breaks=(1, 6, 7)))
    assert found[0].text == "THE\nLAMP IS OUT AND NOBODY\nKNOWS"
    assert found[0].breaks == (1, 6, 7)


def test_one_word_of_sixty_letters(measured: Measured) -> None:
    words = measured("a" * 60)
    found = fit_balloon(words, BalloonShape(), Wishes())[0]
    assert found.text == "A" * 60
    width, height = frame(found)
    assert width / height == pytest.approx(craft.ASPECT_LONG_WORD)
    squeezed = fit_balloon(words, BalloonShape(), Wishes(room=(40, 20)))[0]
    assert not squeezed.fits and squeezed.overflow[0] > 0
    assert not squeezed.broken, "no way to break it fits either"


@pytest.mark.parametrize(
    ("text", "most"),
    [
        ("M" * craft.LONG_WORD_LETTERS, craft.ASPECT_LONG_WORD),
        ("M" * (craft.LONG_WORD_LETTERS - 1), craft.ASPECT_ONE_WORD),
        ("M" * craft.LONG_WORD_LETTERS + " so", craft.ASPECT_LONG_WORD),
        ("M" * (craft.LONG_WORD_LETTERS - 1) + " so", craft.ASPECT_RANGE[1]),
        # The very long word is not by itself, or not the widest line.
        ("I " + "i" * craft.LONG_WORD_LETTERS + " MMMMMMMM MMMMMMMM", craft.ASPECT_RANGE[1]),
    ],
)
def test_how_flat_a_long_word_makes_a_balloon(text: str, most: float, measured: Measured) -> None:
    words = measured(text)
    breaks = {1: (1,), 2: (1, 2), 4: (2, 4)}[len(words)]
    found = fit_balloon(words, BalloonShape(), Wishes(breaks=breaks))[0]
    width, height = frame(found)
    assert width / height == pytest.approx(most)


def test_words_led_by_a_long_one_get_the_best_of_all_breakings(measured: Measured) -> None:
    for text in ("Unputdownablenesses so", "Oh, congratulations, brother!"):
        words = measured(text)
        best = fit_balloon(words, BalloonShape(), Wishes())[0]
        for lines in range(1, len(words) + 1):
            for cuts in itertools.combinations(range(1, len(words)), lines - 1):
                rival = fit_balloon(words, BalloonShape(), Wishes(breaks=(*cuts, len(words))))[0]
                assert best.total <= rival.total + 1e-6, f"{best.text!r}, {rival.text!r}"


def test_the_air_above_and_below_is_evened(
    measured: Measured, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gap(found: Candidate) -> float:
        box = found.shape.box if isinstance(found.shape, Oval) else found.shape
        return abs((found.ink.top - box.top) - (box.bottom - found.ink.bottom))

    evener = 0
    for text in TEXTS:
        words = measured(text)
        centred = fit_balloon(words, BalloonShape(), Wishes())[0]
        with monkeypatch.context() as patch:
            patch.setattr(craft, "CENTRING_SHARE", 0.0)
            least = fit_balloon(words, BalloonShape(), Wishes())[0]
        assert centred.breaks == least.breaks, "the choice of lines does not hang on it"
        assert centred.costs == least.costs
        assert centred.shape.area <= least.shape.area * (1 + craft.CENTRING_SHARE) + 1e-6
        assert gap(centred) <= gap(least) + 1e-6
        evener += gap(centred) < gap(least) - 0.2
    assert evener >= 2


def test_the_air_is_evened_in_a_box_that_is_large_enough(
    measured: Measured, monkeypatch: pytest.MonkeyPatch
) -> None:
    for text in TEXTS:
        words = measured(text)
        free = fit_balloon(words, BalloonShape(), Wishes())[0]
        width, height = frame(free)
        for more in (0.01, 40.0):
            room = (width + more, height + more)
            boxed = fit_balloon(words, BalloonShape(), Wishes(breaks=free.breaks, room=room))[0]
            assert boxed.fits
            assert frame(boxed)[0] <= room[0] + 1e-6 and frame(boxed)[1] <= room[1] + 1e-6
            if more > 1:
                assert boxed.ink.center.y == pytest.approx(free.ink.center.y, abs=0.02)


def test_three_hundred_words(measured: Measured) -> None:
    words = measured(" ".join(["the lamp is out and nobody knows why"] * 38)[:-4])
    assert len(words) > 300
    for fit in FITS:
        found = fit(words, Wishes())[0]
        assert " ".join(found.text.split()) == words.text
        assert 10 < len(found.lines) < 60
    width, height = frame(fit_balloon(words, BalloonShape(), Wishes())[0])
    low, high = craft.ASPECT_RANGE
    assert low - 1e-6 <= width / height <= high + 1e-6


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("もう誰もいない。灯台の明かりは消えたままだ。", "ja"),
        ("灯塔早就熄了，没有人再走下去。", "zh"),
    ],
)
def test_words_without_spaces_break(text: str, language: str, measured: Measured) -> None:
    words = measured(text, language=language)
    for fit in FITS:
        found = fit(words, Wishes())[0]
        lines = found.text.split("\n")
        assert len(lines) > 1
        assert "".join(lines) == text
        assert not any(line[0] in "。、，" for line in lines), "a stop never begins a line"
    narrow = fit_caption(words, CaptionShape(widest=40), Wishes())[0]
    assert frame(narrow)[0] <= 60


def test_an_effect_is_as_large_as_its_box(measured: Measured) -> None:
    words = measured("Krrang!", family="Bangers")
    for room in ((120.0, 60.0), (60.0, 120.0), (300.0, 40.0)):
        found = fit_effect(words, 24.0, room)
        halo = 2 * craft.EFFECT_HALO_EM * found.size
        width, height = frame(found)
        assert width + halo <= room[0] + 1e-6 and height + halo <= room[1] + 1e-6
        assert max((width + halo) / room[0], (height + halo) / room[1]) == pytest.approx(1)
    assert fit_effect(words, 30.0).size == 30.0
    assert fit_effect(measured("Krr\nang!", family="Bangers"), 24.0).text == "KRR\nANG!"
    assert fit_effect(measured("tick tock tick", family="Bangers"), 24.0).text == "TICK TOCK TICK"


@pytest.mark.parametrize("fit", [*FITS, lambda words, wishes: [fit_effect(words, 24.0)]])
def test_the_shape_is_about_the_middle_and_the_ink_inside(fit: Fit, measured: Measured) -> None:
    for text in TEXTS:
        found = fit(measured(text), Wishes())[0]
        box = found.shape.box if isinstance(found.shape, Oval) else found.shape
        assert box.center == pytest.approx((0, 0), abs=1e-9)
        assert box.contains(found.ink, 1e-9)


def test_hanging_marks_hang(measured: Measured) -> None:
    # Half of the dots' width does not count when the line is centred.
    words = measured("not so loud...")
    line = fit_balloon(words, BalloonShape(), Wishes(lines=1))[0].lines[0]
    shaped = line.shaped
    assert shaped.hang_right > 0.3
    assert line.ink.center.x == pytest.approx(
        craft.HANGING_SHARE * shaped.hang_right / 2 * line.size
    )
