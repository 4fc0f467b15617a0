"""Letters of a sound effect: how near they stand, how they grow, what chance does to them."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np
import pytest
from shapely import Polygon, distance, unary_union
from shapely import box as upright
from shapely.geometry.base import BaseGeometry

from letterer import craft
from letterer.fit.effect_letters import Letter, Letters, Rhythm, effect_letters
from letterer.fit.measure import MeasuredWords
from letterer.geometry import Box, Path, union_box

Measured = Callable[..., MeasuredWords]


def box(path: Path) -> Box:
    found = path.box()
    assert found is not None
    return found


def made(words: MeasuredWords, identity: str = "a", **keys: object) -> Letters:
    return effect_letters(words, Rhythm(**keys), identity)  # type: ignore[arg-type]


def ink(letter: Letter) -> BaseGeometry:
    return unary_union([Polygon(ring).buffer(0) for ring in letter.path.flattened(0.002)])


def gaps(letters: Letters) -> list[float]:
    """Shortest way between neighbours, by shapely; 0 where they touch."""
    return [distance(ink(a), ink(b)) for a, b in itertools.pairwise(letters.letters)]


def test_plain_letters_stand_as_the_face_sets_them(measured: Measured) -> None:
    words = measured("AVATAR", family="Bangers")
    letters = made(words)
    whole = words.line(0, len(words)).shaped
    assert letters.width == pytest.approx(whole.ink.width)
    start = whole.ink.left
    assert [box(one.path).left + start for one in letters.letters] == pytest.approx(
        [inked.left for inked in whole.inked]
    )
    assert letters.lines == ("AVATAR",) and letters.lowest == 0.0


def test_the_same_words_are_drawn_the_same(measured: Measured) -> None:
    words = measured("KRAKOOM", family="Bangers")

    def drawn(identity: str) -> Letters:
        return made(words, identity, jump=0.2, tilt=9.0, overlap=0.1)

    assert drawn("a") == drawn("a") != drawn("b")


@pytest.mark.parametrize("family", ["Bangers", "Luckiest Guy", "Permanent Marker"])
def test_letters_that_touch_touch_and_no_more(family: str, measured: Measured) -> None:
    letters = made(measured("HUMMING", family=family), overlap=0.0)
    for gap, (one, other) in zip(gaps(letters), itertools.pairwise(letters.letters), strict=True):
        assert gap < 0.02
        assert ink(one).intersection(ink(other)).area < 0.002


@pytest.mark.parametrize("overlap", [0.05, 0.15, 0.3])
def test_an_overlap_is_never_more_than_asked_and_leaves_letters_to_be_read(
    overlap: float, measured: Measured
) -> None:
    words = measured("KLUNKATHOOM", family="Bangers")
    letters = made(words, overlap=overlap, tilt=6.0)
    deep = []
    for one, other in itertools.pairwise(letters.letters):
        common = ink(one).intersection(ink(other))
        left, _, right, _ = common.bounds if not common.is_empty else (0, 0, 0, 0)
        deep.append(right - left)
        # Bands are as low as 1/48 of a letter, and letters lean within them.
        small = min(abs(one.path.area()), abs(other.path.area()))
        assert common.area <= craft.EFFECT_COVERED_MOST * small * 1.1
    assert max(deep) > 0
    apart = made(words, overlap=-0.2)
    assert min(gaps(apart)) > 0.1 * words.cap
    assert apart.width > made(words, overlap=0.0).width > letters.width


@pytest.mark.parametrize(("word", "low"), [("LU", True), ("TH", False)])
def test_the_foot_of_an_l_and_the_arm_of_a_t_are_still_seen(
    word: str, low: bool, measured: Measured
) -> None:
    letters = made(measured(word, family="Luckiest Guy"), overlap=0.3)
    first, second = (ink(one) for one in letters.letters)
    left, top, right, bottom = first.bounds
    middle = first.intersection(upright(left, (top + bottom) / 2, right, (top + bottom) / 2 + 0.02))
    half = (top + bottom) / 2
    rows = (half, bottom) if low else (top, half)
    arm = first.intersection(upright(middle.bounds[2] + 0.01, rows[0], right, rows[1]))
    assert arm.area > 0.005
    share = arm.intersection(second).area / arm.area
    assert 0 < share < 0.45


def test_letters_that_tilt_keep_their_room_and_do_not_touch(measured: Measured) -> None:
    words = measured("WAKAWAV", family="Bangers")
    letters = made(words, tilt=12.0, jump=0.2)
    assert min(gaps(letters)) >= 0.5 * craft.EFFECT_GAP_LEAST_CAPS * words.cap
    assert letters.width == pytest.approx(made(words).width, rel=0.25)


def test_jumps_and_tilts_go_to_and_fro_within_their_most(measured: Measured) -> None:
    words = measured("HHHHHHHHHH", family="Luckiest Guy")
    plain = box(made(words).letters[0].path)
    letters = made(words, jump=0.2).letters
    jumps = np.array([box(one.path).bottom - plain.bottom for one in letters]) / words.cap
    assert (abs(jumps) <= 0.2).all() and (abs(jumps) >= 0.2 * craft.EFFECT_STRAY_LEAST - 1e-9).all()
    assert (np.sign(jumps[1:]) == -np.sign(jumps[:-1])).all()
    assert len({round(abs(jump), 6) for jump in jumps}) == len(jumps)
    tilted = made(words, tilt=10.0).letters
    assert all(box(one.path).width > plain.width for one in tilted)


def test_sizes_grow_by_even_shares(measured: Measured) -> None:
    words = measured("HHHHH", family="Luckiest Guy")
    usual = box(made(words).letters[0].path).height
    heights = [box(one.path).height / usual for one in made(words, sizes=(0.5, 2.0)).letters]
    assert heights == pytest.approx([0.5, 0.5 * 2**0.5, 1.0, 2**0.5, 2.0])
    swollen = made(words, sizes=(1.0, 2.0, 1.0))
    assert [box(one.path).height / usual for one in swollen.letters] == pytest.approx(
        [1, 2**0.5, 2, 2**0.5, 1]
    )


def test_what_stays_level(measured: Measured) -> None:
    words = measured("HHHHH", family="Luckiest Guy")
    for level, edge in (("feet", "bottom"), ("tops", "top")):
        letters = made(words, sizes=(0.5, 2.0), level=level).letters
        edges = [getattr(box(one.path), edge) for one in letters]
        assert max(edges) - min(edges) < 0.02, level
    middles = made(words, sizes=(0.5, 2.0), level="middles").letters
    at = [box(one.path).center.y for one in middles]
    assert max(at) - min(at) < 0.02


def test_words_keep_their_space_and_lines_their_order(measured: Measured) -> None:
    words = measured("HA HA", family="Bangers")
    plain, close = made(words), made(words, overlap=0.0)

    def space(letters: Letters) -> float:
        return box(letters.letters[2].path).left - box(letters.letters[1].path).right

    assert space(close) == pytest.approx(space(plain), abs=0.02)
    lines = effect_letters(words, Rhythm(), "a", (1, 2))
    assert lines.lines == ("HA", "HA") and [one.line for one in lines.letters] == [0, 0, 1, 1]
    assert lines.lowest == pytest.approx(craft.EFFECT_LEADING_CAPS * words.cap)
    whole = union_box(box(one.path) for one in lines.letters)
    assert lines.ink == whole and whole is not None and whole.left == pytest.approx(0.0)


def test_marks_go_with_their_letter_and_joined_scripts_stay_joined(measured: Measured) -> None:
    assert len(made(measured("A\u030aO\u0308", family="Bangers"), tilt=9.0).letters) == 2
    assert len(made(measured("مرحبا بكم"), tilt=9.0, jump=0.2).letters) == 2
