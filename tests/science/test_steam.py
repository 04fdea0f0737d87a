"""Saturated steam: what must hold at every temperature and pressure."""

from __future__ import annotations

import timeit

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from sinkside.errors import OutsideValidity
from sinkside.science.steam import (
    SATURATED_TEMPERATURE,
    air_partial_pressure,
    latent_heat,
    saturation_pressure,
    saturation_pressure_at_c,
    saturation_slope,
    saturation_temperature,
    saturation_temperature_c,
    standard_atmosphere,
)

temperatures_k = st.floats(SATURATED_TEMPERATURE.low, SATURATED_TEMPERATURE.high)


@given(temperatures_k)
def test_both_ways_undo_each_other(temperature_k: float) -> None:
    """From temperature to pressure and back loses nothing to 1e-9, from end to end of the line."""
    assert saturation_temperature(saturation_pressure(temperature_k)) == pytest.approx(
        temperature_k, rel=1e-9
    )


@given(temperatures_k, temperatures_k)
def test_hotter_steam_has_more_pressure(one_k: float, other_k: float) -> None:
    """The pressure rises with the temperature, and strictly where the temperatures differ noticeably."""
    low, high = sorted((one_k, other_k))
    below, above = saturation_pressure(low), saturation_pressure(high)
    assert below < above if high - low > 1e-6 else below <= above * (1.0 + 1e-12)


@given(st.floats(280.0, 640.0))
def test_slope_is_the_slope(temperature_k: float) -> None:
    """The slope is positive and is what two neighbouring pressures give."""
    step = 1e-3
    difference = saturation_pressure(temperature_k + step) - saturation_pressure(temperature_k - step)
    assert saturation_slope(temperature_k) == pytest.approx(difference / (2.0 * step), rel=1e-6)
    assert saturation_slope(temperature_k) > 0.0


@given(arrays.arrays(np.float64, arrays.array_shapes(max_dims=2), elements=temperatures_k))
def test_arrays_and_numbers_agree(many_k: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> None:
    """An array gives, in its own shape, the very numbers that its elements give one by one."""
    found = saturation_pressure(many_k)
    assert found.shape == many_k.shape
    assert found.ravel().tolist() == [saturation_pressure(float(one)) for one in many_k.ravel()]


def test_one_number_gives_a_plain_float() -> None:
    """A number in gives a Python float out, so that results go into documents as they are."""
    assert type(saturation_temperature(2e5)) is float
    assert type(saturation_pressure(np.float64(400.0))) is float
    assert type(latent_heat(134.0)) is float


@pytest.mark.parametrize("pressure_pa", [0.0, -1.0, 600.0, 22.1e6, np.inf, np.nan])
def test_a_number_outside_is_refused(pressure_pa: float) -> None:
    """One pressure outside the published range, or no number at all, raises and says the range."""
    with pytest.raises(OutsideValidity, match="outside the published range 611"):
        saturation_temperature(pressure_pa)


@pytest.mark.parametrize("temperature_c", [-0.01, 374.0, np.nan])
def test_a_temperature_outside_is_refused(temperature_c: float) -> None:
    """One temperature outside the published range, or no number at all, raises and says the range."""
    with pytest.raises(OutsideValidity, match="outside the published range 273"):
        saturation_pressure_at_c(temperature_c)


def test_an_array_is_refused_for_one_element() -> None:
    """A single element outside refuses the array and is named; nothing is clipped."""
    with pytest.raises(OutsideValidity, match="saturated steam pressure: 300 Pa"):
        saturation_temperature(np.array([1e5, 300.0, 2e5]))


def test_a_deep_vacuum_is_nan_on_request() -> None:
    """With outside='nan' a trace below the triple point keeps its shape and its other samples."""
    found = saturation_temperature_c(np.array([1e5, 300.0, np.inf, 2e5]), outside="nan")
    assert np.isnan(found).tolist() == [False, True, True, False]
    assert found[[0, 3]].tolist() == [saturation_temperature_c(1e5), saturation_temperature_c(2e5)]
    assert np.isnan(saturation_temperature(300.0, outside="nan"))


def test_a_missing_sample_stays_missing() -> None:
    """NaN in an array is a gap in the record, not a number outside the range."""
    found = saturation_pressure_at_c(np.array([121.0, np.nan]))
    assert np.isnan(found).tolist() == [False, True]


def test_whole_degrees_serve_as_well() -> None:
    """Whole numbers, as people write them, give what their decimals give."""
    assert saturation_temperature(np.array([100_000, 200_000])).tolist() == [
        saturation_temperature(1e5),
        saturation_temperature(2e5),
    ]


@given(st.floats(50.0, 145.0), st.floats(0.0, 0.5))
def test_air_is_found_again(temperature_c: float, share: float) -> None:
    """Air added to saturated steam by Dalton's law is found from the measured pressure and temperature."""
    steam = saturation_pressure_at_c(temperature_c)
    air = steam * share / (1.0 - share)
    assert air_partial_pressure(steam + air, temperature_c + 273.15) == pytest.approx(air, rel=1e-9, abs=1e-6)


def test_superheat_is_no_air() -> None:
    """Steam hotter than its pressure allows gives a negative number, which is kept for the caller to see."""
    assert air_partial_pressure(saturation_pressure_at_c(134.0), 136.0 + 273.15) < 0.0


@given(st.floats(0.01, 349.0))
def test_hotter_steam_gives_up_less_heat(temperature_c: float) -> None:
    """The heat of condensation is positive and falls with temperature."""
    assert latent_heat(temperature_c) > latent_heat(temperature_c + 1.0) > 0.0


def test_latent_heat_keeps_shape_and_range() -> None:
    """An array of temperatures keeps its shape and its gaps; above 350 °C there is no answer."""
    grid = np.array([[100.0, 121.0], [132.0, 134.0]])
    assert latent_heat(grid).shape == (2, 2)
    assert latent_heat(grid)[1, 1] == latent_heat(134.0)
    assert np.isnan(latent_heat(np.array([134.0, np.nan]))).tolist() == [False, True]
    with pytest.raises(OutsideValidity, match="350"):
        latent_heat(360.0)


@given(st.floats(-2000.0, 10_999.0))
def test_air_thins_with_altitude(altitude_m: float) -> None:
    """A metre higher has less pressure."""
    assert standard_atmosphere(altitude_m + 1.0) < standard_atmosphere(altitude_m)


@pytest.mark.parametrize("altitude_m", [-2001.0, 11_001.0, np.nan])
def test_another_layer_is_refused(altitude_m: float) -> None:
    """Above the lowest layer another equation would hold, so this one refuses."""
    with pytest.raises(OutsideValidity, match="altitude"):
        standard_atmosphere(altitude_m)


def test_a_whole_trace_costs_microseconds() -> None:
    """Both directions take 2,400 samples in well under 0.2 ms (best of many, on any shared machine)."""
    trace_k = np.linspace(300.0, 410.0, 2400)
    trace_pa = saturation_pressure(trace_k)
    for task in (lambda: saturation_pressure(trace_k), lambda: saturation_temperature(trace_pa)):
        assert min(timeit.repeat(task, number=5, repeat=40)) / 5 < 0.2e-3
