"""Additions that a text writes out."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

_SAME = 0.01
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_UNIT = r"(?:\s?(?:mL|ml|L|min|s|h|g|kg|mm|cm|°C))?"
_SUM = re.compile(
    rf"(?<![\d.,])(?P<terms>\d+(?:[.,]\d+)?{_UNIT}(?:\s?\+\s?\d+(?:[.,]\d+)?{_UNIT})+)\s?=\s?"
    r"(?P<stated>\d+(?:[.,]\d+)?)"
)


def wrong_sums(text: str) -> Iterator[tuple[str, float, float]]:
    """Each addition of a text that does not come out: as written, what it makes, and what is stated.

    >>> list(wrong_sums("Flush with 20 mL + 30 mL = 60 mL."))
    [('20 mL + 30 mL', 50.0, 60.0)]
    """
    for written in _SUM.finditer(text):
        terms = [float(term.replace(",", ".")) for term in _NUMBER.findall(written["terms"])]
        stated = float(written["stated"].replace(",", "."))
        if not math.isclose(sum(terms), stated, rel_tol=_SAME):
            yield written["terms"].strip(), sum(terms), stated
