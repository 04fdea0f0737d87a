"""Steam cycles that follow a program: what the machine does, and what two probes and a gauge make of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from sinkside.cycles.simulate.chamber import STEP_S, Act, Courses, Setup, run_batch
from sinkside.cycles.simulate.faults import Fault
from sinkside.cycles.simulate.recording import Recording, Windows, smooth_noise, uniform
from sinkside.department import Program, ProgramKind
from sinkside.science.steam import saturation_pressure_at_c
from sinkside.science.validity import FloatArray

_HIGHEST_PULSE_KPA: Final = 190.0
_DEFAULT_VOLUME_L: Final = 450.0

#: An exposure starts counting once every probe is in the band; machines allow for it.
_LATE_S: Final = 14.0
#: A hold may outlast its plan by a step or two.
_LONGER_S: Final = 60
_PROBE_NOISE_K: Final = 0.025
_GAUGE_NOISE: Final = 0.0003
_GAUGE_NOISE_PA: Final = 15.0

Plan = list[tuple[Act, float]]


@dataclass
class _Cycle:
    """One cycle while it is planned."""

    program: Program
    fault: str
    size: float
    random: np.random.Generator
    setup: Setup
    plan: Plan
    low_c: float
    band_k: float
    hold_s: float

    def is_(self, name: str) -> bool:
        """Whether it has a fault."""
        return self.fault == name

    @property
    def required_s(self) -> float:
        """The program's exposure."""
        return self.program.exposure.time.to("s") if self.program.exposure else 0.0


def steam_cycles(
    program: Program,
    faults: Sequence[tuple[Fault | None, float]],
    seeds: Sequence[int],
    *,
    interval_s: float,
) -> list[tuple[Recording, Windows]]:
    """Steam cycles with faults of the machine, or none; each by its own seed, whatever the others are.

    Args:
        program: Judged as steam.
        faults: A fault with its size for each, or None.
        seeds: One for each.
        interval_s: Between samples.
    """
    cycles = [
        _planned(program, fault.name if fault else "", size, np.random.default_rng(seed))
        for (fault, size), seed in zip(faults, seeds, strict=True)
    ]
    drawn = [_shifts(cycle, int(cycle.hold_s) + _LONGER_S) for cycle in cycles]
    shifts = np.zeros((len(drawn), max(shift.size for shift in drawn)))
    for row, shift in enumerate(drawn):
        shifts[row, : shift.size] = shift
    courses = run_batch([cycle.setup for cycle in cycles], [cycle.plan for cycle in cycles], shifts)
    return [_recorded(cycle, courses, row, interval_s) for row, cycle in enumerate(cycles)]


def _planned(program: Program, fault: str, size: float, random: np.random.Generator) -> _Cycle:
    if program.exposure is None:
        raise ValueError("a steam program has an exposure")
    low, band = program.exposure.temperature.to("°C"), program.exposure.band.to("K")
    level = low + band * uniform(random, 0.35, 0.5)
    required = program.exposure.time.to("s")
    hold = required + _LATE_S + uniform(random, 2.0, 10.0) + 0.01 * required
    longest = program.exposure.longest.to("s") if program.exposure.longest else math.inf
    hold = min(hold, max(required + _LATE_S, longest - _LATE_S))
    setup = _machine(program, random, level)
    cycle = _Cycle(program, fault, size, random, setup, [], low, band, hold)
    _put_in(cycle)
    _remove_air(cycle)
    setup = cycle.setup
    cycle.plan += [(Act.heat, setup.level_c - 0.25), (Act.hold, cycle.hold_s)]
    _dry(cycle)
    return cycle


def _machine(program: Program, random: np.random.Generator, level_c: float) -> Setup:
    chamber = program.chamber
    litres = chamber.volume.to("L") if chamber and chamber.volume else _DEFAULT_VOLUME_L
    most_kg = chamber.load.to("kg") if chamber and chamber.load else 0.03 * litres
    drying = program.drying.vacuum.to("kPa") * 1000.0 if program.drying else 10_000.0
    return Setup(
        atmosphere_pa=100_000.0 - uniform(random, 0.0, 2_000.0),
        volume_m3=litres / 1000.0,
        load_kg=max(most_kg * uniform(random, 0.3, 0.9), 0.5),
        start_c=uniform(random, 45.0, 62.0),
        jacket_c=level_c - uniform(random, 0.5, 2.0),
        pump_s=uniform(random, 12.0, 18.0),
        ultimate_pa=min(uniform(random, 1_500.0, 3_000.0), 0.3 * drying),
        steam_pa_per_s=uniform(random, 5_000.0, 8_000.0),
        heating_pa_per_s=uniform(random, 3_000.0, 5_000.0),
        level_c=level_c,
        drying_pa=drying,
        drain_behind_k=uniform(random, 0.02, 0.2),
        lag_s=uniform(random, 0.8, 1.8),
    )


def _put_in(cycle: _Cycle) -> None:
    """The faults that are the machine's or the steam's own."""
    setup, size, low = cycle.setup, cycle.size, cycle.low_c
    program = cycle.program
    if cycle.is_("low-temperature"):
        setup = replace(setup, level_c=low - size)
    elif cycle.is_("short-exposure"):
        cycle.hold_s = cycle.required_s * (1.0 - size / 100.0) - 3.0
    elif cycle.is_("residual-air"):
        setup = replace(setup, air_pa=_excess_pa(setup.level_c, size))
    elif cycle.is_("non-condensable-gas"):
        setup = replace(setup, gas_pa_per_s=_excess_pa(setup.level_c, size) / cycle.hold_s)
    elif cycle.is_("air-pocket"):
        setup = replace(setup, drain_air_k=size)
    elif cycle.is_("superheat"):
        setup = replace(setup, superheat_k=size)
    elif cycle.is_("poor-drying-vacuum"):
        kept_up = (size * setup.drying_pa - setup.ultimate_pa) / setup.pump_s
        setup = replace(setup, drying_steam_pa_per_s=kept_up, drying_by_clock=1.0)
    elif cycle.is_("leak") and program.air_removal and program.air_removal.vacuum:
        depth = max(program.air_removal.vacuum.to("kPa") * 1000.0, setup.drying_pa)
        setup = replace(setup, leak_pa_per_s=size * (depth - setup.ultimate_pa) / setup.pump_s / 0.85)
    elif cycle.is_("slow-come-up") and program.exposure and program.exposure.come_up:
        rise_pa = float(saturation_pressure_at_c(setup.level_c))
        setup = replace(setup, heating_pa_per_s=rise_pa / (program.exposure.come_up.to("s") * size))
    cycle.setup = setup


def _excess_pa(level_c: float, size_k: float) -> float:
    """The air that makes saturated steam so many kelvin colder than its pressure says."""
    return float(saturation_pressure_at_c(level_c + size_k) - saturation_pressure_at_c(level_c))


def _remove_air(cycle: _Cycle) -> None:
    removal, random = cycle.program.air_removal, cycle.random
    if removal is None:
        cycle.plan.append((Act.flush, uniform(random, 200.0, 300.0)))
        return
    count = removal.pulses - cycle.is_("missing-pulse")
    spoilt = int(random.integers(count)) if cycle.is_("shallow-vacuum") and count else -1
    rises = cycle.program.kind is ProgramKind.steam_pulse or removal.vacuum is None
    edge = removal.pressure if rises else removal.vacuum
    edge_pa = edge.to("kPa") * 1000.0 if edge else cycle.setup.atmosphere_pa
    share = cycle.size / 100.0
    for pulse in range(count):
        if rises:
            top = edge_pa * ((1.0 - share / 2.0) if pulse == spoilt else uniform(random, 1.05, 1.15))
            if pulse == spoilt:
                top -= 6_000.0
            cycle.plan.append((Act.fill, top))
            cycle.plan.append((Act.exhaust, cycle.setup.atmosphere_pa + uniform(random, 3_000.0, 8_000.0)))
            continue
        depth = edge_pa * ((1.0 + share) if pulse == spoilt else uniform(random, 0.5, 0.85))
        if pulse == spoilt:
            depth += 600.0
        cycle.plan.append((Act.evacuate, max(depth, 1.3 * cycle.setup.ultimate_pa)))
        if pulse < count - 1:
            top = max(uniform(random, 0.6, 1.0) * _HIGHEST_PULSE_KPA, 110.0) * 1000.0
            cycle.plan.append((Act.fill, top))


def _dry(cycle: _Cycle) -> None:
    random, drying = cycle.random, cycle.program.drying
    cycle.plan.append((Act.exhaust, cycle.setup.atmosphere_pa + 15_000.0))
    if drying is not None and not cycle.is_("missing-dry"):
        required = drying.time.to("s")
        lasts = required * uniform(random, 1.02, 1.05) + 8.0
        if cycle.is_("short-dry"):
            lasts = required * (1.0 - cycle.size / 100.0)
        if cycle.is_("poor-drying-vacuum"):
            lasts = required + 60.0
        cycle.plan.append((Act.dry, lasts))
    if drying is None or cycle.is_("missing-dry"):
        cycle.plan.append((Act.exhaust, cycle.setup.atmosphere_pa + 800.0))
    cycle.plan += [(Act.admit, 0.0), (Act.rest, 60.0)]


def _shifts(cycle: _Cycle, size: int) -> FloatArray:
    """What moves the level from second to second: the control's wandering, and a dip or an overshoot."""
    random = cycle.random
    shift = np.clip(smooth_noise(random, size, spread=0.1, over=12), -0.25, 0.25)
    if not (cycle.is_("dip") or cycle.is_("overshoot")):
        return shift
    level, low = cycle.setup.level_c, cycle.low_c
    middle = cycle.required_s * uniform(random, 0.35, 0.65) + _LATE_S
    half = uniform(random, 12.0, 22.0)
    form = np.clip(1.7 - np.abs(np.arange(size) - middle) / half, 0.0, 1.0)
    height = level - low + cycle.size if cycle.is_("dip") else low + cycle.band_k - level + cycle.size
    moved: FloatArray = shift * (1.0 - form) + form * (-height if cycle.is_("dip") else height)
    return moved


def _recorded(cycle: _Cycle, courses: Courses, row: int, interval_s: float) -> tuple[Recording, Windows]:
    """What two probes and a gauge wrote."""
    random, steps = cycle.random, int(courses.steps[row])
    seconds = STEP_S * np.arange(steps, dtype=float)
    times = np.arange(0.0, float(seconds[-1]), interval_s)
    noise = _PROBE_NOISE_K * random.normal(size=(2, times.size))
    probes = np.vstack(
        [np.interp(times, seconds, course[row, :steps]) for course in (courses.chamber_c, courses.drain_c)]
    )
    pressure = np.interp(times, seconds, courses.pressure_pa[row, :steps])
    pressure = pressure * (1.0 + _GAUGE_NOISE * random.normal(size=times.size))
    pressure = pressure + _GAUGE_NOISE_PA * random.normal(size=times.size)
    held = np.flatnonzero(courses.act[row, :steps] == Act.hold)
    start, end = float(seconds[held[0]]), float(seconds[held[-1]])
    dried = np.flatnonzero(courses.act[row, :steps] == Act.dry)
    undone = start + 0.9 * cycle.required_s
    if dried.size:
        undone = float(seconds[dried[0]]) + 0.8 * (float(seconds[dried[-1]]) - float(seconds[dried[0]]))
    return Recording(times, probes + noise, pressure / 1000.0), Windows((start, end), undone)
