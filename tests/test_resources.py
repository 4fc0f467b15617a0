"""Where the faces and the shared data are found, and what a person reads when they are not."""

from __future__ import annotations

from pathlib import Path

import pytest

from letterer import resources
from letterer.errors import LettererError


def copy(tmp_path: Path, *folders: str, checkout: bool) -> Path:
    """An imitation of letterer's package folder, with the folders named beside or inside it."""
    for folder in ("letterer", *folders):
        (tmp_path / folder).mkdir(parents=True)
    if checkout:
        (tmp_path / "pyproject.toml").touch()
    return tmp_path / "letterer"


def test_this_copy_has_both_folders() -> None:
    for folder, name in (
        (resources.fonts_folder(), "fonts_open"),
        (resources.shared_folder(), "shared"),
    ):
        assert folder.name == name
        assert folder.is_dir()


def test_a_checkout_has_them_at_its_top(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(resources, "_PACKAGE", copy(tmp_path, "fonts_open", checkout=True))
    assert resources.fonts_folder() == tmp_path / "fonts_open"


def test_an_installed_copy_has_them_packed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = copy(tmp_path, "letterer/_data/shared", "shared", checkout=True)
    monkeypatch.setattr(resources, "_PACKAGE", package)
    assert resources.shared_folder() == package / "_data" / "shared"


def test_a_neighbour_of_the_same_name_is_not_ours(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(resources, "_PACKAGE", copy(tmp_path, "shared", checkout=False))
    with pytest.raises(LettererError, match=r"lacks its own folder shared\. Install letterer"):
        resources.shared_folder()
