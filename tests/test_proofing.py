"""The proof: one file, valid, complete, without the network; and in a browser, by keyboard too."""

from __future__ import annotations

import html
import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from letterer.errors import LettererError
from letterer.proofing import ProofWanted, make_proof
from letterer.wording import write_words

MOST_BYTES = 8_000_000
PAGES = 22


@pytest.fixture(scope="module")
def story(repository: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo with a balloon moved onto a face, so that there are findings."""
    folder = tmp_path_factory.mktemp("proof")
    demo = repository / "shared" / "demo"
    layout = json.loads((demo / "layout.json").read_text("utf-8"))
    for page in layout["pages"]:
        page["art"]["file"] = str(demo / page["art"]["file"])
    for placed in layout["pages"][0]["placements"]:
        if placed["unit"] == "1.2.2":
            placed["center"] = [1.2, 5.9]
    (folder / "layout.json").write_text(json.dumps(layout), "utf-8")
    (folder / "script.txt").write_bytes((demo / "script.txt").read_bytes())
    make_proof(folder / "script.txt", folder / "layout.json", ProofWanted(folder / "proof.html"))
    return folder


@pytest.fixture(scope="module")
def text(story: Path) -> str:
    return (story / "proof.html").read_text("utf-8")


def parsed(text: str) -> Any:
    """The document as lxml reads HTML."""
    return etree.HTML(text)


def test_nothing_is_fetched(text: str) -> None:
    links = re.findall(r'(?:src|href|url\()="?([^")\s>]+)', text)
    assert links and all(one.startswith(("#", "data:image/webp")) for one in links)
    assert "http:" not in text and "https:" not in text and "@import" not in text


def test_every_link_leads_somewhere_and_no_name_is_given_twice(text: str) -> None:
    root = parsed(text)
    ids = root.xpath("//@id")
    assert len(ids) == len(set(ids))
    assert {one[1:] for one in root.xpath("//a/@href")} <= set(ids)


def test_it_has_the_units_the_words_and_the_findings(text: str) -> None:
    root = parsed(text)
    numbers = root.xpath('//*[@class="numbers"]/text/text()')
    assert {"1.1.1", "1.2.2", "3.1.1"} <= set(numbers)
    assert "covers" in "".join(root.xpath('//li[@id="finding-1"]//text()'))
    alts = root.xpath("//img/@alt")
    assert len(alts) == 3 and "A storm at sea" in alts[0]
    assert len(root.xpath("//details")) == 3


def test_every_control_has_a_name(text: str) -> None:
    root = parsed(text)
    for control in root.xpath("//input"):
        assert "".join(control.getparent().itertext()).strip()
    assert root.get("lang") == "en" and root.xpath("//main//h2")


def test_a_book_of_22_pages_stays_small(text: str) -> None:
    assert len(text.encode()) / 3 * PAGES < MOST_BYTES


def test_the_same_proof_twice(story: Path, text: str) -> None:
    again = story / "again.html"
    make_proof(story / "script.txt", story / "layout.json", ProofWanted(again))
    assert again.read_text("utf-8") == text


def test_a_proof_is_html_and_takes_no_file_away(story: Path) -> None:
    script, layout = story / "script.txt", story / "layout.json"
    with pytest.raises(LettererError, match=r"a proof is an \.html file"):
        make_proof(script, layout, ProofWanted(story / "proof.pdf"))
    page = story / "script.html"
    page.write_bytes(script.read_bytes())
    with pytest.raises(LettererError, match="written over the script"):
        make_proof(page, layout, ProofWanted(page))
    assert page.read_bytes() == script.read_bytes()


def test_words_are_written(story: Path) -> None:
    made = write_words(story / "script.txt", story / "layout.json", story / "words")
    names = [path.name for path in made.files]
    assert names[:3] == ["words.txt", "words.html", "alt.json"] and len(names) == 6
    assert made.reordered == ()
    for path in made.files[3:]:
        etree.parse(path)


LOOK = """<script>
addEventListener("load", () => {
  const told = {};
  const shown = (name) => getComputedStyle(document.querySelector(".sheet>." + name)).visibility;
  for (const name of ["art", "words", "numbers", "way", "zones", "marks"]) {
    const box = document.getElementById("show-" + name), before = shown(name);
    box.click();
    told[name] = [before, shown(name)];
    box.click();
  }
  const wide = () => document.querySelector(".sheet").getBoundingClientRect().width;
  const fit = wide();
  document.getElementById("size-twice").click();
  told.twice = [fit, wide()];
  document.getElementById("size-fit").click();
  told.over = document.documentElement.scrollWidth - innerWidth;
  told.width = innerWidth;
  const all = [...document.querySelectorAll("a,input,summary,[tabindex='0']")];
  const reached = (one) => { one.focus(); return document.activeElement === one; };
  told.reached = all.filter(reached).length;
  told.all = all.length;
  location.hash = "#finding-1";
  told.target = document.querySelector(":target").id;
  const pre = document.createElement("pre");
  pre.textContent = JSON.stringify(told);
  (window.parent === window ? document : parent.document).body.append(pre);
});
</script>"""


@pytest.mark.parametrize("width", [1280, 390])
def test_in_a_browser(
    width: int, story: Path, text: str, reference_tool: Callable[[str], str], tmp_path: Path
) -> None:
    """Layers hide, pages grow, nothing sticks out sideways, and all controls take the focus.

    A window of this browser is 500 px wide at least, so the narrow screen is a frame in it.
    """
    (tmp_path / "proof.html").write_text(text.replace("</body>", LOOK + "</body>"), "utf-8")
    frame = f'<body><iframe src="proof.html" style="width:{width}px;height:840px;border:0">'
    (tmp_path / "frame.html").write_text(f"<!DOCTYPE html>{frame}</iframe></body>", "utf-8")
    done = subprocess.run(
        [
            reference_tool("chromium"),
            "--headless",
            "--no-sandbox",
            "--no-first-run",
            "--disable-gpu",
            "--disable-background-networking",
            "--allow-file-access-from-files",
            f"--user-data-dir={tmp_path / 'profile'}",
            "--virtual-time-budget=4000",
            "--window-size=1400,900",
            "--dump-dom",
            (tmp_path / "frame.html").as_uri(),
        ],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    found = re.search(r"<pre>(.*?)</pre>", done.stdout, re.DOTALL)
    assert found, done.stderr
    told: dict[str, Any] = json.loads(html.unescape(found[1]))
    assert told["width"] == width and told["over"] <= 0
    for name in ("art", "words", "numbers", "marks"):
        assert told[name] == ["visible", "hidden"], name
    for name in ("way", "zones"):
        assert told[name] == ["hidden", "visible"], name
    assert told["twice"][1] > told["twice"][0] * 1.5
    assert told["reached"] == told["all"] > 20
    assert told["target"] == "finding-1"
