"""Figures in words, with signs, primes and units of other lands (common practice, no source)."""

from __future__ import annotations

import pytest

from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.lexicon import read_words
from sinkside.quantities import Figure


def _figures(words: str, language: str = "en") -> list[Figure]:
    found = FigureGrammar(read_words(words, language)).read()
    return [figure for one in found for figure in one.figures]


@pytest.mark.parametrize(
    ("words", "value", "unit"),
    [
        ("Test for leaks at -0.8 bar.", -0.8, "bar"),
        ("Evacuate to −80 kPa.", -80.0, "kPa"),
        ("Keep it at -10 °C.", -10.0, "°C"),
    ],
)
def test_pressures_and_temperatures_keep_their_sign(words: str, value: float, unit: str) -> None:
    """A minus that touches its number is part of it; a pressure below zero counts from the air around."""
    (figure,) = _figures(words)
    assert (figure.value, figure.unit) == (value, unit)
    assert figure.reference == ("gauge" if unit != "°C" else None)


@pytest.mark.parametrize(
    ("language", "words", "value"),
    [
        ("en", "one hundred and forty-five cycles", 145.0),
        ("en", "two thousand five hundred cycles", 2500.0),
        ("fr", "cent vingt-cinq cycles", 125.0),
        ("es", "ciento cincuenta ciclos", 150.0),
        ("es", "treinta y cinco ciclos", 35.0),
        ("de", "dreiundzwanzig Zyklen", 23.0),
        ("de", "hundertfünfzig Zyklen", 150.0),
    ],
)
def test_numbers_of_several_words_are_one(language: str, words: str, value: float) -> None:
    """No part of a number in words is dropped: 'one hundred forty-five' is never 45."""
    (figure,) = _figures(words, language)
    assert figure.value == value


def test_primes_are_minutes_and_seconds() -> None:
    """10' is ten minutes, and 30" half of one beside it; alone it may be inches, and a human looks."""
    assert [(x.value, x.unit) for x in _figures("""Soak 10', rinse 1'30", then 30".""")] == [
        (10.0, "min"),
        (90.0, "s"),
        (30.0, "s"),
    ]
    assert _figures('Cut the tube at 30".') == []


def test_inches_lead_only_where_nothing_metric_stands_beside() -> None:
    """Inches alone are kept as printed; of a pair, the metric value leads and the other goes with it."""
    (alone,) = _figures("Use a brush 6.3 in long.")
    assert (alone.value, alone.unit) == (6.3, "in")
    (pair,) = _figures("Use a brush 6.3 in. (160 mm) long.")
    assert (pair.value, pair.unit, pair.also[0].value, pair.also[0].unit) == (160.0, "mm", 6.3, "in")


@pytest.mark.parametrize(
    ("words", "value", "unit"),
    [
        ("Soak for a full minute.", 1.0, "min"),
        ("Hold at 2 300 mbar.", 2300.0, "mbar"),
        ("Dilute the cleaner 1 in 100.", 0.01, "ratio"),
        ("Flush with 150 mL/min.", 150.0, "mL/min"),
        ("Rinse with water of 70 grados F.", 70.0, "°F"),
    ],
)
def test_further_ways_to_write_a_figure(words: str, value: float, unit: str) -> None:
    """Full minutes, thousands parted by a space, parts in so many, small flows, degrees in Spanish."""
    (figure,) = _figures(words)
    assert (figure.value, figure.unit) == (value, unit)


def test_the_hour_after_use_is_one() -> None:
    """'Within the hour' names no number and still is a time of one hour at most."""
    (figure,) = _figures("Bring it to cleaning within the hour.")
    assert (figure.max, figure.unit) == (1.0, "h")


def test_what_is_counted_may_go_without_saying() -> None:
    """'Scrap it at 150' counts uses; the sign of a magnification may stand before its number."""
    (life,) = _figures("Scrap it at 150 or when it fails.")
    assert (life.value, life.role) == (150.0, "life")
    (lens,) = _figures("Regarder à la loupe (x 10).", "fr")
    assert (lens.value, lens.role) == (10.0, "magnification")
