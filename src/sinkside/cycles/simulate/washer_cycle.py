"""Washer cycles that follow a program: water in, chemistry, heat, hold, water out; then hot air."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from sinkside.cycles.simulate.recording import Recording, Windows, smooth_noise, uniform
from sinkside.department import Program, WasherPhase, WasherPhaseName
from sinkside.science.lethality import a0
from sinkside.science.validity import FloatArray

_DISINFECTION_C: Final = 90.0
_HOT_AIR_K: Final = 8.0
_FILL_S: Final = 4.0
_COOL_S: Final = 90.0
_DOSE_AFTER_S: Final = 20.0
_DOSE_ML: Final = 120.0
_WATER_J_PER_KG_K: Final = 4186.0
_CORNERS: Final = 10
_ARM_RPM: Final = 35.0
_PUMP_KPA: Final = 45.0
_LAG_S: Final = 3.0


@dataclass
class _Tub:
    """Corners of the water's temperature while a cycle is put together, and what each phase came to.

    A heater of so many watts warms water and load against the loss to the room, so that it slows down as it
    gets hot; new water mixes with the load's warmth and with what stays in the sump.
    """

    random: np.random.Generator
    water_kg: float
    load_kg: float
    heater_w: float
    loss_w_per_k: float
    room_c: float
    times: list[float] = field(default_factory=lambda: [0.0])
    temperatures: list[float] = field(default_factory=list)
    wet: list[tuple[float, float]] = field(default_factory=list)
    dosed: list[float] = field(default_factory=list)
    dose: tuple[float, float] = (0.0, 0.0)
    undone: float = 0.0

    @property
    def now(self) -> float:
        """Where the last piece ends."""
        return self.times[-1]

    @property
    def level(self) -> float:
        """How warm it is there."""
        return self.temperatures[-1]

    def to(self, seconds: float, celsius: float) -> None:
        """A straight piece of so many seconds to a temperature."""
        if self.temperatures:
            self.times.append(self.now + seconds)
        self.temperatures.append(celsius)

    def fill(self, supply_c: float) -> None:
        """New water, which takes up some of the load's warmth."""
        load, water = self.load_kg * 500.0, self.water_kg * _WATER_J_PER_KG_K
        self.to(_FILL_S, (water * supply_c + load * self.level) / (water + load))

    def heat(self, celsius: float) -> None:
        """Heat with what the heater gives, or cool at the rate of the loss; a curve of some corners."""
        start = self.level
        capacity = self.water_kg * _WATER_J_PER_KG_K + self.load_kg * 500.0
        for corner in np.linspace(start, celsius, _CORNERS + 1)[1:]:
            middle = (self.level + corner) / 2.0
            power = self.heater_w - self.loss_w_per_k * (middle - self.room_c)
            self.to(abs(corner - self.level) * capacity / max(power, 0.2 * self.heater_w), float(corner))

    def heating_s(self, start_c: float, celsius: float) -> float:
        """How long it takes from one temperature to a higher one."""
        trial = _Tub(self.random, self.water_kg, self.load_kg, self.heater_w, self.loss_w_per_k, self.room_c)
        trial.to(0.0, start_c)
        if celsius > start_c:
            trial.heat(celsius)
        return trial.now


@dataclass(frozen=True)
class _Asked:
    """What is to be put together: the program, the fault and its size."""

    program: Program
    fault: str
    size: float

    def is_(self, name: str) -> bool:
        """Whether it has a fault."""
        return self.fault == name


def washer_cycle(
    program: Program, fault: str, size: float, random: np.random.Generator, *, interval_s: float
) -> tuple[Recording, Windows]:
    """A washer cycle with a fault of the machine, or none.

    Args:
        program: A washer-disinfector program.
        fault: A fault of the machine, or ''; one of the recorder is put in afterwards.
        size: Of the fault, in its own unit.
        random: Where chance comes from.
        interval_s: Between samples.
    """
    asked = _Asked(program, fault, size)
    tub = _Tub(random, uniform(random, 14.0, 20.0), uniform(random, 6.0, 14.0), uniform(random, 9e3, 13e3),
               uniform(random, 15.0, 30.0), uniform(random, 20.0, 26.0))  # fmt: skip
    tub.to(0.0, tub.room_c)
    for phase in _in_order(asked):
        _PHASES.get(phase.name, _wet)(tub, phase, asked)
    tub.to(_COOL_S, 55.0)
    times = np.arange(0.0, tub.now, interval_s)
    water = _lagged(np.interp(times, tub.times, tub.temperatures), interval_s)
    water = water + np.clip(smooth_noise(random, times.size, spread=0.12, over=3), -0.35, 0.35)
    behind = uniform(random, 0.1, 0.3) + 0.08 * random.normal(size=times.size)
    if asked.is_("probe-spread") and program.probes.spread is not None:
        apart = program.probes.spread.to("K") + size
        behind = np.where((times > tub.dose[0] - 60.0) & (times < tub.dose[1]), apart, behind)
    recording = Recording(
        times, np.vstack([water, water - behind]), None, _dosed(times, tub, asked), _beside(times, tub, asked)
    )
    return recording, Windows(tub.dose, tub.undone)


def _lagged(values: FloatArray, interval_s: float) -> FloatArray:
    """What a probe in a sheath makes of a temperature."""
    taps = np.exp(-np.arange(0.0, 6.0 * _LAG_S, interval_s) / _LAG_S)
    taps /= taps.sum()
    padded = np.concatenate((np.full(taps.size - 1, values[0]), values))
    lagged: FloatArray = np.convolve(padded, taps, mode="valid")
    return lagged


def _in_order(asked: _Asked) -> list[WasherPhase]:
    phases = [
        phase
        for phase in asked.program.phases
        if not (asked.is_("no-rinse") and phase.name is WasherPhaseName.rinse)
    ]
    if asked.is_("wrong-order"):
        wash = next(phase for phase in phases if phase.name is WasherPhaseName.wash)
        phases.remove(wash)
        phases.insert(0, wash)
    return phases


def _ends(phase: WasherPhase) -> tuple[float, float]:
    return phase.temperature.bounds("°C") if phase.temperature else (-np.inf, np.inf)


def _target(phase: WasherPhase, random: np.random.Generator) -> float:
    """Where the machine holds a phase: within its range, off its ends."""
    low, high = _ends(phase)
    if np.isfinite(low) and np.isfinite(high):
        return low + (high - low) * uniform(random, 0.45, 0.55)
    if np.isfinite(high):
        return high - uniform(random, 10.0, 14.0)
    return low + uniform(random, 1.2, 1.9) if np.isfinite(low) else uniform(random, 16.0, 22.0)


def _wet(tub: _Tub, phase: WasherPhase, asked: _Asked) -> None:
    """Pre-rinse, wash and rinse: fill, heat, dose, hold."""
    random, size = tub.random, asked.size
    target = _target(phase, random)
    is_wash = phase.name is WasherPhaseName.wash
    low, high = _ends(phase)
    if asked.is_("cold-wash") and is_wash:
        target = low - size
    if asked.is_("hot-wash") and is_wash:
        target = high + size
    if asked.is_("hot-pre-rinse") and phase.name is WasherPhaseName.pre_rinse:
        target = high + size
    required_s = phase.time.to("s") if phase.time else 60.0
    hold_s = required_s + uniform(random, 12.0, 25.0) + 0.02 * required_s
    began = tub.now
    if is_wash and not asked.is_("wrong-order"):
        tub.fill(min(target - 3.0, uniform(random, 15.0, 25.0)))
    else:
        # Straight from a tempered supply, whatever the load still holds.
        tub.to(_FILL_S, target - uniform(random, 1.0, 3.0))
    if asked.is_("short-wash") and is_wash:
        # Heating within the range counts too.
        warming = tub.heating_s(max(low, tub.level), target) if np.isfinite(low) else 0.0
        hold_s = max(required_s * (1.0 - size / 100.0) - warming - 10.0, 2.0)
    if is_wash:
        tub.dosed.append(tub.now + _DOSE_AFTER_S)
    tub.heat(target)
    tub.to(hold_s, target)
    tub.wet.append((began, tub.now))
    tub.undone = tub.now


def _disinfect(tub: _Tub, phase: WasherPhase, asked: _Asked) -> None:
    low = _ends(phase)[0]
    target = _target(phase, tub.random) if np.isfinite(low) else _DISINFECTION_C
    required_a0 = asked.program.disinfection.a0 if asked.program.disinfection else 600.0
    if asked.is_("low-disinfection"):
        target = low - asked.size
    equal_s = required_a0 / 10.0 ** ((target - 80.0) / 10.0)
    hold_s = equal_s * uniform(tub.random, 1.3, 1.6)
    if phase.time is not None:
        hold_s = max(hold_s, phase.time.to("s") * 1.04 + 15.0)
    began = tub.now
    tub.to(_FILL_S, uniform(tub.random, 55.0, 62.0))
    first = len(tub.times) - 1
    tub.heat(target)
    if asked.is_("short-disinfection"):
        given = a0(tub.times[first:], tub.temperatures[first:]).value
        after = 1.35 * tub.heating_s(target, target + 2.5)
        hold_s = max(equal_s * (1.0 - asked.size / 100.0 - given / required_a0) - after, 12.0)
    start = tub.now
    tub.to(hold_s, target)
    tub.dose = (start, tub.now)
    tub.wet.append((began, tub.now))
    tub.undone = start + 0.5 * equal_s


def _dry(tub: _Tub, phase: WasherPhase, asked: _Asked) -> None:
    low, high = _ends(phase)
    target = max(tub.level + _HOT_AIR_K, low + 3.0 if np.isfinite(low) else -np.inf)
    if np.isfinite(high):
        target = min(target, high - 0.6)
    required_s = phase.time.to("s") if phase.time else 300.0
    hold_s = required_s * 1.03 + uniform(tub.random, 15.0, 35.0)
    if asked.is_("short-washer-dry"):
        in_range = max(target - low, 0.0) / (target - 55.0) * _COOL_S if np.isfinite(low) else _COOL_S
        warming = tub.heating_s(tub.level + 2.0, target)
        hold_s = max(required_s * (1.0 - asked.size / 100.0) - in_range - warming - 15.0, 5.0)
    tub.undone = tub.now + 0.5 * required_s
    tub.heat(target)
    tub.to(hold_s, target)


_PHASES: Final = {WasherPhaseName.disinfection: _disinfect, WasherPhaseName.drying: _dry}


def _dosed(times: FloatArray, tub: _Tub, asked: _Asked) -> FloatArray | None:
    """Detergent dosed so far, where the program states a dose or the fault is one of dosing."""
    if asked.is_("no-detergent"):
        return np.zeros(times.size)
    stated = [phase.dose for phase in asked.program.phases if phase.dose]
    if not stated or not tub.dosed:
        return None
    required = next((dose.value for dose in stated if dose.unit == "mL"), _DOSE_ML)
    given = required * (1.0 - asked.size / 100.0 if asked.is_("low-dose") else 1.15)
    return np.where(times > tub.dosed[0], np.rint(given), 0.0)


def _beside(times: FloatArray, tub: _Tub, asked: _Asked) -> dict[str, FloatArray]:
    """Spray arm, pump and conductivity, where the program asks for them."""
    cleaning = asked.program.cleaning
    if cleaning is None:
        return {}
    running = _within(times, tub.wet)
    found: dict[str, FloatArray] = {}
    random = tub.random
    if cleaning.spray_arm is not None:
        low = cleaning.spray_arm.bounds("1/min")[0]
        speed = max(_ARM_RPM, 1.3 * low if np.isfinite(low) else 0.0)
        turning = running & ~(np.full(times.size, asked.is_("spray-arm-stopped")) & (times > tub.wet[0][1]))
        found["speed"] = np.where(turning, speed + 0.5 * random.normal(size=times.size), 0.0)
    if cleaning.pump_pressure is not None:
        low = cleaning.pump_pressure.bounds("kPa")[0]
        press = max(_PUMP_KPA, 1.3 * low if np.isfinite(low) else 0.0)
        pressing = running & ~(np.full(times.size, asked.is_("pump-stopped")) & (times > tub.wet[0][1]))
        found["pump-pressure"] = np.where(pressing, press + 0.5 * random.normal(size=times.size), 0.5)
    if cleaning.conductivity is not None:
        high = cleaning.conductivity.bounds("µS/cm")[1]
        level = 0.5 * high if np.isfinite(high) else 10.0
        found["conductivity"] = level * (1.0 + 0.05 * random.normal(size=times.size))
    return found


def _within(times: FloatArray, spans: Sequence[tuple[float, float]]) -> np.ndarray:
    inside = np.zeros(times.size, dtype=np.bool_)
    for start, end in spans:
        inside |= (times > start + _FILL_S) & (times < end - _FILL_S)
    return inside
