"""Simulated recordings: cycles that follow a program, normal or with a fault, one at a time or in batches."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.cycles.simulate.faults import NORMAL, Fault, fault_named
from sinkside.cycles.simulate.other_cycles import SIMULATED, other_cycle
from sinkside.cycles.simulate.recorder import befallen
from sinkside.cycles.simulate.recording import Recording, Windows
from sinkside.cycles.simulate.steam_cycle import steam_cycles
from sinkside.cycles.simulate.washer_cycle import washer_cycle
from sinkside.department import Program, ProgramKind
from sinkside.errors import BadInput

_STEAM_INTERVAL_S: Final = 1.0
_WASHER_INTERVAL_S: Final = 2.0

#: Cycles that are integrated side by side.
_AT_ONCE: Final = 128


def simulate(
    program: Program,
    fault: str = NORMAL,
    *,
    seed: int,
    interval_s: float | None = None,
    size: float | None = None,
) -> Recording:
    """A recording of a cycle that follows a program, or has a fault.

    Args:
        program: Its own figures make the cycle.
        fault: `normal`, or one of `faults_of(program)`.
        seed: The same seed makes the same recording.
        interval_s: Between samples; 1 s for steam and 2 s for washers unless told.
        size: Of the fault, in its own unit; by chance from its smallest to its largest unless told.

    Raises:
        BadInput: if the program's cycle cannot have the fault, or cannot be simulated.
    """
    return simulate_many(program, [fault], [seed], interval_s=interval_s, sizes=[size])[0]


def simulate_many(
    program: Program,
    faults: Sequence[str],
    seeds: Sequence[int],
    *,
    interval_s: float | None = None,
    sizes: Sequence[float | None] | None = None,
) -> list[Recording]:
    """Recordings of many cycles of one program, each as `simulate` would make it alone.

    Steam cycles are integrated side by side, so that many cost little more than one.

    Raises:
        BadInput: as in `simulate`.
    """
    asked = [_asked(program, name) for name in faults]
    sized = [
        (fault, _size(fault, seed, size))
        for fault, seed, size in zip(asked, seeds, sizes or [None] * len(seeds), strict=True)
    ]
    recordings: list[Recording] = []
    for start in range(0, len(seeds), _AT_ONCE):
        chosen = slice(start, start + _AT_ONCE)
        made = _made(program, sized[chosen], seeds[chosen], interval_s)
        for (fault, size), seed, (recording, windows) in zip(sized[chosen], seeds[chosen], made, strict=True):
            random = np.random.default_rng([seed, 1])
            recordings.append(befallen(recording, fault, size, windows, random))
    return recordings


def _asked(program: Program, name: str) -> Fault | None:
    if not program.under_steam and program.kind not in {ProgramKind.washer_disinfector, *SIMULATED}:
        raise BadInput(f"no cycle of kind '{program.kind.value}' can be simulated", resource=program.name)
    return None if name == NORMAL else fault_named(name, program)


def _size(fault: Fault | None, seed: int, size: float | None) -> float:
    if fault is None or size is not None:
        return size or 0.0
    return float(np.random.default_rng([seed, 2]).uniform(fault.smallest, fault.largest))


def _made(
    program: Program,
    faults: Sequence[tuple[Fault | None, float]],
    seeds: Sequence[int],
    interval_s: float | None,
) -> list[tuple[Recording, Windows]]:
    if program.under_steam:
        return steam_cycles(program, faults, seeds, interval_s=interval_s or _STEAM_INTERVAL_S)
    one = washer_cycle if program.kind is ProgramKind.washer_disinfector else other_cycle
    return [
        one(
            program,
            fault.name if fault else "",
            size,
            np.random.default_rng(seed),
            interval_s=interval_s or _WASHER_INTERVAL_S,
        )
        for (fault, size), seed in zip(faults, seeds, strict=True)
    ]
