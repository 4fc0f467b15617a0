"""The contact sheet: what is on it, at which size, and its three kinds of file."""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree, html
from PIL import Image

from letterer.fit.oval import Oval
from letterer.geometry import Box, Point
from letterer.out.sheet import Sheet, clipped, label, sheet_html, sheet_png, sheet_svg
from letterer.page.choices import Asked
from letterer.trying import Trial, try_units, try_words

DTD = "/usr/share/xml/w3c-sgml-lib/schema/dtd/REC-SVG11-20110816/svg11.dtd"
SVG = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}href"

SCRIPT = """\
PAGE 1
PANEL 1
NELL: Nobody told me the bridge was gone until I stood on it.
CAPTION: Low Harbour & <elsewhere>, three days before.
SFX: Krrang!
"""

LAYOUT = """\
{"letterer": 1, "unit": "mm", "language": "%s", "page": {"trim": [120, 120]}, "pages": [
 {"page": 1, %s "panels": [{"panel": 1, "box": [5, 5, 110, 100], "mouths": {"NELL": [40, 90]}}],
  "keep_clear": [{"name": "%s", "box": [35, 50, 20, 15]},
                 {"name": "the moon", "box": [90, 0, 40, 20]}],
  "placements": [{"unit": "1.1.1", "center": [40, 45]}, {"unit": "1.1.2", "corner": "top left"},
   {"unit": "1.1.3", "box": [60, 60, 45, 20]}]}]}
"""


@pytest.fixture
def sheet(tmp_path: Path) -> Callable[..., Sheet]:
    """A function: a sheet of some units over art of one colour."""

    def made(
        *units: str,
        zone: str = "a face",
        art: str | None = "#ffffff",
        language: str = "en",
        **asked: Any,
    ) -> Sheet:
        script, layout = tmp_path / "s.txt", tmp_path / "l.json"
        script.write_text(SCRIPT, "utf-8")
        held = ""
        if art:
            picture = Image.new("RGB", (240, 240), art)
            picture.paste("#101010", (80, 80, 120, 120))
            picture.save(tmp_path / "art.png")
            held = '"art": {"file": "art.png", "covers": "trim"},'
        layout.write_text(LAYOUT % (language, held, zone), "utf-8")
        trial = Trial(units or ("1.1.1",), Asked(**asked))
        return try_units(script, layout, tmp_path / "t.svg", trial)

    return made


Made = Callable[..., Sheet]


@pytest.fixture(scope="session")
def dtd(reference_file: Callable[[str], Path]) -> etree.DTD:
    """The DTD of SVG 1.1 (W3C, REC-SVG11-20110816), read without the network."""
    return etree.DTD(str(reference_file(DTD)))


# --- What is said -----------------------------------------------------------------------------


def test_what_is_said_of_a_choice(sheet: Made) -> None:
    made = sheet(lines=(3, 4), sizes=(8.0,))
    (group,) = made.groups
    assert group.heading == ("1.1.1  NELL: Nobody told me the bridge was gone until I stood on it.")
    for choice, told in zip(made.choices, made.labels, strict=True):
        shape = choice.unit.shape
        assert isinstance(shape, Oval)
        wide, high = shape.box.width / 72 * 25.4, shape.box.height / 72 * 25.4
        # An oval's area is at least that of an ellipse and less than that of its box.
        low, high_share = (part * wide * high / 11000 for part in (0.78, 1.0))
        assert told[0] == f"speech, 8 pt, {len(choice.unit.breaks)} lines"
        found = re.fullmatch(r"([\d.]+) × ([\d.]+) mm, (\d+)% of the panel", told[1])
        assert found is not None
        assert float(found[1]) == pytest.approx(wide, abs=0.051)
        assert float(found[2]) == pytest.approx(high, abs=0.051)
        assert low - 0.006 < int(found[3]) / 100 < high_share + 0.006
        assert told[2:] == ("but covers a face",)


def test_several_bends_read_as_one_sentence(sheet: Made) -> None:
    made = sheet(sizes=(5.0,), lines=(1,))
    told = label(made.groups[0].job, made.choices[0])
    assert told[2:] == (
        "but smaller than 6 pt",
        "and covers a face",
    )


def test_units_have_headings_and_a_bare_sentence_has_none(sheet: Made, tmp_path: Path) -> None:
    made = sheet("1.1")
    assert [group.heading for group in made.groups] == [
        "1.1.1  NELL: Nobody told me the bridge was gone until I stood on it.",
        "1.1.2  Low Harbour & <elsewhere>, three days before.",
        "1.1.3  Krrang!",
    ]
    bare = try_words("Well,   I never.", tmp_path / "w.svg", Trial())
    assert bare.title == "Well, I never."
    assert [(group.heading, group.note) for group in bare.groups] == [("", "")]
    long = try_words("word " * 40, tmp_path / "w.svg", Trial())
    assert long.groups[0].heading == ""


# --- Where it stands --------------------------------------------------------------------------


def test_choices_stand_in_their_frames_at_true_size_and_apart(sheet: Made) -> None:
    made = sheet("1.1")
    whole = made.page.format.trim
    frames = [unit.box for unit in made.page.units if unit.kind == "frame"]
    drawn = [unit for unit in made.page.units if unit.kind not in ("frame", "label", "keep clear")]
    assert len(frames) == len(drawn) == len(made.choices) == len(made.pictures)
    for frame, unit, choice, picture in zip(
        frames, drawn, made.choices, made.pictures, strict=True
    ):
        assert whole.contains(frame) and frame.contains(unit.box, slack=0.01)
        assert unit.box.width == pytest.approx(choice.unit.box.width)
        assert (unit.size, unit.breaks) == (choice.unit.size, choice.unit.breaks)
        _, region, place = picture
        assert place == pytest.approx(frame)
        # What lies under the balloon on the sheet is what lies under it on the page.
        assert unit.box.left - place.left == pytest.approx(choice.unit.box.left - region.left)
        assert unit.box.top - place.top == pytest.approx(choice.unit.box.top - region.top)
    for index, one in enumerate(frames):
        assert not any(one.meets(other) for other in frames[index + 1 :])
    for said in (unit for unit in made.page.units if unit.kind == "label"):
        assert whole.contains(said.box)
        assert not any(frame.grown(-0.1).meets(said.box) for frame in frames), said.words


def test_labels_stay_under_their_own_choice(sheet: Made) -> None:
    made = sheet(zone="the face of the old harbour master, seen from behind in the rain at night")
    frames = [unit.box for unit in made.page.units if unit.kind == "frame"]
    cell = max(frames[0].width, 150.0)
    lefts = sorted({round(frame.left, 3) for frame in frames})
    said = [unit for unit in made.page.units if unit.kind == "label" and unit.size == 7.5][:-1]
    assert any("harbour master" in unit.words for unit in said)
    for unit in said:
        left = max(at for at in lefts if at <= unit.box.left + 1)
        assert unit.box.right <= left + cell + 8


def test_zones_are_shown_as_far_as_they_lie_in_the_piece(sheet: Made) -> None:
    made = sheet()
    frames = [unit.box for unit in made.page.units if unit.kind == "frame"]
    zones = [unit for unit in made.page.units if unit.kind == "keep clear"]
    assert zones and all(any(f.contains(zone.box, slack=0.01) for f in frames) for zone in zones)
    # A zone that is covered is shown whole.
    faces = [zone.box for zone in zones if zone.words == "a face"]
    assert len(faces) == 2 * len(frames)
    for face in faces:
        assert (face.width, face.height) == pytest.approx((20 / 25.4 * 72, 15 / 25.4 * 72))
    assert [unit.words for unit in made.page.units][-1] == "Dashed frames: zones to keep clear."


def test_a_zone_whose_name_no_face_can_write(sheet: Made) -> None:
    made = sheet(zone="the \U0001f600 moon")
    told = [line for lines in made.labels for line in lines]
    assert any("\U0001f600" in line for line in told)


coordinates = st.integers(-20, 20).map(float)


@given(
    st.lists(st.builds(Point, coordinates, coordinates), min_size=3, max_size=3, unique=True),
    st.builds(
        lambda x, y, w, h: Box(x, y, x + w, y + h),
        coordinates,
        coordinates,
        st.integers(1, 20),
        st.integers(1, 20),
    ),
)
def test_clipping_against_shapely(triangle: list[Point], box: Box) -> None:
    """Against the independent geometry of shapely (GEOS)."""
    want = shapely.Polygon(triangle).intersection(shapely.box(*box))
    found = clipped(triangle, box)
    area = shapely.Polygon(found).area if len(found) > 2 else 0.0
    assert area == pytest.approx(want.area, abs=1e-6)
    assert all(box.grown(1e-9).holds(point) for point in found)


# --- The files --------------------------------------------------------------------------------


@pytest.mark.parametrize("art", [None, "#ffffff", "#3060c0"])
def test_the_svg_is_valid_and_holds_each_piece_once(
    art: str | None, sheet: Made, dtd: etree.DTD
) -> None:
    made = sheet("1.1", art=art)
    root = etree.fromstring(sheet_svg(made).encode())
    assert dtd.validate(root), dtd.error_log
    assert root.findtext(f"{SVG}title") == "Choices for 1.1"
    images, uses = root.findall(f"{SVG}image"), root.findall(f"{SVG}use")
    assert len(images) == (len(made.groups) if art else 0)
    assert len(images) + len(uses) == (len(made.choices) if art else 0)
    for image in images:
        kind, data = str(image.attrib[XLINK]).split(",")
        assert kind == "data:image/png;base64"
        picture = Image.open(io.BytesIO(base64.b64decode(data)))
        assert picture.mode == ("RGB" if art == "#3060c0" else "L")


def test_a_piece_used_again_lies_in_its_own_frame(sheet: Made) -> None:
    made = sheet("1.1")
    root = etree.fromstring(sheet_svg(made).encode())
    places = [place for _, _, place in made.pictures]
    images = {image.attrib["id"]: image for image in root.findall(f"{SVG}image")}
    drawn = [element for element in root if element.tag in (f"{SVG}image", f"{SVG}use")]
    for element, place in zip(drawn, places, strict=True):
        image = images.get(element.attrib.get(XLINK, "")[1:], element)
        moved = (0.0, 0.0)
        if element is not image:
            moved = float(element.attrib["x"]), float(element.attrib["y"])
        left, top = (float(image.attrib[key]) + by for key, by in zip("xy", moved, strict=True))
        assert (left, top) == pytest.approx((place.left, place.top), abs=2e-3)


def test_the_png_shows_the_art_under_the_choice(sheet: Made) -> None:
    made = sheet(art="#3060c0")
    dpi = 100
    picture = Image.open(io.BytesIO(sheet_png(made, dpi)))
    whole = made.page.format.trim
    assert picture.size == (round(whole.width * dpi / 72), round(whole.height * dpi / 72))
    assert picture.getpixel((2, 2)) == (255, 255, 255)
    for _, _, place in made.pictures:
        corner = (int((place.left + 3) * dpi / 72), int((place.bottom - 3) * dpi / 72))
        assert picture.getpixel(corner) == (0x30, 0x60, 0xC0)


def test_the_page_for_a_browser(sheet: Made) -> None:
    made = sheet("1.1", language="fr")
    text = sheet_html(made, 'letterer try "a b" --keep 2 & more')
    assert text.startswith("<!DOCTYPE html>\n") and "<?xml" not in text and text.count("<!DOC") == 1
    root = html.fromstring(text)
    assert root.attrib["lang"] == "en"
    assert root.findtext(".//title") == root.findtext(".//h1") == "Choices for 1.1"
    assert root.findtext(".//code") == 'letterer try "a b" --keep 2 & more'
    (drawing,) = root.iterfind(".//svg")
    assert drawing.attrib["role"] == "img" and drawing.attrib["aria-label"]
    assert [head.text for head in root.iterfind(".//h2")] == [g.heading for g in made.groups]
    items = list(root.iterfind(".//li"))
    assert [int(item.attrib["value"]) for item in items] == [c.number for c in made.choices]
    for item, choice, told in zip(items, made.choices, made.labels, strict=True):
        assert (item.text or "").strip() == "; ".join(told)
        words = item.find("p")
        assert words is not None and words.attrib["lang"] == "fr"
        assert tuple(words.itertext()) == choice.unit.breaks
    # Nothing is fetched from anywhere.
    fetched = re.findall(r'(?:href|src)="([^"]*)"|url\(([^)]*)\)', text)
    assert all(one.startswith(("#art", "data:")) for pair in fetched for one in pair if one)


def test_without_a_command_none_is_told(sheet: Made) -> None:
    assert "<code>" not in sheet_html(sheet())
