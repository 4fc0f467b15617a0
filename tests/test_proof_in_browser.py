"""The proof in a real browser (Chromium, headless), by real keys and on a narrow screen.

The browser is told what to do by its DevTools protocol over a pipe, so that keys are pressed as a
person presses them, and the focus goes where the browser takes it.
"""

from __future__ import annotations

import contextlib
import itertools
import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from letterer.proofing import ProofWanted, make_proof

KEYS = {"Tab": 9, "Enter": 13, " ": 32, "ArrowLeft": 37, "ArrowRight": 39}
TYPED = {"Enter": "\r", " ": " "}
WIDE, NARROW = (1280, 900), (390, 844)
TARGET_LEAST = 24
"""CSS pixels that what is pressed measures at least (WCAG 2.2, 2.5.8)."""


ON_PIPES = """
import fcntl, os, sys
ends = [fcntl.fcntl(int(end), fcntl.F_DUPFD, 10) for end in sys.argv[1:3]]
for place, end in enumerate(ends, 3):
    os.dup2(end, place)
os.execv(sys.argv[3], sys.argv[3:])
"""
"""Becomes the browser, which reads its commands from 3 and answers on 4."""


class Browser:
    """A browser with one page."""

    def __init__(self, program: str, profile: Path) -> None:
        to_it, self._to = os.pipe()
        self._from, from_it = os.pipe()
        words = [program, "--headless", "--no-sandbox", "--no-first-run", "--disable-gpu"]
        words += ["--disable-background-networking", f"--user-data-dir={profile}"]
        words += ["--remote-debugging-pipe", "about:blank"]
        self._process = subprocess.Popen(
            [sys.executable, "-c", ON_PIPES, str(to_it), str(from_it), *words],
            pass_fds=(to_it, from_it),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(to_it)
        os.close(from_it)
        self._numbers = itertools.count(1)
        self._read = b""
        self._seen: list[str] = []
        self._session = ""
        found = self.call("Target.getTargets")["targetInfos"]
        target = next(one["targetId"] for one in found if one["type"] == "page")
        told = self.call("Target.attachToTarget", targetId=target, flatten=True)
        self._session = told["sessionId"]
        self.call("Page.enable")

    def call(self, method: str, **params: Any) -> dict[str, Any]:
        """One command, and what it gives back."""
        number = next(self._numbers)
        told = {"id": number, "method": method, "params": params}
        if self._session:
            told["sessionId"] = self._session
        os.write(self._to, json.dumps(told).encode() + b"\0")
        while (answer := self._next()).get("id") != number:
            self._seen.append(answer.get("method", ""))
        assert "error" not in answer, answer
        result: dict[str, Any] = answer["result"]
        return result

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._read:
            got = os.read(self._from, 1 << 20)
            assert got, "the browser has ended"
            self._read += got
        one, _, self._read = self._read.partition(b"\0")
        answer: dict[str, Any] = json.loads(one)
        return answer

    def open(self, page: Path, size: tuple[int, int]) -> None:
        """Open a page in a window of so many CSS pixels."""
        self.call(
            "Emulation.setDeviceMetricsOverride",
            width=size[0],
            height=size[1],
            deviceScaleFactor=1,
            mobile=size == NARROW,
        )
        self._seen.clear()
        self.call("Page.navigate", url="about:blank")
        self.call("Page.navigate", url=page.as_uri())
        while "Page.loadEventFired" not in self._seen or self.ask("document.URL") == "about:blank":
            self._seen.append(self._next().get("method", ""))

    def ask(self, code: str) -> Any:
        """What a piece of JavaScript gives, once the page is drawn as it is."""
        drawn = "new Promise(r => requestAnimationFrame(() => requestAnimationFrame(r)))"
        told = self.call(
            "Runtime.evaluate",
            expression=f"{drawn}.then(() => ({code}))",
            returnByValue=True,
            awaitPromise=True,
        )
        assert "exceptionDetails" not in told, told
        return told["result"].get("value")

    def press(self, key: str, times: int = 1) -> None:
        """Press a key and let go of it."""
        about = {"key": key, "code": "Space" if key == " " else key}
        about |= {"windowsVirtualKeyCode": KEYS[key]}  # type: ignore[dict-item]
        text = {"text": TYPED[key]} if key in TYPED else {}
        for _ in range(times):
            kind = "keyDown" if text else "rawKeyDown"
            self.call("Input.dispatchKeyEvent", type=kind, **about, **text)
            self.call("Input.dispatchKeyEvent", type="keyUp", **about)

    def tab_to(self, name: str) -> None:
        """Press Tab until what is named has the focus."""
        for _ in range(80):
            self.press("Tab")
            if self.ask(f"document.activeElement.matches('{name}')"):
                return
        raise AssertionError(f"no Tab leads to {name}")

    def close(self) -> None:
        """End it."""
        with contextlib.suppress(AssertionError, OSError):
            self.call("Browser.close")
        self._process.wait(20)
        os.close(self._to)
        os.close(self._from)


@pytest.fixture(scope="module")
def browser(
    reference_tool: Callable[[str], str], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Browser]:
    """A browser for all tests here."""
    made = Browser(reference_tool("chromium"), tmp_path_factory.mktemp("browser") / "profile")
    yield made
    made.close()


@pytest.fixture(scope="module")
def proof(repository: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The proof of the demo with a balloon moved onto a face, so that there are findings."""
    folder = tmp_path_factory.mktemp("proof")
    demo = repository / "shared" / "demo"
    layout = json.loads((demo / "layout.json").read_text("utf-8"))
    for page in layout["pages"]:
        page["art"]["file"] = str(demo / page["art"]["file"])
    for placed in layout["pages"][0]["placements"]:
        if placed["unit"] == "1.2.2":
            placed["center"] = [1.2, 5.9]
    (folder / "layout.json").write_text(json.dumps(layout), "utf-8")
    file = folder / "proof.html"
    make_proof(demo / "script.txt", folder / "layout.json", ProofWanted(file))
    return file


SHOWN = "getComputedStyle(document.querySelector('.sheet>.{}')).visibility"
FOCUS = (
    "document.activeElement.id || document.activeElement.hash || document.activeElement.className"
)
WIDTH = "document.querySelector('.sheet').getBoundingClientRect().width"


def test_layers_are_shown_and_hidden_by_the_space_bar(browser: Browser, proof: Path) -> None:
    browser.open(proof, WIDE)
    for name in ("art", "words", "numbers", "way", "zones", "marks"):
        browser.tab_to(f"#show-{name}")
        before = browser.ask(SHOWN.format(name))
        assert before == ("hidden" if name in ("way", "zones") else "visible")
        browser.press(" ")
        assert browser.ask(SHOWN.format(name)) != before
        browser.press(" ")
        assert browser.ask(SHOWN.format(name)) == before


def test_sizes_are_chosen_by_arrows(browser: Browser, proof: Path) -> None:
    browser.open(proof, WIDE)
    browser.tab_to("#size-fit")
    fit = browser.ask(WIDTH)
    browser.press("ArrowRight", 3)
    assert browser.ask(FOCUS) == "size-twice"
    # Twice the printed size: 6.875 inches are 660 CSS pixels.
    assert browser.ask(WIDTH) == pytest.approx(2 * 660, abs=1) and fit < 500
    # What is larger than the window is reached by arrows too.
    browser.tab_to(".hold")
    browser.press("ArrowRight", 3)
    browser.ask("new Promise(r => setTimeout(r, 300))")
    assert browser.ask("document.activeElement.scrollLeft") > 0


def test_a_page_is_jumped_to_and_tab_goes_on_from_there(browser: Browser, proof: Path) -> None:
    browser.open(proof, WIDE)
    browser.press("Tab")
    assert browser.ask(FOCUS) == "#pages"  # the way past the controls comes first
    browser.tab_to('nav a[href="#page-2"]')
    browser.press("Enter")
    top, desk = browser.ask(
        "[document.getElementById('name-2'), document.querySelector('.desk')]"
        ".map(one => one.getBoundingClientRect()).map((one, at) => at ? one.bottom : one.top)"
    )
    assert desk <= top < desk + 60
    browser.press("Tab")
    assert browser.ask("document.activeElement.closest('section').id") == "page-2"


def test_from_a_sign_to_what_is_said_and_back(browser: Browser, proof: Path) -> None:
    browser.open(proof, WIDE)
    browser.tab_to("#mark-1")
    browser.press("Enter")
    assert browser.ask("document.querySelector(':target').id") == "finding-1"
    browser.press("Tab")
    assert browser.ask(FOCUS) == "#mark-1"  # the link back, within what is said
    browser.press("Enter")
    assert browser.ask("document.querySelector('a:target').id") == "mark-1"


@pytest.mark.parametrize("size", [WIDE, NARROW])
def test_tab_reaches_everything_and_the_focus_is_seen(
    size: tuple[int, int], browser: Browser, proof: Path
) -> None:
    browser.open(proof, size)
    every = "'a[href],input:not([type=radio]),input:checked,summary,[tabindex=\"0\"]'"
    count = browser.ask(f"new Set(document.querySelectorAll({every})).size")
    reached: set[int] = set()
    for _ in range(count):
        browser.press("Tab")
        place, seen = browser.ask(
            f"[[...document.querySelectorAll({every})].indexOf(document.activeElement),"
            " (one => one.matches('.marks a') || getComputedStyle(one).outlineStyle === 'solid')"
            "(document.activeElement)]"
        )
        assert place >= 0 and seen
        reached.add(place)
    assert len(reached) == count > 15


def test_a_narrow_screen(browser: Browser, proof: Path) -> None:
    browser.open(proof, NARROW)
    wide, inner = browser.ask("[document.documentElement.scrollWidth, innerWidth]")
    assert wide <= inner == NARROW[0]
    assert browser.ask(WIDTH) > 0.9 * NARROW[0]
    boxes = browser.ask(
        "[...document.querySelectorAll('nav a,label,summary,.findings a')]"
        ".map(one => one.getBoundingClientRect()).map(one => [one.width, one.height])"
    )
    assert min(min(box) for box in boxes) >= TARGET_LEAST
    # What is said of a page comes under it, not beside it.
    under = browser.ask(
        "[document.querySelector('.said'), document.querySelector('.sheet')]"
        ".map(one => one.getBoundingClientRect()).map((one, at) => at ? one.bottom : one.top)"
    )
    assert under[0] >= under[1]
