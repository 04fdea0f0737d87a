"""Heat balances: what must hold for every load."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.science.heat import Mass, condensate_of_load, steam_rate_of_flow

masses = st.builds(Mass, st.floats(0.0, 50.0), st.floats(100.0, 5000.0))
loads = st.lists(masses, min_size=1, max_size=6)


def condensate(load: list[Mass], *, loss_w: float = 0.0, start_c: float = 20.0) -> float:
    return condensate_of_load(
        load, start_c=start_c, end_c=134.0, latent_heat_j_kg=2.162e6, loss_w=loss_w, duration_s=600.0
    )


@given(loads, st.floats(0.0, 1e5))
def test_energy_is_kept(load: list[Mass], loss_w: float) -> None:
    """The heat that the condensate gives up is what the load takes up plus what is lost."""
    taken_up = sum(part.sensible_heat(20.0, 134.0) for part in load)
    given_up = condensate(load, loss_w=loss_w) * 2.162e6
    assert given_up == pytest.approx(taken_up + loss_w * 600.0)
    assert given_up >= 0.0


@given(loads, loads)
def test_loads_add_up(one: list[Mass], other: list[Mass]) -> None:
    """Two loads together condense what they condense apart."""
    assert condensate([*one, *other]) == pytest.approx(condensate(one) + condensate(other))


@given(loads, st.floats(0.0, 100.0))
def test_a_warmer_load_condenses_less(load: list[Mass], warmer_k: float) -> None:
    """A load that starts warmer needs no more steam, and one at the end temperature none."""
    assert condensate(load, start_c=20.0 + warmer_k) <= condensate(load) * (1.0 + 1e-12)
    assert condensate(load, start_c=134.0) == 0.0


def test_a_hotter_load_is_refused() -> None:
    """Steam does not condense on what is hotter, and no negative mass is returned."""
    with pytest.raises(ValueError, match="does not condense on a load of 140"):
        condensate([Mass(1.0, 500.0)], start_c=140.0)
    with pytest.raises(ValueError, match="stream that cools"):
        steam_rate_of_flow(1.0, enthalpy_in_j_kg=2.0, enthalpy_out_j_kg=1.0, latent_heat_j_kg=2e6)


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_senseless_masses_and_losses_are_refused(bad: float) -> None:
    """Negative or missing masses, specific heats, losses and rates are refused by name."""
    with pytest.raises(ValueError, match="the mass must"):
        Mass(bad, 500.0)
    with pytest.raises(ValueError, match="the specific heat must"):
        Mass(1.0, bad)
    with pytest.raises(ValueError, match="the heat loss must"):
        condensate([Mass(1.0, 500.0)], loss_w=bad)
    with pytest.raises(ValueError, match="the mass rate must"):
        steam_rate_of_flow(bad, enthalpy_in_j_kg=1.0, enthalpy_out_j_kg=2.0, latent_heat_j_kg=2e6)
    with pytest.raises(ValueError, match="the latent heat must"):
        steam_rate_of_flow(1.0, enthalpy_in_j_kg=1.0, enthalpy_out_j_kg=2.0, latent_heat_j_kg=bad)
