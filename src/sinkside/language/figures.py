"""A figure of an instruction or a limit in signs that need no translation: ≥ 30 min, 20–45 °C, < 45 °C."""

from __future__ import annotations

from decimal import Decimal

from sinkside.language.catalogue import catalogue
from sinkside.language.numbers import NO_BREAK, number, with_unit
from sinkside.quantities.figure import FigureValue

_EN_DASH = "\u2013"


def figure_text(figure: FigureValue, language: str = "en") -> str:
    r"""A figure as people read it: bound, number, unit, and gauge or absolute where it is said.

    Raises:
        BadInput: if the language is unknown.

    >>> figure_text(FigureValue(quantity="time", min=30, unit="min"))
    '≥\xa030\xa0min'
    >>> figure_text(FigureValue(quantity="temperature", min=20, max=45, unit="°C"))
    '20–45\xa0°C'
    >>> figure_text(FigureValue(quantity="temperature", max=45, unit="°C", strict=True))
    '<\xa045\xa0°C'
    """
    low, high = figure.ends()
    largest = high if high != float("inf") else low
    text = with_unit(_numbers(figure, language), figure.unit, language, plural_of=Decimal(repr(largest)))
    if figure.reference in {"absolute", "gauge"}:
        word = catalogue(language).message(str(figure.reference)).text
        return f"{text}{NO_BREAK}{word}"
    return text


def _numbers(figure: FigureValue, language: str) -> str:
    """The figure without its unit: 4, ≥ 30, < 45, 20–45."""
    if figure.value is not None:
        return number(figure.value, language)
    if figure.min is not None and figure.max is not None:
        # A minus sign beside a dash is hard to read at two metres.
        dash = f"{NO_BREAK}{_EN_DASH}{NO_BREAK}" if figure.max < 0 or figure.min < 0 else _EN_DASH
        return f"{number(figure.min, language)}{dash}{number(figure.max, language)}"
    signs = (">", "<") if figure.strict else ("≥", "≤")
    low, high = figure.ends()
    sign, end = (signs[0], low) if high == float("inf") else (signs[1], high)
    return f"{sign}{NO_BREAK}{number(end, language)}"
