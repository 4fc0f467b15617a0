"""From a layout file to a plan: what it says, in points, and every fault in plain words."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from letterer.errors import Fault, LettererError
from letterer.geometry import Box, Point, rectangle
from letterer.model.layout_reader import parse_layout, read_layout
from letterer.model.plan import Art, Center, Corner, Edge, Fill, Focus, Placement, Reading, Zone
from letterer.model.style import Style, named_style

GOOD = """{
  "letterer": 1,
  "unit": "in",
  "page": {"format": "american comic"},
  "reading": "right to left",
  "language": "pt-BR",
  "style": "plain hand",
  "note": "first chapter",
  "pages": [
    {"page": 1, "art": {"file": "art/page-1.png", "covers": "bleed"},
     "panels": [
       {"panel": 1, "box": [0.25, 0.25, 6, 3], "mouths": {"NELL": [2.5, 1.50], "note": "roughly"}},
       {"panel": 2, "polygon": [[0.25, 3.5], [6, 3.5], [5, 6], [0.25, 6]]}
     ],
     "keep_clear": [{"name": "Nell's face", "box": [2, 1, 1, 1e0]}],
     "focus": [{"name": "the lamp", "at": [3, 2]}],
     "placements": [
       {"unit": "1.1.1", "center": [1.5, 0.75], "size": 7, "kind": "whisper", "tails": ["Nell"]},
       {"unit": "1.1.2", "corner": "top left", "gap": "flush"},
       {"unit": "1.2.1", "edge": "top", "along": 0.25, "gap": 0.25, "tails": []},
       {"unit": "1.2.2", "box": [1, 4, 2, 1], "lines": 3, "aspect": 1.6, "words": "WAIT"}
     ]}
  ]
}
"""


def with_piece(old: str, new: str) -> str:
    """The good layout with one piece of its text replaced."""
    assert GOOD.count(old) == 1, old
    return GOOD.replace(old, new)


def told(text: str, folder: Path | None = None) -> list[str]:
    """The lines told of a layout that has faults."""
    with pytest.raises(LettererError) as caught:
        parse_layout(text, "layout.json", folder)
    return str(caught.value).splitlines()


def test_everything_comes_back_in_points(tmp_path: Path) -> None:
    (tmp_path / "layout.json").write_text(GOOD, "utf-8")
    layout = read_layout(tmp_path / "layout.json")
    assert layout.file == str(tmp_path / "layout.json")
    assert layout.format.trim == Box(0, 0, 477, 738)
    assert (layout.reading, layout.language) == (Reading.RIGHT_TO_LEFT, "pt-BR")
    assert layout.style == named_style("plain hand")
    assert layout.remarks == ()
    page = layout.page(1)
    assert page is not None
    assert page.art == Art(tmp_path / "art" / "page-1.png", layout.format.bleed)
    first, second = page.panels
    assert first.box == Box(18, 18, 450, 234)
    assert first.shape == rectangle(first.box)
    assert first.mouths == {"NELL": Point(180, 108)}
    assert first.mouth("nell") == Point(180, 108)
    assert second.box == Box(18, 252, 432, 432)
    assert abs(second.shape.area()) == pytest.approx((414 + 342) / 2 * 180)
    face = Box(144, 72, 216, 144)
    assert page.keep_clear == (Zone("Nell's face", rectangle(face), face),)
    assert page.focus == (Focus("the lamp", Point(216, 144)),)
    assert page.placements == (
        Placement("1.1.1", Center(Point(108, 54)), size=7, kind="whisper", tails=("NELL",)),
        Placement("1.1.2", Corner("top left", 0)),
        Placement("1.2.1", Edge("top", 0.25, 18), tails=()),
        Placement("1.2.2", Fill(Box(72, 288, 216, 360)), lines=3, aspect=1.6, words="WAIT"),
    )
    assert page.placement("1.2.1") is page.placements[2]
    assert (layout.page(2), page.panel(3), page.placement("1.9.9")) == (None, None, None)


def test_a_plan_is_frozen_and_can_be_sent_to_other_processes() -> None:
    layout = parse_layout(GOOD)
    assert pickle.loads(pickle.dumps(layout)) == layout
    assert hash(layout.pages[0]) == hash(parse_layout(GOOD).pages[0])
    with pytest.raises(AttributeError):
        layout.language = "en"  # type: ignore[misc]


def test_what_a_layout_leaves_out_is_usual() -> None:
    layout = parse_layout('{"letterer": 1, "unit": "mm", "page": {"format": "a4"}}')
    assert (layout.reading, layout.language, layout.pages) == (Reading.LEFT_TO_RIGHT, "en", ())
    assert layout.style == named_style("plain hand")
    placed = parse_layout(GOOD.replace('"along": 0.25, "gap": 0.25, ', "")).pages[0].placements[2]
    assert placed.spot == Edge("top", 0.5, None)


def test_both_spellings_of_center_are_the_same() -> None:
    assert parse_layout(with_piece('"center"', '"centre"')) == parse_layout(GOOD)


def test_a_layout_may_change_parts_of_its_style(tmp_path: Path) -> None:
    style = parse_layout(with_piece('"style": "plain hand"', '"style": {"size": 8}')).style
    assert style == named_style("plain hand").with_changes({"size": 8})
    (tmp_path / "own.json").write_text('{"name": "own", "hand": 0, "smallest_size": 4}')
    text = with_piece('"style": "plain hand"', '"style": {"name": "own.json", "size": 5}')
    style = parse_layout(text, folder=tmp_path).style
    assert style == Style(name="own", hand=0, smallest_size=4, size=5)
    text = with_piece('"style": "plain hand"', '"style": "own.json"')
    assert parse_layout(text, folder=tmp_path).style.hand == 0


def test_faults_of_a_style_file_name_that_file(tmp_path: Path) -> None:
    (tmp_path / "own.json").write_text('{"name": "own",\n"hand": "none"}')
    assert told(with_piece('"style": "plain hand"', '"style": "own.json"'), tmp_path) == [
        "own.json, line 2: 'hand' must be a number, and it is \"none\"."
    ]


def test_art_may_lie_in_a_box_and_its_path_take_either_slash(tmp_path: Path) -> None:
    text = with_piece(
        '"file": "art/page-1.png", "covers": "bleed"',
        '"file": "..\\\\art\\\\a.png", "box": [0, 0, 1, 2]',
    )
    art = parse_layout(text, folder=tmp_path / "book").pages[0].art
    assert art == Art(tmp_path / "art" / "a.png", Box(0, 0, 72, 144))


def test_what_stands_off_the_page_is_remarked_and_harmless() -> None:
    layout = parse_layout(with_piece('"at": [3, 2]', '"at": [300, 2]'), "layout.json")
    assert layout.remarks == (
        Fault(
            "the focus 'the lamp' stands off the page",
            "Check the numbers and the unit",
            file="layout.json",
            line=16,
            page=1,
        ),
    )
    layout = parse_layout(with_piece("[1, 4, 2, 1]", "[100, 4, 2, 1]"))
    assert str(layout.remarks[0]).startswith("line 21, unit 1.2.2: this unit stands off the page.")


def test_a_file_that_is_missing(tmp_path: Path) -> None:
    with pytest.raises(LettererError, match="there is no such file"):
        read_layout(tmp_path / "layout.json")


SIZE = '"size": 7'
BOX = "[0.25, 0.25, 6, 3]"
RING = "[[0.25, 3.5], [6, 3.5], [5, 6], [0.25, 6]]"
MOUTH = "[2.5, 1.50]"
CORNER = '"corner": "top left", "gap": "flush"'
FORMAT = '"format": "american comic"'
STYLE = '"style": "plain hand"'
A, B, C = "line 18, unit 1.1.1: ", "line 19, unit 1.1.2: ", "line 20, unit 1.2.1: "


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        # Keys
        (SIZE, '"sizze": 7', A + "there is no key 'sizze' in a placement. Did you mean 'size'?"),
        (
            SIZE,
            '"size": 7, "lines": 2, "lines": 3',
            A + "the key 'lines' comes twice in one pair of brackets, on line 18."
            " Only one would be kept: take the other away.",
        ),
        (
            '"panel": 2, ',
            "",
            "line 13, page 1: the key 'panel' is missing in a panel. Add its number, \"panel\": 1.",
        ),
        (
            '"unit": "in",',
            "",
            "line 1: the key 'unit' is missing in the file."
            ' Add the unit of all lengths, one of mm, in, pt, px: "unit": "mm".',
        ),
        # Numbers
        (
            SIZE,
            '"size": "7"',
            A + "'size' must be a number, and it is \"7\". Take the quotes away.",
        ),
        (SIZE, '"size": true', A + "'size' must be a number, and it is true."),
        (SIZE, '"size": -3', A + "'size' must be at least 1, and it is -3."),
        (SIZE, '"size": NaN', A + "'size' is NaN, not a number. Write a number."),
        (
            SIZE,
            '"size": 1e400',
            A + "'size' is 1e400, larger than a number can be. Write a smaller number.",
        ),
        (
            SIZE,
            '"size": null',
            A + "'size' is null, which says nothing. Give a value, or leave it out.",
        ),
        (
            '"lines": 3',
            '"lines": 3.5',
            "line 21, unit 1.2.2: 'lines' must be a whole number, and it is 3.5.",
        ),
        # Boxes, points and outlines
        (
            BOX,
            "[0.25, 0.25, 6]",
            "line 12, page 1: 'box' of panel 1 needs 4 numbers, [left, top, width, height],"
            " and it has 3.",
        ),
        (
            BOX,
            "[0.25, 0.25, 0, 3]",
            "line 12, page 1: the width in 'box' of panel 1 must be more than 0, and it is 0.",
        ),
        (
            MOUTH,
            '"left"',
            "line 12, page 1: the mouth of NELL in panel 1 must be 2 numbers in square brackets,"
            ' [x, y], and it is "left".',
        ),
        (
            RING,
            "[[0, 0], [1, 1]]",
            "line 13, page 1: 'polygon' of panel 2 needs at least 3 points, and it has 2.",
        ),
        (
            RING,
            "[[0, 0], [1, 1], [1, 0], [0, 1]]",
            "line 13, page 1: 'polygon' of panel 2 crosses or touches itself"
            " between its lines 1 and 3.",
        ),
        (
            RING,
            "[[0, 0], [1, 1], [2, 2]]",
            "line 13, page 1: 'polygon' of panel 2 covers no area: its points lie in one line.",
        ),
        (
            '"box": [2, 1, 1, 1e0]',
            '"note": "all of it"',
            "line 15, page 1: the zone 'Nell's face' has no outline."
            ' Add "box": [left, top, width, height],'
            ' or "polygon": [[x, y], [x, y], [x, y]].',
        ),
        # Where a unit stands
        (
            CORNER,
            '"note": "soon"',
            B + "this placement does not say where the unit stands."
            ' Add "center", "box", "corner" or "edge".',
        ),
        (
            '"corner": "top left"',
            '"corner": "top left", "box": [1, 1, 1, 1]',
            B + "'box' and 'corner' stand together. Keep one of them.",
        ),
        (
            '"corner": "top left"',
            '"corner": "top lft"',
            B + "'corner' cannot be \"top lft\". Did you mean 'top left'?",
        ),
        (
            '"corner": "top left"',
            '"center": [1, 1]',
            B + "'gap' goes with 'corner' or 'edge' only. Leave it out.",
        ),
        ('"gap": 0.25', '"gap": -1', C + "'gap' must be at least 0, and it is -1."),
        ('"along": 0.25', '"along": 25', C + "'along' must be at most 1, and it is 25."),
        ('"whisper"', '"wisper"', A + "'kind' cannot be \"wisper\". Did you mean 'whisper'?"),
        # Units, panels, pages
        (
            '"1.1.2"',
            '"1.1.1"',
            "line 19, unit 1.1.1: this unit is placed twice on its page; it came before on line 18."
            " Keep one of the two.",
        ),
        (
            '"1.1.2"',
            '"1.2"',
            "line 19, unit 1.2: 'unit' must be page.panel.number such as \"1.3.2\","
            ' and it is "1.2".',
        ),
        (
            '"1.1.2"',
            '"3.1.2"',
            "line 19, unit 3.1.2: this unit belongs to page 3, and it stands on page 1."
            " Move it to page 3, or correct its number.",
        ),
        (
            '"1.1.2"',
            '"1.4.1"',
            "line 19, unit 1.4.1: 'corner' has no panel to stand in:"
            " panel 4 is not in the plan of this page."
            ' Add panel 4 to \'panels\', or use "center" or "box".',
        ),
        (
            '"page": 1',
            '"page": 2',
            "line 10, page 2: all units on page 2 belong to page 1 by their numbers."
            " Correct the page's number, or those of the units.",
        ),
        # Tails
        (
            '["Nell"]',
            '["Nel"]',
            A + "a tail goes to 'Nel', who has no mouth in panel 1. Did you mean 'NELL'?",
        ),
        (
            '["Nell"]',
            '["BOB"]',
            A + "a tail goes to 'BOB', who has no mouth in panel 1."
            ' Add it to "mouths", or give a point, [x, y].',
        ),
        (
            '["Nell"]',
            "[3]",
            A + "tail 1 of 'tails' must be the name of a speaker, a point, [x, y],"
            ' or {"to": ..., and more}, and it is 3.',
        ),
        # The page and the book
        ('"in"', '"inch"', "line 3: 'unit' cannot be \"inch\". Did you mean 'in'?"),
        (
            '"in"',
            '"px"',
            "line 3: the unit px says nothing about size on paper without 'dpi'."
            ' Add "dpi" beside it, for example "dpi": 300.',
        ),
        (
            FORMAT,
            '"format": "amercan comic"',
            "line 4: 'format' of 'page' cannot be \"amercan comic\"."
            " Did you mean 'american comic'?",
        ),
        (
            FORMAT,
            "",
            "line 4: 'page' gives no measures."
            ' Add a format, "format": "a4", or the size after cutting, "trim": [width, height].',
        ),
        (
            FORMAT,
            '"format": "a4", "height": 3',
            "line 4: 'height' of 'page' goes with the format 'vertical scroll' only."
            ' Leave it out, or give the whole size as "trim": [width, height].',
        ),
        (
            FORMAT,
            '"trim": [6, 9], "live": 3',
            "line 4: the live area has no room left: 'live' takes away more than the page has."
            " Give smaller numbers: they say how far inside the trim words have to stay.",
        ),
        (
            FORMAT,
            '"trim": [6, 0.1]',
            "line 4: this page is less than a quarter of an inch wide or high."
            " Check 'unit' and the numbers.",
        ),
        (
            '"right to left"',
            '"rigth to left"',
            "line 5: 'reading' cannot be \"rigth to left\". Did you mean 'right to left'?",
        ),
        (
            '"pt-BR"',
            '"brazilian"',
            'line 6: \'language\' must be a language tag such as "en", "fr" or "pt-BR",'
            ' and it is "brazilian".',
        ),
        (
            STYLE,
            '"style": "plane hand"',
            "line 7: there is no style called 'plane hand'. Did you mean 'plain hand'?"
            " For one of your own, give the path of its file, which ends in .json.",
        ),
        (
            STYLE,
            '"style": "mine.json"',
            "line 7: there is no style file 'mine.json'."
            " Its path starts at the folder of the layout file.",
        ),
        (
            STYLE,
            '"style": {"air": "much"}',
            "line 7: 'air' of 'style' must be a number, and it is \"much\".",
        ),
        # The version
        (
            '"letterer": 1',
            '"letterer": 2, "new": true',
            "line 2: this file was written for a newer letterer"
            " (version 2 of the format; this one reads version 1). Install a newer letterer.",
        ),
        (
            '"letterer": 1,',
            "",
            "line 1: the key 'letterer' is missing in the file."
            ' Add the version of the file format: "letterer": 1.',
        ),
        (
            '"letterer": 1',
            '"letterer": true',
            "line 2: 'letterer' must be the number 1, the version of the file format,"
            " and it is true.",
        ),
    ],
)
def test_each_fault_is_told_once_in_plain_words(old: str, new: str, line: str) -> None:
    assert told(with_piece(old, new)) == [f"layout.json, {line}"]


def test_repeated_pages_and_panels_are_told() -> None:
    page = '{"page": 4, "panels": [{"panel": 1, "box": [0, 0, 1, 1]}]}'
    head = '{"letterer": 1, "unit": "in", "page": {"format": "a4"}, "pages": [\n'
    assert told(f"{head}{page},\n{page}]}}") == [
        "layout.json, line 3, page 4: page 4 comes twice; it came before on line 2."
        " Give one of the two another number."
    ]
    lines = told(GOOD.replace('"panel": 2', '"panel": 1'))
    assert lines == [
        "layout.json, line 13, page 1: panel 1 comes twice on this page;"
        " it came before on line 12. Give one of the two another number."
    ]


def test_all_faults_are_told_together_in_the_order_of_the_file() -> None:
    text = GOOD
    for old, new in [
        ('"in"', '"inch"'),
        (STYLE, '"style": "x"'),
        (MOUTH, "[1]"),
        (SIZE, '"sizze": 7'),
        ('"along": 0.25', '"along": null'),
        ('"corner": "top left"', '"corner": "top left", "edge": "top"'),
        ('"box": [1, 4, 2, 1], ', ""),
    ]:
        text = text.replace(old, new)
    assert [line.partition(":")[0] for line in told(text)] == [
        "layout.json, line 3",
        "layout.json, line 7",
        "layout.json, line 12, page 1",
        "layout.json, line 18, unit 1.1.1",
        "layout.json, line 19, unit 1.1.2",
        "layout.json, line 20, unit 1.2.1",
        "layout.json, line 21, unit 1.2.2",
    ]


def test_a_file_that_is_no_layout_at_all() -> None:
    assert told("[1, 2]") == [
        "layout.json, line 1: a layout is keys and values in curly brackets, { },"
        " and this file holds none."
    ]
