"""Words of a report that stand for identifiers: criteria, phases, values, evidence."""

from __future__ import annotations

import re
from collections.abc import Mapping

from sinkside.findings import Measure
from sinkside.language import catalogue, computed, number

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


def evidence_words(value: Measure | int | str, language: str = "en") -> str:
    """One piece of evidence as text."""
    if isinstance(value, Measure):
        return computed(value.value, value.unit, language)
    return value if isinstance(value, str) else number(value, language)
