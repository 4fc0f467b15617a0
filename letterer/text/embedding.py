"""Embedding levels: the Unicode bidirectional algorithm, UAX #9, rules X1 to I2 and L1.

The rules keep the names they have there. A character that rule X9 removes (an embedding control)
gets the level of the character before it, so that every character has one.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from functools import cache

DEEPEST = 125
BRACKETS_OPEN_MOST = 63
EMBEDDINGS = {"LRE": None, "RLE": None, "LRO": "L", "RLO": "R"}
ISOLATES = ("LRI", "RLI", "FSI")
REMOVED = (*EMBEDDINGS, "PDF", "BN")
NEUTRAL = ("B", "S", "WS", "ON", *ISOLATES, "PDI")
RIGHT = ("R", "AL")


def base_level(text: str) -> int:
    """1 when the first strong letter runs right to left, else 0 (rules P2 and P3)."""
    return _first_strong(_classes(text))


def embedding_levels(text: str, base: int) -> list[int]:
    """The level of each character, for a base level of 0 (left to right) or 1.

    Each paragraph of the text (ended by a line break) has the same base level.

    >>> embedding_levels("he said \\u05d0\\u05d1!", 0)
    [0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 0]
    """
    classes = _classes(text)
    levels: list[int] = []
    start = 0
    for end in [at + 1 for at, kind in enumerate(classes) if kind == "B"] + [len(text)]:
        levels += _paragraph(text[start:end], classes[start:end], base)
        start = end
    return levels


def _classes(text: str) -> list[str]:
    return [unicodedata.bidirectional(char) or "L" for char in text]


def _first_strong(classes: Sequence[str]) -> int:
    partner = _isolate_partners(classes)
    at = 0
    while at < len(classes):
        kind = classes[at]
        if kind in ISOLATES:
            at = partner.get(at, len(classes))
        elif kind == "L" or kind in RIGHT:
            return int(kind in RIGHT)
        at += 1
    return 0


def _isolate_partners(classes: Sequence[str]) -> dict[int, int]:
    """For each isolate initiator that is closed, where (BD9)."""
    waiting: list[int] = []
    partner: dict[int, int] = {}
    for at, kind in enumerate(classes):
        if kind in ISOLATES:
            waiting.append(at)
        elif kind == "PDI" and waiting:
            partner[waiting.pop()] = at
    return partner


def _paragraph(text: str, classes: list[str], base: int) -> list[int]:
    kinds = list(classes)
    levels = _explicit(classes, kinds, base)
    kept = [at for at, kind in enumerate(classes) if kind not in REMOVED]
    explicit = tuple(levels)
    for sequence in _run_sequences(classes, explicit, kept):
        ends = _ends(classes, explicit, sequence, base)
        resolved = _Sequence(text, classes, kinds, explicit, sequence, ends).levels()
        for at, level in zip(sequence, resolved, strict=True):
            levels[at] = level
    for at in sorted(set(range(len(text))) - set(kept)):
        levels[at] = levels[at - 1] if at else base
    _reset_blanks(classes, levels, base)
    return levels


def _explicit(classes: Sequence[str], kinds: list[str], base: int) -> list[int]:
    """Rules X1 to X8: the level of each character; an override is written into `kinds`."""
    partner = _isolate_partners(classes)
    levels = [base] * len(classes)
    stack: list[tuple[int, str | None, bool]] = [(base, None, False)]
    isolates_over = embeddings_over = isolates_open = 0
    for at, kind in enumerate(classes):
        if kind == "PDI":
            if isolates_over:
                isolates_over -= 1
            elif isolates_open:
                embeddings_over = 0
                while not stack[-1][2]:
                    stack.pop()
                stack.pop()
                isolates_open -= 1
        level, override, isolated = stack[-1]
        levels[at] = base if kind == "B" else level
        if override and kind not in REMOVED and kind != "B":
            kinds[at] = override
        if kind in EMBEDDINGS or kind in ISOLATES:
            rightward = kind[0] == "R"
            if kind == "FSI":
                rightward = bool(_first_strong(classes[at + 1 : partner.get(at)]))
            deeper = level + 1 + (level + 1 + rightward) % 2
            if deeper <= DEEPEST and not isolates_over and not embeddings_over:
                isolates_open += kind in ISOLATES
                stack.append((deeper, EMBEDDINGS.get(kind), kind in ISOLATES))
            elif kind in ISOLATES:
                isolates_over += 1
            elif not isolates_over:
                embeddings_over += 1
        elif kind == "PDF" and not isolates_over:
            if embeddings_over:
                embeddings_over -= 1
            elif not isolated and len(stack) > 1:
                stack.pop()
    return levels


def _run_sequences(
    classes: Sequence[str], levels: Sequence[int], kept: Sequence[int]
) -> list[list[int]]:
    """The isolating run sequences (BD13), each as the places of its characters."""
    partner = _isolate_partners(classes)
    closed = set(partner.values())
    runs: dict[int, list[int]] = {}
    first = -1
    for order, at in enumerate(kept):
        if order and levels[at] == levels[kept[order - 1]]:
            runs[first].append(at)
        else:
            first = at
            runs[first] = [at]
    sequences = []
    for first, run in runs.items():
        if first in closed:
            continue
        sequence = list(run)
        while (following := runs.get(partner.get(sequence[-1], -1))) is not None:
            sequence += following
        sequences.append(sequence)
    return sequences


def _ends(
    classes: Sequence[str],
    levels: Sequence[int],
    sequence: Sequence[int],
    base: int,
) -> tuple[str, str]:
    """The directions sos and eos at the ends of a sequence (X10)."""
    before = next((at for at in range(sequence[0] - 1, -1, -1) if classes[at] not in REMOVED), None)
    after = None
    if classes[sequence[-1]] not in ISOLATES:
        later = range(sequence[-1] + 1, len(classes))
        after = next((at for at in later if classes[at] not in REMOVED), None)
    level = levels[sequence[0]]
    outer = (base if at is None else levels[at] for at in (before, after))
    start, end = ("LR"[max(level, other) % 2] for other in outer)
    return start, end


def _reset_blanks(classes: Sequence[str], levels: list[int], base: int) -> None:
    """Rule L1: separators, and the white space before them and at the end, have the base level."""
    resetting = True
    for at in range(len(classes) - 1, -1, -1):
        kind = classes[at]
        if kind in ("B", "S"):
            resetting = True
        elif kind not in ("WS", *ISOLATES, "PDI", *REMOVED):
            resetting = False
        if resetting:
            levels[at] = base


class _Sequence:
    """Resolves the weak, neutral and implicit kinds of one isolating run sequence."""

    def __init__(
        self,
        text: str,
        classes: Sequence[str],
        kinds: list[str],
        levels: Sequence[int],
        places: Sequence[int],
        ends: tuple[str, str],
    ) -> None:
        self.start, self.end = ends
        self.level = levels[places[0]]
        self.kinds = [kinds[at] for at in places]
        self.marks = [classes[at] == "NSM" for at in places]
        self.isolating = [classes[at] in (*ISOLATES, "PDI") for at in places]
        self.chars = [text[at] for at in places]

    def levels(self) -> list[int]:
        """The level of each of its characters."""
        self.weak()
        self.brackets()
        self.neutral()
        return [self.level + _raised(self.level, kind) for kind in self.kinds]

    def weak(self) -> None:
        """Rules W1 to W7."""
        kinds = self.kinds
        before = self.start
        for at, kind in enumerate(kinds):
            if kind == "NSM":
                kinds[at] = before
            before = "ON" if self.isolating[at] else kinds[at]
        strong = self.start
        for at, kind in enumerate(kinds):
            if kind in ("L", *RIGHT):
                strong = kind
            elif kind == "EN" and strong == "AL":
                kinds[at] = "AN"
        kinds[:] = ["R" if kind == "AL" else kind for kind in kinds]
        for at in range(1, len(kinds) - 1):
            sides = {kinds[at - 1], kinds[at + 1]}
            if (kinds[at] == "ES" and sides == {"EN"}) or (
                kinds[at] == "CS" and sides in ({"EN"}, {"AN"})
            ):
                kinds[at] = kinds[at - 1]
        for first, last in _stretches(kinds, ("ET",)):
            if "EN" in kinds[max(first - 1, 0) : first] + kinds[last : last + 1]:
                kinds[first:last] = ["EN"] * (last - first)
        kinds[:] = ["ON" if kind in ("ES", "ET", "CS") else kind for kind in kinds]
        strong = self.start
        for at, kind in enumerate(kinds):
            if kind in ("L", "R"):
                strong = kind
            elif kind == "EN" and strong == "L":
                kinds[at] = "L"

    def brackets(self) -> None:
        """Rule N0: both brackets of a pair run the way of what they hold, or of what is before."""
        own = "LR"[self.level % 2]
        for first, last in self._bracket_pairs():
            inside = {_strong(kind) for kind in self.kinds[first + 1 : last]}
            if own in inside:
                way = own
            elif inside & {"L", "R"}:
                earlier = (_strong(kind) for kind in reversed(self.kinds[:first]))
                context = next((way for way in earlier if way), self.start)
                way = context
            else:
                continue
            for at in (first, last):
                self.kinds[at] = way
                for later in range(at + 1, len(self.kinds)):
                    if not self.marks[later]:
                        break
                    self.kinds[later] = way

    def _bracket_pairs(self) -> list[tuple[int, int]]:
        """The pairs of brackets (BD16), in the order of the opening ones."""
        waiting: list[tuple[str, int]] = []
        pairs: list[tuple[int, int]] = []
        closers = _closing_brackets()
        for at, char in enumerate(self.chars):
            if self.kinds[at] != "ON":
                continue
            same = unicodedata.normalize("NFD", char)
            if same in closers:
                if len(waiting) == BRACKETS_OPEN_MOST:
                    return []
                waiting.append((closers[same], at))
            for depth in range(len(waiting) - 1, -1, -1):
                if waiting[depth][0] == same:
                    pairs.append((waiting[depth][1], at))
                    del waiting[depth:]
                    break
        return sorted(pairs)

    def neutral(self) -> None:
        """Rules N1 and N2."""
        for first, last in _stretches(self.kinds, NEUTRAL):
            before = _strong(self.kinds[first - 1]) if first else self.start
            after = _strong(self.kinds[last]) if last < len(self.kinds) else self.end
            way = before if before == after else "LR"[self.level % 2]
            self.kinds[first:last] = [way] * (last - first)


def _raised(level: int, kind: str) -> int:
    """How far rules I1 and I2 raise a character's level."""
    if level % 2:
        return int(kind != "R")
    return {"L": 0, "R": 1}.get(kind, 2)


def _strong(kind: str) -> str:
    """L or R for what is strong, numbers counting as R; empty for the rest."""
    return {"L": "L", "R": "R", "EN": "R", "AN": "R"}.get(kind, "")


def _stretches(kinds: Sequence[str], wanted: Iterable[str]) -> list[tuple[int, int]]:
    """Where the kinds are all of the wanted ones, as start and end."""
    found: list[tuple[int, int]] = []
    for at, kind in enumerate(kinds):
        if kind not in wanted:
            continue
        if found and found[-1][1] == at:
            found[-1] = (found[-1][0], at + 1)
        else:
            found.append((at, at + 1))
    return found


@cache
def _closing_brackets() -> dict[str, str]:
    """Each opening bracket with its closing one, both in their canonical form."""
    from bidi.mirror import MIRRORED

    return {
        unicodedata.normalize("NFD", opening): unicodedata.normalize("NFD", closing)
        for opening, closing in MIRRORED.items()
        if unicodedata.category(opening) == "Ps" and unicodedata.category(closing) == "Pe"
    }
