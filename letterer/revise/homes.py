"""Which page and panel of the layout became which page and panel of the script.

A page is inserted, a panel is split, two pages change places: the numbers shift, and art, panels,
zones and mouths have to go along. The words tell: a page's home is where most of its words are.
Pages and panels without words keep their order between those that have some.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from letterer.revise.align import aligned

PanelKey = tuple[int, int]
"""Page and panel number."""

ASIDE = 90_000
"""A parked page or panel stands under a number beyond this while it is looked at again."""

SHARE_LEAST = 0.15
"""A home shares at least this much of the words: one stray unit does not move a page."""

SHARE_CROSSING = 0.3
"""The same where the order is broken: two pages or panels that changed places."""

STRAY_SHARE = 0.5
"""Less than so much of what another home shares does not count beside it."""

ALIKE_IN_FORM, SAME_NUMBER, NEXT_BEST = 0.4, 0.1, 0.05
"""What it is worth that two places without common words hold as many units, have the same number,
or are at least the only ones left between their neighbours; words are worth ten times their share.
"""


@dataclass(frozen=True, slots=True)
class Place:
    """A page or panel to find a home for: its number, how many things it holds, its letters."""

    number: int
    holds: int
    letters: int


@dataclass(frozen=True, slots=True)
class Homes:
    """Old page number to new one, old panel to new one; what has no home is left out."""

    pages: Mapping[int, int] = field(default_factory=dict)
    panels: Mapping[PanelKey, PanelKey] = field(default_factory=dict)


Book = Mapping[int, Mapping[int, Place]]
"""Panels by number, by page number."""


def homes(olds: Book, news: Book, votes: Mapping[tuple[PanelKey, PanelKey], int]) -> Homes:
    """Homes of all pages and panels. `votes` are the letters of the words found in both places."""
    of_pages: dict[tuple[int, int], int] = {}
    for (old, new), letters in votes.items():
        key = (old[0], new[0])
        of_pages[key] = of_pages.get(key, 0) + letters
    pages = _paired(_pages(olds), _pages(news), of_pages)
    panels: dict[PanelKey, PanelKey] = {}
    for page, new_page in pages.items():
        inner = {
            (old[1], new[1]): letters
            for (old, new), letters in votes.items()
            if old[0] == page and new[0] == new_page
        }
        one, other = (list(book.values()) for book in (olds[page], news[new_page]))
        found = _plainer(_paired(one, other, inner), one, other, inner)
        panels |= {(page, panel): (new_page, to) for panel, to in found.items()}
    return Homes(pages, panels)


def _pages(book: Book) -> list[Place]:
    return [
        Place(number, len(panels), sum(panel.letters for panel in panels.values()))
        for number, panels in sorted(book.items())
    ]


def _paired(
    olds: Sequence[Place], news: Sequence[Place], votes: Mapping[tuple[int, int], int]
) -> dict[int, int]:
    """Old numbers to new ones: in order where the words allow it, then those that crossed."""
    olds, news = sorted(olds, key=_number), sorted(news, key=_number)
    shares = np.zeros((len(olds), len(news)))
    for i, old in enumerate(olds):
        for j, new in enumerate(news):
            letters = votes.get((old.number, new.number), 0)
            shares[i, j] = letters / math.sqrt(max(old.letters, letters, 1) * max(new.letters, 1))
    shares[shares < SHARE_LEAST] = 0.0
    shares[_strays(shares)] = 0.0
    free_old = shares.sum(axis=1) == 0 if len(news) else np.ones(len(olds), bool)
    free_new = shares.sum(axis=0) == 0 if len(olds) else np.ones(len(news), bool)
    values = 10.0 * shares
    for i, old in enumerate(olds):
        for j, new in enumerate(news):
            if shares[i, j] or (free_old[i] and free_new[j]):
                form = old.holds == new.holds and (old.letters > 0) == (new.letters > 0)
                values[i, j] += ALIKE_IN_FORM * form + SAME_NUMBER * (old.number == new.number)
                values[i, j] += NEXT_BEST
    found = {
        olds[step.old.start].number: news[step.new.start].number
        for step in aligned({(1, 1): values}, len(olds), len(news))
    }
    taken = set(found.values())
    crossing = sorted(
        (
            (-shares[i, j], old.number, new.number)
            for i, old in enumerate(olds)
            for j, new in enumerate(news)
            if shares[i, j] >= SHARE_CROSSING
        ),
    )
    for _, old_number, new_number in crossing:
        if old_number not in found and new_number not in taken:
            found[old_number] = new_number
            taken.add(new_number)
    left = {new.number for new in news} - taken
    for old in olds:
        if old.number not in found and old.number in left:
            found[old.number] = old.number
            left.discard(old.number)
    return found


def _strays(shares: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Where a few words went to a place whose other words, or theirs, are mostly elsewhere: a page
    that changed places with another is not held back by one unit that stayed."""
    rows = shares.max(axis=1, initial=0.0, keepdims=True)
    columns = shares.max(axis=0, initial=0.0, keepdims=True)
    mutual = (shares >= SHARE_CROSSING) & (shares == rows) & (shares == columns)
    best = np.where(mutual, shares, 0.0)
    better = np.maximum(
        best.max(axis=1, initial=0.0, keepdims=True), best.max(axis=0, initial=0.0, keepdims=True)
    )
    return np.asarray(~mutual & (shares < STRAY_SHARE * better))


def _plainer(
    found: dict[int, int],
    olds: Sequence[Place],
    news: Sequence[Place],
    votes: Mapping[tuple[int, int], int],
) -> dict[int, int]:
    """The homes found, or the numbers as they are where that explains the words more simply.

    A unit that leaves a panel of its own for a silent one looks as if the panels had changed
    places. The explanation with fewer events counts: words that went elsewhere, and places in the
    row of panels where the numbers begin to shift.
    """
    numbers = {new.number for new in news}
    same = {old.number: old.number for old in olds if old.number in numbers}

    def events(homes_: Mapping[int, int]) -> int:
        astray = sum(homes_.get(old) != new for old, new in votes)
        shifts = [0, *(homes_[old] - old for old in sorted(homes_) if old < ASIDE)]
        return astray + sum(one != other for one, other in pairwise(shifts))

    one, other = events(same), events(found)
    return same if one < other or (one == other and len(olds) == len(news)) else found


def _number(place: Place) -> int:
    return place.number
