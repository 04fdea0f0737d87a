"""Flash, conduction and radiation against published examples, tables and libraries."""

from __future__ import annotations

import math

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from scipy import constants
from scipy.integrate import solve_ivp

from sinkside.errors import OutsideValidity
from sinkside.limits import published
from sinkside.moisture.balance import ItemState, item_water, steam_cycle
from sinkside.moisture.tables import material
from sinkside.quantities import convert
from sinkside.science.flash import flash
from sinkside.science.heat import Mass, condensate_of_load
from sinkside.science.radiation import STEFAN_BOLTZMANN, radiant_power
from sinkside.science.saturated_water import (
    latent_heat_clapeyron,
    liquid_density_iapws,
    liquid_enthalpy_iapws,
    vapour_density_iapws,
)
from sinkside.science.slab import slab_heat_given
from sinkside.science.steam import ICE_POINT_K, latent_heat, saturation_temperature_c


@pytest.mark.parametrize(
    ("pressure_bar", "printed_kj_kg", "percent"),
    [(8.01325, 721.1, 13.4), (6.0, 670.9, 11.16)],
)
def test_flash_of_condensate_let_down_to_the_atmosphere(
    pressure_bar: float, printed_kj_kg: float, percent: float
) -> None:
    """Condensate of 7 bar gauge gives 13.4 % of flash steam, of 6 bar absolute 11.16 %.

    Worked examples of two public engineering pages on flash steam, read as stored copies: heat of the liquid
    as printed there, 417.5 and 419.0 kJ/kg after, latent heat 2258 and 2257 kJ/kg; the
    second quotient is computed from them.
    """
    hot_c = saturation_temperature_c(pressure_bar * 1e5)
    assert liquid_enthalpy_iapws(hot_c) / 1000.0 == pytest.approx(printed_kj_kg, rel=2e-3)
    assert 100.0 * flash(hot_c, 100.0).fraction == pytest.approx(percent, abs=0.05)


def test_flash_in_british_units() -> None:
    """Condensate of 100 psi gauge gives 13.3 % at the atmosphere (308.8, 180 and 970.3 Btu/lb on the page).

    Worked example of a public page on flash steam, read as a stored copy.
    """
    hot_c = saturation_temperature_c(convert(100.0 + 14.696, "psi", "kPa") * 1000.0)
    assert liquid_enthalpy_iapws(hot_c) / 2326.0 == pytest.approx(308.8, rel=2e-3)
    assert 100.0 * flash(hot_c, 100.0).fraction == pytest.approx(100.0 * (308.8 - 180.0) / 970.3, abs=0.06)


@pytest.mark.parametrize(
    "temperature_c", [0.01, 5.0, 25.0, 45.8, 80.0, 100.0, 121.0, 134.0, 138.0, 200.0, 300.0]
)
def test_saturated_water_agrees_with_iapws_95(temperature_c: float) -> None:
    """Densities and latent heat agree with IAPWS-95 (CoolProp) to 0.03 %, the liquid's heat to 0.3 kJ/kg."""
    kelvin = temperature_c + ICE_POINT_K
    (vapour, vapour_density), (liquid, liquid_density) = (
        [PropsSI(what, "T", kelvin, "Q", quality, "Water") for what in ("H", "D")] for quality in (1, 0)
    )
    assert liquid_density_iapws(temperature_c) == pytest.approx(liquid_density, rel=3e-4)
    assert vapour_density_iapws(temperature_c) == pytest.approx(vapour_density, rel=3e-4)
    assert latent_heat_clapeyron(temperature_c) == pytest.approx(vapour - liquid, rel=3e-4)
    assert liquid_enthalpy_iapws(temperature_c) == pytest.approx(liquid, abs=300.0)


@pytest.mark.parametrize("temperature_c", [30.0, 45.8, 121.0, 134.0, 138.0])
def test_both_latent_heats_of_the_house_are_one(temperature_c: float) -> None:
    """The closed form agrees to 0.03 % with the latent heat of IAPWS-IF97 regions 1 and 2."""
    assert latent_heat_clapeyron(temperature_c) == pytest.approx(latent_heat(temperature_c), rel=3e-4)


@pytest.mark.parametrize("temperature_c", [-1.0, 351.0, math.nan])
def test_saturated_water_outside_its_range(temperature_c: float) -> None:
    """Ice, water near the critical point and no number at all are refused."""
    for model in (liquid_density_iapws, vapour_density_iapws, latent_heat_clapeyron, liquid_enthalpy_iapws):
        with pytest.raises(OutsideValidity, match="saturated water, temperature"):
            model(temperature_c)


def test_flash_ends_where_a_constant_enthalpy_expansion_ends() -> None:
    """The flash fraction is the vapour quality after a throttle at constant enthalpy (IAPWS-95, CoolProp)."""
    enthalpy = PropsSI("H", "T", 134.0 + ICE_POINT_K, "Q", 0, "Water")
    quality = PropsSI("Q", "H", enthalpy, "P", 10_000.0, "Water")
    assert flash(134.0, saturation_temperature_c(10_000.0)).fraction == pytest.approx(quality, rel=1e-3)


@pytest.mark.parametrize("fourier", [0.002, 0.02, 0.049, 0.051, 0.1, 0.3, 1.0, 3.0])
def test_a_wall_gives_up_its_heat_as_the_heat_equation_says(fourier: float) -> None:
    """The share agrees to 0.002 with the heat equation solved on 200 slices by scipy."""
    slices = 200
    step = 1.0 / slices

    def cooling(_time: float, warmth: np.ndarray) -> np.ndarray:
        """A wall with its cold face at half a slice before the first, and no heat through the last."""
        padded = np.concatenate(([-warmth[0]], warmth, [warmth[-1]]))
        return np.diff(padded, 2) / step**2

    end = solve_ivp(
        cooling, (0.0, fourier), np.ones(slices), method="LSODA", rtol=1e-6, atol=1e-9, lband=1, uband=1
    )
    given = slab_heat_given(fourier, depth_m=1.0, diffusivity_m2_s=1.0)
    assert given == pytest.approx(1.0 - end.y[:, -1].mean(), abs=2e-3)


def test_half_of_the_heat_is_gone_at_the_published_time() -> None:
    """A sheet cooled from both faces has given up half at α·t/l² = 0.04919.

    J. Crank, The Mathematics of Diffusion, half-time of sorption (figure from memory).
    """
    assert slab_heat_given(0.04919, depth_m=0.5, diffusivity_m2_s=1.0) == pytest.approx(0.5, abs=1e-4)


def test_radiation_has_the_constant_of_codata() -> None:
    """The constant is that of CODATA as scipy carries it, and a black surface at 300 K sends 459 W/m²."""
    assert pytest.approx(constants.Stefan_Boltzmann, rel=1e-9) == STEFAN_BOLTZMANN
    black = radiant_power(300.0 - ICE_POINT_K, -ICE_POINT_K, area_m2=1.0, exchange=1.0)
    assert black == pytest.approx(459.3, abs=0.05)


def test_ten_kilograms_of_steel() -> None:
    """Ten kilograms of steel from 21 to 134 °C condense the published 261 g (specific heat 0.5 kJ/(kg K))."""
    stated = published("materials-condensate-10kg-steel")
    heat = published("materials-steel-specific-heat").value[0] * 1000.0
    grams = 1000.0 * condensate_of_load(
        [Mass(10.0, heat)], start_c=21.0, end_c=134.0, latent_heat_j_kg=latent_heat(134.0)
    )
    assert grams == pytest.approx(stated.value[0], abs=1.0)


def test_a_tray_of_fifteen_pounds_condenses_about_a_cup() -> None:
    """A 15 lb tray heated from 70 to 270 °F condenses three quarters of a US cup or a little more.

    A public page on wet packs says "about a cup of water" (read as a stored copy); it names no metal.
    """
    start_c, end_c = convert(70.0, "°F", "°C"), convert(270.0, "°F", "°C")
    cycle = steam_cycle(end_c, drying_pa=10_000.0, drying_s=1800.0)
    state = ItemState(material("stainless-steel"), start_c, stays=0.3, reach=0.5, depth_m=0.002)
    water = item_water(convert(15.0, "lb", "kg"), state, cycle)
    cup_kg = 0.2366
    assert 0.6 < water.condensed_kg / cup_kg < 1.0


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_senseless_numbers_are_refused(bad: float) -> None:
    """Negative or missing water, heat, times, depths, areas are refused by name; so is warming by a flash."""
    with pytest.raises(ValueError, match="the water must"):
        flash(134.0, 45.0).evaporated(bad, 0.0)
    with pytest.raises(ValueError, match="the heat must"):
        flash(134.0, 45.0).evaporated(1.0, bad)
    with pytest.raises(ValueError, match="the time must"):
        slab_heat_given(bad, depth_m=0.001, diffusivity_m2_s=1e-6)
    with pytest.raises(ValueError, match="the depth must"):
        slab_heat_given(1.0, depth_m=bad, diffusivity_m2_s=1e-6)
    with pytest.raises(ValueError, match="the area must"):
        radiant_power(134.0, 45.0, area_m2=bad, exchange=0.5)
    with pytest.raises(ValueError, match="does not flash"):
        flash(45.0, 134.0)
    with pytest.raises(ValueError, match="takes up no radiant heat"):
        radiant_power(45.0, 134.0, area_m2=1.0, exchange=0.5)
