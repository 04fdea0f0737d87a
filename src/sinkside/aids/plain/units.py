"""A figure in the unit that a department reads: the maker's own other one, else converted safely."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from sinkside.aids.plain.habits import Units
from sinkside.quantities import Bound, FigureQuantity
from sinkside.quantities.figure import FigureValue
from sinkside.quantities.quantity import convert

#: To how many decimals a converted figure is written: finer than any display at a bench shows.
_DECIMALS = {"°C": 1, "°F": 1, "bar": 2, "kPa": 0, "mbar": 0, "psi": 1}

#: A converted end this close to a whole step is on it: binary floats cannot hold most decimals.
_SAME = 1e-6


def in_units(figure: FigureValue, units: Units) -> FigureValue:
    """A figure in the units that people here read; itself where they read the maker's.

    The least that a bound asks for is rounded up and the most down, so that what keeps to the converted
    figure keeps to the maker's.

    >>> warm = FigureValue(quantity="temperature", max=45, unit="°C")
    >>> in_units(warm, Units(temperature="°F")).max
    113.0
    >>> in_units(FigureValue(quantity="pressure", max=2, unit="bar"), Units(pressure="psi")).max
    29.0
    """
    unit = {
        FigureQuantity.temperature: units.temperature,
        FigureQuantity.pressure: units.pressure,
    }.get(figure.quantity, "")
    if not unit or unit == figure.unit:
        return figure
    own = next((one for one in getattr(figure, "also", ()) if one.unit == unit), None)
    return _like(figure, own) if own is not None else _converted(figure, unit)


def _like(figure: FigureValue, own: FigureValue) -> FigureValue:
    """The maker's own figure in another unit, with the bound and role of the first."""
    if own.bound is figure.bound:
        return figure.model_copy(update={**_ends_of(own), "unit": own.unit})
    number = own.number()
    bound = {Bound.value: "value", Bound.at_least: "min", Bound.at_most: "max"}.get(figure.bound)
    if bound is None:
        return _converted(figure, own.unit)
    return figure.model_copy(update={"unit": own.unit, bound: number})


def _ends_of(figure: FigureValue) -> dict[str, float | None]:
    return {"value": figure.value, "min": figure.min, "max": figure.max}


def _converted(figure: FigureValue, unit: str) -> FigureValue:
    scale = 10.0 ** _DECIMALS[unit]
    rounding: Mapping[str, Callable[[float], int]] = {"value": round, "min": math.ceil, "max": math.floor}

    def rounded(end: str, value: float | None) -> float | None:
        if value is None:
            return None
        steps = convert(value, figure.unit, unit) * scale
        nearest = round(steps)
        whole = nearest if abs(steps - nearest) < _SAME * max(1.0, abs(steps)) else rounding[end](steps)
        return whole / scale

    ends = {end: rounded(end, value) for end, value in _ends_of(figure).items()}
    return figure.model_copy(update={**ends, "unit": unit})
