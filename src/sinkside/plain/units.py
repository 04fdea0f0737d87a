"""A figure in the unit that a department reads: the maker's own other one, else converted safely."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from sinkside.plain.habits import Units
from sinkside.quantities import Bound, FigureQuantity
from sinkside.quantities.figure import FigureValue
from sinkside.quantities.quantity import convert

#: To how many decimals a converted figure is written: finer than any display at a bench shows.
_DECIMALS = {"°C": 1, "°F": 1, "bar": 2, "kPa": 0, "mbar": 0, "psi": 1}

#: How far a maker's rounded second figure may stand from the first.
_ROUNDED = {"°C": 1.0, "°F": 1.0, "bar": 0.06, "kPa": 6.0, "mbar": 60.0, "psi": 1.0}

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
    return makers_own(figure, unit) or _converted(figure, unit)


def makers_own(figure: FigureValue, unit: str) -> FigureValue | None:
    """What the maker says of a figure in another unit, with its bound; none where arithmetic says otherwise.

    "132 °C (270 °F)" is so rounded; "40 °C (140 °F)" is a fault of the text that no paper may repeat.

    >>> from sinkside.quantities import Figure
    >>> both = {"also": [{"quantity": "temperature", "value": 270, "unit": "°F"}]}
    >>> makers_own(Figure(quantity="temperature", min=132, unit="°C", **both), "°F").min
    270.0
    >>> makers_own(Figure(quantity="temperature", min=40, unit="°C", **both), "°F") is None
    True
    """
    own = next((one for one in getattr(figure, "also", ()) if one.unit == unit), None)
    if own is None or unit not in _ROUNDED:
        return None
    told = _with_bound(figure, own)
    if told is None or not all(map(_near(unit), told.ends(), figure.ends(unit))):
        return None
    return told


def _with_bound(figure: FigureValue, own: FigureValue) -> FigureValue | None:
    """The maker's other figure with the bound and role of the first; none where it has one end too few."""
    if own.bound is figure.bound:
        return figure.model_copy(update={**_ends_of(own), "unit": own.unit})
    bound = {Bound.value: "value", Bound.at_least: "min", Bound.at_most: "max"}.get(figure.bound)
    return figure.model_copy(update={"unit": own.unit, bound: own.number()}) if bound else None


def _near(unit: str) -> Callable[[float, float], bool]:
    """Whether two ends are the same as makers round them."""
    return lambda one, other: one == other or abs(one - other) <= _ROUNDED[unit]


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
