"""Judging baths: hot water that disinfects by hand, and ultrasound."""

from __future__ import annotations

from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.beside import Beside, beside, values_of
from sinkside.cycles.criteria import DUST, Requirement, at_least, outcome_of, unjudged
from sinkside.cycles.gas import condition_beside, nothing_required
from sinkside.cycles.held import Condition, Held, judge_held
from sinkside.cycles.judgement import Judgement, phase_of
from sinkside.cycles.lethality import measured_lethality
from sinkside.cycles.spans import Span, duration_of, spans_of
from sinkside.cycles.trace import Trace
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import Criterion
from sinkside.department import Program, Ultrasonic
from sinkside.findings import Measure
from sinkside.science.lethality import A0_FROM_C, Lethality, a0

#: Where a program states no power, what runs is above this share of the most that was recorded.
_RUNS_SHARE: Final = 0.1

#: How far a recorded frequency may be from the stated one; generators hunt for their resonance (our own).
_FREQUENCY_SHARE: Final = 0.05
_FEWEST: Final = 2


def judge_bath(samples: Samples, program: Program) -> Judgement:
    """What a log of time and temperature comes to: time at temperature, and thermal dose, where asked."""
    requirements: list[Requirement] = []
    phases, values = [], {}
    if program.exposure is not None:
        held = _at_temperature(samples, program)
        requirements.append(held.requirement)
        if held.span:
            phases.append(phase_of("exposure", held.span, samples))
    if program.disinfection is not None:
        dose = _dose(samples)
        requirements.append(_disinfection(samples, dose, program.disinfection.a0))
        if dose is not None:
            values["a0"] = measured_lethality(dose, program.probes.tolerance.to("K"))
    if not requirements:
        return nothing_required("disinfection")
    return Judgement(tuple(requirements), tuple(phases), values)


def _at_temperature(samples: Samples, program: Program) -> Held:
    """Time at the temperature or above; water has a top only where the program states a band."""
    exposure = program.exposure
    if exposure is None:
        raise ValueError("there is no exposure to judge")
    low = exposure.temperature.to("°C")
    top = low + exposure.band.to("K") if "band" in exposure.model_fields_set else float("inf")
    condition = Condition("temperature", samples.probes_c, low, top, "°C")
    return judge_held(samples, "exposure", exposure.time.to("s"), [condition])


def _dose(samples: Samples) -> Lethality | None:
    """A0 of the whole log by its coldest probe; None where the log hides a part of what counts."""
    if not samples.probes_c.size or not samples.clock_is_sound:
        return None
    cold = samples.coldest_c
    hot = np.asarray((~(samples.probes_c < A0_FROM_C)).all(axis=0))
    known = np.isfinite(cold)
    hidden = (samples.breaks & (hot[1:] | hot[:-1])).any() or (hot & ~known).any()
    if hidden or known.sum() < _FEWEST:
        return None
    return a0(samples.times_s[known], cold[known])


def _disinfection(samples: Samples, dose: Lethality | None, required: float) -> Requirement:
    if dose is None:
        criteria = (unjudged("a0", required, "s"),)
        return Requirement("disinfection", "not evidenced", criteria, "disinfection not evidenced")
    criterion = at_least("a0", required, dose.value, "s").model_copy(update={"met": dose.reaches(required)})
    figure = f"(A0 {dose.value:,.0f} of {required:,.0f})"
    if criterion.met:
        return Requirement("disinfection", "met", (criterion,), f"disinfected {figure}")
    if not samples.probes_c[:, -1].max() < A0_FROM_C:
        cut = wording.CUT_OFF.finding(evidence={"phase": "disinfection"})
        criterion = unjudged("a0", required, "s", dose.value)
        said = "disinfection not evidenced (the record ends within it)"
        return Requirement("disinfection", "not evidenced", (criterion,), said, (cut,))
    evidence = {
        "measured": Measure(value=dose.value, unit="s"),
        "required": Measure(value=required, unit="s"),
    }
    finding = wording.A0_LOW.finding(evidence=evidence)
    return Requirement("disinfection", "missed", (criterion,), f"disinfection missed {figure}", (finding,))


def judge_ultrasonic(samples: Samples, program: Program, trace: Trace) -> Judgement:
    """What an ultrasonic log comes to: how long it ran in range, after how much running empty.

    A log without power cannot show that there was any ultrasound; one is asked for on the foil test day.
    """
    bath = program.ultrasonic
    if bath is None or bath.time is None:
        return nothing_required("sonication")
    power = _power(trace)
    low, high = bath.power.bounds("W") if bath.power else (-np.inf, np.inf)
    if power is not None:
        low = max(low, _RUNS_SHARE * float(np.nanmax(power)), DUST)
    conditions = [Condition("power", power, low, high, "W"), *_water(samples, bath, trace)]
    runs = _runs(power, low)
    start = _after_degassing(samples, runs, bath)
    held = judge_held(samples, "sonication", bath.time.to("s"), conditions, start=start)
    requirements = [held.requirement]
    if bath.degas is not None:
        requirements.append(_degassed(samples, runs, start, bath.degas.to("s")))
    if bath.frequency is not None:
        requirements.append(_frequency(trace, held, bath.frequency.to("kHz")))
    phases = (phase_of("sonication", held.span, samples),) if held.span else ()
    return Judgement(tuple(requirements), phases, {})


def _power(trace: Trace) -> np.ndarray | None:
    known = [
        values for one in beside(trace, Beside.power) if (values := values_of(one, Beside.power)) is not None
    ]
    filled = [values for values in known if np.isfinite(values).any()]
    return np.vstack(filled) if filled else None


def _water(samples: Samples, bath: Ultrasonic, trace: Trace) -> list[Condition]:
    found = []
    if bath.temperature is not None:
        low, high = bath.temperature.bounds("°C")
        found.append(Condition("temperature", samples.probes_c, low, high, "°C"))
    if bath.fill is not None:
        found.append(condition_beside(trace, Beside.level, bath.fill))
    return found


def _runs(power: np.ndarray | None, low: float) -> list[Span]:
    return [] if power is None else spans_of(np.asarray((power >= low).all(axis=0)))


def _after_degassing(samples: Samples, runs: list[Span], bath: Ultrasonic) -> int:
    """Where the load's own time begins: at the longest run but the first, or within the only one."""
    if not runs or bath.degas is None:
        return 0
    if len(runs) > 1:
        return max(runs[1:], key=lambda run: samples.times_s[run.last] - samples.times_s[run.first]).first
    begins = samples.times_s[runs[0].first] + bath.degas.to("s")
    return min(int(np.searchsorted(samples.times_s, begins)), samples.last)


def _degassed(samples: Samples, runs: list[Span], start: int, required_s: float) -> Requirement:
    criterion_id = "degassing-time"
    if not runs or not samples.clock_is_sound:
        criteria: tuple[Criterion, ...] = (unjudged(criterion_id, required_s, "s"),)
        return Requirement("degassing", "not evidenced", criteria, "degassing not evidenced")
    ran = 0.0
    for run in runs:
        if run.first < start:
            ran += duration_of(Span(run.first, min(run.last, start - 1)), samples.times_s).measured
    criteria = (at_least(criterion_id, required_s, ran, "s"),)
    outcome = outcome_of(criteria)
    return Requirement(
        "degassing", outcome, criteria, f"degassing {outcome} ({ran:.0f} s; {required_s:.0f} s required)"
    )


def _frequency(trace: Trace, held: Held, stated_khz: float) -> Requirement:
    """Whether the recorded frequency is the stated one; what is not recorded is said and holds nothing up."""
    known = [
        values
        for one in beside(trace, Beside.frequency)
        if (values := values_of(one, Beside.frequency)) is not None and np.isfinite(values).any()
    ]
    if not known or held.span is None:
        return Requirement("frequency", "not evidenced", said="frequency not evidenced", blocking=False)
    within = np.vstack(known)[:, held.span.samples]
    if not np.isfinite(within).any():
        return Requirement("frequency", "not evidenced", said="frequency not evidenced", blocking=False)
    away = float(np.nanmax(np.abs(within - stated_khz)))
    allowed = _FREQUENCY_SHARE * stated_khz
    criterion = Criterion(
        id="frequency",
        required=allowed,
        measured=away,
        unit="kHz",
        margin=allowed - away,
        met=away <= allowed,
    )
    outcome = outcome_of([criterion])
    return Requirement("frequency", outcome, (criterion,), f"frequency {outcome} ({away:.1f} kHz off)")
