"""The `effect` of a placement: what it says in points, and what is told of its slips."""

from __future__ import annotations

import json

import pytest

from letterer.errors import LettererError
from letterer.geometry import Point
from letterer.model.effect import Effect, EffectOutline, EffectShadow
from letterer.model.effect_keys import effect_of
from letterer.model.layout_reader import parse_layout
from letterer.model.plan import Center, Fill, Measure, Placement
from letterer.model.schema import layout_schema

AT = '"center": [1, 1]'


def layout(placed: str) -> str:
    return (
        '{"letterer": 1, "unit": "in", "page": {"format": "a5"}, "pages": [{"page": 1,\n'
        '"panels": [{"panel": 1, "box": [0, 0, 5, 5]}],\n'
        '"placements": [{"unit": "1.1.1", ' + placed + "}]}]}"
    )


def placement(placed: str) -> Placement:
    return parse_layout(layout(placed)).pages[0].placements[0]


def told(placed: str) -> list[str]:
    with pytest.raises(LettererError) as raised:
        parse_layout(layout(placed), "plan.json")
    head = "plan.json, line 3, unit 1.1.1: "
    lines = [str(fault) for fault in raised.value.faults]
    assert all(line.startswith(head) for line in lines)
    return [line.removeprefix(head) for line in lines]


def test_nothing_said_is_straight_and_plain() -> None:
    assert placement(AT).effect is None
    assert placement(AT + ', "effect": {}').effect == Effect()


def test_lengths_of_the_page_are_in_points_and_weights_are_already() -> None:
    found = placement(
        '"box": [1, 1, 3, 1], "effect": {"face": "Bangers", "arc": 40, "heights": [1, 2],'
        ' "outlines": [{"weight": 1.5}, {"weight": 2, "color": "#a0b0c0", "join": "mitred",'
        ' "around": "words"}], "shadow": {"by": [3, -2], "block": true}, "halo": 2, "clip": true}'
    )
    assert found.effect == Effect(
        face="Bangers",
        arc=40.0,
        heights=(1.0, 2.0),
        outlines=(EffectOutline(1.5), EffectOutline(2.0, "#a0b0c0", "mitred", "words")),
        shadow=EffectShadow(Point(3, -2), "ink", True),
        halo=2.0,
        clip=True,
    )
    assert isinstance(found.spot, Fill) and found.effect.reach == 3.5


def test_a_path_and_corners_say_where_words_stand() -> None:
    found = placement('"effect": {"path": [[1, 1], [2, 0.5], [3, 2]]}')
    assert found.effect is not None
    assert found.effect.path == (Point(72, 72), Point(144, 36), Point(216, 144))
    assert found.spot == Center(Point(144, 90))
    found = placement('"effect": {"corners": [[1, 1], [3, 0.5], [3, 2], [1, 1.5]]}')
    assert found.effect is not None and len(found.effect.corners) == 4


@pytest.mark.parametrize("count", [2, 3, 4, 7, 10])
def test_a_path_of_so_many_points(count: int) -> None:
    points = json.dumps([[at, at % 3] for at in range(count)])
    found = placement(f'"effect": {{"path": {points}}}').effect
    assert found is not None and len(found.path) == count


@pytest.mark.parametrize(
    ("placed", "lines"),
    [
        (
            '"effect": {"path": [[1, 1]]}',
            ["'path' of 'effect' needs at least 2 points, [[x, y], [x, y]], and it has 1."],
        ),
        (
            '"effect": {"path": [[1, 1], [2, 2], [3, 1], [4, 2], [5, 1]]}',
            [
                "'path' of 'effect' has 5 points; a line has 2, a simple curve 3, a curve 4, and"
                " each curve that goes on from it 3 more (7, 10, 13 ...)."
            ],
        ),
        (
            '"effect": {"path": [[1, 1], [1, 1], [1, 1]]}',
            ["'path' of 'effect' has all its points in one place."],
        ),
        (
            '"effect": {"path": [[1, 1], [1, "a"]]}',
            ["the y of point 2 of 'path' of 'effect' must be a number, and it is \"a\"."],
        ),
        (
            '"effect": {"corners": [[1, 1], [3, 3], [3, 1], [1, 3]]}',
            [
                "'corners' of 'effect' crosses or touches itself between its lines 1 and 3; give"
                " them clockwise from the top left of the words."
            ],
        ),
        (
            '"effect": {"corners": [[1, 1], [1, 3], [3, 3], [3, 1]]}',
            [
                "'corners' of 'effect' goes the wrong way round, which would mirror the words; give"
                " them clockwise from the top left of the words."
            ],
        ),
        (
            '"effect": {"corners": [[1, 1], [3, 1], [1.2, 1.2], [1, 3]]}',
            [
                "'corners' of 'effect' has a corner that lies inside the other three, so no words"
                " fill it."
            ],
        ),
        (
            '"effect": {"corners": [[1, 1], [3, 1], [1.2, 1.2]]}',
            ["'corners' of 'effect' needs at least 4 points, and it has 3."],
        ),
        (
            AT + ', "effect": {"fill": "red"}',
            [
                "'fill' of 'effect' must be \"ink\", \"paper\", or a colour: # and six digits"
                ' from 0 to 9 and a to f, and it is "red".'
            ],
        ),
        (
            AT + ', "effect": {"outlines": [{"weight": 0}, {"color": "ink"}], "shadow": {}}',
            [
                "'weight' of outline 1 of 'outlines' of 'effect' must be more than 0, and it is 0.",
                "the key 'weight' is missing in an outline of an effect. Add it in points,"
                ' "weight": 1.2.',
                "the key 'by' is missing in the shadow of an effect. Add how far it lies to the"
                ' right and below, in points: "by": [3, 3].',
            ],
        ),
        (
            AT + ', "effect": {"arcc": 40}',
            ["there is no key 'arcc' in an effect. Did you mean 'arc'?"],
        ),
        (
            AT + ', "effect": {"letters": "bend"}',
            ["'letters' of 'effect' cannot be \"bend\". Did you mean 'bent'?"],
        ),
        (
            AT + ', "effect": {"arc": 10, "wave": 1}',
            [
                "'arc' and 'wave' stand together: letters have one line to stand on. Keep one of"
                " them."
            ],
        ),
        (
            '"effect": {"path": [[1, 1], [2, 2]], "rise": 8}',
            [
                "'path' and 'rise' stand together, and the path alone says where words run. Keep"
                " one of them."
            ],
        ),
        (
            AT + ', "effect": {"path": [[1, 1], [2, 2]]}',
            ["'path' of the effect and 'center' both say where the words stand. Keep one of them."],
        ),
        (
            AT + ', "effect": {"stretch": 1.2, "crests": 2, "over": "later"}',
            [
                "'stretch' of 'effect' goes with 'box' only. Leave it out.",
                "'crests' of 'effect' goes with 'wave' only. Leave it out.",
                "'over' of 'effect' goes with 'overlap' only. Leave it out.",
            ],
        ),
        (
            '"size": 20, "effect": {"corners": [[1, 1], [3, 1], [3, 3], [1, 3]]}',
            [
                "'size' and 'corners' stand together, and the corners say how large the words are."
                " Keep one of them."
            ],
        ),
        (
            AT + ', "effect": {"outlines": [{"weight": 1, "around": "words"}, {"weight": 1}]}',
            [
                "outline 2 of 'outlines' of 'effect' lies round the letters, and one inside it"
                " round all the words. Put the lines round the letters first."
            ],
        ),
        (
            AT + ', "effect": []',
            ["'effect' must be keys and values in curly brackets, { }, and it is a list."],
        ),
        ('"effect": {"arc": 40}', ["this placement does not say where the unit stands. Add"]),
    ],
)
def test_slips_are_told_plainly(placed: str, lines: list[str]) -> None:
    found = told(placed)
    assert len(found) == len(lines)
    for line, start in zip(found, lines, strict=True):
        assert line.startswith(start)


def test_what_is_written_is_kept_for_a_choice() -> None:
    written = {"arc": 40, "outlines": [{"weight": 1.5, "note": "thick"}], "note": "loud"}
    assert effect_of(written, Measure("mm")).written == written
    with pytest.raises(LettererError, match="'arc' of 'effect' must be at most 300"):
        effect_of({"arc": 400}, Measure("mm"))


def test_the_schema_takes_a_path_in_place_of_a_spot() -> None:
    jsonschema = pytest.importorskip("jsonschema")
    check = jsonschema.Draft202012Validator(layout_schema())
    for placed, sound in (
        ('"effect": {"path": [[1, 1], [2, 2]]}', True),
        (AT + ', "effect": {"arc": 30, "outlines": [{"weight": 1}]}', True),
        ('"effect": {"arc": 30}', False),
        (AT + ', "effect": {"path": [[1, 1], [2, 2]]}', False),
        (AT + ', "effect": {"fill": "red"}', False),
    ):
        assert check.is_valid(json.loads(layout(placed))) == sound, placed
