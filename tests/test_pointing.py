"""The page for pointing: one file, inert words; used in a browser; and taken into the layout."""

from __future__ import annotations

import html
import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from letterer.api import read_layout
from letterer.errors import LettererError
from letterer.pointing import PointingWanted, make_pointing, take_points

SCRIPT = """PAGE 1

PANEL 1
ADA: Only two </script> lamps lit.
CAPTION: Night.

PANEL 2
BO (off): Two?
ADA: Count them.

PANEL 3
The last lamp.
"""
LAYOUT = """{
  "letterer": 1, "unit": "mm",   "page": {"trim": [150, 200], "bleed": 3, "live": 7},
  "pages": [
    {"page": 1,
     "panels": [{"panel": 1, "box": [10, 10, 130, 80]},
                {"panel": 2, "box": [10, 100, 130, 80], "mouths": {"ADA": [100, 150]}}],
     "keep_clear": [{"name": "face", "polygon": [[90, 130], [110, 130], [100, 160]]}],
     "placements": [{"unit": "1.1.2", "corner": "top left", "size": 8},
                    {"unit": "1.2.2", "box": [20, 110, 40, 20], "proposed": true}]}
  ]
}
"""
POINT = 25.4 / 72
ACTS = """{
const spot=(x,y)=>{
 const p=new DOMPoint(x/%(point)s,y/%(point)s).matrixTransform(sheet.getScreenCTM());
 return {clientX:p.x,clientY:p.y};};
const act=(type,x,y,on)=>(on||sheet).dispatchEvent(
 new PointerEvent(type,{bubbles:true,pointerId:1,button:0,...spot(x,y)}));
const press=(key,more)=>sheet.dispatchEvent(
 new KeyboardEvent('keydown',{key,bubbles:true,...more}));
const inList=text=>[...list.querySelectorAll('button')].find(b=>b.textContent.startsWith(text));
sheet.setPointerCapture=()=>{};
const heard=[say.textContent];
act('pointerdown',40,50);act('pointerup',40,50);
heard.push(say.textContent);
inList('1.1.1').click();
act('pointerdown',60,30);act('pointerup',60,30);
inList('+ Another').click();
act('pointerdown',20,40);act('pointermove',30,50);act('pointerup',35,60);
press('Escape');
inList('Panel 1').click();
act('pointerdown',12,11);act('pointerup',12,11);act('pointerdown',138,88);act('pointerup',138,88);
press('Enter');
inList('Panel 3').click();
for(const [x,y] of [[20,185],[130,182],[130,198],[20,199]]){
 act('pointerdown',x,y);act('pointerup',x,y);}
inList('Done').click();
const unit=sheet.querySelector('[data-key="unit||1.2.2"]');
act('pointerdown',40,120,unit);act('pointermove',60,130);act('pointerup',60,130);
$('undo').click();
act('pointerdown',40,120,unit);act('pointermove',50,125);act('pointerup',50,125);
inList('face').click();press('Escape');
const zone=[...sheet.querySelectorAll('.zone')][0].parentNode;
act('pointerdown',100,140,zone);act('pointermove',102,140);act('pointerup',102,140);
inList('Panel 2: ADA').click();press('ArrowRight');
press('ArrowDown',{shiftKey:true});press('Enter');
const out=document.createElement('pre');out.id='out';
out.textContent=JSON.stringify({told:heard,points:points(),words:page().units[0].words});
document.body.append(out);}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "script.txt").write_text(SCRIPT, "utf-8")
    (tmp_path / "layout.json").write_text(LAYOUT, "utf-8")
    return tmp_path


def drawn(folder: Path) -> str:
    wanted = PointingWanted(folder / "point.html")
    made = make_pointing(folder / "script.txt", folder / "layout.json", wanted)
    assert (made.mouths, made.places) == (1, 2)  # Ada's; Bo is off the panel
    return made.file.read_text("utf-8")


def data_of(text: str) -> Any:
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', text, re.S)
    assert found is not None
    return json.loads(found[1])


def test_it_is_one_file_with_all_it_needs(folder: Path) -> None:
    text = drawn(folder)
    assert not re.findall(r'(?:src|href)="(?!data:)', text) and "@import" not in text
    assert "http:" not in text.replace("http://www.w3.org/2000/svg", "") and "https:" not in text
    page = data_of(text)["pages"][0]
    assert page["units"][0]["words"] == "Only two </script> lamps lit."
    assert [one["wanted"] for one in page["panels"]] == [["ADA"], ["ADA"]]
    assert [one["at"] is None for one in page["units"]] == [True, False, True, False]
    assert all(one["svg"] for one in page["units"])


def in_browser(chromium: str, text: str, folder: Path) -> Any:
    """What the page says after it was used by pointer and by keys."""
    acts = ACTS % {"point": POINT}
    page = folder / "used.html"
    page.write_text(text.replace("</body>", f"<script>{acts}</script></body>"), "utf-8")
    command = [chromium, "--headless", "--no-sandbox", "--disable-gpu", "--dump-dom"]
    command += [f"--user-data-dir={folder / 'profile'}", "--virtual-time-budget=4000"]
    done = subprocess.run([*command, page.as_uri()], capture_output=True, text=True, check=True)
    found = re.search(r'<pre id="out">(.*?)</pre>', done.stdout, re.S)
    assert found is not None, done.stdout[-2000:]
    return json.loads(html.unescape(found[1]))


def test_what_was_shown_in_a_browser_is_in_the_layout(
    folder: Path, reference_tool: Callable[[str], str]
) -> None:
    """Chromium, by pointer and by keyboard; then the file of points is taken."""
    used = in_browser(reference_tool("chromium"), drawn(folder), folder)
    assert used["told"][0] == "Point at the mouth of ADA in panel 1."
    assert used["told"][1].startswith("Point where the middle of 1.1.1 should be.")
    (folder / "points.json").write_text(json.dumps(used["points"]), "utf-8")
    taken = take_points(folder / "points.json", folder / "layout.json")
    assert taken.kept is not None and taken.kept.read_text("utf-8") == LAYOUT
    made = json.loads((folder / "layout.json").read_text("utf-8"))["pages"][0]
    first, second, third = made["panels"]
    assert first["box"] == pytest.approx([12, 11, 126, 77], abs=0.3)
    assert third["panel"] == 3 and third["polygon"][1] == pytest.approx([130, 182], abs=0.3)
    assert first["mouths"]["ADA"] == pytest.approx([40, 50], abs=0.3)
    assert second["mouths"]["ADA"] == pytest.approx([75 + 2 * POINT, 100 + 18 * POINT], abs=0.3)
    corner, box, new = made["placements"]
    assert "speaker" not in corner and box["speaker"] == "ADA"
    assert corner == {"unit": "1.1.2", "corner": "top left", "size": 8}
    assert "proposed" not in box and box["box"] == pytest.approx([30, 115, 40, 20], abs=0.3)
    assert (new["words"], new["speaker"]) == ("Only two </script> lamps lit.", "ADA")
    assert new["unit"] == "1.1.1" and new["center"] == pytest.approx([60, 30], abs=0.3)
    face, added = made["keep_clear"]
    assert face["polygon"][2] == pytest.approx([102, 160], abs=0.3)
    assert added["box"] == pytest.approx([20, 40, 15, 20], abs=0.3)
    read_layout(folder / "layout.json")


def points(folder: Path, **page: object) -> dict[str, Any]:
    text = drawn(folder)
    empty: dict[str, Any] = {"moved": {}, "added": []}
    kept = {
        "page": 1,
        "panels": {},
        "mouths": {},
        "units": {},
        "said": {},
        "keep_clear": empty,
        "focus": empty,
        **page,
    }
    return {"letterer points": 1, "layout": data_of(text)["layout"], "pages": [kept]}


def test_nothing_shown_leaves_the_layout_alone(folder: Path) -> None:
    (folder / "points.json").write_text(json.dumps(points(folder)), "utf-8")
    taken = take_points(folder / "points.json", folder / "layout.json")
    assert taken.kept is None and (folder / "layout.json").read_text("utf-8") == LAYOUT


def test_points_of_an_older_layout_are_refused(folder: Path) -> None:
    (folder / "points.json").write_text(json.dumps(points(folder)), "utf-8")
    (folder / "layout.json").write_text(LAYOUT + "\n", "utf-8")
    with pytest.raises(LettererError, match="not the one that these points were shown for"):
        take_points(folder / "points.json", folder / "layout.json")
    assert (folder / "layout.json").read_text("utf-8") == LAYOUT + "\n"


@pytest.mark.parametrize(
    "page",
    [
        {"page": "1"},
        {"panels": {"1": [[1, 2]]}},
        {"panels": {"1": [[1, 2], [3]]}},
        {"mouths": {"one": {"ADA": [1, 2]}}},
        {"mouths": {"1": {"ADA": [1]}}},
        {"units": {"1.1.1": [1, float("nan")]}},
        {"units": {"1.1.1": ["a", "b"]}},
        {"keep_clear": {"moved": {}, "added": [{"name": 3, "box": [1, 2, 3, 4]}]}},
        {"focus": None},
    ],
)
def test_what_is_no_file_of_points_is_told(folder: Path, page: dict[str, object]) -> None:
    (folder / "points.json").write_text(json.dumps(points(folder, **page)), "utf-8")
    with pytest.raises(LettererError, match="no file of points"):
        take_points(folder / "points.json", folder / "layout.json")
    assert (folder / "layout.json").read_text("utf-8") == LAYOUT


@pytest.mark.parametrize("data", [b"", b"{}", b"[]", b"\xff\xfe", b"[" * 100_000])
def test_any_other_file_is_told(folder: Path, data: bytes) -> None:
    (folder / "points.json").write_bytes(data)
    with pytest.raises(LettererError, match="no file of points"):
        take_points(folder / "points.json", folder / "layout.json")


def test_an_edited_script_is_matched_first(folder: Path) -> None:
    # What is shown goes in by unit numbers, which an edit of the script may have given to others.
    layout = LAYOUT.replace('"size": 8', '"size": 8, "words": "Night."')
    layout = layout.replace('"proposed": true', '"words": "Count them."')
    (folder / "layout.json").write_text(layout, "utf-8")
    drawn_again = PointingWanted(folder / "point.html")
    make_pointing(folder / "script.txt", folder / "layout.json", drawn_again)
    script = SCRIPT.replace("PANEL 1\n", "PANEL 1\nADA: Listen.\n")
    (folder / "script.txt").write_text(script, "utf-8")
    with pytest.raises(LettererError, match=r"script has changed.*revise SCRIPT LAYOUT --write"):
        make_pointing(folder / "script.txt", folder / "layout.json", drawn_again)


def test_the_page_is_written_over_nothing(folder: Path) -> None:
    for file in ("script.txt", "layout.json"):
        with pytest.raises(LettererError):
            make_pointing(
                folder / "script.txt", folder / "layout.json", PointingWanted(folder / file)
            )
    assert (folder / "layout.json").read_text("utf-8") == LAYOUT
