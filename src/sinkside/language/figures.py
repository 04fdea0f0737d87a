"""A figure of an instruction or a limit in signs that need no translation: ≥ 30 min, 20–45 °C, < 45 °C."""

from __future__ import annotations

import math
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
    >>> figure_text(FigureValue(quantity="temperature", max=45, unit="°C", strict=True))
    '<\xa045\xa0°C'
    """
    low, high = figure.ends()
    return bounds_text(
        low, high, figure.unit, language, strict=bool(figure.strict), reference=figure.reference
    )


def bounds_text(
    low: float,
    high: float,
    unit: str,
    language: str = "en",
    *,
    strict: bool = False,
    reference: str | None = None,
) -> str:
    r"""Two ends, of which one may be infinite, as people read them.

    Args:
        low: the lower end; the same as `high` for a single value.
        high: the upper end.
        unit: the unit of both.
        language: the language's code.
        strict: whether a single end is itself left out.
        reference: for a pressure, 'absolute' or 'gauge'.

    Raises:
        BadInput: if the language is unknown.
        BadQuantity: if both ends are infinite.

    >>> bounds_text(20, 45, "°C"), bounds_text(4, 4, "min")
    ('20–45\xa0°C', '4\xa0min')
    """
    largest = low if math.isinf(high) else high
    numbers = _numbers(low, high, language, strict=strict)
    text = with_unit(numbers, unit, language, plural_of=Decimal(repr(float(largest))))
    if reference in {"absolute", "gauge"}:
        return f"{text}{NO_BREAK}{catalogue(language).message(str(reference)).text}"
    return text


def _numbers(low: float, high: float, language: str, *, strict: bool) -> str:
    """The figure without its unit: 4, ≥ 30, < 45, 20–45."""
    if low == high:
        return number(low, language)
    if math.isinf(high):
        return f"{'>' if strict else '≥'}{NO_BREAK}{number(low, language)}"
    if math.isinf(low):
        return f"{'<' if strict else '≤'}{NO_BREAK}{number(high, language)}"
    # A minus sign beside a dash is hard to read at two metres.
    dash = f"{NO_BREAK}{_EN_DASH}{NO_BREAK}" if low < 0 or high < 0 else _EN_DASH
    return f"{number(low, language)}{dash}{number(high, language)}"
