"""Liquid water at atmospheric pressure: how dense and how viscous it is."""

from __future__ import annotations

from typing import Final

from sinkside.science.validity import FloatArray, Numbers, Validity, computed

_LIQUID_DENSITY: Final = Validity("water density, temperature", 0.0, 150.0, "°C")
_LIQUID_VISCOSITY: Final = Validity("water viscosity, temperature", -20.0, 110.0, "°C")


def water_density_kell_1975(temperature_c: Numbers) -> Numbers:
    """Density of air-free water at one atmosphere, in kg/m³.

    Args:
        temperature_c: Temperature in °C, one number or an array; 0 to 150 °C (above 100 °C it is the
            extrapolation that its author gave for superheated liquid).

    Raises:
        OutsideValidity: if a temperature is outside the range.

    Source: G. S. Kell, J. Chem. Eng. Data 20 (1975) 97, equation 16; coefficients and equation number from
    memory, checked against IAPWS-95 in the reference tests.

    >>> round(water_density_kell_1975(20.0), 2)
    998.2
    """
    return computed(temperature_c, _kell, _LIQUID_DENSITY)


def water_viscosity_iapws_2008(temperature_c: Numbers) -> Numbers:
    """Dynamic viscosity of liquid water at 0.1 MPa, in Pa·s.

    Args:
        temperature_c: Temperature in °C, one number or an array; -20 to 110 °C (below 0 °C supercooled).

    Raises:
        OutsideValidity: if a temperature is outside the range.

    Source: IAPWS SR6-08(2011), properties of liquid water at 0.1 MPa, equation for the viscosity;
    coefficients and range from memory, checked against the IAPWS 2008 formulation in the reference tests.

    >>> round(water_viscosity_iapws_2008(20.0) * 1000, 4)
    1.0016
    """
    return computed(temperature_c, _iapws_2008, _LIQUID_VISCOSITY)


def _kell(t: FloatArray) -> FloatArray:
    """The fraction of two polynomials, by Horner's rule."""
    cubic = 105.56302e-9 - 280.54253e-12 * t
    above = 999.83952 + t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * cubic)))
    return above / (1.0 + 16.879850e-3 * t)


def _iapws_2008(temperature_c: FloatArray) -> FloatArray:
    """Four powers of the temperature in units of 300 K."""
    reduced = (temperature_c + 273.15) / 300.0
    terms = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))
    total = sum((factor * reduced**power for factor, power in terms), start=0.0 * reduced)
    return 1e-6 * total
