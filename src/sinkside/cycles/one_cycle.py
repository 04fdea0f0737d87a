"""Whether a record goes on with another cycle: what two loads were given must not add up to one verdict."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import Requirement
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
    over = int(np.searchsorted(samples.times_s, ends[0]))
    start_s = _again_s(samples, over, by_pressure=program.under_steam)
    if start_s is None:
        return []
    finding = wording.FURTHER_CYCLE.finding(evidence={"start": Measure(value=start_s, unit="s")})
    said = f"one cycle not evidenced (another was running at {start_s:.0f} s)"
    return [Requirement("one-cycle", "not evidenced", said=said, findings=(finding,))]


def _again_s(samples: Samples, over: int, *, by_pressure: bool) -> float | None:
    """When it was hot, or under steam, again after the sample where it was over; None if it never was."""
    if by_pressure and samples.pressure_pa is not None:
        low = samples.pressure_pa[over:] < _BACK_AT_ATMOSPHERE_PA
        high = samples.pressure_pa[over:] > _STEAM_AGAIN_PA
    else:
        low, high = samples.coldest_known_c[over:] < _COOL_C, samples.hottest_c[over:] > _HOT_AGAIN_C
    cooled = int(np.argmax(low))
    again = np.flatnonzero(high[cooled:])
    return float(samples.times_s[over + cooled + again[0]]) if low[cooled] and again.size else None
