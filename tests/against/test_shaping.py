"""Shaping against HarfBuzz's own program `hb-shape` (Debian package libharfbuzz-bin).

The same font, text, script, direction, language and features must give the same glyphs in the same
places.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path

import pytest

from letterer.resources import fonts_folder
from letterer.text.faces import Face, library, open_face
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import DressedText, Span

Placed = list[tuple[int, int, int]]
"""Glyph number, x and y of its origin, in font units, y up."""

WORDS = {
    "Latn": (
        "en",
        "AVATAR WAVY TOAST LLAMA BOOKKEEPER FFION OFFICE FLUFFY YO-YO A.M. 1,234.50 (WHAT?!) "
        "“HUH…” IT’S @#$%! WAIT--BUT ÀÉÎÕÜ ÇA ŒUVRE STRASSE ŁÓDŹ ÞÓR ŽIŽEK NIÑO ĲSSEL Typed "
        "fjord Ty. KNÄCKEBRÖD ÅNGSTRÖM TĀTOU IĞDIR",
    ),
    "Grek": ("el", "ΝΑΙ ΟΧΙ ΜΑΪΟΥ ΑΫΛΟΣ ΓΙΑΤΙ ΤΑΥΤΟΤΗΤΑ Ή Λέξη ΑΥΓΟ"),
    "Cyrl": ("ru", "ГДЕ ТАТУ ЁЛКА ЩУКА ЙОД ГОЛУБЬ Слово ДАЛЕКО КТО"),
    "Hebr": ("he", "שלום עולם מה לעשות אני הולך הביתה שָׁלוֹם"),
    "Arab": ("ar", "مرحبا السلام عليكم لا أعرف ماذا قلت؟ بيت مدرسة سَلام"),
    "Thai": ("th", "สวัสดี ครับ ที่นี่ น้ำ ผู้ใหญ่ กำลัง"),
    "Deva": ("hi", "नमस्ते हिन्दी क्या हुआ क्षत्रिय प्रेम र्क कृपया"),
    "Zyyy": ("en", "♪♪ ♥★ →※ ♡☆〜 1,234 ?!"),
    "Jpan": ("ja", "ありがとう カタカナ 何だって 行くぞ 「待て」"),
}
SCRIPTS_OF = {"Jpan": "Hira"}
RIGHT_TO_LEFT = ("Hebr", "Arab")
FACES = sorted(fonts_folder().rglob("*.ttf"))


def by_hb_shape(
    tool: str, file: Path, texts: Sequence[str], script: str, language: str, features: str = ""
) -> list[Placed]:
    """Each text as `hb-shape` sets it."""
    direction = "rtl" if script in RIGHT_TO_LEFT else "ltr"
    answer = subprocess.run(
        [
            tool,
            str(file),
            "--output-format=json",
            "--no-glyph-names",
            "--shapers=ot",
            f"--script={script}",
            f"--direction={direction}",
            f"--language={language}",
            *([f"--features={features}"] if features else []),
        ],
        input="\n".join(texts),
        capture_output=True,
        check=True,
        encoding="utf-8",
    )
    shaped: list[Placed] = []
    for line in answer.stdout.splitlines():
        pen, placed = 0, []
        for glyph in json.loads(line):
            placed.append((glyph["g"], pen + glyph["dx"], glyph["dy"]))
            pen += glyph["ax"]
        shaped.append([*placed, (-1, pen, 0)])
    return shaped


def by_letterer(face: Face, text: str, language: str, barred: tuple[int, ...] = ()) -> Placed:
    """The same text as the Shaper sets it, with the end of the line as a last entry."""
    lettering = Lettering((face.family,), face.weight >= 600, face.italic)
    dressed = DressedText(text, language, barred=barred)
    line = Shaper(dressed, lettering, library()).line(0, len(text))
    assert {glyph.face for glyph in line.glyphs} == {face}
    return [
        *(
            (glyph.number, round(glyph.x * face.upem), round(-glyph.y * face.upem))
            for glyph in line.glyphs
        ),
        (-1, round(line.advance * face.upem), 0),
    ]


def test_avatar_in_comic_neue(reference_tool: Callable[[str], str]) -> None:
    """The numbers that hb-shape 6.0.0 gave, and gives."""
    file = fonts_folder() / "ComicNeue_400Regular.ttf"
    advances = [538, 474, 506, 435, 581, 596]
    stops = [0, 538, 1012, 1518, 1953, 2534, 3130]
    ours = by_letterer(open_face(file), "AVATAR", "en")
    assert [x for _, x, _ in ours] == stops
    assert [after - before for before, after in pairwise(stops)] == advances
    tool = reference_tool("hb-shape")
    assert by_hb_shape(tool, file, ["AVATAR"], "Latn", "en") == [ours]
    plain = by_hb_shape(tool, file, ["AVATAR"], "Latn", "en", "-kern")[0]
    assert plain[-1][1] == 3397


@pytest.mark.parametrize("file", FACES, ids=lambda file: file.stem)
def test_every_face_sets_the_words_it_has(file: Path, reference_tool: Callable[[str], str]) -> None:
    tool, face = reference_tool("hb-shape"), open_face(file)
    compared = 0
    for script, (language, words) in WORDS.items():
        texts = [word for word in words.split() if all(map(face.covers, word))]
        # The I with and without bars is checked by itself, below.
        texts = [text for text in texts if script != "Latn" or not set("IÎİĲ") & set(text)]
        if not texts:
            continue
        tag = SCRIPTS_OF.get(script, script)
        for text, theirs in zip(texts, by_hb_shape(tool, file, texts, tag, language), strict=True):
            if tag == "Hira" and not all("\u3041" <= char <= "\u3096" for char in text):
                continue  # several scripts: several runs, where hb-shape sees one
            assert by_letterer(face, text, language) == theirs, text
            compared += 1
    least = {"Yomogi": 4, "Letterer Marks": 0}  # of signs only
    assert compared >= least.get(face.family, 20)


def test_every_script_of_the_list_has_a_face() -> None:
    for language, words in WORDS.values():
        for word in words.split():
            assert any(all(map(open_face(file).covers, word)) for file in FACES), (language, word)


@pytest.mark.parametrize(
    "file",
    [file for file in FACES if file.stem.startswith(("LettererHand", "Playpen"))],
    ids=lambda file: file.stem,
)
def test_the_plain_and_the_barred_i(file: Path, reference_tool: Callable[[str], str]) -> None:
    """Ranges of ss01: Letterer Hand takes the bars away with it, Playpen Sans puts them on."""
    text, pronouns = "I SIT, I’M IN II", (0, 7)
    others = [at for at, char in enumerate(text) if char == "I" and at not in pronouns]
    wanted = others if file.stem.startswith("LettererHand") else pronouns
    features = ",".join(f"ss01[{at}:{at + 1}]=1" for at in wanted)
    theirs = by_hb_shape(reference_tool("hb-shape"), file, [text], "Latn", "en", features)
    assert by_letterer(open_face(file), text, "en", pronouns) == theirs[0]
    plain = by_hb_shape(reference_tool("hb-shape"), file, [text], "Latn", "en")
    assert plain != theirs


@pytest.mark.parametrize(
    ("stem", "language", "text"),
    [
        ("LettererHand-Regular", "ro", "ŞŢşţ"),
        ("LettererHand-Regular", "ca", "L·L"),
        ("PlaypenSans-Medium-LGC", "ca", "L·L"),
        ("Bangers_400Regular", "ro", "ŞŢ"),
    ],
)
def test_letters_whose_form_is_their_languages(
    stem: str, language: str, text: str, reference_tool: Callable[[str], str]
) -> None:
    file, tool = fonts_folder() / f"{stem}.ttf", reference_tool("hb-shape")
    theirs = by_hb_shape(tool, file, [text], "Latn", language)
    assert [by_letterer(open_face(file), text, language)] == theirs
    assert theirs != by_hb_shape(tool, file, [text], "Latn", "en")


def test_two_cuts_in_one_line_stand_side_by_side(reference_tool: Callable[[str], str]) -> None:
    """Emphasis inside a word: each part is as hb-shape sets it alone, with nothing between."""
    text = "UNBELIEVABLE"
    dressed = DressedText(text, "de", emphasis=(Span(2, 9),))
    line = Shaper(dressed, Lettering(("Comic Neue",)), library()).line(0, len(text))
    tool = reference_tool("hb-shape")
    pen, expected = 0, []
    for part, name in (("UN", "400Regular"), ("BELIEVA", "700Bold_Italic"), ("BLE", "400Regular")):
        file = fonts_folder() / f"ComicNeue_{name}.ttf"
        placed = by_hb_shape(tool, file, [part], "Latn", "de")[0]
        expected += [(number, pen + x) for number, x, _ in placed[:-1]]
        pen += placed[-1][1]
    assert [(glyph.number, round(glyph.x * 1000)) for glyph in line.glyphs] == expected
    assert round(line.advance * 1000) == pen
