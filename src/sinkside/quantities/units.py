"""The one pint registry, and the spellings of units that people write.

Importing pint costs a fifth of a second, so it is imported at the first conversion.
"""

from __future__ import annotations

import functools
from importlib import resources
from typing import TYPE_CHECKING, Any

from sinkside.errors import BadQuantity

if TYPE_CHECKING:
    from pint import UnitRegistry

#: The plain units, each kind in multiples of its smallest, so that what is written in tens stays exact: most
#: commands convert nothing else, and need no pint.
FACTORS = {
    "s": ("time", 1.0),
    "min": ("time", 60.0),
    "h": ("time", 3600.0),
    "d": ("time", 86400.0),
    "week": ("time", 604800.0),
    "month": ("time", 2629800.0),
    "year": ("time", 31557600.0),
    "mm": ("length", 1.0),
    "cm": ("length", 10.0),
    "m": ("length", 1000.0),
    "in": ("length", 25.4),
    "µL": ("volume", 1.0),
    "mL": ("volume", 1e3),
    "L": ("volume", 1e6),
    "fl oz": ("volume", 29573.5295625),
    "Pa": ("pressure", 1.0),
    "mbar": ("pressure", 100.0),
    "kPa": ("pressure", 1e3),
    "bar": ("pressure", 1e5),
    "MPa": ("pressure", 1e6),
    "psi": ("pressure", 4.4482216152605 / 0.00064516),
    "g": ("mass", 1.0),
    "lb": ("mass", 453.59237),
    "kg": ("mass", 1e3),
    "Hz": ("frequency", 1.0),
    "kHz": ("frequency", 1e3),
    "MHz": ("frequency", 1e6),
    "mL/L": ("ratio", 1e3),
    "%": ("ratio", 1e4),
    "ratio": ("ratio", 1e6),
    "V": ("voltage", 1.0),
    "kV": ("voltage", 1e3),
    "µS/cm": ("conductivity", 1.0),
    "mS/cm": ("conductivity", 1e3),
}

#: How a unit of our documents is called in pint; the keys are the only units that documents may use.
PINT_NAMES = {
    "°C": "degC",
    "°F": "degF",
    "K": "kelvin",
    "s": "second",
    "min": "minute",
    "h": "hour",
    "d": "day",
    "week": "week",
    "month": "month",
    "year": "year",
    "µL": "microliter",
    "mL": "milliliter",
    "fl oz": "fluid_ounce",
    "L": "liter",
    "bar": "bar",
    "kPa": "kilopascal",
    "mbar": "millibar",
    "MPa": "megapascal",
    "Pa": "pascal",
    "psi": "psi",
    "bar/min": "bar/minute",
    "kPa/min": "kilopascal/minute",
    "mbar/min": "millibar/minute",
    "mL/L": "milliliter/liter",
    "oz/gal": "fluid_ounce/gallon",
    "g/L": "gram/liter",
    "mg/L": "milligram/liter",
    "%": "percent",
    "ratio": "dimensionless",
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "in": "inch",
    "Hz": "hertz",
    "kHz": "kilohertz",
    "MHz": "megahertz",
    "kg": "kilogram",
    "g": "gram",
    "lb": "pound",
    "µS/cm": "microsiemens/centimeter",
    "mS/cm": "millisiemens/centimeter",
    "mL/min": "milliliter/minute",
    "L/min": "liter/minute",
    "1/min": "1/minute",
    "W": "watt",
    "m/s": "meter/second",
    "deg": "degree",
    "N·m": "newton * meter",
    "N·cm": "newton * centimeter",
    "kV": "kilovolt",
    "V": "volt",
    "pH": "dimensionless",
    "1": "dimensionless",
}

#: Other ways of writing the same unit, lower case; the micro sign and the Greek letter are both met.
SPELLINGS = {
    "c": "°C",
    "degc": "°C",
    "deg c": "°C",
    "celsius": "°C",
    "f": "°F",
    "degf": "°F",
    "deg f": "°F",
    "fahrenheit": "°F",
    "sec": "s",
    "second": "s",
    "seconds": "s",
    "minute": "min",
    "minutes": "min",
    "mins": "min",
    "hour": "h",
    "hours": "h",
    "hr": "h",
    "hrs": "h",
    "day": "d",
    "days": "d",
    "weeks": "week",
    "months": "month",
    "years": "year",
    "ml": "mL",
    "millilitre": "mL",
    "milliliter": "mL",
    "l": "L",
    "litre": "L",
    "liter": "L",
    "litres": "L",
    "liters": "L",
    "ml/l": "mL/L",
    "l/min": "L/min",
    "\u03bcs/cm": "µS/cm",
    "us/cm": "µS/cm",
    "\u03bcl": "µL",
    "inch": "in",
    "inches": "in",
    "rpm": "1/min",
    "lbs": "lb",
    "percent": "%",
    "nm": "N·m",
    "ncm": "N·cm",
    "degree": "deg",
    "degrees": "deg",
    "°": "deg",
    "ph": "pH",
    "": "1",
}

_EXACT = {name.lower(): name for name in PINT_NAMES if name not in {"K", "MHz", "MPa", "mbar"}}


@functools.cache
def registry() -> UnitRegistry[Any]:
    """The one registry; readings in °C and °F convert as readings, differences are in K."""
    import pint

    units: UnitRegistry[Any] = pint.UnitRegistry(None, autoconvert_offset_to_baseunit=True)
    units.load_definitions(_definitions())
    return units


def _definitions() -> list[str]:
    """Our own short list of units; the one that pint ships takes a third of a second to read."""
    return resources.files("sinkside.quantities").joinpath("units.txt").read_text("utf-8").splitlines()


@functools.cache
def pint_unit(unit: str) -> Any:
    """The prebuilt pint unit of a canonical unit (conversion with it is five times quicker than by text).

    Raises:
        BadQuantity: if the unit is none of ours.
    """
    if unit not in PINT_NAMES:
        raise BadQuantity(f"'{unit}' is no unit that Sinkside knows", resource=unit)
    return registry().Unit(PINT_NAMES[unit])


def canonical_unit(written: str) -> str:
    """The canonical spelling of a unit as somebody wrote it.

    Raises:
        BadQuantity: if it is no known unit.

    >>> canonical_unit("minutes"), canonical_unit("degC"), canonical_unit("kPa")
    ('min', '°C', 'kPa')
    """
    text = " ".join(written.split())
    if text in PINT_NAMES:
        return text
    lowered = text.lower()
    unit = SPELLINGS.get(lowered) or _EXACT.get(lowered)
    if unit is None:
        raise BadQuantity(f"'{written}' is no unit that Sinkside knows", resource=written)
    return unit
