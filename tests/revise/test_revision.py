"""What follows from a match, on the demo: kept, carried along, proposed, parked, and back again.

Every edit is also written into the file, and that file read: both ways must give the same plan. And
undone: the first file must come back, byte for byte.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import pytest

from letterer.api import compose
from letterer.model.json_reader import read_json
from letterer.model.layout_file import LayoutFile
from letterer.model.plan import Center, Layout, Placement
from letterer.model.script_reader import parse_script
from letterer.out.svg import svg_page
from letterer.revise.applying import applied
from letterer.revise.book import in_order
from letterer.revise.change import Change, Fate, Revision
from letterer.revise.keeping import findings, matched
from letterer.revise.openings import taken_by
from letterer.revise.revision import revise
from letterer.revise.rewriting import rewritten


class Demo(NamedTuple):
    """The demo's script, and its layout once it says its words."""

    script: str
    file: LayoutFile

    def edited(self, *changes: tuple[str, str]) -> str:
        """The script with pieces exchanged."""
        text = self.script
        for old, new in changes:
            assert old in text
            text = text.replace(old, new, 1)
        return text


@pytest.fixture(scope="module")
def demo(repository: Path) -> Demo:
    folder = repository / "shared" / "demo"
    script = (folder / "script.txt").read_text("utf-8")
    first, _ = revised(LayoutFile.read(folder / "layout.json"), script)
    return Demo(script, first)


def revised(file: LayoutFile, script: str) -> tuple[LayoutFile, Revision]:
    """A file after an edited script; in memory and on paper it must be the same."""
    layout = file.layout()
    revision = revise(parse_script(script), layout)
    plan, after = layout, file
    for edits in revision.stages:
        plan = applied(plan, edits)
        after = rewritten(after, edits, layout.measure)
    assert after.layout() == plan == revision.layout
    return after, revision


def changes(revision: Revision) -> list[Change]:
    """What did not stay as it was."""
    return [
        change
        for change in revision.changes
        if change.fate is not Fate.SAME or change.was != (change.unit,)
    ]


def placement(layout: Layout, unit: str) -> Placement:
    return next(placed for placed in in_order(layout.pages) if placed.unit == unit)


def page_cut(demo: Demo) -> str:
    begin, end = demo.script.index("PAGE 2"), demo.script.index("PAGE 3")
    return (demo.script[:begin] + demo.script[end:]).replace("PAGE 3", "PAGE 2")


def panel_cut(demo: Demo) -> str:
    begin, end = demo.script.index("PANEL 2"), demo.script.index("PANEL 3")
    text = demo.script[:begin] + demo.script[end:]
    return text.replace("PANEL 3", "PANEL 2", 1).replace("PANEL 4", "PANEL 3", 1)


def pages_swapped(demo: Demo) -> str:
    return demo.edited(("PAGE 2", "PAGE 9"), ("PAGE 3", "PAGE 2"), ("PAGE 9", "PAGE 3"))


def page_inserted(demo: Demo) -> str:
    text = demo.edited(("PAGE 3", "PAGE 4"), ("PAGE 2", "PAGE 3"))
    return text.replace("PAGE 3", "PAGE 2\n\nPANEL 1\n\nWEN: Nobody drew this yet.\n\nPAGE 3", 1)


def test_the_first_run_takes_the_numbers_and_adds_the_words(demo: Demo, repository: Path) -> None:
    hand = LayoutFile.read(repository / "shared" / "demo" / "layout.json")
    file, revision = revised(hand, demo.script)
    assert not revision.remembered
    units = {unit.id: unit.words for unit in parse_script(demo.script).units}
    words = {placed.unit: placed.words for placed in in_order(file.layout().pages)}
    assert words == units
    again, revision = revised(file, demo.script)
    assert again.text == file.text and revision.is_quiet


@pytest.mark.parametrize(
    "edit",
    [
        pytest.param(lambda d: d.edited(("Clocks don't", "Clox don't")), id="typo"),
        pytest.param(lambda d: d.edited(("WEN: Hold", "WEN: Ready?\n\nWEN: Hold")), id="inserted"),
        pytest.param(
            lambda d: d.edited(("WEN: Hold the light. I'm going in.\n", "")), id="deleted"
        ),
        pytest.param(
            lambda d: d.edited(
                ("WEN: Hold the light. I'm going in.\n", ""),
                ("SFX: FWUMP", "WEN: Hold the light. I'm going in.\n\nSFX: FWUMP"),
            ),
            id="moved to another panel",
        ),
        pytest.param(
            lambda d: d.edited(
                ("TOBIT: About a month.\n", ""),
                ("SFX: KRAKOOM", "TOBIT: About a month.\n\nSFX: KRAKOOM"),
            ),
            id="moved to another page",
        ),
        pytest.param(
            lambda d: d.edited(("breathe.\n\nTOBIT: They", "breathe. They")),
            id="joined",
        ),
        pytest.param(
            lambda d: d.edited(("fingers. And", "fingers.\n\nTOBIT (off): And")), id="split"
        ),
        pytest.param(lambda d: d.script.replace("TOBIT", "TOBIAS"), id="renamed"),
        pytest.param(
            lambda d: d.edited(
                ("WEN (whisper): This one *snores*.\n", ""),
                ("TOBIT: Clocks", "WEN (whisper): This one *snores*.\n\nTOBIT: Clocks"),
            ),
            id="another order",
        ),
        pytest.param(page_inserted, id="a page inserted"),
        pytest.param(page_cut, id="a page cut"),
        pytest.param(panel_cut, id="a panel cut"),
        pytest.param(pages_swapped, id="two pages swapped"),
    ],
)  # fmt: skip
def test_there_and_back(edit: object, demo: Demo) -> None:
    text = edit(demo)  # type: ignore[operator]
    there, _ = revised(demo.file, text)
    assert there.text != demo.file.text
    back, _ = revised(there, demo.script)
    assert back.layout() == demo.file.layout()
    assert back.text == demo.file.text


def test_a_unit_at_the_top_shifts_no_plan(demo: Demo) -> None:
    file, revision = revised(demo.file, demo.edited(("WEN: Hold", "WEN: Ready?\n\nWEN: Hold")))
    told = [(change.fate, change.unit, change.was) for change in changes(revision)]
    assert told == [
        (Fate.NEW, "2.2.1", ()),
        (Fate.SAME, "2.2.2", ("2.2.1",)),
        (Fate.SAME, "2.2.3", ("2.2.2",)),
    ]
    old, new = demo.file.layout(), file.layout()
    assert placement(new, "2.2.2").spot == placement(old, "2.2.1").spot
    assert placement(new, "2.2.3").tails == placement(old, "2.2.2").tails


def test_unchanged_words_are_lettered_to_the_same_bytes(demo: Demo) -> None:
    """Numbers aside, every group of the SVG but those of the panel where a unit was added."""

    def groups(text: str, layout: Layout) -> dict[str, str]:
        made = compose(parse_script(text), layout)
        found = {}
        for page in made.pages:
            for part in svg_page(page).split('<g id="u')[1:]:
                unit, _, body = part.partition('"')
                title = body.partition("</title>")[0]
                found[f"{page.number} {title}"] = body.partition("</g>\n</g>")[0].replace(unit, "")
        return found

    layout = demo.file.layout()
    before = groups(demo.script, layout)
    text = demo.edited(
        ("TOBIT: Sixty", "WEN: One question first.\n\nTOBIT: Sixty"), ("SFX: KLUNK\n", "")
    )
    after = groups(text, layout)
    gone = set(before) - set(after)
    assert [name.partition("<title>")[2] for name in gone] == ["KLUNK"]
    assert len(before) == 28
    assert {name: after[name] for name in before if name not in gone} == {
        name: body for name, body in before.items() if name not in gone
    }


def test_moved_words_get_a_proposal_and_the_old_placement_is_parked(demo: Demo) -> None:
    text = demo.edited(
        ("TOBIT: About a month.\n", ""),
        ("SFX: KRAKOOM", "TOBIT: About a month.\n\nSFX: KRAKOOM"),
    )
    file, revision = revised(demo.file, text)
    layout = file.layout()
    made, old = placement(layout, "1.1.2"), placement(demo.file.layout(), "3.5.2")
    assert made.proposed and made.words == "About a month."
    assert [placed.unit for placed in layout.parked.placements] == ["3.5.2"]
    assert layout.parked.placements[0] == old
    page = layout.page(1)
    assert page is not None and isinstance(made.spot, Center)
    panel = page.panel(1)
    assert panel is not None and panel.box.holds(made.spot.at)
    about = taken_by(made, panel.box)
    assert not any(zone.box.meets(about) for zone in page.keep_clear)
    others = [one for one in page.placements if one.unit.startswith("1.1.") and one is not made]
    assert others and not any(taken_by(one, panel.box).meets(about) for one in others)
    (change,) = [change for change in changes(revision) if change.fate is Fate.MOVED]
    assert change.proposed and change.place.endswith("look at it")
    again, second = revised(file, text)
    assert again.text == file.text
    assert [change.place for change in second.changes if change.proposed] == [
        "keeps the place that was proposed for it"
    ]


def test_what_a_person_changed_on_a_proposal_is_not_lost(demo: Demo) -> None:
    """The words go home, where their first placement waits; the other one is parked in turn."""
    text = demo.edited(
        ("TOBIT: About a month.\n", ""),
        ("SFX: KRAKOOM", "TOBIT: About a month.\n\nSFX: KRAKOOM"),
    )
    there, _ = revised(demo.file, text)
    by_hand = there.with_placement(1, "1.1.2", {"size": 9})
    back, _ = revised(by_hand, demo.script)
    assert placement(back.layout(), "3.5.2") == placement(demo.file.layout(), "3.5.2")
    assert [placed.size for placed in back.layout().parked.placements] == [9]


def test_settled_words_that_move_again_park_the_settled_place(demo: Demo) -> None:
    text = demo.edited(
        ("TOBIT: About a month.\n", ""),
        ("SFX: KRAKOOM", "TOBIT: About a month.\n\nSFX: KRAKOOM"),
    )
    there, _ = revised(demo.file, text)
    settled = there.with_placement(1, "1.1.2", {"center": [2, 2], "proposed": None})
    back, _ = revised(settled, demo.script)
    assert placement(back.layout(), "3.5.2") == placement(demo.file.layout(), "3.5.2")
    assert [placed.spot for placed in back.layout().parked.placements] == [
        placement(settled.layout(), "1.1.2").spot
    ]


def test_a_plan_made_by_hand_for_the_new_place_is_taken(demo: Demo) -> None:
    text = demo.edited(
        ("TOBIT: About a month.\n", ""),
        ("PANEL 2\nThe lamp room", "TOBIT: About a month.\n\nPANEL 2\nThe lamp room"),
    )
    by_hand = demo.file.with_placement(1, "1.1.4", {"center": [2, 2]})
    file, revision = revised(by_hand, text)
    made = placement(file.layout(), "1.1.4")
    assert (made.words, made.proposed) == ("About a month.", False)
    assert made.spot == placement(by_hand.layout(), "1.1.4").spot
    assert [placed.unit for placed in file.layout().parked.placements] == ["3.5.2"]
    assert [change.place for change in changes(revision) if change.fate is Fate.MOVED] == [
        "takes the plan of its new place"
    ]


def test_swapped_speeches_take_one_anothers_places(demo: Demo) -> None:
    """Reading order follows the place: the first to speak stands first."""
    text = demo.edited(
        ("TOBIT: It's an *owl*.\n", ""),
        ("WEN: It's a *mother*. Look.\n", "WEN: It's a *mother*. Look.\n\nTOBIT: It's an *owl*.\n"),
    )
    file, revision = revised(demo.file, text)
    old, new = demo.file.layout(), file.layout()
    assert placement(new, "3.1.1").words == "It's a mother. Look."
    for unit in ("3.1.1", "3.1.2"):
        assert placement(new, unit).spot == placement(old, unit).spot
    assert [change.fate for change in changes(revision)] == [Fate.MOVED, Fate.MOVED]


def test_art_and_panels_go_along_with_their_page(demo: Demo) -> None:
    file, revision = revised(demo.file, page_inserted(demo))
    assert revision.renumbered == ((2, 3), (3, 4))
    arts = {page.number: page.art.file.name for page in file.layout() if page.art}
    assert arts == {1: "page-1.png", 3: "page-2.png", 4: "page-3.png"}


def test_a_cut_page_is_parked_whole(demo: Demo) -> None:
    file, revision = revised(demo.file, page_cut(demo))
    assert [page.number for page in file.layout()] == [1, 2]
    (parked,) = file.layout().parked.pages
    assert parked == demo.file.layout().page(2)
    assert sum(change.fate is Fate.CUT for change in revision.changes) == 8


def test_mouths_go_by_the_new_name(demo: Demo) -> None:
    file, revision = revised(demo.file, demo.script.replace("TOBIT", "TOBIAS"))
    assert '"TOBIT"' not in file.text
    assert revision.notes == (
        "TOBIT is called TOBIAS now: the mouths in the layout go by the new name",
    )
    made = compose(parse_script(demo.script.replace("TOBIT", "TOBIAS")), demo.file.layout())
    before = compose(parse_script(demo.script), demo.file.layout())
    aims = [
        [[tail.mouth for page in one.pages for unit in page.units for tail in unit.tails]]
        for one in (made, before)
    ]
    assert len(aims[0][0]) > 15 and aims[0] == aims[1]


def test_one_line_given_to_another_speaker_renames_nobody(demo: Demo) -> None:
    text = demo.edited(("TOBIT: It's an *owl*.", "WEN: It's an *owl*."))
    file, revision = revised(demo.file, text)
    assert revision.notes == ()
    assert file.text == demo.file.text.replace(
        '"It\'s an owl.", "speaker": "TOBIT"', '"It\'s an owl.", "speaker": "WEN"'
    )
    (change,) = [one for one in revision.changes if one.speakers]
    assert (change.unit, change.speakers) == ("3.1.1", "WEN says it now, and TOBIT did before")
    assert not revision.is_quiet


def test_two_people_of_one_panel_are_never_one(demo: Demo) -> None:
    """Wen falls silent, and someone of another name speaks a line of hers; both have mouths."""
    text = demo.file.text.replace('"WEN": [2.6, 6.25]', '"WEN": [2.6, 6.25], "MARA": [1, 6]')
    file = LayoutFile(demo.file.path, read_json(text, "layout.json"))
    script = demo.script.replace("WEN", "MARA")
    after, revision = revised(file, script)
    (note,) = revision.notes
    assert note.startswith("MARA may be a new name for WEN") and '"WEN"' in after.text


def test_accepted_findings_go_along(demo: Demo) -> None:
    text = demo.file.text.replace(
        '"placements": [',
        '"accepted": [{"finding": "long tail", "because": "far", "unit": "1.2.2"}],\n'
        '     "placements": [',
        1,
    )
    file = LayoutFile(demo.file.path, read_json(text, "layout.json"))
    script = demo.edited(("TOBIT: Sixty", "WEN: One question first.\n\nTOBIT: Sixty"))
    after, _ = revised(file, script)
    assert [one.unit for one in after.layout().pages[0].accepted] == ["1.2.3"]


def panel_split(demo: Demo) -> str:
    """Panel 2 of page 1 becomes two: Wen's answer has one of its own."""
    text = demo.edited(("PANEL 4\nClose on Wen", "PANEL 5\nClose on Wen"))
    text = text.replace("PANEL 3\nWen at the works", "PANEL 4\nWen at the works", 1)
    return text.replace("WEN: Then I'll start", "PANEL 3\n\nWEN: Then I'll start", 1)


def test_a_tail_stays_where_a_split_panel_has_no_plan_yet(demo: Demo) -> None:
    """The drawing is the same, so the tail goes to the mouth that it went to."""
    file, revision = revised(demo.file, panel_split(demo))
    (change,) = [one for one in revision.changes if one.unit == "1.3.1"]
    assert change.place == "keeps its place on the page, with its tail: look at it"
    before = compose(parse_script(demo.script), demo.file.layout(), (1,)).pages[0]
    after = compose(parse_script(panel_split(demo)), file.layout(), (1,)).pages[0]
    (old,), (new,) = (
        [unit for unit in page.units if unit.id == id]
        for page, id in ((before, "1.2.2"), (after, "1.3.1"))
    )
    assert new.box == old.box and [one.mouth for one in new.tails] == [
        one.mouth for one in old.tails
    ]
    back, _ = revised(file, demo.script)
    assert back.text == demo.file.text


def test_words_that_join_others_keep_off_what_stands_there(demo: Demo) -> None:
    """They would stand on Tobit's speech; and a tail to their old panel is theirs no more."""
    text = demo.edited(
        ("TOBIT (off): My good *scarf*!\n", ""),
        ("WEN: Then *we'll* turn it.\n", "WEN: Then *we'll* turn it.\n\nTOBIT: My good *scarf*!\n"),
    )
    file, _ = revised(demo.file, text)
    made = placement(file.layout(), "3.3.3")
    assert made.proposed and made.tails is None
    page = compose(parse_script(text), file.layout(), (3,)).pages[0]
    boxes = [unit.shape.box for unit in page.units if unit.id.startswith("3.3.")]  # type: ignore[union-attr]
    assert len(boxes) == 3 and not any(boxes[2].meets(box) for box in boxes[:2])


def test_lettering_tells_all_but_what_stayed(demo: Demo) -> None:
    text = demo.edited(
        ("WEN: Hold the light. I'm going in.\n", ""),
        ("SFX: FWUMP", "WEN: Hold the light. I'm going in.\n\nSFX: FWUMP"),
        ("SFX: KLUNK\n", ""),
        ("Clocks don't", "Clox don't"),
    )
    layout, told = matched(parse_script(text), demo.file.layout())
    assert [(one.kind, one.severity.value, one.unit) for one in told] == [
        ("cut", "note", ""),
        ("moved", "warning", "2.5.1"),
    ]
    assert placement(layout, "2.5.1").proposed
    quiet, nothing = matched(parse_script(demo.script), demo.file.layout())
    assert quiet == demo.file.layout() and nothing == ()


def test_a_layout_without_words_is_lettered_as_it_is(repository: Path) -> None:
    hand = LayoutFile.read(repository / "shared" / "demo" / "layout.json").layout()
    script = parse_script("PAGE 1\n\nPANEL 1\n\nWEN: Anything.\n")
    assert matched(script, hand) == (hand, ())


def test_unsure_is_a_warning() -> None:
    change = Change(Fate.SAME, "1.1.1", ("1.1.2",), "No.", "No.", "keeps its place", sure=False)
    revision = Revision((), None, (change,))  # type: ignore[arg-type]
    (finding,) = findings(revision)
    assert (finding.kind, finding.severity.value) == ("unsure", "warning")
    assert "unsure" in str(finding)
