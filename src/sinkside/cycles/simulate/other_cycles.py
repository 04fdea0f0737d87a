"""Cycles beside steam and washers: leak tests, gas, drying cabinets and hot water, in straight pieces."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from sinkside.cycles.simulate.recording import Recording, Windows, uniform
from sinkside.department import Exposure, Program, ProgramKind
from sinkside.quantities import Range
from sinkside.science.validity import FloatArray

_ROOM_C: Final = 22.0
_COOLED_C: Final = 30.0
_ATMOSPHERE_KPA: Final = 100.0
_ALLOWED_MBAR_PER_MIN: Final = 1.3
_NOISE_K: Final = 0.05
_OPEN_END: Final = 1.3

_Made = tuple[Recording, Windows]


def other_cycle(
    program: Program, fault: str, size: float, random: np.random.Generator, *, interval_s: float
) -> _Made:
    """A cycle of one of these kinds with a fault of the machine, or none; arguments as for a washer's."""
    return SIMULATED[program.kind](program, fault, size, random, interval_s)


def _leak(program: Program, fault: str, size: float, random: np.random.Generator, interval_s: float) -> _Made:
    test = program.leak
    if test is None:
        raise ValueError("a leak-rate program has a leak test")
    allowed = test.rate.to("mbar/min") if test.rate else _ALLOWED_MBAR_PER_MIN
    rate = allowed * (size if fault == "leaking" else uniform(random, 0.05, 0.7))
    lasts = test.settle.to("s") + test.time.to("s") + uniform(random, 20.0, 40.0)
    lowest = test.vacuum.to("kPa") * uniform(random, 0.5, 0.85)
    corners = [(0.0, _ATMOSPHERE_KPA), (180.0, lowest), (180.0 + lasts, lowest + rate / 10.0 * lasts / 60.0)]
    corners += [(220.0 + lasts, _ATMOSPHERE_KPA), (260.0 + lasts, _ATMOSPHERE_KPA)]
    times, pressure = _sampled(corners, interval_s)
    pressure = pressure + 0.003 * random.normal(size=times.size)
    warm = np.full(times.size, uniform(random, 30.0, 60.0)) + _NOISE_K * random.normal(size=times.size)
    begins = 180.0 + test.settle.to("s")
    return Recording(times, warm[None, :], pressure), Windows((begins, 175.0 + lasts), 170.0 + lasts)


def _held(program: Program, fault: str, size: float, random: np.random.Generator, interval_s: float) -> _Made:
    """Something warm for a time: a cabinet, a bath, a gas with its aeration after it."""
    exposure = program.exposure
    if exposure is None:
        raise ValueError("there is no exposure to simulate")
    low, band = exposure.temperature.to("°C"), exposure.band.to("K")
    level = low + band * uniform(random, 0.3, 0.6)
    required = exposure.time.to("s")
    lasts = required * uniform(random, 1.03, 1.08) + 60.0
    if fault == "cold":
        level = low - size
    up, down = 600.0, 900.0
    if fault == "short":
        # Warming up and cooling down within the range counts too.
        ramps = up * (level - low) / (level - _ROOM_C) + down * (level - low) / (level - _COOLED_C)
        lasts = max(required * (1.0 - size / 100.0) - ramps - 4.0 * interval_s, 10.0 * interval_s)
    corners = [(0.0, _ROOM_C), (up, level), (up + lasts, level)]
    if program.aeration is not None:
        airing = program.aeration.temperature.bounds("°C") if program.aeration.temperature else (level, level)
        warm = _inside(airing, random)
        after = up + lasts + 300.0
        corners += [(after, warm), (after + program.aeration.time.to("s") * 1.05 + 300.0, warm)]
    corners.append((corners[-1][0] + down, _COOLED_C))
    times, water = _sampled(corners, interval_s)
    probes = water[None, :] + _NOISE_K * random.normal(size=(1, times.size))
    window = (up, up + lasts)
    pressure = _within_window(exposure.pressure, "kPa", times, window, random, outside=_ATMOSPHERE_KPA)
    recording = Recording(times, probes, pressure, None, _gas(exposure, times, window, random))
    return recording, Windows(window, up + 0.9 * required)


def _gas(
    exposure: Exposure, times: FloatArray, window: tuple[float, float], random: np.random.Generator
) -> dict[str, FloatArray]:
    asked = (
        ("concentration", exposure.concentration, "mg/L", 0.0),
        ("humidity", exposure.humidity, "%", 20.0),
    )
    found = {}
    for name, span, unit, outside in asked:
        values = _within_window(span, unit, times, window, random, outside=outside)
        if values is not None:
            found[name] = values
    return found


def _within_window(
    span: Range | None,
    unit: str,
    times: FloatArray,
    window: tuple[float, float],
    random: np.random.Generator,
    *,
    outside: float,
) -> FloatArray | None:
    """Inside a range from a little before a window to a little after it; None without a range."""
    if span is None:
        return None
    level = _inside(span.bounds(unit), random)
    corners = [0.0, window[0] - 60.0, window[0] - 20.0, window[1] + 20.0, window[1] + 60.0]
    values = np.interp(times, corners, [outside, outside, level, level, outside])
    return values * (1.0 + 0.002 * random.normal(size=times.size))


def _inside(ends: tuple[float, float], random: np.random.Generator) -> float:
    low, high = ends
    if np.isfinite(low) and np.isfinite(high):
        return low + (high - low) * uniform(random, 0.35, 0.65)
    return low * _OPEN_END if np.isfinite(low) else high / _OPEN_END


def _sampled(corners: list[tuple[float, float]], interval_s: float) -> tuple[FloatArray, FloatArray]:
    seconds, values = np.array(corners).T
    times = np.arange(0.0, float(seconds[-1]), interval_s)
    return times, np.interp(times, seconds, values)


#: The kinds that are made here, each with how.
SIMULATED: Final[dict[ProgramKind, Callable[[Program, str, float, np.random.Generator, float], _Made]]] = {
    ProgramKind.leak_rate: _leak,
    ProgramKind.exposure: _held,
    ProgramKind.drying_cabinet: _held,
    ProgramKind.thermal_disinfection: _held,
}
