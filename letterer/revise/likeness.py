"""How alike two texts are, 0 to 1: shared runs of three letters.

Likeness is Dice's coefficient (Dice 1945) over the bags of letter trigrams: twice what two texts
share, by all they hold. Capitals, accents and punctuation do not count. Trigrams forgive a typo
and a turned phrase, and those of several units simply add up, which is what splits and joins need
(q-grams: Ukkonen 1992, "Approximate string matching with q-grams and maximal matches").
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Counts = NDArray[np.int32]
Floats = NDArray[np.float64]


@lru_cache(maxsize=65536)
def folded(words: str) -> str:
    """The letters and digits of a text, words apart by one space, without capitals and accents.

    A text without any letter keeps its signs, so that "?!" is not the same as "...".

    >>> folded("It's  an *Owl*."), folded("...")
    ('its an owl', '...')
    """
    plain = unicodedata.normalize("NFKD", words.casefold())
    joined = "".join(
        sign if sign.isalnum() else " " if sign.isspace() or sign in "-\u2013\u2014/" else ""
        for sign in plain
    )
    return " ".join(joined.split()) or " ".join(words.split())


@lru_cache(maxsize=65536)
def trigrams(words: str) -> tuple[str, ...]:
    """Every run of three letters of a text, the spaces at its ends counted as one letter each.

    >>> trigrams("No.")
    (' no', 'no ')
    """
    text = f" {folded(words)} "
    return tuple(text[at : at + 3] for at in range(len(text) - 2)) or (text,)


class Bags:
    """The trigrams of two lists of texts, counted over one alphabet."""

    def __init__(self, olds: Sequence[str], news: Sequence[str]) -> None:
        known: dict[str, int] = {}
        for words in (*olds, *news):
            for gram in trigrams(words):
                known.setdefault(gram, len(known))
        self.olds, self.news = _counted(olds, known), _counted(news, known)


def _counted(texts: Sequence[str], known: dict[str, int]) -> Counts:
    counts = np.zeros((len(texts), max(len(known), 1)), np.int32)
    for row, words in enumerate(texts):
        for gram in trigrams(words):
            counts[row, known[gram]] += 1
    return counts


def likenesses(olds: Counts, news: Counts) -> Floats:
    """Dice's coefficient of every old bag with every new one."""
    table = np.zeros((len(olds), len(news)))
    sizes = news.sum(axis=1)
    for row, bag in enumerate(olds):
        whole = sizes + bag.sum()
        table[row] = 2.0 * np.minimum(bag, news).sum(axis=1) / np.maximum(whole, 1)
    return table


@lru_cache(maxsize=65536)
def likeness(one: str, other: str) -> float:
    """How alike two texts are, 0 to 1.

    >>> likeness("It's an owl.", "It's an OWL!"), likeness("Clocks don't tick.", "Look!")
    (1.0, 0.0)
    """
    bags = Bags([one], [other])
    return float(likenesses(bags.olds, bags.news)[0, 0])
