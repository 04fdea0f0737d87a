"""Recorded units to those of a trace: °C, Pa, mL."""

from __future__ import annotations

import functools

from sinkside.cycles.trace import ChannelKind
from sinkside.errors import BadInput
from sinkside.quantities.units import PINT_NAMES, registry
from sinkside.science.validity import FloatArray

#: Units of pressure that recorders write and instructions do not.
_NAMES = {
    **PINT_NAMES,
    "mmHg": "mmHg",
    "inHg": "inHg",
    "cmHg": "mmHg * cm / mm",
    "atm": "atm",
    "kgf/cm**2": "technical_atmosphere",
}

_TRACE_UNITS = {ChannelKind.temperature: "°C", ChannelKind.pressure: "Pa", ChannelKind.volume: "mL"}


def in_trace_units(values: FloatArray, *, unit: str, kind: ChannelKind) -> FloatArray:
    """Readings in the unit that a trace holds them in.

    Raises:
        BadInput: if the unit does not measure that.

    >>> import numpy as np
    >>> in_trace_units(np.array([212.0]), unit="°F", kind=ChannelKind.temperature).round(9)
    array([100.])
    """
    if kind is ChannelKind.other or unit == _TRACE_UNITS[kind]:
        return values
    slope, offset = _line(unit, _TRACE_UNITS[kind])
    return values * slope + offset


@functools.cache
def _line(unit: str, to: str) -> tuple[float, float]:
    """Slope and offset of the conversion, which for all recorded units is a straight line."""
    import pint

    units = registry()
    name, target = _NAMES.get(unit, unit), _NAMES[to]
    try:
        zero, one = (float(units.Quantity(value, name).to(target).magnitude) for value in (0.0, 1.0))
    except pint.PintError as error:
        raise BadInput(f"'{unit}' is no unit that a recorder's {to} could be written in") from error
    return one - zero, zero
