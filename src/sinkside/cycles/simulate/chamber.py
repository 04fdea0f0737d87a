"""Steam and air in a chamber with a load: a batch of cycles, integrated side by side in steps of two seconds.

Each gas has its partial pressure (Dalton). Steam condenses on a load that is colder than its saturation and
warms it; what condensed boils off again once the pressure falls below the load's own. The pump takes a share
of whatever is there, steam comes through a valve, air through leaks. Air collects low, so the drain feels it
first. Figures of machines are invented and ordinary; the laws are ideal gas, Dalton and IAPWS-IF97.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from enum import IntEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from sinkside.science.steam import saturation_pressure_at_c
from sinkside.science.validity import FloatArray

IntArray = npt.NDArray[np.int64]

STEP_S: Final = 2.0
_MOST_STEPS: Final = 30_000

_STEAM_CONSTANT: Final = 461.5  # J/(kg K), steam as an ideal gas
_LATENT_J_PER_KG: Final = 2.2e6  # saturation-hfg-134c, and within 3 % of it from 100 °C on
_STEEL_J_PER_KG_K: Final = 500.0
_ICE_POINT_K: Final = 273.15

#: Steam tables on a grid that is fine enough for a recorder; the exact equations cost twenty times as much.
_GRID_C: Final = np.linspace(1.0, 160.0, 3200)

_CONTROL_S: Final = 1.5
_EXHAUST_S: Final = 9.0
_ADMIT_S: Final = 8.0
_FLUSH_S: Final = 25.0
_LONGEST_FALL_S: Final = 240.0
_FLUSH_ABOVE_PA: Final = 4_000.0
_WARM_SHARE: Final = 0.3
_AIR_SLOWS: Final = 10.0

#: Air is heavier than steam and leaves first where a drain at the bottom lets a pulse out.
_LOW_LIES_AIR: Final = 5.0


class Act(IntEnum):
    """What a machine does, one after another."""

    evacuate = 0  # until the pressure is below the figure, in Pa
    fill = 1  # with steam until the pressure is above the figure, in Pa
    flush = 2  # steam pushes the air out at the drain, for so many seconds
    heat = 3  # until the chamber is so hot, in °C
    hold = 4  # the exposure, for so many seconds
    exhaust = 5  # to the atmosphere, until the pressure is below the figure, in Pa
    dry = 6  # under vacuum, for so many seconds below the drying pressure
    admit = 7  # air, until the chamber is at the atmosphere
    rest = 8  # for so many seconds


_EVACUATE, _FILL, _FLUSH, _HEAT, _HOLD, _EXHAUST, _DRY, _ADMIT, _REST = range(len(Act))
_CODES: Final = np.arange(len(Act))[:, None]

#: Which cycles do what: shape (acts, cycles).
Masks = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Setup:
    """One cycle's machine, load and faults; the figures of `Act` are the plan's, these the machine's."""

    atmosphere_pa: float = 99_000.0
    volume_m3: float = 0.45
    load_kg: float = 8.0
    start_c: float = 55.0
    jacket_c: float = 134.0
    pump_s: float = 15.0
    ultimate_pa: float = 2_500.0
    steam_pa_per_s: float = 6_000.0
    heating_pa_per_s: float = 4_500.0
    level_c: float = 135.0
    drying_pa: float = 10_000.0
    drying_steam_pa_per_s: float = 0.0
    leak_pa_per_s: float = 0.0
    air_pa: float = 0.0
    gas_pa_per_s: float = 0.0
    superheat_k: float = 0.0
    drain_behind_k: float = 0.1
    drain_air_k: float = 0.0
    lag_s: float = 1.5
    drying_by_clock: float = 0.0


@dataclass(frozen=True, eq=False)
class Courses:
    """What happened in each cycle; arrays of shape (cycles, steps), `STEP_S` apart, and steps per cycle."""

    pressure_pa: FloatArray
    chamber_c: FloatArray
    drain_c: FloatArray
    act: IntArray
    steps: IntArray


@dataclass
class _State:
    air_pa: FloatArray
    steam_pa: FloatArray
    gas_c: FloatArray
    load_c: FloatArray
    water_kg: FloatArray
    chamber_c: FloatArray
    drain_c: FloatArray
    at: IntArray
    since_s: FloatArray
    under_s: FloatArray


class _Machine:
    """The arrays of a batch's setups, each of shape (cycles,)."""

    def __init__(self, setups: Sequence[Setup]) -> None:
        for field in fields(Setup):
            setattr(self, field.name, np.array([getattr(setup, field.name) for setup in setups]))

    def __getattr__(self, name: str) -> FloatArray:
        raise AttributeError(name)


def run_batch(
    setups: Sequence[Setup], plans: Sequence[Sequence[tuple[Act, float]]], shifts_k: FloatArray
) -> Courses:
    """What happens in a batch of cycles.

    Args:
        setups: One per cycle.
        plans: One per cycle: what the machine does, each with its figure; the last act ends the record.
        shifts_k: Shape (cycles, any): what moves the level from second to second of the hold.
    """
    machine = _Machine(setups)
    acts, figures = _table(plans)
    rows = np.arange(len(setups))
    state = _start(machine)
    shown: list[tuple[FloatArray, ...]] = []
    steps = np.zeros(rows.size, dtype=np.int64)
    last = np.array([len(plan) for plan in plans])
    for _ in range(_MOST_STEPS):
        running = state.at < last
        if not running.any():
            break
        act = acts[rows, np.minimum(state.at, last - 1)]
        figure = figures[rows, np.minimum(state.at, last - 1)]
        second = np.minimum(state.since_s.astype(np.int64), shifts_k.shape[1] - 1)
        is_ = act == _CODES
        shown.append((state.air_pa + state.steam_pa, state.chamber_c, state.drain_c, act))
        _advance(state, machine, is_, shifts_k[rows, second])
        steps += running
        _go_on(state, machine, is_, figure, running)
    pressure, chamber, drain, done = (np.stack(column, axis=1) for column in zip(*shown, strict=True))
    return Courses(pressure, chamber, drain, done, steps)


def _table(plans: Sequence[Sequence[tuple[Act, float]]]) -> tuple[IntArray, FloatArray]:
    """Acts and their figures, shape (cycles, longest plan)."""
    longest = max(len(plan) for plan in plans)
    acts = np.full((len(plans), longest), int(Act.rest), dtype=np.int64)
    figures = np.zeros((len(plans), longest))
    for row, plan in enumerate(plans):
        acts[row, : len(plan)] = [int(act) for act, _ in plan]
        figures[row, : len(plan)] = [figure for _, figure in plan]
    return acts, figures


def _start(machine: _Machine) -> _State:
    """Warm air at the atmosphere."""
    zero = np.zeros_like(machine.start_c)
    return _State(
        air_pa=machine.atmosphere_pa.copy(),
        steam_pa=zero + 700.0,
        gas_c=machine.start_c.copy(),
        load_c=machine.start_c - 25.0,
        water_kg=zero.copy(),
        chamber_c=machine.start_c.copy(),
        drain_c=machine.start_c - 1.0,
        at=np.zeros(zero.size, dtype=np.int64),
        since_s=zero.copy(),
        under_s=zero.copy(),
    )


def _saturated_c(pressure_pa: FloatArray) -> FloatArray:
    return np.interp(pressure_pa, _grid_pa(), _GRID_C)


def _grid_pa() -> FloatArray:
    if not _CACHE:
        _CACHE.append(saturation_pressure_at_c(_GRID_C))
    return _CACHE[0]


_CACHE: Final[list[FloatArray]] = []


def _advance(state: _State, machine: _Machine, is_: Masks, shift_k: FloatArray) -> None:
    """One step."""
    total = state.air_pa + state.steam_pa
    hot = is_[_HEAT] | is_[_HOLD]
    level_c = machine.level_c + np.where(is_[_HOLD], shift_k, 0.0) - np.where(hot, machine.superheat_k, 0.0)
    out = _taken(machine, is_, total)
    feed = _steam_in(machine, is_, total, state.steam_pa, np.interp(level_c, _GRID_C, _grid_pa()))
    condensed = _condense(state, machine, total, is_)
    flushed = np.where(is_[_FLUSH], 1.0 / _FLUSH_S, 0.0)
    air_in = np.where(
        is_[_ADMIT] | is_[_REST], np.maximum(machine.atmosphere_pa - total, 0.0) / _ADMIT_S, 0.0
    )
    air_in += machine.leak_pa_per_s * np.maximum(1.0 - total / machine.atmosphere_pa, 0.0)
    air_in += np.where(is_[_HOLD], machine.gas_pa_per_s, 0.0)
    pocket = np.where(is_[_HEAT] & (state.since_s < STEP_S), machine.air_pa, 0.0)
    air_out = out * np.where(is_[_EXHAUST], _LOW_LIES_AIR, 1.0)
    air_pa = state.air_pa + pocket + STEP_S * air_in
    steam_pa = state.steam_pa + STEP_S * (feed + condensed)
    state.air_pa = np.maximum(air_pa / (1.0 + STEP_S * (air_out + flushed)), 0.0)
    state.steam_pa = np.maximum(steam_pa / (1.0 + STEP_S * out), 100.0)
    _warm(state, machine, is_, hot)


def _taken(machine: _Machine, is_: Masks, total: FloatArray) -> FloatArray:
    """The share of the gas that pump or exhaust take in a second."""
    pumping = is_[_EVACUATE] | is_[_DRY]
    pump = np.where(pumping, np.maximum(1.0 - machine.ultimate_pa / total, 0.0) / machine.pump_s, 0.0)
    beyond = np.maximum(total - machine.atmosphere_pa, 0.0) / total
    vented = np.where(is_[_EXHAUST], beyond + 0.05, np.where(is_[_REST], beyond, 0.0))
    return pump + vented / _EXHAUST_S


def _steam_in(
    machine: _Machine, is_: Masks, total: FloatArray, steam_pa: FloatArray, wanted_pa: FloatArray
) -> FloatArray:
    """What the valve lets in within a second, in Pa; in the hold it also lets out, to follow its level."""
    to_level = (wanted_pa - steam_pa) / (_CONTROL_S + STEP_S)
    feed = np.where(is_[_FILL], machine.steam_pa_per_s, 0.0)
    feed = np.where(is_[_HEAT], np.clip(to_level, 0.0, machine.heating_pa_per_s), feed)
    feed = np.where(is_[_HOLD], to_level, feed)
    feed = np.where(is_[_DRY], machine.drying_steam_pa_per_s, feed)
    above = machine.atmosphere_pa + _FLUSH_ABOVE_PA - total
    return np.where(is_[_FLUSH], np.clip(above, 0.0, machine.steam_pa_per_s), feed)


def _condense(state: _State, machine: _Machine, total: FloatArray, is_: Masks) -> FloatArray:
    """Steam that the load takes (negative) or gives back, in Pa; the load's temperature and water follow."""
    capacity = machine.load_kg * _STEEL_J_PER_KG_K
    pa_per_joule = _STEAM_CONSTANT * (state.gas_c + _ICE_POINT_K) / machine.volume_m3 / _LATENT_J_PER_KG
    air_share = state.air_pa / total
    drive = np.maximum(_saturated_c(state.steam_pa) - state.load_c, 0.0)
    watts = 60.0 * machine.load_kg * drive / (1.0 + _AIR_SLOWS * air_share) / (1.0 + 60.0 / _STEEL_J_PER_KG_K)
    watts = np.minimum(watts, 0.5 * state.steam_pa / pa_per_joule / STEP_S)
    boil = np.where(state.water_kg > 0.0, np.maximum(state.load_c - _saturated_c(total), 0.0), 0.0)
    boiling = np.minimum(15.0 * machine.load_kg * boil, state.water_kg * _LATENT_J_PER_KG / STEP_S)
    boiling = np.where(is_[_ADMIT], 0.0, boiling)
    warmed = 8.0 * (machine.jacket_c - state.load_c)
    state.load_c = state.load_c + STEP_S * (watts - boiling + warmed) / capacity
    state.water_kg = np.maximum(state.water_kg + STEP_S * (watts - boiling) / _LATENT_J_PER_KG, 0.0)
    return (boiling - watts) * pa_per_joule


def _warm(state: _State, machine: _Machine, is_: Masks, hot: Masks) -> None:
    """What the gas comes to, and what two probes in it, one at the drain, read of it."""
    saturated = _saturated_c(state.steam_pa)
    dry = is_[_EVACUATE] | is_[_DRY] | is_[_REST] | is_[_ADMIT]
    walls = saturated + _WARM_SHARE * np.maximum(machine.jacket_c - saturated, 0.0)
    target = np.where(dry, walls, saturated + np.where(hot, machine.superheat_k, 0.0))
    state.gas_c = state.gas_c + (target - state.gas_c) * STEP_S / (np.where(dry, 20.0, 0.3) + STEP_S)
    state.chamber_c = state.chamber_c + (state.gas_c - state.chamber_c) * STEP_S / (machine.lag_s + STEP_S)
    behind = machine.drain_behind_k + np.where(hot, machine.drain_air_k, 0.4)
    state.drain_c = state.drain_c + (state.gas_c - behind - state.drain_c) * STEP_S / (
        1.3 * machine.lag_s + STEP_S
    )


def _go_on(state: _State, machine: _Machine, is_: Masks, figure: FloatArray, running: Masks) -> None:
    """Each machine that is done with an act starts its next."""
    total = state.air_pa + state.steam_pa
    state.since_s = state.since_s + STEP_S
    counts = (total < machine.drying_pa) | (machine.drying_by_clock > 0.0)
    state.under_s = np.where(is_[_DRY], state.under_s + np.where(counts, STEP_S, 0.0), 0.0)
    timed = is_[_FLUSH] | is_[_HOLD] | is_[_REST]
    done = timed & (state.since_s >= figure)
    done |= is_[_EVACUATE] & ((total < figure) | (state.since_s > _LONGEST_FALL_S))
    done |= is_[_FILL] & (total > figure)
    done |= is_[_HEAT] & (state.chamber_c >= figure)
    done |= is_[_EXHAUST] & (total < figure)
    done |= is_[_DRY] & ((state.under_s >= figure) | (state.since_s > 3.0 * figure))
    done |= is_[_ADMIT] & (total >= 0.985 * machine.atmosphere_pa)
    done &= running
    state.at = state.at + done
    state.since_s = np.where(done, 0.0, state.since_s)
