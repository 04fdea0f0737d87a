"""A steam cycle that follows its program: pressure in straight pieces, saturated steam while it exposes."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from sinkside.cycles.simulate.recording import Recording, Windows, smooth_noise, uniform
from sinkside.department import Program, ProgramKind
from sinkside.science.steam import saturation_pressure_at_c, saturation_temperature_c
from sinkside.science.validity import FloatArray

_ATMOSPHERE_KPA: Final = 100.0
_HIGHEST_PULSE_KPA: Final = 190.0


@dataclass
class _Line:
    """Corners of a curve, added one after another: seconds, kPa, °C."""

    times: list[float] = field(default_factory=lambda: [0.0])
    pressures: list[float] = field(default_factory=list)
    temperatures: list[float] = field(default_factory=list)

    def to(self, seconds: float, kpa: float, celsius: float) -> None:
        """A straight piece of so many seconds to a pressure and a temperature."""
        if self.pressures:
            self.times.append(self.times[-1] + seconds)
        self.pressures.append(kpa)
        self.temperatures.append(celsius)

    @property
    def now(self) -> float:
        """Where the last piece ends."""
        return self.times[-1]


def steam_cycle(
    program: Program, fault: str, random: np.random.Generator, *, interval_s: float
) -> tuple[Recording, Windows]:
    """A steam cycle with a fault of the machine, or none.

    Args:
        program: A steam program.
        fault: A fault of the machine; one of the recorder is put in afterwards.
        random: Where chance comes from.
        interval_s: Between samples.
    """
    if program.exposure is None:
        raise ValueError("a steam program has an exposure")
    low = program.exposure.temperature.to("°C")
    level = low + program.exposure.band.to("K") * uniform(random, 0.35, 0.5)
    if fault == "low-temperature":
        level = low - uniform(random, 1.0, 3.0)
    required_s = program.exposure.time.to("s")
    hold_s = required_s + 6.0 + uniform(random, 2.0, 12.0) + 0.02 * required_s
    if fault == "short-exposure":
        hold_s = required_s * uniform(random, 0.6, 0.92)
    line = _Line()
    line.to(0.0, _ATMOSPHERE_KPA - uniform(random, 0.0, 2.0), uniform(random, 45.0, 62.0))
    _remove_air(line, program, fault, random)
    plateau_kpa = float(saturation_pressure_at_c(level)) / 1000.0
    line.to((level - 60.0) / uniform(random, 0.45, 0.7), plateau_kpa, level)
    start = line.now
    line.to(hold_s, plateau_kpa, level)
    end = line.now
    dried_s = _dry(line, program, fault, random)
    recording = _recorded(line, (start, end), fault, random, level=level, low=low, interval_s=interval_s)
    undone = start + 0.9 * required_s if program.drying is None else end + 60.0 + 0.8 * dried_s
    return recording, Windows((start, end), undone)


def _remove_air(line: _Line, program: Program, fault: str, random: np.random.Generator) -> None:
    removal = program.air_removal
    if removal is None or (removal.vacuum is None and removal.pressure is None):
        # Steam pushes the air out at the drain, a little above the atmosphere.
        line.to(uniform(random, 60.0, 120.0), _ATMOSPHERE_KPA + 3.0, 99.0)
        line.to(uniform(random, 60.0, 180.0), _ATMOSPHERE_KPA + 5.0, 100.0)
        return
    count = removal.pulses - (fault == "missing-pulse")
    shallow = int(random.integers(count)) if fault == "shallow-vacuum" and count else -1
    rises = program.kind is ProgramKind.steam_pulse or removal.vacuum is None
    edge = (removal.pressure if rises else removal.vacuum) or removal.vacuum or removal.pressure
    edge_kpa = edge.to("kPa") if edge else _ATMOSPHERE_KPA
    for pulse in range(count):
        if rises:
            reached = edge_kpa * (
                uniform(random, 0.8, 0.93) if pulse == shallow else uniform(random, 1.05, 1.15)
            )
            hot = float(saturation_temperature_c(reached * 1000.0)) - 1.0
            line.to(uniform(random, 25.0, 40.0), reached, hot)
            line.to(uniform(random, 20.0, 35.0), _ATMOSPHERE_KPA + uniform(random, 3.0, 8.0), hot - 14.0)
        else:
            reached = edge_kpa * (
                uniform(random, 1.15, 1.6) if pulse == shallow else uniform(random, 0.5, 0.85)
            )
            line.to(uniform(random, 45.0, 75.0), reached, uniform(random, 52.0, 62.0))
            line.to(4.0, reached, line.temperatures[-1])
            if pulse < count - 1:
                peak = uniform(random, 0.6, 1.0) * _HIGHEST_PULSE_KPA
                line.to(uniform(random, 25.0, 40.0), max(peak, 110.0), uniform(random, 98.0, 108.0))


def _dry(line: _Line, program: Program, fault: str, random: np.random.Generator) -> float:
    """Exhaust, drying and air; how long the chamber is below the drying vacuum, in seconds."""
    line.to(uniform(random, 30.0, 45.0), 115.0, 108.0)
    drying_s = 0.0
    if program.drying is not None:
        required_s, vacuum_kpa = program.drying.time.to("s"), program.drying.vacuum.to("kPa")
        drying_s = required_s * uniform(random, 1.02, 1.06) + 10.0
        if fault == "short-dry":
            drying_s = required_s * uniform(random, 0.4, 0.9)
        line.to(uniform(random, 40.0, 70.0), vacuum_kpa * 1.05, 99.0)
        line.to(5.0, vacuum_kpa * 0.7, 98.0)
        line.to(drying_s, vacuum_kpa * 0.7, 80.0)
    line.to(uniform(random, 30.0, 45.0), _ATMOSPHERE_KPA, 82.0)
    line.to(15.0, _ATMOSPHERE_KPA, 80.0)
    return drying_s


def _recorded(
    line: _Line,
    dose: tuple[float, float],
    fault: str,
    random: np.random.Generator,
    *,
    level: float,
    low: float,
    interval_s: float,
) -> Recording:
    """What two probes and a gauge make of the curve."""
    times = np.arange(0.0, line.now, interval_s)
    chamber = np.interp(times, line.times, line.temperatures)
    pressure = np.interp(times, line.times, line.pressures)
    exposing = (times >= dose[0]) & (times <= dose[1])
    wander = np.clip(smooth_noise(random, times.size, spread=0.12, over=8), -0.3, 0.3)
    chamber = np.where(exposing, level + wander, chamber + 0.2 * wander)
    if fault == "dip":
        chamber -= _dip(times, dose, random) * (level - low + uniform(random, 0.7, 2.5))
    steam = chamber - (uniform(random, 2.5, 4.0) if fault == "superheat" else 0.0)
    saturated = saturation_pressure_at_c(np.maximum(steam, 1.0)) / 1000.0
    near = (times >= dose[0] - 20.0) & (times <= dose[1])
    pressure = np.where(exposing if fault != "superheat" else near, saturated, pressure)
    pressure = pressure * (1.0 + np.where(exposing, 0.0002, 0.002) * random.normal(size=times.size))
    behind = np.where(exposing, uniform(random, 0.02, 0.2), uniform(random, 0.2, 1.2))
    if fault == "residual-air":
        behind = np.where(exposing, uniform(random, 2.6, 4.0), behind)
    drain = chamber - behind + 0.03 * random.normal(size=times.size)
    chamber = chamber + 0.02 * random.normal(size=times.size)
    return Recording(times, np.vstack([chamber, drain]), pressure)


def _dip(times: FloatArray, dose: tuple[float, float], random: np.random.Generator) -> FloatArray:
    """A dip of height one, within the middle of exposure."""
    start, end = dose
    middle = start + (end - start) * uniform(random, 0.4, 0.6)
    half = uniform(random, 6.0, 15.0)
    return np.clip(1.5 - np.abs(times - middle) / half, 0.0, 1.0)
