"""The figures of one cycle for the charts, on a record whose every figure was chosen beforehand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sinkside.cycles import (
    TREND_FIGURES,
    Channel,
    ChannelKind,
    Role,
    Trace,
    judge,
    simulate,
    trend_limits,
)
from sinkside.cycles.air_removal import Pulses
from sinkside.cycles.figures_for_trend import _reached
from sinkside.department import Program
from sinkside.limits import profile
from sinkside.science.steam import saturation_pressure_at_c, saturation_temperature_c
from sinkside.science.validity import FloatArray

#: Moments in s and pressures in kPa: four pulses down to 10, 11, 13 and 12 kPa, heating from 440 s, exposure,
#: drying at 6 kPa, back to the atmosphere.
MOMENTS = [0, 50, 100, 150, 200, 250, 300, 350, 400, 440, 560, 860, 900, 950, 2250, 2300, 2350]
PRESSURES = [101, 10, 101, 11, 101, 13, 101, 12, 100, 14.9, 0, 0, 101, 6, 6, 101, 101]
PLATEAU_C = 133.2


def record() -> Trace:
    times = np.arange(0.0, 2351.0)
    kpa = np.array(PRESSURES, dtype=float)
    kpa[[10, 11]] = saturation_pressure_at_c(PLATEAU_C) / 1000.0
    pressure = np.interp(times, MOMENTS, kpa) * 1000.0
    first = saturation_temperature_c(np.maximum(pressure, 2_000.0)) - 0.25
    second = first + np.where((times > 600) & (times < 700), 0.7, 0.4)
    return Trace("chosen", times, (_probe("T1", first), _probe("T2", second), _pressure(pressure)))


def _probe(name: str, values: FloatArray) -> Channel:
    return Channel(name, ChannelKind.temperature, Role.chamber, "°C", values)


def _pressure(values: FloatArray) -> Channel:
    return Channel("p", ChannelKind.pressure, Role.chamber, "Pa", values)


def figures_of(trace: Trace, program: Program) -> dict[str, float]:
    values = judge(trace, program).values
    return {name: values[name].value for name in TREND_FIGURES if name in values}


def test_each_figure_is_what_the_record_was_made_with(programs: dict[str, Program]) -> None:
    """Pulses, come-up, margin, spread, gap and drying vacuum come back as they were put in."""
    found = figures_of(record(), programs["132-4"])
    assert found["pulse-depth"] == pytest.approx(13.0, abs=1e-6)
    assert found["come-up"] == pytest.approx(120.0, abs=3.0)
    assert found["plateau-margin"] == pytest.approx(PLATEAU_C - 0.25 - 132.0, abs=1e-6)
    assert found["probe-spread"] == pytest.approx(0.7, abs=1e-6)
    assert found["saturation-gap"] == pytest.approx(-0.25, abs=1e-6)
    assert found["drying-vacuum"] == pytest.approx(6.0, abs=1e-6)


def test_what_the_record_hides_has_no_figure(programs: dict[str, Program]) -> None:
    """A gap in the pulses leaves no depth, a set clock nothing at all; the rest stays as it was."""
    whole, chosen = figures_of(record(), programs["132-4"]), record()
    later = replace(chosen, times_s=chosen.times_s + 60.0 * (chosen.times_s > 120.0))
    found = figures_of(later, programs["132-4"])
    assert "pulse-depth" not in found
    assert found["plateau-margin"] == whole["plateau-margin"]
    set_back = replace(chosen, times_s=chosen.times_s - 3600.0 * (chosen.times_s > 120.0))
    assert figures_of(set_back, programs["132-4"]) == {}


def test_a_missing_pulse_leaves_no_depth_of_so_many() -> None:
    """Where two pulses were asked for and one is there, there is no second-deepest."""
    falls = Pulses(required=2, threshold_pa=15e3, back_pa=50e3, rising=False)
    assert np.isnan(_reached(falls, np.array([100e3, 12e3, 100e3])))
    rises = Pulses(required=2, threshold_pa=150e3, back_pa=130e3, rising=True)
    pressed = np.array([100e3, 170e3, 110e3, 160e3, 105e3, 180e3, 100e3, 200e3])
    assert _reached(rises, pressed) == 170e3


@pytest.mark.parametrize("name", ["132-4", "pulse", "gravity", "washer"])
def test_every_kind_of_program_has_figures_within_its_limits(name: str, programs: dict[str, Program]) -> None:
    """A simulated normal cycle has a come-up, a margin and a spread, and none is beyond its limit."""
    program = programs[name]
    found = figures_of(simulate(program, seed=11).as_trace("normal"), program)
    assert {"come-up", "plateau-margin", "probe-spread"} <= set(found)
    assert ("pulse-height" in found) is (name == "pulse")
    assert ("pulse-depth" in found) is (name == "132-4")
    limits = trend_limits(program, profile("eu"))
    for figure, (low, high) in limits.items():
        assert low <= found.get(figure, low if np.isfinite(low) else high) <= high


def test_the_conductivity_of_the_last_rinse(programs: dict[str, Program]) -> None:
    """A washer's conductivity is read over its plateau, and in µS/cm whatever the recorder counts in."""
    trace = simulate(programs["washer"], seed=2).as_trace("washed")
    size = trace.times_s.size
    values = np.where(np.arange(size) < size // 3, 0.5, 0.012)
    channel = Channel("conductivity", ChannelKind.conductivity, Role.elsewhere, "mS/cm", values)
    found = figures_of(replace(trace, channels=(*trace.channels, channel)), programs["washer"])
    assert found["conductivity"] == pytest.approx(12.0)
