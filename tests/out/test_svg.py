"""The SVG writer: its contract with other programs, its numbers, its bytes."""

from __future__ import annotations

import itertools
import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path as FilePath
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from letterer.geometry import Affine, Box, Path, Point, Segment, rectangle
from letterer.ink.halo import halo_path
from letterer.model.script import Run
from letterer.out.svg import number, path_data, svg_page
from letterer.page.lettered import LetteredPage, PlacedUnit
from letterer.text.faces import library
from letterer.text.letter_path import LetterPath
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import dress

SVG = "{http://www.w3.org/2000/svg}"
NUMBER = r"-?(?:\d+(?:\.\d{0,2}[1-9])?|\.\d{0,2}[1-9])"
STEP = re.compile(rf"([Mmhvlqcz])((?:[ ]?{NUMBER})*)")
LONGEST = {"M": 2, "m": 2, "h": 1, "v": 1, "l": 2, "q": 4, "c": 6, "z": 0}

coordinate = st.floats(-1e5, 1e5)
point = st.builds(Point, coordinate, coordinate)


def contour(start: Point, steps: Sequence[tuple[Point, ...]]) -> tuple[Segment, ...]:
    """A closed contour; a step of one point is a line, of two a quadratic, of three a cubic."""
    drawn = (Segment("LQC"[len(step) - 1], step) for step in steps)
    return (Segment("M", (start,)), *drawn, Segment("Z"))


step = st.integers(1, 3).flatmap(lambda count: st.tuples(*[point] * count))
paths = st.lists(st.builds(contour, point, st.lists(step, max_size=6)), min_size=1, max_size=4).map(
    lambda contours: Path(tuple(itertools.chain(*contours)))
)


def read_path(data: str) -> Iterator[tuple[str, list[tuple[float, float]]]]:
    """The steps of path data as absolute points. Fails on anything not in our small grammar."""
    assert "".join(found.group(0) for found in STEP.finditer(data)) == data
    here = start = (0.0, 0.0)
    for found in STEP.finditer(data):
        verb, values = found[1], [float(value) for value in re.findall(NUMBER, found[2])]
        assert len(values) == LONGEST[verb], found[0]
        if verb == "h":
            values = [values[0], 0.0]
        elif verb == "v":
            values = [0.0, values[0]]
        points = list(zip(values[::2], values[1::2], strict=True))
        if verb != "M":
            points = [(here[0] + x, here[1] + y) for x, y in points]
        here = points[-1] if points else start
        start = here if verb in "Mm" else start
        yield {"h": "L", "v": "L"}.get(verb, verb.upper()), points


def groups(page: LetteredPage) -> list[ElementTree.Element]:
    """The groups of a page's units, as read back from its SVG."""
    return ElementTree.fromstring(svg_page(page)).findall(f"{SVG}g")


def test_the_page_has_its_real_size_and_a_view_in_points(lettered: LetteredPage) -> None:
    root = ElementTree.fromstring(svg_page(lettered))
    assert root.tag == f"{SVG}svg"
    assert (root.get("width"), root.get("height")) == ("318pt", "318pt")
    assert root.get("viewBox") == "-9 -9 318 318"
    assert root.get("version") == "1.1"
    assert root.get("{http://www.w3.org/XML/1998/namespace}lang") == "en"
    assert root.findtext(f"{SVG}title") == "Page 1"


def test_units_stand_in_reading_order_with_id_and_class(lettered: LetteredPage) -> None:
    assert [(group.get("id"), group.get("class")) for group in groups(lettered)] == [
        ("u1.1.1", "unit speech"),
        ("u1.1.2", "unit whisper"),
        ("u1.1.3", "unit caption place"),
        ("u1.1.4", "unit speech"),
        ("u1.1.5", "unit effect"),
        ("u1.1.6", "unit open"),
    ]


def test_each_unit_holds_title_outline_and_words(lettered: LetteredPage) -> None:
    for group, unit in zip(groups(lettered), lettered.units, strict=True):
        parts = [part.tag.removeprefix(SVG) + (part.get("class") or "") for part in group]
        middle = "pathoutline" if unit.outline else "pathhalo"
        ground = ["pathground"] * len(unit.under)
        assert parts == ["title", *ground, middle, "gwords"]
        assert group.findtext(f"{SVG}title") == unit.words
        words = group[-1]
        assert {(line.tag, line.get("class")) for line in words} == {(f"{SVG}path", "line")}
        assert len(words) == len(unit.breaks) == len(unit.lines)


def test_titles_hold_the_words_as_written(lettered: LetteredPage) -> None:
    titles = [group.findtext(f"{SVG}title") for group in groups(lettered)]
    assert titles == [
        "The lamp is out.",
        "Sssh.",
        "Low Harbour.",
        "We're here!",
        "Krrang!",
        "Wait for me, Tom & Co. <now>!",
    ]


def test_balloon_and_tails_are_one_closed_contour(lettered: LetteredPage) -> None:
    assert [len(unit.tails) for unit in lettered.units] == [1, 1, 0, 2, 0, 0]
    for group, unit in zip(groups(lettered), lettered.units, strict=True):
        outline = group.find(f"{SVG}path[@class='outline']")
        assert (outline is None) == (unit.outline is None)
        if outline is not None:
            verbs = [verb for verb, _ in read_path(outline.get("d", ""))]
            assert (verbs.count("M"), verbs.count("Z")) == (1, 1)
            assert (verbs[0], verbs[-1]) == ("M", "Z")
            for tail in unit.tails:
                reached = [points[-1] for _, points in read_path(outline.get("d", "")) if points]
                assert any(Point(*at).distance(tail.tip) < 0.001 for at in reached)


def test_a_whisper_is_dashed_and_nothing_else_is(lettered: LetteredPage) -> None:
    dashed = [
        group.get("class")
        for group in groups(lettered)
        if any(part.get("stroke-dasharray") for part in group)
    ]
    assert dashed == ["unit whisper"]


def test_every_number_is_written_in_one_way(lettered: LetteredPage) -> None:
    root = ElementTree.fromstring(svg_page(lettered))
    seen = 0
    for element in root.iter():
        for data in filter(None, [element.get("d")]):
            assert list(read_path(data))
        for name in ("stroke-width", "stroke-dasharray", "viewBox"):
            for value in re.split("[ ,]", element.get(name) or ""):
                assert not value or re.fullmatch(NUMBER, value), (name, value)
                seen += bool(value)
    assert seen > 8


@given(paths)
def test_a_path_reads_back_to_a_thousandth_of_a_point(path: Path) -> None:
    drawn = [(verb, thousandths(points)) for verb, points in read_path(path_data(path))]
    wanted = []
    here = start = (0, 0)
    for verb, points in path.segments:
        rounded = thousandths(points)
        # Only a step that rounds to nothing may be missing.
        if verb in "MZ" or any(at != here for at in rounded):
            wanted.append((verb, rounded))
        start = rounded[0] if verb == "M" else start
        here = rounded[-1] if rounded else start
    assert drawn == wanted


def thousandths(points: Iterable[tuple[float, float]]) -> list[tuple[int, int]]:
    """Points in whole thousandths."""
    return [(round(x * 1000), round(y * 1000)) for x, y in points]


def test_rounding_errors_never_add_up() -> None:
    third = 1 / 3
    steps = [(Point(third * count, third * count * count % 7),) for count in range(1, 2000)]
    *_, last, _ = read_path(path_data(Path(contour(Point(0.0, 0.0), steps))))
    assert thousandths(last[1]) == thousandths(steps[-1])


LETTERS = "HANDS OFF, JÖRG! “I’LL SAY” ♪ ÇA VA? 早く Ждать"


def letters(words: str, size: float, start: Point) -> LetterPath:
    """Words as a line of letters."""
    text = dress([Run(words, as_typed=True)])
    return (
        Shaper(text, Lettering(("Letterer Hand",)), library()).line(0, len(words)).path(size, start)
    )


@settings(max_examples=40)
@given(
    st.text(LETTERS, max_size=12),
    st.floats(2.0, 60.0),
    st.builds(Point, st.floats(-2e3, 2e3), st.floats(-2e3, 2e3)),
)
def test_letters_read_back_to_a_thousandth_of_a_point(
    words: str, size: float, start: Point
) -> None:
    line = letters(words, size, start)
    for path in (line, halo_path([line])):
        drawn = list(read_path(path_data(path)))
        point_by_point = list(read_path(path_data(Path(path.segments))))
        assert [verb for verb, _ in drawn] == [verb for verb, _ in point_by_point]
        # The place of a letter is rounded, and its outline: half a thousandth each, at the most.
        apart = [
            max(abs(at[0] - there[0]), abs(at[1] - there[1]))
            for (_, places), (_, others) in zip(drawn, point_by_point, strict=True)
            for at, there in zip(places, others, strict=True)
        ]
        assert max(apart, default=0.0) <= 0.001 + 1e-6


def test_letters_far_along_a_line_stand_as_exactly_as_the_first() -> None:
    line = letters("WOULD YOU MIND? " * 40, 7.3, Point(1 / 3, 2 / 3))
    begun = [points[0] for verb, points in read_path(path_data(line)) if verb == "M"]
    meant = [points[0] for verb, points in line.segments if verb == "M"]
    assert len(begun) == len(meant) > 400
    for drawn, point in zip(begun, meant, strict=True):
        assert drawn == pytest.approx(point, abs=0.001 + 1e-9)


def test_the_same_letter_is_written_alike_wherever_it_stands() -> None:
    data = path_data(letters("NO NO", 8.1, Point(0.123456, 9.87654)))
    first, second, *again = [part.split("z")[0] for part in data.split("M")[1:]]
    tails = [re.sub(rf"^{NUMBER}[ ]?{NUMBER}", "", part) for part in (first, second, *again)]
    assert tails[:2] == tails[2:]


def test_letters_through_a_map_that_bends_them_are_written_point_by_point() -> None:
    line = letters("AH", 9.0, Point(3.0, 4.0))
    for turned in (Affine(a=-1.0), Affine(d=0.5), Affine(0.0, 1.0, -1.0, 0.0)):
        image = line.mapped(turned)
        assert not isinstance(image, LetterPath)
        assert path_data(image) == path_data(Path(line.segments).mapped(turned))


def test_steps_that_round_to_nothing_are_left_out() -> None:
    dots = [(Point(1.0, 1.0001),), (Point(1.0, 1.0), Point(1.0002, 1.0)), (Point(2.0, 1.0),)]
    assert path_data(Path(contour(Point(1.0, 1.0), dots))) == "M1 1h1z"
    assert path_data(Path(contour(Point(0.0, 0.0), []))) == "M0 0z"
    assert path_data(Path()) == ""


@given(st.floats(-1e7, 1e7))
def test_a_number_is_short_and_right(value: float) -> None:
    told = number(value)
    assert re.fullmatch(NUMBER, told)
    assert abs(float(told) - value) <= 0.0005 + 1e-9


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (0.0, "0"),
        (-0.0, "0"),
        (0.0004, "0"),
        (-0.0004, "0"),
        (0.5, ".5"),
        (-0.25, "-.25"),
        (10.0, "10"),
        (100.0, "100"),
        (1.1, "1.1"),
        (0.001, ".001"),
        (1e7, "10000000"),
    ],
)
def test_numbers(value: float, told: str) -> None:
    assert number(value) == told


def test_marks_that_mean_something_in_xml_are_only_words(lettered: LetteredPage) -> None:
    for words in ('<&>"', "]]>", "<!--", "a'b", "&amp;", "\u00e9\U0001f600"):
        page = replace(lettered, units=(replace(lettered.units[0], words=words),))
        assert groups(page)[0].findtext(f"{SVG}title") == words


def test_characters_that_xml_forbids_become_spaces(lettered: LetteredPage) -> None:
    page = replace(lettered, units=(replace(lettered.units[0], words="a\0b\x1bc\ud800d\uffffe"),))
    assert groups(page)[0].findtext(f"{SVG}title") == "a b c d e"
    assert svg_page(page).encode()


def test_a_page_without_units_is_still_a_page(lettered: LetteredPage) -> None:
    assert groups(replace(lettered, units=())) == []


def test_units_without_paint_are_written_without_it(lettered: LetteredPage) -> None:
    box = Box(0, 0, 10, 10)
    bare = PlacedUnit(
        "1.1.1", "speech", "So", "A", 1, 7.5, (rectangle(box),), ("SO",), box, box, "#123456"
    )
    (group,) = groups(replace(lettered, units=(bare,)))
    assert [part.tag for part in group] == [f"{SVG}title", f"{SVG}g"]
    assert group[1].get("fill") == "#123456"
    (group,) = groups(replace(lettered, units=(replace(bare, outline=rectangle(box)),)))
    assert (group[1].get("fill"), group[1].get("stroke")) == ("none", None)


MAKE = """
import sys
from letterer.api import compose
from letterer.model.layout_reader import read_layout
from letterer.model.script_reader import read_script
from letterer.out.svg import svg_page
page = compose(read_script(sys.argv[1]), read_layout(sys.argv[2])).pages[0]
sys.stdout.buffer.write(svg_page(page).encode())
"""


def test_the_same_page_gives_the_same_bytes_everywhere(
    tmp_path: FilePath, repository: FilePath
) -> None:
    script, layout = tmp_path / "script.txt", tmp_path / "layout.json"
    script.write_text("PAGE 1\nPANEL 1\nNELL: Of course I'm sure. I counted them twice.\n")
    layout.write_text(
        '{"letterer": 1, "unit": "mm", "page": {"format": "a5"}, "pages": [{"page": 1,'
        '"panels": [{"panel": 1, "box": [7, 7, 134, 196], "mouths": {"Nell": [70, 90]}}],'
        '"placements": [{"unit": "1.1.1", "center": [40, 30]}]}]}'
    )
    made = []
    for roll, folder in (("0", repository), ("1", tmp_path), ("2", tmp_path.parent)):
        environment = {**os.environ, "PYTHONHASHSEED": roll, "PYTHONPATH": str(repository)}
        done = subprocess.run(
            [sys.executable, "-c", MAKE, str(script), str(layout)],
            cwd=folder,
            env=environment,
            capture_output=True,
            check=True,
        )
        made.append(done.stdout)
    assert made[0] == made[1] == made[2]
    assert b'class="outline"' in made[0]


@pytest.mark.parametrize(
    ("name", "number"),
    [("speech", 1), ("whisper", 2), ("caption", 3), ("two-tails", 4), ("effect", 5)],
)
def test_the_file_is_what_was_looked_at(
    name: str, number: int, lettered: LetteredPage, golden: Callable[[str, bytes], None]
) -> None:
    unit = lettered.unit(f"1.1.{number}")
    assert unit is not None
    page = replace(lettered, units=(unit,))
    golden(f"svg/{name}.svg", svg_page(page).encode())
