"""Numbers and units as each language writes them.

Expected forms of numbers are those of CLDR (from memory); the space between number and symbol is the SI's
(SI Brochure, 9th edition, 5.4.3; from memory).
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.errors import BadInput, BadQuantity
from sinkside.language import measure, number


def plain(text: str) -> str:
    """The text with ordinary spaces, so that expectations can be read."""
    return text.replace("\u00a0", " ").replace("\u202f", " ")


@pytest.mark.parametrize(
    ("value", "language", "expected"),
    [
        (132.0, "en", "132"),
        (0.5, "en", "0.5"),
        (0.5, "de", "0,5"),
        (2992.9, "en", "2,992.9"),
        (2992.9, "de", "2.992,9"),
        (1234567.0, "fr", "1 234 567"),
        (-3.0, "en", "\u22123"),
        (1e-6, "en", "0.000001"),
        (0.1 + 0.2, "en", "0.3"),
        (-0.0, "en", "0"),
        (100000, "pl", "100 000"),
        (100.0, "en", "100"),
    ],
)
def test_numbers(value: float, language: str, expected: str) -> None:
    """Decimal sign, grouping and minus follow the language; trailing zeros and float noise go."""
    assert plain(number(value, language)) == expected


@pytest.mark.parametrize(
    ("value", "unit", "language", "expected"),
    [
        (132.0, "°C", "en", "132 °C"),
        (4.0, "min", "de", "4 min"),
        (0.5, "%", "en", "0.5 %"),
        (0.5, "%", "de", "0,5 %"),
        (10.0, "%", "zh", "10%"),
        (7.0, "pH", "en", "pH 7"),
        (30.0, "deg", "en", "30°"),
        (3.0, "1", "en", "3"),
        (1.0, "month", "en", "1 month"),
        (3.0, "month", "pl", "3 miesiące"),
        (5.0, "month", "pl", "5 miesięcy"),
        (7.0, "d", "de", "7 Tage"),
        (3.0, "d", "vi", "3 ngày"),
        (4.0, "min", "ru", "4 мин"),
        (10.0, "CFU/mL", "en", "10 CFU/mL"),
    ],
)
def test_measures(value: float, unit: str, language: str, expected: str) -> None:
    """Symbols stay symbols; days, months and years are words in the plural that the language asks for."""
    assert plain(measure(value, unit, language)) == expected


def test_number_and_unit_stay_on_one_line() -> None:
    """No ordinary space, at which a line could break, stands in a measure."""
    assert " " not in measure(2992.9, "s", "en") + measure(3, "month", "pl") + measure(7, "pH", "fr")


@given(st.floats(min_value=0, max_value=1e9), st.integers(min_value=0, max_value=4))
def test_rounding_keeps_whole_digits(value: float, decimals: int) -> None:
    """A number as written differs from the value by no more than half its last place."""
    written = float(number(value, "en", decimals=decimals).replace(",", ""))
    half_a_place = 0.5 * 10**-decimals
    # 1.25 to one place is 1.2, and in binary the difference is a little more than a half.
    assert math.isclose(written, value, rel_tol=5e-6, abs_tol=half_a_place + 1e-12)


def test_fewer_decimals_on_request() -> None:
    """At most so many decimals are written as the sentence asks for, and none that are zero."""
    assert number(97.178, "en", decimals=1) == "97.2"
    assert number(97.0, "en", decimals=1) == "97"


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_what_is_no_number_is_not_written(value: float) -> None:
    """A value that is no number is refused rather than printed on paper."""
    with pytest.raises(BadQuantity, match="no number that can be written"):
        measure(value, "K")


@pytest.mark.parametrize("language", ["xx-nowhere", "", "klingon language", "../de"])
def test_unknown_languages_are_refused(language: str) -> None:
    """A language code that nobody knows is an error in words."""
    with pytest.raises(BadInput, match="is no language that Sinkside knows"):
        number(1, language)
