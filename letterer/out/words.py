"""A book as words, in the order in which it is read: for readers who do not see the pages.

Plain text, HTML, an XHTML fragment a page (for a book of fixed pages), and alternative texts as
JSON. Labels are in the book's language where `word_labels` has it, else English and marked so.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from letterer.model.script import Direction, Page, Panel, Role, Run, Script, Unit
from letterer.out.svg import NOT_IN_XML
from letterer.out.word_labels import ENGLISH, Labels, labels_of

WORDS_VERSION = 1
MARK = "letterer alternative text"
XHTML = "http://www.w3.org/1999/xhtml"

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


def label(unit: Unit, labels: Labels = ENGLISH) -> str:
    """Who or what a unit is, with how it is spoken: "TOBIT (off, whisper)", "Caption, place".

    >>> label(Unit(1, 1, 1, Role.EFFECT, (Run("KRAK"),)))
    'Sound'
    """
    if unit.role is Role.EFFECT:
        return labels.sound
    manners = ", ".join(labels.manners[manner] for manner in unit.manners)
    if unit.role is Role.SPEECH:
        return f"{unit.speaker} ({manners})" if manners else unit.speaker
    kind = labels.captions.get(unit.caption) if unit.caption else None
    whose = f" ({unit.speaker})" if unit.speaker else ""
    return f"{labels.caption}{f', {kind}' if kind else ''}{whose}"


def alt_of_panel(panel: Panel, labels: Labels = ENGLISH) -> str:
    """A panel in words: what is directed, and who says what."""
    told = [panel.heading] if panel.heading else []
    told += [_flat(item.text) for item in panel.items if isinstance(item, Direction)]
    told += [f"{label(unit, labels)}: {unit.words}" for unit in panel.units]
    return " ".join(_ended(words) for words in told if words)


def alt_of_page(words: PageWords, language: str = "en") -> str:
    """A page in words, panel by panel."""
    labels, count = labels_of(language), len(words.panels)
    told = [f"{labels.page} {words.page.number}, {count} {labels.panels[count != 1]}."]
    told += [
        f"{labels.panel} {one.number}: {alt_of_panel(one, labels) or labels.silent}"
        for one in words.panels
    ]
    return " ".join(told)


def _flat(text: str) -> str:
    return " ".join(NOT_IN_XML.sub(" ", text).split())


def _ended(words: str) -> str:
    return words if words.endswith((".", "!", "?", "\u2026", '"', "\u201d", "-")) else f"{words}."


def plain_text(script: Script, orders: Orders, language: str = "en") -> str:
    """The book as plain text."""
    labels = labels_of(language)
    lines: list[str] = []
    for one in script.opening:
        lines += [_flat(one.text), ""]
    for page in script.pages:
        words = in_order(page, orders.get(page.number, ()))
        lines += [f"{labels.page.upper()} {page.number}{_beside(page.heading)}", ""]
        lines += [f"[{_flat(one.text)}]" for one in page.opening]
        for panel in words.panels:
            lines.append(f"{labels.panel} {panel.number}{_beside(panel.heading)}")
            for item in panel.items:
                if isinstance(item, Direction):
                    lines.append(f"[{_flat(item.text)}]")
                else:
                    lines.append(f"{label(item, labels)}: {item.words}")
            lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _beside(heading: str) -> str:
    return f". {heading.strip('. ')}" if heading.strip(". ") else ""


def alt_json(script: Script, orders: Orders, language: str) -> str:
    """The alternative texts of all pages and panels, for other programs to read."""
    labels, pages = labels_of(language), []
    for page in script.pages:
        words = in_order(page, orders.get(page.number, ()))
        panels = [{"panel": one.number, "alt": alt_of_panel(one, labels)} for one in words.panels]
        pages.append({"page": page.number, "alt": alt_of_page(words, language), "panels": panels})
    report = {MARK: WORDS_VERSION, "language": language, "pages": pages}
    return json.dumps(report, ensure_ascii=False, indent=1) + "\n"


def page_words(words: PageWords, language: str, heading: int = 2) -> str:
    """One page as HTML that is well-formed XML too: headings, speakers, effects, direction.

    `heading` is the level of the page's heading; panels come one below.
    """
    return "".join(_page(words, language, heading))


def _page(words: PageWords, language: str, heading: int) -> Iterator[str]:
    page, below = words.page, heading + 1
    labels = labels_of(language)
    lang = _language(labels, language)
    beside = _xml(_beside(page.heading))
    yield f"<h{heading}><span{lang}>{labels.page} {page.number}</span>{beside}</h{heading}>\n"
    for one in page.opening:
        yield _direction(one)
    for panel in words.panels:
        beside = _xml(_beside(panel.heading))
        yield f"<h{below}><span{lang}>{labels.panel} {panel.number}</span>{beside}</h{below}>\n"
        for item in panel.items:
            yield _direction(item) if isinstance(item, Direction) else _unit(item, labels, lang)


def _language(labels: Labels, language: str) -> str:
    """The attributes that say in what language labels are, where it is not the book's."""
    if language.split("-")[0].lower() == labels.language:
        return ""
    return f' lang="{labels.language}" xml:lang="{labels.language}"'


def _direction(one: Direction) -> str:
    return f'<p class="direction">{_xml(_flat(one.text))}</p>\n'


def _unit(unit: Unit, labels: Labels, lang: str) -> str:
    who = lang if unit.role is not Role.SPEECH else ""
    told = _xml(label(unit, labels))
    return f'<p class="{unit.role.value}"><b{who}>{told}:</b> {_runs(unit.runs)}</p>\n'


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
        f' aria-label="{_xml(_short(words, language))}">\n{page_words(words, language)}</section>\n'
    )


def _short(words: PageWords, language: str) -> str:
    return labels_of(language).in_words.format(words.page.number)


LOOK = """body{font:1.1rem/1.6 system-ui,sans-serif;max-width:40rem;margin:2rem auto;padding:0 1rem;
color:#1d2433;background:#fffdf8}h2{border-top:1px solid #b9b3a4;padding-top:1rem}
h3{font-size:1.1rem;margin-bottom:.2rem}p{margin:.4rem 0}.direction{color:#5b5f69;font-style:italic}
.alt{background:#efebe2;padding:.5rem .8rem}summary{cursor:pointer}"""


def whole_html(script: Script, orders: Orders, language: str, title: str) -> str:
    """The book as one page of HTML."""
    lang, labels = escape(language), labels_of(language)
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
            f'<details class="alt"><summary{_language(labels, language)}>'
            f"{labels.alternative.format(page.number)}</summary>"
            f"<p>{_xml(alt_of_page(words, language))}</p></details></section>\n"
        )
    return "".join([*parts, "</main></body></html>\n"])
