"""The room of words as text, JSON and thumbnails; with a layout, and without one."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from letterer import craft
from letterer.errors import LettererError
from letterer.model.style import Style
from letterer.review.legibility import easy_least_mm
from letterer.room import RoomWanted, look_at_room

LONG = "I told you twice, and then a third time, that the boat leaves at six and not at seven."
SCRIPT = f"""PAGE 1
PANEL 1
Wide. The harbour.

NELL: {LONG}
TOM: {LONG}
PANEL 2
Tom alone.

PANEL 3
SFX: Krrang!
NELL: Run!

PAGE 2
PANEL 1
NELL: Wait.
"""
LAYOUT = {
    "letterer": 1,
    "unit": "mm",
    "page": {"format": "a5"},
    "pages": [
        {
            "page": 1,
            "panels": [
                {"panel": 1, "box": [10, 10, 50, 50], "mouths": {"NELL": [20, 50]}},
                {"panel": 2, "box": [70, 10, 60, 50]},
                {"panel": 3, "box": [10, 70, 120, 120]},
            ],
            "placements": [{"unit": "1.3.2", "corner": "top right"}],
        }
    ],
}


@pytest.fixture
def book(tmp_path: Path) -> tuple[Path, Path]:
    """A script and a layout in a folder."""
    script, layout = tmp_path / "script.txt", tmp_path / "layout.json"
    script.write_text(SCRIPT, "utf-8")
    layout.write_text(json.dumps(LAYOUT), "utf-8")
    return script, layout


def test_a_crowded_panel_is_told_and_the_others_are_not(book: tuple[Path, Path]) -> None:
    seen = look_at_room(*book)
    lines = seen.text.splitlines()
    row = next(line.split() for line in lines if line.startswith("  1.1"))
    assert row[1] == "38" and row[-2:] == ["too", "much"]
    assert "Cut about" in lines[lines.index(next(x for x in lines if "1.1 " in x)) + 1]
    assert any(line.startswith("  1.2") and line.endswith("no words") for line in lines)
    assert "Too much in: 1.1." in seen.text
    told = json.loads(seen.json)["pages"][0]["panels"]
    assert [panel["verdict"] for panel in told] == ["too much", "no words", "plenty of room"]
    assert told[0]["share"] > craft.CROWDED_SHARE
    assert {unit["unit"] for unit in told[2]["units"]} == {"1.3.1", "1.3.2"}


def test_pages_without_panels_are_divided(book: tuple[Path, Path]) -> None:
    seen = look_at_room(*book)
    assert seen.pages[1].divisions
    assert "Page 2 has no panels in the layout" in seen.text
    alone = look_at_room(book[0], wanted=RoomWanted(format="a5"))
    assert len(alone.pages[0].divisions) > 1
    shares = [wish.share for wish in alone.pages[0].wishes]
    assert shares[0] == max(shares) and sum(shares) == pytest.approx(1)
    assert "wide, as its direction says" in alone.text
    told = json.loads(alone.json)["pages"][0]
    assert len(told["divisions"][0]["boxes mm"]) == 3


def test_in_a_division_words_have_the_room_that_was_promised(tmp_path: Path) -> None:
    """The boxes of each division are given back as a layout: no panel is crowded then."""
    script, layout = tmp_path / "script.txt", tmp_path / "layout.json"
    script.write_text(SCRIPT.split("PAGE 2")[0], "utf-8")
    for one in look_at_room(script, wanted=RoomWanted(format="a5")).pages[0].divisions:
        panels = [
            {"panel": number, "box": [box.left, box.top, box.width, box.height]}
            for number, box in enumerate(one.boxes, 1)
        ]
        pages = [{"page": 1, "panels": panels}]
        layout.write_text(json.dumps({**LAYOUT, "unit": "pt", "pages": pages}), "utf-8")
        rooms = look_at_room(script, layout).pages[0].rooms
        assert all(room.share <= craft.ROOM_GOOD_SHARE * 1.2 for room in rooms), one.told


def test_a_scroll_is_as_long_as_its_panels_ask_for(tmp_path: Path) -> None:
    """The boxes of each way are given back as a layout in pixels: no panel is crowded then."""
    script, layout = tmp_path / "script.txt", tmp_path / "layout.json"
    script.write_text(SCRIPT.split("PAGE 2")[0], "utf-8")
    seen = look_at_room(script, wanted=RoomWanted(format="vertical scroll"))
    (page,) = seen.pages
    assert "as a scroll 800 px wide" in seen.text
    assert sum(wish.share for wish in page.wishes) == pytest.approx(1)
    px = 72 / craft.ROOM_STRIP_DPI
    for way in page.divisions:
        long = round(way.boxes[-1].bottom / px)
        assert way.told.endswith(f", {long:,} px long")
        panels = [
            {"panel": n, "box": [box.left / px, box.top / px, box.width / px, box.height / px]}
            for n, box in enumerate(way.boxes, 1)
        ]
        scroll = {"format": "vertical scroll", "height": long + 1}
        pages = [{"page": 1, "panels": panels}]
        keys = {"letterer": 1, "unit": "px", "dpi": craft.ROOM_STRIP_DPI}
        layout.write_text(json.dumps({**keys, "page": scroll, "pages": pages}), "utf-8")
        rooms = look_at_room(script, layout).pages[0].rooms
        assert all(room.share <= craft.ROOM_GOOD_SHARE * 1.05 for room in rooms), way.told
        assert not any(room.why for room in rooms)
    # Usual type is then as high on a telephone as is read at full speed (Legge & Bigelow 2011).
    high = Style().size / px * craft.TELEPHONE_WIDTH_MM / 800 * craft.CAP_EM
    assert high >= easy_least_mm(craft.EYE_TO_TELEPHONE_MM)
    drawn = tmp_path / "scroll.svg"
    files = look_at_room(script, wanted=RoomWanted((1,), drawn, "vertical scroll")).files
    assert [file.name for file in files] == ["scroll-001.svg"]


def test_a_book_read_from_right_to_left_is_divided_so(book: tuple[Path, Path]) -> None:
    there, back = (
        look_at_room(book[0], wanted=RoomWanted((1,), right_to_left=way)).pages[0].divisions
        for way in (False, True)
    )
    assert [way.rows for way in there] == [way.rows for way in back]
    beside = next(n for n, way in enumerate(there) if way.rows != (1, 1, 1))
    firsts = [way[beside].boxes for way in (there, back)]
    assert firsts[0] != firsts[1]
    assert [box.width for box in firsts[0]] == pytest.approx([box.width for box in firsts[1]])


def test_what_the_layout_says_itself_is_not_asked_for(book: tuple[Path, Path]) -> None:
    with pytest.raises(LettererError) as error:
        look_at_room(*book, RoomWanted(format="a5", right_to_left=True))
    assert [fault.mend for fault in error.value.faults] == [
        'Change "page" in it',
        'Change "reading" in it',
    ]


def test_a_page_with_far_too_many_words_is_told(tmp_path: Path) -> None:
    script = tmp_path / "script.txt"
    text = "PAGE 1\n" + "".join(
        f"PANEL {n}\nNELL: {LONG}\nTOM: {LONG}\nNELL: {LONG}\n\n" for n in range(1, 9)
    )
    script.write_text(text, "utf-8")
    seen = look_at_room(script, wanted=RoomWanted(format="a5"))
    assert "part the page in two" in seen.text
    script.write_text(
        "PAGE 1\n" + "".join(f"PANEL {n}\nNELL: Oh.\n\n" for n in range(1, 15)), "utf-8"
    )
    assert "14 panels are too many for us to divide a page into" in look_at_room(script).text


@pytest.mark.parametrize("kind", ["svg", "png", "html"])
def test_thumbnails_are_drawn_and_nothing_else_is_written(
    book: tuple[Path, Path], tmp_path: Path, kind: str
) -> None:
    before = [file.read_bytes() for file in book]
    wanted = RoomWanted((1,), tmp_path / "out" / f"room.{kind}")
    files = look_at_room(*book, wanted).files
    name = "room.html" if kind == "html" else f"room-001.{kind}"
    assert [file.name for file in files] == [name]
    assert [file.read_bytes() for file in book] == before
    data = files[0].read_bytes()
    assert look_at_room(*book, wanted).files[0].read_bytes() == data
    if kind == "svg":
        titles = {
            found.text or "" for found in ET.fromstring(data).iter() if found.tag.endswith("title")
        }
        assert {LONG, "Run!", "Krrang!", "panel 3"} <= titles
        assert any("1.1: " in title and "too much" in title for title in titles)
    if kind == "html":
        assert b"The same in words" in data and b"http" not in data.replace(
            b"http://www.w3.org", b""
        )


@pytest.mark.parametrize(
    ("wanted", "told"),
    [
        (RoomWanted(format="scroll"), '--format cannot be "scroll"'),
        (RoomWanted(pages=(9,)), "the script has no such page"),
        (RoomWanted(picture=Path("room.gif")), r"drawn as \.html, \.svg or \.png"),
        (RoomWanted(fonts=(Path("nowhere"),)), "no such folder of faces"),
    ],
)
def test_what_cannot_be_is_told(book: tuple[Path, Path], wanted: RoomWanted, told: str) -> None:
    with pytest.raises(LettererError, match=told):
        look_at_room(book[0], wanted=wanted)


def test_faults_of_both_files_come_together(book: tuple[Path, Path]) -> None:
    book[1].write_text("{", "utf-8")
    book[0].unlink()
    with pytest.raises(LettererError) as error:
        look_at_room(*book)
    assert len(error.value.faults) == 2


def test_the_picture_is_not_written_over_a_file_of_the_person(book: tuple[Path, Path]) -> None:
    taken = book[0].with_name("script-001.svg")
    book[0].rename(taken)
    with pytest.raises(LettererError, match="written over the script"):
        look_at_room(taken, wanted=RoomWanted((1,), taken.with_name("script.svg")))
    assert taken.read_text("utf-8") == SCRIPT
