"""Proposals for a panel: where a letterer would put the words, and what is told of no room."""

from __future__ import annotations

import itertools
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from letterer import craft
from letterer.fit.oval import Oval
from letterer.geometry import Box, Point
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Center, Corner, Layout
from letterer.model.script_reader import parse_script
from letterer.place.bodies import body_of
from letterer.place.costs import _Fixed, _gaps, together
from letterer.place.ground import Grid, Ground, Picture
from letterer.place.order import read_in_order
from letterer.place.problem import Problem
from letterer.place.proposing import (
    Proposal,
    costs_of,
    keys_of,
    no_room,
    proposals,
)
from letterer.place.scene import Scene, scenes_of, seats_at
from letterer.review.shapes import common, corners, distance, oval_points
from letterer.text.faces import library

PANEL = [18, 18, 250, 200]
TWO = "ADA: Is the kettle on?\n\nBRAM: It has been on since noon."


def panel(
    words: str,
    mouths: Mapping[str, Sequence[float]] | None = None,
    box: Sequence[float] = PANEL,
    right_to_left: bool = False,
    picture: Picture | None = None,
    again: Sequence[str] = (),
    **page: Any,
) -> Scene:
    """A scene of one panel."""
    plan = {"panel": 1, "box": list(box), "mouths": mouths or {}}
    layout = {
        "letterer": 1,
        "unit": "pt",
        "page": {"trim": [300, 300], "bleed": 9, "live": 9},
        "reading": "right to left" if right_to_left else "left to right",
        "language": "en",
        "pages": [{"page": 1, "panels": [plan], **page}],
    }
    read: Layout = parse_layout(json.dumps(layout), "layout.json", Path())
    script = parse_script(f"PAGE 1\n\nPANEL 1\n\n{words}\n")
    found = scenes_of(read.pages[0], script.pages[0].units, again, read, library(), picture)
    assert len(found) == 1
    return found[0]


def best(scene: Scene) -> Proposal:
    return proposals(scene, 1)[0]


MOUTHS = {"ADA": [80, 160], "BRAM": [200, 160]}


def test_two_speakers() -> None:
    scene = panel(TWO, MOUTHS)
    found = best(scene)
    first, then = found.seats
    assert found.faults == ()
    assert found.gap == 0.0
    assert read_in_order([first.box, then.box], False)
    assert all(scene.room.contains(seat.box, 0.1) for seat in found.seats)
    assert first.box.bottom < 120 and then.box.bottom < 120
    assert first.at.x < then.at.x


def test_read_from_the_right_the_order_is_the_other_way() -> None:
    mouths = {"ADA": [200, 160], "BRAM": [80, 160]}
    found = best(panel(TWO, mouths, right_to_left=True))
    first, then = found.seats
    assert found.faults == ()
    assert read_in_order([first.box, then.box], True)
    assert first.at.x > then.at.x


def test_a_mirrored_scene_has_the_mirrored_places() -> None:
    """No cost knows left from right but by the way of reading."""
    plain = best(panel(TWO, {"ADA": [80, 160], "BRAM": [190, 150]}))
    other = {"ADA": [2 * 143 - 80, 160], "BRAM": [2 * 143 - 190, 150]}
    mirrored = best(panel(TWO, other, right_to_left=True))
    assert mirrored.cost == pytest.approx(plain.cost, abs=0.02)
    for one, two in zip(plain.seats, mirrored.seats, strict=True):
        assert one.at.x == pytest.approx(286 - two.at.x, abs=3)
        assert one.at.y == pytest.approx(two.at.y, abs=3)


def test_faces_are_kept_clear() -> None:
    zones = [{"name": "a face", "box": [18, 18, 250, 90]}]
    scene = panel("ADA: Down here.", {"ADA": [60, 200]}, keep_clear=zones)
    found = best(scene)
    assert found.faults == ()
    assert found.seats[0].box.top >= 105


def test_a_face_that_cannot_be_kept_clear_is_a_fault() -> None:
    zones = [{"name": "a face", "box": [18, 18, 80, 50]}]
    found = best(panel("CAPTION: Everywhere.", box=[18, 18, 80, 50], keep_clear=zones))
    assert [name for name, _ in found.faults] == ["covers"]


def test_a_mouth_without_a_zone_has_a_face_about_it() -> None:
    found = best(panel("CAPTION: Low harbour.", {"ADA": [40, 40]}))
    face = Box(40, 32, 40, 32).grown(12)
    assert not face.meets(found.seats[0].box)


def test_the_focus_is_kept_clear() -> None:
    points = [{"name": "the key", "at": [60, 40]}]
    found = best(panel("CAPTION: Low harbour.", focus=points))
    assert not found.seats[0].box.holds(Point(60, 40))


def test_an_opening_caption_stands_where_reading_begins() -> None:
    left = best(panel("CAPTION (place): Low harbour.\n\nADA: Here.", {"ADA": [150, 150]}))
    assert left.seats[0].spot == Corner("top left")
    right = best(
        panel(
            "CAPTION (place): Low harbour.\n\nADA: Here.", {"ADA": [150, 150]}, right_to_left=True
        )
    )
    assert right.seats[0].spot == Corner("top right")


def test_a_closing_caption_stands_where_reading_ends() -> None:
    found = best(panel("ADA: Here.\n\nCAPTION: She was not.", {"ADA": [100, 120]}))
    assert found.seats[1].spot == Corner("bottom right")


def test_what_is_read_after_a_focus_stands_after_it() -> None:
    words = "ADA: What is that?\n\nBRAM: An egg."
    points = [{"name": "the egg", "at": [140, 90]}]
    placed = [{"unit": "1.1.2", "center": [60, 40], "read_after": "the egg", "proposed": True}]
    scene = panel(words, MOUTHS, focus=points)
    again = panel(words, MOUTHS, again=("1.1.2",), focus=points, placements=placed)
    free, bound = best(scene).seats[1], best(again).seats[1]
    assert free.box.bottom < 90
    assert bound.box.bottom >= 90
    assert bound.at.y > 90 or bound.at.x > 140


def test_units_that_stand_are_respected() -> None:
    placed = [{"unit": "1.1.1", "center": [80, 45]}]
    scene = panel(TWO, MOUTHS, placements=placed)
    found = best(scene)
    assert [seat.unit for seat in found.seats] == ["1.1.2"]
    standing = scene.sitters[0]
    body, at = standing.bodies[0], standing.at
    assert at is not None
    ours = scene.sitters[1].bodies[0]
    there = oval_points(Oval(found.seats[0].at, ours.a, ours.b, ours.n))
    assert not common([oval_points(Oval(at, body.a, body.b, body.n))], [there])


def test_two_balloons_of_one_speaker_stand_near_to_be_joined() -> None:
    found = best(panel("ADA: I was here.\n\nADA: I am still here.", {"ADA": [140, 170]}))
    one, two = (seat.box for seat in found.seats)
    apart = max(two.left - one.right, one.left - two.right, two.top - one.bottom, 0.0)
    assert apart < 15


def test_quiet_parts_of_the_art_are_preferred() -> None:
    grey = np.full((600, 600), 255, dtype=np.uint8)
    grey[:, :300:6] = 0  # hatching on the left half
    picture = Picture(Image.fromarray(grey), Box(0, 0, 300, 300))
    scene = panel("ADA: Low harbour. Late.", picture=picture)
    assert best(scene).seats[0].at.x > 150
    blank = panel("ADA: Low harbour. Late.")
    assert best(blank).seats[0].at.x < 150


def test_proposals_are_unlike_one_another_and_none_is_cheaper_than_the_first() -> None:
    found = proposals(panel(TWO, MOUTHS))
    assert len(found) >= 2
    assert all(one.cost >= found[0].cost - 1e-9 for one in found)
    for one in found[1:]:
        assert any(
            a.at.distance(b.at) >= 36 for a, b in zip(one.seats, found[0].seats, strict=True)
        )


def test_the_same_scene_has_the_same_proposals() -> None:
    assert proposals(panel(TWO, MOUTHS)) == proposals(panel(TWO, MOUTHS))


def test_no_room_says_by_how_much() -> None:
    scene = panel("ADA: Extraordinarily uncharacteristic.", {"ADA": [30, 60]}, box=[18, 18, 60, 22])
    (lacking,) = no_room(scene)
    assert lacking.unit == "1.1.1"
    assert lacking.wide > 0 or lacking.high > 0
    wider = panel(
        "ADA: Extraordinarily uncharacteristic.",
        {"ADA": [30, 60]},
        box=[18, 18, 62 + lacking.wide, 24 + lacking.high],
    )
    assert no_room(wider) == []


def test_a_sound_stands_near_the_focus_and_not_on_it() -> None:
    points = [{"name": "the door", "at": [200, 150]}]
    found = best(panel("SFX: SLAM", focus=points))
    box = found.seats[0].box
    assert not box.holds(Point(200, 150))
    assert box.grown(20).holds(Point(200, 150))


def test_an_off_panel_voice_stands_by_the_side_that_its_tail_goes_to() -> None:
    found = best(panel("ADA: Who is there?\n\nCLEO (off): Me.", {"ADA": [80, 160]}))
    box = found.seats[1].box
    assert min(box.left - 18, 268 - box.right) < 60


@pytest.mark.parametrize("order", ["ADA: One.\n\nADA: Two.\n\nADA: Three.", TWO])
def test_costs_told_are_the_costs_that_were_searched(order: str) -> None:
    """Pruned places, shared-out costs and all: the sum told is that of the choice."""
    scene = panel(order, MOUTHS)
    problem = Problem(scene)
    solved = problem.solved()
    standing = [
        (int(s.body[at]), float(s.x[at]), float(s.y[at]), s.spots[at])
        for s, at in zip(problem.seats, solved.choice, strict=True)
    ]
    summed, _ = costs_of(scene, standing)
    assert sum(float(v[0]) for v in summed.values()) == pytest.approx(solved.cost)


def test_what_is_written() -> None:
    scene = panel("CAPTION: Low harbour.\n\nADA: Here.", {"ADA": [150, 150]})
    caption, speech = best(scene).seats
    assert keys_of(scene, caption) == {"corner": "top left", "proposed": True}
    keys = keys_of(scene, speech)
    assert keys["proposed"] is True
    assert isinstance(speech.spot, Center)
    assert keys["center"] == [round(speech.at.x, 4), round(speech.at.y, 4)]


def test_gaps_between_ovals_against_polygons() -> None:
    """The distance by support functions is never more than that of fine polygons, and near it."""
    chance = np.random.default_rng(5)
    for _ in range(60):
        a1, b1, a2, b2 = chance.uniform(10, 40, 4)
        x, y = chance.uniform(-110, 110, 2)
        one = oval_points(Oval(Point(0, 0), a1, b1, 2.4))
        other = oval_points(Oval(Point(x, y), a2, b2, 2.4))
        gap = float(_gaps(_Fixed(a1, b1, 2.4, 0, 0), _Fixed(a2, b2, 2.4, x, y))[0, 0])
        if common([one], [other]):
            assert gap < 0.5
        else:
            true = distance([one], [other])
            assert true - 2.5 <= gap <= true + 0.5


def test_what_lies_under_a_body_is_what_its_cells_hold() -> None:
    grid = Grid.over(Box(0, 0, 200, 100))
    mask = grid.mask([corners(Box(50, 20, 100, 60))])
    ground = Ground(grid, {"zone": mask})
    body = body_of(_set("ADA: Here I am.", {"ADA": [60, 200]}))
    x, y = np.array([75.0, 150.0]), np.array([40.0, 80.0])
    found = ground.under(body, x, y, ("zone",))["zone"] * grid.cell**2
    shape = oval_points(Oval(Point(75, 40), body.a, body.b, body.n))
    shared = common([corners(Box(50, 20, 100, 60))], [shape])
    assert shared is not None
    assert found[0] == pytest.approx(shared.area, rel=0.06)
    assert found[1] == 0


def test_nothing_is_passed_over_where_a_field_is_mostly_empty() -> None:
    """A field with ink everywhere is summed whole; less the even part, the same must be left."""
    chance = np.random.default_rng(8)
    grid = Grid.over(Box(10, 20, 210, 120))
    spots = (chance.random((grid.rows, grid.columns)) < 0.004).astype(np.float64)
    fields = {"spots": spots, "more": spots + 1, "even": np.ones_like(spots)}
    ground = Ground(grid, fields | {"none": 0 * spots})
    body = body_of(_set("ADA: Here I am.", {"ADA": [60, 200]}))
    x, y = chance.uniform(0, 220, 400), chance.uniform(10, 130, 400)
    found = ground.under(body, x, y, ("spots", "more", "even", "none"))
    assert found["spots"] == pytest.approx(found["more"] - found["even"])
    assert found["spots"].any()
    assert not found["none"].any()


def _set(words: str, mouths: Mapping[str, Sequence[float]]) -> Any:
    from letterer.page.unit import set_unit

    return set_unit(panel(words, mouths).sitters[0].job)


ROW = "ADA: I was here.\n\nADA: I am still here.\n\nBRAM: So I see."


def test_a_balloon_joined_to_the_next_has_no_tail_in_the_way() -> None:
    """One close below the other, the lower has the tail; far apart each has its own."""
    scene = panel(ROW, {"ADA": [80, 190], "BRAM": [220, 190]})
    first, then, other = scene.sitters
    upper = seats_at(scene, first, [(0, 80.0, 40.0, None)])
    near = 40.0 + first.bodies[0].b + then.bodies[0].b + first.bodies[0].cap
    below = seats_at(scene, then, [(0, 80.0, near, None), (0, 80.0, near + 60, None)])
    over = together(scene, upper, below)["tail over words"][0]
    assert over[0] == 0
    assert over[1] >= craft.PLACE_LEAST_FAULT
    loose = together(scene, upper, below)["not joined"][0]
    assert list(loose) == [0, craft.PLACE_LOOSE]
    # Another's words may stand where that tail would have been, but not in the way of the last.
    between = seats_at(scene, other, [(0, 80.0, 120.0, None)])
    assert "tail over words" not in together(scene, upper, between)
    assert together(scene, below, between)["tail over words"][0, 0] >= craft.PLACE_LEAST_FAULT


def test_what_is_joined_where_it_stands_near() -> None:
    scene = panel(ROW, MOUTHS)
    first, then, other = scene.sitters
    assert scene.tied_to(first) is then
    assert scene.tied_to(then) is None
    assert scene.run(first) == scene.run(then) != scene.run(other)
    shouted = panel("ADA (shout): Here!\n\nADA (shout): Here, I said!", MOUTHS)
    assert shouted.tied_to(shouted.sitters[0]) is None


def test_a_row_of_one_speaker_goes_across_and_down() -> None:
    words = "\n\n".join(f"ADA: {told}" for told in ("So it is.", "So it was.", "So be it."))
    found = best(panel(words, {"ADA": [200, 190]})).seats
    tops = [seat.box.top for seat in found]
    assert all(low >= high - 1 for high, low in itertools.pairwise(tops))
    assert found[0].box.top < 40
