"""Capitals against Unicode's SpecialCasing.txt and against ICU as Node.js carries it."""

from __future__ import annotations

import json
import random
import subprocess
import unicodedata
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from letterer.text.capitals import capitals, capitals_by_character

SPECIAL_CASING = "/usr/share/unicode/SpecialCasing.txt"
"""Debian package unicode-data."""

GREEK = [
    chr(code)
    for code in (*range(0x370, 0x400), *range(0x1F00, 0x2000), 0x2126)
    if unicodedata.category(chr(code)) != "Cn"
]
MARKS = "\u0300\u0301\u0302\u0303\u0304\u0306\u0308\u0311\u0313\u0314\u0342\u0343\u0344\u0345"


@pytest.mark.parametrize(
    ("language", "text", "expected"),
    [
        ("tr", "istanbul ılık", "İSTANBUL ILIK"),
        ("az", "iki ılıq", "İKİ ILIQ"),
        ("tr-TR", "i", "İ"),
        ("en", "istanbul", "ISTANBUL"),
        ("de", "straße, groß", "STRASSE, GROSS"),
        ("nl", "ijs bij de dijk", "IJS BIJ DE DIJK"),
        ("lt", "i\u0307\u0300 j\u0307\u0301", "I\u0300 J\u0301"),
        ("hy", "և", "ԵՎ"),
        ("fr", "œuvre, ça, l’été", "ŒUVRE, ÇA, L’ÉTÉ"),
        ("en", "ﬁne oﬃce ŉ", "FINE OFFICE ʼN"),
        # Greek: the rules of Unicode CLDR, which ICU follows too.
        ("el", "Είπα", "ΕΙΠΑ"),
        ("el", "Μαΐου", "ΜΑΪΟΥ"),
        ("el", "άυλος", "ΑΫΛΟΣ"),
        ("el", "μάιος", "ΜΑΪΟΣ"),
        ("el", "μα\u0301ιος", "ΜΑΪΟΣ"),
        ("el", "ρολόι", "ΡΟΛΟΪ"),
        ("el", "εΐ", "ΕΪ"),
        ("el", "προϋπόθεση", "ΠΡΟΫΠΟΘΕΣΗ"),
        ("el", "κακός άνθρωπος", "ΚΑΚΟΣ ΑΝΘΡΩΠΟΣ"),
        ("el", "εγώ ή εσύ", "ΕΓΩ Ή ΕΣΥ"),
        ("el", "ή", "Ή"),
        ("el", "η\u0301", "Ή"),
        ("el", "ήταν", "ΗΤΑΝ"),
        ("el", "η", "Η"),
        ("el", "ᾳ ᾅδω τῷ", "ΑΙ ΑΙΔΩ ΤΩΙ"),
        ("el", "ἀρχὴ ἦν ὁ λόγος", "ΑΡΧΗ ΗΝ Ο ΛΟΓΟΣ"),
        ("el-GR", "ΐ ΰ", "Ϊ Ϋ"),
        ("el", "OK, café: ναι", "OK, CAFÉ: ΝΑΙ"),
    ],
)
def test_known_words(language: str, text: str, expected: str) -> None:
    assert capitals(text, language) == expected


def test_unconditional_mappings_of_special_casing(
    reference_file: Callable[[str | Path], Path],
) -> None:
    count = 0
    for line in reference_file(SPECIAL_CASING).read_text(encoding="utf-8").splitlines():
        fields = [field.strip() for field in line.partition("#")[0].split(";")]
        if len(fields) != 5:  # code; lower; title; upper; (and a condition, in other lines)
            continue
        char = chr(int(fields[0], 16))
        upper = "".join(chr(int(code, 16)) for code in fields[3].split())
        assert capitals(char, "en") == upper, fields
        assert capitals(f"a{char}b", "de") == f"A{upper}B"
        count += 1
    assert count == 103


def test_mappings_by_language_of_special_casing(
    reference_file: Callable[[str | Path], Path],
) -> None:
    """Each that changes capitals: the dot of Turkish, Azeri and Lithuanian."""
    seen = set()
    for line in reference_file(SPECIAL_CASING).read_text(encoding="utf-8").splitlines():
        fields = [field.strip() for field in line.partition("#")[0].split(";")]
        if len(fields) != 6 or fields[4].partition(" ")[0] not in ("lt", "tr", "az"):
            continue
        language, _, condition = fields[4].partition(" ")
        char = chr(int(fields[0], 16))
        upper = "".join(chr(int(code, 16)) for code in fields[3].split())
        before = "i" if condition == "After_Soft_Dotted" else ""
        if condition in ("", "After_Soft_Dotted"):
            seen.add((language, char, upper))
            assert capitals(before + char, language) == capitals(before, language) + upper
    assert {("tr", "i", "İ"), ("az", "i", "İ"), ("lt", "\u0307", "")} <= seen


def by_node(tool: str, texts: Sequence[str], language: str) -> list[str]:
    """The texts in capitals by `String.prototype.toLocaleUpperCase` (ECMA-402), which is ICU's."""
    program = (
        "const texts = JSON.parse(require('fs').readFileSync(0, 'utf8'));"
        f"const upper = texts.map(text => text.toLocaleUpperCase('{language}'));"
        "console.log(JSON.stringify(upper));"
    )
    answer = subprocess.run(
        [tool, "-e", program],
        input=json.dumps(list(texts)),
        capture_output=True,
        check=True,
        encoding="utf-8",
    )
    return [str(text) for text in json.loads(answer.stdout)]


def test_greek_equals_icu(reference_tool: Callable[[str], str]) -> None:
    """All Greek letters, with every mark, after every accented vowel, and 3000 mixtures."""
    chance = random.Random(5)
    # Marks written apart, in the midst of several accented vowels, occur in no word; there ICU's
    # answer depends on how they are written, ours does not.
    stock = [*GREEK, *" '.a1’-"]
    texts = [
        *GREEK,
        *(letter + mark for letter in "αεηιουωρΗΥβϊώ" for mark in MARKS),
        *(vowel + letter for vowel in "άέήίόύώὰᾶϊΐάἄ" for letter in GREEK),
        *("".join(chance.choices(stock, k=chance.randint(2, 9))) for _ in range(3000)),
    ]
    theirs = by_node(reference_tool("node"), texts, "el")
    for text, upper in zip(texts, theirs, strict=True):
        ours = capitals(text, "el")
        assert unicodedata.normalize("NFC", ours) == unicodedata.normalize("NFC", upper), text


@pytest.mark.parametrize("language", ["en", "de", "tr", "az", "nl", "fr"])
def test_other_languages_equal_icu(language: str, reference_tool: Callable[[str], str]) -> None:
    """Every letter up to U+058F: Latin, Greek, Cyrillic, Armenian.

    A capital that is newer than this Python's Unicode data (of ƛ, in Unicode 16) is left out.
    """
    letters = [chr(code) for code in range(0x20, 0x590)]
    letters = [letter for letter in letters if unicodedata.category(letter) not in ("Cn", "Mn")]
    texts = [f"x{letter}y" for letter in letters]
    for text, upper in zip(texts, by_node(reference_tool("node"), texts, language), strict=True):
        if not any(unicodedata.category(char) == "Cn" for char in upper):
            assert capitals(text, language) == upper


def test_each_capital_knows_its_letter() -> None:
    assert capitals_by_character("aßΐ", "de") == [("A", 0), ("SS", 1), ("\u0399\u0308\u0301", 2)]
    assert capitals_by_character("ά\u0345ι", "el") == [("ΑΙ", 0), ("Ϊ", 2)]
