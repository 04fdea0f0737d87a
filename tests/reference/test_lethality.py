"""Lethality against published time-temperature tables, A0 equivalences and single points."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from sinkside.science.lethality import (
    a0,
    equivalent_time,
    equivalent_time_of_steps,
    exposure_for,
    f0,
    integration_excess,
    lethal_rate,
)
from sinkside.science.validity import FloatArray

DATA = Path(__file__).parent / "data"
REFERENCE_250_F = (250.0 - 32.0) / 1.8


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8") as lines:
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def column(name: str, head: str) -> FloatArray:
    return np.array([float(row[head]) for row in rows(name)])


# Companion: Geankoplis, Transport Processes and Unit Operations, 3rd ed., Example 9.12-1 (stored answer of a
# public textbook-companion notebook, the book page not seen). Rule of integration: steps.


def step_durations_s() -> FloatArray:
    name = "f0_geankoplis_9_12_1.csv"
    return (column(name, "end_min") - column(name, "start_min")) * 60.0


def test_table_of_average_temperatures_in_celsius() -> None:
    """Average temperatures in °C, each held for its interval, give the printed 2.68 min at 121.1 °C."""
    held = column("f0_geankoplis_9_12_1.csv", "T_C")
    result = equivalent_time_of_steps(step_durations_s(), held, reference_c=121.1, z_k=10.0)
    assert result.rule == "steps"
    assert result.seconds / 60.0 == pytest.approx(2.6823, abs=5e-5)


def test_table_of_average_temperatures_in_fahrenheit() -> None:
    """The same table in °F at 250 °F with z 18 °F gives 2.6752 min, which is the printed 2.68 too."""
    held = (column("f0_geankoplis_9_12_1.csv", "T_F") - 32.0) / 1.8
    result = equivalent_time_of_steps(step_durations_s(), held, reference_c=REFERENCE_250_F, z_k=10.0)
    assert result.seconds / 60.0 == pytest.approx(2.6752, abs=5e-5)


# Companion: the same book, Example 9.12-2, printed answer 2.5 for a required 2.45. Computed: the three rules.


def can() -> tuple[FloatArray, FloatArray]:
    name = "f0_geankoplis_9_12_2.csv"
    return column(name, "time_min") * 60.0, (column(name, "T_F") - 32.0) / 1.8


def test_heating_can_by_trapezoid() -> None:
    """The trapezoid on the rate gives 2.5027 min, the printed 2.5."""
    result = f0(*can(), reference_c=REFERENCE_250_F)
    assert (result.rule, round(result.value, 4)) == ("trapezoid", 2.5027)


def test_heating_can_with_straight_temperatures() -> None:
    """The exact integral over straight temperatures gives 2.3845 min, which would fail the required 2.45."""
    result = f0(*can(), reference_c=REFERENCE_250_F, rule="linear-temperature")
    assert (result.rule, round(result.value, 4)) == ("linear-temperature", 2.3845)
    assert not result.reaches(2.45)


def test_the_rule_of_integration_moves_a_coarse_table_by_five_percent() -> None:
    """The excess of the trapezoid, which calls for a warning, is the 5 % between these two."""
    times, temperatures = can()
    excess = integration_excess(times, temperatures, reference_c=REFERENCE_250_F, z_k=10.0)
    assert excess == pytest.approx(2.5027 / 2.3845 - 1.0, abs=1e-4)


def test_straight_temperatures_are_the_limit_of_fine_sampling() -> None:
    """With straight lines sampled every tenth of a second the trapezoid comes to the exact integral."""
    times, temperatures = can()
    fine = np.linspace(times[0], times[-1], 38_401)
    sampled = np.interp(fine, times, temperatures)
    assert f0(fine, sampled, reference_c=REFERENCE_250_F).value == pytest.approx(2.384517, abs=2e-6)


# Read: A0 600 = 80 °C 600 s = 90 °C 60 s = 70 °C 6000 s, published question-and-answer of the European Forum
# of Hospital Sterile Supply, 2004. Other rows computed. Definition: ISO 15883-1 Annex B, second-hand.


@pytest.mark.parametrize("row", rows("a0_points.csv"), ids=lambda row: f"{row['T_C']}-{row['t_s']}")
def test_a0_points(row: dict[str, str]) -> None:
    """A steady temperature has the published or computed A0, whatever the interval of the samples."""
    seconds = int(row["t_s"])
    for count in (2, seconds + 1):
        times, held = np.linspace(0.0, seconds, count), np.full(count, float(row["T_C"]))
        result = a0(times, held)
        assert result.value == pytest.approx(float(row["A0"]), rel=1e-9)
        assert (result.unit, result.reference_c, result.z_k, result.from_c) == ("s", 80.0, 10.0, 65.0)


@pytest.mark.parametrize(("temperature_c", "seconds"), [(80.0, 600), (90.0, 60), (70.0, 6000)])
def test_published_equivalents_reach_600(temperature_c: float, seconds: int) -> None:
    """Each of the three published equivalents reaches A0 600, and one second less does not."""
    for duration, reached in ((seconds, True), (seconds - 1, False)):
        times = np.arange(duration + 1.0)
        assert a0(times, np.full(times.size, temperature_c)).reaches(600.0) is reached


def test_a0_of_98_c_as_published() -> None:
    """One minute at 98 °C is the 3786 s of a study of hepatitis B virus (abstract, second-hand)."""
    assert round(a0([0.0, 60.0], [98.0, 98.0]).value) == 3786


def test_nearly_enough_is_not_enough() -> None:
    """93 °C for 150 s is 2992.9 and 75 °C for 30 min is 569 (computed): neither is rounded up to a pass."""
    nearly = a0([0.0, 150.0], [93.0, 93.0])
    assert (round(nearly.value, 1), nearly.reaches(3000.0)) == (2992.9, False)
    low = a0([0.0, 1800.0], [75.0, 75.0])
    assert (round(low.value), low.reaches(600.0)) == (569, False)


# Read: 111 °C 15 min = 1.5 and 121 °C 15 min = 15 at reference 121 °C, teaching material on the F0 value.
# Other rows computed.


@pytest.mark.parametrize(
    "row", rows("f0_single_points.csv"), ids=lambda row: f"{row['T_C']}-{row['minutes']}-{row['Tref_C']}"
)
def test_f0_single_points(row: dict[str, str]) -> None:
    """A steady temperature has the taught or computed F0 at its reference, in minutes."""
    seconds, reference = float(row["minutes"]) * 60.0, float(row["Tref_C"])
    times, held = np.linspace(0.0, seconds, 181), np.full(181, float(row["T_C"]))
    result = f0(times, held, reference_c=reference, z_k=float(row["z"]))
    assert result.value == pytest.approx(float(row["F_min"]), rel=1e-9)
    assert (result.unit, result.reference_c) == ("min", reference)
    needed = exposure_for(result.seconds, float(row["T_C"]), reference_c=reference, z_k=10.0)
    assert needed == pytest.approx(seconds, rel=1e-9)


def test_the_three_references_in_use_differ_by_two_and_a_half_percent() -> None:
    """F0 of one record at 121.0, 121.1 and 121.11 °C differs by 2.3 to 2.6 % (computed)."""
    low, middle, high = (
        f0([0.0, 180.0], [134.0, 134.0], reference_c=reference).value for reference in (121.0, 121.1, 121.11)
    )
    assert low / middle == pytest.approx(1.0233, abs=5e-5)
    assert low / high == pytest.approx(1.0257, abs=5e-5)


def test_one_kelvin_too_high_inflates_by_26_percent() -> None:
    """A sensor that reads 1 K high makes every lethality with z 10 K 1.259 times too large (computed)."""
    rate = lethal_rate(122.1, reference_c=121.1, z_k=10.0)
    assert rate == pytest.approx(1.259, abs=5e-4)


def test_the_sign_of_the_exponent() -> None:
    """A hotter second is worth more; one published formula has the sign turned."""
    hot = equivalent_time([0.0, 60.0], [131.1, 131.1], reference_c=121.1, z_k=10.0)
    assert hot.value == pytest.approx(600.0)
