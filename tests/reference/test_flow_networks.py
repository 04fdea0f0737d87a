"""Channels, rods, fittings and washout against the package fluids, lubrication theory and numbers."""

from __future__ import annotations

import itertools
import math

import fluids
import numpy as np
import pytest
from fluids.fittings import contraction_conical_Crane, diffuser_conical
from scipy.integrate import quad

from sinkside.errors import OutsideValidity
from sinkside.science.annulus import (
    annulus_conductance,
    laminar_equivalent_ratio,
    pressure_drop_annulus,
)
from sinkside.science.fittings import sudden_contraction_crane, sudden_expansion_borda_carnot
from sinkside.science.pipe_flow import LAMINAR_BELOW, TURBULENT_FROM, Transition
from sinkside.science.pipe_network import Channel, Liquid, channel_loss, solve_network
from sinkside.science.washout import (
    exchanges_wanted_laminar,
    old_share_leaving_laminar,
    old_share_left_laminar,
)

WATER = Liquid(998.2, 1.0016e-3)
BORES_M = (0.8e-3, 1e-3, 2e-3, 2.7e-3, 4e-3, 8e-3)
LENGTHS_M = (0.05, 0.3, 1.2)
REYNOLDS = (5.0, 300.0, 2200.0, 4100.0, 12_000.0, 90_000.0)


@pytest.mark.parametrize("roughness_m", [0.0, 1.5e-6])
def test_a_single_channel_agrees_with_fluids(roughness_m: float) -> None:
    """Bores, lengths and flows over a grid: the pressure is that of fluids (Colebrook and 64/Re) to 1 %."""
    for bore, length, reynolds in itertools.product(BORES_M, LENGTHS_M, REYNOLDS):
        speed = reynolds * WATER.viscosity_pa_s / (WATER.density_kg_m3 * bore)
        factor = fluids.friction_factor(Re=reynolds, eD=roughness_m / bore, Method="Colebrook")
        factor = 64.0 / reynolds if reynolds < LAMINAR_BELOW else factor
        expected = factor * length / bore * WATER.density_kg_m3 * speed**2 / 2.0
        channel = Channel("in", "out", bore, length, roughness_m=roughness_m)
        found = solve_network(
            [channel], WATER, held_pa={"out": 0.0}, inflow_m3_s={"in": speed * channel.section_m2}
        )
        assert found.pressures_pa["in"] == pytest.approx(expected, rel=0.01), (bore, length, reynolds)
        pushed = solve_network([channel], WATER, held_pa={"in": expected, "out": 0.0})
        assert pushed.flows_m3_s[0] == pytest.approx(speed * channel.section_m2, rel=0.01)


def test_the_transition_lies_between_its_two_laws() -> None:
    """From Reynolds number 2,300 to 4,000 the late transition takes less; outside they agree."""
    channel = Channel("in", "out", 2e-3, 0.3)
    for reynolds in np.linspace(500.0, 9000.0, 200):
        flow = reynolds * WATER.viscosity_pa_s / WATER.density_kg_m3 * channel.section_m2 / channel.bore_m
        early, late = (channel_loss(channel, flow, WATER, transition=one) for one in Transition)
        if LAMINAR_BELOW < reynolds < TURBULENT_FROM:
            assert late < early
        else:
            assert late == pytest.approx(early, rel=1e-12)


def test_a_rod_against_the_wall_lets_two_and_a_half_times_as_much_through() -> None:
    """Lubrication theory of a narrow gap: 1 + 1.5 e² of the flow around a rod in the middle, 2.5 at the wall.

    Source: F. M. White, Viscous Fluid Flow, §3-3.2 (from memory).
    """
    middle = annulus_conductance(bore_m=2e-3, rod_m=1.998e-3)
    for off in (0.1, 0.5, 0.9, 0.99):
        there = annulus_conductance(bore_m=2e-3, rod_m=1.998e-3, eccentricity=off)
        assert there / middle == pytest.approx(1.0 + 1.5 * off**2, rel=1e-3)


def test_a_rod_just_off_the_middle_is_a_rod_in_the_middle() -> None:
    """The series of Piercy and the closed formula of Bird, Stewart and Lightfoot meet."""
    for ratio in (0.05, 0.3, 0.7, 0.95):
        middle = annulus_conductance(bore_m=3e-3, rod_m=3e-3 * ratio)
        assert annulus_conductance(bore_m=3e-3, rod_m=3e-3 * ratio, eccentricity=2e-4) == pytest.approx(
            middle, rel=1e-6
        )


@pytest.mark.parametrize(("ratio", "off"), [(0.3, 0.01), (0.3, 0.6), (0.5, 0.8), (0.6, 0.4)])
def test_flow_around_a_rod_agrees_with_a_numerical_solution(ratio: float, off: float) -> None:
    """Poisson's equation solved by sources outside the gap, which leaves out the formulas altogether."""
    exact = annulus_conductance(bore_m=2.0, rod_m=2.0 * ratio, eccentricity=off)
    assert _flow_between_circles(ratio, off * (1.0 - ratio)) == pytest.approx(exact, rel=1e-6)


def _flow_between_circles(rod: float, offset: float) -> float:
    """Flow for a unit pressure gradient and viscosity between the unit circle and a rod off its middle.

    The method of fundamental solutions: −r²/4 and logarithms around points that lie in no liquid, fitted to
    rest at both walls.
    """
    turn = np.exp(2j * np.pi * np.arange(120) / 120)
    walls = np.concatenate([turn, offset + rod * turn])
    sources = np.concatenate([1.6 * turn[::2], offset + 0.6 * rod * turn[::2]])
    matrix = np.column_stack([np.log(np.abs(walls[:, None] - sources)), np.ones(len(walls))])
    strengths = np.linalg.lstsq(matrix, np.abs(walls) ** 2 / 4.0, rcond=1e-13)[0]
    nodes, weights = np.polynomial.legendre.leggauss(40)
    total = 0.0
    for way in np.exp(2j * np.pi * np.arange(200) / 200):
        across = offset * way.real
        longest = -across + math.sqrt(across**2 - offset**2 + 1.0)
        radii = 0.5 * (longest - rod) * nodes + 0.5 * (longest + rod)
        places = offset + radii * way
        logs = np.log(np.abs(places[:, None] - sources))
        speeds = -(np.abs(places) ** 2) / 4.0 + logs @ strengths[:-1] + strengths[-1]
        total += float((speeds * radii * weights).sum()) * 0.5 * (longest - rod)
    return total * 2.0 * math.pi / 200


def test_the_equivalent_ratio_makes_laminar_friction_exact() -> None:
    """Jones and Leung (1981): 64 over the multiplied Reynolds number is the exact laminar factor."""
    bore, length, speed = 3e-3, 0.4, 0.05
    for ratio in (0.1, 0.5, 0.9):
        rod = ratio * bore
        flow = speed * math.pi / 4.0 * (bore**2 - rod**2)
        exact = pressure_drop_annulus(
            flow, bore_m=bore, rod_m=rod, length_m=length, viscosity_pa_s=WATER.viscosity_pa_s
        )
        reynolds = WATER.density_kg_m3 * speed * (bore - rod) / WATER.viscosity_pa_s
        factor = 64.0 / (reynolds * laminar_equivalent_ratio(bore_m=bore, rod_m=rod))
        assert factor * length / (bore - rod) * WATER.density_kg_m3 * speed**2 / 2.0 == pytest.approx(exact)


def test_changes_of_bore_agree_with_fluids() -> None:
    """Borda-Carnot and Crane's sharp contraction, as fluids has them (Crane TP-410)."""
    for narrow in (1e-3, 2e-3, 3.9e-3):
        assert sudden_expansion_borda_carnot(narrow_m=narrow, wide_m=4e-3) == pytest.approx(
            diffuser_conical(Di1=narrow, Di2=4e-3, angle=180.0, method="Crane"), rel=1e-9
        )
        assert sudden_contraction_crane(narrow_m=narrow, wide_m=4e-3) == pytest.approx(
            contraction_conical_Crane(Di1=4e-3, Di2=narrow, l=0.0), rel=1e-9
        )
    with pytest.raises(OutsideValidity, match="change of bore"):
        sudden_contraction_crane(narrow_m=5e-3, wide_m=4e-3)


def test_what_leaves_and_what_is_left_of_a_laminar_wash_fit_together() -> None:
    """The old liquid that left and that is left add up to the bore's volume (integrated by scipy)."""
    for exchanged in (0.2, 0.5, 1.0, 3.0, 25.0):
        left_it = quad(old_share_leaving_laminar, 0.0, exchanged, points=[0.5], limit=200)[0]
        assert left_it + old_share_left_laminar(exchanged) == pytest.approx(1.0, abs=1e-6)


def test_the_profile_of_laminar_flow_washes_so() -> None:
    """A parabola of speeds, twice the mean in the middle, followed line by line, leaves the same share."""
    squared = (np.arange(200_000) + 0.5) / 200_000  # areas of equal size, from the middle to the wall
    for exchanged in (0.3, 1.0, 4.0):
        swept = np.minimum(2.0 * (1.0 - squared) * exchanged, 1.0)
        assert 1.0 - swept.mean() == pytest.approx(old_share_left_laminar(exchanged), abs=1e-5)


def test_the_exchanges_that_are_wanted_leave_what_is_wanted() -> None:
    """The solved form undoes the formula."""
    for share in (0.9, 0.5, 0.1, 0.001):
        assert old_share_left_laminar(exchanges_wanted_laminar(share)) == pytest.approx(share)
