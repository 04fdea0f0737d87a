"""Measures made into figures, with the words as written."""

from __future__ import annotations

from typing import Any

from sinkside.draft.lexicon import Reading
from sinkside.draft.measures import Measure
from sinkside.quantities import Figure


def figure_from(reading: Reading, measure: Measure, code: str | None, span: tuple[int, int]) -> Figure:
    """The figure of a measure with a bound; `span` is from which token to which its words reach."""
    written = reading.words(*span).rstrip(" .,;")
    role = measure.unit.role if measure.unit.role not in {None, "-"} else None
    return Figure.model_validate({**_values(measure, code), "as_written": written, "role": role})


def with_others(
    reading: Reading, figure: Figure, others: list[Measure], *, code: str | None, reference: str | None
) -> Figure:
    """The figure with the same value in other units, and with the kind of pressure."""
    also = [
        {**_values(other, code, reference), "as_written": reading.words(other.first, other.last)}
        for other in others
    ]
    if not also and reference is None:
        return figure
    return Figure.model_validate(
        {**figure.model_dump(), "also": also, "reference": reference or figure.reference}
    )


def bound_by(figure: Figure, code: str, written: str) -> Figure:
    """The figure with a bound that stood before its name."""
    update: dict[str, Any] = {"as_written": written}
    if figure.value is not None:
        end = code.removeprefix("strict_")
        update |= {"value": None, end: figure.value, "strict": code.startswith("strict") or None}
    return figure.model_copy(update=update)


def _values(measure: Measure, code: str | None, reference: str | None = None) -> dict[str, Any]:
    """The fields that a figure and its value in another unit share."""
    values: dict[str, Any] = {"quantity": measure.unit.quantity, "unit": measure.unit.unit}
    if measure.unit.quantity == "pressure":
        values["reference"] = reference or "unsaid"
    if measure.high is not None:
        return {**values, "min": measure.low, "max": measure.high}
    if code is None:
        return {**values, "value": measure.low}
    if code.startswith("strict"):
        values["strict"] = True
    return {**values, code.removeprefix("strict_"): measure.low}
