"""The words a line should not end on: articles and the like, which belong to the next word.

Common practice, no source; soft, so a wrong word costs little.
"""

from __future__ import annotations

import pytest

from letterer import craft
from letterer.fit.measure import BAD_ENDS, CLAUSE_END, MeasuredWords
from letterer.model.script import Run
from letterer.text.capitals import capitals
from letterer.text.faces import library
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import dress


def costs(written: str, language: str = "en") -> list[float]:
    shaper = Shaper(dress([Run(written)], language), Lettering(("Comic Neue",)), library())
    return [float(cost) for cost in MeasuredWords(shaper).end_costs]


@pytest.mark.parametrize("language", BAD_ENDS)
def test_the_lists_hold_single_words_in_capitals(language: str) -> None:
    for word in BAD_ENDS[language]:
        assert word == capitals(word, language)
        assert word.replace("'", "").isalpha()


def test_articles_of_each_language_are_there() -> None:
    assert {"A", "AN", "THE"} <= BAD_ENDS["en"]
    assert {"LE", "LA", "LES", "UN", "UNE"} <= BAD_ENDS["fr"]
    assert {"DER", "DIE", "DAS", "EIN", "EINE"} <= BAD_ENDS["de"]
    assert {"EL", "LA", "LOS", "LAS", "UN", "UNA"} <= BAD_ENDS["es"]
    assert {"IL", "LO", "LA", "I", "GLI", "LE", "UN", "UNA"} <= BAD_ENDS["it"]


def test_no_word_that_ends_a_thought() -> None:
    assert not BAD_ENDS["en"] & {"ME", "HIM", "YES", "NO", "IT", "US", "THEM", "GO"}


def test_a_line_that_ends_on_one_costs() -> None:
    bad = craft.COST_BAD_END
    assert costs("go to the shop") == [0, 0, bad, bad, 0]
    assert costs("“The shop") == [0, bad, 0]
    assert costs("it's me") == [0, bad, 0]
    assert costs("it’s me") == [0, bad, 0]
    assert costs("über den See", "de") == [0, 0, bad, 0]
    assert costs("über den See", "de-AT") == [0, 0, bad, 0]
    # Of another language, or one without a list: nothing.
    assert costs("der See", "en") == [0, 0, 0]
    assert costs("the shop", "pl") == [0, 0, 0]


def test_a_clause_that_ends_gains_and_a_word_cut_costs() -> None:
    gain, inside = craft.COST_PHRASE_BREAK, craft.COST_INSIDE_WORD
    assert costs("well, go") == [0, gain, 0]
    assert costs("wait--go") == [0, gain, 0]
    assert costs("“Yes.” Go") == [0, gain, 0]
    assert costs("well-known") == [0, inside, 0]
    assert costs("and/or") == [0, inside, 0]
    # What ends in a comma is no article, whatever it looks like.
    assert costs("a, b") == [0, gain, 0]
    # A break that the writer forced costs nothing.
    assert costs("to the\nshop") == [0, craft.COST_BAD_END, 0, 0]


@pytest.mark.parametrize(
    "word", ["GO,", "GO.", "GO!", "GO?”", "GO--", "GO—", "GO…", "GO...’", "GO;)"]
)
def test_what_ends_a_clause(word: str) -> None:
    assert CLAUSE_END.search(word)


@pytest.mark.parametrize("word", ["GO", "GO-", "GO”", "1.5", "--GO", "A/"])
def test_what_does_not_end_a_clause(word: str) -> None:
    assert not CLAUSE_END.search(word)
