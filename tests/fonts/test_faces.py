"""Every face that letterer ships: it opens, it may be shipped, and its licence stands beside it."""

from __future__ import annotations

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

FOLDER = Path(__file__).resolve().parents[2] / "fonts_open"
FACES = sorted(FOLDER.rglob("*.ttf"))
LICENCES = {
    "Bangers": "bangers-OFL.txt",
    "ComicNeue": "comic-neue-OFL.txt",
    "Kalam": "kalam-OFL.txt",
    "LettererHand": "shantell-sans-OFL.txt",
    "LettererMarks": "letterer-marks-OFL.txt",
    "LuckiestGuy": "luckiest-guy-Apache2.txt",
    "Mali": "mali-OFL.txt",
    "Marhey": "marhey-OFL.txt",
    "PermanentMarker": "permanent-marker-Apache2.txt",
    "PlaypenSans": "playpen-sans-OFL.txt",
    "PlaypenSansHebrew": "playpen-sans-hebrew-OFL.txt",
    "Symbols": "yomogi-OFL.txt",
    "YuseiMagic": "yusei-magic-OFL.txt",
}


def family_of(path: Path) -> str:
    return path.stem.partition("-")[0].partition("_")[0]


def by_name(path: Path) -> str:
    return path.stem


def test_all_the_faces_are_here() -> None:
    assert {family_of(path) for path in FACES} == set(LICENCES)
    assert len(FACES) == 26
    assert {path.name for path in (FOLDER / "licences").iterdir()} == set(LICENCES.values())


@pytest.mark.parametrize("path", FACES, ids=by_name)
def test_a_face_opens_and_draws(path: Path) -> None:
    font = TTFont(path, lazy=False)
    drawn = [name for name in font.getGlyphOrder() if font["glyf"][name].numberOfContours]
    assert len(drawn) >= (2 if family_of(path) == "LettererMarks" else 8)
    assert set(font.getBestCmap().values()) <= set(font.getGlyphOrder())
    assert len(font["hmtx"].metrics) == font["maxp"].numGlyphs


@pytest.mark.parametrize("path", FACES, ids=by_name)
def test_a_face_may_be_embedded_and_shipped(path: Path) -> None:
    font = TTFont(path)
    # OpenType specification, OS/2 table, fsType: 0 is "installable embedding", no restriction.
    assert font["OS/2"].fsType == 0
    # SIL Open Font License 1.1, condition 3, binds only a name declared as reserved.
    assert not any("Reserved Font Name" in str(record) for record in font["name"].names)


@pytest.mark.parametrize("path", FACES, ids=by_name)
def test_a_face_has_its_own_licence_beside_it(path: Path) -> None:
    names = TTFont(path)["name"]
    file = FOLDER / "licences" / LICENCES[family_of(path)]
    text = file.read_text(encoding="utf-8")
    if file.name.endswith("-OFL.txt"):
        assert "SIL OPEN FONT LICENSE Version 1.1" in text
        assert "SIL Open Font License, Version 1.1" in names.getDebugName(13)
        # Whose copyright the file states is whose licence this is (commas aside).
        assert _plain(names.getDebugName(0)) in _plain(text)
    else:
        assert "Apache License" in text and "Version 2.0, January 2004" in text
        assert "Apache License, Version 2.0" in names.getDebugName(13)
        assert names.getDebugName(0).startswith("Copyright (c) ")


def _plain(text: str) -> str:
    return " ".join(text.replace(",", " ").split())


def test_the_table_of_the_readme_names_every_face_and_every_licence() -> None:
    told = (FOLDER / "README.md").read_text(encoding="utf-8")
    for path in FACES:
        first, mark, rest = path.stem.partition("_" if "_" in path.stem else "-")
        assert f"`{path.stem}`" in told or (f"`{first}{mark}" in told and f"`{mark}{rest}`" in told)
    for licence in LICENCES.values():
        assert f"`licences/{licence}`" in told
