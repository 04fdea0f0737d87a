"""Air that pulses leave, leaks and indicators: where their formulas end."""

from __future__ import annotations

import pytest

from sinkside.science.air import air_left_by_mixing
from sinkside.science.indicators import integrating_time, kill_time, log_reduction, survival_time
from sinkside.science.leak import apparent_rise, leak_flow


def test_a_pulse_that_takes_nothing_out_is_refused() -> None:
    """A pulse goes from a higher to a lower pressure, both above zero."""
    for pulse in ((1.0, 2.0), (1.0, 0.0), (-1.0, -2.0)):
        with pytest.raises(ValueError, match="from a higher to a lower"):
            air_left_by_mixing([pulse])


def test_no_pulse_leaves_all_the_air() -> None:
    """Without pulses everything stays; each more leaves its own share of the rest."""
    assert air_left_by_mixing([]) == 1.0
    assert air_left_by_mixing([(200.0, 10.0), (100.0, 10.0)]) == pytest.approx(0.005)


@pytest.mark.parametrize("population", [100.0, 50.0, 1.0])
def test_a_small_population_has_no_survival_time(population: float) -> None:
    """With 100 spores or fewer no time can be promised at which all of them grow."""
    with pytest.raises(ValueError, match="more than"):
        survival_time(population, 1.5)


def test_what_is_no_time_or_population_is_refused() -> None:
    """A D-value, a population or a time that cannot be is refused by name."""
    with pytest.raises(ValueError, match="d value"):
        kill_time(1e6, 0.0)
    with pytest.raises(ValueError, match="more than one"):
        integrating_time(1.0, 1.5)
    with pytest.raises(ValueError, match="zero or more"):
        log_reduction(-1.0, 1.5)
    with pytest.raises(ValueError, match="pressure"):
        apparent_rise(0.0, 20.0, 5.0)
    with pytest.raises(ValueError, match="volume"):
        leak_flow(2.0, 0.0)
