"""The hand's waver: bounded, without a seam, the same at every run."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer import craft
from letterer.ink.hand import waver

identities = st.text(max_size=12)
lengths = st.floats(5, 900)
amplitudes = st.floats(0.01, craft.HAND_AMPLITUDE_MOST)


@settings(max_examples=80)
@given(identities, lengths, amplitudes)
def test_it_never_strays_beyond_its_amplitude(
    identity: str, length: float, amplitude: float
) -> None:
    hand = waver(identity, length, amplitude)
    strays = [hand.at(length * step / 400) for step in range(400)]
    assert max(map(abs, strays)) <= amplitude + 1e-12
    assert max(map(abs, strays)) > amplitude / 20, "a line that does not stray is no hand's"


@settings(max_examples=80)
@given(identities, lengths, amplitudes, st.floats(0, 1))
def test_the_end_meets_the_beginning(
    identity: str, length: float, amplitude: float, share: float
) -> None:
    hand = waver(identity, length, amplitude)
    at = share * length
    assert hand.at(at) == pytest.approx(hand.at(at + length), abs=1e-9)
    assert all(periods == int(periods) and periods > 0 for periods, _, _ in hand.waves)


@settings(max_examples=40)
@given(lengths)
def test_a_ruled_line_does_not_stray(length: float) -> None:
    hand = waver("any", length, 0)
    assert [hand.at(length * step / 10) for step in range(10)] == [0] * 10


def test_identities_differ() -> None:
    hands = {waver(str(number), 150, 0.16) for number in range(50)}
    assert len(hands) == 50


def test_it_is_the_same_in_another_run() -> None:
    told = "from letterer.ink.hand import waver; print(repr(waver('lamp', 150.0, 0.16)))"
    done = [
        subprocess.run(
            [sys.executable, "-c", told],
            capture_output=True,
            text=True,
            check=True,
            env={"PYTHONHASHSEED": roll},
        ).stdout.strip()
        for roll in ("1", "2")
    ]
    assert done == [repr(waver("lamp", 150.0, 0.16))] * 2


def test_waves_are_slow() -> None:
    # A hand's life, not a wobble: no wave shorter than the craft's, but for the shortest lines.
    for length in (80.0, 150.0, 400.0):
        fastest = max(periods for periods, _, _ in waver("a", length, 0.16).waves)
        assert length / fastest > craft.HAND_WAVE_POINTS * 0.8
        assert math.isclose(sum(share for _, share, _ in waver("a", length, 0.16).waves), 1)
