"""The figures that follow from a formula, recomputed here independently of Sinkside's own formulae.

Lethality: F0 = sum of 10^((T - Tref)/10) x minutes, A0 = sum of 10^((T - 80)/10) x seconds (definitions).
Steam: IAPWS-IF97 as CoolProp computes it; gauge pressures above a standard atmosphere of 101.325 kPa.
Conversions: exact definitions of inch, pound, US gallon and grain (SI; computed).
"""

from __future__ import annotations

import math

import pytest
from CoolProp.CoolProp import PropsSI

from sinkside.limits import published

ATMOSPHERE_PA = 101_325.0
PSI_PA = 0.45359237 * 9.80665 / 0.0254**2
GALLON_ML = 231 * 2.54**3


def saturation_pressure_kpa(celsius: float) -> float:
    """Absolute pressure of saturated steam."""
    return float(PropsSI("P", "T", celsius + 273.15, "Q", 1, "IF97::Water")) / 1000


def saturation_temperature_c(pascal: float) -> float:
    """Temperature of saturated steam at an absolute pressure."""
    return float(PropsSI("T", "P", pascal, "Q", 1, "IF97::Water")) - 273.15


def dose(celsius: float, reference_c: float, duration: float) -> float:
    """F0 or A0 of a square wave, z 10 K."""
    return float(10 ** ((celsius - reference_c) / 10) * duration)


SLOPE = (saturation_pressure_kpa(134.05) - saturation_pressure_kpa(133.95)) / 0.1
ALTITUDE_PA = ATMOSPHERE_PA * (1 - 0.0065 * 1609 / 288.15) ** 5.25588
GAUGE_121_PA = saturation_pressure_kpa(121) * 1000 - ATMOSPHERE_PA
LATENT_KJ = (
    PropsSI("H", "T", 407.15, "Q", 1, "IF97::Water") - PropsSI("H", "T", 407.15, "Q", 0, "IF97::Water")
) / 1000


@pytest.mark.parametrize(
    ("figure", "recomputed", "last_digit"),
    [
        ("f0-ratio-reference-121-0-to-121-1", 10**0.01, 1e-4),
        ("f0-121-0c-15min", dose(121, 121.1, 15), 0.01),
        ("f0-132c-4min", dose(132, 121.1, 4), 0.01),
        ("f0-134c-3min", dose(134, 121.1, 3), 0.01),
        ("f0-110c-30min-published", dose(110, 121.1, 30), 0.01),
        ("f0-111c-15min-ref121", dose(111, 121.0, 15), 0.01),
        ("lethality-bias-plus-1k", 10**0.1, 1e-3),
        ("a0-80c-10min", dose(80, 80, 600), 0.1),
        ("a0-90c-1min", dose(90, 80, 60), 0.1),
        ("a0-90c-5min", dose(90, 80, 300), 0.1),
        ("a0-98c-60s", dose(98, 80, 60), 1),
        ("a0-103c-90s-square-wave", dose(103, 80, 90), 1),
        ("saturation-pressure-121c", saturation_pressure_kpa(121), 0.01),
        ("saturation-pressure-132c", saturation_pressure_kpa(132), 0.01),
        ("saturation-pressure-134c", saturation_pressure_kpa(134), 0.01),
        ("saturation-pressure-137c", saturation_pressure_kpa(137), 0.01),
        ("saturation-gauge-121c-sea-level", GAUGE_121_PA / 1000, 0.1),
        ("saturation-gauge-134c-sea-level", saturation_pressure_kpa(134) - ATMOSPHERE_PA / 1000, 0.1),
        ("saturation-temperature-27psig", saturation_temperature_c(27 * PSI_PA + ATMOSPHERE_PA), 0.01),
        ("saturation-temperature-2-05bar-gauge", saturation_temperature_c(205_000 + ATMOSPHERE_PA), 0.1),
        ("saturation-slope-134c", SLOPE, 0.1),
        ("saturation-altitude-1609m-temperature", saturation_temperature_c(ALTITUDE_PA + GAUGE_121_PA), 0.1),
        ("saturation-altitude-1609m-gauge", (GAUGE_121_PA + ATMOSPHERE_PA - ALTITUDE_PA) / PSI_PA, 0.01),
        ("saturation-hfg-134c", LATENT_KJ, 0.1),
        ("air-mixture-134c-10pct", saturation_temperature_c(saturation_pressure_kpa(134) * 900), 0.01),
        ("air-three-pulses-residual", (0.1 / 2.0) ** 3, 1e-9),
        ("materials-condensate-10kg-steel", 10_000 * 0.5 * (134 - 21) / LATENT_KJ, 1),
        ("fbio-overkill-decimal-reductions", 6 + 6, 1e-9),
        ("bi-survival-1e5-d15", 1.5 * (5 - 2), 1e-9),
        ("bi-kill-1e5-d15", 1.5 * (5 + 4), 1e-9),
        ("bi-survival-1e6-d15", 1.5 * (6 - 2), 1e-9),
        ("bi-kill-1e6-d15", 1.5 * (6 + 4), 1e-9),
        ("people-zero-failures-sample", math.ceil(math.log(0.05) / math.log(0.95)), 1e-9),
        ("pairs-250f", (250 - 32) / 1.8, 0.01),
        ("pairs-270f", (270 - 32) / 1.8, 0.01),
        ("pairs-275f", (275 - 32) / 1.8, 0.01),
        ("air-leak-1mmhg-per-min", 1.33322, 1e-3),
        ("water-hardness-grain", 64.79891 / (GALLON_ML / 1000), 0.01),
        ("water-hardness-german-degree", 10 * 100.087 / 56.077, 0.01),
        ("detergent-dose-oz-per-gallon", 1000 / 128, 0.01),
        ("mass-set-limit-us", 25 * 0.45359237, 0.01),
        ("shelf-gap-sprinkler", 18 * 2.54, 0.1),
        ("mass-textile-pack-density", 7.2 * 0.45359237 / 0.3048**3, 0.1),
    ],
)
def test_worked_figures(figure: str, recomputed: float, last_digit: float) -> None:
    """A figure that follows from a formula agrees with the formula to half its last printed digit."""
    assert published(figure).value[0] == pytest.approx(recomputed, abs=0.5 * last_digit)


def test_a_published_dose_that_no_square_wave_gives() -> None:
    """The published A0 of 90 s at 103 °C is half as much again as its square wave: ramps were counted."""
    printed = published("a0-103c-90s-published").value[0]
    assert printed / dose(103, 80, 90) == pytest.approx(1.385, abs=0.001)
