"""Flow in lumens: what must hold for every bore."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.errors import OutsideValidity
from sinkside.science.annulus import pressure_drop_annulus, wall_shear_annulus
from sinkside.science.lumens import exchanges, lumen_flow, lumen_volume, syringe_force
from sinkside.science.pipe_flow import (
    friction_factor_colebrook_1939,
    laminar_entry_length,
    pressure_drop_darcy_weisbach,
    pressure_drop_hagen_poiseuille,
    reynolds_number,
    wall_shear,
)
from sinkside.science.water import water_viscosity_iapws_2008

bores_m = st.floats(0.5e-3, 10e-3)
lengths_m = st.floats(0.05, 3.0)
flows_m3_s = st.floats(1e-8, 200e-6)
ratios = st.floats(0.01, 0.99)


@given(bores_m, lengths_m, flows_m3_s, st.floats(1.0, 95.0))
def test_a_lumen_flow_is_consistent(
    bore_m: float, length_m: float, flow_m3_s: float, temperature_c: float
) -> None:
    """Volume, velocity and exchange fit together, and friction and shear are positive and in order."""
    flow = lumen_flow(bore_m=bore_m, length_m=length_m, flow_m3_s=flow_m3_s, temperature_c=temperature_c)
    assert flow.velocity_m_s * flow.exchange_s == pytest.approx(length_m)
    assert flow.exchanges(3.0 * flow.volume_m3) == pytest.approx(3.0)
    assert 0.0 < flow.pressure_drop_pa.low <= flow.pressure_drop_pa.high
    assert (flow.pressure_drop_pa.low < flow.pressure_drop_pa.high) is (flow.regime == "transitional")
    assert flow.wall_shear_pa.high == pytest.approx(flow.pressure_drop_pa.high * bore_m / 4.0 / length_m)
    assert (flow.entry_length_m is not None) is (flow.regime == "laminar")


@given(bores_m, ratios, lengths_m, st.floats(1e-9, 1e-6))
def test_a_rod_raises_pressure_and_balances_forces(
    bore_m: float, ratio: float, length_m: float, flow_m3_s: float
) -> None:
    """Around a rod the same flow takes more pressure, which the shear at both walls holds exactly."""
    rod_m, viscosity = ratio * bore_m, 1e-3
    drop = pressure_drop_annulus(
        flow_m3_s, bore_m=bore_m, rod_m=rod_m, length_m=length_m, viscosity_pa_s=viscosity
    )
    assert drop > pressure_drop_hagen_poiseuille(
        flow_m3_s, bore_m=bore_m, length_m=length_m, viscosity_pa_s=viscosity
    )
    shear = wall_shear_annulus(drop, bore_m=bore_m, rod_m=rod_m, length_m=length_m)
    held = math.pi * length_m * (shear.bore_pa * bore_m + shear.rod_pa * rod_m)
    assert held == pytest.approx(drop * math.pi / 4.0 * (bore_m**2 - rod_m**2), rel=1e-6)
    assert shear.rod_pa > shear.bore_pa > 0.0


@given(bores_m, st.floats(0.98, 0.9998))
def test_a_narrow_gap_is_a_slit(bore_m: float, ratio: float) -> None:
    """A narrow gap around a rod takes the pressure of a flat slit, 12 µ L Q / (width × height³)."""
    rod_m = ratio * bore_m
    height, width = (bore_m - rod_m) / 2.0, math.pi * (bore_m + rod_m) / 2.0
    drop = pressure_drop_annulus(1e-9, bore_m=bore_m, rod_m=rod_m, length_m=0.3, viscosity_pa_s=1e-3)
    assert drop == pytest.approx(12.0 * 1e-3 * 0.3 * 1e-9 / (width * height**3), rel=1e-3)


def test_a_rod_turns_the_answer_to_the_annulus() -> None:
    """With a rod the flow reports the annulus: less volume, more velocity, its own pressure and shear."""
    plain = lumen_flow(bore_m=3e-3, length_m=0.3, flow_m3_s=1e-6, temperature_c=20.0)
    rodded = lumen_flow(bore_m=3e-3, length_m=0.3, flow_m3_s=1e-6, temperature_c=20.0, rod_m=2e-3)
    assert rodded.volume_m3 == pytest.approx(plain.volume_m3 * 5.0 / 9.0)
    assert rodded.velocity_m_s == pytest.approx(plain.velocity_m_s * 9.0 / 5.0)
    assert rodded.reynolds == pytest.approx(plain.reynolds * 9.0 / 5.0 / 3.0)
    assert plain.pressure_drop_pa is not None
    assert rodded.pressure_drop_pa is not None
    assert rodded.wall_shear_pa is not None
    assert rodded.pressure_drop_pa.high > 10.0 * plain.pressure_drop_pa.high
    at_walls = wall_shear_annulus(rodded.pressure_drop_pa.high, bore_m=3e-3, rod_m=2e-3, length_m=0.3)
    assert rodded.wall_shear_pa.high == pytest.approx(at_walls.bore_pa)
    assert rodded.entry_length_m is None


def test_turbulent_flow_around_a_rod_takes_more_than_laminar_would() -> None:
    """Beyond the transition friction is above that of laminar flow, and both walls together hold it."""
    flow = lumen_flow(bore_m=5e-3, length_m=0.3, flow_m3_s=50e-6, temperature_c=40.0, rod_m=3e-3)
    assert flow.regime == "turbulent"
    laminar = pressure_drop_annulus(
        50e-6, bore_m=5e-3, rod_m=3e-3, length_m=0.3, viscosity_pa_s=water_viscosity_iapws_2008(40.0)
    )
    assert flow.pressure_drop_pa.low > laminar
    held = flow.wall_shear_pa.high * math.pi * 0.3 * (5e-3 + 3e-3)
    assert held == pytest.approx(flow.pressure_drop_pa.high * math.pi / 4.0 * (5e-3**2 - 3e-3**2))


def test_the_transition_is_said_so() -> None:
    """Between Reynolds numbers 2,300 and 4,000 the answer is a span from laminar to turbulent."""
    flow = lumen_flow(bore_m=2e-3, length_m=0.3, flow_m3_s=5e-6, temperature_c=20.0)
    assert flow.regime == "transitional"
    assert flow.pressure_drop_pa is not None
    laminar = pressure_drop_hagen_poiseuille(5e-6, bore_m=2e-3, length_m=0.3, viscosity_pa_s=1.0016e-3)
    assert flow.pressure_drop_pa.low == pytest.approx(laminar, rel=1e-4)
    assert flow.pressure_drop_pa.high > 1.3 * laminar


@given(st.floats(4000.0, 1e7), st.floats(0.0, 0.04))
def test_friction_falls_with_speed_and_rises_with_roughness(reynolds: float, roughness: float) -> None:
    """The factor solves Colebrook's equation, falls with the Reynolds number and rises with roughness."""
    factor = friction_factor_colebrook_1939(reynolds, relative_roughness=roughness)
    root = math.sqrt(factor)
    assert 1.0 / root == pytest.approx(-2.0 * math.log10(roughness / 3.7 + 2.51 / (reynolds * root)))
    assert friction_factor_colebrook_1939(reynolds * 2.0, relative_roughness=roughness) < factor
    assert friction_factor_colebrook_1939(reynolds, relative_roughness=roughness + 0.01) > factor


def test_the_ranges_are_kept() -> None:
    """Reynolds number, roughness, temperature and gap outside their published ranges are refused."""
    with pytest.raises(OutsideValidity, match="Reynolds number"):
        friction_factor_colebrook_1939(3999.0)
    with pytest.raises(OutsideValidity, match="roughness"):
        friction_factor_colebrook_1939(1e5, relative_roughness=0.06)
    with pytest.raises(OutsideValidity, match="temperature"):
        lumen_flow(bore_m=2e-3, length_m=0.3, flow_m3_s=1e-6, temperature_c=120.0)
    with pytest.raises(OutsideValidity, match="rod/bore"):
        pressure_drop_annulus(1e-6, bore_m=2e-3, rod_m=2e-3, length_m=0.3, viscosity_pa_s=1e-3)
    with pytest.raises(OutsideValidity, match="not below 2300"):
        laminar_entry_length(2300.0, bore_m=2e-3)


@pytest.mark.parametrize("bad", [0.0, -1e-3, math.nan, math.inf])
def test_lengths_must_be_above_zero(bad: float) -> None:
    """A bore, length or flow that is zero, negative or no number is refused by name."""
    with pytest.raises(ValueError, match="the bore must"):
        lumen_volume(bad, 0.3)
    with pytest.raises(ValueError, match="the length must"):
        wall_shear(1.0, bore_m=2e-3, length_m=bad)
    with pytest.raises(ValueError, match="the flow must"):
        lumen_flow(bore_m=2e-3, length_m=0.3, flow_m3_s=bad, temperature_c=20.0)
    with pytest.raises(ValueError, match="the friction factor must"):
        pressure_drop_darcy_weisbach(bad, velocity_m_s=1.0, bore_m=1.0, length_m=1.0, density_kg_m3=1e3)


def test_nothing_flows_backwards() -> None:
    """Negative velocities, flows, pressures and volumes are refused."""
    with pytest.raises(ValueError, match="the velocity must"):
        reynolds_number(-1.0, 2e-3, 1e3, 1e-3)
    with pytest.raises(ValueError, match="the flow must"):
        pressure_drop_hagen_poiseuille(-1e-6, bore_m=2e-3, length_m=0.3, viscosity_pa_s=1e-3)
    with pytest.raises(ValueError, match="the pressure must"):
        syringe_force(-1.0, 0.02)
    with pytest.raises(ValueError, match="the flushed volume must"):
        exchanges(-1e-6, 1e-6)


@pytest.mark.parametrize("rod_m", [2e-3, 3e-3, -1e-3, math.nan])
def test_a_rod_must_leave_a_gap(rod_m: float) -> None:
    """A rod as thick as the bore, or no rod at all by a negative number, is refused."""
    with pytest.raises(ValueError, match="leaves no gap"):
        lumen_volume(2e-3, 0.3, rod_m=rod_m)


@given(st.floats(1.0, 1e6), st.floats(4e-3, 40e-3))
def test_a_wider_syringe_needs_more_thumb(pressure_pa: float, barrel_m: float) -> None:
    """Twice the barrel needs four times the force for the same pressure."""
    assert syringe_force(pressure_pa, 2.0 * barrel_m) == pytest.approx(
        4.0 * syringe_force(pressure_pa, barrel_m)
    )
