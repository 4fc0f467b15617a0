"""The specimen: every kind, tail, caption and effect in a style; and the house styles."""

from __future__ import annotations

from pathlib import Path

import pytest

from letterer.cli.main import main
from letterer.errors import LettererError
from letterer.model.style import KINDS, named_style, style_names
from letterer.specimen import chosen_style, specimen_page

READABLE, READABLE_WELL = 4.5, 7.0
"""WCAG 2.2, success criteria 1.4.3 and 1.4.6: contrast of words with what they stand on."""


def luminance(color: str) -> float:
    """Relative luminance (WCAG 2, from its definition)."""
    parts = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_known_values() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.478, abs=1e-3)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.542, abs=1e-3)


@pytest.mark.parametrize("name", style_names())
def test_words_of_every_kind_can_be_read_in_every_style(name: str) -> None:
    style = named_style(name)
    for kind in KINDS:
        look = style.look_of(kind)
        assert contrast(look.ink, look.paper) >= READABLE_WELL, kind


@pytest.mark.parametrize("name", style_names())
def test_every_kind_is_on_the_sheet_and_all_of_it_is_lettered(name: str) -> None:
    page = specimen_page(named_style(name))
    kinds = {unit.kind for unit in page.units}
    manners = set(KINDS) - {"caption"}
    assert kinds >= manners
    shapes = {tail.shape for unit in page.units for tail in unit.tails}
    assert shapes >= {"curved", "straight", "wavering", "lightning", "bubbles", "spike"}
    assert any(unit.joined for unit in page.units)
    assert not [str(one) for one in page.findings if one.severity == "problem"]


def test_styles_look_clearly_different() -> None:
    styles = [named_style(name) for name in style_names()]
    assert len(styles) >= 3
    for part in ("text", "effect", "border", "exponent", "tail_base"):
        assert len({getattr(style, part) for style in styles}) == len(styles), part


def test_the_command_draws_both_kinds_of_picture(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["specimen", "night ink", "-o", "new/sheet.svg"]) == 0
    assert "Look at new/sheet.svg." in capsys.readouterr().out
    text = (tmp_path / "new" / "sheet.svg").read_text("utf-8")
    assert "<title>Specimen of night ink</title>" in text
    assert main(["specimen", "-o", "sheet.png"]) == 0
    assert (tmp_path / "sheet.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("style", "target", "told"),
    [
        ("nite ink", "a.svg", "there is no style called 'nite ink'"),
        ("mine.json", "a.svg", "there is no style file 'mine.json'"),
        ("plain hand", "a.gif", "a specimen is drawn as .svg or .png"),
    ],
)
def test_slips_are_told(
    style: str, target: str, told: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert main(["specimen", style, "-o", str(tmp_path / target)]) == 1
    assert told in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_style_of_ones_own_by_its_file(tmp_path: Path) -> None:
    path = tmp_path / "own.json"
    path.write_text('{"letterer": 1, "name": "own", "border": 2}', "utf-8")
    assert chosen_style(str(path)).border == 2
    with pytest.raises(LettererError):
        chosen_style(str(tmp_path / "none.json"))
