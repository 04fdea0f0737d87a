"""Judging a washer cycle: its phases in order, the thermal dose, drying, and what was dosed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from sinkside.cycles.cleaning import judge_cleaning
from sinkside.cycles.criteria import Requirement, outcome_of
from sinkside.cycles.disinfection import a0_of, judge_disinfection
from sinkside.cycles.judgement import Judgement
from sinkside.cycles.lethality import measured_lethality
from sinkside.cycles.plateau import Plateau, disinfection_plateau, drying_begins
from sinkside.cycles.spraying import sprayed
from sinkside.cycles.trace import Trace
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import MeasuredValue, PhaseSpan
from sinkside.cycles.washer_cycle import Cycle, PhaseFound, phase_time
from sinkside.cycles.washer_drying import drying_stay, judge_washer_drying
from sinkside.cycles.washer_order import stays_in_order
from sinkside.department import Program, WasherPhase, WasherPhaseName
from sinkside.science.lethality import A0_FROM_C, A0_REFERENCE_C
from sinkside.science.validity import FloatArray

#: A wash may itself be hot; what disinfects is hotter than the top of its range, or an open one's bottom.
_ABOVE_WASH_K: Final = 2.0
_ABOVE_OPEN_WASH_K: Final = 12.0


def judge_washer(samples: Samples, program: Program, trace: Trace) -> Judgement:
    """What a washer cycle's record comes to.

    Args:
        samples: As far as they can be believed.
        program: A washer-disinfector program.
        trace: For what is recorded beside temperatures: doses, spray arms, pump, ports, conductivity.
    """
    cold = samples.coldest_c
    plateau, begins = _plateau_and_drying(samples, program, cold)
    cycle = Cycle(samples, program, cold, plateau, begins)
    wet = [phase for phase in program.phases if phase.name is not WasherPhaseName.drying]
    sure = stays_in_order(samples, wet, end=cycle.end, doubtful=False)
    possible = stays_in_order(samples, wet, end=cycle.end, doubtful=True)
    found = [PhaseFound(*parts) for parts in zip(wet, _ids(wet), sure, possible, strict=True)]
    dose = a0_of(cycle)
    phases = _phases(cycle, found)
    requirements = _in_words(
        phases,
        judge_disinfection(cycle, found, dose),
        judge_washer_drying(cycle),
        judge_cleaning(program, trace.doses if plateau else (), phases, sprayed(cycle, found, trace)),
    )
    values: dict[str, MeasuredValue] = {}
    if dose is not None:
        values["a0"] = measured_lethality(dose, program.probes.tolerance.to("K"))
    return Judgement(requirements, _spans(cycle, found), values)


def _plateau_and_drying(
    samples: Samples, program: Program, cold_c: FloatArray
) -> tuple[Plateau | None, int | None]:
    """Where it disinfected, and where drying began.

    A disinfection hardly hotter than the wash stands below the usual floor, and drying would be taken for it.
    Where nothing rose after what was found, one is looked for lower down.
    """
    floor_c, found = _floor_c(program), []
    for floor in (floor_c, max(A0_FROM_C, floor_c - _ABOVE_WASH_K)):
        plateau = disinfection_plateau(
            samples.times_s, cold_c, floor_c=floor, expected_c=_expected_c(program)
        )
        begins = drying_begins(cold_c, plateau) if plateau else None
        found.append((plateau, begins))
        if begins is not None:
            return plateau, begins
    return found[0]


def _in_words(
    phases: Requirement, disinfection: Requirement, drying: Requirement, cleaning: Requirement
) -> tuple[Requirement, ...]:
    """The requirements, with the two that must not be confused told in one breath."""
    if disinfection.outcome == "met" and cleaning.outcome == "missed" and cleaning.blocking:
        cleaning = replace(cleaning, said=f"disinfected, {cleaning.said}")
        disinfection = replace(disinfection, said=disinfection.said.removeprefix("disinfected").strip(" ()"))
    return phases, disinfection, drying, cleaning


def _ids(phases: Sequence[WasherPhase]) -> list[str]:
    """The phases' names, numbered from the second of a name on."""
    names = [phase.name.value for phase in phases]
    return [
        name if names[:index].count(name) == 0 else f"{name}-{names[:index].count(name) + 1}"
        for index, name in enumerate(names)
    ]


def _floor_c(program: Program) -> float:
    ranges = [
        phase.temperature.bounds("°C")
        for phase in program.phases
        if phase.name is WasherPhaseName.wash and phase.temperature
    ]
    tops = [top + _ABOVE_WASH_K if np.isfinite(top) else low + _ABOVE_OPEN_WASH_K for low, top in ranges]
    return max([A0_FROM_C, *tops])


def _expected_c(program: Program) -> float:
    """What disinfection must reach; the reference of A0 where the program states no temperature."""
    asked = [
        phase.temperature.min.to("°C")
        for phase in program.phases
        if phase.name is WasherPhaseName.disinfection and phase.temperature and phase.temperature.min
    ]
    return max(asked, default=A0_REFERENCE_C)


def _phases(cycle: Cycle, found: list[PhaseFound]) -> Requirement:
    """The phases with water before disinfection."""
    before = [item for item in found if not item.is_disinfection]
    criteria, findings = [], []
    for item in before:
        criterion, missed = phase_time(cycle, item, over=cycle.plateau is not None)
        criteria.append(criterion)
        findings += missed
    if not criteria:
        return Requirement("phases", "not required")
    outcome = outcome_of(criteria)
    decisive = {"missed": False, "not evidenced": None}.get(outcome, True)
    listed = [item.id for item, c in zip(before, criteria, strict=True) if c.met is decisive]
    return Requirement("phases", outcome, tuple(criteria), f"{', '.join(listed)} {outcome}", tuple(findings))


def _spans(cycle: Cycle, found: list[PhaseFound]) -> tuple[PhaseSpan, ...]:
    """The phases for people and plots, in seconds since the first sample."""
    stays = [(item.id, item.possible.span) for item in found if item.possible and not item.is_disinfection]
    if cycle.plateau is not None:
        stays.append(("disinfection", cycle.plateau.span))
    drying = drying_stay(cycle)
    if drying is not None:
        stays.append(("drying", drying.span))
    times = cycle.samples.times_s
    return tuple(
        PhaseSpan(
            name=name,
            start_s=float(times[span.first]),
            end_s=float(times[min(span.last + 1, times.size - 1)]),
        )
        for name, span in stays
    )
