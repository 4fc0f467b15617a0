"""Balanced captions, against `text-wrap: balance` of a browser (Chromium, headless).

CSS Text Module Level 4, "text-wrap-style": a balanced block has as many lines as it would have
without, and the room left in its lines is made as even as can be. Chromium looks for the narrowest
width at which filling the lines one by one still gives that number of lines. Here both set the same
face, so that the lines must be the same, but for the choice between breakings of one width.
"""

from __future__ import annotations

import base64
import html
import itertools
import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from letterer.fit.breaking import Breaks, word_costs
from letterer.fit.caption import balanced_breaks
from letterer.fit.measure import MeasuredWords
from letterer.model.script import Run
from letterer.resources import fonts_folder
from letterer.text.faces import FaceLibrary
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import dress

SIZE, BOX = 20, 300
FACE = "ComicNeue_400Regular.ttf"

SENTENCES = (
    "I could stay, but not forever! Um, are you okay with that plan?",
    "The ferry leaves at nine, and nobody has seen the pilot since supper.",
    "Low harbour. Three days before the storm.",
    "Nobody remembered who had built the clock, only that it had never once been wrong.",
    "I counted the lanterns twice. One of them was not there yesterday.",
    "We were told to wait by the gate until the water went down, so we waited.",
    "Every winter the town draws straws for who has to feed it.",
    "Somebody had painted the door shut.",
)

PAGE = """<!DOCTYPE html><html lang="en"><meta charset="utf-8"><style>
@font-face {{ font-family: Tested; src: url(data:font/ttf;base64,{font}); }}
p {{ font: {size}px Tested; width: {box}px; margin: 0 0 20px; text-wrap: balance; }}
</style><body>{body}<pre></pre><script>
document.fonts.load("{size}px Tested").then(() => document.fonts.ready).then(() => {{
  const all = [...document.querySelectorAll("p")].map((p) => {{
    const lines = [];
    let last = null;
    for (const span of p.querySelectorAll("span")) {{
      const top = Math.round(span.getClientRects()[0].top);
      if (top !== last) lines.push([]);
      last = top;
      lines[lines.length - 1].push(span.textContent);
    }}
    return lines.map((line) => line.join(" "));
  }});
  const used = document.fonts.check("{size}px Tested");
  document.querySelector("pre").textContent = JSON.stringify([used, all]);
}});
</script></body></html>"""


@pytest.fixture(scope="module")
def browser_lines(
    tmp_path_factory: pytest.TempPathFactory, reference_tool: Callable[[str], str]
) -> list[list[str]]:
    """The lines that the browser breaks each sentence into, in capitals."""
    folder = tmp_path_factory.mktemp("balance")
    paragraphs = (
        "<p>" + " ".join(f"<span>{html.escape(word)}</span>" for word in dressed(text).split())
        for text in SENTENCES
    )
    font = base64.b64encode((fonts_folder() / FACE).read_bytes()).decode()
    page = folder / "page.html"
    page.write_text(PAGE.format(font=font, size=SIZE, box=BOX, body="".join(paragraphs)), "utf-8")
    text = dumped(reference_tool("chromium"), page, folder / "profile")
    found = re.search(r"<pre>(.*?)</pre>", text, re.DOTALL)
    assert found and found[1], "the browser gave no lines"
    used, lines = json.loads(html.unescape(found[1]))
    assert used, "the browser did not use the face"
    return [list(map(str, each)) for each in lines]


def dumped(browser: str, page: Path, profile: Path) -> str:
    """The page's document after its script has run."""
    quiet = ("gpu", "quic", "background-networking", "component-update", "sync")
    done = subprocess.run(
        [
            browser,
            "--headless",
            "--no-sandbox",
            "--no-first-run",
            *(f"--disable-{name}" for name in quiet),
            f"--user-data-dir={profile}",
            "--virtual-time-budget=5000",
            "--dump-dom",
            page.as_uri(),
        ],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def dressed(text: str) -> str:
    return dress([Run(text)]).text


def measured(text: str) -> MeasuredWords:
    shaper = Shaper(dress([Run(text)]), Lettering(("Comic Neue",)), FaceLibrary())
    return MeasuredWords(shaper)


def lines_of(words: MeasuredWords, breaks: Breaks) -> list[str]:
    ends = zip((0, *breaks[:-1]), breaks, strict=True)
    return [" ".join(words.word(at) for at in range(i, j)) for i, j in ends]


def widest(words: MeasuredWords, breaks: Breaks) -> float:
    """The advance of the widest line, each line shaped by itself, in em."""
    ends = zip((0, *breaks[:-1]), breaks, strict=True)
    return max(words.line(i, j).shaped.advance for i, j in ends)


def ends_of(lines: list[str]) -> Breaks:
    """Where each line ends, in words."""
    return tuple(itertools.accumulate(len(line.split()) for line in lines))


def test_a_sentence_that_was_seen_in_the_browser(browser_lines: list[list[str]]) -> None:
    wanted = ["I COULD STAY, BUT NOT", "FOREVER! UM, ARE YOU", "OKAY WITH THAT PLAN?"]
    assert browser_lines[0] == wanted
    words = measured(SENTENCES[0])
    assert lines_of(words, balanced_breaks(words, 3) or ()) == wanted


@pytest.mark.parametrize("at", range(len(SENTENCES)))
def test_our_balance_is_the_browsers(at: int, browser_lines: list[list[str]]) -> None:
    words, theirs = measured(SENTENCES[at]), browser_lines[at]
    assert len(theirs) > 1, "a sentence of one line tests nothing"
    ours = balanced_breaks(words, len(theirs))
    assert ours is not None and len(words) == ends_of(theirs)[-1]
    # The browser measures in steps of 1/64 px.
    assert widest(words, ours) <= widest(words, ends_of(theirs)) + 1 / 64 / SIZE
    # Of breakings equally wide the browser fills lines one by one; ours weighs the words too.
    if lines_of(words, ours) != theirs:
        assert word_costs(words, ours) < word_costs(words, ends_of(theirs)), theirs


def test_most_sentences_have_the_very_lines_of_the_browser(browser_lines: list[list[str]]) -> None:
    same = 0
    for text, theirs in zip(SENTENCES, browser_lines, strict=True):
        words = measured(text)
        same += lines_of(words, balanced_breaks(words, len(theirs)) or ()) == theirs
    assert same >= 6
