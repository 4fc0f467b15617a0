"""Books, and edits of them whose true outcome is known: what revision is measured and tested on.

A book is pages of panels of lines; each line knows which lines of the first book it comes from.
Every edit is drawn by a fixed number, so the same number gives the same book and the same edits.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from letterer.model.script import Manner, Page, Panel, Role, Run, Script, Unit

SHORT = ("No.", "Yes.", "What?", "No!", "Wait.")
NEW_WORDS = (
    "The ladder was never there before tonight.",
    "Ask the ferryman, he keeps the only key.",
    "Somebody has moved all the boats upstream!",
    "I counted nine lamps and a bicycle.",
    "Leave the window open for the heron.",
    "That whistle again, from under the pier.",
    "Nothing grows here except umbrellas.",
    "Quick, behind the flour sacks.",
)
VOCABULARY = (
    "harbour", "lantern", "never", "always", "under", "seven", "gulls", "whisper", "stone",
    "again", "morning", "rope", "because", "window", "little", "green", "after", "tide",
    "remember", "nobody", "kettle", "between", "winter", "paper", "drawer", "listen", "across",
    "empty",
)  # fmt: skip


@dataclass(frozen=True)
class Line:
    """One unit. `origin` are the lines of the first book it comes from; none for a new one."""

    words: str
    speaker: str = ""
    role: Role = Role.SPEECH
    manners: tuple[Manner, ...] = ()
    origin: tuple[int, ...] = ()


@dataclass
class Sheet:
    """One panel: its lines, and which panel of the first book it is (-1 for a new one)."""

    lines: list[Line]
    key: int = -1


Book = list[list[Sheet]]


@dataclass
class Case:
    """A book, what an edit made of it, and whose order or place the edit touched."""

    kind: str
    before: Book
    after: Book
    touched: set[int] = field(default_factory=set)


def copied(book: Book) -> Book:
    return [[Sheet(list(panel.lines), panel.key) for panel in page] for page in book]


def as_script(book: Book) -> Script:
    """The book as a script, its units numbered as they stand."""
    pages = []
    for p, page in enumerate(book, 1):
        panels = []
        for q, panel in enumerate(page, 1):
            units = tuple(
                Unit(p, q, n, line.role, (Run(line.words),), line.speaker, line.manners)
                for n, line in enumerate(panel.lines, 1)
            )
            panels.append(Panel(q, units))
        pages.append(Page(p, tuple(panels)))
    return Script(tuple(pages))


def lines_of(book: Book) -> Iterator[tuple[str, Line]]:
    """Every line with its unit id."""
    for p, page in enumerate(book, 1):
        for q, panel in enumerate(page, 1):
            for n, line in enumerate(panel.lines, 1):
                yield f"{p}.{q}.{n}", line


def first_book(speeches: Sequence[tuple[str, str]], chance: random.Random) -> Book:
    """A book of these speeches: pages of 3 to 6 panels, some of them silent."""
    book: Book = []
    left = list(enumerate(speeches))
    key = 0
    while left:
        page: list[Sheet] = []
        for _ in range(chance.randint(3, 6)):
            count = chance.choice((0, 1, 1, 2, 2, 3))
            taken, left = left[:count], left[count:]
            page.append(Sheet([Line(words, who, origin=(at,)) for at, (who, words) in taken], key))
            key += 1
        if any(panel.lines for panel in page):
            book.append(page)
    return book


def as_layout(book: Book, chance: random.Random, speakers: bool = True) -> str:
    """A layout that places every line of a book, with choices a person might make, as JSON.

    Without `speakers` it does not say who speaks, as one written before letterer kept that.
    """
    pages = []
    for p, page in enumerate(book, 1):
        panels, placements = [], []
        high = 9.0 / len(page)
        names = sorted({line.speaker for panel in page for line in panel.lines if line.speaker})
        for q, panel in enumerate(page, 1):
            top = round(0.5 + (q - 1) * high, 3)
            mouths = {
                name: [round(1.0 + 0.5 * at, 3), round(top + high * 0.8, 3)]
                for at, name in enumerate(names)
            }
            panels.append(
                {"panel": q, "box": [0.5, top, 5.5, round(high - 0.1, 3)], "mouths": mouths}
            )
            for n, line in enumerate(panel.lines, 1):
                placed: dict[str, object] = {"unit": f"{p}.{q}.{n}"}
                place = [round(chance.uniform(1, 5), 2), round(top + chance.uniform(0.2, 0.5), 2)]
                match chance.randrange(6):
                    case 0:
                        placed["box"] = [*place, 1.5, 0.75]
                    case 1:
                        placed["corner"] = chance.choice(("top left", "top right"))
                    case _:
                        placed["center"] = place
                if chance.random() < 0.3:
                    placed["size"] = chance.choice((6.5, 7, 8))
                if chance.random() < 0.2:
                    placed["lines"] = chance.choice((2, 3))
                if chance.random() < 0.1:
                    placed["tails"] = [[place[0] + 0.5, place[1] + 0.8]]
                placed["words"] = line.words
                if line.speaker and speakers:
                    placed["speaker"] = line.speaker
                placements.append(placed)
        pages.append({"page": p, "panels": panels, "placements": placements})
    lines = ['{"letterer": 1, "unit": "in", "page": {"format": "american comic"},', ' "pages": [']
    for at, whole in enumerate(pages):
        items = ",\n    ".join(json.dumps(one, ensure_ascii=False) for one in whole["placements"])  # type: ignore[attr-defined]
        held = ",\n    ".join(json.dumps(one, ensure_ascii=False) for one in whole["panels"])  # type: ignore[attr-defined]
        end = "," if at < len(pages) - 1 else ""
        lines.append(
            f'  {{"page": {whole["page"]},\n   "panels": [\n    {held}],\n'
            f'   "placements": [\n    {items}]}}{end}'
        )
    return "\n".join([*lines, " ]", "}"]) + "\n"


# --- Edits ------------------------------------------------------------------------------------

Spot = tuple[int, int, int]


def spots(book: Book, least_words: int = 1) -> list[Spot]:
    return [
        (p, q, n)
        for p, page in enumerate(book)
        for q, panel in enumerate(page)
        for n, line in enumerate(panel.lines)
        if len(line.words.split()) >= least_words
    ]


def typo(book: Book, chance: random.Random) -> set[int]:
    """A letter doubled, dropped, swapped or changed in a word."""
    p, q, n = chance.choice(spots(book))
    line = book[p][q].lines[n]
    letters = [at for at, sign in enumerate(line.words) if sign.isalpha()]
    at = chance.choice(letters)
    words = line.words
    match chance.randrange(4):
        case 0:
            words = words[:at] + words[at] + words[at:]
        case 1 if len(letters) > 2:
            words = words[:at] + words[at + 1 :]
        case 2 if at + 1 < len(words) and words[at + 1].isalpha():
            words = words[:at] + words[at + 1] + words[at] + words[at + 2 :]
        case _:
            words = words[:at] + chance.choice("aeorst") + words[at + 1 :]
    book[p][q].lines[n] = replace(line, words=words)
    return set(line.origin)


def rewrite(book: Book, chance: random.Random) -> set[int]:
    """A third of the words to all of them said otherwise, a few more or less."""
    p, q, n = chance.choice(spots(book))
    line = book[p][q].lines[n]
    share = chance.uniform(0.34, 1.0)
    words = [
        chance.choice(VOCABULARY) if chance.random() < share else word
        for word in line.words.split()
    ]
    for _ in range(chance.randint(0, 2)):
        words.insert(chance.randint(0, len(words)), chance.choice(VOCABULARY))
    book[p][q].lines[n] = replace(line, words=" ".join(words).capitalize() + ".")
    return set(line.origin)


def split(book: Book, chance: random.Random) -> set[int]:
    """One unit said in two."""
    found = spots(book, 4)
    if not found:
        return set()
    p, q, n = chance.choice(found)
    line = book[p][q].lines[n]
    words = line.words.split()
    at = chance.randint(2, len(words) - 2)
    parts = (" ".join(words[:at]), " ".join(words[at:]))
    book[p][q].lines[n : n + 1] = [replace(line, words=part) for part in parts]
    return set(line.origin)


def join(book: Book, chance: random.Random) -> set[int]:
    """Two units of a panel said in one."""
    pairs = [(p, q, n) for p, q, n in spots(book) if n + 1 < len(book[p][q].lines)]
    if not pairs:
        return set()
    p, q, n = chance.choice(pairs)
    one, other = book[p][q].lines[n : n + 2]
    origin = (*one.origin, *other.origin)
    book[p][q].lines[n : n + 2] = [replace(one, words=f"{one.words} {other.words}", origin=origin)]
    return set(origin)


def swap(book: Book, chance: random.Random) -> set[int]:
    """Two neighbours of a panel change places."""
    pairs = [(p, q, n) for p, q, n in spots(book) if n + 1 < len(book[p][q].lines)]
    if not pairs:
        return set()
    p, q, n = chance.choice(pairs)
    lines = book[p][q].lines
    lines[n], lines[n + 1] = lines[n + 1], lines[n]
    return {*lines[n].origin, *lines[n + 1].origin}


def insertion(book: Book, chance: random.Random) -> set[int]:
    """A new unit anywhere."""
    p = chance.randrange(len(book))
    q = chance.randrange(len(book[p]))
    lines = book[p][q].lines
    fresh = " ".join(chance.choice(VOCABULARY) for _ in range(chance.randint(2, 9))).capitalize()
    words = chance.choice((chance.choice(NEW_WORDS), f"{fresh}."))
    lines.insert(chance.randint(0, len(lines)), Line(words, "NIM"))
    return set()


def deletion(book: Book, chance: random.Random) -> set[int]:
    """A unit is cut."""
    p, q, n = chance.choice(spots(book))
    return set(book[p][q].lines.pop(n).origin)


def _moved(book: Book, chance: random.Random, far: bool) -> set[int]:
    p, q, n = chance.choice(spots(book))
    line = book[p][q].lines.pop(n)
    pages = [at for at in range(len(book)) if (at != p) == far]
    if not pages:
        book[p][q].lines.insert(n, line)
        return set()
    page = chance.choice(pages)
    panels = [at for at in range(len(book[page])) if far or at != q]
    lines = book[page][chance.choice(panels)].lines
    lines.insert(chance.randint(0, len(lines)), line)
    return set(line.origin)


def move_on_page(book: Book, chance: random.Random) -> set[int]:
    """A unit goes to another panel of its page."""
    return _moved(book, chance, far=False)


def move_between_pages(book: Book, chance: random.Random) -> set[int]:
    """A unit goes to another page."""
    return _moved(book, chance, far=True)


def page_inserted(book: Book, chance: random.Random) -> set[int]:
    """A new page; all later ones shift."""
    panels = [
        Sheet([Line(words, "NIM") for words in chance.sample(NEW_WORDS, chance.randint(0, 2))])
        for _ in range(chance.randint(2, 5))
    ]
    book.insert(chance.randint(0, len(book)), panels)
    return set()


def panel_split(book: Book, chance: random.Random) -> set[int]:
    """A panel becomes two; all later ones of the page shift."""
    found = [
        (p, q)
        for p, page in enumerate(book)
        for q, panel in enumerate(page)
        if len(panel.lines) > 1
    ]
    if not found:
        return set()
    p, q = chance.choice(found)
    panel = book[p][q]
    at = chance.randint(1, len(panel.lines) - 1)
    book[p][q : q + 1] = [Sheet(panel.lines[:at]), Sheet(panel.lines[at:])]
    return {key for line in panel.lines for key in line.origin}


def pages_swapped(book: Book, chance: random.Random) -> set[int]:
    """Two pages change places."""
    if len(book) > 1:
        one, other = chance.sample(range(len(book)), 2)
        book[one], book[other] = book[other], book[one]
    return set()


def speaker_renamed(book: Book, chance: random.Random) -> set[int]:
    """A speaker has another name throughout."""
    names = sorted({line.speaker for _, line in lines_of(book) if line.speaker})
    name = chance.choice(names)
    for page in book:
        for panel in page:
            panel.lines = [
                replace(line, speaker="QUILL") if line.speaker == name else line
                for line in panel.lines
            ]
    return {key for _, line in lines_of(book) if line.speaker == "QUILL" for key in line.origin}


def with_short_lines(book: Book, chance: random.Random) -> None:
    """A third of all lines become one of a few short ones, again and again."""
    for page in book:
        for panel in page:
            panel.lines = [
                replace(line, words=chance.choice(SHORT)) if chance.random() < 0.33 else line
                for line in panel.lines
            ]


Edit = Callable[[Book, random.Random], set[int]]


def short_lines(book: Book, chance: random.Random) -> set[int]:
    """In a book full of short lines, one of them is cut, added, changed, swapped or moved."""
    among = [at for at in spots(book) if book[at[0]][at[1]].lines[at[2]].words in SHORT]
    p, q, n = chance.choice(among or spots(book))
    lines = book[p][q].lines
    line = lines[n]
    match chance.randrange(5):
        case 0:
            lines.pop(n)
        case 1:
            lines.insert(chance.randint(0, len(lines)), Line(chance.choice(SHORT), "NIM"))
            return set()
        case 2:
            lines[n] = replace(line, words=chance.choice([w for w in SHORT if w != line.words]))
        case 3 if len(lines) > 1:
            other = n - 1 if n else n + 1
            lines[n], lines[other] = lines[other], lines[n]
            return {*line.origin, *lines[n].origin}
        case _:
            lines.pop(n)
            to = book[chance.randrange(len(book))]
            there = to[chance.randrange(len(to))].lines
            there.insert(chance.randint(0, len(there)), line)
    return set(line.origin)


def several(book: Book, chance: random.Random) -> set[int]:
    """Five edits of any kind, one after another."""
    touched: set[int] = set()
    kinds = [edit for name, edit in KINDS.items() if name not in ("several", "short lines")]
    for _ in range(5):
        if spots(book):
            touched |= chance.choice(kinds)(book, chance)
    return touched


KINDS: dict[str, Edit] = {
    "typo": typo,
    "rewrite": rewrite,
    "split": split,
    "join": join,
    "swap": swap,
    "insertion": insertion,
    "deletion": deletion,
    "move on a page": move_on_page,
    "move between pages": move_between_pages,
    "page inserted": page_inserted,
    "panel split": panel_split,
    "two pages swapped": pages_swapped,
    "speaker renamed": speaker_renamed,
    "short lines": short_lines,
    "several": several,
}


def case(kind: str, number: int, speeches: Sequence[tuple[str, str]]) -> Case:
    """The case of a kind with this number, made of these speeches (at least 40 of them)."""
    chance = random.Random(f"{kind} {number}")
    count = chance.randint(12, min(60, len(speeches)))
    begin = chance.randrange(len(speeches) - count + 1)
    before = first_book(speeches[begin : begin + count], chance)
    if kind == "short lines":
        with_short_lines(before, chance)
    after = copied(before)
    touched = KINDS[kind](after, chance)
    return Case(kind, before, after, touched)
