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

MORE = (
    ("Tomorrow.", 300),
    ("Not again.", 90),
    ("Mind the third step.", 140),
    ("Who left the lamp burning?", 180),
    ("Two hours later, on the roof of the bakery.", 220),
    ("Meanwhile, below the tide line...", 200),
    ("The bridge was gone before anyone heard the bell.", 260),
    ("She kept the letter, unopened, for eleven years.", 180),
    ("It rained. It rained, and then it rained some more.", 300),
    ("Nothing grows here that was not carried up by hand.", 160),
    ("My grandmother called this road the unforgiving one.", 240),
    ("Some say the lighthouse keeper never came down at all.", 210),
    ("A week of fog, and then, all at once, the whole coast.", 330),
    ("They had agreed on the signal, but not on what it would mean.", 250),
    ("By evening the whole valley smelled of smoke and wet wool.", 400),
    ("Nobody in the kitchen said a word until the kettle began to sing.", 280),
    ("Old Maren sold maps of places that she swore she had invented herself.", 350),
    ("The well had been dry since spring, so we listened at it instead.", 190),
    ("Incomprehensibly, the caretaker's extraordinarily patient tortoise won.", 230),
    ("In the year of the two winters the river forgot to thaw, and so did we.", 320),
    ("We followed the cable for three days, and it went on following us.", 260),
    ("What the storm took in one night the town took thirty years to miss.", 290),
    ("Every clock in the house had stopped at a different time, which was a relief.", 310),
    ("Here is what I know of my father: he could whistle, and he could not swim.", 270),
    ("The orchard was sold in April. In May somebody came by night and moved the trees.", 360),
    (
        "There are nine ways out of the old town, and at the end of every one of them a man"
        " will tell you that there are only eight.",
        380,
    ),
    (
        "I was the youngest on the boat, so it was my task to count the others, each morning,"
        " aloud, and to sound as though the number did not surprise me.",
        420,
    ),
    (
        "Long after the last train the station master still swept the platform, lit both lamps,"
        " and read out the names of all the stations up to the sea, slowly, in case"
        " someone had been waiting.",
        520,
    ),
    (
        "When the surveyors came back in the autumn they found the hill where they had left it,"
        " the village a little to the east of where it had been, and nobody who would admit"
        " to having noticed anything at all.",
        560,
    ),
    (
        "We had bread, rope, a lamp, two good knives, a letter that none of us could read,"
        " and a goat who, as it turned out later, had understood the plan rather better"
        " than the rest of us had.",
        450,
    ),
)
"""Thirty more, of 1 to 40 words, each with the width of its box in pixels."""

NARROWER = {
    "The orchard was sold in April. In May somebody came by night and moved the trees.",
    "We had bread, rope, a lamp, two good knives, a letter that none of us could read,"
    " and a goat who, as it turned out later, had understood the plan rather better"
    " than the rest of us had.",
}
"""Where ours is narrower, by 3 and 4 of 320 and 410 pixels, with as many lines."""

BETTER_ENDS = {
    "Some say the lighthouse keeper never came down at all.",
    "Old Maren sold maps of places that she swore she had invented herself.",
}
"""Where both are as wide and ours ends no line with an article or a preposition."""

CASES = (*((text, BOX) for text in SENTENCES), *MORE)

PAGE = """<!DOCTYPE html><html lang="en"><meta charset="utf-8"><style>
@font-face {{ font-family: Tested; src: url(data:font/ttf;base64,{font}); }}
p {{ font: {size}px Tested; margin: 0 0 20px; text-wrap: balance; }}
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
        f'<p style="width: {box}px">'
        + " ".join(f"<span>{html.escape(word)}</span>" for word in dressed(text).split())
        for text, box in CASES
    )
    font = base64.b64encode((fonts_folder() / FACE).read_bytes()).decode()
    page = folder / "page.html"
    page.write_text(PAGE.format(font=font, size=SIZE, body="".join(paragraphs)), "utf-8")
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


@pytest.mark.parametrize("at", range(len(CASES)))
def test_our_balance_is_the_browsers(at: int, browser_lines: list[list[str]]) -> None:
    words, theirs = measured(CASES[at][0]), browser_lines[at]
    ours = balanced_breaks(words, len(theirs))
    assert ours is not None and len(words) == ends_of(theirs)[-1]
    assert len(ours) == len(theirs)
    # The browser measures in steps of 1/64 px.
    assert widest(words, ours) <= widest(words, ends_of(theirs)) + 1 / 64 / SIZE
    # Of breakings equally wide ours weighs the words; the browser does not know them.
    if lines_of(words, ours) != theirs and CASES[at][0] not in NARROWER:
        assert widest(words, ours) >= widest(words, ends_of(theirs)) - 1 / 64 / SIZE
        assert word_costs(words, ours) < word_costs(words, ends_of(theirs)), theirs


def test_where_ours_differs_the_browser_is_no_narrower_but_less_ragged(
    browser_lines: list[list[str]],
) -> None:
    """By name, so that a new difference is seen, and one that has gone is taken out.

    The browser as seen here (Chromium 156) makes the sum of squared gaps least, and looks for the
    narrowest width only where that is not to be had; ours is the narrowest in every case.
    """
    differing, narrower = set(), set()
    for (text, box), theirs in zip(CASES, browser_lines, strict=True):
        words = measured(text)
        ours = balanced_breaks(words, len(theirs)) or ()
        if lines_of(words, ours) == theirs:
            continue
        differing.add(text)
        assert squared_gaps(words, ends_of(theirs), box) < squared_gaps(words, ours, box), text
        if widest(words, ours) < widest(words, ends_of(theirs)) - 1 / 64 / SIZE:
            narrower.add(text)
    assert narrower == NARROWER
    assert differing == NARROWER | BETTER_ENDS


def squared_gaps(words: MeasuredWords, breaks: Breaks, box: float) -> float:
    """The sum of squares of what the lines leave free of the box, in pixels."""
    ends = zip((0, *breaks[:-1]), breaks, strict=True)
    return sum((box - SIZE * words.line(i, j).shaped.advance) ** 2 for i, j in ends)


def test_most_sentences_have_more_than_one_line(browser_lines: list[list[str]]) -> None:
    counts = [len(lines) for lines in browser_lines]
    assert len(CASES) == len(SENTENCES) + 30
    assert sum(count > 1 for count in counts) >= len(CASES) - 1, "one line tests nothing"
    assert {2, 3, 4, 5} <= set(counts)
