"""Drying of a washer cycle: the longest unbroken stay in range after the rise above the plateau."""

from __future__ import annotations

from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import Requirement
from sinkside.cycles.spans import Mask, duration_of, spans_of
from sinkside.cycles.verdict import Outcome
from sinkside.cycles.washer_cycle import Cycle, PhaseFound, phase_time
from sinkside.cycles.washer_phases import Stay, in_range, required_s
from sinkside.department import WasherPhase, WasherPhaseName
from sinkside.science.lethality import A0_FROM_C

#: A record that goes on for this share of the drying time without ever being in range was not cut off.
_LONG_ENOUGH: Final = 0.5

#: So much cooler than disinfection, and below what A0 counts, nothing is about to be dried hot.
_COOLED_K: Final = 20.0
_LAST_SAMPLES: Final = 3


def judge_washer_drying(cycle: Cycle) -> Requirement:
    """Whether drying lasted as long as the program says."""
    phase = _drying_of(cycle)
    if phase is None:
        return Requirement("drying", "not required")
    sure, possible = drying_stay(cycle), drying_stay(cycle, doubtful_counts=True)
    goes_on = sure is not None and sure.span.last < cycle.samples.last
    over = goes_on or (possible is None and _lasted(cycle) >= _LONG_ENOUGH * required_s(phase))
    over = over or (cycle.drying_from is None and _ends_cold(cycle))
    criterion, findings = phase_time(cycle, PhaseFound(phase, "drying", sure, possible), over=over)
    if criterion.met is None:
        cut = [] if over else [wording.CUT_OFF.finding(evidence={"phase": "drying"})]
        said = "drying not evidenced" + (" (the record ends before)" if cut else "")
        return Requirement("drying", "not evidenced", (criterion,), said, tuple(cut))
    outcome: Outcome = "met" if criterion.met else "missed"
    minutes = f"{(criterion.measured or 0.0) / 60.0:.1f}".removesuffix(".0")
    return Requirement("drying", outcome, (criterion,), f"drying {outcome} ({minutes} min)", tuple(findings))


def _ends_cold(cycle: Cycle) -> bool:
    """Whether everything had cooled down by the end of the record, so that no hot air can still have come."""
    plateau, last = cycle.plateau, cycle.samples.probes_c[:, -_LAST_SAMPLES:]
    if plateau is None or np.isnan(last).any() or cycle.samples.breaks[plateau.span.last :].any():
        return False
    return bool(last.max() < min(plateau.level_c - _COOLED_K, A0_FROM_C))


def _lasted(cycle: Cycle) -> float:
    """How long the record goes on after drying began, in seconds."""
    times = cycle.samples.times_s
    return 0.0 if cycle.drying_from is None else float(times[-1] - times[cycle.drying_from])


def drying_stay(cycle: Cycle, *, doubtful_counts: bool = False) -> Stay | None:
    """The longest stay in the drying range since drying began; None if there is none."""
    phase = _drying_of(cycle)
    if phase is None or cycle.drying_from is None:
        return None
    inside: Mask = in_range(cycle.samples, phase, doubtful_counts=doubtful_counts)
    inside[: cycle.drying_from] = False
    breaks = None if doubtful_counts else cycle.samples.breaks
    stays = [
        Stay(span, duration_of(span, cycle.samples.times_s, breaks)) for span in spans_of(inside, breaks)
    ]
    return max(stays, key=lambda stay: stay.duration.measured, default=None)


def _drying_of(cycle: Cycle) -> WasherPhase | None:
    return next((phase for phase in cycle.program.phases if phase.name is WasherPhaseName.drying), None)
