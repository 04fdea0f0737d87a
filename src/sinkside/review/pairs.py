"""One figure in two units: the value beside it, in parentheses, or as another way of writing a dose."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.limits import published
from sinkside.quantities import Figure, FigureQuantity, convert, measures_the_same
from sinkside.quantities.figure import FigureValue
from sinkside.review.case import Passage

_OUNCES = re.compile(
    r"(?P<whole>\d+(?:\.\d+)?)(?:/(?P<fraction>\d+))?\s*(?:fl\.?\s*)?oz\.?\s*(?:per|/|to (?:a|one|1))\s*gal",
    re.IGNORECASE,
)
_LITRES = re.compile(
    r"(?<![\d.,])(?P<litres>\d+(?:[.,]\d+)?)\s*(?:l|lit(?:re|er)s?)\s*(?:per|/|to|in)\s*(?:a\s|one\s|1\s|each\s)?"
    r"(?:l|lit(?:re|er)s?)\b",
    re.IGNORECASE,
)
_A_LITRE = re.compile(r"\s*(?:per|/|to|in)\s*(?:a\s|one\s|1\s|each\s)?(?:l|lit(?:re|er)s?)\b", re.IGNORECASE)
_DOSE_PAIRS = frozenset({"%", "mL/L", "mL/mL", "g/L", "ratio"})
_NEEDS_THESE = 2


def in_parentheses(passage: Passage, first: Figure) -> Iterator[tuple[Figure, Figure]]:
    """A figure with what stands behind it in parentheses, where both measure the same: "30 psi (2 bar)"."""
    for second in passage.figures:
        is_same_kind = second is not first and second.quantity is first.quantity and second.unit != first.unit
        if is_same_kind and first.as_written and second.as_written:
            for opening in ("(", "[", "/"):
                if f"{first.as_written} {opening}{second.as_written}" in passage.text:
                    yield first, second


def litres_a_litre(passage: Passage) -> Iterator[Figure]:
    """Doses in litres of cleaner a litre of water, which no reading takes for a dose."""
    for stated in passage.figures:
        behind = passage.text.partition(stated.as_written)[2] if stated.as_written else ""
        if stated.quantity is FigureQuantity.volume and stated.unit == "L" and _A_LITRE.match(behind):
            dose = {"quantity": FigureQuantity.concentration, "value": stated.number(), "unit": "mL/mL"}
            yield Figure(**dose, as_written=stated.as_written, role="dose")
            return
    for written in _LITRES.finditer(passage.text):
        parts = float(written["litres"].replace(",", "."))
        quantity = FigureQuantity.concentration
        yield Figure(quantity=quantity, value=parts, unit="mL/mL", as_written=written[0], role="dose")


def in_two_units(passage: Passage) -> Iterator[tuple[Figure, FigureValue]]:
    """Figures that say one thing in two units; temperatures are judged with the physics."""
    for stated in passage.figures:
        if stated.quantity is not FigureQuantity.temperature:
            yield from ((stated, other) for other in stated.also if _is_other_unit(stated.unit, other.unit))
            yield from (
                pair for pair in in_parentheses(passage, stated) if _is_other_unit(pair[0].unit, pair[1].unit)
            )
        if stated.unit in _DOSE_PAIRS:
            yield from ((other, stated) for other in _ounces_a_gallon(passage))
    shares = [stated for stated in passage.figures if stated.unit in _DOSE_PAIRS]
    if len(shares) == _NEEDS_THESE and shares[0].unit != shares[1].unit:
        yield shares[0], shares[1]


def _is_other_unit(one: str, other: str) -> bool:
    """Whether two units differ and measure the same thing."""
    return one != other and measures_the_same(_convertible(one), _convertible(other))


def number_in(stated: FigureValue, unit: str) -> float:
    """A figure's number in another unit; a litre of bath weighs a kilogram, so g/L counts as mL/L."""
    return convert(stated.number(), _convertible(stated.unit), _convertible(unit))


def _convertible(unit: str) -> str:
    return {"mL/mL": "ratio", "g/L": "mL/L"}.get(unit, unit)


def _ounces_a_gallon(passage: Passage) -> Iterator[Figure]:
    """A dose in US fluid ounces a gallon, in millilitres a litre (both customary units are exact)."""
    for written in _OUNCES.finditer(passage.text):
        whole, fraction = written["whole"], written["fraction"]
        ounces = float(whole) / float(fraction) if fraction else float(whole)
        yield Figure(
            quantity=FigureQuantity.concentration,
            value=ounces * published("detergent-dose-oz-per-gallon").value[0],
            unit="mL/L",
            as_written=written[0],
        )
