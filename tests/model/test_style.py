"""House styles: the bundled one, styles of one's own, and what is told of faults in them."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from letterer import craft
from letterer.errors import LettererError
from letterer.model.style import (
    Style,
    named_style,
    parse_style,
    read_style,
    style_names,
)


def told(text: str) -> list[str]:
    """The lines told of a style text that has faults."""
    with pytest.raises(LettererError) as caught:
        parse_style(text, "own.json")
    return str(caught.value).splitlines()


def test_the_usual_style_is_what_the_code_takes_by_itself() -> None:
    style = named_style("plain hand")
    assert style.note
    assert style.model_copy(update={"note": None}) == Style()


def test_the_usual_style_writes_every_key_out(repository: Path) -> None:
    style = read_style(repository / "shared" / "styles" / "plain-hand.json")
    assert set(Style.model_fields) - style.model_fields_set == {"schema_"}


def test_bundled_styles_are_called_as_their_files(repository: Path) -> None:
    files = sorted((repository / "shared" / "styles").glob("*.json"))
    assert [read_style(path).name for path in files] == [
        path.stem.replace("-", " ") for path in files
    ]
    assert style_names() == tuple(read_style(path).name for path in files)
    assert "plain hand" in style_names()


def test_rules_of_the_trade_are_the_usual_values() -> None:
    style = Style()
    assert (style.size, style.smallest_size) == (craft.SIZE_USUAL, craft.SIZE_FLOOR)
    assert (style.air, style.exponent) == (craft.AIR_CAPS, craft.EXPONENT)
    assert style.aspect == craft.ASPECT_RANGE


def test_flush_is_a_gap_of_nothing() -> None:
    assert parse_style('{"gap": "flush"}').gap_points == 0
    assert parse_style('{"gap": 3}').gap_points == 3


def test_what_a_style_leaves_out_stays_as_usual() -> None:
    style = parse_style('{"letterer": 1, "name": "ruled", "hand": 0, "note": "for machines"}')
    assert (style.name, style.hand, style.note) == ("ruled", 0, "for machines")
    assert style.size == Style().size


def test_changes_make_a_new_style() -> None:
    style = Style()
    changed = style.with_changes({"size": 8, "aspect": (1, 2)})
    assert (changed.size, changed.aspect, style.size) == (8, (1, 2), 7.5)
    with pytest.raises(LettererError) as caught:
        style.with_changes({"size": 5})
    assert str(caught.value) == (
        "line 1: 'size' (5) is below 'smallest_size' (6)."
        " Make 'size' larger or 'smallest_size' smaller."
    )


def test_styles_are_frozen_and_can_be_sent_to_other_processes() -> None:
    style = parse_style('{"size": 8}')
    with pytest.raises(ValueError, match="frozen"):
        style.size = 9.0
    assert pickle.loads(pickle.dumps(style)) == style
    assert hash(style) == hash(parse_style('{"size": 8}'))


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('{"szie": 8}', "there is no key 'szie' in the file. Did you mean 'size'?"),
        ('{"size": "8"}', "'size' must be a number, and it is \"8\". Take the quotes away."),
        ('{"size": 0}', "'size' must be at least 1, and it is 0."),
        ('{"shout_size": 1.5}', "'shout_size' must be at most 1.3, and it is 1.5."),
        ('{"capitals": 1}', "'capitals' must be true or false, and it is 1."),
        (
            '{"ink": "black"}',
            "'ink' must be a colour: # and six digits from 0 to 9 and a to f, and it is \"black\".",
        ),
        ('{"dash": "tru"}', "'dash' cannot be \"tru\". Did you mean 'true'?"),
        (
            '{"dots": "four"}',
            "'dots' cannot be \"four\". Choose one of these: three, single.",
        ),
        ('{"aspect": [2, 1]}', "'aspect' gives the most before the least."),
        (
            '{"aspect": 2}',
            "'aspect' must be 2 numbers in square brackets, [least, most], and it is 2.",
        ),
        ('{"gap": "flsh"}', "'gap' cannot be \"flsh\". Did you mean 'flush'?"),
        ('{"gap": true}', "'gap' must be a number or \"flush\", and it is true."),
        (
            '{"fallback": ["A", 3]}',
            "entry 2 in 'fallback' must be a text in double quotes, and it is 3.",
        ),
        ('{"text": ""}', "'text' is empty. Write something between the quotes."),
        (
            '{"smallest_size": 9}',
            "'size' (7.5) is below 'smallest_size' (9)."
            " Make 'size' larger or 'smallest_size' smaller.",
        ),
        (
            '{"letterer": 2, "new": 1}',
            "this file was written for a newer letterer (version 2 of the format; this one reads"
            " version 1). Install a newer letterer.",
        ),
        ("[]", "the file must be keys and values in curly brackets, { }, and it is a list."),
    ],
)
def test_faults_in_plain_words(text: str, line: str) -> None:
    assert told(text) == [f"own.json, line 1: {line}"]


def test_all_faults_come_together_in_the_order_of_the_file() -> None:
    lines = told('{"size": NaN,\n"air": null,\n"air": -1,\n"ink": 3}')
    assert [line.partition(":")[0] for line in lines] == [
        f"own.json, line {number}" for number in (1, 3, 3, 4)
    ]


def test_unknown_names() -> None:
    with pytest.raises(LettererError) as caught:
        named_style("plain hnad")
    assert str(caught.value) == (
        "there is no style called 'plain hnad'. Did you mean 'plain hand'?"
        " For one of your own, give the path of its file, which ends in .json."
    )
    assert named_style("Plain Hand") == named_style("plain hand")
