"""Sentences made of a template and values."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from sinkside.errors import BadInput, SinksideError
from sinkside.findings import Measure
from sinkside.language import render
from sinkside.quantities.figure import FigureValue


def plain(text: str) -> str:
    """The text with ordinary spaces."""
    return text.replace("\u00a0", " ")


@dataclass(frozen=True)
class Reading:
    """Anything with a value and a unit."""

    value: float
    unit: str


def test_every_kind_of_value_is_written() -> None:
    """Text, whole numbers, floats, measures of any make, figures and lists all find their words."""
    values = {
        "who": "the maker",
        "count": 3,
        "share": 0.25,
        "hold": Measure(value=240.0, unit="s"),
        "hot": Reading(132.0, "°C"),
        "said": FigureValue(quantity="time", min=4, unit="min"),
        "with": ["brush", "syringe", Reading(2, "mm")],
    }
    template = "{who} {count} {share} {hold} {hot} {said} {with}"
    expected = "the maker 3 0.25 240 s 132 °C ≥ 4 min brush, syringe, and 2 mm"
    assert plain(render(template, values)) == expected


def test_numbers_follow_the_language_even_where_the_sentence_stays_english() -> None:
    """A template without translation stays English; its numbers do not."""
    assert plain(render("A0 is {a0}.", {"a0": Measure(value=2992.9, unit="s")}, "de")) == "A0 is 2.992,9 s."


def test_a_template_may_ask_for_fewer_decimals() -> None:
    """`{name:.1}` writes at most one decimal."""
    assert plain(render("{t:.1}", {"t": Measure(value=97.178, unit="°C")})) == "97.2 °C"


def test_braces_and_values_are_not_read_twice() -> None:
    """Doubled braces are braces, and a value that looks like a field stays as it is."""
    assert render("{{{text}}}", {"text": "{hot}"}) == "{{hot}}"


@pytest.mark.parametrize("values", [{}, {"hold": None}])
def test_a_field_without_value_is_named(values: dict[str, object]) -> None:
    """A sentence with a hole is never printed; the error names the field."""
    with pytest.raises(SinksideError, match="the field 'hold' has no value"):
        render("Held for {hold}.", values)


@pytest.mark.parametrize("value", [True, object()])
def test_a_value_that_has_no_words_is_named(value: object) -> None:
    """A value that no sentence can carry is an error that names the field."""
    with pytest.raises(SinksideError, match="the field 'x' has a value that cannot be written"):
        render("{x}", {"x": value})


def test_an_unknown_language_is_refused() -> None:
    """A list in an unknown language is an error in words."""
    with pytest.raises(BadInput, match="no language"):
        render("{x}", {"x": ["a", "b"]}, "zz-zz")
