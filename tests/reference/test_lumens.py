"""Flow in lumens against textbook examples, the package fluids, and IAPWS water."""

from __future__ import annotations

import itertools
import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids import dP_from_K, friction_factor

from sinkside.science.annulus import pressure_drop_annulus
from sinkside.science.lumens import lumen_flow
from sinkside.science.pipe_flow import (
    flow_regime,
    friction_factor_colebrook_1939,
    pressure_drop_hagen_poiseuille,
    reynolds_number,
    wall_shear,
)
from sinkside.science.water import water_density_kell_1975, water_viscosity_iapws_2008

DATA: dict[str, Any] = json.loads(
    (Path(__file__).parent / "data" / "fluids_small_tubes.json").read_text(encoding="utf-8")
)


def example(group: str, source: str) -> dict[str, Any]:
    return next(case for case in DATA[group] if case["src"].startswith(source))


# Companion: Fox & McDonald, Introduction to Fluid Mechanics, ch. 8, and Subramanya (stored answers of public
# textbook-companion notebooks, book pages not seen).


def test_capillary_viscometer() -> None:
    """Fox & McDonald 8.4: 880 mm³/s through a 0.5 mm bore, 1 m long, takes 1 MPa with the found viscosity."""
    case = example("hagen_poiseuille", "Fox & McDonald Ex 8.4")
    drop = pressure_drop_hagen_poiseuille(
        case["Q_m3s"], bore_m=case["D_m"], length_m=case["L_m"], viscosity_pa_s=case["recomputed_mu"]
    )
    assert drop == pytest.approx(case["dp_Pa"], rel=1e-12)
    assert round(case["recomputed_mu"], 4) == case["companion_mu"]


def test_capillary_viscometer_is_laminar() -> None:
    """Fox & McDonald 8.4: the velocity is 4.48 m/s and the Reynolds number 1,284, so the law applies."""
    case = example("hagen_poiseuille", "Fox & McDonald Ex 8.4")
    velocity = case["Q_m3s"] / (math.pi / 4.0 * case["D_m"] ** 2)
    assert round(velocity, 2) == case["computed_V"]
    reynolds = reynolds_number(velocity, case["D_m"], 999.0, case["recomputed_mu"])
    assert round(reynolds) == case["computed_Re"]
    assert flow_regime(reynolds) == "laminar"


def test_oil_pipe_pressure_and_wall_shear() -> None:
    """Subramanya 7.6: oil at 0.7 m/s in a 100 mm pipe loses 179.2 Pa a metre, 4.48 Pa shear at the wall."""
    case = example("hagen_poiseuille", "Subramanya")
    flow = case["V"] * math.pi / 4.0 * case["D_m"] ** 2
    drop = pressure_drop_hagen_poiseuille(flow, bore_m=case["D_m"], length_m=1.0, viscosity_pa_s=case["mu"])
    assert drop == pytest.approx(case["dp_per_m_Pa"])
    assert wall_shear(drop, bore_m=case["D_m"], length_m=1.0) == pytest.approx(case["tau0"])


def test_leak_past_a_piston() -> None:
    """Fox & McDonald 8.1: the leak of 57.57 mm³/s past a piston takes the stated 19 MPa.

    Answer companion; the givens from memory: piston 25 mm, clearance 5 µm, land 15 mm, oil of 0.018 Pa·s,
    20 MPa against 1 MPa. The book unrolls the gap into a slit, which costs 2e-4.
    """
    leak = example("annular_leak", "Fox & McDonald Ex 8.1")["printed_Q_mm3_s"] * 1e-9
    drop = pressure_drop_annulus(leak, bore_m=25.01e-3, rod_m=25e-3, length_m=15e-3, viscosity_pa_s=0.018)
    assert drop == pytest.approx(19e6, rel=5e-4)


def test_smooth_pipe_of_crane() -> None:
    """Crane TP-410 example 7.1, smooth plastic pipe, as the documentation of fluids quotes it: f 0.0179."""
    case = example("crane", "TP-410 7.1")
    assert friction_factor_colebrook_1939(case["Re_book"]) == pytest.approx(case["f_book"], rel=5e-3)


# Computed: the package fluids, with water from CoolProp (IAPWS-95 and the IAPWS 2008 viscosity). fluids takes
# turbulent flow from Reynolds number 2040 without a transition; the grid leaves 2040 to 4000 out.


def grid() -> list[tuple[float, float, float]]:
    bores_m = np.geomspace(0.8e-3, 8e-3, 7)
    flows_m3_s = np.geomspace(0.5e-6, 200e-6, 14)
    return list(itertools.product(bores_m.tolist(), flows_m3_s.tolist(), (15.0, 43.0, 80.0)))


def test_pressure_agrees_with_fluids_over_a_grid() -> None:
    """The pressure along a smooth lumen is that of fluids within 1 %, laminar and turbulent."""
    compared = {"laminar": 0, "turbulent": 0, "transitional": 0}
    for bore, flow, temperature in grid():
        density = PropsSI("D", "T", temperature + 273.15, "P", 101_325.0, "Water")
        viscosity = PropsSI("V", "T", temperature + 273.15, "P", 101_325.0, "Water")
        velocity = flow / (math.pi / 4.0 * bore**2)
        reynolds = density * velocity * bore / viscosity
        if 2040.0 <= reynolds < 4000.0 * 1.001:
            continue
        factor = friction_factor(Re=reynolds, eD=0.0)
        expected = dP_from_K(factor * 0.3 / bore, rho=density, V=velocity)
        found = lumen_flow(bore_m=bore, length_m=0.3, flow_m3_s=flow, temperature_c=temperature)
        assert found.pressure_drop_pa is not None
        assert found.pressure_drop_pa.low == found.pressure_drop_pa.high == pytest.approx(expected, rel=0.01)
        compared[found.regime] += 1
    assert compared["laminar"] > 80
    assert compared["turbulent"] > 80
    assert compared["transitional"] == 0


@pytest.mark.parametrize("relative_roughness", [0.0, 1e-5, 1e-3, 0.02, 0.05])
def test_friction_factor_agrees_with_fluids(relative_roughness: float) -> None:
    """Colebrook's factor is solved to 1e-9 of the independent solution in fluids over its whole range."""
    for reynolds in np.geomspace(4000.0, 1e8, 40):
        found = friction_factor_colebrook_1939(float(reynolds), relative_roughness=relative_roughness)
        assert found == pytest.approx(friction_factor(Re=float(reynolds), eD=relative_roughness), rel=1e-9)


def test_water_agrees_with_iapws() -> None:
    """Density within 2e-5 of IAPWS-95 and viscosity within 1e-4 of the IAPWS 2008 formulation, 0 to 99 °C."""
    temperatures = np.linspace(0.1, 99.0, 100)
    density = PropsSI("D", "T", temperatures + 273.15, "P", 101_325.0, "Water")
    viscosity = PropsSI("V", "T", temperatures + 273.15, "P", 101_325.0, "Water")
    assert water_density_kell_1975(temperatures) == pytest.approx(density, rel=2e-5)
    assert water_viscosity_iapws_2008(temperatures) == pytest.approx(viscosity, rel=1e-4)


def test_water_at_25_c_has_the_published_digits() -> None:
    """IAPWS SR6-08 prints 889.997 µPa·s at 298.15 K and Kell 997.04 kg/m³ at 25 °C (both from memory)."""
    assert water_viscosity_iapws_2008(25.0) * 1e6 == pytest.approx(889.997, abs=2e-3)
    assert water_density_kell_1975(25.0) == pytest.approx(997.04, abs=0.01)
