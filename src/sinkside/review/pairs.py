"""One figure in two units: the value beside it, in parentheses, or as another way of writing a dose."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.quantities import Figure, FigureQuantity, convert, dimension_of
from sinkside.quantities.figure import FigureValue
from sinkside.review.case import Passage

_DOSE_PAIRS = frozenset({"%", "mL/L", "g/L", "ratio"})
_NEEDS_THESE = 2


def in_parentheses(passage: Passage, first: Figure) -> Iterator[tuple[Figure, Figure]]:
    """A figure with what stands behind it in parentheses, where both measure the same: "30 psi (2 bar)"."""
    for second in passage.figures:
        is_same_kind = second is not first and second.quantity is first.quantity and second.unit != first.unit
        if is_same_kind and first.as_written and second.as_written:
            for opening in ("(", "[", "/"):
                if f"{first.as_written} {opening}{second.as_written}" in passage.text:
                    yield first, second


def in_two_units(passage: Passage) -> Iterator[tuple[Figure, FigureValue]]:
    """Figures that say one thing in two units; temperatures are judged with the physics."""
    for stated in passage.figures:
        if stated.quantity is not FigureQuantity.temperature:
            yield from ((stated, other) for other in stated.also if _is_other_unit(stated.unit, other.unit))
            yield from (
                pair for pair in in_parentheses(passage, stated) if _is_other_unit(pair[0].unit, pair[1].unit)
            )
    shares = [stated for stated in passage.figures if stated.unit in _DOSE_PAIRS]
    if len(shares) == _NEEDS_THESE and shares[0].unit != shares[1].unit:
        yield shares[0], shares[1]


def _is_other_unit(one: str, other: str) -> bool:
    """Whether two units differ and measure the same thing."""
    return one != other and dimension_of(_convertible(one)) == dimension_of(_convertible(other))


def number_in(stated: FigureValue, unit: str) -> float:
    """A figure's number in another unit; a litre of bath weighs a kilogram, so g/L counts as mL/L."""
    return convert(stated.number(), _convertible(stated.unit), _convertible(unit))


def _convertible(unit: str) -> str:
    return {"mL/mL": "ratio", "g/L": "mL/L"}.get(unit, unit)
