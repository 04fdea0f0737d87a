"""How a bound is said: the template for each, and its sign."""

from __future__ import annotations

from collections.abc import Mapping

from sinkside.quantities import Bound
from sinkside.quantities.figure import FigureValue

#: By bound, and whether the end itself is left out.
BOUND_WORDS: Mapping[tuple[Bound, bool], str] = {
    (Bound.at_least, False): "at least {figure}",
    (Bound.at_least, True): "more than {figure}",
    (Bound.at_most, False): "at most {figure}",
    (Bound.at_most, True): "less than {figure}",
}

_SIGNS: Mapping[tuple[Bound, bool], str] = {
    (Bound.at_least, False): "≥",
    (Bound.at_least, True): ">",
    (Bound.at_most, False): "≤",
    (Bound.at_most, True): "<",
}


def bound_words(figure: FigureValue) -> str:
    """The template of a figure's bound; empty for a value or a range, which need no word.

    >>> bound_words(FigureValue(quantity="time", min=5, unit="min"))
    'at least {figure}'
    """
    return BOUND_WORDS.get((figure.bound, bool(figure.strict)), "")


def bound_sign(figure: FigureValue) -> str:
    """The sign of a figure's bound; empty for a value or a range.

    >>> bound_sign(FigureValue(quantity="temperature", max=45, unit="°C", strict=True))
    '<'
    """
    return _SIGNS.get((figure.bound, bool(figure.strict)), "")
