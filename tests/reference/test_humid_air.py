"""Humid air against ASHRAE's figures and the package psychrolib; blown air against fluids and CoolProp."""

from __future__ import annotations

import itertools
import json
from pathlib import Path
from typing import Any

import fluids
import psychrolib
import pytest
from CoolProp.CoolProp import PropsSI

from sinkside.errors import OutsideValidity
from sinkside.science.blown_air import (
    air_through_bore,
    air_viscosity_sutherland,
    drying_time,
    film_behind_bubble,
    surface_tension_iapws,
)
from sinkside.science.humid_air import HumidAir, saturated_humidity_ratio

#: ASHRAE Handbook Fundamentals 2017, ch. 1, and Cengel & Boles 14-1 to 14-3, as psychrolib's own tests and a
#: public textbook-companion notebook carry them.
DATA: dict[str, Any] = json.loads(
    (Path(__file__).parent / "data" / "psychrometrics.json").read_text(encoding="utf-8")
)
_GAS_CONSTANT = 287.042
_LAMINAR_BELOW, _CROSSED, _TURBULENT_FROM = 2300.0, 2700.0, 4000.0


def test_saturated_air_holds_what_ashrae_prints() -> None:
    """Humidity ratio of saturated air at one atmosphere, to the tolerance of the printed table."""
    printed = DATA["saturation_humidity_ratio_at_101325Pa"]
    for temperature_c, ratio in printed["rows"]:
        if temperature_c > 0.0:
            found = saturated_humidity_ratio(temperature_c, 101_325.0)
            assert found == pytest.approx(ratio, rel=printed["tol_rel"])


@pytest.mark.parametrize("case", [one for one in DATA["examples"] if "Tdp" not in one or "tdb" in one])
def test_examples_of_handbook_and_textbook(case: dict[str, Any]) -> None:
    """ASHRAE example 1 and Cengel & Boles 14-1 and 14-3: humidity ratio and wet bulb."""
    pressure = case.get("p", case.get("p_kPa", 101.325) * (1.0 if "p" in case else 1000.0))
    air = HumidAir(float(case["tdb"] if "tdb" in case else case["t"]), case["RH"], pressure)
    assert air.humidity_ratio == pytest.approx(case["W"], rel=0.02)
    if "twb" in case:
        assert air.wet_bulb_c == pytest.approx(case["twb"], abs=0.15)


def test_humid_air_agrees_with_psychrolib() -> None:
    """Humidity ratio to 0.1 % and wet bulb to 0.02 K over a grid of temperature, humidity, pressure."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    grid = itertools.product((5.0, 20.0, 35.0, 60.0), (0.05, 0.4, 0.9), (80_000.0, 101_325.0))
    for temperature_c, humidity, pressure in grid:
        air = HumidAir(temperature_c, humidity, pressure)
        expected = psychrolib.GetHumRatioFromRelHum(temperature_c, humidity, pressure)
        assert air.humidity_ratio == pytest.approx(expected, rel=1e-3)
        wet = psychrolib.GetTWetBulbFromRelHum(temperature_c, humidity, pressure)
        if wet > 0.0:  # below, psychrolib reckons with ice
            assert air.wet_bulb_c == pytest.approx(wet, abs=0.02)


def test_air_through_a_bore_agrees_with_fluids() -> None:
    """Isothermal flow with friction over a grid, choked where fluids says so, to 1 %."""
    for bore, length, gauge in itertools.product((1e-3, 2e-3, 5e-3), (0.05, 0.3, 1.0), (0.2e5, 1e5, 5e5)):
        inlet, outlet = 101_325.0 + gauge, 101_325.0
        found = air_through_bore(
            bore_m=bore, length_m=length, pressure_in_pa=inlet, pressure_out_pa=outlet, temperature_c=20.0
        )
        if _LAMINAR_BELOW < found.reynolds < _CROSSED:
            continue  # on the way from one law to the other: nobody can say
        factor = fluids.friction_factor(Re=max(found.reynolds, _TURBULENT_FROM), eD=0.0, Method="Colebrook")
        factor = 64.0 / found.reynolds if found.reynolds < _LAMINAR_BELOW else factor
        critical = fluids.P_isothermal_critical_flow(P=inlet, fd=factor, D=bore, L=length)
        assert found.choked is (critical > outlet), (bore, length, gauge)
        expected = fluids.isothermal_gas(
            rho=inlet / (_GAS_CONSTANT * 293.15),
            fd=factor,
            P1=inlet,
            P2=max(outlet, critical * 1.000001),
            L=length,
            D=bore,
        )
        assert found.mass_kg_s == pytest.approx(expected, rel=0.01), (bore, length, gauge)


def test_properties_agree_with_coolprop() -> None:
    """Viscosity of air to 2 %, surface tension of water to 0.2 %."""
    for temperature_c in (5.0, 20.0, 60.0, 90.0):
        kelvin = temperature_c + 273.15
        viscosity = PropsSI("V", "T", kelvin, "P", 101_325.0, "Air")
        assert air_viscosity_sutherland(temperature_c) == pytest.approx(viscosity, rel=0.02)
        tension = PropsSI("I", "T", kelvin, "Q", 0.0, "Water")
        assert surface_tension_iapws(temperature_c) == pytest.approx(tension, rel=2e-3)


def test_a_slow_bubble_leaves_the_film_of_bretherton() -> None:
    """At small capillary numbers the film is 1.34 r Ca^(2/3).

    Source: F. P. Bretherton, J. Fluid Mech. 10 (1961) 166 (from memory).
    """
    bore, speed, viscosity, tension = 1e-3, 1e-4, 1e-3, 0.0728
    film = film_behind_bubble(speed, bore_m=bore, viscosity_pa_s=viscosity, surface_tension_n_m=tension)
    assert film == pytest.approx(1.34 * bore / 2 * (viscosity * speed / tension) ** (2 / 3), rel=1e-3)


def test_fast_air_is_outside_the_film_model() -> None:
    """Above a capillary number of 1.4 no thickness is given."""
    with pytest.raises(OutsideValidity, match="capillary number"):
        film_behind_bubble(150.0, bore_m=2e-3, viscosity_pa_s=1e-3, surface_tension_n_m=0.0727)


def test_a_long_lumen_is_dried_by_what_the_air_can_hold() -> None:
    """Where air comes out saturated, the time is water over air times what it lacks at its wet bulb.

    Source: balance of vapour at adiabatic saturation, with psychrolib's figures.
    """
    psychrolib.SetUnitSystem(psychrolib.SI)
    air, mass, film = HumidAir(25.0, 0.3), 2e-6, 20e-6
    found = drying_time(bore_m=2e-3, length_m=2.0, film_m=film, air=air, mass_kg_s=mass)
    wet = psychrolib.GetTWetBulbFromRelHum(25.0, 0.3, 101_325.0)
    lacking = psychrolib.GetSatHumRatio(wet, 101_325.0) - psychrolib.GetHumRatioFromRelHum(
        25.0, 0.3, 101_325.0
    )
    water = 3.14159265 * 2e-3 * 2.0 * film * PropsSI("D", "T", wet + 273.15, "P", 101_325.0, "Water")
    assert found == pytest.approx(water / (mass * lacking), rel=0.02)


def test_saturated_air_dries_nothing() -> None:
    """Air that holds all it can is refused, not given an endless time."""
    with pytest.raises(OutsideValidity, match="dries nothing"):
        drying_time(bore_m=2e-3, length_m=0.3, film_m=20e-6, air=HumidAir(20.0, 1.0), mass_kg_s=1e-4)
