"""Steam against IAPWS-IF97's own verification values, CoolProp, and the standard atmosphere of fluids."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.atmosphere import ATMOSPHERE_1976

from sinkside.science.steam import (
    ICE_POINT_K,
    air_partial_pressure,
    latent_heat,
    saturation_pressure,
    saturation_pressure_at_c,
    saturation_slope,
    saturation_temperature,
    saturation_temperature_c,
    standard_atmosphere,
)

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8") as lines:
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def region_4(quantity: str) -> list[dict[str, str]]:
    return [row for row in rows("if97_verification.csv") if row["quantity"] == quantity]


# IAPWS R7-97(2012), Tables 35 and 36. Printed digits as quoted in the docstrings of the package iapws and
# reproduced with three independent packages; the table numbers are from memory.


@pytest.mark.parametrize("row", region_4("ps"), ids=lambda row: row["T_K"])
def test_saturation_pressure_has_the_printed_digits(row: dict[str, str]) -> None:
    """The forward equation gives the verification pressures of region 4 to all nine printed digits."""
    assert f"{saturation_pressure(float(row['T_K'])) * 1e-6:.9g}" == row["value"]


@pytest.mark.parametrize("row", region_4("Ts"), ids=lambda row: row["p_MPa"])
def test_saturation_temperature_has_the_printed_digits(row: dict[str, str]) -> None:
    """The backward equation gives the verification temperatures of region 4 to all nine printed digits."""
    assert f"{saturation_temperature(float(row['p_MPa']) * 1e6):.9g}" == row["value"]


def test_all_six_verification_values_are_there() -> None:
    """The checks above run on three pressures and three temperatures, not on an empty file."""
    assert (len(region_4("ps")), len(region_4("Ts"))) == (3, 3)


# Computed: CoolProp 8, its IF97 backend (the same formulation, written by others) and its IAPWS-95.


def test_coolprop_agrees_from_100_to_150_c() -> None:
    """Over the temperatures of sterilizers CoolProp's IF97 gives the same line, both ways, to 1e-6."""
    temperatures = np.linspace(100.0, 150.0, 201) + ICE_POINT_K
    pressures = PropsSI("P", "T", temperatures, "Q", 0, "IF97::Water")
    assert saturation_pressure(temperatures) == pytest.approx(pressures, rel=1e-6)
    backward = PropsSI("T", "P", pressures, "Q", 0, "IF97::Water")
    assert saturation_temperature(pressures) == pytest.approx(backward, rel=1e-6)


def test_iapws_95_agrees_from_0_to_200_c() -> None:
    """The scientific formulation IAPWS-95, a different equation, gives the same line to 2e-4."""
    temperatures = np.linspace(1.0, 200.0, 50) + ICE_POINT_K
    pressures = PropsSI("P", "T", temperatures, "Q", 0, "Water")
    assert saturation_pressure(temperatures) == pytest.approx(pressures, rel=2e-4)


def test_slope_agrees_with_coolprop_differences() -> None:
    """The slope of the line is what CoolProp's pressures a hundredth of a kelvin apart give, to 1e-6."""
    temperatures = np.linspace(60.0, 150.0, 19) + ICE_POINT_K
    above, below = (PropsSI("P", "T", temperatures + step, "Q", 0, "IF97::Water") for step in (0.005, -0.005))
    assert saturation_slope(temperatures) == pytest.approx((above - below) / 0.01, rel=1e-6)


# Computed with IF97 (package iapws 1.5.5) and IAPWS-95 (CoolProp 8.0.0); a printed table agrees to its
# digits at 60, 80 and 90 °C.


@pytest.mark.parametrize("row", rows("saturation_table.csv"), ids=lambda row: row["t_C"])
def test_saturation_table(row: dict[str, str]) -> None:
    """Pressure and heat of vaporisation agree with the table of another package to its rounding."""
    temperature = float(row["t_C"])
    assert saturation_pressure_at_c(temperature) / 1000.0 == pytest.approx(
        float(row["p_if97_kPa"]), abs=0.51e-5
    )
    assert latent_heat(temperature) / 1000.0 == pytest.approx(float(row["hfg_if97"]), abs=1.5e-3)
    assert latent_heat(temperature) / 1000.0 == pytest.approx(float(row["hfg_95"]), rel=5e-5)


# Computed: what follows for sterilizers from the same equations, rounded as shown.


def test_gauge_pressure_means_another_temperature_than_absolute() -> None:
    """2.05 bar is 121.0 °C read as absolute, and 134.2 °C read as gauge at the standard atmosphere."""
    assert round(saturation_temperature_c(205_000.0), 1) == 121.0
    assert round(saturation_temperature_c(205_000.0 + standard_atmosphere(0.0)), 1) == 134.2


def test_a_tenth_of_air_costs_some_kelvin() -> None:
    """A chamber at the pressure of 134 °C with 10 % air in it is at 130.43 °C only."""
    total = saturation_pressure_at_c(134.0)
    mixture_c = saturation_temperature_c(0.9 * total)
    assert round(mixture_c, 2) == 130.43
    assert air_partial_pressure(total, mixture_c + ICE_POINT_K) == pytest.approx(0.1 * total)


def test_the_same_gauge_pressure_is_cooler_at_altitude() -> None:
    """The gauge pressure of 121 °C at sea level gives 118.1 °C at 1,609 m."""
    gauge = saturation_pressure_at_c(121.0) - standard_atmosphere(0.0)
    assert round(saturation_temperature_c(gauge + standard_atmosphere(1609.0)), 1) == 118.1


# Computed: U.S. Standard Atmosphere 1976 as the package fluids has it, the same as ISO 2533 and ICAO below
# 32 km. fluids counts surveyed metres; its own conversion brings them to geopotential ones.


@pytest.mark.parametrize("surveyed_m", [-300.0, 0.0, 500.0, 1609.0, 2640.0, 4000.0, 8848.0])
def test_standard_atmosphere_agrees_with_fluids(surveyed_m: float) -> None:
    """The pressure of the lowest layer is that of an independent package to 1e-6."""
    geopotential_m = 6_356_766.0 * surveyed_m / (6_356_766.0 + surveyed_m)
    assert standard_atmosphere(geopotential_m) == pytest.approx(ATMOSPHERE_1976(surveyed_m).P, rel=1e-6)


# From memory: the pressures that the tables of the ICAO standard atmosphere print.


@pytest.mark.parametrize(
    ("altitude_m", "pressure_hpa"), [(0.0, 1013.25), (1000.0, 898.75), (2000.0, 794.95), (11_000.0, 226.32)]
)
def test_standard_atmosphere_has_the_printed_digits(altitude_m: float, pressure_hpa: float) -> None:
    """The lowest layer gives the well-known table values in hectopascal."""
    assert round(standard_atmosphere(altitude_m) / 100.0, 2) == pressure_hpa
