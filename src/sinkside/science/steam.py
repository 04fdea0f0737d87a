"""Saturated steam, the air it may be mixed with, and the atmosphere around the chamber.

Pressures are absolute. Region 4 of IAPWS-IF97 is written out here because it runs once per recorded
sample; what runs once per load comes from CoolProp.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from sinkside.science.validity import FloatArray, Numbers, Outside, Validity, computed

ICE_POINT_K: Final = 273.15

#: Coefficients of equations 29 to 31 (IAPWS R7-97(2012), Table 34).
_N: Final = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
_N1, _N2, _N3, _N4, _N5, _N6, _N7, _N8, _N9, _N10 = _N

SATURATED_TEMPERATURE: Final = Validity("saturated steam temperature", ICE_POINT_K, 647.096, "K")

#: Printed as 611.213 Pa and 22.064 MPa. Taken here are the unrounded pressures at 273.15 K and 647.096 K
#: (rounded outwards), so that the two equations cover the same line and undo each other up to its ends.
SATURATED_PRESSURE: Final = Validity("saturated steam pressure", 611.2126, 22.0640001e6, "Pa")

_LATENT_HEAT_RANGE: Final = Validity("latent heat of steam, temperature", 0.01, 350.0, "°C")
_TROPOSPHERE: Final = Validity("altitude", -2000.0, 11_000.0, "m")


def saturation_pressure(temperature_k: Numbers, *, outside: Outside = "raise") -> Numbers:
    """Absolute pressure of saturated steam (IAPWS-IF97 region 4).

    Args:
        temperature_k: Temperature in kelvin, one number or an array of any shape; 273.15 to 647.096 K.
            NaN in an array is a missing sample and stays NaN.
        outside: "raise", or "nan" to get NaN for each number outside the published range.

    Returns:
        Pressure in pascal, absolute, in the shape given.

    Raises:
        OutsideValidity: if a temperature is outside the published range and `outside` is "raise".

    Source: IAPWS R7-97(2012), equation 30 with 29b; verification values in its Table 35.

    >>> round(saturation_pressure(300.0), 5)
    3536.58941
    """
    return computed(temperature_k, _pressure_of, SATURATED_TEMPERATURE, outside)


def saturation_temperature(pressure_pa: Numbers, *, outside: Outside = "raise") -> Numbers:
    """Temperature of saturated steam (IAPWS-IF97 region 4, backward equation).

    Args:
        pressure_pa: Absolute pressure in pascal, one number or an array of any shape; 611.213 Pa to
            22.064 MPa. NaN in an array is a missing sample and stays NaN.
        outside: "raise", or "nan" to get NaN for each number outside the published range, as a trace
            needs whose vacuum goes below the triple point.

    Returns:
        Temperature in kelvin, in the shape given.

    Raises:
        OutsideValidity: if a pressure is outside the published range and `outside` is "raise".

    Source: IAPWS R7-97(2012), equation 31 with 29a; verification values in its Table 36.

    >>> round(saturation_temperature(1e6), 6)
    453.035632
    """
    return computed(pressure_pa, _temperature_of, SATURATED_PRESSURE, outside)


def saturation_pressure_at_c(temperature_c: Numbers, *, outside: Outside = "raise") -> Numbers:
    """Absolute pressure in pascal of saturated steam at a reading in °C; otherwise `saturation_pressure`.

    >>> round(saturation_pressure_at_c(134.0))
    304199
    """
    return saturation_pressure(temperature_c + ICE_POINT_K, outside=outside)


def saturation_temperature_c(pressure_pa: Numbers, *, outside: Outside = "raise") -> Numbers:
    """Temperature in °C of saturated steam at an absolute pressure; otherwise `saturation_temperature`.

    >>> round(saturation_temperature_c(205_000.0), 2)
    120.99
    """
    return saturation_temperature(pressure_pa, outside=outside) - ICE_POINT_K


def saturation_slope(temperature_k: Numbers, *, outside: Outside = "raise") -> Numbers:
    """How fast the pressure of saturated steam rises with its temperature, in Pa/K.

    Args:
        temperature_k: Temperature in kelvin, one number or an array; 273.15 to 647.096 K.
        outside: "raise", or "nan" to get NaN for each number outside the published range.

    Raises:
        OutsideValidity: if a temperature is outside the published range and `outside` is "raise".

    Source: IAPWS R7-97(2012), equation 29 (the implicit line), differentiated; no further approximation.

    >>> round(saturation_slope(134.0 + ICE_POINT_K) / 1000, 1)
    8.9
    """
    return computed(temperature_k, _slope_of, SATURATED_TEMPERATURE, outside)


def air_partial_pressure(
    pressure_pa: Numbers, temperature_k: Numbers, *, outside: Outside = "raise"
) -> Numbers:
    """Pressure of the air in a mixture of air and saturated steam, in Pa.

    The sign is kept. Below zero the steam is hotter than saturated, or a sensor is off, and nothing
    follows about air.

    Args:
        pressure_pa: Absolute total pressure in pascal.
        temperature_k: Temperature of the mixture in kelvin, in the same shape; 273.15 to 647.096 K.
        outside: "raise", or "nan" to get NaN where the temperature is outside the published range.

    Raises:
        OutsideValidity: if a temperature is outside the published range and `outside` is "raise".

    Source: Dalton's law of partial pressures, ideal mixture; steam pressure as in `saturation_pressure`.

    >>> round(air_partial_pressure(304_199.0, 130.43 + ICE_POINT_K) / 304_199, 3)
    0.1
    """
    return pressure_pa - saturation_pressure(temperature_k, outside=outside)


def latent_heat(temperature_c: Numbers) -> Numbers:
    """Heat that a kilogram of saturated steam gives up when it condenses, in J/kg.

    Loading CoolProp takes seconds; nothing that starts or judges a trace should call this.

    Args:
        temperature_c: Temperature in °C, one number or an array; from the triple point at 0.01 °C to
            350 °C, where IAPWS-IF97 gives both ends of the line by its regions 1 and 2. NaN in an array
            stays NaN.

    Raises:
        OutsideValidity: if a temperature is outside the range.

    Source: IAPWS R7-97(2012), enthalpy of regions 2 and 1 on the saturation line, computed by CoolProp.

    >>> round(latent_heat(134.0) / 1000, 1)
    2162.0
    """
    return computed(temperature_c, _latent_heat_of, _LATENT_HEAT_RANGE)


def standard_atmosphere(altitude_m: float) -> float:
    """Pressure of the standard atmosphere in its lowest layer, in Pa.

    The weather moves the real pressure by some 3 % either way. The model counts geopotential metres;
    a surveyed altitude of 3,000 m is 1.4 m less in them, which is 13 Pa.

    Args:
        altitude_m: Altitude above sea level in metres; -2,000 to 11,000 m.

    Raises:
        OutsideValidity: if the altitude is outside the layer.

    Source: ISO 2533:1975, equation 12, which is the ICAO standard atmosphere; constants and equation
    number from memory, checked against the package fluids in the reference tests.

    >>> round(standard_atmosphere(0.0)), round(standard_atmosphere(1609.0))
    (101325, 83431)
    """
    _TROPOSPHERE.refuse_unless_covered(altitude_m)
    lapse_k_per_m, sea_level_k, gravity, gas_constant = 0.0065, 288.15, 9.80665, 287.05287
    exponent = gravity / (gas_constant * lapse_k_per_m)
    return 101_325.0 * math.pow(1.0 - lapse_k_per_m * altitude_m / sea_level_k, exponent)


def _pressure_of(temperature_k: FloatArray) -> FloatArray:
    """Equation 30."""
    theta = temperature_k + _N9 / (temperature_k - _N10)
    a = (theta + _N1) * theta + _N2
    b = (_N3 * theta + _N4) * theta + _N5
    c = (_N6 * theta + _N7) * theta + _N8
    beta = 2.0 * c / (np.sqrt(b * b - 4.0 * a * c) - b)
    square = beta * beta
    return square * square * 1e6


def _temperature_of(pressure_pa: FloatArray) -> FloatArray:
    """Equation 31; two square roots cost a tenth of one fourth root by power."""
    square = np.sqrt(pressure_pa * 1e-6)
    beta = np.sqrt(square)
    e = square + _N3 * beta + _N6
    f = _N1 * square + _N4 * beta + _N7
    g = _N2 * square + _N5 * beta + _N8
    d = 2.0 * g / (-f - np.sqrt(f * f - 4.0 * e * g))
    total = _N10 + d
    return 0.5 * (total - np.sqrt(total * total - 4.0 * (_N9 + _N10 * d)))


def _slope_of(temperature_k: FloatArray) -> FloatArray:
    """Equation 29 differentiated on both sides."""
    beta = np.sqrt(np.sqrt(_pressure_of(temperature_k) * 1e-6))
    theta = temperature_k + _N9 / (temperature_k - _N10)
    by_theta = (2.0 * theta + _N1) * beta * beta + (2.0 * _N3 * theta + _N4) * beta + 2.0 * _N6 * theta + _N7
    by_beta = 2.0 * beta * ((theta + _N1) * theta + _N2) + (_N3 * theta + _N4) * theta + _N5
    theta_by_temperature = 1.0 - _N9 / (temperature_k - _N10) ** 2
    return -4e6 * beta**3 * theta_by_temperature * by_theta / by_beta


def _latent_heat_of(temperature_c: FloatArray) -> FloatArray:
    """Enthalpy of the vapour less that of the liquid; CoolProp refuses NaN, so it is kept out."""
    from CoolProp.CoolProp import PropsSI

    heat = np.full(temperature_c.shape, np.nan)
    known = np.isfinite(temperature_c)
    if known.any():
        temperature_k = temperature_c[known] + ICE_POINT_K
        vapour, liquid = (PropsSI("H", "T", temperature_k, "Q", quality, "IF97::Water") for quality in (1, 0))
        heat[known] = vapour - liquid
    return heat
