"""A washer cycle that follows its program: fresh water for each phase, heated at a steady rate."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from sinkside.cycles.simulate.recording import Recording, Windows, smooth_noise, uniform
from sinkside.department import Program, WasherPhase, WasherPhaseName

_HEATING_K_PER_S: Final = 0.125
_DISINFECTION_C: Final = 90.0
_HOT_AIR_K: Final = 8.0
_FILL_S: Final = 4.0


@dataclass
class _Curve:
    """Corners of the water's temperature, and what each phase came to."""

    times: list[float] = field(default_factory=lambda: [0.0])
    temperatures: list[float] = field(default_factory=list)
    dose: tuple[float, float] = (0.0, 0.0)
    undone: float = 0.0
    washed: float = 0.0

    def to(self, seconds: float, celsius: float) -> None:
        """A straight piece of so many seconds to a temperature."""
        if self.temperatures:
            self.times.append(self.times[-1] + seconds)
        self.temperatures.append(celsius)

    def heat(self, celsius: float) -> None:
        """Heat, or cool, at the machine's rate."""
        self.to(abs(celsius - self.temperatures[-1]) / _HEATING_K_PER_S, celsius)

    @property
    def now(self) -> float:
        """Where the last piece ends."""
        return self.times[-1]


def washer_cycle(
    program: Program, fault: str, random: np.random.Generator, *, interval_s: float
) -> tuple[Recording, Windows]:
    """A washer cycle with a fault of the machine, or none.

    Args:
        program: A washer-disinfector program.
        fault: A fault of the machine; one of the recorder is put in afterwards.
        random: Where chance comes from.
        interval_s: Between samples.
    """
    curve = _Curve()
    curve.to(0.0, uniform(random, 20.0, 26.0))
    for phase in program.phases:
        if fault == "no-rinse" and phase.name is WasherPhaseName.rinse:
            continue
        _PHASES.get(phase.name, _wet)(curve, phase, program, fault, random)
    curve.to(90.0, 55.0)
    times = np.arange(0.0, curve.now, interval_s)
    water = np.interp(times, curve.times, curve.temperatures)
    water = water + np.clip(smooth_noise(random, times.size, spread=0.12, over=3), -0.35, 0.35)
    behind = uniform(random, 0.1, 0.3) + 0.08 * random.normal(size=times.size)
    if fault == "probe-spread" and program.probes.spread is not None:
        apart = program.probes.spread.to("K") + uniform(random, 0.7, 2.0)
        behind = np.where((times > curve.dose[0] - 60.0) & (times < curve.dose[1]), apart, behind)
    dosed = _dosed(times, curve, program, fault)
    recording = Recording(times, np.vstack([water, water - behind]), None, dosed)
    return recording, Windows(curve.dose, curve.undone)


def _target(phase: WasherPhase, random: np.random.Generator) -> float:
    """Where the machine holds a phase: within its range, off its ends."""
    low, high = phase.temperature.bounds("°C") if phase.temperature else (-np.inf, np.inf)
    if np.isfinite(low) and np.isfinite(high):
        return low + (high - low) * uniform(random, 0.45, 0.55)
    if np.isfinite(high):
        return high - uniform(random, 10.0, 14.0)
    return low + uniform(random, 1.2, 1.9) if np.isfinite(low) else uniform(random, 16.0, 22.0)


def _wet(
    curve: _Curve, phase: WasherPhase, program: Program, fault: str, random: np.random.Generator
) -> None:
    """Pre-rinse, wash and rinse: fill, heat, hold."""
    del program
    target = _target(phase, random)
    is_wash = phase.name is WasherPhaseName.wash
    low, high = phase.temperature.bounds("°C") if phase.temperature else (-np.inf, np.inf)
    if fault == "cold-wash" and is_wash:
        target = low - uniform(random, 3.0, 6.0)
    if fault == "hot-pre-rinse" and phase.name is WasherPhaseName.pre_rinse:
        target = high + uniform(random, 3.0, 7.0)
    required_s = phase.time.to("s") if phase.time else 60.0
    hold_s = required_s + uniform(random, 8.0, 20.0) + 0.02 * required_s
    if fault == "short-wash" and is_wash:
        # Heating within the range counts too.
        hold_s = max(required_s * uniform(random, 0.5, 0.85) - (target - low) / _HEATING_K_PER_S, 2.0)
    fill = target - uniform(random, 1.0, 3.0)
    if is_wash:
        fill = min(fill, uniform(random, 22.0, 30.0))
        curve.washed = curve.now
    curve.to(_FILL_S, fill)
    curve.heat(target)
    curve.to(hold_s, target)
    curve.undone = curve.now


def _disinfect(
    curve: _Curve, phase: WasherPhase, program: Program, fault: str, random: np.random.Generator
) -> None:
    low = phase.temperature.bounds("°C")[0] if phase.temperature else _DISINFECTION_C
    target = _target(phase, random) if np.isfinite(low) else _DISINFECTION_C
    required_a0 = program.disinfection.a0 if program.disinfection else 600.0
    equal_s = required_a0 / 10.0 ** ((target - 80.0) / 10.0)
    hold_s = equal_s * uniform(random, 1.3, 1.6)
    if phase.time is not None:
        hold_s = max(hold_s, phase.time.to("s") * 1.04 + 12.0)
    if fault == "short-disinfection":
        # Heating to the plateau and the first kelvins beyond it are worth nearly a minute of it.
        hold_s = max(equal_s * uniform(random, 0.6, 0.85) - _RAMPS_S, 12.0)
    if fault == "low-disinfection":
        target -= uniform(random, 4.5, 7.0)
    curve.to(_FILL_S, uniform(random, 55.0, 62.0))
    curve.heat(target)
    start = curve.now
    curve.to(hold_s, target)
    curve.dose = (start, curve.now)
    curve.undone = start + 0.5 * equal_s


_RAMPS_S: Final = 55.0


def _dry(
    curve: _Curve, phase: WasherPhase, program: Program, fault: str, random: np.random.Generator
) -> None:
    del program
    low, high = phase.temperature.bounds("°C") if phase.temperature else (-np.inf, np.inf)
    target = max(curve.temperatures[-1] + _HOT_AIR_K, low + 3.0 if np.isfinite(low) else -np.inf)
    if np.isfinite(high):
        target = min(target, high - 0.6)
    required_s = phase.time.to("s") if phase.time else 300.0
    hold_s = required_s * 1.03 + uniform(random, 10.0, 30.0)
    if fault == "short-dry":
        hold_s = max(required_s * uniform(random, 0.3, 0.8) - 90.0, 5.0)
    curve.undone = curve.now + 0.5 * required_s
    curve.heat(target)
    curve.to(hold_s, target)


_PHASES: Final = {WasherPhaseName.disinfection: _disinfect, WasherPhaseName.drying: _dry}


def _dosed(times: np.ndarray, curve: _Curve, program: Program, fault: str) -> np.ndarray | None:
    """Detergent dosed so far, where the program states a dose or none was given by fault."""
    doses = any(phase.dose for phase in program.phases)
    if fault == "no-detergent":
        return np.zeros(times.size)
    return np.where(times > curve.washed + 30.0, 120.0, 0.0) if doses else None
