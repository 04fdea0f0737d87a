"""How hard water is, in the one measure that limits are written in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sinkside.errors import OutsideValidity

#: Molar masses in g/mol: calcium carbonate and calcium oxide (IUPAC 2021 abridged atomic weights Ca 40.078,
#: C 12.011, O 15.999; from memory).
_CALCIUM_CARBONATE: Final = 100.086
_CALCIUM_OXIDE: Final = 56.077

#: A grain is 64.79891 mg exactly; US and imperial gallon in litres, exact (NIST Handbook 44, appendix C; from
#: memory).
_GRAIN_MG: Final = 64.79891
_US_GALLON_L: Final = 3.785411784
_IMPERIAL_GALLON_L: Final = 4.54609

#: What one of each unit is in mg/L of calcium carbonate, by definition of the unit.
HARDNESS_UNITS: Final[Mapping[str, float]] = {
    "mg/L": 1.0,
    "mmol/L": _CALCIUM_CARBONATE,
    "°dH": 10.0 * _CALCIUM_CARBONATE / _CALCIUM_OXIDE,
    "°fH": 10.0,
    "°e": _GRAIN_MG / _IMPERIAL_GALLON_L,
    "gr/gal": _GRAIN_MG / _US_GALLON_L,
}


def hardness_as_calcium_carbonate(value: float, unit: str) -> float:
    """Total hardness of water in mg/L of calcium carbonate.

    Args:
        value: The hardness, not negative.
        unit: One of mg/L (of calcium carbonate), mmol/L, °dH (10 mg/L of calcium oxide), °fH (10 mg/L of
            calcium carbonate), °e (grains per imperial gallon), gr/gal (grains per US gallon).

    Raises:
        OutsideValidity: if the value is negative or the unit is none of these.

    Source: the definitions of the units.

    >>> round(hardness_as_calcium_carbonate(8.4, "°dH"))
    150
    """
    if unit not in HARDNESS_UNITS:
        raise OutsideValidity(
            f"'{unit}' is no unit of hardness; expected one of {', '.join(HARDNESS_UNITS)}",
            resource="hardness",
        )
    if not value >= 0.0:
        raise OutsideValidity(f"{value:g} {unit} is no hardness; expected 0 or more", resource="hardness")
    return value * HARDNESS_UNITS[unit]
