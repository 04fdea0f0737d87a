"""How the pH of a cleaner is worded; each way of telling one range gives one figure (common practice)."""

from __future__ import annotations

import pytest

from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.lexicon import read_words
from sinkside.quantities import Figure


def figures(sentence: str) -> list[Figure]:
    return [figure for one in FigureGrammar(read_words(sentence)).read() for figure in one.figures]


@pytest.mark.parametrize(
    "words",
    [
        "Cleaners of pH 6 - 9.5",
        "pH from 6 up to 9.5",
        "The pH must lie between 6 and 9.5.",
        "Use cleaners between pH 6 and pH 9.5 only.",
        "Only cleaners with a pH above 6 and below 9.5.",
        "pH not lower than 6 and not higher than 9.5",
        "pH min. 6, max. 9.5",
        "pH >= 6 / <= 9.5",
        "pH below 6 or above 9.5 is not permitted.",
        "Do not use detergents with a pH below 6 or above 9.5.",
        "Chemicals less than pH 6 or more than pH 9.5 shall not be used.",
        "Agents whose pH in use lies below 6 or above 9.5 shall not be used.",
    ],
)
def test_one_range_in_many_wordings(words: str) -> None:
    """What lies outside is told as well as what lies inside; both say what the device withstands."""
    [figure] = figures(words)
    assert (figure.quantity, figure.min, figure.max) == ("ph", 6, 9.5)
    assert figure.as_written in words


@pytest.mark.parametrize(
    ("words", "least", "most", "value"),
    [
        ("an alkaline cleaner (pH 10 or more)", 10, None, None),
        ("up to pH 12", None, 12, None),
        ("pH up to 12", None, 12, None),
        ("a pH of 7.5", None, None, 7.5),
        ("pH 7, 5 min", None, None, 7),
    ],
)
def test_one_end_or_a_value(words: str, least: float | None, most: float | None, value: float | None) -> None:
    """A bound on one side stays one, and a number with a unit of its own behind it is no second end."""
    figure = figures(words)[0]
    assert (figure.min, figure.max, figure.value) == (least, most, value)
