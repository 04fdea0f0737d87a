"""Choosing and putting in faults, of the machine or of its recorder."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from sinkside.cycles.simulate.recording import Recording, Windows, uniform
from sinkside.cycles.simulate.steam_cycle import steam_cycle
from sinkside.cycles.simulate.washer_cycle import washer_cycle
from sinkside.department import Program, ProgramKind, WasherPhaseName
from sinkside.errors import BadInput

NORMAL: Final = "normal"

#: Faults of a recorder; they can befall any cycle.
_RECORDER_FAULTS: Final = ("gap", "truncated", "frozen-probe", "clock-jump")
_STEAM_FAULTS: Final = ("short-exposure", "low-temperature", "residual-air", "superheat", "dip")

_STEAM_INTERVAL_S: Final = 1.0
_WASHER_INTERVAL_S: Final = 2.0

#: A small dose is reached while heating up and down; only a larger one can be missed by a short plateau.
_DOSE_THAT_CAN_BE_SHORT: Final = 2000.0


def faults_of(program: Program) -> tuple[str, ...]:
    """The faults that a program's cycle can have, `normal` first.

    Raises:
        BadInput: if no cycle of that kind can be simulated.
    """
    if program.kind.is_steam:
        pulses = ("missing-pulse", "shallow-vacuum") if program.air_removal else ()
        dry = ("short-dry",) if program.drying else ()
        return (NORMAL, *_STEAM_FAULTS, *pulses, *dry, *_RECORDER_FAULTS)
    if program.kind is not ProgramKind.washer_disinfector:
        raise BadInput(f"no cycle of kind '{program.kind.value}' can be simulated yet", resource=program.name)
    return (NORMAL, *_washer_faults(program), "no-detergent", *_RECORDER_FAULTS)


def _washer_faults(program: Program) -> list[str]:
    phases = {phase.name: phase for phase in program.phases}
    faults = []
    for name, fault, end in (
        (WasherPhaseName.disinfection, "low-disinfection", "min"),
        (WasherPhaseName.wash, "cold-wash", "min"),
        (WasherPhaseName.pre_rinse, "hot-pre-rinse", "max"),
    ):
        phase = phases.get(name)
        if phase and phase.temperature and getattr(phase.temperature, end):
            faults.append(fault)
    for name, fault in ((WasherPhaseName.wash, "short-wash"), (WasherPhaseName.drying, "short-dry")):
        if name in phases and phases[name].time:
            faults.append(fault)
    if WasherPhaseName.rinse in phases:
        faults.append("no-rinse")
    if program.disinfection and program.disinfection.a0 >= _DOSE_THAT_CAN_BE_SHORT:
        faults.append("short-disinfection")
    if program.probes.spread is not None:
        faults.append("probe-spread")
    return faults


def simulate(
    program: Program, fault: str = NORMAL, *, seed: int, interval_s: float | None = None
) -> Recording:
    """A recording of a cycle that follows a program, or has a fault.

    Args:
        program: Its own figures make the cycle.
        fault: `normal`, or one of `faults_of(program)`.
        seed: The same seed makes the same recording.
        interval_s: Between samples; 1 s for steam and 2 s for washers unless told.

    Raises:
        BadInput: if the program's cycle cannot have the fault.
    """
    if fault not in faults_of(program):
        raise BadInput(
            f"'{fault}' is no fault of a {program.kind.value} cycle with this program; "
            f"expected one of {', '.join(faults_of(program))}"
        )
    random = np.random.default_rng(seed)
    if program.kind.is_steam:
        recording, windows = steam_cycle(program, fault, random, interval_s=interval_s or _STEAM_INTERVAL_S)
    else:
        recording, windows = washer_cycle(program, fault, random, interval_s=interval_s or _WASHER_INTERVAL_S)
    befall = _BEFALLS.get(fault)
    return befall(recording, windows, random) if befall else recording


def _gap(recording: Recording, windows: Windows, random: np.random.Generator) -> Recording:
    start, end = windows.dose
    lasts = min(uniform(random, 20.0, 60.0), 0.6 * (end - start))
    begins = uniform(random, start + 0.1 * (end - start), end - lasts - 0.1 * (end - start))
    times = recording.times_s
    return recording.kept((times < begins) | (times > begins + lasts))


def _truncated(recording: Recording, windows: Windows, random: np.random.Generator) -> Recording:
    ends = uniform(random, windows.dose[0], windows.undone)
    return recording.kept(recording.times_s < ends)


def _frozen(recording: Recording, windows: Windows, random: np.random.Generator) -> Recording:
    start, end = windows.dose
    begins = uniform(random, start, start + 0.5 * (end - start))
    lasts = uniform(random, 60.0, 300.0)
    times = recording.times_s
    probe = int(random.integers(recording.probes_c.shape[0]))
    stopped = (times >= begins) & (times < begins + lasts)
    probes = recording.probes_c.copy()
    probes[probe, stopped] = probes[probe, np.flatnonzero(stopped)[0]]
    return replace(recording, probes_c=probes)


def _clock_jump(recording: Recording, windows: Windows, random: np.random.Generator) -> Recording:
    start, end = windows.dose
    at = uniform(random, start + 5.0, end - 5.0)
    jump = float(random.choice([-3600.0, 3600.0, -uniform(random, 20.0, 300.0)]))
    times = recording.times_s + np.where(recording.times_s >= at, jump, 0.0)
    # Elapsed times cannot be negative: the clock was ahead from the start.
    return replace(recording, times_s=times - min(float(times.min()), 0.0))


_BEFALLS: Final = {
    "gap": _gap,
    "truncated": _truncated,
    "frozen-probe": _frozen,
    "clock-jump": _clock_jump,
}
