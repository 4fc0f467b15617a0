"""Straight quotes made curly by the habits of English. Common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from letterer.text.quotes import curled


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("don't", "don’t"),
        ('"Hello," he said.', "“Hello,” he said."),
        ("'Hello,' he said.", "‘Hello,’ he said."),
        ("\"'I know,' he said,\" she said.", "“‘I know,’ he said,” she said."),
        ("'He said \"no\".'", "‘He said “no”.’"),
        ('("What?")', "(“What?”)"),
        ('<"What?">', "<“What?”>"),
        ('Wait--"no"', "Wait--“no”"),
        ('"Wait--"', "“Wait--”"),
        ('"Wait--" he', "“Wait--” he"),
        ('"..."', "“...”"),
        ('"Stop!" "Why?"', "“Stop!” “Why?”"),
        ('"One caption', "“One caption"),
        ('the last one"', "the last one”"),
        # Letters left out at the start of a word, and at its end.
        ("'Tis", "’Tis"),
        ("'twas 'em 'til 'cause", "’twas ’em ’til ’cause"),
        ("\"'Tis Ann's\"", "“’Tis Ann’s”"),
        ("rock 'n' roll in the '90s", "rock ’n’ roll in the ’90s"),
        ("'Ello, darlin'", "’Ello, darlin’"),
        ("the boys' club", "the boys’ club"),
        ("a 'friend' of mine", "a ‘friend’ of mine"),
        # Feet and inches.
        ("6'2\" tall", "6'2\" tall"),
        ("6' 2\" tall", "6' 2\" tall"),
        ('"He\'s 6\'2"," I said', "“He’s 6'2\",” I said"),
        ('a 12" pipe', 'a 12" pipe'),
        ('"number 12" it says', "“number 12” it says"),
        # What is curly already stays so.
        ("“so” ‘it’ ’tis", "“so” ‘it’ ’tis"),
        ("", ""),
        ("'", "’"),
        ('"', "”"),
    ],
)
def test_known_cases(typed: str, expected: str) -> None:
    assert curled(typed) == expected


def test_what_is_kept_stays_straight() -> None:
    typed = "it's 'it's'"
    kept = [4 < at < 11 for at in range(len(typed))]
    assert curled(typed, kept) == "it’s 'it's'"


@given(st.text(alphabet="ab I19 '\".,-—“”‘’\n", max_size=40))
def test_only_quotes_change_and_only_once(text: str) -> None:
    put = curled(text)
    assert len(put) == len(text)
    for before, after in zip(text, put, strict=True):
        assert before == after or (before, after) in {
            ("'", "‘"),
            ("'", "’"),
            ('"', "“"),
            ('"', "”"),
        }
