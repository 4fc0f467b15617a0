"""A book as words, in the order in which it is read: for readers who do not see the pages.

Plain text, HTML, an XHTML fragment a page (for a book of fixed pages), and alternative texts as
JSON. Labels are English and marked so where the book is in another language.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from letterer.model.script import CaptionKind, Direction, Page, Panel, Role, Run, Script, Unit
from letterer.out.svg import NOT_IN_XML

WORDS_VERSION = 1
MARK = "letterer alternative text"
XHTML = "http://www.w3.org/1999/xhtml"
LABEL_LANGUAGE = "en"

Orders = Mapping[int, Sequence[int]]
"""For pages by number, their panels' numbers in reading order."""


@dataclass(frozen=True, slots=True)
class PageWords:
    """A page with its panels in reading order."""

    page: Page
    panels: tuple[Panel, ...]


def in_order(page: Page, order: Sequence[int] = ()) -> PageWords:
    """A page's panels as `order` has them; those it does not name follow as they were written."""
    place = {number: at for at, number in enumerate(order)}
    last = len(place)
    return PageWords(page, tuple(sorted(page.panels, key=lambda one: place.get(one.number, last))))


def label(unit: Unit) -> str:
    """Who or what a unit is, with how it is spoken: "TOBIT (off, whisper)", "Caption, place".

    >>> label(Unit(1, 1, 1, Role.EFFECT, (Run("KRAK"),)))
    'Sound'
    """
    if unit.role is Role.EFFECT:
        return "Sound"
    manners = ", ".join(manner.value for manner in unit.manners)
    if unit.role is Role.SPEECH:
        return f"{unit.speaker} ({manners})" if manners else unit.speaker
    kind = "" if unit.caption in (None, CaptionKind.NARRATION) else f", {unit.caption}"
    whose = f" ({unit.speaker})" if unit.speaker else ""
    return f"Caption{kind}{whose}"


def alt_of_panel(panel: Panel) -> str:
    """A panel in words: what is directed, and who says what."""
    told = [panel.heading] if panel.heading else []
    told += [_flat(item.text) for item in panel.items if isinstance(item, Direction)]
    told += [f"{label(unit)}: {unit.words}" for unit in panel.units]
    return " ".join(_ended(words) for words in told if words)


def alt_of_page(words: PageWords) -> str:
    """A page in words, panel by panel."""
    count = len(words.panels)
    told = [f"Page {words.page.number}, {count} panel{'' if count == 1 else 's'}."]
    told += [f"Panel {one.number}: {alt_of_panel(one) or 'No words.'}" for one in words.panels]
    return " ".join(told)


def _flat(text: str) -> str:
    return " ".join(NOT_IN_XML.sub(" ", text).split())


def _ended(words: str) -> str:
    return words if words.endswith((".", "!", "?", "\u2026", '"', "\u201d", "-")) else f"{words}."


def plain_text(script: Script, orders: Orders) -> str:
    """The book as plain text."""
    lines: list[str] = []
    for one in script.opening:
        lines += [_flat(one.text), ""]
    for page in script.pages:
        words = in_order(page, orders.get(page.number, ()))
        lines += [f"PAGE {page.number}{_beside(page.heading)}", ""]
        lines += [f"[{_flat(one.text)}]" for one in page.opening]
        for panel in words.panels:
            lines.append(f"Panel {panel.number}{_beside(panel.heading)}")
            for item in panel.items:
                if isinstance(item, Direction):
                    lines.append(f"[{_flat(item.text)}]")
                else:
                    lines.append(f"{label(item)}: {item.words}")
            lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _beside(heading: str) -> str:
    return f". {heading.strip('. ')}" if heading.strip(". ") else ""


def alt_json(script: Script, orders: Orders, language: str) -> str:
    """The alternative texts of all pages and panels, for other programs to read."""
    pages = []
    for page in script.pages:
        words = in_order(page, orders.get(page.number, ()))
        panels = [{"panel": one.number, "alt": alt_of_panel(one)} for one in words.panels]
        pages.append({"page": page.number, "alt": alt_of_page(words), "panels": panels})
    report = {MARK: WORDS_VERSION, "language": language, "pages": pages}
    return json.dumps(report, ensure_ascii=False, indent=1) + "\n"


def page_words(words: PageWords, language: str, heading: int = 2) -> str:
    """One page as HTML that is well-formed XML too: headings, speakers, effects, direction.

    `heading` is the level of the page's heading; panels come one below.
    """
    return "".join(_page(words, language, heading))


def _page(words: PageWords, language: str, heading: int) -> Iterator[str]:
    page, below = words.page, heading + 1
    lang = "" if language.split("-")[0] == LABEL_LANGUAGE else f' lang="{LABEL_LANGUAGE}"'
    lang += f' xml:lang="{LABEL_LANGUAGE}"' if lang else ""
    beside = _xml(_beside(page.heading))
    yield f"<h{heading}><span{lang}>Page {page.number}</span>{beside}</h{heading}>\n"
    for one in page.opening:
        yield _direction(one)
    for panel in words.panels:
        beside = _xml(_beside(panel.heading))
        yield f"<h{below}><span{lang}>Panel {panel.number}</span>{beside}</h{below}>\n"
        for item in panel.items:
            yield _direction(item) if isinstance(item, Direction) else _unit(item, lang)


def _direction(one: Direction) -> str:
    return f'<p class="direction">{_xml(_flat(one.text))}</p>\n'


def _unit(unit: Unit, lang: str) -> str:
    who = lang if unit.role is not Role.SPEECH else ""
    return f'<p class="{unit.role.value}"><b{who}>{_xml(label(unit))}:</b> {_runs(unit.runs)}</p>\n'


def _runs(runs: Sequence[Run]) -> str:
    told = []
    for run in runs:
        words = _xml(run.text.replace("\n", " "))
        told.append(f"<em>{words}</em>" if run.emphasis else words)
    return "".join(told).strip()


def _xml(text: str) -> str:
    return escape(NOT_IN_XML.sub(" ", text))


def page_fragment(words: PageWords, language: str) -> str:
    """One page as an XHTML fragment, valid XML, to be put beside or under the page's picture in a
    book of fixed pages (EPUB 3.3, fixed layouts)."""
    lang = escape(language)
    return (
        f'<section xmlns="{XHTML}" lang="{lang}"'
        f' xml:lang="{lang}" id="words-{words.page.number}"'
        f' aria-label="{_xml(_short(words))}">\n{page_words(words, language)}</section>\n'
    )


def _short(words: PageWords) -> str:
    return f"Page {words.page.number} in words"


LOOK = """body{font:1.1rem/1.6 system-ui,sans-serif;max-width:40rem;margin:2rem auto;padding:0 1rem;
color:#1d2433;background:#fffdf8}h2{border-top:1px solid #b9b3a4;padding-top:1rem}
h3{font-size:1.1rem;margin-bottom:.2rem}p{margin:.4rem 0}.direction{color:#5b5f69;font-style:italic}
.alt{background:#efebe2;padding:.5rem .8rem}summary{cursor:pointer}"""


def whole_html(script: Script, orders: Orders, language: str, title: str) -> str:
    """The book as one page of HTML."""
    lang = escape(language)
    parts = [
        f'<!DOCTYPE html>\n<html lang="{lang}"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{_xml(title)}</title><style>{LOOK}</style></head>\n<body><main>\n",
        f"<h1>{_xml(title)}</h1>\n",
        *map(_direction, script.opening),
    ]
    for page in script.pages:
        words = in_order(page, orders.get(page.number, ()))
        parts.append(f'<section id="page-{page.number}">\n{page_words(words, language)}')
        parts.append(
            f'<details class="alt"><summary lang="en">Alternative text of page {page.number}'
            f"</summary><p>{_xml(alt_of_page(words))}</p></details></section>\n"
        )
    return "".join([*parts, "</main></body></html>\n"])
