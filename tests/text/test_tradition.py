"""What is typed becomes what is set: capitals, dashes, dots, spaces; marks stay in place."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from letterer.model.script import Run
from letterer.text.tradition import DressedText, Habits, Span, dress

USUAL = Habits()


def put(written: str, language: str = "en", habits: Habits = USUAL) -> str:
    return dress([Run(written)], language, habits).text


def parts(dressed: DressedText, spans: tuple[Span, ...]) -> list[str]:
    return [dressed.text[span.start : span.end] for span in spans]


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        # Dashes: joined to the word before; two hyphens whatever was typed.
        ("Wait -- what?", "WAIT-- WHAT?"),
        ("Wait — what?", "WAIT-- WHAT?"),
        ("Wait – what?", "WAIT-- WHAT?"),
        ("Wait—what?", "WAIT--WHAT?"),
        ("I was –", "I WAS--"),
        ("I was–", "I WAS--"),
        ('"I was –"', "“I WAS--”"),
        ("--and then", "--AND THEN"),
        ("he --and she", "HE --AND SHE"),
        ("pages 3–4", "PAGES 3–4"),
        ("rule ---", "RULE ---"),
        ("well-known", "WELL-KNOWN"),
        # Dots.
        ("So… no", "SO... NO"),
        ("So … no", "SO... NO"),
        ("So ...", "SO..."),
        ("So ...?", "SO...?"),
        ("...so", "...SO"),
        ("and ...so", "AND ...SO"),
        # Spaces and line breaks.
        ("  two   words \t here ", "TWO WORDS HERE"),
        ("one \n  two", "ONE\nTWO"),
        ("one\r\ntwo\rthree\u2028four\u2029five\u0085six", "ONE\nTWO\nTHREE\nFOUR\nFIVE\nSIX"),
        ("one\n\ntwo", "ONE\n\nTWO"),
        ("\n one \n", "ONE"),
        ("10\u00a0pm\u202f!", "10\u00a0PM\u202f!"),
        # Foreign speech in its angle brackets; sounds; marks.
        ("<Where is it?>", "<WHERE IS IT?>"),
        ("@#$%!", "@#$%!"),
        ("Hm?!", "HM?!"),
        ("♪ la la ♪", "♪ LA LA ♪"),
        # Combining marks are composed.
        ("e\u0301te\u0301", "ÉTÉ"),
        ("", ""),
    ],
)
def test_known_words(written: str, expected: str) -> None:
    assert put(written) == expected


def test_a_house_may_want_true_dashes_and_one_character_for_dots() -> None:
    habits = Habits(true_dash=True, single_dots=True)
    assert put("Wait -- what ... no—yes…", habits=habits) == "WAIT— WHAT… NO—YES…"


def test_a_house_may_keep_small_letters() -> None:
    assert put("Wait... it's Ann -- no", habits=Habits(capitals=False)) == "Wait... it’s Ann-- no"


def test_quotes_are_curled_in_english_only() -> None:
    assert put('it\'s "so"') == "IT’S “SO”"
    assert put('it\'s "so"', "en-GB") == "IT’S “SO”"
    assert put('l\'"eau"', "fr") == 'L\'"EAU"'


def test_as_typed_is_kept_from_everything_but_stray_spaces() -> None:
    typed = 'iPad… -- "it\'s" straße'
    dressed = dress([Run("an "), Run(typed, as_typed=True), Run(" it's…")])
    assert dressed.text == f"AN {typed} IT’S..."
    assert parts(dressed, dressed.as_typed) == [typed]
    assert dress([Run("a   b", as_typed=True)]).text == "a b"


def test_spans_stand_right_after_changes_of_length() -> None:
    dressed = dress(
        [
            Run("Straße… große "),
            Run("süße", emphasis=True),
            Run(" — "),
            Run("ﬁne", emphasis=True),
            Run("ß "),
            Run("eBay", as_typed=True),
        ]
    )
    assert dressed.text == "STRASSE... GROSSE SÜSSE-- FINESS eBay"
    assert parts(dressed, dressed.emphasis) == ["SÜSSE", "FINE"]
    assert parts(dressed, dressed.as_typed) == ["eBay"]


def test_spans_stand_right_where_marks_are_composed() -> None:
    dressed = dress([Run("e\u0301te\u0301 "), Run("so\u0301", emphasis=True), Run(" e\u0301")])
    assert dressed.text == "ÉTÉ SÓ É"
    assert parts(dressed, dressed.emphasis) == ["SÓ"]


def test_emphasis_inside_a_word_opens_no_space() -> None:
    dressed = dress([Run("un"), Run("believ", emphasis=True), Run("able")])
    assert dressed.text == "UNBELIEVABLE"
    assert parts(dressed, dressed.emphasis) == ["BELIEV"]
    assert [at for at in range(12) if dressed.emphasised(at)] == [2, 3, 4, 5, 6, 7]


def test_emphasis_of_a_dash_stays_with_the_dash() -> None:
    dressed = dress([Run("no "), Run("--", emphasis=True), Run(" yes")])
    assert dressed.text == "NO-- YES"
    assert parts(dressed, dressed.emphasis) == ["--"]


def test_runs_side_by_side_make_one_span() -> None:
    dressed = dress([Run("a", emphasis=True), Run("b", emphasis=True, as_typed=True), Run("c")])
    assert parts(dressed, dressed.emphasis) == ["Ab"]
    assert parts(dressed, dressed.as_typed) == ["b"]


def test_quotes_and_spaces_are_seen_across_runs() -> None:
    dressed = dress([Run('"'), Run("so", emphasis=True), Run('" he said ')])
    assert dressed.text == "“SO” HE SAID"
    assert parts(dressed, dressed.emphasis) == ["SO"]


# --- Whatever is written ----------------------------------------------------------------------

TEXTS = st.text(
    st.one_of(st.characters(), st.sampled_from("aIiß\u0130\u0131όἄϊᾳ…—–-.'\" \n\t\u00a0\u0301")),
    max_size=30,
)
LANGUAGES = st.sampled_from(["en", "de", "tr", "el", "lt", "hy", "fr"])
RUNS = st.lists(st.builds(Run, TEXTS, st.booleans(), st.booleans()), max_size=4)


def letters(text: str) -> str:
    """Letters and digits alone, however they are written: capital or small, with marks or not."""
    folded = unicodedata.normalize("NFKD", text).upper().casefold()
    bare = unicodedata.normalize("NFKD", folded).replace("\u0131", "i").replace("ե\u0582", "եվ")
    return "".join(char for char in bare if char.isalnum())


@given(RUNS, LANGUAGES, st.builds(Habits, st.booleans(), st.booleans(), st.booleans()))
@example([Run("ᾅ\u0345 ή"), Run("ﬀß", as_typed=True)], "el", Habits())
def test_no_letter_is_lost_or_invented(runs: list[Run], language: str, habits: Habits) -> None:
    dressed = dress(runs, language, habits)
    assert letters(dressed.text) == letters("".join(run.text for run in runs))


@given(RUNS, LANGUAGES)
def test_spans_lie_within_the_text_apart_and_in_order(runs: list[Run], language: str) -> None:
    dressed = dress(runs, language)
    for spans in (dressed.emphasis, dressed.as_typed):
        ends = [end for span in spans for end in (span.start, span.end)]
        assert ends == sorted(set(ends))
        assert not ends or (ends[0] >= 0 and ends[-1] <= len(dressed.text))
    assert all(dressed.text[at] == "I" for at in dressed.barred)


@given(RUNS)
def test_as_typed_parts_come_through_unchanged(runs: list[Run]) -> None:
    dressed = dress(runs)
    kept = "".join(parts(dressed, dressed.as_typed))
    typed = "".join(unicodedata.normalize("NFC", run.text) for run in runs if run.as_typed)
    assert "".join(kept.split()) == "".join(typed.split())


@given(TEXTS, LANGUAGES)
def test_no_blank_stands_at_an_end_or_twice(text: str, language: str) -> None:
    dressed = put(text, language)
    assert dressed == dressed.strip(" \n")
    assert not set("\t\r\v\f\u2028\u2029\u0085") & set(dressed)
    assert "  " not in dressed and " \n" not in dressed and "\n " not in dressed


@given(TEXTS)
def test_dressing_twice_changes_nothing(text: str) -> None:
    once = put(text)
    assert put(once) == once
