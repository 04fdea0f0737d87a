"""Additions that a text writes out."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from sinkside.quantities import Figure

_SAME = 0.01
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_UNIT = r"(?:\s?(?:mL|ml|L|min|s|h|g|kg|mm|cm|°C))?"
_SUM = re.compile(
    rf"(?<![\d.,])(?P<terms>\d+(?:[.,]\d+)?{_UNIT}(?:\s?\+\s?\d+(?:[.,]\d+)?{_UNIT})+)\s?=\s?"
    r"(?P<stated>\d+(?:[.,]\d+)?)"
)


def written_totals(text: str, stated: Sequence[Figure]) -> list[Figure]:
    """The figures of a text that stand as a total behind others: "(150 mL)", "= 150 mL", "150 mL in all"."""
    totals = []
    for figure in stated[1:]:
        written = re.escape(figure.as_written)
        as_total = rf"(?:[(\[=]\s*{written})|(?:{written}\s+(?:in all|in total|total|altogether))"
        if figure.as_written and re.search(as_total, text, re.IGNORECASE):
            totals.append(figure)
    return totals[:1]


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
