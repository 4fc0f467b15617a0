"""Trying and keeping: what a sheet's numbers mean, and what keeping one does to the files."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from letterer import sheet_jobs, trying
from letterer.api import compose, letter, read_layout, read_script
from letterer.errors import LettererError
from letterer.out.sheet import Sheet
from letterer.page.choices import Asked
from letterer.page.lettered import PlacedUnit
from letterer.trying import Trial, keep_choice, record_path, try_units, try_words

SCRIPT = """\
PAGE 1
PANEL 1
NELL: Nobody told me the *bridge* was gone until I stood on it.
CAPTION: Low Harbour, three days before the storm came in.
SFX: Krrang!
TOM: Well, I am telling you now.
PANEL 2
NELL (whisper): I can hear it coming down the stairs.
PAGE 2
PANEL 1
TOM: Not on this page's plan at all, I think.
"""

LAYOUT = """\
{
  "letterer": 1, "unit": "%s",
  "page": {"trim": [%s, %s]},
  "style": {"text size": 8},
  "pages": [
    {"page": 1,
     "panels": [{"panel": 1, "box": [%s], "mouths": {"NELL": [%s]}}],
     "placements": [
       {"unit": "1.1.1",   "center": [%s], "note": "kept as it is"},
       {"unit": "1.1.2", "corner": "top left"  , "lines": 2},
       {"unit": "1.1.3", "box": [%s]}
     ]}
  ]
}
"""
STYLE = '  "style": {"text size": 8},\n'
MM = ("mm", 120, 120, "5, 5, 110, 100", "40, 90", "40, 45", "60, 60, 45, 20")
PT = ("pt", 340, 340, "14, 14, 312, 284", "113, 255", "113, 127", "170, 170, 128, 57")


BOTH_UNITS = pytest.mark.parametrize("story", [MM, PT], indirect=True, ids=["mm", "pt"])


@pytest.fixture
def story(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Path, Path, Path]:
    """A script, a layout, and where the sheet goes."""
    script, layout = tmp_path / "script.txt", tmp_path / "layout.json"
    script.write_text(SCRIPT, "utf-8")
    layout.write_text((LAYOUT % getattr(request, "param", MM)).replace(STYLE, ""), "utf-8")
    return script, layout, tmp_path / "out" / "try.html"


Story = tuple[Path, Path, Path]


@pytest.fixture(autouse=True)
def quickly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Letter pages as SVG alone; tests/cli/test_try.py has both files."""
    monkeypatch.setattr(
        trying, "letter", lambda one, two, how: letter(one, two, replace(how, formats=("svg",)))
    )


def tried(story: Story, *units: str, **asked: Any) -> Sheet:
    return try_units(story[0], story[1], story[2], Trial(units, Asked(**asked)))


def kept(story: Story, *numbers: int, units: tuple[str, ...] = (), **asked: Any) -> str:
    return keep_choice(*story, numbers, Trial(units, Asked(**asked))).told


def lettered(story: Story, id: str) -> PlacedUnit:
    """A unit as a later run of its own draws it."""
    page = int(id.split(".")[0])
    made = compose(read_script(story[0]), read_layout(story[1]), [page]).pages[0].unit(id)
    assert made is not None
    return made


def same(one: PlacedUnit, other: PlacedUnit) -> bool:
    """Equal in all that is drawn, to a thousandth of a point; `planned_size` is not drawn."""

    def near(a: object, b: object) -> bool:
        if isinstance(a, float) and isinstance(b, float):
            return abs(a - b) < 1e-3
        if isinstance(a, tuple) and isinstance(b, tuple):
            return len(a) == len(b) and all(map(near, a, b))
        return a == b

    def drawn(unit: PlacedUnit) -> tuple[object, ...]:
        paths = tuple(line.segments for line in unit.lines)
        outline = unit.outline.segments if unit.outline else ()
        flat = tuple(tuple(segment) for path in (*paths, outline) for segment in path)
        return (unit.kind, unit.size, unit.breaks, tuple(unit.box), unit.stroke, flat)

    return near(drawn(one), drawn(other))


# --- A kept choice is what the sheet showed ---------------------------------------------------


@BOTH_UNITS
@pytest.mark.parametrize("id", ["1.1.1", "1.1.2", "1.1.3", "1.1.4", "1.2.1"])
def test_every_choice_once_kept_is_lettered_as_the_sheet_showed_it(id: str, story: Story) -> None:
    before = story[1].read_bytes()
    sheet = tried(story, id)
    assert sheet.choices
    for choice in sheet.choices:
        # From the same sheet, one after another: each takes the place of the last.
        kept(story, choice.number)
        assert same(lettered(story, id), choice.unit), (choice.number, choice.keys)
    story[1].write_bytes(before)


@pytest.mark.parametrize(
    "keys",
    [
        {"aspect": 1.3},
        {"aspect": 2.1, "lines": 3},
        {"size": 9, "lines": 3},
        {"kind": "open"},
        {"breaks": ["Nobody told me the", "bridge was gone", "until I stood on it."]},
        {"box": [14, 60, 150, 90]},
        {"box": [14, 60, 60, 30]},
    ],
    ids=str,
)
def test_kept_over_what_the_plan_asked(keys: dict[str, Any], tmp_path: Path) -> None:
    story = (tmp_path / "s.txt", tmp_path / "l.json", tmp_path / "t.svg")
    story[0].write_text(SCRIPT, "utf-8")
    plan = json.loads((LAYOUT % PT).replace(STYLE, ""))
    placement = plan["pages"][0]["placements"][0]
    if "box" in keys:
        del placement["center"]
    placement.update(keys)
    story[1].write_text(json.dumps(plan), "utf-8")
    sheet = tried(story, "1.1.1")
    assert len(sheet.choices) > 2
    for choice in sheet.choices:
        kept(story, choice.number)
        assert same(lettered(story, "1.1.1"), choice.unit), (choice.number, choice.keys)


@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    sizes=st.lists(st.sampled_from([6.5, 7.0, 8.25, 11.0]), max_size=2).map(tuple),
    lines=st.lists(st.integers(1, 6), max_size=2).map(tuple),
    widths=st.lists(st.floats(0.8, 3).map(lambda x: round(x, 2)), max_size=1).map(tuple),
    kinds=st.lists(st.sampled_from(["speech", "whisper", "open", "caption"]), max_size=1).map(
        tuple
    ),
)
def test_any_narrowing_can_be_kept(
    tmp_path: Path, sizes: Any, lines: Any, widths: Any, kinds: Any
) -> None:
    story = (tmp_path / "s.txt", tmp_path / "l.json", tmp_path / "t.svg")
    story[0].write_text(SCRIPT, "utf-8")
    story[1].write_text((LAYOUT % PT).replace(STYLE, ""), "utf-8")
    asked = {"sizes": sizes, "lines": lines, "widths": widths, "kinds": kinds}
    sheet = tried(story, "1.1.1", **asked)
    last = sheet.choices[-1]
    kept(story, last.number, **asked)
    assert same(lettered(story, "1.1.1"), last.unit), last.keys


def test_no_two_choices_of_a_unit_look_the_same(story: Story) -> None:
    sheet = tried(story, "1.1", "1.2")
    for group in sheet.groups:
        shown = [
            (
                unit.kind,
                unit.breaks,
                round(unit.size, 1),
                round(unit.box.width),
                round(unit.box.height),
            )
            for unit in (choice.unit for choice in group.choices)
        ]
        assert len(set(shown)) == len(shown)
    assert [choice.number for choice in sheet.choices] == list(range(1, len(sheet.choices) + 1))


# --- Nothing else is touched ------------------------------------------------------------------


@BOTH_UNITS
def test_only_that_placement_is_written(story: Story) -> None:
    before = story[1].read_text("utf-8").splitlines()
    sheet = tried(story, "1.1.1", lines=(4,))
    kept(story, 1)
    after = story[1].read_text("utf-8").splitlines()
    changed = [place for place, (a, b) in enumerate(zip(before, after, strict=True)) if a != b]
    assert len(changed) == 1
    line = after[changed[0]]
    told = json.dumps(list(sheet.choices[0].unit.breaks), ensure_ascii=False)
    said = line[line.index(', "words"') : -2]
    assert set(json.loads("{" + said[2:] + "}")) <= {"words", "speaker"}
    assert line == before[changed[0]][:-2] + f', "breaks": {told}{said}}},'


def test_several_numbers_of_several_units(story: Story) -> None:
    sheet = tried(story, "1.1.1", "1.2", "1.1.4")
    groups = [group.choices for group in sheet.groups]
    last = [found[-1] for found in groups]
    told = kept(story, *(choice.number for choice in last))
    for choice in last:
        assert f"Kept choice {choice.number} for unit {choice.unit.id} in {story[1]}." in told
        assert same(lettered(story, choice.unit.id), choice.unit)
    written = json.loads(story[1].read_text("utf-8"))["pages"][0]["placements"]
    assert [placement["unit"] for placement in written] == [
        "1.1.1",
        "1.1.2",
        "1.1.3",
        "1.2.1",
        "1.1.4",
    ]


@BOTH_UNITS
def test_a_unit_without_a_place_gets_the_one_it_was_shown_in(story: Story) -> None:
    sheet = tried(story, "1.1.4", "1.2.1")
    assert [group.note for group in sheet.groups] == [
        "It has no place in the layout yet: it is shown in the middle of its panel.",
        "It has no place in the layout yet: it is shown in the middle of the page.",
    ]
    kept(story, 1)
    plan = read_layout(story[1]).pages[0]
    panel, placement = plan.panel(1), plan.placement("1.1.4")
    assert panel is not None and placement is not None
    spot = placement.spot
    assert getattr(spot, "at") == pytest.approx(panel.box.center, abs=0.01)  # noqa: B009


def test_what_the_layout_says_already(story: Story) -> None:
    tried(story, "1.1.3")
    before = story[1].read_bytes()
    told = kept(story, 1).splitlines()
    assert told[0] == f"Choice 1 for unit 1.1.3 is what {story[1]} says already."
    assert told[1].startswith("1 page, 3 units lettered, 2 not placed, ")
    assert story[1].read_bytes() == before


def test_a_changed_mind_leaves_no_trace_of_the_first_choice(story: Story) -> None:
    before = story[1].read_bytes()
    tried(story, "1.1.3", sizes=(30.0,), kinds=("speech",))
    kept(story, 1)
    assert b'"kind": "speech"' in story[1].read_bytes()
    assert b'"size": 30' in story[1].read_bytes()
    story[1].write_bytes(before)
    sheet = tried(story, "1.1.1")
    sizes = [choice.number for choice in sheet.choices if "size" in choice.keys]
    kinds = [choice.number for choice in sheet.choices if "kind" in choice.keys]
    kept(story, sizes[0])
    kept(story, kinds[0])
    placement = json.loads(story[1].read_text("utf-8"))["pages"][0]["placements"][0]
    assert "kind" in placement and "size" not in placement


def test_the_same_sheet_twice_is_the_same_bytes(story: Story) -> None:
    for name in ("try.html", "try.svg", "try.png"):
        sheet = story[2].with_name(name)
        made = []
        for _ in range(2):
            try_units(story[0], story[1], sheet, Trial(("1.1.1", "1.1.2"), Asked(lines=(2, 3))))
            made.append((sheet.read_bytes(), record_path(sheet).read_bytes()))
        assert made[0] == made[1]
    assert sorted(path.name for path in story[2].parent.iterdir()) == [
        f"try.{kind}{more}" for kind in ("html", "png", "svg") for more in ("", ".choices.json")
    ]


# --- What is refused, with the layout as it was -----------------------------------------------


def refused(story: Story, do: Callable[[], object]) -> list[str]:
    """What is told when something is refused; the layout is the same to the byte."""
    before = story[1].read_bytes()
    with pytest.raises(LettererError) as caught:
        do()
    assert story[1].read_bytes() == before
    assert not list(story[1].parent.rglob(".*"))
    return [str(fault) for fault in caught.value.faults]


def test_numbers_that_are_not_on_the_sheet(story: Story) -> None:
    most = len(tried(story, "1.1.1").choices)
    assert refused(story, lambda: kept(story, 2, 77, 0)) == [
        f"{story[2]}: the sheet has no choice 77. Choose from 1 to {most}.",
        f"{story[2]}: the sheet has no choice 0. Choose from 1 to {most}.",
    ]
    tried(story, "1.1.1", lines=(3,))
    assert refused(story, lambda: kept(story, 2)) == [
        f"{story[2]}: the sheet has no choice 2. It has choice 1 only."
    ]


def test_two_choices_for_one_unit(story: Story) -> None:
    tried(story, "1.1.1")
    assert refused(story, lambda: kept(story, 2, 3)) == [
        f"{story[2]}: choices 2 and 3 are both for unit 1.1.1. Keep one of them."
    ]


def test_a_number_of_another_unit_than_was_named(story: Story) -> None:
    tried(story, "1.1.1")
    assert refused(story, lambda: kept(story, 2, units=("1.1.2",))) == [
        f"{story[2]}: choice 2 is one for unit 1.1.1, not for 1.1.2. Look at the sheet again."
    ]
    kept(story, 2, units=("1.1",))


def test_other_options_than_the_sheet_was_drawn_with(story: Story) -> None:
    tried(story, "1.1.1", sizes=(7.0, 9.0))
    assert refused(story, lambda: kept(story, 2, sizes=(7.0, 8.0))) == [
        f"{story[2]}: this sheet was drawn with other sizes, lines, widths or kinds."
        " Draw it again with these, look at it, then keep."
    ]
    kept(story, 2, sizes=(7.0, 9.0))
    kept(story, 1)


def test_a_layout_that_changed(story: Story) -> None:
    tried(story, "1.1.1")
    story[1].write_bytes(story[1].read_bytes() + b"\n")
    assert refused(story, lambda: kept(story, 2)) == [
        f"{story[1]}: the layout has changed since the sheet was drawn."
        " Draw the sheet again, then keep."
    ]


@pytest.mark.parametrize(
    ("old", "new"),
    [("until I stood", "till I stood"), ("*bridge*", "bridge"), ("NELL: No", "NELL (off): No")],
)
def test_a_unit_that_changed(old: str, new: str, story: Story) -> None:
    tried(story, "1.1.1")
    story[0].write_text(SCRIPT.replace(old, new), "utf-8")
    assert refused(story, lambda: kept(story, 2)) == [
        f"{story[0]}: unit 1.1.1 has changed since the sheet was drawn."
        " Draw the sheet again, then keep."
    ]
    # A change elsewhere in the script is no hindrance.
    story[0].write_text(SCRIPT.replace("telling you now", "telling you tomorrow"), "utf-8")
    kept(story, 2)


def test_no_sheet_another_sheet_and_a_spoilt_record(story: Story) -> None:
    absent = f"{story[2]}: there is no sheet here to keep a choice of."
    absent += " Draw one first: letterer try SCRIPT LAYOUT 1.2.3."
    assert refused(story, lambda: kept(story, 1)) == [absent]
    tried(story, "1.1.1")
    whole = story[2].read_bytes()
    story[2].write_bytes(whole + b" ")
    assert refused(story, lambda: kept(story, 1)) == [
        f"{story[2]}: this is not the sheet that its numbers were written for."
        " Draw the sheet again, then keep."
    ]
    story[2].write_bytes(whole)
    record = record_path(story[2])
    for spoilt in (b"", b"[]", b'{"letterer choices": 1}', b"\xff", b"[" * 100000):
        record.write_bytes(spoilt)
        assert refused(story, lambda: kept(story, 1)) == [
            f"{record}: this file beside the sheet cannot be read. Draw the sheet again."
        ]
    record.unlink()
    assert refused(story, lambda: kept(story, 1)) == [absent]


def test_a_bare_sentence_takes_the_place_of_the_sheet_and_of_its_numbers(story: Story) -> None:
    tried(story, "1.1.1")
    try_words("I know what I saw.", story[2], Trial())
    assert refused(story, lambda: kept(story, 2)) == [
        f"{story[2]}: this sheet shows a bare sentence, which has no place in a layout."
        " Write it into the script, and try its unit."
    ]


def test_a_page_that_is_not_in_the_layout(story: Story) -> None:
    assert len(tried(story, "2.1.1").choices) > 3
    assert refused(story, lambda: kept(story, 2)) == [
        f"{story[1]}, page 2: page 2 is not in this layout. Add it to 'pages' first."
    ]


def test_the_layout_goes_back_when_the_page_cannot_be_lettered(story: Story) -> None:
    tried(story, "1.1.1")
    story[0].write_text(SCRIPT.replace("telling you now", "telling you \U0001f600"), "utf-8")
    layout = story[1].read_text("utf-8")
    at = '{"unit": "1.1.4", "edge": "bottom"}'
    story[1].write_text(layout.replace('"lines": 2},', f'"lines": 2}}, {at},'), "utf-8")
    tried(story, "1.1.1")
    drawn = story[2].read_bytes(), record_path(story[2]).read_bytes()
    first, second = refused(story, lambda: kept(story, 2))
    assert first == (
        f"{story[1]}: the layout stays as it was, since its page could not be lettered with that"
        " choice."
    )
    assert second.startswith(f"{story[0]}, line 6, unit 1.1.4: no face has the character")
    assert (story[2].read_bytes(), record_path(story[2]).read_bytes()) == drawn


def test_the_layout_goes_back_when_the_work_is_stopped(
    story: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried(story, "1.1.1")
    before = story[1].read_bytes()

    def stopped(*_: object) -> None:
        assert story[1].read_bytes() != before
        raise KeyboardInterrupt

    monkeypatch.setattr(trying, "letter", stopped)
    with pytest.raises(KeyboardInterrupt):
        kept(story, 2)
    assert story[1].read_bytes() == before


def test_it_is_said_when_the_layout_cannot_go_back(
    story: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    from letterer.errors import Fault

    tried(story, "1.1.1")

    def full(*_: object, **__: object) -> None:
        raise LettererError(Fault("the disk is full"))

    monkeypatch.setattr(trying, "letter", full)
    monkeypatch.setattr(sheet_jobs, "save_bytes", full)
    with pytest.raises(LettererError) as caught:
        kept(story, 2)
    assert [str(fault) for fault in caught.value.faults] == [
        f"{story[1]}: the choice is kept, though its page could not be lettered.",
        "the disk is full.",
    ]
    assert b"breaks" in story[1].read_bytes()


def test_a_sheet_never_takes_a_file_of_the_person(story: Story, tmp_path: Path) -> None:
    art = tmp_path / "page one.png"
    art.write_bytes(b"not read before the name is looked at")
    plan = json.loads(story[1].read_text("utf-8"))
    plan["pages"][0]["art"] = {"file": art.name, "covers": "trim"}
    story[1].write_text(json.dumps(plan), "utf-8")
    script = tmp_path / "script.svg"
    script.write_text(SCRIPT, "utf-8")
    layout = tmp_path / "x.html.choices.json"
    layout.write_bytes(story[1].read_bytes())
    photo = tmp_path / "photo.png"
    photo.write_bytes(b"a photo")
    link = tmp_path / "link.png"
    link.symlink_to(art)
    files = {path: path.read_bytes() for path in (art, script, layout, photo)}
    for sheet, told in (
        (art, "the sheet would be written over the art of page 1. Give it another name."),
        (link, "the sheet would be written over the art of page 1. Give it another name."),
        (script, "the sheet would be written over the script. Give it another name."),
        (
            photo,
            "there is a file of this name that is no sheet of choices."
            " Give the sheet another name.",
        ),
        (story[1], "a sheet is drawn as .html, .svg or .png. Write -o layout.html, say."),
        (tmp_path / "sheet", "a sheet is drawn as .html, .svg or .png. Write -o sheet.html, say."),
    ):
        with pytest.raises(LettererError) as caught:
            try_units(script, story[1], sheet, Trial(("1.1.1",)))
        assert str(caught.value) == f"{sheet}: {told}"
    with pytest.raises(LettererError, match="the sheet would be written over the layout"):
        try_units(script, layout, tmp_path / "x.html", Trial(("1.1.1",)))
    with pytest.raises(LettererError, match="no sheet of choices"):
        try_words("Well.", photo, Trial())
    assert {path: path.read_bytes() for path in files} == files


def test_art_that_is_not_there_yet(story: Story) -> None:
    plan = json.loads(story[1].read_text("utf-8"))
    plan["pages"][0]["art"] = {"file": "art/one.png", "covers": "trim"}
    story[1].write_text(json.dumps(plan), "utf-8")
    sheet = tried(story, "1.1.1")
    assert sheet.pictures == ()
    art = story[1].parent / "art" / "one.png"
    assert sheet.remarks == (
        f"{art}: there is no such art file yet, so the choices stand on white.",
    )
    assert f"<p>{art}: there is no such" in story[2].read_text("utf-8")
    art.parent.mkdir()
    art.write_bytes(b"no picture")
    whole = story[2].read_bytes()
    told = refused(story, lambda: tried(story, "1.1.1"))
    assert told == [f"{art}: this art file cannot be read. Save it again as PNG, TIFF or JPEG."]
    assert story[2].read_bytes() == whole


def test_faults_of_both_files_and_of_every_unit_are_told_together(story: Story) -> None:
    story[0].write_text(
        SCRIPT.replace("now", "\U0001f600").replace("stairs", "\U0001f601"), "utf-8"
    )
    told = refused(story, lambda: tried(story, "1.1.4", "1.2.1"))
    assert [line.split(": ")[0] for line in told] == [
        f"{story[0]}, line 6, unit 1.1.4",
        f"{story[0]}, line 8, unit 1.2.1",
    ]
    story[0].unlink()
    story[1].write_text("{", "utf-8")
    told = refused(story, lambda: tried(story, "1.1.4"))
    assert told[0].startswith(str(story[0])) and told[-1].startswith(str(story[1]))


def test_no_more_choices_than_can_be_taken_in(story: Story) -> None:
    sheet = tried(story, "1.1.1", sizes=tuple(6.0 + step for step in range(20)))
    assert len(sheet.choices) == 12
    assert sheet.remarks == ("No more than 12 choices are shown for a unit.",)


def test_nothing_is_kept_where_the_words_have_other_numbers_now(story: Story) -> None:
    tried(story, "1.1.1")
    plan = json.loads(story[1].read_text("utf-8"))
    script = story[0].read_text("utf-8")
    for placed in plan["pages"][0]["placements"]:
        number = placed["unit"]
        placed["words"] = next(one for one in read_script(story[0]).units if one.id == number).words
    story[1].write_text(json.dumps(plan), "utf-8")
    sheet = tried(story, "1.1.1")
    assert sheet.choices
    first = script.index("\n", script.index("PANEL 1")) + 1
    story[0].write_text(
        script[:first] + "NELL: Not yet, wait for me here.\n" + script[first:], "utf-8"
    )
    before = story[1].read_bytes()
    with pytest.raises(LettererError, match="the script has changed since this layout"):
        kept(story, 2)
    assert story[1].read_bytes() == before
