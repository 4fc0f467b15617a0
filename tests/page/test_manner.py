"""From what a unit is to how it is set."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from letterer import craft
from letterer.model.script import CaptionKind, Manner, Role, Unit
from letterer.model.style import Style
from letterer.page.manner import kind_of, setting_of

Units = Callable[..., Unit]


@pytest.mark.parametrize(
    ("role", "manners", "caption", "kind"),
    [
        (Role.SPEECH, (), None, "speech"),
        (Role.SPEECH, (Manner.OFF,), None, "speech"),
        (Role.SPEECH, (Manner.OFF, Manner.SHOUT), None, "shout"),
        (Role.SPEECH, (Manner.WHISPER,), None, "whisper"),
        (Role.CAPTION, (), None, "caption narration"),
        (Role.CAPTION, (), CaptionKind.PLACE, "caption place"),
        (Role.EFFECT, (), None, "effect"),
    ],
)
def test_kinds(
    role: Role, manners: tuple[Manner, ...], caption: CaptionKind | None, kind: str, unit: Units
) -> None:
    assert kind_of(unit(1, "x", role, manners, caption)) == kind


@pytest.mark.parametrize(
    ("kind", "size", "bold", "italic", "dashed", "outline"),
    [
        ("speech", 7.5, False, False, False, True),
        ("whisper", 7.5 * craft.WHISPER_SHARE, False, False, True, True),
        ("shout", 7.5 * craft.SHOUT_SHARE, True, False, False, True),
        ("open", 7.5, False, False, False, False),
        ("effect", 7.5, False, False, False, False),
        ("caption narration", 7.5, False, True, False, True),
        ("caption thought", 7.5, False, True, False, True),
        ("caption place", 7.5, False, False, False, True),
        ("caption", 7.5, False, True, False, True),
    ],
)
def test_settings(
    kind: str, size: float, bold: bool, italic: bool, dashed: bool, outline: bool, unit: Units
) -> None:
    found = setting_of(unit(1, "x"), Style(), kind)
    assert found.size == pytest.approx(size)
    assert (found.bold, found.italic, found.dashed) == (bold, italic, dashed)
    assert found.has_outline is outline
    assert found.is_caption is kind.startswith("caption")


def test_the_styles_faces_and_habits(unit: Units) -> None:
    style = Style().with_changes({"text": "Comic Neue", "capitals": False, "size": 8})
    speech = setting_of(unit(1, "x"), style)
    assert speech.families[0] == "Comic Neue" and not speech.capitals and speech.size == 8
    assert speech.families[1:] == style.fallback
    effect = setting_of(unit(1, "x", Role.EFFECT), style)
    assert effect.families[0] == style.effect
