"""Lethality: what must hold for every record."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.errors import OutsideValidity
from sinkside.science.lethality import (
    A0_FROM_C,
    Lethality,
    a0,
    equivalent_time,
    equivalent_time_of_steps,
    exposure_for,
    f0,
    integration_excess,
    lethal_rate,
)
from sinkside.science.validity import FloatArray

temperatures_c = st.floats(20.0, 140.0)
records = st.lists(st.tuples(st.floats(0.1, 120.0), temperatures_c), min_size=2, max_size=30)
z_values = st.floats(5.0, 25.0)


def as_arrays(record: list[tuple[float, float]]) -> tuple[FloatArray, FloatArray]:
    steps, held = zip(*record, strict=True)
    return np.cumsum(steps), np.array(held)


@given(temperatures_c, z_values)
def test_one_z_hotter_is_ten_times_the_rate(temperature_c: float, z_k: float) -> None:
    """The rate is tenfold one z higher and one at the reference, whatever reference and z."""
    rate, hotter = (lethal_rate(temperature_c + rise, reference_c=121.1, z_k=z_k) for rise in (0.0, z_k))
    assert hotter == pytest.approx(10.0 * rate)
    assert lethal_rate(121.1, reference_c=121.1, z_k=z_k) == 1.0


@given(records, z_values)
def test_trapezoid_is_never_below_straight_temperatures(
    record: list[tuple[float, float]], z_k: float
) -> None:
    """The rate curves upwards, so the trapezoid never gives less than straight temperatures do."""
    times, held = as_arrays(record)
    trapezoid = f0(times, held, z_k=z_k).value
    straight = f0(times, held, z_k=z_k, rule="linear-temperature").value
    assert trapezoid >= straight * (1.0 - 1e-12) > 0.0
    assert integration_excess(times, held, reference_c=121.1, z_k=z_k) >= -1e-12


@given(records, st.floats(0.0, 5.0), z_values)
def test_tolerance_is_a_shift_of_every_reading(
    record: list[tuple[float, float]], tolerance_k: float, z_k: float
) -> None:
    """The bounds are what the same record gives with every reading moved by the tolerance."""
    times, held = as_arrays(record)
    low, high = f0(times, held, z_k=z_k).bounds(tolerance_k)
    assert low == pytest.approx(f0(times, held - tolerance_k, z_k=z_k).value)
    assert high == pytest.approx(f0(times, held + tolerance_k, z_k=z_k).value)


@given(records)
def test_parts_add_up(record: list[tuple[float, float]]) -> None:
    """A record cut in two at a sample has as much lethality as its parts together."""
    times, held = as_arrays([*record, (10.0, 100.0)])
    cut = len(record) // 2
    parts = [f0(times[: cut + 1], held[: cut + 1]), f0(times[cut:], held[cut:])]
    assert sum(part.value for part in parts) == pytest.approx(f0(times, held).value)


@given(records, st.floats(0.0, 3.0))
def test_hotter_is_never_less(record: list[tuple[float, float]], rise_k: float) -> None:
    """A record a little hotter everywhere has at least as much lethality, thresholds included."""
    times, held = as_arrays(record)
    assert a0(times, held + rise_k).value >= a0(times, held).value * (1.0 - 1e-12)


@given(records)
def test_cold_time_counts_nothing_towards_a0(record: list[tuple[float, float]]) -> None:
    """A0 lies between nothing and the same sum without a threshold, and carries its threshold."""
    times, held = as_arrays(record)
    counted = a0(times, held)
    everything = equivalent_time(times, held, reference_c=80.0, z_k=10.0)
    assert 0.0 <= counted.value <= everything.value * (1.0 + 1e-12)
    assert (counted.from_c, everything.from_c) == (A0_FROM_C, None)


def test_a_crossing_counts_from_where_it_crosses() -> None:
    """Of 60 °C rising to 70 °C the second half counts, as a record with a sample at 65 °C has it."""
    whole = a0([0.0, 10.0], [60.0, 70.0]).value
    assert whole == pytest.approx(a0([0.0, 5.0, 10.0], [60.0, 65.0, 70.0]).value)
    assert whole == pytest.approx(5.0 * (10**-1.5 + 10**-1.0) / 2.0)
    assert whole == pytest.approx(a0([0.0, 10.0], [70.0, 60.0]).value)


def test_the_threshold_itself_counts() -> None:
    """A record at 65 °C counts in full and one at 64.9 °C not at all."""
    assert a0([0.0, 100.0], [65.0, 65.0]).value == pytest.approx(100.0 * 10**-1.5)
    assert a0([0.0, 100.0], [64.9, 64.9]).value == 0.0
    assert integration_excess([0.0, 100.0], [20.0, 20.0], reference_c=80.0, z_k=10.0, from_c=65.0) == 0.0


@given(temperatures_c, st.floats(0.0, 1e5), z_values)
def test_the_needed_time_gives_what_was_required(temperature_c: float, required_s: float, z_k: float) -> None:
    """Holding a temperature for the time asked for it has exactly the lethality required."""
    duration = exposure_for(required_s, temperature_c, reference_c=121.1, z_k=z_k)
    held = equivalent_time_of_steps([duration], [temperature_c], reference_c=121.1, z_k=z_k)
    assert held.seconds == pytest.approx(required_s)


def test_results_carry_their_reference() -> None:
    """A result names reference, z, unit, rule and threshold, and minutes are sixty seconds."""
    result = f0([0.0, 60.0], [121.0, 121.0], reference_c=121.0)
    assert result == Lethality(1.0, "min", 121.0, 10.0, "trapezoid", None)
    assert result.seconds == 60.0


def test_only_floating_point_dust_is_forgiven() -> None:
    """A value short by a millionth does not reach, one short by the last bits does."""
    assert Lethality(math.nextafter(600.0, 0.0), "s", 80.0, 10.0, "trapezoid", 65.0).reaches(600.0)
    assert not Lethality(600.0 * (1.0 - 1e-6), "s", 80.0, 10.0, "trapezoid", 65.0).reaches(600.0)


@pytest.mark.parametrize("gap", [math.nan, math.inf, -math.inf])
def test_a_gap_in_the_temperatures_is_refused(gap: float) -> None:
    """A missing temperature has no lethality; the refusal counts them and says where the first is."""
    with pytest.raises(OutsideValidity, match=r"temperature: 1 of 3 samples are missing, .* sample 2"):
        f0([0.0, 1.0, 2.0], [121.0, gap, 121.0])
    with pytest.raises(OutsideValidity, match="temperature: 1 of 2"):
        equivalent_time_of_steps([1.0, 1.0], [121.0, gap], reference_c=121.1, z_k=10.0)


def test_a_gap_in_the_times_is_refused() -> None:
    """A missing time is refused like a missing temperature, also as the length of a step."""
    with pytest.raises(OutsideValidity, match="time: 1 of 2"):
        f0([0.0, math.nan], [121.0, 121.0])
    with pytest.raises(OutsideValidity, match="duration: 1 of 1"):
        equivalent_time_of_steps([math.nan], [121.0], reference_c=121.1, z_k=10.0)


def test_time_running_backwards_is_refused() -> None:
    """A clock that jumps back would count a time twice; two samples at one time count nothing."""
    with pytest.raises(OutsideValidity, match="time: runs backwards after 2 s"):
        f0([0.0, 2.0, 1.0], [121.0, 121.0, 121.0])
    with pytest.raises(OutsideValidity, match="duration"):
        equivalent_time_of_steps([-1.0], [121.0], reference_c=121.1, z_k=10.0)
    assert f0([0.0, 60.0, 60.0], [121.1, 121.1, 134.0]).value == pytest.approx(1.0)


def test_a_broken_probe_is_no_lethality() -> None:
    """A reading above the critical point of water is refused instead of passing every requirement."""
    with pytest.raises(OutsideValidity, match="moist heat temperature: 850 °C"):
        f0([0.0, 1.0], [134.0, 850.0])
    with pytest.raises(OutsideValidity, match="no finite rate"):
        lethal_rate(300.0, reference_c=121.1, z_k=0.1)
    assert math.isnan(lethal_rate(850.0, reference_c=121.1, z_k=10.0, outside="nan"))


def test_unequal_lengths_are_refused() -> None:
    """Times and temperatures that do not pair are a mistake of the caller."""
    with pytest.raises(ValueError, match="do not pair"):
        f0([0.0, 1.0, 2.0], [121.0, 121.0])
    with pytest.raises(ValueError, match="do not pair"):
        equivalent_time_of_steps([1.0], [121.0, 121.0], reference_c=121.1, z_k=10.0)


def test_one_sample_is_no_record() -> None:
    """A single sample spans no time, and is not answered with zero."""
    with pytest.raises(ValueError, match="at least two samples"):
        f0([0.0], [121.0])


@pytest.mark.parametrize("z_k", [0.0, -10.0, math.nan])
def test_z_must_be_above_zero(z_k: float) -> None:
    """A z of zero or below has no meaning."""
    with pytest.raises(ValueError, match="z is a temperature rise"):
        f0([0.0, 1.0], [121.0, 121.0], z_k=z_k)


def test_senseless_requirements_are_refused() -> None:
    """A negative requirement or tolerance is refused rather than met."""
    with pytest.raises(ValueError, match="required time"):
        exposure_for(-1.0, 121.0, reference_c=121.1, z_k=10.0)
    with pytest.raises(ValueError, match="tolerance"):
        f0([0.0, 1.0], [121.0, 121.0]).bounds(-0.5)


def test_every_rule_is_used() -> None:
    """The rules that a result can name are those that some function counts by."""
    named = {
        f0([0.0, 1.0], [121.0, 121.0]).rule,
        f0([0.0, 1.0], [121.0, 121.0], rule="linear-temperature").rule,
        equivalent_time_of_steps([1.0], [121.0], reference_c=121.1, z_k=10.0).rule,
    }
    assert named == {"trapezoid", "linear-temperature", "steps"}
