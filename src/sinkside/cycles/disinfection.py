"""Disinfection in a washer: temperature, time, thermal dose and spread, each where the program asks."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import Requirement, at_least, outcome_of, unjudged
from sinkside.cycles.exposure import spread_criterion
from sinkside.cycles.verdict import Criterion, Outcome
from sinkside.cycles.washer_cycle import Cycle, PhaseFound, phase_time
from sinkside.findings import Finding, Measure
from sinkside.science.lethality import A0_FROM_C, Lethality, a0

_FEWEST: Final = 2

#: What a sentence calls a criterion; every other one is the time of a phase.
_A_STAY: Final = "time at temperature"
_CALLED: Final = {"disinfection-temperature": "temperature", "probe-spread": "spread of the probes"}


def judge_disinfection(cycle: Cycle, found: list[PhaseFound], dose: Lethality | None) -> Requirement:
    """Temperature, time, thermal dose and spread, each where the program asks for it."""
    criteria: list[Criterion] = []
    findings: list[Finding] = []
    for item in (item for item in found if item.is_disinfection):
        if item.phase.time is not None:
            judged = [phase_time(cycle, item, over=cycle.drying_from is not None)]
        elif item.phase.temperature and item.phase.temperature.min:
            judged = [_temperature(cycle, item.phase.temperature.min.to("°C"))]
        else:
            judged = []
        for criterion, more in judged:
            criteria.append(criterion)
            findings += more
    if cycle.program.disinfection is not None:
        criterion, more = _dose_criterion(cycle, dose, cycle.program.disinfection.a0)
        criteria.append(criterion)
        findings += more
    if not criteria:
        return Requirement("disinfection", "not required")
    criterion_of_spread, more = _spread(cycle)
    criteria += criterion_of_spread
    findings += more
    if cycle.may_be_drying:
        criteria = [item.model_copy(update={"met": None, "margin": None}) for item in criteria]
    outcome = outcome_of(criteria)
    said = _disinfection_said(outcome, dose, cycle, why=_what_was_missed(criteria))
    return Requirement("disinfection", outcome, tuple(criteria), said, tuple(findings))


def _what_was_missed(criteria: Iterable[Criterion]) -> str:
    """Each criterion that was missed, with its figures; the dose is told by itself."""
    return ", ".join(
        f"{_CALLED.get(item.id, _A_STAY)} {item.measured:,.4g} {item.unit} of {item.required:,.4g}"
        for item in criteria
        if item.met is False and item.id != "a0" and item.measured is not None
    )


def _disinfection_said(outcome: Outcome, dose: Lethality | None, cycle: Cycle, *, why: str) -> str:
    required = cycle.program.disinfection
    figure = f" (A0 {dose.value:,.0f}" + (f" of {required.a0:,.0f})" if required else ")") if dose else ""
    missed = f"disinfection missed: {why}" if why else "disinfection missed"
    return {"met": f"disinfected{figure}", "missed": f"{missed}{figure}"}.get(
        outcome, "disinfection not evidenced"
    )


def _temperature(cycle: Cycle, required_c: float) -> tuple[Criterion, list[Finding]]:
    """The hottest that the coldest probe was on the plateau; air on its way to drying disinfects nothing."""
    before = cycle.cold_c[: cycle.end]
    if cycle.plateau is not None:
        before = before[cycle.plateau.span.first : cycle.plateau.span.last + 1]
    if not np.isfinite(before).any():
        return unjudged("disinfection-temperature", required_c, "°C"), []
    reached = float(np.nanmax(before))
    criterion = at_least("disinfection-temperature", required_c, reached, "°C")
    if criterion.met:
        return criterion, []
    start = cycle.plateau.span.first if cycle.plateau else 0
    hides = np.isnan(before).any() or cycle.samples.breaks[start : max(cycle.end - 1, 0)].any()
    if hides or cycle.drying_from is None:
        return unjudged("disinfection-temperature", required_c, "°C", reached), []
    evidence = {
        "measured": Measure(value=reached, unit="°C"),
        "required": Measure(value=required_c, unit="°C"),
    }
    return criterion, [wording.DISINFECTION_COLD.finding(evidence=evidence)]


def a0_of(cycle: Cycle) -> Lethality | None:
    """A0 until drying begins, by the coldest probe; None where the record hides a part of it.

    Source: as in `sinkside.science.lethality.a0`; the trapezoid rule on the rate.
    """
    counted = slice(0, cycle.end)
    times, cold = cycle.samples.times_s[counted], cycle.cold_c[counted]
    # A probe without a reading may have been hot.
    hot = np.asarray((~(cycle.samples.probes_c[:, counted] < A0_FROM_C)).all(axis=0))
    hidden = cycle.samples.breaks[: counted.stop - 1] & (hot[1:] | hot[:-1])
    at_end = cycle.samples.breaks[counted.stop - 1 : counted.stop]
    known = np.isfinite(cold)
    is_hidden = hidden.any() or at_end.any() or (hot & ~known).any()
    if is_hidden or not cycle.samples.clock_is_sound or known.sum() < _FEWEST:
        return None
    return a0(times[known], cold[known])


def _dose_criterion(cycle: Cycle, dose: Lethality | None, required: float) -> tuple[Criterion, list[Finding]]:
    if dose is None:
        return unjudged("a0", required, "s"), []
    criterion = at_least("a0", required, dose.value, "s").model_copy(update={"met": dose.reaches(required)})
    if criterion.met:
        low, _ = dose.bounds(cycle.program.probes.tolerance.to("K"))
        return criterion, [_near("A0", cycle)] if low < required else []
    if cycle.drying_from is None:
        return unjudged("a0", required, "s", dose.value), []
    evidence = {
        "measured": Measure(value=dose.value, unit="s"),
        "required": Measure(value=required, unit="s"),
    }
    return criterion, [wording.A0_LOW.finding(evidence=evidence)]


def _near(what: str, cycle: Cycle) -> Finding:
    tolerance = Measure(value=cycle.program.probes.tolerance.to("K"), unit="K")
    return wording.WITHIN_TOLERANCE.finding(evidence={"what": what, "tolerance": tolerance})


def _spread(cycle: Cycle) -> tuple[list[Criterion], list[Finding]]:
    """How far probes were apart from the plateau until drying, where the program asks."""
    allowed = cycle.program.probes.spread
    if allowed is None:
        return [], []
    allowed_k = allowed.to("K")
    if cycle.plateau is None or cycle.samples.probes_c.shape[0] <= 1:
        return [unjudged("probe-spread", allowed_k, "K")], []
    until_drying = slice(cycle.plateau.span.first, max(cycle.end, cycle.plateau.span.last + 1))
    criterion, findings = spread_criterion(cycle.samples.probes_c[:, until_drying], allowed_k)
    return [criterion], findings
