"""Words that lean on the next one, in the languages whose lists are younger; common practice, no
source."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from letterer import craft
from letterer.fit.measure import MeasuredWords

Measured = Callable[..., MeasuredWords]


@pytest.mark.parametrize(
    ("text", "language", "bad"),
    [
        ("geef mij de lamp", "nl", 3),
        ("vergeet het licht", "nl", 2),
        ("dá-me a lanterna", "pt", 2),
        ("perdi-me na névoa", "pt-BR", 2),
        ("idź do domu", "pl", 2),
        ("Bana bir lamba ver", "tr", 2),
        ("Δώσε μου τη λάμπα", "el", 3),
        ("Πάμε στην άκρη", "el", 2),
        ("Дай мне на минуту", "ru", 3),
        ("Ходімо до моря", "uk", 2),
        ("Върви по брега", "bg", 2),
        ("donne ta lampe", "fr", 2),
        ("attends sans parler", "fr", 2),
        ("komm mit Licht", "de", 2),
        ("apaga las luces", "es", 2),
        ("vieni dalla riva", "it", 2),
        ("kom met licht", "nl", 2),
        ("vai pela praia", "pt", 2),
        ("wiem że śpi", "pl", 2),
        ("deniz ve rüzgar", "tr", 2),
        ("αύριο θα φύγω", "el", 2),
        ("скажи про маяк", "ru", 2),
        ("скажи про маяк", "uk", 2),
        ("утре ще тръгна", "bg", 2),
        ("תביא את המנורה", "he", 2),
    ],
)
def test_a_line_does_not_end_on_a_word_of_the_next(
    text: str, language: str, bad: int, measured: Measured
) -> None:
    words = measured(text, language=language)
    assert words.end_costs[bad] == craft.COST_BAD_END
    assert [cost for at, cost in enumerate(words.end_costs) if at != bad].count(
        craft.COST_BAD_END
    ) == 0
