"""Whether a record goes on with another cycle: what two loads were given must not add up to one verdict."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import Requirement
from sinkside.cycles.spans import Mask
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import PhaseSpan
from sinkside.department import Program, ProgramKind
from sinkside.findings import Measure

#: What has one hot phase and nothing after it that is as hot.
_OF_ONE_LOAD: Final = frozenset(
    {
        ProgramKind.steam_gravity,
        ProgramKind.steam_prevacuum,
        ProgramKind.steam_pulse,
        ProgramKind.air_removal_test,
        ProgramKind.washer_disinfector,
    }
)

#: Drying brings air up to the atmosphere; only steam goes well beyond it.
_BACK_AT_ATMOSPHERE_PA: Final = 115_000.0
_STEAM_AGAIN_PA: Final = 130_000.0

#: Where no pressure is recorded, and in a washer: fresh water or an open door, and then heat again.
_COOL_C: Final = 45.0
_HOT_AGAIN_C: Final = 65.0


def judge_one_cycle(samples: Samples, program: Program, phases: Sequence[PhaseSpan]) -> list[Requirement]:
    """A requirement that cannot be judged if a further cycle began after this one's; else none."""
    if program.kind not in _OF_ONE_LOAD:
        return []
    ends = [phase.end_s for phase in phases if phase.name in {"exposure", "disinfection"}]
    if not ends:
        return []
    over = samples.times_s >= ends[0]
    start_s = _again_s(samples, over, by_pressure=program.under_steam)
    if start_s is None:
        return []
    finding = wording.FURTHER_CYCLE.finding(evidence={"start": Measure(value=start_s, unit="s")})
    said = f"one cycle not evidenced (another was running at {start_s:.0f} s)"
    return [Requirement("one-cycle", "not evidenced", said=said, findings=(finding,))]


def _again_s(samples: Samples, over: Mask, *, by_pressure: bool) -> float | None:
    """When it was hot, or under steam, again; None if it never was."""
    if by_pressure and samples.pressure_pa is not None:
        low = samples.pressure_pa < _BACK_AT_ATMOSPHERE_PA
        high = samples.pressure_pa > _STEAM_AGAIN_PA
    else:
        low, high = samples.coldest_known_c < _COOL_C, samples.hottest_c > _HOT_AGAIN_C
    was_low = np.maximum.accumulate(over & low)
    again = np.flatnonzero(was_low & high)
    return float(samples.times_s[again[0]]) if again.size else None
