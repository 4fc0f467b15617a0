"""The proof: one file, valid, complete, without the network (`test_proof_in_browser`: used)."""

from __future__ import annotations

import json
import re
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
    alts = root.xpath('//*[@class="art"]/@aria-label')
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


def test_a_proof_on_paper_has_a_sheet_for_each_page(story: Path) -> None:
    file = story / "proof.pdf"
    made = make_proof(story / "script.txt", story / "layout.json", ProofWanted(file))
    data = file.read_bytes()
    assert made.size == len(data) and made.pages == 3 and made.findings > 0
    assert data.count(b"/Type/Page/") == 4 and data.count(b"/DCTDecode") == 3
    assert len(data) / 3 * PAGES < MOST_BYTES


def test_a_proof_takes_no_file_away(story: Path) -> None:
    script, layout = story / "script.txt", story / "layout.json"
    with pytest.raises(LettererError, match=r"a proof is an \.html or a \.pdf file"):
        make_proof(script, layout, ProofWanted(story / "proof.svg"))
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
