"""Computed values for the eye: as many digits as they are worth."""

from __future__ import annotations

import math

from sinkside.language.numbers import measure
from sinkside.language.render import render

#: Significant digits of a computed value: enough to check the arithmetic, no more than a sensor gives.
_DIGITS = 3
_MOST_DECIMALS = 4


def computed(value: float, unit: str, language: str = "en") -> str:
    r"""A computed value with its unit, to three significant digits; tenths stay up to a thousand.

    >>> computed(97.21843, "°C"), computed(0.1306, "K"), computed(2992.94, "s"), computed(131.96, "°C")
    ('97.2\xa0°C', '0.13\xa0K', '2,993\xa0s', '132\xa0°C')
    """
    if not math.isfinite(value):
        return render("not known", {}, language)
    size = math.floor(math.log10(abs(value))) if value else 0
    decimals = min(max(1 if size < _DIGITS else 0, _DIGITS - 1 - size), _MOST_DECIMALS)
    if abs(value) < 1:
        decimals = min(max(2, 1 - size), _MOST_DECIMALS)
    return measure(value, unit, language, decimals=decimals)


def computed_range(low: float, high: float, unit: str) -> str:
    r"""A computed value that lies between two ends, in English; once where they show as one.

    >>> computed_range(0.1306, 2.14, "kPa"), computed_range(559.1, 559.11, "1")
    ('0.13 to 2.14\xa0kPa', '559.1')
    """
    least, most = computed(low, unit), computed(high, unit)
    if least == most:
        return most
    return f"{computed(low, '1')} to {most}"
