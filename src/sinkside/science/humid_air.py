"""Air with water vapour in it: how much it holds, how much more it can take up, how cold that makes it."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Final

from sinkside.science.steam import saturation_pressure_at_c
from sinkside.science.validity import Validity, refuse_unless_positive

_TEMPERATURE: Final = Validity("humid air, temperature", 0.01, 100.0, "°C")
_HUMIDITY: Final = Validity("humid air, relative humidity", 0.0, 1.0, "")
#: Molar mass of water over that of dry air. Source: ASHRAE Handbook Fundamentals 2017, ch. 1, equation 20.
_WATER_OVER_AIR: Final = 0.621945
_GAS_CONSTANT_DRY_AIR: Final = 287.042  # J/(kg·K); ASHRAE 2017, ch. 1, equation 1
_ZERO_C: Final = 273.15
_HALVINGS: Final = 40


@dataclass(frozen=True, slots=True)
class HumidAir:
    """Air at a temperature in °C, a relative humidity from 0 to 1, and an absolute pressure in Pa.

    Raises:
        OutsideValidity: if the temperature is not 0.01 to 100 °C, or the humidity not 0 to 1.
        ValueError: if the pressure is not above zero, or the vapour alone would have it.

    >>> round(HumidAir(40.0, 0.14, 101_325.0).humidity_ratio, 4)
    0.0064
    """

    temperature_c: float
    relative_humidity: float
    pressure_pa: float = 101_325.0

    def __post_init__(self) -> None:
        _TEMPERATURE.refuse_unless_covered(self.temperature_c)
        _HUMIDITY.refuse_unless_covered(self.relative_humidity)
        refuse_unless_positive(pressure=self.pressure_pa, air_pressure=self.pressure_pa - self.vapour_pa)

    @property
    def vapour_pa(self) -> float:
        """Partial pressure of the vapour in Pa."""
        return self.relative_humidity * float(saturation_pressure_at_c(self.temperature_c))

    @property
    def humidity_ratio(self) -> float:
        """Kilograms of vapour with each kilogram of dry air. Source: ASHRAE 2017, ch. 1, equation 20."""
        return _ratio(self.vapour_pa, self.pressure_pa)

    @property
    def dry_air_density(self) -> float:
        """Kilograms of dry air in a cubic metre; ideal gas."""
        dry_pa = self.pressure_pa - self.vapour_pa
        return dry_pa / (_GAS_CONSTANT_DRY_AIR * (self.temperature_c + _ZERO_C))

    @property
    def wet_bulb_c(self) -> float:
        """Temperature in °C that a wet surface takes in a stream of this air.

        Source: ASHRAE 2017, ch. 1, equation 33, solved by halving.

        >>> round(HumidAir(30.0, 0.6, 101_325.0).wet_bulb_c, 1)
        23.8
        """
        return _wet_bulb(self.temperature_c, self.humidity_ratio, self.pressure_pa)


def saturated_humidity_ratio(temperature_c: float, pressure_pa: float) -> float:
    """Kilograms of vapour that a kilogram of dry air can hold.

    Raises:
        OutsideValidity: if the temperature is not 0.01 to 100 °C.
        ValueError: if water would boil.

    Source: ASHRAE 2017, ch. 1, equation 23.

    >>> round(saturated_humidity_ratio(25.0, 101_325.0), 5)
    0.02008
    """
    return HumidAir(temperature_c, 1.0, pressure_pa).humidity_ratio


def _ratio(vapour_pa: float, pressure_pa: float) -> float:
    return _WATER_OVER_AIR * vapour_pa / (pressure_pa - vapour_pa)


def _ratio_of_wet_bulb(dry_c: float, wet_c: float, pressure_pa: float) -> float:
    """Humidity ratio of air whose wet bulb reads so; ASHRAE 2017, ch. 1, equation 33."""
    saturated = _ratio(float(saturation_pressure_at_c(wet_c)), pressure_pa)
    above = (2501.0 - 2.326 * wet_c) * saturated - 1.006 * (dry_c - wet_c)
    return above / (2501.0 + 1.86 * dry_c - 4.186 * wet_c)


@functools.lru_cache(maxsize=200)
def _wet_bulb(temperature_c: float, humidity_ratio: float, pressure_pa: float) -> float:
    low, high = _TEMPERATURE.low, temperature_c
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        is_above = _ratio_of_wet_bulb(temperature_c, middle, pressure_pa) > humidity_ratio
        low, high = (low, middle) if is_above else (middle, high)
    return 0.5 * (low + high)
