"""Reading grades by published formulas, against values that others computed with them."""

from __future__ import annotations

import pytest

from sinkside.plain.reading_ease import (
    Counts,
    counts,
    fernandez_huerta,
    flesch_kincaid,
    kandel_moles,
    lix,
    reading_ease,
    wiener_sachtextformel,
)
from sinkside.plain.reviewing import templates_of
from sinkside.plain.templates import HEADLINES

DOGS = "Cool dogs wear da sunglasses."
DUCKS = "Alle meine Entchen schwimmen auf dem See, Köpfchen unters Wasser, Schwänzchen in die Höh."
PARTIES = (
    "Alle Parteien widmen dem Thema rein quantitativ betrachtet nennenswerte Aufmerksamkeit, "
    "die Grünen wenig überraschend am meisten."
)


@pytest.mark.parametrize(("text", "grade"), [(DUCKS, 3.77), (PARTIES, 13.913)])
def test_wiener_sachtextformel_of_two_german_sentences(text: str, grade: float) -> None:
    """A nursery rhyme and a sentence of a newspaper: 3.770 and 13.913 (tests of textstat, read)."""
    assert wiener_sachtextformel(counts([text], "de")) == pytest.approx(grade, abs=5e-4)


def test_flesch_kincaid_and_lix_of_an_english_sentence() -> None:
    """Five words, one of more than six letters: grade 2.88 and LIX 25.0 (tests of textstat, read)."""
    found = counts([DOGS], "en")
    assert flesch_kincaid(found) == pytest.approx(2.88, abs=5e-3)
    assert lix(found) == pytest.approx(25.0)


def test_spanish_and_french_formulas_by_hand() -> None:
    """100 words in 10 sentences with 200 syllables, worked out by hand; formulas from memory."""
    found = Counts(sentences=10, words=100, long=20, hard=30, short=40, syllables=200)
    assert fernandez_huerta(found) == pytest.approx(206.84 - 120 - 10.2)
    assert kandel_moles(found) == pytest.approx(207 - 10.15 - 147.2)


@pytest.mark.parametrize(
    ("language", "names"),
    [
        ("en", ["Flesch-Kincaid grade", "LIX"]),
        ("de", ["First Wiener Sachtextformel", "LIX"]),
        ("es", ["Fernández Huerta", "LIX"]),
        ("fr", ["Kandel-Moles", "LIX"]),
        ("pl", ["LIX"]),
        ("vi", []),
        ("ar", []),
        ("zh", []),
    ],
)
def test_each_language_has_its_formula_or_none(language: str, names: list[str]) -> None:
    """A formula stands only where it was made for the language; each names who published it."""
    told = reading_ease([template.text for template in templates_of(language)] or [DOGS], language)
    assert [one.name for one in told] == names
    assert all(one.source.title and one.means for one in told)


def test_headlines_read_at_the_sixth_grade_or_below() -> None:
    """What is read in a hurry is easy by two formulas (the bar is that of plain-language advice)."""
    headlines = [text.replace("{on}", "lumen") for pair in HEADLINES.values() for text in dict.fromkeys(pair)]
    grade, index = reading_ease(headlines, "en")
    assert grade.value <= 6
    assert index.value < 30


def test_no_words_have_no_grade() -> None:
    """A text of figures alone is not graded."""
    assert reading_ease(["≥ 20", ""], "en") == ()
