"""Words of a report that stand for identifiers: criteria, phases, values, evidence."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from sinkside.findings import Measure
from sinkside.language import catalogue, measure, number, render

#: Significant digits of a computed value: enough to check the arithmetic, no more than a sensor gives.
_DIGITS = 3
_MOST_DECIMALS = 4

_NAMES: Mapping[str, str] = {"f0": "F0", "a0": "A0", "ph": "pH"}

#: Verdicts by sign and word, as levels are.
ANSWERS: Mapping[str, tuple[str, str]] = {
    "meets": ("met", "Meets"),
    "unclear": ("concern", "Unclear"),
    "fails": ("stop", "Fails"),
}


def name_words(identifier: str, language: str = "en") -> str:
    """An identifier as words: exposure-time is 'Exposure time', f0 is 'F0'.

    >>> name_words("exposure-time"), name_words("f0"), name_words("saturation_temperature")
    ('Exposure time', 'F0', 'Saturation temperature')
    """
    words = _parted(identifier).split()
    written = " ".join(_NAMES.get(word.lower(), word) for word in words)
    return catalogue(language).message(written[:1].upper() + written[1:]).text


def phase_words(name: str, language: str = "en") -> str:
    """A phase's name as words, small as labels are."""
    return catalogue(language).message(_parted(name)).text


def _parted(identifier: str) -> str:
    """An identifier with its words parted; what is joined to 'pre' stays joined."""
    return re.sub(r"(?<!pre)[-_]", " ", identifier)


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


def evidence_words(value: Measure | int | str, language: str = "en") -> str:
    """One piece of evidence as text."""
    if isinstance(value, Measure):
        return computed(value.value, value.unit, language)
    return value if isinstance(value, str) else number(value, language)
