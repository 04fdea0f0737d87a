"""Drying of a washer cycle: the longest unbroken stay in range after the rise above the plateau."""

from __future__ import annotations

from typing import Final

from sinkside.cycles import wording
from sinkside.cycles.criteria import Requirement
from sinkside.cycles.spans import Mask, duration_of, spans_of
from sinkside.cycles.verdict import Outcome
from sinkside.cycles.washer_cycle import Cycle, PhaseFound, phase_time
from sinkside.cycles.washer_phases import Stay, in_range, required_s
from sinkside.department import WasherPhase, WasherPhaseName

#: A record that goes on for this share of the drying time without ever being in range was not cut off.
_LONG_ENOUGH: Final = 0.5


def judge_washer_drying(cycle: Cycle) -> Requirement:
    """Whether drying lasted as long as the program says."""
    phase = _drying_of(cycle)
    if phase is None:
        return Requirement("drying", "not required")
    sure, possible = drying_stay(cycle), drying_stay(cycle, doubtful_counts=True)
    goes_on = sure is not None and sure.span.last < cycle.samples.last
    over = goes_on or (possible is None and _lasted(cycle) >= _LONG_ENOUGH * required_s(phase))
    criterion, findings = phase_time(cycle, PhaseFound(phase, "drying", sure, possible), over=over)
    if criterion.met is None:
        cut = [] if over else [wording.CUT_OFF.finding(evidence={"phase": "drying"})]
        said = "drying not evidenced" + (" (the record ends before)" if cut else "")
        return Requirement("drying", "not evidenced", (criterion,), said, tuple(cut))
    outcome: Outcome = "met" if criterion.met else "missed"
    minutes = f"{(criterion.measured or 0.0) / 60.0:.1f}".removesuffix(".0")
    return Requirement("drying", outcome, (criterion,), f"drying {outcome} ({minutes} min)", tuple(findings))


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
    spans = spans_of(inside, None if doubtful_counts else cycle.samples.breaks)
    stays = [Stay(span, duration_of(span, cycle.samples.times_s)) for span in spans]
    return max(stays, key=lambda stay: stay.duration.measured, default=None)


def _drying_of(cycle: Cycle) -> WasherPhase | None:
    return next((phase for phase in cycle.program.phases if phase.name is WasherPhaseName.drying), None)
