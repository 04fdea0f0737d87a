"""Judging a vacuum leak test: evacuated, left to settle, and then measured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import Requirement, at_least, at_most, outcome_of, unjudged
from sinkside.cycles.gas import nothing_required
from sinkside.cycles.judgement import Judgement, phase_of
from sinkside.cycles.spans import Span
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import Criterion, MeasuredValue
from sinkside.department import LeakTest, Program
from sinkside.errors import BadInput
from sinkside.findings import Finding, Measure
from sinkside.limits import Limit, Profile, published
from sinkside.science.leak import apparent_rise
from sinkside.science.validity import FloatArray

_LIMIT: Final = "air-leak-rate-mbar"
_PA_PER_KPA: Final = 1000.0
_PA_PER_MBAR: Final = 100.0
_KPA_PER_MBAR: Final = 0.1
_MINUTE_S: Final = 60.0

#: The pump is done where the pressure is within so much of the lowest; noise of a gauge is less.
_LOWEST_PA: Final = 100.0

#: Air let in raises the pressure quicker than any leak.
_LET_IN_PA_PER_S: Final = 200.0
_LET_IN_S: Final = 10.0

#: A pressure is read over so many seconds, so that a gauge's last digit does not decide.
_READ_OVER_S: Final = 10.0


@dataclass(frozen=True)
class _Hold:
    """The chamber left alone under vacuum, and when the measuring time begins and ends in it."""

    span: Span
    start_s: float
    end_s: float

    def is_whole(self, samples: Samples) -> bool:
        """Whether it lasted until the measuring time was over."""
        return float(samples.times_s[self.span.last]) >= self.end_s - samples.interval_s


def judge_leak(samples: Samples, program: Program, profile: Profile) -> Judgement:
    """What a vacuum leak test's record comes to.

    Args:
        samples: As far as they can be believed.
        program: A leak-rate program.
        profile: The limits in force, for the allowed rate.
    """
    test, pressure = program.leak, samples.pressure_pa
    if test is None:
        return nothing_required("leak-rate")
    limit = leak_limit(profile)
    allowed = test.rate.to("mbar/min") if test.rate else limit.ends("mbar/min")[1]
    if pressure is None or not np.isfinite(pressure).any():
        return Judgement((_open(test, allowed, "no pressure"),), (), {})
    hold = _hold(samples, pressure, test)
    why = _why_open(samples, pressure, hold)
    vacuum = at_most(
        "leak-vacuum", test.vacuum.to("kPa"), float(pressure[hold.span.first]) / _PA_PER_KPA, "kPa"
    )
    whole = hold.is_whole(samples)
    lasted = float(samples.times_s[hold.span.last] - samples.times_s[hold.span.first])
    time = at_least("leak-time", test.settle.to("s") + test.time.to("s"), lasted + samples.interval_s, "s")
    if why:
        return Judgement((_open(test, allowed, why),), (), {})
    phases = (phase_of("leak-rate", hold.span, samples),)
    if not whole:
        criteria: tuple[Criterion, ...] = (vacuum, time, unjudged("leak-rate", allowed, "mbar/min"))
        said = f"leak test missed (ended after {lasted / _MINUTE_S:.0f} min)"
        return Judgement((Requirement("leak-rate", "missed", criteria, said),), phases, {})
    rise_pa = _read(samples, pressure, hold.end_s) - _read(samples, pressure, hold.start_s)
    minutes = (hold.end_s - hold.start_s) / _MINUTE_S
    rate = rise_pa / _PA_PER_MBAR / minutes
    criteria = (vacuum, time, at_most("leak-rate", allowed, rate, "mbar/min"))
    outcome = outcome_of(criteria)
    said = f"leak rate {outcome} ({rate:.2f} mbar/min, at most {allowed:.2f})"
    findings = _findings(samples, hold, rate=rate, allowed=allowed, limit=limit)
    requirement = Requirement("leak-rate", outcome, criteria, said, findings)
    return Judgement(
        (requirement,), phases, {"leak-rate": MeasuredValue(value=rate * _KPA_PER_MBAR, unit="kPa/min")}
    )


def leak_limit(profile: Profile) -> Limit:
    """The allowed rate: the profile's own, else as it was published elsewhere."""
    try:
        return profile.limit(_LIMIT)
    except BadInput:
        return published(_LIMIT)


def _open(test: LeakTest, allowed: float, why: str) -> Requirement:
    criteria = (
        unjudged("leak-vacuum", test.vacuum.to("kPa"), "kPa"),
        unjudged("leak-rate", allowed, "mbar/min"),
    )
    return Requirement("leak-rate", "not evidenced", criteria, f"leak rate not evidenced ({why})")


def _hold(samples: Samples, pressure: FloatArray, test: LeakTest) -> _Hold:
    """From the end of evacuation to where air is let in, or to the end of the record."""
    lowest = float(np.nanmin(pressure))
    first = int(np.flatnonzero(pressure <= lowest + _LOWEST_PA)[0])
    later = np.minimum(np.searchsorted(samples.times_s, samples.times_s + _LET_IN_S), samples.last)
    elapsed = np.maximum(samples.times_s[later] - samples.times_s, 1e-9)
    let_in = np.flatnonzero((pressure[later] - pressure)[first:] / elapsed[first:] > _LET_IN_PA_PER_S)
    last = first + int(let_in[0]) if let_in.size else samples.last
    start_s = float(samples.times_s[first]) + test.settle.to("s")
    return _Hold(Span(first, last), start_s, start_s + test.time.to("s"))


def _why_open(samples: Samples, pressure: FloatArray, hold: _Hold) -> str:
    if not samples.clock_is_sound:
        return "the clock was set"
    within = slice(hold.span.first, hold.span.last)
    if samples.breaks[within].any() or np.isnan(pressure[hold.span.samples]).any():
        return "the record hides part of it"
    if not hold.is_whole(samples) and hold.span.last == samples.last:
        return "the record ends within it"
    return ""


def _read(samples: Samples, pressure: FloatArray, at_s: float) -> float:
    """The mean pressure around a moment."""
    near = np.abs(samples.times_s - at_s) <= max(_READ_OVER_S / 2.0, samples.interval_s)
    return float(np.nanmean(pressure[near]))


def _findings(
    samples: Samples, hold: _Hold, *, rate: float, allowed: float, limit: Limit
) -> tuple[Finding, ...]:
    findings = []
    if rate > allowed:
        evidence = {
            "measured": Measure(value=rate, unit="mbar/min"),
            "allowed": Measure(value=allowed, unit="mbar/min"),
        }
        findings.append(wording.LEAK_FAST.finding(evidence=evidence, source=limit.source))
    if samples.probes_c.size and samples.pressure_pa is not None:
        mean = np.nanmean(samples.probes_c, axis=0)
        start, end = (int(np.searchsorted(samples.times_s, at)) for at in (hold.start_s, hold.end_s))
        end = min(end, samples.last)
        drift = float(mean[end] - mean[start])
        apparent = apparent_rise(float(samples.pressure_pa[start]), float(mean[start]), drift) / _PA_PER_MBAR
        if abs(apparent) / ((hold.end_s - hold.start_s) / _MINUTE_S) > 0.1 * allowed:
            findings.append(
                wording.LEAK_DRIFT.finding(
                    evidence={
                        "drift": Measure(value=drift, unit="K"),
                        "apparent": Measure(value=apparent, unit="mbar"),
                    }
                )
            )
    return tuple(findings)
